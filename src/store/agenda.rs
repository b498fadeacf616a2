//! The lists of an agenda: open or closed cases of one side, in order, a page at a time.

use super::cases::{case, read_ordering_day};
use super::error::StoreError;
use super::parties::party as party_of;
use super::rows::id_of;
use crate::domain::custody::agenda::WhoseTurn;
use crate::domain::custody::case::Case;
use crate::domain::people::party::{Party, Side};
use crate::domain::prescription::Stage;
use crate::domain::values::ids::{AccountId, PartyId};
use crate::domain::values::moment::show_date;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use time::Date;

/// Which cases of a party are asked for.
#[derive(Debug, Clone, Copy)]
pub struct Sought<'a> {
    pub side: Side,
    pub party: &'a PartyId,
    pub turn: WhoseTurn,
    pub closed: bool,
    /// The other house; any where none is named.
    pub house: Option<&'a PartyId>,
    pub stage: Option<Stage>,
    /// Of a lab: the technician whose cases alone are asked for.
    pub technician: Option<&'a AccountId>,
    /// From this day on.
    pub from: Option<Date>,
    /// Before this day; cases without a day come only where no bound is set.
    pub before: Option<Date>,
}

impl<'a> Sought<'a> {
    /// All open cases of a party on one of its lists.
    pub fn open(side: Side, party: &'a PartyId, turn: WhoseTurn) -> Sought<'a> {
        Sought {
            side,
            party,
            turn,
            closed: false,
            house: None,
            stage: None,
            technician: None,
            from: None,
            before: None,
        }
    }
}

/// Cases of a list, and the numbers of those whose rows cannot be read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ReadCases {
    pub cases: Vec<Case>,
    pub unreadable: Vec<String>,
}

impl ReadCases {
    /// Takes those of another list in behind its own, each case that cannot be read once.
    pub fn append(&mut self, other: ReadCases) {
        self.cases.extend(other.cases);
        let known = &mut self.unreadable;
        let others = other.unreadable.into_iter();
        for number in others {
            if !known.contains(&number) {
                known.push(number);
            }
        }
    }
}

/// One row that somebody has damaged keeps nobody from all the others.
fn readable(rows: &[AnyRow]) -> ReadCases {
    let mut read = ReadCases::default();
    for row in rows {
        match case(row) {
            Ok(case) => read.cases.push(case),
            Err(why) => {
                let number: String = row.try_get("number").unwrap_or_default();
                tracing::error!(case = %number, %why, "a case cannot be read");
                read.unreadable.push(number);
            }
        }
    }
    read
}

/// A part of a list.
#[derive(Debug, Clone, Copy)]
pub struct Part {
    pub limit: i64,
    pub offset: i64,
}

/// After the day of every case, of those without one too.
const LAST: &str = "9999-12-32";

type Query<'q> = sqlx::query::Query<'q, sqlx::Any, sqlx::any::AnyArguments>;

fn bound<'q>(sql: &'static str, asked: Sought<'_>, part: Part) -> Query<'q> {
    let day = |day: Option<Date>, none: &str| day.map_or_else(|| none.to_owned(), show_date);
    let query = sqlx::query(sql)
        .bind(asked.party.as_str().to_owned())
        .bind(i64::from(asked.closed))
        .bind(asked.turn.word())
        .bind(day(asked.from, ""))
        .bind(day(asked.before, LAST))
        .bind(asked.stage.map(Stage::word).unwrap_or_default())
        .bind(part.limit)
        .bind(part.offset);
    let query = match (asked.side, asked.technician) {
        (Side::Office, _) => query,
        (Side::Lab, technician) => {
            query.bind(technician.map_or_else(String::new, |one| one.as_str().to_owned()))
        }
    };
    match asked.house {
        Some(house) => query.bind(house.as_str().to_owned()),
        None => query,
    }
}

