//! The sheet as a file: its language, its codes, its words.

use crate::poor_copy::Copy;
use crate::{codes_of, meta, run, saved, text_of};
use vestibule::domain::custody::{Halt, OutOfForce};
use vestibule::domain::people::party::Paper;
use vestibule::domain::prescription::revision::{Document, PassedCaution};
use vestibule::domain::review::sample;
use vestibule::domain::values::moment::Moment;
use vestibule::papers::page::Face;
use vestibule::papers::samples::full;
use vestibule::papers::sheet_samples::{document, draft, signed};
use vestibule::papers::svg::write_svg;
use vestibule::papers::typeface::width_mm;
use vestibule::papers::{Page, lay_out, lay_out_sheet, marked, write};

pub fn whole() -> Document {
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
        text.contains("/Lang(en-US)") || text.contains("/Lang (en-US)"),
        "no language"
    );
    assert!(
        text.contains("/DisplayDocTitle true"),
        "no title in the window"
    );
}

#[test]
fn the_days_are_drawn_alike_in_both_kinds_of_file() {
    for paper in Paper::ALL {
        let pages = pages(*paper);
        let file = saved(&format!("sheet-days-{}", paper.word()), &pages);
        let front = &text_of(&file)[0];
        let svg = write_svg(&pages[0], "front");
        for words in [
            "dates as signed",
            "signed Mon 2 Mar",
            "insertion Wed 18 Mar",
            "check Thu 19 Mar",
            "Current dates: see the case page.",
        ] {
            assert!(front.contains(words), "{words} in {front}");
            assert!(svg.contains(words), "{words}");
        }
        // As words alone they stand there no more.
        assert!(!front.contains("18 Mar, check"), "{front}");
    }
}

/// Addresses as short and as long as an installation has them.
const ADDRESSES: [&str; 2] = [
    "https://lab.example",
    "https://prosthodontics.quayside.dental.example:8443/vestibule",
];

#[test]
fn l5_both_codes_are_read_from_ten_poor_copies_of_ten_on_both_papers_with_any_address() {
    for (paper, address) in Paper::ALL
        .iter()
        .flat_map(|one| ADDRESSES.map(|two| (one, two)))
    {
        let text = Document {
            address: address.to_owned(),
            ..whole()
        };
        let words = signed(&text, None, *paper);
        let name = format!("sheet-poor-{}-{}", paper.word(), address.len());
        let file = saved(&name, &lay_out_sheet(&words));
        let mark = vestibule::papers::samples::record().code();
        let parts = [
            (1, (0.0, 0.0), (0.5, 0.25), words.address.clone()),
            (2, (0.45, 0.78), (0.55, 0.22), mark),
        ];
        for (page, from, share, wanted) in parts {
            let copy = Copy::of(&file, page).part(from, share);
            for number in 0..10 {
                let degrees = if number % 2 == 0 { 3.0 } else { -3.0 };
                let poor = copy.turned(degrees, f64::from(number) / 10.0).blurred(1.0);
                let codes = poor.codes(&format!("{name}-{page}-{number}"));
                assert_eq!(
                    codes,
                    [wanted.as_str()],
                    "{name}, page {page}, copy {number}"
                );
            }
        }
    }
}

/// A word where a page has it: its left and right edge and its line, in millimetres.
#[derive(Debug, Clone, PartialEq)]
struct Place {
    word: String,
    left: f32,
    right: f32,
    baseline: f32,
}

/// What stands between `name="` and the next quotation mark.
fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let start = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    tag.get(start..)?.split('"').next()
}

fn plain(text: &str) -> String {
    let text = text.replace("&lt;", "<").replace("&gt;", ">");
    let text = text.replace("&quot;", "\"").replace("&amp;", "&");
    text.replace('\u{a0}', " ")
}

