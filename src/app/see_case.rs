//! Looking at a case: everything its page, its history and its papers show.

use super::another_key::refuse_another_key;
use super::case_work::CaseWork;
use super::counted;
use super::custody_rows;
use super::custody_words;
use super::health::refuse_if_forked;
use super::see_lists::open_days_of;
use super::signed_words::signed;
use super::whose_case::{find_own, refuse_if_gone};
use super::{App, AppError, Person, record_mark};
use crate::domain::custody::case::Case;
use crate::domain::custody::events::{Disinfected, Released};
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::item::Item;
use crate::domain::custody::{
    CaseState, Description, Event, OutOfForce, Parcel, Sent, What, describe, describe_in, until,
};
use crate::domain::people::party::Side;
use crate::domain::people::party::{Paper, Party};
use crate::domain::prescription::revision::{Acknowledgement, Document, Revision};
use crate::domain::prescription::{Difference, PrintedSection};
use crate::domain::trade::calendar::OpenDays;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::Moment;
use crate::papers;
use crate::record::entry::LeafKind;
use crate::store::{StoreError, cases, custody, revisions};
use std::borrow::Cow;
use std::sync::{Arc, OnceLock};

/// All that is known of a case, but for its draft.
#[derive(Debug, Clone)]
pub struct Known {
    pub work: CaseWork,
    pub acknowledgements: Vec<Acknowledgement>,
    /// Every entry as the history shows it, the same for everybody: made by the first page that asks for it, and
    /// kept as long as the case is what it is here.
    pub history: OnceLock<String>,
}

impl Known {
    /// Oldest first.
    pub fn revisions(&self) -> &[Revision] {
        &self.work.signed.revisions
    }

    pub fn in_force(&self) -> Option<&Revision> {
        self.revisions().last()
    }

    /// The texts of all revisions, oldest first.
    pub fn documents(&self) -> &[Document] {
        &self.work.signed.documents
    }

    /// The text in force; none where nothing is signed.
    pub fn document(&self) -> Option<&Document> {
        self.documents().last()
    }
}

/// A case as one side sees it.
#[derive(Debug, Clone)]
pub struct CaseView {
    known: Arc<Known>,
    /// The office sees whether a draft is under way, who wrote last and when; the lab does not.
    pub draft: Option<(String, i64)>,
    /// When the office is open: its checks are proposed for such days.
    pub office_open: OpenDays,
}

impl std::ops::Deref for CaseView {
    type Target = Known;

    fn deref(&self) -> &Known {
        &self.known
    }
}

pub async fn see(app: &App, person: &Person, number: &CaseNumber) -> Result<CaseView, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let party = person.party_id();
    let Some((side, marks, draft)) = cases::marks(&mut conn, number, party).await? else {
        let (case, _) = find_own(app, &mut conn, party, number).await?;
        return Err(StoreError::row("case_file", &case.number, "its party is not there").into());
    };
    // The side is by the row: who is none of the houses of the case that was kept is looked at by the record.
    let kept = app.read_models.case(number, side, &marks);
    let is_own = |known: &Arc<Known>| known.work.case.side_of(party) == Some(side);
    let kept = kept.filter(|known| is_own(known) && !counted::is_met(app, number));
    // Whoever reads the card by itself, for a draft or to sign, is not to see another one under this case without a word.
    let has_card = match &kept {
        Some(known) => known.work.has_card_of_now(&mut conn).await?,
        None => false,
    };
    let known = match kept.filter(|_| has_card) {
        Some(known) => known,
        None => {
            let known = Arc::new(Known {
                work: CaseWork::load_shown(app, &mut conn, person, number).await?,
                acknowledgements: revisions::acknowledgements(&mut conn, number).await?,
                history: OnceLock::new(),
            });
            // What was held once stays so under these marks; what is not as the record says is looked at each time.
            if known.work.doubt.is_none() {
                app.read_models
                    .store_case(number, side, marks, known.clone());
            }
            known
        }
    };
    let draft = draft.filter(|_| side == Side::Office);
    Ok(CaseView {
        office_open: open_days_of(app, &mut conn, &known.work.case.office).await?,
        known,
        draft,
    })
}

/// One item of one's own case, with the case.
pub async fn see_item(app: &App, person: &Person, tag: &Tag) -> Result<(CaseWork, Item), AppError> {
    let mut conn = app.store.read_at_once().await?;
    let item = custody::find_item(&mut conn, tag)
        .await?
        .ok_or(AppError::NotFound)?;
    let work = CaseWork::load_shown(app, &mut conn, person, &item.case).await?;
    Ok((work, item))
}

/// A signed revision of one's own case, with its text and that of the one before it.
pub struct SeenRevision {
    pub work: CaseWork,
    pub revision: Revision,
    pub document: Document,
    pub before: Option<Document>,
    /// The entry of the record that stands for it, where it is known.
    pub(super) entry: Option<u64>,
    /// Why nobody works from it any more.
    pub out: Option<OutOfForce>,
}

