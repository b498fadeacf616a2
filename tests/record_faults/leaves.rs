//! Leaves, tree, head and checkpoint changed past the program.

use crate::rows::filled_in;
use crate::{Copy, after, filled, key, texts};
use sqlx::Row;
use vestibule::record::checkpoint::Checkpoint;
use vestibule::record::hash::leaf_hash;
use vestibule::record::key::Signer;

/// Changes of the record itself, with the first wrong leaf where one is, and words of some fault.
const CHANGED_RECORD: [(&str, Option<u64>, &str); 24] = [
    (
        "UPDATE leaf SET body = replace(body, ',', ',' || char(10)) WHERE number = 113",
        Some(113),
        "does not fit its hash",
    ),
    (
        "UPDATE leaf SET body = replace(body, '\"v\":1', '\"v\":2') WHERE number = 113",
        Some(113),
        "does not fit its hash",
    ),
    (
        "UPDATE leaf SET body = x'00FF' WHERE number = 113",
        Some(113),
        "Leaf 113 cannot be read",
    ),
    (
        "UPDATE leaf SET hash = (SELECT hash FROM leaf WHERE number = 5) WHERE number = 113",
        Some(113),
        "does not fit its hash",
    ),
    (
        "UPDATE leaf SET hash = upper(hash) WHERE number = 113",
        Some(113),
        "does not fit its hash",
    ),
    (
        "UPDATE leaf SET kind = 'statement' WHERE number = 113",
        Some(113),
        "not stored any more",
    ),
    (
        "UPDATE leaf SET about = 'x' WHERE number = 113",
        Some(113),
        "not stored any more",
    ),
    (
        "UPDATE leaf SET case_number = 'C00000000' WHERE number = 113",
        Some(113),
        "of nothing that can be read",
    ),
    (
        "DELETE FROM leaf WHERE number = 113",
        Some(113),
        "Leaf 113 is missing",
    ),
    (
        "DELETE FROM leaf WHERE number BETWEEN 113 AND 300",
        Some(113),
        "Leaf 113 is missing",
    ),
    (
        "DELETE FROM leaf WHERE number = 0",
        Some(0),
        "Leaf 0 is missing",
    ),
    (
        "DELETE FROM leaf WHERE number = (SELECT MAX(number) FROM leaf)",
        None,
        "the stored ones do not end there",
    ),
    ("DELETE FROM leaf", None, "the stored ones do not end there"),
    (
        "UPDATE leaf SET number = 9080 WHERE number = 113",
        Some(113),
        "Leaf 113 is missing",
    ),
    (
        "UPDATE leaf SET number = 9000 WHERE number = 113; UPDATE leaf SET number = 113 WHERE number = 114; \
         UPDATE leaf SET number = 114 WHERE number = 9000",
        Some(113),
        "is not the one that the leaf stands for",
    ),
    (
        // With their salts: each leaf then fits its row.
        "UPDATE leaf SET number = 9000 WHERE number = 113; UPDATE leaf SET number = 113 WHERE number = 114; \
         UPDATE leaf SET number = 114 WHERE number = 9000; UPDATE leaf_salt SET leaf = 9000 WHERE leaf = 113; \
         UPDATE leaf_salt SET leaf = 113 WHERE leaf = 114; UPDATE leaf_salt SET leaf = 114 WHERE leaf = 9000",
        Some(113),
        "and in its place is",
    ),
    (
        "UPDATE leaf SET number = -number - 1 WHERE number >= 113; UPDATE leaf SET number = -number WHERE number < 0; \
      INSERT INTO leaf SELECT 113, 'event', 'put in', case_number, body, hash FROM leaf WHERE number = 5",
        Some(113),
        "put in",
    ),
    (
        "UPDATE leaf_salt SET salts = json_set(salts, '$.\"/event/by/name\"', '00000000000000000000000000000000') WHERE leaf = 113",
        Some(113),
        "is not the one that the leaf stands for",
    ),
    (
        "UPDATE leaf_salt SET salts = upper(salts) WHERE leaf = 113",
        Some(113),
        "salts of leaf 113 cannot be read",
    ),
    (
        "UPDATE leaf_salt SET salts = '[]' WHERE leaf = 113",
        Some(113),
        "salts of leaf 113 cannot be read",
    ),
    (
        "DELETE FROM leaf_salt WHERE leaf = 113",
        Some(113),
        "its salt is missing",
    ),
    (
        "UPDATE tree_node SET hash = (SELECT hash FROM leaf WHERE number = 5)",
        Some(255),
        "stored hash over the leaves up to 255",
    ),
    (
        "DELETE FROM tree_node",
        Some(255),
        "stored hash over the leaves up to 255",
    ),
    (
        "INSERT INTO tree_node SELECT level, 7, hash FROM tree_node LIMIT 1",
        None,
        "3 hashes of the tree are stored",
    ),
];

