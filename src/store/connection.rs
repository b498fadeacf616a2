//! A connection, and what each needs before its first use.

use sqlx::AnyConnection;
use std::path::PathBuf;

/// Which database answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Backend {
    Sqlite,
    Postgres,
}

/// An open connection, as the functions of this room take it.
pub type Connection = AnyConnection;

/// What every connection needs before its first use; both databases forget these with each connection.
pub(super) async fn prepare_connection(conn: &mut AnyConnection) -> Result<(), sqlx::Error> {
    let statements: &[&'static str] = if conn.backend_name().eq_ignore_ascii_case("sqlite") {
        &[
            "PRAGMA journal_mode = WAL",
            "PRAGMA synchronous = FULL",
            "PRAGMA foreign_keys = ON",
            "PRAGMA busy_timeout = 5000",
            "PRAGMA temp_store = MEMORY",
            // What is erased is overwritten in the file too.
            "PRAGMA secure_delete = ON",
        ]
    } else {
        // A server or a role may be set to answer before a commit is on the disk.
        &["SET synchronous_commit = on"]
    };
    run_all(conn, statements).await
}

/// The same for a connection that only looks: it changes nothing, not even how the file is kept.
pub(super) async fn prepare_read_only(conn: &mut AnyConnection) -> Result<(), sqlx::Error> {
    let statements: &[&'static str] = if conn.backend_name().eq_ignore_ascii_case("sqlite") {
        &[
            "PRAGMA query_only = ON",
            "PRAGMA busy_timeout = 5000",
            "PRAGMA temp_store = MEMORY",
        ]
    } else {
        &["SET default_transaction_read_only = on"]
    };
    run_all(conn, statements).await
}

async fn run_all(conn: &mut AnyConnection, statements: &[&'static str]) -> Result<(), sqlx::Error> {
    for statement in statements.iter().copied() {
        sqlx::query(statement).execute(&mut *conn).await?;
    }
    Ok(())
}

/// The file that an address of SQLite names.
pub fn file_of(address: &str) -> Option<PathBuf> {
    let rest = address.strip_prefix("sqlite:")?;
    let rest = rest.strip_prefix("//").unwrap_or(rest);
    let path = rest.split(['?', '#']).next().unwrap_or_default();
    let path = percent_encoding::percent_decode_str(path)
        .decode_utf8()
        .ok()?;
    Some(PathBuf::from(path.into_owned()))
}
