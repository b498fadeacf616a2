//! Where the record stood when a paper was made: its size, its root and the key that signs it.
//!
//! Whoever holds the paper can tell later whether the record still begins with the very same entries. The
//! words here are those that a person types and a telephone reads; `layout::record` sets them.

use crate::record::hash::Hash;
use crate::record::key::Verifier;
use crate::record::words::{FEWEST_DIGITS, PaperRoot};

/// Size, root and key of the record at one moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordMark {
    pub size: u64,
    pub root: Hash,
    /// The eight digits of the key.
    pub key_id: String,
    /// The whole public key, as `verify --key` takes it.
    pub key: String,
}

impl RecordMark {
    pub fn new(size: u64, root: Hash, key: &Verifier) -> RecordMark {
        RecordMark {
            size,
            root,
            key_id: key.id().to_string(),
            key: key.to_string(),
        }
    }

    /// What the QR code holds: `412:8C27F0A1…` without a space, in letters of the code's dense mode.
    pub fn code(&self) -> String {
        format!("{}:{}", self.size, self.root).to_uppercase()
    }

    /// The same in groups of eight digits, to be read and typed.
    pub fn letters(&self) -> String {
        PaperRoot::new(self.size, &self.root).to_string()
    }

    /// One line for small paper: the root's first digits only, as few as are taken back.
    pub fn short(&self) -> String {
        /// The digits stand in groups of eight with a space between them.
        const GROUPS: usize = FEWEST_DIGITS / 8;
        let letters = self.letters();
        let groups: Vec<&str> = letters.split(' ').take(GROUPS).collect();
        format!("Record {}, key {}", groups.join(" "), self.key_id)
    }
}

/// What a slip says of its own place in the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum InRecord {
    /// The record that ends with the entry of this slip.
    At(RecordMark),
    /// Nothing that is not signed is in it.
    Draft,
    /// Signed, and yet there is no entry.
    Missing,
}

/// What stands on a draft in the place of size and root.
pub const DRAFT_WORDS: &str =
    "This draft is not in the record: only what is signed gets an entry there.";

/// What stands on a signed slip without an entry.
pub const MISSING_WORDS: &str = "No entry of the record stands for this revision. Have the record checked before you \
    rely on this paper.";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::hash::leaf_hash;
    use crate::record::key::Signer;

    #[test]
    fn what_is_printed_is_taken_back_as_typed() {
        let key = Signer::log("a.example/record", &[3; 32]).unwrap();
        let mark = RecordMark::new(412, leaf_hash(b"root"), key.verifier());
        let whole = PaperRoot::new(412, &mark.root);
        assert_eq!(PaperRoot::parse(&mark.code()), Ok(whole.clone()));
        assert_eq!(PaperRoot::parse(&mark.letters()), Ok(whole));
        let short = mark.short();
        let (typed, id) = short.split_once(", key ").unwrap();
        let typed = PaperRoot::parse(typed.trim_start_matches("Record ")).unwrap();
        assert!(
            typed.is_abbreviated() && typed.digits() == FEWEST_DIGITS && typed.fits(&mark.root)
        );
        assert_eq!(id, key.verifier().id().to_string());
        assert_eq!(Verifier::parse(&mark.key).as_ref(), Ok(key.verifier()));
    }
}
