//! Slips of invented values, for tests and for looking at: full, minimal, overlong, and in several scripts.

use super::content::{
    Block, Highlight, Line, PartyBlock, Prescriber, Section, SignatureBlock, SlipContent, Table,
};
use super::custody_sheet::{CustodyRow, CustodySheet};
use super::parcel_note::{NoteParcel, NoteRow, ParcelNote};
use super::record_mark::{InRecord, RecordMark};
use super::slip_of::drawings;
use crate::domain::people::party::Paper;
use crate::domain::prescription::{self, Prescription};
use crate::domain::values::tooth::Numbering;
use crate::record::hash::leaf_hash;

/// A slip with nothing but what every slip has.
pub fn minimal() -> SlipContent {
    SlipContent {
        paper: Paper::A4,
        bench: true,
        draft: false,
        title: "Laboratory procedure prescription".into(),
        case_number: "V7-0042".into(),
        patient_code: "K7M4-Q2X9-R".into(),
        revision: "Revision 1".into(),
        issued: "2026-03-02 14:05 +01:00".into(),
        wanted_back: None,
        office: PartyBlock {
            name: "Office on the Quay".into(),
            ..PartyBlock::default()
        },
        lab: PartyBlock {
            name: "Plaster Lane Laboratory".into(),
            ..PartyBlock::default()
        },
        prescriber: Prescriber {
            name: "Dr. Mara Lindqvist".into(),
            licence: Some("License D-10442".into()),
        },
        highlights: vec![],
        foremost: vec![],
        drawings: vec![],
        sections: vec![],
        cautions: vec![],
        signature: None,
        beside: None,
        handoff_blanks: vec![],
        qr_address: None,
        record: InRecord::Missing,
    }
}

/// A record of some size. The key's text has the form of one and is none.
pub fn record() -> RecordMark {
    RecordMark {
        size: 1284,
        root: leaf_hash(b"a sample"),
        key_id: "5bfea6bc".into(),
        key: "vestibule.example/record+5bfea6bc+AQIDBAUGBwgJCgsMDQ4PEBESExQVFhcYGRobHB0eHyAh"
            .into(),
    }
}

/// A slip as it is usually written, every part filled.
pub fn full() -> SlipContent {
    SlipContent {
        revision: "Revision 2".into(),
        wanted_back: Some("Friday 2026-03-20".into()),
        office: party(
            "Office on the Quay",
            "Registration 8831-04",
            "3 Quay Street",
        ),
        lab: party(
            "Plaster Lane Laboratory",
            "Registration 5520-L",
            "17 Plaster Lane",
        ),
        highlights: highlights(),
        foremost: vec![Section::new(
            "Patient",
            vec![
                Line::new("Materials to be avoided", "cobalt, nickel")
                    .strong()
                    .into(),
            ],
        )],
        drawings: drawings(&drawn(), 0),
        sections: vec![
            ordered(),
            pattern(),
            front_teeth(),
            jaw_relation(),
            enclosed(),
        ],
        cautions: cautions(),
        signature: Some(SignatureBlock {
            name: "Dr. Mara Lindqvist".into(),
            licence_label: "License",
            licence: "License D-10442".into(),
            moment: "2026-03-02 14:05 +01:00".into(),
            meaning: "I prescribe the work described above and answer for it.".into(),
            document_hash: "9f2c41d07be85a63c4b19e20d7f6a8351c0e47b29da86f13e5702bd948c6f10a"
                .into(),
        }),
        beside: None,
        handoff_blanks: [
            "Released by the office",
            "Received by the laboratory",
            "Released by the laboratory",
            "Received by the office",
        ]
        .map(String::from)
        .to_vec(),
        qr_address: Some("HTTPS://VESTIBULE.EXAMPLE/C/V7-0042".into()),
        record: InRecord::At(record()),
        ..minimal()
    }
}

/// The full slip before it is signed.
pub fn draft() -> SlipContent {
    SlipContent {
        draft: true,
        revision: "Draft".into(),
        ..full()
    }
}

/// Texts far beyond any sensible length, in every place that takes free text.
pub fn overlong() -> SlipContent {
    let long_word = "unbroken".repeat(50);
    let long_text = "every word of this remark must reach the bench ".repeat(213);
    let mut slip = full();
    slip.title = format!("{} {long_word}", slip.title);
    slip.office.name = long_word.clone();
    slip.office
        .address
        .push("a street with a very long name ".repeat(40));
    slip.highlights
        .push(Highlight::new("Remark", &long_word, "mm"));
    slip.sections.push(Section::new(
        &"A section with a long title ".repeat(20),
        vec![
            Line::new(&long_word, &long_text).ticked().into(),
            Line::new("Word", &long_word).strong().into(),
            Block::Note(long_text.clone()),
            Block::Table(Table {
                headings: vec!["Piece".into(), long_word.clone()],
                rows: vec![
                    vec![long_word.clone(), long_text.clone(), "third".into()],
                    vec![],
                ],
                tick: true,
            }),
        ],
    ));
    slip.cautions.push(long_text);
    slip.handoff_blanks.push(long_word.clone());
    slip.record = InRecord::At(RecordMark {
        size: u64::MAX,
        key: format!("{long_word}+{}", record().key),
        ..record()
    });
    slip
}

