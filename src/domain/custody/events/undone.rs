//! What was entered at the bench, of the fit, or of a check after it, was a mistake: the entry is withdrawn, and both stay.

use super::fit_checked::FitChecked;
use super::followed_up::FollowedUp;
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::SAMPLE_TEXT;
use super::worked::Worked;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// What an entry said counts for nothing from here on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Undone {
    /// The entry that was a mistake.
    pub event: EventId,
    pub reason: String,
}

/// The kinds that are about no single thing, and are withdrawn by the house that made them.
const WITHDRAWN_SO: [&str; 3] = [Worked::WORD, FitChecked::WORD, FollowedUp::WORD];

impl Undone {
    /// The withdrawal of this entry.
    pub fn sample(event: &EventId) -> Undone {
        Undone {
            event: event.clone(),
            reason: SAMPLE_TEXT.to_owned(),
        }
    }
}

impl Constants for Undone {
    const WORD: &'static str = "undone";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["event"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for Undone {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let wanted = "Say what the mistake was.";
        proposal.needs(&self.reason, CustodyRule::Form, None, wanted);
        if proposal.refuse_withdrawn(&self.event, None) {
            return;
        }
        let earlier = proposal.journal.earlier(&self.event);
        let is_withdrawn_so = |word: &str| WITHDRAWN_SO.contains(&word);
        let Some(earlier) = earlier.filter(|one| is_withdrawn_so(one.word)) else {
            let sentence = "There is no such entry to withdraw.";
            proposal.refuse(CustodyRule::J, None, sentence);
            return;
        };
        let mut checks = proposal.case.follow_ups.iter();
        let answer = checks
            .find(|one| one.event == self.event)
            .and_then(|one| one.answer.clone());
        if let Some(answer) = answer {
            let sentence = format!(
                "{} has answered this check on {}: both stay. Enter what is so now as another check.",
                answer.by,
                answer.at.in_words()
            );
            proposal.refuse(CustodyRule::J, None, sentence);
        }
        if earlier.party != proposal.by.party {
            let sentence = format!(
                "{} has made this entry, and withdraws it.",
                earlier.party_name
            );
            proposal.refuse(CustodyRule::Right, None, sentence);
        }
        proposal.refuse_before(earlier.at, None);
    }

    /// To leave the entry out is the fold's: it is as if it had not been made.
    fn apply(&self, _: &mut CaseState, _: &Stamp<'_>) {}

    fn describe(&self, _: Named<'_>) -> Sentence {
        let details = vec![format!("The mistake: {}", self.reason)];
        ("An entry is withdrawn".to_owned(), details)
    }

    fn is_of_the_bench(&self) -> bool {
        true
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }

    /// It may be a fitting, or a check after one.
    fn is_about_days(&self) -> bool {
        true
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.event]
    }

    fn withdraws(&self) -> Option<&EventId> {
        Some(&self.event)
    }
}
