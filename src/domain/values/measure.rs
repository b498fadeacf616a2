//! Measured numbers as people write them: fixed point, two decimals, comma or point.
//!
//! A number is kept as a whole count of hundredths and stored as decimal text ("3.5"), so that the
//! canonical form of a document never depends on how a floating-point number is printed, and two
//! readings compare exactly. Whoever computes with it asks for `to_f64`.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Digits before the decimal sign. Nothing measured in a mouth or on an articulator needs more; the
/// limit keeps every sum of hundredths far inside 64 bits.
const WHOLE_DIGITS: usize = 6;

const NOT_A_NUMBER: &str = "Write a number, such as 3.5 or 3,5.";

/// Reads a decimal number as hundredths. `units` are the spellings that may follow it.
pub fn parse_hundredths(typed: &str, units: &[&str]) -> Result<i64, String> {
    let text = strip_unit(typed.trim(), units);
    let (negative, digits) = split_sign(text);
    if let Some(unit) = other_unit(digits) {
        let wanted = units
            .last()
            .map_or(String::new(), |unit| format!(" in {unit}"));
        return Err(format!(
            "“{unit}” is not converted: write the number{wanted}, without another unit."
        ));
    }
    let (whole, decimals) = match digits.split_once(['.', ',']) {
        Some((_, rest)) if rest.contains(['.', ',']) => {
            return Err(
                "Write the number with one decimal sign and without thousands marks.".into(),
            );
        }
        Some((whole, decimals)) => (whole, decimals),
        None => (digits, ""),
    };
    let all_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty()
        || !all_digits(whole)
        || !all_digits(decimals)
        || digits.ends_with(['.', ','])
    {
        return Err(NOT_A_NUMBER.into());
    }
    if decimals.len() > 2 {
        return Err("At most two decimals can be kept.".into());
    }
    if whole.trim_start_matches('0').len() > WHOLE_DIGITS {
        return Err("This number is too large.".into());
    }
    let units: i64 = whole.parse().map_err(|_| NOT_A_NUMBER)?;
    let parts: i64 = format!("{decimals:0<2}")
        .parse()
        .map_err(|_| NOT_A_NUMBER)?;
    let hundredths = units * 100 + parts;
    Ok(if negative { -hundredths } else { hundredths })
}

/// `text` without a unit at its end.
fn strip_unit<'a>(text: &'a str, units: &[&str]) -> &'a str {
    let before = |unit: &&str| {
        let start = text.len().checked_sub(unit.len())?;
        let tail = text.get(start..)?;
        tail.eq_ignore_ascii_case(unit)
            .then(|| text.get(..start))
            .flatten()
    };
    units.iter().find_map(before).unwrap_or(text).trim_end()
}

/// What stands after a number as if it were its unit: centimetres and inches are refused by name, since
/// nobody may guess whether the number or the unit was meant.
fn other_unit(digits: &str) -> Option<&str> {
    let unit = digits.trim_start_matches(|c: char| c.is_ascii_digit() || ".,".contains(c));
    let is_unit = unit.len() < digits.len()
        && unit.chars().count() <= 12
        && unit
            .trim_start()
            .chars()
            .all(|c| c.is_alphabetic() || "'\"″′°%".contains(c));
    let unit = unit.trim_start();
    (is_unit && !unit.is_empty()).then_some(unit)
}

/// The sign and the rest; the minus sign of typesetters (U+2212) is as good as the hyphen.
fn split_sign(text: &str) -> (bool, &str) {
    for (sign, negative) in [("-", true), ("\u{2212}", true), ("+", false)] {
        if let Some(rest) = text.strip_prefix(sign) {
            return (negative, rest.trim_start());
        }
    }
    (false, text)
}

/// A computed number as people write it, to one decimal: nothing computed here is surer than that.
/// What is no number is said to be unknown.
pub fn tenths(value: f64) -> String {
    if !value.is_finite() {
        return "unknown".to_owned();
    }
    show_hundredths(((value * 10.0).round() as i64).saturating_mul(10))
}

