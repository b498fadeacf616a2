//! A tree with all its nodes, as a database would keep them, and the keys of the tests.

use std::collections::BTreeMap;
use vestibule::record::checkpoint::Checkpoint;
use vestibule::record::hash::{Hash, leaf_hash};
use vestibule::record::key::Signer;
use vestibule::record::tree::{
    Frontier, Node, NodePlan, consistency_plan, inclusion_plan, root_plan,
};

pub const ORIGIN: &str = "record.vestibule.example/log1";

#[derive(Default)]
pub struct Grown {
    pub frontier: Frontier,
    pub nodes: BTreeMap<Node, Hash>,
}

impl Grown {
    pub fn of(entries: &[Vec<u8>]) -> Grown {
        let mut grown = Grown::default();
        for entry in entries {
            grown.nodes.extend(grown.frontier.append(leaf_hash(entry)));
        }
        grown
    }

    /// So many leaves, each another.
    pub fn of_size(size: u64) -> Grown {
        Grown::of(&entries(size))
    }

    pub fn size(&self) -> u64 {
        self.frontier.size()
    }

    pub fn root(&self) -> Hash {
        self.frontier.root()
    }

    fn fold(&self, plan: &NodePlan) -> Vec<Hash> {
        plan.fold(|node| self.nodes.get(&node).copied()).unwrap()
    }

    pub fn root_at(&self, size: u64) -> Hash {
        self.fold(&root_plan(size))[0]
    }

    pub fn inclusion(&self, index: u64, size: u64) -> Vec<Hash> {
        self.fold(&inclusion_plan(index, size).unwrap())
    }

    pub fn consistency(&self, old: u64, new: u64) -> Vec<Hash> {
        self.fold(&consistency_plan(old, new).unwrap())
    }

    pub fn checkpoint(&self) -> String {
        let checkpoint = Checkpoint {
            origin: ORIGIN.to_owned(),
            size: self.size(),
            root: self.root(),
        };
        checkpoint.sign(&log_key()).unwrap()
    }
}

pub fn entries(size: u64) -> Vec<Vec<u8>> {
    (0..size)
        .map(|n| format!("entry {n}").into_bytes())
        .collect()
}

pub fn log_key() -> Signer {
    Signer::log(ORIGIN, &[7; 32]).unwrap()
}

pub fn witness_key() -> Signer {
    Signer::witness("lab.vestibule.example", &[9; 32]).unwrap()
}
