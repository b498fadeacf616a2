//! What the patient wears: the chair step of each arch.

use super::disinfection::disinfection_fields;
use crate::app::as_it_came::before_the_fit;
use crate::app::case_work::CaseWork;
use crate::app::change_mouth::MouthException;
use crate::app::custody_words::mouth_now;
use crate::app::reminders::reminders;
use crate::app::see_case::CaseView;
use crate::app::{App, AppError, Person, change_mouth, patient_wears, see_case};
use crate::domain::custody::events::DisinfectedForm;
use crate::domain::custody::forms::{AS_IT_WAS, ExceptionForm, FitForm, Fitting, NOTHING};
use crate::domain::custody::item::Item;
use crate::domain::custody::mouth::{Stretch, Wears};
use crate::domain::custody::{Offers, Wanted};
use crate::domain::form::{Form, Proof};
use crate::domain::people::access::Permission;
use crate::domain::people::patient::OwnTeeth;
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::web::done::Done;
use crate::web::entry::{Folded, from_paper};
use crate::web::error::WebError;
use crate::web::extract::{On, Typed};
use crate::web::field::{FieldView, fill};
use crate::web::form_page::FormPage;
use crate::web::frame::{Frame, page_with};
use crate::web::personal_data_check;
use crate::web::scan::{self, ScanView};
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use askama::Template;
use axum::response::Response;

/// One arch of the form.
pub struct ArchForm {
    pub word: &'static str,
    pub title: &'static str,
    /// Whether anything can go in or come out; otherwise there is no form.
    pub is_open: bool,
    /// What is to be known of what can go in.
    pub as_it_came: Vec<String>,
    /// What of this arch is packed, and could go in if the parcel were taken back.
    pub packed: Vec<String>,
    pub scan: ScanView,
    pub fields: Vec<FieldView>,
    /// Why the arch stays empty, signed by the dentist; none where nobody could sign it here.
    pub exception: Option<Folded>,
    pub approval: Folded,
    pub from_paper: Folded,
    /// Where it is entered what was changed at the chair on what is worn now.
    pub adjust: Option<String>,
    /// What was worn: from, to, and what.
    pub line: Vec<(String, String, String)>,
}

/// The line of an arch in words.
fn worn_line(work: &CaseWork, arch: Arch) -> Vec<(String, String, String)> {
    let teeth = work.teeth_in(arch);
    let described = |stretch: Stretch| {
        let words = match &stretch.wears {
            Wears::Unknown | Wears::Nothing if stretch.to.is_none() && teeth.is_some() => {
                teeth.map_or("", OwnTeeth::shown).to_owned()
            }
            Wears::Unknown => "not known".to_owned(),
            Wears::Nothing => "nothing".to_owned(),
            Wears::Item(tag) => {
                let item = work.item(tag);
                format!("{} {tag}", item.map_or("", |item| item.kind.shown()))
            }
        };
        let at = |moment: Option<crate::domain::values::moment::Moment>, none: &str| {
            moment.map_or_else(|| none.to_owned(), |at| at.in_words())
        };
        (at(stretch.from, "before"), at(stretch.to, "now"), words)
    };
    work.worn_over_time(arch)
        .into_iter()
        .map(described)
        .collect()
}

/// What the patient wears: each arch with its form and with what was worn over time.
#[derive(Template)]
#[template(path = "mouth.html")]
pub struct MouthPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub mouth: Vec<(String, String)>,
    /// What other cases of the patient say is worn.
    pub elsewhere: Vec<String>,
    pub reminders: Vec<String>,
    pub refusals: Vec<String>,
    pub arches: Vec<ArchForm>,
    pub post_key: String,
}

/// What can be chosen in an arch, by the rules; and the choice that was sent, so that it is not lost where it
/// is offered no more.
fn choices(offers: &Offers<'_>, arch: Arch, work: &CaseWork, sent: &str) -> Vec<(String, String)> {
    let choice = |item: &Item| {
        let whence = match change_mouth::is_with_the_patient(work, item) {
            true => ", which the patient has brought along",
            false => "",
        };
        let shown = format!("{} {}{whence}", item.kind.shown(), item.tag);
        (item.tag.as_str().to_owned(), shown)
    };
    let nothing = || {
        let shown = "nothing: taken out, and none put in";
        (NOTHING.to_owned(), shown.to_owned())
    };
    let mut choices: Vec<(String, String)> = offers.to_fit(arch).into_iter().map(choice).collect();
    choices.extend(offers.to_take_out(arch).map(|_| nothing()));
    if !choices.iter().any(|(word, _)| word == sent) {
        let mut items = work.items.iter();
        choices.extend(match sent {
            NOTHING => Some(nothing()),
            tag => items.find(|item| item.tag.as_str() == tag).map(choice),
        });
    }
    choices
}

