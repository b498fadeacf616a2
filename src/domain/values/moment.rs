//! A moment with the offset of the place where it happened.

use serde::{Deserialize, Serialize};
use std::fmt;
use time::{OffsetDateTime, UtcOffset};

/// A moment: milliseconds since 1970 UTC, and the local clock's offset then and there, in minutes.
/// Both are kept, because a handoff on paper is read by local time and ordered by world time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Moment {
    pub unix_ms: i64,
    pub offset_min: i16,
}

impl Moment {
    pub fn new(unix_ms: i64, offset_min: i16) -> Moment {
        Moment {
            unix_ms,
            offset_min,
        }
    }

    /// The local date and time; the epoch for a moment outside the calendar (years -9999 to 9999).
    fn local(self) -> OffsetDateTime {
        let offset = UtcOffset::from_whole_seconds(i32::from(self.offset_min) * 60)
            .unwrap_or(UtcOffset::UTC);
        OffsetDateTime::from_unix_timestamp_nanos(i128::from(self.unix_ms) * 1_000_000)
            .ok()
            .and_then(|at| at.checked_to_offset(offset))
            .unwrap_or(OffsetDateTime::UNIX_EPOCH)
    }

    /// The local calendar day.
    pub fn date(self) -> time::Date {
        self.local().date()
    }

    /// `2026-03-02`
    pub fn day(self) -> String {
        show_date(self.date())
    }

    /// `14:05`
    pub fn clock(self) -> String {
        let local = self.local();
        format!("{:02}:{:02}", local.hour(), local.minute())
    }

    /// Minutes since the local midnight.
    pub fn minutes(self) -> u16 {
        let local = self.local();
        u16::from(local.hour()) * 60 + u16::from(local.minute())
    }

    /// `Mon 2 Mar 2026 14:05 +01:00`, for a page or a sentence; lists on papers and files keep the form of ISO 8601, by which a
    /// day is looked up.
    pub fn in_words(self) -> String {
        format!(
            "{} {} {}",
            whole_day(self.date()),
            self.clock(),
            self.offset()
        )
    }

    /// RFC 3339 with offset and milliseconds, for machines.
    pub fn rfc3339(self) -> String {
        let local = self.local();
        format!(
            "{}T{:02}:{:02}:{:02}.{:03}{}",
            self.day(),
            local.hour(),
            local.minute(),
            local.second(),
            local.millisecond(),
            self.offset()
        )
    }

    /// `+01:00`
    pub fn offset(self) -> String {
        let sign = if self.offset_min < 0 { '-' } else { '+' };
        let minutes = self.offset_min.unsigned_abs();
        format!("{sign}{:02}:{:02}", minutes / 60, minutes % 60)
    }
}

/// `2026-03-02`, the form of ISO 8601: in fields, lists and tables. A sentence has [`whole_day`].
pub fn show_date(date: time::Date) -> String {
    format!(
        "{:04}-{:02}-{:02}",
        date.year(),
        u8::from(date.month()),
        date.day()
    )
}

/// `Wed 25 Nov 2026`, for a sentence.
pub fn whole_day(date: time::Date) -> String {
    let short = |name: String| name.chars().take(3).collect::<String>();
    let (weekday, month) = (date.weekday().to_string(), date.month().to_string());
    let (weekday, month) = (short(weekday), short(month));
    format!("{weekday} {} {month} {}", date.day(), date.year())
}

/// The same words in one piece: with spaces at which no line ends.
pub fn in_one_piece(words: &str) -> String {
    words.replace(' ', "\u{A0}")
}

/// `Wed 25 Nov`; with the year where it is not that of `today`.
pub fn day_in_words(date: time::Date, today: time::Date) -> String {
    let whole = whole_day(date);
    let of_this_year = format!(" {}", today.year());
    whole
        .strip_suffix(&of_this_year)
        .unwrap_or(&whole)
        .to_owned()
}

/// A value that is a day, as `2026-11-25`, in words; any other as it is.
pub fn said_in_words(value: &str) -> String {
    let is_day = value.len() == 10 && value.trim() == value;
    let day = parse_date(value).ok().filter(|_| is_day);
    day.map_or_else(|| value.to_owned(), whole_day)
}

/// How far a day is off for whoever has to act by it: `today`, `in 4 days`, `3 days late`.
pub fn days_off(date: time::Date, today: time::Date) -> String {
    match (date - today).whole_days() {
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        -1 => "1 day late".to_owned(),
        days @ 2.. => format!("in {days} days"),
        days => format!("{} days late", days.unsigned_abs()),
    }
}

/// How long something took or lasts: `under a minute`, `5 min`, `3 h`, `2 days`; what has not begun yet, nothing.
pub fn lasting(from: Moment, to: Moment) -> String {
    let minutes = (to.unix_ms - from.unix_ms) / 60_000;
    match minutes {
        ..1 => "under a minute".to_owned(),
        1..120 => format!("{minutes} min"),
        120..2_880 => format!("{} h", minutes / 60),
        _ => format!("{} days", minutes / 1_440),
    }
}

/// When something was, for whoever looks on a day: `today 09:40`, `yesterday 16:05`, `3 days ago`. What a clock that was
/// ahead has written is told by its day.
pub fn since(at: Moment, today: time::Date) -> String {
    match (today - at.date()).whole_days() {
        0 => format!("today {}", at.clock()),
        1 => format!("yesterday {}", at.clock()),
        days @ 2.. => format!("{days} days ago"),
        _ => format!("on {}", whole_day(at.date())),
    }
}

