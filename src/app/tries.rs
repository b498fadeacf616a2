//! Wrong passwords, counted by door: a name from one address, an address whatever the name, a name from anywhere, a
//! browser in which its owner has signed in before, somebody who is signed in; addresses of calendars that open none, by
//! where they were asked from; checkpoints that the record's key has not signed, by whoever sends them; and alarms, by whose
//! browser has found them. A try counts when it was wrong.
//!
//! The first is what keeps a guesser out, and keeps nobody else out with him. The second and third bound one who
//! guesses at many names, or from many addresses. Whoever has signed in in a browser before is asked at a door of his
//! own there, which nobody else can shut.

use super::run::write;
use super::visit::Visit;
use super::{App, AppError};
use crate::domain::people::account::pause_after;
use crate::domain::values::ids::AccountId;
use crate::store::people::{self, Failures};

const MINUTE_MS: i64 = 60_000;
const HOUR_MS: i64 = 60 * MINUTE_MS;
/// A count that is older is forgotten.
const DAY_MS: i64 = 24 * HOUR_MS;
/// Wrong passwords from one address in a quarter of an hour: an office of thirty, each of whom mistypes one.
const FROM_ONE_ADDRESS: i64 = 30;
/// Wrong passwords for one name in an hour, from wherever: twelve addresses with five tries each.
const FOR_ONE_NAME: i64 = 60;
/// Checkpoints that the record's key has not signed, of one person in an hour: a browser that keeps one sends it with each
/// page, and what it is told stays the same.
const FOREIGN_NOTES: i64 = 10;

/// Alarms of one person in a day: as many browsers as somebody has, each of which keeps one checkpoint.
const ALARMS: i64 = 5;

/// How a door is shut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rule {
    /// For longer with each wrong password in a row.
    InARow,
    /// Until the window ends in which so many were wrong.
    Window { most: i64, ms: i64 },
}

impl Rule {
    fn window_ms(self) -> i64 {
        match self {
            Rule::InARow => DAY_MS,
            Rule::Window { ms, .. } => ms,
        }
    }

    /// What one more wrong password makes of a count.
    fn after(self, before: Failures, now: i64) -> Failures {
        // A count of before the window, or of a clock that was ahead, is none.
        let holds = (0..self.window_ms()).contains(&(now - before.since_ms));
        let (count, since_ms) = match holds {
            true => (before.count + 1, before.since_ms),
            false => (1, now),
        };
        let closed_until_ms = match self {
            Rule::InARow => now + pause_after(count),
            Rule::Window { most, ms } if count >= most => since_ms + ms,
            Rule::Window { .. } => 0,
        };
        Failures {
            count,
            since_ms,
            closed_until_ms,
        }
    }

    /// Minutes for which the door stays shut; none where it is open. What a clock that was ahead has shut is open.
    fn shut_for(self, found: Failures, now: i64) -> Option<i64> {
        let left = found.closed_until_ms - now;
        let longest = self.window_ms();
        (left > 0 && left <= longest).then(|| (left + MINUTE_MS - 1) / MINUTE_MS)
    }
}

/// What a try is counted of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Doors(Vec<(String, Rule)>);

impl Doors {
    /// Of somebody who signs in. A sign-in name holds no `@`.
    pub fn of_sign_in(login: &str, visit: &Visit, is_known: bool) -> Doors {
        if let Some(browser) = visit.known_as.as_ref().filter(|_| is_known) {
            return Doors(vec![(format!("browser:{login}:{browser}"), Rule::InARow)]);
        }
        let house = visit.house();
        let from = house.map_or_else(String::new, |house| house.to_string());
        // What is no name has no door of its own: all that is typed so would share it.
        let is_name = !login.is_empty();
        let mut doors = Vec::new();
        if is_name {
            doors.push((format!("{login}@{from}"), Rule::InARow));
        }
        if house.is_some() {
            let rule = Rule::Window {
                most: FROM_ONE_ADDRESS,
                ms: 15 * MINUTE_MS,
            };
            doors.push((format!("@{from}"), rule));
        }
        if is_name {
            let rule = Rule::Window {
                most: FOR_ONE_NAME,
                ms: HOUR_MS,
            };
            doors.push((format!("{login}@*"), rule));
        }
        Doors(doors)
    }

    /// Of somebody who is signed in and types the password again: a stranger who guesses at the door keeps nobody
    /// from signing.
    pub fn of_account(account: &AccountId) -> Doors {
        Doors(vec![(format!("again:{account}"), Rule::InARow)])
    }

    /// Of whoever asks for a calendar by an address that opens none. Nobody is counted who has no address of his own.
    pub fn of_feed(visit: &Visit) -> Doors {
        let rule = Rule::Window {
            most: FROM_ONE_ADDRESS,
            ms: 15 * MINUTE_MS,
        };
        let house = visit.house();
        let door = house.map(|house| (format!("feed@{house}"), rule));
        Doors(door.into_iter().collect())
    }

