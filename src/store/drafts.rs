//! Drafts: one per case, with every change of every field.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::one_row;
use crate::domain::prescription::draft::Fields;
use crate::domain::values::ids::{AccountId, CaseNumber};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

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
    sqlx::query(
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
    Ok(())
}

/// Writes the draft; `draft.version` is the version that was read, one more is stored. Another draft begun
/// meanwhile is not written over, whatever its version.
pub async fn update(tx: &mut Tx, draft: &Draft) -> Result<(), StoreError> {
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

pub async fn find(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Option<Draft>, StoreError> {
    let row = sqlx::query("SELECT * FROM draft WHERE case_number = $1")
        .bind(case.as_str())
        .fetch_optional(conn)
        .await?;
    row.map(|row| draft(&row, case)).transpose()
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
    })
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
    .await?;
    let Some(row) = row else {
        return Ok(None);
    };
    let edits = match row.try_get("laid_aside")? {
        0_i64 => Vec::new(),
        _ => conflicts(conn, case).await?,
    };
    Ok(Some((draft(&row, case)?, edits)))
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

/// Notes a change of a field, laid `aside` or not.
pub async fn insert_edit(
    tx: &mut Tx,
    case: &CaseNumber,
    edit: &Edit,
    aside: bool,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO draft_edit (case_number, version, field, text, account_id, account_name, at_ms, aside) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(case.as_str())
    .bind(edit.version)
    .bind(&edit.field)
    .bind(&edit.text)
    .bind(&edit.account)
    .bind(&edit.name)
    .bind(edit.at_ms)
    .bind(i64::from(aside))
    .execute(tx.conn())
    .await?;
    Ok(())
}

fn edit(row: &AnyRow) -> Result<Edit, StoreError> {
    Ok(Edit {
        version: row.try_get("version")?,
        field: row.try_get("field")?,
        text: row.try_get("text")?,
        account: row.try_get("account_id")?,
        name: row.try_get("account_name")?,
        at_ms: row.try_get("at_ms")?,
    })
}

/// The changes that stand and are newer than `version`, oldest first.
pub async fn edits_since(
    conn: &mut AnyConnection,
    case: &CaseNumber,
    version: i64,
) -> Result<Vec<Edit>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM draft_edit WHERE case_number = $1 AND version > $2 AND aside = 0 ORDER BY version, field",
    )
    .bind(case.as_str())
    .bind(version)
    .fetch_all(conn)
    .await?;
    rows.iter().map(edit).collect()
}

/// The last text that each of the fields changed since `version` had at that version; a field not
/// listed was empty.
pub async fn texts_at(
    conn: &mut AnyConnection,
    case: &CaseNumber,
    version: i64,
) -> Result<Fields, StoreError> {
    let rows = sqlx::query(
        "SELECT e.field, e.text FROM draft_edit e WHERE e.case_number = $1 AND e.aside = 0 AND e.version = \
         (SELECT MAX(o.version) FROM draft_edit o WHERE o.case_number = e.case_number AND o.field = e.field \
          AND o.aside = 0 AND o.version <= $2)",
    )
    .bind(case.as_str())
    .bind(version)
    .fetch_all(conn)
    .await?;
    rows.iter()
        .map(|row| Ok((row.try_get("field")?, row.try_get("text")?)))
        .collect()
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
    .fetch_all(conn)
    .await?;
    rows.iter().map(edit).collect()
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
