//! Forms that ask for one deed: a list of fields makes the typed command, its fields and its reader.
//!
//! Unlike the parts of a prescription, which may be filled in any order and over days, a command is read as a
//! whole: it is there when nothing is wrong with it, and otherwise each fault stands beside its field.

use super::choice::YesNo;
use super::field_type::{FieldType, check_readable};
use super::spec::{FieldSpec, Kind, Raw};
use crate::domain::values::fault::Fault;
use crate::domain::values::tooth::Numbering;

/// What a field of a command holds.
pub trait Slot: Sized {
    /// Reads what was typed, trimmed; it may be empty.
    ///
    /// # Errors
    /// A sentence for whoever typed it.
    fn read(typed: &str, spec: &FieldSpec) -> Result<Self, String>;
}

impl Slot for String {
    fn read(typed: &str, spec: &FieldSpec) -> Result<String, String> {
        let text = typed.replace("\r\n", "\n").replace('\r', "\n");
        let most = match spec.kind {
            Kind::Text { max } | Kind::LongText { max } | Kind::Name { max } => max,
            _ => usize::MAX,
        };
        if text.chars().count() > most {
            return Err(format!("At most {most} characters."));
        }
        if !text.is_empty() {
            check_readable(&text)?;
        }
        Ok(text)
    }
}

impl Slot for bool {
    fn read(typed: &str, _: &FieldSpec) -> Result<bool, String> {
        Ok(typed == YesNo::Yes.word())
    }
}

impl Slot for Option<u32> {
    fn read(typed: &str, spec: &FieldSpec) -> Result<Option<u32>, String> {
        if typed.is_empty() {
            return Ok(None);
        }
        let number: Option<u32> = typed.parse().ok();
        let (number, wanted) = match spec.kind {
            Kind::Whole { min, max, .. } => (
                number.filter(|number| (min..=max).contains(&i64::from(*number))),
                format!("A whole number from {min} to {max}."),
            ),
            // A numbered list, such as that of the complaints.
            Kind::Choice(listed) => (
                number.filter(|_| listed.iter().any(|(word, _)| *word == typed)),
                "Choose one of the list.".to_owned(),
            ),
            _ => (number, "Write a whole number.".to_owned()),
        };
        number.map(Some).ok_or(wanted)
    }
}

impl Slot for u32 {
    fn read(typed: &str, spec: &FieldSpec) -> Result<u32, String> {
        let number: Option<u32> = Slot::read(typed, spec)?;
        number.ok_or_else(|| spec.needed.to_owned())
    }
}

/// Whatever a prescription can hold, a command can hold: a tag, a measure, a day, a word of a list. No command
/// asks for tooth numbers yet, so that a party's own numbering does not matter.
impl<T: FieldType> Slot for Option<T> {
    fn read(typed: &str, spec: &FieldSpec) -> Result<Option<T>, String> {
        if typed.is_empty() {
            return Ok(None);
        }
        T::parse(typed, spec, Numbering::Iso3950).map(Some)
    }
}

/// Reads one field of a command; what is wrong with it is noted.
pub fn slot<T: Slot>(raw: &Raw, spec: Option<&FieldSpec>, faults: &mut Vec<Fault>) -> Option<T> {
    let spec = spec?;
    let typed = raw.get(spec.key).map_or("", |text| text.trim());
    let read = if typed.is_empty() && !spec.needed.is_empty() {
        Err(spec.needed.to_owned())
    } else {
        T::read(typed, spec)
    };
    read.map_err(|why| faults.push(Fault::new(spec.key, why)))
        .ok()
}

/// A command: `field: Type = kind, "Label", "Hint";` with `, needed "What is said where it is empty."`
macro_rules! command {
    (
        $(#[$doc:meta])*
        $name:ident;
        $($field:ident: $type:ty = $kind:expr, $label:literal, $hint:literal $(, needed $needed:literal)?;)*
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub struct $name {
            $(
                #[doc = $label]
                pub $field: $type,
            )*
        }

        impl $name {
            /// What the form asks for, in its order.
            pub const FIELDS: &'static [$crate::domain::form::FieldSpec] = &[
                $($crate::domain::form::FieldSpec {
                    key: stringify!($field),
                    label: $label,
                    hint: $hint,
                    kind: $kind,
                    required_for_signing: false,
                    needed: concat!($($needed)?),
                },)*
            ];

            /// The command, if nothing is wrong with it.
            pub fn read(
                raw: &$crate::domain::form::Raw,
                faults: &mut Vec<$crate::domain::values::fault::Fault>,
            ) -> Option<$name> {
                let mut specs = Self::FIELDS.iter();
                $(let $field = $crate::domain::form::slot::<$type>(raw, specs.next(), faults);)*
                Some($name { $($field: $field?,)* })
            }
        }
    };
}

pub(crate) use command;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::{name, text, whole};

    command! {
        /// For the tests.
        Sample;
        how: String = text(5), "How", "", needed "Say how.";
        maker: String = name(5), "Maker", "";
        pieces: u32 = whole(1, 99, ""), "Pieces", "", needed "Count the pieces.";
        consent: bool = Kind::Tick, "Consent", "";
    }

    fn read(typed: &[(&str, &str)]) -> Result<Sample, Vec<(String, String)>> {
        let typed = typed.iter();
        let raw = typed.map(|(key, text)| ((*key).to_owned(), (*text).to_owned()));
        let mut faults = Vec::new();
        Sample::read(&raw.collect(), &mut faults)
            .filter(|_| faults.is_empty())
            .ok_or_else(|| {
                let faults = faults.into_iter();
                faults.map(|fault| (fault.key, fault.message)).collect()
            })
    }

    #[test]
    fn a_command_is_there_when_nothing_is_wrong_and_every_fault_is_named() {
        let whole = [("how", " cut "), ("pieces", "4"), ("consent", "yes")];
        let sample = read(&whole).unwrap();
        assert_eq!(
            (
                sample.how.as_str(),
                sample.maker.as_str(),
                sample.pieces,
                sample.consent
            ),
            ("cut", "", 4, true)
        );
        let wrong = read(&[
            ("how", "too long"),
            ("maker", "a\u{202e}b"),
            ("pieces", "100"),
        ]);
        let keys: Vec<String> = wrong.unwrap_err().into_iter().map(|(key, _)| key).collect();
        assert_eq!(keys, ["how", "maker", "pieces"]);
        let said = |key: &str, message: &str| (key.to_owned(), message.to_owned());
        assert_eq!(
            read(&[]).unwrap_err(),
            [said("how", "Say how."), said("pieces", "Count the pieces.")]
        );
    }
}
