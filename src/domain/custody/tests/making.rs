//! Making, places inside a house, borrowed things, the patient's own parts, and who had what when.

use super::*;
use crate::domain::form::Day;
use CustodyRule::{A, E, F, Form, H, K, Right};
use Side::{Lab, Office};
use time::macros::date;

/// The entry of a new thing, with how it was made.
fn made(thing: &str, place: Side, made: Made) -> What {
    match registered(thing, place, false) {
        What::Registered(Registered {
            tag,
            place,
            worn,
            note,
            pieces,
            ..
        }) => What::Registered(Registered {
            tag,
            place,
            worn,
            note,
            pieces,
            made: Some(made),
            due_back: None,
            file: None,
        }),
        other => other,
    }
}

fn from(things: &[&str]) -> Made {
    Made {
        from: things.iter().map(|thing| tag(thing)).collect(),
        how: "poured".to_owned(),
        ..Made::default()
    }
}

/// A world in which the lab has not made anything yet and holds the provisional and the bite record.
fn at_the_lab() -> World {
    let mut world = World::bare(Arches::Both);
    world.does(&dora(), registered("provisional upper", Office, true));
    for thing in ["duplicate upper", "bite", "impression"] {
        world.does(&anna(), registered(thing, Office, false));
    }
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    world.sends(&anna(), "h1", &["provisional upper", "bite", "impression"]);
    world.takes(&tom(), "h1", &["provisional upper", "bite", "impression"]);
    world
}

#[test]
fn a_thing_is_made_from_what_is_in_ones_hands() {
    let mut world = at_the_lab();
    world.expect(
        &tom(),
        &made("cast upper", Lab, from(&["provisional upper"])),
        &[],
    );
    world.expect(
        &tom(),
        &made("cast upper", Lab, from(&["facebow"])),
        &[(K, "facebow")],
    );
    world.expect(
        &tom(),
        &made("cast upper", Lab, from(&["cast upper"])),
        &[(K, "cast upper")],
    );
    world.expect(
        &tom(),
        &made("cast upper", Lab, from(&["foreign"])),
        &[(K, "foreign")],
    );
    world.expect(
        &tom(),
        &made("cast upper", Lab, from(&["duplicate upper"])),
        &[(A, "duplicate upper")],
    );
    world.expect(
        &tom(),
        &made("cast upper", Lab, from(&["bite", "bite"])),
        &[(A, "bite")],
    );
    world.expect(
        &tom(),
        &made("final lower", Lab, from(&["provisional upper"])),
        &[(Form, "provisional upper")],
    );
    world.expect(
        &tom(),
        &made("cast upper", Lab, Made::default()),
        &[(Form, "cast upper")],
    );
    for (minutes, expected) in [(0, 1), (1, 0), (600, 0), (601, 1)] {
        let pot = Made {
            pot_minutes: Some(minutes),
            ..from(&["bite"])
        };
        assert_eq!(
            world.refusals(&tom(), &made("cast upper", Lab, pot)).len(),
            expected
        );
    }
    // What was used up for it may be named all the same; what was destroyed may not.
    world.does(&tom(), used_up("impression", "the upper cast"));
    world.expect(&tom(), &made("cast upper", Lab, from(&["impression"])), &[]);
    world.does(&tom(), registered("final lower", Lab, false));
    world.does(&tom(), destroyed("bite", "melted"));
    world.expect(
        &tom(),
        &made("cast upper", Lab, from(&["bite"])),
        &[(F, "bite")],
    );
}

#[test]
fn nothing_is_made_from_what_came_without_a_mark_of_disinfection() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["impression"]);
    let items = [found("impression", Outcome::Sound, false)];
    world.does(&tom(), received("h1", Lab, &items));
    let try_in = made("try-in upper", Lab, from(&["impression"]));
    world.expect(&tom(), &try_in, &[(H, "impression")]);
    world.does(&tom(), disinfected("impression"));
    world.expect(&tom(), &try_in, &[]);
}

/// Sub-samples and derived items keep the link to the item they come from: ISO/IEC 17025:2017, 7.4.2.
#[test]
fn the_line_from_provisional_to_final_is_told_both_ways() {
    let mut world = at_the_lab();
    world.does(
        &tom(),
        made("cast upper", Lab, from(&["provisional upper"])),
    );
    world.does(
        &tom(),
        made("try-in upper", Lab, from(&["cast upper", "bite"])),
    );
    world.does(&tom(), made("final upper", Lab, from(&["try-in upper"])));
    let use_up = What::UsedUp(UsedUp {
        tag: tag("try-in upper"),
        into: "processed".to_owned(),
        into_item: Some(tag("final upper")),
        signed: None,
    });
    world.does(&tom(), use_up);
    let names = |tags: Vec<Tag>| tags.iter().map(name).collect::<Vec<_>>();
    let line = |thing| lineage(&world.case_state(), &tag(thing));
    assert_eq!(
        names(line("final upper").from),
        ["try-in upper", "cast upper", "bite", "provisional upper"]
    );
    assert_eq!(
        names(line("provisional upper").into),
        ["cast upper", "try-in upper", "final upper"]
    );
    assert_eq!(line("duplicate upper"), Lineage::default());
    assert!(
        world
            .events
            .last()
            .unwrap()
            .what
            .concerns(&tag("final upper"))
    );
}

