//! From a failure to a page: what happened, whether the work is safe, where to go. One match, no
//! wildcard; the table below it pins every status.

use super::error::{
    ANOTHER_PERSON, BUSY, REFUSED, WebError, closed_words, refused_for, wrong_addresses_words,
};
use super::extract::encode;
use super::frame::{Frame, reference, see_other};
use super::turned::written_out;
use crate::app::{AppError, Outage, StoreError, health};
use askama::Template;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Response};

/// The page that says what happened.
#[derive(Debug, Clone, Template)]
#[template(path = "error.html")]
pub struct ErrorPage {
    pub frame: Frame,
    pub happened: Vec<String>,
    pub safe: String,
    /// What was sent and not stored.
    pub sent: Vec<(String, String)>,
    pub links: Vec<(String, String)>,
    /// Stands in the log beside the detail.
    pub reference: Option<String>,
}

struct Story {
    status: StatusCode,
    title: &'static str,
    happened: Vec<String>,
    safe: &'static str,
    fault: Option<String>,
}

const NOTHING_CHANGED: &str =
    "Nothing was changed. Go back in your browser to find what you typed.";

fn story(error: &WebError) -> Story {
    let story = |status, title, happened: Vec<String>, safe| Story {
        status,
        title,
        happened,
        safe,
        fault: None,
    };
    let broken = |detail: String| Story {
        status: StatusCode::INTERNAL_SERVER_ERROR,
        title: "Something broke on our side",
        happened: vec!["The request could not be finished.".into()],
        safe: "What was stored before is safe, and nothing is half done. Try again; if it happens again, tell your \
               administrator the reference below.",
        fault: Some(detail),
    };
    match error {
        WebError::App(AppError::Invalid(faults)) => story(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Something in the form is not right",
            faults.iter().map(|fault| fault.message.clone()).collect(),
            NOTHING_CHANGED,
        ),
        WebError::App(AppError::Refused(why)) => {
            story(StatusCode::CONFLICT, "This cannot be done now", why.clone(), NOTHING_CHANGED)
        }
        WebError::App(AppError::Denied(why)) => {
            story(StatusCode::FORBIDDEN, "This is not for your role", vec![(*why).into()], NOTHING_CHANGED)
        }
        WebError::App(AppError::NotFound) => story(
            StatusCode::NOT_FOUND,
            "Page not found",
            vec!["There is no such page, or it is not one that you may see.".into()],
            "Codes are easy to mistype: look the case, patient or tag up on the first page.",
        ),
        WebError::App(AppError::LinkOver) => story(
            StatusCode::NOT_FOUND,
            "This link is not open",
            vec![
                "A link works once, for some days, and until it is taken back.".into(),
                "If you have used it already, your account is there: sign in with the name and the password that you \
                 chose."
                    .into(),
            ],
            "Nothing was changed. If you cannot sign in, ask whoever gave you the link for a new one.",
        ),
        WebError::App(AppError::Conflict(what)) => story(
            StatusCode::CONFLICT,
            "Someone else has just done this",
            vec![what.clone()],
            "Your change was not stored, and theirs is safe. Open the page again, look, and decide.",
        ),
        WebError::App(AppError::Closed { minutes }) => story(
            StatusCode::TOO_MANY_REQUESTS,
            "Too many wrong passwords",
            vec![closed_words(*minutes)],
            "Nothing is lost. If it was not you who tried, tell your administrator.",
        ),
        WebError::WrongAddresses { minutes } => story(
            StatusCode::TOO_MANY_REQUESTS,
            "Too many wrong addresses",
            vec![wrong_addresses_words(*minutes)],
            "Nothing is lost, and an address that works is answered all the same.",
        ),
        WebError::App(AppError::Busy) => story(
            StatusCode::SERVICE_UNAVAILABLE,
            "Too many sign in at this moment",
            vec![BUSY.to_owned()],
            "Nothing is lost, and whoever has signed in here before is not kept waiting.",
        ),
        WebError::App(AppError::Counting) => story(
            StatusCode::SERVICE_UNAVAILABLE,
            "This month is still being counted",
            vec!["It has very many cases. Each is read once, and only those that change are read again.".to_owned()],
            "Nothing is wrong. The page asks again by itself every ten seconds, and the file is ready when the page is.",
        ),
        WebError::App(AppError::AnotherKey) => {
            story(StatusCode::SERVICE_UNAVAILABLE, OTHER_RECORD, vec![health::ANOTHER_KEY.to_owned()], NOT_STORED)
        }
        WebError::App(AppError::Store(error)) => of_database(error, broken),
        WebError::App(AppError::Chance(error)) => broken(error.to_string()),
        WebError::App(AppError::Document(error)) => broken(error.to_string()),
        WebError::App(AppError::Inner(error)) => broken(error.clone()),
        WebError::Template(error) => broken(error.to_string()),
        WebError::Request { status, happened } => {
            story(*status, "This request cannot be read", vec![happened.clone()], NOTHING_CHANGED)
        }
        WebError::ForeignOrigin => story(
            StatusCode::FORBIDDEN,
            "This came from somewhere else",
            vec!["The request was not sent from a page of this installation, so it was not carried out.".into()],
            "Nothing was changed. Open the page here and send it again.",
        ),
        WebError::ForeignHost => story(
            StatusCode::MISDIRECTED_REQUEST,
            "This is another address",
            vec!["This installation is not reached under this name, so nothing is shown here.".into()],
            "Nothing was changed. Open the address that your administrator gave you. Whoever runs this program names it \
             with --address.",
        ),
        WebError::NotEnded(AppError::Store(error)) => Story {
            title: "You are signed out in this browser",
            safe: "The session could not be ended in the database: it ends by itself after half an hour in which nobody uses \
                   it. If you do not know who has it, sign in and out again when the database works.",
            ..of_database(error, broken)
        },
        WebError::NotEnded(other) => broken(other.to_string()),
        WebError::TooSlow => story(
            StatusCode::SERVICE_UNAVAILABLE,
            "No answer in time",
            vec![
                "This took longer than half a minute: another program holds the database up, or the connection is slow. \
                 Tell your administrator if it lasts."
                    .into(),
            ],
            MAY_BE_STORED,
        ),
        WebError::NotCarriedOut { why, sent } => {
            let story = self::story(why);
            match sent.is_empty() {
                true => story,
                false => Story {
                    safe: "What was stored before is safe. What you sent was not stored: leave this page open, and \
                           reload it to send the same again when this is put right. It stands below too, to be copied; \
                           passwords are not shown.",
                    ..story
                },
            }
        }
        WebError::NeedsPassword { sent } => story(
            StatusCode::FORBIDDEN,
            "This needs your password",
            vec!["You are here by your code. A code is for entries at the bench, so this was not stored.".into()],
            if sent.is_empty() {
                "What was stored before is safe. Type your password and do it again."
            } else {
                "It stands below: copy what you need, type your password, and enter it again. Passwords are not shown."
            },
        ),
        WebError::AnotherPerson { sent } => story(
            StatusCode::FORBIDDEN,
            ANOTHER_PERSON,
            vec![
                "Whoever opened this page is not who is signed in in this browser now. Nothing was stored under another name."
                    .into(),
            ],
            if sent.is_empty() {
                "What was stored before is safe. Whoever opened the page signs in and does it again."
            } else {
                "It stands below: whoever wrote it copies it, signs in, and enters it again. Passwords are not shown."
            },
        ),
        WebError::DraftOver { happened, sent, .. } => story(
            StatusCode::CONFLICT,
            "This draft is over",
            vec![happened.clone()],
            if sent.is_empty() {
                "Nothing of it is lost: the prescription says the same already."
            } else {
                "It stands below, and was not stored: copy what you need into the next revision. Where this browser runs \
                 scripts, the form of the next revision offers it too."
            },
        ),
        WebError::SignedOut { sent, .. } => story(
            StatusCode::UNAUTHORIZED,
            "You are signed out",
            vec!["Your session has ended, so this was not stored.".into()],
            if sent.is_empty() {
                "What was stored before is safe. Sign in and do it again."
            } else {
                "It stands below: copy what you need, sign in, and enter it again. Passwords are not shown."
            },
        ),
    }
}

