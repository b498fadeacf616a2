//! A house holds what has come to it, or what it has made, against the prescription, and says of each thing whether it
//! is as asked.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::SampleContext;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::fit::{
    FitEntry, FitFound, FitValue, FitVerdict, READINGS_MOST, fit_counts,
};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::{Decimal, show_hundredths};
use serde::{Deserialize, Serialize};

/// What was found of each value, and a note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FitChecked {
    /// The house that looked.
    pub from: Side,
    /// The revision that it was held against.
    pub revision: i64,
    pub found: Vec<FitFound>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl FitChecked {
    /// Something that was looked at.
    pub fn sample(on: &SampleContext<'_>) -> FitChecked {
        let found = FitFound {
            value: FitValue::Borders,
            asked: None,
            side: None,
            within: None,
            readings: Vec::new(),
            decided: None,
            verdict: FitVerdict::AsAsked,
        };
        FitChecked {
            from: on.side(),
            revision: 0,
            found: vec![found],
            note: String::new(),
        }
    }
}

impl Constants for FitChecked {
    const WORD: &'static str = "fit_checked";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &[
        "from",
        "found/*/value",
        "found/*/asked",
        "found/*/side",
        "found/*/within",
        "found/*/readings/*",
        "found/*/decided",
        "found/*/verdict",
    ];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/note", "note")];
}

impl EventKind for FitChecked {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(self.from, "Each side says what it has found itself.");
        if self.found.is_empty() {
            let sentence = "Say of one thing at least whether it is as asked.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        for (place, one) in self.found.iter().enumerate() {
            let mut before = self.found.iter().take(place);
            if before.any(|other| other.value == one.value) {
                let sentence = format!("{} stands there twice.", one.value.shown());
                proposal.refuse(CustodyRule::Form, None, sentence);
            }
            if !one.readings.is_empty() && one.within.is_none() && one.value != FitValue::Ovd {
                let sentence = format!("{} is looked at and not measured.", one.value.shown());
                proposal.refuse(CustodyRule::Form, None, sentence);
            }
            let (least, most) = one.value.limits();
            let can_be = |reading: &Decimal| (least..=most).contains(&reading.hundredths());
            if !one.readings.iter().all(can_be) {
                let (least, most) = (show_hundredths(least), show_hundredths(most));
                let sentence = format!(
                    "{} was read as what it cannot be: from {least} to {most} {}.",
                    one.value.shown(),
                    one.value.unit()
                );
                proposal.refuse(CustodyRule::Form, None, sentence);
            }
            if one.readings.len() > READINGS_MOST {
                let sentence = format!("{} was read too often for one entry.", one.value.shown());
                proposal.refuse(CustodyRule::Form, None, sentence);
            }
        }
        let came = proposal.case.handoffs.iter().any(|one| {
            let received = one.received_at.filter(|_| one.to == self.from);
            received.is_some_and(|at| at.unix_ms <= proposal.at.unix_ms)
        });
        if !came {
            let sentence = match self.from {
                Side::Office => {
                    "Nothing had come back from the lab by then: receive it first, then check it."
                }
                Side::Lab => "Nothing of this case had come to the lab by then: receive it first.",
            };
            proposal.refuse(CustodyRule::A, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.fits.push(FitEntry {
            event: stamp.id.clone(),
            from: self.from,
            at: stamp.at,
            by: stamp.answering(),
            revision: self.revision,
            found: self.found.clone(),
            note: self.note.clone(),
        });
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = format!(
            "Checked against revision {} at the {}: {}",
            self.revision,
            self.from.shown(),
            fit_counts(&self.found)
        );
        let mut details: Vec<String> = self.found.iter().map(FitFound::words).collect();
        details.push(self.note.clone());
        (what, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }
}
