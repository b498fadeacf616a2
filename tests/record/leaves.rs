//! What is in a leaf, what is not, and how it is held against what is stored.

use crate::facts::{an_event, any_event, case, tag};
use proptest::prelude::*;
use serde_json::{Value, json};
use vestibule::domain::custody::events::Released;
use vestibule::domain::custody::{Sent, What};
use vestibule::domain::people::party::Side;
use vestibule::domain::prescription::revision::{Acknowledgement, MEANING, Revision, Signature};
use vestibule::domain::values::ids::HandoffId;
use vestibule::domain::values::moment::Moment;
use vestibule::record::entry::{Entry, LeafKind};
use vestibule::record::leaf::{
    ERASED, LONGEST_LEAF, LeafError, Mismatch, Salts, Sealed, commitment, matches, salts_from,
    salts_from_json, salts_to_json, seal,
};

fn sealed(entry: &Entry) -> Sealed {
    entry.seal(&mut salts_from([3; 32])).unwrap()
}

fn open_nothing(value: Value) -> Result<Sealed, LeafError> {
    seal(value, &|_| false, &mut salts_from([3; 32]))
}

/// Every text of a value with its place.
fn texts(value: &Value, path: &str, found: &mut Vec<(String, String)>) {
    match value {
        Value::String(text) => found.push((path.to_owned(), text.clone())),
        Value::Array(items) => {
            for (place, item) in items.iter().enumerate() {
                texts(item, &format!("{path}/{place}"), found);
            }
        }
        Value::Object(members) => {
            for (key, member) in members {
                texts(member, &format!("{path}/{key}"), found);
            }
        }
        _ => {}
    }
}

fn free_texts(entry: &Entry) -> Vec<(String, String)> {
    let mut found = Vec::new();
    texts(&entry.value, "", &mut found);
    found.retain(|(_, text)| text.starts_with("Qz"));
    found
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn no_free_text_and_no_name_of_an_event_is_in_its_leaf(event in any_event()) {
        let entry = Entry::event(&event).unwrap();
        let leaf = sealed(&entry);
        let written = String::from_utf8(leaf.bytes).unwrap();
        let free = free_texts(&entry);
        prop_assert!(free.len() >= 2);
        for (path, text) in &free {
            prop_assert!(!written.contains(text.as_str()), "{text} in {written}");
            prop_assert!(leaf.salts.contains_key(path), "{path}");
        }
        prop_assert_eq!(leaf.salts.len(), free.len(), "no more is closed than has to be");
        prop_assert!(!written.contains("Qz"));
        for tag in event.what.tags() {
            prop_assert!(written.contains(tag.as_str()));
        }
    }

    #[test]
    fn a_leaf_fits_its_event_whatever_has_been_erased(event in any_event(), erase in any::<u64>(), marked in any::<bool>()) {
        let mut entry = Entry::event(&event).unwrap();
        let mut leaf = sealed(&entry);
        prop_assert_eq!(entry.matches(&leaf.bytes, &leaf.salts), Ok(Vec::new()));
        let mut erased = Vec::new();
        for (place, (path, _)) in free_texts(&entry).into_iter().enumerate() {
            if erase >> (place % 64) & 1 == 1 {
                *entry.value.pointer_mut(&path).unwrap() = json!(if marked { ERASED } else { "" });
                leaf.salts.remove(&path);
                erased.push(path);
            }
        }
        let mut answer = entry.matches(&leaf.bytes, &leaf.salts).unwrap();
        answer.sort();
        erased.sort();
        prop_assert_eq!(answer, erased);
    }

    #[test]
    fn a_changed_text_is_named(event in any_event(), one in any::<prop::sample::Index>(), letter in "[a-y]") {
        let mut entry = Entry::event(&event).unwrap();
        let leaf = sealed(&entry);
        let free = free_texts(&entry);
        let (path, text) = &free[one.index(free.len())];
        *entry.value.pointer_mut(path).unwrap() = json!(format!("{text}{letter}"));
        prop_assert_eq!(entry.matches(&leaf.bytes, &leaf.salts), Err(Mismatch::Text(path.clone())));
        let mut salts = leaf.salts.clone();
        salts.remove(path);
        prop_assert_eq!(entry.matches(&leaf.bytes, &salts), Err(Mismatch::NoSalt(path.clone())));
    }

    #[test]
    fn a_changed_bit_of_a_leaf_does_not_fit_its_event(event in any_event(), place in any::<prop::sample::Index>(), bit in 0..8_u8) {
        let entry = Entry::event(&event).unwrap();
        let mut leaf = sealed(&entry);
        let place = place.index(leaf.bytes.len());
        leaf.bytes[place] ^= 1 << bit;
        prop_assert!(entry.matches(&leaf.bytes, &leaf.salts).is_err());
    }

    #[test]
    fn the_same_event_and_salts_give_the_same_bytes(event in any_event()) {
        let entry = Entry::event(&event).unwrap();
        prop_assert_eq!(sealed(&entry), sealed(&entry));
        let other = entry.seal(&mut salts_from([4; 32])).unwrap();
        prop_assert_ne!(other.bytes, sealed(&entry).bytes);
    }

    #[test]
    fn salts_read_back(event in any_event()) {
        let salts = sealed(&Entry::event(&event).unwrap()).salts;
        prop_assert_eq!(salts_from_json(&salts_to_json(&salts)), Some(salts));
    }
}

