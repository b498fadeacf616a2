//! The head of the record: how far it has come, held while somebody writes and signed with each commit.

use super::connection::Backend;
use super::error::StoreError;
use super::rows::one_kept;
use crate::domain::values::digest::hex;
use crate::record::checkpoint::Checkpoint;
use crate::record::hash::Hash;
use crate::record::key::{Signer, Verifier};
use crate::record::tree::Frontier;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// How far the record has come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    pub frontier: Frontier,
    /// The signed note of size and root; empty before the first leaf.
    pub checkpoint: String,
}

impl Head {
    /// Whether nothing was ever entered: whoever takes all leaves away leaves the checkpoint, or writes another one.
    pub fn is_empty(&self) -> bool {
        self.frontier.size() == 0 && self.checkpoint.is_empty()
    }
}

pub(super) fn signed(number: u64) -> Result<i64, StoreError> {
    i64::try_from(number).map_err(|why| StoreError::row("leaf", number, why))
}

pub(super) fn unsigned(row: &AnyRow, column: &str) -> Result<u64, StoreError> {
    let number: i64 = row.try_get(column)?;
    u64::try_from(number).map_err(|why| StoreError::row("record", number, why))
}

fn frontier_of(row: &AnyRow) -> Result<Frontier, StoreError> {
    let bad = |why: &dyn std::fmt::Display| StoreError::row("record_head", 1, why);
    let text: String = row.try_get("peaks")?;
    let peaks: Vec<char> = text.chars().collect();
    let peaks = peaks
        .chunks(64)
        .map(|digits| Hash::parse(&digits.iter().collect::<String>()))
        .collect::<Result<Vec<_>, _>>()
        .map_err(|why| bad(&why))?;
    let frontier = Frontier::from_peaks(unsigned(row, "size")?, peaks).map_err(|why| bad(&why))?;
    // One way of writing only: what is not byte for byte ours was not written by us.
    if hex(&frontier.peak_bytes()) != text {
        return Err(bad(&"its peaks are not written as they are here"));
    }
    Ok(frontier)
}

pub async fn head(conn: &mut AnyConnection) -> Result<Head, StoreError> {
    let row = sqlx::query("SELECT size, peaks, checkpoint FROM record_head WHERE id = 1")
        .fetch_one(conn)
        .await?;
    head_of(&row)
}

fn head_of(row: &AnyRow) -> Result<Head, StoreError> {
    Ok(Head {
        frontier: frontier_of(row)?,
        checkpoint: row.try_get("checkpoint")?,
    })
}

/// The checkpoint of a head that has come to anything, if the key has signed its very size and root; otherwise what is
/// wrong with it.
pub(super) fn signed_as(head: &Head, key: &Verifier) -> Result<Checkpoint, String> {
    let seen = Checkpoint::open(&head.checkpoint, key, &[]);
    let own = seen.map_err(|why| format!("its checkpoint is not in order: {why}"))?;
    let own = own.checkpoint;
    if (own.size, own.root) != (head.frontier.size(), head.frontier.root()) {
        return Err("its checkpoint is signed for another size or root than its head".to_owned());
    }
    Ok(own)
}

/// Takes the head for the length of a transaction, and answers with it.
pub(super) async fn hold(conn: &mut AnyConnection, backend: Backend) -> Result<Head, StoreError> {
    if backend == Backend::Sqlite {
        // The transaction is the lock, and an action that only reads then costs no flush.
        return head(conn).await;
    }
    let row = sqlx::query(
        "UPDATE record_head SET size = size WHERE id = 1 RETURNING size, peaks, checkpoint",
    )
    .fetch_one(conn)
    .await?;
    head_of(&row)
}

/// Signs how far the record has come, and writes it down; answers with the signed note.
pub(super) async fn sign(
    conn: &mut AnyConnection,
    frontier: &Frontier,
    key: &Signer,
) -> Result<String, StoreError> {
    let checkpoint = Checkpoint {
        origin: key.verifier().name().to_owned(),
        size: frontier.size(),
        root: frontier.root(),
    };
    let note = checkpoint
        .sign(key)
        .map_err(|why| StoreError::row("record_head", 1, why))?;
    let done =
        sqlx::query("UPDATE record_head SET size = $1, peaks = $2, checkpoint = $3 WHERE id = 1")
            .bind(signed(frontier.size())?)
            .bind(hex(&frontier.peak_bytes()))
            .bind(&note)
            .execute(conn)
            .await?;
    one_kept(&done, "the newest checkpoint")?;
    Ok(note)
}