/// What can be said of a database that does not do its work. Whatever a page sends has a key of its own, so that it
/// is carried out once however often it comes.
fn of_database(error: &StoreError, broken: impl Fn(String) -> Story) -> Story {
    let (status, title, happened) = match error.outage() {
        Outage::DiskFull => (
            StatusCode::INSUFFICIENT_STORAGE,
            "The disk is full",
            "The computer that runs Vestibule has no room left on its disk. Until an administrator has made room, \
             nothing can be entered.",
        ),
        Outage::Gone => (
            StatusCode::SERVICE_UNAVAILABLE,
            "The database does not answer",
            "Vestibule runs, and its database cannot be reached. Tell your administrator if it lasts.",
        ),
        Outage::TakenAway => (
            StatusCode::SERVICE_UNAVAILABLE,
            "The database file was taken away",
            "Somebody has deleted or replaced the file of the database while Vestibule uses it. Nothing can be entered \
             until an administrator has put it back and started Vestibule again.",
        ),
        Outage::Shelf => (
            StatusCode::SERVICE_UNAVAILABLE,
            "Pictures and scans are out of reach",
            "The folder in which pictures and scans lie is missing, or may not be read or written. Everything else goes on. \
             Tell your administrator: the log, and “vestibule check”, say what is wrong with it.",
        ),
        Outage::BesideKey => (
            StatusCode::SERVICE_UNAVAILABLE,
            "A file beside the key cannot be written",
            "The file record.last, which lies beside the key and says how far it has signed, is not there or cannot be \
             written. Nothing can be entered until an administrator has put it back, or has given the program the right \
             to write it. What is there can be read.",
        ),
        Outage::Record => (
            StatusCode::SERVICE_UNAVAILABLE,
            OTHER_RECORD,
            health::FORKED,
        ),
        Outage::NotCompared => (
            StatusCode::SERVICE_UNAVAILABLE,
            "The record could not be looked through",
            health::NOT_COMPARED,
        ),
        Outage::Other => {
            let mut story = broken(error.to_string());
            story.happened.extend(error.about_a_value());
            return match error.may_be_stored() {
                true => Story {
                    safe: MAY_BE_STORED,
                    ..story
                },
                false => story,
            };
        }
    };
    Story {
        status,
        title,
        happened: vec![happened.to_owned()],
        safe: match error.may_be_stored() {
            true => MAY_BE_STORED,
            false => NOT_STORED,
        },
        fault: Some(error.to_string()),
    }
}

