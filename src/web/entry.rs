//! What several forms of custody share: the items as choices, folded parts, the entry from paper, the password, the
//! signature.

use super::field::{Choice, FieldView, fields_under, fill};
use super::typed_form::TypedForm;
use crate::app::case_work::CaseWork;
use crate::app::custody_words::title_and_tag;
use crate::app::sign_in::is_proved;
use crate::app::{App, Person};
use crate::domain::custody::forms::FromPaperForm;
use crate::domain::form::{FieldSet, FieldSpec, Kind, Proof};
use crate::domain::values::fault::Fault;
use askama::Template;
use std::borrow::Cow;

/// The items of a case as choices.
pub fn item_choices(work: &CaseWork) -> Vec<Choice> {
    let items = work.items.iter().map(|item| &item.tag);
    items
        .map(|tag| Choice::new(tag.as_str(), title_and_tag(work, tag)))
        .collect()
}

/// A part of a form that is folded away until it is needed, or until something in it is typed or wrong.
#[derive(Template)]
#[template(path = "partials/folded.html")]
pub struct Folded {
    pub title: String,
    pub hint: &'static str,
    pub open: bool,
    pub fields: Vec<FieldView>,
}

impl Folded {
    /// Opens by itself where a field holds something or is wrong.
    pub fn new(title: &str, hint: &'static str, fields: Vec<FieldView>) -> Folded {
        let is_used = |field: &FieldView| !field.value.is_empty() || !field.messages.is_empty();
        Folded {
            title: title.to_owned(),
            hint,
            open: fields.iter().any(is_used),
            fields,
        }
    }

    /// Sets the ids of its fields apart from those of another form on the page.
    pub fn scoped(mut self, scope: impl Into<Cow<'static, str>>) -> Folded {
        let scope = scope.into();
        for field in &mut self.fields {
            field.scope = scope.clone();
        }
        self
    }
}

/// Day, time and name of an entry that is copied from paper.
pub fn from_paper(typed: &TypedForm, faults: &[Fault]) -> Folded {
    let fields = fields_under(FromPaperForm::FIELDS, "");
    Folded::new(
        "Enter a past event from paper",
        "Both times are kept, and the entry is marked as late. It must come after the last entry of each item.",
        fill(fields, typed, faults),
    )
}

/// What was typed for something that is offered no more, each text with its label, to be copied; nothing is
/// shown where nothing was typed.
#[derive(Default, Template)]
#[template(path = "partials/unsaved.html")]
pub struct Unsaved {
    pub texts: Vec<(String, String)>,
    /// Where it can be said all the same.
    pub instead: &'static str,
}

/// Where that can be said which came too late for its form.
pub mod instead {
    /// Of something that was received.
    pub const OF_A_RECEIPT: &str =
        "open the item in the table above, and choose “Add a finding to its receipt”.";
    /// Of a thing.
    pub const OF_AN_ITEM: &str =
        "“Add a finding to its receipt” takes damage, and “Add a correction note” the rest.";
    /// Of the case, which has no page of a thing.
    pub const OF_THE_CASE: &str =
        "ask the other side, or write down the call, on the page “Questions” of the case.";
    /// Of work that was passed on: there is no page of the case for the second laboratory.
    pub const OF_WORK_PASSED_ON: &str =
        "look at what stands there now, and call the laboratory that passed it on.";
    /// Of a question or a call.
    pub const OF_A_QUESTION: &str = "where a call was written down that was not so, say on it that it was not so; \
                                     anything else is asked or told below.";
}

/// What was typed into these fields and is not stored, in words, with the words of a choice as shown.
pub fn unsaved(fields: &[FieldView]) -> Vec<(String, String)> {
    let shown = |field: &FieldView| {
        let chosen = field.choices.iter().find(|one| one.chosen);
        chosen.map_or_else(|| field.value.clone(), |one| one.shown.clone())
    };
    fields
        .iter()
        .filter(|field| !field.value.trim().is_empty())
        .map(|field| (field.label.clone(), shown(field)))
        .collect()
}

/// The same for a form that is offered no more: its boxes are gone, its lists of fields are not.
pub fn unsaved_words(typed: &TypedForm, sets: &[FieldSet]) -> Vec<(String, String)> {
    let shown = |spec: &FieldSpec, key: &str| FieldView::of(spec, key).filled(typed, &[]);
    let fields = typed.keys().filter_map(|key| {
        let spec = sets.iter().find_map(|set| set.find(key))?;
        // What the page itself carries was typed by nobody.
        let is_typed = !matches!(spec.kind, Kind::Entry | Kind::Hidden | Kind::Secret { .. });
        is_typed.then(|| shown(spec, key))
    });
    unsaved(&fields.collect::<Vec<_>>())
}

/// The password, where it was not typed within the last minutes.
pub fn password_again(app: &App, person: &Person, faults: &[Fault]) -> Vec<FieldView> {
    let is_asked = !is_proved(app, person)
        || faults
            .iter()
            .any(|fault| fault.key == Proof::password().key);
    if is_asked {
        let field = FieldView::under(Proof::password(), "").needed();
        vec![field.filled(&TypedForm::new(), faults)]
    } else {
        Vec::new()
    }
}
