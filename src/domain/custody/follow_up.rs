//! What is looked at after the work went in: at 24 hours, after a week, after a month; and what came of it.

use crate::domain::form::choice_field;
use crate::domain::trade::complaint::{Complaint, complaint};
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::EventId;
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// Which of the checks it is. The school schedule of trade practice names the first three.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum FollowUp {
        Day = "24 hours",
        Week = "one week",
        Month = "one month",
        Other = "another day",
    }
}

choice_field!(FollowUp);

words_of! {
    /// What is looked at, in its order: from memory, textbooks of complete dentures.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum ExaminedPoint {
        Asked = "Asked the patient first",
        Ulcers = "Sore places along borders, frena, notches and the mylohyoid ridge",
        Paste = "Pressure places shown with paste",
        Occlusion = "Occlusion by clinical remount, before any base is ground",
        Speech = "OVD and S sound",
        Gag = "Gagging",
        Opening = "Hold while opening wide",
        Biting = "Cheek and tongue biting",
        Cleaning = "Cleaning and night wear explained",
        Spare = "Which set is worn; spare labeled and stored wet",
    }
}

words_of! {
    /// What comes of it.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum FollowedBy {
        Nothing = "nothing more",
        Adjusted = "adjusted at the chair",
        Correction = "a correction by the lab",
        Remake = "a remake",
    }
}

choice_field!(FollowedBy);

words_of! {
    /// Why something is made again or corrected. Common practice, no source.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum WorkCause {
        Surface = "impression or functional surface",
        JawRecord = "jaw record or height",
        Prescription = "prescription unclear or changed",
        Teeth = "shade, mould or set-up",
        Processing = "processing or fit of the base",
        Finish = "borders, finish or breakage",
        Transit = "damage on the way",
        Patient = "tissue or wish of the patient has changed",
        Unknown = "not known",
    }
}

choice_field!(WorkCause);

words_of! {
    /// Whose part it was, as one house sees it.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum WorkShare {
        Office = "the office",
        Lab = "the lab",
        Both = "both sides",
        Nobody = "neither side",
    }
}

choice_field!(WorkShare);

impl FollowedBy {
    /// Whether the lab works again because of it.
    pub fn is_work(self) -> bool {
        matches!(self, FollowedBy::Correction | FollowedBy::Remake)
    }
}

/// What the lab says to the part of each house.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShareAnswer {
    pub at: Moment,
    /// When the lab said something to it for the first time: it can see it otherwise first, and agree later.
    pub since: Moment,
    pub by: String,
    pub agrees: bool,
    pub note: String,
}

/// A check after the fit, as the fold keeps it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FollowUpEntry {
    /// The entry that says it.
    pub event: EventId,
    pub at: Moment,
    /// Who looked: the person, or the name on the paper it was copied from.
    pub by: String,
    pub check: FollowUp,
    pub arches: Arches,
    pub examined: Vec<ExaminedPoint>,
    /// By their numbers in the list of complaints.
    pub complaints: Vec<u8>,
    pub done: String,
    pub followed_by: FollowedBy,
    pub cause: Option<WorkCause>,
    pub share: Option<WorkShare>,
    /// What the lab says to it.
    pub answer: Option<ShareAnswer>,
}

impl FollowUpEntry {
    /// Whether the lab has not said yet how it sees the part of each house.
    pub fn awaits_answer(&self) -> bool {
        self.share.is_some() && self.answer.is_none()
    }

    /// Whether both houses see the part of each alike.
    pub fn is_agreed(&self) -> bool {
        self.answer.as_ref().is_some_and(|one| one.agrees)
    }

    /// Whether the lab sees the part of each house otherwise.
    pub fn is_disputed(&self) -> bool {
        self.answer.as_ref().is_some_and(|one| !one.agrees)
    }

    /// What comes of it, and what the lab says to it, in words.
    pub fn words(&self) -> String {
        let outcome = outcome_words(self.followed_by, self.cause, self.share);
        match &self.answer {
            Some(one) if one.agrees => format!("{outcome}; the lab agrees"),
            Some(_) => format!("{outcome}; the lab sees it otherwise"),
            None if self.awaits_answer() => format!("{outcome}; the lab has not answered yet"),
            None => outcome,
        }
    }
}

