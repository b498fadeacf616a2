//! Migrations carry along what stands in the tables: each one is applied to rows that the versions before
//! it wrote, on both databases, and the store reads the result. And each is written in words that both
//! databases know.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test says what it expects and falls over when it is wrong"
)]

mod databases;

use databases::Database;
use std::path::{Path, PathBuf};
use time::macros::date;
use vestibule::domain::custody::agenda::{AskedFirst, OrderedWork, WhoseTurn};
use vestibule::domain::custody::bench::BenchStep;
use vestibule::domain::custody::case::{Case, Task};
use vestibule::domain::custody::{CaseState, Gone};
use vestibule::domain::people::party::Side;
use vestibule::domain::prescription::revision::Document;
use vestibule::domain::prescription::usual::UsualSet;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::store::admissions::Admitted;
use vestibule::store::{
    Store, admissions, cases, custody, drafts, lists, parties, people, revisions, usual,
};

/// The migrations in their order.
fn migrations() -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir("migrations")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    assert!(paths.len() >= 4, "the migrations were found");
    paths
}

/// The next steps of a case in words.
fn next_steps(case: &Case) -> String {
    let shown: Vec<String> = case.waiting_for.iter().map(Task::to_string).collect();
    shown.join("; ")
}

/// The rows that stand in the tables once this migration has been applied.
fn sample(migration: &Path) -> PathBuf {
    Path::new("tests/data/migrations").join(migration.file_name().unwrap())
}

#[tokio::test]
async fn sample_rows_outlive_every_migration_on_sqlite() {
    outlive(Database::sqlite().await).await;
}

#[tokio::test]
async fn sample_rows_outlive_every_migration_on_postgres() {
    if let Some(database) = Database::postgres().await {
        outlive(database).await;
    }
}

/// Applies each of `migrations` with its sample rows. The program of each earlier version knew the migrations
/// of its time only.
async fn replay(database: &Database, migrations: &[PathBuf]) {
    let mut conn = database.raw().await;
    let known = tempfile::tempdir().unwrap();
    for migration in migrations {
        let name = migration.file_name().unwrap();
        std::fs::copy(migration, known.path().join(name)).unwrap();
        let migrator = sqlx::migrate::Migrator::new(known.path()).await.unwrap();
        migrator.run(&mut conn).await.unwrap();
        let rows = std::fs::read_to_string(sample(migration))
            .unwrap_or_else(|why| panic!("{name:?} has no sample rows: {why}"));
        let outcome = sqlx::raw_sql(sqlx::AssertSqlSafe(rows))
            .execute(&mut conn)
            .await;
        outcome.unwrap_or_else(|why| panic!("sample rows of {name:?}: {why}"));
    }
}

async fn outlive(database: Database) {
    replay(&database, &migrations()).await;
    let store = database.open().await;
    read_back(&store).await;
    store.close().await;
    database.remove().await;
}

fn case(number: &str) -> CaseNumber {
    CaseNumber::parse(number).unwrap()
}

