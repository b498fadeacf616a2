//! What can go wrong below the rules, and whether it may pass.

use super::comparing::Comparing;
use super::lack::Lack;
use super::last_signed::LastError;
use crate::domain::values::words::capitalised;

/// What keeps the database from its work, as far as somebody can do something about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outage {
    /// There is no room left.
    DiskFull,
    /// It does not answer, or its file cannot be used.
    Gone,
    /// Its file was deleted or replaced while the program used it.
    TakenAway,
    /// The folder of pictures and scans cannot be used; the database does its work.
    Shelf,
    /// How far the key has signed cannot be written down beside it.
    BesideKey,
    /// The record in the database is not the one that the key has signed.
    Record,
    /// Whether it is could not be looked at since the start.
    NotCompared,
    /// Something else, for whoever reads the log.
    Other,
}

/// What can go wrong below the rules.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    #[error("the database address {0:?} is neither sqlite: nor postgres:")]
    Address(String),
    // Said once, and in words: so neither of the two is a source that is said again.
    #[error("{}", in_words(.0))]
    Database(sqlx::Error),
    #[error("the tables cannot be brought up to date: {}", step_in_words(.0))]
    Migration(sqlx::migrate::MigrateError),
    /// Stored data that no version of this program writes.
    #[error("table {table}, row {key}: {why}")]
    Row {
        table: &'static str,
        key: String,
        why: String,
    },
    /// Somebody else wrote the same row first.
    #[error("{0} has changed meanwhile")]
    Stale(&'static str),
    /// The transaction that this action shared with others could not be kept.
    #[error("the database could not keep what was written: {why}")]
    Lost {
        why: String,
        passing: bool,
        outage: Outage,
        /// Whether it may be in the database all the same, though nobody can vouch for it.
        may_be_stored: bool,
    },
    /// The record is not what its checkpoint says.
    #[error("the record in this database is not in order: {}. Nothing was changed.", .0.trim_end_matches('.'))]
    Record(String),
    /// The same, found while the program runs: somebody has changed the record, or has put another database there.
    #[error(
        "the record in this database is not the one that its key has signed: {0}. Somebody has changed it past this program, \
         or has set the database back. Nothing is entered any more. Stop the program, put the right database back, and start \
         it again"
    )]
    Forked(String),
    /// The database is not, or not any more, the one that its key has signed.
    #[error("{}. Nothing was changed.", .0.to_string().trim_end_matches('.'))]
    Lacks(Lack),
    /// The database was made by a newer version.
    #[error(
        "a newer version of this program has made this database: its tables are at step {found}, and this version \
         knows {known}. Use the newer version. Nothing was changed."
    )]
    Newer { found: i64, known: i64 },
    /// A step that has made the tables is another one than here.
    #[error(
        "step {0} of the tables in this database is not the one that this program makes: it was changed, or another \
         program has made it. Put a backup of the database back. Nothing was changed."
    )]
    OtherStep(i64),
    /// The tables have what changes in silence what is written to them.
    #[error(
        "{0} It may change what is entered, or has. Take it away, look at the database with `vestibule check`, or put a \
         backup of it back. Nothing was entered."
    )]
    Foreign(String),
    /// Another attempt of the same post has just been written; the next attempt finds its outcome.
    #[error("the same post is being written at this moment")]
    Again,
    /// Whether it may be written to is not known yet: the next attempt waits for that.
    #[error(
        "the record is being looked through after the start, and nothing is entered before that is done"
    )]
    Comparing(Comparing),
    /// The same, where the record could not be read to the end, several times in a row.
    #[error(
        "whether the record is in order could not be looked at since the start, and nothing is entered before that is done: \
         {0}. It is tried again and again"
    )]
    NotCompared(String),
    #[error(
        "the database answers before a commit is on the disk: {setting} says {found}, and {wanted} is needed. What is \
         acknowledged here has to survive a power cut"
    )]
    NotDurable {
        setting: &'static str,
        found: String,
        wanted: String,
    },
    /// A counter that somebody has set to its end.
    #[error(
        "the counter of {0} is at its end: somebody has changed it past this program. Nothing was entered. Tell whoever \
         runs this installation: “vestibule check” says more."
    )]
    CountedOut(String),
    /// A row that the database has taken and not written: a trigger, a rule or a view swallows it.
    #[error(
        "the database has not kept {0}: somebody has changed its tables past this program. Nothing was entered. Tell whoever \
         runs this installation: “vestibule check” says more."
    )]
    NotKept(&'static str),
    /// The path leads to another file than the one that was opened, or to none.
    #[error(
        "{path} was deleted or replaced while this program uses it. What is entered now would be lost. Stop the program, \
         put the file back where it was, and start it again"
    )]
    TakenAway { path: String },
    /// The folder beside the database cannot be used.
    #[error("the folder of pictures and scans, {path}: {}", words_of_folder(.why))]
    Shelf { path: String, why: std::io::Error },
    /// The database's file cannot be used.
    #[error("{path}: {why}")]
    File { path: String, why: String },
}

