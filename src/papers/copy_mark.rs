//! The mark of a copy that nobody works from: a band in the margins of every page, and large letters under its words.
//!
//! The page itself stays as it is, mark by mark: the large letters lie below everything, as those of a draft do, and
//! the bands stand where nothing else does. A band may be lost at the edge of a printer; the letters are not.

use super::layout::style::Style;
use super::page::{Face, Grey, Mark, Page, Point};
use super::typeface::{HALF_CAPITAL, MM_PER_PT, legible};
use crate::domain::custody::OutOfForce;

/// From the edge of the paper to the near and to the far side of a band: no paper of a case has anything there.
const BAND_MM: (f32, f32) = (3.2, 9.4);
/// From the left and right edges.
const SIDE_MM: f32 = 6.0;
/// Letters of the band; long words take smaller ones, down to the smallest of the sheet.
const LETTERS_PT: (f32, f32) = (11.5, 7.5);
/// How long the large word is, at most, and how large its letters.
const ACROSS_MM: f32 = 225.0;
const ACROSS_PT: f32 = 170.0;

/// The pages as a copy that says what stands against it.
pub fn marked(pages: Vec<Page>, out: &OutOfForce) -> Vec<Page> {
    // What is in force and only lacks a substance stays a paper to work from, once that is asked about.
    let large = (!out.is_by_the_card()).then(|| out.word());
    bearing(pages, large, (&out.words(), &out.words_in_short()))
}

/// The pages of a paper that goes with a parcel whose work is cancelled.
pub fn marked_in_vain(pages: Vec<Page>, out: &OutOfForce) -> Vec<Page> {
    let words = format!("{} Take this parcel back.", out.why());
    bearing(pages, Some(out.word()), (&words, &words))
}

/// The pages with a large word below theirs, and with bands of these words, the short ones where the others are too long.
fn bearing(pages: Vec<Page>, large: Option<&str>, words: (&str, &str)) -> Vec<Page> {
    let (words, short) = (legible(words.0), legible(words.1));
    let mark = |page: Page| {
        let large = large.map(|word| across(&page, word));
        let mut marks = Vec::from_iter(large);
        let words = match fits(page.width_mm, &words) {
            true => &words,
            false => &short,
        };
        let (near, far) = BAND_MM;
        let (top, bottom) = (near, page.height_mm - far);
        let bands = [top, bottom].map(|y| band(page.width_mm, y, words));
        marks.extend(page.marks);
        marks.extend(bands.into_iter().flatten());
        Page { marks, ..page }
    };
    pages.into_iter().map(mark).collect()
}

/// The large word from the lower left to the upper right.
fn across(page: &Page, word: &str) -> Mark {
    let text = word.to_uppercase();
    let large = style(ACROSS_PT, Grey::INK).width_mm(&text);
    Mark::Across {
        centre: Point {
            x: page.width_mm / 2.0,
            y: page.height_mm / 2.0,
        },
        size_pt: ACROSS_PT * (ACROSS_MM / large).min(1.0),
        angle_deg: 52.0,
        text,
    }
}

/// How wide the words of a band may be.
fn room(page_width: f32) -> f32 {
    page_width - 2.0 * SIDE_MM - 4.0
}

/// Whether the words fit into a band in letters that can be read.
fn fits(page_width: f32, words: &str) -> bool {
    style(LETTERS_PT.1, Grey::PAPER).width_mm(words) <= room(page_width)
}

/// White words in a black band.
fn band(page_width: f32, y: f32, words: &str) -> [Mark; 2] {
    let (near, far) = BAND_MM;
    let (width, height) = (page_width - 2.0 * SIDE_MM, far - near);
    let (most, least) = LETTERS_PT;
    let size = most * (room(page_width) / style(most, Grey::PAPER).width_mm(words)).min(1.0);
    let letters = style(size.max(least), Grey::PAPER);
    let text = Mark::Text {
        x: (page_width - letters.width_mm(words)) / 2.0,
        baseline: y + height / 2.0 + HALF_CAPITAL * letters.size_pt * MM_PER_PT,
        size_pt: letters.size_pt,
        face: letters.face,
        grey: letters.grey,
        text: words.to_owned(),
    };
    let ground = Mark::rect((SIDE_MM, y), (width, height), None, Some(Grey::INK));
    [ground, text]
}

