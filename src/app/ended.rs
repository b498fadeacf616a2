//! Sessions that somebody has ended, until they would have ended by themselves. Their rows are gone; one that somebody puts
//! back as it was opens nothing while this program runs, and none that could not be taken away.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

/// Sessions remembered: some 100 bytes each.
const MOST: usize = 20_000;

/// By the hash of their secrets, until when.
#[derive(Debug, Default)]
pub(super) struct EndedSessions(Mutex<BTreeMap<String, i64>>);

impl EndedSessions {
    /// Remembers one, which lasts until then at the latest.
    pub fn note(&self, secret_hash: &str, now_ms: i64, ends_ms: i64) {
        let mut ended = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        ended.retain(|_, ends| *ends > now_ms);
        if ended.len() < MOST {
            ended.insert(secret_hash.to_owned(), ends_ms);
        }
    }

    pub fn holds(&self, secret_hash: &str) -> bool {
        let ended = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        ended.contains_key(secret_hash)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_ended_is_remembered_until_it_would_have_ended_by_itself() {
        let ended = EndedSessions::default();
        ended.note("a", 0, 10);
        ended.note("b", 5, 20);
        assert!(ended.holds("a") && ended.holds("b") && !ended.holds("c"));
        ended.note("c", 12, 30);
        assert!(!ended.holds("a") && ended.holds("b") && ended.holds("c"));
    }
}
