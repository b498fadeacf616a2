//! Pictures of a case: what an entry of one needs, who adds it, and what goes when it is erased.

use super::*;
use crate::domain::custody::erasing::erasable;
use CustodyRule::{Form, K};

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
