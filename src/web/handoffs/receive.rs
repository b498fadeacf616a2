//! The forms of a handoff's page: the receipt, the carrier's pick-up, and taking back.

use super::handoff_page::{HandoffPage, handoff_page};
use crate::app::{pick_up, receive, take_back};
use crate::domain::custody::Wanted;
use crate::domain::custody::forms::ExtraForm;
use crate::domain::form::Form;
use crate::domain::values::ids::{CaseNumber, HandoffId};
use crate::web::done::Done;
use crate::web::error::WebError;
use crate::web::extract::{On, Typed};
use crate::web::form_page::{Act, FormPage, Onward};
use crate::web::frame::{Frame, page_with};
use crate::web::scan;
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use axum::response::Response;

/// The tag of an item in hand, in the address that its QR code leads to.
const HERE: &str = "here";

impl FormPage for HandoffPage {
    type At = HandoffId;

    fn says_done(id: &HandoffId) -> String {
        format!("/handoffs/{id}")
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<HandoffId>, tried: &Tried) -> Result<HandoffPage, WebError> {
        let (work, handoff) = receive::see(&on.app, &on.person, &on.at).await?;
        handoff_page(&on.app, &on.person, &work, &handoff, tried)
    }
}

/// Shows a handoff to either side of its case; an item that the address names is ticked as by a scan.
pub async fn receive_form(on: On<HandoffId>) -> Result<Response, WebError> {
    let here = on.query.text(HERE);
    if here.is_empty() {
        return HandoffPage::show(on).await;
    }
    let typed = TypedForm::from([(scan::FIELD.to_owned(), here.to_owned())]);
    scanned_receipt(&on, typed).await
}

/// Carries out what is about a handoff, and leads back to its case.
async fn post<F, T>(
    on: On<HandoffId>,
    form: Typed,
    act: T,
    done: Done,
) -> Result<Response, WebError>
where
    F: Form + Send + Sync,
    T: for<'a> Act<'a, HandoffId, F, Made = CaseNumber>,
{
    let to_case = |_: &Typed, _: &F, number: CaseNumber| Onward::To(done.on_case(&number));
    HandoffPage::post_then(on, form, act, to_case).await
}

/// Receives it and leads back to the case; a scan only ticks its item. Otherwise the form with what is
/// wrong: 422 beside a field, 409 where a rule stands against it.
pub async fn receive(on: On<HandoffId>, form: Typed) -> Result<Response, WebError> {
    match scan::asked(&form.0) {
        Some(_) => scanned_receipt(&on, form.0).await,
        None => post(on, form, receive::receive, Done::Received).await,
    }
}

/// Enters that the carrier has taken what was packed.
pub async fn pick_it_up(on: On<HandoffId>, form: Typed) -> Result<Response, WebError> {
    post(on, form, pick_up::pick_up, Done::PickedUp).await
}

/// Takes back what nobody has received, by the side that packed it.
pub async fn take_it_back(on: On<HandoffId>, form: Typed) -> Result<Response, WebError> {
    post(on, form, take_back::take_back, Done::Recorded).await
}

/// Ticks the scanned item as being in hand and shows the form again; nothing is received.
async fn scanned_receipt(on: &On<HandoffId>, mut typed: TypedForm) -> Result<Response, WebError> {
    let (app, person) = (&on.app, &on.person);
    let (work, handoff) = receive::see(app, person, &on.at).await?;
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
    let foreign = receive::came_along(&work, &scan.value);
    let is_described = typed
        .get(ExtraForm::foreign().key)
        .is_some_and(|text| !text.is_empty());
    if let Some(code) = foreign.filter(|_| scan.message.is_some() && !is_described) {
        typed.insert(ExtraForm::foreign().key.to_owned(), code.to_string());
    }
    let mut view = handoff_page(app, person, &work, &handoff, &Tried::shown(typed))?;
    let status = scan.status();
    view.scan = scan;
    page_with(status, &view)
}
