//! The tables as the migrations make them, and what of a database is not so.
//!
//! A lost index only makes the program slow, but a trigger that swallows a row, or one that no longer refuses a
//! change, makes it wrong in silence. So the tables are made afresh in memory, and the two are compared.

use super::connection::{Backend, Connection};
use super::error::StoreError;
use super::guards;
use sqlx::migrate::{Migration, MigrationType, Migrator};
use sqlx::{Connection as _, Row, SqlSafeStr};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

macro_rules! steps {
    ($($version:literal $name:literal),* $(,)?) => {
        [$((
            $version,
            $name,
            include_str!(concat!("../../migrations/", $version, "_", $name, ".sql")),
        )),*]
    };
}

/// Number, name and text of each file in `migrations/`. The library's macro that reads the folder would have it, and
/// the C code of SQLite with it, compiled once more for the compiler itself.
const STEPS: &[(&str, &str, &str)] = &steps![
    "0001" "people",
    "0002" "cases",
    "0003" "custody",
    "0004" "lists",
    "0005" "profiles",
    "0006" "record",
    "0007" "custody",
    "0008" "witness",
    "0009" "erasing",
    "0010" "codes",
    "0011" "resumption",
    "0012" "clock",
    "0013" "doors",
    "0014" "standing",
    "0015" "telephone",
    "0016" "agenda",
    "0017" "usual",
    "0018" "bench",
    "0019" "pictures",
    "0020" "bench_codes",
    "0021" "bench_timers",
    "0022" "passed",
    "0023" "bound",
    "0024" "house",
    "0025" "asked",
    "0026" "laid",
    "0027" "timer_arches",
    "0028" "bench_bound",
    "0029" "passed_answers",
    "0030" "event_time",
];

/// The steps that make the tables, compiled in.
pub(super) static MIGRATIONS: LazyLock<Migrator> = LazyLock::new(|| {
    let step = |(version, name, sql): &(&str, &'static str, &'static str)| {
        let (version, name) = (version.parse().unwrap_or_default(), name.replace('_', " "));
        Migration::new(
            version,
            name.into(),
            MigrationType::Simple,
            sql.into_sql_str(),
            false,
        )
    };
    Migrator::with_migrations(STEPS.iter().map(step).collect())
});

/// Tables, columns, indexes and triggers: what each is called, and what it is made of.
type Laid = BTreeMap<String, String>;

/// Whether there is a table of this name.
pub(super) async fn has_table(
    conn: &mut Connection,
    backend: Backend,
    table: &str,
) -> Result<bool, StoreError> {
    let sql = match backend {
        Backend::Sqlite => {
            "SELECT COUNT(*) AS n FROM sqlite_master WHERE type = 'table' AND name = $1"
        }
        Backend::Postgres => {
            "SELECT COUNT(*) AS n FROM information_schema.tables WHERE table_schema = current_schema() \
             AND table_name = $1"
        }
    };
    let row = sqlx::query(sql).bind(table).fetch_one(conn).await?;
    Ok(row.try_get::<i64, _>("n")? > 0)
}

/// A step that was carried out, with the hash of its text.
async fn carried_out(conn: &mut Connection) -> Result<Vec<(i64, Vec<u8>)>, StoreError> {
    let rows = sqlx::query(
        "SELECT version, checksum FROM _sqlx_migrations WHERE success ORDER BY version",
    )
    .fetch_all(conn)
    .await?;
    let step = |row: &sqlx::any::AnyRow| Ok((row.try_get("version")?, row.try_get("checksum")?));
    rows.iter().map(step).collect()
}

fn newest_known() -> i64 {
    let steps = MIGRATIONS.iter().map(|step| step.version);
    steps.max().unwrap_or_default()
}

