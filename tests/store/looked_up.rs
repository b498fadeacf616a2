//! What is looked up in the record, where somebody who can write the database hides a leaf or puts another in its place.

use crate::bed::{Bed, append_leaves, case as case_of, leaf};
use crate::databases;
use tempfile::{TempDir, tempdir};
use vestibule::domain::custody::case::Case;
use vestibule::record::filed::RowOf;
use vestibule::record::hash::leaf_hash;
use vestibule::record::tree::inclusion_plan;
use vestibule::store::record::NewLeaf;
use vestibule::store::{Backend, LastSigned, Outage, Store, StoreError, record};

/// A program with a word of how far its key has signed.
struct Running {
    last: LastSigned,
    store: Store,
    _folder: TempDir,
}

impl Running {
    async fn on(bed: &Bed) -> Running {
        let folder = tempdir().unwrap();
        let last = LastSigned::beside(&folder.path().join("record.key"));
        last.begin(&databases::key()).unwrap();
        Running {
            store: opened(bed, &last).await,
            last,
            _folder: folder,
        }
    }

    async fn append(&self, case: &Case, numbers: std::ops::Range<u64>) {
        let mut tx = self.store.begin().await.unwrap();
        for number in numbers {
            record::append(&mut tx, &leaf(case, number)).await.unwrap();
        }
        tx.commit().await.unwrap();
        // The connection that writes has read again what it has written.
        self.store.kept_so_far().await;
    }
}

async fn opened(bed: &Bed, last: &LastSigned) -> Store {
    let address = &bed.database.address;
    let store = Store::open_signed(address, databases::key(), last.clone()).await;
    store.unwrap()
}

fn refused<T: std::fmt::Debug>(answer: Result<T, StoreError>, words: &str) {
    let why = answer.unwrap_err();
    assert!(
        matches!(&why, StoreError::Forked(said) if said.contains(words)),
        "{why}"
    );
}

async fn takes_no_entry(store: &Store, case: &Case, words: &str) {
    assert!(store.is_forked());
    assert_eq!(store.probe().await.unwrap_err().outage(), Outage::Record);
    let mut tx = store.begin().await.unwrap();
    refused(record::append(&mut tx, &leaf(case, 9_999)).await, words);
}

/// Makes both indexes leave out a leaf, and their definitions say again that they have all.
async fn leave_out_of_the_indexes(bed: &Bed, number: u64) {
    for sql in [
        format!(
            "PRAGMA writable_schema = ON; UPDATE sqlite_master SET sql = sql || ' WHERE number <> {number}' \
             WHERE name IN ('leaf_about', 'leaf_case')"
        ),
        "REINDEX leaf_about; REINDEX leaf_case".to_owned(),
        format!(
            "PRAGMA writable_schema = ON; UPDATE sqlite_master SET sql = replace(sql, ' WHERE number <> {number}', '') \
             WHERE name IN ('leaf_about', 'leaf_case')"
        ),
    ] {
        // Each in a connection of its own, which reads the definitions again.
        bed.past_the_store(&sql).await.unwrap();
    }
}

pub async fn an_event_whose_leaf_both_indexes_left_out_was_gone_and_the_next_start_said_nothing(
    bed: &Bed,
) {
    if bed.database.backend == Backend::Postgres {
        return;
    }
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    running.append(&case, 0..8).await;
    let store = &running.store;
    let mut conn = store.read().await.unwrap();
    let found = store.leaves_of(&mut conn, &case.number).await.unwrap();
    assert_eq!(found.len(), 8);
    drop(conn);
    leave_out_of_the_indexes(bed, 5).await;
    // What the database answers by itself.
    let mut raw = bed.database.raw().await;
    let found = record::leaves_of(&mut raw, &case.number).await.unwrap();
    assert_eq!(found.len(), 7);
    let found = record::leaf_about(&mut raw, "event", "event 5").await;
    assert_eq!(found.unwrap(), None);
    assert!(!store.is_forked());
    let mut conn = store.read().await.unwrap();
    let words = "leaf 5 is not found";
    refused(store.leaves_of(&mut conn, &case.number).await, words);
    refused(store.leaf_about(&mut conn, "event", "event 5").await, words);
    refused(store.numbers_of(&mut conn, &case.number).await, words);
    refused(store.leaves_of_kind(&mut conn, "event").await, words);
    assert!(store.is_forked());
    drop(conn);
    store.close().await;
    let again = opened(bed, &running.last).await;
    takes_no_entry(&again, &case, "an index over the leaves").await;
    again.close().await;
}

