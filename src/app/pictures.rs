//! Pictures of a case: added, seen, and taken away once their entry is erased; scans go in the same way.

use super::case_work::CaseWork;
use super::laid::{EntriesOfFile, add_file, sweep_one};
use super::one_entry::hold_entry;
use super::run::on_case::enter_on_case;
use super::whose_case::own_case;
use super::written_again::{Cut, KeptPicture, made_small, written_again};
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{MarkedForLab, PICTURE_PLACE, Pictured};
use crate::domain::custody::forms::PictureForm;
use crate::domain::custody::{ERASED, ErasedText, Event, What};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::{CaseNumber, EventId, Tag};
use crate::store::pictures::Shelf;
use crate::store::{Connection, StoreError, Tx, custody, pictures};
use std::collections::BTreeSet;
use tokio::sync::Semaphore;

/// The box of the picture.
pub const PICTURE_FILE: &str = "picture";
/// The box that opens the camera of a telephone.
pub const PICTURE_SHOT: &str = "shot";
/// Entries that are read at once.
const AT_ONCE: i64 = 500;

/// Decoding takes a processor and some hundred megabytes: one at a time, and pages are answered meanwhile. Scans, which
/// take longer, have a turn of their own.
static DECODING: Semaphore = Semaphore::const_new(1);

/// Works on a picture or a scan when its turn of that kind comes, beside everything else that is going on. What a
/// decoder stumbles over is damaged.
pub(super) async fn in_turn<T: Send + 'static>(
    turn: &'static Semaphore,
    work: impl FnOnce() -> Result<T, String> + Send + 'static,
) -> Result<Result<T, String>, AppError> {
    let turn = turn.acquire().await;
    let turn = turn.map_err(|why| AppError::Inner(why.to_string()))?;
    let done = tokio::task::spawn_blocking(move || {
        let _turn = turn;
        work()
    });
    let fallen = || "This file is damaged: take it or save it again.".to_owned();
    Ok(done.await.unwrap_or_else(|_| Err(fallen())))
}

/// Adds a picture that was sent; the answer is its entry.
pub async fn add(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (form, sent): (&PictureForm, Vec<u8>),
    key: &PostKey,
) -> Result<EventId, AppError> {
    let work = CaseWork::see(app, person, number).await?;
    add_with(app, person, &work, (form, sent), key, |_, _| Ok(None)).await
}

/// The same with what is entered together with it: `more` is told the entry of the picture.
pub(super) async fn add_with(
    app: &App,
    person: &Person,
    work: &CaseWork,
    (form, sent): (&PictureForm, Vec<u8>),
    key: &PostKey,
    more: impl Fn(&CaseWork, &EventId) -> Result<Option<What>, AppError> + Send + Sync,
) -> Result<EventId, AppError> {
    let is_here = |tag: &Tag| work.context().scope().item(tag).is_some();
    let item = form.shown_item.among(is_here);
    let item = item.map_err(|why| AppError::field(PictureForm::shown_item().key, why))?;
    if !form.mouth_only {
        let wanted = "Tick this if it is so. A face is not kept here: cut it off or cover it, or take another picture.";
        return Err(AppError::field(PictureForm::mouth_only().key, wanted));
    }
    let place = app.places.pictures.take(&person.account.id);
    let _place = place.ok_or_else(|| {
        let sentence =
            "Several pictures are being worked on at this moment: send it again in a minute.";
        AppError::Refused(vec![sentence.to_owned()])
    })?;
    let cut = Cut::from(form);
    let written = in_turn(&DECODING, move || written_again(&sent, cut)).await?;
    let mut written = written.map_err(|why| AppError::field(PICTURE_FILE, why))?;
    let hash = sha256_hex(&written.jpeg);
    let bytes = std::mem::take(&mut written.jpeg);
    let length = bytes.len() as u64;
    add_file(app, person, work, key, (&hash, bytes), |work, [id, _]| {
        if let Some(same) = work.state.pictures.iter().find(|one| one.hash == hash) {
            let sentence = format!(
                "This picture is in the case already, since {}.",
                same.at.in_words()
            );
            return Err(AppError::field(PICTURE_FILE, sentence));
        }
        let picture = pictured(form, item.clone(), &written, (&hash, length));
        Ok(EntriesOfFile {
            item: None,
            more: std::iter::once(picture).chain(more(work, id)?).collect(),
        })
    })
    .await
}