/// Refuses the tables of a newer program, before anything of them is read or written.
pub(super) async fn refuse_newer(
    conn: &mut Connection,
    backend: Backend,
) -> Result<(), StoreError> {
    if !has_table(conn, backend, "_sqlx_migrations").await? {
        return Ok(());
    }
    let (found, known) = (carried_out(conn).await?, newest_known());
    match found.last() {
        Some((found, _)) if *found > known => Err(StoreError::Newer {
            found: *found,
            known,
        }),
        _ => Ok(()),
    }
}

/// Whether the newest step of this program was carried out.
pub(super) async fn is_of_now(conn: &mut Connection, backend: Backend) -> Result<bool, StoreError> {
    if !has_table(conn, backend, "_sqlx_migrations").await? {
        return Ok(false);
    }
    let found = carried_out(conn).await?;
    Ok(found
        .last()
        .is_some_and(|(step, _)| *step == newest_known()))
}

/// What of the tables is not as this program makes them, a sentence each.
pub(super) async fn differences(
    conn: &mut Connection,
    backend: Backend,
) -> Result<Vec<String>, StoreError> {
    let found = differences_by_effect(conn, backend).await?;
    Ok(found.into_iter().map(|(_, sentence)| sentence).collect())
}

/// The same, each with whether it may change in silence what is written or read.
pub(super) async fn differences_by_effect(
    conn: &mut Connection,
    backend: Backend,
) -> Result<Vec<(bool, String)>, StoreError> {
    let steps: Vec<&Migration> = MIGRATIONS.iter().collect();
    let carried_out = carried_out(conn).await?;
    let steps = wrong_steps(&steps, &carried_out).into_iter();
    let mut wrong: Vec<(bool, String)> = steps.map(|sentence| (false, sentence)).collect();
    // A database of an earlier version has the tables of then until the next start. One whose list was emptied or
    // changed is held against the tables of now.
    let last = match carried_out.last() {
        Some((version, _)) if wrong.is_empty() => *version,
        _ => newest_known(),
    };
    let is_of_now = last == newest_known();
    let (should, is) = match backend {
        Backend::Sqlite => {
            let mut fresh = fresh(last).await?;
            (made_in_file(&mut fresh).await?, made_in_file(conn).await?)
        }
        Backend::Postgres => {
            let mut fresh = fresh(last).await?;
            (
                expected_on_server(&mut fresh, is_of_now).await?,
                made_on_server(conn).await?,
            )
        }
    };
    wrong.extend(compared(&should, &is, is_of_now));
    Ok(wrong)
}

fn wrong_steps(steps: &[&Migration], carried_out: &[(i64, Vec<u8>)]) -> Vec<String> {
    let mut wrong = Vec::new();
    if carried_out.is_empty() {
        wrong.push("The list of the steps that have made the tables is empty.".to_owned());
    }
    for (place, (version, checksum)) in carried_out.iter().enumerate() {
        match steps.get(place) {
            Some(step) if step.version != *version => {
                wrong.push(format!(
                    "Step {} of the tables is missing in the list of those that were carried out.",
                    step.version
                ));
                break;
            }
            Some(step) if step.checksum.as_ref() != checksum.as_slice() => wrong.push(format!(
                "Step {version} of the tables is not the one that this program makes."
            )),
            Some(_) => {}
            None => wrong.push(format!(
                "This program knows no step {version} of the tables."
            )),
        }
    }
    wrong
}

/// The tables up to a step, in memory; with their triggers where it is the newest.
async fn fresh(last: i64) -> Result<Connection, StoreError> {
    let mut conn = Connection::connect("sqlite::memory:").await?;
    MIGRATIONS.run_direct(Some(last), &mut conn, false).await?;
    if last == newest_known() {
        guards::install(&mut conn, Backend::Sqlite).await?;
    }
    Ok(conn)
}

