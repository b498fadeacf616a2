//! Scans of a case as files: written down while they come, read, written again and added, and handed out. They are taken away
//! as pictures are.

use super::case_work::CaseWork;
use super::laid::{EntriesOfFile, add_file};
use super::one_entry::hold_entry;
use super::pictures::{in_turn, kept_bytes};
use super::places::AccountPlace;
use super::whose_case::own_case;
use super::{App, AppError, Person, PostKey, new_codes};
use crate::domain::custody::events::{Registered, ScanFiled};
use crate::domain::custody::forms::{ItemChoice, ScanForm};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{ERASED, Event, What};
use crate::domain::mesh::{KeptScan, SCAN_BYTES_MOST, read_scan};
use crate::domain::values::digest::{hex, sha256_hex};
use crate::domain::values::ids::{AccountId, CaseNumber, EventId, Tag};
use crate::store::{StoreError, custody};
use sha2::{Digest, Sha256};
use std::time::Duration;
use tokio::io::AsyncWriteExt;
use tokio::sync::Semaphore;

/// The box of the scan.
pub const SCAN_FILE: &str = "scan_file";
/// How long somebody waits for a place among the scans that are handed out.
const GOING_WAIT: Duration = Duration::from_secs(10);

/// Reading takes a processor: one at a time, and no picture waits for it.
static READING: Semaphore = Semaphore::const_new(1);

/// A scan as it comes: in a file without a name, since in what was sent somebody may be named. It is gone when this is.
pub struct SentScan {
    file: tokio::fs::File,
    length: u64,
    sum: Sha256,
    place: AccountPlace,
}

/// What was sent could not be held.
fn of_disk(why: &std::io::Error) -> AppError {
    tracing::error!(%why, "a scan that was sent could not be held in the folder for temporary files");
    let sentence = "There is no room to hold this scan while it is read: tell whoever runs this installation that the disk \
                    for temporary files is full, or may not be written to.";
    AppError::Refused(vec![sentence.to_owned()])
}

impl SentScan {
    /// Nothing yet, of what this account sends.
    pub async fn begin(app: &App, account: &AccountId) -> Result<SentScan, AppError> {
        let place = app.places.scans_coming.take(account);
        let place = place.ok_or_else(|| {
            let sentence = "Several scans are coming in at this moment: send it again in a minute.";
            AppError::Refused(vec![sentence.to_owned()])
        })?;
        let file = tokio::task::spawn_blocking(tempfile::tempfile).await;
        let file = file.unwrap_or_else(|why| Err(std::io::Error::other(why)));
        Ok(SentScan {
            file: tokio::fs::File::from_std(file.map_err(|why| of_disk(&why))?),
            length: 0,
            sum: Sha256::new(),
            place,
        })
    }

    /// Adds what has come. False once there is more of it than a scan may have.
    pub async fn push(&mut self, bytes: &[u8]) -> Result<bool, AppError> {
        self.length += bytes.len() as u64;
        if self.length > SCAN_BYTES_MOST {
            return Ok(false);
        }
        self.sum.update(bytes);
        let written = self.file.write_all(bytes).await;
        written.map_err(|why| of_disk(&why))?;
        Ok(true)
    }

    /// The SHA-256 of what was sent.
    pub fn sha256(&self) -> String {
        hex(&self.sum.clone().finalize())
    }

    /// How many bytes have come.
    pub fn length(&self) -> u64 {
        self.length
    }

    /// Whether nothing was sent.
    pub fn is_empty(&self) -> bool {
        self.length == 0
    }

    /// What was sent, with its place until it is read.
    async fn into_file(mut self) -> Result<(std::fs::File, AccountPlace), AppError> {
        self.file.flush().await.map_err(|why| of_disk(&why))?;
        Ok((self.file.into_std().await, self.place))
    }
}

/// Whether there is such a case for somebody who sends a scan: asked before any of it is taken.
///
/// # Errors
/// As of any page of a case.
pub async fn expected(app: &App, person: &Person, number: &CaseNumber) -> Result<(), AppError> {
    let mut conn = app.store.read_at_once().await?;
    own_case(app, &mut conn, person, number).await.map(drop)
}

