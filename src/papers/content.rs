//! The words of a slip, without a thought about their place on the sheet.
//!
//! Whoever fills this in has already turned numbers into words with their units, tooth numbers into words with their
//! system's name, and moments into local time. The layout prints every one of these texts in full, however long.

use super::record_mark::InRecord;
use crate::domain::people::party::Paper;
use crate::domain::trade::sketch::Picture;

/// Everything a printed slip says.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipContent {
    pub paper: Paper,
    /// Whether it is worked with: room for pencil, and squares to tick.
    pub bench: bool,
    /// A draft carries DRAFT across every page, and no signature even if one is given.
    pub draft: bool,
    pub title: String,
    pub case_number: String,
    pub patient_code: String,
    /// `Revision 2`, or `Draft`.
    pub revision: String,
    /// Moment of issue, as shown.
    pub issued: String,
    /// The day on which the work is to be in the dentist's hands.
    pub wanted_back: Option<String>,
    pub office: PartyBlock,
    pub lab: PartyBlock,
    pub prescriber: Prescriber,
    /// The few values that a technician looks for first; printed largest.
    pub highlights: Vec<Highlight>,
    /// What is read before anything is touched; it stands on the first page, before the drawings.
    pub foremost: Vec<Section>,
    pub drawings: Vec<Drawing>,
    pub sections: Vec<Section>,
    pub cautions: Vec<String>,
    pub signature: Option<SignatureBlock>,
    /// What lies beside the text and was not signed with it; it may be other on a copy that is made later.
    pub beside: Option<Section>,
    /// One block of blank lines (name, signature, date, time, condition) for each of these titles.
    pub handoff_blanks: Vec<String>,
    /// Address behind the QR code, upper case throughout so that the code stays small.
    pub qr_address: Option<String>,
    pub record: InRecord,
}

/// A house as it is named on paper.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PartyBlock {
    pub name: String,
    pub address: Vec<String>,
    /// License or registration number with its name, as `Registration 4711`.
    pub licence: Option<String>,
    /// `Telephone 555 0142`
    pub telephone: Option<String>,
}

/// The dentist who answers for the prescription.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Prescriber {
    pub name: String,
    pub licence: Option<String>,
}

/// A value printed large, with its label above and its unit beside it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Highlight {
    pub label: String,
    pub value: String,
    pub unit: String,
}

impl Highlight {
    pub fn new(label: &str, value: &str, unit: &str) -> Highlight {
        Highlight {
            label: label.into(),
            value: value.into(),
            unit: unit.into(),
        }
    }
}

/// A picture, and what stands beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    pub title: String,
    pub picture: Picture,
    pub words: Vec<String>,
    pub table: Option<Table>,
}

/// A titled part of the slip.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Section {
    pub title: String,
    pub blocks: Vec<Block>,
}

impl Section {
    pub fn new(title: &str, blocks: Vec<Block>) -> Section {
        Section {
            title: title.into(),
            blocks,
        }
    }
}

/// What a section is built of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Block {
    Line(Line),
    Table(Table),
    /// Running text over the whole width.
    Note(String),
}

/// A label and its value.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Line {
    pub label: String,
    pub value: String,
    /// Printed bold.
    pub strong: bool,
    /// With an empty square to tick at the bench.
    pub tick: bool,
}

impl Line {
    pub fn new(label: &str, value: &str) -> Line {
        Line {
            label: label.into(),
            value: value.into(),
            ..Line::default()
        }
    }

    /// The same line, printed bold.
    pub fn strong(mut self) -> Line {
        self.strong = true;
        self
    }

    /// The same line, with a square to tick.
    pub fn ticked(mut self) -> Line {
        self.tick = true;
        self
    }
}

impl From<Line> for Block {
    fn from(line: Line) -> Block {
        Block::Line(line)
    }
}

/// Rows under headings; a short row leaves its last cells empty, and a long one widens the table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Table {
    pub headings: Vec<String>,
    pub rows: Vec<Vec<String>>,
    /// With an empty square to tick before each row.
    pub tick: bool,
}

/// The signature as it stands in the signed revision.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SignatureBlock {
    pub name: String,
    pub licence_label: &'static str,
    pub licence: String,
    /// Local time with its offset.
    pub moment: String,
    /// What the signer was told that the signature means.
    pub meaning: String,
    /// Hash of the signed text.
    pub document_hash: String,
}
