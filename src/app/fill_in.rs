//! A draft filled from what is known already: the record, the pattern, the kind of work, the case before, usual values.

use super::case_work::CaseWork;
use super::recorded::find_revision;
use super::recorded::reference::{hold_in_force, hold_usual};
use super::usual_sets::set_of;
use super::whose_case::is_of_patient;
use super::{App, AppError};
use crate::domain::custody::case::Case;
use crate::domain::custody::has_come;
use crate::domain::fill::{Beforehand, OnRecord, comes_again, course_in};
use crate::domain::prescription::Course;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::revision::Document;
use crate::domain::prescription::sources::{USUAL, USUAL_OF_LAB};
use crate::domain::prescription::usual::{CaseBefore, InUse};
use crate::domain::trade::lists::Lists;
use crate::domain::values::ids::PartyId;
use crate::domain::values::tooth::Numbering;
use crate::store::reference::ReferenceData;
use crate::store::usual::UsualRow;
use crate::store::{Connection, cases, usual};

/// What is known beside a draft of this case.
pub fn known_beside<'a>(
    work: &'a CaseWork,
    lists: &'a Lists,
    beforehand: &'a Beforehand,
    numbering: Numbering,
) -> OnRecord<'a> {
    OnRecord {
        arches: work.case.arches,
        items: &work.items,
        events: &work.events,
        state: &work.state,
        ordered: &work.ordered,
        own_teeth: &work.own_teeth,
        lists,
        beforehand,
        numbering,
    }
}

/// Whether what is signed is done and back, and a draft of the same kind of work is the next round of it.
pub fn is_next_round(work: &CaseWork) -> bool {
    let newest = work.signed.newest();
    let signed = newest.and_then(|(_, document)| document.prescription.order.course);
    let arches = work.case.arches.treated();
    signed.is_some_and(comes_again) && has_come(&work.ordered, &work.items, &work.state, arches)
}

/// What the two houses say once for all, in force and in the versions that the draft names, and what was signed for
/// the patient before. A revision of the kind of work that is `signed` is filled from none of it, unless it is the next
/// round of it.
pub async fn beforehand(
    app: &App,
    conn: &mut Connection,
    case: &Case,
    (signed, is_next_round, named_in): (Option<Course>, bool, &[&Fields]),
    numbering: Numbering,
) -> Result<Beforehand, AppError> {
    let begun = Beforehand {
        signed,
        is_next_round,
        ..Beforehand::default()
    };
    if signed.is_some() && !is_next_round && named_in.iter().all(|fields| is_of(fields, signed)) {
        return Ok(begun);
    }
    let in_force = usual::of_parties(conn, &case.office, &case.lab).await?;
    let before = match signed {
        Some(_) => None,
        None => case_before(app, conn, case, numbering).await?,
    };
    let mut beforehand = Beforehand { before, ..begun };
    let houses = [
        (&case.office, USUAL, &mut beforehand.office),
        (&case.lab, USUAL_OF_LAB, &mut beforehand.lab),
    ];
    for (house, key, sets) in houses {
        let own = in_force.iter().filter(|row| row.party == *house);
        for row in own {
            hold_in_force(app, conn, ReferenceData::UsualSet, &row.id).await?;
            hold_usual(app, conn, row).await?;
            sets.extend(in_use(row, true)?);
        }
        for mark in named_in.iter().filter_map(|fields| fields.get(key)) {
            if !sets.iter().any(|one| one.mark() == *mark) {
                sets.extend(earlier(app, conn, house, mark).await?);
            }
        }
    }
    Ok(beforehand)
}

/// Whether the draft is of this kind of work, or leaves it open.
fn is_of(fields: &Fields, signed: Option<Course>) -> bool {
    course_in(fields).is_none_or(|course| signed == Some(course))
}

fn in_use(row: &UsualRow, is_newest: bool) -> Result<Option<InUse>, AppError> {
    let set = set_of(row)?;
    Ok(set.map(|set| InUse {
        id: row.id.clone(),
        version: row.version,
        is_newest,
        set,
    }))
}

/// An older version of a set of this house.
async fn earlier(
    app: &App,
    conn: &mut Connection,
    house: &PartyId,
    mark: &str,
) -> Result<Option<InUse>, AppError> {
    let Some((id, version)) = InUse::parse(mark) else {
        return Ok(None);
    };
    let row = usual::find(conn, id, version).await?;
    match row.filter(|row| row.party == *house) {
        Some(row) => {
            hold_usual(app, conn, &row).await?;
            in_use(&row, false)
        }
        None => Ok(None),
    }
}

/// The last case of the same patient at this office that was opened before and has something signed. For whom it was, its
/// leaf says: nothing of another patient's prescription gets into this one by a changed row.
async fn case_before(
    app: &App,
    conn: &mut Connection,
    case: &Case,
    numbering: Numbering,
) -> Result<Option<CaseBefore>, AppError> {
    let all = cases::cases_of_patient(conn, &case.patient).await?;
    let is_before = |other: &Case| {
        other.number != case.number
            && other.office == case.office
            && other.revision > 0
            && other.opened_ms <= case.opened_ms
    };
    let Some(found) = all.into_iter().find(is_before) else {
        return Ok(None);
    };
    if !is_of_patient(app, conn, &found, &case.patient).await? {
        return Ok(None);
    }
    let revision = find_revision(app, conn, &found.number, found.revision).await?;
    let Some(revision) = revision else {
        return Ok(None);
    };
    let document = Document::from_canonical(&revision.document)?;
    Ok(Some(CaseBefore {
        number: found.number,
        fields: document.prescription.to_raw(numbering),
    }))
}
