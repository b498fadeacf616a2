//! A note that says what is wrong with an earlier entry, and what is right.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence, WhenClosed};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Holder;
use crate::domain::form::{FieldSpec, Kind, Raw, command, text};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// A correction of an earlier entry, which stays as it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Corrected {
    pub event: EventId,
    pub note: String,
}

command! {
    /// What the form asks for.
    CorrectedForm;
    event: EventId = Kind::Entry, "Which entry", "", needed "Choose the entry.";
    correction: String = text(500), "What is wrong, and what is right", "", needed "Say what is wrong and what is right.";
}

impl ItemAction for Corrected {
    const ACTION: &'static str = "correct";
    const LABEL: &'static str = "Add a correction note";
    const HINT: &'static str = "The entry stays as it is; the correction is written below it.";
    const FIELDS: &'static [FieldSpec] = CorrectedForm::FIELDS;
    const FROM_PAPER: bool = false;

    fn typed(_: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Corrected> {
        let form = CorrectedForm::read(raw, faults)?;
        Some(Corrected {
            event: form.event,
            note: form.correction,
        })
    }

    fn example(about: &Subject<'_>) -> Corrected {
        Corrected {
            event: about.entry.cloned().unwrap_or_default(),
            note: "note".to_owned(),
        }
    }
}

impl Constants for Corrected {
    const WORD: &'static str = "corrected";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["event"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/note", "correction")];
}

impl EventKind for Corrected {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    /// j: a correction appends, and names an event that is there.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if proposal.journal.earlier(&self.event).is_none() {
            proposal.refuse(CustodyRule::J, None, "There is no such entry to correct.");
        }
        let wanted = "Say what is wrong with the entry and what is right.";
        proposal.needs(&self.note, CustodyRule::J, None, wanted);
    }

    fn apply(&self, _: &mut CaseState, _: &Stamp<'_>) {}

    fn describe(&self, _: Named<'_>) -> Sentence {
        (
            "Correction of an earlier entry".to_owned(),
            vec![self.note.clone()],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Corrected)
    }

    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        None
    }

    fn when_closed(&self) -> WhenClosed {
        WhenClosed::Allowed
    }

    fn shows_with(&self) -> Option<&EventId> {
        Some(&self.event)
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.event]
    }
}
