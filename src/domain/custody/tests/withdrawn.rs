//! Entries that ended a thing by mistake, and damage that is seen or done after a receipt.

use super::*;
use CustodyRule::{Closed as Shut, F, Form, Held, J, Right};
use Side::{Lab, Office};

fn withdrawn(world: &World, thing: &str) -> What {
    let ending = world.state(thing).ending;
    What::Withdrawn(Withdrawn {
        tag: tag(thing),
        event: ending.map(|one| one.event).unwrap_or_default(),
        reason: "the other one was meant".to_owned(),
        signed: Some(under("anna")),
    })
}

#[test]
fn c2_a_mistaken_end_is_withdrawn_by_the_house_that_entered_it_and_both_entries_stay() {
    let mut world = World::begun();
    let before = world.state("bite");
    world.expect(&anna(), &withdrawn(&world, "bite"), &[(J, "bite")]);
    world.does(&anna(), destroyed("bite", "dropped"));
    world.expect(&anna(), &disinfected("bite"), &[(F, "bite")]);
    world.expect(&tom(), &withdrawn(&world, "bite"), &[(Right, "bite")]);
    let count = world.events.len();
    world.does(&dora(), withdrawn(&world, "bite"));
    assert_eq!(world.events.len(), count + 1);
    let now = world.state("bite");
    assert_eq!((now.gone, now.ending.clone()), (None, None));
    assert_eq!(
        (now.holder, now.condition),
        (before.holder, before.condition)
    );
    world.does(&anna(), disinfected("bite"));
    // It can end again, and be withdrawn again.
    world.does(&anna(), used_up("bite", "a cast"));
    world.does(&anna(), withdrawn(&world, "bite"));
    assert!(world.state("bite").is_there());
}

#[test]
fn c2_what_later_entries_rest_on_is_not_withdrawn_and_they_are_named() {
    let mut world = World::begun();
    world.does(&anna(), used_up("impression", "the cast"));
    let cast = What::Registered(Registered {
        tag: tag("try-in upper"),
        place: Office,
        worn: false,
        note: String::new(),
        pieces: None,
        made: Some(Made {
            from: vec![tag("impression")],
            how: "poured".to_owned(),
            ..Made::default()
        }),
        due_back: None,
        file: None,
    });
    world.does(&anna(), cast);
    let back = withdrawn(&world, "impression");
    world.expect(&anna(), &back, &[(F, "impression")]);
    let at = Moment::new(world.now_ms + MINUTE_MS, 60);
    let sentences = allow(&world.context(), &back, &anna(), at);
    assert!(
        sentences[0].sentence.contains("Wax try-in, upper"),
        "{sentences:?}"
    );
}

#[test]
fn c2_what_was_given_up_as_lost_is_missing_again() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    let some = [
        found("bite", Outcome::Missing, false),
        found("facebow", Outcome::Sound, true),
    ];
    world.does(&tom(), received("h1", Lab, &some));
    world.does(&anna(), written_off("bite", "looked for"));
    assert_eq!(world.open_holds(), []);
    world.does(&dora(), withdrawn(&world, "bite"));
    assert!(world.state("bite").missing);
    assert_eq!(world.open_holds().len(), 1);
    world.does(
        &mara(),
        received("h1", Lab, &[found("bite", Outcome::Sound, true)]),
    );
    assert_eq!(world.state("bite").holder, Holder::Lab);
}

#[test]
fn c2_nothing_is_withdrawn_in_a_closed_case() {
    let mut world = World::bare(Arches::Upper);
    world.does(&anna(), registered("bite", Office, false));
    world.does(&anna(), destroyed("bite", "dropped"));
    let items = dispositions(&world.context().scope(), &world.case_state()).unwrap();
    world.does(
        &dora(),
        What::Closed(Closed {
            items,
            note: String::new(),
            signed: under("dora"),
        }),
    );
    world.expect(&anna(), &withdrawn(&world, "bite"), &[(Shut, "")]);
}

#[test]
fn c2_what_hangs_on_a_thing_is_said_before_it_ends() {
    let world = World::begun();
    let hangs = |thing: &str| {
        let ordered = Ordered {
            revision: 2,
            enclosed: vec![tag("bite")],
            ..Ordered::default()
        };
        let words = hangs_on(
            &world.context().scope(),
            &world.case_state(),
            &ordered,
            &tag(thing),
        );
        words.join(" ")
    };
    assert!(hangs("provisional upper").contains("worn pattern"));
    assert!(hangs("duplicate upper").contains("the provisional cannot leave"));
    assert!(hangs("old upper").contains("never goes back into the mouth"));
    assert!(hangs("bite").contains("Revision 2 lists it as enclosed."));
    assert!(hangs("facebow").contains("It is lent"));
    assert_eq!(hangs("photograph"), "");
}

fn damaged_here(thing: &str, place: Side) -> What {
    What::DamagedHere(DamagedHere {
        tag: tag(thing),
        what: "a key broke off".to_owned(),
        place,
    })
}

fn finding(thing: &str) -> What {
    What::FindingAdded(FindingAdded {
        tag: tag(thing),
        finding: LaterFinding::Damaged,
        note: "a hairline crack".to_owned(),
    })
}

#[test]
fn c7_damage_here_is_the_holders_to_enter_and_to_answer_for() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    world.expect(
        &anna(),
        &damaged_here("bite", Office),
        &[(CustodyRule::A, "bite")],
    );
    world.expect(&tom(), &damaged_here("bite", Office), &[(Right, "bite")]);
    world.does(&tom(), damaged_here("bite", Lab));
    assert_eq!(world.state("bite").condition, Condition::Damaged);
    let hold = world.open_holds().remove(0);
    assert_eq!((hold.side, hold.trouble), (Lab, Trouble::DamagedHere));
    assert_eq!(
        hold.words(&world.items),
        "Bite record was damaged at the lab"
    );
    world.expect(&tom(), &used_up("bite", "a cast"), &[(Held, "bite")]);
    world.expect(&anna(), &settled(&hold), &[(Right, "")]);
    world.does(&mara(), settled(&hold));
    world.expect(&tom(), &used_up("bite", "a cast"), &[]);
}

#[test]
fn c7_a_finding_is_added_to_the_receipt_by_whoever_of_that_side_saw_it() {
    let mut world = World::begun();
    world.expect(&tom(), &finding("final upper"), &[(Form, "final upper")]);
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    world.expect(
        &anna(),
        &finding("bite"),
        &[(Form, "bite"), (CustodyRule::A, "bite")],
    );
    world.does(&mara(), finding("bite"));
    let hold = world.open_holds().remove(0);
    assert_eq!((hold.side, hold.trouble), (Office, Trouble::Damaged));
    assert_eq!(hold.handoff, HandoffId::new("h1"));
    let handoff = world.case_state().handoffs.remove(0);
    assert_eq!(handoff.found[0].outcome, Outcome::Damaged);
    // The receipt itself stays as it was signed.
    let receipt = world
        .events
        .iter()
        .find(|event| event.what.word() == "received");
    let What::Received(Received { items, .. }) = &receipt.unwrap().what else {
        panic!("a receipt");
    };
    assert_eq!(items[0].outcome, Outcome::Sound);
}