#[tokio::test]
async fn a_changed_record_is_named_by_its_first_wrong_leaf() {
    let copy = Copy::of(filled().await);
    let mut conn = copy.raw().await.unwrap();
    // Both neighbours and the leaf itself have texts, so that each can be told by its salts.
    let kinds = texts(
        &mut conn,
        "SELECT kind FROM leaf WHERE number IN (113, 114)",
    )
    .await;
    assert_eq!(kinds, ["event", "event"]);
    for (sql, leaf, words) in CHANGED_RECORD {
        let examined = after(sql).await;
        let says = |sentence: &str| sentence.contains(words);
        assert!(
            examined.faults.iter().any(|fault| says(&fault.sentence)),
            "{sql}: {:?}",
            examined.faults
        );
        if leaf.is_some() {
            assert_eq!(
                examined.first().unwrap().leaf,
                leaf,
                "{sql}: {:?}",
                examined.faults
            );
        }
    }
}

#[tokio::test]
async fn a_changed_head_or_checkpoint_is_found() {
    let copy = Copy::of(filled().await);
    let mut conn = copy.raw().await.unwrap();
    let head = sqlx::query("SELECT size, checkpoint FROM record_head")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    let (size, note): (i64, String) = (head.try_get(0).unwrap(), head.try_get(1).unwrap());
    let stranger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    let seen = Checkpoint::open(&note, key().verifier(), &[])
        .unwrap()
        .checkpoint;
    let other_root = Checkpoint {
        root: leaf_hash(b"another"),
        ..seen.clone()
    };
    let one_less = Checkpoint {
        size: seen.size - 1,
        ..seen.clone()
    };
    let quoted = |note: String| format!("UPDATE record_head SET checkpoint = '{note}'");
    for sql in [
        format!("UPDATE record_head SET size = {}", size - 1),
        "UPDATE record_head SET size = -1".to_owned(),
        "UPDATE record_head SET size = 9000000000000000000".to_owned(),
        "UPDATE record_head SET peaks = upper(peaks)".to_owned(),
        "UPDATE record_head SET peaks = substr(peaks, 65)".to_owned(),
        "UPDATE record_head SET peaks = replace(peaks, '0', '1')".to_owned(),
        "UPDATE record_head SET checkpoint = ''".to_owned(),
        "UPDATE record_head SET checkpoint = checkpoint || char(10)".to_owned(),
        quoted(seen.sign(&stranger).unwrap()),
        quoted(other_root.sign(&key()).unwrap()),
        quoted(one_less.sign(&key()).unwrap()),
        "DELETE FROM record_head".to_owned(),
    ] {
        let examined = after(&sql).await;
        assert!(examined.first().is_some(), "not found: {sql}");
        // All else still fits, and is not blamed.
        assert!(
            examined.faults.iter().all(|fault| fault.leaf.is_none()),
            "{sql}: {:?}",
            examined.faults
        );
        assert_eq!(
            (examined.leaves, examined.events > 200),
            (u64::try_from(size).unwrap(), true),
            "{sql}"
        );
    }
}

#[tokio::test]
async fn what_cannot_be_read_hides_nothing_else() {
    let (first, leaves) = filled_in("UPDATE event SET body = x'FF' WHERE id = {event}").await;
    let (second, others) = filled_in("UPDATE item SET body = 'x' WHERE tag = {item}").await;
    let (third, more) = filled_in("UPDATE revision SET meaning = '' WHERE {revision}").await;
    let lost = "UPDATE leaf SET body = x'FF' WHERE number IN (300, 301)";
    let examined = after(&format!("{first}; {second}; {third}; {lost}")).await;
    let mut wanted = [leaves, others, more, vec![300, 301]].concat();
    wanted.sort_unstable();
    let mut named: Vec<u64> = examined
        .faults
        .iter()
        .filter_map(|fault| fault.leaf)
        .collect();
    named.sort_unstable();
    named.dedup();
    assert_eq!(named, wanted, "{:?}", examined.faults);
    assert_eq!(examined.root, None);
}
