//! What every page has around it: title, navigation, scan box, notice, and the answer as HTML.

use super::card_words::{ENTER_STEP, SEND_QUESTION};
use super::done::Done;
use super::error::{PageStatus, WebError};
use super::extract::encode;
use super::turned::written_out;
use super::waiting::HaltBanner;
use super::whole::kept_whole;
use crate::app::case_work::{CaseDoubt, CaseWork};
use crate::app::witness::own_witness;
use crate::app::{App, AppError, Person, health, see_case};
use crate::domain::custody::bench::ScanWord;
use crate::domain::people::access::Permission;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use sha2::{Digest, Sha256};

/// A link of the navigation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NavLink {
    pub href: &'static str,
    pub label: &'static str,
    pub here: bool,
}

/// The frame of a page.
#[derive(Debug, Clone, Default)]
pub struct Frame {
    pub title: String,
    /// Name, role and party of who is signed in; none on the pages before.
    pub who: Option<(String, String)>,
    /// The account of who is signed in, under which the browser keeps what is typed and not sent; empty before.
    pub reader: String,
    pub nav: Vec<NavLink>,
    /// Whether the scan box stands on the page.
    pub scan: bool,
    /// Whether the scan box takes the focus: at the bench one scan follows the other.
    pub scan_focus: bool,
    /// The case at whose bench something is scanned; empty elsewhere.
    pub scan_case: String,
    /// The form that the scan box belongs to; empty where it is one by itself.
    pub scan_form: &'static str,
    /// The words of the card that send that form.
    pub scan_sends: &'static [ScanWord],
    pub notice: Option<String>,
    /// What has just been done, in words.
    pub done: Option<String>,
    /// That nothing can be entered, or what an administrator has to do something about soon.
    pub warning: Option<String>,
    /// How many alarms about the record nobody has cleared.
    pub alarms: i64,
    /// How many were let in of whom this person has not read yet.
    pub unread: i64,
    /// That the work of the case stands still, on each of its pages.
    pub halt: Option<HaltBanner>,
    /// That the card says of substances what the revision in force does not, and what to do about it.
    pub card: Option<(String, &'static str)>,
    /// Whether the case is not as the record says, so that its page offers nothing to be done.
    pub is_doubted: bool,
    /// On a device at the bench: who is here, and the address to which another person comes back.
    pub at_device: Option<(String, String)>,
    /// What the browser keeps and holds against what it kept before.
    pub witness: Option<Witness>,
}

/// What `static/witness.js` works with.
#[derive(Debug, Clone)]
pub struct Witness {
    pub key: String,
    pub checkpoint: String,
    /// The name of this party's witness keys; empty for an administrator.
    pub name: String,
}

impl Frame {
    /// A frame for pages before signing in.
    pub fn bare(title: &str) -> Frame {
        Frame {
            title: title.to_owned(),
            ..Frame::default()
        }
    }

    /// A frame for a signed-in person; `here` is the navigation link the page belongs to.
    pub fn new(app: &App, person: &Person, title: impl Into<String>, here: &str) -> Frame {
        let links = [
            ("/", "Cases", Permission::ReadCases),
            ("/bench", "Bench", Permission::WorkAtBench),
            ("/patients", "Patients", Permission::KeepPatients),
            ("/cases/new", "New case", Permission::PrepareCases),
            ("/moulds", "Mould list", Permission::KeepMoulds),
            ("/guides", "Shade guides", Permission::KeepGuides),
            ("/usual", "Usual values", Permission::ReadCases),
            ("/closed-days", "Closed days", Permission::KeepClosedDays),
            ("/lab-days", "Lab days", Permission::KeepMoulds),
            ("/reports", "Reports", Permission::ReadCases),
            ("/record", "Record", Permission::OwnAccount),
            (
                "/parties",
                "Offices and labs",
                Permission::ManageInstallation,
            ),
            ("/people", "People", Permission::ManageInstallation),
            ("/law", "Local law", Permission::OwnAccount),
            ("/account", "My account", Permission::OwnAccount),
        ];
        let party = person.party.as_ref().map(|party| party.name.as_str());
        let role = person.account.role.shown();
        Frame {
            title: title.into(),
            who: Some((
                person.account.name.clone(),
                party.map_or_else(|| role.to_owned(), |party| format!("{role}, {party}")),
            )),
            reader: person.account.id.to_string(),
            nav: links
                .into_iter()
                .filter(|(_, _, permission)| person.may(*permission))
                .map(|(href, label, _)| NavLink {
                    href,
                    label,
                    here: href == here,
                })
                .collect(),
            scan: person.may(Permission::ReadCases),
            scan_focus: false,
            scan_case: String::new(),
            scan_form: "",
            scan_sends: &[],
            notice: app.settings.notice.clone(),
            done: None,
            warning: health::warning(app, person.may(Permission::ManageInstallation)),
            alarms: person.alarms,
            unread: person.unread,
            halt: None,
            card: None,
            is_doubted: false,
            at_device: None,
            witness: Some(Witness {
                key: app.store.key().to_string(),
                checkpoint: person.checkpoint.clone(),
                name: own_witness(app, person),
            }),
        }
    }

    /// A frame for a page of a case.
    pub fn of_case(
        app: &App,
        person: &Person,
        work: &CaseWork,
        title: impl Into<String>,
    ) -> Result<Frame, AppError> {
        Frame::new(app, person, title, "").about(app, person, work)
    }

    /// With what stands on top of all pages of this case.
    pub fn about(self, app: &App, person: &Person, work: &CaseWork) -> Result<Frame, AppError> {
        let frame = Frame {
            halt: HaltBanner::of(app, person, work)?,
            card: work.card_words(),
            ..self
        };
        Ok(frame.doubted(work.doubt.as_ref()))
    }

