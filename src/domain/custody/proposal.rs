//! An event that is proposed, with everything that its own check and the rules ask about.

use super::case_state::CaseState;
use super::handoff::Handoff;
use super::item::{Item, ItemKind, StaysAtLab};
use super::passed::PassedWork;
use super::state::State;
use super::worn::{Worn, worn_in};
use crate::domain::people::access::{Permission, may, why_not};
use crate::domain::people::party::{Actor, Role, Side};
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::{CaseNumber, EventId, HandoffId, PartyId, Tag};
use crate::domain::values::moment::Moment;

/// The rules by letter, and what else can stand against an event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CustodyRule {
    /// Each item has exactly one holder: only the holder acts on it.
    A,
    /// A wearable set in each treated arch at every moment.
    B,
    /// The provisional leaves only while a duplicate of its arch is worn.
    C,
    /// The old denture never goes back to the patient.
    D,
    /// A duplicate becomes the spare only after the final of its arch is fitted.
    E,
    /// Nothing happens to an item that is used up, destroyed, written off or was never there.
    F,
    /// Disinfected before it changes hands; held on arrival without a mark of it.
    H,
    /// In time order.
    I,
    /// Corrections append, and name what they correct.
    J,
    /// Items of this case only.
    K,
    /// Release and receipt by different people.
    L,
    /// What is found wrong waits for the statement that resolves it.
    Held,
    /// What is packed waits for the carrier, or for the parcel to be taken back.
    Packed,
    /// The work is stopped, paused or cancelled.
    Stopped,
    /// The lab's work waits for an answer.
    Question,
    /// Work passed on waits for the office's word.
    Consent,
    /// A closed case stays as it is.
    Closed,
    /// Papers that are kept longer keep their texts.
    Kept,
    /// The role or party may not.
    Right,
    /// Not as an event of this kind.
    Form,
}

/// One thing that stands against an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    pub rule: CustodyRule,
    pub tag: Option<Tag>,
    /// What is the matter, with which thing, and what to do now.
    pub sentence: String,
}

/// An administrator's word: what is dated between these two moments was dated by a clock that was ahead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClockWord {
    /// When it was given, by a clock that was right again.
    pub given_ms: i64,
    /// The last moment that the wrong clock has written.
    pub ahead_ms: i64,
}

impl ClockWord {
    /// Whether it says that a moment which has not come yet at `at` was dated by the wrong clock.
    fn is_about(&self, at: Moment, to_come: Moment) -> bool {
        self.given_ms <= at.unix_ms && to_come.unix_ms <= self.ahead_ms
    }
}

/// Clocks of several machines differ by so much without anything being wrong.
const APART_MS: i64 = 5 * 60_000;

/// Whether an answer to what was signed at `signed` would come before it, and no clock that was wrong excuses that.
pub fn answers_too_early(at: Moment, signed: Moment, words: &[ClockWord]) -> bool {
    signed.unix_ms.saturating_sub(at.unix_ms) > APART_MS
        && !words.iter().any(|word| word.is_about(at, signed))
}

/// A case without its events: between whom, for which arches, with which items.
#[derive(Debug, Clone, Copy)]
pub struct Scope<'a> {
    pub case: &'a CaseNumber,
    /// Party ids.
    pub office: &'a PartyId,
    pub lab: &'a PartyId,
    pub arches: Arches,
    pub items: &'a [Item],
    /// Words about a clock that was wrong once.
    pub clock: &'a [ClockWord],
    /// What does not come back, by the revision in force.
    pub stays: StaysAtLab,
    /// Whether the work is made from files alone, by the revision in force.
    pub by_files: bool,
}

impl Scope<'_> {
    /// The item of this tag, if it is registered in this case.
    pub fn item(&self, tag: &Tag) -> Option<&Item> {
        Item::of(self.items, tag)
    }

    /// "T12-345-67X (Provisional denture, upper)"
    pub fn named(&self, tag: &Tag) -> String {
        match self.item(tag) {
            Some(item) => format!("{tag} ({})", item.title()),
            None => tag.to_string(),
        }
    }

    /// The side of the case that a person acts for; none for a stranger.
    pub fn side(&self, by: &Actor) -> Option<Side> {
        match by.role.works_in() {
            Some(Side::Office) if by.party == *self.office => Some(Side::Office),
            Some(Side::Lab) if by.party == *self.lab => Some(Side::Lab),
            _ => None,
        }
    }

    /// Whether dentures are made for this arch.
    pub fn is_treated(&self, arch: Arch) -> bool {
        self.arches.treated().contains(&arch)
    }
}