#[test]
fn the_leaf_of_an_event() {
    let leaf = sealed(&Entry::event(&an_event("from the mouth")).unwrap());
    let salts: Vec<_> = salts_from([3; 32]).take(3).collect();
    // The texts take their salts in the order of the keys.
    let committed = |salt: usize, text| commitment(&salts[salt], text);
    let wanted = format!(
        concat!(
            r#"{{"event":{{"at":{{"offset_min":60,"unix_ms":1772438400000}},"by":{{"account":"a-1","#,
            r#""name":{{"committed":"{}"}},"party":"p-2","party_name":{{"committed":"{}"}},"role":"lab_manager"}},"#,
            r#""case":"{}","entered_at":{{"offset_min":60,"unix_ms":1772438400000}},"id":"e-3","#,
            r#""what":{{"kind":"registered","note":{{"committed":"{}"}},"place":"lab","tag":"{}","worn":false}}}},"#,
            r#""kind":"event","v":1}}"#,
        ),
        committed(0, "Ada Sample"),
        committed(1, "Sample Lab"),
        case().as_str(),
        committed(2, "from the mouth"),
        tag(0).as_str(),
    );
    assert_eq!(String::from_utf8(leaf.bytes).unwrap(), wanted);
    let places: Vec<&String> = leaf.salts.keys().collect();
    assert_eq!(
        places,
        ["/event/by/name", "/event/by/party_name", "/event/what/note"]
    );
}

#[test]
fn a_commitment_is_sha_256_over_salt_and_text() {
    // Regression value; the same as `printf '\0...(16 times)abc' | sha256sum`.
    assert_eq!(
        commitment(&[0; 16], "abc"),
        "277e7ff6d232b9763f4a66e8d05d210da32dac9c6dbce1026ad4cc98acb5fefe"
    );
}

