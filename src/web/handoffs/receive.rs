//! Receiving, and taking back what never left.

use crate::app::case_work::CaseWork;
use crate::app::{App, AppError, Person, receive, take_back};
use crate::domain::custody::events::MEANS_VOIDED;
use crate::domain::custody::forms::{
    ExtraForm, FoundForm, ParcelFoundForm, ReceiptForm, TakeBackForm,
};
use crate::domain::custody::handoff::{Handoff, HandoffState};
use crate::domain::custody::item::Item;
use crate::domain::custody::{Parcel, SealFound, Sent, Wanted};
use crate::domain::form::Form;
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::web::entry::{Folded, Unsaved, from_paper, password_again, unsaved};
use crate::web::error::{FormErrors, WebError};
use crate::web::extract::{At, Query, Signed, Typed};
use crate::web::field::{FieldView, fields_under, fill};
use crate::web::frame::{Frame, page, page_with, see_other};
use crate::web::personal_data_check;
use crate::web::scan::{self, ScanView};
use crate::web::typed_form::TypedForm;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// An item of a handoff.
pub struct ReceiveRow {
    pub tag: String,
    pub path_tag: String,
    pub title: String,
    pub sent: String,
    pub found: String,
    pub fields: Vec<FieldView>,
}

/// A handoff: the form for whoever receives it, and for everybody else how far it has come.
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
    pub unsaved: Unsaved,
    pub may_take_back: bool,
    pub take_back_open: bool,
    pub take_back: Vec<FieldView>,
    pub meaning: &'static str,
    pub post_key: String,
}

/// A box that is awaited.
pub struct BoxForm {
    pub title: String,
    pub fields: Vec<FieldView>,
}

fn seal_fields(number: u32, several: bool, typed: &TypedForm, faults: &[Fault]) -> Vec<FieldView> {
    let words = SealFound::ALL
        .iter()
        .filter(|one| several || **one != SealFound::NotHere)
        .map(|one| (one.word().to_owned(), one.shown().to_owned()));
    let under = format!("box.{number}.");
    let fields = vec![
        FieldView::under(ParcelFoundForm::seal(), &under).chosen_from(words),
        FieldView::under(ParcelFoundForm::number(), &under),
    ];
    fill(fields, typed, faults)
}

/// The boxes to be told of: all that are awaited, but not a single one that was sent without a seal.
fn box_forms(handoff: &Handoff, typed: &TypedForm, faults: &[Fault]) -> Vec<BoxForm> {
    let count = handoff.parcels.len();
    let waiting = handoff.waiting();
    let is_plain = is_plain_box(handoff);
    let boxes = waiting.into_iter().filter(|_| !is_plain);
    boxes
        .map(|number| BoxForm {
            title: format!("Box {number} of {count}"),
            fields: seal_fields(number, count > 1, typed, faults),
        })
        .collect()
}

fn is_plain_box(handoff: &Handoff) -> bool {
    let is_unsealed = |parcel: &Parcel| parcel.seal.is_empty();
    handoff.parcels.len() == 1 && handoff.parcels.iter().all(is_unsealed)
}

fn receive_folds(handoff: &Handoff, typed: &TypedForm, faults: &[Fault]) -> Vec<Folded> {
    let mut folds = Vec::new();
    if is_plain_box(handoff) && handoff.waiting() == [1] {
        folds.push(Folded::new(
            "There is a seal on it, or it was opened",
            "It was sent without a seal.",
            seal_fields(1, false, typed, faults),
        ));
    }
    let extra = fill(fields_under(ExtraForm::FIELDS, ""), typed, faults);
    folds.push(Folded::new("Something else came along", "", extra));
    folds.push(from_paper(typed, faults));
    folds
}

/// Seal and packing of each box. Whoever is to compare the seal does not read it here first.
fn box_words(handoff: &Handoff, hides_seals: bool) -> Vec<(String, String)> {
    let count = handoff.parcels.len();
    let waiting = handoff.waiting();
    let words = |(number, parcel): (u32, &Parcel)| {
        let mut words = Vec::new();
        match parcel.seal.as_str() {
            "" => words.push("no seal".to_owned()),
            _ if hides_seals && waiting.contains(&number) => {
                words.push("sealed: type the number that you read".to_owned());
            }
            seal => words.push(format!("seal {seal}")),
        }
        if parcel.moist_bag {
            words.push("moist in a sealed bag".to_owned());
        }
        if parcel.hard_box {
            words.push("in a hard box".to_owned());
        }
        if !parcel.note.is_empty() {
            words.push(parcel.note.clone());
        }
        (format!("Box {number} of {count}"), words.join(", "))
    };
    (1..).zip(&handoff.parcels).map(words).collect()
}

