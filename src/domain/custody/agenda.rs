//! Where a case stands in the agenda of either side, and what a line of it tells, as lists keep it.

use super::bench::NextStep;
use super::item::ItemKind;
use crate::domain::people::party::Side;
use crate::domain::prescription::Stage;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::figures::with_plain_digits;
use crate::domain::values::ids::AccountId;
use crate::domain::values::moment::{day_in_words, parse_date, show_date};
use crate::domain::values::words::{capitalised, lowered};
use crate::domain::values::words_of;
use time::Date;

words_of! {
    /// The list of an agenda that a case stands in.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
    pub enum WhoseTurn {
        /// The patient has no teeth meanwhile, and this side has something to do.
        Toothless = "a patient is without teeth, waits for this side",
        /// The work stands still, and this side has to act.
        Held = "held, waits for this side",
        /// The other house asks it something, or has told it something.
        Asked = "asked, waits for this side",
        Yours = "waits for this side",
        Coming = "on its way to this side",
        HeldByOthers = "held, waits for others",
        /// Nobody has anything to do before a check after the fit; it is this side's from its day on.
        Check = "waits for a check after the fit",
        Others = "waits for others",
    }
}

impl WhoseTurn {
    /// What waits for this side, the most urgent first.
    pub const WAITS: [WhoseTurn; 4] = [
        WhoseTurn::Toothless,
        WhoseTurn::Held,
        WhoseTurn::Asked,
        WhoseTurn::Yours,
    ];

    /// Whether this side has something to do, or to receive, whatever the day.
    pub fn is_own(self) -> bool {
        self == WhoseTurn::Coming || WhoseTurn::WAITS.contains(&self)
    }
}

/// Where a case stands for one side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OnAgenda {
    pub turn: WhoseTurn,
    /// The day by which the case is ordered: when it is due, when something lent has to go back, or when a check after the
    /// fit is to be made. None where nothing has a day.
    pub day: Option<Date>,
    /// What this side is asked and has not answered.
    pub asked: Option<AskedFirst>,
    /// When the other house answered last what this side had asked, in milliseconds; none once this side has entered
    /// anything since.
    pub answered_ms: Option<i64>,
    /// The day of the next check after the fit that this side is to make, whatever else it has to do.
    pub check: Option<Date>,
}

impl OnAgenda {
    /// Whether a check after the fit is due.
    pub fn is_check_due(self, today: Date) -> bool {
        self.check.is_some_and(|day| day <= today)
    }
}

/// How the time of an answer is stored.
const ANSWERED: &str = "answered:";

/// And how the day of the next check is.
const CHECK: &str = "check:";

impl OnAgenda {
    /// What is asked, what was answered, and the day of the next check, as they are stored:
    /// `waits:1772438400000 answered:1772438460000 check:2026-03-03`.
    pub fn talk_word(self) -> String {
        let asked = self.asked.map(AskedFirst::word);
        let answered = self.answered_ms.map(|at| format!("{ANSWERED}{at}"));
        let check = self.check.map(|day| format!("{CHECK}{}", show_date(day)));
        let words: Vec<String> = asked.into_iter().chain(answered).chain(check).collect();
        words.join(" ")
    }

    /// Reads the stored words, into the same place of an agenda.
    pub fn with_talk(mut self, text: &str) -> Option<OnAgenda> {
        for word in text.split_whitespace() {
            if let Some(day) = word.strip_prefix(CHECK) {
                if self.check.is_some() {
                    return None;
                }
                self.check = Some(parse_date(day).ok()?);
                continue;
            }
            match word.strip_prefix(ANSWERED) {
                Some(at) if self.answered_ms.is_none() => self.answered_ms = Some(at.parse().ok()?),
                None if self.asked.is_none() => self.asked = Some(AskedFirst::from_word(word)?),
                _ => return None,
            }
        }
        Some(self)
    }
}

/// Of the questions that a side has not answered, the one to be answered first: the oldest for which the lab's work
/// waits, or the oldest of all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AskedFirst {
    pub at_ms: i64,
    /// Whether the lab's work waits for the answer.
    pub waits: bool,
}

impl AskedFirst {
    /// Out of those that a side has not answered: when each was asked, and whether work waits for it.
    pub fn of(open: impl Iterator<Item = (i64, bool)>) -> Option<AskedFirst> {
        let asked = open.map(|(at_ms, waits)| AskedFirst { at_ms, waits });
        asked.min_by_key(|one| (!one.waits, one.at_ms))
    }

    /// As it is stored: `waits:1772438400000`.
    pub fn word(self) -> String {
        let how = if self.waits { "waits" } else { "open" };
        format!("{how}:{}", self.at_ms)
    }

