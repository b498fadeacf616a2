//! Until when the papers of a closed case are kept, written down beside the case for the lists of either house.

use super::signed_revisions::SignedRevisions;
use crate::domain::custody::case::Case;
use crate::domain::custody::{CaseState, Event, What};
use crate::domain::law::retention::{Kept, kept};
use crate::domain::prescription::revision::Document;
use crate::domain::values::moment::Moment;
use crate::store::papers_kept::{self, PapersKept};
use crate::store::{StoreError, Tx};

/// The latest day that any of these texts asks for, for each side; none where nothing was signed.
pub(super) fn kept_of(signed: &SignedRevisions) -> Option<Kept> {
    let signed = signed.by_moment().into_iter();
    let of = |(document, at): (&Document, Moment)| kept(at.date(), &document.law);
    signed
        .map(|one| of(one).unwrap_or_default())
        .reduce(Kept::longer)
}

/// Until when the papers of a closed case are kept, by its signed texts and its entries; none while it is open.
pub(super) fn row_of(
    case: &Case,
    state: &CaseState,
    signed: &SignedRevisions,
) -> Option<PapersKept> {
    if !case.closed {
        return None;
    }
    let kept = kept_of(signed).unwrap_or_default();
    Some(PapersKept {
        case: case.number.clone(),
        office: case.office.clone(),
        lab: case.lab.clone(),
        office_until: kept.office.map(|one| one.until),
        lab_until: kept.lab.map(|one| one.until),
        longer: state.kept_longer.all().next().is_some(),
    })
}

/// Writes it down; a case that was opened again is on no list.
pub(super) async fn note(
    tx: &mut Tx,
    case: &Case,
    (state, events): (&CaseState, &[Event]),
    signed: &SignedRevisions,
) -> Result<(), StoreError> {
    let is_end = |event: &Event| matches!(event.what, What::Closed(_));
    if !events.iter().any(is_end) {
        return Ok(());
    }
    match row_of(case, state, signed) {
        Some(row) => papers_kept::set(tx, &row).await,
        None => papers_kept::forget(tx, &case.number).await,
    }
}
