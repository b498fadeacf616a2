//! The card that goes with a spare denture: front and back side by side, cut out, folded and kept with it by the patient.

use super::layout::flow::Flow;
use super::layout::frame::PageFrame;
use super::layout::record::place_record;
use super::layout::row::{Cell, RowStyle, height_mm, place};
use super::layout::style::{CODE, LABEL, SMALL, STRONG, VALUE};
use super::page::{Grey, Mark, Page, Point, Stroke};
use super::record_mark::RecordMark;
use crate::domain::people::party::Paper;

/// Everything that the card says.
#[derive(Debug, Clone, PartialEq)]
pub struct SpareCard {
    pub paper: Paper,
    /// "Spare denture, upper"
    pub title: String,
    /// What each line of the front is, and what it says.
    pub front: Vec<(&'static str, String)>,
    /// Case, tag and day.
    pub codes: String,
    /// What the patient is to know, a line each.
    pub back: Vec<String>,
    /// The house to turn to: name, telephone, address.
    pub office: Vec<String>,
    /// The record that ends with the entry that gave it.
    pub record: RecordMark,
}

/// A side of the card, as cards for a purse are (ISO/IEC 7810, ID-1: 85.60 by 53.98 mm, from memory). One that says much
/// is higher.
const WIDTH_MM: f32 = 85.6;
const LOW_MM: f32 = 53.98;
const PAD_MM: f32 = 4.0;

const HOW: &str = "Cut along the dashes, fold along the line, and put it with the spare.";

fn front(card: &SpareCard, x: f32) -> Cell {
    let mut cell = Cell::new(x, WIDTH_MM - 2.0 * PAD_MM).add(&card.title, STRONG);
    for (what, said) in &card.front {
        cell = cell.space(0.8).add(what, LABEL).add(said, SMALL);
    }
    cell.space(1.0).add(&card.codes, CODE)
}

fn back(card: &SpareCard, x: f32) -> Cell {
    let mut cell = Cell::new(x, WIDTH_MM - 2.0 * PAD_MM);
    for line in &card.back {
        cell = cell.add(line, SMALL).space(0.8);
    }
    for line in &card.office {
        cell = cell.add_some(line, SMALL);
    }
    cell
}

/// The card on the top of a page, with the record below it.
pub fn lay_out(card: &SpareCard) -> Vec<Page> {
    let mut flow = Flow::new(card.paper);
    let how = Cell::new(flow.left(), flow.measure()).add(HOW, VALUE);
    place(&mut flow, vec![how], RowStyle::default(), &|_| {});
    flow.gap(4.0);
    let left = flow.left() + (flow.measure() - 2.0 * WIDTH_MM) / 2.0;
    let middle = left + WIDTH_MM;
    let cells = vec![front(card, left + PAD_MM), back(card, middle + PAD_MM)];
    let high = height_mm(&cells, RowStyle::default()) + 2.0 * PAD_MM;
    let (top, bottom) = (flow.y, flow.y + high.max(LOW_MM));
    let corner = |x: f32, y: f32| Point { x, y };
    let right = left + 2.0 * WIDTH_MM;
    flow.push(Mark::Path {
        points: vec![
            corner(left, top),
            corner(right, top),
            corner(right, bottom),
            corner(left, bottom),
        ],
        closed: true,
        stroke: Some(Stroke::dashed(0.25, Grey::INK)),
        fill: None,
    });
    let fold = Stroke::thin(Grey::RULE);
    flow.push(Mark::line((middle, top), (middle, bottom), fold));
    flow.gap(PAD_MM);
    place(&mut flow, cells, RowStyle::default(), &|_| {});
    flow.y = bottom;
    place_record(&mut flow, &card.record, "The record with this entry");
    let frame = PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: "Card of the spare".to_owned(),
        head_right: String::new(),
        foot_left: String::new(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}
