//! What was said on the telephone otherwise than the text in force, and stands in this one as it stood.

use super::courses::asks_at;
use super::input::Input;
use super::rule::{Hit, Rule, at, caution};
use super::sources::PRACTICE;
use crate::domain::prescription::section_of;

/// The rules about telephone calls, in the order of their findings.
pub const RULES: &[Rule] = &[caution(
    "call-not-taken-up",
    not_taken_up,
    "The lab has the word of both and a signed text that says otherwise, and the text decides.",
    PRACTICE,
)];

fn not_taken_up(input: &Input<'_>) -> Option<Hit> {
    let before = input.setting.previous.as_ref()?;
    let otherwise = input.rx.parts_otherwise(before);
    let calls = input.setting.unwritten_calls.iter();
    let untouched = calls.filter(|call| !otherwise.contains(&call.part.as_str()));
    let sections: Vec<_> = untouched
        .filter_map(|call| Some((section_of(&call.part)?, call.at)))
        .collect();
    let (first, _) = sections.first()?;
    let field = first.fields.first().map(|field| field.key);
    // What is asked of no work of this kind has no field on the form.
    let key = field.filter(|key| asks_at(&input.courses, input.rx, key));
    let named: Vec<String> = sections
        .iter()
        .map(|(section, at)| format!("“{}”, call of {}", section.title, at.in_words()))
        .collect();
    at(
        key.unwrap_or("order.kind"),
        format!(
            "Said on the telephone otherwise than the prescription in force says, and unchanged here: {}.",
            named.join("; ")
        ),
    )
}
