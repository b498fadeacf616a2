//! What was found wrong and is to be resolved, and the end of a case.

use super::done::Done;
use super::entry::{Unsaved, instead, unsaved};
use super::error::WebError;
use super::extract::{On, Typed};
use super::field::{FieldView, fields_under, fill};
use super::form_page::FormPage;
use super::frame::Frame;
use super::personal_data_check;
use super::tried::Tried;
use super::typed_form::TypedForm;
use crate::app::case_work::CaseWork;
use crate::app::{App, AppError, Person, close as closing, patient_wears, resolve_hold};
use crate::domain::custody::events::{MEANS_CLOSED, MEANS_RESOLVED};
use crate::domain::custody::forms::{CloseForm, ReopenForm, ResolveForm};
use crate::domain::custody::item::Item;
use crate::domain::custody::{CaseStep, Disposed, Ended, Hold, Trouble};
use crate::domain::form::Form;
use crate::domain::values::ids::{CaseNumber, Tag};
use askama::Template;
use axum::response::Response;

/// Something that is on hold.
pub struct HoldView {
    pub id: String,
    pub place: usize,
    pub words: String,
    pub since: String,
    pub detail: String,
    pub waiting: String,
    pub side: String,
    pub mine: bool,
    /// Ours too, but its form follows when some of the others are resolved: one page holds so many.
    pub later: bool,
    /// Its statement is signed, and it is still missing.
    pub is_found: bool,
    pub refusals: Vec<String>,
    pub fields: Vec<FieldView>,
}

/// Everything found wrong in a case: what is open, each with the form of its statement for the side that
/// has to answer, and how the rest ended.
#[derive(Template)]
#[template(path = "resolve.html")]
pub struct ResolvePage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    /// What stands against a statement whose form is not shown.
    pub refusals: Vec<String>,
    /// The statement that was typed for it.
    pub unsaved: Unsaved,
    pub open: Vec<HoldView>,
    pub ended: Vec<(String, &'static str)>,
    pub meaning: &'static str,
    pub post_key: String,
}

fn title_of(work: &CaseWork, tag: &Tag) -> String {
    let item = work.item(tag);
    item.map(Item::title).unwrap_or_default()
}

/// Scopes of the forms on one page: ids stand once.
const SCOPES: [&str; 8] = ["a-", "b-", "c-", "d-", "e-", "f-", "g-", "h-"];

/// What of a statement was typed and is not stored.
fn unsaved_statement(typed: &TypedForm) -> Unsaved {
    let texts = [*ResolveForm::reason(), *ResolveForm::done()];
    Unsaved {
        instead: instead::OF_THE_CASE,
        texts: unsaved(&fill(fields_under(&texts, ""), typed, &[])),
    }
}

/// The second laboratory that has not packed what did not come back from it.
fn still_at<'a>(work: &'a CaseWork, hold: &Hold) -> Option<&'a str> {
    let pass = work.left_behind_by(hold.tag.as_ref()?)?;
    Some(&pass.to.name)
}

fn hold_view(
    work: &CaseWork,
    (place, is_ours): (usize, bool),
    hold: &Hold,
    tried: &Tried,
) -> HoldView {
    let is_sent = tried
        .typed
        .get(ResolveForm::hold().key)
        .is_some_and(|id| *id == *hold.id);
    // What was typed belongs to the statement that was sent.
    let Tried {
        typed,
        faults,
        refusals,
    } = tried.only_if(is_sent);
    let mut specs = vec![*ResolveForm::reason(), *ResolveForm::done()];
    if hold.trouble == Trouble::Missing {
        specs.push(*ResolveForm::not_packed());
    }
    specs.push(*ResolveForm::password());
    let mut fields = fill(fields_under(&specs, ""), typed, faults);
    fields.extend(personal_data_check::tick_for(
        typed,
        &ResolveForm::field_sets(),
    ));
    let not_packed = ResolveForm::not_packed().key;
    for field in fields.iter_mut().filter(|field| field.key == not_packed) {
        if let Some(lab) = still_at(work, hold) {
            field.label = format!("It was never packed there: it is still at {lab}");
            field.hint = "Then it stands there, and can be handed to the carrier again.".into();
        }
    }
    for field in &mut fields {
        field.scope = SCOPES.get(place).copied().unwrap_or_default().into();
    }
    let waiting: Vec<String> = hold
        .waiting
        .iter()
        .map(|tag| format!("{} {tag}", title_of(work, tag)))
        .collect();
    HoldView {
        id: hold.id.to_string(),
        place,
        words: hold.words(&work.items),
        since: hold.since.in_words(),
        detail: hold.detail.clone(),
        waiting: if waiting.is_empty() {
            "nothing".to_owned()
        } else {
            waiting.join(", ")
        },
        side: work.party(hold.side).name.clone(),
        mine: is_ours && place < SCOPES.len(),
        later: is_ours && place >= SCOPES.len(),
        is_found: false,
        refusals: refusals.clone(),
        fields,
    }
}

