//! How far the work has come by its events, and when it rested.

use super::*;
use crate::domain::custody::bench::{BenchStep, ByRevision};
use crate::domain::custody::case::Place;
use crate::domain::custody::progress::{PlanContext, Resting, SoFar};
use crate::domain::trade::calendar::OpenDays;
use crate::domain::trade::plan::{Progress, Rest};
use crate::domain::trade::steps::Craft;
use Side::{Lab, Office};
use time::Date;
use time::macros::date;

const DAY_MS: i64 = 24 * 60 * MINUTE_MS;

fn so_far_signed(world: &World, signed: &[Moment]) -> SoFar {
    so_far_there(world, signed, &[Arch::Upper], "vienna")
}

/// Where the lab's clock is the one of this place: an hour ahead of UTC, or five behind.
fn so_far_there(world: &World, signed: &[Moment], arches: &[Arch], lab_zone: &str) -> SoFar {
    let places = world.stands().places;
    let lab = OpenDays::weekdays([]).with_cut_off(Some(16 * 60));
    let state = world.case_state();
    PlanContext {
        state: &state,
        items: &world.items,
        events: &world.events,
        places: (
            places.first().copied().unwrap_or(Place::Office),
            places.get(1).copied(),
        ),
        arches,
        work: &[],
        signed,
        by: &ByRevision {
            in_force: i64::try_from(signed.len()).unwrap(),
            words: &state.carried,
            ..ByRevision::default()
        },
        lab: &lab,
        clock: |ms, zone| Moment::new(ms, if zone == "new york" { -300 } else { 60 }),
        zones: ("vienna", lab_zone),
    }
    .so_far()
}

fn so_far(world: &World) -> SoFar {
    so_far_signed(world, &[Moment::new(MONDAY_MS, 60)])
}

/// How far the one arch is.
fn furthest(so_far: &SoFar) -> Option<(Craft, Date)> {
    so_far.finished.iter().find_map(|(_, furthest)| *furthest)
}

/// The office has a provisional in the mouth and a bite record; nothing is at the lab.
fn before() -> World {
    let mut world = World::bare(Arches::Upper);
    world.does(&dora(), registered("provisional upper", Office, true));
    world.does(&anna(), registered("bite", Office, false));
    world
}

/// The bite record came to the lab on Tuesday.
fn at_the_lab() -> World {
    let mut world = before();
    world.sends(&anna(), "h1", &["bite"]);
    world.now_ms += DAY_MS;
    world.takes(&tom(), "h1", &["bite"]);
    world
}

fn day(world: &World) -> Date {
    Moment::new(world.now_ms, 60).date()
}

#[test]
fn the_work_goes_there_is_made_and_comes_back() {
    let mut world = before();
    assert_eq!(so_far(&world).progress, Progress::ToBeSent);
    assert!(!so_far(&world).is_packed);
    let mut fetched = before();
    fetched.does(&anna(), disinfected("bite"));
    fetched.does(&anna(), packed("h1", &["bite"], Office));
    assert!(so_far(&fetched).is_packed);
    assert_eq!(so_far(&fetched).progress, Progress::ToBeSent);
    world.sends(&anna(), "h1", &["bite"]);
    let monday = date!(2026 - 03 - 02);
    assert_eq!(so_far(&world).progress, Progress::Sent(monday));
    let mut world = at_the_lab();
    let tuesday = monday.next_day().unwrap();
    let Progress::AtLab((came, Some(_))) = so_far(&world).progress else {
        panic!("{:?}", so_far(&world));
    };
    assert_eq!((came, furthest(&so_far(&world))), (tuesday, None));
    world.now_ms += DAY_MS;
    world.does(&tom(), registered("cast upper", Lab, false));
    assert_eq!(furthest(&so_far(&world)), Some((Craft::Pour, day(&world))));
    world.does(&tom(), registered("try-in upper", Lab, false));
    assert_eq!(furthest(&so_far(&world)), Some((Craft::SetUp, day(&world))));
    world.now_ms += DAY_MS;
    world.does(&tom(), registered("final upper", Lab, false));
    world.does(&tom(), disinfected("final upper"));
    world.does(&tom(), packed("h2", &["final upper"], Lab));
    let thursday = day(&world);
    assert_eq!(furthest(&so_far(&world)), Some((Craft::Finish, thursday)));
    assert!(
        matches!(so_far(&world).progress, Progress::AtLab(_)),
        "packed, and not gone"
    );
    assert!(so_far(&world).is_packed);
    world.does(&tom(), picked_up("h2", &["final upper"], 1));
    assert!(!so_far(&world).is_packed);
    assert_eq!(
        so_far(&world).progress,
        Progress::SentBack(tuesday, thursday)
    );
    world.now_ms += DAY_MS;
    world.takes(&anna(), "h2", &["final upper"]);
    let here = Progress::Here(tuesday, day(&world));
    assert_eq!(so_far(&world).progress, here);
    // A correction of what has come back is no new work.
    let later = [
        Moment::new(MONDAY_MS, 60),
        Moment::new(world.now_ms + MINUTE_MS, 60),
    ];
    assert_eq!(so_far_signed(&world, &later).progress, here);
}