pub async fn the_newest_leaf_under_another_case_was_gone_from_its_own_while_the_program_ran(
    bed: &Bed,
) {
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    running.append(&case, 0..4).await;
    bed.unlock("leaf").await;
    bed.past_the_store("UPDATE leaf SET about = 'event x', case_number = 'x' WHERE number = 3")
        .await
        .unwrap();
    let store = &running.store;
    let mut conn = store.read().await.unwrap();
    let owner = case.number.as_str();
    let words = "leaf 3 is not found";
    refused(store.newest_owned_by(&mut conn, owner).await, words);
    refused(store.leaves_of(&mut conn, &case.number).await, words);
    refused(store.leaf_about(&mut conn, "event", "event 3").await, words);
    // Nor is it shown where it does not belong.
    refused(
        store.leaf_about(&mut conn, "event", "event x").await,
        "leaf 3 is found where",
    );
    drop(conn);
    let is_seen_by_who_writes = match bed.database.backend {
        Backend::Sqlite => "leaf 3 stands under another",
        Backend::Postgres => "leaf 3",
    };
    takes_no_entry(store, &case, is_seen_by_who_writes).await;
    store.close().await;
}

pub async fn what_another_program_has_added_is_known_as_well(bed: &Bed) {
    let case = bed.with_a_case().await;
    let (one, other) = (Running::on(bed).await, Running::on(bed).await);
    one.append(&case, 0..2).await;
    other.append(&case, 2..5).await;
    one.store.looked_at().await;
    let mut conn = one.store.read().await.unwrap();
    let found = one.store.leaves_of(&mut conn, &case.number).await.unwrap();
    assert_eq!(found.len(), 5);
    bed.unlock("leaf").await;
    bed.past_the_store("UPDATE leaf SET case_number = 'x' WHERE number = 4")
        .await
        .unwrap();
    refused(
        one.store.leaves_of(&mut conn, &case.number).await,
        "leaf 4 is not found",
    );
    drop(conn);
    one.store.close().await;
    other.store.close().await;
}

/// A finished run of 256 leads to the signed root by its stored hash, whatever has become of its leaves.
pub async fn a_leaf_that_is_gone_from_a_finished_run_was_not_said_at_the_start(bed: &Bed) {
    let case = bed.with_a_case().await;
    append_leaves(bed, &case, 0..300).await;
    bed.unlock("leaf").await;
    bed.past_the_store(
        "DELETE FROM leaf_salt WHERE leaf = 100; DELETE FROM leaf WHERE number = 100",
    )
    .await
    .unwrap();
    let running = Running::on(bed).await;
    takes_no_entry(&running.store, &case, "leaf 100 is missing").await;
    running.store.close().await;
}

pub async fn a_leaf_of_a_finished_run_that_was_written_again_for_another_case_was_not_said(
    bed: &Bed,
) {
    let case = bed.with_a_case().await;
    append_leaves(bed, &case, 0..300).await;
    let other = leaf(&case_of(2), 100);
    bed.unlock("leaf").await;
    let hash = leaf_hash(other.body.as_bytes());
    bed.past_the_store(&format!(
        "UPDATE leaf SET case_number = '{}', body = '{}', hash = '{hash}' WHERE number = 100",
        other.owner, other.body
    ))
    .await
    .unwrap();
    let running = Running::on(bed).await;
    takes_no_entry(&running.store, &case, "do not lead to the root").await;
    running.store.close().await;
}

