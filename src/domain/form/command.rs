//! Forms that ask for one action: a list of fields makes the typed command, its fields and its reader.
//!
//! Unlike the parts of a prescription, which may be filled in any order and over days, a command is read as a
//! whole: it is there when nothing is wrong with it, and otherwise each fault stands beside its field. A form with
//! rows (one for each item, each parcel) reads a command once for each of them, under the row's own key.

use super::choice::YesNo;
use super::field_type::{FieldType, ONE_LINE, check_readable};
use super::secret::Secret;
use super::spec::{FieldSpec, Kind, Raw};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{
    AccountId, DeviceId, EventId, HoldId, PartyId, PatientCode, TimerId,
};
use crate::domain::values::tooth::Numbering;

/// A list of fields as a form holds it: once, or once for each of its rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FieldSet {
    /// What stands before the keys: empty, or `box.#.`, where `#` stands for the row.
    pub under: &'static str,
    pub fields: &'static [FieldSpec],
}

impl FieldSet {
    pub const fn once(fields: &'static [FieldSpec]) -> FieldSet {
        FieldSet { under: "", fields }
    }

    /// The field that has this key in a form, whichever row it stands in.
    pub fn find(&self, key: &str) -> Option<&'static FieldSpec> {
        let (before, after) = self.under.split_once('#').unwrap_or((self.under, ""));
        let rest = key.strip_prefix(before)?;
        let rest = match self.under.contains('#') {
            true => rest.split_once(after)?.1,
            false => rest,
        };
        self.fields.iter().find(|spec| spec.key == rest)
    }
}

/// A whole form as it is posted.
pub trait Form: Sized {
    /// Every list of fields that it may hold.
    fn field_sets() -> Vec<FieldSet>;

    /// The command, if nothing is wrong with it.
    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<Self>;
}

/// The keys of the rows of which a form says something under this last part: `21` of `21.take`.
pub fn rows_with<'a>(raw: &'a Raw, last: &'a str) -> impl Iterator<Item = &'a str> {
    raw.keys()
        .filter_map(move |key| key.strip_suffix(last)?.strip_suffix('.'))
}

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
        match spec.kind {
            Kind::Csv { bytes } => return list_of_rows(typed, bytes),
            // It is compared with what is there and shown nowhere: a message would have no place.
            Kind::Hidden => return Ok(typed.to_owned()),
            Kind::Text { .. } | Kind::Name { .. } if typed.contains(['\n', '\r', '\t']) => {
                return Err(ONE_LINE.to_owned());
            }
            _ => {}
        }
        let text = typed.replace("\r\n", "\n").replace('\r', "\n");
        let most = match spec.kind {
            Kind::Text { max }
            | Kind::LongText { max }
            | Kind::Name { max }
            | Kind::Address { max } => max,
            _ => usize::MAX,
        };
        let length = text.chars().count();
        if length > most {
            return Err(format!("At most {most} characters; these are {length}."));
        }
        if !text.is_empty() {
            check_readable(&text)?;
        }
        Ok(text)
    }
}

/// What stands in a list is said by whoever reads its rows.
fn list_of_rows(typed: &str, most: usize) -> Result<String, String> {
    if typed.len() > most {
        return Err(format!(
            "This list has {} KB; at most {} KB are taken. Nothing of it was stored.",
            typed.len().div_ceil(1024),
            most / 1024
        ));
    }
    Ok(typed.to_owned())
}

impl Slot for bool {
    fn read(typed: &str, _: &FieldSpec) -> Result<bool, String> {
        Ok(typed == YesNo::Yes.word())
    }
}

/// A password is taken as it was typed, blanks and all.
impl Slot for Secret {
    fn read(typed: &str, _: &FieldSpec) -> Result<Secret, String> {
        Ok(Secret::new(typed))
    }
}

/// What a page carries to notice that it is stale; whoever sends nonsense has seen no version.
impl Slot for i64 {
    fn read(typed: &str, _: &FieldSpec) -> Result<i64, String> {
        Ok(typed.parse().unwrap_or(0))
    }
}