/// The words of a picture, each placed by the width that the picture gives the whole run.
fn words_of_svg(svg: &str) -> Vec<Place> {
    let mut words = Vec::new();
    for run in svg.split("<text").skip(1) {
        let (tag, rest) = run.split_once('>').unwrap();
        let text = plain(rest.split_once("</text>").unwrap().0);
        let value = |name: &str| attribute(tag, name).map(|one| one.parse::<f32>().unwrap());
        let face = match tag.contains("font-weight=\"700\"") {
            true => Face::Bold,
            false => Face::Regular,
        };
        let wide = |text: &str| width_mm(text, face, 10.0);
        // Only runs of one or two letters do without their length: it is that of their own letters.
        let own = value("font-size").filter(|_| text.chars().count() <= 2);
        let own = own.map(|size| wide(&text) * size / (10.0 * 25.4 / 72.0));
        let whole = value("textLength").or(own);
        let (Some(x), Some(baseline), Some(whole)) = (value("x"), value("y"), whole) else {
            continue;
        };
        let scale = whole / wide(&text);
        let mut at = 0;
        for word in text.split_whitespace() {
            at += text[at..].find(word).unwrap();
            let left = x + wide(&text[..at]) * scale;
            at += word.len();
            let right = x + wide(&text[..at]) * scale;
            words.push(Place {
                word: word.to_owned(),
                left,
                right,
                baseline,
            });
        }
    }
    words
}

/// The words of a file as another program finds them, page by page.
fn words_of_pdf(file: &std::path::Path) -> Vec<Vec<Place>> {
    const MM: f32 = 25.4 / 72.0;
    let html = crate::pdf_text::text_of(&std::fs::read(file).unwrap(), &["-bbox"]);
    let of_page = |page: &str| {
        let words = page.split("<word").skip(1).map(|one| {
            let (tag, rest) = one.split_once('>').unwrap();
            let value = |name: &str| {
                let value = attribute(tag, name).unwrap().parse::<f32>();
                value.unwrap() * MM
            };
            Place {
                word: plain(rest.split_once("</word>").unwrap().0),
                left: value("xMin"),
                right: value("xMax"),
                baseline: value("yMax"),
            }
        });
        words.collect::<Vec<_>>()
    };
    html.split("<page ").skip(1).map(of_page).collect()
}

#[test]
fn l8_the_picture_and_the_file_say_the_same_words_in_the_same_places() {
    let second = Document {
        revision: 2,
        ..changed()
    };
    for paper in Paper::ALL {
        let pages = lay_out_sheet(&signed(&second, Some(&whole()), *paper));
        let file = saved(&format!("sheet-twice-{}", paper.word()), &pages);
        let printed = words_of_pdf(&file);
        assert_eq!(printed.len(), pages.len());
        let mut compared = 0;
        for (page, of_file) in pages.iter().zip(printed) {
            let mut drawn = words_of_svg(&write_svg(page, ""));
            // Neighbouring runs without a space between them are one word to a reader of the file.
            for found in &of_file {
                let is_here = |one: &Place| {
                    // The box of a word ends below its line by what letters hang down.
                    (-0.2..2.6).contains(&(found.baseline - one.baseline))
                        && one.left > found.left - 0.6
                        && one.right < found.right + 0.6
                };
                let parts: String = drawn
                    .iter()
                    .filter(|one| is_here(one))
                    .map(|one| one.word.as_str())
                    .collect();
                assert_eq!(parts, found.word, "{}: {found:?}", paper.word());
                drawn.retain(|one| !is_here(one));
                compared += 1;
            }
            assert_eq!(drawn, [], "on the screen alone, {}", paper.word());
        }
        assert!(compared > 400, "{compared} words");
    }
}

#[test]
fn c5_a_marked_copy_is_a_sound_file_with_its_band_and_its_codes() {
    let at = Moment::new(1_796_893_200_000, 60);
    let superseded = OutOfForce {
        newer: Some((3, at)),
        halt: None,
        over: None,
        card: None,
    };
    let cancelled = OutOfForce {
        newer: Some((3, at)),
        halt: Some((Halt::Cancelled, at)),
        over: None,
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
            let count = text_of(&file).len();
            assert_eq!(count, 2, "{name} on {word}");
        }
    }
}

fn drawn() -> Document {
    document(vestibule::papers::samples::drawn()).unwrap()
}

/// The whole sample with another shade, other days, three cautions let stand and a substance to be avoided.
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
    let passed = |sentence: &str, reason: &str| PassedCaution {
        id: "wax-record-old".to_owned(),
        sentence: sentence.to_owned(),
        reason: reason.to_owned(),
    };
    document.passed = vec![
        passed(
            "The bite record is of wax and was taken five days before it is sent: wax creeps.",
            "kept at 18 °C in its box and checked on the casts today; a new one is taken at the try-in in any case",
        ),
        passed(
            "The shade was taken in lamp light.",
            "looked at again by the window, the same tab; the patient and a companion agree, and want it no lighter",
        ),
        passed(
            "The posterior point of the facebow is not said.",
            "the lab has the same instrument and knows its ear pieces",
        ),
    ];
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
