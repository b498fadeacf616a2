//! One side packs and hands over: items, parcels, carrier and purpose. Mostly the carrier comes later, and takes
//! the parcels with an entry of its own; a carrier who stands there already is named with the release.

use super::cover;
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::{self, counted, is_false, prefixed};
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::finished::has_finished_work;
use crate::domain::custody::handoff::{Handoff, PickUp};
use crate::domain::custody::held::Miscount;
use crate::domain::custody::hold::{Hold, Trouble};
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::parcel::{Parcel, Sent, parcels_of};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::purpose::{MadeBy, Purpose, purpose_words};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Exception;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Condition;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{HandoffId, Tag};
use serde::{Deserialize, Serialize};

/// Handed over by one side, to be received by the other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Released {
    pub handoff: HandoffId,
    pub items: Vec<Sent>,
    pub from: Side,
    pub to: Side,
    pub carrier: String,
    pub tracking: String,
    /// What it is for, by the list; none in an entry from before there was one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purpose_code: Option<Purpose>,
    /// The same in words, or what there is to add.
    pub purpose: String,
    /// The seal of a release that tells of no parcels.
    pub seal: String,
    pub exception: Option<Exception>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parcels: Vec<Parcel>,
    /// Packed, and the carrier comes later. An entry from before pick-ups were written down says nothing of
    /// it: the carrier had it at once.
    #[serde(default, skip_serializing_if = "is_false")]
    pub awaits_pickup: bool,
    /// What the prescription lists as enclosed, or wants back with the work, and stayed behind, knowingly.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stays: Vec<Tag>,
    /// The revision in force, where work leaves the lab before it has acknowledged that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unread: Option<i64>,
    /// The revision in force, where work was made before it was signed, and is said to be as it asks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub older: Option<i64>,
    /// The revision in force, where what it follows was changed at the chair after it was signed, and the lab is to work
    /// from that as it comes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_it_comes: Option<i64>,
    /// What work was made by, where the telephone said otherwise than the text in force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made_by: Option<MadeBy>,
    /// Name or initials of who took it along in the same step.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub taken_by: String,
}

impl Constants for Released {
    const WORD: &'static str = "released";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &[
        "handoff",
        "items/*/tag",
        "from",
        "to",
        "purpose_code",
        "stays/*",
        "unread",
        "older",
        "as_it_comes",
        "made_by",
    ];
    const ERASABLE: &'static [ErasablePlace] = &[
        ("/what/items/*/condition", "condition as sent"),
        ("/what/parcels/*/note", "note on a parcel"),
        ("/what/purpose", "words on the purpose"),
        ("/what/exception/reason", "reason of the exception"),
    ];
}

