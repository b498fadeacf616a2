//! What a question or a call is about, in words, and the choices for it.

use crate::app::case_work::CaseWork;
use crate::app::custody_words::title_and_tag;
use crate::app::questions::sections_said;
use crate::domain::custody::Question;
use crate::domain::prescription::line_words;
use crate::domain::values::ids::Tag;
use crate::web::field::Choice;
use crate::web::write::{section_choices, section_name};

/// Part of the prescription, line and item that something is about.
pub fn pointed_at(
    work: &CaseWork,
    (section, line, item): (Option<&str>, Option<String>, Option<&Tag>),
) -> Vec<String> {
    let section = section.map(|key| section_name(key).to_owned());
    let item = item.map(|tag| title_and_tag(work, tag));
    section.into_iter().chain(line).chain(item).collect()
}

/// What a question is about, and what the matter is.
pub fn about_words(work: &CaseWork, one: &Question) -> String {
    let line = one.line.as_deref().and_then(line_words);
    let mut words = pointed_at(work, (one.section.as_deref(), line, one.item.as_ref()));
    // Where somebody stood when it came up goes before what it is about.
    words.splice(0..0, one.step.map(|step| step.to_do().to_owned()));
    let about = match words.is_empty() {
        true => one.matter.shown().to_owned(),
        false => format!("{}: {}", words.join(", "), one.matter.shown()),
    };
    match (1..work.case.revision).contains(&one.revision) {
        true => format!("{about} (revision {})", one.revision),
        false => about,
    }
}

/// The parts of the prescription as choices: those of which the one in force says anything stand first.
pub fn part_choices(work: &CaseWork) -> Vec<Choice> {
    let said = sections_said(work);
    let mut choices = section_choices();
    choices.sort_by_key(|one| !said.contains(&one.word.as_str()));
    choices
}
