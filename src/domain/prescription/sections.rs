//! One walk over a document: everything in it that is read, in words and in one order.
//!
//! The page for signing, the page of a revision, the slip and the comparison all read this, so that none of
//! them can leave out what another shows. The words of the signature are not in it: they stand below the
//! text, once it is signed.

use super::earlier_words::{SPELLED_SINCE, licence_on};
use super::print::{PrintedLine, PrintedSection, PrintedTable};
use super::revision::{Document, MissingPoint, PartyCard, PassedCaution};
use super::sentences::say::direction_of;
use crate::domain::values::spelled::spelled_today;
use crate::domain::values::tooth::Numbering;
use time::Date;

/// The labels that the slip sets beside each other at its head, where the pages have a line for each.
pub mod labels {
    pub const CASE: &str = "Case";
    pub const ISSUED: &str = "Issued";
    pub const LAB: &str = "To the dental laboratory";
    pub const OFFICE: &str = "From the dental office";
    pub const PRESCRIBER: &str = "Prescribed by";
    pub const REVISION: &str = "Revision";
}

/// The keys of the sections that are not of the prescription.
pub mod keys {
    pub const HEAD: &str = "head";
    pub const PATIENT: &str = "patient";
    pub const ITEMS: &str = "items";
    pub const SCORE: &str = "score";
    pub const CAUTIONS: &str = "cautions";
    pub const WARNINGS: &str = "warnings";
    pub const PROFILES: &str = "profiles";
    /// Each of them, in their order.
    pub const ALL: [&str; 7] = [HEAD, PATIENT, ITEMS, SCORE, CAUTIONS, WARNINGS, PROFILES];
}

/// A number with the direction that its sign means.
fn direct(line: &mut PrintedLine, sheet: u32) {
    let number = line.value.split(' ').next().unwrap_or_default();
    if let Some(way) = direction_of(line.key, number, sheet) {
        line.value = format!("{}, {way}", line.value);
    }
}

impl Document {
    /// Every part of the text that says something, for a reader of this numbering. `signed` is the day from
    /// which the law counts how long the text is kept.
    pub fn sections(&self, signed: Date, numbering: Numbering) -> Vec<PrintedSection> {
        self.sections_on(self.sheet, signed, numbering)
    }

    /// The same under the names that a text signed for another sheet has, so that the two can be compared.
    pub fn sections_on(
        &self,
        sheet: u32,
        signed: Date,
        numbering: Numbering,
    ) -> Vec<PrintedSection> {
        let mut sections = vec![self.head(sheet), self.patient_facts(sheet)];
        let mut printed = self.prescription.printed_on(sheet, numbering);
        if sheet >= 5 {
            let lines = printed.iter_mut().flat_map(|section| &mut section.lines);
            lines.for_each(|line| direct(line, sheet));
        }
        sections.extend(printed);
        sections.extend([
            self.items_listed(),
            self.points(sheet),
            self.cautions(),
            self.warned_of(),
            self.profiles(signed),
        ]);
        sections.retain(|section| !section.is_empty());
        sections
    }

    fn head(&self, sheet: u32) -> PrintedSection {
        let prescriber = [&self.prescriber_name, &self.prescriber_licence];
        let prescriber = prescriber.map(String::as_str).join("\n");
        PrintedSection::new(keys::HEAD, "Who, for whom").with_lines([
            PrintedLine::new("case", labels::CASE, self.case.to_string()),
            PrintedLine::new("revision", labels::REVISION, self.revision.to_string()),
            PrintedLine::new("issued", labels::ISSUED, self.issued.to_string()),
            PrintedLine::new("office", labels::OFFICE, self.office.words(sheet)),
            PrintedLine::new("prescriber", labels::PRESCRIBER, prescriber.trim_end()),
            PrintedLine::new("lab", labels::LAB, self.lab.words(sheet)),
        ])
    }

    /// A text of the program’s own words for a sheet; what was signed for this one stands as it was signed.
    pub fn spelled_on(&self, sheet: u32, words: &str) -> String {
        match self.sheet < SPELLED_SINCE && sheet >= SPELLED_SINCE {
            true => spelled_today(words),
            false => words.to_owned(),
        }
    }

