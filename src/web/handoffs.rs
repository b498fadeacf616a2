//! Handing over and receiving.

use super::entry::{Folded, from_paper, password, password_again, unsaved};
use super::error::{FormErrors, WebError};
use super::extract::{At, Query, Signed, Typed};
use super::field::{FieldView, Input, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::items::disinfection_fields;
use super::personal_data_check::{self, after_check};
use super::scan::{self, ScanView};
use crate::app::case_work::CaseWork;
use crate::app::release::BOXES_MOST;
use crate::app::see_case::CaseView;
use crate::app::{App, AppError, Person, receive, release, see_case, take_back};
use crate::choices_of;
use crate::domain::custody::events::MEANS_VOIDED;
use crate::domain::people::access::Permission;

use crate::domain::custody::handoff::{Handoff, HandoffState};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::mouth;
use crate::domain::custody::{Holder, Outcome, Parcel, Purpose, SealFound, Sent, Wanted};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// An item that can be handed over now.
pub struct ReleaseRow {
    pub key: String,
    pub tag: String,
    pub title: String,
    pub disinfection: String,
    pub taken: bool,
    pub messages: Vec<String>,
    pub fields: Vec<FieldView>,
    /// Its condition and its box, which are seldom worth a word.
    pub folded: Folded,
}

#[derive(Template)]
#[template(path = "release.html")]
pub struct ReleasePage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub to: String,
    pub scan: ScanView,
    /// What of the prescription the lab does not have; it never stands in the way.
    pub unsigned: Option<String>,
    pub refusals: Vec<String>,
    pub rows: Vec<ReleaseRow>,
    pub disinfection: Vec<FieldView>,
    pub carriage: Vec<FieldView>,
    pub folds: Vec<Folded>,
    pub exception: Vec<FieldView>,
    pub proof: Vec<FieldView>,
    pub post_key: String,
}

/// Seal and packing of one box of a release; the seal of the first stands among the other fields.
fn box_fields(number: u32) -> Vec<FieldView> {
    let key = |part: &str| format!("box.{number}.{part}");
    let mut fields = vec![
        FieldView::new(Input::Tick, &key("moist"), "Moist, in a sealed bag"),
        FieldView::new(Input::Tick, &key("hard"), "In a hard box"),
        FieldView::text(&key("note"), "Note on the packing"),
    ];
    if number > 1 {
        fields.insert(0, FieldView::text(&key("seal"), "Seal number"));
    }
    fields
}

/// Packing, further boxes, and the entry from paper.
fn release_folds(typed: &super::typed_form::TypedForm, faults: &[Fault]) -> Vec<Folded> {
    let first = std::iter::once(FieldView::text("tracking", "Reference of the carrier"));
    let first = first.chain(box_fields(1)).collect();
    let mut folds = vec![Folded::new(
        "Packing, and the carrier's reference",
        "",
        fill(first, typed, faults),
    )];
    for number in 2..=BOXES_MOST {
        folds.push(Folded::new(
            &format!("Box {number}"),
            "Only where an item says that it lies in this box.",
            fill(box_fields(number), typed, faults),
        ));
    }
    folds.push(from_paper(typed, faults));
    folds
}

/// Its condition, where it is not sound, and its box, where it is not the first.
fn row_fold(key: &str, typed: &super::typed_form::TypedForm, faults: &[Fault]) -> Folded {
    let boxes = (1..=BOXES_MOST).map(|number| (number.to_string(), format!("box {number}")));
    let fields = vec![
        FieldView::text(&format!("{key}.condition"), "Condition as it leaves")
            .hint("Empty means sound."),
        FieldView::choice(&format!("{key}.box"), "Box", boxes).hint("The first, if left empty."),
    ];
    Folded::new(
        "Not sound, or in another box",
        "",
        fill(fields, typed, faults),
    )
}

fn release_rows(
    work: &CaseWork,
    typed: &super::typed_form::TypedForm,
    faults: &[Fault],
) -> Vec<ReleaseRow> {
    let custody = &work.state.custody;
    let row = |item: &Item| {
        let state = custody.get(&item.tag)?;
        (state.gone.is_none() && state.holder == Holder::of(work.side)).then(|| {
            let key = item.tag.as_str().to_owned();
            let mut fields = Vec::new();
            if state.pieces.unwrap_or(item.pieces) > 1 {
                let count = FieldView::new(
                    Input::Number,
                    &format!("{key}.pieces"),
                    "Pieces, counted out",
                );
                fields.push(count.needed());
            }
            ReleaseRow {
                folded: row_fold(&key, typed, faults),
                taken: typed.contains_key(&format!("{key}.take")),
                tag: item.tag.to_string(),
                title: item.title(),
                disinfection: match (item.kind.needs_disinfection(), state.disinfected) {
                    (false, _) => "needs no disinfection".to_owned(),
                    (true, true) => "disinfected, entry made".to_owned(),
                    (true, false) => "no disinfection entry yet".to_owned(),
                },
                messages: Vec::new(),
                fields: fill(fields, typed, faults),
                key,
            }
        })
    };
    work.items.iter().filter_map(row).collect()
}

