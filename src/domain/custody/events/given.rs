//! Handed to the patient to keep, not to wear now: the spare.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Spare;
use crate::domain::form::{FieldSpec, Kind, Raw, command, text};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// Handed to the patient as the spare.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Given {
    pub tag: Tag,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spare: Option<Spare>,
}

command! {
    /// What the form asks for.
    GivenForm;
    mark: String = text(500), "What stands on it", "Such as: spare, and the day.", needed "Say what stands on it.";
    kept: String = text(500), "Where it is kept", "", needed "Say where it is kept.";
    keeper: String = text(500), "Who keeps it", "The patient, a carer: no name.", needed "Say who keeps it.";
    in_water: bool = Kind::Tick, "Stored in water", "";
    dry: bool = Kind::Tick, "It is to be kept dry all the same", "A base that is kept dry changes its form.";
}

impl ItemAction for Given {
    const ACTION: &'static str = "give";
    const LABEL: &'static str = "Give it to the patient as the spare";
    const HINT: &'static str =
        "Once the final is in the mouth: marked, in water, and the patient told where to keep it.";
    const FIELDS: &'static [FieldSpec] = GivenForm::FIELDS;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Given> {
        let form = GivenForm::read(raw, faults)?;
        if form.in_water == form.dry {
            let wanted = "Tick that it is stored in water. Is it to be kept dry, tick that instead: its form changes.";
            faults.push(Fault::new(GivenForm::in_water().key, wanted));
        }
        Some(Given {
            tag: tag.clone(),
            spare: Some(Spare {
                mark: form.mark,
                place: form.kept,
                keeper: form.keeper,
                in_water: form.in_water,
            }),
        })
    }

    fn example(about: &Subject<'_>) -> Given {
        Given {
            tag: about.tag.clone(),
            spare: None,
        }
    }
}

impl Constants for Given {
    const WORD: &'static str = "given";
    const MISTAKEN: Option<&'static str> = Some("given to the patient");
    const OPEN: &'static [&'static str] = &["tag"];
    const ERASABLE: &'static [ErasablePlace] = &[
        ("/what/spare/mark", "mark on the spare"),
        ("/what/spare/place", "place of the spare"),
        ("/what/spare/keeper", "keeper of the spare"),
    ];
}

impl EventKind for Given {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    /// Whoever keeps the spare must find it: mark, place and keeper are said, where anything is.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.office_only();
        let said = self.spare.as_ref();
        let said = said.map(|spare| [&spare.mark, &spare.place, &spare.keeper]);
        if said.is_some_and(|texts| texts.iter().any(|text| text.trim().is_empty())) {
            proposal.refuse(
                CustodyRule::E,
                Some(&self.tag),
                "Say how the spare is marked, where it is kept, and who keeps it.",
            );
        }
        super::old_denture::stays_away(proposal, &self.tag);
        self.spare_after_the_final(proposal);
    }

    fn apply(&self, case: &mut CaseState, _: &Stamp<'_>) {
        case.change(&self.tag, |state| {
            state.leave_for_the_patient();
            state.spare = true;
            state.spare_kept = self.spare.clone();
        });
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let kept = |spare: &Spare| {
            let water = if spare.in_water {
                "in water"
            } else {
                "not in water"
            };
            format!(
                "Marked: {}. Kept: {}, {water}. Keeper: {}.",
                spare.mark, spare.place, spare.keeper
            )
        };
        (
            format!("{} given to the patient as the spare", named(&self.tag)),
            self.spare.iter().map(kept).collect(),
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Given)
    }

    fn rests_on_the_mouth(&self, _: &ProposedEvent<'_>) -> Vec<Tag> {
        vec![self.tag.clone()]
    }

    fn waits_for_holds(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }
}

impl Given {
    /// e: a duplicate becomes the spare only after the final of its arch is fitted.
    fn spare_after_the_final(&self, proposal: &mut ProposedEvent<'_>) {
        let named = proposal.named(&self.tag);
        let sentence = match proposal.kind(&self.tag) {
            Some(ItemKind::Duplicate) => {
                let arch = proposal.arch(&self.tag);
                let worn = arch.and_then(|arch| proposal.worn_in(arch));
                let worn = worn.and_then(|worn| proposal.kind(&worn));
                if worn == Some(ItemKind::FinalDenture) {
                    return;
                }
                format!(
                    "{named} becomes the spare only when the final denture of its arch is in the mouth."
                )
            }
            Some(ItemKind::OldDenture) => return,
            _ => format!("{named} is no spare: only a duplicate is given along."),
        };
        proposal.refuse(CustodyRule::E, Some(&self.tag), sentence);
    }
}
