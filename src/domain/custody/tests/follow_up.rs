//! Checks after the fit: when they can be entered, by whom, and what they ask.

use super::*;
use CustodyRule::{A, F, Form, J, Right};

fn check(arches: Arches) -> FollowedUp {
    FollowedUp {
        check: FollowUp::Day,
        arches,
        examined: vec![ExaminedPoint::Asked, ExaminedPoint::Occlusion],
        complaints: Vec::new(),
        done: String::new(),
        followed_by: FollowedBy::Nothing,
        cause: None,
        share: None,
    }
}

fn upper() -> What {
    check(Arches::Upper).into()
}

/// The final upper is worn.
fn fitted_upper() -> World {
    let mut world = World::begun();
    world.sends(&tom(), "back", &["final upper"]);
    world.takes(&anna(), "back", &["final upper"]);
    world.does(&anna(), disinfected("final upper"));
    world.does(&dora(), fitted("final upper", Some("provisional upper")));
    world
}

#[test]
fn the_office_enters_a_check_once_the_final_of_the_arch_has_gone_in() {
    let world = World::begun();
    world.expect(&dora(), &upper(), &[(A, "")]);
    let world = fitted_upper();
    world.expect(&dora(), &upper(), &[]);
    // Each arch that is named has its final.
    world.expect(&anna(), &check(Arches::Both).into(), &[(A, "")]);
    world.expect(&dora(), &check(Arches::Lower).into(), &[(A, "")]);
    world.expect(&tom(), &upper(), &[(Right, "")]);
    // Copied from paper, it is no earlier than the fitting.
    let went_in = world.events.last().unwrap().at;
    let early = world.refusals_at(&dora(), &upper(), went_in.unix_ms - 1);
    assert!(early.iter().any(|(rule, _)| *rule == A), "{early:?}");
}

#[test]
fn work_that_follows_has_a_cause_and_a_share_and_an_empty_check_is_none() {
    let world = fitted_upper();
    for followed_by in [FollowedBy::Correction, FollowedBy::Remake] {
        let bare = FollowedUp {
            followed_by,
            ..check(Arches::Upper)
        };
        let caused = FollowedUp {
            cause: Some(WorkCause::JawRecord),
            ..bare.clone()
        };
        let shared = FollowedUp {
            share: Some(WorkShare::Both),
            ..caused.clone()
        };
        world.expect(&dora(), &bare.into(), &[(Form, "")]);
        world.expect(&dora(), &caused.into(), &[(Form, "")]);
        world.expect(&dora(), &shared.into(), &[]);
    }
    let empty = FollowedUp {
        examined: Vec::new(),
        ..check(Arches::Upper)
    };
    world.expect(&dora(), &empty.into(), &[(Form, "")]);
    for complaints in [vec![0], vec![37], vec![1, 2, 3, 4]] {
        let wrong = FollowedUp {
            complaints,
            ..check(Arches::Upper)
        };
        world.expect(&dora(), &wrong.into(), &[(Form, "")]);
    }
}

#[test]
fn a_check_is_told_in_one_sentence_and_withdrawn_by_its_own_house() {
    let mut world = fitted_upper();
    let sore = FollowedUp {
        complaints: vec![17],
        done: "border eased".to_owned(),
        followed_by: FollowedBy::Remake,
        cause: Some(WorkCause::Surface),
        share: Some(WorkShare::Office),
        ..check(Arches::Upper)
    };
    world.does(&dora(), sore.into());
    let words = describe(&world.items, world.events.last().unwrap());
    assert_eq!(
        words.what,
        "Check after the fit, 24 hours, upper: Sore in the fold of cheek or lip"
    );
    assert_eq!(
        words.details.last().unwrap(),
        "What comes of it: a remake, cause: impression or functional surface; as the office sees it the part of the office"
    );
    let entry = world.case_state().follow_ups[0].event.clone();
    let undone = What::Undone(Undone {
        event: entry,
        reason: "another case".to_owned(),
    });
    world.expect(&tom(), &undone, &[(Right, "")]);
    world.does(&anna(), undone.clone());
    assert!(world.case_state().follow_ups.is_empty());
    world.expect(&anna(), &undone, &[(J, "")]);
}

