//! The review against the whole sample, one change at a time.

#[cfg(test)]
mod complete;
#[cfg_attr(
    not(test),
    expect(
        dead_code,
        unused_imports,
        reason = "its own checks stay behind where others use it"
    )
)]
#[expect(
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "made up for tests"
)]
pub mod documents;
#[cfg(test)]
mod law;
#[cfg(test)]
mod matter;
#[cfg(test)]
mod odd;
#[cfg(test)]
mod remake;
#[cfg(test)]
mod rules;
#[cfg(test)]
mod tables;
#[cfg(test)]
mod tried_in;
#[cfg(test)]
mod twice;
#[cfg(test)]
mod unasked;

use super::sample;
use super::setting::Setting;
use super::{Finding, review};
use crate::domain::form::Raw;
use crate::domain::people::patient;
use crate::domain::prescription::{Prescription, read};
use crate::domain::values::tooth::Numbering;

/// Key and new text; an empty text takes the field out, `changes.*` a whole list or section, and
/// `@bite` stands for the tag of that thing.
pub type Edits<'a> = &'a [(&'a str, &'a str)];

fn edit(raw: &mut Raw, (key, text): (&str, &str)) {
    if let Some(prefix) = key.strip_suffix('*') {
        raw.retain(|key, _| !key.starts_with(prefix));
    } else if text.is_empty() {
        raw.remove(key);
    } else {
        let text = text
            .strip_prefix('@')
            .map_or(text.to_owned(), sample::tag_text);
        raw.insert(key.to_owned(), text);
    }
}

/// The sample with some fields changed, the patient's card among them.
pub fn changed(edits: Edits<'_>) -> (Prescription, Setting) {
    let (mut raw, mut card) = (sample::raw(), sample::patient_raw());
    for (key, text) in edits {
        let of_card = key.starts_with("patient.");
        edit(if of_card { &mut card } else { &mut raw }, (key, text));
    }
    let reading = read(&raw, Numbering::Iso3950);
    assert_eq!(
        reading.faults,
        [],
        "the test's document is readable: {edits:?}"
    );
    let card = patient::read(&card);
    assert_eq!(card.faults, [], "the test's card is readable: {edits:?}");
    let mut setting = sample::setting();
    setting.patient = Some(card.patient);
    (reading.document, setting)
}

pub fn found(edits: Edits<'_>) -> Vec<Finding> {
    let (document, setting) = changed(edits);
    review(&document, &setting)
}

pub fn ids(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.id).collect()
}
