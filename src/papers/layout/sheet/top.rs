//! The head of the front: which case, what is to be avoided, when it is due, from whom to whom.

use super::band::framed;
use super::days::{WANTED, days_on_line};
use super::draw::Draw;
use super::measure::{
    AVOID, AVOID_LONG, CASE, DUE, GUTTER, HEAD, LABEL, LABEL_STRONG, LARGE_LONG, Measure, SECOND,
    SECOND_STRONG, TEXT, WHAT, frame, hair, part, warning,
};
use super::rich::{Span, count, set, spans, styled};
use crate::domain::review::NO_PART;
use crate::domain::values::words::capitalised;
use crate::papers::layout::qr::QrBox;
use crate::papers::layout::style::Style;
use crate::papers::page::Grey;
use crate::papers::sheet::{OnDay, Sheet, StripCell, Top, Words};

/// Height of the boxes of the head.
const BOX: f32 = 20.5;
/// Where the number begins, right of the code and its free border.
const NUMBER: f32 = 25.5;
/// Width of the code's modules, and of one of them.
const CODE_MM: f32 = 19.6;
const MODULE_MM: f32 = 0.75;
const AVOID_WIDTH: f32 = 31.0;
const DUE_WIDTH: f32 = 60.0;

/// What speaks of no field, but of the prescription as a whole, is asked about by what is ordered.
pub const WHOLE: (&str, Option<usize>) = (NO_PART, None);
/// What the boxes of the head speak of.
const AVOIDED: (&str, Option<usize>) = ("base.without", None);
const DAYS: (&str, Option<usize>) = ("dates.wanted", None);

