//! What lists show of a case, drawn again where an earlier version drew it otherwise: at a start, before anybody
//! reads a list.

use super::case_work::CaseWork;
use super::run::write;
use super::{App, AppError};
use crate::domain::custody::case::DRAWN;
use crate::domain::people::party::Side;
use crate::domain::values::ids::CaseNumber;
use crate::store::{cases, passed};

/// Cases looked up at once.
const PAGE: i64 = 200;

/// Draws every case again that an earlier version drew, or that says that a later one did; says how many there were.
/// A case that cannot be read stays as it is, and is named by `check`.
pub async fn redraw(app: &App) -> Result<u64, AppError> {
    let mut count = 0;
    for is_before in [true, false] {
        let mut after = String::new();
        loop {
            let mut conn = app.store.read().await?;
            let numbers = match is_before {
                true => cases::drawn_before(&mut conn, DRAWN, &after, PAGE).await?,
                false => cases::drawn_after(&mut conn, DRAWN, &after, PAGE).await?,
            };
            drop(conn);
            let Some(last) = numbers.last().cloned() else {
                break;
            };
            for number in numbers {
                match one(app, &number).await {
                    Ok(()) => count += 1,
                    Err(error) => tracing::warn!(%number, %error, "a case is not drawn again"),
                }
            }
            after = last;
        }
    }
    Ok(count)
}

async fn one(app: &App, number: &str) -> Result<(), AppError> {
    let number = CaseNumber::parse(number).map_err(|why| AppError::Inner(why.to_string()))?;
    write(app, |mut tx| async {
        let case = cases::find_case(tx.conn(), &number).await?;
        let case = case.ok_or(AppError::NotFound)?;
        let mut work = CaseWork::of(app, tx.conn(), case, Side::Office).await?;
        work.draw();
        cases::update_case(&mut tx, &work.case).await?;
        for row in work.passed_rows() {
            passed::keep(&mut tx, &row).await?;
        }
        work.note_keeping(&mut tx).await?;
        work.note_papers(&mut tx).await?;
        Ok((tx, ()))
    })
    .await
}
