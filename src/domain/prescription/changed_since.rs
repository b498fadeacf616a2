//! What a reader has to know of the next revision: the differences, without what says itself elsewhere.

use super::course::{asks_of, by_course};
use super::differences::Difference;
use super::parts::Course;
use super::revision::Document;
use super::sections::keys;
use crate::domain::form::Whole;
use crate::domain::values::tooth::Numbering;
use std::collections::BTreeSet;

/// The field of the kind of work.
pub const KIND_OF_WORK: &str = "order.course";

/// What goes with each text: things of the case, and what was let stand, have lists and marks of their own.
const OWN_LISTS: [&str; 4] = [keys::ITEMS, keys::SCORE, keys::CAUTIONS, keys::WARNINGS];

/// Sections that each kind of work fills in its own way. Common practice, no source.
const OF_THE_KIND: [&str; 9] = [
    "order",
    "approval",
    "pattern",
    "scan_set",
    "duplicate",
    "enclosures",
    "back",
    "dates",
    "remarks",
];

/// What a height takes with it that was refused: it is told as refused, and not piece by piece.
const OF_THE_HEIGHT: [&str; 2] = ["jaw", "vertical"];

/// Days of the patient, whatever the lab makes meanwhile.
const PATIENT_DAYS: [&str; 2] = ["dates.insertion", "dates.first_check"];

impl Document {
    /// What this text says otherwise than the one before it, for a reader who works from this one. Between two kinds of
    /// work that is the new kind, the values that both say otherwise, and those that the new kind asks and that are there
    /// no longer: what the one asks and the other does not is no change.
    pub fn changed_since(&self, before: &Document, numbering: Numbering) -> Vec<Difference> {
        let mut found = self.compared_since(before, numbering, true);
        if self.follows_another_look(before) {
            found.retain(|one| !is_of_the_look(one) || one.after.is_some());
            let of_the_look = found.iter_mut().filter(|one| is_of_the_look(one));
            of_the_look.for_each(|one| one.before = None);
        }
        found
    }

    /// Whether it answers a later try-in than the text before it: what was to be changed after that one is done, and what
    /// is to be changed now is no other wording of it.
    fn follows_another_look(&self, before: &Document) -> bool {
        let [was, is] = [before, self].map(|document| &document.prescription.approval);
        let is_later =
            |was: Option<i64>, is: Option<i64>| was.is_some() && is.is_some() && was != is;
        let days = [was, is].map(|look| look.on.map(|day| i64::from(day.date().to_julian_day())));
        let numbers = [was, is].map(|look| look.try_in_no.map(Whole::get));
        is_later(days[0], days[1]) || is_later(numbers[0], numbers[1])
    }

    /// The same as the sheet has it that this text was signed for: what was not told when it was printed is not told when it
    /// is printed again.
    pub fn changed_on_sheet(&self, before: &Document) -> Vec<Difference> {
        match self.sheet {
            ..6 => self.differences(before, self.numbering),
            6 => self.compared_since(before, self.numbering, false),
            7 => self.compared_since(before, self.numbering, true),
            8.. => self.changed_since(before, self.numbering),
        }
    }

    fn compared_since(
        &self,
        before: &Document,
        numbering: Numbering,
        with_withdrawn: bool,
    ) -> Vec<Difference> {
        let mut found = self.differences(before, numbering);
        found.retain(|one| !OWN_LISTS.contains(&one.of));
        let [was, is] = [before, self].map(|document| document.prescription.order.course);
        // Where everything is asked, no kind of work says what is a change.
        let is_kind_of =
            |(was, is): &(Course, Course)| was != is && ![*was, *is].contains(&Course::Everything);
        let Some(kinds) = was.zip(is).filter(is_kind_of) else {
            return found;
        };
        let is_kind = |one: &Difference| one.key == KIND_OF_WORK;
        let kind = found.iter().find(|one| is_kind(one)).cloned();
        let gone = found.iter().filter(|one| with_withdrawn && is_gone(one));
        let withdrawn: BTreeSet<&str> = gone.map(|one| one.key).collect();
        let refuses = self.prescription.approval.refuses_height();
        let is_withdrawn = |one: &Difference| {
            withdrawn.contains(one.key) && !(refuses && OF_THE_HEIGHT.contains(&one.of))
        };
        found.retain(|one| holds_for_both(one, kinds, is_withdrawn(one)));
        let kind = kind.map(|kind| Difference {
            label: "New kind of work".to_owned(),
            ..kind
        });
        kind.into_iter().chain(found).collect()
    }
}

/// Whether it is said of one try-in, or asked for after it.
fn is_of_the_look(one: &Difference) -> bool {
    one.of == "approval" || one.key == "changes" || one.key.starts_with("changes.")
}

fn is_gone(one: &Difference) -> bool {
    one.before.is_some() && one.after.is_none()
}

/// `is_withdrawn` of a field that is filled no longer, and of a list in which a row is there no longer: what stands in its
/// place goes with it.
fn holds_for_both(one: &Difference, (was, is): (Course, Course), is_withdrawn: bool) -> bool {
    if [keys::HEAD, keys::PATIENT, keys::PROFILES].contains(&one.of) {
        return true;
    }
    let follows = |course| by_course(course).any(|(key, _)| key == one.key);
    let is_own = OF_THE_KIND.contains(&one.of) && !PATIENT_DAYS.contains(&one.key);
    let is_changed = one.before.is_some() && one.after.is_some();
    let is_shown = is_changed || is_withdrawn && asks_of(is, one.key);
    is_shown && !is_own && !follows(was) && !follows(is)
}
