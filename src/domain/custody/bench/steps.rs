//! The steps of the bench, and which of them each kind of work asks, as data.
//!
//! One mark for each course, in the order of [`Course::ALL`]: copy, copy from files, tray, rims, set-up, reset,
//! finish, immediate, single, duplicate, reline, repair, remount, everything. `#` asks, `.` does not. Common practice,
//! no source. A step that an order does not ask for can be entered all the same.

use crate::domain::form::choice_field;
use crate::domain::prescription::Course;
use crate::domain::values::arch::Arch;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// A step at the bench, as it is told when it is done; in the order in which they are done.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum BenchStep {
        CastPoured = "cast poured and boxed",
        Matrix = "matrix of the pattern made",
        TrayMade = "custom tray made",
        RimsMade = "record base and rim made",
        Mounted = "mounted",
        SetUp = "teeth set up",
        Reset = "teeth reset",
        TryInChecked = "try-in checked",
        Flasked = "flasked",
        Cured = "cured",
        Milled = "milled or printed",
        Duplicated = "duplicate made",
        Relined = "reline cured",
        Repaired = "repaired",
        Remounted = "remounted",
        Finished = "finished and polished",
    }
}

choice_field!(BenchStep);

impl BenchStep {
    /// The step as it is to be done; what a reset goes by is said by [`super::ResetBy`].
    pub const fn to_do(self) -> &'static str {
        match self {
            BenchStep::CastPoured => "Pour and box the cast",
            BenchStep::Matrix => "Make the matrix of the pattern",
            BenchStep::TrayMade => "Make the custom tray",
            BenchStep::RimsMade => "Make the record base and rim",
            BenchStep::Mounted => "Mount the casts",
            BenchStep::SetUp => "Set up the teeth",
            BenchStep::Reset => "Reset the teeth",
            BenchStep::TryInChecked => "Check the try-in on the articulator",
            BenchStep::Flasked => "Flask",
            BenchStep::Cured => "Pack and cure",
            BenchStep::Milled => "Mill or print",
            BenchStep::Duplicated => "Make the duplicate",
            BenchStep::Relined => "Reline and cure",
            BenchStep::Repaired => "Repair",
            BenchStep::Remounted => "Remount and grind in",
            BenchStep::Finished => "Finish and polish",
        }
    }

    /// What can hurt somebody, or what cannot be undone; empty for most.
    pub const fn caution(self) -> &'static str {
        match self {
            BenchStep::Flasked => {
                "A cast can break when it is deflasked. Photograph it before: afterwards nothing shows what it was."
            }
            BenchStep::Cured | BenchStep::Relined | BenchStep::Repaired | BenchStep::Duplicated => {
                "Monomer: gloves and extraction. Hot water and pressure: as the maker's sheet and the house's rules say."
            }
            BenchStep::Finished | BenchStep::Remounted => "Dust: extraction, eye protection.",
            _ => "",
        }
    }
}

const ASKED: &[(BenchStep, &str)] = &[
    (BenchStep::CastPoured, "#.##...##.##.#"),
    (BenchStep::Matrix, "#............."),
    (BenchStep::TrayMade, "..#..........."),
    (BenchStep::RimsMade, "...#.........."),
    (BenchStep::Mounted, "#...#..##...##"),
    (BenchStep::SetUp, "##..#..##....#"),
    (BenchStep::Reset, ".....#........"),
    (BenchStep::TryInChecked, "....##........"),
    (BenchStep::Flasked, "#.....###....#"),
    (BenchStep::Cured, "#.....###....#"),
    (BenchStep::Milled, ".#............"),
    (BenchStep::Duplicated, ".........#...."),
    (BenchStep::Relined, "..........#..."),
    (BenchStep::Repaired, "...........#.."),
    (BenchStep::Remounted, "#.....###...##"),
    (BenchStep::Finished, "##....########"),
];

