//! How far the work of a case has come by its events, and when it rested: what a plan of its days counts from.

use super::agenda::OrderedWork;
use super::bench::{BenchEntry, BenchStep, ByRevision};
use super::case::Place;
use super::case_state::CaseState;
use super::event::Event;
use super::events::What;
use super::handoff::Handoff;
use super::item::{Item, ItemKind};
use super::lineage::is_delivered_as;
use super::purpose::Purpose;
use super::rested::rested;
use super::standstill::Halt;
use crate::domain::people::party::Side;
use crate::domain::trade::calendar::OpenDays;
use crate::domain::trade::plan::{Hour, Progress, Rest};
use crate::domain::trade::steps::Craft;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;
use time::Date;

/// Why nothing is made at the moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Resting {
    Halted(Halt),
    /// A question waits for this side's answer.
    Question(Side),
    /// A revision is promised with which the office answered.
    Promised,
    /// What was found wrong waits for this side's statement.
    FoundWrong(Side),
}

/// An arch, or none where both go together, with the furthest step that is done and its day.
pub type FinishedOn = (Option<Arch>, Option<(Craft, Date)>);

/// What the events say of the days.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SoFar {
    pub progress: Progress,
    /// The furthest step that an entry tells of, and its day, for each arch that is worked on.
    pub finished: Vec<FinishedOn>,
    /// The revision for which the furthest step is done, where it is an earlier one and nobody has said whether that stands
    /// for the one in force.
    pub done_for: Option<i64>,
    /// Whether the lab has entered steps at the bench in this round: what is not entered is not done then.
    pub is_written: bool,
    pub rests: Vec<Rest>,
    /// Why it rests, and since when.
    pub resting: Option<(Resting, Moment)>,
    /// Whether what is to go next, there or back, is packed and waits for the carrier.
    pub is_packed: bool,
}

/// What a clock on the wall shows at a moment, in milliseconds, in a zone by its name.
pub type WallClock = fn(i64, &str) -> Moment;

/// What is looked at.
#[derive(Debug, Clone, Copy)]
pub struct PlanContext<'a> {
    pub state: &'a CaseState,
    pub items: &'a [Item],
    pub events: &'a [Event],
    /// Where its work is.
    pub places: (Place, Option<Place>),
    /// The arches that are worked on.
    pub arches: &'a [Arch],
    /// What the revision in force orders.
    pub work: &'a [OrderedWork],
    /// When each revision was signed, the oldest first.
    pub signed: &'a [Moment],
    /// By which revision what is done counts.
    pub by: &'a ByRevision<'a>,
    pub lab: &'a OpenDays,
    /// The clock, with the zones of office and lab: an entry stands by the clock of whoever made it, and counts for the
    /// day of the house where it matters.
    pub clock: WallClock,
    pub zones: (&'a str, &'a str),
}

/// Something that was made, by an entry.
struct MadeStep {
    craft: Craft,
    step: BenchStep,
    /// None where it is of both, or of none.
    arch: Option<Arch>,
    at: Moment,
    /// The revision that it was made for; 0 before any was signed.
    revision: i64,
}

fn hour(at: Moment) -> Hour {
    (at.date(), Some(at.minutes()))
}

/// When a handoff left its sender; none while it waits there.
fn left(one: &Handoff) -> Option<Moment> {
    let at = one.picked_up.as_ref().map_or(one.released_at, |one| one.at);
    (!one.is_packed()).then_some(at)
}

impl<'a> PlanContext<'a> {
    fn at_lab(&self, at: Moment) -> Moment {
        (self.clock)(at.unix_ms, self.zones.1)
    }

    fn at_office(&self, at: Moment) -> Moment {
        (self.clock)(at.unix_ms, self.zones.0)
    }

