//! How far each piece of the ordered work has come: whether what its stage delivers was delivered to the revision in
//! force, where that is now, and where the work lies that is still to be made.

use super::agenda::OrderedWork;
use super::case_state::CaseState;
use super::fit_due::found_wanting;
use super::handoff::{Handoff, HandoffState};
use super::item::{Item, ItemKind};
use super::lineage::is_delivered_as;
use super::ordered::{EarlierOrder, Lacking, NotCome, Ordered, lacking};
use super::parcel::Outcome;
use super::purpose::Purpose;
use super::state::{Condition, Gone, Holder, State};
use super::worn::{Turn, worn_in};
use crate::domain::people::party::Side;
use crate::domain::prescription::{OrderKind, Stage};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

/// Where one piece of the work is, as what follows from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WorkAt {
    /// Nothing of it is with the lab.
    ToSend,
    /// With the carrier, to the lab.
    ToLab,
    /// At the lab, to be made.
    AtLab,
    /// Made and packed at the lab.
    Packed,
    /// With the carrier, to the office.
    Coming,
    /// Not found in its parcel, by the side that had packed it.
    Astray(Side),
    /// Here, but damaged, not as described, or made before the revision in force was signed.
    ToWeigh,
    /// Here, and never in the mouth since.
    ToFit,
    /// A spare that is here, while the final is worn.
    ToGive,
    /// Here to be tried in, or to be used for the next stage.
    ToTry,
    /// In the mouth.
    Worn,
    /// In the mouth, and made before the revision in force was signed: nobody has said whether it will do.
    WornOlder,
    /// With the patient, out of the mouth: a spare.
    Kept,
    /// A spare that was with the patient, and is lost.
    SpareLost,
    /// Delivered, with this side now, and nobody has said what is to be done to it further.
    Unsaid(Side),
}

/// One piece of the work, and how far it has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WorkPiece {
    pub arch: Arch,
    /// None where nothing that is signed says it.
    pub stage: Option<Stage>,
    pub at: WorkAt,
    /// It was in the mouth, or came to be tried in or used: nothing of it is late any more.
    pub is_done: bool,
    /// Something made for an earlier revision left the lab unheld, or came, after the one in force was signed.
    pub is_older: bool,
    /// It is on its way to the lab, and nobody has said what is to be done to it further.
    pub is_unsaid: bool,
    /// It is here, and the office has found it not as asked.
    pub is_wanting: bool,
}

impl WorkPiece {
    /// Whether it comes back to be tried in, or for the next stage, and not to be worn.
    pub fn is_on_the_way_to_a_final(&self) -> bool {
        self.stage.is_some_and(is_between)
    }
}

/// Whether what the lab makes so far is tried in or used at the chair, and something is made next.
pub fn is_between(stage: Stage) -> bool {
    is_for_a_trial(stage) || matches!(stage, Stage::Tray | Stage::Mount)
}

/// Whether work is done to a denture that is there already.
fn is_done_to_a_denture(stage: Stage) -> bool {
    matches!(
        stage,
        Stage::Reline | Stage::Rebase | Stage::Repair | Stage::Remount
    )
}

/// Whether what the lab makes so far comes back to be tried in, or to take a record with.
fn is_for_a_trial(stage: Stage) -> bool {
    matches!(
        stage,
        Stage::Rims | Stage::SetUp | Stage::TryIn | Stage::Reset
    )
}

/// Every piece of the revision in force for these arches; one of an unknown stage for each arch where it says none.
pub fn pieces(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    arches: &[Arch],
) -> Vec<WorkPiece> {
    let context = PieceContext {
        ordered,
        items,
        case,
    };
    let of_arch = |&arch: &Arch| {
        let stages = context.stages(arch).into_iter();
        stages.map(move |stage| (arch, Some(stage)))
    };
    let mut rows: Vec<(Arch, Option<Stage>)> = arches.iter().flat_map(of_arch).collect();
    if rows.is_empty() {
        rows = arches.iter().map(|&arch| (arch, None)).collect();
    }
    let rows = rows.into_iter();
    rows.map(|(arch, stage)| context.piece(arch, stage))
        .collect()
}

/// The arches whose spare the lab has still to make, where all else that was ordered has left it, or is packed there.
pub fn spares_left(pieces: &[WorkPiece]) -> Vec<Arch> {
    let is_spare = |piece: &&WorkPiece| piece.stage == Some(Stage::Duplicate);
    let mut others = pieces.iter().filter(|piece| !is_spare(piece)).peekable();
    let is_made = |piece: &WorkPiece| {
        use WorkAt::{
            Coming, Kept, Packed, SpareLost, ToFit, ToGive, ToTry, ToWeigh, Worn, WornOlder,
        };
        let is_handed_over = matches!(piece.at, Packed | Coming | ToWeigh | ToFit | ToGive | ToTry);
        is_handed_over || matches!(piece.at, Worn | WornOlder | Kept | SpareLost)
    };
    if others.peek().is_none() || !others.all(is_made) {
        return Vec::new();
    }
    let left = pieces.iter().filter(is_spare);
    let left = left.filter(|piece| piece.at == WorkAt::AtLab);
    left.map(|piece| piece.arch).collect()
}

/// The same of what is ordered.
pub fn spares_at_the_lab(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    arches: &[Arch],
) -> Vec<Arch> {
    spares_left(&pieces(ordered, items, case, arches))
}

