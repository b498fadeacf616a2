//! What of one case is counted: the rounds that its work makes through the lab, and what was asked.
//!
//! A round begins when things for work come to the lab and ends with a return of work. Whatever comes between two
//! returns belongs to the same round, and each return of a round is counted from its beginning.

use crate::domain::custody::bench::BenchEntry;
use crate::domain::custody::follow_up::{FollowUpEntry, FollowedBy, WorkCause, WorkShare};
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::item::Item;
use crate::domain::custody::rested::rested;
use crate::domain::custody::{CaseState, Event, Purpose, Question, is_cast};
use crate::domain::people::party::Side;
use crate::domain::prescription::revision::Document;
use crate::domain::prescription::{Course, OrderKind, Stage};
use crate::domain::review::courses::course_written;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;
use time::Date;

words_of! {
    /// What comes back from the lab.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum WorkBack {
        Record = "For records in the mouth",
        Trial = "For a try-in",
        Finished = "Finished",
        Other = "Other work",
    }
}

/// A return of work from the lab.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabRound {
    pub came: Moment,
    /// Into the carrier's hands.
    pub left: Moment,
    pub back: WorkBack,
    /// At the office; none while it is on the way.
    pub arrived: Option<Moment>,
    /// Of the time between, how long the work could not go on.
    pub held_ms: i64,
}

impl LabRound {
    /// All the time at the lab.
    pub fn whole_ms(&self) -> i64 {
        (self.left.unix_ms - self.came.unix_ms).max(0)
    }

    /// The time in which the work could go on.
    pub fn working_ms(&self) -> i64 {
        (self.whole_ms() - self.held_ms).max(0)
    }

    /// Whether such a return is what an order of these stages asks for, so that its day is the day of this return: a
    /// try-in on the way to a finished denture is not.
    pub fn is_asked_by(&self, stages: &[Stage]) -> bool {
        let has = |wanted: &[Stage]| stages.iter().any(|stage| wanted.contains(stage));
        match self.back {
            WorkBack::Finished => true,
            WorkBack::Record => has(&[Stage::Tray, Stage::Rims, Stage::Mount]),
            WorkBack::Trial => has(&[Stage::SetUp, Stage::TryIn, Stage::Reset]),
            WorkBack::Other => false,
        }
    }
}

/// A return with what was asked of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskedRound {
    pub round: LabRound,
    /// The day on which it was to be at the office; none where no day was asked for this return.
    pub due: Option<Date>,
}

/// What was ordered first in a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FirstOrder {
    pub signed: Moment,
    pub course: Course,
    pub kind: Option<OrderKind>,
}

impl FirstOrder {
    /// What a signed text orders.
    pub fn of(document: &Document, signed: Moment) -> FirstOrder {
        FirstOrder {
            signed,
            course: course_written(&document.prescription),
            kind: document.prescription.order.kind,
        }
    }
}

/// The stages that a signed text asks for, piece by piece.
pub fn stages(document: &Document) -> Vec<Stage> {
    let pieces = document.prescription.order.pieces.iter();
    pieces.filter_map(|piece| piece.stage).collect()
}

/// What of one case is counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CaseTrack {
    pub number: CaseNumber,
    pub rounds: Vec<AskedRound>,
    pub asked: Vec<AskedPart>,
    /// None before anything is signed.
    pub order: Option<FirstOrder>,
    /// What the lab was to make again, or to correct, after a fit, and has answered.
    pub agreed: Vec<AgreedAgain>,
    /// What was done at the bench in the month.
    pub done: Vec<BenchEntry>,
}

/// Work after a fit that the lab has agreed on, or sees otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AgreedAgain {
    pub at: Moment,
    pub is_remake: bool,
    pub cause: WorkCause,
    /// Whose part it was, as the office sees it, and the lab where it agrees.
    pub share: Option<WorkShare>,
    /// Whether the lab sees that part otherwise.
    pub is_disputed: bool,
}

impl AgreedAgain {
    /// What a check after the fit has led to; none where no work came of it, or the lab has not answered yet.
    pub fn of(check: &FollowUpEntry) -> Option<AgreedAgain> {
        let answer = check.answer.as_ref()?;
        check.followed_by.is_work().then_some(AgreedAgain {
            at: answer.at,
            is_remake: check.followed_by == FollowedBy::Remake,
            cause: check.cause.unwrap_or(WorkCause::Unknown),
            share: check.share,
            is_disputed: !answer.agrees,
        })
    }
}

/// How much of the time from `from` to `to` is covered by stretches, be they one above the other.
pub fn covered((from, to): (i64, i64), stretches: &[(i64, Option<i64>)]) -> i64 {
    let inside = stretches.iter().filter_map(|(begin, end)| {
        let (begin, end) = ((*begin).max(from), end.unwrap_or(to).min(to));
        (begin < end).then_some((begin, end))
    });
    let mut inside: Vec<(i64, i64)> = inside.collect();
    inside.sort_unstable();
    let mut reached = from;
    inside.into_iter().fold(0, |sum, (begin, end)| {
        let fresh = (end - begin.max(reached)).max(0);
        reached = reached.max(end);
        sum + fresh
    })
}

