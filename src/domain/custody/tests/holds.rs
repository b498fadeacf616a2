//! What is found wrong stops the work until the side that packed has resolved it by a signed statement: that
//! the receiver inspects, stops and reports, and that a flaw is corrected by a statement of the side that
//! made it, follows 49 CFR 40.83 and 40.199.

use super::*;
use crate::domain::custody::case;
use crate::domain::custody::{Stated, stated};
use CustodyRule::{A, F, Form, H, Held, I, Right};
use Side::{Lab, Office};

/// The bite record, the impression and the parts are at the lab, found so.
fn arrived(outcome: Outcome) -> World {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite", "impression"]);
    let items = [
        found("bite", outcome, outcome != Outcome::Missing),
        found("impression", Outcome::Sound, true),
    ];
    world.does(&tom(), received("h1", Lab, &items));
    world
}

#[test]
fn each_trouble_opens_a_hold_and_names_the_side_that_packed() {
    for (outcome, trouble, words) in [
        (
            Outcome::Damaged,
            Trouble::Damaged,
            "Bite record arrived damaged",
        ),
        (
            Outcome::NotAsDescribed,
            Trouble::NotAsDescribed,
            "Bite record is not as described",
        ),
        (
            Outcome::Missing,
            Trouble::Missing,
            "Bite record was missing from the parcel",
        ),
    ] {
        let world = arrived(outcome);
        let holds = world.open_holds();
        assert_eq!(holds.len(), 1);
        assert_eq!((holds[0].trouble, holds[0].side), (trouble, Office));
        assert_eq!(holds[0].words(&world.items), words);
        let standing = world.stands();
        assert_eq!(
            standing.held.map(|held| held.to_string()).as_deref(),
            Some(words)
        );
        let first = standing.waiting_for[0];
        assert_eq!((first.side, first.step), (Office, case::Step::Resolve));
    }
    assert_eq!(arrived(Outcome::Sound).open_holds(), []);
}

#[test]
fn what_was_never_packed_is_with_its_sender_again_and_goes_again() {
    let mut world = arrived(Outcome::Missing);
    let hold = world.open_holds().remove(0);
    let statement = not_packed(resolution(&hold));
    world.expect(&tom(), &statement, &[(Right, "")]);
    let wrong = Hold {
        trouble: Trouble::Damaged,
        ..hold.clone()
    };
    let of_another_trouble = not_packed(resolution(&wrong));
    world.expect(&dora(), &of_another_trouble, &[(Held, ""), (Form, "bite")]);
    world.does(&dora(), statement.clone());
    let bite = world.state("bite");
    assert_eq!((bite.holder, bite.missing), (Holder::Office, false));
    assert!(bite.answers.starts_with(&dora().name), "{}", bite.answers);
    assert!(bite.disinfected, "nobody has had it in hand since");
    assert_eq!(world.open_holds(), []);
    let handoff = handoffs(&world.events).remove(0);
    assert_eq!(
        handoff.state(),
        crate::domain::custody::handoff::HandoffState::Received
    );
    // Once only, and nobody receives it from that parcel any more.
    world.expect(&dora(), &statement, &[(F, ""), (Form, "bite")]);
    let late = found("bite", Outcome::Sound, true);
    let refusals = world.refusals(&mara(), &received("h1", Lab, &[late]));
    assert!(!refusals.is_empty());
    // Handed over again, it may be missing once more.
    world.sends(&anna(), "h2", &["bite"]);
    let again = found("bite", Outcome::Missing, false);
    world.does(&tom(), received("h2", Lab, &[again]));
    assert_eq!(world.open_holds().len(), 1);
}

#[test]
fn only_what_is_missing_was_left_unpacked() {
    let world = arrived(Outcome::Damaged);
    let hold = world.open_holds().remove(0);
    world.expect(&dora(), &resolution(&hold), &[]);
    let statement = not_packed(resolution(&hold));
    world.expect(&dora(), &statement, &[(Form, "bite")]);
}

#[test]
fn what_is_on_hold_is_not_used_and_the_rest_is() {
    let mut world = arrived(Outcome::Damaged);
    world.expect(&tom(), &used_up("bite", "the mounting"), &[(Held, "bite")]);
    world.expect(&tom(), &destroyed("bite", "useless"), &[(Held, "bite")]);
    world.expect(&tom(), &used_up("impression", "the upper cast"), &[]);
    // It is cleaned, put somewhere, and may go back.
    world.does(&tom(), disinfected("bite"));
    world.does(
        &tom(),
        What::Moved(Moved {
            tag: tag("bite"),
            to: "the shelf for questions".to_owned(),
        }),
    );
    world.expect(&tom(), &released("h2", &["bite"], Lab), &[]);
    world.resolves_all();
    world.expect(&tom(), &used_up("bite", "the mounting"), &[]);
}

