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
    let calls = || input.setting.unwritten_calls.iter();
    let sections: Vec<_> = calls()
        .filter_map(|call| Some((call.part.as_deref()?, call.at)))
        .filter(|(part, _)| !otherwise.contains(part))
        .filter_map(|(part, at)| Some((section_of(part)?, at)))
        .collect();
    // What is asked of no work of this kind has no field on the form.
    let field = sections.first().and_then(|(first, _)| first.fields.first());
    let key = field.map(|field| field.key);
    let key = key.filter(|key| asks_at(&input.courses, input.rx, key));
    let of_parts = sections
        .iter()
        .map(|(section, at)| format!("“{}”, call of {}", section.title, at.in_words()));
    // Of the case as a whole nothing shows whether it is written here.
    let of_all = calls().filter(|call| call.part.is_none());
    let of_all = of_all.map(|call| format!("call of {}", call.at.in_words()));
    let said = [
        ("and unchanged here", of_parts.collect::<Vec<_>>()),
        ("with no part named", of_all.collect()),
    ];
    let said = said.into_iter().filter(|(_, calls)| !calls.is_empty());
    let said: Vec<String> = said
        .map(|(how, calls)| {
            let calls = calls.join("; ");
            format!("Said on the telephone otherwise than the prescription in force says, {how}: {calls}.")
        })
        .collect();
    if said.is_empty() {
        return None;
    }
    at(key.unwrap_or("order.kind"), said.join(" "))
}
