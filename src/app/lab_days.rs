//! A lab's own days line by line: the lines of the form are the next version of its list.

use super::load_list::{ListEntry, ListForm, load_only};
use super::{App, AppError, Person, PostKey, see_lists};
use crate::domain::form::{FieldSet, Form, Raw, ShownVersion};
use crate::domain::trade::house_days::{StepDays, write_lab_days};
use crate::domain::trade::lab_lines::LabLines;
use crate::domain::trade::lists::{Entries, ListKind};
use crate::domain::values::fault::Fault;

/// The lines, and the version of the list that the page showed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabDaysForm {
    pub lines: LabLines,
    pub shown: ShownVersion,
}

impl Form for LabDaysForm {
    fn field_sets() -> Vec<FieldSet> {
        let mut sets = LabLines::field_sets();
        sets.extend(ShownVersion::field_sets());
        sets
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<LabDaysForm> {
        let lines = LabLines::read(raw, faults);
        let shown = ShownVersion::read(raw, faults);
        Some(LabDaysForm {
            lines: lines?,
            shown: shown?,
        })
    }
}

/// The days in force of one's own lab; none where no list is.
pub fn in_force(seen: Option<&see_lists::Seen>) -> Vec<StepDays> {
    match seen.and_then(|seen| seen.entries.as_ref()) {
        Some(Entries::Days(steps)) => steps.clone(),
        _ => Vec::new(),
    }
}

/// Puts the next version in force.
pub async fn change(
    app: &App,
    person: &Person,
    form: &LabDaysForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let steps = &form.lines.steps;
    let list = ListEntry {
        entries: i64::try_from(steps.len()).unwrap_or(i64::MAX),
        form: ListForm {
            text: write_lab_days(steps),
            version: form.shown.version,
        },
    };
    load_only(app, person, ListKind::LabDays, &list, key).await
}
