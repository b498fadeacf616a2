//! Reading and signing a prescription, and the lab's acknowledgement of it.
//!
//! What is shown before signing is the very text that is hashed: the page carries its hash and moment,
//! and signing builds the text again. If anything has changed between the two, nothing is signed.

use super::case_work::{CaseDoubt, CaseWork, SignedText, card_of};
use super::clock_doubt::refuse_in_doubt;
use super::fill_in::{beforehand, is_next_round, known_beside};
use super::own_draft::hold_draft;
use super::recorded::reference::hold;
use super::recorded::{find_revision, revisions_of};
use super::reviewing::{Reviewed, review_with, setting};
use super::run::on_case::run_on_case;
use super::sign_in::confirm_password;
use super::signed_revisions::SignedRevisions;
use super::untyped::{UntypedValue, untyped};
use super::{App, AppError, Person, PostKey, recorded};
use crate::domain::custody::case::Case;
use crate::domain::custody::events::Answered;
use crate::domain::custody::item::Item;
use crate::domain::custody::{State, THE_CASE_IS_CLOSED, What, answers_too_early, travels};
use crate::domain::fill::{fill, otherwise};
use crate::domain::form::{Kind, PASSWORD, Secret, command};
use crate::domain::law::card::LawCard;
use crate::domain::people::party::Side;
use crate::domain::people::patient;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::revision::{
    Acknowledgement, Document, ItemCard, MEANING, MissingPoint, PartyCard, PassedCaution,
    PatientCard, Revision, SCHEMA, SHEET, Signature, document_hash,
};
use crate::domain::prescription::sources::{AS_PATTERN, Origin, USUAL, USUAL_OF_LAB};
use crate::domain::prescription::{self, Difference};
use crate::domain::review::course_written;
use crate::domain::review::{Letterhead, Level, Setting, is_reason};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, EventId};
use crate::domain::values::moment::Moment;
use crate::store::reference::ReferenceData;
use crate::store::{Connection, StoreError, Tx, drafts, revisions};
use std::collections::BTreeSet;
use std::sync::Arc;

/// What is about to be signed.
#[derive(Debug, Clone)]
pub struct Proposal {
    pub document: Document,
    pub canonical: String,
    pub hash: String,
    /// What nobody typed, by where it comes from.
    pub untyped: Vec<(Origin, Vec<UntypedValue>)>,
    /// What stands against signing, by field.
    pub faults: Vec<Fault>,
    pub differences: Vec<Difference>,
    pub based_on: i64,
    /// The text of the revision in force.
    pub before: Option<Document>,
    /// What speaks against the case itself, where that was looked at.
    pub doubt: Option<CaseDoubt>,
}

/// Builds the text that would be signed at `issued`.
async fn build(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    work: &CaseWork,
    issued: Moment,
) -> Result<Proposal, AppError> {
    may_be_signed(work)?;
    let draft = drafts::find(conn, &work.case.number).await?;
    let draft = draft.ok_or_else(no_draft)?;
    hold_draft(conn, &work.case, &draft).await?;
    build_of(app, conn, person, work, (&draft.fields, issued)).await
}

/// Only the office signs, and only while the case is open.
fn may_be_signed(work: &CaseWork) -> Result<(), AppError> {
    if work.side != Side::Office {
        return Err(AppError::NotFound);
    }
    if work.state.is_cancelled() {
        return Err(AppError::Refused(vec![
            "The work on this case is canceled: enter that it goes on, with the reason, before anything is signed."
                .to_owned(),
        ]));
    }
    if work.case.closed {
        return Err(AppError::Refused(vec![
            "The case is closed: open it again, with the reason, before anything is signed."
                .to_owned(),
        ]));
    }
    Ok(())
}

