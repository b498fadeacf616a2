//! A copy that is ordered in clear resin: what it is for decides how it is made.

use super::input::{Input, words};
use super::rule::{Hit, Rule, at, caution};
use super::sources::PRACTICE;
use crate::domain::prescription::{Piece, Stage};
use crate::domain::trade::substances::names_word;

pub const RULES: &[Rule] = &[caution(
    "clear-copy-without-purpose",
    purpose,
    "A guide for surgery, one for a scan and a copy that shows where it presses differ in windows, marks and thickness.",
    PRACTICE,
)];

/// Words for a resin that is seen through.
const CLEAR: &[&str] = &["clear", "transparent", "colorless", "colourless"];

/// Words that say what such a copy is for.
const PURPOSES: &[&str] = &[
    "cbct",
    "guide",
    "implant",
    "implants",
    "planning",
    "pressure",
    "radiograph",
    "radiographic",
    "scan",
    "scanning",
    "stent",
    "surgery",
    "surgical",
    "template",
];

fn has_any(text: &str, all: &[&str]) -> bool {
    all.iter().any(|word| names_word(text, word))
}

fn is_clear(piece: &Piece) -> bool {
    let is_copy = piece.stage == Some(Stage::Duplicate);
    let texts = [&piece.materials, &piece.description];
    is_copy && texts.iter().any(|text| has_any(&words(text), CLEAR))
}

/// Whether a text of this row, or one beside the rows, says what the copy is for.
fn is_said(input: &Input<'_>, row: usize) -> bool {
    let own = format!("pieces.{row}.");
    let tells = |key: &str| {
        let beside = key == "spare.note" || key.starts_with("remarks.");
        beside || key.starts_with(&own)
    };
    let mut told = input.texts().iter().filter(|text| tells(&text.key));
    told.any(|text| has_any(&text.text.to_lowercase(), PURPOSES))
}

fn purpose(input: &Input<'_>) -> Option<Hit> {
    let rows = input.pieces().iter().enumerate();
    let mut clear = rows.filter(|(_, piece)| is_clear(piece));
    let (row, _) = clear.find(|(row, _)| !is_said(input, *row))?;
    at(
        format!("pieces.{row}.description"),
        "A copy in clear resin is ordered, and it is not said what it is for.",
    )
}
