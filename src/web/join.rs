//! Opening a one-time link.

use super::error::WebError;
use super::extract::{At, Typed};
use super::field::{FieldView, Input, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::sign_in::with_cookie;
use super::typed_form::TypedForm;
use crate::app::join::{self, Offer};
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
        let mut fields = vec![
            FieldView::text("name", "Your name, as it is to be printed").needed().autocomplete("name"),
            FieldView::text("login", "Sign-in name")
                .hint("3 to 40 letters, digits, dots, hyphens. You choose it.")
                .needed()
                .autocomplete("username"),
            FieldView::new(Input::Password, "password", "Password")
                .hint("At least 12 characters. A short sentence is easy to remember and hard to guess.")
                .needed()
                .autocomplete("new-password"),
            FieldView::new(Input::Password, "password_again", "The same password again")
                .needed()
                .autocomplete("new-password"),
        ];
        if role == Role::Dentist {
            let licence = FieldView::text("licence", "Your licence number")
                .hint("It is printed on every prescription that you sign.")
                .needed();
            fields.insert(1, licence);
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
    match join::join(&app, &secret, &form.0).await {
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
