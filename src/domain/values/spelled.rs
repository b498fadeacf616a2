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
