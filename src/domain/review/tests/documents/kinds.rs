//! Whole prescriptions written as text: two ordinary and three careless ones of each kind of work that is no plain copy.

use super::*;
use crate::domain::review::Finding;

const KINDS: &str = include_str!("kinds.txt");

/// A careless variant: what it replaces, what the patient wears then, what it raises.
struct Variant {
    edits: Edits<'static>,
    wears: [&'static str; 2],
    must: Vec<&'static str>,
}

struct Kind {
    whole: Whole,
    variants: Vec<Variant>,
}

/// Kept for good: a document of the tests is of that life.
fn kept<T>(list: Vec<T>) -> &'static [T] {
    Box::leak(list.into_boxed_slice())
}

fn pairs(text: &'static str) -> Vec<(&'static str, &'static str)> {
    let pairs = text
        .split(";;")
        .map(|pair| pair.split_once('=').expect(pair));
    pairs
        .map(|(key, value)| (key.trim(), value.trim()))
        .collect()
}

fn block(name: &str) -> &'static [(&'static str, &'static str)] {
    match name {
        "HEIGHTS" => HEIGHTS,
        "BITE" => BITE,
        "FACEBOW" => FACEBOW,
        "PLANE" => PLANE,
        "UPPER_TEETH" => UPPER_TEETH,
        "LOWER_TEETH" => LOWER_TEETH,
        "ARRANGED" => ARRANGED,
        "SHADE" => SHADE,
        "IMPRESSION" => IMPRESSION,
        "CARVED" => CARVED,
        "BASE" => BASE,
        "LONG" => LONG,
        "SHORT" => SHORT,
        _ => panic!("no block is called {name}"),
    }
}

fn arch(word: &str) -> Option<Arch> {
    match word {
        "upper" => UPPER,
        "lower" => LOWER,
        _ => None,
    }
}

fn thing(text: &'static str) -> Thing {
    let words: Vec<&str> = text.split_whitespace().collect();
    let [name, kind, of, holder] = words[..] else {
        panic!("a thing has four words: {text}");
    };
    let kind = match kind {
        "impression" => ItemKind::Impression,
        "final_denture" => ItemKind::FinalDenture,
        "cast" => ItemKind::Cast,
        "bite_record" => ItemKind::BiteRecord,
        "facebow_record" => ItemKind::FacebowRecord,
        "provisional" => ItemKind::Provisional,
        "duplicate" => ItemKind::Duplicate,
        "rims" => ItemKind::Rims,
        "old_denture" => ItemKind::OldDenture,
        "scan" => ItemKind::Scan,
        "try_in" => ItemKind::TryIn,
        _ => panic!("no thing is called {kind}"),
    };
    let holder = match holder {
        "office" => Holder::Office,
        "lab" => Holder::Lab,
        _ => Holder::Patient,
    };
    (name, kind, arch(of), holder)
}

fn worn(text: &'static str) -> [&'static str; 2] {
    let of = |place: usize| text.split_whitespace().nth(place).filter(|one| *one != "-");
    [of(0).unwrap_or_default(), of(1).unwrap_or_default()]
}

