//! The line of one arch, the spare, and the checks after a final.

use super::*;
use crate::domain::custody::events::{Fitted, Given, Registered, TakenOut};
use crate::domain::custody::{Event, What};
use crate::domain::people::party::{Actor, Role, Side};
use crate::domain::values::ids::{AccountId, CaseNumber, EventId, PartyId};
use proptest::prelude::*;
use time::macros::date;

fn tag(number: u8) -> Tag {
    (0..32)
        .find_map(|last| Tag::from_random([1, 1, 1, 1, 1, number, last]))
        .unwrap()
}

fn case() -> CaseNumber {
    (0..32)
        .find_map(|last| CaseNumber::from_random([2, 2, 2, 2, 2, 2, last]))
        .unwrap()
}

/// 1 provisional, 2 duplicate, 3 final, all upper; 4 a lower final.
fn items() -> Vec<Item> {
    let kinds = [
        (1, ItemKind::Provisional, Arch::Upper),
        (2, ItemKind::Duplicate, Arch::Upper),
        (3, ItemKind::FinalDenture, Arch::Upper),
        (4, ItemKind::FinalDenture, Arch::Lower),
    ];
    let item = |(number, kind, arch)| Item {
        tag: tag(number),
        case: case(),
        kind,
        arch: Some(arch),
        note: String::new(),
        pieces: 1,
        borrowed: false,
    };
    kinds.map(item).to_vec()
}

fn event(minute: i64, what: What) -> Event {
    let at = Moment::new(minute * 60_000, 0);
    Event {
        id: EventId::new(format!("event {minute}")),
        case: case(),
        at,
        entered_at: at,
        by: Actor {
            account: AccountId::new("dora"),
            name: "dora".to_owned(),
            role: Role::Dentist,
            party: PartyId::new("northgate"),
            party_name: "northgate".to_owned(),
        },
        paper: None,
        by_code: None,
        what,
    }
}

fn registered(minute: i64, number: u8, worn: bool) -> Event {
    let what = What::Registered(Registered {
        tag: tag(number),
        place: Side::Office,
        worn,
        note: String::new(),
        pieces: None,
        made: None,
        due_back: None,
        file: None,
    });
    event(minute, what)
}

fn fitted(minute: i64, number: u8, out: Option<u8>) -> Event {
    let what = What::Fitted(Fitted {
        tag: tag(number),
        instead_of: out.map(tag),
        uncleaned: false,
        exception: None,
        approval: None,
        avoided_why: String::new(),
    });
    event(minute, what)
}

fn said(events: &[Event]) -> Vec<(String, Option<i64>, Option<i64>)> {
    let minute = |at: Option<Moment>| at.map(|at| at.unix_ms / 60_000);
    timeline(&items(), &CaseState::of(events), Arch::Upper)
        .into_iter()
        .map(|one| {
            let words = match one.wears {
                Wears::Unknown => "unknown".to_owned(),
                Wears::Nothing => "nothing".to_owned(),
                Wears::Item(worn) => (1..5).find(|n| tag(*n) == worn).unwrap().to_string(),
            };
            (words, minute(one.from), minute(one.to))
        })
        .collect()
}

#[test]
fn the_line_is_unknown_then_worn_then_nothing_then_worn() {
    let row = |words: &str, from, to| (words.to_owned(), from, to);
    assert_eq!(said(&[]), [row("unknown", None, None)]);
    let out = What::TakenOut(TakenOut {
        tag: tag(2),
        exception: None,
    });
    let events = [
        registered(10, 1, true),
        registered(10, 2, false),
        registered(11, 4, false),
        fitted(20, 2, Some(1)),
        event(30, out),
        fitted(45, 3, None),
    ];
    assert_eq!(
        said(&events),
        [
            row("unknown", None, Some(10)),
            row("1", Some(10), Some(20)),
            row("2", Some(20), Some(30)),
            row("nothing", Some(30), Some(45)),
            row("3", Some(45), None),
        ]
    );
    assert_eq!(
        said(&events[..5]).last().unwrap(),
        &row("nothing", Some(30), None)
    );
}

