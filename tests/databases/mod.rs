//! A fresh database for one test: a SQLite file, or a database of its own in the throw-away PostgreSQL
//! that `VESTIBULE_TEST_POSTGRES` names (`tests/run` starts one and sets it).

#![allow(dead_code, reason = "each test binary uses its own part of this")]
#![expect(
    clippy::unwrap_used,
    reason = "a test says what it expects and falls over when it is wrong"
)]

use sqlx::{AnyConnection, Connection};
use std::sync::atomic::{AtomicU32, Ordering};
use tempfile::TempDir;
use vestibule::record::key::Signer;
use vestibule::store::{Backend, Store};

/// An empty database. The store is not opened yet: what lies under it is the test's to choose.
pub struct Database {
    pub address: String,
    pub backend: Backend,
    _folder: Option<TempDir>,
    name: String,
}

impl Database {
    pub async fn sqlite() -> Database {
        let folder = tempfile::tempdir().unwrap();
        let address = Store::sqlite_address(&folder.path().join("test.sqlite"));
        Database {
            address,
            backend: Backend::Sqlite,
            _folder: Some(folder),
            name: String::new(),
        }
    }

    /// `None`, with a word about it, where no PostgreSQL is named.
    pub async fn postgres() -> Option<Database> {
        static NUMBER: AtomicU32 = AtomicU32::new(0);
        let Some(server) = server() else {
            eprintln!("PostgreSQL half not run: VESTIBULE_TEST_POSTGRES is not set");
            return None;
        };
        let name = format!(
            "vt_{}_{}",
            std::process::id(),
            NUMBER.fetch_add(1, Ordering::Relaxed)
        );
        // Nobody is ever connected to template0, so that tests side by side do not stand in each other's way.
        run(
            &server,
            &format!("CREATE DATABASE {name} TEMPLATE template0"),
        )
        .await;
        let address = at_database(&server, &name);
        Some(Database {
            address,
            backend: Backend::Postgres,
            _folder: None,
            name,
        })
    }

    pub async fn open(&self) -> Store {
        Store::open(&self.address, key()).await.unwrap()
    }

    /// A connection that knows nothing of the store.
    pub async fn raw(&self) -> AnyConnection {
        sqlx::any::install_default_drivers();
        AnyConnection::connect(&self.address).await.unwrap()
    }

    /// Removes what a server would keep.
    pub async fn remove(self) {
        if let (Backend::Postgres, Some(server)) = (self.backend, server()) {
            run(
                &server,
                &format!("DROP DATABASE {} WITH (FORCE)", self.name),
            )
            .await;
        }
    }
}

/// The key that signs the record of a test.
pub fn key() -> Signer {
    Signer::log("vestibule.test/record", &[7; 32]).unwrap()
}

fn server() -> Option<String> {
    std::env::var("VESTIBULE_TEST_POSTGRES")
        .ok()
        .filter(|url| !url.is_empty())
}

/// The same server with another database: what stands between the last slash before `?` and the `?`.
fn at_database(url: &str, name: &str) -> String {
    let (path, query) = url
        .split_once('?')
        .map_or((url, String::new()), |(path, query)| {
            (path, format!("?{query}"))
        });
    let (host, _) = path.rsplit_once('/').unwrap();
    format!("{host}/{name}{query}")
}

async fn run(server: &str, sql: &str) {
    sqlx::any::install_default_drivers();
    let mut conn = AnyConnection::connect(server).await.unwrap();
    sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned()))
        .execute(&mut conn)
        .await
        .unwrap();
    conn.close().await.unwrap();
}

/// Every SQL text of the store that begins with `verb`: what stands in the string literals of its files.
pub fn sql_of_the_store(verb: &str) -> Vec<String> {
    let mut texts = Vec::new();
    let mut paths: Vec<_> = std::fs::read_dir("src/store")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    for path in paths {
        let source = std::fs::read_to_string(path).unwrap();
        // No SQL of the store has a double quote in it, so one ends the literal.
        for piece in source.split(&format!("\"{verb} ")).skip(1) {
            let literal = piece.split('"').next().unwrap();
            let words = literal.replace("\\\n", " ");
            texts.push(format!(
                "{verb} {}",
                words.split_whitespace().collect::<Vec<_>>().join(" ")
            ));
        }
    }
    texts
}
