//! How one value is read from typed text, shown on screens and papers, and written back to a form.
//!
//! Every type of field implements [`FieldType`]. Messages are for the person who typed, and stand
//! beside the field.

use super::spec::{FieldSpec, Kind};
use crate::domain::values::digest::FileHash;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::{Decimal, Degrees, Minutes, Mm, show_hundredths};
use crate::domain::values::tooth::Numbering;
use crate::domain::values::tooth::Tooth;
use serde::{Deserialize, Serialize};

/// A value that a field can hold.
pub trait FieldType: Sized {
    /// Reads typed text that is not blank.
    fn parse(text: &str, spec: &FieldSpec, numbering: Numbering) -> Result<Self, String>;
    /// As printed, with its unit.
    fn show(&self, spec: &FieldSpec, numbering: Numbering) -> String;
    /// As typed into a form: reading it gives the same value under any setting.
    fn raw(&self, numbering: Numbering) -> String;
}

/// What is said of a line break where a name or a code is wanted.
pub(super) const ONE_LINE: &str = "This field holds one line: take out the line break or tab.";

/// One line of text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Text(String);

/// Text of several lines.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct LongText(String);

impl Text {
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl LongText {
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FieldType for Text {
    fn parse(text: &str, spec: &FieldSpec, _: Numbering) -> Result<Self, String> {
        let text = text.trim();
        if text.contains(['\n', '\r', '\t']) {
            return Err(ONE_LINE.into());
        }
        check_text(text, spec)?;
        Ok(Text(text.to_owned()))
    }
    fn show(&self, _: &FieldSpec, _: Numbering) -> String {
        self.0.clone()
    }
    fn raw(&self, _: Numbering) -> String {
        self.0.clone()
    }
}

impl FieldType for LongText {
    fn parse(text: &str, spec: &FieldSpec, _: Numbering) -> Result<Self, String> {
        // Browsers send line ends as CR LF (HTML, form submission); one form is kept.
        let text = text
            .trim()
            .replace("\r\n", "\n")
            .replace('\r', "\n")
            .replace('\t', " ");
        check_text(&text, spec)?;
        Ok(LongText(text))
    }
    fn show(&self, _: &FieldSpec, _: Numbering) -> String {
        self.0.clone()
    }
    fn raw(&self, _: Numbering) -> String {
        self.0.clone()
    }
}

/// Length, and no character that would make the printed text say something else than the typed one.
fn check_text(text: &str, spec: &FieldSpec) -> Result<(), String> {
    if let (Kind::Text { max } | Kind::LongText { max }, typed) = (spec.kind, text.chars().count())
        && typed > max
    {
        return Err(format!(
            "At most {max} characters fit here; {typed} were typed."
        ));
    }
    check_readable(text)
}

/// No character that cannot be printed, that hides, or that makes a text read as another one.
///
/// # Errors
/// A sentence for whoever typed or loaded it.
pub fn check_readable(text: &str) -> Result<(), String> {
    if text.chars().any(|c| c.is_control() && c != '\n') {
        return Err("This text holds a control character that cannot be printed.".into());
    }
    if text.chars().any(is_deceptive) {
        return Err(
            "This text holds an invisible character that changes how it reads; type it again."
                .into(),
        );
    }
    if !text.chars().any(is_visible) {
        return Err("Nothing visible was typed.".into());
    }
    Ok(())
}

/// The same for what has to be one line.
///
/// # Errors
/// A sentence for whoever typed it.
pub fn check_line(text: &str) -> Result<(), String> {
    match text.contains(['\n', '\r', '\t']) {
        true => Err(ONE_LINE.to_owned()),
        false => check_readable(text),
    }
}

/// Whether a character cannot be printed, or makes others read as what they are not.
pub fn is_unreadable(c: char) -> bool {
    c.is_control() || is_deceptive(c)
}

/// Characters that reorder their neighbours or take no room: a signed text must read as it is stored.
/// The joiners and direction marks that scripts need for spelling are not among them.
fn is_deceptive(c: char) -> bool {
    matches!(
        c,
        '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{200b}'
            | '\u{feff}'
            | '\u{fff9}'..='\u{fffb}'
            // Lines and paragraphs that end inside of a line, fillers without a shape, and tags that nobody sees.
            | '\u{2028}'..='\u{2029}'
            | '\u{180e}'
            | '\u{115f}'..='\u{1160}'
            | '\u{3164}'
            | '\u{ffa0}'
            | '\u{e0000}'..='\u{e007f}'
    )
}

fn is_visible(c: char) -> bool {
    !c.is_whitespace() && !matches!(c, '\u{200c}'..='\u{200f}' | '\u{ad}' | '\u{34f}')
}

/// A measured number: reading checks the limits of its field.
macro_rules! measured {
    ($type:ident, $limits:pat => ($min:ident, $max:ident)) => {
        impl FieldType for $type {
            fn parse(text: &str, spec: &FieldSpec, _: Numbering) -> Result<Self, String> {
                let value = $type::parse(text)?;
                if let $limits = spec.kind
                    && !($min..=$max).contains(&value.hundredths())
                {
                    return Err(out_of_range(
                        &show_hundredths($min),
                        &show_hundredths($max),
                        spec,
                        &value.to_string(),
                    ));
                }
                Ok(value)
            }
            fn show(&self, spec: &FieldSpec, _: Numbering) -> String {
                with_unit(&self.to_string(), spec)
            }
            fn raw(&self, _: Numbering) -> String {
                self.to_string()
            }
        }
    };
}
measured!(Mm, Kind::Mm { min, max } => (min, max));
measured!(Degrees, Kind::Degrees { min, max } => (min, max));
measured!(Minutes, Kind::Number { min, max } => (min, max));
measured!(Decimal, Kind::Number { min, max } => (min, max));

fn out_of_range(min: &str, max: &str, spec: &FieldSpec, typed: &str) -> String {
    let limits = with_unit(&format!("{min} to {max}"), spec);
    format!(
        "This field takes {limits}; {} was typed.",
        with_unit(typed, spec)
    )
}

/// A space before a unit, none before the degree sign.
fn with_unit(value: &str, spec: &FieldSpec) -> String {
    match spec.kind.unit() {
        "" => value.to_owned(),
        unit @ "°" => format!("{value}{unit}"),
        unit => format!("{value} {unit}"),
    }
}

/// A whole number: minutes, pieces, percent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Whole(i64);

impl Whole {
    pub fn get(self) -> i64 {
        self.0
    }
}

impl FieldType for Whole {
    fn parse(text: &str, spec: &FieldSpec, _: Numbering) -> Result<Self, String> {
        const WANTED: &str = "Write a whole number.";
        let unit = spec.kind.unit();
        let digits = text.trim().strip_suffix(unit).unwrap_or(text).trim();
        // Nine digits are more than any field allows and cannot overflow.
        if digits.len() > 9
            || digits.is_empty()
            || !digits.bytes().all(|byte| byte.is_ascii_digit())
        {
            return Err(WANTED.into());
        }
        let value = digits.parse().map_err(|_| WANTED)?;
        match spec.kind {
            Kind::Whole { min, max, .. } if !(min..=max).contains(&value) => Err(out_of_range(
                &min.to_string(),
                &max.to_string(),
                spec,
                digits,
            )),
            _ => Ok(Whole(value)),
        }
    }
    fn show(&self, spec: &FieldSpec, _: Numbering) -> String {
        with_unit(&self.0.to_string(), spec)
    }
    fn raw(&self, _: Numbering) -> String {
        self.0.to_string()
    }
}

impl FieldType for Tooth {
    fn parse(text: &str, _: &FieldSpec, numbering: Numbering) -> Result<Self, String> {
        Tooth::parse(text, numbering)
    }
    fn show(&self, _: &FieldSpec, numbering: Numbering) -> String {
        self.shown(numbering)
    }
    fn raw(&self, numbering: Numbering) -> String {
        self.number(numbering)
    }
}

impl FieldType for FileHash {
    fn parse(text: &str, _: &FieldSpec, _: Numbering) -> Result<Self, String> {
        FileHash::parse(text)
    }
    fn show(&self, _: &FieldSpec, _: Numbering) -> String {
        self.as_str().to_owned()
    }
    fn raw(&self, _: Numbering) -> String {
        self.as_str().to_owned()
    }
}

impl FieldType for Tag {
    fn parse(text: &str, _: &FieldSpec, _: Numbering) -> Result<Self, String> {
        Tag::parse(text).map_err(|error| error.to_string())
    }
    fn show(&self, _: &FieldSpec, _: Numbering) -> String {
        self.to_string()
    }
    fn raw(&self, _: Numbering) -> String {
        self.to_string()
    }
}
