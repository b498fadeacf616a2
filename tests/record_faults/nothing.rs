//! Rows of nothing, codes that are written otherwise, counters at their end, and people who were for the time of one
//! entry what the record does not say: rows r20.

use crate::after;
use crate::rows::filled_in;

/// Past the keys that tables have of each other; then words of the fault.
const CHANGES: [(&str, &str); 32] = [
    // A code is read leniently where somebody types it, and stored in one way only.
    (
        "UPDATE case_file SET number = lower(number) WHERE number = {case}",
        "is not stored as its number is written",
    ),
    (
        "UPDATE case_file SET number = number || ' ' WHERE number = {case}",
        "is not stored as its number is written",
    ),
    (
        "UPDATE case_file SET patient_code = lower(patient_code) WHERE number = {case}",
        "there is no card of exactly this code",
    ),
    (
        "UPDATE patient SET code = substr(code, 1, 3) || '-' || substr(code, 4) WHERE {patient}",
        "is not stored as its code is written",
    ),
    (
        "UPDATE revision SET case_number = lower(case_number) WHERE {revision}",
        "A signed prescription is of case c",
    ),
    (
        "UPDATE revision SET case_number = substr(case_number, 1, 3) || '-' || substr(case_number, 4) WHERE {revision}",
        "there is no case of exactly this number",
    ),
    (
        "UPDATE handoff SET case_number = lower(case_number) WHERE id = (SELECT MIN(id) FROM handoff)",
        "A handoff is of case c",
    ),
    (
        "UPDATE draft SET case_number = case_number || ' '",
        "A draft is of case C",
    ),
    // Rows of no case, and of no list.
    (
        "INSERT INTO event SELECT 'C00000000', 1, 'more', at_ms, kind, body FROM event LIMIT 1",
        "An entry is of case C00000000",
    ),
    (
        "INSERT INTO item SELECT 'T11111111', 'C00000000', 1, body FROM item LIMIT 1",
        "A thing is of case C00000000",
    ),
    (
        "INSERT INTO revision (case_number, number, document, hash, signer_account, signer_name, signer_licence, meaning, \
         signed_ms, offset_min) SELECT 'C00000000', number, document, hash, signer_account, signer_name, \
         signer_licence, meaning, signed_ms, offset_min FROM revision LIMIT 1",
        "A signed prescription is of case C00000000",
    ),
    (
        "INSERT INTO acknowledgement (case_number, revision, account_id, name, at_ms, offset_min) SELECT 'C00000000', \
         revision, account_id, name, at_ms, offset_min FROM acknowledgement LIMIT 1",
        "An acknowledgement is of case C00000000",
    ),
    (
        "INSERT INTO handoff SELECT 'more', 'C00000000', from_party, to_party, state, 1 FROM handoff LIMIT 1",
        "A handoff is of case C00000000",
    ),
    (
        "INSERT INTO party_list_version (list_id, version, text, entries, account_id, account_name, at_ms) \
         SELECT 'none', version, text, entries, account_id, account_name, at_ms FROM party_list_version LIMIT 1",
        "A version is of the list none",
    ),
    (
        "UPDATE account SET party_id = 'none' WHERE {account}",
        "An account is of the house none",
    ),
    (
        "INSERT INTO alarm VALUES ('another', 'rewritten', '', '', NULL, NULL, '', 1)",
        "The alarm another is neither open nor cleared",
    ),
    (
        "INSERT INTO open_alarm VALUES (1, 'another')",
        "An alarm another stands open, and is not there",
    ),
    (
        "INSERT INTO record_head SELECT 2, size, peaks, checkpoint FROM record_head",
        "The record has a second head, 2",
    ),
    // Counters.
    (
        "UPDATE case_file SET version = 9223372036854775807 WHERE number = {case}",
        "The counter of case C",
    ),
    (
        "UPDATE party SET changes = 9223372036854775807",
        "The counter of the house",
    ),
    (
        "UPDATE draft SET version = 9223372036854775807",
        "The counter of the draft of case C",
    ),
    // What says of itself that a later version drew it is compared all the same.
    (
        "UPDATE case_file SET drawn = 99 WHERE number = {case}",
        "a newer version has drawn its lists",
    ),
    (
        "UPDATE case_file SET drawn = 99, closed = 1 - closed WHERE number = {case}",
        "and its events say",
    ),
    (
        "UPDATE case_file SET drawn = 0, closed = 1 - closed WHERE number = {case}",
        "and its events say",
    ),
    // Who did it. The leaf does not fit any more either; that it is named is what is asked here.
    (
        "UPDATE event SET body = json_set(body, '$.by.role', 'administrator') WHERE {event}",
        "as administrator, and the record says",
    ),
    (
        "UPDATE event SET body = json_set(body, '$.by.party', 'none') WHERE {event}",
        "for a house that is not the one of that account",
    ),
    (
        "UPDATE event SET body = json_set(body, '$.by.account', 'none') WHERE {event}",
        "and the record has no such account",
    ),
    (
        "UPDATE event SET body = json_set(body, '$.by.name', 'Another') WHERE {event}",
        "is by Another, and that account is of",
    ),
    (
        "UPDATE revision SET signer_account = (SELECT id FROM account WHERE role = 'assistant' LIMIT 1) WHERE {revision}",
        "as dentist, and the record says assistant",
    ),
    (
        "UPDATE revision SET signer_licence = 'X-1' WHERE {revision}",
        "says another license of",
    ),
    (
        "UPDATE acknowledgement SET account_id = (SELECT id FROM account WHERE role = 'dentist' LIMIT 1) \
         WHERE {acknowledgement}",
        "for a house that is not the one of that account",
    ),
    // An answer before what it answers.
    (
        "UPDATE acknowledgement SET at_ms = 1 WHERE {acknowledgement}",
        "and is acknowledged on 1970-01-01",
    ),
];

#[tokio::test]
async fn r20_rows_of_nothing_and_of_the_wrong_people_are_named() {
    for (change, words) in CHANGES {
        // The key of an event stands in its place as a text of its own.
        let change = change.replace("WHERE {event}", "WHERE id = {event}");
        let (sql, _) = filled_in(&change).await;
        let examined = after(&format!("PRAGMA foreign_keys = OFF; {sql}")).await;
        let says = |sentence: &str| sentence.contains(words);
        assert!(
            examined.faults.iter().any(|fault| says(&fault.sentence)),
            "{sql}: {:?}",
            examined.faults
        );
    }
}

#[tokio::test]
async fn r20_an_account_that_nobody_has_let_in_is_named_though_a_leaf_stands_for_it() {
    // With the other admissions out of the record nothing is left on which the accounts rest.
    let sql = "UPDATE leaf SET kind = 'statement' WHERE kind = 'admission' \
               AND number > (SELECT MIN(number) FROM leaf WHERE kind = 'admission')";
    let examined = after(sql).await;
    let unlet = examined
        .faults
        .iter()
        .filter(|fault| fault.sentence.contains("whom no administrator has let in"));
    assert!(unlet.count() > 3, "{:?}", examined.faults);
}
