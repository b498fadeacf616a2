//! Work that another laboratory has passed on to one's own: the list, and one of them with all that is told of it.

use super::files::{answered_words, scan_line};
use super::forms::{PassForm, PassInput, PlacedItem, ask_form, mistake_form, move_form};
use crate::app::authorization;
use crate::app::custody_words::{title_and_tag, where_passed_to_us};
use crate::app::passed_to_us::{self, PassedToUs};
use crate::app::{App, AppError, Person, pass_questions};
use crate::domain::custody::forms::{ITEMS, PassAskForm, PassMistakeForm, PassMoveForm};
use crate::domain::custody::{CaseStep, Description, Offers, PassLeg, PassQuestion};
use crate::domain::form::{FieldSet, Form};
use crate::domain::people::access::Permission;
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::{day_in_words, days_off};
use crate::domain::values::words::capitalised;
use crate::web::done::Done;
use crate::web::entry::{Unsaved, instead, unsaved_words};
use crate::web::error::WebError;
use crate::web::extract::{On, SignedIn, Typed};
use crate::web::form_page::{FormPage, refuse_of_another};
use crate::web::frame::{Frame, page, pdf};
use crate::web::keys::SHOWN_TO;
use crate::web::pictures::PictureRow;
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

/// What is passed on to this laboratory.
#[derive(Template)]
#[template(path = "passed_to_us.html")]
pub struct PassedListPage {
    pub frame: Frame,
    pub lines: Vec<PassedLine>,
    pub unread: usize,
}

/// What one's own laboratory has asked about it.
pub struct PassAskedView {
    pub id: String,
    pub text: String,
    pub by: String,
    pub reply: Option<(String, String)>,
    pub may_take_back: bool,
}

/// One piece of work that is passed on to it.
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
    pub things: Vec<PlacedItem>,
    /// Whether the authorisation is open to this laboratory.
    pub is_authorized: bool,
    /// Whether the sheet and what shows its things are, too.
    pub is_open: bool,
    /// Pictures of them, and scans with the words of each.
    pub pictures: Vec<PictureRow>,
    pub scans: Vec<(String, String)>,
    pub asked: Vec<PassAskedView>,
    pub forms: Vec<PassForm>,
    pub way: Vec<Description>,
    pub revision: i64,
    pub post_key: String,
}

fn when(one: &PassedToUs, today: Date) -> String {
    match &one.pass.ended {
        Some((at, _)) => format!("ended on {}", at.in_words()),
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
        when: format!("{}{}", when(one, today), answered_words(one)),
        caution: match one.pass.is_open() {
            true => one.cautions().join(" "),
            false => String::new(),
        },
        is_open: one.pass.is_open(),
    }
}

/// Answers with all that is passed on to this house.
pub async fn list(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    let today = person.moment(app.outside.now_ms()).date();
    let list = passed_to_us::list(&app, &person).await?;
    page(&PassedListPage {
        frame: Frame::new(&app, &person, "Passed on to you", ""),
        lines: list.all.iter().map(|one| line(one, today)).collect(),
        unread: list.unread,
    })
}

/// Everything that can be typed on this page.
fn sets_of_forms() -> Vec<FieldSet> {
    [
        PassMoveForm::field_sets(),
        PassAskForm::field_sets(),
        PassMistakeForm::field_sets(),
    ]
    .concat()
}

/// A question of one's own laboratory, the newest first.
fn asked(one: &PassedToUs, offers: &Offers<'_>, may: bool) -> Vec<PassAskedView> {
    let view = |asked: &PassQuestion| PassAskedView {
        id: asked.event.to_string(),
        text: asked.text.clone(),
        by: format!("{} on {}", asked.by, asked.at.in_words()),
        reply: asked.reply.as_ref().map(|reply| {
            let how = if reply.taken_back {
                "Taken back"
            } else {
                "Answered"
            };
            (
                format!("{how}: {} on {}", reply.by, reply.at.in_words()),
                reply.text.clone(),
            )
        }),
        may_take_back: may && offers.has(CaseStep::TakeBackPass(asked)),
    };
    one.pass.questions.iter().rev().map(view).collect()
}

