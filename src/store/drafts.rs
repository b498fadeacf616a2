//! Drafts: one per case, with every change of every field.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_kept, one_row};
use super::strays::refuse_at_end;
use crate::domain::prescription::draft::Fields;
use crate::domain::values::digest::{hex, sha256_hex};
use crate::domain::values::ids::{AccountId, CaseNumber, PartyId};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use std::collections::BTreeMap;

/// The draft of a case's next revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    pub case: CaseNumber,
    /// The signed revision it started from; 0 for a first one.
    pub based_on: i64,
    /// Tells this draft from one that was signed or given up before it.
    pub began_ms: i64,
    pub fields: Fields,
    pub version: i64,
    pub changed_ms: i64,
    /// Printed name of whoever wrote last.
    pub changed_by: String,
    /// The row could not be read as it was written: the fields are what could be read of their changes.
    pub damaged: bool,
}

/// What is left of a text that a field had at an earlier version.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EarlierText {
    /// It still stands.
    Kept(String),
    /// It was written over: salt and SHA-256 in hexadecimal digits, with a colon between them.
    Overwritten(String),
}

impl EarlierText {
    /// Whether it was this text.
    pub fn was(&self, text: &str) -> bool {
        match self {
            EarlierText::Kept(kept) => kept == text,
            EarlierText::Overwritten(trace) => trace
                .split_once(':')
                .is_some_and(|(salt, _)| trace_of(salt, text) == *trace),
        }
    }
}

/// What stays of a text that was written over.
fn trace_of(salt: &str, text: &str) -> String {
    format!("{salt}:{}", sha256_hex(format!("{salt}:{text}").as_bytes()))
}

/// One change of one field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    pub version: i64,
    pub field: String,
    pub text: String,
    pub account: AccountId,
    pub name: String,
    pub at_ms: i64,
}

