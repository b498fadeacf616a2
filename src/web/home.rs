//! The first page, the scan box, and the heartbeat.

use super::agenda::{self, ListView};
use super::card_words::{SCAN, leads_to};
use super::error::{ForMachines, WebError};
use super::extract::{Query, SignedIn};
use super::frame::{Frame, page, page_with, see_other};
use super::keys::AT;
use crate::app::find::{self, Destination, FoundCases};
use crate::app::{App, AppError, Outage, Person, counted, health};
use crate::domain::custody::bench::ScanWord;
use crate::domain::people::access::Permission;
use crate::domain::trade::mould::Region;
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// Answers with the cases, or leads an administrator to the parties.
pub async fn home(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    if !person.may(Permission::ReadCases) {
        return Ok(see_other("/parties"));
    }
    person.refuse_if_no_cases(Permission::ReadCases)?;
    page(&agenda::page_of(&app, &person, &query).await?)
}

const BEHIND: &str =
    "entries are dated ahead of the clock, and nothing can be entered: the log says more\n";

/// What whoever watches is told, unless the clock has been set back behind the entries.
async fn unless_behind(app: &App, told: (StatusCode, &'static str)) -> (StatusCode, &'static str) {
    match health::is_behind(app).await {
        Ok(true) if told.0 == StatusCode::OK => (StatusCode::SERVICE_UNAVAILABLE, BEHIND),
        _ => told,
    }
}

/// The page for a text that leads to no single thing.
#[derive(Template)]
#[template(path = "find.html")]
pub struct FindPage {
    pub frame: Frame,
    pub typed: String,
    /// Why nothing was found, or what of it cannot be shown.
    pub message: String,
    /// What is said of a mould that is called so; empty for most.
    pub moulds: Vec<String>,
    /// Whether the mould list is one's own, to be looked at.
    pub has_list: bool,
    /// Cases in which the words occur.
    pub list: Option<ListView>,
}

/// Where a mould is listed, and whether anybody orders it.
fn of_moulds(found: &FoundCases) -> Vec<String> {
    let place = |(arch, region): &(Arch, Region)| format!("{} {}", arch.shown(), region.shown());
    let listed = found.moulds.iter().map(|mould| {
        let list = match &mould.lab {
            Some(lab) => format!("the mould list of {lab}"),
            None => "your mould list".to_owned(),
        };
        let places: Vec<String> = mould.places.iter().map(place).collect();
        let (code, version, places) = (&mould.code, mould.version, places.join(", "));
        format!("Mould “{code}” is in {list}, version {version}: {places}.")
    });
    let ordered = match (found.order_it, found.cases.is_empty()) {
        (true, _) => "These cases order it by the revision in force.",
        (false, true) => "No case orders it by the revision in force.",
        (false, false) => {
            "No case orders it by the revision in force. The words occur in these cases."
        }
    };
    let is_listed = !found.moulds.is_empty();
    let ordered = is_listed.then(|| ordered.to_owned());
    listed.chain(ordered).collect()
}

/// The address of what a code names; none where there are several.
pub fn address(found: &Destination) -> Option<String> {
    Some(match found {
        Destination::Cases(_) => return None,
        Destination::Case(number) => format!("/cases/{}", number.as_str()),
        Destination::Sheet(number, revision) => {
            format!("/cases/{}/revisions/{revision}", number.as_str())
        }
        Destination::SheetUnknown(number) | Destination::PassedOn(number) => {
            format!("/C/{}", number.as_str())
        }
        Destination::Patient(code) => format!("/patients/{}", code.as_str()),
        Destination::Item(tag) => format!("/items/{}", tag.as_str()),
        Destination::Bench(number, None) => format!("/cases/{}/bench", number.as_str()),
        Destination::Bench(number, Some(tag)) => {
            format!("/cases/{}/bench?scanned={}", number.as_str(), tag.as_str())
        }
        Destination::Handoff(id) => format!("/handoffs/{id}"),
    })
}

/// Leads to what was typed or scanned, or says why it leads nowhere.
pub async fn find(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let typed = query.text(SCAN).to_owned();
    if let Some(to) = word_of_the_card(&person, &query) {
        return Ok(see_other(&to));
    }
    match find::find(&app, &person, &typed).await {
        Ok(Destination::Cases(found)) => of_cases(&app, &person, typed, found).await,
        Ok(found) => Ok(see_other(address(&found).as_deref().unwrap_or("/"))),
        Err(AppError::Invalid(faults)) => in_vain(&app, &person, typed, faults),
        Err(other) => Err(other.into()),
    }
}

async fn of_cases(
    app: &App,
    person: &Person,
    typed: String,
    found: FoundCases,
) -> Result<Response, WebError> {
    page(&FindPage {
        frame: Frame::new(app, person, "Found", ""),
        typed,
        list: Some(agenda::found_list(app, person, &found).await?),
        moulds: of_moulds(&found),
        has_list: found.moulds.iter().any(|mould| mould.lab.is_none()),
        message: found.unreadable,
    })
}

fn in_vain(
    app: &App,
    person: &Person,
    typed: String,
    faults: Vec<Fault>,
) -> Result<Response, WebError> {
    let view = FindPage {
        frame: Frame::new(app, person, "Not found", ""),
        typed,
        message: messages(faults),
        moulds: Vec::new(),
        has_list: false,
        list: None,
    };
    page_with(StatusCode::NOT_FOUND, &view)
}

/// Where a word of the bench's card leads; scanned on the page of a case's bench, it is of that case.
fn word_of_the_card(person: &Person, query: &Query) -> Option<String> {
    let at = CaseNumber::parse(query.text(AT)).ok();
    let word = ScanWord::parse(query.text(SCAN)).filter(|_| person.may(Permission::WorkAtBench));
    leads_to(word?, at.as_ref())
}

/// What is wrong, in words.
pub fn messages(faults: Vec<Fault>) -> String {
    faults.into_iter().map(|fault| fault.message).collect()
}

/// What is said to whoever watches.
fn heartbeat(
    probed: Result<(), Outage>,
    (is_alike, is_compared, is_counted): (bool, bool, bool),
) -> (StatusCode, &'static str) {
    let down = |words| (StatusCode::SERVICE_UNAVAILABLE, words);
    match probed {
        Ok(()) if !is_compared => (
            StatusCode::OK,
            "ok, but whether the record is still in order could not be looked at: the log says more\n",
        ),
        Ok(()) if !is_counted => (
            StatusCode::OK,
            "ok, but what is stored is not what the record says: the log says more\n",
        ),
        Ok(()) if is_alike => (StatusCode::OK, "ok\n"),
        Ok(()) => (
            StatusCode::OK,
            "ok, but the tables in the database are not as this program makes them: the log says more\n",
        ),
        Err(Outage::DiskFull) => down("the disk is full\n"),
        Err(Outage::TakenAway) => {
            down("the database file was deleted or replaced while the program uses it\n")
        }
        Err(Outage::BesideKey) => down("the file record.last beside the key cannot be written\n"),
        Err(Outage::Record) => {
            down("the record in the database is not the one that its key has signed\n")
        }
        Err(Outage::NotCompared) => {
            down("whether the record is in order could not be looked at since the start\n")
        }
        Err(Outage::Gone | Outage::Shelf | Outage::Other) => down("the database does not answer\n"),
    }
}

/// Whether the program can do its work: it tries a write that leaves nothing.
pub async fn healthz(State(app): State<App>) -> Response {
    let probed = health::probe(&app).await;
    let in_order = (
        app.store.unlike().is_empty(),
        app.store.not_compared().is_none(),
        counted::found(&app).is_none(),
    );
    let (status, words) = heartbeat(probed, in_order);
    // Said as it is, for whoever watches: no page.
    let (status, words) = unless_behind(&app, (status, words)).await;
    (status, Extension(ForMachines), words).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whoever_watches_hears_that_the_record_could_not_be_looked_at() {
        for (probed, is_compared, status, said) in [
            (Ok(()), true, 200, "ok\n"),
            (Ok(()), false, 200, "ok, but whether the record"),
            (Err(Outage::NotCompared), false, 503, "since the start"),
            (Err(Outage::Record), false, 503, "is not the one"),
        ] {
            let (found, words) = heartbeat(probed, (true, is_compared, true));
            assert_eq!(found.as_u16(), status);
            assert!(words.contains(said), "{words}");
        }
        // Anybody may ask: what is wrong is said in words, and how many of what is for administrators.
        let outages = [
            Outage::DiskFull,
            Outage::Gone,
            Outage::TakenAway,
            Outage::Shelf,
            Outage::BesideKey,
            Outage::Record,
            Outage::NotCompared,
            Outage::Other,
        ];
        let probed = outages.into_iter().map(Err).chain([Ok(())]);
        for (probed, in_order) in probed.flat_map(|probed| {
            let looks = [
                (true, true, true),
                (false, true, true),
                (true, false, true),
                (true, true, false),
            ];
            looks.map(|in_order| (probed, in_order))
        }) {
            let (_, words) = heartbeat(probed, in_order);
            let is_number = |sign: char| sign.is_ascii_digit();
            assert!(!words.is_empty() && !words.contains(is_number), "{words}");
        }
        let (found, words) = heartbeat(Ok(()), (true, true, false));
        assert_eq!(found.as_u16(), 200);
        assert!(words.contains("not what the record says"), "{words}");
    }
}
