//! The form that loads a list, and what came back with it.

use crate::app::see_lists::Seen;
use crate::app::{App, AppError};
use crate::domain::trade::lists::ListKind;
use crate::domain::values::fault::Fault;
use crate::web::error::{FormErrors, WebError};
use crate::web::extract::{Typed, WithFile};
use crate::web::field::{FieldView, Input, fill};
use crate::web::personal_data_check::tick;
use crate::web::typed_form::TypedForm;
use askama::Template;
use axum::http::StatusCode;

/// Everything that loading takes: the boxes, and what the list must look like.
#[derive(Template)]
#[template(path = "partials/load_list.html")]
pub struct LoadForm {
    pub action: String,
    pub fields: Vec<FieldView>,
    /// Where a text wants a second look.
    pub tick: Option<FieldView>,
    pub columns: &'static [(&'static str, &'static str)],
    pub example: &'static str,
    pub version: String,
    pub post_key: String,
    /// Whether there is one in use that could be taken out.
    pub in_use: bool,
    /// The id of the first box with a message.
    pub first_fault: Option<String>,
}

/// What came with a form that goes back, or nothing.
pub struct Returned {
    pub typed: TypedForm,
    pub status: StatusCode,
    pub faults: Vec<Fault>,
    pub refusals: Vec<String>,
}

impl Returned {
    /// For a page that is opened.
    pub fn nothing() -> Returned {
        Returned {
            typed: TypedForm::new(),
            status: StatusCode::OK,
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
        FieldView::new(Input::File, WithFile::FILE, "File of the list")
            .hint("CSV in UTF-8. A file that is chosen is taken in place of the text below."),
        FieldView::new(Input::Long, WithFile::TEXT, "Or the list itself")
            .hint("Paste it, with its heading. Nothing is taken while a line is not clear."),
    ];
    if kind != ListKind::Moulds && seen.is_none() {
        fields.splice(0..0, new_guide_fields());
    }
    let fields = fill(fields, &returned.typed, &returned.faults);
    let first_fault = fields.iter().find(|field| !field.messages.is_empty());
    let stands = seen.map_or(0, |seen| seen.list.version).to_string();
    Ok(LoadForm {
        action,
        first_fault: first_fault.map(FieldView::id),
        fields,
        tick: tick(&returned.typed),
        columns: kind.columns(),
        example: kind.example(),
        version: returned.typed.get("version").cloned().unwrap_or(stands),
        post_key: app.outside.token().map_err(AppError::from)?,
        in_use: seen.is_some_and(|seen| seen.entries.is_some()),
    })
}

/// What a guide is for and how it is called, before it has a list.
fn new_guide_fields() -> [FieldView; 2] {
    let kinds = [ListKind::ToothGuide, ListKind::BaseGuide];
    let kinds = kinds.map(|kind| (kind.word().to_owned(), kind.shown().to_owned()));
    let name = FieldView::text("guide", "Name of the guide");
    [
        FieldView::choice("kind", "What its tabs are for", kinds).needed(),
        name.hint("As it is written on a prescription.").needed(),
    ]
}

/// Whether the form asks to take the list out of use, and is sure of it.
pub fn goes_out(form: &Typed) -> Result<bool, AppError> {
    let asked = form.text("go") == "out";
    if asked && !form.is_ticked("sure") {
        return Err(AppError::Refused(vec![
            "Tick “Take this list out of use” first.".to_owned(),
        ]));
    }
    Ok(asked)
}

/// The form of a list, if its file could be read.
pub fn readable(sent: &WithFile) -> Result<(), AppError> {
    if sent.is_unreadable {
        let message = "This file is no text in UTF-8. Save it as “CSV UTF-8”, or open it and paste its text below.";
        return Err(AppError::field(WithFile::FILE, message));
    }
    Ok(())
}
