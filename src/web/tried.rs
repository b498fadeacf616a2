//! What comes back with a page whose form was not carried out.

use super::error::{FormErrors, WebError};
use super::extract::Typed;
use super::typed_form::TypedForm;
use crate::app::AppError;
use crate::domain::values::fault::Fault;
use axum::http::StatusCode;

/// All that was typed, the messages beside its fields, and what stands against it; empty for a page as it is
/// first shown.
#[derive(Debug, Default)]
pub struct Tried {
    pub typed: TypedForm,
    pub faults: Vec<Fault>,
    pub refusals: Vec<String>,
}

impl Tried {
    /// With the status of the page that shows it; any other failure has a page of its own.
    pub fn of(form: Typed, error: AppError) -> Result<(StatusCode, Tried), WebError> {
        let back = FormErrors::of(error)?;
        let tried = Tried {
            typed: form.0,
            faults: back.faults,
            refusals: back.refusals,
        };
        Ok((back.status, tried))
    }
}
