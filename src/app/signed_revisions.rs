//! What was signed of a case, read once for whoever takes the case in hand.

use super::AppError;
use crate::domain::prescription::revision::{Document, Revision};
use crate::domain::values::moment::Moment;

/// All revisions of a case, oldest first, and the text of each.
#[derive(Debug, Clone, Default)]
pub struct SignedRevisions {
    pub revisions: Vec<Revision>,
    /// In the same order.
    pub documents: Vec<Document>,
    /// The entry of the record that stands for each, in the same order; nothing where that was not asked.
    entries: Vec<Option<u64>>,
}

impl SignedRevisions {
    pub fn read(revisions: Vec<Revision>) -> Result<SignedRevisions, AppError> {
        let open = |one: &Revision| Document::from_canonical(&one.document);
        let documents = revisions.iter().map(open).collect::<Result<_, _>>()?;
        Ok(SignedRevisions {
            revisions,
            documents,
            entries: Vec::new(),
        })
    }

    /// The same with the entry that stands for each.
    pub(super) fn with_entries(self, entries: Vec<Option<u64>>) -> SignedRevisions {
        SignedRevisions { entries, ..self }
    }

    /// The entry that stands for a revision, where it is known.
    pub(super) fn entry_of(&self, number: i64) -> Option<u64> {
        let mut all = self.revisions.iter().zip(&self.entries);
        let found = all.find(|(revision, _)| revision.number == number);
        found.and_then(|(_, entry)| *entry)
    }

    /// The one in force; none where nothing is signed.
    pub fn newest(&self) -> Option<(&Revision, &Document)> {
        self.revisions.last().zip(self.documents.last())
    }

    /// The one of this number.
    pub fn of(&self, number: i64) -> Option<(&Revision, &Document)> {
        let mut all = self.revisions.iter().zip(&self.documents);
        all.find(|(revision, _)| revision.number == number)
    }

    /// Each text with the moment at which it was signed.
    pub fn by_moment(&self) -> Vec<(&Document, Moment)> {
        let signed = self.revisions.iter().map(|one| one.signature.at);
        self.documents.iter().zip(signed).collect()
    }
}
