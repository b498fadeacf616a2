//! The rules of custody: a table for each letter, and walks at random through whole cases.
//!
//! The world is small: one case between one office and one lab, with the things that a course of complete
//! dentures moves about, and people who belong to it and who do not. What the rules hold to is common
//! practice, no source, where a test names no other.

mod at_hand;
mod bench;
mod clock;
mod contradictions;
mod elsewhere;
mod ending;
mod erasing;
mod fit;
mod follow_up;
mod holds;
mod listed;
mod lives;
mod loans;
mod making;
mod offers;
mod parcels;
mod passing;
mod pick_up;
mod pictures;
mod progress;
mod promises;
mod questions;
mod receipts;
mod ribbon;
mod scan_files;
mod scanned;
mod standing;
mod standstill;
mod stored;
mod table;
mod texts;
mod to_do;
mod traced;
mod walk;
mod wind_up;
mod withdrawn;

use super::bench::BenchStep;
use super::events::*;
use super::fit::{FitFound, FitValue, FitVerdict};
use super::follow_up::{ExaminedPoint, FollowUp, FollowedBy, WorkCause, WorkShare};
use super::*;
use crate::domain::custody::item::{Item, ItemKind, StaysAtLab};
use crate::domain::custody::mouth;
use crate::domain::mesh::MeshUnit;
use crate::domain::people::party::{Actor, Role, Side};
use crate::domain::values::arch::Arch;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{AccountId, CaseNumber, EventId, HandoffId, PartyId, Tag};
use crate::domain::values::moment::Moment;
use std::sync::LazyLock;

/// Every registered item's state after all of `events`.
fn fold(events: &[Event]) -> Custody {
    CaseState::of(events).custody
}

/// Every stretch of wearing, in the order it began.
fn worn_of(items: &[Item], events: &[Event]) -> Vec<mouth::Worn> {
    CaseState::of(events).worn(items)
}

/// Every hold there ever was, in the order they were opened.
fn holds(events: &[Event]) -> Vec<Hold> {
    CaseState::of(events).holds
}

/// The holds that nobody has resolved yet.
fn open_holds(events: &[Event]) -> Vec<Hold> {
    let mut holds = holds(events);
    holds.retain(Hold::is_open);
    holds
}

/// All handoffs of a case, in the order they were released.
fn handoffs(events: &[Event]) -> Vec<crate::domain::custody::handoff::Handoff> {
    CaseState::of(events).handoffs
}

/// Whether the case is closed: by its last word on that.
fn is_closed(events: &[Event]) -> bool {
    CaseState::of(events).closed
}

/// What came back of what the office sent.
fn balance(events: &[Event]) -> Balance {
    CaseState::of(events).balance()
}

/// 2026-03-02 08:00 UTC.
const MONDAY_MS: i64 = 1_772_438_400_000;
const MINUTE_MS: i64 = 60_000;

/// Name in the tests, kind and arch of each thing; the last one belongs to another case.
const THINGS: [(&str, ItemKind, Option<Arch>); 16] = [
    (
        "provisional upper",
        ItemKind::Provisional,
        Some(Arch::Upper),
    ),
    (
        "provisional lower",
        ItemKind::Provisional,
        Some(Arch::Lower),
    ),
    ("duplicate upper", ItemKind::Duplicate, Some(Arch::Upper)),
    ("duplicate lower", ItemKind::Duplicate, Some(Arch::Lower)),
    ("final upper", ItemKind::FinalDenture, Some(Arch::Upper)),
    ("final lower", ItemKind::FinalDenture, Some(Arch::Lower)),
    ("old upper", ItemKind::OldDenture, Some(Arch::Upper)),
    ("old lower", ItemKind::OldDenture, Some(Arch::Lower)),
    ("bite", ItemKind::BiteRecord, None),
    ("facebow", ItemKind::FacebowRecord, None),
    ("cast upper", ItemKind::Cast, Some(Arch::Upper)),
    ("impression", ItemKind::Impression, Some(Arch::Upper)),
    ("photograph", ItemKind::Photograph, None),
    ("try-in upper", ItemKind::TryIn, Some(Arch::Upper)),
    ("parts", ItemKind::ImplantParts, None),
    ("foreign", ItemKind::BiteRecord, None),
];

