//! Taking back what never left.

use super::handoff_page::handoff_page;
use crate::app::{App, receive, take_back};
use crate::domain::custody::forms::TakeBackForm;
use crate::domain::values::ids::HandoffId;
use crate::web::error::{FormErrors, WebError};
use crate::web::extract::{At, Signed, Typed};
use crate::web::frame::{page_with, see_other};
use axum::extract::State;
use axum::response::Response;

pub async fn take_it_back(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<HandoffId>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: TakeBackForm = form.read()?;
        take_back::take_back(&app, &person, &id, &command, &key).await
    };
    let back = match done.await {
        Ok(number) => {
            return Ok(see_other(&format!(
                "/cases/{}?done=recorded",
                number.as_str()
            )));
        }
        Err(error) => FormErrors::of(error)?,
    };
    let (work, handoff) = receive::see(&app, &person, &id).await?;
    page_with(
        back.status,
        &handoff_page(
            &app,
            &person,
            &work,
            &handoff,
            &form.0,
            &back.faults,
            back.refusals,
        )?,
    )
}