    /// Reads the stored words.
    pub fn from_word(text: &str) -> Option<AskedFirst> {
        let (how, at) = text.split_once(':')?;
        let waits = match how {
            "waits" => true,
            "open" => false,
            _ => return None,
        };
        let at_ms = at.parse().ok()?;
        Some(AskedFirst { at_ms, waits })
    }
}

/// One piece of what is ordered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OrderedWork {
    pub arch: Option<Arch>,
    pub stage: Stage,
    /// It bites on natural teeth: another denture than one of a pair.
    pub against_teeth: bool,
}

/// How a list says so.
pub const AGAINST_TEETH: &str = "against natural teeth";
/// And how it is stored.
const TEETH: &str = "teeth";

impl OrderedWork {
    /// The stored words of all pieces: `upper:process,lower:reline:teeth`.
    pub fn word(works: &[OrderedWork]) -> String {
        let word = |work: &OrderedWork| {
            let arch = work.arch.map(Arch::word).unwrap_or_default();
            let against = match work.against_teeth {
                true => format!(":{TEETH}"),
                false => String::new(),
            };
            format!("{arch}:{}{against}", work.stage.word())
        };
        works.iter().map(word).collect::<Vec<_>>().join(",")
    }

    /// Reads the stored words.
    pub fn from_word(text: &str) -> Option<Vec<OrderedWork>> {
        let one = |word: &str| {
            let (arch, stage) = word.split_once(':')?;
            let arch = match arch {
                "" => None,
                arch => Some(Arch::from_word(arch)?),
            };
            let (stage, against) = match stage.split_once(':') {
                Some((stage, TEETH)) => (stage, true),
                Some(_) => return None,
                None => (stage, false),
            };
            Some(OrderedWork {
                arch,
                stage: Stage::from_word(stage)?,
                against_teeth: against,
            })
        };
        let words = text.split(',').filter(|word| !word.is_empty());
        words.map(one).collect()
    }
}

/// What the agenda keeps of a case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CaseAgenda {
    pub office: OnAgenda,
    pub lab: OnAgenda,
    /// Items that are there.
    pub items: i64,
    /// Piece by piece; empty before anything is signed.
    pub work: Vec<OrderedWork>,
    /// Seals of what is on the way.
    pub seals: String,
    /// In small letters and without dashes, what the case is found by.
    pub words: String,
    /// The lab's own: the office does not see it.
    pub bench: OnBench,
}

/// Where a case stands at the bench of its lab.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OnBench {
    /// As the lab writes it; empty where it stands in none.
    pub pan: String,
    pub technician: Option<AccountId>,
    /// Steps that are still to be done, and the first of them.
    pub open: i64,
    pub next: Option<NextStep>,
    /// What that step is done on, where a second laboratory has it; none where it can be done.
    pub away: Option<AwayFromBench>,
}

/// What is worked on, while it is with a second laboratory, and the day on which it is wanted back from there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AwayFromBench {
    pub kind: ItemKind,
    pub arch: Option<Arch>,
    pub back: Date,
}

/// How that is stored, behind the step.
const AWAY: &str = "away:";

impl AwayFromBench {
    /// "Upper master cast back Wed 9 Dec"
    pub fn words(self, today: Date) -> String {
        let thing = lowered(self.kind.shown());
        let thing = match self.arch {
            Some(arch) => format!("{} {thing}", arch.shown()),
            None => thing,
        };
        let back = day_in_words(self.back, today);
        capitalised(&format!("{thing} back {back}"))
    }

    fn word(self) -> String {
        let arch = self.arch.map_or("", Arch::word);
        format!("{AWAY}{}:{}:{arch}", show_date(self.back), self.kind.word())
    }

    fn from_word(text: &str) -> Option<AwayFromBench> {
        let mut parts = text.strip_prefix(AWAY)?.split(':');
        Some(AwayFromBench {
            back: parse_date(parts.next()?).ok()?,
            kind: ItemKind::from_word(parts.next()?)?,
            arch: match parts.next()? {
                "" => None,
                word => Some(Arch::from_word(word)?),
            },
        })
    }
}

impl OnBench {
    /// The next step as it is stored: `mounted`, `mounted away:2026-12-09:cast:upper`.
    pub fn next_word(&self) -> String {
        let next = self.next.map(NextStep::word);
        let away = self.away.map(AwayFromBench::word);
        next.into_iter().chain(away).collect::<Vec<_>>().join(" ")
    }