fn words(text: &'static str) -> Vec<&'static str> {
    text.split_whitespace().collect()
}

fn kind(paragraph: &'static str) -> Kind {
    let mut lines = paragraph
        .lines()
        .map(|line| line.split_once(':').expect(line));
    let mut next = |name: &str| {
        let (found, text) = lines.next().expect(name);
        assert_eq!(found, name);
        text.trim()
    };
    let course = Course::from_word(next("course")).expect("a course");
    let arches = match next("arches") {
        "upper" => Arches::Upper,
        "lower" => Arches::Lower,
        _ => Arches::Both,
    };
    let things = kept(next("things").split(',').map(thing).collect());
    let wears = worn(next("wears"));
    let natural = kept(
        next("natural")
            .split_whitespace()
            .filter_map(arch)
            .collect(),
    );
    let sent = kept(words(next("sent")));
    let mut fields: Vec<_> = next("use").split_whitespace().map(block).collect();
    let (mut raises, mut variants) = (Vec::new(), Vec::<Variant>::new());
    for (name, text) in lines {
        let text = text.trim();
        match (name, variants.last_mut()) {
            ("doc", _) => fields.push(kept(pairs(text))),
            ("raises", _) => raises = words(text),
            ("careless", _) => variants.push(Variant {
                edits: kept(pairs(text)),
                wears,
                must: Vec::new(),
            }),
            ("wears", Some(variant)) => variant.wears = worn(text),
            ("must", Some(variant)) => variant.must = words(text),
            _ => panic!("no line is called {name}"),
        }
    }
    let whole = Whole {
        course,
        arches,
        things,
        wears,
        natural,
        sent,
        fields: kept(fields),
        points: 0,
        raises: kept(raises),
        careless: &[],
        context: as_it_is,
        asked: &[],
    };
    Kind { whole, variants }
}

fn kinds(text: &'static str) -> Vec<Kind> {
    let paragraphs = text.split("\n\n").map(str::trim);
    let paragraphs = paragraphs.filter(|one| !one.is_empty() && !one.starts_with('#'));
    paragraphs.map(kind).collect()
}

/// What a document raises with some answers replaced, those of the patient's card among them.
fn raised(whole: &Whole, edits: Edits<'_>, wears: [&str; 2], is_written: bool) -> Vec<Finding> {
    let (of_card, of_document): (Vec<_>, Vec<_>) = edits
        .iter()
        .partition(|(key, _)| key.starts_with("patient."));
    let mut document = whole.document(&of_document, is_written);
    // A careless one may leave the kind of work open.
    if edits.contains(&("order.course", "")) {
        document.order.course = None;
    }
    let mut setting = whole.setting();
    let tag = |name: &str| (!name.is_empty()).then(|| whole.tag(name));
    (setting.worn_upper, setting.worn_lower) = (tag(wears[0]), tag(wears[1]));
    let mut card = sample::patient_raw();
    of_card.into_iter().for_each(|one| edit(&mut card, one));
    let card = patient::read(&card);
    assert_eq!(card.faults, [], "{edits:?}");
    setting.patient = Some(card.patient);
    review(&document, &setting)
}

/// All that the careless ones raise.
pub(super) fn all_raised() -> Vec<Finding> {
    let mut all = Vec::new();
    for Kind { whole, variants } in kinds(KINDS) {
        for one in variants {
            all.extend(raised(&whole, one.edits, one.wears, true));
        }
    }
    all
}

/// What differs from what is expected, one line for each document.
fn differences(text: &'static str) -> Vec<String> {
    let mut found = Vec::new();
    for Kind { whole, variants } in kinds(text) {
        let ordinary = (&[] as Edits<'_>, whole.wears, whole.raises.to_vec());
        let careless = variants
            .into_iter()
            .map(|one| (one.edits, one.wears, one.must));
        for (edits, wears, mut wanted) in std::iter::once(ordinary).chain(careless) {
            for is_written in [true, false] {
                let findings = raised(&whole, edits, wears, is_written);
                let mut here = ids(&findings);
                here.sort_unstable();
                wanted.sort_unstable();
                if here != wanted {
                    let said = findings
                        .iter()
                        .map(|one| format!("\n    {}: {}", one.id, one.sentence));
                    found.push(format!(
                        "{:?} {:?} {edits:?}, written {is_written}\n  not found {:?}\n  not wanted {:?}{}",
                        whole.course,
                        whole.arches,
                        wanted.iter().filter(|one| !here.contains(one)).collect::<Vec<_>>(),
                        here.iter().filter(|one| !wanted.contains(one)).collect::<Vec<_>>(),
                        said.collect::<String>(),
                    ));
                }
            }
        }
    }
    found
}

#[test]
fn each_kind_of_work_raises_what_it_should_and_nothing_else() {
    let found = differences(KINDS);
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn each_kind_has_two_ordinary_documents_and_three_careless_ones_each() {
    let kinds = kinds(KINDS);
    let of = |course: Course| {
        kinds
            .iter()
            .filter(|one| one.whole.course == course)
            .count()
    };
    for (course, count) in [
        (Course::Immediate, 2),
        (Course::Single, 2),
        (Course::Reline, 2),
        (Course::Repair, 2),
        (Course::DigitalCopy, 2),
        (Course::SetUp, 2),
        (Course::Finish, 3),
        (Course::Duplicate, 1),
    ] {
        assert_eq!(of(course), count, "{course:?}");
    }
    assert!(kinds.iter().all(|one| one.variants.len() == 3));
    // Every point that applies is met by an ordinary one.
    for Kind { whole, .. } in &kinds {
        let criteria = criteria(&whole.document(&[], false), &whole.setting());
        assert_eq!(score(&criteria), applying(&criteria), "{:?}", whole.course);
    }
}