/// The same of these fields, stored or not.
async fn build_of(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    work: &CaseWork,
    (typed, issued): (&Fields, Moment),
) -> Result<Proposal, AppError> {
    may_be_signed(work)?;
    let in_force = find_revision(app, conn, &work.case.number, work.case.revision).await?;
    let in_force = in_force.as_ref().map(open_revision).transpose()?;
    let previous = in_force.as_ref().map(|before| before.prescription.clone());
    let signer = Some(dentist(person, work));
    let read = [typed];
    let known = (previous, read.as_slice());
    let mut context = setting(app, conn, work, known, signer, issued).await?;
    let signed = (context.previous.as_ref()).map(course_written);
    let named = (signed, is_next_round(work), read.as_slice());
    let beforehand = beforehand(app, conn, &work.case, named, person.numbering()).await?;
    let known = known_beside(work, &context.lists, &beforehand, person.numbering());
    let filled = fill(typed, &known);
    context.usual_otherwise = otherwise(&filled, &known);
    let mut reading = prescription::read(&filled.fields, person.numbering());
    reading.ask_for_signing();
    let mut faults = reading.faults;
    for conflicts in drafts::conflicts(conn, &work.case.number).await? {
        faults.push(Fault::new(
            conflicts.field,
            format!(
                "{} wrote another text here: choose one first.",
                conflicts.name
            ),
        ));
    }
    let reviewed = review_with(&reading.document, &context, typed);
    // A field that cannot be read as it stands is mended first; of any other all is said that stands against it.
    let unread: BTreeSet<String> = faults.iter().map(|fault| fault.key.clone()).collect();
    for finding in reviewed.unanswered() {
        if !unread.contains(&finding.key) {
            faults.push(Fault::new(&finding.key, &finding.sentence));
        }
    }
    let card = context.patient.clone().unwrap_or_default();
    let warnings = prescription::personal(&filled.fields)
        .into_iter()
        .chain(patient::personal(&card.to_raw()))
        .map(|(key, warning)| format!("{}: {}", label(&key), warning.sentence()))
        .collect();
    let examined = (&context, &reviewed, warnings);
    let document = document_of(app, person, work, (reading.document, issued), examined);
    let differences = in_force.as_ref().map_or_else(Vec::new, |before| {
        document.differences(before, document.numbering)
    });
    let canonical = document.canonical()?;
    Ok(Proposal {
        hash: document_hash(&canonical),
        untyped: untyped(&filled),
        canonical,
        document,
        faults,
        differences,
        based_on: work.case.revision,
        before: in_force,
        doubt: work.doubt.clone(),
    })
}

/// The text of a prescription with all that stands around it.
fn document_of(
    app: &App,
    person: &Person,
    work: &CaseWork,
    (prescription, issued): (prescription::Prescription, Moment),
    (context, reviewed, warnings): (&Setting, &Reviewed, Vec<String>),
) -> Document {
    let card = context.patient.clone().unwrap_or_default();
    let (prescriber_name, prescriber_licence) = person.prescriber();
    let items = cards_of(work, &prescription).map(|item| ItemCard {
        tag: item.tag.to_string(),
        title: title_with_file(work, item),
        pieces: item.pieces,
        at: at_rest(work, item, &prescription),
    });
    Document {
        schema: SCHEMA,
        case: work.case.number.clone(),
        revision: work.case.revision + 1,
        arches: work.case.arches,
        patient: PatientCard {
            code: work.case.patient.clone(),
            facts: card.facts(),
        },
        office: PartyCard::from(&work.office),
        lab: PartyCard::from(&work.lab),
        prescriber_name,
        prescriber_licence,
        issued,
        numbering: work.office.numbering,
        paper: work.office.paper,
        meaning: MEANING.to_owned(),
        address: app.settings.address.clone(),
        items: items.collect(),
        warnings,
        passed: passed(reviewed),
        met: count(reviewed.met()),
        criteria: count(reviewed.applying()),
        law: LawCard::of_case(&context.law),
        missing: missing(reviewed),
        sheet: SHEET,
        prescription,
    }
}

/// The item's title, with what a file is known by: the signed text names the very file.
fn title_with_file(work: &CaseWork, item: &Item) -> String {
    let state = work.state.custody.get(&item.tag);
    match state.and_then(|state| state.file.as_ref()) {
        Some(file) => format!("{}: {}", item.title(), file.words()),
        None => item.title(),
    }
}

/// The person who signs, as the review sees a dentist.
pub(super) fn dentist(person: &Person, work: &CaseWork) -> Letterhead {
    Letterhead {
        name: person.account.name.clone(),
        address: work.office.address.clone(),
        licence: person.account.licence.clone(),
    }
}

/// The cautions that stand, with their reasons.
fn passed(reviewed: &Reviewed) -> Vec<PassedCaution> {
    let cautions = reviewed
        .findings
        .iter()
        .filter(|finding| finding.level == Level::Caution && is_reason(reviewed.reason(finding)));
    cautions
        .map(|finding| PassedCaution {
            id: finding.id.to_owned(),
            sentence: finding.sentence.clone(),
            reason: reviewed.reason(finding).to_owned(),
        })
        .collect()
}

