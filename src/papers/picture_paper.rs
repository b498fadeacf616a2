//! The pictures of a case that print with its prescription: two on a page at most, each with what it shows below it.

use super::case_paper::notes;
use super::layout::flow::Flow;
use super::layout::frame::PageFrame;
use super::layout::record::{WITH_ENTRIES, end_with_record, least_record_mm};
use super::layout::row::{Cell, RowStyle, height_mm, place};
use super::layout::style::{SMALL, STRONG, TITLE, VALUE};
use super::page::{Mark, Page, Photo, Point};
use super::record_mark::RecordMark;
use crate::domain::people::party::Paper;
use std::sync::Arc;

/// Everything that the paper says.
#[derive(Debug, Clone, PartialEq)]
pub struct PicturePaper {
    pub paper: Paper,
    pub case_number: String,
    /// Below the title, a line each.
    pub about: Vec<String>,
    pub pictures: Vec<PrintedPicture>,
    /// At the end: what is to be known of all of them.
    pub notes: Vec<String>,
    /// "As recorded up to …"
    pub as_of: String,
    /// The record up to the newest entry of the case; none behind a text that ends with its own.
    pub record: Option<RecordMark>,
}

/// A picture, or a line in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintedPicture {
    /// What it shows.
    pub words: String,
    pub caption: String,
    /// Who added it, and when.
    pub by: String,
    /// Its bytes, or why there are none.
    pub photo: Result<Arc<Photo>, String>,
}

const TITLE_WORDS: &str = "Pictures for the laboratory";
/// The most height of a picture: two with their words fit on a page of Letter below the title.
const HEIGHT_MM: f32 = 78.0;
/// Pictures on one page.
const ON_A_PAGE: usize = 2;

/// The paper's pages.
pub fn lay_out(paper: &PicturePaper) -> Vec<Page> {
    let mut flow = Flow::new(paper.paper);
    let mut head = Cell::new(flow.left(), flow.measure()).add(TITLE_WORDS, TITLE);
    head = head.add(&format!("Case {}", paper.case_number), STRONG);
    for line in &paper.about {
        head = head.add(line, VALUE);
    }
    place(&mut flow, vec![head], RowStyle::default(), &|_| {});
    let (mut page, mut count) = (flow.pages(), 0);
    for one in &paper.pictures {
        let is_photo = one.photo.is_ok();
        if is_photo && flow.pages() == page && count == ON_A_PAGE {
            flow.new_page();
        }
        picture(&mut flow, one);
        if flow.pages() != page {
            (page, count) = (flow.pages(), 0);
        }
        count += usize::from(is_photo);
    }
    flow.gap(3.0);
    let record = paper.record.as_ref();
    let record_mm = record.map_or(0.0, |record| least_record_mm(&flow, record, WITH_ENTRIES));
    notes(&mut flow, &paper.notes, record_mm);
    if let Some(record) = record {
        end_with_record(&mut flow, record, WITH_ENTRIES);
    }
    let frame = PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: TITLE_WORDS.to_owned(),
        head_right: format!("Case {}", paper.case_number),
        foot_left: paper.as_of.clone(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

/// One picture with its words, which stay on the same page.
fn picture(flow: &mut Flow, one: &PrintedPicture) {
    let mut words = Cell::new(flow.left(), flow.measure())
        .add(&one.words, STRONG)
        .add_some(&one.caption, VALUE);
    if let Err(why) = &one.photo {
        words = words.add(why, VALUE);
    }
    words = words.add(&one.by, SMALL);
    let size = one
        .photo
        .as_ref()
        .map_or((0.0, 0.0), |photo| size(flow, photo));
    flow.gap(4.0);
    let words_mm = height_mm(std::slice::from_ref(&words), RowStyle::default());
    flow.reserve(size.1 + 1.5 + words_mm);
    if let Ok(photo) = &one.photo {
        flow.push(Mark::Photo {
            corner: Point {
                x: flow.left(),
                y: flow.y,
            },
            size,
            photo: photo.clone(),
        });
        flow.y += size.1 + 1.5;
    }
    place(flow, vec![words], RowStyle::default(), &|_| {});
}

/// As large as it goes, its sides in proportion.
fn size(flow: &Flow, photo: &Photo) -> (f32, f32) {
    let (width, height) = (photo.width.max(1) as f32, photo.height.max(1) as f32);
    let scale = (flow.measure() / width).min(HEIGHT_MM / height);
    (width * scale, height * scale)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::hash::Hash;
    use crate::record::key::Signer;

    fn printed(number: u32, (width, height): (u32, u32)) -> PrintedPicture {
        let photo = Photo {
            jpeg: vec![u8::try_from(number).unwrap()],
            width,
            height,
        };
        PrintedPicture {
            words: format!("Bite record {number}"),
            caption: "seen from the left".to_owned(),
            by: "tom on 2026-03-02 09:00".to_owned(),
            photo: Ok(Arc::new(photo)),
        }
    }

    fn paper(paper: Paper, pictures: Vec<PrintedPicture>) -> PicturePaper {
        let signer = Signer::log("vestibule.test/record", &[7; 32]).unwrap();
        PicturePaper {
            paper,
            case_number: "C33-333-33F".to_owned(),
            about: vec!["Kiln Laboratory, for Northgate Dental".to_owned()],
            pictures,
            notes: vec!["Do not match shades from a picture.".to_owned()],
            as_of: "As recorded up to 2026-03-02 09:00".to_owned(),
            record: Some(RecordMark::new(1, Hash::new([1; 32]), signer.verifier())),
        }
    }

    fn photos(page: &Page) -> Vec<(Point, (f32, f32))> {
        let found = page.marks.iter().filter_map(|mark| match mark {
            Mark::Photo { corner, size, .. } => Some((*corner, *size)),
            _ => None,
        });
        found.collect()
    }

    #[test]
    fn two_pictures_are_on_a_page_and_none_leaves_it_or_is_out_of_shape() {
        for size in [Paper::A4, Paper::Letter] {
            for shape in [(2_000, 1_500), (1_500, 2_000), (2_000, 100), (1, 2_000)] {
                let all = (0..6).map(|number| printed(number, shape)).collect();
                let pages = lay_out(&paper(size, all));
                let counts: Vec<usize> = pages.iter().map(|page| photos(page).len()).collect();
                assert_eq!(counts.iter().sum::<usize>(), 6);
                assert_eq!(counts[..3], [2, 2, 2], "{size:?} {shape:?}: {counts:?}");
                assert!(counts.len() <= 4, "the record may take a page of its own");
                for (corner, (width, height)) in pages.iter().flat_map(photos) {
                    assert!(corner.x >= 10.0 && corner.x + width <= pages[0].width_mm - 10.0);
                    assert!(corner.y >= 10.0 && corner.y + height <= pages[0].height_mm - 10.0);
                    let wanted = shape.0 as f32 / shape.1 as f32;
                    assert!((width / height / wanted - 1.0).abs() < 0.001);
                }
            }
        }
    }

    #[test]
    fn an_erased_picture_leaves_a_line() {
        let gone = PrintedPicture {
            photo: Err("Erased by mara".to_owned()),
            ..printed(1, (4, 3))
        };
        let pages = lay_out(&paper(Paper::A4, vec![gone, printed(2, (4, 3))]));
        assert_eq!(pages.len(), 1);
        assert_eq!(photos(&pages[0]).len(), 1);
        let says =
            |mark: &Mark| matches!(mark, Mark::Text { text, .. } if text == "Erased by mara");
        assert!(pages[0].marks.iter().any(says));
    }
}
