//! Closed days line by line: the next version of a house's list is the one in force with what is added and without what is
//! taken out.

use super::load_list::{ListEntry, ListForm, load_only};
use super::{App, AppError, Person, PostKey, see_lists};
use crate::domain::form::{FieldSet, Form, Raw, ShownVersion};
use crate::domain::trade::closed_lines::ClosedLines;
use crate::domain::trade::house_days::{ClosedDay, write_closed};
use crate::domain::trade::lists::{Entries, ListKind};
use crate::domain::values::fault::Fault;

/// The lines, and the version of the list that the page showed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosedDaysForm {
    pub lines: ClosedLines,
    pub shown: ShownVersion,
}

impl Form for ClosedDaysForm {
    fn field_sets() -> Vec<FieldSet> {
        let mut sets = ClosedLines::field_sets();
        sets.extend(ShownVersion::field_sets());
        sets
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<ClosedDaysForm> {
        let lines = ClosedLines::read(raw, faults);
        let shown = ShownVersion::read(raw, faults);
        Some(ClosedDaysForm {
            lines: lines?,
            shown: shown?,
        })
    }
}

/// The closed days in force of one's own house; none where no list is.
pub fn in_force(seen: Option<&see_lists::Seen>) -> Option<Vec<ClosedDay>> {
    match seen?.entries.as_ref()? {
        Entries::Closed(days) => Some(days.clone()),
        _ => None,
    }
}

/// Puts the next version in force.
///
/// # Errors
/// Faults beside the lines, and a stale page where somebody else has loaded a list meanwhile.
pub async fn change(
    app: &App,
    person: &Person,
    form: &ClosedDaysForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let kind = ListKind::ClosedDays;
    let seen = see_lists::own_only(app, person, kind).await?;
    let before = in_force(seen.as_ref());
    // A page that is not the newest any more is refused with the list, or is the same post a second time.
    let is_stale = seen.map_or(0, |seen| seen.list.version) != form.shown.version;
    let days = match form.lines.list(before.clone()) {
        Err(_) if is_stale => before.unwrap_or_default(),
        list => list.map_err(AppError::Invalid)?,
    };
    let list = ListEntry {
        entries: i64::try_from(days.len()).unwrap_or(i64::MAX),
        form: ListForm {
            text: write_closed(&days),
            version: form.shown.version,
        },
    };
    load_only(app, person, kind, &list, key).await
}
