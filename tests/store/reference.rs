//! Lists, and the keys of reference data.

use crate::bed::{Bed, LETTERS, MONDAY_MS, is_stale, patient};
use vestibule::domain::trade::lists::ListKind;
use vestibule::store::counted::differences;
use vestibule::store::lists::{PartyList, Version};
use vestibule::store::record::{self, NewLeaf};
use vestibule::store::reference::ReferenceData;
use vestibule::store::usual::UsualRow;
use vestibule::store::{cases, lists, reference, usual};

pub async fn lists_are_kept_with_all_their_versions(bed: &Bed) {
    bed.with_a_case().await;
    let list = |id: &str, kind: ListKind, name: &str| PartyList {
        id: id.to_owned(),
        party: "o".into(),
        kind,
        name: name.to_owned(),
        version: 1,
        entries: 2,
    };
    let version = |number: i64, text: &str| Version {
        list: "a".to_owned(),
        version: number,
        text: text.to_owned(),
        entries: 2,
        account: "id of dora".into(),
        name: "Dr dora".to_owned(),
        at_ms: MONDAY_MS + number,
    };
    let guide = list("a", ListKind::ToothGuide, LETTERS);
    let other = list("b", ListKind::BaseGuide, LETTERS);
    let mut tx = bed.tx().await;
    lists::insert(&mut tx, &guide).await.unwrap();
    lists::insert(&mut tx, &other).await.unwrap();
    lists::insert_version(&mut tx, &version(1, LETTERS))
        .await
        .unwrap();
    tx.commit().await.unwrap();
    for (kind, loads) in [(ListKind::ToothGuide, 1), (ListKind::ClosedDays, 0)] {
        let found = lists::loads(&mut *bed.read().await, kind).await;
        assert_eq!(found.unwrap(), loads);
    }
    let mut tx = bed.tx().await;
    let twin = list("c", ListKind::ToothGuide, LETTERS);
    assert!(
        lists::insert(&mut tx, &twin)
            .await
            .unwrap_err()
            .is_duplicate()
    );
    drop(tx);

    let mut tx = bed.tx().await;
    let emptied = PartyList {
        entries: 0,
        ..guide.clone()
    };
    lists::update(&mut tx, &emptied).await.unwrap();
    assert!(is_stale(lists::update(&mut tx, &emptied).await));
    let out = Version {
        entries: 0,
        ..version(2, "")
    };
    lists::insert_version(&mut tx, &out).await.unwrap();
    tx.commit().await.unwrap();

    let mut conn = bed.read().await;
    let now = PartyList {
        version: 2,
        ..emptied
    };
    assert_eq!(
        lists::find(&mut conn, "a").await.unwrap(),
        Some(now.clone())
    );
    assert_eq!(lists::find(&mut conn, "x").await.unwrap(), None);
    assert_eq!(
        lists::of_party(&mut conn, &"o".into()).await.unwrap(),
        [other.clone(), now.clone()],
        "by kind and name"
    );
    assert_eq!(
        lists::of_parties(&mut conn, &"l".into(), &"o".into())
            .await
            .unwrap(),
        [other, now],
        "of either party"
    );
    assert_eq!(
        lists::of_parties(&mut conn, &"l".into(), &"x".into())
            .await
            .unwrap(),
        []
    );
    assert_eq!(lists::of_party(&mut conn, &"l".into()).await.unwrap(), []);
    assert_eq!(
        lists::find_version(&mut conn, "a", 1).await.unwrap(),
        Some(version(1, LETTERS))
    );
    assert_eq!(lists::find_version(&mut conn, "a", 3).await.unwrap(), None);
    let numbers = lists::version_numbers(&mut conn, "a").await.unwrap();
    assert_eq!(numbers, [1, 2]);
    let numbers = lists::version_numbers(&mut conn, "b").await.unwrap();
    assert_eq!(numbers, [0_i64; 0]);
    assert_eq!(
        lists::versions(&mut conn, "a").await.unwrap(),
        [out, version(1, "")],
        "newest first, without their texts"
    );
    for sql in [
        "UPDATE party_list_version SET text = 'x'",
        "DELETE FROM party_list_version",
    ] {
        let why = bed.past_the_store(sql).await.unwrap_err().to_string();
        assert!(why.contains("written once"), "{why}");
    }
}

