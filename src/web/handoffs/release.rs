//! Handing over.

use super::release_rows::{ReleaseRow, Staying, release_rows, staying, worn};
use crate::app::fit::mounted_sentence;
use crate::app::see_case::CaseView;
use crate::app::usual_sets::{self, UsualOfParcels};
use crate::app::{App, AppError, Person, release, see_case};
use crate::domain::custody::events::DisinfectedForm;
use crate::domain::custody::forms::{
    CarriageForm, ExceptionForm, ITEMS, PARCELS_MOST, ParcelForm, ReleaseForm, SendAnywayForm,
    TakenNowForm,
};
use crate::domain::custody::{Purpose, Wanted};
use crate::domain::form::{Form, Proof};
use crate::domain::people::party::Side;
use crate::domain::prescription::Difference;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, HandoffId};
use crate::web::document::DifferencesPart;
use crate::web::done::Done;
use crate::web::entry::{Folded, from_paper, password_again};
use crate::web::error::WebError;
use crate::web::extract::{On, Typed};
use crate::web::field::{FieldView, ValueFrom, fields_under, fill};
use crate::web::form_page::FormPage;
use crate::web::frame::{Frame, page_with};
use crate::web::items::disinfection_fields;
use crate::web::personal_data_check;
use crate::web::scan::{self, ScanView};
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use askama::Template;
use axum::response::Response;

/// What lies here and can be handed over, with carrier, boxes and disinfection.
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
    /// What the revision in force changes, where nobody of the lab has acknowledged it.
    pub not_read: Option<DifferencesPart>,
    /// That nobody of the lab has acknowledged the revision in force.
    pub unread: Option<String>,
    /// That the lab's casts stand otherwise than is prescribed.
    pub mounted: Option<String>,
    /// Ticks that are asked for before it leaves.
    pub anyway: Vec<FieldView>,
    pub refusals: Vec<String>,
    /// The revision whose list is ticked.
    pub listed_in: Option<i64>,
    /// What it lists and cannot go along.
    pub not_ready: Vec<String>,
    pub rows: Vec<ReleaseRow>,
    pub staying: Staying,
    /// Whether all that is listed are files, which went with the signature.
    pub files_alone: bool,
    /// What the patient wears, where nothing can go along.
    pub worn: Vec<String>,
    pub disinfection: Vec<FieldView>,
    pub carriage: Vec<FieldView>,
    /// Whether the carrier takes it now, and who.
    pub taken: Vec<FieldView>,
    pub folds: Vec<Folded>,
    pub exception: Vec<FieldView>,
    pub proof: Vec<FieldView>,
    pub post_key: String,
}

/// The carrier that is usual stands there until something else is typed.
fn carried_by(mut field: FieldView, typed: &TypedForm, usual: &str) -> FieldView {
    let key = CarriageForm::carrier().key;
    if field.key == key && !usual.is_empty() && !typed.contains_key(key) {
        usual.clone_into(&mut field.value);
        field.from = Some(ValueFrom::OwnUsual);
    }
    field
}

/// What is usual is offered where a disinfection is entered, and nothing is said to be disinfected by it.
fn offered(mut field: FieldView, usual: &UsualOfParcels) -> FieldView {
    let text = match field.key.as_str() {
        key if key == DisinfectedForm::agent().key => &usual.agent,
        key if key == DisinfectedForm::dilution().key => &usual.dilution,
        _ => return field,
    };
    if !text.is_empty() && !field.suggestions.contains(text) {
        field.suggestions.push(text.clone());
    }
    field
}

/// The reason that follows from what is signed stands there until another is chosen.
fn sent_for(mut field: FieldView, typed: &TypedForm, usual: Option<Purpose>) -> FieldView {
    let key = CarriageForm::purpose_code().key;
    if let Some(usual) = usual.filter(|_| field.key == key && !typed.contains_key(key)) {
        usual.word().clone_into(&mut field.value);
        field.mark_chosen();
        field.from = Some(ValueFrom::Ordered);
    }
    field
}

/// Packing, further parcels, and the entry from paper.
fn release_folds(typed: &TypedForm, faults: &[Fault]) -> Vec<Folded> {
    let parcel = |number: u32| fields_under(ParcelForm::FIELDS, &format!("parcel.{number}."));
    let mut first = fields_under(&[*CarriageForm::tracking()], "");
    // The seal of the first stands among the other fields.
    first.extend(parcel(1).into_iter().skip(1));
    let mut folds = vec![Folded::new(
        "Packing and tracking number",
        "",
        fill(first, typed, faults),
    )];
    for number in 2..=PARCELS_MOST {
        folds.push(Folded::new(
            &format!("Parcel {number}"),
            "Only where an item says that it lies in this parcel.",
            fill(parcel(number), typed, faults),
        ));
    }
    folds.push(from_paper(typed, faults));
    folds
}

/// The ticks that were asked for, and those that were made.
pub(super) fn anyway(typed: &TypedForm, faults: &[Fault]) -> Vec<FieldView> {
    let fields = fill(fields_under(SendAnywayForm::FIELDS, ""), typed, faults);
    fields.into_iter().filter(FieldView::is_raised).collect()
}

/// What the lab has not acknowledged yet.
fn not_read(view: &CaseView) -> Option<DifferencesPart> {
    let case = &view.work.case;
    if view.work.side == Side::Office || case.acknowledged >= case.revision {
        return None;
    }
    let differences: Vec<Difference> = release::not_read(view);
    let title = format!("What revision {} changes", case.revision);
    let to_know = differences.clone();
    Some(DifferencesPart::new(title, differences, &to_know))
}