#[test]
fn the_lab_says_whether_it_sees_the_part_of_each_house_so_and_can_agree_later() {
    let mut world = fitted_upper();
    let answer = |event: &EventId, agrees: bool, note: &str| {
        What::ShareAnswered(ShareAnswered {
            event: event.clone(),
            agrees,
            note: note.to_owned(),
        })
    };
    world.does(&dora(), upper());
    let plain = world.case_state().follow_ups[0].event.clone();
    // Where no work follows there is nothing to agree on.
    world.expect(&tom(), &answer(&plain, true, ""), &[(J, "")]);
    let remake = FollowedUp {
        followed_by: FollowedBy::Remake,
        cause: Some(WorkCause::Processing),
        share: Some(WorkShare::Lab),
        ..check(Arches::Upper)
    };
    world.does(&dora(), remake.into());
    let entry = world.case_state().follow_ups[1].event.clone();
    let words = |world: &World| world.case_state().follow_ups[1].words();
    assert!(words(&world).ends_with("the lab has not answered yet"));
    world.expect(&dora(), &answer(&entry, true, ""), &[(Right, "")]);
    world.expect(&tom(), &answer(&entry, false, " "), &[(Form, "")]);
    // Who agrees says nothing otherwise.
    world.expect(&tom(), &answer(&entry, true, ""), &[]);
    let both = answer(&entry, true, "the record was high");
    world.expect(&tom(), &both, &[(Form, "")]);
    world.does(&mara(), answer(&entry, false, "the record was high"));
    assert!(words(&world).ends_with("the lab sees it otherwise"));
    let case = world.case_state();
    let described = describe_in(&world.items, &case, world.events.last().unwrap());
    let check = described.details.last().unwrap();
    assert!(check.starts_with("The check after the fit of "), "{check}");
    assert!(check.ends_with(", 24 hours"), "{check}");
    // It says nothing otherwise a second time, and can still agree: the first word counts for when it was answered.
    let again = answer(&entry, false, "the record was low");
    world.expect(&tom(), &again, &[(F, "")]);
    let first = case.follow_ups[1].answer.as_ref().unwrap().at;
    world.now_ms += 60_000;
    world.does(&tom(), answer(&entry, true, ""));
    assert!(words(&world).ends_with("the lab agrees"));
    let case = world.case_state();
    let agreed = case.follow_ups[1].answer.as_ref().unwrap();
    assert_eq!((agreed.since, agreed.note.as_str()), (first, ""));
    assert_ne!(agreed.at, first);
    world.expect(&tom(), &answer(&entry, true, ""), &[(F, "")]);
    // What the lab has answered, the office withdraws no more; a check that nobody has answered it does.
    let undone = |event: &EventId| {
        What::Undone(Undone {
            event: event.clone(),
            reason: "the wrong case".to_owned(),
        })
    };
    world.expect(&dora(), &undone(&entry), &[(J, "")]);
    world.expect(&dora(), &undone(&plain), &[]);
}

#[test]
fn nothing_that_is_no_work_has_a_cause_or_is_anybodys_part() {
    let world = fitted_upper();
    for (cause, share) in [
        (Some(WorkCause::Finish), None),
        (None, Some(WorkShare::Lab)),
        (Some(WorkCause::Finish), Some(WorkShare::Lab)),
    ] {
        for followed_by in [FollowedBy::Nothing, FollowedBy::Adjusted] {
            let entry = FollowedUp {
                followed_by,
                cause,
                share,
                ..check(Arches::Upper)
            };
            world.expect(&dora(), &entry.into(), &[(Form, "")]);
        }
    }
}

#[test]
fn the_part_of_each_house_waits_for_the_lab_and_an_agreed_remake_for_the_office() {
    let mut world = fitted_upper();
    let signed = Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 0)),
        ..Ordered::default()
    };
    let tasks = |world: &World, ordered: &Ordered| {
        let case = world.case_state();
        standing(&world.context(), &case, ordered, 1).waiting_for
    };
    let lab = case::Task {
        side: Side::Lab,
        step: case::Step::AnswerShare,
    };
    let office = case::Task {
        side: Side::Office,
        step: case::Step::Write,
    };
    let remake = FollowedUp {
        followed_by: FollowedBy::Remake,
        cause: Some(WorkCause::JawRecord),
        share: Some(WorkShare::Both),
        ..check(Arches::Upper)
    };
    assert!(!tasks(&world, &signed).contains(&lab));
    world.does(&dora(), remake.into());
    assert!(tasks(&world, &signed).contains(&lab));
    assert!(!tasks(&world, &signed).contains(&office));
    let event = world.case_state().follow_ups[0].event.clone();
    world.now_ms += 60_000;
    let agreed = ShareAnswered {
        event,
        agrees: true,
        note: String::new(),
    };
    world.does(&mara(), agreed.into());
    assert!(!tasks(&world, &signed).contains(&lab));
    assert!(tasks(&world, &signed).contains(&office));
    // It says what it stands on, and goes with the next revision.
    let case = world.case_state();
    let context = world.context();
    let standing = standing(&context, &case, &signed, 1);
    let today = Moment::new(world.now_ms, 0).date();
    let found = waits(&context, &case, &signed, &standing, today);
    let why: Vec<&str> = found.iter().map(|one| one.why.as_str()).collect();
    let stands_on = |why: &&str| {
        why.contains("cause: jaw record or height") && why.contains("the part of both sides")
    };
    assert!(why.iter().any(stands_on), "{why:?}");
    let next = Ordered {
        revision: 2,
        since: Some(Moment::new(world.now_ms + 60_000, 0)),
        ..Ordered::default()
    };
    assert!(!tasks(&world, &next).contains(&office));
}
