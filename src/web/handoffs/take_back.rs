//! Taking back what nobody has received.

use super::answer::answer;
use crate::app::{App, take_back};
use crate::domain::custody::forms::TakeBackForm;
use crate::domain::values::ids::HandoffId;
use crate::web::error::WebError;
use crate::web::extract::{At, Signed, Typed};
use axum::extract::State;
use axum::response::Response;

/// Takes back what nobody has received, by the side that packed it.
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
    let done = done.await;
    answer(&app, &person, &id, form, done, "recorded").await
}
