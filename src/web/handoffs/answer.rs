//! What comes of a form on a handoff's page.

use super::handoff_page::handoff_page;
use crate::app::{App, AppError, Person, receive};
use crate::domain::values::ids::{CaseNumber, HandoffId};
use crate::web::error::{FormErrors, WebError};
use crate::web::extract::Typed;
use crate::web::frame::{page_with, see_other};
use axum::response::Response;

/// Leads back to the case, which says `word`; or shows the page again with all that was typed: 422 with messages
/// beside the fields, 409 with what stands against it.
pub async fn answer(
    app: &App,
    person: &Person,
    id: &HandoffId,
    form: &Typed,
    done: Result<CaseNumber, AppError>,
    word: &str,
) -> Result<Response, WebError> {
    let back = match done {
        Ok(number) => {
            let path = format!("/cases/{}?done={word}", number.as_str());
            return Ok(see_other(&path));
        }
        Err(error) => FormErrors::of(error)?,
    };
    let (work, handoff) = receive::see(app, person, id).await?;
    let (typed, faults) = (&form.0, &back.faults);
    let view = handoff_page(app, person, &work, &handoff, typed, faults, back.refusals)?;
    page_with(back.status, &view)
}
