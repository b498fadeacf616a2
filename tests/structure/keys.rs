//! Keys of the form that are spelled in the program: each is one of a field that there is.

use crate::{none_is, program};
use std::collections::BTreeSet;
use vestibule::domain::prescription::{field_spec, line_spec, section_of};

/// Ends of the names of files, some of which begin as a section does.
const OF_FILES: [&str; 5] = ["css", "html", "js", "json", "txt"];

fn is_word(text: &str) -> bool {
    let is_sign = |sign: char| sign.is_ascii_lowercase() || sign.is_ascii_digit() || sign == '_';
    text.starts_with(|sign: char| sign.is_ascii_lowercase()) && text.chars().all(is_sign)
}

/// Whether a text in quotes is meant as the key of a field: `vertical.rest_mm`, `changes.#.mm`, `changes.2.mm`.
fn is_key(text: &str) -> bool {
    let Some((section, rest)) = text.split_once('.') else {
        return false;
    };
    let is_row = |row: &str| row == "#" || row.chars().all(|sign| sign.is_ascii_digit());
    let field = match rest.split_once('.') {
        None => rest,
        Some((row, field)) if is_row(row) => field,
        Some(_) => return false,
    };
    is_word(section) && is_word(field) && !OF_FILES.contains(&field) && section_of(text).is_some()
}

fn is_there(key: &str) -> bool {
    line_spec(key).is_some() || field_spec(key).is_some()
}

/// A rule that asks for a field under another key is silent, and no compiler says so.
#[test]
fn every_key_that_is_spelled_is_one_of_a_field() {
    let (mut spelled, mut unknown) = (0, BTreeSet::new());
    for line in program() {
        for key in line.text.split('"').filter(|text| is_key(text)) {
            spelled += 1;
            if !is_there(key) {
                unknown.insert(format!("{key} in {}:", line.at()));
            }
        }
    }
    assert!(spelled > 1000, "the keys were found: {spelled}");
    none_is("is the key of no field", &unknown);
}

#[test]
fn a_key_that_is_spelled_wrongly_is_seen() {
    for key in ["vertical.rest_mm", "changes.#.mm", "changes.2.mm"] {
        assert!(is_key(key) && is_there(key), "{key}");
    }
    for key in ["vertical.rest_mn", "changes.#.mn", "changes.2.mn"] {
        assert!(is_key(key) && !is_there(key), "{key}");
    }
    for text in ["vertical", "dates.html", "vertical.*", "record.last"] {
        assert!(!is_key(text), "{text}");
    }
}
