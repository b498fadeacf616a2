//! One set: what it says, its versions with what each changed, and the form that changes or ends it.

use super::set_form::{SetForm, said_by, side_of, typed_set};
use super::sets::kinds;
use crate::app::usual_sets::{self, EndSetForm, SeenSet, SetVersionSeen};
use crate::app::{App, Person};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::prescription::usual::SetChange;
use crate::domain::values::ids::CaseNumber;
use crate::web::error::WebError;
use crate::web::extract::{At, Query, Signed, Typed, encode};
use crate::web::field::FieldView;
use crate::web::frame::{Frame, page, page_with, see_other};
use crate::web::tried::Tried;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// A version of the set, in words.
pub struct SetVersionView {
    pub number: i64,
    pub at: String,
    pub name: String,
    pub is_end: bool,
    /// Each by its field, what it was and what it is; empty where nothing stood or stands.
    pub changes: Vec<SetChange>,
}

/// A set.
#[derive(Template)]
#[template(path = "usual_set.html")]
pub struct SetPage {
    pub frame: Frame,
    /// The page this one belongs to.
    pub above: (String, String),
    pub intro: &'static str,
    /// What is said where nothing is in force.
    pub nothing: &'static str,
    pub version: i64,
    pub kinds: String,
    pub begins: bool,
    /// By section: label and words.
    pub in_force: Vec<(&'static str, Vec<(&'static str, String)>)>,
    pub versions: Vec<SetVersionView>,
    pub form: Option<SetForm>,
    /// The tick that ends it, where it is in use.
    pub end: Option<FieldView>,
    pub path: String,
}

fn versions(person: &Person, seen: &[SetVersionSeen], is_of_lab: bool) -> Vec<SetVersionView> {
    let view = |version: &SetVersionSeen| SetVersionView {
        number: version.version,
        at: person.moment(version.at_ms).to_string(),
        name: version.name.clone(),
        is_end: version.is_end,
        changes: (version.changes.iter())
            .filter(|change| !(is_of_lab && change.is_of_the_set))
            .cloned()
            .collect(),
    };
    seen.iter().map(view).collect()
}

async fn set_page(
    app: &App,
    person: &Person,
    id: &str,
    tried: &Tried,
) -> Result<SetPage, WebError> {
    let seen = usual_sets::own_set(app, person, id).await?;
    let path = format!("/usual/{}", encode(id));
    let may_keep = person.may(Permission::KeepUsual);
    let form = || SetForm::new(app, person, path.clone(), Some(&seen), tried);
    Ok(SetPage {
        frame: Frame::new(app, person, seen.name.clone(), "/usual"),
        above: ("/usual".to_owned(), "Usual values".to_owned()),
        intro: "These values stand in a new draft until somebody types over them, each with its source. \
                What is signed stays as it is; a draft that is open keeps the version that it was begun with.",
        nothing: "This set is ended: no new draft is filled from it.",
        form: may_keep.then(form).transpose()?,
        end: seen
            .set
            .as_ref()
            .filter(|_| may_keep)
            .map(|_| FieldView::under(EndSetForm::sure(), "")),
        path: path.clone(),
        ..of(person, &seen, side_of(person)? == Side::Lab)
    })
}

/// What the set says, and its versions.
fn of(person: &Person, seen: &SeenSet, is_of_lab: bool) -> SetPage {
    SetPage {
        frame: Frame::default(),
        above: (String::new(), String::new()),
        intro: "",
        nothing: "",
        version: seen.version,
        kinds: seen.set.as_ref().map(kinds).unwrap_or_default(),
        begins: !is_of_lab && seen.set.as_ref().is_some_and(|set| set.begins),
        in_force: seen.set.as_ref().map(said_by).unwrap_or_default(),
        versions: versions(person, &seen.versions, is_of_lab),
        form: None,
        end: None,
        path: String::new(),
    }
}

/// Answers with a set of one's own house.
pub async fn set(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<String>,
    query: Query,
) -> Result<Response, WebError> {
    let mut view = set_page(&app, &person, &id, &Tried::default()).await?;
    view.frame = view.frame.done(query.text("done"));
    page(&view)
}

/// Does what the form asks for: the next version, or the end.
async fn carry_out(app: &App, person: &Person, id: &str, form: &Typed) -> Result<(), WebError> {
    let key = form.key()?;
    if form.text("go") == "end" {
        usual_sets::end(app, person, id, &form.read()?, &key).await?;
        return Ok(());
    }
    usual_sets::replace(app, person, id, &typed_set(person, form)?, &key).await?;
    Ok(())
}

/// Changes or ends a set, or gives the form back with its messages.
pub async fn change(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<String>,
    form: Typed,
) -> Result<Response, WebError> {
    let done = if form.text("go") == "end" {
        "set_ended"
    } else {
        "usual"
    };
    match carry_out(&app, &person, &id, &form).await {
        Ok(()) => Ok(see_other(&format!("/usual/{}?done={done}", encode(&id)))),
        Err(WebError::App(error)) => {
            let typed = if done == "usual" {
                form.0
            } else {
                Default::default()
            };
            let (status, tried) = Tried::of(typed, error)?;
            page_with(status, &set_page(&app, &person, &id, &tried).await?)
        }
        Err(other) => Err(other),
    }
}

/// What the lab of a case does unless told, for reading only.
pub async fn of_lab(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let (lab, seen) = usual_sets::of_lab(&app, &person, &number).await?;
    let view = match &seen {
        Some(seen) => of(&person, seen, true),
        None => of(&person, &nothing_said(), true),
    };
    page(&SetPage {
        frame: Frame::new(
            &app,
            &person,
            format!("{} at {}", usual_sets::OF_LAB, lab.name),
            "",
        ),
        above: (
            format!("/cases/{}", number.as_str()),
            format!("Case {number}"),
        ),
        intro: "As the lab has said it. It stands in a new draft where the office’s own set says nothing, until somebody types over it.",
        nothing: "The lab has not said what it does unless told: what a draft leaves open, it has to ask.",
        ..view
    })
}

fn nothing_said() -> SeenSet {
    SeenSet {
        id: String::new(),
        version: 0,
        name: String::new(),
        set: None,
        versions: Vec::new(),
    }
}
