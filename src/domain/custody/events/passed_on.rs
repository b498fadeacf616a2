//! The lab passes work on to a second laboratory, by an authorisation of its own.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::common_refusals::NOT_BEFORE_THE_OFFICE_AGREES;
use crate::domain::custody::passed::{PassEnd, PassedWork, SecondLab, SecondLabWork};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Holder;
use crate::domain::form::Day;
use crate::domain::people::party::Side;
use crate::domain::prescription::catalogue;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::whole_day;
use serde::{Deserialize, Serialize};

/// Why nothing is said of work that nobody has ordered.
pub const NOTHING_TO_PASS_ON: &str = "Nothing is signed yet, so that there is no work to pass on.";

/// What the signature under an authorisation says.
pub const MEANS_PASSED_ON: &str = "I authorize the laboratory named here to do this work with these things, to the revision named, and we answer for \
     it to the prescriber as for our own.";

/// Work passed on: to whom, with what, and what is to be done there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PassedOn {
    pub to: SecondLab,
    pub arches: Arches,
    pub items: Vec<Tag>,
    pub task: String,
    /// The kind of work; none in entries from before it was asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub work: Option<SecondLabWork>,
    /// Sections of the prescription that go along beside those which that work needs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub more: Vec<String>,
    /// The revision that it is to be done to.
    pub revision: i64,
    /// When it is wanted back at the lab.
    pub wanted: Day,
    /// Whether a profile of local law asks for the office's consent before anything goes.
    pub needs_consent: bool,
    /// The authorisation that this one takes the place of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instead_of: Option<EventId>,
    pub signed: Signed,
}

impl Constants for PassedOn {
    const WORD: &'static str = "passed_on";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &[
        "to/party",
        "arches",
        "items/*",
        "work",
        "more/*",
        "wanted",
        "instead_of",
    ];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/task", "what the second lab is to do")];
}

