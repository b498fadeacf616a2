//! Papers about a case besides its prescription.

use crate::{assert_inside_margins, codes_of, printed, run, saved, text_of, without_space};
use vestibule::domain::people::party::Paper;
use vestibule::papers::case_paper::{CasePaper, Listing, PaperPoint, lay_out};
use vestibule::papers::samples;

pub fn paper(paper: Paper, rows: usize) -> CasePaper {
    let row = |number: usize| {
        vec![
            format!("Base resin, heat-cured, heather {number}"),
            format!("26-{number:04}"),
            "flasked, upper; cured, upper and lower".to_owned(),
        ]
    };
    CasePaper {
        paper,
        title: "Statement for a custom-made device".to_owned(),
        case_number: "CGN-9EY-7Y3".to_owned(),
        about: vec!["Regulation (EU) 2017/745, Annex XIII, section 1".to_owned()],
        caution: "Check against the official text before signing.".to_owned(),
        points: (1..=8)
            .map(|number| PaperPoint {
                label: format!("Label of point {number}"),
                words: vec![format!("What is said of point {number}, in some words.")],
                blank: number % 3 == 0,
            })
            .collect(),
        tables: vec![Listing {
            heading: "Materials and lots".to_owned(),
            columns: vec![("Material", 0.4), ("Lot", 0.2), ("Went into", 0.4)],
            rows: (1..=rows).map(row).collect(),
            nothing: "No material is entered.",
        }],
        signed_for: "Signed for the manufacturer".to_owned(),
        notes: vec!["To be kept at least 10 years.".to_owned()],
        as_of: "As recorded up to 2026-03-02 14:05 +01:00".to_owned(),
        record: samples::record(),
    }
}

#[test]
fn a_paper_of_a_case_has_all_its_words_inside_its_margins_on_as_few_pages_as_it_takes() {
    for (size, word) in [(Paper::A4, "a4"), (Paper::Letter, "letter")] {
        for rows in [0, 4, 120] {
            let words = paper(size, rows);
            let pages = lay_out(&words);
            assert!(pages == lay_out(&words), "the same twice");
            assert_inside_margins(&pages);
            match rows {
                0 => assert_eq!(pages.len(), 1),
                4 => {}
                _ => assert!(pages.len() > 1),
            }
            let file = saved(&format!("case-paper-{word}-{rows}"), &pages);
            run("qpdf", &["--check"], &file);
            let text = without_space(&text_of(&file).join(""));
            let all = printed(&pages);
            for said in words
                .tables
                .iter()
                .flat_map(|table| table.rows.iter().flatten())
            {
                assert!(all.contains(&without_space(said)), "{said}");
            }
            for said in [
                "Check against the official text before signing.",
                "Label of point 8",
                "Signed for the manufacturer",
                "To be kept at least 10 years.",
            ] {
                assert!(text.contains(&without_space(said)), "{said} in {text}");
            }
            assert_eq!(text.contains("Nomaterialisentered."), rows == 0);
            // Headings come again on each page that the table goes over to.
            if rows == 120 {
                assert!(text.matches("MaterialLotWentinto").count() >= 3, "{text}");
            }
            assert!(codes_of(&file).contains(&words.record.code()));
        }
    }
}

/// Points whose words take more than a page below each other.
fn of_many_words(size: Paper, lines: usize) -> CasePaper {
    let mut paper = paper(size, 0);
    paper.tables.clear();
    for (number, point) in (1..).zip(&mut paper.points) {
        point.words = (0..lines)
            .map(|line| format!("What is said of point {number} in line {line}, in some words."))
            .collect();
    }
    paper
}

#[test]
fn points_that_take_two_pages_below_each_other_stand_in_two_columns_on_one_in_the_same_letters() {
    for size in [Paper::A4, Paper::Letter] {
        let sizes = |words: &CasePaper| {
            let pages = lay_out(words);
            assert_inside_margins(&pages);
            let mut sizes: Vec<i32> = pages
                .iter()
                .flat_map(|page| &page.marks)
                .filter_map(|mark| match mark {
                    vestibule::papers::Mark::Text { size_pt, .. } => Some((size_pt * 10.0) as i32),
                    _ => None,
                })
                .collect();
            sizes.sort_unstable();
            sizes.dedup();
            (sizes[0], pages.len())
        };
        assert_eq!(sizes(&of_many_words(size, 1)), (85, 1));
        let columns = of_many_words(size, 5);
        assert_eq!(sizes(&columns), (85, 1), "{size:?}");
        let file = saved("case-paper-columns", &lay_out(&columns));
        let text = without_space(&text_of(&file).join(""));
        for point in &columns.points {
            assert!(text.contains(&without_space(&point.label)), "{text}");
        }
        // What is too long for one page goes on over the next.
        let (_, pages) = sizes(&of_many_words(size, 40));
        assert!(pages > 1);
    }
}
