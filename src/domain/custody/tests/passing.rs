//! Work passed on to a second laboratory. That it has an authorisation of its own which names both laboratories:
//! Florida Administrative Code 64B5-17.006 and Mississippi Code 73-9-55. The rest is common practice, no source.

use super::*;
use crate::domain::values::moment::whole_day;
use CustodyRule::{A, Closed as IsClosed, Consent, F, Form, H, Held, I, J, Packed, Right};

/// What makes an entry wrong, and the rule that says so.
type Wrong = (fn(&mut PassedOn), CustodyRule);

fn lars() -> Actor {
    actor("lars", Role::Technician, "anvil")
}

/// A technician of a laboratory that nothing is passed on to.
fn ines() -> Actor {
    actor("ines", Role::Technician, "bellows")
}

fn anvil() -> SecondLab {
    SecondLab {
        party: Some(PartyId::new("anvil")),
        name: "Anvil Dental Laboratory".to_owned(),
        address: "2 Forge Lane".to_owned(),
        licence: "L-2".to_owned(),
    }
}

fn entry(things: &[&str]) -> PassedOn {
    PassedOn {
        to: anvil(),
        arches: Arches::Upper,
        items: things.iter().map(|thing| tag(thing)).collect(),
        task: "Cast the framework.".to_owned(),
        work: Some(SecondLabWork::Framework),
        more: Vec::new(),
        revision: 1,
        wanted: time::macros::date!(2026 - 03 - 12).into(),
        needs_consent: false,
        instead_of: None,
        signed: under("tom"),
    }
}

fn passed_on(things: &[&str]) -> What {
    What::PassedOn(entry(things))
}

fn newest(world: &World) -> PassedWork {
    world.case_state().passes.pop().unwrap()
}

fn moved_so(world: &World, leg: PassLeg, items: Vec<Found>) -> What {
    What::PassMoved(PassMoved {
        pass: newest(world).event,
        leg,
        items,
        carrier: "city courier".to_owned(),
        person: "N. N.".to_owned(),
        set_right: Vec::new(),
    })
}

fn moved(world: &World, leg: PassLeg, things: &[&str]) -> What {
    let sound = things.iter().map(|thing| Found::sound(tag(thing)));
    moved_so(world, leg, sound.collect())
}

fn said(world: &World, answer: PassAnswer, note: &str) -> What {
    What::PassAnswered(PassAnswered {
        pass: newest(world).event,
        answer,
        note: note.to_owned(),
    })
}

fn ended(world: &World, reason: &str) -> What {
    What::PassEnded(PassEnded {
        pass: newest(world).event,
        reason: reason.to_owned(),
    })
}

/// The cast is passed on, clean; nothing has gone.
fn begun() -> World {
    let mut world = World::begun();
    world.does(&tom(), disinfected("cast upper"));
    world.does(&tom(), passed_on(&["cast upper"]));
    world
}

/// The cast lies at the second laboratory.
fn there() -> World {
    let mut world = begun();
    world.does(&tom(), moved(&world, PassLeg::Left, &["cast upper"]));
    world.does(&lars(), moved(&world, PassLeg::Arrived, &["cast upper"]));
    world
}

#[test]
fn the_lab_passes_on_what_it_has_in_hand_and_says_all_that_the_paper_needs() {
    let mut world = World::begun();
    world.expect(&tom(), &passed_on(&["cast upper"]), &[]);
    world.expect(&mara(), &passed_on(&["cast upper"]), &[]);
    world.expect(&anna(), &passed_on(&["cast upper"]), &[(Right, "")]);
    world.expect(&lars(), &passed_on(&["cast upper"]), &[(Right, "")]);
    world.expect(&tom(), &passed_on(&[]), &[(Form, "")]);
    world.expect(&tom(), &passed_on(&["bite"]), &[(A, "bite")]);
    let rows: [Wrong; 7] = [
        (|one| one.to.name.clear(), Form),
        (|one| one.to.address.clear(), Form),
        (|one| one.task = " ".to_owned(), Form),
        (|one| one.more = vec!["no part".to_owned()], Form),
        (|one| one.revision = 0, J),
        (|one| one.to.party = Some(LAB.clone()), Form),
        (
            |one| one.wanted = time::macros::date!(2026 - 03 - 01).into(),
            I,
        ),
    ];
    for (change, rule) in rows {
        let mut wrong = entry(&["cast upper"]);
        change(&mut wrong);
        world.expect(&tom(), &wrong.into(), &[(rule, "")]);
    }
    // On the way, and packed to go to the office.
    world.sends(&anna(), "h1", &["bite"]);
    world.expect(&tom(), &passed_on(&["bite"]), &[(A, "bite")]);
    world.does(&tom(), disinfected("cast upper"));
    world.does(&tom(), packed("h2", &["cast upper"], Side::Lab));
    world.expect(
        &tom(),
        &passed_on(&["cast upper"]),
        &[(Packed, "cast upper")],
    );
}