    fn item(&self, tag: &Tag) -> Option<&'a Item> {
        Item::of(self.items, tag)
    }

    fn is_the_labs(&self, tag: &Tag) -> bool {
        let state = self.state.item(tag);
        state.is_some_and(|state| state.home == Side::Lab)
    }

    /// Handoffs to this side that were not taken back, in their order.
    fn handoffs(&self, to: Side) -> impl Iterator<Item = &'a Handoff> {
        let handoffs = self.state.handoffs.iter();
        handoffs.filter(move |one| one.to == to && one.voided.is_none())
    }

    /// Whether a handoff brings work back, and not only what was lent.
    fn brings_work(&self, one: &Handoff) -> bool {
        let is_return = matches!(one.purpose_code, Some(Purpose::GoingBack | Purpose::Stray));
        let is_work = |tag: &Tag| {
            self.item(tag).is_some_and(|item| {
                // A spare goes ahead of the work, unless it is the work.
                let is_ahead = item.kind == ItemKind::Duplicate && !self.is_ordered(item);
                let made = item.kind.is_made_for_the_mouth() && self.is_the_labs(tag);
                !is_ahead && (made || (one.purpose_code.is_some() && item.kind.is_wearable()))
            })
        };
        !is_return && one.sent.iter().any(|sent| is_work(&sent.tag))
    }

    /// Whether such a thing is what is ordered for its arch; anything may be where nothing says it.
    fn is_ordered(&self, item: &Item) -> bool {
        let is_it = |work: &OrderedWork| {
            let is_of_it = work.arch.is_none() || work.arch == item.arch;
            is_of_it && is_delivered_as(work.stage, item.kind)
        };
        self.work.is_empty() || self.work.iter().any(is_it)
    }

    fn has_final(&self, one: &Handoff) -> bool {
        let is_final = |tag: &Tag| {
            let item = self.item(tag);
            item.is_some_and(|item| item.kind == ItemKind::FinalDenture)
        };
        one.sent.iter().any(|sent| is_final(&sent.tag))
    }

    /// Whether something for each arch that is worked on is among what was sent.
    fn brings_all(&self, one: &Handoff) -> bool {
        let items = || one.sent.iter().filter_map(|sent| self.item(&sent.tag));
        let has = |arch: &Arch| items().any(|item| item.arch.is_none_or(|own| own == *arch));
        self.arches.iter().all(has)
    }

    fn is_at_the_lab(&self) -> bool {
        self.places.0 == Place::Lab || self.places.1 == Some(Place::Lab)
    }

    /// The handoff with which the work of the round now in hand came back; none while it has not left the lab.
    fn back(&self) -> Option<&'a Handoff> {
        let back = self
            .handoffs(Side::Office)
            .filter(|one| self.brings_work(one));
        let back = back.max_by_key(|one| one.released_at.unix_ms)?;
        let mut later = self.handoffs(Side::Lab);
        let is_sent_again = later.any(|one| {
            let is_later = one.released_at.unix_ms > back.released_at.unix_ms;
            is_later && !self.was_sent_in_error(one)
        });
        let is_ordered_again = back.received_at.is_some_and(|at| {
            let mut signed = self.signed.iter();
            !self.has_final(back) && signed.any(|one| one.unix_ms > at.unix_ms)
        });
        let is_part = back.received_at.is_some() && self.is_at_the_lab() && !self.brings_all(back);
        (!is_sent_again && !is_ordered_again && !is_part).then_some(back)
    }

    /// Whether all that went to the lab came back from there as sent in error.
    fn was_sent_in_error(&self, sent: &Handoff) -> bool {
        let is_back = |tag: &Tag| {
            let mut back = self.handoffs(Side::Office);
            back.any(|one| {
                let is_later = one.released_at.unix_ms > sent.released_at.unix_ms;
                is_later && one.purpose_code == Some(Purpose::Stray) && one.carries(tag)
            })
        };
        sent.sent.iter().all(|one| is_back(&one.tag))
    }

    /// When the round now in hand began: after the work came back the last time.
    fn begun_ms(&self, back: Option<&Handoff>) -> i64 {
        let backs = self
            .handoffs(Side::Office)
            .filter(|one| self.brings_work(one));
        let is_now = |one: &&Handoff| back.is_some_and(|back| back.id == one.id);
        let at_lab = self.is_at_the_lab();
        // While a part of it is still there, the round goes on.
        let backs = backs.filter(|one| !is_now(one) && (!at_lab || self.is_over(one)));
        let ended = backs.map(|one| one.released_at.unix_ms);
        ended.max().unwrap_or(i64::MIN)
    }

    /// Whether something was sent to the lab after this.
    fn is_over(&self, one: &Handoff) -> bool {
        let mut later = self.handoffs(Side::Lab);
        later.any(|sent| sent.released_at.unix_ms > one.released_at.unix_ms)
    }

    fn progress(&self, back: Option<&Handoff>, begun_ms: i64) -> Progress {
        let out = || {
            let sent = self.handoffs(Side::Lab);
            sent.filter(move |one| one.released_at.unix_ms > begun_ms)
        };
        let received = out().filter_map(|one| one.received_at);
        let received = received.min_by_key(|at| at.unix_ms);
        // Nothing is begun that is not ordered.
        let mut signed = self.signed.iter().filter(|at| at.unix_ms > begun_ms);
        let signed = signed.next().or(self.signed.last()).copied();
        let began = match (received, signed) {
            (Some(one), Some(other)) if other.unix_ms > one.unix_ms => Some(other),
            (received, _) => received,
        };
        let began = began.map(|at| self.at_lab(at));
        if let Some(back) = back {
            let came = began.unwrap_or(self.at_lab(back.released_at));
            return match (back.received_at, left(back)) {
                (Some(at), _) => Progress::Here(came.date(), self.at_office(at).date()),
                (None, Some(left)) => Progress::SentBack(came.date(), self.at_lab(left).date()),
                (None, None) => Progress::AtLab(hour(came)),
            };
        }
        let sent = out().filter_map(left).min_by_key(|at| at.unix_ms);
        match (began, sent) {
            (Some(came), _) => Progress::AtLab(hour(came)),
            (None, Some(sent)) => Progress::Sent(self.at_office(sent).date()),
            // Made from files, or from what lies there: it began when it was ordered.
            (None, None) if self.is_at_the_lab() && signed.is_some() => {
                let at = signed.map(|at| hour(self.at_lab(at)));
                at.map_or(Progress::ToBeSent, Progress::AtLab)
            }
            (None, None) => Progress::ToBeSent,
        }
    }

    /// What was entered at the bench since then.
    fn at_the_bench(&self, begun_ms: i64) -> impl Iterator<Item = &'a BenchEntry> {
        let entries = self.state.bench.iter();
        entries.filter(move |one| one.at.unix_ms > begun_ms)
    }

    /// The number of the revision that was in force at a moment.
    fn in_force_at(&self, at: Moment) -> i64 {
        let signed = self.signed.iter();
        let before = signed.filter(|one| one.unix_ms <= at.unix_ms).count();
        i64::try_from(before).unwrap_or(i64::MAX)
    }

    /// What was made since then, by entries: each step with its arch, where it is of one; not what is done again.
    fn made(&self, begun_ms: i64) -> Vec<MadeStep> {
        let mut made: Vec<MadeStep> = (self.events.iter())
            .filter(|event| event.at.unix_ms > begun_ms)
            .filter(|event| self.state.withdrawn_on(&event.id).is_none())
            .filter_map(|event| {
                let What::Registered(one) = &event.what else {
                    return None;
                };
                let item = self.item(&one.tag).filter(|_| self.is_the_labs(&one.tag))?;
                let (craft, step) = craft(item.kind)?;
                Some(MadeStep {
                    craft,
                    step,
                    arch: item.arch,
                    at: event.at,
                    revision: self.in_force_at(event.at),
                })
            })
            .collect();
        made.extend(self.at_the_bench(begun_ms).flat_map(|one| {
            let craft = craft_of(one.step);
            let arches = one.arches.treated().iter();
            arches.filter_map(move |arch| {
                Some(MadeStep {
                    craft: craft?,
                    step: one.step,
                    arch: Some(*arch),
                    at: one.at,
                    revision: one.revision,
                })
            })
        }));
        made.retain(|one| {
            let mut arches = self.arches_of(one);
            !arches.any(|arch| self.by.is_done_again(one.step, arch, one.revision))
        });
        made
    }

    /// The arches that something was made for.
    fn arches_of(&self, made: &MadeStep) -> impl Iterator<Item = Arch> {
        let own = made.arch;
        let all = Arch::ALL.iter().copied();
        all.filter(move |arch| own.is_none_or(|own| own == *arch))
    }

    /// The furthest that is entered for an arch.
    fn furthest(made: &[MadeStep], arch: Option<Arch>) -> Option<&MadeStep> {
        let is_of_it = |one: &&MadeStep| one.arch.is_none() || arch.is_none() || one.arch == arch;
        let own = made.iter().filter(is_of_it);
        own.max_by_key(|one| (one.craft, one.at.unix_ms))
    }

    /// The furthest step that is entered since then, for each arch that is worked on.
    fn finished(&self, made: &[MadeStep]) -> Vec<FinishedOn> {
        let of = |arch: Option<Arch>| {
            let furthest = Self::furthest(made, arch);
            furthest.map(|one| (one.craft, self.at_lab(one.at).date()))
        };
        self.each_arch().map(|arch| (arch, of(arch))).collect()
    }

    /// The earlier revision for which the furthest step of some arch is done, while nobody has said whether it stands.
    fn done_for(&self, made: &[MadeStep]) -> Option<i64> {
        let furthest = self.each_arch();
        let furthest = furthest.filter_map(|arch| Self::furthest(made, arch));
        let unsaid = furthest.filter(|one| {
            let mut arches = self.arches_of(one);
            arches.any(|arch| self.by.is_unsaid(one.step, arch, one.revision))
        });
        unsaid.map(|one| one.revision).filter(|one| *one > 0).min()
    }

    /// The arches that are worked on; none of them where nothing says which.
    fn each_arch(&self) -> impl Iterator<Item = Option<Arch>> {
        let arches = self.arches.iter().map(|arch| Some(*arch));
        arches.chain(self.arches.is_empty().then_some(None))
    }

    fn rests(&self) -> Vec<Rest> {
        let all = rested(self.state, self.events).into_iter();
        all.map(|(since, until)| Rest {
            from: self.at_lab(since).date(),
            // A word after the lab's hour counts for its next open day.
            until: until.map(|at| {
                let at = self.at_lab(at);
                let counts = self.lab.counts_for(at.date(), Some(at.minutes()));
                counts.unwrap_or_else(|_| at.date())
            }),
        })
        .collect()
    }

    fn resting(&self) -> Option<(Resting, Moment)> {
        let halted = self.state.standstill.as_ref();
        let halted = halted.map(|one| (Resting::Halted(one.halt), one.since));
        let asked = self.state.waits_for_answer();
        let asked = asked.map(|one| match one.promised {
            Some(_) => (Resting::Promised, one.at),
            None => (Resting::Question(one.to()), one.at),
        });
        let mut found = self
            .state
            .open_holds()
            .filter(|one| !one.waiting.is_empty());
        let found = found
            .next()
            .map(|one| (Resting::FoundWrong(one.side), one.since));
        halted.or(asked).or(found)
    }

    /// All of it.
    pub fn so_far(&self) -> SoFar {
        let back = self.back();
        let begun_ms = self.begun_ms(back);
        let packed = back.filter(|one| one.is_packed());
        let packed = packed.map(|one| (Craft::Finish, self.at_lab(one.released_at).date()));
        let made = self.made(begun_ms);
        let progress = self.progress(back, begun_ms);
        let mut to_lab = self.handoffs(Side::Lab);
        SoFar {
            progress,
            is_packed: match progress {
                Progress::ToBeSent => to_lab.any(Handoff::is_packed),
                _ => packed.is_some(),
            },
            finished: match packed {
                Some(_) => self.each_arch().map(|arch| (arch, packed)).collect(),
                None => self.finished(&made),
            },
            // What has left was looked at when it did.
            done_for: self.done_for(&made).filter(|_| back.is_none()),
            is_written: self.at_the_bench(begun_ms).next().is_some(),
            rests: self.rests(),
            resting: self.resting(),
        }
    }
}

