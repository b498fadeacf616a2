//! Whose a case is: by its row, and by its leaf in the record. Whoever can write the database can write another house into
//! the row, or take the row away; so nothing of a case is shown to a house that the record does not name.

use super::another_key::refuse_another_key;
use super::counted::{self, Met};
use super::proven::{erased_of, is_signed, is_whole};
use super::{App, AppError, Person};
use crate::domain::custody::case::Case;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{CaseNumber, PartyId, PatientCode};
use crate::record::entry::{Entry, LeafKind};
use crate::store::record::{self, LeafRow, head};
use crate::store::{Connection, StoreError, cases, revisions};
use serde_json::Value;

/// What of a case its own leaf stands for.
pub(super) const WHOSE: &str = "whose it is";

/// The case, if this person's party is its office or its lab; otherwise it does not exist. As of whatever is held against the
/// record, all that `conn` reads is of one moment: it writes, or is of [`Store::read_at_once`](crate::store::Store).
///
/// # Errors
/// A refusal in words, where the row is not as the record says.
pub async fn own_case(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    number: &CaseNumber,
) -> Result<Case, AppError> {
    let (case, _) = find_own(app, conn, person.party_id(), number).await?;
    hold_newest(app, conn, &case).await?;
    Ok(case)
}

/// The case with the side of this party, by its row and by the record.
///
/// # Errors
/// For a stranger by the record it does not exist; a refusal in words, where the record has this party, and the row has not,
/// or is gone.
pub(super) async fn find_own(
    app: &App,
    conn: &mut Connection,
    party: &PartyId,
    number: &CaseNumber,
) -> Result<(Case, Side), AppError> {
    let found = cases::find_case(conn, number).await?;
    let recorded = by_record(app, conn, found.as_ref(), number).await?;
    let by_record = recorded.side_of(party);
    let Some(case) = found else {
        return Err(match by_record {
            Some(_) => gone(app, number),
            None => AppError::NotFound,
        });
    };
    match (case.side_of(party), by_record, recorded) {
        (Some(side), Some(recorded), _) if side == recorded => Ok((case, side)),
        (Some(side), _, ByRecord::NotBegun) => Ok((case, side)),
        (_, Some(_), _) | (Some(_), _, ByRecord::Unsaid) => {
            tracing::error!(case = %number, "whose a case is, is not as the record says");
            counted::note(app, number, Met::Case);
            Err(changed_past_us(number, WHOSE))
        }
        (Some(_), None, ByRecord::Between { .. }) => {
            tracing::error!(case = %number, %party, "a case is listed for a house that the record does not name");
            counted::note(app, number, Met::Case);
            Err(AppError::NotFound)
        }
        (None, None, _) => Err(AppError::NotFound),
    }
}

/// Refuses to say that there is no case of a number, where the record has one.
///
/// # Errors
/// A refusal in words, where its row is gone.
pub(super) async fn refuse_if_gone(
    app: &App,
    conn: &mut Connection,
    number: &CaseNumber,
) -> Result<(), AppError> {
    match by_record(app, conn, None, number).await? {
        ByRecord::Between { .. } => Err(gone(app, number)),
        ByRecord::Unsaid | ByRecord::NotBegun => Ok(()),
    }
}

/// To whom a case is shown that is listed for a party.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ShownTo {
    ThisParty,
    /// By the record it is of other houses: nothing is told of it.
    Others,
    /// The record does not say whose it is: that much is told, and whoever runs the installation hears which it is.
    Nobody,
}

