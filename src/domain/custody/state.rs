//! Where each item is and how it is, drawn from the events.

use super::event::{Event, Found, Outcome, Spare, What};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;
use std::collections::BTreeMap;

/// Who has the item in hand: exactly one at any time (rule a).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holder {
    Office,
    Lab,
    /// On the way, towards this side.
    Carrier {
        to: Side,
    },
    Patient,
}

impl Holder {
    pub fn of(kind: Side) -> Holder {
        match kind {
            Side::Office => Holder::Office,
            Side::Lab => Holder::Lab,
        }
    }
}

/// How it was found last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Condition {
    /// Nobody has said otherwise.
    Sound,
    Damaged,
    NotAsDescribed,
}

/// Why nothing can happen to it any more (rule f).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gone {
    UsedUp,
    Destroyed,
    /// Lost on the way, and given up.
    WrittenOff,
}

/// One item's state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    pub holder: Holder,
    /// In the mouth now.
    pub worn: bool,
    pub condition: Condition,
    /// The receiver did not find it in the box.
    pub missing: bool,
    /// A disinfection entry stands since it last changed hands or was in the mouth (rule h).
    pub disinfected: bool,
    /// It came without a mark of disinfection: nothing may be done to it before the receiver's own.
    pub held_for_disinfection: bool,
    pub gone: Option<Gone>,
    /// An old denture kept back, and where.
    pub withheld: Option<String>,
    /// A duplicate given as the spare.
    pub spare: bool,
    /// How the spare is kept, where that was said.
    pub spare_kept: Option<Spare>,
    /// The patient's own parts are back with the patient.
    pub given_back: bool,
    /// Where it lies inside the house that has it.
    pub place: Option<String>,
    /// Pieces, as they were counted last; none where nobody has counted.
    pub pieces: Option<u32>,
    /// The house that registered it: the lender of a borrowed thing.
    pub home: Side,
    /// When a borrowed thing is due back there, `2026-03-02`.
    pub due_back: Option<String>,
    /// The handoff that it is on.
    pub handoff: Option<String>,
    /// Who answers for it: the last person who took or did something, with the party.
    pub answers: String,
    pub last_at: Moment,
}

/// Every registered item's state.
pub type Custody = BTreeMap<Tag, State>;

/// The state after all of `events`.
pub fn fold(events: &[Event]) -> Custody {
    let mut custody = Custody::new();
    for event in events {
        apply(&mut custody, event);
    }
    custody
}

/// The state at a moment: where each thing was then, and who answered for it.
pub fn at(events: &[Event], unix_ms: i64) -> Custody {
    let mut custody = Custody::new();
    for event in events.iter().filter(|event| event.at.unix_ms <= unix_ms) {
        apply(&mut custody, event);
    }
    custody
}

/// The events that had happened at `moment`: what the state at that moment is drawn from.
pub fn until(events: &[Event], unix_ms: i64) -> Vec<Event> {
    events
        .iter()
        .filter(|event| event.at.unix_ms <= unix_ms)
        .cloned()
        .collect()
}

/// Whether a thing came from the other side, and no entry of this side says that it was disinfected since.
/// That work which comes back from a laboratory is disinfected again, and rinsed, before it goes into the mouth:
/// a lesson on infection control in the dental laboratory, sccds.org. The CDC guidelines (MMWR 52, RR-17, 2003)
/// want the method told both ways, so that nothing is cleaned twice to its harm; whoever decides knows it then.
pub fn came_uncleaned(events: &[Event], tag: &Tag) -> bool {
    let said = |event: &Event| match &event.what {
        What::Received { items, .. } => items
            .iter()
            .any(|found| found.tag == *tag && found.outcome != Outcome::Missing)
            .then_some(true),
        What::Disinfected { tag: clean, .. } if clean == tag => Some(false),
        What::Fitted {
            tag: new,
            instead_of,
            ..
        } if new == tag || instead_of.as_ref() == Some(tag) => Some(false),
        _ => None,
    };
    events.iter().rev().find_map(said).unwrap_or(false)
}

/// Everybody who has had the item in hand or acted on it: a chain is the better the shorter it is.
/// Carriers are counted by handoff, people by account.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Handlers {
    /// Printed name and house, in the order of their first action.
    pub people: Vec<String>,
    /// Handoffs that it was on and that were not taken back.
    pub handoffs: usize,
}

/// Counts the hands that one item has gone through.
pub fn handlers(events: &[Event], tag: &Tag) -> Handlers {
    let mut accounts: Vec<&str> = Vec::new();
    let mut handlers = Handlers::default();
    for event in events.iter().filter(|one| one.what.tags().contains(&tag)) {
        if !accounts.contains(&event.by.account.as_str()) {
            accounts.push(&event.by.account);
            handlers.people.push(answering(event));
        }
        match event.what {
            What::Released { .. } => handlers.handoffs += 1,
            What::Voided { .. } => handlers.handoffs = handlers.handoffs.saturating_sub(1),
            _ => {}
        }
    }
    handlers
}

/// Who answers for what an event did: the person, or the name on the paper it was copied from.
fn answering(event: &Event) -> String {
    let name = event.paper.as_ref().unwrap_or(&event.by.name);
    format!("{name}, {}", event.by.party_name)
}

/// One step of the fold.
pub(super) fn apply(custody: &mut Custody, event: &Event) {
    if let What::Registered {
        tag,
        place,
        worn,
        pieces,
        due_back,
        ..
    } = &event.what
    {
        let begun = registered(event, *place, *worn);
        custody.insert(
            tag.clone(),
            State {
                pieces: *pieces,
                due_back: due_back.clone(),
                ..begun
            },
        );
        return;
    }
    for tag in event.what.tags() {
        if let Some(state) = custody.get_mut(tag) {
            state.last_at = event.at;
            // Whoever finds that something is missing does not answer for it: the carrier still does.
            if !is_missing(&event.what, tag) {
                state.answers = answering(event);
            }
        }
    }
    change(custody, event);
}

