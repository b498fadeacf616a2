//! One answer for a whole parcel, and what is said in its place.

use super::*;
use crate::domain::custody::forms::ReceiptForm;
use crate::domain::custody::handoff::Handoff;
use crate::domain::form::{Form, Raw};
use proptest::prelude::*;
use std::collections::BTreeMap;

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

#[test]
fn the_day_on_which_a_thing_came_is_that_of_its_last_receipt_in_that_house() {
    use crate::domain::custody::came_in;
    let mut world = World::begun();
    let day = |world: &World, side, thing: &str| {
        came_in(side, &world.events, &world.case_state())
            .get(&tag(thing))
            .copied()
    };
    assert_eq!(day(&world, Side::Office, "bite"), None);
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    let items = [
        found("bite", Outcome::Sound, true),
        found("facebow", Outcome::Missing, false),
    ];
    world.does(&tom(), received("h1", Side::Lab, &items));
    let first = Moment::new(world.now_ms, 60).date();
    assert_eq!(day(&world, Side::Lab, "bite"), Some(first));
    assert_eq!(day(&world, Side::Lab, "facebow"), None);
    assert_eq!(day(&world, Side::Office, "bite"), None);
    // It went back, and came to the lab once more on the next day.
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    world.sends(&tom(), "h2", &["bite"]);
    world.takes(&anna(), "h2", &["bite"]);
    assert_eq!(day(&world, Side::Office, "bite"), Some(first));
    world.now_ms += 24 * 60 * MINUTE_MS;
    world.sends(&anna(), "h3", &["bite"]);
    world.takes(&tom(), "h3", &["bite"]);
    assert_eq!(day(&world, Side::Lab, "bite"), first.next_day());
    assert_eq!(day(&world, Side::Office, "bite"), Some(first));
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
        let (_, found) = form
            .of(&handoff, &BTreeMap::new())
            .expect("nothing is wrong");
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

#[test]
fn another_number_on_the_seal_is_read_once_more_before_it_is_entered() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("bite"));
    let mut out = released("h1", &["bite"], Side::Office);
    if let What::Released(release) = &mut out {
        release.parcels = vec![Parcel {
            seal: "S-2".to_owned(),
            ..Parcel::default()
        }];
        release.items[0].parcel = 1;
    }
    world.does(&anna(), out);
    let handoff = world.case_state().handoffs.remove(0);
    let table = [
        ("intact", "S-9", "", "", Some("parcel.1.again")),
        ("intact", "S-9", "S-9", "yes", None),
        // Read once more was another number.
        ("intact", "S-8", "S-9", "yes", Some("parcel.1.again")),
        ("intact", "S-2", "", "", None),
        ("intact", "s 2", "", "", None),
        ("intact", "", "", "", Some("parcel.1.number")),
        ("broken", "S-9", "", "", None),
        ("none", "", "", "", None),
    ];
    for (seal, number, asked, again, wrong) in table {
        let raw = [
            ("go", "all"),
            ("parcel.1.seal", seal),
            ("parcel.1.number", number),
            ("parcel.1.asked_number", asked),
            ("parcel.1.again", again),
        ];
        let raw = Raw::from(raw.map(|(key, word)| (key.to_owned(), word.to_owned())));
        let form = ReceiptForm::read(&raw, &mut Vec::new()).expect("it is read");
        let faults = form
            .of(&handoff, &BTreeMap::new())
            .err()
            .unwrap_or_default();
        let keys: Vec<&str> = faults.iter().map(|fault| fault.key.as_str()).collect();
        assert_eq!(keys, Vec::from_iter(wrong), "{seal} {number} {again}");
        assert!(
            faults.iter().all(|fault| !fault.message.contains("S-2")),
            "whoever reads it is not told it"
        );
    }
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
        let (_, found) = form.of(&handoff, &BTreeMap::new()).expect("nothing is wrong");
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
        prop_assert_eq!(form.of(&handoff, &BTreeMap::new()).is_ok(), all);
    }
}

#[test]
fn a_tick_alone_says_that_the_thing_is_as_described() {
    let handoff = on_its_way();
    let mut raw = Raw::new();
    for thing in SENT {
        raw.insert(format!("{}.here", tag(thing).as_str()), "yes".to_owned());
    }
    let read = |raw: &Raw| {
        let form = ReceiptForm::read(raw, &mut Vec::new()).expect("it is read");
        form.of(&handoff, &BTreeMap::new()).map(|(_, found)| found)
    };
    let all = read(&raw).expect("nothing is asked");
    assert!(
        all.iter()
            .all(|one| one.outcome == Outcome::Sound && one.marked_disinfected)
    );
    assert_eq!(all.len(), SENT.len());
    // A note says that something is to be said, and what is not ticked is not in hand.
    let key = |part: &str| format!("{}.{part}", tag("bite").as_str());
    let mut noted = raw.clone();
    noted.insert(key("note"), "a crack".to_owned());
    assert!(read(&noted).is_err());
    raw.remove(&key("here"));
    assert!(read(&raw).is_err());
}

