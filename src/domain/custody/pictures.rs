//! Pictures of a case: what each shows, as whom took it says, and by which hash its bytes are known.

use super::erased_text::ERASED;
use crate::domain::form::choice_field;
use crate::domain::values::ids::{EventId, PartyId, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

/// Pictures that print with a prescription: two on a page, and a lab reads no more than some pages.
pub const PRINTED_MOST: usize = 12;
/// Pictures that one case holds, those that were erased counted along: a page of them is still looked through.
pub const PICTURES_MOST: usize = 200;

words_of! {
    /// What a picture shows. Common practice, no source.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum PictureOf {
        SmileLine = "smile line",
        PatternInMouth = "pattern in the mouth",
        BiteRecord = "bite record",
        CastBeforeFlasking = "cast before flasking",
        CameBack = "what came back",
        AskedAbout = "what a question is about",
        Other = "something else",
    }
}

choice_field!(PictureOf);

/// A picture as its entry tells of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenPicture {
    /// The entry that adds it.
    pub event: EventId,
    pub at: Moment,
    /// Who added it, with the house.
    pub by: String,
    /// The house that added it.
    pub party: PartyId,
    /// When it was last said whether it is for the lab.
    pub marked: Moment,
    pub shows: PictureOf,
    pub item: Option<Tag>,
    /// The SHA-256 of its bytes, or [`ERASED`].
    pub hash: String,
    pub width: u32,
    pub height: u32,
    pub caption: String,
    /// Whether it prints with the prescription.
    pub for_lab: bool,
}

impl TakenPicture {
    /// Whether its bytes were taken out for good.
    pub fn is_erased(&self) -> bool {
        self.hash == ERASED
    }
}
