//! How far each piece of the ordered work has come: whether what its stage delivers was delivered to the revision in
//! force, where that is now, and where the work lies that is still to be made.

use super::case_state::CaseState;
use super::handoff::{Handoff, HandoffState};
use super::item::{Item, ItemKind};
use super::lineage::is_delivered_as;
use super::ordered::{NotCome, Ordered, lacking};
use super::parcel::Outcome;
use super::purpose::Purpose;
use super::state::{Condition, Holder, State};
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
    /// Here to be tried in, or to be used for the next stage.
    ToTry,
    /// In the mouth.
    Worn,
    /// With the patient, out of the mouth: a spare.
    Kept,
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
}

impl WorkPiece {
    /// Whether it comes back to be tried in, or for the next stage, and not to be worn.
    pub fn is_on_the_way_to_a_final(&self) -> bool {
        self.stage.is_some_and(is_between)
    }
}

/// Whether what the lab makes so far is tried in or used at the chair, and something is made next.
fn is_between(stage: Stage) -> bool {
    is_for_a_trial(stage) || matches!(stage, Stage::Tray | Stage::Mount)
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
    let look = Look {
        ordered,
        items,
        case,
    };
    let of_arch = |&arch: &Arch| {
        let stages = look.stages(arch).into_iter();
        stages.map(move |stage| (arch, Some(stage)))
    };
    let mut rows: Vec<(Arch, Option<Stage>)> = arches.iter().flat_map(of_arch).collect();
    if rows.is_empty() {
        rows = arches.iter().map(|&arch| (arch, None)).collect();
    }
    let rows = rows.into_iter();
    rows.map(|(arch, stage)| look.piece(arch, stage)).collect()
}

/// Whether all that is ordered for an arch has been in the mouth, or has come to be tried in or used; not where nothing
/// is ordered for it.
pub fn was_delivered(ordered: &Ordered, items: &[Item], case: &CaseState, arch: Arch) -> bool {
    let look = Look {
        ordered,
        items,
        case,
    };
    let is_ordered = ordered.work.is_empty() || !look.stages(arch).is_empty();
    let mut all = pieces(ordered, items, case, &[arch]).into_iter();
    is_ordered && all.all(|piece| piece.is_done)
}

/// Whether all that is ordered has left the lab for the office, or has been worn, tried in or used.
pub fn is_back(ordered: &Ordered, items: &[Item], case: &CaseState, arches: &[Arch]) -> bool {
    let mut all = pieces(ordered, items, case, arches).into_iter();
    all.all(|piece| {
        use WorkAt::{Coming, Kept, ToFit, ToTry, Worn};
        let is_here = matches!(piece.at, Coming | Kept | ToFit | ToTry | Worn);
        piece.is_done || (is_here && !piece.is_older)
    })
}

/// What the lab has handed over for an earlier revision, and was never worn since.
pub fn made_for_earlier(ordered: &Ordered, items: &[Item], case: &CaseState) -> Vec<Tag> {
    let look = Look {
        ordered,
        items,
        case,
    };
    let is_earlier = |item: &Item| {
        look.last_out(&item.tag).is_some_and(|one| {
            let is_work = look.is_work_with(item, one) && !look.was_worn_since(&item.tag, one);
            is_work && one.released_at.unix_ms < look.since_ms() && !look.is_to_it(one)
        })
    };
    let there = look.there().map(|(item, _)| item);
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
    matches!(one.purpose_code, Some(Purpose::GoingBack | Purpose::Stray))
}

fn holds(one: &Handoff, tag: &Tag) -> bool {
    one.sent.iter().any(|sent| sent.tag == *tag)
}

/// What was found in a parcel that came.
fn came(one: &Handoff) -> Vec<&Tag> {
    let found = one.found.iter();
    let there = found.filter(|found| found.outcome != Outcome::Missing);
    there.map(|found| &found.tag).collect()
}

/// What a stage delivers that has come a known way: how far, and whether that is the end of it.
type Reached = (WorkAt, bool);

/// What is looked at.
#[derive(Clone, Copy)]
struct Look<'a> {
    ordered: &'a Ordered,
    items: &'a [Item],
    case: &'a CaseState,
}