/// What was written in the sample rows, read by the store of today.
async fn read_back(store: &Store) {
    let mut conn = store.read().await.unwrap();
    let houses = parties::all(&mut conn).await.unwrap();
    assert_eq!(
        houses.iter().map(|house| house.kind).collect::<Vec<_>>(),
        [Side::Lab, Side::Office, Side::Office]
    );
    assert_eq!(
        houses
            .iter()
            .map(|house| house.profile.as_str())
            .collect::<Vec<_>>(),
        ["common", "common", "us-fl"]
    );
    let houses: Vec<_> = houses.iter().collect();
    let sets = usual::of_parties(&mut conn, &houses[0].id, &houses[2].id).await;
    let sets: Vec<(i64, bool)> = sets
        .unwrap()
        .iter()
        .map(|row| (row.version, UsualSet::from_stored(&row.text).is_ok()))
        .collect();
    assert_eq!(sets, [(2, true), (1, true), (2, false)]);
    let telephones: Vec<&str> = houses
        .iter()
        .map(|house| house.telephone.as_str())
        .collect();
    assert_eq!(telephones, ["", "555 0163", ""]);
    assert_eq!(people::all_accounts(&mut conn).await.unwrap().len(), 6);
    assert_eq!(
        people::failures(&mut conn, "nobody").await.unwrap().count,
        3
    );
    let all = cases::all_cases(&mut conn, 10, 0).await.unwrap();
    assert_eq!(all.len(), 7);
    // What the agenda keeps of a case is read as it was written.
    let drawn = all.iter().find(|one| one.number == case("C7777777Z"));
    let agenda = &drawn.unwrap().agenda;
    assert_eq!(agenda.lab.turn, WhoseTurn::Coming);
    assert_eq!(agenda.lab.day, Some(date!(2026 - 12 - 18)));
    assert_eq!((agenda.items, agenda.seals.as_str()), (3, "4471"));
    assert_eq!(
        OrderedWork::word(&agenda.work),
        "upper:process,lower:reline"
    );
    // So is what either side is asked.
    let asked = all.iter().find(|one| one.number == case("C3333333F"));
    let asked = &asked.unwrap().agenda;
    let words = [asked.office.asked, asked.lab.asked].map(|one| one.map(AskedFirst::word));
    let stored = ["waits:1794978981737", "open:1794978991737"];
    assert_eq!(words, stored.map(|word| Some(word.to_owned())));
    // So is where it stands at the bench, and its pan leads to it.
    let at_bench = all.iter().find(|one| one.number == case("C3333333F"));
    let bench = &at_bench.unwrap().agenda.bench;
    assert_eq!((bench.pan.as_str(), bench.open), ("B-3", 3));
    assert_eq!(bench.next.map(|next| next.step), Some(BenchStep::Cured));
    assert!(bench.technician.is_some());
    let found = cases::in_pan(&mut conn, &houses[0].id, "b 3")
        .await
        .unwrap();
    assert_eq!(found, Some(case("C3333333F")));
    for one in &all {
        assert!(
            cases::find_patient(&mut conn, &one.patient)
                .await
                .unwrap()
                .is_some()
        );
        let signed = revisions::of_case(&mut conn, &one.number).await.unwrap();
        for revision in &signed {
            // Signed before there was a review: it opens all the same.
            Document::from_canonical(&revision.document).unwrap();
        }
        assert_eq!(i64::try_from(signed.len()).unwrap(), one.revision);
        let items = custody::items_of(&mut conn, &one.number).await.unwrap();
        let events = custody::events_of(&mut conn, &one.number).await.unwrap();
        assert_eq!(
            CaseState::of(&events).custody.len(),
            items.len(),
            "each thing has its history"
        );
    }

    // Sessions of before have proved nothing; later ones say when.
    for (secret_hash, proved_ms) in [
        (
            "3f3af1ecebbd1410ab417ec0d27bbfcb5d340e177ae159b59fc8626c2dfd9175",
            0,
        ),
        (
            "9b5c1de07a6f4c2288f1d03b7e4a91c650d2e8f37ab14c9d0e6f5a28b3c7d194",
            1_793_329_030_000,
        ),
    ] {
        let session = people::session(&mut conn, secret_hash)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(session.proved_ms, proved_ms);
    }

    let office = "9912f17c-d08c-487c-8ff3-0f301930363e".into();
    // Who was let in, and a link that is still open.
    let let_in = admissions::of_party(&mut conn, Some(&office), 9);
    let let_in = let_in.await.unwrap();
    let what: Vec<Admitted> = let_in
        .iter()
        .map(|row| row.as_ref().unwrap().what)
        .collect();
    assert_eq!(what, [Admitted::NewPassword, Admitted::Invited]);
    let open = people::open_links(&mut conn, 1_796_000_000_000).await;
    assert_eq!(open.unwrap()[0].by_name, "Installation administrator");

    let finished = custody::events_of(&mut conn, &case("C54FB5V87"))
        .await
        .unwrap();
    let finished = CaseState::of(&finished);
    let computed = finished.balance();
    assert!(
        !computed.sent.is_empty() && computed.owed.is_empty(),
        "{computed:?}"
    );
    assert!(
        finished
            .custody
            .values()
            .all(|state| state.gone != Some(Gone::Destroyed))
    );
    let twice_signed = case("CNBZ1CH18");
    let numbers: Vec<i64> = revisions::of_case(&mut conn, &twice_signed)
        .await
        .unwrap()
        .iter()
        .map(|one| one.number)
        .collect();
    assert_eq!(numbers, [1, 2]);
    assert_eq!(
        revisions::acknowledgements(&mut conn, &twice_signed)
            .await
            .unwrap()
            .len(),
        1
    );
    let held = cases::find_case(&mut conn, &case("CGP1XF3A6")).await;
    let held = held.unwrap().unwrap();
    assert_eq!(
        held.held_shown(),
        "Provisional denture, upper was missing from the parcel, and 2 more"
    );
    assert_eq!(
        next_steps(&held),
        "the office: answer the problem on arrival; the lab: check in the parcel"
    );
    assert_eq!(
        (held.due, held.lent_due),
        (Some(date!(2026 - 12 - 18)), Some(date!(2026 - 11 - 30)))
    );
    let begun = case("CPB34JQTP");
    let draft = drafts::find(&mut conn, &begun).await.unwrap().unwrap();
    assert!(draft.fields.len() > 20);
    assert_eq!(
        drafts::conflicts(&mut conn, &begun).await.unwrap()[0].text,
        "laid aside: 3 mm, not 2\nsee the wax"
    );

    for house in &houses {
        for list in lists::of_party(&mut conn, &house.id).await.unwrap() {
            let versions = lists::versions(&mut conn, &list.id).await.unwrap();
            assert_eq!(versions[0].version, list.version);
            let stands = lists::find_version(&mut conn, &list.id, list.version).await;
            let stands = stands.unwrap().unwrap();
            let read = list.kind.read(&stands.text);
            assert_eq!(read.map_or(0, |read| read.count() as i64), list.entries);
        }
    }
}