impl SeenRevision {
    /// Everything that was signed, as the slip has it: what is signed is one text, with the office's tooth
    /// numbers, whoever reads it.
    pub fn sections(&self) -> Vec<PrintedSection> {
        let signed = self.revision.signature.at.date();
        self.document.sections(signed, self.document.numbering)
    }

    /// What it says otherwise than the revision before it, in the same tooth numbers.
    pub fn differences(&self) -> Vec<Difference> {
        let before = self.before.as_ref();
        before.map_or_else(Vec::new, |before| {
            self.document.differences(before, self.document.numbering)
        })
    }

    /// Of that what whoever works from this revision has to know.
    pub fn changed(&self) -> Vec<Difference> {
        let before = self.before.as_ref();
        before.map_or_else(Vec::new, |before| {
            self.document.changed_since(before, self.document.numbering)
        })
    }
}

/// One signed revision of one's own case, and the text of the one before it.
pub async fn see_revision(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    revision: i64,
) -> Result<SeenRevision, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let work = CaseWork::load_held(app, &mut conn, person, number).await?;
    drop(conn);
    revision_of(work, revision)
}

/// The same for whoever prints it: what somebody else has written until then is looked at before.
pub async fn revision_to_print(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    revision: i64,
) -> Result<SeenRevision, AppError> {
    refuse_if_forked(app).await?;
    see_revision(app, person, number, revision).await
}

/// One signed revision of a case that whoever asks may see, and that was held where it was loaded.
pub fn revision_of(work: CaseWork, revision: i64) -> Result<SeenRevision, AppError> {
    let found = work.signed.of(revision).ok_or(AppError::NotFound)?;
    let (found, document) = (found.0.clone(), found.1.clone());
    let before = work
        .signed
        .of(revision - 1)
        .map(|(_, before)| before.clone());
    Ok(SeenRevision {
        out: out_of_force(&work, revision),
        entry: work.signed.entry_of(revision),
        work,
        document,
        revision: found,
        before,
    })
}

/// What stands against working from a revision of a case: a newer one, or that the work stands still.
fn out_of_force(work: &CaseWork, revision: i64) -> Option<OutOfForce> {
    let newest = (work.case.revision, work.ordered.since?);
    let halt = work.state.standstill.as_ref();
    OutOfForce::of(revision, newest, halt, work.card_since())
}

/// What is said to whoever reads the code on a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadSheet {
    /// The newest revision of the case.
    pub newest: i64,
    /// None where the sheet is in force, and where its code does not say which it is.
    pub out: Option<OutOfForce>,
}

/// What stands against a sheet whose code was read, for whoever holds it, with or without an account: the number of a
/// case is found by no guess, and nothing is told of it but that its sheet is out of force. None where there is no
/// such sheet. A sheet of before its code named the revision is asked about with none.
pub async fn read_sheet(
    app: &App,
    number: &CaseNumber,
    revision: Option<i64>,
) -> Result<Option<ReadSheet>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    refuse_another_key(app, &mut conn).await?;
    let case = cases::find_case(&mut conn, number).await?;
    if case.is_none() {
        // A sheet in the hand of somebody is not made up.
        refuse_if_gone(app, &mut conn, number).await?;
    }
    let is_there = |newest: i64| (1..=newest).contains(&revision.unwrap_or(1));
    let Some(case) = case.filter(|case| is_there(case.revision)) else {
        return Ok(None);
    };
    let newest = case.revision;
    let work = CaseWork::of(app, &mut conn, case, Side::Office).await?;
    // Somebody works from the sheet, or lets it be, by what is said here.
    work.hold(app, &mut conn).await?;
    let asked = revision.unwrap_or(newest);
    Ok(Some(ReadSheet {
        newest,
        out: out_of_force(&work, asked),
    }))
}

/// Events of a case in words, newest first; `case` is what they say.
pub fn describe_all(items: &[Item], case: &CaseState, events: &[Event]) -> Vec<Description> {
    let latest = events.iter().rev();
    latest
        .map(|event| describe_in(items, case, event))
        .collect()
}

/// The events up to `unix_ms`.
pub fn events_until(work: &CaseWork, unix_ms: Option<i64>) -> Cow<'_, [Event]> {
    match unix_ms {
        None => Cow::Borrowed(&work.events),
        Some(unix_ms) => Cow::Owned(until(&work.events, unix_ms)),
    }
}

