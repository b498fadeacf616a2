//! The lab says of what it has done for an earlier revision whether it stands for the one in force, or is done again.

use super::kind::{Constants, EventKind, Named, Sentence};
use crate::domain::custody::bench::{BenchEntry, BenchStep, CarriedWord};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// All stands, or it is done again from a step on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CarriedOver {
    /// The one in force.
    pub revision: i64,
    pub arches: Arches,
    /// The first step that is done again; none where all stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub again_from: Option<BenchStep>,
}

impl CarriedOver {
    /// All stands of the arches of an entry, to the revision after it.
    pub fn sample(entry: &BenchEntry) -> CarriedOver {
        CarriedOver {
            revision: entry.revision + 1,
            arches: entry.arches,
            again_from: None,
        }
    }
}

impl Constants for CarriedOver {
    const WORD: &'static str = "carried_over";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["arches", "again_from"];
}

impl EventKind for CarriedOver {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(
            Side::Lab,
            "What is done again at the bench is said by the lab.",
        );
        let mut bench = proposal.case.bench.iter();
        let is_earlier = |one: &BenchEntry| {
            let is_shared = one.arches.shared_with(self.arches).0.is_some();
            one.revision < self.revision && is_shared
        };
        if !bench.any(is_earlier) {
            let sentence = "Nothing was done at the bench for an earlier revision.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        let last = proposal.case.carried.last().map(|one| one.at);
        if let Some(last) = last.filter(|last| proposal.comes_before(*last)) {
            let last = last.in_words();
            let sentence = format!(
                "What is done again was said on {last} the last time, and this would be earlier."
            );
            proposal.refuse(CustodyRule::I, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.carried.push(CarriedWord {
            event: stamp.id.clone(),
            at: stamp.at,
            by: stamp.answering(),
            revision: self.revision,
            arches: self.arches,
            again_from: self.again_from,
        });
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let of = format!("For revision {}, {}", self.revision, self.arches.shown());
        let what = match self.again_from {
            None => format!("{of}: what is done at the bench stands, and nothing is done again"),
            Some(step) => format!("{of}: done again from “{}” on", step.shown()),
        };
        (what, Vec::new())
    }

    fn is_of_the_bench(&self) -> bool {
        true
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }
}
