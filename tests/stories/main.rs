//! Stories of people at work, told through the pages of the whole application: what is refused outnumbers
//! what is accepted.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a story falls over where it is not true"
)]

#[path = "../common/mod.rs"]
mod common;
#[path = "../databases/mod.rs"]
mod databases;
#[path = "../pdf_text/mod.rs"]
mod pdf_text;
mod scans;
mod scene;
mod sent_file;

mod access;
mod agenda;
mod at_once;
mod bad_requests;
mod bench;
mod bench_code;
mod bench_life;
mod bench_scan;
mod careless;
mod case_papers;
mod chain;
mod chain_rows;
mod changes;
mod copies;
mod custody;
mod dates;
mod demo;
mod documents;
mod doors;
mod each_turn;
mod erasing;
mod feed;
mod fields;
mod fit;
mod follow_up;
mod heard;
mod hurried;
mod keep;
mod lab;
mod law;
mod lists;
mod many_cases;
mod mouth;
mod other_work;
mod passing;
mod patients;
mod pictures;
mod prescription;
mod printed_record;
mod record;
mod reported;
mod reports;
mod ribbon;
mod samples;
mod side_by_side;
mod tags;
mod usual;
mod way_in;
mod whole_way;