/// The first code that comes of `seed`; not every draw has a check character that is issued.
fn code<T>(seed: u8, make: impl Fn([u8; 7]) -> Option<T>) -> T {
    (0..32)
        .find_map(|try_number| make([seed, try_number, 1, 2, 3, 4, 5]))
        .unwrap()
}

fn tag(name: &str) -> Tag {
    let place = THINGS.iter().position(|thing| thing.0 == name).unwrap();
    code(u8::try_from(place).unwrap(), Tag::from_random)
}

/// The name of a tag in the tests.
fn name(tag_asked: &Tag) -> &'static str {
    THINGS
        .iter()
        .map(|thing| thing.0)
        .find(|name| tag(name) == *tag_asked)
        .unwrap()
}

static OFFICE: LazyLock<PartyId> = LazyLock::new(|| PartyId::new("northgate"));
static LAB: LazyLock<PartyId> = LazyLock::new(|| PartyId::new("kiln"));

fn actor(account: &str, role: Role, party: &str) -> Actor {
    Actor {
        account: AccountId::new(account),
        name: account.to_owned(),
        role,
        party: PartyId::new(party),
        party_name: party.to_owned(),
    }
}

fn dora() -> Actor {
    actor("dora", Role::Dentist, "northgate")
}
fn anna() -> Actor {
    actor("anna", Role::Assistant, "northgate")
}
fn tom() -> Actor {
    actor("tom", Role::Technician, "kiln")
}
fn mara() -> Actor {
    actor("mara", Role::LabManager, "kiln")
}
/// Everybody, the strangers of another office and another lab last.
fn everybody() -> Vec<Actor> {
    vec![
        dora(),
        anna(),
        tom(),
        mara(),
        actor("root", Role::Administrator, ""),
        actor("sven", Role::Dentist, "southgate"),
        actor("lars", Role::Technician, "anvil"),
    ]
}

fn signed(reason: &str) -> Option<Exception> {
    Some(Exception {
        name: "dora".to_owned(),
        licence: "D-1".to_owned(),
        reason: reason.to_owned(),
    })
}

fn registered(thing: &str, place: Side, worn: bool) -> What {
    What::Registered(Registered {
        tag: tag(thing),
        place,
        worn,
        note: String::new(),
        pieces: (thing == "parts").then_some(4),
        made: None,
        due_back: None,
        file: None,
    })
}

fn disinfected(thing: &str) -> What {
    What::Disinfected(Disinfected {
        tag: tag(thing),
        agent: "peracetic acid".to_owned(),
        dilution: "ready to use".to_owned(),
        minutes: 10,
        rinsed: true,
    })
}

fn released(handoff: &str, things: &[&str], from: Side) -> What {
    excepted(handoff, things, from, None)
}

fn sent(thing: &str) -> Sent {
    Sent {
        condition: "sound".to_owned(),
        ..Sent::of(tag(thing))
    }
}

fn excepted(handoff: &str, things: &[&str], from: Side, exception: Option<Exception>) -> What {
    let items = things.iter().map(|thing| sent(thing)).collect();
    What::Released(Released {
        carrier: "the office's driver".to_owned(),
        exception,
        ..Released::of(HandoffId::new(handoff), items, from)
    })
}

/// Bite and facebow are at the lab, disinfected.
fn at_the_lab() -> World {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    world.takes(&tom(), "h1", &["bite", "facebow"]);
    for thing in ["bite", "facebow"] {
        world.does(&tom(), disinfected(thing));
    }
    world
}

/// A release that waits for the carrier.
fn packed(handoff: &str, things: &[&str], from: Side) -> What {
    let mut what = released(handoff, things, from);
    if let What::Released(Released { awaits_pickup, .. }) = &mut what {
        *awaits_pickup = true;
    }
    what
}

fn picked_up(handoff: &str, things: &[&str], parcels: u32) -> What {
    What::PickedUp(PickedUp {
        handoff: HandoffId::new(handoff),
        items: things.iter().map(|thing| tag(thing)).collect(),
        person: "R. K.".to_owned(),
        parcels,
        handed_out_by: String::new(),
        exception: None,
        older: None,
        unread: None,
    })
}

