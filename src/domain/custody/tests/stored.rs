//! What was stored before the entries knew of parcels, counts and makers is read as it was, and written again
//! to the same bytes: they are what is hashed.

use super::*;

/// Regression values: entries as earlier versions of this program wrote them.
const EARLIER: [&str; 10] = [
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"kind":"registered","note":"keyed","place":"office","tag":"TEBG8JZYX","worn":false}}"#,
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"carrier":"c","exception":null,"from":"office","handoff":"h","items":[{"condition":"","tag":"TEBG8JZYX"}],"kind":"released","purpose":"p","seal":"7","to":"lab","tracking":""}}"#,
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"handoff":"h","items":[{"marked_disinfected":true,"note":"","outcome":"sound","tag":"TEBG8JZYX"}],"kind":"received","place":"lab","unannounced":""}}"#,
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"kind":"given","tag":"TEBG8JZYX"}}"#,
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"into":"a cast","kind":"used_up","tag":"TEBG8JZYX"}}"#,
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"how":"broken","kind":"destroyed","tag":"TEBG8JZYX"}}"#,
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"how":"lost","kind":"written_off","tag":"TEBG8JZYX"}}"#,
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"consent":true,"kept":"drawer 3","kind":"withheld","tag":"TEBG8JZYX"}}"#,
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"consent":true,"how":"old","kind":"destroyed","signed":{"licence":"","meaning":"m","name":"Jo"},"tag":"TEBG8JZYX"}}"#,
    r#"{"at":{"offset_min":60,"unix_ms":1},"by":{"account":"a","name":"Jo","party":"p","party_name":"Hillside","role":"assistant"},"case":"C54FB5V87","entered_at":{"offset_min":60,"unix_ms":1},"id":"e","what":{"handoff":"h","items":["TEBG8JZYX"],"kind":"voided","reason":"no courier","signed":{"licence":"","meaning":"m","name":"Jo"}}}"#,
];

#[test]
fn earlier_entries_are_read_and_written_again_to_the_same_bytes() {
    for text in EARLIER {
        let event: Event = serde_json::from_str(text).unwrap();
        assert_eq!(serde_json_canonicalizer::to_string(&event).unwrap(), text);
    }
}

#[test]
fn an_earlier_release_is_one_box_with_its_seal_and_an_earlier_receipt_opens_it() {
    let mut events: Vec<Event> = EARLIER[..3]
        .iter()
        .map(|text| serde_json::from_str(text).unwrap())
        .collect();
    let receipt = events.pop().unwrap();
    let open = handoffs(&events).remove(0);
    assert_eq!(open.waiting(), [1]);
    assert_eq!(open.parcels[0].seal, "7");
    events.push(receipt);
    let done = handoffs(&events).remove(0);
    assert_eq!(done.waiting(), Vec::<u32>::new());
    // Nothing was said of its seal then, and nothing is held against it now.
    assert_eq!(open_holds(&events), []);
}
