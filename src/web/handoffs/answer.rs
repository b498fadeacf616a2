//! What comes of a form on a handoff's page.

use super::handoff_page::handoff_page;
use crate::app::{App, AppError, Person, receive};
use crate::domain::values::ids::{CaseNumber, HandoffId};
use crate::web::error::WebError;
use crate::web::extract::Typed;
use crate::web::frame::{back_to_case, page_with};
use crate::web::tried::Tried;
use axum::response::Response;

/// Leads back to the case, which says `word`; or shows the page again with all that was typed: 422 with messages
/// beside the fields, 409 with what stands against it.
pub async fn answer(
    app: &App,
    person: &Person,
    id: &HandoffId,
    form: Typed,
    done: Result<CaseNumber, AppError>,
    word: &str,
) -> Result<Response, WebError> {
    let (status, tried) = match done {
        Ok(number) => return Ok(back_to_case(&number, word)),
        Err(error) => Tried::of(form.0, error)?,
    };
    let (work, handoff) = receive::see(app, person, id).await?;
    page_with(status, &handoff_page(app, person, &work, &handoff, &tried)?)
}