/// Whether the office has entered a disputed check again since the lab has seen it otherwise: for each arch of it a later
/// one of the same name, or one after which the lab works.
pub fn is_said_anew(entries: &[FollowUpEntry], disputed: &FollowUpEntry) -> bool {
    let Some(answer) = disputed.answer.as_ref().filter(|one| !one.agrees) else {
        return false;
    };
    let since = answer.since.unix_ms;
    let is_anew = |one: &&FollowUpEntry| {
        let is_about_it = one.check == disputed.check || one.followed_by.is_work();
        is_about_it && one.at.unix_ms >= since
    };
    let later = entries.iter().skip_while(|one| one.event != disputed.event);
    let anew: Vec<&FollowUpEntry> = later.skip(1).filter(is_anew).collect();
    let mut arches = disputed.arches.treated().iter();
    arches.all(|arch| anew.iter().any(|one| one.arches.treated().contains(arch)))
}

/// A case that the office has opened for the same patient beside this one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CaseBeside {
    pub opened_ms: i64,
    pub arches: Arches,
}

/// Whether cases were opened for each arch of it since the lab has answered: the work goes on there.
fn goes_on_elsewhere(one: &FollowUpEntry, since: Moment, others: &[CaseBeside]) -> bool {
    let is_later = |other: &&CaseBeside| other.opened_ms >= since.unix_ms;
    let later = || others.iter().filter(is_later);
    let mut arches = one.arches.treated().iter();
    arches.all(|arch| later().any(|other| other.arches.treated().contains(arch)))
}

/// The remakes and corrections that the lab has answered, where no revision was signed since, and no other case was opened
/// for that: they are still to be ordered, by a new revision or in a case of their own. What the lab sees otherwise can be
/// entered anew instead.
pub fn again_to_order<'a>(
    entries: &'a [FollowUpEntry],
    signed: Option<Moment>,
    others: &'a [CaseBeside],
) -> impl Iterator<Item = &'a FollowUpEntry> {
    let is_open = move |one: &&FollowUpEntry| {
        let answer = one.answer.as_ref();
        let is_unsigned = answer.is_some_and(|answer| {
            let is_before = |signed: Moment| signed.unix_ms < answer.since.unix_ms;
            signed.is_none_or(is_before) && !goes_on_elsewhere(one, answer.since, others)
        });
        one.followed_by.is_work() && is_unsigned && !is_said_anew(entries, one)
    };
    entries.iter().filter(is_open)
}

/// The remakes that came of a check since the revision in force was signed, whatever the lab says to them; not those that
/// were said anew.
pub fn remakes_since(
    entries: &[FollowUpEntry],
    signed: Option<Moment>,
) -> impl Iterator<Item = &FollowUpEntry> {
    let is_since =
        move |one: &FollowUpEntry| signed.is_none_or(|signed| one.at.unix_ms >= signed.unix_ms);
    entries.iter().filter(move |one| {
        one.followed_by == FollowedBy::Remake && is_since(one) && !is_said_anew(entries, one)
    })
}

/// From so many hours after the fit on the check at 24 hours can be done: common practice, no source.
pub const DAY_CHECK_HOURS: i64 = 12;

/// Why a check cannot be the one at 24 hours: it comes too early after the fit. What is looked at before is a visit of
/// its own.
pub fn too_early(check: FollowUp, fitted: Moment, at: Moment) -> Option<String> {
    let since = at.unix_ms - fitted.unix_ms;
    let is_early = since < DAY_CHECK_HOURS * 60 * 60_000;
    (check == FollowUp::Day && is_early).then(|| {
        format!(
            "The final went in on {}. The check at 24 hours is taken from {DAY_CHECK_HOURS} hours after that on \
             (common practice, no source): enter a visit before as “{}”.",
            fitted.in_words(),
            FollowUp::Other.shown()
        )
    })
}

