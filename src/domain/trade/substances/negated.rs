//! Whether what a text names is said not to be there.

use super::naming::material_at;
use super::substance::word_at;
use super::words::{phrases, tokens};

/// Words before a name that say it is not there, and words that may stand between.
pub(super) const NOT: &[&str] = &[
    "no", "non", "not", "never", "without", "avoid", "avoiding", "exclude", "excluded", "instead",
    "free",
];
const BETWEEN: &[&str] = &["and", "or", "of", "from", "any", "nor"];

/// Whether what stands at these words is said not to be there.
pub(super) fn is_negated(words: &[String], lower: &[String], place: usize, length: usize) -> bool {
    let is_passed = |at: usize| {
        let word = lower.get(at).map(String::as_str).unwrap_or_default();
        BETWEEN.contains(&word) || word_at(words, lower, at).is_some()
    };
    // "without veins or stains": a material is passed over where an "or" joins it to what follows.
    let is_or = |at: usize| {
        let word = lower.get(at).map(String::as_str).unwrap_or_default();
        matches!(word, "or" | "nor")
    };
    let joined = |before: usize| {
        let or = before.checked_sub(1).filter(|at| is_or(*at))?;
        let mut from = or.saturating_sub(3)..or;
        from.find(|at| material_at(lower, *at).is_some_and(|(_, length)| at + length == or))
    };
    // "nickel- and cobalt-free": one "free" behind the list clears all of it.
    let mut behind = place + length;
    while is_passed(behind) {
        behind += 1;
    }
    if lower.get(behind).is_some_and(|word| word == "free")
        // "free of gold" clears what follows and not what stands before it.
        && !lower.get(behind + 1).is_some_and(|word| word == "of" || word == "from")
    {
        return true;
    }
    let mut before = place;
    loop {
        if let Some(earlier) = joined(before) {
            before = earlier;
        } else if before > 0 && is_passed(before - 1) {
            before -= 1;
        } else {
            break;
        }
    }
    let word = before.checked_sub(1).and_then(|at| lower.get(at));
    let Some(word) = word.map(String::as_str) else {
        return false;
    };
    // "nickel-free cobalt-chromium": the word before belongs to what stands before it.
    let belongs_before = word == "free"
        && before >= 2
        && word_at(words, lower, before - 2).is_some()
        && !lower
            .get(before)
            .is_some_and(|next| next == "of" || next == "from");
    NOT.contains(&word) && !belongs_before
}

/// Whether a text names a word, a substance that is not known here, as something that is in the work.
pub fn names_word(text: &str, word: &str) -> bool {
    phrases(text).iter().any(|segment| {
        let words = tokens(segment);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        let is_there = |place: usize| {
            lower.get(place).is_some_and(|found| found == word)
                && !is_negated(&words, &lower, place, 1)
        };
        (0..words.len()).any(is_there)
    })
}
