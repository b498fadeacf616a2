//! A draft filled from what is known already: the record, the pattern, the kind of work, usual values.

use super::case_work::CaseWork;
use super::read_disinfection::with_disinfection;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::{Filled, Origin};

/// The draft's fields, and below them what comes from elsewhere.
pub fn fill_in(typed: &Fields, work: &CaseWork) -> Filled {
    let fields = with_disinfection(typed, work);
    let from = fields
        .keys()
        .filter(|key| !typed.contains_key(*key))
        .map(|key| (key.clone(), Origin::Record))
        .collect();
    Filled { fields, from }
}
