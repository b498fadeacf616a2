//! Whether every leaf's columns say the same as its bytes, whether none is missing, and whether a lookup by them finds it.
//! The columns and the indexes over them are in no hash: whoever can write the database could change them alone, and so
//! hide a leaf or show another in its place.

use super::error::StoreError;
use super::head::{head, signed, signed_as, unsigned};
use super::known_leaves::KnownLeaves;
use super::rows::BETWEEN;
use super::trust::{Trust, beyond, missing};
use crate::record::filed::{FiledUnder, filed_under};
use crate::record::hash::{Hash, leaf_hash};
use crate::record::key::Verifier;
use crate::record::tree::Frontier;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// The columns by which a leaf is looked up, and its bytes, which say the same.
const COLUMNS: [&str; 4] = ["kind", "about", "case_number", "body"];
/// Leaves that one question reads.
const AT_ONCE: u64 = 2_000;

/// Leaves in a row: for each what its columns say, and what its bytes are.
enum Run {
    /// None is missing. The texts of each column, joined.
    Whole([String; 4]),
    /// One is missing, or a separator stands in a text: each is looked at alone.
    OneByOne,
}

/// The first leaf whose columns say another kind, key or case than its bytes, or which is missing or found by no index, in
/// words; none if all are in order. `keeps`: what they are filed under is kept, if it was not known and the bytes of all of
/// them lead to the signed root.
pub(super) async fn misfiled(
    conn: &mut AnyConnection,
    (trust, key): (&Trust, &Verifier),
    keeps: bool,
) -> Result<Option<String>, StoreError> {
    let head = head(&mut *conn).await?;
    let size = head.frontier.size();
    // What stands against the head itself is asked for by whoever writes.
    let is_signed = size == 0 || signed_as(&head, key).is_ok();
    let is_first = keeps && is_signed && trust.known_frontier().is_none();
    let mut known = is_first.then(KnownLeaves::default);
    let mut next = 0;
    while next < size {
        let until = next.saturating_add(AT_ONCE).min(size);
        let found = match run(conn, next, until).await? {
            Run::Whole(texts) => {
                let [kinds, abouts, owners, bodies] =
                    texts.each_ref().map(|text| text.split(BETWEEN));
                let columns = kinds.zip(abouts).zip(owners).zip(bodies);
                let columns =
                    columns.map(|(((kind, about), owner), body)| [kind, about, owner, body]);
                let mut leaves = (next..).zip(columns);
                leaves.find_map(|(number, columns)| fault(known.as_mut(), number, columns))
            }
            Run::OneByOne => one_by_one(conn, known.as_mut(), next, until).await?,
        };
        if found.is_some() {
            return Ok(found);
        }
        next = until;
    }
    if let Some(known) = known {
        if known.frontier().root() != head.frontier.root() {
            return Ok(Some(OTHER_BYTES.to_owned()));
        }
        trust.keep_known(known);
    }
    if size > 0
        && is_signed
        && let Some(number) = beyond_the_end(conn).await?
    {
        return Ok(Some(beyond(number)));
    }
    lost_in_an_index(conn, size).await
}

/// The first leaf beyond the end that the head says. Asked in one question: whoever appends a leaf changes the head with it.
/// Nobody asks on a connection that has appended something and not kept it yet.
async fn beyond_the_end(conn: &mut AnyConnection) -> Result<Option<String>, StoreError> {
    let row = sqlx::query(
        "SELECT COUNT(*) AS n, CAST(MIN(number) AS TEXT) AS lowest FROM leaf \
         WHERE number >= (SELECT size FROM record_head WHERE id = 1)",
    )
    .fetch_one(conn)
    .await?;
    let is_one = row.try_get::<i64, _>("n")? > 0;
    let lowest = row.try_get::<Option<String>, _>("lowest")?;
    Ok(lowest.filter(|_| is_one))
}

const OTHER_BYTES: &str = "the leaves do not lead to the root that the key has signed";

/// What is wrong where a row is not the leaf of this number, in words: it is another one, or none of them.
fn not_there(row: &AnyRow, number: u64) -> String {
    match unsigned(row, "number") {
        Ok(_) => missing(number),
        Err(_) => format!(
            "where leaf {number} is looked for stands a row whose number is no whole number"
        ),
    }
}

/// What is wrong with a leaf, in words; otherwise it is taken.
fn fault(
    known: Option<&mut KnownLeaves>,
    number: u64,
    [kind, about, owner, body]: [&str; 4],
) -> Option<String> {
    let filed = filed_under(body)
        .filter(|filed| filed.kind.word() == kind && filed.about == about && filed.owner == owner);
    let Some(filed) = filed else {
        return Some(format!(
            "leaf {number} stands under another kind, key or case than its bytes say"
        ));
    };
    if let Some(known) = known {
        known.append(&filed, leaf_hash(body.as_bytes()));
    }
    None
}

