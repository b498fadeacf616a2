//! A whole history written again.

use crate::{Copy, filled, key, lock_again, locks, run, texts, unlocked};
use serde_json::{Value, json};
use sqlx::{AnyConnection, Connection};
use vestibule::app::examine::Examined;
use vestibule::record::checkpoint::Checkpoint;
use vestibule::record::hash::{Hash, leaf_hash};
use vestibule::record::leaf::{Salt, Salts, commitment, salts_from_json};
use vestibule::record::tree::Frontier;
use vestibule::record::words::PaperRoot;
use vestibule::store::Store;

/// Changes for which house the event of a leaf was done, by its printed name, and everything that follows from it up to a new signature.
async fn rewrite(conn: &mut AnyConnection, leaf: u64) {
    let of_leaf = |column: &str, table: &str, key: &str| {
        format!("SELECT {column} FROM {table} WHERE {key} = {leaf}")
    };
    let about = texts(conn, &of_leaf("about", "leaf", "number"))
        .await
        .remove(0);
    let body = texts(conn, &of_leaf("body", "leaf", "number"))
        .await
        .remove(0);
    let salts = texts(conn, &of_leaf("salts", "leaf_salt", "leaf"))
        .await
        .remove(0);
    let salts: Salts = salts_from_json(&serde_json::from_str(&salts).unwrap()).unwrap();
    let salt: &Salt = &salts["/event/by/party_name"];
    let mut body: Value = serde_json::from_str(&body).unwrap();
    body["event"]["by"]["party_name"] = json!({ "committed": commitment(salt, "Another House") });
    let body = serde_json_canonicalizer::to_string(&body).unwrap();
    let row = texts(
        conn,
        &format!("SELECT body FROM event WHERE id = '{about}'"),
    )
    .await
    .remove(0);
    let mut row: Value = serde_json::from_str(&row).unwrap();
    row["by"]["party_name"] = json!("Another House");
    let row = serde_json_canonicalizer::to_string(&row).unwrap();
    for (sql, text) in [
        (
            format!("UPDATE event SET body = $1 WHERE id = '{about}'"),
            row,
        ),
        (
            format!("UPDATE leaf SET hash = $1 WHERE number = {leaf}"),
            leaf_hash(body.as_bytes()).to_string(),
        ),
        (
            format!("UPDATE leaf SET body = $1 WHERE number = {leaf}"),
            body,
        ),
    ] {
        sqlx::query(sqlx::AssertSqlSafe(sql))
            .bind(text)
            .execute(&mut *conn)
            .await
            .unwrap();
    }
    let mut tree = Frontier::default();
    for hash in texts(conn, "SELECT hash FROM leaf ORDER BY number").await {
        for (node, hash) in tree.append(Hash::parse(&hash).unwrap()) {
            let (level, place) = (node.level / 8, node.index);
            run(
                conn,
                &format!(
                    "UPDATE tree_node SET hash = '{hash}' WHERE level * 8 = {} AND level = {level} \
                AND place = {place}",
                    node.level
                ),
            )
            .await;
        }
    }
    let note = Checkpoint {
        origin: key().verifier().name().to_owned(),
        size: tree.size(),
        root: tree.root(),
    };
    let peaks: String = tree
        .peak_bytes()
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let note = note.sign(&key()).unwrap();
    run(
        conn,
        &format!("UPDATE record_head SET peaks = '{peaks}', checkpoint = '{note}'"),
    )
    .await;
}

#[tokio::test]
async fn a_history_written_again_and_signed_with_the_right_key_is_found_by_a_paper() {
    let copy = Copy::of(filled().await);
    let root_of = |examined: &Examined| PaperRoot::new(examined.leaves, &examined.root.unwrap());
    let paper = root_of(&copy.faults(None).await.unwrap());
    let locks = locks(&copy).await;
    let mut conn = unlocked(&copy).await;
    let hashes = texts(
        &mut conn,
        "SELECT hash FROM leaf WHERE number < 77 ORDER BY number",
    )
    .await;
    let mut before = Frontier::default();
    for hash in hashes {
        before.append(Hash::parse(&hash).unwrap());
    }
    rewrite(&mut conn, 77).await;
    lock_again(&mut conn, &locks).await;
    conn.close().await.unwrap();
    // Without a paper nothing is wrong: everything fits, and the key is the right one.
    assert_eq!(copy.faults(None).await.unwrap().faults, []);
    let store = Store::open(&Store::sqlite_address(&copy.path), key())
        .await
        .unwrap();
    store.close().await;
    let found = copy.faults(Some(&paper)).await.unwrap();
    assert_eq!(found.faults.len(), 1);
    assert!(
        found.faults[0]
            .sentence
            .contains("the record was rewritten"),
        "{:?}",
        found.faults
    );
    // A paper from before the change says nothing against it.
    let earlier = PaperRoot::new(77, &before.root());
    let found = copy.faults(Some(&earlier)).await.unwrap();
    assert!(found.faults.is_empty() && found.paper.is_some());
}
