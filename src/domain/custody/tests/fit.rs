//! What comes back held against the prescription: who may say it, when, and what becomes due.

use super::super::case_actions::{CaseAction, case_actions};
use super::*;
use crate::domain::values::tooth::PatientSide;
use CustodyRule::{A, Closed as IsClosed, Form, J, Right};
use Side::{Lab, Office};

fn found(value: FitValue, verdict: FitVerdict) -> FitFound {
    FitFound::unread(value, verdict)
}

fn checked(from: Side, found: &[FitFound]) -> What {
    What::FitChecked(FitChecked {
        from,
        revision: 1,
        found: found.to_vec(),
        note: String::new(),
    })
}

fn shade(from: Side) -> What {
    checked(from, &[found(FitValue::Shade, FitVerdict::AsAsked)])
}

fn undone(event: &EventId) -> What {
    What::Undone(Undone {
        event: event.clone(),
        reason: "another case".to_owned(),
    })
}

/// The final upper has come to the office.
fn come_back() -> World {
    let mut world = World::begun();
    world.sends(&tom(), "back", &["final upper"]);
    world.takes(&anna(), "back", &["final upper"]);
    world
}

fn second_action(world: &World) -> Option<CaseAction> {
    let state = world.case_state();
    let at = Moment::new(world.now_ms + MINUTE_MS, 60);
    let offers = Offers::new(world.context(), &state, &anna(), at);
    case_actions(&offers, false, 1).into_iter().nth(1)
}

#[test]
fn each_house_says_what_it_found_once_something_has_come_to_it() {
    let world = World::begun();
    world.expect(&anna(), &shade(Office), &[(A, "")]);
    world.expect(&tom(), &shade(Lab), &[(A, "")]);
    let mut world = come_back();
    world.expect(&anna(), &shade(Office), &[]);
    world.expect(&dora(), &shade(Office), &[]);
    world.expect(&anna(), &shade(Lab), &[(Right, ""), (A, "")]);
    world.expect(&tom(), &shade(Office), &[(Right, "")]);
    let stranger = actor("sven", Role::Dentist, "southgate");
    world.expect(&stranger, &shade(Office), &[(Right, "")]);
    world.does(&anna(), shade(Office));
    let case = world.case_state();
    assert_eq!(case.fits.len(), 1);
    assert!(case.fits[0].by.starts_with("anna"));
}

#[test]
fn nothing_found_and_what_stands_there_twice_is_no_check() {
    let world = come_back();
    world.expect(&anna(), &checked(Office, &[]), &[(Form, "")]);
    let one = found(FitValue::Ovd, FitVerdict::CannotTell);
    world.expect(
        &anna(),
        &checked(Office, &[one.clone(), one.clone()]),
        &[(Form, "")],
    );
    let often = FitFound {
        readings: vec!["66".to_owned().try_into().unwrap(); 4],
        ..one
    };
    world.expect(&anna(), &checked(Office, &[often]), &[(Form, "")]);
}

#[test]
fn a_check_is_no_earlier_than_what_it_is_of() {
    let world = come_back();
    let came = world.case_state().handoffs[0].received_at.unwrap();
    for (at_ms, refused) in [(came.unix_ms - 1, 1), (came.unix_ms, 0)] {
        let found = world.refusals_at(&anna(), &shade(Office), at_ms);
        let own: Vec<_> = found.iter().filter(|(rule, _)| *rule == A).collect();
        assert_eq!(own.len(), refused, "{found:?}");
    }
}

