//! HTTP on the outside: the router on one page, extractors, one error mapping, and the pages beside
//! their handlers. A handler extracts, calls one use case and turns the outcome into a page.

mod account;
mod case_new;
mod case_page;
mod command_field;
mod document;
mod drawing;
mod entry;
mod erase;
mod error;
mod error_page;
mod extract;
mod field;
mod frame;
mod guard;
mod handoffs;
mod headers;
mod history;
mod home;
mod items;
mod join;
mod labels;
mod law;
mod linked;
mod lists;
mod manage;
mod papers;
mod past;
mod patients;
mod personal_data_check;
mod record;
mod reported;
mod resolve;
mod revision;
mod ribbon;
mod routes;
mod scan;
mod sheet_pictures;
mod sign;
mod sign_in;
mod statics;
mod tried;
mod typed_form;
mod write;

pub use routes::{ROUTES, Route, router};
