//! An answer that is the value of one field: it goes into the draft of the next revision with the answer. Nothing is
//! signed by it.

use super::write_draft::{self, Base, TakenIn, Written};
use super::{App, AppError, Person};
use crate::app::case_work::CaseWork;
use crate::domain::custody::Question;
use crate::domain::form::{FieldSpec, Kind};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::{line_spec, read};
use crate::domain::values::fault::Fault;
use crate::store::Tx;

/// What was typed for the field that a question is about, with the state of the draft that the page showed.
#[derive(Debug, Clone)]
pub struct TypedValue {
    pub base: Base,
    /// The fields of the prescription that came with the form.
    pub fields: Fields,
}

/// The field that a question is about, where one value answers it: a text, a number, a day, a choice. A row of a list
/// is none, since only the draft shows which row.
pub fn field_asked(question: &Question) -> Option<&'static FieldSpec> {
    let spec = question.line.as_deref().and_then(line_spec)?;
    let is_one_value = matches!(
        spec.kind,
        Kind::Text { .. }
            | Kind::LongText { .. }
            | Kind::Mm { .. }
            | Kind::Degrees { .. }
            | Kind::Number { .. }
            | Kind::Whole { .. }
            | Kind::Date
            | Kind::Time
            | Kind::YesNo
            | Kind::Choice(_)
            | Kind::Tooth
    );
    (is_one_value && !spec.key.contains('#')).then_some(spec)
}

/// Whether this side is asked about a field whose value answers it.
pub fn asks_for_a_value(work: &CaseWork) -> bool {
    let mut open = work.open_questions();
    open.any(|one| one.to() == work.side && field_asked(one).is_some())
}

/// Whether this person may put a value into the draft with an answer.
pub fn may_take_along(person: &Person, side: Side) -> bool {
    side == Side::Office && person.may(Permission::PrepareCases)
}

/// A text of a field as a reader sees it: the words of a choice, the unit behind a number.
pub fn shown(spec: &FieldSpec, text: &str) -> String {
    let text = text.trim();
    let chosen = match spec.kind {
        Kind::Choice(words) => words.iter().find(|(word, _)| *word == text),
        _ => None,
    };
    let text = chosen.map_or(text, |(_, words)| words);
    match spec.kind.unit() {
        _ if text.is_empty() => String::new(),
        "" => text.to_owned(),
        "°" => format!("{text}°"),
        unit => format!("{} {unit}", text.trim_end_matches(unit).trim_end()),
    }
}

/// What the answer says where nothing but the value was typed.
pub fn answer_words(spec: &FieldSpec, text: &str) -> String {
    format!(
        "{}: {}. To be signed as a revision.",
        spec.label,
        shown(spec, text)
    )
}

impl TypedValue {
    /// The text for the field of this question; none where nothing was typed, or where the person may not.
    ///
    /// # Errors
    /// What the field's own reader says of it, beside the field.
    pub fn of(
        &self,
        question: &Question,
        person: &Person,
        side: Side,
    ) -> Result<Option<(&'static FieldSpec, Fields)>, AppError> {
        let spec = field_asked(question).filter(|_| may_take_along(person, side));
        let Some(spec) = spec else {
            return Ok(None);
        };
        let typed = self.fields.get(spec.key).map_or("", |text| text.trim());
        if typed.is_empty() {
            return Ok(None);
        }
        let fields = Fields::from([(spec.key.to_owned(), typed.to_owned())]);
        let faults = read(&fields, person.numbering()).faults.into_iter();
        let own: Vec<Fault> = faults.filter(|fault| fault.key == spec.key).collect();
        match own.is_empty() {
            true => Ok(Some((spec, fields))),
            false => Err(AppError::Invalid(own)),
        }
    }
}

/// Takes the value into the draft, in the transaction of the answer. Where somebody has written there meanwhile, nothing
/// is entered at all: whoever answers sees first what stands now.
pub(super) async fn take_along(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    work: &CaseWork,
    (base, spec, fields): (Base, &FieldSpec, &Fields),
) -> Result<(), AppError> {
    let taken = write_draft::write_into_draft(app, tx, person, work, (base, fields)).await;
    match taken {
        Ok(TakenIn::Whole) => Ok(()),
        Ok(TakenIn::WrittenMeanwhile { key, stands }) => {
            let stands = match shown(spec, &stands) {
                stands if stands.is_empty() => "has emptied this".to_owned(),
                stands => format!("has written “{stands}” here"),
            };
            let message = format!(
                "Somebody {stands} in the draft meanwhile. Nothing was entered: answer again to put yours in its place, or \
                 empty this."
            );
            Err(AppError::field(&key, message))
        }
        // The answer is typed still: it comes back with its page.
        Err(AppError::Conflict(sentence)) => Err(AppError::Refused(vec![sentence])),
        Err(other) => Err(other),
    }
}

/// What the draft holds for a field, as it is shown; none where no draft is begun.
pub fn stands_in_draft(written: &Written, spec: &FieldSpec) -> Option<String> {
    let is_begun = Base::of(&written.draft).is_begun();
    let text = written.shown().get(spec.key).cloned().unwrap_or_default();
    is_begun.then(|| shown(spec, &text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_shown_with_its_unit_and_by_the_words_of_its_choice() {
        let table = [
            ("vertical.rest_mm", "69", "69 mm"),
            ("vertical.rest_mm", " 69 mm ", "69 mm"),
            ("vertical.rest_mm", "", ""),
            ("shade.tab", "B-20", "B-20"),
        ];
        for (key, text, wanted) in table {
            let spec = line_spec(key).unwrap();
            assert_eq!(shown(spec, text), wanted, "{key}");
        }
        let spec = line_spec("remarks.ask_by").unwrap();
        assert_eq!(shown(spec, "question"), "a question on this case");
        let spec = line_spec("vertical.rest_mm").unwrap();
        let words = "Rest vertical dimension: 69 mm. To be signed as a revision.";
        assert_eq!(answer_words(spec, "69"), words);
    }
}
