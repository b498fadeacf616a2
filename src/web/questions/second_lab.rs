//! What a second laboratory asks, on the page of questions of the first: it answers, or asks the office in its own words.

use super::input::{QuestionsInput, scoped_by};
use crate::domain::custody::forms::PassReplyForm;
use crate::domain::custody::{CaseStep, Offers, PassQuestion, PassedWork};
use crate::domain::form::Form;
use crate::domain::people::access::Permission;
use crate::domain::values::moment::lasting;
use crate::web::field::FieldView;
use crate::web::personal_data_check::fields_of;
use askama::Template;

/// A question of a second laboratory.
pub struct SecondLabRow {
    pub id: String,
    pub lab: String,
    pub text: String,
    pub by: String,
    pub reply: Option<(String, String)>,
    /// Empty where it cannot be answered.
    pub fields: Vec<FieldView>,
}

/// All of them; empty for the office.
#[derive(Template)]
#[template(path = "partials/second_lab.html")]
pub struct SecondLabPart {
    pub path_number: String,
    pub rows: Vec<SecondLabRow>,
    pub post_key: String,
}

fn row(
    input: &QuestionsInput<'_>,
    offers: &Offers<'_>,
    (pass, one): (&PassedWork, &PassQuestion),
) -> SecondLabRow {
    let sent = input.tried.typed.get(PassReplyForm::pass_asked().key);
    let tried = input.tried.only_if(sent == Some(&one.event.to_string()));
    let may = input.person.may_now(Permission::HandleItems);
    let specs = [*PassReplyForm::pass_reply()];
    let sets = PassReplyForm::field_sets();
    let age = lasting(one.at, input.view.work.now(input.app));
    SecondLabRow {
        id: one.event.to_string(),
        lab: pass.to.name.clone(),
        text: one.text.clone(),
        by: match one.reply.is_none() {
            true => format!("{} on {}, open for {age}", one.by, one.at.in_words()),
            false => format!("{} on {}", one.by, one.at.in_words()),
        },
        reply: one.reply.as_ref().map(|reply| {
            let how = match reply.taken_back {
                true => "Taken back",
                false => "Answered",
            };
            let words = format!("{how}: {} on {}", reply.by, reply.at.in_words());
            (words, reply.text.clone())
        }),
        fields: match may && offers.has(CaseStep::ReplyPass(one)) {
            true => scoped_by(fields_of(&specs, &sets, tried), &one.event),
            false => Vec::new(),
        },
    }
}

/// What second laboratories have asked, the newest first; for the first laboratory alone.
pub fn second_lab_part(
    input: &QuestionsInput<'_>,
    offers: &Offers<'_>,
    post_key: &str,
) -> SecondLabPart {
    let work = &input.view.work;
    let asked = work.pass_questions().into_iter();
    SecondLabPart {
        path_number: work.case.number.as_str().to_owned(),
        rows: asked.map(|one| row(input, offers, one)).collect(),
        post_key: post_key.to_owned(),
    }
}
