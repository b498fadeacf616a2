//! The draft of a prescription: opened, saved while typing, merged when two people write at once.

use super::case_work::CaseWork;
use super::fill_in::{beforehand, is_next_round, known_beside};
use super::own_draft::hold_draft;
use super::recorded::find_revision;
use super::reviewing::{self, Reviewed, reason_key, review_with, setting};
use super::run;
use super::sign::{dentist, open_revision};
use super::whose_case::own_case;

use super::{App, AppError, Person, see_case};
use crate::domain::custody::THE_CASE_IS_CLOSED;
use crate::domain::custody::case::Case;
use crate::domain::custody::item::Item;
use crate::domain::fill::{
    Beforehand, OnRecord, SignedFields, fill, kept, next_round, otherwise, turn_to_stage,
    without_overtaken,
};
use crate::domain::law::profile::CaseLaw;
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::prescription::draft::{Fields, Merge, apply, merge};
use crate::domain::prescription::sources::Filled;
use crate::domain::prescription::usual::InUse;
use crate::domain::prescription::{self, Course, Reading};
use crate::domain::review::{Setting, course_written, mark_of};
use crate::domain::trade::lists::Lists;
use crate::domain::values::arch::Arches;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, PatientCode};
pub use crate::store::drafts::Edit;
use crate::store::drafts::{self, Draft, EarlierText};
use crate::store::{Connection, StoreError, Tx, retry};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// A draft never grows past this: some four hundred fields, and rows of lists.
pub const FIELDS_MOST: usize = 1_500;
/// One field's text: far more than any field takes, so that too long a text is kept and explained.
pub const TEXT_MOST: usize = 20_000;

/// What a writer sees after opening or saving.
#[derive(Debug, Clone)]
pub struct Written {
    pub draft: Draft,
    /// Fields that others changed since the version this writer had read, with their names.
    pub others: Vec<Edit>,
    /// Second texts for a field that two people wrote at once; one of the two is still to be chosen.
    pub conflicts: Vec<Edit>,
    /// What this save took out or put back by itself: the page that sent it shows something else there.
    pub turned: Fields,
    /// The case's items, for the fields that name one by its tag.
    pub items: Vec<Item>,
    /// The draft's fields with what they take from elsewhere.
    pub filled: Filled,
    /// The kind of work that the form is laid out for.
    pub course: Course,
    /// The kind of the revision in force, where there is one.
    pub signed: Option<Course>,
    /// Whether that is done and back, and the same kind of work is its next round.
    pub is_next_round: bool,
    /// These fields as read: values, and what could not be read.
    pub reading: Reading,
    pub reviewed: Reviewed,
    /// The profiles of local law: some fields are there for one of them only.
    pub law: CaseLaw,
    /// The lab's moulds and the office's guides.
    pub lists: Lists,
    /// The office's sets of usual values, with the version that the draft was begun with.
    pub usual_sets: Vec<InUse>,
    /// Texts that were not stored because they are too long, by field.
    pub too_long: Vec<Fault>,
    pub about: DraftSubject,
}

/// Whom a draft is for, and who makes the work.
#[derive(Debug, Clone)]
pub struct DraftSubject {
    pub patient: PatientCode,
    pub arches: Arches,
    /// What the lab is told of the patient: label and words.
    pub facts: Vec<(String, String)>,
    pub lab: String,
}

impl Written {
    /// Every text that the form shows: what was typed, over what is known from elsewhere.
    pub fn shown(&self) -> Fields {
        let mut fields = self.filled.fields.clone();
        fields.extend(self.draft.fields.clone());
        fields
    }
}

/// For the office of a case that is open: nothing is written in a closed one.
fn open_to_office(case: &Case, person: &Person) -> Result<(), AppError> {
    office_only(case, person)?;
    match case.closed {
        true => Err(closed()),
        false => Ok(()),
    }
}

fn closed() -> AppError {
    AppError::Refused(vec![THE_CASE_IS_CLOSED.to_owned()])
}

