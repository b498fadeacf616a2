//! What can be taken out of the entries, by whom, and that nothing else hangs on it.

use super::walk::{moves, walk};
use super::*;
use crate::domain::custody::erasing::{blanked, called, erasable, note_of};
use crate::domain::values::ids::EventId;
use proptest::prelude::*;

use CustodyRule::{F, Form, J, Right};

fn erase(texts: &[(&str, &str)]) -> What {
    let text = |(event, place): &(&str, &str)| ErasedText {
        event: EventId::new(*event),
        place: (*place).to_owned(),
    };
    What::Erased(Erased {
        texts: texts.iter().map(text).collect(),
        why: EraseReason::NamesPatient,
        signed: under("dora"),
    })
}

fn with_note(thing: &str, words: &str) -> What {
    let mut what = registered(thing, Side::Office, false);
    if let What::Registered(Registered { note, .. }) = &mut what {
        words.clone_into(note);
    }
    what
}

#[test]
fn only_what_ones_own_house_wrote_is_taken_out_and_once() {
    let mut world = World::bare(Arches::Both);
    world.does(&anna(), with_note("bite", "for Mrs. Sample"));
    world.does(&anna(), registered("facebow", Side::Office, false));
    world.does(
        &tom(),
        What::Registered(Registered {
            tag: tag("cast upper"),
            place: Side::Lab,
            worn: false,
            note: "her cast".to_owned(),
            pieces: None,
            made: None,
            due_back: None,
            file: None,
        }),
    );
    let note = erase(&[("event 0", "/what/note")]);
    for by in [dora(), anna()] {
        world.expect(&by, &note, &[]);
    }
    world.expect(&mara(), &note, &[(Right, "")]);
    world.expect(
        &dora(),
        &erase(&[("event 2", "/what/note")]),
        &[(Right, "")],
    );
    world.expect(&mara(), &erase(&[("event 2", "/what/note")]), &[]);
    world.expect(&dora(), &erase(&[]), &[(Form, "")]);
    // An empty note is none; tags, names and entries that are not there are no texts.
    for (event, place) in [
        ("event 1", "/what/note"),
        ("event 0", "/what/tag"),
        ("event 0", "/by/name"),
        ("event 0", ""),
        ("event 0", "/what/notes"),
        ("event 9", "/what/note"),
    ] {
        world.expect(&dora(), &erase(&[(event, place)]), &[(J, "")]);
    }
    let twice = [("event 0", "/what/note"), ("event 0", "/what/note")];
    world.expect(&dora(), &erase(&twice), &[(F, "")]);
    let before = fold(&world.events);
    world.does(&dora(), note.clone());
    world.expect(&dora(), &note, &[(F, "")]);
    assert_eq!(fold(&world.events), before, "an erasing moves nothing");
}

#[test]
fn a_closed_case_lets_texts_be_erased_and_stays_closed() {
    let mut world = World::bare(Arches::Both);
    world.does(&anna(), with_note("photograph", "for Mrs. Sample"));
    world.does(&anna(), destroyed("photograph", "deleted"));
    let items = dispositions(&world.context().scope(), &world.case_state()).unwrap();
    let signed = under("dora");
    let note = String::new();
    world.does(
        &dora(),
        What::Closed(Closed {
            items,
            note,
            nothing_made: false,
            signed,
        }),
    );
    world.does(&dora(), erase(&[("event 0", "/what/note")]));
    assert!(is_closed(&world.events));
}