/// Whether a provisional here has no duplicate of its arch in the mouth, so that only an exception lets it go.
fn may_need_exception(work: &CaseWork) -> bool {
    let custody = &work.state.custody;
    let line = work.state.worn(&work.items);
    let is_here = |item: &&Item| {
        custody
            .get(&item.tag)
            .is_some_and(|state| state.holder == Holder::Office && state.gone.is_none())
    };
    // As rule c has it: an old denture that is worn covers nothing.
    let covers = |kind| matches!(kind, ItemKind::Duplicate | ItemKind::FinalDenture);
    let covered = |item: &Item| {
        let worn = item.arch.and_then(|arch| mouth::worn_in(&line, arch));
        work.items
            .iter()
            .any(|one| Some(&one.tag) == worn && covers(one.kind))
    };
    !work.case.arches.treated().is_empty()
        && work
            .items
            .iter()
            .filter(is_here)
            .any(|item| item.kind == ItemKind::Provisional && !covered(item))
}

/// Things may have to leave before everything is signed; whoever sends them is told what the lab will miss.
fn unsigned(view: &CaseView) -> Option<String> {
    let (is_drafted, revision) = (view.draft.is_some(), view.work.case.revision);
    let sentence = match (view.work.side, is_drafted, revision) {
        (Side::Lab, ..) | (Side::Office, false, 1..) => return None,
        (Side::Office, false, _) => {
            "No prescription is written for this case yet. A laboratory works to a written and signed one; \
             local law says what has to stand in it."
                .to_owned()
        }
        (Side::Office, true, ..=0) => {
            "The prescription of this case is not signed yet, and the lab does not see it.".to_owned()
        }
        (Side::Office, true, _) => format!(
            "What was changed since revision {revision} is not signed yet: the lab works to that revision."
        ),
    };
    Some(sentence)
}

