//! What stands in a database beside its record: what an upgrade would sign now.

use super::connection::{Backend, Connection};
use super::error::StoreError;
use super::head::head;
use super::schema::has_table;
use sqlx::{AssertSqlSafe, Row};

/// Rows of cases, each with the column that dates them, where one does.
const OF_CASES: [(&str, &str); 5] = [
    ("case_file", "opened_ms"),
    ("item", ""),
    ("event", "at_ms"),
    ("revision", "signed_ms"),
    ("acknowledgement", "at_ms"),
];

/// Rows of what cases rest on. Of most, nothing is told by their day.
const BESIDE: [(&str, &str); 8] = [
    ("party", ""),
    ("account", ""),
    ("patient", "made_ms"),
    ("party_list_version", "at_ms"),
    ("usual_set", "at_ms"),
    ("settlement", ""),
    ("resumption", ""),
    ("admission", ""),
];

/// Rows, and between which moments they are dated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Unsigned {
    pub rows: i64,
    pub days_ms: Option<(i64, i64)>,
}

/// Counts the rows that an upgrade would enter in the record: those of reference data, and of the cases too where the
/// record is empty. A table that an earlier version did not have counts for none.
pub(super) async fn unsigned(
    conn: &mut Connection,
    backend: Backend,
) -> Result<Unsigned, StoreError> {
    let has_record = has_table(conn, backend, "record_head").await?;
    let is_empty = !has_record || head(conn).await?.frontier.size() == 0;
    let of_cases = OF_CASES.iter().filter(|_| is_empty);
    let mut found = Unsigned::default();
    for (table, column) in of_cases.chain(&BESIDE) {
        if !has_table(conn, backend, table).await? {
            continue;
        }
        // The texts are built from the constants above only.
        let sql = match *column {
            "" => format!("SELECT COUNT(*) AS n FROM {table}"),
            column => format!(
                "SELECT COUNT(*) AS n, MIN({column}) AS first_ms, MAX({column}) AS last_ms FROM {table}"
            ),
        };
        let row = sqlx::query(AssertSqlSafe(sql))
            .fetch_one(&mut *conn)
            .await?;
        let rows: i64 = row.try_get("n")?;
        found.rows += rows;
        if rows > 0 && !column.is_empty() {
            let (first, last) = (row.try_get("first_ms")?, row.try_get("last_ms")?);
            found.days_ms = Some(match found.days_ms {
                None => (first, last),
                Some((before, after)) => (before.min(first), after.max(last)),
            });
        }
    }
    Ok(found)
}
