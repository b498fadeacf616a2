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
    pub enum LookedAt {
        Asked = "The patient asked first",
        Ulcers = "Sore places along borders, frena, notches and the mylohyoid ridge",
        Paste = "Pressure places shown with paste",
        Occlusion = "Occlusion by clinical remount, before any base is ground",
        Speech = "OVD and S sound",
        Gag = "Gagging",
        Opening = "Hold while opening wide",
        Biting = "Cheek and tongue biting",
        Cleaning = "Cleaning and night wear explained",
        Spare = "Which set is worn; spare labelled and stored wet",
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
        Both = "both houses",
        Nobody = "neither house",
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
    pub looked: Vec<LookedAt>,
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

/// The complaints of these numbers.
pub fn complaints_of(numbers: &[u8]) -> Vec<&'static Complaint> {
    numbers.iter().filter_map(|one| complaint(*one)).collect()
}

/// "a remake, cause: jaw record or height; as the office sees it the part of both houses"
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
