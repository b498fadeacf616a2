//! Pictures of a case: what an entry of one needs, who adds it, and what goes when it is erased.

use super::*;
use crate::domain::custody::erasing::erasable;
use CustodyRule::{F, Form, I, J, K, Right};

fn pictured(shows: PictureOf, item: Option<Tag>, length: u64) -> What {
    What::Pictured(Pictured {
        shows,
        item,
        hash: "ab".repeat(32),
        length,
        width: 4,
        height: 3,
        caption: "the upper cast".to_owned(),
        for_lab: false,
        question: None,
    })
}

#[test]
fn each_house_adds_pictures_of_its_case_whether_work_stands_still_or_not() {
    let mut world = World::begun();
    let picture = pictured(PictureOf::BiteRecord, Some(tag("bite")), 9);
    for by in [anna(), dora(), tom(), mara()] {
        world.expect(&by, &picture, &[]);
    }
    let pause = What::Paused(Paused {
        reason: "away".to_owned(),
        signed: under("dora"),
    });
    world.does(&dora(), pause);
    world.expect(&tom(), &picture, &[]);
    world.does(&tom(), picture);
    let case = world.case_state();
    let [added] = case.pictures.as_slice() else {
        panic!("{:?}", case.pictures);
    };
    assert!(!added.is_erased());
    assert_eq!((added.width, added.height), (4, 3));
    assert_eq!(case.picture(&added.event), Some(added));
}

#[test]
fn a_picture_of_nothing_or_of_a_thing_of_another_case_is_refused() {
    let world = World::begun();
    world.expect(&tom(), &pictured(PictureOf::Other, None, 0), &[(Form, "")]);
    let strange = pictured(PictureOf::Other, Some(tag("foreign")), 9);
    world.expect(&tom(), &strange, &[(K, "foreign")]);
}

#[test]
fn a_case_holds_so_many_pictures_and_no_more() {
    let mut world = World::begun();
    for _ in 1..PICTURES_MOST {
        let at = Moment::new(world.now_ms, 60);
        world.append(&tom(), pictured(PictureOf::Other, None, 9), at);
    }
    world.expect(&tom(), &pictured(PictureOf::Other, None, 9), &[]);
    world.does(&tom(), pictured(PictureOf::Other, None, 9));
    world.expect(&tom(), &pictured(PictureOf::Other, None, 9), &[(Form, "")]);
}

#[test]
fn picture_and_caption_can_be_erased_and_nothing_else_of_it() {
    let mut world = World::begun();
    world.does(&tom(), pictured(PictureOf::CameBack, None, 9));
    let places: Vec<String> = erasable(world.events.last().unwrap())
        .into_iter()
        .map(|text| text.place)
        .collect();
    assert_eq!(places, ["/what/hash", "/what/caption"]);
}

/// A picture of the office and a scan of the lab.
fn with_both() -> (World, [EventId; 2]) {
    let mut world = World::begun();
    world.does(&anna(), pictured(PictureOf::SmileLine, None, 9));
    let scan = What::ScanFiled(ScanFiled {
        shows: ScanOf::LowerJaw,
        item: None,
        is_its_file: false,
        hash: "cd".repeat(32),
        length: 134,
        is_stl: true,
        triangles: 1,
        width_um: 64_000,
        depth_um: 52_000,
        height_um: 21_500,
        unit: MeshUnit::Millimetre,
        caption: String::new(),
        for_lab: false,
    });
    world.does(&tom(), scan);
    let case = world.case_state();
    let added = [case.pictures[0].event.clone(), case.scans[0].event.clone()];
    (world, added)
}

fn marked(world: &World, event: &EventId, for_lab: bool) -> What {
    let marked = MarkedForLab::about(&world.case_state(), event, for_lab);
    What::MarkedForLab(marked.unwrap())
}

/// Whether picture and scan are for the lab.
fn are_for_lab(world: &World) -> (bool, bool) {
    let case = world.case_state();
    (case.pictures[0].for_lab, case.scans[0].for_lab)
}

#[test]
fn the_house_that_added_it_says_later_that_it_is_for_the_lab_and_that_it_is_not() {
    let (mut world, [picture, scan]) = with_both();
    assert_eq!(are_for_lab(&world), (false, false));
    for (own, others, event) in [
        ([anna(), dora()], [tom(), mara()], &picture),
        ([tom(), mara()], [anna(), dora()], &scan),
    ] {
        for for_lab in [true, false] {
            let what = marked(&world, event, for_lab);
            let same: &[(CustodyRule, &str)] = if for_lab { &[] } else { &[(F, "")] };
            for by in &own {
                world.expect(by, &what, same);
            }
        }
        for by in &others {
            world.expect(by, &marked(&world, event, true), &[(Right, "")]);
        }
    }
    let now = [marked(&world, &picture, true), marked(&world, &scan, true)];
    world.does(&dora(), now[0].clone());
    assert_eq!(are_for_lab(&world), (true, false));
    world.does(&mara(), now[1].clone());
    assert_eq!(are_for_lab(&world), (true, true));
    world.expect(&anna(), &now[0], &[(F, "")]);
    let described = describe(&world.items, world.events.last().unwrap());
    assert!(described.what.starts_with("Scan of ") && described.what.ends_with(": for the lab"));
    let no_more = marked(&world, &picture, false);
    world.does(&anna(), no_more);
    assert_eq!(are_for_lab(&world), (false, true));
    let described = describe(&world.items, world.events.last().unwrap());
    assert!(
        described.what.starts_with("Picture of ")
            && described.what.contains("not for the lab any more")
    );
}

#[test]
fn what_is_no_picture_of_the_case_is_not_marked_nor_one_before_it_was_added() {
    let (world, [picture, scan]) = with_both();
    let known = MarkedForLab::about(&world.case_state(), &picture, true).unwrap();
    for wrong in [
        MarkedForLab {
            event: EventId::new("event 0"),
            ..known.clone()
        },
        MarkedForLab {
            event: scan,
            ..known.clone()
        },
        MarkedForLab {
            of: Moment::new(known.of.unix_ms - 1, 60),
            ..known.clone()
        },
    ] {
        world.expect(&anna(), &wrong.into(), &[(J, "")]);
    }
    assert_eq!(
        MarkedForLab::about(&world.case_state(), &EventId::new("event 0"), true),
        None
    );
    let early = Moment::new(known.of.unix_ms - MINUTE_MS, 60);
    let refused = allow(&world.context(), &known.clone().into(), &anna(), early);
    assert!(refused.iter().any(|one| one.rule == I), "{refused:?}");
}

#[test]
fn in_a_closed_case_it_stays_as_it_is() {
    let mut world = World::bare(Arches::Both);
    world.does(&anna(), pictured(PictureOf::SmileLine, None, 9));
    world.does(&anna(), registered("photograph", Side::Office, false));
    world.does(&anna(), destroyed("photograph", "deleted"));
    let event = world.case_state().pictures[0].event.clone();
    let what = marked(&world, &event, true);
    world.expect(&anna(), &what, &[]);
    let close = What::Closed(Closed {
        items: dispositions(&world.context().scope(), &world.case_state()).unwrap(),
        note: String::new(),
        nothing_made: false,
        signed: under("dora"),
    });
    world.does(&dora(), close);
    world.expect(&anna(), &what, &[(CustodyRule::Closed, "")]);
}
