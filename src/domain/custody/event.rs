//! An event: what was done, to which things, by whom, when.

use super::events::What;
use super::stamp::Stamp;
use crate::domain::people::bench_code::AtDevice;
use crate::domain::people::party::Actor;
use crate::domain::values::ids::{CaseNumber, EventId};
use crate::domain::values::moment::Moment;
use serde::{Deserialize, Serialize};

/// One fact. Stored once as canonical JSON and never changed, but for a free text that is erased.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    pub id: EventId,
    pub case: CaseNumber,
    /// When it happened.
    pub at: Moment,
    /// When it was written down; later than `at` for an entry from paper.
    pub entered_at: Moment,
    pub by: Actor,
    /// The printed name on the paper that a late entry was copied from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper: Option<String>,
    /// The device at the bench, where whoever entered it had come in by a code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by_code: Option<AtDevice>,
    pub what: What,
}

impl Event {
    /// Whether it was written down after it had happened.
    pub fn is_late(&self) -> bool {
        self.entered_at.unix_ms > self.at.unix_ms
    }

    /// The event without what it says.
    pub fn stamp(&self) -> Stamp<'_> {
        Stamp {
            id: &self.id,
            at: self.at,
            by: &self.by,
            paper: self.paper.as_deref(),
        }
    }
}
