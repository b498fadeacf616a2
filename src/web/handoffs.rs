//! Handing over and receiving.

use super::cases::treated;
use super::error::{BesideForm, WebError};
use super::extract::{At, Query, Signed, Typed};
use super::field::{FieldView, Input, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::items::disinfection_fields;
use super::scan::{self, ScanView};
use super::second_look::{self, after_a_look};
use crate::app::case_work::CaseWork;
use crate::app::{App, AppError, Person, receive, release, see_case};
use crate::choices_of;
use crate::domain::access::Deed;
use crate::domain::case::Side;
use crate::domain::custody::{Holder, Outcome, Wanted, fold};
use crate::domain::fault::Fault;
use crate::domain::handoff::Handoff;
use crate::domain::ids::CaseNumber;
use crate::domain::item::{Item, ItemKind};
use crate::domain::mouth;
use crate::domain::party::PartyKind;
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
}

#[derive(Template)]
#[template(path = "release.html")]
pub struct ReleasePage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub to: String,
    pub scan: ScanView,
    pub refusals: Vec<String>,
    pub rows: Vec<ReleaseRow>,
    pub disinfection: Vec<FieldView>,
    pub carriage: Vec<FieldView>,
    pub exception: Vec<FieldView>,
    pub post_key: String,
}

fn release_rows(work: &CaseWork, typed: &super::TypedForm, faults: &[Fault]) -> Vec<ReleaseRow> {
    let custody = fold(&work.events);
    let row = |item: &Item| {
        let state = custody.get(&item.tag)?;
        (state.gone.is_none() && state.holder == Holder::of(work.house())).then(|| {
            let key = item.tag.as_str().to_owned();
            let condition = FieldView::text(&format!("{key}.condition"), "Condition as it leaves")
                .hint("Empty means sound.");
            ReleaseRow {
                taken: typed.contains_key(&format!("{key}.take")),
                tag: item.tag.to_string(),
                title: item.title(),
                disinfection: match (item.kind.needs_disinfection(), state.disinfected) {
                    (false, _) => "needs no disinfection".to_owned(),
                    (true, true) => "disinfected, entry made".to_owned(),
                    (true, false) => "no disinfection entry yet".to_owned(),
                },
                messages: Vec::new(),
                fields: fill(vec![condition], typed, faults),
                key,
            }
        })
    };
    work.items.iter().filter_map(row).collect()
}

/// Whether a provisional here has no duplicate of its arch in the mouth, so that only an exception lets it go.
fn may_need_exception(work: &CaseWork) -> bool {
    let custody = fold(&work.events);
    let line = mouth::fold(&work.items, &work.events);
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
    !treated(work.case.arches).is_empty()
        && work
            .items
            .iter()
            .filter(is_here)
            .any(|item| item.kind == ItemKind::Provisional && !covered(item))
}

