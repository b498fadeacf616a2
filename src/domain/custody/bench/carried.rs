//! What was done at the bench for an earlier revision, once another is in force: the lab says whether it stands, or from
//! which step on it is done again. Until then it is done for the revision that it was done for, and for no other.

use super::steps::BenchStep;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::EventId;
use crate::domain::values::moment::Moment;

/// The lab's word to a revision, as the fold keeps it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CarriedWord {
    pub event: EventId,
    pub at: Moment,
    pub by: String,
    /// The revision in force when it was said.
    pub revision: i64,
    pub arches: Arches,
    /// The first step that is done again; none where all stands.
    pub again_from: Option<BenchStep>,
}

impl CarriedWord {
    fn is_of(&self, arch: Arch) -> bool {
        self.arches.treated().contains(&arch)
    }

    fn voids(&self, step: BenchStep) -> bool {
        self.again_from.is_some_and(|from| from <= step)
    }
}

/// A step that is done for an earlier revision, of which the lab has not said whether it stands for the one in force.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unsaid {
    pub step: BenchStep,
    pub arch: Arch,
    pub revision: i64,
}

/// By which revision something at the bench is done.
#[derive(Debug, Clone, Default)]
pub struct ByRevision<'a> {
    /// The one in force; 0 where none is signed.
    pub in_force: i64,
    /// Earlier ones that ask for the same work.
    pub same: Vec<i64>,
    /// Earlier ones that ask for the same up to the flask: what is done before it is not asked about again.
    pub same_to_flask: Vec<i64>,
    /// All that the lab has said, in the order in which it said it.
    pub words: &'a [CarriedWord],
}

