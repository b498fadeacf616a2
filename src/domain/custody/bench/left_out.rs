//! What a step cannot be done without, where the order asks for that too and nobody has entered it yet.

use super::progress::BenchProgress;
use super::steps::BenchStep;
use crate::domain::values::arch::{Arch, Arches};

use BenchStep as S;

/// Each step with what goes before it. Common practice, no source. A cast is in no row: the office may have poured it.
const BEFORE: &[(BenchStep, &[BenchStep])] = &[
    (S::Reset, &[S::Mounted]),
    (S::TryInChecked, &[S::SetUp, S::Reset]),
    (S::Flasked, &[S::SetUp]),
    (S::Cured, &[S::Flasked]),
    (S::Milled, &[S::SetUp]),
    (S::Remounted, &[S::Flasked, S::Cured, S::Milled]),
    (
        S::Finished,
        &[
            S::Flasked,
            S::Cured,
            S::Milled,
            S::Duplicated,
            S::Relined,
            S::Repaired,
        ],
    ),
];

/// Whether a duplicate is what is finished for this arch, and no spare beside other work, which is made after it.
fn is_the_work(found: &BenchProgress<'_>, arch: Arch) -> bool {
    const OTHERS: [BenchStep; 4] = [S::SetUp, S::Flasked, S::Cured, S::Milled];
    let mut others = (found.lines.iter()).filter(|line| line.asked && OTHERS.contains(&line.step));
    !others.any(|line| line.arches.iter().any(|(own, _)| *own == arch))
}

/// Whether a step that goes before was asked about already: another that cannot be done without it is entered.
fn is_passed(found: &BenchProgress<'_>, before: BenchStep, arch: Arch) -> bool {
    let after = BEFORE.iter().filter(|(_, asked)| asked.contains(&before));
    let mut later = after.map(|(step, _)| *step);
    // The last step of all says nothing of those before it: what was finished before its time is no flask.
    later.any(|step| {
        let mut lines = found.lines.iter().filter(|line| line.step == step);
        step != S::Finished
            && lines.any(|line| {
                let mut arches = line.arches.iter();
                arches.any(|(own, done)| *own == arch && done.is_some())
            })
    })
}

