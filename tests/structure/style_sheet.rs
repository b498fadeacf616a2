//! The style sheet: sizes, spaces and colours are those of one list, and nothing moves by itself.

use std::collections::BTreeSet;

/// The style sheet without its remarks.
fn style() -> String {
    let style = std::fs::read_to_string("static/vestibule.css").unwrap();
    let mut parts = style.split("/*");
    let first = parts.next().unwrap().to_owned();
    parts.fold(first, |all, part| {
        all + part.split_once("*/").map_or("", |(_, after)| after)
    })
}

/// Each declaration outside the lists of tokens: what it sets, and to what.
fn declarations(style: &str) -> Vec<(String, String)> {
    let ends = |c| matches!(c, '{' | '}' | ';');
    let parts = style.split(ends).map(str::trim);
    let pairs = parts.filter_map(|part| part.split_once(": "));
    let of_property =
        pairs.filter(|(name, _)| name.chars().all(|c| c.is_ascii_lowercase() || c == '-'));
    let own = of_property.filter(|(name, _)| !name.starts_with("--"));
    own.map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect()
}

/// Whether a size in rem is named in a value.
fn has_rem(value: &str) -> bool {
    value
        .match_indices("rem")
        .any(|(at, _)| value[..at].ends_with(|c: char| c.is_ascii_digit()))
}

#[test]
fn whatever_could_be_sent_of_a_case_that_is_not_as_the_record_says_is_hidden() {
    let rule = "main.doubted:not(:has(.writing)) form[method=post] button { display: none; }";
    assert!(style().contains(rule));
    let page = std::fs::read_to_string("templates/base.html").unwrap();
    assert!(page.contains("{% if frame.is_doubted %} class=\"doubted\"{% endif %}"));
    // What goes on being written is told from it.
    let written = std::fs::read_to_string("templates/write.html").unwrap();
    assert!(written.contains("method=\"post\" class=\"writing\""));
}

/// A bar that stays in sight covers what is scrolled below it. So it stands in the flow behind the last line of its form,
/// where it covers nothing once that line is reached, with room above it.
#[test]
fn the_bar_at_the_foot_of_a_form_stands_behind_its_last_line() {
    let style = style();
    assert!(style.contains(".savebar { position: sticky;"));
    assert!(style.contains(".writing .savebar { grid-column: 1 / -1; margin-top: var(--s9); }"));
    assert!(style.contains("html:has(.savebar) { scroll-padding-bottom: 11rem; }"));
    let mut seen = 0;
    for file in std::fs::read_dir("templates").unwrap() {
        let path = file.unwrap().path();
        let Some(page) = std::fs::read_to_string(&path).ok() else {
            continue;
        };
        let Some((_, bar)) = page.split_once("<div class=\"savebar\">") else {
            continue;
        };
        let (bar, rest) = bar.split_once("</div>").unwrap();
        assert!(!bar.contains("<div"), "{path:?}");
        assert!(rest.trim_start().starts_with("</form>"), "{path:?}");
        seen += 1;
    }
    assert!(seen > 0);
}

#[test]
fn type_space_and_colour_are_tokens() {
    let all = declarations(&style());
    assert!(all.len() > 1_000, "{}", all.len());
    let spaces = ["margin", "padding", "gap", "row-gap", "column-gap"];
    let is_space = |name: &str| spaces.iter().any(|one| name.starts_with(one));
    let mut wrong = BTreeSet::new();
    for (name, value) in &all {
        let is_type = name == "font-size" || name == "font";
        let is_sized = (is_type || is_space(name)) && has_rem(value);
        let is_coloured = value.contains('#') && !value.contains("url(#");
        if is_sized || is_coloured {
            wrong.insert(format!("{name}: {value}"));
        }
    }
    assert_eq!(wrong, BTreeSet::new());
    let named: BTreeSet<&str> = all
        .iter()
        .flat_map(|(_, value)| value.split("var(").skip(1))
        .filter_map(|after| after.split(')').next())
        .collect();
    let style = style();
    for token in named {
        assert!(
            style.contains(&format!("{token}: ")),
            "{token} has no value"
        );
    }
}

#[test]
fn every_colour_has_a_value_by_night_and_where_the_reader_has_colours_of_his_own() {
    let style = style();
    let block = |after: &str| {
        let from = style.split_once(after).unwrap().1;
        from.split_once('}').unwrap().0.to_owned()
    };
    let names = |block: &str| -> BTreeSet<String> {
        let parts = block.split(';').map(str::trim);
        let colours = parts.filter_map(|part| part.split_once(": "));
        let is_colour =
            |value: &str| value.starts_with('#') || value.chars().all(char::is_alphabetic);
        let own = colours.filter(|(name, value)| name.contains("--") && is_colour(value));
        own.map(|(name, _)| name.rsplit("--").next().unwrap().to_owned())
            .collect()
    };
    let mut by_day = names(&block(":root {"));
    // Pictures of paper stay white.
    assert!(by_day.remove("sheet") && by_day.remove("sheet-ink"));
    assert!(by_day.len() >= 11, "{by_day:?}");
    assert_eq!(
        names(&block("(prefers-color-scheme: dark) {\n  :root {")),
        by_day
    );
    assert_eq!(
        names(&block("(forced-colors: active) {\n  :root {")),
        by_day
    );
}

/// So that there is nothing to be calmed where a reader asks for less motion (WCAG 2.2, 2.3.3).
#[test]
fn nothing_moves_by_itself() {
    let style = style();
    for word in ["transition", "animation", "@keyframes", "smooth"] {
        assert!(!style.contains(word), "{word}");
    }
    for script in std::fs::read_dir("static").unwrap() {
        let path = script.unwrap().path();
        if path.extension().is_some_and(|end| end == "js") {
            let text = std::fs::read_to_string(&path).unwrap();
            assert!(
                !text.contains("smooth") && !text.contains(".animate("),
                "{path:?}"
            );
        }
    }
}