/// One line for each case, its number first, in the order in which they were opened: for the command line.
pub async fn list_lines(app: &App) -> Result<Vec<String>, AppError> {
    const PAGE: i64 = 5_000;
    let (mut all, mut after) = (Vec::new(), String::new());
    let mut conn = app.store.read().await?;
    // By their numbers, which an index has in order; a page by its offset would read all before it again.
    loop {
        let page = cases::listed_after(&mut conn, &after, PAGE).await?;
        let Some(last) = page.last() else { break };
        after.clone_from(&last.number);
        all.extend(page);
    }
    all.sort_by(|one, other| (one.opened_ms, &one.number).cmp(&(other.opened_ms, &other.number)));
    let line = |case: &cases::ListedCase| {
        let number = CaseNumber::parse(&case.number)
            .map_err(|why| StoreError::row("case_file", &case.number, why))?;
        let signed = match case.revision {
            0 => "not signed".to_owned(),
            number => format!("revision {number}"),
        };
        let place = case.place.shown();
        Ok(format!("{number}  {signed}  {place}  {}", case.summary))
    };
    all.iter().map(line).collect()
}

/// The case that the command line names.
pub async fn case_named(app: &App, typed: &str) -> Result<Case, AppError> {
    let number = CaseNumber::parse(typed)
        .map_err(|error| AppError::Refused(vec![format!("{typed}: {error}")]))?;
    let case = cases::find_case(&mut *app.store.read().await?, &number).await?;
    case.ok_or_else(|| AppError::Refused(vec![format!("there is no case {number}")]))
}

/// A case's whole history on paper.
pub async fn custody_pdf(
    app: &App,
    view: &Known,
    paper: Paper,
    ribbon_always: bool,
) -> Result<Vec<u8>, AppError> {
    use papers::custody_sheet::{CustodySheet, lay_out};
    refuse_if_forked(app).await?;
    let mut conn = app.store.read_at_once().await?;
    let work = &view.work.held_for_paper_on(app, &mut conn).await?;
    let words = revisions::acknowledgements(&mut conn, &work.case.number).await?;
    drop(conn);
    let signed = signed(work, &work.signed.revisions, &words, None);
    let last = work.events.last().map(|event| event.entered_at);
    let as_of = last.unwrap_or(Moment::new(work.case.opened_ms, 0));
    let ribbon = work.ribbon(as_of);
    let numbers = ribbon
        .lines
        .iter()
        .map(|line| (line.number, line.tag.clone()));
    let numbers: Vec<(usize, Tag)> = numbers.collect();
    let sheet = CustodySheet {
        ribbon_always,
        people: custody_rows::people(work),
        paper,
        title: "Custody sheet".to_owned(),
        case_number: work.case.number.to_string(),
        patient_code: work.case.patient.to_string(),
        as_of: last.map_or_else(String::new, |at| {
            format!("As recorded up to {}", at.in_words())
        }),
        items: custody_words::items(work, &ribbon),
        worn: custody_words::worn(work),
        ribbon: Some(ribbon),
        events: custody_rows::rows(work, &numbers, signed),
        record: record_mark::now(app).await?,
    };
    let meta = papers::Meta {
        title: format!("Custody sheet {}", sheet.case_number),
        author: work.office.name.clone(),
        created: as_of,
        language: Some(crate::papers::LANGUAGE),
    };
    papers::write(&lay_out(&sheet), &meta).map_err(|error| AppError::Inner(error.to_string()))
}

/// The notes that travel in the parcels of a handoff, as PDF. The release, what stood before it and a cancellation decide
/// every word, so the same handoff gives the same bytes.
pub async fn parcel_note_pdf(
    app: &App,
    work: &CaseWork,
    handoff: &Handoff,
    paper: Paper,
    address: &str,
) -> Result<Vec<u8>, AppError> {
    use papers::parcel_note::{ParcelNote, lay_out};
    let work = &work.hold_for_paper(app).await?;
    let written = |party: &Party| format!("{}\n{}", party.name, party.address);
    let is_release = |event: &&Event| matches!(&event.what, What::Released(Released { handoff: id, .. }) if *id == handoff.id);
    let release: Vec<String> = work
        .events
        .iter()
        .find(is_release)
        .map(|event| event.id.to_string())
        .into_iter()
        .collect();
    let parcels = (1..).zip(&handoff.parcels);
    let parcels = parcels.map(|parcel| note_parcel(work, handoff, parcel));
    let note = ParcelNote {
        paper,
        case_number: work.case.number.to_string(),
        from: written(work.party(handoff.from)),
        to: written(work.party(handoff.to)),
        carrier: match handoff.tracking.as_str() {
            "" => handoff.carrier.clone(),
            tracking => format!("{}, reference {tracking}", handoff.carrier),
        },
        purpose: handoff.purpose.clone(),
        released: format!(
            "Released by {}, {}",
            handoff.released_by.name,
            handoff.released_at.in_words()
        ),
        parcels: parcels.collect(),
        qr_address: Some(format!("{address}/H/{}", handoff.id).to_uppercase()),
        record: record_mark::after(app, LeafKind::Event, &release).await?,
    };
    let meta = papers::Meta {
        title: format!("Note for the parcel, case {}", note.case_number),
        author: work.party(handoff.from).name.clone(),
        created: handoff.released_at,
        language: Some(crate::papers::LANGUAGE),
    };
    papers::write(&for_parcel(lay_out(&note), work, handoff), &meta)
        .map_err(|error| AppError::Inner(error.to_string()))
}