fn is_missing(what: &What, tag: &Tag) -> bool {
    let lost = |found: &Found| found.tag == *tag && found.outcome == Outcome::Missing;
    matches!(what, What::Received { items, .. } if items.iter().any(lost))
}

fn registered(event: &Event, place: Side, worn: bool) -> State {
    State {
        spare_kept: None,
        given_back: false,
        place: None,
        pieces: None,
        home: place,
        due_back: None,
        holder: if worn {
            Holder::Patient
        } else {
            Holder::of(place)
        },
        worn,
        condition: Condition::Sound,
        missing: false,
        disinfected: false,
        held_for_disinfection: false,
        gone: None,
        withheld: None,
        spare: false,
        handoff: None,
        answers: answering(event),
        last_at: event.at,
    }
}

fn change(custody: &mut Custody, event: &Event) {
    match &event.what {
        What::Released {
            handoff,
            items,
            to,
            carrier,
            ..
        } => {
            for sent in items {
                with(custody, &sent.tag, |state| {
                    state.holder = Holder::Carrier { to: *to };
                    state.handoff = Some(handoff.clone());
                    // Whoever has it now does not keep it back for the office.
                    state.withheld = None;
                    state.place = None;
                    state.pieces = sent.pieces.or(state.pieces);
                    state.answers = format!("{carrier}, handed over by {}", state.answers);
                });
            }
        }
        What::Received { place, items, .. } => {
            for found in items {
                with(custody, &found.tag, |state| receive(state, found, *place));
            }
        }
        What::Fitted {
            tag, instead_of, ..
        } => {
            if let Some(out) = instead_of {
                with(custody, out, take_out);
            }
            with(custody, tag, |state| {
                leave_for_the_patient(state);
                state.worn = true;
            });
        }
        What::TakenOut { tag, .. } => with(custody, tag, take_out),
        What::Given { tag, spare } => with(custody, tag, |state| {
            leave_for_the_patient(state);
            state.spare = true;
            state.spare_kept = spare.clone();
        }),
        What::GivenBack { tag, pieces } => with(custody, tag, |state| {
            leave_for_the_patient(state);
            state.given_back = true;
            state.pieces = Some(*pieces);
        }),
        What::Voided { items, .. } => {
            for tag in items {
                with(custody, tag, |state| {
                    state.holder = match state.holder {
                        Holder::Carrier { to } => Holder::of(to.other()),
                        other => other,
                    };
                    state.handoff = None;
                });
            }
        }
        What::Settled {
            tag: Some(tag),
            not_packed: true,
            ..
        } => with(custody, tag, |state| {
            if let Holder::Carrier { to } = state.holder {
                state.holder = Holder::of(to.other());
            }
            state.handoff = None;
            state.missing = false;
            state.last_at = event.at;
            state.answers = answering(event);
        }),
        What::Moved { tag, to } => with(custody, tag, |state| state.place = Some(to.clone())),
        What::BroughtBack { tag } => with(custody, tag, |state| {
            state.holder = Holder::Office;
            state.spare = false;
            state.spare_kept = None;
            state.given_back = false;
            // It comes from a household: nothing is done with it before the office has disinfected it.
            state.disinfected = false;
            state.held_for_disinfection = true;
        }),
        What::Disinfected { tag, .. } => with(custody, tag, |state| {
            state.disinfected = true;
            state.held_for_disinfection = false;
        }),
        What::UsedUp { tag, .. } => with(custody, tag, |state| state.gone = Some(Gone::UsedUp)),
        What::Destroyed { tag, .. } => with(custody, tag, |state| {
            state.gone = Some(Gone::Destroyed);
            state.withheld = None;
        }),
        What::WrittenOff { tag, .. } => with(custody, tag, |state| {
            state.gone = Some(Gone::WrittenOff);
            state.missing = false;
        }),
        What::Withheld { tag, kept, .. } => {
            with(custody, tag, |state| state.withheld = Some(kept.clone()))
        }
        What::Registered { .. }
        | What::Corrected { .. }
        | What::Erased { .. }
        | What::Settled { .. }
        | What::Closed { .. }
        | What::Reopened { .. } => {}
    }
}

fn with(custody: &mut Custody, tag: &Tag, change: impl FnOnce(&mut State)) {
    if let Some(state) = custody.get_mut(tag) {
        change(state);
    }
}

/// Into the patient's hands or mouth: what was clean is so no more, and it lies on no shelf.
fn leave_for_the_patient(state: &mut State) {
    state.holder = Holder::Patient;
    state.disinfected = false;
    state.place = None;
}

fn take_out(state: &mut State) {
    state.holder = Holder::Office;
    state.worn = false;
    state.disinfected = false;
}

fn receive(state: &mut State, found: &Found, place: Side) {
    if found.outcome == Outcome::Missing {
        // Nobody has it in hand but the carrier, who answers for it until it turns up.
        state.missing = true;
        return;
    }
    state.missing = false;
    state.holder = Holder::of(place);
    state.handoff = None;
    state.pieces = found.pieces.or(state.pieces);
    state.disinfected = false;
    state.held_for_disinfection = !found.marked_disinfected;
    state.condition = match found.outcome {
        Outcome::Damaged => Condition::Damaged,
        Outcome::NotAsDescribed => Condition::NotAsDescribed,
        // The next hands that find it sound end what an earlier receipt said of it.
        Outcome::Sound => Condition::Sound,
        Outcome::Missing => state.condition,
    };
}
