//! What fields of their own move where the pattern is copied with changes and nothing else: midline, incisal edge, lip and
//! height. Since the eighth sheet they stand in the list of changes and are counted with its rows.

use super::content::{Change, Entry};
use super::fields::Fields;
use super::words::{Run, Words};
use crate::domain::prescription::{LipSupport, PatternRule, Prescription, VerticalOrder};
use crate::domain::trade::agreement::{listed_forward, listed_incisal_length, listed_midline};
use crate::domain::trade::changes;
use crate::domain::values::measure::Mm;

/// What is moved: its name, the field that says which way where there is one, and the field that says how far.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MovedByField {
    name: &'static str,
    way: Option<&'static str>,
    by: &'static str,
}

const MIDLINE: MovedByField = MovedByField {
    name: "midline",
    way: Some("anterior.midline_side"),
    by: "anterior.midline_offset_mm",
};
const EDGE: MovedByField = MovedByField {
    name: "upper incisal edge",
    way: None,
    by: "anterior.incisal_change_mm",
};
const LIP: MovedByField = MovedByField {
    name: "lip support",
    way: Some("anterior.lip_support"),
    by: "anterior.lip_support_mm",
};
const HEIGHT: MovedByField = MovedByField {
    name: "OVD",
    way: Some("vertical.order"),
    by: "vertical.change_mm",
};

fn is_some(mm: Option<Mm>) -> bool {
    mm.is_some_and(|mm| mm.hundredths() != 0)
}

/// What the fields move that no row of the change list moves too.
pub fn by_fields(prescription: &Prescription) -> Vec<MovedByField> {
    if prescription.pattern.rule != Some(PatternRule::WithChanges) {
        return Vec::new();
    }
    let net = changes::net(&prescription.pattern.changes);
    let is_listed = |mm: Mm| mm.hundredths() != 0;
    let (teeth, vertical) = (&prescription.anterior, &prescription.vertical);
    let opened = [net.opened_right, net.opened_left];
    let lip = matches!(teeth.lip_support, Some(LipSupport::More | LipSupport::Less));
    let height = matches!(
        vertical.order,
        Some(VerticalOrder::Open | VerticalOrder::Close)
    );
    // A height that was refused stands in the title itself.
    let height = height && !prescription.approval.refuses_height();
    let moved = [
        (
            MIDLINE,
            is_some(teeth.midline_offset_mm) && !is_listed(listed_midline(&net)),
        ),
        (
            EDGE,
            is_some(teeth.incisal_change_mm) && !is_listed(listed_incisal_length(&net)),
        ),
        (LIP, lip && !is_listed(listed_forward(&net))),
        (HEIGHT, height && !opened.into_iter().any(is_listed)),
    ];
    let moved = moved.into_iter().filter(|(_, is_moved)| *is_moved);
    moved.map(|(one, _)| one).collect()
}

/// The same as rows of the list; none of them has a number in the picture of the arches.
pub fn rows(fields: &Fields, prescription: &Prescription) -> Vec<Entry> {
    let said = |key: &str| fields.peek(key, None);
    let row = |moved: MovedByField| {
        let mut words = Words::strong(moved.name);
        let way = moved.way.and_then(said).map(|run| match moved {
            MIDLINE => Run {
                text: format!("to the {}", run.text),
                ..run
            },
            _ => run,
        });
        let way = Words {
            runs: way.into_iter().collect(),
        };
        words.join(": ", way);
        let amount = said(moved.by).map(|run| Run {
            strong: true,
            ..run
        });
        Entry::Change(Change {
            number: None,
            words,
            amount: Words {
                runs: amount.into_iter().collect(),
            },
        })
    };
    by_fields(prescription).into_iter().map(row).collect()
}
