//! The stored hashes of the tree, and what is folded from them: roots of earlier sizes, and proofs.

use super::error::StoreError;
use super::head::{signed, unsigned};
use crate::record::hash::{Hash, leaf_hash, node_hash};
use crate::record::tree::{Node, Plan, consistency_plan, root_plan};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use std::collections::BTreeMap;

/// Levels between stored nodes: each stored one stands over 256 of the stored level below.
pub(super) const STEP: u8 = 8;
const RUN: u64 = 1 << STEP;

fn read_hash(table: &'static str, key: impl ToString, text: &str) -> Result<Hash, StoreError> {
    Hash::parse(text).map_err(|why| StoreError::row(table, key, why))
}

/// The hashes that a proof or an earlier root wants.
pub async fn hashes(conn: &mut AnyConnection, plan: &Plan) -> Result<Vec<Hash>, StoreError> {
    folded(conn, plan, Leaves::Stored).await
}

/// The same with the hashes of leaves made again from their bytes: one stored hash that is damaged would else keep all
/// leaves of its run from being proved.
pub(super) async fn hashes_made_again(
    conn: &mut AnyConnection,
    plan: &Plan,
) -> Result<Vec<Hash>, StoreError> {
    folded(conn, plan, Leaves::MadeAgain).await
}

/// Where the hashes of leaves come from.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Leaves {
    Stored,
    MadeAgain,
}

async fn folded(
    conn: &mut AnyConnection,
    plan: &Plan,
    leaves: Leaves,
) -> Result<Vec<Hash>, StoreError> {
    let mut known: BTreeMap<(u8, u64), Hash> = BTreeMap::new();
    for node in plan.nodes() {
        let (level, first) = stored_under(node);
        if !known.contains_key(&(level, first)) {
            let begin = first / RUN * RUN;
            for (place, hash) in run(conn, (level, begin), leaves).await? {
                known.insert((level, place), hash);
            }
        }
    }
    plan.fold(|node| {
        let (level, first) = stored_under(node);
        let count = 1_u64 << (node.level % STEP);
        let parts: Option<Vec<Hash>> = (first..first + count)
            .map(|place| known.get(&(level, place)).copied())
            .collect();
        halve(parts?)
    })
    .map_err(|why| StoreError::row("tree_node", "of a proof", why))
}

/// The stored level below a node, and the first of the stored nodes that it covers.
fn stored_under(node: Node) -> (u8, u64) {
    (node.level / STEP, node.index << (node.level % STEP))
}

/// The root over a power of two of neighbours.
fn halve(mut parts: Vec<Hash>) -> Option<Hash> {
    while parts.len() > 1 {
        let (pairs, _) = parts.as_chunks::<2>();
        parts = pairs
            .iter()
            .map(|[left, right]| node_hash(left, right))
            .collect();
    }
    parts.pop()
}

/// The stored hashes of one level from `begin` on, one run.
async fn run(
    conn: &mut AnyConnection,
    (level, begin): (u8, u64),
    leaves: Leaves,
) -> Result<Vec<(u64, Hash)>, StoreError> {
    let (from, to) = (signed(begin)?, signed(begin + RUN)?);
    if (level, leaves) == (0, Leaves::MadeAgain) {
        let rows = sqlx::query("SELECT number, body FROM leaf WHERE number >= $1 AND number < $2")
            .bind(from)
            .bind(to)
            .fetch_all(conn)
            .await?;
        let made = |row: &AnyRow| {
            let body: String = row.try_get("body")?;
            Ok((unsigned(row, "number")?, leaf_hash(body.as_bytes())))
        };
        return rows.iter().map(made).collect();
    }
    let rows = if level == 0 {
        sqlx::query("SELECT number AS place, hash FROM leaf WHERE number >= $1 AND number < $2")
            .bind(from)
            .bind(to)
            .fetch_all(conn)
            .await?
    } else {
        sqlx::query(
            "SELECT place, hash FROM tree_node WHERE level = $1 AND place >= $2 AND place < $3",
        )
        .bind(i64::from(level))
        .bind(from)
        .bind(to)
        .fetch_all(conn)
        .await?
    };
    rows.iter()
        .map(|row| {
            let place = unsigned(row, "place")?;
            Ok((place, read_hash("tree_node", place, row.try_get("hash")?)?))
        })
        .collect()
}

/// The root of the first `size` leaves.
pub async fn root_at(conn: &mut AnyConnection, size: u64) -> Result<Hash, StoreError> {
    hashes(conn, &root_plan(size))
        .await?
        .pop()
        .ok_or_else(|| StoreError::row("tree_node", size, "no root"))
}

/// The proof that the record of `new` leaves begins with its first `old`.
pub async fn growth(conn: &mut AnyConnection, old: u64, new: u64) -> Result<Vec<Hash>, StoreError> {
    let plan = consistency_plan(old, new).map_err(|why| StoreError::row("leaf", new, why))?;
    hashes(conn, &plan).await
}
