//! When an entry happened, who vouches for it, and the signature under it.
//!
//! Most entries are made while the thing is done. One that is copied from paper later keeps both times and
//! the name on the paper, and is marked as late wherever it is told.

use super::manage::Typed;
use super::sign_in::confirm_password;
use super::{App, AppError, Person};
use crate::clock::moment_at;
use crate::domain::custody::Signed;
use crate::domain::values::fault::Fault;
use crate::domain::values::moment::{Moment, parse_date};

/// Characters of the name on a paper.
const NAME_MOST: usize = 100;

/// An entry that is copied from paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Late {
    pub at: Moment,
    pub name: String,
}

/// Day, time and name on the paper, by the clock on the wall here; nothing typed is no late entry.
pub fn late(person: &Person, typed: &Typed, faults: &mut Vec<Fault>) -> Option<Late> {
    let text = |key: &str| typed.get(key).map(|text| text.trim()).unwrap_or_default();
    let (day, clock, name) = (text("late_day"), text("late_time"), text("late_name"));
    if day.is_empty() && clock.is_empty() && name.is_empty() {
        return None;
    }
    let date = parse_date(day).map_err(|why| faults.push(Fault::new("late_day", why)));
    let clock = parse_clock(clock).map_err(|why| faults.push(Fault::new("late_time", why)));
    if name.is_empty() || name.chars().count() > NAME_MOST {
        let why = format!("The name of whoever signed the paper, at most {NAME_MOST} characters.");
        faults.push(Fault::new("late_name", why));
    }
    let (date, (hour, minute)) = (date.ok()?, clock.ok()?);
    let Some(at) = moment_at(date, hour, minute, person.zone()) else {
        faults.push(Fault::new("late_day", "There is no such moment."));
        return None;
    };
    Some(Late {
        at,
        name: name.to_owned(),
    })
}

/// The last millisecond of a minute by the clock on the wall here: what was so by then.
pub fn end_of_minute(person: &Person, day: &str, clock: &str) -> Result<i64, &'static str> {
    let (date, (hour, minute)) = (parse_date(day)?, parse_clock(clock)?);
    let at = moment_at(date, hour, minute, person.zone()).ok_or("There is no such moment.")?;
    Ok(at.unix_ms + 59_999)
}

/// Hours and minutes: `14:05`, and what a browser may add in seconds.
fn parse_clock(typed: &str) -> Result<(u8, u8), &'static str> {
    const WANTED: &str = "Write the time as hours and minutes, such as 14:05.";
    let (hour, minute) = typed.split_once(':').ok_or(WANTED)?;
    let minute = minute.split(':').next().unwrap_or(minute);
    let (hour, minute) = (
        hour.parse().map_err(|_| WANTED)?,
        minute.parse().map_err(|_| WANTED)?,
    );
    if hour < 24 && minute < 60 {
        Ok((hour, minute))
    } else {
        Err("There is no such time of day.")
    }
}

/// A signature: the password is asked for each time, and what it means was shown beside it.
pub async fn signed(
    app: &App,
    person: &Person,
    typed: &Typed,
    meaning: &str,
) -> Result<Signed, AppError> {
    let password = typed.get("password").map(String::as_str);
    confirm_password(app, person, password.unwrap_or_default()).await?;
    Ok(Signed {
        name: person.account.name.clone(),
        licence: person.account.licence.clone(),
        meaning: meaning.to_owned(),
    })
}