pub async fn insert(tx: &mut Tx, draft: &Draft) -> Result<(), StoreError> {
    tx.refuse_on_another_record()?;
    let done = sqlx::query(
        "INSERT INTO draft (case_number, based_on, began_ms, fields, version, changed_ms, changed_by) \
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(draft.case.as_str())
    .bind(draft.based_on)
    .bind(draft.began_ms)
    .bind(as_json(&draft.fields)?)
    .bind(draft.version)
    .bind(draft.changed_ms)
    .bind(&draft.changed_by)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the draft")
}

/// Writes the draft; `draft.version` is the version that was read, one more is stored. Another draft begun
/// meanwhile is not written over, whatever its version.
pub async fn update(tx: &mut Tx, draft: &Draft) -> Result<(), StoreError> {
    tx.refuse_on_another_record()?;
    refuse_at_end(draft.version, &format!("the draft of case {}", draft.case))?;
    let done = sqlx::query(
        "UPDATE draft SET fields = $1, version = version + 1, changed_ms = $2, changed_by = $3 \
         WHERE case_number = $4 AND version = $5 AND began_ms = $6",
    )
    .bind(as_json(&draft.fields)?)
    .bind(draft.changed_ms)
    .bind(&draft.changed_by)
    .bind(draft.case.as_str())
    .bind(draft.version)
    .bind(draft.began_ms)
    .execute(tx.conn())
    .await?;
    one_row(&done, "the draft")
}

/// The cases after a number, in their order, that have a draft.
pub async fn numbers_after(
    conn: &mut AnyConnection,
    number: &str,
    limit: i64,
) -> Result<Vec<String>, StoreError> {
    let rows = sqlx::query(
        "SELECT case_number FROM draft WHERE case_number > $1 ORDER BY case_number LIMIT $2",
    )
    .bind(number)
    .bind(limit)
    .fetch_all(conn)
    .await?;
    rows.iter()
        .map(|row| Ok(row.try_get("case_number")?))
        .collect()
}

pub async fn find(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Option<Draft>, StoreError> {
    let row = sqlx::query("SELECT * FROM draft WHERE case_number = $1")
        .bind(case.as_str())
        .fetch_optional(&mut *conn)
        .await;
    let read = row.map_err(StoreError::from).and_then(|row| {
        let draft = row.map(|row| draft(&row, case));
        draft.transpose()
    });
    match read {
        Err(why) if !why.is_of_connection() => recovered(conn, case).await,
        read => read,
    }
}

fn draft(row: &AnyRow, case: &CaseNumber) -> Result<Draft, StoreError> {
    Ok(Draft {
        case: case.clone(),
        based_on: row.try_get("based_on")?,
        began_ms: row.try_get("began_ms")?,
        fields: serde_json::from_str(row.try_get("fields")?)
            .map_err(|why| StoreError::row("draft", case, why))?,
        version: row.try_get("version")?,
        changed_ms: row.try_get("changed_ms")?,
        changed_by: row.try_get("changed_by")?,
        damaged: false,
    })
}

/// What can be read of a draft whose row is damaged: each field by its last change, which has a row of its own.
async fn recovered(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Option<Draft>, StoreError> {
    let row = sqlx::query(
        "SELECT based_on, began_ms, version, changed_ms FROM draft WHERE case_number = $1",
    )
    .bind(case.as_str())
    .fetch_optional(&mut *conn)
    .await?;
    let Some(row) = row else { return Ok(None) };
    let mut fields = Fields::new();
    for version in edited_versions(conn, case, false).await? {
        for edit in readable_edits(conn, case, version, false).await? {
            fields.insert(edit.field, edit.text);
        }
    }
    fields.retain(|_, text| !text.is_empty());
    Ok(Some(Draft {
        case: case.clone(),
        based_on: row.try_get("based_on")?,
        began_ms: row.try_get("began_ms")?,
        fields,
        version: row.try_get("version")?,
        changed_ms: row.try_get("changed_ms")?,
        changed_by: String::new(),
        damaged: true,
    }))
}

/// The versions at which a field was changed, oldest first; `in_conflict`: those at which a text was laid aside.
async fn edited_versions(
    conn: &mut AnyConnection,
    case: &CaseNumber,
    in_conflict: bool,
) -> Result<Vec<i64>, StoreError> {
    let rows = sqlx::query(
        "SELECT DISTINCT version FROM draft_edit WHERE case_number = $1 AND aside = $2 ORDER BY version",
    )
    .bind(case.as_str())
    .bind(i64::from(in_conflict))
    .fetch_all(conn)
    .await?;
    rows.iter().map(|row| Ok(row.try_get("version")?)).collect()
}

/// The changes of one version that can be read, one row at a time, so that one that cannot hides no other.
async fn readable_edits(
    conn: &mut AnyConnection,
    case: &CaseNumber,
    version: i64,
    in_conflict: bool,
) -> Result<Vec<Edit>, StoreError> {
    let mut edits = Vec::new();
    let mut after = String::new();
    // A name that cannot be read ends this version: nothing says what comes after it.
    while let Ok(Some(row)) = sqlx::query(
        "SELECT MIN(field) AS field FROM draft_edit WHERE case_number = $1 AND version = $2 AND field > $3 \
         AND aside = $4",
    )
    .bind(case.as_str())
    .bind(version)
    .bind(&after)
    .bind(i64::from(in_conflict))
    .fetch_optional(&mut *conn)
    .await
    {
        let Some(field) = row.try_get::<Option<String>, _>("field")? else {
            break;
        };
        let row = sqlx::query(
            "SELECT * FROM draft_edit WHERE case_number = $1 AND version = $2 AND field = $3 AND overwritten = ''",
        )
        .bind(case.as_str())
        .bind(version)
        .bind(&field)
        .fetch_optional(&mut *conn)
        .await;
        if let Ok(Some(row)) = row {
            edits.extend(edit(&row));
        }
        after = field;
    }
    Ok(edits)
}

/// The draft with the texts laid aside and not yet chosen; they are asked for only where there are any.
pub async fn find_with_conflicts(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Option<(Draft, Vec<Edit>)>, StoreError> {
    let row = sqlx::query(
        "SELECT d.*, (SELECT COUNT(*) FROM draft_edit e WHERE e.case_number = d.case_number AND e.aside = 1) \
         AS laid_aside FROM draft d WHERE d.case_number = $1",
    )
    .bind(case.as_str())
    .fetch_optional(&mut *conn)
    .await;
    let read = row.map_err(StoreError::from).and_then(|row| {
        let row = row.map(|row| Ok((draft(&row, case)?, row.try_get::<i64, _>("laid_aside")?)));
        row.transpose()
    });
    let (draft, has_conflict) = match read {
        Ok(None) => return Ok(None),
        Ok(Some((draft, conflict_count))) => (draft, conflict_count > 0),
        Err(why) if why.is_of_connection() => return Err(why),
        Err(_) => match recovered(conn, case).await? {
            None => return Ok(None),
            Some(draft) => (draft, true),
        },
    };
    let edits = match has_conflict {
        false => Vec::new(),
        true => conflicts(conn, case).await?,
    };
    Ok(Some((draft, edits)))
}

/// The houses of whoever has written in the draft of a case; an empty one where no account is of a writer.
pub async fn houses_of_writers(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<PartyId>, StoreError> {
    let rows = sqlx::query(
        "SELECT DISTINCT COALESCE(a.party_id, '') AS house FROM draft_edit e LEFT JOIN account a ON a.id = e.account_id \
         WHERE e.case_number = $1",
    )
    .bind(case.as_str())
    .fetch_all(conn)
    .await?;
    rows.iter().map(|row| id_of(row, "house")).collect()
}

/// Removes the draft and its edits: it has been signed, or given up.
pub async fn delete(tx: &mut Tx, case: &CaseNumber) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM draft_edit WHERE case_number = $1")
        .bind(case.as_str())
        .execute(tx.conn())
        .await?;
    sqlx::query("DELETE FROM draft WHERE case_number = $1")
        .bind(case.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Notes a change of a field, laid aside (`in_conflict`) or not.
pub async fn insert_edit(
    tx: &mut Tx,
    case: &CaseNumber,
    edit: &Edit,
    in_conflict: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO draft_edit (case_number, version, field, text, account_id, account_name, at_ms, aside) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(case.as_str())
    .bind(edit.version)
    .bind(&edit.field)
    .bind(&edit.text)
    .bind(edit.account.as_str())
    .bind(&edit.name)
    .bind(edit.at_ms)
    .bind(i64::from(in_conflict))
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the change of the draft")
}

fn edit(row: &AnyRow) -> Result<Edit, StoreError> {
    Ok(Edit {
        version: row.try_get("version")?,
        field: row.try_get("field")?,
        text: row.try_get("text")?,
        account: id_of(row, "account_id")?,
        name: row.try_get("account_name")?,
        at_ms: row.try_get("at_ms")?,
    })
}

/// The changes newer than `version` whose text still stands, oldest first.
pub async fn edits_since(
    conn: &mut AnyConnection,
    case: &CaseNumber,
    version: i64,
) -> Result<Vec<Edit>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM draft_edit WHERE case_number = $1 AND version > $2 AND aside = 0 AND overwritten = '' \
         ORDER BY version, field",
    )
    .bind(case.as_str())
    .bind(version)
    .fetch_all(conn)
    .await?;
    rows.iter().map(edit).collect()
}

/// What is left of the text that each of the fields changed up to `version` had at that version; a field not listed
/// was empty.
pub async fn texts_at(
    conn: &mut AnyConnection,
    case: &CaseNumber,
    version: i64,
) -> Result<BTreeMap<String, EarlierText>, StoreError> {
    let rows = sqlx::query(
        "SELECT e.field, e.text, e.overwritten FROM draft_edit e WHERE e.case_number = $1 AND e.aside = 0 \
         AND e.version = (SELECT MAX(o.version) FROM draft_edit o WHERE o.case_number = e.case_number \
         AND o.field = e.field AND o.aside = 0 AND o.version <= $2)",
    )
    .bind(case.as_str())
    .bind(version)
    .fetch_all(conn)
    .await?;
    let one = |row: &AnyRow| {
        let trace: String = row.try_get("overwritten")?;
        let text = match trace.is_empty() {
            true => EarlierText::Kept(row.try_get("text")?),
            false => EarlierText::Overwritten(trace),
        };
        Ok((row.try_get("field")?, text))
    };
    rows.iter().map(one).collect()
}

/// Takes the texts that a field had before `version` out of the draft's changes for good. A page that still shows
/// one can be told from one that does not by what stays of it.
pub async fn forget_before(
    tx: &mut Tx,
    case: &CaseNumber,
    field: &str,
    version: i64,
    salt: &[u8],
) -> Result<(), StoreError> {
    let salt = hex(salt);
    let rows = sqlx::query(
        "SELECT version, text FROM draft_edit WHERE case_number = $1 AND field = $2 AND version < $3 AND aside = 0 \
         AND overwritten = '' ORDER BY version",
    )
    .bind(case.as_str())
    .bind(field)
    .bind(version)
    .fetch_all(tx.conn())
    .await;
    let rows = match rows.map_err(StoreError::from) {
        Err(why) if !why.is_of_connection() => {
            return forget_unread(tx, case, field, version).await;
        }
        rows => rows?,
    };
    for row in rows {
        let text: String = row.try_get("text")?;
        sqlx::query(
            "UPDATE draft_edit SET text = '', overwritten = $1 WHERE case_number = $2 AND version = $3 AND field = $4",
        )
        .bind(trace_of(&salt, &text))
        .bind(case.as_str())
        .bind(row.try_get::<i64, _>("version")?)
        .bind(field)
        .execute(tx.conn())
        .await?;
    }
    Ok(())
}

/// The same where one of the texts cannot be read: nobody's page shows it, and so no trace is like any text.
async fn forget_unread(
    tx: &mut Tx,
    case: &CaseNumber,
    field: &str,
    version: i64,
) -> Result<(), StoreError> {
    sqlx::query(
        "UPDATE draft_edit SET text = '', overwritten = '?' WHERE case_number = $1 AND field = $2 AND version < $3 \
         AND aside = 0 AND overwritten = ''",
    )
    .bind(case.as_str())
    .bind(field)
    .bind(version)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// Texts laid aside and not yet chosen.
pub async fn conflicts(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<Edit>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM draft_edit WHERE case_number = $1 AND aside = 1 ORDER BY version, field",
    )
    .bind(case.as_str())
    .fetch_all(&mut *conn)
    .await;
    let read = rows.map_err(StoreError::from);
    let read = read.and_then(|rows| rows.iter().map(edit).collect());
    match read {
        Err(why) if !why.is_of_connection() => {
            let mut edits = Vec::new();
            for version in edited_versions(conn, case, true).await? {
                edits.extend(readable_edits(conn, case, version, true).await?);
            }
            Ok(edits)
        }
        read => read,
    }
}

/// Takes a text that was laid aside out of the choice.
pub async fn choose(
    tx: &mut Tx,
    case: &CaseNumber,
    version: i64,
    field: &str,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "DELETE FROM draft_edit WHERE case_number = $1 AND version = $2 AND field = $3 AND aside = 1",
    )
    .bind(case.as_str())
    .bind(version)
    .bind(field)
    .execute(tx.conn())
    .await?;
    one_row(&done, "this text")
}

fn as_json(fields: &Fields) -> Result<String, StoreError> {
    serde_json::to_string(fields).map_err(|why| StoreError::row("draft", "new", why))
}
