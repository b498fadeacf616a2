//! Days until the work is due, and how long perishable things wait.

use super::{Number, or_why, tenths};
use crate::domain::form::Whole;
use crate::domain::form::{Clock, Day, moments};
use crate::domain::prescription::{Prescription, SurfaceMaterial, SurfaceSource};
use crate::domain::trade::calendar::{FIRST_CHECK_SOURCE, first_check, working_days_between};
use crate::domain::trade::due;
use crate::domain::trade::lists::Lists;
use crate::domain::trade::material::{self, Alginate, Verdict};
use crate::domain::trade::perishable::sets;
use crate::domain::values::moment::{Moment, whole_day};
use time::Date;

pub fn add(document: &Prescription, today: Date, lists: &Lists, numbers: &mut Vec<Number>) {
    let sent = document.dates.sent.map_or(today, Day::date);
    let leaves = (sent, document.dates.sent_at);
    numbers.extend(bite_age(document, leaves));
    numbers.extend(worn(document));
    numbers.extend(surface_age(document, leaves));
    numbers.extend(dry(document, sent));
    numbers.extend(until_due(document, sent, lists));
    numbers.extend(earliest(document, leaves, lists));
    numbers.extend(check(document, lists));
}

fn unit(days: i64) -> &'static str {
    if days == 1 { "day" } else { "days" }
}

/// Beyond this, days say more than hours.
const HOURS_UNTIL_MINUTES: i64 = 48 * 60;

fn waited(section: &'static str, label: &str, verdict: Verdict, to_the_minute: bool) -> Number {
    let days = verdict.minutes / (24 * 60);
    let number = if to_the_minute && verdict.minutes < HOURS_UNTIL_MINUTES {
        Number::new(section, label, tenths(verdict.minutes as f64 / 60.0), "h")
            .note("By the two times written.")
    } else {
        Number::new(section, label, days.to_string(), unit(days))
            .note("Whole days, until it is sent, or until today where no such day is written.")
    };
    number
        .note(verdict.said.sentence)
        .source(verdict.said.source)
}

/// A day with its time, where one is written.
type When = (Date, Option<Clock>);

/// How long something waited, as `judge` judges it. On the very day hours count, and both times are
/// needed for them.
fn aged(
    section: &'static str,
    label: &'static str,
    from: When,
    to: When,
    judge: impl Fn(Moment, Moment) -> Result<Verdict, String>,
) -> Number {
    let Some((start, end)) = moments(from, to) else {
        return Number::new(section, label, "0", "days").note(
            "Sent on the day it was taken: hours count then, not days. Write both times beside their days.",
        );
    };
    let exact = from.1.is_some() && to.1.is_some();
    let number = judge(start, end).map(|verdict| waited(section, label, verdict, exact));
    or_why(section, label, number)
}

fn bite_age(document: &Prescription, sent: When) -> Option<Number> {
    const LABEL: &str = "Age of the bite record when sent";
    let jaw = &document.jaw;
    let (taken, material) = (jaw.taken_on?.date(), jaw.material?);
    let judge = |from, to| material::jaw_record(material, from, to);
    Some(aged("jaw", LABEL, (taken, jaw.taken_at), sent, judge))
}

/// How long a functional surface formed in the mouth.
fn worn(document: &Prescription) -> Option<Number> {
    const LABEL: &str = "Functional surface worn for";
    let impression = &document.impression;
    let placed = (impression.placed_on?.date(), impression.placed_at);
    let removed = (impression.removed_on?.date(), impression.removed_at);
    if impression.source != Some(SurfaceSource::Functional) || sets(impression.material) {
        return None;
    }
    let number = aged(
        "impression",
        LABEL,
        placed,
        removed,
        material::functional_wear,
    );
    Some(number.range("about 24 h"))
}

fn surface_age(document: &Prescription, sent: When) -> Option<Number> {
    const LABEL: &str = "Age of the tissue surface when sent";
    let impression = &document.impression;
    let taken = (impression.removed_on?.date(), impression.removed_at);
    let hours = impression.keeps_hours.map(Whole::get);
    let alginate = match hours.and_then(|hours| u32::try_from(hours).ok()) {
        Some(hours) => Alginate::Extended { hours },
        None => Alginate::Ordinary { moist: true },
    };
    let number = match (impression.source, impression.material) {
        (_, Some(SurfaceMaterial::Alginate)) => {
            aged("impression", LABEL, taken, sent, |from, to| {
                material::alginate(alginate, from, to)
            })
        }
        (Some(SurfaceSource::Functional), material) if !sets(material) => aged(
            "impression",
            LABEL,
            taken,
            sent,
            material::functional_surface,
        ),
        _ => return None,
    };
    Some(match hours {
        Some(hours) => number.range(format!("as the maker’s sheet says: up to {hours} h")),
        None => number,
    })
}

/// How long a denture in the box has been dry.
fn dry(document: &Prescription, sent: Date) -> Option<Number> {
    const LABEL: &str = "Dry until sent";
    let since = document.enclosures.dry_since?.date();
    if since == sent {
        return None;
    }
    let number = aged(
        "enclosures",
        LABEL,
        (since, None),
        (sent, None),
        material::dry_storage,
    );
    Some(number.range("kept in water"))
}

fn until_due(document: &Prescription, sent: Date, lists: &Lists) -> Option<Number> {
    const LABEL: &str = "Working days until due";
    let wanted = document.dates.wanted?.date();
    if wanted < sent {
        return Some(Number::none(
            "dates",
            LABEL,
            format!(
                "The work is wanted by {}, before it is sent on {}.",
                whole_day(wanted),
                whole_day(sent)
            ),
        ));
    }
    let days = working_days_between(sent, wanted, &[&lists.office_open(), &lists.lab_open()]);
    Some(
        Number::new("dates", LABEL, days.to_string(), unit(i64::from(days)))
            .note(format!(
                "From {} to {}, {}.",
                whole_day(sent),
                whole_day(wanted),
                lists.days_words()
            ))
            .source("calendar"),
    )
}

/// The first day on which the longest of the pieces can be back.
fn earliest(document: &Prescription, sent: When, lists: &Lists) -> Option<Number> {
    const LABEL: &str = "Earliest day in the dentist’s hands";
    let (work, found) = due::earliest(document, sent, lists)?;
    let days = work.lab_days?;
    let number = found.map(|found| {
        let number = Number::new("dates", LABEL, whole_day(found.in_hands), "");
        if work.is_under_way {
            return number
                .note("The work is under way: by the plan of the case.")
                .source(&work.source);
        }
        number
            .note(format!(
                "{days} lab days, {}; {} on the way there and {} back, {}.",
                work.words,
                work.way.there,
                work.way.back,
                lists.days_words()
            ))
            .source(&work.source)
    });
    Some(or_why("dates", LABEL, number))
}

/// The day of the first check.
fn check(document: &Prescription, lists: &Lists) -> Option<Number> {
    const LABEL: &str = "First check after insertion";
    let insertion = document.dates.insertion?.date();
    let number = first_check(insertion, &lists.office_open()).map(|day| {
        Number::new("dates", LABEL, whole_day(day), "")
            .note(format!("The day after insertion; {}.", lists.days_words()))
            .source(FIRST_CHECK_SOURCE)
    });
    Some(or_why("dates", LABEL, number))
}
