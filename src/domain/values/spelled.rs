//! Names of substances and points that were spelled otherwise once, and stand so in what was signed then.

/// What a signed text holds in the program’s own words, and how they are spelled since.
const SPELLED: &[(&str, &str)] = &[
    (
        "added dyes or pigmented fibres",
        "added dyes or pigmented fibers",
    ),
    ("Licence of the prescriber", "License of the prescriber"),
];

/// Such words as they are spelled today: so that the same is no change, in whichever spelling it was signed.
pub fn spelled_today(text: &str) -> String {
    let today = |text: String, (was, is): &(&str, &str)| text.replace(was, is);
    SPELLED.iter().fold(text.to_owned(), today)
}

/// Parts of words that sentences were spelled with once, and what they are spelled with now.
const PARTS: &[(&str, &str)] = &[
    ("aluminium", "aluminum"),
    ("cancelled", "canceled"),
    ("colour", "color"),
    ("fibre", "fiber"),
    ("flavour", "flavor"),
    ("individualise", "individualize"),
    ("labelled", "labeled"),
    ("licence", "license"),
    ("millimetre", "millimeter"),
];

/// A text by which two are compared that may have been spelled otherwise: never shown.
pub fn without_spelling(text: &str) -> String {
    let today = |text: String, (was, is): &(&str, &str)| text.replace(was, is);
    PARTS.iter().fold(text.to_owned(), today)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_spelling_is_the_same_and_another_word_is_not() {
        let was = "In an aluminium base the fibres are coloured.";
        let is = "In an aluminum base the fibers are colored.";
        assert_eq!(without_spelling(was), without_spelling(is));
        assert_ne!(
            without_spelling(was),
            without_spelling("In an aluminum base the fibers are white.")
        );
    }
}
