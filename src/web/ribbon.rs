//! The ribbon on the case page: the geometry of `domain/custody/ribbon.rs` as a picture, and the same in a
//! table.
//!
//! One step of the geometry is one pixel. The names of the lanes are a picture of their own, so that they
//! stay in view while the ribbon is scrolled below them.

use crate::app::case_work::CaseWork;
use crate::domain::custody::Holder;
use crate::domain::custody::item::Item;
use crate::domain::custody::mouth::Wears;
use crate::domain::custody::ribbon::{
    Bar, Column, HOP, Lane, Line, Mark, NUMBER, Quality, Ribbon, Shape, Sign, Stay, ribbon, rows,
};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;
use askama::Template;

/// Height of the words of time, of an item's row, of the space around a lane's rows, of an arch's bar.
const HEAD: u32 = 62;
const ROW: u32 = 18;
const PAD: u32 = 6;
const BAR: u32 = 24;
/// Room for the word about the present below everything.
const FOOT: u32 = 22;
/// The ribbon is never narrower, so that the words about the present find room.
const LEAST_WIDTH: u32 = 200;
/// Width of the lanes' names.
const NAMES: u32 = 100;
/// The width of two letters and of a whole date, on the safe side.
const TWO_LETTERS: u32 = 12;
const DATE: u32 = 74;

/// A word at a place.
pub struct Word {
    pub x: u32,
    pub y: u32,
    pub words: String,
}

/// A lane or an arch: where it lies and how it is called.
pub struct Band {
    pub y: u32,
    pub middle: u32,
    pub name: String,
}

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
pub struct Piece {
    pub hop: String,
    pub path: String,
    pub is_held: bool,
    pub is_missing: bool,
}

pub struct LineView {
    pub path: String,
    /// For whoever cannot see the line.
    pub label: String,
    pub title: String,
    pub pieces: Vec<Piece>,
    pub numbers: Vec<Word>,
    pub signs: Vec<SignView>,
    pub late: Vec<(u32, u32)>,
}

pub struct BarView {
    pub x: u32,
    pub y: u32,
    pub width: u32,
    pub words: String,
    /// `worn`, `nothing` or `unknown`.
    pub kind: &'static str,
}

/// A number and what it stands for.
pub struct KeyView {
    pub number: usize,
    pub tag: String,
    pub path: String,
    pub title: String,
    pub holder: String,
}

/// One stretch in the table.
pub struct StayRow {
    pub number: usize,
    pub tag: String,
    pub path: String,
    pub title: String,
    pub from: String,
    pub to: String,
    pub holder: String,
    pub answers: String,
    pub signs: String,
}

/// One stretch of an arch in the table.
pub struct WornRow {
    pub arch: &'static str,
    pub from: String,
    pub to: String,
    pub worn: String,
}

#[derive(Template)]
#[template(path = "partials/ribbon.html")]
pub struct RibbonView {
    pub width: u32,
    pub height: u32,
    /// Below the words of time, and below the last bar.
    pub head: u32,
    pub floor: u32,
    pub names_width: u32,
    pub bands: Vec<Band>,
    pub bars: Vec<BarView>,
    pub columns: Vec<u32>,
    pub times: Vec<Word>,
    pub days: Vec<Word>,
    pub idles: Vec<Word>,
    pub notes: Vec<Word>,
    pub lines: Vec<LineView>,
    pub now_x: u32,
    pub now: Word,
    pub key: Vec<KeyView>,
    /// The signs that occur, for the list of what they say.
    pub signs: Vec<SignView>,
    pub has_held: bool,
    pub has_missing: bool,
    pub has_late: bool,
    pub stays: Vec<StayRow>,
    pub worn: Vec<WornRow>,
}

/// Where each lane's rows lie, from above.
struct Heights {
    lanes: Vec<(Lane, u32, Vec<usize>)>,
    /// The first bar's upper edge.
    mouth: u32,
}

