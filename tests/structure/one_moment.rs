//! A row and the leaf that it is held against are two questions, and whoever writes between them would look like somebody
//! who has changed the row past this program. So what is held is read at one moment: by whoever writes, or by a reader of
//! `read_at_once`, and never by one of `read`.

use crate::{Line, none_is, program};
use std::collections::BTreeSet;

/// What holds a row against its leaf, or calls what does, on the connection that it is given.
const HOLD: [&str; 49] = [
    "load(",
    "load_held(",
    "by_leaves(",
    "hold_by(",
    "load_shown(",
    "CaseWork::of(",
    "CaseWork::beside(",
    "held_alone(",
    "find_together(",
    "passed_to(",
    "own_case(",
    "find_own(",
    "refuse_if_gone(",
    "shown_to(",
    "is_of_patient(",
    "hold_entry(",
    "pass_by_record(",
    "held(",
    "own_card(",
    "standing_in(",
    "hold_case(",
    "held_on(",
    "held_for_paper_on(",
    "hold(",
    "hold_account(",
    "hold_card(",
    "names_office(",
    "keep_own_cards(",
    "card_of_case(",
    "hold_in_force(",
    "hold_usual(",
    "hold_list_version(",
    "is_admitted(",
    "lists_context(",
    "moulds_called(",
    "draft_context(",
    "text_of(",
    "build(",
    "build_of(",
    "hold_person(",
    "words_about(",
    "hold_house(",
    "held_houses(",
    "named_houses(",
    "hold_shown(",
    "ahead(",
    "question(",
    "head_fault(",
    "lack(",
];

/// The rooms in which something is held against leaves.
const ROOMS: [&str; 3] = ["app", "store", "program"];

/// Who gives a reader that sees each question at a moment of its own.
const READERS: [&str; 3] = ["app.store.read()", "store.read()", "self.read()"];

fn begins_function(line: &str) -> bool {
    let line = line.trim_start();
    let rest = match line.strip_prefix("pub(") {
        Some(rest) => rest.split_once(") ").map_or(line, |(_, rest)| rest),
        None => line.strip_prefix("pub ").unwrap_or(line),
    };
    let begins = ["fn ", "async fn ", "const fn "];
    begins.iter().any(|words| rest.starts_with(words))
}

/// The functions of these rooms, each with where it begins and its text in one line.
fn functions(program: &[Line]) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = Vec::new();
    let mut file = "";
    for line in program.iter().filter(|line| ROOMS.contains(&line.room())) {
        if line.file != file || begins_function(&line.text) {
            found.push((line.at(), String::new()));
            file = &line.file;
        }
        let (_, text) = found.last_mut().unwrap();
        text.push_str(line.text.trim());
        text.push(' ');
    }
    found
}

/// Whether a function holds something on a reader that sees each question at a moment of its own.
fn holds_at_two_moments(text: &str) -> bool {
    let named = READERS.map(|reader| format!("conn = {reader}.await?"));
    let is_named = named.iter().any(|named| text.contains(named.as_str()));
    let is_given = |name: &str, at: usize| {
        let given = text[at + name.len()..].split([';', '{']).next().unwrap();
        let given = given.split("await").next().unwrap();
        READERS.iter().any(|reader| given.contains(reader))
            || (is_named && given.contains("&mut conn"))
    };
    let is_whole = |at: usize| {
        let before = text[..at].chars().next_back();
        before.is_none_or(|sign| !sign.is_alphanumeric() && sign != '_')
    };
    HOLD.iter().any(|&name| {
        let mut places = text.match_indices(name).map(|(at, _)| at);
        places.any(|at| is_whole(at) && is_given(name, at))
    })
}

#[test]
fn what_is_held_is_read_at_one_moment() {
    let program = program();
    let functions = functions(&program);
    let at_once = functions
        .iter()
        .filter(|(_, text)| text.contains("read_at_once()"));
    assert!(at_once.count() > 30, "the readers were found");
    let broken = functions
        .iter()
        .filter(|(_, text)| holds_at_two_moments(text));
    let broken: BTreeSet<String> = broken.map(|(at, _)| at.clone()).collect();
    none_is("holds what it reads at two moments", &broken);
}

/// The reading itself.
#[test]
fn what_is_held_at_two_moments_is_seen() {
    for (text, broken) in [
        (
            "let mut conn = app.store.read().await?; let work = CaseWork::load(app, &mut conn, person, number).await?;",
            true,
        ),
        (
            "let mut conn = app.store.read_at_once().await?; let work = CaseWork::load(app, &mut conn, person, number).await?;",
            false,
        ),
        (
            "hold_account(app, &mut *app.store.read().await?, &account).await?;",
            true,
        ),
        (
            "let fault = record::head_fault(&mut *store.read().await?, store.key()).await?;",
            true,
        ),
        (
            "let mut conn = store.read().await?; match record::head_fault(&mut conn, store.key()).await? {",
            true,
        ),
        (
            "let mut conn = self.read_at_once().await?; start::lack(&mut conn, self.backend, last, self.key()).await",
            false,
        ),
        (
            "let mut conn = app.store.read().await?; uphold(app, &mut conn).await?;",
            false,
        ),
        (
            "let mut conn = app.store.read().await?; let tag = new_tag(app, &mut conn).await?; own_case(tx.conn(), person, number).await?;",
            false,
        ),
    ] {
        assert_eq!(holds_at_two_moments(text), broken, "{text}");
    }
}
