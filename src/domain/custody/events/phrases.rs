//! Turns of phrase that several kinds of events use.

use crate::domain::custody::purpose::MadeBy;
use crate::domain::custody::signature::{Exception, Signed};

/// A text behind its prefix; nothing where there is no text.
pub fn prefixed(prefix: &str, text: &str) -> String {
    if text.trim().is_empty() {
        String::new()
    } else {
        format!("{prefix}{text}")
    }
}

/// "1 piece", "4 pieces"
pub fn pieces(count: u32) -> String {
    match count {
        1 => "1 piece".to_owned(),
        many => format!("{many} pieces"),
    }
}

/// The same where somebody has counted.
pub fn counted(count: Option<u32>) -> String {
    count.map_or_else(String::new, pieces)
}

pub fn signed(signed: &Signed) -> String {
    format!(
        "Signed by {}{}: {}",
        signed.name,
        prefixed(", license ", &signed.licence),
        signed.meaning
    )
}

pub fn exception(exception: Option<&Exception>) -> String {
    exception.map_or_else(String::new, |exception| {
        format!(
            "Exception signed by {}, license {}: {}",
            exception.name, exception.licence, exception.reason
        )
    })
}

/// That a revision was not acknowledged when work left.
pub fn left_unread(number: Option<i64>) -> Option<String> {
    number.map(|number| format!("Revision {number} was not acknowledged when this left"))
}

/// That work was made before a revision was signed, and is said to be as that asks.
pub fn made_before(number: Option<i64>) -> Option<String> {
    number.map(|number| {
        format!("Made before revision {number} was signed, and as that revision asks")
    })
}

/// That what a revision follows was changed at the chair after it was signed, and is worked from as it comes.
pub fn as_it_comes(number: Option<i64>) -> Option<String> {
    number.map(|number| {
        format!(
            "Changed at the chair after revision {number} was signed: the lab works from it as it comes"
        )
    })
}

/// What work was made by of which the telephone said otherwise than the signed text.
pub fn made_by(said: Option<MadeBy>) -> Option<String> {
    said.map(|said| {
        let said = said.shown();
        format!("Said otherwise on the telephone, and in no revision: {said}")
    })
}

/// For fields that are not stored while they are false.
pub fn is_false(flag: &bool) -> bool {
    !flag
}

/// Said of a telephone call that the prescription in force does not know of.
pub const OTHERWISE_THAN_SIGNED: &str = "It is otherwise than the prescription in force says";
