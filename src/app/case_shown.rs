//! What pages read of a case in hand. They ask it here by name: what is folded from the entries, and how, is known to
//! `domain` and to use cases alone.

use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use crate::domain::custody::bench::{Assignment, BenchEntry};
use crate::domain::custody::emptied::{EmptyArch, without_teeth};
use crate::domain::custody::events::{Disinfected, away_from_the_office};
use crate::domain::custody::fit::{FitEntry, FitFound, found_otherwise};
use crate::domain::custody::follow_up::FollowUpEntry;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::mouth::{Stretch, timeline, worn_in};
use crate::domain::custody::ribbon::{Ribbon, ribbon};
use crate::domain::custody::{
    DatePromise, Description, Event, Fate, FiledScan, Handlers, KeptSince, Lineage, PassQuestion,
    PassedWork, PhoneCall, Question, SaidToLab, TakenPicture, What, WorkOver, describe_in, ending,
    handlers, hangs_on, lineage,
};
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{EventId, HandoffId, Tag};
use crate::domain::values::moment::Moment;
use time::Date;

/// The case as a whole.
impl CaseWork {
    /// Whether the office has given the work up.
    pub fn is_cancelled(&self) -> bool {
        self.state.is_cancelled()
    }

    /// Whether the work is stopped, paused or cancelled.
    pub fn stands_still(&self) -> bool {
        self.state.standstill.is_some()
    }

    /// Why no work goes on; none while it does, or only rests.
    pub fn work_over(&self) -> Option<WorkOver> {
        self.state.work_over()
    }

    /// Where each item has been, as a picture up to `now`.
    pub fn ribbon(&self, now: Moment) -> Ribbon {
        let arches = self.case.arches.treated();
        ribbon(&self.items, &self.events, &self.state, arches, now)
    }

    /// The newest day that the lab has named, for whichever revision.
    pub fn promise(&self) -> Option<&DatePromise> {
        self.state.promise.as_ref()
    }

    /// The day that the lab has named for the revision in force.
    pub fn named_day(&self) -> Option<&DatePromise> {
        self.state.named_day(self.case.revision)
    }

    /// The work passed on that is wanted back from a second laboratory on a day.
    pub fn passed_until(&self, day: Date) -> Option<&PassedWork> {
        let mut passes = self.state.open_passes();
        passes.find(|one| one.wanted == day && !one.is_refused())
    }

    /// What the patient wears, with its tags, where the office looks.
    pub fn worn_of_the_office(&self) -> Vec<String> {
        let is_worn = |item: &&Item| self.state.item(&item.tag).is_some_and(|state| state.worn);
        let worn = self.items.iter().filter(is_worn);
        worn.filter(|_| self.side == Side::Office)
            .map(|item| title_and_tag(self, &item.tag))
            .collect()
    }

    /// What a house has said of keeping its papers longer.
    pub fn kept_longer(&self, side: Side) -> Option<&KeptSince> {
        self.state.kept_longer.of(side)
    }

    /// The arches for which the patient has no denture.
    pub fn without_teeth(&self) -> Vec<EmptyArch> {
        let treated = self.case.arches.treated();
        without_teeth(&self.items, &self.state, treated, &self.elsewhere)
    }

    /// What both houses have said of that, in words; none where nothing is.
    pub fn kept_longer_words(&self) -> Option<String> {
        self.state.kept_longer.words()
    }

    /// An entry in words, with its items and what it answers.
    pub fn describe(&self, event: &Event) -> Description {
        describe_in(&self.items, &self.state, event)
    }
}

/// Its things.
impl CaseWork {
    /// Whether something can still happen to a thing.
    pub fn is_there(&self, tag: &Tag) -> bool {
        self.state.item(tag).is_some_and(|state| state.is_there())
    }

    /// Whether a thing was not in the parcel that it was to come with.
    pub fn is_missing(&self, tag: &Tag) -> bool {
        self.state.item(tag).is_some_and(|state| state.missing)
    }

    /// Whether a disinfection of a thing stands.
    pub fn is_disinfected(&self, tag: &Tag) -> bool {
        self.state.item(tag).is_some_and(|state| state.disinfected)
    }

    /// Where a thing lies inside its house, as somebody said.
    pub fn shelf(&self, tag: &Tag) -> Option<&str> {
        self.state.item(tag)?.place.as_deref()
    }

    /// Whether a thing lies in the house that asks.
    pub fn is_in_house(&self, tag: &Tag) -> bool {
        self.state.is_in_house(tag, self.side)
    }

