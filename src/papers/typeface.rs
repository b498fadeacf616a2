//! The printed face: which letters it holds and how wide they are.
//!
//! The face covers Latin, Greek and Cyrillic. A character that it lacks, or that has no shape of its own (controls,
//! direction marks, joiners), is printed as its number in brackets, `[U+4E2D]`: a letter may be unreadable here, but
//! it is never lost and never an empty box.

use super::page::Face;
use std::collections::HashMap;
use std::sync::LazyLock;
use unicode_normalization::UnicodeNormalization;

/// Points to millimetres: one point is 1/72 inch.
pub const MM_PER_PT: f32 = 25.4 / 72.0;

/// A space at which no line ends; on paper it is a common one.
pub const FIRM: char = '\u{A0}';

/// Half the height of a capital, as a share of the size: so far above the baseline is its middle. Capitals are about 0.71 em
/// high in this face.
pub const HALF_CAPITAL: f32 = 0.355;

/// A glyph of the whole font file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glyph {
    pub id: u16,
    /// Advance in font units.
    pub advance: u16,
}

/// One weight of the face.
pub struct Typeface {
    pub bytes: &'static [u8],
    pub units_per_em: u16,
    /// Highest and lowest reach of the letters, in font units.
    pub ascent: i16,
    pub descent: i16,
    /// The letters up to [`NEAR`], found by their number: nearly all that is ever set.
    near: Vec<Option<Glyph>>,
    far: HashMap<char, Glyph>,
}

/// Latin with its marks, up to where the letters for sounds begin.
const NEAR: u32 = 0x250;

static REGULAR: LazyLock<Typeface> = LazyLock::new(|| Typeface::read(notosans::REGULAR_TTF));
static BOLD: LazyLock<Typeface> = LazyLock::new(|| Typeface::read(notosans::BOLD_TTF));

/// The font data behind a face.
pub fn typeface(face: Face) -> &'static Typeface {
    match face {
        Face::Regular => &REGULAR,
        Face::Bold => &BOLD,
    }
}

impl Typeface {
    /// Reads the character map once. A font that cannot be read holds no letter, so every one is printed as its number.
    fn read(bytes: &'static [u8]) -> Typeface {
        let mut face = Typeface {
            bytes,
            units_per_em: 1000,
            ascent: 0,
            descent: 0,
            near: vec![None; NEAR as usize],
            far: HashMap::new(),
        };
        let Ok(font) = ttf_parser::Face::parse(bytes, 0) else {
            return face;
        };
        face.units_per_em = font.units_per_em();
        face.ascent = font.ascender();
        face.descent = font.descender();
        let tables = font.tables().cmap.map(|cmap| cmap.subtables);
        let tables = tables.into_iter().flatten();
        for table in tables.filter(|table| table.is_unicode()) {
            table.codepoints(|codepoint| {
                let glyph = table.glyph_index(codepoint);
                if let (Some(letter), Some(id)) = (char::from_u32(codepoint), glyph) {
                    let advance = font.glyph_hor_advance(id).unwrap_or(0);
                    let glyph = Glyph { id: id.0, advance };
                    match face.near.get_mut(codepoint as usize) {
                        Some(place) => *place = Some(glyph),
                        None => drop(face.far.insert(letter, glyph)),
                    }
                }
            });
        }
        face
    }

    pub fn glyph(&self, letter: char) -> Option<Glyph> {
        match self.near.get(u32::from(letter) as usize) {
            Some(glyph) => *glyph,
            None => self.far.get(&letter).copied(),
        }
    }
}

/// Width of a text on one line, in mm.
pub fn width_mm(text: &str, face: Face, size_pt: f32) -> f32 {
    let font = typeface(face);
    let units: u64 = text
        .chars()
        .filter_map(|letter| font.glyph(letter))
        .map(|glyph| u64::from(glyph.advance))
        .sum();
    units as f32 * size_pt * MM_PER_PT / f32::from(font.units_per_em)
}

