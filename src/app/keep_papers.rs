//! How long the papers of a case are kept: by the profiles that its signed texts name, and longer where a house says
//! so. Nothing is deleted when the day comes.

use super::agenda::side;
use super::case_work::CaseWork;
use super::entry::signed;
use super::listed_row::{HELD_AT_ONCE, held};
use super::papers_noted::{kept_of, row_of};
use super::run::on_case::enter_on_case;
use super::see_case::{CaseView, see};
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{KeptLonger, MEANS_KEPT_LONGER, MEANS_KEPT_NO_LONGER, What};
use crate::domain::custody::forms::KeepForm;
use crate::domain::law::retention::Kept;
use crate::domain::people::party::Side;
use crate::domain::values::ids::CaseNumber;
use crate::store::papers_kept;
use time::Date;

/// What the password signs.
pub fn means(ends: bool) -> &'static str {
    match ends {
        false => MEANS_KEPT_LONGER,
        true => MEANS_KEPT_NO_LONGER,
    }
}

/// The papers of a case as either house sees them.
#[derive(Debug)]
pub struct PapersView {
    pub view: CaseView,
    /// None where nothing was signed, so that no profile speaks.
    pub kept: Option<Kept>,
    /// The profiles that the signed texts name, each with the sources and dates of its rules.
    pub sources: Vec<String>,
}

/// How long the papers of a case are kept.
pub async fn papers_of(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<PapersView, AppError> {
    let view = see(app, person, number).await?;
    let mut sources: Vec<String> = Vec::new();
    for card in view.documents().iter().flat_map(|one| &one.law) {
        let words = card.words();
        if !sources.contains(&words) {
            sources.push(words);
        }
    }
    Ok(PapersView {
        kept: kept_of(&view.work.signed),
        sources,
        view,
    })
}

/// Enters that the papers are kept longer.
pub async fn longer(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &KeepForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter(app, person, number, (form, false), key).await
}

/// Enters that they need not be kept longer any more.
pub async fn no_longer(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &KeepForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter(app, person, number, (form, true), key).await
}

async fn enter(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (form, ends): (&KeepForm, bool),
    key: &PostKey,
) -> Result<(), AppError> {
    super::whose_case::own_case(app, &mut *app.store.read_at_once().await?, person, number).await?;
    let signed = signed(app, person, &form.password, means(ends)).await?;
    let what = |work: &CaseWork| {
        Ok(What::KeptLonger(KeptLonger {
            from: work.side,
            ends,
            reason: form.keep_reason.clone(),
            signed: signed.clone(),
        }))
    };
    enter_on_case(app, person, number, key, None, what).await
}

/// Closed cases of which a list of papers tells at most.
const LISTED_MOST: i64 = 100;

/// What of a house's closed cases a list of papers tells.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PapersOver {
    /// Past their day, the earliest first, each with whether a house keeps it longer.
    pub over: Vec<(CaseNumber, Date, bool)>,
    /// Whether there are more than are listed.
    pub more: bool,
    /// How many have no day, since the profiles name no time.
    pub without_a_time: i64,
    /// How many rows are not told, since their cases cannot be read, or say something else.
    pub unread: usize,
}

/// The closed cases of one's own house whose papers are past their day, as their texts and entries say.
pub async fn over(app: &App, person: &Person, today: Date) -> Result<PapersOver, AppError> {
    let (side, party) = (side(person)?, person.party_id());
    let mut conn = app.store.read_at_once().await?;
    let rows = papers_kept::over(&mut conn, (side, party), today, LISTED_MOST + 1).await?;
    let rows = rows.into_iter();
    let rows = rows.map(|(number, until, longer)| (number, (until, longer)));
    let says = |work: &CaseWork, (until, longer): &(Date, bool)| {
        let said = row_of(&work.case, &work.state, &work.signed);
        said.is_some_and(|said| {
            let day = match side {
                Side::Office => said.office_until,
                Side::Lab => said.lab_until,
            };
            (day, said.longer) == (Some(*until), *longer)
        })
    };
    let list = ("papers", LISTED_MOST, HELD_AT_ONCE);
    let held = held(app, &mut conn, person, list, rows.collect(), says).await?;
    let over = held.rows.into_iter();
    Ok(PapersOver {
        over: over
            .map(|(number, (until, longer))| (number, until, longer))
            .collect(),
        more: held.more,
        without_a_time: papers_kept::without_a_time(&mut conn, (side, party)).await?,
        unread: held.unread,
    })
}
