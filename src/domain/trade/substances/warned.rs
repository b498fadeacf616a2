//! What a text tells of as something that a patient does not bear.

use super::material::MaterialKind;
use super::naming::material_at;
use super::negated::{NOT, is_negated};
use super::substance::{Substance, word_at};
use super::words::{BREAKS, tokens};

/// Words of a sentence that warns of something and does not order it.
pub(super) const WARNS: &[&str] = &[
    "allergic",
    "allergies",
    "allergy",
    "anaphylaxis",
    "blister",
    "blisters",
    "dermatitis",
    "eczema",
    "hives",
    "intolerance",
    "intolerant",
    "rash",
    "react",
    "reacted",
    "reaction",
    "reacts",
    "sensitised",
    "sensitive",
    "sensitivity",
    "sensitized",
    "urticaria",
];

/// Words that deny what follows: "no known allergies", "denies a reaction".
const DENIES: &[&str] = &["denies", "denied", "nil", "none", "negative"];

/// What a text warns of.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Warned {
    pub substances: Vec<Substance>,
    /// Materials that are named in place of a substance.
    pub materials: Vec<MaterialKind>,
    /// Whether it tells of an allergy at all, to whatever it may be.
    pub is_of_allergy: bool,
}

/// Everything that a text tells of as not borne. "Sensitive mucosa" is none of it: a substance has to stand there, or the
/// word allergy itself.
pub fn warned_of(text: &str) -> Warned {
    let mut warned = Warned::default();
    for sentence in text.split([';', '.', '\n']) {
        let mut is_open = false;
        for segment in sentence.split(BREAKS) {
            let words = tokens(segment);
            let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
            let warns = lower.iter().position(|word| WARNS.contains(&word.as_str()));
            // "Allergies: none" is answered behind the colon.
            let is_none = is_open && lower.iter().any(|word| DENIES.contains(&word.as_str()));
            let is_denied = is_none || warns.is_some_and(|place| is_denied(&lower, place));
            if is_none {
                is_open = false;
                warned.is_of_allergy = !warned.substances.is_empty();
            }
            // "Allergies: nickel, cobalt": what follows in the same sentence.
            if warns.is_none() && !is_open || is_denied {
                continue;
            }
            warned.is_of_allergy |= lower.iter().any(|word| word.starts_with("allerg"));
            let has_any = read_segment(&words, &lower, &mut warned);
            is_open = is_open || !has_any && is_heading(&lower);
        }
    }
    warned
}

/// Whether a phrase is but the heading of a list: "known allergies".
fn is_heading(lower: &[String]) -> bool {
    const HEADS: [&str; 3] = ["allerg", "intoleran", "sensitivit"];
    let is_head = |word: &String| HEADS.iter().any(|head| word.starts_with(head));
    lower.len() <= 3 && lower.iter().any(is_head)
}

/// Whether a word before says that there is no such thing.
fn is_denied(lower: &[String], warns: usize) -> bool {
    let from = warns.saturating_sub(3);
    let before = lower.get(from..warns).unwrap_or_default();
    let mut after = lower.iter().skip(warns + 1).take(2);
    let denies = |word: &String| DENIES.contains(&word.as_str());
    let is_not = |word: &String| word != "free" && NOT.contains(&word.as_str());
    before.iter().any(|word| is_not(word) || denies(word)) || after.any(denies)
}

/// Adds what a phrase names; whether it names anything.
fn read_segment(words: &[String], lower: &[String], warned: &mut Warned) -> bool {
    let (mut place, mut has_any) = (0, false);
    while place < lower.len() {
        let (substance, material) = (word_at(words, lower, place), material_at(lower, place));
        let length = substance.map(|(_, length)| length);
        let length = length.or(material.map(|(_, length)| length)).unwrap_or(1);
        let is_there = !is_negated(words, lower, place, length);
        match (substance, material) {
            (Some((one, _)), _) if is_there => {
                has_any = true;
                if !warned.substances.contains(&one) {
                    warned.substances.push(one);
                }
            }
            (None, Some((one, _))) if is_there => {
                has_any = true;
                if !warned.materials.contains(&one) {
                    warned.materials.push(one);
                }
            }
            _ => {}
        }
        place += length.max(1);
    }
    has_any
}
