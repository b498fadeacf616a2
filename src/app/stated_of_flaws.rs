//! Statements on things that were found wanting, in words: where they are worked with, and where they go into a mouth.

use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use crate::domain::custody::{Stated, stated};
use crate::domain::values::ids::Tag;

/// "Riverton laboratory has signed: polished (T. Kiln, Tue 1 Dec 2026 10:00 +00:00)."
fn signed(work: &CaseWork, one: &Stated<'_>) -> String {
    let house = &work.party(one.hold.side).name;
    let at = one.at.in_words();
    format!("{house} has signed: {} ({}, {at}).", one.done, one.by)
}

/// What was signed of a thing that is there still as it was found.
pub(super) fn signed_of(work: &CaseWork, tag: &Tag) -> Option<String> {
    let all = stated(&work.state, &work.events);
    let one = all.iter().rfind(|one| one.tag == tag)?;
    Some(signed(work, one))
}

/// What is the matter with each thing that is at the lab, and what was signed of it; nothing once the work is over.
pub fn stated_at_the_lab(work: &CaseWork) -> Vec<String> {
    if work.is_over_at_the_bench() {
        return Vec::new();
    }
    let is_there = |one: &Stated<'_>| {
        let state = work.state.item(one.tag);
        state.is_some_and(|state| state.holder.is_with_lab())
    };
    let words = |one: Stated<'_>| {
        let found = [one.hold.trouble.shown(), &one.hold.detail];
        let found: Vec<&str> = found.into_iter().filter(|text| !text.is_empty()).collect();
        format!(
            "{}: {}. {}",
            title_and_tag(work, one.tag),
            found.join(", "),
            signed(work, &one)
        )
    };
    let all = stated(&work.state, &work.events).into_iter();
    all.filter(is_there).map(words).collect()
}
