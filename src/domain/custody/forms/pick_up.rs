//! The carrier takes what was packed: who took it, and how many parcels.

use super::from_paper::FromPaper;
use super::release::{ExceptionForm, PARCELS_MOST, SendAnywayForm};
use crate::domain::custody::common_refusals::WRITE_WHO_TOOK_IT;
use crate::domain::custody::events::parcels_miscounted;
use crate::domain::custody::handoff::Handoff;
use crate::domain::form::{FieldSet, Form, Proof, Raw, Secret, command, name, whole};
use crate::domain::values::fault::Fault;

command! {
    /// The carrier's hand at the door.
    TakenForm;
    picked_by: String = name(100), "Name or initials of who took it", "As the carrier's person gives them.", needed WRITE_WHO_TOOK_IT;
    parcels: u32 = whole(1, PARCELS_MOST as i64, ""), "Parcels handed out, counted", "", needed "Count the parcels that were handed out.";
    handed_out_by: String = name(100), "Handed out by, if not by you", "";
}

/// A pick-up as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickUpForm {
    pub taken: TakenForm,
    pub from_paper: Option<FromPaper>,
    /// What was asked of a revision that is newer than what was packed, and answered.
    pub anyway: SendAnywayForm,
    /// Why a provisional leaves though its arch wears nothing else; mostly empty.
    pub exception: String,
    pub password: Secret,
}

impl Form for PickUpForm {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet::once(TakenForm::FIELDS),
            FromPaper::FIELDS,
            FieldSet::once(SendAnywayForm::FIELDS),
            FieldSet::once(ExceptionForm::FIELDS),
            FieldSet::once(Proof::FIELDS),
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<PickUpForm> {
        let taken = TakenForm::read(raw, faults);
        let from_paper = FromPaper::read(raw, faults);
        let anyway = SendAnywayForm::read(raw, faults);
        let exception = ExceptionForm::read(raw, faults);
        Some(PickUpForm {
            taken: taken?,
            from_paper,
            anyway: anyway?,
            exception: exception?.reason,
            password: Proof::read(raw, faults)?.password,
        })
    }
}

impl PickUpForm {
    /// What is wrong with it for this handoff.
    ///
    /// # Errors
    /// The message beside the count, where it is not that of the parcels that were packed.
    pub fn counted_for(&self, handoff: &Handoff) -> Result<(), Vec<Fault>> {
        match parcels_miscounted(self.taken.parcels, handoff) {
            Some(sentence) => Err(vec![Fault::new(TakenForm::parcels().key, sentence)]),
            None => Ok(()),
        }
    }
}
