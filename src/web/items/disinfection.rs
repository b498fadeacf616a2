//! The fields of a disinfection, with what was written there before.

use crate::app::case_work::CaseWork;
use crate::domain::custody::events::DisinfectedForm;
use crate::web::field::{FieldView, fields_under};

/// Texts of earlier entries that a box offers.
const OFFERED_MOST: usize = 5;

/// The fields of a disinfection entry.
pub fn disinfection_fields(work: &CaseWork) -> Vec<FieldView> {
    let mut fields = fields_under(DisinfectedForm::FIELDS, "");
    for field in &mut fields {
        field.needed = false;
    }
    suggest(work, &mut fields);
    fields
}

/// What this side has written of a disinfection in this case is offered again: the bottle is mostly the same,
/// and gloves type badly.
pub fn suggest(work: &CaseWork, fields: &mut [FieldView]) {
    let (agent, dilution) = (DisinfectedForm::agent(), DisinfectedForm::dilution());
    for field in fields {
        for entry in work.own_disinfections() {
            let text = match field.key.as_str() {
                key if key == agent.key => &entry.agent,
                key if key == dilution.key => &entry.dilution,
                _ => continue,
            };
            if !field.suggestions.contains(text) && field.suggestions.len() < OFFERED_MOST {
                field.suggestions.push(text.clone());
            }
        }
    }
}