#[test]
fn nothing_is_made_from_what_is_on_hold() {
    let made = |from: &str| match registered("try-in upper", Lab, false) {
        What::Registered(Registered {
            tag: own,
            place,
            worn,
            note,
            ..
        }) => What::Registered(Registered {
            tag: own,
            place,
            worn,
            note,
            pieces: None,
            made: Some(Made {
                from: vec![tag(from)],
                ..Made::default()
            }),
            due_back: None,
            file: None,
        }),
        other => other,
    };
    let mut world = arrived(Outcome::Damaged);
    world.expect(&tom(), &made("bite"), &[(Held, "bite")]);
    world.expect(&tom(), &made("impression"), &[]);
    world.resolves_all();
    world.expect(&tom(), &made("bite"), &[]);
}

#[test]
fn only_the_side_that_packed_resolves_once_and_with_reasons() {
    let mut world = arrived(Outcome::Damaged);
    let hold = world.open_holds().remove(0);
    world.expect(&dora(), &resolution(&hold), &[]);
    world.expect(&anna(), &resolution(&hold), &[]);
    world.expect(&tom(), &resolution(&hold), &[(Right, "")]);
    let with = |reason: &str, done: &str| match resolution(&hold) {
        What::Resolved(Resolved {
            hold,
            trouble,
            tag,
            signed,
            ..
        }) => What::Resolved(Resolved {
            hold,
            trouble,
            tag,
            signed,
            reason: reason.to_owned(),
            done: done.to_owned(),
            not_packed: false,
        }),
        other => other,
    };
    world.expect(&dora(), &with(" ", "a new one"), &[(Form, "")]);
    world.expect(&dora(), &with("packed loose", ""), &[(Form, "")]);
    let other = Hold {
        tag: Some(tag("impression")),
        ..hold.clone()
    };
    world.expect(&dora(), &resolution(&other), &[(Held, "")]);
    let none = Hold {
        id: "event 0.1".into(),
        ..hold.clone()
    };
    world.expect(&dora(), &resolution(&none), &[(Held, "")]);
    let before = hold.since.unix_ms - 1;
    assert_eq!(
        world.refusals_at(&dora(), &resolution(&hold), before),
        [(I, "")]
    );
    world.does(&dora(), resolution(&hold));
    world.expect(&dora(), &resolution(&hold), &[(F, "")]);
    assert_eq!(
        holds(&world.events)[0].ended,
        Some(Ended::Resolved(world.events.last().unwrap().id.clone()))
    );
}

#[test]
fn the_lab_resolves_what_it_packed() {
    let mut world = World::begun();
    world.sends(&tom(), "h1", &["final upper"]);
    let items = [found("final upper", Outcome::Damaged, true)];
    world.does(&anna(), received("h1", Office, &items));
    let hold = world.open_holds().remove(0);
    assert_eq!(hold.side, Lab);
    world.expect(&dora(), &resolution(&hold), &[(Right, "")]);
    let fit = fitted("final upper", Some("provisional upper"));
    world.expect(&dora(), &fit, &[(Held, "final upper")]);
    // Where the arch is empty, teeth come before papers.
    let out = What::TakenOut(TakenOut {
        tag: tag("provisional upper"),
        exception: signed("broken in the mouth"),
    });
    world.does(&dora(), out);
    world.expect(&dora(), &fitted("final upper", None), &[]);
    world.does(&tom(), resolution(&hold));
    assert_eq!(world.open_holds(), []);
}

#[test]
fn a_missing_thing_that_turns_up_or_is_written_off_ends_its_hold() {
    let mut world = arrived(Outcome::Missing);
    world.takes(&mara(), "h1", &["bite"]);
    assert_eq!(holds(&world.events)[0].ended, Some(Ended::TurnedUp));

    let mut world = arrived(Outcome::Missing);
    world.does(&anna(), written_off("bite", "looked for everywhere"));
    assert_eq!(holds(&world.events)[0].ended, Some(Ended::WrittenOff));

    // Reported twice it is held once; and what was resolved stays resolved.
    let mut world = arrived(Outcome::Missing);
    let again = received("h1", Lab, &[found("bite", Outcome::Missing, false)]);
    world.does(&mara(), again.clone());
    assert_eq!(world.open_holds().len(), 1);
    world.resolves_all();
    world.does(&mara(), again);
    assert_eq!(world.open_holds(), []);
}

