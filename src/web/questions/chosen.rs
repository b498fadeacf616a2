//! Pictures of the case as the choices of a field.

use crate::app::case_work::CaseWork;
use crate::domain::custody::TakenPicture;
use crate::domain::form::FieldSpec;
use crate::web::field::{Choice, FieldView};
use crate::web::pictures::PictureRow;

/// The pictures of the case as the choices of such a field; without any there is no field.
pub fn choose_pictures(fields: &mut Vec<FieldView>, work: &CaseWork, spec: &FieldSpec) {
    let there = || work.state.pictures.iter().filter(|one| !one.is_erased());
    fields.retain(|field| field.key != spec.key || there().next().is_some());
    for field in fields.iter_mut().filter(|field| field.key == spec.key) {
        let choice = |one: &TakenPicture| {
            let shows = PictureRow::of(work, one).words;
            let begins: String = one.caption.chars().take(40).collect();
            let words = format!("{shows}, {} {begins}", one.at);
            Choice::new(one.event.as_str(), words.trim_end())
        };
        field.choices = there().rev().map(choice).collect();
        field.mark_chosen();
    }
}
