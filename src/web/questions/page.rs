//! The page of a case's questions: what is open, what was answered, asking, and telephone calls.

use super::about::{about_words, part_choices};
use super::calls::{CallRow, OF_A_CALL, call_fields, call_row};
use super::chosen::{AlongPicture, choose_pictures};
use super::input::{QuestionsInput, scoped, scoped_by};
use super::second_lab::{SecondLabPart, second_lab_part};
use super::value::{TakenView, ValueView, taken_view, value_sets, value_view};
use crate::app::AppError;
use crate::app::answer_value::may_take_along;
use crate::app::case_work::CaseWork;
use crate::app::questions::{has_parts, revision_read};
use crate::domain::custody::bench::BenchStep;
use crate::domain::custody::forms::{AnswerForm, AskForm, CallForm, ConfirmForm, PassReplyForm};
use crate::domain::custody::{CaseStep, Matter, Offers, Question, WorkOver, asks_from_the_work};
use crate::domain::form::Form;
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::prescription::AskBy;
use crate::domain::values::ids::EventId;
use crate::domain::values::moment::lasting;
use crate::web::entry::{Unsaved, instead, item_choices, unsaved_words};
use crate::web::error::WebError;
use crate::web::field::{Choice, FieldView};
use crate::web::frame::Frame;
use crate::web::led_away::LedAway;
use crate::web::personal_data_check::fields_of;
use crate::web::pictures::{PictureFileView, PictureRow};
use crate::web::tried::Tried;
use askama::Template;

/// A question with what can be said to it.
pub struct QuestionRow {
    pub id: String,
    /// What it is about, and what the matter is.
    pub about: String,
    pub text: String,
    pub pictures: Vec<PictureRow>,
    /// Whether a picture can be added to it now.
    pub may_show: bool,
    pub by: String,
    /// Since when it is open, or how long it took.
    pub age: String,
    pub waits: bool,
    /// Whether it is read, and need not be answered.
    pub is_for_information: bool,
    /// Who answered that a revision follows, and what.
    pub promised: Option<(String, String)>,
    pub reply: Option<(String, String)>,
    pub fields: Vec<FieldView>,
    /// The field that it is about, where a new value may go into the draft with the answer.
    pub value: Option<ValueView>,
    pub may_answer: bool,
    pub may_take_back: bool,
}

/// What the two houses have asked each other.
#[derive(Template)]
#[template(path = "questions.html")]
pub struct QuestionsPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub other: String,
    pub telephone: String,
    /// What the prescription in force says about asking.
    pub wish: String,
    /// What went into the draft with the answer just given.
    pub taken: Option<TakenView>,
    pub led: LedAway,
    pub refusals: Vec<String>,
    pub unsaved: Unsaved,
    /// Why nothing waits for what is open.
    pub over: Option<String>,
    pub open: Vec<QuestionRow>,
    pub ended: Vec<QuestionRow>,
    pub calls: Vec<CallRow>,
    /// The step of the bench at which it came up, and the address of that.
    pub at_step: Option<(&'static str, String)>,
    /// Empty where nothing can be asked now.
    pub ask: Vec<FieldView>,
    pub picture: AlongPicture,
    /// Whether the question comes back with what was sent.
    pub is_sent: bool,
    /// Who has opened this page.
    pub shown_to: String,
    /// Whether whoever came in by a code answers with the password only.
    pub needs_password: bool,
    /// The revision in which the line was read that is asked about, and the one in force.
    pub read_before: Option<(i64, i64)>,
    pub call: Vec<FieldView>,
    pub call_picture: AlongPicture,
    pub asks: bool,
    pub calls_now: bool,
    /// Whether an answer may go into a draft at once.
    pub may_write: bool,
    /// What a second laboratory asks; of a lab.
    pub second_lab: SecondLabPart,
    pub post_key: String,
}

