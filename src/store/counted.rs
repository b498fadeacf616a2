//! How many rows there are of each kind, against how many the record says: a row that somebody has taken away is missed by
//! nobody who looks for others.

use super::database::Store;
use super::error::StoreError;
use super::passed;
use crate::domain::custody::agenda::WhoseTurn;
use crate::record::filed::RowOf;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// Rows of a kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counted {
    pub what: &'static str,
    pub rows: i64,
    pub recorded: i64,
}

/// Of a card, a house and an account each version has a leaf, and the row is one. A handoff is a release.
const COUNTED: [(&str, &str); 12] = [
    (
        "cases",
        "SELECT (SELECT COUNT(*) FROM case_file) AS n, (SELECT COUNT(*) FROM leaf WHERE kind = 'case') AS recorded",
    ),
    (
        "things",
        "SELECT (SELECT COUNT(*) FROM item) AS n, (SELECT COUNT(*) FROM leaf WHERE kind = 'item') AS recorded",
    ),
    (
        "entries",
        "SELECT (SELECT COUNT(*) FROM event) AS n, (SELECT COUNT(*) FROM leaf WHERE kind = 'event') AS recorded",
    ),
    (
        "signed prescriptions",
        "SELECT (SELECT COUNT(*) FROM revision) AS n, (SELECT COUNT(*) FROM leaf WHERE kind = 'revision') AS recorded",
    ),
    (
        "acknowledgements",
        "SELECT (SELECT COUNT(*) FROM acknowledgement) AS n, \
         (SELECT COUNT(*) FROM leaf WHERE kind = 'acknowledgement') AS recorded",
    ),
    (
        "houses",
        "SELECT (SELECT COUNT(*) FROM party) AS n, \
         (SELECT COUNT(DISTINCT case_number) FROM leaf WHERE kind = 'party') AS recorded",
    ),
    (
        "accounts",
        "SELECT (SELECT COUNT(*) FROM account) AS n, \
         (SELECT COUNT(DISTINCT case_number) FROM leaf WHERE kind = 'account') AS recorded",
    ),
    (
        "patients’ cards",
        "SELECT (SELECT COUNT(*) FROM patient) AS n, \
         (SELECT COUNT(DISTINCT case_number) FROM leaf WHERE kind = 'patient') AS recorded",
    ),
    (
        "versions of lists",
        "SELECT (SELECT COUNT(*) FROM party_list_version) AS n, (SELECT COUNT(*) FROM leaf WHERE kind = 'list') AS recorded",
    ),
    (
        "versions of usual sets",
        "SELECT (SELECT COUNT(*) FROM usual_set) AS n, (SELECT COUNT(*) FROM leaf WHERE kind = 'usual_set') AS recorded",
    ),
    (
        "handoffs",
        "SELECT (SELECT COUNT(*) FROM handoff) AS n, (SELECT COUNT(*) FROM event WHERE kind = 'released') AS recorded",
    ),
    (
        "words of who was let in",
        "SELECT (SELECT COUNT(*) FROM admission) AS n, (SELECT COUNT(*) FROM leaf WHERE kind = 'admission') AS recorded",
    ),
];

/// Lists whose row says what the leaf of the version in force does of house and length: one that does not is read as never
/// loaded, or as another's.
const LISTS: &str = "SELECT (SELECT COUNT(*) FROM party_list WHERE EXISTS (SELECT 1 FROM leaf WHERE leaf.kind = 'list' \
    AND leaf.about = party_list.id || '/' || CAST(party_list.version AS TEXT) \
    AND leaf.body LIKE '%' || $1 || party_list.party_id || $2 || '%' \
    AND leaf.body LIKE '%' || $3 || CAST(party_list.entries AS TEXT) || ',%')) AS n, \
    (SELECT COUNT(DISTINCT case_number) FROM leaf WHERE kind = 'list') AS recorded";

/// Cases of which the row names another house than the leaf, whose names of houses stand in the open.
const OTHER_HOUSES: &str = "SELECT COUNT(*) AS n FROM case_file JOIN leaf ON leaf.kind = 'case' AND leaf.about = case_file.number \
    WHERE leaf.body NOT LIKE '%' || $1 || case_file.office_id || $3 || '%' \
    OR leaf.body NOT LIKE '%' || $2 || case_file.lab_id || $3 || '%'";

/// Cards of which the row names another office than the leaf of the same version.
const CARDS_OF_OTHERS: &str = "SELECT COUNT(*) AS n FROM patient JOIN leaf ON leaf.kind = 'patient' \
    AND leaf.about = patient.code || '/' || CAST(patient.version AS TEXT) \
    WHERE leaf.body NOT LIKE '%' || $1 || patient.office_id || $2 || '%'";