#[test]
fn a_thing_is_passed_on_once_and_belongs_to_nobody_else_meanwhile() {
    let mut world = begun();
    world.expect(&tom(), &passed_on(&["cast upper"]), &[(A, "cast upper")]);
    world.does(&tom(), moved(&world, PassLeg::Left, &["cast upper"]));
    assert_eq!(
        world.state("cast upper").holder,
        Holder::Passed(PassedPlace::There)
    );
    for by in [tom(), anna()] {
        world.expect(&by, &disinfected("cast upper"), &[(A, "cast upper")]);
    }
    // It goes straight to the office from nowhere: what is not at the lab is not sent by it.
    let straight = released("h1", &["cast upper"], Side::Lab);
    world.expect(&tom(), &straight, &[(A, "cast upper")]);
    world.expect(&lars(), &straight, &[(Right, "")]);
}

#[test]
fn the_chain_goes_on_unbroken_through_the_second_laboratory_and_back() {
    let mut world = begun();
    let cast = ["cast upper"];
    world.expect(
        &tom(),
        &moved(&world, PassLeg::Arrived, &cast),
        &[(A, "cast upper")],
    );
    world.expect(
        &tom(),
        &moved(&world, PassLeg::Home, &cast),
        &[(A, "cast upper")],
    );
    world.does(&tom(), moved(&world, PassLeg::Left, &cast));
    assert_eq!(
        world.state("cast upper").answers,
        "city courier, handed over by tom, kiln"
    );
    world.does(&lars(), moved(&world, PassLeg::Arrived, &cast));
    assert_eq!(
        world.state("cast upper").answers,
        "N. N., Anvil Dental Laboratory"
    );
    assert_eq!(
        newest(&world).arrived_at.map(|at| at.unix_ms),
        Some(world.now_ms)
    );
    world.does(&lars(), moved(&world, PassLeg::SetOff, &cast));
    assert_eq!(
        world.state("cast upper").holder,
        Holder::Passed(PassedPlace::Back)
    );
    let unmarked = Found {
        marked_disinfected: false,
        ..Found::sound(tag("cast upper"))
    };
    world.does(&mara(), moved_so(&world, PassLeg::Home, vec![unmarked]));
    let state = world.state("cast upper");
    assert_eq!(state.holder, Holder::Lab);
    assert!(state.held_for_disinfection && state.uncleaned);
    assert_eq!(
        newest(&world).ended.map(|(_, end)| end),
        Some(PassEnd::Back)
    );
    // It can be passed on again.
    world.does(&tom(), disinfected("cast upper"));
    world.expect(&tom(), &passed_on(&cast), &[]);
}

#[test]
fn without_an_account_the_lab_says_who_received_it_there() {
    let mut world = begun();
    world.does(&tom(), moved(&world, PassLeg::Left, &["cast upper"]));
    let mut nameless = moved(&world, PassLeg::Arrived, &["cast upper"]);
    if let What::PassMoved(one) = &mut nameless {
        one.person.clear();
    }
    world.expect(&tom(), &nameless, &[(Form, "")]);
    // Whoever signs in there is known by that.
    world.expect(&lars(), &nameless, &[]);
    // What nobody saw arrive may come back.
    world.expect(&tom(), &moved(&world, PassLeg::Home, &["cast upper"]), &[]);
}

#[test]
fn the_people_of_the_second_laboratory_say_only_what_happens_to_its_things_there() {
    let world = there();
    let cast = ["cast upper"];
    world.expect(&lars(), &moved(&world, PassLeg::SetOff, &cast), &[]);
    for what in [
        moved(&world, PassLeg::Left, &cast),
        moved(&world, PassLeg::Home, &cast),
        disinfected("cast upper"),
        passed_on(&["final upper"]),
        ended(&world, "over"),
        said(&world, PassAnswer::Objected, "no"),
        registered("try-in upper", Side::Lab, false),
    ] {
        world.expect(&lars(), &what, &[(Right, "")]);
    }
    for leg in PassLeg::ALL {
        world.expect(&ines(), &moved(&world, *leg, &cast), &[(Right, "")]);
    }
    // When all is back, they say nothing any more.
    let mut back = world.clone();
    back.does(&tom(), moved(&back, PassLeg::Home, &cast));
    back.expect(
        &lars(),
        &moved(&back, PassLeg::Arrived, &cast),
        &[(Right, "")],
    );
}

