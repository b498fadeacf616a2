//! What the files of this room ask of a row or of an answer.

use super::error::StoreError;
use crate::domain::values::ids::{AccountId, DeviceId, EventId, HandoffId, PartyId};
use sqlx::any::{AnyRow, AnyTypeInfo};
use sqlx::encode::IsNull;
use sqlx::error::BoxDynError;
use sqlx::{Any, Database, Decode, Encode, Row};

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

/// Lets an identifier of the rules be bound and read as the text that its column holds.
macro_rules! stored_as_text {
    ($($id:ty),+) => {
        $(
            impl sqlx::Type<Any> for $id {
                fn type_info() -> AnyTypeInfo {
                    <String as sqlx::Type<Any>>::type_info()
                }
                fn compatible(column: &AnyTypeInfo) -> bool {
                    <String as sqlx::Type<Any>>::compatible(column)
                }
            }

            impl<'q> Encode<'q, Any> for $id {
                fn encode_by_ref(&self, buffer: &mut <Any as Database>::ArgumentBuffer) -> Result<IsNull, BoxDynError> {
                    Encode::<Any>::encode(self.as_str().to_owned(), buffer)
                }
            }

            impl<'r> Decode<'r, Any> for $id {
                fn decode(value: <Any as Database>::ValueRef<'r>) -> Result<Self, BoxDynError> {
                    <String as Decode<Any>>::decode(value).map(Self::new)
                }
            }
        )+
    };
}

stored_as_text!(PartyId, AccountId, HandoffId, EventId, DeviceId);
