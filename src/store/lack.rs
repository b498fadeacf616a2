//! What a database can lack of what its key has signed, and what is to be done then.

use super::last_signed::LastError;
use crate::record::key::Verifier;

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
         it was, or a backup of it; to begin again, use another folder and another key"
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
    #[error(
        "the record in this database is signed by {found}, and not by the key {key} that lies here: it is the database of \
         another installation, or the key of one. Put the right database back, or the right key with the file record.last that \
         belongs to it. `vestibule restore` does not help here: it goes on with a record of its own key alone"
    )]
    OtherKey { found: String, key: String },
    #[error(
        "`vestibule restore` was broken off here: it has entered that the record goes on, and could not write that down beside \
         the key any more ({signed} entries are signed there, and the database holds {found}). If it was you who restored, let \
         an administrator run it once more: that finishes it. If nobody did, put the right database back"
    )]
    BrokenOff { signed: u64, found: u64 },
}

impl Lack {
    /// Why another key has signed the record, or nobody.
    pub(super) fn of_other_key(found: &str, key: &Verifier) -> Lack {
        let name = key.name();
        let found = match found == name {
            true => "another key of the same name".to_owned(),
            false => format!("the key {found}"),
        };
        Lack::OtherKey {
            found,
            key: name.to_owned(),
        }
    }

    /// Whether an administrator may go on all the same: there is a record to go on with.
    pub fn may_be_restored(&self) -> bool {
        match self {
            Lack::NoWord { .. }
            | Lack::Shorter { .. }
            | Lack::Rewritten { .. }
            | Lack::BrokenOff { .. } => true,
            Lack::Unreadable(why) => matches!(why, LastError::Unsigned { .. }),
            Lack::NoDatabase { .. } | Lack::NoHead { .. } | Lack::OtherKey { .. } => false,
        }
    }
}
