//! What a list of things to be avoided says the patient bears: "all metals except titanium", "nickel (titanium is
//! fine)". An exception that were read as one more thing to be avoided would keep away what alone is left.

use super::words::tokens;
use std::ops::Range;

/// Words after which stands what is borne.
const EXCEPT: &[&str] = &["except", "excepting", "besides", "außer", "ausser"];
/// The same of two words.
const EXCEPT_TWO: &[[&str; 2]] = &[
    ["other", "than"],
    ["apart", "from"],
    ["but", "not"],
    ["all", "but"],
    ["anything", "but"],
    ["everything", "but"],
    ["metals", "but"],
    ["metal", "but"],
];
/// Words before what is borne, and behind it.
const BEARS: &[&str] = &["tolerates", "bears", "verträgt"];
const BORNE: &[&str] = &["tolerated", "borne", "fine", "ok", "okay", "vertragen"];
/// Words with which such a phrase says the contrary, or does not know.
const NOT_BORNE: &[&str] = &[
    "no", "not", "never", "nor", "hardly", "badly", "poorly", "if", "whether", "nicht", "kein",
    "keine", "keinen", "schlecht", "until", "before", "once", "formerly", "earlier", "früher",
    "bis",
];
/// Words that say that nothing is known, and those that may follow them: what is excepted from that is to be avoided.
const DENIES: &[&str] = &[
    "no", "none", "nil", "nothing", "not", "never", "kein", "keine", "keinen", "nichts",
];
const OF_DENIAL: &[&str] = &[
    "known",
    "other",
    "drug",
    "allergy",
    "allergies",
    "allergic",
    "to",
    "intolerance",
    "intolerances",
    "sensitivity",
    "sensitivities",
    "reaction",
    "reactions",
    "reported",
    "listed",
    "history",
    "of",
    "anything",
    "further",
    "bekannt",
    "bekannte",
    "bekannten",
    "allergie",
    "allergien",
    "unverträglichkeit",
    "unverträglichkeiten",
];
/// Words with which something else begins: a reason, or what is not borne.
const ENDS: &[&str] = &[
    "but",
    "because",
    "due",
    "since",
    "although",
    "though",
    "however",
    "allergic",
    "allergy",
    "allergies",
    "reacts",
    "reaction",
    "reactions",
    "rash",
    "hives",
    "swelling",
    "anaphylaxis",
    "weil",
    "wegen",
    "aber",
    "allergisch",
    "allergie",
];

/// Words between a name and what says that it is borne: "titanium is fine".
const IS: &[&str] = &["is", "are", "well", "gut", "wird"];
/// What joins two names.
const AND: &[&str] = &["and", "or", "und", "oder"];

/// From where to where in a phrase stands what is borne; none where it says nothing of the kind. Of words in a row
/// without an "and" only the last is: "nickel, titanium ok" may have lost its comma.
fn borne_in(lower: &[String]) -> Option<Range<usize>> {
    let word = |at: usize| lower.get(at).map(String::as_str).unwrap_or_default();
    let is_sure = !lower.iter().any(|word| NOT_BORNE.contains(&word.as_str()));
    let mut places = 0..lower.len();
    // Of "nothing known except nickel", nickel is what is to be avoided.
    let is_of_nothing = |at: usize| {
        let mut before = lower.iter().take(at).map(String::as_str).peekable();
        before.peek().is_some_and(|first| DENIES.contains(first))
            && before.all(|word| DENIES.contains(&word) || OF_DENIAL.contains(&word))
    };
    let end_after = |at: usize| {
        let mut behind = at..lower.len();
        behind
            .find(|at| ENDS.contains(&word(*at)))
            .unwrap_or(lower.len())
    };
    let exception = places.clone().find_map(|at| {
        let is_two = EXCEPT_TWO.contains(&[word(at), word(at + 1)]);
        let is_one = EXCEPT.contains(&word(at));
        ((is_one || is_two) && !is_of_nothing(at)).then(|| at..end_after(at + 2))
    });
    let before = places.clone().find(|at| BEARS.contains(&word(*at)));
    let behind = places.find(|at| BORNE.contains(&word(*at)));
    let borne_behind = || {
        let end = behind.filter(|_| is_sure)?;
        let mut from = end;
        while from > 0 && IS.contains(&word(from - 1)) {
            from -= 1;
        }
        from = from.checked_sub(1)?;
        while from > 1 && AND.contains(&word(from - 1)) {
            from -= 2;
        }
        Some(from..end + 1)
    };
    let borne_before = before.filter(|_| is_sure).map(|at| at..end_after(at + 1));
    exception.or(borne_before).or_else(borne_behind)
}

/// What alone is said to be borne, in the words of the text: "tolerates only titanium".
pub fn borne_alone(text: &str) -> Option<String> {
    text.split(BREAKS).find_map(|part| {
        let words = tokens(part);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        let here = borne_in(&lower).filter(|_| is_alone(&lower))?;
        let is_name = |word: &&String| {
            let word = word.to_lowercase();
            let around = [BEARS, BORNE, EXCEPT, ALONE, IS].concat();
            !around.contains(&word.as_str())
        };
        let said = words.get(here)?.iter().filter(is_name);
        let said: Vec<&str> = said.map(String::as_str).collect();
        (!said.is_empty()).then(|| said.join(" "))
    })
}

/// Words that leave nothing else.
const ALONE: &[&str] = &["only", "nur"];
const BREAKS: [char; 6] = [',', ';', '.', '\n', '(', ')'];

fn is_alone(lower: &[String]) -> bool {
    lower.iter().any(|word| ALONE.contains(&word.as_str()))
}

/// A list of what is to be avoided without its exceptions, and these.
pub fn without_exceptions(text: &str) -> (String, String) {
    let (mut kept, mut borne) = (String::new(), String::new());
    for part in text.split_inclusive(BREAKS) {
        let words = tokens(part);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        // What is asked is not known.
        let found = borne_in(&lower).filter(|_| !part.contains('?'));
        let Some(here) = found else {
            kept.push_str(part);
            continue;
        };
        let said = |from: usize, to: usize| words.get(from..to).unwrap_or_default().join(" ");
        // The "only" of "only tolerates titanium" is kept apart.
        let before = words.iter().take(here.start);
        let before = before.filter(|word| !ALONE.contains(&word.to_lowercase().as_str()));
        let before: Vec<&str> = before.map(String::as_str).collect();
        kept.push_str(&before.join(" "));
        kept.push(' ');
        kept.push_str(&said(here.end, words.len()));
        kept.extend(
            part.chars()
                .next_back()
                .filter(|sign| BREAKS.contains(sign)),
        );
        borne.push_str(&said(here.start, here.end));
        borne.push_str(", ");
    }
    (kept, borne)
}
