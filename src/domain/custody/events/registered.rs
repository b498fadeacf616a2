//! An item exists from now on for this case: it came in, it was made here, or it is in the patient's mouth.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::{counted, prefixed};
use super::sample::SampleContext;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::common_refusals::{ONLY_A_DENTURE_IS_WORN, is_packed};
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::item_file::FileFacts;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Gone, Holder, State};
use crate::domain::custody::worn::Turn;
use crate::domain::form::Day;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::whole_day;
use serde::{Deserialize, Serialize};

/// Longer than any pot is kept closed.
const POT_MINUTES_MOST: u32 = 600;

/// The item exists from now on for this case; `worn`: it is in the patient's mouth.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Registered {
    pub tag: Tag,
    pub place: Side,
    pub worn: bool,
    pub note: String,
    /// Pieces that it consists of, where that is not one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pieces: Option<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made: Option<Made>,
    /// The day on which a borrowed thing is due back with its lender.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due_back: Option<Day>,
    /// What a file is known by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file: Option<FileFacts>,
}

/// How an item came to be.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Made {
    /// What it was made from, on or over: the items of this case that it comes down from.
    pub from: Vec<Tag>,
    pub how: String,
    pub material: String,
    pub lot: String,
    /// Minutes under pressure in the pot.
    pub pot_minutes: Option<u32>,
    /// Whoever made it, where that is not whoever entered it.
    pub maker: String,
    /// Why it is made of a material that is to be avoided, where that was asked.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub avoided_why: String,
}

impl Constants for Registered {
    const WORD: &'static str = "registered";
    const MISTAKEN: Option<&'static str> = Some("registered");
    const OPEN: &'static [&'static str] = &["tag", "place", "made/from/*", "due_back"];
    const ERASABLE: &'static [ErasablePlace] = &[
        ("/what/note", "note"),
        ("/what/made/how", "how it was made"),
        ("/what/made/material", "material"),
        ("/what/made/avoided_why", "reason"),
        ("/what/file/name", "file name"),
    ];
}

impl EventKind for Registered {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn concerns(&self, asked: &Tag) -> bool {
        let made = self.made.as_ref();
        self.tag == *asked || made.is_some_and(|made| made.from.contains(asked))
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        self.check_where_it_is(proposal);
        self.check_its_arch(proposal);
        if self.worn {
            self.check_that_it_can_be_worn(proposal);
        }
        if let Some(made) = &self.made {
            made.check(proposal, &self.tag);
        }
        self.check_due_back(proposal);
        let is_file = proposal.kind(&self.tag) == Some(ItemKind::Scan);
        if self.file.is_some() && !is_file {
            let sentence = "Only a scan file has a file name, a format, a unit and a SHA-256.";
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let state = State {
            pieces: self.pieces,
            due_back: self.due_back.map(Day::date),
            file: self.file.clone(),
            ..State::registered(self.place, self.worn, stamp)
        };
        case.custody.insert(self.tag.clone(), state);
        if self.worn {
            case.turns.push(Turn::In(self.tag.clone(), stamp.at));
        }
        let parents = self.made.iter().flat_map(|made| &made.from);
        let steps = parents.map(|from| (from.clone(), self.tag.clone(), stamp.at));
        case.descent.extend(steps);
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let place = if self.worn {
            "in the patient's mouth".to_owned()
        } else {
            Holder::of(self.place).place()
        };
        let mut details = vec![self.note.clone(), counted(self.pieces)];
        details.extend(self.made.iter().flat_map(|made| made.words(named)));
        details.extend(
            self.file
                .iter()
                .map(|file| prefixed("File ", &file.words())),
        );
        let due = self.due_back.map(Day::date);
        details.extend(due.map(|day| format!("Lent, due back on {}", whole_day(day))));
        (format!("{} registered, {place}", named(&self.tag)), details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(match self.made {
            Some(_) => Sign::Made,
            None => Sign::Registered,
        })
    }

    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        None
    }

    fn begins_items(&self) -> bool {
        true
    }