#[test]
fn pieces_are_counted_out_and_in() {
    let out = |pieces| match released("h1", &["parts"], Office) {
        What::Released(one) => What::Released(Released {
            items: vec![Sent {
                pieces: Some(pieces),
                ..sent("parts")
            }],
            ..one
        }),
        other => other,
    };
    let back = |pieces| {
        let one = Found {
            pieces: Some(pieces),
            ..found("parts", Outcome::Sound, true)
        };
        received("h1", Lab, &[one])
    };
    for (sent, counted, troubles) in [
        (4, 4, vec![]),
        (4, 3, vec!["Implant parts: 4 pieces sent, 3 found"]),
        (4, 5, vec!["Implant parts: 4 pieces sent, 5 found"]),
        (3, 3, vec!["Implant parts: 4 pieces before, 3 counted out"]),
    ] {
        let mut world = World::begun();
        world.does(&anna(), disinfected("parts"));
        world.does(&anna(), out(sent));
        world.does(&tom(), back(counted));
        let words: Vec<String> = world
            .open_holds()
            .iter()
            .map(|hold| hold.words(&world.items))
            .collect();
        assert_eq!(words, troubles);
        let listed = world.stands().held;
        let listed: Vec<String> = listed
            .iter()
            .flat_map(|held| held.reasons.iter().map(|one| one.to_string()))
            .collect();
        assert_eq!(listed, troubles);
        assert_eq!(world.state("parts").pieces, Some(counted));
        let use_up = used_up("parts", "the final upper");
        let held: Vec<_> = troubles.iter().map(|_| (Held, "parts")).collect();
        world.expect(&tom(), &use_up, &held);
    }
}

#[test]
fn a_thing_that_was_not_announced_holds_the_case_and_no_item() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite"]);
    let more = match received("h1", Lab, &[found("bite", Outcome::Sound, true)]) {
        What::Received(Received {
            handoff,
            place,
            items,
            parcels,
            ..
        }) => What::Received(Received {
            handoff,
            place,
            items,
            parcels,
            unannounced: "a tray with a stranger's impression".to_owned(),
            foreign: "T12-345-67X".to_owned(),
            no_pick_up: false,
        }),
        other => other,
    };
    world.does(&tom(), more);
    let hold = world.open_holds().remove(0);
    assert_eq!(hold.trouble, Trouble::Unannounced);
    assert_eq!(
        hold.detail,
        "T12-345-67X: a tray with a stranger's impression"
    );
    world.expect(&tom(), &used_up("bite", "the mounting"), &[]);
    world.resolves_all();
    assert_eq!(world.open_holds(), []);
}

#[test]
fn a_mark_of_disinfection_is_the_receivers_matter_and_no_statement_ends_it() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite"]);
    world.does(
        &tom(),
        received("h1", Lab, &[found("bite", Outcome::Sound, false)]),
    );
    assert_eq!(world.open_holds(), []);
    world.expect(&tom(), &used_up("bite", "the mounting"), &[(H, "bite")]);
    world.expect(&anna(), &disinfected("bite"), &[(A, "bite")]);
}

/// Common practice, no source: who works with a flawed thing goes by what its sender has signed of it.
#[test]
fn the_statement_on_a_flawed_thing_stands_until_it_is_set_right_or_goes_on_its_way_again() {
    for outcome in [Outcome::Damaged, Outcome::NotAsDescribed] {
        let mut world = arrived(outcome);
        let said = |world: &World| {
            let case = world.case_state();
            let all = stated(&case, &world.events);
            let words = |one: &Stated<'_>| (name(one.tag), one.done.to_owned());
            all.iter().map(words).collect::<Vec<_>>()
        };
        assert_eq!(said(&world), []);
        let hold = world.open_holds().remove(0);
        world.does(&dora(), resolution(&hold));
        let What::Resolved(statement) = resolution(&hold) else {
            panic!("a statement");
        };
        assert_eq!(said(&world), [("bite", statement.done)]);
        world.sends(&tom(), "h2", &["bite"]);
        assert_eq!(said(&world), []);
    }
    // What is missing is not there to be worked with.
    let mut world = arrived(Outcome::Missing);
    let hold = world.open_holds().remove(0);
    world.does(&dora(), resolution(&hold));
    assert!(stated(&world.case_state(), &world.events).is_empty());
}