/// To whom a case is shown that is listed for this party.
pub(super) async fn shown_to(
    app: &App,
    conn: &mut Connection,
    case: &Case,
    party: &PartyId,
) -> Result<ShownTo, AppError> {
    // Lists of other things than cases name a party of their own.
    if case.side_of(party).is_none() {
        return Ok(ShownTo::Others);
    }
    let houses = (case.office.clone(), case.lab.clone());
    if app.read_models.has_houses(&case.number, &houses) {
        return Ok(ShownTo::ThisParty);
    }
    let recorded = by_record(app, conn, Some(case), &case.number).await?;
    counted::note_unsaid(app, party, &case.number, recorded == ByRecord::Unsaid);
    Ok(match &recorded {
        ByRecord::Between { office, lab } if (office, lab) == (&houses.0, &houses.1) => {
            app.read_models.store_houses(&case.number, houses);
            ShownTo::ThisParty
        }
        ByRecord::Between { .. } => match recorded.side_of(party) {
            Some(_) => ShownTo::ThisParty,
            None => ShownTo::Others,
        },
        ByRecord::Unsaid => {
            tracing::error!(case = %case.number, "the record does not say whose a listed case is");
            counted::note(app, &case.number, Met::Case);
            ShownTo::Nobody
        }
        ByRecord::NotBegun => ShownTo::ThisParty,
    })
}

/// Takes the cases out of a list that are none of this party's by the record. Answers with the number of those of which it
/// does not say whose they are.
pub(super) async fn keep_own(
    app: &App,
    party: &PartyId,
    cases: &mut Vec<Case>,
) -> Result<usize, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let (mut own, mut unsaid) = (Vec::new(), 0);
    for case in std::mem::take(cases) {
        match shown_to(app, &mut conn, &case, party).await? {
            ShownTo::ThisParty => own.push(case),
            ShownTo::Others => {}
            ShownTo::Nobody => unsaid += 1,
        }
    }
    *cases = own;
    Ok(unsaid)
}

/// Whether the record has a case for this patient, between the houses that its row names. What a patient's other cases say
/// is read beside this patient's own, so nothing is taken from a case by its row alone.
pub(super) async fn is_of_patient(
    app: &App,
    conn: &mut Connection,
    case: &Case,
    patient: &PatientCode,
) -> Result<bool, AppError> {
    if case.patient != *patient {
        return Ok(false);
    }
    match hold_case(app, conn, case).await {
        Ok(()) => Ok(true),
        Err(AppError::Refused(_)) => {
            tracing::error!(case = %case.number, "a case is listed for a patient otherwise than the record says");
            counted::note(app, &case.number, Met::Case);
            Ok(false)
        }
        Err(other) => Err(other),
    }
}

/// What the record says of whose a case is.
#[derive(Debug, Clone, PartialEq, Eq)]
enum ByRecord {
    Between {
        office: PartyId,
        lab: PartyId,
    },
    /// It has no leaf of it that is signed.
    Unsaid,
    /// A database of an earlier version is as it was until its rows are entered in the record.
    NotBegun,
}

impl ByRecord {
    fn side_of(&self, party: &PartyId) -> Option<Side> {
        match self {
            ByRecord::Between { office, .. } if office == party => Some(Side::Office),
            ByRecord::Between { lab, .. } if lab == party => Some(Side::Lab),
            ByRecord::Between { .. } | ByRecord::Unsaid | ByRecord::NotBegun => None,
        }
    }
}

async fn by_record(
    app: &App,
    conn: &mut Connection,
    row: Option<&Case>,
    number: &CaseNumber,
) -> Result<ByRecord, AppError> {
    // Nothing is in the tree of another key, whatever is looked for.
    refuse_another_key(app, conn).await?;
    let (kind, about) = (LeafKind::Case.word(), number.as_str());
    let leaf = match app.store.leaf_about(conn, kind, about).await {
        // What stands on every page says so; what is found has to name the house all the same.
        Err(StoreError::Forked(_)) => record::leaf_about(conn, kind, about).await?,
        found => found?,
    };
    let Some(leaf) = leaf else {
        let is_begun = row.is_none() || !head(conn).await?.is_empty();
        return Ok(match is_begun {
            true => ByRecord::Unsaid,
            false => ByRecord::NotBegun,
        });
    };
    if !is_in_record(app, conn, &leaf, row).await? {
        return Ok(ByRecord::Unsaid);
    }
    let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    let house = |place| {
        whole
            .pointer(place)
            .and_then(Value::as_str)
            .map(PartyId::new)
    };
    let houses = house("/case/office").zip(house("/case/lab"));
    Ok(
        houses.map_or(ByRecord::Unsaid, |(office, lab)| ByRecord::Between {
            office,
            lab,
        }),
    )
}