fn office_only(case: &Case, person: &Person) -> Result<(), AppError> {
    match case.side_of(person.party_id()) {
        Some(Side::Office) => Ok(()),
        _ => Err(AppError::NotFound),
    }
}

/// The draft of a case; where there is none, what one would begin with. Looking begins none: the first field that is
/// kept does.
pub async fn open(app: &App, person: &Person, number: &CaseNumber) -> Result<Written, AppError> {
    open_seen(app, person, &see_case::see(app, person, number).await?).await
}

/// The same of a case that has been read.
pub async fn open_seen(
    app: &App,
    person: &Person,
    view: &see_case::CaseView,
) -> Result<Written, AppError> {
    open_to_office(&view.work.case, person)?;
    let mut conn = app.store.read_at_once().await?;
    let found = drafts::find_with_conflicts(&mut conn, &view.work.case.number);
    let state = match found.await? {
        Some((draft, conflicts)) => {
            hold_draft(&mut conn, &view.work.case, &draft).await?;
            State::standing(draft, conflicts)
        }
        None => {
            let draft = not_begun(app, &mut conn, person, &view.work).await?;
            State::standing(draft, Vec::new())
        }
    };
    let named_in = [&state.draft.fields];
    let context = draft_context(app, &mut conn, person, &view.work, &named_in).await?;
    Ok(context.of(state, person))
}

/// What a draft is read with, besides its own fields.
struct Surroundings {
    items: Vec<Item>,
    law: CaseLaw,
    setting: Setting,
    beforehand: Beforehand,
    work: CaseWork,
}

async fn draft_context(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    work: &CaseWork,
    named_in: &[&Fields],
) -> Result<Surroundings, AppError> {
    let signer = person.may(Permission::Sign).then(|| dentist(person, work));
    let in_force = work.signed.newest();
    let previous = in_force.map(|(_, document)| document.prescription.clone());
    let is_next = is_next_round(work);
    let named = (previous.as_ref().map(course_written), is_next, named_in);
    let read = (previous, named_in);
    let setting = setting(app, conn, work, read, signer, work.now(app)).await?;
    Ok(Surroundings {
        beforehand: beforehand(app, conn, &work.case, named, person.numbering()).await?,
        law: reviewing::law(app, work),
        items: work.items.clone(),
        work: work.clone(),
        setting,
    })
}

impl Surroundings {
    /// What a draft of it can be filled from.
    fn known(&self, person: &Person) -> OnRecord<'_> {
        let (lists, beforehand) = (&self.setting.lists, &self.beforehand);
        known_beside(&self.work, lists, beforehand, person.numbering())
    }

    /// The draft with what the review says of it.
    fn of(mut self, state: State, person: &Person) -> Written {
        let known = self.known(person);
        let filled = fill(&state.draft.fields, &known);
        self.setting.usual_otherwise = otherwise(&filled, &known);
        let reading = prescription::read(&filled.fields, person.numbering());
        Written {
            reviewed: review_with(&reading.document, &self.setting, &filled.fields),
            course: course_written(&reading.document),
            signed: self.beforehand.signed,
            is_next_round: self.beforehand.is_next_round,
            filled,
            reading,
            draft: state.draft,
            others: state.others,
            conflicts: state.conflicts,
            turned: state.turned,
            items: self.items,
            law: self.law,
            about: DraftSubject {
                patient: self.work.case.patient.clone(),
                arches: self.work.case.arches,
                facts: (self.setting.patient.as_ref()).map_or_else(Vec::new, |card| card.facts()),
                lab: self.work.lab.name.clone(),
            },
            lists: self.setting.lists,
            usual_sets: self.beforehand.office,
            too_long: Vec::new(),
        }
    }
}

