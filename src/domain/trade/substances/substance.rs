//! Substances that patients are said not to bear, and the words by which a card names them.

use super::excepted::{borne_alone, without_exceptions};
use super::words::{initials_joined, tokens, without_brackets};
use crate::domain::values::words_of;

words_of! {
    /// What somebody may have to avoid.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
    pub enum Substance {
        Monomer = "residual methacrylate (MMA)",
        Methacrylates = "methacrylates of any kind",
        Peroxide = "benzoyl peroxide",
        Hydroquinone = "hydroquinone",
        Amine = "a tertiary amine",
        Formaldehyde = "formaldehyde",
        Phthalate = "phthalate",
        Alcohol = "alcohol",
        Dye = "added dyes or pigmented fibers",
        Metal = "metal of any kind",
        Nickel = "nickel",
        Cobalt = "cobalt",
        Chromium = "chromium",
        Palladium = "palladium",
        Gold = "gold",
        Titanium = "titanium",
        Beryllium = "beryllium",
        Eugenol = "eugenol",
        Colophony = "colophony",
        Fragrance = "fragrance or flavor",
        Latex = "latex",
        Beeswax = "beeswax",
        Silicone = "silicone",
        Chlorhexidine = "chlorhexidine",
        Iodine = "iodine",
        Glutaraldehyde = "glutaraldehyde",
        Aldehydes = "aldehydes",
        Chlorine = "chlorine or hypochlorite",
        Bisphenol = "bisphenol A",
        Copper = "copper",
        Aluminium = "aluminum",
        Vanadium = "vanadium",
        Phenol = "phenol",
        Quaternary = "quaternary ammonium",
        Persulfate = "persulfate",
        Zinc = "zinc",
    }
}

impl Substance {
    /// Whether it is a metal, or any.
    pub fn is_metal(self) -> bool {
        matches!(
            self,
            Substance::Metal
                | Substance::Nickel
                | Substance::Cobalt
                | Substance::Chromium
                | Substance::Palladium
                | Substance::Gold
                | Substance::Titanium
                | Substance::Copper
                | Substance::Aluminium
                | Substance::Vanadium
                | Substance::Beryllium
        )
    }
}

use Substance as S;

