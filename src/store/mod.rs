//! The only room that knows a database. SQLite in a file by default, PostgreSQL by URL, one SQL text.
//!
//! Rows are private to their file and turned into domain values on the way out; a row that cannot be
//! one is reported with its table and key, never repaired in silence. Whoever writes holds a [`Tx`]:
//! nothing it did is there until `commit`.

mod batch;
mod comparing;
mod connection;
mod database;
mod error;
mod filing;
mod guards;
mod head;
mod known_leaves;
mod lack;
mod last_signed;
mod looked_up;
mod nodes;
mod rows;
mod schema;
mod start;
mod trust;
mod unsigned;

pub mod admissions;
pub mod agenda;
pub mod backup;
pub mod bench_codes;
pub mod bench_timers;
pub mod cases;
pub mod casts_kept;
pub mod counted;
pub mod custody;
pub mod drafts;
pub mod ended_file;
pub mod feeds;
pub mod lists;
pub mod papers_kept;
pub mod parties;
pub mod passed;
pub mod people;
pub mod picture_folder;
pub mod pictures;
pub mod record;
pub mod reference;
pub mod reports;
pub mod resumption;
pub mod revisions;
pub mod strays;
pub mod usual;
pub mod witness;

pub use backup::BackupError;
pub use batch::Tx;
pub use comparing::{Compare, NotCompared};
pub use connection::{Backend, Connection, file_of};
pub use database::{Store, retry};
pub use error::{AsStoreError, Outage, StoreError};
pub use lack::Lack;
pub use last_signed::{LastError, LastSigned};
pub use unsigned::Unsigned;
