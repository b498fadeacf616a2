//! The carrier's hand at the door: what is packed waits for it, and its sender answers for it until then.

use super::*;
use crate::domain::custody::handoff::HandoffState;
use crate::domain::values::ids::HandoffId;
use CustodyRule::{A, F, Form, H, I, Packed, Right};
use Side::{Lab, Office};

const BOTH: [&str; 2] = ["bite", "facebow"];

/// The bite and the facebow are disinfected and packed at the office, and wait for the carrier.
fn waiting() -> World {
    let mut world = World::begun();
    for thing in BOTH {
        world.does(&anna(), disinfected(thing));
    }
    world.does(&anna(), packed("h1", &BOTH, Office));
    world
}

fn back_as(handoff: &str, things: &[&str], brought_back: Option<bool>) -> What {
    What::Voided(Voided {
        handoff: HandoffId::new(handoff),
        items: things.iter().map(|thing| tag(thing)).collect(),
        reason: "the courier did not come".to_owned(),
        signed: under("anna"),
        brought_back,
    })
}

fn back(handoff: &str, things: &[&str]) -> What {
    back_as(handoff, things, Some(false))
}

fn moved(thing: &str) -> What {
    What::Moved(Moved {
        tag: tag(thing),
        to: "the shelf".to_owned(),
    })
}

fn handoff(world: &World) -> handoff::Handoff {
    handoffs(&world.events).remove(0)
}

#[test]
fn what_is_packed_stays_with_its_sender_until_it_is_picked_up() {
    let mut world = waiting();
    assert_eq!(handoff(&world).state(), HandoffState::Packed);
    let bite = world.state("bite");
    assert_eq!((bite.holder, bite.packed), (Holder::Office, true));
    assert_eq!(bite.handoff.as_deref(), Some("h1"));
    assert_eq!(bite.answers, "anna, northgate");
    // Nothing has gone through a carrier's hands, and nothing is owed.
    let hands = |world: &World| handlers(&world.case_state(), &world.events, &tag("bite"));
    assert_eq!(hands(&world).handoffs, 0);
    assert_eq!(balance(&world.events), Balance::default());

    world.does(&dora(), picked_up("h1", &BOTH, 1));
    assert_eq!(handoff(&world).state(), HandoffState::OnTheWay);
    let bite = world.state("bite");
    assert_eq!(
        (bite.holder, bite.packed),
        (Holder::Carrier { to: Lab }, false)
    );
    assert_eq!(
        bite.answers,
        "the office's driver, handed over by dora, northgate"
    );
    let pick_up = handoff(&world).picked_up.unwrap();
    assert_eq!(
        (pick_up.person.as_str(), pick_up.handed_out_by.as_str()),
        ("R. K.", "dora, northgate")
    );
    assert_eq!(hands(&world).handoffs, 1);
    assert_eq!(balance(&world.events).owed.len(), 2);

    world.takes(&tom(), "h1", &BOTH);
    assert_eq!(handoff(&world).state(), HandoffState::Received);
    assert_eq!(world.state("bite").answers, "tom, kiln");
}

#[test]
fn whoever_else_handed_it_out_is_named() {
    let mut world = waiting();
    let mut what = picked_up("h1", &BOTH, 1);
    if let What::PickedUp(PickedUp { handed_out_by, .. }) = &mut what {
        "the front desk".clone_into(handed_out_by);
    }
    world.does(&anna(), what);
    assert_eq!(
        world.state("bite").answers,
        "the office's driver, handed over by the front desk, northgate"
    );
    let described = describe(&world.items, world.events.last().unwrap());
    assert_eq!(described.what, "Picked up by the carrier");
    for words in ["Taken by R. K., 1 parcel", "Handed out by the front desk"] {
        assert!(
            described.details.iter().any(|one| one == words),
            "{described:?}"
        );
    }
}

