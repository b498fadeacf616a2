//! Work that another laboratory has passed on to one's own: the list, and one of them with all that is told of it.

use super::forms::{Input, PassForm, ThingPlace, move_form};
use crate::app::authorization;
use crate::app::custody_words::{passed_words, title_and_tag};
use crate::app::passed_to_us::{self, PassedToUs};
use crate::app::{App, AppError, Person};
use crate::domain::custody::forms::{ITEMS, PassMoveForm};
use crate::domain::custody::{Description, Holder, PassLeg};
use crate::domain::form::Form;
use crate::domain::people::access::Permission;
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::{day_in_words, days_off};
use crate::domain::values::words::capitalised;
use crate::web::entry::{Unsaved, instead, unsaved_words};
use crate::web::error::WebError;
use crate::web::extract::{At, Query, Signed, Typed};
use crate::web::frame::{Frame, page, page_with, pdf, see_other};
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use askama::Template;
use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use time::Date;

/// A line of the list.
pub struct PassedLine {
    pub path: String,
    pub case: String,
    pub lab: String,
    pub task: String,
    /// When it is wanted back, or that it is over.
    pub when: String,
    /// What stands against working on it; empty for most.
    pub caution: String,
    pub is_open: bool,
}

#[derive(Template)]
#[template(path = "passed_to_us.html")]
pub struct PassedListPage {
    pub frame: Frame,
    pub lines: Vec<PassedLine>,
}

#[derive(Template)]
#[template(path = "passed_one.html")]
pub struct PassedOnePage {
    pub frame: Frame,
    pub path: String,
    pub title: String,
    pub case: String,
    pub lab: String,
    pub telephone: String,
    pub task: String,
    pub words: Vec<String>,
    /// What stands against working on it; empty for most.
    pub cautions: Vec<String>,
    pub refusals: Vec<String>,
    pub unsaved: Unsaved,
    pub things: Vec<ThingPlace>,
    pub forms: Vec<PassForm>,
    pub way: Vec<Description>,
    pub revision: i64,
    pub post_key: String,
}

fn when(one: &PassedToUs, today: Date) -> String {
    match &one.pass.ended {
        Some((at, _)) => format!("ended on {at}"),
        None => format!(
            "wanted back {}, {}",
            day_in_words(one.pass.wanted, today),
            days_off(one.pass.wanted, today)
        ),
    }
}

fn line(one: &PassedToUs, today: Date) -> PassedLine {
    PassedLine {
        path: format!("/passed/{}", one.pass.event),
        case: one.work.case.number.to_string(),
        lab: one.work.lab.name.clone(),
        task: one.pass.task.clone(),
        when: when(one, today),
        caution: match one.pass.is_open() {
            true => cautions(one).join(" "),
            false => String::new(),
        },
        is_open: one.pass.is_open(),
    }
}

/// Answers with all that is passed on to this house.
pub async fn list(State(app): State<App>, Signed(person): Signed) -> Result<Response, WebError> {
    let today = person.moment(app.outside.now_ms()).date();
    let all = passed_to_us::list(&app, &person).await?;
    page(&PassedListPage {
        frame: Frame::new(&app, &person, "Passed on to you", ""),
        lines: all.iter().map(|one| line(one, today)).collect(),
    })
}

/// What stands against working on it.
fn cautions(one: &PassedToUs) -> Vec<String> {
    let (work, pass, lab) = (&one.work, &one.pass, &one.work.lab.name);
    let mut words = Vec::new();
    if !pass.is_open() {
        words.push(format!(
            "This is over: do not work on it. Ask {lab} if you have anything of it."
        ));
        return words;
    }
    if pass.revision < work.case.revision {
        words.push(format!(
            "Revision {} of the prescription is superseded: ask {lab} before you go on.",
            pass.revision
        ));
    }
    words.extend(one.held().into_iter().map(|why| {
        format!("Held: {why}. Make nothing more of it before the statement on that is signed; ask {lab}.")
    }));
    if let Some(halt) = &work.state.standstill {
        words.push(format!(
            "The work is {} since {}: make nothing more, and ask {lab}.",
            halt.halt.shown(),
            halt.since
        ));
    }
    if pass.is_refused() || pass.awaits_consent() {
        words.push(format!(
            "The office has not agreed to it: ask {lab} before you go on."
        ));
    }
    words
}

/// What was typed of each thing that is passed on and is not stored, with the name of the thing.
fn unsaved_of_things(one: &PassedToUs, typed: &TypedForm) -> Vec<(String, String)> {
    let (work, items) = (&one.work, &one.pass.items);
    let sets = PassMoveForm::field_sets();
    let is_of = |key: &str, tag: &Tag| key.starts_with(&format!("{}.", tag.as_str()));
    let part = |tag: Option<&Tag>| -> TypedForm {
        let own = typed.iter().filter(|(key, _)| match tag {
            Some(tag) => is_of(key, tag),
            None => !items.iter().any(|tag| is_of(key, tag)),
        });
        own.map(|(key, text)| (key.clone(), text.clone())).collect()
    };
    let mut words = Vec::new();
    for tag in items {
        let own = unsaved_words(&part(Some(tag)), &sets).into_iter();
        let title = title_and_tag(work, tag);
        words.extend(own.map(|(label, text)| (format!("{title}: {label}"), text)));
    }
    words.extend(unsaved_words(&part(None), &sets));
    words
}

