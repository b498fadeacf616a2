//! What was said of a case beside its prescription, as whoever works on it reads it: whoever of the lab had asked.

use super::case_state::CaseState;
use super::questions::{PhoneCall, Question, Reply};
use crate::domain::people::party::Side;
use crate::domain::values::moment::Moment;

/// One thing that was said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SaidToLab<'a> {
    /// What the office has answered.
    Answer(&'a Question, &'a Reply),
    /// What the patient says.
    Told(&'a Question),
    /// On the telephone; who of both has written it down is all the same.
    Call(&'a PhoneCall),
}

impl SaidToLab<'_> {
    /// When it was said.
    pub fn at(&self) -> Moment {
        match self {
            SaidToLab::Answer(_, reply) => reply.at,
            SaidToLab::Told(question) => question.at,
            SaidToLab::Call(call) => call.at,
        }
    }
}

/// What of a question the lab reads: none of what it was asked itself, nor of what is open or was taken back. What was
/// answered on the telephone stands with the call.
fn said(question: &Question) -> Option<SaidToLab<'_>> {
    if question.is_for_information() {
        return (question.from == Side::Office).then_some(SaidToLab::Told(question));
    }
    let reply = question
        .reply
        .as_ref()
        .filter(|_| question.from == Side::Lab)?;
    (!reply.taken_back && !reply.by_telephone).then_some(SaidToLab::Answer(question, reply))
}

impl CaseState {
    /// All of it, the newest first. A call that was not so counts for nothing.
    pub fn said_to_lab(&self) -> Vec<SaidToLab<'_>> {
        let counts = |one: &&PhoneCall| one.verdict.as_ref().is_none_or(|verdict| verdict.is_so);
        let calls = self.calls.iter().filter(counts).map(SaidToLab::Call);
        let mut all: Vec<SaidToLab<'_>> = self
            .questions
            .iter()
            .filter_map(said)
            .chain(calls)
            .collect();
        all.sort_by_key(|one| std::cmp::Reverse(one.at().unix_ms));
        all
    }
}
