//! Patients and cases.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{flag, id_of, one_kept, one_row};
use super::strays::refuse_at_end;
use crate::domain::custody::agenda::{
    CaseAgenda, OnAgenda, OnBench, OrderedWork, WhoseTurn, pan_key,
};
use crate::domain::custody::case::{Case, Place, Task};
use crate::domain::custody::held::Held;
use crate::domain::form::Raw;
use crate::domain::people::party::Side;
use crate::domain::prescription::Stage;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{AccountId, CaseNumber, PartyId, PatientCode};
use crate::domain::values::moment::{parse_date, show_date};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use time::Date;

/// A patient row: the facts are the form's fields as JSON, read by `domain::patient`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PatientRow {
    pub code: PatientCode,
    pub office: PartyId,
    pub facts: String,
    pub made_ms: i64,
    pub version: i64,
}

impl PatientRow {
    /// What is written on the card, as it was typed.
    pub fn typed(&self) -> Result<Raw, StoreError> {
        serde_json::from_str(&self.facts).map_err(|why| StoreError::row("patient", &self.code, why))
    }
}

fn patient(row: &AnyRow) -> Result<PatientRow, StoreError> {
    let code: String = row.try_get("code")?;
    Ok(PatientRow {
        code: PatientCode::parse(&code).map_err(|why| StoreError::row("patient", &code, why))?,
        office: id_of(row, "office_id")?,
        facts: row.try_get("facts")?,
        made_ms: row.try_get("made_ms")?,
        version: row.try_get("version")?,
    })
}

/// Of a case, what a line of a long list says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedCase {
    pub number: String,
    pub opened_ms: i64,
    pub revision: i64,
    pub place: Place,
    pub summary: String,
}

/// The cases after a number in their order, at most `limit`, as one row: a row for each costs more than reading it.
pub async fn listed_after(
    conn: &mut AnyConnection,
    number: &str,
    limit: i64,
) -> Result<Vec<ListedCase>, StoreError> {
    /// In no text that is stored here.
    const BETWEEN: [&str; 2] = ["\u{1e}", "\u{1f}"];
    let row = sqlx::query(
        "SELECT string_agg(number || $3 || opened_ms || $3 || revision || $3 || place || $3 || summary, $4) AS lines \
         FROM (SELECT * FROM case_file WHERE number > $1 ORDER BY number LIMIT $2) AS some_cases",
    )
    .bind(number)
    .bind(limit)
    .bind(BETWEEN[1])
    .bind(BETWEEN[0])
    .fetch_one(conn)
    .await?;
    let lines: Option<String> = row.try_get("lines")?;
    let lines = lines.unwrap_or_default();
    let line = |line: &str| {
        let mut texts = line.splitn(5, BETWEEN[1]);
        let mut next = || texts.next().unwrap_or_default();
        let number = next().to_owned();
        let bad = |why: &str| StoreError::row("case_file", &number, why);
        Ok(ListedCase {
            opened_ms: next().parse().map_err(|_| bad("opened_ms"))?,
            revision: next().parse().map_err(|_| bad("revision"))?,
            place: Place::from_word(next()).ok_or_else(|| bad("place"))?,
            summary: next().to_owned(),
            number,
        })
    };
    let lines = lines.split(BETWEEN[0]).filter(|line| !line.is_empty());
    lines.map(line).collect()
}

pub async fn insert_patient(tx: &mut Tx, patient: &PatientRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO patient (code, office_id, facts, made_ms, version) VALUES ($1, $2, $3, $4, 1)",
    )
    .bind(patient.code.as_str())
    .bind(patient.office.as_str())
    .bind(&patient.facts)
    .bind(patient.made_ms)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the card")
}

pub async fn update_patient(tx: &mut Tx, patient: &PatientRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE patient SET facts = $1, version = version + 1 WHERE code = $2 AND version = $3",
    )
    .bind(&patient.facts)
    .bind(patient.code.as_str())
    .bind(patient.version)
    .execute(tx.conn())
    .await?;
    one_row(&done, "the patient's card")
}

pub async fn find_patient(
    conn: &mut AnyConnection,
    code: &PatientCode,
) -> Result<Option<PatientRow>, StoreError> {
    let row = sqlx::query("SELECT * FROM patient WHERE code = $1")
        .bind(code.as_str())
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(patient).transpose()
}

