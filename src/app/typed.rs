//! A form as it was typed, right or wrong.

use super::error::AppError;
use crate::domain::form::Form;
use crate::domain::values::fault::Fault;
use std::collections::BTreeMap;

/// What stands in a form: key to text.
pub type Typed = BTreeMap<String, String>;

/// The command that a form holds.
///
/// # Errors
/// What is wrong with it, field by field.
pub fn command<F: Form>(typed: &Typed) -> Result<F, AppError> {
    command_by(typed, F::read)
}

/// The same for a form whose command hangs on what it is about.
pub fn command_by<C>(
    typed: &Typed,
    read: impl FnOnce(&Typed, &mut Vec<Fault>) -> Option<C>,
) -> Result<C, AppError> {
    let mut faults = Vec::new();
    match read(typed, &mut faults) {
        Some(command) if faults.is_empty() => Ok(command),
        _ => Err(AppError::Invalid(faults)),
    }
}
