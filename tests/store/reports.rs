//! What the reports read.

use crate::bed::{Bed, MONDAY_MS, case, event, revision};
use vestibule::domain::people::party::Side;
use vestibule::domain::values::ids::{CaseNumber, PartyId};
use vestibule::store::{cases, counted, custody, reports, revisions};

pub async fn reports_find_the_cases_of_a_time_and_those_that_are_open(bed: &Bed) {
    let first = bed.with_a_case().await;
    let (second, third) = (case(2), case(3));
    let mut tx = bed.tx().await;
    for one in [&second, &third] {
        cases::insert_case(&mut tx, one).await.unwrap();
    }
    // An entry in each of two cases, and a first prescription in the third; the second of these changes nothing.
    for (one, number) in [(&first, 10), (&second, 20)] {
        let event = event(one, number);
        custody::append_event(&mut tx, &event, 0).await.unwrap();
    }
    for number in [1, 2] {
        let signed = revision(&third, number);
        revisions::insert(&mut tx, &signed).await.unwrap();
    }
    let mut conn_case = cases::find_case(tx.conn(), &second.number)
        .await
        .unwrap()
        .unwrap();
    conn_case.lent_due = Some(time::macros::date!(2026 - 03 - 09));
    cases::update_case(&mut tx, &conn_case).await.unwrap();
    let mut closed = cases::find_case(tx.conn(), &third.number)
        .await
        .unwrap()
        .unwrap();
    closed.closed = true;
    cases::update_case(&mut tx, &closed).await.unwrap();
    tx.commit().await.unwrap();

    let mut conn = bed.read().await;
    let (office, lab, stranger) = (PartyId::new("o"), PartyId::new("l"), PartyId::new("x"));
    let signed = reports::signed(&mut conn, &third.number).await.unwrap();
    assert_eq!(signed.iter().map(|one| one.0).collect::<Vec<_>>(), [1, 2]);
    assert_eq!(reports::signed(&mut conn, &first.number).await.unwrap(), []);
    let signed_ms = signed[0].1;
    let sorted = |numbers: &[&CaseNumber]| {
        let mut numbers: Vec<CaseNumber> = numbers.iter().map(|one| (*one).clone()).collect();
        numbers.sort();
        numbers
    };
    let (one, two) = (MONDAY_MS + 10, MONDAY_MS + 20);
    for (window, wanted) in [
        ((one, two), sorted(&[&first.number])),
        ((one, two + 1), sorted(&[&first.number, &second.number])),
        ((one + 1, two), Vec::new()),
        ((signed_ms, signed_ms + 1), sorted(&[&third.number])),
    ] {
        for house in [(Side::Office, &office), (Side::Lab, &lab)] {
            let found = reports::touched(&mut conn, house, window).await.unwrap();
            let mut found: Vec<CaseNumber> = found.into_iter().map(|one| one.number).collect();
            found.sort();
            assert_eq!(found, wanted, "{window:?} {house:?}");
        }
        // Neither a stranger nor a house on the other side.
        for house in [
            (Side::Office, &stranger),
            (Side::Office, &lab),
            (Side::Lab, &office),
        ] {
            let found = reports::touched(&mut conn, house, window).await.unwrap();
            assert_eq!(found, [], "{house:?}");
        }
    }

    for house in [(Side::Office, &office), (Side::Lab, &lab)] {
        let open = reports::open_after(&mut conn, house, "", 9).await.unwrap();
        let open: Vec<CaseNumber> = open.into_iter().map(|one| one.1.unwrap().number).collect();
        let mut found = open.clone();
        found.sort();
        assert_eq!(found, sorted(&[&first.number, &second.number]));
        let page = reports::open_after(&mut conn, house, open[0].as_str(), 9);
        let page: Vec<CaseNumber> = page
            .await
            .unwrap()
            .into_iter()
            .map(|one| one.1.unwrap().number)
            .collect();
        assert_eq!(page, open[1..]);
        assert_eq!(
            reports::open_after(&mut conn, house, "", 1)
                .await
                .unwrap()
                .len(),
            1
        );
        let lent = reports::with_loans(&mut conn, house, 9).await.unwrap();
        assert_eq!(lent.len(), 1);
        assert_eq!(lent[0].as_ref().unwrap().number, second.number);
    }
    let none = reports::with_loans(&mut conn, (Side::Lab, &stranger), 9)
        .await
        .unwrap();
    assert!(none.is_empty());
}

pub async fn cases_that_are_not_open_are_found_and_those_that_no_list_asks_for_counted(bed: &Bed) {
    let first = bed.with_a_case().await;
    let mut conn = bed.read().await;
    let set = |values: &str| format!("UPDATE case_file SET {values}");
    for (values, not_open, unlistable) in [
        ("closed = 0", false, 0),
        ("closed = 1", true, 0),
        ("closed = 2", true, 1),
        ("closed = 0, office_turn = 'zzz'", false, 1),
        ("office_turn = ''", false, 1),
        ("office_turn = 'others', lab_turn = 'zzz'", false, 1),
        ("lab_turn = 'held', lab_day = 'zzzz'", false, 1),
        ("lab_day = '9999-12-31', office_day = ''", false, 1),
        ("office_day = '2026-03-02'", false, 0),
    ] {
        bed.past_the_store(&set(values)).await.unwrap();
        let found = reports::not_open_after(&mut conn, "", 9).await.unwrap();
        let numbers: Vec<&str> = found.iter().map(|one| one.0.as_str()).collect();
        let expected = match not_open {
            true => vec![first.number.as_str()],
            false => Vec::new(),
        };
        assert_eq!(numbers, expected, "{values}");
        let many = counted::unlistable(&mut conn).await.unwrap();
        assert_eq!(many, unlistable, "{values}");
    }
    bed.past_the_store(&set("closed = 1")).await.unwrap();
    for (after, limit) in [(first.number.as_str(), 9), ("", 0)] {
        let found = reports::not_open_after(&mut conn, after, limit).await;
        assert!(found.unwrap().is_empty(), "{after}, {limit}");
    }
}
