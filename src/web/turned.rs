//! Signs that turn the direction of the texts around them are written out on a page, as they are on a paper. Forms refuse
//! them; a name or note that was stored before they did reads as what it is, and turns nothing that stands beside it.

use std::borrow::Cow;

/// What a browser sends back as it stands, and so stays as it stands: nothing in a box turns what is outside of it.
const BOXES: [&str; 3] = ["button", "input", "option"];

/// The embeddings, overrides and isolates of Unicode Standard Annex 9, section 2.
fn is_turning(sign: char) -> bool {
    matches!(sign, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The page with each such sign outside of boxes in the place of itself: `[U+202E]`.
pub fn written_out(page: &str) -> Cow<'_, str> {
    if !page.contains(is_turning) {
        return Cow::Borrowed(page);
    }
    let mut shown = String::with_capacity(page.len() + page.len() / 8);
    let mut parts = page.split('<');
    write_out(parts.next().unwrap_or_default(), &mut shown);
    for part in parts {
        let (tag, text) = part.split_once('>').unwrap_or((part, ""));
        let name = tag.split(|c: char| !c.is_ascii_alphanumeric()).next();
        let name = name.unwrap_or_default();
        shown.push('<');
        match BOXES.contains(&name) {
            true => shown.push_str(tag),
            false => write_out(tag, &mut shown),
        }
        if tag.len() < part.len() {
            shown.push('>');
        }
        match name {
            "textarea" => shown.push_str(text),
            _ => write_out(text, &mut shown),
        }
    }
    Cow::Owned(shown)
}

fn write_out(text: &str, shown: &mut String) {
    for sign in text.chars() {
        match is_turning(sign) {
            true => shown.push_str(&format!("[U+{:04X}]", u32::from(sign))),
            false => shown.push(sign),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s13_what_turns_a_text_is_written_out_everywhere_but_in_a_box() {
        for (page, wanted) in [
            ("a\u{202e}b", "a[U+202E]b"),
            (
                "<p title=\"\u{2066}x\">\u{202a}y</p>\u{2069}",
                "<p title=\"[U+2066]x\">[U+202A]y</p>[U+2069]",
            ),
            (
                "<label><input value=\"\u{202e}x\">\u{202e}y</label>",
                "<label><input value=\"\u{202e}x\">[U+202E]y</label>",
            ),
            (
                "<textarea name=\"n\">\u{202e}x</textarea>\u{202e}<broken",
                "<textarea name=\"n\">\u{202e}x</textarea>[U+202E]<broken",
            ),
        ] {
            assert_eq!(written_out(page), wanted);
        }
        // Letters of every direction, and the marks that scripts need for their spelling, stay.
        for page in ["<p>שרה\u{200f} לוי</p>", "", "<broken", "> and >"] {
            assert!(matches!(written_out(page), Cow::Borrowed(same) if same == page));
        }
    }
}
