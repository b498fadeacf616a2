//! Where items are, in what state, and what is worn, in words drawn from the events: for the pages of a case
//! and for its custody sheet.

use super::case_work::CaseWork;
use crate::domain::custody::at as custody_at;
use crate::domain::custody::emptied::emptied;
use crate::domain::custody::events::Closed;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::mouth::{self, Wears};
use crate::domain::custody::ribbon::{Quality, Ribbon, RibbonLine};
use crate::domain::custody::{
    CaseState, Condition, Custody, Disposition, Found, Gone, Holder, HouseNames, Outcome,
    PassedPlace, Sent, State, ToMake, Trouble, What, handlers, loan,
};
use crate::domain::people::party::Side;
use crate::domain::people::patient::OwnTeeth;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::{Moment, days_off, whole_day};
use crate::domain::values::words::capitalised;
use crate::papers::custody_sheet::{ItemRow, WornRow};
use time::Date;

/// A word of an item's state; the bad ones are marked by more than colour.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StateWord {
    pub words: String,
    pub bad: bool,
}

/// An item of a case as a line of a list.
#[derive(Debug, Clone)]
pub struct ItemLine {
    pub tag: Tag,
    pub title: String,
    pub pieces: u32,
    /// Where it is.
    pub holder: String,
    /// Who answers for it.
    pub answers: String,
    pub states: Vec<StateWord>,
    pub gone: bool,
}

/// Every item of a case with where it is, in the order of registration.
pub fn item_lines(work: &CaseWork, custody: &Custody, today: Option<Date>) -> Vec<ItemLine> {
    let line = |item: &Item| Some(line_of(work, item, custody.get(&item.tag)?, today));
    work.items.iter().filter_map(line).collect()
}

/// One item of a case with where it is now.
pub fn item_line(work: &CaseWork, item: &Item, today: Date) -> Option<ItemLine> {
    let state = work.state.item(&item.tag)?;
    Some(line_of(work, item, state, Some(today)))
}

fn line_of(work: &CaseWork, item: &Item, state: &State, today: Option<Date>) -> ItemLine {
    ItemLine {
        tag: item.tag.clone(),
        title: item.title(),
        pieces: state.pieces.unwrap_or(item.pieces),
        holder: holder_words(&item.tag, state, work),
        answers: state.answers.clone(),
        states: state_words(work, item, state, today),
        gone: state.gone.is_some(),
    }
}

/// Where an item is now; empty of what is not registered.
pub fn where_it_is(work: &CaseWork, tag: &Tag) -> String {
    let state = work.state.item(tag);
    state.map_or_else(String::new, |state| holder_words(tag, state, work))
}

/// Where an item was at a moment and who answered for it, in a sentence; the moment also as whoever asks reads it.
pub fn where_it_was(work: &CaseWork, item: &Item, (unix_ms, shown): (i64, Moment)) -> String {
    let shown = shown.in_words();
    let custody = custody_at(&work.events, unix_ms);
    match custody.get(&item.tag) {
        None => format!("{shown}: it was not registered yet."),
        Some(state) => {
            let missing = match state.missing {
                true => ", missing from its parcel",
                false => "",
            };
            let whose = match state.is_there() {
                true => "Who answered for it",
                false => "The last who answered for it",
            };
            let holder = holder_words(&item.tag, state, work);
            format!("{shown}: {holder}{missing}. {whose}: {}.", state.answers)
        }
    }
}

/// Where a thing of work that is passed on is now, for the houses of the case.
pub fn where_passed(work: &CaseWork, tag: &Tag) -> String {
    let state = work.state.item(tag).filter(|state| state.is_there());
    match state.map(|state| state.holder) {
        Some(Holder::Passed(place)) => passed_words(work, tag, place),
        Some(holder) => holder.place(),
        None => "no more".to_owned(),
    }
}

/// The same for the second laboratory, which hears nothing of what neither it nor the first has.
pub fn where_passed_to_us(work: &CaseWork, tag: &Tag) -> String {
    let state = work.state.item(tag).filter(|state| state.is_there());
    match state.map(|state| state.holder) {
        Some(Holder::Passed(place)) => passed_words(work, tag, place),
        Some(Holder::Lab) => Holder::Lab.place_in(work.house_names()),
        _ => format!("no more at {}", work.lab.name),
    }
}

/// Whether a thing was disinfected in the house that has it, in words.
pub fn disinfection_words(work: &CaseWork, item: &Item) -> &'static str {
    match (
        item.kind.needs_disinfection(),
        work.is_disinfected(&item.tag),
    ) {
        (false, _) => "needs no disinfection",
        (true, true) => "disinfected",
        (true, false) => "not yet disinfected here",
    }
}

