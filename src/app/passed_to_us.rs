//! Work that another laboratory has passed on to one's own: what is told of it, and what can be said.
//!
//! Nothing else of the case is told: the part of the signed text that its work needs, pictures and scans of its things that
//! are for the lab, and what the card says since is to be avoided; no other thing, no other entry, no agenda of office or
//! lab. Once the work is over, what is left is what was to be done, its things, and their way with its own entries.

use super::authorization;
use super::case_work::CaseWork;
use super::entry::late;
use super::health::refuse_if_forked;
use super::passing::movement;
use super::pictures::{self, PictureFile};
use super::proven::find_together;
use super::run::on_case::{OnCase, enter_on_case};
use super::scan_files::{self, ScanBytes};
use super::see_case::{SeenRevision, revision_of};
use super::since_packed::since_passed;
use super::{App, AppError, Person, PostKey, passed_sheet};
use crate::domain::custody::events::PassMoved;
use crate::domain::custody::forms::PassMoveForm;
use crate::domain::custody::{
    Description, Event, FiledScan, Hold, PassedWork, TakenPicture, What, describe_in,
};
use crate::domain::law::retention::{self, Longest};
use crate::domain::people::access::Permission;
use crate::domain::values::ids::{CaseNumber, EventId, Tag};
use crate::domain::values::moment::whole_day;
use crate::store::passed::{self, PassedRow};
use crate::store::{Connection, StoreError};
use time::Date;

/// What is left to a second laboratory of work that is over, said to whoever passes it on.
pub const AFTER_THE_END: &str = "Once all of it is back, or you have ended it, the second lab reads here only what was to \
     be done, which items it had, and their way with its own entries: the sheet, pictures, scans and its questions are \
     closed to it, and its authorization stays for as long as the profiles of local law have a lab keep its papers.";

/// Lines of the list at most: what is open stands first.
const LINES_MOST: i64 = 100;

/// One piece of work passed on to this house.
pub struct PassedToUs {
    pub work: CaseWork,
    pub pass: PassedWork,
}

impl PassedToUs {
    /// What holds its things up, one sentence each without its end; of what is not passed on nothing but that is told.
    pub fn held(&self) -> Vec<String> {
        let is_own = |tag: &Tag| self.pass.items.contains(tag);
        let holds = self.work.state.open_holds();
        let own = holds.filter(|hold| hold.waiting.iter().any(is_own));
        let words = |hold: &Hold| match &hold.tag {
            Some(tag) if is_own(tag) => match hold.detail.as_str() {
                "" => hold.words(&self.work.items),
                detail => format!("{} ({detail})", hold.words(&self.work.items)),
            },
            _ => "something of its parcel was found wrong".to_owned(),
        };
        own.map(words).collect()
    }

    /// What stands against working on it.
    pub fn cautions(&self) -> Vec<String> {
        let (work, pass, lab) = (&self.work, &self.pass, &self.work.lab.name);
        let mut words = Vec::new();
        if self.is_over() {
            words.push(format!(
                "This is over: do not work on it. Ask {lab} if you have anything of it."
            ));
            words.push(self.closed_words());
            return words;
        }
        if let Some(card) = work.card_since() {
            words.push(format!("{} Ask {lab} before you go on.", card.words()));
        }
        if pass.is_superseded(work.case.revision) {
            words.push(format!(
                "Revision {} of the prescription is superseded: ask {lab} before you go on.",
                pass.revision
            ));
        }
        words.extend(since_passed(work, pass));
        words.extend(self.held().into_iter().map(|why| {
            format!("Held: {why}. Make nothing more of it before the statement on that is signed; ask {lab}.")
        }));
        if let Some(halt) = &work.state.standstill {
            words.push(format!(
                "The work is {} since {}: make nothing more, and ask {lab}.",
                halt.halt.shown(),
                halt.since.in_words()
            ));
        }
        if pass.is_refused() || pass.awaits_consent() {
            words.push(format!(
                "The office has not agreed to it: ask {lab} before you go on."
            ));
        }
        words
    }

    /// Whether nothing is to be done to it any more.
    pub fn is_over(&self) -> bool {
        !self.pass.is_open() || self.work.case.closed
    }

    /// Whether the text and what shows its things are open to it: not before the office has agreed, where that is asked,
    /// and not once the work is over.
    pub fn is_open_to_us(&self) -> bool {
        !self.pass.is_refused() && !self.pass.awaits_consent() && !self.is_over()
    }

    /// Until when a lab keeps its papers of work that has ended, by the profiles with which the revision was signed.
    fn kept(&self) -> Option<Longest> {
        let over = self.over_on()?;
        let (_, document) = self.work.signed.of(self.pass.revision)?;
        retention::kept(over, &document.law).ok()?.lab
    }

