//! Enums kept as a word and shown in words.

/// An enum kept as a short word in columns, forms and addresses, and shown in plain words.
macro_rules! words_of {
    ($type:ident { $($variant:ident = $word:literal, $shown:literal;)+ }) => {
        impl $type {
            pub const ALL: &'static [$type] = &[$($type::$variant),+];
            /// The stored word.
            pub fn word(self) -> &'static str {
                match self { $($type::$variant => $word),+ }
            }
            /// The words on screen and paper.
            pub fn shown(self) -> &'static str {
                match self { $($type::$variant => $shown),+ }
            }
            /// Reads the stored word.
            pub fn from_word(word: &str) -> Option<$type> {
                match word { $($word => Some($type::$variant),)+ _ => None }
            }
        }
    };
}
pub(crate) use words_of;
