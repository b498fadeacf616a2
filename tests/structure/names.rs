//! The rooms of `domain`, and one meaning for each name of a type.

use crate::{none_is, program};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The rooms of the rules.
const ROOMS: [&str; 12] = [
    "custody",
    "fill",
    "form",
    "law",
    "mesh",
    "people",
    "prescription",
    "report",
    "review",
    "second_lab",
    "trade",
    "values",
];

/// The rooms whose types are held against each other: all that have more than a handful.
const READ: [&str; 6] = ["domain", "record", "papers", "store", "app", "web"];

/// What is so all the same, each in two rooms: an entry of the record, and a line of a list on a paper.
const KNOWN: [(&str, &str, &str); 1] = [("Entry", "record", "papers")];

/// Where each name is given to a type that other files may name, in this room.
fn types_of(room: &str) -> BTreeMap<String, BTreeSet<String>> {
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut within = Within::Nothing;
    for line in program() {
        within = within.after(&line.text);
        if line.room() == room
            && let Some(name) = type_in(&line.text, within)
        {
            found.entry(name.to_owned()).or_default().insert(line.file);
        }
    }
    assert!(found.len() > 20, "{room} was read: {} types", found.len());
    found
}

/// The names that stand for two things in this room.
fn twice_in(room: &str) -> BTreeSet<String> {
    let twice = types_of(room)
        .into_iter()
        .filter(|(_, files)| files.len() > 1);
    twice
        .map(|(name, files)| format!("{name} {files:?}"))
        .collect()
}

/// What a line stands in: some lists make a type of each name that begins a line there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Within {
    Nothing,
    /// An enum for each name.
    Choices,
    /// The fields of one form.
    Command,
    /// A section of the prescription, or a row of one of its lists.
    Part,
}

impl Within {
    fn after(self, text: &str) -> Within {
        match text {
            "choices! {" => Within::Choices,
            "command! {" => Within::Command,
            "part! {" => Within::Part,
            "}" => Within::Nothing,
            _ => self,
        }
    }
}

/// The name of the type that others may name and that this line makes.
fn type_in(text: &str, within: Within) -> Option<&str> {
    let text = text.trim_start();
    let is_name = text.starts_with(char::is_uppercase);
    let is_listed = match within {
        Within::Nothing => false,
        Within::Choices => is_name && text.ends_with(" {"),
        Within::Command => is_name && text.ends_with(';'),
        Within::Part => is_name && text.contains(" at \""),
    };
    let made = if is_listed {
        text
    } else {
        let rest = text.strip_prefix("pub")?;
        // `pub(super)`, or to a room: `pub(in crate::app)`.
        let open = match rest.strip_prefix('(') {
            Some(to) => to.split_once(") ")?.1,
            None => rest.strip_prefix(' ')?,
        };
        let kinds = ["struct ", "enum ", "trait ", "type "];
        kinds.iter().find_map(|kind| open.strip_prefix(kind))?
    };
    let end = made.find(|sign: char| !sign.is_alphanumeric() && sign != '_');
    Some(&made[..end.unwrap_or(made.len())]).filter(|name| !name.is_empty())
}

#[test]
fn the_rooms_of_the_rules_are_there_and_no_file_lies_between_them() {
    let entries = std::fs::read_dir("src/domain").unwrap();
    let found: BTreeSet<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    let wanted = ROOMS
        .iter()
        .copied()
        .chain(["Cargo.toml", "lib.rs", "mod.rs"]);
    assert_eq!(found, wanted.map(str::to_owned).collect());
    for room in ROOMS {
        let is_room = Path::new("src/domain").join(room).join("mod.rs").is_file();
        assert!(is_room, "src/domain/{room}/mod.rs is not there");
    }
}

#[test]
fn no_type_name_stands_for_two_things_in_one_room() {
    for room in READ {
        none_is(&format!("stands for two things in {room}"), &twice_in(room));
    }
}

#[test]
fn no_type_name_stands_for_two_things_in_two_rooms() {
    let rooms = READ.map(|room| (room, types_of(room)));
    let mut names = BTreeSet::new();
    for (place, (room, types)) in rooms.iter().enumerate() {
        for (other, others) in rooms.iter().skip(place + 1) {
            let both = types.keys().filter(|name| others.contains_key(*name));
            let both = both.map(|name| (name.as_str(), *room, *other));
            let unnamed = both.filter(|found| !KNOWN.contains(found));
            names
                .extend(unnamed.map(|(name, room, other)| format!("{name} of {room} and {other}")));
        }
    }
    none_is("stands for two things", &names);
    for (name, room, other) in KNOWN {
        let of = |asked: &str| {
            let mut rooms = rooms.iter().filter(|(room, _)| *room == asked);
            rooms.any(|(_, types)| types.contains_key(name))
        };
        assert!(
            of(room) && of(other),
            "{name} is no longer of {room} and {other}"
        );
    }
}

#[test]
fn a_type_is_seen() {
    use Within::{Choices, Command, Nothing};
    for (text, within, name) in [
        ("pub struct Item {", Nothing, Some("Item")),
        ("    pub(super) enum Way {", Nothing, Some("Way")),
        ("pub type Salt = [u8; 16];", Nothing, Some("Salt")),
        ("    Stippling {", Choices, Some("Stippling")),
        ("    Stippling {", Nothing, None),
        ("    TimerForm;", Command, Some("TimerForm")),
        ("    TimerForm;", Nothing, None),
        (
            "    Rims at \"rims\", \"Bite rims\", \"\";",
            Within::Part,
            Some("Rims"),
        ),
        (
            "    base: RimBase = RimBase::KIND, \"\", \"\";",
            Within::Part,
            None,
        ),
        ("    [changes: Change]", Within::Part, None),
        (
            "pub(in crate::app) trait Noted: Sized {",
            Nothing,
            Some("Noted"),
        ),
        ("pub(in crate::app) fn noted() {", Nothing, None),
        ("public struct Item {", Nothing, None),
        (
            "    timer_id: TimerId = Kind::Hidden, \"\", \"\";",
            Command,
            None,
        ),
        ("    pub fn of(item: &Item) {", Nothing, None),
    ] {
        assert_eq!(type_in(text, within), name, "{text}");
    }
    assert_eq!(Nothing.after("command! {").after("    TimerForm;"), Command);
    assert_eq!(Command.after("}"), Nothing);
    assert_eq!(Nothing.after("part! {"), Within::Part);
}
