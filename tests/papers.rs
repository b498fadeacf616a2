//! Papers read back by tools that know nothing of this program: pdftotext, qpdf, pdffonts, pdftoppm and zbarimg.
#![expect(
    clippy::unwrap_used,
    reason = "a test says what it expects and falls over when it is wrong"
)]
#![expect(
    clippy::print_stdout,
    reason = "time and size of a slip are printed for the reader of a test run"
)]

use proptest::prelude::*;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;
use vestibule::domain::moment::Moment;
use vestibule::domain::party::Paper;
use vestibule::papers::content::{Block, Highlight, Line, Section, SlipContent, Table};
use vestibule::papers::custody_sheet;
use vestibule::papers::key_sheet::{self, KeySheet};
use vestibule::papers::page::Point;
use vestibule::papers::typeface::{legible, width_mm};
use vestibule::papers::{Mark, Meta, Page, lay_out, samples, write};

fn meta() -> Meta {
    Meta {
        title: "Laboratory procedure prescription V7-0042".into(),
        author: "Office on the Quay".into(),
        created: Moment::new(1_772_456_700_000, 60),
    }
}

/// Writes pages into a folder of this test run.
fn saved(name: &str, pages: &[Page]) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pdf"));
    std::fs::write(&path, write(pages, &meta()).unwrap()).unwrap();
    path
}

