//! The lab's mould list, for the lab itself and for the offices of its cases.

use super::list_page::{ListPage, from, in_force, versions};
use super::load_form::{Returned, goes_out, list_in, load_form};
use crate::app::{App, Person, load_list, see_lists};
use crate::domain::people::access::Permission;
use crate::domain::trade::lists::ListKind;
use crate::domain::values::ids::CaseNumber;
use crate::web::error::WebError;
use crate::web::extract::{At, Query, Signed, WithFile};
use crate::web::frame::{Frame, csv, page, page_with, see_other};
use axum::extract::State;
use axum::response::Response;

async fn moulds_page(
    app: &App,
    person: &Person,
    query: Option<&Query>,
    returned: &Returned,
) -> Result<ListPage, WebError> {
    const PATH: &str = "/moulds";
    let seen = see_lists::own_moulds(app, person).await?;
    let done = query.map(|query| query.text("done")).unwrap_or_default();
    let mut form = load_form(
        app,
        returned,
        ListKind::Moulds,
        PATH.to_owned(),
        seen.as_ref(),
    )?;
    form.sure = form.sure.filter(|_| person.may(Permission::WithdrawMoulds));
    Ok(ListPage {
        frame: Frame::new(app, person, "Mould list", PATH).done(done),
        above: None,
        intro: "The moulds that this laboratory keeps. Offices whose cases name it see the list, and get hints from it while they write a prescription.",
        refusals: returned.refusals.clone(),
        in_force: seen
            .as_ref()
            .and_then(|seen| in_force(seen, person, PATH, query.map_or(0, from))),
        nothing: "No list is in use. Offices get no hints on moulds until one is loaded.",
        versions: seen
            .as_ref()
            .map(|seen| versions(seen, person, Some(PATH)))
            .unwrap_or_default(),
        form: Some(form),
    })
}

/// Answers with the lab's own list.
pub async fn moulds(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    page(&moulds_page(&app, &person, Some(&query), &Returned::nothing()).await?)
}

/// Loads the list that was sent, or takes the one in force out; answers with what was done.
async fn take_moulds(
    app: &App,
    person: &Person,
    sent: &WithFile,
) -> Result<&'static str, WebError> {
    let key = sent.form.key()?;
    if goes_out(&sent.form) {
        load_list::take_moulds_out(app, person, &sent.form.read()?, &key).await?;
        return Ok("out");
    }
    let list = list_in(sent, ListKind::Moulds)?;
    load_list::load_moulds(app, person, &list, &key).await?;
    Ok("loaded")
}

/// Does what the form asks for, or gives it back with its messages.
pub async fn load_moulds(
    State(app): State<App>,
    Signed(person): Signed,
    sent: WithFile,
) -> Result<Response, WebError> {
    match take_moulds(&app, &person, &sent).await {
        Ok(done) => Ok(see_other(&format!("/moulds?done={done}"))),
        Err(WebError::App(error)) => {
            let returned = Returned::of(error, sent.form)?;
            page_with(
                returned.status,
                &moulds_page(&app, &person, None, &returned).await?,
            )
        }
        Err(other) => Err(other),
    }
}

/// Answers with one version as a file.
pub async fn moulds_csv(
    State(app): State<App>,
    Signed(person): Signed,
    At(version): At<i64>,
) -> Result<Response, WebError> {
    let text = see_lists::moulds_csv(&app, &person, version).await?;
    Ok(csv(&format!("mould-list-{version}.csv"), text))
}

/// The list of a case's lab, for reading only.
pub async fn moulds_of_case(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let (lab, seen) = see_lists::moulds_of_case(&app, &person, &number).await?;
    let case = format!("/cases/{}", number.as_str());
    let path = format!("{case}/moulds");
    page(&ListPage {
        frame: Frame::new(&app, &person, format!("Mould list of {}", lab.name), ""),
        above: Some((case, format!("Case {number}"))),
        intro: "As the lab has loaded it. What is in the drawer may be ahead of the list, or behind it: ask where it matters.",
        refusals: Vec::new(),
        in_force: seen
            .as_ref()
            .and_then(|seen| in_force(seen, &person, &path, from(&query))),
        nothing: "The lab has no list in use.",
        versions: Vec::new(),
        form: None,
    })
}
