//! The ribbon: a case's custody as lines over time, one lane for each holder. Geometry only; screen and
//! paper draw the same.
//!
//! Lengths along the time are whole steps without a unit. Every minute in which something happened is a
//! column; what one item went through within a minute stands in it side by side, in its order. Between two
//! columns the width grows with the logarithm of the time that passed, so that minutes and weeks are both
//! readable; the true length is told in words. A line is drawn from the same fold as everything else, taken
//! over each beginning of the events, so that it cannot say anything that [`super::at`] does not.

use super::case_state::CaseState;
use super::event::Event;
use super::hold::Hold;
use super::item::Item;
use super::mouth::{self, Wears};
use super::sign::OnLine;
pub use super::sign::{Sign, SignShape};
use super::state::{Gone, Holder, PassedPlace, State};
use crate::domain::people::party::short_name;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::Moment;
use std::collections::BTreeMap;
use strum::VariantArray;

/// Where a move goes from one lane to another.
pub const HOP: u32 = 12;
/// Room for an item's number at the beginning of a stretch.
pub const NUMBER: u32 = 16;
/// Room for a sign.
pub const SIGN: u32 = 16;
/// Before the first column, and behind the last.
pub const MARGIN: u32 = 20;
/// Least room between two columns, so that their times can be written below each other's side.
const GAP: f64 = 16.0;
/// Further room for each doubling of the minutes that passed.
const GAP_PER_DOUBLING: f64 = 4.0;
const MINUTE_MS: i64 = 60_000;

/// Who holds, as lanes; the way from the mouth to the bench is the way from the last lane to the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, VariantArray)]
pub enum Lane {
    /// Where work was passed on, and only then.
    SecondLab,
    Lab,
    OnTheWay,
    Office,
    Patient,
}

impl Lane {
    /// Each of them, from the top.
    pub const ALL: &[Lane] = Lane::VARIANTS;

    pub fn of(holder: Holder) -> Lane {
        match holder {
            Holder::Passed(PassedPlace::At) => Lane::SecondLab,
            Holder::Lab => Lane::Lab,
            Holder::Carrier { .. } | Holder::Passed(_) => Lane::OnTheWay,
            Holder::Office => Lane::Office,
            Holder::Patient => Lane::Patient,
        }
    }

    pub fn shown(self) -> &'static str {
        match self {
            Lane::SecondLab => "Second lab",
            Lane::Lab => "Lab",
            Lane::OnTheWay => "On the way",
            Lane::Office => "Office",
            Lane::Patient => "Patient",
        }
    }
}

/// How it is with an item along a stretch of its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quality {
    Plain,
    /// Work on it waits.
    Held,
    /// Nobody has found it in the parcel.
    Missing,
}

/// A stretch of a line: one holder, one answer, no change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stay {
    pub lane: Lane,
    pub holder: Holder,
    pub quality: Quality,
    /// Who answers for it meanwhile.
    pub answers: String,
    pub from: Moment,
    /// Open while it lasts.
    pub to: Option<Moment>,
    pub from_x: u32,
    pub to_x: u32,
    /// Whether it begins by coming over from another lane.
    pub comes_over: bool,
}

/// A sign on a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RibbonMark {
    pub sign: Sign,
    pub lane: Lane,
    /// The sign's middle.
    pub x: u32,
    pub at: Moment,
}

/// One item's line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RibbonLine {
    pub tag: Tag,
    /// From 1, in the order of registration.
    pub number: usize,
    pub stays: Vec<Stay>,
    pub marks: Vec<RibbonMark>,
    /// Where entries stand that were written down later than they happened.
    pub late: Vec<(Lane, u32)>,
    /// The line ends because nothing can happen to it any more.
    pub gone: Option<Gone>,
}

/// A minute in which something happened, or the present.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RibbonColumn {
    pub at: Moment,
    pub x: u32,
    pub end_x: u32,
    /// How long nothing happened until the next column, in words; empty for less than an hour.
    pub idle: String,
    /// What happened to the case as a whole; empty for most.
    pub note: &'static str,
}