/// What a new draft begins with: the revision in force, its reasons included, or nothing; of the next round of the same
/// work, what holds on of it.
async fn fields_in_force(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    work: &CaseWork,
) -> Result<Fields, AppError> {
    let case = &work.case;
    let Some(revision) = find_revision(app, conn, &case.number, case.revision).await? else {
        return Ok(Fields::new());
    };
    let document = open_revision(&revision)?;
    let mut fields = document.prescription.to_raw(person.numbering());
    let reasons = document.passed.iter().cloned();
    fields.extend(reasons.map(|passed| {
        let key = reason_key(&passed.id, &mark_of(&passed.sentence));
        (key, passed.reason)
    }));
    Ok(match is_next_round(work) {
        true => next_round(&fields, course_written(&document.prescription)),
        false => {
            let (lists, beforehand) = (Lists::default(), Beforehand::default());
            let known = known_beside(work, &lists, &beforehand, person.numbering());
            without_overtaken(&mut fields, &known);
            fields
        }
    })
}

/// The fields that the form would show now; a draft that is not there is not begun by reading.
pub async fn fields_now(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<Fields, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let case = own_case(app, &mut conn, person, number).await?;
    office_only(&case, person)?;
    if let Some(draft) = drafts::find(&mut conn, number).await? {
        hold_draft(&mut conn, &case, &draft).await?;
        return Ok(draft.fields);
    }
    drop(conn);
    let view = see_case::see(app, person, number).await?;
    let mut conn = app.store.read_at_once().await?;
    fields_in_force(app, &mut conn, person, &view.work).await
}

/// What a draft of this case would begin with, before anything of it is stored.
async fn not_begun(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    work: &CaseWork,
) -> Result<Draft, AppError> {
    let case = &work.case;
    Ok(Draft {
        case: case.number.clone(),
        based_on: case.revision,
        began_ms: NOT_BEGUN,
        fields: fields_in_force(app, conn, person, work).await?,
        version: case.revision,
        changed_ms: 0,
        changed_by: String::new(),
        damaged: false,
    })
}

/// Begins the draft that a page showed before there was one.
async fn begin(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    (shown, work): (&Draft, &CaseWork),
) -> Result<Draft, AppError> {
    // As it stands in this transaction: a revision signed this moment is not written over.
    let case = own_case(app, tx.conn(), person, &shown.case).await?;
    if case.revision != shown.based_on {
        return Err(draft_is_gone());
    }
    let draft = Draft {
        began_ms: app.outside.now_ms(),
        version: FIRST,
        changed_ms: app.outside.now_ms(),
        changed_by: person.account.name.clone(),
        ..not_begun(app, tx.conn(), person, work).await?
    };
    match drafts::insert(tx, &draft).await {
        // Somebody else has begun it at the same moment: the next attempt writes beside them.
        Err(error) if error.is_duplicate() => return Err(StoreError::Again.into()),
        done => done?,
    }
    for (field, text) in &draft.fields {
        drafts::insert_edit(tx, &case.number, &edit(&draft, person, field, text), false).await?;
    }
    Ok(draft)
}

/// Where a draft that is not stored says when it began.
const NOT_BEGUN: i64 = 0;
/// The version of a draft that holds what it began with, and nothing else.
const FIRST: i64 = 1;

fn edit(draft: &Draft, person: &Person, field: &str, text: &str) -> Edit {
    Edit {
        version: draft.version,
        field: field.to_owned(),
        text: text.to_owned(),
        account: person.account.id.clone(),
        name: person.account.name.clone(),
        at_ms: draft.changed_ms,
    }
}

/// Which draft, and which state of it, a writer's page shows. Of a page that was made before there was a draft, the
/// version is the revision that the draft would begin with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Base {
    pub began_ms: i64,
    pub version: i64,
}

impl Base {
    /// What a form shows that does not say it: no draft that ever was.
    pub const NONE: Base = Base {
        began_ms: -1,
        version: -1,
    };

    /// Whether there was a draft when the page was made.
    pub fn is_begun(self) -> bool {
        self.began_ms != NOT_BEGUN
    }

    /// The state of this draft that the page showed; none where it showed another one.
    fn within(self, draft: &Draft) -> Option<Base> {
        if self.began_ms == draft.began_ms {
            return Some(self);
        }
        // Somebody else has begun it since, from what this page showed too.
        let is_same = !self.is_begun() && self.version == draft.based_on;
        is_same.then_some(Base {
            began_ms: draft.began_ms,
            version: FIRST,
        })
    }

