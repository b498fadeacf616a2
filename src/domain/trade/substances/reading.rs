//! Which materials a text names. Small letters, hyphens and strokes make no difference; what a text says not to be
//! there is not there.

use super::material::{MaterialKind, TABLE, entry};
use super::negated::{NOT, is_negated};
use super::substance::{Substance, word_at};
use super::words::{BREAKS, tokens};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// What a text about materials says.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MaterialsNamed {
    pub materials: Vec<MaterialKind>,
    /// Phrases that name something which is not known here.
    pub unknown: Vec<String>,
}

impl MaterialsNamed {
    fn add(&mut self, material: MaterialKind) {
        if !self.materials.contains(&material) {
            self.materials.push(material);
        }
    }
}

/// Words that say how, where or how many, and name no material.
const NEUTRAL: &[&str] = &[
    "a",
    "added",
    "all",
    "an",
    "and",
    "anterior",
    "are",
    "arch",
    "arches",
    "as",
    "at",
    "back",
    "base",
    "bases",
    "beads",
    "block",
    "blocks",
    "both",
    "by",
    "canine",
    "centric",
    "clear",
    "color",
    "colored",
    "colors",
    "colour",
    "coloured",
    "colours",
    "common",
    "complete",
    "conventional",
    "copy",
    "crystal",
    "cured",
    "denture",
    "dentures",
    "dual",
    "each",
    "existing",
    "final",
    "flange",
    "for",
    "from",
    "front",
    "full",
    "good",
    "gum",
    "half",
    "hard",
    "high",
    "in",
    "inserts",
    "its",
    "jaw",
    "judges",
    "label",
    "lab",
    "layer",
    "left",
    "light",
    "lower",
    "made",
    "maker",
    "mandibular",
    "maxillary",
    "medium",
    "mm",
    "mould",
    "named",
    "new",
    "no",
    "none",
    "normal",
    "of",
    "office",
    "old",
    "on",
    "one",
    "only",
    "or",
    "our",
    "palate",
    "part",
    "parts",
    "per",
    "piece",
    "pieces",
    "pink",
    "posterior",
    "powder",
    "product",
    "quality",
    "ready",
    "record",
    "regular",
    "reset",
    "right",
    "rim",
    "rims",
    "same",
    "set",
    "sets",
    "shade",
    "sheet",
    "soft",
    "stage",
    "standard",
    "strip",
    "surface",
    "surgical",
    "teeth",
    "the",
    "their",
    "thick",
    "thin",
    "three",
    "tinted",
    "to",
    "tooth",
    "transparent",
    "tray",
    "tried",
    "twice",
    "two",
    "type",
    "up",
    "upper",
    "use",
    "used",
    "usual",
    "veneer",
    "white",
    "whole",
    "with",
];

/// Words of a sentence that warns of something and does not order it.
const WARNS: &[&str] = &[
    "allergic",
    "allergies",
    "allergy",
    "intolerance",
    "intolerant",
    "rash",
    "react",
    "reacted",
    "reaction",
    "reacts",
    "sensitised",
    "sensitive",
    "sensitivity",
    "sensitized",
];

/// Words that are a metal in a list of materials, and in prose mostly something else.
const OTHERWISE_IN_PROSE: &[&str] = &["mesh", "bar"];

/// Chemical signs that begin a sentence or name a company in prose.
const NO_SIGN_IN_PROSE: &[&str] = &["Be", "Co"];

/// Everything that a text names.
pub fn read(text: &str) -> MaterialsNamed {
    let mut named = MaterialsNamed::default();
    for segment in text.split(BREAKS) {
        read_segment(segment, false, &mut named);
    }
    drop_the_general(&mut named.materials);
    named
}

/// What prose orders or tells of: what it warns of is not read, and what it names and is not known is left alone.
pub fn read_prose(text: &str) -> MaterialsNamed {
    let mut named = MaterialsNamed::default();
    for segment in ordering(text) {
        read_segment(segment, true, &mut named);
    }
    named.unknown.clear();
    drop_the_general(&mut named.materials);
    named
}

/// The phrases of a text that do not warn of what they name.
fn ordering(text: &str) -> impl Iterator<Item = &str> {
    text.split(BREAKS).filter(|segment| {
        let words = tokens(segment);
        let mut words = words.iter().map(|word| word.to_lowercase());
        !words.any(|word| WARNS.contains(&word.as_str()))
    })
}

/// Whether prose names a substance by itself, and not by a material that holds it: "nickel silver" does, "rubber
/// base" holds no rubber.
pub fn tells_of(text: &str, substance: Substance) -> bool {
    ordering(text).any(|segment| {
        let words = tokens(segment);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        let mut place = 0;
        while place < lower.len() {
            let found = word_at(&words, &lower, place).filter(|_| {
                let is_sign = |word: &String| NO_SIGN_IN_PROSE.contains(&word.as_str());
                !words.get(place).is_some_and(is_sign)
            });
            let length = found.map_or(0, |(_, length)| length);
            match material_at(&lower, place).filter(|(_, longer)| *longer > length) {
                Some((_, longer)) => place += longer,
                None => {
                    let is_it = found.is_some_and(|(found, _)| found == substance);
                    if is_it && !is_negated(&words, &lower, place, length) {
                        return true;
                    }
                    place += length.max(1);
                }
            }
        }
        false
    })
}

