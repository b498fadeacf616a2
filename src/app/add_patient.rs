//! Patients' cards: a pseudonym drawn by chance, and facts that name nobody.

use super::case_work::CaseWork;
use super::recorded::reference::{hold, hold_card, names_office, note, own_card};
use super::run::run;
use super::whose_case::{is_of_patient, keep_own};
use super::{App, AppError, Person, PostKey, counted, doubted, new_codes};
use crate::domain::custody::case::Case;
use crate::domain::form::{Raw, ShownVersion};
use crate::domain::people::party::Side;
use crate::domain::people::patient::{self, Patient};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::PatientCode;
use crate::domain::values::words::counted as counted_words;
use crate::store::cases::{self, PatientRow};
use crate::store::reference::ReferenceData;
use crate::store::{Connection, StoreError, Tx};

/// A patient's card as read from the store.
#[derive(Debug, Clone)]
pub struct Card {
    pub code: PatientCode,
    pub patient: Patient,
    /// The card's fields as typed, for its form.
    pub typed: Raw,
    pub made_ms: i64,
    pub version: i64,
}

/// A card as it was typed, all of it clear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardForm {
    pub patient: Patient,
    /// Only the card's own fields, of all that a form may hold: these are stored.
    pub fields: Raw,
    pub version: i64,
}

impl CardForm {
    /// The card, if nothing is wrong with it.
    pub fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<CardForm> {
        let own = raw
            .iter()
            .filter(|(key, text)| key.starts_with("patient.") && !text.trim().is_empty());
        let fields = own
            .map(|(key, text)| (key.clone(), text.trim().to_owned()))
            .collect();
        let reading = patient::read(&fields);
        faults.extend(reading.faults);
        Some(CardForm {
            patient: reading.patient,
            fields,
            version: ShownVersion::read(raw, faults)?.version,
        })
    }

    fn facts(&self) -> Result<String, AppError> {
        serde_json::to_string(&self.fields).map_err(|why| AppError::Inner(why.to_string()))
    }
}

pub async fn add(
    app: &App,
    person: &Person,
    form: &CardForm,
    key: &PostKey,
) -> Result<PatientCode, AppError> {
    let facts = form.facts()?;
    let row = PatientRow {
        code: new_codes::patient_code(app, &mut *app.store.read().await?).await?,
        office: person.party_id().to_owned(),
        facts,
        made_ms: app.outside.now_ms(),
        version: 1,
    };
    run(app, person, key, |mut tx| async {
        cases::insert_patient(&mut tx, &row).await?;
        note(app, &mut tx, ReferenceData::Patient, row.code.as_str()).await?;
        Ok((tx, row.code.clone()))
    })
    .await
}

pub async fn change(
    app: &App,
    person: &Person,
    code: &PatientCode,
    form: &CardForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let facts = form.facts()?;
    run(app, person, key, |mut tx| async {
        let stored = cases::find_patient(tx.conn(), code)
            .await?
            .filter(|row| row.office == *person.party_id());
        let stored = stored.ok_or(AppError::NotFound)?;
        let before = stored.typed()?;
        let changed = PatientRow {
            facts: facts.clone(),
            version: form.version,
            ..stored
        };
        let held = hold(app, tx.conn(), ReferenceData::Patient, code.as_str()).await?;
        cases::update_patient(&mut tx, &changed).await?;
        held.note(app, &mut tx).await?;
        if patient::read(&before).patient.excluded() != form.patient.excluded() {
            draw_open_cases(app, &mut tx, code).await?;
        }
        Ok((tx, ()))
    })
    .await
}

/// The open cases with something signed, drawn again: what is to be avoided may not be what was signed any more.
async fn draw_open_cases(app: &App, tx: &mut Tx, code: &PatientCode) -> Result<(), AppError> {
    let cases = cases::cases_of_patient(tx.conn(), code).await?;
    for case in cases
        .into_iter()
        .filter(|one| !one.closed && one.revision > 0)
    {
        let mut work = CaseWork::of(app, tx.conn(), case, Side::Office).await?;
        work.save(app, tx).await?;
    }
    Ok(())
}

fn card(row: PatientRow) -> Result<Card, AppError> {
    let typed = row.typed()?;
    let patient = patient::read(&typed).patient;
    Ok(Card {
        code: row.code,
        patient,
        typed,
        made_ms: row.made_ms,
        version: row.version,
    })
}

/// The newest codes of one's own office, and when each was drawn: of cards too that cannot be read, for a name belongs to
/// those as well.
pub async fn newest_codes(app: &App, person: &Person) -> Result<Vec<(PatientCode, i64)>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let rows = cases::patients_of(&mut conn, person.party_id(), LIST_PATIENTS, 0).await?;
    let rows = keep_own_cards(app, &mut conn, rows).await?;
    Ok(rows
        .into_iter()
        .flatten()
        .map(|row| (row.code, row.made_ms))
        .collect())
}