    pub fn of(draft: &Draft) -> Base {
        Base {
            began_ms: draft.began_ms,
            version: draft.version,
        }
    }

    /// As it stands in the form: `1772438400000.7`.
    pub fn parse(text: &str) -> Option<Base> {
        let (began, version) = text.split_once('.')?;
        Some(Base {
            began_ms: began.parse().ok()?,
            version: version.parse().ok()?,
        })
    }
}

impl std::fmt::Display for Base {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}.{}", self.began_ms, self.version)
    }
}

/// What a writer is told whose draft is no longer there.
fn draft_is_gone() -> AppError {
    AppError::Conflict(
        "The draft that this page shows has been signed or given up meanwhile, so this was not stored."
            .to_owned(),
    )
}

/// Takes the fields a writer sent, read at `base`. Nothing typed is refused here, right or wrong: the
/// messages come beside the fields, and the text stays. Only a text too long to be kept is not stored; it
/// comes back in the fields of the answer, with its message.
///
/// The script asks for this at every pause in typing, so what the review needs is read while the draft is
/// being written.
pub async fn save(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    base: Base,
    sent: &Fields,
) -> Result<Written, AppError> {
    save_as(app, person, number, base, sent, Begins::WithAField).await
}

/// What begins a draft that is not there yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Begins {
    WithAField,
    /// Somebody means to sign what is in force again: the patient's card or the list of things may have changed.
    AtOnce,
}

/// The same, saying what begins a draft.
pub async fn save_as(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    base: Base,
    sent: &Fields,
    begins: Begins,
) -> Result<Written, AppError> {
    let (too_long, sent) = without_too_long(sent);
    let mut written = retry(|| async {
        let view = see_case::see(app, person, number).await?;
        office_only(&view.work.case, person)?;
        let mut conn = app.store.read_at_once().await?;
        let (before, base) = match state_now(&mut conn, &view.work.case, base).await? {
            Some(found) => found,
            // What is being written goes on, so that nothing of it is lost; nothing new is begun.
            None if view.work.case.closed => return Err(closed()),
            None if view.work.case.revision == base.version => {
                let draft = not_begun(app, &mut conn, person, &view.work).await?;
                (State::standing(draft, Vec::new()), base)
            }
            None => return Err(draft_is_gone()),
        };
        let named_in = [&before.draft.fields, sent.as_ref()];
        let context = draft_context(app, &mut conn, person, &view.work, &named_in).await?;
        drop(conn);
        let save = Save {
            base,
            sent: &sent,
            begins,
            context: &context,
        };
        let stored = store(app, person, before, &save).await?;
        Ok::<Written, AppError>(context.of(stored, person))
    })
    .await?;
    written.too_long = too_long.keys().map(|key| too_long_fault(key)).collect();
    let from = &mut written.filled.from;
    from.retain(|key, _| !too_long.contains_key(key));
    written.draft.fields.extend(too_long);
    Ok(written)
}

/// What a writer's page sends, with what the draft can be filled from beside it.
struct Save<'a> {
    base: Base,
    sent: &'a Fields,
    begins: Begins,
    context: &'a Surroundings,
}