pub async fn sets_of_usual_values_are_written_once_and_the_newest_is_in_force(bed: &Bed) {
    bed.with_a_case().await;
    let row = |id: &str, version: i64, party: &str, text: &str| UsualRow {
        id: id.to_owned(),
        version,
        party: party.into(),
        text: text.to_owned(),
        account: "id of dora".into(),
        name: "Dr dora".to_owned(),
        at_ms: MONDAY_MS + version,
    };
    let first = row("a", 1, "o", LETTERS);
    let second = row("a", 2, "o", "");
    let other = row("b", 1, "o", "other");
    let of_lab = row("c", 1, "l", "of the lab");
    let mut tx = bed.tx().await;
    for one in [&first, &second, &other, &of_lab] {
        usual::insert(&mut tx, one).await.unwrap();
    }
    tx.commit().await.unwrap();
    let mut tx = bed.tx().await;
    let twice = row("a", 2, "o", "another");
    let refused = usual::insert(&mut tx, &twice).await.unwrap_err();
    assert!(refused.is_duplicate());
    drop(tx);

    let mut conn = bed.read().await;
    assert_eq!(
        usual::find(&mut conn, "a", 1).await.unwrap(),
        Some(first.clone())
    );
    assert_eq!(usual::find(&mut conn, "a", 3).await.unwrap(), None);
    assert_eq!(
        usual::newest(&mut conn, "a").await.unwrap(),
        Some(second.clone())
    );
    assert_eq!(usual::newest(&mut conn, "x").await.unwrap(), None);
    assert_eq!(
        usual::versions(&mut conn, "a").await.unwrap(),
        [first, second.clone()]
    );
    let (office, lab, nobody) = ("o".into(), "l".into(), "x".into());
    let of_both = usual::of_parties(&mut conn, &office, &lab).await.unwrap();
    assert_eq!(of_both, [second.clone(), other.clone(), of_lab.clone()]);
    let of_one = usual::of_parties(&mut conn, &office, &office)
        .await
        .unwrap();
    assert_eq!(of_one, [second, other]);
    let of_lab_alone = usual::of_parties(&mut conn, &nobody, &lab).await.unwrap();
    assert_eq!(of_lab_alone, [of_lab]);
    let keys = reference::keys_after(&mut conn, ReferenceData::UsualSet, "a", 10).await;
    assert_eq!(keys.unwrap(), ["b", "c"], "each set once");
    for sql in [
        "UPDATE usual_set SET text = 'x'",
        "DELETE FROM usual_set WHERE version = 2",
    ] {
        let why = bed.past_the_store(sql).await.unwrap_err().to_string();
        assert!(why.contains("written once"), "{why}");
    }
}

pub async fn the_keys_beside_the_cases_come_in_order_and_go_on_after_any_of_them(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    cases::insert_patient(&mut tx, &patient(2)).await.unwrap();
    tx.commit().await.unwrap();
    let mut patients = [patient(1), patient(2)].map(|row| row.code.as_str().to_owned());
    patients.sort();
    assert!(patients.contains(&case.patient.as_str().to_owned()));
    let keys: [(ReferenceData, Vec<&str>); 8] = [
        (ReferenceData::Party, vec!["l", "o"]),
        (ReferenceData::Account, vec!["id of dora"]),
        (
            ReferenceData::Patient,
            patients.iter().map(String::as_str).collect(),
        ),
        (ReferenceData::List, vec![]),
        (ReferenceData::UsualSet, vec![]),
        (ReferenceData::Clearance, vec![]),
        (ReferenceData::Resumption, vec![]),
        (ReferenceData::Admission, vec![]),
    ];
    assert_eq!(keys.each_ref().map(|(of, _)| *of), ReferenceData::ALL);
    let mut conn = bed.read().await;
    for (of, expected) in keys {
        let all = reference::keys_after(&mut conn, of, "", 10).await.unwrap();
        assert_eq!(all, expected, "{of:?}");
        let mut one_by_one: Vec<String> = Vec::new();
        loop {
            let after = one_by_one.last().cloned().unwrap_or_default();
            let mut next = reference::keys_after(&mut conn, of, &after, 1)
                .await
                .unwrap();
            match next.pop() {
                Some(key) => one_by_one.push(key),
                None => break,
            }
        }
        assert_eq!(one_by_one, all, "{of:?}");
    }
    for table in ["party", "account", "party_list", "patient"] {
        let sql = format!("DELETE FROM {table}");
        let refusal = bed.past_the_store(&sql).await;
        // A table without a row has nothing to refuse on one of the two databases.
        if table != "party_list" {
            let why = refusal.unwrap_err().to_string();
            assert!(why.contains("never deleted"), "{table}: {why}");
        }
    }
}

/// What of lists is not as the leaves say: rows, and how many there should be.
async fn lists_that_differ(bed: &Bed) -> Vec<(&'static str, i64, i64)> {
    let mut conn = bed.read().await;
    let found = differences(&mut conn).await.unwrap();
    let found = found.iter().filter(|one| one.what.contains("lists"));
    found
        .map(|one| (one.what, one.rows, one.recorded))
        .collect()
}

pub async fn lists_are_counted_as_they_were_loaded_last(bed: &Bed) {
    bed.with_a_case().await;
    let list = PartyList {
        id: "a".to_owned(),
        party: "o".into(),
        kind: ListKind::ToothGuide,
        name: LETTERS.to_owned(),
        version: 1,
        entries: 2,
    };
    let version = Version {
        list: "a".to_owned(),
        version: 1,
        text: LETTERS.to_owned(),
        entries: 2,
        account: "id of dora".into(),
        name: "Dr dora".to_owned(),
        at_ms: MONDAY_MS,
    };
    // As the record writes it: keys in their order, no space between.
    let leaf = NewLeaf {
        kind: "list",
        about: "a/1".to_owned(),
        owner: "a".to_owned(),
        body: r#"{"kind":"list","list":{"entries":2,"id":"a","party":"o"},"v":1}"#.to_owned(),
        salts: "{}".to_owned(),
    };
    let mut tx = bed.tx().await;
    lists::insert(&mut tx, &list).await.unwrap();
    lists::insert_version(&mut tx, &version).await.unwrap();
    record::append(&mut tx, &leaf).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(lists_that_differ(bed).await, []);
    for (set, rows) in [
        ("entries = 0", 0),
        ("entries = 2", 1),
        ("party_id = 'l'", 0),
        ("party_id = 'o'", 1),
        ("version = 2", 0),
    ] {
        let sql = format!("UPDATE party_list SET {set}");
        bed.past_the_store(&sql).await.unwrap();
        let wanted = match rows {
            0 => vec![("lists as they were loaded last", 0, 1)],
            _ => Vec::new(),
        };
        assert_eq!(lists_that_differ(bed).await, wanted, "{set}");
    }
}