/// What the address says that the question is about.
#[derive(Debug, Default)]
pub struct AboutQuestion {
    pub section: String,
    /// The field of that section whose line was touched.
    pub line: String,
    /// The revision that was on the screen.
    pub revision: String,
    pub item: String,
    /// The step at the bench from which somebody asks.
    pub step: Option<BenchStep>,
    /// What a second laboratory has asked, as the words to begin with.
    pub question: String,
}

impl AboutQuestion {
    /// Whether the address says anything of it.
    pub fn is_about_something(&self) -> bool {
        let said = [&self.section, &self.item, &self.question];
        self.step.is_some() || said.iter().any(|text| !text.is_empty())
    }
}

fn question_row(input: &QuestionsInput<'_>, offers: &Offers<'_>, one: &Question) -> QuestionRow {
    let work = &input.view.work;
    let sent = input.tried.typed.get(AnswerForm::asked_by().key);
    let tried = input.tried.only_if(sent == Some(&one.event.to_string()));
    let sets = [AnswerForm::field_sets(), value_sets()].concat();
    let specs = [*AnswerForm::answer(), *AnswerForm::answer_picture()];
    let mut fields = fields_of(&specs, &sets, tried);
    choose_pictures(&mut fields, work, AnswerForm::answer_picture());
    let fields = scoped_by(fields, &one.event);
    let by_now = input.person.may_now(Permission::HandleItems);
    let may_answer = by_now && offers.has(CaseStep::Answer(one));
    let may_take_back = by_now && offers.has(CaseStep::TakeBackQuestion(one));
    let reply = one.reply.as_ref();
    let value = value_view(input.draft, input.person, one, tried).filter(|_| may_answer);
    let value = value.map(|value| ValueView {
        field: scoped(value.field, &one.event),
        ..value
    });
    let shown = one.pictures.iter();
    let shown = shown.filter_map(|id| work.picture(id));
    QuestionRow {
        value,
        pictures: shown.map(|picture| PictureRow::of(work, picture)).collect(),
        may_show: one.takes_pictures() && offers.has(CaseStep::AddPicture),
        id: one.event.to_string(),
        about: about_words(work, one),
        text: one.text.clone(),
        by: format!("{} on {}", one.by, one.at.in_words()),
        age: match reply {
            None => format!("open for {}", lasting(one.at, work.now(input.app))),
            Some(reply) => format!("after {}", lasting(one.at, reply.at)),
        },
        waits: work.is_waited_for(one),
        is_for_information: one.is_for_information(),
        promised: one.promised.as_ref().map(|reply| {
            let who = format!(
                "Answered: {} on {}. A revision follows.",
                reply.by,
                reply.at.in_words()
            );
            (who, reply.text.clone())
        }),
        reply: reply.map(|reply| {
            let how = match (reply.taken_back, reply.by_telephone) {
                (true, _) => "Taken back",
                (_, true) => "Answered on the telephone",
                _ if reply.text.is_empty() => "Read",
                _ => "Answered",
            };
            (
                format!("{how}: {} on {}", reply.by, reply.at.in_words()),
                reply.text.clone(),
            )
        }),
        fields,
        may_answer,
        may_take_back: may_take_back && !may_answer,
    }
}