/// What an arch wore along a stretch of time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bar {
    pub wears: Wears,
    pub from: Option<Moment>,
    pub to: Option<Moment>,
    pub from_x: u32,
    pub to_x: u32,
}

/// The whole ribbon.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ribbon {
    pub columns: Vec<RibbonColumn>,
    pub lines: Vec<RibbonLine>,
    pub mouth: Vec<(Arch, Vec<Bar>)>,
    /// What the laboratories are called that things went to, in short.
    pub second_labs: Vec<String>,
    pub now: Moment,
    pub now_x: u32,
    pub width: u32,
}

/// Letters of a lane's name that have room beside it.
const NAME_MOST: usize = 12;

impl Ribbon {
    /// The line of the item of this tag.
    pub fn line(&self, tag: &Tag) -> Option<&RibbonLine> {
        self.lines.iter().find(|line| line.tag == *tag)
    }

    /// What a lane is called beside its lines: the second laboratory by its name.
    pub fn lane_name(&self, lane: Lane) -> String {
        let own = self.second_labs.join(", ");
        let name = match lane {
            Lane::SecondLab if !own.is_empty() => own,
            other => return other.shown().to_owned(),
        };
        if name.chars().count() <= NAME_MOST {
            return name;
        }
        let begins: String = name.chars().take(NAME_MOST - 1).collect();
        format!("{}…", begins.trim_end())
    }
}

/// The lanes that these lines need: a second laboratory has one only where something was there.
pub fn lanes_of(lines: &[RibbonLine]) -> impl Iterator<Item = Lane> {
    let visits = |line: &RibbonLine| line.stays.iter().any(|stay| stay.lane == Lane::SecondLab);
    let has_second = lines.iter().any(visits);
    let lanes = Lane::ALL.iter().copied();
    lanes.filter(move |lane| *lane != Lane::SecondLab || has_second)
}

/// The rows of each lane: the places, in `lines`, of the items that are ever in it. An item has a row of
/// its own in every lane it visits, so that no two lines lie on each other.
pub fn rows(lines: &[RibbonLine]) -> Vec<(Lane, Vec<usize>)> {
    let visits = |line: &RibbonLine, lane: Lane| line.stays.iter().any(|stay| stay.lane == lane);
    let in_lane = |lane| {
        let places = (0..).zip(lines).filter(|(_, line)| visits(line, lane));
        (lane, places.map(|(place, _)| place).collect())
    };
    lanes_of(lines).map(in_lane).collect()
}

/// One item at one event: what changes there, and how much room that takes.
struct Step {
    item: usize,
    minute: i64,
    /// Distance from the beginning of its column.
    inset: u32,
    at: Moment,
    before: Option<State>,
    after: State,
    quality: Quality,
    sign: Option<Sign>,
    is_late: bool,
}

impl Step {
    fn comes_over(&self) -> bool {
        self.before
            .as_ref()
            .is_some_and(|before| Lane::of(before.holder) != Lane::of(self.after.holder))
    }

    /// Room before the sign: for coming over, and for the number at a beginning.
    fn lead(&self) -> u32 {
        match (&self.before, self.comes_over()) {
            (None, _) => NUMBER,
            (Some(_), true) => HOP + NUMBER,
            (Some(_), false) => 0,
        }
    }

    fn width(&self) -> u32 {
        self.lead() + if self.sign.is_some() { SIGN } else { 0 }
    }
}

