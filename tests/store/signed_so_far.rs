//! How far a key has signed, written beside it: several programs, each with a file of its own or with one for all.

use crate::bed::{Bed, MONDAY_MS, append_leaves, changes_of, event, leaf, revision};
use crate::databases::{self, Database};
use sqlx::{AnyConnection, Row};
use tempfile::tempdir;
use vestibule::domain::custody::case::Case;
use vestibule::record::hash::{Hash, leaf_hash};
use vestibule::record::tree::Frontier;
use vestibule::store::resumption::{self, MomentOf, Resumed, ResumptionRow};
use vestibule::store::{
    Backend, Compare, Lack, LastSigned, Outage, Store, StoreError, cases, custody, record, retry,
    revisions,
};

async fn open(bed: &Bed, last: &LastSigned) -> Result<Store, StoreError> {
    Store::open_signed(&bed.database.address, databases::key(), last.clone()).await
}

async fn append(store: &Store, case: &Case, number: u64) {
    retry(|| async {
        let mut tx = store.begin().await?;
        record::append(&mut tx, &leaf(case, number)).await?;
        tx.commit().await
    })
    .await
    .unwrap();
}

fn said(last: &LastSigned) -> u64 {
    let key = databases::key();
    let (_, checkpoint) = last.read(key.verifier()).unwrap().unwrap();
    checkpoint.size
}

/// What two machines keep beside their keys, begun, with the folders that it lies in.
fn two_machines() -> ([tempfile::TempDir; 2], [LastSigned; 2]) {
    let folders = [tempdir().unwrap(), tempdir().unwrap()];
    let beside = |place: usize| LastSigned::beside(&folders[place].path().join("record.key"));
    let files = [beside(0), beside(1)];
    for file in &files {
        file.begin(&databases::key()).unwrap();
    }
    (folders, files)
}

pub async fn r1_programs_on_several_machines_each_have_a_bound_from_below(bed: &Bed) {
    let case = bed.with_a_case().await;
    let (_folders, files) = two_machines();
    let one = open(bed, &files[0]).await.unwrap();
    let other = open(bed, &files[1]).await.unwrap();
    append(&one, &case, 1).await;
    append(&one, &case, 2).await;
    append(&other, &case, 3).await;
    // Each has written down its own last commit; what the other has added since is no lack.
    assert_eq!([said(&files[0]), said(&files[1])], [2, 3]);
    one.close().await;
    let one = open(bed, &files[0]).await.unwrap();
    // At its start it writes down what it finds.
    assert_eq!(said(&files[0]), 3);
    for store in [&one, &other] {
        assert!(store.lack().await.unwrap().is_none());
        store.close().await;
    }
}

pub async fn r1_a_database_set_back_between_two_bounds_is_missed_by_the_machine_that_has_signed_more_alone(
    bed: &Bed,
) {
    let case = bed.with_a_case().await;
    let (_folders, files) = two_machines();
    let one = open(bed, &files[0]).await.unwrap();
    append(&one, &case, 1).await;
    append(&one, &case, 2).await;
    one.close().await;
    let other = open(bed, &files[1]).await.unwrap();
    append(&other, &case, 3).await;
    let then = stored_head(bed).await;
    append(&other, &case, 4).await;
    other.close().await;
    assert_eq!([said(&files[0]), said(&files[1])], [2, 4]);
    // Back to the third entry: within what the one has signed, and not within what the other has.
    bed.unlock("leaf").await;
    for sql in [
        "DELETE FROM leaf_salt WHERE leaf > 2",
        "DELETE FROM leaf WHERE number > 2",
    ] {
        bed.past_the_store(sql).await.unwrap();
    }
    put_head(bed, &then).await;
    let lack = |opened: Result<Store, StoreError>| match opened {
        Err(StoreError::Lacks(lack)) => lack,
        other => panic!("{other:?}"),
    };
    assert!(matches!(
        lack(open(bed, &files[1]).await),
        Lack::Shorter {
            signed: 4,
            found: 3
        }
    ));
    let one = open(bed, &files[0]).await.unwrap();
    assert!(one.lack().await.unwrap().is_none());
    // What was refused has left all as it was, and what was opened knows the bound of the other as little as before.
    assert_eq!([said(&files[0]), said(&files[1])], [3, 4]);
    append(&one, &case, 5).await;
    append(&one, &case, 6).await;
    one.close().await;
    // However far the one has gone on since: it is another record, and the other says so.
    assert!(matches!(
        lack(open(bed, &files[1]).await),
        Lack::Rewritten { signed: 4 }
    ));
    assert_eq!([said(&files[0]), said(&files[1])], [5, 4]);
}

