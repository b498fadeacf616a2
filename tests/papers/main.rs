//! Papers read back by tools that know nothing of this program: pdftotext, qpdf, pdffonts, pdftoppm and zbarimg; and by four
//! readers of Python.
#![expect(
    clippy::unwrap_used,
    reason = "a test says what it expects and falls over when it is wrong"
)]
#![expect(
    clippy::print_stdout,
    reason = "time and size of a slip are printed for the reader of a test run"
)]

#[path = "../pdf_text/mod.rs"]
mod pdf_text;

mod any_slip;
mod bench_card;
mod case_paper;
mod custody;
mod labels;
mod marks;
mod poor_copy;
mod readers;
mod sheet;
mod slip;

use pdf_text::{LAYOUT, pages_of};
use std::path::{Path, PathBuf};
use std::process::Command;
use vestibule::domain::trade::sketch::Shape;
use vestibule::domain::values::moment::Moment;
use vestibule::papers::content::{Block, SlipContent};
use vestibule::papers::page::Point;
use vestibule::papers::record_mark::{DRAFT_WORDS, InRecord, MISSING_WORDS, RecordMark};
use vestibule::papers::typeface::{legible, width_mm};
use vestibule::papers::{Mark, Meta, Page, samples, write};

pub fn meta() -> Meta {
    Meta {
        title: "Laboratory procedure prescription V7-0042".into(),
        author: "Office on the Quay".into(),
        created: Moment::new(1_772_456_700_000, 60),
        language: Some("en-US"),
    }
}

/// Writes pages into a folder of this test run.
pub fn saved(name: &str, pages: &[Page]) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pdf"));
    std::fs::write(&path, write(pages, &meta()).unwrap()).unwrap();
    path
}

/// What a tool prints; the test fails with the tool's own words if it is not content.
pub fn run(tool: &str, arguments: &[&str], file: &Path) -> String {
    let done = Command::new(tool)
        .args(arguments)
        .arg(file)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    assert!(
        done.status.success(),
        "{tool}: {said}{}",
        String::from_utf8_lossy(&done.stderr)
    );
    said
}

/// The text of each page, set as on paper.
pub fn text_of(file: &Path) -> Vec<String> {
    pages_of(&std::fs::read(file).unwrap(), LAYOUT)
}

pub fn without_space(text: &str) -> String {
    text.split_whitespace().collect()
}

/// Every text that a slip says, in the form in which it is printed.
pub fn words_of(slip: &SlipContent) -> Vec<String> {
    let mut texts = vec![
        &slip.title,
        &slip.case_number,
        &slip.patient_code,
        &slip.revision,
        &slip.issued,
    ];
    texts.extend(&slip.wanted_back);
    for party in [&slip.office, &slip.lab] {
        texts.push(&party.name);
        texts.extend(&party.address);
        texts.extend(&party.licence);
    }
    texts.push(&slip.prescriber.name);
    texts.extend(&slip.prescriber.licence);
    for highlight in &slip.highlights {
        texts.extend([&highlight.label, &highlight.value, &highlight.unit]);
    }
    for drawing in &slip.drawings {
        texts.push(&drawing.title);
        if let Some(table) = &drawing.table {
            texts.extend(&table.headings);
            texts.extend(table.rows.iter().flatten());
        }
        texts.extend(
            drawing
                .picture
                .shapes
                .iter()
                .filter_map(|shape| match shape {
                    Shape::Words { text, .. } => Some(text),
                    _ => None,
                }),
        );
    }
    for section in slip.foremost.iter().chain(&slip.sections) {
        texts.push(&section.title);
        for block in &section.blocks {
            match block {
                Block::Line(line) => texts.extend([&line.label, &line.value]),
                Block::Note(note) => texts.push(note),
                Block::Table(table) => {
                    texts.extend(&table.headings);
                    texts.extend(table.rows.iter().flatten());
                }
            }
        }
    }
    texts.extend(&slip.cautions);
    texts.extend(&slip.handoff_blanks);
    let mark = match &slip.record {
        InRecord::At(mark) if !slip.draft => vec![mark.letters(), mark.key.clone()],
        InRecord::Missing if !slip.draft => vec![MISSING_WORDS.to_owned()],
        _ => vec![DRAFT_WORDS.to_owned()],
    };
    texts.extend(&mark);
    if let (Some(signed), false) = (&slip.signature, slip.draft) {
        texts.extend([
            &signed.name,
            &signed.licence,
            &signed.moment,
            &signed.meaning,
            &signed.document_hash,
        ]);
    }
    texts.into_iter().map(|text| legible(text)).collect()
}

/// All text marks one after the other, without white space, so that a text broken over lines is found again.
pub fn printed(pages: &[Page]) -> String {
    let texts = pages
        .iter()
        .flat_map(|page| &page.marks)
        .filter_map(|mark| match mark {
            Mark::Text { text, .. } => Some(text.as_str()),
            _ => None,
        });
    without_space(&texts.collect::<String>())
}

/// The letters of the text, as a multiset: a text that goes on over the page has a head and a foot in between.
pub fn letter_counts(text: &str) -> std::collections::BTreeMap<char, usize> {
    let mut counts = std::collections::BTreeMap::new();
    for letter in text.chars().filter(|letter| !letter.is_whitespace()) {
        *counts.entry(letter).or_default() += 1;
    }
    counts
}

pub fn assert_inside_margins(pages: &[Page]) {
    for page in pages {
        let inside = |x: f32, y: f32| {
            x >= 15.9 && x <= page.width_mm - 15.9 && y >= 9.0 && y <= page.height_mm - 9.0
        };
        for mark in &page.marks {
            match mark {
                Mark::Text {
                    x,
                    baseline,
                    size_pt,
                    face,
                    text,
                    ..
                } => {
                    let end = x + width_mm(text, *face, *size_pt);
                    assert!(
                        inside(*x, *baseline) && inside(end, *baseline),
                        "outside: {text} at {x} to {end}, {baseline}"
                    );
                }
                Mark::Path { points, .. } => {
                    for Point { x, y } in points {
                        assert!(inside(*x, *y), "a line outside: {x} {y}");
                    }
                }
                Mark::Qr {
                    x,
                    y,
                    module_mm,
                    rows,
                } => {
                    let side = module_mm * rows.len() as f32;
                    assert!(inside(*x, *y) && inside(x + side, y + side));
                }
                Mark::Photo { corner, size, .. } => {
                    assert!(inside(corner.x, corner.y));
                    assert!(inside(corner.x + size.0, corner.y + size.1));
                }
                Mark::Across { .. } => {}
            }
        }
    }
}

/// What a telephone reads on all pages of a file.
pub fn codes_of(file: &Path) -> Vec<String> {
    let image = file.with_extension("");
    let source = file.to_str().unwrap();
    let count = text_of(file).len();
    let mut codes = Vec::new();
    for page in (1..=count).map(|page| page.to_string()) {
        let only = ["-r", "150", "-png", "-singlefile", "-f", &page, source];
        run("pdftoppm", &only, &image);
        let picture = image.with_extension("png");
        let read = Command::new("zbarimg")
            .args(["-q", "--raw"])
            .arg(&picture)
            .output()
            .unwrap();
        let read = String::from_utf8(read.stdout).unwrap();
        codes.extend(read.lines().map(str::to_owned));
    }
    codes
}

/// The record that a sheet of labels names.
pub fn mark() -> Option<RecordMark> {
    Some(samples::record())
}
