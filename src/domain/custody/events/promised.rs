//! The lab names the day by which the work is back.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::SampleContext;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::promise::DatePromise;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::form::Day;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::whole_day;
use serde::{Deserialize, Serialize};

/// Why nothing is said of work that nobody has ordered.
pub const NOTHING_TO_PROMISE: &str = "Nothing is signed yet, so that there is nothing to promise.";

/// A day, for one revision. The newest counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Promised {
    pub day: Day,
    /// The revision that it is named for.
    pub revision: i64,
    pub note: String,
}

impl Promised {
    /// For the revision of the newest day, and later than that.
    pub fn sample(on: &SampleContext<'_>) -> Promised {
        let named = on.case.promise.as_ref();
        let last = named.map_or(on.at.date(), |one| one.day);
        let day = last.max(on.at.date());
        Promised {
            day: Day::from(day.next_day().unwrap_or(day)),
            revision: named.map_or(1, |one| one.revision),
            note: String::new(),
        }
    }
}

impl Constants for Promised {
    const WORD: &'static str = "promised";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["day"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/note", "note to the promised day")];
}

impl EventKind for Promised {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(
            Side::Lab,
            "The lab says by which day it has the work back with the office.",
        );
        if self.revision < 1 {
            proposal.refuse(CustodyRule::J, None, NOTHING_TO_PROMISE);
        }
        if self.day.date() < proposal.at.date() {
            let sentence = format!("{} is gone.", whole_day(self.day.date()));
            proposal.refuse(CustodyRule::I, None, sentence);
        }
        proposal.refuse_far_day(self.day.date());
        if proposal.case.is_cancelled() {
            let sentence = "The work is canceled: nothing is promised any more.";
            proposal.refuse(CustodyRule::K, None, sentence);
        }
        let Some(last) = &proposal.case.promise else {
            return;
        };
        if proposal.at.unix_ms < last.at.unix_ms {
            let sentence = format!(
                "A day was named on {}, and this would be earlier.",
                last.at.in_words()
            );
            proposal.refuse(CustodyRule::I, None, sentence);
        }
        // What the office does not accept may be named once more: it may have been said by mistake.
        let is_same = last.revision == self.revision && last.day == self.day.date();
        if is_same && !last.is_refused() {
            let sentence = format!("{} is named already.", whole_day(last.day));
            proposal.refuse(CustodyRule::F, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.promise = Some(DatePromise {
            event: stamp.id.clone(),
            at: stamp.at,
            by: stamp.answering(),
            revision: self.revision,
            day: self.day.date(),
            note: self.note.clone(),
            answer: None,
        });
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let day = whole_day(self.day.date());
        let what = format!("Promised for {day}, revision {}", self.revision);
        (what, vec![self.note.clone()])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn is_about_days(&self) -> bool {
        true
    }

    fn note(&self) -> &'static str {
        "day promised"
    }
}