/// What of an earlier event a later one may ask.
#[derive(Debug, Clone)]
pub struct Earlier {
    pub at: Moment,
    pub party: PartyId,
    pub party_name: String,
    /// The word of its kind.
    pub word: &'static str,
}

/// The events that are there, by their ids.
pub trait Journal {
    /// Whether an entry shows among those about an item.
    fn is_about(&self, id: &EventId, tag: &Tag, case: &CaseState) -> bool;
    /// What stands against somebody making this entry who has not made it.
    fn against_making(&self, id: &EventId, by: &Actor) -> Vec<String>;
    /// Later entries that could not have been made without this one, in words.
    fn rests_on(&self, id: &EventId) -> Vec<String>;
    /// Who wrote an event, and when it happened.
    fn earlier(&self, id: &EventId) -> Option<Earlier>;
    /// What a text of an event is called; none where nothing can be taken out.
    fn erasable(&self, id: &EventId, place: &str) -> Option<&'static str>;
}

/// A proposed event, but for what it says.
pub struct ProposedEvent<'a> {
    pub scope: Scope<'a>,
    pub case: &'a CaseState,
    pub journal: &'a dyn Journal,
    pub by: &'a Actor,
    pub at: Moment,
    /// When it is written down: later than `at` where it is copied from paper.
    pub entered_at: Moment,
    pub side: Side,
    worn: Vec<Worn>,
    pub refusals: Vec<Refusal>,
}

impl<'a> ProposedEvent<'a> {
    /// Nothing stands against it yet.
    pub fn new(
        scope: Scope<'a>,
        case: &'a CaseState,
        journal: &'a dyn Journal,
        (by, at, side): (&'a Actor, Moment, Side),
        entered_at: Moment,
    ) -> ProposedEvent<'a> {
        ProposedEvent {
            worn: case.worn(scope.items),
            scope,
            case,
            journal,
            by,
            at,
            entered_at,
            side,
            refusals: Vec::new(),
        }
    }

    /// Whether it would come before `last`, which has been entered already: entries about one thing are in the order
    /// of time. A moment that has not come yet is one of a wrong clock, and an administrator may have said so.
    pub fn comes_before(&self, last: Moment) -> bool {
        let is_of_wrong_clock = |word: &ClockWord| word.is_about(self.at, last);
        self.at.unix_ms < last.unix_ms
            && !(self.is_to_come(last) && self.scope.clock.iter().any(is_of_wrong_clock))
    }

    /// Whether a moment has not come yet where this is written down.
    pub fn is_to_come(&self, moment: Moment) -> bool {
        moment.unix_ms > self.entered_at.unix_ms
    }

    /// Notes what stands against it.
    pub fn refuse(&mut self, rule: CustodyRule, tag: Option<&Tag>, sentence: impl Into<String>) {
        self.refusals.push(Refusal {
            rule,
            tag: tag.cloned(),
            sentence: sentence.into(),
        });
    }

    /// A text that says something; otherwise the sentence that asks for it.
    pub fn needs(&mut self, text: &str, rule: CustodyRule, tag: Option<&Tag>, sentence: &str) {
        if text.trim().is_empty() {
            self.refuse(rule, tag, sentence);
        }
    }

    /// "T12-345-67X (Provisional denture, upper)"
    pub fn named(&self, tag: &Tag) -> String {
        self.scope.named(tag)
    }

