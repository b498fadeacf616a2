//! The prescription and its setting side by side, with the questions that several rules ask of them.

use super::courses::courses_asked;
use super::setting::Setting;
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{FileFacts, Holder, State};
use crate::domain::form::{Clock, Day};
use crate::domain::form::{Text, YesNo};
use crate::domain::people::patient::Patient;
use crate::domain::prescription::{
    Course, Enclosed, JawPosition, PatternRule, PatternSource, Piece, Prescription, ScanFile,
    ScanShows, Scheme, Stage,
};
use crate::domain::trade::due;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::tooth::Numbering;
use std::cell::OnceCell;
use time::Date;

/// Stages in which teeth are set or made.
pub const WITH_TEETH: &[Stage] = &[
    Stage::SetUp,
    Stage::TryIn,
    Stage::Reset,
    Stage::Process,
    Stage::Duplicate,
];
/// Stages in which the tissue side is made new.
pub const TISSUE_MADE: &[Stage] = &[Stage::Process, Stage::Reline, Stage::Rebase];

/// Both arches, upper first.
pub const BOTH: [Arch; 2] = [Arch::Upper, Arch::Lower];

/// What every rule judges: the prescription and what stands around it.
pub struct Input<'a> {
    /// As far as it could be read.
    pub rx: &'a Prescription,
    /// The case around it.
    pub setting: &'a Setting,
    /// What kinds of work it is, by what they ask.
    pub courses: Vec<Course>,
    texts: OnceCell<Vec<FreeText>>,
}

/// A text of the writer's own words.
pub struct FreeText {
    /// The entry of its field, `changes.#.note`.
    pub field: &'static str,
    /// The same with its row: `changes.0.note`.
    pub key: String,
    /// The section that it stands in.
    pub title: &'static str,
    pub text: String,
}