/// What a list of things not to be used names as materials, and what is left of it: a nickel-chromium wire that is
/// not to be used keeps no other chromium away.
pub fn not_to_be_used(text: &str) -> (Vec<MaterialKind>, String) {
    let (mut materials, mut left) = (Vec::new(), Vec::new());
    for segment in text.split(BREAKS) {
        let words = tokens(segment);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        let (mut place, mut others, mut is_special) = (0, Vec::new(), false);
        while place < lower.len() {
            let of_substance = word_at(&words, &lower, place).map_or(0, |(_, length)| length);
            match material_at(&lower, place).filter(|(_, length)| *length > of_substance) {
                Some((material, length)) if !entry(material).is_general => {
                    is_special = true;
                    materials.push(material);
                    place += length;
                }
                found => {
                    let is_general = found.is_some();
                    let length = found.map_or(of_substance, |(_, length)| length).max(1);
                    let here = lower.len().min(place + length);
                    let said = words.get(place..here).unwrap_or_default().join(" ");
                    others.push((said, is_general));
                    place += length;
                }
            }
        }
        // "Wire" beside its alloy says nothing more.
        others.retain(|(_, is_general)| !(*is_general && is_special));
        left.extend(others.into_iter().map(|(said, _)| said));
        left.push(",".to_owned());
    }
    (materials, left.join(" "))
}

fn read_segment(segment: &str, is_prose: bool, named: &mut MaterialsNamed) {
    let words = tokens(segment);
    let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
    let (mut found_any, mut place, mut left) = (false, 0, Vec::new());
    while place < lower.len() {
        let is_otherwise = |(material, length): &(MaterialKind, usize)| {
            let word = lower.get(place).map(String::as_str).unwrap_or_default();
            let is_short = *material == MaterialKind::AnyMetal && *length == 1;
            is_prose && is_short && OTHERWISE_IN_PROSE.contains(&word)
        };
        match material_at(&lower, place).filter(|found| !is_otherwise(found)) {
            Some((material, length)) => {
                found_any = true;
                if !is_negated(&words, &lower, place, length) {
                    named.add(material);
                }
                place += length;
            }
            None => {
                // "No nickel" names a substance that is not there, and no material that nobody knows.
                let substance = word_at(&words, &lower, place);
                let denied =
                    substance.filter(|(_, length)| is_negated(&words, &lower, place, *length));
                match denied {
                    Some((_, length)) => place += length.max(1),
                    None => {
                        left.extend(lower.get(place).map(String::as_str));
                        place += 1;
                    }
                }
            }
        }
    }
    if !found_any && left.iter().any(|word| is_a_name(word)) {
        named.unknown.push(segment.trim().to_owned());
    }
}

/// Whether a word may be the name of a thing.
fn is_a_name(word: &str) -> bool {
    let letters = word.chars().filter(|sign| sign.is_alphabetic()).count();
    letters >= 2 && !NEUTRAL.contains(&word) && !NOT.contains(&word)
}

/// A material, and what follows the first word of one of its names.
type FurtherWords = (MaterialKind, Vec<&'static str>);

/// The names of materials by their first word, each with its further words: a long text is read without walking all
/// of them at each of its words.
static BY_FIRST_WORD: LazyLock<BTreeMap<&str, Vec<FurtherWords>>> = LazyLock::new(|| {
    let mut names: BTreeMap<&str, Vec<FurtherWords>> = BTreeMap::new();
    for entry in TABLE {
        for phrase in entry.words {
            let mut words = phrase.split(' ');
            let first = words.next().unwrap_or_default();
            let further = words.collect();
            names.entry(first).or_default().push((entry.kind, further));
        }
    }
    names
});

/// The material that is named from this word on, by the longest of its names.
fn material_at(lower: &[String], place: usize) -> Option<(MaterialKind, usize)> {
    let names = BY_FIRST_WORD.get(lower.get(place)?.as_str())?;
    let fits = |(material, further): &FurtherWords| {
        let here = lower.get(place + 1..place + 1 + further.len())?;
        let is_here = here.iter().map(String::as_str).eq(further.iter().copied());
        is_here.then_some((*material, further.len() + 1))
    };
    names
        .iter()
        .filter_map(fits)
        .max_by_key(|(_, length)| *length)
}

/// "Acrylic" beside "heat-cured resin", or "mesh" beside "titanium", says nothing more. Beside a resin that is none,
/// such as polyamide, "acrylic" names another part.
fn drop_the_general(materials: &mut Vec<MaterialKind>) {
    let is_acrylic = |kind: MaterialKind| entry(kind).holding(Substance::Methacrylates).is_some();
    let special: Vec<MaterialKind> = materials
        .iter()
        .copied()
        .filter(|material| !entry(*material).is_general)
        .collect();
    let says_more = |general: MaterialKind| {
        special.iter().any(|one| {
            entry(*one).family == entry(general).family
                && (general != MaterialKind::Acrylic || is_acrylic(*one))
        })
    };
    materials.retain(|material| !entry(*material).is_general || !says_more(*material));
}
