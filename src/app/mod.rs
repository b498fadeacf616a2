//! What people do here. One file is one action (or one closely kept set), one transaction, one place to look.
//!
//! A use case loads what it needs, lets `domain` decide, writes with a guard, and notes the outcome under
//! the key of the post, all in one transaction. It knows no HTTP and no HTML.

mod error;
mod hashing;
mod password;
mod person;
mod proven; // rows against the signed record
mod read_model;
mod run;
mod tries;

pub mod add_item;
pub mod add_patient;
pub mod add_set;
mod admitted;
pub mod agenda;
mod another_key; // the newest checkpoint is not of this record's
pub mod answer_value; // an answer that goes into the draft
pub mod as_it_came; // what is to be known of work before it is used
pub mod assign; // pan and technician
pub mod authorization; // the paper of work passed on
mod avoided_things; // what is for the mouth, of a material to be avoided
pub mod back_up;

pub mod bench; // what is done at the lab's bench
pub mod bench_card; // what a scanner reads in place of a touch
pub mod bench_code; // coming in by a short code
pub mod bench_devices; // where codes are taken
pub mod bench_list; // the work of a lab by technician
mod bench_shown; // what pages read of a step
pub mod bench_timers;
mod bindings; // sessions and the record's key
pub mod case_overview;
pub mod case_papers; // what was done, materials, the statement
mod case_shown; // what pages read of a case in hand
pub mod case_work;
pub mod change_mouth;
mod changed_at_chair; // what was done at the chair after the signature
pub mod choose_law;
pub mod clear_alarm;
pub mod clock_doubt;
pub mod clock_word;
pub mod close;
pub mod closed_days; // line by line
pub mod counted; // rows against the record
mod custody_rows;
pub mod custody_words;
pub mod dates;
pub mod day_list;
pub mod demo;
pub mod done_steps; // what a lab has done in a month
pub mod doubted; // cases of the first page that are not as the record says
pub mod draft_front;
pub mod draft_lines;
pub mod draft_view;
pub mod enclose; // a thing that the list of what is enclosed lacks, by one button
mod ended;
pub mod entry;
pub mod erase_texts;
pub mod examine;
pub mod feed; // the days of a house for a calendar program
mod fill_in;
pub mod find;
pub mod fit; // what came back against what was asked
pub mod follow_up; // the checks after the fit
pub mod forms;
pub mod halt_work;
pub mod health;
pub mod in_house; // what lies in a house now
pub mod in_house_file;
pub mod join;
pub mod keep_papers; // how long papers are kept
pub mod key_sheet;
pub mod lab_days; // line by line
pub mod laid;
pub mod lately_at_bench; // what a lab has entered last
mod leaf_walk; // leaves beside entries
pub mod let_in;
mod listed_row; // rows of lists against their cases
pub mod load_list;
pub mod look_through; // what is stored, while the program runs
pub mod manage;
mod new_codes;
mod one_entry; // an entry against its leaf
pub mod open_case;
pub mod own_account;
mod own_draft; // whose a draft is
mod own_rows; // of a case that is not as the record says
mod papers_noted; // the days of papers beside the case
pub mod pass_questions; // between the two laboratories
pub mod passed_count; // of what another laboratory has passed on
pub mod passed_sheet; // what a second laboratory sees of the prescription
pub mod passed_to_us; // what another laboratory has passed on
pub mod passing; // work passed on to a second laboratory
pub mod patient_wears;
pub mod pick_up;
pub mod picture_paper;
pub mod pictures;
mod places; // so many at once, and so many of one account
mod planned; // the plan of the days of a case
pub mod print_labels;
pub mod print_sheet;
pub mod promises;
pub mod prove;
pub mod questions;
pub mod receive;
pub mod record_event;
pub mod record_mark;
pub mod recorded;
pub mod redraw;
pub mod release;
pub mod reminders;
pub mod reports; // how the work went in a month
pub mod resolve_hold;
pub mod resume;
pub mod reviewing;
pub mod scan;
pub mod scan_files;
pub mod security;
pub mod see_case;
pub mod see_history;
pub mod see_lists;
pub mod see_record;
pub mod setting_up;
pub mod several;
pub mod sign;
pub mod sign_in;
mod signed_revisions; // the revisions of a case with their texts, read once
mod signed_words;
mod since_packed; // what was corrected before a parcel left
pub mod spare_card; // what the patient keeps with a spare
mod standing_in; // which case a pan leads to
mod stated_of_flaws; // what was signed of what was found wanting
pub mod take_back;
pub mod take_remedy;
mod teeth_elsewhere; // what the patient has by other cases
pub mod template; // what shows at surgery where a denture would press
pub mod typed;
pub mod untyped;
pub mod usual_sets;
pub mod visit;
pub mod waiting;
pub mod watching;
mod whose_case; // by its row and by the record
pub mod witness;
pub mod write_draft;
pub mod written_again;

