//! A case in hand, folded once from its events: who holds what, what is on the way, what is on hold, what is
//! worn, what came of what, and whether the case is closed.

use super::bench::{Assignment, BenchEntry, CarriedWord};
use super::erased_text::ErasedText;
use super::fit::FitEntry;
use super::follow_up::FollowUpEntry;
use super::handoff::Handoff;
use super::hold::{Ended, Hold};
use super::item::{Item, ItemKind};
use super::keeping::KeepingHouses;
use super::passed::{PassQuestion, PassedWork};
use super::pictures::TakenPicture;
use super::promise::DatePromise;
use super::questions::{PhoneCall, Question, Reply};
use super::scan_files::FiledScan;
use super::stamp::Stamp;
use super::standstill::{Fate, Halt, Standstill};
use super::state::{Custody, Ending, Gone, State};
use super::worn::{Turn, Worn, line};
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{EventId, HandoffId, HoldId, PartyId, Tag};
use crate::domain::values::moment::Moment;
use std::collections::BTreeMap;
use time::Date;

/// What all events of a case together say.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CaseState {
    pub custody: Custody,
    /// In the order they were released.
    pub handoffs: Vec<Handoff>,
    /// Every hold there ever was, in the order they were opened.
    pub holds: Vec<Hold>,
    pub turns: Vec<Turn>,
    /// Steps of descent: the item that was there, the one that came of it, and when.
    pub descent: Vec<(Tag, Tag, Moment)>,
    /// Entries that were withdrawn as mistakes, and when: what they said counts for nothing.
    pub withdrawn: Vec<(EventId, Moment)>,
    /// What went into a mouth or came out of it by mistake, and when that was withdrawn.
    pub unturned: Vec<(Tag, Moment)>,
    /// Texts of entries that were taken out for good.
    pub erased: Vec<ErasedText>,
    /// The work is stopped, paused or cancelled.
    pub standstill: Option<Standstill>,
    /// From when until when cancelled work that goes on was cancelled.
    pub gone_on: Vec<(Moment, Moment)>,
    /// What one house has asked the other, in the order it was asked.
    pub questions: Vec<Question>,
    /// What was said on the telephone.
    pub calls: Vec<PhoneCall>,
    /// The newest day that the lab has named for its work.
    pub promise: Option<DatePromise>,
    /// The newest day that both houses agreed on, with the revision that it was named for.
    pub agreed: Option<(i64, Date)>,
    /// Pan and technician at the lab, since somebody said so; none once the case is closed.
    pub assigned: Option<Assignment>,
    /// What was done at the bench, in the order it was entered.
    pub bench: Vec<BenchEntry>,
    /// What the lab has said of steps that were done for an earlier revision, in the order it was said.
    pub carried: Vec<CarriedWord>,
    /// What was held against the prescription, in the order it was entered.
    pub fits: Vec<FitEntry>,
    /// In the order they were added.
    pub pictures: Vec<TakenPicture>,
    /// Scans as files, the oldest first.
    pub scans: Vec<FiledScan>,
    /// The checks after the fit, in the order they were entered.
    pub follow_ups: Vec<FollowUpEntry>,
    /// Work passed on to other laboratories, in the order it was.
    pub passes: Vec<PassedWork>,
    /// The office keeps the papers of the case beyond their time; none where it does not, or has lifted that.
    pub kept_longer: KeepingHouses,
    pub closed: bool,
    /// The time of the latest entry, in whatever order they were written down.
    pub last_at: Option<Moment>,
    /// The same of each house's own entries.
    pub last_by: BTreeMap<PartyId, Moment>,
}

impl CaseState {
    /// One item's state; none before it is registered.
    pub fn item(&self, tag: &Tag) -> Option<&State> {
        self.custody.get(tag)
    }

    /// Changes an item's state; nothing happens to what is not registered.
    pub fn change(&mut self, tag: &Tag, change: impl FnOnce(&mut State)) {
        if let Some(state) = self.custody.get_mut(tag) {
            change(state);
        }
    }

    /// Ends an item: nothing can happen to it any more, until the entry itself is withdrawn.
    pub fn finish(&mut self, tag: &Tag, stamp: &Stamp<'_>, gone: Gone, into: Option<&Tag>) {
        let step = into.map(|into| (tag.clone(), into.clone(), stamp.at));
        self.descent.extend(step);
        self.change(tag, |state| {
            state.gone = Some(gone);
            state.ending = Some(Ending {
                event: stamp.id.clone(),
                at: stamp.at,
                into: into.cloned(),
            });
        });
    }

    /// Whether a thing is the patient's: by its kind, as the pattern that the office has of the patient, or because
    /// it has been in the mouth or given as the spare. Common practice, no source; local law decides.
    pub fn is_the_patients(&self, item: &Item) -> bool {
        let was_worn = self.was_worn(&item.tag);
        let state = self.item(&item.tag);
        let is_pattern = item.kind == ItemKind::Provisional
            && state.is_some_and(|state| state.home == Side::Office);
        let was_given = state.is_some_and(|state| state.spare || state.given_back);
        item.kind.is_the_patients_own()
            || is_pattern
            || item.kind.is_denture() && (was_worn || was_given)
    }