/// The patients with a code after `range.0` and up to `range.1`, in the order of their codes.
pub async fn patients_between(
    conn: &mut AnyConnection,
    range: (&str, &str),
) -> Result<Vec<PatientRow>, StoreError> {
    let rows = sqlx::query("SELECT * FROM patient WHERE code > $1 AND code <= $2 ORDER BY code")
        .bind(range.0)
        .bind(range.1)
        .fetch_all(conn)
        .await?;
    rows.iter().map(patient).collect()
}

/// An office's patients, each or why its row cannot be read, newest first, a page at a time.
pub async fn patients_of(
    conn: &mut AnyConnection,
    office: &PartyId,
    limit: i64,
    offset: i64,
) -> Result<Vec<Result<PatientRow, StoreError>>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM patient WHERE office_id = $1 ORDER BY made_ms DESC, code LIMIT $2 OFFSET $3",
    )
    .bind(office.as_str())
    .bind(limit)
    .bind(offset)
    .fetch_all(conn)
    .await?;
    Ok(rows.iter().map(patient).collect())
}

pub(super) fn case(row: &AnyRow) -> Result<Case, StoreError> {
    let number: String = row.try_get("number")?;
    let bad = |why: &str| StoreError::row("case_file", &number, why);
    let patient: String = row.try_get("patient_code")?;
    Ok(Case {
        number: CaseNumber::parse(&number)
            .map_err(|why| StoreError::row("case_file", &number, why))?,
        office: id_of(row, "office_id")?,
        lab: id_of(row, "lab_id")?,
        patient: PatientCode::parse(&patient).map_err(|_| bad("patient_code"))?,
        arches: Arches::from_word(row.try_get("arches")?).ok_or_else(|| bad("arches"))?,
        opened_ms: row.try_get("opened_ms")?,
        closed: flag(row, "closed")?,
        place: Place::from_word(row.try_get("place")?).ok_or_else(|| bad("place"))?,
        also: read_place(row.try_get("also")?).ok_or_else(|| bad("also"))?,
        drawn: row.try_get("drawn")?,
        held: read_held(row.try_get("held")?).map_err(bad)?,
        waiting_for: read_tasks(row.try_get("waiting_for")?).ok_or_else(|| bad("waiting_for"))?,
        due: read_day(row.try_get("due")?).map_err(|_| bad("due"))?,
        lent_due: read_day(row.try_get("lent_due")?).map_err(|_| bad("lent_due"))?,
        summary: row.try_get("summary")?,
        revision: row.try_get("revision")?,
        acknowledged: row.try_get("acknowledged")?,
        changed_ms: row.try_get("changed_ms")?,
        version: row.try_get("version")?,
        agenda: agenda(row, bad)?,
    })
}

/// What the agenda keeps of the case.
fn agenda(row: &AnyRow, bad: impl Fn(&str) -> StoreError) -> Result<CaseAgenda, StoreError> {
    let on = |turn: &'static str, day: &'static str, asked: &'static str| {
        let on = OnAgenda {
            turn: WhoseTurn::from_word(row.try_get(turn)?).ok_or_else(|| bad(turn))?,
            day: read_ordering_day(row.try_get(day)?).map_err(|_| bad(day))?,
            asked: None,
            answered_ms: None,
            check: None,
        };
        let talk = on.with_talk(row.try_get(asked)?);
        talk.ok_or_else(|| bad(asked))
    };
    let agenda = CaseAgenda {
        office: on("office_turn", "office_day", "office_asked")?,
        lab: on("lab_turn", "lab_day", "lab_asked")?,
        items: row.try_get("things")?,
        work: OrderedWork::from_word(row.try_get("work")?).ok_or_else(|| bad("work"))?,
        seals: row.try_get("seals")?,
        words: row.try_get("words")?,
        bench: OnBench {
            pan: row.try_get("pan")?,
            technician: match row.try_get::<String, _>("technician")?.as_str() {
                "" => None,
                id => Some(AccountId::new(id)),
            },
            open: row.try_get("bench_open")?,
            ..OnBench::default()
        }
        .with_next(row.try_get("bench_next")?)
        .ok_or_else(|| bad("bench_next"))?,
    };
    // It follows from the work, and stands in a column of its own to be asked for.
    match row.try_get::<&str, _>("stage")? == stage_text(&agenda) {
        true => Ok(agenda),
        false => Err(bad("stage")),
    }
}

