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

/// What a line stands in: some lists make a type of each name that begins a line there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Within {
    Nothing,
    /// An enum for each name.
    Choices,
    /// The fields of one form.
    Command,
}

impl Within {
    fn after(self, text: &str) -> Within {
        match text {
            "choices! {" => Within::Choices,
            "command! {" => Within::Command,
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
    };
    let made = if is_listed {
        text
    } else {
        let open = text
            .strip_prefix("pub ")
            .or(text.strip_prefix("pub(crate) "));
        let open = open.or(text.strip_prefix("pub(super) "))?;
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
fn no_type_name_stands_for_two_things_in_domain() {
    let twice = types_of("domain")
        .into_iter()
        .filter(|(_, files)| files.len() > 1)
        .map(|(name, files)| (name, format!("{files:?}")));
    let (names, places): (BTreeSet<String>, Vec<String>) = twice.unzip();
    println!("{}", places.join("\n"));
    none_is("stands for two things in domain", &names);
}

#[test]
fn no_type_name_of_domain_stands_for_another_thing_in_app() {
    let domain = types_of("domain");
    let both = types_of("app")
        .into_iter()
        .filter_map(|(name, files)| Some((format!("{:?} {files:?}", domain.get(&name)?), name)));
    let (places, names): (Vec<String>, BTreeSet<String>) = both.unzip();
    println!("{}", places.join("\n"));
    none_is("stands for another thing in app", &names);
}

#[test]
fn no_type_name_of_domain_stands_for_another_thing_in_web() {
    let domain = types_of("domain");
    let web = types_of("web");
    let both = web.keys().filter(|name| domain.contains_key(*name));
    none_is("stands for another thing in web", &both.cloned().collect());
}

#[test]
fn no_type_name_stands_for_two_things_in_web() {
    let twice = types_of("web")
        .into_iter()
        .filter(|(_, files)| files.len() > 1);
    let twice = twice.map(|(name, files)| format!("{name} {files:?}"));
    none_is("stands for two things in web", &twice.collect());
}

#[test]
fn no_type_name_stands_for_two_things_between_app_web_and_papers() {
    let rooms = ["app", "web", "papers"].map(|room| (room, types_of(room)));
    let mut names = BTreeSet::new();
    for (place, (room, types)) in rooms.iter().enumerate() {
        for (other, others) in rooms.iter().skip(place + 1) {
            for name in types.keys().filter(|name| others.contains_key(*name)) {
                names.insert(format!("{name} of {room} and {other}"));
            }
        }
    }
    none_is("stands for two things", &names);
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
}
