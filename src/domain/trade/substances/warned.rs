//! What a text tells of as something that a patient does not bear.

use super::material::MaterialKind;
use super::naming::material_at;
use super::negated::{NOT, is_negated};
use super::substance::{Substance, word_at};
use super::words::{BREAKS, tokens};

/// Words of a sentence that warns of something and does not order it.
const WARNS: &[&str] = &[
    "blister",
    "blisters",
    "dermatitis",
    "eczema",
    "hives",
    "rash",
    "react",
    "reacted",
    "reaction",
    "reacts",
    "sensitised",
    "sensitive",
    "sensitivity",
    "sensitized",
    "urticaria",
    // As German notes write it.
    "ausschlag",
    "ekzem",
];

/// How words begin that do the same, misspelt or joined to others, as German writes them; and how they end.
const WARNS_BEGIN: &[&str] = &[
    "allerg",
    "alerg",
    "anaphyla",
    "contraindic",
    "hypersens",
    "intoleran",
    "kontraindiz",
    "sensibilis",
    "unvertr",
    "überempfind",
];
const WARNS_END: &[&str] = &[
    "allergie",
    "allergien",
    "allergisch",
    "unverträglichkeit",
    "überempfindlichkeit",
];

/// Whether a word warns. An allergen is a thing that something is free of.
fn is_warning(word: &str) -> bool {
    let begins = WARNS_BEGIN.iter().any(|begin| word.starts_with(begin));
    let ends = WARNS_END.iter().any(|end| word.ends_with(end));
    WARNS.contains(&word)
        || (begins || ends) && !word.starts_with("allergen") && !word.starts_with("hypoallerg")
}

/// Whether a word tells of nothing but an allergy: mucosa and a gag reflex are sensitive too.
fn is_sure_warning(word: &str) -> bool {
    is_warning(word) && !word.starts_with("sensiti")
}

/// Whether a word is an allergy by itself, to whatever it may be.
fn is_allergy(word: &str) -> bool {
    const BEGIN: &[&str] = &["allerg", "alerg", "anaphyla", "hypersens"];
    let begins = BEGIN.iter().any(|begin| word.starts_with(begin));
    let ends = word.ends_with("allergie") || word.ends_with("allergien");
    is_warning(word) && (begins || ends)
}

/// Words that deny what follows: "no known allergies", "denies a reaction".
const DENIES: &[&str] = &[
    "denies",
    "denied",
    "nil",
    "none",
    "negative",
    "kein",
    "keine",
    "keinerlei",
    "nka",
];

/// Words that cause something, and what the mouth has of it: "nickel makes her mouth sore".
const CAUSES: &[&str] = &[
    "makes",
    "made",
    "make",
    "gives",
    "gave",
    "give",
    "causes",
    "caused",
    "upsets",
    "irritates",
];
const ILLS: &[&str] = &[
    "sore", "burn", "burning", "burned", "burns", "itch", "itching", "itched", "swell", "swelling",
    "swelled", "swollen",
];
/// Words that are an ill by themselves.
const ALONE: &[&str] = &["upsets", "irritates"];
/// What joins an ill to what it comes from.
const FROM: &[&str] = &["with", "from", "after", "to", "by", "under"];

/// Where a phrase warns of something, and whether a "not" there is the warning itself.
struct Warning {
    place: usize,
    is_by_not: bool,
}

