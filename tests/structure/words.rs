//! Words that nobody should read on a screen or a paper: they blame, or they are a programmer's.

use crate::{files, templates};
use std::collections::BTreeSet;
use std::path::Path;

/// Held against the whole words of a text, whatever their case.
const NEVER: [&str; 6] = ["invalid", "illegal", "fatal", "null", "unexpected", "(s)"];

/// Texts in which such a word is no sentence: a header's value, and what a file holds.
const NO_SENTENCE: [&str; 1] = ["null"];

/// The texts between quotation marks of a file's program, without its own tests.
fn texts(source: &str) -> Vec<String> {
    let program = source.split("\nmod tests {").next().unwrap();
    let lines = program
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"));
    let program: String = lines.collect::<Vec<_>>().join("\n");
    let (mut found, mut text, mut before) = (Vec::new(), None::<String>, ' ');
    for letter in program.chars() {
        match (&mut text, letter) {
            (None, '"') if before != '\'' => text = Some(String::new()),
            (Some(whole), '"') if before != '\\' => {
                found.push(std::mem::take(whole));
                text = None;
            }
            (Some(whole), letter) => whole.push(letter),
            (None, _) => {}
        }
        before = if before == '\\' { ' ' } else { letter };
    }
    found
}

/// What a template says by itself: neither its marks nor what it is filled with.
fn said(template: &str) -> String {
    let (mut said, mut depth) = (String::new(), 0_usize);
    for letter in template.chars() {
        match letter {
            '<' | '{' => depth += 1,
            '>' | '}' => depth = depth.saturating_sub(1),
            letter if depth == 0 => said.push(letter),
            _ => {}
        }
    }
    said
}

fn has(text: &str, word: &str) -> bool {
    let text = text.to_lowercase();
    let is_edge = |letter: Option<char>| {
        letter.is_none_or(|letter| !letter.is_alphanumeric() && letter != '-')
    };
    text.match_indices(word).any(|(at, _)| {
        word == "(s)"
            || (is_edge(text[..at].chars().next_back())
                && is_edge(text[at + word.len()..].chars().next()))
    })
}

#[test]
fn nobody_is_blamed_and_no_plural_is_left_to_the_reader() {
    let mut paths = Vec::new();
    files(Path::new("src"), &mut paths);
    let mut all = Vec::new();
    for path in paths {
        let name = path.to_string_lossy().replace('\\', "/");
        if name.ends_with("/tests.rs") || name.contains("/tests/") || name.ends_with("samples.rs") {
            continue;
        }
        let source = std::fs::read_to_string(&path).unwrap();
        all.extend(texts(&source).into_iter().map(|text| (name.clone(), text)));
    }
    assert!(
        all.len() > 8_000,
        "the texts of the program were found: {}",
        all.len()
    );
    for path in templates() {
        let template = std::fs::read_to_string(&path).unwrap();
        all.push((path.to_string_lossy().into_owned(), said(&template)));
    }
    let mut found = BTreeSet::new();
    for (name, text) in &all {
        // The store's texts are the database's language.
        let is_query = |word: &str| word == "null" && name.starts_with("src/store/");
        let word = NEVER.iter().find(|word| has(text, word) && !is_query(word));
        let is_sentence = !NO_SENTENCE.contains(&text.trim());
        if let Some(word) = word.filter(|_| is_sentence) {
            found.insert(format!("{name}: {word}: {text}"));
        }
    }
    let found: Vec<_> = found.into_iter().collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn texts_and_words_are_told_apart() {
    assert_eq!(texts("say(\"one\"); '\"'; say(\"two \\\" more\")").len(), 2);
    assert_eq!(said("<p class=\"a\">Hello {{ name }}</p>"), "Hello ");
    assert!(has("An Invalid date", "invalid") && !has("aria-invalid", "invalid"));
    assert!(has("2 row(s).", "(s)") && !has("nullify", "null"));
}