/// What of one piece of an order its steps follow from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BenchPiece {
    /// None where the piece is for both.
    pub arch: Option<Arch>,
    pub course: Course,
    /// Milled or printed: nothing is flasked and cured.
    pub by_machine: bool,
    /// The order says that nothing is remounted in the lab.
    pub without_remount: bool,
    /// A reset to a new height: it begins with mounting to the new record.
    pub to_new_height: bool,
}

impl BenchPiece {
    /// Whether the piece asks for a step.
    pub fn asks(&self, step: BenchStep) -> bool {
        let marks = ASKED.iter().find(|(one, _)| *one == step);
        let mut marks = Course::ALL
            .iter()
            .zip(marks.map_or("", |(_, marks)| marks).bytes());
        let is_asked = marks.any(|(course, mark)| *course == self.course && mark == b'#');
        let is_cured = [BenchStep::Flasked, BenchStep::Cured];
        match step {
            BenchStep::Milled => {
                is_asked || (self.by_machine && is_cured.iter().any(|one| self.marked(*one)))
            }
            BenchStep::Flasked | BenchStep::Cured => is_asked && !self.by_machine,
            BenchStep::Remounted => {
                is_asked && (!self.without_remount || self.course == Course::Remount)
            }
            BenchStep::Mounted => is_asked || self.to_new_height,
            _ => is_asked,
        }
    }

    /// Whether what the rounds before have done of a step counts for this piece: where it goes as far as the flask or the
    /// machine, all that is done before. Common practice, no source: nobody pours a cast again because a try-in was looked at.
    pub fn takes_over(&self, step: BenchStep) -> bool {
        let goes_on = [BenchStep::Flasked, BenchStep::Milled];
        step < BenchStep::Flasked && goes_on.iter().any(|one| self.marked(*one))
    }

    fn marked(&self, step: BenchStep) -> bool {
        let hand = BenchPiece {
            by_machine: false,
            ..*self
        };
        hand.asks(step)
    }
}

