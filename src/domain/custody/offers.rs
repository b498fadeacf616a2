//! What is offered to do with a case: a step is offered exactly where the rules would let it through, were it
//! filled in well. What stands against that one stands against every one, so nobody fills in a form for nothing.

use super::bench::{BenchEntry, BenchStep};
use super::case_state::CaseState;
use super::closing::dispositions;
use super::event::Event;
use super::events::{
    ACTIONS, Action, Answered, Asked, Assigned, BroughtBack, Cancelled, Closed, Confirmed,
    DayAnswered, Disinfected, FitChecked, Fitted, FollowedUp, Heeded, ItemAction, KeptLonger,
    MarkedForLab, Moved, PassAnswered, PassAsked, PassEnded, PassMoved, PassReplied, PassedOn,
    Paused, PickedUp, Pictured, Promised, Received, Registered, Released, Reopened, ScanFiled,
    Settled, ShareAnswered, Stopped, Subject, TakenOut, Telephoned, Undone, Voided, WentOn, What,
    Withdrawn, Worked, away_from_the_office,
};
use super::fit::{FitEntry, FitFound, FitValue, FitVerdict};
use super::follow_up::{FollowUp, FollowUpEntry, FollowedBy, LookedAt};
use super::handoff::Handoff;
use super::hold::Hold;
use super::item::{Item, ItemKind};
use super::parcel::{Found, Sent};
use super::passed::{PassAnswer, PassLeg, PassQuestion, PassedWork, SecondLab};
use super::pictures::{PictureOf, TakenPicture};
use super::promise::{DatePromise, DayAnswer};
use super::proposal::Refusal;
use super::questions::{Matter, PhoneCall, Question};
use super::rules::{Context, allow_in};
use super::scan_files::{FiledScan, ScanOf};
use super::signature::{Exception, Signed};
use super::standstill::{Fate, Fated};
use super::state::State;
use super::worn::worn_in;
use crate::domain::form::Day;
use crate::domain::mesh::MeshUnit;
use crate::domain::people::access::{Permission, may};
use crate::domain::people::party::{Actor, Side};
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::{EventId, HandoffId, Tag};
use crate::domain::values::moment::Moment;
use std::borrow::Cow;