/// Where an item is, with the names of the houses.
pub fn holder_words(tag: &Tag, state: &State, work: &CaseWork) -> String {
    let words = match (state.gone, state.holder) {
        (Some(Gone::UsedUp), _) => "used up".to_owned(),
        (Some(Gone::Destroyed), _) => "destroyed".to_owned(),
        (Some(Gone::WrittenOff), _) => "written off as lost".to_owned(),
        (Some(Gone::Mistaken), _) => "registered by mistake".to_owned(),
        (None, Holder::Patient) if state.worn => "in the patient's mouth".to_owned(),
        (None, Holder::Passed(place)) => passed_words(work, tag, place),
        (None, Holder::Office | Holder::Lab) => holder_name(state.holder, work),
        (None, holder) => holder.place_in(work.house_names()),
    };
    match (&state.place, state.gone) {
        (Some(place), None) => format!("{words}, {place}"),
        _ => words,
    }
}

/// A holder by name: the house, the house it is on the way to, or the patient.
pub fn holder_name(holder: Holder, work: &CaseWork) -> String {
    match holder {
        Holder::Office => work.office.name.clone(),
        Holder::Lab => work.lab.name.clone(),
        Holder::Carrier { .. } => holder.place_in(work.house_names()),
        Holder::Patient => "the patient".to_owned(),
        Holder::Passed(_) => capitalised(&holder.place()),
    }
}

/// "at Anvil Dental Laboratory since Mon 30 Nov 2026"
pub fn passed_words(work: &CaseWork, tag: &Tag, place: PassedPlace) -> String {
    let mut passes = work.state.passes.iter().rev();
    let Some(pass) = passes.find(|one| one.items.contains(tag)) else {
        return Holder::Passed(place).place();
    };
    let words = Holder::Passed(place).place_in(HouseNames {
        second_lab: &pass.to.name,
        ..work.house_names()
    });
    match (place, pass.arrived_at) {
        (PassedPlace::At, Some(since)) => format!("{words} since {}", whole_day(since.date())),
        _ => words,
    }
}

/// "damaged: flange chipped", of a thing with which something is the matter by the record; empty for others.
pub fn wrong_words(work: &CaseWork, tag: &Tag) -> String {
    let condition = work.state.item(tag).map(|state| state.condition);
    let (words, trouble) = match condition {
        None | Some(Condition::Sound) => return String::new(),
        Some(Condition::Damaged) => ("damaged", Trouble::Damaged),
        Some(Condition::NotAsDescribed) => ("not as described", Trouble::NotAsDescribed),
    };
    let mut holds = work.state.holds.iter().rev();
    let newest = holds.find(|one| one.trouble == trouble && one.tag.as_ref() == Some(tag));
    match newest.map(|one| one.detail.as_str()) {
        None | Some("") => words.to_owned(),
        Some(detail) => format!("{words}: {detail}"),
    }
}

/// Where a line of the ribbon ends: with its holder, or by being gone.
pub fn end_of_line(work: &CaseWork, line: &RibbonLine) -> String {
    match (line.gone, line.marks.last(), line.stays.last()) {
        (Some(_), Some(mark), _) => mark.sign.shown().to_owned(),
        (_, _, Some(stay)) => {
            let quality = match stay.quality {
                Quality::Plain => "",
                Quality::Held => ", on hold",
                Quality::Missing => ", missing from the parcel",
            };
            format!("{}{quality}", holder_name(stay.holder, work))
        }
        _ => String::new(),
    }
}

