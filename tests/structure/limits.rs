//! How long files and lines may be where pages are made, and what a template may ask.

use crate::{files, none_is};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Lines of a file of pages.
const FILE_MOST: usize = 400;
/// Lines of a handler, from its name to its end.
const HANDLER_MOST: usize = 20;
/// Signs of a template's line: what stands side by side on a screen.
const LINE_MOST: usize = 160;

pub fn templates() -> Vec<PathBuf> {
    let mut found = Vec::new();
    for folder in ["templates", "templates/partials"] {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_file() {
                found.push(path);
            }
        }
    }
    assert!(found.len() > 40, "the templates were found");
    found
}

/// The names of the files whose text is so.
fn where_it_is(paths: &[PathBuf], is_so: impl Fn(&str) -> bool) -> BTreeSet<String> {
    let read = |path: &&PathBuf| is_so(&std::fs::read_to_string(path).unwrap());
    let found = paths.iter().filter(read);
    found
        .map(|path| path.to_string_lossy().replace('\\', "/"))
        .collect()
}

#[test]
fn no_file_of_pages_is_long() {
    let mut paths = Vec::new();
    files(Path::new("src/web"), &mut paths);
    assert!(paths.len() > 30, "the pages were found");
    let long = where_it_is(&paths, |text| text.lines().count() > FILE_MOST);
    none_is("has more than 400 lines", &long);
}

/// The handlers that the table of routes names, each as the path of its module and its own name.
fn handlers() -> BTreeSet<(String, String)> {
    let routes = std::fs::read_to_string("src/web/routes.rs").unwrap();
    let named = routes.lines().filter_map(|line| {
        let (_, handler) = line.split_once(" => ")?;
        // One handler for two addresses says for which: `picture::<SMALL>`.
        let handler = handler.strip_suffix(';')?.split("::<").next()?;
        let (module, name) = handler.rsplit_once("::")?;
        Some((module.replace("::", "/"), name.to_owned()))
    });
    let found: BTreeSet<_> = named.collect();
    assert!(
        found.len() > 150,
        "the handlers were found: {}",
        found.len()
    );
    found
}

/// How many lines each handler of this name has in a file.
fn lines_of_handlers(text: &str, name: &str) -> Vec<usize> {
    let begins_here = [
        format!("pub async fn {name}("),
        format!("pub async fn {name}<"),
    ];
    let lines: Vec<&str> = text.lines().collect();
    let is_one = |line: &str| begins_here.iter().any(|begin| line.starts_with(begin));
    let begins = (0..lines.len()).filter(|place| is_one(lines[*place]));
    let length = |place: usize| lines[place..].iter().position(|line| *line == "}").unwrap() + 1;
    begins.map(length).collect()
}

#[test]
fn handlers_are_short() {
    let mut paths = Vec::new();
    files(Path::new("src/web"), &mut paths);
    let texts: Vec<(String, String)> = paths
        .iter()
        .map(|path| {
            let name = path.to_string_lossy().replace('\\', "/");
            (name, std::fs::read_to_string(path).unwrap())
        })
        .collect();
    let mut long = BTreeSet::new();
    for (module, name) in handlers() {
        let (file, folder) = (format!("src/web/{module}.rs"), format!("src/web/{module}/"));
        let own = texts
            .iter()
            .filter(|(path, _)| *path == file || path.starts_with(&folder));
        let lengths: Vec<usize> = own
            .flat_map(|(_, text)| lines_of_handlers(text, &name))
            .collect();
        assert!(!lengths.is_empty(), "{module}::{name} was found");
        if lengths.iter().any(|length| *length > HANDLER_MOST) {
            long.insert(format!("{module}::{name}"));
        }
    }
    none_is("has more than 20 lines", &long);
}

#[test]
fn no_line_of_a_template_is_wide() {
    let is_wide = |line: &str| line.chars().count() > LINE_MOST;
    let wide = where_it_is(&templates(), |text| text.lines().any(is_wide));
    none_is("has a line of more than 160 signs", &wide);
}

/// A key that a template spells by itself is renamed in one place and not in the other.
#[test]
fn no_template_spells_the_key_of_a_hidden_field_or_a_button() {
    let is_spelled = |field: &str| {
        let name = field.split("name=\"").nth(1).unwrap_or_default();
        !name.starts_with("{{")
    };
    // Which of two buttons was pressed is the page's own affair.
    let is_sent = |button: &str| {
        let button = button.split_once('>').map_or(button, |(button, _)| button);
        button.contains("name=\"") && !button.contains("name=\"go\"") && is_spelled(button)
    };
    let spells = |text: &str| {
        let mut fields = text.split("type=\"hidden\"").skip(1);
        let mut buttons = text.split("<button").skip(1);
        fields.any(is_spelled) || buttons.any(is_sent)
    };
    assert!(spells(
        "<input type=\"hidden\" name=\"version\" value=\"1\">"
    ));
    assert!(spells("<button name=\"mine\" value=\"yes\">Mine</button>"));
    assert!(!spells("<button name=\"go\" value=\"save\">Save</button>"));
    none_is(
        "spells the key of a hidden field or a button",
        &where_it_is(&templates(), spells),
    );
}

/// A variant that is renamed would be compared with nothing, and no compiler says so.
#[test]
fn no_template_compares_what_debug_writes() {
    let is_name = |rest: &str| rest.starts_with(|sign: char| sign.is_ascii_uppercase());
    let compares = |text: &str| {
        let asked = text.split("is(\"").skip(1);
        let equal = text.split("== \"").skip(1);
        text.contains("{:?}") || text.contains("|fmt(\"{:?}") || asked.chain(equal).any(is_name)
    };
    let found = where_it_is(&templates(), compares);
    none_is("compares a variant's name", &found);
}
