//! A short code of a person, by which entries are made at the bench on a device that the lab has allowed.

use crate::domain::form::{FieldSpec, Slot};
use crate::domain::values::figures::plain;
use crate::domain::values::ids::DeviceId;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;

/// Digits of a code, fewest and most.
pub const CODE_DIGITS: std::ops::RangeInclusive<usize> = 4..=6;

/// Wrong codes in a row of one person on one device, after which the password is asked for there. With four digits one
/// guess in two thousand is right by then (5 of 10,000).
pub const CODE_TRIES: i64 = 5;

/// Signs of a device's name at most.
pub const DEVICE_NAME_MOST: usize = 40;

/// A device on which somebody came in by a code; stands in each entry that was made so.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AtDevice {
    pub device: DeviceId,
    /// As the lab called it then.
    pub name: String,
}

/// A code as it was chosen: 4 to 6 digits that are not the first anybody would try.
#[derive(Clone, PartialEq, Eq)]
pub struct BenchCode(String);

/// A log that shows a command shows no code.
impl fmt::Debug for BenchCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("BenchCode")
    }
}

impl BenchCode {
    /// Reads a new code.
    ///
    /// # Errors
    /// What is wrong with it, and what to do.
    pub fn parse(typed: &str) -> Result<BenchCode, &'static str> {
        let typed = plain(typed);
        let digits: Vec<u8> = typed.bytes().collect();
        if !digits.iter().all(u8::is_ascii_digit) || !CODE_DIGITS.contains(&digits.len()) {
            return Err("A code has 4 to 6 digits.");
        }
        let steps: Vec<i16> = digits
            .windows(2)
            .filter_map(|pair| match pair {
                [one, next] => Some(i16::from(*next) - i16::from(*one)),
                _ => None,
            })
            .collect();
        let is_even = |wanted: i16| steps.iter().all(|step| *step == wanted);
        if is_even(0) || is_even(1) || is_even(-1) {
            return Err(
                "The same digit again and again, or digits in their order, are tried first: take others.",
            );
        }
        Ok(BenchCode(typed.into_owned()))
    }

    /// The digits, to be hashed.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// A code that is tried, as it was chosen: the same figures in ASCII.
pub fn as_typed(typed: &str) -> Cow<'_, str> {
    plain(typed)
}

impl Slot for BenchCode {
    fn read(typed: &str, _: &FieldSpec) -> Result<BenchCode, String> {
        Ok(BenchCode::parse(typed)?)
    }
}

/// Whether the code of a person is asked for no more on a device, after so many wrong ones.
pub fn is_locked(wrong: i64) -> bool {
    wrong >= CODE_TRIES
}

/// What is said after a wrong code.
pub fn wrong_words(wrong: i64) -> String {
    match CODE_TRIES - wrong {
        ..=0 => LOCKED.to_owned(),
        1 => "This is not the code. After one more wrong one the password is asked for here."
            .to_owned(),
        left => format!("This is not the code. {left} more tries are left here."),
    }
}

/// What is said where a code is asked for no more.
pub const LOCKED: &str = "Too many wrong codes: on this device your code is taken again after you have signed in here with \
                          your password. Everybody else goes on by code as before.";

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_code_is_of_four_to_six_digits_and_not_the_first_that_is_tried() {
        for good in ["4071", "27183", "902614", "0042", "1122"] {
            assert_eq!(BenchCode::parse(good).unwrap().as_str(), good);
        }
        for wrong in [
            "", "407", "4071234", "40a1", "40 1", "٤٠٧", "½071", "0000", "999999", "1234", "23456",
            "4321", "987654",
        ] {
            assert!(BenchCode::parse(wrong).is_err(), "{wrong}");
        }
        assert_eq!(
            format!("{:?}", BenchCode::parse("4071").unwrap()),
            "BenchCode"
        );
    }

    #[test]
    fn a_code_is_the_same_whatever_keyboard_typed_it() {
        for typed in ["4071", "٤٠٧١", "۴۰۷۱", "４０７１"] {
            assert_eq!(BenchCode::parse(typed).unwrap().as_str(), "4071");
            assert_eq!(as_typed(typed), "4071");
        }
        assert!(BenchCode::parse("١٢٣٤").is_err(), "digits in their order");
    }

    #[test]
    fn the_fifth_wrong_code_locks_and_says_so() {
        for wrong in 1..CODE_TRIES {
            assert!(!is_locked(wrong));
            assert!(wrong_words(wrong).starts_with("This is not the code."));
        }
        assert!(wrong_words(4).contains("one more"));
        assert!(is_locked(CODE_TRIES) && wrong_words(CODE_TRIES) == LOCKED);
    }

    proptest! {
        #[test]
        fn what_is_refused_is_a_row_or_one_digit(number in 0u32..1_000_000, length in 4usize..=6) {
            let typed = format!("{number:06}");
            let typed = typed.get(..length).unwrap();
            let first = typed.bytes().next().unwrap();
            let row = |step: i16| typed.bytes().enumerate().all(|(at, digit)| {
                i16::from(digit) == i16::from(first) + step * i16::try_from(at).unwrap()
            });
            prop_assert_eq!(BenchCode::parse(typed).is_err(), row(0) || row(1) || row(-1));
        }
    }

    #[test]
    fn of_the_codes_of_four_digits_only_a_few_are_refused() {
        let refused =
            (0..10_000).filter(|number| BenchCode::parse(&format!("{number:04}")).is_err());
        // Ten of one digit, seven that go up by one and seven that go down: counted by hand.
        assert_eq!(refused.count(), 10 + 7 + 7);
    }
}
