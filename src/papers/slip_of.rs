//! From a signed document to the words of its slip: the document's own walk, set for the bench.

use super::content::{
    Block, Drawing, Highlight, Line, PartyBlock, Prescriber, Section, SignatureBlock, SlipContent,
    Table,
};
use super::record_mark::{InRecord, RecordMark};
use crate::domain::law::profile::TITLE;
use crate::domain::people::party::Paper;
use crate::domain::prescription::earlier_words::{SPELLED_SINCE, licence_on};
use crate::domain::prescription::revision::{Document, PartyCard, Signature};
use crate::domain::prescription::sections::{keys, labels};
use crate::domain::prescription::{
    HEIGHT, HEIGHT_ORDER, Prescription, PrintedLine, PrintedSection, WANTED,
};
use crate::domain::trade::sketch::{self, ChangeRow, Sketches};
use crate::domain::values::moment::show_date;

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
    VAPOR,
    "Hot instruments, flames and pressure vessels only as their makers say.",
    "A cast once trimmed cannot be put back: no change of a cast that this slip does not ask for.",
    "Read the exclusions first: no material named there comes near this patient.",
    "Call before you guess. This slip advises; the licensed dentist and technician judge, and local law decides what a \
     prescription must contain and how long it is kept.",
];

const VAPOR: &str =
    "Monomer and its vapor, dust of resin, gypsum and metal: extraction, gloves, eye protection.";

/// The cautions of a text that was signed for this sheet, in its spelling.
fn cautions(sheet: u32) -> Vec<String> {
    let spelled = |caution: &&str| match (*caution, sheet) {
        (VAPOR, ..SPELLED_SINCE) => VAPOR.replace("vapor", "vapour"),
        (caution, _) => caution.to_owned(),
    };
    CAUTIONS.iter().map(spelled).collect()
}