impl Heights {
    fn of(ribbon: &Ribbon) -> Heights {
        let mut y = HEAD;
        let mut lanes = Vec::new();
        for (lane, places) in rows(&ribbon.lines) {
            let height = lane_height(&places);
            lanes.push((lane, y, places));
            y += height;
        }
        Heights {
            lanes,
            mouth: y + PAD,
        }
    }

    /// The middle of an item's row in a lane.
    fn y(&self, lane: Lane, line: usize) -> u32 {
        let found = self.lanes.iter().find(|(one, _, _)| *one == lane);
        found.map_or(HEAD, |(_, top, places)| {
            let row = (0..).zip(places).find(|(_, place)| **place == line);
            top + PAD + ROW / 2 + row.map_or(0, |(row, _): (u32, _)| row) * ROW
        })
    }
}

fn lane_height(places: &[usize]) -> u32 {
    let count = u32::try_from(places.len()).unwrap_or(u32::MAX).max(1);
    count.saturating_mul(ROW) + 2 * PAD
}

impl RibbonView {
    /// The ribbon of a case up to `now`; none before the first item is registered.
    pub fn of(work: &CaseWork, now: Moment) -> Option<RibbonView> {
        let ribbon = ribbon(&work.items, &work.events, work.case.arches.treated(), now);
        if ribbon.lines.is_empty() {
            return None;
        }
        let heights = Heights::of(&ribbon);
        let bars = u32::try_from(ribbon.mouth.len()).unwrap_or(0) * BAR;
        let floor = heights.mouth + bars;
        let has = |quality| has_quality(&ribbon, quality);
        Some(RibbonView {
            width: ribbon.width.max(LEAST_WIDTH),
            height: floor + FOOT,
            head: HEAD,
            floor,
            names_width: NAMES,
            bands: bands(&ribbon, &heights),
            bars: bars_of(work, &ribbon, &heights),
            columns: ribbon.columns.iter().map(|column| column.x).collect(),
            times: ribbon.columns.iter().map(time_word).collect(),
            days: days(&ribbon.columns),
            idles: idles(&ribbon),
            notes: notes(&ribbon.columns, floor),
            lines: lines_of(work, &ribbon, &heights),
            now_x: ribbon.now_x,
            now: Word {
                x: ribbon.now_x.max(LEAST_WIDTH - 30),
                y: floor + 15,
                words: format!("now, {} {}", ribbon.now.day(), ribbon.now.clock()),
            },
            key: ribbon.lines.iter().map(|line| key_of(work, line)).collect(),
            signs: signs_in_use(&ribbon),
            has_held: has(Quality::Held),
            has_missing: has(Quality::Missing),
            has_late: ribbon.lines.iter().any(|line| !line.late.is_empty()),
            stays: ribbon
                .lines
                .iter()
                .flat_map(|line| stay_rows(work, line))
                .collect(),
            worn: worn_rows(work, &ribbon),
        })
    }
}

fn has_quality(ribbon: &Ribbon, quality: Quality) -> bool {
    let mut stays = ribbon.lines.iter().flat_map(|line| &line.stays);
    stays.any(|stay| stay.quality == quality)
}

fn bands(ribbon: &Ribbon, heights: &Heights) -> Vec<Band> {
    let lanes = heights.lanes.iter().map(|(lane, y, places)| Band {
        y: *y,
        middle: y + lane_height(places) / 2 + 5,
        name: lane.shown().to_owned(),
    });
    let arches = (0..)
        .zip(&ribbon.mouth)
        .map(|(row, (arch, _)): (u32, _)| Band {
            y: heights.mouth + row * BAR,
            middle: heights.mouth + row * BAR + 16,
            name: format!("Worn, {}", arch.shown()),
        });
    lanes.chain(arches).collect()
}

fn time_word(column: &Column) -> Word {
    Word {
        x: column.x,
        y: HEAD - 8,
        words: column.at.clock(),
    }
}

/// The date above the first column of each day; on a second line where the one before it is too near.
fn days(columns: &[Column]) -> Vec<Word> {
    let mut days: Vec<Word> = Vec::new();
    let mut before = String::new();
    for column in columns {
        let day = column.at.day();
        if day == before {
            continue;
        }
        let y = match days.last() {
            Some(last) if column.x < last.x + DATE && last.y == 14 => 28,
            _ => 14,
        };
        days.push(Word {
            x: column.x,
            y,
            words: day.clone(),
        });
        before = day;
    }
    days
}

