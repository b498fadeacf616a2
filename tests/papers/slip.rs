//! The slip: what a reader finds on it, and where.

use crate::{assert_inside_margins, letter_counts, meta, printed, run, saved, text_of, words_of};
use std::time::Instant;
use vestibule::domain::people::party::Paper;
use vestibule::domain::values::moment::Moment;
use vestibule::papers::content::{Block, Line, Section, SlipContent, Table};
use vestibule::papers::{Mark, Meta, lay_out, samples, write};

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
