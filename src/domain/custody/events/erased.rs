//! Free texts of earlier entries were taken out for good. That they were there stays.

use super::kind::{Constants, EventKind, Named, Sentence, WhenClosed};
use super::phrases;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::erased_text::{EraseReason, ErasedText};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Holder;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// What the signature under an erasing says.
pub const MEANS_ERASED: &str = "I state that these texts are erased for the reason given, and that my house is not bound to keep them.";

/// Free texts of earlier entries were taken out for good.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Erased {
    pub texts: Vec<ErasedText>,
    pub why: EraseReason,
    pub signed: Signed,
}

impl Constants for Erased {
    const WORD: &'static str = "erased";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["texts/*/event", "texts/*/place", "why"];
}

impl EventKind for Erased {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    /// Free texts only, each once, and only what one's own side has written; nothing while a house keeps the papers
    /// longer.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if let Some(kept) = proposal.case.kept_longer.words() {
            let sentence = format!(
                "The papers of this case are kept longer, {kept} Nothing is erased until that is lifted."
            );
            proposal.refuse(CustodyRule::Kept, None, sentence);
        }
        if self.texts.is_empty() {
            let wanted = "Choose at least one text that is to be erased.";
            proposal.refuse(CustodyRule::Form, None, wanted);
        }
        for (place, text) in self.texts.iter().enumerate() {
            let before = self.texts.iter().take(place);
            let mut gone = proposal.case.erased.iter().chain(before);
            if gone.any(|one| one == text) {
                proposal.refuse(CustodyRule::F, None, "This text has been erased already.");
            } else {
                may_be_erased(proposal, text);
            }
        }
    }

    fn apply(&self, case: &mut CaseState, _: &Stamp<'_>) {
        case.erased.extend(self.texts.iter().cloned());
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let sentence = match self.texts.len() {
            1 => "A text of an earlier entry erased".to_owned(),
            many => format!("{many} texts of earlier entries erased"),
        };
        let why = format!("Because {}", self.why.shown());
        (sentence, vec![why, phrases::signed(&self.signed)])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        None
    }

    fn when_closed(&self) -> WhenClosed {
        WhenClosed::Allowed
    }

    /// That a text was erased shows on no line.
    fn takes_room(&self) -> bool {
        false
    }

    fn about_events(&self) -> Vec<&EventId> {
        self.texts.iter().map(|text| &text.event).collect()
    }
}

fn may_be_erased(proposal: &mut ProposedEvent<'_>, text: &ErasedText) {
    let called = proposal.journal.erasable(&text.event, &text.place);
    let earlier = proposal.journal.earlier(&text.event);
    let (Some(earlier), Some(called)) = (earlier, called) else {
        proposal.refuse(
            CustodyRule::J,
            None,
            "There is no such text to erase: names, tags, times and what was done stay.",
        );
        return;
    };
    if earlier.party != proposal.by.party {
        let sentence = format!(
            "The {called} of {} was written by {}: its people erase it.",
            earlier.at.in_words(),
            earlier.party_name
        );
        proposal.refuse(CustodyRule::Right, None, sentence);
    }
}
