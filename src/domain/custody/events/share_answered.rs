//! The lab says whether it sees the part of each side in a correction or a remake as the office does.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence, WhenClosed};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::follow_up::{FollowUpEntry, ShareAnswer, is_said_anew};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// Agreed, or seen otherwise.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShareAnswered {
    /// The check in which the office said it.
    pub event: EventId,
    pub agrees: bool,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl ShareAnswered {
    /// The lab sees it as the office does.
    pub fn sample(entry: &FollowUpEntry) -> ShareAnswered {
        ShareAnswered {
            event: entry.event.clone(),
            agrees: true,
            note: String::new(),
        }
    }
}

impl Constants for ShareAnswered {
    const WORD: &'static str = "share_answered";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["event"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/note", "note")];
}

impl EventKind for ShareAnswered {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let wanted = "The office has said how it sees it: the lab answers.";
        proposal.side_only(Side::Lab, wanted);
        if !self.agrees {
            let wanted = "Say how you see it.";
            proposal.needs(&self.note, CustodyRule::Form, None, wanted);
        }
        if self.agrees && !self.note.trim().is_empty() {
            let sentence = "You agree and say otherwise: take the words out, or say otherwise.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        let mut entries = proposal.case.follow_ups.iter();
        let entry = entries.find(|one| one.event == self.event && one.share.is_some());
        let Some(entry) = entry else {
            let sentence = "There is no such correction or remake to answer.";
            proposal.refuse(CustodyRule::J, None, sentence);
            return;
        };
        let (at, answer) = (entry.at, entry.answer.clone());
        let is_anew = is_said_anew(&proposal.case.follow_ups, entry);
        // Who has seen it otherwise can still agree.
        let is_turned = answer
            .as_ref()
            .is_some_and(|one| self.agrees && !one.agrees);
        if let Some(answer) = answer.filter(|_| !is_turned) {
            let sentence = format!(
                "{} has answered this on {}.",
                answer.by,
                answer.at.in_words()
            );
            proposal.refuse(CustodyRule::F, None, sentence);
        }
        if is_turned && is_anew {
            let sentence = "The office has entered this check again: the newer one counts.";
            proposal.refuse(CustodyRule::F, None, sentence);
        }
        if proposal.at.unix_ms < at.unix_ms {
            let at = at.in_words();
            let sentence = format!("The check is of {at}, and this would be earlier.");
            proposal.refuse(CustodyRule::I, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let mut entries = case.follow_ups.iter_mut();
        if let Some(entry) = entries.find(|one| one.event == self.event) {
            let before = entry.answer.as_ref().map(|one| one.since);
            entry.answer = Some(ShareAnswer {
                at: stamp.at,
                since: before.unwrap_or(stamp.at),
                by: stamp.answering(),
                agrees: self.agrees,
                note: self.note.clone(),
            });
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = match self.agrees {
            true => "The lab agrees on the part of each side",
            false => "The lab sees the part of each side otherwise",
        };
        (what.to_owned(), vec![self.note.clone()])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.event]
    }

    fn when_closed(&self) -> WhenClosed {
        WhenClosed::Allowed
    }
}
