//! Releases in several parcels, receipts of some of them, seals against seals, and handoffs taken back.

use super::*;
use crate::domain::custody::handoff::HandoffState;
use crate::domain::values::ids::HandoffId;
use CustodyRule::{A, F, Form, Right};
use Side::{Lab, Office};

/// A release of things, each in the parcel of this number, the parcels with these seals.
fn boxed(handoff: &str, things: &[(&str, u32)], seals: &[&str]) -> What {
    let items = things.iter().map(|&(thing, parcel)| Sent {
        parcel,
        ..sent(thing)
    });
    What::Released(Released {
        carrier: "the office's driver".to_owned(),
        parcels: seals
            .iter()
            .map(|seal| Parcel {
                seal: (*seal).to_owned(),
                ..Parcel::default()
            })
            .collect(),
        ..Released::of(HandoffId::new(handoff), items.collect(), Office)
    })
}

fn opened(things: &[&str], parcels: &[(u32, SealFound, &str)]) -> What {
    let items: Vec<Found> = things
        .iter()
        .map(|thing| found(thing, Outcome::Sound, true))
        .collect();
    match received("h1", Lab, &items) {
        What::Received(Received {
            handoff,
            place,
            items,
            unannounced,
            foreign,
            ..
        }) => What::Received(Received {
            handoff,
            place,
            items,
            unannounced,
            foreign,
            parcels: parcels
                .iter()
                .map(|&(parcel, seal, number)| ParcelFound {
                    parcel,
                    seal,
                    number: number.to_owned(),
                })
                .collect(),
            no_pick_up: false,
        }),
        other => other,
    }
}

fn clean() -> World {
    let mut world = World::begun();
    for thing in ["bite", "facebow", "impression"] {
        world.does(&anna(), disinfected(thing));
    }
    world
}

#[test]
fn every_item_lies_in_a_box_and_no_box_is_empty() {
    let world = clean();
    let two = [("bite", 1), ("facebow", 2)];
    world.expect(&anna(), &boxed("h1", &two, &["A-1", ""]), &[]);
    world.expect(&anna(), &boxed("h1", &two, &["A-1"]), &[(Form, "facebow")]);
    world.expect(
        &anna(),
        &boxed("h1", &[("bite", 1), ("facebow", 1)], &["A-1", "A-2"]),
        &[(Form, "")],
    );
    world.expect(&anna(), &boxed("h1", &[("bite", 0)], &[]), &[]);
}

#[test]
fn a_box_may_come_later_than_the_other() {
    let mut world = clean();
    let three = [("bite", 1), ("facebow", 2), ("impression", 2)];
    world.does(&anna(), boxed("h1", &three, &["", ""]));
    let first = [(1, SealFound::None, ""), (2, SealFound::NotHere, "")];
    // What lies in a parcel that is not here cannot be found, and what lies in one that is must be told.
    world.expect(
        &tom(),
        &opened(&["bite", "facebow"], &first),
        &[(Form, "facebow")],
    );
    world.expect(&tom(), &opened(&[], &first), &[(Form, "bite")]);
    world.expect(&tom(), &opened(&["bite"], &first[..1]), &[(Form, "")]);
    let none = [(1, SealFound::NotHere, ""), (2, SealFound::NotHere, "")];
    world.expect(&tom(), &opened(&[], &none), &[(Form, "")]);
    world.does(&tom(), opened(&["bite"], &first));

    let waiting = handoffs(&world.events);
    assert_eq!(waiting[0].state(), HandoffState::PartReceived);
    assert_eq!(waiting[0].waiting(), [2]);
    assert_eq!(world.state("bite").holder, Holder::Lab);
    assert_eq!(world.state("facebow").holder, Holder::Carrier { to: Lab });
    // Nothing is wrong: it is on its way.
    assert_eq!(world.open_holds(), []);
    let standing = world.stands();
    assert_eq!(
        standing.places[0],
        crate::domain::custody::case::Place::OnTheWay
    );

    let second = [(2, SealFound::None, "")];
    // Parcel 1 is not opened twice.
    let twice = [(1, SealFound::None, ""), (2, SealFound::None, "")];
    let rest = ["facebow", "impression"];
    world.expect(&mara(), &opened(&rest, &twice), &[(Form, "")]);
    world.does(&mara(), opened(&rest, &second));
    let handoffs = handoffs(&world.events);
    assert_eq!(handoffs[0].state(), HandoffState::Received);
    assert_eq!(handoffs[0].waiting(), Vec::<u32>::new());
}

