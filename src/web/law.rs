//! The profiles of local law: what each one asks for, and which one a party has chosen.

use super::done::Done;
use super::error::WebError;
use super::extract::{Query, SignedIn, Typed};
use super::field::{Choice, FieldView, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::typed_form::TypedForm;
use crate::app::choose_law::{self, LawForm};
use crate::app::{App, AppError, Person};
use crate::domain::law::profile::{Keep, LegalRule, MAY_BE_OUTDATED, Profile};
use crate::domain::people::access::Permission;
use crate::domain::values::fault::Fault;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// One profile as it is shown.
pub struct ProfileView {
    pub key: String,
    pub name: String,
    pub is_own: bool,
    pub required: Vec<&'static str>,
    pub kept: String,
    pub marking: String,
    pub second_lab: &'static str,
    /// What it is about, the rule, where it stands and the date of the text.
    pub rules: Vec<(String, LegalRule)>,
}

impl ProfileView {
    fn new(profile: &Profile, own: &str) -> ProfileView {
        let about = |rule: &LegalRule| {
            let topics: Vec<&str> = rule.about.iter().map(|topic| topic.shown()).collect();
            (topics.join(", "), rule.clone())
        };
        ProfileView {
            key: profile.key.clone(),
            name: profile.name.clone(),
            is_own: profile.key == own,
            required: profile.required.iter().map(|item| item.shown()).collect(),
            kept: profile.retention.map_or_else(no_time, kept),
            marking: profile.marking.as_ref().map_or_else(
                || "no duty given".to_owned(),
                |marking| format!("{}. {}", marking.duty.shown(), marking.note),
            ),
            second_lab: match (
                profile.subcontract_authorization,
                profile.second_lab_consent,
            ) {
                (true, true) => "needs an authorization of its own, and the office's consent first",
                (true, false) => "needs an authorization of its own",
                (false, true) => "needs the office's consent first",
                (false, false) => "not covered",
            },
            rules: profile.rules.iter().map(about).collect(),
        }
    }
}

fn no_time() -> String {
    "no retention period given".to_owned()
}

fn kept(keep: Keep) -> String {
    let plural = if keep.years == 1 { "" } else { "s" };
    let implantable = keep
        .implantable_years
        .map(|years| format!("; implantable devices {years} years"))
        .unwrap_or_default();
    format!(
        "{} year{plural} by {}{implantable}",
        keep.years,
        keep.kept_by.shown()
    )
}

/// The choice of a profile; `chosen` stays visible where the installation no longer has it.
pub fn profile_field(app: &App, chosen: &str) -> FieldView {
    let all = app.profiles.all();
    let profiles = all.map(|one| (one.key.clone(), one.name.clone()));
    let mut field = FieldView::under(LawForm::profile(), "").chosen_from(profiles);
    if !chosen.is_empty() && !app.profiles.has(chosen) {
        field.choices.push(Choice {
            word: chosen.to_owned(),
            shown: format!("{chosen} (not on this installation)"),
            chosen: true,
        });
    }
    field
}

/// Every profile, the party's own, and the form that chooses another.
#[derive(Template)]
#[template(path = "law.html")]
pub struct LawPage {
    pub frame: Frame,
    pub profiles: Vec<ProfileView>,
    /// The party's name and the name of its profile.
    pub own: Option<(String, String)>,
    pub outdated: &'static str,
    /// The form of who may choose; empty for others.
    pub fields: Vec<FieldView>,
    pub version: i64,
    pub post_key: String,
}

fn law_page(
    app: &App,
    person: &Person,
    typed: Option<&TypedForm>,
    faults: &[Fault],
) -> Result<LawPage, WebError> {
    let party = person.party.as_ref();
    let key = party.map_or("", |party| party.profile.as_str());
    let stored = TypedForm::from([(LawForm::profile().key.to_owned(), key.to_owned())]);
    let name = |chosen: &str| match app.profiles.chosen(chosen).profile {
        Some(profile) => profile.name.clone(),
        None => format!("{chosen}, which is not on this installation"),
    };
    let fields = if person.may(Permission::ChooseLaw) {
        vec![profile_field(app, key)]
    } else {
        Vec::new()
    };
    Ok(LawPage {
        frame: Frame::new(app, person, "Local law", "/law"),
        profiles: app
            .profiles
            .all()
            .map(|profile| ProfileView::new(profile, key))
            .collect(),
        own: party.map(|party| (party.name.clone(), name(key))),
        outdated: MAY_BE_OUTDATED,
        fields: fill(fields, typed.unwrap_or(&stored), faults),
        version: party.map_or(0, |party| party.version),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

/// Answers with the profiles.
pub async fn page_of(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let mut view = law_page(&app, &person, None, &[])?;
    view.frame = view.frame.done(query.text("done"));
    page(&view)
}

/// Chooses a profile for one's own party.
pub async fn choose(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { choose_law::choose(&app, &person, &form.read()?, &key).await };
    match done.await {
        Ok(()) => Ok(see_other(&Done::Saved.at("/law"))),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &law_page(&app, &person, Some(&form.0), &faults)?,
        ),
        Err(other) => Err(other.into()),
    }
}
