use crate::domain::custody::follow_up::{WorkCause, WorkShare};
use crate::domain::custody::handoff::{Handoff, PickUp};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{CaseState, Purpose, Sent};
use crate::domain::people::party::{Actor, Role, Side};
use crate::domain::prescription::{Course, OrderKind, Stage};
use crate::domain::report::case_track::{
    AgreedAgain, AskedPart, AskedRound, CaseTrack, FirstOrder, LabRound, WorkBack, brings_no_work,
    covered, rounds,
};
use crate::domain::report::proportion::Proportion;
use crate::domain::report::tally::{CauseCount, MonthTally, Punctuality};
use crate::domain::values::ids::{AccountId, CaseNumber, HandoffId, PartyId, Tag};
use crate::domain::values::moment::Moment;
use proptest::prelude::*;
use time::Date;
use time::macros::date;

const DAY: i64 = 86_400_000;

/// A day of March 2026, at noon UTC.
fn noon(day: i64) -> Moment {
    // 2026-03-01 00:00 UTC.
    Moment::new(1_772_323_200_000 + (day - 1) * DAY + DAY / 2, 0)
}

fn handoff(from: Side, purpose: Purpose, left: i64, arrived: Option<i64>) -> Handoff {
    let by = Actor {
        account: AccountId::new("a"),
        name: "A".to_owned(),
        role: Role::Technician,
        party: PartyId::new("p"),
        party_name: "P".to_owned(),
    };
    Handoff {
        id: HandoffId::new(format!("{from:?} {left}")),
        from,
        to: from.other(),
        sent: Vec::new(),
        carrier: "courier".to_owned(),
        tracking: String::new(),
        purpose_code: Some(purpose),
        purpose: String::new(),
        parcels: Vec::new(),
        released_at: noon(left),
        released_by: by,
        awaits_pickup: false,
        picked_up: None,
        found: Vec::new(),
        received_at: arrived.map(noon),
        received_by: None,
        unannounced: Vec::new(),
        opened: Vec::new(),
        voided: None,
        written_off: Vec::new(),
        not_packed: Vec::new(),
        as_revision: None,
        as_it_comes: None,
        excepted: false,
        brought_back: Vec::new(),
        turns_before: 0,
    }
}

fn of(handoffs: Vec<Handoff>) -> Vec<LabRound> {
    let state = CaseState {
        handoffs,
        ..CaseState::default()
    };
    rounds(&state, &[], |_| false)
}

#[test]
fn a_round_runs_from_what_came_first_to_each_return_of_work() {
    let to = |left, arrived| handoff(Side::Office, Purpose::Make, left, arrived);
    let back = |purpose, left, arrived| handoff(Side::Lab, purpose, left, arrived);
    let days = |rounds: &[LabRound]| -> Vec<(i64, WorkBack)> {
        let one = |round: &LabRound| (round.whole_ms() / DAY, round.back);
        rounds.iter().map(one).collect()
    };
    // Two parcels on the way in, a try-in back, in again, and the finished work in two parts.
    let whole = of(vec![
        to(1, Some(2)),
        to(2, Some(4)),
        back(Purpose::Trial, 9, Some(10)),
        handoff(Side::Office, Purpose::AfterTrial, 11, Some(12)),
        back(Purpose::Finished, 15, Some(16)),
        back(Purpose::Finished, 17, None),
    ]);
    let wanted = [
        (7, WorkBack::Trial),
        (3, WorkBack::Finished),
        (5, WorkBack::Finished),
    ];
    assert_eq!(days(&whole), wanted);
    assert_eq!(whole[2].arrived, None);
    // What only goes back ends nothing, and what came by mistake begins nothing.
    let stray = handoff(Side::Office, Purpose::Stray, 1, Some(2));
    let without = of(vec![
        stray,
        back(Purpose::GoingBack, 3, Some(4)),
        back(Purpose::Finished, 5, Some(6)),
    ]);
    assert_eq!(without, []);
    // Packed, it has not left; picked up, it left then; taken back, it never left.
    let mut packed = back(Purpose::Finished, 5, None);
    packed.awaits_pickup = true;
    assert_eq!(of(vec![to(1, Some(2)), packed.clone()]), []);
    packed.picked_up = Some(PickUp {
        person: "C".to_owned(),
        at: noon(8),
        handed_out_by: "A".to_owned(),
    });
    assert_eq!(
        days(&of(vec![to(1, Some(2)), packed.clone()])),
        [(6, WorkBack::Finished)]
    );
    packed.voided = Some((packed.released_by.clone(), noon(9), String::new()));
    assert_eq!(of(vec![to(1, Some(2)), packed]), []);
    assert_eq!(of(vec![to(1, None), back(Purpose::Finished, 5, None)]), []);
}