/// The leaves of these numbers. They come joined in one row, since a row for each costs more than the comparison.
async fn run(conn: &mut AnyConnection, from: u64, until: u64) -> Result<Run, StoreError> {
    let row = sqlx::query(
        "SELECT COUNT(*) AS n, COUNT(*) FILTER (WHERE number = CAST(number AS BIGINT)) AS whole, \
         string_agg(kind, $3) AS kind, string_agg(about, $3) AS about, string_agg(case_number, $3) AS case_number, \
         string_agg(body, $3) AS body \
         FROM (SELECT number, kind, about, case_number, body FROM leaf WHERE number >= $1 AND number < $2 ORDER BY number) \
         AS some_leaves",
    )
    .bind(signed(from)?)
    .bind(signed(until)?)
    .bind(BETWEEN.to_string())
    .fetch_one(conn)
    .await?;
    // As many different whole numbers as there are in between are all of them. A file keeps others too.
    let count = until - from;
    let text = |column| row.try_get::<Option<String>, _>(column).ok().flatten();
    let [Some(kinds), Some(abouts), Some(owners), Some(bodies)] = COLUMNS.map(text) else {
        return Ok(Run::OneByOne);
    };
    let texts = [kinds, abouts, owners, bodies];
    let is_distinguished = |text: &String| text.matches(BETWEEN).count() as u64 + 1 == count;
    let is_of_numbers = unsigned(&row, "n")? == count && unsigned(&row, "whole")? == count;
    let is_whole = is_of_numbers && texts.iter().all(is_distinguished);
    Ok(match is_whole {
        true => Run::Whole(texts),
        false => Run::OneByOne,
    })
}

/// The same of each leaf alone: what is wrong with the first that is not in order.
async fn one_by_one(
    conn: &mut AnyConnection,
    mut known: Option<&mut KnownLeaves>,
    from: u64,
    until: u64,
) -> Result<Option<String>, StoreError> {
    let rows = sqlx::query(
        "SELECT number, kind, about, case_number, body FROM leaf WHERE number >= $1 AND number < $2 ORDER BY number",
    )
    .bind(signed(from)?)
    .bind(signed(until)?)
    .fetch_all(conn)
    .await?;
    let mut next = from;
    for row in &rows {
        if !is_number(row, next) {
            return Ok(Some(not_there(row, next)));
        }
        let told = COLUMNS.map(|column| row.try_get::<String, _>(column).unwrap_or_default());
        let columns = told.each_ref().map(String::as_str);
        let found = fault(known.as_deref_mut(), next, columns);
        if found.is_some() {
            return Ok(found);
        }
        next += 1;
    }
    Ok((next < until).then(|| missing(next)))
}

/// Adds the leaves that follow on those that are known, up to a head that the key has signed: this program has written
/// them, or another one. They are read by their numbers, and have to lead to that head.
pub(super) async fn grow(
    conn: &mut AnyConnection,
    trust: &Trust,
    to: &Frontier,
) -> Result<(), StoreError> {
    let from = trust.known_frontier();
    let Some(from) = from.filter(|from| from.size() < to.size()) else {
        return Ok(());
    };
    let (mut frontier, mut leaves) = (from.clone(), Vec::new());
    let mut is_of_a_form = true;
    while frontier.size() < to.size() {
        let until = frontier.size().saturating_add(AT_ONCE).min(to.size());
        for leaf in read(conn, frontier.size(), until).await? {
            let (filed, hash) = match leaf {
                Ok(leaf) => leaf,
                Err(why) => {
                    trust.note_filing(Some(why));
                    return Ok(());
                }
            };
            frontier.append(hash);
            match filed {
                Some(filed) => leaves.push((filed, hash)),
                None => is_of_a_form = false,
            }
        }
    }
    match (frontier.root() == to.root(), is_of_a_form) {
        (false, _) => trust.note_filing(Some(OTHER_BYTES.to_owned())),
        (true, false) => trust.forget_known(),
        (true, true) => trust.extend_known(&from, leaves),
    }
    Ok(())
}

/// Whether a row has this number. One that is no number keeps nobody from being told so.
fn is_number(row: &AnyRow, number: u64) -> bool {
    unsigned(row, "number").is_ok_and(|found| found == number)
}

