//! The ribbon of a case on paper: lanes, lines and signs as vectors, cut into strips as wide as the sheet.
//!
//! A strip ends between two columns where it can, repeats the lanes' names and the time above them, and the
//! number of every line that goes on. Where a case has more items than a sheet has rows, each strip comes
//! once for every group of items.

use super::flow::Flow;
use super::style::{LABEL, Style};
use super::wrap::wrap;
use crate::domain::custody::mouth::Wears;
use crate::domain::custody::ribbon::{
    Bar, HOP, Lane, NUMBER, Quality, Ribbon, RibbonColumn, RibbonLine, RibbonMark, Sign, SignShape,
    Stay, lanes_of,
};
use crate::papers::page::{Face, Grey, Mark, Point, Stroke};

/// Millimetres for one step of the ribbon's geometry.
const STEP_MM: f32 = 0.25;
/// The same where the ribbon is a little too wide for one strip: two signs beside each other just touch.
const LEAST_STEP_MM: f32 = 0.2375;
/// Width of the lanes' names.
const NAMES_MM: f32 = 20.0;
/// Height of the words of time, an item's row, the space around a lane's rows, an arch's bar.
const HEAD_MM: f32 = 12.5;
const ROW_MM: f32 = 4.2;
const PAD_MM: f32 = 1.2;
const BAR_MM: f32 = 5.2;
const CAPTION_MM: f32 = 5.0;
const FOOT_MM: f32 = 5.0;
/// A line of words below the floor.
const FOOT_LINE_MM: f32 = 3.8;
/// Items that share a strip: their rows in all four lanes fit any sheet, and in five where a second laboratory has one.
const GROUP: usize = 11;
const GROUP_OF_FIVE: usize = 9;
/// Between a time and the line of the present.
const CLEAR_OF_PRESENT_MM: f32 = 0.7;
/// Half the size of a sign.
const SIGN_MM: f32 = 1.9;

/// The lines down from the columns, which are no line of an item.
const FAINT: Grey = Grey(0.75);

const WORD: Style = style(Face::Regular, Grey::INK);
const SOFT: Style = style(Face::Regular, Grey::SOFT);
const BOLD: Style = style(Face::Bold, Grey::INK);
const WHITE: Style = style(Face::Bold, Grey::PAPER);

const fn style(face: Face, grey: Grey) -> Style {
    Style {
        size_pt: 8.0,
        face,
        grey,
    }
}

/// How its widths are to be read.
const SCALE_WORDS: &str = "Time runs left to right. Gaps are not to scale; their true length stands above them. A line is an item, with its number from the table below.";

/// Part of the time axis.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Strip {
    from: u32,
    to: u32,
    /// Room on the left for the numbers of lines that go on.
    lead: u32,
    step_mm: f32,
}

impl Strip {
    fn x_mm(self, left: f32, x: u32) -> f32 {
        let steps = (x.max(self.from) - self.from + self.lead) as f32;
        left + NAMES_MM + steps * self.step_mm
    }

    fn has(self, x: u32) -> bool {
        (self.from..self.to).contains(&x)
    }

    /// The part of a stretch that lies in this strip.
    fn cut(self, from: u32, to: u32) -> Option<(u32, u32)> {
        let (from, to) = (from.max(self.from), to.min(self.to));
        (from < to).then_some((from, to))
    }
}

/// The step by which a ribbon of this width is set into this room: closer, where one strip is enough by that.
fn step_mm(width: u32, room_mm: f32) -> f32 {
    // Half a step more: what was divided is rounded down again.
    let close = room_mm / (width as f32 + 0.5);
    match width as f32 * STEP_MM > room_mm && close >= LEAST_STEP_MM {
        true => close,
        false => STEP_MM,
    }
}

/// Cuts the axis into strips of at most `room` steps: before a column where one begins in the second half.
fn strips(ribbon: &Ribbon, room: u32, step_mm: f32) -> Vec<Strip> {
    let room = room.max(4 * NUMBER);
    let mut strips = Vec::new();
    let (mut from, mut lead) = (0, 0);
    while from < ribbon.width {
        let far = from + room - lead;
        let begins = ribbon.columns.iter().map(|column| column.x);
        let best = begins
            .filter(|x| *x > from + room / 2 && *x <= far)
            .max()
            .map_or(far, |x| x.saturating_sub(2).max(from + 1));
        let to = if ribbon.width <= far {
            ribbon.width
        } else {
            best
        };
        strips.push(Strip {
            from,
            to,
            lead,
            step_mm,
        });
        (from, lead) = (to, NUMBER + 4);
    }
    strips
}

