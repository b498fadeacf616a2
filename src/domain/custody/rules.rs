//! The rules of custody, one function for each letter. All are common practice, no source, where no
//! other is named; that a disinfection entry names agent and time, and travels with the item in both
//! directions, follows the CDC guidelines for dental health-care settings (MMWR 52, RR-17, 2003).

mod boxes;
mod ending;
mod erasing;
mod making;

use super::closing::is_closed;
use super::event::{Event, What};
use super::purpose::Purpose;
use super::state::{Custody, Gone, Holder, State, fold};
use crate::domain::custody::handoff::{self, Handoff};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::mouth;
use crate::domain::people::party::{Actor, Role, Side};
use crate::domain::values::arch::Arch;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::Moment;

/// The rules by letter, and what else can stand against an event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Rule {
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
    /// Nothing happens to an item that is used up, destroyed or written off.
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
    /// What is found wrong waits for the statement that settles it.
    Held,
    /// A closed case stays as it is.
    Closed,
    /// The role or party may not.
    Right,
    /// Not as an event of this kind.
    Form,
}

/// One thing that stands against an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    pub rule: Rule,
    pub tag: Option<Tag>,
    /// What is the matter, with which thing, and what to do now.
    pub sentence: String,
}

/// What is known when an event is proposed.
#[derive(Debug, Clone, Copy)]
pub struct Context<'a> {
    pub case: &'a CaseNumber,
    /// Party ids.
    pub office: &'a str,
    pub lab: &'a str,
    pub arches: Arches,
    pub items: &'a [Item],
    pub events: &'a [Event],
}

impl Context<'_> {
    pub(super) fn item(&self, tag: &Tag) -> Option<&Item> {
        self.items.iter().find(|item| item.tag == *tag)
    }

    /// "T12-345-67X (Provisional denture, upper)"
    pub(super) fn named(&self, tag: &Tag) -> String {
        match self.item(tag) {
            Some(item) => format!("{tag} ({})", item.title()),
            None => tag.to_string(),
        }
    }

    fn side(&self, by: &Actor) -> Option<Side> {
        match by.role.works_in() {
            Some(Side::Office) if by.party == self.office => Some(Side::Office),
            Some(Side::Lab) if by.party == self.lab => Some(Side::Lab),
            _ => None,
        }
    }

    pub(super) fn is_treated(&self, arch: Arch) -> bool {
        match self.arches {
            Arches::Both => true,
            Arches::Upper => arch == Arch::Upper,
            Arches::Lower => arch == Arch::Lower,
        }
    }
}

/// A proposed event, with what the rules ask about.
struct Proposal<'a> {
    context: &'a Context<'a>,
    custody: Custody,
    handoffs: Vec<Handoff>,
    what: &'a What,
    by: &'a Actor,
    at: Moment,
    side: Side,
    refusals: Vec<Refusal>,
}

/// A paper that is older than this was misread: a wrong year could never be taken back.
const LATE_MOST_MS: i64 = 366 * 24 * 60 * 60_000;

/// Everything that stands against what is entered now and happened at `at`: never in the future, and in
/// order for each item, however late it is written down.
pub fn allow_entered(
    context: &Context<'_>,
    what: &What,
    by: &Actor,
    at: Moment,
    entered_at: Moment,
) -> Vec<Refusal> {
    let mut refusals = allow(context, what, by, at);
    let mut against = |sentence: String| {
        refusals.push(Refusal {
            rule: Rule::I,
            tag: None,
            sentence,
        });
    };
    if at.unix_ms > entered_at.unix_ms {
        against(format!(
            "{at} has not come yet: an entry tells what has happened."
        ));
    } else if entered_at.unix_ms.saturating_sub(at.unix_ms) > LATE_MOST_MS {
        against(format!(
            "{at} is more than a year before this entry: check the year."
        ));
    }
    refusals
}

