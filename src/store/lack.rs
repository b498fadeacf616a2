//! What a database can lack of what its key has signed, and what is to be done then.

use super::last_signed::LastError;

/// What the database lacks of what its key has signed.
#[derive(Debug, thiserror::Error)]
pub enum Lack {
    /// There is a key, and no word of how far it has signed.
    #[error(
        "there is no {path}, which says how far this key has signed. If the key was copied here, copy that file \
         along. If the installation is of an earlier version, take it in with `vestibule upgrade`. If the file is lost, \
         an administrator can go on with `vestibule restore`, which is entered in the record"
    )]
    NoWord { path: String },
    #[error(transparent)]
    Unreadable(#[from] LastError),
    #[error(
        "there is no database, or an empty one, and this key has signed {signed} entries. Put the database back where \
         it was, or a backup of it; to begin anew, use another folder and another key"
    )]
    NoDatabase { signed: u64 },
    #[error(
        "the database has tables, and the record in it has no head: somebody has emptied it, and this key has signed \
         {signed} entries. Put the database back as it was, or a backup of it"
    )]
    NoHead { signed: u64 },
    #[error(
        "the database holds {found} entries of the record, and this key has signed {signed}: {} are missing. Put the \
         newer database back. If there is none, an administrator can go on with this one by `vestibule restore`, which is \
         entered in the record and raises an alarm", signed - found
    )]
    Shorter { signed: u64, found: u64 },
    #[error(
        "the first {signed} entries of the record in this database are not those that this key has signed: it was \
         rewritten, or it is another one. Put the right database back. If there is none, an administrator can go on with \
         this one by `vestibule restore`, which is entered in the record and raises an alarm"
    )]
    Rewritten { signed: u64 },
}

impl Lack {
    /// Whether an administrator may go on all the same: there is a record to go on with.
    pub fn may_be_restored(&self) -> bool {
        match self {
            Lack::NoWord { .. } | Lack::Shorter { .. } | Lack::Rewritten { .. } => true,
            Lack::Unreadable(why) => matches!(why, LastError::Unsigned { .. }),
            Lack::NoDatabase { .. } | Lack::NoHead { .. } => false,
        }
    }
}
