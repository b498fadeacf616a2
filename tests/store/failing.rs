//! A database that fails, and writes that are given up.

use crate::bed::{Bed, leaf, run};
use crate::databases::Database;
use sqlx::Row;
use std::collections::BTreeSet;
use std::future::poll_fn;
use std::pin::Pin;
use std::sync::atomic::{AtomicU32, Ordering};
use std::task::Poll;
use vestibule::domain::custody::case::Case;
use vestibule::record::hash::Hash;
use vestibule::record::tree::Frontier;
use vestibule::store::record::NewLeaf;
use vestibule::store::{Backend, Outage, Store, StoreError, Tx, record, retry};

type Permission = Pin<Box<dyn Future<Output = Result<(), StoreError>> + Send>>;

/// A write of two leaves, which are kept together or not at all. `weight`: characters of their salts.
fn pair(store: &Store, case: &Case, number: u64, weight: usize) -> Permission {
    let (store, case) = (store.clone(), case.clone());
    Box::pin(async move {
        let mut tx = store.begin().await?;
        for number in [2 * number, 2 * number + 1] {
            let leaf = NewLeaf {
                salts: "x".repeat(weight),
                ..leaf(&case, number)
            };
            record::append(&mut tx, &leaf).await?;
        }
        tx.commit().await
    })
}

/// Lets each write take its place in line, and no more.
async fn stand_in_line(changes: &mut [Permission]) {
    poll_fn(|context| {
        for change in &mut *changes {
            assert!(change.as_mut().poll(context).is_pending());
        }
        Poll::Ready(())
    })
    .await;
}

async fn outcomes(changes: Vec<Permission>) -> Vec<Result<(), StoreError>> {
    let under_way: Vec<_> = changes.into_iter().map(tokio::spawn).collect();
    let mut outcomes = Vec::new();
    for change in under_way {
        outcomes.push(change.await.unwrap());
    }
    outcomes
}

/// The pairs that are kept. None may be half there, no number may be missing, and the head must fit.
async fn whole_pairs(bed: &Bed) -> BTreeSet<u64> {
    let mut conn = bed.read().await;
    let leaves = record::leaves_from(&mut conn, 0, 10_000).await.unwrap();
    let mut tree = Frontier::default();
    for leaf in &leaves {
        assert_eq!(leaf.number, tree.size());
        tree.append(Hash::parse(&leaf.hash).unwrap());
    }
    let head = record::head(&mut conn).await.unwrap();
    assert_eq!(head.frontier, tree);
    assert_eq!(
        record::head_fault(&mut conn, bed.store.key())
            .await
            .unwrap(),
        None
    );
    let number = |leaf: &record::LeafRow| leaf.about["event ".len()..].parse::<u64>().unwrap();
    let (pairs, alone) = leaves.as_chunks::<2>();
    assert_eq!(alone, []);
    let numbers = pairs.iter().map(|[one, other]| {
        assert_eq!(number(one) + 1, number(other));
        number(one) / 2
    });
    numbers.collect()
}

/// Makes every transaction fail at its commit that has written leaf "event 10".
fn refusal_at_commit(backend: Backend) -> String {
    let tables = "CREATE TABLE nowhere (id BIGINT PRIMARY KEY); \
                  CREATE TABLE claim (id BIGINT REFERENCES nowhere (id) DEFERRABLE INITIALLY DEFERRED);";
    match backend {
        Backend::Sqlite => format!(
            "{tables} CREATE TRIGGER refuse AFTER INSERT ON leaf WHEN NEW.about = 'event 10' \
             BEGIN INSERT INTO claim VALUES (1); END"
        ),
        Backend::Postgres => format!(
            "{tables} CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS \
             $$ BEGIN INSERT INTO claim VALUES (1); RETURN NULL; END $$; \
             CREATE TRIGGER refuse AFTER INSERT ON leaf FOR EACH ROW WHEN (NEW.about = 'event 10') \
             EXECUTE FUNCTION refuse()"
        ),
    }
}

pub async fn a_commit_that_fails_is_told_to_every_change_in_it(bed: &Bed) {
    let case = bed.with_a_case().await;
    bed.past_the_store(&refusal_at_commit(bed.database.backend))
        .await
        .unwrap();
    let first = bed.tx().await;
    let mut changes: Vec<Permission> = (0..12).map(|n| pair(&bed.store, &case, n, 2)).collect();
    stand_in_line(&mut changes).await;
    changes.push(Box::pin(first.commit()));
    for outcome in outcomes(changes).await {
        let error = outcome.unwrap_err();
        assert!(
            matches!(error, StoreError::Lost { passing: false, .. }),
            "{error}"
        );
    }
    assert_eq!(whole_pairs(bed).await, BTreeSet::new());
    pair(&bed.store, &case, 20, 2).await.unwrap();
    assert_eq!(whole_pairs(bed).await, BTreeSet::from([20]));
}