#[test]
fn an_empty_text_stays_open() {
    let leaf = sealed(&Entry::event(&an_event("")).unwrap());
    assert!(
        String::from_utf8(leaf.bytes)
            .unwrap()
            .contains(r#""note":"""#)
    );
    assert_eq!(leaf.salts.len(), 2);
}

#[test]
fn the_texts_of_a_revision_are_one_document_and_its_signer() {
    let revision = Revision {
        case: case(),
        number: 2,
        document: r#"{"schema":1}"#.to_owned(),
        hash: String::new(),
        signature: Signature {
            account: "a-1".into(),
            name: "Ada Sample".to_owned(),
            licence: "L 1".to_owned(),
            meaning: MEANING.to_owned(),
            at: Moment::new(5, 0),
        },
    };
    let entry = Entry::revision(&revision, &"p-1".into(), &"p-2".into());
    let leaf = sealed(&entry);
    let value: Value = serde_json::from_slice(&leaf.bytes).unwrap();
    assert_eq!(value["kind"], "revision");
    let body = &value["revision"];
    assert_eq!(body["case"], case().as_str());
    assert_eq!(
        (&body["number"], &body["signer"]),
        (&json!(2), &json!("a-1"))
    );
    assert_eq!(
        (&body["office"], &body["lab"]),
        (&json!("p-1"), &json!("p-2"))
    );
    assert!(body["document"]["committed"].is_string());
    let places: Vec<&str> = leaf.salts.keys().map(String::as_str).collect();
    let wanted = ["document", "licence", "meaning", "name"].map(|key| format!("/revision/{key}"));
    assert_eq!(places, wanted);
    assert_eq!(entry.matches(&leaf.bytes, &leaf.salts), Ok(Vec::new()));
}

#[test]
fn an_acknowledgement_keeps_codes_open_and_closes_the_name() {
    let word = Acknowledgement {
        revision: 1,
        account: "a-2".into(),
        name: "Ben Sample".to_owned(),
        at: Moment::new(5, 0),
    };
    let entry = Entry::acknowledgement(&case(), &"p-2".into(), &word);
    let leaf = sealed(&entry);
    let closed: Vec<&str> = leaf.salts.keys().map(String::as_str).collect();
    assert_eq!(closed, ["/acknowledgement/name"]);
    assert_eq!(LeafKind::from_word("acknowledgement"), Some(entry.kind));
    assert_eq!(entry.matches(&leaf.bytes, &leaf.salts), Ok(Vec::new()));
}

#[test]
fn a_changed_code_number_or_structure_is_named() {
    let entry = Entry::event(&an_event("note")).unwrap();
    let leaf = sealed(&entry);
    for (path, other) in [
        ("/event/what/tag", json!(tag(50).as_str())),
        ("/event/what/worn", json!(true)),
        ("/event/what/place", json!(null)),
        ("/event/at/unix_ms", json!(1_772_438_400_001_i64)),
        ("/event/at", json!([1])),
        ("/v", json!(2)),
        ("/event/by/name", json!(7)),
    ] {
        let mut changed = entry.clone();
        *changed.value.pointer_mut(path).unwrap() = other;
        let answer = changed.matches(&leaf.bytes, &leaf.salts);
        assert_eq!(answer, Err(Mismatch::Value(path.to_owned())));
    }
    let mut longer = entry.clone();
    longer.value["event"]["more"] = json!(1);
    assert_eq!(
        longer.matches(&leaf.bytes, &leaf.salts),
        Err(Mismatch::Value("/event/more".to_owned()))
    );
    let mut shorter = entry.clone();
    shorter.value["event"].as_object_mut().unwrap().remove("id");
    assert_eq!(
        shorter.matches(&leaf.bytes, &leaf.salts),
        Err(Mismatch::Value("/event/id".to_owned()))
    );
}

#[test]
fn salts_without_a_text_and_bytes_of_another_form_are_refused() {
    let entry = Entry::event(&an_event("note")).unwrap();
    let leaf = sealed(&entry);
    let mut salts = leaf.salts.clone();
    salts.insert("/event/id".to_owned(), [0; 16]);
    assert_eq!(
        entry.matches(&leaf.bytes, &salts),
        Err(Mismatch::ExtraSalt("/event/id".to_owned()))
    );
    let spaced = [b" ", leaf.bytes.as_slice()].concat();
    for bytes in [&spaced[..], b"", b"{", b"{\"a\":1,\"a\":1}"] {
        assert_eq!(
            entry.matches(bytes, &leaf.salts),
            Err(Mismatch::NotCanonical)
        );
    }
}

#[test]
fn an_erased_text_may_be_left_out_altogether() {
    let leaf = open_nothing(json!({"a": "one", "b": "two", "c": "three"})).unwrap();
    let salts = Salts::from([("/c".to_owned(), leaf.salts["/c"])]);
    let value = json!({"b": null, "c": "three"});
    let erased = matches(&leaf.bytes, &value, &salts).unwrap();
    assert_eq!(erased, ["/a", "/b"]);
    // Without the text, its salt would let somebody try texts until one fits.
    let answer = matches(&leaf.bytes, &value, &leaf.salts);
    assert_eq!(answer, Err(Mismatch::Text("/a".to_owned())));
}

#[test]
fn free_text_on_an_open_place_is_closed_all_the_same() {
    let open = |value: Value| seal(value, &|_| true, &mut salts_from([0; 32])).unwrap();
    assert!(
        open(json!({"place": "lab", "root": "47DEQpj8+/=="}))
            .salts
            .is_empty()
    );
    for text in ["two words", "Müller", "a\nb", &"a".repeat(201)] {
        assert_eq!(open(json!({ "place": text })).salts.len(), 1, "{text}");
    }
}

#[test]
fn keys_with_slashes_have_places_of_their_own() {
    let leaf = open_nothing(json!({"a/b": "one", "a~b": ["two"]})).unwrap();
    let places: Vec<&str> = leaf.salts.keys().map(String::as_str).collect();
    assert_eq!(places, ["/a~0b/0", "/a~1b"]);
    let value = json!({"a/b": "one", "a~b": ["two"]});
    assert_eq!(matches(&leaf.bytes, &value, &leaf.salts), Ok(Vec::new()));
}

#[test]
fn what_cannot_be_a_leaf_says_why() {
    let mut event = an_event("note");
    let sent = |n: u8| Sent {
        condition: "sound".to_owned(),
        ..Sent::of(tag(n))
    };
    let items = (0..100).cycle().take(1000).map(sent).collect();
    let handoff = HandoffId::new("h-1");
    event.what = What::Released(Released::of(handoff, items, Side::Lab));
    let entry = Entry::event(&event).unwrap();
    let error = entry.seal(&mut salts_from([0; 32])).unwrap_err();
    assert!(matches!(error, LeafError::TooLong(length) if length > LONGEST_LEAF));
    assert!(error.to_string().contains("shorten its texts"));
    // A text of whatever length takes no room.
    let long = Entry::event(&an_event(&"long ".repeat(50_000))).unwrap();
    assert!(sealed(&long).bytes.len() < 1000);

    let beyond = open_nothing(json!({"a": [(1_u64 << 53) + 1]}));
    assert!(matches!(beyond, Err(LeafError::Number(path)) if path == "/a/0"));
    let negative = open_nothing(json!({"a": i64::MIN}));
    assert!(matches!(negative, Err(LeafError::Number(_))));
    let posing = open_nothing(json!({"a": {"committed": "x"}}));
    assert!(matches!(posing, Err(LeafError::LooksCommitted(path)) if path == "/a"));
    let short = seal(
        json!(["a", "b"]),
        &|_| false,
        &mut salts_from([0; 32]).take(1),
    );
    assert!(matches!(short, Err(LeafError::Salts)));
}

#[test]
fn numbers_are_the_same_by_value() {
    let leaf = open_nothing(json!({"a": 56.0, "b": 0.5})).unwrap();
    assert_eq!(leaf.bytes, br#"{"a":56,"b":0.5}"#);
    let fits = |value| matches(&leaf.bytes, &value, &leaf.salts).is_ok();
    assert!(fits(json!({"a": 56, "b": 0.5})) && fits(json!({"a": 56.0, "b": 0.5})));
    assert!(!fits(json!({"a": 57, "b": 0.5})));
}
