//! Leaves, ranges, and who reads them.

use crate::bed::{Bed, append_leaves, code, event, item, leaf, root_of};
use sqlx::AnyConnection;
use vestibule::domain::custody::case::Case;
use vestibule::domain::custody::handoff::HandoffState;
use vestibule::domain::values::ids::{CaseNumber, HandoffId};
use vestibule::record::checkpoint::Checkpoint;
use vestibule::record::hash::leaf_hash;
use vestibule::store::custody::HandoffRow;
use vestibule::store::record::NewLeaf;
use vestibule::store::{cases, custody, record, revisions};

pub async fn leaves_are_numbered_without_gaps_and_lead_to_the_signed_root(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut conn = bed.read().await;
    assert_eq!(record::head(&mut conn).await.unwrap().checkpoint, "");
    append_leaves(bed, &case, 0..3).await;
    append_leaves(bed, &case, 3..7).await;
    let head = record::head(&mut conn).await.unwrap();
    assert_eq!(
        (head.frontier.size(), head.frontier.root()),
        (7, root_of(7, &case))
    );
    let seen = Checkpoint::open(&head.checkpoint, bed.store.key(), &[]).unwrap();
    assert_eq!(
        (seen.checkpoint.size, seen.checkpoint.root),
        (7, root_of(7, &case))
    );
    assert!(record::has_kind(&mut conn, "event").await.unwrap());
    assert!(!record::has_kind(&mut conn, "party").await.unwrap());
    let of_case = record::leaves_of(&mut conn, &case.number).await.unwrap();
    let owned = record::leaves_owned_by(&mut conn, case.number.as_str()).await;
    assert_eq!(owned.unwrap(), of_case);
    let newest = record::newest_owned_by(&mut conn, case.number.as_str()).await;
    assert_eq!(newest.unwrap().as_ref(), of_case.last());
    let none = record::newest_owned_by(&mut conn, "x").await.unwrap();
    assert_eq!(none, None);
    // Of one kind, in order, and without what opens them.
    let of_kind = record::leaves_of_kind(&mut conn, "event").await.unwrap();
    let numbers = |leaves: &[record::LeafRow]| -> Vec<u64> {
        leaves.iter().map(|leaf| leaf.number).collect()
    };
    assert_eq!(numbers(&of_kind), numbers(&of_case));
    assert!(of_kind.iter().all(|leaf| leaf.salts.is_none()));
    let owned = record::leaves_owned_by(&mut conn, "x").await.unwrap();
    assert_eq!(owned, []);
    assert_eq!(
        of_case,
        record::leaves_from(&mut conn, 0, 100).await.unwrap()
    );
    let run = async |conn: &mut AnyConnection, from, limit| {
        let run = record::leaf_run(conn, from, limit).await.unwrap()?;
        let leaves = run
            .leaves()
            .map(|(body, hash)| (body.to_owned(), hash.to_owned()));
        let leaves: Vec<(String, String)> = leaves.collect();
        assert_eq!(run.count(), leaves.len() as u64);
        Some(leaves)
    };
    for (from, limit) in [(0, 7), (0, 100), (2, 3), (6, 1), (7, 5), (0, 0)] {
        let leaves = of_case.iter().filter(|leaf| leaf.number >= from);
        let leaves: Vec<_> = leaves.take(usize::try_from(limit).unwrap()).collect();
        let leaves = leaves
            .iter()
            .map(|leaf| (leaf.body.clone(), leaf.hash.clone()));
        assert_eq!(run(&mut conn, from, limit).await, Some(leaves.collect()));
    }
    // Together with those of the card, each once, however many cases ask for them.
    let card = case.patient.as_str();
    let card = NewLeaf {
        kind: "patient",
        about: format!("{card}/1"),
        owner: card.to_owned(),
        body: format!(r#"{{"kind":"patient","patient":{{"code":"{card}","version":1}},"v":1}}"#),
        salts: "{}".to_owned(),
    };
    let mut tx = bed.tx().await;
    record::append(&mut tx, &card).await.unwrap();
    tx.commit().await.unwrap();
    let own = of_case
        .iter()
        .map(|leaf| (leaf.number, leaf_hash(leaf.body.as_bytes())));
    let own: Vec<_> = own.chain([(7, leaf_hash(card.body.as_bytes()))]).collect();
    for asked in [1, 2, 60] {
        let cases = vec![case.number.clone(); asked];
        let found = record::hashes_of_cases(&mut conn, &cases).await.unwrap();
        assert_eq!(found, own, "{asked}");
    }
    assert_eq!(record::hashes_of_cases(&mut conn, &[]).await.unwrap(), []);
    let third = record::leaf_about(&mut conn, "event", "event 3")
        .await
        .unwrap()
        .unwrap();
    assert_eq!((third.number, third.salts.as_deref()), (3, Some("{}")));
    assert_eq!(third.hash, leaf_hash(third.body.as_bytes()).to_string());
    let mut tx = bed.tx().await;
    record::write_salts(&mut tx, 3, "{\"/a\":\"00\"}")
        .await
        .unwrap();
    assert!(record::write_salts(&mut tx, 99, "{}").await.is_err());
    tx.commit().await.unwrap();
    let third = record::leaf_about(&mut conn, "event", "event 3")
        .await
        .unwrap()
        .unwrap();
    assert_eq!(third.salts.as_deref(), Some("{\"/a\":\"00\"}"));
    assert_eq!(
        record::head_fault(&mut conn, bed.store.key())
            .await
            .unwrap(),
        None
    );
}

pub async fn ranges_of_cases_have_what_each_case_has_and_nothing_of_the_others(bed: &Bed) {
    let one = bed.with_a_revision().await;
    let mut all = vec![one.clone()];
    for number in [21, 22, 23] {
        let case = Case {
            number: code(number, CaseNumber::from_random),
            ..one.clone()
        };
        let mut tx = bed.tx().await;
        cases::insert_case(&mut tx, &case).await.unwrap();
        custody::insert_item(&mut tx, &item(&case, number), 0)
            .await
            .unwrap();
        for position in [0, 1] {
            let event = event(&case, 100 * number + position);
            custody::append_event(&mut tx, &event, i64::from(position))
                .await
                .unwrap();
        }
        let row = HandoffRow {
            id: HandoffId::new(format!("of {number}")),
            case: case.number.clone(),
            from: "o".into(),
            to: "l".into(),
            state: HandoffState::OnTheWay,
            version: 1,
        };
        custody::insert_handoff(&mut tx, &row).await.unwrap();
        let about = NewLeaf {
            about: format!("leaf of {number}"),
            ..leaf(&case, 0)
        };
        record::append(&mut tx, &about).await.unwrap();
        tx.commit().await.unwrap();
        all.push(case);
    }
    all.sort_by(|one, other| one.number.as_str().cmp(other.number.as_str()));
    let mut conn = bed.read().await;
    let numbers = cases::numbers_after(&mut conn, "", 10).await.unwrap();
    let own: Vec<&str> = all.iter().map(|case| case.number.as_str()).collect();
    assert_eq!(numbers, own);
    let rest = cases::numbers_after(&mut conn, own[1], 1).await.unwrap();
    assert_eq!(rest, own[2..3]);
    // Each range, the empty ones among them, is the cases in it, one after another.
    let bounds = [&[""][..], &own].concat();
    for (from, low) in bounds.iter().enumerate() {
        for (to, high) in bounds.iter().enumerate() {
            let inside = all.get(from..to).unwrap_or_default();
            let range = (*low, *high);
            assert_eq!(
                cases::cases_between(&mut conn, range).await.unwrap(),
                inside
            );
            let (mut leaves, mut items, mut events) = (Vec::new(), Vec::new(), Vec::new());
            let (mut signed, mut words, mut handoffs) = (Vec::new(), Vec::new(), Vec::new());
            for case in inside {
                let number = &case.number;
                let mine = |_: &str| number.as_str().to_owned();
                leaves.extend(record::leaves_of(&mut conn, number).await.unwrap());
                let rows = custody::stored_items_of(&mut conn, number).await.unwrap();
                items.extend(rows.into_iter().map(|row| (mine(&row.tag), row)));
                let rows = custody::stored_events_of(&mut conn, number).await.unwrap();
                events.extend(rows.into_iter().map(|row| (mine(&row.id), row)));
                signed.extend(revisions::of_case(&mut conn, number).await.unwrap());
                let rows = revisions::acknowledgements(&mut conn, number)
                    .await
                    .unwrap();
                words.extend(rows.into_iter().map(|row| (mine(&row.name), row)));
                handoffs.extend(custody::handoffs_of(&mut conn, number).await.unwrap());
            }
            assert_eq!(
                record::leaves_between(&mut conn, range).await.unwrap(),
                leaves
            );
            let found = custody::stored_items_between(&mut conn, range).await;
            assert_eq!(found.unwrap(), items);
            let found = custody::stored_events_between(&mut conn, range).await;
            assert_eq!(found.unwrap(), events);
            assert_eq!(revisions::between(&mut conn, range).await.unwrap(), signed);
            let found = revisions::acknowledgements_between(&mut conn, range).await;
            assert_eq!(found.unwrap(), words);
            let found = custody::handoffs_between(&mut conn, range).await;
            assert_eq!(found.unwrap(), handoffs);
        }
    }
}
