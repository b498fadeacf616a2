//! The lab's mould list, for the lab itself and for the offices of its cases.

use super::list_page::{ListPage, from, in_force};
use super::only::Only;
use crate::app::{App, see_lists};
use crate::domain::trade::lists::ListKind;
use crate::domain::values::ids::CaseNumber;
use crate::web::error::WebError;
use crate::web::extract::{At, On, Query, SignedIn, WithFile};
use crate::web::frame::{Frame, page};
use axum::extract::State;
use axum::response::Response;

const MOULDS: Only = Only {
    kind: ListKind::Moulds,
    path: "/moulds",
    title: "Mould list",
    intro: "The moulds that this laboratory keeps. Offices whose cases name it see the list, and get hints from it while they write a prescription.",
    nothing: "No list is in use. Offices get no hints on moulds until one is loaded.",
    file: "mould-list",
};

/// Answers with the lab's own list.
pub async fn moulds(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    MOULDS.show(&app, &person, &query).await
}

/// Loads the list that was sent, or takes the one in force out.
pub async fn load_moulds(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    sent: WithFile,
) -> Result<Response, WebError> {
    MOULDS.load(&app, &person, sent).await
}

/// Answers with one version as a file.
pub async fn moulds_csv(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(version): At<i64>,
) -> Result<Response, WebError> {
    MOULDS.csv(&app, &person, version).await
}

/// The list of a case's lab, for reading only.
pub async fn moulds_of_case(on: On<CaseNumber>) -> Result<Response, WebError> {
    let (lab, seen) = see_lists::moulds_of_case(&on.app, &on.person, &on.at).await?;
    let case = format!("/cases/{}", on.at.as_str());
    let path = format!("{case}/moulds");
    let title = format!("Mould list of {}", lab.name);
    let frame = Frame::new(&on.app, &on.person, title, "");
    let shown = |seen| in_force(seen, &on.person, &path, from(&on.query));
    page(&ListPage {
        frame: frame.on_case(&on.app, &on.person, &on.at).await?,
        above: Some((case, format!("Case {}", on.at))),
        intro: "As the lab has loaded it. What is in the drawer may be ahead of the list, or behind it: ask where it matters.",
        refusals: Vec::new(),
        taken_away: see_lists::taken_away(&on.app, &lab.id, &[ListKind::Moulds]).await?,
        in_force: seen.as_ref().and_then(shown),
        nothing: "The lab has no list in use.",
        versions: Vec::new(),
        lines: None,
        form: None,
    })
}