/// What of an order goes before a step for these arches and is not entered yet, in the order of the work; each is asked
/// about once.
pub fn left_out(
    found: &BenchProgress<'_>,
    step: BenchStep,
    arches: Arches,
) -> Vec<(BenchStep, Vec<Arch>)> {
    let row = BEFORE.iter().find(|(one, _)| *one == step);
    let before = row.map_or(&[][..], |(_, before)| before);
    let lines = found
        .lines
        .iter()
        .filter(|line| before.contains(&line.step));
    let open = lines.map(|line| {
        let mut open = line.open();
        open.retain(|arch| {
            let is_spare = line.step == S::Duplicated && !is_the_work(found, *arch);
            let is_passed = is_passed(found, line.step, *arch);
            arches.treated().contains(arch) && !is_spare && !is_passed
        });
        (line.step, open)
    });
    open.filter(|(_, open)| !open.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::bench::entries::entry;
    use crate::domain::custody::bench::progress::{BenchRound, progress};
    use crate::domain::custody::bench::steps::BenchPiece;
    use crate::domain::prescription::Course;

    #[test]
    fn what_goes_before_a_step_is_told_where_the_order_asks_for_it_and_nobody_has_entered_it() {
        let (upper, lower, both) = (Arches::Upper, Arches::Lower, Arches::Both);
        // course, by machine, what is entered, the step, its arches, what is left out
        for (course, by_machine, entered, step, arches, wanted) in [
            (
                Course::Copy,
                false,
                &[][..],
                S::Finished,
                upper,
                "flasked upper; cured upper",
            ),
            (Course::Copy, false, &[], S::Cured, upper, "flasked upper"),
            (
                Course::Copy,
                false,
                &[(S::Flasked, upper)],
                S::Cured,
                both,
                "flasked lower",
            ),
            (
                Course::Copy,
                false,
                &[(S::Flasked, both)],
                S::Cured,
                both,
                "",
            ),
            (
                Course::Copy,
                false,
                &[(S::Flasked, both), (S::Cured, both)],
                S::Finished,
                both,
                "",
            ),
            // That it is flasked was asked when it was cured.
            (
                Course::Copy,
                false,
                &[(S::Cured, upper)],
                S::Remounted,
                both,
                "flasked lower; cured lower",
            ),
            (
                Course::Copy,
                false,
                &[(S::Remounted, upper)],
                S::Finished,
                upper,
                "",
            ),
            // What was finished before its time is no flask.
            (
                Course::Copy,
                false,
                &[(S::Finished, upper)],
                S::Cured,
                upper,
                "flasked upper",
            ),
            (Course::Copy, false, &[], S::Flasked, lower, "set_up lower"),
            (Course::Copy, false, &[], S::SetUp, both, ""),
            // A machine has no flask.
            (
                Course::Single,
                true,
                &[],
                S::Finished,
                upper,
                "milled upper",
            ),
            (Course::Single, true, &[], S::Cured, upper, ""),
            (
                Course::DigitalCopy,
                false,
                &[],
                S::Milled,
                upper,
                "set_up upper",
            ),
            (
                Course::Finish,
                false,
                &[],
                S::Remounted,
                upper,
                "flasked upper; cured upper",
            ),
            // What the order does not ask for is nothing to wait for.
            (Course::Remount, false, &[], S::Finished, upper, ""),
            (Course::Finish, false, &[], S::Flasked, upper, ""),
            (
                Course::Repair,
                false,
                &[],
                S::Finished,
                upper,
                "repaired upper",
            ),
            (Course::Repair, false, &[], S::Repaired, upper, ""),
            (
                Course::Reset,
                false,
                &[],
                S::TryInChecked,
                upper,
                "reset upper",
            ),
            (Course::Tray, false, &[], S::TrayMade, upper, ""),
        ] {
            let piece = BenchPiece {
                arch: None,
                course,
                by_machine,
                without_remount: false,
                to_new_height: false,
            };
            let entries: Vec<_> = (1_i64..)
                .zip(entered)
                .map(|(at, (step, arches))| entry(*step, *arches, at))
                .collect();
            let rounds = [Arch::Upper, Arch::Lower].map(BenchRound::first);
            let pieces = [piece];
            let found = progress(
                &pieces,
                &rounds,
                &entries,
                &crate::domain::custody::bench::ByRevision::default(),
            );
            let open = left_out(&found, step, arches);
            let words = open.iter().map(|(step, arches)| {
                let arches: Vec<&str> = arches.iter().map(|arch| arch.word()).collect();
                format!("{} {}", step.word(), arches.join(" "))
            });
            let words = words.collect::<Vec<_>>().join("; ");
            assert_eq!(words, wanted, "{course:?} {step:?} {arches:?} {entered:?}");
        }
    }

    #[test]
    fn a_reset_to_a_new_height_is_mounted_before_its_teeth_are_moved() {
        let rounds = [Arch::Upper, Arch::Lower].map(BenchRound::first);
        let by_revision = crate::domain::custody::bench::ByRevision::default();
        for (to_new_height, wanted) in [(true, &[S::Mounted][..]), (false, &[])] {
            let pieces = [BenchPiece {
                arch: None,
                course: Course::Reset,
                by_machine: false,
                without_remount: false,
                to_new_height,
            }];
            let found = progress(&pieces, &rounds, &[], &by_revision);
            let open = left_out(&found, S::Reset, Arches::Both).into_iter();
            assert_eq!(open.map(|(step, _)| step).collect::<Vec<_>>(), wanted);
        }
    }

    #[test]
    fn a_spare_beside_other_work_is_made_after_that_is_finished() {
        let piece = |course| BenchPiece {
            arch: None,
            course,
            by_machine: false,
            without_remount: false,
            to_new_height: false,
        };
        let rounds = [Arch::Upper, Arch::Lower].map(BenchRound::first);
        let done = [(S::Flasked, 1), (S::Cured, 2)];
        let done = done.map(|(step, at)| entry(step, Arches::Both, at));
        let by_revision = crate::domain::custody::bench::ByRevision::default();
        let open = |pieces: &[BenchPiece]| {
            let found = progress(pieces, &rounds, &done, &by_revision);
            let open = left_out(&found, S::Finished, Arches::Both).into_iter();
            open.map(|(step, _)| step).collect::<Vec<_>>()
        };
        let both = [piece(Course::Finish), piece(Course::Duplicate)];
        assert_eq!(open(&both), []);
        // Where the lab makes nothing else, it is what is finished.
        assert_eq!(open(&both[1..]), [S::Duplicated]);
    }

    #[test]
    fn what_goes_before_stands_before_in_the_order_of_the_work() {
        for (step, before) in BEFORE {
            assert!(before.iter().all(|one| one < step), "{step:?}");
        }
    }
}
