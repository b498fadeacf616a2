//! The record against published values, against implementations by other hands, and against whoever changes a
//! bit of it.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check falls over where it is not true"
)]

mod bundles; // the folder for a third person
mod facts; // events and other facts to make leaves of
mod grown; // a tree with all its nodes, as a database would keep them
mod leaves; // what is in a leaf, and what is not
mod notes; // keys, signed notes, checkpoints, proof files
mod published; // values and cases that others have published
mod trees; // roots and proofs of random trees
mod words; // size and root as people type them