    fn rests_on_the_mouth(&self, _: &ProposedEvent<'_>) -> Vec<Tag> {
        let worn = Some(&self.tag).filter(|_| self.worn);
        worn.into_iter().cloned().collect()
    }

    /// What the lab has made, and what only a lab makes; a stray thing that came along is none.
    fn is_work(&self, proposal: &ProposedEvent<'_>) -> bool {
        let kind = proposal.kind(&self.tag);
        let is_made = self.made.is_some() || kind.is_some_and(ItemKind::is_made_for_the_mouth);
        proposal.side == Side::Lab && is_made
    }

    fn waits_for_holds(&self) -> Vec<&Tag> {
        self.made.iter().flat_map(|made| &made.from).collect()
    }

    fn turns(&self) -> bool {
        self.worn
    }
}

impl Registered {
    /// A thing that has just come into the house of whoever acts.
    pub fn sample(on: &SampleContext<'_>, tag: Tag) -> Registered {
        Registered {
            tag,
            place: on.side(),
            worn: false,
            note: String::new(),
            pieces: None,
            made: None,
            due_back: None,
            file: None,
        }
    }

    fn check_where_it_is(&self, proposal: &mut ProposedEvent<'_>) {
        let tag = Some(&self.tag);
        if proposal.state(&self.tag).is_some() {
            proposal.refuse(
                CustodyRule::F,
                tag,
                format!("{} is registered already.", self.tag),
            );
        }
        let comes_from_the_office = matches!(
            proposal.kind(&self.tag),
            Some(ItemKind::Provisional | ItemKind::OldDenture)
        );
        if proposal.side == Side::Lab && comes_from_the_office {
            proposal.refuse(
                CustodyRule::C,
                tag,
                "A provisional or an old denture comes from the office, with a handoff: ask the office to register it.",
            );
        }
        if self.place != proposal.side {
            proposal.refuse(
                CustodyRule::Right,
                tag,
                "One registers what is in one's own hands.",
            );
        }
    }

