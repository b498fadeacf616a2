//! A connection, and what each needs before its first use.

use sqlx::AnyConnection;

/// Which database answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Backend {
    Sqlite,
    Postgres,
}

/// An open connection, as the functions of this room take it.
pub type Connection = AnyConnection;

/// What every connection needs before its first use; SQLite forgets these with each connection.
pub(super) async fn prepare_connection(conn: &mut AnyConnection) -> Result<(), sqlx::Error> {
    if conn.backend_name().eq_ignore_ascii_case("sqlite") {
        for pragma in [
            "PRAGMA journal_mode = WAL",
            "PRAGMA synchronous = FULL",
            "PRAGMA foreign_keys = ON",
            "PRAGMA busy_timeout = 5000",
            "PRAGMA temp_store = MEMORY",
            // What is erased is overwritten in the file too.
            "PRAGMA secure_delete = ON",
        ] {
            sqlx::query(pragma).execute(&mut *conn).await?;
        }
    }
    Ok(())
}