/// Sets the ribbon; `kinds` are the short names of its lines, in their order.
pub fn place_ribbon(flow: &mut Flow, ribbon: &Ribbon, kinds: &[String]) {
    if ribbon.lines.is_empty() {
        return;
    }
    let room_mm = flow.measure() - NAMES_MM;
    let step = step_mm(ribbon.width, room_mm);
    let strips = strips(ribbon, (room_mm / step).floor() as u32, step);
    let group = match lanes_of(&ribbon.lines).count() {
        0..=4 => GROUP,
        _ => GROUP_OF_FIVE,
    };
    let groups = ribbon.lines.len().div_ceil(group);
    for (part, strip) in (1..).zip(&strips) {
        for (place, lines) in ribbon.lines.chunks(group).enumerate() {
            let drawing = Drawing {
                ribbon,
                kinds,
                lines,
                rows: rows_in(*strip, lines),
                strip: *strip,
                is_with_mouth: place + 1 == groups,
            };
            let caption = caption((part, strips.len()), lines, groups);
            drawing.place(flow, &caption);
        }
    }
    legend(flow, ribbon);
}

/// The rows that are needed in a strip: an item has one in each lane that it is in meanwhile.
fn rows_in(strip: Strip, lines: &[RibbonLine]) -> Vec<(Lane, Vec<usize>)> {
    let is_seen = |lane: Lane, line: &RibbonLine| {
        let mut stays = line.stays.iter().filter(|stay| stay.lane == lane);
        let mut marks = line.marks.iter().filter(|mark| mark.lane == lane);
        stays.any(|stay| strip.cut(stay.from_x, stay.to_x).is_some())
            || marks.any(|mark| strip.has(mark.x))
    };
    let in_lane = |lane| {
        let seen = lines
            .iter()
            .enumerate()
            .filter(|(_, line)| is_seen(lane, line));
        (lane, seen.map(|(place, _)| place).collect())
    };
    lanes_of(lines).map(in_lane).collect()
}

fn caption((part, parts): (usize, usize), lines: &[RibbonLine], groups: usize) -> String {
    let mut words = "Where each item has been".to_owned();
    if parts > 1 {
        words.push_str(&format!(", part {part} of {parts}"));
    }
    if let (true, Some(first), Some(last)) = (groups > 1, lines.first(), lines.last()) {
        words.push_str(&format!(", items {} to {}", first.number, last.number));
    }
    words
}

/// One strip for one group of items.
struct Drawing<'a> {
    ribbon: &'a Ribbon,
    kinds: &'a [String],
    lines: &'a [RibbonLine],
    rows: Vec<(Lane, Vec<usize>)>,
    strip: Strip,
    is_with_mouth: bool,
}

fn lane_mm(places: &[usize]) -> f32 {
    places.len().max(1) as f32 * ROW_MM + 2.0 * PAD_MM
}