#[test]
fn the_duplicate_waits_to_become_the_spare_once_the_final_is_worn() {
    let mut events = vec![
        registered(1, 1, false),
        registered(1, 2, true),
        registered(2, 3, false),
    ];
    assert_eq!(spares(&items(), &CaseState::of(&events), Arch::Upper), []);
    assert_eq!(
        final_fitted(&items(), &CaseState::of(&events), Arch::Upper),
        None
    );
    events.push(fitted(5, 3, Some(2)));
    assert_eq!(
        spares(&items(), &CaseState::of(&events), Arch::Upper),
        [SpareState::ToGive(tag(2))]
    );
    assert_eq!(spares(&items(), &CaseState::of(&events), Arch::Lower), []);
    assert_eq!(
        final_fitted(&items(), &CaseState::of(&events), Arch::Upper),
        Some(Moment::new(300_000, 0))
    );
    let kept = Spare {
        mark: "spare".to_owned(),
        place: "a cup".to_owned(),
        keeper: "the patient".to_owned(),
        in_water: true,
    };
    let give = What::Given(Given {
        tag: tag(2),
        spare: Some(kept.clone()),
    });
    events.push(event(6, give));
    let given = SpareState::Given {
        tag: tag(2),
        since: Moment::new(360_000, 0),
        kept: Some(kept),
    };
    assert_eq!(
        spares(&items(), &CaseState::of(&events), Arch::Upper),
        [given]
    );
}

/// Next day, one week and one month: a dental school's denture schedule.
#[test]
fn the_three_checks_fall_on_open_days() {
    let office = OpenDays::weekdays([date!(2026 - 03 - 10)]);
    let days = |fitted| {
        checks(fitted, &office)
            .iter()
            .map(|one| one.day)
            .collect::<Vec<_>>()
    };
    // A Monday: the next day, the Monday after, and a month later.
    assert_eq!(
        days(date!(2026 - 03 - 02)),
        [
            date!(2026 - 03 - 03),
            date!(2026 - 03 - 09),
            date!(2026 - 04 - 02)
        ]
    );
    // A Friday, a holiday a week after a Tuesday, and a month that is shorter.
    assert_eq!(days(date!(2026 - 03 - 06))[0], date!(2026 - 03 - 09));
    assert_eq!(days(date!(2026 - 03 - 03))[1], date!(2026 - 03 - 11));
    // The check of the next day that comes later says so; those of a week and a month mean no hour.
    let words = |fitted, place: usize| checks(fitted, &office)[place].day_words();
    assert_eq!(words(date!(2026 - 03 - 02), 0), "Tue 3 Mar 2026");
    assert_eq!(
        words(date!(2026 - 03 - 06), 0),
        "Mon 9 Mar 2026, 2 days late: the office treats nobody before"
    );
    assert_eq!(words(date!(2026 - 03 - 03), 1), "Wed 11 Mar 2026");
    assert_eq!(days(date!(2025 - 12 - 31))[2], date!(2026 - 02 - 02));
    assert_eq!(days(date!(2027 - 01 - 29))[2], date!(2027 - 03 - 01));
}

proptest! {
    #[test]
    fn checks_are_open_days_in_order_and_none_is_early(day in 0_i64..20_000) {
        let fitted = date!(2000 - 01 - 01) + Duration::days(day);
        let office = OpenDays::weekdays([]);
        let found = checks(fitted, &office);
        prop_assert_eq!(found.len(), 3);
        prop_assert!(found.iter().all(|one| office.is_open(one.day)));
        for (check, (least, most)) in found.iter().zip([(1, 4), (7, 10), (28, 34)]) {
            let days = (check.day - fitted).whole_days();
            prop_assert!((least..=most).contains(&days), "{} after {days} days", check.after.shown());
        }
    }
}

#[test]
fn c3_a_final_that_was_worn_when_it_was_registered_was_not_fitted_here() {
    let fitted_at = |events: &[Event]| {
        let at = final_fitted(&items(), &CaseState::of(events), Arch::Upper);
        at.map(|at| at.unix_ms / 60_000)
    };
    let mut events = vec![registered(10, 3, true), registered(11, 2, false)];
    assert_eq!(fitted_at(&events), None);
    events.push(fitted(20, 2, Some(3)));
    events.push(fitted(30, 3, Some(2)));
    assert_eq!(fitted_at(&events), Some(30));
}
