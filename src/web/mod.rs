//! HTTP on the outside: the router on one page, extractors, one error mapping, and the pages beside
//! their handlers. A handler extracts, calls one use case and turns the outcome into a page.

mod account;
mod agenda;
mod bench; // the bench of a lab
mod card_words; // what a scanner reads in place of a touch
mod case_new;
mod case_page;
mod changes;
mod client;
mod command_field;
mod cookies;
mod dates;
mod document;
mod done;
mod drawing;
mod entry;
mod erase;
mod error;
mod error_page;
mod every_answer; // how long it may take, the way back, no bare text
mod extract;
mod feed; // the days of a house for a calendar program
mod feed_part; // its part of the account page
mod field;
mod fit; // what came back against what was asked
mod follow_up; // the checks after the fit
mod form_page; // the frame of pages with forms
mod frame;
mod guard;
mod halt;
mod handoffs;
mod headers;
mod history;
mod home;
mod host;
mod items;
mod join;
mod keep; // how long papers are kept
mod keys;
mod labels;
mod law;
mod led_away; // what is scanned into a form and is of no field there
mod let_in;
mod linked;
mod lists;
mod manage;
mod narrowing; // what an agenda is narrowed down by
mod packed;
mod paged; // a long list a page at a time
mod papers;
mod parted; // a list with its rest folded
mod passing;
mod past;
mod patients;
mod people;
mod personal_data_check;
mod pictures;
mod questions;
mod record;
mod reported;
mod reports; // how the work went, and what is in the house
mod request_body;
mod resolve;
mod revision;
mod ribbon;
mod routes;
mod scan;
mod scan_files;
mod serve;
mod setting_up;
mod sheet_pictures;
mod sheet_read;
mod sign;
mod sign_in;
mod statics;
mod tried;
mod turned; // signs that turn a text, written out
mod typed_form;
mod usual;
mod waiting;
mod whole;
mod write;

pub use client::{Network, Proxies};
pub use routes::{ROUTES, Route, router, router_behind};
pub use serve::{Caps, Listening, Tls, raise_descriptors, serve};
