//! The field that a question is about, beside its answer: its new value goes into the draft of the next revision.

use crate::app::answer_value::{
    asks_for_a_value, field_asked, may_take_along, shown, stands_in_draft,
};
use crate::app::draft_view::DraftView;
use crate::app::see_case::CaseView;
use crate::app::write_draft::{self, Base, Written};
use crate::app::{App, AppError, Person};
use crate::domain::custody::Question;
use crate::domain::form::FieldSet;
use crate::domain::prescription::{catalogue, section_of};
use crate::domain::values::ids::EventId;
use crate::web::field::{FieldView, id_of};
use crate::web::tried::Tried;
use crate::web::write::{section_name, view_of};

/// The field with what stands there now.
pub struct ValueView {
    pub field: FieldView,
    /// The draft as this page shows it.
    pub base: String,
}

/// What went into the draft with an answer.
pub struct TakenView {
    pub label: String,
    /// Empty where it was emptied since.
    pub value: String,
    /// Where it stands in the form: the part that it opens, and its id there.
    pub part: &'static str,
    pub id: String,
}

/// The single fields of a prescription: their texts are looked at as those of the answer are.
pub fn value_sets() -> Vec<FieldSet> {
    let sections = catalogue().iter();
    sections
        .map(|section| FieldSet::once(section.fields))
        .collect()
}

/// The draft, where a field of it is offered beside an answer, or was taken along with one.
pub async fn draft_for(
    app: &App,
    person: &Person,
    view: &CaseView,
    taken: &str,
) -> Result<Option<Written>, AppError> {
    let work = &view.work;
    let is_needed = asks_for_a_value(work) || !taken.is_empty();
    if !is_needed || !may_take_along(person, work.side) {
        return Ok(None);
    }
    Ok(Some(
        write_draft::open(app, person, &work.case.number).await?,
    ))
}

/// The field beside the answer to this question; none where it is about no single field.
pub fn value_view(
    draft: Option<&Written>,
    person: &Person,
    question: &Question,
    tried: &Tried,
) -> Option<ValueView> {
    let (draft, spec) = (draft?, field_asked(question)?);
    let stands = draft.shown().get(spec.key).cloned().unwrap_or_default();
    let stands = match shown(spec, &stands) {
        stands if stands.is_empty() => "Nothing stands there now".to_owned(),
        stands => format!("Now: {stands}"),
    };
    let mut field = view_of(spec, None, person.numbering())
        .label(&format!("New value of “{}”", spec.label))
        .hint(&format!(
            "{stands}. Goes into the draft of the next revision; left empty, nothing changes there."
        ))
        .filled(&tried.typed, &tried.faults);
    field.needed = false;
    field.suggestions = DraftView::of(draft, false).codes(spec.key);
    Some(ValueView {
        field,
        base: Base::of(&draft.draft).to_string(),
    })
}

/// What was taken along with the answer to the question of this entry, as the draft has it now.
pub fn taken_view(draft: Option<&Written>, view: &CaseView, taken: &str) -> Option<TakenView> {
    let question = view.work.question(&EventId::new(taken))?;
    let spec = field_asked(question)?;
    let part = section_of(spec.key).map_or("", |one| one.key);
    Some(TakenView {
        part,
        label: format!("{}, {}", section_name(part), spec.label),
        value: stands_in_draft(draft?, spec)?,
        id: id_of("", spec.key),
    })
}
