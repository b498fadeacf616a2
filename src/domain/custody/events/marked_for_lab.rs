//! A picture or a scan that is there is for the lab from now on, or is not any more.

use super::kind::{Constants, EventKind, Named, Sentence};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::pictures::TakenPicture;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::scan_files::FiledScan;
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::values::ids::{EventId, PartyId, Tag};
use crate::domain::values::moment::Moment;
use serde::{Deserialize, Serialize};

/// What the house that added it says of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarkedForLab {
    /// The entry that added it.
    pub event: EventId,
    /// Whether that is a scan; otherwise it is a picture.
    pub is_scan: bool,
    /// When it was added.
    pub of: Moment,
    pub for_lab: bool,
}

impl MarkedForLab {
    /// What was said of a picture, the other way round.
    pub fn sample_of_picture(one: &TakenPicture) -> MarkedForLab {
        MarkedForLab {
            event: one.event.clone(),
            is_scan: false,
            of: one.at,
            for_lab: !one.for_lab,
        }
    }

    /// What was said of a scan, the other way round.
    pub fn sample_of_scan(one: &FiledScan) -> MarkedForLab {
        MarkedForLab {
            event: one.event.clone(),
            is_scan: true,
            of: one.at,
            for_lab: !one.for_lab,
        }
    }

    /// This word about what an entry has added; none where it has added nothing.
    pub fn about(case: &CaseState, event: &EventId, for_lab: bool) -> Option<MarkedForLab> {
        let known = known(case, event)?;
        Some(MarkedForLab {
            event: event.clone(),
            is_scan: known.is_scan,
            of: known.of,
            for_lab,
        })
    }
}

/// What is known of a picture or a scan, for whoever says more of it.
struct Known<'a> {
    is_scan: bool,
    of: Moment,
    party: &'a PartyId,
    marked: Moment,
    for_lab: bool,
}

fn known<'a>(case: &'a CaseState, event: &EventId) -> Option<Known<'a>> {
    let picture = case.picture(event).map(|one| Known {
        is_scan: false,
        of: one.at,
        party: &one.party,
        marked: one.marked,
        for_lab: one.for_lab,
    });
    let scan = case.scans.iter().find(|one| one.event == *event);
    let scan = scan.map(|one| Known {
        is_scan: true,
        of: one.at,
        party: &one.party,
        marked: one.marked,
        for_lab: one.for_lab,
    });
    picture.or(scan)
}

impl Constants for MarkedForLab {
    const WORD: &'static str = "marked_for_lab";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["event"];
}

impl EventKind for MarkedForLab {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let known = known(proposal.case, &self.event);
        let known = known.filter(|one| (one.is_scan, one.of) == (self.is_scan, self.of));
        let Some(known) = known else {
            proposal.refuse(CustodyRule::J, None, "There is no such picture or scan.");
            return;
        };
        if *known.party != proposal.by.party {
            let sentence = "Only the side that added it says whether it is for the lab.";
            proposal.refuse(CustodyRule::Right, None, sentence);
        }
        if known.for_lab == self.for_lab {
            let so = if self.for_lab { "is" } else { "is not" };
            let sentence = format!("It {so} for the lab already: look at the page again.");
            proposal.refuse(CustodyRule::F, None, sentence);
        }
        if proposal.comes_before(known.marked) {
            let sentence = format!(
                "This was last said on {}, and this would be earlier.",
                known.marked
            );
            proposal.refuse(CustodyRule::I, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let mut pictures = case.pictures.iter_mut();
        if let Some(one) = pictures.find(|one| one.event == self.event) {
            (one.for_lab, one.marked) = (self.for_lab, stamp.at);
        }
        let mut scans = case.scans.iter_mut();
        if let Some(one) = scans.find(|one| one.event == self.event) {
            (one.for_lab, one.marked) = (self.for_lab, stamp.at);
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let which = if self.is_scan { "Scan" } else { "Picture" };
        let what = match (self.for_lab, self.is_scan) {
            (true, true) => "for the lab",
            (true, false) => "for the lab, to print with the prescription",
            (false, _) => "not for the lab any more",
        };
        (format!("{which} of {}: {what}", self.of), Vec::new())
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

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.event]
    }
}
