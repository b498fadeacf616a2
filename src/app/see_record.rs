//! Looking at the record itself: how far it has come, who keeps it, and the proofs to take away.

use super::clear_alarm::{MOST, named};
use super::examine::compare;
use super::health::refuse_if_forked;
use super::whose_case::own_case;
use super::witness::compare_for_all;
use super::{App, AppError, Person, clock_doubt};
use crate::domain::custody::case::Case;
use crate::domain::form::{FieldSpec, FieldType, command, name, whole};
use crate::domain::people::access::Permission;
use crate::domain::values::ids::{CaseNumber, PartyId};
use crate::domain::values::tooth::Numbering;
use crate::domain::values::words::capitalised;
use crate::record::checkpoint::Checkpoint;
use crate::record::entry::LeafKind;
use crate::record::key::Verifier;
use crate::record::proof::{GrowthProof, InclusionProof};
use crate::record::tree::{consistency_plan, inclusion_plan};
use crate::record::words::{PAPER_ROOT_WANTED, PaperRoot};
use crate::store::StoreError;
use crate::store::record::{head, leaves_from};
use crate::store::resumption::{Resumed, ResumptionRow, newest as newest_resumptions};
use crate::store::witness::{
    AlarmRow, ClearanceRow, KeyRow, cleared_alarms, keys_of, open_alarms, seen_by_partners,
};
use std::collections::BTreeMap;

/// Keys shown of one party: those that have cosigned last.
const KEYS_SHOWN: i64 = 5;
const CLEARED_SHOWN: i64 = 10;
const RESUMED_SHOWN: i64 = 10;

/// A browser's key, with what it has cosigned last.
pub struct KeyKept {
    pub id: String,
    pub first_by: String,
    pub first_ms: i64,
    pub size: u64,
    pub at_ms: i64,
}

/// What one party keeps.
pub struct PartyKeeps {
    pub name: String,
    pub is_own: bool,
    /// Entries, and when.
    pub seen: Option<(u64, i64)>,
    pub keys: Vec<KeyKept>,
}

/// An alarm in words, with what cleared it.
pub struct AlarmDescription {
    pub what: String,
    pub who: String,
    pub at_ms: i64,
    /// Size and root as printed.
    pub kept: String,
    pub found: String,
    /// The sentence, who, and when.
    pub cleared: Option<(String, String, i64)>,
}

/// Somebody's word by which the record went on.
pub struct ResumedDescription {
    pub what: String,
    /// Nobody for an upgrade, which is made on the machine itself.
    pub by: Option<String>,
    pub at_ms: i64,
    /// What was missing, or up to when the clock was ahead.
    pub more: Option<ResumedMore>,
    pub reason: String,
}

/// What such a word is about.
pub enum ResumedMore {
    /// So many entries were signed, and so many found; none where nothing said so.
    Entries(Option<u64>, u64),
    /// Entries were dated up to this moment.
    DatedUpTo(i64),
}

/// What the page of the record shows.
pub struct RecordView {
    /// Why somebody has to say that the clock is right before anything is entered.
    pub clock_question: Option<String>,
    /// What is to be done about entries that are dated ahead of the clock.
    pub clock_ahead: Option<String>,
    /// The newest first.
    pub resumed: Vec<ResumedDescription>,
    pub newest: Option<Checkpoint>,
    pub parties: Vec<PartyKeeps>,
    pub open: Vec<AlarmDescription>,
    /// Names the open alarms in a form.
    pub open_named: String,
    pub cleared: Vec<AlarmDescription>,
}

/// What is said where the page cannot be made of what is stored.
const NOT_READ: &str = "A row of the record is none that this program writes: somebody has changed it past this program. The log, and \
     “vestibule check”, say what is wrong.";

/// The record as this person may see it: one's own party and those that share a case with it. Whoever may
/// clear alarms is shown all that there are.
pub async fn see(app: &App, person: &Person) -> Result<RecordView, AppError> {
    match view(app, person).await {
        Err(AppError::Store(why)) if why.is_of_a_value() => {
            tracing::error!(%why, "the page of the record cannot be made");
            Err(AppError::Refused(vec![NOT_READ.to_owned()]))
        }
        other => other,
    }
}

