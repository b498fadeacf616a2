//! The stored hashes of the tree, and what is folded from them: roots of earlier sizes, and proofs.

use super::error::StoreError;
use super::head::{signed, unsigned};
use crate::record::hash::{Hash, leaf_hash, node_hash};
use crate::record::tree::{Node, NodePlan, consistency_plan, root_plan};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use std::collections::{BTreeMap, BTreeSet};

/// Levels between stored nodes: each stored one stands over 256 of the stored level below.
pub(super) const STEP: u8 = 8;
const RUN: u64 = 1 << STEP;

fn read_hash(table: &'static str, key: impl ToString, text: &str) -> Result<Hash, StoreError> {
    Hash::parse(text).map_err(|why| StoreError::row(table, key, why))
}

/// The hashes that a proof or an earlier root wants.
pub async fn hashes(conn: &mut AnyConnection, plan: &NodePlan) -> Result<Vec<Hash>, StoreError> {
    ReadHashes::stored().of(conn, plan).await
}

/// Where the hashes of leaves come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Leaves {
    Stored,
    MadeAgain,
}

/// Runs that are kept at once: some 30 KB each.
const RUNS_MOST: usize = 64;

/// Hashes that were read, and what was folded from them: proofs of neighbours have most of both in common.
#[derive(Debug)]
pub(super) struct ReadHashes {
    leaves: Leaves,
    /// By stored level and first place.
    runs: BTreeSet<(u8, u64)>,
    known: BTreeMap<Node, Hash>,
}

impl ReadHashes {
    fn new(leaves: Leaves) -> ReadHashes {
        ReadHashes {
            leaves,
            runs: BTreeSet::new(),
            known: BTreeMap::new(),
        }
    }

    pub fn stored() -> ReadHashes {
        ReadHashes::new(Leaves::Stored)
    }

    /// With the hashes of leaves made again from their bytes: one stored hash that is damaged would else keep all leaves
    /// of its run from being proved.
    pub fn made_again() -> ReadHashes {
        ReadHashes::new(Leaves::MadeAgain)
    }

    /// The hashes that a plan wants.
    pub(super) async fn of(
        &mut self,
        conn: &mut AnyConnection,
        plan: &NodePlan,
    ) -> Result<Vec<Hash>, StoreError> {
        if self.runs.len() >= RUNS_MOST {
            *self = ReadHashes::new(self.leaves);
        }
        for node in plan.nodes() {
            self.read_under(conn, node).await?;
            self.fold(node);
        }
        plan.fold(|node| self.known.get(&node).copied())
            .map_err(|why| StoreError::row("tree_node", "of a proof", why))
    }

    async fn read_under(&mut self, conn: &mut AnyConnection, node: Node) -> Result<(), StoreError> {
        let (level, first) = stored_under(node);
        let begin = first / RUN * RUN;
        if self.known.contains_key(&node) || !self.runs.insert((level, begin)) {
            return Ok(());
        }
        let read = run(conn, (level, begin), self.leaves).await?.into_iter();
        let level = level * STEP;
        let read = read.map(|(index, hash)| (Node { level, index }, hash));
        self.known.extend(read);
        Ok(())
    }

    /// The hash of a node, by its halves down to what is stored; none where some of that is missing.
    fn fold(&mut self, node: Node) -> Option<Hash> {
        if let Some(hash) = self.known.get(&node) {
            return Some(*hash);
        }
        if node.level.is_multiple_of(STEP) {
            return None;
        }
        let half = |right: u64| Node {
            level: node.level - 1,
            index: 2 * node.index + right,
        };
        let hash = node_hash(&self.fold(half(0))?, &self.fold(half(1))?);
        self.known.insert(node, hash);
        Some(hash)
    }
}

/// The stored level below a node, and the first of the stored nodes that it covers.
fn stored_under(node: Node) -> (u8, u64) {
    (node.level / STEP, node.index << (node.level % STEP))
}