/// Draws the ribbon of a case up to `now`; `whole` is what `events` say.
pub fn ribbon(
    items: &[Item],
    events: &[Event],
    whole: &CaseState,
    arches: &[Arch],
    now: Moment,
) -> Ribbon {
    let mut sorted: Vec<&Event> = events.iter().collect();
    // A late entry belongs where it happened; the entries of one item are in this order already (rule i).
    sorted.sort_by_key(|event| event.at.unix_ms);
    let steps = steps(items, events, whole, &sorted);
    let axis = Axis::new(&sorted, &steps, now);
    let lines = (0..)
        .zip(items)
        .map(|(place, item)| line(place, item, &steps, &axis))
        .filter(|line| !line.stays.is_empty())
        .collect();
    let mouth = arches
        .iter()
        .map(|&arch| (arch, bars(items, whole, arch, &axis)))
        .collect();
    Ribbon {
        lines,
        mouth,
        second_labs: second_labs(whole),
        now: axis.now,
        now_x: axis.now_x,
        width: axis.now_x + MARGIN,
        columns: axis.columns,
    }
}

fn second_labs(case: &CaseState) -> Vec<String> {
    let went = case.passes.iter().filter(|pass| !pass.left.is_empty());
    let mut names: Vec<String> = Vec::new();
    for name in went.map(|pass| short_name(&pass.to.name)) {
        if !names.iter().any(|one| one == name) {
            names.push(name.to_owned());
        }
    }
    names
}

fn minute(at: Moment) -> i64 {
    at.unix_ms.div_euclid(MINUTE_MS)
}

/// Walks through the events and notes what each does to each item.
fn steps(items: &[Item], events: &[Event], whole: &CaseState, sorted: &[&Event]) -> Vec<Step> {
    let spans = spans(whole, sorted);
    let mut case = CaseState::default();
    let mut used: BTreeMap<(i64, usize), u32> = BTreeMap::new();
    let mut steps: Vec<Step> = Vec::new();
    for (order, event) in sorted.iter().enumerate() {
        let before = touched(events, event, whole).into_iter().map(|tag| {
            let state = case.item(&tag).cloned();
            (tag, state)
        });
        let before: Vec<(Tag, Option<State>)> = before.collect();
        case.add(event, sorted.iter().take(order).copied());
        for (tag, before) in before {
            let place = items.iter().position(|item| item.tag == tag);
            let (Some(place), Some(after)) = (place, case.item(&tag).cloned()) else {
                continue;
            };
            let needs_it = items
                .get(place)
                .is_some_and(|item| item.kind.needs_disinfection());
            let minute = minute(event.at);
            let inset = used.entry((minute, place)).or_insert(0);
            let mut step = Step {
                item: place,
                minute,
                inset: *inset,
                at: event.at,
                quality: quality(&spans, &tag, &after, needs_it, order),
                sign: None,
                is_late: event.is_late(),
                before,
                after,
            };
            step.sign = sign(event, &tag, &step, needs_it);
            *inset += step.width();
            steps.push(step);
        }
    }
    steps
}

/// A hold with the places, among the entries in the order of their time, of those that began and ended it.
/// Places and not moments: what stands before it in the same minute was not held yet.
struct Span {
    hold: Hold,
    from: usize,
    until: usize,
}

fn spans(case: &CaseState, sorted: &[&Event]) -> Vec<Span> {
    let span = |hold: Hold| {
        let place = |id: &EventId| sorted.iter().position(|event| event.id == *id);
        let ended = hold.ended_by.as_ref().and_then(place);
        Span {
            from: place(&hold.id.opened_by()).unwrap_or_default(),
            until: ended.unwrap_or(usize::MAX),
            hold,
        }
    };
    case.holds.iter().cloned().map(span).collect()
}

impl Span {
    fn is_about(&self, tag: &Tag) -> bool {
        self.hold.tag.as_ref() == Some(tag) || self.hold.waiting.contains(tag)
    }
}

/// The items whose lines an event shows on: also those that a statement or a correction is about.
fn touched(events: &[Event], event: &Event, case: &CaseState) -> Vec<Tag> {
    let kind = event.what.kind();
    let wrong = kind.shows_with();
    let wrong = events.iter().filter(|one| wrong == Some(&one.id));
    let mut tags: Vec<Tag> = kind.tags().into_iter().cloned().collect();
    tags.extend(kind.shows_on(case));
    tags.extend(wrong.flat_map(|one| one.what.tags()).cloned());
    let mut seen: Vec<Tag> = Vec::new();
    tags.retain(|tag| {
        let is_new = !seen.contains(tag);
        seen.push(tag.clone());
        is_new
    });
    tags
}

