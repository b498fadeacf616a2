//! The slip: the order in which its parts stand on the sheet.
//!
//! First what identifies the work, then the numbers a technician looks for, what must be known of the patient, the
//! drawings, each section in full, what can hurt, the signature, and what is filled in by hand.

use super::blanks::{blank_line, place_handoff_blank, place_notes_box};
use super::drawing::place_drawing;
use super::flow::Flow;
use super::frame::PageFrame;
use super::qr::QrBox;
use super::record::{end_with_record, least_record_mm, place_record};
use super::row::{BOX_PAD_MM, Cell, RowStyle, TICK_INDENT_MM, height_mm, place};
use super::style::{
    BIG, BIG_LONG, CODE, HEADING, LABEL, NUMBER, STRONG, Style, TITLE, UNIT, VALUE,
};
use super::table::{place_table, start_mm};
use super::wrap::shorten;
use crate::domain::prescription::sections::labels;
use crate::papers::content::{Block, Highlight, Line, PartyBlock, Section, SlipContent};
use crate::papers::page::{Grey, Page, Stroke};
use crate::papers::record_mark::{DRAFT_WORDS, InRecord, MISSING_WORDS};
use crate::papers::typeface::legible;

/// Highlights side by side.
const HIGHLIGHT_COLUMNS: usize = 3;
/// Width of the labels of a section's lines.
const LABEL_MM: f32 = 46.0;
const GUTTER_MM: f32 = 4.0;
/// Lines of the box for pencil notes.
const NOTE_LINES: usize = 5;

/// The slip's pages.
pub fn lay_out(content: &SlipContent) -> Vec<Page> {
    let mut flow = Flow::new(content.paper);
    masthead(&mut flow, content);
    parties(&mut flow, content);
    highlights(&mut flow, &content.highlights);
    for part in &content.foremost {
        section(&mut flow, part);
    }
    for drawing in &content.drawings {
        place_drawing(&mut flow, drawing);
    }
    for part in &content.sections {
        section(&mut flow, part);
    }
    cautions(&mut flow, &content.cautions);
    signature(&mut flow, content);
    if let Some(part) = &content.beside {
        section(&mut flow, part);
    }
    if content.bench {
        place_notes_box(&mut flow, "Notes in pencil", NOTE_LINES);
    }
    if !content.handoff_blanks.is_empty() {
        heading(&mut flow, "Hand over on paper", FIRST_LINES_MM);
        // Nobody can ask for these later, and the entry that is copied from here needs both.
        blank_line(
            &mut flow,
            &[("Carrier", 0.5), ("What it goes there for", 0.5)],
        );
        for title in &content.handoff_blanks {
            place_handoff_blank(&mut flow, title);
        }
    }
    record(&mut flow, content);
    let frame = frame(&flow, content);
    flow.finish(|number, count| frame.marks(number, count))
}

fn frame(flow: &Flow, content: &SlipContent) -> PageFrame {
    PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: content.title.clone(),
        head_right: format!("Case {}   {}", content.case_number, content.revision),
        foot_left: format!("Patient code {}   {}", content.patient_code, content.issued),
        draft: content.draft,
    }
}

