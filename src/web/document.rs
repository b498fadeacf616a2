//! A prescription's text in words, as the page for signing and the page of a revision both show it.

use crate::domain::prescription::revision::{Document, MissingPoint, PassedCaution};
use crate::domain::prescription::{Difference, PrintedLine, PrintedSection, PrintedTable};

/// A difference between two revisions, in words.
pub struct DifferenceView {
    pub label: String,
    pub before: String,
    pub after: String,
}

impl From<Difference> for DifferenceView {
    fn from(difference: Difference) -> DifferenceView {
        let words = |text: Option<String>| text.unwrap_or_else(|| "—".to_owned());
        DifferenceView {
            label: format!("{}: {}", difference.section, difference.label),
            before: words(difference.before),
            after: words(difference.after),
        }
    }
}

/// How many of the points that labs look for are said, and which are not.
pub fn score(document: &Document) -> PrintedSection {
    let row = |point: &MissingPoint| {
        vec![
            format!("{}. {}", point.number, point.name),
            point.reason.clone(),
        ]
    };
    let missing = PrintedTable {
        key: "",
        title: "Not said",
        headings: vec!["Point", "The dentist's reason"],
        rows: document.missing.iter().map(row).collect(),
    };
    PrintedSection {
        key: "score",
        title: "Points that labs look for",
        lines: vec![PrintedLine {
            key: "",
            label: "Said",
            value: document.score(),
        }],
        tables: Vec::from_iter((!document.missing.is_empty()).then_some(missing)),
    }
}

/// Cautions that stand, with their reasons.
pub fn reasons(document: &Document) -> Option<PrintedSection> {
    let row = |passed: &PassedCaution| vec![passed.sentence.clone(), passed.reason.clone()];
    (!document.passed.is_empty()).then(|| PrintedSection {
        key: "reasons",
        title: "Cautions that stand, with their reasons",
        lines: Vec::new(),
        tables: vec![PrintedTable {
            key: "",
            title: "",
            headings: vec![
                "What the review asked",
                "The dentist's reason to let it stand",
            ],
            rows: document.passed.iter().map(row).collect(),
        }],
    })
}