pub use crate::store::{Outage, StoreError};
pub use error::AppError;
pub use person::{Person, PostKey};

pub use crate::clock::Outside;
use crate::domain::law::profile::Profiles;
use crate::store::Store;

/// What this installation was told at its start.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Whether browsers reach it over TLS, directly or through a proxy: cookies are marked accordingly.
    pub over_tls: bool,
    /// The address that goes into QR codes and one-time links, without a slash at its end.
    pub address: String,
    /// A notice on top of every page; the demo says that nothing in it is real.
    pub notice: Option<String>,
}

/// A running installation.
#[derive(Debug, Clone)]
pub struct App {
    pub store: Store,
    pub outside: Outside,
    pub settings: Settings,
    /// The profiles of local law that parties can choose.
    pub profiles: Profiles,
    read_models: std::sync::Arc<read_model::ReadModels>,
    hashing: std::sync::Arc<hashing::Hashing>,
    clock_doubt: std::sync::Arc<clock_doubt::ClockDoubt>,
    /// Administrators are warned where the disk has less room than this, in bytes.
    warn_free: u64,
    watching: std::sync::Arc<watching::Watching>,
    places: std::sync::Arc<places::Places>,
    probed: std::sync::Arc<tokio::sync::Mutex<Option<health::Probed>>>,
    proven: std::sync::Arc<proven::ProvenEntries>,
    ended: std::sync::Arc<ended::EndedSessions>,
    counted: std::sync::Arc<counted::CountedRows>,
    /// Held by whoever reads cases of a month to count them.
    counting: std::sync::Arc<tokio::sync::Mutex<()>>,
}

impl App {
    pub fn new(store: Store, outside: Outside, settings: Settings) -> App {
        App {
            store,
            outside,
            settings,
            profiles: Profiles::built_in(),
            read_models: std::sync::Arc::default(),
            hashing: std::sync::Arc::default(),
            clock_doubt: std::sync::Arc::default(),
            warn_free: 1_000 * health::MB,
            watching: std::sync::Arc::default(),
            places: std::sync::Arc::default(),
            probed: std::sync::Arc::default(),
            proven: std::sync::Arc::default(),
            ended: std::sync::Arc::default(),
            counted: std::sync::Arc::default(),
            counting: std::sync::Arc::default(),
        }
    }

    /// The same installation, which warns where the disk has less than so many megabytes left.
    pub fn with_free_warning(self, megabytes: u64) -> App {
        let warn_free = megabytes.saturating_mul(health::MB);
        App { warn_free, ..self }
    }

    /// The same installation for whoever makes the whole tree again: rows are held against their leaves alone.
    fn without_proofs(&self) -> App {
        App {
            proven: std::sync::Arc::new(proven::ProvenEntries::of_leaves_alone()),
            ..self.clone()
        }
    }

    /// The same installation with these profiles of local law.
    pub fn with_profiles(self, profiles: Profiles) -> App {
        App { profiles, ..self }
    }
}