impl<'a> Input<'a> {
    /// Puts the two side by side.
    pub fn new(rx: &'a Prescription, setting: &'a Setting) -> Input<'a> {
        Input {
            rx,
            setting,
            courses: courses_asked(rx),
            texts: OnceCell::new(),
        }
    }

    /// Every free text that is filled in, in the order of the visit.
    pub fn texts(&self) -> &[FreeText] {
        // Free texts hold no tooth, so any numbering will do.
        let sections = || self.rx.filled(Numbering::Iso3950).into_iter();
        self.texts.get_or_init(|| {
            let cells = sections().flat_map(|(section, cells)| {
                let free = cells.into_iter().filter(|cell| cell.spec.is_free_text());
                free.map(move |cell| FreeText {
                    field: cell.spec.key,
                    key: cell.key(),
                    title: section.title,
                    text: cell.raw,
                })
            });
            cells.collect()
        })
    }

    /// The pieces of the order.
    pub fn pieces(&self) -> &'a [Piece] {
        &self.rx.order.pieces
    }

    /// Whether the work reaches one of these stages. While no piece is listed nobody knows, and
    /// everything is asked for.
    pub fn reaches(&self, stages: &[Stage]) -> bool {
        let said: Vec<Stage> = self
            .pieces()
            .iter()
            .filter_map(|piece| piece.stage)
            .collect();
        said.is_empty() || said.iter().any(|stage| stages.contains(stage))
    }

    /// Whether a piece is to go to exactly this stage.
    pub fn has_stage(&self, stage: Stage) -> bool {
        self.pieces().iter().any(|piece| piece.stage == Some(stage))
    }

    /// Whether a piece of this arch is ordered, or may be: a piece that does not say its arch can be of
    /// either one that is treated.
    pub fn orders(&self, arch: Arch) -> bool {
        let pieces = self.pieces();
        let unsaid = pieces.is_empty() || pieces.iter().any(|piece| piece.arch.is_none());
        let said = pieces.iter().any(|piece| piece.arch == Some(arch));
        said || (unsaid && self.setting.treats(arch))
    }

    /// The one arch that is worked on, where it is one.
    pub fn single_arch(&self) -> Option<Arch> {
        match (self.orders(Arch::Upper), self.orders(Arch::Lower)) {
            (true, false) => Some(Arch::Upper),
            (false, true) => Some(Arch::Lower),
            _ => None,
        }
    }

    /// When it leaves the office: the day of sending where one is written, else today.
    pub fn sent(&self) -> (Date, Option<Clock>) {
        let dates = &self.rx.dates;
        match dates.sent {
            Some(day) => (day.date(), dates.sent_at),
            None => (self.setting.today, dates.sent_at),
        }
    }

    /// When it leaves, as far as it can: on a first prescription nothing that is still here has left in the past.
    pub fn leaves(&self) -> (Date, Option<Clock>) {
        let (sent, clock) = self.sent();
        let is_here = |row: &Enclosed| {
            let state = row.tag.as_ref().and_then(|tag| self.state(tag));
            state.is_some_and(|state| state.holder == Holder::Office)
        };
        let is_first = self.setting.previous.is_none();
        if is_first && sent < self.setting.today && self.enclosed().iter().any(is_here) {
            return (self.setting.today, None);
        }
        (sent, clock)
    }

    /// The day on which it comes to the lab, by the days of both houses.
    pub fn arrives(&self) -> Option<Date> {
        let (_, found) = due::earliest(self.rx, self.leaves(), &self.setting.lists)?;
        found.ok().map(|found| found.arrives)
    }

    /// Whole days from a day to that of sending.
    pub fn days_until_sent(&self, from: Day) -> i64 {
        (self.sent().0 - from.date()).whole_days()
    }

    /// The facts of the patient's card, where there is one.
    pub fn patient(&self) -> Option<&'a Patient> {
        self.setting.patient.as_ref()
    }

    /// The item of this case with this tag.
    pub fn item(&self, tag: &Tag) -> Option<&'a Item> {
        Item::of(&self.setting.items, tag)
    }

    /// What kind of thing a tag stands on.
    pub fn kind(&self, tag: &Tag) -> Option<ItemKind> {
        self.item(tag).map(|item| item.kind)
    }

    /// Where an item is, and in what condition.
    pub fn state(&self, tag: &Tag) -> Option<&'a State> {
        self.setting.custody.get(tag)
    }

    /// What the prescription says is in the box.
    pub fn enclosed(&self) -> &'a [Enclosed] {
        &self.rx.enclosures.enclosed
    }

    /// The items of the case that are in the list of what is enclosed, with their row.
    pub fn enclosed_items(&self) -> impl Iterator<Item = (usize, &'a Item)> + '_ {
        self.enclosed()
            .iter()
            .enumerate()
            .filter_map(|(row, enclosed)| {
                let tag = enclosed.tag.as_ref()?;
                Some((row, self.item(tag)?))
            })
    }

    /// What a file is known by, as it stands with its item.
    pub fn file(&self, tag: &Tag) -> Option<&'a FileFacts> {
        self.state(tag)?.file.as_ref()
    }

    /// Whether a file shows the denture of this arch all round.
    pub fn is_scanned(&self, arch: Arch) -> bool {
        let wanted = match arch {
            Arch::Upper => ScanShows::UpperWhole,
            Arch::Lower => ScanShows::LowerWhole,
        };
        let mut files = self.rx.scan_set.scans.iter();
        files.any(|scan| scan.shows == Some(wanted))
    }

    /// Whether files are sent and no thing: their list is the list of what is enclosed.
    pub fn sends_files_alone(&self) -> bool {
        let scans = &self.rx.scan_set.scans;
        let is_named = |scan: &ScanFile| scan.tag.is_some() || scan.file.is_some();
        self.enclosed().is_empty() && !scans.is_empty() && scans.iter().all(is_named)
    }

    /// Whether the lab has it, or will find it in the box.
    pub fn reaches_lab(&self, tag: &Tag) -> bool {
        let listed = self
            .enclosed()
            .iter()
            .any(|row| row.tag.as_ref() == Some(tag));
        let there = self
            .state(tag)
            .is_some_and(|state| state.holder.is_with_lab());
        listed || there
    }

    /// Whether it has left the office already, so that how old it was when it left was asked with the
    /// revision before.
    pub fn has_left(&self, tag: &Tag) -> bool {
        self.state(tag).is_some_and(|state| {
            state.holder.is_with_lab() || matches!(state.holder, Holder::Carrier { .. })
        })
    }

    /// Whether the list of what is enclosed is there and names something. Otherwise that alone is asked for. A row with
    /// neither tag nor words is none of the things that another rule misses.
    pub fn lists_enclosures(&self) -> bool {
        self.enclosed().iter().any(names_a_thing)
    }

    /// Whether that list is there, and each of its rows names its thing.
    pub fn names_each_enclosure(&self) -> bool {
        !self.enclosed().is_empty() && self.enclosed().iter().all(names_a_thing)
    }

    /// Whether there is a denture or wax-up to work from.
    pub fn has_pattern(&self) -> bool {
        matches!(self.rx.pattern.source, Some(source) if source != PatternSource::None)
    }

    /// The tag of the pattern of one arch.
    pub fn pattern_of(&self, arch: Arch) -> Option<&'a Tag> {
        match arch {
            Arch::Upper => self.rx.pattern.upper_item.as_ref(),
            Arch::Lower => self.rx.pattern.lower_item.as_ref(),
        }
    }

    /// Whether the functional surface has left with the patterns that hold it.
    pub fn surface_has_left(&self) -> bool {
        let mut held = BOTH
            .into_iter()
            .filter_map(|arch| self.pattern_of(arch))
            .peekable();
        held.peek().is_some() && held.all(|tag| self.has_left(tag))
    }

    /// Whether the new denture follows its pattern, changed or not.
    pub fn copies(&self) -> bool {
        matches!(
            self.rx.pattern.rule,
            Some(PatternRule::Exactly | PatternRule::WithChanges)
        )
    }

    /// Whether a copy takes teeth and cusps over as they stand on its pattern: exactly, in the bite that is worn in.
    pub fn copies_teeth(&self) -> bool {
        let is_copy = |course: &Course| matches!(course, Course::Copy | Course::DigitalCopy);
        self.courses.iter().any(is_copy)
            && self.has_pattern()
            && self.rx.pattern.rule == Some(PatternRule::Exactly)
            && self.rx.occlusion.scheme == Some(Scheme::Pattern)
    }

    /// Whether a bite record is sent; the habitual bite of the pattern needs none.
    pub fn has_bite_record(&self) -> bool {
        let jaw = &self.rx.jaw;
        jaw.item.is_some()
            || (jaw.material.is_some() && jaw.position != Some(JawPosition::Intercuspation))
    }
}