fn style(size_pt: f32, grey: Grey) -> Style {
    Style {
        size_pt,
        face: Face::Bold,
        grey,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::{CardSince, Halt, PassEnd};
    use crate::domain::people::party::Paper;
    use crate::domain::review::sample;
    use crate::domain::values::moment::Moment;
    use crate::papers::samples::{foreign, full, minimal, overlong};
    use crate::papers::sheet_samples::{document, signed};
    use crate::papers::{lay_out, lay_out_sheet};

    /// The longest that a band can have to say.
    fn out() -> OutOfForce {
        let at = Moment::new(1_796_893_200_000, 60);
        OutOfForce {
            newer: Some((112, at)),
            halt: Some((Halt::Cancelled, at)),
            over: None,
            card: None,
        }
    }

    #[test]
    fn what_the_card_says_since_stands_in_both_bands_of_each_page_and_no_letters_lie_below() {
        let text = document(sample::document()).unwrap();
        let long = "lanolin, ".repeat(22);
        for (says, is_named) in [("nickel", true), (long.as_str(), false)] {
            let out = OutOfForce {
                newer: None,
                halt: None,
                over: None,
                card: Some(CardSince {
                    says: says.to_owned(),
                    signed: "asked: none known".to_owned(),
                    revision: 1,
                }),
            };
            for paper in Paper::ALL {
                let pages = lay_out_sheet(&signed(&text, None, *paper));
                let copies = marked(pages.clone(), &out);
                for (copy, page) in copies.iter().zip(&pages) {
                    let (own, bands) = copy.marks.split_at(page.marks.len());
                    assert_eq!(own, page.marks);
                    let said = bands.iter().filter_map(|mark| match mark {
                        Mark::Text { text, x, .. } => Some((text, x)),
                        _ => None,
                    });
                    let said: Vec<_> = said.collect();
                    assert_eq!(said.len(), 2);
                    for (text, x) in said {
                        assert_eq!(text.contains(says.trim()), is_named, "{text}");
                        assert!(*x >= SIDE_MM && text.contains("card since"), "{text}");
                    }
                }
            }
        }
    }

    /// Where ink of a mark stands, from the top.
    fn heights(mark: &Mark) -> Vec<f32> {
        match mark {
            Mark::Text {
                baseline, size_pt, ..
            } => vec![
                baseline - 0.75 * size_pt * MM_PER_PT,
                baseline + 0.25 * size_pt * MM_PER_PT,
            ],
            Mark::Path { points, .. } => points.iter().map(|point| point.y).collect(),
            Mark::Qr {
                y, module_mm, rows, ..
            } => vec![*y, y + module_mm * rows.len() as f32],
            Mark::Photo { corner, size, .. } => vec![corner.y, corner.y + size.1],
            Mark::Across { .. } => Vec::new(),
        }
    }

    #[test]
    fn c5_a_marked_copy_is_the_same_pages_with_a_band_that_covers_nothing() {
        let text = document(sample::document()).unwrap();
        let sheets = Paper::ALL.iter().map(|paper| {
            let pages = lay_out_sheet(&signed(&text, None, *paper));
            assert_eq!(pages.len(), 2);
            pages
        });
        // Papers of before there was the sheet, and full texts, are set by the other setter.
        let slips = [minimal(), full(), overlong(), foreign()].map(|slip| lay_out(&slip));
        let passed_on = OutOfForce {
            newer: None,
            halt: None,
            over: Some((Moment::new(1_796_893_200_000, 60), PassEnd::Ended)),
            card: None,
        };
        let standings = [(out(), "CANCELED"), (passed_on, "ENDED")];
        let papers = sheets.chain(slips);
        let cases = papers.flat_map(|pages| standings.clone().map(|one| (pages.clone(), one)));
        for (pages, (out, large)) in cases {
            let copies = marked(pages.clone(), &out);
            assert_eq!(copies.len(), pages.len());
            for (copy, page) in copies.iter().zip(&pages) {
                let count = page.marks.len();
                assert_eq!(copy.marks[1..=count], page.marks);
                assert!(matches!(&copy.marks[0], Mark::Across { text, .. } if text == large));
                let bands = &copy.marks[count + 1..];
                let said = bands.iter().filter(|mark| {
                    matches!(mark, Mark::Text { text, size_pt, .. } if *text == out.words() && *size_pt >= 7.45)
                });
                assert_eq!((bands.len(), said.count()), (4, 2));
                for y in page.marks.iter().flat_map(heights) {
                    let (_, far) = BAND_MM;
                    assert!(y >= far && y <= page.height_mm - far, "ink at {y}");
                }
                for mark in bands {
                    if let Mark::Text {
                        x,
                        size_pt,
                        face,
                        text,
                        ..
                    } = mark
                    {
                        let width = crate::papers::typeface::width_mm(text, *face, *size_pt);
                        assert!(*x >= SIDE_MM && x + width <= page.width_mm - SIDE_MM);
                    }
                }
            }
        }
    }
}
