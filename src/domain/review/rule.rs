//! A rule: its name and weight, its reason, and the function that judges.

use super::input::Input;
use crate::domain::custody::Holder;
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::Tag;
use crate::domain::values::spelled::spelled_as;
use crate::domain::values::words_of;
use std::borrow::Cow;

words_of! {
    /// How much a finding weighs. The order is the order of reading.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Level {
        /// The prescription cannot be signed.
        Stop = "Stop",
        /// It can, with a reason that prints on the slip.
        Caution = "Caution",
        /// Worth a look.
        Remark = "Remark",
    }
}

/// One thing that the review has to say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Its own short name: `vertical-after-record`.
    pub id: &'static str,
    pub level: Level,
    /// The form key that it links to; see [`super::is_known_key`].
    pub key: String,
    /// In plain words, with the numbers used.
    pub sentence: String,
    /// Why it matters at the bench.
    pub why: &'static str,
    /// What the rule is taken from, for whoever asks.
    pub source: Cow<'static, str>,
    /// The thing at the office that answers it once it stands in the list of what is enclosed.
    pub encloses: Option<Tag>,
}

/// The fewest letters that can be a reason: a dash or a dot is none.
const REASON_LETTERS: usize = 3;

/// Whether a text can be a reason at all.
pub fn is_reason(text: &str) -> bool {
    text.chars().filter(|c| c.is_alphabetic()).count() >= REASON_LETTERS
}

/// Letters of a mark: enough that two sentences of one rule never share it.
const MARK: usize = 12;

impl Finding {
    /// Stands for the sentence: the beginning of its SHA-256.
    pub fn mark(&self) -> String {
        mark_of(&self.sentence)
    }

    /// Whether a mark was made of this sentence before its words were mended.
    pub fn had_mark(&self, mark: &str) -> bool {
        let named = spelled_as(&self.sentence, &NAMED);
        let spelled = spelled_as(&named, &SPELLED);
        let back = |text: String, (is, was): &(&str, &str)| text.replace(is, was);
        let said = SAID.iter().fold(spelled.clone(), back);
        [named, spelled, said]
            .iter()
            .any(|sentence| mark_of(sentence) == mark)
    }
}

/// What substances, materials and chosen words were called last before they were spelled as they are now.
const NAMED: [&str; 9] = [
    "pigmented fibres",
    "glass fibre",
    "carbon fibre",
    "coloured fibres",
    "name fibre",
    "a colour, whether",
    "flavour",
    "aluminium",
    "individualise",
];

/// Words of sentences as they were before that, once those names are back.
const SPELLED: [&str; 5] = [
    "labelled",
    "-coloured",
    "licence",
    "millimetre",
    "cancelled",
];

/// What sentences say now and said before, once the older spelling is back.
const SAID: [(&str, &str); 3] = [
    ("its design is given", "its design is said"),
    (" is given, nor ", " is said, nor "),
    ("is not given", "is not said"),
];

/// The mark of a sentence that was signed with its reason.
pub fn mark_of(sentence: &str) -> String {
    sha256_hex(sentence.as_bytes()).chars().take(MARK).collect()
}

/// Where a rule found something, and what.
pub struct Hit {
    /// The form key that the finding links to.
    pub key: String,
    /// In plain words, with the numbers used.
    pub sentence: String,
    /// Sources of what was found here; those of the rule where there are none.
    pub source: Option<String>,
    /// See [`Finding::encloses`].
    pub encloses: Option<Tag>,
}

impl Hit {
    /// The same, known from these sources.
    pub fn from(self, source: String) -> Hit {
        let source = Some(source).filter(|source| !source.is_empty());
        Hit { source, ..self }
    }

    /// The same, answered by this thing in the list of what is enclosed; from elsewhere than the office nothing is sent.
    pub fn answered_by(self, input: &Input<'_>, tag: &Tag) -> Hit {
        let is_there = input
            .state(tag)
            .is_some_and(|state| state.holder == Holder::Office);
        let encloses = is_there.then(|| tag.clone());
        Hit { encloses, ..self }
    }
}

/// A hit at `key`.
pub fn at(key: impl Into<String>, sentence: impl Into<String>) -> Option<Hit> {
    Some(Hit {
        key: key.into(),
        sentence: sentence.into(),
        source: None,
        encloses: None,
    })
}

/// A hit at `key` where `wrong` holds.
pub fn when(wrong: bool, key: &str, sentence: &str) -> Option<Hit> {
    wrong.then(|| Hit {
        key: key.to_owned(),
        sentence: sentence.to_owned(),
        source: None,
        encloses: None,
    })
}

/// Says what is wrong, if anything is.
pub type Judge = fn(&Input<'_>) -> Option<Hit>;

/// One question that the lab would have to ask, with its weight and its reason.
pub struct Rule {
    /// Its own short name; a finding has it too.
    pub id: &'static str,
    pub level: Level,
    /// Why it matters at the bench.
    pub why: &'static str,
    /// What it is taken from: a study, a standard, or "common practice, no source".
    pub source: &'static str,
    /// None where nothing is wrong.
    pub judge: Judge,
}

impl Rule {
    /// The finding of this rule, if it has one.
    pub fn apply(&self, input: &Input<'_>) -> Option<Finding> {
        let hit = (self.judge)(input)?;
        Some(Finding {
            id: self.id,
            level: self.level,
            key: hit.key,
            sentence: hit.sentence,
            why: self.why,
            source: hit.source.map_or(self.source.into(), Cow::from),
            encloses: hit.encloses,
        })
    }
}

/// A rule that nothing passes. Three ways to write a rule, so that its weight is read first.
pub const fn stop(id: &'static str, judge: Judge, why: &'static str, source: &'static str) -> Rule {
    rule(id, Level::Stop, judge, why, source)
}
/// A rule that passes with a signed reason.
pub const fn caution(
    id: &'static str,
    judge: Judge,
    why: &'static str,
    source: &'static str,
) -> Rule {
    rule(id, Level::Caution, judge, why, source)
}
/// A rule that only says something.
pub const fn remark(
    id: &'static str,
    judge: Judge,
    why: &'static str,
    source: &'static str,
) -> Rule {
    rule(id, Level::Remark, judge, why, source)
}

const fn rule(
    id: &'static str,
    level: Level,
    judge: Judge,
    why: &'static str,
    source: &'static str,
) -> Rule {
    Rule {
        id,
        level,
        why,
        source,
        judge,
    }
}