/// The cases of one list: the earliest day first, those without a day last.
pub async fn listed(
    conn: &mut AnyConnection,
    asked: Sought<'_>,
    part: Part,
) -> Result<ReadCases, StoreError> {
    // Every column is named: a star would be read by the schema that a connection knew before a migration.
    let sql = match (asked.side, asked.house.is_some()) {
        (Side::Office, false) => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE office_id = $1 AND closed = $2 AND office_turn = $3 AND office_day >= $4 AND office_day < $5 \
             AND ($6 = '' OR stage = $6) \
             ORDER BY office_day, number LIMIT $7 OFFSET $8"
        }
        (Side::Office, true) => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE lab_id = $9 AND office_id = $1 AND closed = $2 AND office_turn = $3 AND office_day >= $4 AND office_day < $5 \
             AND ($6 = '' OR stage = $6) \
             ORDER BY office_day, number LIMIT $7 OFFSET $8"
        }
        (Side::Lab, false) => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE lab_id = $1 AND closed = $2 AND lab_turn = $3 AND lab_day >= $4 AND lab_day < $5 \
             AND ($6 = '' OR stage = $6) AND ($9 = '' OR technician = $9) \
             ORDER BY lab_day, number LIMIT $7 OFFSET $8"
        }
        (Side::Lab, true) => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE lab_id = $1 AND office_id = $10 AND closed = $2 AND lab_turn = $3 AND lab_day >= $4 AND lab_day < $5 \
             AND ($6 = '' OR stage = $6) AND ($9 = '' OR technician = $9) \
             ORDER BY lab_day, number LIMIT $7 OFFSET $8"
        }
    };
    let rows = bound(sql, asked, part).fetch_all(conn).await?;
    Ok(readable(&rows))
}

/// The cases of one list, the latest day first: for those that are closed.
pub async fn listed_from_the_end(
    conn: &mut AnyConnection,
    asked: Sought<'_>,
    part: Part,
) -> Result<ReadCases, StoreError> {
    let sql = match (asked.side, asked.house.is_some()) {
        (Side::Office, false) => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE office_id = $1 AND closed = $2 AND office_turn = $3 AND office_day >= $4 AND office_day < $5 \
             AND ($6 = '' OR stage = $6) \
             ORDER BY office_day DESC, number DESC LIMIT $7 OFFSET $8"
        }
        (Side::Office, true) => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE lab_id = $9 AND office_id = $1 AND closed = $2 AND office_turn = $3 AND office_day >= $4 AND office_day < $5 \
             AND ($6 = '' OR stage = $6) \
             ORDER BY office_day DESC, number DESC LIMIT $7 OFFSET $8"
        }
        (Side::Lab, false) => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE lab_id = $1 AND closed = $2 AND lab_turn = $3 AND lab_day >= $4 AND lab_day < $5 \
             AND ($6 = '' OR stage = $6) AND ($9 = '' OR technician = $9) \
             ORDER BY lab_day DESC, number DESC LIMIT $7 OFFSET $8"
        }
        (Side::Lab, true) => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE lab_id = $1 AND office_id = $10 AND closed = $2 AND lab_turn = $3 AND lab_day >= $4 AND lab_day < $5 \
             AND ($6 = '' OR stage = $6) AND ($9 = '' OR technician = $9) \
             ORDER BY lab_day DESC, number DESC LIMIT $7 OFFSET $8"
        }
    };
    let rows = bound(sql, asked, part).fetch_all(conn).await?;
    Ok(readable(&rows))
}

/// How many cases a list has, counted up to `most` only: past that the number is of no use to a reader, and counting
/// must not grow with the store.
pub async fn count(
    conn: &mut AnyConnection,
    asked: Sought<'_>,
    most: i64,
) -> Result<i64, StoreError> {
    let sql = match (asked.side, asked.house.is_some()) {
        (Side::Office, false) => {
            "SELECT COUNT(*) AS n FROM (SELECT 1 FROM case_file WHERE office_id = $1 AND closed = $2 AND office_turn = $3 AND office_day >= $4 AND office_day < $5 \
             AND ($6 = '' OR stage = $6) \
             LIMIT $7 OFFSET $8) AS some_cases"
        }
        (Side::Office, true) => {
            "SELECT COUNT(*) AS n FROM (SELECT 1 FROM case_file WHERE lab_id = $9 AND office_id = $1 AND closed = $2 AND office_turn = $3 AND office_day >= $4 AND office_day < $5 \
             AND ($6 = '' OR stage = $6) \
             LIMIT $7 OFFSET $8) AS some_cases"
        }
        (Side::Lab, false) => {
            "SELECT COUNT(*) AS n FROM (SELECT 1 FROM case_file WHERE lab_id = $1 AND closed = $2 AND lab_turn = $3 AND lab_day >= $4 AND lab_day < $5 \
             AND ($6 = '' OR stage = $6) AND ($9 = '' OR technician = $9) \
             LIMIT $7 OFFSET $8) AS some_cases"
        }
        (Side::Lab, true) => {
            "SELECT COUNT(*) AS n FROM (SELECT 1 FROM case_file WHERE lab_id = $1 AND office_id = $10 AND closed = $2 AND lab_turn = $3 AND lab_day >= $4 AND lab_day < $5 \
             AND ($6 = '' OR stage = $6) AND ($9 = '' OR technician = $9) \
             LIMIT $7 OFFSET $8) AS some_cases"
        }
    };
    let part = Part {
        limit: most,
        offset: 0,
    };
    let row = bound(sql, asked, part).fetch_one(conn).await?;
    Ok(row.try_get("n")?)
}