    /// What the house that asks can have made something from.
    pub fn parents(&self) -> impl Iterator<Item = &Item> {
        let items = self.items.iter();
        items.filter(move |item| self.state.can_be_made_from(&item.tag, self.side))
    }

    /// Things of a kind for an arch that are there already.
    pub fn alike(&self, kind: ItemKind, arch: Option<Arch>) -> Vec<&Item> {
        self.state.alike(&self.items, (kind, arch))
    }

    /// What the lab has made for the mouth in an arch and has in hand.
    pub fn made_in_hand(&self, arch: Arch) -> Vec<&Item> {
        self.state.made_in_hand(&self.items, arch)
    }

    /// Whether a thing is the patient's.
    pub fn is_the_patients(&self, tag: &Tag) -> bool {
        let item = self.item(tag);
        item.is_some_and(|item| self.state.is_the_patients(item))
    }

    /// Things that are away from the office: it says what becomes of each when it gives the work up.
    pub fn away_from_the_office(&self) -> Vec<Tag> {
        away_from_the_office(&self.context().scope(), &self.state)
    }

    /// What the office has said becomes of a thing of cancelled work.
    pub fn fate(&self, tag: &Tag) -> Option<Fate> {
        self.state.fate(tag)
    }

    /// What a thing was made from, and what came of it.
    pub fn lineage(&self, tag: &Tag) -> Lineage {
        lineage(&self.state, tag)
    }

    /// How often a thing has changed hands, and whose they were.
    pub fn handlers(&self, tag: &Tag) -> Handlers {
        handlers(&self.state, &self.events, tag)
    }

    /// What hangs on a thing that is to be ended.
    pub fn hangs_on(&self, tag: &Tag) -> Vec<String> {
        hangs_on(&self.context().scope(), &self.state, &self.ordered, tag)
    }

    /// The handoff that a thing is on.
    pub fn handoff_of(&self, tag: &Tag) -> Option<&HandoffId> {
        self.state.handoff_of(tag)
    }

    /// Whether a parcel waits for the carrier though its work is cancelled.
    pub fn is_packed_in_vain(&self, handoff: &Handoff) -> bool {
        self.state.is_packed_in_vain(&handoff.id)
    }

    /// What the house that asks has disinfected, the newest first.
    pub fn own_disinfections(&self) -> impl Iterator<Item = &Disinfected> {
        let house = &self.party(self.side).id;
        let own = self.events.iter().rev();
        let own = own.filter(move |event| event.by.party == *house);
        own.filter_map(|event| match &event.what {
            What::Disinfected(entry) => Some(entry),
            _ => None,
        })
    }

    /// The entry that ended a thing, in words, where one has.
    pub fn ending(&self, tag: &Tag) -> Option<String> {
        ending(&self.items, &self.events, &self.state, tag)
    }

    /// The entries that move or change a thing, in their order.
    pub fn entries_of(&self, tag: &Tag) -> Vec<&Event> {
        let entries = self.events.iter();
        entries
            .filter(|event| event.what.tags().contains(&tag))
            .collect()
    }

    /// The entries that tell of a thing, correct one that does, or erase a text of one, in their order.
    pub fn entries_about(&self, tag: &Tag) -> impl DoubleEndedIterator<Item = &Event> {
        let concerns = move |id: &EventId| {
            let mut events = self.events.iter();
            events.any(|one| one.id == *id && one.what.concerns(tag))
        };
        self.events.iter().filter(move |event| {
            let about = event.what.kind().about_events();
            event.what.concerns(tag) || about.into_iter().any(concerns)
        })
    }
}

/// The mouth.
impl CaseWork {
    /// The whole line of an arch without a gap.
    pub fn worn_over_time(&self, arch: Arch) -> Vec<Stretch> {
        timeline(&self.items, &self.state, arch)
    }

    /// What an arch wears now.
    pub fn worn_in(&self, arch: Arch) -> Option<Tag> {
        let line = self.state.worn(&self.items);
        worn_in(&line, arch).cloned()
    }

    /// Whether a thing goes into the mouth only once it is disinfected, with no way past that.
    pub fn is_held_until_cleaned(&self, tag: &Tag) -> bool {
        self.state.is_held_until_cleaned(tag)
    }

    /// Dentures of an arch that lie packed at the office.
    pub fn packed_dentures(&self, arch: Arch) -> Vec<&Item> {
        self.state.packed_dentures(&self.items, arch)
    }
}

/// The bench, and what is checked.
impl CaseWork {
    /// Pan and technician, where anything was said.
    pub fn assigned(&self) -> Option<&Assignment> {
        self.state.assigned.as_ref()
    }

