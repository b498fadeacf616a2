//! An arch that stands empty by one case, and a denture of it that another case of the patient tells of.

use super::super::emptied::{had_dentures, without_teeth};
use super::*;

const DAY_MS: i64 = 24 * 60 * 60_000;

/// The upper provisional was worn, and the patient has lost it.
fn lost() -> World {
    let mut world = World::begun();
    world.now_ms += DAY_MS;
    let how = What::WrittenOff(WrittenOff {
        tag: tag("provisional upper"),
        how: "lost by the patient".to_owned(),
        signed: Some(under("dora")),
    });
    world.does(&dora(), how);
    world
}

/// Another case, in which this thing of the upper arch is registered `days` after the first was begun.
fn another(thing: &str, days: i64, worn: bool) -> World {
    let mut world = World::bare(Arches::Both);
    world.now_ms += days * DAY_MS;
    world.does(&dora(), registered(thing, Side::Office, worn));
    world
}

fn is_empty_beside(other: &World) -> bool {
    let (world, elsewhere) = (lost(), had_dentures(&other.items, &other.case_state()));
    let found = without_teeth(
        &world.items,
        &world.case_state(),
        &[Arch::Upper],
        &elsewhere,
    );
    !found.is_empty()
}

/// Common practice, no source.
#[test]
fn what_another_case_has_put_in_later_fills_the_arch_and_what_was_in_before_may_be_what_was_lost() {
    for (thing, days, worn, is_empty) in [
        ("provisional upper", 5, true, false),
        // It was worn when the first case was begun: that is the one that was lost.
        ("provisional upper", -5, true, true),
        // Another jaw, and what lies at the office.
        ("provisional lower", 5, true, true),
        ("duplicate upper", 5, false, true),
    ] {
        let other = another(thing, days, worn);
        assert_eq!(is_empty_beside(&other), is_empty, "{thing} {days} {worn}");
    }
}

/// Common practice, no source: what the office has fitted since the lost one went in has taken its place.
#[test]
fn what_was_fitted_by_another_case_since_fills_the_arch_and_its_loss_empties_it() {
    let mut other = another("duplicate upper", -1, false);
    // Two hours after the first case was begun, and a day before the loss was told.
    other.now_ms = MONDAY_MS + 2 * 60 * 60_000;
    other.does(&dora(), fitted("duplicate upper", None));
    assert!(!is_empty_beside(&other));
    other.now_ms += 10 * DAY_MS;
    let how = What::WrittenOff(WrittenOff {
        tag: tag("duplicate upper"),
        how: "lost by the patient".to_owned(),
        signed: Some(under("dora")),
    });
    other.does(&dora(), how);
    assert!(is_empty_beside(&other));
}