    /// Reads the stored words, into the same place at the bench.
    pub fn with_next(mut self, text: &str) -> Option<OnBench> {
        let (next, away) = match text.split_once(' ') {
            Some((next, away)) => (next, Some(AwayFromBench::from_word(away)?)),
            None => (text, None),
        };
        self.next = match next {
            "" => None,
            word => Some(NextStep::from_word(word)?),
        };
        self.away = away;
        (self.next_word() == text).then_some(self)
    }
}

impl Default for CaseAgenda {
    fn default() -> CaseAgenda {
        let nowhere = OnAgenda {
            turn: WhoseTurn::Others,
            day: None,
            asked: None,
            answered_ms: None,
            check: None,
        };
        CaseAgenda {
            office: nowhere,
            lab: nowhere,
            items: 0,
            work: Vec::new(),
            seals: String::new(),
            words: String::new(),
            bench: OnBench::default(),
        }
    }
}

impl CaseAgenda {
    /// Where the case stands for a side.
    pub fn of(&self, side: Side) -> OnAgenda {
        match side {
            Side::Office => self.office,
            Side::Lab => self.lab,
        }
    }

    /// The stage of all its work; none where there is none, or more than one.
    pub fn stage(&self) -> Option<Stage> {
        let mut stages = self.work.iter().map(|work| work.stage);
        let first = stages.next()?;
        stages.all(|stage| stage == first).then_some(first)
    }

    /// Whether a piece of its work bites on natural teeth.
    pub fn is_against_teeth(&self) -> bool {
        self.work.iter().any(|work| work.against_teeth)
    }

    /// "U + L, process and finish"; before anything is signed the arches alone.
    pub fn work_in_short(&self, arches: Arches) -> String {
        let letters = |arches: &[Arch]| {
            let letters = arches.iter().map(|arch| letter(*arch));
            letters.collect::<Vec<_>>().join(" + ")
        };
        if self.work.is_empty() {
            return letters(arches.treated());
        }
        let mut stages: Vec<((Stage, bool), Vec<Arch>)> = Vec::new();
        for work in &self.work {
            let of = (work.stage, work.against_teeth);
            let at = stages.iter().position(|(one, _)| *one == of);
            let own = match at.and_then(|at| stages.get_mut(at)) {
                Some((_, own)) => own,
                None => {
                    stages.push((of, Vec::new()));
                    let Some((_, own)) = stages.last_mut() else {
                        continue;
                    };
                    own
                }
            };
            own.extend(work.arch.filter(|arch| !own.contains(arch)));
        }
        let words = stages.iter().map(|((stage, against_teeth), own)| {
            let whose = Some(letters(own)).filter(|letters| !letters.is_empty());
            let against = against_teeth.then(|| AGAINST_TEETH.to_owned());
            let words = [whose, against, Some(stage.shown().to_owned())];
            words.into_iter().flatten().collect::<Vec<_>>().join(", ")
        });
        words.collect::<Vec<_>>().join("; ")
    }
}

/// As the trade writes it: U and L.
fn letter(arch: Arch) -> &'static str {
    match arch {
        Arch::Upper => "U",
        Arch::Lower => "L",
    }
}

/// A pan as it is looked for: what people leave out or add in writing makes no other pan of it.
pub fn pan_key(pan: &str) -> String {
    as_searched(pan).split_whitespace().collect()
}

/// A mould as the cases are found by it that order it: as a whole, so that no other one whose code is longer is meant.
pub fn mould_key(code: &str) -> String {
    format!("mould·{}·", as_searched(code.trim()))
}

