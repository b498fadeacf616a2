//! What is to be avoided, by a signed text: the patient's card in all the ways it has been written, and what the
//! prescription excludes beyond it.

use super::revision::Document;
use crate::domain::people::card_facts::{AvoidedAnswer, CardFact, SubstanceAnswer};
use crate::domain::values::words::capitalised;

/// Substances, and what somebody answered who was asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Avoided<'a> {
    /// As they are written, several lines in one perhaps.
    pub substances: Vec<String>,
    pub answer: Option<AvoidedAnswer<'a>>,
}

impl<'a> Avoided<'a> {
    /// What a text says.
    pub fn of(document: &'a Document) -> Avoided<'a> {
        let (mut substances, mut answer) = (Vec::new(), None);
        for fact in CardFact::all(&document.patient.facts) {
            match fact {
                CardFact::Substances(words) => substances.push(words.to_owned()),
                CardFact::Substance { name, answer } => substances.push(match answer {
                    SubstanceAnswer::Avoid => name.to_owned(),
                    SubstanceAnswer::Other(words) => format!("{name}: {words}"),
                }),
                CardFact::Asked(asked) => answer = answer.or(Some(asked)),
                CardFact::AgeBand(_) | CardFact::Sex(_) | CardFact::Other { .. } => {}
            }
        }
        let without = document.prescription.base.without.as_ref();
        substances.extend(without.map(|text| text.as_str().to_owned()));
        Avoided { substances, answer }
    }

    /// Whether a substance is named.
    pub fn warns(&self) -> bool {
        !self.substances.is_empty()
    }

    /// The list in one line, or what stands in its place.
    pub fn words(&self) -> String {
        match (self.warns(), self.answer) {
            (true, _) => capitalised(&self.substances.join(", ")),
            (false, Some(AvoidedAnswer::NoneKnown)) => "None known".to_owned(),
            (false, Some(AvoidedAnswer::NotYet)) => "Not asked yet".to_owned(),
            (false, Some(AvoidedAnswer::NothingListed)) => "Nothing listed".to_owned(),
            (false, _) => "Not known".to_owned(),
        }
    }

    /// Where that comes from; empty where nothing is said of it.
    pub fn note(&self) -> String {
        match (self.warns(), self.answer) {
            (false, Some(AvoidedAnswer::NotYet)) => String::new(),
            (false, Some(AvoidedAnswer::NothingListed))
            | (_, Some(AvoidedAnswer::NoneKnown | AvoidedAnswer::SeeBelow)) => {
                "patient was asked".to_owned()
            }
            (_, Some(answer)) => answer.words().to_owned(),
            (true, None) => String::new(),
            (false, None) => "not asked".to_owned(),
        }
    }
}
