//! A page offers what would be allowed, and nothing else.

use super::walk::{Move, any_arches, moves};
use super::*;
use crate::domain::form::{Kind, Raw};
use proptest::prelude::*;

fn subject<'a>(context: &Context<'a>, case: &'a CaseState, tag: &'a Tag) -> Subject<'a> {
    let mut events = context.events.iter();
    Subject {
        tag,
        scope: context.scope(),
        case,
        entry: events
            .find(|event| event.what.tags().contains(&tag))
            .map(|event| event.id.as_str()),
    }
}

/// The actions that are offered to somebody about an item, by the kinds of events that they make.
fn offered(world: &World, tag: &Tag, by: &Actor, at: Moment) -> Vec<&'static str> {
    let (context, case) = (world.context(), world.case_state());
    let examples = ACTIONS.iter();
    let examples = examples.map(|action| (action.example)(&subject(&context, &case, tag)));
    examples
        .filter(|what| allow_in(&context, &case, what, by, at).is_empty())
        .map(|what| what.word())
        .collect()
}

/// Whatever is let through was offered.
fn was_offered(world: &World, one: Move) -> bool {
    let (what, by, at) = one.proposal(world);
    let is_action = ACTIONS.iter().any(|action| {
        let (context, case) = (world.context(), world.case_state());
        let tag = tag("bite");
        (action.example)(&subject(&context, &case, &tag)).word() == what.word()
    });
    let tags = what.tags().into_iter().cloned().collect::<Vec<Tag>>();
    let is_allowed = allow(&world.context(), &what, &by, at).is_empty();
    !is_action
        || !is_allowed
        || tags
            .iter()
            .all(|tag| offered(world, tag, &by, at).contains(&what.word()))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn what_is_allowed_was_offered_and_what_is_offered_is_allowed(
        arches in any_arches(),
        moves in moves(60),
    ) {
        let mut world = World::bare(arches);
        for one in moves {
            prop_assert!(was_offered(&world, one), "{:?}", one.proposal(&world).0);
            world.propose(one);
        }
        // What is offered at the end is appended by the same rules, by whomever it was offered to.
        for by in everybody() {
            for item in world.items.clone() {
                let at = Moment::new(world.now_ms + 50 * MINUTE_MS, 60);
                let (context, case) = (world.context(), world.case_state());
                for action in ACTIONS {
                    let what = (action.example)(&subject(&context, &case, &item.tag));
                    let is_offered = offered(&world, &item.tag, &by, at).contains(&what.word());
                    let stands_against = allow(&context, &what, &by, at);
                    prop_assert_eq!(is_offered, stands_against.is_empty());
                    prop_assert!(!is_offered || context.scope().side(&by).is_some());
                }
            }
        }
    }
}

#[test]
fn every_action_names_its_fields_once_and_is_empty_handed_only_where_nothing_is_asked() {
    for action in ACTIONS {
        let mut keys: Vec<&str> = action.fields.iter().map(|spec| spec.key).collect();
        let count = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), count, "{}", action.word);
        let mut faults = Vec::new();
        let read = (action.typed)(&tag("bite"), &Raw::new(), &mut faults);
        let needed = action.fields.iter().filter(|spec| !spec.needed.is_empty());
        assert_eq!(faults.len(), needed.count(), "{}", action.word);
        assert_eq!(read.is_some(), faults.is_empty(), "{}", action.word);
    }
}

/// Every box filled in: whatever a field offers is read.
#[test]
fn everything_that_an_action_offers_to_choose_is_taken() {
    for action in ACTIONS {
        for spec in action.fields {
            let Kind::Choice(listed) = spec.kind else {
                continue;
            };
            let read = |word: &str| {
                let raw = Raw::from([(spec.key.to_owned(), word.to_owned())]);
                let mut faults = Vec::new();
                (action.typed)(&tag("bite"), &raw, &mut faults);
                !faults.iter().any(|fault| fault.key == spec.key)
            };
            for (word, _) in listed {
                assert!(read(word), "{} {}", spec.key, word);
            }
            assert!(!read("no such word"), "{}", spec.key);
        }
    }
}

#[test]
fn a_worn_denture_is_adjusted_at_the_office_and_the_height_is_told_in_millimetres() {
    let mut world = World::bare(Arches::Upper);
    world.does(&dora(), registered("provisional upper", Side::Office, true));
    world.does(&dora(), registered("bite", Side::Office, false));
    let adjusted = |thing: &str, done| {
        What::Adjusted(Adjusted {
            done,
            tag: tag(thing),
            day: None,
            part: None,
            direction: None,
            mm: None,
            complaint: None,
            said: String::new(),
            material: String::new(),
        })
    };
    let (upper, rounded) = ("provisional upper", Adjustment::EdgeRounded);
    world.expect(&anna(), &adjusted(upper, rounded), &[]);
    world.expect(&tom(), &adjusted(upper, rounded), &[(Rule::Right, "")]);
    world.expect(&anna(), &adjusted("bite", rounded), &[(Rule::Form, "bite")]);
    for done in [Adjustment::BiteRaised, Adjustment::Other] {
        world.expect(&anna(), &adjusted(upper, done), &[(Rule::Form, upper)]);
    }
    let mut raised = adjusted(upper, Adjustment::BiteRaised);
    if let What::Adjusted(entry) = &mut raised {
        entry.mm = crate::domain::values::measure::Mm::parse("2").ok();
        entry.complaint = Some(6);
        "chews well".clone_into(&mut entry.said);
    }
    let before = world.state(upper).answers;
    world.does(&dora(), raised);
    let told = describe(&world.items, world.events.last().unwrap());
    assert!(
        told.what.ends_with("adjusted: bite raised"),
        "{}",
        told.what
    );
    assert_eq!(
        told.details,
        [
            "2 mm",
            "Because of: Looks old, sore corners of the mouth, weak bite",
            "The patient said: chews well"
        ]
    );
    assert_eq!(world.state(upper).answers, before);
}
