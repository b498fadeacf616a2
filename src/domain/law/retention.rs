//! How long papers are kept.
//!
//! The longest time of all profiles that apply counts, for each side, and a legal hold stops the clock.
//! Nothing is destroyed by this: it only says until when a paper must be there.

use crate::domain::law::card::LawCard;
use crate::domain::law::profile::{Keep, KeptBy};
use crate::domain::people::party::Side;
use time::{Date, Month};

/// The day until which, included, a paper issued on `issued` is kept. 29 February goes on to 1 March in a
/// year without it.
///
/// # Errors
/// A sentence where that day is beyond the calendar.
pub fn keep_until(issued: Date, keep: Keep, implantable: bool) -> Result<Date, String> {
    let longer = keep.implantable_years.filter(|_| implantable);
    let years = longer.map_or(keep.years, |longer| longer.max(keep.years));
    years_later(issued, years)
}

fn years_later(day: Date, years: u8) -> Result<Date, String> {
    let year = day.year() + i32::from(years);
    day.replace_year(year)
        .or_else(|_| Date::from_calendar_date(year, Month::March, 1))
        .map_err(|_| "The calendar ends before that day.".to_owned())
}

/// A time, and the name of the profile that asks for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Longest {
    pub until: Date,
    pub name: String,
}

/// The longest of several profiles; `None` where none of them sets a time. Of equal ones the first.
///
/// # Errors
/// As [`keep_until`].
pub fn longest<'a>(
    issued: Date,
    laws: impl IntoIterator<Item = (&'a str, Keep)>,
    implantable: bool,
) -> Result<Option<Longest>, String> {
    let mut found: Option<Longest> = None;
    for (name, keep) in laws {
        let until = keep_until(issued, keep, implantable)?;
        if found.as_ref().is_none_or(|longest| until > longest.until) {
            let name = name.to_owned();
            found = Some(Longest { until, name });
        }
    }
    Ok(found)
}

/// Until when office and lab keep something; `None` where no profile names a time.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Kept {
    pub office: Option<Longest>,
    pub lab: Option<Longest>,
}

/// Until when both sides keep a text signed on `signed` under these profiles. Both profiles count for both
/// sides, each for whom it names. A complete denture is no implantable device.
///
/// # Errors
/// As [`keep_until`].
pub fn kept(signed: Date, law: &[LawCard]) -> Result<Kept, String> {
    let of = |side: Side| {
        let named = law.iter().filter_map(|card| {
            let keep = card.keep.filter(|keep| names(keep.kept_by, side))?;
            Some((card.name.as_str(), keep))
        });
        longest(signed, named, false)
    };
    Ok(Kept {
        office: of(Side::Office)?,
        lab: of(Side::Lab)?,
    })
}

fn names(kept_by: KeptBy, side: Side) -> bool {
    match kept_by {
        KeptBy::Both => true,
        KeptBy::Dentist => side == Side::Office,
        KeptBy::Lab => side == Side::Lab,
    }
}

impl Kept {
    /// The later day for each side: what is kept of several texts.
    pub fn longer(self, other: Kept) -> Kept {
        let later = |one: Option<Longest>, other: Option<Longest>| match (one, other) {
            (Some(one), Some(other)) if other.until > one.until => Some(other),
            (one, other) => one.or(other),
        };
        Kept {
            office: later(self.office, other.office),
            lab: later(self.lab, other.lab),
        }
    }

    /// One line: `office until 2030-03-02 (Florida); laboratory until 2036-03-02 (European Union)`.
    pub fn words(&self) -> String {
        let side = |name: &str, longest: &Option<Longest>| match longest {
            Some(longest) => format!("{name} until {} ({})", longest.until, longest.name),
            None => format!("{name}: the profiles name no time"),
        };
        if self.office.is_none() && self.lab.is_none() {
            return "the profiles name no time; local law decides".to_owned();
        }
        let (office, lab) = (side("office", &self.office), side("laboratory", &self.lab));
        format!("{office}; {lab}; local law decides")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::law::profile::{Profile, profile};
    use proptest::prelude::*;
    use time::Duration;
    use time::macros::date;

    fn until(key: &str, implantable: bool) -> Option<Date> {
        let issued = date!(2024 - 03 - 10);
        let keep = profile(key).expect(key).retention?;
        Some(keep_until(issued, keep, implantable).expect("day"))
    }

    fn laws<'a>(keys: &[&str]) -> Vec<(&'a str, Keep)> {
        let law = |key: &&str| {
            let profile: &'static Profile = profile(key).expect(key);
            profile.retention.map(|keep| (profile.name.as_str(), keep))
        };
        keys.iter().filter_map(law).collect()
    }

