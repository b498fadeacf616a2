//! What was corrected while a parcel stood packed, or while work was at a second laboratory: told before a carrier takes it,
//! and to whoever works on it.

use super::case_work::CaseWork;
use super::changed_at_chair::changed_words;
use super::release::changed_under_work;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::{ChangedAtChair, PassedWork, Purpose, correction_notes};
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;

/// The notes on entries about these things, each as a sentence.
fn notes(work: &CaseWork, tags: &[Tag], since: Moment) -> Vec<String> {
    let notes = correction_notes(&work.events, &work.state, (tags, since)).into_iter();
    let words = |at: Moment, said: &str| {
        let said = said.trim().trim_end_matches('.');
        format!("An entry was corrected on {}: {said}.", at.in_words())
    };
    notes.map(|one| words(one.at, &one.words)).collect()
}

/// What was signed, done at the chair or noted since a parcel was packed that still stands here.
pub(super) fn since_packed(work: &CaseWork, handoff: &Handoff) -> Vec<String> {
    if !handoff.is_packed() || handoff.from != work.side {
        return Vec::new();
    }
    let packed = handoff.released_at;
    let sent: Vec<Tag> = handoff.sent.iter().map(|sent| sent.tag.clone()).collect();
    let purpose = handoff.purpose_code.unwrap_or(Purpose::Other);
    let mut words = Vec::new();
    // The lab is asked by the things that were made, whether they are as the newer one asks.
    let number = work.case.revision;
    let newer = work.ordered.since.filter(|since| {
        let is_newer = number > 1 && since.unix_ms > packed.unix_ms;
        work.side == Side::Office && purpose.is_for_work() && is_newer
    });
    words.extend(newer.map(|since| {
        let at = since.in_words();
        format!("Revision {number} was signed on {at}: look whether what is packed is as it lists.")
    }));
    let changed = changed_under_work(work, &sent, purpose);
    let later = changed
        .iter()
        .filter(|one| one.entered_at.unix_ms > packed.unix_ms);
    words.extend(changed_words(work, later));
    words.extend(notes(work, &sent, packed));
    words
}

/// What concerns the things that a second laboratory has, since they were passed on to it; of anything else of the case no
/// more than that it is to ask.
pub(super) fn since_passed(work: &CaseWork, pass: &PassedWork) -> Vec<String> {
    let lab = &work.lab.name;
    let arch_of = |tag: &Tag| work.item(tag).and_then(|item| item.arch);
    let arches: Vec<Option<Arch>> = pass.items.iter().map(arch_of).collect();
    let all = work.changed_at_chair();
    let (own, others): (Vec<_>, Vec<_>) = all.iter().partition(|one| pass.items.contains(&one.tag));
    let is_of_its_arch = |one: &&ChangedAtChair| {
        let arch = arch_of(&one.tag);
        arch.is_none() || arches.contains(&arch) || arches.contains(&None)
    };
    let mut words: Vec<String> = changed_words(work, own.into_iter()).into_iter().collect();
    if others.iter().any(is_of_its_arch) {
        words.push(format!(
            "Something else that this work follows was changed at the chair after revision {} was signed.",
            work.case.revision
        ));
    }
    words.extend(notes(work, &pass.items, pass.at));
    words
        .into_iter()
        .map(|words| format!("{words} Ask {lab} before you go on."))
        .collect()
}
