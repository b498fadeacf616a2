//! A form as it was typed, right or wrong.

use super::error::AppError;
use crate::domain::form::Form;
use crate::domain::values::fault::Fault;
use std::collections::BTreeMap;

/// What stands in a form: key to text.
pub type TypedTexts = BTreeMap<String, String>;

/// The command that a form holds.
///
/// # Errors
/// What is wrong with it, field by field.
pub fn command<F: Form>(typed: &TypedTexts) -> Result<F, AppError> {
    command_by(typed, F::read)
}

/// The same for a form whose command hangs on what it is about.
pub fn command_by<C>(
    typed: &TypedTexts,
    read: impl FnOnce(&TypedTexts, &mut Vec<Fault>) -> Option<C>,
) -> Result<C, AppError> {
    let mut faults = Vec::new();
    match read(typed, &mut faults) {
        Some(command) if faults.is_empty() => Ok(command),
        _ => Err(AppError::Invalid(faults)),
    }
}
