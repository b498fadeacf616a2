//! An item went into another or is spent: an impression into its cast.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Gone, State};
use crate::domain::form::{FieldSpec, Kind, Raw, command, text};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// What the signature under the end of a thing says.
pub const MEANS_USED_UP: &str =
    "I state that this item is used up, and that nothing more can be done with it.";

/// Used up, with what came of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UsedUp {
    pub tag: Tag,
    pub into: String,
    /// The item of this case that it went into.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub into_item: Option<Tag>,
    /// None in an entry from before it was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed: Option<Signed>,
}

command! {
    /// What the form asks for.
    UsedUpForm;
    into: String = text(500), "What became of it", "Such as: poured into the upper cast.", needed "Say what became of it.";
    into_item: Option<Tag> = Kind::Tag, "Made into", "If that has a tag already.";
}

impl ItemAction for UsedUp {
    const ACTION: &'static str = "use_up";
    const LABEL: &'static str = "Used up";
    const HINT: &'static str = "This cannot be undone: no further events can be recorded.";
    const FIELDS: &'static [FieldSpec] = UsedUpForm::FIELDS;
    const MEANS: &'static str = MEANS_USED_UP;
    const ENDS: bool = true;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<UsedUp> {
        let form = UsedUpForm::read(raw, faults)?;
        Some(UsedUp {
            tag: tag.clone(),
            into: form.into,
            into_item: form.into_item,
            signed: None,
        })
    }

    fn example(about: &Subject<'_>) -> UsedUp {
        UsedUp {
            tag: about.tag.clone(),
            into: "cast".to_owned(),
            into_item: None,
            signed: None,
        }
    }
}

impl Constants for UsedUp {
    const WORD: &'static str = "used_up";
    const MISTAKEN: Option<&'static str> = Some("used up");
    const OPEN: &'static [&'static str] = &["tag", "into_item"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/into", "what became of it")];
}

impl EventKind for UsedUp {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn concerns(&self, asked: &Tag) -> bool {
        self.tag == *asked || self.into_item.as_ref() == Some(asked)
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        self.check_what_it_went_into(proposal);
        if proposal.kind(&self.tag).is_some_and(ItemKind::is_denture) {
            let named = proposal.named(&self.tag);
            let sentence = format!(
                "{named} is a denture, and no denture is used up: it is destroyed, with its reason."
            );
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
        proposal.refuse_end_of_loan(&self.tag);
        let wanted = "Say what became of it, such as the cast it was poured into.";
        proposal.needs(&self.into, CustodyRule::Form, Some(&self.tag), wanted);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.finish(&self.tag, stamp, Gone::UsedUp, self.into_item.as_ref());
    }

    fn is_work(&self, proposal: &ProposedEvent<'_>) -> bool {
        proposal.side == Side::Lab
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let into = self.into_item.as_ref();
        let into = into.map_or_else(String::new, |item| format!("Into {}", named(item)));
        (
            format!("{} used up", named(&self.tag)),
            vec![
                self.into.clone(),
                into,
                self.signed
                    .as_ref()
                    .map_or_else(String::new, phrases::signed),
            ],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::UsedUp)
    }

    fn waits_for_holds(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn sign_under(&mut self, by: Signed) {
        self.signed = Some(by);
    }

    fn ends_its_item(&self) -> bool {
        Self::ENDS
    }
}

impl UsedUp {
    /// What it went into is another item of this case that is still there.
    fn check_what_it_went_into(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(into) = &self.into_item else {
            return;
        };
        let is_there = proposal.state(into).is_some_and(State::is_there);
        if !proposal.is_own(into) || !is_there || *into == self.tag {
            let sentence =
                format!("{into} is no other item of this case that it could have gone into.");
            proposal.refuse(CustodyRule::K, Some(into), sentence);
        }
    }
}
