//! Work that a laboratory has passed on to a second one: which, with which things, and where those are.
//!
//! The authorisation stands between two laboratories and names the prescriber: Florida Administrative Code
//! 64B5-17.006 asks for one of its own with both laboratories and the prescriber in it, Mississippi Code 73-9-55 for
//! the first laboratory's own written order, of which both keep a copy. That the office may say no, and that the first
//! laboratory answers for what happens there, is common practice, no source.

use super::item::Item;
use super::questions::Reply;
use super::state::{Holder, PassedPlace};
use crate::domain::form::choice_field;
use crate::domain::people::party::{Actor, Side};
use crate::domain::prescription::Stage;
use crate::domain::trade::steps::Craft;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{EventId, PartyId, Tag};
use crate::domain::values::moment::{Moment, whole_day};
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};
use time::Date;

words_of! {
    /// What the office says to work that is passed on.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum PassAnswer {
        Agreed = "it may be passed on",
        Objected = "it is not to be passed on",
    }
}

choice_field!(PassAnswer);

words_of! {
    /// What a second laboratory does: it decides which parts of the prescription go along.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum SecondLabWork {
        Tray = "custom tray",
        Rims = "record bases with rims",
        Mounting = "mounting of the casts",
        SetUp = "set-up of the teeth",
        Framework = "metal framework, mesh or reinforcement",
        Processing = "flasking, packing and curing",
        FromFiles = "milling or printing from files",
        Finishing = "finishing and polishing",
        Relining = "reline or rebase",
        Repairing = "repair",
        Remounting = "remount and selective grinding",
        Copying = "duplicate of a denture",
        Whole = "the whole work",
    }
}

choice_field!(SecondLabWork);

impl SecondLabWork {
    /// The step of a plan that it is, or ends with; none where it is the whole work, or no step of its own, as a
    /// framework is none. Common practice, no source.
    fn craft(self) -> Option<Craft> {
        match self {
            SecondLabWork::Mounting => Some(Craft::Mount),
            SecondLabWork::SetUp => Some(Craft::SetUp),
            SecondLabWork::Processing | SecondLabWork::FromFiles => Some(Craft::Cure),
            SecondLabWork::Tray
            | SecondLabWork::Rims
            | SecondLabWork::Finishing
            | SecondLabWork::Relining
            | SecondLabWork::Repairing
            | SecondLabWork::Remounting
            | SecondLabWork::Copying => Some(Craft::Finish),
            SecondLabWork::Framework | SecondLabWork::Whole => None,
        }
    }

    /// Whether these stages hold it: their last step is called the same in all of them, and is another work in each.
    fn is_of(self, stages: &[Stage]) -> bool {
        let own: &[Stage] = match self {
            SecondLabWork::Tray => &[Stage::Tray],
            SecondLabWork::Rims => &[Stage::Rims],
            SecondLabWork::Relining => &[Stage::Reline, Stage::Rebase],
            SecondLabWork::Repairing => &[Stage::Repair],
            SecondLabWork::Remounting => &[Stage::Remount],
            SecondLabWork::Copying => &[Stage::Duplicate],
            SecondLabWork::Mounting
            | SecondLabWork::SetUp
            | SecondLabWork::Framework
            | SecondLabWork::Processing
            | SecondLabWork::FromFiles
            | SecondLabWork::Finishing
            | SecondLabWork::Whole => return true,
        };
        stages.iter().any(|stage| own.contains(stage))
    }

    /// Which of the steps of these stages waits for it, by its place, and whether that is the step that it is. What is no
    /// step of the plan, or one that is finished by the record already, holds up the first of them that is not finished;
    /// where all of them are, the way back, whose place is the one behind the last step.
    pub fn place_in(self, (stages, steps): (&[Stage], &[Craft]), finished: usize) -> (usize, bool) {
        let own = match self.craft() {
            Some(craft) if self.is_of(stages) => steps.iter().position(|own| *own >= craft),
            None if self == SecondLabWork::Whole => steps.len().checked_sub(1),
            _ => None,
        };
        let own = own.filter(|place| *place >= finished);
        own.map_or((finished.min(steps.len()), false), |place| (place, true))
    }
}

words_of! {
    /// One stretch of the way between the two laboratories.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum PassLeg {
        Left = "handed to the carrier",
        Arrived = "received at the second lab",
        SetOff = "handed to the carrier there",
        Home = "received back",
    }
}

choice_field!(PassLeg);

impl PassLeg {
    /// Whether a thing that is here can go this stretch. What nobody saw arrive may come back all the same.
    pub fn begins_at(self, holder: Holder) -> bool {
        match self {
            PassLeg::Left => holder == Holder::Lab,
            PassLeg::Arrived => holder == Holder::Passed(PassedPlace::There),
            PassLeg::SetOff => holder == Holder::Passed(PassedPlace::At),
            PassLeg::Home => matches!(holder, Holder::Passed(_)),
        }
    }

    /// Whether the second laboratory's own people may enter it.
    pub fn is_of_second_lab(self) -> bool {
        matches!(self, PassLeg::Arrived | PassLeg::SetOff)
    }

    /// Whether somebody says of each thing how it came.
    pub fn is_receipt(self) -> bool {
        matches!(self, PassLeg::Arrived | PassLeg::Home)
    }
}

/// The laboratory that work is passed on to, as it was named in the authorisation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SecondLab {
    /// Where it has accounts here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub party: Option<PartyId>,
    pub name: String,
    pub address: String,
    /// Licence or registration number; empty where none was given.
    pub licence: String,
}

/// What the office has said to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PassReply {
    pub at: Moment,
    /// Who said it, with the house.
    pub by: String,
    pub answer: PassAnswer,
    pub note: String,
}

