//! The switch "as the pattern": what a worn pattern shows need not be described again.
//!
//! It answers by words alone. As the pattern invents no number: overlaps, gaps and heights stay empty, or are
//! measured. Arrangement, plane, seal and borders are those of the thing that is sent.

use super::marks::is_marked;
use crate::domain::prescription::parts::Course;

/// One mark for each course, in the order of [`Course::ALL`], with a form key and its raw word.
const ANSWERS: &[(&str, &str, &str)] = &[
    ("##......#.#...", "vertical.order", "keep"),
    ("##......#.....", "plane.front", "pattern"),
    ("##......#.....", "plane.back", "pattern"),
    (".#............", "anterior.choice", "pattern"),
    ("##......#.....", "anterior.midline", "yes"),
    ("##......#.....", "anterior.smile_line", "pattern"),
    ("##......#.....", "anterior.lip_support", "keep"),
    (".#............", "posterior.choice", "pattern"),
    (".#............", "posterior.cusp_upper", "pattern"),
    (".#............", "posterior.cusp_lower", "pattern"),
    ("##......#.....", "base_shade.festooning", "pattern"),
    ("##......#.#...", "seal.by", "in_pattern"),
    ("##......#.#...", "borders.order", "keep"),
    ("##......#.....", "borders.pad_cover", "pattern"),
    ("#.......#.....", "impression.source", "functional"),
    ("#.......#.#...", "impression.keep_surface", "yes"),
    ("##......#.....", "finish.polished", "pattern"),
];

/// What the switch answers in a course: form keys with their raw words. Empty where a course follows no pattern.
pub fn as_pattern(course: Course) -> impl Iterator<Item = (&'static str, &'static str)> {
    let rows = ANSWERS.iter();
    rows.filter(move |(marks, ..)| is_marked(marks, course))
        .map(|(_, key, word)| (*key, *word))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::{Kind, Raw};
    use crate::domain::prescription::course::{SectionPlace, place};
    use crate::domain::prescription::sources::AS_PATTERN;
    use crate::domain::prescription::{catalogue, field_spec, is_ours, read};
    use crate::domain::values::tooth::Numbering;

    #[test]
    fn it_answers_by_words_and_never_by_a_number() {
        for (marks, key, word) in ANSWERS {
            assert_eq!(marks.len(), Course::ALL.len(), "{key}");
            let kind = field_spec(key).map(|spec| spec.kind);
            assert!(
                matches!(kind, Some(Kind::Choice(_) | Kind::YesNo)),
                "{key}: {word}"
            );
        }
        for course in Course::ALL {
            let raw: Raw = as_pattern(*course)
                .map(|(key, word)| (key.to_owned(), word.to_owned()))
                .collect();
            assert_eq!(read(&raw, Numbering::Iso3950).faults, []);
        }
    }

    #[test]
    fn it_answers_wherever_a_course_leaves_a_section_to_the_pattern() {
        for course in Course::ALL {
            let left = catalogue()
                .iter()
                .any(|one| place(*course, one.key) == SectionPlace::AsThePattern);
            assert_eq!(
                as_pattern(*course).next().is_some(),
                left,
                "{}",
                course.word()
            );
        }
    }

    #[test]
    fn its_key_is_no_field_of_the_prescription() {
        assert!(!is_ours(AS_PATTERN));
        assert!(field_spec(AS_PATTERN).is_none());
        let raw = Raw::from([(AS_PATTERN.to_owned(), "yes".to_owned())]);
        let reading = read(&raw, Numbering::Iso3950);
        assert_eq!(
            (reading.faults, reading.document),
            (Vec::new(), Default::default())
        );
    }
}