/// Title, numbers and dates at the left, the QR code with its letters at the right.
fn masthead(flow: &mut Flow, content: &SlipContent) {
    let code = content.qr_address.as_deref().and_then(QrBox::encode);
    let (left, right) = (flow.left(), flow.right());
    let beside = code.as_ref().map_or(0.0, |code| code.side_mm + GUTTER_MM);
    let code_bottom = code.as_ref().map_or(0.0, |code| flow.y + code.side_mm);
    if let Some(code) = &code {
        flow.push(code.mark(right - code.side_mm, flow.y));
    }
    let page = flow.pages();
    let title = Cell::new(left, right - left - beside).add(&content.title, TITLE);
    place(flow, vec![title.space(3.0)], RowStyle::default(), &|_| {});

    let width = (right - left - beside - GUTTER_MM) / 2.0;
    let mut cells = vec![
        numbers(content, Cell::new(left, width)),
        dates(content, Cell::new(left + width + GUTTER_MM, width)),
    ];
    if let (Some(code), Some(address)) = (&code, &content.qr_address) {
        // A title over more than a page leaves the code behind; otherwise its letters stand right below it.
        let drop = if flow.pages() == page {
            code_bottom - flow.y
        } else {
            0.0
        };
        let cell = Cell::new(right - code.side_mm, code.side_mm).space(drop.max(0.0));
        let cell = cell.add(&content.case_number, STRONG);
        cells.push(match content.bench {
            true => cell.add(address, CODE),
            false => cell,
        });
    }
    place(flow, cells, RowStyle::default(), &|_| {});
    if let (Some(address), Some(_), false) = (&content.qr_address, &code, content.bench) {
        // Below a code of its own width it would be broken.
        let cell = Cell::new(left, flow.measure()).add(address, CODE);
        place(flow, vec![cell], RowStyle::default(), &|_| {});
    }
    if let (None, Some(address)) = (&code, &content.qr_address) {
        let words = format!("The address is too long for a QR code: {address}");
        let cell = Cell::new(left, flow.measure()).add(&words, CODE);
        place(flow, vec![cell], RowStyle::default(), &|_| {});
    }
}

fn numbers(content: &SlipContent, cell: Cell) -> Cell {
    cell.add(labels::CASE, LABEL)
        .add(&content.case_number, BIG)
        .space(1.0)
        .add("Patient code", LABEL)
        .add(&content.patient_code, NUMBER)
}

fn dates(content: &SlipContent, cell: Cell) -> Cell {
    let cell = match &content.wanted_back {
        Some(day) => cell
            .add("In the dentist's hands by", LABEL)
            .add(day, NUMBER)
            .space(1.0),
        None => cell,
    };
    cell.add(labels::ISSUED, LABEL)
        .add(&content.revision, STRONG)
        .add(&content.issued, VALUE)
}

fn parties(flow: &mut Flow, content: &SlipContent) {
    flow.gap(4.0);
    flow.rule(Stroke::solid(0.3, Grey::INK));
    flow.gap(2.0);
    let width = (flow.measure() - GUTTER_MM) / 2.0;
    let office = party(
        Cell::new(flow.left(), width),
        labels::OFFICE,
        &content.office,
    )
    .space(1.0)
    .add(labels::PRESCRIBER, LABEL)
    .add(&content.prescriber.name, STRONG)
    .add_some(
        content.prescriber.licence.as_deref().unwrap_or_default(),
        VALUE,
    );
    let x = flow.left() + width + GUTTER_MM;
    let lab = party(Cell::new(x, width), labels::LAB, &content.lab);
    place(flow, vec![office, lab], RowStyle::default(), &|_| {});
}

fn party(cell: Cell, label: &str, party: &PartyBlock) -> Cell {
    let cell = cell.add(label, LABEL).add(&party.name, STRONG);
    let cell = party
        .address
        .iter()
        .fold(cell, |cell, line| cell.add(line, VALUE));
    cell.add_some(party.licence.as_deref().unwrap_or_default(), VALUE)
        .add_some(party.telephone.as_deref().unwrap_or_default(), VALUE)
}

fn highlights(flow: &mut Flow, highlights: &[Highlight]) {
    flow.gap(5.0);
    let width = flow.measure() / HIGHLIGHT_COLUMNS as f32;
    for row in highlights.chunks(HIGHLIGHT_COLUMNS) {
        let cells = row
            .iter()
            .enumerate()
            .map(|(at, highlight)| {
                let x = flow.left() + at as f32 * width + BOX_PAD_MM;
                large(
                    Cell::new(x, width - 2.0 * BOX_PAD_MM),
                    highlight,
                    width - 2.0 * BOX_PAD_MM,
                )
            })
            .collect();
        let row_style = RowStyle {
            pad_mm: 1.6,
            boxed: true,
            ..RowStyle::default()
        };
        place(flow, cells, row_style, &|_| {});
    }
}

fn large(cell: Cell, highlight: &Highlight, width: f32) -> Cell {
    let fits = BIG.width_mm(&legible(&highlight.value)) <= width;
    let style = if fits { BIG } else { BIG_LONG };
    cell.add(&highlight.label, LABEL)
        .add(&highlight.value, style)
        .beside(&highlight.unit, UNIT)
}

