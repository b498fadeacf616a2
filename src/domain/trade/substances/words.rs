//! A text about materials, cut into phrases and words.

/// The words of a text as written, without what joins or parts them.
pub(super) fn tokens(text: &str) -> Vec<String> {
    text.split(|sign: char| !sign.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// What ends a phrase: a "no" before it says nothing of what comes behind.
pub(super) const BREAKS: [char; 6] = [',', ';', '.', '\n', '+', ':'];