/// The rest of an item's state in words; what is late is said of a day that is given.
pub fn state_words(
    work: &CaseWork,
    item: &Item,
    state: &State,
    today: Option<Date>,
) -> Vec<StateWord> {
    let mut words = Vec::new();
    let mut say = |text: &str, bad: bool| {
        words.push(StateWord {
            words: text.to_owned(),
            bad,
        })
    };
    if state.packed {
        say("packed, waits for the carrier", false);
    }
    if state.missing {
        say("missing from the parcel", true);
    }
    match state.condition {
        Condition::Sound => {}
        Condition::Damaged => say("damaged", true),
        Condition::NotAsDescribed => say("not as described", true),
    }
    if item.kind.needs_disinfection() && state.gone.is_none() {
        if state.held_for_disinfection {
            say("held: disinfect and record it", true);
        } else if state.disinfected {
            say("disinfected", false);
        }
    }
    if state.spare {
        say("the spare", false);
    }
    if state.given_back {
        say("given back to the patient", false);
    }
    // While it travels it is not in its drawer; that it is kept back stands until it is ended.
    let is_kept = state.is_there() && state.holder == Holder::Office;
    if let Some(kept) = state.withheld.as_ref().filter(|_| is_kept) {
        say(&format!("kept back, {kept}"), false);
    }
    let is_at_its_lender = state.is_there() && state.holder == Holder::of(state.home);
    // With its lender it is a thing like any other.
    if item.borrowed && !is_at_its_lender {
        match loan(item, &work.items, &work.state, &work.ordered) {
            Some(one) => {
                let late = today.filter(|today| one.is_late(*today));
                // How late it is says already that the day was.
                let due = one.due_words(today.filter(|_| late.is_none()));
                let off = late.map_or_else(String::new, |today| {
                    format!(", {}", days_off(one.due, today))
                });
                let is_past = today.is_some_and(|today| one.due < today);
                say(&format!("on loan, {due}{off}"), is_past);
            }
            None => say("on loan", false),
        }
    }
    words
}

/// What each treated arch wears in `state`: the case's own, or the one of an earlier moment.
pub fn mouth_words(work: &CaseWork, state: &CaseState) -> Vec<(String, String)> {
    let line = state.worn(&work.items);
    let arches = work.case.arches.treated().iter();
    arches
        .map(|&arch| {
            let worn = mouth::worn_in(&line, arch);
            let item = work.items.iter().find(|item| Some(&item.tag) == worn);
            let words = match item {
                Some(item) => format!("{} {}", item.kind.shown(), item.tag),
                None => emptied(&work.items, state, arch).map_or_else(
                    || "nothing recorded".to_owned(),
                    |one| format!("nothing: {}", one.how.words()),
                ),
            };
            (arch.shown().to_owned(), words)
        })
        .collect()
}

/// What each treated arch wears now. Natural teeth are something: an arch that has them is not empty.
pub fn mouth_now(work: &CaseWork) -> Vec<(String, String)> {
    let line = work.state.worn(&work.items);
    let arches = work.case.arches.treated().iter();
    let words = mouth_words(work, &work.state).into_iter();
    let with_teeth = |(arch, (name, words)): (&Arch, (String, String))| {
        let teeth = work.teeth_in(*arch);
        // Where a denture was in, the natural teeth that the card still names are out.
        let is_kept = line.iter().all(|one| one.arch != *arch)
            || teeth == Some(OwnTeeth::Implants) && mouth::worn_in(&line, *arch).is_none();
        let teeth = teeth.filter(|_| is_kept);
        (name, teeth.map_or(words, |teeth| teeth.shown().to_owned()))
    };
    arches.zip(words).map(with_teeth).collect()
}

/// What an arch wears, in words.
pub fn worn_words(work: &CaseWork, wears: &Wears) -> String {
    match wears {
        Wears::Unknown => "not known".to_owned(),
        Wears::Nothing => "nothing".to_owned(),
        Wears::Item(tag) => title_and_tag(work, tag),
    }
}

/// An item's title; empty where the case has no such item.
pub fn title_of(work: &CaseWork, tag: &Tag) -> String {
    let item = work.item(tag);
    item.map(Item::title).unwrap_or_default()
}

/// An item by title and tag.
pub fn title_and_tag(work: &CaseWork, tag: &Tag) -> String {
    format!("{} {tag}", title_of(work, tag))
}

/// "wax try-in, upper and lower; ..."
pub(super) fn made_words(made: &[ToMake]) -> String {
    let mut kinds: Vec<(ItemKind, Vec<&str>)> = Vec::new();
    for (kind, arch) in made {
        match kinds.iter_mut().find(|(own, _)| own == kind) {
            Some((_, arches)) => arches.push(arch.shown()),
            None => kinds.push((*kind, vec![arch.shown()])),
        }
    }
    let words = kinds
        .iter()
        .map(|(kind, arches)| format!("{}, {}", kind.shown().to_lowercase(), arches.join(" and ")));
    words.collect::<Vec<_>>().join("; ")
}

/// `provisional`, for a place that says already that it is a denture.
pub fn short_kind(item: &Item) -> String {
    let shown = item.kind.shown().trim_end_matches(" denture");
    shown.to_lowercase()
}

