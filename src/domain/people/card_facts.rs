//! What a signed text says of the patient, by what each fact is about. A text keeps facts as labels and words; they are
//! read here alone, in all the ways in which they have been written, so that nothing else is decided by a label.

use super::patient::AVOIDED;
use crate::domain::values::spelled::spelled_today;

/// A label and its words, as a signed text keeps them.
pub type SignedFact = (String, String);

/// One fact of the card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CardFact<'a> {
    AgeBand(&'a str),
    Sex(&'a str),
    /// What somebody answered who was asked for substances to be avoided.
    Asked(AvoidedAnswer<'a>),
    /// Substances to be avoided: all of them in one line, or, in an early text, those without a line of their own.
    Substances(&'a str),
    /// One substance with its answer, in an early text.
    Substance {
        name: &'a str,
        answer: SubstanceAnswer<'a>,
    },
    /// Anything else, which is printed as it stands.
    Other {
        label: &'a str,
        words: &'a str,
    },
}

/// The answer beside one substance of an early text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SubstanceAnswer<'a> {
    Avoid,
    Other(&'a str),
}

/// What stands in place of a list of substances, or beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AvoidedAnswer<'a> {
    NoneKnown,
    NotYet,
    NothingListed,
    /// An early text lists them in lines of their own.
    SeeBelow,
    Other(&'a str),
}

impl AvoidedAnswer<'_> {
    /// As the text has it.
    pub fn words(&self) -> &str {
        match self {
            AvoidedAnswer::NoneKnown => "asked: none known",
            AvoidedAnswer::NotYet => "not asked yet",
            AvoidedAnswer::NothingListed => "asked, and nothing is listed",
            AvoidedAnswer::SeeBelow => "asked: see below",
            AvoidedAnswer::Other(words) => words,
        }
    }

    /// One of the answers that the card has ever had; other words are no answer by themselves.
    fn known(words: &str) -> Option<AvoidedAnswer<'static>> {
        let known = [
            AvoidedAnswer::NoneKnown,
            AvoidedAnswer::NotYet,
            AvoidedAnswer::NothingListed,
            AvoidedAnswer::SeeBelow,
        ];
        known.into_iter().find(|one| one.words() == words)
    }
}

impl<'a> CardFact<'a> {
    /// Reads a fact of a signed text.
    pub fn of((label, words): &'a SignedFact) -> CardFact<'a> {
        let (label, words) = (label.as_str(), words.as_str());
        match label {
            "Age band" => CardFact::AgeBand(words),
            "Sex" => CardFact::Sex(words),
            // “See below” was never written there: it could only be the name of something.
            AVOIDED => {
                match AvoidedAnswer::known(words).filter(|one| *one != AvoidedAnswer::SeeBelow) {
                    Some(asked) => CardFact::Asked(asked),
                    None => CardFact::Substances(words),
                }
            }
            "Materials to be avoided" => {
                CardFact::Asked(AvoidedAnswer::known(words).unwrap_or(AvoidedAnswer::Other(words)))
            }
            "Nothing containing" => CardFact::Substances(words),
            _ => match label.strip_prefix("No ") {
                Some(name) if words == "yes" => CardFact::Substance {
                    name,
                    answer: SubstanceAnswer::Avoid,
                },
                Some(name) => CardFact::Substance {
                    name,
                    answer: SubstanceAnswer::Other(words),
                },
                None => CardFact::Other { label, words },
            },
        }
    }

    /// All facts of a text, in their order.
    pub fn all(facts: &'a [SignedFact]) -> impl Iterator<Item = CardFact<'a>> {
        facts.iter().map(CardFact::of)
    }
}

/// Whether both say the same, in whichever spelling.
pub fn say_the_same(one: &[SignedFact], other: &[SignedFact]) -> bool {
    let today = |facts: &[SignedFact]| -> Vec<SignedFact> {
        let fact = |(label, words): &SignedFact| (label.clone(), spelled_today(words));
        facts.iter().map(fact).collect()
    };
    today(one) == today(other)
}

/// What is to be avoided, in one line, as a text says it, in the spelling of today: the substances, or what was answered.
pub fn avoided_line(facts: &[SignedFact]) -> String {
    let named = CardFact::all(facts).filter_map(|fact| match fact {
        CardFact::Substances(words) => Some(words),
        CardFact::Substance {
            name,
            answer: SubstanceAnswer::Avoid,
        } => Some(name),
        _ => None,
    });
    let named: Vec<&str> = named.collect();
    if !named.is_empty() {
        return spelled_today(&named.join(", "));
    }
    let asked = CardFact::all(facts).find_map(|fact| match fact {
        CardFact::Asked(asked) => Some(asked.words().to_owned()),
        _ => None,
    });
    asked.unwrap_or_else(|| NOTHING_SAID.to_owned())
}

const NOTHING_SAID: &str = "nothing is said";

/// The substances that such a line names; empty where it is but an answer.
pub fn named_in(line: &str) -> &str {
    match AvoidedAnswer::known(line) {
        None if line != NOTHING_SAID => line,
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::people::patient;

    #[test]
    fn a_card_that_was_signed_in_another_spelling_says_the_same() {
        let raw = [("patient.no_dyes", "yes"), ("patient.no_nickel", "yes")];
        let raw: Raw = raw
            .map(|(key, text)| (key.to_owned(), text.to_owned()))
            .into();
        let now = patient::read(&raw).patient.facts();
        let before = [fact(AVOIDED, "nickel, added dyes or pigmented fibres")];
        assert_ne!(now, before);
        assert!(say_the_same(&now, &before), "{now:?}");
        assert_eq!(avoided_line(&now), avoided_line(&before));
        let other = [fact(AVOIDED, "nickel, pigmented fibres")];
        assert!(!say_the_same(&now, &other));
    }

    fn fact(label: &str, words: &str) -> SignedFact {
        (label.to_owned(), words.to_owned())
    }

    fn card(pairs: &[(&str, &str)]) -> Vec<SignedFact> {
        let pairs = pairs.iter();
        let raw: Raw = pairs
            .map(|(key, text)| (format!("patient.{key}"), (*text).to_owned()))
            .collect();
        patient::read(&raw).patient.facts()
    }

    /// A label that is changed on the card would be printed as another fact.
    #[test]
    fn what_the_card_writes_today_is_read_by_what_it_is_about() {
        let facts = card(&[
            ("age_band", "90_over"),
            ("sex", "female"),
            ("exclusions", "listed"),
            ("no_nickel", "yes"),
            ("no_other", "palladium"),
            ("tremor", "yes"),
        ]);
        let read: Vec<CardFact<'_>> = CardFact::all(&facts).collect();
        assert!(
            matches!(
                read[..],
                [
                    CardFact::AgeBand("90 and over"),
                    CardFact::Sex(_),
                    CardFact::Substances("nickel, palladium"),
                    CardFact::Other { .. },
                ]
            ),
            "{read:?}"
        );
        for (answer, asked) in [
            ("none_known", AvoidedAnswer::NoneKnown),
            ("not_asked", AvoidedAnswer::NotYet),
            ("listed", AvoidedAnswer::NothingListed),
        ] {
            let facts = card(&[("exclusions", answer)]);
            let read: Vec<CardFact<'_>> = CardFact::all(&facts).collect();
            assert_eq!(read, [CardFact::Asked(asked)]);
        }
    }

    #[test]
    fn early_texts_have_a_line_for_each_substance() {
        let no = [fact("No nickel", "yes"), fact("No latex", "no")];
        assert_eq!(avoided_line(&no), "nickel");
        assert_eq!(
            CardFact::of(&no[1]),
            CardFact::Substance {
                name: "latex",
                answer: SubstanceAnswer::Other("no")
            }
        );
        let two = [
            fact("No eugenol", "yes"),
            fact("Nothing containing", "palladium"),
        ];
        assert_eq!(avoided_line(&two), "eugenol, palladium");
        let asked = fact("Materials to be avoided", "asked: see below");
        assert_eq!(
            CardFact::of(&asked),
            CardFact::Asked(AvoidedAnswer::SeeBelow)
        );
        let none = [fact("Materials to be avoided", "asked: none known")];
        assert_eq!(avoided_line(&none), "asked: none known");
        assert_eq!(avoided_line(&[]), "nothing is said");
    }

    /// Whatever a text says, its words are there again.
    #[test]
    fn an_answer_is_said_as_it_was_written() {
        for words in [
            "asked: none known",
            "not asked yet",
            "asked, and nothing is listed",
            "asked: see below",
            "asked by letter",
        ] {
            let one = fact("Materials to be avoided", words);
            let CardFact::Asked(asked) = CardFact::of(&one) else {
                panic!("{words}");
            };
            assert_eq!(asked.words(), words);
        }
    }
}