    /// The lab makes nothing for an arch that the case does not treat. What lies against the work comes from the office,
    /// and casts and copies may be of either arch.
    fn check_its_arch(&self, proposal: &mut ProposedEvent<'_>) {
        let is_work = matches!(
            proposal.kind(&self.tag),
            Some(ItemKind::FinalDenture | ItemKind::Rims | ItemKind::TryIn)
        );
        let arch = proposal.arch(&self.tag);
        let arch = arch.filter(|arch| !proposal.scope.is_treated(*arch));
        if let Some(arch) = arch.filter(|_| is_work && proposal.side == Side::Lab) {
            let sentence = format!(
                "Nothing is made for the {} arch in this case: check the arch, and the case.",
                arch.shown()
            );
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
    }

    fn check_that_it_can_be_worn(&self, proposal: &mut ProposedEvent<'_>) {
        let tag = Some(&self.tag);
        let is_denture = proposal.kind(&self.tag).is_some_and(ItemKind::is_denture);
        if self.place != Side::Office || !is_denture {
            let sentence = ONLY_A_DENTURE_IS_WORN;
            proposal.refuse(CustodyRule::Form, tag, sentence);
        }
        if let Some(arch) = proposal.arch(&self.tag)
            && let Some(other) = proposal.worn_in(arch)
        {
            let sentence = format!(
                "The patient already wears {} in the {} arch: record the change instead.",
                proposal.named(&other),
                arch.shown()
            );
            proposal.refuse(CustodyRule::A, tag, sentence);
        }
        super::old_denture::was_worn_first(proposal, &self.tag);
    }

    /// Only what is lent is due back.
    fn check_due_back(&self, proposal: &mut ProposedEvent<'_>) {
        let item = proposal.scope.item(&self.tag);
        let is_lent = item.is_some_and(|item| item.borrowed);
        if self.due_back.is_some() && !is_lent {
            let sentence = "Only what is lent is due back.";
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
    }
}

impl Made {
    /// A thing is made from what is in one's own hands, or was used up for it; what is held waits.
    fn check(&self, proposal: &mut ProposedEvent<'_>, tag: &Tag) {
        if self.how.trim().is_empty() && self.from.is_empty() {
            let wanted = "Say how it was made, or from what.";
            proposal.refuse(CustodyRule::Form, Some(tag), wanted);
        }
        let is_absurd = |minutes| !(1..=POT_MINUTES_MOST).contains(&minutes);
        if self.pot_minutes.is_some_and(is_absurd) {
            let sentence =
                format!("Minutes in the pot are a whole number from 1 to {POT_MINUTES_MOST}.");
            proposal.refuse(CustodyRule::Form, Some(tag), sentence);
        }
        let from: Vec<&Tag> = self.from.iter().collect();
        proposal.no_item_twice(&from);
        for parent in &self.from {
            check_parent(proposal, tag, parent);
        }
    }

    fn words(&self, named: Named<'_>) -> Vec<String> {
        let from: Vec<String> = self.from.iter().map(named).collect();
        let pot = self
            .pot_minutes
            .map_or_else(String::new, |minutes| format!("{minutes} min in the pot"));
        let material = format!("{}{}", self.material, prefixed(", lot ", &self.lot));
        vec![
            prefixed("Made from ", &from.join(", ")),
            prefixed("How: ", &self.how),
            prefixed("Material: ", &material),
            pot,
            prefixed("Made by ", &self.maker),
            prefixed("To be avoided, and used all the same: ", &self.avoided_why),
        ]
    }
}

fn check_parent(proposal: &mut ProposedEvent<'_>, tag: &Tag, parent: &Tag) {
    let Some(state) = parent_state(proposal, tag, parent) else {
        return;
    };
    let named = proposal.named(parent);
    let is_here = state.holder == Holder::of(proposal.side);
    let is_in_hand = (is_here && !state.packed)
        || (proposal.side == Side::Office && state.holder == Holder::Patient);
    let must_be_clean = proposal
        .kind(parent)
        .is_some_and(ItemKind::needs_disinfection);
    let against = match state.gone {
        Some(Gone::Mistaken) => Some((
            CustodyRule::F,
            format!("{named} was registered by mistake: nothing is made from it."),
        )),
        Some(Gone::Destroyed | Gone::WrittenOff) => Some((
            CustodyRule::F,
            format!("{named} is destroyed or written off: nothing is made from it."),
        )),
        None if is_here && state.packed => Some((CustodyRule::Packed, is_packed(&named))),
        None | Some(Gone::UsedUp) if !is_in_hand => Some((
            CustodyRule::A,
            format!("{named} is not in your hands, so nothing is made from it here."),
        )),
        _ if state.held_for_disinfection && must_be_clean => Some((
            CustodyRule::H,
            format!("{named} came without a mark of disinfection and is held: disinfect it first."),
        )),
        _ => None,
    };
    if let Some((rule, sentence)) = against {
        proposal.refuse(rule, Some(parent), sentence);
    }
    if proposal.comes_before(state.last_at) && state.is_there() {
        let sentence = format!(
            "The last entry about {named} is of {}, and this one would be earlier.",
            state.last_at.in_words()
        );
        proposal.refuse(CustodyRule::I, Some(parent), sentence);
    }
}

/// A parent is another item of this case, of the same arch.
fn parent_state(proposal: &mut ProposedEvent<'_>, tag: &Tag, parent: &Tag) -> Option<State> {
    let is_other = proposal.is_own(parent) && parent != tag;
    let Some(state) = proposal.state(parent).filter(|_| is_other).cloned() else {
        let sentence = format!(
            "{parent} is no registered item of this case, so nothing is made from it here."
        );
        proposal.refuse(CustodyRule::K, Some(parent), sentence);
        return None;
    };
    if let (Some(own), Some(other)) = (proposal.arch(tag), proposal.arch(parent))
        && own != other
    {
        let sentence = format!(
            "{} is of the other arch: write the opposing arch into the note.",
            proposal.named(parent)
        );
        proposal.refuse(CustodyRule::Form, Some(parent), sentence);
    }
    Some(state)
}
