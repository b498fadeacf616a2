//! Which text of an earlier entry was taken out for good, and why.

use crate::domain::form::choice_field;
use crate::domain::values::ids::EventId;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

/// What stands where a text was.
pub const ERASED: &str = "[erased]";

words_of! {
    /// Why a text is taken out: a word of a list, so that the reason cannot say again what was erased.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum EraseReason {
        NamesPatient = "it names the patient or makes the patient known",
        NamesOther = "it names or describes somebody else",
        Asked = "the person it is about has asked for it",
        Unrelated = "it has nothing to do with this case",
    }
}

choice_field!(EraseReason);

/// A text that was taken out of an earlier entry.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ErasedText {
    /// The entry's id.
    pub event: EventId,
    /// Where in the entry it stood: a JSON pointer (RFC 6901).
    pub place: String,
}
