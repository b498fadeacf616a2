//! Tables that are not as this program makes them.

use crate::bed::{Bed, event, leaf};
use crate::databases;
use vestibule::store::{Backend, Store, StoreError, custody, people, record};

async fn differences(bed: &Bed) -> Vec<String> {
    let mut conn = bed.read().await;
    bed.store.tables_differ(&mut conn).await.unwrap()
}

/// What somebody has done to the tables, and what is said of it.
const CHANGES: [(Option<Backend>, &str, &str); 24] = [
    (None, "DROP INDEX leaf_case", "index leaf_case is missing"),
    (
        None,
        "CREATE UNIQUE INDEX one_kind ON event (kind)",
        "index one_kind that this program does not make",
    ),
    (
        None,
        "DROP INDEX handoff_case; CREATE INDEX handoff_case ON handoff (state)",
        "index handoff_case is not as",
    ),
    (None, "ALTER TABLE draft ADD COLUMN more TEXT", "draft"),
    (None, "CREATE TABLE another (id TEXT)", "another"),
    (None, "DROP TABLE sign_in_failure", "sign_in_failure"),
    (
        Some(Backend::Sqlite),
        "DROP TRIGGER leaf_no_UPDATE",
        "trigger leaf_no_UPDATE is missing",
    ),
    (
        Some(Backend::Sqlite),
        "CREATE TRIGGER swallow BEFORE INSERT ON event BEGIN SELECT RAISE(IGNORE); END",
        "trigger swallow that this program does not make",
    ),
    (
        Some(Backend::Sqlite),
        "DROP TRIGGER party_no_DELETE; CREATE TRIGGER party_no_DELETE BEFORE DELETE ON party BEGIN SELECT 1; END",
        "trigger party_no_DELETE is not as",
    ),
    (
        Some(Backend::Postgres),
        "DROP TRIGGER leaf_written_once ON leaf",
        "trigger leaf_written_once is missing",
    ),
    (
        Some(Backend::Postgres),
        "ALTER TABLE revision DISABLE TRIGGER revision_written_once",
        "trigger revision_written_once is not as",
    ),
    (
        Some(Backend::Postgres),
        "CREATE OR REPLACE FUNCTION never_deleted() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN OLD; END'",
        "trigger party_never_deleted is not as",
    ),
    (
        Some(Backend::Postgres),
        "CREATE FUNCTION swallow() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NULL; END'; \
         CREATE TRIGGER swallow BEFORE INSERT ON event FOR EACH ROW EXECUTE FUNCTION swallow()",
        "trigger swallow that this program does not make",
    ),
    (
        Some(Backend::Postgres),
        "ALTER TABLE draft ALTER COLUMN version TYPE INTEGER",
        "column draft.version is not as",
    ),
    // What a server has beside columns, indexes and triggers.
    (
        Some(Backend::Postgres),
        "ALTER TABLE account DROP CONSTRAINT account_login_key",
        "UNIQUE (login) of account is missing",
    ),
    (
        Some(Backend::Postgres),
        "ALTER TABLE session DROP CONSTRAINT session_pkey",
        "PRIMARY KEY (secret_hash) of session is missing",
    ),
    (
        Some(Backend::Postgres),
        "CREATE FUNCTION any_text(t TEXT) RETURNS BOOLEAN LANGUAGE sql AS 'SELECT TRUE'; \
         ALTER TABLE leaf ADD CHECK (any_text(body))",
        "check CHECK (any_text(body)) of leaf that this program does not make",
    ),
    (
        Some(Backend::Postgres),
        "ALTER TABLE alarm ENABLE ROW LEVEL SECURITY",
        "row security of alarm that this program does not make",
    ),
    (
        Some(Backend::Postgres),
        "CREATE POLICY hide ON leaf USING (number <> 5)",
        "policy hide of leaf that this program does not make",
    ),
    (
        Some(Backend::Postgres),
        "CREATE SCHEMA aside; CREATE TABLE aside.more () INHERITS (event)",
        "child table aside.more of event that this program does not make",
    ),
    (
        Some(Backend::Postgres),
        "ALTER TABLE party ALTER COLUMN profile SET DEFAULT 'other'",
        "default of party.profile is not as",
    ),
    (
        Some(Backend::Postgres),
        "CREATE DOMAIN short_text AS TEXT CHECK (length(VALUE) < 99); \
         ALTER TABLE draft_edit ALTER COLUMN field TYPE short_text",
        "domain of draft_edit.field that this program does not make",
    ),
    (
        None,
        "ALTER TABLE known_browser RENAME TO kept_aside; CREATE VIEW known_browser AS SELECT * FROM kept_aside",
        "view of known_browser that this program does not make",
    ),
    (
        Some(Backend::Postgres),
        "ALTER TABLE event SET UNLOGGED",
        "The table event is UNLOGGED: a crash of the server empties it",
    ),
];

