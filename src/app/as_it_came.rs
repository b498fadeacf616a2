//! What is to be said of work before it leaves, is received or goes into a mouth: that it came damaged, or that a newer
//! revision is in force than the one it was made for.

use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use super::release::newer_than_packed;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::{Condition, made_for_earlier, waits_with_the_work};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;

/// What is to be known of these things before one of them goes into a mouth.
pub fn before_the_fit(work: &CaseWork, tags: &[Tag]) -> Vec<String> {
    let flaw = |tag: &Tag| {
        let state = work.state.item(tag)?;
        let how = match state.condition {
            Condition::Sound => return None,
            Condition::Damaged => "was found damaged",
            Condition::NotAsDescribed => "was not as described",
        };
        Some(format!(
            "{} {how}: look at it again, and send it back if it does not serve.",
            title_and_tag(work, tag)
        ))
    };
    let flaws = tags.iter().filter_map(flaw);
    flaws.chain(earlier(work, tags)).collect()
}

/// Which of these things were made for an earlier revision, in one sentence.
fn earlier(work: &CaseWork, tags: &[Tag]) -> Option<String> {
    let older = made_for_earlier(&work.ordered, &work.items, &work.state);
    let older = tags.iter().filter(|tag| older.contains(tag));
    let named: Vec<String> = older.map(|tag| title_and_tag(work, tag)).collect();
    (!named.is_empty()).then(|| {
        format!(
            "Left the lab before revision {} was signed: {}. Look whether it is as that revision asks.",
            work.case.revision,
            named.join("; ")
        )
    })
}

/// What is to be known of a parcel while it is packed, on its way or just received.
pub fn in_a_parcel(work: &CaseWork, handoff: &Handoff) -> Vec<String> {
    if handoff.voided.is_some() {
        return Vec::new();
    }
    if handoff.is_packed() {
        let waits = waits_with_the_work(&work.state, &work.items, handoff);
        let waits = waits.then(|| {
            "Finished work waits here as long as the work rests: take the parcel back, or wait until it goes on."
                .to_owned()
        });
        let is_vain = work.state.is_packed_in_vain(&handoff.id);
        let waits = waits.or_else(|| {
            is_vain.then(|| {
                "The work is cancelled, so this waits here for nothing: take the parcel back. Only where the carrier has \
                 it already is its pick-up entered."
                    .to_owned()
            })
        });
        let (unread, older) = newer_than_packed(work, handoff);
        let newer = (unread.is_some() || !older.is_empty()).then(|| {
            format!(
                "Revision {} was signed after this was packed: read what it changes, and take the parcel back if the \
                 work is not as it asks.",
                work.case.revision
            )
        });
        return waits.into_iter().chain(newer).collect();
    }
    let sent: Vec<Tag> = handoff.sent.iter().map(|sent| sent.tag.clone()).collect();
    let is_from_lab = handoff.from == Side::Lab;
    Vec::from_iter(earlier(work, &sent).filter(|_| is_from_lab))
}
