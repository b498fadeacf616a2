//! The hash tree of RFC 9162 section 2.1: growing it, planning proofs from it, and checking them.
//!
//! Stored are only the complete subtrees, the nodes; they never change once written. A proof hash, a root of
//! any size, or the frontier is a fold of a few nodes, so that each is planned first and the nodes are then
//! fetched in one go. All arithmetic stays in 64 bits for every size.

use super::hash::{EMPTY_ROOT, Hash, node_hash};

/// A complete subtree: `level` 0 is a leaf, and the node covers the leaves from `index << level` on,
/// `1 << level` of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, std::hash::Hash)]
pub struct Node {
    pub level: u8,
    pub index: u64,
}

/// A size is stored as a signed number of 64 bits. Proofs are checked for every size all the same.
const LARGEST: u64 = i64::MAX as u64;

/// Why a proof, or what a proof is made of, is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TreeError {
    #[error("There is no leaf {index} in a record of {size}.")]
    NoSuchLeaf { index: u64, size: u64 },
    #[error("A record of {old} cannot grow into a record of {new}.")]
    NoGrowth { old: u64, new: u64 },
    #[error("The proof has too many or too few hashes for a record of this size.")]
    Length,
    #[error("The proof does not lead to the root.")]
    Root,
    #[error("The older record is not contained in the newer one.")]
    OldRoot,
    #[error("The node {index} of level {level} is missing.", level = .0.level, index = .0.index)]
    Missing(Node),
    #[error("A record of this size does not have this number of whole parts.")]
    Peaks,
}

/// A tree's right edge: the size and the roots of its complete subtrees, largest first. Enough to append and
/// to give the root.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Frontier {
    size: u64,
    peaks: Vec<Hash>,
}

impl Frontier {
    /// From the peaks that [`root_plan`] names for this size.
    pub fn from_peaks(size: u64, peaks: Vec<Hash>) -> Result<Frontier, TreeError> {
        if size > LARGEST || usize::try_from(size.count_ones()) != Ok(peaks.len()) {
            return Err(TreeError::Peaks);
        }
        Ok(Frontier { size, peaks })
    }

    /// From the bytes of [`Frontier::peak_bytes`].
    pub fn from_bytes(size: u64, bytes: &[u8]) -> Result<Frontier, TreeError> {
        let (peaks, rest) = bytes.as_chunks::<32>();
        if !rest.is_empty() {
            return Err(TreeError::Peaks);
        }
        Frontier::from_peaks(size, peaks.iter().copied().map(Hash::new).collect())
    }

    /// The peaks one after the other, 32 bytes each.
    pub fn peak_bytes(&self) -> Vec<u8> {
        self.peaks.iter().flat_map(|peak| *peak.bytes()).collect()
    }

    pub fn size(&self) -> u64 {
        self.size
    }

    pub fn peaks(&self) -> &[Hash] {
        &self.peaks
    }

    /// Takes one more leaf. Answers with every node that it completed, the leaf itself first.
    pub fn append(&mut self, leaf: Hash) -> Vec<(Node, Hash)> {
        let node = |level: u8| Node {
            level,
            index: self.size >> level,
        };
        let (mut level, mut hash) = (0, leaf);
        let mut finished = vec![(node(level), hash)];
        // Every set bit at the low end of the size is a peak that this leaf completes into a larger one.
        while self.size >> level & 1 == 1
            && let Some(left) = self.peaks.pop()
        {
            hash = node_hash(&left, &hash);
            level += 1;
            finished.push((node(level), hash));
        }
        self.peaks.push(hash);
        self.size += 1;
        finished
    }

    pub fn root(&self) -> Hash {
        fold(&self.peaks)
    }
}

/// The hash over neighbouring subtrees of falling size. Over none it is the empty root.
fn fold(parts: &[Hash]) -> Hash {
    let over = |right: Hash, left: &Hash| node_hash(left, &right);
    match parts.split_last() {
        Some((last, others)) => others.iter().rev().fold(*last, over),
        None => EMPTY_ROOT,
    }
}

/// What to fetch: for each wanted hash, the nodes whose fold it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NodePlan(pub Vec<Vec<Node>>);

impl NodePlan {
    /// Every node to fetch.
    pub fn nodes(&self) -> impl Iterator<Item = Node> {
        self.0.iter().flatten().copied()
    }

    /// The wanted hashes, from the nodes that `lookup` gives.
    pub fn fold(&self, lookup: impl Fn(Node) -> Option<Hash>) -> Result<Vec<Hash>, TreeError> {
        let get = |&node: &Node| lookup(node).ok_or(TreeError::Missing(node));
        let wanted = |nodes: &Vec<Node>| {
            let parts = nodes.iter().map(get).collect::<Result<Vec<_>, _>>()?;
            Ok(fold(&parts))
        };
        self.0.iter().map(wanted).collect()
    }
}

