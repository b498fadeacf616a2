//! Triggers that refuse to change or delete what is signed or happened.
//!
//! They are a lock on the door, not logic: no statement of this program ever meets them. They are the
//! one place where the two databases need different words, and they are laid again at every start.

use super::{Backend, Store, StoreError};

/// Tables whose rows are written once.
const WRITTEN_ONCE: [&str; 7] = [
    "revision",
    "acknowledgement",
    "event",
    "leaf",
    "tree_node",
    "alarm",
    "settlement",
];

pub(super) async fn install(store: &Store) -> Result<(), StoreError> {
    let mut conn = store.read().await?;
    if store.backend() == Backend::Postgres {
        run(
            &mut conn,
            "CREATE OR REPLACE FUNCTION written_once() RETURNS trigger LANGUAGE plpgsql AS \
             'BEGIN RAISE EXCEPTION ''this row is written once''; END'"
                .to_owned(),
        )
        .await?;
    }
    for table in WRITTEN_ONCE {
        match store.backend() {
            Backend::Sqlite => {
                for deed in ["UPDATE", "DELETE"] {
                    run(
                        &mut conn,
                        format!(
                            "CREATE TRIGGER IF NOT EXISTS {table}_no_{deed} BEFORE {deed} ON {table} \
                             BEGIN SELECT RAISE(ABORT, 'this row is written once'); END"
                        ),
                    )
                    .await?;
                }
            }
            Backend::Postgres => {
                run(
                    &mut conn,
                    format!(
                        "CREATE OR REPLACE TRIGGER {table}_written_once BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} \
                         FOR EACH STATEMENT EXECUTE FUNCTION written_once()"
                    ),
                )
                .await?;
            }
        }
    }
    Ok(())
}

async fn run(conn: &mut sqlx::AnyConnection, sql: String) -> Result<(), StoreError> {
    // The text is built from the constants above only.
    sqlx::query(sqlx::AssertSqlSafe(sql)).execute(conn).await?;
    Ok(())
}
