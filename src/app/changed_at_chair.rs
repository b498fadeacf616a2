//! What was changed at the chair after the signature, in words: at the hand-over, at the bench and on the page of the case.

use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use crate::domain::custody::ChangedAtChair;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::whole_day;

/// "Changed at the chair after revision 1 was signed: T…: bite raised, 2 mm (Tue 1 Dec 2026)."
pub(super) fn changed_words<'a>(
    work: &CaseWork,
    changed: impl Iterator<Item = &'a ChangedAtChair>,
) -> Option<String> {
    let mut things: Vec<(&Tag, Vec<String>)> = Vec::new();
    for one in changed {
        let words = format!("{} ({})", one.words, whole_day(one.day));
        match things.iter_mut().find(|(tag, _)| *tag == &one.tag) {
            Some((_, all)) => all.push(words),
            None => things.push((&one.tag, vec![words])),
        }
    }
    let named = things
        .iter()
        .map(|(tag, words)| format!("{}: {}", title_and_tag(work, tag), words.join("; ")));
    let named: Vec<String> = named.collect();
    (!named.is_empty()).then(|| {
        format!(
            "Changed at the chair after revision {} was signed: {}.",
            work.case.revision,
            named.join(". ")
        )
    })
}

/// The same for both houses while the work goes on, with what the office has said of it.
pub fn changed_at_the_chair(work: &CaseWork) -> Vec<String> {
    let all = work.changed_at_chair();
    let (known, open): (Vec<_>, Vec<_>) = all.iter().partition(|one| one.as_it_comes);
    let rest = match work.side {
        Side::Office => {
            "Sign a revision, or say at the hand-over that the lab works from it as it comes."
        }
        Side::Lab => {
            "Ask the office whether the prescription holds before anything is made from it."
        }
    };
    let said = [
        (known, "The office says: work from it as it comes."),
        (open, rest),
    ];
    let sentence = |(of, rest): (Vec<&ChangedAtChair>, &str)| {
        let words = changed_words(work, of.into_iter())?;
        Some(format!("{words} {rest}"))
    };
    said.into_iter().filter_map(sentence).collect()
}
