//! Telephone calls of a case: each as it was written down, and the form for another one.

use super::about::{about_words, part_choices, pointed_at};
use super::chosen::choose_pictures;
use super::input::{QuestionsInput, scoped_by};
use crate::domain::custody::forms::{CallForm, ConfirmForm};
use crate::domain::custody::{CaseStep, Offers, PhoneCall, Question};
use crate::domain::form::{FieldSpec, Form};
use crate::domain::people::access::Permission;
use crate::web::entry::item_choices;
use crate::web::field::{Choice, FieldView, InputKind};
use crate::web::personal_data_check::fields_of;
use crate::web::pictures::PictureRow;
use crate::web::tried::Tried;

/// A telephone call as it was written down.
pub struct CallRow {
    pub id: String,
    /// The part and the item that it was about; empty for most.
    pub about: String,
    pub words: String,
    pub text: String,
    pub pictures: Vec<PictureRow>,
    /// Whether it was so.
    pub verdict: String,
    pub is_open: bool,
    pub fields: Vec<FieldView>,
    /// Whether it is otherwise than the prescription.
    pub changes: Vec<FieldView>,
    pub may_confirm: bool,
    pub may_take_back: bool,
    /// Why no revision is needed for it, where the office can say so.
    pub unwritten: Vec<FieldView>,
}

/// A call with what can be said to it.
pub fn call_row(input: &QuestionsInput<'_>, offers: &Offers<'_>, one: &PhoneCall) -> CallRow {
    let sent = input.tried.typed.get(ConfirmForm::call().key);
    let tried = input.tried.only_if(sent == Some(&one.event.to_string()));
    let by_now = input.person.may_now(Permission::HandleItems);
    let may_confirm = by_now && offers.has(CaseStep::Confirm(one));
    let of = |specs: &[FieldSpec], is_asked: bool| match is_asked {
        true => scoped_by(
            fields_of(specs, &ConfirmForm::field_sets(), tried),
            &one.event,
        ),
        false => Vec::new(),
    };
    let work = &input.view.work;
    let may_leave =
        by_now && offers.has(CaseStep::LeaveUnwritten(one)) && work.is_to_be_written(one);
    let is_signed = may_confirm && work.case.revision > 0;
    CallRow {
        id: one.event.to_string(),
        about: pointed_at(
            &input.view.work,
            (one.section.as_deref(), None, one.item.as_ref()),
        )
        .join(", "),
        words: format!(
            "{} on {}, with {}",
            one.by,
            one.at.in_words(),
            one.with.trim_end_matches('.')
        ),
        text: one.text.clone(),
        pictures: (one.picture.iter())
            .filter_map(|id| input.view.work.picture(id))
            .map(|picture| PictureRow::of(&input.view.work, picture))
            .collect(),
        verdict: one.words(),
        is_open: one.is_open(),
        fields: of(&[*ConfirmForm::how_it_was()], may_confirm),
        changes: of(&[*ConfirmForm::confirm_changes()], is_signed),
        unwritten: of(&[*ConfirmForm::no_revision()], may_leave),
        may_confirm,
        may_take_back: by_now && offers.has(CaseStep::TakeBackCall(one)) && !may_confirm,
    }
}

/// What the ids of its form begin with.
pub const OF_A_CALL: &str = "call-";

/// The form for another one.
pub fn call_fields(input: &QuestionsInput<'_>, tried: &Tried) -> Vec<FieldView> {
    let work = &input.view.work;
    let mut fields = fields_of(CallForm::FIELDS, &CallForm::field_sets(), tried);
    choose_pictures(&mut fields, work, CallForm::call_picture());
    for field in &mut fields {
        field.scope = OF_A_CALL.into();
        if field.key == CallForm::call_section().key {
            field.choices = part_choices(work);
            field.mark_chosen();
        } else if field.key == CallForm::call_item().key {
            field.choices = item_choices(work);
            field.mark_chosen();
        } else if field.key == CallForm::answers().key {
            let open = work.open_questions();
            let choice = |one: &Question| {
                let begins: String = one.text.chars().take(40).collect();
                let words = format!(
                    "{}, {}: “{begins} …”",
                    one.at.in_words(),
                    about_words(work, one)
                );
                let mut choice = Choice::new(one.event.to_string(), words);
                choice.chosen = choice.word == field.value;
                choice
            };
            field.choices = open.map(choice).collect();
        }
    }
    let of_a_text = [CallForm::call_section().key, CallForm::call_changes().key];
    fields.retain(|field| work.case.revision > 0 || !of_a_text.contains(&field.key.as_str()));
    let is_chosen_from = |field: &FieldView| field.input == InputKind::Choice;
    fields.retain(|field| !is_chosen_from(field) || !field.choices.is_empty());
    fields
}
