//! The proof of a case's history as files that a stranger can check without this program.

use super::health::refuse_if_found_forked;
use super::recorded::entries_of;
use super::whose_case::changed_past_us;
use super::witness::{self, Newest};
use super::{App, AppError};
use crate::domain::custody::case::Case;
use crate::record::bundle::{Bundle, BundleLeaf, Files, Older};
use crate::record::hash::leaf_hash;
use crate::record::key::Verifier;
use crate::record::leaf::{Salts, matches, salts_from_json};
use crate::record::note::with_line;
use crate::record::tree::{consistency_plan, inclusion_plan};
use crate::record::witness::cosigned;
use crate::record::words::PaperRoot;
use crate::store::record::LeafRow;
use crate::store::witness::{KeyRow, keys_of};
use crate::store::{Connection, StoreError};
use serde_json::Value;
use std::collections::BTreeMap;

/// Cosignatures of one side in a bundle: those of the newest checkpoint.
const KEYS_MOST: i64 = 20;

/// The bundle of a case. `paper` is the size and root of an earlier print, from which the growth is shown.
///
/// # Errors
/// A refusal in words too, where what is stored of the case cannot be read: this program has not written it so.
pub async fn bundle(app: &App, case: &Case, paper: Option<&PaperRoot>) -> Result<Files, AppError> {
    match files_of(app, case, paper).await {
        Err(AppError::Store(error)) if error.is_of_a_value() => {
            tracing::error!(case = %case.number, %error, "nothing is proved of a case that cannot be read");
            Err(changed_past_us(&case.number, "what is stored of it"))
        }
        done => done,
    }
}

async fn files_of(app: &App, case: &Case, paper: Option<&PaperRoot>) -> Result<Files, AppError> {
    // Before a reader is taken: whoever waits would keep it from others.
    app.store.looked_at().await;
    let mut conn = app.store.read_at_once().await?;
    let Against {
        size,
        checkpoint,
        witnesses,
    } = against(&mut conn, app, case, paper).await?;
    // What stands against the checkpoint itself is said first: it says more.
    refuse_if_found_forked(app)?;
    let mut values: BTreeMap<(String, String), Value> = entries_of(&mut conn, case)
        .await?
        .into_iter()
        .map(|(about, entry)| ((entry.kind.word().to_owned(), about), entry.value))
        .collect();
    let mut leaves = Vec::new();
    for leaf in app.store.leaves_of(&mut conn, &case.number).await? {
        // At one moment all of them are: what is appended meanwhile is for the next bundle.
        if leaf.number < size {
            let value = values.remove(&(leaf.kind.clone(), leaf.about.clone()));
            leaves.push(proven(app, &mut conn, (leaf, value), size).await?);
        }
    }
    let older = match paper {
        Some(paper) => Some(older(app, &mut conn, paper, size).await?),
        None => None,
    };
    let bundle = Bundle {
        case: case.number.to_string(),
        key: app.store.key().clone(),
        witnesses,
        checkpoint,
        leaves,
        older,
    };
    Ok(bundle.files())
}

/// The checkpoint that everything is proved against.
struct Against {
    size: u64,
    checkpoint: String,
    witnesses: Vec<Verifier>,
}

/// The newest checkpoint that a browser of either side has cosigned, if it holds all entries of the case and
/// is not older than the paper; otherwise the newest of all.
async fn against(
    conn: &mut Connection,
    app: &App,
    case: &Case,
    paper: Option<&PaperRoot>,
) -> Result<Against, AppError> {
    let mut keys = keys_of(conn, &case.office, KEYS_MOST).await?;
    keys.extend(keys_of(conn, &case.lab, KEYS_MOST).await?);
    let leaves = app.store.numbers_of(conn, &case.number).await?;
    let least = leaves.last().map_or(1, |(_, _, number)| number + 1);
    let least = least.max(paper.map_or(1, |paper| paper.size));
    let newest = Newest::read(conn, app.store.key()).await?;
    let size = keys.iter().map(|row| row.size).max().unwrap_or_default();
    if size >= least {
        let of_that_size = keys.iter().filter(|row| row.size == size);
        if let Some(found) = gathered(conn, app, &newest, of_that_size).await? {
            return Ok(found);
        }
    }
    match newest {
        Newest::Signed(checkpoint, seen) => Ok(Against {
            size: seen.size,
            checkpoint,
            witnesses: Vec::new(),
        }),
        Newest::Empty => Err(AppError::Refused(vec!["The record is empty.".to_owned()])),
        Newest::Unsigned(_) => Err(AppError::AnotherKey),
    }
}

/// One note with the lines of all these keys; `None` if the record does not contain it.
async fn gathered(
    conn: &mut Connection,
    app: &App,
    newest: &Newest,
    rows: impl Iterator<Item = &KeyRow>,
) -> Result<Option<Against>, AppError> {
    let mut found: Option<Against> = None;
    for row in rows {
        let Ok(key) = Verifier::parse(&row.key) else {
            continue;
        };
        let Ok(seen) = cosigned(&row.checkpoint, &row.line, app.store.key(), &key) else {
            continue;
        };
        if witness::against(conn, &seen, newest).await?.is_some() {
            continue;
        }
        let so_far = found.get_or_insert_with(|| Against {
            size: seen.size,
            checkpoint: row.checkpoint.clone(),
            witnesses: Vec::new(),
        });
        if let Ok(both) = with_line(&so_far.checkpoint, &row.line) {
            so_far.checkpoint = both;
            so_far.witnesses.push(key);
        }
    }
    Ok(found)
}

