//! Rows of marks: one letter for each course.

use crate::domain::prescription::parts::Course;

/// Whether a row of marks, in the order of [`Course::ALL`], has a `#` for this course.
pub fn is_marked(marks: &str, course: Course) -> bool {
    let places = Course::ALL.iter().zip(marks.bytes());
    places
        .filter(|(here, _)| **here == course)
        .any(|(_, mark)| mark == b'#')
}