fn carriage_fields(side: Side) -> Vec<FieldView> {
    let purposes = Purpose::of(side)
        .iter()
        .map(|purpose| (purpose.word().to_owned(), purpose.shown().to_owned()));
    vec![
        FieldView::under(CarriageForm::carrier(), ""),
        FieldView::under(ParcelForm::seal(), "parcel.1.").hint("If the parcel is sealed."),
        FieldView::under(CarriageForm::purpose_code(), "").chosen_from(purposes),
        FieldView::under(CarriageForm::purpose(), ""),
    ]
}

fn exception_field(typed: &TypedForm, faults: &[Fault]) -> FieldView {
    FieldView::under(ExceptionForm::reason(), "")
        .label("Why it must leave all the same")
        .hint("With a reason, your password below signs it.")
        .filled(typed, faults)
}

/// Messages without a box of their own are said on top.
fn said_on_top(tried: &Tried, is_exceptional: bool) -> Vec<String> {
    let has_no_box = |fault: &&Fault| {
        fault.key == ITEMS || (fault.key == ExceptionForm::reason().key && !is_exceptional)
    };
    let without_box = tried.faults.iter().filter(has_no_box);
    let messages = without_box.map(|fault| fault.message.clone());
    tried.refusals.iter().cloned().chain(messages).collect()
}

async fn release_page(
    app: &App,
    person: &Person,
    view: &CaseView,
    tried: &Tried,
) -> Result<ReleasePage, WebError> {
    let (typed, faults) = (&tried.typed, &tried.faults);
    let usual = usual_sets::usual_of_parcels(app, person).await?;
    let work = &view.work;
    let offers = work.offers(app, person);
    let is_exceptional = offers.needs_exception();
    let rows = release_rows(work, &offers, typed, faults);
    let purpose = work.usual_purpose();
    let not_ready = release::not_ready(work, &offers, |tag| {
        rows.iter().any(|row| row.key == tag.as_str())
    });
    let mut staying = staying(work, &offers, &rows);
    let is_nothing_awaited = rows.is_empty() && not_ready.is_empty();
    let files_alone = is_nothing_awaited && staying.rows.iter().any(|row| row.is_file);
    if files_alone {
        staying.rows.retain(|row| !row.is_file);
    }
    Ok(ReleasePage {
        frame: Frame::of_case(app, person, work, "Hand over")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        to: if work.side == Side::Office {
            work.lab.name.clone()
        } else {
            work.office.name.clone()
        },
        scan: ScanView::waiting(),
        unsigned: release::unsigned(view),
        mounted: mounted_sentence(work).filter(|_| work.side == Side::Lab),
        unread: release::unread_words(view),
        not_read: not_read(view),
        anyway: anyway(typed, faults),
        refusals: said_on_top(tried, is_exceptional),
        listed_in: rows
            .iter()
            .any(|row| row.listed)
            .then_some(work.ordered.revision),
        not_ready,
        staying,
        files_alone,
        worn: worn(work, &rows),
        rows,
        disinfection: fill(disinfection_fields(work), typed, faults)
            .into_iter()
            .map(|field| offered(field, &usual))
            .collect(),
        carriage: fill(carriage_fields(work.side), typed, faults)
            .into_iter()
            .map(|field| carried_by(field, typed, &usual.carrier))
            .map(|field| sent_for(field, typed, purpose))
            .chain(personal_data_check::tick_for(
                typed,
                &ReleaseForm::field_sets(),
            ))
            .collect(),
        taken: fill(fields_under(TakenNowForm::FIELDS, ""), typed, faults),
        folds: release_folds(typed, faults),
        proof: if is_exceptional {
            vec![
                FieldView::under(Proof::password(), "")
                    .needed()
                    .filled(typed, faults),
            ]
        } else {
            password_again(app, person, faults)
        },
        exception: Vec::from_iter(is_exceptional.then(|| exception_field(typed, faults))),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for ReleasePage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<ReleasePage, WebError> {
        let view = see_case::see(&on.app, &on.person, &on.at).await?;
        release_page(&on.app, &on.person, &view, tried).await
    }
}

/// Shows the empty form.
pub async fn release_form(on: On<CaseNumber>) -> Result<Response, WebError> {
    ReleasePage::show(on).await
}

/// Hands over and leads back to the case; a scan only ticks its item. Otherwise the form with what is
/// wrong: 422 beside a field, 409 where a rule stands against it.
pub async fn release(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    if scan::asked(&form.0).is_some() {
        return scanned_release(&on, form.0).await;
    }
    let then = |_: &Typed, command: &ReleaseForm, _: HandoffId| match command.taken_by.as_str() {
        "" => Done::Packed.into(),
        _ => Done::Released.into(),
    };
    ReleasePage::post_then(on, form, release::release, then).await
}

/// Ticks the scanned item and shows the form again; nothing is handed over.
async fn scanned_release(on: &On<CaseNumber>, mut typed: TypedForm) -> Result<Response, WebError> {
    let (app, person) = (&on.app, &on.person);
    let view = see_case::see(app, person, &on.at).await?;
    let (work, wanted) = (&view.work, Wanted::ToHandOver(view.work.side));
    let scan = scan::take(app, person, work, wanted, &mut typed, scan::take_tick).await?;
    let mut view = release_page(app, person, &view, &Tried::shown(typed)).await?;
    let status = scan.status();
    view.scan = scan;
    page_with(status, &view)
}