#[test]
fn a_try_in_that_came_back_is_one_round_and_what_is_ordered_next_another() {
    let mut world = at_the_lab();
    world.does(&tom(), registered("try-in upper", Lab, false));
    world.sends(&tom(), "h2", &["try-in upper"]);
    world.takes(&anna(), "h2", &["try-in upper"]);
    assert!(matches!(so_far(&world).progress, Progress::Here(..)));
    world.now_ms += DAY_MS;
    let signed = [Moment::new(MONDAY_MS, 60), Moment::new(world.now_ms, 60)];
    let next = so_far_signed(&world, &signed);
    assert_eq!((next.progress, furthest(&next)), (Progress::ToBeSent, None));
    world.sends(&anna(), "h3", &["try-in upper"]);
    world.takes(&tom(), "h3", &["try-in upper"]);
    let next = so_far_signed(&world, &signed);
    let Progress::AtLab((came, _)) = next.progress else {
        panic!("{next:?}");
    };
    assert_eq!((came, furthest(&next)), (day(&world), None));
}

#[test]
fn nothing_is_begun_before_it_is_ordered() {
    let world = at_the_lab();
    let signed = Moment::new(world.now_ms + 2 * DAY_MS, 60);
    let Progress::AtLab((came, _)) = so_far_signed(&world, &[signed]).progress else {
        panic!("at the lab");
    };
    assert_eq!(came, signed.date());
}

#[test]
fn what_waits_rests_until_the_day_that_the_word_counts_for() {
    let mut world = at_the_lab();
    let tuesday = day(&world);
    world.does(
        &tom(),
        What::Asked(Asked {
            matter: Matter::Unclear,
            from: Lab,
            section: None,
            line: None,
            item: None,
            step: None,
            revision: 1,
            text: "which height?".to_owned(),
            waits: true,
            picture: None,
        }),
    );
    let question = world.events.last().unwrap().id.clone();
    let open = Rest {
        from: tuesday,
        until: None,
    };
    let now = so_far(&world);
    assert_eq!(now.rests, [open]);
    assert_eq!(
        now.resting.map(|(why, _)| why),
        Some(Resting::Question(Office))
    );
    // Answered at 17:00 on Friday, an hour after the lab's: it counts for Monday.
    world.now_ms = MONDAY_MS + 4 * DAY_MS + 8 * 60 * MINUTE_MS;
    world.does(
        &dora(),
        What::Answered(Answered {
            question,
            text: "the lower one".to_owned(),
            taken_back: false,
            picture: None,
            revision_follows: false,
        }),
    );
    let answered = Rest {
        from: tuesday,
        until: Some(date!(2026 - 03 - 09)),
    };
    assert_eq!(so_far(&world).rests, [answered]);
    assert_eq!(so_far(&world).resting, None);
    // A pause, and its end.
    world.now_ms = MONDAY_MS + 7 * DAY_MS;
    let paused = What::Paused(Paused {
        reason: "the patient is ill".to_owned(),
        signed: under("dora"),
    });
    world.does(&dora(), paused);
    let now = so_far(&world);
    assert_eq!(
        now.resting.map(|(why, _)| why),
        Some(Resting::Halted(Halt::Paused))
    );
    assert_eq!(now.rests.len(), 2);
    world.now_ms += DAY_MS;
    let went_on = What::WentOn(WentOn {
        reason: "well again".to_owned(),
        signed: under("dora"),
    });
    world.does(&dora(), went_on);
    let rest = Rest {
        from: date!(2026 - 03 - 09),
        until: Some(date!(2026 - 03 - 10)),
    };
    assert!(so_far(&world).rests.contains(&rest));
    assert_eq!(so_far(&world).resting, None);
}

