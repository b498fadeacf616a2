//! The sheet as a file: its language, its codes, its words.

use crate::poor_copy::Copy;
use crate::{codes_of, meta, run, saved, text_of};
use vestibule::domain::custody::{Halt, OutOfForce};
use vestibule::domain::people::party::Paper;
use vestibule::domain::prescription::revision::Document;
use vestibule::domain::review::sample;
use vestibule::domain::values::moment::Moment;
use vestibule::papers::samples::full;
use vestibule::papers::sheet_samples::{document, draft, signed};
use vestibule::papers::{Page, lay_out, lay_out_sheet, marked, write};

fn whole() -> Document {
    document(sample::document()).unwrap()
}

fn pages(paper: Paper) -> Vec<Page> {
    lay_out_sheet(&signed(&whole(), None, paper))
}

#[test]
fn the_same_sheet_gives_the_same_bytes_and_a_sound_file() {
    for paper in Paper::ALL {
        let name = format!("sheet-{}", paper.word());
        let file = saved(&name, &pages(*paper));
        let again = write(&pages(*paper), &meta()).unwrap();
        assert!(std::fs::read(&file).unwrap() == again);
        let said = run("qpdf", &["--check"], &file);
        assert!(
            said.contains("No syntax or stream encoding errors found"),
            "{said}"
        );
    }
}

#[test]
fn l6_the_file_says_its_language_and_shows_its_title() {
    let file = saved("sheet-language", &pages(Paper::A4));
    let bytes = std::fs::read(&file).unwrap();
    let text = String::from_utf8_lossy(&bytes).into_owned();
    assert!(
        text.contains("/Lang") && text.contains("en-US"),
        "no language"
    );
    assert!(
        text.contains("/DisplayDocTitle true"),
        "no title in the window"
    );
}

#[test]
fn l5_both_codes_are_read_from_ten_poor_copies_of_ten() {
    let words = signed(&whole(), None, Paper::A4);
    let file = saved("sheet-poor", &lay_out_sheet(&words));
    let mark = vestibule::papers::samples::record().code();
    let parts = [
        (1, (0.0, 0.0), (0.5, 0.25), words.address.clone()),
        (2, (0.45, 0.78), (0.55, 0.2), mark),
    ];
    for (page, from, share, wanted) in parts {
        let copy = Copy::of(&file, page).part(from, share);
        for number in 0..10 {
            let degrees = if number % 2 == 0 { 3.0 } else { -3.0 };
            let poor = copy.turned(degrees, f64::from(number) / 10.0).blurred(1.0);
            let codes = poor.codes(&format!("poor-{page}-{number}"));
            assert_eq!(codes, [wanted.as_str()], "page {page}, copy {number}");
        }
    }
}

#[test]
fn c5_a_marked_copy_is_a_sound_file_with_its_band_and_its_codes() {
    let at = Moment::new(1_796_893_200_000, 60);
    let superseded = OutOfForce {
        newer: Some((3, at)),
        halt: None,
        card: None,
    };
    let cancelled = OutOfForce {
        newer: Some((3, at)),
        halt: Some((Halt::Cancelled, at)),
        card: None,
    };
    let mut papers: Vec<(String, Vec<Page>)> = Vec::new();
    for paper in Paper::ALL {
        let sheet = lay_out_sheet(&signed(&whole(), None, *paper));
        papers.push((format!("sheet-copy-{}", paper.word()), sheet));
    }
    papers.push(("slip-copy".to_owned(), lay_out(&full())));
    for (name, pages) in papers {
        let codes = codes_of(&saved(&name, &pages));
        assert!(!codes.is_empty());
        for out in [&superseded, &cancelled] {
            let file = saved(
                &format!("{name}-{}", out.word()),
                &marked(pages.clone(), out),
            );
            let said = run("qpdf", &["--check"], &file);
            assert!(said.contains("No syntax or stream encoding errors found"));
            let text = text_of(&file);
            assert_eq!(text.len(), pages.len());
            let words: String = out.words().split_whitespace().collect();
            let squeezed = |page: &String| page.split_whitespace().collect::<String>();
            assert!(
                text.iter()
                    .all(|page| squeezed(page).matches(&words).count() == 2)
            );
            assert_eq!(codes_of(&file), codes, "{name}");
        }
    }
}

#[test]
fn a_reader_finds_every_word_and_a_draft_says_so_on_each_page() {
    let words = signed(&whole(), None, Paper::Letter);
    let text = text_of(&saved("sheet-words", &lay_out_sheet(&words))).concat();
    for word in words
        .words()
        .join(" ")
        .replace('\u{A0}', " ")
        .split_whitespace()
    {
        assert!(text.contains(word), "{word} is missing in\n{text}");
    }
    let pages = text_of(&saved(
        "sheet-draft",
        &lay_out_sheet(&draft(&whole(), Paper::A4)),
    ));
    assert_eq!(pages.len(), 2);
    assert!(pages.iter().all(|page| page.contains("DRAFT")));
    assert!(!pages.concat().contains("Signed electronically"));
}

#[test]
fn l1_all_that_is_ordinary_stands_on_two_pages_of_both_papers() {
    let second = Document {
        revision: 2,
        ..changed()
    };
    for paper in Paper::ALL {
        let word = paper.word();
        for (name, words) in [
            ("first", signed(&whole(), None, *paper)),
            ("second", signed(&second, Some(&whole()), *paper)),
            ("drawn", signed(&drawn(), None, *paper)),
        ] {
            let pages = lay_out_sheet(&words);
            let file = saved(&format!("sheet-{name}-{word}"), &pages);
            // A list of changes takes its room on the smaller paper.
            let most = if name == "second" && *paper == Paper::Letter {
                3
            } else {
                2
            };
            let count = text_of(&file).len();
            assert!((2..=most).contains(&count), "{name} on {word}: {count}");
        }
    }
}

fn drawn() -> Document {
    document(vestibule::papers::samples::drawn()).unwrap()
}

/// The whole sample with another shade, other days, and a substance to be avoided.
fn changed() -> Document {
    let mut raw = sample::raw();
    for (key, text) in [
        ("shade.tab", "birch 3"),
        ("dates.wanted", "2026-03-20"),
        ("dates.insertion", "2026-03-23"),
        ("dates.first_check", "2026-03-24"),
    ] {
        raw.insert(key.to_owned(), text.to_owned());
    }
    let read = vestibule::domain::prescription::read(
        &raw,
        vestibule::domain::values::tooth::Numbering::Iso3950,
    );
    let mut document = document(read.document).unwrap();
    document.patient.facts = vec![
        ("Age band".to_owned(), "60 to 69".to_owned()),
        (
            "Materials to be avoided".to_owned(),
            "asked: see below".to_owned(),
        ),
        ("No nickel".to_owned(), "yes".to_owned()),
    ];
    document
}
