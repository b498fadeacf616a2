//! Two open cases of one patient that cannot both be right. Common practice, no source: one mouth wears one denture in
//! each arch, and one denture is made for it at a time.

use super::*;
use crate::domain::custody::agenda::OrderedWork;
use crate::domain::custody::contradictions::{CaseSays, Contradiction, contradictions};
use crate::domain::prescription::Stage;

/// What a revision orders for these arches.
fn orders(works: &[(Arch, Stage)]) -> Ordered {
    let works = works.iter();
    Ordered {
        revision: 1,
        since: Some(Moment::new(MONDAY_MS, 60)),
        work: works
            .map(|&(arch, stage)| OrderedWork {
                against_teeth: false,
                arch: Some(arch),
                stage,
            })
            .collect(),
        ..Ordered::default()
    }
}

fn nothing() -> Ordered {
    Ordered::default()
}

fn says<'a>((world, ordered): (&'a World, &'a Ordered), state: &'a CaseState) -> CaseSays<'a> {
    CaseSays {
        items: &world.items,
        state,
        ordered,
        arches: world.arches.treated(),
    }
}

/// What two cases say against each other, asked from either side.
fn found(one: (&World, &Ordered), other: (&World, &Ordered)) -> Vec<Contradiction> {
    let (first, second) = (one.0.case_state(), other.0.case_state());
    let (one, other) = (says(one, &first), says(other, &second));
    let found = contradictions(&one, &other);
    let turned = contradictions(&other, &one);
    let turn = |one: Contradiction| match one {
        Contradiction::OldKeptByFirst(arch) => Contradiction::OldKeptBySecond(arch),
        Contradiction::OldKeptBySecond(arch) => Contradiction::OldKeptByFirst(arch),
        other => other,
    };
    let turned: Vec<_> = turned.into_iter().map(turn).collect();
    assert_eq!(found, turned, "both cases say it");
    found
}

/// A case of both arches with this worn from this minute on.
fn wearing(thing: &str, minute: i64) -> World {
    let mut world = World::bare(Arches::Both);
    world.now_ms += minute * MINUTE_MS;
    world.does(&dora(), registered(thing, Side::Office, true));
    world
}

/// The upper provisional was worn, and is out with a signed reason from this minute on.
fn without(minute: i64) -> World {
    let mut world = wearing("provisional upper", 0);
    world.now_ms = MONDAY_MS + minute * MINUTE_MS;
    let out = What::TakenOut(TakenOut {
        tag: tag("provisional upper"),
        exception: signed("a sore"),
    });
    world.does(&dora(), out);
    world
}

/// The upper duplicate was fitted in this minute.
fn with_the_duplicate(minute: i64) -> World {
    let mut world = World::bare(Arches::Both);
    world.does(&anna(), registered("duplicate upper", Side::Office, false));
    world.now_ms = MONDAY_MS + minute * MINUTE_MS;
    world.does(&dora(), fitted("duplicate upper", None));
    world
}

#[test]
fn one_arch_wears_one_denture_whatever_two_cases_say() {
    let upper = [Contradiction::Worn(Arch::Upper)];
    let none = nothing();
    let table = [
        // The same denture stands in both, or another one.
        (
            wearing("provisional upper", 0),
            wearing("provisional upper", 5),
            &upper[..],
        ),
        (
            wearing("provisional upper", 0),
            wearing("final upper", 5),
            &upper[..],
        ),
        (
            wearing("provisional upper", 0),
            wearing("provisional lower", 5),
            &[],
        ),
        // Nobody has said anything in the other.
        (
            wearing("provisional upper", 0),
            World::bare(Arches::Both),
            &[],
        ),
        // That it came out is newer than that it was worn, or older.
        (wearing("provisional upper", 0), without(9), &upper[..]),
        (wearing("provisional upper", 30), without(9), &[]),
        (without(9), without(20), &[]),
        // Another was fitted meanwhile: that the first is out only sets its own case right.
        (with_the_duplicate(9), without(20), &[]),
        (
            with_the_duplicate(9),
            wearing("provisional upper", 0),
            &upper[..],
        ),
    ];
    for (place, (one, other, wanted)) in table.iter().enumerate() {
        assert_eq!(found((one, &none), (other, &none)), *wanted, "row {place}");
    }
}

#[test]
fn the_old_denture_does_not_stay_away_by_one_case_and_with_the_patient_by_the_other() {
    let kept = || {
        let mut world = World::bare(Arches::Both);
        world.does(&anna(), registered("old upper", Side::Office, false));
        let kept = What::Withheld(Withheld {
            tag: tag("old upper"),
            consent: true,
            kept: "a drawer".to_owned(),
        });
        world.does(&dora(), kept);
        world
    };
    let mut at_the_office = World::bare(Arches::Both);
    at_the_office.does(&anna(), registered("old upper", Side::Office, false));
    let none = nothing();
    let against = |other: &World| found((&kept(), &none), (other, &none));
    let wanted = [Contradiction::OldKeptByFirst(Arch::Upper)];
    assert_eq!(against(&wearing("old upper", 0)), wanted);
    assert_eq!(against(&wearing("old lower", 0)), []);
    assert_eq!(against(&at_the_office), []);
    assert_eq!(against(&kept()), []);
}

#[test]
fn two_cases_do_not_both_make_a_denture_for_one_jaw() {
    use Arch::{Lower, Upper};
    let bare = || World::bare(Arches::Both);
    let same = [Contradiction::SameWork(Upper)];
    // what either orders, and what is found
    for (one, other, wanted) in [
        (
            &[(Upper, Stage::Process)][..],
            &[(Upper, Stage::Process)][..],
            &same[..],
        ),
        (&[(Upper, Stage::TryIn)], &[(Upper, Stage::Process)], &same),
        (&[(Upper, Stage::Process)], &[(Lower, Stage::Process)], &[]),
        // A duplicate, or a repair, goes beside.
        (
            &[(Upper, Stage::Process)],
            &[(Upper, Stage::Duplicate)],
            &[],
        ),
        (&[(Upper, Stage::Process)], &[(Upper, Stage::Repair)], &[]),
        (&[(Upper, Stage::Process)], &[], &[]),
    ] {
        let (first, second) = (orders(one), orders(other));
        let said = found((&bare(), &first), (&bare(), &second));
        assert_eq!(said, wanted, "{one:?} {other:?}");
    }
    // Of what is cancelled nothing is made.
    let mut cancelled = bare();
    let what = Cancelled::sample(&SampleContext {
        scope: cancelled.context().scope(),
        case: &cancelled.case_state(),
        by: &dora(),
        at: Moment::new(cancelled.now_ms + MINUTE_MS, 60),
    });
    cancelled.does(&dora(), what.into());
    let ordered = orders(&[(Upper, Stage::Process)]);
    assert_eq!(found((&cancelled, &ordered), (&bare(), &ordered)), []);
    // What is worn already is made no more: a remake in a case of its own contradicts nothing.
    let mut fitted_before = bare();
    fitted_before.does(&tom(), registered("final upper", Side::Lab, false));
    fitted_before.sends(&tom(), "h1", &["final upper"]);
    fitted_before.takes(&anna(), "h1", &["final upper"]);
    assert_eq!(
        found((&fitted_before, &ordered), (&bare(), &ordered)),
        same,
        "it is here, and not worn yet"
    );
    fitted_before.does(&dora(), fitted("final upper", None));
    assert_eq!(found((&fitted_before, &ordered), (&bare(), &ordered)), []);
}
