//! Rows of nothing: those that refer to what is not there, letter by letter, and counters at their end. No statement of
//! this program makes any; whoever writes to the database past it may.

use super::error::StoreError;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// Where a counter ends: the last whole number that both databases, JSON and a canonical leaf write exactly.
pub(super) const COUNTER_END: i64 = 9_007_199_254_740_991;

/// What is said of each row that is found, with a place for its key, and how it is found. The number is
/// [`COUNTER_END`].
const QUESTIONS: [(&str, &str); 22] = [
    (
        "An entry is of case {}, and there is no case of exactly this number.",
        "SELECT k FROM (SELECT DISTINCT case_number AS k FROM event) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM case_file WHERE case_file.number = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "A thing is of case {}, and there is no case of exactly this number.",
        "SELECT k FROM (SELECT DISTINCT case_number AS k FROM item) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM case_file WHERE case_file.number = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "A signed prescription is of case {}, and there is no case of exactly this number.",
        "SELECT k FROM (SELECT DISTINCT case_number AS k FROM revision) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM case_file WHERE case_file.number = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "An acknowledgement is of case {}, and there is no case of exactly this number.",
        "SELECT k FROM (SELECT DISTINCT case_number AS k FROM acknowledgement) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM case_file WHERE case_file.number = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "A handoff is of case {}, and there is no case of exactly this number.",
        "SELECT k FROM (SELECT DISTINCT case_number AS k FROM handoff) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM case_file WHERE case_file.number = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "A draft is of case {}, and there is no case of exactly this number.",
        "SELECT k FROM (SELECT DISTINCT case_number AS k FROM draft) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM case_file WHERE case_file.number = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "A case is of patient {}, and there is no card of exactly this code.",
        "SELECT k FROM (SELECT DISTINCT patient_code AS k FROM case_file) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM patient WHERE patient.code = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "A version is of the list {}, and there is no such list.",
        "SELECT k FROM (SELECT DISTINCT list_id AS k FROM party_list_version) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM party_list WHERE party_list.id = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "An account is of the house {}, and there is no such house.",
        "SELECT k FROM (SELECT DISTINCT party_id AS k FROM account) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM party WHERE party.id = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "A card is of the house {}, and there is no such house.",
        "SELECT k FROM (SELECT DISTINCT office_id AS k FROM patient) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM party WHERE party.id = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "A list is of the house {}, and there is no such house.",
        "SELECT k FROM (SELECT DISTINCT party_id AS k FROM party_list) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM party WHERE party.id = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "An alarm {} stands open, and is not there.",
        "SELECT k FROM (SELECT DISTINCT alarm_id AS k FROM open_alarm) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM alarm WHERE alarm.id = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "The alarm {} is cleared, and is not there.",
        "SELECT k FROM (SELECT DISTINCT alarm_id AS k FROM settlement) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM alarm WHERE alarm.id = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "The alarm {} is neither open nor cleared.",
        "SELECT k FROM (SELECT id AS k FROM alarm) AS stray WHERE NOT EXISTS (SELECT 1 FROM open_alarm WHERE alarm_id = stray.k) \
         AND NOT EXISTS (SELECT 1 FROM settlement WHERE settlement.alarm_id = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "What opens the texts of leaf {} is stored, and there is no such leaf.",
        "SELECT k FROM (SELECT CAST(leaf AS TEXT) AS k, leaf AS n FROM leaf_salt) AS stray \
         WHERE NOT EXISTS (SELECT 1 FROM leaf WHERE leaf.number = stray.n) ORDER BY n LIMIT 5",
    ),
    (
        "A text of a draft is of case {}, and that case has no draft.",
        "SELECT k FROM (SELECT DISTINCT case_number AS k FROM draft_edit) AS stray WHERE k IS NOT NULL \
         AND NOT EXISTS (SELECT 1 FROM draft WHERE draft.case_number = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "A text of the draft of case {} is by nobody of its office of this name.",
        "SELECT k FROM (SELECT DISTINCT case_number AS k FROM draft_edit e WHERE NOT EXISTS (SELECT 1 FROM account a \
         JOIN case_file c ON c.number = e.case_number WHERE a.id = e.account_id AND a.party_id = c.office_id \
         AND a.name = e.account_name)) AS stray ORDER BY k LIMIT 5",
    ),
    (
        "Somebody of the house {} has worked here for a minute and more, and the house keeps no checkpoint of the \
         record: it was taken away.",
        "SELECT k FROM (SELECT DISTINCT a.party_id AS k FROM session s JOIN account a ON a.id = s.account_id \
         WHERE a.party_id IS NOT NULL AND s.seen_ms >= s.began_ms + 60000 AND NOT EXISTS (SELECT 1 FROM settlement t \
         WHERE t.settled_ms >= s.seen_ms)) AS stray \
         WHERE NOT EXISTS (SELECT 1 FROM witness WHERE witness.party_id = stray.k) ORDER BY k LIMIT 5",
    ),
    (
        "The record has a second head, {}.",
        "SELECT k FROM (SELECT CAST(id AS TEXT) AS k FROM record_head) AS stray WHERE k <> '1' ORDER BY k LIMIT 5",
    ),
    (
        "The counter of case {} is at its end: nothing can be entered there.",
        "SELECT k FROM (SELECT number AS k, version AS counted FROM case_file) AS stray WHERE counted >= 9007199254740991 ORDER BY k LIMIT 5",
    ),
    (
        "The counter of the house {} is at its end: nothing can be entered there.",
        "SELECT k FROM (SELECT id AS k, changes AS counted FROM party) AS stray WHERE counted >= 9007199254740991 ORDER BY k LIMIT 5",
    ),
    (
        "The counter of the draft of case {} is at its end: nothing can be typed there.",
        "SELECT k FROM (SELECT case_number AS k, version AS counted FROM draft) AS stray WHERE counted >= 9007199254740991 ORDER BY k LIMIT 5",
    ),
];

/// What is said of each such row, at most some of each kind.
pub async fn strays(conn: &mut AnyConnection) -> Result<Vec<String>, StoreError> {
    let mut said = Vec::new();
    for (sentence, sql) in QUESTIONS {
        let rows = sqlx::query(sql).fetch_all(&mut *conn).await?;
        let key = |row: &AnyRow| Ok(row.try_get::<String, _>("k")?);
        let keys: Vec<String> = rows.iter().map(key).collect::<Result<_, StoreError>>()?;
        said.extend(keys.iter().map(|key| sentence.replace("{}", key)));
    }
    Ok(said)
}

/// Refuses to count on from the end.
///
/// # Errors
/// [`StoreError::CountedOut`]
pub(super) fn refuse_at_end(counter: i64, what: &str) -> Result<(), StoreError> {
    match counter < COUNTER_END {
        true => Ok(()),
        false => Err(StoreError::CountedOut(what.to_owned())),
    }
}