fn release_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    typed: &super::TypedForm,
    faults: &[Fault],
    mut refusals: Vec<String>,
) -> Result<ReleasePage, WebError> {
    let carriage = vec![
        FieldView::text("carrier", "Carrier")
            .hint("The courier, the post, or the person who takes it along.")
            .needed(),
        FieldView::text("tracking", "Reference of the carrier"),
        FieldView::text("seal", "Seal number").hint("If the box is sealed."),
        FieldView::text("purpose", "What it goes there for")
            .hint("Such as: final upper and lower; try-in; return of borrowed things.")
            .needed(),
    ];
    let is_exceptional =
        work.side == Side::Office && person.may(Deed::Sign) && may_need_exception(work);
    let exception = if is_exceptional {
        vec![
            FieldView::text("reason", "Why it must leave all the same"),
            FieldView::new(
                Input::Password,
                "password",
                "Your password again, for the exception",
            )
            .autocomplete("current-password"),
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
        refusals,
        rows: release_rows(work, typed, faults),
        disinfection: fill(disinfection_fields(), typed, faults),
        carriage: fill(carriage, typed, faults)
            .into_iter()
            .chain(second_look::tick(typed))
            .collect(),
        exception: fill(exception, typed, faults),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

pub async fn release_form(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let sight = see_case::see(&app, &person, &number).await?;
    page(&release_page(
        &app,
        &person,
        &sight.work,
        &super::TypedForm::new(),
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
    let deed = release::release(&app, &person, &number, &form.0, &key);
    let back = match after_a_look(&form, deed).await {
        Ok(_) => {
            return Ok(see_other(&format!(
                "/cases/{}?done=released",
                number.as_str()
            )));
        }
        Err(error) => BesideForm::of(error)?,
    };
    let sight = see_case::see(&app, &person, &number).await?;
    page_with(
        back.status,
        &release_page(
            &app,
            &person,
            &sight.work,
            &form.0,
            &back.faults,
            back.refusals,
        )?,
    )
}

/// Ticks the scanned item and shows the form again; nothing is handed over.
async fn scanned_release(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    mut typed: super::TypedForm,
) -> Result<Response, WebError> {
    let sight = see_case::see(app, person, number).await?;
    let (work, wanted) = (&sight.work, Wanted::ToHandOver(sight.work.house()));
    let scan = scan::take(app, person, work, wanted, &mut typed, scan::take_tick).await?;
    let mut view = release_page(app, person, work, &typed, &[], Vec::new())?;
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
    pub seal: String,
    pub may_receive: bool,
    pub why_not: String,
    pub scan: ScanView,
    pub refusals: Vec<String>,
    pub rows: Vec<ReceiveRow>,
    pub extra: Vec<FieldView>,
    pub post_key: String,
}

fn receive_rows(
    work: &CaseWork,
    handoff: &Handoff,
    may_receive: bool,
    typed: &super::TypedForm,
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
            let fields = vec![
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
            ReceiveRow {
                tag: sent.tag.to_string(),
                path_tag: key.to_owned(),
                title: item.map(Item::title).unwrap_or_default(),
                sent: if sent.condition.is_empty() {
                    "Sent as sound.".to_owned()
                } else {
                    format!("Sent as: {}", sent.condition)
                },
                found: match found {
                    _ if handoff.written_off.contains(&sent.tag) => {
                        "missing, and written off as lost".to_owned()
                    }
                    None => "not yet".to_owned(),
                    Some(found) => format!("{} {}", found.outcome.shown(), found.note),
                },
                fields: fill(fields, typed, faults),
            }
        })
        .collect()
}

fn handoff_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    handoff: &Handoff,
    typed: &super::TypedForm,
    faults: &[Fault],
    refusals: Vec<String>,
) -> Result<HandoffPage, WebError> {
    let name = |kind: PartyKind| match kind {
        PartyKind::Office => work.office.name.clone(),
        PartyKind::Lab => work.lab.name.clone(),
    };
    let is_open = !handoff.outstanding().is_empty();
    let is_ours = handoff.to == work.house();
    let is_own = handoff.released_by.account == person.account.id;
    let may_receive = is_open && is_ours && !is_own;
    let why_not = match (is_open, is_ours, &handoff.received_by, handoff.received_at) {
        (false, _, Some(by), Some(at)) => format!("Received by {} on {at}.", by.name),
        (true, false, _, _) => format!("Waits for {} to receive it.", name(handoff.to)),
        (true, true, _, _) if is_own => {
            "You handed it over yourself: a colleague has to receive it.".to_owned()
        }
        _ => String::new(),
    };
    let extra = vec![
        FieldView::text("unannounced", "Anything else in the box")
            .hint("Describe it; put it aside and tell the sender."),
    ];
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
        seal: words(&handoff.seal, "none"),
        may_receive,
        why_not,
        scan: ScanView::waiting(),
        refusals,
        rows: receive_rows(work, handoff, may_receive, typed, faults),
        extra: fill(extra, typed, faults)
            .into_iter()
            .chain(second_look::tick(typed))
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
        &super::TypedForm::new(),
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
    let deed = receive::receive(&app, &person, &id, &form.0, &key);
    let back = match after_a_look(&form, deed).await {
        Ok(number) => {
            return Ok(see_other(&format!(
                "/cases/{}?done=received",
                number.as_str()
            )));
        }
        Err(error) => BesideForm::of(error)?,
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
    mut typed: super::TypedForm,
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