pub async fn r1_programs_that_share_the_file_write_it_at_once_and_it_never_goes_back(bed: &Bed) {
    let case = bed.with_a_case().await;
    let folder = tempdir().unwrap();
    let last = LastSigned::beside(&folder.path().join("record.key"));
    last.begin(&databases::key()).unwrap();
    let one = open(bed, &last).await.unwrap();
    let other = open(bed, &last).await.unwrap();
    let write = async |store: &Store, from: u64| {
        let mut seen = 0;
        for number in from..from + 20 {
            append(store, &case, number).await;
            let now = said(&last);
            assert!(now > seen, "{now} after {seen}");
            seen = now;
        }
    };
    tokio::join!(write(&one, 100), write(&other, 200));
    assert_eq!(said(&last), 40);
    one.close().await;
    other.close().await;
}

pub async fn r1_a_store_that_lacks_what_was_signed_is_refused_before_anything_is_written(
    bed: &Bed,
) {
    let case = bed.with_a_case().await;
    let folder = tempdir().unwrap();
    let last = LastSigned::beside(&folder.path().join("record.key"));
    let lack = |opened: Result<Store, StoreError>| match opened {
        Err(StoreError::Lacks(lack)) => lack,
        other => panic!("{other:?}"),
    };
    let refused = lack(open(bed, &last).await);
    assert!(matches!(refused, Lack::NoWord { .. }) && refused.may_be_restored());
    last.begin(&databases::key()).unwrap();
    let store = open(bed, &last).await.unwrap();
    for number in 1..=3 {
        append(&store, &case, number).await;
    }
    store.close().await;
    // What is signed by the right key and is another record: of the same length, and of another beginning.
    let newest = std::fs::read(last.path()).unwrap();
    bed.unlock("leaf").await;
    bed.unlock("tree_node").await;
    for sql in [
        "DELETE FROM leaf_salt",
        "DELETE FROM leaf",
        "DELETE FROM tree_node",
        "UPDATE record_head SET size = 0, peaks = '', checkpoint = ''",
    ] {
        bed.past_the_store(sql).await.unwrap();
    }
    assert!(matches!(
        lack(open(bed, &last).await),
        Lack::NoDatabase { signed: 3 }
    ));
    let other = tempdir().unwrap();
    let other = LastSigned::beside(&other.path().join("record.key"));
    other.begin(&databases::key()).unwrap();
    let store = open(bed, &other).await.unwrap();
    append(&store, &case, 8).await;
    assert!(matches!(
        lack(open(bed, &last).await),
        Lack::Shorter {
            signed: 3,
            found: 1
        }
    ));
    for number in 9..=12 {
        append(&store, &case, number).await;
    }
    assert!(matches!(
        lack(open(bed, &last).await),
        Lack::Rewritten { signed: 3 }
    ));
    store.close().await;
    assert_eq!(std::fs::read(last.path()).unwrap(), newest);
}

pub async fn r22_nothing_is_stored_that_could_not_be_written_down_beside_the_key(bed: &Bed) {
    let case = bed.with_a_case().await;
    let folder = tempdir().unwrap();
    let last = LastSigned::beside(&folder.path().join("record.key"));
    last.begin(&databases::key()).unwrap();
    let store = open(bed, &last).await.unwrap();
    append(&store, &case, 1).await;
    let moved = folder.path().join("aside");
    std::fs::rename(last.path(), &moved).unwrap();
    let mut tx = store.begin().await.unwrap();
    let refused = record::append(&mut tx, &leaf(&case, 2)).await.unwrap_err();
    drop(tx);
    assert_eq!(refused.outage(), Outage::BesideKey);
    assert!(!refused.may_be_stored() && refused.to_string().contains("record.last"));
    let probed = store.probe().await.unwrap_err();
    assert_eq!(probed.outage(), Outage::BesideKey);
    // What is no entry of the record goes on, and is read.
    let tx = store.begin().await.unwrap();
    tx.commit().await.unwrap();
    std::fs::rename(&moved, last.path()).unwrap();
    store.probe().await.unwrap();
    append(&store, &case, 2).await;
    assert_eq!(said(&last), 2);
    let stored = record::leaves_of(&mut *bed.read().await, &case.number).await;
    assert_eq!(stored.unwrap().len(), 2);
    store.close().await;
}