fn ask_fields(input: &QuestionsInput<'_>, about: &AboutQuestion, tried: &Tried) -> Vec<FieldView> {
    let work = &input.view.work;
    let mut specs = AskForm::FIELDS.to_vec();
    specs.retain(|spec| asks_from_the_work(work.side) || spec.key != AskForm::waits().key);
    specs.retain(|spec| has_parts(work) || spec.key != AskForm::section().key);
    let mut fields = fields_of(&specs, &AskForm::field_sets(), tried);
    choose_pictures(&mut fields, work, AskForm::asked_picture());
    let in_force = match work.case.revision {
        0 => String::new(),
        signed => signed.to_string(),
    };
    let told = work.case.revision.to_string();
    for field in &mut fields {
        if field.key == AskForm::matter().key {
            let is_open = |one: &Choice| {
                let matter = Matter::from_word(&one.word);
                matter.is_none_or(|matter| matter.is_open_to(work.side))
            };
            field.choices.retain(is_open);
            // At the bench the likeliest matter is chosen: another one is a touch, and none is needed.
            if about.step.is_some() && field.value.is_empty() {
                Matter::Unclear.word().clone_into(&mut field.value);
                field.mark_chosen();
            }
            continue;
        }
        let (choices, chosen): (Vec<Choice>, &str) = if field.key == AskForm::section().key {
            (part_choices(work), &about.section)
        } else if field.key == AskForm::asked_item().key {
            (item_choices(work), &about.item)
        } else if field.key == AskForm::line().key {
            (Vec::new(), &about.line)
        } else if field.key == AskForm::read_revision().key {
            let read = match about.revision.as_str() {
                "" => in_force.as_str(),
                read => read,
            };
            (Vec::new(), read)
        } else if field.key == AskForm::force_shown().key {
            // This page tells of it, whatever the one before has told.
            field.value.clear();
            (Vec::new(), &told)
        } else if field.key == AskForm::asked_step().key {
            (Vec::new(), about.step.map_or("", BenchStep::word))
        } else if field.key == AskForm::question().key {
            (Vec::new(), &about.question)
        } else {
            continue;
        };
        field.choices = choices;
        if field.value.is_empty() {
            chosen.clone_into(&mut field.value);
        }
        field.mark_chosen();
    }
    fields
}

/// That what is asked about was read in a revision which is out of force, with the one that is in force.
fn read_before(work: &CaseWork, about: &AboutQuestion, tried: &Tried) -> Option<(i64, i64)> {
    let sent = tried.typed.get(AskForm::read_revision().key);
    let read = revision_read(work, sent.unwrap_or(&about.revision));
    (read < work.case.revision).then_some((read, work.case.revision))
}

/// Why nothing waits for what is asked and not answered; none while the work goes on.
fn over(work: &CaseWork) -> Option<String> {
    let words = |over: WorkOver| match over {
        WorkOver::Cancelled(since) => format!("The work was canceled on {}", since.in_words()),
        WorkOver::Closed => "The case is closed".to_owned(),
    };
    work.work_over().map(words)
}

/// What was typed for a question or a call that takes it no more.
fn unsaved(input: &QuestionsInput<'_>) -> Unsaved {
    let typed = &input.tried.typed;
    let work = &input.view.work;
    let is_over = |key: &str, is_open: &dyn Fn(&EventId) -> bool| {
        let id = typed.get(key).map(|id| EventId::new(id.as_str()));
        id.is_some_and(|id| !is_open(&id))
    };
    let is_answered = is_over(AnswerForm::asked_by().key, &|id| work.awaits_answer(id));
    let is_confirmed = is_over(ConfirmForm::call().key, &|id| work.awaits_verdict(id));
    let is_replied = is_over(PassReplyForm::pass_asked().key, &|id| work.awaits_reply(id));
    let sets = [
        AnswerForm::field_sets(),
        ConfirmForm::field_sets(),
        PassReplyForm::field_sets(),
        value_sets(),
    ]
    .concat();
    Unsaved {
        instead: instead::OF_A_QUESTION,
        texts: match is_answered || is_confirmed || is_replied {
            true => unsaved_words(typed, &sets),
            false => Vec::new(),
        },
    }
}

/// The step that the page was opened at, or that was sent with a question that was not entered.
fn step_of(about: &AboutQuestion, tried: &Tried) -> Option<BenchStep> {
    let sent = tried.typed.get(AskForm::asked_step().key);
    about.step.or_else(|| BenchStep::from_word(sent?))
}

fn bench_at(work: &CaseWork, step: BenchStep) -> String {
    let number = work.case.number.as_str();
    format!("/cases/{number}/bench?step={}", step.word())
}