/// Words of small letters with single spaces, and what they mean where somebody writes what is to be avoided.
const WORDS: &[(&str, Substance)] = &[
    ("residual methacrylate", S::Monomer),
    ("residual monomer", S::Monomer),
    ("monomer", S::Monomer),
    ("methyl methacrylate", S::Monomer),
    ("methylmethacrylate", S::Monomer),
    ("mma", S::Monomer),
    ("methacrylate", S::Methacrylates),
    ("methacrylates", S::Methacrylates),
    ("acrylate", S::Methacrylates),
    ("acrylates", S::Methacrylates),
    ("acrylic", S::Methacrylates),
    ("acrylics", S::Methacrylates),
    ("pmma", S::Methacrylates),
    ("polymethylmethacrylate", S::Methacrylates),
    ("polymethyl methacrylate", S::Methacrylates),
    ("hema", S::Methacrylates),
    ("egdma", S::Methacrylates),
    ("tegdma", S::Methacrylates),
    ("udma", S::Methacrylates),
    ("bis gma", S::Methacrylates),
    ("bisgma", S::Methacrylates),
    ("ema", S::Methacrylates),
    ("benzoyl peroxide", S::Peroxide),
    ("peroxide", S::Peroxide),
    ("bpo", S::Peroxide),
    ("dibenzoyl peroxide", S::Peroxide),
    ("hydroquinone", S::Hydroquinone),
    ("mehq", S::Hydroquinone),
    ("hq", S::Hydroquinone),
    ("amine", S::Amine),
    ("tertiary amine", S::Amine),
    ("dmpt", S::Amine),
    ("formaldehyde", S::Formaldehyde),
    ("formalin", S::Formaldehyde),
    ("phthalate", S::Phthalate),
    ("phthalates", S::Phthalate),
    ("plasticiser", S::Phthalate),
    ("plasticizer", S::Phthalate),
    ("dbp", S::Phthalate),
    ("alcohol", S::Alcohol),
    ("ethanol", S::Alcohol),
    ("isopropanol", S::Alcohol),
    ("ipa", S::Alcohol),
    ("dye", S::Dye),
    ("dyes", S::Dye),
    ("azo", S::Dye),
    ("colourant", S::Dye),
    ("colourants", S::Dye),
    ("colorant", S::Dye),
    ("colorants", S::Dye),
    ("pigment", S::Dye),
    ("pigments", S::Dye),
    ("metal", S::Metal),
    ("metals", S::Metal),
    ("nickel", S::Nickel),
    ("cobalt", S::Cobalt),
    ("chromium", S::Chromium),
    ("chrome", S::Chromium),
    ("chromate", S::Chromium),
    ("palladium", S::Palladium),
    ("gold", S::Gold),
    ("titanium", S::Titanium),
    ("beryllium", S::Beryllium),
    ("eugenol", S::Eugenol),
    ("clove", S::Eugenol),
    ("cloves", S::Eugenol),
    ("colophony", S::Colophony),
    ("rosin", S::Colophony),
    ("balsam", S::Colophony),
    ("fragrance", S::Fragrance),
    ("perfume", S::Fragrance),
    ("flavour", S::Fragrance),
    ("flavor", S::Fragrance),
    ("menthol", S::Fragrance),
    ("mint", S::Fragrance),
    ("peppermint", S::Fragrance),
    ("spearmint", S::Fragrance),
    ("cinnamon", S::Fragrance),
    ("latex", S::Latex),
    ("rubber", S::Latex),
    ("beeswax", S::Beeswax),
    ("propolis", S::Beeswax),
    ("silicone", S::Silicone),
    ("chlorhexidine", S::Chlorhexidine),
    // As German cards write it.
    ("chlorhexidin", S::Chlorhexidine),
    ("chx", S::Chlorhexidine),
    ("iodine", S::Iodine),
    ("povidone", S::Iodine),
    ("iodophor", S::Iodine),
    ("glutaraldehyde", S::Glutaraldehyde),
    ("glutaral", S::Glutaraldehyde),
    ("aldehyde", S::Aldehydes),
    ("aldehydes", S::Aldehydes),
    ("chlorine", S::Chlorine),
    ("hypochlorite", S::Chlorine),
    ("sodium hypochlorite", S::Chlorine),
    ("bleach", S::Chlorine),
    ("naocl", S::Chlorine),
    ("javel", S::Chlorine),
    ("bisphenol", S::Bisphenol),
    ("bisphenol a", S::Bisphenol),
    ("bpa", S::Bisphenol),
    ("copper", S::Copper),
    ("aluminium", S::Aluminium),
    ("aluminum", S::Aluminium),
    ("vanadium", S::Vanadium),
    ("phenol", S::Phenol),
    ("phenols", S::Phenol),
    ("benzalkonium", S::Quaternary),
    ("quaternary", S::Quaternary),
    ("persulfate", S::Persulfate),
    ("persulphate", S::Persulfate),
    ("zinc", S::Zinc),
    ("monomers", S::Monomer),
    ("methacrylic", S::Methacrylates),
    ("dimethyl p toluidine", S::Amine),
    ("toluidine", S::Amine),
    // As they are misspelt.
    ("nickle", S::Nickel),
    ("nikel", S::Nickel),
    ("metacrylate", S::Methacrylates),
    ("metacrylates", S::Methacrylates),
    ("methylmetacrylate", S::Monomer),
    // As German cards write them.
    ("methacrylat", S::Methacrylates),
    ("acrylat", S::Methacrylates),
    ("methylmethacrylat", S::Monomer),
    ("restmonomer", S::Monomer),
    ("benzoylperoxid", S::Peroxide),
    ("peroxid", S::Peroxide),
    ("hydrochinon", S::Hydroquinone),
    ("formaldehyd", S::Formaldehyde),
    ("weichmacher", S::Phthalate),
    ("phthalat", S::Phthalate),
    ("alkohol", S::Alcohol),
    ("farbstoff", S::Dye),
    ("farbstoffe", S::Dye),
    ("pigmente", S::Dye),
    ("metall", S::Metal),
    ("metalle", S::Metal),
    ("kobalt", S::Cobalt),
    ("chrom", S::Chromium),
    ("titan", S::Titanium),
    ("kupfer", S::Copper),
    ("nelkenöl", S::Eugenol),
    ("kolophonium", S::Colophony),
    ("perubalsam", S::Colophony),
    ("duftstoff", S::Fragrance),
    ("duftstoffe", S::Fragrance),
    ("aromastoffe", S::Fragrance),
    ("naturlatex", S::Latex),
    ("kautschuk", S::Latex),
    ("bienenwachs", S::Beeswax),
    ("silikon", S::Silicone),
    ("jod", S::Iodine),
    ("zink", S::Zinc),
];

