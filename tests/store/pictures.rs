//! The bytes of pictures: kept with their entry, beside the file of a database or in a table, and taken away.

use crate::bed::{Bed, MONDAY_MS, case, event};
use vestibule::domain::custody::case::Case;
use vestibule::domain::custody::events::Pictured;
use vestibule::domain::custody::{Event, PictureOf, What};
use vestibule::domain::values::digest::sha256_hex;
use vestibule::store::pictures::{self, Shelf};
use vestibule::store::{Backend, cases, custody};

/// Notes that these bytes come, and keeps the note.
async fn note(bed: &Bed, case: &Case, hash: &str) {
    let mut tx = bed.tx().await;
    for _ in 0..2 {
        pictures::note_coming(&mut tx, &case.number, hash)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
}

pub async fn a_picture_is_kept_with_its_entry_and_goes_when_it_is_erased(bed: &Bed) {
    let (first, shelf) = (bed.with_a_case().await, bed.store.shelf());
    let is_folder = matches!(shelf, Shelf::Folder(_));
    assert_eq!(is_folder, bed.database.backend == Backend::Sqlite);
    // Every byte there is, and more than a page of the database holds.
    let bytes: Vec<u8> = (0..=u8::MAX).cycle().take(70_001).collect();
    let hash = sha256_hex(&bytes);
    let key = (first.number.as_str(), hash.as_str());
    let mut conn = bed.read().await;
    assert_eq!(shelf.read(&mut conn, key).await.unwrap(), None);
    note(bed, &first, &hash).await;
    let laid = (&first.number, hash.as_str());
    shelf
        .lay(bed.read().await, laid, bytes.clone().into())
        .await
        .unwrap();
    let mut tx = bed.tx().await;
    for _ in 0..2 {
        shelf
            .keep(&mut tx, (&first.number, &hash), bytes.clone().into())
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    assert_eq!(
        shelf.read(&mut conn, key).await.unwrap(),
        Some(bytes.clone())
    );
    // Of another case it is another picture.
    let mut tx = bed.tx().await;
    let second = case(2);
    cases::insert_case(&mut tx, &second).await.unwrap();
    shelf
        .keep(&mut tx, (&second.number, &hash), bytes.clone().into())
        .await
        .unwrap();
    tx.commit().await.unwrap();
    let own = |number: &str| (number.to_owned(), hash.clone());
    let mut both = vec![own(first.number.as_str()), own(second.number.as_str())];
    both.sort();
    assert_eq!(shelf.list(&mut conn).await.unwrap(), (both, Vec::new()));

    let mut tx = bed.tx().await;
    for _ in 0..2 {
        pictures::note_going(&mut tx, &first.number, &hash)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    assert_eq!(
        pictures::going(&mut conn).await.unwrap(),
        [own(first.number.as_str())]
    );
    // An entry names it again: it stays, and goes no more.
    let mut tx = bed.tx().await;
    let going = (&first.number, hash.as_str());
    shelf.take_away(&mut tx, going, true).await.unwrap();
    pictures::note_going(&mut tx, &first.number, &hash)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    assert!(shelf.read(&mut conn, key).await.unwrap().is_some());
    for _ in 0..2 {
        let mut tx = bed.tx().await;
        shelf.take_away(&mut tx, going, false).await.unwrap();
        tx.commit().await.unwrap();
    }
    assert_eq!(shelf.read(&mut conn, key).await.unwrap(), None);
    assert_eq!(pictures::going(&mut conn).await.unwrap(), []);
    let left = (vec![own(second.number.as_str())], Vec::new());
    assert_eq!(shelf.list(&mut conn).await.unwrap(), left);
}

pub async fn entries_of_pictures_come_in_the_order_of_time_a_page_at_a_time(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    for number in 1..=5_u32 {
        let one = event(&case, number);
        let what = What::Pictured(Pictured {
            shows: PictureOf::Other,
            item: None,
            hash: sha256_hex(&number.to_be_bytes()),
            length: 1,
            width: 1,
            height: 1,
            caption: String::new(),
            for_lab: false,
            question: None,
        });
        // Two of them in one moment, and between them what is no picture.
        let mut at = one.at;
        at.unix_ms = MONDAY_MS + i64::from(number / 2);
        let one = match number {
            3 => one,
            _ => Event { at, what, ..one },
        };
        custody::append_event(&mut tx, &one, i64::from(number) - 1)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let (mut found, mut last) = (Vec::new(), None);
    loop {
        let page = pictures::entries_after(&mut conn, last.as_ref(), 1)
            .await
            .unwrap();
        let Some(one) = page.into_iter().next() else {
            break;
        };
        assert_eq!(one.case, case.number.as_str());
        found.push((one.at_ms, one.id.clone()));
        last = Some(one);
    }
    let mut sorted = found.clone();
    sorted.sort();
    sorted.dedup();
    assert_eq!((found.len(), &found), (4, &sorted));
}

pub async fn bytes_are_laid_while_somebody_else_writes_and_their_entry_takes_the_note_back(
    bed: &Bed,
) {
    let (case, shelf) = (bed.with_a_case().await, bed.store.shelf());
    let bytes: Vec<u8> = (0..=u8::MAX).rev().cycle().take(300_000).collect();
    let hash = sha256_hex(&bytes);
    let key = (&case.number, hash.as_str());
    let lies = (case.number.as_str().to_owned(), hash.clone());
    let mut conn = bed.read().await;
    note(bed, &case, &hash).await;
    let noted = pictures::coming(&mut conn).await.unwrap();
    assert_eq!(noted, std::slice::from_ref(&lies));
    // Somebody has the turn to write, and keeps it.
    let busy = bed.tx().await;
    for _ in 0..2 {
        shelf
            .lay(bed.read().await, key, bytes.clone().into())
            .await
            .unwrap();
    }
    drop(busy);
    let read = shelf.read(&mut conn, (&lies.0, &lies.1)).await.unwrap();
    assert_eq!(read.as_ref(), Some(&bytes));
    // A transaction that fails leaves bytes and note, and what is half written goes with the note.
    let mut tx = bed.tx().await;
    shelf
        .keep(&mut tx, key, bytes.clone().into())
        .await
        .unwrap();
    drop(tx);
    assert_eq!(pictures::coming(&mut conn).await.unwrap(), noted);
    shelf.remove_parts(noted).await.unwrap();
    let mut tx = bed.tx().await;
    pictures::forget_coming(&mut tx, key.0, key.1)
        .await
        .unwrap();
    shelf.take_away(&mut tx, key, false).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(
        shelf.read(&mut conn, (&lies.0, &lies.1)).await.unwrap(),
        None
    );
    assert_eq!(pictures::coming(&mut conn).await.unwrap(), []);
    // What was taken away between the laying and the turn is laid in the turn.
    note(bed, &case, &hash).await;
    let mut tx = bed.tx().await;
    shelf
        .keep(&mut tx, key, bytes.clone().into())
        .await
        .unwrap();
    tx.commit().await.unwrap();
    let read = shelf.read(&mut conn, (&lies.0, &lies.1)).await.unwrap();
    assert_eq!(read, Some(bytes));
    assert_eq!(pictures::coming(&mut conn).await.unwrap(), []);
}

pub async fn on_a_server_nothing_is_laid_once_its_note_is_taken_back(bed: &Bed) {
    let (case, shelf) = (bed.with_a_case().await, bed.store.shelf());
    let (bytes, is_server) = (vec![7; 1_000], matches!(shelf, Shelf::Table));
    let hash = sha256_hex(&bytes);
    let key = (&case.number, hash.as_str());
    shelf
        .lay(bed.read().await, key, bytes.into())
        .await
        .unwrap();
    let mut conn = bed.read().await;
    let read = shelf
        .read(&mut conn, (key.0.as_str(), key.1))
        .await
        .unwrap();
    assert_eq!(read.is_none(), is_server);
}