fn pictured(
    form: &PictureForm,
    item: Option<Tag>,
    written: &KeptPicture,
    (hash, length): (&str, u64),
) -> What {
    What::Pictured(Pictured {
        shows: form.shows,
        item,
        hash: hash.to_owned(),
        length,
        width: written.width,
        height: written.height,
        caption: form.caption.clone(),
        for_lab: form.for_lab,
        question: form.of_question.clone(),
    })
}

/// Says of a picture or a scan that is there whether it is for the lab.
pub async fn mark_for_lab(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (event, for_lab): (&EventId, bool),
    key: &PostKey,
) -> Result<(), AppError> {
    let what = |work: &CaseWork| {
        let marked = MarkedForLab::about(&work.state, event, for_lab);
        Ok(marked.ok_or(AppError::NotFound)?.into())
    };
    enter_on_case(app, person, number, key, None, what).await
}

/// A picture of a case of one's own.
#[derive(Debug)]
pub struct PictureFile {
    case: CaseNumber,
    pub hash: String,
    /// What it is called where somebody saves it.
    pub name: String,
}

/// A picture of a case of one's own. Any other does not exist, nor does one that was erased.
pub async fn find(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    id: &EventId,
) -> Result<PictureFile, AppError> {
    let mut conn = app.store.read_at_once().await?;
    own_case(app, &mut conn, person, number).await?;
    of_case(app, &mut conn, number, id).await
}

/// The picture of an entry of this case, as the record has that entry; whoever asks may see it.
pub(super) async fn of_case(
    app: &App,
    conn: &mut Connection,
    number: &CaseNumber,
    id: &EventId,
) -> Result<PictureFile, AppError> {
    let row = custody::find_stored_event(conn, id).await?;
    let row = row.ok_or(AppError::NotFound)?;
    let event = serde_json::from_str::<Event>(&row.body);
    let event = event.map_err(|why| StoreError::row("event", id, why))?;
    if event.case != *number {
        return Err(AppError::NotFound);
    }
    hold_entry(app, conn, number, &event).await?;
    match event.what {
        What::Pictured(one) if one.hash != ERASED => Ok(PictureFile {
            case: number.clone(),
            name: format!(
                "{}-{}.jpg",
                number.as_str(),
                one.shows.word().replace('_', "-")
            ),
            hash: one.hash,
        }),
        _ => Err(AppError::NotFound),
    }
}

/// The bytes of a picture or a scan, if they are those that its entry names.
pub(super) async fn kept_bytes(
    app: &App,
    called: &str,
    key: (&str, &str),
) -> Result<Vec<u8>, AppError> {
    let shelf = app.store.shelf();
    let found = shelf.read(&mut *app.store.read().await?, key).await?;
    let lost = |what: &str| {
        let sentence = format!(
            "This {called} {what}. Tell whoever runs this installation: “vestibule check” says more."
        );
        AppError::Refused(vec![sentence])
    };
    let bytes =
        found.ok_or_else(|| lost("is not there any more, although nobody has erased it"))?;
    // Of a scan it takes some tenths of a second.
    let summed = tokio::task::spawn_blocking(move || (sha256_hex(&bytes), bytes)).await;
    let (sum, bytes) = summed.map_err(|why| AppError::Inner(why.to_string()))?;
    match sum == key.1 {
        true => Ok(bytes),
        false => Err(lost(
            "is not the one that was added: its bytes were changed",
        )),
    }
}

