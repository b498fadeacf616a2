//! What the page of the fit is made of.

use crate::app::see_case::CaseView;
use crate::app::{App, Person};
use crate::domain::custody::fit::FitLine;
use crate::web::tried::Tried;

/// What the page is made of.
pub struct FitInput<'a> {
    pub app: &'a App,
    pub person: &'a Person,
    pub view: &'a CaseView,
    pub lines: &'a [FitLine],
    pub tried: &'a Tried,
}