/// What is stored of the head.
async fn stored_head(bed: &Bed) -> (i64, String, String) {
    let sql = "SELECT size, peaks, checkpoint FROM record_head";
    let mut conn = bed.database.raw().await;
    let row = sqlx::query(sql).fetch_one(&mut conn).await.unwrap();
    (row.get(0), row.get(1), row.get(2))
}

async fn put_head(bed: &Bed, (size, peaks, checkpoint): &(i64, String, String)) {
    let sql = format!(
        "UPDATE record_head SET size = {size}, peaks = '{peaks}', checkpoint = '{checkpoint}'"
    );
    bed.past_the_store(&sql).await.unwrap();
}

/// What a record that is not the signed one is told by: an entry is refused, and what is none goes on, so that somebody can be told.
async fn takes_no_entry(store: &Store, case: &Case, number: u64, words: &str) {
    let mut tx = store.begin().await.unwrap();
    let refused = record::append(&mut tx, &leaf(case, number)).await;
    drop(tx);
    let refused = refused.unwrap_err();
    assert!(matches!(&refused, StoreError::Forked(_)), "{refused}");
    assert_eq!(refused.outage(), Outage::Record);
    assert!(refused.to_string().contains(words), "{refused}");
    assert!(!refused.may_be_stored() && !refused.is_passing() && store.is_forked());
    assert_eq!(store.probe().await.unwrap_err().outage(), Outage::Record);
    let tx = store.begin().await.unwrap();
    tx.commit().await.unwrap();
}

pub async fn r0_a_database_that_is_set_back_while_it_is_open_takes_no_entry_more(bed: &Bed) {
    let case = bed.with_a_case().await;
    let folder = tempdir().unwrap();
    let last = LastSigned::beside(&folder.path().join("record.key"));
    last.begin(&databases::key()).unwrap();
    let store = open(bed, &last).await.unwrap();
    append(&store, &case, 1).await;
    append(&store, &case, 2).await;
    let then = stored_head(bed).await;
    append(&store, &case, 3).await;
    append(&store, &case, 4).await;
    let newest = std::fs::read(last.path()).unwrap();
    bed.unlock("leaf").await;
    bed.past_the_store("DELETE FROM leaf_salt WHERE leaf > 1; DELETE FROM leaf WHERE number > 1")
        .await
        .unwrap();
    put_head(bed, &then).await;
    takes_no_entry(
        &store,
        &case,
        5,
        "it has 2 entries, and the key has signed 4",
    )
    .await;
    // Nor once somebody else has gone on from there, further than it was.
    for number in 6..=9 {
        append(&bed.store, &case, number).await;
    }
    takes_no_entry(&store, &case, 5, "its first 4 entries are not those").await;
    // A program that begins now is refused by the file alone.
    assert!(matches!(
        open(bed, &last).await.unwrap_err(),
        StoreError::Lacks(Lack::Rewritten { signed: 4 })
    ));
    store.close().await;
    assert_eq!(std::fs::read(last.path()).unwrap(), newest);
}

/// Whoever takes all leaves away makes no database of before the record: its checkpoint is left, or another one.
pub async fn a_head_is_one_of_before_the_record_only_where_nothing_was_ever_signed(bed: &Bed) {
    let is_empty = async || {
        let head = record::head(&mut *bed.read().await).await.unwrap();
        head.is_empty()
    };
    let none = (0, String::new(), String::new());
    let case = bed.with_a_case().await;
    append(&bed.store, &case, 1).await;
    assert!(!is_empty().await);
    let (.., checkpoint) = stored_head(bed).await;
    assert_ne!(checkpoint, "");
    put_head(bed, &(0, String::new(), checkpoint)).await;
    assert!(!is_empty().await);
    put_head(bed, &none).await;
    assert!(is_empty().await);
}

/// More than are compared at once.
const MANY: u64 = 5_200;

