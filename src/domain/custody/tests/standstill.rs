//! Work that is stopped, paused or cancelled.

use super::super::emptied::{last_dentures, without_teeth};
use super::*;
use CustodyRule::{F, Form, Right, Stopped as Halted};
use Side::Lab;

pub(super) fn stopped(reason: &str) -> What {
    What::Stopped(Stopped {
        reason: reason.to_owned(),
        signed: under("dora"),
    })
}

pub(super) fn paused() -> What {
    What::Paused(Paused {
        reason: "the patient is ill".to_owned(),
        signed: under("dora"),
    })
}

pub(super) fn went_on() -> What {
    What::WentOn(WentOn {
        reason: "the patient is well again".to_owned(),
        signed: under("dora"),
    })
}

pub(super) fn cancelled(fates: &[(&str, Fate)]) -> What {
    let fated = |&(thing, fate): &(&str, Fate)| Fated {
        tag: tag(thing),
        fate,
        consent: (fate == Fate::Scrapped).then_some(true),
    };
    What::Cancelled(Cancelled {
        reason: "another treatment is chosen".to_owned(),
        items: fates.iter().map(fated).collect(),
        signed: under("dora"),
    })
}

pub(super) fn heeded(world: &World) -> What {
    let halt = world.case_state().standstill.unwrap();
    What::Heeded(Heeded { event: halt.event })
}

/// Bite and facebow are at the lab, with the finals that were made there.
fn at_the_lab() -> World {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    world.takes(&tom(), "h1", &["bite", "facebow"]);
    for thing in ["bite", "facebow", "final upper"] {
        world.does(&tom(), disinfected(thing));
    }
    world
}

#[test]
fn c5_what_is_stopped_is_neither_made_nor_delivered_and_things_go_back() {
    let mut world = at_the_lab();
    let made = || registered("try-in upper", Lab, false);
    let stray = registered("old upper", Lab, false);
    let delivered = || released("h2", &["final upper"], Lab);
    world.expect(&tom(), &made(), &[]);
    world.expect(&anna(), &stopped("too long"), &[(Right, "")]);
    world.expect(&tom(), &stopped("too long"), &[(Right, "")]);
    world.expect(&dora(), &stopped(" "), &[(Form, "")]);
    world.does(&dora(), stopped("the bite is wrong"));
    world.expect(&dora(), &stopped("again"), &[(Halted, "")]);
    world.expect(&tom(), &made(), &[(Halted, "")]);
    world.expect(&tom(), &delivered(), &[(Halted, "")]);
    world.expect(&tom(), &used_up("bite", "a cast"), &[(Halted, "")]);
    assert!(
        world
            .refusals(&tom(), &stray)
            .iter()
            .all(|one| one.0 != Halted)
    );
    world.expect(&tom(), &released("h2", &["bite", "facebow"], Lab), &[]);
    world.does(&tom(), heeded(&world));
    world.expect(&mara(), &heeded(&world), &[(F, "")]);
    world.expect(&anna(), &went_on(), &[(Right, "")]);
    world.does(&dora(), went_on());
    world.expect(&tom(), &made(), &[]);
    world.expect(&tom(), &delivered(), &[]);
    world.expect(&dora(), &went_on(), &[(Halted, "")]);
}

#[test]
fn a_step_of_the_bench_that_was_done_before_the_work_stood_still_is_told_later_and_no_other_work() {
    let mut world = at_the_lab();
    let step = || {
        What::Worked(Worked {
            step: BenchStep::Mounted,
            ..Worked::sample(Arches::Both)
        })
    };
    let made = || registered("try-in upper", Lab, false);
    let at = |world: &World, minutes: i64| Moment::new(world.now_ms + minutes * MINUTE_MS, 60);
    let before = at(&world, 0);
    world.does(&dora(), paused());
    let (first, between) = (at(&world, 0), at(&world, 1));
    world.now_ms += MINUTE_MS;
    world.does(&dora(), stopped("the bite is wrong"));
    let rules = |world: &World, what: &What, at: Moment| {
        let now = Moment::new(world.now_ms + MINUTE_MS, 60);
        let found = allow_entered(&world.context(), what, &tom(), at, now);
        found.into_iter().map(|one| one.rule).collect::<Vec<_>>()
    };
    assert_eq!(rules(&world, &step(), before), []);
    // A pause that became a stop has been a standstill from its first moment on.
    for at in [first, between, at(&world, 1)] {
        assert_eq!(rules(&world, &step(), at), [Halted], "{at}");
    }
    assert!(rules(&world, &made(), before).contains(&Halted));
    world.does(&dora(), went_on());
    world.does(&dora(), stopped("once more"));
    assert_eq!(rules(&world, &step(), between), []);
}

