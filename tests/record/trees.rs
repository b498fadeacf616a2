//! Roots and proofs of random trees, held against another implementation and against changed bits.

use crate::grown::Grown;
use proptest::prelude::*;
use tlog_tiles::tlog;
use vestibule::record::hash::{EMPTY_ROOT, Hash, leaf_hash};
use vestibule::record::tree::{
    Frontier, Node, TreeError, consistency_plan, inclusion_plan, root_plan, verify_consistency,
    verify_inclusion,
};

/// The stored hashes of the other implementation.
struct Stored(Vec<tlog::Hash>);

impl tlog::HashReader for Stored {
    fn read_hashes(&self, indexes: &[u64]) -> Result<Vec<tlog::Hash>, tlog::Error> {
        let at = |&index: &u64| self.0[usize::try_from(index).unwrap()];
        Ok(indexes.iter().map(at).collect())
    }
}

impl Stored {
    fn of(entries: &[Vec<u8>]) -> Stored {
        let mut stored = Stored(Vec::new());
        for (place, entry) in (0..).zip(entries) {
            let new = tlog::stored_hashes(place, entry, &stored).unwrap();
            stored.0.extend(new);
        }
        stored
    }
}

fn ours(hashes: &[tlog::Hash]) -> Vec<Hash> {
    hashes.iter().map(|hash| Hash::new(hash.0)).collect()
}

fn theirs(hash: &Hash) -> tlog::Hash {
    tlog::Hash(*hash.bytes())
}

fn flipped(hash: &Hash, bit: usize) -> Hash {
    let mut bytes = *hash.bytes();
    bytes[bit / 8] ^= 1 << (bit % 8);
    Hash::new(bytes)
}

fn some_entries() -> impl Strategy<Value = Vec<Vec<u8>>> {
    prop::collection::vec(prop::collection::vec(any::<u8>(), 0..40), 1..300)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn roots_and_proofs_are_those_of_another_implementation(
        entries in some_entries(), one in any::<prop::sample::Index>(), other in any::<prop::sample::Index>(),
    ) {
        let (grown, stored) = (Grown::of(&entries), Stored::of(&entries));
        let size = grown.size();
        let root = grown.root();
        prop_assert_eq!(root, Hash::new(tlog::tree_hash(size, &stored).unwrap().0));

        let place = one.index(entries.len());
        let (index, leaf) = (place as u64, leaf_hash(&entries[place]));
        let proof = grown.inclusion(index, size);
        prop_assert_eq!(&proof, &ours(&tlog::prove_record(size, index, &stored).unwrap()));
        prop_assert_eq!(verify_inclusion(&leaf, index, size, &proof, &root), Ok(()));
        let proof = proof.iter().map(theirs).collect();
        prop_assert!(tlog::check_record(&proof, size, theirs(&root), index, theirs(&leaf)).is_ok());

        let old = other.index(entries.len()) as u64 + 1;
        let old_root = grown.root_at(old);
        prop_assert_eq!(old_root, Hash::new(tlog::tree_hash(old, &stored).unwrap().0));
        let proof = grown.consistency(old, size);
        prop_assert_eq!(&proof, &ours(&tlog::prove_tree(size, old, &stored).unwrap()));
        prop_assert_eq!(verify_consistency(old, size, &proof, &old_root, &root), Ok(()));
        let proof = proof.iter().map(theirs).collect();
        prop_assert!(tlog::check_tree(&proof, size, theirs(&root), old, theirs(&old_root)).is_ok());
    }

    #[test]
    fn a_changed_bit_of_an_inclusion_proof_is_refused(
        size in 1_u64..300, one in any::<prop::sample::Index>(), part in any::<prop::sample::Index>(), bit in 0_usize..256,
    ) {
        let grown = Grown::of_size(size);
        let index = one.index(usize::try_from(size).unwrap()) as u64;
        let (proof, root) = (grown.inclusion(index, size), grown.root());
        let leaf = grown.nodes[&Node { level: 0, index }];
        let check = |leaf: &Hash, index, size, proof: &[Hash], root: &Hash| verify_inclusion(leaf, index, size, proof, root);
        prop_assert_eq!(check(&leaf, index, size, &proof, &root), Ok(()));
        prop_assert!(check(&flipped(&leaf, bit), index, size, &proof, &root).is_err());
        prop_assert!(check(&leaf, index, size, &proof, &flipped(&root, bit)).is_err());
        prop_assert!(check(&leaf, index ^ 1 << (bit % 9), size, &proof, &root).is_err());
        if !proof.is_empty() {
            let place = part.index(proof.len());
            let mut changed = proof.clone();
            changed[place] = flipped(&proof[place], bit);
            prop_assert!(check(&leaf, index, size, &changed, &root).is_err());
            changed.remove(place);
            prop_assert!(check(&leaf, index, size, &changed, &root).is_err());
        }
        let mut longer = proof.clone();
        longer.insert(part.index(proof.len() + 1), root);
        prop_assert!(check(&leaf, index, size, &longer, &root).is_err());
    }

    #[test]
    fn a_changed_bit_of_a_consistency_proof_is_refused(
        new in 1_u64..300, one in any::<prop::sample::Index>(), part in any::<prop::sample::Index>(), bit in 0_usize..256,
    ) {
        let grown = Grown::of_size(new);
        let old = one.index(usize::try_from(new).unwrap()) as u64 + 1;
        let (proof, old_root, root) = (grown.consistency(old, new), grown.root_at(old), grown.root());
        prop_assert_eq!(verify_consistency(old, new, &proof, &old_root, &root), Ok(()));
        prop_assert!(verify_consistency(old, new, &proof, &flipped(&old_root, bit), &root).is_err());
        prop_assert!(verify_consistency(old, new, &proof, &old_root, &flipped(&root, bit)).is_err());
        if !proof.is_empty() {
            let place = part.index(proof.len());
            let mut changed = proof.clone();
            changed[place] = flipped(&proof[place], bit);
            prop_assert!(verify_consistency(old, new, &changed, &old_root, &root).is_err());
            changed.remove(place);
            prop_assert!(verify_consistency(old, new, &changed, &old_root, &root).is_err());
        }
        let mut longer = proof.clone();
        longer.insert(part.index(proof.len() + 1), root);
        prop_assert!(verify_consistency(old, new, &longer, &old_root, &root).is_err());
    }

    #[test]
    fn a_record_rewritten_at_one_place_no_longer_contains_its_old_self(
        new in 2_u64..200, one in any::<prop::sample::Index>(), other in any::<prop::sample::Index>(),
    ) {
        let length = usize::try_from(new).unwrap();
        let mut entries = crate::grown::entries(new);
        let before = Grown::of(&entries);
        let old = one.index(length) as u64 + 1;
        let place = other.index(usize::try_from(old).unwrap());
        entries[place].push(b'!');
        let after = Grown::of(&entries);
        let proof = after.consistency(old, new);
        let answer = verify_consistency(old, new, &proof, &before.root_at(old), &after.root());
        prop_assert!(answer.is_err());
    }

    #[test]
    fn a_frontier_comes_back_from_its_bytes(size in 0_u64..300) {
        let grown = Grown::of_size(size);
        let back = Frontier::from_bytes(size, &grown.frontier.peak_bytes()).unwrap();
        prop_assert_eq!(&back, &grown.frontier);
        let nodes: Vec<Hash> = root_plan(size).nodes().map(|node| grown.nodes[&node]).collect();
        prop_assert_eq!(Frontier::from_peaks(size, nodes).unwrap(), back);
    }

    #[test]
    fn no_size_however_large_panics(index in any::<u64>(), size in any::<u64>(), hashes in 0_usize..70) {
        let proof = vec![EMPTY_ROOT; hashes];
        let _answer = verify_inclusion(&EMPTY_ROOT, index, size, &proof, &EMPTY_ROOT);
        let _answer = verify_consistency(index, size, &proof, &EMPTY_ROOT, &EMPTY_ROOT);
        for plan in [inclusion_plan(index, size), consistency_plan(index, size)].into_iter().flatten() {
            // Every hash is the fold of at most one node for each bit of the size.
            prop_assert!(plan.0.len() <= 65 && plan.nodes().count() <= 2 * 64);
        }
        prop_assert_eq!(root_plan(size).nodes().count(), size.count_ones() as usize);
        let mut frontier = Frontier::from_peaks(size >> 1, vec![EMPTY_ROOT; (size >> 1).count_ones() as usize]).unwrap();
        prop_assert!(!frontier.append(EMPTY_ROOT).is_empty());
    }
}

