//! The carrier's pick-up of what was packed.

use super::answer::answer;
use crate::app::{App, pick_up};
use crate::domain::custody::forms::PickUpForm;
use crate::domain::values::ids::HandoffId;
use crate::web::error::WebError;
use crate::web::extract::{At, Signed, Typed};
use axum::extract::State;
use axum::response::Response;

/// Enters that the carrier has taken what was packed.
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
    let done = done.await;
    answer(&app, &person, &id, form, done, "picked_up").await
}