/// Adds a scan that was sent.
pub async fn add(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (form, sent): (&ScanForm, Option<SentScan>),
    key: &PostKey,
) -> Result<(), AppError> {
    let work = CaseWork::see(app, person, number).await?;
    let is_here = |tag: &Tag| work.context().scope().item(tag).is_some();
    let (new, item) = match &form.scan_item {
        ItemChoice::New => {
            let tag = new_codes::tag(app, &mut *app.store.read().await?).await?;
            (Some(tag), Ok(None))
        }
        chosen => (None, chosen.among(is_here)),
    };
    let item = item.map_err(|why| AppError::field(ScanForm::scan_item().key, why))?;
    if !form.no_face {
        let wanted = "Tick this if it is so. A face is not kept here: cut it off in the program that made the scan.";
        return Err(AppError::field(ScanForm::no_face().key, wanted));
    }
    let Some(sent) = sent else {
        return Err(AppError::field(SCAN_FILE, "Choose a scan."));
    };
    let ((file, _place), unit) = (sent.into_file().await?, form.scan_unit);
    let read = in_turn(&READING, move || {
        let kept = read_scan(file, unit)?;
        let hash = sha256_hex(&kept.bytes);
        Ok((kept, hash))
    });
    let (mut kept, hash) = read.await?.map_err(|why| AppError::field(SCAN_FILE, why))?;
    let bytes = std::mem::take(&mut kept.bytes);
    let length = bytes.len();
    add_file(app, person, &work, key, (&hash, bytes), |work, _| {
        if let Some(same) = work.state.scans.iter().find(|one| one.hash == hash) {
            let sentence = format!(
                "This scan is in the case already, since {}.",
                same.at.in_words()
            );
            return Err(AppError::field(SCAN_FILE, sentence));
        }
        let filed = |item| filed(work, form, item, (&kept, &hash, length));
        Ok(match &new {
            Some(tag) => EntriesOfFile {
                item: Some(registered(work, form, tag)),
                more: vec![filed(Some(tag.clone()))],
            },
            None => EntriesOfFile {
                item: None,
                more: vec![filed(item.clone())],
            },
        })
    })
    .await
    .map(drop)
}

/// A scan file as an item of its own, here from now on.
fn registered(work: &CaseWork, form: &ScanForm, tag: &Tag) -> (Item, Registered) {
    let item = Item {
        tag: tag.clone(),
        case: work.case.number.clone(),
        kind: ItemKind::Scan,
        arch: form.scan_shows.arch(),
        note: String::new(),
        pieces: 1,
        borrowed: false,
    };
    let registered = Registered {
        tag: tag.clone(),
        place: work.side,
        worn: false,
        note: String::new(),
        pieces: None,
        made: None,
        due_back: None,
        file: None,
    };
    (item, registered)
}

/// A scan of a new item, or of one that stands for a file and has none yet, is that file.
fn is_its_file(work: &CaseWork, item: Option<&Tag>) -> bool {
    item.is_some_and(|tag| {
        let kind = work.context().scope().item(tag).map(|one| one.kind);
        let known = work.state.item(tag).and_then(|one| one.file.as_ref());
        let has_bytes = known.is_some_and(|file| file.sha256.is_some());
        kind.is_none_or(|kind| kind == ItemKind::Scan) && !has_bytes
    })
}

fn filed(
    work: &CaseWork,
    form: &ScanForm,
    item: Option<Tag>,
    (kept, hash, length): (&KeptScan, &str, usize),
) -> What {
    let [width_um, depth_um, height_um] = kept.box_um;
    What::ScanFiled(ScanFiled {
        shows: form.scan_shows,
        is_its_file: is_its_file(work, item.as_ref()),
        item,
        hash: hash.to_owned(),
        length: length as u64,
        is_stl: kept.is_stl,
        triangles: kept.triangles,
        width_um,
        depth_um,
        height_um,
        unit: kept.unit,
        caption: form.scan_caption.clone(),
        for_lab: form.scan_for_lab,
    })
}

/// A scan that is handed out, with its place among those that are.
pub struct ScanBytes {
    bytes: Vec<u8>,
    _place: AccountPlace,
}

impl AsRef<[u8]> for ScanBytes {
    fn as_ref(&self) -> &[u8] {
        &self.bytes
    }
}

/// A scan of a case of one's own, and what it is called where somebody saves it. Any other does not exist, nor does one
/// that was erased.
pub async fn find(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    id: &EventId,
) -> Result<(ScanBytes, String), AppError> {
    own_case(app, &mut *app.store.read_at_once().await?, person, number).await?;
    of_case(app, person, number, id).await
}

/// The scan of an entry of this case, as the record has that entry; whoever asks may have it.
pub(super) async fn of_case(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    id: &EventId,
) -> Result<(ScanBytes, String), AppError> {
    let mut conn = app.store.read_at_once().await?;
    let row = custody::find_stored_event(&mut conn, id).await?;
    let row = row.ok_or(AppError::NotFound)?;
    let event = serde_json::from_str::<Event>(&row.body);
    let event = event.map_err(|why| StoreError::row("event", id, why))?;
    if event.case != *number {
        return Err(AppError::NotFound);
    }
    hold_entry(app, &mut conn, number, &event).await?;
    drop(conn);
    let one = match event.what {
        What::ScanFiled(one) if one.hash != ERASED => one,
        _ => return Err(AppError::NotFound),
    };
    let name = format!(
        "{}-{}.{}",
        number.as_str(),
        one.shows.word().replace('_', "-"),
        if one.is_stl { "stl" } else { "ply" }
    );
    let going = &app.places.scans_going;
    let place = going.wait(&person.account.id, GOING_WAIT).await;
    let place = place.ok_or_else(|| {
        let sentence = "Several scans are being sent at this moment: try again in a minute.";
        AppError::Refused(vec![sentence.to_owned()])
    })?;
    let bytes = kept_bytes(app, "scan", (number.as_str(), &one.hash)).await?;
    let scan = ScanBytes {
        bytes,
        _place: place,
    };
    Ok((scan, name))
}
