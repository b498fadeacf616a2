//! A case taken in hand: everything known of it, loaded in the transaction that will change it, and the
//! one way to append an event to it.

use super::another_key::refuse_another_key;
use super::clock_doubt::refuse_in_doubt;
use super::counted::{self, Met};
use super::entry::Late;
use super::health::{FORKED, refuse_if_forked};
use super::leaf_walk::{
    KeyedEntries, SaidErased, WalkEnd, entries_of_events, entries_of_items, walk,
};
use super::one_entry::{PassByRecord, pass_by_record};
use super::own_rows::own_leaves;
use super::proven::not_in_record;
use super::recorded::reference::{hold, hold_card};
use super::recorded::{about_revision, revisions_of};
use super::signed_revisions::SignedRevisions;
use super::teeth_elsewhere::{cases_elsewhere, dentures_elsewhere, is_to_order_again, others};
use super::whose_case::{WHOSE, changed_past_us, find_own, gone, hold_newest, own_case};
use super::{App, AppError, Person, papers_noted, recorded};
use crate::clock::moment_in;
use crate::domain::custody::bench::{BenchProgress, BenchRound, CarriedWord, Unsaid};
use crate::domain::custody::case::{Case, DRAWN, Place, Step, Task, unsigned_summary};
use crate::domain::custody::emptied::{HadDenture, had_dentures, without_teeth};
use crate::domain::custody::item::Item;
use crate::domain::custody::{
    CardSince, CaseState, ChangedAtChair, ClockWord, Context, Event, HouseNames, Lacking, Offers,
    Ordered, PassedWork, Purpose, Standing, TakenPicture, What, agenda, allow_entered_in,
    asked_about, at_the_bench, bench_by_revision, changed_at_chair, deferred_arches,
    has_left_the_lab, is_done, is_nothing_registered, is_unsaid_at, lacking, last_day_of_casts,
    overdue, photographed, rounds, standing, to_go_with_the_work, to_send_back, usual_purpose,
    work_in_hand,
};
use crate::domain::people::card_facts::say_the_same;
use crate::domain::people::party::{Party, Side};
use crate::domain::people::patient::{self, OwnTeeth, Patient};
use crate::domain::prescription::revision::Acknowledgement;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::{CaseNumber, EventId, PartyId, Tag};
use crate::domain::values::moment::Moment;
use crate::record::entry::{Entry, LeafKind};
use crate::store::cases::PatientRow;
use crate::store::casts_kept::CastsKept;
use crate::store::custody::{self as stored, HandoffRow};
use crate::store::passed::{self, PassedRow};
use crate::store::record::{LeafRow, head};
use crate::store::reference::ReferenceData;
use crate::store::{Connection, StoreError, Tx, cases, casts_kept, parties, resumption, revisions};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What of a case is listed for second laboratories.
const PASSED_ON: &str = "what of it is passed on";

/// The same of its two houses.
const HOUSES: &str = "what is stored of its houses";

/// The same of its patient.
pub(super) const CARD: &str = "the patient's card";

/// What is said of an entry that a code is not enough for.
const NEEDS_PASSWORD: &str = "You are here by your code, and a code is for entries at the bench: type your password to go on \
                              with this.";

/// What follows from the text in force, and from the patient's card beside it.
#[derive(Default)]
pub struct SignedText {
    /// What it says of things; nothing where there is none.
    pub ordered: Ordered,
    /// What the card says is to be avoided, where that is something else.
    pub card: Option<CardSince>,
    /// Whether the card says anything otherwise.
    pub card_changed: bool,
}

impl SignedText {
    /// Of all that was signed: nothing where nothing is; nothing of the card where there is none.
    pub fn of(signed: &SignedRevisions, card: Option<&Patient>) -> SignedText {
        let Some((_, document)) = signed.newest() else {
            return SignedText::default();
        };
        SignedText {
            ordered: Ordered::of(&signed.by_moment()),
            card: card.and_then(|card| CardSince::of(card, document)),
            card_changed: card
                .is_some_and(|card| !say_the_same(&card.facts(), &document.patient.facts)),
        }
    }
}

/// The patient's card. Without it the case is shown all the same: what needs the card says that it is missing.
pub async fn card_of(conn: &mut Connection, case: &Case) -> Result<Option<Patient>, StoreError> {
    let row = cases::find_patient(conn, &case.patient).await?;
    row.as_ref().map(read_card).transpose()
}

fn read_card(row: &PatientRow) -> Result<Patient, StoreError> {
    Ok(patient::read(&row.typed()?).patient)
}

impl CaseWork {
    /// The patient's card as it is now, where it can be read.
    pub fn card_now(&self) -> Option<Patient> {
        read_card(self.card_row.as_ref()?).ok()
    }
}

fn own_teeth(card: Option<&Patient>) -> BTreeMap<Arch, OwnTeeth> {
    let arches = [Arch::Upper, Arch::Lower].into_iter();
    arches
        .filter_map(|arch| Some((arch, card?.teeth(arch)?)))
        .collect()
}

/// The case with what the text in force and the entries say, in the place of what stands in its row for lists: whoever can
/// write the database can write another day there.
fn as_said(case: Case, (signed, ordered): (&SignedRevisions, &Ordered), state: &CaseState) -> Case {
    let (due, summary) = match signed.newest() {
        Some((_, document)) => (document.due(), document.prescription.summary()),
        None => (None, unsigned_summary(case.arches)),
    };
    let mut case = case;
    case.agenda.work.clone_from(&ordered.work);
    Case {
        due,
        summary,
        closed: state.closed,
        ..case
    }
}