    /// What was done at the bench, the newest first.
    pub fn bench_entries(&self) -> impl Iterator<Item = &BenchEntry> {
        self.state.bench.iter().rev()
    }

    /// What was held against the prescription, the newest first.
    pub fn fit_entries(&self) -> impl Iterator<Item = &FitEntry> {
        self.state.fits.iter().rev()
    }

    /// What the same house had found of a value before, where that was something else.
    pub fn found_otherwise(&self, now: (&FitEntry, &FitFound)) -> Option<(&FitEntry, &FitFound)> {
        found_otherwise(&self.state.fits, now)
    }

    /// The checks after the fit, in the order they were entered.
    pub fn follow_ups(&self) -> &[FollowUpEntry] {
        &self.state.follow_ups
    }
}

/// What one house has asked or shown the other.
impl CaseWork {
    /// Pictures, the newest first, those that were erased along.
    pub fn pictures(&self) -> impl ExactSizeIterator<Item = &TakenPicture> {
        self.state.pictures.iter().rev()
    }

    /// Pictures that were not erased, the newest first.
    pub fn pictures_there(&self) -> impl Iterator<Item = &TakenPicture> {
        self.state.pictures_there()
    }

    /// The picture that this entry has added.
    pub fn picture(&self, event: &EventId) -> Option<&TakenPicture> {
        self.state.picture(event)
    }

    /// Whether any picture prints with the prescription.
    pub fn prints_pictures(&self) -> bool {
        self.state.pictures.iter().any(|one| one.for_lab)
    }

    /// Scans as files, the newest first.
    pub fn scans(&self) -> impl ExactSizeIterator<Item = &FiledScan> {
        self.state.scans.iter().rev()
    }

    /// The question of this entry.
    pub fn question(&self, asked: &EventId) -> Option<&Question> {
        self.state.question(asked)
    }

    /// What is asked and not answered, in the order it was asked.
    pub fn open_questions(&self) -> impl Iterator<Item = &Question> {
        self.state.open_questions()
    }

    /// The same as it is read: what work waits for first.
    pub fn open_in_order(&self) -> Vec<&Question> {
        self.state.open_in_order()
    }

    /// What was answered or taken back, the newest first.
    pub fn ended_questions(&self) -> impl Iterator<Item = &Question> {
        let questions = self.state.questions.iter().rev();
        questions.filter(|one| !one.is_open())
    }

    /// Whether the lab's work waits for the answer to this question.
    pub fn is_waited_for(&self, question: &Question) -> bool {
        self.state.is_waited_for(question)
    }

    /// Whether the question of this entry takes an answer.
    pub fn awaits_answer(&self, asked: &EventId) -> bool {
        self.state.awaits_answer(asked)
    }

    /// Whether the call of this entry takes a word on whether it was so.
    pub fn awaits_verdict(&self, call: &EventId) -> bool {
        self.state.awaits_verdict(call)
    }

    /// Whether the question of a second laboratory by this entry takes a reply.
    pub fn awaits_reply(&self, asked: &EventId) -> bool {
        self.state.awaits_reply(asked)
    }

    /// What whoever works on it reads beside the prescription, the newest first.
    pub fn said_to_lab(&self) -> Vec<SaidToLab<'_>> {
        self.state.said_to_lab()
    }

    /// What was said on the telephone, the newest first.
    pub fn calls(&self) -> impl Iterator<Item = &PhoneCall> {
        self.state.calls.iter().rev()
    }

    /// Whether the office is to write this call into a revision, or to say why none is needed.
    pub fn is_to_be_written(&self, call: &PhoneCall) -> bool {
        let mut all = self.state.calls_to_write(&self.ordered);
        all.any(|one| one.event == call.event)
    }

    /// What second laboratories have asked, the newest first, with the work that is passed on. The office sees none of it.
    pub fn pass_questions(&self) -> Vec<(&PassedWork, &PassQuestion)> {
        let asked = self.state.pass_questions();
        let mut asked: Vec<_> = asked.filter(|_| self.side == Side::Lab).collect();
        asked.reverse();
        asked
    }

    /// Work passed on, the newest first.
    pub fn passes(&self) -> impl ExactSizeIterator<Item = &PassedWork> {
        self.state.passes.iter().rev()
    }

    /// The second laboratory that has not packed a thing which is on its way back.
    pub fn left_behind_by(&self, tag: &Tag) -> Option<&PassedWork> {
        self.state.left_behind_by(tag)
    }
}
