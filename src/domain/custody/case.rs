//! A case: one patient's course for one set of dentures, between one office and one lab.

use crate::domain::people::party::Side;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, PatientCode};
use crate::domain::values::words_of;

words_of! {
    /// The four columns of the first page: where the case as a whole stands.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
    pub enum Place {
        Office = "At the office",
        OnTheWay = "On the way",
        Lab = "At the lab",
        Patient = "With the patient",
    }
}

/// A case as stored, with what the first page shows of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Case {
    pub number: CaseNumber,
    pub office: String,
    pub lab: String,
    pub patient: PatientCode,
    pub arches: Arches,
    pub opened_ms: i64,
    pub closed: bool,
    pub place: Place,
    /// Why work is held; empty when it is not.
    pub held: String,
    /// Whom the next step waits for, in words; empty when nobody.
    pub waiting_for: String,
    /// The date in the dentist's hands, `2026-03-02`; empty while no signed revision says one.
    pub due: String,
    /// The earliest day on which something lent is due back with its lender; empty when nothing is.
    pub lent_due: String,
    /// What is ordered, in a few words.
    pub summary: String,
    /// The newest signed revision; 0 when none is.
    pub revision: i64,
    /// The newest revision that the lab has acknowledged; 0 when none is.
    pub acknowledged: i64,
    pub changed_ms: i64,
    pub version: i64,
}

impl Case {
    /// The side of the party `id`; `None` for a stranger, who may not even know that the case exists.
    pub fn side_of(&self, id: &str) -> Option<Side> {
        if id.is_empty() {
            None
        } else if self.office == id {
            Some(Side::Office)
        } else if self.lab == id {
            Some(Side::Lab)
        } else {
            None
        }
    }

    /// Whether this side has something to do next, drawn from the words of [`next_step`]
    /// and [`to_settle`].
    pub fn waits_for(&self, side: Side) -> bool {
        let whom = match side {
            Side::Office => "the office",
            Side::Lab => "the lab",
        };
        self.waiting_for
            .split("; ")
            .any(|step| step.starts_with(whom))
    }
}

/// The steps that a hold asks for: a signed statement of each of these sides, the earliest first. What is
/// on the way is received all the same; all else waits.
pub fn to_settle(sides: &[Side], place: Place, next: &str) -> String {
    let words = |side: &Side| match side {
        Side::Office => "the office: settle what was found wrong",
        Side::Lab => "the lab: settle what was found wrong",
    };
    let mut steps: Vec<&str> = sides.iter().map(words).collect();
    if place == Place::OnTheWay || steps.is_empty() {
        steps.push(next);
    }
    steps.retain(|step| !step.is_empty());
    steps.join("; ")
}

/// Whom the next step waits for when nothing is held: by where the case stands and what is signed.
pub fn next_step(
    place: Place,
    revision: i64,
    acknowledged: i64,
    open_to_office: bool,
    to_fit: bool,
) -> &'static str {
    match place {
        // What is in a box is received first, whether the prescription is signed or not.
        Place::OnTheWay if open_to_office => "the office: receive what is on the way",
        Place::OnTheWay => "the lab: receive what is on the way",
        _ if revision == 0 => "the office: write and sign the prescription",
        Place::Lab if acknowledged < revision => "the lab: read and acknowledge the prescription",
        Place::Lab => "the lab: make the work and hand it back",
        Place::Office if to_fit => "the office: fit what came back",
        Place::Office => "the office: hand over to the lab",
        Place::Patient => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_step_is_always_somebodys_until_the_patient_wears_the_final() {
        let table = [
            (Place::Office, 0, 0, false, "the office: write"),
            (Place::Lab, 0, 0, false, "the office: write"),
            (Place::OnTheWay, 0, 0, false, "the lab: receive"),
            (Place::OnTheWay, 0, 0, true, "the office: receive"),
            (Place::OnTheWay, 1, 0, false, "the lab: receive"),
            (Place::OnTheWay, 1, 1, true, "the office: receive"),
            (Place::Lab, 1, 0, false, "the lab: read"),
            (Place::Lab, 2, 1, false, "the lab: read"),
            (Place::Lab, 2, 2, false, "the lab: make"),
            (Place::Office, 1, 1, false, "the office: hand over"),
        ];
        for (place, revision, acknowledged, open, words) in table {
            let step = next_step(place, revision, acknowledged, open, false);
            assert!(
                step.starts_with(words),
                "{place:?} {revision} {acknowledged}: {step}"
            );
        }
        let at_the_office = next_step(Place::Office, 1, 1, false, true);
        assert_eq!(at_the_office, "the office: fit what came back");
        assert_eq!(next_step(Place::Patient, 1, 1, false, false), "");
    }
}