impl StoreError {
    /// Whether the same transaction may succeed if tried again: a serialisation failure, a deadlock,
    /// SQLite being busy, or a connection that ended before the commit was asked for.
    pub fn is_passing(&self) -> bool {
        if let StoreError::Again
        | StoreError::Comparing(_)
        | StoreError::Lost { passing: true, .. } = self
        {
            return true;
        }
        if self.is_of_connection() {
            return true;
        }
        let StoreError::Database(sqlx::Error::Database(error)) = self else {
            return false;
        };
        // PostgreSQL's SQLSTATE words, and SQLite's result codes 5 (busy), 261, 517 and 6 (locked).
        matches!(
            error.code().as_deref(),
            Some("40001" | "40P01" | "5" | "6" | "261" | "517")
        )
    }

    /// Whether the connection has ended, or the server stops or is only starting: a new one may be had.
    pub fn is_of_connection(&self) -> bool {
        match self {
            StoreError::Database(sqlx::Error::Io(_) | sqlx::Error::WorkerCrashed) => true,
            // SQLSTATE class 08, and 57P01 to 57P03: admin_shutdown, crash_shutdown, cannot_connect_now.
            StoreError::Database(sqlx::Error::Database(error)) => {
                let code = error.code().unwrap_or_default();
                // SQLite's own codes are numbers without a leading zero.
                (code.len() == 5 && code.starts_with("08"))
                    || matches!(&*code, "57P01" | "57P02" | "57P03")
            }
            _ => false,
        }
    }

    /// What keeps the database from its work.
    pub fn outage(&self) -> Outage {
        match self {
            StoreError::Lost { outage, .. } => *outage,
            StoreError::Database(sqlx::Error::Io(why)) => of_disk(why),
            StoreError::Lacks(Lack::Unreadable(LastError::File { why, .. })) => {
                match of_disk(why) {
                    Outage::DiskFull => Outage::DiskFull,
                    _ => Outage::BesideKey,
                }
            }
            StoreError::Database(
                sqlx::Error::PoolTimedOut | sqlx::Error::PoolClosed | sqlx::Error::WorkerCrashed,
            )
            | StoreError::File { .. } => Outage::Gone,
            StoreError::TakenAway { .. } => Outage::TakenAway,
            StoreError::Forked(_) | StoreError::Foreign(_) => Outage::Record,
            StoreError::NotCompared(_) => Outage::NotCompared,
            StoreError::Lacks(Lack::Unreadable(_)) => Outage::BesideKey,
            StoreError::Shelf { why, .. } => match of_disk(why) {
                Outage::DiskFull => Outage::DiskFull,
                _ => Outage::Shelf,
            },
            StoreError::Database(sqlx::Error::Database(error)) => {
                let code = error.code().unwrap_or_default();
                // SQLSTATE words have five characters, and 53100 is disk_full. Of SQLite's result codes the lowest byte
                // is the kind: 13 no room, 10 the disk fails, 11 damaged, 14 not to be opened, 26 no database.
                match code.parse::<i64>().ok().filter(|_| code.len() < 5) {
                    Some(code) if code & 0xff == 13 => Outage::DiskFull,
                    Some(code) if matches!(code & 0xff, 10 | 11 | 14 | 26) => Outage::Gone,
                    Some(_) => Outage::Other,
                    None if code == "53100" => Outage::DiskFull,
                    None if self.is_of_connection() => Outage::Gone,
                    None => Outage::Other,
                }
            }
            _ => Outage::Other,
        }
    }