impl Drawing<'_> {
    fn lanes_mm(&self) -> f32 {
        self.rows.iter().map(|(_, places)| lane_mm(places)).sum()
    }

    fn bars(&self) -> &[(crate::domain::values::arch::Arch, Vec<Bar>)] {
        if self.is_with_mouth {
            &self.ribbon.mouth
        } else {
            &[]
        }
    }

    fn floor_mm(&self) -> f32 {
        HEAD_MM + self.lanes_mm() + self.bars().len() as f32 * BAR_MM
    }

    fn place(&self, flow: &mut Flow, caption: &str) {
        let height = CAPTION_MM + self.floor_mm() + FOOT_MM + self.below_notes_mm();
        flow.gap(3.0);
        flow.reserve(height);
        flow.text(flow.left(), flow.y, LABEL, caption);
        let top = flow.y + CAPTION_MM;
        self.frame(flow, top);
        self.time(flow, top);
        self.worn(flow, top);
        for (place, line) in self.lines.iter().enumerate() {
            self.line(flow, top, place, line);
        }
        // Numbers and signs lie over every line, whichever item it belongs to.
        for (place, line) in self.lines.iter().enumerate() {
            self.numbers(flow, top, place, line);
            self.signs(flow, top, place, line);
        }
        self.present(flow, top);
        flow.y += height;
    }

    /// How much lower the words of the present stand, so that they never lie on a note of the same strip.
    fn below_notes_mm(&self) -> f32 {
        let mut columns = self.ribbon.columns.iter();
        let has_note = columns.any(|one| !one.note.is_empty() && self.strip.has(one.x));
        match has_note && self.strip.has(self.ribbon.now_x) {
            true => FOOT_LINE_MM,
            false => 0.0,
        }
    }

    fn right_mm(&self, flow: &Flow) -> f32 {
        self.strip.x_mm(flow.left(), self.strip.to)
    }

    /// The middle of an item's row in a lane.
    fn y(&self, top: f32, lane: Lane, line: usize) -> f32 {
        let mut y = top + HEAD_MM;
        for (one, places) in &self.rows {
            if *one == lane {
                let row = places.iter().position(|place| *place == line);
                return y + PAD_MM + (row.unwrap_or(0) as f32 + 0.5) * ROW_MM;
            }
            y += lane_mm(places);
        }
        y
    }

    fn frame(&self, flow: &mut Flow, top: f32) {
        let (left, right) = (flow.left(), self.right_mm(flow));
        let mut y = top + HEAD_MM;
        for (lane, places) in &self.rows {
            edge(flow, left, right, y);
            let middle = y + lane_mm(places) / 2.0 - WORD.line_mm() / 2.0;
            flow.text(left, middle, BOLD, &self.ribbon.lane_name(*lane));
            y += lane_mm(places);
        }
        for (arch, _) in self.bars() {
            edge(flow, left, right, y);
            flow.text(left, y + 0.8, BOLD, &format!("Worn, {}", arch.shown()));
            y += BAR_MM;
        }
        edge(flow, left, right, y);
        let names = left + NAMES_MM - 0.8;
        let bold = Stroke::solid(0.4, Grey::INK);
        flow.push(Mark::line((names, top + HEAD_MM), (names, y), bold));
    }

    /// Dates, times, the length of what lies between, and a thin line down from each column.
    fn time(&self, flow: &mut Flow, top: f32) {
        let columns: Vec<&RibbonColumn> = self
            .ribbon
            .columns
            .iter()
            .filter(|column| self.strip.has(column.x))
            .collect();
        let floor = top + self.floor_mm();
        let (mut day, mut day_end, mut time_end) = (String::new(), 0.0, 0.0);
        for column in columns {
            let x = self.strip.x_mm(flow.left(), column.x);
            let faint = Stroke::solid(0.1, FAINT);
            flow.push(Mark::line((x, top + HEAD_MM), (x, floor), faint));
            let clock = column.at.clock();
            let width = WORD.width_mm(&clock);
            let from = self.beside_the_present(flow, x, width);
            if from >= time_end && from + width <= flow.right() {
                flow.text(from, top + HEAD_MM - 4.0, WORD, &clock);
                time_end = from + width + 0.5;
            }
            if column.at.day() != day {
                day = column.at.day();
                // Beside the one before it where they are near each other.
                let x = x.max(day_end).min(flow.right() - BOLD.width_mm(&day));
                flow.text(x, top, BOLD, &day);
                day_end = x + BOLD.width_mm(&day) + 1.5;
            }
        }
        self.idle(flow, top);
        for column in self
            .ribbon
            .columns
            .iter()
            .filter(|one| !one.note.is_empty())
        {
            if self.strip.has(column.x) {
                let width = WORD.width_mm(column.note);
                let x = self.strip.x_mm(flow.left(), column.x);
                flow.text(x.min(flow.right() - width), floor + 0.6, WORD, column.note);
            }
        }
    }

    /// Where words of this width begin that would begin at `x`: before the line of the present, where it would run through
    /// them.
    fn beside_the_present(&self, flow: &Flow, x: f32, width: f32) -> f32 {
        if !self.strip.has(self.ribbon.now_x) {
            return x;
        }
        let now = self.strip.x_mm(flow.left(), self.ribbon.now_x);
        let is_in_it = x <= now && now < x + width + CLEAR_OF_PRESENT_MM;
        if is_in_it {
            now - width - CLEAR_OF_PRESENT_MM
        } else {
            x
        }
    }

    fn idle(&self, flow: &mut Flow, top: f32) {
        let columns = &self.ribbon.columns;
        let next = columns.iter().skip(1).map(|column| column.x);
        for (column, end) in columns.iter().zip(next.chain([self.ribbon.now_x])) {
            let Some((from, to)) = self.strip.cut(column.end_x, end) else {
                continue;
            };
            let middle = self.strip.x_mm(flow.left(), from.midpoint(to));
            let width = SOFT.width_mm(&column.idle);
            // A gap that is cut says its length where the greater part of it lies.
            let is_greater = (to - from) * 2 > end - column.end_x;
            if is_greater {
                let x = (middle - width / 2.0).min(flow.right() - width);
                flow.text(x, top + HEAD_MM - 7.6, SOFT, &column.idle);
            }
        }
    }

    fn worn(&self, flow: &mut Flow, top: f32) {
        let mut y = top + HEAD_MM + self.lanes_mm();
        for (_, bars) in self.bars() {
            for bar in bars {
                if let Some((from, to)) = self.strip.cut(bar.from_x, bar.to_x) {
                    let left = self.strip.x_mm(flow.left(), from);
                    let right = self.strip.x_mm(flow.left(), to);
                    self.bar(flow, bar, (left, right), y + 0.6);
                }
            }
            y += BAR_MM;
        }
    }

    fn bar(&self, flow: &mut Flow, bar: &Bar, (left, right): (f32, f32), y: f32) {
        let height = BAR_MM - 1.2;
        let (stroke, fill) = match bar.wears {
            Wears::Item(_) => (Stroke::solid(0.2, Grey::INK), Some(Grey::PLASTER)),
            Wears::Nothing => (Stroke::dashed(0.5, Grey::INK), None),
            Wears::Unknown => (Stroke::dashed(0.15, Grey::RULE), None),
        };
        let size = (right - left, height);
        flow.push(Mark::rect((left, y), size, Some(stroke), fill));
        if bar.wears == Wears::Nothing {
            hatch(flow, left, right, y, height);
        }
        let words = self.bar_words(bar);
        let fits = |words: &&String| WORD.width_mm(words) + 1.4 <= right - left;
        if let Some(words) = words.iter().find(fits) {
            if bar.wears == Wears::Nothing {
                behind(flow, left + 0.7, y + 0.3, words);
            }
            flow.text(left + 0.7, y + 0.2, WORD, words);
        }
    }

    fn bar_words(&self, bar: &Bar) -> Vec<String> {
        match &bar.wears {
            Wears::Unknown => vec!["not known".to_owned(), "?".to_owned()],
            Wears::Nothing => vec!["nothing".to_owned()],
            Wears::Item(tag) => {
                let lines = self.ribbon.lines.iter().zip(self.kinds);
                let found = lines.into_iter().find(|(line, _)| line.tag == *tag);
                found.map_or_else(Vec::new, |(line, kind)| {
                    vec![format!("{} {kind}", line.number), line.number.to_string()]
                })
            }
        }
    }

    fn line(&self, flow: &mut Flow, top: f32, place: usize, line: &RibbonLine) {
        let mut before: Option<&Stay> = None;
        for stay in &line.stays {
            let y = self.y(top, stay.lane, place);
            let mut begin = stay.from_x;
            match before {
                None => begin += NUMBER,
                Some(other) if stay.comes_over => {
                    begin += HOP;
                    if self.strip.has(stay.from_x) {
                        let x = self.strip.x_mm(flow.left(), stay.from_x);
                        let x_over = self.strip.x_mm(flow.left(), begin.min(self.strip.to));
                        let y_before = self.y(top, other.lane, place);
                        let thin = Stroke::solid(0.18, Grey::INK);
                        flow.push(Mark::line((x, y_before), (x_over, y), thin));
                    }
                }
                Some(_) => {}
            }
            if let Some((from, to)) = self.strip.cut(begin, stay.to_x) {
                let from = self.strip.x_mm(flow.left(), from);
                let to = self.strip.x_mm(flow.left(), to);
                stretch(flow, stay.quality, from, to, y);
            }
            before = Some(stay);
        }
    }

    /// The item's number wherever its line begins, comes over, or goes on from the strip before.
    fn numbers(&self, flow: &mut Flow, top: f32, place: usize, line: &RibbonLine) {
        let number = line.number.to_string();
        let mut put = |x: f32, lane: Lane| {
            let y = self.y(top, lane, place) - WORD.line_mm() / 2.0;
            let x = x - BOLD.width_mm(&number) / 2.0;
            behind(flow, x, y, &number);
            flow.text(x, y, BOLD, &number);
        };
        let left = put_left(self.strip);
        for (at, stay) in line.stays.iter().enumerate() {
            let lead = if stay.comes_over { HOP } else { 0 };
            let x = stay.from_x + lead + NUMBER / 2;
            if (at == 0 || stay.comes_over) && self.strip.has(x) {
                put(self.strip.x_mm(SIDE, x), stay.lane);
            } else if self.strip.lead > 0
                && stay.from_x < self.strip.from
                && stay.to_x > self.strip.from
            {
                put(left, stay.lane);
            }
        }
    }

    fn signs(&self, flow: &mut Flow, top: f32, place: usize, line: &RibbonLine) {
        let here = |mark: &&RibbonMark| self.strip.has(mark.x);
        for mark in line.marks.iter().filter(here) {
            let x = self.strip.x_mm(flow.left(), mark.x);
            sign(flow, mark.sign, x, self.y(top, mark.lane, place));
        }
        for (lane, x) in line.late.iter().filter(|(_, x)| self.strip.has(*x)) {
            let x = self.strip.x_mm(flow.left(), *x) + SIGN_MM * 0.6;
            let y = self.y(top, *lane, place) - WORD.line_mm() * 0.95;
            flow.text(x, y, BOLD, "*");
        }
    }

    /// The line of the present, in the last strip.
    fn present(&self, flow: &mut Flow, top: f32) {
        let now = self.ribbon.now_x;
        if !self.strip.has(now) {
            return;
        }
        let x = self.strip.x_mm(flow.left(), now);
        let floor = top + self.floor_mm();
        let dashed = Stroke::dashed(0.5, Grey::INK);
        flow.push(Mark::line(
            (x, top + HEAD_MM - 3.0),
            (x, floor + 0.8),
            dashed,
        ));
        let words = format!("as of {}", self.ribbon.now);
        let left = (x - BOLD.width_mm(&words)).max(flow.left());
        flow.text(left, floor + 0.6 + self.below_notes_mm(), BOLD, &words);
    }
}

