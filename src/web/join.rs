//! Opening a one-time link.

use super::error::WebError;
use super::extract::{At, Typed};
use super::field::{FieldView, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::sign_in::with_cookie;
use super::typed_form::TypedForm;
use crate::app::join::{self, JoinForm, Offer};
use crate::app::{App, AppError};
use crate::domain::people::party::Role;
use crate::domain::values::fault::Fault;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// What a one-time link offers, and the form that takes it.
#[derive(Template)]
#[template(path = "join.html")]
pub struct JoinPage {
    pub frame: Frame,
    pub offer: String,
    pub fields: Vec<FieldView>,
}

impl JoinPage {
    /// The form as typed; a dentist is asked for a licence too.
    pub fn new(offer: &Offer, typed: &TypedForm, faults: &[Fault]) -> JoinPage {
        let role = offer.invite.role;
        let place = offer.party.as_ref().map_or_else(
            || "this installation".to_owned(),
            |party| party.name.clone(),
        );
        let field = |spec| FieldView::under(spec, "");
        let mut fields = vec![
            field(JoinForm::name()).autocomplete("name"),
            field(JoinForm::login()).autocomplete("username"),
            field(JoinForm::password()),
            field(JoinForm::password_again()),
        ];
        if role == Role::Dentist {
            fields.insert(1, field(JoinForm::licence()).needed());
        }
        JoinPage {
            frame: Frame::bare("Welcome"),
            offer: format!("You will be {} at {place}.", role.shown()),
            fields: fill(fields, typed, faults),
        }
    }
}

/// Answers with the offer, while the link is good.
pub async fn form(State(app): State<App>, At(secret): At<String>) -> Result<Response, WebError> {
    let offer = join::offer(&app, &secret).await?;
    let typed = TypedForm::from([("name".to_owned(), offer.invite.name.clone())]);
    page(&JoinPage::new(&offer, &typed, &[]))
}

/// Makes the account and signs it in.
pub async fn enter(
    State(app): State<App>,
    At(secret): At<String>,
    form: Typed,
) -> Result<Response, WebError> {
    let done = async { join::join(&app, &secret, &form.read()?).await };
    match done.await {
        Ok(session) => Ok(with_cookie(&app, see_other("/"), &session)),
        Err(AppError::Invalid(faults)) => {
            let offer = join::offer(&app, &secret).await?;
            page_with(
                StatusCode::UNPROCESSABLE_ENTITY,
                &JoinPage::new(&offer, &form.0, &faults),
            )
        }
        Err(other) => Err(other.into()),
    }
}