    /// Whether a thing has ever been in the mouth.
    pub fn was_worn(&self, tag: &Tag) -> bool {
        let mut turns = self.turns.iter();
        turns.any(|turn| matches!(turn, Turn::In(one, _) if one == tag))
    }

    /// Whether a thing is work of the lab that nobody has worn, and the work stands still: it goes into a mouth only by a
    /// signed word.
    pub fn rests_unworn(&self, tag: &Tag) -> bool {
        let is_of_lab = self.item(tag).is_some_and(|one| one.home == Side::Lab);
        self.standstill.is_some() && is_of_lab && !self.was_worn(tag)
    }

    /// Whether something is there that the lab has made for the mouth, of this arch where one is named.
    pub fn has_made(&self, items: &[Item], arch: Option<Arch>) -> bool {
        items.iter().any(|item| {
            let state = self.item(&item.tag).filter(|one| one.is_there());
            let is_of_it = arch.is_none() || item.arch == arch;
            let is_made = item.kind.is_made_for_the_mouth();
            is_of_it && is_made && state.is_some_and(|one| one.home == Side::Lab)
        })
    }

    /// Until when the lab keeps matrix and casts of an arch, as it said last of that; of what is of no arch alone, the later
    /// day of both.
    pub fn casts_kept_until(&self, arch: Option<Arch>) -> Option<Date> {
        let of = |arch: Arch| {
            let mut own = self.bench.iter().rev();
            own.find_map(|one| {
                one.keep_until
                    .filter(|_| one.arches.treated().contains(&arch))
            })
        };
        match arch {
            Some(arch) => of(arch),
            None => Arch::ALL.iter().copied().filter_map(of).max(),
        }
    }

    /// When an entry was withdrawn; none while it stands.
    pub fn withdrawn_on(&self, id: &EventId) -> Option<Moment> {
        let mut withdrawn = self.withdrawn.iter();
        withdrawn.find(|(one, _)| one == id).map(|(_, at)| *at)
    }

    /// The entry that ended an item, while it is ended.
    pub fn ending_of(&self, tag: &Tag) -> Option<&Ending> {
        self.item(tag)?.ending.as_ref()
    }

    /// What was made from an item after it had been ended.
    pub fn made_since(&self, tag: &Tag, ending: &Ending) -> Vec<Tag> {
        let is_own = |into: &Tag, at: Moment| at == ending.at && ending.into.as_ref() == Some(into);
        let steps = self.descent.iter();
        let later =
            steps.filter(|(from, into, at)| from == tag && *at >= ending.at && !is_own(into, *at));
        later.map(|(_, into, _)| into.clone()).collect()
    }

    /// The handoff with this id.
    pub fn handoff(&self, id: &HandoffId) -> Option<&Handoff> {
        self.handoffs.iter().find(|one| one.id == *id)
    }

    /// The handoff that an item is still awaited with.
    pub fn awaiting(&mut self, tag: &Tag) -> Option<&mut Handoff> {
        self.handoffs
            .iter_mut()
            .find(|one| one.outstanding().contains(&tag))
    }

    /// The holds that nobody has resolved yet.
    pub fn open_holds(&self) -> impl Iterator<Item = &Hold> {
        self.holds.iter().filter(|hold| hold.is_open())
    }

    /// Every stretch of wearing.
    pub fn worn(&self, items: &[Item]) -> Vec<Worn> {
        line(items, &self.turns)
    }

    /// Adds the holds that one event opens, each under its place among them.
    pub fn open(&mut self, stamp: &Stamp<'_>, holds: Vec<Hold>) {
        for (place, hold) in holds.into_iter().enumerate() {
            let id = HoldId::of(stamp.id, place + 1);
            self.holds.push(Hold { id, ..hold });
        }
    }

    /// Ends the open holds that `is_it` picks.
    pub fn end(&mut self, stamp: &Stamp<'_>, ended: &Ended, is_it: impl Fn(&Hold) -> bool) {
        for hold in &mut self.holds {
            if hold.is_open() && is_it(hold) {
                hold.ended = Some(ended.clone());
                hold.ended_by = Some(stamp.id.to_owned());
            }
        }
    }

    /// What is asked and not answered yet.
    pub fn open_questions(&self) -> impl Iterator<Item = &Question> {
        self.questions.iter().filter(|one| one.is_open())
    }

    pub fn question(&self, event: &EventId) -> Option<&Question> {
        self.questions.iter().find(|one| one.event == *event)
    }

    /// What a second laboratory has asked, with the work that is passed on to it.
    pub fn pass_question(&self, event: &EventId) -> Option<(&PassedWork, &PassQuestion)> {
        self.pass_questions().find(|(_, one)| one.event == *event)
    }

