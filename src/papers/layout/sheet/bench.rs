//! What is filled in by hand: pan and lots, the handover, and the mark of the record beside the cautions.

use super::draw::Draw;
use super::measure::{
    GUTTER, HEAD, LABEL, LABEL_STRONG, Measure, SECOND, STRONG, TEXT, hair, part,
};
use super::rich::{Span, set};
use super::top::WHOLE;
use crate::papers::layout::qr::QrBox;
use crate::papers::record_mark::{DRAFT_WORDS, InRecord, MISSING_WORDS};
use crate::papers::sheet::{Hands, Sheet};

/// Width of the code of the record, of one of its modules, and of the free border about it.
const CODE_MM: f32 = 22.2;
const CODE_MODULE_MM: f32 = 0.66;
const CODE_FREE_MM: f32 = 2.8;

/// Pan, technician, when it came to hand and when it was poured, with a box for each lot.
pub fn bench(sheet: &Sheet, measure: &Measure) -> Draw {
    let line = measure.row + 1.6;
    let mut draw = Draw::space(line);
    draw.line((0.0, 0.0), (measure.width, 0.0), part());
    let y = line - 1.4;
    draw.text(0.0, y, HEAD, "Bench");
    let blanks = [
        ("Pan", 0.08, 0.20),
        ("Technician", 0.21, 0.49),
        ("In hand, date, time", 0.50, 0.77),
        ("Poured at", 0.78, 1.0),
    ];
    for (word, from, to) in blanks {
        let (from, to) = (from * measure.width, to * measure.width);
        draw.text(from, y, LABEL, word);
        let start = from + LABEL.width_mm(word) + 1.0;
        draw.line((start, y + 0.4), (to, y + 0.4), hair());
    }
    let count = sheet.lots.len().max(1);
    let (width, height) = (measure.width / count as f32, measure.row + 3.0);
    let top = draw.height;
    draw.frame((0.0, top), (measure.width, height), hair());
    for (at, lot) in sheet.lots.iter().enumerate() {
        let x = at as f32 * width;
        draw.text(x + 1.2, top + 3.0, LABEL, &format!("Lot: {lot}"));
        if at > 0 {
            draw.line((x, top), (x, top + height), hair());
        }
    }
    draw.height += height;
    draw.all_about(measure.width, WHOLE);
    draw
}

/// Lines for each of the four handovers, as the squares of the table are named.
pub fn handover(hands: Hands, measure: &Measure) -> Draw {
    let (head, row) = (4.0, measure.row + 1.6);
    let mut draw = Draw::space(measure.step + 0.8);
    draw.line((0.0, 0.0), (measure.width, 0.0), part());
    draw.text(0.0, measure.step * 0.85, HEAD, "Handover on paper");
    let x = HEAD.width_mm("Handover on paper") + 1.5;
    let words = "damaged or missing: write it beside the item";
    draw.text(x, measure.step * 0.85, LABEL, words);
    let width = measure.column(2);
    let top = draw.height;
    let (name, sides) = match hands {
        Hands::OfficeAndLab => (
            16.5,
            [
                ("To the lab", ["from office", "at lab"]),
                ("Back", ["from lab", "at office"]),
            ],
        ),
        Hands::TwoLabs => (
            22.5,
            [
                ("There", ["from first lab", "at second lab"]),
                ("Back", ["from second lab", "at first lab"]),
            ],
        ),
    };
    for (at, (title, rows)) in sides.into_iter().enumerate() {
        let mut table = Draw::new();
        let columns = [0.0, name, 55.0, 74.0];
        let heads = [title, "Name, signature", "Date, time", "Pieces, seal"];
        for ((x, word), style) in
            columns
                .into_iter()
                .zip(heads)
                .zip([LABEL_STRONG, LABEL, LABEL, LABEL])
        {
            table.text(x + 1.2, 3.0, style, word);
        }
        let height = head + 3.0 * row;
        for (at, word) in rows.into_iter().chain(["carrier, reason"]).enumerate() {
            let y = head + at as f32 * row;
            table.line((0.0, y), (width, y), hair());
            table.text(1.2, y + 3.2, LABEL, word);
        }
        for x in columns.into_iter().skip(1) {
            table.line((x, 0.0), (x, height - row), hair());
        }
        table.frame((0.0, 0.0), (width, height), hair());
        table.height = height;
        draw.height = draw.height.max(top + height);
        draw.put(at as f32 * (width + GUTTER), top, table);
    }
    draw.all_about(measure.width, ("enclosures", None));
    draw
}

/// The cautions, and where the record stood.
pub fn cautions_and_record(sheet: &Sheet, measure: &Measure) -> Draw {
    let width = measure.column(2);
    let cautions = cautions(sheet, width, measure);
    let record = record(&sheet.mark, width, measure);
    let mut draw = Draw::space(cautions.height.max(record.height));
    draw.put(0.0, 0.0, cautions);
    draw.put(width + GUTTER, 0.0, record);
    draw
}

fn cautions(sheet: &Sheet, width: f32, measure: &Measure) -> Draw {
    let mut draw = Draw::space(measure.step + 0.4);
    draw.line((0.0, 0.0), (width, 0.0), part());
    draw.text(0.0, measure.step * 0.85, HEAD, "Cautions");
    for caution in &sheet.cautions {
        draw.text(0.0, draw.height + 2.7, SECOND, "•");
        let mut line = Draw::new();
        let text = set(
            &[Span::new(*caution, SECOND)],
            width - 2.5,
            measure.step - 0.25,
        );
        line.height = text.height;
        line.put(2.5, 0.0, text);
        draw.below(line);
    }
    draw
}

fn record(mark: &InRecord, width: f32, measure: &Measure) -> Draw {
    let code = match mark {
        InRecord::At(mark) => QrBox::for_sheet(&mark.code(), CODE_MM, CODE_MODULE_MM),
        InRecord::Draft | InRecord::Missing => None,
    };
    let side = code.as_ref().map_or(0.0, QrBox::bare_side);
    let mut draw = Draw::new();
    draw.line((0.0, 0.0), (width, 0.0), part());
    if let Some(code) = code {
        draw.marks.push(code.bare_mark(0.0, CODE_FREE_MM));
        draw.height = side + CODE_FREE_MM * 1.8;
    }
    let x = if side > 0.0 { side + 4.5 } else { 0.0 };
    let lines = record_words(mark, width - x, measure);
    draw.height = draw.height.max(lines.height);
    draw.put(x, 0.0, lines);
    draw
}

fn record_words(mark: &InRecord, width: f32, measure: &Measure) -> Draw {
    let mut lines = Draw::space(measure.step + 0.8);
    lines.text(0.0, measure.step * 0.85, HEAD, "Record mark");
    let mut say = |words: String, style| {
        lines.below(set(&[Span::new(words, style)], width, measure.step));
    };
    match mark {
        InRecord::At(mark) => {
            say("just after signing; size and root:".to_owned(), SECOND);
            let letters = mark.letters();
            let groups: Vec<&str> = letters.split(' ').collect();
            for pair in groups.chunks(2) {
                say(pair.join(" "), STRONG);
            }
            say(format!("Key {}", mark.key_id), TEXT);
        }
        InRecord::Draft => say(DRAFT_WORDS.to_owned(), TEXT),
        InRecord::Missing => say(MISSING_WORDS.to_owned(), STRONG),
    }
    lines
}