/// Whatever a file of SQLite says that it is made of, word for word; but for its own tables and indexes, and the list of
/// steps. A trigger is named whatever it is called.
async fn made_in_file(conn: &mut Connection) -> Result<Laid, StoreError> {
    let rows = sqlx::query(
        "SELECT type, name, sql FROM sqlite_master WHERE (type IN ('trigger', 'view') \
         OR name NOT LIKE 'sqlite!_%' ESCAPE '!') AND NOT (type = 'table' AND name = '_sqlx_migrations')",
    )
    .fetch_all(conn)
    .await?;
    let mut made = Laid::new();
    for row in rows {
        let (kind, name): (String, String) = (row.try_get("type")?, row.try_get("name")?);
        let text: Option<String> = row.try_get("sql")?;
        let words: Vec<&str> = text
            .as_deref()
            .unwrap_or_default()
            .split_whitespace()
            .collect();
        let of = if kind == "view" { " of" } else { "" };
        made.insert(format!("{kind}{of} {name}"), words.join(" "));
    }
    Ok(made)
}

/// What a server has to say of the same tables.
async fn expected_on_server(fresh: &mut Connection, is_of_now: bool) -> Result<Laid, StoreError> {
    let mut made = Laid::new();
    let columns = sqlx::query(
        "SELECT m.name AS t, c.name AS c, c.type AS k, c.[notnull] + c.pk > 0 AS needed FROM sqlite_master m, \
         pragma_table_info(m.name) c WHERE m.type = 'table' AND m.name NOT LIKE '_sqlx_%'",
    )
    .fetch_all(&mut *fresh)
    .await?;
    for row in columns {
        let (table, column): (String, String) = (row.try_get("t")?, row.try_get("c")?);
        let kind: String = row.try_get("k")?;
        let is_needed = row.try_get::<i64, _>("needed")? > 0;
        made.insert(
            format!("column {table}.{column}"),
            column_words(&kind, is_needed),
        );
    }
    let indexes = sqlx::query(
        "SELECT m.name AS i, m.tbl_name AS t, (SELECT string_agg(c.name, ', ') FROM pragma_index_info(m.name) c) AS c \
         FROM sqlite_master m WHERE m.type = 'index' AND m.sql IS NOT NULL",
    )
    .fetch_all(&mut *fresh)
    .await?;
    for row in indexes {
        let (index, table): (String, String) = (row.try_get("i")?, row.try_get("t")?);
        let columns: String = row.try_get("c")?;
        made.insert(format!("index {index}"), format!("{table} ({columns})"));
    }
    expect_keys(fresh, &mut made).await?;
    if is_of_now {
        for lock in guards::on_server() {
            made.insert(format!("trigger {}", lock.name), lock.words());
        }
    }
    Ok(made)
}

/// Keys, references and defaults, in the words that a server has for them.
async fn expect_keys(fresh: &mut Connection, made: &mut Laid) -> Result<(), StoreError> {
    let keys = sqlx::query(
        "SELECT m.name AS t, 'PRIMARY KEY (' || (SELECT string_agg(name, ', ') FROM \
         (SELECT name FROM pragma_table_info(m.name) WHERE pk > 0 ORDER BY pk)) || ')' AS d \
         FROM sqlite_master m WHERE m.type = 'table' AND m.name NOT LIKE '_sqlx_%' \
         UNION ALL SELECT m.name, 'UNIQUE (' || (SELECT string_agg(name, ', ') FROM \
         (SELECT name FROM pragma_index_info(i.name) ORDER BY seqno)) || ')' \
         FROM sqlite_master m, pragma_index_list(m.name) i \
         WHERE m.type = 'table' AND m.name NOT LIKE '_sqlx_%' AND i.origin = 'u' \
         UNION ALL SELECT t, 'FOREIGN KEY (' || string_agg(c, ', ') || ') REFERENCES ' || o || '(' || string_agg(k, ', ') || ')' \
         FROM (SELECT m.name AS t, f.id AS id, f.[table] AS o, f.[from] AS c, f.[to] AS k \
         FROM sqlite_master m, pragma_foreign_key_list(m.name) f \
         WHERE m.type = 'table' AND m.name NOT LIKE '_sqlx_%' ORDER BY m.name, f.id, f.seq) GROUP BY t, id, o",
    )
    .fetch_all(&mut *fresh)
    .await?;
    for row in keys {
        let (table, text): (String, String) = (row.try_get("t")?, row.try_get("d")?);
        made.insert(format!("{text} of {table}"), String::new());
    }
    let defaults = sqlx::query(
        "SELECT m.name AS t, c.name AS c, c.dflt_value AS d FROM sqlite_master m, pragma_table_info(m.name) c \
         WHERE m.type = 'table' AND m.name NOT LIKE '_sqlx_%' AND c.dflt_value IS NOT NULL",
    )
    .fetch_all(fresh)
    .await?;
    for row in defaults {
        let (table, column): (String, String) = (row.try_get("t")?, row.try_get("c")?);
        made.insert(format!("default of {table}.{column}"), row.try_get("d")?);
    }
    Ok(())
}

