//! The bands of the front, and its foot.

use super::band::{Band, Column, Dress};
use super::draw::Draw;
use super::measure::{GUTTER, LABEL, Measure, STRONG, TEXT, hair, part};
use super::rich::{Span, set, spans};
use super::top::{WHOLE, head, houses, strip, what};
use crate::domain::trade::sketch::{Picture, SMALL_SCALE};
use crate::papers::layout::drawing::picture_marks;
use crate::papers::page::{Grey, Mark, Stroke};
use crate::papers::sheet::{Entry, Hands, List, Sheet};
use crate::papers::typeface::{MM_PER_PT, width_mm};

/// How far around a number of a picture a finger may touch.
const FINGER: f32 = 0.8;

/// A picture on the sheet.
fn drawn(picture: &Picture) -> Draw {
    let scale = SMALL_SCALE as f32;
    Draw {
        height: picture.height_mm as f32 * scale,
        marks: picture_marks(picture, (0.0, 0.0), scale),
        ..Draw::default()
    }
}

/// The picture of what is moved: each of its numbers speaks of the row that has it.
fn of_rows(picture: &Picture, list: &List) -> Draw {
    let mut draw = drawn(picture);
    let row_of = |wanted: &str| {
        list.entries.iter().find(|entry| {
            let Entry::Change(change) = entry else {
                return false;
            };
            change.number.is_some_and(|one| one.to_string() == wanted)
        })
    };
    let mut numbers = Vec::new();
    for mark in &draw.marks {
        if let Mark::Text {
            x,
            baseline,
            size_pt,
            face,
            text,
            ..
        } = mark
            && let Some(entry) = row_of(text)
        {
            let high = size_pt * MM_PER_PT;
            let wide = width_mm(text, *face, *size_pt);
            let corner = (x - FINGER, baseline - high - FINGER);
            let size = (wide + 2.0 * FINGER, high + 2.0 * FINGER);
            numbers.push((corner, size, entry.about()));
        }
    }
    for (corner, size, about) in numbers {
        draw.place(corner, size, about);
    }
    draw
}

/// Lists side by side, those without a line left out.
pub fn side_by_side<'a>(lists: &[(&'a List, f32)], measure: &Measure) -> Option<Band<'a>> {
    let filled: Vec<_> = lists.iter().filter(|(list, _)| !list.is_empty()).collect();
    let width = measure.column(filled.len());
    let columns = filled
        .iter()
        .map(|(list, label)| Column::new(list, width, *label, measure));
    Band::of(columns.collect())
}

/// The front from its head to what stands above the room for pencil; the arches large, or at 85 %.
pub fn front<'a>(sheet: &'a Sheet, measure: &Measure, is_large: bool) -> Vec<Band<'a>> {
    let (top, below) = head(sheet, measure);
    let mut bands = vec![Band::Whole(top)];
    bands.extend(below.into_iter().map(Band::Whole));
    let change_lists = [&sheet.differences, &sheet.differences_more];
    let change_lists: Vec<_> = change_lists
        .into_iter()
        .filter(|list| !list.is_empty())
        .collect();
    let width = measure.column(change_lists.len());
    let warned = |list: &&'a List| Column::dressed(list, width, 30.0, measure, Dress::Warned, None);
    bands.extend(Band::of(change_lists.iter().map(warned).collect()));
    bands.push(Band::Whole(houses(sheet, measure)));
    bands.push(Band::Whole(what(sheet, measure)));
    bands.extend(side_by_side(&[(&sheet.pieces, 0.0)], measure));
    bands.extend(side_by_side(&[(&sheet.order, 13.0)], measure));
    bands.extend(first_and_ask(sheet, measure));
    bands.extend(strip(sheet, measure).into_iter().map(Band::Whole));
    bands.extend(changes_and_heights(sheet, measure, is_large));
    bands.extend(side_by_side(
        &[
            (&sheet.anterior, 14.0),
            (&sheet.posterior, 14.0),
            (&sheet.shades, 14.0),
        ],
        measure,
    ));
    bands.extend(side_by_side(
        &[(&sheet.record, 15.0), (&sheet.mounting, 15.5)],
        measure,
    ));
    bands
}