#[test]
fn what_a_thing_went_into_is_another_thing_that_is_there() {
    let into = |thing: &str| {
        What::UsedUp(UsedUp {
            tag: tag("impression"),
            into: "poured".to_owned(),
            into_item: Some(tag(thing)),
            signed: None,
        })
    };
    let mut world = World::begun();
    world.expect(&anna(), &into("bite"), &[]);
    for thing in ["impression", "try-in upper", "foreign"] {
        world.expect(&anna(), &into(thing), &[(K, thing)]);
    }
    world.does(&anna(), destroyed("bite", "melted"));
    world.expect(&anna(), &into("bite"), &[(K, "bite")]);
}

#[test]
fn a_thing_lies_somewhere_in_the_house_until_it_leaves() {
    let to = |thing: &str, place: &str| {
        What::Moved(Moved {
            tag: tag(thing),
            to: place.to_owned(),
        })
    };
    let mut world = World::begun();
    world.expect(&tom(), &to("cast upper", "oven 2"), &[]);
    world.expect(&anna(), &to("cast upper", "oven 2"), &[(A, "cast upper")]);
    world.expect(&tom(), &to("cast upper", " "), &[(Form, "cast upper")]);
    world.does(&tom(), to("cast upper", "oven 2"));
    world.does(&mara(), to("cast upper", "shelf C"));
    assert_eq!(world.state("cast upper").place.as_deref(), Some("shelf C"));
    world.sends(&tom(), "h1", &["cast upper"]);
    assert_eq!(world.state("cast upper").place, None);
}

#[test]
fn what_is_lent_is_overdue_until_its_lender_has_it() {
    let lent = |thing: &str, day: &str| match registered(thing, Office, false) {
        What::Registered(Registered {
            tag,
            place,
            worn,
            note,
            pieces,
            made,
            ..
        }) => What::Registered(Registered {
            tag,
            place,
            worn,
            note,
            pieces,
            made,
            due_back: Some(Day::try_from(day.to_owned()).unwrap()),
            file: None,
        }),
        other => other,
    };
    let mut world = World::bare(Arches::Both);
    world.expect(&anna(), &lent("bite", "2026-03-10"), &[(Form, "bite")]);
    world.does(&anna(), lent("facebow", "2026-03-10"));
    let late = |world: &World, day| {
        let late = overdue(&world.items, &world.case_state(), &Ordered::default(), day);
        late.iter()
            .map(|one| (name(&one.tag), one.side))
            .collect::<Vec<_>>()
    };
    // It lies with its lender.
    assert_eq!(late(&world, date!(2026 - 03 - 11)), []);
    world.sends(&anna(), "h1", &["facebow"]);
    world.takes(&tom(), "h1", &["facebow"]);
    assert_eq!(late(&world, date!(2026 - 03 - 09)), []);
    assert_eq!(late(&world, date!(2026 - 03 - 10)), [("facebow", Lab)]);
    world.sends(&tom(), "h2", &["facebow"]);
    assert_eq!(late(&world, date!(2026 - 03 - 10)), [("facebow", Lab)]);
    world.takes(&anna(), "h2", &["facebow"]);
    assert_eq!(late(&world, date!(2026 - 03 - 10)), []);
}

#[test]
fn the_patients_own_is_kept_back_destroyed_and_given_back_with_consent_and_count() {
    let back = |thing: &str, pieces| {
        What::GivenBack(GivenBack {
            tag: tag(thing),
            pieces,
        })
    };
    let mut world = World::begun();
    world.expect(&anna(), &back("parts", 4), &[]);
    world.expect(&anna(), &back("parts", 3), &[(Form, "parts")]);
    world.expect(&anna(), &back("parts", 0), &[(Form, "parts")]);
    world.expect(&anna(), &back("bite", 1), &[(Form, "bite")]);
    world.expect(&tom(), &back("parts", 4), &[(Right, ""), (A, "parts")]);
    let without = |thing: &str| {
        What::Destroyed(Destroyed {
            tag: tag(thing),
            how: "broken".to_owned(),
            consent: Some(false),
            signed: None,
        })
    };
    for thing in ["old upper", "parts"] {
        world.expect(&anna(), &without(thing), &[(Form, thing)]);
        world.expect(&anna(), &destroyed(thing, "broken"), &[]);
    }
    world.expect(&anna(), &without("impression"), &[]);
    let kept = What::Withheld(Withheld {
        tag: tag("old upper"),
        consent: false,
        kept: "the safe".to_owned(),
    });
    world.expect(&dora(), &kept, &[(Form, "old upper")]);
    world.does(&anna(), back("parts", 4));
    let state = world.state("parts");
    assert!(state.given_back && !state.spare && state.holder == Holder::Patient);
    let again = What::BroughtBack(BroughtBack { tag: tag("parts") });
    world.does(&anna(), again);
    assert!(!world.state("parts").given_back);
}

