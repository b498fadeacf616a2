//! What was said of the case beside the prescription: answers, what the patient says, telephone calls. It stands where the
//! work is done, whoever had asked.

use super::input::BenchInput;
use crate::domain::custody::{Question, Reply, SaidToLab};
use crate::domain::values::ids::EventId;
use crate::domain::values::moment::{Moment, since};
use crate::web::questions::{about_words, pointed_at};

/// Rows that are shown; what is older stands on the page of the questions.
const SHOWN_MOST: usize = 4;

/// What a word on the telephone does to the signed text: nothing. A statement follows, without its full stop.
const HOLDS: &str = "the signed sheet holds until a revision says otherwise";

/// One thing that was said.
pub struct SaidRow {
    /// The place of it on the page of the questions.
    pub anchor: String,
    pub about: String,
    /// What was asked; empty where nothing was.
    pub asked: String,
    /// What was answered before, with the word that a revision follows, and by whom; none where that is all there is.
    pub before: Option<(String, String)>,
    pub words: String,
    pub who: String,
    /// How a call stands beside the signed text; empty of anything else.
    pub verdict: String,
    /// Where the first picture of it is looked at; none where there is none, or where it was taken out.
    pub picture: Option<String>,
}

/// What was said, the newest first, and how much more there is.
pub struct SaidView {
    pub rows: Vec<SaidRow>,
    pub more: usize,
}

fn who(input: &BenchInput<'_>, by: &str, at: Moment) -> String {
    let at = input.person.moment(at.unix_ms);
    format!("{by}, {}", since(at, input.today()))
}

fn picture<'a>(
    input: &BenchInput<'_>,
    shown: impl IntoIterator<Item = &'a EventId>,
) -> Option<String> {
    let work = &input.view.work;
    let mut shown = shown.into_iter().filter_map(|id| work.picture(id));
    let there = shown.find(|one| !one.is_erased())?;
    let case = work.case.number.as_str();
    Some(format!(
        "/cases/{case}/pictures/{}/picture.jpg",
        there.event
    ))
}

/// The answer itself, where the reply says only that the revision is signed that was to follow it.
fn before(input: &BenchInput<'_>, question: &Question, reply: &Reply) -> Option<(String, String)> {
    let answer = question.promised.as_ref();
    let answer = answer.filter(|one| one.text != reply.text && !one.text.is_empty())?;
    Some((answer.text.clone(), who(input, &answer.by, answer.at)))
}

fn row(input: &BenchInput<'_>, one: &SaidToLab<'_>) -> SaidRow {
    let work = &input.view.work;
    match one {
        SaidToLab::Answer(question, reply) => SaidRow {
            anchor: format!("q-{}", question.event),
            about: about_words(work, question),
            asked: question.text.clone(),
            before: before(input, question, reply),
            words: reply.text.clone(),
            who: who(input, &reply.by, reply.at),
            verdict: String::new(),
            picture: picture(input, &question.pictures),
        },
        SaidToLab::Told(question) => SaidRow {
            anchor: format!("q-{}", question.event),
            about: about_words(work, question),
            asked: String::new(),
            before: None,
            words: question.text.clone(),
            who: who(input, &question.by, question.at),
            verdict: String::new(),
            picture: picture(input, &question.pictures),
        },
        SaidToLab::Call(call) => {
            let about = (call.section.as_deref(), None, call.item.as_ref());
            let about = pointed_at(work, about).into_iter();
            let about = std::iter::once("On the telephone".to_owned()).chain(about);
            SaidRow {
                anchor: format!("c-{}", call.event),
                about: about.collect::<Vec<_>>().join(", "),
                asked: String::new(),
                before: None,
                words: call.text.clone(),
                who: who(input, &call.by, call.at),
                verdict: match call.is_open() {
                    true => format!("{}; {HOLDS}", call.words()),
                    false => format!("Confirmed; {HOLDS}"),
                },
                picture: picture(input, &call.picture),
            }
        }
    }
}

/// What was said of the case.
pub fn said_view(input: &BenchInput<'_>) -> SaidView {
    let all = input.view.work.said_to_lab();
    SaidView {
        rows: all
            .iter()
            .take(SHOWN_MOST)
            .map(|one| row(input, one))
            .collect(),
        more: all.len().saturating_sub(SHOWN_MOST),
    }
}