/// The criteria that are not met, with the reasons typed for what the review asked about them.
fn missing(reviewed: &Reviewed) -> Vec<MissingPoint> {
    let unmet = reviewed.criteria.iter().filter(|criterion| !criterion.met);
    unmet
        .map(|criterion| {
            let asked = reviewed.findings.iter();
            let reasons: Vec<&str> = asked
                .filter(|finding| criterion.findings.contains(&finding.id))
                .map(|finding| reviewed.reason(finding))
                .filter(|reason| is_reason(reason))
                .collect();
            MissingPoint {
                number: count(criterion.number),
                name: criterion.name.to_owned(),
                reason: reasons.join("; "),
            }
        })
        .collect()
}

/// Where a thing stays that is not listed as enclosed.
fn at_rest(work: &CaseWork, item: &Item, prescription: &prescription::Prescription) -> String {
    let mut enclosed = prescription.enclosures.enclosed.iter();
    let is_enclosed = enclosed.any(|row| row.tag.as_ref() == Some(&item.tag));
    let state = work.state.item(&item.tag).filter(|_| !is_enclosed);
    state.map_or_else(String::new, State::at_rest)
}

/// The items that the text tells of: those that go from house to house, those that are worn or kept back meanwhile,
/// and those that it names.
fn cards_of<'a>(
    work: &'a CaseWork,
    prescription: &prescription::Prescription,
) -> impl Iterator<Item = &'a Item> {
    let text = prescription.canonical().unwrap_or_default();
    let is_listed = move |item: &&Item| {
        let state = work.state.item(&item.tag);
        let goes = state.is_some_and(|state| travels(item, state, &work.ordered));
        let stays = state.is_some_and(|state| state.is_there() && state.stays());
        goes || stays || text.contains(item.tag.as_str())
    };
    work.items.iter().filter(is_listed)
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// The label of a form key, with its row where it stands in a list; for messages.
pub fn label(key: &str) -> String {
    written_label(key).unwrap_or_else(|| key.to_owned())
}

/// The same; `None` for a key of no prescription and no card.
pub fn written_label(key: &str) -> Option<String> {
    let groups = || {
        prescription::catalogue()
            .iter()
            .flat_map(|section| section.groups)
    };
    if let Some(spec) = prescription::field_spec(key) {
        return Some(match crate::domain::form::split_row_key(key) {
            Some((group, row, _)) => {
                let title = groups()
                    .find(|one| one.key == group)
                    .map_or("", |one| one.title);
                format!("{title}, row {}: {}", row + 1, spec.label)
            }
            None => spec.label.to_owned(),
        });
    }
    if let Some(spec) = patient::fields().iter().find(|spec| spec.key == key) {
        return Some(format!("Patient's card: {}", spec.label));
    }
    if let Some(context) = key.strip_prefix("case.") {
        return Some(format!("The case: {context}"));
    }
    let of_the_draft = match key {
        AS_PATTERN => Some("As the pattern"),
        USUAL => Some("Usual values"),
        USUAL_OF_LAB => Some("Usual at the lab"),
        _ => None,
    };
    if let Some(words) = of_the_draft {
        return Some(words.to_owned());
    }
    groups()
        .find(|one| one.key == key)
        .map(|one| one.title.to_owned())
}

fn no_draft() -> AppError {
    AppError::Refused(vec![
        "There is no draft to sign. Open the prescription and write it first.".to_owned(),
    ])
}

/// What would be signed now.
pub async fn propose(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<Proposal, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let work = CaseWork::load_shown(app, &mut conn, person, number).await?;
    let issued = work.now(app);
    build(app, &mut conn, person, &work, issued).await
}

/// What was proposed at `issued`, in milliseconds, under this hash, once more; 409 where the text is another by now, or
/// was shown too long ago.
pub async fn propose_again(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (hash, issued): (&str, i64),
) -> Result<Proposal, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let work = CaseWork::load_shown(app, &mut conn, person, number).await?;
    let now = work.now(app);
    let other = || AppError::Conflict(OTHER_TEXT.to_owned());
    if !was_shown_lately(issued, now) {
        return Err(other());
    }
    let issued = Moment::new(issued, now.offset_min);
    let proposal = build(app, &mut conn, person, &work, issued).await?;
    match proposal.hash == hash {
        true => Ok(proposal),
        false => Err(other()),
    }
}

