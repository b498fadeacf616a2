//! Holds: what was found wrong and is not settled yet, and whose task it is.
//!
//! A hold is opened by a fact (a receipt, or a count at a release) and ended by a fact: the signed
//! statement of the side that has to answer, or the missing thing itself that turns up or is written off.
//! The side that packed answers, whatever is wrong: it alone knows what it sent, and it chose the carrier.
//! A thing without a mark of disinfection is another matter, which the receiver ends with an entry of its
//! own (rule h). Nothing is ever edited. That the receiver stops and reports, and that a flaw is set right by a signed
//! statement of the side that made it, follows the chain of custody of specimens (49 CFR 40.83 and 40.199).

use super::event::{Event, Found, Outcome, ParcelFound, SealFound, Sent, Trouble, What};
use crate::domain::custody::item::Item;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;

/// Something to be settled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hold {
    /// The event that opened it, and which of its troubles this is.
    pub id: String,
    pub trouble: Trouble,
    /// The item it is about; none for a box or a thing that is not ours.
    pub tag: Option<Tag>,
    pub handoff: String,
    pub parcel: u32,
    /// The side that has to answer: the one that packed.
    pub side: Side,
    pub since: Moment,
    /// What the receiver wrote, the two numbers of pieces or the two seals.
    pub detail: String,
    /// Items that wait until it is settled.
    pub waiting: Vec<Tag>,
    pub ended: Option<Ended>,
}

/// How a hold ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ended {
    /// By the statement with this event id.
    Settled(String),
    TurnedUp,
    WrittenOff,
}

impl Hold {
    pub fn is_open(&self) -> bool {
        self.ended.is_none()
    }

    /// "Bite record was missing from the box", to be read inside a sentence.
    pub fn words(&self, items: &[Item]) -> String {
        let title = self
            .tag
            .as_ref()
            .and_then(|tag| items.iter().find(|item| item.tag == *tag))
            .map_or_else(|| "An item".to_owned(), Item::title);
        let parcel = self.parcel;
        match self.trouble {
            Trouble::Missing => format!("{title} was missing from the box"),
            Trouble::Damaged => format!("{title} arrived damaged"),
            Trouble::NotAsDescribed => format!("{title} is not as described"),
            Trouble::WrongCount => format!("{title}: {}", self.detail),
            Trouble::SealBroken => format!("The seal of box {parcel} was broken"),
            Trouble::OtherSeal => format!("Box {parcel} came with another seal"),
            Trouble::NoSeal => format!("Box {parcel} came without its seal"),
            Trouble::Unannounced => "Something came along that was not announced".to_owned(),
        }
    }
}

/// What is wrong with a box, seal against seal. Spaces, hyphens and small letters make no other number.
pub fn seal_trouble(sent: &str, found: SealFound, read: &str) -> Option<Trouble> {
    match (plain(sent).is_empty(), found) {
        (_, SealFound::NotHere) | (true, SealFound::None) => None,
        (_, SealFound::Broken) => Some(Trouble::SealBroken),
        (false, SealFound::None) => Some(Trouble::NoSeal),
        (_, SealFound::Intact) => (plain(sent) != plain(read)).then_some(Trouble::OtherSeal),
    }
}

fn plain(seal: &str) -> String {
    seal.chars()
        .filter(|letter| letter.is_alphanumeric())
        .flat_map(char::to_uppercase)
        .collect()
}

/// Every hold there ever was, in the order they were opened.
pub fn holds(events: &[Event]) -> Vec<Hold> {
    let mut holds: Vec<Hold> = Vec::new();
    for event in events {
        match &event.what {
            What::Released { items, from, .. } => {
                let miscounted = items.iter().filter_map(|sent| {
                    let before = count_before(events, event, &sent.tag)?;
                    let now = sent.pieces.filter(|now| *now != before)?;
                    Some((sent, format!("{before} pieces before, {now} counted out")))
                });
                let opened: Vec<Hold> = miscounted
                    .map(|(sent, detail)| about(event, Trouble::WrongCount, *from, sent, detail))
                    .collect();
                open(&mut holds, event, opened);
            }
            What::Received { .. } => {
                turn_up(&mut holds, &event.what);
                let opened = found_wrong(events, &holds, event);
                open(&mut holds, event, opened);
            }
            What::WrittenOff { tag, .. } => end(&mut holds, Ended::WrittenOff, |hold| {
                hold.trouble == Trouble::Missing && hold.tag.as_ref() == Some(tag)
            }),
            What::Settled { hold: id, .. } => {
                end(&mut holds, Ended::Settled(event.id.clone()), |hold| {
                    hold.id == *id
                });
            }
            _ => {}
        }
    }
    holds
}

/// The holds that nobody has settled yet.
pub fn open_holds(events: &[Event]) -> Vec<Hold> {
    let mut holds = holds(events);
    holds.retain(Hold::is_open);
    holds
}

/// Gives each its id: the event's, and its place among the event's troubles.
fn open(holds: &mut Vec<Hold>, event: &Event, opened: Vec<Hold>) {
    for (place, hold) in opened.into_iter().enumerate() {
        let id = format!("{}.{}", event.id, place + 1);
        holds.push(Hold { id, ..hold });
    }
}

fn end(holds: &mut [Hold], ended: Ended, is_it: impl Fn(&Hold) -> bool) {
    for hold in holds
        .iter_mut()
        .filter(|hold| hold.is_open() && is_it(hold))
    {
        hold.ended = Some(ended.clone());
    }
}

