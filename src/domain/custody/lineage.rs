//! What an item comes down from and what became of it, and what is lent and late.

use super::agenda::OrderedWork;
use super::case_state::CaseState;
use super::item::{Item, ItemKind};
use super::ordered::Ordered;
use super::standstill::Fate;
use super::state::Holder;
use crate::domain::people::party::Side;
use crate::domain::prescription::Stage;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::{Moment, days_off, whole_day};
use time::Date;

/// The line through one item: provisional, cast, try-in, final.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Lineage {
    /// What it was made from, and what that was made from, nearest first.
    pub from: Vec<Tag>,
    /// What was made from it, and what was made from that, nearest first.
    pub into: Vec<Tag>,
}

/// Follows an item back and forward. Each item is named once, however many ways lead to it.
pub fn lineage(case: &CaseState, tag: &Tag) -> Lineage {
    let steps = &case.descent;
    let back = |one: &Tag| -> Vec<Tag> {
        let into = steps.iter().filter(|(_, into, _)| into == one);
        into.map(|(from, _, _)| from.clone()).collect()
    };
    let forward = |one: &Tag| -> Vec<Tag> {
        let from = steps.iter().filter(|(from, _, _)| from == one);
        from.map(|(_, into, _)| into.clone()).collect()
    };
    Lineage {
        from: reached(tag, back),
        into: reached(tag, forward),
    }
}

/// Everything that can be reached step by step, without the beginning itself.
fn reached(from: &Tag, next: impl Fn(&Tag) -> Vec<Tag>) -> Vec<Tag> {
    let mut found: Vec<Tag> = Vec::new();
    let mut waiting = next(from);
    while !waiting.is_empty() {
        let mut further = Vec::new();
        for tag in waiting {
            if tag != *from && !found.contains(&tag) {
                further.extend(next(&tag));
                found.push(tag);
            }
        }
        waiting = further;
    }
    found
}

/// Where a lent thing is that is not with its lender.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoanNow {
    /// The house that borrowed it has it and can send it back.
    InHand,
    /// It is there, listed as enclosed, and the work for which it was lent has not been delivered.
    Needed,
    /// On its way back.
    ComesBack,
    /// On its way to the house that borrows it.
    GoesOut,
    /// It was not found in its parcel.
    Missing,
}

/// A lent thing that is not with its lender, and has a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loan {
    pub tag: Tag,
    /// The house that has to send it back, or, where the carrier has it, the one that had sent it on.
    pub side: Side,
    pub due: Date,
    /// Whether both houses agreed on that day, with the work.
    pub agreed: bool,
    pub now: LoanNow,
}

/// Whether a thing is what the lab hands over where this is ordered. Common practice, no source.
pub fn is_delivered_as(stage: Stage, kind: ItemKind) -> bool {
    match stage {
        Stage::Rims => kind == ItemKind::Rims,
        Stage::SetUp | Stage::TryIn | Stage::Reset => kind == ItemKind::TryIn,
        Stage::Process => kind == ItemKind::FinalDenture,
        Stage::Duplicate => kind == ItemKind::Duplicate,
        Stage::Reline | Stage::Rebase | Stage::Repair | Stage::Remount => kind.is_wearable(),
        Stage::Tray | Stage::Mount => matches!(
            kind,
            ItemKind::Cast
                | ItemKind::RemountCast
                | ItemKind::LabIndex
                | ItemKind::Rims
                | ItemKind::TryIn
                | ItemKind::Other
        ),
    }
}

/// What the lab registers as new where this is ordered; none where the work is done to what is there already, or is no
/// thing that is counted.
pub fn made_as(stage: Stage) -> Option<ItemKind> {
    match stage {
        Stage::Rims => Some(ItemKind::Rims),
        Stage::TryIn | Stage::SetUp | Stage::Reset => Some(ItemKind::TryIn),
        Stage::Process => Some(ItemKind::FinalDenture),
        Stage::Duplicate => Some(ItemKind::Duplicate),
        _ => None,
    }
}