/// Cases that no list asks for: by their rows they are neither open nor closed, or have a turn or a day that is none. `$1` is
/// the words of all turns, each between two semicolons of its own.
const UNLISTABLE: &str = "SELECT COUNT(*) AS n FROM case_file WHERE closed NOT IN (0, 1) \
    OR REPLACE($1, ';' || office_turn || ';', '') = $1 OR REPLACE($1, ';' || lab_turn || ';', '') = $1 \
    OR office_turn = '' OR lab_turn = '' OR office_day NOT LIKE '____-__-__' OR lab_day NOT LIKE '____-__-__'";

/// Cases for a patient whose card is of another office.
const OF_OTHER_PATIENTS: &str = "SELECT case_file.number, patient.code FROM case_file \
    JOIN patient ON patient.code = case_file.patient_code WHERE patient.office_id <> case_file.office_id ORDER BY case_file.number";

/// What is stored under another house than the record says.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct OtherHouses {
    pub cases: i64,
    pub cards: i64,
    /// Cases for a patient of another office.
    pub of_other_patients: i64,
    /// Pieces of work passed on.
    pub passed: i64,
}

/// Cases of the record that are looked for where no row is there of them: as many as a page names.
const GONE: &str = "SELECT about, body FROM leaf WHERE kind = 'case' AND NOT EXISTS \
    (SELECT 1 FROM case_file WHERE case_file.number = leaf.about) ORDER BY about LIMIT 100";

/// Cases of the record of which the row names another house than the leaf: as many as a page names.
const MOVED: &str = "SELECT leaf.about, leaf.body, case_file.office_id, case_file.lab_id FROM case_file JOIN leaf \
    ON leaf.kind = 'case' AND leaf.about = case_file.number \
    WHERE leaf.body NOT LIKE '%' || $1 || case_file.office_id || $3 || '%' \
    OR leaf.body NOT LIKE '%' || $2 || case_file.lab_id || $3 || '%' ORDER BY leaf.about LIMIT 100";

/// Cards of the record of which no row is there: as many as a page names, each by the first of its versions.
const CARDS_GONE: &str = "SELECT about, body FROM leaf WHERE kind = 'patient' AND NOT EXISTS \
    (SELECT 1 FROM patient WHERE patient.code = leaf.case_number) \
    AND number IN (SELECT MIN(number) FROM leaf WHERE kind = 'patient' GROUP BY case_number) ORDER BY about LIMIT 100";

/// A case of which the row names another house than the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MovedCase {
    pub number: String,
    /// What the record says of it.
    pub leaf: String,
    /// Office and lab by its row; empty where that cannot be read.
    pub houses: [String; 2],
}

impl Store {
    /// How many rows a house lacks of those that the record says it has. Two counts, the one of the record from memory, so that
    /// a list can ask it each time: a row that was taken away is missed as soon as its house looks. One that lies there in the
    /// place of another is not seen by it, nor one that is listed for this house too many.
    ///
    /// # Errors
    /// If the database does not answer.
    pub async fn lacking(&self, conn: &mut AnyConnection, row: &RowOf) -> Result<u64, StoreError> {
        // Before the rows: what is entered meanwhile is among those then.
        let Some(recorded) = self.trust().rows_of(row) else {
            return Ok(0);
        };
        let rows = u64::try_from(rows_of(conn, row).await?).unwrap_or_default();
        Ok(recorded.saturating_sub(rows))
    }
}

/// How many rows there are of what is counted.
async fn rows_of(conn: &mut AnyConnection, row: &RowOf) -> Result<i64, StoreError> {
    let asked = match row {
        RowOf::CaseOfOffice(house) => {
            sqlx::query("SELECT COUNT(*) AS n FROM case_file WHERE office_id = $1").bind(house)
        }
        RowOf::CaseOfLab(house) => {
            sqlx::query("SELECT COUNT(*) AS n FROM case_file WHERE lab_id = $1").bind(house)
        }
        RowOf::Card(house) => {
            sqlx::query("SELECT COUNT(*) AS n FROM patient WHERE office_id = $1").bind(house)
        }
        RowOf::List(house, kind) => {
            let sql = "SELECT COUNT(*) AS n FROM party_list WHERE party_id = $1 AND kind = $2";
            sqlx::query(sql).bind(house).bind(kind)
        }
        RowOf::UsualSet(house) => {
            sqlx::query("SELECT COUNT(DISTINCT id) AS n FROM usual_set WHERE party_id = $1")
                .bind(house)
        }
        RowOf::CaseOfPatient(code) => {
            sqlx::query("SELECT COUNT(*) AS n FROM case_file WHERE patient_code = $1").bind(code)
        }
    };
    Ok(asked.fetch_one(conn).await?.try_get("n")?)
}

