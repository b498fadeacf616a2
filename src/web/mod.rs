//! HTTP on the outside: the router on one page, extractors, one error mapping, and the pages beside
//! their handlers. A handler extracts, calls one use case and turns the outcome into a page.

mod account;
mod cases;
mod document;
mod drawing;
mod error;
mod extract;
mod field;
mod frame;
mod guard;
mod handoffs;
mod headers;
mod home;
mod items;
mod join;
mod labels;
mod manage;
mod papers;
mod patients;
mod record;
mod routes;
mod scan;
mod second_look;
mod sign;
mod sign_in;
mod statics;
mod write;

use crate::app::manage::Typed as TypedForm;
pub use routes::{ROUTES, Route, router};