/// A piece over the whole width that speaks of this.
fn over_width(mut draw: Draw, about: (&'static str, Option<usize>), measure: &Measure) -> Draw {
    draw.all_about(measure.width, about);
    draw
}

/// The head, and what of it has no room there and stands in a line of its own below.
pub fn head(sheet: &Sheet, measure: &Measure) -> (Draw, Vec<Draw>) {
    let mut draw = Draw::space(BOX + 1.2);
    let mut below = Vec::new();
    let top = &sheet.top;
    match QrBox::for_sheet(&sheet.address, CODE_MM, MODULE_MM) {
        Some(code) => draw.marks.push(code.bare_mark(0.0, 0.0)),
        None => {
            let address = [Span::new(&sheet.address, TEXT)];
            let line = set(&address, measure.width, measure.step);
            below.push(over_width(line, WHOLE, measure));
        }
    }
    draw.text(NUMBER, 11.4, CASE, &top.case);
    draw.text(NUMBER, 15.4, TEXT, &top.moment);
    let right = measure.width - DUE_WIDTH;
    let left = right - GUTTER - AVOID_WIDTH;
    // The long title of a statute takes smaller letters.
    let fits = HEAD.width_mm(&top.title) <= left - NUMBER - 2.0;
    draw.text(
        NUMBER,
        3.2,
        if fits { HEAD } else { LABEL_STRONG },
        &top.title,
    );
    let patient = set(&spans(&top.patient), left - NUMBER - 2.0, measure.step);
    if patient.height > measure.step * 1.5 {
        let line = set(&spans(&top.patient), measure.width, measure.step);
        below.push(over_width(line, WHOLE, measure));
    } else {
        draw.put(NUMBER, 16.4, patient);
    }
    let boxes = [(left, AVOID_WIDTH, AVOIDED), (right, DUE_WIDTH, DAYS)];
    for (x, width, about) in boxes {
        draw.place((x, 0.0), (width, BOX), about);
    }
    let avoided = avoid(&mut draw, top, left, measure);
    below.extend(avoided.map(|line| over_width(line, AVOIDED, measure)));
    let days = due(&mut draw, sheet, right, measure);
    below.extend(days.map(|line| over_width(line, DAYS, measure)));
    draw.all_about(measure.width, WHOLE);
    (draw, below)
}

/// The box of what is to be avoided; gives a framed line where the box cannot hold it.
fn avoid(draw: &mut Draw, top: &Top, x: f32, measure: &Measure) -> Option<Draw> {
    draw.frame((x, 0.45), (AVOID_WIDTH, BOX - 0.9), warning());
    draw.text(x + 2.0, 3.9, LABEL, "To be avoided");
    let inner = AVOID_WIDTH - 3.5;
    let large = styled(&top.avoid, AVOID, AVOID);
    if count(&large, inner) <= 2 && LABEL.width_mm(&top.avoid_note) <= inner {
        draw.put(x + 2.0, 4.8, set(&large, inner, 5.3));
        draw.text(x + 2.0, BOX - 2.0, LABEL, &top.avoid_note);
        return None;
    }
    let small = styled(&top.avoid, AVOID_LONG, AVOID_LONG);
    if count(&small, inner) <= 4 {
        draw.put(x + 2.0, 4.4, set(&small, inner, 3.75));
        return None;
    }
    draw.text(x + 2.0, 11.0, AVOID, "See below");
    draw.text(x + 2.0, BOX - 2.0, LABEL, &top.avoid_note);
    let words = Words::strong("To be avoided: ");
    let mut all = styled(&words, AVOID, AVOID);
    all.extend(large);
    Some(framed(&all, measure))
}

/// Where things stand in the box of the day: baselines of the label and the day, and of one that is changed the line under it
/// and the bar beside it.
struct DueLines {
    label: f32,
    day: f32,
    top: f32,
    under: f32,
    bar: f32,
}

/// With other dates in words below.
const IN_WORDS: DueLines = DueLines {
    label: 3.9,
    day: 12.4,
    top: 6.0,
    under: 13.4,
    bar: 13.0,
};

/// With the days on a line below.
const ON_LINE: DueLines = DueLines {
    label: 3.4,
    day: 10.2,
    top: 3.9,
    under: 11.1,
    bar: 10.8,
};
/// Where that line begins.
const DAYS_TOP: f32 = 12.3;
/// What was planned since then, the paper does not know: to the seventh sheet, and since.
const AS_SIGNED: [&str; 2] = ["days as signed", "dates as signed"];

/// The box of the day; gives a line where it cannot hold the other dates.
fn due(draw: &mut Draw, sheet: &Sheet, x: f32, measure: &Measure) -> Option<Draw> {
    let due = &sheet.top.due;
    let inner = DUE_WIDTH - 4.8;
    let line = days_on_line(&due.days, inner, sheet.number);
    let at = if line.is_some() { ON_LINE } else { IN_WORDS };
    draw.frame((x, 0.3), (DUE_WIDTH, BOX - 0.6), frame());
    let mut label = x + 2.4;
    if line.is_some() {
        draw.filled((label, at.label - WANTED.1 - 0.4), WANTED, Grey::INK);
        label += WANTED.0 + 1.0;
    }
    draw.text(label, at.label, LABEL, due.label);
    match &due.day {
        Some((day, year)) => {
            draw.text(x + 2.4, at.day, DUE, day);
            let end = x + 2.4 + DUE.width_mm(day);
            draw.text(end + 2.0, at.day, LARGE_LONG, year);
            if due.changed {
                draw.line((x + 2.4, at.under), (end, at.under), frame());
                draw.bars.push((at.top, at.bar));
            }
        }
        None => draw.text(x + 2.4, 12.0, WHAT, "not said"),
    }
    if let Some(line) = line {
        if due.days.iter().any(|day| day.is == OnDay::Signature) {
            let [before, now] = AS_SIGNED;
            let words = if sheet.number >= 8 { now } else { before };
            let left = x + 2.4 + inner - LABEL.width_mm(words);
            draw.text(left, at.label, LABEL, words);
        }
        draw.put(x + 2.4, DAYS_TOP, line);
        return None;
    }
    if due.more.is_empty() {
        return None;
    }
    let small = styled(&due.more, SECOND, SECOND_STRONG);
    let lines = count(&small, DUE_WIDTH - 4.0);
    if lines <= 2 {
        let y = if lines == 1 { 15.4 } else { 13.6 };
        draw.put(x + 2.4, y, set(&small, DUE_WIDTH - 4.0, 3.2));
        return None;
    }
    let mut words = Words::strong("Dates: ");
    words.runs.extend(due.more.runs.clone());
    Some(set(&spans(&words), measure.width, measure.step))
}

/// From whom, to whom.
pub fn houses(sheet: &Sheet, measure: &Measure) -> Draw {
    let width = measure.column(2);
    let office = set(&spans(&sheet.top.office.words), width, measure.step);
    let lab = set(&spans(&sheet.top.lab.words), width, measure.step);
    let mut draw = Draw::space(office.height.max(lab.height));
    draw.put(0.0, 0.0, office);
    draw.put(width + GUTTER, 0.0, lab);
    draw.all_about(measure.width, WHOLE);
    draw
}

/// The arches in white on black, and what is to be made in one sentence.
pub fn what(sheet: &Sheet, measure: &Measure) -> Draw {
    const LINE: f32 = 6.4;
    let white = Style {
        grey: Grey::PAPER,
        ..WHAT
    };
    let arches = sheet.top.arches.text();
    let arches = capitalised(&arches.replace("upper and lower", "upper + lower"));
    let dark = white.width_mm(&arches) + 4.0;
    let text = set(
        &[Span::new(&sheet.top.what, WHAT)],
        measure.width - dark - 2.5,
        LINE,
    );
    let mut draw = Draw::space(text.height.max(LINE) + 1.4);
    draw.line((0.0, 0.0), (measure.width, 0.0), part());
    draw.filled((0.0, 0.9), (dark, LINE), Grey::INK);
    draw.text(2.0, 0.9 + LINE * 0.76, white, &arches);
    if sheet.top.arches.runs.iter().any(|run| run.changed) {
        draw.bars.push((0.9, 0.9 + LINE));
    }
    draw.put(dark + 2.5, 0.9, text);
    draw.all_about(measure.width, WHOLE);
    draw
}

/// Cells side by side are no higher than this: values so long are set over the whole width.
const STRIP_MOST: f32 = 45.0;

/// The values of one cell in lines of the whole width.
fn cell_in_lines(cell: &StripCell, measure: &Measure) -> Draw {
    let mut all = vec![Span::new(format!("{}: ", cell.label), LABEL)];
    for (letter, value) in &cell.values {
        if !letter.is_empty() {
            all.push(Span::new(format!("{letter} "), LABEL));
        }
        all.extend(styled(value, LARGE_LONG, LARGE_LONG));
        all.push(Span::new(" ", TEXT));
    }
    all.extend(spans(&cell.note));
    over_width(framed(&all, measure), cell.about(), measure)
}

/// The numbers that matter, side by side in a frame; long ones below each other.
pub fn strip(sheet: &Sheet, measure: &Measure) -> Vec<Draw> {
    use super::measure::LARGE;
    let count_of = sheet.strip.len();
    if count_of == 0 {
        return Vec::new();
    }
    let width = measure.width / count_of as f32;
    let inner = width - 3.0;
    let mut draw = Draw::new();
    let mut cells = Vec::new();
    for cell in &sheet.strip {
        let mut column = Draw::space(4.0);
        column.text(0.0, 3.2, LABEL, cell.label);
        for (letter, value) in &cell.values {
            let indent = if letter.is_empty() { 0.0 } else { 3.4 };
            let large = styled(value, LARGE, LARGE);
            let text = match count(&large, inner - indent) {
                1 => set(&large, inner - indent, 5.6),
                _ => {
                    let smaller = styled(value, LARGE_LONG, LARGE_LONG);
                    set(&smaller, inner - indent, 4.5)
                }
            };
            let mut line = Draw::space(text.height);
            line.text(0.0, 4.2, LABEL, letter);
            line.put(indent, 0.0, text);
            column.below(line);
        }
        let small = styled(&cell.note, SECOND, SECOND_STRONG);
        column.below(set(&small, inner, 3.5));
        column.all_about(inner, cell.about());
        draw.height = draw.height.max(column.height + 0.8);
        cells.push(column);
    }
    if draw.height > STRIP_MOST {
        let cells = sheet.strip.iter();
        return cells.map(|cell| cell_in_lines(cell, measure)).collect();
    }
    let height = draw.height;
    for (at, cell) in cells.into_iter().enumerate() {
        let x = at as f32 * width;
        draw.put(x + 1.8, 0.0, cell);
        if at > 0 {
            draw.line((x, 0.0), (x, height), hair());
        }
    }
    draw.frame((0.0, 0.0), (measure.width, height), part());
    vec![draw]
}
