//! The place of each section in each course.

use crate::domain::prescription::parts::Course;

/// How a section stands in the form of a course.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SectionPlace {
    /// Its line stands in the form, and what it asks stands open below.
    Asked,
    /// The pattern answers it: folded to one line.
    AsThePattern,
    /// The stage before has said it: a fact that can be opened.
    Carried,
    /// Folded, and nothing in it is asked.
    Offered,
    /// Out of the way, behind the form's last line.
    Away,
}

/// One letter for each course, in the order of [`Course::ALL`]: A asked, p as the pattern, c carried, o offered,
/// a dot out of the way.
const PLACES: &[(&str, &str)] = &[
    ("order", "AAAAAAAAAAAAAA"),
    ("approval", ".....AA......o"),
    ("reline", "..........A..o"),
    ("repair", "...........A.o"),
    ("remount", "............Ao"),
    ("rims", "...A.........o"),
    ("opposing", "....o.oAA....o"),
    ("cast_trim", ".......A.....o"),
    ("pattern", "AA..oAAoAA...A"),
    ("scan_set", "oAoooooooooooo"),
    ("duplicate", "A.......A....A"),
    ("vertical", "AA..AAcAA.A..A"),
    ("jaw", "AA..AA.AA.o.AA"),
    ("facebow", "Ao..Ac.AA...AA"),
    ("guidance", "AA..Ac.AA...oA"),
    ("plane", "pp..Ac.Ap....A"),
    ("anterior", "AA..AAcAA..o.A"),
    ("posterior", "AA..AccAA..o.A"),
    ("occlusion", "AA..AccAA...AA"),
    ("shade", "AA..AccAAA.o.A"),
    ("base_shade", "AA..o.AAAAoA.A"),
    ("seal", "pp....AAp.p..A"),
    ("borders", "ppoA..AAp.A..A"),
    ("impression", "AAAAc.AAA.Ao.A"),
    ("base", "AA..o.AAAAAA.A"),
    ("finish", "AA....AAAAAAAA"),
    ("marking", "AA..o.AAAAoo.A"),
    ("spare", "AA....AoAA...A"),
    ("enclosures", "AoAAAAAAAAAAAA"),
    ("back", "AoAAAAAAAAAAAA"),
    ("dates", "AAAAAAAAAAAAAA"),
    ("law", "oooooooooooooo"),
    ("remarks", "AAAAAAAAAAAAAA"),
];

/// Where a section stands in a course; a section that is not in the table is offered.
pub fn place(course: Course, section: &str) -> SectionPlace {
    let row = PLACES.iter().find(|(key, _)| *key == section);
    let column = Course::ALL.iter().position(|one| *one == course);
    let letter = row
        .zip(column)
        .and_then(|((_, row), at)| row.as_bytes().get(at));
    match letter {
        Some(b'A') => SectionPlace::Asked,
        Some(b'p') => SectionPlace::AsThePattern,
        Some(b'c') => SectionPlace::Carried,
        Some(b'.') => SectionPlace::Away,
        _ => SectionPlace::Offered,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::catalogue;

    #[test]
    fn every_section_has_a_letter_for_every_course() {
        let sections: Vec<&str> = catalogue().iter().map(|section| section.key).collect();
        let named: Vec<&str> = PLACES.iter().map(|(key, _)| *key).collect();
        assert_eq!(named, sections);
        for (key, row) in PLACES {
            assert_eq!(row.len(), Course::ALL.len(), "{key}");
            assert!(row.chars().all(|letter| "Apco.".contains(letter)), "{key}");
        }
    }

    #[test]
    fn everything_puts_nothing_out_of_the_way() {
        for section in catalogue() {
            assert_ne!(
                place(Course::Everything, section.key),
                SectionPlace::Away,
                "{}",
                section.key
            );
        }
    }
}
