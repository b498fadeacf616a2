//! The rules of custody that hold for events of every kind; what a kind asks for itself stands in its file.
//! All are common practice, no source, where no other is named.

use super::case_state::CaseState;
use super::common_refusals::THE_CASE_IS_CLOSED;
use super::describe::describe;
use super::emptied::HadDenture;
use super::erasing::called;
use super::event::Event;
use super::events::{EventKind, What, WhenClosed};
use super::item::{Item, ItemKind, StaysAtLab};
use super::proposal::{ClockWord, CustodyRule, Earlier, Journal, ProposedEvent, Refusal, Scope};
use super::standstill::{Halt, Standstill};
use super::state::Holder;
use crate::domain::people::party::{Actor, Side};
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, EventId, PartyId, Tag};
use crate::domain::values::moment::Moment;

/// What is known when an event is proposed.
#[derive(Debug, Clone, Copy)]
pub struct Context<'a> {
    pub case: &'a CaseNumber,
    /// Party ids.
    pub office: &'a PartyId,
    pub lab: &'a PartyId,
    pub arches: Arches,
    pub items: &'a [Item],
    pub events: &'a [Event],
    pub clock: &'a [ClockWord],
    /// What does not come back, by the revision in force.
    pub stays: StaysAtLab,
    /// Whether the work is made from files alone, by the revision in force.
    pub by_files: bool,
    /// What the patient wears or has at home by other cases: no rule hangs on it.
    pub elsewhere: &'a [HadDenture],
}

impl<'a> Context<'a> {
    /// The case without its events.
    pub fn scope(&self) -> Scope<'a> {
        Scope {
            case: self.case,
            office: self.office,
            lab: self.lab,
            arches: self.arches,
            items: self.items,
            clock: self.clock,
            stays: self.stays,
            by_files: self.by_files,
        }
    }
}

/// The events by their ids.
struct Entries<'a>(Context<'a>);

impl Entries<'_> {
    fn find(&self, id: &EventId) -> Option<&Event> {
        self.0.events.iter().find(|event| event.id == *id)
    }

    /// The entries that stand, without those that withdraw others.
    fn standing(&self) -> Vec<&Event> {
        let events = self.0.events.iter();
        let withdrawn: Vec<&EventId> = events.filter_map(|event| event.what.withdraws()).collect();
        let events = self.0.events.iter();
        let stands =
            |event: &&Event| event.what.withdraws().is_none() && !withdrawn.contains(&&event.id);
        events.filter(stands).collect()
    }

    /// The entries that stand before this one.
    fn before(&self, id: &EventId) -> CaseState {
        let standing = self.standing().into_iter();
        CaseState::of(standing.take_while(|event| event.id != *id))
    }

    /// Whether the lab has made something there: out of what it had, whether the entry names that or not.
    fn is_made_at_the_lab(&self, event: &Event) -> bool {
        let What::Registered(one) = &event.what else {
            return false;
        };
        let kind = self.0.scope().item(&one.tag).map(|item| item.kind);
        let is_of_work = |kind: ItemKind| kind.is_made_for_the_mouth() || kind == ItemKind::Cast;
        one.place == Side::Lab && (one.made.is_some() || kind.is_some_and(is_of_work))
    }

    fn refusals(&self, case: &CaseState, event: &Event, by: &Actor) -> Vec<Refusal> {
        refusals(&self.0, case, &event.what, by, (event.at, event.entered_at))
    }
}

impl Journal for Entries<'_> {
    fn is_about(&self, id: &EventId, tag: &Tag, case: &CaseState) -> bool {
        self.find(id).is_some_and(|event| {
            event.what.concerns(tag) || event.what.kind().shows_on(case).contains(tag)
        })
    }

    fn against_making(&self, id: &EventId, by: &Actor) -> Vec<String> {
        let Some(event) = self.find(id) else {
            return Vec::new();
        };
        let case = self.before(id);
        let own = self.refusals(&case, event, &event.by);
        let mut against = self.refusals(&case, event, by);
        against.retain(|one| !own.contains(one));
        against.into_iter().map(|one| one.sentence).collect()
    }

    fn rests_on(&self, id: &EventId) -> Vec<String> {
        let mut case = self.before(id);
        let standing = self.standing();
        let after = standing.iter().skip_while(|event| event.id != *id).skip(1);
        let withdrawn = self.find(id).map(|event| &event.what);
        let is_receipt_of_lab =
            matches!(withdrawn, Some(What::Received(one)) if one.place == Side::Lab);
        let mut words = Vec::new();
        for event in after {
            let is_made_of_it = is_receipt_of_lab && self.is_made_at_the_lab(event);
            let is_fitted_clean = is_fitted_clean(withdrawn, &case, event);
            // That the case was closed meanwhile holds nothing up: it is open again.
            if is_made_of_it
                || is_fitted_clean
                || !matches!(event.what, What::Closed(_) | What::Reopened(_))
                    && !self.refusals(&case, event, &event.by).is_empty()
            {
                let description = describe(self.0.items, event);
                words.push(format!("{} ({})", description.what, description.when));
            } else {
                case.add(event, []);
            }
        }
        words
    }

    fn earlier(&self, id: &EventId) -> Option<Earlier> {
        self.find(id).map(|event| Earlier {
            at: event.at,
            party: event.by.party.clone(),
            party_name: event.by.party_name.clone(),
            word: event.what.word(),
        })
    }

    fn erasable(&self, id: &EventId, place: &str) -> Option<&'static str> {
        called(self.find(id)?, place)
    }
}

