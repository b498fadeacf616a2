//! Entries that ended a thing by mistake, and damage that is seen or done after a receipt.

use super::walk::{moves, standing, walk};
use super::*;
use CustodyRule::{Closed as Shut, F, Form, Held, J, Right};
use Side::{Lab, Office};
use proptest::prelude::*;

fn put(thing: &str, to: &str) -> What {
    What::Moved(Moved {
        tag: tag(thing),
        to: to.to_owned(),
    })
}

fn adjusted(thing: &str) -> What {
    What::Adjusted(Adjusted::of(tag(thing), Adjustment::EdgeRounded))
}

/// The last entry that touches a thing.
fn last_of<'a>(world: &'a World, thing: &str) -> &'a Event {
    let mut events = world.events.iter().rev();
    let is_it =
        |event: &&Event| event.what.concerns(&tag(thing)) && event.what.withdraws().is_none();
    events.find(is_it).unwrap()
}

fn withdrawn(world: &World, thing: &str) -> What {
    withdrawing(last_of(world, thing), thing)
}

fn withdrawing(event: &Event, thing: &str) -> What {
    What::Withdrawn(Withdrawn {
        tag: tag(thing),
        event: event.id.clone(),
        was: Some(event.what.word().to_owned()),
        of: Some(event.at),
        reason: "the other one was meant".to_owned(),
        signed: Some(under("anna")),
    })
}

#[test]
fn c2_a_mistaken_end_is_withdrawn_by_the_house_that_entered_it_and_both_entries_stay() {
    let mut world = World::begun();
    let before = world.state("bite");
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
    let back = withdrawn(&world, "impression");
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

/// What a case says, but for who said it last and when.
fn said(events: &[Event]) -> CaseState {
    let mut case = CaseState::of(events);
    case.custody
        .retain(|_, state| state.gone != Some(Gone::Mistaken));
    for state in case.custody.values_mut() {
        state.last_at = Moment::new(0, 0);
        state.answers = String::new();
    }
    case.last_at = None;
    case.last_by.clear();
    case.withdrawn.clear();
    case.unturned.clear();
    case
}

#[test]
fn c2_any_entry_of_custody_that_a_house_made_by_mistake_is_withdrawn() {
    let mut world = World::begun();
    let mistakes = [
        (anna(), disinfected("bite"), "bite"),
        (anna(), put("bite", "the wrong shelf"), "bite"),
        (anna(), damaged_here("bite", Office), "bite"),
        (anna(), adjusted("provisional upper"), "provisional upper"),
        (anna(), used_up("impression", "the cast"), "impression"),
        (
            anna(),
            registered("try-in upper", Office, false),
            "try-in upper",
        ),
        (
            dora(),
            fitted("duplicate upper", Some("provisional upper")),
            "duplicate upper",
        ),
    ];
    for (by, what, thing) in mistakes {
        let before = said(&world.events);
        let called = what.word();
        world.does(&by, what);
        world.expect(&tom(), &withdrawn(&world, thing), &[(Right, thing)]);
        world.does(&by, withdrawn(&world, thing));
        assert_eq!(said(&world.events), before, "{called}");
        world.expect(&by, &withdrawn(&world, thing), &[(J, thing)]);
    }
    // A parcel that was said to be gone, to have come, and to hold something damaged.
    world.does(&anna(), disinfected("bite"));
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    let before = said(&world.events);
    let some = [
        found("bite", Outcome::Damaged, true),
        found("facebow", Outcome::Sound, true),
    ];
    world.does(&tom(), received("h1", Lab, &some));
    let receipt = last_of(&world, "bite").clone();
    let hold = world.open_holds().remove(0);
    let open = said(&world.events);
    world.does(&anna(), resolution(&hold));
    // The statement rests on the receipt, and is named.
    let back = withdrawing(&receipt, "facebow");
    world.expect(&tom(), &back, &[(F, "facebow")]);
    let at = Moment::new(world.now_ms + MINUTE_MS, 60);
    let said_why = allow(&world.context(), &back, &tom(), at)
        .remove(0)
        .sentence;
    assert!(said_why.contains("Resolved: Bite record"), "{said_why}");
    world.does(&anna(), withdrawn(&world, "bite"));
    assert_eq!(said(&world.events), open);
    world.does(&tom(), back);
    assert_eq!(said(&world.events), before);
    assert_eq!(world.state("bite").holder, Holder::Carrier { to: Lab });
    // It came after all.
    world.takes(&tom(), "h1", &["bite", "facebow"]);
}

#[test]
fn c2_what_was_registered_by_mistake_was_never_there() {
    let mut world = World::begun();
    world.does(&anna(), withdrawn(&world, "photograph"));
    assert_eq!(world.state("photograph").gone, Some(Gone::Mistaken));
    world.expect(&anna(), &put("photograph", "shelf"), &[(F, "photograph")]);
    let closing = dispositions(&world.context().scope(), &world.case_state());
    let undecided = closing.unwrap_err().join(" ");
    assert!(!undecided.contains("Photograph"), "{undecided}");
    let scanned = stands_against(
        &world.items,
        &world.events,
        &world.case_state(),
        &tag("photograph"),
        Wanted::ToHandOver(Office),
    );
    let scanned = scanned.unwrap();
    assert!(scanned.contains("the entry “registered”"), "{scanned}");
}

#[test]
fn c2_what_has_a_way_back_of_its_own_is_not_withdrawn() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("bite"));
    world.sends(&anna(), "h1", &["bite"]);
    let refused = [(J, "bite")];
    world.expect(&anna(), &withdrawn(&world, "bite"), &refused);
    // Nor by its name as another kind, nor of another thing.
    let What::Withdrawn(mut other) = withdrawing(&world.events[0], "bite") else {
        unreachable!()
    };
    other.was = Some("moved".to_owned());
    world.expect(&anna(), &What::Withdrawn(other), &refused);
}

