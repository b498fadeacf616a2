//! The one place where time, chance and identity enter. Everything else receives them as values, so
//! that a test chooses them and the pure rooms stay pure.

use crate::domain::values::ids::BODY_LENGTH;
use crate::domain::values::moment::Moment;
use base64::Engine;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

/// Where the time comes from.
#[derive(Debug, Clone)]
enum Clock {
    System,
    /// Stands at the given milliseconds until a test moves it.
    Fixed(Arc<AtomicI64>),
}

/// Where chance comes from.
#[derive(Debug, Clone)]
enum Chance {
    System,
    /// Counts up: the same test draws the same codes each time.
    Counted(Arc<AtomicU64>),
}

/// Time and chance for one running program.
#[derive(Debug, Clone)]
pub struct Outside {
    clock: Clock,
    chance: Chance,
}

/// Why the operating system gave no random bytes: nothing here may go on without them.
#[derive(Debug, thiserror::Error)]
#[error("the operating system gives no random bytes: {0}")]
pub struct NoChance(String);

impl Outside {
    pub fn system() -> Outside {
        Outside {
            clock: Clock::System,
            chance: Chance::System,
        }
    }

    /// For tests: the time stands still at `unix_ms`, chance counts up from `seed`.
    pub fn fixed(unix_ms: i64, seed: u64) -> Outside {
        Outside {
            clock: Clock::Fixed(Arc::new(AtomicI64::new(unix_ms))),
            chance: Chance::Counted(Arc::new(AtomicU64::new(seed))),
        }
    }

    /// For the demo: the time stands at `unix_ms` and is moved on, while chance is real, because the
    /// passwords and sessions made then are real.
    pub fn replayed(unix_ms: i64) -> Outside {
        Outside {
            clock: Clock::Fixed(Arc::new(AtomicI64::new(unix_ms))),
            chance: Chance::System,
        }
    }

    /// For tests and the demo: moves a fixed clock on (or back).
    pub fn pass(&self, milliseconds: i64) {
        if let Clock::Fixed(at) = &self.clock {
            at.fetch_add(milliseconds, Ordering::SeqCst);
        }
    }

    /// Milliseconds since 1970 UTC.
    #[expect(
        clippy::disallowed_methods,
        reason = "this is the place they are kept for"
    )]
    pub fn now_ms(&self) -> i64 {
        match &self.clock {
            Clock::Fixed(at) => at.load(Ordering::SeqCst),
            Clock::System => {
                // A calendar ends with the year 9999, and the clock of a computer does not.
                let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
                match since {
                    Ok(since) => i64::try_from(since.as_millis()).unwrap_or(i64::MAX),
                    Err(before) => {
                        i64::try_from(before.duration().as_millis()).map_or(i64::MIN, |ms| -ms)
                    }
                }
            }
        }
    }

    /// The time as an answer over HTTP says it.
    pub fn http_date(&self) -> Option<String> {
        http_date(self.now_ms())
    }

    #[expect(
        clippy::disallowed_methods,
        reason = "this is the place they are kept for"
    )]
    fn fill(&self, bytes: &mut [u8]) -> Result<(), NoChance> {
        match &self.chance {
            Chance::System => getrandom::fill(bytes).map_err(|error| NoChance(error.to_string())),
            Chance::Counted(counter) => {
                use sha2::Digest;
                for chunk in bytes.chunks_mut(32) {
                    let n = counter.fetch_add(1, Ordering::SeqCst);
                    let digest = sha2::Sha256::digest(n.to_be_bytes());
                    for (to, from) in chunk.iter_mut().zip(digest.iter()) {
                        *to = *from;
                    }
                }
                Ok(())
            }
        }
    }

    /// A new internal identifier, a version 4 UUID as text.
    pub fn identity(&self) -> Result<String, NoChance> {
        let mut bytes = [0; 16];
        self.fill(&mut bytes)?;
        Ok(uuid::Builder::from_random_bytes(bytes)
            .into_uuid()
            .to_string())
    }

    /// A secret for a cookie or a link: 256 bits as URL-safe text.
    pub fn token(&self) -> Result<String, NoChance> {
        let mut bytes = [0; 32];
        self.fill(&mut bytes)?;
        Ok(base64::engine::general_purpose::URL_SAFE_NO_PAD.encode(bytes))
    }

    /// 256 bits from which one action's salts are drawn.
    pub fn seed(&self) -> Result<[u8; 32], NoChance> {
        let mut bytes = [0; 32];
        self.fill(&mut bytes)?;
        Ok(bytes)
    }

    /// A salt of 16 bytes for a password hash.
    pub fn salt(&self) -> Result<[u8; 16], NoChance> {
        let mut bytes = [0; 16];
        self.fill(&mut bytes)?;
        Ok(bytes)
    }

    /// A code of some kind: draws until one is issuable (33 of 37 are).
    pub fn code<C>(&self, make: impl Fn([u8; BODY_LENGTH]) -> Option<C>) -> Result<C, NoChance> {
        loop {
            let mut body = [0; BODY_LENGTH];
            self.fill(&mut body)?;
            if let Some(code) = make(body) {
                return Ok(code);
            }
        }
    }
}

/// Nothing that this program writes is older: the first day of 2025, UTC.
const BEFORE_THIS_PROGRAM_MS: i64 = 1_735_689_600_000;

/// A clock that shows a time before this program was written, or none that a calendar has.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "the clock of this computer says {0}, which cannot be: everything that is signed has its date from it. Set the \
     clock, and start again"
)]
pub struct WrongClock(String);