/// The first warning of a phrase.
fn warning(words: &[String], lower: &[String]) -> Option<Warning> {
    let word = |at: usize| lower.get(at).map(String::as_str).unwrap_or_default();
    let has = |names: &[&str]| lower.iter().any(|word| names.contains(&word.as_str()));
    let is_not = |at: &usize| {
        let before = lower.get(at.saturating_sub(3)..*at).unwrap_or_default();
        let denies = |word: &String| matches!(word.as_str(), "not" | "cannot" | "t" | "never");
        before.iter().any(denies)
    };
    // "Cannot have nickel" tells of what is named behind it.
    let names = |at: &usize| (*at + 1..=*at + 3).any(|near| word_at(words, lower, near).is_some());
    let has_not = |at: &usize| {
        let cannot = lower.get(at.saturating_sub(2)..*at).unwrap_or_default();
        let is_so = cannot
            .iter()
            .any(|word| matches!(word.as_str(), "cannot" | "can" | "t"));
        matches!(word(*at), "have" | "wear" | "bear" | "touch") && is_so && names(at)
    };
    let german = |at: &usize| {
        let denied = |word: &String| matches!(word.as_str(), "kein" | "keine" | "keinen" | "nicht");
        matches!(word(*at), "verträgt" | "vertragen") && lower.iter().any(denied)
    };
    let tolerates =
        |at: &usize| matches!(word(*at), "tolerate" | "tolerates" | "tolerated") || has_not(at);
    let tested = |at: &usize| word(*at) == "patch" && word(at + 1).starts_with("test");
    let breaks_out = |at: &usize| {
        matches!(word(*at), "break" | "breaks" | "broke" | "breaking") && word(at + 1) == "out"
    };
    let stomatitis = |at: &usize| word(*at) == "contact" && word(at + 1) == "stomatitis";
    // What causes it stands right before: a border that makes a sore place is no allergy.
    let causes = |at: &usize| {
        let is_named = |from: usize| {
            let found = word_at(words, lower, from);
            let substance = found.map(|(_, length)| length);
            let material = material_at(lower, from).map(|(_, length)| length);
            // "Nickel earrings make her ears itch"; the acrylic border makes a ridge sore and is no allergy.
            let is_near = found.is_some_and(|(one, length)| {
                one != Substance::Methacrylates && from + length + 1 == *at
            });
            [substance, material].contains(&Some(at - from)) || is_near
        };
        let is_ill = has(ILLS) || ALONE.contains(&word(*at));
        CAUSES.contains(&word(*at)) && is_ill && (0..*at).any(is_named)
    };
    // "Swelled up with chlorhexidine", "burning under the old acrylic".
    let comes_from = |at: &usize| {
        let mut joints = (*at + 1..=*at + 2).filter(|near| FROM.contains(&word(*near)));
        // A ridge is sore under what presses on it, whatever that is made of.
        let presses = |joint: usize| {
            let mut found = (joint + 1..=joint + 3).filter_map(|near| word_at(words, lower, near));
            found.all(|(one, _)| matches!(one, Substance::Methacrylates | Substance::Metal))
        };
        let is_ill = |joint: usize| word(*at) != "sore" || !presses(joint);
        ILLS.contains(&word(*at)) && joints.any(|joint| names(&joint) && is_ill(joint))
    };
    let mut places = 0..lower.len();
    let by_not = places
        .clone()
        .find(|at| tolerates(at) && is_not(at) || german(at));
    let plain = places.find(|at| {
        let is_tested = tested(at) && has(&["positive"]);
        let is_stated = breaks_out(at) || stomatitis(at) || causes(at) || is_tested;
        is_warning(word(*at)) || is_stated || comes_from(at)
    });
    let place = by_not.or(plain)?;
    Some(Warning {
        place,
        is_by_not: by_not.is_some(),
    })
}

/// Whether a phrase warns of what it names.
pub(super) fn warns(words: &[String], lower: &[String]) -> bool {
    warning(words, lower).is_some()
}

/// What a text warns of.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Warned {
    pub substances: Vec<Substance>,
    /// Materials that are named in place of a substance.
    pub materials: Vec<MaterialKind>,
    /// Whether it tells of an allergy at all, to whatever it may be.
    pub is_of_allergy: bool,
}

/// Everything that a text tells of as not borne. "Sensitive mucosa" is none of it: a substance has to stand there, or the
/// word allergy itself.
pub fn warned_of(text: &str) -> Warned {
    let mut warned = Warned::default();
    // "No nickel (allergy)": what stands in brackets may be of the phrase before, and by itself.
    // A point behind a word that is cut short ends no sentence.
    let text = &text
        .replace("sens. ", "sens ")
        .replace("allerg. ", "allerg ");
    let apart = text.replace(['(', ')', '[', ']'], ",");
    let texts = [text.as_str(), apart.as_str()];
    let is_twice = *text != apart;
    for text in texts.into_iter().take(1 + usize::from(is_twice)) {
        text.split([';', '.', '\n'])
            .for_each(|sentence| read_sentence(sentence, &mut warned));
    }
    warned
}

