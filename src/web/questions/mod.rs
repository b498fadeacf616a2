//! Questions of a case: shown, asked, answered; telephone calls written down and confirmed.

mod about;
mod calls;
mod chosen;
mod input;
mod page;
mod second_lab;
mod value;

pub use self::about::{about_words, pointed_at};
pub use self::chosen::choose_pictures;
use self::input::QuestionsInput;
pub use self::page::ASK_FORM;
use self::page::{AboutQuestion, QuestionsPage, questions_page};
use self::value::{draft_for, value_sets};
use super::card_words::SEND_QUESTION;
use super::done::Done;
use super::error::WebError;
use super::extract::{On, Typed};
use super::field::id_of;
use super::form_page::{FormPage, Onward, is_of_another, refuse_of_another};
use super::frame::{Frame, page, see_other};
use super::led_away::{LedAway, Scanned};
use super::pictures::{SentPicture, picture_again, with_picture_again};
use super::tried::Tried;
use super::typed_form::TypedForm;
use crate::app::answer_value::TypedValue;
use crate::app::case_work::CaseWork;
use crate::app::questions::{AnsweredAbout, PictureAlong};
use crate::app::write_draft::Base;
use crate::app::{AppError, pass_questions, questions, see_case};
use crate::domain::custody::bench::BenchStep;
use crate::domain::custody::forms::{AnswerForm, AskForm, CallForm, ConfirmForm, PictureForm};
use crate::domain::custody::{Matter, PictureOf};
use crate::domain::form::Form;
use crate::domain::people::party::Side;
use crate::domain::prescription::section_of;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::web::keys::BASE;
use axum::response::Response;

impl FormPage for QuestionsPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/questions", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<QuestionsPage, WebError> {
        let view = see_case::see(&on.app, &on.person, &on.at).await?;
        let said = |key: &str| on.query.text(key).to_owned();
        let line = said("line");
        // A touched line says its field alone: the section follows from it.
        let of_line = section_of(&line).map_or("", |one| one.key);
        let section = Some(said("section")).filter(|key| !key.is_empty());
        let mut about = AboutQuestion {
            section: section.unwrap_or_else(|| of_line.to_owned()),
            line,
            revision: said("revision"),
            item: said("item"),
            step: BenchStep::from_word(on.query.text("step")),
            question: asked_by_second(&view.work, on.query.text("second")),
        };
        if let Some(asked) = asked_by_the_card(&view.work).filter(|_| !about.is_about_something()) {
            about.question = asked;
        }
        let taken = on.query.text("taken");
        let draft = draft_for(&on.app, &on.person, &view, taken).await?;
        let input = QuestionsInput {
            app: &on.app,
            person: &on.person,
            view: &view,
            tried,
            draft: draft.as_ref(),
            taken,
        };
        questions_page(&input, &about)
    }
}

/// Shows what is asked, and the forms.
pub async fn form(on: On<CaseNumber>) -> Result<Response, WebError> {
    QuestionsPage::show(on).await
}

/// What a second laboratory has asked, for the first one to ask the office.
fn asked_by_second(work: &CaseWork, entry: &str) -> String {
    let mut asked = work.pass_questions().into_iter();
    let found = asked.find(|(_, one)| one.event.as_str() == entry);
    found.map_or_else(String::new, |(_, one)| one.text.clone())
}

/// What a lab has to ask before it goes on, because of what the patient's card names since; nothing once it is asked.
fn asked_by_the_card(work: &CaseWork) -> Option<String> {
    let card = work
        .asked_by_the_card()
        .filter(|_| work.side == Side::Lab)?;
    let mut open = work.open_questions();
    let is_asked = open.any(|one| card.is_asked_by(one));
    (!is_asked).then(|| card.to_ask())
}

/// The button that goes on to a picture.
const SHOW: &str = "picture";

/// Where a picture is added to a question: at the camera at once.
fn picture_of(number: &CaseNumber, question: &str) -> Onward {
    let number = number.as_str();
    Onward::To(format!(
        "/cases/{number}/pictures?back=questions&question={question}#add"
    ))
}

/// The picture that was sent along, as the form of pictures says it, and the item that it shows.
fn picture_along(sent: &mut SentPicture, item: Option<&Tag>) -> Result<PictureAlong, AppError> {
    sent.refuse_unfit()?;
    if sent.bytes.is_empty() {
        return Ok(None);
    }
    let mut typed = sent.form.0.clone();
    let said = [
        (PictureForm::shows().key, PictureOf::AskedAbout.word()),
        (PictureForm::shown_item().key, item.map_or("", Tag::as_str)),
    ];
    typed.extend(said.map(|(key, text)| (key.to_owned(), text.to_owned())));
    let mut faults = Vec::new();
    let picture = PictureForm::read(&typed, &mut faults);
    let picture = picture.ok_or(AppError::Invalid(faults))?;
    Ok(Some((picture, std::mem::take(&mut sent.bytes))))
}

/// What is said of a picture whose question or call was refused as a whole.
const PICTURE_NOT_KEPT: &str = "The picture that came along was not kept.";

/// What comes of a form that may have brought a picture along.
async fn answer_sent(
    on: &On<CaseNumber>,
    (mut sent, had_picture): (SentPicture, bool),
    done: Result<Onward, AppError>,
) -> Result<Response, WebError> {
    let done = with_picture_again(done, had_picture).map_err(|error| match error {
        AppError::Refused(mut why) if had_picture => {
            why.push(PICTURE_NOT_KEPT.to_owned());
            AppError::Refused(why)
        }
        other => other,
    });
    // The word given was of the picture that was sent.
    sent.form.0.remove(PictureForm::mouth_only().key);
    QuestionsPage::answer(on, sent.form.0, done).await
}