#[test]
fn every_sample_belongs_to_a_migration() {
    for entry in std::fs::read_dir("tests/data/migrations").unwrap() {
        let name = entry.unwrap().file_name();
        assert!(Path::new("migrations").join(&name).exists(), "{name:?}");
    }
}

// --- sentences that became words of code ----------------------------------------------------------

const TITLES: [&str; 18] = [
    "Provisional denture",
    "Duplicate denture",
    "Final denture",
    "Old denture",
    "Bite record",
    "Facebow record",
    "Protrusive record",
    "Impression",
    "Record base with rim",
    "Wax try-in",
    "Master cast",
    "Remount cast",
    "Index of the tooth positions",
    "Shade tab",
    "Set of teeth on its card",
    "Implant parts",
    "Photograph",
    "Other item",
];

/// Every reason of a hold as the earlier version wrote it into the list of cases.
fn held_sentences() -> Vec<String> {
    let mut first: Vec<String> = Vec::new();
    for title in TITLES {
        for arch in ["", ", upper", ", lower"] {
            for what in [
                " was missing from the box",
                " arrived damaged",
                " is not as described",
                " came without a mark of disinfection",
                ": 4 pieces sent, 13 found",
                ": 12 pieces before, 3 counted out",
            ] {
                first.push(format!("{title}{arch}{what}"));
            }
        }
    }
    for parcel in [1, 2, 10] {
        first.push(format!("The seal of box {parcel} was broken"));
        first.push(format!("Box {parcel} came with another seal"));
        first.push(format!("Box {parcel} came without its seal"));
    }
    first.push("Something came along that was not announced".to_owned());
    let more = ["", ", and 1 more", ", and 12 more"];
    let with_more = |sentence: &String| more.map(|more| format!("{sentence}{more}"));
    first.iter().flat_map(with_more).collect()
}

/// What travels is a parcel now, and was a box then; what no list named is called so; all else of a reason reads as it did.
fn as_shown_now(held: &str) -> String {
    let words = [
        (
            "Something came along that was not announced",
            "An unlisted item was in the parcel",
        ),
        ("from the box", "from the parcel"),
        ("of box ", "of parcel "),
        ("Box ", "Parcel "),
    ];
    let replaced = |held: String, (was, is): (&str, &str)| held.replace(was, is);
    words.into_iter().fold(held.to_owned(), replaced)
}