impl ByRevision<'_> {
    /// The last word to each later revision about an arch: a word is set right by saying it again.
    fn words_after(&self, arch: Arch, revision: i64) -> impl Iterator<Item = &CarriedWord> {
        let own = move |word: &&CarriedWord| word.revision > revision && word.is_of(arch);
        let is_last = move |(place, word): &(usize, &CarriedWord)| {
            let mut later = self.words.iter().skip(place + 1).filter(own);
            !later.any(|other| other.revision == word.revision)
        };
        let all = self.words.iter().enumerate();
        let all = all.filter(move |(_, word)| own(word)).filter(is_last);
        all.map(|(_, word)| word)
    }

    /// What counts of the words to the revision in force, each once: the last one about each of these arches.
    pub fn said_now(&self, arches: &[Arch]) -> Vec<&CarriedWord> {
        let mut said: Vec<&CarriedWord> = Vec::new();
        for arch in arches {
            let mut own = self.words.iter().rev();
            let last = own.find(|word| word.revision == self.in_force && word.is_of(*arch));
            said.extend(last.filter(|word| !said.contains(word)));
        }
        said
    }

    /// Whether a step that was done for a revision is done again for a later one.
    pub fn is_done_again(&self, step: BenchStep, arch: Arch, revision: i64) -> bool {
        self.words_after(arch, revision)
            .any(|word| word.voids(step))
    }

    /// Whether nobody has said if a step stands that was done for this revision.
    pub fn is_unsaid(&self, step: BenchStep, arch: Arch, revision: i64) -> bool {
        let is_same = |number: i64| {
            self.same.contains(&number)
                || step < BenchStep::Flasked && self.same_to_flask.contains(&number)
        };
        let is_as_now = |number: i64| number >= self.in_force || is_same(number);
        let is_said = || {
            let mut words = self.words_after(arch, revision);
            words.any(|word| is_as_now(word.revision))
        };
        !is_as_now(revision) && !self.is_done_again(step, arch, revision) && !is_said()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn word(revision: i64, arches: Arches, again_from: Option<BenchStep>) -> CarriedWord {
        CarriedWord {
            event: EventId::new("e"),
            at: Moment::new(0, 0),
            by: "Tom, Kiln".to_owned(),
            revision,
            arches,
            again_from,
        }
    }

    use Arches::{Both, Upper};
    use BenchStep::{Cured, Flasked, Mounted};

    /// How a step of the upper stands that was done for revision 1.
    fn stands(in_force: i64, same: &[i64], words: &[CarriedWord], step: BenchStep) -> &'static str {
        let by = ByRevision {
            in_force,
            same: same.to_vec(),
            same_to_flask: Vec::new(),
            words,
        };
        match (
            by.is_done_again(step, Arch::Upper, 1),
            by.is_unsaid(step, Arch::Upper, 1),
        ) {
            (true, false) => "again",
            (false, true) => "unsaid",
            (false, false) => "stands",
            (true, true) => "both",
        }
    }

    #[test]
    fn what_is_done_for_an_earlier_revision_stands_when_the_lab_says_so() {
        let lower = word(2, Arches::Lower, Some(Mounted));
        let (all, from_flask) = (word(2, Both, None), word(2, Both, Some(Flasked)));
        // the revision in force, those that ask for the same, what the lab has said, the step, how it stands
        for (in_force, same, words, step, wanted) in [
            (1, &[][..], vec![], Cured, "stands"),
            (2, &[], vec![], Cured, "unsaid"),
            (2, &[1], vec![], Cured, "stands"),
            (2, &[], vec![all.clone()], Cured, "stands"),
            (2, &[], vec![from_flask.clone()], Cured, "again"),
            (2, &[], vec![from_flask.clone()], Flasked, "again"),
            (2, &[], vec![from_flask.clone()], Mounted, "stands"),
            (2, &[], vec![lower.clone()], Mounted, "unsaid"),
            // Said again, the last word counts.
            (
                2,
                &[],
                vec![from_flask.clone(), all.clone()],
                Cured,
                "stands",
            ),
            (
                2,
                &[],
                vec![all.clone(), from_flask.clone()],
                Cured,
                "again",
            ),
            (
                2,
                &[],
                vec![from_flask.clone(), lower.clone()],
                Cured,
                "again",
            ),
            // A third revision is asked about again; what is done again for the second is not done for the third.
            (3, &[], vec![all.clone()], Cured, "unsaid"),
            (3, &[], vec![from_flask.clone()], Cured, "again"),
            (3, &[], vec![from_flask.clone()], Mounted, "unsaid"),
            (
                3,
                &[],
                vec![from_flask.clone(), word(3, Upper, None)],
                Cured,
                "again",
            ),
            // The third says the same as the second, or as the first.
            (3, &[2], vec![all], Cured, "stands"),
            (3, &[1], vec![], Cured, "stands"),
        ] {
            let found = stands(in_force, same, &words, step);
            assert_eq!(found, wanted, "{in_force} {same:?} {words:?} {step:?}");
        }
        // What was done for the revision of a word is done.
        let words = [from_flask];
        let by = ByRevision {
            in_force: 2,
            words: &words,
            ..ByRevision::default()
        };
        assert!(!by.is_done_again(Cured, Arch::Upper, 2) && !by.is_unsaid(Cured, Arch::Upper, 2));
    }
    #[test]
    fn what_is_the_same_up_to_the_flask_is_asked_about_from_the_flask_on_alone() {
        let by = ByRevision {
            in_force: 3,
            same_to_flask: vec![2],
            ..ByRevision::default()
        };
        let asked = |step, revision| by.is_unsaid(step, Arch::Upper, revision);
        // the step, done for revision 2, done for revision 1
        for (step, second, first) in [
            (BenchStep::CastPoured, false, true),
            (Mounted, false, true),
            (Flasked, true, true),
            (Cured, true, true),
        ] {
            assert_eq!(
                (asked(step, 2), asked(step, 1)),
                (second, first),
                "{step:?}"
            );
        }
        // Said once, for the second, it is asked no more for the third: but what is flasked is.
        let words = [word(2, Both, None)];
        let by = ByRevision {
            words: &words,
            ..by
        };
        assert!(!by.is_unsaid(Mounted, Arch::Upper, 1));
        assert!(by.is_unsaid(Cured, Arch::Upper, 1));
        // A word that it is done again stays.
        let words = [word(2, Both, Some(Mounted))];
        let by = ByRevision {
            words: &words,
            ..by
        };
        assert!(by.is_done_again(Mounted, Arch::Upper, 1));
    }

    #[test]
    fn the_last_word_about_an_arch_counts_and_is_told_once() {
        let words = [
            word(1, Both, None),
            word(2, Both, Some(Flasked)),
            word(2, Upper, None),
        ];
        let said = |count: usize, in_force: i64| {
            let by = ByRevision {
                in_force,
                words: &words[..count],
                ..ByRevision::default()
            };
            let said = by.said_now(&[Arch::Upper, Arch::Lower]).into_iter();
            said.map(|word| (word.arches, word.again_from))
                .collect::<Vec<_>>()
        };
        assert_eq!(said(2, 2), [(Both, Some(Flasked))]);
        assert_eq!(said(3, 2), [(Upper, None), (Both, Some(Flasked))]);
        assert_eq!((said(1, 2), said(3, 3)), (vec![], vec![]));
    }
}
