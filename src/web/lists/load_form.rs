//! The form that loads a list, and what came back with it.

use crate::app::load_list::{GuideForm, ListEntry, ListForm, NewGuide, TakeOutForm};
use crate::app::see_lists::Seen;
use crate::app::{App, AppError};
use crate::domain::form::{FieldSet, Form, ShownVersion};
use crate::domain::trade::lists::ListKind;
use crate::domain::values::fault::Fault;
use crate::web::error::{FormErrors, PageStatus, WebError};
use crate::web::extract::{Typed, WithFile};
use crate::web::field::{FieldView, InputKind, fields_under, fill};
use crate::web::personal_data_check::tick_for;
use crate::web::typed_form::TypedForm;
use askama::Template;
use axum::http::StatusCode;

/// Everything that loading takes: the boxes, and what the list must look like.
#[derive(Template)]
#[template(path = "partials/load_list.html")]
pub struct LoadForm {
    pub action: String,
    pub fields: Vec<FieldView>,
    /// Where a text is asked about.
    pub tick: Option<FieldView>,
    pub columns: &'static [(&'static str, &'static str)],
    pub example: &'static str,
    pub version: String,
    pub post_key: String,
    /// The tick that takes the one in use out of it.
    pub sure: Option<FieldView>,
    /// The id of the first box with a message.
    pub first_fault: Option<String>,
}

/// What came with a form that goes back, or nothing.
pub struct Returned {
    pub typed: TypedForm,
    pub status: PageStatus,
    pub faults: Vec<Fault>,
    pub refusals: Vec<String>,
}

impl Returned {
    /// For a page that is opened.
    pub fn nothing() -> Returned {
        Returned {
            typed: TypedForm::new(),
            status: StatusCode::OK.into(),
            faults: Vec::new(),
            refusals: Vec::new(),
        }
    }

    /// The form with its messages, or a failure that has a page of its own.
    pub fn of(error: AppError, form: Typed) -> Result<Returned, WebError> {
        let errors = FormErrors::of(error)?;
        Ok(Returned {
            typed: form.0,
            status: errors.status,
            faults: errors.faults,
            refusals: errors.refusals,
        })
    }
}

/// The form; of a list of one's own, `seen`, or of a guide that is yet to be named.
pub fn load_form(
    app: &App,
    returned: &Returned,
    kind: ListKind,
    action: String,
    seen: Option<&Seen>,
) -> Result<LoadForm, WebError> {
    let mut fields = vec![
        FieldView::new(InputKind::File, WithFile::FILE, "File of the list")
            .hint("CSV in UTF-8. A file that is chosen is taken in place of the text below."),
        // A file may stand in its place, so that it is not marked as needed.
        FieldView {
            needed: false,
            ..FieldView::under(ListForm::text(), "")
        },
    ];
    if kind.is_guide() && seen.is_none() {
        fields.splice(0..0, fields_under(GuideForm::FIELDS, ""));
    }
    let fields = fill(fields, &returned.typed, &returned.faults);
    let first_fault = fields.iter().find(|field| !field.messages.is_empty());
    let stands = seen.map_or(0, |seen| seen.list.version).to_string();
    Ok(LoadForm {
        action,
        first_fault: first_fault.map(FieldView::id),
        fields,
        tick: tick_for(&returned.typed, &NewGuide::field_sets()),
        columns: kind.columns(),
        example: kind.example(),
        version: returned
            .typed
            .get(ShownVersion::version().key)
            .cloned()
            .unwrap_or(stands),
        post_key: app.outside.token().map_err(AppError::from)?,
        sure: seen
            .filter(|seen| seen.entries.is_some())
            .map(|_| FieldView::under(TakeOutForm::sure(), "")),
    })
}

/// Whether the form asks to take the list out of use.
pub fn goes_out(form: &Typed) -> bool {
    form.text("go") == "out"
}

/// The list that was sent, of this kind.
pub fn list_in(sent: &WithFile, kind: ListKind) -> Result<ListEntry, AppError> {
    readable(sent)?;
    let sets = [FieldSet::once(ListForm::FIELDS)];
    sent.form.read_as(&sets, |typed, faults| {
        ListEntry::read_of(kind, typed, faults)
    })
}

/// That the file could be read.
pub fn readable(sent: &WithFile) -> Result<(), AppError> {
    if sent.is_unreadable {
        let message = "This file is no text in UTF-8. Save it as “CSV UTF-8”, or open it and paste its text below.";
        return Err(AppError::field(WithFile::FILE, message));
    }
    Ok(())
}