impl EventKind for PassedOn {
    fn tags(&self) -> Vec<&Tag> {
        self.items.iter().collect()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(Side::Lab, "The lab passes its own work on.");
        let wanted = "Name the second laboratory.";
        proposal.needs(&self.to.name, CustodyRule::Form, None, wanted);
        let wanted = "Say where the second laboratory is: the authorization names both addresses.";
        proposal.needs(&self.to.address, CustodyRule::Form, None, wanted);
        let wanted = "Say what is to be done there.";
        proposal.needs(&self.task, CustodyRule::Form, None, wanted);
        if self.to.party.as_ref() == Some(proposal.scope.lab) {
            let sentence = "That is this laboratory itself: work is passed on to another.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        if self.revision < 1 {
            proposal.refuse(CustodyRule::J, None, NOTHING_TO_PASS_ON);
        }
        if self.items.is_empty() {
            let sentence = "Choose at least one item that goes to the second laboratory.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        let is_part = |key: &String| catalogue().iter().any(|section| section.key == key);
        if !self.more.iter().all(is_part) {
            let sentence = "The prescription has no such part: choose among those of the page.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        self.check_day(proposal);
        proposal.no_item_twice(&self.tags());
        self.check_earlier(proposal);
        self.check_items(proposal);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let mut work = PassedWork {
            event: stamp.id.clone(),
            at: stamp.at,
            by: stamp.answering(),
            to: self.to.clone(),
            arches: self.arches,
            items: self.items.clone(),
            task: self.task.clone(),
            work: self.work.unwrap_or(SecondLabWork::Whole),
            more: self.more.clone(),
            revision: self.revision,
            wanted: self.wanted.date(),
            needs_consent: self.needs_consent,
            reply: None,
            left: Vec::new(),
            arrived_at: None,
            ended: None,
            moves: Vec::new(),
            questions: Vec::new(),
            new_answers: 0,
        };
        let mut passes = case.passes.iter_mut();
        let earlier = passes.find(|one| Some(&one.event) == self.instead_of.as_ref());
        if let Some(earlier) = earlier {
            earlier.ended = Some((stamp.at, PassEnd::PassedAgain));
            let is_of_this = |tag: &&Tag| self.items.contains(tag);
            work.left = earlier.left.iter().filter(is_of_this).cloned().collect();
            work.arrived_at = earlier.arrived_at;
            work.moves = std::mem::take(&mut earlier.moves);
            // What is not answered yet is asked of what takes its place.
            let asked = std::mem::take(&mut earlier.questions).into_iter();
            (work.questions, earlier.questions) = asked.partition(|one| one.reply.is_none());
        }
        case.passes.push(work);
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let what = format!("Work passed on to {}", self.to.name);
        let mut details = vec![
            format!("To be done there: {}", self.task),
            format!(
                "{}, to revision {}, wanted back on {}",
                self.arches.shown(),
                self.revision,
                whole_day(self.wanted.date())
            ),
        ];
        details.extend(self.work.map(|work| {
            format!(
                "Of the prescription what this needs goes along: {}",
                work.shown()
            )
        }));
        details.extend(self.items.iter().map(named));
        if self.needs_consent {
            details.push(NOT_BEFORE_THE_OFFICE_AGREES.to_owned());
        }
        if self.instead_of.is_some() {
            details.push("In place of the authorization before it.".to_owned());
        }
        details.push(phrases::signed(&self.signed));
        (what, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    /// What is at the second laboratory already is named again with a later revision.
    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        None
    }

    /// Nothing of it has moved yet.
    fn makes_answerable(&self, _: &Tag) -> bool {
        false
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }

    fn is_work(&self, _: &ProposedEvent<'_>) -> bool {
        true
    }

    fn waits_for_holds(&self) -> Vec<&Tag> {
        self.tags()
    }

    fn takes_room(&self) -> bool {
        false
    }

    fn about_events(&self) -> Vec<&EventId> {
        self.instead_of.iter().collect()
    }
}

impl PassedOn {
    /// To a laboratory that has nobody here; no rule hangs on the day or the arches.
    pub fn sample(on: &SampleContext<'_>, tag: &Tag) -> PassedOn {
        let to = SecondLab {
            party: None,
            name: SAMPLE_TEXT.to_owned(),
            address: SAMPLE_TEXT.to_owned(),
            licence: String::new(),
        };
        PassedOn::to(on, to, vec![tag.clone()], None)
    }

    /// What is there already, for the revision in force.
    pub fn sample_again(on: &SampleContext<'_>, pass: &PassedWork) -> PassedOn {
        let items = pass.away(on.case).cloned().collect();
        PassedOn::to(on, pass.to.clone(), items, Some(pass.event.clone()))
    }

    fn to(
        on: &SampleContext<'_>,
        to: SecondLab,
        items: Vec<Tag>,
        instead_of: Option<EventId>,
    ) -> PassedOn {
        PassedOn {
            to,
            arches: on.scope.arches,
            items,
            task: SAMPLE_TEXT.to_owned(),
            work: Some(SecondLabWork::Whole),
            more: Vec::new(),
            revision: 1,
            wanted: Day::from(on.at.date()),
            needs_consent: false,
            instead_of,
            signed: on.signed(),
        }
    }

    fn check_day(&self, proposal: &mut ProposedEvent<'_>) {
        let day = self.wanted.date();
        if day < proposal.at.date() {
            let sentence = format!("{} is gone.", whole_day(day));
            proposal.refuse(CustodyRule::I, None, sentence);
        }
        proposal.refuse_far_day(day);
    }

    /// What takes the place of an authorisation is for the same laboratory, and names all that is away by it.
    fn check_earlier(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(event) = &self.instead_of else {
            return;
        };
        let earlier = proposal.case.pass(event).filter(|one| one.is_open());
        let Some(earlier) = earlier else {
            let sentence = "The authorization that this one was to replace is ended: look again.";
            proposal.refuse(CustodyRule::J, None, sentence);
            return;
        };
        if earlier.away(proposal.case).next().is_none() {
            let sentence = "Nothing is away by the authorization that this one is to replace: end that one, and begin another.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        if earlier.to.name != self.to.name || earlier.to.party != self.to.party {
            let sentence = format!(
                "The authorization that this one is to replace is for {}: end that one, and begin another.",
                earlier.to.name
            );
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        let left_out = earlier
            .away(proposal.case)
            .filter(|tag| !self.items.contains(tag));
        for tag in left_out.collect::<Vec<_>>() {
            let sentence = format!(
                "{} is away with the authorization that this one replaces: it belongs into this one.",
                proposal.named(tag)
            );
            proposal.refuse(CustodyRule::Form, Some(tag), sentence);
        }
    }

    /// What goes is at the lab and with no other laboratory.
    fn check_items(&self, proposal: &mut ProposedEvent<'_>) {
        for tag in &self.items {
            let Some(state) = proposal.state(tag) else {
                continue;
            };
            let named = proposal.named(tag);
            let other = proposal.case.pass_of(tag);
            let other = other.filter(|one| Some(&one.event) != self.instead_of.as_ref());
            if let Some(other) = other {
                let sentence = format!(
                    "{named} is passed on to {} already: an item is passed on once. End that one first.",
                    other.to.name
                );
                proposal.refuse(CustodyRule::A, Some(tag), sentence);
            } else if !matches!(state.holder, Holder::Lab | Holder::Passed(_)) {
                let sentence = format!(
                    "{named} is {}: only what the lab has is passed on.",
                    state.holder.place()
                );
                proposal.refuse(CustodyRule::A, Some(tag), sentence);
            }
        }
    }
}
