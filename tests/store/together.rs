//! Writing at once: writes that share a transaction, and what each of them sees.

use crate::bed::{Bed, append_leaves, event, item, leaf};
use vestibule::domain::custody::case::Case;
use vestibule::store::{Store, cases, custody, record, retry};

/// Reads how many events there are and appends one more, as everybody does who records something.
async fn append_one(store: &Store, case: &Case, number: u32) {
    retry(|| async {
        let mut tx = store.begin().await?;
        let stands = cases::find_case(tx.conn(), &case.number).await?.unwrap();
        let position =
            i64::try_from(custody::events_of(tx.conn(), &case.number).await?.len()).unwrap();
        let all = u32::try_from(stands.version).unwrap();
        custody::append_event(&mut tx, &event(case, number), position).await?;
        cases::update_case(
            &mut tx,
            &Case {
                summary: format!("{all} changes"),
                ..stands
            },
        )
        .await?;
        tx.commit().await
    })
    .await
    .unwrap();
}

pub async fn two_programs_that_write_at_once_both_finish(bed: &Bed) {
    let case = bed.with_a_case().await;
    // Two programs on one database, each with a writer of its own.
    let other = bed.database.open().await;
    tokio::join!(
        append_one(&bed.store, &case, 1),
        append_one(&other, &case, 2)
    );
    other.close().await;
    let mut conn = bed.read().await;
    let mut ids: Vec<String> = custody::events_of(&mut conn, &case.number)
        .await
        .unwrap()
        .into_iter()
        .map(|event| event.id.to_string())
        .collect();
    ids.sort();
    assert_eq!(ids, ["event 1", "event 2"]);
    assert_eq!(
        cases::find_case(&mut conn, &case.number)
            .await
            .unwrap()
            .unwrap()
            .version,
        3
    );
}

pub async fn many_who_write_at_once_all_finish(bed: &Bed) {
    let case = bed.with_a_case().await;
    tokio::join!(
        append_one(&bed.store, &case, 1),
        append_one(&bed.store, &case, 2),
        append_one(&bed.store, &case, 3),
        append_one(&bed.store, &case, 4),
        append_one(&bed.store, &case, 5),
        append_one(&bed.store, &case, 6),
    );
    let mut conn = bed.read().await;
    assert_eq!(
        custody::events_of(&mut conn, &case.number)
            .await
            .unwrap()
            .len(),
        6
    );
    assert_eq!(
        cases::find_case(&mut conn, &case.number)
            .await
            .unwrap()
            .unwrap()
            .version,
        7
    );
}

pub async fn changes_in_line_share_a_transaction_and_a_failed_one_takes_only_itself_back(
    bed: &Bed,
) {
    let case = bed.with_a_case().await;
    let changes = (0..40_u64).map(|number| {
        let (store, case) = (bed.store.clone(), case.clone());
        tokio::spawn(async move {
            let mut tx = store.begin().await.unwrap();
            record::append(&mut tx, &leaf(&case, number)).await.unwrap();
            match number % 4 {
                // Refused by the database, or thought better of.
                0 => assert!(
                    record::append(&mut tx, &leaf(&case, number))
                        .await
                        .unwrap_err()
                        .is_duplicate()
                ),
                1 => {}
                _ => tx.commit().await.unwrap(),
            }
        })
    });
    for change in changes.collect::<Vec<_>>() {
        change.await.unwrap();
    }
    let mut conn = bed.read().await;
    let kept = record::leaves_from(&mut conn, 0, 100).await.unwrap();
    assert_eq!(
        kept.iter().map(|leaf| leaf.number).collect::<Vec<_>>(),
        (0..20).collect::<Vec<_>>()
    );
    let mut abouts: Vec<String> = kept.iter().map(|leaf| leaf.about.clone()).collect();
    abouts.sort();
    let mut expected: Vec<String> = (0..40)
        .filter(|n| n % 4 > 1)
        .map(|n| format!("event {n}"))
        .collect();
    expected.sort();
    assert_eq!(abouts, expected);
    assert_eq!(
        record::head_fault(&mut conn, bed.store.key())
            .await
            .unwrap(),
        None
    );
}

pub async fn a_change_that_is_given_up_in_line_holds_nobody_up(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut first = bed.tx().await;
    record::append(&mut first, &leaf(&case, 0)).await.unwrap();
    let store = bed.store.clone();
    let in_line = tokio::spawn(async move { store.begin().await.map(drop) });
    // It stands in line when the first ends, and the first leaves the commit to it.
    tokio::task::yield_now().await;
    tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    let kept = tokio::spawn(first.commit());
    in_line.abort();
    kept.await.unwrap().unwrap();
    let mut conn = bed.read().await;
    assert_eq!(record::head(&mut conn).await.unwrap().frontier.size(), 1);
}

pub async fn what_a_change_in_line_was_refused_by_is_kept_before_it_looks_again(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut first = bed.tx().await;
    record::append(&mut first, &leaf(&case, 0)).await.unwrap();
    let store = bed.store.clone();
    let in_line = tokio::spawn(async move {
        drop(store.begin().await.unwrap());
        store.kept_so_far().await;
        let mut conn = store.read().await.unwrap();
        record::head(&mut conn).await.unwrap().frontier.size()
    });
    // It stands in line when the first ends, and the first leaves the commit to it.
    tokio::task::yield_now().await;
    tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    let kept = tokio::spawn(first.commit());
    assert_eq!(in_line.await.unwrap(), 1);
    kept.await.unwrap().unwrap();
}

pub async fn a_snapshot_sees_nothing_that_is_written_after_it(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut before = bed.store.snapshot().await.unwrap();
    append_leaves(bed, &case, 0..3).await;
    let mut conn = bed.read().await;
    let (then, now) = (
        record::leaves_of(&mut before, &case.number).await.unwrap(),
        record::leaves_of(&mut conn, &case.number).await.unwrap(),
    );
    assert_eq!((then.len(), now.len()), (0, 3));
    drop(before);
    let mut after = bed.store.snapshot().await.unwrap();
    let seen = record::leaves_of(&mut after, &case.number).await.unwrap();
    assert_eq!(seen, now);
}

pub async fn a_dropped_transaction_leaves_nothing(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    custody::insert_item(&mut tx, &item(&case, 1), 0)
        .await
        .unwrap();
    custody::append_event(&mut tx, &event(&case, 1), 0)
        .await
        .unwrap();
    cases::update_case(
        &mut tx,
        &Case {
            summary: "half done".to_owned(),
            ..case.clone()
        },
    )
    .await
    .unwrap();
    assert_eq!(
        custody::items_of(tx.conn(), &case.number)
            .await
            .unwrap()
            .len(),
        1,
        "the writer sees it"
    );
    drop(tx);
    let mut conn = bed.read().await;
    assert_eq!(
        custody::items_of(&mut conn, &case.number).await.unwrap(),
        []
    );
    assert_eq!(
        custody::events_of(&mut conn, &case.number).await.unwrap(),
        []
    );
    assert_eq!(
        cases::find_case(&mut conn, &case.number).await.unwrap(),
        Some(case)
    );
}
