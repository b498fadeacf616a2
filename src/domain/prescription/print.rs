//! The prescription in words for papers and pages: only what is filled, in the order of the visit.

use super::document::Prescription;
use super::earlier_words::{choice_on, label_on, title_on};
use super::parts::{Piece, ShadeSource, Stage};
use crate::domain::form::{FieldSpec, FilledField, GroupSpec, SectionSpec, Text};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::show_hundredths;
use crate::domain::values::tooth::Numbering;

/// A section of the text in words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PrintedSection {
    /// The section of the form, or one of `sections::keys`.
    pub key: &'static str,
    pub title: &'static str,
    pub lines: Vec<PrintedLine>,
    /// Sentences without a label.
    pub notes: Vec<String>,
    pub tables: Vec<PrintedTable>,
}

/// A filled field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintedLine {
    /// The key of the field without its row, or a word for a line of no field.
    pub key: &'static str,
    /// Owned, since a signed text keeps the labels of the patient's card as they were.
    pub label: String,
    /// In words, with its unit.
    pub value: String,
}

impl PrintedLine {
    pub(super) fn new(
        key: &'static str,
        label: impl Into<String>,
        value: impl Into<String>,
    ) -> PrintedLine {
        PrintedLine {
            key,
            label: label.into(),
            value: value.into(),
        }
    }
}

/// A list with the columns that any of its rows fills.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PrintedTable {
    /// The list that it shows, by the first part of its keys.
    pub key: &'static str,
    /// Empty where the section's title says it all.
    pub title: &'static str,
    /// One for each column.
    pub headings: Vec<&'static str>,
    /// As many values in each row as there are headings; empty where the row leaves one out.
    pub rows: Vec<Vec<String>>,
}

/// Names of three of the values that a technician looks for first.
pub const HEIGHT: &str = "Occlusal vertical dimension";
pub const HEIGHT_ORDER: &str = "Vertical dimension";
pub const WANTED: &str = "In the dentist’s hands by";

/// A value printed large, for reading at arm's length.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LargeValue {
    pub label: &'static str,
    pub value: String,
    /// Empty where the value has none.
    pub unit: &'static str,
}

impl Prescription {
    /// Every filled field in words, as the form names it now; sections without any are left out.
    pub fn printed(&self, numbering: Numbering) -> Vec<PrintedSection> {
        self.printed_on(u32::MAX, numbering)
    }

    /// The same in the words that a text signed for this sheet has.
    pub fn printed_on(&self, sheet: u32, numbering: Numbering) -> Vec<PrintedSection> {
        let sections = self
            .filled_on(sheet, numbering)
            .into_iter()
            .filter(|(_, cells)| !cells.is_empty());
        sections
            .map(|(section, cells)| print_section(sheet, section, &cells))
            .collect()
    }

    /// The few values that a technician looks for first, in a fixed order; only those that are filled, in the words that a text
    /// signed for this sheet has.
    pub fn highlights(&self, sheet: u32) -> Vec<LargeValue> {
        let mut found = Vec::new();
        let mut add = |label, value: Option<String>, unit| {
            found.extend(value.map(|value| LargeValue { label, value, unit }));
        };
        add("Tooth shade", self.shade_in_short(), "");
        add(
            "Base shade",
            self.base_shade
                .code
                .as_ref()
                .map(|code| code.as_str().to_owned()),
            "",
        );
        add(
            "Upper mould",
            self.anterior
                .upper_mould
                .as_ref()
                .map(|text| text.as_str().to_owned()),
            "",
        );
        add(
            "Lower mould",
            self.anterior
                .lower_mould
                .as_ref()
                .map(|text| text.as_str().to_owned()),
            "",
        );
        add(
            HEIGHT,
            self.vertical.occlusal_mm.map(|mm| mm.to_string()),
            "mm",
        );
        add(HEIGHT_ORDER, self.vertical_order_in_short(), "");
        add("Midline", self.midline_in_short(), "");
        add("Facebow record", self.facebow_in_short(), "");
        add(
            "Pattern",
            self.pattern.rule.map(|rule| {
                let before = choice_on(sheet, "pattern.rule", rule.word());
                before.unwrap_or(rule.shown()).to_owned()
            }),
            "",
        );
        add(
            "Spare",
            self.spare.arch.map(|arch| arch.shown().to_owned()),
            "",
        );
        add(WANTED, self.dates.wanted.map(String::from), "");
        found
    }