/// What a German card joins to the name of a substance: "Nickelallergie".
const JOINED_BEHIND: &[&str] = &[
    "kontaktallergie",
    "allergie",
    "allergien",
    "unverträglichkeit",
    "sensibilisierung",
];

/// Chemical signs, which are read only as they are written: CR is centric relation, CO a company.
const SIGNS: &[(&str, Substance)] = &[
    ("Ni", S::Nickel),
    ("Co", S::Cobalt),
    ("Cr", S::Chromium),
    ("Pd", S::Palladium),
    ("Au", S::Gold),
    ("Ti", S::Titanium),
    ("Be", S::Beryllium),
];

/// Chemical signs in any case, which only a card that lists substances may be read by.
const SIGNS_ON_A_CARD: &[(&str, Substance)] = &[
    ("ni", S::Nickel),
    ("co", S::Cobalt),
    ("cr", S::Chromium),
    ("pd", S::Palladium),
    ("au", S::Gold),
    ("ti", S::Titanium),
    ("cu", S::Copper),
    ("al", S::Aluminium),
    ("zn", S::Zinc),
];

/// Small words of a sentence, which name nothing.
const SMALL: &[&str] = &[
    "a", "am", "an", "and", "any", "are", "as", "ask", "at", "be", "but", "by", "can", "did", "do",
    "doc", "dr", "due", "eg", "etc", "for", "had", "has", "he", "her", "him", "his", "if", "ie",
    "in", "is", "it", "may", "mg", "ml", "mm", "my", "no", "non", "nor", "of", "on", "or", "our",
    "pt", "see", "she", "so", "the", "to", "too", "up", "use", "via", "was", "we", "who", "yes",
];

/// Words around a substance that mean none of their own.
const FILLER_WORDS: &[&str] = &[
    "nothing",
    "containing",
    "contains",
    "with",
    "without",
    "any",
    "all",
    "other",
    "residual",
    "traces",
    "trace",
    "free",
    "allergy",
    "allergic",
    "intolerance",
    "known",
    "the",
    "from",
    "that",
    "this",
    "base",
    "teeth",
    "resin",
    "resins",
    "none",
    "nil",
    "allergies",
    "material",
    "materials",
    "methyl",
    "benzoyl",
    "tertiary",
    "ammonium",
    "oil",
    "added",
    "products",
    "alloys",
    "alloy",
    "kind",
    "every",
    "everything",
    "anything",
    "peru",
    "not",
    "and",
    "unspecified",
    "unknown",
    "red",
    "patch",
    "test",
    "tested",
    "positive",
    "suspected",
    "possible",
    "severe",
    "mild",
    "contact",
    "dental",
    // Of the work, and of no substance.
    "custom",
    "finished",
    "impression",
    "impressions",
    "length",
    "nur",
    "only",
    "rim",
    "rims",
    "tray",
    "trays",
    // Of what is borne or is not.
    "tolerate",
    "tolerated",
    "tolerates",
    "poorly",
    "badly",
    "does",
    "cannot",
    "verträgt",
    "kein",
    "keine",
    "nicht",
];

/// What one is to keep away from a patient.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Excluded {
    pub substances: Vec<Substance>,
    /// Words that name nothing that is known here: a material that names them is found by the word alone.
    pub unknown: Vec<String>,
    /// Phrases that name nothing at all, such as "teeth": nothing can be looked for.
    pub open: Vec<String>,
    /// What is said to be borne.
    pub borne: Vec<Substance>,
    /// What alone is said to be borne, in the words of the text: all else is to be asked about.
    pub only: Option<String>,
}

impl Excluded {
    /// What a text names.
    pub fn of(text: &str) -> Excluded {
        let mut excluded = Excluded::default();
        excluded.add_text(text);
        excluded
    }

    pub fn is_empty(&self) -> bool {
        self.substances.is_empty() && self.unknown.is_empty() && self.only.is_none()
    }

    /// Adds a substance once.
    pub fn add(&mut self, substance: Substance) {
        if !self.substances.contains(&substance) {
            self.substances.push(substance);
        }
    }

    /// Adds what a text names.
    pub fn add_text(&mut self, text: &str) {
        let whole = text;
        let (text, borne) = without_exceptions(whole);
        self.add_borne(whole, &borne);
        let (known, unknown) = excluded_in(&text);
        known.into_iter().for_each(|substance| self.add(substance));
        unknown.into_iter().for_each(|word| self.add_unknown(word));
        for phrase in text.split([',', ';', '.', '\n']) {
            match general_in(phrase) {
                Some(General::Of(substance)) => self.add(substance),
                Some(General::Nothing) => self.open.push(phrase.trim().to_owned()),
                None => {}
            }
        }
    }

