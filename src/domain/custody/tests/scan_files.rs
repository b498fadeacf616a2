//! Scans of a case as files: what an entry of one needs, who adds it, and what goes when it is erased.

use super::*;
use crate::domain::custody::erasing::erasable;
use CustodyRule::{Form, K};

fn filed(item: Option<Tag>, triangles: u64) -> What {
    What::ScanFiled(ScanFiled {
        shows: ScanOf::UpperJaw,
        item,
        is_its_file: false,
        hash: "ab".repeat(32),
        length: 84 + 50 * triangles,
        is_stl: true,
        triangles,
        width_um: 64_000,
        depth_um: 52_000,
        height_um: 21_500,
        unit: MeshUnit::Millimetre,
        caption: "before the impression".to_owned(),
        for_lab: false,
    })
}

#[test]
fn each_house_adds_scans_of_its_case_whether_work_stands_still_or_not() {
    let mut world = World::begun();
    let scan = filed(Some(tag("bite")), 9);
    for by in [anna(), dora(), tom(), mara()] {
        world.expect(&by, &scan, &[]);
    }
    let pause = What::Paused(Paused {
        reason: "away".to_owned(),
        signed: under("dora"),
    });
    world.does(&dora(), pause);
    world.expect(&tom(), &scan, &[]);
    world.does(&tom(), scan);
    let case = world.case_state();
    let [added] = case.scans.as_slice() else {
        panic!("{:?}", case.scans);
    };
    assert!(!added.is_erased());
    assert_eq!(added.box_um, [64_000, 52_000, 21_500]);
    let hash = "ab".repeat(32);
    assert_eq!(case.file_hash(&added.event), Some(hash.as_str()));
}

#[test]
fn a_scan_of_nothing_or_of_a_thing_of_another_case_is_refused() {
    let world = World::begun();
    world.expect(&tom(), &filed(None, 0), &[(Form, "")]);
    let strange = filed(Some(tag("foreign")), 9);
    world.expect(&tom(), &strange, &[(K, "foreign")]);
}

#[test]
fn a_case_holds_so_many_scans_and_no_more() {
    let mut world = World::begun();
    for _ in 1..SCANS_MOST {
        let at = Moment::new(world.now_ms, 60);
        world.append(&tom(), filed(None, 9), at);
    }
    world.expect(&tom(), &filed(None, 9), &[]);
    world.does(&tom(), filed(None, 9));
    world.expect(&tom(), &filed(None, 9), &[(Form, "")]);
}

#[test]
fn scan_and_caption_can_be_erased_and_nothing_else_of_it() {
    let mut world = World::begun();
    world.does(&tom(), filed(None, 9));
    let places: Vec<String> = erasable(world.events.last().unwrap())
        .into_iter()
        .map(|text| text.place)
        .collect();
    assert_eq!(places, ["/what/hash", "/what/caption"]);
}

/// A jaw is some 40 to 100 mm: common practice, no source.
#[test]
fn a_size_that_no_mouth_has_is_asked_about() {
    for (longest_um, is_asked) in [
        (0, true),
        (64, true),
        (6_400, true),
        (15_000, false),
        (40_000, false),
        (100_000, false),
        (200_000, false),
        (200_001, true),
        (64_000_000, true),
    ] {
        let mut world = World::begun();
        world.does(&tom(), filed(None, 9));
        let mut scan = world.case_state().scans.remove(0);
        scan.box_um = [longest_um / 2, longest_um, 0];
        let other = PartyId::new("another house");
        for (reader, what_to_do) in [(&scan.party, "add it again"), (&other, "ask in which unit")] {
            let asked = scan.size_asked(reader);
            assert_eq!(asked.is_some(), is_asked, "{longest_um}");
            assert!(asked.is_none_or(|words| words.contains(what_to_do)));
        }
    }
}
