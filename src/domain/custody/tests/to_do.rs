//! The agenda and the page of a case say the same first thing, and there is always somebody who can do it.

use super::super::case::{Case, DRAWN, Place, Step, Task, unsigned_summary};
use super::super::case_actions::{CaseAction, MainPlace, case_actions, is_asked_for, main_place};
use super::super::emptied::without_teeth;
use super::super::mouth::checks;
use super::super::next_check::next_check;
use super::super::to_do::ToDo;
use super::super::{agenda, agenda::CaseAgenda, agenda::WhoseTurn};
use super::walk::{any_arches, moves};
use super::*;
use crate::domain::trade::calendar::OpenDays;
use crate::domain::values::ids::PatientCode;
use proptest::prelude::*;

/// The case as it is drawn of these events, to a revision that lists these things.
pub(super) fn drawn(world: &World, ordered: &Ordered, acknowledged: i64) -> Case {
    let (context, state) = (world.context(), world.case_state());
    let standing = standing(&context, &state, ordered, acknowledged);
    let mut places = standing.places.into_iter();
    let mut case = Case {
        number: context.case.clone(),
        office: context.office.clone(),
        lab: context.lab.clone(),
        patient: code(3, PatientCode::from_random),
        arches: world.arches,
        opened_ms: 0,
        closed: state.closed,
        place: places.next().unwrap_or(Place::Office),
        also: places.next(),
        held: standing.held,
        waiting_for: standing.waiting_for,
        due: None,
        lent_due: None,
        summary: unsigned_summary(world.arches),
        revision: ordered.revision,
        acknowledged,
        changed_ms: 0,
        version: 1,
        agenda: CaseAgenda::default(),
        drawn: DRAWN,
    };
    case.agenda = agenda(&case, &world.items, &state, ordered, &[]);
    case
}

/// Where each of the house does what the agenda says first.
fn places(
    world: &World,
    side: Side,
    first: ToDo,
    ordered: &Ordered,
) -> Vec<(Role, Option<MainPlace>)> {
    let at = Moment::new(world.now_ms + 50 * MINUTE_MS, 60);
    let state = world.case_state();
    let house = match side {
        Side::Office => [dora(), anna()],
        Side::Lab => [tom(), mara()],
    };
    let place = |by: Actor| {
        let offers = Offers::new(world.context(), &state, &by, at);
        let actions = case_actions(&offers, false, ordered.revision);
        let place = main_place((&offers, ordered), first, &actions);
        if let Some(MainPlace::Action(action)) = &place {
            assert!(actions.contains(action), "{action:?} is not offered");
        }
        (by.role, place)
    };
    house.map(place).to_vec()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_the_agenda_says_first_somebody_of_that_house_finds_on_the_page_of_the_case(
        arches in any_arches(),
        has_begun in any::<bool>(),
        is_signed in any::<bool>(),
        is_read in any::<bool>(),
        lists in any::<bool>(),
        moves in moves(60),
    ) {
        let bare = World::bare(arches);
        let mut world = if has_begun { World { arches, ..World::begun() } } else { bare };
        let since = Moment::new(world.now_ms, 60);
        let enclosed = ["bite", "facebow", "provisional upper"].map(tag);
        let ordered = Ordered {
            revision: i64::from(is_signed),
            since: is_signed.then_some(since),
            enclosed: if is_signed && lists { enclosed.to_vec() } else { Vec::new() },
            ..Ordered::default()
        };
        for (place, one) in moves.into_iter().enumerate() {
            world.propose(one);
            // Nothing is stopped that nobody has ordered: no page offers it.
            if place % 6 != 0 || (!is_signed && world.case_state().standstill.is_some()) {
                continue;
            }
            let case = drawn(&world, &ordered, i64::from(is_signed && is_read));
            for side in [Side::Office, Side::Lab] {
                let Some(first) = ToDo::of(&case, side).into_iter().next() else { continue };
                let all = places(&world, side, first, &ordered);
                prop_assert!(
                    all.iter().any(|(_, place)| place.is_some()),
                    "{:?}: {} is offered to nobody there",
                    side,
                    first.words()
                );
            }
        }
    }
}