    fn patient_facts(&self, sheet: u32) -> PrintedSection {
        let known = [
            PrintedLine::new("code", "Code", self.patient.code.to_string()),
            PrintedLine::new("arches", "Arches treated", self.arches.shown()),
        ];
        let facts = self.patient.facts.iter();
        let facts = facts
            .map(|(label, words)| PrintedLine::new("fact", label, self.spelled_on(sheet, words)));
        PrintedSection::new(keys::PATIENT, "Patient").with_lines(known.into_iter().chain(facts))
    }

    fn items_listed(&self) -> PrintedSection {
        // A text that was signed before it was kept says nothing of where they stay.
        let is_kept = self.items.iter().any(|item| !item.at.is_empty());
        let rows = self.items.iter().map(|item| {
            let pieces = item.pieces.to_string();
            let mut row = vec![item.tag.clone(), item.title.clone(), pieces];
            row.extend(is_kept.then(|| item.at.clone()));
            row
        });
        let headings = ["Tag", "Item", "Pieces", "Stays"];
        let shown = headings.len() - usize::from(!is_kept);
        PrintedSection::new(keys::ITEMS, "Items of the case when this was signed")
            .with_table(headings.get(..shown).unwrap_or_default(), rows)
    }

    /// How many of the points that labs look for are said; what is not said is named with its reason.
    fn points(&self, sheet: u32) -> PrintedSection {
        let row = |point: &MissingPoint| {
            let name = self.spelled_on(sheet, &point.name);
            let name = format!("{}. {name}", point.number);
            vec![name, point.reason.clone()]
        };
        PrintedSection::new(keys::SCORE, "Points that labs look for")
            .with_lines([PrintedLine::new("said", "Said", self.score())])
            .with_table(
                &["Not said", "The dentist's reason"],
                self.missing.iter().map(row),
            )
    }

    fn cautions(&self) -> PrintedSection {
        let row = |passed: &PassedCaution| vec![passed.sentence.clone(), passed.reason.clone()];
        let headings = [
            "What the review asked",
            "The dentist's reason to let it stand",
        ];
        PrintedSection::new(keys::CAUTIONS, "Cautions that stand, with their reasons")
            .with_table(&headings, self.passed.iter().map(row))
    }

    fn warned_of(&self) -> PrintedSection {
        PrintedSection {
            notes: self.warnings.clone(),
            ..PrintedSection::new(keys::WARNINGS, "Signed in spite of these warnings")
        }
    }

    /// The profiles that the text was checked against, and until when it is kept: from the signed text and its
    /// day alone, so that they never change.
    fn profiles(&self, signed: Date) -> PrintedSection {
        let lines = self.law_lines(signed).into_iter();
        let lines = lines.map(|(label, words)| PrintedLine::new("law", label, words));
        PrintedSection::new(keys::PROFILES, "Local law").with_lines(lines)
    }
}

impl PartyCard {
    /// The number under which its law knows it, as a text says it that was signed for this sheet.
    pub fn licence_words(&self, sheet: u32) -> String {
        format!("{} or registration {}", licence_on(sheet), self.licence)
    }

    /// The number under which it is reached; none where it gave none.
    pub fn telephone_words(&self) -> Option<String> {
        let telephone = Some(&self.telephone).filter(|telephone| !telephone.is_empty());
        telephone.map(|telephone| format!("Telephone {telephone}"))
    }

    fn words(&self, sheet: u32) -> String {
        let mut lines = vec![
            self.name.clone(),
            self.address.clone(),
            self.licence_words(sheet),
        ];
        lines.extend(self.telephone_words());
        lines.join("\n")
    }
}

impl PrintedSection {
    fn new(key: &'static str, title: &'static str) -> PrintedSection {
        PrintedSection {
            key,
            title,
            ..PrintedSection::default()
        }
    }

    fn with_lines(mut self, lines: impl IntoIterator<Item = PrintedLine>) -> PrintedSection {
        self.lines.extend(lines);
        self
    }

    /// With a table that needs no title besides the section's; without, where it has no rows.
    fn with_table(
        mut self,
        headings: &[&'static str],
        rows: impl Iterator<Item = Vec<String>>,
    ) -> PrintedSection {
        let table = PrintedTable {
            headings: headings.to_vec(),
            rows: rows.collect(),
            ..PrintedTable::default()
        };
        self.tables
            .extend(Some(table).filter(|table| !table.rows.is_empty()));
        self
    }

    fn is_empty(&self) -> bool {
        self.lines.is_empty() && self.notes.is_empty() && self.tables.is_empty()
    }
}
