//! What follows from the kind of work alone: kind of order, what is followed, what the tissue surface is, and the
//! words by which a piece is called.

use super::marks::is_marked;
use crate::domain::prescription::parts::{Course, Stage};

const FOLLOWS: &[(&str, &str, &str)] = &[
    ("####...#####..", "order.kind", "new"),
    ("....###.......", "order.kind", "next_stage"),
    ("............#.", "order.kind", "correction"),
    ("##......#.....", "pattern.source", "provisional"),
    (".....##.......", "pattern.source", "try_in"),
    ("....#..#......", "pattern.source", "none"),
    (".....#........", "pattern.rule", "with_changes"),
    ("......#..#....", "pattern.rule", "exactly"),
    (".#............", "impression.source", "scan"),
    ("...#...#..#...", "impression.source", "impression"),
    ("......#.......", "impression.source", "cast"),
    // The approved wax is what is cast in resin: height and polished surface are its own.
    ("......#.......", "vertical.order", "keep"),
    ("......#.......", "finish.polished", "pattern"),
];

/// Form keys with their raw words.
pub fn by_course(course: Course) -> impl Iterator<Item = (&'static str, &'static str)> {
    let rows = FOLLOWS.iter();
    rows.filter(move |(marks, ..)| is_marked(marks, course))
        .map(|(_, key, word)| (*key, *word))
}

/// What a piece of a course is: its stage, how it is called, whether its teeth are counted in its name.
pub struct PieceOf {
    pub stage: Stage,
    /// As the description of the piece says it.
    pub name: &'static str,
    /// Whether the number of its teeth is said with it.
    pub counts_teeth: bool,
}

/// The piece that a course makes of each arch; none where it may be any.
pub fn piece_of(course: Course) -> Option<PieceOf> {
    let (stage, name, counts_teeth) = match course {
        Course::Copy | Course::DigitalCopy => (Stage::Process, "complete denture", true),
        Course::Tray => (Stage::Tray, "custom tray", false),
        Course::Rims => (Stage::Rims, "record base with rim", false),
        Course::SetUp => (Stage::TryIn, "wax try-in", true),
        Course::Reset => (Stage::Reset, "reset as listed, wax try-in", false),
        Course::Finish => (Stage::Process, "complete denture, as tried in", false),
        Course::Immediate => (Stage::Process, "immediate complete denture", true),
        Course::Single => (Stage::Process, "single complete denture", true),
        Course::Duplicate => (Stage::Duplicate, "copy of the denture as it is", false),
        Course::Reline => (Stage::Reline, "reline of the worn denture", false),
        Course::Repair => (Stage::Repair, "repair as listed", false),
        Course::Remount => (Stage::Remount, "remount and grind in", false),
        Course::Everything => return None,
    };
    Some(PieceOf {
        stage,
        name,
        counts_teeth,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::read;
    use crate::domain::values::tooth::Numbering;

    #[test]
    fn every_value_is_read_without_a_fault_and_stands_once() {
        for course in Course::ALL {
            let pairs: Vec<_> = by_course(*course).collect();
            let raw: Raw = pairs
                .iter()
                .map(|(key, word)| ((*key).to_owned(), (*word).to_owned()))
                .collect();
            assert_eq!(raw.len(), pairs.len(), "{}", course.word());
            assert_eq!(read(&raw, Numbering::Iso3950).faults, []);
        }
        for (marks, key, _) in FOLLOWS {
            assert_eq!(marks.len(), Course::ALL.len(), "{key}");
        }
    }
}