/// What cases have in common that are read one after the other, all at one moment: it is read once.
#[derive(Debug, Default)]
pub(super) struct InCommon {
    houses: BTreeMap<PartyId, Party>,
    clock: Option<Vec<ClockWord>>,
}

impl InCommon {
    /// The office and the lab of a case.
    async fn houses(
        &mut self,
        conn: &mut Connection,
        case: &Case,
    ) -> Result<(Party, Party), AppError> {
        let known = |id: &PartyId| self.houses.get(id).cloned();
        if let Some(both) = known(&case.office).zip(known(&case.lab)) {
            return Ok(both);
        }
        let (office, lab) = houses_of(conn, case).await?;
        self.houses.insert(case.office.clone(), office.clone());
        self.houses.insert(case.lab.clone(), lab.clone());
        Ok((office, lab))
    }

    async fn clock(&mut self, conn: &mut Connection) -> Result<Vec<ClockWord>, StoreError> {
        if self.clock.is_none() {
            self.clock = Some(clock_words(conn).await?);
        }
        Ok(self.clock.clone().unwrap_or_default())
    }
}

/// The office and the lab of a case.
///
/// # Errors
/// A refusal in words, where a row of them cannot be read: this program writes nothing that it cannot read.
async fn houses_of(conn: &mut Connection, case: &Case) -> Result<(Party, Party), AppError> {
    let (office, lab) = match parties::both(conn, [&case.office, &case.lab]).await {
        Err(why) if why.is_of_a_value() => {
            tracing::error!(case = %case.number, %why, "a house cannot be read");
            return Err(changed_past_us(&case.number, HOUSES));
        }
        found => found?,
    };
    let gone = |id| StoreError::row("case_file", id, "its party is not there");
    Ok((
        office.ok_or_else(|| gone(&case.office))?,
        lab.ok_or_else(|| gone(&case.lab))?,
    ))
}

/// What of a case a leaf of this kind stands for.
fn words_of(kind: LeafKind) -> &'static str {
    match kind {
        LeafKind::Item => "what is registered of its things",
        LeafKind::Event => "an entry",
        LeafKind::Acknowledgement => "what the lab has acknowledged",
        _ => WHOSE,
    }
}

/// What of a case is not as the record says.
struct Difference {
    kind: LeafKind,
    /// The leaf that says otherwise; none where there is one too many or too few.
    leaf: Option<u64>,
}

impl Difference {
    /// In words, and in the log: only of what stands.
    fn said(&self, app: &App, case: &Case) -> AppError {
        let kind = self.kind.word();
        tracing::error!(case = %case.number, kind, leaf = ?self.leaf, "a case is not as the record says");
        counted::note(app, &case.number, Met::Case);
        changed_past_us(&case.number, words_of(self.kind))
    }
}

/// A case with its parties, items and events.
#[derive(Debug, Clone)]
pub struct CaseWork {
    pub case: Case,
    pub side: Side,
    pub office: Party,
    pub lab: Party,
    pub items: Vec<Item>,
    pub events: Vec<Event>,
    /// What stands in the patient's jaws beside dentures, by the card as it is now.
    pub own_teeth: BTreeMap<Arch, OwnTeeth>,
    /// What is to be avoided by the card as it is now, where the revision in force says something else.
    pub card: Option<CardSince>,
    /// Whether anything on the card is otherwise than in the revision in force.
    pub card_changed: bool,
    /// What the events say, folded once.
    pub state: CaseState,
    /// What was signed of it.
    pub signed: Arc<SignedRevisions>,
    /// What the revision in force says of things.
    pub ordered: Ordered,
    /// Words about a clock that was wrong once.
    pub clock: Vec<ClockWord>,
    /// What the patient has by other cases, where an arch stands empty by this one.
    pub elsewhere: Vec<HadDenture>,
    /// What the patient had by this one when it was taken in hand.
    pub(super) had: Vec<HadDenture>,
    /// The patient's card as it is stored.
    pub(super) card_row: Option<PatientRow>,
    /// What speaks against it, where it was held for a page and is not as the record says.
    pub doubt: Option<CaseDoubt>,
}

/// What speaks against a case that is shown all the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CaseDoubt {
    /// It is not as the record says: what of it, in words.
    OfCase(String),
    /// The record itself is not the one that was signed.
    OfRecord(String),
}

impl CaseDoubt {
    /// What its pages say on top.
    pub fn words(&self) -> &str {
        match self {
            CaseDoubt::OfCase(words) => words,
            CaseDoubt::OfRecord(_) => FORKED,
        }
    }

    /// The same for whoever would work, enter or print by it.
    pub fn refused(&self) -> AppError {
        match self {
            CaseDoubt::OfCase(words) => AppError::Refused(vec![words.clone()]),
            CaseDoubt::OfRecord(why) => StoreError::Forked(why.clone()).into(),
        }
    }
}

/// The words about a clock that was wrong once.
pub async fn clock_words(conn: &mut Connection) -> Result<Vec<ClockWord>, StoreError> {
    let words = resumption::of_clock(conn).await?.into_iter();
    let word = |word: resumption::WordOfClock| ClockWord {
        given_ms: word.given_ms,
        ahead_ms: word.ahead_ms,
    };
    Ok(words.map(word).collect())
}

impl CaseWork {
    /// The item of this tag, if the case has it.
    pub fn item(&self, tag: &Tag) -> Option<&Item> {
        Item::of(&self.items, tag)
    }

