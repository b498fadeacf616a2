//! Which materials a text names. Small letters, hyphens and strokes make no difference; what a text says not to be
//! there is not there.

use super::material::{Family, MaterialKind, entry};
use super::naming::material_at;
use super::negated::{NOT, is_negated};
use super::substance::{Substance, word_at};
use super::warned::warns;
use super::words::{BREAKS, phrases, tokens};

/// What a text about materials says.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MaterialsNamed {
    pub materials: Vec<MaterialKind>,
    /// Phrases that name something which is not known here.
    pub unknown: Vec<String>,
    /// What a material is said to be free of: "MMA-free cold-cured resin".
    pub free_of: Vec<(MaterialKind, Substance)>,
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
    "allowed",
    "an",
    "and",
    "anterior",
    "arch",
    "arches",
    "are",
    "as",
    "at",
    "back",
    "bar",
    "base",
    "batch",
    "be",
    "bases",
    "beads",
    "block",
    "blocks",
    "both",
    "by",
    "canine",
    "centric",
    "centrals",
    "central",
    "clear",
    "close",
    "closed",
    "color",
    "colored",
    "colors",
    "colour",
    "coloured",
    "colours",
    "common",
    "complete",
    "contour",
    "contoured",
    "conventional",
    "copy",
    "crystal",
    "custom",
    "cured",
    "denture",
    "dentures",
    "dual",
    "do",
    "each",
    "existing",
    "final",
    "finish",
    "finished",
    "fitting",
    "flange",
    "for",
    "from",
    "front",
    "full",
    "glazed",
    "good",
    "gum",
    "half",
    "handle",
    "handles",
    "hard",
    "high",
    "holes",
    "hour",
    "hours",
    "impressions",
    "impression",
    "in",
    "incisors",
    "incisor",
    "individual",
    "inserts",
    "is",
    "its",
    "jaw",
    "judges",
    "lab",
    "label",
    "laterals",
    "lateral",
    "layer",
    "lot",
    "long",
    "left",
    "lengths",
    "length",
    "light",
    "lower",
    "made",
    "maker",
    "mandibular",
    "maxillary",
    "may",
    "medium",
    "min",
    "minutes",
    "mm",
    "molars",
    "mould",
    "mouth",
    "molded",
    "moulded",
    "must",
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
    "open",
    "or",
    "our",
    "palate",
    "part",
    "parts",
    "per",
    "perforated",
    "piece",
    "pieces",
    "pink",
    "polished",
    "posterior",
    "pot",
    "powder",
    "premolars",
    "pressure",
    "product",
    "quality",
    "ready",
    "record",
    "regular",
    "reset",
    "retention",
    "right",
    "rim",
    "rims",
    "rugae",
    "same",
    "set",
    "sets",
    "shade",
    "sheet",
    "smooth",
    "soft",
    "special",
    "spacer",
    "stage",
    "standard",
    "stippled",
    "stippling",
    "stops",
    "strip",
    "surface",
    "surgical",
    "taken",
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
    "trays",
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
    "width",
    "wide",
    "wanted",
    "water",
    "whole",
    "with",
];

/// Words that are a metal in a list of materials, and in prose mostly something else.
const OTHERWISE_IN_PROSE: &[&str] = &["mesh", "bar"];

/// Chemical signs that begin a sentence or name a company in prose.
const NO_SIGN_IN_PROSE: &[&str] = &["Be", "Co"];

/// Everything that a text names.
pub fn read(text: &str) -> MaterialsNamed {
    let mut named = MaterialsNamed::default();
    for segment in phrases(text) {
        read_segment(&segment, false, &mut named);
    }
    drop_the_general(&mut named.materials);
    named
}

/// What prose orders or tells of: what it warns of is not read, and what it names and is not known is left alone.
pub fn read_prose(text: &str) -> MaterialsNamed {
    let mut named = MaterialsNamed::default();
    for segment in ordering(text) {
        read_segment(&segment, true, &mut named);
    }
    named.unknown.clear();
    drop_the_general(&mut named.materials);
    named
}

/// The phrases of a text that do not warn of what they name.
fn ordering(text: &str) -> impl Iterator<Item = String> {
    phrases(text).into_iter().filter(|segment| {
        let words = tokens(segment);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        !warns(&words, &lower)
    })
}

