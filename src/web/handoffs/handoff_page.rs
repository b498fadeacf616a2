//! The page of a handoff: what was sent and found, the receipt where it is this person's, and what its sender can
//! still do.

use super::receipt_form::{
    BoxForm, ReceiveRow, box_forms, box_words, receive_folds, receive_rows, unsaved_receipt,
};
use crate::app::case_work::CaseWork;
use crate::app::{App, AppError, Person};
use crate::domain::custody::events::MEANS_VOIDED;
use crate::domain::custody::forms::{ReceiptForm, TakeBackForm};
use crate::domain::custody::handoff::{Handoff, HandoffState};
use crate::domain::form::Form;
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::web::entry::{Folded, password_again};
use crate::web::error::WebError;
use crate::web::field::{FieldView, fields_under, fill};
use crate::web::frame::Frame;
use crate::web::personal_data_check;
use crate::web::scan::ScanView;
use crate::web::typed_form::TypedForm;
use askama::Template;

#[derive(Template)]
#[template(path = "handoff.html")]
pub struct HandoffPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub from: String,
    pub to: String,
    pub released: String,
    pub carrier: String,
    pub purpose: String,
    pub path: String,
    /// Each box in words; its seal only once it has been read by the receiver.
    pub boxes: Vec<(String, String)>,
    pub may_receive: bool,
    pub why_not: String,
    pub scan: ScanView,
    pub refusals: Vec<String>,
    pub box_forms: Vec<BoxForm>,
    pub rows: Vec<ReceiveRow>,
    pub folds: Vec<Folded>,
    pub proof: Vec<FieldView>,
    /// What the second of two receivers typed, who finds everything received.
    pub unsaved: Vec<(String, String)>,
    pub may_take_back: bool,
    pub take_back_open: bool,
    pub take_back: Vec<FieldView>,
    pub meaning: &'static str,
    pub post_key: String,
}

/// The page for this person, with what was typed and what is wrong with it.
pub fn handoff_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    handoff: &Handoff,
    typed: &TypedForm,
    faults: &[Fault],
    refusals: Vec<String>,
) -> Result<HandoffPage, WebError> {
    let name = |kind: Side| match kind {
        Side::Office => work.office.name.clone(),
        Side::Lab => work.lab.name.clone(),
    };
    let is_open = !handoff.outstanding().is_empty();
    let is_ours = handoff.to == work.side;
    let is_own = handoff.released_by.account == person.account.id;
    let may_receive = is_open && is_ours && !is_own;
    let may_take_back = handoff.from == work.side && handoff.state() == HandoffState::OnTheWay;
    let is_back = typed.contains_key("reason");
    let (nothing, none) = (TypedForm::new(), Vec::new());
    let (back_typed, back_faults) = if is_back {
        (typed, faults)
    } else {
        (&nothing, none.as_slice())
    };
    let take_back = fields_under(TakeBackForm::FIELDS, "");
    let take_back = fill(take_back, back_typed, back_faults);
    let taken_back = handoff
        .voided
        .as_ref()
        .map(|(by, at, reason)| format!("Taken back by {} on {at}: {reason}", by.name));
    let why_not = match (is_open, is_ours, &handoff.received_by, handoff.received_at) {
        _ if taken_back.is_some() => taken_back.unwrap_or_default(),
        (false, _, Some(by), Some(at)) => format!("Received by {} on {at}.", by.name),
        (true, false, _, _) => format!("Waits for {} to receive it.", name(handoff.to)),
        (true, true, _, _) if is_own => {
            "You handed it over yourself: a colleague has to receive it.".to_owned()
        }
        _ => String::new(),
    };
    let rows = receive_rows(work, handoff, may_receive, typed, faults);
    let folds = receive_folds(handoff, typed, faults);
    let words = |text: &str, none: &str| {
        if text.is_empty() {
            none.to_owned()
        } else {
            text.to_owned()
        }
    };
    Ok(HandoffPage {
        frame: Frame::new(
            app,
            person,
            if may_receive { "Receive" } else { "Handoff" },
            "",
        ),
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        from: name(handoff.from),
        to: name(handoff.to),
        released: format!(
            "Handed over by {} on {}.",
            handoff.released_by.name, handoff.released_at
        ),
        carrier: match handoff.tracking.as_str() {
            "" => handoff.carrier.clone(),
            tracking => format!("{}, reference {tracking}", handoff.carrier),
        },
        purpose: words(&handoff.purpose, "not said"),
        path: format!("/handoffs/{}", handoff.id),
        boxes: box_words(handoff, may_receive),
        may_take_back,
        take_back_open: is_back,
        take_back: take_back
            .into_iter()
            .chain(personal_data_check::tick_for(
                back_typed,
                &TakeBackForm::field_sets(),
            ))
            .collect(),
        meaning: MEANS_VOIDED,
        box_forms: box_forms(handoff, typed, faults),
        unsaved: if may_receive {
            Vec::new()
        } else {
            unsaved_receipt(&rows, &folds)
        },
        folds,
        may_receive,
        why_not,
        scan: ScanView::waiting(),
        refusals,
        rows,
        proof: personal_data_check::tick_for(typed, &ReceiptForm::field_sets())
            .into_iter()
            .chain(password_again(app, person, faults))
            .collect(),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}
