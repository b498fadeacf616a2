//! A second reading of the events, written without the first: where each item is at any moment.

use super::Spot;
use std::collections::BTreeMap;
use vestibule::app::case_work::CaseWork;
use vestibule::domain::custody::events::{
    Adjusted, BroughtBack, DamagedHere, Destroyed, Disinfected, FindingAdded, Fitted, Given,
    GivenBack, Moved, PassMoved, PassedOn, PickedUp, Received, Registered, Released, TakenOut,
    UsedUp, Voided, Withheld, WrittenOff,
};
use vestibule::domain::custody::{Event, Holder, Outcome, PassLeg, PassedPlace, What, at};
use vestibule::domain::people::party::Side;
use vestibule::domain::values::ids::{HandoffId, Tag};

/// One item's way: each step begins where the one before ended, or the walk falls over.
struct Walk<'a> {
    work: &'a CaseWork,
    spots: BTreeMap<Tag, Spot>,
}

impl Walk<'_> {
    fn step(&mut self, event: &Event, tag: &Tag, from: &Spot, to: Spot) {
        let now = self.spots.insert(tag.clone(), to);
        assert_eq!(
            now.as_ref(),
            Some(from),
            "{tag} of {} at {}: {:?}",
            self.work.case.number,
            event.at,
            event.what
        );
    }

    fn stays(&mut self, event: &Event, tag: &Tag, spot: &Spot) {
        self.step(event, tag, spot, spot.clone());
    }

    fn take(&mut self, event: &Event) {
        let office = event.by.party == self.work.case.office;
        let own = Spot::House(own_side(office));
        let is_second_lab = match &event.what {
            What::PassMoved(PassMoved { leg, .. }) => leg.is_of_second_lab(),
            What::PassAsked(_) | What::PassReplied(_) | What::Withdrawn(_) => true,
            _ => false,
        };
        assert!(office || is_second_lab || event.by.party == self.work.case.lab);
        let here = Spot::House(Side::Office);
        match &event.what {
            What::Registered(Registered {
                tag, place, worn, ..
            }) => {
                let spot = if *worn {
                    Spot::Patient
                } else {
                    Spot::House(*place)
                };
                assert_eq!(Spot::House(*place), own);
                assert_eq!(self.spots.insert(tag.clone(), spot), None, "{tag} twice");
            }
            What::Released(Released {
                handoff,
                items,
                from,
                to,
                awaits_pickup,
                ..
            }) => {
                assert_ne!(from, to);
                for sent in items {
                    let spot = if *awaits_pickup {
                        Spot::Packed(handoff.clone(), *from)
                    } else {
                        Spot::Carrier(handoff.clone())
                    };
                    self.step(event, &sent.tag, &Spot::House(*from), spot);
                }
            }
            What::PickedUp(PickedUp { handoff, items, .. }) => {
                for tag in items {
                    let packed = Spot::Packed(handoff.clone(), own_side(office));
                    self.step(event, tag, &packed, Spot::Carrier(handoff.clone()));
                }
            }
            What::Received(Received {
                handoff,
                items,
                place,
                no_pick_up,
                ..
            }) => {
                let on_it = Spot::Carrier(handoff.clone());
                // What came unseen has left, and with it all that was packed on the same handoff.
                for spot in self.spots.values_mut() {
                    let packed = matches!(spot, Spot::Packed(id, _) if id == handoff);
                    assert!(!packed || *no_pick_up, "{handoff} came, and still waits");
                    if packed {
                        *spot = on_it.clone();
                    }
                }
                for found in items {
                    match found.outcome {
                        Outcome::Missing => self.stays(event, &found.tag, &on_it),
                        _ => self.step(event, &found.tag, &on_it, Spot::House(*place)),
                    }
                }
            }
            What::Voided(Voided { handoff, items, .. }) => {
                for tag in items {
                    let from = match &self.spots[tag] {
                        Spot::Packed(id, side) if id == handoff => {
                            assert_eq!(*side, own_side(office));
                            Spot::Packed(id.clone(), *side)
                        }
                        _ => Spot::Carrier(handoff.clone()),
                    };
                    self.step(event, tag, &from, own.clone());
                }
            }
            What::Fitted(Fitted {
                tag, instead_of, ..
            }) => {
                self.step(event, tag, &here, Spot::Patient);
                if let Some(out) = instead_of {
                    self.step(event, out, &Spot::Patient, here.clone());
                }
            }
            What::Given(Given { tag, .. }) | What::GivenBack(GivenBack { tag, .. }) => {
                self.step(event, tag, &here, Spot::Patient);
            }
            What::TakenOut(TakenOut { tag, .. }) | What::BroughtBack(BroughtBack { tag }) => {
                self.step(event, tag, &Spot::Patient, here);
            }
            What::Disinfected(Disinfected { tag, .. }) | What::Moved(Moved { tag, .. }) => {
                self.stays(event, tag, &own);
            }
            What::Withheld(Withheld { tag, .. }) => self.stays(event, tag, &here),
            What::DamagedHere(DamagedHere { tag, .. })
            | What::FindingAdded(FindingAdded { tag, .. }) => self.stays(event, tag, &own),
            // As if the entry had not been made: the way is walked again without it.
            What::Withdrawn(_) => {
                let until = self.work.events.iter().position(|one| one.id == event.id);
                let past = &self.work.events[..=until.unwrap()];
                let mistakes = past.iter().filter_map(|one| one.what.withdraws());
                let mistakes: Vec<_> = mistakes.collect();
                self.spots.clear();
                for one in past {
                    match &one.what {
                        What::Withdrawn(_) => {}
                        What::Registered(Registered { tag, .. }) if mistakes.contains(&&one.id) => {
                            let never = Spot::Ended(Box::new(Spot::House(Side::Office)));
                            self.spots.insert(tag.clone(), never);
                        }
                        _ if mistakes.contains(&&one.id) => {}
                        _ => self.take(one),
                    }
                }
            }
            What::PassedOn(PassedOn { items, .. }) => {
                for tag in items {
                    let spot = self.spots[tag].clone();
                    self.stays(event, tag, &spot);
                }
            }
            What::PassMoved(PassMoved { leg, items, .. }) => {
                let lab = Spot::House(Side::Lab);
                let there = [PassedPlace::There, PassedPlace::At, PassedPlace::Back];
                let [there, at, back] = there.map(Spot::Passed);
                for found in items.iter().filter(|one| one.outcome != Outcome::Missing) {
                    let (from, to) = match leg {
                        PassLeg::Left => (lab.clone(), there.clone()),
                        PassLeg::Arrived => (there.clone(), at.clone()),
                        PassLeg::SetOff => (at.clone(), back.clone()),
                        PassLeg::Home => (self.spots[&found.tag].clone(), lab.clone()),
                    };
                    self.step(event, &found.tag, &from, to);
                }
            }
            What::Adjusted(Adjusted { tag, .. }) => {
                let spot = self.spots[tag].clone();
                self.stays(event, tag, &spot);
            }
            What::UsedUp(UsedUp { tag, .. }) | What::Destroyed(Destroyed { tag, .. }) => {
                self.step(event, tag, &own, Spot::Ended(Box::new(own.clone())));
            }
            What::WrittenOff(WrittenOff { tag, .. }) => {
                let last = self.spots[tag].clone();
                assert!(matches!(last, Spot::Carrier(_)));
                self.step(event, tag, &last.clone(), Spot::Ended(Box::new(last)));
            }
            What::Stopped(_)
            | What::Paused(_)
            | What::WentOn(_)
            | What::Cancelled(_)
            | What::Heeded(_)
            | What::Asked(_)
            | What::Promised(_)
            | What::DayAnswered(_)
            | What::PassAnswered(_)
            | What::PassEnded(_)
            | What::PassAsked(_)
            | What::PassReplied(_)
            | What::Assigned(_)
            | What::Worked(_)
            | What::CarriedOver(_)
            | What::Pictured(_)
            | What::ScanFiled(_)
            | What::MarkedForLab(_)
            | What::Undone(_)
            | What::FitChecked(_)
            | What::FollowedUp(_)
            | What::ShareAnswered(_)
            | What::Answered(_)
            | What::Telephoned(_)
            | What::Confirmed(_)
            | What::Resolved(_)
            | What::Closed(_)
            | What::Reopened(_)
            | What::KeptLonger(_)
            | What::Erased(_)
            | What::Corrected(_) => assert!(event.what.tags().is_empty()),
        }
    }
}

