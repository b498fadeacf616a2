//! Triggers that refuse to change or delete what is signed or happened, and to delete what it is about.
//!
//! They are a lock on the door, not logic: no statement of this program ever meets them. They are the
//! one place where the two databases need different words, and they are laid again at every start, whatever stands there
//! under their names.

use super::connection::Backend;
use super::error::StoreError;
use sqlx::Row;

/// Tables whose rows are written once.
const WRITTEN_ONCE: [&str; 10] = [
    "revision",
    "acknowledgement",
    "leaf",
    "tree_node",
    "party_list_version",
    "usual_set",
    "alarm",
    "settlement",
    "resumption",
    "admission",
];

/// Tables whose rows change as things go on, and never go.
const NEVER_DELETED: [&str; 8] = [
    "event",
    "party",
    "account",
    "party_list",
    "patient",
    "case_file",
    "item",
    "handoff",
];

const ONCE: &str = "this row is written once";
const NEVER: &str = "this row is never deleted";
const ERASED_ONLY: &str = "of this row only a text is erased";

/// All that are locked, each with whether its rows are written once; otherwise they only never go.
fn locked_tables() -> impl Iterator<Item = (&'static str, bool)> {
    let once = WRITTEN_ONCE.into_iter().map(|table| (table, true));
    let never = NEVER_DELETED.into_iter().map(|table| (table, false));
    once.chain(never)
}

/// Lays all of them again, or none.
pub(super) async fn install(
    conn: &mut sqlx::AnyConnection,
    backend: Backend,
) -> Result<(), StoreError> {
    // A file in which they stand as they should is not written to: a start that is refused leaves it byte for byte.
    if backend == Backend::Sqlite && stand_in_file(conn).await? {
        return Ok(());
    }
    let begin: &[&str] = match backend {
        Backend::Sqlite => &["BEGIN IMMEDIATE"],
        // Whoever writes waits for this row first, so that nobody holds half of what is locked here.
        Backend::Postgres => &["BEGIN", "UPDATE record_head SET size = size WHERE id = 1"],
    };
    for sql in begin {
        run(conn, (*sql).to_owned()).await?;
    }
    let laid = lay(conn, backend).await;
    let end = if laid.is_ok() { "COMMIT" } else { "ROLLBACK" };
    let ended = run(conn, end.to_owned()).await;
    laid.and(ended)
}

/// The triggers of a file, each with what makes it.
fn in_file() -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = locked_tables()
        .flat_map(|(table, is_once)| locks_of(table, is_once))
        .collect();
    all.push((EVENT_LOCK.to_owned(), event_lock()));
    all
}

/// Whether a file has these, and none that an earlier version has laid in their place.
async fn stand_in_file(conn: &mut sqlx::AnyConnection) -> Result<bool, StoreError> {
    let sql = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'";
    let rows = sqlx::query(sql).fetch_all(conn).await?;
    let mut found = Vec::new();
    for row in &rows {
        found.push((row.try_get::<String, _>(0)?, row.try_get::<String, _>(1)?));
    }
    let wanted = in_file();
    let is_old = |(name, _): &(String, String)| name == OLD_EVENT_LOCK;
    Ok(!found.iter().any(is_old) && wanted.iter().all(|one| found.contains(one)))
}

async fn lay(conn: &mut sqlx::AnyConnection, backend: Backend) -> Result<(), StoreError> {
    if backend == Backend::Postgres {
        for (name, why) in [("written_once", ONCE), ("never_deleted", NEVER)] {
            run(conn, function(name, &refusing(why))).await?;
        }
    }
    for (table, is_once) in locked_tables() {
        match backend {
            Backend::Sqlite => sqlite_locks(conn, table, is_once).await?,
            Backend::Postgres => postgres_lock(conn, table, is_once).await?,
        }
    }
    lock_events(conn, backend).await
}

/// A trigger as a server has it, and the function that it calls.
pub(super) struct ServerLock {
    pub name: String,
    pub table: String,
    pub function: String,
    pub body: String,
    pub on_update: bool,
    pub on_delete: bool,
}

impl ServerLock {
    /// All that makes it what it is, in one text.
    pub(super) fn words(&self) -> String {
        let words: Vec<&str> = self.body.split_whitespace().collect();
        format!(
            "{} {} {} {} {}",
            self.table,
            self.on_update,
            self.on_delete,
            self.function,
            words.join(" ")
        )
    }
}

/// Every trigger that a server has after [`install`].
pub(super) fn on_server() -> Vec<ServerLock> {
    let lock = |(table, is_once): (&'static str, bool)| {
        let (function, why) = match is_once {
            true => ("written_once", ONCE),
            false => ("never_deleted", NEVER),
        };
        ServerLock {
            name: format!("{table}_{function}"),
            table: table.to_owned(),
            function: function.to_owned(),
            body: refusing(why),
            on_update: is_once,
            on_delete: true,
        }
    };
    let mut locks: Vec<ServerLock> = locked_tables().map(lock).collect();
    locks.push(ServerLock {
        name: "event_only_erased".to_owned(),
        table: "event".to_owned(),
        function: "only_erased".to_owned(),
        body: erasing_only(),
        on_update: true,
        on_delete: false,
    });
    locks
}

