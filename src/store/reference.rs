//! The keys of what is reference data: who works here, whose cards, lists and cleared alarms there are.
//! They are read on their own, so that a row that cannot be read hides no other.

use super::error::StoreError;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use strum::VariantArray;

/// What is reference data, in the order in which they refer to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, VariantArray)]
pub enum ReferenceData {
    Party,
    Account,
    Patient,
    List,
    UsualSet,
    Clearance,
    Resumption,
    Admission,
}

impl ReferenceData {
    /// Each of them.
    pub const ALL: &[ReferenceData] = ReferenceData::VARIANTS;

    /// Whether every version stays stored; of the others only the one in force does.
    pub const fn keeps_all_versions(self) -> bool {
        matches!(self, ReferenceData::List | ReferenceData::UsualSet)
    }
}

/// The keys after `key`, in order, at most `limit`.
pub async fn keys_after(
    conn: &mut AnyConnection,
    of: ReferenceData,
    key: &str,
    limit: i64,
) -> Result<Vec<String>, StoreError> {
    let sql = match of {
        ReferenceData::Party => "SELECT id AS k FROM party WHERE id > $1 ORDER BY id LIMIT $2",
        ReferenceData::Account => "SELECT id AS k FROM account WHERE id > $1 ORDER BY id LIMIT $2",
        ReferenceData::Patient => {
            "SELECT code AS k FROM patient WHERE code > $1 ORDER BY code LIMIT $2"
        }
        ReferenceData::List => "SELECT id AS k FROM party_list WHERE id > $1 ORDER BY id LIMIT $2",
        ReferenceData::UsualSet => {
            "SELECT DISTINCT id AS k FROM usual_set WHERE id > $1 ORDER BY id LIMIT $2"
        }
        ReferenceData::Clearance => {
            "SELECT alarm_id AS k FROM settlement WHERE alarm_id > $1 ORDER BY alarm_id LIMIT $2"
        }
        ReferenceData::Resumption => {
            "SELECT id AS k FROM resumption WHERE id > $1 ORDER BY id LIMIT $2"
        }
        ReferenceData::Admission => {
            "SELECT id AS k FROM admission WHERE id > $1 ORDER BY id LIMIT $2"
        }
    };
    let rows = sqlx::query(sql)
        .bind(key)
        .bind(limit)
        .fetch_all(conn)
        .await?;
    let one = |row: &AnyRow| Ok(row.try_get("k")?);
    rows.iter().map(one).collect()
}