/// Scripts that the face holds, and some that it does not.
pub fn foreign() -> SlipContent {
    let mut slip = full();
    slip.office.name = "Zahnärztliche Praxis Łódź".into();
    slip.lab.name = "Εργαστήριο Οδός Γύψου".into();
    slip.sections.push(Section::new(
        "Примечания",
        vec![
            Line::new("Прикус", "Высота прикуса проверена дважды").into(),
            Line::new("Ελληνικά", "Μεσογναθική γραμμή προς τα αριστερά").into(),
            Line::new("Tiếng Việt", "Răng giả hàm trên, đường giữa lệch trái").into(),
            Line::new("Decomposed", "cafe\u{301} mit A\u{308}rger").into(),
            Line::new("Chinese", "義歯 white").into(),
            Line::new("Arabic", "سن left").into(),
            Line::new("Picture", "🦷 tooth").into(),
            Line::new("Control", "bell\u{7}null\u{0}turn\u{202E}end").into(),
        ],
    ));
    slip
}

/// A history of `count` events.
pub fn custody(count: usize) -> CustodySheet {
    let events = (0..count)
        .map(|number| CustodyRow {
            day: format!("2026-03-{:02} +01:00", number % 28 + 1),
            clock: "14:05".into(),
            what: format!(
                "provisional upper T-{number:04} {}",
                if number % 2 == 0 {
                    "released"
                } else {
                    "received"
                }
            ),
            by: "Ines Okafor".into(),
            details: "sound; disinfected 10 min, rinsed, moist bag".into(),
        })
        .collect();
    CustodySheet {
        paper: Paper::A4,
        title: "Custody sheet".into(),
        case_number: "V7-0042".into(),
        patient_code: "K7M4-Q2X9-R".into(),
        as_of: "As recorded up to 2026-03-20 09:00 +01:00".into(),
        ribbon: None,
        ribbon_always: false,
        items: Vec::new(),
        worn: Vec::new(),
        people: "Ines Okafor, assistant, Office on the Quay".into(),
        events,
        record: record(),
    }
}

/// The notes of a handoff in so many parcels, with so many items in each.
pub fn parcels(parcels: usize, items: usize) -> ParcelNote {
    let row = |number: usize| NoteRow {
        tag: format!("T-{number:04}"),
        title: "Provisional denture, upper".into(),
        pieces: "1".into(),
        condition: "sound, lining dry at the left tuberosity".into(),
        disinfection: "sample agent, 1:10, 10 min, rinsed, 2026-03-02 14:05 +01:00".into(),
    };
    let one = |number: usize| NoteParcel {
        seal: format!("Seal 47-{number}"),
        packing: "Moist, in a sealed bag. In a hard box".into(),
        rows: (0..items).map(|item| row(number * 1000 + item)).collect(),
    };
    ParcelNote {
        paper: Paper::A4,
        case_number: "V7-0042".into(),
        from: "Office on the Quay\n3 Quay Street".into(),
        to: "Plaster Lane Laboratory\n17 Plaster Lane".into(),
        carrier: "Parcel bicycle, reference run 4".into(),
        purpose: "final upper and lower".into(),
        released: "Released by Ines Okafor, 2026-03-02 14:30 +01:00".into(),
        parcels: (1..=parcels).map(one).collect(),
        qr_address: Some("HTTPS://VESTIBULE.EXAMPLE/C/V70042".into()),
        record: Some(record()),
    }
}

fn party(name: &str, licence: &str, street: &str) -> PartyBlock {
    PartyBlock {
        name: name.into(),
        address: vec![street.into(), "40210 Port Anselm".into()],
        licence: Some(licence.into()),
        telephone: Some("Telephone 555 0100".into()),
    }
}

fn highlights() -> Vec<Highlight> {
    vec![
        Highlight::new("Tooth shade (guide: Linen)", "L3 warm", ""),
        Highlight::new("Upper front mould", "Alder 46", ""),
        Highlight::new("Width of six front teeth", "48.5", "mm"),
        Highlight::new("Occlusal vertical dimension", "70.0", "mm"),
        Highlight::new("Midline", "1.5", "mm to the patient's left"),
        Highlight::new("Base shade", "Rose 2, veined", ""),
    ]
}

