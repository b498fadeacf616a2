//! What the forms of custody ask for, each as the command that it makes. What is wrong with a form by itself is
//! said here; what is wrong with it in its case is said by the rules.

mod fitting;
mod from_paper;
mod pick_up;
mod receipt;
mod record;
mod registration;
mod release;
mod statement;

use super::events::DisinfectedForm;
use crate::domain::form::Raw;
use crate::domain::values::fault::Fault;
pub use fitting::{AS_IT_WAS, FitForm, Fitting, NOTHING};
pub use from_paper::{FromPaper, FromPaperForm};
pub use pick_up::{PickUpForm, TakenForm};
pub use receipt::{ExtraForm, FoundForm, ParcelFoundForm, ReceiptForm};
pub use record::RecordForm;
pub use registration::{ItemPlace, Registration, RegistrationForm};
pub use release::{
    CarriageForm, ExceptionForm, PARCELS_MOST, ParcelForm, ReleaseForm, SentForm, TakenNowForm,
};
pub use statement::{
    CloseForm, EraseForm, EraseReasonForm, ReopenForm, ResolveForm, TakeBackForm, text_key,
};

/// Characters of a text in an entry.
pub const TEXT_MOST: usize = 500;
/// Pieces that one item may consist of.
pub const PIECES_MOST: i64 = 99;

/// A disinfection that is entered along with something else; none where nothing of it was typed. What is half
/// filled in is a fault.
fn cleaning(raw: &Raw, faults: &mut Vec<Fault>) -> Option<DisinfectedForm> {
    let is_typed = |key: &str| raw.get(key).is_some_and(|text| !text.trim().is_empty());
    let mut texts = DisinfectedForm::FIELDS
        .iter()
        .filter(|spec| spec.kind != crate::domain::form::Kind::Tick);
    if texts.any(|spec| is_typed(spec.key)) {
        DisinfectedForm::read(raw, faults)
    } else {
        None
    }
}