#[test]
fn where_nothing_is_there_to_be_sent_the_office_is_asked_to_register_it() {
    let mut world = World::bare(Arches::Upper);
    let ordered = Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 60)),
        ..Ordered::default()
    };
    let first = |world: &World| ToDo::of(&drawn(world, &ordered, 0), Side::Office)[0];
    assert_eq!(first(&world), ToDo::Step(Step::Register));
    let register = Some(MainPlace::Action(CaseAction::RegisterItem));
    let all = places(&world, Side::Office, first(&world), &ordered);
    assert!(all.iter().all(|(_, place)| *place == register), "{all:?}");
    // An old denture goes nowhere in the course of things.
    world.does(&dora(), registered("old upper", Side::Office, false));
    assert_eq!(first(&world), ToDo::Step(Step::Register));
    world.does(&anna(), registered("bite", Side::Office, false));
    assert_eq!(first(&world), ToDo::Step(Step::HandOver));
    let send = Some(MainPlace::Action(CaseAction::Release));
    let all = places(&world, Side::Office, first(&world), &ordered);
    assert!(all.iter().all(|(_, place)| *place == send), "{all:?}");
    // What is packed is enough.
    world.does(&anna(), disinfected("bite"));
    let mut packed = released("h1", &["bite"], Side::Office);
    if let What::Released(Released { awaits_pickup, .. }) = &mut packed {
        *awaits_pickup = true;
    }
    world.does(&anna(), packed);
    assert_eq!(first(&world), ToDo::Step(Step::PickUp));
    assert_eq!(ToDo::of(&drawn(&world, &ordered, 0), Side::Office).len(), 1);
}

#[test]
fn the_lab_makes_the_work_by_registering_it_first_and_sending_it_then() {
    let mut world = World::begun();
    let ordered = Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 60)),
        ..Ordered::default()
    };
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    let first = |world: &World| ToDo::of(&drawn(world, &ordered, 1), Side::Lab)[0];
    let make = ToDo::Step(Step::Make);
    assert_eq!(first(&world), make);
    let at = |world: &World| places(world, Side::Lab, make, &ordered)[0].1.clone();
    let bare = World {
        items: world.items.clone(),
        events: world
            .events
            .iter()
            .filter(|event| !matches!(&event.what, What::Registered(one) if name(&one.tag).starts_with("final")))
            .cloned()
            .collect(),
        ..world.clone()
    };
    assert_eq!(at(&bare), Some(MainPlace::Action(CaseAction::RegisterItem)));
    assert_eq!(at(&world), Some(MainPlace::Action(CaseAction::Release)));
}

#[test]
fn a_cancelled_case_is_closed_where_each_thing_has_its_end() {
    let mut world = World::bare(Arches::Upper);
    let ordered = Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 60)),
        ..Ordered::default()
    };
    world.does(&dora(), registered("old upper", Side::Office, false));
    world.does(
        &dora(),
        What::Cancelled(Cancelled {
            reason: "moved away".to_owned(),
            items: Vec::new(),
            signed: under("dora"),
        }),
    );
    let all_of = |world: &World| {
        let first = ToDo::of(&drawn(world, &ordered, 0), Side::Office)[0];
        assert_eq!(first, ToDo::Step(Step::Close));
        places(world, Side::Office, first, &ordered)
    };
    let old = Some(MainPlace::Item(tag("old upper")));
    assert!(all_of(&world).iter().all(|(_, place)| *place == old));
    let kept = What::Withheld(Withheld {
        tag: tag("old upper"),
        consent: true,
        kept: "drawer 3".to_owned(),
    });
    world.does(&dora(), kept);
    let close = Some(MainPlace::Action(CaseAction::Close));
    assert!(all_of(&world).iter().any(|(_, place)| *place == close));
}

#[test]
fn a_spare_is_given_on_its_own_page_and_a_day_is_answered_where_that_is_asked() {
    let world = World::begun();
    let ordered = Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 60)),
        ..Ordered::default()
    };
    let spare = Some(MainPlace::Item(tag("duplicate upper")));
    let all = places(&world, Side::Office, ToDo::Step(Step::GiveSpare), &ordered);
    assert!(all.iter().all(|(_, place)| *place == spare), "{all:?}");
    let mut case = drawn(&world, &ordered, 1);
    assert!(!is_asked_for(&case, &CaseAction::AnswerDay));
    assert!(is_asked_for(&case, &CaseAction::Release));
    case.waiting_for.push(Task {
        side: Side::Office,
        step: Step::AnswerDay,
    });
    assert!(is_asked_for(&case, &CaseAction::AnswerDay));
}