impl EventKind for Released {
    fn tags(&self) -> Vec<&Tag> {
        self.items.iter().map(|sent| &sent.tag).collect()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if self.items.is_empty() {
            let wanted = "Choose at least one item to hand over.";
            proposal.refuse(CustodyRule::Form, None, wanted);
        }
        let wanted = "Name the carrier: between pick-up and receipt the carrier holds the items.";
        proposal.needs(&self.carrier, CustodyRule::Form, None, wanted);
        if self.awaits_pickup && !self.taken_by.is_empty() {
            let sentence = "Either the carrier has taken it already, or it waits for the carrier.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        if self.from != proposal.side || self.from == self.to {
            proposal.refuse(
                CustodyRule::Right,
                None,
                "One hands over what is in one's own hands, to the other side.",
            );
        }
        self.check_purpose(proposal);
        self.check_that_it_goes_back(proposal);
        self.check_that_work_goes_on(proposal);
        self.check_that_damage_is_answered(proposal);
        proposal.no_item_twice(&self.tags());
        self.check_parcels(proposal);
        self.check_that_it_is_new(proposal);
        if proposal.side == Side::Office {
            let exception = self.exception.as_ref();
            cover::provisional_leaves_for_a_duplicate(proposal, &self.tags(), exception);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let miscounted = self.miscounted(case, stamp);
        case.open(stamp, miscounted);
        for sent in &self.items {
            case.change(&sent.tag, |state| {
                state.handoff = Some(self.handoff.clone());
                state.place = None;
                state.pieces = sent.pieces.or(state.pieces);
                if sent.set_right {
                    state.condition = Condition::Sound;
                }
                if self.awaits_pickup {
                    state.packed = true;
                } else {
                    state.leave_with(&self.carrier, self.to);
                }
            });
        }
        case.handoffs.push(self.begun(case.turns.len(), stamp));
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let items = self.items.iter().map(|sent| {
            format!(
                "{}{}{}{}",
                named(&sent.tag),
                prefixed(", ", &counted(sent.pieces)),
                self.in_parcel(sent.parcel()),
                prefixed(": ", &sent.condition_words())
            )
        });
        let mut details: Vec<String> = items.collect();
        let parcels = (1..).zip(&self.parcels);
        details.extend(parcels.map(|(number, parcel)| parcel.words(number)));
        details.push(format!(
            "Carrier: {}{}{}",
            self.carrier,
            prefixed(", reference ", &self.tracking),
            prefixed(", seal ", &self.seal)
        ));
        let purpose = purpose_words(self.purpose_code, &self.purpose);
        details.push(prefixed("Why: ", &purpose));
        details.push(phrases::exception(self.exception.as_ref()));
        let stays: Vec<String> = self.stays.iter().map(named).collect();
        let stays_as = match self.from {
            Side::Office => "Listed as enclosed, and stays here for now: ",
            Side::Lab => "Wanted back with the work, and follows later: ",
        };
        details.push(prefixed(stays_as, &stays.join(", ")));
        details.extend(phrases::left_unread(self.unread));
        details.extend(phrases::made_before(self.older));
        details.extend(phrases::as_it_comes(self.as_it_comes));
        details.extend(phrases::made_by(self.made_by));
        details.push(prefixed("Picked up in the same step by ", &self.taken_by));
        let to = self.to.word();
        let sentence = if self.awaits_pickup {
            format!("Packed for the {to}, waits for the carrier")
        } else {
            format!("Handed over to the {to}")
        };
        (sentence, details)
    }

    fn sign(&self, on: OnLine<'_>) -> Option<Sign> {
        let packed = self.awaits_pickup.then_some(Sign::Packed);
        if on.is_held {
            Some(Sign::Wrong)
        } else {
            packed
        }
    }

    fn needs_clean_items(&self) -> bool {
        true
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }

    /// Finished work stays while the case stands still; what the patient has worn goes back.
    fn is_work(&self, proposal: &ProposedEvent<'_>) -> bool {
        let (case, items) = (proposal.case, proposal.scope.items);
        self.from == Side::Lab && has_finished_work(case, items, self.purpose_code, &self.tags())
    }

    /// Whether a provisional may leave hangs on what its arch wears.
    fn rests_on_the_mouth(&self, proposal: &ProposedEvent<'_>) -> Vec<Tag> {
        let tags = self.tags().into_iter();
        let provisionals = tags.filter(|tag| {
            self.from == Side::Office && proposal.kind(tag) == Some(ItemKind::Provisional)
        });
        provisionals.cloned().collect()
    }
}

impl Released {
    /// These things on their way from one house to the other, with nothing said beside them: for samples and tests.
    pub fn of(handoff: HandoffId, items: Vec<Sent>, from: Side) -> Released {
        Released {
            handoff,
            items,
            from,
            to: from.other(),
            carrier: SAMPLE_TEXT.to_owned(),
            tracking: String::new(),
            purpose_code: None,
            purpose: String::new(),
            seal: String::new(),
            exception: None,
            parcels: Vec::new(),
            stays: Vec::new(),
            unread: None,
            older: None,
            as_it_comes: None,
            made_by: None,
            awaits_pickup: false,
            taken_by: String::new(),
        }
    }

    /// One thing, packed for the carrier.
    pub fn sample(on: &SampleContext<'_>, tag: &Tag) -> Released {
        let items = vec![Sent::of(tag.clone())];
        Released {
            exception: on.exception(),
            awaits_pickup: true,
            ..Released::of(HandoffId::default(), items, on.side())
        }
    }

    fn in_parcel(&self, number: u32) -> String {
        match self.parcels.len() {
            0 | 1 => String::new(),
            count => format!(", parcel {number} of {count}"),
        }
    }

    fn begun(&self, turns_before: usize, stamp: &Stamp<'_>) -> Handoff {
        Handoff {
            id: self.handoff.clone(),
            from: self.from,
            to: self.to,
            sent: self.items.clone(),
            carrier: self.carrier.clone(),
            tracking: self.tracking.clone(),
            purpose_code: self.purpose_code,
            purpose: purpose_words(self.purpose_code, &self.purpose),
            parcels: parcels_of(&self.parcels, &self.seal),
            released_at: stamp.at,
            released_by: stamp.by.clone(),
            awaits_pickup: self.awaits_pickup,
            picked_up: (!self.taken_by.is_empty()).then(|| PickUp {
                person: self.taken_by.clone(),
                at: stamp.at,
                handed_out_by: stamp.answering(),
            }),
            found: Vec::new(),
            received_at: None,
            received_by: None,
            unannounced: Vec::new(),
            opened: Vec::new(),
            voided: None,
            written_off: Vec::new(),
            not_packed: Vec::new(),
            as_revision: self.older,
            as_it_comes: self.as_it_comes,
            excepted: self.exception.is_some(),
            brought_back: Vec::new(),
            turns_before,
        }
    }

