//! Whether what a text names is said not to be there.

use super::material::{Family, entry};
use super::naming::material_at;
use super::substance::{Substance, word_at};
use super::words::{clears_before, phrases, tokens};

/// Words before a name that say it is not there. "Free" and "instead" deny only with an "of" or "from" behind them.
pub(super) const NOT: &[&str] = &[
    "no", "non", "not", "never", "without", "avoid", "avoiding", "exclude", "excluded", "instead",
    "free",
];
/// Words that may stand between a name and the word that denies it.
const BETWEEN: &[&str] = &["and", "or", "of", "from", "any", "nor", "a", "an", "the"];
/// Words between a name and what refuses it behind: "NiCr is not to be used".
const AUXILIARY: &[&str] = &[
    "is", "are", "be", "must", "may", "should", "shall", "can", "to",
];
/// What a "not" behind a name refuses.
const REFUSED: &[&str] = &[
    "wanted",
    "used",
    "allowed",
    "permitted",
    "ordered",
    "wished",
];

fn word(lower: &[String], at: usize) -> &str {
    lower.get(at).map(String::as_str).unwrap_or_default()
}

/// Whether a word denies what follows from `next` on.
fn denies(word: &str, next: &str) -> bool {
    let wants_of = matches!(word, "free" | "instead");
    NOT.contains(&word) && (!wants_of || matches!(next, "of" | "from"))
}

/// Whether the name at these words is cleared by a "free" behind it. It clears the one word before it, or an alloy
/// of two substances, and of a list the substances that are no material of the work: "cold-cured resin MMA-free"
/// keeps its resin, "nickel- and cobalt-free" has neither.
fn is_free(words: &[String], lower: &[String], place: usize, length: usize) -> bool {
    let behind = place + length;
    let substance_at = |at: usize| word_at(words, lower, at).map(|(_, length)| length);
    let is_work = material_at(lower, place).is_some_and(|(material, _)| {
        let family = entry(material).family;
        matches!(family, Family::Resin | Family::Alloy | Family::Teeth)
    });
    if clears_before(lower, behind) {
        let is_alloy = length == 2 && (place..behind).all(|at| substance_at(at) == Some(1));
        return !is_work || length == 1 || is_alloy || substance_at(place) == Some(length);
    }
    if is_work || substance_at(place) != Some(length) {
        return false;
    }
    let mut at = behind;
    while matches!(word(lower, at), "and" | "or" | "nor") {
        let Some(next) = substance_at(at + 1) else {
            return false;
        };
        at += 1 + next;
    }
    at > behind && clears_before(lower, at)
}

/// Whether what stands behind a name refuses it: "nickel must not be used", "NiCr not wanted".
fn is_refused(lower: &[String], behind: usize) -> bool {
    let skip = |mut at: usize| {
        while AUXILIARY.contains(&word(lower, at)) {
            at += 1;
        }
        at
    };
    let denied = skip(behind);
    let is_not = matches!(word(lower, denied), "not" | "cannot" | "never");
    let said = word(lower, if is_not { skip(denied + 1) } else { denied });
    match is_not {
        true => REFUSED.contains(&said),
        false => matches!(said, "excluded" | "forbidden" | "refused" | "unwanted"),
    }
}

/// Whether what stands at these words is said not to be there.
pub(super) fn is_negated(words: &[String], lower: &[String], place: usize, length: usize) -> bool {
    if is_free(words, lower, place, length) || is_refused(lower, place + length) {
        return true;
    }
    let is_passed =
        |at: usize| BETWEEN.contains(&word(lower, at)) || word_at(words, lower, at).is_some();
    // "without veins or stains": a material is passed over where an "or" joins it to what follows.
    let is_or = |at: usize| matches!(word(lower, at), "or" | "nor");
    let joined = |before: usize| {
        let or = before.checked_sub(1).filter(|at| is_or(*at))?;
        let mut from = or.saturating_sub(3)..or;
        from.find(|at| material_at(lower, *at).is_some_and(|(_, length)| at + length == or))
    };
    // "Do not use nickel": a verb is passed over where a "not" stands before it.
    let is_verb = |at: usize| {
        let is_denied = at > 0 && matches!(word(lower, at - 1), "not" | "never" | "avoid");
        is_denied && matches!(word(lower, at), "use" | "using" | "add" | "adding")
    };
    let mut before = place;
    loop {
        if let Some(earlier) = joined(before) {
            before = earlier;
        } else if before > 0 && (is_passed(before - 1) || is_verb(before - 1)) {
            before -= 1;
        } else {
            break;
        }
    }
    let said = before.checked_sub(1).map(|at| word(lower, at));
    said.is_some_and(|said| denies(said, word(lower, before)))
}

/// The substances that a text says are not to be there: "no nickel please", "nickel-free".
pub fn denied_in(text: &str) -> Vec<Substance> {
    let mut denied = Vec::new();
    for segment in phrases(text) {
        let words = tokens(&segment);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        for place in 0..words.len() {
            let found = word_at(&words, &lower, place);
            let found = found.filter(|(_, length)| is_negated(&words, &lower, place, *length));
            denied.extend(found.map(|(substance, _)| substance));
        }
    }
    denied
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