#[test]
fn nothing_is_done_with_what_is_packed_before_the_parcel_is_taken_back() {
    let mut world = waiting();
    let packed_bite = &[(Packed, "bite")][..];
    let steps = [
        released("h2", &["bite"], Office),
        packed("h2", &["bite"], Office),
        disinfected("bite"),
        moved("bite"),
        used_up("bite", "the mounting"),
        destroyed("bite", "as agreed"),
    ];
    for what in &steps {
        world.expect(&anna(), what, packed_bite);
        // At the lab it is simply not there.
        let at_the_lab = world.refusals(&tom(), what);
        assert!(
            at_the_lab.contains(&(A, "bite")),
            "{what:?}: {at_the_lab:?}"
        );
        assert!(!at_the_lab.contains(&(Packed, "bite")), "{what:?}");
    }
    let said = allow(
        &world.context(),
        &moved("bite"),
        &anna(),
        Moment::new(world.now_ms + MINUTE_MS, 60),
    );
    assert!(
        said[0].sentence.ends_with(
            "is packed in a parcel that waits for the carrier: take the parcel back first."
        ),
        "{said:?}"
    );
    // What was left out of the parcel is as free as before.
    world.expect(&anna(), &moved("impression"), &[]);
    world.does(&anna(), back("h1", &BOTH));
    for what in &steps {
        world.expect(&anna(), what, &[]);
    }
}

#[test]
fn what_the_mouth_wants_is_not_taken_out_of_a_parcel() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("duplicate upper"));
    world.does(&anna(), packed("h1", &["duplicate upper"], Office));
    world.expect(
        &dora(),
        &fitted("duplicate upper", Some("provisional upper")),
        &[(Packed, "duplicate upper")],
    );
    let wanted = Wanted::ToFit(Arch::Upper);
    let described = stands_against(
        &world.items,
        &world.events,
        &world.case_state(),
        &tag("duplicate upper"),
        wanted,
    );
    assert!(described.unwrap().contains("waits for the carrier"));
    // Nor is a cast poured from an impression that is packed.
    world.does(&anna(), disinfected("impression"));
    world.does(&anna(), packed("h2", &["impression"], Office));
    let mut cast = registered("cast upper", Office, false);
    let mut bare = World::bare(Arches::Both);
    bare.events = world.events.clone();
    bare.events
        .retain(|event| !event.what.tags().contains(&&tag("cast upper")));
    bare.now_ms = world.now_ms;
    if let What::Registered(Registered { made, .. }) = &mut cast {
        *made = Some(Made {
            from: vec![tag("impression")],
            how: "poured".to_owned(),
            ..Made::default()
        });
    }
    bare.expect(&anna(), &cast, &[(Packed, "impression")]);
}

#[test]
fn only_the_side_that_packed_enters_the_pick_up_and_all_of_it() {
    let mut world = waiting();
    world.expect(&dora(), &picked_up("h1", &BOTH, 1), &[]);
    world.expect(
        &tom(),
        &picked_up("h1", &BOTH, 1),
        &[(Right, ""), (A, "bite"), (A, "facebow")],
    );
    world.expect(&anna(), &picked_up("h1", &["bite"], 1), &[(Form, "")]);
    world.expect(&anna(), &picked_up("h1", &BOTH, 2), &[(Form, "")]);
    world.expect(&anna(), &picked_up("h1", &BOTH, 0), &[(Form, "")]);
    world.expect(
        &anna(),
        &picked_up("h9", &["impression"], 1),
        &[(Form, ""), (A, "impression")],
    );
    let mut nobody = picked_up("h1", &BOTH, 1);
    if let What::PickedUp(PickedUp { person, .. }) = &mut nobody {
        " ".clone_into(person);
    }
    world.expect(&anna(), &nobody, &[(Form, "")]);
    // Never before it was packed.
    let early = world.now_ms - MINUTE_MS;
    let earlier = world.refusals_at(&anna(), &picked_up("h1", &BOTH, 1), early);
    assert_eq!(earlier, [(I, "bite"), (I, "facebow")]);
    // Two at once: the second is told of the first.
    world.does(&anna(), picked_up("h1", &BOTH, 1));
    world.expect(&dora(), &picked_up("h1", &BOTH, 1), &[(F, "")]);
}

