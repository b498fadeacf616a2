//! One answer for a whole parcel, and what is said in its place.

use super::*;
use crate::domain::custody::forms::ReceiptForm;
use crate::domain::custody::handoff::Handoff;
use crate::domain::form::{Form, Raw};
use proptest::prelude::*;

const SENT: [&str; 5] = ["bite", "facebow", "impression", "photograph", "parts"];

/// The parcel on its way, and the handoff as it is awaited.
fn on_its_way() -> Handoff {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &SENT);
    let case = world.case_state();
    case.handoffs.into_iter().next().expect("it was sent")
}

/// What is said of an item in its place: by 0 nothing, then missing, damaged, not as described, not disinfected.
fn said(raw: &mut Raw, thing: &str, word: usize) -> (Outcome, bool) {
    let tag = tag(thing);
    let mut put = |part: &str, text: &str| {
        raw.insert(format!("{}.{part}", tag.as_str()), text.to_owned());
    };
    match word {
        0 => (Outcome::Sound, true),
        1 => {
            put("outcome", "missing");
            (Outcome::Missing, false)
        }
        2 | 3 => {
            let (outcome, word) = match word {
                2 => (Outcome::Damaged, "damaged"),
                _ => (Outcome::NotAsDescribed, "not_as_described"),
            };
            put("outcome", word);
            put("note", "as seen");
            (outcome, true)
        }
        _ => {
            put("marked", "no");
            (Outcome::Sound, false)
        }
    }
}

/// Of two parcels the second one is here: the button takes what is new, not what the first one had lacked.
#[test]
fn all_as_described_does_not_find_what_was_said_to_be_missing() {
    let mut world = World::begun();
    for thing in ["bite", "facebow", "impression"] {
        world.does(&anna(), disinfected(thing));
    }
    let mut out = released("h1", &["bite", "facebow", "impression"], Side::Office);
    if let What::Released(release) = &mut out {
        release.parcels = vec![Parcel::default(), Parcel::default()];
        let parcels = [1, 1, 2];
        let sent = release.items.iter_mut().zip(parcels);
        sent.for_each(|(sent, parcel)| sent.parcel = parcel);
    }
    world.does(&anna(), out);
    let came = |parcel, seal| ParcelFound {
        parcel,
        seal,
        number: String::new(),
    };
    let first = [
        found("bite", Outcome::Missing, false),
        found("facebow", Outcome::Sound, true),
    ];
    let mut receipt = received("h1", Side::Lab, &first);
    if let What::Received(one) = &mut receipt {
        one.parcels = vec![came(1, SealFound::None), came(2, SealFound::NotHere)];
    }
    world.does(&tom(), receipt);
    let handoff = world.case_state().handoffs.remove(0);
    let all = |more: &[(&str, &str)]| {
        let mut raw = Raw::from([("go".to_owned(), "all".to_owned())]);
        let put = |(key, word): &(&str, &str)| {
            (
                format!("{}.{key}", tag("bite").as_str()),
                (*word).to_owned(),
            )
        };
        raw.extend(more.iter().map(put));
        raw.insert("parcel.2.seal".to_owned(), "none".to_owned());
        let form = ReceiptForm::read(&raw, &mut Vec::new()).expect("it is read");
        let (_, found) = form.of(&handoff).expect("nothing is wrong");
        found
            .into_iter()
            .map(|one| name(&one.tag))
            .collect::<Vec<_>>()
    };
    assert_eq!(all(&[]), ["impression"]);
    // It turned up in the second one: its tag was compared.
    assert_eq!(all(&[("here", "yes")]), ["impression", "bite"]);
    // The rule takes a receipt that says nothing more of it.
    let mut second = received(
        "h1",
        Side::Lab,
        &[found("impression", Outcome::Sound, true)],
    );
    if let What::Received(one) = &mut second {
        one.parcels = vec![came(2, SealFound::None)];
    }
    world.does(&tom(), second);
    assert!(world.state("bite").missing);
    // Nothing else is awaited: an empty receipt says nothing.
    world.expect(
        &tom(),
        &received("h1", Side::Lab, &[]),
        &[(CustodyRule::Form, "")],
    );
}

proptest! {
    #[test]
    fn all_as_described_receives_everything_but_what_is_said_otherwise(
        words in prop::array::uniform5(0_usize..5),
        ticks in prop::array::uniform5(any::<bool>()),
    ) {
        let handoff = on_its_way();
        let mut raw = Raw::from([("go".to_owned(), "all".to_owned())]);
        let mut wanted = Vec::new();
        for ((thing, word), tick) in SENT.iter().zip(words).zip(ticks) {
            // A scan before says no more than the button does.
            if tick && word != 1 {
                raw.insert(format!("{}.here", tag(thing).as_str()), "yes".to_owned());
            }
            let (outcome, marked) = said(&mut raw, thing, word);
            wanted.push((tag(thing), outcome, marked));
        }
        let mut faults = Vec::new();
        let form = ReceiptForm::read(&raw, &mut faults).expect("it is read");
        prop_assert_eq!(faults, Vec::new());
        let (_, found) = form.of(&handoff).expect("nothing is wrong");
        let found: Vec<_> = found
            .into_iter()
            .map(|one| (one.tag, one.outcome, one.marked_disinfected))
            .collect();
        prop_assert_eq!(found, wanted);
    }

    /// Without that button nothing is taken that nobody has ticked and said something of.
    #[test]
    fn without_that_button_each_item_is_ticked_and_answered_for(ticks in prop::array::uniform5(any::<bool>())) {
        let handoff = on_its_way();
        let mut raw = Raw::new();
        for (thing, tick) in SENT.iter().zip(ticks) {
            let mut put = |part: &str, word: &str| raw.insert(format!("{}.{part}", tag(thing).as_str()), word.to_owned());
            put("outcome", "sound");
            put("marked", "yes");
            if tick {
                put("here", "yes");
            }
        }
        let form = ReceiptForm::read(&raw, &mut Vec::new()).expect("it is read");
        let all = ticks.iter().all(|tick| *tick);
        prop_assert_eq!(form.of(&handoff).is_ok(), all);
    }
}