fn column_words(kind: &str, is_needed: bool) -> String {
    let needed = if is_needed { "needed" } else { "may be empty" };
    format!("{}, {needed}", kind.to_lowercase())
}

/// What a server has beside columns, indexes and triggers: how it is asked, and what each is called.
const BESIDE_COLUMNS: &[(&str, &str)] = &[
    (
        "SELECT (CASE k.contype WHEN 'c' THEN 'check ' ELSE '' END) || pg_get_constraintdef(k.oid) || ' of ' || c.relname AS a, \
         '' AS d FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid JOIN pg_namespace n ON n.oid = c.relnamespace \
         WHERE n.nspname = current_schema() AND c.relname <> '_sqlx_migrations' AND k.contype IN ('p', 'u', 'f', 'c', 'x')",
        "{}",
    ),
    (
        "SELECT c.relname || '.' || a.attname AS a, regexp_replace(pg_get_expr(d.adbin, d.adrelid), '^(''[^'']*'')::text$', '\\1') AS d \
         FROM pg_attrdef d JOIN pg_class c ON c.oid = d.adrelid JOIN pg_namespace n ON n.oid = c.relnamespace \
         JOIN pg_attribute a ON a.attrelid = d.adrelid AND a.attnum = d.adnum \
         WHERE n.nspname = current_schema() AND c.relname <> '_sqlx_migrations'",
        "default of {}",
    ),
    (
        "SELECT table_name || '.' || column_name AS a, '' AS d FROM information_schema.columns \
         WHERE table_schema = current_schema() AND domain_name IS NOT NULL",
        "domain of {}",
    ),
    (
        "SELECT CAST(c.relname AS TEXT) AS a, '' AS d FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace \
         WHERE n.nspname = current_schema() AND (c.relrowsecurity OR c.relforcerowsecurity)",
        "row security of {}",
    ),
    (
        "SELECT p.polname || ' of ' || c.relname AS a, '' AS d FROM pg_policy p JOIN pg_class c ON c.oid = p.polrelid \
         JOIN pg_namespace n ON n.oid = c.relnamespace WHERE n.nspname = current_schema()",
        "policy {}",
    ),
    (
        "SELECT m.nspname || '.' || k.relname || ' of ' || c.relname AS a, '' AS d FROM pg_inherits i \
         JOIN pg_class c ON c.oid = i.inhparent JOIN pg_class k ON k.oid = i.inhrelid \
         JOIN pg_namespace n ON n.oid = c.relnamespace JOIN pg_namespace m ON m.oid = k.relnamespace \
         WHERE (n.nspname = current_schema() OR m.nspname = current_schema()) AND c.relkind = 'r'",
        "child table {}",
    ),
    (
        "SELECT CAST(c.relname AS TEXT) AS a, '' AS d FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace \
         WHERE n.nspname = current_schema() AND c.relkind IN ('v', 'm', 'f', 'p')",
        "view of {}",
    ),
    (
        "SELECT CAST(c.relname AS TEXT) AS a, '' AS d FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace \
         WHERE n.nspname = current_schema() AND c.relkind = 'r' AND c.relpersistence <> 'p'",
        "UNLOGGED of {}",
    ),
    (
        "SELECT CAST(setting AS TEXT) AS a, '' AS d FROM pg_settings \
         WHERE name = 'session_replication_role' AND setting <> 'origin'",
        "session_replication_role {}",
    ),
];

