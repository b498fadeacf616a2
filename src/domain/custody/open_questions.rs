//! What of questions and calls is open, in which order it is read, and whether work still waits for it.

use super::case_state::CaseState;
use super::pictures::TakenPicture;
use super::questions::{PhoneCall, Question};
use super::standstill::Halt;
use crate::domain::values::ids::EventId;
use crate::domain::values::moment::Moment;

/// Why nothing waits any more for what is asked and not answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WorkOver {
    Cancelled(Moment),
    Closed,
}

impl CaseState {
    /// Why no work goes on; none while it does, or only rests.
    pub fn work_over(&self) -> Option<WorkOver> {
        let halt = self.standstill.as_ref();
        match halt.filter(|one| one.halt == Halt::Cancelled) {
            Some(halt) => Some(WorkOver::Cancelled(halt.since)),
            None => self.closed.then_some(WorkOver::Closed),
        }
    }

    /// Whether the lab's work waits for the answer to this question, as whoever asked has said.
    pub fn is_waited_for(&self, question: &Question) -> bool {
        question.waits && self.work_over().is_none()
    }

    /// Open questions as they are read: what work waits for first, then the oldest.
    pub fn open_in_order(&self) -> Vec<&Question> {
        let mut open: Vec<&Question> = self.open_questions().collect();
        open.sort_by_key(|one| (one.promised.is_some(), !one.waits, one.at.unix_ms));
        open
    }

    /// Whether the question of this entry takes an answer.
    pub fn awaits_answer(&self, asked: &EventId) -> bool {
        self.question(asked).is_some_and(Question::is_open)
    }

    /// Whether the call of this entry takes a word on whether it was so.
    pub fn awaits_verdict(&self, call: &EventId) -> bool {
        self.call(call).is_some_and(PhoneCall::is_open)
    }

    /// Whether the question of a second laboratory by this entry takes a reply.
    pub fn awaits_reply(&self, asked: &EventId) -> bool {
        let mut open = self.open_pass_questions();
        open.any(|(_, one)| one.event == *asked)
    }

    /// Pictures whose bytes were not taken out, the newest first.
    pub fn pictures_there(&self) -> impl Iterator<Item = &TakenPicture> {
        let pictures = self.pictures.iter().rev();
        pictures.filter(|one| !one.is_erased())
    }
}