impl<'a> Look<'a> {
    /// What the revision in force orders for an arch, each stage once.
    fn stages(&self, arch: Arch) -> Vec<Stage> {
        let mut stages: Vec<Stage> = Vec::new();
        for work in &self.ordered.work {
            let is_of_it = work.arch.is_none_or(|own| own == arch);
            if is_of_it && !stages.contains(&work.stage) {
                stages.push(work.stage);
            }
        }
        stages
    }

    fn since_ms(&self) -> i64 {
        self.ordered.since.map_or(i64::MIN, |at| at.unix_ms)
    }

    fn item(&self, tag: &Tag) -> Option<&'a Item> {
        self.items.iter().find(|item| item.tag == *tag)
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
        let is_said = one.as_revision == Some(self.ordered.revision);
        one.from == Side::Lab
            && !only_returns(one)
            && !was_cancelled
            && (ms >= self.since_ms() || is_said)
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
                let is_of_mouth = matches!(item.kind, ItemKind::Rims | ItemKind::TryIn);
                is_own && is_of_mouth && (is_trial || (is_it && state.home == Side::Lab))
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
            let last = handoffs
                .rfind(|one| self.is_to_it(one) && self.delivers(of, (item, state), one))?;
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
            Some(Stage::Reline | Stage::Rebase | Stage::Repair | Stage::Remount) => {
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
        let nearest = [
            ItemKind::FinalDenture,
            ItemKind::Provisional,
            ItemKind::Duplicate,
        ];
        nearest.into_iter().find(|kind| kinds.contains(kind))
    }

    /// Whether it was in the mouth since this handoff.
    fn was_worn_since(&self, tag: &Tag, one: &Handoff) -> bool {
        let mut turns = self.case.turns.iter();
        turns.any(|turn| {
            matches!(turn, Turn::In(own, at)
                if own == tag && at.unix_ms >= one.released_at.unix_ms)
        })
    }