#[test]
fn what_says_who_did_what_with_which_thing_cannot_be_taken_out() {
    // Common practice, no source: what a chain of custody and an infection control log are kept for.
    let full = What::Disinfected(Disinfected {
        tag: tag("bite"),
        agent: "peracetic acid".to_owned(),
        dilution: "ready to use".to_owned(),
        minutes: 10,
        rinsed: true,
    });
    let mut world = World::begun();
    world.does(&anna(), full);
    assert_eq!(erasable(world.events.last().unwrap()), []);
    let mut release = released("h1", &["bite"], Side::Office);
    if let What::Released(Released {
        parcels,
        tracking,
        seal,
        purpose,
        ..
    }) = &mut release
    {
        "X-1".clone_into(tracking);
        "7".clone_into(seal);
        "as agreed".clone_into(purpose);
        parcels.push(Parcel {
            seal: "8".to_owned(),
            note: "handle with care".to_owned(),
            ..Parcel::default()
        });
    }
    world.append(&anna(), release, Moment::new(world.now_ms, 60));
    let event = world.events.last().unwrap();
    let texts: Vec<_> = erasable(event).into_iter().map(|text| text.place).collect();
    assert_eq!(
        texts,
        [
            "/what/items/0/condition",
            "/what/parcels/0/note",
            "/what/purpose"
        ]
    );
    assert_eq!(called(event, "/what/purpose"), Some("words on the purpose"));
    assert_eq!(called(event, "/what/carrier"), None);
}

#[test]
fn a_stored_text_keeps_all_but_what_is_erased() {
    // As an earlier version wrote it, with a field that no version knows.
    let body =
        r#"{"a":1,"what":{"items":[{"note":"x"},{"note":"y"}],"kind":"received"},"z":[0.5,"é"]}"#;
    let erased = blanked(body, ["/what/items/1/note"]).unwrap();
    assert_eq!(
        erased,
        r#"{"a":1,"what":{"items":[{"note":"x"},{"note":"[erased]"}],"kind":"received"},"z":[0.5,"é"]}"#
    );
    for place in ["/what/items/2/note", "/a", "/what", "/none"] {
        assert_eq!(blanked(body, [place]), None, "{place}");
    }
    assert_eq!(blanked("no JSON", ["/a"]), None);
    assert_eq!(blanked(body, []).as_deref(), Some(body));
}

#[test]
fn the_note_of_a_registration_is_the_things_own() {
    let mut world = World::bare(Arches::Both);
    world.does(&anna(), with_note("bite", "keyed"));
    world.does(&anna(), disinfected("bite"));
    assert_eq!(note_of(&world.events[0], "/what/note"), Some(tag("bite")));
    assert_eq!(note_of(&world.events[0], "/what/made/how"), None);
    assert_eq!(note_of(&world.events[1], "/what/note"), None);
}

/// Every text that can be taken out is.
fn without_texts(event: &Event) -> Event {
    let body = serde_json_canonicalizer::to_string(event).unwrap();
    let texts = erasable(event);
    let places = texts.iter().map(|text| text.place.as_str());
    serde_json::from_str(&blanked(&body, places).unwrap()).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// A history from which every text was taken out is still read, was still allowed at each step, and says
    /// of each thing what it said: otherwise an erasing would condemn what happened before it.
    #[test]
    fn nothing_hangs_on_a_text_that_can_be_erased(moves in moves(60)) {
        let world = walk(World::begun(), &moves);
        let mut blank = World::bare(world.arches);
        for event in &world.events {
            let event = without_texts(event);
            let refusals = allow(&blank.context(), &event.what, &event.by, event.at);
            prop_assert_eq!(refusals, [], "{:?}", event.what);
            blank.events.push(event);
        }
        let plain = |events: &[Event]| {
            let mut custody = fold(events);
            for state in custody.values_mut() {
                // What it was before its end is made of the same texts.
                state.ending = None;
                state.place = state.place.as_ref().map(|_| String::new());
                state.withheld = state.withheld.as_ref().map(|_| String::new());
            }
            custody
        };
        prop_assert_eq!(plain(&world.events), plain(&blank.events));
        let open = |events: &[Event]| {
            let holds = open_holds(events).into_iter();
            holds.map(|hold| (hold.id, hold.trouble, hold.tag, hold.side)).collect::<Vec<_>>()
        };
        prop_assert_eq!(open(&world.events), open(&blank.events));
    }
}