fn own_side(office: bool) -> Side {
    if office { Side::Office } else { Side::Lab }
}

/// Walks the events of a case that had happened by then, in the order of time.
pub fn walked(work: &CaseWork, until_ms: i64) -> BTreeMap<Tag, Spot> {
    let mut events: Vec<&Event> = work.events.iter().collect();
    events.retain(|event| event.at.unix_ms <= until_ms);
    events.sort_by_key(|event| event.at.unix_ms);
    let mut walk = Walk {
        work,
        spots: BTreeMap::new(),
    };
    for event in events {
        walk.take(event);
    }
    walk.spots
}

/// Whether the program's answer is this one, and the only one.
pub fn is_the_same(work: &CaseWork, until_ms: i64) {
    let (own, said) = (walked(work, until_ms), at(&work.events, until_ms));
    assert_eq!(
        own.keys().collect::<Vec<_>>(),
        said.keys().collect::<Vec<_>>()
    );
    for (tag, spot) in own {
        let state = &said[&tag];
        let (spot, gone) = match spot {
            Spot::Ended(last) => (*last, true),
            other => (other, false),
        };
        let holder = match &spot {
            Spot::House(house) => Holder::of(*house),
            Spot::Patient => Holder::Patient,
            Spot::Packed(handoff, side) => {
                assert!(state.packed, "{tag}");
                assert_eq!(state.handoff.as_ref(), Some(handoff));
                Holder::of(*side)
            }
            Spot::Carrier(handoff) => {
                assert_eq!(state.handoff.as_ref(), Some(handoff));
                let to = handoff_to(work, handoff);
                Holder::Carrier { to }
            }
            Spot::Passed(place) => Holder::Passed(*place),
            Spot::Ended(_) => unreachable!("nothing ends twice"),
        };
        assert_eq!(
            (state.holder, state.gone.is_some()),
            (holder, gone),
            "{tag}"
        );
        assert!(!state.answers.is_empty(), "nobody answers for {tag}");
        assert!(state.last_at.unix_ms <= until_ms);
    }
}

fn handoff_to(work: &CaseWork, id: &HandoffId) -> Side {
    let to = work.events.iter().find_map(|event| match &event.what {
        What::Released(Released { handoff, to, .. }) if handoff == id => Some(*to),
        _ => None,
    });
    to.unwrap()
}