#[test]
fn nothing_goes_before_the_office_has_agreed_where_it_is_asked_nor_after_it_has_said_no() {
    let mut world = World::begun();
    world.does(&tom(), disinfected("cast upper"));
    let asking = PassedOn {
        needs_consent: true,
        ..entry(&["cast upper"])
    };
    world.does(&tom(), asking.into());
    let goes = moved(&world, PassLeg::Left, &["cast upper"]);
    let task = |world: &World| {
        let tasks = world.stands().waiting_for.into_iter();
        let mut tasks =
            tasks.filter(|one| matches!(one.step, case::Step::Consent | case::Step::NotePass));
        tasks.next().map(|one| (one.side, one.step))
    };
    assert_eq!(task(&world), Some((Side::Office, case::Step::Consent)));
    world.expect(&tom(), &goes, &[(Consent, "")]);
    world.expect(
        &anna(),
        &said(&world, PassAnswer::Agreed, ""),
        &[(Right, "")],
    );
    world.expect(
        &tom(),
        &said(&world, PassAnswer::Agreed, ""),
        &[(Right, ""), (Right, "")],
    );
    world.expect(
        &dora(),
        &said(&world, PassAnswer::Objected, " "),
        &[(Form, "")],
    );
    let mut refused = world.clone();
    refused.does(&dora(), said(&world, PassAnswer::Objected, "make it here"));
    refused.expect(&tom(), &goes, &[(Consent, "")]);
    // Nothing has gone, so that the word may be changed.
    refused.expect(
        &dora(),
        &said(&world, PassAnswer::Objected, "no"),
        &[(F, "")],
    );
    refused.does(&dora(), said(&world, PassAnswer::Agreed, ""));
    refused.expect(&tom(), &goes, &[]);
    world.does(&dora(), said(&world, PassAnswer::Agreed, ""));
    assert_eq!(task(&world), None);
    world.does(&tom(), goes);
    world.expect(
        &dora(),
        &said(&world, PassAnswer::Objected, "no"),
        &[(F, "")],
    );
}

#[test]
fn where_no_consent_is_asked_the_office_is_told_and_may_still_say_no() {
    let mut world = begun();
    let task = world.stands().waiting_for.into_iter().last().unwrap();
    assert_eq!((task.side, task.step), (Side::Office, case::Step::NotePass));
    world.does(&tom(), moved(&world, PassLeg::Left, &["cast upper"]));
    // An assistant takes notice of it as well as the dentist.
    world.expect(&anna(), &said(&world, PassAnswer::Agreed, ""), &[]);
    world.does(&anna(), said(&world, PassAnswer::Objected, "not there"));
    // What is there comes back all the same.
    world.expect(
        &tom(),
        &moved(&world, PassLeg::Arrived, &["cast upper"]),
        &[],
    );
    world.expect(&tom(), &moved(&world, PassLeg::Home, &["cast upper"]), &[]);
}

#[test]
fn what_is_unclean_on_hold_or_stands_still_does_not_go_and_comes_back_all_the_same() {
    let mut world = World::begun();
    world.does(&tom(), passed_on(&["cast upper"]));
    let goes = moved(&world, PassLeg::Left, &["cast upper"]);
    world.expect(&tom(), &goes, &[(H, "cast upper")]);
    world.does(&tom(), disinfected("cast upper"));
    let stopped = What::Stopped(Stopped {
        reason: "the patient is ill".to_owned(),
        signed: under("dora"),
    });
    let mut still = world.clone();
    still.does(&dora(), stopped.clone());
    still.expect(&tom(), &goes, &[(CustodyRule::Stopped, "")]);
    still.expect(
        &tom(),
        &passed_on(&["final upper"]),
        &[(CustodyRule::Stopped, "")],
    );
    let mut hold = world.clone();
    hold.does(
        &tom(),
        What::DamagedHere(DamagedHere {
            tag: tag("cast upper"),
            what: "chipped".to_owned(),
            place: Side::Lab,
        }),
    );
    hold.expect(&tom(), &goes, &[(Held, "cast upper")]);
    world.does(&tom(), goes);
    world.does(&dora(), stopped);
    world.expect(&tom(), &moved(&world, PassLeg::Home, &["cast upper"]), &[]);
}

#[test]
fn cancelled_work_comes_back_from_the_second_laboratory_before_the_case_is_closed() {
    let mut world = there();
    let tags = away_from_the_office(&world.context().scope(), &world.case_state());
    assert!(tags.contains(&tag("cast upper")));
    let fated = |tag| Fated {
        tag,
        fate: Fate::Scrapped,
        consent: Some(true),
    };
    world.does(
        &dora(),
        What::Cancelled(Cancelled {
            reason: "moved away".to_owned(),
            items: tags.into_iter().map(fated).collect(),
            signed: under("dora"),
        }),
    );
    let steps = world.stands().waiting_for.into_iter();
    let steps: Vec<_> = steps.map(|task| (task.side, task.step)).collect();
    assert!(steps.contains(&(Side::Lab, case::Step::WindUp)));
    let sentences = dispositions(&world.context().scope(), &world.case_state()).unwrap_err();
    let of_cast = |one: &&String| one.contains("second lab");
    assert_eq!(sentences.iter().filter(of_cast).count(), 1, "{sentences:?}");
    world.expect(&tom(), &moved(&world, PassLeg::Home, &["cast upper"]), &[]);
}