#[test]
fn a_pick_up_is_entered_neither_after_a_receipt_nor_after_a_taking_back() {
    let here = BOTH.map(|thing| found(thing, Outcome::Sound, true));
    let mut world = waiting();
    world.does(&tom(), received_unseen("h1", Lab, &here));
    world.expect(
        &anna(),
        &picked_up("h1", &BOTH, 1),
        &[(F, ""), (A, "bite"), (A, "facebow")],
    );
    let mut world = waiting();
    world.does(&anna(), back("h1", &BOTH));
    world.expect(
        &anna(),
        &picked_up("h1", &BOTH, 1),
        &[(F, ""), (A, "bite"), (A, "facebow")],
    );
    // Nor of what the carrier had from the first moment on.
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite"]);
    world.expect(&anna(), &picked_up("h1", &["bite"], 1), &[(F, "")]);
}

#[test]
fn a_parcel_is_taken_back_while_it_waits_and_on_the_way() {
    for is_picked_up in [false, true] {
        let mut world = waiting();
        if is_picked_up {
            world.does(&anna(), picked_up("h1", &BOTH, 1));
        }
        let back = back_as("h1", &BOTH, Some(is_picked_up));
        world.expect(&tom(), &back, &[(Right, ""), (A, "bite"), (A, "facebow")]);
        world.does(&dora(), back);
        let state = match is_picked_up {
            true => HandoffState::BroughtBack,
            false => HandoffState::Voided,
        };
        assert_eq!(handoff(&world).state(), state);
        let bite = world.state("bite");
        assert_eq!((bite.holder, bite.packed), (Holder::Office, false));
        assert_eq!(
            (bite.handoff, bite.answers.as_str()),
            (None, "dora, northgate")
        );
        // Its disinfection still holds: it may be packed again.
        world.expect(&anna(), &packed("h2", &BOTH, Office), &[]);
    }
}

#[test]
fn c13_what_was_picked_up_is_not_said_to_have_never_left() {
    let said = |world: &World| {
        let last = world.events.last().unwrap();
        describe(&world.items, last).what
    };
    let mut world = waiting();
    let brought = back_as("h1", &BOTH, Some(true));
    world.expect(&anna(), &brought, &[(Form, "")]);
    world.expect(&anna(), &back("h1", &BOTH), &[]);
    world.does(&anna(), picked_up("h1", &BOTH, 1));
    world.expect(&anna(), &back("h1", &BOTH), &[(Form, "")]);
    // An entry from before this was asked stands as it is.
    world.expect(&anna(), &back_as("h1", &BOTH, None), &[]);
    world.does(&anna(), brought);
    assert_eq!(said(&world), "Taken back, the carrier brought it back");
    let mut world = waiting();
    world.does(&anna(), back("h1", &BOTH));
    assert_eq!(said(&world), "Handoff taken back, it never left");
}

#[test]
fn what_comes_without_an_entered_pick_up_is_received_and_the_receipt_says_so() {
    let here = BOTH.map(|thing| found(thing, Outcome::Sound, true));
    let mut world = waiting();
    // A receipt says of the pick-up what is so.
    world.expect(&tom(), &received("h1", Lab, &here), &[(Form, "")]);
    world.does(&tom(), received_unseen("h1", Lab, &here));
    assert_eq!(handoff(&world).state(), HandoffState::Received);
    let bite = world.state("bite");
    assert_eq!((bite.holder, bite.packed), (Holder::Lab, false));
    assert_eq!((bite.handoff, bite.answers.as_str()), (None, "tom, kiln"));
    let described = describe(&world.items, world.events.last().unwrap());
    assert!(
        described
            .details
            .contains(&"No pick-up by the carrier was entered.".to_owned()),
        "{described:?}"
    );
    let mut world = waiting();
    world.does(&anna(), picked_up("h1", &BOTH, 1));
    world.expect(&tom(), &received_unseen("h1", Lab, &here), &[(Form, "")]);
}