/// Why work is passed on no more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PassEnd {
    /// All of it is back.
    Back,
    /// The lab has ended it.
    Ended,
    /// Passed on again, for a later revision.
    PassedAgain,
}

/// Work passed on, from the entry that says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PassedWork {
    /// The entry that passes it on, and so the number of the authorisation.
    pub event: EventId,
    pub at: Moment,
    /// Who passed it on, with the house.
    pub by: String,
    pub to: SecondLab,
    pub arches: Arches,
    pub items: Vec<Tag>,
    pub task: String,
    /// What was passed on before the kind of work was asked is the whole work.
    pub work: SecondLabWork,
    /// Sections of the prescription that go along beside those which that work needs.
    pub more: Vec<String>,
    pub revision: i64,
    pub wanted: Date,
    pub needs_consent: bool,
    pub reply: Option<PassReply>,
    /// Things that have gone, and when the last of them arrived there.
    pub left: Vec<Tag>,
    pub arrived_at: Option<Moment>,
    pub ended: Option<(Moment, PassEnd)>,
    /// The entries of its way.
    pub moves: Vec<EventId>,
    /// What the second laboratory has asked.
    pub questions: Vec<PassQuestion>,
    /// Answers since it has entered something last: whoever enters something there has the answers before his eyes.
    pub new_answers: i64,
}

/// What is to be known first of work that is passed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PassCaution {
    Refused,
    AwaitsConsent,
    /// It is done to a revision that a newer one has superseded.
    Superseded,
}

/// A question of the second laboratory to the first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PassQuestion {
    /// The entry that asks.
    pub event: EventId,
    pub at: Moment,
    /// Who asks, with the house.
    pub by: String,
    pub text: String,
    pub reply: Option<Reply>,
}

impl PassQuestion {
    pub fn asked_words(&self) -> String {
        let at = self.at.in_words();
        format!("{} asked on {at}, about what is passed on", self.by)
    }
}

impl PassedWork {
    pub fn is_open(&self) -> bool {
        self.ended.is_none()
    }

    pub fn is_refused(&self) -> bool {
        let answer = self.reply.as_ref().map(|one| one.answer);
        answer == Some(PassAnswer::Objected)
    }

    /// Whether the office still has to say whether it may be.
    pub fn awaits_consent(&self) -> bool {
        self.needs_consent && self.reply.is_none()
    }

    /// Whether it is done to an earlier revision than the newest.
    pub fn is_superseded(&self, newest: i64) -> bool {
        self.revision < newest
    }

    /// What is to be known of it first, while it is open and `newest` is the revision in force.
    pub fn caution(&self, newest: i64) -> Option<PassCaution> {
        if !self.is_open() {
            None
        } else if self.is_refused() {
            Some(PassCaution::Refused)
        } else if self.awaits_consent() {
            Some(PassCaution::AwaitsConsent)
        } else {
            self.is_superseded(newest)
                .then_some(PassCaution::Superseded)
        }
    }

    /// Whether this person is of the laboratory that it is passed on to.
    pub fn is_for(&self, by: &Actor) -> bool {
        by.role.works_in() == Some(Side::Lab) && self.to.party.as_ref() == Some(&by.party)
    }
}

/// What is asked before work is passed on so: a thing of the other arch goes along, or it comes back after the day on which
/// the work itself is due.
pub fn doubts(items: &[&Item], arches: Arches, (wanted, due): (Date, Option<Date>)) -> Vec<String> {
    let is_other = |item: &&&Item| {
        item.arch
            .is_some_and(|arch| !arches.treated().contains(&arch))
    };
    let others = items.iter().filter(is_other).map(|item| {
        format!(
            "{} {} goes along, and what is to be done is for: {}.",
            item.title(),
            item.tag,
            arches.shown()
        )
    });
    let late = due.filter(|due| wanted > *due).map(|due| {
        format!(
            "It would be back on {}, and the work is due on {}.",
            whole_day(wanted),
            whole_day(due)
        )
    });
    others.chain(late).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source.
    #[test]
    fn only_the_step_that_is_passed_on_is_named_and_any_other_work_holds_up_the_next_one() {
        use Craft::{Cure, Finish, Mount, Pour, SetUp};
        let set_up: (&[Stage], &[Craft]) = (&[Stage::SetUp], &[Pour, Mount, SetUp]);
        let whole: (&[Stage], &[Craft]) = (
            &[Stage::SetUp, Stage::Process],
            &[Pour, Mount, SetUp, Cure, Finish],
        );
        let tray: (&[Stage], &[Craft]) = (&[Stage::Tray], &[Pour, Finish]);
        for (work, plan, finished, place) in [
            (SecondLabWork::Framework, whole, 1, (1, false)),
            (SecondLabWork::Framework, whole, 5, (5, false)),
            (SecondLabWork::Processing, whole, 1, (3, true)),
            (SecondLabWork::Processing, set_up, 0, (0, false)),
            (SecondLabWork::Finishing, set_up, 2, (2, false)),
            (SecondLabWork::SetUp, set_up, 0, (2, true)),
            (SecondLabWork::Rims, whole, 0, (0, false)),
            (SecondLabWork::Tray, tray, 0, (1, true)),
            (SecondLabWork::Whole, whole, 0, (4, true)),
            // What the record has as done and is passed on all the same is awaited by what follows.
            (SecondLabWork::SetUp, whole, 3, (3, false)),
            (SecondLabWork::SetUp, set_up, 3, (3, false)),
            (SecondLabWork::Whole, whole, 5, (5, false)),
            (SecondLabWork::Tray, tray, 2, (2, false)),
        ] {
            assert_eq!(work.place_in(plan, finished), place, "{work:?} {finished}");
        }
    }
}