#[test]
fn c5_whom_a_standstill_waits_for() {
    let mut world = at_the_lab();
    let tasks = |world: &World| {
        let waiting = world.stands().waiting_for;
        waiting
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<String>>()
    };
    let heed = "the lab: acknowledge that the work stands still";
    world.does(&dora(), paused());
    assert_eq!(
        tasks(&world),
        [heed, "the office: say whether the work goes on"]
    );
    world.does(&mara(), heeded(&world));
    assert_eq!(tasks(&world), ["the office: say whether the work goes on"]);
    // A pause can become a stop, of which the lab takes notice again.
    world.does(&dora(), stopped("it will not do"));
    assert_eq!(tasks(&world)[0], heed);
}

#[test]
fn c5_a_cancellation_says_of_each_thing_what_becomes_of_it() {
    use Fate::{ComesBack, Scrapped, Stays};
    let mut world = at_the_lab();
    let fates = [
        ("bite", Scrapped),
        ("facebow", ComesBack),
        ("cast upper", Stays),
        ("final upper", ComesBack),
        ("final lower", Scrapped),
    ];
    let in_order = |mut fates: Vec<(&'static str, Fate)>| {
        let place = |thing: &str| THINGS.iter().position(|one| one.0 == thing);
        fates.sort_by_key(|(thing, _)| place(thing));
        fates
    };
    let fates = in_order(fates.to_vec());
    world.expect(&dora(), &cancelled(&fates[1..]), &[(Form, "")]);
    world.does(&dora(), cancelled(&fates));
    world.expect(&dora(), &stopped("late"), &[(Halted, "")]);
    // What is to come back goes, what is scrapped does not, and nothing more is made.
    world.expect(&tom(), &released("h2", &["final upper"], Lab), &[]);
    world.does(&tom(), disinfected("final lower"));
    world.expect(
        &tom(),
        &released("h2", &["final lower"], Lab),
        &[(Halted, "")],
    );
    world.does(&tom(), destroyed("final lower", "as was said"));
    world.does(&tom(), destroyed("bite", "as was said"));
    world.does(&tom(), heeded(&world));
    world.sends(&tom(), "h2", &["facebow", "final upper"]);
    // What is under way is received before anything is closed.
    let words = |world: &World| -> Vec<String> {
        let waiting = world.stands().waiting_for;
        waiting.iter().map(ToString::to_string).collect()
    };
    assert_eq!(words(&world), ["the office: check in the parcel"]);
    // The cast that stays stands against no closing.
    world.takes(&anna(), "h2", &["facebow", "final upper"]);
    let close = "the office: close the canceled case".to_owned();
    assert!(words(&world).contains(&close), "{:?}", words(&world));
    let undecided = dispositions(&world.context().scope(), &world.case_state()).unwrap_err();
    assert!(
        undecided.iter().all(|one| !one.contains("Master cast")),
        "{undecided:?}"
    );
}

#[test]
fn c5_what_is_the_patients_does_not_stay_at_the_lab() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("parts"));
    world.does(&anna(), released("h1", &["parts"], Side::Office));
    world.takes(&tom(), "h1", &["parts"]);
    let fates = |parts| {
        vec![
            ("final upper", Fate::Stays),
            ("final lower", Fate::Stays),
            ("cast upper", Fate::Stays),
            ("parts", parts),
        ]
    };
    world.expect(&dora(), &cancelled(&fates(Fate::Stays)), &[(Form, "parts")]);
    world.expect(&dora(), &cancelled(&fates(Fate::ComesBack)), &[]);
}

