//! A database that somebody has reached past this program: every changed byte, row, leaf and signature of
//! the record is found and named, on copies of a filled demo.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a test says what it expects and falls over when it is wrong"
)]

use serde_json::{Value, json};
use sqlx::{AnyConnection, Connection, Row};
use std::path::PathBuf;
use std::time::Duration;
use tempfile::TempDir;
use tokio::sync::OnceCell;
use vestibule::app::examine::{Examined, examine};
use vestibule::app::{App, Settings, demo};
use vestibule::clock::Outside;
use vestibule::record::checkpoint::Checkpoint;
use vestibule::record::hash::{Hash, leaf_hash};
use vestibule::record::key::Signer;
use vestibule::record::leaf::{Salt, Salts, commitment, salts_from_json};
use vestibule::record::tree::Frontier;
use vestibule::record::words::PaperRoot;
use vestibule::store::{Store, StoreError};

/// 2026-03-02 08:00 UTC.
const MONDAY_MS: i64 = 1_772_438_400_000;

fn key() -> Signer {
    Signer::log("vestibule.test/record", &[7; 32]).unwrap()
}

fn app(store: Store) -> App {
    let settings = Settings {
        over_tls: false,
        address: "http://vestibule.test".to_owned(),
        notice: None,
    };
    App::new(store, Outside::fixed(MONDAY_MS, 1), settings)
}

/// The demo's database as the bytes of one file: closing it has brought everything there.
async fn filled() -> &'static [u8] {
    static FILLED: OnceCell<Vec<u8>> = OnceCell::const_new();
    let fill = async {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("demo.sqlite");
        let store = Store::open(&Store::sqlite_address(&path), key())
            .await
            .unwrap();
        let app = app(store);
        demo::fill(&app, 0).await.unwrap();
        app.store.close().await;
        let mut raw = AnyConnection::connect(&Store::sqlite_address(&path))
            .await
            .unwrap();
        run(&mut raw, "VACUUM").await;
        run(&mut raw, "PRAGMA wal_checkpoint(TRUNCATE)").await;
        raw.close().await.unwrap();
        std::fs::read(&path).unwrap()
    };
    FILLED.get_or_init(|| fill).await
}

/// A copy that may be spoilt.
struct Copy {
    path: PathBuf,
    _folder: TempDir,
}

impl Copy {
    fn of(bytes: &[u8]) -> Copy {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("copy.sqlite");
        std::fs::write(&path, bytes).unwrap();
        Copy {
            path,
            _folder: folder,
        }
    }

    async fn raw(&self) -> Result<AnyConnection, sqlx::Error> {
        sqlx::any::install_default_drivers();
        AnyConnection::connect(&Store::sqlite_address(&self.path)).await
    }

    /// What is found wrong; also where it cannot even be opened.
    async fn faults(&self, paper: Option<&PaperRoot>) -> Result<Examined, StoreError> {
        let store = Store::look_at(&Store::sqlite_address(&self.path), key()).await?;
        let app = app(store);
        let examined = examine(&app, paper).await.unwrap();
        app.store.close().await;
        Ok(examined)
    }
}

async fn run(conn: &mut AnyConnection, sql: &str) {
    sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned()))
        .execute(conn)
        .await
        .unwrap_or_else(|why| panic!("{sql}: {why}"));
}

