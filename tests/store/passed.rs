//! Which work is passed on to which laboratory.

use crate::bed::{Bed, case};
use vestibule::domain::values::ids::{EventId, PartyId};
use vestibule::store::passed::{self, PassedCount, PassedRow};
use vestibule::store::{Backend, StoreError, cases};

fn read(rows: Vec<Result<PassedRow, StoreError>>) -> Vec<PassedRow> {
    rows.into_iter().map(Result::unwrap).collect()
}

pub async fn work_passed_on_is_listed_for_its_laboratory_what_is_open_first(bed: &Bed) {
    let (first, second) = (bed.with_a_case().await, case(2));
    let row = |event: &str, number: &str, party: &str, is_open| PassedRow {
        event: EventId::new(event),
        case: if number == "first" {
            first.number.clone()
        } else {
            second.number.clone()
        },
        party: PartyId::new(party),
        is_open,
        new_answers: i64::from(is_open),
    };
    let rows = [
        row("a", "first", "l", true),
        row("b", "second", "l", true),
        row("c", "first", "o", true),
    ];
    let mut tx = bed.tx().await;
    cases::insert_case(&mut tx, &second).await.unwrap();
    for row in &rows {
        passed::keep(&mut tx, row).await.unwrap();
    }
    tx.commit().await.unwrap();
    let (lab, stranger) = (PartyId::new("l"), PartyId::new("x"));
    let mut conn = bed.read().await;
    let all = passed::of_party(&mut conn, &lab, 10).await.unwrap();
    assert_eq!(read(all), rows[..2]);
    let first = passed::of_party(&mut conn, &lab, 1).await.unwrap();
    assert_eq!(read(first), rows[..1]);
    let none = passed::of_party(&mut conn, &stranger, 10).await.unwrap();
    assert_eq!(read(none), []);
    let counted = |open, new_answers| PassedCount { open, new_answers };
    let both = passed::count_open(&mut conn, &lab).await.unwrap();
    assert_eq!(both, counted(2, 2));
    let none = passed::count_open(&mut conn, &stranger).await.unwrap();
    assert_eq!(none, counted(0, 0));
    let found = passed::find(&mut conn, &EventId::new("c")).await.unwrap();
    assert_eq!(found.as_ref(), Some(&rows[2]));
    let found = passed::find(&mut conn, &EventId::new("d")).await.unwrap();
    assert_eq!(found, None);
    let rest = passed::after(&mut conn, &EventId::new("a"), 10)
        .await
        .unwrap();
    assert_eq!(rest, rows[1..]);
    let one = passed::after(&mut conn, &EventId::new(""), 1)
        .await
        .unwrap();
    assert_eq!(one, rows[..1]);
    drop(conn);
    // Said again, it is over: neither case nor laboratory of the row changes.
    let over = row("a", "first", "l", false);
    let mut tx = bed.tx().await;
    passed::keep(&mut tx, &over).await.unwrap();
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let all = passed::of_party(&mut conn, &lab, 10).await.unwrap();
    assert_eq!(read(all), [rows[1].clone(), over]);
    let left = passed::count_open(&mut conn, &lab).await.unwrap();
    assert_eq!(left, counted(1, 1));
    drop(conn);
    // One row that somebody has damaged hides no other.
    let unbound = match bed.database.backend {
        Backend::Sqlite => "PRAGMA foreign_keys = OFF",
        Backend::Postgres => "SET session_replication_role = replica",
    };
    let damage = "UPDATE passed_work SET case_number = 'x' WHERE event_id = 'b'";
    bed.past_the_store(&format!("{unbound}; {damage}"))
        .await
        .unwrap();
    let mut conn = bed.read().await;
    let all = passed::of_party(&mut conn, &lab, 10).await.unwrap();
    let are_read: Vec<bool> = all.iter().map(Result::is_ok).collect();
    assert_eq!(are_read, [false, true]);
}
