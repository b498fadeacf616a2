//! What is still under way, or here and somebody else's, when work is given up or stands still.

use super::standstill::{cancelled, heeded, paused, stopped, went_on};
use super::*;
use crate::domain::custody::case::{Step, Task};
use CustodyRule::{C, Form, Stopped as Halted};
use Side::{Lab, Office};

/// Packed at the office for work.
fn packed_for_work(handoff: &str, things: &[&str]) -> What {
    for_purpose(packed(handoff, things, Office), Purpose::Make)
}

fn for_purpose(mut what: What, purpose: Purpose) -> What {
    if let What::Released(Released { purpose_code, .. }) = &mut what {
        *purpose_code = Some(purpose);
    }
    what
}

/// What waits for whom, as lists keep it.
fn tasks(world: &World) -> Vec<String> {
    let case = world.case_state();
    let tasks = case.without_vain_parcels(world.stands().waiting_for);
    tasks.iter().map(Task::to_string).collect()
}

/// What waits, with what is to be done, as the page of the case lists it.
fn all_that_waits(world: &World) -> Vec<Wait> {
    waits(
        &world.context(),
        &world.case_state(),
        &Ordered::default(),
        &world.stands(),
        Moment::new(world.now_ms, 60).date(),
    )
}

/// What is to be done, by whom.
fn to_dos(world: &World) -> Vec<(Side, &'static str)> {
    let waits = all_that_waits(world).into_iter();
    waits.map(|one| (one.side, one.to_do)).collect()
}

/// The duplicate is worn, and the provisional, the bite and the facebow, which is lent, are packed for the lab, which
/// has nothing yet but what it made.
fn packed_and_cancelled() -> World {
    let mut world = World::begun();
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    let things = ["provisional upper", "bite", "facebow"];
    for thing in things {
        world.does(&anna(), disinfected(thing));
    }
    world.does(&anna(), packed_for_work("h1", &things));
    let fates = ["final upper", "final lower", "cast upper"].map(|thing| (thing, Fate::Stays));
    world.does(&dora(), cancelled(&fates));
    world.does(&tom(), heeded(&world));
    world
}

#[test]
fn what_was_packed_when_the_work_was_cancelled_comes_back_when_it_comes_to_the_lab_all_the_same() {
    let things = ["provisional upper", "bite", "facebow"];
    let mut world = packed_and_cancelled();
    // While it lies at the office nothing is said of it; the carrier had it all the same.
    assert_eq!(world.case_state().fate(&tag("bite")), None);
    let came = things.map(|thing| found(thing, Outcome::Sound, true));
    world.does(&tom(), received_unseen("h1", Lab, &came));
    for thing in things {
        let fate = world.case_state().fate(&tag(thing));
        assert_eq!(fate, Some(Fate::ComesBack), "{thing}");
    }
    let wind_up = "the lab: send back or destroy what is left of the canceled work".to_owned();
    assert_eq!(tasks(&world), [wind_up]);
    let waits = all_that_waits(&world);
    let back = waits.iter().find(|one| one.to_do == "send it back");
    let back = back.expect("the lab sends it back");
    let named: Vec<&str> = back.items.iter().map(name).collect();
    assert!(back.side == Lab && named.len() == 3, "{named:?}");
    // The office has not said that it is destroyed.
    world.expect(&tom(), &destroyed("bite", "no use"), &[(Halted, "bite")]);
    world.sends(&tom(), "h2", &things);
    world.takes(&anna(), "h2", &things);
    assert_eq!(tasks(&world), ["the office: close the canceled case"]);
}

#[test]
fn what_is_sent_after_the_work_was_cancelled_comes_back_too_and_what_the_lab_lent_stays() {
    let mut world = World::begun();
    // Lent by the lab.
    world.does(&tom(), registered("try-in upper", Lab, false));
    world.sends(&tom(), "h0", &["try-in upper"]);
    world.takes(&anna(), "h0", &["try-in upper"]);
    let fates = ["final upper", "final lower", "cast upper"].map(|thing| (thing, Fate::Stays));
    world.does(&dora(), cancelled(&fates));
    world.does(&tom(), heeded(&world));
    for thing in ["try-in upper", "impression"] {
        world.does(&anna(), disinfected(thing));
    }
    let sent = released("h1", &["try-in upper", "impression"], Office);
    world.does(&anna(), for_purpose(sent, Purpose::GoingBack));
    let fate = |world: &World, thing: &str| world.case_state().fate(&tag(thing));
    assert_eq!(fate(&world, "impression"), Some(Fate::ComesBack));
    assert_eq!(fate(&world, "try-in upper"), None);
}