/// Whether all that is ordered for an arch has been in the mouth, or has come to be tried in or used; not where nothing
/// is ordered for it.
pub fn was_delivered(ordered: &Ordered, items: &[Item], case: &CaseState, arch: Arch) -> bool {
    let context = PieceContext {
        ordered,
        items,
        case,
    };
    let is_ordered = ordered.work.is_empty() || !context.stages(arch).is_empty();
    let mut all = pieces(ordered, items, case, &[arch]).into_iter();
    is_ordered && all.all(|piece| piece.is_done)
}

/// Whether something is ordered and all of it has been in the mouth, or has come to be tried in or used.
pub fn has_come(ordered: &Ordered, items: &[Item], case: &CaseState, arches: &[Arch]) -> bool {
    let mut all = pieces(ordered, items, case, arches).into_iter();
    !ordered.work.is_empty() && all.all(|piece| piece.is_done)
}

/// Whether all that is ordered has left the lab for the office, or has been worn, tried in or used.
pub fn is_back(ordered: &Ordered, items: &[Item], case: &CaseState, arches: &[Arch]) -> bool {
    let mut all = pieces(ordered, items, case, arches).into_iter();
    all.all(|piece| {
        use WorkAt::{Coming, Kept, ToFit, ToGive, ToTry, Worn};
        let is_here = matches!(piece.at, Coming | Kept | ToFit | ToGive | ToTry | Worn);
        piece.is_done || (is_here && !piece.is_older)
    })
}

/// Whether all that is ordered for an arch was handed over, and lies with this side again or with the patient, so that
/// nothing that is signed says what is to be done to it further; not while something is tried in.
pub fn is_unsaid_at(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    (arch, side): (Arch, Side),
) -> bool {
    let is_ordered = !ordered.work.is_empty();
    let mut all = pieces(ordered, items, case, &[arch]).into_iter();
    is_ordered
        && all.all(|piece| {
            use WorkAt::{Kept, SpareLost, ToFit, ToGive, Unsaid, Worn};
            match side {
                Side::Lab => piece.at == Unsaid(Side::Lab),
                Side::Office => {
                    let is_here = matches!(piece.at, ToFit | ToGive | Unsaid(Side::Office));
                    let is_with_patient = matches!(piece.at, Kept | SpareLost | Worn);
                    !piece.is_on_the_way_to_a_final() && (is_here || is_with_patient)
                }
            }
        })
}

/// What the lab has handed over for an earlier revision, and was never worn since.
pub fn made_for_earlier(ordered: &Ordered, items: &[Item], case: &CaseState) -> Vec<Tag> {
    let context = PieceContext {
        ordered,
        items,
        case,
    };
    let is_earlier = |item: &Item| {
        context.last_out(&item.tag).is_some_and(|one| {
            let is_work =
                context.is_work_with(item, one) && !context.was_worn_since(&item.tag, one);
            is_work && one.released_at.unix_ms < context.since_ms() && !context.is_to_it(one)
        })
    };
    let there = context.there().map(|(item, _)| item);
    let earlier = there.filter(|item| is_earlier(item));
    earlier.map(|item| item.tag.clone()).collect()
}

/// A parcel that is not here yet is on the way, whatever came before it.
pub fn is_under_way(one: &Handoff) -> bool {
    one.state() == HandoffState::OnTheWay
        || (one.state() == HandoffState::PartReceived && !one.waiting().is_empty())
}

/// Whether things only go home with it.
pub fn only_returns(one: &Handoff) -> bool {
    one.purpose_code.is_some_and(Purpose::is_return)
}

fn holds(one: &Handoff, tag: &Tag) -> bool {
    one.carries(tag)
}

/// What was found in a parcel that came.
fn came(one: &Handoff) -> Vec<&Tag> {
    let found = one.found.iter();
    let there = found.filter(|found| found.outcome != Outcome::Missing);
    there.map(|found| &found.tag).collect()
}

/// Whether an order asks for what was delivered to be made again, or altered.
fn is_again(kind: Option<OrderKind>) -> bool {
    matches!(kind, Some(OrderKind::Remake | OrderKind::Correction))
}

/// Of kinds of dentures the one nearest to a final.
fn nearest_to_a_final(kinds: &[ItemKind]) -> Option<ItemKind> {
    let nearest = [
        ItemKind::FinalDenture,
        ItemKind::Provisional,
        ItemKind::Duplicate,
    ];
    nearest.into_iter().find(|kind| kinds.contains(kind))
}

/// The stages of an arch, each once.
fn stages_of(works: &[OrderedWork], arch: Arch) -> Vec<Stage> {
    let mut stages: Vec<Stage> = Vec::new();
    for work in works {
        let is_of_it = work.arch.is_none_or(|own| own == arch);
        if is_of_it && !stages.contains(&work.stage) {
            stages.push(work.stage);
        }
    }
    stages
}

/// What a stage delivers that has come a known way: how far, and whether that is the end of it.
type Reached = (WorkAt, bool);

/// What is looked at.
#[derive(Clone, Copy)]
struct PieceContext<'a> {
    ordered: &'a Ordered,
    items: &'a [Item],
    case: &'a CaseState,
}

impl<'a> PieceContext<'a> {
    /// What the revision in force orders for an arch, each stage once.
    fn stages(&self, arch: Arch) -> Vec<Stage> {
        stages_of(&self.ordered.work, arch)
    }

    fn since_ms(&self) -> i64 {
        self.ordered.since.map_or(i64::MIN, |at| at.unix_ms)
    }

