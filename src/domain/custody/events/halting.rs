//! What stopping, pausing and cancelling have in common: the dentist says it, with a reason, and signs.

use super::kind::Sentence;
use super::phrases::{self, prefixed};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::standstill::{Fated, Halt, Standstill};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;

/// The dentist's alone, with a reason; what is cancelled is neither stopped nor paused, and nothing is said twice.
pub fn check(proposal: &mut ProposedEvent<'_>, halt: Halt, reason: &str) {
    by_the_dentist(proposal);
    let now = proposal.case.standstill.as_ref();
    match now.map(|one| (one.halt, one.since.in_words())) {
        Some((Halt::Cancelled, since)) => {
            let sentence = format!("The work was canceled on {since}.");
            proposal.refuse(CustodyRule::Stopped, None, sentence);
        }
        Some((same, since)) if same == halt => {
            let sentence = format!("The work is {} already, since {since}.", halt.shown());
            proposal.refuse(CustodyRule::Stopped, None, sentence);
        }
        _ => {}
    }
    proposal.needs(
        reason,
        CustodyRule::Form,
        None,
        "Say why: the lab reads it.",
    );
    in_order(proposal);
}

/// Whether work goes on or not is for whoever signs the prescription.
pub fn by_the_dentist(proposal: &mut ProposedEvent<'_>) {
    let sentence = "The office says whether the work goes on.";
    proposal.side_only(Side::Office, sentence);
    if proposal.side == Side::Office {
        proposal.permitted_only(Permission::Sign);
    }
}

/// Not before the standstill that it is about began.
pub fn in_order(proposal: &mut ProposedEvent<'_>) {
    let since = proposal.case.standstill.as_ref().map(|one| one.since);
    if let Some(since) = since.filter(|since| proposal.at.unix_ms < since.unix_ms) {
        let since = since.in_words();
        let sentence =
            format!("The last word on this is of {since}, and this one would be earlier.");
        proposal.refuse(CustodyRule::I, None, sentence);
    }
}

/// The case stands still from here on.
pub fn apply(case: &mut CaseState, stamp: &Stamp<'_>, halt: Halt, reason: &str, items: &[Fated]) {
    let before = case.standstill.as_ref().map(|one| one.began);
    case.standstill = Some(Standstill {
        halt,
        event: stamp.id.clone(),
        since: stamp.at,
        began: before.unwrap_or(stamp.at),
        by: stamp.answering(),
        reason: reason.to_owned(),
        heeded: None,
        items: items.to_vec(),
    });
}

/// In words, with the reason and the signature.
pub fn describe(what: &str, reason: &str, signed: &Signed) -> Sentence {
    let details = vec![prefixed("Why: ", reason), phrases::signed(signed)];
    (what.to_owned(), details)
}