/// What the fields of a form would become, before anything of them is stored: to be looked at, never to be signed.
pub(super) async fn propose_of(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    typed: &Fields,
) -> Result<Proposal, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let work = CaseWork::load(app, &mut conn, person, number).await?;
    let issued = work.now(app);
    build_of(app, &mut conn, person, &work, (typed, issued)).await
}

command! {
    /// What the signer saw: the hash of the text, its moment in milliseconds, and which card of the patient. A repeated post is answered
    /// without the password, so that it is asked for only when something is signed.
    SignForm;
    hash: String = Kind::Hidden, "", "";
    issued: i64 = Kind::Hidden, "", "";
    card_shown: String = Kind::Hidden, "", "";
    warnings_read: bool = Kind::Tick, "I have looked at these texts, and they name nobody", "";
    password: Secret = PASSWORD, "Your password again", "";
}

/// A page that was opened longer ago than this is shown once more before it is signed.
const SHOWN_MOST_MS: i64 = 60 * 60_000;

/// Signs what was shown. Returns the revision's number.
pub async fn sign(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    shown: &SignForm,
    key: &PostKey,
) -> Result<i64, AppError> {
    // A repeated post is answered before the password is asked for again.
    let mut conn = app.store.read().await?;
    let earlier =
        crate::store::people::outcome_of(&mut conn, &person.account.id, key.as_str()).await?;
    drop(conn);
    if let Some(outcome) = earlier {
        return outcome
            .parse()
            .map_err(|_| AppError::Inner("the outcome of signing is no number".to_owned()));
    }
    confirm_password(app, person, shown.password.as_str()).await?;
    sign_shown(app, person, number, shown, key).await
}

/// Signs a proposal that was built just now, for the demo: its dentists have no hands to type a password.
pub(super) async fn sign_unasked(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    proposal: &Proposal,
    key: &PostKey,
) -> Result<(), AppError> {
    let shown = SignForm {
        hash: proposal.hash.clone(),
        issued: proposal.document.issued.unix_ms,
        card_shown: proposal.document.patient.fingerprint(),
        warnings_read: true,
        password: Secret::default(),
    };
    sign_shown(app, person, number, &shown, key).await.map(drop)
}

async fn sign_shown(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    shown: &SignForm,
    key: &PostKey,
) -> Result<i64, AppError> {
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        let now = work.now(app);
        let issued = Moment::new(shown.issued, now.offset_min);
        let proposal = build(app, tx.conn(), person, &work, issued).await?;
        stands(&proposal, shown, now)?;
        as_recorded(app, &mut tx, &work.case).await?;
        // Before it is written: afterwards it is the newest entry itself.
        refuse_in_doubt(app, tx.conn()).await?;
        let revision = signed(person, proposal, now);
        keep_promises(app, &mut tx, person, &mut work, revision.number).await?;
        put_in_force(app, &mut tx, &mut work, &revision).await?;
        Ok((work, tx, revision.number))
    })
    .await
}

/// The revision is what was promised to whoever asked: what waited for it goes on.
async fn keep_promises(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    work: &mut CaseWork,
    number: i64,
) -> Result<(), AppError> {
    let promised = work.state.promised_revisions();
    let promised: Vec<EventId> = promised.map(|(asked, _)| asked.event.clone()).collect();
    for question in promised {
        let id = EventId::new(app.outside.identity()?);
        let signed = What::Answered(Answered {
            question,
            text: format!("Revision {number} is signed."),
            taken_back: false,
            picture: None,
            revision_follows: false,
        });
        work.append(app, tx, person, &id, signed, None).await?;
    }
    Ok(())
}

/// What stands on the paper beside the prescription is what the record says of both houses and of the patient.
async fn as_recorded(app: &App, tx: &mut Tx, case: &Case) -> Result<(), AppError> {
    for (of, key) in [
        (ReferenceData::Party, case.office.as_str()),
        (ReferenceData::Party, case.lab.as_str()),
        (ReferenceData::Patient, case.patient.as_str()),
    ] {
        let _held = hold(app, tx.conn(), of, key).await?;
    }
    Ok(())
}

const OTHER_TEXT: &str = "The prescription is not the one that this page showed: somebody has changed it, or the page is old. Nothing \
     was signed.";
const OTHER_CARD: &str = "The patient’s card was saved since this page was shown, and what it says is signed along: read it once more. \
     Nothing was signed.";

fn was_shown_lately(issued: i64, now: Moment) -> bool {
    let age = now.unix_ms.checked_sub(issued);
    age.is_some_and(|age| (0..=SHOWN_MOST_MS).contains(&age))
}