    /// With what speaks against a case that is not as the record says.
    pub fn doubted(self, doubt: Option<&CaseDoubt>) -> Frame {
        match doubt {
            None => self,
            Some(doubt) => Frame {
                is_doubted: true,
                warning: Some(doubt.words().to_owned()),
                ..self
            },
        }
    }

    /// With what stands on top of all pages of a case, for a page whose own data do not hold the case.
    pub async fn on_case(
        self,
        app: &App,
        person: &Person,
        number: &CaseNumber,
    ) -> Result<Frame, AppError> {
        let view = see_case::see(app, person, number).await?;
        self.about(app, person, &view.work)
    }

    /// With the focus in the scan box.
    pub fn at_bench(self) -> Frame {
        Frame {
            scan_focus: true,
            ..self
        }
    }

    /// With the scan box in the form of a step at the bench of this case, where one is there.
    pub fn scanning(self, (case, has_step): (&CaseNumber, bool)) -> Frame {
        Frame {
            scan_case: case.as_str().to_owned(),
            scan_form: if has_step { "bench-step" } else { "" },
            scan_sends: ENTER_STEP,
            ..self
        }
    }

    /// With the scan box in this form of a case.
    pub fn scanning_into(self, case: &CaseNumber, form: &'static str) -> Frame {
        Frame {
            scan_case: case.as_str().to_owned(),
            scan_form: form,
            scan_sends: SEND_QUESTION,
            ..self
        }
    }

    /// Those words as they are scanned, with blanks between them.
    pub fn sending_words(&self) -> String {
        let words = self.scan_sends.iter().map(|word| word.text());
        words.collect::<Vec<_>>().join(" ")
    }

    /// On a device of the lab, with who is here and the way for another person.
    pub fn on_device(self, person: &Person, path: &str) -> Frame {
        let how = match &person.by_code {
            Some(at) => format!(", by code at {}", at.name),
            None => String::new(),
        };
        let who = format!("{}{how}", person.account.name);
        Frame {
            at_device: person.is_at_device().then(|| (who, encode(path))),
            ..self
        }
    }

    /// Without the notice of who was let in: for the page that says it.
    pub fn without_unread(self) -> Frame {
        Frame { unread: 0, ..self }
    }

    /// Says what has just been done, in words of one's own.
    pub fn with_notice(self, sentence: String) -> Frame {
        Frame {
            done: Some(sentence),
            ..self
        }
    }

    /// Says what has just been done; `word` comes from the address and is looked up, never shown.
    pub fn done(self, word: &str) -> Frame {
        let done = Done::of(word).map(|done| done.sentence().to_owned());
        Frame { done, ..self }
    }
}

/// Renders a page with status 200.
pub fn page(template: &impl Template) -> Result<Response, WebError> {
    page_with(StatusCode::OK, template)
}

/// Renders a page with a status; 422 for a form that comes back with messages.
pub fn page_with(
    status: impl Into<PageStatus>,
    template: &impl Template,
) -> Result<Response, WebError> {
    let status: PageStatus = status.into();
    let html = kept_whole(&written_out(&template.render()?));
    let mut response = (status.code, Html(html)).into_response();
    if let Some(seconds) = status.wait_s {
        let headers = response.headers_mut();
        headers.insert(header::RETRY_AFTER, HeaderValue::from(seconds));
    }
    Ok(response)
}

/// A redirect after a post: 303, so that a reload repeats nothing.
pub fn see_other(to: &str) -> Response {
    let location = HeaderValue::from_str(to).unwrap_or(HeaderValue::from_static("/"));
    (StatusCode::SEE_OTHER, [(header::LOCATION, location)]).into_response()
}

/// Back to a case, which says what has just been done.
pub fn back_to_case(number: &CaseNumber, done: Done) -> Response {
    see_other(&done.on_case(number))
}

/// A PDF to be opened or kept under `name` (ASCII).
pub fn pdf(name: &str, bytes: Vec<u8>) -> Response {
    let disposition = HeaderValue::from_str(&format!("inline; filename=\"{name}\""))
        .unwrap_or(HeaderValue::from_static("inline"));
    let kind = HeaderValue::from_static("application/pdf");
    (
        [
            (header::CONTENT_TYPE, kind),
            (header::CONTENT_DISPOSITION, disposition),
        ],
        bytes,
    )
        .into_response()
}

/// Days as a file for calendars to be kept under `name` (ASCII).
pub fn ics(name: &str, text: String) -> Response {
    let disposition = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""))
        .unwrap_or(HeaderValue::from_static("attachment"));
    let kind = HeaderValue::from_static("text/calendar; charset=utf-8");
    (
        [
            (header::CONTENT_TYPE, kind),
            (header::CONTENT_DISPOSITION, disposition),
        ],
        text,
    )
        .into_response()
}

/// A list as CSV to be kept under `name` (ASCII).
pub fn csv(name: &str, text: String) -> Response {
    let disposition = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""))
        .unwrap_or(HeaderValue::from_static("attachment"));
    let kind = HeaderValue::from_static("text/csv; charset=utf-8");
    (
        [
            (header::CONTENT_TYPE, kind),
            (header::CONTENT_DISPOSITION, disposition),
        ],
        text,
    )
        .into_response()
}

/// A short reference drawn from the detail itself: the same fault has the same reference.
pub fn reference(detail: &str) -> String {
    let digest = Sha256::digest(detail.as_bytes());
    digest
        .iter()
        .take(4)
        .map(|byte| format!("{byte:02X}"))
        .collect()
}
