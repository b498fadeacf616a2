//! Opening a case.

use super::case_work::CaseWork;
use super::manage::readable_parties;
use super::recorded::reference::{hold_card, hold_house, own_card};
use super::run::run;
use super::{App, AppError, Person, PostKey, new_codes, recorded};
use crate::domain::custody::agenda::CaseAgenda;
use crate::domain::custody::case::{Case, DRAWN, FIRST_TASK, Place, unsigned_summary};
use crate::domain::custody::{CaseState, Ordered, agenda};
use crate::domain::form::{Kind, command};
use crate::domain::people::party::{Party, Side};
use crate::domain::values::arch::Arches;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, PartyId, PatientCode};
use crate::store::cases::{self, PatientRow};
use crate::store::parties;

/// The labs that a case can go to.
pub async fn labs(app: &App) -> Result<Vec<Party>, AppError> {
    let all = readable_parties(&mut *app.store.read().await?).await?;
    Ok(all
        .into_iter()
        .filter(|party| party.kind == Side::Lab)
        .collect())
}

command! {
    /// Whose case it is, which jaws it is about, and the lab that it goes to.
    OpenCaseForm;
    patient: PatientCode = Kind::PatientCode, "Patient code", "From the patient's card or the key sheet.", needed "Type the patient code: nine characters.";
    arches: Arches = Arches::KIND, "Which jaws are treated", "", needed "Choose which jaws are treated.";
    lab: PartyId = Kind::Listed, "Laboratory", "", needed "Choose the laboratory.";
}

/// The new case, if the patient is the office's own and the lab is one.
async fn new_case(
    app: &App,
    person: &Person,
    form: &OpenCaseForm,
    number: CaseNumber,
) -> Result<Case, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let patient = match own_card(app, &mut conn, person.party_id(), &form.patient).await {
        Err(AppError::NotFound) => None,
        found => Some(found?),
    };
    if let Some(row) = &patient {
        hold_card(app, &mut conn, row).await?;
    }
    let lab = parties::find(&mut conn, &form.lab)
        .await?
        .filter(|party| party.kind == Side::Lab);
    let (Some(patient), Some(lab)) = (&patient, &lab) else {
        let stranger = format!("No patient of this office has the code {}.", form.patient);
        let field = OpenCaseForm::lab();
        let faults = [
            (patient.is_none()).then(|| Fault::new(OpenCaseForm::patient().key, stranger)),
            (lab.is_none()).then(|| Fault::new(field.key, field.needed)),
        ];
        return Err(AppError::Invalid(faults.into_iter().flatten().collect()));
    };
    // By another's name it would have been chosen for another.
    hold_house(app, &mut conn, lab).await?;
    Ok(opened(app, number, (patient, &lab.id), form.arches))
}

/// The case of a patient with a lab, opened and no more.
pub(super) fn opened(
    app: &App,
    number: CaseNumber,
    (patient, lab): (&PatientRow, &PartyId),
    arches: Arches,
) -> Case {
    let opened_ms = app.outside.now_ms();
    let mut case = Case {
        number,
        office: patient.office.clone(),
        lab: lab.clone(),
        patient: patient.code.clone(),
        arches,
        opened_ms,
        closed: false,
        place: Place::Office,
        also: None,
        held: None,
        waiting_for: vec![FIRST_TASK],
        due: None,
        lent_due: None,
        summary: unsigned_summary(arches),
        revision: 0,
        acknowledged: 0,
        changed_ms: opened_ms,
        version: 1,
        agenda: CaseAgenda::default(),
        drawn: DRAWN,
    };
    case.agenda = agenda(&case, &[], &CaseState::default(), &Ordered::default(), &[]);
    case
}

pub async fn open(
    app: &App,
    person: &Person,
    form: &OpenCaseForm,
    key: &PostKey,
) -> Result<CaseNumber, AppError> {
    let number = new_codes::case_number(app, &mut *app.store.read().await?).await?;
    let case = new_case(app, person, form, number).await?;
    run(app, person, key, |mut tx| async {
        cases::insert_case(&mut tx, &case).await?;
        recorded::case(app, &mut tx, &case).await?;
        let mut work = CaseWork::of(app, tx.conn(), case.clone(), Side::Office).await?;
        work.save(app, &mut tx).await?;
        Box::pin(work.save_others(app, &mut tx)).await?;
        Ok((tx, case.number.clone()))
    })
    .await
}
