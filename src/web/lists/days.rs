//! The days on which a house is closed, and the days that a lab takes for each stage.

use super::only::Only;
use crate::app::App;
use crate::domain::trade::lists::ListKind;
use crate::web::error::WebError;
use crate::web::extract::{At, Query, SignedIn, Typed, WithFile};
use axum::extract::State;
use axum::response::Response;

const CLOSED: Only = Only {
    kind: ListKind::ClosedDays,
    path: "/closed-days",
    title: "Closed days",
    intro: "The weekdays and the days on which you are closed. Also the latest hour at which a parcel or a request still counts for that day. Due days, insertions and checks are counted by the lists of both sides of a case.",
    nothing: "No list is in use: Saturday and Sunday count as closed, all of a day counts, and no holiday is known.",
    file: "closed-days",
};

const LAB: Only = Only {
    kind: ListKind::LabDays,
    path: "/lab-days",
    title: "Lab days",
    intro: "How many working days this laboratory takes for each stage, and the days that the carrier takes between office and lab. Offices are shown, from these days, when work can be back.",
    nothing: "No list is in use: days are counted as one laboratory has published them; for stages that it does not name, only the days of the carrier.",
    file: "lab-days",
};

/// Answers with the closed days of one's own house.
pub async fn closed_days(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    CLOSED.show(&app, &person, &query).await
}

/// Loads closed days, or takes those in force out.
pub async fn load_closed_days(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    sent: WithFile,
) -> Result<Response, WebError> {
    CLOSED.load(&app, &person, sent).await
}

/// Changes the closed days line by line.
pub async fn change_closed_days(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    CLOSED.change(&app, &person, form).await
}

/// Answers with one version of the closed days as a file.
pub async fn closed_days_csv(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(version): At<i64>,
) -> Result<Response, WebError> {
    CLOSED.csv(&app, &person, version).await
}

/// Answers with the lab's own days.
pub async fn lab_days(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    LAB.show(&app, &person, &query).await
}

/// Loads lab days, or takes those in force out.
pub async fn load_lab_days(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    sent: WithFile,
) -> Result<Response, WebError> {
    LAB.load(&app, &person, sent).await
}

/// Changes the lab days line by line.
pub async fn change_lab_days(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    LAB.change(&app, &person, form).await
}

/// Answers with one version of the lab days as a file.
pub async fn lab_days_csv(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(version): At<i64>,
) -> Result<Response, WebError> {
    LAB.csv(&app, &person, version).await
}
