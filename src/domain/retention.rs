//! How long papers are kept.
//!
//! The longest time of all jurisdictions that apply counts, and a legal hold stops the clock. Nothing is
//! destroyed by this: it only says until when a paper must be there.

use super::legal::Profile;
use time::{Date, Month};

/// The day until which, included, a paper issued on `issued` is kept under this profile; `None` where the
/// profile sets no time. 29 February goes on to 1 March in a year without it.
///
/// # Errors
/// A sentence where that day is beyond the calendar.
pub fn keep_until(
    issued: Date,
    profile: &Profile,
    implantable: bool,
) -> Result<Option<Date>, String> {
    let Some(keep) = profile.retention else {
        return Ok(None);
    };
    let longer = keep.implantable_years.filter(|_| implantable);
    let years = longer.map_or(keep.years, |longer| longer.max(keep.years));
    years_later(issued, years).map(Some)
}

fn years_later(day: Date, years: u8) -> Result<Date, String> {
    let year = day.year() + i32::from(years);
    day.replace_year(year)
        .or_else(|_| Date::from_calendar_date(year, Month::March, 1))
        .map_err(|_| "The calendar ends before that day.".to_owned())
}

/// A time and the jurisdiction that asks for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Longest<'a> {
    pub until: Date,
    pub profile: &'a Profile,
}

/// The longest of several jurisdictions; `None` where none of them sets a time. Of equal ones the first.
///
/// # Errors
/// As [`keep_until`].
pub fn longest<'a>(
    issued: Date,
    profiles: &[&'a Profile],
    implantable: bool,
) -> Result<Option<Longest<'a>>, String> {
    let mut found: Option<Longest<'a>> = None;
    for profile in profiles {
        let Some(until) = keep_until(issued, profile, implantable)? else {
            continue;
        };
        if found.is_none_or(|longest| until > longest.until) {
            found = Some(Longest { until, profile });
        }
    }
    Ok(found)
}

/// Whether a paper must still be there on a day: until the day itself, and always under a legal hold.
/// Without a known time it is kept.
pub fn must_be_kept(today: Date, until: Option<Date>, legal_hold: bool) -> bool {
    legal_hold || until.is_none_or(|until| today <= until)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::legal::profile;
    use proptest::prelude::*;
    use time::Duration;
    use time::macros::date;

    fn until(key: &str, implantable: bool) -> Option<Date> {
        let issued = date!(2024 - 03 - 10);
        keep_until(issued, profile(key).expect(key), implantable).expect("day")
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
        let oklahoma = profile("us-ok").expect("Oklahoma");
        assert_eq!(
            keep_until(date!(2024 - 02 - 29), oklahoma, false),
            Ok(Some(date!(2027 - 03 - 01)))
        );
        assert!(keep_until(Date::MAX, oklahoma, false).is_err());
    }

    #[test]
    fn the_longest_time_counts() {
        let profiles: Vec<&Profile> = ["us-ct", "eu", "us-fl", "common"]
            .map(|key| profile(key).expect(key))
            .to_vec();
        let found = longest(date!(2024 - 03 - 10), &profiles, false)
            .expect("days")
            .expect("time");
        assert_eq!(
            (found.profile.key.as_str(), found.until),
            ("eu", date!(2034 - 03 - 10))
        );
        assert_eq!(longest(date!(2024 - 03 - 10), &[], false), Ok(None));
    }

    #[test]
    fn a_hold_stops_the_clock() {
        let last = date!(2028 - 03 - 10);
        assert!(must_be_kept(last, Some(last), false));
        assert!(!must_be_kept(date!(2028 - 03 - 11), Some(last), false));
        assert!(must_be_kept(date!(2048 - 03 - 11), Some(last), true));
        assert!(must_be_kept(last, None, false));
    }

    proptest! {
        #[test]
        fn a_later_paper_is_never_free_earlier(days in 0_i64..20_000) {
            let issued = date!(1990 - 01 - 01) + Duration::days(days);
            for profile in crate::domain::legal::built_in() {
                let of = |day: Date| keep_until(day, profile, false).expect("day");
                prop_assert!(of(issued) <= of(issued + Duration::days(1)));
                let implanted = keep_until(issued, profile, true).expect("day");
                prop_assert!(implanted >= of(issued));
            }
        }
    }
}
