//! Words that nobody should read on a screen or a paper: they blame, or they are a programmer's.

use crate::{files, templates};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Held against the whole words of a text, whatever their case.
const NEVER: [&str; 6] = ["invalid", "illegal", "fatal", "null", "unexpected", "(s)"];

/// Riddles, sermons and private idiom that stood here once, each with what is said instead.
const RETIRED: [(&str, &str); 39] = [
    ("in my hand, tag compared", "tag checked against the item"),
    ("somewhere in the house", "move it (shelf, tray, oven)"),
    (">prescription in force", "current prescription"),
    ("where everything was", "where each item has been"),
    ("time runs to the right", "time runs left to right"),
    ("the same as a table", "show as a table"),
    ("on hold, work waits", "on hold"),
    (
        "it happened earlier: copied from paper",
        "enter a past event from paper",
    ),
    ("a person of yours", "one of your staff"),
    ("own receiving place", "a separate receiving area"),
    (
        "an item without a mark of disinfection",
        "marked as disinfected",
    ),
    ("waits meanwhile", "on hold"),
    ("has to answer", "must reply"),
    ("somebody was faster", "someone else has just done this"),
    ("is my work safe", "what happened to your entry"),
    ("nothing is here", "page not found"),
    ("where it was at a moment", "location at a given time"),
    ("it is lent", "it is on loan"),
    ("a printer of labels", "a label printer"),
    ("of my own measures", "custom sheet size"),
    ("a minus moves", "negative moves"),
    ("load it anew", "replace the list"),
    ("leave it</a>", "cancel"),
    (
        "points that labs look for are said",
        "lab essentials are filled in",
    ),
    ("told by the other house", "told by the other side"),
    ("several things at once", "several items at once"),
    ("missing from the parcel” is an answer", "or missing"),
    (
        "the time and its offset are written",
        "your name and the time are recorded",
    ),
    ("room from canine", "space from canine to retromolar pad"),
    ("set letter", "set (1st, 2nd)"),
    ("roll of the border to keep", "border roll to preserve"),
    ("taken from the mouth at", "removed from the mouth at"),
    ("narrow from cheek to tongue", "narrow buccolingually"),
    ("ground in by", "selective grinding by"),
    ("midline to be moved", "move the midline by"),
    ("means nothing without", "needs the guide it belongs to"),
    (" anew", "again"),
    (" nought", "zero"),
    (" spoilt", "wasted"),
];

/// The other spelling of a word, with the American one, which what users read keeps to. A mould of teeth keeps its u: so the
/// trade's own lists spell it on both sides of the ocean.
const SPELLED: [(&str, &str); 21] = [
    ("licence", "license"),
    ("licences", "licenses"),
    ("cancelled", "canceled"),
    ("labelled", "labeled"),
    ("authorisation", "authorization"),
    ("authorisations", "authorizations"),
    ("authorised", "authorized"),
    ("sterilised", "sterilized"),
    ("millimetre", "millimeter"),
    ("millimetres", "millimeters"),
    ("colour", "color"),
    ("colours", "colors"),
    ("coloured", "colored"),
    ("fibre", "fiber"),
    ("fibres", "fibers"),
    ("vapour", "vapor"),
    ("flavour", "flavor"),
    ("aluminium", "aluminum"),
    ("individualise", "individualize"),
    ("characterisation", "characterization"),
    ("tooth-coloured", "tooth-colored"),
];

/// Where texts are not ours to spell, or stay as they were signed: the database's language, the words by which a text is
/// read, and what was signed in another spelling.
const SPELLED_AS_IT_IS: [&str; 9] = [
    "src/store/",
    "src/record/",
    "src/papers/sheet/front.rs",
    "/prescription/earlier_words.rs",
    "/prescription/textbook_list.rs",
    "/review/rule.rs",
    "/substances/",
    "/mesh/",
    "/values/",
];

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

/// The texts of a script of a page: in quotation marks of any kind, and in no comment.
fn texts_of_script(source: &str) -> Vec<String> {
    let (mut found, mut text, mut before) = (Vec::new(), None::<(char, String)>, ' ');
    let mut letters = source.chars().peekable();
    while let Some(letter) = letters.next() {
        match (&mut text, letter) {
            (None, '/') if letters.peek() == Some(&'/') => {
                while letters.next_if(|next| *next != '\n').is_some() {}
            }
            (None, '/') if letters.peek() == Some(&'*') => {
                let mut star = ' ';
                while let Some(next) = letters.next_if(|next| !(star == '*' && *next == '/')) {
                    star = next;
                }
            }
            (None, '"' | '\'' | '`') => text = Some((letter, String::new())),
            (Some((mark, whole)), letter) if letter == *mark && before != '\\' => {
                found.push(std::mem::take(whole));
                text = None;
            }
            (Some((_, whole)), letter) => whole.push(letter),
            (None, _) => {}
        }
        before = if before == '\\' { ' ' } else { letter };
    }
    found
}