#[test]
fn time_that_is_held_twice_over_is_held_once() {
    type Stretch = (i64, Option<i64>);
    let table: [(&[Stretch], i64); 7] = [
        (&[], 0),
        (&[(2, Some(4))], 2),
        (&[(2, Some(4)), (3, Some(6))], 4),
        (&[(3, Some(6)), (2, Some(9)), (4, Some(5))], 7),
        // Begun before, ended after, or not ended.
        (&[(-5, Some(3))], 3),
        (&[(8, None)], 2),
        (
            &[(-5, Some(0)), (10, None), (12, Some(15)), (4, Some(4))],
            0,
        ),
    ];
    for (stretches, wanted) in table {
        assert_eq!(covered((0, 10), stretches), wanted, "{stretches:?}");
    }
}

fn number(place: u8) -> CaseNumber {
    let mut all = (0..32).filter_map(|last| CaseNumber::from_random([7, 7, 7, 7, 7, 7, last]));
    all.nth(usize::from(place)).unwrap()
}

fn returned(
    place: u8,
    (came, left): (i64, i64),
    due: Option<Date>,
    arrived: Option<i64>,
) -> CaseTrack {
    CaseTrack {
        number: number(place),
        rounds: vec![AskedRound {
            round: LabRound {
                came: noon(came),
                left: noon(left),
                back: WorkBack::Finished,
                arrived: arrived.map(noon),
                held_ms: DAY,
            },
            due,
        }],
        asked: Vec::new(),
        order: None,
        agreed: Vec::new(),
        done: Vec::new(),
    }
}

/// March 2026 by UTC.
const MARCH: (i64, i64) = (1_772_323_200_000, 1_772_323_200_000 + 31 * DAY);

#[test]
fn a_return_is_held_against_the_day_that_was_asked() {
    let due = Some(date!(2026 - 03 - 20));
    let table = [
        (due, Some(20), date!(2026 - 03 - 31), Punctuality::OnTime),
        (due, Some(22), date!(2026 - 03 - 31), Punctuality::Late(2)),
        (due, None, date!(2026 - 03 - 20), Punctuality::OnTheWay),
        (due, None, date!(2026 - 03 - 21), Punctuality::Late(1)),
        (None, Some(20), date!(2026 - 03 - 31), Punctuality::NoDay),
    ];
    for (due, arrived, today, wanted) in table {
        let tally = MonthTally::of(&[returned(2, (10, 18), due, arrived)], MARCH, today);
        assert_eq!(tally.returns[0].punctuality, wanted);
        let counted = &tally.on_time;
        let known = usize::from(matches!(wanted, Punctuality::OnTime | Punctuality::Late(_)));
        assert_eq!(counted.in_time.whole, known);
        assert_eq!(counted.without_day + counted.on_the_way, 1 - known);
        let line = &tally.turnaround[0];
        assert_eq!((line.whole.median, line.working.median), (8.0, 7.0));
        assert_eq!((line.with_hold.part, line.held.unwrap().median), (1, 1.0));
    }
}