/// Whom a case waited for as the earlier version wrote it, and as it is shown now.
const WAITING: [(&str, &str); 13] = [
    ("", ""),
    (
        "the office: write and sign the prescription",
        "the office: write and sign the prescription",
    ),
    (
        "the office: receive what is on the way",
        "the office: check in the parcel",
    ),
    (
        "the lab: receive what is on the way",
        "the lab: check in the parcel",
    ),
    (
        "the lab: read and acknowledge the prescription",
        "the lab: read and acknowledge the prescription",
    ),
    (
        "the lab: make the work and hand it back",
        "the lab: make the work and hand it back",
    ),
    (
        "the office: fit what came back",
        "the office: fit what came back",
    ),
    (
        "the office: hand over to the lab",
        "the office: hand over to the lab",
    ),
    (
        "the office: hand over to the lab, or fit what came back",
        "the office: hand over to the lab",
    ),
    (
        "the office: settle what was found wrong",
        "the office: answer the problem on arrival",
    ),
    (
        "the lab: settle what was found wrong",
        "the lab: answer the problem on arrival",
    ),
    (
        "the office: settle what was found wrong; the lab: settle what was found wrong",
        "the office: answer the problem on arrival; the lab: answer the problem on arrival",
    ),
    (
        "the lab: settle what was found wrong; the office: receive what is on the way",
        "the lab: answer the problem on arrival; the office: check in the parcel",
    ),
];

/// One case for each sentence: a number, why it is held, whom it waits for, and how the latter is shown.
fn cases_in_sentences() -> Vec<(CaseNumber, String, &'static str, &'static str)> {
    let numbers = (0..u16::MAX).filter_map(|n| {
        let [high, low] = n.to_be_bytes();
        CaseNumber::from_random([1, 1, 1, 1, high, low >> 5, low])
    });
    let held = held_sentences().into_iter().chain([String::new()]);
    let waiting = WAITING.into_iter().cycle();
    numbers
        .zip(held.zip(waiting))
        .map(|(number, (held, (was, is)))| (number, held, was, is))
        .collect()
}

#[tokio::test]
async fn the_sentences_of_older_rows_are_shown_as_they_were_on_sqlite() {
    shown_as_they_were(Database::sqlite().await).await;
}

#[tokio::test]
async fn the_sentences_of_older_rows_are_shown_as_they_were_on_postgres() {
    if let Some(database) = Database::postgres().await {
        shown_as_they_were(database).await;
    }
}

async fn shown_as_they_were(database: Database) {
    let mut older = migrations();
    older.retain(|path| path < &PathBuf::from("migrations/0010"));
    replay(&database, &older).await;
    let mut sql = String::from("BEGIN;");
    let rows = cases_in_sentences();
    for (number, held, waiting, _) in &rows {
        sql += &format!(
            "INSERT INTO case_file (number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, \
             held, waiting_for, due, summary, revision, acknowledged, changed_ms, version, lent_due) \
             SELECT '{}', office_id, lab_id, patient_code, arches, opened_ms, 0, 'lab', '{held}', '{waiting}', \
             '', '', 0, 0, changed_ms, 1, '2026-11-30' FROM case_file WHERE number = 'C54FB5V87';",
            number.as_str()
        );
    }
    sql += "COMMIT;";
    let mut conn = database.raw().await;
    let outcome = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
    outcome.await.unwrap();
    drop(conn);
    let store = database.open().await;
    let mut conn = store.read().await.unwrap();
    assert!(rows.len() > 1_000, "{}", rows.len());
    for (number, held, _, waiting) in rows {
        let case = cases::find_case(&mut conn, &number).await.unwrap().unwrap();
        assert_eq!(case.held_shown(), as_shown_now(&held));
        assert_eq!(next_steps(&case), waiting);
        assert_eq!(
            (case.due, case.lent_due),
            (None, Some(date!(2026 - 11 - 30)))
        );
    }
    drop(conn);
    store.close().await;
    database.remove().await;
}

// --- words that both databases know ---------------------------------------------------------------

/// Types that a column may have.
const TYPES: [&str; 3] = ["TEXT", "BIGINT", "DOUBLE"];

/// Words that one of the two databases does not know, or reads differently.
const OF_ONE_DATABASE: [&str; 30] = [
    "AUTOINCREMENT",
    "AUTO_INCREMENT",
    "SERIAL",
    "BIGSERIAL",
    "IDENTITY",
    "BLOB",
    "BYTEA",
    "BOOLEAN",
    "BOOL",
    "JSON",
    "JSONB",
    "UUID",
    "TIMESTAMP",
    "TIMESTAMPTZ",
    "DATETIME",
    "INTEGER",
    "INT",
    "REAL",
    "NUMERIC",
    "VARCHAR",
    "ARRAY",
    "ENUM",
    "DOMAIN",
    "SEQUENCE",
    "PRAGMA",
    "WITHOUT",
    "STRICT",
    "TRIGGER",
    "COLLATE",
    "GLOB",
];