/// Whether prose names a substance by itself, and not by a material that holds it: "nickel silver" does, "rubber
/// base" holds no rubber.
pub fn mentions(text: &str, substance: Substance) -> bool {
    ordering(text).any(|segment| {
        let words = tokens(&segment);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        let mut place = 0;
        while place < lower.len() {
            let found = word_at(&words, &lower, place).filter(|_| {
                let is_sign = |word: &String| NO_SIGN_IN_PROSE.contains(&word.as_str());
                // "Cobalt-blue paper" is of a colour.
                let is_colour = lower.get(place + 1).is_some_and(|word| word == "blue");
                !is_colour && !words.get(place).is_some_and(is_sign)
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
    // "Resin with V2A bow": what is joined so is another thing, and is known or not by itself.
    let (mut parts, mut is_known, mut left) = (Vec::new(), false, Vec::new());
    let (mut place, mut here, mut free) = (0, Vec::new(), Vec::new());
    while let Some(word) = lower.get(place) {
        let is_otherwise = |(material, length): &(MaterialKind, usize)| {
            let is_short = *material == MaterialKind::AnyMetal && *length == 1;
            is_prose && is_short && OTHERWISE_IN_PROSE.contains(&word.as_str())
        };
        let found = material_at(&lower, place).filter(|found| !is_otherwise(found));
        match found.filter(|(_, length)| !is_no_material(&lower, place, *length)) {
            Some((material, length)) => {
                is_known = true;
                if is_negated(&words, &lower, place, length) {
                    // "Alcohol-free": the name of a material may be that of a substance.
                    free.extend(word_at(&words, &lower, place).map(|(substance, _)| substance));
                } else {
                    here.push(material);
                }
                place += length;
            }
            None if JOINS.contains(&word.as_str()) => {
                parts.push((is_known, std::mem::take(&mut left)));
                is_known = false;
                place += 1;
            }
            None => {
                // "No nickel" names a substance that is not there, and no material that nobody knows.
                let substance = word_at(&words, &lower, place);
                let denied =
                    substance.filter(|(_, length)| is_negated(&words, &lower, place, *length));
                match denied {
                    Some((substance, length)) => {
                        free.push(substance);
                        place += length.max(1);
                    }
                    None => {
                        left.extend(words.get(place).cloned());
                        place += 1;
                    }
                }
            }
        }
    }
    parts.push((is_known, left));
    // "Stainless steel, nickel-free": a phrase of nothing else is said of what stands before it.
    if here.is_empty() && !free.is_empty() {
        here.extend(named.materials.last().copied());
    }
    for &material in &here {
        named.add(material);
        named
            .free_of
            .extend(free.iter().map(|&substance| (material, substance)));
    }
    // What it warns of is no material that nobody knows.
    let warns = warns(&words, &lower);
    let is_joined = parts.len() > 1;
    for (_, left) in parts
        .into_iter()
        .filter(|(is_known, _)| !is_known && !warns)
    {
        if left.iter().any(|word| is_a_name(&word.to_lowercase())) {
            named.unknown.push(match is_joined {
                true => left.join(" "),
                false => segment.trim().to_owned(),
            });
        }
    }
}

/// What is made of plastic and is no part of the work.
const WRAPPED_IN: &[&str] = &["bag", "bags", "box", "boxes", "tub", "wrap", "container"];

/// Whether what is read as a material is none: "2 bar" is a pressure, a plastic bag no denture, and "lot 304" no steel
/// unless something of metal stands beside it.
fn is_no_material(lower: &[String], place: usize, length: usize) -> bool {
    let is_figure = |word: &String| word.chars().all(|sign| sign.is_ascii_digit());
    let name = lower.get(place..place + length).unwrap_or_default();
    if name == ["bar"] {
        let before = place.checked_sub(1).and_then(|at| lower.get(at));
        return before.is_some_and(is_figure);
    }
    if name == ["plastic"] {
        let behind = lower.get(place + length).map(String::as_str);
        return behind.is_some_and(|word| WRAPPED_IN.contains(&word));
    }
    let is_metal = |at: usize| {
        let found = material_at(lower, at).filter(|_| at < place || at >= place + length);
        found.is_some_and(|(material, _)| entry(material).family == Family::Alloy)
    };
    let is_alone = lower.len() == length;
    name.iter().all(is_figure) && !is_alone && !(0..lower.len()).any(is_metal)
}

/// Words that join one thing to another.
const JOINS: &[&str] = &["with", "and", "plus", "w"];

/// Whether a word may be the name of a thing.
fn is_a_name(word: &str) -> bool {
    let letters = word.chars().filter(|sign| sign.is_alphabetic()).count();
    letters >= 2 && !NEUTRAL.contains(&word) && !NOT.contains(&word)
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
