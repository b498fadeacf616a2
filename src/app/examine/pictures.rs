//! Pictures and scans: each that an entry names is there, as its entry says, and what lies there besides is named by none.

use super::Examined;
use crate::app::pictures::missing_words;
use crate::app::{App, AppError};
use crate::domain::custody::{ERASED, Event, What};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::EventId;
use crate::store::pictures::PictureEntry;
use crate::store::{Connection, custody, pictures, record};
use std::collections::BTreeSet;

/// Entries that are read at once.
const AT_ONCE: i64 = 500;
/// Pictures without an entry that are named; how many more there are is said.
const NAMED_MOST: usize = 5;

/// Every picture and scan of every case.
pub(super) async fn examine(examined: &mut Examined, app: &App, conn: &mut Connection) {
    let missing = app.store.shelf().missing(conn).await;
    let missing = examined.read("The list of pictures", missing.map_err(AppError::from));
    if let Some(Some(folder)) = missing {
        // One sentence for all of them.
        examined.fault(None, missing_words(&folder));
        return;
    }
    let mut named = BTreeSet::new();
    let mut last = None;
    loop {
        let page = pictures::entries_after(conn, last.as_ref(), AT_ONCE).await;
        let page = examined.read("The list of pictures", page.map_err(AppError::from));
        let Some(page) = page else { return };
        if page.is_empty() {
            break;
        }
        for PictureEntry { id, case, body, .. } in &page {
            // What cannot be read as an entry is named with the rows.
            let event = serde_json::from_str::<Event>(body).ok();
            let Some(what) = event.map(|event| event.what) else {
                continue;
            };
            if let Some((hash, _)) = what.file().filter(|(hash, _)| *hash != ERASED) {
                one(examined, app, conn, (id, case, &what)).await;
                named.insert((case.clone(), hash.to_owned()));
            }
        }
        last = page.into_iter().next_back();
    }
    let found = beside(examined, app, conn, &named).await;
    examined.read("Where the pictures lie", found);
}

async fn one(
    examined: &mut Examined,
    app: &App,
    conn: &mut Connection,
    (id, case, what): (&str, &str, &What),
) {
    let Some((hash, length)) = what.file() else {
        return;
    };
    let is_scan = matches!(what, What::ScanFiled(_));
    let read = app.store.shelf().read(conn, (case, hash)).await;
    let wrong = match read {
        Err(why) => format!("cannot be read: {why}"),
        Ok(None) if is_erased_by_now(app, id).await => return,
        Ok(None) => "is not there".to_owned(),
        Ok(Some(bytes)) if bytes.len() as u64 != length => {
            format!("has {} bytes, and its entry says {}", bytes.len(), length)
        }
        Ok(Some(bytes)) if sha256_hex(&bytes) != hash => {
            "is not the one that its entry names: its bytes come to another SHA-256".to_owned()
        }
        Ok(Some(_)) => {
            let count = match is_scan {
                true => &mut examined.scans,
                false => &mut examined.pictures,
            };
            *count += 1;
            return;
        }
    };
    let leaf = record::leaf_about(conn, "event", id).await.ok().flatten();
    let called = if is_scan { "scan" } else { "picture" };
    let sentence = format!("The {called} {hash} of case {case} {wrong}.");
    examined.fault(leaf.map(|leaf| leaf.number), sentence);
}

/// Whether somebody has erased it since this look began.
async fn is_erased_by_now(app: &App, id: &str) -> bool {
    let Ok(mut conn) = app.store.read().await else {
        return false;
    };
    let row = custody::find_stored_event(&mut conn, &EventId::new(id)).await;
    let body = row.ok().flatten().map(|row| row.body).unwrap_or_default();
    let event = serde_json::from_str::<Event>(&body).ok();
    let what = event.map(|event| event.what);
    what.is_some_and(|what| what.file().is_some_and(|(hash, _)| hash == ERASED))
}

/// What lies there, and no entry names it: left by a program that was killed, or put there by somebody. It harms nothing.
async fn beside(
    examined: &mut Examined,
    app: &App,
    conn: &mut Connection,
    named: &BTreeSet<pictures::PictureKey>,
) -> Result<(), AppError> {
    // A database of an earlier version does not have the tables until the next start.
    if !app.store.has_pictures(conn).await? {
        return Ok(());
    }
    let (lying, others) = app.store.shelf().list(conn).await?;
    let going = pictures::going(conn).await?;
    let coming = pictures::coming(conn).await?;
    let strays = lying.into_iter().filter(|key| !named.contains(key));
    let words = strays.map(|key| {
        let of = format!("the picture or scan {} of case {}", key.1, key.0);
        if going.contains(&key) {
            format!("{of} is erased, and goes at the next start")
        } else if coming.contains(&key) {
            format!("{of} is being added, or was when the program was ended: then it goes at the next start")
        } else {
            format!("no entry names {of}")
        }
    });
    let others = others
        .into_iter()
        .map(|name| format!("among the pictures lies {name}, which is none"));
    let all: Vec<String> = words.chain(others).collect();
    let more = all.len().saturating_sub(NAMED_MOST);
    examined.remarks.extend(all.into_iter().take(NAMED_MOST));
    if more > 0 {
        let words = format!("{more} more files lie among the pictures that no entry names");
        examined.remarks.push(words);
    }
    Ok(())
}