#[test]
fn a_later_revision_is_passed_on_in_place_of_the_earlier_one() {
    let mut world = there();
    let earlier = newest(&world).event;
    let again = PassedOn {
        revision: 2,
        instead_of: Some(earlier.clone()),
        ..entry(&["cast upper"])
    };
    let leaves_it_out = PassedOn {
        items: vec![tag("final upper")],
        ..again.clone()
    };
    world.expect(&tom(), &leaves_it_out.into(), &[(Form, "cast upper")]);
    let other_lab = PassedOn {
        to: SecondLab {
            party: None,
            name: "Bellows".to_owned(),
            ..anvil()
        },
        ..again.clone()
    };
    world.expect(&tom(), &other_lab.into(), &[(Form, "")]);
    world.does(&tom(), again.clone().into());
    let case = world.case_state();
    assert_eq!(case.open_passes().count(), 1);
    let pass = case.pass_of(&tag("cast upper")).unwrap();
    assert_eq!((pass.revision, pass.left.len()), (2, 1));
    let ended = case.pass(&earlier).unwrap().ended.map(|(_, end)| end);
    assert_eq!(ended, Some(PassEnd::PassedAgain));
    world.expect(&tom(), &again.into(), &[(J, ""), (A, "cast upper")]);
    // Of the earlier one nothing is entered any more.
    world.expect(
        &lars(),
        &moved(&world, PassLeg::SetOff, &["cast upper"]),
        &[],
    );
    // What has not gone is ended, not replaced.
    let world = begun();
    let too_early = PassedOn {
        instead_of: Some(newest(&world).event),
        ..entry(&["cast upper"])
    };
    world.expect(&tom(), &too_early.into(), &[(Form, "")]);
}

#[test]
fn it_is_ended_with_a_reason_when_nothing_of_it_is_away() {
    let mut world = there();
    world.expect(&tom(), &ended(&world, "done here"), &[(A, "cast upper")]);
    world.expect(
        &tom(),
        &ended(&begun(), " "),
        &[(Form, ""), (A, "cast upper")],
    );
    let mut early = begun();
    early.expect(&anna(), &ended(&early, "no"), &[(Right, "")]);
    early.does(&tom(), ended(&early, "a mistake"));
    early.expect(&tom(), &ended(&early, "again"), &[(J, "")]);
    early.expect(&tom(), &passed_on(&["cast upper"]), &[]);
    // A stretch that was entered by mistake is withdrawn; then it can be ended.
    let mistake = world.events.last().unwrap().clone();
    let withdrawn = |event: &Event| {
        What::Withdrawn(Withdrawn {
            tag: tag("cast upper"),
            event: event.id.clone(),
            was: Some(event.what.word().to_owned()),
            of: Some(event.at),
            reason: "the other case".to_owned(),
            signed: Some(under("tom")),
        })
    };
    // Who entered it withdraws it: here the second laboratory, which has no such page.
    world.expect(&tom(), &withdrawn(&mistake), &[(Right, "cast upper")]);
    let mut left = begun();
    left.does(&tom(), moved(&left, PassLeg::Left, &["cast upper"]));
    let mistake = left.events.last().unwrap().clone();
    left.does(&tom(), withdrawn(&mistake));
    assert_eq!(left.state("cast upper").holder, Holder::Lab);
    left.expect(&tom(), &ended(&left, "a mistake"), &[]);
    world.does(&tom(), moved(&world, PassLeg::Home, &["cast upper"]));
}

#[test]
fn what_came_damaged_or_not_at_all_is_for_the_lab_to_answer_for() {
    let mut world = begun();
    world.does(&tom(), moved(&world, PassLeg::Left, &["cast upper"]));
    let found = |outcome, note: &str| Found {
        outcome,
        note: note.to_owned(),
        ..Found::sound(tag("cast upper"))
    };
    let silent = moved_so(&world, PassLeg::Arrived, vec![found(Outcome::Damaged, "")]);
    world.expect(&tom(), &silent, &[(Form, "cast upper")]);
    let mut lost = world.clone();
    let missing = moved_so(
        &lost,
        PassLeg::Arrived,
        vec![found(Outcome::Missing, "empty box")],
    );
    lost.does(&lars(), missing);
    let hold = lost.open_holds().pop().unwrap();
    assert_eq!((hold.side, hold.trouble), (Side::Lab, Trouble::Missing));
    assert!(lost.state("cast upper").missing);
    // Once the lab has said how it came about, it is still to be found or given up, by the lab.
    let mut open = lost.clone();
    open.resolves_all();
    let task = crate::domain::custody::case::Task {
        side: Side::Lab,
        step: crate::domain::custody::case::Step::FindLost,
    };
    assert!(open.stands().waiting_for.contains(&task));
    // Lost for good, or found after all.
    lost.expect(&tom(), &written_off("cast upper", "searched"), &[]);
    lost.expect(
        &anna(),
        &written_off("cast upper", "searched"),
        &[(A, "cast upper")],
    );
    lost.does(&lars(), moved(&lost, PassLeg::Arrived, &["cast upper"]));
    assert_eq!(lost.open_holds(), []);
    let damaged = moved_so(
        &world,
        PassLeg::Home,
        vec![found(Outcome::Damaged, "chipped")],
    );
    world.does(&tom(), damaged);
    assert_eq!(world.open_holds().len(), 1);
    assert_eq!(world.state("cast upper").condition, Condition::Damaged);
}

