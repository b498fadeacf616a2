//! Signing and acknowledging as entries of the history, beside those of custody.

use super::case_work::CaseWork;
use crate::domain::custody::Description;
use crate::domain::prescription::revision::{Acknowledgement, Revision};
use crate::domain::values::moment::Moment;

/// What was signed and acknowledged by `until`, each with its moment, the oldest first.
pub fn signed(
    work: &CaseWork,
    revisions: &[Revision],
    acknowledgements: &[Acknowledgement],
    until: Option<i64>,
) -> Vec<(Moment, Description)> {
    let revisions = revisions.iter().map(|one| revision(work, one));
    let read = acknowledgements.iter().map(|one| acknowledged(work, one));
    let mut all: Vec<(Moment, Description)> = revisions.chain(read).collect();
    all.retain(|(at, _)| until.is_none_or(|until| at.unix_ms <= until));
    all.sort_by_key(|(at, _)| at.unix_ms);
    all
}

fn entry(
    at: Moment,
    (name, house): (&str, &str),
    what: String,
    details: Vec<String>,
) -> (Moment, Description) {
    let description = Description {
        when: at.in_words(),
        name: name.to_owned(),
        who: format!("{name}, {house}"),
        what,
        details,
        late: false,
    };
    (at, description)
}

fn revision(work: &CaseWork, one: &Revision) -> (Moment, Description) {
    let by = &one.signature;
    let licence = match by.licence.as_str() {
        "" => String::new(),
        licence => format!(", license {licence}"),
    };
    entry(
        by.at,
        (&by.name, &work.office.name),
        format!("Revision {} of the prescription signed", one.number),
        vec![format!("Signed by {}{licence}: {}", by.name, by.meaning)],
    )
}

fn acknowledged(work: &CaseWork, one: &Acknowledgement) -> (Moment, Description) {
    entry(
        one.at,
        (&one.name, &work.lab.name),
        format!(
            "Revision {} acknowledged: the lab works to it",
            one.revision
        ),
        Vec::new(),
    )
}
