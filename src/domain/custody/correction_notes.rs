//! Notes that say what is wrong in an entry, for whoever has the things that the entry is about.

use super::case_state::CaseState;
use super::erased_text::ERASED;
use super::event::Event;
use super::events::What;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;

/// One note, and when it was written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CorrectionNote {
    pub at: Moment,
    pub words: String,
}

/// The notes on entries about any of these things that were written down after a moment. What was erased, and what is
/// withdrawn since, tells nothing.
pub fn correction_notes(
    events: &[Event],
    case: &CaseState,
    (tags, since): (&[Tag], Moment),
) -> Vec<CorrectionNote> {
    let is_about = |note: &What| {
        let What::Corrected(one) = note else {
            return false;
        };
        let mut all = events.iter();
        let entry = all.find(|event| event.id == one.event);
        entry.is_some_and(|entry| tags.iter().any(|tag| entry.what.concerns(tag)))
    };
    let note = |event: &Event| {
        let What::Corrected(one) = &event.what else {
            return None;
        };
        let is_later = event.entered_at.unix_ms > since.unix_ms;
        let stands = case.withdrawn_on(&event.id).is_none()
            && case.withdrawn_on(&one.event).is_none()
            && one.note != ERASED;
        (is_later && stands && is_about(&event.what)).then(|| CorrectionNote {
            at: event.entered_at,
            words: one.note.clone(),
        })
    };
    events.iter().filter_map(note).collect()
}