#[test]
fn what_came_damaged_there_is_sound_again_only_where_somebody_says_that_it_was_set_right() {
    let mut world = begun();
    world.does(&tom(), moved(&world, PassLeg::Left, &["cast upper"]));
    let chipped = Found {
        outcome: Outcome::Damaged,
        note: "flange chipped".to_owned(),
        ..Found::sound(tag("cast upper"))
    };
    let chipped = moved_so(&world, PassLeg::Arrived, vec![chipped]);
    world.does(&lars(), chipped);
    let right = |what: What| match what {
        What::PassMoved(moved) => What::PassMoved(PassMoved {
            set_right: vec![tag("cast upper")],
            ..moved
        }),
        other => other,
    };
    // Nothing is set right by being handed over.
    let goes = moved(&world, PassLeg::SetOff, &["cast upper"]);
    let cast = [(Form, "cast upper")];
    world.expect(&lars(), &right(goes.clone()), &cast);
    world.does(&lars(), goes);
    let home = moved(&world, PassLeg::Home, &["cast upper"]);
    let mut untouched = world.clone();
    untouched.does(&tom(), home.clone());
    let condition = untouched.state("cast upper").condition;
    assert_eq!(condition, Condition::Damaged);
    world.does(&tom(), right(home));
    assert_eq!(world.state("cast upper").condition, Condition::Sound);
}

#[test]
fn two_at_once_are_one_and_a_closed_case_stays_closed() {
    let mut world = begun();
    let goes = moved(&world, PassLeg::Left, &["cast upper"]);
    world.does(&tom(), goes.clone());
    world.expect(&mara(), &goes, &[(A, "cast upper")]);
    let twice = moved(&begun(), PassLeg::Left, &["cast upper", "cast upper"]);
    begun().expect(&tom(), &twice, &[(A, "cast upper")]);
    let stranger = moved(&begun(), PassLeg::Left, &["final upper"]);
    begun().expect(
        &tom(),
        &stranger,
        &[(Form, "final upper"), (H, "final upper")],
    );
    let mut over = World::bare(Arches::Upper);
    over.does(&tom(), registered("cast upper", Side::Lab, false));
    let items = dispositions(&over.context().scope(), &over.case_state()).unwrap();
    over.does(
        &dora(),
        What::Closed(Closed {
            items,
            note: String::new(),
            nothing_made: false,
            signed: under("dora"),
        }),
    );
    over.expect(&tom(), &passed_on(&["cast upper"]), &[(IsClosed, "")]);
}

#[test]
fn what_waits_is_said_to_whoever_has_to_do_it() {
    let world = there();
    let ordered = |revision| Ordered {
        revision,
        ..Ordered::default()
    };
    let said = |world: &World, revision: i64, today: time::Date| -> Vec<(Side, &'static str)> {
        let (context, case) = (world.context(), world.case_state());
        let ordered = ordered(revision);
        let stands = standing(&context, &case, &ordered, revision);
        let all = waits(&context, &case, &ordered, &stands, today).into_iter();
        let of_it = all.filter(|one| one.items == [tag("cast upper")]);
        of_it.map(|one| (one.side, one.to_do)).collect()
    };
    let day = time::macros::date!(2026 - 03 - 12);
    let notice = (Side::Office, "acknowledge it");
    let back = (Side::Lab, "have it back");
    assert_eq!(said(&world, 1, day), [notice]);
    assert_eq!(said(&world, 1, day.next_day().unwrap()), [notice, back]);
    let again = (Side::Lab, "pass it on again, or have it back");
    assert_eq!(said(&world, 2, day), [notice, again]);
}

#[test]
fn what_a_second_lab_makes_for_an_earlier_revision_is_passed_on_again_or_comes_back() {
    let mut world = there();
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    let tasks = |revision: i64, read: i64| -> Vec<String> {
        let ordered = Ordered {
            revision,
            ..Ordered::default()
        };
        let stands = standing(&world.context(), &world.case_state(), &ordered, read);
        stands.waiting_for.iter().map(|task| task.word()).collect()
    };
    let again = "lab:pass_anew".to_owned();
    assert!(!tasks(1, 1).contains(&again));
    assert!(tasks(2, 1).contains(&again) && tasks(2, 1).contains(&"lab:acknowledge".to_owned()));
    assert!(tasks(2, 2).contains(&again));
}

fn asks(world: &World, text: &str) -> What {
    What::PassAsked(PassAsked {
        pass: newest(world).event,
        text: text.to_owned(),
    })
}