pub async fn what_was_changed_was_noticed_by_the_next_write_alone(bed: &Bed) {
    if bed.database.backend == Backend::Postgres {
        return;
    }
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    running.append(&case, 0..4).await;
    running.store.looked_at().await;
    assert!(!running.store.is_forked());
    bed.unlock("leaf").await;
    bed.past_the_store("UPDATE leaf SET about = 'event x' WHERE number = 1")
        .await
        .unwrap();
    running.store.looked_at().await;
    assert!(running.store.is_forked());
    bed.past_the_store("UPDATE leaf SET about = 'event 1' WHERE number = 1")
        .await
        .unwrap();
    running.store.looked_at().await;
    assert!(!running.store.is_forked());
    running.store.close().await;
}

/// Nobody had hidden anything: the leaves were counted that came after the moment that was looked at.
pub async fn a_lookup_at_an_earlier_moment_finds_what_was_signed_then(bed: &Bed) {
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    running.append(&case, 0..4).await;
    let store = &running.store;
    let mut earlier = store.snapshot().await.unwrap();
    running.append(&case, 4..6).await;
    let found = store.leaves_of(&mut earlier, &case.number).await.unwrap();
    assert_eq!(found.len(), 4);
    let owner = case.number.as_str();
    let newest = store.newest_owned_by(&mut earlier, owner).await.unwrap();
    assert_eq!(newest.map(|leaf| leaf.number), Some(3));
    let later = store.leaf_about(&mut earlier, "event", "event 5").await;
    assert_eq!(later.unwrap(), None);
    drop(earlier);
    assert!(!store.is_forked());
    store.close().await;
}

/// The memory is ahead of each of them, and is compared as far as they see. All readers are taken meanwhile: whoever holds
/// one asks for no other.
pub async fn what_is_read_at_once_is_of_one_moment_though_all_readers_are_taken(bed: &Bed) {
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    running.append(&case, 0..4).await;
    let store = &running.store;
    let all = match bed.database.backend {
        Backend::Sqlite => 8,
        Backend::Postgres => 20,
    };
    let mut readers = Vec::new();
    for _ in 0..all {
        let mut reader = store.read_at_once().await.unwrap();
        // The first question is what chooses the moment.
        let head = record::head(&mut reader).await.unwrap();
        readers.push((reader, head));
    }
    running.append(&case, 4..6).await;
    store.looked_at().await;
    let look = async {
        for (reader, head) in &mut readers {
            let found = store.leaves_of(reader, &case.number).await.unwrap();
            assert_eq!(found.len(), 4);
            let owner = case.number.as_str();
            let newest = store.newest_owned_by(reader, owner).await.unwrap();
            assert_eq!(newest.map(|leaf| leaf.number), Some(3));
            let leaf = found.last().unwrap();
            let own = leaf_hash(leaf.body.as_bytes());
            assert!(store.proves(reader, leaf.number, &own).await.unwrap());
            assert_eq!(record::head(reader).await.unwrap(), *head);
        }
    };
    // A pool waits half a minute for a reader.
    let looked = tokio::time::timeout(std::time::Duration::from_secs(20), look).await;
    looked.unwrap();
    assert!(!store.is_forked());
    drop(readers);
    let mut now = store.read_at_once().await.unwrap();
    let found = store.leaves_of(&mut now, &case.number).await.unwrap();
    assert_eq!(found.len(), 6);
    drop(now);
    store.close().await;
}

/// Such a reader goes back to the others as it came: the next to take it sees what was written since.
pub async fn a_reader_that_was_given_back_keeps_no_moment(bed: &Bed) {
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    let store = &running.store;
    for until in 1..=30 {
        let mut reader = store.read_at_once().await.unwrap();
        let before = record::head(&mut reader).await.unwrap().frontier.size();
        running.append(&case, until - 1..until).await;
        let still = record::head(&mut reader).await.unwrap().frontier.size();
        assert_eq!((before, still), (until - 1, until - 1));
        drop(reader);
        let mut plain = store.read().await.unwrap();
        let now = record::head(&mut plain).await.unwrap().frontier.size();
        assert_eq!(now, until);
    }
    store.close().await;
}

