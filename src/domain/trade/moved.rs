//! What fields of their own move where the pattern is copied with changes and nothing else: midline, incisal edge, lip and
//! height. The sheet lists them with the rows of the change list, and the bench goes by both.

use super::agreement::{listed_forward, listed_incisal_length, listed_midline};
use super::changes;
use crate::domain::prescription::{LipSupport, PatternRule, Prescription, VerticalOrder};
use crate::domain::values::measure::Mm;

/// What is moved: its name, the field that says which way where there is one, and the field that says how far.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MovedByField {
    pub name: &'static str,
    pub way: Option<&'static str>,
    pub by: &'static str,
}

pub const MIDLINE: MovedByField = MovedByField {
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
