//! The words of the bench's card on whichever page they are scanned: the box that takes them, and where they lead.

use super::extract::encode;
use crate::app::find;
use crate::domain::custody::bench::ScanWord;
use crate::domain::values::ids::CaseNumber;

/// What was scanned.
pub const SCAN: &str = find::LOOKED_UP;
/// The button that takes it.
pub const BUTTON: &str = "go";

/// The words that enter the step of a form, and those that send a question.
pub const ENTER_STEP: &[ScanWord] = &[ScanWord::Done];
pub const SEND_QUESTION: &[ScanWord] = &[ScanWord::Done, ScanWord::Ask];

/// Where a word of the card leads from any page; none for one that is of a step.
pub fn leads_to(word: ScanWord, case: Option<&CaseNumber>) -> Option<String> {
    let case = case.map(|number| format!("/cases/{}", number.as_str()));
    match (word, case) {
        (ScanWord::List, _) => Some("/bench".to_owned()),
        (ScanWord::Another, Some(case)) => {
            let back = encode(&format!("{case}/bench"));
            Some(format!("/bench/who?next={back}"))
        }
        (ScanWord::Another, None) => Some("/bench/who".to_owned()),
        (ScanWord::Ask, Some(case)) => Some(format!("{case}/questions#ask")),
        (ScanWord::Step(step), Some(case)) => Some(format!("{case}/bench?step={}", step.word())),
        _ => None,
    }
}
