//! A house keeps the papers of a case beyond their time, or says that the reason for it has ended.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence, WhenClosed};
use super::phrases::{self, is_false, prefixed};
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::keeping::KeptSince;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// What the signature says where papers are to be kept.
pub const MEANS_KEPT_LONGER: &str = "I state that the papers of this case are to be kept for the reason given, and that none of its texts is to be erased.";
/// What the signature says where they need not be any more.
pub const MEANS_KEPT_NO_LONGER: &str =
    "I state that the reason to keep the papers of this case longer has ended.";

/// Whose word it was before the lab could say it of its own.
fn office() -> Side {
    Side::Office
}

fn is_office(side: &Side) -> bool {
    *side == Side::Office
}

/// Papers of a case are kept until the house that says so says otherwise, or need not be any more.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptLonger {
    /// The house that says it.
    #[serde(default = "office", skip_serializing_if = "is_office")]
    pub from: Side,
    /// It lifts what was said before.
    #[serde(default, skip_serializing_if = "is_false")]
    pub ends: bool,
    pub reason: String,
    pub signed: Signed,
}

impl KeptLonger {
    /// That the papers are kept longer, or are not any more.
    pub fn sample(on: &SampleContext<'_>, ends: bool) -> KeptLonger {
        KeptLonger {
            from: on.side(),
            ends,
            reason: SAMPLE_TEXT.to_owned(),
            signed: on.signed(),
        }
    }
}

impl Constants for KeptLonger {
    const WORD: &'static str = "kept_longer";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["from", "ends"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for KeptLonger {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    /// The word of whoever answers for what the house has to keep, with a reason; nothing is said twice.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let sentence = "Each side says for itself whether the papers of a case are kept longer.";
        proposal.side_only(self.from, sentence);
        if proposal.side == self.from {
            proposal.permitted_only(Permission::EraseTexts);
        }
        match (proposal.case.kept_longer.of(self.from), self.ends) {
            (Some(kept), false) => {
                let sentence = format!(
                    "They are kept longer already, since {}.",
                    kept.since.in_words()
                );
                proposal.refuse(CustodyRule::F, None, sentence);
            }
            (None, true) => {
                let sentence = "Nobody has said that they are kept longer.";
                proposal.refuse(CustodyRule::F, None, sentence);
            }
            _ => {}
        }
        let wanted = match self.ends {
            false => "Say why they are kept longer.",
            true => "Say why they need not be kept longer.",
        };
        proposal.needs(&self.reason, CustodyRule::Form, None, wanted);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let kept = (!self.ends).then(|| KeptSince {
            since: stamp.at,
            by: stamp.answering(),
            reason: self.reason.clone(),
        });
        case.kept_longer.say(self.from, kept);
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let of = match self.from {
            Side::Office => "",
            Side::Lab => " at the laboratory",
        };
        let what = match self.ends {
            false => format!("Papers of the case{of} to be kept longer"),
            true => format!("Papers of the case{of} need not be kept longer"),
        };
        let details = vec![
            prefixed("Why: ", &self.reason),
            phrases::signed(&self.signed),
        ];
        (what, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn when_closed(&self) -> WhenClosed {
        WhenClosed::Allowed
    }

    fn is_last_of_all(&self) -> bool {
        true
    }

    /// What becomes of papers shows on no line.
    fn takes_room(&self) -> bool {
        false
    }
}