fn replied(question: &EventId, text: &str, taken_back: bool) -> What {
    What::PassReplied(PassReplied {
        question: question.clone(),
        text: text.to_owned(),
        taken_back,
    })
}

#[test]
fn the_second_laboratory_asks_the_first_which_answers_it_once() {
    let mut world = there();
    let which = asks(&world, "which alloy?");
    for by in [tom(), mara(), anna(), dora(), ines()] {
        world.expect(&by, &which, &[(Right, "")]);
    }
    world.expect(&lars(), &asks(&world, " "), &[(Form, "")]);
    world.expect(&lars(), &which, &[]);
    world.does(&lars(), which);
    let question = world.events.last().unwrap().id.clone();
    let case = world.case_state();
    assert_eq!(case.open_pass_questions().count(), 1);
    // It is nobody's question of the two houses, and hinders no work.
    assert_eq!(case.open_questions().count(), 0);
    assert_eq!(case.waits_for_answer(), None);
    let answer = replied(&question, "the one named", false);
    world.expect(&tom(), &replied(&question, " ", false), &[(Form, "")]);
    for by in [anna(), dora(), lars(), ines()] {
        world.expect(&by, &answer, &[(Right, "")]);
    }
    let taken_back = replied(&question, "", true);
    world.expect(&lars(), &taken_back, &[]);
    world.expect(&tom(), &taken_back, &[(Right, "")]);
    let strange = EventId::new("no such entry");
    world.expect(&tom(), &replied(&strange, "so", false), &[(J, "")]);
    world.expect(&mara(), &answer, &[]);
    world.does(&tom(), answer.clone());
    world.expect(&mara(), &answer, &[(F, "")]);
    world.expect(&lars(), &taken_back, &[(F, "")]);
    assert_eq!(world.case_state().open_pass_questions().count(), 0);
    // An answer is new until the second laboratory enters something; what others enter there leaves it new.
    assert_eq!(newest(&world).new_answers, 1);
    world.does(&lars(), asks(&world, "and which flux?"));
    assert_eq!(newest(&world).new_answers, 0);
    let flux = world.events.last().unwrap().id.clone();
    world.does(&mara(), replied(&flux, "none", false));
    assert_eq!(newest(&world).new_answers, 1);
    // What is over is asked about by no entry.
    world.does(&lars(), moved(&world, PassLeg::SetOff, &["cast upper"]));
    assert_eq!(newest(&world).new_answers, 0);
    world.does(&tom(), moved(&world, PassLeg::Home, &["cast upper"]));
    world.expect(&lars(), &asks(&world, "and now?"), &[(Right, "")]);
}

#[test]
fn what_is_not_answered_yet_goes_along_where_work_is_passed_on_again() {
    let mut world = there();
    world.does(&lars(), asks(&world, "which alloy?"));
    let question = world.events.last().unwrap().id.clone();
    let earlier = newest(&world).event;
    let again = PassedOn {
        revision: 2,
        instead_of: Some(earlier.clone()),
        ..entry(&["cast upper"])
    };
    world.does(&tom(), What::PassedOn(again));
    let case = world.case_state();
    let (pass, _) = case.pass_question(&question).unwrap();
    assert_ne!(pass.event, earlier);
    assert_eq!(case.open_pass_questions().count(), 1);
    world.expect(&tom(), &replied(&question, "the one named", false), &[]);
}

#[test]
fn the_second_laboratory_withdraws_its_own_entry_while_nothing_rests_on_it() {
    let mut world = there();
    let withdrawing = |event: &Event| {
        What::Withdrawn(Withdrawn {
            tag: tag("cast upper"),
            event: event.id.clone(),
            was: Some(event.what.word().to_owned()),
            of: Some(event.at),
            reason: "the other parcel was meant".to_owned(),
            signed: Some(under("lars")),
        })
    };
    let arrived = world.events.last().unwrap().clone();
    let left = world.events[world.events.len() - 2].clone();
    world.expect(&lars(), &withdrawing(&arrived), &[]);
    // Nobody else's, and by nobody else.
    for by in [tom(), mara(), anna()] {
        world.expect(&by, &withdrawing(&arrived), &[(Right, "cast upper")]);
    }
    world.expect(&ines(), &withdrawing(&arrived), &[(Right, "")]);
    world.expect(&lars(), &withdrawing(&left), &[(Right, "cast upper")]);
    // Later entries rest on it.
    world.does(&lars(), moved(&world, PassLeg::SetOff, &["cast upper"]));
    let set_off = world.events.last().unwrap().clone();
    world.expect(&lars(), &withdrawing(&arrived), &[(F, "cast upper")]);
    world.does(&lars(), withdrawing(&set_off));
    world.expect(&lars(), &withdrawing(&set_off), &[(Right, "")]);
    let there = Holder::Passed(PassedPlace::At);
    let case = world.case_state();
    assert_eq!(case.item(&tag("cast upper")).unwrap().holder, there);
    world.does(&lars(), withdrawing(&arrived));
    let there = Holder::Passed(PassedPlace::There);
    let case = world.case_state();
    assert_eq!(case.item(&tag("cast upper")).unwrap().holder, there);
    // Once it is back nothing of it is the second laboratory's to say.
    world.does(&lars(), moved(&world, PassLeg::Arrived, &["cast upper"]));
    world.does(&lars(), moved(&world, PassLeg::SetOff, &["cast upper"]));
    let set_off = world.events.last().unwrap().clone();
    world.does(&tom(), moved(&world, PassLeg::Home, &["cast upper"]));
    world.expect(&lars(), &withdrawing(&set_off), &[(Right, "")]);
}

