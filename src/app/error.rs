//! Every way in which an action can fail to happen. The web turns each into a page; the wording is here
//! or in the rule that refused.

use crate::clock::NoChance;
use crate::domain::prescription::revision::DocumentError;
use crate::domain::values::fault::Fault;
use crate::domain::values::words::capitalised;
use crate::record::witness::Why;
use crate::store::{AsStoreError, StoreError};

#[derive(Debug, thiserror::Error)]
pub enum AppError {
    /// Some fields are wrong: messages beside them, everything typed is kept.
    #[error("some fields are wrong")]
    Invalid(Vec<Fault>),
    /// A rule of the trade stands against it: each sentence says what and what to do now.
    #[error("{}", .0.join(" "))]
    Refused(Vec<String>),
    /// This role may not.
    #[error("{0}")]
    Denied(&'static str),
    /// Not there, or not for this person to know of.
    #[error("not found")]
    NotFound,
    /// A one-time link that is used up, void, too old, or never was: nobody hears which.
    #[error("the link is not open")]
    LinkOver,
    /// Somebody else was faster, or the page is older than what is stored.
    #[error("{0}")]
    Conflict(String),
    /// The sign-in name stays closed for some minutes.
    #[error("closed for {minutes} minutes")]
    Closed { minutes: i64 },
    /// Too many strangers wait for their passwords to be looked at.
    #[error("too many sign in at this moment")]
    Busy,
    /// A month of many cases is counted, and kept when it is done.
    #[error("this month is still being counted")]
    Counting,
    /// The newest checkpoint is another key's: nothing of a case can be proved, and none is shown.
    #[error("{}", Why::Unsigned.shown())]
    AnotherKey,
    /// Broken from within: a reference number on the page, the detail in the log.
    #[error(transparent)]
    Store(StoreError),
    #[error(transparent)]
    Chance(#[from] NoChance),
    #[error(transparent)]
    Document(#[from] DocumentError),
    #[error("{0}")]
    Inner(String),
}

impl From<StoreError> for AppError {
    fn from(error: StoreError) -> AppError {
        match error {
            StoreError::Stale(what) => {
                AppError::Conflict(format!("Somebody has changed {what} meanwhile."))
            }
            StoreError::CountedOut(_) | StoreError::NotKept(_) => {
                AppError::Refused(vec![capitalised(&error.to_string())])
            }
            other => AppError::Store(other),
        }
    }
}

impl AsStoreError for AppError {
    fn as_store_error(&self) -> Option<&StoreError> {
        match self {
            AppError::Store(error) => Some(error),
            _ => None,
        }
    }
}

impl AppError {
    /// Whether it is about what is stored of one case or one row alone: whoever lists many leaves that one out, and says so.
    pub(super) fn is_of_one_alone(&self) -> bool {
        match self {
            // The database leaves a leaf of it out: what stands on every page says that the record is another one.
            AppError::Store(StoreError::Forked(_)) => true,
            AppError::Store(error) => error.is_of_a_value(),
            AppError::Document(_) | AppError::Refused(_) | AppError::NotFound => true,
            _ => false,
        }
    }

    /// One wrong field.
    pub fn field(key: &str, message: impl Into<String>) -> AppError {
        AppError::Invalid(vec![Fault::new(key, message)])
    }

    /// The same with a message at a field that has none yet; any other failure as it is.
    pub fn and_field(self, key: &str, message: &str) -> AppError {
        match self {
            AppError::Invalid(mut faults) if faults.iter().all(|fault| fault.key != key) => {
                faults.push(Fault::new(key, message));
                AppError::Invalid(faults)
            }
            other => other,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_that_cannot_be_read_is_of_its_row_alone_and_a_database_that_is_gone_is_not() {
        let row = StoreError::row("event", 7, "its kind is not known");
        assert!(AppError::from(row).is_of_one_alone());
        assert!(AppError::NotFound.is_of_one_alone());
        let left_out = StoreError::Forked("leaf 7 is not found".to_owned());
        assert!(AppError::from(left_out).is_of_one_alone());
        let gone = StoreError::Address("none".to_owned());
        assert!(!AppError::from(gone).is_of_one_alone());
        assert!(!AppError::Busy.is_of_one_alone());
        // It is about all of them, so no list goes on without one.
        assert!(!AppError::AnotherKey.is_of_one_alone());
    }
}
