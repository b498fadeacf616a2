//! Days until the work is due, and how long perishable things wait.

use super::{Number, or_why};
use crate::domain::calendar::{
    FIRST_CHECK_SOURCE, LAB_DAYS_SOURCE, OpenDays, Way, feasible, first_check, usual_lab_days,
    working_days_between,
};
use crate::domain::material::{self, Alginate, Verdict};
use crate::domain::moment::{Moment, show_date};
use crate::domain::prescription::{Day, Prescription, Stage, SurfaceMaterial, SurfaceSource};
use time::{Date, Time};

/// Days on which only weekends close: the parties' own holidays are not in the form.
fn weekdays() -> OpenDays {
    OpenDays::weekdays([])
}

pub fn add(document: &Prescription, today: Date, numbers: &mut Vec<Number>) {
    let sent = document.dates.sent.map_or(today, Day::date);
    numbers.extend(bite_age(document, sent));
    numbers.extend(surface_age(document, sent));
    numbers.extend(until_due(document, sent));
    numbers.extend(earliest(document, sent));
    numbers.extend(check(document));
}

/// Noon of a day. Only whole days are reckoned with, so that the zone does not matter.
fn noon(day: Date) -> Moment {
    let seconds = day.with_time(Time::MIDNIGHT).assume_utc().unix_timestamp() + 12 * 60 * 60;
    Moment::new(seconds.saturating_mul(1000), 0)
}

fn unit(days: i64) -> &'static str {
    if days == 1 { "day" } else { "days" }
}

fn waited(section: &'static str, label: &str, verdict: Verdict) -> Number {
    let days = verdict.minutes / (24 * 60);
    Number::new(section, label, days.to_string(), unit(days))
        .note("Whole days, until it is sent, or until today where no such day is written.")
        .note(verdict.told.sentence)
        .source(verdict.told.source)
}

/// On the very day hours would count, and the form does not hold both of them.
fn same_day(section: &'static str, label: &str) -> Number {
    Number::new(section, label, "0", "days").note(
        "Sent on the day it was taken: hours count then, not days. Write the time beside the day.",
    )
}

fn bite_age(document: &Prescription, sent: Date) -> Option<Number> {
    const LABEL: &str = "Age of the bite record when sent";
    let taken = document.jaw.taken_on?.date();
    let material = document.jaw.material?;
    if taken == sent {
        return Some(same_day("jaw", LABEL));
    }
    let verdict = material::jaw_record(material, noon(taken), noon(sent));
    Some(or_why(
        "jaw",
        LABEL,
        verdict.map(|verdict| waited("jaw", LABEL, verdict)),
    ))
}

fn surface_age(document: &Prescription, sent: Date) -> Option<Number> {
    const LABEL: &str = "Age of the tissue surface when sent";
    let taken = document.impression.removed_on?.date();
    if taken == sent {
        return Some(same_day("impression", LABEL));
    }
    let (taken, sent) = (noon(taken), noon(sent));
    let verdict = match (document.impression.source, document.impression.material) {
        (_, Some(SurfaceMaterial::Alginate)) => {
            material::alginate(Alginate::Ordinary { moist: true }, taken, sent)
        }
        (Some(SurfaceSource::Functional), _) => material::functional_surface(taken, sent),
        _ => return None,
    };
    Some(or_why(
        "impression",
        LABEL,
        verdict.map(|verdict| waited("impression", LABEL, verdict)),
    ))
}

fn until_due(document: &Prescription, sent: Date) -> Option<Number> {
    const LABEL: &str = "Working days until due";
    let wanted = document.dates.wanted?.date();
    if wanted < sent {
        return Some(Number::none(
            "dates",
            LABEL,
            format!(
                "The work is wanted by {}, before it is sent on {}.",
                show_date(wanted),
                show_date(sent)
            ),
        ));
    }
    let days = working_days_between(sent, wanted, &[&weekdays()]);
    Some(
        Number::new("dates", LABEL, days.to_string(), unit(i64::from(days)))
            .note(format!(
                "From {} to {}, Monday to Friday; holidays of the two houses are not counted.",
                show_date(sent),
                show_date(wanted)
            ))
            .source("calendar"),
    )
}

/// The first day that one laboratory's published days allow for the longest of the pieces.
fn earliest(document: &Prescription, sent: Date) -> Option<Number> {
    const LABEL: &str = "Earliest day by one lab’s calendar";
    let stages = document.order.pieces.iter().filter_map(|piece| piece.stage);
    let (days, stage): (u32, Stage) = stages
        .filter_map(|stage| Some((usual_lab_days(stage)?, stage)))
        .max_by_key(|(days, _)| *days)?;
    let open = weekdays();
    let number = feasible(sent, days, Way::USUAL, &open, &open).map(|found| {
        Number::new("dates", LABEL, show_date(found.in_hands), "")
            .note(format!(
                "{days} lab days for “{}”, a day there and a day back. The lab’s own calendar goes before it.",
                stage.shown()
            ))
            .source(LAB_DAYS_SOURCE)
    });
    Some(or_why("dates", LABEL, number))
}

fn check(document: &Prescription) -> Option<Number> {
    const LABEL: &str = "First check after insertion";
    let insertion = document.dates.insertion?.date();
    let number = first_check(insertion, &weekdays()).map(|day| {
        Number::new("dates", LABEL, show_date(day), "")
            .note("The day after insertion; Monday to Friday, holidays not counted.")
            .source(FIRST_CHECK_SOURCE)
    });
    Some(or_why("dates", LABEL, number))
}
