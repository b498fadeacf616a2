//! Rows changed past the program: each is named by its leaf.

use crate::{Copy, after, filled, number, texts};

/// In the changes below stands for the key of the row that the leaf of this number is about.
const LEAVES: [(&str, &str, u64); 10] = [
    ("{case}", "case", 3),
    ("{item}", "item", 17),
    ("{event}", "event", 90),
    ("{revision}", "revision", 4),
    ("{acknowledgement}", "acknowledgement", 2),
    ("{party}", "party", 1),
    ("{account}", "account", 2),
    ("{patient}", "patient", 3),
    ("{list}", "list", 1),
    ("{usual}", "usual_set", 1),
];

/// Fills the keys in; answers with the leaves that they belong to.
pub async fn filled_in(sql: &str) -> (String, Vec<u64>) {
    let copy = Copy::of(filled().await);
    let mut conn = copy.raw().await.unwrap();
    let (mut sql, mut leaves) = (sql.to_owned(), Vec::new());
    for (word, kind, place) in LEAVES {
        if sql.contains(word) {
            let which =
                format!("FROM leaf WHERE kind = '{kind}' ORDER BY number LIMIT 1 OFFSET {place}");
            leaves.push(number(&mut conn, &format!("SELECT number {which}")).await);
            let about = &texts(&mut conn, &format!("SELECT about {which}")).await[0];
            let key = match about.split_once('/') {
                Some((key, number)) => match kind {
                    "revision" => format!("case_number = '{key}' AND number = {number}"),
                    "acknowledgement" => format!("case_number = '{key}' AND revision = {number}"),
                    // Of these the version follows; each of those chosen has one only.
                    "patient" => format!("code = '{key}'"),
                    _ => format!("id = '{key}'"),
                },
                None => format!("'{about}'"),
            };
            sql = sql.replace(word, &key);
        }
    }
    (sql, leaves)
}