impl Save<'_> {
    /// What of it is the writer's own, and not what the page had filled in; and what of that follows from another answer.
    fn to_be_stored(&self, draft: &Draft, person: &Person) -> (Fields, Fields) {
        let own = kept(self.sent, &draft.fields, &self.context.known(person));
        let mut stored = own.clone();
        let (signed, was) = (
            &self.context.setting.previous,
            self.context.beforehand.signed,
        );
        if let Some((newest, course)) = signed.as_ref().zip(was) {
            let numbering = person.numbering();
            let all = self.context.work.signed.documents.iter().rev();
            let set_up = || {
                let mut all = all.clone().map(|document| &document.prescription);
                let found = all.find(|one| course_written(one) == Course::SetUp);
                found.map(|one| one.to_raw(numbering))
            };
            let newest = || {
                let fields = newest.to_raw(numbering);
                match self.context.beforehand.is_next_round {
                    true => next_round(&fields, course),
                    false => fields,
                }
            };
            let signed = SignedFields {
                course,
                newest,
                set_up,
            };
            turn_to_stage(&mut stored, &draft.fields, &signed);
        }
        let turned = stored
            .iter()
            .filter(|(key, text)| own.get(*key) != Some(*text));
        let turned = turned.map(|(key, text)| (key.clone(), text.clone()));
        let turned = turned.collect();
        (stored, turned)
    }
}

/// A draft with its open conflicts, and what others wrote since a writer's page was made.
struct State {
    draft: Draft,
    conflicts: Vec<Edit>,
    others: Vec<Edit>,
    turned: Fields,
}

impl State {
    /// As it is read; the rest is filled where it is written.
    fn standing(draft: Draft, conflicts: Vec<Edit>) -> State {
        State {
            draft,
            conflicts,
            others: Vec::new(),
            turned: Fields::new(),
        }
    }
}

/// The draft that a writer's page shows, as it stands, with what of it the page showed; none where it is still to be
/// begun.
async fn state_now(
    conn: &mut Connection,
    case: &Case,
    base: Base,
) -> Result<Option<(State, Base)>, AppError> {
    match drafts::find_with_conflicts(conn, &case.number).await? {
        Some((draft, conflicts)) => {
            hold_draft(conn, case, &draft).await?;
            let base = base.within(&draft).ok_or_else(draft_is_gone)?;
            Ok(Some((State::standing(draft, conflicts), base)))
        }
        None if base.is_begun() => Err(draft_is_gone()),
        None => Ok(None),
    }
}

/// Keeps what a save brings. Mostly one person writes, on a page that shows the draft as it stands: then only
/// what differs is written, and a save that brings nothing new writes nothing.
async fn store(
    app: &App,
    person: &Person,
    mut state: State,
    save: &Save<'_>,
) -> Result<State, AppError> {
    let (base, begins) = (save.base, save.begins);
    let number = state.draft.case.clone();
    let own_conflict = |edit: &Edit| edit.account == person.account.id;
    if base.version != state.draft.version || state.conflicts.iter().any(own_conflict) {
        return save_beside_others(app, person, &number, save).await;
    }
    let (sent, turned) = save.to_be_stored(&state.draft, person);
    state.turned = turned;
    let merged = merge(&state.draft.fields, &state.draft.fields, &sent);
    let is_beginning = !base.is_begun() && begins == Begins::AtOnce;
    if merged.is_empty() && !is_beginning {
        return Ok(state);
    }
    let mut tx = app.store.begin().await?;
    if !base.is_begun() {
        state.draft = begin(app, &mut tx, person, (&state.draft, &save.context.work)).await?;
    }
    if merged.is_empty() {
        tx.commit().await?;
        return Ok(state);
    }
    match write(app, &mut tx, person, &mut state.draft, &merged).await {
        // Somebody wrote between the reading of the draft and this.
        Err(AppError::Conflict(_)) => {
            drop(tx);
            save_beside_others(app, person, &number, save).await
        }
        done => {
            done?;
            tx.commit().await?;
            Ok(state)
        }
    }
}

