//! Where the work of a case stands at the bench: what is done, what is next, what is open.

use super::carried::{ByRevision, Unsaid};
use super::entries::BenchEntry;
use super::steps::{BenchPiece, BenchStep, asked_for};
use crate::domain::prescription::Course;
use crate::domain::values::arch::Arch;

/// One step with its arches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchLine<'a> {
    pub step: BenchStep,
    /// Whether the order asks for it; what was done without being asked for is told all the same.
    pub asked: bool,
    /// Each arch with the newest entry that says it is done.
    pub arches: Vec<(Arch, Option<&'a BenchEntry>)>,
}

impl BenchLine<'_> {
    /// The arches for which it is still to be done.
    pub fn open(&self) -> Vec<Arch> {
        let open = self.arches.iter().filter(|(_, done)| done.is_none());
        let open = open.map(|(arch, _)| *arch);
        if self.asked {
            open.collect()
        } else {
            Vec::new()
        }
    }
}

/// The round in which the work for an arch is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BenchRound {
    pub arch: Arch,
    /// When the work of the round before it had left the lab; none in the first.
    pub since_ms: Option<i64>,
    /// When finished work had left it before; none where none has.
    pub work_since_ms: Option<i64>,
    /// When the last spare that the lab had made was lost before it came to anybody; none where one is there.
    pub spare_lost_ms: Option<i64>,
    /// When the office had sent back what it found not as asked; none where it has not, or where that came to it again.
    pub sent_back_ms: Option<i64>,
    /// Try-ins that came back of the work in hand.
    pub tries: usize,
}

impl BenchRound {
    /// The first round of an arch.
    pub fn first(arch: Arch) -> BenchRound {
        BenchRound {
            arch,
            since_ms: None,
            work_since_ms: None,
            spare_lost_ms: None,
            sent_back_ms: None,
            tries: 0,
        }
    }

    /// From when on an entry of a step counts: with what the rounds before have done, where each piece that asks for it
    /// takes that over.
    fn counts_from(&self, pieces: &[BenchPiece], step: BenchStep) -> Option<i64> {
        let own = |piece: &&BenchPiece| {
            piece.arch.is_none_or(|arch| arch == self.arch) && piece.asks(step)
        };
        let asking: Vec<&BenchPiece> = pieces.iter().filter(own).collect();
        let all = |is_so: &dyn Fn(&BenchPiece) -> bool| {
            !asking.is_empty() && asking.iter().all(|piece| is_so(piece))
        };
        let since = match all(&|piece| piece.takes_over(step)) {
            true => self.work_since_ms,
            false => self.since_ms,
        };
        // What the denture itself asks too stays done: that is not lost.
        let lost = self.spare_lost_ms;
        let since = since.max(lost.filter(|_| all(&|piece| piece.course == Course::Duplicate)));
        // What is done to the denture itself: cast, set-up and flask are not made again because of it. Common practice, no
        // source.
        since.max(self.sent_back_ms.filter(|_| step >= BenchStep::Relined))
    }
}

/// The steps of a case, in the order in which they are done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchProgress<'a> {
    pub lines: Vec<BenchLine<'a>>,
    /// What of it is done for an earlier revision, and nobody has said whether it stands.
    pub unsaid: Vec<Unsaid>,
}