pub async fn r0_a_start_enters_nothing_before_all_leaves_are_compared(bed: &Bed) {
    let case = bed.with_a_case().await;
    let folder = tempdir().unwrap();
    let last = LastSigned::beside(&folder.path().join("record.key"));
    last.begin(&databases::key()).unwrap();
    append_leaves(bed, &case, 1..MANY).await;
    let beside = || async {
        let address = &bed.database.address;
        Store::open_comparing(address, databases::key(), last.clone(), Compare::Beside).await
    };
    let stored = || async {
        let mut conn = bed.database.raw().await;
        let row = sqlx::query("SELECT COUNT(*) FROM leaf").fetch_one(&mut conn);
        row.await.unwrap().get::<i64, _>(0).unsigned_abs()
    };
    let store = beside().await.unwrap();
    append(&store, &case, MANY).await;
    assert!(!store.is_comparing() && !store.is_forked());
    store.close().await;
    assert_eq!(stored().await, MANY);
    // One of the last, so that the comparison is long under way when somebody wants to write.
    bed.unlock("leaf").await;
    bed.past_the_store("UPDATE leaf SET about = 'event x' WHERE number = 5150")
        .await
        .unwrap();
    let store = beside().await.unwrap();
    let mut tx = store.begin().await.unwrap();
    let early = record::append(&mut tx, &leaf(&case, MANY + 1)).await;
    drop(tx);
    let early = early.unwrap_err();
    assert!(
        matches!(early, StoreError::Comparing(_) | StoreError::Forked(_)),
        "{early}"
    );
    let refused = retry(|| async {
        let mut tx = store.begin().await?;
        record::append(&mut tx, &leaf(&case, MANY + 1)).await?;
        tx.commit().await
    })
    .await;
    assert!(matches!(refused, Err(StoreError::Forked(_))), "{refused:?}");
    takes_no_entry(&store, &case, MANY + 1, "leaf 5150 stands under another").await;
    store.close().await;
    assert_eq!(stored().await, MANY);
}

pub async fn r0_what_the_key_has_not_signed_as_it_stands_is_signed_by_no_later_entry(bed: &Bed) {
    let case = bed.with_a_case().await;
    let folder = tempdir().unwrap();
    let last = LastSigned::beside(&folder.path().join("record.key"));
    last.begin(&databases::key()).unwrap();
    let store = open(bed, &last).await.unwrap();
    for number in 1..=3 {
        append(&store, &case, number).await;
    }
    let before = stored_head(bed).await;
    // A leaf and all hashes are made again, which needs no key; the signed note is left.
    bed.unlock("leaf").await;
    let mut tree = Frontier::default();
    for number in 0..3_u64 {
        let body = match number {
            // Of the same kind and key, so that only the root tells.
            1 => leaf(&case, 2).body.replace("\"v\":1", "\"v\":77"),
            other => leaf(&case, other + 1).body,
        };
        let hash = leaf_hash(body.as_bytes());
        tree.append(hash);
        let sql =
            format!("UPDATE leaf SET body = '{body}', hash = '{hash}' WHERE number = {number}");
        bed.past_the_store(&sql).await.unwrap();
    }
    let peaks: String = tree.peaks().iter().map(ToString::to_string).collect();
    put_head(bed, &(before.0, peaks, before.2.clone())).await;
    takes_no_entry(&store, &case, 4, "signed for another size or root").await;
    // Also to a program that has signed nothing yet, and without the file.
    takes_no_entry(&bed.store, &case, 4, "signed for another size or root").await;
    // Back as it was, it goes on.
    let own = leaf(&case, 2).body;
    let sql = format!(
        "UPDATE leaf SET body = '{own}', hash = '{}' WHERE number = 1",
        leaf_hash(own.as_bytes())
    );
    bed.past_the_store(&sql).await.unwrap();
    put_head(bed, &before).await;
    append(&store, &case, 4).await;
    assert!(!store.is_forked());
    assert_eq!(said(&last), 4);
    // What the file beside the key says, somebody has to have signed.
    std::fs::write(last.path(), "nothing of ours").unwrap();
    let mut tx = store.begin().await.unwrap();
    let refused = record::append(&mut tx, &leaf(&case, 5)).await.unwrap_err();
    drop(tx);
    assert_eq!(refused.outage(), Outage::BesideKey);
    store.close().await;
}

