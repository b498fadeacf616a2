//! Enums kept as a word and shown in words, and numbers with their noun.

use std::fmt::Display;

/// Parts of a text one after the other; a full stop stands between two, unless the first has its own end.
pub fn one_after_the_other<T: AsRef<str>>(parts: impl IntoIterator<Item = T>) -> String {
    parts.into_iter().fold(String::new(), |mut text, part| {
        let between = match text.chars().last() {
            None => "",
            Some('.' | '?' | '!') => " ",
            Some(_) => ". ",
        };
        text.push_str(between);
        text.push_str(part.as_ref());
        text
    })
}

/// The text with a capital letter at its beginning.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}

/// The text with a small letter at its beginning.
pub fn lowered(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(char::to_lowercase);
    first.into_iter().flatten().chain(letters).collect()
}

/// `1 day`, `3 days`, of a noun whose plural ends in s.
pub fn counted<N: Display + PartialEq + From<u8>>(count: N, noun: &str) -> String {
    let plural = if count == N::from(1) { "" } else { "s" };
    format!("{count} {noun}{plural}")
}

/// An enum kept as a short word in columns, forms and addresses, which is its variant in snake case, and shown
/// in plain words: `Variant = "words shown",`.
#[macro_export]
macro_rules! words_of {
    ($(#[$meta:meta])* $vis:vis enum $type:ident {
        $($(#[$of_variant:meta])* $variant:ident = $shown:literal,)+
    }) => {
        $(#[$meta])*
        #[derive(strum::VariantArray, strum::EnumString, strum::IntoStaticStr)]
        #[strum(serialize_all = "snake_case", const_into_str)]
        $vis enum $type { $($(#[$of_variant])* $variant),+ }
        impl $type {
            /// Every one, in the order in which they are declared.
            pub const ALL: &'static [$type] = <$type as strum::VariantArray>::VARIANTS;
            /// Stored word and words shown, of every one.
            pub const CHOICES: &'static [(&'static str, &'static str)] =
                &[$(($type::$variant.word(), $type::$variant.shown())),+];
            /// The stored word.
            pub const fn word(self) -> &'static str {
                self.into_str()
            }
            /// The words on screen and paper.
            pub const fn shown(self) -> &'static str {
                match self { $($type::$variant => $shown),+ }
            }
            /// Reads the stored word.
            pub fn from_word(word: &str) -> Option<$type> {
                word.parse().ok()
            }
        }
    };
}
pub use words_of;