fn release_page(
    app: &App,
    person: &Person,
    view: &CaseView,
    typed: &super::typed_form::TypedForm,
    faults: &[Fault],
    mut refusals: Vec<String>,
) -> Result<ReleasePage, WebError> {
    let work = &view.work;
    let purposes = Purpose::of(work.side)
        .iter()
        .map(|purpose| (purpose.word().to_owned(), purpose.shown().to_owned()));
    let carriage = vec![
        FieldView::text("carrier", "Carrier")
            .hint("The courier, the post, or the person who takes it along.")
            .needed(),
        FieldView::text("box.1.seal", "Seal number").hint("If the box is sealed."),
        FieldView::choice("purpose_code", "What it goes there for", purposes).needed(),
        FieldView::text("purpose", "More about it, in words")
            .hint("Such as: final upper and lower; only the fork goes back."),
    ];
    let is_exceptional =
        work.side == Side::Office && person.may(Permission::Sign) && may_need_exception(work);
    let exception = if is_exceptional {
        vec![
            FieldView::text("reason", "Why it must leave all the same")
                .hint("With a reason, your password below signs it."),
        ]
    } else {
        Vec::new()
    };
    // Messages without a box of their own are said on top.
    refusals.extend(
        faults
            .iter()
            .filter(|fault| fault.key == "items" || (fault.key == "reason" && !is_exceptional))
            .map(|fault| fault.message.clone()),
    );
    Ok(ReleasePage {
        frame: Frame::new(app, person, "Hand over", ""),
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        to: if work.side == Side::Office {
            work.lab.name.clone()
        } else {
            work.office.name.clone()
        },
        scan: ScanView::waiting(),
        unsigned: unsigned(view),
        refusals,
        rows: release_rows(work, typed, faults),
        disinfection: fill(disinfection_fields(work), typed, faults),
        carriage: fill(carriage, typed, faults)
            .into_iter()
            .chain(personal_data_check::tick(typed))
            .collect(),
        folds: release_folds(typed, faults),
        proof: if is_exceptional {
            vec![password("Your password again", faults)]
        } else {
            password_again(app, person, faults)
        },
        exception: fill(exception, typed, faults),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

pub async fn release_form(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    page(&release_page(
        &app,
        &person,
        &view,
        &super::typed_form::TypedForm::new(),
        &[],
        Vec::new(),
    )?)
}

pub async fn release(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    if scan::asked(&form.0).is_some() {
        return scanned_release(&app, &person, &number, form.0).await;
    }
    let key = form.key()?;
    let command = release::release(&app, &person, &number, &form.0, &key);
    let back = match after_check(&form, command).await {
        Ok(_) => {
            return Ok(see_other(&format!(
                "/cases/{}?done=released",
                number.as_str()
            )));
        }
        Err(error) => FormErrors::of(error)?,
    };
    let view = see_case::see(&app, &person, &number).await?;
    page_with(
        back.status,
        &release_page(&app, &person, &view, &form.0, &back.faults, back.refusals)?,
    )
}

/// Ticks the scanned item and shows the form again; nothing is handed over.
async fn scanned_release(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    mut typed: super::typed_form::TypedForm,
) -> Result<Response, WebError> {
    let view = see_case::see(app, person, number).await?;
    let (work, wanted) = (&view.work, Wanted::ToHandOver(view.work.side));
    let scan = scan::take(app, person, work, wanted, &mut typed, scan::take_tick).await?;
    let mut view = release_page(app, person, &view, &typed, &[], Vec::new())?;
    let status = scan.status();
    view.scan = scan;
    page_with(status, &view)
}

/// An item of a handoff.
pub struct ReceiveRow {
    pub tag: String,
    pub path_tag: String,
    pub title: String,
    pub sent: String,
    pub found: String,
    pub fields: Vec<FieldView>,
}

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

/// A box that is awaited.
pub struct BoxForm {
    pub title: String,
    pub fields: Vec<FieldView>,
}

fn seal_fields(
    number: u32,
    several: bool,
    typed: &super::typed_form::TypedForm,
    faults: &[Fault],
) -> Vec<FieldView> {
    let words = SealFound::ALL
        .iter()
        .filter(|one| several || **one != SealFound::NotHere)
        .map(|one| (one.word().to_owned(), one.shown().to_owned()));
    let fields = vec![
        FieldView::choice(&format!("box.{number}.seal"), "The box and its seal", words),
        FieldView::text(&format!("box.{number}.number"), "Number on the seal")
            .hint("As you read it: it is compared with the one that was sent."),
    ];
    fill(fields, typed, faults)
}

/// The boxes to be told of: all that are awaited, but not a single one that was sent without a seal.
fn box_forms(
    handoff: &Handoff,
    typed: &super::typed_form::TypedForm,
    faults: &[Fault],
) -> Vec<BoxForm> {
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

fn receive_folds(
    handoff: &Handoff,
    typed: &super::typed_form::TypedForm,
    faults: &[Fault],
) -> Vec<Folded> {
    let mut folds = Vec::new();
    if is_plain_box(handoff) && handoff.waiting() == [1] {
        folds.push(Folded::new(
            "There is a seal on it, or it was opened",
            "It was sent without a seal.",
            seal_fields(1, false, typed, faults),
        ));
    }
    let extra = vec![
        FieldView::text("unannounced", "Anything else in the box")
            .hint("Describe it; put it aside and tell the sender."),
        FieldView::text("foreign", "The code on it").hint("If it carries a tag or a case number."),
    ];
    let extra = fill(extra, typed, faults);
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
    typed: &super::typed_form::TypedForm,
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
            let yes_no = [("yes", "yes"), ("no", "no")]
                .map(|(word, shown)| (word.to_owned(), shown.to_owned()));
            let mut fields = vec![
                FieldView::new(
                    Input::Tick,
                    &format!("{key}.here"),
                    "In my hand, tag compared",
                ),
                FieldView::choice(
                    &format!("{key}.outcome"),
                    "What you found",
                    choices_of!(Outcome),
                )
                .needed(),
                FieldView::choice(&format!("{key}.marked"), "Marked as disinfected", yes_no)
                    .hint("Leave it empty if it is missing."),
                FieldView::text(&format!("{key}.note"), "Note")
                    .hint("Needed where it is damaged or not as described."),
            ];
            if sent.pieces.is_some() {
                let count = FieldView::new(
                    Input::Number,
                    &format!("{key}.pieces"),
                    "Pieces, counted in",
                );
                fields.insert(1, count.hint("Count before you compare."));
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
fn unsaved_receipt(rows: &[ReceiveRow], folds: &[Folded]) -> Vec<(String, String)> {
    let of_items = rows.iter().flat_map(|row| {
        let said = unsaved(&row.fields).into_iter();
        said.map(|(label, text)| (format!("{} {}: {label}", row.title, row.tag), text))
    });
    let of_all = folds.iter().flat_map(|fold| unsaved(&fold.fields));
    of_items.chain(of_all).collect()
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
    typed: &super::typed_form::TypedForm,
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
    let (nothing, none) = (super::typed_form::TypedForm::new(), Vec::new());
    let (back_typed, back_faults) = if is_back {
        (typed, faults)
    } else {
        (&nothing, none.as_slice())
    };
    let take_back = vec![
        FieldView::text("reason", "Why it never left")
            .needed()
            .filled(back_typed, back_faults),
        password("Your password again", back_faults),
    ];
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
            .chain(personal_data_check::tick(back_typed))
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
        proof: personal_data_check::tick(typed)
            .into_iter()
            .chain(password_again(app, person, faults))
            .collect(),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

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
        &super::typed_form::TypedForm::new(),
        &[],
        Vec::new(),
    )?;
    view.frame = view.frame.done(query.text("done"));
    page(&view)
}

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
    let command = receive::receive(&app, &person, &id, &form.0, &key);
    let back = match after_check(&form, command).await {
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
    mut typed: super::typed_form::TypedForm,
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

pub async fn take_it_back(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<String>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let command = take_back::take_back(&app, &person, &id, &form.0, &key);
    let back = match after_check(&form, command).await {
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