    pub async fn load(
        app: &App,
        conn: &mut Connection,
        person: &Person,
        number: &CaseNumber,
    ) -> Result<CaseWork, AppError> {
        let (case, side) = find_own(app, conn, person.party_id(), number).await?;
        CaseWork::of(app, conn, case, side).await
    }

    /// The case of which this entry passes work on to the person's laboratory, as the lab's, with that work; for anybody
    /// else there is none. To whom it is passed on, and of which case, the entry's leaf says: by a changed row no laboratory
    /// gets at a thing of a case.
    pub async fn passed_to(
        app: &App,
        conn: &mut Connection,
        person: &Person,
        pass: &EventId,
    ) -> Result<(CaseWork, PassedWork), AppError> {
        let recorded = pass_by_record(app, conn, pass).await?;
        let row = passed::find(conn, pass).await?;
        let number = match (recorded, row) {
            (PassByRecord::To(case, house), row) if house == *person.party_id() => {
                match row.is_some_and(|row| row.case == case) {
                    true => case,
                    false => return Err(changed_past_us(&case, PASSED_ON)),
                }
            }
            (PassByRecord::NotBegun, Some(row)) => row.case,
            _ => return Err(AppError::NotFound),
        };
        let case = cases::find_case(conn, &number).await?;
        let case = case.ok_or_else(|| gone(app, &number))?;
        let work = CaseWork::of(app, conn, case, Side::Lab).await?;
        let found = work.state.pass(pass).cloned();
        let own = found.filter(|one| one.is_for(&person.actor()));
        Ok((work, own.ok_or(AppError::NotFound)?))
    }

    /// How work that is passed on to laboratories with accounts here is listed for them.
    pub fn passed_rows(&self) -> Vec<PassedRow> {
        let passes = self.state.passes.iter();
        let row = |one: &PassedWork| {
            Some(PassedRow {
                event: one.event.clone(),
                case: self.case.number.clone(),
                party: one.to.party.clone()?,
                is_open: one.is_open() && !self.state.closed,
                new_answers: one.new_answers,
            })
        };
        passes.filter_map(row).collect()
    }

    /// The same for a page: held against the record, and shown also where it is not as that says, without rows of others.
    pub async fn load_shown(
        app: &App,
        conn: &mut Connection,
        person: &Person,
        number: &CaseNumber,
    ) -> Result<CaseWork, AppError> {
        let work = CaseWork::load(app, conn, person, number).await?;
        let Some(doubt) = work.doubt_of(app, conn).await? else {
            return Ok(work);
        };
        let work = work.only_recorded(app, conn).await?;
        Ok(CaseWork {
            doubt: Some(doubt),
            ..work
        })
    }

    /// The case with the things, entries and card that the record has for it, and with no others.
    async fn only_recorded(self, app: &App, conn: &mut Connection) -> Result<CaseWork, AppError> {
        let Some(own) = own_leaves(app, conn, &self.case.number).await? else {
            return Ok(self);
        };
        let mut work = self;
        work.items.retain(|item| own.has_item(item));
        work.events.retain(|event| own.has_event(event));
        work.state = CaseState::of(&work.events);
        let card_row = work.card_row.take();
        work.card_row = own.card_row(app, conn, &work.case, card_row).await?;
        if work.card_row.is_none() {
            work.own_teeth = BTreeMap::new();
            work.card = None;
            work.card_changed = false;
        }
        if let Some(patient) = own.patient {
            work.case.patient = patient;
        }
        work.case = as_said(work.case, (&work.signed, &work.ordered), &work.state);
        Ok(work)
    }

    /// The case as it stands, to be looked at.
    pub async fn see(
        app: &App,
        person: &Person,
        number: &CaseNumber,
    ) -> Result<CaseWork, AppError> {
        let mut conn = app.store.read_at_once().await?;
        CaseWork::load_shown(app, &mut conn, person, number).await
    }

    /// The case in the transaction that will change it: as it was seen before the turn came, if nothing of it
    /// has been written since; otherwise as it stands now. Others wait for their turn meanwhile, and every
    /// change of a case counts its version up.
    pub async fn as_seen(
        app: &App,
        conn: &mut Connection,
        person: &Person,
        seen: &CaseWork,
    ) -> Result<CaseWork, AppError> {
        let case = own_case(app, conn, person, &seen.case.number).await?;
        // The card is saved without the case.
        let is_same = case.version == seen.case.version && seen.has_card_of_now(conn).await?;
        let is_sound = seen.doubt.is_none() && case.side_of(person.party_id()) == Some(seen.side);
        if is_same && is_sound {
            return Ok(CaseWork {
                case: as_said(case, (&seen.signed, &seen.ordered), &seen.state),
                ..seen.clone()
            });
        }
        CaseWork::load(app, conn, person, &seen.case.number).await
    }

    /// The case as it stands, held against the record, for whoever prints by it or shows it on paper.
    ///
    /// # Errors
    /// See [`CaseWork::hold`].
    pub(super) async fn load_held(
        app: &App,
        conn: &mut Connection,
        person: &Person,
        number: &CaseNumber,
    ) -> Result<CaseWork, AppError> {
        // Whose key has signed is asked with whose case it is.
        let (case, side) = find_own(app, conn, person.party_id(), number).await?;
        let leaves = app.store.leaves_of(conn, number).await?;
        let shared = &mut InCommon::default();
        let work = CaseWork::by_leaves(app, conn, (case, side), shared, &leaves).await?;
        work.hold_by(app, conn, &leaves).await?;
        Ok(work)
    }

