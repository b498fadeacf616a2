//! The values that a course begins with: methods, yes and no. No product, no attestation, no statement of risk,
//! no height, no scheme, no shade.

use crate::domain::prescription::Course;

/// Form keys with their raw words.
pub fn starting_set(course: Course) -> &'static [(&'static str, &'static str)] {
    let _ = course;
    &[]
}