    fn cards(office: &str, lab: &str) -> Vec<LawCard> {
        LawCard::of_case(&crate::domain::review::sample::law(office, lab))
    }

    #[test]
    fn each_law_has_its_years() {
        for (key, expected) in [
            // Fla. Admin. Code 64B5-17.006: four years, both sides.
            ("us-fl", Some(date!(2028 - 03 - 10))),
            // 59 O.S. 328.36a.
            ("us-ok", Some(date!(2027 - 03 - 10))),
            // W. Va. Code 30-4B-2; Miss. Code 73-9-55; Texas HB 933 of 1993.
            ("us-wv", Some(date!(2026 - 03 - 10))),
            ("us-ms", Some(date!(2026 - 03 - 10))),
            ("us-tx", Some(date!(2026 - 03 - 10))),
            // Conn. Gen. Stat. 20-122a.
            ("us-ct", Some(date!(2025 - 03 - 10))),
            // Regulation (EU) 2017/745, Annex XIII section 4.
            ("eu", Some(date!(2034 - 03 - 10))),
            // UK Medical Devices Regulations 2002.
            ("uk", Some(date!(2029 - 03 - 10))),
            ("common", None),
        ] {
            assert_eq!(until(key, false), expected, "{key}");
        }
        assert_eq!(until("eu", true), Some(date!(2039 - 03 - 10)));
        assert_eq!(until("uk", true), Some(date!(2039 - 03 - 10)));
        assert_eq!(
            profile("us-fl")
                .expect("Florida")
                .retention
                .expect("kept")
                .kept_by
                .word(),
            "both"
        );
    }

    #[test]
    fn the_leap_day_goes_on_to_march() {
        let oklahoma = profile("us-ok").expect("Oklahoma").retention.expect("time");
        assert_eq!(
            keep_until(date!(2024 - 02 - 29), oklahoma, false),
            Ok(date!(2027 - 03 - 01))
        );
        assert!(keep_until(Date::MAX, oklahoma, false).is_err());
    }

    #[test]
    fn the_longest_time_counts() {
        let issued = date!(2024 - 03 - 10);
        let found = longest(issued, laws(&["us-ct", "eu", "us-fl", "common"]), false);
        let found = found.expect("days").expect("time");
        assert_eq!(
            (found.name.as_str(), found.until),
            ("European Union", date!(2034 - 03 - 10))
        );
        assert_eq!(longest(issued, [], false), Ok(None));
    }

    #[test]
    fn each_side_keeps_what_a_profile_asks_of_it() {
        // The years as above: Florida both sides, Texas the dentist, European Union the lab.
        let issued = date!(2024 - 03 - 10);
        for (office, lab, words) in [
            (
                "us-fl",
                "eu",
                "office until 2028-03-10 (Florida); laboratory until 2034-03-10 (European Union); local law decides",
            ),
            (
                "eu",
                "us-fl",
                "office until 2028-03-10 (Florida); laboratory until 2034-03-10 (European Union); local law decides",
            ),
            (
                "us-tx",
                "common",
                "office until 2026-03-10 (Texas); laboratory: the profiles name no time; local law decides",
            ),
            (
                "common",
                "us-ny",
                "the profiles name no time; local law decides",
            ),
            (
                "no-such",
                "eu",
                "office: the profiles name no time; laboratory until 2034-03-10 (European Union); local law decides",
            ),
        ] {
            let kept = kept(issued, &cards(office, lab)).expect("days");
            assert_eq!(kept.words(), words, "{office} {lab}");
        }
        assert!(kept(Date::MAX, &cards("us-fl", "eu")).is_err());
    }

    #[test]
    fn of_several_texts_the_last_day_counts_for_each_side() {
        let of = |day, office, lab| kept(day, &cards(office, lab)).expect("days");
        let first = of(date!(2024 - 03 - 10), "us-fl", "eu");
        let second = of(date!(2025 - 03 - 10), "us-ct", "us-ct");
        for kept in [first.clone().longer(second.clone()), second.longer(first)] {
            let days = (
                kept.office.expect("office").until,
                kept.lab.expect("lab").until,
            );
            assert_eq!(days, (date!(2028 - 03 - 10), date!(2034 - 03 - 10)));
        }
    }

    proptest! {
        #[test]
        fn a_later_paper_is_never_free_earlier(days in 0_i64..20_000) {
            let issued = date!(1990 - 01 - 01) + Duration::days(days);
            for keep in crate::domain::law::profile::built_in().iter().filter_map(|one| one.retention) {
                let of = |day: Date| keep_until(day, keep, false).expect("day");
                prop_assert!(of(issued) <= of(issued + Duration::days(1)));
                let implanted = keep_until(issued, keep, true).expect("day");
                prop_assert!(implanted >= of(issued));
            }
        }
    }
}
