//! The day that the lab names, and the word of the office.

use super::*;
use CustodyRule::{F, Form, I, J, K, Right};
use time::Date;
use time::macros::date;

const WANTED: Date = date!(2026 - 03 - 20);

fn named(day: Date, revision: i64) -> What {
    What::Promised(Promised {
        day: day.into(),
        revision,
        note: String::new(),
    })
}

fn answered(world: &World, answer: DayAnswer, note: &str) -> What {
    let named = world.case_state().promise;
    What::DayAnswered(DayAnswered {
        promise: named.map_or_else(|| EventId::new("none"), |one| one.event),
        answer,
        note: note.to_owned(),
    })
}

/// What is asked of the office, with the work wanted on that day.
fn asked(world: &World, wanted: Option<Date>, revision: i64) -> bool {
    let ordered = Ordered {
        revision,
        wanted,
        ..Ordered::default()
    };
    let stands = standing(&world.context(), &world.case_state(), &ordered, revision);
    let tasks = stands.waiting_for.iter();
    let mut tasks = tasks.filter(|task| task.step == case::Step::AnswerDay);
    tasks.next().is_some_and(|task| task.side == Side::Office)
}

#[test]
fn only_the_lab_names_a_day_and_only_one_that_can_still_come() {
    let world = World::begun();
    let day = date!(2026 - 03 - 18);
    world.expect(&tom(), &named(day, 1), &[]);
    world.expect(&anna(), &named(day, 1), &[(Right, "")]);
    world.expect(&tom(), &named(day, 0), &[(J, "")]);
    world.expect(&tom(), &named(date!(2026 - 03 - 01), 1), &[(I, "")]);
    let mut again = world.clone();
    again.does(&tom(), named(day, 1));
    again.expect(&tom(), &named(day, 1), &[(F, "")]);
    again.expect(&tom(), &named(day, 2), &[]);
    let cancelled = What::Cancelled(Cancelled {
        reason: "moved away".to_owned(),
        items: Vec::new(),
        signed: under("dora"),
    });
    let mut over = World::bare(Arches::Upper);
    over.does(&dora(), cancelled);
    over.expect(&tom(), &named(day, 1), &[(K, "")]);
}

#[test]
fn a_day_is_answered_once_by_the_office_and_a_no_says_what_is_needed() {
    let mut world = World::begun();
    let yes = |world: &World| answered(world, DayAnswer::Accepted, "");
    world.expect(&anna(), &yes(&world), &[(J, "")]);
    world.does(&tom(), named(date!(2026 - 03 - 24), 1));
    let first = yes(&world);
    world.expect(&tom(), &first, &[(Right, "")]);
    let no = |note| answered(&world, DayAnswer::NotAccepted, note);
    world.expect(&anna(), &no(" "), &[(Form, "")]);
    world.expect(&anna(), &no("the 20th, please"), &[]);
    // A newer day takes the place of the older: that one is answered no more.
    world.does(&tom(), named(date!(2026 - 03 - 23), 1));
    world.expect(&anna(), &first, &[(J, "")]);
    let second = yes(&world);
    world.does(&anna(), second.clone());
    world.expect(&dora(), &second, &[(F, "")]);
}

#[test]
fn only_a_day_later_than_asked_waits_for_the_office() {
    let mut world = World::begun();
    world.does(&tom(), named(date!(2026 - 03 - 20), 1));
    assert!(!asked(&world, Some(WANTED), 1), "in time");
    assert!(asked(&world, None, 1), "nothing is asked for");
    world.does(&tom(), named(date!(2026 - 03 - 21), 1));
    assert!(asked(&world, Some(WANTED), 1));
    assert!(
        !asked(&world, Some(WANTED), 2),
        "named for an earlier revision"
    );
    let paused = What::Paused(Paused {
        reason: "the patient is away".to_owned(),
        signed: under("dora"),
    });
    let mut rests = world.clone();
    rests.does(&dora(), paused);
    assert!(!asked(&rests, Some(WANTED), 1), "the work rests");
    let yes = answered(&world, DayAnswer::Accepted, "");
    world.does(&anna(), yes);
    assert!(!asked(&world, Some(WANTED), 1));
}

