//! Which materials a text names. Small letters, hyphens and strokes make no difference; what a text says not to be
//! there is not there.

use super::material::{Family, MaterialKind, TABLE, entry};
use super::substance::{BREAKS, word_at};

/// What a text about materials says.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Named {
    pub materials: Vec<MaterialKind>,
    /// Phrases that name something which is not known here.
    pub unknown: Vec<String>,
}

impl Named {
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

/// Words before a name that say it is not there, and words that may stand between.
const NOT: &[&str] = &[
    "no", "non", "not", "never", "without", "avoid", "avoiding", "exclude", "excluded", "instead",
    "free",
];
const BETWEEN: &[&str] = &["and", "or", "of", "from", "any", "nor"];

/// The words of a text as written, without what joins or parts them.
pub(super) fn tokens(text: &str) -> Vec<String> {
    text.split(|sign: char| !sign.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Whether what stands at these words is said not to be there.
pub(super) fn is_negated(words: &[String], lower: &[String], place: usize, length: usize) -> bool {
    let is_passed = |at: usize| {
        let word = lower.get(at).map(String::as_str).unwrap_or_default();
        BETWEEN.contains(&word) || word_at(words, lower, at).is_some()
    };
    // "nickel- and cobalt-free": one "free" behind the list clears all of it.
    let mut behind = place + length;
    while is_passed(behind) {
        behind += 1;
    }
    if lower.get(behind).is_some_and(|word| word == "free")
        // "free of gold" clears what follows and not what stands before it.
        && !lower.get(behind + 1).is_some_and(|word| word == "of" || word == "from")
    {
        return true;
    }
    let mut before = place;
    while before > 0 && is_passed(before - 1) {
        before -= 1;
    }
    let word = before.checked_sub(1).and_then(|at| lower.get(at));
    let Some(word) = word.map(String::as_str) else {
        return false;
    };
    // "nickel-free cobalt-chromium": the word before belongs to what stands before it.
    let belongs_before = word == "free"
        && before >= 2
        && word_at(words, lower, before - 2).is_some()
        && !lower
            .get(before)
            .is_some_and(|next| next == "of" || next == "from");
    NOT.contains(&word) && !belongs_before
}

/// Everything that a text names.
pub fn read(text: &str) -> Named {
    let mut named = Named::default();
    for segment in text.split(BREAKS) {
        read_segment(segment, &mut named);
    }
    drop_the_general(&mut named.materials);
    named
}

fn read_segment(segment: &str, named: &mut Named) {
    let words = tokens(segment);
    let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
    let (mut found_any, mut place, mut left) = (false, 0, Vec::new());
    while place < lower.len() {
        match material_at(&lower, place) {
            Some((material, length)) => {
                found_any = true;
                if !is_negated(&words, &lower, place, length) {
                    named.add(material);
                }
                place += length;
            }
            None => {
                left.extend(lower.get(place).map(String::as_str));
                place += 1;
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

/// The material that is named from this word on, by the longest of its names.
fn material_at(lower: &[String], place: usize) -> Option<(MaterialKind, usize)> {
    let fits = |material: MaterialKind, phrase: &str| {
        let length = phrase.split(' ').count();
        let here = lower.get(place..place + length)?;
        here.iter()
            .map(String::as_str)
            .eq(phrase.split(' '))
            .then_some((material, length))
    };
    TABLE
        .iter()
        .flat_map(|entry| entry.words.iter().map(move |phrase| (entry.kind, *phrase)))
        .filter_map(|(material, phrase)| fits(material, phrase))
        .max_by_key(|(_, length)| *length)
}

/// "Acrylic" beside "heat-cured resin", or "mesh" beside "titanium", says nothing more.
fn drop_the_general(materials: &mut Vec<MaterialKind>) {
    let special: Vec<Family> = materials
        .iter()
        .map(|material| entry(*material))
        .filter(|entry| !entry.is_general)
        .map(|entry| entry.family)
        .collect();
    materials.retain(|material| {
        let entry = entry(*material);
        !entry.is_general || !special.contains(&entry.family)
    });
}