/// Whether something went into the mouth on the word that is withdrawn: that it was disinfected.
fn is_fitted_clean(withdrawn: Option<&What>, case: &CaseState, event: &Event) -> bool {
    let (Some(What::Disinfected(one)), What::Fitted(fitted)) = (withdrawn, &event.what) else {
        return false;
    };
    let is_unclean = case.item(&fitted.tag).is_some_and(|one| one.uncleaned);
    one.tag == fitted.tag && !fitted.uncleaned && is_unclean
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
    let case = CaseState::of(context.events);
    allow_entered_in(context, &case, what, by, (at, entered_at))
}

/// The same for a case that is folded already; `case` is what `context.events` say.
pub fn allow_entered_in(
    context: &Context<'_>,
    case: &CaseState,
    what: &What,
    by: &Actor,
    (at, entered_at): (Moment, Moment),
) -> Vec<Refusal> {
    let mut refusals = refusals(context, case, what, by, (at, entered_at));
    let mut against = |sentence: String| {
        refusals.push(Refusal {
            rule: CustodyRule::I,
            tag: None,
            sentence,
        });
    };
    if at.unix_ms > entered_at.unix_ms {
        against(format!(
            "{} has not come yet: an entry tells what has happened.",
            at.in_words()
        ));
    } else if entered_at.unix_ms.saturating_sub(at.unix_ms) > LATE_MOST_MS {
        against(format!(
            "{} is more than a year before this entry: check the year.",
            at.in_words()
        ));
    }
    refusals
}

/// Everything that stands against `what`; empty when it may happen.
pub fn allow(context: &Context<'_>, what: &What, by: &Actor, at: Moment) -> Vec<Refusal> {
    allow_in(context, &CaseState::of(context.events), what, by, at)
}

/// The same for a case that is folded already; `case` is what `context.events` say.
pub fn allow_in(
    context: &Context<'_>,
    case: &CaseState,
    what: &What,
    by: &Actor,
    at: Moment,
) -> Vec<Refusal> {
    refusals(context, case, what, by, (at, at))
}

fn refusals(
    context: &Context<'_>,
    case: &CaseState,
    what: &What,
    by: &Actor,
    (at, entered_at): (Moment, Moment),
) -> Vec<Refusal> {
    let kind = what.kind();
    let Some(side) = context.scope().side(by).or(second_lab(kind, case, by)) else {
        return vec![Refusal {
            rule: CustodyRule::Right,
            tag: None,
            sentence: "Only people of this case's office and lab act on its items.".to_owned(),
        }];
    };
    let entries = Entries(*context);
    let mut proposal =
        ProposedEvent::new(context.scope(), case, &entries, (by, at, side), entered_at);
    closed_stays_closed(kind, &mut proposal);
    items_of_this_case(kind, &mut proposal);
    if proposal.refusals.is_empty() {
        kind.check(&mut proposal);
        nothing_after_the_end(kind, &mut proposal);
        in_order_of_time(kind, &mut proposal);
        only_the_holder_acts(kind, &mut proposal);
        packed_waits_for_the_carrier(kind, &mut proposal);
        disinfected_first(kind, &mut proposal);
        work_waits(kind, &mut proposal);
        by_two_people(kind, &mut proposal);
        holds_are_waited_for(kind, &mut proposal);
    }
    proposal.refusals
}

/// The side of whoever belongs to the laboratory that work is passed on to: what it may say of that work, it says for
/// the lab.
fn second_lab(kind: &dyn EventKind, case: &CaseState, by: &Actor) -> Option<Side> {
    let pass = case.pass(&kind.is_of_second_lab(case)?)?;
    (pass.is_open() && pass.is_for(by)).then_some(Side::Lab)
}