const OTHER_RECORD: &str = "The record is not the one that was signed";
const NOT_STORED: &str = "What was stored before is safe. What you just sent was not stored: leave this page open, and \
    reload it to send the same again.";
const MAY_BE_STORED: &str = "What was stored before is safe. What you just sent may have been stored or not: reload \
    this page to send it again. It is taken once, however often it is sent.";

fn rendered(status: StatusCode, page: &ErrorPage) -> Response {
    match page.render() {
        Ok(html) => (status, Html(written_out(&html).into_owned())).into_response(),
        // The error page is plain enough that this does not happen; if it does, words are left.
        Err(_) => (
            StatusCode::INTERNAL_SERVER_ERROR,
            "Something broke. What was stored before is safe.",
        )
            .into_response(),
    }
}

/// Gives an error page the way back to where the request came from, a path of this installation: as a link
/// before the others, or, for somebody who is signed out, as the place to go after signing in.
pub fn with_way_back(mut response: Response, from: &str) -> Response {
    let Some(mut page) = response.extensions_mut().remove::<ErrorPage>() else {
        return response;
    };
    if response.status() == StatusCode::UNAUTHORIZED {
        let href = format!("/sign-in?next={}", encode(from));
        page.links = vec![(href, "Sign in".into())];
    } else {
        page.links.insert(0, (from.to_owned(), "Back".into()));
    }
    *response.body_mut() = rendered(response.status(), &page).into_body();
    response.headers_mut().remove(header::CONTENT_LENGTH);
    response
}

/// Gives an error page the frame of whoever is signed in: navigation and scan box.
pub fn with_frame(mut response: Response, frame: impl FnOnce(&str) -> Frame) -> Response {
    let Some(mut page) = response.extensions_mut().remove::<ErrorPage>() else {
        return response;
    };
    page.frame = frame(&page.frame.title);
    *response.body_mut() = rendered(response.status(), &page).into_body();
    response.headers_mut().remove(header::CONTENT_LENGTH);
    // The way back is added later, by whoever knows the request.
    response.extensions_mut().insert(page);
    response
}

impl IntoResponse for WebError {
    fn into_response(self) -> Response {
        if let WebError::SignedOut {
            next: Some(next), ..
        } = &self
        {
            return see_other(&format!("/sign-in?next={}", encode(next)));
        }
        let seconds = self.wait_s();
        // Whoever looks at the page has nothing to do but to wait.
        let asks_again = matches!(self, WebError::App(AppError::Counting));
        let refused = refused_for(&self);
        let story = story(&self);
        let reference = story.fault.as_ref().map(|detail| {
            let short = reference(detail);
            tracing::error!(reference = short, detail, "request failed");
            short
        });
        let page = ErrorPage {
            frame: Frame::bare(story.title),
            happened: story.happened,
            safe: story.safe.to_owned(),
            links: match &self {
                WebError::DraftOver { form, .. } => {
                    vec![(form.clone(), "Write the next revision".into())]
                }
                WebError::SignedOut { .. }
                | WebError::AnotherPerson { .. }
                | WebError::NotEnded(_)
                | WebError::App(AppError::LinkOver) => {
                    vec![("/sign-in".into(), "Sign in".into())]
                }
                WebError::NeedsPassword { .. } => {
                    vec![("/bench/password".into(), "Type your password".into())]
                }
                _ => vec![("/".into(), "Cases".into())],
            },
            sent: match self {
                WebError::SignedOut { sent, .. }
                | WebError::AnotherPerson { sent }
                | WebError::DraftOver { sent, .. }
                | WebError::NotCarriedOut { sent, .. }
                | WebError::NeedsPassword { sent } => sent,
                _ => Vec::new(),
            },
            reference,
        };
        let mut response = rendered(story.status, &page);
        // Whoever knows the request can say where it came from: see `with_way_back`.
        response.extensions_mut().insert(page);
        if let Some(word) = refused {
            let headers = response.headers_mut();
            headers.insert(REFUSED, HeaderValue::from_static(word));
        }
        if let Some(seconds) = seconds {
            let headers = response.headers_mut();
            headers.insert(header::RETRY_AFTER, HeaderValue::from(seconds));
            if asks_again {
                headers.insert(header::REFRESH, HeaderValue::from(seconds));
            }
        }
        response
    }
}

#[cfg(test)]
mod tests;