pub async fn a_leaf_that_was_put_under_another_case_is_missed_at_one_moment_too(bed: &Bed) {
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    running.append(&case, 0..4).await;
    running.store.looked_at().await;
    bed.unlock("leaf").await;
    bed.past_the_store("UPDATE leaf SET case_number = 'C00000000' WHERE number = 3")
        .await
        .unwrap();
    let store = &running.store;
    let mut conn = store.read_at_once().await.unwrap();
    let found = store.leaves_of(&mut conn, &case.number).await;
    refused(found, "leaf 3 is not found where its bytes belong");
    drop(conn);
    store.close().await;
}

pub async fn a_leaf_put_beyond_the_signed_end_was_shown_and_held_the_number_of_the_next(bed: &Bed) {
    let case = bed.with_a_case().await;
    let (running, other) = (Running::on(bed).await, Running::on(bed).await);
    running.append(&case, 0..2).await;
    // What another program has signed is not beyond it, known here or not.
    other.append(&case, 2..4).await;
    other.store.close().await;
    let store = &running.store;
    let mut conn = store.read().await.unwrap();
    let found = store.leaves_of(&mut conn, &case.number).await.unwrap();
    assert_eq!(found.len(), 4);
    assert!(!store.is_forked());
    bed.past_the_store(
        "INSERT INTO leaf SELECT 4, 'event', 'event 4', case_number, body, hash FROM leaf WHERE number = 3",
    )
    .await
    .unwrap();
    let words = "leaf 4 stands beyond the end";
    refused(store.leaves_of(&mut conn, &case.number).await, words);
    refused(store.leaf_about(&mut conn, "event", "event 4").await, words);
    drop(conn);
    takes_no_entry(store, &case, words).await;
    store.close().await;
}

/// Every proof of a run that is not finished rests on all of its leaves.
pub async fn a_leaf_that_is_left_out_while_the_program_runs_is_named_by_the_first_proof_that_fails(
    bed: &Bed,
) {
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    running.append(&case, 0..8).await;
    let store = &running.store;
    bed.unlock("leaf").await;
    let left_out = match bed.database.backend {
        Backend::Sqlite => {
            "DELETE FROM leaf_salt WHERE leaf = 5; DELETE FROM leaf WHERE number = 5"
        }
        Backend::Postgres => {
            "ALTER TABLE leaf RENAME TO leaf_whole; CREATE VIEW leaf AS SELECT * FROM leaf_whole WHERE number <> 5"
        }
    };
    bed.past_the_store(left_out).await.unwrap();
    let mut conn = store.read().await.unwrap();
    let own = leaf_hash(leaf(&case, 3).body.as_bytes());
    let words = "leaf 5 is missing";
    refused(store.proves(&mut conn, 3, &own).await, words);
    refused(store.root_at(&mut conn, 7).await, words);
    let plan = inclusion_plan(3, 8).unwrap();
    refused(store.hashes(&mut conn, &plan).await, words);
    drop(conn);
    takes_no_entry(store, &case, words).await;
    store.close().await;
}

