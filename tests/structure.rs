//! Which room may know which: the directions of the imports, read from the source itself.
//!
//! The rules of the trade know nothing of databases, papers or pages; only one room names the database,
//! one file the PDF, one file the clock and chance. Whoever breaks a direction is told file and line.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test says what it expects and falls over when it is wrong"
)]

#[path = "structure/case_in_hand.rs"]
mod case_in_hand;
#[path = "structure/circles.rs"]
mod circles;
#[path = "structure/keys.rs"]
mod keys;
#[path = "structure/limits.rs"]
mod limits;
#[path = "structure/names.rs"]
mod names;
#[path = "structure/one_moment.rs"]
mod one_moment;
#[path = "structure/style_sheet.rs"]
mod style_sheet;
#[path = "structure/words.rs"]
mod words;

use limits::templates;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Each room with the rooms of this program that it may name, besides itself. `lib.rs` lists the rooms; `main.rs` and
/// `cli.rs` belong to none.
const DIRECTIONS: [(&str, &[&str]); 10] = [
    ("domain", &[]),
    ("record", &["domain"]),
    ("clock", &["domain"]),
    ("files", &[]),
    ("keyring", &["clock", "record", "files"]),
    ("papers", &["domain", "record"]),
    ("store", &["domain", "record", "files"]),
    ("app", &["domain", "record", "store", "papers", "clock"]),
    // Pages are answers to what people do: they never ask the database themselves.
    ("web", &["domain", "record", "app", "papers"]),
    // What the command line asks for puts them together.
    (
        "program",
        &[
            "domain", "record", "clock", "keyring", "store", "app", "web",
        ],
    ),
];

/// Words that only some files may have, because what they stand for is to be replaced in one place.
const ONLY_IN: [(&str, &[&str]); 8] = [
    // The program itself names it once, to keep its log quiet.
    ("sqlx", &["store/", "program/mod.rs"]),
    ("printpdf", &["papers/pdf.rs"]),
    ("axum", &["web/", "program/serving.rs"]),
    ("ed25519_dalek", &["record/key.rs"]),
    ("SystemTime", &["clock.rs"]),
    ("now_utc", &["clock.rs"]),
    ("new_v4", &["clock.rs"]),
    ("getrandom", &["clock.rs"]),
];

/// One line of program text: comments and the tests inside a file are not in it.
struct Line {
    /// The path below `src`, with `/`.
    file: String,
    number: usize,
    text: String,
}

impl Line {
    /// `domain` for `domain/custody/rules.rs`, `clock` for `clock.rs`.
    fn room(&self) -> &str {
        self.file.split(['/', '.']).next().unwrap()
    }

    /// The rooms named as `crate::room` or, by the program, as `vestibule::room`.
    fn rooms_named(&self) -> Vec<&str> {
        let name = |rest: &'static str| self.text.split(rest).skip(1);
        name("crate::")
            .chain(name("vestibule::"))
            .map(|rest| {
                let end = rest.find(|c: char| !c.is_alphanumeric() && c != '_');
                &rest[..end.unwrap_or(rest.len())]
            })
            .collect()
    }

    fn at(&self) -> String {
        format!("src/{}:{}: {}", self.file, self.number, self.text.trim())
    }
}

/// Nothing may be so; what is so all the same is named.
fn none_is(what: &str, found: &BTreeSet<String>) {
    let named: Vec<String> = found.iter().map(|name| format!("{name} {what}")).collect();
    assert!(named.is_empty(), "{}", named.join("\n"));
}

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
    found.sort();
}

/// The program text of every file below `src`.
fn program() -> Vec<Line> {
    let mut paths = Vec::new();
    files(Path::new("src"), &mut paths);
    paths.iter().flat_map(|path| lines_of(path)).collect()
}

fn lines_of(path: &Path) -> Vec<Line> {
    let file = path
        .strip_prefix("src")
        .unwrap()
        .to_string_lossy()
        .replace('\\', "/");
    if file.ends_with("/tests.rs") || file.contains("/tests/") {
        return Vec::new();
    }
    let source = std::fs::read_to_string(path).unwrap();
    let mut lines = Vec::new();
    for (place, text) in source.lines().enumerate() {
        // The tests of a file stand at its end.
        if text == "mod tests {" {
            break;
        }
        if !text.trim_start().starts_with("//") {
            lines.push(Line {
                file: file.clone(),
                number: place + 1,
                text: text.split(" // ").next().unwrap().to_owned(),
            });
        }
    }
    lines
}

/// Rooms that exist, so that names of other crates' modules and macros do not count.
fn rooms() -> Vec<&'static str> {
    DIRECTIONS.iter().map(|(room, _)| *room).collect()
}

#[test]
fn every_room_names_only_the_rooms_below_it() {
    let rooms = rooms();
    let mut broken = Vec::new();
    for line in program() {
        let Some((room, may)) = DIRECTIONS.iter().find(|(room, _)| *room == line.room()) else {
            continue;
        };
        for named in line.rooms_named() {
            if rooms.contains(&named) && named != *room && !may.contains(&named) {
                broken.push(format!("{room} names {named}: {}", line.at()));
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn what_is_to_be_replaced_in_one_place_is_named_in_one_place() {
    let mut broken = Vec::new();
    for line in program() {
        for (word, places) in ONLY_IN {
            let is_there = line
                .text
                .split(|c: char| !c.is_alphanumeric() && c != '_')
                .any(|one| one == word);
            if is_there && !places.iter().any(|place| line.file.starts_with(place)) {
                broken.push(format!(
                    "{word} stands outside of {places:?}: {}",
                    line.at()
                ));
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn every_file_belongs_to_a_room_and_every_room_is_read() {
    let program = program();
    let rooms = rooms();
    for line in &program {
        let known = rooms.contains(&line.room()) || ["lib", "main", "cli"].contains(&line.room());
        assert!(known, "src/{} belongs to no room", line.file);
    }
    // A group of rooms in one import would not be read; each room has its own line.
    let grouped = program.iter().find(|line| line.text.contains("crate::{"));
    assert!(grouped.is_none(), "{}", grouped.unwrap().at());
    for room in rooms {
        let lines = program.iter().filter(|line| line.room() == room).count();
        assert!(lines > 50, "{room} was read: {lines} lines");
    }
}

/// The reading itself: a direction that is broken in any of these ways is seen.
#[test]
fn a_broken_direction_is_seen() {
    for (text, named) in [
        ("use crate::store::retry;", vec!["store"]),
        (
            "    let x: crate::app::App = crate::web::router();",
            vec!["app", "web"],
        ),
        ("use vestibule::store::{self, Store};", vec!["store"]),
        ("pub(crate) use words_of;", vec![]),
        ("use super::store;", vec![]),
    ] {
        let line = Line {
            file: "domain/item.rs".to_owned(),
            number: 1,
            text: text.to_owned(),
        };
        assert_eq!(line.rooms_named(), named, "{text}");
        assert_eq!(line.room(), "domain");
    }
}
