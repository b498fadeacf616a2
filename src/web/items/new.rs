//! Registering an item.

use crate::app::case_work::CaseWork;
use crate::app::{App, AppError, Person, add_item, see_case};
use crate::domain::custody::forms::{ItemPlace, Registration, RegistrationForm};
use crate::domain::form::Form;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::web::done::Done;
use crate::web::entry::{Folded, from_paper};
use crate::web::error::WebError;
use crate::web::extract::{On, Typed};
use crate::web::field::{FieldView, InputKind, fields_under, fill};
use crate::web::form_page::{FormPage, Onward};
use crate::web::frame::{Frame, page};
use crate::web::personal_data_check;
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use askama::Template;
use axum::response::Response;

/// The form of an item that gets its tag now.
#[derive(Template)]
#[template(path = "item_new.html")]
pub struct NewItemPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub refusals: Vec<String>,
    pub fields: Vec<FieldView>,
    pub folds: Vec<Folded>,
    pub post_key: String,
}

/// How it was made: from what is in hand here, how, of what, and by whom.
fn made_fold(work: &CaseWork, tried: &Tried) -> Folded {
    let parents = work.parents().map(|item| {
        let label = format!("Made from {} {}", item.title(), item.tag);
        FieldView::new(
            InputKind::Tick,
            &format!("{}.from", item.tag.as_str()),
            &label,
        )
    });
    let mut fields: Vec<FieldView> = parents.collect();
    let how = [
        *RegistrationForm::made_how(),
        *RegistrationForm::material(),
        *RegistrationForm::lot(),
        *RegistrationForm::pot_minutes(),
        *RegistrationForm::maker(),
        *RegistrationForm::made_why(),
    ];
    fields.extend(fields_under(&how, ""));
    let mut fields = fill(fields, &tried.typed, &tried.faults);
    // Asked only where it is the question.
    fields.retain(|field| field.key != RegistrationForm::made_why().key || field.is_raised());
    Folded::new(
        "How it was made",
        "For what is made here: the line back to what it comes from is kept.",
        fields,
    )
}

/// What a file is known by.
fn file_fold(tried: &Tried) -> Folded {
    let fields = [
        *RegistrationForm::file_name(),
        *RegistrationForm::file_format(),
        *RegistrationForm::file_units(),
        *RegistrationForm::file_sha256(),
    ];
    Folded::new(
        "It is a file",
        "For a scan: nothing travels in a box, and nothing is disinfected.",
        fill(fields_under(&fields, ""), &tried.typed, &tried.faults),
    )
}

fn new_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    tried: &Tried,
) -> Result<NewItemPage, WebError> {
    let (typed, faults) = (&tried.typed, &tried.faults);
    let places = ItemPlace::ALL.iter().filter(|place| {
        // The lab has no patient.
        work.side == Side::Office || **place == ItemPlace::Here
    });
    let places = places.map(|place| (place.word().to_owned(), place.shown().to_owned()));
    let fields = vec![
        FieldView::under(RegistrationForm::item_kind(), ""),
        FieldView::under(RegistrationForm::arch(), ""),
        FieldView::under(RegistrationForm::place(), "")
            .chosen_from(places)
            .needed(),
        FieldView::under(RegistrationForm::pieces(), ""),
        FieldView::under(RegistrationForm::note(), ""),
    ];
    let lent = [*RegistrationForm::borrowed(), *RegistrationForm::due_back()];
    let lent = fields_under(&lent, "");
    let folds = vec![
        Folded::new(
            "It is on loan",
            "Both sides are reminded from that day on.",
            fill(lent, typed, faults),
        ),
        made_fold(work, tried),
        file_fold(tried),
        from_paper(typed, faults),
    ];
    Ok(NewItemPage {
        frame: Frame::of_case(app, person, work, "Register an item")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        refusals: tried.refusals.clone(),
        fields: fill(fields, typed, faults)
            .into_iter()
            .chain(personal_data_check::tick_for(
                typed,
                &Registration::field_sets(),
            ))
            .collect(),
        folds,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for NewItemPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<NewItemPage, WebError> {
        let view = see_case::see(&on.app, &on.person, &on.at).await?;
        new_page(&on.app, &on.person, &view.work, tried)
    }
}

/// Shows the form of a thing that is here.
pub async fn new(on: On<CaseNumber>) -> Result<Response, WebError> {
    let here = (RegistrationForm::place().key, ItemPlace::Here.word());
    let typed = TypedForm::from([(here.0.to_owned(), here.1.to_owned())]);
    page(&NewItemPage::draw(&on, &Tried::shown(typed)).await?)
}

/// Registers the item and leads to its page, or shows the form with what is wrong.
pub async fn add(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    let to_item = |_: &Typed, _: &Registration, tag: Tag| {
        Onward::To(Done::Item.at(&format!("/items/{}", tag.as_str())))
    };
    NewItemPage::post_then(on, form, add_item::add, to_item).await
}
