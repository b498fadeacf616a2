//! The review of a draft with its case around it: what the lab would have to telephone about.

use super::case_work::{CARD, CaseWork};
use super::fill_in::is_next_round;
use super::planned::under_way;
use super::recorded::reference::names_office;
use super::see_lists::lists_context;
use super::whose_case::changed_past_us;
use super::{App, AppError};
use crate::domain::custody::came_in;
use crate::domain::custody::case::Case;
use crate::domain::custody::fit::newest_found;
use crate::domain::custody::follow_up::{FollowedBy, again_to_order, remakes_since};
use crate::domain::custody::mouth;
use crate::domain::fill::last_disinfection;
use crate::domain::form::{Clock, split_row_key};
use crate::domain::law::profile::CaseLaw;
use crate::domain::people::party::{Party, Side};
use crate::domain::people::patient::{self, OwnTeeth};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::{Prescription, field_spec};
use crate::domain::review::{
    CanSign, Criterion, Finding, Letterhead, Passed, Setting, applying, criteria, reasons_for,
    review, score, unanswered,
};
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::Numbering;
use crate::store::cases::PatientRow;
use crate::store::{Connection, cases};

/// The field that names the case that this one continues or replaces.
const EARLIER_CASE: &str = "order.earlier_case";

/// The first part of the form key under which a caution's reason is typed.
pub const REASON: &str = "reason.";

/// What the review says of a draft.
#[derive(Debug, Clone, Default)]
pub struct Reviewed {
    pub findings: Vec<Finding>,
    pub criteria: Vec<Criterion>,
    /// Reasons typed for cautions.
    pub passed: Vec<Passed>,
}

impl Reviewed {
    /// How many of the criteria are met.
    pub fn met(&self) -> usize {
        score(&self.criteria)
    }

    /// How many of them apply to what is ordered.
    pub fn applying(&self) -> usize {
        applying(&self.criteria)
    }

    /// What still stands against signing.
    pub fn unanswered(&self) -> Vec<&Finding> {
        unanswered(&self.findings, &self.passed)
    }

    /// The reason typed for what a finding says now; empty where there is none.
    pub fn reason(&self, finding: &Finding) -> &str {
        self.passed
            .iter()
            .find(|passed| passed.is_for(finding))
            .map_or("", |passed| passed.reason.as_str())
    }

    /// A reason that was typed for the same rule when it said something else; empty where there is none.
    pub fn void_reason(&self, finding: &Finding) -> &str {
        let other = |passed: &&Passed| passed.id == finding.id && !passed.is_for(finding);
        let mut others = self.passed.iter().filter(other);
        others
            .find(|passed| !passed.reason.is_empty())
            .map_or("", |passed| passed.reason.as_str())
    }
}

/// The form key under which the reason for a finding is typed: of its rule and of its sentence.
pub fn reason_key(id: &str, mark: &str) -> String {
    format!("{REASON}{id}.{mark}")
}

/// The reasons among a draft's fields.
pub fn reasons(fields: &Fields) -> Vec<Passed> {
    fields
        .iter()
        .filter_map(|(key, text)| Some((key.strip_prefix(REASON)?, text)))
        .map(|(key, reason)| {
            // Drafts begun before reasons were bound to a sentence have no mark: they are for none.
            let (id, mark) = key.split_once('.').unwrap_or((key, ""));
            Passed {
                id: id.to_owned(),
                mark: mark.to_owned(),
                reason: reason.trim().to_owned(),
            }
        })
        .collect()
}

fn letterhead(party: &Party) -> Letterhead {
    Letterhead {
        name: party.name.clone(),
        address: party.address.clone(),
        licence: party.licence.clone(),
    }
}

/// The profiles of local law that the two parties have chosen.
pub fn law(app: &App, work: &CaseWork) -> CaseLaw {
    CaseLaw {
        office: app.profiles.chosen(&work.office.profile),
        lab: app.profiles.chosen(&work.lab.profile),
    }
}

/// The patient's card, which nobody has given to another office or taken away. What else was changed of it, the page says.
async fn card_of_case(
    app: &App,
    conn: &mut Connection,
    case: &Case,
) -> Result<PatientRow, AppError> {
    let row = cases::find_patient(conn, &case.patient).await?;
    let row = row.filter(|row| row.office == case.office);
    let row = row.ok_or_else(|| changed_past_us(&case.number, CARD))?;
    match names_office(app, conn, &row).await? {
        true => Ok(row),
        false => Err(changed_past_us(&case.number, CARD)),
    }
}

/// The cases of other patients of this office that these fields name as the one before: of the numbers of other houses
/// nothing is known.
async fn named_of_others(
    conn: &mut Connection,
    case: &Case,
    named_in: &[&Fields],
) -> Result<Vec<CaseNumber>, AppError> {
    let mut found = Vec::new();
    let texts = named_in
        .iter()
        .filter_map(|fields| fields.get(EARLIER_CASE));
    for number in texts.filter_map(|text| CaseNumber::parse(text).ok()) {
        let named = cases::find_case(conn, &number).await?;
        if named.is_some_and(|one| one.office == case.office && one.patient != case.patient) {
            found.push(number);
        }
    }
    Ok(found)
}

