//! What is to be avoided, by a signed text: the patient's card in all the ways it has been written, and what the
//! prescription excludes beyond it.

use super::revision::Document;
use crate::domain::people::patient::AVOIDED;
use crate::domain::values::words::capitalised;

/// What the patient's card says in place of a list of substances.
const ANSWERS: [&str; 3] = [
    "asked: none known",
    "not asked yet",
    "asked, and nothing is listed",
];

/// Substances, and what somebody answered who was asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Avoided {
    /// As they are written, several lines in one perhaps.
    pub substances: Vec<String>,
    pub answer: Option<String>,
}

impl Avoided {
    /// What a text says.
    pub fn of(document: &Document) -> Avoided {
        let mut substances = Vec::new();
        for (label, words) in &document.patient.facts {
            if label == AVOIDED && !ANSWERS.contains(&words.as_str()) {
                substances.push(words.clone());
            }
            match label.strip_prefix("No ") {
                Some(substance) if words == "yes" => substances.push(substance.to_owned()),
                Some(substance) => substances.push(format!("{substance}: {words}")),
                None if label == "Nothing containing" => substances.push(words.clone()),
                None => {}
            }
        }
        let without = document.prescription.base.without.as_ref();
        substances.extend(without.map(|text| text.as_str().to_owned()));
        let facts = document.patient.facts.iter();
        let is_answer = |words: &str| ANSWERS.contains(&words);
        let mut asked = facts.filter(|(label, words)| {
            label == "Materials to be avoided" || (label == AVOIDED && is_answer(words))
        });
        Avoided {
            substances,
            answer: asked.next().map(|(_, words)| words.clone()),
        }
    }

    /// Whether a substance is named.
    pub fn warns(&self) -> bool {
        !self.substances.is_empty()
    }

    /// The list in one line, or what stands in its place.
    pub fn words(&self) -> String {
        match (self.warns(), self.answer.as_deref()) {
            (true, _) => capitalised(&self.substances.join(", ")),
            (false, Some("asked: none known")) => "None known".to_owned(),
            (false, Some("not asked yet")) => "Not asked yet".to_owned(),
            (false, Some("asked, and nothing is listed")) => "Nothing listed".to_owned(),
            (false, _) => "Not known".to_owned(),
        }
    }

    /// Where that comes from; empty where nothing is said of it.
    pub fn note(&self) -> String {
        match (self.warns(), self.answer.as_deref()) {
            (false, Some("not asked yet")) => String::new(),
            (false, Some("asked, and nothing is listed"))
            | (_, Some("asked: none known" | "asked: see below")) => "patient was asked".to_owned(),
            (_, Some(answer)) => answer.to_owned(),
            (true, None) => String::new(),
            (false, None) => "not asked".to_owned(),
        }
    }
}