/// A text as it is looked for: small letters, no dashes, figures of any script as ASCII.
pub fn as_searched(text: &str) -> String {
    with_plain_digits(text)
        .to_lowercase()
        .replace(['-', '‐', '‑', '–'], "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_looked_for_is_found_in_the_figures_of_any_keyboard() {
        for typed in ["B-3", "b ٣", "B‑۳", "b３"] {
            assert_eq!(pan_key(typed), "b3", "{typed}");
        }
        assert_eq!(as_searched("Kiln ٢"), "kiln 2");
    }

    #[test]
    fn a_mould_is_looked_for_as_a_whole() {
        assert_eq!(mould_key(" Otter 9"), mould_key("OTTER ٩"));
        for other in ["Otter 99", "Sea Otter 9", "Otter"] {
            assert!(!mould_key(other).contains(&mould_key("Otter 9")), "{other}");
        }
        // What is stored was made ready to be looked for already.
        assert_eq!(as_searched(&mould_key("Otter-9")), mould_key("Otter-9"));
    }

    fn agenda(word: &str) -> CaseAgenda {
        CaseAgenda {
            work: OrderedWork::from_word(word).unwrap(),
            ..CaseAgenda::default()
        }
    }

    #[test]
    fn what_work_waits_for_is_answered_first_and_then_the_oldest() {
        let table = [
            (vec![], None),
            (vec![(9, false)], Some("open:9")),
            (vec![(9, false), (7, false)], Some("open:7")),
            (vec![(7, false), (9, true)], Some("waits:9")),
            (vec![(9, true), (7, false), (8, true)], Some("waits:8")),
        ];
        for (open, wanted) in table {
            let first = AskedFirst::of(open.iter().copied());
            assert_eq!(first.map(AskedFirst::word).as_deref(), wanted, "{open:?}");
        }
    }

    #[test]
    fn what_is_asked_first_is_read_as_it_was_stored() {
        for waits in [true, false] {
            let asked = AskedFirst {
                at_ms: 1_772_438_400_000,
                waits,
            };
            assert_eq!(AskedFirst::from_word(&asked.word()), Some(asked));
        }
        for wrong in ["", "waits", "waits:", "waits:x", "later:5", "5"] {
            assert_eq!(AskedFirst::from_word(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn what_was_said_between_the_houses_is_read_as_it_was_stored() {
        let nothing = CaseAgenda::default().office;
        let day = Date::from_calendar_date(2026, time::Month::March, 3).ok();
        for (asked, answered_ms, check, word) in [
            (None, None, None, ""),
            (Some((5, true)), None, None, "waits:5"),
            (None, Some(7), None, "answered:7"),
            (Some((5, false)), Some(7), None, "open:5 answered:7"),
            (None, None, day, "check:2026-03-03"),
            (
                Some((5, false)),
                Some(7),
                day,
                "open:5 answered:7 check:2026-03-03",
            ),
        ] {
            let on = OnAgenda {
                asked: asked.map(|(at_ms, waits)| AskedFirst { at_ms, waits }),
                answered_ms,
                check,
                ..nothing
            };
            assert_eq!(on.talk_word(), word);
            assert_eq!(nothing.with_talk(word), Some(on), "{word}");
        }
        for wrong in [
            "answered:",
            "answered:x",
            "answered:1 answered:2",
            "open:1 waits:2",
            "check:",
            "check:2026-02-30",
            "check:2026-03-03 check:2026-03-04",
            "5",
        ] {
            assert_eq!(nothing.with_talk(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn what_comes_next_is_read_as_it_was_stored_with_what_is_away_for_it() {
        let december = |day| Date::from_calendar_date(2026, time::Month::December, day).unwrap();
        for (word, said) in [
            ("", None),
            ("mounted", None),
            ("reset:height", None),
            (
                "mounted away:2026-12-09:cast:upper",
                Some("Upper master cast back Wed 9 Dec"),
            ),
            (
                "mounted away:2026-12-09:bite_record:",
                Some("Bite record back Wed 9 Dec"),
            ),
        ] {
            let read = OnBench::default().with_next(word);
            let read = read.expect(word);
            assert_eq!(read.next_word(), word);
            let away = read.away.map(|one| one.words(december(1)));
            assert_eq!(away.as_deref(), said);
        }
        for wrong in [
            " ",
            "mounted ",
            "away:2026-12-09:cast:upper",
            " away:2026-12-09:cast:upper",
            "mounted away:2026-12-09:cast",
            "mounted away:2026-12-09:cast:upper:",
            "mounted away:2026-02-30:cast:upper",
            "mounted away:2026-12-09:no_kind:upper",
        ] {
            assert_eq!(OnBench::default().with_next(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn work_is_read_as_it_was_stored_and_told_in_short() {
        let table = [
            ("", None, "U + L"),
            (
                "upper:process,lower:process",
                Some(Stage::Process),
                "U + L, process and finish",
            ),
            (
                "upper:process,lower:reline",
                None,
                "U, process and finish; L, reline",
            ),
            (":repair", Some(Stage::Repair), "repair"),
            ("lower:try_in", Some(Stage::TryIn), "L, wax try-in"),
            (
                "upper:process:teeth",
                Some(Stage::Process),
                "U, against natural teeth, process and finish",
            ),
        ];
        for (word, stage, shown) in table {
            let agenda = agenda(word);
            assert_eq!(OrderedWork::word(&agenda.work), word);
            assert_eq!(agenda.stage(), stage, "{word}");
            assert_eq!(agenda.work_in_short(Arches::Both), shown);
        }
        for wrong in ["upper", "upper:", "upper:x", "x:process", "upper:process:x"] {
            assert_eq!(OrderedWork::from_word(wrong), None, "{wrong}");
        }
    }
}