/// Whether a leaf is in the signed tree. One that stands for the row is asked about once.
///
/// # Errors
/// Where it cannot be proved, since the record is another one: a house is shown no case by a leaf that may be anybody's.
async fn is_in_record(
    app: &App,
    conn: &mut Connection,
    leaf: &LeafRow,
    row: Option<&Case>,
) -> Result<bool, AppError> {
    if let Some(case) = row
        && erased_of(app, conn, leaf, &Entry::case(case))
            .await?
            .is_some()
    {
        return Ok(true);
    }
    is_signed(app, conn, leaf).await
}

/// Holds which revision is in force, and which is acknowledged, against the newest there is: of the rows, and of the leaves
/// that the record has of them.
///
/// # Errors
/// A refusal in words, where the row of the case says another one.
pub(super) async fn hold_newest(
    app: &App,
    conn: &mut Connection,
    case: &Case,
) -> Result<(), AppError> {
    let Some(newest) = not_newest(conn, case).await? else {
        return Ok(());
    };
    tracing::error!(case = %case.number, ?newest, "a case is not listed with its newest revision");
    counted::note(app, &case.number, Met::Case);
    Err(changed_past_us(&case.number, "which revision is in force"))
}

/// The newest revisions there are, where the row of the case says others.
async fn not_newest(
    conn: &mut Connection,
    case: &Case,
) -> Result<Option<revisions::NewestRevision>, StoreError> {
    let newest = revisions::newest(conn, &case.number).await?;
    let is_recorded =
        newest.leaves == case.revision || (newest.leaves == 0 && head(conn).await?.is_empty());
    let rows = (newest.signed, newest.acknowledged);
    let is_as_listed = rows == (case.revision, case.acknowledged) && is_recorded;
    Ok((!is_as_listed).then_some(newest))
}

/// Holds whose a case is against its leaf.
///
/// # Errors
/// A refusal in words, where the record says otherwise.
pub(super) async fn hold_case(
    app: &App,
    conn: &mut Connection,
    case: &Case,
) -> Result<(), AppError> {
    refuse_another_key(app, conn).await?;
    let about = case.number.as_str();
    let leaf = app
        .store
        .leaf_about(conn, LeafKind::Case.word(), about)
        .await?;
    let is_recorded = match &leaf {
        Some(leaf) => is_whole(app, conn, leaf, &Entry::case(case)).await?,
        // A database of an earlier version is as it was until its rows are entered in the record.
        None => head(conn).await?.is_empty(),
    };
    match is_recorded {
        true => Ok(()),
        false => Err(changed_past_us(&case.number, WHOSE)),
    }
}

/// That something of a case is not as the record says.
pub(super) fn changed_past_us(number: &CaseNumber, what: &str) -> AppError {
    not_as_recorded(number, &format!("changed {what}"))
}

/// That the record has a case, and no row is there of it.
pub(super) fn gone(app: &App, number: &CaseNumber) -> AppError {
    tracing::error!(case = %number, "a case is in the record and is not stored any more");
    counted::note(app, number, Met::Case);
    not_as_recorded(number, "taken it away")
}

fn not_as_recorded(number: &CaseNumber, done: &str) -> AppError {
    AppError::Refused(vec![format!(
        "Case {number} is not as the record says: somebody has {done} past this program. Nothing is entered, signed or \
         printed of it. Tell whoever runs this installation: “vestibule check” says more."
    )])
}
