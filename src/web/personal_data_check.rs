//! Free texts of items, handoffs and lists that look as if they named somebody: the form comes back once with
//! the warning beside the text and a tick, and is taken when it is ticked.

use super::field::{FieldView, InputKind, fields_under, fill};
use super::tried::Tried;
use super::typed_form::TypedForm;
use crate::domain::form::{FieldSet, FieldSpec};
use crate::domain::people::privacy::personal_data_warnings;
use crate::domain::values::fault::Fault;

/// The tick that says the text names nobody.
const TICK: &str = "names_nobody";

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
        let warnings = personal_data_warnings(text).into_iter();
        warnings.map(move |warning| Fault::new(key, warning.sentence()))
    });
    found.collect()
}

/// The tick, where a form with these fields needs it.
pub fn tick_for(typed: &TypedForm, fields: &[FieldSet]) -> Option<FieldView> {
    let label = "I have looked at the texts above, and they name nobody";
    let tick = || FieldView::new(InputKind::Tick, TICK, label).filled(typed, &[]);
    (!personal_texts(typed, fields).is_empty()).then(tick)
}

/// The fields of a form, with what was typed there, and the tick where its texts need it.
pub fn fields_of(specs: &[FieldSpec], sets: &[FieldSet], tried: &Tried) -> Vec<FieldView> {
    let mut fields = fill(fields_under(specs, ""), &tried.typed, &tried.faults);
    fields.extend(tick_for(&tried.typed, sets));
    fields
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::join::JoinForm;
    use crate::app::let_in::InviteForm;
    use crate::app::load_list::NewGuide;
    use crate::app::manage::NewParty;
    use crate::domain::custody::events::ACTIONS;
    use crate::domain::custody::forms::ReleaseForm;
    use crate::domain::form::Form;

    #[test]
    fn only_free_texts_are_looked_at_and_a_tick_is_believed() {
        let form = |key: &str, text: &str| TypedForm::from([(key.to_owned(), text.to_owned())]);
        let mut sets = ReleaseForm::field_sets();
        sets.extend(ACTIONS.iter().map(|action| FieldSet::once(action.fields)));
        for (key, stopped) in [
            ("parcel.1.note", true),
            ("T1.condition", true),
            ("said", true),
            ("moved_to", true),
            ("carrier", false),
            ("agent", false),
        ] {
            let typed = form(key, "for Mrs. Brown");
            assert_eq!(!unchecked_texts(&typed, &sets).is_empty(), stopped, "{key}");
        }
        let harmless = form("parcel.1.note", "two teeth chipped");
        assert_eq!(unchecked_texts(&harmless, &sets), []);
        let mut ticked = form("parcel.1.note", "for Mrs. Brown");
        ticked.insert(TICK.to_owned(), "yes".to_owned());
        assert_eq!(unchecked_texts(&ticked, &sets), []);
        assert!(tick_for(&ticked, &sets).is_some());
    }

    #[test]
    fn a_house_and_its_people_are_named_as_they_are_and_a_guide_is_looked_at() {
        let mut sets = NewParty::field_sets();
        sets.extend([InviteForm::FIELDS, JoinForm::FIELDS].map(FieldSet::once));
        for key in ["name", "address", "licence", "telephone", "zone", "login"] {
            let typed = TypedForm::from([(key.to_owned(), "Dr. Brown, 020 7946 0018".to_owned())]);
            assert_eq!(unchecked_texts(&typed, &sets), [], "{key}");
        }
        let rows = "tab,L,a,b\nMrs. Brown,70,1,18\n";
        for (key, text, stopped) in [("guide", "for Mrs. Brown", true), ("text", rows, false)] {
            let typed = TypedForm::from([(key.to_owned(), text.to_owned())]);
            let found = unchecked_texts(&typed, &NewGuide::field_sets());
            assert_eq!(!found.is_empty(), stopped, "{key}");
        }
    }
}
