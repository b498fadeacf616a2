//! What was said on the telephone otherwise than the signed text, and no revision has taken up since.

use super::case_state::CaseState;
use super::ordered::Ordered;
use super::questions::PhoneCall;
use crate::domain::people::party::Side;
use crate::domain::values::moment::Moment;

/// A call about a part of the text that stands as it stood when the call was written down, or about the case as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnwrittenCall {
    /// The key of the part; none where none was named.
    pub part: Option<String>,
    pub at: Moment,
}

/// Since when the office knows of a call: since it wrote it down itself, or has said that it was so.
fn known_at(call: &PhoneCall) -> Moment {
    let said = call.verdict.as_ref().filter(|_| call.from == Side::Lab);
    said.map_or(call.at, |verdict| verdict.at)
}

impl CaseState {
    /// The part that a call was about: its own, or that of the question which it answered.
    fn part_of<'a>(&'a self, call: &'a PhoneCall) -> Option<&'a str> {
        let asked = || self.question(call.question.as_ref()?);
        let of_question = || asked()?.section.as_deref();
        call.section.as_deref().or_else(of_question)
    }

    /// Whether a revision has taken it up: one that was signed after the call and says its part otherwise than before; of a
    /// call about no part one that was signed when the office knew of it.
    fn is_taken_up(&self, call: &PhoneCall, ordered: &Ordered) -> bool {
        let is_later = |since: Moment, at: Moment| since.unix_ms > at.unix_ms;
        let mut signed = ordered.parts.iter();
        match self.part_of(call) {
            Some(part) => {
                signed.any(|one| is_later(one.since, call.at) && one.parts.contains(&part))
            }
            None => {
                let is_before_all = signed
                    .next()
                    .is_some_and(|one| is_later(one.since, call.at));
                let since = ordered.since;
                is_before_all || since.is_some_and(|since| is_later(since, known_at(call)))
            }
        }
    }

    /// What both houses say was said on the telephone, and no revision has taken up; nothing while none is signed.
    pub fn calls_to_write<'a>(
        &'a self,
        ordered: &'a Ordered,
    ) -> impl Iterator<Item = &'a PhoneCall> {
        let goes_on = ordered.since.is_some() && !self.is_cancelled();
        let calls = self.calls.iter().filter(|call| call.is_to_be_written());
        calls.filter(move |call| goes_on && !self.is_taken_up(call, ordered))
    }

    /// Calls that no revision has taken up, by the word of one house at least, the oldest first; but what was not so, and what
    /// the office has said stays as it is signed.
    pub fn calls_left_open<'a>(
        &'a self,
        ordered: &'a Ordered,
    ) -> impl Iterator<Item = &'a PhoneCall> {
        let counts = move |call: &&PhoneCall| {
            let is_so = call.verdict.as_ref().is_none_or(|verdict| verdict.is_so);
            call.changes && is_so && call.unwritten.is_none() && !self.is_taken_up(call, ordered)
        };
        self.calls.iter().filter(counts)
    }

    /// The same, each with the part of the text that it is about.
    pub fn unwritten_calls(&self, ordered: &Ordered) -> Vec<UnwrittenCall> {
        let calls = self.calls_left_open(ordered);
        let unwritten = calls.map(|call| UnwrittenCall {
            part: self.part_of(call).map(str::to_owned),
            at: call.at,
        });
        unwritten.collect()
    }
}