/// Whether a row of what is enclosed says by its tag or in words what it is.
pub fn names_a_thing(row: &Enclosed) -> bool {
    row.tag.is_some() || row.what.is_some()
}

/// Answered with yes; an open question is not.
pub fn yes(answer: Option<YesNo>) -> bool {
    answer.is_some_and(YesNo::is_yes)
}

/// Answered with no; an open question is not.
pub fn no(answer: Option<YesNo>) -> bool {
    answer == Some(YesNo::No)
}

/// The words of a text field in small letters; empty where it is not filled.
pub fn words(text: &Option<Text>) -> String {
    text.as_ref()
        .map(|text| text.as_str().to_lowercase())
        .unwrap_or_default()
}

/// "Change 1", "Changes 1 and 3".
pub fn rows_named(noun: &str, rows: &[usize]) -> String {
    let plural = if rows.len() > 1 { "s" } else { "" };
    format!("{noun}{plural} {}", rows_shown(rows))
}

/// Rows as people count them: "1", "1 and 3", "1, 2 and 4".
fn rows_shown(rows: &[usize]) -> String {
    let shown: Vec<String> = rows.iter().map(|row| (row + 1).to_string()).collect();
    match shown.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
    }
}

/// The numbers of the rows for which `wrong` holds.
pub fn rows_where<T>(list: &[T], wrong: impl Fn(&T) -> bool) -> Vec<usize> {
    let numbered = list.iter().enumerate();
    numbered
        .filter(|(_, row)| wrong(row))
        .map(|(number, _)| number)
        .collect()
}
