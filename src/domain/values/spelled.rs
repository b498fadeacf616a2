//! Words of the program that were spelled otherwise once, and stand so in what was signed then.

/// Parts of words as they were spelled once, and as they are since the ninth sheet.
const PARTS: &[(&str, &str)] = &[
    ("aluminium", "aluminum"),
    ("cancelled", "canceled"),
    ("colour", "color"),
    ("fibre", "fiber"),
    ("flavour", "flavor"),
    ("individualise", "individualize"),
    ("labelled", "labeled"),
    ("licence", "license"),
    ("Licence", "License"),
    ("millimetre", "millimeter"),
];

/// A text as it would be spelled today. Where it holds words that somebody typed, it is to be compared by and never shown.
pub fn without_spelling(text: &str) -> String {
    let today = |text: String, (was, is): &(&str, &str)| text.replace(was, is);
    PARTS.iter().fold(text.to_owned(), today)
}

/// What a signed text holds in the program’s own words, as it was spelled.
const SIGNED: &[&str] = &[
    "added dyes or pigmented fibres",
    "Licence of the prescriber",
];

/// Such words as they are spelled today: so that the same is no change, in whichever spelling it was signed.
pub fn spelled_today(text: &str) -> String {
    let today = |text: String, was: &&str| text.replace(was, &without_spelling(was));
    SIGNED.iter().fold(text.to_owned(), today)
}

/// A text as it was when these of its words were spelled so.
pub fn spelled_as(text: &str, once: &[&str]) -> String {
    let back = |text: String, was: &&str| text.replace(&without_spelling(was), was);
    once.iter().fold(text.to_owned(), back)
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

    #[test]
    fn what_was_signed_is_shown_as_it_is_spelled_today_and_what_somebody_typed_stays() {
        for (signed, shown) in [
            (
                "No added dyes or pigmented fibres; the aluminium tray.",
                "No added dyes or pigmented fibers; the aluminium tray.",
            ),
            ("Licence of the prescriber", "License of the prescriber"),
            ("Licence to be shown", "Licence to be shown"),
        ] {
            assert_eq!(spelled_today(signed), shown);
        }
    }

    #[test]
    fn only_the_named_words_are_spelled_as_they_were() {
        let is = "Colored fibers in an aluminum base.";
        assert_eq!(
            spelled_as(is, &["aluminium", "ored fibres"]),
            "Colored fibres in an aluminium base."
        );
        assert_eq!(spelled_as(is, &[]), is);
    }
}