    /// The day on which the work ended; of what nobody has ended, the day on which its case was closed.
    fn over_on(&self) -> Option<Date> {
        if let Some((ended, _)) = &self.pass.ended {
            return Some(ended.date());
        }
        let (work, mut events) = (&self.work, self.work.events.iter().rev());
        let closes = |event: &&Event| {
            matches!(event.what, What::Closed(_)) && work.state.withdrawn_on(&event.id).is_none()
        };
        let closing = events.find(closes).filter(|_| work.case.closed);
        closing.map(|event| event.at.date())
    }

    /// Whether the authorisation can be had: the order by which it works, and for as long as a lab keeps that.
    pub fn is_authorized(&self, today: Date) -> bool {
        let is_kept = || self.kept().is_some_and(|kept| today <= kept.until);
        !self.pass.awaits_consent() && (!self.is_over() || is_kept())
    }

    /// What is closed to it since the work is over.
    fn closed_words(&self) -> String {
        let paper = match self.kept() {
            Some(kept) => format!(
                "the authorization can be had until {} ({})",
                whole_day(kept.until),
                kept.name
            ),
            None => "the profiles of local law name no time for the authorization".to_owned(),
        };
        format!("The sheet, pictures and scans are closed since; {paper}.")
    }

    /// Pictures for the lab that show one of its things.
    pub fn pictures(&self) -> impl Iterator<Item = &TakenPicture> {
        let is_shown = |one: &&TakenPicture| {
            let is_its = one
                .item
                .as_ref()
                .is_some_and(|tag| self.pass.items.contains(tag));
            is_its && one.for_lab && self.is_open_to_us() && !one.is_erased()
        };
        self.work.state.pictures.iter().rev().filter(is_shown)
    }

    /// Scans for the lab of one of its things.
    pub fn scans(&self) -> impl Iterator<Item = &FiledScan> {
        let is_shown = |one: &&FiledScan| {
            let is_its = one
                .item
                .as_ref()
                .is_some_and(|tag| self.pass.items.contains(tag));
            is_its && one.for_lab && self.is_open_to_us() && !one.is_erased()
        };
        self.work.state.scans.iter().rev().filter(is_shown)
    }

    /// What has happened to its things on the way, oldest first.
    pub fn way(&self) -> Vec<Description> {
        let is_its = |what: &What| matches!(what, What::PassMoved(PassMoved { pass, .. }) if *pass == self.pass.event);
        let events = self.work.events.iter().filter(|one| is_its(&one.what));
        events
            .map(|event| describe_in(&self.work.items, &self.work.state, event))
            .collect()
    }
}

/// What is passed on to a house.
#[derive(Default)]
pub struct PassedList {
    pub all: Vec<PassedToUs>,
    /// Of how much more what is stored cannot be read, or no entry passes it on, or it is not listed.
    pub unread: usize,
}

/// All that is passed on to this house, what is open first.
pub async fn list(app: &App, person: &Person) -> Result<PassedList, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let rows = passed::of_party(&mut conn, person.party_id(), LINES_MOST).await?;
    let mut list = PassedList {
        all: Vec::new(),
        unread: passed::unlisted(&mut conn, person.party_id()).await?,
    };
    let readable = rows.iter().filter_map(|row| row.as_ref().ok());
    let numbers: Vec<CaseNumber> = readable.map(|row| row.case.clone()).collect();
    find_together(app, &mut conn, &numbers).await?;
    for row in rows {
        let read = match &row {
            Ok(row) => held(app, &mut conn, person, &row.event).await,
            Err(_) => Err(AppError::NotFound),
        };
        match read {
            Ok((work, pass)) => list.all.push(PassedToUs { work, pass }),
            // It hides no other, and whoever reads the list is given the count.
            Err(error) if error.is_of_one_alone() => {
                tracing::warn!(?row, %error, "work is left out of what is passed on");
                list.unread += 1;
            }
            Err(error) => return Err(error),
        }
    }
    list.all
        .sort_by_key(|one| (!one.pass.is_open(), one.pass.wanted));
    Ok(list)
}

/// One line of the list, with its case as the record says. Under a record that is another one, every page says so.
async fn held(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    event: &EventId,
) -> Result<(CaseWork, PassedWork), AppError> {
    let (work, pass) = CaseWork::passed_to(app, conn, person, event).await?;
    match work.hold(app, conn).await {
        Ok(()) | Err(AppError::Store(StoreError::Forked(_))) => Ok((work, pass)),
        Err(other) => Err(other),
    }
}