    /// Whether what was written may be kept although this came back.
    pub fn may_be_stored(&self) -> bool {
        matches!(
            self,
            StoreError::Lost {
                may_be_stored: true,
                ..
            }
        )
    }

    /// Whether a value of a row cannot be read: it is of no kind that this program writes there, or says nothing that it
    /// writes.
    pub fn is_of_a_value(&self) -> bool {
        matches!(
            self,
            StoreError::Database(sqlx::Error::ColumnDecode { .. } | sqlx::Error::Decode(_))
                | StoreError::Row { .. }
        )
    }

    /// Where a value of the database cannot be read, that sentence, for whoever wanted to see it.
    pub fn about_a_value(&self) -> Option<String> {
        self.is_of_a_value()
            .then(|| format!("{}.", capitalised(OF_ANOTHER_KIND)))
    }

    /// Whether a unique key refused the row.
    pub fn is_duplicate(&self) -> bool {
        matches!(self, StoreError::Database(sqlx::Error::Database(error)) if error.is_unique_violation())
    }

    /// What is wrong with the file of a database, and what is to be done, where it is one of the usual things.
    pub(super) fn of_file(path: &std::path::Path, error: sqlx::Error) -> StoreError {
        let code = error.as_database_error().and_then(|error| error.code());
        let code = code.and_then(|code| code.parse::<i64>().ok());
        // Result codes of SQLite; the lowest byte is the kind.
        let code = code.map(|code| code & 0xff);
        if let (Some(8 | 14), Some(beside)) = (code, only_to_be_read(path)) {
            return StoreError::File {
                path: path.display().to_string(),
                why: format!(
                    "{} beside it can only be read: a program that could only read the database has left it. Stop every \
                     program that uses the database, and remove that file",
                    beside.display()
                ),
            };
        }
        if let (Some(14), Some(log)) = (code, left_by_a_crash(path)) {
            return StoreError::File {
                path: path.display().to_string(),
                why: format!(
                    "a program that was killed has left {} beside it, which belongs to it, and here nothing can be \
                     written, which reading the two asks for. Copy both into a folder that can be written, and look at \
                     the copy",
                    log.display()
                ),
            };
        }
        let words = match code {
            Some(8) => {
                "the file, or its folder, can only be read: give this program's user the right to write there"
            }
            Some(11) => DAMAGED_DATABASE,
            Some(14) => {
                "the file is not there, or cannot be opened: look at its path and who may read it"
            }
            Some(26) => {
                "this is no database, or it is cut off: put the right file or a backup of it back"
            }
            _ => return error.into(),
        };
        StoreError::File {
            path: path.display().to_string(),
            why: words.to_owned(),
        }
    }

    /// A row that cannot be what it stands for: its table, its key and why not.
    pub fn row(table: &'static str, key: impl ToString, why: impl ToString) -> StoreError {
        StoreError::Row {
            table,
            key: key.to_string(),
            why: why.to_string(),
        }
    }
}

/// A file of SQLite's beside a database that may be written, and which may only be read.
fn only_to_be_read(path: &std::path::Path) -> Option<std::path::PathBuf> {
    let is_locked = |path: &std::path::Path| {
        std::fs::metadata(path).is_ok_and(|file| file.permissions().readonly())
    };
    let beside = |tail: &str| {
        let mut name = path.as_os_str().to_owned();
        name.push(tail);
        std::path::PathBuf::from(name)
    };
    let mut beside = ["-shm", "-wal"].into_iter().map(beside);
    beside.find(|other| !is_locked(path) && is_locked(other))
}