/// A receipt of what nobody had entered as picked up.
fn received_unseen(handoff: &str, place: Side, items: &[Found]) -> What {
    let mut what = received(handoff, place, items);
    if let What::Received(Received { no_pick_up, .. }) = &mut what {
        *no_pick_up = true;
    }
    what
}

fn found(thing: &str, outcome: Outcome, marked_disinfected: bool) -> Found {
    Found {
        tag: tag(thing),
        outcome,
        marked_disinfected,
        note: String::new(),
        pieces: None,
    }
}

fn received(handoff: &str, place: Side, items: &[Found]) -> What {
    What::Received(Received {
        handoff: HandoffId::new(handoff),
        place,
        items: items.to_vec(),
        unannounced: String::new(),
        parcels: Vec::new(),
        foreign: String::new(),
        no_pick_up: false,
    })
}

fn given(thing: &str) -> What {
    What::Given(Given {
        tag: tag(thing),
        spare: None,
    })
}

fn used_up(thing: &str, into: &str) -> What {
    What::UsedUp(UsedUp {
        tag: tag(thing),
        into: into.to_owned(),
        into_item: None,
        signed: None,
    })
}

fn destroyed(thing: &str, how: &str) -> What {
    What::Destroyed(Destroyed {
        tag: tag(thing),
        how: how.to_owned(),
        consent: Some(true),
        signed: None,
    })
}

fn written_off(thing: &str, how: &str) -> What {
    What::WrittenOff(WrittenOff {
        tag: tag(thing),
        how: how.to_owned(),
        signed: None,
    })
}

fn under(name: &str) -> Signed {
    Signed {
        name: name.to_owned(),
        licence: String::new(),
        meaning: "I state this.".to_owned(),
    }
}

/// The statement that resolves a hold, by whoever packed.
fn resolution(hold: &Hold) -> What {
    What::Resolved(Resolved {
        hold: hold.id.clone(),
        trouble: hold.trouble,
        tag: hold.tag.clone(),
        reason: "it was packed in haste".to_owned(),
        done: "a new one is made".to_owned(),
        signed: under("dora"),
        not_packed: false,
    })
}

/// The same statement, and that the thing never left.
fn not_packed(mut statement: What) -> What {
    if let What::Resolved(Resolved { not_packed, .. }) = &mut statement {
        *not_packed = true;
    }
    statement
}

fn fitted(thing: &str, instead_of: Option<&str>) -> What {
    What::Fitted(Fitted {
        tag: tag(thing),
        instead_of: instead_of.map(tag),
        uncleaned: false,
        exception: None,
        approval: None,
        avoided_why: String::new(),
    })
}

fn other(side: Side) -> Side {
    match side {
        Side::Office => Side::Lab,
        Side::Lab => Side::Office,
    }
}

/// One case and what happened in it.
#[derive(Debug, Clone)]
struct World {
    case: CaseNumber,
    arches: Arches,
    items: Vec<Item>,
    events: Vec<Event>,
    clock: Vec<ClockWord>,
    now_ms: i64,
}

impl World {
    fn case_state(&self) -> CaseState {
        CaseState::of(&self.events)
    }

    /// Nothing is registered yet.
    fn bare(arches: Arches) -> World {
        let case = code(1, CaseNumber::from_random);
        let items = THINGS.iter().map(|&(name, kind, arch)| Item {
            tag: tag(name),
            case: if name == "foreign" {
                code(2, CaseNumber::from_random)
            } else {
                case.clone()
            },
            kind,
            arch,
            note: String::new(),
            pieces: if name == "parts" { 4 } else { 1 },
            borrowed: name == "facebow",
        });
        World {
            items: items.collect(),
            case,
            arches,
            events: Vec::new(),
            clock: Vec::new(),
            now_ms: MONDAY_MS,
        }
    }

