//! Proofs as files: that an entry is in the record (C2SP tlog-proof), and that one checkpoint contains an older
//! one (the form in which witnesses are asked, C2SP tlog-witness). Both carry the signed checkpoint along, so
//! that one file, the entry and the printed key are enough, without any server.

use super::checkpoint::{Checkpoint, CheckpointError, OpenedCheckpoint};
use super::hash::{EMPTY_ROOT, Hash, leaf_hash};
use super::key::Verifier;
use super::tree::{TreeError, verify_consistency, verify_inclusion};
use base64::{Engine, engine::general_purpose::STANDARD};
use std::fmt;

const HEAD: &str = "c2sp.org/tlog-proof@v1";

/// No proof has more hashes than a size has bits.
const MOST_HASHES: usize = 64;

/// Why a proof file is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ProofError {
    #[error("The first line of a proof is {HEAD}.")]
    Head,
    #[error("The file has no line “{0}” with a number.")]
    Number(&'static str),
    #[error("A line between the number and the empty line is no hash in base64.")]
    Hash,
    #[error("A proof has at most 64 hashes.")]
    TooMany,
    #[error("The file has no checkpoint after an empty line.")]
    NoCheckpoint,
    #[error("The extra line is no base64.")]
    Extra,
    #[error(transparent)]
    Checkpoint(#[from] CheckpointError),
    #[error(transparent)]
    Tree(#[from] TreeError),
}

/// That an entry is in the record: the file whose name ends in `.tlog-proof`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InclusionProof {
    /// Whatever the writer wants to say besides; we write none, and read it.
    pub extra: Option<Vec<u8>>,
    pub index: u64,
    /// From the leaf to the root.
    pub hashes: Vec<Hash>,
    /// The signed note.
    pub checkpoint: String,
}

impl InclusionProof {
    pub fn parse(file: &str) -> Result<InclusionProof, ProofError> {
        let (head, checkpoint) = halves(file)?;
        let mut lines = head.split('\n');
        if lines.next() != Some(HEAD) {
            return Err(ProofError::Head);
        }
        let mut next = lines.next();
        let extra = next.and_then(|line| line.strip_prefix("extra "));
        if extra.is_some() {
            next = lines.next();
        }
        let extra = extra.map(|extra| STANDARD.decode(extra));
        Ok(InclusionProof {
            extra: extra.transpose().map_err(|_| ProofError::Extra)?,
            index: number(next, "index ").ok_or(ProofError::Number("index"))?,
            hashes: hashes(lines)?,
            checkpoint: checkpoint.to_owned(),
        })
    }

    /// Checks the checkpoint's signatures and that the entry leads to its root.
    pub fn verify(
        &self,
        entry: &[u8],
        log: &Verifier,
        witnesses: &[Verifier],
    ) -> Result<OpenedCheckpoint, ProofError> {
        let seen = Checkpoint::open(&self.checkpoint, log, witnesses)?;
        let Checkpoint { size, root, .. } = &seen.checkpoint;
        verify_inclusion(&leaf_hash(entry), self.index, *size, &self.hashes, root)?;
        Ok(seen)
    }
}

/// The file's text.
impl fmt::Display for InclusionProof {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{HEAD}")?;
        if let Some(extra) = &self.extra {
            writeln!(f, "extra {}", STANDARD.encode(extra))?;
        }
        writeln!(f, "index {}", self.index)?;
        write_rest(f, &self.hashes, &self.checkpoint)
    }
}

/// That the record of a checkpoint begins with the record of an older size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GrowthProof {
    pub old: u64,
    pub hashes: Vec<Hash>,
    /// The newer checkpoint, a signed note.
    pub checkpoint: String,
}

impl GrowthProof {
    pub fn parse(file: &str) -> Result<GrowthProof, ProofError> {
        let (head, checkpoint) = halves(file)?;
        let mut lines = head.split('\n');
        Ok(GrowthProof {
            old: number(lines.next(), "old ").ok_or(ProofError::Number("old"))?,
            hashes: hashes(lines)?,
            checkpoint: checkpoint.to_owned(),
        })
    }

    /// Checks the newer checkpoint's signatures and that its record begins with the one whose root is given.
    pub fn verify(
        &self,
        old_root: &Hash,
        log: &Verifier,
        witnesses: &[Verifier],
    ) -> Result<OpenedCheckpoint, ProofError> {
        let seen = Checkpoint::open(&self.checkpoint, log, witnesses)?;
        self.leads(old_root, &seen.checkpoint)?;
        Ok(seen)
    }

    /// Whether the hashes lead from the older root to the newer checkpoint.
    pub(super) fn leads(&self, old_root: &Hash, newer: &Checkpoint) -> Result<(), TreeError> {
        // Every record begins with the empty one: a witness that sees a record for the first time says 0.
        if self.old == 0 && self.hashes.is_empty() && *old_root == EMPTY_ROOT {
            return Ok(());
        }
        verify_consistency(self.old, newer.size, &self.hashes, old_root, &newer.root)
    }
}

/// The file's text.
impl fmt::Display for GrowthProof {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "old {}", self.old)?;
        write_rest(f, &self.hashes, &self.checkpoint)
    }
}

/// The lines before the first empty line, and the checkpoint after it.
fn halves(file: &str) -> Result<(&str, &str), ProofError> {
    file.split_once("\n\n").ok_or(ProofError::NoCheckpoint)
}

/// A number without sign or leading zeros after its word.
fn number(line: Option<&str>, word: &str) -> Option<u64> {
    let digits = line?.strip_prefix(word)?;
    let number: u64 = digits.parse().ok()?;
    (number.to_string() == digits).then_some(number)
}

fn hashes<'a>(lines: impl Iterator<Item = &'a str>) -> Result<Vec<Hash>, ProofError> {
    let hash = |line| Hash::from_slice(&STANDARD.decode(line).ok()?);
    let mut hashes = Vec::new();
    for line in lines {
        if hashes.len() == MOST_HASHES {
            return Err(ProofError::TooMany);
        }
        hashes.push(hash(line).ok_or(ProofError::Hash)?);
    }
    Ok(hashes)
}

fn write_rest(f: &mut fmt::Formatter<'_>, hashes: &[Hash], checkpoint: &str) -> fmt::Result {
    for hash in hashes {
        writeln!(f, "{}", STANDARD.encode(hash.bytes()))?;
    }
    write!(f, "\n{checkpoint}")
}