/// What a leaf is filed under, where it is of a form that this program knows, and its hash.
type Read = (Option<FiledUnder>, Hash);

/// These leaves; in the place of the first that is not there, what is wrong in words, and nothing after it.
async fn read(
    conn: &mut AnyConnection,
    from: u64,
    until: u64,
) -> Result<Vec<Result<Read, String>>, StoreError> {
    let rows = sqlx::query(
        "SELECT number, body FROM leaf WHERE number >= $1 AND number < $2 ORDER BY number",
    )
    .bind(signed(from)?)
    .bind(signed(until)?)
    .fetch_all(conn)
    .await?;
    let mut rows = rows.iter();
    let mut leaves = Vec::new();
    for number in from..until {
        let row = match rows.next() {
            Some(row) if is_number(row, number) => row,
            other => {
                let why = other.map_or_else(|| missing(number), |row| not_there(row, number));
                leaves.push(Err(why));
                break;
            }
        };
        // What is no text leads to another root.
        let body = row.try_get::<String, _>("body").unwrap_or_default();
        leaves.push(Ok((filed_under(&body), leaf_hash(body.as_bytes()))));
    }
    Ok(leaves)
}

/// Whether one of the indexes over the leaves has another number of them than the table, or others; in words. Only a file
/// can be asked for one index: a server keeps its own. An index that is not as this program makes it is said elsewhere.
async fn lost_in_an_index(
    conn: &mut AnyConnection,
    size: u64,
) -> Result<Option<String>, StoreError> {
    if !conn.backend_name().eq_ignore_ascii_case("sqlite") {
        return Ok(None);
    }
    // What is appended meanwhile is in both or in none: one question sees the file at one moment.
    let asked = sqlx::query(
        "SELECT n, numbers, n_all - n_about AS more, of_rows - of_rows_about AS apart FROM \
         (SELECT COUNT(*) FILTER (WHERE number < $1) AS n, COALESCE(SUM(number) FILTER (WHERE number < $1), 0) AS numbers, \
         COUNT(*) AS n_all, COALESCE(SUM(rowid), 0) AS of_rows FROM leaf INDEXED BY leaf_case WHERE case_number >= ''), \
         (SELECT COUNT(*) AS n_about, COALESCE(SUM(rowid), 0) AS of_rows_about FROM leaf INDEXED BY leaf_about WHERE kind >= '')",
    )
    .bind(signed(size)?)
    .fetch_one(conn)
    .await;
    let row = match asked {
        Ok(row) => row,
        Err(sqlx::Error::Database(error)) if error.code().as_deref() == Some("1") => {
            // There is none, or it is not over all leaves, and says so. Anything else is a sum that no numbers of ours have.
            let says = |words| error.message().contains(words);
            let is_said = says("no such index") || says("no query solution");
            return Ok((!is_said).then(|| IN_AN_INDEX.to_owned()));
        }
        Err(error) => return Err(error.into()),
    };
    // A sum that is no whole number is none of numbers of ours.
    let number = |column: &'static str| row.try_get::<i64, _>(column).ok();
    let all = u128::from(size);
    let numbers = all * all.saturating_sub(1) / 2;
    let sum = number("numbers").map(|sum| i128::from(sum).unsigned_abs());
    let is_whole = number("n") == Some(signed(size)?)
        && sum == Some(numbers)
        && number("more") == Some(0)
        && number("apart") == Some(0);
    Ok((!is_whole).then(|| IN_AN_INDEX.to_owned()))
}

const IN_AN_INDEX: &str = "an index over the leaves lacks some of them, or has others";

#[cfg(test)]
mod tests {
    use super::*;
    use sqlx::Connection;

    #[tokio::test]
    async fn a_leaf_that_is_no_text_leads_to_another_root_and_one_without_a_number_is_said_to_be_so()
     {
        sqlx::any::install_default_drivers();
        let mut conn = AnyConnection::connect("sqlite::memory:").await.unwrap();
        for sql in [
            "CREATE TABLE leaf (number BIGINT PRIMARY KEY, body TEXT)",
            "INSERT INTO leaf (number, body) VALUES (0, x'ff'), (1.5, '{}')",
        ] {
            sqlx::query(sql).execute(&mut conn).await.unwrap();
        }
        let found = read(&mut conn, 0, 2).await.unwrap();
        let is_none = |hash: &Hash| *hash == leaf_hash(b"");
        let says = |why: &String| why.contains("leaf 1 is looked for");
        let is_so =
            matches!(found.as_slice(), [Ok((None, hash)), Err(why)] if is_none(hash) && says(why));
        assert!(is_so, "{found:?}");
    }
}
