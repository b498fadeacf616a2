//! Until when the papers of a closed case are kept, written down beside the case for the lists of either house.

use super::recorded::revisions_of;
use super::{App, AppError};
use crate::domain::custody::case::Case;
use crate::domain::custody::{CaseState, Event, What};
use crate::domain::law::retention::{Kept, kept};
use crate::domain::prescription::revision::{Document, Revision};
use crate::store::Tx;
use crate::store::papers_kept::{self, PapersKept};

/// The latest day that any of these texts asks for, for each side; none where nothing was signed.
pub(super) fn kept_of(revisions: &[Revision], documents: &[Document]) -> Option<Kept> {
    let days = revisions.iter().map(|one| one.signature.at.date());
    let of = |(day, document): (_, &Document)| kept(day, &document.law).unwrap_or_default();
    days.zip(documents).map(of).reduce(Kept::longer)
}

/// Until when the papers of a closed case are kept, by its signed texts and its entries; none while it is open.
pub(super) fn row_of(
    case: &Case,
    state: &CaseState,
    revisions: &[Revision],
) -> Result<Option<PapersKept>, AppError> {
    if !case.closed {
        return Ok(None);
    }
    let read = |one: &Revision| Document::from_canonical(&one.document);
    let documents: Vec<Document> = revisions.iter().map(read).collect::<Result<_, _>>()?;
    let kept = kept_of(revisions, &documents).unwrap_or_default();
    Ok(Some(PapersKept {
        case: case.number.clone(),
        office: case.office.clone(),
        lab: case.lab.clone(),
        office_until: kept.office.map(|one| one.until),
        lab_until: kept.lab.map(|one| one.until),
        longer: state.kept_longer.all().next().is_some(),
    }))
}

/// Writes it down; a case that was opened again is on no list.
pub(super) async fn note(
    app: &App,
    tx: &mut Tx,
    case: &Case,
    (state, events): (&CaseState, &[Event]),
) -> Result<(), AppError> {
    let is_end = |event: &Event| matches!(event.what, What::Closed(_));
    if !events.iter().any(is_end) {
        return Ok(());
    }
    let revisions = revisions_of(app, tx.conn(), &case.number).await?;
    match row_of(case, state, &revisions)? {
        Some(row) => Ok(papers_kept::set(tx, &row).await?),
        None => Ok(papers_kept::forget(tx, &case.number).await?),
    }
}