/// A question of the lab that the work waits for, answered by the office so many minutes after Monday 09:00 in Vienna.
fn answered_after(minutes: i64) -> World {
    let mut world = before();
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    let asked = Asked {
        matter: Matter::Unclear,
        from: Lab,
        section: None,
        line: None,
        item: None,
        step: None,
        revision: 1,
        text: "which height?".to_owned(),
        waits: true,
        picture: None,
    };
    world.does(&tom(), What::Asked(asked));
    let question = world.events.last().unwrap().id.clone();
    world.now_ms = MONDAY_MS + minutes * MINUTE_MS;
    let answer = Answered {
        question,
        text: "the lower one".to_owned(),
        taken_back: false,
        picture: None,
        revision_follows: false,
    };
    world.does(&dora(), What::Answered(answer));
    world
}

#[test]
fn an_hour_is_that_of_the_house_where_it_matters() {
    let signed = [Moment::new(MONDAY_MS, 60)];
    let monday = date!(2026 - 03 - 02);
    let rest = |world: &World, zone: &str| {
        let found = so_far_there(world, &signed, &[Arch::Upper], zone);
        (found.rests[0].from, found.rests[0].until)
    };
    // The office answers on Monday at 17:30 by its own clock: past 16:00 for a lab beside it, 11:30 for one in New York.
    let world = answered_after(8 * 60 + 30);
    assert_eq!(rest(&world, "vienna"), (monday, monday.next_day()));
    assert_eq!(rest(&world, "new york"), (monday, Some(monday)));
    // At 03:00 on Tuesday it is Monday evening there, past its hour: for Tuesday in both.
    let world = answered_after(18 * 60);
    for zone in ["vienna", "new york"] {
        assert_eq!(rest(&world, zone).1, monday.next_day(), "{zone}");
    }
    // The parcel that came on Tuesday at 03:00 by the office's clock came on Monday by the lab's.
    let mut world = before();
    world.sends(&anna(), "h1", &["bite"]);
    world.now_ms = MONDAY_MS + 18 * 60 * MINUTE_MS;
    world.takes(&tom(), "h1", &["bite"]);
    let Progress::AtLab((came, minutes)) =
        so_far_there(&world, &signed, &[Arch::Upper], "new york").progress
    else {
        panic!("at the lab");
    };
    assert_eq!((came, minutes), (monday, Some(21 * 60 + 1)));
}

#[test]
fn what_was_found_wrong_and_is_resolved_stays_no_day_of_the_lab() {
    let mut world = before();
    world.sends(&anna(), "h1", &["bite"]);
    world.now_ms += DAY_MS;
    let broken = found("bite", Outcome::Damaged, true);
    world.does(&tom(), received("h1", Lab, &[broken]));
    let tuesday = date!(2026 - 03 - 03);
    let open = Rest {
        from: tuesday,
        until: None,
    };
    assert_eq!(so_far(&world).rests, [open]);
    let hold = world.open_holds().remove(0);
    world.now_ms += 2 * DAY_MS;
    world.does(&dora(), resolution(&hold));
    let now = so_far(&world);
    let over = Rest {
        from: tuesday,
        until: Some(date!(2026 - 03 - 05)),
    };
    assert_eq!((now.rests, now.resting), (vec![over], None));
}

#[test]
fn each_arch_is_as_far_as_its_own_entries_say() {
    let mut world = World::bare(Arches::Both);
    world.does(&anna(), registered("bite", Office, false));
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    world.does(&tom(), registered("try-in upper", Lab, false));
    let monday = day(&world);
    world.now_ms += DAY_MS;
    world.does(&tom(), registered("final lower", Lab, false));
    let signed = [Moment::new(MONDAY_MS, 60)];
    let both = [Arch::Upper, Arch::Lower];
    let found = so_far_there(&world, &signed, &both, "vienna").finished;
    let upper = (Some(Arch::Upper), Some((Craft::SetUp, monday)));
    let lower = (Some(Arch::Lower), Some((Craft::Finish, day(&world))));
    assert_eq!(found, [upper, lower]);
}

#[test]
fn what_is_entered_at_the_bench_says_how_far_the_work_is() {
    let mut world = at_the_lab();
    assert!(!so_far(&world).is_written);
    let worked = |step: BenchStep| {
        What::Worked(Worked {
            step,
            arches: Arches::Upper,
            revision: 1,
            minutes: None,
            used: Vec::new(),
            avoided_why: String::new(),
            readings: Vec::new(),
            photographed: (step == BenchStep::Flasked).then_some(true),
            no_photo: String::new(),
            timed: Vec::new(),
            keep_until: None,
            mounting: None,
            picture: None,
            note: String::new(),
        })
    };
    world.does(&tom(), worked(BenchStep::CastPoured));
    let found = so_far(&world);
    assert!(found.is_written);
    assert_eq!(furthest(&found), Some((Craft::Pour, day(&world))));
    world.now_ms += DAY_MS;
    // In the flask it is set up, and not cured yet.
    world.does(&tom(), worked(BenchStep::SetUp));
    world.does(&tom(), worked(BenchStep::Flasked));
    let found = so_far(&world);
    assert_eq!(furthest(&found), Some((Craft::SetUp, day(&world))));
}