/// Everything that the record stands for, as text; what follows from it for lists is looked at besides.
const RECORDED: [&str; 14] = [
    "SELECT number, office_id, lab_id, patient_code, arches, opened_ms FROM case_file ORDER BY number",
    "SELECT tag, case_number, position, body FROM item ORDER BY tag",
    "SELECT case_number, position, id, at_ms, kind, body FROM event ORDER BY id",
    "SELECT case_number, number, document, hash, signer_account, signer_name, signer_licence, meaning, signed_ms, \
     offset_min FROM revision ORDER BY case_number, number",
    "SELECT case_number, revision, account_id, name, at_ms, offset_min FROM acknowledgement \
     ORDER BY case_number, revision",
    "SELECT number, kind, about, case_number, body, hash, salts FROM leaf LEFT JOIN leaf_salt ON leaf = number \
     ORDER BY number",
    "SELECT level, place, hash FROM tree_node ORDER BY level, place",
    "SELECT id, size, peaks, checkpoint FROM record_head ORDER BY id",
    "SELECT id, case_number, from_party, to_party, state FROM handoff ORDER BY id",
    "SELECT id, kind, name, address, licence, zone, paper, numbering, profile, version FROM party ORDER BY id",
    "SELECT id, party_id, role, login, name, licence, password, disabled, version FROM account ORDER BY id",
    "SELECT code, office_id, facts, made_ms, version FROM patient ORDER BY code",
    "SELECT id, party_id, kind, name, version, entries FROM party_list ORDER BY id",
    "SELECT list_id, version, text, entries, account_id, account_name, at_ms FROM party_list_version \
     ORDER BY list_id, version",
];

async fn recorded(copy: &Copy) -> Result<Vec<Vec<String>>, sqlx::Error> {
    let mut conn = copy.raw().await?;
    let mut all = Vec::new();
    for sql in RECORDED {
        let rows = sqlx::query(sqlx::AssertSqlSafe(sql.to_owned()))
            .fetch_all(&mut conn)
            .await?;
        for row in rows {
            let cell = |place| {
                row.try_get::<Option<String>, _>(place)
                    .map(|text| format!("{text:?}"))
                    .or_else(|_| {
                        row.try_get::<i64, _>(place)
                            .map(|number| number.to_string())
                    })
            };
            all.push((0..row.len()).map(cell).collect::<Result<_, _>>()?);
        }
    }
    conn.close().await?;
    Ok(all)
}

/// Numbers that scatter, the same in every run (the multiplier and the shift are those of xorshift64*, from memory).
fn scattered(mut seed: u64) -> impl Iterator<Item = u64> {
    std::iter::repeat_with(move || {
        seed ^= seed >> 12;
        seed ^= seed << 25;
        seed ^= seed >> 27;
        seed.wrapping_mul(0x2545_F491_4F6C_DD1D)
    })
}

/// How many changed bytes of one walk were found, and how many were none of the record's.
async fn walk(bytes: &'static [u8], seed: u64, wanted: u32) -> (u32, u32) {
    let whole = recorded(&Copy::of(bytes)).await.unwrap();
    let mut chance = scattered(seed);
    let (mut found, mut harmless) = (0, 0);
    while found < wanted {
        let offset = usize::try_from(chance.next().unwrap() % bytes.len() as u64).unwrap();
        let bit = 1_u8 << (chance.next().unwrap() % 8);
        let mut spoilt = bytes.to_vec();
        spoilt[offset] ^= bit;
        let copy = Copy::of(&spoilt);
        let is_found = match tokio::time::timeout(PATIENCE, copy.faults(None)).await {
            // Such a file is not opened at all, and the reason is said.
            Ok(Err(why)) => !why.to_string().is_empty(),
            Ok(Ok(examined)) => examined.first().is_some(),
            Err(_) => panic!("byte {offset}, bit {bit}: no answer in {PATIENCE:?}"),
        };
        if is_found {
            found += 1;
            continue;
        }
        harmless += 1;
        if recorded(&copy).await.ok().as_ref() != Some(&whole) {
            let kept = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("not-found.sqlite");
            std::fs::write(&kept, &spoilt).unwrap();
            panic!(
                "byte {offset}, bit {bit} was not found; the file is {}",
                kept.display()
            );
        }
        assert!(harmless < 10 * wanted, "{found} found, {harmless} harmless");
    }
    (found, harmless)
}

/// Far longer than any examination takes, also on a busy machine.
const PATIENCE: Duration = Duration::from_secs(60);

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn two_hundred_changed_bytes_are_found_wherever_they_lie() {
    let bytes = filled().await;
    assert_eq!(Copy::of(bytes).faults(None).await.unwrap().faults, []);
    let walks = [0x5EED_0001, 0x5EED_0002, 0x5EED_0003, 0x5EED_0004]
        .map(|seed| tokio::spawn(walk(bytes, seed, 50)));
    let (mut found, mut harmless) = (0, 0);
    for one in walks {
        let (more, outside) = one.await.unwrap();
        (found, harmless) = (found + more, harmless + outside);
    }
    assert!(found >= 200);
    println!("{found} changed bytes found; {harmless} hit free space or what is not of the record");
}

