//! What is signed about a case: how something wrong came about, that it ends or goes on, that a handoff is taken back,
//! and which texts are taken out.

use super::shared::TEXT_MOST;
use crate::domain::custody::erased_text::{EraseReason, ErasedText};
use crate::domain::form::{FieldSet, Form, Kind, PASSWORD, Proof, Raw, Secret, command, text};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{EventId, HoldId};

command! {
    /// How something that was found wrong came about.
    ResolveForm;
    hold: HoldId = Kind::Hidden, "", "";
    reason: String = text(TEXT_MOST), "How it came about", "", needed "Say how it came about.";
    done: String = text(TEXT_MOST), "What is done now", "", needed "Say what is done now.";
    not_packed: bool = Kind::Tick, "It was never packed: it is here with us", "Then it is in your hands, and can be handed over again.";
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

command! {
    /// The end of a case.
    CloseForm;
    nothing_made: bool = Kind::Tick, "Close it all the same: nothing was made to the prescription", "";
    note: String = text(TEXT_MOST), "Note", "";
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

command! {
    /// The case goes on.
    ReopenForm;
    reason: String = text(TEXT_MOST), "Why the case goes on", "", needed "Say why the case goes on.";
}

command! {
    /// Why the papers of a case are kept longer, or need not be any more.
    KeepForm;
    keep_reason: String = text(TEXT_MOST), "Why", "Both sides read it. Name nobody.", needed "Say why.";
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

command! {
    /// A handoff that never left, or came back.
    TakeBackForm;
    reason: String = text(TEXT_MOST), "Why it is taken back", "", needed "Say why it is taken back.";
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

command! {
    /// Why texts are taken out.
    EraseReasonForm;
    why: EraseReason = EraseReason::KIND, "Why it is erased", "", needed "Choose the reason.";
}

/// What stands before the entry and the place of a text in the key of its tick.
const TEXT: &str = "text.";
/// Texts of one erasing: each takes some 90 bytes of its entry, and an entry has 65,535.
const TEXTS_MOST: usize = 500;

/// The key of a text's tick: the entry's id, then the text's place, which begins with a slash.
pub fn text_key(event: &str, place: &str) -> String {
    format!("{TEXT}{event}{place}")
}

/// Which texts are to be erased, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EraseForm {
    pub texts: Vec<ErasedText>,
    pub why: EraseReason,
    pub password: Secret,
}

impl EraseForm {
    /// How many texts are taken out at once.
    ///
    /// # Errors
    /// A sentence, where there is none or there are too many.
    pub fn check_count(&self) -> Result<(), String> {
        match self.texts.len() {
            0 => Err("Tick at least one text that is to be erased.".to_owned()),
            count if count > TEXTS_MOST => Err(format!(
                "Tick at most {TEXTS_MOST} texts at once, and the others after that."
            )),
            _ => Ok(()),
        }
    }
}

impl Form for EraseForm {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet::once(EraseReasonForm::FIELDS),
            FieldSet::once(Proof::FIELDS),
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<EraseForm> {
        let ticked = raw.keys().filter_map(|key| key.strip_prefix(TEXT));
        let texts = ticked.filter_map(|key| {
            let place = key.find('/')?;
            let (event, place) = key.split_at_checked(place)?;
            Some(ErasedText {
                event: EventId::new(event),
                place: place.to_owned(),
            })
        });
        let why = EraseReasonForm::read(raw, faults);
        Some(EraseForm {
            texts: texts.collect(),
            why: why?.why,
            password: Proof::read(raw, faults)?.password,
        })
    }
}
