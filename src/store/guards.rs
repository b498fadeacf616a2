//! Triggers that refuse to change or delete what is signed or happened, and to delete what it is about.
//!
//! They are a lock on the door, not logic: no statement of this program ever meets them. They are the
//! one place where the two databases need different words, and they are laid again at every start.

use super::connection::Backend;
use super::error::StoreError;

/// Tables whose rows are written once.
const WRITTEN_ONCE: [&str; 9] = [
    "revision",
    "acknowledgement",
    "leaf",
    "tree_node",
    "party_list_version",
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

pub(super) async fn install(
    conn: &mut sqlx::AnyConnection,
    backend: Backend,
) -> Result<(), StoreError> {
    if backend == Backend::Postgres {
        for (name, why) in [("written_once", ONCE), ("never_deleted", NEVER)] {
            let sql = format!(
                "CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS \
                 'BEGIN RAISE EXCEPTION ''{why}''; END'"
            );
            run(conn, sql).await?;
        }
    }
    let once = WRITTEN_ONCE.iter().map(|table| (table, true));
    let never = NEVER_DELETED.iter().map(|table| (table, false));
    for (table, is_once) in once.chain(never) {
        match backend {
            Backend::Sqlite => sqlite_locks(conn, table, is_once).await?,
            Backend::Postgres => postgres_lock(conn, table, is_once).await?,
        }
    }
    lock_events(conn, backend).await
}

/// An event is written once too, but that a free text of it can be erased: then its id stands in `erasing`,
/// and all but its text stays.
async fn lock_events(conn: &mut sqlx::AnyConnection, backend: Backend) -> Result<(), StoreError> {
    const OTHER: &str = "OLD.case_number <> NEW.case_number OR OLD.position <> NEW.position OR OLD.id <> NEW.id \
                         OR OLD.at_ms <> NEW.at_ms OR OLD.kind <> NEW.kind \
                         OR NOT EXISTS (SELECT 1 FROM erasing WHERE event_id = OLD.id)";
    let sql = match backend {
        Backend::Sqlite => vec![
            // Of an earlier version: it let nothing through.
            "DROP TRIGGER IF EXISTS event_no_UPDATE".to_owned(),
            format!(
                "CREATE TRIGGER IF NOT EXISTS event_only_erased BEFORE UPDATE ON event WHEN {OTHER} \
                 BEGIN SELECT RAISE(ABORT, '{ERASED_ONLY}'); END"
            ),
        ],
        Backend::Postgres => vec![
            "DROP TRIGGER IF EXISTS event_written_once ON event".to_owned(),
            format!(
                "CREATE OR REPLACE FUNCTION only_erased() RETURNS trigger LANGUAGE plpgsql AS \
                 'BEGIN IF {OTHER} THEN RAISE EXCEPTION ''{ERASED_ONLY}''; END IF; RETURN NEW; END'"
            ),
            "CREATE OR REPLACE TRIGGER event_only_erased BEFORE UPDATE ON event \
             FOR EACH ROW EXECUTE FUNCTION only_erased()"
                .to_owned(),
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
    let (statements, why) = if is_once {
        (["UPDATE", "DELETE"].as_slice(), ONCE)
    } else {
        (["DELETE"].as_slice(), NEVER)
    };
    for statement in statements {
        let sql = format!(
            "CREATE TRIGGER IF NOT EXISTS {table}_no_{statement} BEFORE {statement} ON {table} \
             BEGIN SELECT RAISE(ABORT, '{why}'); END"
        );
        run(conn, sql).await?;
    }
    Ok(())
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
    run(conn, sql).await
}

async fn run(conn: &mut sqlx::AnyConnection, sql: String) -> Result<(), StoreError> {
    // The text is built from the constants above only.
    sqlx::query(sqlx::AssertSqlSafe(sql)).execute(conn).await?;
    Ok(())
}
