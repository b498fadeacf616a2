//! The items' lines with their numbers and signs.

use super::heights::{Heights, RibbonWord};
use crate::app::case_work::CaseWork;
use crate::app::custody_words::{end_of_line, title_of};
use crate::domain::custody::ribbon::{
    HOP, NUMBER, Quality, Ribbon, RibbonLine, Sign, SignShape, Stay,
};
use askama::Template;

/// A sign on a line: its place, its letter, what it says.
#[derive(Template)]
#[template(path = "partials/ribbon_sign.html")]
pub struct SignView {
    pub x: u32,
    pub y: u32,
    pub letter: char,
    pub words: &'static str,
    /// The outline, around the middle.
    pub outline: &'static str,
    pub is_filled: bool,
}

/// One stretch of a line, and how it came over from another lane; empty where it did not.
pub struct LinePiece {
    pub hop: String,
    pub path: String,
    pub is_held: bool,
    pub is_missing: bool,
}

/// An item's line through the lanes; the whole of it leads to the item's page.
pub struct RibbonLineView {
    pub path: String,
    /// For whoever cannot see the line.
    pub label: String,
    pub title: String,
    pub pieces: Vec<LinePiece>,
    pub numbers: Vec<RibbonWord>,
    pub signs: Vec<SignView>,
    pub late: Vec<(u32, u32)>,
}

/// A number and what it stands for.
pub struct KeyView {
    pub number: usize,
    pub tag: String,
    pub path: String,
    pub title: String,
    pub holder: String,
}

/// A line’s number with its item, for the key below the ribbon.
pub(super) fn key_of(work: &CaseWork, line: &RibbonLine) -> KeyView {
    KeyView {
        number: line.number,
        tag: line.tag.to_string(),
        path: format!("/items/{}", line.tag.as_str()),
        title: title_of(work, &line.tag),
        holder: end_of_line(work, line),
    }
}

/// The line of every item.
pub(super) fn lines_of(work: &CaseWork, ribbon: &Ribbon, heights: &Heights) -> Vec<RibbonLineView> {
    let view = |(place, line): (usize, &RibbonLine)| {
        let key = key_of(work, line);
        let words = format!("{} {} {}, {}", key.number, key.title, key.tag, key.holder);
        RibbonLineView {
            path: key.path,
            label: words.clone(),
            title: words,
            pieces: pieces(place, line, heights),
            numbers: numbers(place, line, heights),
            signs: line
                .marks
                .iter()
                .map(|mark| sign_view(mark.sign, mark.x, heights.y(mark.lane, place)))
                .collect(),
            late: line
                .late
                .iter()
                .map(|(lane, x)| (x + 5, heights.y(*lane, place).saturating_sub(4)))
                .collect(),
        }
    };
    ribbon.lines.iter().enumerate().map(view).collect()
}

fn pieces(place: usize, line: &RibbonLine, heights: &Heights) -> Vec<LinePiece> {
    let mut before: Option<&Stay> = None;
    let mut pieces = Vec::new();
    for stay in &line.stays {
        let y = heights.y(stay.lane, place);
        let (hop, begin) = match before {
            // The number stands before the line, not on its beginning.
            None => (String::new(), stay.from_x + NUMBER),
            Some(other) if stay.comes_over => {
                let from_y = heights.y(other.lane, place);
                let x = stay.from_x + HOP;
                (format!("M{} {from_y}L{x} {y}", stay.from_x), x)
            }
            Some(_) => (String::new(), stay.from_x),
        };
        pieces.push(LinePiece {
            hop,
            path: format!("M{begin} {y}H{}", stay.to_x.max(begin)),
            is_held: stay.quality == Quality::Held,
            is_missing: stay.quality == Quality::Missing,
        });
        before = Some(stay);
    }
    pieces
}

/// The item's number wherever its line begins or comes into another lane.
fn numbers(place: usize, line: &RibbonLine, heights: &Heights) -> Vec<RibbonWord> {
    let first = line.stays.first().into_iter().map(|stay| (stay, 0));
    let others = line.stays.iter().skip(1).filter(|stay| stay.comes_over);
    first
        .chain(others.map(|stay| (stay, HOP)))
        .map(|(stay, lead)| RibbonWord {
            x: stay.from_x + lead + NUMBER / 2,
            y: heights.y(stay.lane, place) + 5,
            words: line.number.to_string(),
        })
        .collect()
}

fn sign_view(sign: Sign, x: u32, y: u32) -> SignView {
    SignView {
        x,
        y,
        letter: sign.letter(),
        words: sign.shown(),
        outline: match sign.shape() {
            SignShape::Circle | SignShape::Disc => "M-7 0A7 7 0 1 1 7 0A7 7 0 1 1 -7 0Z",
            SignShape::Diamond => "M0 -8.5L8.5 0L0 8.5L-8.5 0Z",
            SignShape::Square => "M-6.5 -6.5H6.5V6.5H-6.5Z",
            SignShape::Triangle => "M0 -9L8.5 7H-8.5Z",
        },
        is_filled: sign.shape() == SignShape::Disc,
    }
}

/// The signs that occur, for the list of what they say.
pub(super) fn signs_in_use(ribbon: &Ribbon) -> Vec<SignView> {
    let is_used = |sign: &Sign| {
        let mut marks = ribbon.lines.iter().flat_map(|line| &line.marks);
        marks.any(|mark| mark.sign == *sign)
    };
    let used = Sign::ALL.iter().copied().filter(is_used);
    used.map(|sign| sign_view(sign, 11, 11)).collect()
}
