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
use vestibule::domain::custody::events::{Received, Registered, Released};
use vestibule::domain::custody::item::{Item, ItemKind};
use vestibule::domain::custody::ribbon::ribbon;
use vestibule::domain::custody::{Event, Found, Outcome, Sent, What};
use vestibule::domain::people::party::{Actor, Paper, Role, Side};
use vestibule::domain::trade::sketch::Shape;
use vestibule::domain::values::arch::Arch;
use vestibule::domain::values::ids::{CaseNumber, Tag};
use vestibule::domain::values::measure::Mm;
use vestibule::domain::values::moment::Moment;
use vestibule::papers::content::{Block, Highlight, Line, Section, SlipContent, Table};
use vestibule::papers::custody_sheet::{self, CustodySheet, ItemRow};
use vestibule::papers::key_sheet::{self, KeySheet};
use vestibule::papers::label_sheet::{self, Label, Run};
use vestibule::papers::layout::grid::{Cell, Grid, Margins, READY, sheet_of};
use vestibule::papers::page::Point;
use vestibule::papers::parcel_note;
use vestibule::papers::record_mark::{DRAFT_WORDS, InRecord, MISSING_WORDS, RecordMark};
use vestibule::papers::slip_of::drawings;
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
        "Materials to be avoided",
        "Seen from the front",
        "What the change list comes to",
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
fn a_tables_headings_never_stand_alone_at_the_foot_of_a_page() {
    let line = |number: usize| {
        Block::Line(Line::new(
            &format!("line {number}"),
            "a value that fills no half of a row but more than that, so that each has its own",
        ))
    };
    let row = |words: &str| vec![words.to_owned(), "one".to_owned()];
    for lines in 0..45 {
        for titled in [false, true] {
            let table = Table {
                headings: vec!["Qheading".to_owned(), "Count".to_owned()],
                rows: vec![row("Qfirst"), row("Qsecond")],
                tick: true,
            };
            let title = titled.then(|| Block::Note("Qtitle".to_owned()));
            let mut slip = samples::minimal();
            slip.sections = vec![
                Section::new("Before", (0..lines).map(line).collect()),
                Section::new(
                    "Qsection",
                    title.into_iter().chain([Block::Table(table)]).collect(),
                ),
            ];
            for page in lay_out(&slip) {
                let words = printed(std::slice::from_ref(&page));
                let has = |word: &str| words.contains(word);
                assert!(
                    !has("Qheading") || has("Qfirst") || has("Qsecond"),
                    "{lines} lines: {words}"
                );
                assert!(!has("Qtitle") || has("Qfirst"), "{lines} lines: {words}");
                assert!(
                    !has("Qsection") || has("Qfirst") || has("continued"),
                    "{lines} lines: {words}"
                );
            }
        }
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

/// What a telephone reads on all pages of a file.
fn codes_of(file: &Path) -> Vec<String> {
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

#[test]
fn every_paper_says_where_the_record_stood_in_letters_and_as_a_code() {
    let mark = samples::record();
    let key = KeySheet {
        paper: Paper::Letter,
        office: "Office on the Quay".into(),
        codes: vec!["K7M4-Q2X9-R".into()],
        blank_rows: 8,
        record: mark.clone(),
    };
    for (name, pages, codes) in [
        ("record-slip", lay_out(&samples::full()), 2),
        (
            "record-custody",
            custody_sheet::lay_out(&samples::custody(60)),
            1,
        ),
        ("record-key", key_sheet::lay_out(&key), 1),
    ] {
        assert_inside_margins(&pages);
        let file = saved(name, &pages);
        let text = without_space(&text_of(&file).concat());
        for words in [mark.code(), mark.key_id.clone(), mark.key.clone()] {
            assert!(
                text.contains(&words),
                "{name}: {words} is missing in {text}"
            );
        }
        let read = codes_of(&file);
        assert!(
            read.len() == codes && read.contains(&mark.code()),
            "{name}: {read:?}"
        );
        let all = pages.iter().flat_map(|page| &page.marks);
        let widths = all.filter_map(|mark| match mark {
            Mark::Qr {
                module_mm, rows, ..
            } => Some(module_mm * rows.len() as f32),
            _ => None,
        });
        assert!(widths.min_by(f32::total_cmp).unwrap() >= 20.0, "{name}");
    }
}

#[test]
fn the_records_code_takes_the_dense_mode_and_one_piece_of_paper() {
    let mark = RecordMark {
        size: u64::MAX,
        ..samples::record()
    };
    // The dense mode of ISO/IEC 18004 holds digits, capital letters and the colon.
    let is_dense = |c: char| c.is_ascii_digit() || c.is_ascii_uppercase() || c == ':';
    assert!(mark.code().chars().all(is_dense) && !mark.code().contains(' '));
    // However far down a page the block comes to stand, code and letters stay together.
    for rows in 0..30 {
        let pages = key_sheet::lay_out(&KeySheet {
            paper: Paper::A4,
            office: String::new(),
            codes: vec![],
            blank_rows: rows,
            record: mark.clone(),
        });
        assert_inside_margins(&pages);
        let last = pages.last().unwrap();
        assert!(
            last.marks
                .iter()
                .any(|mark| matches!(mark, Mark::Qr { .. })),
            "{rows}"
        );
        let words = printed(std::slice::from_ref(last));
        assert!(
            words.contains(&mark.code()) && words.contains(&mark.key),
            "{rows}: {words}"
        );
    }
}

#[test]
fn a_slip_that_is_in_no_record_says_so() {
    let mut slip = samples::full();
    slip.record = InRecord::Missing;
    let missing = printed(&lay_out(&slip));
    let draft = printed(&lay_out(&samples::draft()));
    assert!(missing.contains(&without_space(MISSING_WORDS)));
    assert!(draft.contains(&without_space(DRAFT_WORDS)));
    let code = samples::record().code();
    assert!(!missing.contains(&code) && !draft.contains(&code));
}

#[test]
fn labels_name_the_record_in_the_margin_or_where_a_label_has_room() {
    let short = samples::record().short();
    assert!(short.starts_with("Record 1284:") && short.ends_with(", key 5bfea6bc"));
    let says = |grid: Grid, record: Option<&RecordMark>| {
        let pages = label_sheet::lay_out(&labels(2), &run_of(grid), record).unwrap();
        printed(&pages).matches(&without_space(&short)).count()
    };
    for ready in READY {
        assert_eq!(says(ready.grid(), mark().as_ref()), 1, "{}", ready.word);
        assert_eq!(says(ready.grid(), None), 0);
    }
    // A large single label has room, a small one keeps its words large instead.
    assert_eq!(says(Grid::single(10_000, 6000), mark().as_ref()), 2);
    assert_eq!(says(Grid::single(6200, 2900), mark().as_ref()), 0);
}

#[test]
fn an_address_too_long_for_a_code_is_printed_in_letters() {
    let mut slip = samples::full();
    slip.qr_address = Some(format!("HTTPS://VESTIBULE.EXAMPLE/{}", "LONG".repeat(600)));
    let pages = lay_out(&slip);
    // The record's own code stands on the last page.
    let is_code = |mark: &Mark| matches!(mark, Mark::Qr { .. });
    assert!(!pages[0].marks.iter().any(is_code));
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
fn a_note_for_the_box_lists_what_lies_in_each_box_and_has_lines_to_sign() {
    for (boxes, items) in [(1, 1), (2, 3), (3, 60)] {
        let note = samples::parcels(boxes, items);
        let pages = parcel_note::lay_out(&note);
        assert_inside_margins(&pages);
        let path = saved(&format!("boxes-{boxes}-{items}"), &pages);
        let text = text_of(&path).concat();
        for number in 1..=boxes {
            assert!(text.contains(&format!("Box {number} of {boxes}")));
            assert!(text.contains(&format!("Seal 47-{number}")));
            assert!(
                (0..items).all(|item| text.contains(&format!("T-{:04}", number * 1000 + item)))
            );
        }
        for words in ["Handed over", "Signature", "sample agent"] {
            assert!(text.matches(words).count() >= boxes, "{words}");
        }
        // The cautions stand in every box.
        let words: Vec<&str> = text.split_whitespace().collect();
        assert_eq!(words.join(" ").matches("signed statement").count(), boxes);
    }
    let path = saved("boxes-qr", &parcel_note::lay_out(&samples::parcels(1, 2)));
    let image = path.with_extension("");
    run(
        "pdftoppm",
        &["-r", "200", "-png", "-singlefile", path.to_str().unwrap()],
        &image,
    );
    let read = run("zbarimg", &["-q", "--raw"], &image.with_extension("png"));
    assert_eq!(read.trim(), "HTTPS://VESTIBULE.EXAMPLE/C/V70042");
}

/// So many bite records that are registered at the office and go to the lab and back so many times.
fn travelled(items: u8, rounds: i64) -> (Vec<Item>, Vec<Event>) {
    let code = |first: u8| {
        (0..32)
            .find_map(|last| Tag::from_random([9, 9, 9, 9, 9, first, last]))
            .unwrap()
    };
    let case = (0..32)
        .find_map(|last| CaseNumber::from_random([2, 2, 2, 2, 2, 2, last]))
        .unwrap();
    let tags: Vec<Tag> = (0..items).map(code).collect();
    let item = |tag: &Tag| Item {
        tag: tag.clone(),
        case: case.clone(),
        kind: ItemKind::BiteRecord,
        arch: None,
        note: String::new(),
        pieces: 1,
        borrowed: false,
    };
    let mut events: Vec<Event> = Vec::new();
    let mut add = |hours: i64, what: What| {
        let at = Moment::new(1_772_456_700_000 + hours * 3_600_000, 60);
        events.push(Event {
            id: format!("event {}", events.len()),
            case: case.clone(),
            at,
            entered_at: at,
            by: Actor {
                account: "ines".into(),
                name: "Ines Okafor".into(),
                role: Role::Assistant,
                party: "quay".into(),
                party_name: "Office on the Quay".into(),
            },
            paper: None,
            what,
        });
    };
    for tag in &tags {
        add(
            0,
            What::Registered(Registered {
                tag: tag.clone(),
                place: Side::Office,
                worn: false,
                note: String::new(),
                pieces: None,
                made: None,
                due_back: None,
            }),
        );
    }
    for round in 0..rounds {
        let (from, to) = match round % 2 {
            0 => (Side::Office, Side::Lab),
            _ => (Side::Lab, Side::Office),
        };
        let handoff = format!("handoff {round}");
        add(40 * round + 10, released(&handoff, &tags, from, to));
        add(40 * round + 25, received(&handoff, &tags, to));
    }
    (tags.iter().map(item).collect(), events)
}

fn released(handoff: &str, tags: &[Tag], from: Side, to: Side) -> What {
    let sent = |tag: &Tag| Sent {
        tag: tag.clone(),
        condition: String::new(),
        parcel: 0,
        pieces: None,
    };
    What::Released(Released {
        handoff: handoff.into(),
        items: tags.iter().map(sent).collect(),
        from,
        to,
        carrier: "a courier".into(),
        tracking: String::new(),
        purpose_code: None,
        purpose: String::new(),
        seal: String::new(),
        exception: None,
        parcels: Vec::new(),
    })
}

/// The second item is damaged, the third has no mark.
fn received(handoff: &str, tags: &[Tag], place: Side) -> What {
    let found = |(at, tag): (usize, &Tag)| Found {
        tag: tag.clone(),
        outcome: if at == 1 {
            Outcome::Damaged
        } else {
            Outcome::Sound
        },
        marked_disinfected: at != 2,
        note: String::new(),
        pieces: None,
    };
    What::Received(Received {
        handoff: handoff.into(),
        place,
        items: tags.iter().enumerate().map(found).collect(),
        unannounced: String::new(),
        parcels: Vec::new(),
        foreign: String::new(),
    })
}

#[test]
fn a_custody_sheet_draws_the_ribbon_of_few_and_of_many_events() {
    for paper in [Paper::A4, Paper::Letter] {
        for (items, rounds) in [(1, 1), (3, 4), (30, 9), (3, 60)] {
            let (items, events) = travelled(items, rounds);
            let last = events.last().unwrap().at;
            let ribbon = ribbon(&items, &events, &[Arch::Upper], last);
            let kinds = items.iter().zip(1..).map(|(item, number)| ItemRow {
                number,
                tag: item.tag.to_string(),
                title: item.title(),
                kind: "bite record".into(),
                ..ItemRow::default()
            });
            let sheet = CustodySheet {
                paper,
                items: kinds.collect(),
                ribbon: Some(ribbon),
                ..samples::custody(2)
            };
            let pages = custody_sheet::lay_out(&sheet);
            assert_inside_margins(&pages);
            assert!(pages == custody_sheet::lay_out(&sheet), "the same twice");
            let name = format!("ribbon-{}-{rounds}", items.len());
            let text = text_of(&saved(&name, &pages)).concat();
            // Every strip repeats the names of the lanes and the arches.
            let strips = text.matches("Where everything was").count();
            assert!(strips >= 1);
            for lane in ["Lab", "On the way", "Office", "Patient"] {
                let lines = text.lines().map(str::trim_start);
                let named = lines.filter(|line| line.starts_with(lane)).count();
                assert!(named >= strips, "{lane} in {name}: {named} of {strips}");
            }
            for words in [
                "registered",
                "on hold, work waits",
                "as of 20",
                "never in proportion",
            ] {
                let is_there =
                    text.contains(words) || (items.len() < 2 && words.starts_with("on hold"));
                assert!(is_there, "{words} is missing in {name}");
            }
            let numbers = text.split_whitespace();
            let last = items.len().to_string();
            assert!(
                numbers.filter(|word| *word == last).count() > 2 * strips / 3,
                "{name}"
            );
            let most = if items.len() > 11 { 60 } else { 40 };
            assert!(pages.len() < most, "{name}: {} pages", pages.len());
        }
    }
}

#[test]
fn a_key_sheet_warns_and_has_room_to_write() {
    let pages = key_sheet::lay_out(&KeySheet {
        paper: Paper::A4,
        office: "Office on the Quay".into(),
        codes: vec!["K7M4-Q2X9-R".into(), "P3TT-81ZA-0".into()],
        blank_rows: 20,
        record: samples::record(),
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
            proptest::option::of(0_i64..=1500),
            proptest::option::of(2000_i64..=12000),
            proptest::option::of(2000_i64..=12000),
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
                let mut drawn = samples::drawn();
                drawn.anterior.midline_offset_mm = midline.map(Mm::from_hundredths);
                drawn.vertical.rest_mm = rest.map(Mm::from_hundredths);
                drawn.vertical.occlusal_mm = occlusal.map(Mm::from_hundredths);
                slip.drawings = drawings(&drawn);
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

/// As many labels as asked, in the words that the longest items have.
fn labels(count: usize) -> Vec<Label> {
    let titles = [
        "Provisional denture, upper",
        "Index of the tooth positions, lower",
        "Set of teeth on its card",
        "Record base with rim, lower",
    ];
    titles
        .iter()
        .cycle()
        .take(count)
        .enumerate()
        .map(|(place, title)| Label {
            code: format!("T4K-7M9-{place:03}"),
            address: format!("HTTPS://VESTIBULE.OFFICE.EXAMPLE/I/T4K7M9{place:03}"),
            title: (*title).to_owned(),
            set: (place % 2 == 0).then(|| "Set A".to_owned()),
            day: "2026-03-02".to_owned(),
            case: "C12-345-67X".to_owned(),
        })
        .collect()
}

/// The record that a sheet of labels names.
fn mark() -> Option<RecordMark> {
    Some(samples::record())
}

fn run_of(grid: Grid) -> Run {
    Run {
        grid,
        offset: (0, 0),
        start: 1,
    }
}

/// Every grid that is offered, and grids as somebody might measure them.
fn grids() -> Vec<(String, Grid)> {
    let own = Grid {
        sheet: sheet_of(Paper::A4),
        columns: 2,
        rows: 4,
        margins: Margins {
            left: 1000,
            right: 1200,
            top: 1300,
            bottom: 1600,
        },
        gaps: (500, 250),
    };
    let mut grids: Vec<(String, Grid)> = READY
        .iter()
        .map(|ready| (ready.word.to_owned(), ready.grid()))
        .collect();
    grids.push(("own".to_owned(), own));
    grids.push(("single-wide".to_owned(), Grid::single(6200, 2900)));
    grids.push(("single-high".to_owned(), Grid::single(3600, 5500)));
    grids
}

/// The rectangle of everything that a mark covers: left, top, right, bottom.
fn extent(mark: &Mark) -> (f32, f32, f32, f32) {
    match mark {
        Mark::Text {
            x,
            baseline,
            size_pt,
            face,
            text,
            ..
        } => {
            // Capitals of this face reach 0.71 em above the baseline, and tails 0.24 em below (from its own tables).
            let em = size_pt * 25.4 / 72.0;
            let end = x + width_mm(text, *face, *size_pt);
            (*x, baseline - 0.71 * em, end, baseline + 0.24 * em)
        }
        Mark::Path { points, .. } => points.iter().fold(
            (f32::MAX, f32::MAX, f32::MIN, f32::MIN),
            |(left, top, right, bottom), point| {
                (
                    left.min(point.x),
                    top.min(point.y),
                    right.max(point.x),
                    bottom.max(point.y),
                )
            },
        ),
        Mark::Qr {
            x,
            y,
            module_mm,
            rows,
        } => {
            let side = module_mm * rows.len() as f32;
            (*x, *y, x + side, y + side)
        }
        Mark::Across { centre, .. } => (centre.x, centre.y, centre.x, centre.y),
    }
}

#[test]
fn a_labels_marks_lie_on_one_label_and_never_on_each_other() {
    for (name, grid) in grids() {
        let run = Run {
            offset: if grid.count() > 1 { (20, -30) } else { (0, 0) },
            ..run_of(grid)
        };
        let cells = grid.cells(run.offset).unwrap();
        let labels = labels(cells.len());
        let pages = label_sheet::lay_out(&labels, &run, mark().as_ref()).unwrap();
        let on = |cell: &Cell, (left, top, right, bottom): (f32, f32, f32, f32)| {
            let slack = 0.01;
            left >= cell.x - slack
                && top >= cell.y - slack
                && right <= cell.x + cell.width + slack
                && bottom <= cell.y + cell.height + slack
        };
        let extents: Vec<_> = pages
            .iter()
            .flat_map(|page| page.marks.iter().map(move |mark| (page, extent(mark))))
            .collect();
        let (mut on_labels, mut beside) = (0, 0);
        for (page, extent) in &extents {
            let (left, top, right, bottom) = *extent;
            assert!(
                left >= 0.0 && top >= 0.0 && right <= page.width_mm && bottom <= page.height_mm
            );
            match cells.iter().filter(|cell| on(cell, *extent)).count() {
                1 => on_labels += 1,
                0 => {
                    let touches = |cell: &&Cell| {
                        left < cell.x + cell.width
                            && right > cell.x
                            && top < cell.y + cell.height
                            && bottom > cell.y
                    };
                    assert_eq!(cells.iter().find(touches), None, "{name}: {extent:?}");
                    beside += 1;
                }
                more => panic!("{name}: {extent:?} lies on {more} labels"),
            }
        }
        assert!(on_labels >= 5 * labels.len(), "{name}: {on_labels}");
        // Line, two ends, its words and the record's.
        assert!(beside == 5 * pages.len() || beside == 0, "{name}: {beside}");
        for (place, (_, a)) in extents.iter().enumerate() {
            for (_, b) in extents.iter().skip(place + 1) {
                let apart = a.2 <= b.0 || b.2 <= a.0 || a.3 <= b.1 || b.3 <= a.1;
                // The line to be measured touches its own ends.
                let is_line = a.1 == a.3 || a.0 == a.2 || b.1 == b.3 || b.0 == b.2;
                assert!(apart || is_line, "{name}: {a:?} {b:?}");
            }
        }
    }
}

#[test]
fn a_labels_code_is_twenty_millimetres_wide_and_has_its_free_border() {
    for (name, grid) in grids() {
        let cells = grid.cells((0, 0)).unwrap();
        let pages =
            label_sheet::lay_out(&labels(cells.len()), &run_of(grid), mark().as_ref()).unwrap();
        let mut codes = 0;
        for mark in pages.iter().flat_map(|page| &page.marks) {
            let Mark::Qr {
                module_mm, rows, ..
            } = mark
            else {
                continue;
            };
            let (left, top, right, bottom) = extent(mark);
            assert!(right - left >= 19.999, "{name}: {}", right - left);
            let border = 4.0 * module_mm - 0.01;
            let cell = cells
                .iter()
                .find(|cell| {
                    left >= cell.x + border
                        && top >= cell.y + border
                        && right <= cell.x + cell.width
                        && bottom + border <= cell.y + cell.height
                })
                .unwrap_or_else(|| panic!("{name}: a code without its border"));
            // Nothing is printed into the border.
            let words = pages[0]
                .marks
                .iter()
                .filter(|one| !matches!(one, Mark::Qr { .. }));
            for (l, t, r, b) in words.map(extent) {
                let is_here = l >= cell.x && r <= cell.x + cell.width;
                let apart = r <= left - border + 0.02
                    || l >= right + border - 0.02
                    || b <= top - border + 0.02
                    || t >= bottom + border - 0.02;
                assert!(apart || !is_here, "{name}");
            }
            assert_eq!(rows.len(), rows[0].len());
            codes += 1;
        }
        assert_eq!(codes, cells.len(), "{name}");
    }
}

#[test]
fn the_line_to_be_measured_is_fifty_millimetres_long() {
    let long = |page: &Page| -> Vec<(f32, f32)> {
        page.marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Path { points, .. } if points.len() == 2 => {
                    let (left, top, right, bottom) = extent(mark);
                    Some((right - left, bottom - top)).filter(|(x, y)| x.max(*y) > 10.0)
                }
                _ => None,
            })
            .collect()
    };
    for ready in READY {
        let run = run_of(ready.grid());
        let sheet = label_sheet::lay_out(&labels(3), &run, mark().as_ref()).unwrap();
        let lines = long(&sheet[0]);
        assert_eq!(lines.len(), 1, "{}", ready.word);
        assert!((lines[0].0 - 50.0).abs() < 1e-3 && lines[0].1 == 0.0);
        let lines = long(&label_sheet::test_page(&run, &samples::record()).unwrap());
        assert_eq!(lines.len(), 3, "{}", ready.word);
        assert!(lines.iter().all(|(x, y)| (x.max(*y) - 50.0).abs() < 1e-3));
    }
    // What the file says is what the marks say: 50 mm are 141.732 points of 1/72 inch.
    let page = label_sheet::test_page(&run_of(READY[0].grid()), &samples::record()).unwrap();
    let file = saved("label-test", &[page]);
    let plain = file.with_extension("plain.pdf");
    run(
        "qpdf",
        &["--qdf", "--object-streams=disable", file.to_str().unwrap()],
        &plain,
    );
    let source = String::from_utf8_lossy(&std::fs::read(&plain).unwrap()).into_owned();
    let numbers = |line: &str| -> Vec<f64> {
        line.split(' ')
            .filter_map(|word| word.parse().ok())
            .collect()
    };
    let moves: Vec<Vec<f64>> = source
        .lines()
        .filter(|line| line.ends_with(" m") || line.ends_with(" l"))
        .map(numbers)
        .collect();
    let is_fifty = |pair: &[Vec<f64>]| (pair[1][0] - pair[0][0] - 141.732).abs() < 0.01;
    assert!(moves.windows(2).any(is_fifty), "{moves:?}");
}

#[test]
fn a_telephone_reads_every_code_of_a_sheet_of_labels() {
    for (name, grid) in grids() {
        let labels = labels(usize::try_from(grid.count()).unwrap());
        let pages = label_sheet::lay_out(&labels, &run_of(grid), mark().as_ref()).unwrap();
        let file = saved(&format!("labels-{name}"), &pages);
        let image = file.with_extension("");
        let source = file.to_str().unwrap();
        run(
            "pdftoppm",
            &["-r", "150", "-png", "-singlefile", source],
            &image,
        );
        let read = run("zbarimg", &["-q", "--raw"], &image.with_extension("png"));
        let mut read: Vec<&str> = read.lines().collect();
        read.sort_unstable();
        let mut wanted: Vec<&str> = labels.iter().map(|label| label.address.as_str()).collect();
        wanted.sort_unstable();
        assert_eq!(read, wanted, "{name}");
        let text = text_of(&file).concat();
        for label in &labels {
            assert!(
                text.contains(&label.code),
                "{name}: {} is missing",
                label.code
            );
        }
        for words in ["Set A", "2026-03-02", "C12-345-67X"] {
            assert!(
                text.contains(words),
                "{name}: {words} is missing in\n{text}"
            );
        }
    }
}

#[test]
fn a_half_used_sheet_goes_on_where_it_was_left() {
    let grid = READY[0].grid();
    let run = Run {
        start: 20,
        ..run_of(grid)
    };
    let pages = label_sheet::lay_out(&labels(4), &run, None).unwrap();
    let codes = |page: &Page| -> Vec<(f32, f32)> {
        let codes = page
            .marks
            .iter()
            .filter(|mark| matches!(mark, Mark::Qr { .. }));
        codes.map(|mark| (extent(mark).0, extent(mark).1)).collect()
    };
    let cells = grid.cells((0, 0)).unwrap();
    assert_eq!((pages.len(), codes(&pages[0]).len()), (2, 2));
    let first = codes(&pages[0])[0];
    assert!(first.0 > cells[19].x && first.1 > cells[19].y && first.0 < cells[20].x);
    assert!(codes(&pages[1])[0].1 < cells[0].y + cells[0].height);
    for start in [0, 22, -1] {
        let run = Run {
            start,
            ..run_of(grid)
        };
        let error = label_sheet::lay_out(&labels(1), &run, mark().as_ref()).unwrap_err();
        assert_eq!(error.to_string(), "The sheet has labels 1 to 21.");
    }
}

#[test]
fn a_label_too_small_for_code_and_words_is_refused_in_words() {
    for (width, height) in [(2400, 2400), (2600, 2600), (3000, 2600)] {
        let run = run_of(Grid::single(width, height));
        let error = label_sheet::lay_out(&labels(1), &run, mark().as_ref()).unwrap_err();
        assert!(error.to_string().contains("is too small"), "{error}");
    }
    let mut far = labels(1);
    far[0].address = format!("HTTPS://VESTIBULE.EXAMPLE/{}", "LONG".repeat(300));
    let error = label_sheet::lay_out(&far, &run_of(READY[0].grid()), None).unwrap_err();
    assert!(
        error.to_string().contains("too long for a QR code"),
        "{error}"
    );
}
