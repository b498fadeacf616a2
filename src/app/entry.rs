//! When an entry happened, who vouches for it, and the signature under it.
//!
//! Most entries are made while the thing is done. One that is copied from paper later keeps both times and
//! the name on the paper, and is marked as late wherever it is told.

use super::sign_in::confirm_password;
use super::{App, AppError, Person};
use crate::clock::moment_at;
use crate::domain::custody::forms::{ExceptionForm, FromPaper, FromPaperForm};
use crate::domain::custody::{Exception, Signed};
use crate::domain::form::{Clock, Secret};
use crate::domain::people::access::Permission;
use crate::domain::values::figures::plain;
use crate::domain::values::moment::{Moment, parse_date};

/// An entry that is copied from paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Late {
    pub at: Moment,
    pub name: String,
}

/// Day, time and name on the paper, by the clock on the wall here.
pub fn late(person: &Person, paper: Option<&FromPaper>) -> Result<Option<Late>, AppError> {
    let Some(paper) = paper else { return Ok(None) };
    let (day, clock) = (paper.day.date(), paper.clock);
    let at = moment_at(day, clock.hour(), clock.minute(), person.zone()).ok_or_else(|| {
        AppError::field(FromPaperForm::late_day().key, "There is no such moment.")
    })?;
    Ok(Some(Late {
        at,
        name: paper.name.clone(),
    }))
}

/// The last millisecond of a minute by the clock on the wall here: what was so by then.
pub fn end_of_minute(person: &Person, day: &str, clock: &str) -> Result<i64, String> {
    let (date, clock) = (
        parse_date(&plain(day))?,
        Clock::try_from(plain(clock).into_owned())?,
    );
    let at = moment_at(date, clock.hour(), clock.minute(), person.zone())
        .ok_or("There is no such moment.")?;
    Ok(at.unix_ms + 59_999)
}

/// A signature: the password is asked for each time, and what it means was shown beside it.
pub async fn signed(
    app: &App,
    person: &Person,
    password: &Secret,
    meaning: &str,
) -> Result<Signed, AppError> {
    confirm_password(app, person, password.as_str()).await?;
    Ok(Signed {
        name: person.account.name.clone(),
        licence: person.account.licence.clone(),
        meaning: meaning.to_owned(),
    })
}

/// An exception: none without a reason; with one, the dentist's password again.
pub async fn exception(
    app: &App,
    person: &Person,
    reason: &str,
    password: &Secret,
) -> Result<Option<Exception>, AppError> {
    if reason.is_empty() {
        return Ok(None);
    }
    if !person.may(Permission::Sign) {
        return Err(AppError::field(
            ExceptionForm::reason().key,
            "Only the dentist signs an exception: leave this empty, or let the dentist do it.",
        ));
    }
    confirm_password(app, person, password.as_str()).await?;
    Ok(Some(Exception {
        name: person.account.name.clone(),
        licence: person.account.licence.clone(),
        reason: reason.to_owned(),
    }))
}
