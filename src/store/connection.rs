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
        keep_with_log(conn).await?;
        &[
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

/// A new file is kept with a log from here on. Of several programs that begin one together each has read it before it
/// changes this, so that SQLite lets none of them wait for another, whatever its timeout is: here they wait, as long as
/// for anything else.
async fn keep_with_log(conn: &mut AnyConnection) -> Result<(), sqlx::Error> {
    const TRIES: u32 = 500;
    const PAUSE: std::time::Duration = std::time::Duration::from_millis(10);
    let statements = &["PRAGMA busy_timeout = 0", "PRAGMA journal_mode = WAL"];
    for _ in 0..TRIES {
        match run_all(conn, statements).await {
            Err(why) if is_busy(&why) => tokio::time::sleep(PAUSE).await,
            done => return done,
        }
    }
    run_all(conn, statements).await
}

/// Whether somebody else holds the file: the lowest byte of SQLite's result codes is the kind.
fn is_busy(why: &sqlx::Error) -> bool {
    const BUSY: i64 = 5;
    let code = why.as_database_error().and_then(|error| error.code());
    let code = code.and_then(|code| code.parse::<i64>().ok());
    code.is_some_and(|code| code & 0xff == BUSY)
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