#[test]
fn nothing_lent_is_destroyed_and_of_the_patients_own_the_consent_is_said_with_the_order() {
    let mut world = at_the_lab();
    world.sends(&anna(), "h5", &["parts"]);
    let order = |fate, consent| {
        let fated = |thing: &str| Fated {
            tag: tag(thing),
            fate: if thing == "parts" {
                fate
            } else {
                Fate::ComesBack
            },
            consent: (thing == "parts").then_some(consent).flatten(),
        };
        let away = [
            "bite",
            "facebow",
            "parts",
            "final upper",
            "final lower",
            "cast upper",
        ];
        let mut items: Vec<Fated> = away.iter().map(|thing| fated(thing)).collect();
        let asked = away_from_the_office(&world.context().scope(), &world.case_state());
        items.sort_by_key(|one| asked.iter().position(|tag| *tag == one.tag));
        What::Cancelled(Cancelled {
            reason: "another treatment is chosen".to_owned(),
            items,
            signed: under("dora"),
        })
    };
    let scrapped = Fate::Scrapped;
    world.expect(&dora(), &order(scrapped, Some(false)), &[(Form, "parts")]);
    world.expect(&dora(), &order(scrapped, Some(true)), &[]);
    // An entry from before consent was asked stands.
    world.expect(&dora(), &order(scrapped, None), &[]);
    let mut lent = order(Fate::ComesBack, None);
    if let What::Cancelled(Cancelled { items, .. }) = &mut lent {
        for one in items.iter_mut().filter(|one| one.tag == tag("facebow")) {
            (one.fate, one.consent) = (scrapped, Some(true));
        }
    }
    world.expect(&dora(), &lent, &[(Form, "facebow")]);
}

#[test]
fn what_is_lent_and_stays_with_the_lab_is_due_back_no_more() {
    let mut world = at_the_lab();
    let mut ordered = Ordered::default();
    let day = Moment::new(world.now_ms, 60).date();
    ordered.wanted_back.insert(tag("facebow"), day);
    let due = |world: &World| overdue(&world.items, &world.case_state(), &ordered, day).len();
    assert_eq!(due(&world), 1);
    let fates = [
        ("final upper", Fate::Stays),
        ("final lower", Fate::Stays),
        ("bite", Fate::ComesBack),
        ("facebow", Fate::Stays),
        ("cast upper", Fate::Stays),
    ];
    world.does(&dora(), cancelled(&fates));
    assert_eq!(due(&world), 0);
}

/// Common practice, no source: nothing that is made fills it any more.
#[test]
fn c5_an_arch_that_stands_empty_goes_first_in_cancelled_work_until_it_is_filled() {
    let mut world = World::begun();
    let out = What::TakenOut(TakenOut {
        tag: tag("provisional upper"),
        exception: signed("a sore"),
    });
    world.does(&dora(), out);
    let fates = ["final upper", "final lower", "cast upper"].map(|thing| (thing, Fate::Stays));
    world.does(&dora(), cancelled(&fates));
    let first = |world: &World| world.stands().waiting_for.first().map(ToString::to_string);
    let teeth = "the office: see that the patient has teeth";
    assert_eq!(first(&world).as_deref(), Some(teeth));
    // Each arch asks before the last sound denture of it ends, and no other does.
    let state = world.case_state();
    let empty = without_teeth(&world.items, &state, Arches::Both.treated(), &[]);
    let all = ["provisional upper", "duplicate upper", "final upper"];
    for (ends, is_last) in [
        (&all[..1], false),
        (&all[1..], false),
        (&all[..], true),
        (
            &["provisional lower", "duplicate lower", "final lower"],
            false,
        ),
        (&["bite"], false),
    ] {
        let tags: Vec<Tag> = ends.iter().map(|thing| tag(thing)).collect();
        let last = last_dentures(&world.items, &empty, (&state, &tags));
        let arches: Vec<Arch> = last.iter().map(|(arch, _)| *arch).collect();
        let expected: &[Arch] = if is_last { &[Arch::Upper] } else { &[] };
        assert_eq!(arches, expected, "{ends:?}");
    }
    world.does(&anna(), disinfected("provisional upper"));
    world.does(&dora(), fitted("provisional upper", None));
    assert_ne!(first(&world).as_deref(), Some(teeth));
}