/// The statements without comments and texts, in capitals, one space between words.
fn statements(sql: &str) -> Vec<String> {
    let lines = sql.lines().map(|line| line.split("--").next().unwrap());
    let text = lines.collect::<Vec<_>>().join(" ");
    let outside_texts: String = text.split('\'').step_by(2).collect::<Vec<_>>().join("''");
    outside_texts
        .split(';')
        .map(|statement| {
            statement
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
                .to_uppercase()
        })
        .filter(|statement| !statement.is_empty())
        .collect()
}

fn words(statement: &str) -> Vec<&str> {
    statement
        .split(|c: char| !c.is_alphanumeric() && c != '_')
        .filter(|word| !word.is_empty())
        .collect()
}

/// The parts of the outer brackets, between commas.
fn parts(statement: &str) -> Vec<String> {
    let mut parts = vec![String::new()];
    let mut depth = 0;
    let (Some(begin), Some(end)) = (statement.find('('), statement.rfind(')')) else {
        return Vec::new();
    };
    for letter in statement[begin + 1..end].chars() {
        depth += i32::from(letter == '(') - i32::from(letter == ')');
        match letter {
            ',' if depth == 0 => parts.push(String::new()),
            _ => parts.last_mut().unwrap().push(letter),
        }
    }
    parts
}

/// What is wrong with a migration's text.
fn faults(sql: &str) -> Vec<String> {
    let mut faults = Vec::new();
    for statement in statements(sql) {
        for word in words(&statement) {
            if OF_ONE_DATABASE.contains(&word) {
                faults.push(format!("{word} is no word of both databases: {statement}"));
            }
        }
        if statement.contains("ADD COLUMN")
            && statement.contains("NOT NULL")
            && !statement.contains("DEFAULT")
        {
            faults.push(format!("rows that stand have no value for it: {statement}"));
        }
        if !statement.starts_with("CREATE TABLE") {
            continue;
        }
        for part in parts(&statement) {
            let column = words(&part);
            if matches!(
                column[0],
                "PRIMARY" | "UNIQUE" | "FOREIGN" | "CHECK" | "CONSTRAINT"
            ) {
                continue;
            }
            if !column.get(1).is_some_and(|word| TYPES.contains(word)) {
                faults.push(format!("the type of a column is one of {TYPES:?}: {part}"));
            }
        }
    }
    faults
}

#[test]
fn migrations_speak_words_that_both_databases_know() {
    for migration in migrations() {
        let sql = std::fs::read_to_string(&migration).unwrap();
        assert_eq!(faults(&sql), Vec::<String>::new(), "{migration:?}");
    }
}

#[test]
fn words_of_one_database_are_seen() {
    for wrong in [
        "CREATE TABLE a (id INTEGER PRIMARY KEY)",
        "CREATE TABLE a (id TEXT PRIMARY KEY, at timestamptz NOT NULL)",
        "create table a (id serial)",
        "CREATE TABLE a (id TEXT, blob_of_a BYTEA)",
        "CREATE TABLE a (id)",
        "ALTER TABLE a ADD COLUMN b TEXT NOT NULL",
        "CREATE TABLE a (b TEXT); ALTER TABLE a ADD COLUMN c BOOLEAN",
    ] {
        assert!(!faults(wrong).is_empty(), "{wrong}");
    }
    for right in [
        "CREATE TABLE a (b TEXT NOT NULL, c DOUBLE PRECISION, PRIMARY KEY (b, c)); -- INTEGER",
        "CREATE TABLE a (b TEXT REFERENCES c (d), e BIGINT, UNIQUE (b, e))",
        "ALTER TABLE a ADD COLUMN b TEXT NOT NULL DEFAULT ''",
        "ALTER TABLE a ADD COLUMN b TEXT",
        "UPDATE a SET b = 'SERIAL; BLOB' WHERE c = 1",
    ] {
        assert_eq!(faults(right), Vec::<String>::new(), "{right}");
    }
}
