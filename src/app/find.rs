//! The scan box: a case number, a patient code, a tag or the address of a handoff leads to its page.

use super::case_work::own_case;
use super::scan::not_known;
use super::{App, AppError, Person, receive};
use crate::domain::people::access::Permission;
use crate::domain::values::ids::{
    CaseNumber, Code, CodeError, CodeKind, HandoffId, PatientCode, Tag,
};
use crate::store::{cases, custody};

/// Where the code leads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Destination {
    Case(CaseNumber),
    Patient(PatientCode),
    Item(Tag),
    /// Its identifier, as its page's address has it.
    Handoff(HandoffId),
}

fn no(sentence: impl Into<String>) -> AppError {
    AppError::field("q", sentence.into())
}

fn wrong(error: CodeError) -> AppError {
    no(error.to_string())
}

/// Looks a typed or scanned code up. A mistyped code says so; one that is not one's own is not known here.
pub async fn find(app: &App, person: &Person, typed: &str) -> Result<Destination, AppError> {
    if let Some(id) = handoff_in(typed).map(HandoffId::new) {
        return match receive::see(app, person, &id).await {
            Ok(_) => Ok(Destination::Handoff(id)),
            Err(AppError::NotFound) => Err(no("This handoff is not known here.")),
            Err(other) => Err(other),
        };
    }
    let code = Code::parse_any(typed).map_err(wrong)?;
    match look_up(app, person, &code).await {
        Err(AppError::NotFound) => Err(no(not_known(&code))),
        found => found,
    }
}

async fn look_up(app: &App, person: &Person, code: &Code) -> Result<Destination, AppError> {
    let mut conn = app.store.read().await?;
    match code.kind() {
        CodeKind::Case => {
            let number = CaseNumber::parse(code.as_str()).map_err(wrong)?;
            own_case(&mut conn, person, &number).await?;
            Ok(Destination::Case(number))
        }
        CodeKind::Patient => {
            let patient = PatientCode::parse(code.as_str()).map_err(wrong)?;
            let row = cases::find_patient(&mut conn, &patient).await?;
            let is_own = row.is_some_and(|row| row.office == *person.party_id())
                && person.may(Permission::KeepPatients);
            is_own
                .then_some(Destination::Patient(patient))
                .ok_or(AppError::NotFound)
        }
        CodeKind::Item => {
            let tag = Tag::parse(code.as_str()).map_err(wrong)?;
            let item = custody::find_item(&mut conn, &tag)
                .await?
                .ok_or(AppError::NotFound)?;
            own_case(&mut conn, person, &item.case).await?;
            Ok(Destination::Item(tag))
        }
    }
}

/// The identifier in a handoff's address, whatever stands before it.
fn handoff_in(typed: &str) -> Option<String> {
    let path = typed.trim().split(['?', '#']).next()?;
    let mut parts = path.trim_end_matches('/').rsplit('/');
    let (id, room) = (parts.next()?, parts.next()?);
    let is_room = room.eq_ignore_ascii_case("handoffs") || room.eq_ignore_ascii_case("h");
    (is_room && !id.is_empty()).then(|| id.to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::handoff_in;

    #[test]
    fn a_handoffs_address_is_told_from_a_code() {
        for (typed, id) in [
            ("HTTPS://HOST.EXAMPLE/HANDOFFS/0B1C-2D", Some("0b1c-2d")),
            (" /handoffs/0b1c-2d/?done=released ", Some("0b1c-2d")),
            ("https://host.example/I/T4K7M92XQ", None),
            ("handoffs", None),
            ("/handoffs/", None),
            ("T4K-7M9-2XQ", None),
        ] {
            assert_eq!(handoff_in(typed).as_deref(), id, "{typed}");
        }
    }
}