/// Reads `2026-03-02`; also `2.3.2026` and `2/3/2026` are refused, since offices read them differently.
pub fn parse_date(typed: &str) -> Result<time::Date, &'static str> {
    const WANTED: &str = "Write the date as year-month-day, such as 2026-03-02.";
    let mut parts = typed.trim().split('-');
    let (Some(year), Some(month), Some(day), None) =
        (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return Err(WANTED);
    };
    if year.len() != 4 || month.is_empty() || day.is_empty() {
        return Err(WANTED);
    }
    let year: i32 = year.parse().map_err(|_| WANTED)?;
    let month: u8 = month.parse().map_err(|_| WANTED)?;
    let day: u8 = day.parse().map_err(|_| WANTED)?;
    let month = time::Month::try_from(month).map_err(|_| "There is no such month.")?;
    if !(1900..=2200).contains(&year) {
        return Err("This year is out of range.");
    }
    time::Date::from_calendar_date(year, month, day)
        .map_err(|_| "There is no such day in that month.")
}

/// `2026-03-02 14:05 +01:00`
impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} {}", self.day(), self.clock(), self.offset())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn r20_a_moment_at_the_end_of_the_calendar_is_written_too() {
        // 9999-12-31T23:59:59.999Z, the last millisecond that four digits of a year can write (RFC 3339).
        for (unix_ms, offset) in [(253_402_300_799_999, 840), (i64::MAX, 0), (i64::MIN, -720)] {
            assert!(!Moment::new(unix_ms, offset).to_string().is_empty());
        }
    }

    #[test]
    fn a_moment_is_written_by_its_local_clock_with_offset() {
        // 2022-02-22T19:22:22Z = 1645557742000 ms: RFC 9562, appendix A.6.
        let moment = Moment::new(1_645_557_742_000, 60);
        assert_eq!(moment.to_string(), "2022-02-22 20:22 +01:00");
        assert_eq!(moment.rfc3339(), "2022-02-22T20:22:22.000+01:00");
        // The example of RFC 9562 says that it is a Tuesday.
        assert_eq!(moment.in_words(), "Tue 22 Feb 2022 20:22 +01:00");
        assert_eq!(
            Moment::new(1_645_557_742_000, -330).to_string(),
            "2022-02-22 13:52 -05:30"
        );
    }

    #[test]
    fn only_a_value_that_is_a_day_is_said_in_words() {
        for (value, said) in [
            ("2026-11-25", "Wed 25 Nov 2026"),
            ("2026-2-3", "2026-2-3"),
            (" 2026-11-25", " 2026-11-25"),
            ("2026-11-31", "2026-11-31"),
            ("", ""),
        ] {
            assert_eq!(said_in_words(value), said);
        }
    }

    #[test]
    fn no_number_makes_a_moment_panic() {
        for unix_ms in [i64::MIN, -1, 0, i64::MAX] {
            for offset_min in [i16::MIN, -1, 0, i16::MAX] {
                assert!(!Moment::new(unix_ms, offset_min).rfc3339().is_empty());
            }
        }
    }

    #[test]
    fn a_day_is_told_with_its_weekday_and_how_far_off_it_is() {
        // 25 November 2026 is a Wednesday (computed on paper with the doomsday rule).
        let day = |text| parse_date(text).unwrap();
        let wednesday = day("2026-11-25");
        let table = [
            ("2026-11-25", "Wed 25 Nov", "today"),
            ("2026-11-26", "Thu 26 Nov", "tomorrow"),
            ("2026-11-24", "Tue 24 Nov", "1 day late"),
            ("2026-11-22", "Sun 22 Nov", "3 days late"),
            ("2026-12-01", "Tue 1 Dec", "in 6 days"),
            ("2027-01-02", "Sat 2 Jan 2027", "in 38 days"),
        ];
        for (text, words, off) in table {
            assert_eq!(day_in_words(day(text), wednesday), words);
            assert_eq!(days_off(day(text), wednesday), off);
        }
    }

    #[test]
    fn how_long_ago_something_was_is_told_by_the_clock_on_the_wall() {
        // 2022-02-22T19:22:22Z = 1645557742000 ms: RFC 9562, appendix A.6.
        const AT_MS: i64 = 1_645_557_742_000;
        const HOUR_MS: i64 = 3_600_000;
        let day = |text| parse_date(text).unwrap();
        let table = [
            (AT_MS, 0, "2022-02-22", "today 19:22"),
            (AT_MS, 0, "2022-02-23", "yesterday 19:22"),
            (AT_MS, 0, "2022-02-24", "2 days ago"),
            (AT_MS, 0, "2023-02-22", "365 days ago"),
            // Five hours later it is the next day in the one house and not in the other.
            (AT_MS + 5 * HOUR_MS, 0, "2022-02-23", "today 00:22"),
            (AT_MS + 5 * HOUR_MS, -300, "2022-02-23", "yesterday 19:22"),
            (AT_MS, 600, "2022-02-23", "today 05:22"),
            (AT_MS, 0, "2022-02-21", "on Tue 22 Feb 2022"),
        ];
        for (at, offset, today, words) in table {
            assert_eq!(since(Moment::new(at, offset), day(today)), words);
        }
    }

    #[test]
    fn dates_are_read_in_one_form_only() {
        assert_eq!(
            parse_date(" 2026-03-02 ").map(show_date),
            Ok("2026-03-02".into())
        );
        for wrong in [
            "",
            "2.3.2026",
            "02/03/2026",
            "2026-13-01",
            "2026-02-30",
            "26-3-2",
            "2026-3",
            "0000-01-01",
            "2026-03-02-1",
        ] {
            assert!(parse_date(wrong).is_err(), "{wrong}");
        }
    }
}
