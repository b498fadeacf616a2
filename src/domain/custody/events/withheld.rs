//! The old denture stays out of the patient's hands.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::prefixed;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::form::{FieldSpec, Kind, Raw, command, text};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// Kept back at the office, with the patient's consent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withheld {
    pub tag: Tag,
    pub consent: bool,
    pub kept: String,
}

command! {
    /// What the form asks for.
    WithheldForm;
    consent: bool = Kind::Tick, "The patient consents", "";
    kept: String = text(500), "Where it is kept", "", needed "Say where it is kept.";
}

impl ItemAction for Withheld {
    const ACTION: &'static str = "keep_back";
    const LABEL: &'static str = "Keep it back";
    const HINT: &'static str = "It is the patient's property: ask, and follow local law.";
    const FIELDS: &'static [FieldSpec] = WithheldForm::FIELDS;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Withheld> {
        let form = WithheldForm::read(raw, faults)?;
        Some(Withheld {
            tag: tag.clone(),
            consent: form.consent,
            kept: form.kept,
        })
    }

    fn example(about: &Subject<'_>) -> Withheld {
        Withheld {
            tag: about.tag.clone(),
            consent: true,
            kept: "drawer".to_owned(),
        }
    }
}

impl Constants for Withheld {
    const WORD: &'static str = "withheld";
    const MISTAKEN: Option<&'static str> = Some("kept back");
    const OPEN: &'static [&'static str] = &["tag"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/kept", "where it is kept")];
}

impl EventKind for Withheld {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.office_only();
        if !self.consent {
            proposal.refuse(
                CustodyRule::Form,
                Some(&self.tag),
                "It is the patient's property: it is kept back with the patient's consent only, and local law says what more is needed.",
            );
        }
        if proposal.kind(&self.tag) != Some(ItemKind::OldDenture) {
            let named = proposal.named(&self.tag);
            let sentence =
                format!("{named} is no old denture: only that is kept back from the patient.");
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, _: &Stamp<'_>) {
        case.change(&self.tag, |state| state.withheld = Some(self.kept.clone()));
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let consent = if self.consent {
            "With the patient's consent"
        } else {
            "Without the patient's consent"
        };
        (
            format!("{} kept back from the patient", named(&self.tag)),
            vec![format!("{consent}{}", prefixed(", ", &self.kept))],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::KeptBack)
    }
}
