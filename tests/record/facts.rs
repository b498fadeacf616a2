//! Events and other facts to make leaves of. Their free texts all begin with `Qz`, which no code, identifier,
//! word of a list or hexadecimal digit does.

use proptest::prelude::*;
use vestibule::domain::custody::{Event, Exception, Found, Outcome, Sent, What};
use vestibule::domain::ids::{CaseNumber, Tag};
use vestibule::domain::moment::Moment;
use vestibule::domain::party::{Actor, PartyKind, Role};

pub fn case() -> CaseNumber {
    (0..32)
        .find_map(|n| CaseNumber::from_random([n; 7]))
        .unwrap()
}

pub fn tag(seed: u8) -> Tag {
    (seed..=255)
        .find_map(|n| Tag::from_random([n, 1, 2, 3, 4, 5, 6]))
        .unwrap()
}

/// One word, or several with all that people type.
fn free_text() -> impl Strategy<Value = String> {
    prop_oneof!["Qz[a-z]{6,12}", "Qz[a-z]{4} \\PC{0,40}"]
}

fn any_tag() -> impl Strategy<Value = Tag> {
    (0..100_u8).prop_map(tag)
}

fn house() -> impl Strategy<Value = PartyKind> {
    prop::sample::select(vec![PartyKind::Office, PartyKind::Lab])
}

fn any_exception() -> impl Strategy<Value = Option<Exception>> {
    let exception = (free_text(), free_text(), free_text());
    prop::option::of(exception.prop_map(|(name, licence, reason)| Exception {
        name,
        licence,
        reason,
    }))
}

fn sent() -> impl Strategy<Value = Sent> {
    (any_tag(), free_text()).prop_map(|(tag, condition)| Sent { tag, condition })
}

fn found() -> impl Strategy<Value = Found> {
    let outcome = prop::sample::select(Outcome::ALL.to_vec());
    (any_tag(), outcome, any::<bool>(), free_text()).prop_map(
        |(tag, outcome, marked_disinfected, note)| Found {
            tag,
            outcome,
            marked_disinfected,
            note,
        },
    )
}

fn a_release() -> impl Strategy<Value = What> {
    let texts = (free_text(), free_text(), free_text(), free_text());
    let items = prop::collection::vec(sent(), 1..5);
    (items, house(), texts, any_exception()).prop_map(
        |(items, from, (carrier, tracking, purpose, seal), exception)| What::Released {
            handoff: "h-1".to_owned(),
            items,
            from,
            to: from.other(),
            carrier,
            tracking,
            purpose,
            seal,
            exception,
        },
    )
}

fn a_receipt() -> impl Strategy<Value = What> {
    let items = prop::collection::vec(found(), 0..5);
    (items, house(), free_text()).prop_map(|(items, place, unannounced)| What::Received {
        handoff: "h-1".to_owned(),
        place,
        items,
        unannounced,
    })
}

/// What happens to one item, with two texts where it has them.
fn one_item_deeds() -> impl Strategy<Value = What> {
    let parts = (any_tag(), free_text(), free_text(), house(), any::<bool>());
    (parts, any_exception(), 0..10_usize).prop_map(
        |((tag, text, other, place, yes), exception, n)| {
            let event = "e-1".to_owned();
            [
                What::Registered {
                    tag: tag.clone(),
                    place,
                    worn: yes,
                    note: text.clone(),
                },
                What::Disinfected {
                    tag: tag.clone(),
                    agent: text.clone(),
                    dilution: other,
                    minutes: 10,
                    rinsed: yes,
                },
                What::Fitted {
                    tag: tag.clone(),
                    instead_of: yes.then(|| tag.clone()),
                },
                What::TakenOut {
                    tag: tag.clone(),
                    exception,
                },
                What::Given { tag: tag.clone() },
                What::BroughtBack { tag: tag.clone() },
                What::UsedUp {
                    tag: tag.clone(),
                    into: text.clone(),
                },
                What::Withheld {
                    tag: tag.clone(),
                    consent: yes,
                    kept: text.clone(),
                },
                if yes {
                    What::Destroyed {
                        tag,
                        how: text.clone(),
                    }
                } else {
                    What::WrittenOff {
                        tag,
                        how: text.clone(),
                    }
                },
                What::Corrected { event, note: text },
            ][n]
                .clone()
        },
    )
}

/// Every kind of event. A new kind does not compile here until somebody has made events of it above, and so
/// has let the tests look for its texts in its leaf.
pub fn any_event() -> impl Strategy<Value = Event> {
    let what = prop_oneof![a_release(), a_receipt(), one_item_deeds()];
    let at = (0..4_000_000_000_000_i64, -720..840_i16);
    (what, free_text(), free_text(), at).prop_map(|(what, name, party_name, (unix_ms, offset))| {
        match &what {
            What::Registered { .. } | What::Disinfected { .. } | What::Released { .. } => {}
            What::Received { .. } | What::Fitted { .. } | What::TakenOut { .. } => {}
            What::Given { .. } | What::BroughtBack { .. } | What::UsedUp { .. } => {}
            What::Withheld { .. } | What::Destroyed { .. } | What::WrittenOff { .. } => {}
            What::Corrected { .. } => {}
        }
        let at = Moment::new(unix_ms, offset);
        Event {
            id: "e-2".to_owned(),
            case: case(),
            at,
            entered_at: at,
            by: actor(name, party_name),
            what,
        }
    })
}

fn actor(name: String, party_name: String) -> Actor {
    Actor {
        account: "a-1".to_owned(),
        name,
        role: Role::LabManager,
        party: "p-2".to_owned(),
        party_name,
    }
}

/// The same event each time.
pub fn an_event(note: &str) -> Event {
    let at = Moment::new(1_772_438_400_000, 60);
    Event {
        id: "e-3".to_owned(),
        case: case(),
        at,
        entered_at: at,
        by: actor("Ada Sample".to_owned(), "Sample Lab".to_owned()),
        what: What::Registered {
            tag: tag(0),
            place: PartyKind::Lab,
            worn: false,
            note: note.to_owned(),
        },
    }
}