// --- rows ----------------------------------------------------------------------------------------

/// Opens every lock: what follows is what somebody does who holds the file.
async fn unlocked(copy: &Copy) -> AnyConnection {
    let mut conn = copy.raw().await.unwrap();
    run(&mut conn, "PRAGMA foreign_keys = OFF").await;
    for name in texts(
        &mut conn,
        "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    )
    .await
    {
        run(&mut conn, &format!("DROP TRIGGER {name}")).await;
    }
    conn
}

async fn texts(conn: &mut AnyConnection, sql: &str) -> Vec<String> {
    let rows = sqlx::query(sqlx::AssertSqlSafe(sql.to_owned()))
        .fetch_all(conn)
        .await
        .unwrap_or_else(|why| panic!("{sql}: {why}"));
    rows.iter().map(|row| row.try_get(0).unwrap()).collect()
}

async fn number(conn: &mut AnyConnection, sql: &str) -> u64 {
    let row = sqlx::query(sqlx::AssertSqlSafe(sql.to_owned()))
        .fetch_one(conn)
        .await
        .unwrap_or_else(|why| panic!("{sql}: {why}"));
    u64::try_from(row.try_get::<i64, _>(0).unwrap()).unwrap()
}

/// What is found after these changes.
async fn after(sql: &str) -> Examined {
    let copy = Copy::of(filled().await);
    let mut conn = unlocked(&copy).await;
    run(&mut conn, sql).await;
    conn.close().await.unwrap();
    copy.faults(None).await.unwrap()
}

/// In the changes below stands for the key of the row that the leaf of this number is about.
const LEAVES: [(&str, &str, u64); 9] = [
    ("{case}", "case", 3),
    ("{item}", "item", 17),
    ("{event}", "event", 90),
    ("{revision}", "revision", 4),
    ("{acknowledgement}", "acknowledgement", 2),
    ("{party}", "party", 1),
    ("{account}", "account", 2),
    ("{patient}", "patient", 3),
    ("{list}", "list", 1),
];

/// Fills the keys in; answers with the leaves that they belong to.
async fn filled_in(sql: &str) -> (String, Vec<u64>) {
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
const CHANGED_ROWS: [&str; 75] = [
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
];

/// Rows that nobody has put into the record: no leaf is wrong, and the row is named.
const PUT_IN: [&str; 4] = [
    "INSERT INTO party SELECT 'another', kind, name, address, licence, zone, paper, numbering, version, changes, \
     profile FROM party LIMIT 1",
    "INSERT INTO account SELECT 'another', party_id, 'administrator', 'another', name, licence, password, 0, 1 \
     FROM account LIMIT 1",
    "INSERT INTO party_list SELECT 'another', party_id, kind, 'another', 0, 0 FROM party_list LIMIT 1",
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
const LISTED: [(&str, &str); 15] = [
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
        "UPDATE case_file SET waiting_for = 'the office: fit what came back' WHERE number = {case}",
        "waiting_for",
    ),
    (
        "UPDATE case_file SET due = '2031-01-01' WHERE number = {case}",
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
async fn what_is_listed_otherwise_than_it_happened_is_found() {
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

// --- leaves --------------------------------------------------------------------------------------

/// Changes of the record itself, with the first wrong leaf where one is, and words of some fault.
const CHANGED_RECORD: [(&str, Option<u64>, &str); 24] = [
    (
        "UPDATE leaf SET body = replace(body, ',', ',' || char(10)) WHERE number = 92",
        Some(92),
        "does not fit its hash",
    ),
    (
        "UPDATE leaf SET body = replace(body, '\"v\":1', '\"v\":2') WHERE number = 92",
        Some(92),
        "does not fit its hash",
    ),
    (
        "UPDATE leaf SET body = x'00FF' WHERE number = 92",
        Some(92),
        "Leaf 92 cannot be read",
    ),
    (
        "UPDATE leaf SET hash = (SELECT hash FROM leaf WHERE number = 5) WHERE number = 92",
        Some(92),
        "does not fit its hash",
    ),
    (
        "UPDATE leaf SET hash = upper(hash) WHERE number = 92",
        Some(92),
        "does not fit its hash",
    ),
    (
        "UPDATE leaf SET kind = 'statement' WHERE number = 92",
        Some(92),
        "not stored any more",
    ),
    (
        "UPDATE leaf SET about = 'x' WHERE number = 92",
        Some(92),
        "not stored any more",
    ),
    (
        "UPDATE leaf SET case_number = 'C00000000' WHERE number = 92",
        Some(92),
        "of nothing that can be read",
    ),
    (
        "DELETE FROM leaf WHERE number = 92",
        Some(92),
        "Leaf 92 is missing",
    ),
    (
        "DELETE FROM leaf WHERE number BETWEEN 92 AND 300",
        Some(92),
        "Leaf 92 is missing",
    ),
    (
        "DELETE FROM leaf WHERE number = 0",
        Some(0),
        "Leaf 0 is missing",
    ),
    (
        "DELETE FROM leaf WHERE number = (SELECT MAX(number) FROM leaf)",
        None,
        "the stored ones do not end there",
    ),
    ("DELETE FROM leaf", None, "the stored ones do not end there"),
    (
        "UPDATE leaf SET number = 9080 WHERE number = 92",
        Some(92),
        "Leaf 92 is missing",
    ),
    (
        "UPDATE leaf SET number = 9000 WHERE number = 92; UPDATE leaf SET number = 92 WHERE number = 93; \
         UPDATE leaf SET number = 93 WHERE number = 9000",
        Some(92),
        "is not the one that the leaf stands for",
    ),
    (
        // With their salts: each leaf then fits its row.
        "UPDATE leaf SET number = 9000 WHERE number = 92; UPDATE leaf SET number = 92 WHERE number = 93; \
         UPDATE leaf SET number = 93 WHERE number = 9000; UPDATE leaf_salt SET leaf = 9000 WHERE leaf = 92; \
         UPDATE leaf_salt SET leaf = 92 WHERE leaf = 93; UPDATE leaf_salt SET leaf = 93 WHERE leaf = 9000",
        Some(92),
        "and in its place is",
    ),
    (
        "UPDATE leaf SET number = -number - 1 WHERE number >= 92; UPDATE leaf SET number = -number WHERE number < 0; \
      INSERT INTO leaf SELECT 92, 'event', 'put in', case_number, body, hash FROM leaf WHERE number = 5",
        Some(92),
        "put in",
    ),
    (
        "UPDATE leaf_salt SET salts = json_set(salts, '$.\"/event/by/name\"', '00000000000000000000000000000000') WHERE leaf = 92",
        Some(92),
        "is not the one that the leaf stands for",
    ),
    (
        "UPDATE leaf_salt SET salts = upper(salts) WHERE leaf = 92",
        Some(92),
        "salts of leaf 92 cannot be read",
    ),
    (
        "UPDATE leaf_salt SET salts = '[]' WHERE leaf = 92",
        Some(92),
        "salts of leaf 92 cannot be read",
    ),
    (
        "DELETE FROM leaf_salt WHERE leaf = 92",
        Some(92),
        "its salt is missing",
    ),
    (
        "UPDATE tree_node SET hash = (SELECT hash FROM leaf WHERE number = 5)",
        Some(255),
        "stored hash over the leaves up to 255",
    ),
    (
        "DELETE FROM tree_node",
        Some(255),
        "stored hash over the leaves up to 255",
    ),
    (
        "INSERT INTO tree_node SELECT level, 7, hash FROM tree_node",
        None,
        "2 hashes of the tree are stored",
    ),
];

#[tokio::test]
async fn a_changed_record_is_named_by_its_first_wrong_leaf() {
    let copy = Copy::of(filled().await);
    let mut conn = copy.raw().await.unwrap();
    // Both neighbours and the leaf itself have texts, so that each can be told by its salts.
    let kinds = texts(&mut conn, "SELECT kind FROM leaf WHERE number IN (92, 93)").await;
    assert_eq!(kinds, ["event", "event"]);
    for (sql, leaf, words) in CHANGED_RECORD {
        let examined = after(sql).await;
        let says = |sentence: &str| sentence.contains(words);
        assert!(
            examined.faults.iter().any(|fault| says(&fault.sentence)),
            "{sql}: {:?}",
            examined.faults
        );
        if leaf.is_some() {
            assert_eq!(
                examined.first().unwrap().leaf,
                leaf,
                "{sql}: {:?}",
                examined.faults
            );
        }
    }
}

#[tokio::test]
async fn a_changed_head_or_checkpoint_is_found() {
    let copy = Copy::of(filled().await);
    let mut conn = copy.raw().await.unwrap();
    let head = sqlx::query("SELECT size, checkpoint FROM record_head")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    let (size, note): (i64, String) = (head.try_get(0).unwrap(), head.try_get(1).unwrap());
    let stranger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    let seen = Checkpoint::open(&note, key().verifier(), &[])
        .unwrap()
        .checkpoint;
    let other_root = Checkpoint {
        root: leaf_hash(b"another"),
        ..seen.clone()
    };
    let one_less = Checkpoint {
        size: seen.size - 1,
        ..seen.clone()
    };
    let quoted = |note: String| format!("UPDATE record_head SET checkpoint = '{note}'");
    for sql in [
        format!("UPDATE record_head SET size = {}", size - 1),
        "UPDATE record_head SET size = -1".to_owned(),
        "UPDATE record_head SET size = 9000000000000000000".to_owned(),
        "UPDATE record_head SET peaks = upper(peaks)".to_owned(),
        "UPDATE record_head SET peaks = substr(peaks, 65)".to_owned(),
        "UPDATE record_head SET peaks = replace(peaks, '0', '1')".to_owned(),
        "UPDATE record_head SET checkpoint = ''".to_owned(),
        "UPDATE record_head SET checkpoint = checkpoint || char(10)".to_owned(),
        quoted(seen.sign(&stranger).unwrap()),
        quoted(other_root.sign(&key()).unwrap()),
        quoted(one_less.sign(&key()).unwrap()),
        "DELETE FROM record_head".to_owned(),
    ] {
        let examined = after(&sql).await;
        assert!(examined.first().is_some(), "not found: {sql}");
        // All else still fits, and is not blamed.
        assert!(
            examined.faults.iter().all(|fault| fault.leaf.is_none()),
            "{sql}: {:?}",
            examined.faults
        );
        assert_eq!(
            (examined.leaves, examined.events > 200),
            (u64::try_from(size).unwrap(), true),
            "{sql}"
        );
    }
}

#[tokio::test]
async fn what_cannot_be_read_hides_nothing_else() {
    let (first, leaves) = filled_in("UPDATE event SET body = x'FF' WHERE id = {event}").await;
    let (second, others) = filled_in("UPDATE item SET body = 'x' WHERE tag = {item}").await;
    let (third, more) = filled_in("UPDATE revision SET meaning = '' WHERE {revision}").await;
    let lost = "UPDATE leaf SET body = x'FF' WHERE number IN (300, 301)";
    let examined = after(&format!("{first}; {second}; {third}; {lost}")).await;
    let mut wanted = [leaves, others, more, vec![300, 301]].concat();
    wanted.sort_unstable();
    let mut named: Vec<u64> = examined
        .faults
        .iter()
        .filter_map(|fault| fault.leaf)
        .collect();
    named.sort_unstable();
    named.dedup();
    assert_eq!(named, wanted, "{:?}", examined.faults);
    assert_eq!(examined.root, None);
}

// --- a whole history written anew ----------------------------------------------------------------

/// Changes who did the event of a leaf, and everything that follows from it up to a new signature.
async fn rewrite(conn: &mut AnyConnection, leaf: u64) {
    let of_leaf = |column: &str, table: &str, key: &str| {
        format!("SELECT {column} FROM {table} WHERE {key} = {leaf}")
    };
    let about = texts(conn, &of_leaf("about", "leaf", "number"))
        .await
        .remove(0);
    let body = texts(conn, &of_leaf("body", "leaf", "number"))
        .await
        .remove(0);
    let salts = texts(conn, &of_leaf("salts", "leaf_salt", "leaf"))
        .await
        .remove(0);
    let salts: Salts = salts_from_json(&serde_json::from_str(&salts).unwrap()).unwrap();
    let salt: &Salt = &salts["/event/by/name"];
    let mut body: Value = serde_json::from_str(&body).unwrap();
    body["event"]["by"]["name"] = json!({ "committed": commitment(salt, "Somebody Else") });
    let body = serde_json_canonicalizer::to_string(&body).unwrap();
    let row = texts(
        conn,
        &format!("SELECT body FROM event WHERE id = '{about}'"),
    )
    .await
    .remove(0);
    let mut row: Value = serde_json::from_str(&row).unwrap();
    row["by"]["name"] = json!("Somebody Else");
    let row = serde_json_canonicalizer::to_string(&row).unwrap();
    for (sql, text) in [
        (
            format!("UPDATE event SET body = $1 WHERE id = '{about}'"),
            row,
        ),
        (
            format!("UPDATE leaf SET hash = $1 WHERE number = {leaf}"),
            leaf_hash(body.as_bytes()).to_string(),
        ),
        (
            format!("UPDATE leaf SET body = $1 WHERE number = {leaf}"),
            body,
        ),
    ] {
        sqlx::query(sqlx::AssertSqlSafe(sql))
            .bind(text)
            .execute(&mut *conn)
            .await
            .unwrap();
    }
    let mut tree = Frontier::default();
    for hash in texts(conn, "SELECT hash FROM leaf ORDER BY number").await {
        for (node, hash) in tree.append(Hash::parse(&hash).unwrap()) {
            let (level, place) = (node.level / 8, node.index);
            run(
                conn,
                &format!(
                    "UPDATE tree_node SET hash = '{hash}' WHERE level * 8 = {} AND level = {level} \
                AND place = {place}",
                    node.level
                ),
            )
            .await;
        }
    }
    let note = Checkpoint {
        origin: key().verifier().name().to_owned(),
        size: tree.size(),
        root: tree.root(),
    };
    let peaks: String = tree
        .peak_bytes()
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let note = note.sign(&key()).unwrap();
    run(
        conn,
        &format!("UPDATE record_head SET peaks = '{peaks}', checkpoint = '{note}'"),
    )
    .await;
}

#[tokio::test]
async fn a_history_written_anew_and_signed_with_the_right_key_is_found_by_a_paper() {
    let copy = Copy::of(filled().await);
    let root_of = |examined: &Examined| PaperRoot::new(examined.leaves, &examined.root.unwrap());
    let paper = root_of(&copy.faults(None).await.unwrap());
    let mut conn = unlocked(&copy).await;
    let hashes = texts(
        &mut conn,
        "SELECT hash FROM leaf WHERE number < 80 ORDER BY number",
    )
    .await;
    let mut before = Frontier::default();
    for hash in hashes {
        before.append(Hash::parse(&hash).unwrap());
    }
    rewrite(&mut conn, 80).await;
    conn.close().await.unwrap();
    // Without a paper nothing is wrong: everything fits, and the key is the right one.
    assert_eq!(copy.faults(None).await.unwrap().faults, []);
    let store = Store::open(&Store::sqlite_address(&copy.path), key())
        .await
        .unwrap();
    store.close().await;
    let found = copy.faults(Some(&paper)).await.unwrap();
    assert_eq!(found.faults.len(), 1);
    assert!(
        found.faults[0]
            .sentence
            .contains("the record was rewritten"),
        "{:?}",
        found.faults
    );
    // A paper from before the change says nothing against it.
    let earlier = PaperRoot::new(80, &before.root());
    let found = copy.faults(Some(&earlier)).await.unwrap();
    assert!(found.faults.is_empty() && found.paper.is_some());
}
