//! What a lab has entered lately at its bench, read once for all that is proposed by it.

use super::{App, AppError, Person};
use crate::domain::custody::Event;
use crate::domain::values::ids::EventId;
use crate::store::custody::{newest_at_bench, newest_undone};

/// The newest steps of a lab.
#[derive(Debug, Default)]
pub struct LatelyAtBench {
    /// Each with the pan that its case stands in now; the newest stands first.
    pub(super) entries: Vec<(Event, String)>,
    /// Those of them that were withdrawn.
    pub(super) withdrawn: Vec<EventId>,
}

impl LatelyAtBench {
    pub async fn of(app: &App, person: &Person) -> Result<LatelyAtBench, AppError> {
        let mut conn = app.store.read().await?;
        let entries = newest_at_bench(&mut conn, person.party_id()).await?;
        let undone = newest_undone(&mut conn).await?;
        let withdrawn = undone.iter().filter_map(|event| event.what.withdraws());
        let withdrawn = withdrawn.cloned().collect();
        Ok(LatelyAtBench { entries, withdrawn })
    }
}
