//! The rows of many cases, read together: a question for each table and some hundred cases, not for each case.
//! Whatever cannot be read so is left to whoever reads it on its own.

use crate::app::AppError;
use crate::app::case_work::{CaseWork, SignedText, card_of};
use crate::app::recorded::{StoredRows, entries_kept};
use crate::app::signed_revisions::SignedRevisions;
use crate::domain::custody::case::Case;
use crate::domain::custody::{CaseState, ClockWord, Event};
use crate::domain::people::party::Party;
use crate::domain::people::party::Side;
use crate::domain::people::patient::Patient;
use crate::domain::values::ids::PartyId;
use crate::record::entry::Entry;
use crate::store::custody::{self as stored, HandoffRow};
use crate::store::record::{LeafRow, leaves_between};
use crate::store::{Connection, StoreError, cases, parties, revisions};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Parties by their ids: an installation has tens of them.
pub(super) type Parties = BTreeMap<PartyId, Party>;

/// Everything that is stored of a case.
pub(super) struct OfCase {
    pub case: Case,
    office: Party,
    lab: Party,
    card: Option<Patient>,
    pub leaves: Vec<LeafRow>,
    pub kept: StoredRows,
    pub handoffs: Vec<HandoffRow>,
}

impl OfCase {
    /// The rows read as what they are; none where one of them cannot be.
    pub fn opened(&self, clock: &[ClockWord]) -> Option<(CaseWork, Vec<(String, Entry)>)> {
        let items = self
            .kept
            .items
            .iter()
            .map(|row| serde_json::from_str(&row.body));
        let events = self
            .kept
            .events
            .iter()
            .map(|row| serde_json::from_str(&row.body));
        let events: Vec<Event> = events.collect::<Result<_, _>>().ok()?;
        let signed = SignedRevisions::read(self.kept.revisions.clone()).ok()?;
        let text = SignedText::of(&signed, self.card.as_ref());
        let work = CaseWork {
            case: self.case.clone(),
            side: Side::Office,
            office: self.office.clone(),
            lab: self.lab.clone(),
            items: items.collect::<Result<_, _>>().ok()?,
            // No entry follows from the card, but what the lists show does.
            own_teeth: BTreeMap::new(),
            card_changed: text.card_changed,
            card: text.card,
            state: CaseState::of(&events),
            events,
            signed: Arc::new(signed),
            ordered: text.ordered,
            clock: clock.to_vec(),
            elsewhere: Vec::new(),
            had: Vec::new(),
            card_row: None,
            doubt: None,
        };
        Some((work, entries_kept(&self.case, &self.kept).ok()?))
    }
}

/// The cases with a number after `range.0` and up to `range.1`, in the order of their numbers.
pub(super) async fn read(
    conn: &mut Connection,
    range: (&str, &str),
    known: &mut Parties,
) -> Result<Vec<OfCase>, AppError> {
    let mut all = BTreeMap::new();
    for case in cases::cases_between(conn, range).await? {
        let one = OfCase {
            office: party(conn, &case.office, known).await?,
            lab: party(conn, &case.lab, known).await?,
            card: card_of(conn, &case).await?,
            leaves: Vec::new(),
            kept: StoredRows::default(),
            handoffs: Vec::new(),
            case,
        };
        all.insert(one.case.number.as_str().to_owned(), one);
    }
    // A row of a case that is not there is no row of any of these.
    for leaf in leaves_between(conn, range).await? {
        all.entry(leaf.case.clone())
            .and_modify(|one| one.leaves.push(leaf));
    }
    for (case, row) in stored::stored_items_between(conn, range).await? {
        all.entry(case).and_modify(|one| one.kept.items.push(row));
    }
    for (case, row) in stored::stored_events_between(conn, range).await? {
        all.entry(case).and_modify(|one| one.kept.events.push(row));
    }
    for row in revisions::between(conn, range).await? {
        let case = row.case.as_str().to_owned();
        all.entry(case)
            .and_modify(|one| one.kept.revisions.push(row));
    }
    for (case, row) in revisions::acknowledgements_between(conn, range).await? {
        all.entry(case).and_modify(|one| one.kept.words.push(row));
    }
    for row in stored::handoffs_between(conn, range).await? {
        let case = row.case.as_str().to_owned();
        all.entry(case).and_modify(|one| one.handoffs.push(row));
    }
    Ok(all.into_values().collect())
}

async fn party(
    conn: &mut Connection,
    id: &PartyId,
    known: &mut Parties,
) -> Result<Party, AppError> {
    if let Some(party) = known.get(id) {
        return Ok(party.clone());
    }
    let missing = || StoreError::row("case_file", id, "its party is not there");
    let party = parties::find(conn, id).await?.ok_or_else(missing)?;
    known.insert(id.to_owned(), party.clone());
    Ok(party)
}