#[test]
fn the_empty_record_has_a_root_and_no_proofs() {
    let empty = Grown::default();
    assert_eq!(empty.root(), EMPTY_ROOT);
    assert_eq!(empty.root_at(0), EMPTY_ROOT);
    assert_eq!(
        inclusion_plan(0, 0),
        Err(TreeError::NoSuchLeaf { index: 0, size: 0 })
    );
    assert_eq!(
        consistency_plan(0, 5),
        Err(TreeError::NoGrowth { old: 0, new: 5 })
    );
}

#[test]
fn an_append_names_every_node_it_completes() {
    let mut frontier = Frontier::default();
    let node = |level, index| Node { level, index };
    let mut finished = Vec::new();
    for _ in 0..4 {
        finished = frontier.append(EMPTY_ROOT);
    }
    let nodes: Vec<Node> = finished.iter().map(|(node, _)| *node).collect();
    assert_eq!(nodes, [node(0, 3), node(1, 1), node(2, 0)]);
    assert_eq!(finished[2].1, frontier.root());
}

#[test]
fn peaks_that_do_not_belong_to_a_size_are_refused() {
    let bytes = Grown::of_size(5).frontier.peak_bytes();
    assert_eq!(Frontier::from_bytes(7, &bytes), Err(TreeError::Peaks));
    assert_eq!(Frontier::from_bytes(5, &bytes[1..]), Err(TreeError::Peaks));
    assert_eq!(
        Frontier::from_peaks(u64::MAX, vec![EMPTY_ROOT; 64]),
        Err(TreeError::Peaks)
    );
}

#[test]
fn a_missing_node_is_named() {
    let node = Node { level: 1, index: 0 };
    let answer = inclusion_plan(2, 3).unwrap().fold(|_| None);
    assert_eq!(answer, Err(TreeError::Missing(node)));
    assert_eq!(
        TreeError::Missing(node).to_string(),
        "The node 0 of level 1 is missing."
    );
}
