//! What is scanned into a form in which something is typed, and is of no field there: the page stays with all that was
//! typed, says what was scanned, and is left for that once it is scanned again. What is mostly a card read twice is asked
//! by the same means.

use super::card_words::{BUTTON, SCAN, leads_to};
use super::extract::encode;
use super::home::{address, messages};
use super::keys::SCAN_LEFT;
use super::typed_form::TypedForm;
use crate::app::find::{self, Destination};
use crate::app::{App, AppError, Person};
use crate::domain::custody::bench::ScanWord;
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::words::counted;
use askama::Template;

/// What a form was scanned into with, taken out of it.
pub struct Scanned {
    pub text: String,
    pub word: Option<ScanWord>,
    /// Whether the page has said already that this leads away.
    pub is_again: bool,
}

impl Scanned {
    /// Takes it out of the form; empty where nothing was scanned.
    pub fn taken(form: &mut TypedForm) -> Scanned {
        let mut taken = |key: &str| form.remove(key).unwrap_or_default();
        let (text, left) = (taken(SCAN), taken(SCAN_LEFT));
        taken(BUTTON);
        let text = text.trim().to_owned();
        Scanned {
            word: ScanWord::parse(&text),
            is_again: !text.is_empty() && text == left,
            text,
        }
    }

    /// Where it leads from any page of this case.
    pub fn leads(&self, number: &CaseNumber) -> String {
        let to = self.word.and_then(|word| leads_to(word, Some(number)));
        to.unwrap_or_else(|| format!("/find?q={}", encode(&self.text)))
    }
}

/// Said on the page that stays; nothing is where nothing leads away.
#[derive(Debug, Default, Template)]
#[template(path = "partials/led_away.html")]
pub struct LedAway {
    words: String,
    /// Where it leads, and what that is called.
    to: Option<(String, &'static str)>,
    /// What leads there, or is done, once it is scanned again; empty where nothing is.
    pub again: String,
}

impl LedAway {
    /// Asks before what was scanned does what it does: the same once more does it.
    pub fn once_more(scanned: &Scanned, words: String) -> LedAway {
        LedAway {
            words,
            to: None,
            again: scanned.text.clone(),
        }
    }

    /// What was scanned, on a page of this case; a word of the card leads `to`.
    pub async fn of(
        (app, person, number): (&App, &Person, &CaseNumber),
        scanned: &Scanned,
        to: String,
    ) -> LedAway {
        let leaves = |words, to: String, name| LedAway {
            words,
            to: Some((to, name)),
            again: scanned.text.clone(),
        };
        let away = |what: &str, to| leaves(format!("“{what}” leads away from here."), to, GO);
        let stays = |words| LedAway {
            words,
            ..LedAway::default()
        };
        if let Some(word) = scanned.word {
            return match leads_to(word, Some(number)) {
                Some(_) => away(&word.shown(), to),
                None => stays("This is a word for a step at the bench.".to_owned()),
            };
        }
        match find::find(app, person, &scanned.text).await {
            Ok(found) if is_of_here(&found, number) => {
                stays("That is of the case that stands here.".to_owned())
            }
            Ok(found) => {
                let (words, name) = said(number, &scanned.text, &found);
                leaves(words, address(&found).unwrap_or(to), name)
            }
            Err(AppError::Invalid(faults)) => stays(messages(faults)),
            // What else stands against it is said where it leads; what is typed here stays for that.
            Err(_) => away(&scanned.text, to),
        }
    }
}

/// The way to what is said already.
const GO: &str = "Go there";

/// Whether it is the case itself, its pan, its sheet in force, or a thing of it.
fn is_of_here(found: &Destination, here: &CaseNumber) -> bool {
    matches!(found, Destination::Case(number) | Destination::Bench(number, _) if number == here)
}

/// What it is that was scanned, and what the way there is called.
fn said(here: &CaseNumber, scanned: &str, found: &Destination) -> (String, &'static str) {
    match found {
        Destination::Sheet(number, revision) => {
            let of = match number == here {
                true => "this case".to_owned(),
                false => format!("case {number}"),
            };
            let words = format!(
                "Do not work from that sheet: it is of revision {revision} of {of}, and a newer one is in force."
            );
            (words, "See that revision")
        }
        Destination::SheetUnknown(_) => (
            "The code of that sheet does not say its revision.".to_owned(),
            "See whether it is in force",
        ),
        Destination::Case(number) | Destination::Bench(number, _) => {
            (format!("That is of case {number}."), GO)
        }
        Destination::PassedOn(number) => (
            format!("That is work of case {number}, passed on to you."),
            GO,
        ),
        Destination::Patient(code) => (format!("That is patient {code}."), GO),
        Destination::Item(tag) => (format!("That is item {tag}."), GO),
        Destination::Handoff(_) => ("That is a handoff.".to_owned(), GO),
        Destination::Cases(found) => {
            let most = if found.more { "more than " } else { "" };
            let cases = counted(found.cases.len(), "case");
            (
                format!("“{scanned}” is found in {most}{cases}."),
                "See them",
            )
        }
    }
}