impl Slot for Option<u32> {
    fn read(typed: &str, spec: &FieldSpec) -> Result<Option<u32>, String> {
        if typed.is_empty() {
            return Ok(None);
        }
        // A number with its unit behind it, such as `10 min`, is that number.
        let unit = spec.kind.unit();
        let number: Option<u32> = typed
            .strip_suffix(unit)
            .unwrap_or(typed)
            .trim()
            .parse()
            .ok();
        let (number, wanted) = match spec.kind {
            // As with a version: nonsense names nothing.
            Kind::Hidden => return Ok(number),
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

impl Slot for PatientCode {
    fn read(typed: &str, _: &FieldSpec) -> Result<PatientCode, String> {
        PatientCode::parse(typed).map_err(|error| error.to_string())
    }
}

/// Identifiers that a page carries along or offers in a list: whoever sends nonsense has named nothing that is there.
macro_rules! id_slots {
    ($($name:ident),*) => {
        $(
            impl Slot for $name {
                fn read(typed: &str, _: &FieldSpec) -> Result<$name, String> {
                    Ok($name::new(typed))
                }
            }

            impl Slot for Option<$name> {
                fn read(typed: &str, _: &FieldSpec) -> Result<Option<$name>, String> {
                    Ok((!typed.is_empty()).then(|| $name::new(typed)))
                }
            }
        )*
    };
}

id_slots!(AccountId, DeviceId, EventId, HoldId, PartyId, TimerId);

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

/// Where a command needs it, there is no empty answer.
impl<T: FieldType> Slot for T {
    fn read(typed: &str, spec: &FieldSpec) -> Result<T, String> {
        T::parse(typed, spec, Numbering::Iso3950)
    }
}

/// Reads one field of a command, under the key of its row; what is wrong with it is noted.
pub fn slot<T: Slot>(
    raw: &Raw,
    under: &str,
    spec: Option<&FieldSpec>,
    faults: &mut Vec<Fault>,
) -> Option<T> {
    let spec = spec?;
    let key = format!("{under}{}", spec.key);
    let typed = raw.get(&key).map_or("", String::as_str);
    let typed = match spec.kind {
        Kind::Secret { .. } => typed,
        Kind::Csv { .. } if !typed.trim().is_empty() => typed,
        _ => typed.trim(),
    };
    let read = if typed.is_empty() && !spec.needed.is_empty() {
        Err(spec.needed.to_owned())
    } else {
        T::read(&spec.kind.as_read(typed), spec)
    };
    read.map_err(|why| faults.push(Fault::new(key, why))).ok()
}

/// The key of a field: its name, or another word where the name is none in Rust.
pub const fn key_of(name: &'static str, given: &'static str) -> &'static str {
    if given.is_empty() { name } else { given }
}

/// The text that is given, or none.
#[macro_export]
macro_rules! one_or_none {
    () => {
        ""
    };
    ($text:expr) => {
        $text
    };
}

/// A command: `field: Type = kind, "Label", "Hint";` with `, needed "What is said where it is empty."`, and with
/// `, key "word"` where its key is not its name.
#[macro_export]
macro_rules! command {
    (
        $(#[$doc:meta])*
        $name:ident;
        $($field:ident: $type:ty = $kind:expr, $label:literal, $hint:expr $(, needed $needed:expr)? $(, key $key:literal)?;)*
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub struct $name {
            $(
                #[doc = concat!("What the form says under `", stringify!($field), "`. ", $label)]
                pub $field: $type,
            )*
        }

        impl $name {
            $(
                #[doc = concat!("The entry of the field “", $label, "”.")]
                pub const fn $field() -> &'static $crate::domain::form::FieldSpec {
                    const SPEC: $crate::domain::form::FieldSpec = $crate::domain::form::FieldSpec {
                        key: $crate::domain::form::key_of(stringify!($field), concat!($($key)?)),
                        label: $label,
                        hint: $hint,
                        kind: $kind,
                        required_for_signing: false,
                        needed: $crate::domain::form::one_or_none!($($needed)?),
                    };
                    &SPEC
                }
            )*

            /// What the form asks for, in its order.
            pub const FIELDS: &'static [$crate::domain::form::FieldSpec] =
                &[$(*Self::$field(),)*];

            /// The command, if nothing is wrong with it.
            pub fn read(
                raw: &$crate::domain::form::Raw,
                faults: &mut Vec<$crate::domain::values::fault::Fault>,
            ) -> Option<$name> {
                Self::read_under(raw, "", faults)
            }

            /// The same of one row, whose keys begin with `under`.
            pub fn read_under(
                raw: &$crate::domain::form::Raw,
                under: &str,
                faults: &mut Vec<$crate::domain::values::fault::Fault>,
            ) -> Option<$name> {
                let mut specs = Self::FIELDS.iter();
                $(let $field = $crate::domain::form::slot::<$type>(raw, under, specs.next(), faults);)*
                Some($name { $($field: $field?,)* })
            }
        }

        impl $crate::domain::form::Form for $name {
            fn field_sets() -> Vec<$crate::domain::form::FieldSet> {
                vec![$crate::domain::form::FieldSet::once(Self::FIELDS)]
            }

            fn read(
                raw: &$crate::domain::form::Raw,
                faults: &mut Vec<$crate::domain::values::fault::Fault>,
            ) -> Option<$name> {
                $name::read(raw, faults)
            }
        }
    };
}

pub use command;
pub use one_or_none;

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

    #[test]
    fn a_number_is_read_in_the_figures_of_any_keyboard_and_a_name_stays() {
        for pieces in ["12", "١٢", "۱۲", "１２"] {
            let sample = read(&[("how", "٤"), ("maker", "２"), ("pieces", pieces)]).unwrap();
            assert_eq!(
                (sample.pieces, sample.how.as_str(), sample.maker.as_str()),
                (12, "٤", "２")
            );
        }
        assert_eq!(
            read(&[("how", "cut"), ("pieces", "②")]).unwrap_err().len(),
            1
        );
    }

    #[test]
    fn a_row_is_read_under_its_own_key_and_its_fields_are_found_by_it() {
        let typed = [("2.how", "cut"), ("2.pieces", "x"), ("how", "")];
        let raw: Raw = typed
            .iter()
            .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
            .collect();
        let rows: Vec<&str> = rows_with(&raw, "how").collect();
        assert_eq!(rows, ["2"]);
        let mut faults = Vec::new();
        assert_eq!(Sample::read_under(&raw, "2.", &mut faults), None);
        assert_eq!(faults.len(), 1);
        assert_eq!(
            faults.first().map(|fault| fault.key.as_str()),
            Some("2.pieces")
        );
        let set = FieldSet {
            under: "box.#.",
            fields: Sample::FIELDS,
        };
        let found = |key: &str| set.find(key).map(|spec| spec.key);
        assert_eq!(found("box.2.how"), Some("how"));
        assert_eq!(found("box.how"), None);
        assert_eq!(found("how"), None);
        assert_eq!(
            FieldSet::once(Sample::FIELDS)
                .find("how")
                .map(|spec| spec.key),
            Some("how")
        );
    }
}
