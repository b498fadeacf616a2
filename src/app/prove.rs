//! The proof of a case's history as files that a stranger can check without this program.

use super::recorded::entries_of;
use super::{App, AppError};
use crate::domain::case::Case;
use crate::record::bundle::{Bundle, BundleLeaf, Files, Older};
use crate::record::leaf::{Salts, salts_from_json};
use crate::record::tree::{consistency_plan, inclusion_plan};
use crate::record::words::PaperRoot;
use crate::store::record::{LeafRow, hashes, head, leaves_of, root_at};
use crate::store::{Connection, StoreError};
use serde_json::Value;
use std::collections::BTreeMap;

/// The bundle of a case. `paper` is the size and root of an earlier print, from which the growth is shown.
pub async fn bundle(app: &App, case: &Case, paper: Option<&PaperRoot>) -> Result<Files, AppError> {
    let mut conn = app.store.read().await?;
    let head = head(&mut conn).await?;
    let size = head.frontier.size();
    let mut values: BTreeMap<(String, String), Value> = entries_of(&mut conn, case)
        .await?
        .into_iter()
        .map(|(about, entry)| ((entry.kind.word().to_owned(), about), entry.value))
        .collect();
    let mut leaves = Vec::new();
    for leaf in leaves_of(&mut conn, &case.number).await? {
        // What was appended while this was read is for the next bundle.
        if leaf.number < size {
            let value = values.remove(&(leaf.kind.clone(), leaf.about.clone()));
            leaves.push(proven(&mut conn, leaf, value, size).await?);
        }
    }
    let older = match paper {
        Some(paper) => Some(older(&mut conn, paper, size).await?),
        None => None,
    };
    let bundle = Bundle {
        case: case.number.to_string(),
        key: app.store.key().clone(),
        witnesses: Vec::new(),
        checkpoint: head.checkpoint,
        leaves,
        older,
    };
    Ok(bundle.files())
}

async fn proven(
    conn: &mut Connection,
    leaf: LeafRow,
    value: Option<Value>,
    size: u64,
) -> Result<BundleLeaf, AppError> {
    let plan = inclusion_plan(leaf.number, size).map_err(|why| AppError::Inner(why.to_string()))?;
    let gone = || StoreError::row("leaf", leaf.number, "what it stands for is not stored");
    Ok(BundleLeaf {
        index: leaf.number,
        proof: hashes(conn, &plan).await?,
        value: value.ok_or_else(gone)?,
        salts: salts(&leaf)?,
        bytes: leaf.body.into_bytes(),
    })
}

fn salts(leaf: &LeafRow) -> Result<Salts, StoreError> {
    let text = leaf.salts.as_deref().unwrap_or("{}");
    serde_json::from_str(text)
        .ok()
        .as_ref()
        .and_then(salts_from_json)
        .ok_or_else(|| StoreError::row("leaf_salt", leaf.number, "the salts cannot be read"))
}

async fn older(conn: &mut Connection, paper: &PaperRoot, size: u64) -> Result<Older, AppError> {
    let refused = |sentence: String| AppError::Refused(vec![sentence]);
    let plan = consistency_plan(paper.size, size).map_err(|why| refused(why.to_string()))?;
    let root = root_at(conn, paper.size).await?;
    if !paper.fits(&root) {
        return Err(refused(format!(
            "The first {} entries of this record do not come to the paper's root.",
            paper.size
        )));
    }
    Ok(Older {
        size: paper.size,
        root,
        proof: hashes(conn, &plan).await?,
    })
}
