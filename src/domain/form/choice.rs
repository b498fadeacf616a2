//! Fields that are chosen from a list: the list, the stored word and the words shown in one place.

/// Makes an enum of words (see `words_of!`) a type of field.
macro_rules! choice_field {
    ($type:ident) => {
        impl $type {
            /// How a form asks for it.
            pub const KIND: $crate::domain::form::Kind =
                $crate::domain::form::Kind::Choice($type::CHOICES);
        }
        $crate::domain::form::choice_reading!($type);
    };
}

/// Reading and showing of a chosen word.
macro_rules! choice_reading {
    ($type:ident) => {
        impl $crate::domain::form::FieldType for $type {
            fn parse(
                text: &str,
                spec: &$crate::domain::form::FieldSpec,
                _: $crate::domain::values::tooth::Numbering,
            ) -> Result<Self, String> {
                $crate::domain::form::chosen(text.trim(), spec, $type::from_word)
            }
            fn show(
                &self,
                _: &$crate::domain::form::FieldSpec,
                _: $crate::domain::values::tooth::Numbering,
            ) -> String {
                self.shown().to_owned()
            }
            fn raw(&self, _: $crate::domain::values::tooth::Numbering) -> String {
                self.word().to_owned()
            }
        }
    };
}

/// An enum of choices: `Variant = "stored word", "words shown";`
macro_rules! choices {
    ($($(#[$doc:meta])* $type:ident { $($variant:ident = $word:literal, $shown:literal;)+ })+) => {$(
        $crate::domain::values::words_of! {
            $(#[$doc])*
            #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
            pub enum $type { $(#[serde(rename = $word)] #[strum(serialize = $word)] $variant = $shown,)+ }
        }
        $crate::domain::form::choice_field!($type);
    )+};
}

/// What a word of a list stands for, if the field offers it.
///
/// # Errors
/// What is said where nothing is chosen, or a sentence for any list.
pub fn chosen<T>(
    word: &str,
    spec: &FieldSpec,
    from_word: impl FnOnce(&str) -> Option<T>,
) -> Result<T, String> {
    let is_offered = match spec.kind {
        Kind::Choice(offered) => offered.iter().any(|(one, _)| *one == word),
        _ => true,
    };
    let wanted = match spec.needed {
        "" => "Choose one of the list.",
        needed => needed,
    };
    from_word(word)
        .filter(|_| is_offered)
        .ok_or_else(|| wanted.to_owned())
}

pub(crate) use choice_field;
pub(crate) use choice_reading;
pub(crate) use choices;

use super::spec::{FieldSpec, Kind};
use crate::domain::values::arch::{Arch, Arches};

choice_field!(Arch);
choice_field!(Arches);

choices! {
    /// Yes or no; unanswered is `None`.
    YesNo { Yes = "yes", "yes"; No = "no", "no"; }
}

impl YesNo {
    /// Asked with two buttons and not with a list.
    pub const ASKED: Kind = Kind::YesNo;

    pub fn is_yes(self) -> bool {
        self == YesNo::Yes
    }
}

use crate::domain::values::tooth::{Numbering, PatientSide};

choice_field!(PatientSide);
choice_field!(Numbering);