/// Its bytes, as they are kept or small.
pub async fn bytes(app: &App, file: &PictureFile, is_small: bool) -> Result<Vec<u8>, AppError> {
    let bytes = kept_bytes(app, "picture", (file.case.as_str(), &file.hash)).await?;
    match is_small {
        true => in_turn(&DECODING, move || made_small(&bytes))
            .await?
            .map_err(AppError::Inner),
        false => Ok(bytes),
    }
}

/// Who took the picture or the scan of an entry out for good, and when.
pub fn erased_words(work: &CaseWork, entry: &EventId) -> Option<String> {
    let gone = ErasedText {
        event: entry.clone(),
        place: PICTURE_PLACE.to_owned(),
    };
    let by = work.events.iter().find_map(|event| match &event.what {
        What::Erased(erased) if erased.texts.contains(&gone) => Some((event, erased.why)),
        _ => None,
    });
    let (event, why) = by?;
    let at = event.at.in_words();
    Some(format!(
        "Erased by {} on {at}, because {}",
        event.stamp().answering(),
        why.shown()
    ))
}

/// Notes what becomes of the bytes of pictures and scans that are erased: they go once this is kept.
pub(super) async fn note_going(
    tx: &mut Tx,
    work: &CaseWork,
    texts: &[ErasedText],
) -> Result<(), AppError> {
    let is_picture = |text: &&ErasedText| text.place == PICTURE_PLACE;
    for text in texts.iter().filter(is_picture) {
        if let Some(hash) = work.state.file_hash(&text.event) {
            pictures::note_going(tx, &work.case.number, hash).await?;
        }
    }
    Ok(())
}

/// Takes out of a copy what no entry of it names: a picture may have been erased while it was made.
pub(super) async fn leave_out_strays(copy: &App) -> Result<(), AppError> {
    let Shelf::Folder(folder) = copy.store.shelf() else {
        return Ok(());
    };
    let mut conn = copy.store.read().await?;
    let (mut named, mut last) = (BTreeSet::new(), None);
    loop {
        let page = pictures::entries_after(&mut conn, last.as_ref(), AT_ONCE).await?;
        if page.is_empty() {
            break;
        }
        // What cannot be read is named by whoever looks the copy through, and nothing of its case goes.
        for entry in &page {
            let event = serde_json::from_str::<Event>(&entry.body);
            let what = event.map(|event| event.what).ok();
            let hash = what.as_ref().and_then(What::file);
            let hash = hash.map_or_else(String::new, |(hash, _)| hash.to_owned());
            named.insert((entry.case.clone(), hash));
        }
        last = page.into_iter().next_back();
    }
    let lying = copy.store.shelf().list(&mut conn).await?.0;
    let is_stray = |key: &&pictures::PictureKey| {
        !named.contains(key) && !named.contains(&(key.0.clone(), String::new()))
    };
    for (case, hash) in lying.iter().filter(is_stray) {
        let removed = folder.remove(case, hash);
        removed.map_err(|why| AppError::Inner(format!("{}: {why}", folder.path().display())))?;
    }
    Ok(())
}

/// What is said, at a start and by whoever examines, of a folder that is not there.
pub fn missing_words(folder: &std::path::Path) -> String {
    format!(
        "The folder of pictures and scans, {}, is not there, although entries name files in it. Put it back from where it \
         was moved, or from the backup that belongs to this database; until then they cannot be seen, and none can be \
         added.",
        folder.display()
    )
}

/// Takes the bytes of erased pictures and scans away: after each erasing, and at a start what a program that was killed has left.
/// What cannot be removed hinders nothing else: it is tried again then, and the log says which file it is.
pub async fn take_away(app: &App) -> Result<(), AppError> {
    let going = pictures::going(&mut *app.store.read().await?).await?;
    for (case, hash) in going {
        sweep_one(&app.store, &case, &hash).await;
    }
    Ok(())
}
