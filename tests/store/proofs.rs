//! The tree, its root and its checkpoints.

use crate::bed::{Bed, append_leaves, leaf, root_of};
use crate::databases;
use vestibule::record::checkpoint::Checkpoint;
use vestibule::record::hash::{Hash, leaf_hash};
use vestibule::record::key::Signer;
use vestibule::record::tree::{
    Frontier, Node, consistency_plan, inclusion_plan, verify_consistency, verify_inclusion,
};
use vestibule::store::{Store, StoreError, record};

pub async fn proofs_are_read_from_stored_nodes(bed: &Bed) {
    let case = bed.with_a_case().await;
    append_leaves(bed, &case, 0..700).await;
    let mut conn = bed.read().await;
    let root = root_of(700, &case);
    // Of 700 leaves the first two runs of 256 are complete.
    let stored = record::count_nodes(&mut conn).await.unwrap();
    assert_eq!((stored, record::nodes_of(700)), (2, 2));
    assert_eq!(
        [255, 256, 65_535, 65_536].map(record::nodes_of),
        [0, 1, 255, 257]
    );
    for index in [0, 1, 255, 256, 511, 512, 698, 699] {
        let plan = inclusion_plan(index, 700).unwrap();
        let proof = record::hashes(&mut conn, &plan).await.unwrap();
        let hash = leaf_hash(leaf(&case, index).body.as_bytes());
        verify_inclusion(&hash, index, 700, &proof, &root).unwrap();
    }
    let mut tree = Frontier::default();
    let finished: Vec<(Node, Hash)> = (0..512)
        .flat_map(|number| tree.append(leaf_hash(leaf(&case, number).body.as_bytes())))
        .collect();
    assert_eq!(
        record::stored_nodes(&mut conn, &finished).await.unwrap(),
        Vec::<String>::new()
    );
    let of_another_tree = [(Node { level: 8, index: 1 }, root)];
    assert_eq!(
        record::stored_nodes(&mut conn, &of_another_tree)
            .await
            .unwrap(),
        ["level 8, place 1"]
    );
    for old in [1, 2, 255, 256, 257, 512, 600, 699, 700] {
        let old_root = record::root_at(&mut conn, old).await.unwrap();
        assert_eq!(old_root, root_of(old, &case));
        let plan = consistency_plan(old, 700).unwrap();
        let proof = record::hashes(&mut conn, &plan).await.unwrap();
        verify_consistency(old, 700, &proof, &old_root, &root).unwrap();
    }
}

pub async fn a_record_that_does_not_fit_its_checkpoint_is_not_opened(bed: &Bed) {
    let case = bed.with_a_case().await;
    append_leaves(bed, &case, 0..3).await;
    let other_key = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    let refusal = Store::open(&bed.database.address, other_key)
        .await
        .unwrap_err();
    assert!(refusal.to_string().contains("checkpoint"), "{refusal}");
    bed.unlock("leaf").await;
    bed.past_the_store("DELETE FROM leaf_salt").await.unwrap();
    let own = leaf(&case, 2).body;
    let own = format!("UPDATE leaf SET body = '{own}' WHERE number = 2");
    for (wrong, right, word) in [
        (
            "UPDATE record_head SET size = 2",
            "UPDATE record_head SET size = 3",
            "head",
        ),
        (
            "UPDATE leaf SET body = '{}' WHERE number = 2",
            own.as_str(),
            "leaf 2",
        ),
        (
            "UPDATE leaf SET number = 9 WHERE number = 2",
            "UPDATE leaf SET number = 2 WHERE number = 9",
            "hashes",
        ),
    ] {
        bed.past_the_store(wrong).await.unwrap();
        let refusal = Store::open(&bed.database.address, databases::key())
            .await
            .unwrap_err();
        assert!(
            matches!(&refusal, StoreError::Record(why) if why.contains(word)),
            "{refusal}"
        );
        bed.unlock("leaf").await;
        bed.past_the_store(right).await.unwrap();
    }
    Store::open(&bed.database.address, databases::key())
        .await
        .unwrap()
        .close()
        .await;
}

pub async fn earlier_checkpoints_are_signed_where_the_record_has_grown_from_them(bed: &Bed) {
    let case = bed.with_a_case().await;
    append_leaves(bed, &case, 0..300).await;
    let mut conn = bed.read().await;
    let numbers = record::numbers_of(&mut conn, &case.number).await.unwrap();
    assert_eq!(numbers.len(), 300);
    assert_eq!(numbers[7], ("event".to_owned(), "event 7".to_owned(), 7));
    for size in [1, 2, 255, 256, 257, 300] {
        let note = bed.store.checkpoint_at(&mut conn, size).await.unwrap();
        let seen = Checkpoint::open(&note.unwrap(), bed.store.key(), &[]).unwrap();
        let Checkpoint { root, .. } = seen.checkpoint;
        assert_eq!((seen.checkpoint.size, root), (size, root_of(size, &case)));
        let proof = record::growth(&mut conn, size, 300).await.unwrap();
        verify_consistency(size, 300, &proof, &root, &root_of(300, &case)).unwrap();
    }
    for never in [0, 301] {
        let key = databases::key();
        let note = record::checkpoint_at(&mut conn, &key, never).await;
        assert_eq!(note.unwrap(), None);
    }
    assert!(record::growth(&mut conn, 301, 300).await.is_err());
    // Nothing is signed that the signed head has not grown from.
    bed.unlock("leaf").await;
    let other = leaf_hash(b"other");
    bed.past_the_store(&format!(
        "UPDATE leaf SET hash = '{other}' WHERE number = 3"
    ))
    .await
    .unwrap();
    let note = bed.store.checkpoint_at(&mut conn, 5).await.unwrap();
    assert_eq!(note, None);
}
