//! The leaves in their order, each against its hash, and the tree over them against head and stored nodes.
//!
//! What cannot be read, or is not there, is a fault of its own; from there on no tree can be built, and the
//! leaves that follow are still read one by one.

use super::Examined;
use crate::app::AppError;
use crate::record::hash::{Hash, leaf_hash};
use crate::record::tree::{Frontier, Node};
use crate::record::words::printed;
use crate::store::custody::LEAVES_AT_ONCE;
use crate::store::record::{
    LeafRow, LeafRun, count_nodes, head, leaf_run, leaves_from, nodes_of, stored_nodes,
};
use crate::store::{Connection, StoreError};

/// Leaves that may be unreadable before the rest is given up: a file that is rubbish has an end too.
const MOST_UNREADABLE: u32 = 50;

/// How far the walk has come.
struct Walk {
    /// The number that the next leaf has to have.
    next: u64,
    seen: u64,
    /// The tree over all leaves so far; `None` once one was missing.
    tree: Option<Frontier>,
    unreadable: u32,
    /// Leaves to ask for at once: few where something is unreadable, so that it alone is lost.
    step: i64,
}

pub async fn examine(examined: &mut Examined, conn: &mut Connection) {
    let mut walk = Walk {
        next: 0,
        seen: 0,
        tree: Some(Frontier::default()),
        unreadable: 0,
        step: LEAVES_AT_ONCE,
    };
    while walk.unreadable < MOST_UNREADABLE {
        if together(conn, &mut walk).await.is_some() {
            break;
        }
        match leaves_from(conn, walk.next, walk.step).await {
            Ok(leaves) if leaves.is_empty() => break,
            Ok(leaves) => {
                for leaf in leaves {
                    take(examined, conn, &mut walk, &leaf).await;
                }
                walk.step = (walk.step * 10).min(LEAVES_AT_ONCE);
            }
            Err(_) if walk.step > 1 => walk.step /= 10,
            Err(why) => unreadable(examined, &mut walk, &why),
        }
    }
    examined.leaves = walk.seen;
    if let Some(tree) = walk.tree {
        let end = end(examined, conn, &tree).await;
        examined.read("The record's end", end);
    }
}

/// Goes on to the end for as long as nothing is wrong with any leaf: many at once, and while some are hashed, the
/// next are read. `None` leaves the next ones to the walk from leaf to leaf, which finds what is wrong.
async fn together(conn: &mut Connection, walk: &mut Walk) -> Option<()> {
    if walk.step < LEAVES_AT_ONCE {
        return None;
    }
    let mut run = leaf_run(conn, walk.next, LEAVES_AT_ONCE).await.ok()??;
    while run.count() > 0 {
        let mut tree = walk.tree.clone()?;
        let ahead = leaf_run(conn, walk.next + run.count(), LEAVES_AT_ONCE);
        let (ahead, finished) = tokio::join!(ahead, async { hashed(&run, &mut tree) });
        if !stored_nodes(conn, &finished?).await.ok()?.is_empty() {
            return None;
        }
        walk.tree = Some(tree);
        walk.next += run.count();
        walk.seen += run.count();
        run = ahead.ok()??;
    }
    // The end, or a gap before leaves with other numbers.
    let rest = leaves_from(conn, walk.next, 1).await.ok()?;
    rest.is_empty().then_some(())
}

/// Hashes a run into the tree; answers with the nodes above the leaves that it completed. `None` where a leaf does
/// not fit its hash.
fn hashed(run: &LeafRun, tree: &mut Frontier) -> Option<Vec<(Node, Hash)>> {
    let mut finished = Vec::new();
    for (body, stored) in run.leaves() {
        let hash = leaf_hash(body.as_bytes());
        if hash.to_string() != stored {
            return None;
        }
        finished.extend(tree.append(hash).into_iter().skip(1));
    }
    Some(finished)
}

fn unreadable(examined: &mut Examined, walk: &mut Walk, why: &StoreError) {
    let number = walk.next;
    examined.fault(
        Some(number),
        format!("Leaf {number} cannot be read: {why}."),
    );
    walk.tree = None;
    walk.unreadable += 1;
    walk.next += 1;
}

async fn take(examined: &mut Examined, conn: &mut Connection, walk: &mut Walk, leaf: &LeafRow) {
    let number = leaf.number;
    if number != walk.next {
        let sentence = match number > walk.next {
            true => format!("Leaf {} is missing; the next one is {number}.", walk.next),
            false => format!("Leaf {number} comes twice, or out of its order."),
        };
        examined.fault(Some(number.min(walk.next)), sentence);
        walk.tree = None;
    }
    // Never backwards, whatever the database answers.
    walk.next = walk.next.max(number) + 1;
    walk.seen += 1;
    let hash = leaf_hash(leaf.body.as_bytes());
    if hash.to_string() != leaf.hash {
        examined.fault(
            Some(number),
            format!(
                "Leaf {number}, {} {}, does not fit its hash.",
                leaf.kind, leaf.about
            ),
        );
    }
    let Some(tree) = &mut walk.tree else { return };
    let finished = tree.append(hash);
    match stored_nodes(conn, &finished).await {
        Ok(wrong) => {
            for node in wrong {
                examined.fault(
                    Some(number),
                    format!("The stored hash over the leaves up to {number} is wrong ({node})."),
                );
            }
        }
        Err(why) => examined.fault(
            Some(number),
            format!("The stored hash over the leaves up to {number} cannot be read: {why}."),
        ),
    }
}

/// The whole tree against the head, and no node too many.
async fn end(
    examined: &mut Examined,
    conn: &mut Connection,
    tree: &Frontier,
) -> Result<(), AppError> {
    examined.root = Some(tree.root());
    let (stored, wanted) = (count_nodes(conn).await?, nodes_of(tree.size()));
    if stored != wanted {
        examined.fault(
            None,
            format!("{stored} hashes of the tree are stored, and there have to be {wanted}."),
        );
    }
    let head = head(conn).await?.frontier;
    if head != *tree {
        examined.fault(
            None,
            format!(
                "The leaves come to {} with root {}, and the head says {} with root {}.",
                tree.size(),
                printed(&tree.root()),
                head.size(),
                printed(&head.root())
            ),
        );
    }
    Ok(())
}
