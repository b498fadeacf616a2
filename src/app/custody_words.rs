//! What a custody sheet says of each item and each arch, drawn from the events.

use super::case_work::CaseWork;
use crate::domain::custody;
use crate::domain::custody::events::Closed;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::item::Item;
use crate::domain::custody::mouth::{self, Wears};
use crate::domain::custody::ribbon::Ribbon;
use crate::domain::custody::{
    Custody, Disposition, Found, Gone, Holder, Outcome, Sent, What, fold, handlers, is_closed,
};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::papers::custody_sheet::{ItemRow, WornRow};

/// A row for each line of the ribbon, in its order.
pub fn items(work: &CaseWork, ribbon: &Ribbon) -> Vec<ItemRow> {
    let (custody, handoffs) = (fold(&work.events), custody::handoffs(&work.events));
    let row = |(number, tag): (usize, &Tag)| {
        let item = work.items.iter().find(|item| item.tag == *tag)?;
        let hands = handlers(&work.events, tag);
        let people = hands.people.len();
        Some(ItemRow {
            number,
            tag: tag.to_string(),
            title: item.title(),
            kind: item
                .kind
                .shown()
                .trim_end_matches(" denture")
                .to_lowercase(),
            handlers: format!(
                "{}, {people} {}",
                hands.handoffs,
                if people == 1 { "person" } else { "people" }
            ),
            conditions: conditions(&handoffs, tag),
            end: end(work, &custody, item),
        })
    };
    let lines = ribbon.lines.iter().map(|line| (line.number, &line.tag));
    lines.filter_map(row).collect()
}

/// How it left and how it arrived, a line for each handoff.
fn conditions(handoffs: &[Handoff], tag: &Tag) -> String {
    let line = |handoff: &Handoff| {
        let sent = handoff.sent.iter().find(|sent| sent.tag == *tag)?;
        let found = handoff.found.iter().find(|found| found.tag == *tag);
        let to = match handoff.to {
            Side::Office => "To the office",
            Side::Lab => "To the lab",
        };
        let arrived = match (found, &handoff.voided) {
            (_, Some(_)) => "taken back, it never left".to_owned(),
            (Some(found), _) => format!("arrived {}", found_words(found)),
            (None, _) => "not arrived yet".to_owned(),
        };
        Some(format!("{to}: left {}, {arrived}", sent_words(sent)))
    };
    let lines: Vec<String> = handoffs.iter().filter_map(line).collect();
    lines.join("\n")
}

fn sent_words(sent: &Sent) -> String {
    let condition = match sent.condition.as_str() {
        "" => "sound",
        words => words,
    };
    with_pieces(condition.to_owned(), sent.pieces)
}

fn found_words(found: &Found) -> String {
    let words = match (found.outcome, found.note.as_str()) {
        (outcome, "") => outcome.shown().to_owned(),
        (outcome, note) => format!("{} ({note})", outcome.shown()),
    };
    let is_here = found.outcome != Outcome::Missing;
    with_pieces(words, found.pieces.filter(|_| is_here))
}

fn with_pieces(words: String, pieces: Option<u32>) -> String {
    match pieces {
        None => words,
        Some(1) => format!("{words}, 1 piece"),
        Some(many) => format!("{words}, {many} pieces"),
    }
}

/// The final word on an item: by the end of the case, or by its own; or that it has none yet.
fn end(work: &CaseWork, custody: &Custody, item: &Item) -> String {
    if let Some(disposition) = disposed(work, &item.tag) {
        return disposition.shown().to_owned();
    }
    let Some(state) = custody.get(&item.tag) else {
        return String::new();
    };
    let now = match (state.gone, state.holder) {
        (Some(Gone::UsedUp), _) => return Disposition::UsedUp.shown().to_owned(),
        (Some(Gone::Destroyed), _) => return Disposition::Destroyed.shown().to_owned(),
        (Some(Gone::WrittenOff), _) => return Disposition::WrittenOff.shown().to_owned(),
        (None, Holder::Office) if state.withheld.is_some() => {
            return Disposition::KeptBack.shown().to_owned();
        }
        (None, Holder::Office) => "at the office",
        (None, Holder::Lab) => "at the lab",
        (None, Holder::Carrier { .. }) if state.missing => "missing on the way",
        (None, Holder::Carrier { .. }) => "on the way",
        (None, Holder::Patient) if state.worn => "in the mouth",
        (None, Holder::Patient) => "with the patient",
    };
    format!("not at its end: {now}")
}

fn disposed(work: &CaseWork, tag: &Tag) -> Option<Disposition> {
    if !is_closed(&work.events) {
        return None;
    }
    let last = work
        .events
        .iter()
        .rev()
        .find_map(|event| match &event.what {
            What::Closed(Closed { items, .. }) => Some(items),
            _ => None,
        })?;
    let found = last.iter().find(|one| one.tag == *tag)?;
    Some(found.disposition)
}

/// The line of each treated arch in words.
pub fn worn(work: &CaseWork) -> Vec<WornRow> {
    let mut rows = Vec::new();
    for &arch in work.case.arches.treated() {
        for stretch in mouth::timeline(&work.items, &work.events, arch) {
            rows.push(WornRow {
                arch: arch.shown().to_owned(),
                from: stretch
                    .from
                    .map_or("before".to_owned(), |at| at.to_string()),
                to: stretch.to.map_or("still".to_owned(), |at| at.to_string()),
                worn: match &stretch.wears {
                    Wears::Unknown => "not known".to_owned(),
                    Wears::Nothing => "nothing".to_owned(),
                    Wears::Item(tag) => named(work, tag),
                },
            });
        }
    }
    rows
}

fn named(work: &CaseWork, tag: &Tag) -> String {
    let item = work.items.iter().find(|item| item.tag == *tag);
    format!("{} {tag}", item.map(Item::title).unwrap_or_default())
}