/// Hundredths as the shortest decimal text: `3.5`, `-0.25`, `12`.
pub fn show_hundredths(hundredths: i64) -> String {
    let mut text = String::new();
    push_hundredths(&mut text, hundredths);
    text
}

/// The same at the end of a longer text: a drawing has some thousand of them.
pub fn push_hundredths(text: &mut String, hundredths: i64) {
    if hundredths < 0 {
        text.push('-');
    }
    let size = hundredths.unsigned_abs();
    push_whole(text, size / 100);
    let (tenths, rest) = (size % 100 / 10, size % 10);
    if tenths > 0 || rest > 0 {
        text.push('.');
        push_figure(text, tenths);
    }
    if rest > 0 {
        push_figure(text, rest);
    }
}

fn push_whole(text: &mut String, number: u64) {
    if number > 9 {
        push_whole(text, number / 10);
    }
    push_figure(text, number % 10);
}

/// One figure, 0 to 9.
fn push_figure(text: &mut String, figure: u64) {
    text.extend(char::from_digit(figure as u32, 10));
}

/// A fixed-point type of one unit each, so that degrees cannot be passed where millimetres belong.
macro_rules! fixed_point {
    ($(#[$doc:meta])* $name:ident, $units:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(i64);

        impl $name {
            /// The spellings of the unit that may follow a typed number.
            pub const UNITS: &'static [&'static str] = $units;

            pub const fn from_hundredths(hundredths: i64) -> Self {
                $name(hundredths)
            }
            pub const fn hundredths(self) -> i64 {
                self.0
            }
            /// For computing; the stored number stays exact.
            pub fn to_f64(self) -> f64 {
                self.0 as f64 / 100.0
            }
            /// Reads what was typed, with or without its unit.
            pub fn parse(typed: &str) -> Result<Self, String> {
                parse_hundredths(typed, Self::UNITS).map($name)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&show_hundredths(self.0))
            }
        }

        impl TryFrom<String> for $name {
            type Error = String;
            fn try_from(text: String) -> Result<Self, String> {
                parse_hundredths(&text, &[]).map($name)
            }
        }

        impl From<$name> for String {
            fn from(value: $name) -> String {
                value.to_string()
            }
        }
    };
}