/// Takes the cards out that are of another office by the record.
async fn keep_own_cards(
    app: &App,
    conn: &mut Connection,
    rows: Vec<Result<PatientRow, StoreError>>,
) -> Result<Vec<Result<PatientRow, StoreError>>, AppError> {
    let mut own = Vec::with_capacity(rows.len());
    for row in rows {
        let is_own = match &row {
            Ok(row) => names_office(app, conn, row).await?,
            Err(_) => true,
        };
        if is_own {
            own.push(row);
        }
    }
    Ok(own)
}

/// A card with the cases of its patient.
pub struct SeenCard {
    pub card: Card,
    pub cases: Vec<Case>,
    /// What is said of cases that are not among them; empty for most.
    pub not_shown: String,
}

fn not_shown_words(cases: usize) -> String {
    if cases == 0 {
        return String::new();
    }
    format!(
        "Not all is shown here: what is stored of {} is not what the record says. Somebody has changed it or taken it away past \
         this program. Tell your administrator: “vestibule check” says more.",
        counted_words(cases, "case")
    )
}

/// One's own patient's card, and the cases opened for it: for whom each was, its leaf says.
pub async fn see(app: &App, person: &Person, code: &PatientCode) -> Result<SeenCard, AppError> {
    // Before what is read at one moment: what is opened meanwhile is among that then.
    let gone = counted::lacking_of_patient(app, code).await?;
    let mut conn = app.store.read_at_once().await?;
    let row = own_card(app, &mut conn, person.party_id(), code).await?;
    let mut cases = Vec::new();
    let rows = cases::cases_of_patient(&mut conn, code).await?;
    let listed = rows.len();
    for case in rows {
        if is_of_patient(app, &mut conn, &case, code).await? {
            cases.push(case);
        }
    }
    drop(conn);
    keep_own(app, person.party_id(), &mut cases).await?;
    let gone = usize::try_from(gone).unwrap_or(usize::MAX);
    Ok(SeenCard {
        card: card(row)?,
        not_shown: not_shown_words(gone.saturating_add(listed - cases.len())),
        cases,
    })
}

/// Whether a card of a list is as the record says. One that cannot be read is told by what reads it; under a record that is
/// another one, every page says so.
async fn is_sound(
    app: &App,
    conn: &mut Connection,
    row: &Result<PatientRow, StoreError>,
) -> Result<bool, AppError> {
    let Ok(row) = row else { return Ok(true) };
    match hold_card(app, conn, row).await {
        Ok(()) | Err(AppError::Store(StoreError::Forked(_))) => Ok(true),
        Err(AppError::Refused(_)) => Ok(false),
        Err(other) => Err(other),
    }
}

/// Patients on one page of the list.
const LIST_PATIENTS: i64 = 50;

/// A page of the list.
pub struct CardList {
    pub cards: Vec<Card>,
    /// Cards of this page that cannot be read.
    pub unread: usize,
    /// What is said of cards that are in no list any more, and of days by another clock; empty for most.
    pub gone: String,
    rows: usize,
}

impl CardList {
    /// Whether there may be another page.
    pub fn is_full(&self) -> bool {
        i64::try_from(self.rows).unwrap_or(0) == LIST_PATIENTS
    }
}

/// The cards of one's own office, the newest first.
pub async fn list(app: &App, person: &Person, page: i64) -> Result<CardList, AppError> {
    counted::look_for_cards(app, person.party_id()).await?;
    let mut conn = app.store.read_at_once().await?;
    let offset = page.clamp(0, 100_000) * LIST_PATIENTS;
    let rows = cases::patients_of(&mut conn, person.party_id(), LIST_PATIENTS, offset).await?;
    let many = rows.len();
    let rows = keep_own_cards(app, &mut conn, rows).await?;
    let own = rows.len();
    // Of a card that says something else than its leaf nothing is shown: its own page says why.
    let mut held = Vec::with_capacity(own);
    for row in rows {
        if is_sound(app, &mut conn, &row).await? {
            held.push(row);
        }
    }
    let card_of = |row: Result<PatientRow, StoreError>| {
        row.map_err(AppError::from)
            .and_then(card)
            .inspect_err(|error| tracing::warn!(%error, "a card is left out of a list"))
            .ok()
    };
    let cards: Vec<Card> = held.into_iter().filter_map(card_of).collect();
    drop(conn);
    let gone = counted::cards_gone_words(app, person.party_id());
    let gone = format!("{gone} {}", doubted::clock_words(app, person).await?);
    Ok(CardList {
        unread: own - cards.len(),
        gone: gone.trim().to_owned(),
        rows: many,
        cards,
    })
}