#[test]
fn a_final_that_waited_for_the_mouth_comes_back_from_cancelled_work() {
    let mut world = World::begun();
    world.does(&tom(), disinfected("final upper"));
    let finished = released("h0", &["final upper"], Lab);
    world.does(&tom(), for_purpose(finished, Purpose::Finished));
    world.takes(&anna(), "h0", &["final upper"]);
    world.does(&anna(), disinfected("final upper"));
    let change = packed("h1", &["final upper"], Office);
    world.does(&anna(), for_purpose(change, Purpose::Change));
    let fates = ["final lower", "cast upper"].map(|thing| (thing, Fate::Stays));
    world.does(&dora(), cancelled(&fates));
    world.does(&anna(), picked_up("h1", &["final upper"], 1));
    let fate = world.case_state().fate(&tag("final upper"));
    assert_eq!(fate, Some(Fate::ComesBack));
}

#[test]
fn what_is_packed_for_work_that_is_cancelled_is_taken_back_and_not_handed_to_the_carrier() {
    let mut world = packed_and_cancelled();
    let take_back = Task {
        side: Office,
        step: Step::TakeBack,
    };
    assert_eq!(tasks(&world), [take_back.to_string()]);
    let waits = all_that_waits(&world);
    let words: Vec<&str> = waits.iter().map(|one| one.to_do).collect();
    assert_eq!(words, ["take the parcel back"]);
    // What the carrier has taken all the same can be said.
    let things = ["provisional upper", "bite", "facebow"];
    world.expect(&anna(), &picked_up("h1", &things, 1), &[]);
    // What only goes back goes on its way.
    world.does(&anna(), disinfected("impression"));
    let lent = packed("h2", &["impression"], Office);
    world.does(&anna(), for_purpose(lent, Purpose::GoingBack));
    let pick_up = Task {
        side: Office,
        step: Step::PickUp,
    };
    assert_eq!(tasks(&world), [take_back.to_string(), pick_up.to_string()]);
    // Once the work goes on, all of it goes.
    world.does(&dora(), went_on());
    assert!(tasks(&world).contains(&pick_up.to_string()));
    assert!(!tasks(&world).contains(&take_back.to_string()));
}

#[test]
fn the_patients_own_denture_goes_back_while_the_work_stands_still() {
    for halt in [stopped("the patient needs it"), paused()] {
        let mut world = World::bare(Arches::Upper);
        world.does(&dora(), registered("final upper", Office, true));
        world.does(&tom(), registered("cast upper", Lab, false));
        let out = What::TakenOut(TakenOut {
            tag: tag("final upper"),
            exception: signed("the only one, for one day"),
        });
        world.does(&dora(), out);
        world.sends(&anna(), "h1", &["final upper"]);
        world.takes(&tom(), "h1", &["final upper"]);
        world.does(&tom(), disinfected("final upper"));
        world.does(&dora(), halt);
        let back = || released("h2", &["final upper"], Lab);
        world.expect(&tom(), &back(), &[]);
        let returned = for_purpose(back(), Purpose::GoingBack);
        world.expect(&tom(), &returned, &[]);
        // Nobody says that it is finished.
        let finished = for_purpose(back(), Purpose::Finished);
        world.expect(&tom(), &finished, &[(Halted, "")]);
        // What the lab has made and nobody has worn stays.
        world.items.iter_mut().for_each(|item| {
            if item.tag == tag("cast upper") {
                item.kind = ItemKind::FinalDenture;
            }
        });
        world.does(&tom(), disinfected("cast upper"));
        let made = released("h2", &["cast upper"], Lab);
        world.expect(&tom(), &made, &[(Halted, "")]);
    }
}

#[test]
fn the_lab_does_not_destroy_the_pattern_before_the_final_is_there() {
    let mut world = World::bare(Arches::Both);
    world.does(&dora(), registered("provisional upper", Office, true));
    world.does(&dora(), registered("duplicate upper", Office, false));
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    world.sends(&anna(), "h1", &["provisional upper"]);
    world.takes(&tom(), "h1", &["provisional upper"]);
    let broke = destroyed("provisional upper", "broke");
    world.expect(&tom(), &broke, &[(CustodyRule::F, "provisional upper")]);
    // That it is damaged can be said, and it goes back.
    let damaged = What::DamagedHere(DamagedHere {
        tag: tag("provisional upper"),
        what: "broke".to_owned(),
        place: Lab,
    });
    world.expect(&tom(), &damaged, &[]);
    // A final of the other arch stands for nothing here.
    world.does(&tom(), registered("final lower", Lab, false));
    world.expect(&tom(), &broke, &[(CustodyRule::F, "provisional upper")]);
    world.does(&tom(), registered("final upper", Lab, false));
    // From then on it is the patient's consent that is asked for, and the office has it.
    let right = [(CustodyRule::Right, "provisional upper")];
    world.expect(&tom(), &broke, &right);
    let without = |consent| {
        What::Destroyed(Destroyed {
            tag: tag("provisional upper"),
            how: "broke".to_owned(),
            consent,
            signed: None,
        })
    };
    let both = [right[0], (Form, "provisional upper")];
    world.expect(&tom(), &without(Some(false)), &both);
    // An entry from before consent was asked about is allowed as it was.
    world.expect(&tom(), &without(None), &[]);
}