    /// How far a thing has come that was handed over.
    fn reached(
        &self,
        stage: Option<Stage>,
        (item, state, one): (&Item, &State, &Handoff),
    ) -> Reached {
        let mut found = one.found.iter();
        let found = found.find(|found| found.tag == item.tag);
        let outcome = match found {
            None if one.is_packed() => return (WorkAt::Packed, false),
            None => return (WorkAt::Coming, false),
            Some(_) if state.missing && state.handoff.as_ref() == Some(&one.id) => {
                return (WorkAt::Astray(Side::Lab), false);
            }
            Some(found) => found.outcome,
        };
        let is_between = stage.is_some_and(is_between);
        let was_worn = self.was_worn_since(&item.tag, one);
        let is_flawed = state.condition != Condition::Sound;
        let is_done = was_worn || (is_between && !is_flawed);
        let is_unsaid = was_worn || is_between || self.is_sent_to_be_changed(&item.tag, one);
        // What came damaged and is sent back is set right by those who sent it.
        let is_unsaid = is_unsaid && (was_worn || outcome == Outcome::Sound);
        let at = match state.holder {
            _ if !state.is_there() => WorkAt::Unsaid(Side::Office),
            Holder::Patient if state.worn => WorkAt::Worn,
            Holder::Patient => return (WorkAt::Kept, true),
            Holder::Office if state.packed && !is_unsaid => WorkAt::ToSend,
            Holder::Office if state.packed || was_worn => WorkAt::Unsaid(Side::Office),
            Holder::Office if is_flawed => WorkAt::ToWeigh,
            Holder::Office if is_between => WorkAt::ToTry,
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

    /// Whether the office has sent it for alteration after it was handed over: what is to be altered, the revision in
    /// force does not say.
    fn is_sent_to_be_changed(&self, tag: &Tag, back: &Handoff) -> bool {
        let mut later = self.handoffs().filter(|one| {
            let is_later = one.released_at.unix_ms >= back.released_at.unix_ms;
            one.to == Side::Lab && is_later && holds(one, tag)
        });
        let last = later.next_back();
        last.is_some_and(|one| one.purpose_code == Some(Purpose::Change))
    }

    fn piece(&self, arch: Arch, stage: Option<Stage>) -> WorkPiece {
        let handed = self.handed_over((arch, stage));
        let last_ms = handed.iter().map(|(.., one)| one.released_at.unix_ms).max();
        let last = handed.into_iter();
        let last = last.filter(|(.., one)| Some(one.released_at.unix_ms) == last_ms);
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
        }
    }

    /// Whether a newer revision only says again what was ordered for an arch: its denture was handed over and worn before
    /// that was signed, is worn still, and nothing shows that it is to be made anew.
    fn is_delivered_already(&self, arch: Arch, stage: Option<Stage>) -> bool {
        let line = self.case.worn(self.items);
        let worn = line.iter().find(|one| one.arch == arch && one.to.is_none());
        let Some(worn) = worn else {
            return false;
        };
        let stage = stage.unwrap_or(Stage::Process);
        let was_handed_over = self.item(&worn.tag).is_some_and(|item| {
            let last = self.last_out(&item.tag);
            let is_worn_since = last.is_some_and(|one| {
                let is_earlier = one.released_at.unix_ms < self.since_ms();
                is_earlier && one.released_at.unix_ms <= worn.from.unix_ms
            });
            let is_work = last.is_some_and(|one| self.is_work_with(item, one));
            is_work && is_worn_since && is_delivered_as(stage, item.kind)
        });
        let is_again = matches!(
            self.ordered.kind,
            Some(OrderKind::Remake | OrderKind::Correction)
        );
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
        was_handed_over
            && worn.from.unix_ms < self.since_ms()
            && !is_again
            && !enclosed.contains(&worn.tag)
            && !enclosed.iter().any(is_new)
            && !self.handoffs().any(is_sent)
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
        // What comes after the rest holds nothing up that does not wait for it; a second parcel belongs to the first.
        let is_second = under_way.is_some_and(|one| one.received_at.is_some());
        let is_awaited = !is_at_lab || is_second || self.awaits_listed(arch);
        match under_way.map(|one| one.to) {
            Some(Side::Office) => WorkAt::Coming,
            Some(Side::Lab) if is_awaited => WorkAt::ToLab,
            _ if is_at_lab && self.handoffs().any(is_packed) => WorkAt::Packed,
            _ if is_at_lab => WorkAt::AtLab,
            _ if self.ordered.since.is_none() && self.final_is_worn(arch) => WorkAt::Worn,
            _ if self.is_here_to_be_weighed(arch) => WorkAt::ToWeigh,
            _ => WorkAt::ToSend,
        }
    }

    /// Whether something that is listed as enclosed for this arch is on its way to the lab.
    fn awaits_listed(&self, arch: Arch) -> bool {
        let lacking = lacking(self.ordered, self.items, self.case);
        let mut lacking = lacking.iter();
        lacking.any(|one| one.how == NotCome::OnTheWay && one.arch.is_none_or(|own| own == arch))
    }

    /// Whether a handoff carries the work for this arch along that is still to be made, by these of its things. To the
    /// lab goes the work of both arches with whatever is sent, unless what the lab has made for one of them is at the
    /// office. From the lab comes the work of those arches for which something made is in the parcel; with anything
    /// else, only where nothing is left there that it could be made from.
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
            return !only_returns(one) && (is_of_it || made.next().is_none());
        }
        let is_earlier = one.released_at.unix_ms < self.since_ms();
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
                    true => self.is_work_with(item, one),
                    false => self.is_made(item),
                };
                is_work && is_carrying(item)
            })
            .peekable();
        if !only_returns(one) && made.peek().is_some() {
            return made.any(|item| item.arch == Some(arch));
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
        let is_done_to = one.purpose_code.is_some() && item.kind.is_wearable();
        self.is_made(item) || (is_done_to && !only_returns(one))
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
        let look = *self;
        self.there().filter(move |(item, _)| {
            let Some(one) = look.last_out(&item.tag) else {
                return false;
            };
            let since_ms = look.since_ms();
            let is_late = match one.received_at {
                Some(at) => at.unix_ms >= since_ms,
                None => !one.is_packed(),
            };
            let is_earlier = one.released_at.unix_ms < since_ms && !look.is_to_it(one);
            item.arch == Some(arch) && look.is_work_with(item, one) && is_earlier && is_late
        })
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
        WorkAt::ToFit | WorkAt::ToTry => 4,
        WorkAt::Worn => 5,
        WorkAt::ToLab | WorkAt::AtLab | WorkAt::ToSend => 6,
        WorkAt::Unsaid(_) => 7,
        WorkAt::Kept => 8,
    }
}
