//! The form that passes work on.

use super::forms::{PassForm, PassInput, PassingItem, scoped, tick_row};
use super::sees::sees_view;
use crate::domain::custody::PassedWork;
use crate::domain::custody::events::MEANS_PASSED_ON;
use crate::domain::custody::forms::{AuthorityForm, PassOnForm};
use crate::domain::custody::item::Item;
use crate::domain::form::{FieldSpec, Form};
use crate::domain::people::party::Party;
use crate::domain::values::arch::{Arch, Arches};
use crate::web::field::{Choice, FieldView};
use crate::web::personal_data_check::fields_of;

/// The form that passes work on: again, or in place of an authorisation of which things are away.
pub(super) fn pass_form(input: &PassInput<'_>, earlier: Option<&PassedWork>) -> PassForm {
    let id = earlier.map_or_else(String::new, |one| one.event.to_string());
    let hidden = vec![
        (AuthorityForm::instead_of().key, id.clone()),
        (
            AuthorityForm::pass_revision().key,
            input.work.case.revision.to_string(),
        ),
    ];
    let key = AuthorityForm::instead_of().key;
    let is_sent = input.tried.typed.get(key) == Some(&id);
    let tried = input.tried.only_if(is_sent);
    let word = format!("new-{id}");
    let named = |spec: &FieldSpec| {
        let key = spec.key;
        let of_lab = [
            AuthorityForm::second_party().key,
            AuthorityForm::second_name().key,
            AuthorityForm::second_address().key,
            AuthorityForm::second_licence().key,
        ];
        let is_carried = hidden.iter().any(|(one, _)| *one == key);
        let is_without = key == AuthorityForm::second_party().key && input.labs.is_empty();
        !(is_carried || is_without || earlier.is_some() && of_lab.contains(&key))
    };
    let specs: Vec<FieldSpec> = AuthorityForm::FIELDS
        .iter()
        .filter(|spec| named(spec))
        .copied()
        .collect();
    let mut fields = fields_of(&specs, &PassOnForm::field_sets(), tried);
    fields.retain(|field| field.key != AuthorityForm::pass_sure().key || field.is_raised());
    for field in &mut fields {
        if field.key == AuthorityForm::second_party().key {
            let choice = |party: &Party| Choice::new(party.id.to_string(), party.name.clone());
            field.choices = input.labs.iter().map(choice).collect();
            field.mark_chosen();
        }
        if tried.typed.is_empty() {
            before(field, input, earlier);
        }
    }
    let mut rows: Vec<PassingItem> = match earlier {
        Some(_) => Vec::new(),
        None => {
            let items = input.offers.to_pass_on().into_iter();
            let row = |item: &Item| tick_row(input, &item.tag, tried, false);
            items.map(row).collect()
        }
    };
    for row in &mut rows {
        row.fields = scoped(std::mem::take(&mut row.fields), &word);
    }
    let mut sees = sees_view(input.work, earlier, tried);
    if let Some(sees) = &mut sees {
        sees.more = scoped(std::mem::take(&mut sees.more), &word);
    }
    PassForm {
        title: match earlier {
            Some(_) => "Pass on again, to the revision in force",
            None => "Pass work on to a second laboratory",
        },
        action: input.path.clone(),
        hidden,
        open: !tried.typed.is_empty() || earlier.is_none() && input.work.passes().next().is_none(),
        rows,
        sees,
        fields: scoped(fields, &word),
        late: None,
        meaning: MEANS_PASSED_ON,
        button: "Pass it on",
        word,
    }
}

/// The arches of which anything is ordered; of a piece for both, all that the case treats.
fn ordered_arches(input: &PassInput<'_>) -> Arches {
    let (case, work) = (&input.work.case, &input.work.ordered.work);
    let is_ordered = |arch: &Arch| {
        work.iter()
            .any(|one| one.arch.is_none_or(|own| own == *arch))
    };
    let treated = case.arches.treated().iter().copied();
    let ordered: Vec<Arch> = treated.filter(is_ordered).collect();
    Arches::of(&ordered).unwrap_or(case.arches)
}

/// What stands in a field before anything is typed: the arches that are ordered, or what the earlier one says.
fn before(field: &mut FieldView, input: &PassInput<'_>, earlier: Option<&PassedWork>) {
    let key = field.key.as_str();
    if key == AuthorityForm::pass_arches().key {
        let arches = earlier.map_or_else(|| ordered_arches(input), |one| one.arches);
        field.value = arches.word().to_owned();
        field.mark_chosen();
    } else if let (true, Some(one)) = (key == AuthorityForm::pass_task().key, earlier) {
        field.value = one.task.clone();
    } else if let (true, Some(one)) = (key == AuthorityForm::pass_work().key, earlier) {
        field.value = one.work.word().to_owned();
        field.mark_chosen();
    }
}
