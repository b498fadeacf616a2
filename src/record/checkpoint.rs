//! A checkpoint (C2SP tlog-checkpoint): which record, how many leaves, and their root, in three lines.

use super::hash::Hash;
use super::key::{KeyKind, Signer, Verifier};
use super::note::{NoteError, NoteSigned, open_note, sign_note, text_of};
use base64::{Engine, engine::general_purpose::STANDARD};
use std::fmt;

/// The state of a record at one moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Checkpoint {
    /// Names the record, and is the name of its key.
    pub origin: String,
    pub size: u64,
    pub root: Hash,
}

/// Why a checkpoint is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CheckpointError {
    #[error("A checkpoint has three lines: the name of the record, its size, its root in base64.")]
    Form,
    #[error("This checkpoint is of the record {found}, and {wanted} is wanted.")]
    Origin { found: String, wanted: String },
    #[error("The record's own key has not signed this checkpoint.")]
    NotSigned,
    #[error(transparent)]
    Note(#[from] NoteError),
}

impl Checkpoint {
    /// What a kept or found note says, whoever signed it; `None` where it says nothing.
    pub fn of_note(note: &str) -> Option<Checkpoint> {
        Checkpoint::parse(text_of(note).ok()?).ok()
    }

    /// Reads the three lines; anything more or less is refused, since the size is what proofs hang on.
    pub fn parse(text: &str) -> Result<Checkpoint, CheckpointError> {
        let lines: Vec<&str> = text
            .strip_suffix('\n')
            .ok_or(CheckpointError::Form)?
            .split('\n')
            .collect();
        let [origin, size, root] = lines.as_slice() else {
            return Err(CheckpointError::Form);
        };
        let read = || {
            let root = Hash::from_slice(&STANDARD.decode(root).ok()?)?;
            let checkpoint = Checkpoint {
                origin: (*origin).to_owned(),
                size: size.parse().ok()?,
                root,
            };
            // Leading zeros, signs and the like would not come back the same.
            (!origin.is_empty() && checkpoint.to_string() == text).then_some(checkpoint)
        };
        read().ok_or(CheckpointError::Form)
    }

    /// The signed note.
    pub fn sign(&self, key: &Signer) -> Result<String, CheckpointError> {
        same_origin(self, key.verifier())?;
        Ok(sign_note(&self.to_string(), key)?)
    }

    /// Reads a signed checkpoint. The record's own key must have signed it; witnesses may have.
    pub fn open(
        note: &str,
        log: &Verifier,
        witnesses: &[Verifier],
    ) -> Result<OpenedCheckpoint, CheckpointError> {
        let known: Vec<&Verifier> = std::iter::once(log).chain(witnesses).collect();
        let opened = open_note(note, &known)?;
        let (own, cosigned): (Vec<NoteSigned>, Vec<NoteSigned>) = opened
            .signed
            .into_iter()
            .partition(|signed| signed.kind == KeyKind::Log && signed.id == log.id());
        if own.is_empty() {
            return Err(CheckpointError::NotSigned);
        }
        let checkpoint = Checkpoint::parse(&opened.text)?;
        same_origin(&checkpoint, log)?;
        Ok(OpenedCheckpoint {
            checkpoint,
            cosigned,
        })
    }
}

/// A checkpoint whose signatures fit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenedCheckpoint {
    pub checkpoint: Checkpoint,
    /// The witnesses that are known and have signed.
    pub cosigned: Vec<NoteSigned>,
}

fn same_origin(checkpoint: &Checkpoint, key: &Verifier) -> Result<(), CheckpointError> {
    if checkpoint.origin != key.name() {
        return Err(CheckpointError::Origin {
            found: checkpoint.origin.clone(),
            wanted: key.name().to_owned(),
        });
    }
    Ok(())
}

/// The text that is signed.
impl fmt::Display for Checkpoint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let root = STANDARD.encode(self.root.bytes());
        write!(f, "{}\n{}\n{root}\n", self.origin, self.size)
    }
}
