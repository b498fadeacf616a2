//! What is usual of all against what this patient had.

use super::input::Input;
use super::rule::{Hit, Rule, at, caution};
use super::sources::PRACTICE;

/// The rules about usual values, in the order of their findings.
pub const RULES: &[Rule] = &[caution(
    "usual-otherwise-than-before",
    otherwise,
    "Nobody typed it: what is usual of most may have been chosen otherwise for this patient, with a reason.",
    PRACTICE,
)];

fn otherwise(input: &Input<'_>) -> Option<Hit> {
    let all = &input.setting.usual_otherwise;
    let first = all.first()?;
    let one = |other: &crate::domain::prescription::usual::Otherwise| {
        format!(
            "{}: usual is {}, and the case before had {}",
            other.label, other.usual, other.before
        )
    };
    let said: Vec<String> = all.iter().map(one).collect();
    let sentence = format!(
        "The patient’s last signed case, {}, had otherwise what is usual here. {}.",
        first.case,
        said.join(". ")
    );
    at(&first.key, sentence)
}