/// Where the numbers stand of lines that go on from the strip before.
fn put_left(strip: Strip) -> f32 {
    SIDE + NAMES_MM + strip.lead as f32 * strip.step_mm / 2.0
}

/// The left edge of the body.
const SIDE: f32 = super::flow::SIDE_MM;

fn edge(flow: &mut Flow, left: f32, right: f32, y: f32) {
    flow.push(Mark::line((left, y), (right, y), Stroke::thin(Grey::RULE)));
}

/// A line of its quality: plain, with rungs while it is on hold, broken while it is missing.
fn stretch(flow: &mut Flow, quality: Quality, from: f32, to: f32, y: f32) {
    const RUNG_MM: f32 = 1.1;
    let stroke = match quality {
        Quality::Missing => Stroke::dashed(0.4, Grey::INK),
        Quality::Plain | Quality::Held => Stroke::solid(0.35, Grey::INK),
    };
    flow.push(Mark::line((from, y), (to, y), stroke));
    if quality == Quality::Held {
        let count = ((to - from) / RUNG_MM).floor().max(0.0) as u16;
        for rung in 0..=count {
            let x = from + f32::from(rung) * RUNG_MM;
            let thin = Stroke::solid(0.2, Grey::INK);
            flow.push(Mark::line((x, y - 1.1), (x, y + 1.1), thin));
        }
    }
}