    /// What is ordered, in a few words: `upper process and finish, lower process and finish`.
    pub fn summary(&self) -> String {
        let piece = |piece: &Piece| {
            let words = [piece.arch.map(Arch::shown), piece.stage.map(Stage::shown)];
            words.into_iter().flatten().collect::<Vec<_>>().join(" ")
        };
        let pieces: Vec<String> = self
            .order
            .pieces
            .iter()
            .map(piece)
            .filter(|words| !words.is_empty())
            .collect();
        pieces.join(", ")
    }

    fn shade_in_short(&self) -> Option<String> {
        let text = |text: &Option<Text>| text.as_ref().map(|text| text.as_str().to_owned());
        let tab = [text(&self.shade.guide), text(&self.shade.tab)]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>();
        match self.shade.source {
            Some(ShadeSource::Pattern) => Some(ShadeSource::Pattern.shown().to_owned()),
            _ => Some(tab.join(" ")).filter(|tab| !tab.is_empty()),
        }
    }

    fn vertical_order_in_short(&self) -> Option<String> {
        let order = self.vertical.order?.shown();
        let by = self
            .vertical
            .change_mm
            .map(|mm| format!(" by {mm} mm"))
            .unwrap_or_default();
        let at = self
            .vertical
            .change_at
            .map(|at| format!(" {}", at.shown()))
            .unwrap_or_default();
        Some(format!("{order}{by}{at}"))
    }

    fn midline_in_short(&self) -> Option<String> {
        match (self.anterior.midline_offset_mm, self.anterior.midline_side) {
            (Some(mm), _) if mm.hundredths() == 0 => Some("as marked".to_owned()),
            (Some(mm), Some(side)) => Some(format!(
                "{} mm to the {}",
                show_hundredths(mm.hundredths()),
                side.shown()
            )),
            (Some(mm), None) => Some(format!("{mm} mm, side not given")),
            (None, _) => self
                .anterior
                .midline
                .filter(|answer| answer.is_yes())
                .map(|_| "as marked".to_owned()),
        }
    }

    fn facebow_in_short(&self) -> Option<String> {
        let id = self
            .facebow
            .record_id
            .as_ref()
            .map(|id| id.as_str().to_owned());
        let tag = self.facebow.item.as_ref().map(ToString::to_string);
        let known: Vec<String> = [id, tag].into_iter().flatten().collect();
        if known.is_empty() {
            self.facebow.made.map(|made| made.shown().to_owned())
        } else {
            Some(known.join(", "))
        }
    }
}

fn print_section(
    sheet: u32,
    section: &'static SectionSpec,
    cells: &[FilledField],
) -> PrintedSection {
    let own = cells.iter().filter(|cell| cell.row.is_none());
    let line = |cell: &FilledField| {
        PrintedLine::new(cell.spec.key, label_on(sheet, cell.spec), &cell.shown)
    };
    let lines = own.map(line);
    let tables = section
        .groups
        .iter()
        .filter_map(|group| print_table(sheet, group, cells));
    PrintedSection {
        key: section.key,
        title: title_on(sheet, section),
        lines: lines.collect(),
        notes: Vec::new(),
        tables: tables.collect(),
    }
}

fn print_table(
    sheet: u32,
    group: &'static GroupSpec,
    cells: &[FilledField],
) -> Option<PrintedTable> {
    let of_group =
        |cell: &&FilledField| group.fields.iter().any(|field| field.key == cell.spec.key);
    let cells: Vec<&FilledField> = cells.iter().filter(of_group).collect();
    let last = cells.iter().filter_map(|cell| cell.row).max()?;
    let filled = |field: &&FieldSpec| cells.iter().any(|cell| cell.spec.key == field.key);
    let columns: Vec<&FieldSpec> = group.fields.iter().filter(filled).collect();
    let value = |row: usize, field: &FieldSpec| {
        let cell = cells
            .iter()
            .find(|cell| cell.row == Some(row) && cell.spec.key == field.key);
        cell.map(|cell| cell.shown.clone()).unwrap_or_default()
    };
    Some(PrintedTable {
        key: group.key,
        title: group.title,
        headings: (columns.iter())
            .map(|field| label_on(sheet, field))
            .collect(),
        rows: (0..=last)
            .map(|row| columns.iter().map(|field| value(row, field)).collect())
            .collect(),
    })
}