impl<'a> BenchProgress<'a> {
    /// The first step that is still to be done for some arch.
    pub fn next(&self) -> Option<&BenchLine<'a>> {
        self.open().next()
    }

    /// The steps that are still to be done.
    pub fn open(&self) -> impl Iterator<Item = &BenchLine<'a>> {
        self.lines.iter().filter(|line| !line.open().is_empty())
    }

    /// Without what is open for these arches: what is done of them is told all the same.
    pub fn without(mut self, arches: &[Arch]) -> BenchProgress<'a> {
        for line in &mut self.lines {
            let stays = |(arch, done): &(Arch, Option<&BenchEntry>)| {
                done.is_some() || !arches.contains(arch)
            };
            line.arches.retain(stays);
        }
        self.unsaid.retain(|one| !arches.contains(&one.arch));
        self
    }

    /// How many steps are asked for, and how many of them are done for all arches.
    pub fn counts(&self) -> (usize, usize) {
        let asked = self.lines.iter().filter(|line| line.asked).count();
        (asked, asked - self.open().count())
    }

    /// What is asked for an arch whose last step is not entered, though some before it are: how many steps, and those that
    /// are open. A lab that enters none leaves nothing open.
    pub fn unfinished(&self, arch: Arch) -> Option<(usize, Vec<BenchStep>)> {
        let asked = self.lines.iter().filter(|line| line.asked);
        let own = asked.filter_map(|line| {
            let done = line.arches.iter().find(|(one, _)| *one == arch)?.1;
            Some((line.step, done.is_some()))
        });
        let own: Vec<(BenchStep, bool)> = own.collect();
        let is_begun = own.iter().any(|(_, done)| *done);
        let is_last_open = own.last().is_some_and(|(_, done)| !*done);
        let open = own.iter().filter(|(_, done)| !*done);
        let open = open.map(|(step, _)| *step).collect();
        (is_begun && is_last_open).then_some((own.len(), open))
    }

    /// How many of those are done for an earlier revision, and nobody has said whether they stand.
    pub fn done_for_earlier(&self) -> usize {
        let done = self.lines.iter().filter(|line| line.open().is_empty());
        let is_unsaid = |line: &&BenchLine<'_>| self.unsaid.iter().any(|one| one.step == line.step);
        done.filter(is_unsaid).count()
    }
}

fn newest<'a>(
    entries: &'a [BenchEntry],
    (step, arch): (BenchStep, Arch),
    after: Option<i64>,
    by: &ByRevision<'_>,
) -> Option<&'a BenchEntry> {
    let counts = |one: &&BenchEntry| {
        let is_now = after.is_none_or(|after| one.at.unix_ms > after);
        is_now && !by.is_done_again(step, arch, one.revision)
    };
    let of_it = entries
        .iter()
        .filter(|one| one.step == step && one.arches.treated().contains(&arch))
        .filter(counts);
    of_it.max_by_key(|one| one.at.unix_ms)
}