/// The day by which a case is ordered that has none: after all others.
const NO_DAY: &str = "9999-12-31";

fn ordering_day(day: Option<Date>) -> String {
    day.map_or_else(|| NO_DAY.to_owned(), show_date)
}

/// Reads the day by which a case is ordered.
pub(super) fn read_ordering_day(text: &str) -> Result<Option<Date>, &'static str> {
    match text {
        NO_DAY => Ok(None),
        text => parse_date(text).map(Some),
    }
}

fn stage_text(agenda: &CaseAgenda) -> &'static str {
    agenda.stage().map(Stage::word).unwrap_or_default()
}

fn technician_text(agenda: &CaseAgenda) -> &str {
    let technician = agenda.bench.technician.as_ref();
    technician.map_or("", AccountId::as_str)
}

fn held_text(held: Option<&Held>) -> String {
    held.map(Held::word).unwrap_or_default()
}

fn place_text(place: Option<Place>) -> &'static str {
    place.map(Place::word).unwrap_or_default()
}

/// Nowhere else is an empty text.
fn read_place(text: &str) -> Option<Option<Place>> {
    match text {
        "" => Some(None),
        text => Place::from_word(text).map(Some),
    }
}

fn read_held(text: &str) -> Result<Option<Held>, &'static str> {
    match text {
        "" => Ok(None),
        text => Held::from_word(text).map(Some).ok_or("held"),
    }
}

fn tasks_text(tasks: &[Task]) -> String {
    let words: Vec<String> = tasks.iter().map(|task| task.word()).collect();
    words.join(";")
}

fn read_tasks(text: &str) -> Option<Vec<Task>> {
    let words = text.split(';').filter(|word| !word.is_empty());
    words.map(Task::from_word).collect()
}

/// A day as its column holds it. No day is an empty text, which sorts before all others.
fn day_text(day: Option<Date>) -> String {
    day.map(show_date).unwrap_or_default()
}

fn read_day(text: &str) -> Result<Option<Date>, &'static str> {
    if text.is_empty() {
        return Ok(None);
    }
    parse_date(text).map(Some)
}

pub async fn insert_case(tx: &mut Tx, case: &Case) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO case_file (number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, held, \
         waiting_for, due, summary, revision, acknowledged, changed_ms, version, lent_due, also, drawn, office_turn, office_day, lab_turn, \
         lab_day, things, work, stage, seals, words, pan, pan_key, technician, bench_open, bench_next, office_asked, lab_asked) \
         VALUES ($1, $2, $3, $4, $5, $6, 0, $7, $8, $9, $10, $11, 0, 0, $6, 1, $12, $13, $14, $15, $16, $17, $18, $19, \
         $20, $21, $22, $23, $24, $25, $26, $27, $28, $29, $30)",
    )
    .bind(case.number.as_str())
    .bind(case.office.as_str())
    .bind(case.lab.as_str())
    .bind(case.patient.as_str())
    .bind(case.arches.word())
    .bind(case.opened_ms)
    .bind(case.place.word())
    .bind(held_text(case.held.as_ref()))
    .bind(tasks_text(&case.waiting_for))
    .bind(day_text(case.due))
    .bind(&case.summary)
    .bind(day_text(case.lent_due))
    .bind(place_text(case.also))
    .bind(case.drawn)
    .bind(case.agenda.office.turn.word())
    .bind(ordering_day(case.agenda.office.day))
    .bind(case.agenda.lab.turn.word())
    .bind(ordering_day(case.agenda.lab.day))
    .bind(case.agenda.items)
    .bind(OrderedWork::word(&case.agenda.work))
    .bind(stage_text(&case.agenda))
    .bind(&case.agenda.seals)
    .bind(&case.agenda.words)
    .bind(&case.agenda.bench.pan)
    .bind(pan_key(&case.agenda.bench.pan))
    .bind(technician_text(&case.agenda))
    .bind(case.agenda.bench.open)
    .bind(case.agenda.bench.next_word())
    .bind(case.agenda.office.talk_word())
    .bind(case.agenda.lab.talk_word())
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the case")
}

