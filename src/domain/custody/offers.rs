//! What is offered to do with a case: a step is offered exactly where the rules would let it through, were it
//! filled in well. What stands against that one stands against every one, so nobody fills in a form for nothing.

use super::bench::BenchEntry;
use super::case_state::CaseState;
use super::event::Event;
use super::events::{
    ACTIONS, Action, Answered, Asked, Assigned, BroughtBack, Cancelled, CarriedOver, Closed,
    Confirmed, DayAnswered, Disinfected, FitChecked, Fitted, FollowedUp, Heeded, ItemAction,
    KeptLonger, MarkedForLab, Moved, PassAnswered, PassAsked, PassEnded, PassMoved, PassReplied,
    PassedOn, Paused, PickedUp, Pictured, Promised, Received, Registered, Released, Reopened,
    Resolved, SampleContext, ScanFiled, ShareAnswered, Stopped, Subject, TakenOut, Telephoned,
    Undone, Voided, WentOn, What, Withdrawn, Worked,
};
use super::fit::FitEntry;
use super::follow_up::FollowUpEntry;
use super::handoff::Handoff;
use super::hold::Hold;
use super::item::{Item, ItemKind};
use super::passed::{PassLeg, PassQuestion, PassedWork};
use super::pictures::TakenPicture;
use super::promise::DatePromise;
use super::proposal::Refusal;
use super::questions::{PhoneCall, Question};
use super::rules::{Context, allow_in};
use super::scan_files::FiledScan;
use super::state::State;
use super::worn::worn_in;
use crate::domain::people::party::Actor;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::Moment;
use std::borrow::Cow;

