//! The carrier's pick-up of what was packed.

use super::handoff_page::handoff_page;
use crate::app::{App, pick_up, receive};
use crate::domain::custody::forms::PickUpForm;
use crate::domain::values::ids::HandoffId;
use crate::web::error::{FormErrors, WebError};
use crate::web::extract::{At, Signed, Typed};
use crate::web::frame::{page_with, see_other};
use axum::extract::State;
use axum::response::Response;

pub async fn pick_it_up(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<HandoffId>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: PickUpForm = form.read()?;
        pick_up::pick_up(&app, &person, &id, &command, &key).await
    };
    let back = match done.await {
        Ok(number) => {
            return Ok(see_other(&format!(
                "/cases/{}?done=picked_up",
                number.as_str()
            )));
        }
        Err(error) => FormErrors::of(error)?,
    };
    let (work, handoff) = receive::see(&app, &person, &id).await?;
    let view = handoff_page(
        &app,
        &person,
        &work,
        &handoff,
        &form.0,
        &back.faults,
        back.refusals,
    )?;
    page_with(back.status, &view)
}
