//! Opening a one-time link.

use super::client::Visiting;
use super::cookies::entered;
use super::error::WebError;
use super::extract::{At, Typed};
use super::field::{FieldView, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::typed_form::TypedForm;
use crate::app::join::{self, JoinForm, Offer, WayInForm};
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
    /// The words on its button.
    pub button: &'static str,
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
        if let Some(account) = &offer.account {
            let fields = vec![
                field(WayInForm::password()),
                field(WayInForm::password_again()),
            ];
            return JoinPage {
                frame: Frame::bare("A new password"),
                offer: format!(
                    "A new password for {}, {} at {place}: the sign-in name is {}.",
                    account.name,
                    role.shown(),
                    account.login
                ),
                fields: fill(fields, typed, faults),
                button: "Take this password",
            };
        }
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
            button: "Make my account",
        }
    }
}

/// Answers with the offer, while the link is good.
pub async fn form(State(app): State<App>, At(secret): At<String>) -> Result<Response, WebError> {
    let offer = join::offer(&app, &secret).await?;
    let typed = TypedForm::from([(JoinForm::name().key.to_owned(), offer.invite.name.clone())]);
    page(&JoinPage::new(&offer, &typed, &[]))
}

/// Makes the account, or gives one its new password, and signs it in.
pub async fn enter(
    State(app): State<App>,
    At(secret): At<String>,
    Visiting(visit): Visiting,
    form: Typed,
) -> Result<Response, WebError> {
    let offer = join::offer(&app, &secret).await?;
    let done = async {
        match offer.account {
            Some(_) => join::new_password(&app, &secret, &form.read()?, &visit).await,
            None => join::join(&app, &secret, &form.read()?, &visit).await,
        }
    };
    let faults = match done.await {
        Ok(with) => return Ok(entered(app.settings.over_tls, see_other("/"), &with)),
        Err(AppError::Invalid(faults)) => faults,
        Err(other) => return Err(other.into()),
    };
    again(&join::offer(&app, &secret).await?, &form.0, &faults)
}

fn again(offer: &Offer, typed: &TypedForm, faults: &[Fault]) -> Result<Response, WebError> {
    let view = JoinPage::new(offer, typed, faults);
    page_with(StatusCode::UNPROCESSABLE_ENTITY, &view)
}
