//! What may be taken out of earlier entries.

use super::{Proposal, Rule};
use crate::domain::custody::erasing::{called, erased};
use crate::domain::custody::event::ErasedText;

impl Proposal<'_> {
    /// Free texts only, each once, and only what one's own side has written.
    pub(super) fn form_erased(&mut self, texts: &[ErasedText]) {
        if texts.is_empty() {
            self.refuse(
                Rule::Form,
                None,
                "Choose at least one text that is to be erased.",
            );
        }
        for (place, text) in texts.iter().enumerate() {
            let mut earlier = erased(self.context.events).chain(texts.iter().take(place));
            if earlier.any(|one| one == text) {
                self.refuse(Rule::F, None, "This text has been erased already.");
                continue;
            }
            let mut events = self.context.events.iter();
            let event = events.find(|event| event.id == text.event);
            let Some((event, called)) =
                event.and_then(|one| Some((one, called(one, &text.place)?)))
            else {
                self.refuse(
                    Rule::J,
                    None,
                    "There is no such text to erase: names, tags, times and what was done stay.",
                );
                continue;
            };
            if event.by.party != self.by.party {
                let sentence = format!(
                    "The {called} of {} was written by {}: its people erase it.",
                    event.at, event.by.party_name
                );
                self.refuse(Rule::Right, None, sentence);
            }
        }
    }
}