/// What was typed of each thing that is passed on and is not stored, with the name of the thing.
fn unsaved_of_things(one: &PassedToUs, typed: &TypedForm) -> Vec<(String, String)> {
    let (work, items) = (&one.work, &one.pass.items);
    let sets = sets_of_forms();
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
    let input = PassInput {
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
    let mut forms: Vec<PassForm> = Vec::new();
    if may {
        forms.extend(ways.filter_map(|leg| move_form(&input, pass, *leg)));
        if offers.has(CaseStep::AskPass(pass)) {
            let mut ask = ask_form(&input);
            let opened_by = person.account.id.to_string();
            ask.hidden.push((SHOWN_TO, opened_by));
            forms.push(ask);
        }
        forms.extend(mistake_form(&input, pass));
    }
    let place = |tag: &Tag| PlacedItem::of(work, tag, &where_passed_to_us(work, tag));
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
            format!(
                "{} on {}, {}.",
                pass.by,
                pass.at.in_words(),
                pass.arches.shown()
            ),
            format!("{}.", capitalised(&when(one, now.date()))),
        ],
        cautions: one.cautions(),
        refusals,
        unsaved: Unsaved {
            instead: instead::OF_WORK_PASSED_ON,
            texts: match is_over {
                true => unsaved_of_things(one, &tried.typed),
                false => Vec::new(),
            },
        },
        things: pass.items.iter().map(place).collect(),
        is_authorized: one.is_authorized(now.date()),
        is_open: one.is_open_to_us(),
        pictures: (one.pictures().map(|shown| PictureRow::of(work, shown))).collect(),
        scans: one.scans().map(scan_line).collect(),
        asked: match one.is_over() {
            true => Vec::new(),
            false => asked(one, &offers, may),
        },
        forms,
        way: one.way(),
        revision: pass.revision,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for PassedOnePage {
    type At = EventId;

    fn says_done(event: &EventId) -> String {
        format!("/passed/{event}")
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    fn refuse(on: &On<EventId>, form: &Typed) -> Result<(), AppError> {
        refuse_of_another(&on.person, form)
    }

    async fn draw(on: &On<EventId>, tried: &Tried) -> Result<PassedOnePage, WebError> {
        let one = passed_to_us::see(&on.app, &on.person, &on.at).await?;
        one_page(&on.app, &on.person, &one, tried)
    }
}

/// Answers with one of them.
pub async fn one(on: On<EventId>) -> Result<Response, WebError> {
    PassedOnePage::show(on).await
}

/// Enters that its things have come, or have gone back.
pub async fn moved(on: On<EventId>, form: Typed) -> Result<Response, WebError> {
    PassedOnePage::post(on, form, passed_to_us::moved, Done::PassMoved).await
}

/// Asks the laboratory that has passed it on.
pub async fn ask(on: On<EventId>, form: Typed) -> Result<Response, WebError> {
    PassedOnePage::post(on, form, pass_questions::ask, Done::PassAsked).await
}

/// Takes a question of one's own back.
pub async fn take_back(on: On<EventId>, form: Typed) -> Result<Response, WebError> {
    PassedOnePage::post(on, form, pass_questions::take_back, Done::TakenBack).await
}

/// Withdraws an entry of one's own that was a mistake.
pub async fn withdraw(on: On<EventId>, form: Typed) -> Result<Response, WebError> {
    PassedOnePage::post(on, form, pass_questions::withdraw, Done::PassWithdrawn).await
}

/// The authorisation as a paper.
pub async fn paper(on: On<EventId>) -> Result<Response, WebError> {
    let bytes = passed_to_us::authorization_pdf(&on.app, &on.person, &on.at).await?;
    Ok(pdf("authorization.pdf", bytes))
}

/// The sheet of the revision that it is to be done to.
pub async fn sheet(on: On<EventId>) -> Result<Response, WebError> {
    let bytes = passed_to_us::sheet_pdf(&on.app, &on.person, &on.at).await?;
    Ok(pdf("sheet.pdf", bytes))
}

/// Its front as a picture.
pub async fn front(on: On<EventId>) -> Result<Response, WebError> {
    let picture = passed_to_us::front(&on.app, &on.person, &on.at).await?;
    let kind = HeaderValue::from_static("image/svg+xml");
    Ok(([(header::CONTENT_TYPE, kind)], picture).into_response())
}
