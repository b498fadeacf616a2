//! Why a parcel is not there sooner, in a line beside its day.

use crate::app::dates::Planned;
use crate::domain::trade::house_days::clock_words;
use crate::domain::trade::parcel_waits::ParcelWait;
use crate::domain::trade::plan::{Leg, Whose};
use crate::domain::values::moment::day_in_words;
use crate::domain::values::words::counted;
use time::Date;

/// Closed days that are named: more of them are counted.
const NAMED: usize = 3;

fn house(whose: Whose) -> &'static str {
    match whose {
        Whose::Office => "office",
        Whose::Lab => "lab",
        Whose::Both => "office and lab",
    }
}

/// "Wed 4 Mar (office), Sat 7 Mar, Sun 8 Mar"
fn days(closed: &[(Date, Whose)], today: Date) -> String {
    let word = |(day, whose): &(Date, Whose)| {
        let day = day_in_words(*day, today);
        match whose {
            Whose::Both => day,
            Whose::Office | Whose::Lab => format!("{day} ({})", house(*whose)),
        }
    };
    let mut words: Vec<String> = closed.iter().take(NAMED).map(word).collect();
    if let Some(more @ 1..) = closed.len().checked_sub(NAMED) {
        words.push(format!("{} more", counted(more, "day")));
    }
    words.join(", ")
}

fn sentence(wait: &ParcelWait, today: Date) -> String {
    let day = |day: Date| day_in_words(day, today);
    match wait {
        ParcelWait::Fetching => "Packed, and waits for the carrier.".to_owned(),
        ParcelWait::HourOver(whose, hour, from) => format!(
            "It is past {} at the {}: nothing leaves before {}.",
            clock_words(*hour),
            house(*whose),
            day(*from)
        ),
        ParcelWait::ClosedToday(whose, from) => format!(
            "The {} is closed today: nothing leaves before {}.",
            house(*whose),
            day(*from)
        ),
        ParcelWait::OnItsWay(since) => format!("With the carrier since {}.", day(*since)),
        ParcelWait::CameLate(hour, counts) => format!(
            "It came after {} and counts for {}.",
            clock_words(*hour),
            day(*counts)
        ),
        ParcelWait::CameClosed(counts) => format!(
            "It came on a day on which the lab is closed, and counts for {}.",
            day(*counts)
        ),
        ParcelWait::ClosedBetween(closed) => {
            format!("Closed in between: {}.", days(closed, today))
        }
    }
}

/// Why the parcel of a step waits; empty where nothing is to be said, and for a step of the lab.
pub fn why(planned: &Planned, leg: Leg, today: Date) -> String {
    let own = planned.waits.iter().filter(|(of, _)| *of == leg);
    let waits = own.flat_map(|(_, waits)| waits);
    let sentences = waits.map(|wait| sentence(wait, today));
    sentences.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn each_reason_is_a_line_and_of_many_closed_days_the_first_are_named() {
        let today = date!(2026 - 03 - 02);
        let (office, both) = (Whose::Office, Whose::Both);
        let week = [
            (date!(2026 - 03 - 04), office),
            (date!(2026 - 03 - 07), both),
            (date!(2026 - 03 - 08), both),
            (date!(2026 - 03 - 09), office),
        ];
        for (wait, said) in [
            (ParcelWait::Fetching, "Packed, and waits for the carrier."),
            (
                ParcelWait::HourOver(office, 16 * 60, date!(2026 - 03 - 03)),
                "It is past 16:00 at the office: nothing leaves before Tue 3 Mar.",
            ),
            (
                ParcelWait::ClosedToday(Whose::Lab, date!(2026 - 03 - 03)),
                "The lab is closed today: nothing leaves before Tue 3 Mar.",
            ),
            (
                ParcelWait::OnItsWay(today),
                "With the carrier since Mon 2 Mar.",
            ),
            (
                ParcelWait::CameLate(16 * 60, date!(2026 - 03 - 03)),
                "It came after 16:00 and counts for Tue 3 Mar.",
            ),
            (
                ParcelWait::CameClosed(date!(2026 - 03 - 03)),
                "It came on a day on which the lab is closed, and counts for Tue 3 Mar.",
            ),
            (
                ParcelWait::ClosedBetween(week[..2].to_vec()),
                "Closed in between: Wed 4 Mar (office), Sat 7 Mar.",
            ),
            (
                ParcelWait::ClosedBetween(week.to_vec()),
                "Closed in between: Wed 4 Mar (office), Sat 7 Mar, Sun 8 Mar, 1 day more.",
            ),
        ] {
            assert_eq!(sentence(&wait, today), said);
        }
    }
}
