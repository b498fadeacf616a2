//! Breaking text into lines by the real widths of its letters.

use super::style::Style;
use crate::papers::typeface;
use unicode_linebreak::linebreaks;

/// What is not parted from the number before it.
const UNITS: [&str; 10] = ["mm", "cm", "µm", "°", "°C", "%", "g", "ml", "min", "h"];

/// The lines of a text that is already legible, none wider than `width_mm`. A line end typed by the writer is kept.
/// A word wider than the line is broken inside, but never inside a bracketed letter number nor before an accent.
pub fn wrap(text: &str, style: Style, width_mm: f32) -> Vec<String> {
    text.trim_end_matches('\n')
        .split('\n')
        .flat_map(|paragraph| wrap_paragraph(paragraph, style, width_mm))
        .collect()
}

fn wrap_paragraph(paragraph: &str, style: Style, width_mm: f32) -> Vec<String> {
    let space = style.width_mm(" ");
    let mut lines = vec![];
    let (mut line, mut used) = (String::new(), 0.0);
    for word in words(paragraph) {
        let width = style.width_mm(word);
        if !line.is_empty() && used + space + width <= width_mm {
            line.push(' ');
            line.push_str(word);
            used += space + width;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        if width <= width_mm {
            (line, used) = (word.to_owned(), width);
        } else {
            let mut pieces = break_word(word, style, width_mm);
            line = pieces.pop().unwrap_or_default();
            used = style.width_mm(&line);
            lines.extend(pieces);
        }
    }
    lines.push(line);
    lines
}

/// What stays on one line where it can. A line ends behind a space, where Unicode's rules (UAX 14) let it; never
/// inside a code, an address or a date, and never between a number and its unit.
pub(super) fn words(paragraph: &str) -> Vec<&str> {
    let (mut words, mut rest, mut begin) = (vec![], paragraph, 0);
    for (end, _) in linebreaks(paragraph) {
        let (Some(word), Some(after)) = (rest.get(..end - begin), rest.get(end - begin..)) else {
            continue;
        };
        if after.is_empty() || word.ends_with(' ') && !is_measure(word, after) {
            words.push(word.trim_matches(' '));
            (rest, begin) = (after, end);
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// Whether a number stands before this place, and its unit behind it.
fn is_measure(before: &str, after: &str) -> bool {
    let next = after.split(' ').next().unwrap_or_default();
    before
        .trim_end()
        .ends_with(|last: char| last.is_ascii_digit())
        && UNITS.contains(&next.trim_end_matches(['.', ',', ';', ':', ')']))
}

/// Pieces of a word that does not fit, each as long as the line allows and at least one unit long.
fn break_word(word: &str, style: Style, width_mm: f32) -> Vec<String> {
    let mut pieces = vec![];
    let (mut piece, mut used) = (String::new(), 0.0);
    for unit in units(word) {
        let width = style.width_mm(unit);
        while !piece.is_empty() && used + width > width_mm {
            let rest = piece.split_off(joint(&piece));
            used = style.width_mm(&rest);
            pieces.push(std::mem::replace(&mut piece, rest));
        }
        piece.push_str(unit);
        used += width;
    }
    pieces.push(piece);
    pieces
}

/// Where a full piece ends best: behind the last slash, else behind another mark that joins parts of an address or a
/// code, else at its end.
fn joint(piece: &str) -> usize {
    let end = piece.len();
    let joined = piece
        .rfind('/')
        .or_else(|| piece.rfind(['.', '-', '_', '@', ',', ';', '=']));
    let joint = joined.map_or(end, |at| at + 1);
    let accented = piece.get(joint..).and_then(|rest| rest.chars().next());
    if accented.is_some_and(typeface::is_combining) {
        end
    } else {
        joint
    }
}

/// A word as what must stay together: a letter with its accents, or a bracketed letter number.
pub(super) fn units(word: &str) -> Vec<&str> {
    let mut units = vec![];
    let mut rest = word;
    while !rest.is_empty() {
        let (unit, after) = rest.split_at(unit_length(rest));
        units.push(unit);
        rest = after;
    }
    units
}

fn unit_length(text: &str) -> usize {
    if let Some(number) = text.strip_prefix("[U+") {
        let digits = number.chars().take_while(char::is_ascii_hexdigit).count();
        if (4..=6).contains(&digits) && number.chars().nth(digits) == Some(']') {
            return "[U+".len() + digits + "]".len();
        }
    }
    text.char_indices()
        .skip(1)
        .find(|(_, letter)| !typeface::is_combining(*letter))
        .map_or(text.len(), |(at, _)| at)
}

/// The text on one line, with an ellipsis where it is too long. Only for what stands elsewhere in full.
pub fn shorten(text: &str, style: Style, width_mm: f32) -> String {
    let text = text.replace('\n', " ");
    if style.width_mm(&text) <= width_mm {
        return text;
    }
    let mut short = String::new();
    for unit in units(&text) {
        if style.width_mm(&short) + style.width_mm(unit) + style.width_mm("…") > width_mm {
            break;
        }
        short.push_str(unit);
    }
    short.push('…');
    short
}

#[cfg(test)]
mod tests {
    use super::super::style::VALUE;
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn words_stay_whole_where_they_can() {
        let lines = wrap("one two three four five six seven", VALUE, 25.0);
        assert!(lines.len() > 1);
        assert_eq!(lines.join(" "), "one two three four five six seven");
    }

    #[test]
    fn codes_dates_and_measures_stay_whole_where_they_fit() {
        let whole = [
            "C4K-7M9-2XQ",
            "2026-03-02",
            "12.5 mm",
            "and/or",
            "30 min,",
            "( a",
            "well-made",
        ];
        let text = format!("so {}", whole.join(" so "));
        for width in 30..60 {
            let lines = wrap(&text, VALUE, width as f32);
            assert_eq!(lines.join(" "), text);
            for part in whole {
                let is_whole = lines.iter().any(|line| line.contains(part));
                assert!(is_whole, "{part} at {width} mm: {lines:?}");
            }
        }
    }

    #[test]
    fn a_typed_line_end_is_kept() {
        assert_eq!(wrap("a\n\nb\n", VALUE, 50.0), ["a", "", "b"]);
        assert_eq!(wrap("", VALUE, 50.0), [""]);
    }

    #[test]
    fn an_address_is_broken_where_its_parts_join() {
        let lines = wrap("HTTPS://VESTIBULE.EXAMPLE/C/V7-0042", VALUE, 32.0);
        assert_eq!(lines, ["HTTPS://", "VESTIBULE.", "EXAMPLE/C/", "V7-0042"]);
    }

    #[test]
    fn what_is_carried_over_from_a_joint_still_fits_its_line() {
        let text = "=[U+113C2][U+11680][U+FE68]";
        assert!(
            wrap(text, VALUE, 53.8)
                .iter()
                .all(|line| VALUE.width_mm(line) <= 53.8)
        );
    }

    #[test]
    fn a_letter_number_is_never_broken() {
        let lines = wrap(&"[U+4E2D]".repeat(12), VALUE, 40.0);
        assert!(lines.len() > 2);
        assert!(
            lines
                .iter()
                .all(|line| line.starts_with('[') && line.ends_with(']'))
        );
    }

    #[test]
    fn what_is_shortened_fits_and_says_so() {
        let short = shorten("a case number that somebody made very long", VALUE, 30.0);
        assert!(short.ends_with('…') && VALUE.width_mm(&short) <= 30.0);
        assert_eq!(shorten("short", VALUE, 30.0), "short");
    }

    proptest! {
        #[test]
        fn no_line_is_too_wide_and_no_letter_is_lost(text in "\\PC{0,300}", width in 12.0f32..180.0) {
            let legible = typeface::legible(&text);
            let lines = wrap(&legible, VALUE, width);
            for line in &lines {
                let single = units(line).len() == 1;
                prop_assert!(single || VALUE.width_mm(line) <= width + 0.01, "{line}");
            }
            let kept: String = lines.concat().split_whitespace().collect();
            let typed: String = legible.split_whitespace().collect();
            prop_assert_eq!(kept, typed);
        }
    }
}