/// Of March 2026 the 21st and 22nd are a Saturday and a Sunday, on which the office is closed: common practice, no source.
#[test]
fn the_named_day_is_held_against_the_day_due_whoever_is_open() {
    let mut world = World::begun();
    world.does(&tom(), named(date!(2026 - 03 - 21), 1));
    let saturday = world.case_state().promise.unwrap();
    for (due, awaits) in [
        (None, true),
        (Some(date!(2026 - 03 - 20)), true),
        // In hand on Monday the 23rd, as the office asked that asked for a Saturday or a Sunday.
        (Some(date!(2026 - 03 - 21)), false),
        (Some(date!(2026 - 03 - 22)), false),
        (Some(date!(2026 - 03 - 23)), false),
    ] {
        assert_eq!(saturday.awaits_answer(due), awaits, "{due:?}");
        let case = world.case_state();
        assert_eq!(case.day_to_answer(1, due).is_some(), awaits, "{due:?}");
        assert_eq!(asked(&world, due, 1), awaits, "{due:?}");
    }
    let yes = answered(&world, DayAnswer::Accepted, "");
    world.does(&anna(), yes);
    assert!(!world.case_state().promise.unwrap().awaits_answer(None));
}

#[test]
fn of_what_is_in_the_mouth_no_day_is_asked_any_more() {
    let mut world = World::begun();
    let finals = ["final upper", "final lower"];
    world.does(&tom(), named(date!(2026 - 03 - 21), 1));
    world.sends(&tom(), "h1", &finals);
    world.takes(&anna(), "h1", &finals);
    let is_listed = |world: &World| {
        let ordered = Ordered {
            revision: 1,
            wanted: Some(WANTED),
            ..Ordered::default()
        };
        let (context, case) = (world.context(), world.case_state());
        let stands = standing(&context, &case, &ordered, 1);
        let mut all = waits(&context, &case, &ordered, &stands, WANTED).into_iter();
        all.any(|one| one.to_do == "say whether it will do")
    };
    world.does(&dora(), fitted("final upper", Some("provisional upper")));
    assert!(asked(&world, Some(WANTED), 1) && is_listed(&world));
    world.does(&dora(), fitted("final lower", Some("provisional lower")));
    assert!(!asked(&world, Some(WANTED), 1) && !is_listed(&world));
}

#[test]
fn what_is_agreed_is_the_day_until_the_next_revision() {
    let mut world = World::begun();
    let later = date!(2026 - 03 - 24);
    let due = |world: &World, revision| {
        let mut case = super::to_do::drawn(world, &Ordered::default(), 0);
        (case.due, case.revision) = (Some(WANTED), revision);
        world.case_state().day_due(case.revision, case.due)
    };
    world.does(&tom(), named(later, 1));
    assert_eq!(due(&world, 1), Some(WANTED), "nobody has agreed");
    let yes = answered(&world, DayAnswer::Accepted, "");
    world.does(&anna(), yes);
    assert_eq!(due(&world, 1), Some(later));
    assert_eq!(due(&world, 2), Some(WANTED));
    world.does(&tom(), named(date!(2026 - 03 - 25), 1));
    assert_eq!(
        due(&world, 1),
        Some(later),
        "it stands until they agree on another"
    );
    assert!(asked(&world, Some(WANTED), 1));
    let no = answered(&world, DayAnswer::NotAccepted, "the 24th was agreed");
    world.does(&anna(), no);
    assert_eq!(due(&world, 1), Some(later));
    // What was refused, perhaps by mistake, can be named once more.
    world.does(&tom(), named(date!(2026 - 03 - 25), 1));
    let yes = answered(&world, DayAnswer::Accepted, "");
    world.does(&anna(), yes);
    assert_eq!(due(&world, 1), Some(date!(2026 - 03 - 25)));
    world.expect(&tom(), &named(date!(2026 - 03 - 25), 1), &[(F, "")]);
    world.expect(&tom(), &named(date!(2029 - 03 - 25), 1), &[(Form, "")]);
}
