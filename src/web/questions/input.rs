//! What the page of questions is made of, and how its fields are filled.

use crate::app::see_case::CaseView;
use crate::app::write_draft::Written;
use crate::app::{App, Person};
use crate::domain::values::ids::EventId;
use crate::web::field::FieldView;
use crate::web::tried::Tried;

/// What the page is made of.
pub struct QuestionsInput<'a> {
    pub app: &'a App,
    pub person: &'a Person,
    pub view: &'a CaseView,
    pub tried: &'a Tried,
    /// Where a field of it is shown.
    pub draft: Option<&'a Written>,
    /// The question with whose answer a value was just taken into the draft; empty for most.
    pub taken: &'a str,
}

/// A field with an id of its own, since the page may hold several of one form.
pub fn scoped(mut field: FieldView, id: &EventId) -> FieldView {
    field.scope = format!("{id}-").into();
    field
}

/// The same of several.
pub fn scoped_by(fields: Vec<FieldView>, id: &EventId) -> Vec<FieldView> {
    let fields = fields.into_iter();
    fields.map(|field| scoped(field, id)).collect()
}
