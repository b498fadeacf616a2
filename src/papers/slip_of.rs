//! From a signed document to the words of its slip. Every filled field is in it, and nothing else.

use super::content::{
    Block, Drawing, Highlight, Line, PartyBlock, Prescriber, Section, SignatureBlock, SlipContent,
    Table,
};
use super::record_mark::{InRecord, RecordMark};
use crate::domain::arch::Arch;
use crate::domain::case::Arches;
use crate::domain::measure::Mm;
use crate::domain::party::Paper;
use crate::domain::prescription::PrintedSection;
use crate::domain::revision::{Document, PartyCard, PassedCaution, Signature};

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
        title: "Laboratory procedure prescription".to_owned(),
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
        drawing: drawing(document),
        sections: sections(document),
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

fn drawing(document: &Document) -> Drawing {
    let prescription = &document.prescription;
    // A drawing needs no more than the tenths that single precision holds.
    let mm = |value: Option<Mm>| value.map(|mm| (mm.hundredths() as f32) / 100.0);
    let offset = mm(prescription.anterior.midline_offset_mm);
    Drawing {
        midline_offset_mm: match (offset, prescription.anterior.midline_side) {
            (Some(offset), Some(side)) if side.word() == "right" => Some(-offset),
            (Some(offset), Some(_)) => Some(offset),
            (Some(0.0), None) => Some(0.0),
            _ => None,
        },
        rest_mm: mm(prescription.vertical.rest_mm),
        occlusal_mm: mm(prescription.vertical.occlusal_mm),
    }
}

fn sections(document: &Document) -> Vec<Section> {
    let mut sections = vec![patient(document)];
    sections.extend(
        document
            .prescription
            .printed(document.numbering)
            .iter()
            .map(section),
    );
    if !document.items.is_empty() {
        sections.push(items(document));
    }
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
    sections
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