/// Common practice, no source.
#[test]
fn a_case_waits_for_its_next_check_after_the_fit_where_nobody_has_anything_to_do() {
    let mut world = World::begun();
    world.sends(&tom(), "back", &["final upper"]);
    world.takes(&anna(), "back", &["final upper"]);
    world.does(&anna(), disinfected("final upper"));
    let next = |world: &World| next_check(&world.items, &world.case_state(), &[Arch::Upper]);
    assert_eq!(next(&world), None);
    world.does(&dora(), fitted("final upper", Some("provisional upper")));
    let went_in = world.events.last().unwrap().at.date();
    let all = checks(went_in, &OpenDays::weekdays([]));
    assert_eq!(next(&world), Some(all[0].day));
    let ordered = Ordered {
        revision: 1,
        ..Ordered::default()
    };
    let mut case = drawn(&world, &ordered, 1);
    case.waiting_for.clear();
    case.held = None;
    let on = agenda(&case, &world.items, &world.case_state(), &ordered, &[]);
    assert_eq!(on.office.turn, WhoseTurn::Check);
    assert_eq!(on.office.day, Some(all[0].day));
    assert!(on.office.is_check_due(all[0].day));
    let before = all[0].day.previous_day().unwrap();
    assert!(!on.office.is_check_due(before));
    assert_ne!(on.lab.turn, WhoseTurn::Check);
    assert_eq!(on.lab.check, None);
    // Whatever else the office has to do, the check is due all the same.
    for (step, turn) in [
        (Step::GiveSpare, WhoseTurn::Yours),
        (Step::Answer, WhoseTurn::Asked),
    ] {
        case.waiting_for = vec![Task {
            side: Side::Office,
            step,
        }];
        let on = agenda(&case, &world.items, &world.case_state(), &ordered, &[]);
        assert_eq!(on.office.turn, turn);
        assert!(on.office.is_check_due(all[0].day), "{step:?}");
        assert!(!on.office.is_check_due(before), "{step:?}");
        let by_check = (turn == WhoseTurn::Yours).then_some(all[0].day);
        assert_eq!(on.office.day, by_check);
    }
    // In a closed case nothing is due.
    case.closed = true;
    let on = agenda(&case, &world.items, &world.case_state(), &ordered, &[]);
    assert_eq!(on.office.check, None);
    let check = |check| {
        What::FollowedUp(FollowedUp {
            check,
            ..FollowedUp::sample(Arches::Upper)
        })
    };
    world.does(&dora(), check(FollowUp::Other));
    assert_eq!(next(&world), Some(all[0].day));
    world.does(&dora(), check(FollowUp::Day));
    assert_eq!(next(&world), Some(all[1].day));
    // What a later one has passed over is asked for no more.
    world.does(&dora(), check(FollowUp::Month));
    assert_eq!(next(&world), None);
}

/// Where the case stands in the lists of both houses, and what is said of its upper arch.
fn turns_of(world: &World, ordered: &Ordered) -> ([WhoseTurn; 2], Vec<String>) {
    let of = drawn(world, ordered, 1).agenda;
    let empty = without_teeth(&world.items, &world.case_state(), &[Arch::Upper], &[]);
    let words = empty.iter().map(|one| one.how.words().to_owned());
    ([of.office.turn, of.lab.turn], words.collect())
}

/// Common practice, no source.
#[test]
fn only_an_arch_that_nobody_meant_to_stand_empty_goes_before_the_work() {
    let ordered = Ordered {
        revision: 1,
        ..Ordered::default()
    };
    let mut world = World::begun();
    let worn = world.worn(Arch::Upper).unwrap();
    world.does(
        &dora(),
        What::TakenOut(TakenOut {
            tag: tag(worn),
            exception: signed("broken"),
        }),
    );
    let (turns, words) = turns_of(&world, &ordered);
    assert!(!turns.contains(&WhoseTurn::Toothless), "{turns:?}");
    assert_eq!(words, ["it was taken out"]);
    // Found broken on arrival, it is there to be repaired.
    world.does(&dora(), disinfected(worn));
    let away = excepted("h1", &[worn], Side::Office, signed("to be repaired"));
    world.does(&dora(), away);
    let broken = found(worn, Outcome::Damaged, true);
    world.does(&tom(), received("h1", Side::Lab, &[broken]));
    let (turns, words) = turns_of(&world, &ordered);
    assert!(!turns.contains(&WhoseTurn::Toothless), "{turns:?}");
    assert_eq!(words, ["it was taken out"]);
    // Lost since, it is no way on any more.
    world.resolves_all();
    world.does(&mara(), written_off(worn, "lost at the lab"));
    let (turns, words) = turns_of(&world, &ordered);
    assert_eq!(turns[0], WhoseTurn::Toothless);
    assert_eq!(words, ["it was taken out, and is lost"]);
    let empty = without_teeth(&world.items, &world.case_state(), &[Arch::Upper], &[]);
    assert!(
        empty[0]
            .sentence()
            .starts_with("The patient has no denture in the upper arch since ")
    );
}
