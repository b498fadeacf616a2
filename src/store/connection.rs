//! A connection to the database, and how it is prepared.

use sqlx::AnyConnection;
use std::path::PathBuf;

/// Which database answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Backend {
    Sqlite,
    Postgres,
}

/// Keeps a connection to the schema in which the tables lie, or into which they would be laid, by the path that the
/// address or the server gives. A server looks into its own before any that is named, so that no schema of anybody else
/// changes what `=` says. Whatever is asked here is named with its schema: the path may lead through such a one still.
const ONE_SCHEMA: &str = "SELECT pg_catalog.set_config('search_path', \
     pg_catalog.concat(pg_catalog.quote_ident(CAST(own.schema_name AS pg_catalog.text)), ', pg_temp'), false) FROM \
     (SELECT COALESCE((SELECT n.nspname FROM pg_catalog.pg_class c \
     JOIN pg_catalog.pg_namespace n ON n.oid OPERATOR(pg_catalog.=) c.relnamespace \
     WHERE c.oid OPERATOR(pg_catalog.=) pg_catalog.to_regclass('record_head')), pg_catalog.current_schema()) \
     AS schema_name) AS own WHERE own.schema_name IS NOT NULL";

/// An open connection, as the functions of this room take it.
pub type Connection = AnyConnection;

/// Prepares a connection that may write. These settings hold for one connection only, so each is given them again.
pub(super) async fn prepare_connection(conn: &mut AnyConnection) -> Result<(), sqlx::Error> {
    let statements: &[&'static str] = if conn.backend_name().eq_ignore_ascii_case("sqlite") {
        keep_with_log(conn).await?;
        &[
            "PRAGMA synchronous = FULL",
            "PRAGMA foreign_keys = ON",
            "PRAGMA busy_timeout = 5000",
            "PRAGMA temp_store = MEMORY",
            // What is erased is overwritten with zeros in the file.
            "PRAGMA secure_delete = ON",
        ]
    } else {
        // The server, or the user's role, may be set to answer a commit before it is on the disk.
        &[ONE_SCHEMA, "SET synchronous_commit = on"]
    };
    run_all(conn, statements).await
}

/// Switches the file to a write-ahead log. Several programs that start together on a new file all try this at once, and
/// SQLite refuses at once all but one, whatever `busy_timeout` says. So we try again ourselves, for as long as that timeout.
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

/// Whether somebody else holds the file. The lowest byte of an SQLite result code is its kind.
fn is_busy(why: &sqlx::Error) -> bool {
    const BUSY: i64 = 5;
    let code = why.as_database_error().and_then(|error| error.code());
    let code = code.and_then(|code| code.parse::<i64>().ok());
    code.is_some_and(|code| code & 0xff == BUSY)
}

/// Prepares a connection that only reads: it does not even switch the file to a log.
pub(super) async fn prepare_read_only(conn: &mut AnyConnection) -> Result<(), sqlx::Error> {
    let statements: &[&'static str] = if conn.backend_name().eq_ignore_ascii_case("sqlite") {
        &[
            "PRAGMA query_only = ON",
            "PRAGMA busy_timeout = 5000",
            "PRAGMA temp_store = MEMORY",
        ]
    } else {
        &[ONE_SCHEMA, "SET default_transaction_read_only = on"]
    };
    run_all(conn, statements).await
}

async fn run_all(conn: &mut AnyConnection, statements: &[&'static str]) -> Result<(), sqlx::Error> {
    for statement in statements.iter().copied() {
        sqlx::query(statement).execute(&mut *conn).await?;
    }
    Ok(())
}

/// The file of an SQLite address; none for a server.
pub fn file_of(address: &str) -> Option<PathBuf> {
    let rest = address.strip_prefix("sqlite:")?;
    let rest = rest.strip_prefix("//").unwrap_or(rest);
    let path = rest.split(['?', '#']).next().unwrap_or_default();
    let path = percent_encoding::percent_decode_str(path)
        .decode_utf8()
        .ok()?;
    Some(PathBuf::from(path.into_owned()))
}