/// Whether a piece of the work has left the lab since it was ordered, and is not back there.
fn has_left(work: &OrderedWork, items: &[Item], case: &CaseState, since: Moment) -> bool {
    let is_it = |tag: &Tag| {
        let item = Item::of(items, tag);
        let is_of_it = item.is_some_and(|item| {
            is_delivered_as(work.stage, item.kind)
                && (work.arch.is_none() || item.arch == work.arch)
        });
        let state = case.item(tag).filter(|state| state.is_there());
        let is_out = state.is_some_and(|state| {
            !matches!(
                state.holder,
                Holder::Lab | Holder::Carrier { to: Side::Lab }
            )
        });
        is_of_it && is_out
    };
    let handoffs = case.handoffs.iter().filter(|one| {
        one.from == Side::Lab && one.voided.is_none() && one.released_at.unix_ms >= since.unix_ms
    });
    handoffs
        .flat_map(|one| &one.sent)
        .any(|sent| is_it(&sent.tag))
}

/// Whether the lab works with a thing still: the revision in force lists it, and what was ordered has not left.
fn is_needed(item: &Item, items: &[Item], case: &CaseState, ordered: &Ordered) -> bool {
    let Some(since) = ordered
        .since
        .filter(|_| !case.closed && !case.is_cancelled())
    else {
        return false;
    };
    let is_for_it =
        |work: &&OrderedWork| item.arch.is_none() || work.arch.is_none() || work.arch == item.arch;
    let mut work = ordered.work.iter().filter(is_for_it);
    ordered.enclosed.contains(&item.tag) && work.any(|work| !has_left(work, items, case, since))
}

/// What is to be said of a lent thing; nothing of one that its lender has, that is gone or stays, or has no day.
///
/// It is due as it was registered, or by the prescription in force, whichever is earlier. What goes with the work is
/// due with it: on the day that both houses agreed on, and not before the work itself.
pub fn loan(item: &Item, items: &[Item], case: &CaseState, ordered: &Ordered) -> Option<Loan> {
    let state = case.item(&item.tag).filter(|state| state.is_there())?;
    let wanted = ordered.wanted_back.get(&item.tag).copied();
    let day = [state.due_back, wanted].into_iter().flatten().min()?;
    let stays = case.fate(&item.tag) == Some(Fate::Stays);
    if !item.borrowed || stays || state.holder == Holder::of(state.home) {
        return None;
    }
    let needed = state.home == Side::Office && is_needed(item, items, case, ordered);
    let agreed = case
        .agreed_day(ordered.revision)
        .filter(|agreed| *agreed > day && ordered.enclosed.contains(&item.tag));
    let with_work = case
        .day_due(ordered.revision, ordered.wanted)
        .filter(|due| needed && *due > day);
    let now = match state.holder {
        Holder::Carrier { .. } if state.missing => LoanNow::Missing,
        Holder::Carrier { to } if to == state.home => LoanNow::ComesBack,
        Holder::Carrier { .. } => LoanNow::GoesOut,
        _ if needed => LoanNow::Needed,
        _ => LoanNow::InHand,
    };
    Some(Loan {
        tag: item.tag.clone(),
        side: state.home.other(),
        due: agreed.or(with_work).unwrap_or(day),
        agreed: agreed.is_some(),
        now,
    })
}

impl Loan {
    /// Whether its day has passed and nothing excuses it: on the day itself it is not late.
    pub fn is_late(&self, today: Date) -> bool {
        self.due < today && !matches!(self.now, LoanNow::Needed | LoanNow::Missing)
    }

    /// "due back on Wed 25 Nov 2026", to be read inside a sentence; what is needed still says also how late it is.
    pub fn due_words(&self, today: Option<Date>) -> String {
        let day = whole_day(self.due);
        let off = today.filter(|today| self.due < *today);
        let off = off.map_or_else(String::new, |today| {
            format!(", {}", days_off(self.due, today))
        });
        let needed = format!("{day}{off}; still needed for the work");
        match today {
            _ if self.now == LoanNow::Needed && self.agreed => format!("agreed until {needed}"),
            _ if self.now == LoanNow::Needed => format!("due back on {needed}"),
            Some(today) if self.agreed && self.is_late(today) => format!("was agreed until {day}"),
            _ if self.agreed => format!("agreed until {day}"),
            Some(today) if today == self.due => "due back today".to_owned(),
            Some(today) if self.is_late(today) => format!("was due back on {day}"),
            _ => format!("due back on {day}"),
        }
    }
}

/// What is lent and due by `today`, the day itself included; what its lender holds, and what is gone, is not.
pub fn overdue(items: &[Item], case: &CaseState, ordered: &Ordered, today: Date) -> Vec<Loan> {
    let loans = items
        .iter()
        .filter_map(|item| loan(item, items, case, ordered));
    loans.filter(|one| one.due <= today).collect()
}