    /// Of somebody whose browser sends a checkpoint that the record's key has not signed.
    pub fn of_foreign_notes(account: &AccountId) -> Doors {
        let rule = Rule::Window {
            most: FOREIGN_NOTES,
            ms: HOUR_MS,
        };
        Doors(vec![(format!("note:{account}"), rule)])
    }

    /// Of somebody whose browser has found what is an alarm for everybody.
    pub fn of_alarms(account: &AccountId) -> Doors {
        let rule = Rule::Window {
            most: ALARMS,
            ms: DAY_MS,
        };
        Doors(vec![(format!("alarm:{account}"), rule)])
    }

    /// The name under which its tries are looked at one after the other.
    pub fn name(&self) -> &str {
        self.0.first().map_or("", |(name, _)| name)
    }

    /// Whether one may try.
    ///
    /// # Errors
    /// If one of the doors is shut.
    pub async fn ask(&self, app: &App) -> Result<(), AppError> {
        let now = app.outside.now_ms();
        let mut conn = app.store.read().await?;
        let mut longest = None;
        for (name, rule) in &self.0 {
            let found = people::failures(&mut conn, name).await?;
            longest = longest.max(rule.shut_for(found, now));
        }
        match longest {
            Some(minutes) => Err(AppError::Closed { minutes }),
            None => Ok(()),
        }
    }

    /// Counts a wrong try at each of the doors, and forgets what is too old to count. The answer is how many the first of
    /// the doors counts now.
    pub async fn count(&self, app: &App) -> Result<i64, AppError> {
        let now = app.outside.now_ms();
        write(app, |mut tx| async move {
            let mut at_first = None;
            for (name, rule) in &self.0 {
                let before = people::failures(tx.conn(), name).await?;
                let after = rule.after(before, now);
                people::set_failures(&mut tx, name, after).await?;
                at_first = at_first.or(Some(after.count));
            }
            people::forget_failures(&mut tx, now - DAY_MS).await?;
            Ok((tx, at_first.unwrap_or_default()))
        })
        .await
    }

    /// The one who was right begins again from nothing; what was counted of an address or of a name stays.
    pub async fn forget(&self, app: &App) -> Result<(), AppError> {
        let Some((name, _)) = self.0.first() else {
            return Ok(());
        };
        // Mostly nothing was counted, and then nothing is written.
        let found = people::failures(&mut *app.store.read().await?, name).await?;
        if found.count == 0 {
            return Ok(());
        }
        write(app, |mut tx| async move {
            people::forget_door(&mut tx, name).await?;
            Ok((tx, ()))
        })
        .await
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s3_a_count_begins_again_after_its_window_and_when_the_clock_was_ahead() {
        let rule = Rule::Window {
            most: 3,
            ms: 10 * MINUTE_MS,
        };
        let mut found = Failures::default();
        for _ in 0..2 {
            found = rule.after(found, 1_000);
            assert_eq!(rule.shut_for(found, 1_000), None);
        }
        found = rule.after(found, 2_000);
        assert_eq!(rule.shut_for(found, 2_000), Some(10));
        assert_eq!(rule.shut_for(found, 1_000 + 10 * MINUTE_MS), None);
        assert_eq!(rule.after(found, 1_000 + 10 * MINUTE_MS).count, 1);
        let year = 365 * DAY_MS;
        let ahead = (0..3).fold(Failures::default(), |found, _| rule.after(found, year));
        assert_eq!(rule.shut_for(ahead, 0), None);
        assert_eq!(rule.after(ahead, 0).count, 1);
    }

    #[test]
    fn s3_each_house_has_its_own_door_to_a_name_and_a_known_browser_one_of_its_own() {
        let from = |text: &str| Visit::new(text.parse().ok(), "", Some("hash".to_owned()));
        let one = Doors::of_sign_in("dora", &from("192.0.2.1"), false);
        let other = Doors::of_sign_in("dora", &from("192.0.2.2"), false);
        assert_ne!(one.name(), other.name());
        assert_eq!(one.0.len(), 3);
        let known = Doors::of_sign_in("dora", &from("192.0.2.1"), true);
        assert_eq!(known.0.len(), 1);
        assert!(known.name().starts_with("browser:dora:"));
        // What is no sign-in name is counted once, of the address.
        let nobody = Doors::of_sign_in("", &from("192.0.2.1"), false);
        let names: Vec<&str> = nobody.0.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names, ["@192.0.2.1"]);
        // Where nobody's address is known, no address is counted.
        assert_eq!(Doors::of_sign_in("dora", &from(""), false).0.len(), 2);
    }
}
