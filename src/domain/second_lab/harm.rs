//! Texts that go along wherever they stand, since whoever works with the things could be hurt, or hurt the patient, by not
//! having read them.

use crate::domain::trade::substances::{denied_in, warned_of};

/// Beginnings of words for what is caught from things of a mouth, and for what hurts in one. Common practice, no source.
const HURTS: [&str; 13] = [
    "infect", "contag", "hepatit", "hiv", "hbv", "hcv", "tubercul", "mrsa", "herpes", "syphilis",
    "prion", "virus", "sore",
];

/// Whether a text tells of something that is not borne, refuses a substance, or tells of an infection or a sore. It rather
/// finds too much: such a text is passed on although its part is not.
pub fn tells_of_harm(text: &str) -> bool {
    let warned = warned_of(text);
    let lower = text.to_lowercase();
    let mut words = lower.split(|sign: char| !sign.is_alphanumeric());
    warned.is_of_allergy
        || !warned.substances.is_empty()
        || !warned.materials.is_empty()
        || !denied_in(text).is_empty()
        || words.any(|word| HURTS.iter().any(|begins| word.starts_with(begins)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn warnings_are_told_from_what_only_describes_the_work() {
        for text in [
            "Allergic to something, ask first",
            "no nickel please",
            "Hepatitis B carrier",
            "HIV positive",
            "from a mouth with herpes",
            "Mucosa that sores easily: yes",
        ] {
            assert!(tells_of_harm(text), "{text}");
        }
        for text in [
            "",
            "disinfected for ten minutes",
            "Upper right canine turned a little outward",
            "chive green paper under the cast",
            "as on the pattern",
            "Unsteady hands: yes",
        ] {
            assert!(!tells_of_harm(text), "{text}");
        }
    }
}