/// What a tool prints; the test fails with the tool's own words if it is not content.
fn run(tool: &str, arguments: &[&str], file: &Path) -> String {
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
fn text_of(file: &Path) -> Vec<String> {
    let output = Command::new("pdftotext")
        .args(["-layout", "-enc", "UTF-8"])
        .arg(file)
        .arg("-")
        .output()
        .unwrap();
    assert!(output.status.success());
    let text = String::from_utf8(output.stdout).unwrap();
    text.trim_end_matches('\u{c}')
        .split('\u{c}')
        .map(str::to_owned)
        .collect()
}

fn without_space(text: &str) -> String {
    text.split_whitespace().collect()
}

/// Every text that a slip says, in the form in which it is printed.
fn words_of(slip: &SlipContent) -> Vec<String> {
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
    for section in &slip.sections {
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
    texts.extend(&slip.checkpoint_line);
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
fn printed(pages: &[Page]) -> String {
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
fn letter_counts(text: &str) -> std::collections::BTreeMap<char, usize> {
    let mut counts = std::collections::BTreeMap::new();
    for letter in text.chars().filter(|letter| !letter.is_whitespace()) {
        *counts.entry(letter).or_default() += 1;
    }
    counts
}

fn assert_inside_margins(pages: &[Page]) {
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
                Mark::Across { .. } => {}
            }
        }
    }
}

#[test]
fn the_same_slip_gives_the_same_bytes() {
    let file = |slip: &SlipContent| write(&lay_out(slip), &meta()).unwrap();
    assert_eq!(file(&samples::full()), file(&samples::full()));
    assert_ne!(file(&samples::full()), file(&samples::draft()));
}

#[test]
fn a_reader_finds_every_word_of_a_slip() {
    for (name, slip) in [
        ("full", samples::full()),
        ("minimal", samples::minimal()),
        ("foreign", samples::foreign()),
        ("draft", samples::draft()),
    ] {
        let pages = text_of(&saved(name, &lay_out(&slip)));
        let all = pages.concat();
        for text in words_of(&slip) {
            for word in text.split_whitespace() {
                // A word wider than its column is broken; its letters are looked at on the marks below.
                assert!(
                    all.contains(word) || word.len() > 40,
                    "{name}: {word} is missing in\n{all}"
                );
            }
        }
    }
}

#[test]
fn a_reader_gets_lines_in_the_order_of_reading() {
    let text = text_of(&saved("order", &lay_out(&samples::full()))).concat();
    let places: Vec<usize> = [
        "Laboratory procedure",
        "V7-0042",
        "K7M4",
        "To the dental laboratory",
        "Tooth shade",
        "Seen from the front",
        "Ordered",
        "Front teeth",
        "Caution",
        "Signed by",
        "Released by the office",
        "Received by the laboratory",
    ]
    .iter()
    .map(|words| {
        text.find(words)
            .unwrap_or_else(|| panic!("{words} is missing"))
    })
    .collect();
    assert!(places.is_sorted(), "{places:?}\n{text}");
}

#[test]
fn overlong_texts_flow_over_pages_and_lose_nothing() {
    let slip = samples::overlong();
    let pages = lay_out(&slip);
    assert!(pages.len() > 8, "{}", pages.len());
    assert_inside_margins(&pages);
    let wanted: String = words_of(&slip).concat();
    let has = letter_counts(&printed(&pages));
    for (letter, count) in letter_counts(&wanted) {
        assert!(
            has.get(&letter).copied().unwrap_or(0) >= count,
            "{letter}: {count} wanted"
        );
    }
    let read = letter_counts(&text_of(&saved("overlong", &pages)).concat());
    for (letter, count) in letter_counts(&wanted) {
        assert!(
            read.get(&letter).copied().unwrap_or(0) >= count,
            "{letter} is missing in the file"
        );
    }
}

#[test]
fn every_page_has_its_number_the_case_and_the_revision() {
    for paper in [Paper::A4, Paper::Letter] {
        let mut slip = samples::full();
        slip.paper = paper;
        let pages = text_of(&saved(&format!("pages-{}", paper.word()), &lay_out(&slip)));
        assert!(pages.len() > 1);
        for (index, page) in pages.iter().enumerate() {
            assert!(
                page.contains(&format!("Page {} of {}", index + 1, pages.len())),
                "{page}"
            );
            assert!(
                page.contains("Case V7-0042") && page.contains("Revision 2"),
                "{page}"
            );
        }
    }
}

#[test]
fn a_sheet_has_the_size_of_the_paper() {
    let mut slip = samples::minimal();
    assert!(run("pdfinfo", &[], &saved("a4", &lay_out(&slip))).contains("(A4)"));
    slip.paper = Paper::Letter;
    assert!(run("pdfinfo", &[], &saved("letter", &lay_out(&slip))).contains("(letter)"));
}

#[test]
fn a_draft_says_so_on_every_page_and_is_not_signed() {
    let mut slip = samples::draft();
    let count = lay_out(&slip).len();
    let pages = text_of(&saved("draft-pages", &lay_out(&slip)));
    assert_eq!(pages.len(), count);
    assert!(pages.iter().all(|page| page.contains("DRAFT")));
    assert!(!pages.concat().contains("Signed by"));
    assert!(lay_out(&slip).iter().all(|page| {
        page.marks
            .iter()
            .any(|mark| matches!(mark, Mark::Across { .. }))
    }));
    slip.draft = false;
    let signed = text_of(&saved("not-draft", &lay_out(&slip))).concat();
    assert!(!signed.contains("DRAFT") && signed.contains("Signed by"));
}

#[test]
fn the_file_is_sound_and_carries_its_letters() {
    for (name, slip) in [
        ("sound", samples::full()),
        ("sound-draft", samples::draft()),
        ("sound-long", samples::overlong()),
        ("sound-foreign", samples::foreign()),
    ] {
        let file = saved(name, &lay_out(&slip));
        let said = run("qpdf", &["--check"], &file);
        assert!(
            said.contains("No syntax or stream encoding errors found"),
            "{said}"
        );
        let fonts = run("pdffonts", &[], &file);
        let rows: Vec<&str> = fonts.lines().skip(2).collect();
        assert_eq!(rows.len(), 2, "{fonts}");
        for row in rows {
            // Columns emb, sub, uni: embedded, cut to the letters in use, mapped to Unicode.
            assert!(
                row.contains("yes yes yes") && row.contains("CID TrueType"),
                "{fonts}"
            );
        }
    }
}

#[test]
fn a_telephone_reads_the_qr_code() {
    for (name, slip) in [("qr", samples::full()), ("qr-draft", samples::draft())] {
        let file = saved(name, &lay_out(&slip));
        let image = file.with_extension("");
        run(
            "pdftoppm",
            &[
                "-r",
                "150",
                "-png",
                "-singlefile",
                "-f",
                "1",
                file.to_str().unwrap(),
            ],
            &image,
        );
        let read = run("zbarimg", &["-q", "--raw"], &image.with_extension("png"));
        assert_eq!(Some(read.trim()), slip.qr_address.as_deref());
    }
}

#[test]
fn an_address_too_long_for_a_code_is_printed_in_letters() {
    let mut slip = samples::full();
    slip.qr_address = Some(format!("HTTPS://VESTIBULE.EXAMPLE/{}", "LONG".repeat(600)));
    let pages = lay_out(&slip);
    assert!(
        !pages
            .iter()
            .flat_map(|page| &page.marks)
            .any(|mark| matches!(mark, Mark::Qr { .. }))
    );
    assert_inside_margins(&pages);
    assert_eq!(printed(&pages).matches("LONG").count(), 600);
}

#[test]
fn a_letter_that_the_face_lacks_is_marked() {
    let text = text_of(&saved("marked", &lay_out(&samples::foreign()))).concat();
    for mark in [
        "[U+7FA9][U+6B6F] white",
        "[U+0633][U+0646] left",
        "[U+1F9B7] tooth",
        "bell[U+0007]null[U+0000]turn[U+202E]end",
        "café mit Ärger",
    ] {
        assert!(text.contains(mark), "{mark} is missing in\n{text}");
    }
}

#[test]
fn a_custody_sheet_holds_every_event() {
    for count in [0, 1, 120] {
        let pages = custody_sheet::lay_out(&samples::custody(count));
        assert_inside_margins(&pages);
        let text = text_of(&saved(&format!("custody-{count}"), &pages)).concat();
        assert!((0..count).all(|number| text.contains(&format!("T-{number:04}"))));
        assert_eq!(text.contains("Nothing has been recorded yet."), count == 0);
        assert_eq!(
            text.matches("Details").count(),
            if count == 0 { 0 } else { pages.len() }
        );
    }
}

#[test]
fn a_key_sheet_warns_and_has_room_to_write() {
    let pages = key_sheet::lay_out(&KeySheet {
        paper: Paper::A4,
        office: "Office on the Quay".into(),
        codes: vec!["K7M4-Q2X9-R".into(), "P3TT-81ZA-0".into()],
        blank_rows: 20,
    });
    assert_inside_margins(&pages);
    let text = text_of(&saved("key-sheet", &pages)).concat();
    for words in [
        "keep apart from all case papers",
        "Never send it to the laboratory",
        "K7M4-Q2X9-R",
        "P3TT-81ZA-0",
    ] {
        assert!(text.contains(words), "{words} is missing in\n{text}");
    }
}

#[test]
fn a_file_of_any_moment_can_be_written() {
    for unix_ms in [
        i64::MIN,
        -62_135_596_800_000,
        -1,
        0,
        253_402_300_799_999,
        i64::MAX,
    ] {
        let meta = Meta {
            created: Moment::new(unix_ms, 60),
            ..meta()
        };
        assert!(write(&lay_out(&samples::minimal()), &meta).is_ok());
    }
}

#[test]
fn time_and_size_of_a_slip_are_told() {
    for (name, slip) in [("minimal", samples::minimal()), ("full", samples::full())] {
        let (mut best, mut size, mut pages) = (u128::MAX, 0, 0);
        for _ in 0..5 {
            #[expect(clippy::disallowed_methods, reason = "measuring is the purpose here")]
            let start = Instant::now();
            let laid = lay_out(&slip);
            size = write(&laid, &meta()).unwrap().len();
            best = best.min(start.elapsed().as_micros());
            pages = laid.len();
        }
        println!("{name}: {pages} pages, {size} bytes, {best} µs");
        assert!(size > 0);
    }
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z ]{0,40}",
        "\\PC{0,60}",
        "[ -~\n]{0,400}",
        "[а-яα-ω中🦷 ]{0,80}",
        Just(String::new())
    ]
}

