//! The office's shade guides.

use super::list_page::{ListPage, entries, from, in_force, versions};
use super::load_form::{LoadForm, Returned, goes_out, list_in, load_form, readable};
use crate::app::see_lists::PartyList;
use crate::app::{App, Person, load_list, see_lists};
use crate::domain::trade::lists::ListKind;
use crate::web::done::Done;
use crate::web::error::WebError;
use crate::web::extract::{At, At2, Query, SignedIn, WithFile, encode};
use crate::web::frame::{Frame, csv, page, page_with, see_other};
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// A guide in the list of guides.
pub struct GuideRow {
    pub href: String,
    pub name: String,
    pub kind: &'static str,
    pub words: String,
}

/// Lists of which an office has several.
const GUIDES: [ListKind; 2] = [ListKind::ToothGuide, ListKind::BaseGuide];

/// The office's guides, and the form for another.
#[derive(Template)]
#[template(path = "guides.html")]
pub struct GuidesPage {
    pub frame: Frame,
    pub refusals: Vec<String>,
    /// What is said of a guide that was taken away; empty for most.
    pub taken_away: &'static str,
    pub guides: Vec<GuideRow>,
    pub form: LoadForm,
}

async fn guides_page(
    app: &App,
    person: &Person,
    returned: &Returned,
) -> Result<GuidesPage, WebError> {
    let guides = see_lists::own_guides(app, person).await?;
    let row = |list: PartyList| GuideRow {
        href: format!("/guides/{}", encode(&list.id)),
        kind: list.kind.shown(),
        words: match list.entries {
            0 => "out of use".to_owned(),
            count => format!(
                "version {}, {}",
                list.version,
                entries(usize::try_from(count).unwrap_or_default())
            ),
        },
        name: list.name,
    };
    Ok(GuidesPage {
        frame: Frame::new(app, person, "Shade guides", "/guides"),
        refusals: returned.refusals.clone(),
        taken_away: see_lists::taken_away(app, person.party_id(), &GUIDES).await?,
        guides: guides.into_iter().map(row).collect(),
        form: load_form(
            app,
            returned,
            ListKind::ToothGuide,
            "/guides".to_owned(),
            None,
        )?,
    })
}

/// Answers with the office's guides.
pub async fn guides(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    page(&guides_page(&app, &person, &Returned::nothing()).await?)
}

/// Adds the guide that was sent; answers with its identifier.
async fn take_guide(app: &App, person: &Person, sent: &WithFile) -> Result<String, WebError> {
    let key = sent.form.key()?;
    readable(sent)?;
    Ok(load_list::add_guide(app, person, &sent.form.read()?, &key).await?)
}

/// Adds a guide, or gives the form back with its messages.
pub async fn add_guide(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    sent: WithFile,
) -> Result<Response, WebError> {
    match take_guide(&app, &person, &sent).await {
        Ok(id) => Ok(see_other(&Done::Loaded.at(&path_of(&id)))),
        Err(WebError::App(error)) => {
            let returned = Returned::of(error, sent.form)?;
            page_with(
                returned.status,
                &guides_page(&app, &person, &returned).await?,
            )
        }
        Err(other) => Err(other),
    }
}

async fn guide_page(
    app: &App,
    person: &Person,
    id: &str,
    query: Option<&Query>,
    returned: &Returned,
) -> Result<ListPage, WebError> {
    let seen = see_lists::own_guide(app, person, id).await?;
    let path = path_of(id);
    let done = query.map(|query| query.text("done")).unwrap_or_default();
    let (name, kind) = (&seen.list.name, seen.list.kind.shown());
    Ok(ListPage {
        frame: Frame::new(app, person, format!("{name}, {kind}"), "/guides").done(done),
        above: Some(("/guides".to_owned(), "Shade guides".to_owned())),
        intro: "The tabs of this guide as the office measured them. A reading on a prescription that names the guide is compared with them.",
        refusals: returned.refusals.clone(),
        taken_away: "",
        in_force: in_force(&seen, person, &path, query.map_or(0, from)),
        nothing: "This guide is out of use: no reading is compared with it.",
        versions: versions(&seen, person, Some(&path)),
        lines: None,
        form: Some(load_form(app, returned, seen.list.kind, path, Some(&seen))?),
    })
}

/// Answers with one guide.
pub async fn guide(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(id): At<String>,
    query: Query,
) -> Result<Response, WebError> {
    page(&guide_page(&app, &person, &id, Some(&query), &Returned::nothing()).await?)
}

fn path_of(id: &str) -> String {
    format!("/guides/{}", encode(id))
}

/// Loads the list that was sent, or takes the guide out of use; answers with what was done.
async fn take_version(
    app: &App,
    person: &Person,
    id: &str,
    sent: &WithFile,
) -> Result<Done, WebError> {
    let key = sent.form.key()?;
    if goes_out(&sent.form) {
        load_list::take_guide_out(app, person, id, &sent.form.read()?, &key).await?;
        return Ok(Done::Out);
    }
    // The columns of both kinds of guide are the same.
    let list = list_in(sent, ListKind::ToothGuide)?;
    load_list::load_guide(app, person, id, &list, &key).await?;
    Ok(Done::Loaded)
}

/// Does what the form asks for, or gives it back with its messages.
pub async fn load_guide(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(id): At<String>,
    sent: WithFile,
) -> Result<Response, WebError> {
    match take_version(&app, &person, &id, &sent).await {
        Ok(done) => Ok(see_other(&done.at(&path_of(&id)))),
        Err(WebError::App(error)) => {
            let returned = Returned::of(error, sent.form)?;
            let view = guide_page(&app, &person, &id, None, &returned).await?;
            page_with(returned.status, &view)
        }
        Err(other) => Err(other),
    }
}

/// Answers with one version as a file.
pub async fn guide_csv(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At2(id, version): At2<String, i64>,
) -> Result<Response, WebError> {
    let text = see_lists::guide_csv(&app, &person, &id, version).await?;
    Ok(csv(&format!("shade-guide-{version}.csv"), text))
}