async fn view(app: &App, person: &Person) -> Result<RecordView, AppError> {
    let any_open = !open_alarms(&mut *app.store.read().await?, 1)
        .await?
        .is_empty();
    if any_open && person.may(Permission::ManageInstallation) {
        compare_for_all(app).await?;
    }
    let mut conn = app.store.read().await?;
    let seen = seen_by_partners(&mut conn, person.party_id()).await?;
    let names: BTreeMap<PartyId, String> = seen
        .iter()
        .map(|one| (one.party.clone(), one.name.clone()))
        .collect();
    let mut parties = Vec::new();
    for one in seen {
        let keys = keys_of(&mut conn, &one.party, KEYS_SHOWN).await?;
        parties.push(PartyKeeps {
            is_own: one.party == *person.party_id(),
            name: one.name,
            seen: one.seen,
            keys: keys.iter().map(key_kept).collect(),
        });
    }
    let open = open_alarms(&mut conn, MOST).await?;
    let cleared = cleared_alarms(&mut conn, CLEARED_SHOWN).await?;
    let newest = head(&mut conn).await?.checkpoint;
    let resumed = newest_resumptions(&mut conn, RESUMED_SHOWN).await?;
    let ahead = clock_doubt::ahead(app, &mut conn).await?;
    Ok(RecordView {
        clock_question: clock_doubt::question(app, &mut conn).await?,
        clock_ahead: ahead.map(|newest| clock_doubt::words_ahead(app, newest)),
        resumed: resumed.iter().map(describe_resumption).collect(),
        newest: Checkpoint::of_note(&newest),
        parties,
        open_named: named(&open),
        open: open
            .iter()
            .map(|alarm| describe_alarm(alarm, None, &names))
            .collect(),
        cleared: cleared
            .iter()
            .map(|(alarm, word)| describe_alarm(alarm, Some(word), &names))
            .collect(),
    })
}

fn key_kept(row: &KeyRow) -> KeyKept {
    let id = Verifier::parse(&row.key).map(|key| key.id().to_string());
    KeyKept {
        id: id.unwrap_or_default(),
        first_by: row.account_name.clone(),
        first_ms: row.first_ms,
        size: row.size,
        at_ms: row.at_ms,
    }
}

fn describe_resumption(row: &ResumptionRow) -> ResumedDescription {
    let size = |note: &str| Checkpoint::of_note(note).map(|seen| seen.size);
    let more = match row.why {
        Resumed::Upgraded | Resumed::ClockRight => None,
        Resumed::Restored => Some(ResumedMore::Entries(
            size(&row.signed),
            size(&row.found).unwrap_or_default(),
        )),
        Resumed::Clock => Some(ResumedMore::DatedUpTo(row.ahead_ms)),
    };
    ResumedDescription {
        what: capitalised(row.why.shown()),
        by: row.account.as_ref().map(|_| row.name.clone()),
        at_ms: row.at_ms,
        more,
        reason: row.reason.clone(),
    }
}

/// A party that shares no case with whoever reads stays without its name, and so do its people.
fn describe_alarm(
    alarm: &AlarmRow,
    clearance: Option<&ClearanceRow>,
    names: &BTreeMap<PartyId, String>,
) -> AlarmDescription {
    let party = alarm.party.as_ref().map(|id| names.get(id));
    let who = match (party, &alarm.account) {
        (Some(None), _) => "found by another party of this installation".to_owned(),
        (Some(Some(party)), None) => format!("found by this program, with what {party} has kept"),
        (Some(Some(party)), Some(_)) => {
            format!("found by the browser of {}, {party}", alarm.account_name)
        }
        (None, Some(_)) => format!("found by the browser of {}", alarm.account_name),
        (None, None) => "found by this program".to_owned(),
    };
    let printed = |note: &str| match Checkpoint::of_note(note) {
        Some(seen) => PaperRoot::new(seen.size, &seen.root).to_string(),
        None => "nothing".to_owned(),
    };
    AlarmDescription {
        what: capitalised(alarm.why.shown()),
        who,
        at_ms: alarm.at_ms,
        kept: printed(&alarm.kept),
        found: printed(&alarm.found),
        cleared: clearance.map(|word| (word.sentence.clone(), word.name.clone(), word.at_ms)),
    }
}

command! {
    /// A paper to be compared with the record.
    PaperForm;
    paper: PaperRoot = name(200), "Size and root from a paper", "As printed, such as 412:8C27F0A1 and so on. At least 16 digits of the root.", needed PAPER_ROOT_WANTED;
}

