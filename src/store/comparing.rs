//! The comparison of all leaves at a start, and whoever waits for its end.

use tokio::sync::watch;

/// When the leaves are compared with what they are found under.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compare {
    /// Before the database counts as opened.
    First,
    /// While it is read already: what is entered waits.
    Beside,
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