/// What of the plan is done with a step at the bench; none where more is to come before it is.
fn craft_of(step: BenchStep) -> Option<Craft> {
    match step {
        BenchStep::CastPoured => Some(Craft::Pour),
        BenchStep::Mounted => Some(Craft::Mount),
        BenchStep::SetUp | BenchStep::Reset | BenchStep::TryInChecked => Some(Craft::SetUp),
        BenchStep::Remounted | BenchStep::Milled => Some(Craft::Cure),
        BenchStep::TrayMade
        | BenchStep::RimsMade
        | BenchStep::Duplicated
        | BenchStep::Relined
        | BenchStep::Repaired
        | BenchStep::Finished => Some(Craft::Finish),
        BenchStep::Matrix | BenchStep::Flasked | BenchStep::Cured => None,
    }
}

/// The step that is done once such a thing is there.
fn craft(kind: ItemKind) -> Option<(Craft, BenchStep)> {
    match kind {
        ItemKind::Cast => Some((Craft::Pour, BenchStep::CastPoured)),
        ItemKind::LabIndex => Some((Craft::Mount, BenchStep::Mounted)),
        ItemKind::TryIn => Some((Craft::SetUp, BenchStep::SetUp)),
        ItemKind::Rims => Some((Craft::Finish, BenchStep::RimsMade)),
        ItemKind::Duplicate => Some((Craft::Finish, BenchStep::Duplicated)),
        ItemKind::FinalDenture => Some((Craft::Finish, BenchStep::Finished)),
        _ => None,
    }
}