/// Polls a write so many times and then drops it, in the middle of whatever it waits for.
async fn given_up_after(mut polls: u32, mut change: Permission) -> Option<Result<(), StoreError>> {
    poll_fn(move |context| {
        if polls == 0 {
            return Poll::Ready(None);
        }
        polls -= 1;
        if polls == 0 {
            context.waker().wake_by_ref();
        }
        change.as_mut().poll(context).map(Some)
    })
    .await
}

pub async fn changes_given_up_at_any_point_leave_the_record_whole(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut known = BTreeSet::new();
    for round in 0..4_u64 {
        let numbers = round * 200..(round + 1) * 200;
        let under_way: Vec<_> = numbers
            .map(|number| {
                // Every third goes to its end; the others stop at some await, from the first to the last.
                let polls = match number % 3 {
                    0 => u32::MAX,
                    _ => 1 + u32::try_from(number * 7 % 9).unwrap(),
                };
                let change = given_up_after(polls, pair(&bed.store, &case, number, 2));
                (number, tokio::spawn(change))
            })
            .collect();
        let mut given_up = 0;
        for (number, change) in under_way {
            match change.await.unwrap() {
                Some(outcome) => {
                    outcome.unwrap();
                    known.insert(number);
                }
                None => given_up += 1,
            }
        }
        assert!(given_up >= 40, "{given_up}");
        // Whoever comes last comes after everything that goes on by itself.
        let last = 10_000 + round;
        pair(&bed.store, &case, last, 2).await.unwrap();
        known.insert(last);
        let kept = whole_pairs(bed).await;
        assert!(
            kept.is_superset(&known),
            "{:?}",
            known.difference(&kept).collect::<Vec<_>>()
        );
    }
    bed.database.open().await.close().await;
}

