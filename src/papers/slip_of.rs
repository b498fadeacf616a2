//! From a signed document to the words of its slip. Every filled field is in it, and nothing else.

use super::content::{
    Block, Drawing, Highlight, Line, PartyBlock, Prescriber, Section, SignatureBlock, SlipContent,
    Table,
};
use super::record_mark::{InRecord, RecordMark};
use crate::domain::law::profile::TITLE;
use crate::domain::people::party::Paper;
use crate::domain::prescription::revision::{
    Document, MissingPoint, PartyCard, PassedCaution, Signature,
};
use crate::domain::prescription::{Prescription, PrintedSection};
use crate::domain::trade::sketch::{self, ChangeRow, Sketches};
use crate::domain::values::arch::Arch;
use crate::domain::values::arch::Arches;

/// What a slip is made of.
#[derive(Debug, Clone, Copy)]
pub struct SlipOf<'a> {
    pub document: &'a Document,
    /// The signature and the hash of the signed text; none for a draft.
    pub signature: Option<(&'a Signature, &'a str)>,
    pub paper: Paper,
    /// The record that ends with the entry of this revision.
    pub record: Option<&'a RecordMark>,
}

/// The usual cautions at the bench. Common practice, no source; the makers' sheets and local rules decide.
const CAUTIONS: [&str; 6] = [
    "Treat everything as contaminated until its disinfection is certain. Never mix disinfectants; follow the label.",
    "Monomer and its vapour, dust of resin, gypsum and metal: extraction, gloves, eye protection.",
    "Hot instruments, flames and pressure vessels only as their makers say.",
    "A cast once trimmed cannot be put back: no change of a cast that this slip does not ask for.",
    "Read the exclusions first: no material named there comes near this patient.",
    "Call before you guess. This slip advises; the licensed dentist and technician judge, and local law decides what a \
     prescription must contain and how long it is kept.",
];

/// The slip's words.
pub fn slip(of: &SlipOf<'_>) -> SlipContent {
    let document = of.document;
    SlipContent {
        paper: of.paper,
        draft: of.signature.is_none(),
        title: TITLE.to_owned(),
        case_number: document.case.to_string(),
        patient_code: document.patient.code.to_string(),
        revision: match of.signature {
            Some(_) => format!("Revision {}", document.revision),
            None => "Draft".to_owned(),
        },
        issued: document.issued.to_string(),
        wanted_back: Some(document.due()).filter(|due| !due.is_empty()),
        office: party(&document.office),
        lab: party(&document.lab),
        prescriber: Prescriber {
            name: document.prescriber_name.clone(),
            licence: Some(document.prescriber_licence.clone())
                .filter(|licence| !licence.is_empty()),
        },
        highlights: highlights(document),
        foremost: vec![patient(document)],
        drawings: drawings(&document.prescription),
        sections: sections(of),
        cautions: CAUTIONS.iter().map(|&caution| caution.to_owned()).collect(),
        signature: of.signature.map(|(signature, hash)| SignatureBlock {
            name: signature.name.clone(),
            licence: signature.licence.clone(),
            moment: signature.at.to_string(),
            meaning: signature.meaning.clone(),
            document_hash: hash.to_owned(),
        }),
        handoff_blanks: vec!["Handed over".to_owned(), "Received".to_owned()],
        // Upper case keeps the QR code small; the address is read in either case.
        qr_address: Some(
            format!("{}/C/{}", document.address, document.case.as_str()).to_uppercase(),
        ),
        record: match (of.signature, of.record) {
            (None, _) => InRecord::Draft,
            (Some(_), Some(mark)) => InRecord::At(mark.clone()),
            (Some(_), None) => InRecord::Missing,
        },
    }
}

fn party(card: &PartyCard) -> PartyBlock {
    PartyBlock {
        name: card.name.clone(),
        address: card.address.lines().map(str::to_owned).collect(),
        licence: Some(format!("Licence or registration {}", card.licence)),
    }
}

fn highlights(document: &Document) -> Vec<Highlight> {
    document
        .prescription
        .highlights()
        .into_iter()
        .map(|one| Highlight::new(one.label, &one.value, one.unit))
        .collect()
}

/// The sketches of a prescription; none where nothing of them is written.
pub fn drawings(prescription: &Prescription) -> Vec<Drawing> {
    let sketches = Sketches::of(prescription);
    let mut drawings = Vec::new();
    if sketches.face.is_written {
        drawings.push(Drawing {
            title: "Seen from the front, not to scale. R and L are the patient’s.".to_owned(),
            picture: sketches.face.picture,
            words: sketches.face.words,
            table: None,
        });
    }
    if !sketches.arches.rows.is_empty() {
        drawings.push(Drawing {
            title: "What the change list comes to, on the chewing side, not to scale. R and L are the patient’s."
                .to_owned(),
            table: Some(net_table(&sketches.arches)),
            picture: sketches.arches.picture,
            words: Vec::new(),
        });
    }
    drawings
}