command! {
    /// The two sizes between which the record has grown.
    GrowthForm;
    from: RecordSize = whole(1, i64::MAX, ""), "From so many entries", "", needed "Type a number of entries, such as 412.";
    to: Option<RecordSize> = whole(1, i64::MAX, ""), "To so many entries", "Empty: to the newest.";
}

/// A number of entries, at least one. It may be typed with blanks, as large numbers are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RecordSize(u64);

impl FieldType for RecordSize {
    fn parse(typed: &str, _: &FieldSpec, _: Numbering) -> Result<RecordSize, String> {
        let digits: String = typed.chars().filter(|c| !c.is_whitespace()).collect();
        let size = digits.parse().ok().filter(|size| *size > 0);
        size.map(RecordSize)
            .ok_or_else(|| GrowthForm::from().needed.to_owned())
    }
    fn show(&self, _: &FieldSpec, numbering: Numbering) -> String {
        self.raw(numbering)
    }
    fn raw(&self, _: Numbering) -> String {
        self.0.to_string()
    }
}

/// Whether a paper's size and root are a beginning of this record: a sentence that says so, or one that says
/// how they differ.
pub async fn compare_paper(
    app: &App,
    form: &PaperForm,
) -> Result<Result<String, String>, AppError> {
    compare(&mut *app.store.read().await?, &form.paper).await
}

/// The newest checkpoint, a signed note; empty before the first entry.
pub async fn checkpoint(app: &App) -> Result<String, AppError> {
    Ok(head(&mut *app.store.read().await?).await?.checkpoint)
}

/// The proof that the record of `to` entries begins with its first `from`. Without `to` it is the newest.
pub async fn growth(app: &App, form: &GrowthForm) -> Result<(u64, GrowthProof), AppError> {
    let old = form.from.0;
    let mut conn = app.store.read().await?;
    let newest = head(&mut conn).await?;
    let (new, checkpoint) = match form.to {
        None => (newest.frontier.size(), newest.checkpoint),
        Some(RecordSize(new)) => {
            let missing = || {
                AppError::field(
                    GrowthForm::to().key,
                    "The record does not have so many entries.",
                )
            };
            let note = app.store.checkpoint_at(&mut conn, new).await?;
            (new, note.ok_or_else(missing)?)
        }
    };
    if old > new {
        let message =
            format!("The record has {new} entries there, and cannot have grown from {old}.");
        return Err(AppError::field(GrowthForm::from().key, message));
    }
    let plan = consistency_plan(old, new).map_err(|why| AppError::Inner(why.to_string()))?;
    let hashes = app.store.hashes(&mut conn, &plan).await?;
    let proof = GrowthProof {
        old,
        hashes,
        checkpoint,
    };
    Ok((new, proof))
}

/// A leaf of one's own case: its bytes, and the proof that they are in the record.
pub async fn entry(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    leaf: u64,
) -> Result<(String, InclusionProof), AppError> {
    refuse_if_forked(app).await?;
    let mut conn = app.store.read_at_once().await?;
    let case = own_case(app, &mut conn, person, number).await?;
    let newest = head(&mut conn).await?;
    let plan = inclusion_plan(leaf, newest.frontier.size()).map_err(|_| AppError::NotFound)?;
    let row = leaves_from(&mut conn, leaf, 1)
        .await?
        .into_iter()
        .find(|row| row.number == leaf && row.case == case.number.as_str())
        .ok_or(AppError::NotFound)?;
    let proof = InclusionProof {
        extra: None,
        index: leaf,
        hashes: app.store.hashes(&mut conn, &plan).await?,
        checkpoint: newest.checkpoint,
    };
    Ok((row.body, proof))
}

/// The leaf of each event of a case, by the event's id.
pub async fn leaves_of_events(
    app: &App,
    number: &CaseNumber,
) -> Result<BTreeMap<String, u64>, AppError> {
    let mut conn = app.store.read().await?;
    let leaves = match app.store.numbers_of(&mut conn, number).await {
        // The database leaves one out: the page is drawn without them, and says so on top.
        Err(StoreError::Forked(_)) => Vec::new(),
        found => found?,
    };
    Ok(leaves
        .into_iter()
        .filter(|(kind, _, _)| kind == LeafKind::Event.word())
        .map(|(_, about, leaf)| (about, leaf))
        .collect())
}

/// One's own case, for its bundle.
pub async fn own(app: &App, person: &Person, number: &CaseNumber) -> Result<Case, AppError> {
    own_case(app, &mut *app.store.read_at_once().await?, person, number).await
}