/// The arches of these of which the pieces ask a step.
pub fn asked_for(pieces: &[BenchPiece], arches: &[Arch], step: BenchStep) -> Vec<Arch> {
    let is_asked = |arch: &Arch| {
        let mut of_arch = pieces
            .iter()
            .filter(|piece| piece.arch.is_none_or(|own| own == *arch));
        of_arch.any(|piece| piece.asks(step))
    };
    arches.iter().copied().filter(is_asked).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(course: Course) -> BenchPiece {
        BenchPiece {
            arch: None,
            course,
            by_machine: false,
            without_remount: false,
            to_new_height: false,
        }
    }

    fn steps(piece: &BenchPiece) -> Vec<&'static str> {
        let asked = BenchStep::ALL.iter().filter(|step| piece.asks(**step));
        asked.map(|step| step.word()).collect()
    }

    /// Common practice, no source: what a lab does in each kind of work.
    #[test]
    fn each_course_asks_its_own_steps_in_their_order() {
        let made = "flasked cured remounted finished";
        let table = [
            (
                Course::Copy,
                format!("cast_poured matrix mounted set_up {made}"),
            ),
            (Course::DigitalCopy, "set_up milled finished".to_owned()),
            (Course::Tray, "cast_poured tray_made".to_owned()),
            (Course::Rims, "cast_poured rims_made".to_owned()),
            (Course::SetUp, "mounted set_up try_in_checked".to_owned()),
            (Course::Reset, "reset try_in_checked".to_owned()),
            (Course::Finish, made.to_owned()),
            (
                Course::Immediate,
                format!("cast_poured mounted set_up {made}"),
            ),
            (Course::Single, format!("cast_poured mounted set_up {made}")),
            (Course::Duplicate, "duplicated finished".to_owned()),
            (Course::Reline, "cast_poured relined finished".to_owned()),
            (Course::Repair, "cast_poured repaired finished".to_owned()),
            (Course::Remount, "mounted remounted finished".to_owned()),
            (
                Course::Everything,
                format!("cast_poured mounted set_up {made}"),
            ),
        ];
        assert_eq!(table.each_ref().map(|(course, _)| *course), Course::ALL);
        for (course, wanted) in table {
            assert_eq!(steps(&piece(course)).join(" "), wanted, "{}", course.word());
        }
    }

    #[test]
    fn what_goes_into_the_flask_takes_over_what_earlier_rounds_have_done() {
        let takes = |course, step| piece(course).takes_over(step);
        for course in [Course::Copy, Course::Immediate, Course::Everything] {
            assert!(takes(course, BenchStep::CastPoured) && takes(course, BenchStep::SetUp));
            assert!(!takes(course, BenchStep::Flasked) && !takes(course, BenchStep::Finished));
        }
        for course in [Course::Rims, Course::SetUp, Course::Reset, Course::Reline] {
            assert!(BenchStep::ALL.iter().all(|step| !takes(course, *step)));
        }
        assert!(takes(Course::DigitalCopy, BenchStep::SetUp));
        assert!(!takes(Course::DigitalCopy, BenchStep::Milled));
        // A machine sets no flask up, and the cast is poured already all the same.
        let milled = BenchPiece {
            by_machine: true,
            ..piece(Course::Single)
        };
        assert!(milled.takes_over(BenchStep::Mounted));
    }

    #[test]
    fn a_machine_flasks_nothing_and_an_order_can_leave_the_remount_out() {
        let milled = BenchPiece {
            by_machine: true,
            ..piece(Course::Single)
        };
        assert_eq!(
            steps(&milled).join(" "),
            "cast_poured mounted set_up milled remounted finished"
        );
        // A machine makes no try-in.
        let tried = BenchPiece {
            by_machine: true,
            ..piece(Course::SetUp)
        };
        assert!(!tried.asks(BenchStep::Milled));
        let without = |course| BenchPiece {
            without_remount: true,
            ..piece(course)
        };
        assert!(!without(Course::Finish).asks(BenchStep::Remounted));
        assert!(without(Course::Remount).asks(BenchStep::Remounted));
    }

    #[test]
    fn a_reset_to_a_new_height_is_mounted_again_first() {
        let refused = BenchPiece {
            to_new_height: true,
            ..piece(Course::Reset)
        };
        assert_eq!(steps(&refused).join(" "), "mounted reset try_in_checked");
    }

    #[test]
    fn every_step_has_its_row_and_every_row_a_mark_for_each_course() {
        let rows: Vec<BenchStep> = ASKED.iter().map(|(step, _)| *step).collect();
        assert_eq!(rows, BenchStep::ALL);
        for (step, marks) in ASKED {
            assert_eq!(marks.len(), Course::ALL.len(), "{step:?}");
            assert!(marks.bytes().all(|mark| matches!(mark, b'#' | b'.')));
            assert!(marks.contains('#'), "{step:?}");
        }
    }

    #[test]
    fn each_arch_is_asked_by_its_own_pieces() {
        let of = |arch, course| BenchPiece {
            arch: Some(arch),
            ..piece(course)
        };
        let pieces = [
            of(Arch::Upper, Course::Finish),
            of(Arch::Lower, Course::Reline),
        ];
        let asked = |step| asked_for(&pieces, &[Arch::Upper, Arch::Lower], step);
        assert_eq!(asked(BenchStep::Flasked), [Arch::Upper]);
        assert_eq!(asked(BenchStep::Relined), [Arch::Lower]);
        assert_eq!(asked(BenchStep::Finished), [Arch::Upper, Arch::Lower]);
        assert_eq!(
            asked_for(&pieces, &[Arch::Upper], BenchStep::Finished),
            [Arch::Upper]
        );
        assert_eq!(asked_for(&[], &[Arch::Upper], BenchStep::Finished), []);
    }
}