/// Nothing happens in a closed case but a correction of its entries, or a text erased, until it is opened again.
fn closed_stays_closed(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    let sentence = match (kind.when_closed(), proposal.case.closed) {
        (WhenClosed::Refused, true) => THE_CASE_IS_CLOSED,
        (WhenClosed::Needed, false) => "The case is open already.",
        _ => return,
    };
    proposal.refuse(CustodyRule::Closed, None, sentence);
}

/// k: an item of one case is not received, released or otherwise touched in another.
fn items_of_this_case(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    for tag in kind.tags() {
        let sentence = if !proposal.is_own(tag) {
            format!(
                "{tag} is no item of case {}. Put it aside and look its tag up.",
                proposal.scope.case
            )
        } else if proposal.state(tag).is_none() && !kind.begins_items() {
            format!("{tag} is not registered yet.")
        } else {
            continue;
        };
        proposal.refuse(CustodyRule::K, Some(tag), sentence);
    }
}

/// f: nothing happens to an item after it is used up, destroyed or written off.
fn nothing_after_the_end(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    for tag in kind.tags() {
        if proposal.state(tag).is_some_and(|state| !state.is_there()) {
            let sentence = format!(
                "{} is used up, destroyed, written off or was registered by mistake: nothing can happen to it any more.",
                proposal.named(tag)
            );
            proposal.refuse(CustodyRule::F, Some(tag), sentence);
        }
    }
}

/// i: events of one item are in time order, and so is what rests on the mouth.
fn in_order_of_time(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    for tag in kind.tags() {
        let last = proposal.state(tag).map(|state| state.last_at);
        if let Some(last) = later(proposal, last) {
            let named = proposal.named(tag);
            let sentence = format!(
                "The last entry about {named} is of {}, and this one would be earlier: {}",
                last.in_words(),
                what_to_check(proposal, last)
            );
            proposal.refuse(CustodyRule::I, Some(tag), sentence);
        }
    }
    let last = proposal.case.last_at.filter(|_| kind.is_last_of_all());
    if let Some(last) = later(proposal, last) {
        let sentence = format!(
            "The last entry of this case is of {}, and this one would be earlier: {}",
            last.in_words(),
            what_to_check(proposal, last)
        );
        proposal.refuse(CustodyRule::I, None, sentence);
    }
    for tag in kind.rests_on_the_mouth(proposal) {
        let arch = proposal.arch(&tag);
        let changed = arch.and_then(|arch| proposal.mouth_changed(arch));
        let mut said = proposal.refusals.iter();
        let is_said = said.any(|one| one.rule == CustodyRule::I && one.tag.as_ref() == Some(&tag));
        if let Some(last) = later(proposal, changed).filter(|_| !is_said) {
            let sentence = format!(
                "What the patient wears changed on {}, and this entry would be earlier: {}",
                last.in_words(),
                what_to_check(proposal, last)
            );
            proposal.refuse(CustodyRule::I, Some(&tag), sentence);
        }
    }
}

/// A moment that lies after the proposed event.
fn later(proposal: &ProposedEvent<'_>, moment: Option<Moment>) -> Option<Moment> {
    moment.filter(|moment| proposal.comes_before(*moment))
}