/// What the drawings follow.
pub fn drawn() -> Prescription {
    let fields = [
        ("anterior.midline_offset_mm", "1.5"),
        ("anterior.midline_side", "left"),
        ("anterior.incisal_show_mm", "1"),
        ("anterior.incisal_change_mm", "0.5"),
        ("anterior.smile_line", "follows_lip"),
        ("anterior.lip_support", "more"),
        ("anterior.lip_support_mm", "1"),
        ("plane.tilt_mm", "1.5"),
        ("plane.lower_side", "right"),
        ("vertical.rest_mm", "73"),
        ("vertical.occlusal_mm", "70"),
        ("changes.0.what", "upper_incisors"),
        ("changes.0.direction", "longer_edge"),
        ("changes.0.mm", "0.5"),
        ("changes.0.date", "2026-02-23"),
        ("changes.1.what", "left_block"),
        ("changes.1.direction", "outward"),
        ("changes.1.mm", "1.5"),
        ("changes.1.date", "2026-02-23"),
        ("changes.2.what", "tooth"),
        ("changes.2.tooth", "UR3"),
        ("changes.2.direction", "back"),
        ("changes.2.mm", "1"),
        ("changes.3.what", "upper_flange"),
        ("changes.3.direction", "thinner"),
        ("changes.3.mm", "1"),
    ];
    let raw = fields
        .iter()
        .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
        .collect();
    prescription::read(&raw, Numbering::Iso3950).document
}

fn ordered() -> Section {
    let rows = [
        [
            "Upper complete denture",
            "process and finish",
            "heat-cured resin, lot on the bench record",
        ],
        [
            "Lower complete denture",
            "process and finish",
            "heat-cured resin, lot on the bench record",
        ],
        [
            "Spare upper denture",
            "duplicate",
            "copied from the provisional; tooth-colored resin",
        ],
    ];
    Section::new(
        "Ordered",
        vec![Block::Table(Table {
            headings: ["Piece", "Stage", "Materials"].map(String::from).to_vec(),
            rows: rows
                .iter()
                .map(|row| row.map(String::from).to_vec())
                .collect(),
            tick: true,
        })],
    )
}

fn pattern() -> Section {
    Section::new(
        "Pattern and change list",
        vec![
            Line::new(
                "Pattern",
                "Provisional upper and lower, worn and corrected since 2025-11",
            )
            .strong()
            .ticked()
            .into(),
            Line::new(
                "Change 1",
                "Upper central incisors (ISO 3950: 11 and 21) 0.5 mm longer at the edge",
            )
            .ticked()
            .into(),
            Line::new("Change 2", "Midline 1.5 mm to the patient's left")
                .ticked()
                .into(),
            Line::new(
                "Keep",
                "Borders, palate and polished surfaces as in the pattern",
            )
            .ticked()
            .into(),
        ],
    )
}

fn front_teeth() -> Section {
    Section::new(
        "Front teeth",
        vec![
            Line::new(
                "Arrangement",
                "Slight overlap of the upper lateral incisors (ISO 3950: 12 and 22)",
            )
            .ticked()
            .into(),
            Line::new(
                "Smile line",
                "Follows the lower lip; 1 mm of tooth shows at rest",
            )
            .into(),
            Line::new("Shade", "L3 warm, read at noon by the window by two people").into(),
        ],
    )
}

fn jaw_relation() -> Section {
    Section::new(
        "Jaw relation",
        vec![
            Line::new(
                "Rest vertical dimension",
                "73.0 mm; readings 72.5, 73.0, 73.5; calliper between nose and chin",
            )
            .into(),
            Line::new(
                "Occlusal vertical dimension",
                "70.0 mm; same points, same calliper",
            )
            .strong()
            .ticked()
            .into(),
            Line::new(
                "Bite record",
                "T-0117, silicone, keyed: two grooves upper right, one upper left",
            )
            .ticked()
            .into(),
            Line::new(
                "Facebow record",
                "T-0118; plane through both tragus points and the left orbit",
            )
            .ticked()
            .into(),
        ],
    )
}

fn enclosed() -> Section {
    Section::new(
        "Enclosed, and to come back",
        vec![
            Block::Table(Table {
                headings: ["Tag", "Item", "Disinfected", "Comes back"]
                    .map(String::from)
                    .to_vec(),
                rows: [
                    ["T-0115", "provisional upper", "10 min, rinsed", "yes"],
                    ["T-0116", "provisional lower", "10 min, rinsed", "yes"],
                    ["T-0117", "bite record", "10 min, rinsed", "no"],
                    ["T-0118", "facebow record", "wiped", "yes"],
                ]
                .iter()
                .map(|row| row.map(String::from).to_vec())
                .collect(),
                tick: true,
            }),
            Block::Note(
                "The lower provisional has a soft lining: keep it moist, and never above 50 °C."
                    .into(),
            ),
        ],
    )
}

fn cautions() -> Vec<String> {
    [
        "Allergy: no cobalt, no nickel.",
        "Monomer vapor and grinding dust: extraction on, mask and glasses.",
        "Do not trim the keys of the bite record; seat it without pressure.",
    ]
    .map(String::from)
    .to_vec()
}
