//! Witnesses: whoever keeps the last checkpoint seen, and holds every later one against it.
//!
//! A record that was rewritten, or set back to an earlier copy, agrees with itself and with its own key. It
//! does not agree with a checkpoint that somebody else has kept. A witness may also sign what it keeps
//! (C2SP cosignature/v1), so that others can rely on its having looked.

use super::checkpoint::{Checkpoint, CheckpointError};
use super::hash::Hash;
use super::key::{KeyKind, Verifier};
use super::note::with_line;
use super::tree::verify_consistency;
use crate::domain::people::party::Side;
use crate::domain::values::ids::PartyId;
use crate::domain::values::words_of;

words_of! {
    /// Why a kept checkpoint and the record of now do not go together.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Why {
        /// The record has fewer entries than were kept.
        Shrunk = "entries are missing: the record is shorter than what was seen",
        /// The record's first entries come to another root than the one kept.
        Rewritten = "entries were changed: the record begins in another way than what was seen",
        /// The stored hashes do not lead from the kept root to the signed one.
        Unproven = "the stored hashes do not lead from what was seen to the record of now",
        /// The newest checkpoint is not signed by the record's key.
        Unsigned = "the newest checkpoint is not signed by the record's key",
        /// What was kept is signed by another key than the record's.
        OtherKey = "what was seen is signed by another key than the record's",
    }
}

/// Holds a newer checkpoint against a kept one. `root_then` is the root that the record gives now for the
/// kept size, `proof` the proof from there to the newer checkpoint.
pub fn contradiction(
    kept: &Checkpoint,
    newer: &Checkpoint,
    root_then: &Hash,
    proof: &[Hash],
) -> Option<Why> {
    if kept.origin != newer.origin {
        return Some(Why::OtherKey);
    }
    if newer.size < kept.size {
        return Some(Why::Shrunk);
    }
    if *root_then != kept.root {
        return Some(Why::Rewritten);
    }
    // Every record begins with the empty one.
    let grown = verify_consistency(kept.size, newer.size, proof, &kept.root, &newer.root).is_ok();
    (kept.size > 0 && !grown).then_some(Why::Unproven)
}

/// The name of a witness's key: the record's name, the kind of house and the first digits of the party's id.
/// No person stands in it.
pub fn witness_name(origin: &str, kind: Side, party: &PartyId) -> String {
    let digits = party.chars().filter(char::is_ascii_alphanumeric).take(12);
    format!("{origin}/{}-{}", kind.word(), digits.collect::<String>())
}

/// Why a cosignature is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CosignError {
    #[error("This is not a witness's key of this party.")]
    Key,
    #[error("The witness has not signed this checkpoint.")]
    NotSigned,
    #[error(transparent)]
    Checkpoint(#[from] CheckpointError),
}

/// Reads a checkpoint that the record's key has signed, with a witness's line below it.
pub fn cosigned(
    note: &str,
    line: &str,
    log: &Verifier,
    witness: &Verifier,
) -> Result<Checkpoint, CosignError> {
    if witness.kind() != KeyKind::Witness {
        return Err(CosignError::Key);
    }
    let both = with_line(note, line).map_err(CheckpointError::from)?;
    let seen = Checkpoint::open(&both, log, std::slice::from_ref(witness))?;
    if seen.cosigned.is_empty() {
        return Err(CosignError::NotSigned);
    }
    Ok(seen.checkpoint)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::hash::{EMPTY_ROOT, leaf_hash};
    use crate::record::key::Signer;
    use crate::record::note::cosign;
    use crate::record::tree::Frontier;

    const ORIGIN: &str = "record.vestibule.example/log1";

    fn at(size: u64, root: Hash) -> Checkpoint {
        Checkpoint {
            origin: ORIGIN.to_owned(),
            size,
            root,
        }
    }

    #[test]
    fn a_kept_checkpoint_is_contained_or_it_is_said_why_not() {
        let mut tree = Frontier::default();
        tree.append(leaf_hash(b"0"));
        let one = tree.root();
        tree.append(leaf_hash(b"1"));
        let two = tree.root();
        let (kept, newer) = (at(1, one), at(2, two));
        let second = [leaf_hash(b"1")];
        let other = leaf_hash(b"other");
        for (kept, newer, root_then, proof, why) in [
            (&kept, &newer, one, &second[..], None),
            (&kept, &kept, one, &[], None),
            (&at(0, EMPTY_ROOT), &newer, EMPTY_ROOT, &[], None),
            (&newer, &kept, two, &[], Some(Why::Shrunk)),
            (&kept, &newer, other, &second, Some(Why::Rewritten)),
            (&kept, &at(1, other), other, &[], Some(Why::Rewritten)),
            (&kept, &newer, one, &[], Some(Why::Unproven)),
            (&kept, &newer, one, &[other], Some(Why::Unproven)),
        ] {
            assert_eq!(contradiction(kept, newer, &root_then, proof), why);
        }
        let elsewhere = Checkpoint {
            origin: "another".to_owned(),
            ..kept.clone()
        };
        assert_eq!(
            contradiction(&elsewhere, &kept, &one, &[]),
            Some(Why::OtherKey)
        );
    }

    #[test]
    fn a_cosignature_is_taken_from_its_own_key_under_its_own_checkpoint_only() {
        let log = Signer::log(ORIGIN, &[7; 32]).unwrap();
        let name = witness_name(
            ORIGIN,
            Side::Lab,
            &PartyId::new("c5f3becd-33fe-45d6-81d7-a1d10111df71"),
        );
        assert_eq!(name, "record.vestibule.example/log1/lab-c5f3becd33fe");
        let witness = Signer::witness(&name, &[9; 32]).unwrap();
        let other = Signer::witness(&name, &[8; 32]).unwrap();
        let checkpoint = at(1, leaf_hash(b"0"));
        let note = checkpoint.sign(&log).unwrap();
        let line = cosign(&checkpoint.to_string(), &witness, 1_772_438_400).unwrap();
        let ask = |note: &str, line: &str, key: &Signer| {
            cosigned(note, line, log.verifier(), key.verifier())
        };
        assert_eq!(ask(&note, &line, &witness), Ok(checkpoint.clone()));
        assert_eq!(ask(&note, &line, &other), Err(CosignError::NotSigned));
        assert_eq!(ask(&note, &line, &log), Err(CosignError::Key));
        let elsewhere = at(2, leaf_hash(b"0")).sign(&log).unwrap();
        assert!(ask(&elsewhere, &line, &witness).is_err());
        assert!(ask(&checkpoint.to_string(), &line, &witness).is_err());
    }
}