/// What of a case is passed on to this house, and open where any of it is: the code on a sheet names the case alone. A row
/// that cannot be read is counted in the list.
pub async fn of_case(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<Vec<EventId>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    of_case_on(app, &mut conn, person, number).await
}

/// The same on a reader that somebody holds. A row alone leads nobody to a case: what no entry passes on to this house is not
/// among them, and what is not as the record says is, so that its own page says why.
pub(super) async fn of_case_on(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    number: &CaseNumber,
) -> Result<Vec<EventId>, AppError> {
    if !person.may(Permission::WorkAtBench) {
        return Ok(Vec::new());
    }
    let rows = passed::of_party(conn, person.party_id(), LINES_MOST).await?;
    let mut own: Vec<PassedRow> = rows.into_iter().flatten().collect();
    own.retain(|row| row.case == *number);
    let any_open = own.iter().any(|row| row.is_open);
    own.retain(|row| row.is_open == any_open);
    let mut found = Vec::with_capacity(own.len());
    for row in own {
        match CaseWork::passed_to(app, conn, person, &row.event).await {
            Ok(_) | Err(AppError::Refused(_)) => found.push(row.event),
            Err(AppError::NotFound) => {}
            Err(other) => return Err(other),
        }
    }
    Ok(found)
}

/// One of them; what is passed on to others does not exist.
pub async fn see(app: &App, person: &Person, event: &EventId) -> Result<PassedToUs, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let (work, pass) = CaseWork::passed_to(app, &mut conn, person, event).await?;
    // Somebody works by what stands here, as at the bench.
    work.hold(app, &mut conn).await?;
    Ok(PassedToUs { work, pass })
}

/// A picture of one of its things.
pub async fn picture(
    app: &App,
    person: &Person,
    (event, id): (&EventId, &EventId),
) -> Result<PictureFile, AppError> {
    let one = see(app, person, event).await?;
    match one.pictures().any(|shown| shown.event == *id) {
        true => {
            let mut conn = app.store.read_at_once().await?;
            pictures::of_case(app, &mut conn, &one.work.case.number, id).await
        }
        false => Err(AppError::NotFound),
    }
}

/// A scan of one of its things, and what it is called where somebody saves it.
pub async fn scan(
    app: &App,
    person: &Person,
    (event, id): (&EventId, &EventId),
) -> Result<(ScanBytes, String), AppError> {
    let one = see(app, person, event).await?;
    match one.scans().any(|filed| filed.event == *id) {
        true => scan_files::of_case(app, person, &one.work.case.number, id).await,
        false => Err(AppError::NotFound),
    }
}

/// Enters that its things have come, or have gone back.
pub async fn moved(
    app: &App,
    person: &Person,
    event: &EventId,
    form: &PassMoveForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let late = late(person, form.from_paper.as_ref())?;
    let case = OnCase::PassedTo(event);
    enter_on_case(app, person, case, key, late.as_ref(), |_| {
        let what = PassMoved {
            pass: event.clone(),
            ..movement(form)
        };
        Ok(what.into())
    })
    .await
}

/// The revision that it is to be done to, with what stands against it since, for whoever may work to it.
async fn open_revision(
    app: &App,
    person: &Person,
    event: &EventId,
) -> Result<(PassedWork, SeenRevision), AppError> {
    let one = see(app, person, event).await?;
    if !one.is_open_to_us() {
        return Err(AppError::Refused(one.cautions()));
    }
    let seen = revision_of(one.work, one.pass.revision)?;
    Ok((one.pass, seen))
}

/// The sheet of its part of that revision.
pub async fn sheet_pdf(app: &App, person: &Person, event: &EventId) -> Result<Vec<u8>, AppError> {
    refuse_if_forked(app).await?;
    let (pass, seen) = open_revision(app, person, event).await?;
    passed_sheet::pdf(app, (&seen, &pass), person.paper()).await
}

/// Its front as a picture.
pub async fn front(app: &App, person: &Person, event: &EventId) -> Result<String, AppError> {
    let (pass, seen) = open_revision(app, person, event).await?;
    passed_sheet::front(app, (&seen, &pass), person.paper()).await
}

/// The authorisation as a paper: it names prescriber and pieces, and waits for the office as the sheet does. What
/// the office has refused says so on it.
pub async fn authorization_pdf(
    app: &App,
    person: &Person,
    event: &EventId,
) -> Result<Vec<u8>, AppError> {
    let one = see(app, person, event).await?;
    if !one.is_authorized(person.moment(app.outside.now_ms()).date()) {
        return Err(AppError::Refused(one.cautions()));
    }
    let seen = revision_of(one.work, one.pass.revision)?;
    authorization::pdf_of(app, person, &seen.work, &one.pass, &seen.revision).await
}