/// From the bench the scan box belongs to the question: one scan sends it, as it enters a step there.
fn frame(
    input: &QuestionsInput<'_>,
    (step, may_ask): (Option<BenchStep>, bool),
) -> Result<Frame, WebError> {
    let work = &input.view.work;
    let frame = Frame::of_case(input.app, input.person, work, "Questions")?;
    Ok(match step.is_some() && may_ask {
        true => frame.at_bench().scanning_into(&work.case.number, ASK_FORM),
        false => frame,
    })
}

/// The form by which something is asked.
pub const ASK_FORM: &str = "ask-form";

/// The whole page.
pub fn questions_page(
    input: &QuestionsInput<'_>,
    about: &AboutQuestion,
) -> Result<QuestionsPage, WebError> {
    let work = &input.view.work;
    let offers = work.offers(input.app, input.person);
    let other = work.party(work.side.other());
    let post_key = input.app.outside.token().map_err(AppError::from)?;
    let was_sent = |key: &str| input.tried.typed.contains_key(key);
    let (asks, calls_now) = (
        was_sent(AskForm::matter().key) || was_sent(AskForm::question().key),
        was_sent(CallForm::call_said().key),
    );
    let may = input.person.may_now(Permission::HandleItems);
    let may_ask = input.person.may_now(Permission::Ask) && offers.has(CaseStep::Ask);
    let at_step = step_of(about, input.tried);
    let ask = match may_ask {
        true => ask_fields(input, about, input.tried.only_if(asks)),
        false => Vec::new(),
    };
    let call = match may && offers.has(CaseStep::Telephone) {
        true => call_fields(input, input.tried.only_if(calls_now)),
        false => Vec::new(),
    };
    let file = |scope, is_sent| {
        let file = PictureFileView::scoped(scope, input.tried.only_if(is_sent), false);
        offers.has(CaseStep::AddPicture).then_some(file)
    };
    let picture = (AskForm::asked_picture(), file("", asks));
    let (picture, ask) = AlongPicture::of(ask, picture);
    let call_picture = (CallForm::call_picture(), file(OF_A_CALL, calls_now));
    let (call_picture, call) = AlongPicture::of(call, call_picture);
    let row = |one: &Question| question_row(input, &offers, one);
    let open = work.open_in_order();
    let wish = input
        .view
        .document()
        .and_then(|one| one.prescription.remarks.ask_by);
    let is_about = about.is_about_something();
    let none_open = open.is_empty();
    // Whoever is to be telephoned first is, and what was said is written down.
    let telephones = work.side == Side::Lab && !asks && wish == Some(AskBy::Telephone);
    Ok(QuestionsPage {
        frame: frame(input, (at_step, may_ask))?,
        at_step: at_step.map(|step| (step.to_do(), bench_at(work, step))),
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        other: other.name.clone(),
        telephone: other.telephone.clone(),
        wish: wish.map_or_else(String::new, |wish| wish.shown().to_owned()),
        taken: taken_view(input.draft, input.view, input.taken),
        led: LedAway::default(),
        refusals: input.tried.refusals.clone(),
        unsaved: unsaved(input),
        over: over(work),
        open: open.into_iter().map(row).collect(),
        ended: work.ended_questions().map(row).collect(),
        calls: work
            .calls()
            .map(|one| call_row(input, &offers, one))
            .collect(),
        ask,
        picture,
        is_sent: asks,
        shown_to: input.person.account.id.to_string(),
        needs_password: input.person.by_code.is_some(),
        read_before: read_before(work, about, input.tried),
        call,
        call_picture,
        asks: asks || is_about || none_open && !telephones,
        calls_now: calls_now || telephones && !is_about,
        may_write: may_take_along(input.person, work.side),
        second_lab: second_lab_part(input, &offers, &post_key),
        post_key,
    })
}