#[test]
fn what_came_back_is_offered_to_be_checked_until_it_is() {
    let mut world = World::begun();
    let due = |world: &World| fit_is_due(&world.items, &world.case_state());
    assert!(!due(&world));
    world.sends(&tom(), "back", &["final upper"]);
    assert!(!due(&world));
    world.takes(&anna(), "back", &["final upper"]);
    assert!(due(&world));
    assert_eq!(second_action(&world), Some(CaseAction::CheckFit));
    // What the lab says of its own work is no check at the office.
    world.sends(&anna(), "away", &["bite"]);
    world.takes(&tom(), "away", &["bite"]);
    world.does(&tom(), disinfected("bite"));
    world.does(&tom(), shade(Lab));
    assert!(due(&world));
    world.does(&anna(), shade(Office));
    assert!(!due(&world));
    // What comes back again is looked at again.
    world.sends(&anna(), "again", &["final upper"]);
    world.takes(&tom(), "again", &["final upper"]);
    world.sends(&tom(), "and back", &["final upper"]);
    world.takes(&anna(), "and back", &["final upper"]);
    assert!(due(&world));
}

#[test]
fn a_mistake_is_withdrawn_by_the_house_that_made_it_and_once() {
    let mut world = come_back();
    world.does(&anna(), shade(Office));
    let entry = world.case_state().fits[0].event.clone();
    world.expect(&tom(), &undone(&entry), &[(Right, "")]);
    world.does(&dora(), undone(&entry));
    let case = world.case_state();
    assert!(case.fits.is_empty());
    assert!(fit_is_due(&world.items, &case));
    world.expect(&anna(), &undone(&entry), &[(J, "")]);
}

#[test]
fn in_a_closed_case_nothing_is_held_against_anything() {
    let world = come_back();
    let mut closed = world.clone();
    let signed = under("dora");
    let event = What::Closed(Closed {
        items: Vec::new(),
        note: String::new(),
        nothing_made: false,
        signed,
    });
    let at = Moment::new(closed.now_ms + MINUTE_MS, 60);
    closed.append(&dora(), event, at);
    closed.now_ms += MINUTE_MS;
    let found = closed.refusals(&anna(), &shade(Office));
    assert_eq!(found, [(IsClosed, "")]);
}

#[test]
fn the_entry_is_told_in_one_sentence_with_all_it_found() {
    let mut world = come_back();
    let number = |text: &str| text.to_owned().try_into().unwrap();
    let high = FitFound {
        asked: Some(number("66")),
        within: Some(number("1")),
        readings: vec![number("68"), number("68.5")],
        ..found(FitValue::Ovd, FitVerdict::NotAsAsked)
    };
    let moved = FitFound {
        asked: Some(number("1.5")),
        side: Some(PatientSide::Right),
        within: Some(number("0.5")),
        readings: vec![number("2")],
        ..found(FitValue::Midline, FitVerdict::AsAsked)
    };
    let what = checked(
        Office,
        &[high, moved, found(FitValue::Shade, FitVerdict::AsAsked)],
    );
    world.does(&anna(), what);
    let words = describe(&world.items, world.events.last().unwrap());
    assert_eq!(
        words.what,
        "Checked against revision 1 at the dental office: 2 as asked, 1 not as asked"
    );
    assert_eq!(
        words.details,
        [
            "OVD, asked 66 mm, measured 68 and 68.5 mm: not as asked",
            "Midline, moved by, asked 1.5 mm to the patient’s right, measured 2 mm: as asked",
            "Tooth shade: as asked"
        ]
    );
}

#[test]
fn what_the_form_refuses_of_readings_the_rules_refuse_too() {
    let world = come_back();
    let read = |value: FitValue, reading: &str| FitFound {
        readings: vec![reading.to_owned().try_into().unwrap()],
        ..found(value, FitVerdict::CannotTell)
    };
    // A height is read even where it is to change; what is looked at is not.
    let (least, most) = FitValue::Ovd.limits();
    for (hundredths, refused) in [
        (least, false),
        (least - 1, true),
        (most, false),
        (most + 1, true),
    ] {
        let reading = crate::domain::values::measure::show_hundredths(hundredths);
        let entry = checked(Office, &[read(FitValue::Ovd, &reading)]);
        let expected: &[(CustodyRule, &str)] = if refused { &[(Form, "")] } else { &[] };
        world.expect(&anna(), &entry, expected);
    }
    let measured = checked(Office, &[read(FitValue::Borders, "2")]);
    world.expect(&anna(), &measured, &[(Form, "")]);
}
