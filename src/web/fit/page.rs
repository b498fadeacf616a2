//! The page on which work is held against its prescription.

use super::input::FitInput;
use super::rows::{FitDone, FitGroup, done_rows, groups};
use crate::app::AppError;
use crate::app::fit::{against_checking, mounted_sentence};
use crate::app::template::not_come;
use crate::domain::custody::fit::FitValue;
use crate::domain::custody::forms::{CheckFitForm, FitHeadForm};
use crate::domain::custody::{CaseStep, Offers};
use crate::domain::form::Form;
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::web::entry::{Folded, Unsaved, from_paper, instead, unsaved_words};
use crate::web::error::WebError;
use crate::web::field::FieldView;
use crate::web::frame::Frame;
use crate::web::personal_data_check;
use crate::web::typed_form::TypedForm;
use askama::Template;

/// What came back, beside what was asked.
#[derive(Template)]
#[template(path = "fit.html")]
pub struct FitPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub revision: i64,
    pub refusals: Vec<String>,
    pub unsaved: Unsaved,
    /// Why nothing can be entered now; empty where something can.
    pub closed: String,
    /// That the casts stood otherwise than is prescribed.
    pub mounted: Option<String>,
    /// That the clear template has not come with its denture.
    pub missed: Option<String>,
    /// "Lab measured"
    pub other: &'static str,
    pub groups: Vec<FitGroup>,
    pub note: Vec<FieldView>,
    pub late: Folded,
    pub done: Vec<FitDone>,
    pub post_key: String,
}

/// Why nothing can be entered; none where something can.
fn against(input: &FitInput<'_>, offers: &Offers<'_>) -> Option<String> {
    if let Some(why) = against_checking(&input.view.work) {
        return Some(why);
    }
    if input.lines.is_empty() {
        let words = "Nothing that can be measured or looked at is prescribed for this work.";
        return Some(words.to_owned());
    }
    if !input.person.may(Permission::HandleItems) {
        return Some("Office and lab enter what they find.".to_owned());
    }
    let refusals = offers.against(CaseStep::CheckFit);
    refusals.into_iter().next().map(|one| one.sentence)
}

/// What was typed of values that stand on the page no more.
fn unsaved(input: &FitInput<'_>, is_open: bool) -> Unsaved {
    let is_shown = |key: &str| {
        let mut lines = input.lines.iter();
        is_open
            && (key == FitHeadForm::fit_note().key
                || lines.any(|line| key.starts_with(&CheckFitForm::under(line.value))))
    };
    let typed = input.tried.typed.iter();
    let typed = typed.filter(|(key, _)| !is_shown(key));
    let typed: TypedForm = typed
        .map(|(key, text)| (key.clone(), text.clone()))
        .collect();
    let sets = CheckFitForm::field_sets();
    let under = |start: &str| -> TypedForm {
        let own = typed.iter().filter(|(key, _)| key.starts_with(start));
        own.map(|(key, text)| (key.clone(), text.clone())).collect()
    };
    let of_value = |value: &FitValue| {
        let words = unsaved_words(&under(&CheckFitForm::under(*value)), &sets);
        let named = words.into_iter().map(|(label, text)| {
            let label = format!("{}: {}", value.shown(), label.to_lowercase());
            (label, text)
        });
        named.collect::<Vec<_>>()
    };
    let note = unsaved_words(&under(FitHeadForm::fit_note().key), &sets);
    let values = FitValue::ALL.iter().flat_map(of_value);
    Unsaved {
        instead: instead::OF_THE_CASE,
        texts: values.chain(note).collect(),
    }
}

/// The whole page.
pub fn fit_page(input: &FitInput<'_>) -> Result<FitPage, WebError> {
    let (work, tried) = (&input.view.work, input.tried);
    let offers = work.offers(input.app, input.person);
    let closed = against(input, &offers);
    let note = FieldView::under(FitHeadForm::fit_note(), "");
    let mut note = vec![note.filled(&tried.typed, &tried.faults)];
    let sets = CheckFitForm::field_sets();
    note.extend(personal_data_check::tick_for(&tried.typed, &sets));
    Ok(FitPage {
        frame: Frame::of_case(input.app, input.person, work, "Fit")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        revision: work.case.revision,
        refusals: tried.refusals.clone(),
        unsaved: unsaved(input, closed.is_none()),
        mounted: mounted_sentence(work),
        missed: not_come(work),
        other: match work.side {
            Side::Office => "Lab",
            Side::Lab => "Office",
        },
        groups: groups(input, closed.is_none()),
        closed: closed.unwrap_or_default(),
        note,
        late: from_paper(&tried.typed, &tried.faults),
        done: done_rows(input, &offers),
        post_key: input.app.outside.token().map_err(AppError::from)?,
    })
}
