//! Receiving.

use super::answer::answer;
use super::handoff_page::handoff_page;
use crate::app::{App, Person, receive};
use crate::domain::custody::Wanted;
use crate::domain::custody::forms::{ExtraForm, ReceiptForm};
use crate::domain::values::ids::{Code, HandoffId};
use crate::web::error::WebError;
use crate::web::extract::{At, Query, Signed, Typed};
use crate::web::frame::{page, page_with};
use crate::web::scan;
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use axum::extract::State;
use axum::response::Response;

/// The tag of an item in hand, in the address that its QR code leads to.
const HERE: &str = "here";

/// Shows a handoff to either side of its case; an item that the address names is ticked as by a scan.
pub async fn receive_form(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<HandoffId>,
    query: Query,
) -> Result<Response, WebError> {
    let here = query.text(HERE);
    if !here.is_empty() {
        let typed = TypedForm::from([(scan::FIELD.to_owned(), here.to_owned())]);
        return scanned_receipt(&app, &person, &id, typed).await;
    }
    let (work, handoff) = receive::see(&app, &person, &id).await?;
    let mut view = handoff_page(&app, &person, &work, &handoff, &Tried::default())?;
    view.frame = view.frame.done(query.text("done"));
    page(&view)
}

/// Receives it and leads back to the case; a scan only ticks its item. Otherwise the form with what is
/// wrong: 422 beside a field, 409 where a rule stands against it.
pub async fn receive(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<HandoffId>,
    form: Typed,
) -> Result<Response, WebError> {
    if scan::asked(&form.0).is_some() {
        return scanned_receipt(&app, &person, &id, form.0).await;
    }
    let key = form.key()?;
    let done = async {
        let command: ReceiptForm = form.read()?;
        receive::receive(&app, &person, &id, &command, &key).await
    };
    let done = done.await;
    answer(&app, &person, &id, form, done, "received").await
}

/// Ticks the scanned item as being in hand and shows the form again; nothing is received.
async fn scanned_receipt(
    app: &App,
    person: &Person,
    id: &HandoffId,
    mut typed: TypedForm,
) -> Result<Response, WebError> {
    let (work, handoff) = receive::see(app, person, id).await?;
    let sent = scan::owned(handoff.sent.iter().map(|sent| &sent.tag));
    let outstanding = scan::owned(handoff.outstanding());
    let wanted = Wanted::ToReceive {
        sent: &sent,
        outstanding: &outstanding,
    };
    let mut scan = scan::take(app, person, &work, wanted, &mut typed, scan::here_tick).await?;
    let left = outstanding
        .iter()
        .filter(|tag| !typed.contains_key(&scan::here_key(tag)));
    scan.said = scan.said.map(|said| match left.count() {
        0 => format!("{said} All are in hand."),
        left => format!("{said} Still to scan: {left}."),
    });
    // A code that is none of this handoff is the code of what came along; this case's own number says nothing.
    let is_own = |code: &Code| code.as_str() == work.case.number.as_str();
    let foreign = Code::parse_any(&scan.value).ok();
    let foreign = foreign.filter(|code| !is_own(code));
    let is_told = typed
        .get(ExtraForm::foreign().key)
        .is_some_and(|text| !text.is_empty());
    if let Some(code) = foreign.filter(|_| scan.message.is_some() && !is_told) {
        typed.insert(ExtraForm::foreign().key.to_owned(), code.to_string());
    }
    let mut view = handoff_page(app, person, &work, &handoff, &Tried::shown(typed))?;
    let status = scan.status();
    view.scan = scan;
    page_with(status, &view)
}
