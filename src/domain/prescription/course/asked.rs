//! The fields that a course asks: they stand open under the line of their section.

use crate::domain::prescription::Course;

/// Whether the field stands open in this course. `key` is the entry's key: `vertical.rest_mm`,
/// `changes.#.mm`.
pub fn asks(course: Course, key: &str) -> bool {
    let _ = course;
    ASKED.contains(&key)
}

const ASKED: &[&str] = &[
    "dates.wanted",
    "dates.insertion",
    "remarks.call_before",
    "remarks.remarks",
];