/// A broken seal, or one with another number, is a fatal flaw of a chain of custody: 49 CFR 40.199(b)(6).
#[test]
fn a_seal_is_compared_with_the_one_that_was_sent() {
    let table = [
        ("A-17", SealFound::Intact, "A-17", None),
        ("A-17", SealFound::Intact, "a 17", None),
        ("A-17", SealFound::Intact, "A-71", Some(Trouble::OtherSeal)),
        ("A-17", SealFound::Intact, "", Some(Trouble::OtherSeal)),
        ("A-17", SealFound::Broken, "A-17", Some(Trouble::SealBroken)),
        ("A-17", SealFound::None, "", Some(Trouble::NoSeal)),
        ("A-17", SealFound::NotHere, "", None),
        ("", SealFound::None, "", None),
        ("", SealFound::Intact, "B-2", Some(Trouble::OtherSeal)),
        ("", SealFound::Broken, "", Some(Trouble::SealBroken)),
        (" - ", SealFound::None, "", None),
    ];
    for (sent, found, read, trouble) in table {
        assert_eq!(
            seal_trouble(sent, found, read),
            trouble,
            "{sent} {found:?} {read}"
        );
    }
}

#[test]
fn what_came_in_a_box_with_a_wrong_seal_waits_and_the_other_box_does_not() {
    let mut world = clean();
    let things = [("bite", 1), ("impression", 2)];
    world.does(&anna(), boxed("h1", &things, &["A-1", "A-2"]));
    let parcels = [(1, SealFound::Broken, "A-1"), (2, SealFound::Intact, "A-2")];
    world.does(&tom(), opened(&["bite", "impression"], &parcels));
    world.expect(
        &tom(),
        &used_up("bite", "the mounting"),
        &[(CustodyRule::Held, "bite")],
    );
    world.expect(&tom(), &used_up("impression", "the upper cast"), &[]);
    let hold = world.open_holds().remove(0);
    assert_eq!((hold.side, hold.parcel), (Office, 1));
    assert_eq!(hold.words(&world.items), "The seal of parcel 1 was broken");
    world.resolves_all();
    world.expect(&tom(), &used_up("bite", "the mounting"), &[]);
}

#[test]
fn a_handoff_that_never_left_is_taken_back_by_its_side() {
    let back = |items: &[&str], reason: &str| {
        What::Voided(Voided {
            handoff: HandoffId::new("h1"),
            items: items.iter().map(|thing| tag(thing)).collect(),
            reason: reason.to_owned(),
            signed: under("anna"),
            brought_back: Some(false),
        })
    };
    let both = ["bite", "facebow"];
    let why = "the courier did not come";
    let mut world = clean();
    world.expect(
        &anna(),
        &back(&both, why),
        &[(Form, ""), (A, "bite"), (A, "facebow")],
    );
    world.does(&anna(), released("h1", &both, Office));
    world.expect(&dora(), &back(&both, why), &[]);
    world.expect(&anna(), &back(&both, " "), &[(Form, "")]);
    world.expect(&anna(), &back(&["bite"], why), &[(Form, "")]);
    world.expect(
        &tom(),
        &back(&both, why),
        &[(Right, ""), (A, "bite"), (A, "facebow")],
    );
    world.does(&anna(), back(&both, why));
    assert_eq!(handoffs(&world.events)[0].state(), HandoffState::Voided);
    assert_eq!(world.state("bite").holder, Holder::Office);
    assert_eq!(world.state("bite").handoff, None);
    assert_eq!(balance(&world.events), Balance::default());
    assert_eq!(
        handlers(&world.case_state(), &world.events, &tag("bite")).handoffs,
        0
    );
    // It never left, so its disinfection still holds, and it may leave again.
    world.expect(&anna(), &released("h2", &both, Office), &[]);
    // Nobody receives what was taken back, and nothing is taken back twice.
    let items = both.map(|thing| found(thing, Outcome::Sound, true));
    world.expect(
        &tom(),
        &received("h1", Lab, &items),
        &[
            (F, ""),
            (Form, "bite"),
            (Form, "facebow"),
            (A, "bite"),
            (A, "facebow"),
        ],
    );
    world.expect(
        &anna(),
        &back(&both, why),
        &[(F, ""), (A, "bite"), (A, "facebow")],
    );
}

