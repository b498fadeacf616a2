//! What parties and browsers have seen, and alarms.

use crate::bed::{Bed, LETTERS, MONDAY_MS, party};
use vestibule::domain::people::party::Side;
use vestibule::record::witness::Why;
use vestibule::store::reference::ReferenceData;
use vestibule::store::witness::{AlarmRow, ClearanceRow, KeyRow, PartySeen, SeenRow};
use vestibule::store::{Backend, StoreError, parties, reference, strays, witness};

pub fn seen(party: &str, size: u64) -> SeenRow {
    SeenRow {
        party: party.into(),
        size,
        checkpoint: format!("note of {size}"),
        at_ms: MONDAY_MS + size as i64,
    }
}

pub async fn what_a_party_has_seen_only_grows_until_it_is_laid_aside(bed: &Bed) {
    bed.with_a_case().await;
    let mut tx = bed.tx().await;
    parties::insert(&mut tx, &party("stranger", Side::Lab))
        .await
        .unwrap();
    for row in [seen("l", 5), seen("l", 9), seen("l", 7), seen("o", 9)] {
        witness::store_seen(&mut tx, &row).await.unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    assert_eq!(
        witness::seen(&mut conn, &"l".into()).await.unwrap(),
        Some(seen("l", 9))
    );
    assert_eq!(
        witness::seen(&mut conn, &"stranger".into()).await.unwrap(),
        None
    );
    assert_eq!(
        witness::seen_by_all(&mut conn).await.unwrap(),
        [seen("l", 9), seen("o", 9)]
    );
    let of = |party: &str, is_seen: bool| PartySeen {
        party: party.into(),
        name: format!("House {party}"),
        seen: is_seen.then_some((9, MONDAY_MS + 9)),
    };
    let both = [of("l", true), of("o", true)];
    for partner in ["o", "l"] {
        let partners = witness::seen_by_partners(&mut conn, &partner.into())
            .await
            .unwrap();
        assert_eq!(partners, both);
    }
    let alone = witness::seen_by_partners(&mut conn, &"stranger".into())
        .await
        .unwrap();
    assert_eq!(alone, [of("stranger", false)]);
    let all = witness::seen_by_partners(&mut conn, &"".into())
        .await
        .unwrap();
    assert_eq!(all.len(), 3);
    let mut tx = bed.tx().await;
    witness::drop_seen(&mut tx, &"l".into()).await.unwrap();
    witness::store_seen(&mut tx, &seen("l", 3)).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(
        witness::seen(&mut conn, &"l".into()).await.unwrap(),
        Some(seen("l", 3))
    );
}

pub async fn a_key_is_known_from_its_first_cosignature_on_and_keeps_the_newest(bed: &Bed) {
    bed.with_a_case().await;
    let row = |key: &str, size: u64| KeyRow {
        key: key.to_owned(),
        party: "l".into(),
        account: "id of dora".into(),
        account_name: LETTERS.to_owned(),
        first_ms: MONDAY_MS + size as i64,
        size,
        checkpoint: format!("note of {size}"),
        line: format!("line of {size}"),
        at_ms: MONDAY_MS + size as i64,
    };
    let mut tx = bed.tx().await;
    for cosigned in [row("a", 5), row("b", 6), row("a", 9), row("a", 8)] {
        witness::store_cosigned(&mut tx, &cosigned).await.unwrap();
    }
    tx.commit().await.unwrap();
    let newest = KeyRow {
        first_ms: MONDAY_MS + 5,
        ..row("a", 9)
    };
    let mut conn = bed.read().await;
    let keys = witness::keys_of(&mut conn, &"l".into(), 10).await.unwrap();
    assert_eq!(keys, [newest.clone(), row("b", 6)]);
    assert_eq!(
        witness::keys_of(&mut conn, &"l".into(), 1)
            .await
            .unwrap()
            .len(),
        1
    );
    assert_eq!(
        witness::keys_of(&mut conn, &"o".into(), 10).await.unwrap(),
        []
    );
    let after = witness::keys_after(&mut conn, "a", 10).await.unwrap();
    assert_eq!(after, [row("b", 6)]);
    let mut tx = bed.tx().await;
    witness::drop_cosigned(&mut tx, "a").await.unwrap();
    tx.commit().await.unwrap();
    let first = witness::keys_after(&mut conn, "", 1).await.unwrap();
    let empty = KeyRow {
        size: 0,
        checkpoint: String::new(),
        line: String::new(),
        ..newest
    };
    assert_eq!(first, [empty]);
}

pub async fn an_alarm_is_raised_once_and_cleared_once(bed: &Bed) {
    bed.with_a_case().await;
    let alarm = |id: &str, at_ms: i64| AlarmRow {
        id: id.to_owned(),
        why: Why::Rewritten,
        kept: LETTERS.to_owned(),
        found: String::new(),
        party: Some("l".into()),
        account: None,
        account_name: String::new(),
        at_ms,
    };
    let (first, second) = (alarm("x", MONDAY_MS), alarm("y", MONDAY_MS + 1));
    let mut tx = bed.tx().await;
    let known = alarm("x", MONDAY_MS + 9);
    for (raised, new) in [(&second, true), (&first, true), (&known, false)] {
        assert_eq!(witness::raise(&mut tx, raised).await.unwrap(), new);
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let open = witness::open_alarms(&mut conn, 10).await.unwrap();
    assert_eq!(open, [first.clone(), second.clone()]);
    assert_eq!(witness::clearance_of(&mut conn, "x").await.unwrap(), None);

    let word = ClearanceRow {
        account: "id of dora".into(),
        name: "Dora".to_owned(),
        sentence: LETTERS.to_owned(),
        at_ms: MONDAY_MS + 20,
    };
    let mut tx = bed.tx().await;
    witness::clear(&mut tx, &first, &word).await.unwrap();
    tx.commit().await.unwrap();
    let mut tx = bed.tx().await;
    let again = witness::clear(&mut tx, &first, &word).await;
    assert!(matches!(again, Err(StoreError::Stale(_))));
    drop(tx);
    // A cleared one is not opened by being raised again.
    let mut tx = bed.tx().await;
    assert!(!witness::raise(&mut tx, &first).await.unwrap());
    tx.commit().await.unwrap();
    let open = witness::open_alarms(&mut conn, 10).await.unwrap();
    assert_eq!(open, [second]);
    assert_eq!(
        witness::clearance_of(&mut conn, "x").await.unwrap(),
        Some(word.clone())
    );
    let cleared = witness::cleared_alarm(&mut conn, "x").await.unwrap();
    assert_eq!(cleared, Some((first.clone(), word.clone())));
    let open = witness::cleared_alarm(&mut conn, "y").await.unwrap();
    assert_eq!(open, None);
    assert_eq!(
        witness::cleared_alarms(&mut conn, 10).await.unwrap(),
        [(first, word)]
    );
    // One that somebody has taken away past the program is named, and stands open again, once.
    bed.past_the_store("DELETE FROM open_alarm").await.unwrap();
    let said = strays::strays(&mut conn).await.unwrap();
    let sentence = "The alarm y is neither open nor cleared.";
    assert!(said.iter().any(|one| one == sentence), "{said:?}");
    for _ in 0..2 {
        let mut tx = bed.tx().await;
        let again = alarm("y", MONDAY_MS + 1);
        witness::raise_again(&mut tx, &again).await.unwrap();
        tx.commit().await.unwrap();
        let open = witness::open_alarms(&mut conn, 10).await.unwrap();
        assert_eq!(open, [again]);
    }
    let keys = reference::keys_after(&mut conn, ReferenceData::Clearance, "", 10).await;
    assert_eq!(keys.unwrap(), ["x"]);
    for sql in [
        "UPDATE alarm SET kept = ''",
        "DELETE FROM settlement",
        "DELETE FROM alarm",
    ] {
        let refusal = bed.past_the_store(sql).await.unwrap_err();
        assert!(refusal.to_string().contains("written once"), "{refusal}");
    }
    // Taken away itself while its row among the open ones is left, it is written down again as well.
    bed.unlock("alarm").await;
    let unbound = match bed.database.backend {
        Backend::Sqlite => "PRAGMA foreign_keys = OFF",
        Backend::Postgres => "ALTER TABLE open_alarm DROP CONSTRAINT open_alarm_alarm_id_fkey",
    };
    let taken = format!("{unbound}; DELETE FROM alarm WHERE id = 'y'");
    bed.past_the_store(&taken).await.unwrap();
    assert_eq!(witness::open_alarms(&mut conn, 10).await.unwrap(), []);
    for _ in 0..2 {
        let mut tx = bed.tx().await;
        let again = alarm("y", MONDAY_MS + 1);
        witness::raise_again(&mut tx, &again).await.unwrap();
        tx.commit().await.unwrap();
        let open = witness::open_alarms(&mut conn, 10).await.unwrap();
        assert_eq!(open, [again]);
    }
}