/// The complaints of these numbers.
pub fn complaints_of(numbers: &[u8]) -> Vec<&'static Complaint> {
    numbers.iter().filter_map(|one| complaint(*one)).collect()
}

/// "a remake, cause: jaw record or height; as the office sees it the part of both sides"
pub fn outcome_words(
    followed_by: FollowedBy,
    cause: Option<WorkCause>,
    share: Option<WorkShare>,
) -> String {
    let cause = cause.map(|one| format!(", cause: {}", one.shown()));
    let share = share.map(|one| format!("; as the office sees it the part of {}", one.shown()));
    format!(
        "{}{}{}",
        followed_by.shown(),
        cause.unwrap_or_default(),
        share.unwrap_or_default()
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const HOUR: i64 = 60 * 60_000;

    fn at(ms: i64) -> Moment {
        Moment::new(ms, 0)
    }

    fn entry(followed_by: FollowedBy, answer: Option<(i64, bool)>) -> FollowUpEntry {
        FollowUpEntry {
            event: EventId::new("e"),
            at: at(0),
            by: "Dora, Northgate".to_owned(),
            check: FollowUp::Week,
            arches: Arches::Both,
            examined: Vec::new(),
            complaints: vec![1],
            done: String::new(),
            followed_by,
            cause: Some(WorkCause::JawRecord),
            share: Some(WorkShare::Both),
            answer: answer.map(|(ms, agrees)| ShareAnswer {
                at: at(ms),
                since: at(ms),
                by: "Tom, Kiln".to_owned(),
                agrees,
                note: String::new(),
            }),
        }
    }

    /// Common practice, no source: twelve hours and more are the next day.
    #[test]
    fn the_check_at_24_hours_is_none_a_minute_after_the_fit() {
        for (check, hours_after, minutes, is_early) in [
            (FollowUp::Day, 0, 1, true),
            (FollowUp::Day, 11, 59, true),
            (FollowUp::Day, 12, 0, false),
            (FollowUp::Day, 24, 0, false),
            (FollowUp::Day, 80, 0, false),
            (FollowUp::Other, 0, 1, false),
            (FollowUp::Week, 0, 1, false),
        ] {
            let now = at(1_000 + hours_after * HOUR + minutes * 60_000);
            let found = too_early(check, at(1_000), now);
            assert_eq!(
                found.is_some(),
                is_early,
                "{check:?} {hours_after} {minutes}"
            );
            let says = |words: &String| words.contains("12 hours") && words.ends_with('.');
            assert!(found.iter().all(says), "{found:?}");
        }
    }

    #[test]
    fn what_is_made_again_is_to_be_ordered_from_the_answer_on_until_a_revision_is_signed() {
        use FollowedBy::{Correction, Remake};
        for (entries, signed, is_found) in [
            (vec![entry(Remake, Some((10, true)))], Some(5), true),
            (vec![entry(Remake, Some((10, true)))], None, true),
            (vec![entry(Remake, Some((10, true)))], Some(10), false),
            (vec![entry(Remake, Some((10, true)))], Some(11), false),
            (vec![entry(Remake, Some((10, false)))], Some(5), true),
            (vec![entry(Remake, Some((10, false)))], Some(10), false),
            (vec![entry(Remake, None)], Some(5), false),
            (vec![entry(Correction, Some((10, true)))], Some(5), true),
            (vec![entry(Correction, Some((10, true)))], Some(10), false),
            (
                vec![entry(FollowedBy::Nothing, Some((10, true)))],
                Some(5),
                false,
            ),
            (vec![], None, false),
        ] {
            let found = again_to_order(&entries, signed.map(at), &[]).next();
            assert_eq!(found.is_some(), is_found, "{entries:?} {signed:?}");
        }
        // One for each arch are two.
        let of = |arches: Arches, answered: i64| FollowUpEntry {
            arches,
            ..entry(Remake, Some((answered, true)))
        };
        let both = [of(Arches::Upper, 10), of(Arches::Lower, 12)];
        let arches = |signed: i64| {
            let found = again_to_order(&both, Some(at(signed)), &[]);
            found.map(|one| one.arches).collect::<Vec<_>>()
        };
        assert_eq!(arches(5), [Arches::Upper, Arches::Lower]);
        assert_eq!(arches(11), [Arches::Lower]);
        assert_eq!(arches(12), []);
        // An agreement that comes after the order asks for no second one.
        let mut turned = entry(Remake, Some((20, true)));
        if let Some(answer) = &mut turned.answer {
            answer.since = at(10);
        }
        let turned = [turned];
        assert!(again_to_order(&turned, Some(at(9)), &[]).next().is_some());
        assert!(again_to_order(&turned, Some(at(15)), &[]).next().is_none());
    }

    #[test]
    fn a_remake_is_known_before_the_lab_has_answered_and_until_it_is_ordered() {
        use FollowedBy::{Correction, Remake};
        for (entries, signed, is_found) in [
            (vec![entry(Remake, None)], None, true),
            (vec![entry(Remake, None)], Some(-1), true),
            (vec![entry(Remake, Some((10, false)))], Some(-1), true),
            (vec![entry(Remake, None)], Some(1), false),
            (vec![entry(Correction, None)], None, false),
            (vec![], None, false),
        ] {
            let found = remakes_since(&entries, signed.map(at)).next();
            assert_eq!(found.is_some(), is_found, "{entries:?} {signed:?}");
        }
    }

    #[test]
    fn what_is_made_again_in_a_case_of_its_own_is_ordered_there() {
        let entries = [entry(FollowedBy::Remake, Some((10, true)))];
        let case = |opened_ms, arches| CaseBeside { opened_ms, arches };
        let (both, upper, lower) = (Arches::Both, Arches::Upper, Arches::Lower);
        for (others, is_open) in [
            (vec![case(10, both)], false),
            (vec![case(11, both)], false),
            (vec![case(9, both)], true),
            (vec![case(11, upper)], true),
            (vec![case(11, upper), case(12, lower)], false),
            (vec![case(9, upper), case(12, lower)], true),
        ] {
            let found = again_to_order(&entries, Some(at(5)), &others).next();
            assert_eq!(found.is_some(), is_open, "{others:?}");
        }
    }

    #[test]
    fn what_the_lab_sees_otherwise_can_be_entered_anew() {
        use FollowedBy::{Nothing, Remake};
        let disputed = entry(Remake, Some((10, false)));
        let anew = |check, arches, followed_by, ms: i64| FollowUpEntry {
            event: EventId::new("anew"),
            at: at(ms),
            check,
            arches,
            ..entry(followed_by, None)
        };
        let (both, upper) = (Arches::Both, Arches::Upper);
        for (later, is_anew) in [
            (anew(FollowUp::Week, both, Nothing, 11), true),
            (anew(FollowUp::Week, both, Remake, 11), true),
            (anew(FollowUp::Month, both, Remake, 11), true),
            (anew(FollowUp::Month, both, Nothing, 11), false),
            (anew(FollowUp::Week, upper, Nothing, 11), false),
            (anew(FollowUp::Week, both, Nothing, 9), false),
        ] {
            let entries = [disputed.clone(), later];
            assert_eq!(is_said_anew(&entries, &entries[0]), is_anew, "{entries:?}");
            let mut open = again_to_order(&entries, Some(at(5)), &[]);
            assert_eq!(open.next().is_none(), is_anew, "{entries:?}");
        }
        // What both houses see alike stands, whatever is entered later.
        let agreed = [
            entry(Remake, Some((10, true))),
            anew(FollowUp::Week, both, Nothing, 11),
        ];
        assert!(!is_said_anew(&agreed, &agreed[0]));
    }

    proptest! {
        #[test]
        fn no_revision_after_the_answer_leaves_a_remake_open(answer in 0i64..1_000, later in 0i64..1_000) {
            let entries = [entry(FollowedBy::Remake, Some((answer, true)))];
            prop_assert!(again_to_order(&entries, Some(at(answer + later)), &[]).next().is_none());
            prop_assert!(again_to_order(&entries, Some(at(answer - 1 - later)), &[]).next().is_some());
        }
    }
}