/// How long nothing happened, in the middle of the room left for it.
fn idles(ribbon: &Ribbon) -> Vec<Word> {
    let next = ribbon.columns.iter().skip(1).map(|column| column.x);
    let ends = next.chain([ribbon.now_x]);
    ribbon
        .columns
        .iter()
        .zip(ends)
        .filter(|(column, _)| !column.idle.is_empty())
        .map(|(column, end)| Word {
            x: (column.end_x + end) / 2,
            y: HEAD - 22,
            words: column.idle.clone(),
        })
        .collect()
}

fn notes(columns: &[Column], floor: u32) -> Vec<Word> {
    let noted = columns.iter().filter(|column| !column.note.is_empty());
    noted
        .map(|column| Word {
            x: column.x,
            y: floor + 15,
            words: column.note.to_owned(),
        })
        .collect()
}

fn item_of<'a>(work: &'a CaseWork, tag: &Tag) -> Option<&'a Item> {
    work.items.iter().find(|item| item.tag == *tag)
}

fn title_of(work: &CaseWork, tag: &Tag) -> String {
    item_of(work, tag).map(Item::title).unwrap_or_default()
}

fn holder_of(work: &CaseWork, holder: Holder) -> String {
    let (office, lab) = (&work.office.name, &work.lab.name);
    match holder {
        Holder::Office => office.clone(),
        Holder::Lab => lab.clone(),
        Holder::Carrier { to: Side::Office } => format!("on the way to {office}"),
        Holder::Carrier { to: Side::Lab } => format!("on the way to {lab}"),
        Holder::Patient => "the patient".to_owned(),
    }
}

/// Where a line ends: with its holder, or by being gone.
fn last_words(work: &CaseWork, line: &Line) -> String {
    match (line.gone, line.marks.last(), line.stays.last()) {
        (Some(_), Some(mark), _) => mark.sign.shown().to_owned(),
        (_, _, Some(stay)) => {
            let quality = match stay.quality {
                Quality::Plain => "",
                Quality::Held => ", on hold",
                Quality::Missing => ", missing from the box",
            };
            format!("{}{quality}", holder_of(work, stay.holder))
        }
        _ => String::new(),
    }
}

fn key_of(work: &CaseWork, line: &Line) -> KeyView {
    KeyView {
        number: line.number,
        tag: line.tag.to_string(),
        path: format!("/items/{}", line.tag.as_str()),
        title: title_of(work, &line.tag),
        holder: last_words(work, line),
    }
}

