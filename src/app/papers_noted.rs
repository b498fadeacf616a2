//! Until when the papers of a closed case are kept, written down beside the case for the lists of either house.

use super::AppError;
use super::recorded::revisions_of;
use crate::domain::custody::case::Case;
use crate::domain::custody::{CaseState, Event, What};
use crate::domain::law::retention::{Kept, kept};
use crate::domain::prescription::revision::{Document, Revision};
use crate::store::papers_kept::{self, PapersKept};
use crate::store::{Connection, Tx};

/// The latest day that any of these texts asks for, for each side; none where nothing was signed.
pub(super) fn kept_of(revisions: &[Revision], documents: &[Document]) -> Option<Kept> {
    let days = revisions.iter().map(|one| one.signature.at.date());
    let of = |(day, document): (_, &Document)| kept(day, &document.law).unwrap_or_default();
    days.zip(documents).map(of).reduce(Kept::longer)
}

/// Writes it down; a case that was opened again is on no list.
pub(super) async fn note(
    tx: &mut Tx,
    case: &Case,
    (state, events): (&CaseState, &[Event]),
) -> Result<(), AppError> {
    let is_end = |event: &Event| matches!(event.what, What::Closed(_));
    if !events.iter().any(is_end) {
        return Ok(());
    }
    if !case.closed {
        return Ok(papers_kept::forget(tx, &case.number).await?);
    }
    let kept = signed_in(tx.conn(), case).await?.unwrap_or_default();
    let row = PapersKept {
        case: case.number.clone(),
        office: case.office.clone(),
        lab: case.lab.clone(),
        office_until: kept.office.map(|one| one.until),
        lab_until: kept.lab.map(|one| one.until),
        longer: state.kept_longer.is_some(),
    };
    Ok(papers_kept::set(tx, &row).await?)
}

async fn signed_in(conn: &mut Connection, case: &Case) -> Result<Option<Kept>, AppError> {
    let revisions = revisions_of(conn, &case.number).await?;
    let read = |one: &Revision| Document::from_canonical(&one.document);
    let documents: Vec<Document> = revisions.iter().map(read).collect::<Result<_, _>>()?;
    Ok(kept_of(&revisions, &documents))
}
