//! The comparison of all leaves at a start, whoever waits for its end, and what becomes of a look that fails.

use std::fmt::Display;
use std::time::Duration;
use tokio::sync::watch;

/// Looks that fail in a row before somebody is told: with the pauses between them some eight seconds, which is longer
/// than what passes by itself and shorter than anybody waits for a page.
const FAILURES: u32 = 5;
/// The pause after the first look that fails; each is twice as long as the one before.
const PAUSE: Duration = Duration::from_millis(500);
/// The longest pause.
const LONGEST: Duration = Duration::from_secs(30);

/// When the leaves are compared with what they are found under.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compare {
    /// Before the database counts as opened.
    First,
    /// While it is read already: what is entered waits.
    Beside,
}

/// That the leaves could not be read to the end, several times in a row. It says nothing about them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotCompared {
    /// Not once since the start: nothing is entered.
    SinceStart,
    /// Not since somebody else has written to the database.
    SinceOthersWrote,
}

/// A comparison that goes on.
#[derive(Debug, Clone)]
pub struct Comparing(watch::Receiver<()>);

/// Held by whoever compares: with it the comparison ends.
#[derive(Debug)]
pub(super) struct Comparer {
    _end: watch::Sender<()>,
}

impl Comparing {
    pub(super) fn begin() -> (Comparer, Comparing) {
        let (sender, receiver) = watch::channel(());
        (Comparer { _end: sender }, Comparing(receiver))
    }

    /// Comes back when it has ended, whatever was found.
    pub async fn ended(mut self) {
        while self.0.changed().await.is_ok() {}
    }
}

/// What a look has found that came to its end. Too many clients, no file to be opened any more, a database that is locked:
/// such a look has found nothing, and the next comes after a pause. `says` is told why, once, after several in a row.
pub(super) async fn look_until_read<T, E, Fut>(
    look: impl Fn() -> Fut,
    mut says: impl FnMut(String),
) -> T
where
    E: Display,
    Fut: Future<Output = Result<T, E>>,
{
    let (mut failures, mut pause) = (0_u32, PAUSE);
    loop {
        match look().await {
            Ok(found) => return found,
            Err(why) => {
                tracing::warn!(%why, "whether leaves are filed as they say could not be looked at");
                failures = failures.saturating_add(1);
                if failures == FAILURES {
                    says(why.to_string());
                }
            }
        }
        tokio::time::sleep(pause).await;
        pause = (pause * 2).min(LONGEST);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::{Cell, RefCell};

    /// What is found after so many looks that fail, what was said, and how long it took.
    async fn after(fails: u32) -> (&'static str, Vec<String>, Duration) {
        let (looks, said) = (Cell::new(0), RefCell::new(Vec::new()));
        let look = || async {
            looks.set(looks.get() + 1);
            match looks.get() <= fails {
                true => Err(format!("failure {}", looks.get())),
                false => Ok("leaf 7"),
            }
        };
        let begun = tokio::time::Instant::now();
        let found = look_until_read(look, |why| said.borrow_mut().push(why)).await;
        assert_eq!(looks.get(), fails + 1);
        (found, said.into_inner(), begun.elapsed())
    }

    #[tokio::test(start_paused = true)]
    async fn a_look_that_fails_is_taken_again_and_said_once_after_several() {
        assert_eq!(after(0).await, ("leaf 7", vec![], Duration::ZERO));
        let (found, said, _) = after(FAILURES - 1).await;
        assert_eq!((found, said), ("leaf 7", vec![]));
        let (found, said, took) = after(20).await;
        assert_eq!((found, said), ("leaf 7", vec!["failure 5".to_owned()]));
        // No look comes later than half a minute after the one before.
        assert!(took <= LONGEST * 20, "{took:?}");
    }
}
