//! The days of a house as lines of a form, beside the list that is pasted or loaded.

use super::load_form::Returned;
use crate::app::see_lists::Seen;
use crate::app::{App, AppError, Person, closed_days, lab_days};
use crate::domain::form::ShownVersion;
use crate::domain::trade::closed_lines::{
    ClosedLine, GoingOut, can_go, line_key, lines_typed, row_key,
};
use crate::domain::trade::house_days::{ClosedDay, LabStep};
use crate::domain::trade::lab_lines::{LabLine, as_typed, lab_line_key, lab_lines_typed};
use crate::domain::trade::lists::ListKind;
use crate::domain::values::moment::{parse_date, whole_day};
use crate::web::error::WebError;
use crate::web::extract::Typed;
use crate::web::field::{FieldView, InputKind, fields_under, fill};
use askama::Template;

/// Empty lines behind those in which something stands.
const EMPTY: usize = 3;
/// Days that are offered to be taken out; with more of them the list is pasted.
const GOING_MOST: usize = 80;
/// Lines of lab days that one page has room for: a list by many kinds of work is longer, and is pasted.
const LAB_MOST: usize = 24;

/// The lines to be filled in, and the days that can be taken out.
#[derive(Template)]
#[template(path = "partials/list_lines.html")]
pub struct LinesPart {
    pub title: &'static str,
    pub action: &'static str,
    pub hint: &'static str,
    pub lines: Vec<Vec<FieldView>>,
    pub going: Vec<FieldView>,
    pub is_going: bool,
    pub button: &'static str,
    pub version: String,
    pub post_key: String,
    /// The id of the first box with a message.
    pub first_fault: Option<String>,
}

/// Whether the form asks for more lines alone.
pub fn asks_for_more(form: &Typed) -> bool {
    form.text("go") == "more"
}

/// A line with what was typed.
fn filled(fields: Vec<FieldView>, returned: &Returned) -> Vec<FieldView> {
    let mut fields = fill(fields, &returned.typed, &returned.faults);
    for field in &mut fields {
        // A browser's date box shows only what it can read as a date.
        if field.is(InputKind::Date) && !field.messages.is_empty() {
            field.input = InputKind::Text;
        }
    }
    fields
}

/// A day of the list as a tick: "Fri 25 Dec 2026, holiday".
fn going(day: &ClosedDay, returned: &Returned) -> FieldView {
    let [words, what] = day.cells();
    let (before, date) = match words.rsplit_once(' ') {
        Some((_, date)) => ("Nobody is treated: ", date),
        None => ("", words.as_str()),
    };
    let date = parse_date(date).map_or_else(|_| date.to_owned(), whole_day);
    let what = match what.as_str() {
        "" => what,
        what => format!(", {what}"),
    };
    FieldView::under(GoingOut::out(), &format!("{}.", row_key(day)))
        .label(&format!("{before}{date}{what}"))
        .filled(&returned.typed, &returned.faults)
}

/// A line of lab days.
fn lab_line(number: usize) -> Vec<FieldView> {
    let mut fields = fields_under(LabLine::FIELDS, &lab_line_key(number));
    let step = LabLine::step().key;
    for field in &mut fields {
        if field.key.ends_with(step) {
            let owned = |(word, shown): (&str, &str)| (word.to_owned(), shown.to_owned());
            *field = field.clone().chosen_from(LabStep::choices().map(owned));
        }
    }
    fields
}

/// The lines beside a list of this kind; none where it is not written so.
pub fn lines_part(
    app: &App,
    person: &Person,
    kind: ListKind,
    seen: Option<&Seen>,
    returned: &Returned,
) -> Result<Option<LinesPart>, WebError> {
    let mut part = match kind {
        ListKind::ClosedDays => closed_part(app, person, seen, returned),
        ListKind::LabDays if lab_days::in_force(seen).len() <= LAB_MOST => lab_part(seen, returned),
        _ => return Ok(None),
    };
    let stands = seen.map_or(0, |seen| seen.list.version).to_string();
    let shown = returned.typed.get(ShownVersion::version().key);
    let mut fields = part.lines.iter().flatten();
    let wrong = fields.find(|field| !field.messages.is_empty());
    part.first_fault = wrong.map(FieldView::id);
    part.version = shown.cloned().unwrap_or(stands);
    part.post_key = app.outside.token().map_err(AppError::from)?;
    Ok(Some(part))
}

fn closed_part(app: &App, person: &Person, seen: Option<&Seen>, returned: &Returned) -> LinesPart {
    let today = person.moment(app.outside.now_ms()).date();
    let line = |number| fields_under(ClosedLine::FIELDS, &line_key(number));
    let lines = 0..lines_typed(&returned.typed) + EMPTY;
    let listed = closed_days::in_force(seen).unwrap_or_default();
    let listed = listed.iter().filter(|day| can_go(day, today));
    let going: Vec<FieldView> = listed
        .take(GOING_MOST)
        .map(|day| going(day, returned))
        .collect();
    LinesPart {
        title: "Add days, or take them out",
        action: "/closed-days/lines",
        hint: "A day by itself, or a stretch of days; or a weekday that comes each week. They are added to the list in force. Where none is, Saturday and Sunday stand in it from the beginning.",
        lines: lines.map(|one| filled(line(one), returned)).collect(),
        is_going: going.iter().any(FieldView::is_ticked),
        going,
        button: "Put it into the list",
        version: String::new(),
        post_key: String::new(),
        first_fault: None,
    }
}

fn lab_part(seen: Option<&Seen>, returned: &Returned) -> LinesPart {
    // What was typed goes before what is in force: a line that was emptied stays empty.
    let mut shown = Returned::nothing();
    let has_lines = (returned.typed.keys()).any(|key| key.starts_with(&lab_line_key(0)));
    shown.typed = match has_lines {
        true => returned.typed.clone(),
        false => as_typed(&lab_days::in_force(seen)),
    };
    shown.faults = returned.faults.clone();
    let lines = 0..lab_lines_typed(&shown.typed) + EMPTY;
    LinesPart {
        title: "Change the days",
        action: "/lab-days/lines",
        hint: "All lines together are the list. Clear a line to remove it.",
        lines: lines.map(|one| filled(lab_line(one), &shown)).collect(),
        going: Vec::new(),
        is_going: false,
        button: "Use this list",
        version: String::new(),
        post_key: String::new(),
        first_fault: None,
    }
}