pub async fn r0_a_leaf_is_proved_by_the_signed_root_and_by_no_stored_hash(bed: &Bed) {
    let case = bed.with_a_case().await;
    // More than one whole block of stored hashes, and some of the next.
    crate::bed::append_leaves(bed, &case, 0..300).await;
    let hash = |number: u64| leaf_hash(leaf(&case, number).body.as_bytes());
    let mut conn = bed.read().await;
    for number in [0, 6, 255, 256, 299] {
        let proved = bed.store.proves(&mut conn, number, &hash(number)).await;
        assert!(proved.unwrap(), "{number}");
        let other = bed.store.proves(&mut conn, number, &hash(number + 1)).await;
        assert!(!other.unwrap(), "{number}");
    }
    // Many at once are answered as each alone, in whatever order: all, and every seventh with the hash of another.
    let asked: Vec<(u64, Hash)> = (0..300)
        .map(|number| (number, hash(number + u64::from(number % 7 == 0))))
        .collect();
    let wanted: Vec<bool> = asked.iter().map(|(number, _)| number % 7 != 0).collect();
    let proved = bed.store.proves_each(&mut conn, &asked).await;
    assert_eq!(proved.unwrap(), wanted);
    let backward: Vec<(u64, Hash)> = asked.into_iter().rev().collect();
    let proved = bed.store.proves_each(&mut conn, &backward).await;
    assert!(proved.unwrap().iter().rev().eq(&wanted));
    assert!(!bed.store.proves(&mut conn, 300, &hash(300)).await.unwrap());
    // One that is being written is known to whoever writes it, and to nobody once it is taken back.
    let mut tx = bed.tx().await;
    record::append(&mut tx, &leaf(&case, 300)).await.unwrap();
    assert!(bed.store.proves(tx.conn(), 300, &hash(300)).await.unwrap());
    drop(tx);
    let tx = bed.tx().await;
    drop(tx);
    assert!(!bed.store.proves(&mut conn, 300, &hash(300)).await.unwrap());
    // A leaf and its hash, changed in a whole block; and its block's hash with it.
    bed.unlock("leaf").await;
    bed.unlock("tree_node").await;
    let sql = format!("UPDATE leaf SET hash = '{}' WHERE number = 6", hash(999));
    bed.past_the_store(&sql).await.unwrap();
    assert!(!bed.store.proves(&mut conn, 6, &hash(999)).await.unwrap());
    // Its neighbours are proved by their bytes, and it as it was.
    let asked = [(5, hash(5)), (6, hash(999)), (6, hash(6)), (7, hash(7))];
    let proved = bed.store.proves_each(&mut conn, &asked).await;
    assert_eq!(proved.unwrap(), [true, false, true, true]);
    let mut tree = Frontier::default();
    let mut block = hash(0);
    for number in 0..256 {
        let leaf = if number == 6 { hash(999) } else { hash(number) };
        block = tree.append(leaf).pop().unwrap().1;
    }
    let sql = format!("UPDATE tree_node SET hash = '{block}' WHERE level = 1 AND place = 0");
    bed.past_the_store(&sql).await.unwrap();
    assert!(!bed.store.proves(&mut conn, 6, &hash(999)).await.unwrap());
}

pub async fn a_resumption_is_written_once_and_found(bed: &Bed) {
    let row = ResumptionRow {
        id: "r".into(),
        why: Resumed::Restored,
        signed: "a note".to_owned(),
        found: String::new(),
        account: None,
        name: "Ada".to_owned(),
        reason: "the disk failed".to_owned(),
        at_ms: 5,
        ahead_ms: 0,
    };
    let clock = ResumptionRow {
        id: "c".to_owned(),
        why: Resumed::Clock,
        at_ms: 7,
        ahead_ms: 900,
        ..row.clone()
    };
    let mut tx = bed.tx().await;
    resumption::insert(&mut tx, &row).await.unwrap();
    resumption::insert(&mut tx, &clock).await.unwrap();
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let newest = resumption::newest(&mut conn, 10).await.unwrap();
    assert_eq!(newest, [clock, row.clone()]);
    assert_eq!(resumption::newest(&mut conn, 1).await.unwrap().len(), 1);
    let words = resumption::of_clock(&mut conn).await.unwrap();
    let words: Vec<_> = words
        .iter()
        .map(|word| (word.id.as_str(), word.given_ms, word.ahead_ms))
        .collect();
    assert_eq!(words, [("c", 7, 900)]);
    assert_eq!(resumption::find(&mut conn, "r").await.unwrap(), Some(row));
    assert_eq!(resumption::find(&mut conn, "s").await.unwrap(), None);
    assert!(
        bed.past_the_store("UPDATE resumption SET reason = 'x'")
            .await
            .is_err()
    );
    assert!(bed.past_the_store("DELETE FROM resumption").await.is_err());
}

