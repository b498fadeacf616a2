//! Triggers that refuse to change or delete what is signed or happened, and to delete what it is about.
//!
//! They are a lock on the door, not logic: no statement of this program ever meets them. They are the
//! one place where the two databases need different words, and they are laid again at every start.

use super::{Backend, Store, StoreError};

/// Tables whose rows are written once.
const WRITTEN_ONCE: [&str; 8] = [
    "revision",
    "acknowledgement",
    "event",
    "leaf",
    "tree_node",
    "party_list_version",
    "alarm",
    "settlement",
];

/// Tables whose rows change as things go on, and never go.
const NEVER_DELETED: [&str; 7] = [
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

pub(super) async fn install(store: &Store) -> Result<(), StoreError> {
    let mut conn = store.read().await?;
    if store.backend() == Backend::Postgres {
        for (name, why) in [("written_once", ONCE), ("never_deleted", NEVER)] {
            let sql = format!(
                "CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS \
                 'BEGIN RAISE EXCEPTION ''{why}''; END'"
            );
            run(&mut conn, sql).await?;
        }
    }
    let once = WRITTEN_ONCE.iter().map(|table| (table, true));
    let never = NEVER_DELETED.iter().map(|table| (table, false));
    for (table, is_once) in once.chain(never) {
        match store.backend() {
            Backend::Sqlite => sqlite_locks(&mut conn, table, is_once).await?,
            Backend::Postgres => postgres_lock(&mut conn, table, is_once).await?,
        }
    }
    Ok(())
}

async fn sqlite_locks(
    conn: &mut sqlx::AnyConnection,
    table: &str,
    is_once: bool,
) -> Result<(), StoreError> {
    let (deeds, why) = if is_once {
        (["UPDATE", "DELETE"].as_slice(), ONCE)
    } else {
        (["DELETE"].as_slice(), NEVER)
    };
    for deed in deeds {
        let sql = format!(
            "CREATE TRIGGER IF NOT EXISTS {table}_no_{deed} BEFORE {deed} ON {table} \
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
    let (name, deeds) = if is_once {
        ("written_once", "BEFORE UPDATE OR DELETE OR TRUNCATE")
    } else {
        ("never_deleted", "BEFORE DELETE OR TRUNCATE")
    };
    let sql = format!(
        "CREATE OR REPLACE TRIGGER {table}_{name} {deeds} ON {table} \
         FOR EACH STATEMENT EXECUTE FUNCTION {name}()"
    );
    run(conn, sql).await
}

async fn run(conn: &mut sqlx::AnyConnection, sql: String) -> Result<(), StoreError> {
    // The text is built from the constants above only.
    sqlx::query(sqlx::AssertSqlSafe(sql)).execute(conn).await?;
    Ok(())
}
