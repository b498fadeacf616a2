//! Whether the installation can do its work: its database takes a write, and there is room for the next ones.

use super::App;
use crate::store::Outage;

pub(super) const MB: u64 = 1_000_000;

/// How long an answer holds: whoever asks in a loop costs no more than one write a second.
const HOLDS_MS: i64 = 1_000;

/// An answer, and when it was found.
pub(super) type Probed = (i64, Result<(), Outage>);

/// Tries a write that leaves nothing.
///
/// # Errors
/// With what stands in its way.
pub async fn probe(app: &App) -> Result<(), Outage> {
    // Who comes meanwhile waits for the answer.
    let mut probed = app.probed.lock().await;
    let now = app.outside.now_ms();
    if let Some((at, answer)) = *probed
        && (at..at + HOLDS_MS).contains(&now)
    {
        return answer;
    }
    let answer = app.store.probe().await.map_err(|error| {
        tracing::error!(%error, "health check");
        error.outage()
    });
    *probed = Some((now, answer));
    answer
}

/// What an administrator is told before the disk is full.
pub fn warning(app: &App) -> Option<String> {
    let free = app.store.free_bytes()?;
    (free < app.warn_free).then(|| {
        format!(
            "The disk is almost full: {} MB are left where the database lies. When it is full, nothing can be entered. \
             Make room on it.",
            free / MB
        )
    })
}