    /// Everything that second laboratories have asked.
    pub fn pass_questions(&self) -> impl Iterator<Item = (&PassedWork, &PassQuestion)> {
        let passes = self.passes.iter();
        passes.flat_map(|pass| pass.questions.iter().map(move |one| (pass, one)))
    }

    /// What of it waits for the first laboratory: while the work is passed on, and is not given up.
    pub fn open_pass_questions(&self) -> impl Iterator<Item = (&PassedWork, &PassQuestion)> {
        let is_open = |(pass, one): &(&PassedWork, &PassQuestion)| {
            pass.is_open() && one.reply.is_none() && !self.is_cancelled()
        };
        self.pass_questions().filter(is_open)
    }

    /// The question whose answer the lab's work waits for; none where the work is given up.
    pub fn waits_for_answer(&self) -> Option<&Question> {
        let mut open = self.open_questions().filter(|_| !self.is_cancelled());
        open.find(|one| one.waits)
    }

    /// Whether the office has given the work up.
    pub fn is_cancelled(&self) -> bool {
        let halt = self.standstill.as_ref().map(|one| one.halt);
        halt == Some(Halt::Cancelled)
    }

    /// What the office said becomes of a thing when it gave the work up.
    pub fn fate(&self, tag: &Tag) -> Option<Fate> {
        self.standstill.as_ref()?.fate(tag)
    }

    /// What was said on the telephone, by one side's word alone.
    pub fn unconfirmed_calls(&self) -> impl Iterator<Item = &PhoneCall> {
        self.calls.iter().filter(|one| one.is_open())
    }

    /// The picture that this entry has added.
    pub fn picture(&self, event: &EventId) -> Option<&TakenPicture> {
        self.pictures.iter().find(|one| one.event == *event)
    }

    /// The hash of the picture or the scan that this entry has added.
    pub fn file_hash(&self, event: &EventId) -> Option<&str> {
        let picture = self.picture(event).map(|one| one.hash.as_str());
        let scan = || self.scans.iter().find(|one| one.event == *event);
        picture.or_else(|| Some(scan()?.hash.as_str()))
    }

    pub fn call(&self, event: &EventId) -> Option<&PhoneCall> {
        self.calls.iter().find(|one| one.event == *event)
    }

    /// The day that was named for a revision; what was named for an earlier one says nothing of this.
    pub fn named_day(&self, revision: i64) -> Option<&DatePromise> {
        self.promise.as_ref().filter(|one| one.revision == revision)
    }

    /// The day that waits for a word of the office; one that keeps to what is agreed or wanted needs none.
    pub fn day_to_answer(&self, revision: i64, wanted: Option<Date>) -> Option<&DatePromise> {
        let due = self.day_due(revision, wanted);
        let named = self.named_day(revision);
        named.filter(|one| !self.is_cancelled() && one.awaits_answer(due))
    }

    /// The day that both houses agreed on for a revision; it stands until they agree on another.
    pub fn agreed_day(&self, revision: i64) -> Option<Date> {
        let agreed = self.agreed.filter(|(of, _)| *of == revision);
        agreed.map(|(_, day)| day)
    }

    /// The day by which the work is to be back: what is agreed, otherwise what the revision asks for.
    pub fn day_due(&self, revision: i64, asked: Option<Date>) -> Option<Date> {
        self.agreed_day(revision).or(asked)
    }

    /// Opens again what this entry had answered.
    pub fn open_again(&mut self, reply: &EventId) {
        for one in &mut self.questions {
            if one.reply.as_ref().is_some_and(|was| was.event == *reply) {
                one.reply = None;
            }
        }
    }

    /// Shows a picture with a question, once.
    pub fn show(&mut self, question: &EventId, picture: &EventId) {
        let mut asked = self.questions.iter_mut();
        let one = asked.find(|one| one.event == *question);
        if let Some(one) = one.filter(|one| !one.pictures.contains(picture)) {
            one.pictures.push(picture.clone());
        }
    }

    /// Keeps the answer to an open question that a revision follows.
    pub fn promise_revision(&mut self, question: &EventId, reply: Reply) {
        let mut open = self.questions.iter_mut().filter(|one| one.is_open());
        if let Some(one) = open.find(|one| one.event == *question) {
            one.promised = Some(reply);
        }
    }

    /// Open questions that were answered with the word that a revision follows.
    pub fn promised_revisions(&self) -> impl Iterator<Item = (&Question, &Reply)> {
        let open = self.open_questions();
        open.filter_map(|one| Some((one, one.promised.as_ref()?)))
    }

    /// Ends a question that is still open.
    pub fn reply(&mut self, question: &EventId, reply: Reply) {
        let mut open = self.questions.iter_mut().filter(|one| one.is_open());
        if let Some(one) = open.find(|one| one.event == *question) {
            one.reply = Some(reply);
        }
    }
}