#[test]
fn a_month_counts_what_left_in_it_and_nothing_else() {
    let tracks = [
        returned(2, (-3, 0), None, Some(1)),
        returned(3, (-3, 1), None, Some(2)),
        returned(4, (20, 31), None, None),
        returned(5, (20, 32), None, None),
    ];
    let tally = MonthTally::of(&tracks, MARCH, date!(2026 - 04 - 02));
    assert_eq!(tally.returns.len(), 2);
    assert_eq!(tally.cases, 4);
    assert_eq!(tally.limits, None, "two returns say nothing of chance");
    let empty = MonthTally::of::<CaseTrack>(&[], MARCH, date!(2026 - 04 - 02));
    assert_eq!(empty, MonthTally::default());
}

#[test]
fn questions_are_counted_by_what_they_are_about_and_orders_by_their_work() {
    let asked = |section: Option<&str>, about_item, waits, answered: Option<i64>| AskedPart {
        at: noon(5),
        section: section.map(str::to_owned),
        about_item,
        waits,
        answered_ms: answered.map(|hours| hours * 3_600_000),
    };
    let mut track = returned(2, (1, 9), None, None);
    track.asked = vec![
        asked(Some("vertical"), false, true, Some(2)),
        asked(Some("vertical"), false, false, Some(6)),
        asked(None, true, false, None),
        asked(None, false, false, None),
        AskedPart {
            at: noon(40),
            ..asked(Some("vertical"), false, false, None)
        },
    ];
    let order = |course, kind, day| FirstOrder {
        signed: noon(day),
        course,
        kind,
    };
    let agreed = |day, is_remake, cause, share| AgreedAgain {
        at: noon(day),
        is_remake,
        cause,
        share,
        is_disputed: false,
    };
    let (office, lab) = (Some(WorkShare::Office), Some(WorkShare::Lab));
    track.agreed = vec![
        agreed(4, true, WorkCause::Finish, lab),
        agreed(5, true, WorkCause::JawRecord, office),
        agreed(6, false, WorkCause::JawRecord, lab),
        agreed(40, true, WorkCause::Transit, lab),
        AgreedAgain {
            is_disputed: true,
            ..agreed(7, false, WorkCause::Finish, lab)
        },
    ];
    track.order = Some(order(Course::Copy, Some(OrderKind::Remake), 2));
    let mut other = returned(3, (1, 9), None, None);
    other.order = Some(order(Course::Copy, Some(OrderKind::New), 3));
    let mut third = returned(4, (1, 9), None, None);
    third.order = Some(order(Course::Repair, None, 45));
    let tally = MonthTally::of(&[track, other, third], MARCH, date!(2026 - 04 - 02));
    assert_eq!(tally.questions, 4);
    let first = &tally.parts[0];
    assert_eq!((first.questions, first.waited), (2, 1));
    assert_eq!(first.answered.unwrap().median, 4.0);
    assert_eq!(
        tally.parts.iter().map(|one| one.questions).sum::<usize>(),
        4
    );
    assert_eq!(tally.agreed, (2, 1));
    assert_eq!(tally.disputed, (0, 1), "of its own, and of no cause");
    let of = |part, whole| Proportion { part, whole };
    let causes = [
        CauseCount {
            cause: WorkCause::JawRecord,
            remakes: of(1, 2),
            corrections: of(1, 1),
            parts: vec![(WorkShare::Office, 1), (WorkShare::Lab, 1)],
        },
        CauseCount {
            cause: WorkCause::Finish,
            remakes: of(1, 2),
            corrections: of(0, 1),
            parts: vec![(WorkShare::Lab, 1)],
        },
    ];
    assert_eq!(
        tally.causes, causes,
        "what was agreed on in the month, and no other"
    );
    assert_eq!(tally.repeats.len(), 2, "all, and one kind of work");
    for line in &tally.repeats {
        assert_eq!((line.remakes.part, line.remakes.whole), (1, 2));
        assert_eq!(line.corrections.part, 0);
    }
}

