//! Places for what takes room while it lasts: so many in all, and of them so many of one account, so that nobody alone keeps
//! everybody else out.

use crate::domain::values::ids::AccountId;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::Notify;
use tokio::time::{Instant, timeout_at};

/// What has places by account.
#[derive(Debug)]
pub(super) struct Places {
    /// Scans that come in: each takes its room on the disk.
    pub scans_coming: AccountPlaces,
    /// Scans that are handed out: each takes its room in memory until it has gone.
    pub scans_going: AccountPlaces,
    /// Pictures that wait to be decoded; each holds what was sent.
    pub pictures: AccountPlaces,
}

impl Default for Places {
    fn default() -> Places {
        Places {
            scans_coming: AccountPlaces::new(4, 2),
            scans_going: AccountPlaces::new(4, 3),
            pictures: AccountPlaces::new(12, 3),
        }
    }
}

/// The places of one kind.
#[derive(Debug)]
pub(super) struct AccountPlaces {
    in_all: usize,
    of_one: usize,
    taken: Arc<PlacesTaken>,
}

#[derive(Debug, Default)]
struct PlacesTaken {
    by: Mutex<BTreeMap<AccountId, usize>>,
    given_back: Notify,
}

impl PlacesTaken {
    fn by(&self) -> MutexGuard<'_, BTreeMap<AccountId, usize>> {
        self.by.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A place, given back when this is dropped.
#[derive(Debug)]
pub(super) struct AccountPlace {
    taken: Arc<PlacesTaken>,
    account: AccountId,
}

impl Drop for AccountPlace {
    fn drop(&mut self) {
        let mut by = self.taken.by();
        if let Some(count) = by.get_mut(&self.account) {
            *count = count.saturating_sub(1);
        }
        by.retain(|_, count| *count > 0);
        drop(by);
        self.taken.given_back.notify_waiters();
    }
}

impl AccountPlaces {
    fn new(in_all: usize, of_one: usize) -> AccountPlaces {
        AccountPlaces {
            in_all,
            of_one,
            taken: Arc::default(),
        }
    }

    /// A place for this account, where one is free.
    pub fn take(&self, account: &AccountId) -> Option<AccountPlace> {
        let mut by = self.taken.by();
        let own = by.get(account).copied().unwrap_or(0);
        if own >= self.of_one || by.values().sum::<usize>() >= self.in_all {
            return None;
        }
        by.insert(account.clone(), own + 1);
        Some(AccountPlace {
            taken: self.taken.clone(),
            account: account.clone(),
        })
    }

    /// The same, waiting for one this long.
    pub async fn wait(&self, account: &AccountId, most: Duration) -> Option<AccountPlace> {
        let until = Instant::now() + most;
        loop {
            // Hears of whatever is given back from here on.
            let given_back = self.taken.given_back.notified();
            if let Some(place) = self.take(account) {
                return Some(place);
            }
            timeout_at(until, given_back).await.ok()?;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn account(last: u8) -> AccountId {
        AccountId::new(format!("00000000-0000-4000-8000-0000000000{last:02}"))
    }

    #[test]
    fn nobody_takes_the_places_of_others_and_what_is_given_back_is_free() {
        let places = AccountPlaces::new(4, 2);
        let mut held = Vec::new();
        for (who, is_free) in [
            (1, true),
            (1, true),
            (1, false),
            (2, true),
            (3, true),
            (4, false),
        ] {
            let place = places.take(&account(who));
            assert_eq!(place.is_some(), is_free, "{who}");
            held.extend(place);
        }
        held.remove(0);
        held.push(places.take(&account(4)).unwrap());
        assert!(places.take(&account(1)).is_none());
        held.clear();
        assert!(places.taken.by().is_empty());
    }

    #[tokio::test(start_paused = true)]
    async fn whoever_waits_has_the_place_that_is_given_back_and_not_for_ever() {
        let places = AccountPlaces::new(1, 1);
        let second = Duration::from_secs(1);
        let held = places.take(&account(1)).unwrap();
        assert!(places.wait(&account(2), second).await.is_none());
        let other = account(2);
        let (waited, ()) = tokio::join!(places.wait(&other, second), async {
            tokio::task::yield_now().await;
            drop(held);
        });
        assert!(waited.is_some());
    }
}
