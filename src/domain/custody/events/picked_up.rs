//! The carrier's hand at the door: what was packed leaves its house.

use super::cover;
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::{self, prefixed};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::common_refusals::WRITE_WHO_TOOK_IT;
use crate::domain::custody::finished::{has_finished_work, rests};
use crate::domain::custody::handoff::{Handoff, PickUp};
use crate::domain::custody::parcel::parcels_counted;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Exception;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Holder;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{HandoffId, Tag};
use serde::{Deserialize, Serialize};

/// Picked up by the carrier.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PickedUp {
    pub handoff: HandoffId,
    pub items: Vec<Tag>,
    /// Name or initials of who took the parcels, as given.
    pub person: String,
    /// Parcels handed out, counted.
    pub parcels: u32,
    /// Who handed them out, where it was not whoever enters it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub handed_out_by: String,
    /// The revision in force, where it was signed after the release and the lab has not acknowledged it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unread: Option<i64>,
    /// The revision in force, where work was packed before it was signed, and is said to be as it asks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub older: Option<i64>,
    /// Why a provisional leaves, where its arch has come to wear nothing else since it was packed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exception: Option<Exception>,
}

impl PickedUp {
    /// All of its parcels are taken.
    pub fn sample(handoff: &Handoff, exception: Option<Exception>) -> PickedUp {
        PickedUp {
            handoff: handoff.id.clone(),
            items: handoff.sent.iter().map(|sent| sent.tag.clone()).collect(),
            person: SAMPLE_TEXT.to_owned(),
            parcels: u32::try_from(handoff.parcels.len()).unwrap_or(u32::MAX),
            handed_out_by: String::new(),
            exception,
            older: None,
            unread: None,
        }
    }
}

impl Constants for PickedUp {
    const WORD: &'static str = "picked_up";
    const MISTAKEN: Option<&'static str> = Some("picked up");
    const OPEN: &'static [&'static str] = &["handoff", "items/*", "unread", "older"];
    const ERASABLE: &'static [ErasablePlace] =
        &[("/what/exception/reason", "reason of the exception")];
}

impl EventKind for PickedUp {
    fn tags(&self) -> Vec<&Tag> {
        self.items.iter().collect()
    }

    /// Only the side that packed enters it, of the whole handoff, and only while that waits for the carrier.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(handoff) = proposal.handoff(&self.handoff) else {
            let sentence = "There is no such handoff in this case.";
            proposal.refuse(CustodyRule::Form, None, sentence);
            return;
        };
        let sentence = "Only the side that packed it enters the carrier's pick-up.";
        proposal.side_only(handoff.from, sentence);
        if let Some(sentence) = why_not(handoff) {
            proposal.refuse(CustodyRule::F, None, sentence);
        }
        if handoff.sent.iter().map(|sent| &sent.tag).ne(&self.items) {
            let sentence = "A handoff is picked up whole.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        if let Some(sentence) = parcels_miscounted(self.parcels, handoff) {
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        proposal.needs(&self.person, CustodyRule::Form, None, WRITE_WHO_TOOK_IT);
        // What the dentist has signed for when it was packed may go.
        if handoff.from == Side::Office && handoff.is_packed() && !handoff.excepted {
            let exception = self.exception.as_ref();
            cover::provisional_leaves_for_a_duplicate(proposal, &self.tags(), exception);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let handed_out_by = match self.handed_out_by.as_str() {
            "" => stamp.answering(),
            name => format!("{name}, {}", stamp.by.party_name),
        };
        let handoffs = case.handoffs.iter_mut();
        let mut carried = None;
        for handoff in handoffs.filter(|one| one.id == self.handoff) {
            carried = Some((handoff.carrier.clone(), handoff.to));
            handoff.picked_up = Some(PickUp {
                person: self.person.clone(),
                at: stamp.at,
                handed_out_by: handed_out_by.clone(),
            });
            handoff.as_revision = self.older.or(self.unread).or(handoff.as_revision);
        }
        let Some((carrier, to)) = carried else { return };
        for tag in &self.items {
            case.change(tag, |state| {
                state.answers.clone_from(&handed_out_by);
                state.leave_with(&carrier, to);
            });
        }
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let mut details: Vec<String> = self.items.iter().map(named).collect();
        details.push(format!(
            "Taken by {}, {}",
            self.person,
            parcels_counted(self.parcels)
        ));
        details.push(prefixed("Handed out by ", &self.handed_out_by));
        details.extend(phrases::left_unread(self.unread));
        details.extend(phrases::made_before(self.older));
        details.push(phrases::exception(self.exception.as_ref()));
        ("Picked up by the carrier".to_owned(), details)
    }

    /// That it changes its lane says enough.
    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn wanted_holder(&self, side: Side) -> Option<Holder> {
        Some(Holder::Carrier { to: side.other() })
    }

    /// What was packed before the case stood still waits with the work.
    fn is_work(&self, proposal: &ProposedEvent<'_>) -> bool {
        let handoff = proposal.handoff(&self.handoff);
        handoff.is_some_and(|one| {
            let (case, items) = (proposal.case, proposal.scope.items);
            let is_out = one.from == Side::Lab && rests(case);
            is_out && has_finished_work(case, items, one.purpose_code, &self.tags())
        })
    }

    fn may_touch_packed(&self) -> bool {
        true
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }
}

/// Why a handoff waits for no carrier.
fn why_not(handoff: &Handoff) -> Option<String> {
    if handoff.is_packed() {
        return None;
    }
    Some(if handoff.voided.is_some() {
        "This handoff is taken back: nothing of it is left to be picked up.".to_owned()
    } else if let Some(pick_up) = &handoff.picked_up {
        format!(
            "The pick-up is entered already: {} took it on {}.",
            pick_up.person,
            pick_up.at.in_words()
        )
    } else if handoff.received_at.is_some() {
        "The other side has received it: a pick-up is entered no more.".to_owned()
    } else {
        "It was in the carrier's hands from its release on.".to_owned()
    })
}

/// What to say where other parcels left than were packed.
pub fn parcels_miscounted(parcels: u32, handoff: &Handoff) -> Option<String> {
    let packed = u32::try_from(handoff.parcels.len()).unwrap_or(u32::MAX);
    (parcels != packed).then(|| {
        format!(
            "This handoff has {}: all of them leave together, so count again, or take it back and pack it again.",
            parcels_counted(packed)
        )
    })
}
