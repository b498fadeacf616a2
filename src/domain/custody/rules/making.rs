//! What is made, moved inside a house, kept for the patient, given back and destroyed.

use super::{Gone, Holder, Proposal, Rule};
use crate::domain::custody::event::{Made, Spare};
use crate::domain::custody::hold::open_holds;
use crate::domain::custody::item::ItemKind;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::parse_date;

/// Longer than any pot is kept closed.
const POT_MINUTES_MOST: u32 = 600;

impl Proposal<'_> {
    /// A thing is made from what is in one's own hands, or was used up for it; what is held waits.
    pub(super) fn form_made(&mut self, tag: &Tag, made: Option<&Made>) {
        let Some(made) = made else {
            return;
        };
        if made.how.trim().is_empty() && made.from.is_empty() {
            self.refuse(Rule::Form, Some(tag), "Say how it was made, or from what.");
        }
        let is_absurd = |minutes| !(1..=POT_MINUTES_MOST).contains(&minutes);
        if made.pot_minutes.is_some_and(is_absurd) {
            let sentence =
                format!("Minutes in the pot are a whole number from 1 to {POT_MINUTES_MOST}.");
            self.refuse(Rule::Form, Some(tag), sentence);
        }
        for (place, parent) in made.from.iter().enumerate() {
            if made
                .from
                .iter()
                .take(place)
                .any(|earlier| earlier == parent)
            {
                self.refuse(Rule::A, Some(parent), format!("{parent} is named twice."));
            }
            self.parent(tag, parent);
        }
    }

    fn parent(&mut self, tag: &Tag, parent: &Tag) {
        let Some(state) = self.parent_state(tag, parent) else {
            return;
        };
        let named = self.context.named(parent);
        let is_in_hand = state.holder == Holder::of(self.side)
            || (self.side == Side::Office && state.holder == Holder::Patient);
        match state.gone {
            Some(Gone::Destroyed | Gone::WrittenOff) => self.refuse(
                Rule::F,
                Some(parent),
                format!("{named} is destroyed or written off: nothing is made from it."),
            ),
            None | Some(Gone::UsedUp) if !is_in_hand => self.refuse(
                Rule::A,
                Some(parent),
                format!("{named} is not in your hands, so nothing is made from it here."),
            ),
            _ if state.held_for_disinfection
                && self.kind(parent).is_some_and(ItemKind::needs_disinfection) =>
            {
                self.refuse(
                    Rule::H,
                    Some(parent),
                    format!("{named} came without a mark of disinfection and is held: disinfect it first."),
                );
            }
            _ => {}
        }
        if self.at.unix_ms < state.last_at.unix_ms && state.gone.is_none() {
            self.refuse(
                Rule::I,
                Some(parent),
                format!(
                    "The last entry about {named} is of {}, and this one would be earlier.",
                    state.last_at
                ),
            );
        }
    }

    /// A parent is another item of this case, of the same arch.
    fn parent_state(&mut self, tag: &Tag, parent: &Tag) -> Option<super::State> {
        let is_own = self
            .context
            .item(parent)
            .is_some_and(|item| item.case == *self.context.case);
        let state = self
            .state(parent)
            .filter(|_| is_own && parent != tag)
            .cloned();
        if state.is_none() {
            let sentence = format!(
                "{parent} is no registered item of this case, so nothing is made from it here."
            );
            self.refuse(Rule::K, Some(parent), sentence);
            return None;
        }
        if let (Some(own), Some(other)) = (self.arch(tag), self.arch(parent))
            && own != other
        {
            let named = self.context.named(parent);
            self.refuse(
                Rule::Form,
                Some(parent),
                format!("{named} is of the other arch: write the opposing arch into the note."),
            );
        }
        state
    }

    /// Only what is lent is due back.
    pub(super) fn form_due_back(&mut self, tag: &Tag, due: Option<&str>) {
        let Some(due) = due else {
            return;
        };
        if !self.context.item(tag).is_some_and(|item| item.borrowed) {
            self.refuse(Rule::Form, Some(tag), "Only what is lent is due back.");
        }
        if let Err(why) = parse_date(due) {
            self.refuse(Rule::Form, Some(tag), why);
        }
    }

    /// What it went into is another item of this case that is still there.
    pub(super) fn form_into_item(&mut self, tag: &Tag, into: Option<&Tag>) {
        let Some(into) = into else {
            return;
        };
        let is_own = self
            .context
            .item(into)
            .is_some_and(|item| item.case == *self.context.case);
        let is_there = self.state(into).is_some_and(|state| state.gone.is_none());
        if !is_own || !is_there || into == tag {
            let sentence =
                format!("{into} is no other item of this case that it could have gone into.");
            self.refuse(Rule::K, Some(into), sentence);
        }
    }

    pub(super) fn form_moved(&mut self, tag: &Tag, to: &str) {
        if to.trim().is_empty() {
            self.refuse(Rule::Form, Some(tag), "Name the place it was put.");
        }
    }

    /// Whoever keeps the spare must find it: mark, place and keeper are said, where anything is.
    pub(super) fn form_spare(&mut self, tag: &Tag, spare: Option<&Spare>) {
        let Some(spare) = spare else {
            return;
        };
        let texts = [&spare.mark, &spare.place, &spare.keeper];
        if texts.iter().any(|text| text.trim().is_empty()) {
            self.refuse(
                Rule::E,
                Some(tag),
                "Say how the spare is marked, where it is kept, and who keeps it.",
            );
        }
    }

    /// The patient's own parts are counted back into the patient's hands.
    pub(super) fn form_given_back(&mut self, tag: &Tag, pieces: u32) {
        let named = self.context.named(tag);
        if self.kind(tag) != Some(ItemKind::ImplantParts) {
            self.refuse(
                Rule::Form,
                Some(tag),
                format!("{named} is no part of the patient's own that is given back so."),
            );
        }
        let counted = self.state(tag).and_then(|state| state.pieces);
        if pieces == 0 || counted.is_some_and(|counted| counted != pieces) {
            let sentence = format!(
                "{} pieces of {named} are recorded: count again, or correct the entry that counted them.",
                counted.unwrap_or(1)
            );
            self.refuse(Rule::Form, Some(tag), sentence);
        }
    }

    /// Nothing of the patient's own is destroyed without the patient's consent.
    pub(super) fn form_destroyed(&mut self, tag: &Tag, how: &str, consent: bool) {
        if how.trim().is_empty() {
            self.refuse(Rule::Form, Some(tag), "Say how and why it is destroyed.");
        }
        let is_patients_own = matches!(
            self.kind(tag),
            Some(ItemKind::OldDenture | ItemKind::ImplantParts)
        );
        if is_patients_own && !consent {
            let named = self.context.named(tag);
            self.refuse(
                Rule::Form,
                Some(tag),
                format!("{named} is the patient's property: it is destroyed only with the patient's consent."),
            );
        }
    }

    /// What was found wrong is not used, fitted, given away or destroyed before it is settled. It can be
    /// cleaned, moved, handed over and received; and where an arch is empty, fitting comes first.
    pub(super) fn rule_held_waits_for_its_statement(&mut self) {
        use crate::domain::custody::event::What;
        let waiting: Vec<Tag> = match self.what {
            What::UsedUp { tag, .. }
            | What::Destroyed { tag, .. }
            | What::Given { tag, .. }
            | What::GivenBack { tag, .. } => vec![tag.clone()],
            What::Fitted {
                tag,
                instead_of: Some(_),
                ..
            } => vec![tag.clone()],
            What::Registered {
                made: Some(made), ..
            } => made.from.clone(),
            _ => return,
        };
        for hold in open_holds(self.context.events) {
            for tag in waiting.iter().filter(|tag| hold.waiting.contains(tag)) {
                let sentence = format!(
                    "{} is on hold: {}. The {} settles that first, with a signed statement.",
                    self.context.named(tag),
                    hold.words(self.context.items),
                    hold.side.shown(),
                );
                self.refuse(Rule::Held, Some(tag), sentence);
            }
        }
    }
}