/// Kinds of thing that change in silence what is written.
const IN_SILENCE: [&str; 3] = ["trigger ", "rule ", "session_replication_role "];
/// Kinds that change or hide what is written or read, or run what somebody else has written, on a table of the program.
const ON_OWN_TABLES: [&str; 8] = [
    "check ",
    "default ",
    "domain ",
    "row security ",
    "policy ",
    "child table ",
    "view ",
    "UNLOGGED ",
];

/// What a server says that its tables are made of.
async fn made_on_server(conn: &mut Connection) -> Result<Laid, StoreError> {
    let mut made = Laid::new();
    columns_on_server(conn, &mut made).await?;
    indexes_on_server(conn, &mut made).await?;
    for (sql, name) in BESIDE_COLUMNS {
        for row in sqlx::query(*sql).fetch_all(&mut *conn).await? {
            let (first, text): (String, String) = (row.try_get("a")?, row.try_get("d")?);
            let named = name.replace("{}", &first.replace('"', ""));
            made.insert(named, text);
        }
    }
    rules_on_server(conn, &mut made).await?;
    triggers_on_server(conn, &mut made).await?;
    Ok(made)
}

async fn columns_on_server(conn: &mut Connection, made: &mut Laid) -> Result<(), StoreError> {
    let columns = sqlx::query(
        "SELECT CAST(table_name AS TEXT) AS t, CAST(column_name AS TEXT) AS c, CAST(data_type AS TEXT) AS k, \
         CAST(is_nullable AS TEXT) AS e FROM information_schema.columns WHERE table_schema = current_schema() \
         AND table_name <> '_sqlx_migrations'",
    )
    .fetch_all(&mut *conn)
    .await?;
    for row in columns {
        let (table, column): (String, String) = (row.try_get("t")?, row.try_get("c")?);
        let (kind, empty): (String, String) = (row.try_get("k")?, row.try_get("e")?);
        made.insert(
            format!("column {table}.{column}"),
            column_words(&kind, empty == "NO"),
        );
    }
    Ok(())
}

/// Those of a key or of a constraint hang on their table.
async fn indexes_on_server(conn: &mut Connection, made: &mut Laid) -> Result<(), StoreError> {
    let indexes = sqlx::query(
        "SELECT CAST(i.indexname AS TEXT) AS i, CAST(i.tablename AS TEXT) AS t, i.indexdef AS d FROM pg_indexes i \
         WHERE i.schemaname = current_schema() AND i.indexname NOT IN (SELECT conname FROM pg_constraint)",
    )
    .fetch_all(&mut *conn)
    .await?;
    for row in indexes {
        let (index, table): (String, String) = (row.try_get("i")?, row.try_get("t")?);
        let text: String = row.try_get("d")?;
        let columns = text.rsplit_once('(').map_or("", |(_, columns)| columns);
        made.insert(format!("index {index}"), format!("{table} ({columns}"));
    }
    Ok(())
}

/// Those by which a view gives its answer hang on their view.
async fn rules_on_server(conn: &mut Connection, made: &mut Laid) -> Result<(), StoreError> {
    let rules = sqlx::query(
        "SELECT CAST(rulename AS TEXT) AS r, CAST(tablename AS TEXT) AS t FROM pg_rules \
         WHERE schemaname = current_schema()",
    )
    .fetch_all(&mut *conn)
    .await?;
    for row in rules {
        let (rule, table): (String, String) = (row.try_get("r")?, row.try_get("t")?);
        made.insert(format!("rule {rule} of {table}"), String::new());
    }
    Ok(())
}