#[test]
fn a_day_is_the_days_of_the_return_that_was_asked_for() {
    let of = |back| LabRound {
        came: noon(1),
        left: noon(2),
        back,
        arrived: None,
        held_ms: 0,
    };
    let table = [
        (WorkBack::Finished, Stage::Process, true),
        (WorkBack::Trial, Stage::Process, false),
        (WorkBack::Trial, Stage::TryIn, true),
        (WorkBack::Record, Stage::Rims, true),
        (WorkBack::Record, Stage::TryIn, false),
        (WorkBack::Other, Stage::Process, false),
    ];
    for (back, stage, wanted) in table {
        assert_eq!(of(back).is_asked_by(&[stage]), wanted, "{back:?} {stage:?}");
    }
}

proptest! {
    #[test]
    fn many_returns_are_charted_by_their_days_and_few_one_by_one(takes in prop::collection::vec((1i64..31, 0i64..20), 0..120)) {
        let tracks: Vec<CaseTrack> = takes
            .iter()
            .map(|(left, took)| returned(2, (left - took, *left), None, None))
            .collect();
        let tally = MonthTally::of(&tracks, MARCH, date!(2026 - 04 - 02));
        prop_assert_eq!(tally.returns.len(), takes.len());
        prop_assert!(tally.chart.len() <= 45);
        if takes.len() <= 45 {
            prop_assert_eq!(tally.chart.len(), takes.len());
        }
        prop_assert!(tally.chart.windows(2).all(|pair| pair[0].day <= pair[1].day));
        prop_assert_eq!(tally.limits.is_some(), tally.chart.len() >= 8);
        // Held and working time are the whole.
        for one in &tally.returns {
            let round = &one.round;
            prop_assert!(round.working_ms() >= 0 && round.working_ms() <= round.whole_ms());
        }
    }

    #[test]
    fn what_is_covered_is_no_more_than_there_is_and_grows_with_more(
        stretches in prop::collection::vec((-20i64..40, prop::option::of(-20i64..40)), 0..12)
    ) {
        let found = covered((0, 20), &stretches);
        // Minute by minute, the slow way.
        let is_held = |minute: i64| stretches.iter().any(|(from, to)| *from <= minute && minute < to.unwrap_or(20));
        let slow = (0..20).filter(|minute| is_held(*minute)).count();
        prop_assert_eq!(found, i64::try_from(slow).unwrap());
    }
}

#[test]
fn a_cast_that_is_sent_for_records_is_no_return_of_work_but_a_mounting_is() {
    let tag = (0..32).find_map(|seed| Tag::from_random([seed, 1, 2, 3, 4, 5, 6]));
    let tag = tag.expect("a tag");
    let case = (0..32).find_map(|seed| CaseNumber::from_random([seed, 1, 2, 3, 4, 5, 6]));
    let case = case.expect("a number");
    let thing = |kind: ItemKind, borrowed: bool| Item {
        tag: tag.clone(),
        case: case.clone(),
        kind,
        arch: None,
        note: String::new(),
        pieces: 1,
        borrowed,
    };
    let mut out = handoff(Side::Lab, Purpose::Record, 5, Some(6));
    out.sent = vec![Sent::of(tag.clone())];
    let state = CaseState {
        handoffs: vec![handoff(Side::Office, Purpose::Make, 1, Some(2)), out],
        ..CaseState::default()
    };
    let counted = |item: Item, ordered: &[Stage]| {
        rounds(&state, &[], |_| brings_no_work(&item, ordered)).len()
    };
    let set_up = [Stage::SetUp, Stage::Process];
    for kind in [ItemKind::Cast, ItemKind::RemountCast, ItemKind::LabIndex] {
        assert_eq!(counted(thing(kind, false), &set_up), 0, "{kind:?}");
        assert_eq!(counted(thing(kind, false), &[Stage::Mount]), 1, "{kind:?}");
        assert_eq!(counted(thing(kind, true), &[Stage::Mount]), 0, "{kind:?}");
    }
    assert_eq!(counted(thing(ItemKind::Rims, false), &set_up), 1);
}