pub async fn r13_tables_that_are_not_as_they_are_made_are_named(bed: &Bed) {
    assert_eq!(differences(bed).await, Vec::<String>::new());
    for (of, sql, words) in CHANGES {
        if of.is_some_and(|of| of != bed.database.backend) {
            continue;
        }
        let before = differences(bed).await;
        bed.past_the_store(sql).await.unwrap();
        let mut said = differences(bed).await;
        said.retain(|one| !before.contains(one));
        assert!(
            said.iter().any(|one| one.contains(words)),
            "{sql}: {said:?}"
        );
    }
}

pub async fn r13_the_list_of_steps_is_held_against_those_that_are_known(bed: &Bed) {
    let open = || async { Store::open(&bed.database.address, databases::key()).await };
    bed.past_the_store(
        "UPDATE _sqlx_migrations SET checksum = (SELECT checksum FROM _sqlx_migrations WHERE version = 2)",
    )
    .await
    .unwrap();
    let said = differences(bed).await;
    assert!(
        said.iter()
            .any(|one| one.contains("is not the one that this program makes")),
        "{said:?}"
    );
    let refused = open().await.unwrap_err();
    assert!(matches!(refused, StoreError::OtherStep(_)), "{refused}");
    bed.past_the_store("UPDATE _sqlx_migrations SET version = 9000 WHERE version = 12")
        .await
        .unwrap();
    let read_only = Store::open_read_only(&bed.database.address, databases::key(), None).await;
    for refused in [open().await.unwrap_err(), read_only.unwrap_err()] {
        let words = refused.to_string();
        assert!(
            words.contains("a newer version of this program has made this database")
                && words.contains("step 9000")
                && words.contains("Use the newer version"),
            "{words}"
        );
    }
    bed.past_the_store("DELETE FROM _sqlx_migrations")
        .await
        .unwrap();
    let said = differences(bed).await;
    assert_eq!(
        said,
        ["The list of the steps that have made the tables is empty."]
    );
}

/// A trigger that takes a row and keeps nothing.
fn swallow(backend: Backend, table: &str) -> [String; 2] {
    match backend {
        Backend::Sqlite => [
            format!(
                "CREATE TRIGGER swallow BEFORE INSERT ON {table} BEGIN SELECT RAISE(IGNORE); END"
            ),
            "DROP TRIGGER swallow".to_owned(),
        ],
        Backend::Postgres => [
            format!(
                "CREATE FUNCTION swallow() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NULL; END'; \
                 CREATE TRIGGER swallow BEFORE INSERT ON {table} FOR EACH ROW EXECUTE FUNCTION swallow()"
            ),
            format!("DROP TRIGGER swallow ON {table}; DROP FUNCTION swallow()"),
        ],
    }
}

pub async fn what_the_database_takes_and_does_not_keep_is_refused(bed: &Bed) {
    let case = bed.with_a_case().await;
    for table in ["leaf", "leaf_salt", "event", "sign_in_failure"] {
        let [laid, gone] = swallow(bed.database.backend, table);
        bed.past_the_store(&laid).await.unwrap();
        let mut tx = bed.tx().await;
        let answer = match table {
            "event" => custody::append_event(&mut tx, &event(&case, 0), 0).await,
            "sign_in_failure" => {
                people::set_failures(&mut tx, "a name", people::Failures::default()).await
            }
            _ => record::append(&mut tx, &leaf(&case, 1)).await.map(|_| ()),
        };
        let refused = answer.unwrap_err();
        assert!(matches!(refused, StoreError::NotKept(_)), "{refused}");
        drop(tx);
        bed.past_the_store(&gone).await.unwrap();
    }
}