fn receive_rows(
    work: &CaseWork,
    handoff: &Handoff,
    may_receive: bool,
    typed: &TypedForm,
    faults: &[Fault],
) -> Vec<ReceiveRow> {
    let outstanding = handoff.outstanding();
    let wanted = |tag| !may_receive || outstanding.contains(&tag);
    handoff
        .sent
        .iter()
        .filter(|sent| wanted(&sent.tag))
        .map(|sent| {
            let key = sent.tag.as_str();
            let item = work.items.iter().find(|item| item.tag == sent.tag);
            let found = handoff.found.iter().find(|found| found.tag == sent.tag);
            let mut specs = FoundForm::FIELDS.to_vec();
            if sent.pieces.is_none() {
                specs.retain(|spec| spec != FoundForm::pieces());
            }
            let mut fields = fields_under(&specs, &format!("{key}."));
            for field in &mut fields {
                field.needed = field.key.ends_with("outcome");
            }
            ReceiveRow {
                tag: sent.tag.to_string(),
                path_tag: key.to_owned(),
                title: item.map(Item::title).unwrap_or_default(),
                sent: sent_words(sent, handoff),
                found: match found {
                    _ if handoff.written_off.contains(&sent.tag) => {
                        "missing, and written off as lost".to_owned()
                    }
                    _ if handoff.not_packed.contains(&sent.tag) => {
                        "missing: it had not been packed".to_owned()
                    }
                    None if handoff.voided.is_some() => "never left".to_owned(),
                    None => "not yet".to_owned(),
                    Some(found) => match found.pieces {
                        Some(pieces) => {
                            format!("{}, {pieces} counted {}", found.outcome.shown(), found.note)
                        }
                        None => format!("{} {}", found.outcome.shown(), found.note),
                    },
                },
                fields: fill(fields, typed, faults),
            }
        })
        .collect()
}

/// What was typed of each item and of what came along, where it can be received no more.
fn unsaved_receipt(rows: &[ReceiveRow], folds: &[Folded]) -> Unsaved {
    let of_items = rows.iter().flat_map(|row| {
        let said = unsaved(&row.fields).into_iter();
        said.map(|(label, text)| (format!("{} {}: {label}", row.title, row.tag), text))
    });
    let of_all = folds.iter().flat_map(|fold| unsaved(&fold.fields));
    Unsaved {
        texts: of_items.chain(of_all).collect(),
    }
}

fn sent_words(sent: &Sent, handoff: &Handoff) -> String {
    let condition = if sent.condition.is_empty() {
        "Sent as sound".to_owned()
    } else {
        format!("Sent as: {}", sent.condition)
    };
    let mut words = vec![condition];
    if handoff.parcels.len() > 1 {
        words.push(format!("box {}", sent.parcel()));
    }
    if let Some(pieces) = sent.pieces {
        words.push(format!("{pieces} pieces counted out"));
    }
    format!("{}.", words.join(", "))
}

fn handoff_page(
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
            Unsaved::default()
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

/// Shows a handoff to either side of its case.
pub async fn receive_form(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<String>,
    query: Query,
) -> Result<Response, WebError> {
    let (work, handoff) = receive::see(&app, &person, &id).await?;
    let mut view = handoff_page(
        &app,
        &person,
        &work,
        &handoff,
        &TypedForm::new(),
        &[],
        Vec::new(),
    )?;
    view.frame = view.frame.done(query.text("done"));
    page(&view)
}

/// Receives it and leads back to the case; a scan only ticks its item. Otherwise the form with what is
/// wrong: 422 beside a field, 409 where a rule stands against it.
pub async fn receive(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<String>,
    form: Typed,
) -> Result<Response, WebError> {
    if scan::asked(&form.0).is_some() {
        return scanned_receipt(&app, &person, &id, form.0).await;
    }
    let key = form.key()?;
    let done = async {
        let command: ReceiptForm = form.read()?;
        receive::receive(&app, &person, &id, &command, &key).await
    };
    let back = match done.await {
        Ok(number) => {
            return Ok(see_other(&format!(
                "/cases/{}?done=received",
                number.as_str()
            )));
        }
        Err(error) => FormErrors::of(error)?,
    };
    let (work, handoff) = receive::see(&app, &person, &id).await?;
    page_with(
        back.status,
        &handoff_page(
            &app,
            &person,
            &work,
            &handoff,
            &form.0,
            &back.faults,
            back.refusals,
        )?,
    )
}

/// Ticks the scanned item as being in hand and shows the form again; nothing is received.
async fn scanned_receipt(
    app: &App,
    person: &Person,
    id: &str,
    mut typed: TypedForm,
) -> Result<Response, WebError> {
    let (work, handoff) = receive::see(app, person, id).await?;
    let sent = scan::owned(handoff.sent.iter().map(|sent| &sent.tag));
    let outstanding = scan::owned(handoff.outstanding());
    let wanted = Wanted::ToReceive {
        sent: &sent,
        outstanding: &outstanding,
    };
    let scan = scan::take(app, person, &work, wanted, &mut typed, scan::here_tick).await?;
    let mut view = handoff_page(app, person, &work, &handoff, &typed, &[], Vec::new())?;
    let status = scan.status();
    view.scan = scan;
    page_with(status, &view)
}

/// Takes back what never left and leads back to the case, or shows what stands against it with the reason
/// as typed.
pub async fn take_it_back(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<String>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: TakeBackForm = form.read()?;
        take_back::take_back(&app, &person, &id, &command, &key).await
    };
    let back = match done.await {
        Ok(number) => {
            return Ok(see_other(&format!(
                "/cases/{}?done=recorded",
                number.as_str()
            )));
        }
        Err(error) => FormErrors::of(error)?,
    };
    let (work, handoff) = receive::see(&app, &person, &id).await?;
    page_with(
        back.status,
        &handoff_page(
            &app,
            &person,
            &work,
            &handoff,
            &form.0,
            &back.faults,
            back.refusals,
        )?,
    )
}
