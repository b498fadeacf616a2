//! Asking, answering, and what was said on the telephone.

use super::shared::TEXT_MOST;
use crate::domain::custody::questions::Matter;
use crate::domain::form::{Kind, command, long, name};
use crate::domain::values::ids::{EventId, Tag};

command! {
    /// A question to the other house.
    AskForm;
    matter: Matter = Matter::KIND, "What about it", "", needed "Choose what the matter is.";
    section: String = Kind::Listed, "Part of the prescription", "If it is about one.";
    line: String = Kind::Hidden, "", "";
    read_revision: String = Kind::Hidden, "", "";
    force_shown: Option<u32> = Kind::Hidden, "", "";
    asked_step: String = Kind::Hidden, "", "";
    asked_item: Option<Tag> = Kind::Listed, "Item", "If it is about one.";
    asked_picture: Option<EventId> = Kind::Listed, "One that is in the case", "";
    question: String = long(TEXT_MOST), "Your question", "Nothing that names anybody. It can stay empty where a part, an item or a picture says it.";
    waits: bool = Kind::Tick, "Our work waits for the answer", "";
}

command! {
    /// An answer, or a question taken back.
    AnswerForm;
    asked_by: EventId = Kind::Hidden, "", "", needed "Choose the question.";
    answer: String = long(TEXT_MOST), "Answer", "";
    answer_picture: Option<EventId> = Kind::Listed, "Picture", "One of the case that shows it.";
    taken_back: bool = Kind::Tick, "Taken back: nothing is to be answered any more", "";
}

command! {
    /// What was said on the telephone.
    CallForm;
    spoke_with: String = name(100), "Who spoke for the other side", "As they name themselves.", needed "Write who spoke for the other side.";
    call_said: String = long(TEXT_MOST), "What was said", "Nothing that names a patient.", needed "Write what was said.";
    call_section: String = Kind::Listed, "Part of the prescription", "If it was about one.";
    call_item: Option<Tag> = Kind::Listed, "Item", "If it was about one.";
    call_picture: Option<EventId> = Kind::Listed, "One that is in the case", "";
    call_changes: bool = Kind::Tick, "It is otherwise than the prescription says", "The office is to write it into a revision.";
    answers: Option<EventId> = Kind::Listed, "It answers", "A question that is open, if it does.";
}

command! {
    /// Whether a call was as written down.
    ConfirmForm;
    call: EventId = Kind::Hidden, "", "", needed "Choose the call.";
    confirm_changes: bool = Kind::Tick, "That is otherwise than what is signed", "The office then writes it into a revision.";
    none_needed: bool = Kind::Tick, "No revision is needed", "";
    no_revision: String = long(TEXT_MOST), "Why no revision is needed", "Nothing that names a patient.";
    not_so: bool = Kind::Tick, "It was not so", "";
    how_it_was: String = long(TEXT_MOST), "How it was, if not so", "Nothing that names a patient.";
}