/// The jaws of which a remake is agreed on, and still to be ordered.
fn remake(work: &CaseWork) -> Option<Arches> {
    let again = again_to_order(
        &work.state.follow_ups,
        work.ordered.since,
        &work.ordered.others,
    );
    let agreed = again.filter(|one| one.followed_by == FollowedBy::Remake && one.is_agreed());
    let mut arches: Vec<Arch> = agreed
        .flat_map(|one| one.arches.treated())
        .copied()
        .collect();
    arches.sort_unstable();
    arches.dedup();
    Arches::of(&arches)
}

/// Everything that is known around the prescription of a case at `now`; `previous` is the one in force, and `named_in` the
/// fields that are read.
/// `dentist` is who would sign; an assistant's draft is reviewed as if a dentist with a licence were to sign it.
pub async fn setting(
    app: &App,
    conn: &mut Connection,
    work: &CaseWork,
    (previous, named_in): (Option<Prescription>, &[&Fields]),
    dentist: Option<Letterhead>,
    now: Moment,
) -> Result<Setting, AppError> {
    let row = card_of_case(app, conn, &work.case).await?;
    let facts = row.typed()?;
    let mut lists = lists_context(app, conn, &work.case).await?;
    lists.under_way = under_way(work, &lists, now);
    let line = work.state.worn(&work.items);
    let worn = |arch| mouth::worn_in(&line, arch).cloned();
    Ok(Setting {
        today: now.date(),
        now: Clock::try_from(now.clock()).ok(),
        issued: Some(now.date()),
        arches: work.case.arches,
        patient_code: work.case.patient.to_string(),
        patient: Some(patient::read(&facts).patient),
        office: letterhead(&work.office),
        dentist: dentist.unwrap_or_else(|| Letterhead {
            name: "the dentist who signs".to_owned(),
            address: work.office.address.clone(),
            licence: "as on the account".to_owned(),
        }),
        lab: letterhead(&work.lab),
        law: law(app, work),
        signature: CanSign::Possible,
        items: work.items.clone(),
        custody: work.state.custody.clone(),
        scans: work.state.scans.clone(),
        disinfected: work
            .items
            .iter()
            .filter_map(|item| {
                last_disinfection(&work.case.office, &work.events, &work.state, &item.tag)
            })
            .collect(),
        came_in: came_in(Side::Office, &work.events, &work.state),
        out_on: line
            .iter()
            .filter_map(|one| Some((one.tag.clone(), one.to?.date())))
            .collect(),
        worn_upper: worn(Arch::Upper),
        worn_lower: worn(Arch::Lower),
        taken_out: [Arch::Upper, Arch::Lower]
            .into_iter()
            .filter(|arch| line.iter().any(|one| one.arch == *arch && one.to.is_some()))
            .collect(),
        natural_teeth: [Arch::Upper, Arch::Lower]
            .into_iter()
            .filter(|arch| work.teeth_in(*arch) == Some(OwnTeeth::Natural))
            .filter(|arch| mouth::worn_in(&line, *arch).is_none())
            .collect(),
        previous,
        is_next_round: is_next_round(work),
        found_on_fit: newest_found(&work.state.fits, Side::Office, work.case.revision)
            .into_iter()
            .map(|(_, found)| found.clone())
            .collect(),
        changed_at_chair: work.changed_at_chair(),
        unwritten_calls: work.state.unwritten_calls(&work.ordered),
        remake: remake(work),
        remakes: remakes_since(&work.state.follow_ups, work.ordered.since)
            .map(|one| (one.arches, one.cause))
            .collect(),
        card_changed: work.card_changed,
        lists,
        named_of_others: named_of_others(conn, &work.case, named_in).await?,
        usual_otherwise: Vec::new(),
    })
}

/// Whether something is typed in a field that could not be read: the fault beside it says so, and that nothing is given
/// would be untrue.
fn is_unreadable(document: &Prescription, fields: &Fields, key: &str) -> bool {
    let is_typed = fields.get(key).is_some_and(|text| !text.trim().is_empty());
    let is_single = field_spec(key).is_some() && split_row_key(key).is_none();
    if !is_typed || !is_single {
        return false;
    }
    // No key hangs on the numbers of teeth.
    let sections = document.filled(Numbering::Iso3950);
    let mut cells = sections.iter().flat_map(|(_, cells)| cells);
    !cells.any(|cell| cell.key() == key)
}

/// Reviews a prescription with the reasons typed beside it.
pub fn review_with(document: &Prescription, setting: &Setting, fields: &Fields) -> Reviewed {
    let mut findings = review(document, setting);
    findings.retain(|one| !is_unreadable(document, fields, &one.key));
    Reviewed {
        passed: reasons_for(&findings, reasons(fields)),
        findings,
        criteria: criteria(document, setting),
    }
}