/// Whether the letter is drawn on top of the one before it, so that no line may break between the two.
pub fn is_combining(letter: char) -> bool {
    matches!(letter, '\u{300}'..='\u{36F}' | '\u{1AB0}'..='\u{1AFF}' | '\u{1DC0}'..='\u{1DFF}' | '\u{20D0}'..='\u{20FF}')
}

/// The text as it can be printed: composed letters, plain spaces, `\n` for every kind of line end, and a number in
/// brackets for whatever the face cannot show.
pub fn legible(text: &str) -> String {
    // Most texts: every one of these is composed, in both weights, and printed as itself.
    if text.bytes().all(|byte| matches!(byte, b' '..=b'~')) {
        return text.to_owned();
    }
    let mut shown = String::with_capacity(text.len());
    let mut letters = text.nfc().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '\r' => {
                if letters.peek() != Some(&'\n') {
                    shown.push('\n');
                }
            }
            '\n' | '\u{B}' | '\u{C}' | '\u{85}' | '\u{2028}' | '\u{2029}' => shown.push('\n'),
            '\t' => shown.push(' '),
            _ if letter.is_whitespace() => shown.push(' '),
            _ if is_printable(letter) => shown.push(letter),
            _ => shown.push_str(&format!("[U+{:04X}]", u32::from(letter))),
        }
    }
    shown
}

/// Both weights hold the letter, and it leaves ink.
fn is_printable(letter: char) -> bool {
    !is_without_ink(letter)
        && typeface(Face::Regular).glyph(letter).is_some()
        && typeface(Face::Bold).glyph(letter).is_some()
}

/// Controls, direction marks, joiners and private letters: even where the font has a glyph for them, a reader of the
/// paper would not see it, or would see a private drawing.
fn is_without_ink(letter: char) -> bool {
    letter.is_control()
        || matches!(
            letter,
            '\u{AD}' | '\u{34F}' | '\u{61C}' | '\u{180E}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}'
                | '\u{2060}'..='\u{206F}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}'
                | '\u{E000}'..='\u{F8FF}' | '\u{E0000}'..='\u{10FFFF}'
        )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_three_scripts_are_printed_as_they_are() {
        for text in [
            "Zähne, ľ, ő",
            "Αθήνα",
            "Прикус",
            "Răng giả hàm trên",
            "3,5 ± 0,1 mm ≤ → ∅",
        ] {
            assert_eq!(legible(text).replace("[U+2205]", "∅"), text);
        }
    }

    #[test]
    fn a_decomposed_letter_is_printed_as_the_composed_one() {
        assert_eq!(legible("cafe\u{301}"), "café");
    }

    #[test]
    fn a_letter_that_the_face_lacks_is_printed_as_its_number() {
        assert_eq!(legible("中"), "[U+4E2D]");
        assert_eq!(legible("🦷"), "[U+1F9B7]");
        assert_eq!(legible("سن"), "[U+0633][U+0646]");
    }

    #[test]
    fn controls_and_unseen_letters_are_shown() {
        assert_eq!(legible("a\u{0}b\u{7}c"), "a[U+0000]b[U+0007]c");
        assert_eq!(
            legible("a\u{202E}b\u{200B}c\u{AD}"),
            "a[U+202E]b[U+200B]c[U+00AD]"
        );
    }

    #[test]
    fn every_kind_of_line_end_breaks_the_line_once() {
        assert_eq!(legible("a\r\nb\rc\nd\u{2028}e"), "a\nb\nc\nd\ne");
        assert_eq!(legible("a\tb\u{A0}c\u{3000}d"), "a b c d");
    }

    #[test]
    fn widths_come_from_the_font() {
        // An em of 2048 units; the digit is 1171 units wide in Noto Sans Regular (read from the font's hmtx table).
        let width = width_mm("0", Face::Regular, 72.0);
        assert!((width - 25.4 * 1171.0 / 2048.0).abs() < 0.01, "{width}");
        assert!(width_mm("Mould", Face::Bold, 10.0) > width_mm("Mould", Face::Regular, 10.0));
    }
}
