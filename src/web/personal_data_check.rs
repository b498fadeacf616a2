//! Free texts of items, handoffs and lists that look as if they named somebody: the form comes back once with
//! the warning beside the text and a tick, and is taken when it is ticked.

use super::extract::Typed;
use super::field::{FieldView, Input};
use super::typed_form::TypedForm;
use crate::app::AppError;
use crate::domain::custody::events::ACTIONS;
use crate::domain::form::{FieldSet, FieldSpec};
use crate::domain::people::privacy::looks_personal;
use crate::domain::values::fault::Fault;

/// The tick that says the text names nobody.
const TICK: &str = "names_nobody";

/// Free texts of forms that have no list of fields yet, by the last part of their keys. A carrier may well be
/// a person, and is named as such.
const FREE: [&str; 9] = [
    "note",
    "condition",
    "purpose",
    "reason",
    "unannounced",
    "guide",
    "done",
    "made_how",
    "material",
];

fn warnings(typed: &TypedForm) -> Vec<Fault> {
    let listed = ACTIONS.iter().flat_map(|action| action.fields);
    let is_free = |key: &str| {
        let last = key.rsplit('.').next().unwrap_or(key);
        let mut listed = listed.clone();
        FREE.contains(&last) || listed.any(|spec| spec.key == last && spec.is_free_text())
    };
    typed
        .iter()
        .filter(|(key, _)| is_free(key))
        .flat_map(|(key, text)| {
            looks_personal(text)
                .into_iter()
                .map(move |warning| (key, warning))
        })
        .map(|(key, warning)| Fault::new(key, warning.sentence()))
        .collect()
}

/// The texts of a form that look as if they named somebody, by its own lists of fields; none where it says that
/// somebody has looked.
pub fn unchecked_texts(typed: &TypedForm, fields: &[FieldSet]) -> Vec<Fault> {
    if typed.contains_key(TICK) {
        return Vec::new();
    }
    personal_texts(typed, fields)
}

fn personal_texts(typed: &TypedForm, fields: &[FieldSet]) -> Vec<Fault> {
    let is_free = |key: &str| {
        let mut found = fields.iter().filter_map(|set| set.find(key));
        found.any(FieldSpec::is_free_text)
    };
    let texts = typed.iter().filter(|(key, _)| is_free(key));
    let found = texts.flat_map(|(key, text)| {
        let warnings = looks_personal(text).into_iter();
        warnings.map(move |warning| Fault::new(key, warning.sentence()))
    });
    found.collect()
}

/// The tick, where a form with these fields needs it.
pub fn tick_for(typed: &TypedForm, fields: &[FieldSet]) -> Option<FieldView> {
    let label = "I have looked at the texts above, and they name nobody";
    let tick = || FieldView::new(Input::Tick, TICK, label).filled(typed, &[]);
    (!personal_texts(typed, fields).is_empty()).then(tick)
}

/// Stops a form whose texts look personal, unless it says that they name nobody.
fn personal_data_check(typed: &TypedForm) -> Result<(), AppError> {
    let warnings = warnings(typed);
    if warnings.is_empty() || typed.contains_key(TICK) {
        Ok(())
    } else {
        Err(AppError::Invalid(warnings))
    }
}

/// Does what the form asks for, unless its texts want a second look first.
pub async fn after_check<T>(
    form: &Typed,
    action: impl Future<Output = Result<T, AppError>>,
) -> Result<T, AppError> {
    personal_data_check(&form.0)?;
    action.await
}

/// The tick, where a form needs it.
pub fn tick(typed: &TypedForm) -> Option<FieldView> {
    let field = || {
        FieldView::new(
            Input::Tick,
            TICK,
            "I have looked at the texts above, and they name nobody",
        )
        .filled(typed, &[])
    };
    (!warnings(typed).is_empty()).then(field)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_free_texts_are_looked_at_and_a_tick_is_believed() {
        let form = |key: &str, text: &str| TypedForm::from([(key.to_owned(), text.to_owned())]);
        for (key, stopped) in [
            ("note", true),
            ("T1.condition", true),
            ("said", true),
            ("moved_to", true),
            ("carrier", false),
            ("agent", false),
        ] {
            assert_eq!(
                personal_data_check(&form(key, "for Mrs. Brown")).is_err(),
                stopped,
                "{key}"
            );
        }
        assert!(personal_data_check(&form("note", "two teeth chipped")).is_ok());
        let mut ticked = form("note", "for Mrs. Brown");
        ticked.insert(TICK.to_owned(), "yes".to_owned());
        assert!(personal_data_check(&ticked).is_ok() && tick(&ticked).is_some());
    }
}
