//! What is recorded about one item: the action that was chosen, its fields, and when it was done.

use super::from_paper::FromPaper;
use crate::domain::custody::events::{ACTIONS, Action, What};
use crate::domain::form::{FieldSet, Proof, Raw, Secret};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;

/// The key of the word that says which action it is.
pub const ACTION_KEY: &str = "action";

/// One action on one item as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordForm {
    pub what: What,
    /// What the password under it signs; empty where nobody signs.
    pub means: &'static str,
    pub from_paper: Option<FromPaper>,
    pub password: Secret,
}

impl RecordForm {
    /// Every list of fields that it may hold.
    pub fn field_sets() -> Vec<FieldSet> {
        let actions = ACTIONS.iter().map(|action| FieldSet::once(action.fields));
        let further = [FromPaper::FIELDS, FieldSet::once(Proof::FIELDS)];
        actions.chain(further).collect()
    }

    /// The action that the form names.
    pub fn action(raw: &Raw) -> Option<&'static Action<What>> {
        let word = raw.get(ACTION_KEY).map(String::as_str);
        ACTIONS.iter().find(|action| Some(action.word) == word)
    }

    /// What is to be recorded about `tag`, if nothing is wrong with it.
    pub fn read(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<RecordForm> {
        let Some(action) = RecordForm::action(raw) else {
            faults.push(Fault::new(ACTION_KEY, "Choose what to record."));
            return None;
        };
        let what = (action.typed)(tag, raw, faults);
        let from_paper = FromPaper::read(raw, faults);
        Some(RecordForm {
            what: what?,
            means: action.means,
            from_paper,
            password: Proof::read(raw, faults)?.password,
        })
    }
}