#[test]
fn what_is_done_for_an_earlier_revision_is_told_as_that_until_the_lab_has_said_whether_it_stands() {
    let mut world = at_the_lab();
    let worked = |step: BenchStep, revision: i64| {
        What::Worked(Worked {
            step,
            revision,
            ..Worked::sample(Arches::Upper)
        })
    };
    let carried = |again_from: Option<BenchStep>| {
        What::CarriedOver(CarriedOver {
            revision: 2,
            arches: Arches::Upper,
            again_from,
        })
    };
    // Nothing was done yet: there is nothing to say of it.
    world.expect(&tom(), &carried(None), &[(CustodyRule::Form, "")]);
    world.does(&tom(), worked(BenchStep::SetUp, 1));
    world.does(&tom(), worked(BenchStep::Finished, 1));
    world.does(&tom(), registered("final upper", Lab, false));
    let finished = day(&world);
    world.now_ms += DAY_MS;
    let signed = [MONDAY_MS, world.now_ms].map(|ms| Moment::new(ms, 60));
    let found = so_far_signed(&world, &signed[..1]);
    assert_eq!(
        (furthest(&found), found.done_for),
        (Some((Craft::Finish, finished)), None)
    );
    let found = so_far_signed(&world, &signed);
    assert_eq!(
        (furthest(&found), found.done_for),
        (Some((Craft::Finish, finished)), Some(1))
    );
    world.expect(&dora(), &carried(None), &[(CustodyRule::Right, "")]);
    let mut stands = world.clone();
    stands.does(&tom(), carried(None));
    let found = so_far_signed(&stands, &signed);
    assert_eq!(
        (furthest(&found), found.done_for),
        (Some((Craft::Finish, finished)), None)
    );
    // Flasked again: neither the entry nor the tag of the final says that it is finished.
    world.does(&tom(), carried(Some(BenchStep::Flasked)));
    let found = so_far_signed(&world, &signed);
    assert_eq!(
        (furthest(&found), found.done_for),
        (Some((Craft::SetUp, finished)), None)
    );
    world.does(&tom(), worked(BenchStep::Finished, 2));
    let found = so_far_signed(&world, &signed);
    assert_eq!(
        (furthest(&found), found.done_for),
        (Some((Craft::Finish, day(&world))), None)
    );
}

#[test]
fn what_was_sent_to_the_lab_in_error_and_came_back_begins_no_round() {
    let mut world = before();
    world.does(&dora(), registered("final upper", Office, false));
    let comes = |world: &mut World, id: &str, purpose| {
        world.does(&tom(), disinfected("final upper"));
        let mut back = released(id, &["final upper"], Lab);
        if let What::Released(one) = &mut back {
            one.purpose_code = Some(purpose);
        }
        world.does(&tom(), back);
        world.takes(&anna(), id, &["final upper"]);
    };
    world.sends(&anna(), "h1", &["final upper"]);
    world.takes(&tom(), "h1", &["final upper"]);
    comes(&mut world, "h2", Purpose::Finished);
    let here = so_far(&world).progress;
    assert!(matches!(here, Progress::Here(..)), "{here:?}");
    world.sends(&anna(), "h3", &["final upper"]);
    world.takes(&tom(), "h3", &["final upper"]);
    assert!(matches!(so_far(&world).progress, Progress::AtLab(_)));
    comes(&mut world, "h4", Purpose::Stray);
    assert_eq!(so_far(&world).progress, here);
}

#[test]
fn a_promised_revision_lets_the_work_rest_on() {
    let mut world = at_the_lab();
    let asked = Asked {
        matter: Matter::Unclear,
        from: Lab,
        section: None,
        line: None,
        item: None,
        step: None,
        revision: 1,
        text: "which height?".to_owned(),
        waits: true,
        picture: None,
    };
    world.does(&tom(), What::Asked(asked));
    let answer = Answered {
        question: world.events.last().unwrap().id.clone(),
        text: "the lower one".to_owned(),
        taken_back: false,
        picture: None,
        revision_follows: true,
    };
    world.does(&dora(), What::Answered(answer));
    let now = so_far(&world);
    assert_eq!(now.resting.map(|(why, _)| why), Some(Resting::Promised));
    assert_eq!(now.rests[0].until, None);
}