/// Everything that stands against `what`; empty when it may happen.
pub fn allow(context: &Context<'_>, what: &What, by: &Actor, at: Moment) -> Vec<Refusal> {
    let Some(side) = context.side(by) else {
        return vec![Refusal {
            rule: Rule::Right,
            tag: None,
            sentence: "Only people of this case's office and lab act on its items.".to_owned(),
        }];
    };
    let mut proposal = Proposal {
        context,
        custody: fold(context.events),
        handoffs: handoff::fold(context.events),
        what,
        by,
        at,
        side,
        refusals: Vec::new(),
    };
    proposal.rule_closed_stays_closed();
    proposal.rule_k_items_of_this_case();
    if proposal.refusals.is_empty() {
        proposal.form();
        proposal.form_handoff_is_new();
        proposal.rule_f_nothing_after_the_end();
        proposal.rule_i_time_order();
        proposal.rule_j_corrections_name_an_event();
        proposal.rule_a_only_the_holder_acts();
        proposal.rule_b_never_toothless();
        proposal.rule_c_provisional_leaves_for_a_duplicate();
        proposal.rule_d_old_denture_stays_away();
        proposal.rule_e_spare_after_the_final();
        proposal.rule_h_disinfection();
        proposal.rule_l_two_people();
        proposal.rule_held_waits_for_its_statement();
    }
    proposal.refusals
}

