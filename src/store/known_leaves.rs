//! What every leaf is filed under, in memory, as its own bytes say.
//!
//! Leaves are looked up by index, and whoever can write the database can make an index, or the server, leave one out. So
//! the numbers that a lookup gives are held against those that are known here.

use crate::record::filed::{FiledUnder, RowOf};
use crate::record::hash::Hash;
use crate::record::tree::Frontier;
use std::collections::HashMap;
use std::collections::hash_map::RandomState;
use std::hash::BuildHasher;

/// The newest that are looked through one by one, before they are put among the others.
const UNSORTED: usize = 4_096;

/// How leaves are looked up.
#[derive(Debug, Clone, Copy)]
pub(super) enum By<'a> {
    /// Of a case, or of a row of reference data.
    Owner(&'a str),
    /// Of a kind, about one row.
    About(&'a str, &'a str),
    /// Of a kind.
    Kind(&'a str),
}

/// Numbers of leaves, each under the hash of a key: 16 bytes for each leaf. The hash is another one in each program, so
/// that nobody can choose two keys with the same.
#[derive(Debug, Default)]
struct Numbers {
    sorted: Vec<(u64, u64)>,
    newest: Vec<(u64, u64)>,
}

impl Numbers {
    fn sort(&mut self) {
        let newest = std::mem::take(&mut self.newest);
        // A million leaves are not to take twice their room.
        self.sorted.reserve_exact(newest.len());
        self.sorted.extend(newest);
        self.sorted.sort_unstable();
    }

    /// In order: of the newest, each comes after all others.
    fn of(&self, key: u64) -> impl Iterator<Item = u64> {
        let from = self.sorted.partition_point(|(other, _)| *other < key);
        let sorted = self.sorted.iter().skip(from);
        let sorted = sorted.take_while(move |(other, _)| *other == key);
        let newest = self.newest.iter().filter(move |(other, _)| *other == key);
        sorted.chain(newest).map(|(_, number)| *number)
    }
}

/// The leaves from the first on, without a gap: 48 bytes for each.
#[derive(Debug, Default)]
pub(super) struct KnownLeaves {
    hashed: RandomState,
    frontier: Frontier,
    owners: Numbers,
    abouts: Numbers,
    kinds: Numbers,
    /// How many rows each house has by them: a few for each house.
    rows: HashMap<RowOf, u64>,
}

impl KnownLeaves {
    pub fn frontier(&self) -> &Frontier {
        &self.frontier
    }

    pub fn size(&self) -> u64 {
        self.frontier.size()
    }

    /// Takes the next leaf.
    pub fn append(&mut self, filed: &FiledUnder, leaf: Hash) {
        let number = self.size();
        let [owner, about, kind] = self.keys(filed);
        self.owners.newest.push((owner, number));
        self.abouts.newest.push((about, number));
        self.kinds.newest.push((kind, number));
        for row in &filed.rows_of {
            match self.rows.get_mut(row) {
                Some(count) => *count += 1,
                None => {
                    self.rows.insert(row.clone(), 1);
                }
            }
        }
        self.frontier.append(leaf);
    }

    /// Puts what was taken in order, once there is enough of it.
    pub fn sort(&mut self) {
        if self.owners.newest.len() >= UNSORTED {
            self.owners.sort();
            self.abouts.sort();
            self.kinds.sort();
        }
    }

    /// The leaves that a lookup has to give, in order.
    pub fn of(&self, by: By<'_>) -> impl Iterator<Item = u64> {
        let numbers = match by {
            By::Owner(_) => &self.owners,
            By::About(..) => &self.abouts,
            By::Kind(_) => &self.kinds,
        };
        numbers.of(self.key(by))
    }

    /// How many rows a house has by the leaves that are known.
    pub fn rows_of(&self, row: &RowOf) -> u64 {
        self.rows.get(row).copied().unwrap_or_default()
    }

    fn key(&self, by: By<'_>) -> u64 {
        match by {
            By::Owner(one) | By::Kind(one) => self.hashed.hash_one(one),
            By::About(kind, about) => self.hashed.hash_one((kind, about)),
        }
    }

    fn keys(&self, filed: &FiledUnder) -> [u64; 3] {
        let kind = filed.kind.word();
        [
            self.key(By::Owner(&filed.owner)),
            self.key(By::About(kind, &filed.about)),
            self.key(By::Kind(kind)),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::entry::LeafKind;
    use crate::record::hash::leaf_hash;

    fn filed(number: u64) -> FiledUnder {
        FiledUnder {
            kind: match number % 2 {
                0 => LeafKind::Event,
                _ => LeafKind::Revision,
            },
            about: format!("row {number}"),
            owner: format!("case {}", number % 3),
            rows_of: vec![RowOf::CaseOfLab(format!("lab {}", number % 2))],
        }
    }

    #[test]
    fn what_a_lookup_has_to_give_is_known_whether_it_is_old_or_new() {
        let mut known = KnownLeaves::default();
        let leaves = UNSORTED as u64 + 10;
        for number in 0..leaves {
            known.append(&filed(number), leaf_hash(&number.to_be_bytes()));
            known.sort();
        }
        assert_eq!((known.size(), known.owners.newest.len()), (leaves, 10));
        let of = |by: By<'_>| known.of(by).collect::<Vec<u64>>();
        let third: Vec<u64> = (0..leaves).filter(|number| number % 3 == 1).collect();
        assert_eq!(of(By::Owner("case 1")), third);
        let odd: Vec<u64> = (0..leaves).filter(|number| number % 2 == 1).collect();
        assert_eq!(of(By::Kind("revision")), odd);
        for number in [0, 7, leaves - 1] {
            let one = filed(number);
            assert_eq!(of(By::About(one.kind.word(), &one.about)), [number]);
        }
        assert_eq!(of(By::Owner("case 9")), Vec::<u64>::new());
        for (lab, rows) in [("lab 0", leaves / 2), ("lab 1", leaves / 2), ("lab 2", 0)] {
            let row = RowOf::CaseOfLab(lab.to_owned());
            assert_eq!(known.rows_of(&row), rows, "{lab}");
        }
        assert_eq!(of(By::About("event", "row 1")), Vec::<u64>::new());
    }
}
