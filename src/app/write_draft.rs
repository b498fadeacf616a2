//! The draft of a prescription: opened, saved while typing, merged when two people write at once.

use super::case_work::{CaseWork, own_case};
use super::reviewing::{self, REASON, Reviewed, review_fields, setting};
use super::sign::dentist;
use super::{App, AppError, Person};
use crate::domain::access::Deed;
use crate::domain::case::{Case, Side};
use crate::domain::draft::{Fields, apply, merge};
use crate::domain::fault::Fault;
use crate::domain::ids::CaseNumber;
use crate::domain::item::Item;
use crate::domain::legal::CaseLaw;
use crate::domain::lists::Lists;
use crate::domain::revision::Document;
use crate::store::drafts::{self, Draft, Edit};
use crate::store::{Connection, Tx, retry, revisions};

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
    /// Texts laid aside and not yet settled.
    pub aside: Vec<Edit>,
    /// The case's items, for the fields that name one by its tag.
    pub items: Vec<Item>,
    pub reviewed: Reviewed,
    /// The profiles of local law: some fields are there for one of them only.
    pub law: CaseLaw,
    /// The lab's moulds and the office's guides.
    pub lists: Lists,
    /// Texts that were not stored because they are too long, by field.
    pub too_long: Vec<Fault>,
}

fn office_only(case: &Case, person: &Person) -> Result<(), AppError> {
    match case.side_of(person.party_id()) {
        Some(Side::Office) => Ok(()),
        _ => Err(AppError::NotFound),
    }
}

/// The draft of a case; begun from the revision in force, or empty, if there is none.
pub async fn open(app: &App, person: &Person, number: &CaseNumber) -> Result<Written, AppError> {
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let case = own_case(tx.conn(), person, number).await?;
        office_only(&case, person)?;
        let draft = load_or_begin(app, &mut tx, person, &case).await?;
        let aside = drafts::aside(tx.conn(), number).await?;
        let (items, reviewed, law, lists) = look_over(app, tx.conn(), person, case, &draft).await?;
        tx.commit().await?;
        Ok(Written {
            draft,
            others: Vec::new(),
            aside,
            items,
            reviewed,
            law,
            lists,
            too_long: Vec::new(),
        })
    })
    .await
}

/// The case's items, what the review says of the draft as it stands, the law it goes by, and the lists it was
/// held against.
async fn look_over(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    case: Case,
    draft: &Draft,
) -> Result<(Vec<Item>, Reviewed, CaseLaw, Lists), AppError> {
    let work = CaseWork::of(conn, case, Side::Office).await?;
    let signer = person.may(Deed::Sign).then(|| dentist(person, &work));
    let around = setting(app, conn, &work, signer, work.now(app)).await?;
    let reviewed = review_fields(&draft.fields, &around, person.numbering());
    let law = reviewing::law(app, &work);
    Ok((work.items, reviewed, law, around.lists))
}

/// What a new draft begins with: the revision in force, its reasons included, or nothing.
async fn fields_in_force(
    conn: &mut Connection,
    person: &Person,
    case: &Case,
) -> Result<Fields, AppError> {
    let Some(revision) = revisions::find(conn, &case.number, case.revision).await? else {
        return Ok(Fields::new());
    };
    let document = Document::from_canonical(&revision.document)?;
    let mut fields = document.prescription.to_raw(person.numbering());
    let reasons = document.passed.into_iter();
    fields.extend(reasons.map(|passed| (format!("{REASON}{}", passed.id), passed.reason)));
    Ok(fields)
}

/// The fields that the form would show now; a draft that is not there is not begun by looking.
pub async fn fields_now(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<Fields, AppError> {
    let mut conn = app.store.read().await?;
    let case = own_case(&mut conn, person, number).await?;
    office_only(&case, person)?;
    match drafts::find(&mut conn, number).await? {
        Some(draft) => Ok(draft.fields),
        None => fields_in_force(&mut conn, person, &case).await,
    }
}

async fn load_or_begin(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    case: &Case,
) -> Result<Draft, AppError> {
    if let Some(draft) = drafts::find(tx.conn(), &case.number).await? {
        return Ok(draft);
    }
    let fields = fields_in_force(tx.conn(), person, case).await?;
    let draft = Draft {
        case: case.number.clone(),
        based_on: case.revision,
        began_ms: app.outside.now_ms(),
        fields,
        version: 1,
        changed_ms: app.outside.now_ms(),
        changed_by: person.account.name.clone(),
    };
    drafts::insert(tx, &draft).await?;
    for (field, text) in &draft.fields {
        drafts::insert_edit(tx, &case.number, &edit(&draft, person, field, text), false).await?;
    }
    Ok(draft)
}

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

/// Which draft, and which state of it, a writer's page shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Base {
    pub began_ms: i64,
    pub version: i64,
}