pub async fn what_is_laid_while_a_program_runs_is_found_by_its_next_look(bed: &Bed) {
    bed.with_a_case().await;
    let said = async || {
        bed.store.look_at_tables().await.unwrap();
        bed.store.unlike()
    };
    assert_eq!(said().await, Vec::<String>::new());
    let [laid, gone] = swallow(bed.database.backend, "event");
    // What makes the program slow stands behind it.
    for sql in ["CREATE INDEX one_more ON event (kind)", laid.as_str()] {
        bed.past_the_store(sql).await.unwrap();
    }
    let found = said().await;
    assert!(found[0].contains("trigger swallow"), "{found:?}");
    for sql in ["DROP INDEX one_more", gone.as_str()] {
        bed.past_the_store(sql).await.unwrap();
    }
    assert_eq!(said().await, Vec::<String>::new());
    if bed.database.backend == Backend::Postgres {
        return;
    }
    // An index that leaves the one case out, and says that it has all: no list has it then.
    for (from, to) in [
        ("", " WHERE closed > 9"),
        (" WHERE closed > 9", ""),
        ("lab_turn, lab_day", "lab_day, lab_turn"),
        ("lab_day, lab_turn", "lab_turn, lab_day"),
    ] {
        let new = match from {
            "" => format!("sql || '{to}'"),
            _ => format!("replace(sql, '{from}', '{to}')"),
        };
        let write = format!(
            "PRAGMA writable_schema = ON; UPDATE sqlite_master SET sql = {new} WHERE name = 'case_file_lab_turn'"
        );
        bed.past_the_store(&write).await.unwrap();
        let is_right = to.is_empty() || to.starts_with("lab_turn");
        if !is_right {
            bed.past_the_store("REINDEX case_file_lab_turn")
                .await
                .unwrap();
            continue;
        }
        let found = said().await.join(" ");
        assert!(found.contains("an index of case_file"), "{found}");
        bed.past_the_store("REINDEX case_file_lab_turn")
            .await
            .unwrap();
        assert_eq!(said().await, Vec::<String>::new());
    }
}

/// What somebody has made of a lock of ours, or put beside them.
pub async fn a_start_lays_its_triggers_again_and_refuses_those_that_are_none_of_ours(bed: &Bed) {
    let open = || async { Store::open(&bed.database.address, databases::key()).await };
    let toothless = match bed.database.backend {
        Backend::Sqlite => {
            "DROP TRIGGER event_only_erased; \
             CREATE TRIGGER event_only_erased BEFORE UPDATE ON event WHEN 0 BEGIN SELECT 1; END; \
             DROP TRIGGER leaf_no_DELETE; DROP TRIGGER party_no_DELETE; \
             CREATE TRIGGER party_no_DELETE BEFORE DELETE ON party BEGIN SELECT 1; END"
        }
        Backend::Postgres => {
            "CREATE OR REPLACE FUNCTION only_erased() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'; \
             DROP TRIGGER leaf_written_once ON leaf; ALTER TABLE revision DISABLE TRIGGER revision_written_once"
        }
    };
    bed.past_the_store(toothless).await.unwrap();
    assert!(differences(bed).await.len() >= 3);
    open().await.unwrap().close().await;
    assert_eq!(differences(bed).await, Vec::<String>::new());
    // One that changes what is entered, by any name; SQLite keeps some for itself, and this is none of them.
    let (made, gone) = match bed.database.backend {
        Backend::Sqlite => (
            "CREATE TRIGGER asqlx_tamper AFTER INSERT ON event WHEN new.kind = 'asked' BEGIN \
             UPDATE event SET body = replace(body, 'left', 'right') WHERE id = new.id; END",
            "DROP TRIGGER asqlx_tamper",
        ),
        Backend::Postgres => (
            "CREATE FUNCTION tamper() RETURNS trigger LANGUAGE plpgsql AS \
             'BEGIN NEW.body = replace(NEW.body, ''left'', ''right''); RETURN NEW; END'; \
             CREATE TRIGGER asqlx_tamper BEFORE INSERT ON event FOR EACH ROW EXECUTE FUNCTION tamper()",
            "DROP TRIGGER asqlx_tamper ON event; DROP FUNCTION tamper()",
        ),
    };
    bed.past_the_store(made).await.unwrap();
    let refused = open().await.unwrap_err();
    let words = refused.to_string();
    assert!(
        matches!(refused, StoreError::Foreign(_))
            && words.contains("trigger asqlx_tamper that this program does not make")
            && words.contains("vestibule check"),
        "{words}"
    );
    bed.past_the_store(gone).await.unwrap();
    if bed.database.backend == Backend::Postgres {
        let made = "CREATE RULE swallow AS ON INSERT TO event DO INSTEAD NOTHING";
        bed.past_the_store(made).await.unwrap();
        let refused = open().await.unwrap_err().to_string();
        assert!(refused.contains("rule swallow of event"), "{refused}");
        bed.past_the_store("DROP RULE swallow ON event")
            .await
            .unwrap();
    }
    if bed.database.backend == Backend::Postgres {
        // A table without a log is emptied by a crash; a session that plays a replica fires no lock.
        let set = |what: &str| {
            format!(
                "DO $$ BEGIN EXECUTE format('ALTER DATABASE %I {what}', current_database()); END $$"
            )
        };
        for (made, words, gone) in [
            (
                "ALTER TABLE event SET UNLOGGED".to_owned(),
                "The table event is UNLOGGED",
                "ALTER TABLE event SET LOGGED".to_owned(),
            ),
            (
                set("SET session_replication_role = replica"),
                "session_replication_role says replica",
                set("RESET session_replication_role"),
            ),
        ] {
            bed.past_the_store(&made).await.unwrap();
            let refused = open().await.unwrap_err();
            assert!(
                matches!(&refused, StoreError::Foreign(said) if said.contains(words)),
                "{refused}"
            );
            bed.past_the_store(&gone).await.unwrap();
        }
    }
    let seen = "ALTER TABLE known_browser RENAME TO kept_aside; CREATE VIEW known_browser AS SELECT * FROM kept_aside";
    bed.past_the_store(seen).await.unwrap();
    let refused = open().await.unwrap_err();
    assert!(
        matches!(&refused, StoreError::Foreign(said) if said.contains("known_browser")),
        "{refused}"
    );
    bed.past_the_store("DROP VIEW known_browser; ALTER TABLE kept_aside RENAME TO known_browser")
        .await
        .unwrap();
    // What makes it slow, or refuses a row, locks nobody out: it is said.
    bed.past_the_store("CREATE INDEX one_more ON event (kind)")
        .await
        .unwrap();
    let store = open().await.unwrap();
    let said = store.unlike().join(" ");
    assert!(said.contains("index one_more"), "{said}");
    store.close().await;
}

