//! The scan box: a case number, a patient code or a tag leads to its page.

use super::case_work::own_case;
use super::{App, AppError, Person};
use crate::domain::access::Deed;
use crate::domain::ids::{CaseNumber, Code, CodeKind, PatientCode, Tag};
use crate::store::{cases, custody};

/// Where the code leads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    Case(CaseNumber),
    Patient(PatientCode),
    Item(Tag),
}

/// Looks a typed or scanned code up. A mistyped code says so; one that is not one's own is not there.
pub async fn find(app: &App, person: &Person, typed: &str) -> Result<Found, AppError> {
    let code = Code::parse_any(typed).map_err(|error| AppError::field("q", error.to_string()))?;
    let missing = || {
        AppError::field(
            "q",
            format!(
                "There is no {} {code} that you may see.",
                code.kind().words()
            ),
        )
    };
    let wrong = |error: crate::domain::ids::CodeError| AppError::field("q", error.to_string());
    let mut conn = app.store.read().await?;
    match code.kind() {
        CodeKind::Case => {
            let number = CaseNumber::parse(code.as_str()).map_err(wrong)?;
            own_case(&mut conn, person, &number)
                .await
                .map_err(|_| missing())?;
            Ok(Found::Case(number))
        }
        CodeKind::Patient => {
            let patient = PatientCode::parse(code.as_str()).map_err(wrong)?;
            let row = cases::find_patient(&mut conn, &patient).await?;
            let is_own = row.is_some_and(|row| row.office == person.party_id())
                && person.may(Deed::KeepPatients);
            is_own
                .then_some(Found::Patient(patient))
                .ok_or_else(missing)
        }
        CodeKind::Item => {
            let tag = Tag::parse(code.as_str()).map_err(wrong)?;
            let item = custody::find_item(&mut conn, &tag)
                .await?
                .ok_or_else(missing)?;
            own_case(&mut conn, person, &item.case)
                .await
                .map_err(|_| missing())?;
            Ok(Found::Item(tag))
        }
    }
}