#[test]
fn what_was_received_is_not_taken_back() {
    let mut world = clean();
    world.does(&anna(), released("h1", &["bite", "facebow"], Office));
    world.does(
        &tom(),
        received(
            "h1",
            Lab,
            &[
                found("bite", Outcome::Sound, true),
                found("facebow", Outcome::Missing, false),
            ],
        ),
    );
    let back = What::Voided(Voided {
        handoff: HandoffId::new("h1"),
        items: vec![tag("bite"), tag("facebow")],
        reason: "it is still here".to_owned(),
        signed: under("anna"),
        brought_back: None,
    });
    world.expect(&anna(), &back, &[(F, ""), (A, "bite")]);
}

#[test]
fn a_parcel_that_the_carrier_brings_back_is_taken_back_after_the_other_has_come() {
    let mut world = clean();
    let three = [("bite", 1), ("facebow", 2), ("impression", 2)];
    world.does(&anna(), boxed("h1", &three, &["", ""]));
    let back = |things: &[&str], brought_back| {
        What::Voided(Voided {
            handoff: HandoffId::new("h1"),
            items: things.iter().map(|thing| tag(thing)).collect(),
            reason: "the courier found the door shut".to_owned(),
            signed: under("anna"),
            brought_back: Some(brought_back),
        })
    };
    let second = ["facebow", "impression"];
    let first = [(1, SealFound::None, ""), (2, SealFound::NotHere, "")];
    world.does(&tom(), opened(&["bite"], &first));
    let whole = ["bite", "facebow", "impression"];
    world.expect(&anna(), &back(&whole, true), &[(Form, ""), (A, "bite")]);
    world.expect(&anna(), &back(&second[..1], true), &[(Form, "")]);
    // It has left: that it never did would be untrue.
    world.expect(&anna(), &back(&second, false), &[(Form, "")]);
    let offered = |world: &World, by: &Actor| {
        let (case, at) = (
            world.case_state(),
            Moment::new(world.now_ms + MINUTE_MS, 60),
        );
        let offers = Offers::new(world.context(), &case, by, at);
        offers.has(CaseStep::TakeBack(&case.handoffs[0]))
    };
    assert!(offered(&world, &anna()) && !offered(&world, &tom()));
    world.does(&anna(), back(&second, true));
    for thing in second {
        assert_eq!(world.state(thing).holder, Holder::Office, "{thing}");
    }
    assert_eq!(world.state("bite").holder, Holder::Lab);
    let handoff = &handoffs(&world.events)[0];
    assert_eq!(handoff.state(), HandoffState::Received);
    assert!(handoff.waiting().is_empty() && handoff.outstanding().is_empty());
    // Nothing is awaited any more, and it may be packed again.
    assert!(!offered(&world, &anna()));
    let late = opened(&["facebow", "impression"], &[(2, SealFound::None, "")]);
    assert!(!world.refusals(&tom(), &late).is_empty());
    world.expect(&anna(), &released("h2", &second, Office), &[]);
}