fn lines_of(work: &CaseWork, ribbon: &Ribbon, heights: &Heights) -> Vec<LineView> {
    let view = |(place, line): (usize, &Line)| {
        let key = key_of(work, line);
        let words = format!("{} {} {}, {}", key.number, key.title, key.tag, key.holder);
        LineView {
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

fn pieces(place: usize, line: &Line, heights: &Heights) -> Vec<Piece> {
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
        pieces.push(Piece {
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
fn numbers(place: usize, line: &Line, heights: &Heights) -> Vec<Word> {
    let first = line.stays.first().into_iter().map(|stay| (stay, 0));
    let others = line.stays.iter().skip(1).filter(|stay| stay.comes_over);
    first
        .chain(others.map(|stay| (stay, HOP)))
        .map(|(stay, lead)| Word {
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
            Shape::Circle | Shape::Disc => "M-7 0A7 7 0 1 1 7 0A7 7 0 1 1 -7 0Z",
            Shape::Diamond => "M0 -8.5L8.5 0L0 8.5L-8.5 0Z",
            Shape::Square => "M-6.5 -6.5H6.5V6.5H-6.5Z",
            Shape::Triangle => "M0 -9L8.5 7H-8.5Z",
        },
        is_filled: sign.shape() == Shape::Disc,
    }
}

fn signs_in_use(ribbon: &Ribbon) -> Vec<SignView> {
    let is_used = |sign: &Sign| {
        let mut marks = ribbon.lines.iter().flat_map(|line| &line.marks);
        marks.any(|mark| mark.sign == *sign)
    };
    let used = Sign::ALL.iter().copied().filter(is_used);
    used.map(|sign| sign_view(sign, 11, 11)).collect()
}

fn bars_of(work: &CaseWork, ribbon: &Ribbon, heights: &Heights) -> Vec<BarView> {
    let arches = (0..).zip(&ribbon.mouth);
    arches
        .flat_map(|(row, (_, bars)): (u32, _)| {
            let y = heights.mouth + row * BAR + 3;
            bars.iter()
                .filter(|bar| bar.to_x > bar.from_x)
                .map(move |bar| bar_view(work, ribbon, bar, y))
        })
        .collect()
}

fn bar_view(work: &CaseWork, ribbon: &Ribbon, bar: &Bar, y: u32) -> BarView {
    let (kind, wordings) = match &bar.wears {
        Wears::Unknown => ("unknown", ["not known".to_owned(), "?".to_owned()]),
        Wears::Nothing => ("nothing", ["nothing".to_owned(), "–".to_owned()]),
        Wears::Item(tag) => {
            let line = ribbon.lines.iter().find(|line| line.tag == *tag);
            let number = line.map(|line| line.number).unwrap_or_default();
            (
                "worn",
                [
                    format!("{number} {}", short_kind(work, tag)),
                    number.to_string(),
                ],
            )
        }
    };
    let width = bar.to_x - bar.from_x;
    let fits = |words: &String| {
        let letters = u32::try_from(words.chars().count()).unwrap_or(u32::MAX);
        letters.saturating_mul(TWO_LETTERS) / 2 + 6 <= width
    };
    BarView {
        x: bar.from_x,
        y,
        width,
        words: wordings.into_iter().find(fits).unwrap_or_default(),
        kind,
    }
}

/// `provisional`, for a bar that says already that it is a denture.
fn short_kind(work: &CaseWork, tag: &Tag) -> String {
    let shown = item_of(work, tag).map_or("", |item| item.kind.shown());
    shown.trim_end_matches(" denture").to_lowercase()
}

fn stay_rows(work: &CaseWork, line: &Line) -> Vec<StayRow> {
    let count = line.stays.len();
    let row = |(place, stay): (usize, &Stay)| {
        let is_last = place + 1 == count;
        let is_here = |mark: &&Mark| mark.x >= stay.from_x && (is_last || mark.x < stay.to_x);
        let signs: Vec<&str> = line
            .marks
            .iter()
            .filter(is_here)
            .map(|mark| mark.sign.shown())
            .collect();
        StayRow {
            number: line.number,
            tag: line.tag.to_string(),
            path: format!("/items/{}", line.tag.as_str()),
            title: title_of(work, &line.tag),
            from: stay.from.to_string(),
            to: stay.to.map_or("now".to_owned(), |at| at.to_string()),
            holder: holder_of(work, stay.holder),
            answers: stay.answers.clone(),
            signs: signs.join(", "),
        }
    };
    line.stays.iter().enumerate().map(row).collect()
}

fn worn_rows(work: &CaseWork, ribbon: &Ribbon) -> Vec<WornRow> {
    let mut rows = Vec::new();
    for (arch, bars) in &ribbon.mouth {
        rows.extend(bars.iter().map(|bar| WornRow {
            arch: arch.shown(),
            from: bar.from.map_or("before".to_owned(), |at| at.to_string()),
            to: bar.to.map_or("now".to_owned(), |at| at.to_string()),
            worn: worn_words(work, &bar.wears),
        }));
    }
    rows
}

/// What an arch wears, in words.
pub fn worn_words(work: &CaseWork, wears: &Wears) -> String {
    match wears {
        Wears::Unknown => "not known".to_owned(),
        Wears::Nothing => "nothing".to_owned(),
        Wears::Item(tag) => format!("{} {tag}", title_of(work, tag)),
    }
}
