//! The front of a draft's sheet, drawn beside its form.

use super::print_sheet::draft_sheet;
use super::sign::propose_of;
use super::write_draft::fields_now;
use super::{App, AppError, Person};
use crate::domain::values::ids::CaseNumber;
use crate::papers::lay_out_sheet;
use crate::papers::svg::write_svg;

/// The front of the sheet as a picture, as it would print now: of a draft, or of what one would begin with.
pub async fn draft_front(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<String, AppError> {
    let fields = fields_now(app, person, number).await?;
    let proposal = propose_of(app, person, number, &fields).await?;
    let pages = lay_out_sheet(&draft_sheet(&proposal, None));
    let front = pages.first();
    let picture = front.map(|page| write_svg(page, "Front of the sheet"));
    picture.ok_or_else(|| AppError::Inner("a sheet has no front".to_owned()))
}
