//! Which kind of work asks for what, as data: sections, the twenty-four points, rules that fall silent.
//!
//! One mark for each course, in the order of [`Course::ALL`]: copy, copy from files, tray, rims, set-up, reset,
//! finish, immediate, single, duplicate, reline, repair, remount, everything. `#` asks, `.` does not. What a
//! stage before has said already (the height of an approved try-in, the moulds of a set-up) is not asked
//! again. The table is common practice, no source.

use crate::domain::prescription::{
    Course, MakerOfSpare, Opposing, PatternSource, Piece, Prescription, Process, Stage,
    SurfaceSource, section_of,
};

/// Sections that a rule may ask about. What is filled in all the same is judged in every course; a section
/// that is not named here is always asked.
const SECTIONS: &[(&str, &str)] = &[
    ("pattern", "##...##.##...#"),
    ("duplicate", "#.......#....#"),
    ("vertical", "##..##.##.#..#"),
    ("jaw", "##..##.##...##"),
    ("facebow", "#...#..##...##"),
    ("guidance", "##..#..##....#"),
    ("plane", "##..#..##....#"),
    ("anterior", "##..##.##....#"),
    ("posterior", "##..#..##....#"),
    ("occlusion", "##..#..##...##"),
    ("shade", "##..#..###...#"),
    ("base_shade", "##....####.#.#"),
    ("seal", "##....###.#..#"),
    ("borders", "##.#..###.#..#"),
    ("impression", "####..###.#..#"),
    ("base", "##....######.#"),
    ("finish", "##....########"),
    ("marking", "##....####...#"),
    ("spare", "##....#.##...#"),
    ("enclosures", "#.############"),
    ("back", "#.############"),
];

/// The points that do not apply in every course. A tray has no shade; teeth that stand in the wax were
/// ordered with the set-up.
const POINTS: &[(usize, &str)] = &[
    (2, "##..#..##....#"),
    (10, "##..#..###...#"),
    (11, "##..#..##....#"),
    (12, "##..#..##....#"),
    (13, "##....####.#.#"),
    (14, "##..#.###...##"),
    (15, "##..#####.#..#"),
    (16, "##..#..##...##"),
    (17, "##..#..##...##"),
    (18, "##....###.#..#"),
    (19, "####..###.#..#"),
    (20, "##....######.#"),
    (24, "##....####...#"),
];

/// Rules that do not ask in a course although their section does: `#` is silent.
const SILENT: &[(&str, &str)] = &[
    // A copy as it is has no pattern beside what is laid into the flask, and no shade to be approved.
    ("pattern-unsaid", ".........#...."),
    ("shade-approval-unsaid", ".....##..#...."),
    // Teeth that stand in the wax: their shade and their size were asked for the set-up.
    ("shade-without-light", ".....##......."),
    ("mould-without-width", "......#......."),
    ("width-without-method", "......#......."),
    ("front-width-unusual", "......#......."),
    ("front-width-against-central", "......#......."),
    ("front-mould-for-one-arch", "......#......."),
    // Heights that the stage before, or the denture itself, gives.
    ("single-reading", "..##..#..#.##."),
    ("rest-unsaid", "..##..#..#.##."),
    // Taken short of contact, with the mounting kept: the pin closes it.
    ("record-height-unsaid", "............#."),
    ("record-off-the-kept-height", "............#."),
    ("vertical-after-record", "............#."),
    // What a finish that was begun left in the draft: in wax nothing is marked, carved or coloured.
    ("base-shade-without-guide", "....##........"),
    ("seal-of-no-pattern", "....##........"),
    ("mark-without-text", "....##........"),
    ("mark-without-place", "....##........"),
    // Nothing is set against the other jaw there, or by the denture's own teeth.
    ("opposing-unsaid", "..##.....#...."),
    // A single denture, or one that comes back, is mostly of one jaw where both are treated.
    ("treated-arch-without-piece", "........#.###."),
    ("opposing-not-enclosed", "..##.....###.."),
    // A repaired or relined base breaks for reasons of its own.
    ("single-denture-unstrengthened", "....#.....#..."),
    // Until the new denture is made, the old one may be what the patient wears; later its place is known.
    ("old-denture-with-the-patient", "..####........"),
    ("old-denture-not-registered", "..###########."),
];

fn is_marked(marks: &str, course: Course) -> bool {
    let places = Course::ALL.iter().zip(marks.bytes());
    places
        .filter(|(here, _)| **here == course)
        .any(|(_, mark)| mark == b'#')
}

