//! The page of work that is passed on: each authorisation with where its things are and what can be said of it.

use super::forms::{PassForm, PassInput, PlacedItem, answer_form, end_form, move_form};
use super::pass_form::pass_form;
use crate::app::authorization;
use crate::app::custody_words::where_passed;
use crate::app::see_case::{CaseView, see};
use crate::app::{App, AppError, Person, passed_sheet, passing};
use crate::domain::custody::NOT_BEFORE_THE_OFFICE_AGREES;
use crate::domain::custody::forms::{EndPassForm, ITEMS, PassAnswerForm, PassMoveForm, PassOnForm};
use crate::domain::custody::{CaseStep, PassCaution, PassEnd, PassLeg, PassedWork};
use crate::domain::form::Form;
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::second_lab::Along;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::{day_in_words, days_off};
use crate::web::entry::{Unsaved, instead, unsaved_words};
use crate::web::error::WebError;
use crate::web::frame::Frame;
use crate::web::tried::Tried;
use askama::Template;

/// One authorisation as it stands.
pub struct PassRow {
    pub title: String,
    pub lab: String,
    pub paper: String,
    /// The sheet that this laboratory works from.
    pub sheet: String,
    pub is_open: bool,
    pub task: String,
    /// What is said of it, a sentence each.
    pub words: Vec<String>,
    /// The sentence that holds it up; empty for most.
    pub caution: String,
    /// Where each of its things is.
    pub things: Vec<PlacedItem>,
    pub forms: Vec<PassForm>,
}

/// What of a case is passed on, and the forms for it.
#[derive(Template)]
#[template(path = "passed.html")]
pub struct PassingPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub is_lab: bool,
    pub refusals: Vec<String>,
    pub unsaved: Unsaved,
    /// Why things that are passed on cannot go now.
    pub held_up: Vec<String>,
    pub rows: Vec<PassRow>,
    /// None where nothing can be passed on now.
    pub new: Option<PassForm>,
    /// Why the office agrees first; empty where it is told only.
    pub consent: String,
    pub post_key: String,
}

/// How it stands, a sentence each.
fn words(input: &PassInput<'_>, pass: &PassedWork) -> Vec<String> {
    let (today, lab) = (input.today, &input.work.lab.name);
    let mut words = vec![format!(
        "{} on {}, to revision {}, {}.",
        pass.by,
        pass.at.in_words(),
        pass.revision,
        pass.arches.shown()
    )];
    match &pass.ended {
        Some((at, PassEnd::Back)) => words.push(format!(
            "All of it is back at {lab} since {}.",
            at.in_words()
        )),
        Some((at, PassEnd::Ended)) => words.push(format!("Ended by {lab} on {}.", at.in_words())),
        Some((at, PassEnd::PassedAgain)) => {
            words.push(format!("Passed on again on {}.", at.in_words()))
        }
        None => words.push(format!(
            "Wanted back at {lab} on {}, {}.",
            day_in_words(pass.wanted, today),
            days_off(pass.wanted, today)
        )),
    }
    words.push(match (&pass.reply, pass.needs_consent) {
        (Some(reply), _) => format!(
            "{}: {}, on {}.",
            reply.by,
            reply.answer.shown(),
            reply.at.in_words()
        ),
        (None, true) if input.work.side == Side::Office => {
            "Not agreed to yet: a dentist of this office has to say whether it may be.".to_owned()
        }
        (None, true) => "The office has not agreed yet.".to_owned(),
        (None, false) => {
            "The office is told by this; it has not said anything to it yet.".to_owned()
        }
    });
    let note = pass.reply.as_ref().map(|reply| reply.note.clone());
    words.extend(
        note.filter(|note| !note.is_empty())
            .map(|note| format!("“{note}”")),
    );
    let signed = input.work.signed.of(pass.revision);
    if let Some((_, document)) = signed.filter(|_| pass.is_open()) {
        let along = Along::from(pass);
        words.push(passed_sheet::sees(&pass.to.name, along, document));
        words.push(passed_sheet::sees_not(along, document));
    }
    words
}