/// That what would be signed now is what the page has shown, and that nothing stands against it.
fn stands(proposal: &Proposal, shown: &SignForm, now: Moment) -> Result<(), AppError> {
    if proposal.hash != shown.hash || !was_shown_lately(shown.issued, now) {
        let card = proposal.document.patient.fingerprint();
        let why = match shown.card_shown.is_empty() || shown.card_shown == card {
            true => OTHER_TEXT,
            false => OTHER_CARD,
        };
        return Err(AppError::Conflict(why.to_owned()));
    }
    if !proposal.faults.is_empty() {
        let faults = proposal.faults.iter();
        return Err(AppError::Refused(
            faults
                .map(|fault| format!("{}: {}", label(&fault.key), fault.message))
                .collect(),
        ));
    }
    if !proposal.document.warnings.is_empty() && !shown.warnings_read {
        return Err(AppError::field(
            SignForm::warnings_read().key,
            "Look at the warnings above and tick that you have.",
        ));
    }
    Ok(())
}

/// Writes a revision, with what it changes of its case; its draft goes.
async fn put_in_force(
    app: &App,
    tx: &mut Tx,
    work: &mut CaseWork,
    revision: &Revision,
) -> Result<(), AppError> {
    let (mut signed, _) = revisions_of(app, tx.conn(), &work.case.number, &[]).await?;
    signed.push(revision.clone());
    let signed = SignedRevisions::read(signed)?;
    revisions::insert(tx, revision).await.map_err(|error| {
        if error.is_duplicate() {
            StoreError::Again
        } else {
            error
        }
    })?;
    recorded::revision(app, tx, revision, &work.case).await?;
    drafts::delete(tx, &work.case.number).await?;
    work.case.revision = revision.number;
    let card = card_of(tx.conn(), &work.case).await?;
    let text = SignedText::of(&signed, card.as_ref());
    work.ordered = text.ordered;
    work.card_changed = false;
    work.card = text.card;
    if let Some((_, document)) = signed.newest() {
        work.case.due = document.due();
        work.case.summary = document.prescription.summary();
    }
    work.signed = Arc::new(signed);
    Ok(())
}

fn signed(person: &Person, proposal: Proposal, at: Moment) -> Revision {
    Revision {
        case: proposal.document.case.clone(),
        number: proposal.document.revision,
        document: proposal.canonical,
        hash: proposal.hash,
        signature: Signature {
            account: person.account.id.clone(),
            name: person.account.name.clone(),
            licence: person.account.licence.clone(),
            meaning: MEANING.to_owned(),
            at,
        },
    }
}

/// The lab's word that it works to this revision: only to the one in force.
pub async fn acknowledge(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    revision: i64,
    key: &PostKey,
) -> Result<(), AppError> {
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        if work.side != Side::Lab || revision < 1 || revision > work.case.revision {
            return Err(AppError::NotFound);
        }
        if revision < work.case.revision {
            return Err(AppError::Conflict(format!(
                "Revision {} is in force now: read it, and acknowledge that one.",
                work.case.revision
            )));
        }
        if work.state.closed {
            return Err(AppError::Refused(vec![THE_CASE_IS_CLOSED.to_owned()]));
        }
        let signed = find_revision(app, tx.conn(), number, revision).await?;
        let signed = signed.ok_or(AppError::NotFound)?.signature.at;
        if answers_too_early(work.now(app), signed, &work.clock) {
            return Err(AppError::Refused(vec![format!(
                "This revision was signed on {signed}, which has not come yet by the clock of this computer. Set the \
                 clock, or let an administrator go on with “vestibule clock”."
            )]));
        }
        refuse_in_doubt(app, tx.conn()).await?;
        let acknowledgement = Acknowledgement {
            revision,
            account: person.account.id.clone(),
            name: person.account.name.clone(),
            at: work.now(app),
        };
        match revisions::insert_acknowledgement(&mut tx, number, &acknowledgement).await {
            Err(error) if error.is_duplicate() => {
                return Err(AppError::Conflict(
                    "A colleague has acknowledged this revision already.".to_owned(),
                ));
            }
            done => done?,
        }
        recorded::acknowledgement(app, &mut tx, &acknowledgement, &work.case).await?;
        work.case.acknowledged = revision;
        Ok((work, tx, ()))
    })
    .await
}

/// A revision's document as stored, and its signature.
pub fn open_revision(revision: &Revision) -> Result<Document, AppError> {
    Ok(Document::from_canonical(&revision.document)?)
}
