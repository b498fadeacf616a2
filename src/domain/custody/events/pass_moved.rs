//! Things go between the lab and the second laboratory: to the carrier, into its hands, and the same way back. A
//! laboratory without accounts signs on paper; the lab enters that with the name of whoever signed.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::{counted, prefixed};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::common_refusals::NAME_THE_CARRIER;
use crate::domain::custody::hold::{Ended, Hold, Trouble};
use crate::domain::custody::parcel::{Found, Outcome, Sent};
use crate::domain::custody::passed::{PassEnd, PassLeg, PassedWork};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Condition, Holder, PassedPlace, State};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, HandoffId, Tag};
use serde::{Deserialize, Serialize};

/// One stretch of the way of some of the things that are passed on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PassMoved {
    /// The entry that passes the work on.
    pub pass: EventId,
    pub leg: PassLeg,
    pub items: Vec<Found>,
    /// Who carries it.
    pub carrier: String,
    /// Name or initials of who took it, or received it at the second laboratory.
    pub person: String,
    /// What was found damaged, or not as described, and is sound again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_right: Vec<Tag>,
}

impl Constants for PassMoved {
    const WORD: &'static str = "pass_moved";
    const MISTAKEN: Option<&'static str> = Some("moved between the two labs");
    const OPEN: &'static [&'static str] = &[
        "pass",
        "leg",
        "items/*/tag",
        "items/*/outcome",
        "set_right/*",
    ];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/items/*/note", "condition as found")];
}

impl EventKind for PassMoved {
    fn tags(&self) -> Vec<&Tag> {
        self.items.iter().map(|found| &found.tag).collect()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(
            Side::Lab,
            "The two laboratories say what goes between them.",
        );
        if self.items.is_empty() {
            let wanted = "Choose at least one item.";
            proposal.refuse(CustodyRule::Form, None, wanted);
        }
        proposal.no_item_twice(&self.tags());
        let Some(pass) = proposal.open_pass(&self.pass) else {
            return;
        };
        self.check_who(proposal, pass);
        if self.leg == PassLeg::Left {
            check_consent(proposal, pass);
        }
        self.check_items(proposal, pass);
        self.check_set_right(proposal);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let Some(lab) = case.pass(&self.pass).map(|pass| pass.to.name.clone()) else {
            return;
        };
        let has_come = |tag: &Tag| {
            let mut items = self.items.iter();
            items.any(|one| one.tag == *tag && one.outcome != Outcome::Missing)
        };
        case.end(stamp, &Ended::TurnedUp, |hold| {
            hold.trouble == Trouble::Missing && hold.tag.as_ref().is_some_and(has_come)
        });
        case.open(stamp, self.found_wrong(stamp));
        for found in &self.items {
            case.change(&found.tag, |state| self.take(state, found, &lab));
        }
        let is_left = |tag: &Tag| {
            let state = case.item(tag).filter(|state| state.is_there());
            state.is_some_and(|state| matches!(state.holder, Holder::Passed(_)))
        };
        let is_here = |tag: &Tag, left: &[Tag]| {
            let is_gone = case.item(tag).is_none_or(|state| !state.is_there());
            is_gone || left.contains(tag) && !is_left(tag)
        };
        let is_back = case.pass(&self.pass).is_some_and(|pass| {
            self.leg == PassLeg::Home && pass.items.iter().all(|tag| is_here(tag, &pass.left))
        });
        let mut passes = case.passes.iter_mut();
        if let Some(pass) = passes.find(|one| one.event == self.pass) {
            pass.moves.push(stamp.id.clone());
            if pass.is_for(stamp.by) {
                pass.new_answers = 0;
            }
            match self.leg {
                PassLeg::Left => {
                    let new = self.tags().into_iter().cloned();
                    pass.left.extend(new);
                    pass.left.dedup();
                }
                PassLeg::Arrived => pass.arrived_at = Some(stamp.at),
                PassLeg::SetOff => {}
                PassLeg::Home if is_back => pass.ended = Some((stamp.at, PassEnd::Back)),
                PassLeg::Home => {}
            }
        }
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let what = match self.leg {
            PassLeg::Left => "Handed to the carrier for the second lab",
            PassLeg::Arrived => "Received at the second lab",
            PassLeg::SetOff => "Handed to the carrier at the second lab",
            PassLeg::Home => "Received back from the second lab",
        };
        let words = |found: &Found| {
            let outcome = match self.leg.is_receipt() {
                true => prefixed(": ", found.outcome.shown()),
                false => String::new(),
            };
            let mark = match (
                self.leg.is_receipt(),
                found.outcome,
                found.marked_disinfected,
            ) {
                (false, ..) | (_, Outcome::Missing, _) => "",
                (_, _, true) => ", marked as disinfected",
                (_, _, false) => ", no mark of disinfection",
            };
            let right = match self.is_set_right(found) {
                true => ", set right: sound again",
                false => "",
            };
            format!(
                "{}{outcome}{right}{}{mark}{}",
                named(&found.tag),
                prefixed(", ", &counted(found.pieces)),
                prefixed(". ", &found.note)
            )
        };
        let mut details: Vec<String> = self.items.iter().map(words).collect();
        details.push(prefixed("Carrier: ", &self.carrier));
        let role = match self.leg {
            PassLeg::Left | PassLeg::SetOff => "Taken by ",
            PassLeg::Arrived => "Received there by ",
            PassLeg::Home => "Brought by ",
        };
        details.push(prefixed(role, &self.person));
        (what.to_owned(), details)
    }

    fn sign(&self, on: OnLine<'_>) -> Option<Sign> {
        let found = Found::of(&self.items, on.tag)?;
        match found.outcome {
            Outcome::Missing => Some(Sign::Missing),
            Outcome::Damaged | Outcome::NotAsDescribed => Some(Sign::Wrong),
            Outcome::Sound if on.is_unmarked => Some(Sign::Unmarked),
            Outcome::Sound => on.is_held.then_some(Sign::Wrong),
        }
    }

    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        (self.leg == PassLeg::Left).then_some(Holder::Lab)
    }

    fn needs_clean_items(&self) -> bool {
        self.leg == PassLeg::Left
    }

    fn may_precede_disinfection(&self) -> bool {
        self.leg != PassLeg::Left
    }

    /// What goes out is to be worked on; what comes back comes whatever has become of the work.
    fn is_work(&self, _: &ProposedEvent<'_>) -> bool {
        self.leg == PassLeg::Left
    }

    fn waits_for_holds(&self) -> Vec<&Tag> {
        match self.leg {
            PassLeg::Left => self.tags(),
            _ => Vec::new(),
        }
    }

    fn is_of_second_lab(&self, case: &CaseState) -> Option<EventId> {
        let is_its = self.leg.is_of_second_lab() && case.pass(&self.pass).is_some();
        is_its.then(|| self.pass.clone())
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.pass]
    }
}

/// Nothing goes before the office has agreed, where it is asked, nor after it has said no.
fn check_consent(proposal: &mut ProposedEvent<'_>, pass: &PassedWork) {
    if pass.awaits_consent() {
        let sentence = "The office has not agreed yet: a profile of local law asks for that before anything goes.";
        proposal.refuse(CustodyRule::Consent, None, sentence);
    }
    if let Some(reply) = pass.reply.as_ref().filter(|_| pass.is_refused()) {
        let sentence = format!(
            "{} said on {} that it is not to be passed on: nothing more goes there.",
            reply.by,
            reply.at.in_words()
        );
        proposal.refuse(CustodyRule::Consent, None, sentence);
    }
}

impl PassMoved {
    /// One thing, and sound.
    pub fn sample(pass: &PassedWork, leg: PassLeg, tag: &Tag) -> PassMoved {
        PassMoved {
            pass: pass.event.clone(),
            leg,
            items: vec![Found::sound(tag.clone())],
            carrier: SAMPLE_TEXT.to_owned(),
            person: SAMPLE_TEXT.to_owned(),
            set_right: Vec::new(),
        }
    }

    fn check_who(&self, proposal: &mut ProposedEvent<'_>, pass: &PassedWork) {
        match self.leg {
            PassLeg::Left | PassLeg::SetOff => {
                proposal.needs(&self.carrier, CustodyRule::Form, None, NAME_THE_CARRIER);
            }
            PassLeg::Arrived if !pass.is_for(proposal.by) => {
                let wanted = "Name who received it at the second lab, as signed on the authorization or told to you.";
                proposal.needs(&self.person, CustodyRule::Form, None, wanted);
            }
            PassLeg::Arrived | PassLeg::Home => {}
        }
    }

    fn check_items(&self, proposal: &mut ProposedEvent<'_>, pass: &PassedWork) {
        for found in &self.items {
            let named = proposal.named(&found.tag);
            let tag = Some(&found.tag);
            let Some(state) = proposal.state(&found.tag) else {
                continue;
            };
            if !pass.items.contains(&found.tag) {
                let sentence = format!(
                    "{named} does not stand in this authorization: only what stands there goes with it."
                );
                proposal.refuse(CustodyRule::Form, tag, sentence);
            } else if self.leg != PassLeg::Left && !self.leg.begins_at(state.holder) {
                let sentence = format!(
                    "{named} is {}, so this cannot be said of it now.",
                    state.holder.place()
                );
                proposal.refuse(CustodyRule::A, tag, sentence);
            } else if !self.leg.is_receipt() && found.outcome != Outcome::Sound {
                let sentence = format!("How {named} came is said when it is received.");
                proposal.refuse(CustodyRule::Form, tag, sentence);
            }
            if found.outcome != Outcome::Sound {
                let wanted = "Say what is the matter with it.";
                proposal.needs(&found.note, CustodyRule::Form, tag, wanted);
            }
        }
    }

    /// Whether a thing that came is sound again, though it was found wrong before.
    fn is_set_right(&self, found: &Found) -> bool {
        found.outcome == Outcome::Sound && self.set_right.contains(&found.tag)
    }

    /// Set right is said of what has come, and has nothing the matter with it.
    fn check_set_right(&self, proposal: &mut ProposedEvent<'_>) {
        let came_sound = |tag: &Tag| {
            let mut sound = self
                .items
                .iter()
                .filter(|one| one.outcome == Outcome::Sound);
            self.leg.is_receipt() && sound.any(|one| one.tag == *tag)
        };
        for tag in self.set_right.iter().filter(|tag| !came_sound(tag)) {
            let sentence = format!(
                "{} is said to be set right where it is received with nothing the matter.",
                proposal.named(tag)
            );
            proposal.refuse(CustodyRule::Form, Some(tag), sentence);
        }
    }

    /// What the lab has to answer for: it chose the second laboratory and the carrier.
    fn found_wrong(&self, stamp: &Stamp<'_>) -> Vec<Hold> {
        let nowhere = HandoffId::default();
        let wrong = self.items.iter().filter_map(|found| {
            let trouble = match found.outcome {
                Outcome::Sound => return None,
                Outcome::Damaged => Trouble::Damaged,
                Outcome::NotAsDescribed => Trouble::NotAsDescribed,
                Outcome::Missing => Trouble::Missing,
            };
            let thing = Sent::of(found.tag.clone());
            let about = (&nowhere, Side::Lab);
            Some(Hold::of_item(
                stamp,
                trouble,
                about,
                &thing,
                found.note.clone(),
            ))
        });
        wrong.collect()
    }

    fn take(&self, state: &mut State, found: &Found, lab: &str) {
        if found.outcome == Outcome::Missing {
            state.missing = true;
            return;
        }
        state.missing = false;
        state.pieces = found.pieces.or(state.pieces);
        match self.leg {
            PassLeg::Left | PassLeg::SetOff => {
                let (place, from) = match self.leg {
                    PassLeg::Left => (PassedPlace::There, String::new()),
                    _ => (PassedPlace::Back, format!(" at {lab}")),
                };
                state.holder = Holder::Passed(place);
                state.place = None;
                state.handoff = None;
                state.answers = format!("{}, handed over by {}{from}", self.carrier, state.answers);
            }
            PassLeg::Arrived => {
                state.holder = Holder::Passed(PassedPlace::At);
                state.disinfected = false;
                if !self.person.is_empty() {
                    state.answers = format!("{}, {lab}", self.person);
                }
            }
            PassLeg::Home => {
                state.holder = Holder::Lab;
                state.disinfected = false;
                state.held_for_disinfection = !found.marked_disinfected;
                state.uncleaned = true;
            }
        }
        if self.leg.is_receipt() {
            state.condition = match found.outcome {
                Outcome::Damaged => Condition::Damaged,
                Outcome::NotAsDescribed => Condition::NotAsDescribed,
                Outcome::Sound if self.is_set_right(found) => Condition::Sound,
                // Nothing new is the matter with it: what was is so still.
                Outcome::Sound | Outcome::Missing => state.condition,
            };
        }
    }
}