#[test]
fn the_ribbon_draws_the_second_laboratory_in_a_lane_with_its_name() {
    use crate::domain::custody::ribbon::{Lane, RibbonLine, lanes_of, ribbon};
    let drawn = |world: &World| {
        let now = Moment::new(world.now_ms + MINUTE_MS, 60);
        ribbon(
            &world.items,
            &world.events,
            &world.case_state(),
            &[Arch::Upper],
            now,
        )
    };
    let before = drawn(&begun());
    let has_second = |lines: &[RibbonLine]| lanes_of(lines).any(|lane| lane == Lane::SecondLab);
    assert!(!has_second(&before.lines) && before.second_labs.is_empty());
    let after = drawn(&there());
    assert!(has_second(&after.lines));
    assert_eq!(after.lane_name(Lane::SecondLab), "Anvil");
    assert_eq!(after.lane_name(Lane::Office), "Office");
    let mut lines = after.lines.iter();
    let cast = lines.find(|line| line.tag == tag("cast upper")).unwrap();
    let mut lanes: Vec<Lane> = cast.stays.iter().map(|stay| stay.lane).collect();
    lanes.dedup();
    assert_eq!(lanes, [Lane::Lab, Lane::OnTheWay, Lane::SecondLab]);
}

#[test]
fn what_is_to_be_known_first_of_passed_work_is_one_thing() {
    let mut world = begun();
    let pass = newest(&world);
    assert_eq!(pass.caution(1), None);
    assert_eq!(pass.caution(2), Some(PassCaution::Superseded));
    let asking = PassedWork {
        needs_consent: true,
        ..pass
    };
    assert_eq!(asking.caution(2), Some(PassCaution::AwaitsConsent));
    world.does(&dora(), said(&world, PassAnswer::Objected, "make it here"));
    let refused = newest(&world);
    assert_eq!(refused.caution(2), Some(PassCaution::Refused));
    let over = PassedWork {
        ended: Some((refused.at, PassEnd::Ended)),
        ..refused
    };
    assert_eq!(over.caution(2), None);
}

#[test]
fn a_copy_of_the_part_says_that_its_work_is_over_and_nothing_else_then() {
    let mut pass = newest(&begun());
    let later = Some((2, pass.at));
    let superseded = later.and_then(|newest| OutOfForce::of(1, newest, None, None));
    assert!(superseded.is_some());
    for out in [None, superseded.clone()] {
        assert_eq!(pass.out_of_force(out.clone()), out);
    }
    let day = whole_day(pass.at.date());
    for (end, how) in [
        (PassEnd::Back, "all of it was back"),
        (PassEnd::Ended, "the laboratory that passed it on ended it"),
        (PassEnd::PassedAgain, "it was passed on again"),
    ] {
        pass.ended = Some((pass.at, end));
        for before in [None, superseded.clone()] {
            let out = pass.out_of_force(before).unwrap();
            assert_eq!((out.word(), out.is_by_the_card()), ("ended", false));
            let said = format!("This work is over: {how} on {day}. Do not work from this copy.");
            assert_eq!(out.words(), said);
        }
    }
}

#[test]
fn what_is_to_go_to_a_second_laboratory_is_what_has_not_been_there() {
    let cast = tag("cast upper");
    let to_go = |case: &CaseState| -> Vec<Tag> {
        let things = case.to_go_to_second_labs().into_iter();
        things.map(|(_, tag)| tag.clone()).collect()
    };
    let world = begun();
    assert_eq!(to_go(&world.case_state()), std::slice::from_ref(&cast));
    let mut asking = world.case_state();
    asking.passes[0].needs_consent = true;
    assert!(to_go(&asking).is_empty());
    let mut world = there();
    assert!(to_go(&world.case_state()).is_empty());
    assert!(world.case_state().left_behind_by(&cast).is_none());
    world.does(&lars(), moved(&world, PassLeg::SetOff, &["cast upper"]));
    let case = world.case_state();
    let by = case.left_behind_by(&cast).map(|pass| pass.to.name.as_str());
    assert_eq!(by, Some("Anvil Dental Laboratory"));
    world.does(&tom(), moved(&world, PassLeg::Home, &["cast upper"]));
    assert!(to_go(&world.case_state()).is_empty());
}