#[test]
fn what_had_a_flaw_and_came_with_it_is_as_described_and_not_sound() {
    let as_sent = |condition: &str| Sent {
        condition: condition.to_owned(),
        ..sent("final upper")
    };
    let mut came = found("final upper", Outcome::Sound, true);
    for (condition, words) in [
        ("", "sound"),
        ("sound", "sound"),
        ("chip at 41", "as described: chip at 41"),
    ] {
        assert_eq!(came.words(&as_sent(condition)), words);
    }
    came.outcome = Outcome::Damaged;
    came.note = "broken in two".to_owned();
    let words = came.words(&as_sent("chip at 41"));
    assert_eq!(words, "damaged (broken in two)");
}

#[test]
fn an_extra_thing_that_is_of_this_case_is_asked_of_the_house_that_has_it_by_the_record() {
    let mut world = World::begun();
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    world.sends(&anna(), "h1", &["bite"]);
    let mut came = received("h1", Side::Lab, &[found("bite", Outcome::Sound, true)]);
    if let What::Received(Received { foreign, .. }) = &mut came {
        *foreign = tag("duplicate upper").to_string();
    }
    world.does(&tom(), came);
    let hold = world.open_holds().pop().expect("a hold");
    assert_eq!(
        (hold.trouble, hold.side),
        (Trouble::Unannounced, Side::Office)
    );
    assert!(
        hold.detail
            .ends_with("the record has it in the patient’s mouth"),
        "{}",
        hold.detail
    );
    assert_eq!(hold.waiting, [tag("duplicate upper")]);
    let words = describe(&world.items, world.events.last().expect("a receipt"));
    let named = format!("Duplicate denture, upper {}", tag("duplicate upper"));
    assert!(words.details.iter().any(|detail| detail.ends_with(&named)));
}

#[test]
fn what_is_kept_back_is_kept_back_still_when_it_has_travelled() {
    let mut world = World::begun();
    world.does(
        &dora(),
        What::Withheld(Withheld {
            tag: tag("old upper"),
            consent: true,
            kept: "drawer 3".to_owned(),
        }),
    );
    world.sends(&anna(), "h1", &["old upper"]);
    world.takes(&tom(), "h1", &["old upper"]);
    world.sends(&tom(), "h2", &["old upper"]);
    world.takes(&anna(), "h2", &["old upper"]);
    let kept = world.state("old upper").withheld;
    assert_eq!(kept.as_deref(), Some("drawer 3"));
}

#[test]
fn nobody_is_told_to_disinfect_what_the_other_house_has() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite"]);
    let unmarked = [found("bite", Outcome::Sound, false)];
    world.does(&tom(), received("h1", Side::Lab, &unmarked));
    let back = What::Voided(Voided {
        handoff: HandoffId::new("h1"),
        items: vec![tag("bite")],
        reason: "it is here".to_owned(),
        signed: under("anna"),
        brought_back: Some(false),
    });
    let against = world.refusals(&anna(), &back);
    assert!(!against.is_empty());
    assert!(against.iter().all(|(rule, _)| *rule != CustodyRule::H));
}

/// Common practice, no source: a broken denture is counted when it comes, since a piece that stays in the bag is missed late.
#[test]
fn pieces_that_the_prescription_lists_are_counted_where_nobody_has_counted_them_out() {
    let handoff = on_its_way();
    let thing = tag(SENT[0]);
    let listed = BTreeMap::from([(thing.clone(), 3)]);
    // pieces, what was found, the keys of what is wrong, and what the entry says
    let table: [(&str, &str, &[&str], &str); 4] = [
        ("", "", &["pieces"], ""),
        ("3", "", &[], "3 of 3 listed pieces came"),
        ("2", "", &["outcome"], ""),
        (
            "2",
            "not_as_described",
            &[],
            "2 of 3 listed pieces came. 41 is not there",
        ),
    ];
    for (pieces, outcome, wrong, note) in table {
        let mut raw = Raw::from([("go".to_owned(), "all".to_owned())]);
        let said = match outcome {
            "" => "",
            _ => "41 is not there",
        };
        for (part, word) in [
            ("pieces", pieces),
            ("outcome", outcome),
            ("note", said),
            ("here", "yes"),
            ("marked", "yes"),
        ] {
            raw.insert(format!("{}.{part}", thing.as_str()), word.to_owned());
        }
        let form = ReceiptForm::read(&raw, &mut Vec::new()).expect("it is read");
        let found = match form.of(&handoff, &listed) {
            Ok((_, found)) => {
                assert_eq!(wrong, [""; 0], "{pieces} {outcome}");
                Found::of(&found, &thing).cloned()
            }
            Err(faults) => {
                let keys = faults
                    .iter()
                    .filter_map(|fault| fault.key.rsplit('.').next());
                assert_eq!(keys.collect::<Vec<_>>(), wrong, "{pieces} {outcome}");
                continue;
            }
        };
        let found = found.expect("it came");
        assert_eq!(found.note, note, "{pieces} {outcome}");
        // What is mended is no piece less when it leaves again.
        assert_eq!(found.pieces, None);
    }
}
