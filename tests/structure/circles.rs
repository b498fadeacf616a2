//! No file names another that leads back to it. A `mod.rs` that only declares and re-exports its children
//! leads to them, and is in a circle only where one of them names it.

use crate::{Line, none_is, program};
use std::collections::{BTreeMap, BTreeSet};

type Module = Vec<String>;

fn module(path: &str) -> Module {
    let parts = path.split("::").filter(|part| !part.is_empty());
    parts.map(str::to_owned).collect()
}

/// `domain::custody` for `domain/custody/mod.rs`, and nothing for `lib.rs`.
fn module_of(file: &str) -> Module {
    let path = file.trim_end_matches(".rs").replace('/', "::");
    let path = path.strip_suffix("::mod").unwrap_or(&path);
    module(if path == "lib" { "" } else { path })
}

/// The paths of a tree of imports: `a::{b, c::d}` is `a::b` and `a::c::d`.
fn spread(tree: &str) -> Vec<String> {
    let tree = tree.trim();
    let Some((before, rest)) = tree.split_once('{') else {
        return vec![tree.to_owned()];
    };
    let inside = &rest[..rest.rfind('}').unwrap()];
    let (mut parts, mut depth) = (vec![String::new()], 0);
    for sign in inside.chars() {
        match sign {
            ',' if depth == 0 => parts.push(String::new()),
            _ => {
                depth += i32::from(sign == '{') - i32::from(sign == '}');
                parts.last_mut().unwrap().push(sign);
            }
        }
    }
    let parts = parts.iter().filter(|part| !part.trim().is_empty());
    parts
        .flat_map(|part| spread(part))
        .map(|path| format!("{before}{path}"))
        .collect()
}

/// What stands in imports, and the text without them.
fn imports(text: &str) -> (Vec<String>, String) {
    let (mut found, mut rest) = (Vec::new(), String::new());
    let mut open: Option<String> = None;
    for line in text.lines() {
        let begins = line.trim_start();
        let begins = begins.strip_prefix("pub(crate) ").unwrap_or(begins);
        let begins = begins.strip_prefix("pub(super) ").unwrap_or(begins);
        let begins = begins.strip_prefix("pub ").unwrap_or(begins);
        let tree = match (open.take(), begins.strip_prefix("use ")) {
            (Some(before), _) => before + line,
            (None, Some(tree)) => tree.to_owned(),
            (None, None) => {
                rest.push_str(line);
                rest.push('\n');
                continue;
            }
        };
        match tree.split_once(';') {
            Some((whole, _)) => found.extend(spread(whole)),
            None => open = Some(tree),
        }
    }
    (found, rest)
}

/// Paths that are written out where they are used. What a macro writes elsewhere begins with `$`.
fn written_out(text: &str) -> Vec<String> {
    let is_path = |sign: char| sign.is_alphanumeric() || "_:".contains(sign);
    let mut found = Vec::new();
    for start in ["crate::", "super::", "vestibule::"] {
        for (place, _) in text.match_indices(start) {
            let before = text[..place].chars().next_back();
            if !before.is_some_and(|sign| is_path(sign) || sign == '$') {
                let path = &text[place..];
                let end = path.find(|sign| !is_path(sign)).unwrap_or(path.len());
                found.push(path[..end].to_owned());
            }
        }
    }
    found
}

/// The module that a path in `own` leads to: the longest beginning that is one. `None` for another crate.
fn led_to(own: &Module, path: &str, modules: &BTreeMap<Module, String>) -> Option<Module> {
    let mut parts = module(&path.replace(' ', "")).into_iter().peekable();
    let first = parts.peek()?.clone();
    let mut at = own.clone();
    match first.as_str() {
        "crate" | "vestibule" => {
            parts.next();
            at.clear();
        }
        "self" => drop(parts.next()),
        "super" => {
            while parts.next_if(|part| part == "super").is_some() {
                at.pop();
            }
        }
        _ => {
            at.push(first.clone());
            if !modules.contains_key(&at) {
                return None;
            }
            at.pop();
        }
    }
    for part in parts {
        at.push(part);
        if !modules.contains_key(&at) {
            at.pop();
            break;
        }
    }
    Some(at)
}

/// Which modules each module names.
fn named(
    modules: &BTreeMap<Module, String>,
    texts: &BTreeMap<String, String>,
) -> BTreeMap<Module, BTreeSet<Module>> {
    let names = |(own, file): (&Module, &String)| {
        let (mut paths, rest) = imports(&texts[file]);
        paths.extend(written_out(&rest));
        let led = paths.iter().filter_map(|path| led_to(own, path, modules));
        (own.clone(), led.filter(|other| other != own).collect())
    };
    modules.iter().map(names).collect()
}

/// The modules from which a way leads back to themselves.
fn in_circles(names: &BTreeMap<Module, BTreeSet<Module>>) -> Vec<Module> {
    let comes_back = |own: &&Module| {
        let mut seen: BTreeSet<&Module> = BTreeSet::new();
        let mut next: Vec<&Module> = names[*own].iter().collect();
        while let Some(module) = next.pop() {
            if seen.insert(module) {
                next.extend(names.get(module).into_iter().flatten());
            }
        }
        seen.contains(own)
    };
    names.keys().filter(comes_back).cloned().collect()
}

fn texts(program: Vec<Line>) -> BTreeMap<String, String> {
    let mut texts: BTreeMap<String, String> = BTreeMap::new();
    for line in program {
        let text = texts.entry(line.file).or_default();
        text.push_str(&line.text);
        text.push('\n');
    }
    texts
}

fn circles_of(texts: &BTreeMap<String, String>) -> BTreeSet<String> {
    let modules: BTreeMap<Module, String> = texts
        .keys()
        .map(|file| (module_of(file), file.clone()))
        .collect();
    let names = named(&modules, texts);
    let found = in_circles(&names);
    found.iter().map(|module| modules[module].clone()).collect()
}

#[test]
fn no_file_leads_back_to_itself() {
    let texts = texts(program());
    assert!(texts.len() > 200, "{} files were read", texts.len());
    none_is("is in a circle of files", &circles_of(&texts));
}

/// The reading itself: a circle is seen in whatever way it is written, and where there is none, none is.
#[test]
fn a_circle_is_seen() {
    let of = |one: &str, other: &str| {
        let texts = BTreeMap::from([
            (
                "room/mod.rs".to_owned(),
                "mod one;\nmod other;\npub use one::One;\n".to_owned(),
            ),
            ("room/one.rs".to_owned(), one.to_owned()),
            ("room/other.rs".to_owned(), other.to_owned()),
        ]);
        circles_of(&texts).into_iter().collect::<Vec<_>>()
    };
    let both = ["room/one.rs", "room/other.rs"];
    assert_eq!(
        of("use super::other::Other;\n", "use crate::room::one::One;\n"),
        both
    );
    assert_eq!(
        of(
            "use crate::{\n    room::{other::Other},\n};\n",
            "fn f() { super::one::g() }\n"
        ),
        both
    );
    assert_eq!(
        of("use super::other::Other;\n", "use super::One;\n"),
        ["room/mod.rs", "room/one.rs", "room/other.rs"]
    );
    assert_eq!(
        of(
            "use super::other::Other;\n",
            "use std::fmt;\nmacro_rules! m { () => { $crate::room::one::g() } }\n"
        ),
        [""; 0]
    );
}