#[test]
fn c2_what_is_the_patients_is_destroyed_with_the_patients_consent_only() {
    let destroy = |thing: &str, consent: Option<bool>| {
        What::Destroyed(Destroyed {
            tag: tag(thing),
            how: "broken".to_owned(),
            consent,
            signed: None,
        })
    };
    let asks = |world: &World, thing: &str| {
        world.expect(&anna(), &destroy(thing, Some(false)), &[(Form, thing)]);
        world.expect(&anna(), &destroy(thing, Some(true)), &[]);
    };
    let mut world = World::begun();
    asks(&world, "parts");
    // A duplicate that nobody has worn is the office's own.
    world.expect(&anna(), &destroy("duplicate upper", Some(false)), &[]);
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    asks(&world, "provisional upper");
    // An entry from before the provisional was asked about is allowed as it was; of the old denture it was asked.
    world.expect(&anna(), &destroy("provisional upper", None), &[]);
    world.expect(&anna(), &destroy("old upper", None), &[(Form, "old upper")]);
    // What has been worn is the patient's, and so is a final; what never was is its maker's.
    world.does(
        &dora(),
        fitted("provisional upper", Some("duplicate upper")),
    );
    asks(&world, "duplicate upper");
    world.expect(&tom(), &destroy("final upper", Some(false)), &[]);
}

#[test]
fn the_spare_says_where_it_is_and_who_keeps_it() {
    let mut world = World::begun();
    world.sends(&tom(), "h1", &["final upper"]);
    world.takes(&anna(), "h1", &["final upper"]);
    world.does(&dora(), fitted("final upper", Some("provisional upper")));
    let give = |place: &str| {
        What::Given(Given {
            tag: tag("duplicate upper"),
            spare: Some(Spare {
                mark: "spare, 2026-03".to_owned(),
                place: place.to_owned(),
                keeper: "the patient".to_owned(),
                in_water: true,
            }),
        })
    };
    world.expect(&dora(), &give(" "), &[(E, "duplicate upper")]);
    world.does(&dora(), give("a closed cup at home"));
    let kept = world.state("duplicate upper").spare_kept.unwrap();
    assert_eq!(
        (kept.place.as_str(), kept.in_water),
        ("a closed cup at home", true)
    );
    let back = What::BroughtBack(BroughtBack {
        tag: tag("duplicate upper"),
    });
    world.does(&anna(), back);
    assert_eq!(world.state("duplicate upper").spare_kept, None);
}

/// Custody can be told for any moment, and the fewer hands the better: common practice for chains of
/// custody (EPA 905R78115; NIST's definition names each person who handled the item).
#[test]
fn at_any_moment_one_house_holds_a_thing_and_somebody_answers_for_it() {
    let mut world = World::begun();
    let registered_at = world.now_ms;
    world.sends(&anna(), "h1", &["bite"]);
    let released_at = world.now_ms;
    world.takes(&tom(), "h1", &["bite"]);
    world.does(&mara(), disinfected("bite"));
    let seen = |ms| {
        at(&world.events, ms)
            .get(&tag("bite"))
            .map(|one| (one.holder, one.answers.clone()))
    };
    assert_eq!(seen(MONDAY_MS), None);
    assert_eq!(
        seen(registered_at),
        Some((Holder::Office, "anna, northgate".to_owned()))
    );
    assert_eq!(
        seen(released_at),
        Some((
            Holder::Carrier { to: Lab },
            "the office's driver, handed over by anna, northgate".to_owned()
        ))
    );
    assert_eq!(
        seen(world.now_ms),
        Some((Holder::Lab, "mara, kiln".to_owned()))
    );
    let hands = handlers(&world.case_state(), &world.events, &tag("bite"));
    assert_eq!(hands.people, ["anna, northgate", "tom, kiln", "mara, kiln"]);
    assert_eq!(hands.handoffs, 1);
}