/// Writes what can change of a case. `case.version` is the version that was read: this guard is what
/// makes two people at once come out as one winner and one who is told.
pub async fn update_case(tx: &mut Tx, case: &Case) -> Result<(), StoreError> {
    refuse_at_end(case.version, &format!("case {}", case.number))?;
    let done = sqlx::query(
        "UPDATE case_file SET closed = $1, place = $2, held = $3, waiting_for = $4, due = $5, summary = $6, \
         revision = $7, acknowledged = $8, changed_ms = $9, lent_due = $10, also = $11, drawn = $12, \
         office_turn = $15, office_day = $16, lab_turn = $17, lab_day = $18, things = $19, work = $20, stage = $21, \
         seals = $22, pan = $23, pan_key = $24, technician = $25, bench_open = $26, bench_next = $27, \
         office_asked = $28, lab_asked = $29, \
         version = version + 1 WHERE number = $13 AND version = $14",
    )
    .bind(i64::from(case.closed))
    .bind(case.place.word())
    .bind(held_text(case.held.as_ref()))
    .bind(tasks_text(&case.waiting_for))
    .bind(day_text(case.due))
    .bind(&case.summary)
    .bind(case.revision)
    .bind(case.acknowledged)
    .bind(case.changed_ms)
    .bind(day_text(case.lent_due))
    .bind(place_text(case.also))
    .bind(case.drawn)
    .bind(case.number.as_str())
    .bind(case.version)
    .bind(case.agenda.office.turn.word())
    .bind(ordering_day(case.agenda.office.day))
    .bind(case.agenda.lab.turn.word())
    .bind(ordering_day(case.agenda.lab.day))
    .bind(case.agenda.items)
    .bind(OrderedWork::word(&case.agenda.work))
    .bind(stage_text(&case.agenda))
    .bind(&case.agenda.seals)
    .bind(&case.agenda.bench.pan)
    .bind(pan_key(&case.agenda.bench.pan))
    .bind(technician_text(&case.agenda))
    .bind(case.agenda.bench.open)
    .bind(case.agenda.bench.next_word())
    .bind(case.agenda.office.talk_word())
    .bind(case.agenda.lab.talk_word())
    .execute(tx.conn())
    .await?;
    one_row(&done, "the case")?;
    // They change seldom, and their index is long.
    sqlx::query("UPDATE case_file SET words = $2 WHERE number = $1 AND words <> $2")
        .bind(case.number.as_str())
        .bind(&case.agenda.words)
        .execute(tx.conn())
        .await?;
    Ok(())
}

pub async fn find_case(
    conn: &mut AnyConnection,
    number: &CaseNumber,
) -> Result<Option<Case>, StoreError> {
    let row = sqlx::query("SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file WHERE number = $1")
        .bind(number.as_str())
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(case).transpose()
}

/// The open case of a lab that stands in this pan, as it is looked for.
pub async fn in_pan(
    conn: &mut AnyConnection,
    lab: &PartyId,
    pan: &str,
) -> Result<Option<CaseNumber>, StoreError> {
    let key = pan_key(pan);
    if key.is_empty() {
        return Ok(None);
    }
    let sql = "SELECT number, pan FROM case_file WHERE lab_id = $1 AND closed = 0 AND pan_key = $2 ORDER BY number LIMIT 20";
    let rows = sqlx::query(sql)
        .bind(lab.as_str())
        .bind(&key)
        .fetch_all(conn)
        .await?;
    for row in rows {
        // The key is for the index: what is entered is the pan.
        let stands_in: String = row.try_get("pan")?;
        if pan_key(&stands_in) == key {
            let number: String = row.try_get("number")?;
            let parsed = CaseNumber::parse(&number);
            return Ok(Some(
                parsed.map_err(|why| StoreError::row("case_file", &number, why))?,
            ));
        }
    }
    Ok(None)
}