async fn proven(
    app: &App,
    conn: &mut Connection,
    (leaf, value): (LeafRow, Option<Value>),
    size: u64,
) -> Result<BundleLeaf, AppError> {
    let plan = inclusion_plan(leaf.number, size).map_err(|why| AppError::Inner(why.to_string()))?;
    let gone = || StoreError::row("leaf", leaf.number, "what it stands for is not stored");
    let (value, salts) = (value.ok_or_else(gone)?, salts(&leaf)?);
    let differs = match matches(leaf.body.as_bytes(), &value, &salts) {
        Err(why) => Some(why.to_string()),
        Ok(_) if leaf_hash(leaf.body.as_bytes()).to_string() != leaf.hash => {
            Some("The leaf does not fit its hash.".to_owned())
        }
        Ok(_) => None,
    };
    if let Some(why) = differs {
        return Err(AppError::Refused(vec![format!(
            "What is stored as {} {} is not as the record says: {why} Nothing is proved. “vestibule check” says more.",
            leaf.kind, leaf.about
        )]));
    }
    Ok(BundleLeaf {
        index: leaf.number,
        proof: app.store.hashes(conn, &plan).await?,
        value,
        salts,
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

async fn older(
    app: &App,
    conn: &mut Connection,
    paper: &PaperRoot,
    size: u64,
) -> Result<Older, AppError> {
    let refused = |sentence: String| AppError::Refused(vec![sentence]);
    let plan = consistency_plan(paper.size, size).map_err(|why| refused(why.to_string()))?;
    let root = app.store.root_at(conn, paper.size).await?;
    if !paper.fits(&root) {
        return Err(refused(format!(
            "The first {} entries of this record do not come to the paper's root.",
            paper.size
        )));
    }
    Ok(Older {
        size: paper.size,
        root,
        proof: app.store.hashes(conn, &plan).await?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::Settings;
    use crate::clock::Outside;
    use crate::domain::custody::agenda::CaseAgenda;
    use crate::domain::custody::case::{DRAWN, Place};
    use crate::domain::values::arch::Arches;
    use crate::domain::values::ids::{CaseNumber, PatientCode};
    use crate::record::key::Signer;
    use crate::store::Store;
    use crate::store::record::{NewLeaf, append};
    use std::time::Duration;
    use tokio::task::JoinSet;
    use tokio::time::timeout;

    fn case() -> Case {
        let number = (0..32).find_map(|last| CaseNumber::from_random([0, 0, 0, 0, 0, 0, last]));
        let patient = (0..32).find_map(|last| PatientCode::from_random([0, 0, 0, 0, 0, 0, last]));
        Case {
            number: number.unwrap(),
            office: "o".into(),
            lab: "l".into(),
            patient: patient.unwrap(),
            arches: Arches::Both,
            opened_ms: 0,
            closed: false,
            place: Place::Office,
            also: None,
            held: None,
            waiting_for: Vec::new(),
            due: None,
            lent_due: None,
            summary: String::new(),
            revision: 0,
            acknowledged: 0,
            changed_ms: 0,
            version: 1,
            agenda: CaseAgenda::default(),
            drawn: DRAWN,
        }
    }

    #[tokio::test]
    async fn whoever_waits_for_the_comparison_of_a_start_keeps_no_reader_from_others() {
        let folder = tempfile::tempdir().unwrap();
        let address = Store::sqlite_address(&folder.path().join("x.sqlite"));
        let key = Signer::log("vestibule.test/record", &[7; 32]).unwrap();
        let store = Store::open(&address, key).await.unwrap();
        let leaf = NewLeaf {
            kind: "event",
            about: "e".to_owned(),
            owner: "c".to_owned(),
            body: "{}".to_owned(),
            salts: "{}".to_owned(),
        };
        let mut tx = store.begin().await.unwrap();
        append(&mut tx, &leaf).await.unwrap();
        tx.commit().await.unwrap();
        let settings = Settings {
            over_tls: false,
            address: "http://vestibule.test".to_owned(),
            notice: None,
        };
        let app = App::new(store, Outside::fixed(0, 1), settings);
        let _comparing = app.store.as_while_comparing();
        let mut waiting = JoinSet::new();
        // More than there are readers.
        for _ in 0..24 {
            let app = app.clone();
            waiting.spawn(async move { bundle(&app, &case(), None).await.map(drop) });
        }
        let first = timeout(Duration::from_millis(500), waiting.join_next()).await;
        assert!(first.is_err(), "all of them wait");
        let read = timeout(Duration::from_secs(5), app.store.read()).await;
        assert!(read.is_ok_and(|read| read.is_ok()));
    }
}