/// Slanted lines over a bar.
fn hatch(flow: &mut Flow, left: f32, right: f32, y: f32, height: f32) {
    const APART_MM: f32 = 2.0;
    let count = ((right - left - height) / APART_MM).floor().max(-1.0) as i16;
    for line in 0..=count {
        let x = left + f32::from(line) * APART_MM;
        let thin = Stroke::solid(0.15, Grey::INK);
        flow.push(Mark::line((x, y + height), (x + height, y), thin));
    }
}

/// Bare paper behind a word, so that no line runs through it.
fn behind(flow: &mut Flow, x: f32, top: f32, words: &str) {
    let size = (BOLD.width_mm(words) + 0.8, WORD.line_mm() - 0.6);
    flow.push(Mark::rect(
        (x - 0.4, top + 0.3),
        size,
        None,
        Some(Grey::PAPER),
    ));
}

fn sign(flow: &mut Flow, sign: Sign, x: f32, y: f32) {
    const ROUND: u8 = 20;
    let size = SIGN_MM;
    let polygon = |corners: &[(f32, f32)]| {
        let point = |(dx, dy): &(f32, f32)| Point {
            x: x + dx * size,
            y: y + dy * size,
        };
        corners.iter().map(point).collect()
    };
    let points: Vec<Point> = match sign.shape() {
        SignShape::Circle | SignShape::Disc => (0..ROUND)
            .map(|corner| {
                let turn = f32::from(corner) / f32::from(ROUND) * std::f32::consts::TAU;
                Point {
                    x: x + size * 0.9 * turn.cos(),
                    y: y + size * 0.9 * turn.sin(),
                }
            })
            .collect(),
        SignShape::Diamond => polygon(&[(0.0, -1.1), (1.1, 0.0), (0.0, 1.1), (-1.1, 0.0)]),
        SignShape::Square => polygon(&[(-0.85, -0.85), (0.85, -0.85), (0.85, 0.85), (-0.85, 0.85)]),
        SignShape::Triangle => polygon(&[(0.0, -1.15), (1.1, 0.9), (-1.1, 0.9)]),
    };
    let is_filled = sign.shape() == SignShape::Disc;
    flow.push(Mark::Path {
        points,
        closed: true,
        stroke: Some(Stroke::solid(0.25, Grey::INK)),
        fill: Some(if is_filled { Grey::INK } else { Grey::PAPER }),
    });
    let style = if is_filled { WHITE } else { BOLD };
    let letter = sign.letter().to_string();
    let lower = if sign.shape() == SignShape::Triangle {
        0.35
    } else {
        0.0
    };
    let left = x - style.width_mm(&letter) / 2.0;
    flow.text(
        left,
        y - style.line_mm() / 2.0 - 0.05 + lower,
        style,
        &letter,
    );
}