fn net_table(arches: &sketch::ArchesSketch) -> Table {
    let dated = arches.is_dated();
    let row = |row: &ChangeRow| {
        let number = row
            .number
            .map_or("–".to_owned(), |number| number.to_string());
        let mut cells = vec![number, format!("{}: {}", row.part, row.change)];
        cells.extend(dated.then(|| row.seen_on.clone()));
        cells
    };
    let headings = ["No.", "Part and net change", "Seen on"];
    Table {
        headings: headings
            .iter()
            .take(if dated { 3 } else { 2 })
            .map(|&one| one.to_owned())
            .collect(),
        rows: arches.rows.iter().map(row).collect(),
        tick: false,
    }
}

fn sections(of: &SlipOf<'_>) -> Vec<Section> {
    let document = of.document;
    let printed = document.prescription.printed(document.numbering);
    let mut sections: Vec<Section> = printed.iter().map(section).collect();
    if !document.items.is_empty() {
        sections.push(items(document));
    }
    sections.push(score(document));
    if !document.passed.is_empty() {
        let row = |passed: &PassedCaution| vec![passed.sentence.clone(), passed.reason.clone()];
        let table = Table {
            headings: [
                "What the review asked",
                "The dentist's reason to let it stand",
            ]
            .map(str::to_owned)
            .to_vec(),
            rows: document.passed.iter().map(row).collect(),
            tick: false,
        };
        sections.push(Section::new(
            "Cautions that stand, with their reasons",
            vec![Block::Table(table)],
        ));
    }
    if !document.warnings.is_empty() {
        let notes = document.warnings.iter().cloned().map(Block::Note).collect();
        sections.push(Section::new("Signed in spite of these warnings", notes));
    }
    sections.extend(local_law(of));
    sections
}

/// The profiles that the text was checked against, and until when it is kept: from the signed text and
/// its day alone, so that the slip never changes.
fn local_law(of: &SlipOf<'_>) -> Option<Section> {
    let signed = of
        .signature
        .map_or(of.document.issued, |(signature, _)| signature.at);
    let lines = of.document.law_lines(signed.date());
    let blocks: Vec<Block> = lines
        .iter()
        .map(|(label, words)| Line::new(label, words).into())
        .collect();
    (!blocks.is_empty()).then(|| Section::new("Local law", blocks))
}

/// How many of the points that labs look for are said; what is not said is named with its reason.
fn score(document: &Document) -> Section {
    let row = |point: &MissingPoint| {
        vec![
            format!("{}. {}", point.number, point.name),
            point.reason.clone(),
        ]
    };
    let mut blocks = vec![Line::new("Said", &document.score()).strong().into()];
    if !document.missing.is_empty() {
        blocks.push(Block::Table(Table {
            headings: ["Not said", "The dentist's reason"]
                .map(str::to_owned)
                .to_vec(),
            rows: document.missing.iter().map(row).collect(),
            tick: false,
        }));
    }
    Section::new("Points that labs look for", blocks)
}

fn patient(document: &Document) -> Section {
    let arches = match document.arches {
        Arches::Both => format!("{} and {}", Arch::Upper.shown(), Arch::Lower.shown()),
        Arches::Upper => Arch::Upper.shown().to_owned(),
        Arches::Lower => Arch::Lower.shown().to_owned(),
    };
    let mut blocks = vec![
        Line::new("Code", &document.patient.code.to_string()).into(),
        Line::new("Arches treated", &arches).into(),
    ];
    blocks.extend(
        document
            .patient
            .facts
            .iter()
            .map(|(label, words)| Line::new(label, words).strong().into()),
    );
    Section::new("Patient", blocks)
}

fn section(printed: &PrintedSection) -> Section {
    let mut blocks: Vec<Block> = printed
        .lines
        .iter()
        .map(|line| Line::new(line.label, &line.value).ticked().into())
        .collect();
    for table in &printed.tables {
        blocks.push(Block::Note(table.title.to_owned()));
        blocks.push(Block::Table(Table {
            headings: table
                .headings
                .iter()
                .map(|&heading| heading.to_owned())
                .collect(),
            rows: table.rows.clone(),
            tick: true,
        }));
    }
    Section::new(printed.title, blocks)
}

fn items(document: &Document) -> Section {
    let rows = document
        .items
        .iter()
        .map(|item| {
            vec![
                item.tag.clone(),
                item.title.clone(),
                item.pieces.to_string(),
            ]
        })
        .collect();
    let table = Table {
        headings: ["Tag", "Item", "Pieces"].map(str::to_owned).to_vec(),
        rows,
        tick: true,
    };
    Section::new(
        "Items of the case when this was signed",
        vec![Block::Table(table)],
    )
}
