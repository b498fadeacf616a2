//! A case taken in hand: everything known of it, loaded in the transaction that will change it, and the
//! one way to append an event to it.

use super::clock_doubt::refuse_in_doubt;
use super::entry::Late;
use super::recorded::find_revision;
use super::{App, AppError, Person, recorded};
use crate::clock::moment_in;
use crate::domain::custody::case::{Case, DRAWN, Place};
use crate::domain::custody::item::Item;
use crate::domain::custody::{
    CaseState, ClockWord, Context, Event, Offers, Ordered, PassedWork, Standing, What, agenda,
    allow_entered_in, has_casts, overdue, standing,
};
use crate::domain::people::party::{Party, Side};
use crate::domain::people::patient::{self, OwnTeeth};
use crate::domain::prescription::revision::{Document, Revision};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{CaseNumber, EventId};
use crate::domain::values::moment::Moment;
use crate::record::entry::LeafKind;
use crate::store::custody::{self as stored, HandoffRow};
use crate::store::passed::{self, PassedRow};
use crate::store::record::count_of;
use crate::store::{Connection, StoreError, Tx, cases, casts_kept, parties, resumption};
use std::collections::BTreeMap;

/// What is said of an entry that a code is not enough for.
const NEEDS_PASSWORD: &str = "You are here by your code, and a code is for entries at the bench: type your password to go on \
                              with this.";

/// What a signed revision says of things; nothing where there is none.
pub fn ordered(revision: Option<&Revision>) -> Result<Ordered, AppError> {
    let Some(revision) = revision else {
        return Ok(Ordered::default());
    };
    let document = Document::from_canonical(&revision.document)?;
    Ok(Ordered::of(&document, revision.signature.at))
}

/// The case, if this person's party is its office or its lab; otherwise it does not exist.
pub async fn own_case(
    conn: &mut Connection,
    person: &Person,
    number: &CaseNumber,
) -> Result<Case, AppError> {
    let case = cases::find_case(conn, number)
        .await?
        .ok_or(AppError::NotFound)?;
    case.side_of(person.party_id()).ok_or(AppError::NotFound)?;
    Ok(case)
}

