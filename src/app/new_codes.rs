//! Codes that nothing bears yet. There are some 30,000 million of each kind: of stores that grow to 100,000
//! cases, about one in six draws a number that is taken, and then another is drawn.

use super::{App, AppError};
use crate::domain::values::ids::{CaseNumber, PatientCode, Tag};
use crate::store::{Connection, cases, custody};

pub async fn case_number(app: &App, conn: &mut Connection) -> Result<CaseNumber, AppError> {
    loop {
        let number = app.outside.code(CaseNumber::from_random)?;
        if cases::find_case(conn, &number).await?.is_none() {
            return Ok(number);
        }
    }
}

pub async fn patient_code(app: &App, conn: &mut Connection) -> Result<PatientCode, AppError> {
    loop {
        let code = app.outside.code(PatientCode::from_random)?;
        if cases::find_patient(conn, &code).await?.is_none() {
            return Ok(code);
        }
    }
}

pub async fn tag(app: &App, conn: &mut Connection) -> Result<Tag, AppError> {
    loop {
        let tag = app.outside.code(Tag::from_random)?;
        if custody::find_item(conn, &tag).await?.is_none() {
            return Ok(tag);
        }
    }
}