async fn triggers_on_server(conn: &mut Connection, made: &mut Laid) -> Result<(), StoreError> {
    let triggers = sqlx::query(
        "SELECT CAST(t.tgname AS TEXT) AS g, CAST(c.relname AS TEXT) AS t, CAST(t.tgenabled AS TEXT) AS e, \
         CAST(p.proname AS TEXT) AS p, p.prosrc AS s, pg_get_triggerdef(t.oid) AS d FROM pg_trigger t \
         JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_proc p ON p.oid = t.tgfoid \
         JOIN pg_namespace n ON n.oid = c.relnamespace WHERE NOT t.tgisinternal AND n.nspname = current_schema()",
    )
    .fetch_all(conn)
    .await?;
    for row in triggers {
        let (name, enabled): (String, String) = (row.try_get("g")?, row.try_get("e")?);
        let text: String = row.try_get("d")?;
        let when = |word: &str| text.contains(word);
        let lock = guards::ServerLock {
            name,
            table: row.try_get("t")?,
            function: row.try_get("p")?,
            body: row.try_get("s")?,
            on_update: when("UPDATE"),
            on_delete: when("DELETE"),
        };
        let off = if enabled == "O" { "" } else { ", switched off" };
        made.insert(format!("trigger {}", lock.name), lock.words() + off);
    }
    Ok(())
}

/// Whether this is of a table, or of a column of one, that the program makes.
fn is_of_one(should: &Laid, name: &str) -> bool {
    let of = name.rsplit_once(" of ").map_or("", |(_, of)| of);
    let table = of.split_once('.').map_or(of, |(table, _)| table);
    // A file is asked for tables, and a server for their columns.
    let (own, column) = (format!("table {table}"), format!("column {table}."));
    should
        .keys()
        .any(|one| *one == own || one.starts_with(&column))
}

/// What is said of something that the program does not make.
fn on_top(name: &str) -> String {
    if let Some(table) = name.strip_prefix("UNLOGGED of ") {
        return format!(
            "The table {table} is UNLOGGED: a crash of the server empties it. “ALTER TABLE {table} SET LOGGED” puts it right."
        );
    }
    if let Some(role) = name.strip_prefix("session_replication_role ") {
        return format!(
            "The server passes over the locks and references of the tables: session_replication_role says {role} where this \
             program asks, and origin is needed."
        );
    }
    format!("In the tables there is a {name} that this program does not make.")
}

/// `has_triggers`: of an earlier version's triggers nothing is known here.
fn compared(should: &Laid, is: &Laid, has_triggers: bool) -> Vec<(bool, String)> {
    let mut wrong = Vec::new();
    let names: BTreeSet<&String> = should.keys().chain(is.keys()).collect();
    for name in names {
        if !has_triggers && name.starts_with("trigger ") {
            continue;
        }
        let sentence = match (should.get(name), is.get(name)) {
            (Some(should), Some(is)) if should == is => continue,
            (Some(_), Some(_)) => {
                format!("In the tables, the {name} is not as this program makes it.")
            }
            (Some(_), None) => format!("In the tables, the {name} is missing."),
            (None, _) => on_top(name),
        };
        let is_any = |kinds: &[&str]| kinds.iter().any(|kind| name.starts_with(kind));
        // Tables beside the program's may have whatever they like.
        let may_change = is_any(&IN_SILENCE) || (is_any(&ON_OWN_TABLES) && is_of_one(should, name));
        wrong.push((may_change, sentence));
    }
    wrong
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_folder_is_a_step() {
        let files =
            std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../../migrations")).unwrap();
        let mut files: Vec<String> = files
            .map(|file| file.unwrap().file_name().into_string().unwrap())
            .collect();
        files.sort();
        let steps = STEPS.iter();
        let steps = steps.map(|(version, name, _)| format!("{version}_{name}.sql"));
        assert_eq!(files, steps.collect::<Vec<String>>());
        let numbered = MIGRATIONS.iter().map(|step| step.version);
        assert!(numbered.eq(1..=STEPS.len() as i64));
    }
}