#[test]
fn a_provisional_that_is_packed_leaves_only_while_its_arch_has_other_teeth() {
    let mut world = World::begun();
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    world.does(&anna(), disinfected("provisional upper"));
    world.does(&anna(), packed_for_work("h1", &["provisional upper"]));
    let leaves = || picked_up("h1", &["provisional upper"], 1);
    world.expect(&anna(), &leaves(), &[]);
    let out = What::TakenOut(TakenOut {
        tag: tag("duplicate upper"),
        exception: signed("a sore"),
    });
    let task = |step| Task { side: Office, step }.to_string();
    let (hand_out, keep) = (task(Step::PickUp), task(Step::KeepParcel));
    assert!(tasks(&world).contains(&hand_out));
    world.does(&dora(), out);
    // What the list says first is what the page of the parcel would let through.
    assert_eq!(tasks(&world).first(), Some(&keep));
    assert!(!tasks(&world).contains(&hand_out));
    world.expect(&anna(), &leaves(), &[(C, "provisional upper")]);
    let mut excepted = leaves();
    if let What::PickedUp(PickedUp { exception, .. }) = &mut excepted {
        *exception = signed("the patient is in hospital");
    }
    world.expect(&anna(), &excepted, &[(C, "provisional upper")]);
    world.expect(&dora(), &excepted, &[]);
    // It is offered to whoever can sign for it.
    let case = world.case_state();
    let at = Moment::new(world.now_ms + MINUTE_MS, 60);
    for (who, is_offered) in [(dora(), true), (anna(), false)] {
        let offers = Offers::new(world.context(), &case, &who, at);
        let handoff = case.handoff(&HandoffId::new("h1")).unwrap();
        assert_eq!(offers.has(CaseStep::PickUp(handoff)), is_offered);
        assert_eq!(offers.pick_up_is_exceptional(handoff), is_offered);
    }
    // With the duplicate in again nothing is asked.
    world.does(&anna(), disinfected("duplicate upper"));
    world.does(&dora(), fitted("duplicate upper", None));
    assert!(tasks(&world).contains(&hand_out));
    world.expect(&anna(), &leaves(), &[]);
}

#[test]
fn what_the_dentist_signed_for_when_it_was_packed_is_picked_up_without_a_second_word() {
    let mut world = World::bare(Arches::Upper);
    world.does(&dora(), registered("provisional upper", Office, false));
    world.does(&dora(), disinfected("provisional upper"));
    let mut away = packed("h1", &["provisional upper"], Office);
    if let What::Released(Released { exception, .. }) = &mut away {
        *exception = signed("the patient is in hospital");
    }
    world.does(&dora(), away);
    world.expect(&anna(), &picked_up("h1", &["provisional upper"], 1), &[]);
}

#[test]
fn the_page_asks_for_the_end_of_cancelled_work_only_where_the_lists_do() {
    let mut world = World::bare(Arches::Upper);
    world.does(&tom(), registered("cast upper", Lab, false));
    world.does(&dora(), cancelled(&[("cast upper", Fate::Stays)]));
    world.does(&tom(), heeded(&world));
    assert_eq!(tasks(&world), ["the office: close the canceled case"]);
    assert_eq!(to_dos(&world), [(Office, "close the case")]);
    // What one side alone says was said on the telephone is confirmed or denied first.
    let call = Telephoned {
        from: Lab,
        with: "D. S.".to_owned(),
        text: "the cast is kept".to_owned(),
        question: None,
        section: None,
        item: None,
        picture: None,
        changes: false,
    };
    world.does(&tom(), call.into());
    assert_eq!(
        tasks(&world),
        ["the office: confirm what was said on the telephone"]
    );
    assert_eq!(to_dos(&world), [(Office, "say whether it was so")]);
}

#[test]
fn what_did_not_come_of_cancelled_work_is_found_or_written_off_by_those_who_had_sent_it() {
    let mut world = packed_and_cancelled();
    let came = [
        found("provisional upper", Outcome::Sound, true),
        found("bite", Outcome::Missing, true),
        found("facebow", Outcome::Sound, true),
    ];
    world.does(&tom(), received_unseen("h1", Lab, &came));
    let about_the_bite = |world: &World| {
        let waits = all_that_waits(world).into_iter();
        let waits = waits.filter(|one| one.items.contains(&tag("bite")));
        waits
            .map(|one| (one.side, one.to_do))
            .collect::<Vec<(Side, &str)>>()
    };
    assert_eq!(about_the_bite(&world), [(Office, "sign a statement on it")]);
    let hold = world.case_state().open_holds().next().unwrap().clone();
    world.does(&dora(), resolution(&hold));
    assert_eq!(
        about_the_bite(&world),
        [(Office, "find it, or write it off")]
    );
    // Nobody else can give it up.
    let given_up = || -> What {
        WrittenOff {
            tag: tag("bite"),
            how: "looked for everywhere".to_owned(),
            signed: None,
        }
        .into()
    };
    world.expect(&tom(), &given_up(), &[(CustodyRule::A, "bite")]);
    world.does(&anna(), given_up());
    assert!(about_the_bite(&world).is_empty());
}
