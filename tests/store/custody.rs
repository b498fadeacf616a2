//! Items, events and handoffs.

use crate::bed::{Bed, code, event, is_stale, item};
use sqlx::Row;
use vestibule::domain::custody::bench::BenchStep;
use vestibule::domain::custody::case::Case;
use vestibule::domain::custody::events::{PickedUp, Received, Released, Undone, Worked};
use vestibule::domain::custody::handoff::HandoffState;
use vestibule::domain::custody::{Event, What};
use vestibule::domain::people::party::Side;
use vestibule::domain::values::arch::Arches;
use vestibule::domain::values::ids::{CaseNumber, EventId, HandoffId};
use vestibule::store::custody::HandoffRow;
use vestibule::store::{cases, custody, people};

pub async fn things_are_kept_in_the_order_of_their_registration(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    for (number, position) in [(3, 1), (1, 0), (2, 2)] {
        custody::insert_item(&mut tx, &item(&case, number), position)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    for (number, position) in [(3, 9), (4, 2)] {
        let mut tx = bed.tx().await;
        let twice = custody::insert_item(&mut tx, &item(&case, number), position)
            .await
            .unwrap_err();
        assert!(twice.is_duplicate(), "tag {number}, position {position}");
    }
    let mut conn = bed.read().await;
    let stored = custody::items_of(&mut conn, &case.number).await.unwrap();
    assert_eq!(stored, [item(&case, 1), item(&case, 3), item(&case, 2)]);
    assert_eq!(
        custody::find_item(&mut conn, &item(&case, 2).tag)
            .await
            .unwrap(),
        Some(item(&case, 2))
    );
    assert_eq!(
        custody::find_item(&mut conn, &item(&case, 9).tag)
            .await
            .unwrap(),
        None
    );
    let kept = custody::stored_items_of(&mut conn, &case.number)
        .await
        .unwrap();
    let third = custody::StoredItem {
        tag: item(&case, 3).tag.as_str().to_owned(),
        position: 1,
        body: serde_json::to_string(&item(&case, 3)).unwrap(),
    };
    assert_eq!((kept.len(), &kept[1]), (3, &third));
    let found = custody::find_stored_item(&mut conn, &third.tag)
        .await
        .unwrap();
    assert_eq!(found, Some(third));
    let found = custody::find_stored_item(&mut conn, "no tag at all")
        .await
        .unwrap();
    assert_eq!(found, None);
}

pub async fn events_are_kept_in_order_and_collide_on_their_place(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    // Entered in this order, whatever their times say.
    for (position, number) in [(0, 5), (1, 2), (2, 9)] {
        custody::append_event(&mut tx, &event(&case, number), position)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let expected = [event(&case, 5), event(&case, 2), event(&case, 9)];
    assert_eq!(
        custody::events_of(&mut conn, &case.number).await.unwrap(),
        expected
    );
    for (position, number) in [(2, 7), (3, 9)] {
        let mut tx = bed.tx().await;
        let collision = custody::append_event(&mut tx, &event(&case, number), position)
            .await
            .unwrap_err();
        assert!(collision.is_duplicate(), "{collision}");
    }
    let other = code(77, CaseNumber::from_random);
    assert_eq!(custody::events_of(&mut conn, &other).await.unwrap(), []);
    // The text is canonical: what was hashed anywhere can be hashed again.
    let row = sqlx::query("SELECT body FROM event WHERE position = 1")
        .fetch_one(&mut *conn)
        .await
        .unwrap();
    let body: String = row.try_get(0).unwrap();
    assert_eq!(
        body,
        serde_json_canonicalizer::to_string(&event(&case, 2)).unwrap()
    );
    let kept = custody::stored_events_of(&mut conn, &case.number)
        .await
        .unwrap();
    let second = event(&case, 2);
    let second = custody::StoredEvent {
        position: 1,
        at_ms: second.at.unix_ms,
        kind: second.what.word().to_owned(),
        id: second.id.to_string(),
        body,
    };
    assert_eq!((kept.len(), &kept[1]), (3, &second));
    let found = custody::find_stored_event(&mut conn, &EventId::new(second.id.as_str()))
        .await
        .unwrap();
    assert_eq!(found, Some(second));
    // A text with line ends in it is still one text.
    bed.unlock("event").await;
    bed.past_the_store("UPDATE event SET body = REPLACE(body, '{', '{\n')")
        .await
        .unwrap();
    assert_eq!(
        custody::events_of(&mut conn, &case.number).await.unwrap(),
        expected
    );
    let found = custody::find_stored_event(&mut conn, &EventId::new("no id"))
        .await
        .unwrap();
    assert_eq!(found, None);
}

/// A release that waits for its carrier, the pick-up, and a receipt without one.
pub async fn a_pick_up_is_kept_as_it_was_entered(bed: &Bed) {
    let case = bed.with_a_case().await;
    let tag = item(&case, 1).tag;
    let whats = [
        What::Released(Released {
            awaits_pickup: true,
            ..Released::of(HandoffId::new("a1"), Vec::new(), Side::Office)
        }),
        What::PickedUp(PickedUp {
            handoff: HandoffId::new("a1"),
            items: vec![tag],
            person: "Zoë “R.” K.".to_owned(),
            parcels: 2,
            handed_out_by: "the front desk".to_owned(),
            exception: None,
            older: None,
            unread: None,
        }),
        What::Received(Received {
            handoff: HandoffId::new("h2"),
            place: Side::Lab,
            items: Vec::new(),
            unannounced: String::new(),
            parcels: Vec::new(),
            foreign: String::new(),
            no_pick_up: true,
        }),
    ];
    let event = |(number, what): (u32, What)| Event {
        what,
        ..event(&case, number)
    };
    let events: Vec<Event> = (1..).zip(whats).map(event).collect();
    let mut tx = bed.tx().await;
    for (position, event) in (0..).zip(&events) {
        custody::append_event(&mut tx, event, position)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let kept = custody::events_of(&mut conn, &case.number).await.unwrap();
    assert_eq!(kept, events);
    let kept = custody::stored_events_of(&mut conn, &case.number)
        .await
        .unwrap();
    let kinds: Vec<&str> = kept.iter().map(|one| one.kind.as_str()).collect();
    assert_eq!(kinds, ["released", "picked_up", "received"]);
    // Found by its release where its own row is gone, for the houses of the case alone.
    for (party, id, found) in [
        (&case.office, "a1", Some(&case.number)),
        (&case.lab, "a1", Some(&case.number)),
        (&"another".into(), "a1", None),
        (&case.office, "a2", None),
        (&case.office, "%", None),
    ] {
        let number = custody::case_of_release(&mut conn, party, &HandoffId::new(id)).await;
        assert_eq!(number.unwrap().as_ref(), found);
    }
}

pub async fn handoffs_are_kept_and_guarded_by_their_version(bed: &Bed) {
    let case = bed.with_a_case().await;
    let handoff = HandoffRow {
        id: HandoffId::new("h1"),
        case: case.number,
        from: "o".into(),
        to: "l".into(),
        state: HandoffState::Packed,
        version: 1,
    };
    let mut tx = bed.tx().await;
    custody::insert_handoff(&mut tx, &handoff).await.unwrap();
    tx.commit().await.unwrap();
    let mut tx = bed.tx().await;
    assert!(
        custody::insert_handoff(&mut tx, &handoff)
            .await
            .unwrap_err()
            .is_duplicate()
    );
    drop(tx);
    let mut tx = bed.tx().await;
    let done = HandoffRow {
        state: HandoffState::Received,
        ..handoff
    };
    custody::update_handoff(&mut tx, &done).await.unwrap();
    assert!(is_stale(custody::update_handoff(&mut tx, &done).await));
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    assert_eq!(
        custody::find_handoff(&mut conn, &HandoffId::new("h1"))
            .await
            .unwrap(),
        Some(HandoffRow {
            version: 2,
            ..done.clone()
        })
    );
    assert_eq!(
        custody::find_handoff(&mut conn, &HandoffId::new("h2"))
            .await
            .unwrap(),
        None
    );
    let listed = custody::handoffs_of(&mut conn, &done.case).await.unwrap();
    assert_eq!(listed, [HandoffRow { version: 2, ..done }]);
    let other = code(77, CaseNumber::from_random);
    assert_eq!(custody::handoffs_of(&mut conn, &other).await.unwrap(), []);
}

pub async fn of_an_event_only_a_text_is_erased_and_only_while_it_is_named(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    custody::insert_item(&mut tx, &item(&case, 1), 0)
        .await
        .unwrap();
    for number in [1, 2] {
        let position = i64::from(number) - 1;
        custody::append_event(&mut tx, &event(&case, number), position)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let kept = |number: u32| event(&case, number).id;
    let locked = async |sql: &'static str| {
        let why = bed.past_the_store(sql).await.unwrap_err().to_string();
        assert!(why.contains("only a text is erased"), "{sql}: {why}");
    };
    locked("UPDATE event SET body = 'x'").await;
    locked("UPDATE event SET at_ms = 0").await;
    // While one entry is named, no other is written over, and of it nothing but its text.
    let name = format!("INSERT INTO erasing (event_id) VALUES ('{}')", kept(1));
    bed.past_the_store(&name).await.unwrap();
    assert_eq!(custody::count_erasing(&mut conn).await.unwrap(), 1);
    locked("UPDATE event SET body = 'x'").await;
    for column in ["at_ms = 0", "position = 7", "kind = 'x'", "id = 'x'"] {
        let sql = format!("UPDATE event SET {column} WHERE id = '{}'", kept(1));
        let why = bed.past_the_store(&sql).await.unwrap_err().to_string();
        assert!(why.contains("only a text is erased"), "{sql}: {why}");
    }
    bed.past_the_store("DELETE FROM erasing").await.unwrap();
    let mut tx = bed.tx().await;
    custody::write_erased_event(&mut tx, &kept(2), "{\"n\":2}")
        .await
        .unwrap();
    let nobody = custody::write_erased_event(&mut tx, &EventId::new("nobody"), "{}").await;
    assert!(nobody.is_err());
    let tag = item(&case, 1).tag;
    custody::write_erased_item(&mut tx, tag.as_str(), "{\"i\":1}")
        .await
        .unwrap();
    let nothing = custody::write_erased_item(&mut tx, item(&case, 9).tag.as_str(), "{}").await;
    assert!(nothing.is_err());
    tx.commit().await.unwrap();
    bed.store.flush_erased().await.unwrap();
    let row = custody::find_stored_event(&mut conn, &kept(2))
        .await
        .unwrap();
    let row = row.unwrap();
    assert_eq!((row.body.as_str(), row.position), ("{\"n\":2}", 1));
    let row = custody::find_stored_item(&mut conn, tag.as_str()).await;
    assert_eq!(row.unwrap().unwrap().body, "{\"i\":1}");
    let row = custody::find_stored_event(&mut conn, &kept(1))
        .await
        .unwrap();
    assert_eq!(
        row.unwrap().body,
        serde_json_canonicalizer::to_string(&event(&case, 1)).unwrap()
    );
    locked("UPDATE event SET body = 'x'").await;
}

pub async fn a_pan_is_found_while_its_case_is_open_and_what_its_lab_did_last(bed: &Bed) {
    let case = bed.with_a_case().await;
    let worked = |number: u32| Event {
        what: What::Worked(Worked {
            step: BenchStep::Cured,
            revision: 1,
            ..Worked::sample(Arches::Both)
        }),
        ..event(&case, number)
    };
    let undone = Event {
        what: What::Undone(Undone {
            event: event(&case, 2).id,
            reason: "wrong case".to_owned(),
        }),
        ..event(&case, 4)
    };
    let mut in_pan = case.clone();
    in_pan.agenda.bench.pan = "B-3".to_owned();
    let mut tx = bed.tx().await;
    let events = [event(&case, 1), worked(3), worked(2), undone.clone()];
    for (position, event) in (0..).zip(&events) {
        custody::append_event(&mut tx, event, position)
            .await
            .unwrap();
    }
    cases::update_case(&mut tx, &in_pan).await.unwrap();
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let (lab, other) = ("l".into(), "o".into());
    for (pan, is_there) in [("B-3", true), (" b 3", true), ("B-33", false), ("", false)] {
        let found = cases::in_pan(&mut conn, &lab, pan).await.unwrap();
        assert_eq!(found, is_there.then(|| case.number.clone()), "{pan}");
    }
    assert_eq!(cases::in_pan(&mut conn, &other, "B-3").await.unwrap(), None);
    // A case that is looked for by another pan than its own is found by neither, and named.
    assert_eq!(cases::pans_astray(&mut conn).await.unwrap(), []);
    let key = |key: &str| format!("UPDATE case_file SET pan_key = '{key}'");
    bed.past_the_store(&key("b4")).await.unwrap();
    let astray = (
        case.number.as_str().to_owned(),
        "b4".to_owned(),
        "B-3".to_owned(),
    );
    assert_eq!(cases::pans_astray(&mut conn).await.unwrap(), [astray]);
    for pan in ["B-3", "B-4"] {
        assert_eq!(cases::in_pan(&mut conn, &lab, pan).await.unwrap(), None);
    }
    bed.past_the_store(&key("b3")).await.unwrap();
    // The newest first, each with the pan of now.
    let mut newest = [worked(2), worked(3)];
    newest.sort_by_key(|event| std::cmp::Reverse(event.at.unix_ms));
    let newest = newest.map(|event| (event, "B-3".to_owned()));
    let found = custody::newest_at_bench(&mut conn, &lab).await.unwrap();
    assert_eq!(found, newest);
    let found = custody::newest_at_bench(&mut conn, &other).await.unwrap();
    assert_eq!(found, []);
    let found = custody::newest_undone(&mut conn).await.unwrap();
    assert_eq!(found, [undone]);
    let people = people::accounts_of(&mut conn, &other).await.unwrap();
    let logins: Vec<&str> = people.iter().map(|one| one.login.as_str()).collect();
    assert_eq!(logins, ["dora"]);
    assert!(
        people::accounts_of(&mut conn, &lab)
            .await
            .unwrap()
            .is_empty()
    );
    // A closed case stands in no pan.
    let mut tx = bed.tx().await;
    let closed = Case {
        closed: true,
        version: 2,
        ..in_pan
    };
    cases::update_case(&mut tx, &closed).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(cases::in_pan(&mut conn, &lab, "B-3").await.unwrap(), None);
}