/// The complete subtrees of the leaves from `begin` to before `end`, where `begin` is where a subtree of the
/// tree begins, and so a multiple of every power of two up to the length.
fn nodes_between(mut begin: u64, end: u64) -> Vec<Node> {
    let mut nodes = Vec::new();
    while let Some(level) = (end - begin).checked_ilog2() {
        nodes.push(Node {
            level: level as u8,
            index: begin >> level,
        });
        begin += 1 << level;
    }
    nodes
}

/// Where the tree over `length` leaves splits: the largest power of two below it. For two leaves and more.
fn split(length: u64) -> u64 {
    1 << (length - 1).ilog2()
}

/// The nodes whose fold is the root of the first `size` leaves; they are also the peaks of that size.
pub fn root_plan(size: u64) -> NodePlan {
    NodePlan(vec![nodes_between(0, size)])
}

/// RFC 9162 section 2.1.3.1: the proof that leaf `index` is in the tree of `size`.
pub fn inclusion_plan(index: u64, size: u64) -> Result<NodePlan, TreeError> {
    if index >= size {
        return Err(TreeError::NoSuchLeaf { index, size });
    }
    let (mut begin, mut end, mut wanted) = (0, size, Vec::new());
    while end - begin > 1 {
        let middle = begin + split(end - begin);
        if index < middle {
            wanted.push(nodes_between(middle, end));
            end = middle;
        } else {
            wanted.push(nodes_between(begin, middle));
            begin = middle;
        }
    }
    wanted.reverse();
    Ok(NodePlan(wanted))
}

/// RFC 9162 section 2.1.4.1: the proof that the tree of `new` begins with the tree of `old`.
pub fn consistency_plan(old: u64, new: u64) -> Result<NodePlan, TreeError> {
    if old == 0 || old > new {
        return Err(TreeError::NoGrowth { old, new });
    }
    let (mut begin, mut end, mut wanted) = (0, new, Vec::new());
    while old != end {
        let middle = begin + split(end - begin);
        if old <= middle {
            wanted.push(nodes_between(middle, end));
            end = middle;
        } else {
            wanted.push(nodes_between(begin, middle));
            begin = middle;
        }
    }
    // Where the old tree is itself a subtree of the new, whoever checks knows its hash already.
    if begin > 0 {
        wanted.push(nodes_between(begin, end));
    }
    wanted.reverse();
    Ok(NodePlan(wanted))
}

/// RFC 9162 section 2.1.3.2.
pub fn verify_inclusion(
    leaf: &Hash,
    index: u64,
    size: u64,
    proof: &[Hash],
    root: &Hash,
) -> Result<(), TreeError> {
    if index >= size {
        return Err(TreeError::NoSuchLeaf { index, size });
    }
    let (mut place, mut last, mut hash) = (index, size - 1, *leaf);
    for other in proof {
        if last == 0 {
            return Err(TreeError::Length);
        }
        if place & 1 == 1 || place == last {
            hash = node_hash(other, &hash);
            climb_to_a_right_child(&mut place, &mut last);
        } else {
            hash = node_hash(&hash, other);
        }
        (place, last) = (place >> 1, last >> 1);
    }
    match (last, hash == *root) {
        (0, true) => Ok(()),
        (0, false) => Err(TreeError::Root),
        _ => Err(TreeError::Length),
    }
}

/// RFC 9162 section 2.1.4.2. Nothing is shown by a proof from an empty record, so that one is refused.
pub fn verify_consistency(
    old: u64,
    new: u64,
    proof: &[Hash],
    old_root: &Hash,
    new_root: &Hash,
) -> Result<(), TreeError> {
    if old == 0 || old > new {
        return Err(TreeError::NoGrowth { old, new });
    }
    if old == new {
        return match (proof.is_empty(), old_root == new_root) {
            (true, true) => Ok(()),
            (true, false) => Err(TreeError::OldRoot),
            (false, _) => Err(TreeError::Length),
        };
    }
    let (first, others) = if old.is_power_of_two() {
        (*old_root, proof)
    } else {
        let (first, others) = proof.split_first().ok_or(TreeError::Length)?;
        (*first, others)
    };
    let (mut place, mut last) = (old - 1, new - 1);
    let whole = place.trailing_ones();
    (place, last) = (place >> whole, last >> whole);
    let (mut old_hash, mut new_hash) = (first, first);
    for other in others {
        if last == 0 {
            return Err(TreeError::Length);
        }
        if place & 1 == 1 || place == last {
            old_hash = node_hash(other, &old_hash);
            new_hash = node_hash(other, &new_hash);
            climb_to_a_right_child(&mut place, &mut last);
        } else {
            new_hash = node_hash(&new_hash, other);
        }
        (place, last) = (place >> 1, last >> 1);
    }
    match (last, old_hash == *old_root, new_hash == *new_root) {
        (0, true, true) => Ok(()),
        (0, false, true) => Err(TreeError::OldRoot),
        (0, _, false) => Err(TreeError::Root),
        _ => Err(TreeError::Length),
    }
}

/// A last node without a right neighbour stands for itself on the levels above, until it is a right child.
fn climb_to_a_right_child(place: &mut u64, last: &mut u64) {
    while *place & 1 == 0 && *place != 0 {
        (*place, *last) = (*place >> 1, *last >> 1);
    }
}
