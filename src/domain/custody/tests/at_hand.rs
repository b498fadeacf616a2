//! What a house has in hand of a case.

use super::*;
use Side::{Lab, Office};

fn names(items: &[&Item]) -> Vec<&'static str> {
    items.iter().map(|item| name(&item.tag)).collect()
}

/// Enters what the rules are not asked about here.
fn enters(world: &mut World, by: &Actor, what: What) {
    world.now_ms += MINUTE_MS;
    let at = Moment::new(world.now_ms, 60);
    world.append(by, what, at);
}

#[test]
fn a_house_copies_what_it_has_in_hand_and_the_office_what_the_patient_has() {
    let mut world = World::begun();
    enters(&mut world, &anna(), packed("h1", &["bite"], Office));
    enters(&mut world, &anna(), released("h2", &["facebow"], Office));
    enters(&mut world, &tom(), destroyed("cast upper", "it broke"));
    let case = world.case_state();
    for (thing, office, lab) in [
        ("provisional upper", true, false),
        ("impression", true, false),
        ("final upper", false, true),
        // Packed, on the way, gone, and never registered.
        ("bite", false, false),
        ("facebow", false, false),
        ("cast upper", false, false),
        ("try-in upper", false, false),
    ] {
        let found = [Office, Lab].map(|house| case.can_be_made_from(&tag(thing), house));
        assert_eq!(found, [office, lab], "{thing}");
    }
    for (thing, office, lab) in [
        ("impression", true, false),
        ("bite", true, false),
        ("final upper", false, true),
        ("provisional upper", false, false),
        ("facebow", false, false),
        ("cast upper", false, false),
    ] {
        let found = [Office, Lab].map(|house| case.is_in_house(&tag(thing), house));
        assert_eq!(found, [office, lab], "{thing}");
    }
}

#[test]
fn things_of_an_arch_are_found_by_what_they_are_and_where() {
    let mut world = World::begun();
    enters(
        &mut world,
        &anna(),
        packed("h1", &["duplicate upper", "bite"], Office),
    );
    enters(&mut world, &tom(), released("h2", &["final lower"], Lab));
    let case = world.case_state();
    let packed = |arch| names(&case.packed_dentures(&world.items, arch));
    assert_eq!(packed(Arch::Upper), ["duplicate upper"]);
    assert!(packed(Arch::Lower).is_empty());
    // A cast is for no mouth, and what is on its way is in nobody's hands.
    let made = |arch| names(&case.made_in_hand(&world.items, arch));
    assert_eq!(made(Arch::Upper), ["final upper"]);
    assert!(made(Arch::Lower).is_empty());
    let alike = |kind, arch| names(&case.alike(&world.items, (kind, arch)));
    assert_eq!(alike(ItemKind::Cast, Some(Arch::Upper)), ["cast upper"]);
    assert_eq!(alike(ItemKind::BiteRecord, None), ["bite"]);
    assert!(alike(ItemKind::Cast, Some(Arch::Lower)).is_empty());
    enters(&mut world, &tom(), destroyed("cast upper", "it broke"));
    let later = world.case_state();
    let of_kind = (ItemKind::Cast, Some(Arch::Upper));
    assert!(later.alike(&world.items, of_kind).is_empty());
}

#[test]
fn what_is_counted_found_wrong_or_on_a_handoff_is_said_of_the_thing() {
    let mut world = World::begun();
    enters(
        &mut world,
        &anna(),
        released("h1", &["bite", "facebow"], Office),
    );
    let on_its_way = world.case_state();
    let handoff = HandoffId::new("h1");
    assert_eq!(on_its_way.handoff_of(&tag("bite")), Some(&handoff));
    assert_eq!(on_its_way.handoff_of(&tag("impression")), None);
    let came = [
        found("bite", Outcome::Damaged, true),
        found("facebow", Outcome::Sound, false),
    ];
    enters(&mut world, &tom(), received("h1", Lab, &came));
    let case = world.case_state();
    assert!(!case.is_sound(&tag("bite")) && case.is_sound(&tag("facebow")));
    // It came without a mark of disinfection; the other with one.
    assert!(case.is_held_until_cleaned(&tag("facebow")));
    assert!(!case.is_held_until_cleaned(&tag("bite")));
    let pieces = |thing: &str| case.pieces(Item::of(&world.items, &tag(thing)).unwrap());
    assert_eq!((pieces("parts"), pieces("bite")), (4, 1));
}
