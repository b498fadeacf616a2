//! A text about materials, cut into phrases and words.

/// The words of a text as written, without what joins or parts them.
pub(super) fn tokens(text: &str) -> Vec<String> {
    text.split(|sign: char| !sign.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Whether a "free" stands here that is said of the word before it: "free of gold" clears what follows, and a free end
/// of a ridge nothing.
pub(super) fn clears_before(lower: &[String], at: usize) -> bool {
    let word = |at: usize| lower.get(at).map(String::as_str);
    word(at) == Some("free") && !matches!(word(at + 1), Some("of" | "from" | "end"))
}

/// Answers to the word before a colon that it is not there: "mesh: none".
const NONE: &[&str] = &["none", "no", "nil", "not wanted", "n/a"];

/// A text in which an answer of none goes before what it answers.
fn with_answers(text: &str) -> String {
    let mut whole = String::new();
    let mut parts = text.split(':').peekable();
    while let Some(part) = parts.next() {
        let answer = parts.peek().map(|next| {
            let next = next.split([',', ';', '.', '\n', '+']).next();
            next.unwrap_or_default().trim().to_lowercase()
        });
        let is_none = answer.is_some_and(|answer| NONE.contains(&answer.as_str()));
        let last = part
            .rfind([',', ';', '.', '\n', '+'])
            .map_or(0, |at| at + 1);
        let (before, asked) = part.split_at(last);
        whole.push_str(before);
        whole.push_str(if is_none { " no " } else { "" });
        whole.push_str(asked);
        whole.push_str(if parts.peek().is_some() { ":" } else { "" });
    }
    whole
}

/// The phrases of a text. "No metal, wire or clasps" is one: an "or" joins the last of a list to the "no" before it.
pub fn phrases(text: &str) -> Vec<String> {
    let text = with_answers(&text.replace('&', " and ").replace("w/", " with "));
    let mut phrases: Vec<String> = Vec::new();
    for sentence in text.split([';', '.', '\n', '+', ':']) {
        let parts: Vec<&str> = sentence.split(',').collect();
        let mut from = 0;
        while let Some(first) = parts.get(from) {
            let until = denied_list(&parts, from).unwrap_or(from);
            let list = parts.get(from..=until).unwrap_or_default();
            phrases.push(match until == from {
                true => (*first).to_owned(),
                false => list.join(" or "),
            });
            from = until + 1;
        }
    }
    phrases
}

/// Where the list ends that begins with a "no" here; none where there is none.
fn denied_list(parts: &[&str], from: usize) -> Option<usize> {
    const MOST: usize = 4;
    const BETWEEN: usize = 2;
    let words = |part: &str| -> Vec<String> {
        let words = tokens(part).into_iter();
        words.map(|word| word.to_lowercase()).collect()
    };
    let first = words(parts.get(from)?);
    let begins = matches!(first.first()?.as_str(), "no" | "not" | "without" | "never");
    // "Acrylic without mesh, bar or wire": the list may begin amid a phrase.
    let amid = first
        .iter()
        .rposition(|word| matches!(word.as_str(), "no" | "without"));
    let is_amid = amid.is_some_and(|at| (at + 2..=at + 1 + BETWEEN).contains(&first.len()));
    let denies = begins || is_amid;
    let others = parts.iter().enumerate().skip(from + 1);
    let others = others.map(|(place, part)| (place, words(part)));
    for (place, words) in others.filter(|_| denies) {
        let is_last = words.iter().any(|word| word == "or" || word == "nor");
        if is_last || words.len() > BETWEEN {
            return (is_last && words.len() <= MOST).then_some(place);
        }
    }
    None
}

/// Initials without their points: "M.M.A." is one word.
pub(super) fn initials_joined(text: &str) -> String {
    let signs: Vec<char> = text.chars().collect();
    let is_alone = |place: usize| {
        let is_letter = |at: Option<usize>| {
            let sign = at.and_then(|at| signs.get(at));
            sign.is_some_and(|sign| sign.is_alphanumeric())
        };
        let here = signs.get(place).is_some_and(|sign| sign.is_alphabetic());
        here && !is_letter(place.checked_sub(1)) && !is_letter(Some(place + 1))
    };
    let is_joint = |place: usize| {
        let before = place.checked_sub(1).is_some_and(is_alone);
        signs.get(place) == Some(&'.') && before && is_alone(place + 1)
    };
    let kept = signs
        .iter()
        .enumerate()
        .filter(|(place, _)| !is_joint(*place));
    kept.map(|(_, sign)| *sign).collect()
}

/// A text without what stands in brackets: a remark on it.
pub(super) fn without_brackets(text: &str) -> String {
    let mut depth = 0usize;
    let mut kept = String::new();
    for sign in text.chars() {
        match sign {
            '(' | '[' => depth += 1,
            ')' | ']' => depth = depth.saturating_sub(1),
            _ if depth == 0 => kept.push(sign),
            _ => {}
        }
    }
    kept
}

/// What ends a phrase: a "no" before it says nothing of what comes behind.
pub(super) const BREAKS: [char; 6] = [',', ';', '.', '\n', '+', ':'];