/// The cases that are looked for by another pan than the one that they stand in: number, key and pan.
pub async fn pans_astray(
    conn: &mut AnyConnection,
) -> Result<Vec<(String, String, String)>, StoreError> {
    let sql = "SELECT number, pan, pan_key FROM case_file WHERE pan <> '' OR pan_key <> '' ORDER BY number";
    let rows = sqlx::query(sql).fetch_all(conn).await?;
    let one = |row: &AnyRow| {
        Ok((
            row.try_get("number")?,
            row.try_get("pan_key")?,
            row.try_get("pan")?,
        ))
    };
    let all: Result<Vec<(String, String, String)>, StoreError> = rows.iter().map(one).collect();
    let is_astray = |(_, key, pan): &(String, String, String)| pan_key(pan) != *key;
    Ok(all?.into_iter().filter(is_astray).collect())
}

/// How often a case has changed.
pub async fn version(
    conn: &mut AnyConnection,
    number: &CaseNumber,
) -> Result<Option<i64>, StoreError> {
    let row = sqlx::query("SELECT version FROM case_file WHERE number = $1")
        .bind(number.as_str())
        .fetch_optional(conn)
        .await?;
    row.map(|row| Ok(row.try_get("version")?)).transpose()
}

/// Counters of everything that a case's page shows, but for its draft: equal marks, equal page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Marks {
    pub case: i64,
    pub office: i64,
    pub lab: i64,
    /// The patient’s card, which says what stands in the jaws; 0 where there is none.
    pub patient: i64,
    /// The newest leaf of the case: the counters are in no leaf, and whoever sets one back would show an earlier page again.
    pub leaf: i64,
}

/// The side of `party` on a case, the case's marks, and who wrote its draft last and when. `None` where
/// there is no such case, or the party is a stranger to it.
pub async fn marks(
    conn: &mut AnyConnection,
    number: &CaseNumber,
    party: &PartyId,
) -> Result<Option<(Side, Marks, Option<(String, i64)>)>, StoreError> {
    let row = sqlx::query(
        "SELECT c.office_id, c.version AS case_version, o.version AS office_version, l.version AS lab_version, \
         p.version AS patient_version, d.changed_by, d.changed_ms, \
         COALESCE((SELECT MAX(number) FROM leaf WHERE case_number = c.number), -1) AS newest_leaf \
         FROM case_file c JOIN party o ON o.id = c.office_id JOIN party l ON l.id = c.lab_id \
         LEFT JOIN patient p ON p.code = c.patient_code LEFT JOIN draft d ON d.case_number = c.number \
         WHERE c.number = $1 AND (c.office_id = $2 OR c.lab_id = $2)",
    )
    .bind(number.as_str())
    .bind(party.as_str())
    .fetch_optional(conn)
    .await?;
    row.map(|row| {
        let is_office = row.try_get::<&str, _>("office_id")? == party.as_str();
        let marks = Marks {
            case: row.try_get("case_version")?,
            office: row.try_get("office_version")?,
            lab: row.try_get("lab_version")?,
            patient: row
                .try_get::<Option<i64>, _>("patient_version")?
                .unwrap_or(0),
            leaf: row.try_get("newest_leaf")?,
        };
        let by: Option<String> = row.try_get("changed_by")?;
        let at: Option<i64> = row.try_get("changed_ms")?;
        let side = if is_office { Side::Office } else { Side::Lab };
        Ok((side, marks, by.zip(at)))
    })
    .transpose()
}

/// The numbers of the cases after `number` whose lists an earlier way of drawing made, in order, at most `limit`.
pub async fn drawn_before(
    conn: &mut AnyConnection,
    drawn: i64,
    number: &str,
    limit: i64,
) -> Result<Vec<String>, StoreError> {
    let sql =
        "SELECT number FROM case_file WHERE number > $2 AND drawn < $1 ORDER BY number LIMIT $3";
    drawn_otherwise(conn, sql, (drawn, number, limit)).await
}

/// The same of the cases that say that a later version drew them: this one has not.
pub async fn drawn_after(
    conn: &mut AnyConnection,
    drawn: i64,
    number: &str,
    limit: i64,
) -> Result<Vec<String>, StoreError> {
    let sql =
        "SELECT number FROM case_file WHERE number > $2 AND drawn > $1 ORDER BY number LIMIT $3";
    drawn_otherwise(conn, sql, (drawn, number, limit)).await
}