pub async fn r6_the_newest_entry_is_found_and_what_pages_keep_is_made_again(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut conn = bed.read().await;
    let newest = resumption::newest_moments(&mut conn, 5).await.unwrap();
    assert_eq!(newest, []);
    let mut tx = bed.tx().await;
    for (place, number) in [(0, 1), (1, 900)] {
        custody::append_event(&mut tx, &event(&case, number), place)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    let newest = resumption::newest_moments(&mut conn, 5).await.unwrap();
    let found: Vec<(bool, i64)> = newest
        .iter()
        .map(|one| (one.case == case.number, one.ms))
        .collect();
    assert_eq!(found, [(true, MONDAY_MS + 900), (true, MONDAY_MS + 1)]);
    let one = resumption::newest_moments(&mut conn, 1).await.unwrap();
    assert_eq!(one, newest[..1]);
    let version = async |conn: &mut AnyConnection| {
        let case = cases::find_case(conn, &case.number).await.unwrap();
        (case.unwrap().version, changes_of(conn, "l").await)
    };
    let before = version(&mut conn).await;
    for (after, more) in [(MONDAY_MS + 900, 0), (MONDAY_MS + 899, 1)] {
        let mut tx = bed.tx().await;
        resumption::count_change_after(&mut tx, after)
            .await
            .unwrap();
        tx.commit().await.unwrap();
        let now = version(&mut conn).await;
        assert_eq!(now, (before.0 + more, before.1 + more));
    }
    let mut tx = bed.tx().await;
    revisions::insert(&mut tx, &revision(&case, 1))
        .await
        .unwrap();
    tx.commit().await.unwrap();
    let newest = resumption::newest_moments(&mut conn, 1).await.unwrap();
    let found: Vec<(bool, i64)> = newest
        .iter()
        .map(|one| (matches!(one.of, MomentOf::Signature(_)), one.ms))
        .collect();
    assert_eq!(found[0], (false, MONDAY_MS + 900), "signed before");
    assert_eq!(found.len(), 2);
    assert!(found[1].0 && found[1].1 < MONDAY_MS + 900, "{found:?}");
}

pub async fn r5_any_number_of_programs_start_together_on_a_new_database(bed: &Bed) {
    // A database of its own for each round: the tables are laid once.
    for _ in 0..3 {
        let database = match bed.database.backend {
            Backend::Sqlite => Some(Database::sqlite().await),
            Backend::Postgres => Database::postgres().await,
        };
        let database = database.unwrap();
        let (one, two, three, four) = tokio::join!(
            Store::open(&database.address, databases::key()),
            Store::open(&database.address, databases::key()),
            Store::open(&database.address, databases::key()),
            Store::open(&database.address, databases::key()),
        );
        for store in [one, two, three, four] {
            store.unwrap().close().await;
        }
        database.remove().await;
    }
}

pub async fn r5_a_new_file_that_another_program_has_in_hand_is_waited_for(bed: &Bed) {
    if bed.database.backend == Backend::Postgres {
        return;
    }
    let database = Database::sqlite().await;
    let mut other = database.raw().await;
    // As a program holds it that is about to lay its log: SQLite itself lets nobody wait for that.
    let hold = sqlx::raw_sql("BEGIN IMMEDIATE; CREATE TABLE other (id INTEGER)");
    hold.execute(&mut other).await.unwrap();
    let let_go = async {
        tokio::time::sleep(std::time::Duration::from_millis(200)).await;
        let let_go = sqlx::raw_sql("ROLLBACK");
        let_go.execute(&mut other).await.unwrap();
    };
    let (store, ()) = tokio::join!(Store::open(&database.address, databases::key()), let_go);
    store.unwrap().close().await;
    database.remove().await;
}

pub async fn r4_commits_are_flushed_whatever_the_server_is_set_to(bed: &Bed) {
    if bed.database.backend == Backend::Postgres {
        let sql = "DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET synchronous_commit = off', current_database()); END $$";
        bed.past_the_store(sql).await.unwrap();
    }
    let store = bed.database.open().await;
    let mut tx = store.begin().await.unwrap();
    let (question, wanted) = match bed.database.backend {
        Backend::Sqlite => (
            "SELECT CAST(synchronous AS TEXT) FROM pragma_synchronous",
            "2",
        ),
        Backend::Postgres => ("SHOW synchronous_commit", "on"),
    };
    let row = sqlx::query(question).fetch_one(tx.conn()).await.unwrap();
    assert_eq!(row.get::<String, _>(0), wanted);
    drop(tx);
    store.close().await;
}

pub async fn r9_a_database_that_can_only_be_read_is_refused_at_the_start(bed: &Bed) {
    if bed.database.backend == Backend::Postgres {
        return;
    }
    let address = bed.database.address.replace("mode=rwc", "mode=ro");
    let refusal = Store::open(&address, databases::key()).await.unwrap_err();
    assert!(
        refusal.to_string().contains("can only be read"),
        "{refusal}"
    );
}