/// What the signs say, and how the widths are to be read.
fn legend(flow: &mut Flow, ribbon: &Ribbon) {
    flow.gap(1.5);
    for line in wrap(SCALE_WORDS, SOFT, flow.measure()) {
        flow.reserve(SOFT.line_mm());
        flow.text(flow.left(), flow.y, SOFT, &line);
        flow.y += SOFT.line_mm();
    }
    flow.gap(1.0);
    let mut x = flow.left();
    for entry in entries(ribbon) {
        let width = entry.width_mm();
        if x + width > flow.right() {
            x = flow.left();
            flow.y += ROW_MM + 0.6;
        }
        if x == flow.left() {
            flow.reserve(ROW_MM + 1.0);
        }
        entry.place(flow, x);
        x += width + 4.0;
    }
    flow.y += ROW_MM + 1.0;
}

enum Entry {
    Sign(Sign),
    Line(Quality, &'static str),
    Late,
}

const LATE_WORDS: &str = "* written down later than it happened";

impl Entry {
    fn width_mm(&self) -> f32 {
        match self {
            Entry::Sign(sign) => 5.5 + WORD.width_mm(sign.shown()),
            Entry::Line(_, words) => 9.5 + WORD.width_mm(words),
            Entry::Late => WORD.width_mm(LATE_WORDS),
        }
    }

