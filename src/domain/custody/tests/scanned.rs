//! What is said of a scanned item: a row for each wish and state, the item that fits and its neighbours.

use super::*;

/// Begun, the bite record handed over, the impression used up and the cast destroyed.
fn world() -> World {
    let mut world = World::begun();
    world.does(&anna(), disinfected("bite"));
    world.does(&anna(), released("h1", &["bite"], Side::Office));
    world.does(
        &anna(),
        What::UsedUp(UsedUp {
            tag: tag("impression"),
            into: "poured".to_owned(),
            into_item: None,
            signed: None,
        }),
    );
    world.does(
        &tom(),
        What::Destroyed(Destroyed {
            tag: tag("cast upper"),
            how: "dropped".to_owned(),
            consent: Some(false),
            signed: None,
        }),
    );
    world
}

fn said(world: &World, thing: &str, wanted: Wanted<'_>) -> Option<String> {
    stands_against(
        &world.items,
        &world.events,
        &world.case_state(),
        &tag(thing),
        wanted,
    )
}

#[test]
fn what_fits_is_taken_and_what_does_not_says_why() {
    let world = world();
    let (sent, none) = ([tag("bite")], []);
    let office = Wanted::ToHandOver(Side::Office);
    let lab = Wanted::ToHandOver(Side::Lab);
    let receive = Wanted::ToReceive {
        sent: &sent,
        outstanding: &sent,
    };
    let dealt_with = Wanted::ToReceive {
        sent: &sent,
        outstanding: &none,
    };
    let (upper, lower) = (Wanted::ToFit(Arch::Upper), Wanted::ToFit(Arch::Lower));
    for (thing, wanted, words) in [
        ("duplicate upper", office, None),
        ("duplicate upper", lab, Some("is recorded as at the office")),
        ("final lower", lab, None),
        (
            "provisional upper",
            office,
            Some("as in the patient’s mouth"),
        ),
        ("bite", office, Some("as on the way to the lab")),
        ("bite", receive, None),
        (
            "bite",
            dealt_with,
            Some("of this handoff is dealt with already"),
        ),
        (
            "facebow",
            receive,
            Some("was not announced in this handoff"),
        ),
        ("duplicate upper", upper, None),
        (
            "duplicate upper",
            lower,
            Some("Wrong arch: Duplicate denture, upper"),
        ),
        ("old upper", upper, Some("is not to be worn")),
        (
            "final upper",
            upper,
            Some("as at the lab, so it cannot be put in"),
        ),
        (
            "provisional upper",
            upper,
            Some("as in the patient’s mouth"),
        ),
        ("bite", Wanted::ToLabel, None),
        ("provisional lower", Wanted::ToLabel, None),
        (
            "impression",
            Wanted::ToLabel,
            Some("used up on Mon 2 Mar 2026"),
        ),
        (
            "impression",
            office,
            Some("by anna, assistant, northgate (poured)."),
        ),
        ("cast upper", lab, Some("destroyed on Mon 2 Mar 2026")),
        (
            "cast upper",
            receive,
            Some("by tom, technician, kiln (dropped)."),
        ),
    ] {
        let said = said(&world, thing, wanted);
        match words {
            None => assert_eq!(said, None, "{thing} {wanted:?}"),
            Some(words) => assert!(
                said.as_deref().is_some_and(|said| said.contains(words)),
                "{thing} {wanted:?}: {said:?}"
            ),
        }
    }
}

#[test]
fn the_other_arch_is_pointed_out_only_where_it_is_the_one_that_is_wanted() {
    let mut world = world();
    world.does(
        &dora(),
        fitted("duplicate lower", Some("provisional lower")),
    );
    let office = Wanted::ToHandOver(Side::Office);
    let said = said(&world, "duplicate lower", office).unwrap();
    let words = format!(
        "this is the lower one, and the upper one, {}, is wanted here.",
        tag("duplicate upper")
    );
    assert!(said.ends_with(&words), "{said}");
    // Neither final is at the office, and a facebow record has no other arch.
    for thing in ["final upper", "bite"] {
        let said = super::scanned::said(&world, thing, office).unwrap();
        assert!(!said.contains("Look at the arch"), "{said}");
    }
}

#[test]
fn a_scan_and_the_rule_agree_on_what_may_be_handed_over() {
    let world = world();
    for (thing, ..) in THINGS.iter().filter(|thing| thing.0 != "foreign") {
        for (by, side) in [(anna(), Side::Office), (tom(), Side::Lab)] {
            let what = released("h2", &[thing], side);
            let at = Moment::new(world.now_ms + MINUTE_MS, 0);
            let refused = allow(&world.context(), &what, &by, at);
            let is_elsewhere = refused
                .iter()
                .any(|refusal| matches!(refusal.rule, CustodyRule::A | CustodyRule::F));
            let said = said(&world, thing, Wanted::ToHandOver(side));
            assert_eq!(
                said.is_some(),
                is_elsewhere,
                "{thing}: {said:?} {refused:?}"
            );
        }
    }
}