#[test]
fn what_did_not_come_with_the_rest_has_left_with_it() {
    let mut world = waiting();
    let items = [
        found("bite", Outcome::Sound, true),
        found("facebow", Outcome::Missing, false),
    ];
    world.does(&tom(), received_unseen("h1", Lab, &items));
    let facebow = world.state("facebow");
    assert_eq!(
        (facebow.holder, facebow.packed, facebow.missing),
        (Holder::Carrier { to: Lab }, false, true)
    );
    assert_eq!(
        facebow.answers,
        "the office's driver, handed over by anna, northgate"
    );
    assert_eq!(handoff(&world).state(), HandoffState::PartReceived);
    // From here on it is as with everything that is missing.
    world.expect(&anna(), &written_off("facebow", "searched"), &[]);
    let hold = world.open_holds().remove(0);
    world.does(&dora(), not_packed(resolution(&hold)));
    assert_eq!(world.state("facebow").holder, Holder::Office);
}

#[test]
fn whoever_takes_it_along_at_once_is_named_with_the_release() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("bite"));
    let by = |waits: bool| {
        let mut what = released("h1", &["bite"], Office);
        if let What::Released(Released {
            awaits_pickup,
            taken_by,
            ..
        }) = &mut what
        {
            (*awaits_pickup, *taken_by) = (waits, "R. K.".to_owned());
        }
        what
    };
    world.expect(&anna(), &by(true), &[(Form, "")]);
    world.does(&anna(), by(false));
    assert_eq!(handoff(&world).state(), HandoffState::OnTheWay);
    let pick_up = handoff(&world).picked_up.unwrap();
    assert_eq!(pick_up.person, "R. K.");
    let described = describe(&world.items, world.events.last().unwrap());
    assert_eq!(described.what, "Handed over to the lab");
    let words = "Picked up in the same step by R. K.".to_owned();
    assert!(described.details.contains(&words), "{described:?}");
}

#[test]
fn what_is_packed_is_clean_and_covered_like_all_that_leaves() {
    let mut world = World::begun();
    world.expect(&anna(), &packed("h1", &["bite"], Office), &[(H, "bite")]);
    world.does(
        &dora(),
        What::TakenOut(TakenOut {
            tag: tag("provisional upper"),
            exception: signed("sore"),
        }),
    );
    world.does(&anna(), disinfected("provisional upper"));
    world.expect(
        &anna(),
        &packed("h1", &["provisional upper"], Office),
        &[(CustodyRule::C, "provisional upper")],
    );
}

#[test]
fn a_case_with_a_packed_parcel_stays_where_it_is_and_is_not_closed() {
    let mut world = waiting();
    let stands = |world: &World| world.stands();
    let packs = |world: &World| {
        let waiting = world.stands().waiting_for;
        waiting
            .iter()
            .any(|task| task.side == Office && task.step == case::Step::PickUp)
    };
    assert_eq!(stands(&world).places[0], case::Place::Office);
    assert!(packs(&world));
    let undecided = dispositions(&world.context().scope(), &world.case_state()).unwrap_err();
    let packed = undecided
        .iter()
        .filter(|one| one.contains("is packed in a parcel"));
    assert_eq!(packed.count(), 2, "{undecided:?}");
    world.does(&anna(), picked_up("h1", &BOTH, 1));
    assert_eq!(stands(&world).places[0], case::Place::OnTheWay);
    assert!(!packs(&world));
}

#[test]
fn a_final_that_is_packed_waits_for_no_mouth() {
    let mut world = World::begun();
    world.sends(&tom(), "h1", &["final upper"]);
    world.takes(&anna(), "h1", &["final upper"]);
    assert!(world.stands().to_fit);
    world.does(&anna(), disinfected("final upper"));
    world.does(&anna(), packed("h2", &["final upper"], Office));
    assert!(!world.stands().to_fit);
}

/// What was stored before pick-ups were written down has none of the new fields, and gets none.
#[test]
fn an_entry_without_the_new_fields_is_read_as_before_and_written_to_the_same_bytes() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    for event in &world.events {
        let text = serde_json_canonicalizer::to_string(event).unwrap();
        for field in ["awaits_pickup", "taken_by", "no_pick_up"] {
            assert!(!text.contains(field), "{text}");
        }
        assert_eq!(serde_json::from_str::<Event>(&text).unwrap(), *event);
    }
}
