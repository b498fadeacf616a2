//! An entry that ended an item was a mistake: it is withdrawn by a signed statement, and both entries stay.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::hold::Ended;
use crate::domain::custody::proposal::{ProposedEvent, CustodyRule};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Gone, Holder};
use crate::domain::form::{FieldSpec, Raw, command, text};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// What the signature under a withdrawal says.
pub const MEANS_WITHDRAWN: &str =
    "I state that the entry was a mistake, that the item is there, and that I have it or know where it is.";

/// The item is there again, as it was before the entry that ended it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withdrawn {
    pub tag: Tag,
    /// The entry that was a mistake.
    pub event: EventId,
    pub reason: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed: Option<Signed>,
}

command! {
    /// What the form asks for.
    WithdrawnForm;
    mistake: String = text(500), "What the mistake was", "", needed "Say what the mistake was.";
}

impl ItemAction for Withdrawn {
    const ACTION: &'static str = "withdraw";
    const LABEL: &'static str = "Withdraw the entry that ended it";
    const HINT: &'static str = "Only where it was entered by mistake and the item is there. Both entries stay in the record.";
    const FIELDS: &'static [FieldSpec] = WithdrawnForm::FIELDS;
    const MEANS: &'static str = MEANS_WITHDRAWN;
    const FROM_PAPER: bool = false;

    /// Which entry it is, the case itself says.
    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Withdrawn> {
        let form = WithdrawnForm::read(raw, faults)?;
        Some(Withdrawn {
            tag: tag.clone(),
            event: EventId::default(),
            reason: form.mistake,
            signed: None,
        })
    }

    fn example(about: &Subject<'_>) -> Withdrawn {
        let last = about.case.ending_of(about.tag);
        Withdrawn {
            tag: about.tag.clone(),
            event: last.map(|last| last.event.clone()).unwrap_or_default(),
            reason: "mistaken".to_owned(),
            signed: None,
        }
    }
}

impl Constants for Withdrawn {
    const WORD: &'static str = "withdrawn";
    const OPEN: &'static [&'static str] = &["tag", "event"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for Withdrawn {
    /// None: what holds for things that are there does not hold for this one.
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn tells_of(&self, asked: &Tag) -> bool {
        self.tag == *asked
    }

    /// By the house that made the entry, as long as nothing rests on it.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let wanted = "Say what the mistake was.";
        proposal.needs(&self.reason, CustodyRule::Form, Some(&self.tag), wanted);
        let last = proposal.case.ending_of(&self.tag);
        let Some(last) = last.filter(|last| last.event == self.event).cloned() else {
            let sentence = "There is no entry about it that could be withdrawn.";
            proposal.refuse(CustodyRule::J, Some(&self.tag), sentence);
            return;
        };
        let earlier = proposal.journal.earlier(&self.event);
        if earlier.is_none_or(|one| one.party != proposal.by.party) {
            let sentence = "The house that made the entry withdraws it.";
            proposal.refuse(CustodyRule::Right, Some(&self.tag), sentence);
        }
        if proposal.at.unix_ms < last.at.unix_ms {
            let sentence = format!("The entry is of {}, and is withdrawn after that.", last.at);
            proposal.refuse(CustodyRule::I, Some(&self.tag), sentence);
        }
        let later = proposal.case.made_since(&self.tag, &last);
        if !later.is_empty() {
            let named: Vec<String> = later.iter().map(|tag| proposal.named(tag)).collect();
            let sentence = format!(
                "Entries made since rest on it, those of {}: write a correction instead.",
                named.join(", ")
            );
            proposal.refuse(CustodyRule::F, Some(&self.tag), sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let Some(last) = case.ending_of(&self.tag).cloned() else {
            return;
        };
        let was_lost = case
            .item(&self.tag)
            .is_some_and(|state| state.gone == Some(Gone::WrittenOff));
        if was_lost {
            for handoff in &mut case.handoffs {
                handoff.written_off.retain(|tag| *tag != self.tag);
            }
            for hold in &mut case.holds {
                let ended_so = hold.ended == Some(Ended::WrittenOff);
                if ended_so && hold.ended_by.as_ref() == Some(&last.event) {
                    (hold.ended, hold.ended_by) = (None, None);
                }
            }
        }
        // What it is said to have gone into did not come of it.
        case.descent.retain(|(from, into, at)| {
            let is_its_own = *at == last.at && last.into.as_ref() == Some(into);
            *from != self.tag || !is_its_own
        });
        case.change(&self.tag, |state| {
            *state = *last.before;
            state.last_at = stamp.at;
            state.answers = stamp.answering();
        });
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let signed = self.signed.as_ref();
        let details = vec![
            format!("The mistake: {}", self.reason),
            signed.map_or_else(String::new, phrases::signed),
        ];
        let sentence = format!("{} is there again: the entry that ended it is withdrawn", named(&self.tag));
        (sentence, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Withdrawn)
    }

    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        None
    }

    fn shows_on(&self, _: &CaseState) -> Vec<Tag> {
        vec![self.tag.clone()]
    }

    fn about_events(&self) -> Vec<&str> {
        vec![&self.event]
    }
}