/// What an exception is signed with; folded away until “nothing” is chosen, or something of it is typed or wrong.
fn exception_part(exception: MouthException, typed: &TypedForm, faults: &[Fault]) -> Folded {
    let title = match exception {
        MouthException::NewWork => {
            "Why the arch stays empty, or why new work goes in while it stands still"
        }
        MouthException::EmptyArch => "Only for “nothing”: why the arch stays empty",
    };
    let fields = [
        FieldView::under(ExceptionForm::reason(), "").label("Why"),
        FieldView::under(Proof::password(), "").label("Your password again, for the exception"),
    ];
    let fields = fill(fields.into(), typed, faults);
    let hint = "An exception that you sign as the dentist.";
    let mut part = Folded::new(title, hint, fields);
    part.open |= typed
        .get(FitForm::fit().key)
        .is_some_and(|word| word == NOTHING);
    part
}

fn arch_form(
    work: &CaseWork,
    offers: &Offers<'_>,
    person: &Person,
    arch: Arch,
    tried: &Tried,
) -> ArchForm {
    let worn = work.worn_in(arch);
    // Messages and texts belong to the arch whose form was sent.
    let sent = tried.typed.get(FitForm::arch().key);
    let is_sent = sent.is_some_and(|word| word == arch.word());
    let Tried { typed, faults, .. } = tried.only_if(is_sent);
    let sent = typed.get(FitForm::fit().key);
    let sent = sent.map(String::as_str).unwrap_or_default();
    let choices = choices(offers, arch, work, sent);
    let is_open = !choices.is_empty();
    let can_go_in = offers.to_fit(arch).into_iter();
    let can_go_in: Vec<Tag> = can_go_in.map(|item| item.tag.clone()).collect();
    let mut fields = vec![FieldView::under(FitForm::fit(), "").chosen_from(choices)];
    let wants_cleaning = |item: &Item| change_mouth::wants_cleaning(work, item);
    let is_asked = is_asked(typed, faults);
    if is_asked || offers.to_fit(arch).into_iter().any(wants_cleaning) {
        // What came without a mark of it is held until it is disinfected: there is no way past that.
        let chosen = typed
            .get(FitForm::fit().key)
            .and_then(|word| Tag::parse(word).ok());
        let is_held = chosen.is_some_and(|tag| work.is_held_until_cleaned(&tag));
        fields.extend(cleaning_fields(work, is_asked && !is_held));
    }
    let although = FitForm::although().key;
    if typed.contains_key(although) || faults.iter().any(|fault| fault.key == although) {
        fields.push(FieldView::under(FitForm::although(), ""));
    }
    let why = FieldView::under(FitForm::fit_why(), "").filled(typed, faults);
    fields.extend(Some(why).filter(FieldView::is_raised));
    let exception = change_mouth::exception_for(work, arch, &can_go_in);
    let exception = exception.filter(|_| person.may(Permission::Sign));
    let mut fields = fill(fields, typed, faults);
    fields.extend(personal_data_check::tick_for(typed, &Fitting::field_sets()));
    let mut hidden = FieldView::under(FitForm::worn(), "");
    let worn_tag = worn.as_ref().map(Tag::as_str);
    worn_tag.unwrap_or_default().clone_into(&mut hidden.value);
    fields.push(hidden);
    for field in &mut fields {
        // Two forms on one page: their fields need ids of their own.
        field.scope = arch.word().into();
    }
    ArchForm {
        word: arch.word(),
        title: arch.shown(),
        is_open,
        as_it_came: before_the_fit(work, &can_go_in),
        packed: packed_words(work, arch),
        scan: ScanView::of(arch.word()),
        fields,
        exception: exception.map(|one| exception_part(one, typed, faults).scoped(arch.word())),
        approval: approval(typed, faults).scoped(arch.word()),
        from_paper: from_paper(typed, faults).scoped(arch.word()),
        adjust: worn.map(|tag| format!("/items/{}#adjust", tag.as_str())),
        line: worn_line(work, arch),
    }
}

