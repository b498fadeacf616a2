//! What the change list comes to, part by part.

use super::{Number, tenths};
use crate::domain::prescription::Prescription;
use crate::domain::trade::changes::{self, NetChanges, NetPart};
use crate::domain::values::measure::Mm;
use crate::domain::values::words::counted;

const SECTION: &str = "pattern";
const SUM: &str = "sum of the change list";

pub fn add(document: &Prescription, numbers: &mut Vec<Number>) {
    let net = changes::net(&document.pattern.changes);
    numbers.extend(net.parts.iter().map(part));
    height(&net, numbers);
    midline(document, &net, numbers);
    for (row, why) in &net.unclear {
        // An untouched spare row of the form is no row of the document; what is here was begun.
        numbers.push(Number::none(
            SECTION,
            format!("Change list, row {}", row + 1),
            why.as_str(),
        ));
    }
}

fn part(part: &NetPart) -> Number {
    let words = part.words();
    let note = if words.is_empty() {
        "The rows undo each other wholly.".to_owned()
    } else {
        format!("{}.", words.join(", "))
    };
    // A part that only changes its shape or turns has moved by no millimetre: its words say it all.
    let number = if part.movement.is_none() && !part.is_nothing() {
        Number::none(SECTION, format!("Net change, {}", part.name()), note)
    } else {
        let label = format!("Net movement, {}", part.name());
        Number::new(SECTION, label, tenths(part.movement.distance_mm()), "mm").note(note)
    };
    number
        .note(format!("{}.", counted(part.rows.len(), "row")))
        .source(SUM)
}

fn height(net: &NetChanges, numbers: &mut Vec<Number>) {
    if net.opened_right.hundredths() == 0 && net.opened_left.hundredths() == 0 {
        return;
    }
    const LABEL: &str = "Net change of height at the posterior teeth";
    numbers.push(match net.vertical() {
        Some(mm) => Number::new(SECTION, LABEL, mm.to_string(), "mm")
            .note("Plus opens, minus closes.")
            .source(SUM),
        None => Number::none(SECTION, LABEL, format!(
            "The two sides differ, so that the higher one would meet alone: {} mm on the patient’s right, {} mm on the left.",
            net.opened_right, net.opened_left
        ))
        .source(SUM),
    });
}

fn midline(document: &Prescription, net: &NetChanges, numbers: &mut Vec<Number>) {
    let by = net.midline_right.hundredths();
    if by == 0 {
        return;
    }
    let side = if by > 0 { "right" } else { "left" };
    let size = Mm::from_hundredths(by.saturating_abs());
    let mut number = Number::new(
        SECTION,
        "Net movement of the midline",
        size.to_string(),
        "mm",
    )
    .note(format!("To the patient’s {side}."))
    .source(SUM);
    if document
        .anterior
        .midline_offset_mm
        .is_some_and(|mm| mm.hundredths() != 0)
    {
        number = number
            .note("The section on front teeth moves the midline too: say which of the two holds.");
    }
    if net.front_right.hundredths() != 0 {
        number = number.note("Upper front teeth are moved sideways as well: perhaps the same correction, written twice.");
    }
    numbers.push(number);
}