/// The log of a database whose program was killed, where the file is missing that is made again to read it.
fn left_by_a_crash(path: &std::path::Path) -> Option<std::path::PathBuf> {
    let beside = |tail: &str| {
        let mut name = path.as_os_str().to_owned();
        name.push(tail);
        std::path::PathBuf::from(name)
    };
    let (log, index) = (beside("-wal"), beside("-shm"));
    let has_log = std::fs::metadata(&log).is_ok_and(|file| file.len() > 0);
    (path.exists() && has_log && !index.exists()).then_some(log)
}

/// What a database has answered, as a sentence without its end, for whoever runs the program.
fn in_words(error: &sqlx::Error) -> String {
    let text = error.to_string();
    let code = error.as_database_error().and_then(|error| error.code());
    let code = code.unwrap_or_default();
    // Result codes of SQLite are numbers, the lowest byte their kind; words of PostgreSQL have five characters.
    let kind = match code.len() {
        5 => None,
        _ => code.parse::<i64>().ok().map(|code| code & 0xff),
    };
    let words = match (error, kind, &*code) {
        (sqlx::Error::Io(why), ..) if why.kind() == std::io::ErrorKind::ConnectionRefused => {
            "no database server answers at this address: look whether it runs, and at the address"
        }
        (sqlx::Error::Io(why), ..) if of_disk(why) == Outage::DiskFull => NO_ROOM,
        (sqlx::Error::PoolTimedOut | sqlx::Error::PoolClosed, ..) => "the database does not answer",
        (sqlx::Error::RowNotFound, ..) => {
            "a row that has to be there is missing: somebody has changed the database past this program"
        }
        (sqlx::Error::ColumnNotFound(column), ..) => {
            return format!(
                "the tables have no column {column}: they are of an earlier version, or somebody has changed them"
            );
        }
        (sqlx::Error::ColumnDecode { .. } | sqlx::Error::Decode(_), ..) => OF_ANOTHER_KIND,
        (_, Some(1), _) if text.contains("no such table") => NO_TABLE,
        (_, _, "42P01") => NO_TABLE,
        (_, Some(10), _) => "the disk does not read or write the database",
        (_, Some(11), _) => DAMAGED_DATABASE,
        (_, Some(13), _) | (_, _, "53100") => NO_ROOM,
        (_, Some(14), _) => "a file of the database cannot be opened",
        (_, Some(26), _) => "this is no database, or it is cut off",
        (_, _, "28000" | "28P01") => "the database server does not know this user and password",
        (_, _, "25006") => {
            "the database server lets this program read only: give its user a database that may be written, and look at \
             default_transaction_read_only and whether the server is a standby"
        }
        (_, _, "3D000") => "the database server has no database of this name",
        _ => return format!("the database refuses: {text}"),
    };
    words.to_owned()
}

const OF_ANOTHER_KIND: &str = "a value in the database is of another kind than this program writes: somebody has changed it past this program";
const DAMAGED_DATABASE: &str = "the database is damaged: put a backup of it back";
const NO_ROOM: &str = "there is no room left on the disk";
const NO_TABLE: &str =
    "a table of this program is missing: this is another database, or somebody has changed it";

/// Why a step of the tables was not carried out.
fn step_in_words(error: &sqlx::migrate::MigrateError) -> String {
    use sqlx::migrate::MigrateError;
    match error {
        MigrateError::Execute(why) | MigrateError::ExecuteMigration(why, _) => in_words(why),
        MigrateError::Dirty(step) => {
            format!("step {step} was begun once and not ended. Put a backup of the database back")
        }
        other => other.to_string(),
    }
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> StoreError {
        StoreError::Database(error)
    }
}

impl From<sqlx::migrate::MigrateError> for StoreError {
    fn from(error: sqlx::migrate::MigrateError) -> StoreError {
        StoreError::Migration(error)
    }
}

fn of_disk(why: &std::io::Error) -> Outage {
    match why.kind() {
        std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => Outage::DiskFull,
        _ => Outage::Gone,
    }
}

/// What is wrong with the folder of pictures and scans, and what is to be done.
fn words_of_folder(why: &std::io::Error) -> String {
    use std::io::ErrorKind;
    let words = match why.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            "no room is left for it: make room on that disk"
        }
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "this program may not write or read there: give its user the right to"
        }
        ErrorKind::NotFound => {
            "it is not there, although entries name files in it: put it back from where it was moved, or from the backup \
             that belongs to this database"
        }
        ErrorKind::NotADirectory | ErrorKind::AlreadyExists => {
            "there is a file of that name, and no folder: take it away, and put the folder back"
        }
        _ => return why.to_string(),
    };
    words.to_owned()
}