/// What was said of it in the mirror; folded away for what is put back in.
fn approval(typed: &TypedForm, faults: &[Fault]) -> Folded {
    let specs = [
        FitForm::approved_by(),
        FitForm::agreement(),
        FitForm::approval_said(),
    ];
    let fields = specs.map(|spec| FieldView::under(spec, ""));
    Folded::new(
        "Looked at in the mirror",
        "",
        fill(fields.into(), typed, faults),
    )
}

/// Dentures of an arch that lie here in a parcel: whoever takes out what is worn has to know.
fn packed_words(work: &CaseWork, arch: Arch) -> Vec<String> {
    let packed = work.packed_dentures(arch).into_iter();
    packed
        .map(|item| {
            format!(
                "{} {} is packed and waits for the carrier. Should it go in, take the parcel back first.",
                item.title(),
                item.tag
            )
        })
        .collect()
}

/// Whether a thing was to go in without a disinfection, or is said to have gone in so.
fn is_asked(typed: &TypedForm, faults: &[Fault]) -> bool {
    typed.contains_key(AS_IT_WAS)
        || faults
            .iter()
            .any(|fault| fault.key == DisinfectedForm::agent().key)
}

/// The disinfection of what came from the lab; when it was asked for, the way to enter that there was none.
fn cleaning_fields(work: &CaseWork, is_asked: bool) -> Vec<FieldView> {
    let mut fields = disinfection_fields(work);
    if let Some(agent) = fields.first_mut() {
        "Disinfected here before it goes in: agent".clone_into(&mut agent.label);
        agent.hint = "For what came from the lab, whoever cleaned it there, or from the patient’s home. Name on the bottle; the maker says what the material bears.".to_owned();
    }
    if is_asked {
        fields.push(FieldView::under(FitForm::as_it_was(), ""));
    }
    fields
}

async fn mouth_page(
    app: &App,
    person: &Person,
    view: &CaseView,
    tried: &Tried,
) -> Result<MouthPage, WebError> {
    let work = &view.work;
    let offers = work.offers(app, person);
    let arches = offers.arches().into_iter();
    let elsewhere = patient_wears::elsewhere(app, person, work).await?;
    let mut mouth = mouth_now(work);
    elsewhere.correct(&mut mouth);
    Ok(MouthPage {
        frame: Frame::of_case(app, person, work, "What the patient wears")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        mouth,
        elsewhere: elsewhere.sentences,
        reminders: reminders(
            work,
            &view.office_open,
            person.moment(app.outside.now_ms()).date(),
        ),
        refusals: tried.refusals.clone(),
        arches: arches
            .map(|arch| arch_form(work, &offers, person, arch, tried))
            .collect(),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for MouthPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<MouthPage, WebError> {
        let view = see_case::see(&on.app, &on.person, &on.at).await?;
        mouth_page(&on.app, &on.person, &view, tried).await
    }
}

/// Shows the forms of the arches.
pub async fn mouth(on: On<CaseNumber>) -> Result<Response, WebError> {
    MouthPage::show(on).await
}

/// Records the change of one arch and leads back to the case; a scan only chooses its denture. Otherwise
/// the form of that arch with what is wrong: 422 beside a field, 409 where a rule stands against it.
pub async fn change_mouth(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    match scan::asked(&form.0) {
        Some(_) => scanned_mouth(&on, form.0).await,
        None => MouthPage::post(on, form, change_mouth::change_mouth, Done::Recorded).await,
    }
}

/// Chooses the scanned denture in its arch and shows the form again; nothing is recorded.
async fn scanned_mouth(on: &On<CaseNumber>, mut typed: TypedForm) -> Result<Response, WebError> {
    let (app, person) = (&on.app, &on.person);
    let view = see_case::see(app, person, &on.at).await?;
    let word = typed
        .get(FitForm::arch().key)
        .map(String::as_str)
        .unwrap_or_default();
    let arch = Arch::from_word(word).ok_or(AppError::NotFound)?;
    let (work, wanted) = (&view.work, Wanted::ToFit(arch));
    let chosen = |item: &Item| (FitForm::fit().key.to_owned(), item.tag.as_str().to_owned());
    let mut scan = scan::take(app, person, work, wanted, &mut typed, chosen).await?;
    let mut shown = mouth_page(app, person, &view, &Tried::shown(typed)).await?;
    let status = scan.status();
    if let Some(form) = shown
        .arches
        .iter_mut()
        .find(|form| form.word == arch.word())
    {
        scan.scope = arch.word();
        form.scan = scan;
    }
    page_with(status, &shown)
}