fn caution(input: &PassInput<'_>, pass: &PassedWork) -> String {
    let newest = input.work.case.revision;
    match pass.caution(newest) {
        None => String::new(),
        Some(PassCaution::Refused) => {
            "The office has said no: nothing more goes there, and what is there comes back."
                .to_owned()
        }
        Some(PassCaution::AwaitsConsent) => NOT_BEFORE_THE_OFFICE_AGREES.to_owned(),
        Some(PassCaution::Superseded) => format!(
            "{} works to revision {}, and revision {newest} is in force: the second lab has to hear of it.",
            pass.to.name, pass.revision
        ),
    }
}

fn pass_row(input: &PassInput<'_>, pass: &PassedWork) -> PassRow {
    let (work, offers) = (input.work, input.offers);
    let place = |tag: &Tag| PlacedItem::of(work, tag, &where_passed(work, tag));
    let mut forms = Vec::new();
    if pass.is_open() {
        let ways = PassLeg::ALL.iter();
        forms.extend(ways.filter_map(|leg| move_form(input, pass, *leg)));
        if pass.is_superseded(work.case.revision) && offers.has(CaseStep::PassAgain(pass)) {
            forms.insert(0, pass_form(input, Some(pass)));
        }
        if offers.has(CaseStep::AnswerPass(pass)) {
            forms.push(answer_form(input, pass));
        }
        if offers.has(CaseStep::EndPass(pass)) {
            forms.push(end_form(input, pass));
        }
    }
    PassRow {
        title: authorization::title(work, &pass.event),
        lab: pass.to.name.clone(),
        paper: format!("{}/{}/authorization.pdf", input.path, pass.event),
        sheet: format!("{}/{}/sheet.pdf", input.path, pass.event),
        is_open: pass.is_open(),
        task: pass.task.clone(),
        words: words(input, pass),
        caution: caution(input, pass),
        things: pass.items.iter().map(place).collect(),
        forms,
    }
}

/// The whole page.
pub async fn passing_page(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    tried: &Tried,
) -> Result<PassingPage, WebError> {
    let view: CaseView = see(app, person, number).await?;
    let work = &view.work;
    let labs = passing::other_labs(app, work).await?;
    let consent = passing::consent_asked(app, work, view.document());
    let offers = work.offers(app, person);
    let input = PassInput {
        app,
        work,
        offers: &offers,
        labs: &labs,
        tried,
        today: work.now(app).date(),
        path: format!("/cases/{}/passed", work.case.number.as_str()),
    };
    let is_lab = work.side == Side::Lab;
    let may = person.may(Permission::HandleItems);
    let can_pass =
        may && is_lab && passing::is_of_an_order(work) && !offers.to_pass_on().is_empty();
    let passes = work.passes();
    let mut rows: Vec<PassRow> = passes.map(|one| pass_row(&input, one)).collect();
    rows.sort_by_key(|row| !row.is_open);
    let new = can_pass.then(|| pass_form(&input, None));
    let mut refusals = tried.refusals.clone();
    let of_all = tried.faults.iter().filter(|fault| fault.key == ITEMS);
    refusals.extend(of_all.map(|fault| fault.message.clone()));
    let mut forms = rows.iter().flat_map(|row| &row.forms).chain(&new);
    let is_over = !tried.typed.is_empty()
        && !forms.any(|form| form.open && !input.tried(&form.hidden).typed.is_empty());
    let sets = [
        PassOnForm::field_sets(),
        PassAnswerForm::field_sets(),
        PassMoveForm::field_sets(),
        EndPassForm::field_sets(),
    ];
    Ok(PassingPage {
        frame: Frame::of_case(app, person, work, "Second laboratory")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        is_lab,
        refusals,
        unsaved: Unsaved {
            instead: instead::OF_THE_CASE,
            texts: match is_over {
                true => unsaved_words(&tried.typed, &sets.concat()),
                false => Vec::new(),
            },
        },
        held_up: match is_lab {
            true => passing::held_up(work, &offers),
            false => Vec::new(),
        },
        rows,
        new,
        consent: consent.map_or_else(String::new, |asked| asked.words()),
        post_key: input.app.outside.token().map_err(AppError::from)?,
    })
}