#[test]
fn another_arch_and_a_day_after_the_work_is_due_are_doubted() {
    let world = World::bare(Arches::Both);
    let day = |day: u8| time::Date::from_calendar_date(2026, time::Month::December, day).unwrap();
    let (before, due, after) = (day(20), day(21), day(31));
    let (upper, bite) = ("try-in upper", "bite");
    let table = [
        (upper, Arches::Upper, before, Some(due), [false, false]),
        (upper, Arches::Both, due, Some(due), [false, false]),
        (bite, Arches::Lower, due, None, [false, false]),
        (upper, Arches::Lower, before, Some(due), [true, false]),
        (bite, Arches::Lower, after, Some(due), [false, true]),
        (upper, Arches::Lower, after, Some(due), [true, true]),
    ];
    for (thing, arches, wanted, due, expected) in table {
        let item = Item::of(&world.items, &tag(thing)).unwrap();
        let said = doubts(&[item], arches, (wanted, due));
        let has = |words: &str| said.iter().any(|one| one.contains(words));
        let found = [
            has("goes along, and what is to be done is for"),
            has("is due on"),
        ];
        assert_eq!(found, expected, "{said:?}");
        assert_eq!(said.len(), expected.iter().filter(|one| **one).count());
    }
}

/// Common practice, no source: nothing is mounted on a cast that is in another house.
#[test]
fn a_step_on_what_is_with_the_second_laboratory_is_asked_about() {
    let mut world = begun();
    let ordered = Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 60)),
        enclosed: vec![tag("bite")],
        records: vec![tag("bite")],
        ..Ordered::default()
    };
    let missed = |world: &World, step: BenchStep, arch: Arch| {
        let case = world.case_state();
        let found = absent((&ordered, &world.items, &case), (step, &[arch]));
        found.iter().map(name).collect::<Vec<_>>()
    };
    let mounted = BenchStep::Mounted;
    // The record that the text names has not come; the cast is here still.
    assert_eq!(missed(&world, mounted, Arch::Upper), ["bite"]);
    assert_eq!(missed(&world, BenchStep::SetUp, Arch::Upper), [""; 0]);
    world.does(&tom(), moved(&world, PassLeg::Left, &["cast upper"]));
    assert_eq!(
        missed(&world, BenchStep::SetUp, Arch::Upper),
        ["cast upper"]
    );
    assert_eq!(missed(&world, mounted, Arch::Upper), ["bite", "cast upper"]);
    assert_eq!(missed(&world, mounted, Arch::Lower), ["bite"]);
    assert_eq!(missed(&world, BenchStep::Finished, Arch::Upper), [""; 0]);
}

/// Common practice, no source: of two records the lab mounts by the one that was taken after the other was refused.
#[test]
fn the_record_of_a_refused_height_is_told_from_the_new_one() {
    let mut world = begun();
    let mounted_by = |record: &str| Ordered {
        mounted_by: Some(tag(record)),
        ..Ordered::default()
    };
    let others = |world: &World, ordered: &Ordered| {
        let found = records_of_before(ordered, &world.items, &world.case_state());
        found.iter().map(name).collect::<Vec<_>>()
    };
    let new = mounted_by("facebow");
    assert_eq!(others(&world, &new), [""; 0]);
    world.sends(&anna(), "h9", &["bite"]);
    world.takes(&tom(), "h9", &["bite"]);
    assert_eq!(others(&world, &new), ["bite"]);
    assert_eq!(others(&world, &mounted_by("bite")), [""; 0]);
    assert_eq!(others(&world, &Ordered::default()), [""; 0]);
}

/// Common practice, no source: the work of a second laboratory is done on the things of each arch that it is for.
#[test]
fn what_the_work_of_a_second_lab_is_done_on_is_missed_for_each_of_its_arches() {
    let world = begun();
    let case = world.case_state();
    let cast = [tag("cast upper")];
    type Left = (&'static [&'static str], &'static [Arch]);
    let table: [(SecondLabWork, Arches, &[Tag], Left); 5] = [
        (SecondLabWork::SetUp, Arches::Upper, &cast, (&[], &[])),
        (
            SecondLabWork::SetUp,
            Arches::Upper,
            &[],
            (&["cast upper"], &[]),
        ),
        (
            SecondLabWork::SetUp,
            Arches::Both,
            &cast,
            (&[], &[Arch::Lower]),
        ),
        (SecondLabWork::Framework, Arches::Both, &cast, (&[], &[])),
        (SecondLabWork::Tray, Arches::Lower, &[], (&[], &[])),
    ];
    for (work, arches, going, (left, bare)) in table {
        let found = stays_behind((&world.items, &case), (work, arches), going);
        let named: Vec<&str> = found.0.iter().map(name).collect();
        assert_eq!(
            (&named[..], &found.1[..]),
            (left, bare),
            "{work:?} {arches:?}"
        );
    }
}
