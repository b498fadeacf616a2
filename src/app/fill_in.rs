//! A draft filled from what is known already: the record, the pattern, the kind of work.

use super::case_work::CaseWork;
use crate::domain::fill::OnRecord;
use crate::domain::trade::lists::Lists;
use crate::domain::values::tooth::Numbering;

/// What is known beside a draft of this case.
pub fn known_beside<'a>(
    work: &'a CaseWork,
    lists: &'a Lists,
    numbering: Numbering,
) -> OnRecord<'a> {
    OnRecord {
        arches: work.case.arches,
        items: &work.items,
        events: &work.events,
        state: &work.state,
        own_teeth: &work.own_teeth,
        lists,
        numbering,
        is_revision: work.case.revision > 0,
    }
}
