//! The main job against what others have published: a slip made through the application, read back by a
//! PDF reader that is not ours, and held against the lists of what a laboratory prescription must say.

#![expect(
    clippy::unwrap_used,
    reason = "a check falls over where it is not true"
)]

use std::process::Command;
use vestibule::app::{App, Settings, demo, see_case};
use vestibule::clock::Outside;
use vestibule::domain::prescription::catalogue;
use vestibule::domain::revision::Document;
use vestibule::record::key::Signer;
use vestibule::store::{Store, cases, revisions};

/// 2026-03-02 08:00 UTC.
const MONDAY_MS: i64 = 1_772_438_400_000;

struct Slip {
    document: Document,
    text: String,
    _folder: tempfile::TempDir,
}

/// The slip of the demo case that has come furthest, as text read back by pdftotext.
async fn slip(paper: &str) -> Slip {
    let folder = tempfile::tempdir().unwrap();
    let address = Store::sqlite_address(&folder.path().join("outside.sqlite"));
    let store = Store::open(
        &address,
        Signer::log("vestibule.test/record", &[7; 32]).unwrap(),
    )
    .await
    .unwrap();
    let settings = Settings {
        over_tls: false,
        address: "http://vestibule.test".to_owned(),
        notice: None,
    };
    let app = App::new(store, Outside::fixed(MONDAY_MS, 1), settings);
    demo::fill(&app, 0).await.unwrap();
    let mut conn = app.store.read().await.unwrap();
    let case = cases::all_cases(&mut conn, 1, 0).await.unwrap().remove(0);
    let revision = revisions::find(&mut conn, &case.number, case.revision)
        .await
        .unwrap()
        .unwrap();
    drop(conn);
    let bytes = see_case::slip_for(&app, case.number.as_str(), None, Some(paper))
        .await
        .unwrap();
    let file = folder.path().join("slip.pdf");
    std::fs::write(&file, bytes).unwrap();
    let read = Command::new("pdftotext")
        .arg(&file)
        .arg("-")
        .output()
        .unwrap();
    assert!(read.status.success());
    Slip {
        document: Document::from_canonical(&revision.document).unwrap(),
        text: String::from_utf8(read.stdout).unwrap(),
        _folder: folder,
    }
}

impl Slip {
    fn says(&self, words: &str) {
        // A line may be broken anywhere between words, and a long word inside.
        let squeeze = |text: &str| text.split_whitespace().collect::<String>();
        let (text, words) = (squeeze(&self.text), squeeze(words));
        assert!(text.contains(&words), "“{words}” is not on the slip");
    }
}

/// What the published state texts on dental laboratory work orders have in common. Sources: Florida
/// Administrative Code 64B5-17.006; Oklahoma Statutes 59-328.36a; Maryland Health Occupations 4-403; West
/// Virginia Code 30-4B-2 (mirrors of the official texts, read 2026; the official text decides).
#[tokio::test]
async fn the_nine_items_that_state_texts_share_are_on_the_slip() {
    for paper in ["a4", "letter"] {
        let slip = slip(paper).await;
        let document = &slip.document;
        // 1 The laboratory: name, address, licence.
        slip.says(&document.lab.name);
        document
            .lab
            .address
            .lines()
            .for_each(|line| slip.says(line));
        slip.says(&document.lab.licence);
        // 2 The dentist: name, address, licence.
        slip.says(&document.prescriber_name);
        document
            .office
            .address
            .lines()
            .for_each(|line| slip.says(line));
        slip.says(&document.prescriber_licence);
        // 3 The patient by name or number: here always by number.
        slip.says(&document.patient.code.to_string());
        // 4 The date.
        slip.says(&document.issued.to_string());
        // 5 and 6 Each separate piece of work, and its materials.
        assert_eq!(document.prescription.order.pieces.len(), 2);
        for piece in &document.prescription.order.pieces {
            let texts = [&piece.description, &piece.materials];
            for text in texts.into_iter().flatten() {
                text.as_str().split(' ').for_each(|word| slip.says(word));
            }
        }
        // 7 The signature, with its meaning.
        slip.says(&document.meaning);
        slip.says("I prescribe this work");
        // 8 One patient per order, 9 the copy for both: one case number, printed and kept by both sides.
        slip.says(&document.case.to_string());
        // The title that the Florida text asks for.
        slip.says("Laboratory procedure prescription");
    }
}

#[tokio::test]
async fn every_filled_field_is_on_the_slip_word_by_word() {
    let slip = slip("a4").await;
    let sections = slip.document.prescription.printed(slip.document.numbering);
    assert!(
        sections.len() > catalogue().len() / 2,
        "the demo fills most sections"
    );
    for section in &sections {
        slip.says(section.title);
        for line in &section.lines {
            line.value
                .split_whitespace()
                .for_each(|word| slip.says(word));
        }
        for cell in section
            .tables
            .iter()
            .flat_map(|table| table.rows.iter().flatten())
        {
            cell.split_whitespace().for_each(|word| slip.says(word));
        }
    }
}
