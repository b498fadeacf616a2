//! A draft filled from what is known already: the record, the pattern, the kind of work, usual values.

use super::case_work::CaseWork;
use crate::domain::fill::Known;
use crate::domain::trade::lists::Lists;
use crate::domain::values::tooth::Numbering;
use crate::store::drafts::Draft;

/// What is known beside this draft of a case.
pub fn known_beside<'a>(
    draft: &Draft,
    work: &'a CaseWork,
    lists: &'a Lists,
    numbering: Numbering,
) -> Known<'a> {
    Known {
        arches: work.case.arches,
        items: &work.items,
        events: &work.events,
        state: &work.state,
        own_teeth: &work.own_teeth,
        lists,
        numbering,
        is_revision: draft.based_on > 0,
    }
}
