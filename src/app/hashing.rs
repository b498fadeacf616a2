//! Whose password is looked at next. Each takes 19 MiB for some 20 ms, so there are queues: one for strangers, one
//! for browsers in which somebody has signed in before, one for people who are signed in. However many strangers
//! wait at the door, whoever sits at the chair signs at once.

use super::AppError;
use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};
use tokio::sync::{OwnedMutexGuard, Semaphore, SemaphorePermit};

/// Strangers who may wait in all: the last of them waits for less than a second.
const WAITING_MOST: usize = 32;
/// Of them, from one address.
const WAITING_FROM_ONE: usize = 8;

/// In which queue somebody waits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum HashingQueue {
    /// With the address, where it is known.
    Stranger(Option<IpAddr>),
    KnownBrowser,
    SignedIn,
}

/// The queues.
#[derive(Debug)]
pub(super) struct Hashing {
    strangers: Semaphore,
    known: Semaphore,
    signed_in: Semaphore,
    waiting: Mutex<Waiting>,
    /// Those whose tries are being looked at, one after the other.
    one_by_one: Mutex<HashMap<String, Weak<tokio::sync::Mutex<()>>>>,
}

#[derive(Debug, Default)]
struct Waiting {
    all: usize,
    from: HashMap<IpAddr, usize>,
}

/// It is one's turn. Held while a password is looked at, and what came of it is counted.
#[derive(Debug)]
pub(super) struct HashingTurn<'a> {
    _permit: SemaphorePermit<'a>,
    _place: Option<Place<'a>>,
}

/// A stranger's place in the queue.
#[derive(Debug)]
struct Place<'a> {
    hashing: &'a Hashing,
    from: Option<IpAddr>,
}

fn locked<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Drop for Place<'_> {
    fn drop(&mut self) {
        let mut waiting = locked(&self.hashing.waiting);
        waiting.all = waiting.all.saturating_sub(1);
        if let Some(from) = self.from
            && let Some(count) = waiting.from.get_mut(&from)
        {
            *count -= 1;
            if *count == 0 {
                waiting.from.remove(&from);
            }
        }
    }
}

impl Default for Hashing {
    fn default() -> Hashing {
        Hashing {
            // One at a time: what is counted of one try is known to the next.
            strangers: Semaphore::new(1),
            known: Semaphore::new(1),
            signed_in: Semaphore::new(2),
            waiting: Mutex::default(),
            one_by_one: Mutex::default(),
        }
    }
}

impl Hashing {
    /// Waits for a turn.
    ///
    /// # Errors
    /// If too many strangers wait already.
    pub async fn turn(&self, lane: HashingQueue) -> Result<HashingTurn<'_>, AppError> {
        let (queue, place) = match lane {
            HashingQueue::Stranger(from) => (&self.strangers, Some(self.place(from)?)),
            HashingQueue::KnownBrowser => (&self.known, None),
            HashingQueue::SignedIn => (&self.signed_in, None),
        };
        let permit = queue.acquire().await;
        Ok(HashingTurn {
            _permit: permit.map_err(|why| AppError::Inner(why.to_string()))?,
            _place: place,
        })
    }

    fn place(&self, from: Option<IpAddr>) -> Result<Place<'_>, AppError> {
        let mut waiting = locked(&self.waiting);
        let from_there = from.and_then(|from| waiting.from.get(&from).copied());
        if waiting.all >= WAITING_MOST || from_there.unwrap_or(0) >= WAITING_FROM_ONE {
            return Err(AppError::Busy);
        }
        waiting.all += 1;
        if let Some(from) = from {
            *waiting.from.entry(from).or_default() += 1;
        }
        Ok(Place {
            hashing: self,
            from,
        })
    }

    /// Lets the tries that are counted under one name through one after the other: of many guesses at once no more
    /// are looked at than of as many in a row, and nobody who is right is turned away for others being looked at.
    pub async fn one_by_one(&self, name: &str) -> OwnedMutexGuard<()> {
        let lock = {
            let mut known = locked(&self.one_by_one);
            known.retain(|_, lock| lock.strong_count() > 0);
            match known.get(name).and_then(Weak::upgrade) {
                Some(lock) => lock,
                None => {
                    let lock = Arc::new(tokio::sync::Mutex::new(()));
                    known.insert(name.to_owned(), Arc::downgrade(&lock));
                    lock
                }
            }
        };
        lock.lock_owned().await
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn s3_however_many_strangers_wait_others_have_their_turn() {
        let hashing = Hashing::default();
        let at_work = hashing.turn(HashingQueue::Stranger(None)).await.unwrap();
        let address = |last: u8| Some(IpAddr::from([192, 0, 2, last]));
        let mut places = Vec::new();
        for _ in 0..WAITING_FROM_ONE {
            places.push(hashing.place(address(1)).unwrap());
        }
        assert!(matches!(hashing.place(address(1)), Err(AppError::Busy)));
        while let Ok(place) = hashing.place(None) {
            places.push(place);
        }
        assert_eq!(places.len() + 1, WAITING_MOST);
        assert!(matches!(
            hashing.turn(HashingQueue::Stranger(address(2))).await,
            Err(AppError::Busy)
        ));
        // None of them stands before these.
        hashing.turn(HashingQueue::SignedIn).await.unwrap();
        hashing.turn(HashingQueue::KnownBrowser).await.unwrap();
        drop((at_work, places));
        hashing
            .turn(HashingQueue::Stranger(address(1)))
            .await
            .unwrap();
        assert_eq!(locked(&hashing.waiting).from.len(), 0);
    }
}
