//! What is filled in by hand at the bench: room for pencil, and lines for a release and a receipt on paper.

use super::flow::Flow;
use super::row::{Cell, RowStyle, place};
use super::style::{LABEL, STRONG};
use crate::papers::page::{Grey, Mark, Stroke};

const RULED_LINE_MM: f32 = 8.0;
/// Room for a hand-written entry above its line.
pub const BLANK_LINE_MM: f32 = 10.0;

/// A ruled box of so many lines, in one piece.
pub fn place_notes_box(flow: &mut Flow, title: &str, lines: usize) {
    let head = LABEL.line_mm() + 1.5;
    flow.gap(5.0);
    flow.reserve(head + lines as f32 * RULED_LINE_MM);
    flow.text(flow.left(), flow.y, LABEL, title);
    let top = flow.y + head;
    let height = lines as f32 * RULED_LINE_MM;
    let (left, right) = (flow.left(), flow.right());
    for line in 1..lines {
        let y = top + line as f32 * RULED_LINE_MM;
        flow.push(Mark::line(
            (left + 2.0, y),
            (right - 2.0, y),
            Stroke::thin(Grey::RULE),
        ));
    }
    let frame = Stroke::solid(0.25, Grey::INK);
    flow.push(Mark::rect(
        (left, top),
        (right - left, height),
        Some(frame),
        None,
    ));
    flow.y = top + height;
}

/// Lines for one release or receipt: name, signature, date, time, condition.
pub fn place_handoff_blank(flow: &mut Flow, title: &str) {
    flow.gap(3.0);
    flow.reserve(2.0 * STRONG.line_mm() + 2.0 * BLANK_LINE_MM);
    place(
        flow,
        vec![Cell::new(flow.left(), flow.measure()).add(title, STRONG)],
        RowStyle::default(),
        &|_| {},
    );
    flow.reserve(2.0 * BLANK_LINE_MM);
    blank_line(flow, &[("Name", 0.5), ("Signature", 0.5)]);
    blank_line(
        flow,
        &[
            ("Date", 0.25),
            ("Time", 0.25),
            ("Condition of each piece", 0.5),
        ],
    );
}

/// Labelled empty lines side by side, each with its share of the measure.
pub fn blank_line(flow: &mut Flow, blanks: &[(&str, f32)]) {
    let base = flow.y + BLANK_LINE_MM - 2.5;
    let mut x = flow.left();
    for (label, share) in blanks {
        let width = flow.measure() * share;
        flow.text(x, base - LABEL.baseline_mm(), LABEL, label);
        let start = x + LABEL.width_mm(label) + 1.5;
        let end = if x + width > flow.right() - 1.0 {
            flow.right()
        } else {
            x + width - 4.0
        };
        flow.push(Mark::line(
            (start, base + 0.4),
            (end, base + 0.4),
            Stroke::solid(0.2, Grey::INK),
        ));
        x += width;
    }
    flow.y += BLANK_LINE_MM;
}