async fn own_teeth(
    conn: &mut Connection,
    case: &Case,
) -> Result<BTreeMap<Arch, OwnTeeth>, AppError> {
    // Without its card the case is shown all the same: what needs the card says that it is missing.
    let Some(row) = cases::find_patient(conn, &case.patient).await? else {
        return Ok(BTreeMap::new());
    };
    let facts = row.typed()?;
    let card = patient::read(&facts).patient;
    let arches = [Arch::Upper, Arch::Lower].into_iter();
    Ok(arches
        .filter_map(|arch| Some((arch, card.teeth(arch)?)))
        .collect())
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
    /// What the events say, folded once.
    pub state: CaseState,
    /// What the revision in force says of things.
    pub ordered: Ordered,
    /// Words about a clock that was wrong once.
    pub clock: Vec<ClockWord>,
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
    pub async fn load(
        conn: &mut Connection,
        person: &Person,
        number: &CaseNumber,
    ) -> Result<CaseWork, AppError> {
        let case = own_case(conn, person, number).await?;
        let side = case.side_of(person.party_id()).ok_or(AppError::NotFound)?;
        CaseWork::of(conn, case, side).await
    }

    /// The case of which this entry passes work on to the person's laboratory, as the lab's, with that work; for anybody
    /// else there is none.
    pub async fn passed_to(
        conn: &mut Connection,
        person: &Person,
        pass: &EventId,
    ) -> Result<(CaseWork, PassedWork), AppError> {
        let row = passed::find(conn, pass).await?.ok_or(AppError::NotFound)?;
        let case = cases::find_case(conn, &row.case).await?;
        let case = case.ok_or(AppError::NotFound)?;
        let work = CaseWork::of(conn, case, Side::Lab).await?;
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
            })
        };
        passes.filter_map(row).collect()
    }

    /// The case as it stands, to be looked at.
    pub async fn see(
        app: &App,
        person: &Person,
        number: &CaseNumber,
    ) -> Result<CaseWork, AppError> {
        let mut conn = app.store.read().await?;
        CaseWork::load(&mut conn, person, number).await
    }

    /// The case in the transaction that will change it: as it was seen before the turn came, if nothing of it
    /// has been written since; otherwise as it stands now. Others wait for their turn meanwhile, and every
    /// change of a case counts its version up.
    pub async fn as_seen(
        conn: &mut Connection,
        person: &Person,
        seen: &CaseWork,
    ) -> Result<CaseWork, AppError> {
        let case = own_case(conn, person, &seen.case.number).await?;
        if case.version == seen.case.version && case.side_of(person.party_id()) == Some(seen.side) {
            return Ok(CaseWork {
                case,
                ..seen.clone()
            });
        }
        CaseWork::load(conn, person, &seen.case.number).await
    }

    /// For a case that is known to be the asker's own.
    pub async fn of(conn: &mut Connection, case: Case, side: Side) -> Result<CaseWork, AppError> {
        let missing = |id: &str| StoreError::row("case_file", id, "its party is not there");
        let office = parties::find(conn, &case.office)
            .await?
            .ok_or_else(|| missing(&case.office))?;
        let lab = parties::find(conn, &case.lab)
            .await?
            .ok_or_else(|| missing(&case.lab))?;
        let items = stored::items_of(conn, &case.number).await?;
        let events = stored::events_of(conn, &case.number).await?;
        let own_teeth = own_teeth(conn, &case).await?;
        let revision = match case.revision {
            ..=0 => None,
            number => find_revision(conn, &case.number, number).await?,
        };
        Ok(CaseWork {
            ordered: ordered(revision.as_ref())?,
            own_teeth,
            case,
            side,
            office,
            lab,
            items,
            state: CaseState::of(&events),
            events,
            clock: clock_words(conn).await?,
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
        self.refuse_unless_whole(tx.conn()).await?;
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

    /// Refuses to work on a case whose stored entries are not as many as the record has of it.
    pub(super) async fn refuse_unless_whole(&self, conn: &mut Connection) -> Result<(), AppError> {
        let number = &self.case.number;
        let recorded = count_of(conn, number, LeafKind::Event.word()).await?;
        let stored = self.events.len() as u64;
        if recorded == stored {
            return Ok(());
        }
        tracing::error!(case = %number, recorded, stored, "entries of a case are not as the record says");
        Err(AppError::Refused(vec![format!(
            "The record has {recorded} entries of case {number}, and {stored} are stored: somebody has changed them past \
             this program. Nothing was entered. Tell whoever runs this installation: “vestibule check” says more."
        )]))
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

    /// Draws from the events what the first page shows of the case.
    pub fn draw(&mut self) {
        let standing = self.standing();
        let (closed, lent_due) = (self.state.closed, self.lent_due());
        let mut places = standing.places.into_iter();
        let case = &mut self.case;
        (case.closed, case.lent_due) = (closed, lent_due);
        case.place = places.next().unwrap_or(Place::Office);
        case.also = places.next();
        case.held = standing.held;
        case.waiting_for = standing.waiting_for;
        if case.closed {
            case.waiting_for.clear();
        }
        case.agenda = agenda(case, &self.items, &self.state, &self.ordered);
        case.drawn = DRAWN;
    }

    /// Writes the case with what the first page shows of it, lists its handoffs as the events say, and counts
    /// the change for both parties.
    pub async fn save(&mut self, app: &App, tx: &mut Tx) -> Result<(), AppError> {
        self.draw();
        self.list(tx).await?;
        let case = &mut self.case;
        case.changed_ms = app.outside.now_ms();
        cases::update_case(tx, case).await?;
        self.note_keeping(tx).await?;
        let case = &mut self.case;
        case.version += 1;
        parties::count_change(tx, [&case.office, &case.lab]).await?;
        Ok(())
    }

    /// Until when matrix and casts are kept here, where that was ever said.
    async fn note_keeping(&self, tx: &mut Tx) -> Result<(), StoreError> {
        let says =
            |event: &Event| matches!(&event.what, What::Worked(one) if one.keep_until.is_some());
        if !self.events.iter().any(says) {
            return Ok(());
        }
        let until = self.state.casts_kept_until();
        let until = until.filter(|_| has_casts(&self.items, &self.state));
        casts_kept::set(tx, (&self.case.number, &self.case.lab), until).await
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
    fn lent_due(&self) -> Option<time::Date> {
        overdue(&self.items, &self.state, &self.ordered, time::Date::MAX)
            .into_iter()
            .map(|one| one.due)
            .min()
    }
}