/// The slip's words.
pub fn slip(of: &SlipOf<'_>) -> SlipContent {
    let document = of.document;
    let signed = of
        .signature
        .map_or(document.issued, |(signature, _)| signature.at);
    let walk = document.sections(signed.date(), document.numbering);
    let of_keys = |wanted: &dyn Fn(&str) -> bool| -> Vec<Section> {
        let wanted = walk.iter().filter(|one| wanted(one.key));
        wanted.map(section).collect()
    };
    SlipContent {
        paper: of.paper,
        bench: true,
        draft: of.signature.is_none(),
        title: TITLE.to_owned(),
        case_number: document.case.to_string(),
        patient_code: document.patient.code.to_string(),
        revision: match of.signature {
            Some(_) => format!("{} {}", labels::REVISION, document.revision),
            None => "Draft".to_owned(),
        },
        issued: document.issued.to_string(),
        wanted_back: document.due().map(show_date),
        office: party(&document.office, document.sheet),
        lab: party(&document.lab, document.sheet),
        prescriber: Prescriber {
            name: document.prescriber_name.clone(),
            licence: Some(document.prescriber_licence.clone())
                .filter(|licence| !licence.is_empty()),
        },
        highlights: highlights(document),
        foremost: of_keys(&|key| key == keys::PATIENT),
        drawings: as_signed(drawings(&document.prescription, document.sheet)),
        // The head of the walk is the slip's own head.
        sections: of_keys(&|key| ![keys::HEAD, keys::PATIENT].contains(&key)),
        cautions: cautions(document.sheet),
        signature: of.signature.map(|(signature, hash)| SignatureBlock {
            name: signature.name.clone(),
            licence_label: licence_on(document.sheet),
            licence: signature.licence.clone(),
            moment: signature.at.to_string(),
            meaning: signature.meaning.clone(),
            document_hash: hash.to_owned(),
        }),
        beside: None,
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

/// The full text as a paper of its own: every field, the law, the score and the fingerprint, to be read and not
/// worked with. It has the words of today's papers; the long slip has those with which it was signed.
pub fn full_text(of: &SlipOf<'_>) -> SlipContent {
    let mut content = slip(of);
    content.bench = false;
    content.title = "Full text of the prescription".to_owned();
    content.handoff_blanks.clear();
    content.highlights = highlights_once(content.highlights);
    for drawing in &mut content.drawings {
        drawing.title = renamed(&drawing.title, &RENAMED);
        for words in &mut drawing.words {
            *words = renamed(words, &RENAMED);
        }
    }
    for section in content.foremost.iter_mut().chain(&mut content.sections) {
        for block in &mut section.blocks {
            match block {
                Block::Line(line) => line.tick = false,
                Block::Table(table) => table.tick = false,
                Block::Note(_) => {}
            }
        }
    }
    content
}

/// The words of the drawings as the form has them, and those with which the long slip was signed.
const SIGNED: [(&str, &str); 3] = [
    ("Height at rest", "Height, rest"),
    ("Height in occlusion", "Height, occlusal"),
    ("Freeway space", "Rest less occlusal"),
];

/// The words of the long slip that have others on the full text, each at the beginning of its line.
const RENAMED: [(&str, &str); 4] = [
    (
        "What the change list comes to, on the chewing side",
        "Net changes, occlusal view",
    ),
    ("Height, rest", "RVD"),
    ("Height, occlusal", "OVD"),
    ("Rest less occlusal", "Freeway space"),
];

/// The drawings in the words of the long slip.
fn as_signed(mut drawings: Vec<Drawing>) -> Vec<Drawing> {
    for words in drawings.iter_mut().flat_map(|drawing| &mut drawing.words) {
        *words = renamed(words, &SIGNED);
    }
    drawings
}

fn renamed(words: &str, names: &[(&str, &str)]) -> String {
    let mut found = names.iter().filter_map(|(before, now)| {
        let rest = words.strip_prefix(before)?;
        Some(format!("{now}{rest}"))
    });
    found.next().unwrap_or_else(|| words.to_owned())
}

/// The large values with the height in one place, with what is to be done with it; the day in the dentist's hands stands in
/// the head.
fn highlights_once(highlights: Vec<Highlight>) -> Vec<Highlight> {
    let order = highlights.iter().find(|one| one.label == HEIGHT_ORDER);
    let order = order.map(|one| one.value.clone());
    let has_height = highlights.iter().any(|one| one.label == HEIGHT);
    let one = |one: Highlight| match one.label.as_str() {
        WANTED => None,
        HEIGHT_ORDER if has_height => None,
        HEIGHT_ORDER => Some(Highlight {
            label: HEIGHT.to_owned(),
            ..one
        }),
        HEIGHT => Some(match &order {
            Some(order) => Highlight {
                value: format!("{} {}; {order}", one.value, one.unit),
                unit: String::new(),
                ..one
            },
            None => one,
        }),
        _ => Some(one),
    };
    highlights.into_iter().filter_map(one).collect()
}

fn party(card: &PartyCard, sheet: u32) -> PartyBlock {
    PartyBlock {
        name: card.name.clone(),
        address: card.address.lines().map(str::to_owned).collect(),
        licence: Some(card.licence_words(sheet)),
        telephone: card.telephone_words(),
    }
}

fn highlights(document: &Document) -> Vec<Highlight> {
    document
        .prescription
        .highlights(document.sheet)
        .into_iter()
        .map(|one| Highlight::new(one.label, &one.value, one.unit))
        .collect()
}

/// The sketches of a prescription; none where nothing of them is written.
pub fn drawings(prescription: &Prescription, sheet: u32) -> Vec<Drawing> {
    let sketches = match sheet {
        ..3 => Sketches::as_first(prescription),
        _ => Sketches::of(prescription),
    };
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

/// A section of the walk as the slip sets it: what is ordered has squares to tick at the bench.
fn section(printed: &PrintedSection) -> Section {
    let tick = printed.key == keys::ITEMS || !keys::ALL.contains(&printed.key);
    let line = |line: &PrintedLine| Line {
        strong: ["fact", "said"].contains(&line.key),
        tick,
        ..Line::new(&line.label, &line.value)
    };
    let mut blocks: Vec<Block> = printed.lines.iter().map(line).map(Block::from).collect();
    blocks.extend(printed.notes.iter().cloned().map(Block::Note));
    for table in &printed.tables {
        let title = Some(table.title).filter(|title| !title.is_empty());
        blocks.extend(title.map(|title| Block::Note(title.to_owned())));
        blocks.push(Block::Table(Table {
            headings: table.headings.iter().map(|&one| one.to_owned()).collect(),
            rows: table.rows.clone(),
            tick,
        }));
    }
    Section::new(printed.title, blocks)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::{PrintedTable, read, samples};
    use crate::domain::review::sample;
    use crate::domain::values::ids::AccountId;

    /// Label and value, or heading and cell; a title or a sentence stands alone.
    type Words = Vec<(String, String)>;

    fn alone(text: &str) -> (String, String) {
        (String::new(), text.to_owned())
    }

    fn cells(headings: &[String], rows: &[Vec<String>]) -> Words {
        let row = |row: &Vec<String>| headings.iter().cloned().zip(row.clone()).collect();
        rows.iter().flat_map(|one| -> Words { row(one) }).collect()
    }

    fn of_walk(section: &PrintedSection) -> Words {
        let mut words = Words::new();
        if section.key != keys::HEAD {
            words.push(alone(section.title));
        }
        let lines = section.lines.iter();
        words.extend(lines.map(|line| (line.label.clone(), line.value.clone())));
        words.extend(section.notes.iter().map(|note| alone(note)));
        for PrintedTable {
            title,
            headings,
            rows,
            ..
        } in &section.tables
        {
            words.extend((!title.is_empty()).then(|| alone(title)));
            let headings: Vec<String> = headings.iter().map(|&one| one.to_owned()).collect();
            words.extend(cells(&headings, rows));
        }
        words
    }

    fn of_slip(slip: &SlipContent) -> Words {
        let party = |party: &PartyBlock| {
            let lines = std::iter::once(&party.name).chain(&party.address);
            let lines = lines.chain(&party.licence).chain(&party.telephone);
            let lines: Vec<&str> = lines.map(String::as_str).collect();
            lines.join("\n")
        };
        let prescriber = std::iter::once(&slip.prescriber.name).chain(&slip.prescriber.licence);
        let prescriber: Vec<&str> = prescriber.map(String::as_str).collect();
        let revision = slip.revision.strip_prefix("Revision ").unwrap_or_default();
        let mut words: Words = [
            (labels::CASE, slip.case_number.clone()),
            (labels::REVISION, revision.to_owned()),
            (labels::ISSUED, slip.issued.clone()),
            (labels::OFFICE, party(&slip.office)),
            (labels::PRESCRIBER, prescriber.join("\n")),
            (labels::LAB, party(&slip.lab)),
        ]
        .map(|(label, value)| (label.to_owned(), value))
        .to_vec();
        for section in slip.foremost.iter().chain(&slip.sections) {
            words.push(alone(&section.title));
            for block in &section.blocks {
                match block {
                    Block::Line(line) => words.push((line.label.clone(), line.value.clone())),
                    Block::Note(note) => words.push(alone(note)),
                    Block::Table(table) => words.extend(cells(&table.headings, &table.rows)),
                }
            }
        }
        words
    }

    #[test]
    fn the_slip_says_what_the_walk_says_and_nothing_else() {
        let typed = |raw| read(&raw, crate::domain::values::tooth::Numbering::Iso3950).document;
        let prescriptions = [
            typed(samples::full(1)),
            typed(samples::full(4)),
            typed(samples::least()),
            sample::document(),
            crate::papers::samples::drawn(),
            Prescription::default(),
        ];
        let signature = Signature {
            account: AccountId::new("a"),
            name: "Dora Reed".to_owned(),
            licence: "D-7001".to_owned(),
            meaning: "I prescribe".to_owned(),
            // A year later, so that what is counted from the day of signing shows it.
            at: crate::domain::values::moment::Moment::new(1_803_978_000_000, 60),
        };
        for document in prescriptions.map(samples::document) {
            let slip = slip(&SlipOf {
                document: &document,
                signature: Some((&signature, "hash")),
                paper: document.paper,
                record: None,
            });
            let walk = document.sections(signature.at.date(), document.numbering);
            let walk: Words = walk.iter().flat_map(of_walk).collect();
            assert_eq!(of_slip(&slip), walk);
        }
    }

    #[test]
    fn the_full_text_names_each_height_and_each_day_once_and_the_long_slip_stays_as_it_was_signed()
    {
        let document = samples::document(sample::document());
        let of = SlipOf {
            document: &document,
            signature: None,
            paper: document.paper,
            record: None,
        };
        let words = |content: &SlipContent| {
            let drawn = content.drawings.iter();
            let drawn = drawn.flat_map(|one| std::iter::once(&one.title).chain(&one.words));
            let large = content.highlights.iter().map(|one| &one.label);
            let all: Vec<&str> = drawn.chain(large).map(String::as_str).collect();
            all.join("\n")
        };
        let (full, long) = (words(&full_text(&of)), words(&slip(&of)));
        for (before, now) in RENAMED {
            assert!(long.contains(before) && !full.contains(before), "{before}");
            assert!(full.contains(now) && !long.contains(now), "{now}");
        }
        assert!(long.contains(HEIGHT_ORDER) && long.contains(WANTED));
        assert!(!full.contains(WANTED), "{full}");
        let content = full_text(&of);
        let heights = content.highlights.iter();
        let heights: Vec<_> = heights.filter(|one| one.label == HEIGHT).collect();
        assert_eq!(heights.len(), 1);
        assert_eq!(heights[0].value, "65 mm; keep as recorded");
        assert!(content.wanted_back.is_some());
    }
}