/// SQLite keeps it as it is typed, whatever the column is for.
pub async fn a_row_whose_number_is_no_whole_number_is_said_to_be_so(bed: &Bed) {
    if bed.database.backend == Backend::Postgres {
        return;
    }
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    running.append(&case, 0..8).await;
    let store = &running.store;
    bed.past_the_store(
        "INSERT INTO leaf SELECT 5.5, 'event', 'event 5.5', case_number, body, hash FROM leaf WHERE number = 5",
    )
    .await
    .unwrap();
    // It keeps no other from being proved.
    let mut conn = store.read().await.unwrap();
    let own = leaf_hash(leaf(&case, 3).body.as_bytes());
    assert!(store.proves(&mut conn, 3, &own).await.unwrap());
    drop(conn);
    store.looked_at().await;
    let words = "where leaf 6 is looked for stands a row whose number is no whole number";
    takes_no_entry(store, &case, words).await;
    // The same where there are as many leaves as before.
    bed.unlock("leaf").await;
    let moved = "PRAGMA foreign_keys = OFF; DELETE FROM leaf WHERE number = 5.5; \
                 UPDATE leaf SET number = 5.5 WHERE number = 5";
    bed.past_the_store(moved).await.unwrap();
    store.looked_at().await;
    let words = "where leaf 5 is looked for stands a row whose number is no whole number";
    takes_no_entry(store, &case, words).await;
    let mut conn = store.read().await.unwrap();
    let found = store.leaves_of(&mut conn, &case.number).await;
    refused(found, "of another kind than this program writes");
    drop(conn);
    store.close().await;
}

/// Of rows that the record says are there, those of a house that are not, by what a program has in memory of the record.
pub async fn a_house_is_known_to_lack_what_the_record_has_of_it(bed: &Bed) {
    let case = bed.with_a_case().await;
    let running = Running::on(bed).await;
    let (number, card) = (case.number.as_str(), case.patient.as_str());
    let leaves = [
        (
            "case",
            number.to_owned(),
            format!(
                r#"{{"case":{{"lab":"l","number":"{number}","office":"o","patient":"{card}"}},"kind":"case","v":1}}"#
            ),
        ),
        // Of others, and not there.
        (
            "case",
            "c".to_owned(),
            r#"{"case":{"lab":"m","number":"c","office":"p","patient":"n"},"kind":"case","v":1}"#
                .to_owned(),
        ),
        (
            "patient",
            format!("{card}/1"),
            format!(
                r#"{{"kind":"patient","patient":{{"code":"{card}","office":"o","version":1}},"v":1}}"#
            ),
        ),
        (
            "list",
            "a/1".to_owned(),
            r#"{"kind":"list","list":{"id":"a","list":"moulds","party":"l","version":1},"v":1}"#
                .to_owned(),
        ),
        // A later version makes no row.
        (
            "list",
            "a/2".to_owned(),
            r#"{"kind":"list","list":{"id":"a","list":"moulds","party":"l","version":2},"v":1}"#
                .to_owned(),
        ),
    ];
    let mut tx = running.store.begin().await.unwrap();
    for (kind, about, body) in leaves {
        let leaf = NewLeaf {
            kind,
            owner: about.split('/').next().unwrap().to_owned(),
            about,
            body,
            salts: "{}".to_owned(),
        };
        record::append(&mut tx, &leaf).await.unwrap();
    }
    tx.commit().await.unwrap();
    running.store.kept_so_far().await;
    running.store.looked_at().await;
    let rows = [
        RowOf::CaseOfOffice("o".to_owned()),
        RowOf::CaseOfLab("l".to_owned()),
        RowOf::Card("o".to_owned()),
        RowOf::List("l".to_owned(), "moulds".to_owned()),
        RowOf::List("o".to_owned(), "moulds".to_owned()),
        RowOf::CaseOfPatient(card.to_owned()),
        RowOf::CaseOfPatient("n".to_owned()),
    ];
    let lacking = async |store: &Store| {
        let (mut conn, mut found) = (bed.database.raw().await, Vec::new());
        for row in &rows {
            found.push(store.lacking(&mut conn, row).await.unwrap());
        }
        found
    };
    assert_eq!(lacking(&running.store).await, [0, 0, 0, 1, 0, 0, 1]);
    let moved = "UPDATE case_file SET office_id = lab_id, lab_id = office_id";
    bed.past_the_store(moved).await.unwrap();
    assert_eq!(lacking(&running.store).await, [1, 1, 0, 1, 0, 0, 1]);
    // Without a word of how far the key has signed, nothing is known.
    assert_eq!(lacking(&bed.store).await, [0; 7]);
}
