//! To which revision work was done at the bench: to the newest one, and only after the lab had acknowledged it. A case
//! whose row said another for a moment is told by the entries that were made then.

use super::Examined;
use crate::record::entry::LeafKind;
use crate::store::record::LeafRow;
use serde_json::Value;

/// Goes through the leaves of a case in their order; what was copied from paper was done when another was in force.
pub(super) fn worked_to(examined: &mut Examined, leaves: &[LeafRow]) {
    let (mut newest, mut read) = (0, 0);
    for leaf in leaves {
        let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
        let number = |place| {
            let number = whole.pointer(place).and_then(Value::as_i64);
            number.unwrap_or_default()
        };
        match LeafKind::from_word(&leaf.kind) {
            Some(LeafKind::Revision) => newest = number("/revision/number"),
            Some(LeafKind::Acknowledgement) => read = number("/acknowledgement/revision"),
            Some(LeafKind::Event) if is_done_now(&whole) => {
                let to = number("/event/what/revision");
                if (to, to) != (newest, read) {
                    examined.fault(
                        Some(leaf.number),
                        format!(
                            "Leaf {}, event {}, is work by revision {to}, and then revision {newest} was in force and \
                             revision {read} acknowledged.",
                            leaf.number, leaf.about
                        ),
                    );
                }
            }
            _ => {}
        }
    }
}

fn is_done_now(whole: &Value) -> bool {
    let kind = whole.pointer("/event/what/kind").and_then(Value::as_str);
    let is_by_newest = matches!(kind, Some("worked" | "carried_over"));
    is_by_newest && whole.pointer("/event/paper").is_none_or(Value::is_null)
}
