//! One set: what it says, its versions with what each changed, and the form that changes or ends it.

use super::set_form::{UsualSetForm, said_by, side_of, typed_set};
use super::sets::kinds;
use crate::app::usual_sets::{self, EndSetForm, SeenSet, SetVersionSeen};
use crate::app::{App, Person};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::prescription::usual::SetChange;
use crate::domain::values::ids::CaseNumber;
use crate::web::done::Done;
use crate::web::error::WebError;
use crate::web::extract::{On, Typed, encode};
use crate::web::field::FieldView;
use crate::web::form_page::FormPage;
use crate::web::frame::{Frame, page};
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use askama::Template;
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
pub struct UsualSetPage {
    pub frame: Frame,
    /// The page this one belongs to.
    pub above: (String, String),
    pub intro: &'static str,
    /// What is said where a set of this lab is missing; empty for most.
    pub taken_away: &'static str,
    /// What is said where nothing is in force.
    pub nothing: &'static str,
    pub version: i64,
    pub kinds: String,
    pub begins: bool,
    /// By section: label and words.
    pub in_force: Vec<(&'static str, Vec<(&'static str, String)>)>,
    pub versions: Vec<SetVersionView>,
    pub form: Option<UsualSetForm>,
    /// The tick that ends it, where it is in use.
    pub end: Option<FieldView>,
    pub path: String,
}

fn versions(person: &Person, seen: &[SetVersionSeen], is_of_lab: bool) -> Vec<SetVersionView> {
    let view = |version: &SetVersionSeen| SetVersionView {
        number: version.version,
        at: person.moment(version.at_ms).in_words(),
        name: version.name.clone(),
        is_end: version.is_end,
        changes: (version.changes.iter())
            .filter(|change| !(is_of_lab && change.is_of_the_set))
            .cloned()
            .collect(),
    };
    seen.iter().map(view).collect()
}

/// The address of a set.
pub fn path_of(id: &str) -> String {
    format!("/usual/{}", encode(id))
}

async fn set_page(
    app: &App,
    person: &Person,
    id: &str,
    tried: &Tried,
) -> Result<UsualSetPage, WebError> {
    let seen = usual_sets::own_set(app, person, id).await?;
    let path = path_of(id);
    let may_keep = person.may(Permission::KeepUsual);
    let form = || UsualSetForm::new(app, person, path.clone(), Some(&seen), tried);
    Ok(UsualSetPage {
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
fn of(person: &Person, seen: &SeenSet, is_of_lab: bool) -> UsualSetPage {
    UsualSetPage {
        frame: Frame::default(),
        above: (String::new(), String::new()),
        intro: "",
        taken_away: "",
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

impl FormPage for UsualSetPage {
    type At = String;

    fn says_done(id: &String) -> String {
        path_of(id)
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<String>, tried: &Tried) -> Result<UsualSetPage, WebError> {
        set_page(&on.app, &on.person, &on.at, tried).await
    }
}

/// Answers with a set of one's own house.
pub async fn set(on: On<String>) -> Result<Response, WebError> {
    UsualSetPage::show(on).await
}

/// Changes or ends a set, or gives the form back with its messages.
pub async fn change(on: On<String>, form: Typed) -> Result<Response, WebError> {
    if form.text("go") == "end" {
        return end(on, form).await;
    }
    let key = form.key()?;
    let done = async {
        let typed = typed_set(&on.person, &form)?;
        usual_sets::replace(&on.app, &on.person, &on.at, &typed, &key).await?;
        Ok(Done::Usual.into())
    };
    let done = done.await;
    UsualSetPage::answer(&on, form.0, done).await
}

/// Ends a set: nothing of it is typed.
async fn end(on: On<String>, form: Typed) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        usual_sets::end(&on.app, &on.person, &on.at, &form.read()?, &key).await?;
        Ok(Done::SetEnded.into())
    };
    let done = done.await;
    UsualSetPage::answer(&on, TypedForm::new(), done).await
}

fn lab_page(person: &Person, seen: Option<&SeenSet>) -> UsualSetPage {
    let view = match seen {
        Some(seen) => of(person, seen, true),
        None => of(person, &nothing_said(), true),
    };
    UsualSetPage {
        intro: "As the lab has said it. It stands in a new draft where the office’s own set says nothing, until somebody types over it.",
        nothing: "The lab has not said what it does unless told: what a draft leaves open, it has to ask.",
        ..view
    }
}

/// What the lab of a case does unless told, for reading only.
pub async fn of_lab(on: On<CaseNumber>) -> Result<Response, WebError> {
    let (lab, seen) = usual_sets::of_lab(&on.app, &on.person, &on.at).await?;
    let title = format!("{} at {}", usual_sets::OF_LAB, lab.name);
    let case = format!("/cases/{}", on.at.as_str());
    page(&UsualSetPage {
        frame: Frame::new(&on.app, &on.person, title, ""),
        above: (case, format!("Case {}", on.at)),
        taken_away: usual_sets::taken_away(&on.app, &lab.id).await?,
        ..lab_page(&on.person, seen.as_ref())
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
