//! The record: an append-only tree of what happened and was signed, that neither side can rewrite unseen.
//!
//! Each fact is a leaf, its canonical bytes with every free text replaced by a salted commitment. The leaves
//! stand in a hash tree (RFC 9162); its size and root are signed as a checkpoint (C2SP signed note), printed
//! on paper and kept by the other side. From there on a proof in a file shows that a leaf is in the tree, and
//! that a later tree contains the earlier one. Everything here is computed from what the caller brings:
//! hashes by a lookup, keys by their seed, salts and moments as values.

pub mod archive; // a folder as one file
pub mod bundle; // a folder that a third person can check
pub mod checkpoint; // size and root of a tree, as text
pub mod entry; // which facts become leaves, and what of them stays open
pub mod filed; // under which kind and keys a leaf is found
pub mod hash; // leaf and node hashes
pub mod key; // who signs, and how a key is written
pub mod leaf; // canonical bytes with committed texts
pub mod note; // a signed text
pub mod proof; // proofs as files
pub mod tree; // the tree and its proofs
pub mod witness; // who keeps checkpoints, and what they find
pub mod words; // size and root as people read and type them
