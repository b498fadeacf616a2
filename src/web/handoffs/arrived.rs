//! The address that stands on a parcel: for its receiver the receipt, for anybody else whom it belongs to.

use crate::app::{App, AppError, Person, receive};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Party;
use crate::domain::values::ids::HandoffId;
use crate::web::error::WebError;
use crate::web::extract::At;
use crate::web::frame::{Frame, page, see_other};
use crate::web::guard::visitor;
use askama::Template;
use axum::extract::State;
use axum::http::{Extensions, HeaderMap};
use axum::response::Response;

/// What a parcel is and whom to ask, for somebody without an account: nothing of the case.
#[derive(Template)]
#[template(path = "parcel.html")]
pub struct ParcelPage {
    pub frame: Frame,
    /// Name, lines of the address and telephone of each house: the receiver, and the sender.
    pub to: (String, Vec<String>),
    pub from: (String, Vec<String>),
}

fn house(party: &Party) -> (String, Vec<String>) {
    let telephone = Some(&party.telephone).filter(|number| !number.is_empty());
    let telephone = telephone.map(|number| format!("Telephone {number}"));
    let lines = party.address.lines().map(str::to_owned);
    (party.name.clone(), lines.chain(telephone).collect())
}

/// Whether the handoff is of this person's house. That something of it is not as the record says, its houses are told.
async fn is_led_there(app: &App, person: &Person, id: &HandoffId) -> Result<bool, AppError> {
    match receive::see(app, person, id).await {
        Ok(_) => Ok(person.may(Permission::HandleItems)),
        Err(refused @ AppError::Refused(_)) => Err(refused),
        Err(_) => Ok(false),
    }
}

/// Leads whoever has an account of one of the houses to the handoff; tells everybody else where it goes.
pub async fn arrived(
    State(app): State<App>,
    headers: HeaderMap,
    extensions: Extensions,
    At(id): At<HandoffId>,
) -> Result<Response, WebError> {
    let id = HandoffId::new(id.as_str().to_lowercase());
    if let Some(person) = visitor(&app, &headers, &extensions).await?
        && is_led_there(&app, &person, &id).await?
    {
        return Ok(see_other(&format!("/handoffs/{id}")));
    }
    let (from, to) = receive::houses(&app, &id).await?;
    page(&ParcelPage {
        frame: Frame::bare("A parcel on its way"),
        to: house(&to),
        from: house(&from),
    })
}