/// The steps that the pieces ask for, and what else was done, in the rounds that these arches are in.
pub fn progress<'a>(
    pieces: &[BenchPiece],
    rounds: &[BenchRound],
    entries: &'a [BenchEntry],
    by: &ByRevision<'_>,
) -> BenchProgress<'a> {
    let line = |step: BenchStep| {
        let arches: Vec<Arch> = rounds.iter().map(|round| round.arch).collect();
        let asked = asked_for(pieces, &arches, step);
        let with = rounds.iter().map(|round| {
            let after = round.counts_from(pieces, step);
            (round.arch, newest(entries, (step, round.arch), after, by))
        });
        let is_listed = |(arch, done): &(Arch, Option<&BenchEntry>)| {
            asked.contains(arch) || (asked.is_empty() && done.is_some())
        };
        let arches: Vec<_> = with.filter(is_listed).collect();
        (!arches.is_empty()).then_some(BenchLine {
            step,
            asked: !asked.is_empty(),
            arches,
        })
    };
    let lines: Vec<BenchLine<'_>> = BenchStep::ALL.iter().copied().filter_map(line).collect();
    let unsaid = lines.iter().filter(|line| line.asked).flat_map(|line| {
        let done = line.arches.iter();
        let done = done.filter_map(|(arch, done)| Some((*arch, done.as_ref()?.revision)));
        done.map(|(arch, revision)| Unsaid {
            step: line.step,
            arch,
            revision,
        })
    });
    let unsaid = unsaid.filter(|one| by.is_unsaid(one.step, one.arch, one.revision));
    let unsaid = unsaid.collect();
    BenchProgress { lines, unsaid }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::bench::carried::CarriedWord;
    use crate::domain::custody::bench::entries::entry;
    use crate::domain::values::arch::Arches;
    use crate::domain::values::ids::EventId;
    use crate::domain::values::moment::Moment;
    use proptest::prelude::*;

    fn piece(arch: Option<Arch>, course: Course) -> BenchPiece {
        BenchPiece {
            arch,
            course,
            by_machine: false,
            without_remount: false,
            to_new_height: false,
        }
    }

    /// One revision is signed.
    fn by_one() -> ByRevision<'static> {
        ByRevision::default()
    }

    fn first(arches: Arches) -> Vec<BenchRound> {
        let arches = arches.treated().iter();
        arches.map(|arch| BenchRound::first(*arch)).collect()
    }

    #[test]
    fn what_an_earlier_round_has_done_counts_for_the_flask_alone() {
        let entries = [
            entry(BenchStep::SetUp, Arches::Upper, 3),
            entry(BenchStep::TryInChecked, Arches::Upper, 4),
            entry(BenchStep::Reset, Arches::Upper, 7),
        ];
        let second = BenchRound {
            since_ms: Some(5),
            ..BenchRound::first(Arch::Upper)
        };
        let open = |course, round: BenchRound| {
            let pieces = [piece(None, course)];
            let found = progress(&pieces, &[round], &entries, &by_one());
            found.open().map(|line| line.step).collect::<Vec<_>>()
        };
        assert_eq!(open(Course::Reset, second), [BenchStep::TryInChecked]);
        let repeated = [
            BenchStep::Mounted,
            BenchStep::SetUp,
            BenchStep::TryInChecked,
        ];
        assert_eq!(open(Course::SetUp, second), repeated);
        assert!(!open(Course::Copy, second).contains(&BenchStep::SetUp));
        // Finished work has gone back: a remake begins with the cast.
        let remake = BenchRound {
            work_since_ms: Some(8),
            since_ms: Some(8),
            ..second
        };
        assert_eq!(open(Course::Copy, remake).len(), 8);
    }

    #[test]
    fn what_is_sent_back_not_as_asked_is_worked_on_again() {
        let entries = [
            entry(BenchStep::CastPoured, Arches::Lower, 1),
            entry(BenchStep::Relined, Arches::Lower, 2),
            entry(BenchStep::Finished, Arches::Lower, 3),
        ];
        let open = |sent_back_ms: Option<i64>| {
            let pieces = [piece(Some(Arch::Lower), Course::Reline)];
            let round = BenchRound {
                sent_back_ms,
                ..BenchRound::first(Arch::Lower)
            };
            let found = progress(&pieces, &[round], &entries, &by_one());
            found.open().map(|line| line.step).collect::<Vec<_>>()
        };
        assert_eq!(open(None), []);
        assert_eq!(open(Some(4)), [BenchStep::Relined, BenchStep::Finished]);
        assert_eq!(open(Some(2)), [BenchStep::Relined]);
    }

    #[test]
    fn one_arch_goes_on_while_the_other_waits() {
        let pieces = [piece(None, Course::Finish)];
        let entries = [
            entry(BenchStep::Flasked, Arches::Both, 1),
            entry(BenchStep::Cured, Arches::Upper, 2),
        ];
        let found = progress(&pieces, &first(Arches::Both), &entries, &by_one());
        let next = found.next().unwrap();
        assert_eq!(
            (next.step, next.open()),
            (BenchStep::Cured, vec![Arch::Lower])
        );
        assert_eq!(found.counts(), (4, 1));
        let open: Vec<_> = found.open().map(|line| line.step).collect();
        assert_eq!(
            open,
            [BenchStep::Cured, BenchStep::Remounted, BenchStep::Finished]
        );
    }

    #[test]
    fn what_was_not_asked_for_is_told_and_counts_for_nothing() {
        let pieces = [piece(Some(Arch::Upper), Course::Repair)];
        let entries = [
            entry(BenchStep::Mounted, Arches::Upper, 3),
            entry(BenchStep::Repaired, Arches::Upper, 4),
            entry(BenchStep::Repaired, Arches::Upper, 9),
        ];
        let found = progress(&pieces, &first(Arches::Upper), &entries, &by_one());
        assert_eq!(found.counts(), (3, 1));
        let mounted = found
            .lines
            .iter()
            .find(|line| line.step == BenchStep::Mounted);
        assert!(mounted.is_some_and(|line| !line.asked && line.open().is_empty()));
        // Done again, the newest entry stands for the step.
        let line = found
            .lines
            .iter()
            .find(|line| line.step == BenchStep::Repaired);
        let newest = line
            .and_then(|line| line.arches.first())
            .and_then(|(_, one)| *one);
        assert_eq!(newest.map(|one| one.at.unix_ms), Some(9));
    }

    #[test]
    fn a_step_is_done_for_its_revision_until_the_lab_says_that_it_stands() {
        let pieces = [piece(None, Course::Finish)];
        let entries = [
            entry(BenchStep::Flasked, Arches::Both, 1),
            entry(BenchStep::Cured, Arches::Upper, 2),
            entry(BenchStep::Mounted, Arches::Both, 3),
        ];
        let found = |words: &[CarriedWord]| {
            let by = ByRevision {
                in_force: 2,
                words,
                ..ByRevision::default()
            };
            let found = progress(&pieces, &first(Arches::Both), &entries, &by);
            let unsaid = found.unsaid.iter();
            let unsaid: Vec<_> = unsaid.map(|one| (one.step, one.arch)).collect();
            ((found.counts(), found.done_for_earlier()), unsaid)
        };
        let word = |arches, again_from| CarriedWord {
            event: EventId::new("w"),
            at: Moment::new(9, 0),
            by: "Tom, Kiln".to_owned(),
            revision: 2,
            arches,
            again_from,
        };
        let (upper, lower) = (Arch::Upper, Arch::Lower);
        // What was not asked for is asked about no more.
        let flasked = [(BenchStep::Flasked, upper), (BenchStep::Flasked, lower)];
        let all = [&flasked[..], &[(BenchStep::Cured, upper)]].concat();
        // Cured is open for one arch, and so is no step that is done.
        assert_eq!(found(&[]), (((4, 1), 1), all));
        assert_eq!(found(&[word(Arches::Both, None)]), (((4, 1), 0), vec![]));
        let again = word(Arches::Upper, Some(BenchStep::Cured));
        assert_eq!(found(&[again]), (((4, 1), 1), vec![flasked[1]]));
        let again = word(Arches::Both, Some(BenchStep::Flasked));
        assert_eq!(found(&[again]), (((4, 0), 0), vec![]));
    }

    #[test]
    fn before_anything_is_ordered_nothing_is_open() {
        let found = progress(&[], &first(Arches::Both), &[], &by_one());
        assert_eq!((found.next(), found.counts()), (None, (0, 0)));
    }

    fn any_entry() -> impl Strategy<Value = BenchEntry> {
        let step = prop::sample::select(BenchStep::ALL.to_vec());
        let arches = prop::sample::select(Arches::ALL.to_vec());
        (step, arches, 0..1_000_i64).prop_map(|(step, arches, at)| entry(step, arches, at))
    }

    proptest! {
        /// Each entry can only close something; the order in which they were written down says nothing.
        #[test]
        fn an_entry_opens_nothing_and_order_does_not_matter(
            course in prop::sample::select(Course::ALL.to_vec()),
            arches in prop::sample::select(Arches::ALL.to_vec()),
            entries in prop::collection::vec(any_entry(), 0..12),
        ) {
            let pieces = [piece(None, course)];
            let open = |entries: &[BenchEntry]| {
                let found = progress(&pieces, &first(arches), entries, &by_one());
                found.open().map(|line| (line.step, line.open())).collect::<Vec<_>>()
            };
            let (mut before, mut turned) = (usize::MAX, entries.clone());
            for count in 0..=entries.len() {
                let now = open(&entries[..count]).iter().map(|(_, arches)| arches.len()).sum();
                prop_assert!(now <= before);
                before = now;
            }
            turned.reverse();
            prop_assert_eq!(open(&entries), open(&turned));
        }
    }
}
