//! What a text tells of as something that a patient does not bear.

use super::material::MaterialKind;
use super::naming::material_at;
use super::negated::{NOT, is_negated};
use super::substance::{Substance, word_at};
use super::words::{BREAKS, tokens};

/// Words of a sentence that warns of something and does not order it.
const WARNS: &[&str] = &[
    "allergic",
    // As German cards write it.
    "allergie",
    "allergien",
    "allergies",
    "allergy",
    "anaphylaxis",
    "blister",
    "blisters",
    "dermatitis",
    "eczema",
    "hives",
    "hypersensitive",
    "hypersensitivity",
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

/// Words that cause something, and what the mouth has of it: "nickel makes her mouth sore".
const CAUSES: &[&str] = &["makes", "made", "gives", "gave", "causes", "caused"];
const ILLS: &[&str] = &[
    "sore", "burn", "burning", "itch", "itching", "swell", "swelling",
];

/// Where a phrase warns of something, and whether a "not" there is the warning itself.
struct Warning {
    place: usize,
    is_by_not: bool,
}

/// The first warning of a phrase.
fn warning(words: &[String], lower: &[String]) -> Option<Warning> {
    let word = |at: usize| lower.get(at).map(String::as_str).unwrap_or_default();
    let has = |names: &[&str]| lower.iter().any(|word| names.contains(&word.as_str()));
    let is_not = |at: &usize| {
        let before = lower.get(at.saturating_sub(3)..*at).unwrap_or_default();
        let denies = |word: &String| matches!(word.as_str(), "not" | "cannot" | "t" | "never");
        before.iter().any(denies)
    };
    let tolerates = |at: &usize| matches!(word(*at), "tolerate" | "tolerates" | "tolerated");
    let tested = |at: &usize| word(*at) == "patch" && word(at + 1).starts_with("test");
    let breaks_out = |at: &usize| {
        matches!(word(*at), "break" | "breaks" | "broke" | "breaking") && word(at + 1) == "out"
    };
    let stomatitis = |at: &usize| word(*at) == "contact" && word(at + 1) == "stomatitis";
    // What causes it stands right before: a border that makes a sore place is no allergy.
    let causes = |at: &usize| {
        let is_named = |from: usize| {
            let substance = word_at(words, lower, from).map(|(_, length)| length);
            let material = material_at(lower, from).map(|(_, length)| length);
            [substance, material].contains(&Some(at - from))
        };
        CAUSES.contains(&word(*at)) && has(ILLS) && (0..*at).any(is_named)
    };
    let mut places = 0..lower.len();
    let by_not = places.clone().find(|at| tolerates(at) && is_not(at));
    let plain = places.find(|at| {
        let is_tested = tested(at) && has(&["positive"]);
        let is_told = breaks_out(at) || stomatitis(at) || causes(at) || is_tested;
        WARNS.contains(&word(*at)) || is_told
    });
    let place = by_not.or(plain)?;
    Some(Warning {
        place,
        is_by_not: by_not.is_some(),
    })
}

/// Whether a phrase warns of what it names.
pub(super) fn warns(words: &[String], lower: &[String]) -> bool {
    warning(words, lower).is_some()
}

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
            let warning = warning(&words, &lower);
            // "Allergies: none" is answered behind the colon.
            let is_none = is_open && lower.iter().any(|word| DENIES.contains(&word.as_str()));
            let is_denied = |one: &Warning| !one.is_by_not && is_denied(&lower, one.place);
            let is_denied = is_none || warning.as_ref().is_some_and(is_denied);
            if is_none {
                is_open = false;
                warned.is_of_allergy = !warned.substances.is_empty();
            }
            // "Allergies: nickel, cobalt": what follows in the same sentence.
            if warning.is_none() && !is_open || is_denied {
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
    const HEADS: [&str; 5] = [
        "allerg",
        "intoleran",
        "sensitivit",
        "hypersensitiv",
        "positive",
    ];
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