fn quality(spans: &[Span], tag: &Tag, state: &State, needs_it: bool, order: usize) -> Quality {
    let is_held = spans
        .iter()
        .any(|span| span.is_about(tag) && span.from <= order && order < span.until);
    if state.missing {
        Quality::Missing
    } else if is_held || (needs_it && state.held_for_disinfection) {
        Quality::Held
    } else {
        Quality::Plain
    }
}

/// The sign of an event on one item's line.
fn sign(event: &Event, tag: &Tag, step: &Step, needs_it: bool) -> Option<Sign> {
    let before = step.before.as_ref();
    let was_unmarked = before.is_some_and(|state| state.held_for_disinfection);
    event.what.kind().sign(OnLine {
        tag,
        is_unmarked: needs_it && step.after.held_for_disinfection && !was_unmarked,
        is_held: step.quality == Quality::Held,
    })
}

/// From moments to places.
struct Axis {
    columns: Vec<RibbonColumn>,
    now: Moment,
    now_x: u32,
}

impl Axis {
    fn new(sorted: &[&Event], steps: &[Step], now: Moment) -> Axis {
        // A clock that was set back does not end the ribbon before its last entry.
        let now = sorted
            .last()
            .map(|event| event.at)
            .filter(|last| last.unix_ms > now.unix_ms)
            .unwrap_or(now);
        let mut axis = Axis {
            columns: Vec::new(),
            now,
            now_x: MARGIN,
        };
        let mut widths: BTreeMap<i64, u32> = BTreeMap::new();
        for step in steps {
            let width = widths.entry(step.minute).or_insert(0);
            *width = (*width).max(step.inset + step.width());
        }
        let is_shown = |event: &&&Event| event.what.kind().takes_room();
        for event in sorted.iter().filter(is_shown) {
            axis.add(event.at, event.what.kind().note(), &widths);
        }
        axis.end(now);
        axis
    }

    /// Adds the column of a minute, unless it is there already.
    fn add(&mut self, at: Moment, note: &'static str, widths: &BTreeMap<i64, u32>) {
        let width = widths.get(&minute(at)).copied().unwrap_or(0).max(HOP);
        let x = match self.columns.last_mut() {
            Some(last) if minute(last.at) == minute(at) => {
                if !note.is_empty() {
                    last.note = note;
                }
                return;
            }
            Some(last) => {
                last.idle = idle_words(at.unix_ms.saturating_sub(last.at.unix_ms));
                last.end_x + gap(last.at, at)
            }
            None => MARGIN,
        };
        self.columns.push(RibbonColumn {
            at,
            x,
            end_x: x + width,
            idle: String::new(),
            note,
        });
    }

    fn end(&mut self, now: Moment) {
        if let Some(last) = self.columns.last_mut() {
            self.now_x = last.end_x;
            if minute(last.at) < minute(now) {
                last.idle = idle_words(now.unix_ms.saturating_sub(last.at.unix_ms));
                self.now_x += gap(last.at, now);
            }
        }
    }

    fn column(&self, minute_asked: i64) -> u32 {
        self.columns
            .iter()
            .find(|column| minute(column.at) == minute_asked)
            .map_or(MARGIN, |column| column.x)
    }

    /// The place of a moment: the beginning of its column, or in proportion between two.
    fn x_at(&self, at: Moment) -> u32 {
        let before = self
            .columns
            .iter()
            .rev()
            .find(|column| minute(column.at) <= minute(at));
        let Some(before) = before else {
            return 0;
        };
        if minute(before.at) == minute(at) {
            return before.x;
        }
        let after = self
            .columns
            .iter()
            .find(|column| minute(column.at) > minute(at));
        let (end, end_x) = match after {
            Some(column) => (column.at, column.x),
            None => (self.now, self.now_x),
        };
        let whole = (minute(end) - minute(before.at)).max(1) as f64;
        let part = (minute(at) - minute(before.at)) as f64;
        let room = f64::from(end_x.saturating_sub(before.end_x));
        before.end_x + (room * (part / whole).clamp(0.0, 1.0)).round() as u32
    }
}