fn turn_up(holds: &mut [Hold], what: &What) {
    let What::Received { items, .. } = what else {
        return;
    };
    end(holds, Ended::TurnedUp, |hold| {
        let is_here = |found: &Found| {
            found.outcome != Outcome::Missing && Some(&found.tag) == hold.tag.as_ref()
        };
        hold.trouble == Trouble::Missing && items.iter().any(is_here)
    });
}

/// The pieces that were counted last before `event`.
fn count_before(events: &[Event], event: &Event, tag: &Tag) -> Option<u32> {
    let before = events.iter().take_while(|one| one.id != event.id);
    let counts = before.filter_map(|one| match &one.what {
        What::Registered {
            tag: made, pieces, ..
        } if made == tag => *pieces,
        What::Released { items, .. } => items
            .iter()
            .find(|sent| sent.tag == *tag)
            .and_then(|sent| sent.pieces),
        What::Received { items, .. } => items
            .iter()
            .find(|found| found.tag == *tag)
            .and_then(|found| found.pieces),
        _ => None,
    });
    counts.last()
}

fn about(event: &Event, trouble: Trouble, from: Side, sent: &Sent, detail: String) -> Hold {
    let handoff = match &event.what {
        What::Released { handoff, .. } | What::Received { handoff, .. } => handoff.clone(),
        _ => String::new(),
    };
    Hold {
        id: String::new(),
        trouble,
        tag: Some(sent.tag.clone()),
        handoff,
        parcel: sent.parcel(),
        side: from,
        since: event.at,
        detail,
        waiting: vec![sent.tag.clone()],
        ended: None,
    }
}

/// Everything that a receipt reports.
fn found_wrong(events: &[Event], holds: &[Hold], event: &Event) -> Vec<Hold> {
    let What::Received {
        handoff: id,
        items,
        unannounced,
        parcels,
        foreign,
        ..
    } = &event.what
    else {
        return Vec::new();
    };
    let Some((sent, from, boxes)) = release(events, id) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for one in parcels {
        found.extend(box_wrong(event, &sent, from, &boxes, one, items));
    }
    for one in items {
        if let Some(sent) = sent.iter().find(|sent| sent.tag == one.tag) {
            found.extend(item_wrong(event, holds, from, sent, one));
        }
    }
    if !unannounced.is_empty() || !foreign.is_empty() {
        let detail = [foreign.as_str(), unannounced.as_str()];
        let detail: Vec<&str> = detail.into_iter().filter(|text| !text.is_empty()).collect();
        found.push(Hold {
            id: String::new(),
            trouble: Trouble::Unannounced,
            tag: None,
            handoff: id.clone(),
            parcel: 1,
            side: from,
            since: event.at,
            detail: detail.join(": "),
            waiting: Vec::new(),
            ended: None,
        });
    }
    found
}

/// What was sent with a handoff, by which side, and the seals of its boxes.
fn release(events: &[Event], id: &str) -> Option<(Vec<Sent>, Side, Vec<String>)> {
    events.iter().find_map(|event| match &event.what {
        What::Released {
            handoff,
            items,
            from,
            parcels,
            seal,
            ..
        } if handoff == id => {
            let seals = if parcels.is_empty() {
                vec![seal.clone()]
            } else {
                parcels.iter().map(|parcel| parcel.seal.clone()).collect()
            };
            Some((items.clone(), *from, seals))
        }
        _ => None,
    })
}

/// A box whose seal is not the one that was sent: everything that came in it waits.
fn box_wrong(
    event: &Event,
    sent: &[Sent],
    from: Side,
    seals: &[String],
    found: &ParcelFound,
    items: &[Found],
) -> Option<Hold> {
    let place = usize::try_from(found.parcel).ok()?.checked_sub(1)?;
    let seal = seals.get(place)?;
    let trouble = seal_trouble(seal, found.seal, &found.number)?;
    let is_in_it = |one: &&Sent| {
        one.parcel() == found.parcel && items.iter().any(|found| found.tag == one.tag)
    };
    let waiting = sent.iter().filter(is_in_it).map(|one| one.tag.clone());
    let said = |number: &str| {
        if number.is_empty() {
            "none".to_owned()
        } else {
            number.to_owned()
        }
    };
    Some(Hold {
        id: String::new(),
        trouble,
        tag: None,
        handoff: match &event.what {
            What::Received { handoff, .. } => handoff.clone(),
            _ => String::new(),
        },
        parcel: found.parcel,
        side: from,
        since: event.at,
        detail: format!(
            "Seal sent: {}. Seal read: {}.",
            said(seal),
            said(&found.number)
        ),
        waiting: waiting.collect(),
        ended: None,
    })
}

fn item_wrong(
    event: &Event,
    holds: &[Hold],
    from: Side,
    sent: &Sent,
    found: &Found,
) -> Option<Hold> {
    let was_missing = holds.iter().any(|hold| {
        hold.trouble == Trouble::Missing
            && hold.tag.as_ref() == Some(&sent.tag)
            && matches!(&event.what, What::Received { handoff, .. } if *handoff == hold.handoff)
            && hold.ended != Some(Ended::TurnedUp)
    });
    let trouble = match found.outcome {
        // Said once; a further box that does not hold it either says nothing new.
        Outcome::Missing if was_missing => return None,
        Outcome::Missing => Trouble::Missing,
        Outcome::Damaged => Trouble::Damaged,
        Outcome::NotAsDescribed => Trouble::NotAsDescribed,
        Outcome::Sound => match (sent.pieces, found.pieces) {
            (Some(out), Some(back)) if out != back => {
                let detail = format!("{out} pieces sent, {back} found");
                return Some(about(event, Trouble::WrongCount, from, sent, detail));
            }
            _ => return None,
        },
    };
    Some(about(event, trouble, from, sent, found.note.clone()))
}
