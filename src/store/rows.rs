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

/// A yes or no kept as 1 or 0.
pub(crate) fn flag(row: &AnyRow, column: &str) -> Result<bool, StoreError> {
    Ok(row.try_get::<i64, _>(column)? != 0)
}