/// Keeps what a save brings to a draft that others write too: their texts stay, and a text of one's own for
/// the same field becomes a conflict.
async fn save_beside_others(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    save: &Save<'_>,
) -> Result<State, AppError> {
    let mut tx = app.store.begin().await?;
    let found = state_now(tx.conn(), &save.context.work.case, save.base).await?;
    let (mut state, base) = found.ok_or_else(draft_is_gone)?;
    let (mut sent, turned) = save.to_be_stored(&state.draft, person);
    state.turned = turned;
    let draft = &mut state.draft;
    let was_current = base.version == draft.version;
    let base_fields = if was_current {
        draft.fields.clone()
    } else {
        let earlier = drafts::texts_at(tx.conn(), number, base.version).await?;
        texts_of(&earlier, &draft.fields, &sent)
    };
    let mut again = hold_conflicts(&mut tx, person, draft, &state.conflicts, &mut sent).await?;
    let mut merged = merge(&base_fields, &draft.fields, &sent);
    merged.conflicts.append(&mut again);
    if !merged.is_empty() {
        write(app, &mut tx, person, draft, &merged).await?;
    }
    // A page that was current when this began has missed nothing.
    if !was_current {
        // One's own texts from another window count as others': this page does not show them.
        let edits = drafts::edits_since(tx.conn(), number, base.version).await?;
        let is_other = |edit: &Edit| sent.get(&edit.field) != Some(&edit.text);
        state.others = edits.into_iter().filter(is_other).collect();
    }
    state.conflicts = drafts::conflicts(tx.conn(), number).await?;
    tx.commit().await?;
    Ok(state)
}

/// What became of texts that were to go into a draft together with something else.
pub(super) enum TakenIn {
    /// They stand there.
    Whole,
    /// Somebody else has written another text there since the page was made: nothing is written.
    WrittenMeanwhile { key: String, stands: String },
}

/// Takes texts into the draft within a transaction that does more than this; begins it where there is none. The page
/// showed it at `base`.
pub(super) async fn write_into_draft(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    work: &CaseWork,
    (base, sent): (Base, &Fields),
) -> Result<TakenIn, AppError> {
    let number = &work.case.number;
    let (mut draft, base) = match state_now(tx.conn(), &work.case, base).await? {
        Some((state, base)) => (state.draft, base),
        None if work.case.revision == base.version => {
            (not_begun(app, tx.conn(), person, work).await?, base)
        }
        None => return Err(draft_is_gone()),
    };
    let named_in = [&draft.fields, sent];
    let context = draft_context(app, tx.conn(), person, work, &named_in).await?;
    let sent = kept(sent, &draft.fields, &context.known(person));
    let shown = match base.version == draft.version {
        true => draft.fields.clone(),
        false => {
            let earlier = drafts::texts_at(tx.conn(), number, base.version).await?;
            texts_of(&earlier, &draft.fields, &sent)
        }
    };
    let merged = merge(&shown, &draft.fields, &sent);
    if let Some(key) = merged.conflicts.keys().next() {
        return Ok(TakenIn::WrittenMeanwhile {
            key: key.clone(),
            stands: draft.fields.get(key).cloned().unwrap_or_default(),
        });
    }
    if merged.is_empty() {
        return Ok(TakenIn::Whole);
    }
    if !base.is_begun() {
        draft = begin(app, tx, person, (&draft, work)).await?;
    }
    write(app, tx, person, &mut draft, &merged).await?;
    Ok(TakenIn::Whole)
}

/// The fields that a writer's page has shown, as far as merging asks: whether each is what was sent, or what stands
/// now. A text that is neither stands as one that nobody has typed.
fn texts_of(earlier: &BTreeMap<String, EarlierText>, stands: &Fields, sent: &Fields) -> Fields {
    let text = |(field, was): (&String, &EarlierText)| {
        let texts =
            [sent.get(field), stands.get(field)].map(|text| text.map_or("", String::as_str));
        let found = texts.into_iter().find(|text| was.was(text));
        let text = found.map_or_else(|| format!("{}\u{0}", texts.concat()), str::to_owned);
        (field.clone(), text)
    };
    earlier.iter().map(text).collect()
}

fn too_long_fault(key: &str) -> Fault {
    Fault::new(
        key,
        format!(
            "More than {TEXT_MOST} characters cannot be kept: this text is not saved until it is shorter."
        ),
    )
}

