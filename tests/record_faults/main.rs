//! A database that somebody has reached past this program: every changed byte, row, leaf and signature of
//! the record is found and named, on copies of a filled demo.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a test says what it expects and falls over when it is wrong"
)]

mod leaves;
mod nothing;
mod rewritten;
mod rows;

use sqlx::{AnyConnection, Connection, Row};
use std::ffi::OsString;
use std::path::PathBuf;
use std::sync::OnceLock;
use std::time::Duration;
use tempfile::TempDir;
use tokio::sync::OnceCell;
use vestibule::app::examine::{Examined, examine};
use vestibule::app::{App, Settings, demo};
use vestibule::clock::Outside;
use vestibule::record::key::Signer;
use vestibule::record::words::PaperRoot;
use vestibule::store::{Store, StoreError};

/// 2026-03-02 08:00 UTC.
const MONDAY_MS: i64 = 1_772_438_400_000;

pub fn key() -> Signer {
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

/// The demo's pictures and scans, by the names of their files.
static PICTURES: OnceLock<Vec<(OsString, Vec<u8>)>> = OnceLock::new();

/// The demo's database as the bytes of one file: closing it has brought everything there.
pub async fn filled() -> &'static [u8] {
    static FILLED: OnceCell<Vec<u8>> = OnceCell::const_new();
    let fill = async {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("demo.sqlite");
        let store = Store::open(&Store::sqlite_address(&path), key())
            .await
            .unwrap();
        let app = app(store);
        Box::pin(demo::fill(&app, 0)).await.unwrap();
        app.store.close().await;
        let mut raw = AnyConnection::connect(&Store::sqlite_address(&path))
            .await
            .unwrap();
        run(&mut raw, "VACUUM").await;
        run(&mut raw, "PRAGMA wal_checkpoint(TRUNCATE)").await;
        raw.close().await.unwrap();
        let files = std::fs::read_dir(path.with_extension("sqlite.pictures")).unwrap();
        let files = files.map(|file| {
            let file = file.unwrap();
            (file.file_name(), std::fs::read(file.path()).unwrap())
        });
        PICTURES.set(files.collect()).unwrap();
        std::fs::read(&path).unwrap()
    };
    FILLED.get_or_init(|| fill).await
}

/// A copy that may be damaged.
pub struct Copy {
    pub path: PathBuf,
    pub _folder: TempDir,
}

impl Copy {
    pub fn of(bytes: &[u8]) -> Copy {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("copy.sqlite");
        std::fs::write(&path, bytes).unwrap();
        let pictures = path.with_extension("sqlite.pictures");
        std::fs::create_dir(&pictures).unwrap();
        for (name, bytes) in PICTURES.get().into_iter().flatten() {
            std::fs::write(pictures.join(name), bytes).unwrap();
        }
        Copy {
            path,
            _folder: folder,
        }
    }

    pub async fn raw(&self) -> Result<AnyConnection, sqlx::Error> {
        sqlx::any::install_default_drivers();
        AnyConnection::connect(&Store::sqlite_address(&self.path)).await
    }

    /// What is found wrong; also where it cannot even be opened.
    pub async fn faults(&self, paper: Option<&PaperRoot>) -> Result<Examined, StoreError> {
        let store = Store::open_read_only(&Store::sqlite_address(&self.path), key(), None).await?;
        let app = app(store);
        let examined = examine(&app, paper).await.unwrap();
        app.store.close().await;
        Ok(examined)
    }
}

pub async fn run(conn: &mut AnyConnection, sql: &str) {
    sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned()))
        .execute(conn)
        .await
        .unwrap_or_else(|why| panic!("{sql}: {why}"));
}

/// Everything that the record stands for, as text; what follows from it for lists is looked at besides.
const RECORDED: [&str; 15] = [
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
    "SELECT id, version, party_id, text, account_id, account_name, at_ms FROM usual_set ORDER BY id, version",
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
        let mut damaged = bytes.to_vec();
        damaged[offset] ^= bit;
        let copy = Copy::of(&damaged);
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
            std::fs::write(&kept, &damaged).unwrap();
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

/// Opens every lock: what follows is what somebody does who holds the file.
pub async fn unlocked(copy: &Copy) -> AnyConnection {
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

/// The locks of a copy that nobody has opened.
pub async fn locks(copy: &Copy) -> Vec<String> {
    let mut conn = copy.raw().await.unwrap();
    let sql = "SELECT sql FROM sqlite_master WHERE type = 'trigger'";
    let locks = texts(&mut conn, sql).await;
    conn.close().await.unwrap();
    locks
}

/// Lays them again, as somebody does who wants to leave no trace: what is left to be found is the change.
pub async fn lock_again(conn: &mut AnyConnection, locks: &[String]) {
    for lock in locks {
        run(conn, lock).await;
    }
}

pub async fn texts(conn: &mut AnyConnection, sql: &str) -> Vec<String> {
    let rows = sqlx::query(sqlx::AssertSqlSafe(sql.to_owned()))
        .fetch_all(conn)
        .await
        .unwrap_or_else(|why| panic!("{sql}: {why}"));
    rows.iter().map(|row| row.try_get(0).unwrap()).collect()
}

pub async fn number(conn: &mut AnyConnection, sql: &str) -> u64 {
    let row = sqlx::query(sqlx::AssertSqlSafe(sql.to_owned()))
        .fetch_one(conn)
        .await
        .unwrap_or_else(|why| panic!("{sql}: {why}"));
    u64::try_from(row.try_get::<i64, _>(0).unwrap()).unwrap()
}

/// What is found after these changes.
pub async fn after(sql: &str) -> Examined {
    let copy = Copy::of(filled().await);
    let locks = locks(&copy).await;
    let mut conn = unlocked(&copy).await;
    run(&mut conn, sql).await;
    lock_again(&mut conn, &locks).await;
    conn.close().await.unwrap();
    copy.faults(None).await.unwrap()
}