/// How many open cases of a lab wait in a list for each technician, by day; none is nobody, or no day. Those of a day that
/// cannot be read keep nobody from the others: the list names them.
pub async fn by_technician(
    conn: &mut AnyConnection,
    lab: &PartyId,
    turn: WhoseTurn,
) -> Result<Vec<(Option<AccountId>, Option<Date>, i64)>, StoreError> {
    let rows = sqlx::query(
        "SELECT technician, lab_day, COUNT(*) AS n FROM case_file WHERE lab_id = $1 AND closed = 0 AND lab_turn = $2 \
         GROUP BY technician, lab_day",
    )
    .bind(lab.as_str())
    .bind(turn.word())
    .fetch_all(conn)
    .await?;
    let one = |row: &sqlx::any::AnyRow| {
        let technician: AccountId = id_of(row, "technician")?;
        let day: &str = row.try_get("lab_day")?;
        let day = read_ordering_day(day)
            .map_err(|why| StoreError::row("case_file", "by technician", why))?;
        let technician = Some(technician).filter(|one| !one.is_empty());
        Ok((technician, day, row.try_get("n")?))
    };
    let read = |row: &sqlx::any::AnyRow| {
        let read: Result<_, StoreError> = one(row);
        read.inspect_err(|why| tracing::error!(%why, "what waits for a technician cannot be read"))
            .ok()
    };
    Ok(rows.iter().filter_map(read).collect())
}

/// Cases of a party in which all of these texts occur, three at most, as they are looked for; in no meaningful order.
/// It goes through the words of all open or closed cases of the party, so it is asked for on purpose only.
pub async fn found(
    conn: &mut AnyConnection,
    (side, party, closed): (Side, &PartyId, bool),
    texts: &[String],
    most: i64,
) -> Result<ReadCases, StoreError> {
    let sql = match side {
        Side::Office => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE office_id = $1 AND closed = $2 AND words LIKE $3 ESCAPE '!' AND words LIKE $4 ESCAPE '!' AND words LIKE $5 ESCAPE '!' \
             LIMIT $6"
        }
        Side::Lab => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE lab_id = $1 AND closed = $2 AND words LIKE $3 ESCAPE '!' AND words LIKE $4 ESCAPE '!' AND words LIKE $5 ESCAPE '!' \
             LIMIT $6"
        }
    };
    let pattern = |place: usize| {
        let text = texts.get(place).map(String::as_str).unwrap_or_default();
        let mut plain = String::new();
        for sign in text.chars() {
            if matches!(sign, '%' | '_' | '!') {
                plain.push('!');
            }
            plain.push(sign);
        }
        format!("%{plain}%")
    };
    let rows = sqlx::query(sql)
        .bind(party.as_str())
        .bind(i64::from(closed))
        .bind(pattern(0))
        .bind(pattern(1))
        .bind(pattern(2))
        .bind(most)
        .fetch_all(conn)
        .await?;
    Ok(readable(&rows))
}

/// The houses with which a party has cases, by name.
pub async fn houses(
    conn: &mut AnyConnection,
    side: Side,
    party: &PartyId,
) -> Result<Vec<(PartyId, Option<Party>)>, StoreError> {
    let sql = match side {
        Side::Office => {
            "SELECT * FROM party WHERE kind = $2 AND EXISTS (SELECT 1 FROM case_file WHERE office_id = $1 AND lab_id = party.id) \
             ORDER BY name LIMIT 500"
        }
        Side::Lab => {
            "SELECT * FROM party WHERE kind = $2 AND EXISTS (SELECT 1 FROM case_file WHERE lab_id = $1 AND office_id = party.id) \
             ORDER BY name LIMIT 500"
        }
    };
    let rows = sqlx::query(sql)
        .bind(party.as_str())
        .bind(side.other().word())
        .fetch_all(conn)
        .await?;
    let one = |row: &AnyRow| {
        let read = party_of(row).inspect_err(|why| tracing::error!(%why, "a house cannot be read"));
        Ok((id_of(row, "id")?, read.ok()))
    };
    rows.iter().map(one).collect()
}
