//! Figures of other scripts, read by their value: who writes Arabic, Persian, Hindi or Japanese has a keyboard that types
//! them.
//!
//! Where a number, a day, a time or a code is read, ten figures stand for one another; names and free texts stay as
//! they were typed. What is stored, signed and printed is ASCII.

use std::borrow::Cow;
use unicode_properties::{GeneralCategory, UnicodeGeneralCategory};

/// `typed` in ASCII as far as a number, a day, a time or a code goes: each decimal figure by its value, full-width signs
/// and letters as those beside which they stand in Unicode (block Halfwidth and Fullwidth Forms: U+FF01 to U+FF5E are
/// U+0021 to U+007E), and the decimal sign of Arabic figures (U+066B) as a point.
pub fn plain(typed: &str) -> Cow<'_, str> {
    converted(typed, plain_sign)
}

/// The same of a text that may hold words: its figures alone.
pub fn with_plain_digits(text: &str) -> Cow<'_, str> {
    converted(text, |sign| digit(sign).unwrap_or(sign))
}

/// One sign of such a text.
pub fn plain_sign(sign: char) -> char {
    /// How far a full-width form stands from its ASCII sign.
    const FULL_WIDTH: u32 = 0xfee0;
    match sign {
        '\u{66b}' => '.',
        '\u{ff01}'..='\u{ff5e}' => char::from_u32(u32::from(sign) - FULL_WIDTH).unwrap_or(sign),
        sign => digit(sign).unwrap_or(sign),
    }
}

fn converted(text: &str, sign: impl Fn(char) -> char) -> Cow<'_, str> {
    match text.is_ascii() {
        true => text.into(),
        false => text.chars().map(sign).collect::<String>().into(),
    }
}

/// The ASCII digit of the same value as a decimal digit of any script (general category Nd). Those of one script stand
/// in a row from 0 to 9 (Unicode Character Encoding Stability Policies: since 6.3 they are contiguous and ascending), and
/// where several rows touch, each begins with its 0: the value is how far the row has come.
fn digit(sign: char) -> Option<char> {
    if sign.is_ascii() || !is_decimal(sign) {
        return None;
    }
    let before = (0..u32::from(sign)).rev().map_while(char::from_u32);
    let passed = before.take_while(|one| is_decimal(*one)).count();
    char::from_digit(u32::try_from(passed % 10).ok()?, 10)
}

fn is_decimal(sign: char) -> bool {
    sign.general_category() == GeneralCategory::DecimalNumber
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Rows of figures as the code charts of the Unicode Standard name them (“DIGIT ZERO” to “DIGIT NINE”).
    #[test]
    fn figures_of_other_scripts_are_read_by_their_value() {
        for (row, named) in [
            ("0123456789", "ASCII"),
            ("\u{660}١٢٣٤٥٦٧٨٩", "Arabic-Indic, U+0660"),
            ("\u{6f0}۱۲۳۴۵۶۷۸۹", "extended Arabic-Indic, U+06F0"),
            ("०१२३४५६७८९", "Devanagari, U+0966"),
            ("০১২৩৪৫৬৭৮৯", "Bengali, U+09E6"),
            ("๐๑๒๓๔๕๖๗๘๙", "Thai, U+0E50"),
            ("０１２３４５６７８９", "full-width, U+FF10"),
            // Five rows that touch, U+1D7CE to U+1D7FF: the last of them.
            ("𝟶𝟷𝟸𝟹𝟺𝟻𝟼𝟽𝟾𝟿", "mathematical monospace, U+1D7F6"),
        ] {
            assert_eq!(plain(row), "0123456789", "{named}");
            assert_eq!(with_plain_digits(row), "0123456789", "{named}");
        }
    }

    #[test]
    fn full_width_signs_are_read_and_no_other_number_sign_is() {
        assert_eq!(plain("－３．５，＋ｍｍ："), "-3.5,+mm:");
        assert_eq!(plain("٣٫٥"), "3.5");
        // No decimal digits: superscripts, fractions, Roman and Chinese numbers, a circled one (Unicode: No, Nl, Lo).
        for other in ["²", "½", "Ⅳ", "三", "①", "٬", "é"] {
            assert_eq!(plain(other), other);
        }
        assert_eq!(with_plain_digits("Ｄｒ ٤"), "Ｄｒ 4");
    }

    proptest! {
        #[test]
        fn ascii_stays_and_nothing_is_lost(text in ".*", ascii in "[ -~]*") {
            prop_assert_eq!(plain(&text).chars().count(), text.chars().count());
            let once = plain(&text);
            prop_assert_eq!(plain(&once), once.as_ref());
            prop_assert_eq!(plain(&ascii), ascii.as_str());
        }
    }
}
