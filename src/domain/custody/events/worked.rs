//! A step was done at the bench.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::pictured::known_picture;
use crate::domain::custody::bench::{
    BenchEntry, BenchStep, MeasuredValue, Mounting, TimedRun, UsedLot, avoided_words, timed_words,
};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::Item;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Holder, State};
use crate::domain::form::Day;
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::whole_day;
use serde::{Deserialize, Serialize};

/// A step, for which arches, with what went into it and what was measured.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Worked {
    pub step: BenchStep,
    pub arches: Arches,
    /// The revision that was worked to.
    pub revision: i64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<u32>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub used: Vec<UsedLot>,
    /// Why something of it went in that the patient is to be kept from; empty where nothing was found.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub avoided_why: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<MeasuredValue>,
    /// Whether the cast was photographed before; said of flasking only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photographed: Option<bool>,
    /// Why not.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub no_photo: String,
    /// What timers came to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub timed: Vec<TimedRun>,
    /// Until when matrix and casts are kept; said when the work is finished.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keep_until: Option<Day>,
    /// On what the casts were mounted; said of mounting only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mounting: Option<Mounting>,
    /// A picture that shows it, by the entry that added it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<EventId>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Years for which a cast is kept at most.
const KEEP_YEARS_MOST: i32 = 30;

impl Constants for Worked {
    const WORD: &'static str = "worked";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &[
        "step",
        "arches",
        "readings/*/measure",
        "readings/*/value",
        "readings/*/again",
        "readings/*/third",
        "timed/*/timer",
        "timed/*/arch",
        "keep_until",
        "mounting/instrument",
        "mounting/plane",
        "picture",
    ];
    const ERASABLE: &'static [ErasablePlace] = &[
        ("/what/used/*/material", "material"),
        ("/what/used/*/lot", "lot"),
        ("/what/avoided_why", "reason"),
        ("/what/no_photo", "reason"),
        ("/what/note", "note"),
    ];
}

/// Whether something of the case is, or was, at the lab.
fn has_come(proposal: &ProposedEvent<'_>) -> bool {
    let is_there = |state: &State| state.holder == Holder::Lab || state.home == Side::Lab;
    let here = proposal.case.custody.values().any(is_there);
    let handoffs = &proposal.case.handoffs;
    let came = |to: Side| {
        handoffs
            .iter()
            .any(|one| one.to == to && one.received_at.is_some())
    };
    // A file comes with the text that lists it.
    here || came(Side::Lab) || proposal.scope.by_files
}

impl Worked {
    /// A step of which nothing more is asked.
    pub fn sample(arches: Arches) -> Worked {
        Worked {
            step: BenchStep::Finished,
            arches,
            revision: 0,
            minutes: None,
            used: Vec::new(),
            avoided_why: String::new(),
            readings: Vec::new(),
            photographed: None,
            no_photo: String::new(),
            timed: Vec::new(),
            keep_until: None,
            mounting: None,
            picture: None,
            note: String::new(),
        }
    }

    /// Until when casts are kept is said at the end of the work, and of days to come.
    fn check_keeping(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(day) = self.keep_until.map(Day::date) else {
            return;
        };
        let from = proposal.at.date();
        let sentence = match day {
            _ if self.step != BenchStep::Finished => {
                "Until when matrix and casts are kept is said when the work is finished."
            }
            day if day < from => "Matrix and casts are kept until a day that is still to come.",
            day if day.year() > from.year() + KEEP_YEARS_MOST => {
                "Nothing is kept for so long: look at the year again."
            }
            _ => return,
        };
        proposal.refuse(CustodyRule::Form, None, sentence);
    }

    /// What is found wrong with a thing of these arches is resolved before work on them goes on.
    fn check_holds(&self, proposal: &mut ProposedEvent<'_>) {
        let scope = proposal.scope;
        let concerns = |item: &Item| {
            let own = item.arch;
            own.is_none_or(|arch| self.arches.treated().contains(&arch))
        };
        for hold in proposal.case.open_holds() {
            let mut items = hold.waiting.iter().filter_map(|tag| scope.item(tag));
            let Some(item) = items.find(|item| concerns(item)) else {
                continue;
            };
            proposal.refuse_held(&item.tag, hold);
        }
    }
}

impl EventKind for Worked {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(
            Side::Lab,
            "What is done at the bench is entered by the lab.",
        );
        if !has_come(proposal) {
            let sentence = "Nothing of this case has come to the lab yet: receive it first.";
            proposal.refuse(CustodyRule::A, None, sentence);
        }
        if self.step == BenchStep::Flasked {
            match self.photographed {
                Some(true) => {}
                _ => {
                    let wanted = "Photograph the cast before it is flasked, or say why not.";
                    proposal.needs(&self.no_photo, CustodyRule::Form, None, wanted);
                }
            }
        }
        if self.mounting.is_some() && self.step != BenchStep::Mounted {
            let sentence = "On what the casts stand is said when they are mounted.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        known_picture(proposal, self.picture.as_ref());
        self.check_keeping(proposal);
        self.check_holds(proposal);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.bench.push(BenchEntry {
            event: stamp.id.clone(),
            at: stamp.at,
            by: stamp.answering(),
            name: stamp.name().to_owned(),
            step: self.step,
            arches: self.arches,
            revision: self.revision,
            minutes: self.minutes,
            used: self.used.clone(),
            avoided_why: self.avoided_why.clone(),
            readings: self.readings.clone(),
            photographed: self.photographed,
            no_photo: self.no_photo.clone(),
            timed: self.timed.clone(),
            keep_until: self.keep_until.map(Day::date),
            mounting: self.mounting,
            picture: self.picture.clone(),
            note: self.note.clone(),
        });
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = format!(
            "At the bench: {}, {}",
            self.step.shown(),
            self.arches.shown()
        );
        // How long it took is the lab's own.
        let mut details: Vec<String> = self.readings.iter().map(MeasuredValue::words).collect();
        details.extend(self.mounting.iter().flat_map(Mounting::words));
        details.extend(self.used.iter().map(UsedLot::words));
        details.extend(avoided_words(&self.avoided_why));
        details.extend(timed_words(&self.timed));
        match self.photographed {
            Some(true) => details.push("Cast photographed before flasking".to_owned()),
            Some(false) => {
                details.push(format!(
                    "Cast not photographed before flasking: {}",
                    self.no_photo
                ));
            }
            None => {}
        }
        details.extend(
            self.keep_until
                .map(|day| format!("Matrix and casts are kept until {}", whole_day(day.date()))),
        );
        if self.picture.is_some() {
            details.push("With a picture".to_owned());
        }
        details.push(self.note.clone());
        (what, details)
    }

    fn is_of_the_bench(&self) -> bool {
        true
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn is_work(&self, _: &ProposedEvent<'_>) -> bool {
        true
    }

    fn may_be_entered_later(&self) -> bool {
        true
    }

    fn takes_room(&self) -> bool {
        false
    }
}