fn resolve_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    holds: &[Hold],
    tried: &Tried,
) -> Result<ResolvePage, WebError> {
    let how = |hold: &Hold| match &hold.ended {
        Some(Ended::Resolved(_)) => {
            Some((hold.words(&work.items), "resolved by a signed statement"))
        }
        Some(Ended::TurnedUp) => Some((hold.words(&work.items), "it turned up")),
        Some(Ended::WrittenOff) => Some((hold.words(&work.items), "written off as lost")),
        None => None,
    };
    // Counted by side: what the other side has to answer takes no form away.
    let offers = work.offers(app, person);
    let mut own = 0;
    let mut open = Vec::new();
    for hold in holds.iter().filter(|hold| hold.is_open()) {
        let is_ours = offers.has(CaseStep::Resolve(hold));
        open.push(hold_view(work, (own, is_ours), hold, tried));
        own += usize::from(is_ours);
    }
    // A statement that came too late stands below; its form here asks for something else.
    let not_packed = tried.typed.get(ResolveForm::not_packed().key);
    let says_found = not_packed.is_some_and(|word| word == "yes");
    let of_found = tried.only_if(says_found);
    for hold in offers.to_find() {
        open.push(HoldView {
            is_found: true,
            ..hold_view(work, (own, true), hold, of_found)
        });
        own += 1;
    }
    // A hold that is resolved or not ours has no form to stand beside.
    let sent = tried.typed.get(ResolveForm::hold().key);
    let has_form = open.iter().any(|hold| {
        let is_its = hold.mine && Some(&hold.id) == sent;
        is_its && (says_found || !hold.is_found)
    });
    let mut refusals = Vec::new();
    if !has_form {
        refusals.clone_from(&tried.refusals);
        refusals.extend(tried.faults.iter().map(|fault| fault.message.clone()));
    }
    Ok(ResolvePage {
        refusals,
        unsaved: if has_form {
            Unsaved::default()
        } else {
            unsaved_statement(&tried.typed)
        },
        frame: Frame::of_case(app, person, work, "What was found wrong")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        open,
        ended: holds.iter().filter_map(how).collect(),
        meaning: MEANS_RESOLVED,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for ResolvePage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<ResolvePage, WebError> {
        let (work, holds) = resolve_hold::see(&on.app, &on.person, &on.at).await?;
        resolve_page(&on.app, &on.person, &work, &holds, tried)
    }
}

/// Shows what was found wrong.
pub async fn resolve_form(on: On<CaseNumber>) -> Result<Response, WebError> {
    ResolvePage::show(on).await
}

/// Signs a statement and leads back to the case, or shows its form with what is wrong.
pub async fn resolve(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    ResolvePage::post(on, form, resolve_hold::resolve, Done::Resolved).await
}

/// The end of a case: what became of each item, or what stands against closing; once closed, the form that
/// opens it again.
#[derive(Template)]
#[template(path = "close.html")]
pub struct ClosePage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub closed: bool,
    pub refusals: Vec<String>,
    pub undecided: Vec<String>,
    /// What other cases say of the same mouth.
    pub elsewhere: Vec<String>,
    pub ends: Vec<(String, String, &'static str)>,
    pub fields: Vec<FieldView>,
    pub meaning: &'static str,
    pub post_key: String,
}

fn close_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    tried: &Tried,
) -> Result<ClosePage, WebError> {
    let closed = work.case.closed;
    let offers = work.offers(app, person);
    let against = offers.against(if closed {
        CaseStep::Reopen
    } else {
        CaseStep::Close
    });
    let undecided: Vec<String> = against.into_iter().map(|one| one.sentence).collect();
    let (specs, sets) = if closed {
        (ReopenForm::FIELDS, ReopenForm::field_sets())
    } else {
        (CloseForm::FIELDS, CloseForm::field_sets())
    };
    let mut fields = fill(fields_under(specs, ""), &tried.typed, &tried.faults);
    // Asked only where it is the question.
    fields.retain(|field| field.key != CloseForm::nothing_made().key || closing::is_unmade(work));
    fields.extend(personal_data_check::tick_for(&tried.typed, &sets));
    let end = |one: &Disposed| {
        let title = title_of(work, &one.tag);
        (one.tag.to_string(), title, one.disposition.shown())
    };
    let mut refusals = tried.refusals.clone();
    refusals.retain(|sentence| !undecided.contains(sentence));
    Ok(ClosePage {
        frame: Frame::of_case(app, person, work, "The end of the case")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        closed,
        refusals,
        undecided,
        elsewhere: Vec::new(),
        ends: closing::ends(work).iter().map(end).collect(),
        fields,
        meaning: MEANS_CLOSED,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for ClosePage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<ClosePage, WebError> {
        let (work, _) = resolve_hold::see(&on.app, &on.person, &on.at).await?;
        let mut page = close_page(&on.app, &on.person, &work, tried)?;
        if !page.closed {
            let elsewhere = patient_wears::elsewhere(&on.app, &on.person, &work).await?;
            page.elsewhere = [elsewhere.sentences, elsewhere.besides].concat();
        }
        Ok(page)
    }
}

/// Shows the end of a case.
pub async fn close_form(on: On<CaseNumber>) -> Result<Response, WebError> {
    ClosePage::show(on).await
}

/// Closes the case and leads to it, or shows the form with what is wrong.
pub async fn close(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    ClosePage::post(on, form, closing::close, Done::Closed).await
}

/// Opens a closed case again and leads to it, or shows the form with what is wrong.
pub async fn reopen(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    ClosePage::post(on, form, closing::reopen, Done::Reopened).await
}
