//! What is to be said of work before it leaves, is received or goes into a mouth: that it came damaged, or that a newer
//! revision is in force than the one it was made for.

use super::avoided_things::avoided_words;
use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use super::release::newer_than_packed;
use super::since_packed::since_packed;
use super::stated_of_flaws::signed_of;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::{
    Condition, Purpose, found_wanting, made_for_earlier, waits_with_the_work,
};
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
        let found = format!(
            "{} {how}: look at it again, and send it back if it does not serve.",
            title_and_tag(work, tag)
        );
        Some(match signed_of(work, tag) {
            Some(signed) => format!("{found} {signed}"),
            None => found,
        })
    };
    let flaws = tags.iter().filter_map(flaw);
    let wanting = tags.iter().filter_map(|tag| not_as_asked(work, tag));
    // What the patient is to be kept from goes before all that.
    let avoided = tags.iter().filter_map(|tag| avoided_words(work, tag));
    let known = flaws.chain(wanting).chain(earlier(work, tags));
    avoided.chain(known).collect()
}

/// What the office's own check has found not as asked of a thing that came back and was not worn since.
pub fn not_as_asked(work: &CaseWork, tag: &Tag) -> Option<String> {
    let found = found_wanting(&work.state, work.item(tag)?, work.case.revision);
    let (entry, _) = found.first()?;
    let words: Vec<String> = found.iter().map(|(_, found)| found.words()).collect();
    Some(format!(
        "{} was checked on {}. {}. Send it back, or use it as it is.",
        title_and_tag(work, tag),
        entry.at.in_words(),
        words.join("; ")
    ))
}

/// Whether a thing of the office lies at the lab that the prescription in force does not list, though such a thing is seldom
/// worked from.
pub fn is_unlisted_here(work: &CaseWork, tag: &Tag) -> bool {
    let is_here = work
        .state
        .item(tag)
        .is_some_and(|state| state.holder.is_with_lab());
    let came = work.state.handoffs.iter().any(|one| {
        let is_work = one.purpose_code.is_some_and(Purpose::is_for_work);
        one.from == Side::Office && is_work && one.sent.iter().any(|sent| sent.tag == *tag)
    });
    let is_seldom = work
        .item(tag)
        .is_some_and(|item| !item.kind.travels_mostly());
    let is_asked = work.case.revision > 0 && !work.ordered.enclosed.contains(tag);
    is_here && came && is_seldom && is_asked
}

/// What the office sent to be worked on, and the list does not name, though such a thing is seldom worked from.
fn unlisted(work: &CaseWork, handoff: &Handoff) -> Option<String> {
    let is_work = handoff.purpose_code.is_some_and(Purpose::is_for_work);
    let is_asked = is_work && handoff.from == Side::Office && work.case.revision > 0;
    let is_unlisted = |tag: &&Tag| {
        let item = work.item(tag).filter(|item| !item.kind.travels_mostly());
        item.is_some() && !work.ordered.enclosed.contains(tag)
    };
    let sent = handoff.sent.iter().map(|sent| &sent.tag);
    let named = sent.filter(is_unlisted).map(|tag| title_and_tag(work, tag));
    let named: Vec<String> = named.filter(|_| is_asked).collect();
    (!named.is_empty()).then(|| {
        format!(
            "Not listed in revision {}: {}. Ask before anything is done with it.",
            work.case.revision,
            named.join("; ")
        )
    })
}

/// What the receipt says lay in the parcel and was not announced.
fn came_along(handoff: &Handoff) -> Option<String> {
    let said = handoff.unannounced.iter().filter(|text| !text.is_empty());
    let said: Vec<&str> = said.map(String::as_str).collect();
    (!said.is_empty()).then(|| format!("Also in it, and not announced: {}.", said.join("; ")))
}

/// Which of these things were made for an earlier revision, in one sentence.
fn earlier(work: &CaseWork, tags: &[Tag]) -> Option<String> {
    let older = made_for_earlier(&work.ordered, &work.items, &work.state);
    // What that revision works on, or goes on from, is not what it asks for.
    let is_gone_on_from =
        |tag: &Tag| work.ordered.enclosed.contains(tag) || work.ordered.patterns.contains(tag);
    let older = tags
        .iter()
        .filter(|tag| older.contains(tag) && !is_gone_on_from(tag));
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
                "The work is canceled, so this waits here for nothing: take the parcel back. Only where the carrier has \
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
        let corrected = since_packed(work, handoff);
        return waits.into_iter().chain(newer).chain(corrected).collect();
    }
    let sent: Vec<Tag> = handoff.sent.iter().map(|sent| sent.tag.clone()).collect();
    let is_from_lab = handoff.from == Side::Lab;
    let earlier = earlier(work, &sent).filter(|_| is_from_lab);
    // What no list names comes first: it is asked about before anything is done.
    let came = came_along(handoff).into_iter();
    let avoided = sent.iter().filter_map(|tag| avoided_words(work, tag));
    let told = avoided.chain(came).chain(unlisted(work, handoff));
    told.chain(earlier).collect()
}