/// What is to be done where the last entry is later than this one.
fn what_to_check(proposal: &ProposedEvent<'_>, last: Moment) -> &'static str {
    /// Less than this is waited for, or is a matter of the clock of now.
    const WAITED_FOR_MS: i64 = 60 * 60_000;
    if last.unix_ms.saturating_sub(proposal.entered_at.unix_ms) > WAITED_FOR_MS {
        "that moment has not come yet. Either the clock of this computer is wrong now, or it was then; if it was then, an \
         administrator lets the work go on with “vestibule clock”."
    } else {
        "check the day and the time, or the clock of this computer."
    }
}

/// a: each item has exactly one holder, and only the holder acts on it.
fn only_the_holder_acts(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    let Some(wanted) = kind.wanted_holder(proposal.side) else {
        return;
    };
    for tag in kind.acted_on() {
        let Some(state) = proposal.state(tag) else {
            continue;
        };
        // A parcel may have gone with a carrier whom nobody wrote down.
        let is_about_to_leave = state.packed && kind.may_touch_packed();
        let holder = match state.holder {
            Holder::Office if is_about_to_leave => Holder::Carrier { to: Side::Lab },
            Holder::Lab if is_about_to_leave => Holder::Carrier { to: Side::Office },
            // What did not come at the second lab, or back from there, is lost as on any other way.
            Holder::Passed(_) if state.missing => Holder::Carrier { to: Side::Office },
            holder => holder,
        };
        if holder != wanted {
            proposal.refuse_elsewhere(CustodyRule::A, tag, &state.holder.place());
        }
    }
}

/// What lies in a parcel that waits for the carrier is in that parcel only: nothing is done with it, and it goes
/// into no other, before the parcel is taken back.
fn packed_waits_for_the_carrier(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    if kind.may_touch_packed() {
        return;
    }
    let wanted = kind.wanted_holder(proposal.side);
    for tag in kind.acted_on() {
        // Whoever does not have it is told that already.
        let is_packed = proposal.state(tag).is_some_and(|state| {
            state.packed && wanted.is_none_or(|wanted| wanted == state.holder)
        });
        if is_packed {
            let sentence = format!(
                "{} is packed in a parcel that waits for the carrier: take the parcel back first.",
                proposal.named(tag)
            );
            proposal.refuse(CustodyRule::Packed, Some(tag), sentence);
        }
    }
}

/// h: disinfected since it last changed hands or left the mouth, before it changes hands; what came
/// without a mark of it is held until the receiver's own entry.
fn disinfected_first(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    let needs = |proposal: &ProposedEvent<'_>, tag: &Tag| {
        let item = proposal.kind(tag);
        item.is_some_and(ItemKind::needs_disinfection)
    };
    for tag in kind.acted_on() {
        let Some(state) = proposal.state(tag).filter(|_| needs(proposal, tag)) else {
            continue;
        };
        let named = proposal.named(tag);
        let sentence = if kind.needs_clean_items() && !state.disinfected {
            format!(
                "{named} has no disinfection entry since it came here: record agent, dilution and minutes first."
            )
        } else if state.held_for_disinfection && !kind.may_precede_disinfection() {
            format!(
                "{named} came without a mark of disinfection and is held: disinfect it and record that first."
            )
        } else {
            continue;
        };
        proposal.refuse(CustodyRule::H, Some(tag), sentence);
    }
}

/// Why a thing that is work waits.
fn stands_against_work(halt: &Standstill) -> String {
    let rest = match halt.halt {
        Halt::Cancelled => "items are sent back, and nothing more is made",
        _ => {
            "until the office lets it go on, nothing more is made and nothing goes out as finished. What is the office’s or the patient’s can be sent back as “returned, no longer needed”"
        }
    };
    format!(
        "The work is {} since {}: {rest}.",
        halt.halt.shown(),
        halt.since.in_words()
    )
}

/// Nothing is made or delivered while the work stands still, or waits for an answer.
fn work_waits(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    if !kind.is_work(proposal) {
        return;
    }
    let was_done_by =
        |since: Moment| kind.may_be_entered_later() && proposal.at.unix_ms < since.unix_ms;
    let halt = proposal.case.standstill.as_ref();
    let halt = halt.filter(|halt| !was_done_by(halt.began));
    let question = proposal.case.waits_for_answer();
    let question = question.filter(|question| !was_done_by(question.at));
    if let Some(sentence) = halt.map(stands_against_work) {
        proposal.refuse(CustodyRule::Stopped, None, sentence);
    }
    if let Some(question) = question {
        let sentence = match &question.promised {
            None => format!(
                "The work waits for the answer to a question of {}. When it is answered, or taken back, the work goes on.",
                question.at.in_words()
            ),
            Some(reply) => format!(
                "The work waits for a revision. {} answered on {}: “{}” It goes on when that revision is signed, or the \
                 office says that none is needed.",
                reply.by,
                reply.at.in_words(),
                reply.text
            ),
        };
        proposal.refuse(CustodyRule::Question, None, sentence);
    }
}

/// l: release and receipt are by different people.
fn by_two_people(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    if kind.other_than(proposal) == Some(&proposal.by.account) {
        let sentence = "You handed this over yourself: somebody else has to receive it.";
        proposal.refuse(CustodyRule::L, None, sentence);
    }
}

/// What was found wrong is not used, fitted, given away or destroyed before it is resolved. It can be
/// cleaned, moved, handed over and received.
fn holds_are_waited_for(kind: &dyn EventKind, proposal: &mut ProposedEvent<'_>) {
    let waiting = kind.waits_for_holds();
    for hold in proposal.case.open_holds() {
        for tag in waiting.iter().filter(|tag| hold.waiting.contains(tag)) {
            proposal.refuse_held(tag, hold);
        }
    }
}
