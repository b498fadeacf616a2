//! Whose a draft is. Drafts are in no record; but each text of one has a row that says who has written it, and in an office
//! only its own people write. A draft that lies under a case by a changed number is shown to nobody there.

use super::AppError;
use crate::domain::custody::case::Case;
use crate::store::Connection;
use crate::store::drafts::{self, Draft};

/// Holds a draft as it was read on the same connection.
///
/// # Errors
/// A refusal in words, where anybody else than the office of the case has written it, or nobody.
pub(super) async fn hold_draft(
    conn: &mut Connection,
    case: &Case,
    draft: &Draft,
) -> Result<(), AppError> {
    let writers = drafts::houses_of_writers(conn, &case.number).await?;
    let is_written = !writers.is_empty() || draft.fields.is_empty();
    if is_written && writers.iter().all(|house| *house == case.office) {
        return Ok(());
    }
    tracing::error!(case = %case.number, "a draft is not of the office of its case");
    Err(AppError::Refused(vec![format!(
        "The draft of case {} was not written by the case's office: somebody has put it there past this program. Nothing \
         of it is shown, and nothing was entered. Tell whoever runs this installation: “vestibule check” says more.",
        case.number
    )]))
}
