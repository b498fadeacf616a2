//! What is kept of a house besides its cases: addresses of calendars, and until when papers are kept.

use crate::bed::{Bed, account, case};
use time::macros::date;
use vestibule::domain::people::party::Side;
use vestibule::store::feeds::{self, FeedRow};
use vestibule::store::papers_kept::{self, PapersKept};
use vestibule::store::{cases, people};

fn feed(account: &str, secret_hash: &str) -> FeedRow {
    FeedRow {
        account: account.into(),
        secret_hash: secret_hash.to_owned(),
        made_ms: 7,
        binding: format!("bound {secret_hash}"),
    }
}

pub async fn an_account_has_one_address_of_a_calendar_at_most(bed: &Bed) {
    bed.with_a_case().await;
    let (nora, ines) = (account("nora"), account("ines"));
    let mut tx = bed.tx().await;
    for one in [&nora, &ines] {
        people::insert_account(&mut tx, one).await.unwrap();
    }
    for row in [
        feed(&nora.id, "first"),
        feed(&ines.id, "hers"),
        feed(&nora.id, "second"),
    ] {
        feeds::set(&mut tx, &row).await.unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let first = feeds::by_secret(&mut conn, "first").await.unwrap();
    assert_eq!(first, None);
    let second = feeds::by_secret(&mut conn, "second").await.unwrap();
    assert_eq!(second, Some(feed(&nora.id, "second")));
    let hers = feeds::of_account(&mut conn, &ines.id).await.unwrap();
    assert_eq!(hers, Some(feed(&ines.id, "hers")));
    drop(conn);
    let mut tx = bed.tx().await;
    for _ in 0..2 {
        feeds::end(&mut tx, &nora.id).await.unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let none = feeds::of_account(&mut conn, &nora.id).await.unwrap();
    assert_eq!(none, None);
    let hers = feeds::by_secret(&mut conn, "hers").await.unwrap();
    assert_eq!(hers, Some(feed(&ines.id, "hers")));
}

pub async fn the_open_cases_of_a_house_come_with_what_changed_last_first(bed: &Bed) {
    let first = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    let mut numbers = Vec::new();
    for (place, (revision, closed)) in [(1, false), (0, false), (2, true), (3, false)]
        .into_iter()
        .enumerate()
    {
        let mut one = case(u32::try_from(place).unwrap() + 2);
        cases::insert_case(&mut tx, &one).await.unwrap();
        one.revision = revision;
        one.closed = closed;
        one.changed_ms = 100 + i64::try_from(place).unwrap();
        cases::update_case(&mut tx, &one).await.unwrap();
        numbers.push(one.number);
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    for house in [(Side::Office, &first.office), (Side::Lab, &first.lab)] {
        let found = feeds::open_cases(&mut conn, house, 10).await.unwrap();
        let wanted = [&first.number, &numbers[3], &numbers[1], &numbers[0]].map(Clone::clone);
        assert_eq!(found, wanted);
        let found = feeds::open_cases(&mut conn, house, 1).await.unwrap();
        assert_eq!(found, wanted[..1]);
    }
    let nobody = "nobody".into();
    let found = feeds::open_cases(&mut conn, (Side::Lab, &nobody), 10).await;
    assert_eq!(found.unwrap(), []);
}

pub async fn papers_past_their_day_come_with_the_earliest_first(bed: &Bed) {
    let first = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    let days = [
        (Some(date!(2028 - 03 - 02)), None, false),
        (
            Some(date!(2027 - 03 - 02)),
            Some(date!(2036 - 03 - 02)),
            true,
        ),
        (None, Some(date!(2030 - 01 - 01)), false),
        (Some(date!(2020 - 01 - 01)), None, false),
    ];
    let mut rows = Vec::new();
    for (number, (office_until, lab_until, longer)) in (2..).zip(days) {
        let one = case(number);
        cases::insert_case(&mut tx, &one).await.unwrap();
        rows.push(PapersKept {
            case: one.number,
            office: one.office,
            lab: one.lab,
            office_until,
            lab_until,
            longer,
        });
    }
    for row in &rows {
        papers_kept::set(&mut tx, row).await.unwrap();
    }
    // Said again, and a case that goes on.
    rows[0].longer = true;
    papers_kept::set(&mut tx, &rows[0]).await.unwrap();
    papers_kept::forget(&mut tx, &rows[3].case).await.unwrap();
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let mut kept = rows[..3].to_vec();
    kept.sort_by(|one, other| one.case.as_str().cmp(other.case.as_str()));
    let all = papers_kept::after(&mut conn, "", 10).await.unwrap();
    assert_eq!(all, kept);
    let rest = papers_kept::after(&mut conn, kept[0].case.as_str(), 1).await;
    assert_eq!(rest.unwrap(), kept[1..2]);
    let office = (Side::Office, &first.office);
    let one = (rows[1].case.clone(), date!(2027 - 03 - 02), true);
    let other = (rows[0].case.clone(), date!(2028 - 03 - 02), true);
    for (today, most, expected) in [
        (date!(2027 - 03 - 02), 10, vec![]),
        (date!(2027 - 03 - 03), 10, vec![one.clone()]),
        (date!(2028 - 03 - 03), 10, vec![one.clone(), other]),
        (date!(2028 - 03 - 03), 1, vec![one]),
    ] {
        let over = papers_kept::over(&mut conn, office, today, most).await;
        assert_eq!(over.unwrap(), expected, "{today}");
    }
    let lab = (Side::Lab, &first.lab);
    let over = papers_kept::over(&mut conn, lab, date!(2036 - 03 - 02), 10).await;
    let expected = [(rows[2].case.clone(), date!(2030 - 01 - 01), false)];
    assert_eq!(over.unwrap(), expected);
    for (house, count) in [(office, 1), (lab, 1)] {
        let none = papers_kept::without_a_time(&mut conn, house).await;
        assert_eq!(none.unwrap(), count);
    }
}
