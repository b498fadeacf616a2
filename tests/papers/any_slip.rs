//! Slips of any content.

use crate::{assert_inside_margins, letter_counts, printed, run, saved, text_of, words_of};
use proptest::prelude::*;
use vestibule::domain::people::party::Paper;
use vestibule::domain::values::measure::Mm;
use vestibule::papers::content::{Block, Highlight, Line, Section, SlipContent, Table};
use vestibule::papers::slip_of::drawings;
use vestibule::papers::{lay_out, samples};

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z ]{0,40}",
        "\\PC{0,60}",
        "[ -~\n]{0,400}",
        "[а-яα-ω中🦷 ]{0,80}",
        Just(String::new())
    ]
}

fn any_block() -> impl Strategy<Value = Block> {
    let line = (any_text(), any_text(), any::<bool>(), any::<bool>()).prop_map(
        |(label, value, strong, tick)| {
            Block::Line(Line {
                label,
                value,
                strong,
                tick,
            })
        },
    );
    let table = (
        proptest::collection::vec(any_text(), 0..5),
        proptest::collection::vec(proptest::collection::vec(any_text(), 0..5), 0..6),
        any::<bool>(),
    )
        .prop_map(|(headings, rows, tick)| {
            Block::Table(Table {
                headings,
                rows,
                tick,
            })
        });
    prop_oneof![line, table, any_text().prop_map(Block::Note)]
}

fn any_slip() -> impl Strategy<Value = SlipContent> {
    let section = (any_text(), proptest::collection::vec(any_block(), 0..6))
        .prop_map(|(title, blocks)| Section { title, blocks });
    let highlight = (any_text(), any_text(), any_text())
        .prop_map(|(label, value, unit)| Highlight { label, value, unit });
    (
        (
            any_text(),
            any_text(),
            any_text(),
            any_text(),
            any::<bool>(),
            any::<bool>(),
        ),
        proptest::collection::vec(section, 0..6),
        proptest::collection::vec(highlight, 0..8),
        proptest::collection::vec(any_text(), 0..4),
        (
            proptest::option::of(0_i64..=1500),
            proptest::option::of(2000_i64..=12000),
            proptest::option::of(2000_i64..=12000),
        ),
    )
        .prop_map(
            |(
                (title, case_number, name, address, draft, letter),
                sections,
                highlights,
                cautions,
                (midline, rest, occlusal),
            )| {
                let mut slip = samples::full();
                (slip.title, slip.case_number, slip.office.name) = (title, case_number, name);
                slip.lab.address.push(address);
                slip.draft = draft;
                slip.paper = if letter { Paper::Letter } else { Paper::A4 };
                (slip.sections, slip.highlights, slip.cautions) = (sections, highlights, cautions);
                let mut drawn = samples::drawn();
                drawn.anterior.midline_offset_mm = midline.map(Mm::from_hundredths);
                drawn.vertical.rest_mm = rest.map(Mm::from_hundredths);
                drawn.vertical.occlusal_mm = occlusal.map(Mm::from_hundredths);
                slip.drawings = drawings(&drawn, 0);
                slip
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_written_is_placed_inside_the_margins_and_no_letter_is_lost(slip in any_slip()) {
        let pages = lay_out(&slip);
        assert_inside_margins(&pages);
        let has = letter_counts(&printed(&pages));
        for (letter, count) in letter_counts(&words_of(&slip).concat()) {
            prop_assert!(has.get(&letter).copied().unwrap_or(0) >= count, "{}: {} wanted", letter, count);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_written_comes_back_from_the_file(slip in any_slip()) {
        let pages = lay_out(&slip);
        let file = saved("any", &pages);
        run("qpdf", &["--check"], &file);
        let read = letter_counts(&text_of(&file).concat());
        for (letter, count) in letter_counts(&printed(&pages)) {
            prop_assert!(read.get(&letter).copied().unwrap_or(0) >= count, "{}: {} wanted", letter, count);
        }
    }
}