    fn place(&self, flow: &mut Flow, x: f32) {
        let top = flow.y;
        let middle = top + WORD.line_mm() / 2.0;
        match self {
            Entry::Sign(one) => {
                sign(flow, *one, x + SIGN_MM + 0.2, middle + 0.2);
                flow.text(x + 5.5, top, WORD, one.shown());
            }
            Entry::Line(quality, words) => {
                stretch(flow, *quality, x, x + 8.0, middle + 0.2);
                flow.text(x + 9.5, top, WORD, words);
            }
            Entry::Late => flow.text(x, top, WORD, LATE_WORDS),
        }
    }
}

fn entries(ribbon: &Ribbon) -> Vec<Entry> {
    let is_used = |sign: &Sign| {
        let mut marks = ribbon.lines.iter().flat_map(|line| &line.marks);
        marks.any(|mark| mark.sign == *sign)
    };
    let has = |quality| {
        let mut stays = ribbon.lines.iter().flat_map(|line| &line.stays);
        stays.any(|stay| stay.quality == quality)
    };
    let used = Sign::ALL.iter().copied().filter(is_used);
    let mut entries: Vec<Entry> = used.map(Entry::Sign).collect();
    for (quality, words) in [(Quality::Held, "on hold"), (Quality::Missing, "missing")] {
        if has(quality) {
            entries.push(Entry::Line(quality, words));
        }
    }
    if ribbon.lines.iter().any(|line| !line.late.is_empty()) {
        entries.push(Entry::Late);
    }
    entries
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::values::moment::Moment;
    use proptest::prelude::*;

    fn of_columns(widths: &[(u32, u32)]) -> Ribbon {
        let now = Moment::new(0, 0);
        let (mut columns, mut x) = (Vec::new(), 20);
        for (width, gap) in widths {
            columns.push(RibbonColumn {
                at: now,
                x,
                end_x: x + width,
                idle: String::new(),
                note: "",
            });
            x += width + gap;
        }
        Ribbon {
            second_labs: Vec::new(),
            columns,
            lines: Vec::new(),
            mouth: Vec::new(),
            now,
            now_x: x,
            width: x + 20,
        }
    }

    #[test]
    fn no_time_stands_under_the_line_of_the_present() {
        for gap in 0..40_u32 {
            let mut ribbon = of_columns(&[(40, 60), (40, 60)]);
            let last = ribbon.columns.last().map_or(0, |column| column.x);
            ribbon.now_x = last + gap;
            ribbon.width = last + 60;
            let drawing = Drawing {
                ribbon: &ribbon,
                kinds: &[],
                lines: &[],
                rows: Vec::new(),
                strip: strips(&ribbon, 600, STEP_MM)[0],
                is_with_mouth: false,
            };
            let mut flow = Flow::new(crate::domain::people::party::Paper::A4);
            drawing.time(&mut flow, 30.0);
            let present = drawing.strip.x_mm(flow.left(), ribbon.now_x);
            let pages = flow.finish(|_, _| (vec![], vec![]));
            let clocks = pages[0].marks.iter().filter_map(|mark| match mark {
                Mark::Text { x, text, .. } if text.contains(':') => Some((*x, text)),
                _ => None,
            });
            let clocks: Vec<_> = clocks.collect();
            assert!(!clocks.is_empty());
            for (x, text) in clocks {
                let right = x + WORD.width_mm(text);
                assert!(present < x || right < present, "{text} after {gap} steps");
            }
        }
    }

    #[test]
    fn a_short_ribbon_is_one_strip() {
        let strips = strips(&of_columns(&[(40, 60); 3]), 600, STEP_MM);
        assert_eq!(strips.len(), 1);
        assert_eq!((strips[0].from, strips[0].lead), (0, 0));
    }

    #[test]
    fn a_ribbon_that_is_a_little_too_wide_is_set_closer_and_stays_one_strip() {
        for (width, count) in [(500, 1), (600, 1), (601, 1), (625, 1), (640, 2)] {
            let step = step_mm(width, 600.0 * STEP_MM);
            assert!((LEAST_STEP_MM..=STEP_MM).contains(&step), "{width}");
            assert!(width > 600 || step == STEP_MM, "{width}");
            let room = (600.0 * STEP_MM / step).floor() as u32;
            let ribbon = Ribbon {
                width,
                ..of_columns(&[(40, 60); 5])
            };
            assert_eq!(strips(&ribbon, room, step).len(), count, "{width}");
        }
    }

    #[test]
    fn a_strip_ends_before_a_column() {
        let ribbon = of_columns(&[(40, 60); 12]);
        for strip in strips(&ribbon, 600, STEP_MM).iter().skip(1) {
            let begins = ribbon
                .columns
                .iter()
                .any(|column| column.x == strip.from + 2);
            assert!(begins, "{strip:?}");
        }
    }

    proptest! {
        #[test]
        fn strips_cover_the_axis_once_and_none_is_too_wide(
            widths in proptest::collection::vec((8_u32..900, 16_u32..120), 1..40),
            room in 0_u32..900,
        ) {
            let ribbon = of_columns(&widths);
            let strips = strips(&ribbon, room, STEP_MM);
            prop_assert_eq!((strips[0].from, strips[strips.len() - 1].to), (0, ribbon.width));
            for pair in strips.windows(2) {
                prop_assert_eq!(pair[0].to, pair[1].from);
            }
            for strip in strips {
                prop_assert!(strip.from < strip.to);
                prop_assert!(strip.to - strip.from + strip.lead <= room.max(4 * NUMBER));
            }
        }
    }
}
