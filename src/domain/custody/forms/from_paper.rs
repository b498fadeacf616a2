//! An entry that is copied from paper: when it happened, and whose name stands there.

use crate::domain::form::{Clock, Day, FieldSet, Form, Kind, Raw, command, name};
use crate::domain::values::fault::Fault;

command! {
    /// All three, or none of them.
    FromPaperForm;
    late_day: Option<Day> = Kind::Date, "Day it happened", "";
    late_time: Option<Clock> = Kind::Time, "Time, by the clock here", "";
    late_name: String = name(100), "Name on the paper", "Of whoever did and signed it there.";
}

/// Day, time and name as they stand on the paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FromPaper {
    pub day: Day,
    pub clock: Clock,
    pub name: String,
}

impl FromPaper {
    pub const FIELDS: FieldSet = FieldSet::once(FromPaperForm::FIELDS);

    /// None where nothing of it was typed.
    pub fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<FromPaper> {
        let is_typed = |key: &str| raw.get(key).is_some_and(|text| !text.trim().is_empty());
        if !FromPaperForm::FIELDS.iter().any(|spec| is_typed(spec.key)) {
            return None;
        }
        let before = faults.len();
        let form = <FromPaperForm as Form>::read(raw, faults);
        let mut lacks = |key: &str, wanted: &str| {
            if !is_typed(key) {
                faults.push(Fault::new(key, wanted));
            }
        };
        lacks(
            FromPaperForm::late_day().key,
            "Write the day on which it happened.",
        );
        lacks(
            FromPaperForm::late_time().key,
            "Write the time, such as 14:05.",
        );
        lacks(
            FromPaperForm::late_name().key,
            "The name of whoever signed the paper.",
        );
        let form = form.filter(|_| faults.len() == before)?;
        Some(FromPaper {
            day: form.late_day?,
            clock: form.late_time?,
            name: form.late_name,
        })
    }
}
