//! What goes wrong on the way to an answer, and what of it goes back with a form. How a failure is shown is
//! said in `error_page.rs`.

use crate::app::AppError;
use crate::domain::custody::THE_CASE_IS_CLOSED;
use crate::domain::form::Proof;
use crate::domain::values::fault::Fault;
use axum::http::StatusCode;

/// A failure on its way to the browser.
#[derive(Debug)]
pub enum WebError {
    App(AppError),
    /// The request itself is broken: its body, its encoding, its type, its method, its path.
    Request {
        status: StatusCode,
        happened: String,
    },
    /// An unsafe request that does not come from one of our own pages.
    ForeignOrigin,
    /// No answer was ready in time. What was sent may have been stored all the same.
    TooSlow,
    /// Asked under a name that is not this installation's.
    ForeignHost,
    /// Signed out in this browser, and the database could not end the session.
    NotEnded(AppError),
    /// Not signed in, or no longer. Holds where to go after signing in, for requests that may be repeated,
    /// and otherwise what was sent, label and text, so that it is not lost.
    SignedOut {
        next: Option<String>,
        sent: Vec<(String, String)>,
    },
    /// Sent from a page that somebody else has opened than who is signed in now. Holds what was sent, label and text.
    AnotherPerson {
        sent: Vec<(String, String)>,
    },
    /// Typed into a draft that was signed or given up meanwhile. Holds what of it is said nowhere now, label and text, and
    /// where the prescription is written.
    DraftOver {
        happened: String,
        sent: Vec<(String, String)>,
        form: String,
    },
    /// Here by a code, and asked for what needs the password. Holds what was sent, label and text.
    NeedsPassword {
        sent: Vec<(String, String)>,
    },
    /// Not let through to where it would have been entered, and why. Holds what was sent, label and text.
    NotCarriedOut {
        why: Box<WebError>,
        sent: Vec<(String, String)>,
    },
    /// Asked too often under addresses of calendars that open nothing.
    WrongAddresses {
        minutes: i64,
    },
    Template(askama::Error),
}

impl From<AppError> for WebError {
    fn from(error: AppError) -> WebError {
        WebError::App(error)
    }
}

impl From<askama::Error> for WebError {
    fn from(error: askama::Error) -> WebError {
        WebError::Template(error)
    }
}

impl WebError {
    /// A request that is broken in itself.
    pub fn request(status: StatusCode, happened: impl Into<String>) -> WebError {
        WebError::Request {
            status,
            happened: happened.into(),
        }
    }

    /// For how many seconds whoever has met this has to wait, as its page says.
    pub fn wait_s(&self) -> Option<i64> {
        match self {
            WebError::App(error) => wait_s(error),
            WebError::NotCarriedOut { why, .. } => match why.as_ref() {
                WebError::App(error) => wait_s(error),
                _ => None,
            },
            WebError::WrongAddresses { minutes } => Some(60 * minutes),
            _ => None,
        }
    }

    /// Of whoever comes by an address that is a key: nobody has typed a password.
    pub fn by_address(error: AppError) -> WebError {
        match error {
            AppError::Closed { minutes } => WebError::WrongAddresses { minutes },
            other => other.into(),
        }
    }
}

/// An answer in plain words on purpose, for a machine that asks: it stays as it is, whatever its status.
#[derive(Debug, Clone, Copy)]
pub struct ForMachines;

/// The status of a page, and for how many seconds whoever gets it has to wait.
#[derive(Debug, Clone, Copy)]
pub struct PageStatus {
    pub code: StatusCode,
    pub wait_s: Option<i64>,
}

impl From<StatusCode> for PageStatus {
    fn from(code: StatusCode) -> PageStatus {
        PageStatus { code, wait_s: None }
    }
}

/// For how many seconds whoever has met this failure has to wait, as its words say.
pub fn wait_s(error: &AppError) -> Option<i64> {
    match error {
        AppError::Closed { minutes } => Some(60 * minutes),
        AppError::Busy | AppError::Counting => Some(10),
        _ => None,
    }
}

/// What goes back with a form: messages beside its fields, and sentences of the rules above it.
pub struct FormErrors {
    /// 422 for wrong fields, 409 where a rule stands against it, 429 after too many wrong passwords, 503 where too many wait.
    pub status: PageStatus,
    pub faults: Vec<Fault>,
    pub refusals: Vec<String>,
}

impl FormErrors {
    /// Any other failure has a page of its own.
    pub fn of(error: AppError) -> Result<FormErrors, WebError> {
        let wait_s = wait_s(&error);
        let status = |code| PageStatus { code, wait_s };
        match error {
            AppError::Invalid(faults) => Ok(FormErrors {
                status: status(StatusCode::UNPROCESSABLE_ENTITY),
                faults,
                refusals: Vec::new(),
            }),
            AppError::Refused(refusals) => Ok(FormErrors {
                status: status(StatusCode::CONFLICT),
                faults: Vec::new(),
                refusals,
            }),
            // Whoever mistypes a password with gloves on has filled the rest of the form in.
            AppError::Closed { minutes } => Ok(FormErrors {
                status: status(StatusCode::TOO_MANY_REQUESTS),
                faults: vec![Fault::new(Proof::password().key, closed_words(minutes))],
                refusals: Vec::new(),
            }),
            AppError::Busy => Ok(FormErrors {
                status: status(StatusCode::SERVICE_UNAVAILABLE),
                faults: vec![Fault::new(Proof::password().key, BUSY)],
                refusals: Vec::new(),
            }),
            other => Err(other.into()),
        }
    }
}

/// The header of a refusal that a script tells from others of the same status.
pub const REFUSED: &str = "vestibule-refused";

/// What is said where a page was opened by somebody else than who is signed in by now.
pub const ANOTHER_PERSON: &str = "Another person is signed in here now";

/// Why somebody may not do what was asked, or that a case is closed, in a word for scripts; none for any other failure.
pub fn refused_for(error: &WebError) -> Option<&'static str> {
    match error {
        WebError::ForeignOrigin => Some("origin"),
        WebError::AnotherPerson { .. } => Some("another-person"),
        WebError::NeedsPassword { .. } => Some("password"),
        WebError::App(AppError::Denied(_)) => Some("role"),
        WebError::App(AppError::Refused(all))
            if all.iter().any(|one| one == THE_CASE_IS_CLOSED) =>
        {
            Some("closed")
        }
        _ => None,
    }
}

/// When to try again after too many wrong passwords.
pub fn closed_words(minutes: i64) -> String {
    format!("Too many wrong passwords: {}.", again_in(minutes))
}

/// The same after too many addresses that open nothing.
pub fn wrong_addresses_words(minutes: i64) -> String {
    format!(
        "Too many calendar addresses from here open nothing: {}.",
        again_in(minutes)
    )
}

fn again_in(minutes: i64) -> String {
    match minutes {
        1 => "try again in 1 minute".to_owned(),
        _ => format!("try again in {minutes} minutes"),
    }
}

/// What is said where too many wait already.
pub const BUSY: &str = "Too many sign in at this moment: try again in 10 seconds.";