fn one_page(
    app: &App,
    person: &Person,
    one: &PassedToUs,
    tried: &Tried,
) -> Result<PassedOnePage, WebError> {
    let (work, pass) = (&one.work, &one.pass);
    let now = person.moment(app.outside.now_ms());
    let offers = work.offers(app, person);
    let path = format!("/passed/{}", pass.event);
    let input = Input {
        app,
        work,
        offers: &offers,
        labs: &[],
        tried,
        today: now.date(),
        path: path.clone(),
    };
    let ways = PassLeg::ALL.iter().filter(|leg| leg.is_of_second_lab());
    let may = person.may(Permission::HandleItems);
    let forms: Vec<PassForm> = match may {
        true => ways
            .filter_map(|leg| move_form(&input, pass, *leg))
            .collect(),
        false => Vec::new(),
    };
    let place = |tag: &Tag| {
        let state = work.state.item(tag).filter(|state| state.is_there());
        let words = match state.map(|state| state.holder) {
            Some(Holder::Passed(place)) => passed_words(work, tag, place),
            Some(Holder::Lab) => format!("at {}", work.lab.name),
            _ => format!("no more at {}", work.lab.name),
        };
        ThingPlace::of(work, tag, &words)
    };
    let mut refusals = tried.refusals.clone();
    let of_all = tried.faults.iter().filter(|fault| fault.key == ITEMS);
    refusals.extend(of_all.map(|fault| fault.message.clone()));
    let is_over = !tried.typed.is_empty() && !forms.iter().any(|form| form.open);
    Ok(PassedOnePage {
        frame: Frame::new(app, person, "Passed on to you", ""),
        path,
        title: authorization::title(work, &pass.event),
        case: work.case.number.to_string(),
        lab: work.lab.name.clone(),
        telephone: work.lab.telephone.clone(),
        task: pass.task.clone(),
        words: vec![
            format!("{} on {}, {}.", pass.by, pass.at, pass.arches.shown()),
            format!("{}.", capitalised(&when(one, now.date()))),
        ],
        cautions: cautions(one),
        refusals,
        unsaved: Unsaved {
            instead: instead::OF_WORK_PASSED_ON,
            texts: match is_over {
                true => unsaved_of_things(one, &tried.typed),
                false => Vec::new(),
            },
        },
        things: pass.items.iter().map(place).collect(),
        forms,
        way: one.way(),
        revision: pass.revision,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

/// Answers with one of them.
pub async fn one(
    State(app): State<App>,
    Signed(person): Signed,
    At(event): At<EventId>,
    query: Query,
) -> Result<Response, WebError> {
    let one = passed_to_us::see(&app, &person, &event).await?;
    let mut shown = one_page(&app, &person, &one, &Tried::default())?;
    shown.frame = shown.frame.done(query.text("done"));
    page(&shown)
}

/// Enters that its things have come, or have gone back.
pub async fn moved(
    State(app): State<App>,
    Signed(person): Signed,
    At(event): At<EventId>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: PassMoveForm = form.read()?;
        passed_to_us::moved(&app, &person, &event, &command, &key).await
    };
    let (status, tried) = match done.await {
        Ok(()) => return Ok(see_other(&format!("/passed/{event}?done=pass_moved"))),
        Err(error) => Tried::of(form.0, error)?,
    };
    let one = passed_to_us::see(&app, &person, &event).await?;
    page_with(status, &one_page(&app, &person, &one, &tried)?)
}

/// The authorisation as a paper.
pub async fn paper(
    State(app): State<App>,
    Signed(person): Signed,
    At(event): At<EventId>,
) -> Result<Response, WebError> {
    let bytes = passed_to_us::authorization_pdf(&app, &person, &event).await?;
    Ok(pdf("authorization.pdf", bytes))
}

/// The sheet of the revision that it is to be done to.
pub async fn sheet(
    State(app): State<App>,
    Signed(person): Signed,
    At(event): At<EventId>,
) -> Result<Response, WebError> {
    let bytes = passed_to_us::sheet_pdf(&app, &person, &event).await?;
    Ok(pdf("sheet.pdf", bytes))
}

/// Its front as a picture.
pub async fn front(
    State(app): State<App>,
    Signed(person): Signed,
    At(event): At<EventId>,
) -> Result<Response, WebError> {
    let picture = passed_to_us::front(&app, &person, &event).await?;
    let kind = HeaderValue::from_static("image/svg+xml");
    Ok(([(header::CONTENT_TYPE, kind)], picture).into_response())
}
