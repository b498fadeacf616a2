//! Stopping, pausing and cancelling the work, and letting it go on.

use super::shared::TEXT_MOST;
use crate::domain::custody::standstill::Fate;
use crate::domain::form::{
    FieldSet, Form, Kind, PASSWORD, Raw, Secret, choices, command, rows_with, text,
};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use std::collections::BTreeMap;

choices! {
    /// What the dentist decides.
    HaltKind {
        Stop = "stop", "stop the work now";
        Pause = "pause", "pause the work";
        GoOn = "go_on", "resume the work";
        Cancel = "cancel", "cancel it";
    }
}

command! {
    /// What is decided, and why.
    HaltReasonForm;
    halt: HaltKind = Kind::Hidden, "", "", needed "Choose what is to happen.";
    reason: String = text(TEXT_MOST), "Why", "The lab reads it. Nothing that names anybody.", needed "Say why: the lab reads it.";
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

command! {
    /// What becomes of one thing, where the work is cancelled.
    FateForm;
    fate: Option<Fate> = Fate::KIND, "What becomes of it", "";
    fate_consent: bool = Kind::Tick, "The patient consents", "Needed where it is destroyed: it is the patient’s.";
    fate_last: bool = Kind::Tick, "Destroy it all the same: the patient has no other for this arch", "";
}

/// A decision as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HaltForm {
    pub kind: HaltKind,
    pub reason: String,
    pub fates: BTreeMap<Tag, FateForm>,
    pub password: Secret,
}

impl Form for HaltForm {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet::once(HaltReasonForm::FIELDS),
            FieldSet {
                under: "#.",
                fields: FateForm::FIELDS,
            },
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<HaltForm> {
        let form = HaltReasonForm::read(raw, faults);
        let mut fates = BTreeMap::new();
        for row in rows_with(raw, FateForm::fate().key) {
            let Ok(tag) = Tag::parse(row) else { continue };
            let form = FateForm::read_under(raw, &format!("{row}."), faults)?;
            fates.insert(tag, form);
        }
        let form = form?;
        Some(HaltForm {
            kind: form.halt,
            reason: form.reason,
            fates,
            password: form.password,
        })
    }
}
