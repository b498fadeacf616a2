//! The QR codes and the mark of the record.

use crate::labels::{labels, run_of};
use crate::{assert_inside_margins, codes_of, mark, printed, run, saved, text_of, without_space};
use vestibule::domain::people::party::Paper;
use vestibule::papers::key_sheet::KeySheet;
use vestibule::papers::layout::grid::{Grid, READY};
use vestibule::papers::record_mark::{DRAFT_WORDS, InRecord, MISSING_WORDS, RecordMark};
use vestibule::papers::{Mark, custody_sheet, key_sheet, label_sheet, lay_out, samples};

#[test]
fn a_telephone_reads_the_qr_code() {
    for (name, slip) in [("qr", samples::full()), ("qr-draft", samples::draft())] {
        let file = saved(name, &lay_out(&slip));
        let image = file.with_extension("");
        run(
            "pdftoppm",
            &[
                "-r",
                "150",
                "-png",
                "-singlefile",
                "-f",
                "1",
                file.to_str().unwrap(),
            ],
            &image,
        );
        let read = run("zbarimg", &["-q", "--raw"], &image.with_extension("png"));
        assert_eq!(Some(read.trim()), slip.qr_address.as_deref());
    }
}

#[test]
fn every_paper_says_where_the_record_stood_in_letters_and_as_a_code() {
    let mark = samples::record();
    let key = KeySheet {
        paper: Paper::Letter,
        office: "Office on the Quay".into(),
        codes: vec!["K7M4-Q2X9-R".into()],
        missing: String::new(),
        blank_rows: 8,
        record: mark.clone(),
    };
    for (name, pages, codes) in [
        ("record-slip", lay_out(&samples::full()), 2),
        (
            "record-custody",
            custody_sheet::lay_out(&samples::custody(60)),
            1,
        ),
        ("record-key", key_sheet::lay_out(&key), 1),
    ] {
        assert_inside_margins(&pages);
        let file = saved(name, &pages);
        let text = without_space(&text_of(&file).concat());
        for words in [mark.code(), mark.key_id.clone(), mark.key.clone()] {
            assert!(
                text.contains(&words),
                "{name}: {words} is missing in {text}"
            );
        }
        let read = codes_of(&file);
        assert!(
            read.len() == codes && read.contains(&mark.code()),
            "{name}: {read:?}"
        );
        let all = pages.iter().flat_map(|page| &page.marks);
        let widths = all.filter_map(|mark| match mark {
            Mark::Qr {
                module_mm, rows, ..
            } => Some(module_mm * rows.len() as f32),
            _ => None,
        });
        assert!(widths.min_by(f32::total_cmp).unwrap() >= 20.0, "{name}");
    }
}

#[test]
fn the_records_code_takes_the_dense_mode_and_one_piece_of_paper() {
    let mark = RecordMark {
        size: u64::MAX,
        ..samples::record()
    };
    // The dense mode of ISO/IEC 18004 holds digits, capital letters and the colon.
    let is_dense = |c: char| c.is_ascii_digit() || c.is_ascii_uppercase() || c == ':';
    assert!(mark.code().chars().all(is_dense) && !mark.code().contains(' '));
    // However far down a page the block comes to stand, code and letters stay together.
    for rows in 0..30 {
        let pages = key_sheet::lay_out(&KeySheet {
            paper: Paper::A4,
            office: String::new(),
            codes: vec![],
            missing: String::new(),
            blank_rows: rows,
            record: mark.clone(),
        });
        assert_inside_margins(&pages);
        let last = pages.last().unwrap();
        assert!(
            last.marks
                .iter()
                .any(|mark| matches!(mark, Mark::Qr { .. })),
            "{rows}"
        );
        let words = printed(std::slice::from_ref(last));
        assert!(
            words.contains(&mark.code()) && words.contains(&mark.key),
            "{rows}: {words}"
        );
    }
}

#[test]
fn a_slip_that_is_in_no_record_says_so() {
    let mut slip = samples::full();
    slip.record = InRecord::Missing;
    let missing = printed(&lay_out(&slip));
    let draft = printed(&lay_out(&samples::draft()));
    assert!(missing.contains(&without_space(MISSING_WORDS)));
    assert!(draft.contains(&without_space(DRAFT_WORDS)));
    let code = samples::record().code();
    assert!(!missing.contains(&code) && !draft.contains(&code));
}

#[test]
fn labels_name_the_record_in_the_margin_or_where_a_label_has_room() {
    let short = samples::record().short();
    assert!(short.starts_with("Record 1284:") && short.ends_with(", key 5bfea6bc"));
    let says = |grid: Grid, record: Option<&RecordMark>| {
        let pages = label_sheet::lay_out(&labels(2), &run_of(grid), record).unwrap();
        printed(&pages).matches(&without_space(&short)).count()
    };
    for ready in READY {
        assert_eq!(says(ready.grid(), mark().as_ref()), 1, "{}", ready.word);
        assert_eq!(says(ready.grid(), None), 0);
    }
    // A large single label has room, a small one keeps its words large instead.
    assert_eq!(says(Grid::single(10_000, 6000), mark().as_ref()), 2);
    assert_eq!(says(Grid::single(6200, 2900), mark().as_ref()), 0);
}

#[test]
fn an_address_too_long_for_a_code_is_printed_in_letters() {
    let mut slip = samples::full();
    slip.qr_address = Some(format!("HTTPS://VESTIBULE.EXAMPLE/{}", "LONG".repeat(600)));
    let pages = lay_out(&slip);
    // The record's own code stands on the last page.
    let is_code = |mark: &Mark| matches!(mark, Mark::Qr { .. });
    assert!(!pages[0].marks.iter().any(is_code));
    assert_inside_margins(&pages);
    assert_eq!(printed(&pages).matches("LONG").count(), 600);
}

#[test]
fn a_letter_that_the_face_lacks_is_marked() {
    let text = text_of(&saved("marked", &lay_out(&samples::foreign()))).concat();
    for mark in [
        "[U+7FA9][U+6B6F] white",
        "[U+0633][U+0646] left",
        "[U+1F9B7] tooth",
        "bell[U+0007]null[U+0000]turn[U+202E]end",
        "café mit Ärger",
    ] {
        assert!(text.contains(mark), "{mark} is missing in\n{text}");
    }
}
