//! Dates and codes of a page are never broken over two lines.

/// What holds its words as they are: no element may be put in there.
const AS_THEY_ARE: [&str; 7] = [
    "datalist", "script", "select", "style", "svg", "textarea", "title",
];
const WEEKDAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
const OPEN: &str = "<span class=\"whole\">";
const CLOSE: &str = "</span>";

/// The page with each date (`2026-11-07`, `Sat 7 Nov`) and each code (`C6P-PPJ-AXM`) of its texts kept in one line.
pub fn kept_whole(page: &str) -> String {
    let mut kept = String::with_capacity(page.len() + page.len() / 8);
    let mut within = None;
    let mut rest = page;
    while let Some((text, tag_on)) = rest.split_once('<') {
        let (tag, after) = tag_on.split_once('>').unwrap_or((tag_on, ""));
        match within {
            None => keep(text, &mut kept),
            Some(_) => kept.push_str(text),
        }
        kept.push('<');
        kept.push_str(tag);
        if tag.len() < tag_on.len() {
            kept.push('>');
        }
        let is_name_of = |name: &&str| {
            let named = tag.trim_start_matches('/').strip_prefix(*name);
            named.is_some_and(|more| !more.starts_with(|c: char| c.is_ascii_alphanumeric()))
        };
        match within {
            Some(name) if tag.starts_with('/') && is_name_of(&name) => within = None,
            None if !tag.starts_with('/') => within = AS_THEY_ARE.into_iter().find(is_name_of),
            _ => {}
        }
        rest = after;
    }
    kept.push_str(rest);
    kept
}

/// One text between two tags.
fn keep(text: &str, kept: &mut String) {
    let mut done = 0;
    let mut before = ' ';
    for (at, here) in text.char_indices() {
        let begins = !before.is_ascii_alphanumeric() && before != '-';
        before = here;
        if at < done || !begins || !(here.is_ascii_uppercase() || here.is_ascii_digit()) {
            continue;
        }
        let Some(from) = text.get(at..) else { continue };
        let Some(word) = whole(from) else { continue };
        kept.push_str(text.get(done..at).unwrap_or_default());
        kept.push_str(OPEN);
        kept.push_str(word);
        kept.push_str(CLOSE);
        done = at + word.len();
    }
    kept.push_str(text.get(done..).unwrap_or_default());
}

/// The date or the code that a text begins with.
fn whole(text: &str) -> Option<&str> {
    let word_end = text.find(|c: char| !(c.is_ascii_alphanumeric() || c == '-'));
    let word = text.get(..word_end.unwrap_or(text.len()))?;
    if is_pattern(word, "0000-00-00") || is_pattern(word, "AXX-XXX-XXX") {
        return Some(word);
    }
    if !WEEKDAYS.contains(&word) {
        return None;
    }
    let mut parts = text.splitn(4, ' ');
    let (_, day, month) = (parts.next()?, parts.next()?, parts.next()?);
    let is_day = matches!(day.len(), 1 | 2) && day.chars().all(|c| c.is_ascii_digit());
    let letters = month.bytes().take_while(u8::is_ascii_alphabetic).count();
    (is_day && letters == 3).then(|| text.get(..word.len() + day.len() + letters + 2))?
}

/// Whether a word is one of a kind: `0` a digit, `A` a capital, `X` either, and anything else as it stands.
fn is_pattern(word: &str, pattern: &str) -> bool {
    let is_of = |(c, kind): (char, char)| match kind {
        '0' => c.is_ascii_digit(),
        'A' => c.is_ascii_uppercase(),
        'X' => c.is_ascii_uppercase() || c.is_ascii_digit(),
        other => c == other,
    };
    word.len() == pattern.len() && word.chars().zip(pattern.chars()).all(is_of)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_and_codes_of_texts_are_kept_whole_and_nothing_else_is_touched() {
        let kept = |words: &str| format!("{OPEN}{words}{CLOSE}");
        for (page, wanted) in [
            (
                "<p>on 2026-11-07 02:12 +01:00.</p>",
                format!("<p>on {} 02:12 +01:00.</p>", kept("2026-11-07")),
            ),
            (
                "<td>Sat 7 Nov</td><td>Mon 30 Nov 2026, late</td>",
                format!(
                    "<td>{}</td><td>{} 2026, late</td>",
                    kept("Sat 7 Nov"),
                    kept("Mon 30 Nov")
                ),
            ),
            (
                "<b>cast, T8F-3QK-DEG; é C6P-PPJ-AXM</b>",
                format!(
                    "<b>cast, {}; é {}</b>",
                    kept("T8F-3QK-DEG"),
                    kept("C6P-PPJ-AXM")
                ),
            ),
            (
                "<svg><text>Sat 7 Nov</text></svg><select><option>Sat 7 Nov</select> Sat 7 Nov",
                format!(
                    "<svg><text>Sat 7 Nov</text></svg><select><option>Sat 7 Nov</select> {}",
                    kept("Sat 7 Nov")
                ),
            ),
        ] {
            assert_eq!(kept_whole(&format!("{page}<br>")), format!("{wanted}<br>"));
        }
        for page in [
            "<input value=\"2026-11-07\">",
            "<title>C6P-PPJ-AXM</title><p>",
            "<select><option>Sat 7 Nov</select>",
            "<p>2026-11-07-1 and 12026-11-07, B2026-11-07, Mondays 7 Nov, Mon 2026</p>",
            "<p>Sun </p><p>Sat 7</p><p>T8F-3QK-DEGX t8f-3qk-deg</p>",
            "nothing at all",
            "<broken",
            "",
        ] {
            assert_eq!(kept_whole(page), page);
        }
    }
}
