//! Whether every leaf's columns say the same as its bytes. Leaves are looked up by columns, and the columns are in no hash:
//! whoever can write the database could change them alone, and so hide a leaf or show another in its place.

use super::error::StoreError;
use super::head::unsigned;
use crate::record::filed::filed_under;
use sqlx::{AnyConnection, Row};

/// The columns by which a leaf is looked up, and its bytes, which say the same.
const COLUMNS: [&str; 4] = ["kind", "about", "case_number", "body"];
/// Leaves that one question reads.
const AT_ONCE: i64 = 2_000;
/// Separates the texts of several leaves. It stands in none of them, since canonical JSON escapes it.
const BETWEEN: char = '\n';

/// The first leaf whose columns say another kind, key or case than its bytes, in words; none if all are in order.
pub(super) async fn misfiled(conn: &mut AnyConnection) -> Result<Option<String>, StoreError> {
    let mut next = 0;
    loop {
        match some(conn, next).await? {
            Some(0) => return Ok(None),
            Some(count) => next += count,
            // One of them is not in order, or a separator stands in a text: each is looked at alone.
            None => match one_by_one(conn, next).await? {
                Ok(Some(after)) => next = after,
                Ok(None) => return Ok(None),
                Err(number) => return Ok(Some(words(number))),
            },
        }
    }
}

fn words(number: i64) -> String {
    format!("leaf {number} stands under another kind, key or case than its bytes say")
}

/// How many leaves were looked at from this number on, if all are in order. They come joined in one row, since a row for
/// each costs more than the comparison.
async fn some(conn: &mut AnyConnection, from: i64) -> Result<Option<i64>, StoreError> {
    let row = sqlx::query(
        "SELECT COUNT(*) AS n, string_agg(kind, $3) AS kind, string_agg(about, $3) AS about, \
         string_agg(case_number, $3) AS case_number, string_agg(body, $3) AS body \
         FROM (SELECT number, kind, about, case_number, body FROM leaf WHERE number >= $1 AND number < $2 ORDER BY number) \
         AS some_leaves",
    )
    .bind(from)
    .bind(from.saturating_add(AT_ONCE))
    .bind(BETWEEN.to_string())
    .fetch_one(conn)
    .await?;
    let count: i64 = row.try_get("n")?;
    if count == 0 {
        return Ok(Some(0));
    }
    let text = |column| row.try_get::<Option<String>, _>(column).ok().flatten();
    let [Some(kinds), Some(abouts), Some(owners), Some(bodies)] = COLUMNS.map(text) else {
        return Ok(None);
    };
    let is_distinguished =
        |text: &&String| text.matches(BETWEEN).count() as u64 + 1 == count.unsigned_abs();
    if ![&kinds, &abouts, &owners, &bodies]
        .iter()
        .all(is_distinguished)
    {
        return Ok(None);
    }
    let columns = kinds.split(BETWEEN).zip(abouts.split(BETWEEN));
    let columns = columns.zip(owners.split(BETWEEN));
    let mut leaves = columns.zip(bodies.split(BETWEEN));
    let is_in_order = leaves.all(|(((kind, about), owner), body)| fits([kind, about, owner, body]));
    Ok(is_in_order.then_some(count))
}

/// Whether a leaf's columns say the same as its bytes.
fn fits([kind, about, owner, body]: [&str; 4]) -> bool {
    filed_under(body).is_some_and(|filed| {
        filed.kind.word() == kind && filed.about == about && filed.owner == owner
    })
}

/// The number to go on from, none behind the last leaf; or the number of the leaf that is not in order.
async fn one_by_one(
    conn: &mut AnyConnection,
    from: i64,
) -> Result<Result<Option<i64>, i64>, StoreError> {
    let rows = sqlx::query(
        "SELECT number, kind, about, case_number, body FROM leaf WHERE number >= $1 ORDER BY number LIMIT $2",
    )
    .bind(from)
    .bind(AT_ONCE)
    .fetch_all(conn)
    .await?;
    let mut after = None;
    for row in &rows {
        let number = unsigned(row, "number")?.cast_signed();
        let told = COLUMNS.map(|column| row.try_get::<String, _>(column).unwrap_or_default());
        if !fits(told.each_ref().map(String::as_str)) {
            return Ok(Err(number));
        }
        after = Some(number + 1);
    }
    Ok(Ok(after))
}