/// The kinds of which there are more rows or fewer than the record says. All that `conn` reads is of one moment.
pub async fn differences(conn: &mut AnyConnection) -> Result<Vec<Counted>, StoreError> {
    let mut found = Vec::new();
    for (what, sql) in COUNTED {
        let row = sqlx::query(sql).fetch_one(&mut *conn).await?;
        found.push(Counted {
            what,
            rows: row.try_get("n")?,
            recorded: row.try_get("recorded")?,
        });
    }
    let row = sqlx::query(LISTS)
        .bind("\"party\":\"")
        .bind("\"")
        .bind("\"entries\":")
        .fetch_one(&mut *conn)
        .await?;
    found.push(Counted {
        what: "lists as they were loaded last",
        rows: row.try_get("n")?,
        recorded: row.try_get("recorded")?,
    });
    found.push(Counted {
        what: "pieces of work passed on",
        rows: passed::count(conn).await?,
        recorded: passed::count_said(conn).await?,
    });
    found.retain(|one| one.rows != one.recorded);
    Ok(found)
}

/// How much is listed for another house than the record says. All that `conn` reads is of one moment.
pub async fn of_other_houses(conn: &mut AnyConnection) -> Result<OtherHouses, StoreError> {
    let of_other_patients = of_other_patients(conn).await?.len();
    Ok(OtherHouses {
        cases: cases_of_others(conn).await?,
        cards: cards_of_others(conn).await?,
        of_other_patients: i64::try_from(of_other_patients).unwrap_or(i64::MAX),
        passed: passed::count_of_others(conn).await?,
    })
}

/// How many cases no list asks for, whatever the record says of them.
pub async fn unlistable(conn: &mut AnyConnection) -> Result<i64, StoreError> {
    let turns = WhoseTurn::ALL
        .iter()
        .map(|turn| format!(";{};", turn.word()));
    let row = sqlx::query(UNLISTABLE)
        .bind(turns.collect::<String>())
        .fetch_one(conn)
        .await?;
    Ok(row.try_get("n")?)
}

/// The cases for a patient whose card is of another office, each with the patient's code.
pub async fn of_other_patients(
    conn: &mut AnyConnection,
) -> Result<Vec<(String, String)>, StoreError> {
    let rows = sqlx::query(OF_OTHER_PATIENTS).fetch_all(conn).await?;
    let pair = |row: &AnyRow| Ok((row.try_get("number")?, row.try_get("code")?));
    rows.iter().map(pair).collect()
}

async fn cards_of_others(conn: &mut AnyConnection) -> Result<i64, StoreError> {
    let row = sqlx::query(CARDS_OF_OTHERS)
        .bind("\"office\":\"")
        .bind("\"")
        .fetch_one(conn)
        .await?;
    Ok(row.try_get("n")?)
}

async fn cases_of_others(conn: &mut AnyConnection) -> Result<i64, StoreError> {
    let row = sqlx::query(OTHER_HOUSES)
        .bind("\"office\":\"")
        .bind("\"lab\":\"")
        .bind("\"")
        .fetch_one(conn)
        .await?;
    Ok(row.try_get("n")?)
}

/// The cases that the record has and of which no row is there, a hundred at most: the number of each, and its leaf.
pub async fn cases_gone(conn: &mut AnyConnection) -> Result<Vec<(String, String)>, StoreError> {
    let rows = sqlx::query(GONE).fetch_all(conn).await?;
    rows.iter().map(number_and_leaf).collect()
}

/// The cards that the record has and of which no row is there, a hundred at most: each with the leaf of its first version.
pub async fn cards_gone(conn: &mut AnyConnection) -> Result<Vec<(String, String)>, StoreError> {
    let rows = sqlx::query(CARDS_GONE).fetch_all(conn).await?;
    rows.iter().map(number_and_leaf).collect()
}

/// The cases of which the row names another house than the record, a hundred at most.
pub async fn cases_moved(conn: &mut AnyConnection) -> Result<Vec<MovedCase>, StoreError> {
    let rows = sqlx::query(MOVED)
        .bind("\"office\":\"")
        .bind("\"lab\":\"")
        .bind("\"")
        .fetch_all(conn)
        .await?;
    let moved = |row: &AnyRow| {
        let (number, leaf) = number_and_leaf(row)?;
        let house = |column: &str| row.try_get::<String, _>(column).unwrap_or_default();
        Ok(MovedCase {
            number,
            leaf,
            houses: ["office_id", "lab_id"].map(house),
        })
    };
    rows.iter().map(moved).collect()
}

fn number_and_leaf(row: &AnyRow) -> Result<(String, String), StoreError> {
    Ok((row.try_get("about")?, row.try_get("body")?))
}