    /// Adds what of a text is said to be borne. Of a metal that alone is borne every other one is to be avoided; of all else
    /// somebody has to say it.
    pub(super) fn add_borne(&mut self, text: &str, borne: &str) {
        self.borne.extend(excluded_in(borne).0);
        self.only = self.only.take().or_else(|| borne_alone(text));
        if self.only.is_some() && self.borne.iter().any(|one| one.is_metal()) {
            self.add(Substance::Metal);
        }
    }

    /// Adds a word once that names nothing known here.
    pub fn add_unknown(&mut self, word: String) {
        if !self.unknown.contains(&word) {
            self.unknown.push(word);
        }
    }
}

/// What a phrase comes to that names no substance.
enum General {
    /// "All alloys", "resin".
    Of(Substance),
    Nothing,
}

/// What a phrase of a card comes to where it has none but words around a substance; none where it names one, names
/// something that nobody knows, or says that there is nothing.
fn general_in(phrase: &str) -> Option<General> {
    const NONE: &[&str] = &["no", "none", "nil", "nothing", "not", "without"];
    let (known, unknown) = excluded_in(phrase);
    let words: Vec<String> = {
        let words = tokens(&without_brackets(phrase)).into_iter();
        words.map(|word| word.to_lowercase()).collect()
    };
    let has = |names: &[&str]| words.iter().any(|word| names.contains(&word.as_str()));
    let letters = |word: &String| word.chars().filter(|sign| sign.is_alphabetic()).count();
    if !known.is_empty() || !unknown.is_empty() {
        return None;
    }
    if has(&["alloy", "alloys"]) {
        return Some(General::Of(Substance::Metal));
    }
    if has(&["resin", "resins"]) {
        return Some(General::Of(Substance::Methacrylates));
    }
    let is_said = words
        .iter()
        .any(|word| letters(word) >= 2 && !SMALL.contains(&word.as_str()));
    (is_said && !has(NONE)).then_some(General::Nothing)
}

/// The substances that stand in a list of what is to be avoided, and the words in it that are not known here.
pub fn excluded_in(text: &str) -> (Vec<Substance>, Vec<String>) {
    let text = initials_joined(text);
    // A remark in brackets may name a substance, and what else it says is no name of one.
    let outside: Vec<String> = {
        let outside = tokens(&without_brackets(&text)).into_iter();
        outside.map(|word| word.to_lowercase()).collect()
    };
    let words = tokens(&text);
    let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
    let (mut known, mut unknown) = (Vec::new(), Vec::new());
    let mut place = 0;
    while let Some(word) = lower.get(place) {
        let sign = SIGNS_ON_A_CARD.iter().find(|(sign, _)| sign == word);
        let sign = sign.map(|(_, substance)| (*substance, 1));
        match word_at(&words, &lower, place).or(sign) {
            Some((substance, length)) => {
                if !known.contains(&substance) {
                    known.push(substance);
                }
                place += length;
            }
            None => {
                let letters = word.chars().filter(|sign| sign.is_alphabetic()).count();
                let is_filler =
                    FILLER_WORDS.contains(&word.as_str()) || SMALL.contains(&word.as_str());
                if letters >= 2 && !is_filler && outside.contains(word) {
                    unknown.push(word.clone());
                }
                place += 1;
            }
        }
    }
    (known, unknown)
}

/// The substance that is named from this word on, by the longest of its names, and over how many words.
pub(super) fn word_at(
    words: &[String],
    lower: &[String],
    place: usize,
) -> Option<(Substance, usize)> {
    let joined = lower.get(place).and_then(|word| {
        let mut ends = JOINED_BEHIND.iter();
        let name = ends.find_map(|end| word.strip_suffix(end))?;
        let mut names = WORDS.iter().filter(|(phrase, _)| *phrase == name);
        names.next().map(|(_, substance)| (*substance, 1))
    });
    if joined.is_some() {
        return joined;
    }
    let sign = words.get(place)?;
    if let Some((_, substance)) = SIGNS.iter().find(|(written, _)| written == sign) {
        return Some((*substance, 1));
    }
    let fits = |(phrase, substance): &(&str, Substance)| {
        let length = phrase.split(' ').count();
        let here = lower.get(place..place + length)?;
        here.iter()
            .map(String::as_str)
            .eq(phrase.split(' '))
            .then_some((*substance, length))
    };
    WORDS
        .iter()
        .filter_map(fits)
        .max_by_key(|(_, length)| *length)
}