async fn drawn_otherwise(
    conn: &mut AnyConnection,
    sql: &'static str,
    (drawn, number, limit): (i64, &str, i64),
) -> Result<Vec<String>, StoreError> {
    let rows = sqlx::query(sql)
        .bind(drawn)
        .bind(number)
        .bind(limit)
        .fetch_all(conn)
        .await?;
    rows.iter().map(|row| Ok(row.try_get("number")?)).collect()
}

/// The cases of one patient, newest first.
pub async fn cases_of_patient(
    conn: &mut AnyConnection,
    code: &PatientCode,
) -> Result<Vec<Case>, StoreError> {
    let rows = sqlx::query(
        "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file WHERE patient_code = $1 ORDER BY opened_ms DESC, number LIMIT 100",
    )
    .bind(code.as_str())
    .fetch_all(conn)
    .await?;
    rows.iter().map(case).collect()
}

/// The open cases of an office of each patient who has more than one, the oldest first: among so many of its open cases,
/// of so many patients.
pub async fn open_side_by_side(
    conn: &mut AnyConnection,
    office: &PartyId,
    (most, patients): (i64, i64),
) -> Result<Vec<Vec<CaseNumber>>, StoreError> {
    let rows = sqlx::query(
        "SELECT number, patient_code FROM case_file WHERE office_id = $1 AND closed = 0 AND patient_code IN \
         (SELECT patient_code FROM (SELECT patient_code FROM case_file WHERE office_id = $1 AND closed = 0 LIMIT $2) \
         AS some_cases GROUP BY patient_code HAVING COUNT(*) > 1 ORDER BY patient_code LIMIT $3) \
         ORDER BY patient_code, opened_ms, number",
    )
    .bind(office.as_str())
    .bind(most)
    .bind(patients)
    .fetch_all(conn)
    .await?;
    let mut found: Vec<(String, Vec<CaseNumber>)> = Vec::new();
    for row in &rows {
        let cells = (
            row.try_get::<String, _>("number"),
            row.try_get::<String, _>("patient_code"),
        );
        // What somebody has damaged is told where its case is listed.
        let (Ok(number), Ok(patient)) = cells else {
            continue;
        };
        let Ok(number) = CaseNumber::parse(&number) else {
            continue;
        };
        match found.last_mut().filter(|(last, _)| *last == patient) {
            Some((_, numbers)) => numbers.push(number),
            None => found.push((patient, vec![number])),
        }
    }
    Ok(found.into_iter().map(|(_, numbers)| numbers).collect())
}

/// Every case in order of opening, a page at a time: for the command line.
pub async fn all_cases(
    conn: &mut AnyConnection,
    limit: i64,
    offset: i64,
) -> Result<Vec<Case>, StoreError> {
    let rows = sqlx::query("SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file ORDER BY opened_ms, number LIMIT $1 OFFSET $2")
        .bind(limit)
        .bind(offset)
        .fetch_all(conn)
        .await?;
    rows.iter().map(case).collect()
}

/// The numbers of the cases after `number`, in order, at most `limit`: read on their own, so that a row that
/// cannot be read hides no other.
pub async fn numbers_after(
    conn: &mut AnyConnection,
    number: &str,
    limit: i64,
) -> Result<Vec<String>, StoreError> {
    let rows =
        sqlx::query("SELECT number FROM case_file WHERE number > $1 ORDER BY number LIMIT $2")
            .bind(number)
            .bind(limit)
            .fetch_all(conn)
            .await?;
    rows.iter().map(|row| Ok(row.try_get("number")?)).collect()
}

/// The cases with a number after `range.0` and up to `range.1`, in the order of their numbers.
pub async fn cases_between(
    conn: &mut AnyConnection,
    range: (&str, &str),
) -> Result<Vec<Case>, StoreError> {
    let rows =
        sqlx::query("SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file WHERE number > $1 AND number <= $2 ORDER BY number")
            .bind(range.0)
            .bind(range.1)
            .fetch_all(conn)
            .await?;
    rows.iter().map(case).collect()
}