/// Room between two columns.
fn gap(from: Moment, to: Moment) -> u32 {
    let minutes = to.unix_ms.saturating_sub(from.unix_ms).max(0) as f64 / MINUTE_MS as f64;
    (GAP + GAP_PER_DOUBLING * (1.0 + minutes).log2()).round() as u32
}

/// `3 h`, `2 days`, `5 weeks`, to the whole unit; nothing for less than an hour.
fn idle_words(ms: i64) -> String {
    let hours = ms / (60 * MINUTE_MS);
    let (days, weeks) = (hours / 24, hours / (24 * 7));
    match (hours, days, weeks) {
        (..=0, _, _) => String::new(),
        (_, 0, _) => format!("{hours} h"),
        (_, 1, _) => "1 day".to_owned(),
        (_, ..=20, _) => format!("{days} days"),
        (_, _, _) => format!("{weeks} weeks"),
    }
}

fn line(place: usize, item: &Item, steps: &[Step], axis: &Axis) -> RibbonLine {
    let mut line = RibbonLine {
        tag: item.tag.clone(),
        number: place + 1,
        stays: Vec::new(),
        marks: Vec::new(),
        late: Vec::new(),
        gone: None,
    };
    for step in steps.iter().filter(|step| step.item == place) {
        add(&mut line, step, axis);
    }
    if let Some(last) = line.stays.last_mut().filter(|stay| stay.to.is_none()) {
        last.to_x = axis.now_x.max(last.from_x);
    }
    line
}

fn add(line: &mut RibbonLine, step: &Step, axis: &Axis) {
    let lane = Lane::of(step.after.holder);
    let from_x = axis.column(step.minute) + step.inset;
    let sign_x = from_x + step.lead() + SIGN / 2;
    if let Some(sign) = step.sign {
        line.marks.push(RibbonMark {
            sign,
            lane,
            x: sign_x,
            at: step.at,
        });
    }
    if step.is_late {
        line.late.push((lane, sign_x));
    }
    let was_gone = line.gone.is_some();
    if was_gone && step.after.gone.is_some() {
        return;
    }
    // The entry that ended it was withdrawn: its line goes on.
    line.gone = None;
    let is_same = !was_gone
        && line.stays.last().is_some_and(|stay| {
            stay.holder == step.after.holder
                && stay.quality == step.quality
                && stay.answers == step.after.answers
        });
    if step.after.gone.is_some() {
        line.gone = step.after.gone;
        end(line, step.at, sign_x);
    } else if !is_same {
        if !was_gone {
            end(line, step.at, from_x);
        }
        line.stays.push(Stay {
            lane,
            holder: step.after.holder,
            quality: step.quality,
            answers: step.after.answers.clone(),
            from: step.at,
            to: None,
            from_x,
            to_x: from_x,
            comes_over: step.comes_over(),
        });
    }
}

fn end(line: &mut RibbonLine, at: Moment, x: u32) {
    if let Some(last) = line.stays.last_mut() {
        last.to = Some(at);
        last.to_x = x;
    }
}

fn bars(items: &[Item], case: &CaseState, arch: Arch, axis: &Axis) -> Vec<Bar> {
    let bar = |stretch: mouth::Stretch| Bar {
        from_x: stretch.from.map_or(0, |at| axis.x_at(at)),
        to_x: stretch.to.map_or(axis.now_x, |at| axis.x_at(at)),
        wears: stretch.wears,
        from: stretch.from,
        to: stretch.to,
    };
    let line = mouth::timeline(items, case, arch);
    line.into_iter().map(bar).collect()
}