/// Room below a heading for the first lines of its section.
const FIRST_LINES_MM: f32 = 16.0;

/// A heading that keeps this much of its section with it.
fn heading(flow: &mut Flow, title: &str, first_mm: f32) {
    flow.gap(6.0);
    flow.reserve(HEADING.line_mm() + first_mm);
    place(
        flow,
        vec![Cell::new(flow.left(), flow.measure()).add(title, HEADING)],
        RowStyle::default(),
        &|_| {},
    );
    flow.gap(0.6);
    flow.rule(Stroke::solid(0.3, Grey::INK));
}

/// The heading of a section that goes on over the page.
fn continued(flow: &mut Flow, title: &str) {
    let (left, top) = (flow.left(), flow.y);
    let words = ", continued";
    let room = flow.measure() - LABEL.width_mm(words);
    let line = format!("{}{words}", shorten(&legible(title), LABEL, room));
    flow.text(left, top, LABEL, &line);
    flow.y += LABEL.line_mm() + 1.0;
    flow.rule(Stroke::thin(Grey::RULE));
}

/// What of these blocks has to stay together: a table's title with its headings and its first row.
fn first_mm(flow: &Flow, blocks: &[Block]) -> f32 {
    match blocks {
        [Block::Table(table), ..] => 1.0 + start_mm(flow, table),
        [Block::Note(text), Block::Table(table), ..] => {
            let title = height_mm(&[note_cell(flow, text)], of_note());
            title + 1.0 + start_mm(flow, table)
        }
        _ => 0.0,
    }
}

fn note_cell(flow: &Flow, text: &str) -> Cell {
    Cell::new(flow.left(), flow.measure()).add(text, VALUE)
}

fn of_note() -> RowStyle {
    RowStyle {
        pad_mm: 1.0,
        ..RowStyle::default()
    }
}

fn section(flow: &mut Flow, section: &Section) {
    let first = first_mm(flow, &section.blocks).max(FIRST_LINES_MM);
    heading(flow, &section.title, first);
    let again = |flow: &mut Flow| continued(flow, &section.title);
    let mut left = section.blocks.as_slice();
    while let [block, rest @ ..] = left {
        if flow.reserve(first_mm(flow, left)) {
            again(flow);
        }
        left = rest;
        match block {
            Block::Line(line) => match rest {
                [Block::Line(next), after @ ..] if is_short(flow, line) && is_short(flow, next) => {
                    two_lines(flow, line, next, &again);
                    left = after;
                }
                _ => value_line(flow, line, &again),
            },
            Block::Table(table) => {
                flow.gap(1.0);
                place_table(flow, table, &again);
            }
            Block::Note(text) => {
                place(flow, vec![note_cell(flow, text)], of_note(), &again);
            }
        }
    }
}

/// Width of the label of a line that shares its row.
const SHORT_LABEL_MM: f32 = 36.0;

/// Where the second of two lines on one row begins, from the left margin.
fn half(flow: &Flow) -> f32 {
    (flow.measure() + GUTTER_MM) / 2.0
}

fn style_of(line: &Line) -> Style {
    if line.strong { STRONG } else { VALUE }
}

/// Whether a line needs no more than half a row: most answers are a word or a number, and a slip of half
/// the pages is read to its end.
fn is_short(flow: &Flow, line: &Line) -> bool {
    let room = half(flow) - GUTTER_MM - TICK_INDENT_MM - SHORT_LABEL_MM - GUTTER_MM;
    let value = legible(&line.value);
    line.tick && !value.contains('\n') && style_of(line).width_mm(&value) <= room
}

fn two_lines(flow: &mut Flow, one: &Line, other: &Line, again: &dyn Fn(&mut Flow)) {
    let middle = half(flow);
    let mut cells = Vec::new();
    for (line, from) in [(one, 0.0), (other, middle)] {
        let left = flow.left() + from + TICK_INDENT_MM;
        let x = left + SHORT_LABEL_MM + GUTTER_MM;
        let right = flow.left() + from + middle - GUTTER_MM;
        let label = Cell::new(left, SHORT_LABEL_MM).level(LABEL, style_of(line));
        cells.push(label.add(&line.label, LABEL));
        cells.push(Cell::new(x, right - x).add(&line.value, style_of(line)));
    }
    let row_style = RowStyle {
        pad_mm: 0.9,
        tick: true,
        second_tick_mm: Some(middle),
        rule: true,
        ..RowStyle::default()
    };
    place(flow, cells, row_style, again);
}