    /// For a case that is known to be the asker's own.
    pub async fn of(
        app: &App,
        conn: &mut Connection,
        case: Case,
        side: Side,
    ) -> Result<CaseWork, AppError> {
        CaseWork::by_leaves(app, conn, (case, side), &mut InCommon::default(), &[]).await
    }

    /// The same for whoever goes through many cases on one reader: beside what was read for those before.
    pub(super) async fn beside(
        app: &App,
        conn: &mut Connection,
        (case, side): (Case, Side),
        shared: &mut InCommon,
    ) -> Result<CaseWork, AppError> {
        CaseWork::by_leaves(app, conn, (case, side), shared, &[]).await
    }

    /// The same; `leaves` are those of the case, where they have been read.
    async fn by_leaves(
        app: &App,
        conn: &mut Connection,
        (case, side): (Case, Side),
        shared: &mut InCommon,
        leaves: &[LeafRow],
    ) -> Result<CaseWork, AppError> {
        hold_newest(app, conn, &case).await?;
        let (office, lab) = shared.houses(conn, &case).await?;
        let items = stored::items_of(conn, &case.number).await?;
        let events = stored::events_of(conn, &case.number).await?;
        let card_row = cases::find_patient(conn, &case.patient).await?;
        let card = card_row.as_ref().map(read_card).transpose()?;
        let (signed, entries) = match case.revision {
            ..=0 => (Vec::new(), Vec::new()),
            _ => revisions_of(app, conn, &case.number, leaves).await?,
        };
        let signed = SignedRevisions::read(signed)?.with_entries(entries);
        let mut text = SignedText::of(&signed, card.as_ref());
        let state = CaseState::of(&events);
        let said = (&state, &text.ordered);
        let beside = Box::pin(cases_elsewhere(app, conn, &case, said)).await?;
        text.ordered.others = beside;
        // Asked of few cases: on the heap, or each that is loaded would take its room with it.
        let elsewhere = Box::pin(dentures_elsewhere(app, conn, &case, (&items, &state))).await?;
        Ok(CaseWork {
            elsewhere,
            had: had_dentures(&items, &state),
            case: as_said(case, (&signed, &text.ordered), &state),
            signed: Arc::new(signed),
            ordered: text.ordered,
            own_teeth: own_teeth(card.as_ref()),
            card: text.card,
            card_changed: text.card_changed,
            side,
            office,
            lab,
            items,
            state,
            events,
            clock: shared.clock(conn).await?,
            card_row,
            doubt: None,
        })
    }

    /// What stands in an arch in which nothing is worn: natural teeth, or teeth on implants.
    pub fn teeth_in(&self, arch: Arch) -> Option<OwnTeeth> {
        let teeth = self.own_teeth.get(&arch).copied();
        teeth.filter(|teeth| *teeth != OwnTeeth::None)
    }