/// Each script of a page with its texts.
fn scripts() -> Vec<(String, Vec<String>)> {
    let entries = std::fs::read_dir("static").unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    let scripts = paths.filter(|path| path.extension().is_some_and(|end| end == "js"));
    let read = |path: std::path::PathBuf| {
        let source = std::fs::read_to_string(&path).unwrap();
        (
            path.to_string_lossy().into_owned(),
            texts_of_script(&source),
        )
    };
    scripts.map(read).collect()
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
    let of_scripts = scripts();
    let notice = of_scripts.iter().flat_map(|(_, texts)| texts);
    let sentences = notice.filter(|text| text.split(' ').count() >= 4);
    assert!(
        sentences.count() > 20,
        "the sentences of the scripts were found"
    );
    for (name, texts) in of_scripts {
        all.extend(texts.into_iter().map(|text| (name.clone(), text)));
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

/// What is said between two marks of a template, each by itself.
fn pieces(template: &str) -> Vec<String> {
    let pieces = template.split(['<', '>', '{', '}']);
    pieces.map(str::to_owned).collect()
}

/// A sentence that a second language would have to find twice: long enough to be no label.
fn is_sentence(text: &str) -> bool {
    let is_query = ["SELECT ", "INSERT ", "UPDATE ", "DELETE "];
    let is_mark = text.contains("=\"") || text.starts_with('%');
    text.chars().count() >= 40
        && text.split(' ').count() >= 6
        && !is_mark
        && !is_query.iter().any(|word| text.contains(word))
}

/// Texts that are data: what people of the demo and of samples write.
fn is_data(name: &str) -> bool {
    let parts = ["/tests.rs", "/tests/", "sample.rs", "samples.rs", "/demo/"];
    parts.iter().any(|part| name.contains(part))
}

#[test]
fn every_sentence_stands_in_one_place() {
    let mut paths = Vec::new();
    files(Path::new("src"), &mut paths);
    let mut seen: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut add = |name: &str, text: &str| {
        let lines = text.split("\\\n").collect::<String>();
        let text = lines.split_whitespace().collect::<Vec<_>>().join(" ");
        if is_sentence(&text) {
            seen.entry(text).or_default().push(name.to_owned());
        }
    };
    for path in paths {
        let name = path.to_string_lossy().replace('\\', "/");
        if !is_data(&name) {
            let source = std::fs::read_to_string(&path).unwrap();
            texts(&source).iter().for_each(|text| add(&name, text));
        }
    }
    for path in templates() {
        let template = std::fs::read_to_string(&path).unwrap();
        let name = path.to_string_lossy();
        pieces(&template).iter().for_each(|text| add(&name, text));
    }
    assert!(seen.len() > 2_000, "sentences were found: {}", seen.len());
    let twice = seen.iter().filter(|(_, names)| names.len() > 1);
    let twice: Vec<_> = twice
        .map(|(text, names)| format!("{text}\n    {}", names.join(", ")))
        .collect();
    assert!(twice.is_empty(), "{}", twice.join("\n"));
}

#[test]
fn no_wording_comes_back_that_a_reader_stumbled_over() {
    let mut paths = Vec::new();
    files(Path::new("src"), &mut paths);
    // What was signed or printed stays in its words; what decides about it is not read by anybody.
    let is_kept = |name: &str| {
        let is_of_the_form = name.contains("/prescription/parts/");
        name.contains("/papers/") || name.contains("/prescription/") && !is_of_the_form
    };
    paths.retain(|path| {
        let name = path.to_string_lossy().replace('\\', "/");
        !(name.ends_with("/tests.rs") || name.contains("/tests/") || is_kept(&name))
    });
    let of_program = paths.iter().map(|path| {
        let source = std::fs::read_to_string(path).unwrap();
        (path.clone(), texts(&source).join("\n"))
    });
    let of_pages = templates().into_iter().map(|path| {
        let page = std::fs::read_to_string(&path).unwrap();
        (path, page)
    });
    let mut found = Vec::new();
    let of_scripts = scripts().into_iter();
    let of_scripts =
        of_scripts.map(|(name, texts)| (std::path::PathBuf::from(name), texts.join("\n")));
    for (path, text) in of_program.chain(of_pages).chain(of_scripts) {
        let text = text.to_lowercase();
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for (retired, instead) in RETIRED {
            if text.contains(retired) {
                found.push(format!("{}: “{retired}”; say “{instead}”", path.display()));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn what_users_read_is_spelled_in_one_way() {
    let mut paths = Vec::new();
    files(Path::new("src"), &mut paths);
    let mut all = Vec::new();
    for path in paths {
        let name = path.to_string_lossy().replace('\\', "/");
        let is_kept = SPELLED_AS_IT_IS.iter().any(|part| name.contains(part));
        if is_data(&name) || is_kept {
            continue;
        }
        let source = std::fs::read_to_string(&path).unwrap();
        let sentences = texts(&source).into_iter().filter(|text| text.contains(' '));
        all.extend(sentences.map(|text| (name.clone(), said(&text))));
    }
    for path in templates() {
        let template = std::fs::read_to_string(&path).unwrap();
        all.push((path.to_string_lossy().into_owned(), said(&template)));
    }
    for (name, texts) in scripts() {
        let sentences = texts.into_iter().filter(|text| text.contains(' '));
        all.extend(sentences.map(|text| (name.clone(), text)));
    }
    assert!(all.len() > 4_000, "sentences were found: {}", all.len());
    let mut found = BTreeSet::new();
    for (name, text) in &all {
        for (other, ours) in SPELLED {
            if has(text, other) {
                found.insert(format!("{name}: “{other}”; say “{ours}”: {text}"));
            }
        }
    }
    let found: Vec<_> = found.into_iter().collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn texts_and_words_are_told_apart() {
    assert_eq!(texts("say(\"one\"); '\"'; say(\"two \\\" more\")").len(), 2);
    let script = "say(\"one\", 'two', `three`); // don't\n/* \"four\" */ say('it\\'s');";
    assert_eq!(texts_of_script(script), ["one", "two", "three", "it\\'s"]);
    assert_eq!(said("<p class=\"a\">Hello {{ name }}</p>"), "Hello ");
    assert!(has("An Invalid date", "invalid") && !has("aria-invalid", "invalid"));
    assert!(has("2 row(s).", "(s)") && !has("nullify", "null"));
}