/// A row of the custody sheet for each line of the ribbon, in its order.
pub fn items(work: &CaseWork, ribbon: &Ribbon) -> Vec<ItemRow> {
    let (custody, handoffs) = (&work.state.custody, &work.state.handoffs);
    let row = |(number, tag): (usize, &Tag)| {
        let item = work.item(tag)?;
        let hands = handlers(&work.state, &work.events, tag);
        let people = hands.people.len();
        Some(ItemRow {
            number,
            tag: tag.to_string(),
            title: item.title(),
            kind: short_kind(item),
            handlers: format!(
                "{} ({people} {})",
                hands.handoffs,
                if people == 1 { "person" } else { "people" }
            ),
            conditions: conditions(handoffs, tag),
            end: end(work, custody, item),
        })
    };
    let lines = ribbon.lines.iter().map(|line| (line.number, &line.tag));
    lines.filter_map(row).collect()
}

/// How it left and how it arrived, a line for each way in which it did, with how often.
fn conditions(handoffs: &[Handoff], tag: &Tag) -> String {
    let line = |handoff: &Handoff| {
        let sent = handoff.sent_item(tag)?;
        let found = handoff.found_item(tag);
        let to = match handoff.to {
            Side::Office => "To the office",
            Side::Lab => "To the lab",
        };
        let arrived = match (found, &handoff.voided) {
            (_, Some(_)) => handoff.state().shown().to_owned(),
            _ if handoff.not_packed.contains(tag) => "had not been packed".to_owned(),
            (Some(found), _) => format!("arrived {}", found_words(found, sent)),
            (None, _) if handoff.brought_back.contains(&sent.parcel()) => {
                "brought back by the carrier".to_owned()
            }
            (None, _) if handoff.is_packed() => "waits for the carrier".to_owned(),
            (None, _) => "on its way".to_owned(),
        };
        let left = sent_words(sent);
        Some(match arrived == format!("arrived {left}") {
            true => (to, left),
            false => (to, format!("left {left}, {arrived}")),
        })
    };
    let lines: Vec<(&str, String)> = handoffs.iter().filter_map(line).collect();
    if let [(_, first), (_, second), rest @ ..] = lines.as_slice() {
        // The same each time, there and back: told once.
        if first == second && rest.iter().all(|(_, one)| one == first) {
            return format!("{first}, {} times", lines.len());
        }
    }
    let mut counted: Vec<(String, usize)> = Vec::new();
    for (to, words) in lines {
        let line = format!("{to}: {words}");
        match counted.iter_mut().find(|(one, _)| *one == line) {
            Some((_, times)) => *times += 1,
            None => counted.push((line, 1)),
        }
    }
    let counted = counted.into_iter().map(|(line, times)| match times {
        1 => line,
        _ => format!("{line}, {times} times"),
    });
    counted.collect::<Vec<_>>().join("\n")
}

fn sent_words(sent: &Sent) -> String {
    with_pieces(sent.condition_shown(), sent.pieces)
}

fn found_words(found: &Found, sent: &Sent) -> String {
    let is_here = found.outcome != Outcome::Missing;
    with_pieces(found.words(sent), found.pieces.filter(|_| is_here))
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
        (None, _) if state.packed => "packed, waits for the carrier".to_owned(),
        (Some(Gone::UsedUp), _) => return Disposition::UsedUp.shown().to_owned(),
        (Some(Gone::Destroyed), _) => return Disposition::Destroyed.shown().to_owned(),
        (Some(Gone::WrittenOff), _) => return Disposition::WrittenOff.shown().to_owned(),
        (Some(Gone::Mistaken), _) => return Disposition::Mistaken.shown().to_owned(),
        (None, Holder::Office) if state.withheld.is_some() => {
            return Disposition::KeptBack.shown().to_owned();
        }
        (None, Holder::Carrier { .. }) if state.missing => "missing on the way".to_owned(),
        (None, Holder::Passed(_)) if state.missing => "missing at the second lab".to_owned(),
        (None, Holder::Patient) if state.worn => "in the mouth".to_owned(),
        (None, holder) => holder.place(),
    };
    format!("still open: {now}")
}

fn disposed(work: &CaseWork, tag: &Tag) -> Option<Disposition> {
    if !work.state.closed {
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
        for stretch in mouth::timeline(&work.items, &work.state, arch) {
            rows.push(WornRow {
                arch: arch.shown().to_owned(),
                from: stretch
                    .from
                    .map_or("before".to_owned(), |at| at.to_string()),
                to: stretch.to.map_or("still".to_owned(), |at| at.to_string()),
                worn: worn_words(work, &stretch.wears),
            });
        }
    }
    rows
}