/// When things left with this handoff; none where they did not, or it was taken back.
fn left_at(handoff: &Handoff) -> Option<Moment> {
    if handoff.voided.is_some() || handoff.is_packed() {
        return None;
    }
    let picked_up = handoff.picked_up.as_ref().map(|one| one.at);
    Some(picked_up.unwrap_or(handoff.released_at))
}

/// Whether a thing brings no work back by itself: what was lent goes home or ahead, and a cast only goes along, unless a
/// tray or a mounting is ordered.
pub fn brings_no_work(item: &Item, ordered: &[Stage]) -> bool {
    let is_work = ordered
        .iter()
        .any(|stage| matches!(stage, Stage::Tray | Stage::Mount));
    item.borrowed || (is_cast(item.kind) && !is_work)
}

/// What work a handoff of the lab brings back; none where it only sends things back.
fn work_back(
    handoff: &Handoff,
    state: &CaseState,
    is_no_work: &impl Fn(&Tag) -> bool,
) -> Option<WorkBack> {
    match handoff.purpose_code {
        _ if !handoff.sent.is_empty() && handoff.sent.iter().all(|sent| is_no_work(&sent.tag)) => {
            None
        }
        Some(Purpose::Record) => Some(WorkBack::Record),
        Some(Purpose::Trial) => Some(WorkBack::Trial),
        Some(Purpose::Finished) => Some(WorkBack::Finished),
        Some(Purpose::GoingBack | Purpose::Stray) => None,
        // Said in words of one's own: work is what the lab has made and sends for the first time.
        _ => {
            let is_made = |tag| state.item(tag).is_some_and(|one| one.home == Side::Lab);
            let mut sent = handoff.sent.iter();
            sent.any(|sent| is_made(&sent.tag))
                .then_some(WorkBack::Other)
        }
    }
}

/// Whether things come to the lab for work with this handoff.
fn is_for_work(handoff: &Handoff) -> bool {
    let purpose = handoff.purpose_code;
    !matches!(purpose, Some(Purpose::GoingBack | Purpose::Stray))
}

/// Every return of work of a case, in the order in which they left; `is_no_work` says which things bring none back.
pub fn rounds(
    state: &CaseState,
    events: &[Event],
    is_no_work: impl Fn(&Tag) -> bool,
) -> Vec<LabRound> {
    let held = rested(state, events).into_iter();
    let held: Vec<(i64, Option<i64>)> = held
        .map(|(from, until)| (from.unix_ms, until.map(|at| at.unix_ms)))
        .collect();
    let handoffs = || state.handoffs.iter().filter(|one| one.voided.is_none());
    let to_lab = handoffs().filter(|one| one.to == Side::Lab && is_for_work(one));
    let mut came: Vec<Moment> = to_lab.filter_map(|one| one.received_at).collect();
    came.sort_by_key(|at| at.unix_ms);
    let from_lab = handoffs().filter(|one| one.from == Side::Lab);
    let mut left: Vec<(Moment, WorkBack, Option<Moment>)> = from_lab
        .filter_map(|one| {
            Some((
                left_at(one)?,
                work_back(one, state, &is_no_work)?,
                one.received_at,
            ))
        })
        .collect();
    left.sort_by_key(|(at, ..)| at.unix_ms);
    let mut rounds: Vec<LabRound> = Vec::new();
    for (left, back, arrived) in left {
        let before = rounds.last().map(|last: &LabRound| last.left.unix_ms);
        // The first thing that came since the last return; where nothing did, the round goes on.
        let is_since = |at: &&Moment| {
            at.unix_ms <= left.unix_ms && before.is_none_or(|before| at.unix_ms > before)
        };
        let since = came.iter().find(is_since).copied();
        let Some(came) = since.or(rounds.last().map(|last| last.came)) else {
            continue;
        };
        rounds.push(LabRound {
            came,
            left,
            back,
            arrived,
            held_ms: covered((came.unix_ms, left.unix_ms), &held),
        });
    }
    rounds
}

/// A question as it is counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskedPart {
    pub at: Moment,
    /// The section of the prescription; none where it was asked about a thing or the whole case.
    pub section: Option<String>,
    pub about_item: bool,
    pub waits: bool,
    /// How long until it was answered; none while it is open, or where it was taken back.
    pub answered_ms: Option<i64>,
}

impl From<&Question> for AskedPart {
    fn from(question: &Question) -> AskedPart {
        let reply = question.reply.as_ref().filter(|reply| !reply.taken_back);
        AskedPart {
            at: question.at,
            section: question.section.clone(),
            about_item: question.item.is_some(),
            waits: question.waits,
            answered_ms: reply.map(|reply| (reply.at.unix_ms - question.at.unix_ms).max(0)),
        }
    }
}