/// Something that can be done with a case, and with which of its things.
#[derive(Debug, Clone, Copy)]
#[cfg_attr(test, derive(strum::EnumDiscriminants))]
#[cfg_attr(test, strum_discriminants(name(StepKind), derive(strum::EnumIter)))]
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
    /// Say that no revision is needed for what was said.
    LeaveUnwritten(&'a PhoneCall),
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
    /// Say of what was done for the revision of this entry whether it stands for a later one.
    CarryOver(&'a BenchEntry),
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
    /// Pass what is there on again, for the revision in force.
    PassAgain(&'a PassedWork),
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
        let plain = vec![PickedUp::sample(handoff, None).into()];
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
                || self.has(CaseStep::PassAgain(pass))
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

    /// Entries of the way of work that is passed on which can be withdrawn as mistakes now, the newest first.
    pub fn moves_to_withdraw(&self, pass: &PassedWork) -> Vec<&'a Event> {
        let (context, _) = self.case();
        let moves = context.events.iter().rev();
        let moves = moves.filter(|event| pass.moves.contains(&event.id));
        let can_be = |event: &&Event| {
            let first = event.what.tags().first().copied();
            first.is_some_and(|tag| self.can_be_withdrawn(tag).any(|one| one.id == event.id))
        };
        moves.filter(can_be).collect()
    }

    fn can_be_withdrawn(&self, tag: &Tag) -> impl Iterator<Item = &'a Event> {
        let (context, case) = self.case();
        let events = context.events.iter().rev();
        events.filter(move |event| {
            let what = Withdrawn::sample(tag, &event.id, event.what.word(), event.at).into();
            allow_in(&context, case, &what, &self.by, self.at).is_empty()
        })
    }

    /// The entries that a step makes, in their order, as somebody would fill them in well.
    pub fn example(&self, step: CaseStep<'_>) -> Vec<What> {
        let on = &self.sample_context();
        let one: What = match step {
            CaseStep::HandOver(tag) => return self.handing_over(tag),
            CaseStep::Fit(tag) => return self.fitting(tag),
            CaseStep::Register => return self.registered().into_iter().collect(),
            CaseStep::Receive(handoff) => Received::sample(handoff).into(),
            CaseStep::PickUp(handoff) => PickedUp::sample(handoff, on.exception()).into(),
            CaseStep::TakeBack(handoff) => Voided::sample(on, handoff).into(),
            CaseStep::Put(tag) => Moved::example(&self.subject(tag)).into(),
            CaseStep::TakeOut(tag) => TakenOut::sample(on, tag).into(),
            CaseStep::Resolve(hold) => Resolved::sample(on, hold, false).into(),
            CaseStep::FoundHere(hold) => Resolved::sample(on, hold, true).into(),
            CaseStep::Stop => Stopped::sample(on).into(),
            CaseStep::Pause => Paused::sample(on).into(),
            CaseStep::GoOn => WentOn::sample(on).into(),
            CaseStep::Cancel => Cancelled::sample(on).into(),
            CaseStep::Heed => Heeded::sample(on).into(),
            CaseStep::Ask => Asked::sample(on).into(),
            CaseStep::Answer(question) => Answered::sample(question, false).into(),
            CaseStep::TakeBackQuestion(question) => Answered::sample(question, true).into(),
            CaseStep::Telephone => Telephoned::sample(on).into(),
            CaseStep::Confirm(call) => Confirmed::sample(call, true).into(),
            CaseStep::LeaveUnwritten(call) => Confirmed::sample_of_none(call).into(),
            CaseStep::TakeBackCall(call) => Confirmed::sample(call, false).into(),
            CaseStep::Promise => Promised::sample(on).into(),
            CaseStep::AnswerDay(promise) => DayAnswered::sample(promise).into(),
            CaseStep::PassOn(tag) => PassedOn::sample(on, tag).into(),
            CaseStep::PassAgain(pass) => PassedOn::sample_again(on, pass).into(),
            CaseStep::AnswerPass(pass) => PassAnswered::sample(pass).into(),
            CaseStep::AskPass(pass) => PassAsked::sample(pass).into(),
            CaseStep::ReplyPass(question) => PassReplied::sample(question, false).into(),
            CaseStep::TakeBackPass(question) => PassReplied::sample(question, true).into(),
            CaseStep::PassMove(pass, leg, tag) => PassMoved::sample(pass, leg, tag).into(),
            CaseStep::EndPass(pass) => PassEnded::sample(pass).into(),
            CaseStep::Assign => Assigned::sample().into(),
            CaseStep::Bench(arches) => Worked::sample(arches).into(),
            CaseStep::CheckFit => FitChecked::sample(on).into(),
            CaseStep::CarryOver(entry) => CarriedOver::sample(entry).into(),
            CaseStep::UndoBench(entry) => Undone::sample(&entry.event).into(),
            CaseStep::UndoFit(entry) => Undone::sample(&entry.event).into(),
            CaseStep::AddPicture => Pictured::sample().into(),
            CaseStep::AddScan => ScanFiled::sample().into(),
            CaseStep::MarkPicture(one) => MarkedForLab::sample_of_picture(one).into(),
            CaseStep::MarkScan(one) => MarkedForLab::sample_of_scan(one).into(),
            CaseStep::FollowUp(arches) => FollowedUp::sample(arches).into(),
            CaseStep::AnswerShare(entry) => ShareAnswered::sample(entry).into(),
            CaseStep::UndoFollowUp(entry) => Undone::sample(&entry.event).into(),
            CaseStep::Close => Closed::sample(on).into(),
            CaseStep::Reopen => Reopened::sample().into(),
            CaseStep::KeepLonger => KeptLonger::sample(on, false).into(),
            CaseStep::KeepNoLonger => KeptLonger::sample(on, true).into(),
        };
        vec![one]
    }

    fn sample_context(&self) -> SampleContext<'_> {
        SampleContext {
            scope: self.context.scope(),
            case: self.case,
            by: &self.by,
            at: self.at,
        }
    }

    /// An item in the case as it stands, for a kind that is recorded about one.
    fn subject<'s>(&'s self, tag: &'s Tag) -> Subject<'s> {
        Subject {
            tag,
            scope: self.context.scope(),
            case: self.case,
            entry: None,
            mistake: None,
        }
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
        let released = Released::sample(&self.sample_context(), tag);
        before.into_iter().chain([released.into()]).collect()
    }

    /// With the disinfection of what came without a mark of one; what the patient has at home comes here first.
    fn fitting(&self, tag: &Tag) -> Vec<What> {
        let state = self.case.item(tag);
        let comes_along = state.is_some_and(State::is_with_the_patient);
        let is_held = comes_along || state.is_some_and(|state| state.held_for_disinfection);
        let brought = comes_along.then(|| BroughtBack::example(&self.subject(tag)).into());
        let clean = is_held.then(|| self.disinfected(tag));
        let before = brought.into_iter().chain(clean);
        let fitted = Fitted::sample(&self.sample_context(), tag, is_held);
        before.chain([fitted.into()]).collect()
    }

    fn disinfected(&self, tag: &Tag) -> What {
        Disinfected::example(&self.subject(tag)).into()
    }

    fn registered(&self) -> Option<What> {
        let item = self.new_item(CaseStep::Register)?;
        Some(Registered::sample(&self.sample_context(), item.tag).into())
    }
}