/// Whether a question holds anything that its page did not come with.
fn is_typed(form: &TypedForm) -> bool {
    let text = |key: &str| form.get(key).map_or("", |text| text.trim());
    let typed = [
        AskForm::question(),
        AskForm::waits(),
        AskForm::asked_picture(),
    ];
    let matter = text(AskForm::matter().key);
    typed.iter().any(|spec| !text(spec.key).is_empty())
        || !["", Matter::Unclear.word()].contains(&matter)
}

/// What a scan into the form of a question is answered with; none where it sends the question as it stands there.
async fn scanned_away(
    on: &On<CaseNumber>,
    sent: &mut SentPicture,
) -> Result<Option<Response>, WebError> {
    let (has_picture, is_other) = (sent.has_picture(), is_of_another(&on.person, &sent.form));
    let form = &mut sent.form.0;
    let scanned = Scanned::taken(form);
    let sends = |word| SEND_QUESTION.contains(&word);
    if scanned.text.is_empty() || scanned.word.is_some_and(sends) {
        return Ok(None);
    }
    let (to, is_begun) = (scanned.leads(&on.at), has_picture || is_typed(form));
    if scanned.is_again || !is_begun {
        return Ok(Some(see_other(&to)));
    }
    // What somebody else has typed is refused first: drawn again, it would stand there as one's own.
    if is_other {
        return Ok(None);
    }
    form.remove(PictureForm::mouth_only().key);
    let again = has_picture.then(picture_again);
    let tried = Tried {
        typed: std::mem::take(form),
        faults: Vec::from_iter(again),
        refusals: Vec::new(),
    };
    let mut shown = QuestionsPage::draw(on, &tried).await?;
    shown.led = LedAway::of((&on.app, &on.person, &on.at), &scanned, to).await;
    page(&shown).map(Some)
}

/// Enters a question, and the picture that was sent with it.
pub async fn ask(on: On<CaseNumber>, mut sent: SentPicture) -> Result<Response, WebError> {
    if let Some(answer) = scanned_away(&on, &mut sent).await? {
        return Ok(answer);
    }
    let (key, has_picture) = (sent.form.key()?, sent.has_picture());
    let done = async {
        refuse_of_another(&on.person, &sent.form)?;
        let command: AskForm = sent.form.read()?;
        let picture = picture_along(&mut sent, command.asked_item.as_ref())?;
        questions::ask(&on.app, &on.person, &on.at, (&command, picture), &key).await?;
        Ok(Done::Asked.into())
    };
    let done = done.await;
    answer_sent(&on, (sent, has_picture), done).await
}

/// Enters an answer, with a new value for the draft where one was typed; with the other button the draft is opened at
/// what was asked about.
pub async fn answer(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let sets = [AnswerForm::field_sets(), value_sets()].concat();
        let command: AnswerForm = form.read_as(&sets, AnswerForm::read)?;
        let value = TypedValue {
            base: Base::parse(form.text(BASE)).unwrap_or(Base::NONE),
            fields: form.0.clone(),
        };
        let said = (&command, &value, form.text("go") == "write");
        let about = questions::answer(&on.app, &on.person, &on.at, said, &key).await?;
        Ok(after_answer(&on.at, form.text("go"), &command, about))
    };
    let done = done.await;
    QuestionsPage::answer(&on, form.0, done).await
}

/// Where an answer leads.
fn after_answer(number: &CaseNumber, go: &str, sent: &AnswerForm, about: AnsweredAbout) -> Onward {
    let (number_of, question) = (number.as_str(), &sent.asked_by);
    let write = |place: &str| Onward::To(format!("/cases/{number_of}/write{place}"));
    match (go, about.taken, about.section) {
        (SHOW, ..) => picture_of(number, question),
        ("write", Some(field), _) => {
            let part = field.split('.').next().unwrap_or_default();
            write(&format!("?at={part}#{}", id_of("", field)))
        }
        ("write", None, Some(section)) => write(&format!("#s-{section}")),
        ("write", None, None) => write(""),
        (_, Some(_), _) => {
            let answered = Done::Answered.at(&QuestionsPage::says_done(number));
            Onward::To(format!("{answered}&taken={question}#taken"))
        }
        _ if sent.taken_back => Done::TakenBack.into(),
        _ => Done::Answered.into(),
    }
}

/// Answers a second laboratory.
pub async fn answer_lab(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    QuestionsPage::post(on, form, pass_questions::answer, Done::PassReplied).await
}

/// Enters a telephone call, and the picture that was sent with it.
pub async fn telephoned(on: On<CaseNumber>, mut sent: SentPicture) -> Result<Response, WebError> {
    let (key, has_picture) = (sent.form.key()?, sent.has_picture());
    let done = async {
        let command: CallForm = sent.form.read()?;
        let picture = picture_along(&mut sent, command.call_item.as_ref())?;
        questions::telephoned(&on.app, &on.person, &on.at, (&command, picture), &key).await?;
        Ok(Done::Telephoned.into())
    };
    let done = done.await;
    answer_sent(&on, (sent, has_picture), done).await
}

/// Enters whether a call was so.
pub async fn confirm(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    let then = |_: &Typed, command: &ConfirmForm, ()| match (command.none_needed, command.not_so) {
        (true, _) => Done::NoRevision.into(),
        (_, true) => Done::NotSo.into(),
        _ => Done::Confirmed.into(),
    };
    QuestionsPage::post_then(on, form, questions::confirm, then).await
}
