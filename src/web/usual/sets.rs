//! The sets of one's own house, and a new one.

use super::set_form::{UsualSetForm, side_of, typed_set};
use crate::app::usual_sets::{self, SeenSet};
use crate::app::{App, Person};
use crate::domain::people::access::{Permission, why_not};
use crate::domain::people::party::Side;
use crate::domain::prescription::usual::UsualSet;
use crate::web::done::Done;
use crate::web::error::WebError;
use crate::web::extract::{Query, SignedIn, Typed, encode};
use crate::web::frame::{Frame, page, page_with, see_other};
use crate::web::tried::Tried;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// A set in the list.
pub struct UsualSetRow {
    pub href: String,
    pub name: String,
    pub kinds: String,
    pub words: String,
}

/// The sets of a house.
#[derive(Template)]
#[template(path = "usual_sets.html")]
pub struct SetsPage {
    pub frame: Frame,
    pub is_lab: bool,
    pub sets: Vec<UsualSetRow>,
    /// Whether another set can be made here, by this person.
    pub may_make: bool,
    /// What is said where one is missing; empty for most.
    pub taken_away: &'static str,
    /// Who may, where this person may not.
    pub who: &'static str,
}

/// The kinds of work that a set is for.
pub fn kinds(set: &UsualSet) -> String {
    match set.courses.as_slice() {
        [] => "all kinds of work".to_owned(),
        some => {
            let names: Vec<&str> = some.iter().map(|course| course.shown()).collect();
            names.join(", ")
        }
    }
}

fn row(seen: SeenSet, is_lab: bool) -> UsualSetRow {
    let words = match &seen.set {
        None => "ended".to_owned(),
        Some(set) => {
            let begins = if set.begins && !is_lab {
                ", drafts begin with it"
            } else {
                ""
            };
            let values = match set.values.len() {
                1 => "1 value".to_owned(),
                count => format!("{count} values"),
            };
            format!("version {}, {values}{begins}", seen.version)
        }
    };
    UsualSetRow {
        href: format!("/usual/{}", encode(&seen.id)),
        kinds: seen.set.as_ref().map(kinds).unwrap_or_default(),
        name: seen.name,
        words,
    }
}

/// Answers with the sets of one's own house.
pub async fn sets(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let is_lab = side_of(&person)? == Side::Lab;
    let seen = usual_sets::own_sets(&app, &person).await?;
    let taken_away = usual_sets::taken_away(&app, person.party_id()).await?;
    let may_keep = person.may(Permission::KeepUsual);
    let frame = Frame::new(&app, &person, "Usual values", "/usual");
    page(&SetsPage {
        frame: frame.done(query.text("done")),
        is_lab,
        taken_away,
        may_make: may_keep && (!is_lab || seen.is_empty()),
        sets: seen.into_iter().map(|one| row(one, is_lab)).collect(),
        who: who_not(may_keep),
    })
}

/// Why this person keeps none; empty for whoever does.
fn who_not(may_keep: bool) -> &'static str {
    match may_keep {
        true => "",
        false => why_not(Permission::KeepUsual),
    }
}

/// The page of a set that is yet to be made.
#[derive(Template)]
#[template(path = "usual_new.html")]
pub struct NewSetPage {
    pub frame: Frame,
    pub form: UsualSetForm,
}

fn new_page(app: &App, person: &Person, tried: &Tried) -> Result<NewSetPage, WebError> {
    Ok(NewSetPage {
        frame: Frame::new(app, person, "New set of usual values", "/usual"),
        form: UsualSetForm::new(app, person, "/usual/new".to_owned(), None, tried)?,
    })
}

/// Answers with the form of a new set.
pub async fn new(State(app): State<App>, SignedIn(person): SignedIn) -> Result<Response, WebError> {
    page(&new_page(&app, &person, &Tried::default())?)
}

/// Makes the set, or gives the form back with its messages.
pub async fn make(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let typed = typed_set(&person, &form)?;
        usual_sets::make(&app, &person, &typed, &key).await
    };
    let (status, tried) = match done.await {
        Ok(id) => {
            return Ok(see_other(
                &Done::Usual.at(&format!("/usual/{}", encode(&id))),
            ));
        }
        Err(error) => Tried::of(form.0, error)?,
    };
    page_with(status, &new_page(&app, &person, &tried)?)
}