impl Proposal<'_> {
    fn refuse(&mut self, rule: Rule, tag: Option<&Tag>, sentence: impl Into<String>) {
        self.refusals.push(Refusal {
            rule,
            tag: tag.cloned(),
            sentence: sentence.into(),
        });
    }

    fn state(&self, tag: &Tag) -> Option<&State> {
        self.custody.get(tag)
    }

    fn kind(&self, tag: &Tag) -> Option<ItemKind> {
        self.context.item(tag).map(|item| item.kind)
    }

    fn arch(&self, tag: &Tag) -> Option<Arch> {
        self.context.item(tag).and_then(|item| item.arch)
    }

    fn worn_in(&self, arch: Arch) -> Option<Tag> {
        mouth::worn_in(&mouth::fold(self.context.items, self.context.events), arch).cloned()
    }

    fn tags(&self) -> Vec<Tag> {
        self.what.tags().into_iter().cloned().collect()
    }

    fn handoff(&self) -> Option<&Handoff> {
        match self.what {
            What::Received { handoff, .. } => self.handoffs.iter().find(|one| one.id == *handoff),
            _ => None,
        }
    }

    /// Nothing happens in a closed case but a correction of its entries, or a text erased, until it is opened again.
    fn rule_closed_stays_closed(&mut self) {
        let is_closed = is_closed(self.context.events);
        match self.what {
            What::Corrected { .. } | What::Erased { .. } => {}
            What::Reopened { .. } if is_closed => {}
            What::Reopened { .. } => {
                self.refuse(Rule::Closed, None, "The case is open already.");
            }
            _ if is_closed => self.refuse(
                Rule::Closed,
                None,
                "The case is closed: open it again, with the reason, before anything else.",
            ),
            _ => {}
        }
    }

    fn office_only(&mut self) {
        if self.side != Side::Office {
            self.refuse(
                Rule::Right,
                None,
                "What the patient wears and holds is recorded at the dental office.",
            );
        }
    }

    /// k: an item of one case is not received, released or otherwise touched in another.
    fn rule_k_items_of_this_case(&mut self) {
        for tag in self.tags() {
            let is_own = self
                .context
                .item(&tag)
                .is_some_and(|item| item.case == *self.context.case);
            if !is_own {
                self.refuse(
                    Rule::K,
                    Some(&tag),
                    format!(
                        "{tag} is no item of case {}. Put it aside and look its tag up.",
                        self.context.case
                    ),
                );
            } else if self.state(&tag).is_none() && !matches!(self.what, What::Registered { .. }) {
                self.refuse(Rule::K, Some(&tag), format!("{tag} is not registered yet."));
            }
        }
    }

    /// Whether the event is complete and of a kind that this side makes.
    fn form(&mut self) {
        match self.what {
            What::Registered {
                tag,
                place,
                worn,
                made,
                due_back,
                ..
            } => {
                self.form_registered(tag, *place, *worn);
                self.form_made(tag, made.as_ref());
                self.form_due_back(tag, due_back.as_deref());
            }
            What::Disinfected {
                tag,
                agent,
                minutes,
                ..
            } => {
                if agent.trim().is_empty() || *minutes == 0 {
                    self.refuse(
                        Rule::H,
                        Some(tag),
                        "A disinfection entry names the agent and the minutes it worked: the next hands rely on both.",
                    );
                }
            }
            What::Released {
                items,
                from,
                to,
                carrier,
                parcels,
                purpose_code,
                purpose,
                ..
            } => {
                if items.is_empty() {
                    self.refuse(Rule::Form, None, "Choose at least one item to hand over.");
                }
                if carrier.trim().is_empty() {
                    self.refuse(Rule::Form, None, "Name the carrier: between release and receipt the carrier holds the items.");
                }
                if *from != self.side || from == to {
                    self.refuse(
                        Rule::Right,
                        None,
                        "One hands over what is in one's own hands, to the other side.",
                    );
                }
                self.form_purpose(*from, *purpose_code, purpose);
                self.no_item_twice();
                self.form_parcels(items, parcels);
            }
            What::Received {
                items,
                place,
                parcels,
                ..
            } => self.form_received(items, *place, parcels),
            What::Voided {
                handoff,
                items,
                reason,
                ..
            } => self.form_voided(handoff, items, reason),
            What::Settled {
                hold,
                trouble,
                tag,
                reason,
                done,
                not_packed,
                ..
            } => {
                self.form_settled(hold, *trouble, tag.as_ref(), (reason, done));
                if *not_packed {
                    self.form_not_packed(*trouble, tag.as_ref());
                }
            }
            What::Moved { tag, to } => self.form_moved(tag, to),
            What::Fitted {
                tag, instead_of, ..
            } => {
                self.office_only();
                self.form_fitted(tag, instead_of.as_ref());
            }
            What::TakenOut { tag, .. } => {
                self.office_only();
                if !self.state(tag).is_some_and(|state| state.worn) {
                    self.refuse(
                        Rule::Form,
                        Some(tag),
                        format!("{} is not in the mouth.", self.context.named(tag)),
                    );
                }
            }
            What::Given { tag, spare } => {
                self.office_only();
                self.form_spare(tag, spare.as_ref());
            }
            What::GivenBack { tag, pieces } => {
                self.office_only();
                self.form_given_back(tag, *pieces);
            }
            What::BroughtBack { .. } => self.office_only(),
            What::Withheld { tag, consent, .. } => {
                self.office_only();
                if !consent {
                    self.refuse(
                        Rule::Form,
                        Some(tag),
                        "It is the patient's property: it is kept back with the patient's consent only, and local law says what more is needed.",
                    );
                }
                if self.kind(tag) != Some(ItemKind::OldDenture) {
                    let named = self.context.named(tag);
                    self.refuse(
                        Rule::Form,
                        Some(tag),
                        format!(
                            "{named} is no old denture: only that is kept back from the patient."
                        ),
                    );
                }
            }
            What::UsedUp {
                tag,
                into,
                into_item,
            } => {
                self.form_into_item(tag, into_item.as_ref());
                if self.kind(tag).is_some_and(ItemKind::is_denture) {
                    let named = self.context.named(tag);
                    self.refuse(
                        Rule::Form,
                        Some(tag),
                        format!("{named} is a denture, and no denture is used up: it is destroyed, with its reason."),
                    );
                }
                if into.trim().is_empty() {
                    self.refuse(
                        Rule::Form,
                        Some(tag),
                        "Say what became of it, such as the cast it was poured into.",
                    );
                }
            }
            What::Destroyed { tag, how, consent } => self.form_destroyed(tag, how, *consent),
            What::WrittenOff { tag, how, .. } => self.form_written_off(tag, how),
            What::Closed { items, .. } => self.form_closed(items),
            What::Reopened { reason } => self.form_reopened(reason),
            What::Corrected { .. } => {}
            What::Erased { texts, .. } => self.form_erased(texts),
        }
    }

    /// Only what the receiver did not find is given up; until then it may still be on its way.
    fn form_written_off(&mut self, tag: &Tag, how: &str) {
        if !self.state(tag).is_some_and(|state| state.missing) {
            let named = self.context.named(tag);
            self.refuse(
                Rule::Form,
                Some(tag),
                format!("{named} is not reported as missing from its box: the receiver says first what was found."),
            );
        }
        if how.trim().is_empty() {
            self.refuse(
                Rule::Form,
                Some(tag),
                "Say what was done to find it, and why it is given up.",
            );
        }
    }

    fn form_registered(&mut self, tag: &Tag, place: Side, worn: bool) {
        if self.state(tag).is_some() {
            self.refuse(Rule::F, Some(tag), format!("{tag} is registered already."));
        }
        let comes_from_the_office = matches!(
            self.kind(tag),
            Some(ItemKind::Provisional | ItemKind::OldDenture)
        );
        if self.side == Side::Lab && comes_from_the_office {
            self.refuse(
                Rule::C,
                Some(tag),
                "A provisional or an old denture comes from the office, with a handoff: ask the office to register it.",
            );
        }
        if place != self.side {
            self.refuse(
                Rule::Right,
                Some(tag),
                "One registers what is in one's own hands.",
            );
        }
        if !worn {
            return;
        }
        if place != Side::Office || !self.kind(tag).is_some_and(ItemKind::is_denture) {
            self.refuse(
                Rule::Form,
                Some(tag),
                "Only a denture can be in the patient's mouth.",
            );
        }
        if let Some(arch) = self.arch(tag)
            && let Some(other) = self.worn_in(arch)
        {
            let named = self.context.named(&other);
            self.refuse(
                Rule::A,
                Some(tag),
                format!(
                    "The patient already wears {named} in the {} arch: record the change instead.",
                    arch.shown()
                ),
            );
        }
    }

    fn form_fitted(&mut self, tag: &Tag, instead_of: Option<&Tag>) {
        let named = self.context.named(tag);
        if !self.kind(tag).is_some_and(ItemKind::is_denture) {
            self.refuse(
                Rule::Form,
                Some(tag),
                format!("{named} is nothing that a patient wears."),
            );
        }
        if self.state(tag).is_some_and(|state| state.worn) {
            self.refuse(
                Rule::Form,
                Some(tag),
                format!("{named} is in the mouth already."),
            );
        }
        let worn = self.arch(tag).and_then(|arch| self.worn_in(arch));
        if worn.as_ref() != instead_of {
            let sentence = match &worn {
                Some(out) => format!(
                    "The patient wears {} now: say that it comes out.",
                    self.context.named(out)
                ),
                None => "Nothing is worn in that arch now, so nothing comes out.".to_owned(),
            };
            self.refuse(Rule::A, Some(tag), sentence);
        }
    }

    /// Two handoffs of one number could not be told apart when one of them is received.
    fn form_handoff_is_new(&mut self) {
        let What::Released { handoff, .. } = self.what else {
            return;
        };
        if self.handoffs.iter().any(|one| one.id == *handoff) {
            self.refuse(
                Rule::Form,
                None,
                "This handoff is recorded already: look at it before you make another one.",
            );
        }
    }

    fn no_item_twice(&mut self) {
        let tags = self.tags();
        for (place, tag) in tags.iter().enumerate() {
            if tags.iter().take(place).any(|earlier| earlier == tag) {
                self.refuse(Rule::A, Some(tag), format!("{tag} is named twice."));
            }
        }
    }

    /// f: nothing happens to an item after it is used up, destroyed or written off.
    fn rule_f_nothing_after_the_end(&mut self) {
        for tag in self.tags() {
            if self.state(&tag).is_some_and(|state| state.gone.is_some()) {
                let named = self.context.named(&tag);
                self.refuse(
                    Rule::F,
                    Some(&tag),
                    format!("{named} is used up, destroyed or written off: nothing can happen to it any more."),
                );
            }
        }
    }

    /// i: events of one item are in time order.
    fn rule_i_time_order(&mut self) {
        for tag in self.tags() {
            let Some(last) = self.state(&tag).map(|state| state.last_at) else {
                continue;
            };
            if self.at.unix_ms < last.unix_ms {
                let named = self.context.named(&tag);
                self.refuse(
                    Rule::I,
                    Some(&tag),
                    format!("The last entry about {named} is of {last}, and this one would be earlier: check the day and the time, or the clock of this computer."),
                );
            }
        }
        self.case_entries_in_order();
        for tag in self.rests_on_the_mouth() {
            let Some(last) = self.arch(&tag).and_then(|arch| self.mouth_changed(arch)) else {
                continue;
            };
            let is_said = self
                .refusals
                .iter()
                .any(|one| one.rule == Rule::I && one.tag.as_ref() == Some(&tag));
            if self.at.unix_ms < last.unix_ms && !is_said {
                self.refuse(
                    Rule::I,
                    Some(&tag),
                    format!("What the patient wears changed on {last}, and this entry would be earlier: check the day and the time, or the clock of this computer."),
                );
            }
        }
    }

    /// The things whose entry is judged by what their arch wears now, which must have been so at its time.
    fn rests_on_the_mouth(&self) -> Vec<Tag> {
        match self.what {
            What::Registered {
                tag, worn: true, ..
            }
            | What::Fitted { tag, .. }
            | What::Given { tag, .. } => vec![tag.clone()],
            What::Released {
                items,
                from: Side::Office,
                ..
            } => {
                let tags = items.iter().map(|sent| sent.tag.clone());
                tags.filter(|tag| self.kind(tag) == Some(ItemKind::Provisional))
                    .collect()
            }
            _ => Vec::new(),
        }
    }

    /// When something last went into or came out of this arch.
    fn mouth_changed(&self, arch: Arch) -> Option<Moment> {
        let line = mouth::fold(self.context.items, self.context.events);
        line.iter()
            .filter(|worn| worn.arch == arch)
            .map(|worn| worn.to.unwrap_or(worn.from))
            .max()
    }

    /// j: a correction appends, and names an event that is there.
    fn rule_j_corrections_name_an_event(&mut self) {
        if let What::Corrected { event, note } = self.what {
            if !self.context.events.iter().any(|one| one.id == *event) {
                self.refuse(Rule::J, None, "There is no such entry to correct.");
            }
            if note.trim().is_empty() {
                self.refuse(
                    Rule::J,
                    None,
                    "Say what is wrong with the entry and what is right.",
                );
            }
        }
    }

    /// a: each item has exactly one holder, and only the holder acts on it.
    fn rule_a_only_the_holder_acts(&mut self) {
        let wanted = match self.what {
            What::Registered { .. } | What::Corrected { .. } | What::Erased { .. } => return,
            What::Received { .. } => Holder::Carrier { to: self.side },
            What::TakenOut { .. } | What::BroughtBack { .. } => Holder::Patient,
            // Whoever handed it over gives it up; the receiver only says that it is missing.
            What::WrittenOff { .. } | What::Voided { .. } => Holder::Carrier {
                to: self.side.other(),
            },
            _ => Holder::of(self.side),
        };
        for tag in self.acted_on() {
            let Some(state) = self.state(&tag) else {
                continue;
            };
            if state.holder != wanted {
                let sentence = format!(
                    "{} is {}, so this cannot be done with it here.",
                    self.context.named(&tag),
                    place_words(state.holder)
                );
                self.refuse(Rule::A, Some(&tag), sentence);
            }
        }
        if let What::BroughtBack { tag } = self.what
            && self.state(tag).is_some_and(|state| state.worn)
        {
            self.refuse(
                Rule::A,
                Some(tag),
                "It is in the mouth: record what is fitted instead of it.",
            );
        }
    }

    /// The tags whose holder must be the actor's side: what comes out of the mouth is with the patient.
    fn acted_on(&self) -> Vec<Tag> {
        match self.what {
            What::Fitted { tag, .. } => vec![tag.clone()],
            _ => self.tags(),
        }
    }

    /// b: a wearable set in each treated arch at every moment, or an exception signed by the dentist.
    fn rule_b_never_toothless(&mut self) {
        let What::TakenOut { tag, exception } = self.what else {
            return;
        };
        let Some(arch) = self.arch(tag).filter(|arch| self.context.is_treated(*arch)) else {
            return;
        };
        match exception {
            None => self.refuse(
                Rule::B,
                Some(tag),
                format!(
                    "The patient would have no teeth in the {} arch. Fit something in the same step, or let the dentist \
                     sign an exception with its reason.",
                    arch.shown()
                ),
            ),
            Some(exception) => self.exception_is_signed(Rule::B, tag, &exception.reason),
        }
    }

    fn exception_is_signed(&mut self, rule: Rule, tag: &Tag, reason: &str) {
        if self.by.role != Role::Dentist {
            self.refuse(rule, Some(tag), "Only the dentist signs an exception.");
        }
        if reason.trim().is_empty() {
            self.refuse(rule, Some(tag), "An exception needs its reason in words.");
        }
    }

    /// What is said of the purpose has to be one of that side's. An entry from before there was a list names
    /// none; that there is one now is asked where it is typed.
    fn form_purpose(&mut self, from: Side, code: Option<Purpose>, remark: &str) {
        let Some(code) = code else { return };
        if !Purpose::of(from).contains(&code) {
            self.refuse(
                Rule::Form,
                None,
                format!(
                    "“{}” is nothing that the {} hands things over for.",
                    code.shown(),
                    from.word()
                ),
            );
        }
        if code.needs_words() && remark.trim().is_empty() {
            self.refuse(
                Rule::Form,
                None,
                "Say in words what it goes there for: the list says only that it is something else.",
            );
        }
    }

    /// c: the provisional leaves the office only while a duplicate of its arch is in the mouth, or by exception.
    fn rule_c_provisional_leaves_for_a_duplicate(&mut self) {
        let What::Released {
            items, exception, ..
        } = self.what
        else {
            return;
        };
        if self.side != Side::Office {
            return;
        }
        for sent in items {
            if self.kind(&sent.tag) != Some(ItemKind::Provisional) {
                continue;
            }
            let worn = self.arch(&sent.tag).and_then(|arch| self.worn_in(arch));
            let is_covered = worn
                .and_then(|tag| self.kind(&tag))
                .is_some_and(|kind| matches!(kind, ItemKind::Duplicate | ItemKind::FinalDenture));
            match exception {
                _ if is_covered => {}
                Some(exception) => self.exception_is_signed(Rule::C, &sent.tag, &exception.reason),
                None => {
                    let named = self.context.named(&sent.tag);
                    self.refuse(
                        Rule::C,
                        Some(&sent.tag),
                        format!(
                            "{named} may leave only when a duplicate of the same arch is recorded as fitted, so that the patient \
                             has teeth. Record the duplicate under “What the patient wears”, or let the dentist sign an exception."
                        ),
                    );
                }
            }
        }
    }

    /// d: the old denture never goes back to the patient.
    fn rule_d_old_denture_stays_away(&mut self) {
        if let What::Registered {
            tag, worn: true, ..
        } = self.what
        {
            return self.old_denture_was_worn_first(tag);
        }
        let (What::Fitted { tag, .. } | What::Given { tag, .. }) = self.what else {
            return;
        };
        if self.kind(tag) == Some(ItemKind::OldDenture) {
            let named = self.context.named(tag);
            self.refuse(
                Rule::D,
                Some(tag),
                format!(
                    "{named} does not go back to the patient: worn again, it would press the healed tissue down. Keep it with the \
                     patient's consent, or destroy it; it is the patient's property, and local law says what consent is needed."
                ),
            );
        }
    }

    /// An old denture is found in the mouth at the beginning; registering it as worn after anything else
    /// was would be the way back that rule d closes.
    fn old_denture_was_worn_first(&mut self, tag: &Tag) {
        let line = mouth::fold(self.context.items, self.context.events);
        let was_worn = |arch| line.iter().any(|worn| worn.arch == arch);
        if self.kind(tag) == Some(ItemKind::OldDenture) && self.arch(tag).is_some_and(was_worn) {
            let named = self.context.named(tag);
            self.refuse(
                Rule::D,
                Some(tag),
                format!(
                    "{named} cannot be registered as worn: something else has been worn in that arch since, and the old \
                     denture does not go back. Register it as here, in your hands."
                ),
            );
        }
    }

    /// e: a duplicate becomes the spare only after the final of its arch is fitted.
    fn rule_e_spare_after_the_final(&mut self) {
        let What::Given { tag, .. } = self.what else {
            return;
        };
        let named = self.context.named(tag);
        match self.kind(tag) {
            Some(ItemKind::Duplicate) => {
                let worn = self
                    .arch(tag)
                    .and_then(|arch| self.worn_in(arch))
                    .and_then(|worn| self.kind(&worn));
                if worn != Some(ItemKind::FinalDenture) {
                    self.refuse(
                        Rule::E,
                        Some(tag),
                        format!("{named} becomes the spare only when the final denture of its arch is in the mouth."),
                    );
                }
            }
            Some(ItemKind::OldDenture) => {}
            _ => self.refuse(
                Rule::E,
                Some(tag),
                format!("{named} is no spare: only a duplicate is given along."),
            ),
        }
    }

    /// h: disinfected since it last changed hands or left the mouth, before it changes hands; what came
    /// without a mark of it is held until the receiver's own entry.
    fn rule_h_disinfection(&mut self) {
        for tag in self.acted_on() {
            let Some(state) = self.state(&tag).cloned() else {
                continue;
            };
            let named = self.context.named(&tag);
            let needs = self.kind(&tag).is_some_and(ItemKind::needs_disinfection);
            let is_release = matches!(self.what, What::Released { .. });
            if needs && is_release && !state.disinfected {
                self.refuse(
                    Rule::H,
                    Some(&tag),
                    format!("{named} has no disinfection entry since it came here: record agent, dilution and minutes first."),
                );
            }
            let may_wait = matches!(
                self.what,
                What::Disinfected { .. }
                    | What::Destroyed { .. }
                    | What::WrittenOff { .. }
                    | What::Moved { .. }
                    | What::Received { .. }
            );
            if needs && state.held_for_disinfection && !may_wait && !is_release {
                self.refuse(
                    Rule::H,
                    Some(&tag),
                    format!("{named} came without a mark of disinfection and is held: disinfect it and record that first."),
                );
            }
        }
    }

    /// l: release and receipt are by different people.
    fn rule_l_two_people(&mut self) {
        let Some(releaser) = self
            .handoff()
            .map(|handoff| handoff.released_by.account.clone())
        else {
            return;
        };
        if releaser == self.by.account {
            self.refuse(
                Rule::L,
                None,
                "You handed this over yourself: somebody else has to receive it.",
            );
        }
    }
}

/// Where a thing is, to be read inside a sentence.
pub(super) fn place_words(holder: Holder) -> &'static str {
    match holder {
        Holder::Office => "at the office",
        Holder::Lab => "at the lab",
        Holder::Carrier { to: Side::Office } => "on the way to the office",
        Holder::Carrier { to: Side::Lab } => "on the way to the lab",
        Holder::Patient => "with the patient",
    }
}
