//! What was done at the bench, and by whom the case is done, as the fold keeps it.

use super::measures::MeasuredValue;
use super::mounting::Mounting;
use super::steps::BenchStep;
use super::timers::TimedRun;
use crate::domain::values::arch::Arches;
use crate::domain::values::figures::with_plain_digits;
use crate::domain::values::ids::{AccountId, EventId};
use crate::domain::values::moment::Moment;
use serde::{Deserialize, Serialize};
use time::Date;

/// The pan in which a case stands at the lab, and who works on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assignment {
    /// As the lab writes it; empty where it has none.
    pub pan: String,
    /// An account of the lab; none where it is nobody's.
    pub technician: Option<AccountId>,
    pub since: Moment,
}

impl Assignment {
    /// Whether this is what stands already; where nothing was ever entered, a case without pan and technician is.
    pub fn is_so(now: Option<&Assignment>, pan: &str, technician: Option<&AccountId>) -> bool {
        match now {
            Some(now) => now.pan == pan && now.technician.as_ref() == technician,
            None => pan.is_empty() && technician.is_none(),
        }
    }
}

/// Signs of a pan at most.
pub const PAN_MOST: usize = 8;

/// What is wrong with a pan as it was typed. A number on it keeps names of people off.
///
/// # Errors
/// A sentence for whoever typed it.
pub fn check_pan(pan: &str) -> Result<(), &'static str> {
    let fits = |sign: char| sign.is_alphanumeric() || matches!(sign, ' ' | '-' | '.' | '/');
    if pan.is_empty() {
        Ok(())
    } else if !pan.chars().all(fits) {
        Err("A pan has letters, digits, blanks, hyphens, dots and strokes only.")
    } else if !with_plain_digits(pan).contains(|sign: char| sign.is_ascii_digit()) {
        Err("A pan has a number, such as 14 or B-3.")
    } else {
        Ok(())
    }
}

/// A material with its lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UsedLot {
    pub material: String,
    /// Empty where it is not known.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub lot: String,
}

impl UsedLot {
    /// "Base resin, lot 26-0914"
    pub fn words(&self) -> String {
        match self.lot.as_str() {
            "" => format!("{}, no lot", self.material),
            lot => format!("{}, lot {lot}", self.material),
        }
    }
}

/// That something went in which is to be avoided, as an entry tells it; none where nothing was found.
pub fn avoided_words(why: &str) -> Option<String> {
    (!why.is_empty()).then(|| format!("To be avoided, and used all the same: {why}"))
}

/// A step that was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchEntry {
    /// The entry that says it.
    pub event: EventId,
    pub at: Moment,
    /// Who did it, with the house: the person, or the name on the paper it was copied from.
    pub by: String,
    /// The same without the house: at the bench everybody is of one.
    pub name: String,
    pub step: BenchStep,
    pub arches: Arches,
    /// The revision that it was done to.
    pub revision: i64,
    pub minutes: Option<u32>,
    pub used: Vec<UsedLot>,
    /// Why something of it went in that is to be avoided; empty where nothing was found.
    pub avoided_why: String,
    pub readings: Vec<MeasuredValue>,
    /// Whether the cast was photographed before; asked of flasking only.
    pub photographed: Option<bool>,
    pub no_photo: String,
    /// What timers came to.
    pub timed: Vec<TimedRun>,
    /// Until when matrix and casts are kept.
    pub keep_until: Option<Date>,
    /// On what it was mounted.
    pub mounting: Option<Mounting>,
    /// The picture that shows it, by the entry that added it.
    pub picture: Option<EventId>,
    pub note: String,
}

impl BenchEntry {
    /// The newest entry of this step for one of these arches that has come since the page was shown: two who did one thing
    /// together have a page each. `shown` is the newest entry that the page knew.
    pub fn since<'a>(
        entries: &'a [BenchEntry],
        shown: &str,
        (step, arches): (BenchStep, Arches),
    ) -> Option<&'a BenchEntry> {
        let known = entries.iter().position(|one| one.event.as_str() == shown);
        let newer = entries.get(known.map_or(0, |place| place + 1)..)?;
        let is_own =
            |one: &&BenchEntry| one.step == step && one.arches.shared_with(arches).0.is_some();
        newer.iter().rev().find(is_own)
    }
}

/// A step for the tests beside, entered at this time and told apart by it.
#[cfg(test)]
pub(super) fn entry(step: BenchStep, arches: Arches, at: i64) -> BenchEntry {
    BenchEntry {
        event: EventId::new(at.to_string()),
        at: Moment::new(at, 0),
        by: "Tom, Kiln".to_owned(),
        name: "Tom".to_owned(),
        step,
        arches,
        revision: 1,
        minutes: None,
        used: Vec::new(),
        avoided_why: String::new(),
        readings: Vec::new(),
        photographed: None,
        no_photo: String::new(),
        timed: Vec::new(),
        keep_until: None,
        mounting: None,
        picture: None,
        note: String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pan_is_short_and_has_a_number() {
        for pan in ["", "14", "B-3", "blue 7", "3/2", "P.12"] {
            assert_eq!(check_pan(pan), Ok(()), "{pan}");
        }
        for pan in ["blue", "14!", "a_1", "-"] {
            assert!(check_pan(pan).is_err(), "{pan}");
        }
    }

    #[test]
    fn what_would_change_nothing_is_told() {
        let technician = AccountId::new("tom");
        let now = Assignment {
            pan: "14".to_owned(),
            technician: Some(technician.clone()),
            since: Moment::new(0, 0),
        };
        // whether anything was entered, pan and technician as typed, whether that is so already
        for (is_entered, pan, is_toms, is_so) in [
            (false, "", false, true),
            (false, "14", false, false),
            (false, "", true, false),
            (true, "14", true, true),
            (true, "14", false, false),
            (true, "15", true, false),
            (true, "", false, false),
        ] {
            let now = Some(&now).filter(|_| is_entered);
            let technician = Some(&technician).filter(|_| is_toms);
            let found = Assignment::is_so(now, pan, technician);
            assert_eq!(found, is_so, "{is_entered} {pan:?} {is_toms}");
        }
    }

    #[test]
    fn an_entry_that_came_since_the_page_was_shown_is_found_for_its_step_and_arch() {
        let entries = [
            entry(BenchStep::Cured, Arches::Upper, 1),
            entry(BenchStep::Flasked, Arches::Both, 2),
            entry(BenchStep::Cured, Arches::Lower, 3),
        ];
        // what the page knew, step and arches, the entry that is found
        for (shown, step, arches, found) in [
            ("", BenchStep::Cured, Arches::Both, Some("3")),
            ("", BenchStep::Cured, Arches::Upper, Some("1")),
            ("1", BenchStep::Cured, Arches::Upper, None),
            ("1", BenchStep::Cured, Arches::Both, Some("3")),
            ("2", BenchStep::Flasked, Arches::Lower, None),
            ("1", BenchStep::Flasked, Arches::Lower, Some("2")),
            ("3", BenchStep::Cured, Arches::Both, None),
            // An entry that is not there: the page knew nothing.
            ("9", BenchStep::Flasked, Arches::Upper, Some("2")),
        ] {
            let since = BenchEntry::since(&entries, shown, (step, arches));
            let since = since.map(|one| one.event.as_str());
            assert_eq!(since, found, "{shown:?} {step:?} {arches:?}");
        }
    }
}