/// Changes of a row that a leaf stands for; the first wrong leaf is that one.
const CHANGED_ROWS: [&str; 81] = [
    "UPDATE case_file SET office_id = lab_id WHERE number = {case}",
    "UPDATE case_file SET lab_id = office_id WHERE number = {case}",
    "UPDATE case_file SET patient_code = (SELECT MAX(code) FROM patient WHERE code <> case_file.patient_code) \
     WHERE number = {case}",
    "UPDATE case_file SET arches = CASE arches WHEN 'both' THEN 'upper' ELSE 'both' END WHERE number = {case}",
    "UPDATE case_file SET arches = 'nonsense' WHERE number = {case}",
    "UPDATE case_file SET opened_ms = opened_ms + 1 WHERE number = {case}",
    "UPDATE case_file SET opened_ms = x'00FF' WHERE number = {case}",
    "DELETE FROM case_file WHERE number = {case}",
    "UPDATE item SET body = json_set(body, '$.note', 'another') WHERE tag = {item}",
    "UPDATE item SET body = json_set(body, '$.pieces', 7) WHERE tag = {item}",
    "UPDATE item SET body = json_set(body, '$.unheard_of', 1) WHERE tag = {item}",
    "UPDATE item SET body = 'no JSON' WHERE tag = {item}",
    "UPDATE item SET body = x'00FF' WHERE tag = {item}",
    "UPDATE item SET tag = 'T00000000' WHERE tag = {item}",
    "UPDATE item SET position = 900 WHERE tag = {item}",
    "UPDATE item SET position = 900, case_number = (SELECT MIN(number) FROM case_file \
     WHERE number <> item.case_number) WHERE tag = {item}",
    "DELETE FROM item WHERE tag = {item}",
    "UPDATE event SET body = json_set(body, '$.by.name', 'Somebody Else') WHERE id = {event}",
    "UPDATE event SET body = json_set(body, '$.by.role', 'nobody') WHERE id = {event}",
    "UPDATE event SET body = json_set(body, '$.entered_at.unix_ms', 0) WHERE id = {event}",
    "UPDATE event SET at_ms = at_ms + 60000 WHERE id = {event}",
    "UPDATE event SET at_ms = at_ms + 60000, body = json_set(body, '$.at.unix_ms', at_ms + 60000) WHERE id = {event}",
    "UPDATE event SET kind = 'given' WHERE id = {event}",
    "UPDATE event SET id = 'another' WHERE id = {event}",
    "UPDATE event SET body = '{}' WHERE id = {event}",
    "UPDATE event SET body = x'FF00' WHERE id = {event}",
    "UPDATE event SET position = position + 1000 WHERE id = {event}",
    "DELETE FROM event WHERE id = {event}",
    "UPDATE revision SET document = replace(document, '2026', '2027') WHERE {revision}",
    "UPDATE revision SET hash = upper(hash) WHERE {revision}",
    "UPDATE revision SET signer_account = 'x' WHERE {revision}",
    "UPDATE revision SET signer_name = signer_name || '.' WHERE {revision}",
    "UPDATE revision SET signer_licence = '' WHERE {revision}",
    "UPDATE revision SET meaning = 'nothing' WHERE {revision}",
    "UPDATE revision SET signed_ms = signed_ms - 1 WHERE {revision}",
    "UPDATE revision SET offset_min = 99999999 WHERE {revision}",
    "UPDATE acknowledgement SET account_id = 'x' WHERE {acknowledgement}",
    "UPDATE acknowledgement SET name = 'x' WHERE {acknowledgement}",
    "UPDATE acknowledgement SET at_ms = at_ms + 1 WHERE {acknowledgement}",
    "UPDATE acknowledgement SET offset_min = 61 WHERE {acknowledgement}",
    "DELETE FROM acknowledgement WHERE {acknowledgement}",
    "UPDATE party SET name = name || '.' WHERE {party}",
    "UPDATE party SET address = '' WHERE {party}",
    "UPDATE party SET licence = 'x' WHERE {party}",
    "UPDATE party SET zone = 'UTC' WHERE {party}",
    "UPDATE party SET paper = CASE paper WHEN 'a4' THEN 'letter' ELSE 'a4' END WHERE {party}",
    "UPDATE party SET numbering = CASE numbering WHEN 'iso3950' THEN 'universal' ELSE 'iso3950' END WHERE {party}",
    "UPDATE party SET kind = CASE kind WHEN 'lab' THEN 'office' ELSE 'lab' END WHERE {party}",
    "UPDATE party SET kind = 'nonsense' WHERE {party}",
    "UPDATE party SET profile = 'x' WHERE {party}",
    "UPDATE party SET version = version + 1 WHERE {party}",
    "UPDATE party SET version = 0 WHERE {party}",
    "DELETE FROM party WHERE {party}",
    "UPDATE account SET role = 'administrator' WHERE {account}",
    "UPDATE account SET party_id = 'another' WHERE {account}",
    "UPDATE account SET login = login || 'x' WHERE {account}",
    "UPDATE account SET name = name || '.' WHERE {account}",
    "UPDATE account SET licence = licence || '7' WHERE {account}",
    "UPDATE account SET password = (SELECT password FROM account WHERE role = 'administrator') WHERE {account}",
    "UPDATE account SET disabled = 1 - disabled WHERE {account}",
    "UPDATE account SET id = 'another' WHERE {account}",
    "UPDATE account SET name = x'00FF' WHERE {account}",
    "DELETE FROM account WHERE {account}",
    "UPDATE patient SET facts = '{}' WHERE {patient}",
    "UPDATE patient SET office_id = 'another' WHERE {patient}",
    "UPDATE patient SET made_ms = made_ms + 1 WHERE {patient}",
    "DELETE FROM patient WHERE {patient}",
    "UPDATE party_list SET party_id = 'another' WHERE {list}",
    "UPDATE party_list SET name = name || '.' WHERE {list}",
    "UPDATE party_list SET entries = entries + 1 WHERE {list}",
    "UPDATE party_list SET version = version + 1 WHERE {list}",
    "UPDATE party_list_version SET text = text || char(10) WHERE list_id = (SELECT id FROM party_list WHERE {list})",
    "UPDATE party_list_version SET account_name = 'x' WHERE list_id = (SELECT id FROM party_list WHERE {list})",
    "UPDATE party_list_version SET at_ms = at_ms + 1 WHERE list_id = (SELECT id FROM party_list WHERE {list})",
    "DELETE FROM party_list_version WHERE list_id = (SELECT id FROM party_list WHERE {list})",
    "UPDATE usual_set SET party_id = 'another' WHERE {usual}",
    "UPDATE usual_set SET text = replace(text, 'values', 'valueS') WHERE {usual}",
    "UPDATE usual_set SET account_name = 'x' WHERE {usual}",
    "UPDATE usual_set SET at_ms = at_ms + 1 WHERE {usual}",
    "UPDATE usual_set SET version = version + 1 WHERE {usual}",
    "DELETE FROM usual_set WHERE {usual}",
];

/// Rows that nobody has put into the record: no leaf is wrong, and the row is named.
const PUT_IN: [&str; 5] = [
    "INSERT INTO party SELECT 'another', kind, name, address, licence, zone, paper, numbering, version, changes, \
     profile, '' FROM party LIMIT 1",
    "INSERT INTO account SELECT 'another', party_id, 'administrator', 'another', name, licence, password, 0, 1, NULL \
     FROM account LIMIT 1",
    "INSERT INTO party_list SELECT 'another', party_id, kind, 'another', 0, 0 FROM party_list LIMIT 1",
    "INSERT INTO usual_set SELECT 'another', 1, party_id, text, account_id, account_name, at_ms FROM usual_set LIMIT 1",
    "INSERT INTO alarm VALUES ('another', 'rewritten', '', '', NULL, NULL, '', 1); \
     INSERT INTO settlement SELECT 'another', id, name, 'nothing was', 2 FROM account LIMIT 1",
];