fn note_parcel(
    work: &CaseWork,
    handoff: &Handoff,
    (number, parcel): (u32, &Parcel),
) -> papers::parcel_note::NoteParcel {
    let mut packing = Vec::new();
    if parcel.moist_bag {
        packing.push("Moist, in a sealed bag");
    }
    if parcel.hard_box {
        packing.push("In a hard box");
    }
    packing.push(parcel.note.as_str());
    packing.retain(|words| !words.is_empty());
    let inside = handoff.sent.iter().filter(|sent| sent.parcel() == number);
    papers::parcel_note::NoteParcel {
        seal: match parcel.seal.as_str() {
            "" => "No seal".to_owned(),
            seal => format!("Seal {seal}"),
        },
        packing: packing.join(". "),
        rows: inside.map(|sent| note_row(work, handoff, sent)).collect(),
    }
}

/// What is stuck on the outside of the parcels of a handoff, as PDF.
pub async fn outside_label_pdf(
    app: &App,
    work: &CaseWork,
    handoff: &Handoff,
    paper: Paper,
) -> Result<Vec<u8>, AppError> {
    use papers::outside_label::{OutsideLabel, lay_out};
    let work = &work.hold_for_paper(app).await?;
    let written = |party: &Party| format!("{}\n{}", party.name, party.address);
    let release = work.events.iter().find(|event| {
        matches!(&event.what, What::Released(Released { handoff: id, .. }) if *id == handoff.id)
    });
    let release: Vec<String> = release.iter().map(|event| event.id.to_string()).collect();
    let parcels = (1..).zip(&handoff.parcels).map(|(number, _)| number);
    let inside = |number: u32| {
        handoff
            .sent
            .iter()
            .filter(|sent| sent.parcel() == number)
            .count()
    };
    let label = OutsideLabel {
        paper,
        from: written(work.party(handoff.from)),
        to: written(work.party(handoff.to)),
        carrier: handoff.carrier.clone(),
        pieces: parcels.map(inside).collect(),
        qr_address: format!("{}/H/{}", app.settings.address, handoff.id).to_uppercase(),
        record: record_mark::after(app, LeafKind::Event, &release).await?,
    };
    let meta = papers::Meta {
        title: "For the outside of the parcel".to_owned(),
        author: work.party(handoff.from).name.clone(),
        created: handoff.released_at,
        language: Some(crate::papers::LANGUAGE),
    };
    papers::write(&for_parcel(lay_out(&label), work, handoff), &meta)
        .map_err(|error| AppError::Inner(error.to_string()))
}

/// What goes with a parcel bears a mark where the work is cancelled, and the office has packed it in vain.
fn for_parcel(pages: Vec<papers::Page>, work: &CaseWork, handoff: &Handoff) -> Vec<papers::Page> {
    let is_vain = work.state.is_packed_in_vain(&handoff.id);
    let halt = work.state.standstill.as_ref().filter(|_| is_vain);
    match halt {
        Some(halt) => papers::marked_in_vain(pages, &OutOfForce::by_halt(halt)),
        None => pages,
    }
}

/// One item of a note, with the last disinfection before it was released.
fn note_row(work: &CaseWork, handoff: &Handoff, sent: &Sent) -> papers::parcel_note::NoteRow {
    let item = work.item(&sent.tag);
    let is_release = |event: &Event| matches!(&event.what, What::Released(Released { handoff: id, .. }) if *id == handoff.id);
    let before = work.events.iter().take_while(|event| !is_release(event));
    let before = before.filter(|event| work.state.withdrawn_on(&event.id).is_none());
    let entry = before
        .filter_map(|event| match &event.what {
            What::Disinfected(Disinfected { tag, .. }) if *tag == sent.tag => {
                Some((describe(&work.items, event), event.at))
            }
            _ => None,
        })
        .last();
    let needs = item.is_some_and(|item| item.kind.needs_disinfection());
    papers::parcel_note::NoteRow {
        tag: sent.tag.to_string(),
        title: item.map(Item::title).unwrap_or_default(),
        pieces: sent
            .pieces
            .unwrap_or_else(|| item.map_or(1, |item| item.pieces))
            .to_string(),
        condition: sent.condition_shown(),
        disinfection: match entry {
            Some((description, at)) => format!("{}, {at}", description.details.join(" ")),
            None if needs => "no entry".to_owned(),
            None => "needs none".to_owned(),
        },
    }
}
