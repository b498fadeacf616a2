//! What a text lists: what is broken, and what comes as a file.

use super::*;
use crate::domain::custody::bench::ByRevision;
use crate::domain::custody::case::Place;
use crate::domain::custody::progress::PlanContext;
use crate::domain::form::Raw;
use crate::domain::prescription::{read, samples};
use crate::domain::trade::calendar::OpenDays;
use crate::domain::trade::plan::Progress;
use crate::domain::values::tooth::Numbering;

fn ordered(fields: &[(&str, &str)]) -> Ordered {
    let fields = fields.iter();
    let raw: Raw = fields
        .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
        .collect();
    let reading = read(&raw, Numbering::Iso3950);
    assert!(reading.faults.is_empty(), "{:?}", reading.faults);
    let document = samples::document(reading.document);
    Ordered::of(&[(&document, Moment::new(0, 0))])
}

#[test]
fn what_is_listed_as_broken_is_how_the_denture_leaves() {
    let midline = [
        ("repairs.0.what", "base_broken"),
        ("repairs.0.place", "midline"),
    ];
    let tooth = [("repairs.1.what", "tooth_out"), ("repairs.1.tooth", "11")];
    let added = [("repairs.0.what", "tooth_added"), ("repairs.0.tooth", "11")];
    let table = [
        (midline.to_vec(), Some("base broken, midline: as listed")),
        (
            [midline, tooth].concat(),
            Some(
                "base broken, midline; tooth came out, 11 (ISO 3950) upper right central incisor: as listed",
            ),
        ),
        // A tooth that is added is nothing broken, and a place alone says nothing of it.
        (added.to_vec(), None),
        (vec![("repairs.0.place", "midline")], None),
        (vec![], None),
    ];
    for (fields, expected) in table {
        let broken = ordered(&fields).broken;
        assert_eq!(
            broken.and_then(|one| one.words(None)).as_deref(),
            expected,
            "{fields:?}"
        );
    }
    let mut drawn = (0..32).filter_map(|n| Tag::from_random([n; 7]));
    let (one, other) = (drawn.next().unwrap(), drawn.next().unwrap());
    let named = [
        ("repair.item", one.as_str()),
        ("repair.other_item", other.as_str()),
    ];
    let fields = [midline.as_slice(), &tooth, &named].concat();
    let broken = ordered(&fields).broken.unwrap();
    assert_eq!(broken.tags, [one, other]);
    // A place without a tooth may be of either; a tooth is of its own jaw alone.
    let of = |arch| broken.words(Some(arch)).unwrap();
    assert_eq!(of(Arch::Lower), "base broken, midline: as listed");
    assert!(of(Arch::Upper).contains("upper right central incisor"));
}

#[test]
fn the_record_that_a_try_in_is_mounted_again_by_goes_along() {
    let mut drawn = (0..32).filter_map(|n| Tag::from_random([n; 7]));
    let (listed, record) = (drawn.next().unwrap(), drawn.next().unwrap());
    for (stage, height, tag, goes) in [
        ("reset", "no", &record, true),
        ("reset", "no", &listed, true),
        ("reset", "yes", &record, false),
        ("process", "no", &record, false),
    ] {
        let ordered = ordered(&[
            ("pieces.0.stage", stage),
            ("approval.height", height),
            ("jaw.item", tag.as_str()),
            ("enclosed.0.tag", listed.as_str()),
        ]);
        let mut wanted = vec![listed.clone()];
        if goes && *tag != listed {
            wanted.push(record.clone());
        }
        assert_eq!(ordered.enclosed, wanted, "{stage} {height}");
        let is_again = (stage, height) == ("reset", "no");
        assert_eq!(ordered.mounted_by.as_ref(), is_again.then_some(tag));
    }
}

#[test]
fn files_come_with_the_text_and_no_parcel_is_awaited_where_nothing_else_is_listed() {
    let drawn = |seed: u8| {
        (seed..seed + 32)
            .find_map(|n| Tag::from_random([n; 7]))
            .unwrap()
    };
    let (scan, bite) = (drawn(0), drawn(17));
    assert_ne!(scan, bite);
    let file = [
        ("scans.0.tag", scan.as_str()),
        ("scans.0.file", "upper.stl"),
    ];
    let unnamed = [("scans.0.file", "upper.stl")];
    let boxed = [("enclosed.0.tag", bite.as_str())];
    let words = [("enclosed.0.what", "a shade tab")];
    let both = [("enclosed.0.tag", scan.as_str())];
    let table = [
        (file.to_vec(), true, 1, 0),
        (unnamed.to_vec(), true, 0, 0),
        // A file in the list of the box is a file all the same.
        ([file.as_slice(), &both].concat(), true, 1, 0),
        ([file.as_slice(), &boxed].concat(), false, 1, 1),
        ([file.as_slice(), &words].concat(), false, 1, 0),
        (boxed.to_vec(), false, 0, 1),
        (vec![], false, 0, 0),
    ];
    for (fields, by_files, files, enclosed) in table {
        let ordered = ordered(&fields);
        let found = (
            ordered.by_files,
            ordered.files.len(),
            ordered.enclosed.len(),
        );
        assert_eq!(found, (by_files, files, enclosed), "{fields:?}");
    }
}

#[test]
fn work_from_files_began_when_it_was_ordered_and_needs_no_parcel() {
    let mut world = World::bare(Arches::Upper);
    world.does(&anna(), registered("bite", Side::Office, false));
    let lab = OpenDays::weekdays([]).with_cut_off(Some(16 * 60));
    let signed = Moment::new(MONDAY_MS, 60);
    let progress = |place: Place, signed: &[Moment]| {
        let context = PlanContext {
            state: &world.case_state(),
            items: &world.items,
            events: &world.events,
            places: (place, None),
            arches: &[Arch::Upper],
            work: &[],
            signed,
            lab: &lab,
            clock: |ms, _| Moment::new(ms, 60),
            zones: ("vienna", "vienna"),
            by: &ByRevision::default(),
        };
        context.so_far().progress
    };
    let began = Progress::AtLab((signed.date(), Some(signed.minutes())));
    assert_eq!(progress(Place::Lab, &[signed]), began);
    assert_eq!(progress(Place::Lab, &[]), Progress::ToBeSent);
    assert_eq!(progress(Place::Office, &[signed]), Progress::ToBeSent);
}
