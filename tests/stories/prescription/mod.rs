//! Writing, reading, signing: nothing typed is lost, and nothing is signed that was not read.

mod draft;
mod filled_in;
mod lines;
mod signing;
mod together;

use crate::common::Answer;

pub fn json(answer: &Answer) -> serde_json::Value {
    serde_json::from_slice(&answer.body).unwrap()
}