/// The hashes of one run as one text, since a row for each costs more than what is done with it; none where they have a
/// gap or are not all readable, and whoever reads them one by one says why.
async fn run_as_text(
    conn: &mut AnyConnection,
    (level, begin): (u8, u64),
) -> Result<Option<Vec<(u64, Hash)>>, StoreError> {
    let (from, to) = (signed(begin)?, signed(begin + RUN)?);
    let row = if level == 0 {
        sqlx::query(
            "SELECT COUNT(*) AS n, MAX(place) AS last, string_agg(hash, '') AS hashes FROM \
             (SELECT number AS place, hash FROM leaf WHERE number >= $1 AND number < $2 ORDER BY number) AS some_leaves",
        )
        .bind(from)
        .bind(to)
        .fetch_one(conn)
        .await?
    } else {
        sqlx::query(
            "SELECT COUNT(*) AS n, MAX(place) AS last, string_agg(hash, '') AS hashes FROM (SELECT place, hash \
             FROM tree_node WHERE level = $1 AND place >= $2 AND place < $3 ORDER BY place) AS some_nodes",
        )
        .bind(i64::from(level))
        .bind(from)
        .bind(to)
        .fetch_one(conn)
        .await?
    };
    let count: i64 = row.try_get("n")?;
    if count == 0 {
        return Ok(Some(Vec::new()));
    }
    let Ok(last) = row.try_get::<i64, _>("last") else {
        return Ok(None);
    };
    let text: String = row.try_get("hashes")?;
    let (digits, rest) = text.as_bytes().as_chunks::<64>();
    let hashes: Option<Vec<Hash>> = digits
        .iter()
        .map(|digits| Hash::parse(std::str::from_utf8(digits).ok()?).ok())
        .collect();
    let is_whole = last - from == count - 1 && rest.is_empty();
    let hashes =
        hashes.filter(|hashes| is_whole && i64::try_from(hashes.len()).is_ok_and(|n| n == count));
    Ok(hashes.map(|hashes| (begin..).zip(hashes).collect()))
}

/// The stored hashes of one level from `begin` on, one run.
async fn run(
    conn: &mut AnyConnection,
    (level, begin): (u8, u64),
    leaves: Leaves,
) -> Result<Vec<(u64, Hash)>, StoreError> {
    let (from, to) = (signed(begin)?, signed(begin + RUN)?);
    // A file keeps also what is no whole number: that is no leaf, and keeps none from being proved.
    let is_numbered = |row: &&AnyRow, column: &str| unsigned(row, column).is_ok();
    if (level, leaves) != (0, Leaves::MadeAgain)
        && let Some(read) = run_as_text(conn, (level, begin)).await?
    {
        return Ok(read);
    }
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
        let rows = rows.iter().filter(|row| is_numbered(row, "number"));
        return rows.map(made).collect();
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
        .filter(|row| is_numbered(row, "place"))
        .map(|row| {
            let place = unsigned(row, "place")?;
            Ok((place, read_hash("tree_node", place, row.try_get("hash")?)?))
        })
        .collect()
}

/// The first leaf that is not there, of those whose hashes a plan is folded from, in a record of this size.
pub(super) async fn missing_under(
    conn: &mut AnyConnection,
    plan: &NodePlan,
    size: u64,
) -> Result<Option<u64>, StoreError> {
    let stored = plan.nodes().map(stored_under);
    let of_leaves = stored.filter(|(level, _)| *level == 0);
    let runs: BTreeSet<u64> = of_leaves.map(|(_, first)| first / RUN * RUN).collect();
    for begin in runs {
        let until = size.min(begin + RUN);
        let rows = sqlx::query("SELECT number FROM leaf WHERE number >= $1 AND number < $2")
            .bind(signed(begin)?)
            .bind(signed(until)?)
            .fetch_all(&mut *conn)
            .await?;
        // What is no number is no leaf.
        let found = rows.iter().filter_map(|row| unsigned(row, "number").ok());
        let found: BTreeSet<u64> = found.collect();
        let missing = (begin..until).find(|number| !found.contains(number));
        if missing.is_some() {
            return Ok(missing);
        }
    }
    Ok(None)
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