/// An error that may have come from the store.
pub trait AsStoreError {
    fn as_store_error(&self) -> Option<&StoreError>;
}

impl AsStoreError for StoreError {
    fn as_store_error(&self) -> Option<&StoreError> {
        Some(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    #[test]
    fn what_is_wrong_with_the_folder_of_pictures_is_said_and_is_no_matter_of_the_database() {
        use std::io::ErrorKind;
        for (kind, outage, words) in [
            (ErrorKind::StorageFull, Outage::DiskFull, "make room"),
            (ErrorKind::QuotaExceeded, Outage::DiskFull, "make room"),
            (ErrorKind::PermissionDenied, Outage::Shelf, "the right to"),
            (ErrorKind::ReadOnlyFilesystem, Outage::Shelf, "the right to"),
            (ErrorKind::NotFound, Outage::Shelf, "put it back"),
            (ErrorKind::NotADirectory, Outage::Shelf, "no folder"),
            (ErrorKind::Other, Outage::Shelf, "a.sqlite.pictures"),
        ] {
            let error = StoreError::Shelf {
                path: "data/a.sqlite.pictures".to_owned(),
                why: kind.into(),
            };
            assert_eq!(error.outage(), outage, "{kind:?}");
            assert!(!error.is_passing() && !error.may_be_stored(), "{kind:?}");
            assert!(error.to_string().contains(words), "{kind:?}: {error}");
        }
    }

    #[test]
    fn r20_a_file_beside_the_database_that_can_only_be_read_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let (path, beside) = (
            folder.path().join("a.sqlite"),
            folder.path().join("a.sqlite-shm"),
        );
        let modes = |of_file: u32, of_beside: u32| {
            for (path, mode) in [(&path, of_file), (&beside, of_beside)] {
                std::fs::write(path, "").ok();
                std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
            }
            only_to_be_read(&path)
        };
        assert_eq!(modes(0o600, 0o600), None);
        assert_eq!(modes(0o600, 0o444), Some(beside.clone()));
        // Then the database itself is what is to be named.
        assert_eq!(modes(0o444, 0o444), None);
    }

    #[test]
    fn r22_a_log_that_was_left_without_its_index_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.sqlite");
        let (log, index) = (
            folder.path().join("a.sqlite-wal"),
            folder.path().join("a.sqlite-shm"),
        );
        std::fs::write(&log, "frames").unwrap();
        assert_eq!(left_by_a_crash(&path), None, "no database");
        std::fs::write(&path, "pages").unwrap();
        assert_eq!(left_by_a_crash(&path), Some(log.clone()));
        std::fs::write(&index, "").unwrap();
        assert_eq!(left_by_a_crash(&path), None);
        std::fs::remove_file(&index).unwrap();
        std::fs::write(&log, "").unwrap();
        assert_eq!(left_by_a_crash(&path), None, "an empty log");
    }

    #[test]
    fn r22_what_a_database_answers_is_said_in_words_and_once() {
        let refused = || std::io::Error::from(std::io::ErrorKind::ConnectionRefused);
        let full = || std::io::Error::from(std::io::ErrorKind::StorageFull);
        let decoded = sqlx::Error::ColumnDecode {
            index: "1".to_owned(),
            source: "mismatched types; Rust type `i64`".into(),
        };
        for (error, words) in [
            (sqlx::Error::Io(refused()), "no database server answers"),
            (sqlx::Error::Io(full()), "no room left"),
            (decoded, "of another kind than this program writes"),
            (sqlx::Error::RowNotFound, "has to be there"),
        ] {
            let text = error.to_string();
            let error = StoreError::from(error);
            let said = error.to_string();
            assert!(said.contains(words) && !said.contains(&text), "{said}");
            assert!(std::error::Error::source(&error).is_none(), "{said}");
        }
    }
}