    /// Both provisionals are worn, everything else of the office lies there, the finals and the cast are
    /// at the lab.
    fn begun() -> World {
        let mut world = World::bare(Arches::Both);
        for thing in ["provisional upper", "provisional lower"] {
            world.does(&dora(), registered(thing, Side::Office, true));
        }
        for thing in [
            "duplicate upper",
            "duplicate lower",
            "old upper",
            "old lower",
            "bite",
            "facebow",
            "impression",
            "photograph",
            "parts",
        ] {
            world.does(&anna(), registered(thing, Side::Office, false));
        }
        for thing in ["final upper", "final lower", "cast upper"] {
            world.does(&tom(), registered(thing, Side::Lab, false));
        }
        world
    }

    fn context(&self) -> Context<'_> {
        Context {
            case: &self.case,
            office: &OFFICE,
            lab: &LAB,
            arches: self.arches,
            items: &self.items,
            events: &self.events,
            clock: &self.clock,
            stays: StaysAtLab::default(),
            by_files: false,
            elsewhere: &[],
        }
    }

    /// Where it stands to a revision that lists nothing and that the lab has read.
    fn stands(&self) -> Standing {
        let ordered = Ordered {
            revision: 1,
            ..Ordered::default()
        };
        standing(&self.context(), &self.case_state(), &ordered, 1)
    }

    fn state(&self, thing: &str) -> State {
        fold(&self.events).get(&tag(thing)).cloned().unwrap()
    }

    fn worn(&self, arch: Arch) -> Option<&'static str> {
        mouth::worn_in(&worn_of(&self.items, &self.events), arch).map(name)
    }

    /// A minute later: asks the rules, expects their consent, and appends.
    fn does(&mut self, by: &Actor, what: What) {
        self.now_ms += MINUTE_MS;
        let at = Moment::new(self.now_ms, 60);
        assert_eq!(
            allow(&self.context(), &what, by, at),
            [],
            "{} by {}",
            what.word(),
            by.account
        );
        self.append(by, what, at);
    }

    fn append(&mut self, by: &Actor, what: What, at: Moment) {
        self.events.push(Event {
            id: EventId::new(format!("event {}", self.events.len())),
            case: self.case.clone(),
            at,
            entered_at: at,
            by: by.clone(),
            paper: None,
            by_code: None,
            what,
        });
    }

    /// Disinfects everything and hands it over.
    fn sends(&mut self, by: &Actor, handoff: &str, things: &[&str]) {
        let from = by.role.works_in().unwrap();
        for thing in things {
            self.does(by, disinfected(thing));
        }
        self.does(by, released(handoff, things, from));
    }

    /// Receives everything sound and marked as disinfected.
    fn takes(&mut self, by: &Actor, handoff: &str, things: &[&str]) {
        let items: Vec<Found> = things
            .iter()
            .map(|thing| found(thing, Outcome::Sound, true))
            .collect();
        self.does(by, received(handoff, by.role.works_in().unwrap(), &items));
    }

    fn open_holds(&self) -> Vec<Hold> {
        open_holds(&self.events)
    }

    /// The side that packed resolves everything that is open.
    fn resolves_all(&mut self) {
        for hold in self.open_holds() {
            let by = if hold.side == Side::Office {
                dora()
            } else {
                mara()
            };
            self.does(&by, resolution(&hold));
        }
    }

    /// What the rules say a minute from now: letter and thing of each refusal; "" where it names none.
    fn refusals(&self, by: &Actor, what: &What) -> Vec<(CustodyRule, &'static str)> {
        self.refusals_at(by, what, self.now_ms + MINUTE_MS)
    }

    fn refusals_at(&self, by: &Actor, what: &What, at_ms: i64) -> Vec<(CustodyRule, &'static str)> {
        let refusals = allow(&self.context(), what, by, Moment::new(at_ms, 60));
        for refusal in &refusals {
            assert!(
                refusal.sentence.len() > 15 && refusal.sentence.ends_with('.'),
                "{}",
                refusal.sentence
            );
        }
        refusals
            .iter()
            .map(|refusal| (refusal.rule, refusal.tag.as_ref().map_or("", name)))
            .collect()
    }

    /// Checks a row of a table: these refusals and no others.
    fn expect(&self, by: &Actor, what: &What, expected: &[(CustodyRule, &str)]) {
        assert_eq!(
            self.refusals(by, what),
            expected,
            "{what:?} by {}",
            by.account
        );
    }
}