    pub fn state(&self, tag: &Tag) -> Option<&'a State> {
        self.case.item(tag)
    }

    pub fn kind(&self, tag: &Tag) -> Option<ItemKind> {
        self.scope.item(tag).map(|item| item.kind)
    }

    /// Whether it is the patient's: see [`CaseState::is_the_patients`].
    pub fn is_the_patients(&self, tag: &Tag) -> bool {
        let item = self.scope.item(tag);
        item.is_some_and(|item| self.case.is_the_patients(item))
    }

    pub fn arch(&self, tag: &Tag) -> Option<Arch> {
        self.scope.item(tag).and_then(|item| item.arch)
    }

    /// Whether a tag belongs to an item of this case.
    pub fn is_own(&self, tag: &Tag) -> bool {
        let item = self.scope.item(tag);
        item.is_some_and(|item| item.case == *self.scope.case)
    }

    /// What an arch wears now.
    pub fn worn_in(&self, arch: Arch) -> Option<Tag> {
        worn_in(&self.worn, arch).cloned()
    }

    /// Whether anything has ever been worn in this arch.
    pub fn was_worn(&self, arch: Arch) -> bool {
        self.worn.iter().any(|worn| worn.arch == arch)
    }

    /// When something last went into or came out of this arch.
    pub fn mouth_changed(&self, arch: Arch) -> Option<Moment> {
        let here = self.worn.iter().filter(|worn| worn.arch == arch);
        let here = here.map(|worn| worn.to.unwrap_or(worn.from));
        let unturned = self.case.unturned.iter();
        let unturned = unturned.filter(|(tag, _)| self.arch(tag) == Some(arch));
        here.chain(unturned.map(|(_, at)| *at)).max()
    }

    pub fn handoff(&self, id: &HandoffId) -> Option<&'a Handoff> {
        self.case.handoff(id)
    }

    /// What the patient wears and holds is recorded at the office.
    pub fn office_only(&mut self) {
        self.side_only(
            Side::Office,
            "What the patient wears and holds is recorded at the dental office.",
        );
    }

    /// Refuses the other side, in these words.
    pub fn side_only(&mut self, side: Side, sentence: &str) {
        if self.side != side {
            self.refuse(CustodyRule::Right, None, sentence);
        }
    }

    /// Refuses that what is the patient's is destroyed without the patient's consent.
    pub fn refuse_without_consent(&mut self, tag: &Tag) {
        let named = self.named(tag);
        let sentence = format!(
            "{named} is the patient's property: it is destroyed only with the patient's consent."
        );
        self.refuse(CustodyRule::Form, Some(tag), sentence);
    }

    /// Refuses an item of another case.
    pub fn own_only(&mut self, tag: Option<&Tag>) {
        if let Some(tag) = tag.filter(|tag| !self.is_own(tag)) {
            let sentence = format!("{tag} is not of this case.");
            self.refuse(CustodyRule::K, Some(tag), sentence);
        }
    }

    /// The work that this entry passes on; refuses where it is not, or not any more.
    pub fn open_pass(&mut self, entry: &EventId) -> Option<&'a PassedWork> {
        let found = self.case.pass(entry).filter(|one| one.is_open());
        if found.is_none() {
            let sentence =
                "This is not passed on, or not any more: look at the case as it stands now.";
            self.refuse(CustodyRule::J, None, sentence);
        }
        found
    }

    /// Refuses whoever has not the permission.
    pub fn permitted_only(&mut self, permission: Permission) {
        if !may(self.by.role, permission) {
            self.refuse(CustodyRule::Right, None, why_not(permission));
        }
    }

    /// No item stands in a list twice.
    pub fn no_item_twice(&mut self, tags: &[&Tag]) {
        for (place, tag) in tags.iter().enumerate() {
            if tags.iter().take(place).any(|earlier| earlier == tag) {
                self.refuse(CustodyRule::A, Some(tag), format!("{tag} is named twice."));
            }
        }
    }

    /// An exception from a rule is the dentist's, and has its reason.
    pub fn exception_is_signed(&mut self, rule: CustodyRule, tag: &Tag, reason: &str) {
        if self.by.role != Role::Dentist {
            self.refuse(rule, Some(tag), "Only the dentist signs an exception.");
        }
        self.needs(
            reason,
            rule,
            Some(tag),
            "An exception needs its reason in words.",
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn r20_an_answer_comes_after_what_it_answers_unless_a_wrong_clock_is_answered_for() {
        const MINUTE: i64 = 60_000;
        let at = |minutes: i64| Moment::new(minutes * MINUTE, 0);
        let word = ClockWord {
            given_ms: 10 * MINUTE,
            ahead_ms: 500 * MINUTE,
        };
        for (answer, signed, words, is_early) in [
            (10, 10, &[][..], false),
            (10, 15, &[], false),
            (10, 16, &[], true),
            (10, 16, &[word], false),
            // Before the word, and after what it is about.
            (9, 16, &[word], true),
            (10, 501, &[word], true),
        ] {
            let found = answers_too_early(at(answer), at(signed), words);
            assert_eq!(found, is_early, "{answer} {signed}");
        }
    }
}