/// The body of a function of a server that refuses with these words.
fn refusing(why: &str) -> String {
    format!("BEGIN RAISE EXCEPTION '{why}'; END")
}

/// The body of the one that lets nothing but erasing through.
fn erasing_only() -> String {
    format!("BEGIN IF {OTHER} THEN RAISE EXCEPTION '{ERASED_ONLY}'; END IF; RETURN NEW; END")
}

/// What is no erasing of a text that stands as being erased.
const OTHER: &str = "OLD.case_number <> NEW.case_number OR OLD.position <> NEW.position OR OLD.id <> NEW.id \
                     OR OLD.at_ms <> NEW.at_ms OR OLD.kind <> NEW.kind \
                     OR NOT EXISTS (SELECT 1 FROM erasing WHERE event_id = OLD.id)";

/// Makes a function of a server; its body stands in quotes.
fn function(name: &str, body: &str) -> String {
    let body = body.replace('\'', "''");
    format!("CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS '{body}'")
}

/// An event is written once too, but that a free text of it can be erased: then its id stands in `erasing`,
/// and all but its text stays.
async fn lock_events(conn: &mut sqlx::AnyConnection, backend: Backend) -> Result<(), StoreError> {
    let sql = match backend {
        Backend::Sqlite => vec![
            format!("DROP TRIGGER IF EXISTS {OLD_EVENT_LOCK}"),
            format!("DROP TRIGGER IF EXISTS {EVENT_LOCK}"),
            event_lock(),
        ],
        Backend::Postgres => vec![
            "DROP TRIGGER IF EXISTS event_written_once ON event".to_owned(),
            function("only_erased", &erasing_only()),
            "CREATE OR REPLACE TRIGGER event_only_erased BEFORE UPDATE ON event \
             FOR EACH ROW EXECUTE FUNCTION only_erased()"
                .to_owned(),
            "ALTER TABLE event ENABLE TRIGGER event_only_erased".to_owned(),
        ],
    };
    for one in sql {
        run(conn, one).await?;
    }
    Ok(())
}

async fn sqlite_locks(
    conn: &mut sqlx::AnyConnection,
    table: &str,
    is_once: bool,
) -> Result<(), StoreError> {
    for (name, sql) in locks_of(table, is_once) {
        run(conn, format!("DROP TRIGGER IF EXISTS {name}")).await?;
        run(conn, sql).await?;
    }
    Ok(())
}

/// The triggers of one table of a file, each with what makes it.
fn locks_of(table: &str, is_once: bool) -> Vec<(String, String)> {
    let (statements, why) = match is_once {
        true => (["UPDATE", "DELETE"].as_slice(), ONCE),
        false => (["DELETE"].as_slice(), NEVER),
    };
    let lock = |statement: &&str| {
        let name = format!("{table}_no_{statement}");
        let sql = format!(
            "CREATE TRIGGER {name} BEFORE {statement} ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END"
        );
        (name, sql)
    };
    statements.iter().map(lock).collect()
}

/// What lets nothing but erasing through, in a file.
const EVENT_LOCK: &str = "event_only_erased";
/// Of an earlier version: it let nothing through.
const OLD_EVENT_LOCK: &str = "event_no_UPDATE";

fn event_lock() -> String {
    format!(
        "CREATE TRIGGER {EVENT_LOCK} BEFORE UPDATE ON event WHEN {OTHER} BEGIN SELECT RAISE(ABORT, '{ERASED_ONLY}'); END"
    )
}

async fn postgres_lock(
    conn: &mut sqlx::AnyConnection,
    table: &str,
    is_once: bool,
) -> Result<(), StoreError> {
    let (name, statements) = if is_once {
        ("written_once", "BEFORE UPDATE OR DELETE OR TRUNCATE")
    } else {
        ("never_deleted", "BEFORE DELETE OR TRUNCATE")
    };
    let sql = format!(
        "CREATE OR REPLACE TRIGGER {table}_{name} {statements} ON {table} \
         FOR EACH STATEMENT EXECUTE FUNCTION {name}()"
    );
    run(conn, sql).await?;
    // One that was switched off.
    run(
        conn,
        format!("ALTER TABLE {table} ENABLE TRIGGER {table}_{name}"),
    )
    .await
}

async fn run(conn: &mut sqlx::AnyConnection, sql: String) -> Result<(), StoreError> {
    // The text is built from the constants above only.
    sqlx::query(sqlx::AssertSqlSafe(sql)).execute(conn).await?;
    Ok(())
}
