//! What a step cannot be done without, where the order asks for that too and nobody has entered it yet.

use super::progress::BenchProgress;
use super::steps::BenchStep;
use crate::domain::values::arch::{Arch, Arches};

use BenchStep as S;

/// Each step with what goes before it. Common practice, no source. A cast is in no row: the office may have poured it.
const BEFORE: &[(BenchStep, &[BenchStep])] = &[
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

/// What of an order goes before a step for these arches and is not entered yet, in the order of the work.
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
        open.retain(|arch| arches.treated().contains(arch));
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
    fn what_goes_before_stands_before_in_the_order_of_the_work() {
        for (step, before) in BEFORE {
            assert!(before.iter().all(|one| one < step), "{step:?}");
        }
    }
}
