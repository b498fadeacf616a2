//! What the record has of a case that is not as it says. A row that lies under the case by a changed number is of another
//! case, perhaps of another house; so is a card that the case has by a changed code. Its pages say that something is wrong,
//! and show neither.

use super::proven::signed_among;
use super::recorded::reference::hold_card;
use super::{App, AppError};
use crate::domain::custody::Event;
use crate::domain::custody::case::Case;
use crate::domain::custody::item::Item;
use crate::domain::values::ids::{CaseNumber, PatientCode};
use crate::record::entry::LeafKind;
use crate::store::cases::PatientRow;
use crate::store::record::{self, LeafRow, head};
use crate::store::{Connection, StoreError};
use serde_json::Value;
use std::collections::BTreeSet;

/// What the leaves of a case that name it are about.
pub(super) struct OwnLeaves {
    number: CaseNumber,
    known: BTreeSet<(LeafKind, String)>,
    /// For whom the case was opened; none where no signed leaf says so.
    pub patient: Option<PatientCode>,
}

impl OwnLeaves {
    pub fn has_item(&self, item: &Item) -> bool {
        self.has(&item.case, LeafKind::Item, item.tag.as_str())
    }

    pub fn has_event(&self, event: &Event) -> bool {
        self.has(&event.case, LeafKind::Event, event.id.as_str())
    }

    fn has(&self, case: &CaseNumber, kind: LeafKind, about: &str) -> bool {
        *case == self.number && self.known.contains(&(kind, about.to_owned()))
    }

    /// The card, where it is the one of the patient for whom the case was opened, and is as the record says.
    pub async fn card_row(
        &self,
        app: &App,
        conn: &mut Connection,
        case: &Case,
        row: Option<PatientRow>,
    ) -> Result<Option<PatientRow>, AppError> {
        let is_own = |row: &PatientRow| {
            Some(&row.code) == self.patient.as_ref() && row.office == case.office
        };
        let Some(row) = row.filter(is_own) else {
            return Ok(None);
        };
        match hold_card(app, conn, &row).await {
            Ok(()) | Err(AppError::Store(StoreError::Forked(_))) => Ok(Some(row)),
            Err(AppError::Refused(_)) => Ok(None),
            Err(other) => Err(other),
        }
    }
}

/// What a leaf of an item, an entry or a case says that it is about; none where it names another case.
fn about(leaf: &LeafRow, whole: &Value, number: &CaseNumber) -> Option<(LeafKind, String)> {
    let said = |place: &str| whole.pointer(place).and_then(Value::as_str);
    let kind = LeafKind::from_word(&leaf.kind)?;
    let (case, own) = match kind {
        LeafKind::Event => (said("/event/case")?, said("/event/id")?),
        LeafKind::Item => (said("/item/case")?, said("/item/tag")?),
        LeafKind::Case => (said("/case/number")?, said("/case/number")?),
        _ => return None,
    };
    (case == number.as_str()).then(|| (kind, own.to_owned()))
}

/// The leaves of a case that name it and are signed; none in a database of an earlier version, which is as it was
/// until its rows are entered in the record.
pub(super) async fn own_leaves(
    app: &App,
    conn: &mut Connection,
    number: &CaseNumber,
) -> Result<Option<OwnLeaves>, AppError> {
    let leaves = match app.store.leaves_of(conn, number).await {
        // What stands on every page says so; what is found has to name the case all the same.
        Err(StoreError::Forked(_)) => record::leaves_of(conn, number).await?,
        found => found?,
    };
    if leaves.is_empty() && head(conn).await?.is_empty() {
        return Ok(None);
    }
    let signed = match signed_among(app, conn, &leaves).await {
        Err(AppError::Store(StoreError::Forked(_))) => {
            leaves.iter().map(|leaf| leaf.number).collect()
        }
        found => found?,
    };
    let mut own = OwnLeaves {
        number: number.clone(),
        known: BTreeSet::new(),
        patient: None,
    };
    for leaf in leaves.iter().filter(|leaf| signed.contains(&leaf.number)) {
        let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
        let Some(known) = about(leaf, &whole, number) else {
            continue;
        };
        if known.0 == LeafKind::Case {
            let patient = whole.pointer("/case/patient").and_then(Value::as_str);
            own.patient = patient.and_then(|code| PatientCode::parse(code).ok());
        }
        own.known.insert(known);
    }
    Ok(Some(own))
}