/// Refuses a clock that cannot be right.
///
/// # Errors
/// With what the clock says.
pub fn refuse_wrong(now_ms: i64) -> Result<(), WrongClock> {
    let year_10000_ms = 253_402_300_800_000;
    if (BEFORE_THIS_PROGRAM_MS..year_10000_ms).contains(&now_ms) {
        return Ok(());
    }
    let shown = jiff::Timestamp::from_millisecond(now_ms);
    Err(WrongClock(shown.map_or_else(
        |_| format!("{now_ms} ms after 1970"),
        |at| at.to_string(),
    )))
}

/// The date of an answer as HTTP writes it (RFC 9110, 5.6.7); none for a year that it cannot write.
fn http_date(unix_ms: i64) -> Option<String> {
    let at = jiff::Timestamp::from_millisecond(unix_ms).ok()?;
    let written = jiff::fmt::rfc2822::DateTimePrinter::new();
    written.timestamp_to_rfc9110_string(&at).ok()
}

/// `unix_ms` by the wall clock of `zone`. An unknown zone reads as UTC; the form that takes a zone
/// checks it with [`is_zone`] first.
pub fn moment_in(unix_ms: i64, zone: &str) -> Moment {
    let offset_min = jiff::tz::TimeZone::get(zone)
        .ok()
        .and_then(|zone| {
            jiff::Timestamp::from_millisecond(unix_ms)
                .ok()
                .map(|at| zone.to_offset(at))
        })
        .and_then(|offset| i16::try_from(offset.seconds() / 60).ok())
        .unwrap_or(0);
    Moment::new(unix_ms, offset_min)
}

/// The moment at which a wall clock in `zone` shows this; the earlier one where the clock is set back, and
/// for a time that a clock change skips the one as far after it. None outside of the calendar.
pub fn moment_at(day: time::Date, hour: u8, minute: u8, zone: &str) -> Option<Moment> {
    let narrow = |number: u8| i8::try_from(number).ok();
    let wall = jiff::civil::DateTime::new(
        i16::try_from(day.year()).ok()?,
        narrow(u8::from(day.month()))?,
        narrow(day.day())?,
        narrow(hour)?,
        narrow(minute)?,
        0,
        0,
    )
    .ok()?;
    let zone_there = jiff::tz::TimeZone::get(zone).unwrap_or(jiff::tz::TimeZone::UTC);
    let at = zone_there.to_ambiguous_timestamp(wall).compatible().ok()?;
    Some(moment_in(at.as_millisecond(), zone))
}

/// Whether `zone` is a name of the IANA time zone database.
pub fn is_zone(zone: &str) -> bool {
    jiff::tz::TimeZone::get(zone).is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn summer_and_winter_have_their_offsets() {
        // EU summer time 2026 runs from 29 March to 25 October (Directive 2000/84/EC: last Sundays).
        assert_eq!(
            moment_in(1_767_225_600_000, "Europe/Vienna").to_string(),
            "2026-01-01 01:00 +01:00"
        );
        assert_eq!(
            moment_in(1_782_864_000_000, "Europe/Vienna").to_string(),
            "2026-07-01 02:00 +02:00"
        );
        assert_eq!(
            moment_in(1_782_864_000_000, "Nowhere/Atall").to_string(),
            "2026-07-01 00:00 +00:00"
        );
        assert!(is_zone("America/New_York") && !is_zone("Nowhere/Atall") && !is_zone(""));
    }

    #[test]
    fn a_wall_clock_is_read_in_summer_in_winter_and_where_it_jumps() {
        // As above: on 29 March 2026 the clock goes from 2 to 3, on 25 October from 3 to 2.
        for (day, hour, minute, shown) in [
            (date!(2026 - 01 - 15), 8, 5, "2026-01-15 08:05 +01:00"),
            (date!(2026 - 07 - 15), 8, 5, "2026-07-15 08:05 +02:00"),
            (date!(2026 - 03 - 29), 2, 30, "2026-03-29 03:30 +02:00"),
            (date!(2026 - 10 - 25), 2, 30, "2026-10-25 02:30 +02:00"),
        ] {
            let at = moment_at(day, hour, minute, "Europe/Vienna").unwrap();
            assert_eq!(at.to_string(), shown);
            assert_eq!(moment_in(at.unix_ms, "Europe/Vienna"), at);
        }
        assert_eq!(moment_at(date!(2026 - 01 - 15), 24, 0, "UTC"), None);
    }

    #[test]
    fn r18_a_clock_that_cannot_be_right_is_refused_with_what_it_says() {
        // 1969-07-20T20:17:40Z: http dates before 1970 cannot even be written.
        let moon = refuse_wrong(-14_182_940_000).unwrap_err().to_string();
        assert!(
            moon.contains("1969-07-20T20:17:40Z") && moon.contains("Set the clock"),
            "{moon}"
        );
        for wrong in [
            i64::MIN,
            0,
            1_735_689_599_999,
            253_402_300_800_000,
            i64::MAX,
        ] {
            assert!(refuse_wrong(wrong).is_err(), "{wrong}");
        }
        for right in [1_735_689_600_000, 1_796_000_000_000] {
            assert_eq!(refuse_wrong(right), Ok(()));
        }
    }

    #[test]
    fn r18_an_answer_is_dated_as_http_writes_it_or_not_at_all() {
        // The example of RFC 9110, 5.6.7.
        let written = http_date(784_111_777_000);
        assert_eq!(written.as_deref(), Some("Sun, 06 Nov 1994 08:49:37 GMT"));
        assert!(http_date(253_402_300_800_000).is_none() && http_date(i64::MIN).is_none());
    }

    #[test]
    fn counted_chance_repeats_and_does_not_repeat_itself() {
        let (one, other) = (Outside::fixed(0, 7), Outside::fixed(0, 7));
        let first = one.token().unwrap();
        assert_eq!(first, other.token().unwrap());
        assert_ne!(first, one.token().unwrap());
    }
}