fn first_and_ask<'a>(sheet: &'a Sheet, measure: &Measure) -> Option<Band<'a>> {
    let lists = [&sheet.first, &sheet.ask];
    let filled: Vec<_> = lists.into_iter().filter(|list| !list.is_empty()).collect();
    let width = measure.column(filled.len());
    let boxed = |list: &&'a List| Column::dressed(list, width, 12.0, measure, Dress::Boxed, None);
    Band::of(filled.iter().map(boxed).collect())
}

fn changes_and_heights<'a>(
    sheet: &'a Sheet,
    measure: &Measure,
    is_large: bool,
) -> Option<Band<'a>> {
    let filled = [!sheet.changes.is_empty(), !sheet.heights.is_empty()];
    let width = measure.column(filled.iter().filter(|one| **one).count());
    let mut columns = Vec::new();
    if !sheet.changes.is_empty() {
        let column = Column::new(&sheet.changes, width, 0.0, measure);
        let arches = sheet.arches.as_ref();
        let picture = arches.map(|(large, small)| if is_large { large } else { small });
        columns.push(match picture {
            Some(picture) => column.under(of_rows(picture, &sheet.changes)),
            None => column,
        });
    }
    if !sheet.heights.is_empty() {
        columns.push(match &sheet.face {
            Some(face) => {
                let beside = (face.width_mm as f32 * SMALL_SCALE as f32, drawn(face));
                let label = if sheet.number >= 5 { 15.2 } else { 14.5 };
                Column::beside(&sheet.heights, width, label, measure, beside)
            }
            None => Column::new(&sheet.heights, width, 17.0, measure),
        });
    }
    Band::of(columns)
}

/// An empty frame for pencil.
pub fn pencil(width: f32, height: f32) -> Draw {
    let mut draw = Draw::space(height);
    draw.frame((0.0, 0.0), (width, height), Stroke::dashed(0.25, Grey::INK));
    draw.text(1.5, 3.4, LABEL, "Pencil");
    draw
}

/// Said where a line is free for it: to the seventh sheet, and since.
const PLAN_OF_TODAY: [&str; 2] = [
    "The plan of today is on the page of the case.",
    "Current dates: see the case page.",
];

/// The signature, and the lab's word.
pub fn signature(sheet: &Sheet, measure: &Measure) -> Draw {
    let Some(signed) = &sheet.signed else {
        let words = "Not signed. No work is to be done from a draft.";
        let mut draw = set(&[Span::new(words, STRONG)], measure.width, measure.step);
        draw.all_about(measure.width, WHOLE);
        return draw;
    };
    let mut draw = Draw::space(1.0);
    draw.line((0.0, 0.0), (measure.width, 0.0), part());
    let words = spans(&signed.words);
    let used: f32 = words.iter().map(|one| one.style.width_mm(&one.text)).sum();
    let [before, now] = PLAN_OF_TODAY;
    let plan = if sheet.number >= 8 { now } else { before };
    let left = measure.width - LABEL.width_mm(plan);
    if !sheet.top.due.days.is_empty() && used + GUTTER <= left {
        let y = draw.height + measure.step * 0.76;
        draw.text(left, y, LABEL, plan);
    }
    draw.below(set(&words, measure.width, measure.step));
    let beside = 60.0;
    let meaning = [Span::new(&signed.meaning, TEXT)];
    let text = set(&meaning, measure.width - beside - GUTTER, measure.step);
    let (y, x) = (draw.height + measure.step * 0.76, measure.width - beside);
    draw.below(text);
    let word = match sheet.hands() {
        Hands::OfficeAndLab => "Accepted by the lab",
        Hands::TwoLabs => "Accepted there",
    };
    draw.text(x, y, LABEL, word);
    let from = x + LABEL.width_mm(word) + 1.0;
    draw.line((from, y + 0.4), (from + 17.5, y + 0.4), hair());
    draw.text(from + 19.0, y, LABEL, "Date");
    draw.line((from + 25.5, y + 0.4), (measure.width, y + 0.4), hair());
    draw.all_about(measure.width, WHOLE);
    draw
}
