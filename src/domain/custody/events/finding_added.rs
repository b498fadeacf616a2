//! What was wrong with an item on its arrival, and was seen only later or by somebody else.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::common_refusals::SAY_WHAT_IS_DAMAGED;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::hold::{Hold, Trouble};
use crate::domain::custody::parcel::Outcome;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Condition, Holder};
use crate::domain::form::{FieldSpec, Raw, choices, command, text};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

choices! {
    /// What was found later.
    LaterFinding {
        Damaged = "damaged", "it arrived damaged";
        NotAsDescribed = "not_as_described", "it is not as described";
    }
}

/// Added to the receipt with which it came; that entry stays as it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FindingAdded {
    pub tag: Tag,
    pub finding: LaterFinding,
    pub note: String,
}

command! {
    /// What the form asks for.
    FindingAddedForm;
    finding: Option<LaterFinding> = LaterFinding::KIND, "What was found", "", needed "Choose what was found.";
    seen: String = text(500), "Details", "", needed SAY_WHAT_IS_DAMAGED;
}

impl ItemAction for FindingAdded {
    const ACTION: &'static str = "finding";
    const LABEL: &'static str = "Add a finding to its receipt";
    const HINT: &'static str = "It came so, and was seen only now or by somebody else. The sender answers for it, as if it had been found at once.";
    const FIELDS: &'static [FieldSpec] = FindingAddedForm::FIELDS;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<FindingAdded> {
        let form = FindingAddedForm::read(raw, faults)?;
        Some(FindingAdded {
            tag: tag.clone(),
            finding: form.finding?,
            note: form.seen,
        })
    }

    fn example(about: &Subject<'_>) -> FindingAdded {
        FindingAdded {
            tag: about.tag.clone(),
            finding: LaterFinding::Damaged,
            note: "a crack".to_owned(),
        }
    }
}

impl Constants for FindingAdded {
    const WORD: &'static str = "finding_added";
    const MISTAKEN: Option<&'static str> = Some("finding added");
    const OPEN: &'static [&'static str] = &["tag", "finding"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/note", "note on receipt")];
}

impl EventKind for FindingAdded {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if came_with(proposal.case, &self.tag, proposal.side).is_none() {
            let sentence = format!(
                "{} did not come here with a handoff, so there is no receipt to add to.",
                proposal.named(&self.tag)
            );
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
        let wanted = SAY_WHAT_IS_DAMAGED;
        proposal.needs(&self.note, CustodyRule::Form, Some(&self.tag), wanted);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let side = match case.item(&self.tag).map(|state| state.holder) {
            Some(Holder::Lab) => Side::Lab,
            _ => Side::Office,
        };
        let (trouble, condition, outcome) = match self.finding {
            LaterFinding::Damaged => (Trouble::Damaged, Condition::Damaged, Outcome::Damaged),
            LaterFinding::NotAsDescribed => (
                Trouble::NotAsDescribed,
                Condition::NotAsDescribed,
                Outcome::NotAsDescribed,
            ),
        };
        case.change(&self.tag, |state| state.condition = condition);
        let came = came_with(case, &self.tag, side);
        let Some((id, from, sent)) = came.and_then(|handoff| {
            let sent = handoff.sent_item(&self.tag)?;
            Some((handoff.id.clone(), handoff.from, sent.clone()))
        }) else {
            return;
        };
        let hold = Hold::of_item(stamp, trouble, (&id, from), &sent, self.note.clone());
        case.open(stamp, vec![hold]);
        let handoffs = case.handoffs.iter_mut().filter(|one| one.id == id);
        let found = handoffs.flat_map(|one| &mut one.found);
        for found in found.filter(|found| found.tag == self.tag) {
            found.outcome = outcome;
            found.note.clone_from(&self.note);
        }
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        (
            format!(
                "Added to the receipt of {}: {}",
                named(&self.tag),
                self.finding.shown()
            ),
            vec![self.note.clone()],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Wrong)
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }
}

/// The handoff with which an item came to this side last.
fn came_with<'a>(case: &'a CaseState, tag: &Tag, side: Side) -> Option<&'a Handoff> {
    let came = |one: &&Handoff| {
        let mut found = one.found.iter();
        one.to == side && found.any(|found| found.tag == *tag && found.outcome != Outcome::Missing)
    };
    case.handoffs.iter().rev().find(came)
}
