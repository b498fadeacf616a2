//! What the files of this room ask of a row or of an answer.

use super::error::StoreError;
use sqlx::Row;
use sqlx::any::AnyRow;

/// Exactly one row was to be written; none means that somebody else was faster.
pub(crate) fn one_row(
    done: &sqlx::any::AnyQueryResult,
    what: &'static str,
) -> Result<(), StoreError> {
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(StoreError::Stale(what))
    }
}

/// Exactly one row was written, which nobody else can have written first.
///
/// # Errors
/// Otherwise: somebody has laid what swallows it, past this program.
pub(crate) fn one_kept(
    done: &sqlx::any::AnyQueryResult,
    what: &'static str,
) -> Result<(), StoreError> {
    match done.rows_affected() {
        1 => Ok(()),
        _ => Err(StoreError::NotKept(what)),
    }
}

/// Stands between texts that come as one, since a row for each costs more than to read what it says. It is in none of
/// them: canonical JSON escapes it.
pub(crate) const BETWEEN: char = '\n';

/// A yes or no kept as 1 or 0.
pub(crate) fn flag(row: &AnyRow, column: &str) -> Result<bool, StoreError> {
    Ok(row.try_get::<i64, _>(column)? != 0)
}

/// An identifier of the rules, read from the text that its column holds.
pub(crate) fn id_of<T: for<'a> From<&'a str>>(row: &AnyRow, column: &str) -> Result<T, StoreError> {
    let text: String = row.try_get(column)?;
    Ok(T::from(&text))
}

/// The same where the column may hold nothing.
pub(crate) fn id_or_none<T: for<'a> From<&'a str>>(
    row: &AnyRow,
    column: &str,
) -> Result<Option<T>, StoreError> {
    let text: Option<String> = row.try_get(column)?;
    Ok(text.map(|text| T::from(&text)))
}