/// The marks of `key`, where the table has it.
fn marks_of<K: PartialEq>(table: &[(K, &'static str)], key: K) -> Option<&'static str> {
    table
        .iter()
        .find(|(one, _)| *one == key)
        .map(|(_, marks)| *marks)
}

/// The course of one piece by its stage and by what it is made from.
fn course_of(rx: &Prescription, piece: &Piece) -> Option<Course> {
    Some(match piece.stage? {
        Stage::Tray => Course::Tray,
        Stage::Rims => Course::Rims,
        Stage::Mount | Stage::SetUp | Stage::TryIn => Course::SetUp,
        Stage::Reset => Course::Reset,
        Stage::Duplicate => Course::Duplicate,
        Stage::Reline | Stage::Rebase => Course::Reline,
        Stage::Repair => Course::Repair,
        Stage::Remount => Course::Remount,
        Stage::Process => finished(rx, piece),
    })
}

/// The course of one piece: the one that is written, where it says more than the stage; what is made in steps is of the
/// course of its step.
pub fn course_of_piece(rx: &Prescription, piece: &Piece) -> Option<Course> {
    let stage = piece.stage?;
    let is_of_written = |course: &Course| {
        let says_more =
            stage == Stage::Process || !matches!(course, Course::Immediate | Course::Single);
        *course != Course::Everything && says_more && takes(*course, stage)
    };
    let written = rx.order.course.filter(is_of_written);
    written.or_else(|| course_of(rx, piece))
}

/// What a piece that is processed and finished comes from.
fn finished(rx: &Prescription, piece: &Piece) -> Course {
    let against_teeth = matches!(
        piece.opposing,
        Some(Opposing::Natural | Opposing::Partial | Opposing::Implants)
    );
    let from_files = !rx.scan_set.scans.is_empty()
        || (rx.impression.source == Some(SurfaceSource::Scan)
            && matches!(rx.base.process, Some(Process::Milling | Process::Printing)));
    match rx.pattern.source {
        Some(PatternSource::TryIn) => Course::Finish,
        _ if !rx.cast_trim.extractions.is_empty() => Course::Immediate,
        Some(PatternSource::None) | None if against_teeth => Course::Single,
        Some(PatternSource::None) | None => Course::Everything,
        Some(_) if from_files => Course::DigitalCopy,
        Some(_) if against_teeth => Course::Single,
        Some(_) => Course::Copy,
    }
}

/// Whether a piece of such a stage belongs to the course that is written.
pub fn takes(course: Course, stage: Stage) -> bool {
    match course {
        Course::Everything => true,
        Course::Tray => stage == Stage::Tray,
        Course::Rims => stage == Stage::Rims,
        Course::SetUp => matches!(stage, Stage::Mount | Stage::SetUp | Stage::TryIn),
        Course::Reset => matches!(stage, Stage::Reset | Stage::TryIn | Stage::Remount),
        Course::Duplicate => stage == Stage::Duplicate,
        Course::Reline => matches!(stage, Stage::Reline | Stage::Rebase),
        Course::Repair => stage == Stage::Repair,
        Course::Remount => stage == Stage::Remount,
        Course::Copy | Course::DigitalCopy | Course::Finish => stage == Stage::Process,
        // Made in steps, or at once.
        Course::Immediate | Course::Single => !matches!(
            stage,
            Stage::Duplicate | Stage::Reline | Stage::Rebase | Stage::Repair | Stage::Remount
        ),
    }
}

/// Whether a piece is no more than the spare beside other work: its own part asks about it.
fn is_the_spare(rx: &Prescription, piece: &Piece) -> bool {
    let mut pieces = rx.order.pieces.iter();
    let is_other = |one: &Piece| one.stage.is_some_and(|stage| stage != Stage::Duplicate);
    piece.stage == Some(Stage::Duplicate)
        && rx.spare.made_by == Some(MakerOfSpare::Lab)
        && pieces.any(is_other)
}

/// The courses of a prescription: the one that is written and those of pieces that do not belong to it.
/// While nothing says it, everything is asked.
pub fn courses(rx: &Prescription) -> Vec<Course> {
    let mut found: Vec<Course> = rx.order.course.into_iter().collect();
    for piece in &rx.order.pieces {
        let belongs = |course: Course| piece.stage.is_none_or(|stage| takes(course, stage));
        if rx.order.course.is_some_and(belongs) || is_the_spare(rx, piece) {
            continue;
        }
        found.extend(course_of(rx, piece).filter(|course| !found.contains(course)));
    }
    if found.is_empty() {
        found.push(Course::Everything);
    }
    found
}

/// The courses whose questions are asked. An immediate or a single denture is made in steps: its tray, its rims or its
/// try-in ask what those ask, and base, seal and mark are asked with the finish.
pub fn courses_asked(rx: &Prescription) -> Vec<Course> {
    let stages: Vec<Stage> = rx
        .order
        .pieces
        .iter()
        .filter_map(|piece| piece.stage)
        .collect();
    let is_step = !stages.is_empty() && !stages.contains(&Stage::Process);
    let mut asked: Vec<Course> = Vec::new();
    for course in courses(rx) {
        let steps = rx.order.pieces.iter();
        let of_steps = steps
            .filter(|piece| !is_the_spare(rx, piece))
            .filter_map(|piece| course_of(rx, piece));
        let here: Vec<Course> = match course {
            Course::Immediate | Course::Single if is_step => of_steps.collect(),
            _ => vec![course],
        };
        for one in here {
            if !asked.contains(&one) {
                asked.push(one);
            }
        }
    }
    asked
}

/// The one course that a form is laid out for: all of them where pieces of several are ordered.
pub fn course_written(rx: &Prescription) -> Course {
    match courses(rx).as_slice() {
        [one] => *one,
        _ => Course::Everything,
    }
}

/// Whether a point applies in one of the courses.
pub fn point_applies(courses: &[Course], rx: &Prescription, number: usize) -> bool {
    match marks_of(POINTS, number) {
        None => true,
        Some(marks) => {
            // A rebase is a new base, in sight and to be marked.
            let pieces = rx.order.pieces.iter();
            let is_rebased = pieces
                .filter(|piece| piece.stage == Some(Stage::Rebase))
                .count()
                > 0;
            (is_rebased && matches!(number, 13 | 24))
                || courses.iter().any(|one| is_marked(marks, *one))
        }
    }
}

/// Whether the section of a key is asked in one of the courses, or filled in. What is in no section is always
/// asked.
pub fn asks_at(courses: &[Course], rx: &Prescription, key: &str) -> bool {
    let Some(section) = section_of(key) else {
        return true;
    };
    marks_of(SECTIONS, section.key).is_none_or(|marks| {
        courses.iter().any(|one| is_marked(marks, *one)) || rx.is_filled(section.key)
    })
}

/// Whether a rule of this name asks nothing in these courses.
pub fn is_silent(courses: &[Course], id: &str) -> bool {
    marks_of(SILENT, id).is_some_and(|marks| courses.iter().all(|one| is_marked(marks, *one)))
}

/// The rules that fall silent somewhere.
#[cfg(test)]
pub fn silenced() -> impl Iterator<Item = &'static str> {
    SILENT.iter().map(|(id, _)| *id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::{catalogue, read};
    use crate::domain::values::tooth::Numbering;

    #[test]
    fn a_denture_that_is_made_in_steps_asks_what_its_step_asks_and_its_spare_asks_for_itself() {
        for (stage, asked) in [
            ("tray", Course::Tray),
            ("try_in", Course::SetUp),
            ("process", Course::Immediate),
        ] {
            let fields = [
                ("order.course", "immediate"),
                ("pieces.0.arch", "upper"),
                ("pieces.0.stage", stage),
                ("pieces.1.arch", "upper"),
                ("pieces.1.stage", "duplicate"),
                ("spare.made_by", "lab"),
            ];
            let raw: Raw = fields
                .iter()
                .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
                .collect();
            let document = read(&raw, Numbering::Iso3950).document;
            assert_eq!(courses_asked(&document), [asked], "{stage}");
        }
    }

    #[test]
    fn every_row_has_a_mark_for_each_course_and_a_name_that_is_there() {
        let marks = SECTIONS
            .iter()
            .map(|(_, marks)| marks)
            .chain(POINTS.iter().map(|(_, marks)| marks))
            .chain(SILENT.iter().map(|(_, marks)| marks));
        for marks in marks {
            assert_eq!(marks.len(), Course::ALL.len(), "{marks}");
            assert!(marks.bytes().all(|mark| matches!(mark, b'#' | b'.')));
        }
        for (section, _) in SECTIONS {
            assert!(
                catalogue().iter().any(|one| one.key == *section),
                "{section}"
            );
        }
    }

    #[test]
    fn everything_asks_for_everything() {
        let all = SECTIONS.iter().map(|(_, marks)| marks);
        for marks in all.chain(POINTS.iter().map(|(_, marks)| marks)) {
            assert!(is_marked(marks, Course::Everything), "{marks}");
        }
        for (id, marks) in SILENT {
            assert!(!is_marked(marks, Course::Everything), "{id}");
        }
    }

    #[test]
    fn rows_belong_to_the_section_of_their_list() {
        for (key, section) in [
            ("readings.0.rest_mm", Some("vertical")),
            ("vertical.order", Some("vertical")),
            ("changes.3.mm", Some("pattern")),
            ("pieces.0.arch", Some("order")),
            ("enclosed.1.tag", Some("enclosures")),
            ("case.items", None),
            ("patient.age_band", None),
        ] {
            assert_eq!(section_of(key).map(|one| one.key), section, "{key}");
        }
    }
}
