//! The end of the case, with what became of each item.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::{self, is_false};
use super::sample::SampleContext;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::closing::{Disposed, dispositions};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// What the signature under the end of a case says.
pub const MEANS_CLOSED: &str = "I state that every item of this case is where this entry says it is, and that the case is at its end.";

/// The end of the case.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Closed {
    pub items: Vec<Disposed>,
    pub note: String,
    /// A prescription was signed, and nothing was made to it.
    #[serde(default, skip_serializing_if = "is_false")]
    pub nothing_made: bool,
    pub signed: Signed,
}

impl Closed {
    /// Where something is undecided, the rule itself says what.
    pub fn sample(on: &SampleContext<'_>) -> Closed {
        Closed {
            items: dispositions(&on.scope, on.case).unwrap_or_default(),
            note: String::new(),
            nothing_made: false,
            signed: on.signed(),
        }
    }
}

impl Constants for Closed {
    const WORD: &'static str = "closed";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["items/*/tag", "items/*/disposition"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/note", "note")];
}

impl EventKind for Closed {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn concerns(&self, asked: &Tag) -> bool {
        self.items.iter().any(|one| one.tag == *asked)
    }

    /// The office closes its case when every item has its end, and says for each what became of it.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(Side::Office, "The office closes its cases.");
        match dispositions(&proposal.scope, proposal.case) {
            Err(undecided) => {
                for sentence in undecided {
                    proposal.refuse(CustodyRule::Form, None, sentence);
                }
            }
            Ok(decided) if decided != self.items => proposal.refuse(
                CustodyRule::Form,
                None,
                "Something has happened to an item since this page was read: look again.",
            ),
            Ok(_) => {}
        }
    }

    fn apply(&self, case: &mut CaseState, _: &Stamp<'_>) {
        case.closed = true;
        // Its pan is free for another case.
        case.assigned = None;
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let ends = self.items.iter();
        let ends = ends.map(|one| format!("{}: {}", named(&one.tag), one.disposition.shown()));
        let mut details: Vec<String> = ends.collect();
        if self.nothing_made {
            details.push("Nothing was made to the prescription".to_owned());
        }
        details.push(self.note.clone());
        details.push(phrases::signed(&self.signed));
        ("Case closed".to_owned(), details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn is_last_of_all(&self) -> bool {
        true
    }

    fn is_about_days(&self) -> bool {
        true
    }

    fn note(&self) -> &'static str {
        "case closed"
    }
}