    pub fn context(&self) -> Context<'_> {
        Context {
            case: &self.case.number,
            office: &self.case.office,
            lab: &self.case.lab,
            arches: self.case.arches,
            items: &self.items,
            events: &self.events,
            clock: &self.clock,
            stays: self.ordered.stays,
            by_files: self.ordered.by_files,
            elsewhere: &self.elsewhere,
        }
    }

    /// The houses by their names.
    pub fn house_names(&self) -> HouseNames<'_> {
        HouseNames {
            office: &self.office.name,
            lab: &self.lab.name,
            ..HouseNames::IN_GENERAL
        }
    }

    /// The case's party of this kind.
    pub fn party(&self, kind: Side) -> &Party {
        match kind {
            Side::Office => &self.office,
            Side::Lab => &self.lab,
        }
    }

    /// The present moment by the wall clock of this side.
    pub fn now(&self, app: &App) -> Moment {
        moment_in(app.outside.now_ms(), &self.party(self.side).zone)
    }

    /// The day that both houses have agreed on for the revision in force.
    pub fn agreed_day(&self) -> Option<time::Date> {
        self.state.agreed_day(self.case.revision)
    }

    /// The day by which the work is to be back: what is agreed, otherwise what the revision in force asks for.
    pub fn day_due(&self) -> Option<time::Date> {
        self.state.day_due(self.case.revision, self.case.due)
    }

    /// How far the work has come at the bench.
    pub fn at_the_bench(&self) -> BenchProgress<'_> {
        at_the_bench(&self.ordered, &self.items, &self.state, self.case.arches)
    }

    /// What was done for earlier revisions and asked about, whether it is answered or not; not of arches that wait.
    pub fn asked_about_at_the_bench(&self) -> Vec<Unsaid> {
        let arches = self.case.arches;
        let mut asked = asked_about(&self.ordered, &self.items, &self.state, arches);
        let deferred = self.deferred_arches();
        asked.retain(|one| !deferred.contains(&one.arch));
        asked
    }

    /// The lab's words to the revision in force that count.
    pub fn said_at_the_bench(&self) -> Vec<CarriedWord> {
        let by = bench_by_revision(&self.ordered, &self.state);
        let said = by.said_now(self.case.arches.treated()).into_iter();
        said.cloned().collect()
    }

    /// The rounds that the work is in, for each treated arch.
    pub fn rounds(&self) -> Vec<BenchRound> {
        let treated = self.case.arches.treated();
        rounds(&self.ordered, &self.items, &self.state, treated)
    }

    /// The arches for which nothing is to be begun.
    pub fn deferred_arches(&self) -> Vec<Arch> {
        let treated = self.case.arches.treated();
        deferred_arches(&self.ordered, &self.items, &self.state, treated)
    }

    /// The picture of what goes into the flask for these arches.
    pub fn photographed(&self, arches: Arches) -> Option<&TakenPicture> {
        photographed(&self.ordered, &self.items, &self.state, arches)
    }

    /// What the prescription lists as enclosed and has not come to the lab.
    pub fn lacking(&self) -> Vec<Lacking> {
        lacking(&self.ordered, &self.items, &self.state)
    }

    /// What this house mostly hands things over for now.
    pub fn usual_purpose(&self) -> Option<Purpose> {
        usual_purpose(&self.ordered, &self.items, &self.state, self.side)
    }

    /// What the lab has in hand of the work that is ordered, once every step at the bench is done.
    pub fn finished_here(&self) -> Vec<Tag> {
        let is_finished = self.side == Side::Lab
            && !self.ordered.bench.is_empty()
            && self.unsaid_arches().is_empty()
            && self.at_the_bench().next().is_none();
        match is_finished {
            true => work_in_hand(&self.ordered, &self.items, &self.state),
            false => Vec::new(),
        }
    }

    /// What goes from here along with what is finished: what is wanted back with the work, or of cancelled work.
    pub fn goes_along(&self) -> Vec<Tag> {
        if self.side != Side::Lab {
            return Vec::new();
        }
        let mut tags = to_send_back(&self.items, &self.state);
        let finished = self.finished_here();
        if !finished.is_empty() {
            tags.extend(to_go_with_the_work(&self.ordered, &self.items, &self.state));
        }
        tags.extend(finished);
        tags
    }

    /// The arches whose work was handed over and is at the lab again, while no prescription says what for.
    pub fn unsaid_arches(&self) -> Vec<Arch> {
        let treated = self.case.arches.treated().iter().copied();
        let is_unsaid = |arch: &Arch| {
            let at = (*arch, Side::Lab);
            is_unsaid_at(&self.ordered, &self.items, &self.state, at)
        };
        treated.filter(is_unsaid).collect()
    }

    /// Whether the lab has nothing of the case in the house any more.
    pub fn has_left_the_lab(&self) -> bool {
        has_left_the_lab(&self.items, &self.state, &self.standing().places)
    }

    /// Whether the lab has registered nothing yet of what is ordered and made again.
    pub fn has_nothing_registered(&self) -> bool {
        let treated = self.case.arches.treated();
        is_nothing_registered(&self.ordered, &self.items, &self.state, treated)
    }

    /// Whether nothing is left to be done at the bench: closed, cancelled, or all of it delivered.
    pub fn is_over_at_the_bench(&self) -> bool {
        let is_delivered = || is_done(&self.case, &self.items, &self.state, &self.ordered);
        self.case.closed || self.state.is_cancelled() || is_delivered()
    }

    /// What was done at the chair to what the revision in force follows, after it was signed; nothing once its work is over.
    pub fn changed_at_chair(&self) -> Vec<ChangedAtChair> {
        match self.is_over_at_the_bench() {
            true => Vec::new(),
            false => changed_at_chair(&self.ordered, &self.events, &self.state),
        }
    }

    /// What is offered to this person now.
    pub fn offers(&self, app: &App, person: &Person) -> Offers<'_> {
        self.offers_at(person, self.now(app))
    }

    /// What is offered to this person at a moment.
    pub fn offers_at(&self, person: &Person, at: Moment) -> Offers<'_> {
        Offers::new(self.context(), &self.state, &person.actor(), at)
    }

    /// Appends what the rules allow, or says what stands against it. `id` is the event's own; `late` is
    /// when it happened, where it is copied from paper.
    pub async fn append(
        &mut self,
        app: &App,
        tx: &mut Tx,
        person: &Person,
        id: &EventId,
        what: What,
        late: Option<&Late>,
    ) -> Result<(), AppError> {
        let (entered_at, by) = (self.now(app), person.actor());
        let at = late.map_or(entered_at, |late| late.at);
        if person.by_code.is_some() && !what.kind().is_of_the_bench() {
            return Err(AppError::Refused(vec![NEEDS_PASSWORD.to_owned()]));
        }
        let refusals = allow_entered_in(&self.context(), &self.state, &what, &by, (at, entered_at));
        if !refusals.is_empty() {
            return Err(AppError::Refused(
                refusals
                    .into_iter()
                    .map(|refusal| refusal.sentence)
                    .collect(),
            ));
        }
        let event = Event {
            id: id.clone(),
            case: self.case.number.clone(),
            at,
            entered_at,
            by,
            paper: late.map(|late| late.name.clone()),
            by_code: person.by_code.clone(),
            what,
        };
        // Before it is written: afterwards it is the newest entry itself.
        refuse_in_doubt(app, tx.conn()).await?;
        let position =
            i64::try_from(self.events.len()).map_err(|why| AppError::Inner(why.to_string()))?;
        stored::append_event(tx, &event, position)
            .await
            .map_err(|error| {
                // Somebody else has appended at the same place: the next attempt sees their event.
                if error.is_duplicate() {
                    StoreError::Again
                } else {
                    error
                }
            })?;
        recorded::event(app, tx, &event).await?;
        self.state.add(&event, &self.events);
        self.events.push(event);
        Ok(())
    }

    /// Holds all that is loaded of the case against the signed record: the case, its things, its entries in their order,
    /// what the lab has acknowledged, and the patient's card. The revision in force is held where it is read.
    ///
    /// Each time, lists too: every leaf is read and held against its row, and against what the memory has of the leaves of the
    /// case, so that one which is changed, added or taken away alone is seen at once. Only the way from a leaf to the signed
    /// root is gone once, under the hash of its bytes, its salts and its row; lists go it for all their cases together
    /// ([`find_together`](super::proven::find_together)).
    ///
    /// # Errors
    /// A refusal in words, where the record says otherwise: nothing is entered, signed or printed of such a case.
    pub(super) async fn hold(&self, app: &App, conn: &mut Connection) -> Result<(), AppError> {
        refuse_another_key(app, conn).await?;
        let leaves = app.store.leaves_of(conn, &self.case.number).await?;
        self.hold_by(app, conn, &leaves).await
    }

    /// The same by the leaves of the case, which have been read at this moment.
    async fn hold_by(
        &self,
        app: &App,
        conn: &mut Connection,
        leaves: &[LeafRow],
    ) -> Result<(), AppError> {
        let number = &self.case.number;
        match self.difference(app, conn, leaves).await {
            Ok(None) => {
                counted::forget(app, number, Met::Case);
                Ok(())
            }
            Ok(Some(found)) => Err(found.said(app, &self.case)),
            // The card, which says so itself.
            Err(refused @ AppError::Refused(_)) => {
                counted::note(app, number, Met::Case);
                Err(refused)
            }
            Err(other) => Err(other),
        }
    }

    /// Holds one case of many that was loaded. Inside is why it is left out: it is of others, cannot be read, or is not as the
    /// record says.
    ///
    /// # Errors
    /// What is about all of them: if the database does not answer, or the record is another key's.
    pub(super) async fn held_alone(
        app: &App,
        conn: &mut Connection,
        loaded: Result<CaseWork, AppError>,
    ) -> Result<Result<CaseWork, AppError>, AppError> {
        let held = match loaded {
            Ok(work) => work.hold(app, conn).await.map(|()| work),
            Err(why) => Err(why),
        };
        match held {
            Err(why) if !why.is_of_one_alone() => Err(why),
            found => Ok(found),
        }
    }

    /// Another case in the transaction of a command, held against the signed record as the command's own is; none where it
    /// is not of this person's party, cannot be read, or is not as the record says: nothing is entered in it then.
    pub(super) async fn another_held(
        app: &App,
        conn: &mut Connection,
        person: &Person,
        number: &CaseNumber,
    ) -> Result<Option<CaseWork>, AppError> {
        match CaseWork::load_held(app, conn, person, number).await {
            Ok(work) => Ok(Some(work)),
            // On a record that is another one nothing is entered at all.
            Err(error @ AppError::Store(StoreError::Forked(_))) => Err(error),
            Err(error) if error.is_of_one_alone() => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Whether the patient's card is stored as it was when the case was loaded.
    pub(super) async fn has_card_of_now(&self, conn: &mut Connection) -> Result<bool, StoreError> {
        Ok(cases::find_patient(conn, &self.case.patient).await? == self.card_row)
    }

    /// What a page says on top of a case that is not as the record says, or whose houses are not; none where all is.
    async fn doubt_of(
        &self,
        app: &App,
        conn: &mut Connection,
    ) -> Result<Option<CaseDoubt>, AppError> {
        let held = match self.hold(app, conn).await {
            Ok(()) => self.hold_houses(app, conn).await,
            other => other,
        };
        match held {
            Ok(()) => Ok(None),
            Err(AppError::Refused(why)) => Ok(Some(CaseDoubt::OfCase(why.join(" ")))),
            Err(AppError::Store(StoreError::Forked(why))) => Ok(Some(CaseDoubt::OfRecord(why))),
            Err(other) => Err(other),
        }
    }

    /// Refuses what somebody would work by, where the case was held for a page and is not as the record says.
    ///
    /// # Errors
    /// See [`CaseDoubt::refused`].
    pub(super) fn refuse_if_doubted(&self) -> Result<(), AppError> {
        match &self.doubt {
            None => Ok(()),
            Some(doubt) => Err(doubt.refused()),
        }
    }

    /// The case as it stands now, with its leaves, all of it of one moment, and held against them: for whoever prints by a case
    /// that was loaded before.
    async fn held_on(&self, app: &App, conn: &mut Connection) -> Result<CaseWork, AppError> {
        let case = cases::find_case(conn, &self.case.number).await?;
        let case = case.ok_or_else(|| gone(app, &self.case.number))?;
        let work = CaseWork::of(app, conn, case, self.side).await?;
        work.hold(app, conn).await?;
        Ok(work)
    }

    async fn difference(
        &self,
        app: &App,
        conn: &mut Connection,
        leaves: &[LeafRow],
    ) -> Result<Option<Difference>, AppError> {
        let case = &self.case;
        // A database of an earlier version is as it was until its rows are entered in the record.
        if leaves.is_empty() && head(conn).await?.is_empty() {
            return Ok(None);
        }
        let words = revisions::acknowledgements(conn, &case.number).await?;
        let word = |word: &Acknowledgement| {
            let about = about_revision(&case.number, word.revision);
            (about, Entry::acknowledgement(&case.number, &case.lab, word))
        };
        let own = vec![(case.number.as_str().to_owned(), Entry::case(case))];
        let said = SaidErased::of(&self.events);
        let (mut to_prove, mut found) = (Vec::new(), None);
        for (kind, entries) in [
            (LeafKind::Case, own),
            (LeafKind::Item, entries_of_items(&self.items)?),
            (LeafKind::Event, entries_of_events(&self.events)?),
            (
                LeafKind::Acknowledgement,
                words.iter().map(word).collect::<KeyedEntries>(),
            ),
        ] {
            let walked = walk(app, (leaves, kind), &entries, &said);
            to_prove.extend(walked.to_prove);
            let leaf = match walked.end {
                WalkEnd::AsRecorded => continue,
                WalkEnd::Other(number) => Some(number),
                WalkEnd::NotAsMany => None,
            };
            found = Some(Difference { kind, leaf });
            break;
        }
        // All kinds together: neighbors are found by the same hashes.
        let missing = not_in_record(app, conn, to_prove).await?;
        let missing = leaves.iter().find(|leaf| missing.contains(&leaf.number));
        let missing = missing.and_then(|leaf| {
            let kind = LeafKind::from_word(&leaf.kind)?;
            let leaf = Some(leaf.number);
            Some(Difference { kind, leaf })
        });
        if let Some(found) = missing.or(found) {
            return Ok(Some(found));
        }
        match &self.card_row {
            Some(row) if row.office == case.office => hold_card(app, conn, row).await?,
            // A card is never taken away, and of no other office than the case.
            _ => return Err(changed_past_us(&case.number, CARD)),
        }
        Ok(None)
    }

    /// The same for a paper, which also prints both houses: answers with the case to print. Whoever waits for the comparison
    /// holds no reader meanwhile.
    ///
    /// # Errors
    /// See [`CaseWork::hold`].
    pub(super) async fn hold_for_paper(&self, app: &App) -> Result<CaseWork, AppError> {
        refuse_if_forked(app).await?;
        let mut conn = app.store.read_at_once().await?;
        self.held_for_paper_on(app, &mut conn).await
    }

    /// The same for a paper that reads more of the case at the same moment; it has asked whether the record is the signed one.
    pub(super) async fn held_for_paper_on(
        &self,
        app: &App,
        conn: &mut Connection,
    ) -> Result<CaseWork, AppError> {
        let work = self.held_on(app, conn).await?;
        work.hold_houses(app, conn).await?;
        Ok(work)
    }

    /// Holds the rows of both houses: their names and addresses stand on pages and papers.
    ///
    /// # Errors
    /// A refusal in words, where one is not as the record says.
    pub(super) async fn hold_houses(
        &self,
        app: &App,
        conn: &mut Connection,
    ) -> Result<(), AppError> {
        for house in [&self.office, &self.lab] {
            let _held = hold(app, conn, ReferenceData::Party, &house.id).await?;
        }
        Ok(())
    }

    /// Where the case stands by its events and the revision in force.
    pub fn standing(&self) -> Standing {
        let (context, read) = (self.context(), self.case.acknowledged);
        let drawn = standing(&context, &self.state, &self.ordered, read);
        Standing {
            waiting_for: self.state.without_vain_parcels(drawn.waiting_for),
            ..drawn
        }
    }

    /// What the card says otherwise than the revision in force, while the case is open and its work is not given up.
    pub fn card_since(&self) -> Option<&CardSince> {
        let goes_on = !self.state.closed && !self.state.is_cancelled();
        self.card.as_ref().filter(|_| goes_on)
    }

    /// The same, where the office is to sign a revision for it: as long as some of the work is not with the patient.
    pub fn changed_card(&self, places: &[Place]) -> Option<&CardSince> {
        let is_delivered = places.iter().all(|place| *place == Place::Patient);
        self.card_since().filter(|_| !is_delivered)
    }

    /// What the card says otherwise, and what one's own house does about it.
    pub fn card_words(&self) -> Option<(String, &'static str)> {
        let card = self.card_since()?;
        let is_answered = self.side == Side::Lab && card.is_answered(&self.state.questions);
        let advice = match is_answered {
            true => CardSince::ANSWERED,
            false => CardSince::advice(self.side),
        };
        Some((card.words(), advice))
    }

    /// What the lab asks the office before it goes on, where the card names more to be avoided and no answer to that has come.
    pub fn asked_by_the_card(&self) -> Option<&CardSince> {
        let card = self.card_since().filter(|card| card.names_more())?;
        (!card.is_answered(&self.state.questions)).then_some(card)
    }

    /// Whether a row of a list says what the entries of the case say. One that was written before or after this case was read
    /// is not compared, nor one that another version drew.
    pub(super) fn is_listed_as(&self, row: &Case) -> bool {
        let mut again = self.clone();
        again.draw();
        let is_comparable = row.version == again.case.version && row.drawn == again.case.drawn;
        !is_comparable || *row == again.case
    }

    /// Draws from the events what the first page shows of the case.
    pub fn draw(&mut self) {
        let standing = self.standing();
        let (closed, lent_due) = (self.state.closed, self.lent_due());
        let card = self.changed_card(&standing.places);
        let revise = card.map(|_| Task {
            side: Side::Office,
            step: Step::Revise,
        });
        // Nobody goes on with work that may hold what the patient is to be kept from since.
        let is_asked = card.is_some() && self.asked_by_the_card().is_some();
        let waiting_for = standing
            .waiting_for
            .into_iter()
            .map(|task| match task.step {
                Step::Make | Step::MakeSpare if is_asked => Task {
                    step: Step::AskAvoided,
                    ..task
                },
                _ => task,
            });
        let waiting_for: Vec<Task> = revise.into_iter().chain(waiting_for).collect();
        let mut places = standing.places.into_iter();
        let case = &mut self.case;
        (case.closed, case.lent_due) = (closed, lent_due);
        case.place = places.next().unwrap_or(Place::Office);
        case.also = places.next();
        case.held = standing.held;
        // What can hurt goes before everything.
        case.waiting_for = waiting_for;
        if case.closed {
            case.waiting_for.clear();
        }
        if case.revision == 0 {
            case.summary = unsigned_summary(case.arches);
        }
        case.agenda = agenda(
            case,
            &self.items,
            &self.state,
            &self.ordered,
            &self.elsewhere,
        );
        case.drawn = DRAWN;
    }

    /// Writes the case with what the first page shows of it, lists its handoffs as the events say, and counts
    /// the change for both parties; where the patient has another denture by it than before, the patient's other cases that go
    /// by that too.
    pub async fn save(&mut self, app: &App, tx: &mut Tx) -> Result<(), AppError> {
        let own = (self.items.as_slice(), &self.state);
        self.elsewhere = Box::pin(dentures_elsewhere(app, tx.conn(), &self.case, own)).await?;
        let said = (&self.state, &self.ordered);
        let beside = Box::pin(cases_elsewhere(app, tx.conn(), &self.case, said)).await?;
        self.ordered.others = beside;
        self.save_alone(app, tx).await?;
        let now = had_dentures(&self.items, &self.state);
        if now != self.had {
            self.had = now;
            Box::pin(self.save_others(app, tx)).await?;
        }
        Ok(())
    }

    /// The patient's other cases in which an arch stands empty, or work is to be ordered again: nothing of the rest hangs on this
    /// one. One that cannot be read, or is not as the record says, stays as it is: its own line says so.
    pub(super) async fn save_others(&self, app: &App, tx: &mut Tx) -> Result<(), AppError> {
        for other in others(app, tx.conn(), &self.case).await? {
            let number = other.number.clone();
            let loaded = CaseWork::of(app, tx.conn(), other, Side::Office).await;
            let held = CaseWork::held_alone(app, tx.conn(), loaded).await?;
            match held {
                Ok(work) if !work.goes_by_others() => {}
                Ok(mut work) => work.save_alone(app, tx).await?,
                Err(why) => tracing::error!(case = %number, ?why, "a case is not drawn again"),
            }
        }
        Ok(())
    }

    /// Whether by this case alone an arch stands empty, or work is to be ordered again.
    fn goes_by_others(&self) -> bool {
        let treated = self.case.arches.treated();
        let is_full = without_teeth(&self.items, &self.state, treated, &[]).is_empty();
        !is_full || is_to_order_again(&self.state, &self.ordered)
    }

    async fn save_alone(&mut self, app: &App, tx: &mut Tx) -> Result<(), AppError> {
        self.draw();
        self.list(tx).await?;
        let case = &mut self.case;
        case.changed_ms = app.outside.now_ms();
        cases::update_case(tx, case).await?;
        // Whatever stood in its row, this is written now.
        counted::forget(app, &case.number, Met::Listed);
        self.note_keeping(tx).await?;
        self.note_papers(tx).await?;
        let case = &mut self.case;
        case.version += 1;
        parties::count_change(tx, [&case.office, &case.lab]).await?;
        Ok(())
    }

    /// Until when the papers of the case are kept, once it was closed.
    pub async fn note_papers(&self, tx: &mut Tx) -> Result<(), StoreError> {
        let said = (&self.state, self.events.as_slice());
        papers_noted::note(tx, &self.case, said, &self.signed).await
    }

    /// Until when matrix and casts are kept here, where that was ever said.
    pub(super) async fn note_keeping(&self, tx: &mut Tx) -> Result<(), StoreError> {
        let says =
            |event: &Event| matches!(&event.what, What::Worked(one) if one.keep_until.is_some());
        if !self.events.iter().any(says) {
            return Ok(());
        }
        let until = self.casts_row().map(|row| row.until);
        casts_kept::set(tx, (&self.case.number, &self.case.lab), until).await
    }

    /// How it is listed until when matrix and casts are kept; nothing is where the lab has none of them.
    pub fn casts_row(&self) -> Option<CastsKept> {
        Some(CastsKept {
            case: self.case.number.clone(),
            lab: self.case.lab.clone(),
            until: last_day_of_casts(&self.items, &self.state)?,
        })
    }

    async fn list(&self, tx: &mut Tx) -> Result<(), StoreError> {
        let rows = stored::handoffs_of(tx.conn(), &self.case.number).await?;
        for one in &self.state.handoffs {
            let state = one.state();
            match rows.iter().find(|row| row.id == one.id) {
                Some(row) if row.state == state => {}
                Some(row) => {
                    let row = HandoffRow {
                        state,
                        ..row.clone()
                    };
                    stored::update_handoff(tx, &row).await?;
                }
                None => {
                    let row = HandoffRow {
                        id: one.id.clone(),
                        case: self.case.number.clone(),
                        from: self.party(one.from).id.clone(),
                        to: self.party(one.to).id.clone(),
                        state,
                        version: 1,
                    };
                    stored::insert_handoff(tx, &row).await?;
                }
            }
        }
        for row in self.passed_rows() {
            passed::keep(tx, &row).await?;
        }
        Ok(())
    }

    /// The earliest day on which something lent is due back and not with its lender.
    pub(super) fn lent_due(&self) -> Option<time::Date> {
        overdue(&self.items, &self.state, &self.ordered, time::Date::MAX)
            .into_iter()
            .map(|one| one.due)
            .min()
    }
}
