//! Offices and laboratories.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_kept, one_row};
use super::strays::COUNTER_END;
use crate::domain::people::party::{Paper, Party, Side};
use crate::domain::values::ids::PartyId;
use crate::domain::values::tooth::Numbering;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

pub(super) fn party(row: &AnyRow) -> Result<Party, StoreError> {
    let id: PartyId = id_of(row, "id")?;
    let bad = |why: &str| StoreError::row("party", &id, why);
    Ok(Party {
        kind: Side::from_word(row.try_get("kind")?).ok_or_else(|| bad("kind"))?,
        name: row.try_get("name")?,
        address: row.try_get("address")?,
        licence: row.try_get("licence")?,
        telephone: row.try_get("telephone")?,
        zone: row.try_get("zone")?,
        paper: Paper::from_word(row.try_get("paper")?).ok_or_else(|| bad("paper"))?,
        numbering: Numbering::from_word(row.try_get("numbering")?)
            .ok_or_else(|| bad("numbering"))?,
        profile: row.try_get("profile")?,
        version: row.try_get("version")?,
        id,
    })
}

pub async fn insert(tx: &mut Tx, party: &Party) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO party (id, kind, name, address, licence, zone, paper, numbering, profile, telephone, version, \
         changes) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, 1, 0)",
    )
    .bind(party.id.as_str())
    .bind(party.kind.word())
    .bind(&party.name)
    .bind(&party.address)
    .bind(&party.licence)
    .bind(&party.zone)
    .bind(party.paper.word())
    .bind(party.numbering.word())
    .bind(&party.profile)
    .bind(&party.telephone)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the house")
}

/// Writes all but the kind, which never changes; `party.version` is the version that was read.
pub async fn update(tx: &mut Tx, party: &Party) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE party SET name = $1, address = $2, licence = $3, zone = $4, paper = $5, numbering = $6, \
         profile = $7, telephone = $8, version = version + 1, changes = changes + 1 WHERE id = $9 AND version = $10",
    )
    .bind(&party.name)
    .bind(&party.address)
    .bind(&party.licence)
    .bind(&party.zone)
    .bind(party.paper.word())
    .bind(party.numbering.word())
    .bind(&party.profile)
    .bind(&party.telephone)
    .bind(party.id.as_str())
    .bind(party.version)
    .execute(tx.conn())
    .await?;
    one_row(&done, "the party")?;
    // Every agenda names the houses it works with.
    sqlx::query("UPDATE party SET changes = changes + 1 WHERE id <> $1 AND changes < $2")
        .bind(party.id.as_str())
        .bind(COUNTER_END)
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Counts one more change that the first pages of these parties may show. The rows are locked in one
/// order by everybody, since two who lock them crosswise would wait for each other.
pub async fn count_change(tx: &mut Tx, mut parties: [&PartyId; 2]) -> Result<(), StoreError> {
    parties.sort_unstable();
    for party in parties {
        let sql = "UPDATE party SET changes = changes + 1 WHERE id = $1 AND changes < $2";
        let done = sqlx::query(sql)
            .bind(party.as_str())
            .bind(COUNTER_END)
            .execute(tx.conn())
            .await?;
        if done.rows_affected() == 0 {
            return Err(StoreError::CountedOut(format!("the house {party}")));
        }
    }
    Ok(())
}

/// How often something has changed that the first page of a party may show.
pub async fn changes(conn: &mut AnyConnection, id: &PartyId) -> Result<Option<i64>, StoreError> {
    let row = sqlx::query("SELECT changes FROM party WHERE id = $1")
        .bind(id.as_str())
        .fetch_optional(conn)
        .await?;
    row.map(|row| Ok(row.try_get("changes")?)).transpose()
}

pub async fn find(conn: &mut AnyConnection, id: &PartyId) -> Result<Option<Party>, StoreError> {
    let row = sqlx::query("SELECT * FROM party WHERE id = $1")
        .bind(id.as_str())
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(party).transpose()
}

/// Two parties in one question, in the order of their ids as asked; none in the place of one that is not there.
pub async fn both(
    conn: &mut AnyConnection,
    ids: [&PartyId; 2],
) -> Result<(Option<Party>, Option<Party>), StoreError> {
    let [first, second] = ids;
    let rows = sqlx::query("SELECT * FROM party WHERE id IN ($1, $2)")
        .bind(first.as_str())
        .bind(second.as_str())
        .fetch_all(conn)
        .await?;
    let found: Vec<Party> = rows.iter().map(party).collect::<Result<_, _>>()?;
    let of = |id: &PartyId| found.iter().find(|party| party.id == *id).cloned();
    Ok((of(first), of(second)))
}

/// All parties, offices and labs, by name. An installation holds tens of them, not thousands; the
/// bound keeps a page readable even so.
pub async fn all(conn: &mut AnyConnection) -> Result<Vec<Party>, StoreError> {
    each(conn).await?.into_iter().collect()
}

/// The same, each or why its row cannot be read.
pub async fn each(conn: &mut AnyConnection) -> Result<Vec<Result<Party, StoreError>>, StoreError> {
    let rows = sqlx::query("SELECT * FROM party ORDER BY kind, name LIMIT 500")
        .fetch_all(conn)
        .await?;
    Ok(rows.iter().map(party).collect())
}