pub async fn a_program_that_ends_keeps_what_is_open(bed: &Bed) {
    let case = bed.with_a_case().await;
    let store = bed.database.open().await;
    let mut changes = vec![pair(&store, &case, 1, 2)];
    let first = store.begin().await.unwrap();
    stand_in_line(&mut changes).await;
    // The first leaves the commit to the one in line, who is never asked again.
    let mut first: Vec<Permission> = vec![Box::pin(first.commit())];
    stand_in_line(&mut first).await;
    drop(changes);
    store.close().await;
    first.pop().unwrap().await.unwrap();
    assert_eq!(whole_pairs(bed).await, BTreeSet::new());
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_full_disk_is_told_and_leaves_nothing() {
    run(Database::sqlite().await, async |bed| {
        let case = bed.with_a_case().await;
        let mut first = bed.tx().await;
        let pages: i64 = sqlx::query("PRAGMA page_count")
            .fetch_one(first.conn())
            .await
            .unwrap()
            .get(0);
        let most = format!("PRAGMA max_page_count = {}", pages + 40);
        sqlx::query(sqlx::AssertSqlSafe(most))
            .execute(first.conn())
            .await
            .unwrap();
        let mut changes: Vec<Permission> = (0..12).map(|n| pair(&bed.store, &case, n, 9_000)).collect();
        stand_in_line(&mut changes).await;
        changes.push(Box::pin(first.commit()));
        let outcomes = outcomes(changes).await;
        let said = |outcome: &Result<(), StoreError>| {
            matches!(outcome, Err(error) if error.outage() == Outage::DiskFull && !error.may_be_stored())
        };
        // Those that shared the transaction may be tried again, and then hear the cause themselves.
        let failed = outcomes.iter().filter_map(|outcome| outcome.as_ref().err());
        for error in failed {
            let is_reported = error.outage() == Outage::DiskFull || error.is_passing();
            assert!(is_reported && !error.may_be_stored(), "{error}");
        }
        assert!(outcomes.iter().any(said), "{outcomes:?}");
        let kept = (0..12).zip(&outcomes).filter(|(_, outcome)| outcome.is_ok());
        let kept: BTreeSet<u64> = kept.map(|(number, _)| number).collect();
        assert_eq!(whole_pairs(bed).await, kept);
        pair(&bed.store, &case, 20, 9_000).await.unwrap();
        assert!(whole_pairs(bed).await.contains(&20));
    })
    .await;
}

async fn end_connection_of(bed: &Bed, tx: &mut Tx) {
    let process: i64 = sqlx::query("SELECT CAST(pg_backend_pid() AS BIGINT)")
        .fetch_one(tx.conn())
        .await
        .unwrap()
        .get(0);
    // Waits for its end, five seconds at most.
    bed.past_the_store(&format!("SELECT pg_terminate_backend({process}, 5000)"))
        .await
        .unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_connection_that_ends_is_replaced_and_its_open_changes_may_be_tried_again() {
    let Some(database) = Database::postgres().await else {
        return;
    };
    run(database, async |bed| {
        let case = bed.with_a_case().await;
        // One that ends between two writes is noticed by nobody.
        let mut tx = bed.tx().await;
        end_connection_of(bed, &mut tx).await;
        drop(tx);
        pair(&bed.store, &case, 0, 2).await.unwrap();
        // One that ends while one writes and another waits for its commit is told to both.
        let first = bed.tx().await;
        let mut in_line: Vec<Permission> = vec![pair(&bed.store, &case, 1, 2)];
        stand_in_line(&mut in_line).await;
        // A task of its own takes the place in line: it must have come before the next is asked for.
        tokio::time::sleep(std::time::Duration::from_millis(200)).await;
        let second = bed.store.begin();
        let mut second = Box::pin(second);
        poll_fn(|context| {
            assert!(second.as_mut().poll(context).is_pending());
            Poll::Ready(())
        })
        .await;
        in_line.push(Box::pin(first.commit()));
        let waiting = tokio::spawn(outcomes(in_line));
        let mut second = second.await.unwrap();
        end_connection_of(bed, &mut second).await;
        let error = record::append(&mut second, &leaf(&case, 4))
            .await
            .unwrap_err();
        assert!(error.is_passing(), "{error}");
        drop(second);
        for outcome in waiting.await.unwrap() {
            assert!(
                matches!(outcome, Err(StoreError::Lost { passing: true, .. })),
                "{outcome:?}"
            );
        }
        assert_eq!(whole_pairs(bed).await, BTreeSet::from([0]));
        // Whoever tries again finds everything in order, though the connection ends under the first try.
        let tries = AtomicU32::new(0);
        retry(|| async {
            let mut tx = bed.store.begin().await?;
            if tries.fetch_add(1, Ordering::SeqCst) == 0 {
                end_connection_of(bed, &mut tx).await;
            }
            for number in [6, 7] {
                record::append(&mut tx, &leaf(&case, number)).await?;
            }
            tx.commit().await
        })
        .await
        .unwrap();
        assert_eq!(whole_pairs(bed).await, BTreeSet::from([0, 3]));
    })
    .await;
}

pub async fn r10_a_write_that_is_tried_leaves_nothing(bed: &Bed) {
    let case = bed.with_a_case().await;
    pair(&bed.store, &case, 0, 2).await.unwrap();
    let head = record::head(&mut *bed.read().await).await.unwrap();
    for _ in 0..3 {
        bed.store.probe().await.unwrap();
    }
    assert_eq!(record::head(&mut *bed.read().await).await.unwrap(), head);
    // A write that nobody has finished is not kept by it.
    let mut tx = bed.tx().await;
    record::append(&mut tx, &leaf(&case, 9)).await.unwrap();
    drop(tx);
    bed.store.probe().await.unwrap();
    assert_eq!(whole_pairs(bed).await, BTreeSet::from([0]));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn r10_a_folder_that_takes_no_file_and_a_server_that_is_gone_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let inner = folder.path().join("data");
    std::fs::create_dir(&inner).unwrap();
    let address = Store::sqlite_address(&inner.join("test.sqlite"));
    let store = Store::open(&address, crate::databases::key())
        .await
        .unwrap();
    store.probe().await.unwrap();
    assert!(store.free_bytes().is_some_and(|free| free > 0));
    let files = std::fs::read_dir(&inner).unwrap();
    let names = files.map(|file| file.unwrap().file_name().into_string().unwrap());
    assert!(
        names
            .into_iter()
            .all(|name| name.starts_with("test.sqlite"))
    );
    std::fs::rename(&inner, folder.path().join("away")).unwrap();
    let error = store.probe().await.unwrap_err();
    assert_eq!(error.outage(), Outage::TakenAway, "{error}");
    let full = std::io::Error::from(std::io::ErrorKind::StorageFull);
    let full = StoreError::Database(sqlx::Error::Io(full));
    assert_eq!(full.outage(), Outage::DiskFull);
    assert_eq!(StoreError::Again.outage(), Outage::Other);
}