fn value_line(flow: &mut Flow, line: &Line, again: &dyn Fn(&mut Flow)) {
    labelled(flow, line, style_of(line), again);
}

fn labelled(flow: &mut Flow, line: &Line, style: Style, again: &dyn Fn(&mut Flow)) {
    let left = flow.left() + TICK_INDENT_MM;
    let label = Cell::new(left, LABEL_MM)
        .level(LABEL, style)
        .add(&line.label, LABEL);
    let x = left + LABEL_MM + GUTTER_MM;
    let value = Cell::new(x, flow.right() - x).add(&line.value, style);
    let row_style = RowStyle {
        pad_mm: 0.9,
        tick: line.tick,
        rule: true,
        ..RowStyle::default()
    };
    place(flow, vec![label, value], row_style, again);
}

/// A heavy bar at the margin says danger without colour.
fn cautions(flow: &mut Flow, cautions: &[String]) {
    if cautions.is_empty() {
        return;
    }
    flow.gap(6.0);
    flow.reserve(HEADING.line_mm() + 16.0);
    let row_style = RowStyle {
        pad_mm: 0.9,
        bar: true,
        ..RowStyle::default()
    };
    let (x, width) = (
        flow.left() + TICK_INDENT_MM - 2.0,
        flow.measure() - TICK_INDENT_MM + 2.0,
    );
    place(
        flow,
        vec![Cell::new(x, width).add("Caution", HEADING)],
        row_style,
        &|_| {},
    );
    for caution in cautions {
        place(
            flow,
            vec![Cell::new(x, width).add(caution, VALUE)],
            row_style,
            &|_| {},
        );
    }
}

fn signature(flow: &mut Flow, content: &SlipContent) {
    if content.draft {
        return;
    }
    let Some(signed) = &content.signature else {
        return;
    };
    let first_mm = signature_mm(flow, content);
    heading(flow, "Signature", first_mm);
    let again = |flow: &mut Flow| continued(flow, "Signature");
    for line in [
        Line::new("Signed by", &signed.name).strong(),
        Line::new(signed.licence_label, &signed.licence),
        Line::new("At", &signed.moment),
        Line::new("Meaning", &signed.meaning),
    ] {
        value_line(flow, &line, &again);
    }
    let hash = Line::new("Hash of the signed text", &signed.document_hash);
    labelled(flow, &hash, CODE, &again);
}

const JUST_AFTER: &str = "The record just after this revision was signed";

/// Room that the lines of the signature take, besides the heading.
const SIGNATURE_MM: f32 = 44.0;

/// What of the signature stays on one page: of the full text all of it, with the mark of the record below it.
fn signature_mm(flow: &Flow, content: &SlipContent) -> f32 {
    match &content.record {
        InRecord::At(mark) if !content.bench && content.beside.is_none() => {
            SIGNATURE_MM + least_record_mm(flow, mark, JUST_AFTER)
        }
        _ => FIRST_LINES_MM,
    }
}

/// The record as it was just after this revision was signed, so that a slip never changes.
fn record(flow: &mut Flow, content: &SlipContent) {
    let words = match &content.record {
        _ if content.draft => DRAFT_WORDS,
        InRecord::At(mark) => {
            // What is worked with prints as it was signed.
            return match content.bench {
                true => place_record(flow, mark, JUST_AFTER),
                false => end_with_record(flow, mark, JUST_AFTER),
            };
        }
        InRecord::Draft => DRAFT_WORDS,
        InRecord::Missing => MISSING_WORDS,
    };
    flow.gap(5.0);
    let cell = Cell::new(flow.left(), flow.measure()).add(words, VALUE);
    place(flow, vec![cell], RowStyle::default(), &|_| {});
}