#[test]
fn c2_an_entry_that_is_withdrawn_says_so_wherever_it_is_told() {
    let mut world = World::begun();
    world.does(&anna(), put("bite", "the wrong shelf"));
    world.does(&anna(), withdrawn(&world, "bite"));
    let case = world.case_state();
    let [.., mistake, withdrawal] = world.events.as_slice() else {
        unreachable!()
    };
    let described = describe_in(&world.items, &case, mistake).details.join(" ");
    assert!(
        described.contains("Withdrawn as a mistake on"),
        "{described}"
    );
    let described = describe_in(&world.items, &case, withdrawal);
    let named = format!(
        "the entry “put at its place” of {} is withdrawn",
        mistake.at
    );
    assert!(described.what.contains(&named), "{}", described.what);
}

#[test]
fn c2_a_withdrawal_of_before_reads_as_it_did() {
    let mut world = World::begun();
    world.does(&anna(), destroyed("bite", "dropped"));
    let What::Withdrawn(mut one) = withdrawn(&world, "bite") else {
        unreachable!()
    };
    (one.was, one.of) = (None, None);
    let stored = serde_json::to_value(&one).unwrap();
    assert_eq!(stored.as_object().unwrap().len(), 4);
    world.does(&anna(), What::Withdrawn(one));
    assert!(world.state("bite").is_there());
    let described = describe(&world.items, world.events.last().unwrap()).what;
    assert!(described.ends_with("is there again: the entry that ended it is withdrawn"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Whatever of a random history can be withdrawn: all is then as if it had not been entered, what was entered
    /// last is as before it, the rules allow all that is left, and step by step it is the same as at once.
    #[test]
    fn c2_a_withdrawal_gives_the_state_of_before(moves in moves(90)) {
        let world = walk(World::begun(), &moves);
        let at = Moment::new(world.now_ms + 50 * MINUTE_MS, 60);
        let case = world.case_state();
        for by in [dora(), mara()] {
            let offers = Offers::new(world.context(), &case, &by, at);
            for thing in world.items.iter().map(|item| &item.tag) {
                for mistake in offers.to_withdraw(thing) {
                    let what = What::Withdrawn(Withdrawn {
                        tag: thing.clone(),
                        event: mistake.id.clone(),
                        was: Some(mistake.what.word().to_owned()),
                        of: Some(mistake.at),
                        reason: "mistaken".to_owned(),
                        signed: None,
                    });
                    let mut after = world.clone();
                    after.append(&by, what, at);
                    let left = standing(&after.events);
                    prop_assert_eq!(said(&after.events), said(&left));
                    if world.events.last() == Some(mistake) {
                        let before = world.events.split_last().unwrap().1;
                        prop_assert_eq!(said(&after.events), said(before));
                    }
                    for (place, one) in left.iter().enumerate() {
                        if matches!(one.what, What::Closed(_) | What::Reopened(_)) {
                            continue;
                        }
                        let context = Context { events: &left[..place], ..world.context() };
                        let open = CaseState { closed: false, ..CaseState::of(context.events) };
                        let is_about_others = matches!(one.what, What::Corrected(_) | What::Erased(_));
                        prop_assert!(
                            is_about_others || allow_in(&context, &open, &one.what, &one.by, one.at).is_empty(),
                            "{:?}", one
                        );
                    }
                    let mut step_by_step = CaseState::default();
                    for (place, one) in after.events.iter().enumerate() {
                        step_by_step.add(one, &after.events[..place]);
                    }
                    prop_assert_eq!(step_by_step, CaseState::of(&after.events));
                }
            }
        }
    }
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
            nothing_made: false,
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
    // It lies with its lender.
    assert_eq!(hangs("facebow"), "");
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
    world.expect(&anna(), &resolution(&hold), &[(Right, "")]);
    world.does(&mara(), resolution(&hold));
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
