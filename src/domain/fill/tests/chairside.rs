//! What was done at the chair: in the pattern, or still to be done.

use super::bed::{Bed, LOWER, copied, value};
use crate::domain::custody::events::Adjustment;
use crate::domain::custody::item::ItemKind;
use crate::domain::prescription::sources::Origin;
use crate::domain::prescription::{ChangedPart, Direction};
use crate::domain::values::arch::Arches;

const COPY: &[(&str, &str)] = &[("order.course", "copy")];
const BLOCK: Option<(ChangedPart, Direction, i64)> =
    Some((ChangedPart::LowerRightBack, Direction::Outward, 10));

fn rows(bed: &Bed) -> Vec<String> {
    let filled = bed.filled(COPY);
    let keys = filled.fields.iter();
    keys.filter(|(key, _)| key.starts_with("changes."))
        .map(|(key, text)| format!("{key} {text}"))
        .collect()
}

#[test]
fn what_was_done_to_the_pattern_is_in_it_and_is_not_done_again() {
    let bed = copied();
    assert_eq!(rows(&bed), [""; 0]);
    let filled = bed.filled(COPY);
    let record = Some(Origin::Record);
    // The surface was renewed a day before the pattern left the mouth.
    assert_eq!(
        value(&filled, "pattern.last_corrected"),
        Some(("2026-03-01", record))
    );
    assert_eq!(
        value(&filled, "pattern.worn_since"),
        Some(("2025-11-03", record))
    );
    assert_eq!(
        value(&filled, "pattern.keep"),
        Some((
            "as corrected at the chair: lower right posterior teeth, 1 mm, outward, to lip or cheek (2026-01-02)",
            record
        ))
    );
    assert_eq!(
        value(&filled, "pattern.rule"),
        Some(("exactly", Some(Origin::Course)))
    );
    // What the patient said stays in the log.
    assert!(
        filled
            .fields
            .values()
            .all(|text| !text.contains("cheek is caught"))
    );
}

#[test]
fn what_was_done_to_the_duplicate_alone_is_still_to_be_done_in_the_final() {
    let mut bed = copied();
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    assert_eq!(
        rows(&bed),
        [
            "changes.0.date 2026-03-02",
            "changes.0.direction outward",
            "changes.0.mm 1",
            "changes.0.what lower_right_back"
        ]
    );
    let filled = bed.filled(COPY);
    assert_eq!(
        value(&filled, "pattern.rule"),
        Some(("with_changes", Some(Origin::Course)))
    );
    assert_eq!(
        value(&filled, "anterior.arrangement"),
        Some(("copy_with_changes", Some(Origin::Pattern)))
    );
}

#[test]
fn what_fits_the_copy_itself_or_changes_the_height_is_no_row() {
    let mut bed = copied();
    for done in [
        Adjustment::EdgeRounded,
        Adjustment::SurfaceRenewed,
        Adjustment::Relined,
        Adjustment::BiteRaised,
        Adjustment::BiteLowered,
        Adjustment::Other,
    ] {
        bed.adjusts("dup_l", done, BLOCK);
    }
    // Without a place nobody knows what was moved.
    bed.adjusts("dup_l", Adjustment::ToothMoved, None);
    assert_eq!(rows(&bed), [""; 0]);
}

#[test]
fn what_was_taken_over_onto_the_pattern_is_no_row_any_more() {
    let mut bed = copied();
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    bed.days_pass(1);
    bed.adjusts("prov_l", Adjustment::BlockMoved, BLOCK);
    assert_eq!(rows(&bed), [""; 0]);
    // Another part of the pattern takes nothing over.
    let mut bed = copied();
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    let other = Some((ChangedPart::LowerLeftBack, Direction::Outward, 10));
    bed.adjusts("prov_l", Adjustment::BlockMoved, other);
    assert_eq!(rows(&bed).len(), 4);
}

#[test]
fn a_denture_that_does_not_come_from_the_pattern_changes_nothing_of_it() {
    let mut bed = Bed::before(30, Arches::Both);
    bed.wears("prov_l", ItemKind::Provisional, LOWER);
    bed.has("dup_l", ItemKind::Duplicate, LOWER);
    bed.fits("dup_l", "prov_l");
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    assert_eq!(rows(&bed), [""; 0]);
}

#[test]
fn a_tooth_added_or_taken_away_needs_no_direction_and_the_visit_gives_the_day() {
    let mut bed = copied();
    let place = Some((ChangedPart::Tooth, Direction::Up, 0));
    bed.adjusts("dup_l", Adjustment::ToothTakenAway, place);
    if let Some(crate::domain::custody::Event {
        what: crate::domain::custody::What::Adjusted(one),
        ..
    }) = bed.events.last_mut()
    {
        (one.direction, one.mm) = (None, None);
    }
    bed.at_the_visit_of("2026-02-27");
    assert_eq!(
        rows(&bed),
        [
            "changes.0.date 2026-02-27",
            "changes.0.direction remove",
            "changes.0.what tooth"
        ]
    );
}

#[test]
fn what_is_to_be_kept_never_grows_longer_than_its_field() {
    let mut bed = copied();
    for _ in 0..30 {
        bed.days_pass(1);
        bed.adjusts("prov_l", Adjustment::BlockMoved, BLOCK);
    }
    let filled = bed.filled(COPY);
    let keep = &filled.fields["pattern.keep"];
    assert!(
        keep.chars().count() <= 600 && keep.chars().count() > 500,
        "{keep}"
    );
    // The latest stands first.
    assert!(keep.contains("(2026-04-01)"), "{keep}");
    assert!(!keep.contains("(2026-01-02)"), "{keep}");
}