#[tokio::test]
async fn a_row_put_in_beside_the_cases_is_named() {
    for sql in PUT_IN {
        let examined = after(sql).await;
        assert!(
            examined
                .faults
                .iter()
                .any(|fault| fault.leaf.is_none() && fault.sentence.contains(" another")),
            "{sql}: {:?}",
            examined.faults
        );
    }
}

#[tokio::test]
async fn a_changed_row_is_named_by_its_leaf() {
    for change in CHANGED_ROWS {
        let (sql, leaves) = filled_in(change).await;
        let examined = after(&sql).await;
        let first = examined
            .first()
            .unwrap_or_else(|| panic!("not found: {sql}"));
        assert_eq!(first.leaf, Some(leaves[0]), "{sql}: {:?}", examined.faults);
    }
}

/// Changes of what follows from the rows, and rows too many: no leaf is wrong, and the case is named.
const LISTED: [(&str, &str); 30] = [
    (
        "UPDATE case_file SET summary = summary || '.' WHERE number = {case}",
        "newest revision",
    ),
    // Row r14: also of a case of which nothing is signed yet.
    (
        "UPDATE case_file SET summary = 'upper reline' WHERE revision = 0",
        "newest revision",
    ),
    (
        "INSERT OR REPLACE INTO witness SELECT party.id, size - 1, checkpoint, 1 FROM party, record_head LIMIT 1",
        "and the note says",
    ),
    ("UPDATE draft SET fields = '{'", "is damaged"),
    (
        "UPDATE case_file SET place = CASE place WHEN 'lab' THEN 'office' ELSE 'lab' END WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET held = CASE held WHEN '' THEN 'unannounced' ELSE '' END WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET waiting_for = waiting_for || ';lab:fit' WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET lent_due = '2031-01-01' WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET office_turn = CASE office_turn WHEN 'held' THEN 'others' ELSE 'held' END WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET lab_turn = CASE lab_turn WHEN 'held' THEN 'others' ELSE 'held' END WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET office_day = '2031-01-01', lab_day = '2031-01-01' WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET office_asked = 'waits:1772438400001' WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET lab_asked = 'open:1772438400001' WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET things = things + 1 WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET work = 'lower:remount', stage = 'remount' WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET stage = 'remount' WHERE number = {case}",
        "stage",
    ),
    (
        "UPDATE case_file SET seals = seals || '9' WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET words = words || '9' WHERE number = {case}",
        "is listed as",
    ),
    (
        "UPDATE case_file SET waiting_for = 'the office: fit what came back' WHERE number = {case}",
        "waiting_for",
    ),
    (
        "UPDATE case_file SET due = '2031-01-01' WHERE number = {case}",
        "newest revision",
    ),
    (
        "UPDATE case_file SET due = '2031-01-01' WHERE number = (SELECT MIN(number) FROM case_file WHERE revision = 0)",
        "newest revision",
    ),
    (
        "UPDATE case_file SET revision = revision + 1 WHERE number = {case}",
        "newest revision",
    ),
    (
        "UPDATE case_file SET acknowledged = 9 WHERE number = {case}",
        "newest revision",
    ),
    (
        "UPDATE handoff SET state = 'on_the_way' WHERE id = (SELECT MIN(id) FROM handoff WHERE state = 'received')",
        "not listed as",
    ),
    (
        "UPDATE handoff SET from_party = to_party WHERE id = (SELECT MIN(id) FROM handoff)",
        "not listed as",
    ),
    (
        "UPDATE handoff SET to_party = from_party WHERE id = (SELECT MIN(id) FROM handoff)",
        "not listed as",
    ),
    (
        "DELETE FROM handoff WHERE id = (SELECT MIN(id) FROM handoff)",
        "not listed as",
    ),
    (
        "INSERT INTO handoff SELECT 'more', case_number, from_party, to_party, state, 1 FROM handoff LIMIT 1",
        "is in no event",
    ),
    (
        "INSERT INTO event SELECT case_number, 900, 'more', at_ms, kind, body FROM event WHERE id = {event}",
        "event more of case",
    ),
    (
        "INSERT INTO item SELECT 'T11111111', case_number, 900, body FROM item WHERE tag = {item}",
        "item T11111111 of case",
    ),
];

#[tokio::test]
async fn r14_what_is_listed_otherwise_than_it_happened_is_found() {
    for (change, words) in LISTED {
        let (sql, _) = filled_in(change).await;
        let examined = after(&sql).await;
        let says = |sentence: &str| sentence.contains(words);
        assert!(
            examined.faults.iter().any(|fault| says(&fault.sentence)),
            "{sql}: {:?}",
            examined.faults
        );
    }
}