    fn item(&self, tag: &Tag) -> Option<&'a Item> {
        Item::of(self.items, tag)
    }

    /// What is there, with its state.
    fn there(&self) -> impl Iterator<Item = (&'a Item, &'a State)> {
        let case = self.case;
        let items = self.items.iter();
        let states = items.filter_map(move |item| Some((item, case.item(&item.tag)?)));
        states.filter(|(_, state)| state.is_there())
    }

    fn handoffs(&self) -> impl DoubleEndedIterator<Item = &'a Handoff> {
        self.case.handoffs.iter().filter(|one| one.voided.is_none())
    }

    /// Whether a handoff hands work over to the revision in force: what left before it was signed does where the lab has
    /// said so when it left, and what goes back of cancelled work does not.
    fn is_to_it(&self, one: &Handoff) -> bool {
        let ms = one.released_at.unix_ms;
        let mut cancelled = self.case.gone_on.iter();
        let was_cancelled =
            cancelled.any(|(from, until)| (from.unix_ms..=until.unix_ms).contains(&ms));
        self.has_left_since(one) && !only_returns(one) && !was_cancelled
    }

    /// Whether it left the lab since the revision in force was signed, or as that asks.
    fn has_left_since(&self, one: &Handoff) -> bool {
        let is_said = one.as_revision == Some(self.ordered.revision);
        let is_later = one.released_at.unix_ms >= self.since_ms();
        one.from == Side::Lab && (is_later || is_said)
    }

    /// Whether a final that the lab has made was worn since it left: whatever it was sent for, it is delivered.
    fn is_worn_final(&self, item: &Item, one: &Handoff) -> bool {
        item.kind == ItemKind::FinalDenture
            && self.is_made(item)
            && self.has_left_since(one)
            && self.was_worn_since(&item.tag, one)
    }

    /// The revision that was in force when a handoff left; none where it is the one in force now, or none was signed.
    fn earlier_of(&self, one: &Handoff) -> Option<&'a EarlierOrder> {
        if self.has_left_since(one) {
            return None;
        }
        let mut earlier = self.ordered.earlier.iter();
        earlier.rfind(|order| match one.as_revision {
            Some(number) => order.revision == number,
            None => order.since.unix_ms <= one.released_at.unix_ms,
        })
    }

    /// What was ordered for an arch when a handoff left; none where nobody knows.
    fn stages_then(&self, arch: Arch, one: &Handoff) -> Option<Vec<Stage>> {
        if self.has_left_since(one) {
            return self.ordered.since.map(|_| self.stages(arch));
        }
        self.earlier_of(one)
            .map(|order| stages_of(&order.work, arch))
    }

    /// Whether a thing that a handoff holds is what the stage delivers for this arch.
    fn delivers(
        &self,
        (arch, stage): (Arch, Option<Stage>),
        (item, state): (&Item, &State),
        one: &Handoff,
    ) -> bool {
        let is_own = item.arch == Some(arch);
        let is_made = is_own && state.home == Side::Lab;
        let Some(stage) = stage else {
            return is_made && item.kind == ItemKind::FinalDenture;
        };
        let is_it = is_delivered_as(stage, item.kind);
        match stage {
            Stage::Process | Stage::Duplicate => is_made && is_it,
            Stage::Rims | Stage::SetUp | Stage::TryIn | Stage::Reset => {
                let is_trial = matches!(one.purpose_code, Some(Purpose::Trial | Purpose::Record));
                // A set-up is more than rims; rims are no set-up, whatever they were sent for.
                let is_enough = is_it || item.kind == ItemKind::TryIn;
                is_own && is_enough && (is_trial || (is_it && state.home == Side::Lab))
            }
            Stage::Reline | Stage::Rebase | Stage::Repair | Stage::Remount => is_own && is_it,
            Stage::Tray | Stage::Mount => {
                let is_of_it = item.arch.is_none_or(|own| own == arch);
                is_of_it && is_it && !item.borrowed
            }
        }
    }

    /// What was handed over of a piece, each with the last handoff that holds it.
    fn handed_over(&self, of: (Arch, Option<Stage>)) -> Vec<(&'a Item, &'a State, &'a Handoff)> {
        let case = self.case;
        let items = self.items.iter();
        let states = items.filter_map(|item| Some((item, case.item(&item.tag)?)));
        let handed = states.filter_map(|(item, state)| {
            let mut handoffs = self.handoffs().filter(|one| {
                let is_off =
                    one.not_packed.contains(&item.tag) || one.written_off.contains(&item.tag);
                holds(one, &item.tag) && !is_off
            });
            let last = handoffs.rfind(|one| {
                let is_handed_over = self.is_to_it(one) || self.is_worn_final(item, one);
                is_handed_over && self.delivers(of, (item, state), one)
            })?;
            Some((item, state, last))
        });
        let mut handed: Vec<_> = handed.collect();
        match of.1 {
            // What is made last is what is ordered: an earlier one of its kind only goes along.
            Some(Stage::Process) => {
                let finals = self.there().filter(|(item, state)| {
                    let is_final = item.kind == ItemKind::FinalDenture;
                    is_final && item.arch == Some(of.0) && state.home == Side::Lab
                });
                let newest = finals.last().map(|(item, _)| &item.tag);
                if newest.is_some() {
                    handed.retain(|(item, ..)| Some(&item.tag) == newest);
                }
            }
            // Of what can be worn, the work is done to the denture nearest to a final; a duplicate only goes along.
            Some(stage) if is_done_to_a_denture(stage) => {
                let subject = self.subject(of.0, &handed);
                handed.retain(|(item, ..)| Some(item.kind) == subject);
            }
            _ => {}
        }
        handed
    }

    /// The kind of denture that a repair, a reline or a remount is done to.
    fn subject(&self, arch: Arch, handed: &[(&Item, &State, &Handoff)]) -> Option<ItemKind> {
        let at_lab = self.there().filter(|(item, state)| {
            let is_there = state.holder.is_with_lab()
                || matches!(state.holder, Holder::Carrier { to: Side::Lab });
            item.arch == Some(arch) && is_there
        });
        let kinds = at_lab.map(|(item, _)| item.kind);
        let kinds = kinds.chain(handed.iter().map(|(item, ..)| item.kind));
        let kinds: Vec<ItemKind> = kinds.collect();
        nearest_to_a_final(&kinds)
    }

    /// Whether it was in the mouth since this handoff; of what was entered at one moment the order tells.
    fn was_worn_since(&self, tag: &Tag, one: &Handoff) -> bool {
        let left = (one.released_at.unix_ms, one.turns_before);
        let mut turns = self.case.turns.iter().enumerate();
        turns.any(|(place, turn)| {
            matches!(turn, Turn::In(own, at) if own == tag && (at.unix_ms, place) >= left)
        })
    }

    /// How far a thing has come that was handed over.
    fn reached(
        &self,
        stage: Option<Stage>,
        (item, state, one): (&Item, &State, &Handoff),
    ) -> Reached {
        let found = one.found_item(&item.tag);
        match found {
            None if one.is_packed() => return (WorkAt::Packed, false),
            None => return (WorkAt::Coming, false),
            Some(_) if state.missing && state.handoff.as_ref() == Some(&one.id) => {
                return (WorkAt::Astray(Side::Lab), false);
            }
            Some(_) => {}
        }
        let is_between = stage.is_some_and(is_between);
        let was_worn = self.was_worn_since(&item.tag, one);
        let is_wanting = !is_between && self.is_wanting(item);
        let is_flawed = state.condition != Condition::Sound || is_wanting;
        let is_done = was_worn || (is_between && !is_flawed);
        let is_unsaid = self.is_unsaid(stage, item, one);
        let is_spare = stage == Some(Stage::Duplicate);
        let at = match state.holder {
            Holder::Patient if is_spare && state.gone == Some(Gone::WrittenOff) => {
                return (WorkAt::SpareLost, true);
            }
            _ if !state.is_there() => WorkAt::Unsaid(Side::Office),
            Holder::Patient if state.worn => WorkAt::Worn,
            Holder::Patient => return (WorkAt::Kept, true),
            Holder::Office if state.packed && !is_unsaid => WorkAt::ToSend,
            Holder::Office if state.packed || was_worn => WorkAt::Unsaid(Side::Office),
            Holder::Office if is_flawed => WorkAt::ToWeigh,
            Holder::Office if is_between => WorkAt::ToTry,
            Holder::Office
                if is_spare && item.arch.is_some_and(|arch| self.final_is_worn(arch)) =>
            {
                WorkAt::ToGive
            }
            Holder::Office => WorkAt::ToFit,
            Holder::Carrier { to: Side::Office } => WorkAt::Coming,
            Holder::Carrier { to: Side::Lab } if state.missing => WorkAt::Astray(Side::Office),
            Holder::Carrier { to: Side::Lab } => WorkAt::ToLab,
            Holder::Lab | Holder::Passed(_) if is_unsaid => WorkAt::Unsaid(Side::Lab),
            Holder::Lab | Holder::Passed(_) => WorkAt::AtLab,
        };
        let is_begun_again = matches!(at, WorkAt::AtLab | WorkAt::ToSend);
        (at, is_done && !is_begun_again)
    }

    /// Whether the office has sent it after it was handed over: what is to be done to it further, the revision in force does
    /// not say.
    fn is_sent_again(&self, tag: &Tag, back: &Handoff) -> bool {
        let mut later = self.handoffs().filter(|one| {
            let is_later = one.released_at.unix_ms >= back.released_at.unix_ms;
            one.to == Side::Lab && is_later && holds(one, tag)
        });
        let last = later.next_back();
        last.is_some_and(|one| one.purpose_code.is_some())
    }

    /// Whether the office has found it not as asked, and nobody has worn it since.
    fn is_wanting(&self, item: &Item) -> bool {
        !found_wanting(self.case, item, self.ordered.revision).is_empty()
    }

    fn piece(&self, arch: Arch, stage: Option<Stage>) -> WorkPiece {
        let handed = self.handed_over((arch, stage));
        let is_unsaid = handed.iter().any(|(item, state, one)| {
            let is_sent = state.holder == Holder::Carrier { to: Side::Lab } && !state.missing;
            is_sent && self.is_unsaid(stage, item, one)
        });
        let last_ms = handed.iter().map(|(.., one)| one.released_at.unix_ms).max();
        let last = handed.into_iter();
        let last = last.filter(|(.., one)| Some(one.released_at.unix_ms) == last_ms);
        let last: Vec<_> = last.collect();
        let is_wanting = last.iter().any(|(item, ..)| self.is_wanting(item));
        let last = last.into_iter();
        let reached = last.map(|one| self.reached(stage, one));
        let (at, is_done) =
            reached
                .min_by_key(|(at, _)| urgency(*at))
                .unwrap_or_else(|| match self.is_delivered_already(arch, stage) {
                    true => (WorkAt::Worn, true),
                    false => (self.not_yet_sent(arch, stage), false),
                });
        WorkPiece {
            arch,
            stage,
            at,
            is_done,
            is_older: last_ms.is_none() && self.older(arch).next().is_some(),
            is_unsaid: is_unsaid && at == WorkAt::ToLab,
            is_wanting: is_wanting && at == WorkAt::ToWeigh,
        }
    }

    /// Whether of what was handed over nobody has said what is to be done to it further, once it goes back.
    fn is_unsaid(&self, stage: Option<Stage>, item: &Item, one: &Handoff) -> bool {
        let was_worn = self.was_worn_since(&item.tag, one);
        let mut found = one.found.iter();
        let is_sound = found.any(|one| one.tag == item.tag && one.outcome == Outcome::Sound);
        let is_between = stage.is_some_and(is_between);
        // What came damaged, or is not as asked, and is sent back is set right by those who sent it.
        let is_sent_again = self.is_sent_again(&item.tag, one) && !self.is_wanting(item);
        was_worn || is_sound && (is_between || is_sent_again)
    }

    /// Whether a newer revision only says again what was ordered for an arch: its denture was handed over and worn before
    /// that was signed, is worn still, and nothing shows that it is to be made again.
    fn is_delivered_already(&self, arch: Arch, stage: Option<Stage>) -> bool {
        let line = self.case.worn(self.items);
        let worn = line.iter().find(|one| one.arch == arch && one.to.is_none());
        let Some(worn) = worn else {
            return false;
        };
        let stage = stage.unwrap_or(Stage::Process);
        let Some(out) = self.delivered_before(arch, stage) else {
            return false;
        };
        let is_again = is_again(self.ordered.kind) || self.is_ordered_again(arch, stage, out);
        let is_new = |tag: &Tag| {
            let is_of_it = self.item(tag).is_some_and(|item| item.arch == Some(arch));
            let mut to_lab = self.handoffs().filter(|one| one.to == Side::Lab);
            is_of_it && !to_lab.any(|one| came(one).contains(&tag))
        };
        let is_sent = |one: &Handoff| {
            let sent: Vec<&Tag> = one.sent.iter().map(|sent| &sent.tag).collect();
            let is_later = one.released_at.unix_ms >= self.since_ms();
            one.to == Side::Lab && is_later && self.takes_along((arch, Some(stage)), one, &sent)
        };
        let enclosed = &self.ordered.enclosed;
        !is_again
            && !enclosed.contains(&worn.tag)
            && !enclosed.iter().any(is_new)
            && !self.handoffs().any(is_sent)
    }

    /// The handoff with which the denture came that an arch wears, where it was worn before the revision in force was
    /// signed and is what this stage delivers.
    fn delivered_before(&self, arch: Arch, stage: Stage) -> Option<&'a Handoff> {
        let line = self.case.worn(self.items);
        let worn = line.iter().find(|one| one.arch == arch && one.to.is_none());
        let worn = worn.filter(|one| one.from.unix_ms < self.since_ms())?;
        let item = self.item(&worn.tag)?;
        let out = self.last_out(&item.tag)?;
        let left_ms = out.released_at.unix_ms;
        let is_worn_since = left_ms < self.since_ms() && left_ms <= worn.from.unix_ms;
        let is_it = is_delivered_as(stage, item.kind) && self.is_work_with(item, out);
        (is_worn_since && is_it).then_some(out)
    }

    /// Whether a revision orders what was not ordered when its denture left: something done to it; a remake or a
    /// correction that an earlier one asked for and the lab has not delivered; or, where all was delivered, anything that
    /// is said otherwise.
    fn is_ordered_again(&self, arch: Arch, stage: Stage, out: &Handoff) -> bool {
        let stages = self.stages_then(arch, out).unwrap_or_default();
        let is_of_this = stages.contains(&stage);
        let was_done_to = stages.into_iter().any(is_done_to_a_denture);
        let is_new_stage = (is_done_to_a_denture(stage) || was_done_to) && !is_of_this;
        let Some(then) = self.earlier_of(out) else {
            return is_new_stage;
        };
        let later = self.ordered.earlier.iter();
        let mut later = later.filter(|order| order.since.unix_ms > then.since.unix_ms);
        let is_asked = later.any(|order| {
            let is_of_it = order.work.is_empty() || !stages_of(&order.work, arch).is_empty();
            is_again(order.kind) && is_of_it
        });
        let mut all = self.ordered.work.iter();
        let was_all = all.all(|work| {
            let arches = Arch::ALL.iter();
            let mut own = arches.filter(|one| work.arch.is_none_or(|arch| arch == **one));
            own.any(|one| self.delivered_before(*one, work.stage).is_some())
        });
        is_new_stage || is_asked || (was_all && !then.is_same)
    }

    /// Where the work is that has not been handed over to the revision in force.
    fn not_yet_sent(&self, arch: Arch, stage: Option<Stage>) -> WorkAt {
        let takes = |one: &Handoff, tags: &[&Tag]| self.takes_along((arch, stage), one, tags);
        let mut under_way = self.handoffs().filter(|one| {
            let found = came(one);
            let sent = one.sent.iter().map(|sent| &sent.tag);
            let awaited: Vec<&Tag> = sent.filter(|tag| !found.contains(tag)).collect();
            is_under_way(one) && takes(one, &awaited)
        });
        let received = self.handoffs().filter(|one| {
            let found = came(one);
            one.received_at.is_some() && !found.is_empty() && takes(one, &found)
        });
        let last = received.max_by_key(|one| one.received_at.map(|at| at.unix_ms));
        let is_at_lab = last.is_some_and(|one| one.to == Side::Lab);
        let is_packed = |one: &Handoff| {
            let sent: Vec<&Tag> = one.sent.iter().map(|sent| &sent.tag).collect();
            one.is_packed() && one.from == Side::Lab && takes(one, &sent)
        };
        let under_way = under_way.next();
        // What it is made from may lie there since an earlier revision.
        let is_there = self.is_made_from_what_is_there(arch, stage)
            || self.is_spare_of_what_has_left(arch, stage);
        let is_at_lab = is_at_lab || is_there || self.is_made_from_files(arch, stage);
        // What comes after the rest holds nothing up that does not wait for it; a second parcel belongs to the first.
        let is_second = under_way.is_some_and(|one| one.received_at.is_some());
        let awaits_listed = self.awaits_listed(arch);
        let awaits_pattern = under_way.is_some_and(|one| self.awaits_pattern(arch, one));
        let is_awaited = !is_at_lab || is_second || awaits_listed || awaits_pattern;
        let lost = self.lost(arch);
        match under_way.map(|one| one.to) {
            Some(Side::Office) => WorkAt::Coming,
            Some(Side::Lab) if is_awaited => WorkAt::ToLab,
            _ if lost.is_some() => lost.unwrap_or(WorkAt::ToSend),
            _ if is_at_lab && awaits_listed => WorkAt::ToLab,
            _ if is_at_lab && self.handoffs().any(is_packed) => WorkAt::Packed,
            _ if is_at_lab => WorkAt::AtLab,
            _ if self.ordered.since.is_none() && self.final_is_worn(arch) => WorkAt::Worn,
            _ if self.is_here_to_be_weighed(arch) => WorkAt::ToWeigh,
            _ if self.older_is_worn(arch, stage) => WorkAt::WornOlder,
            _ => WorkAt::ToSend,
        }
    }

    /// Whether all that the work of an arch is made from lies at the lab: what the office has sent of that arch, or all that
    /// is listed for it; and nothing that the lab has made of it so far waits at the office, or is on its way back from
    /// there. What is done to a denture is done to that denture.
    fn is_made_from_what_is_there(&self, arch: Arch, stage: Option<Stage>) -> bool {
        let is_at_lab = |state: &State| state.holder.is_with_lab();
        let mut patterns = self.patterns(arch);
        let has_pattern = patterns.any(|(_, state)| state.home == Side::Office && is_at_lab(state));
        let listed = self.ordered.enclosed.iter();
        let listed = listed.filter_map(|tag| self.item(tag));
        let listed = listed.filter(|item| item.arch.is_none_or(|own| own == arch));
        let mut listed = listed
            .filter_map(|item| self.case.item(&item.tag))
            .peekable();
        let has_list =
            listed.peek().is_some() && listed.all(|one| one.is_there() && is_at_lab(one));
        !stage.is_some_and(is_done_to_a_denture)
            && (has_pattern || has_list)
            && !self.waits_elsewhere(arch)
    }

    /// Whether the work of an arch is made from files, which the lab has with the text that lists them, and nothing that
    /// it has made of it so far is away.
    fn is_made_from_files(&self, arch: Arch, stage: Option<Stage>) -> bool {
        self.ordered.by_files
            && !stage.is_some_and(is_done_to_a_denture)
            && !self.waits_elsewhere(arch)
    }

    /// Whether it is the copy of a denture that the lab has made and handed over to the revision in force: it is made there, and
    /// nothing more is to be sent for it.
    fn is_spare_of_what_has_left(&self, arch: Arch, stage: Option<Stage>) -> bool {
        let is_made = |tag: &Tag| {
            self.item(tag).is_some_and(|item| {
                let is_final = item.kind == ItemKind::FinalDenture;
                is_final && item.arch == Some(arch) && self.is_made(item)
            })
        };
        let mut handed_over = self.handoffs().filter(|one| self.is_to_it(one));
        stage == Some(Stage::Duplicate)
            && handed_over.any(|one| one.sent.iter().any(|sent| is_made(&sent.tag)))
    }

    /// Whether something that the lab has made of an arch so far waits at the office, or is on its way back from there.
    fn waits_elsewhere(&self, arch: Arch) -> bool {
        self.there().any(|(item, state)| {
            let is_of_it = item.arch.is_none_or(|own| own == arch);
            let last = self.last_out(&item.tag);
            let is_tray = last.is_some_and(|one| self.is_tray_with(item, one, arch));
            let is_made = self.is_made(item) && item.arch == Some(arch);
            let is_away = match state.holder {
                Holder::Office => true,
                Holder::Carrier { to } => to == Side::Lab && !state.missing,
                _ => false,
            };
            let is_awaited = is_away && !self.case.was_worn(&item.tag);
            is_of_it && is_awaited && (is_made || is_tray)
        })
    }

    /// What of an arch the work is made from, or done to, and is there.
    fn patterns(&self, arch: Arch) -> impl Iterator<Item = (&'a Item, &'a State)> {
        let there = self.there();
        there.filter(move |(item, _)| item.arch == Some(arch) && item.kind.is_pattern_mostly())
    }

    /// Where the work of an arch is of which something was sent and did not come, and nothing was sent since in its stead.
    /// What is listed is looked for by the list.
    fn lost(&self, arch: Arch) -> Option<WorkAt> {
        let items = self.items.iter();
        let items = items.filter(|item| item.arch == Some(arch) && item.kind.is_pattern_mostly());
        let items =
            items.filter(|item| !item.borrowed && !self.ordered.enclosed.contains(&item.tag));
        let is_lost =
            |item: &&Item| self.did_not_come(item, arch) || self.was_lost_there(item, arch);
        let items: Vec<&Item> = items.filter(is_lost).collect();
        let states = items.iter().filter_map(|item| self.case.item(&item.tag));
        let mut has_none = self.patterns(arch);
        let has_none = !has_none.any(|(_, state)| state.holder.is_with_lab());
        let at = states.filter_map(|state| match (state.gone, state.holder) {
            (None, Holder::Carrier { to: Side::Lab }) if state.missing => {
                Some(WorkAt::Astray(Side::Office))
            }
            (None, Holder::Office | Holder::Patient) if has_none => Some(WorkAt::ToSend),
            (Some(Gone::WrittenOff | Gone::Destroyed), _) if has_none => {
                let ended = state.ending.as_ref().map(|one| one.at.unix_ms);
                (ended >= Some(self.since_ms())).then_some(WorkAt::ToSend)
            }
            _ => None,
        });
        at.min_by_key(|at| urgency(*at))
    }

    /// Whether the lab has lost what the office had sent to be worked on, and has made nothing from it.
    fn was_lost_there(&self, item: &Item, arch: Arch) -> bool {
        let is_lost = self.case.item(&item.tag).is_some_and(|state| {
            state.gone == Some(Gone::WrittenOff)
                && state.holder.is_with_lab()
                && state.home == Side::Office
        });
        is_lost && !self.case.has_made(self.items, Some(arch))
    }

    /// Whether a thing was sent to be worked on and was not in its parcel, and nothing else of its arch was sent since.
    fn did_not_come(&self, item: &Item, arch: Arch) -> bool {
        let is_sent =
            |one: &&Handoff| one.to == Side::Lab && !only_returns(one) && !one.is_packed();
        let mut sent = self.handoffs().filter(is_sent);
        let Some(last) = sent.rfind(|one| holds(one, &item.tag)) else {
            return false;
        };
        let is_open = !last.waiting().contains(&last.parcel_of(&item.tag));
        let mut since = self.handoffs().filter(is_sent).filter(|one| {
            let is_later = one.released_at.unix_ms > last.released_at.unix_ms;
            is_later && (is_under_way(one) || !came(one).is_empty())
        });
        let is_of_it = |tag: &Tag| {
            let own = self.item(tag).filter(|own| own.arch == Some(arch));
            own.is_some_and(|own| own.kind.is_pattern_mostly())
        };
        let is_replaced = since.any(|one| one.sent.iter().any(|sent| is_of_it(&sent.tag)));
        last.received_at.is_some() && is_open && !came(last).contains(&&item.tag) && !is_replaced
    }

    /// Whether the lab has nothing yet that the work of an arch is made from, and a handoff brings it.
    fn awaits_pattern(&self, arch: Arch, one: &Handoff) -> bool {
        let found = came(one);
        let is_brought = |tag: &Tag| holds(one, tag) && !found.contains(&tag);
        let is_scan_there = self.there().any(|(item, _)| {
            item.kind == ItemKind::Scan && item.arch.is_none_or(|own| own == arch)
        });
        let is_there = |state: &State| state.holder.is_with_lab();
        !is_scan_there
            && !self.patterns(arch).any(|(_, state)| is_there(state))
            && self.patterns(arch).any(|(item, _)| is_brought(&item.tag))
    }

    /// Whether something that is listed as enclosed for this arch is on its way to the lab.
    fn awaits_listed(&self, arch: Arch) -> bool {
        let lacking = lacking(self.ordered, self.items, self.case);
        let is_for = |one: &Lacking| one.arch.is_none_or(|jaw| self.ordered.is_for(jaw, arch));
        lacking
            .iter()
            .any(|one| one.how == NotCome::OnTheWay && is_for(one))
    }

    /// Whether a handoff carries the work for this arch along that is still to be made, by these of its things. To the
    /// lab goes the work of both arches with whatever is sent, unless what the lab has made for one of them is at the
    /// office. From the lab comes the work of those arches for which something made is in the parcel; with anything
    /// else, only where nothing is left there that it could be made from. A copy of what has left comes as itself alone.
    fn takes_along(
        &self,
        (arch, stage): (Arch, Option<Stage>),
        one: &Handoff,
        tags: &[&Tag],
    ) -> bool {
        let items: Vec<&Item> = tags.iter().filter_map(|tag| self.item(tag)).collect();
        let has_own = items.iter().any(|item| item.arch == Some(arch));
        let is_of_it = has_own || !items.iter().any(|item| item.arch.is_some());
        if one.to == Side::Lab {
            let mut made = self.there().filter(|(item, state)| {
                let is_away = matches!(state.holder, Holder::Office | Holder::Patient);
                item.arch == Some(arch) && self.is_made(item) && is_away
            });
            // What this arch is made from has not gone along.
            let mut here = self.patterns(arch).filter(|(_, state)| {
                let is_here = matches!(state.holder, Holder::Office | Holder::Patient);
                is_here && state.home == Side::Office
            });
            let is_along = made.next().is_none() && here.next().is_none();
            return !only_returns(one) && (is_of_it || is_along);
        }
        if self.is_spare_of_what_has_left(arch, stage) {
            return false;
        }
        let is_earlier = one.released_at.unix_ms < self.since_ms();
        let is_tray = |item: &Item| is_earlier && self.is_tray_with(item, one, arch);
        let is_carrying = |item: &Item| {
            is_earlier
                || match stage {
                    None => true,
                    Some(Stage::Duplicate) => false,
                    Some(stage) => {
                        let is_trial = matches!(item.kind, ItemKind::Rims | ItemKind::TryIn);
                        let is_final = item.kind == ItemKind::FinalDenture;
                        is_trial || (is_final && is_between(stage))
                    }
                }
        };
        let mut made = items
            .iter()
            .filter(|item| {
                let is_work = match is_earlier {
                    true => self.is_work_with(item, one) || is_tray(item),
                    false => self.is_made(item),
                };
                is_work && is_carrying(item)
            })
            .peekable();
        if !only_returns(one) && made.peek().is_some() {
            return made.any(|item| item.arch == Some(arch) || is_tray(item));
        }
        let mut left = self.there().filter(|(item, state)| {
            item.arch.is_none_or(|own| own == arch) && state.holder.is_with_lab()
        });
        is_of_it && left.next().is_none()
    }

    /// Whether an item is what the lab has made of this case.
    fn is_made(&self, item: &Item) -> bool {
        let home = self.case.item(&item.tag).map(|state| state.home);
        item.kind.is_made_for_the_mouth() && home == Some(Side::Lab)
    }

    /// Whether an item is work that leaves with a handoff: made by the lab, or a denture that something was done to.
    fn is_work_with(&self, item: &Item, one: &Handoff) -> bool {
        let is_wearable = one.purpose_code.is_some() && item.kind.is_wearable();
        self.is_made(item) || (is_wearable && !only_returns(one) && self.is_done_to(item, one))
    }

    /// Whether something was ordered then that is done to a denture, and this is the one of its arch that is nearest to a
    /// final. Where nobody knows what was ordered it may have been.
    fn is_done_to(&self, item: &Item, one: &Handoff) -> bool {
        let Some(arch) = item.arch else {
            return false;
        };
        let sent = one.sent.iter().filter_map(|sent| self.item(&sent.tag));
        let kinds = sent
            .filter(|own| own.arch == Some(arch))
            .map(|own| own.kind);
        let nearest = nearest_to_a_final(&kinds.collect::<Vec<_>>());
        let stages = self.stages_then(arch, one);
        let is_ordered =
            stages.is_none_or(|all| all.is_empty() || all.into_iter().any(is_done_to_a_denture));
        is_ordered && nearest == Some(item.kind)
    }

    /// Whether an item is a tray or a mounting that the lab had made for an arch, to be used for the next stage.
    fn is_tray_with(&self, item: &Item, one: &Handoff, arch: Arch) -> bool {
        let is_home = self
            .case
            .item(&item.tag)
            .is_some_and(|one| one.home == Side::Lab);
        let stages = self.stages_then(arch, one).unwrap_or_default().into_iter();
        let mut stages = stages.filter(|stage| matches!(stage, Stage::Tray | Stage::Mount));
        let is_of_it = item.arch.is_none_or(|own| own == arch);
        let is_own = is_home && is_of_it && !item.borrowed && !only_returns(one);
        is_own && stages.any(|stage| is_delivered_as(stage, item.kind))
    }

    fn final_is_worn(&self, arch: Arch) -> bool {
        let line = self.case.worn(self.items);
        let worn = worn_in(&line, arch).and_then(|tag| self.item(tag));
        worn.is_some_and(|item| item.kind == ItemKind::FinalDenture)
    }

    /// The last handoff from the lab that hands a thing over.
    fn last_out(&self, tag: &Tag) -> Option<&'a Handoff> {
        let mut out = self.handoffs().filter(|one| one.from == Side::Lab);
        out.rfind(|one| holds(one, tag) && !only_returns(one))
    }

    /// What the lab has made of this arch for an earlier revision, and what left it or came after the one in force was
    /// signed.
    fn older(&self, arch: Arch) -> impl Iterator<Item = (&'a Item, &'a State)> {
        let context = *self;
        self.there().filter(move |(item, _)| {
            let Some(one) = context.last_out(&item.tag) else {
                return false;
            };
            let since_ms = context.since_ms();
            let is_late = match one.received_at {
                Some(at) => at.unix_ms >= since_ms,
                None => !one.is_packed(),
            };
            let is_earlier = one.released_at.unix_ms < since_ms && !context.is_to_it(one);
            item.arch == Some(arch) && context.is_work_with(item, one) && is_earlier && is_late
        })
    }

    /// Whether a final that the newer revision has overtaken is worn all the same. What is done to a denture is done to
    /// that one.
    fn older_is_worn(&self, arch: Arch, stage: Option<Stage>) -> bool {
        let mut older = self.older(arch);
        !stage.is_some_and(is_done_to_a_denture)
            && older.any(|(item, state)| state.worn && item.kind == ItemKind::FinalDenture)
    }

    /// Whether the office has something in hand that it has not ordered so: of an earlier revision, or more than it asked
    /// for. What it had tried in before it signed is not looked at again.
    fn is_here_to_be_weighed(&self, arch: Arch) -> bool {
        let is_new = |(item, state): &(&Item, &State)| {
            let last = self.last_out(&item.tag);
            let was_worn = last.is_some_and(|one| self.was_worn_since(&item.tag, one));
            state.is_in_hand(Side::Office) && !state.was_taken_out && !was_worn
        };
        let finals = self.there().filter(|(item, _)| {
            let is_final = item.kind == ItemKind::FinalDenture && self.is_made(item);
            is_final && item.arch == Some(arch) && self.last_out(&item.tag).is_some()
        });
        self.older(arch).chain(finals).any(|one| is_new(&one))
    }
}

/// Of several things of one piece, what needs somebody goes before what does not.
fn urgency(at: WorkAt) -> u8 {
    match at {
        WorkAt::Coming => 0,
        WorkAt::Astray(_) => 1,
        WorkAt::Packed => 2,
        WorkAt::ToWeigh => 3,
        WorkAt::ToFit | WorkAt::ToGive | WorkAt::ToTry => 4,
        WorkAt::Worn => 5,
        WorkAt::ToLab | WorkAt::AtLab | WorkAt::ToSend | WorkAt::WornOlder => 6,
        WorkAt::Unsaid(_) => 7,
        WorkAt::Kept => 8,
        WorkAt::SpareLost => 9,
    }
}
