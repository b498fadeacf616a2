//! Opening a case.

use super::case_work::CaseWork;
use super::manage::Typed;
use super::run::run;
use super::{App, AppError, Person, PostKey, new_codes, recorded};
use crate::domain::custody::case::{Case, Place, next_step};
use crate::domain::people::party::{Party, Side};
use crate::domain::values::arch::Arches;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, PatientCode};
use crate::store::{cases, parties};

/// The labs that a case can go to.
pub async fn labs(app: &App) -> Result<Vec<Party>, AppError> {
    let all = parties::all(&mut *app.store.read().await?).await?;
    Ok(all
        .into_iter()
        .filter(|party| party.kind == Side::Lab)
        .collect())
}

async fn read(
    app: &App,
    person: &Person,
    typed: &Typed,
    number: CaseNumber,
) -> Result<Case, AppError> {
    let text = |key: &str| typed.get(key).map(|text| text.trim()).unwrap_or_default();
    let mut faults = Vec::new();
    let mut conn = app.store.read().await?;
    let patient = match PatientCode::parse(text("patient")) {
        Err(error) => {
            faults.push(Fault::new("patient", error.to_string()));
            None
        }
        Ok(code) => {
            let row = cases::find_patient(&mut conn, &code)
                .await?
                .filter(|row| row.office == person.party_id());
            if row.is_none() {
                faults.push(Fault::new(
                    "patient",
                    format!("No patient of this office has the code {code}."),
                ));
            }
            row.map(|row| row.code)
        }
    };
    let lab = parties::find(&mut conn, text("lab"))
        .await?
        .filter(|party| party.kind == Side::Lab);
    if lab.is_none() {
        faults.push(Fault::new("lab", "Choose the laboratory."));
    }
    let arches = Arches::from_word(text("arches"));
    if arches.is_none() {
        faults.push(Fault::new("arches", "Choose which jaws are treated."));
    }
    let (Some(patient), Some(lab), Some(arches)) = (patient, lab, arches) else {
        return Err(AppError::Invalid(faults));
    };
    Ok(Case {
        number,
        office: person.party_id().to_owned(),
        lab: lab.id,
        patient,
        arches,
        opened_ms: app.outside.now_ms(),
        closed: false,
        place: Place::Office,
        held: None,
        waiting_for: Vec::from_iter(next_step(Place::Office, 0, 0, false, false)),
        due: None,
        lent_due: None,
        summary: format!("Complete denture, {}", arches.shown()),
        revision: 0,
        acknowledged: 0,
        changed_ms: app.outside.now_ms(),
        version: 1,
    })
}

pub async fn open(
    app: &App,
    person: &Person,
    typed: &Typed,
    key: &PostKey,
) -> Result<CaseNumber, AppError> {
    let number = new_codes::case_number(app, &mut *app.store.read().await?).await?;
    let case = read(app, person, typed, number).await?;
    run(app, person, key, |mut tx| async {
        cases::insert_case(&mut tx, &case).await?;
        recorded::case(app, &mut tx, &case).await?;
        CaseWork::of(tx.conn(), case.clone(), Side::Office)
            .await?
            .save(app, &mut tx)
            .await?;
        Ok((tx, case.number.clone()))
    })
    .await
}