fixed_point!(
    /// Millimetres.
    Mm, &["millimetres", "millimeters", "mm"]
);
fixed_point!(
    /// Degrees of angle.
    Degrees, &["degrees", "deg", "\u{b0}"]
);
fixed_point!(
    /// Minutes.
    Minutes, &["minutes", "min"]
);
fixed_point!(
    /// A plain number, such as a colour coordinate.
    Decimal, &[]
);

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn comma_point_sign_and_unit_are_read() {
        for (typed, hundredths) in [
            ("3.5", 350),
            ("3,5", 350),
            (" 3,50 mm ", 350),
            ("3.5mm", 350),
            ("3.5 MM", 350),
            ("0", 0),
            ("-0", 0),
            ("-1.25", -125),
            ("\u{2212}1,2", -120),
            ("+2", 200),
            ("+ 2", 200),
            ("0007", 700),
            ("65.05", 6505),
            ("12 millimetres", 1200),
        ] {
            assert_eq!(
                Mm::parse(typed).map(Mm::hundredths),
                Ok(hundredths),
                "{typed}"
            );
        }
        assert_eq!(Minutes::parse("5 min").map(Minutes::hundredths), Ok(500));
        assert_eq!(Degrees::parse("33.7°").map(Degrees::hundredths), Ok(3370));
    }

    #[test]
    fn what_is_no_plain_number_is_refused() {
        for typed in [
            "",
            " ",
            "mm",
            "NaN",
            "inf",
            "-inf",
            "1e3",
            "1E-3",
            "0x10",
            ".5",
            "5.",
            "1.234",
            "1,234.5",
            "1.2.3",
            "1 000",
            "3 cm",
            "--3",
            "+-3",
            "3-",
            "three",
            // As it is stored: a form has it in ASCII figures before it comes here (`Kind::as_read`).
            "٣",
            "1000000",
            "99999999999999999999",
            "½",
            "3.5.mm",
            "3,5\u{0}",
        ] {
            assert!(Mm::parse(typed).is_err(), "{typed:?}");
        }
    }

    #[test]
    fn another_unit_is_named_and_not_converted() {
        for (typed, unit) in [
            ("3 cm", "cm"),
            ("2.5cm", "cm"),
            ("1.8 in", "in"),
            ("2 inches", "inches"),
            ("2\"", "\""),
            ("4″", "″"),
            ("12 µm", "µm"),
            ("6 5 mm", ""),
            ("10°", "°"),
            ("50 %", "%"),
            ("0.6 rad", "rad"),
        ] {
            let why = Mm::parse(typed).expect_err(typed);
            let named = format!("“{unit}” is not converted: write the number in mm");
            assert_eq!(why.starts_with(&named), !unit.is_empty(), "{typed}: {why}");
        }
        assert!(
            Degrees::parse("0.6 rad")
                .expect_err("radians")
                .contains("in °")
        );
        assert!(
            Decimal::parse("3 mm")
                .expect_err("millimetres")
                .contains("write the number, without")
        );
    }

    #[test]
    fn a_computed_value_that_is_no_number_is_not_shown_as_one() {
        for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(tenths(odd), "unknown");
        }
        for (value, shown) in [
            (0.0, "0"),
            (-0.04, "0"),
            (1.25, "1.3"),
            (-1.25, "-1.3"),
            (7.0, "7"),
        ] {
            assert_eq!(tenths(value), shown, "{value}");
        }
        assert!(tenths(1e300).len() > 10, "no overflow");
    }

    #[test]
    fn numbers_are_stored_as_decimal_text() {
        let text = serde_json::to_string(&Mm::from_hundredths(-50)).expect("json");
        assert_eq!(text, "\"-0.5\"");
        assert!(
            serde_json::from_str::<Mm>("3.5").is_err(),
            "a floating-point number is no stored form"
        );
    }

    proptest! {
        #[test]
        fn every_number_reads_back(hundredths in -99_999_999_i64..=99_999_999) {
            let shown = show_hundredths(hundredths);
            prop_assert_eq!(parse_hundredths(&shown, &[]), Ok(hundredths));
            prop_assert_eq!(parse_hundredths(&shown.replace('.', ","), &[]), Ok(hundredths));
            prop_assert_eq!(Mm::parse(&format!("{shown} mm")).map(Mm::hundredths), Ok(hundredths));
        }

        #[test]
        fn the_larger_number_reads_as_the_larger(one in -99_999_999_i64..=99_999_999, other in -99_999_999_i64..=99_999_999) {
            let read = |hundredths| Mm::parse(&show_hundredths(hundredths)).expect("a number");
            prop_assert_eq!(read(one).cmp(&read(other)), one.cmp(&other));
            prop_assert!((read(one).to_f64() * 100.0 - one as f64).abs() < 1e-6);
        }

        #[test]
        fn a_number_with_another_unit_is_never_read(hundredths in 0_i64..=99_999, unit in "( ?)(cm|m|km|in|inch|ft|µm|\"|'|rad|grad|kg)") {
            let typed = format!("{}{unit}", show_hundredths(hundredths));
            prop_assert!(Mm::parse(&typed).is_err() && Degrees::parse(&typed).is_err() && Decimal::parse(&typed).is_err());
        }

        #[test]
        fn a_computed_number_is_shown_within_half_a_tenth(value in -1e6_f64..1e6) {
            let shown: f64 = tenths(value).parse().expect("a number");
            prop_assert!((shown - value).abs() <= 0.05 + 1e-9);
        }

        #[test]
        fn no_text_panics(text in ".*") {
            let _answer = (Mm::parse(&text), Degrees::parse(&text), Decimal::parse(&text));
        }
    }
}