impl Base {
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
pub async fn save(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    base: Base,
    sent: &Fields,
) -> Result<Written, AppError> {
    let (too_long, sent) = without_too_long(sent);
    let mut written = retry(|| async {
        let mut tx = app.store.begin().await?;
        let case = own_case(tx.conn(), person, number).await?;
        office_only(&case, person)?;
        let draft = drafts::find(tx.conn(), number).await?;
        let mut draft = draft.filter(|draft| draft.began_ms == base.began_ms).ok_or_else(draft_is_gone)?;
        let base_fields = if base.version == draft.version {
            draft.fields.clone()
        } else {
            drafts::texts_at(tx.conn(), number, base.version).await?
        };
        let mut sent = sent.clone();
        let mut again = hold_aside(&mut tx, person, &draft, &mut sent).await?;
        let mut merged = merge(&base_fields, &draft.fields, &sent);
        merged.aside.append(&mut again);
        if !merged.taken.is_empty() || !merged.aside.is_empty() {
            if draft.fields.len() + merged.taken.len() > FIELDS_MOST {
                return Err(AppError::Refused(vec![format!(
                    "A draft holds at most {FIELDS_MOST} fields. Nothing of this save was taken; what was saved before is safe."
                )]));
            }
            write(app, &mut tx, person, &mut draft, &merged).await?;
        }
        // One's own texts from another window count as others': this page does not show them.
        let edits = drafts::edits_since(tx.conn(), number, base.version).await?;
        let others = edits.into_iter().filter(|edit| sent.get(&edit.field) != Some(&edit.text)).collect();
        let aside = drafts::aside(tx.conn(), number).await?;
        let (items, reviewed, law, lists) = look_over(app, tx.conn(), person, case, &draft).await?;
        tx.commit().await?;
        Ok::<Written, AppError>(Written { draft, others, aside, items, reviewed, law, lists, too_long: Vec::new() })
    })
    .await?;
    written.too_long = too_long.keys().map(|key| too_long_fault(key)).collect();
    written.draft.fields.extend(too_long);
    Ok(written)
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
fn without_too_long(sent: &Fields) -> (Fields, Fields) {
    sent.clone()
        .into_iter()
        .partition(|(_, text)| text.chars().count() > TEXT_MOST)
}

/// A writer whose text was laid aside still has it in the form, and sends it again with every save: it
/// stays aside until somebody settles it. Takes such fields out of `sent`; returns those with a newer
/// text, which replaces the one laid aside.
async fn hold_aside(
    tx: &mut Tx,
    person: &Person,
    draft: &Draft,
    sent: &mut Fields,
) -> Result<Fields, AppError> {
    let mut newer = Fields::new();
    for edit in drafts::aside(tx.conn(), &draft.case).await? {
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
        drafts::settle(tx, &draft.case, edit.version, &edit.field).await?;
        if text != stands {
            newer.insert(edit.field, text);
        }
    }
    Ok(newer)
}

async fn write(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    draft: &mut Draft,
    merged: &crate::domain::draft::Merge,
) -> Result<(), AppError> {
    apply(&mut draft.fields, &merged.taken);
    draft.changed_ms = app.outside.now_ms();
    draft.changed_by.clone_from(&person.account.name);
    drafts::update(tx, draft).await?;
    draft.version += 1;
    for (fields, aside) in [(&merged.taken, false), (&merged.aside, true)] {
        for (field, text) in fields {
            drafts::insert_edit(tx, &draft.case, &edit(draft, person, field, text), aside).await?;
        }
    }
    Ok(())
}

/// Settles a text that was laid aside: takes it into the draft, or lets it go.
pub async fn settle(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    version: i64,
    field: &str,
    take: bool,
) -> Result<(), AppError> {
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let case = own_case(tx.conn(), person, number).await?;
        office_only(&case, person)?;
        let mut draft = drafts::find(tx.conn(), number)
            .await?
            .ok_or(AppError::NotFound)?;
        let aside = drafts::aside(tx.conn(), number).await?;
        let Some(text) = aside
            .into_iter()
            .find(|edit| edit.version == version && edit.field == field)
        else {
            return Err(AppError::Conflict(
                "Somebody has settled this text already.".to_owned(),
            ));
        };
        drafts::settle(&mut tx, number, version, field).await?;
        if take {
            let taken = Fields::from([(text.field, text.text)]);
            let merged = crate::domain::draft::Merge {
                taken,
                aside: Fields::new(),
            };
            write(app, &mut tx, person, &mut draft, &merged).await?;
        }
        tx.commit().await?;
        Ok(())
    })
    .await
}

/// Gives the draft up: the revision in force stays.
pub async fn discard(app: &App, person: &Person, number: &CaseNumber) -> Result<(), AppError> {
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let case = own_case(tx.conn(), person, number).await?;
        office_only(&case, person)?;
        drafts::delete(&mut tx, number).await?;
        tx.commit().await?;
        Ok(())
    })
    .await
}