    /// Items of which other numbers of pieces leave than were counted last.
    fn miscounted(&self, case: &CaseState, stamp: &Stamp<'_>) -> Vec<Hold> {
        let miscounted = self.items.iter().filter_map(|sent| {
            let before = case.item(&sent.tag)?.pieces?;
            let now = sent.pieces.filter(|now| *now != before)?;
            let about = (&self.handoff, self.from);
            let miscount = Miscount::Out { before, now };
            Some(Hold::of_count(stamp, miscount, about, sent))
        });
        miscounted.collect()
    }

    /// What is said of the purpose has to be one of that side's. An entry from before there was a list names
    /// none; that there is one now is asked where it is typed.
    fn check_purpose(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(code) = self.purpose_code else {
            return;
        };
        if !Purpose::of(self.from).contains(&code) {
            let sentence = format!(
                "“{}” is nothing that the {} hands items over for.",
                code.shown(),
                self.from.word()
            );
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        if code.needs_words() {
            let wanted = "Say in words what it goes there for: the list says only that it is something else.";
            proposal.needs(&self.purpose, CustodyRule::Form, None, wanted);
        }
    }

    /// What goes back has come from there: not what has its home with the sender, but for the patient's denture, and for
    /// what cancelled work gives back.
    fn check_that_it_goes_back(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(code) = self.purpose_code.filter(|one| one.is_return()) else {
            return;
        };
        if proposal.case.is_cancelled() {
            return;
        }
        for tag in self.tags() {
            let is_own = proposal.state(tag).is_some_and(|one| one.home == self.from);
            let is_patients = self.from == Side::Lab && proposal.is_the_patients(tag);
            if is_own && !is_patients {
                let sentence = format!(
                    "{} is of the {} itself, so it does not go there as “{}”: choose what it goes there for.",
                    proposal.named(tag),
                    self.from.word(),
                    code.shown()
                );
                proposal.refuse(CustodyRule::Form, Some(tag), sentence);
            }
        }
    }

    /// Nothing is sent to be worked on where the work is given up.
    fn check_that_work_goes_on(&self, proposal: &mut ProposedEvent<'_>) {
        let is_for_work = self.purpose_code.is_some_and(Purpose::is_for_work);
        if self.from == Side::Office && is_for_work && proposal.case.is_cancelled() {
            let sentence = "The work on this case is canceled: let it go on before something is sent to be worked on.";
            proposal.refuse(CustodyRule::Stopped, None, sentence);
        }
    }

    /// What was damaged in the lab is not sent to be fitted before the lab has said what was done about it.
    fn check_that_damage_is_answered(&self, proposal: &mut ProposedEvent<'_>) {
        if self.purpose_code != Some(Purpose::Finished) {
            return;
        }
        let open: Vec<Tag> = (proposal.case.open_holds())
            .filter(|hold| hold.trouble == Trouble::DamagedHere)
            .filter_map(|hold| hold.tag.clone())
            .collect();
        for tag in self.tags().into_iter().filter(|tag| open.contains(tag)) {
            let sentence = format!(
                "{} was damaged here: sign the statement on it before it goes out to be fitted.",
                proposal.named(tag)
            );
            proposal.refuse(CustodyRule::Held, Some(tag), sentence);
        }
    }

    /// Every item lies in a parcel of this release, and no parcel travels empty.
    fn check_parcels(&self, proposal: &mut ProposedEvent<'_>) {
        let count = u32::try_from(self.parcels.len().max(1)).unwrap_or(u32::MAX);
        for sent in self.items.iter().filter(|sent| sent.parcel() > count) {
            let sentence = format!("There is no parcel {} in this release.", sent.parcel());
            proposal.refuse(CustodyRule::Form, Some(&sent.tag), sentence);
        }
        for number in 1..=count {
            if !self.items.is_empty() && !self.items.iter().any(|sent| sent.parcel() == number) {
                let sentence = format!(
                    "Parcel {number} holds none of the items: put one in, or leave the parcel out."
                );
                proposal.refuse(CustodyRule::Form, None, sentence);
            }
        }
    }

    /// Two handoffs of one number could not be told apart when one of them is received.
    fn check_that_it_is_new(&self, proposal: &mut ProposedEvent<'_>) {
        if proposal.handoff(&self.handoff).is_some() {
            proposal.refuse(
                CustodyRule::Form,
                None,
                "This handoff is recorded already: look at it before you make another one.",
            );
        }
    }
}