fn read_sentence(sentence: &str, warned: &mut Warned) {
    let (mut is_open, mut is_sure, mut is_answered) = (false, false, false);
    for segment in sentence.split(BREAKS) {
        let words = tokens(segment);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        let warning = warning(&words, &lower);
        // "Allergies: none" is answered behind the colon.
        let is_none = is_open && lower.iter().any(|word| DENIES.contains(&word.as_str()));
        let is_denied = |one: &Warning| !one.is_by_not && is_denied(&lower, one.place);
        let is_denied = is_none || warning.as_ref().is_some_and(is_denied);
        if is_none {
            (is_open, is_sure) = (false, false);
            warned.is_of_allergy = !warned.substances.is_empty();
        }
        if is_denied {
            read_exception(&words, &lower, warned);
        }
        // "Allergies: nickel, cobalt": what follows in the same sentence.
        if warning.is_none() && !is_open || is_denied {
            continue;
        }
        warned.is_of_allergy |= lower.iter().any(|word| is_allergy(word));
        is_sure |= warning.is_some() && lower.iter().any(|word| is_sure_warning(word));
        let has_any = read_segment(&words, &lower, warned);
        is_answered |= has_any;
        is_open = is_open || !has_any && is_heading(&lower);
    }
    // "Latex: anaphylaxis", "avoid nickel: allergy": what is named before it, refused or not.
    if is_sure && !is_answered {
        let words = tokens(sentence);
        let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
        add_substances(&words, &lower, 0, warned);
    }
}

/// Adds the substances that stand from a word on, denied or not.
fn add_substances(words: &[String], lower: &[String], from: usize, warned: &mut Warned) {
    for place in from..words.len() {
        let found = word_at(words, lower, place).map(|(substance, _)| substance);
        let found = found.filter(|one| !warned.substances.contains(one));
        warned.is_of_allergy |= found.is_some();
        warned.substances.extend(found);
    }
}

/// "No known allergies except nickel".
fn read_exception(words: &[String], lower: &[String], warned: &mut Warned) {
    let word = |at: usize| lower.get(at).map(String::as_str).unwrap_or_default();
    let is_except = |at: &usize| {
        let two = [word(*at), word(*at + 1)];
        matches!(
            two[0],
            "except" | "excepting" | "but" | "besides" | "außer" | "ausser"
        ) || matches!(two, ["other", "than"] | ["apart", "from"])
    };
    if let Some(from) = (0..lower.len()).find(is_except) {
        add_substances(words, lower, from, warned);
    }
}

/// Whether a phrase is but the heading of a list: "known allergies".
fn is_heading(lower: &[String]) -> bool {
    const HEADS: &[&str] = &[
        "allerg",
        "alerg",
        "intoleran",
        "sensitivit",
        "hypersens",
        "unvertr",
        "positive",
    ];
    let is_head = |word: &String| HEADS.iter().any(|head| word.starts_with(head));
    let is_last = lower.len() <= 6 && lower.last().is_some_and(is_head);
    is_last || lower.len() <= 3 && lower.iter().any(is_head)
}

/// Whether a word before says that there is no such thing.
fn is_denied(lower: &[String], warns: usize) -> bool {
    let from = warns.saturating_sub(3);
    let before = lower.get(from..warns).unwrap_or_default();
    let mut after = lower.iter().skip(warns + 1).take(2);
    let denies = |word: &String| DENIES.contains(&word.as_str());
    let is_not = |word: &String| word != "free" && NOT.contains(&word.as_str());
    before.iter().any(|word| is_not(word) || denies(word)) || after.any(denies)
}

/// Adds what a phrase names; whether it names anything.
fn read_segment(words: &[String], lower: &[String], warned: &mut Warned) -> bool {
    let (mut place, mut has_any) = (0, false);
    while place < lower.len() {
        let (substance, material) = (word_at(words, lower, place), material_at(lower, place));
        let length = substance.map(|(_, length)| length);
        let length = length.or(material.map(|(_, length)| length)).unwrap_or(1);
        let is_there = !is_negated(words, lower, place, length);
        match (substance, material) {
            (Some((one, _)), _) if is_there => {
                has_any = true;
                if !warned.substances.contains(&one) {
                    warned.substances.push(one);
                }
            }
            (None, Some((one, _))) if is_there => {
                has_any = true;
                if !warned.materials.contains(&one) {
                    warned.materials.push(one);
                }
            }
            _ => {}
        }
        place += length.max(1);
    }
    has_any
}
