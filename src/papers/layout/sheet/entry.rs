//! One line of a list, set to a width.

use super::draw::Draw;
use super::measure::{LABEL, LARGE_LONG, Measure, SECOND, SECOND_STRONG, TEXT, hair};
use super::rich::{Span, labelled, set, spans, styled};
use crate::papers::page::{Grey, Stroke};
use crate::papers::sheet::{BoxRow, ChangeEntry, Entry, Words};

/// What a square to tick is wide.
pub const TICK: f32 = 3.0;

/// Where the columns of the table of the box begin, and how wide they are.
pub const BOX_COLUMNS: [(f32, f32); 5] = [
    (0.0, 42.0),
    (43.5, 10.0),
    (54.5, 21.0),
    (76.5, 36.5),
    (131.0, 38.0),
];
/// Where the squares to tick stand: from the office, at the lab, from the lab, at the office.
pub const BOX_TICKS: [f32; 4] = [115.0, 123.5, 171.5, 180.5];

/// Where the columns of the pieces begin, and how wide they are.
pub const PIECE_COLUMNS: [(f32, f32); 4] = [(0.0, 13.0), (14.0, 30.0), (45.0, 66.0), (112.0, 73.5)];

/// Where the prescribed value of a check begins, and where the measured one is written, as shares of the width.
pub const CHECK_SHARES: (f32, f32) = (0.46, 0.75);

/// Sets a line, which is touched as a whole. `label` is the width of the column of labels.
pub fn entry(entry: &Entry, width: f32, label: f32, measure: &Measure) -> Draw {
    let (mut draw, width) = match entry {
        Entry::Fact { label: name, words } => {
            (fact(name, words, width, label, measure.step), width)
        }
        Entry::Change(one) => (change(one, width, measure.step), width),
        Entry::Piece(cells) => (piece(cells, measure), measure.width),
        Entry::Parcel(row) => (parcel(row, measure), measure.width),
        Entry::Check { label, prescribed } => (check(label, prescribed, width, measure), width),
    };
    draw.all_about(width, entry.about());
    draw
}

fn fact(name: &str, words: &Words, width: f32, label: f32, step: f32) -> Draw {
    if name.is_empty() {
        return set(&spans(words), width, step);
    }
    if LABEL.width_mm(name) > label - 1.0 {
        return set(&labelled(name, words), width, step);
    }
    let mut draw = Draw::new();
    draw.text(0.0, step * 0.76, LABEL, name.trim());
    let text = set(&spans(words), width - label, step);
    draw.height = text.height.max(step);
    draw.put(label, 0.0, text);
    draw
}

fn change(change: &ChangeEntry, width: f32, step: f32) -> Draw {
    const NUMBER: f32 = 5.0;
    let amount = change.amount.text();
    let beside = if amount.is_empty() {
        0.0
    } else {
        LARGE_LONG.width_mm(&amount) + 2.0
    };
    let text = set(&spans(&change.words), width - NUMBER - beside, step);
    let mut draw = Draw::space(text.height.max(step) + 1.0);
    draw.put(NUMBER, 0.5, text);
    let baseline = step * 0.76 + 0.6;
    let number = change.number.map(|number| number.to_string());
    draw.text(0.0, baseline, LARGE_LONG, number.as_deref().unwrap_or("–"));
    let amounts = styled(&change.amount, LARGE_LONG, LARGE_LONG);
    if beside > 0.0 {
        draw.put(width - beside + 2.0, 0.6, set(&amounts, beside + 1.0, step));
    }
    let y = draw.height;
    draw.line((0.0, y), (width, y), hair());
    draw
}

fn cells(cells: &[(f32, f32, Vec<Span>)], step: f32) -> Draw {
    let mut draw = Draw::new();
    for (x, width, spans) in cells {
        let text = set(spans, *width, step);
        draw.height = draw.height.max(text.height);
        draw.put(*x, 0.0, text);
    }
    draw
}

/// How far letters between rules are lowered where lines are closer than on the roomy sheet, so that both rules are as far.
fn lowered(measure: &Measure) -> f32 {
    match measure.centres {
        true => (3.8 - measure.step) * 0.26,
        false => 0.0,
    }
}

fn piece(words: &[Words; 4], measure: &Measure) -> Draw {
    let set: Vec<_> = PIECE_COLUMNS
        .iter()
        .zip(words)
        .map(|((x, width), words)| (*x, *width, spans(words)))
        .collect();
    let text = cells(&set, measure.step);
    let mut draw = Draw::space(text.height + 0.4);
    draw.put(0.0, lowered(measure), text);
    let y = draw.height;
    draw.line((0.0, y), (measure.width, y), hair());
    draw
}

fn parcel(row: &BoxRow, measure: &Measure) -> Draw {
    let words = [&row.name, &row.arch, &row.tag, &row.disinfected, &row.back];
    let small = |words: &Words| styled(words, SECOND, SECOND_STRONG);
    let set: Vec<_> = BOX_COLUMNS
        .iter()
        .zip(words)
        .map(|((x, width), words)| (*x, *width, small(words)))
        .collect();
    let text = cells(&set, measure.step);
    let height = (text.height + 0.6).max(measure.row);
    let mut draw = Draw::space(height);
    let top = (measure.row - measure.step) / 2.0 - 0.2;
    draw.put(0.0, top + lowered(measure), text);
    draw.height = draw.height.max(height);
    let ticks = [row.goes_out, row.goes_out, row.comes_back, row.comes_back];
    for (x, _) in BOX_TICKS
        .into_iter()
        .zip(ticks)
        .filter(|(_, wanted)| *wanted)
    {
        let corner = (x, (measure.row - TICK) / 2.0);
        draw.frame(corner, (TICK, TICK), Stroke::solid(0.3, Grey::INK));
    }
    if row.tag.is_empty() && !row.goes_out {
        let (x, width) = BOX_COLUMNS.get(2).copied().unwrap_or_default();
        let y = measure.row - 1.1;
        draw.line((x, y), (x + width, y), Stroke::dashed(0.2, Grey::INK));
    }
    let y = draw.height;
    draw.line((0.0, y), (measure.width, y), hair());
    draw
}

fn check(label: &str, prescribed: &Words, width: f32, measure: &Measure) -> Draw {
    let (value, measured) = (width * CHECK_SHARES.0, width * CHECK_SHARES.1);
    let step = measure.step;
    let name = set(&[Span::new(label, TEXT)], value - 1.0, step);
    let says = set(&spans(prescribed), measured - value - 1.0, step);
    let height = (name.height.max(says.height) + 0.4).max(measure.row);
    let mut draw = Draw::space(height);
    let top = (measure.row - step) / 2.0 - 0.2 + lowered(measure);
    draw.put(0.0, top, name);
    draw.put(value, top, says);
    draw.line((0.0, height), (width, height), hair());
    draw.line((measured, 0.0), (measured, height), hair());
    draw
}