fn any_block() -> impl Strategy<Value = Block> {
    let line = (any_text(), any_text(), any::<bool>(), any::<bool>()).prop_map(
        |(label, value, strong, tick)| {
            Block::Line(Line {
                label,
                value,
                strong,
                tick,
            })
        },
    );
    let table = (
        proptest::collection::vec(any_text(), 0..5),
        proptest::collection::vec(proptest::collection::vec(any_text(), 0..5), 0..6),
        any::<bool>(),
    )
        .prop_map(|(headings, rows, tick)| {
            Block::Table(Table {
                headings,
                rows,
                tick,
            })
        });
    prop_oneof![line, table, any_text().prop_map(Block::Note)]
}

fn any_slip() -> impl Strategy<Value = SlipContent> {
    let section = (any_text(), proptest::collection::vec(any_block(), 0..6))
        .prop_map(|(title, blocks)| Section { title, blocks });
    let highlight = (any_text(), any_text(), any_text())
        .prop_map(|(label, value, unit)| Highlight { label, value, unit });
    (
        (
            any_text(),
            any_text(),
            any_text(),
            any_text(),
            any::<bool>(),
            any::<bool>(),
        ),
        proptest::collection::vec(section, 0..6),
        proptest::collection::vec(highlight, 0..8),
        proptest::collection::vec(any_text(), 0..4),
        (
            proptest::option::of(-5.0f32..5.0),
            proptest::option::of(40.0f32..90.0),
            proptest::option::of(40.0f32..90.0),
        ),
    )
        .prop_map(
            |(
                (title, case_number, name, address, draft, letter),
                sections,
                highlights,
                cautions,
                (midline, rest, occlusal),
            )| {
                let mut slip = samples::full();
                (slip.title, slip.case_number, slip.office.name) = (title, case_number, name);
                slip.lab.address.push(address);
                slip.draft = draft;
                slip.paper = if letter { Paper::Letter } else { Paper::A4 };
                (slip.sections, slip.highlights, slip.cautions) = (sections, highlights, cautions);
                slip.drawing.midline_offset_mm = midline;
                (slip.drawing.rest_mm, slip.drawing.occlusal_mm) = (rest, occlusal);
                slip
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_written_is_placed_inside_the_margins_and_no_letter_is_lost(slip in any_slip()) {
        let pages = lay_out(&slip);
        assert_inside_margins(&pages);
        let has = letter_counts(&printed(&pages));
        for (letter, count) in letter_counts(&words_of(&slip).concat()) {
            prop_assert!(has.get(&letter).copied().unwrap_or(0) >= count, "{}: {} wanted", letter, count);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_written_comes_back_from_the_file(slip in any_slip()) {
        let pages = lay_out(&slip);
        let file = saved("any", &pages);
        run("qpdf", &["--check"], &file);
        let read = letter_counts(&text_of(&file).concat());
        for (letter, count) in letter_counts(&printed(&pages)) {
            prop_assert!(read.get(&letter).copied().unwrap_or(0) >= count, "{}: {} wanted", letter, count);
        }
    }
}