/// Texts too long to be kept, and the others.
fn without_too_long(sent: &Fields) -> (Fields, Cow<'_, Fields>) {
    // No text has more characters than bytes, and counting bytes takes no time.
    let is_too_long = |text: &str| text.len() > TEXT_MOST && text.chars().count() > TEXT_MOST;
    if !sent.values().any(|text| is_too_long(text)) {
        return (Fields::new(), Cow::Borrowed(sent));
    }
    let all = sent.clone().into_iter();
    let (too_long, others) = all.partition(|(_, text)| is_too_long(text));
    (too_long, Cow::Owned(others))
}

/// A writer whose text became a conflict still has it in the form, and sends it again with every save: it
/// stays one until somebody chooses. Takes such fields out of `sent`; returns those with a newer text,
/// which replaces the conflict's.
async fn hold_conflicts(
    tx: &mut Tx,
    person: &Person,
    draft: &Draft,
    conflicts: &[Edit],
    sent: &mut Fields,
) -> Result<Fields, AppError> {
    let mut newer = Fields::new();
    for edit in conflicts {
        if edit.account != person.account.id {
            continue;
        }
        let Some(text) = sent.remove(&edit.field) else {
            continue;
        };
        let stands = draft.fields.get(&edit.field).cloned().unwrap_or_default();
        if text == edit.text {
            continue;
        }
        drafts::choose(tx, &draft.case, edit.version, &edit.field).await?;
        if text != stands {
            newer.insert(edit.field.clone(), text);
        }
    }
    Ok(newer)
}

async fn write(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    draft: &mut Draft,
    merged: &Merge,
) -> Result<(), AppError> {
    if draft.fields.len() + merged.taken.len() > FIELDS_MOST {
        return Err(AppError::Refused(vec![format!(
            "A draft holds at most {FIELDS_MOST} fields. Nothing of this save was taken; what was saved before is safe."
        )]));
    }
    apply(&mut draft.fields, &merged.taken);
    draft.changed_ms = app.outside.now_ms();
    draft.changed_by.clone_from(&person.account.name);
    drafts::update(tx, draft).await?;
    draft.version += 1;
    for (fields, conflicts) in [(&merged.taken, false), (&merged.conflicts, true)] {
        for (field, text) in fields {
            drafts::insert_edit(
                tx,
                &draft.case,
                &edit(draft, person, field, text),
                conflicts,
            )
            .await?;
        }
    }
    // Whatever was written over is read by nobody any more, a name that had got into it as well.
    let salt = app.outside.salt()?;
    for field in merged.taken.keys() {
        drafts::forget_before(tx, &draft.case, field, draft.version, &salt).await?;
    }
    draft.damaged = false;
    Ok(())
}

/// Ends a conflict: takes its text into the draft, or lets it go.
pub async fn choose_conflict(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    version: i64,
    field: &str,
    take: bool,
) -> Result<(), AppError> {
    run::write(app, |mut tx| async {
        let case = own_case(app, tx.conn(), person, number).await?;
        office_only(&case, person)?;
        let mut draft = drafts::find(tx.conn(), number)
            .await?
            .ok_or(AppError::NotFound)?;
        hold_draft(tx.conn(), &case, &draft).await?;
        let conflicts = drafts::conflicts(tx.conn(), number).await?;
        let Some(text) = conflicts
            .into_iter()
            .find(|edit| edit.version == version && edit.field == field)
        else {
            return Err(AppError::Conflict(
                "Somebody has chosen one of these texts already.".to_owned(),
            ));
        };
        drafts::choose(&mut tx, number, version, field).await?;
        if take {
            let taken = Fields::from([(text.field, text.text)]);
            let merged = Merge {
                taken,
                conflicts: Fields::new(),
            };
            write(app, &mut tx, person, &mut draft, &merged).await?;
        }
        Ok((tx, ()))
    })
    .await
}

/// Gives the draft up: the revision in force stays.
pub async fn discard(app: &App, person: &Person, number: &CaseNumber) -> Result<(), AppError> {
    run::write(app, |mut tx| async {
        let case = own_case(app, tx.conn(), person, number).await?;
        office_only(&case, person)?;
        drafts::delete(&mut tx, number).await?;
        Ok((tx, ()))
    })
    .await
}