/// Something that can be done with a case, and with which of its things.
#[derive(Debug, Clone, Copy)]
pub enum CaseStep<'a> {
    /// Hand this item over, disinfected before where that is still to be done.
    HandOver(&'a Tag),
    Receive(&'a Handoff),
    /// Enter that the carrier has taken what was packed.
    PickUp(&'a Handoff),
    /// Take back a handoff that nobody has received.
    TakeBack(&'a Handoff),
    /// Register an item that the case does not have yet.
    Register,
    /// Put this somewhere in the house.
    Put(&'a Tag),
    /// Put this into the mouth, for what its arch wears now.
    Fit(&'a Tag),
    /// Take this out of the mouth, and put nothing in.
    TakeOut(&'a Tag),
    /// Sign the statement on what was found wrong.
    Resolve(&'a Hold),
    /// Sign, after the statement, that what did not come is found: it was never packed.
    FoundHere(&'a Hold),
    /// Stop the work at once.
    Stop,
    Pause,
    /// Let work that stands still go on.
    GoOn,
    Cancel,
    /// Take notice, for the lab, that the work stands still.
    Heed,
    /// Ask the other house something.
    Ask,
    Answer(&'a Question),
    /// Take back what one's own house has asked.
    TakeBackQuestion(&'a Question),
    /// Write down what was said on the telephone.
    Telephone,
    Confirm(&'a PhoneCall),
    /// Take back a call that one's own house has written down.
    TakeBackCall(&'a PhoneCall),
    /// Name the day by which the work is back.
    Promise,
    AnswerDay(&'a DatePromise),
    /// Give the case its pan and its technician.
    Assign,
    /// Enter a step that was done at the bench for these arches.
    Bench(Arches),
    /// Hold what has come, or was made, against the prescription.
    CheckFit,
    /// Withdraw an entry of the bench.
    UndoBench(&'a BenchEntry),
    /// Withdraw an entry of what was held against the prescription.
    UndoFit(&'a FitEntry),
    /// Add a picture of something of the case.
    AddPicture,
    /// Add a scan of something of the case.
    AddScan,
    /// Say that this picture is for the lab, or is not any more.
    MarkPicture(&'a TakenPicture),
    MarkScan(&'a FiledScan),
    /// Enter a check after the fit of these arches.
    FollowUp(Arches),
    /// Say, for the lab, how it sees the part of each house.
    AnswerShare(&'a FollowUpEntry),
    /// Withdraw a check after the fit.
    UndoFollowUp(&'a FollowUpEntry),
    /// Pass this on to a second laboratory.
    PassOn(&'a Tag),
    /// Pass what is there on anew, for the revision in force.
    PassAnew(&'a PassedWork),
    /// Say, for the office, whether work may be passed on.
    AnswerPass(&'a PassedWork),
    /// Enter a stretch of the way of this thing between the two laboratories.
    PassMove(&'a PassedWork, PassLeg, &'a Tag),
    EndPass(&'a PassedWork),
    /// Ask, for the second laboratory, about what is passed on to it.
    AskPass(&'a PassedWork),
    /// Answer a question of the second laboratory.
    ReplyPass(&'a PassQuestion),
    /// Take back, for the second laboratory, what it has asked.
    TakeBackPass(&'a PassQuestion),
    Close,
    Reopen,
    /// Keep the papers of the case beyond their time.
    KeepLonger,
    /// Lift that again.
    KeepNoLonger,
}

/// Somebody before a case at a moment, to whom its steps are offered or not.
#[derive(Debug, Clone)]
pub struct Offers<'a> {
    context: Context<'a>,
    case: &'a CaseState,
    by: Actor,
    at: Moment,
}

impl<'a> Offers<'a> {
    /// `case` is what `context.events` say.
    pub fn new(context: Context<'a>, case: &'a CaseState, by: &Actor, at: Moment) -> Offers<'a> {
        Offers {
            context,
            case,
            by: by.clone(),
            at,
        }
    }

    /// Who asks.
    pub fn by(&self) -> &Actor {
        &self.by
    }

    /// The case that is asked about.
    pub fn case(&self) -> (Context<'a>, &'a CaseState) {
        (self.context, self.case)
    }

    /// Whether a step is offered.
    pub fn has(&self, step: CaseStep<'_>) -> bool {
        self.against(step).is_empty()
    }

    /// What stands against a step however well it is filled in; empty where it is offered.
    pub fn against(&self, step: CaseStep<'_>) -> Vec<Refusal> {
        self.against_entries(step, self.example(step))
    }

    /// What stands against these entries of a step, one after the other.
    fn against_entries(&self, step: CaseStep<'_>, entries: Vec<What>) -> Vec<Refusal> {
        let new = self.new_item(step);
        let items: Vec<Item>;
        let mut context = self.context;
        if let Some(new) = new {
            items = context.items.iter().cloned().chain([new]).collect();
            context.items = &items;
        }
        let mut case = Cow::Borrowed(self.case);
        let mut entries = entries.into_iter().peekable();
        while let Some(what) = entries.next() {
            let refusals = allow_in(&context, &case, &what, &self.by, self.at);
            if !refusals.is_empty() {
                return refusals;
            }
            // Most steps are one entry, and the case is large: it is copied for the next one only.
            if entries.peek().is_some() {
                let event = self.event(what);
                case.to_mut().add(&event, context.events);
            }
        }
        Vec::new()
    }

    /// The items that can be handed over now.
    pub fn to_hand_over(&self) -> Vec<&'a Item> {
        self.items(|tag| self.has(CaseStep::HandOver(tag)))
    }

    /// Whether something can be handed over now only by an exception.
    pub fn needs_exception(&self) -> bool {
        let without = |mut what| {
            if let What::Released(released) = &mut what {
                released.exception = None;
            }
            what
        };
        self.to_hand_over().into_iter().any(|item| {
            let entries = self.handing_over(&item.tag).into_iter().map(without);
            let step = CaseStep::HandOver(&item.tag);
            !self.against_entries(step, entries.collect()).is_empty()
        })
    }

    /// The handoffs that can be received now.
    pub fn to_receive(&self) -> Vec<&'a Handoff> {
        let handoffs = self.case.handoffs.iter();
        let is_offered = |one: &&Handoff| self.has(CaseStep::Receive(one));
        handoffs.filter(is_offered).collect()
    }

    /// The packed handoffs whose pick-up can be entered now.
    pub fn to_pick_up(&self) -> Vec<&'a Handoff> {
        let handoffs = self.case.handoffs.iter();
        let is_offered = |one: &&Handoff| self.has(CaseStep::PickUp(one));
        handoffs.filter(is_offered).collect()
    }

    /// Whether this pick-up can be entered only by an exception.
    pub fn pick_up_is_exceptional(&self, handoff: &Handoff) -> bool {
        let plain = vec![picked_up(handoff, None)];
        let against = self.against_entries(CaseStep::PickUp(handoff), plain);
        !against.is_empty() && self.has(CaseStep::PickUp(handoff))
    }

    /// What can be passed on to a second laboratory now.
    pub fn to_pass_on(&self) -> Vec<&'a Item> {
        self.items(|tag| self.has(CaseStep::PassOn(tag)))
    }

    /// The things of work passed on that can go this stretch of the way now.
    pub fn to_move(&self, pass: &'a PassedWork, leg: PassLeg) -> Vec<&'a Tag> {
        let ready = pass.ready(self.case, leg);
        ready
            .filter(|tag| self.has(CaseStep::PassMove(pass, leg, tag)))
            .collect()
    }

    /// Whether anything of passing work on is open to whoever asks, but for the office's word.
    pub fn is_passing(&self) -> bool {
        let goes_on = |pass: &'a PassedWork| {
            let mut legs = PassLeg::ALL.iter();
            self.has(CaseStep::EndPass(pass))
                || self.has(CaseStep::PassAnew(pass))
                || legs.any(|leg| !self.to_move(pass, *leg).is_empty())
        };
        !self.to_pass_on().is_empty() || self.case.open_passes().any(goes_on)
    }

    /// What was found wrong and can be answered for now.
    pub fn to_resolve(&self) -> Vec<&'a Hold> {
        let holds = self.case.open_holds();
        holds
            .filter(|hold| self.has(CaseStep::Resolve(hold)))
            .collect()
    }

    /// What is still missing after its statement, and may be found where it was to be packed.
    pub fn to_find(&self) -> Vec<&'a Hold> {
        let resolved = self.case.holds.iter().filter(|hold| !hold.is_open());
        resolved
            .filter(|hold| self.has(CaseStep::FoundHere(hold)))
            .collect()
    }

    /// The dentures that can go into this arch now; what the patient has brought along is entered as that in the same
    /// step.
    pub fn to_fit(&self, arch: Arch) -> Vec<&'a Item> {
        let scope = self.context.scope();
        let is_of_it = |tag: &Tag| scope.item(tag).is_some_and(|item| item.arch == Some(arch));
        self.items(|tag| is_of_it(tag) && self.has(CaseStep::Fit(tag)))
    }

    /// What this arch wears, if it can be taken out now with nothing put in.
    pub fn to_take_out(&self, arch: Arch) -> Option<Tag> {
        self.worn_in(arch)
            .filter(|tag| self.has(CaseStep::TakeOut(tag)))
    }

    /// Whether anything can go into an arch or come out of it now.
    pub fn has_for_arch(&self, arch: Arch) -> bool {
        self.to_take_out(arch).is_some() || !self.to_fit(arch).is_empty()
    }

    /// The arches that are treated, and the others in which something can be changed now.
    pub fn arches(&self) -> Vec<Arch> {
        let scope = self.context.scope();
        let is_wanted = |arch: &Arch| scope.is_treated(*arch) || self.has_for_arch(*arch);
        Arch::ALL.iter().copied().filter(is_wanted).collect()
    }

    /// What can be recorded about an item now, on its own page.
    pub fn about(&self, tag: &Tag) -> Vec<&'static Action<What>> {
        let mut events = self.context.events.iter();
        let mistake = self.can_be_withdrawn(tag).next();
        let about = Subject {
            tag,
            scope: self.context.scope(),
            case: self.case,
            entry: events
                .find(|event| event.what.tags().contains(&tag))
                .map(|event| &event.id),
            mistake: mistake.map(|event| (&event.id, event.what.word())),
        };
        let is_allowed = |action: &&Action<What>| {
            let what = (action.example)(&about);
            allow_in(&self.context, self.case, &what, &self.by, self.at).is_empty()
        };
        ACTIONS.iter().filter(is_allowed).collect()
    }

    /// The entries about an item that can be withdrawn as mistakes now, the newest first.
    pub fn to_withdraw(&self, tag: &Tag) -> Vec<&'a Event> {
        self.can_be_withdrawn(tag).collect()
    }

    fn can_be_withdrawn(&self, tag: &Tag) -> impl Iterator<Item = &'a Event> {
        let (context, case) = self.case();
        let events = context.events.iter().rev();
        events.filter(move |event| {
            let what = What::Withdrawn(Withdrawn {
                tag: tag.clone(),
                event: event.id.clone(),
                was: Some(event.what.word().to_owned()),
                of: Some(event.at),
                reason: REASON.to_owned(),
                signed: None,
            });
            allow_in(&context, case, &what, &self.by, self.at).is_empty()
        })
    }

    /// The entries that a step makes, in their order, as somebody would fill them in well.
    pub fn example(&self, step: CaseStep<'_>) -> Vec<What> {
        match step {
            CaseStep::HandOver(tag) => self.handing_over(tag),
            CaseStep::Receive(handoff) => vec![received(handoff)],
            CaseStep::PickUp(handoff) => vec![picked_up(handoff, self.exception())],
            CaseStep::TakeBack(handoff) => vec![self.voided(handoff)],
            CaseStep::Register => self.registered().into_iter().collect(),
            CaseStep::Put(tag) => vec![What::Moved(Moved {
                tag: tag.clone(),
                to: REASON.to_owned(),
            })],
            CaseStep::Fit(tag) => self.fitting(tag),
            CaseStep::TakeOut(tag) => vec![What::TakenOut(TakenOut {
                tag: tag.clone(),
                exception: self.exception(),
            })],
            CaseStep::Resolve(hold) => vec![self.settled(hold, false)],
            CaseStep::FoundHere(hold) => vec![self.settled(hold, true)],
            CaseStep::Stop => vec![What::Stopped(Stopped {
                reason: REASON.to_owned(),
                signed: self.signed(),
            })],
            CaseStep::Pause => vec![What::Paused(Paused {
                reason: REASON.to_owned(),
                signed: self.signed(),
            })],
            CaseStep::GoOn => vec![What::WentOn(WentOn {
                reason: REASON.to_owned(),
                signed: self.signed(),
            })],
            CaseStep::Cancel => vec![self.cancelled()],
            CaseStep::Heed => {
                let halt = self.case.standstill.as_ref();
                let event = halt.map(|one| one.event.clone()).unwrap_or_default();
                vec![What::Heeded(Heeded { event })]
            }
            CaseStep::Ask => vec![What::Asked(Asked {
                matter: Matter::Other,
                from: self.side(),
                section: None,
                line: None,
                item: None,
                revision: 0,
                text: REASON.to_owned(),
                waits: false,
                picture: None,
            })],
            CaseStep::Answer(question) => vec![answered(question, false)],
            CaseStep::TakeBackQuestion(question) => vec![answered(question, true)],
            CaseStep::Telephone => vec![What::Telephoned(Telephoned {
                from: self.side(),
                with: REASON.to_owned(),
                text: REASON.to_owned(),
                question: None,
                section: None,
                item: None,
                picture: None,
            })],
            CaseStep::Confirm(call) => {
                vec![What::Confirmed(Confirmed {
                    event: call.event.clone(),
                    is_so: true,
                    note: String::new(),
                })]
            }
            CaseStep::TakeBackCall(call) => vec![What::Confirmed(Confirmed {
                event: call.event.clone(),
                is_so: false,
                note: String::new(),
            })],
            CaseStep::Promise => vec![self.promised()],
            CaseStep::AnswerDay(promise) => vec![What::DayAnswered(DayAnswered {
                promise: promise.event.clone(),
                answer: DayAnswer::Accepted,
                note: String::new(),
            })],
            CaseStep::PassOn(tag) => {
                let lab = SecondLab {
                    party: None,
                    name: REASON.to_owned(),
                    address: REASON.to_owned(),
                    licence: String::new(),
                };
                vec![self.passed_on(lab, vec![tag.clone()], None)]
            }
            CaseStep::PassAnew(pass) => {
                let items = pass.away(self.case).cloned().collect();
                vec![self.passed_on(pass.to.clone(), items, Some(pass.event.clone()))]
            }
            CaseStep::AnswerPass(pass) => vec![What::PassAnswered(PassAnswered {
                pass: pass.event.clone(),
                // What is said already is changed, where it is not too late.
                answer: match pass.reply.is_some() && !pass.is_refused() {
                    true => PassAnswer::Objected,
                    false => PassAnswer::Agreed,
                },
                note: REASON.to_owned(),
            })],
            CaseStep::AskPass(pass) => vec![What::PassAsked(PassAsked {
                pass: pass.event.clone(),
                text: REASON.to_owned(),
            })],
            CaseStep::ReplyPass(question) => vec![replied(question, false)],
            CaseStep::TakeBackPass(question) => vec![replied(question, true)],
            CaseStep::PassMove(pass, leg, tag) => vec![What::PassMoved(PassMoved {
                pass: pass.event.clone(),
                leg,
                items: vec![Found::sound(tag.clone())],
                carrier: REASON.to_owned(),
                person: REASON.to_owned(),
                set_right: Vec::new(),
            })],
            CaseStep::EndPass(pass) => vec![What::PassEnded(PassEnded {
                pass: pass.event.clone(),
                reason: REASON.to_owned(),
            })],
            CaseStep::Assign => vec![What::Assigned(Assigned {
                pan: REASON.to_owned(),
                technician: None,
            })],
            CaseStep::Bench(arches) => vec![worked(arches)],
            CaseStep::CheckFit => vec![What::FitChecked(FitChecked {
                from: self.side(),
                revision: 0,
                found: vec![looked_at()],
                note: String::new(),
            })],
            CaseStep::UndoBench(entry) => vec![undone(&entry.event)],
            CaseStep::UndoFit(entry) => vec![undone(&entry.event)],
            CaseStep::AddPicture => vec![What::Pictured(Pictured {
                shows: PictureOf::Other,
                item: None,
                hash: REASON.to_owned(),
                length: 1,
                width: 1,
                height: 1,
                caption: String::new(),
                for_lab: false,
                question: None,
            })],
            CaseStep::AddScan => vec![What::ScanFiled(ScanFiled {
                shows: ScanOf::Other,
                item: None,
                is_its_file: false,
                hash: REASON.to_owned(),
                length: 1,
                is_stl: true,
                triangles: 1,
                width_um: 1,
                depth_um: 1,
                height_um: 1,
                unit: MeshUnit::Millimetre,
                caption: String::new(),
                for_lab: false,
            })],
            CaseStep::MarkPicture(one) => vec![What::MarkedForLab(MarkedForLab {
                event: one.event.clone(),
                is_scan: false,
                of: one.at,
                for_lab: !one.for_lab,
            })],
            CaseStep::MarkScan(one) => vec![What::MarkedForLab(MarkedForLab {
                event: one.event.clone(),
                is_scan: true,
                of: one.at,
                for_lab: !one.for_lab,
            })],
            CaseStep::FollowUp(arches) => vec![What::FollowedUp(FollowedUp {
                check: FollowUp::Other,
                arches,
                looked: vec![LookedAt::Asked],
                complaints: Vec::new(),
                done: String::new(),
                followed_by: FollowedBy::Nothing,
                cause: None,
                share: None,
            })],
            CaseStep::AnswerShare(entry) => vec![What::ShareAnswered(ShareAnswered {
                event: entry.event.clone(),
                agrees: true,
                note: String::new(),
            })],
            CaseStep::UndoFollowUp(entry) => vec![undone(&entry.event)],
            CaseStep::Close => vec![What::Closed(Closed {
                // Where something is undecided, the rule itself says what.
                items: dispositions(&self.context.scope(), self.case).unwrap_or_default(),
                note: String::new(),
                nothing_made: false,
                signed: self.signed(),
            })],
            CaseStep::Reopen => vec![What::Reopened(Reopened {
                reason: REASON.to_owned(),
            })],
            CaseStep::KeepLonger => vec![self.kept_longer(false)],
            CaseStep::KeepNoLonger => vec![self.kept_longer(true)],
        }
    }

    fn kept_longer(&self, ends: bool) -> What {
        What::KeptLonger(KeptLonger {
            from: self.side(),
            ends,
            reason: REASON.to_owned(),
            signed: self.signed(),
        })
    }

    /// The item that the example of a step registers; the case would have it then.
    pub fn new_item(&self, step: CaseStep<'_>) -> Option<Item> {
        let is_new = |tag: &Tag| self.context.items.iter().all(|item| item.tag != *tag);
        let mut tags = (0..=u8::MAX).filter_map(|seed| Tag::from_random([seed; 7]));
        let tag = tags
            .find(is_new)
            .filter(|_| matches!(step, CaseStep::Register))?;
        Some(Item {
            tag,
            case: self.context.case.clone(),
            kind: ItemKind::Photograph,
            arch: None,
            note: String::new(),
            pieces: 1,
            borrowed: false,
        })
    }

    fn items(&self, is_it: impl Fn(&Tag) -> bool) -> Vec<&'a Item> {
        let items = self.context.items.iter();
        items.filter(|item| is_it(&item.tag)).collect()
    }

    fn worn_in(&self, arch: Arch) -> Option<Tag> {
        let line = self.case.worn(self.context.items);
        worn_in(&line, arch).cloned()
    }

    /// For the revision of the newest day, and later than that.
    fn promised(&self) -> What {
        let named = self.case.promise.as_ref();
        let last = named.map_or(self.at.date(), |one| one.day);
        let day = last.max(self.at.date());
        What::Promised(Promised {
            day: Day::from(day.next_day().unwrap_or(day)),
            revision: named.map_or(1, |one| one.revision),
            note: String::new(),
        })
    }

    /// Passed on to this laboratory; no rule hangs on the day or the arches.
    fn passed_on(&self, to: SecondLab, items: Vec<Tag>, instead_of: Option<EventId>) -> What {
        What::PassedOn(PassedOn {
            to,
            arches: self.context.arches,
            items,
            task: REASON.to_owned(),
            revision: 1,
            wanted: Day::from(self.at.date()),
            needs_consent: false,
            instead_of,
            signed: self.signed(),
        })
    }

    /// The side that acts; a stranger is refused whichever it is.
    fn side(&self) -> Side {
        let side = self.context.scope().side(&self.by);
        side.unwrap_or(Side::Office)
    }

    fn kind(&self, tag: &Tag) -> Option<ItemKind> {
        let scope = self.context.scope();
        scope.item(tag).map(|item| item.kind)
    }

    fn event(&self, what: What) -> Event {
        Event {
            id: EventId::default(),
            case: self.context.case.clone(),
            at: self.at,
            entered_at: self.at,
            by: self.by.clone(),
            paper: None,
            by_code: None,
            what,
        }
    }

    /// With the disinfection that the form enters along with it.
    fn handing_over(&self, tag: &Tag) -> Vec<What> {
        let needs = self.kind(tag).is_some_and(ItemKind::needs_disinfection);
        let is_clean = |state: &State| state.disinfected;
        let is_clean = self.case.item(tag).is_some_and(is_clean);
        let before = (needs && !is_clean).then(|| self.disinfected(tag));
        let from = self.side();
        let released = What::Released(Released {
            handoff: HandoffId::default(),
            items: vec![Sent {
                tag: tag.clone(),
                condition: String::new(),
                set_right: false,
                parcel: 0,
                pieces: None,
            }],
            from,
            to: from.other(),
            carrier: REASON.to_owned(),
            tracking: String::new(),
            purpose_code: None,
            purpose: String::new(),
            seal: String::new(),
            exception: self.exception(),
            parcels: Vec::new(),
            stays: Vec::new(),
            unread: None,
            older: None,
            awaits_pickup: true,
            taken_by: String::new(),
        });
        before.into_iter().chain([released]).collect()
    }

    /// With the disinfection of what came without a mark of one; what the patient has at home comes here first.
    fn fitting(&self, tag: &Tag) -> Vec<What> {
        let state = self.case.item(tag);
        let comes_along = state.is_some_and(State::is_with_the_patient);
        let is_held = comes_along || state.is_some_and(|state| state.held_for_disinfection);
        let brought = comes_along.then(|| What::BroughtBack(BroughtBack { tag: tag.clone() }));
        let clean = is_held.then(|| self.disinfected(tag));
        let before = brought.into_iter().chain(clean);
        let arch = self.context.scope().item(tag).and_then(|item| item.arch);
        let fitted = What::Fitted(Fitted {
            tag: tag.clone(),
            instead_of: arch.and_then(|arch| self.worn_in(arch)),
            uncleaned: !is_held && state.is_some_and(|state| state.uncleaned),
            exception: self.exception().filter(|_| self.case.rests_unworn(tag)),
            approval: None,
        });
        before.chain([fitted]).collect()
    }

    fn disinfected(&self, tag: &Tag) -> What {
        let about = Subject {
            tag,
            scope: self.context.scope(),
            case: self.case,
            entry: None,
            mistake: None,
        };
        Disinfected::example(&about).into()
    }

    fn registered(&self) -> Option<What> {
        let item = self.new_item(CaseStep::Register)?;
        Some(What::Registered(Registered {
            tag: item.tag,
            place: self.side(),
            worn: false,
            note: String::new(),
            pieces: None,
            made: None,
            due_back: None,
            file: None,
        }))
    }

    fn settled(&self, hold: &Hold, not_packed: bool) -> What {
        What::Settled(Settled {
            hold: hold.id.clone(),
            trouble: hold.trouble,
            tag: hold.tag.clone(),
            reason: REASON.to_owned(),
            done: REASON.to_owned(),
            signed: self.signed(),
            not_packed,
        })
    }

    /// All of it comes back.
    fn cancelled(&self) -> What {
        let tags = away_from_the_office(&self.context.scope(), self.case);
        let back = |tag| Fated {
            consent: None,
            tag,
            fate: Fate::ComesBack,
        };
        What::Cancelled(Cancelled {
            reason: REASON.to_owned(),
            items: tags.into_iter().map(back).collect(),
            signed: self.signed(),
        })
    }

    fn voided(&self, handoff: &Handoff) -> What {
        What::Voided(Voided {
            handoff: handoff.id.clone(),
            items: handoff.to_take_back().into_iter().cloned().collect(),
            reason: REASON.to_owned(),
            signed: self.signed(),
            brought_back: Some(handoff.has_left()),
        })
    }

    /// Whoever may sign fills one in where a rule asks for it, and nobody else can.
    fn exception(&self) -> Option<Exception> {
        may(self.by.role, Permission::Sign).then(|| Exception {
            name: self.by.name.clone(),
            licence: String::new(),
            reason: REASON.to_owned(),
        })
    }

    fn signed(&self) -> Signed {
        Signed {
            name: self.by.name.clone(),
            licence: String::new(),
            meaning: String::new(),
        }
    }
}

/// What stands in the examples where a text is needed; no rule hangs on what it says.
const REASON: &str = "said in words";

fn answered(question: &Question, taken_back: bool) -> What {
    What::Answered(Answered {
        question: question.event.clone(),
        text: REASON.to_owned(),
        taken_back,
        picture: None,
    })
}

fn replied(question: &PassQuestion, taken_back: bool) -> What {
    What::PassReplied(PassReplied {
        question: question.event.clone(),
        text: REASON.to_owned(),
        taken_back,
    })
}

fn undone(event: &EventId) -> What {
    What::Undone(Undone {
        event: event.clone(),
        reason: REASON.to_owned(),
    })
}

/// Something that was looked at.
fn looked_at() -> FitFound {
    FitFound {
        value: FitValue::Borders,
        asked: None,
        within: None,
        readings: Vec::new(),
        decided: None,
        verdict: FitVerdict::AsAsked,
    }
}

/// A step of which nothing more is asked.
fn worked(arches: Arches) -> What {
    What::Worked(Worked {
        step: BenchStep::Finished,
        arches,
        revision: 0,
        minutes: None,
        used: Vec::new(),
        readings: Vec::new(),
        photographed: None,
        no_photo: String::new(),
        timed: Vec::new(),
        keep_until: None,
        mounting: None,
        picture: None,
        note: String::new(),
    })
}

/// All of it came, and sound.
fn received(handoff: &Handoff) -> What {
    What::Received(Received {
        handoff: handoff.id.clone(),
        place: handoff.to,
        items: handoff
            .outstanding()
            .into_iter()
            .cloned()
            .map(Found::sound)
            .collect(),
        unannounced: String::new(),
        parcels: Vec::new(),
        foreign: String::new(),
        no_pick_up: handoff.is_packed(),
    })
}

/// All of its parcels are taken.
fn picked_up(handoff: &Handoff, exception: Option<Exception>) -> What {
    What::PickedUp(PickedUp {
        handoff: handoff.id.clone(),
        items: handoff.sent.iter().map(|sent| sent.tag.clone()).collect(),
        person: REASON.to_owned(),
        parcels: u32::try_from(handoff.parcels.len()).unwrap_or(u32::MAX),
        handed_out_by: String::new(),
        exception,
        older: None,
        unread: None,
    })
}