pub async fn a_policy_that_hides_a_row_was_not_said_at_the_start(bed: &Bed) {
    if bed.database.backend == Backend::Sqlite {
        return;
    }
    let open = || async { Store::open(&bed.database.address, databases::key()).await };
    for (made, gone, words) in [
        (
            "CREATE POLICY hide ON leaf USING (current_query() NOT LIKE '%case_number = %' OR number <> 5); \
             ALTER TABLE leaf ENABLE ROW LEVEL SECURITY; ALTER TABLE leaf FORCE ROW LEVEL SECURITY",
            "DROP POLICY hide ON leaf; ALTER TABLE leaf DISABLE ROW LEVEL SECURITY; \
             ALTER TABLE leaf NO FORCE ROW LEVEL SECURITY",
            "policy hide of leaf",
        ),
        (
            "ALTER TABLE alarm ENABLE ROW LEVEL SECURITY",
            "ALTER TABLE alarm DISABLE ROW LEVEL SECURITY",
            "row security of alarm",
        ),
        (
            "CREATE SCHEMA aside; CREATE TABLE aside.more () INHERITS (event)",
            "DROP SCHEMA aside CASCADE",
            "child table aside.more of event",
        ),
    ] {
        bed.past_the_store(made).await.unwrap();
        let refused = open().await.unwrap_err();
        assert!(
            matches!(&refused, StoreError::Foreign(said) if said.contains(words)),
            "{refused}"
        );
        bed.past_the_store(gone).await.unwrap();
    }
    open().await.unwrap().close().await;
}

pub async fn a_server_that_may_only_be_read_said_so_in_its_own_words(bed: &Bed) {
    if bed.database.backend == Backend::Sqlite {
        return;
    }
    bed.past_the_store(
        "DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET default_transaction_read_only = on', \
         current_database()); END $$",
    )
    .await
    .unwrap();
    let refused = Store::open(&bed.database.address, databases::key()).await;
    let words = refused.unwrap_err().to_string();
    assert!(
        words.contains("lets this program read only") && !words.contains("the database refuses"),
        "{words}"
    );
}
