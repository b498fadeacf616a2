//! How rows are found.

use crate::bed::Bed;
use crate::databases::sql_of_the_store;
use sqlx::{AnyConnection, Row};
use vestibule::store::Backend;

/// Questions that read a whole table on purpose: bounded lists for the administrator and the command line,
/// and the sweep that runs once in a while.
const WHOLE_TABLES: [&str; 29] = [
    // Whether the indexes have all leaves.
    "SELECT n, numbers, n_all",
    // What an upgrade would sign now.
    "SELECT COUNT(*) AS n FROM {table}",
    "SELECT COUNT(*) AS n, MIN({column})",
    // Rows of nothing, for a check of everything.
    "SELECT k FROM (SELECT",
    "SELECT * FROM party WHERE kind",
    "UPDATE party SET changes = changes + 1 WHERE id <>",
    "SELECT p.id, p.name, w.size",
    "SELECT * FROM party ORDER BY kind",
    "SELECT * FROM account ORDER BY party_id",
    "SELECT COUNT(*) AS n FROM account WHERE role",
    "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, \
     lent_due, summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, stage, \
     seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file ORDER BY opened_ms",
    "SELECT * FROM resumption ORDER BY resumed_ms",
    "SELECT id, resumed_ms, ahead_ms FROM resumption",
    "SELECT COUNT(*) AS n FROM erasing",
    // A few lists for each house.
    "SELECT CAST(COALESCE(SUM(version), 0) AS BIGINT) AS n FROM party_list",
    // Counted once at a start.
    "SELECT (SELECT COUNT(*) FROM",
    "SELECT COUNT(*) AS n FROM passed_work",
    "SELECT COUNT(*) AS n FROM case_file JOIN leaf",
    "SELECT COUNT(*) AS n FROM case_file WHERE closed NOT IN",
    "SELECT COUNT(*) AS n FROM patient JOIN leaf",
    "SELECT case_file.number, patient.code FROM case_file JOIN patient",
    "SELECT passed_work.party_id, event.body FROM passed_work",
    "SELECT about, body FROM leaf WHERE kind = 'case' AND NOT EXISTS",
    "SELECT about, body FROM leaf WHERE kind = 'patient' AND NOT EXISTS",
    "SELECT leaf.about, leaf.body, case_file.office_id, case_file.lab_id FROM case_file JOIN leaf",
    // For a check of everything, and what is to go at a start.
    "SELECT number, pan, pan_key FROM case_file",
    "SELECT case_number, hash FROM picture",
    "DELETE FROM session WHERE ends_ms",
    "DELETE FROM once WHERE at_ms",
];

pub async fn every_question_finds_its_rows_by_an_index(bed: &Bed) {
    let mut conn = bed.database.raw().await;
    let mut whole = WHOLE_TABLES.to_vec();
    let mut asked = 0;
    for sql in ["SELECT", "UPDATE", "DELETE"]
        .iter()
        .flat_map(|verb| sql_of_the_store(verb))
    {
        // What a database says of itself, each in its own words.
        let of_itself = [
            "sqlite_master",
            "_sqlx_migrations",
            "information_schema",
            "pg_advisory_lock",
            "pg_indexes",
            "pg_class",
            "pg_trigger",
            "pg_rules",
            "pg_settings",
        ];
        if sql == "SELECT 1" || of_itself.iter().any(|word| sql.contains(word)) {
            continue;
        }
        if WHOLE_TABLES.iter().any(|start| sql.starts_with(start)) {
            whole.retain(|start| !sql.starts_with(start));
            continue;
        }
        asked += 1;
        match bed.database.backend {
            Backend::Sqlite => {
                let plan = sqlite_plan(&mut conn, &sql).await;
                let scans: Vec<&String> = plan
                    .iter()
                    .filter(|step| step.starts_with("SCAN") && !step.contains("some_"))
                    // The row around questions within a question: of no table.
                    .filter(|step| *step != "SCAN CONSTANT ROW")
                    .collect();
                assert!(
                    scans.is_empty() && plan.iter().any(|step| step.starts_with("SEARCH")),
                    "{sql}\n{plan:#?}"
                );
                let is_board =
                    sql.contains("_day, number LIMIT") || sql.contains("_day DESC, number");
                let sorts = plan.iter().any(|step| step.contains("TEMP B-TREE"));
                assert!(
                    !(is_board && sorts),
                    "a list of an agenda comes in order: {sql}\n{plan:#?}"
                );
            }
            Backend::Postgres => {
                let plan = postgres_plan(&mut conn, &sql).await;
                // An index that is read from end to end has a condition too, but not on the first column.
                let column = first_column(&sql);
                let is_found = plan
                    .iter()
                    .any(|step| step.contains("Index Cond") && step.contains(column));
                let is_read_whole = plan.iter().any(|step| step.contains("Seq Scan"));
                assert!(is_found && !is_read_whole, "{sql}\n{plan:#?}");
            }
        }
    }
    assert_eq!(
        whole,
        Vec::<&str>::new(),
        "no longer asked: take it off the list"
    );
    assert!(
        asked > 30,
        "the questions of the store were found in its files: {asked}"
    );
}

/// The column that the question asks about first, without the table's short name.
fn first_column(sql: &str) -> &str {
    let condition = sql.split(" WHERE ").nth(1).unwrap();
    let column = condition.split_whitespace().next().unwrap();
    column.rsplit('.').next().unwrap()
}

async fn sqlite_plan(conn: &mut AnyConnection, sql: &str) -> Vec<String> {
    let rows = sqlx::raw_sql(sqlx::AssertSqlSafe(format!("EXPLAIN QUERY PLAN {sql}")))
        .fetch_all(conn)
        .await
        .unwrap();
    rows.iter()
        .map(|row| row.try_get("detail").unwrap())
        .collect()
}

/// The plan for any values, on empty tables, where only the lack of an index makes it read a whole table.
async fn postgres_plan(conn: &mut AnyConnection, sql: &str) -> Vec<String> {
    let parameters = (1..30)
        .take_while(|number| sql.contains(&format!("${number}")))
        .count();
    let nulls = match parameters {
        0 => String::new(),
        some => format!("({})", vec!["NULL"; some].join(", ")),
    };
    let before = format!(
        "SET enable_seqscan = off; SET plan_cache_mode = force_generic_plan; PREPARE asked AS {sql}"
    );
    sqlx::raw_sql(sqlx::AssertSqlSafe(before))
        .execute(&mut *conn)
        .await
        .unwrap();
    let explain = format!("EXPLAIN EXECUTE asked {nulls}");
    let rows = sqlx::raw_sql(sqlx::AssertSqlSafe(explain))
        .fetch_all(&mut *conn)
        .await
        .unwrap();
    sqlx::raw_sql("DEALLOCATE asked")
        .execute(&mut *conn)
        .await
        .unwrap();
    rows.iter().map(|row| row.try_get(0).unwrap()).collect()
}
