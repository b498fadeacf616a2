//! In which jaw something is made where both are treated: of the denture that comes back, and of the jaw without teeth.

use super::bed::{Bed, LOWER, UPPER, value};
use crate::domain::custody::item::ItemKind;
use crate::domain::people::patient::OwnTeeth;
use crate::domain::prescription::{Course, Prescription, read};
use crate::domain::review::review;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::tooth::Numbering;

const REPAIR: (&str, &str) = ("order.course", "repair");
const RELINE: (&str, &str) = ("order.course", "reline");
const BROKEN: [(&str, &str); 2] = [
    ("repairs.0.what", "base_broken"),
    ("repairs.0.place", "midline"),
];

fn document(bed: &Bed, typed: &[(&str, &str)]) -> Prescription {
    read(&bed.filled(typed).fields, Numbering::Iso3950).document
}

/// Jaw and what it bites against, piece by piece.
fn pieces(bed: &Bed, typed: &[(&str, &str)]) -> Vec<(Option<Arch>, Option<&'static str>)> {
    let pieces = document(bed, typed).order.pieces.into_iter();
    let words = pieces.map(|one| (one.arch, one.opposing.map(|opposing| opposing.word())));
    words.collect()
}

/// What is raised of jaws and dentures.
fn raised(bed: &Bed, typed: &[(&str, &str)]) -> Vec<&'static str> {
    const OF_JAWS: &[&str] = &[
        "worked-on-denture-unnamed",
        "worked-on-not-enclosed",
        "repair-of-a-jaw-unsaid",
        "repair-places-unsaid",
        "treated-arch-without-piece",
        "piece-outside-the-case",
        "extraction-list-missing",
        "tag-of-another-jaw",
        "jaw-with-the-teeth-unsaid",
    ];
    let found = review(&document(bed, typed), &bed.setting());
    let ids = found.into_iter().map(|finding| finding.id);
    ids.filter(|id| OF_JAWS.contains(id)).collect()
}

#[test]
fn of_a_jaw_whose_piece_is_taken_out_nothing_is_filled_in() {
    let mut bed = Bed::before(1, Arches::Both);
    bed.has("try_u", ItemKind::TryIn, UPPER);
    bed.has("try_l", ItemKind::TryIn, LOWER);
    let upper = [("pieces.0.arch", "upper"), ("pieces.0.stage", "process")];
    let finish = |pieces: &[(&str, &str)]| {
        let typed = [&[("order.course", "finish")][..], pieces].concat();
        let rx = document(&bed, &typed);
        let named = [rx.pattern.lower_item, rx.approval.item_lower];
        let enclosed = rx.enclosures.enclosed.len();
        (named.map(|tag| tag.is_some()), enclosed)
    };
    assert_eq!(finish(&[]), ([true, true], 2));
    // The lab may need it on the articulator all the same.
    assert_eq!(finish(&upper), ([false, false], 2));
    let unsaid = [upper[0], upper[1], ("pieces.1.stage", "process")];
    assert_eq!(finish(&unsaid), ([true, true], 2));
    let immediate = |pieces: &[(&str, &str)]| {
        let mould = ("posterior.upper_mould", "Otter P1");
        let typed = [&[("order.course", "immediate"), mould][..], pieces].concat();
        let rx = document(&bed, &typed);
        let is_lower = [
            rx.posterior.lower_mould.is_some(),
            rx.posterior.teeth_lower.is_some(),
        ];
        // What may be ground stands in the jaw for which nothing is made.
        (is_lower, rx.opposing.may_grind.is_some())
    };
    assert_eq!(immediate(&[]), ([true, true], false));
    assert_eq!(immediate(&upper), ([false, false], true));
}

#[test]
fn a_repair_is_of_the_denture_that_is_here_and_of_no_other() {
    let mut bed = Bed::before(1, Arches::Both);
    bed.has("final_u", ItemKind::FinalDenture, UPPER);
    let typed = [REPAIR, BROKEN[0], BROKEN[1]];
    assert_eq!(pieces(&bed, &typed), [(UPPER, None)]);
    assert_eq!(raised(&bed, &typed), [""; 0]);
    let filled = bed.filled(&typed);
    let tag = bed.tag("final_u").to_string();
    assert_eq!(value(&filled, "repair.item").map(|one| one.0), Some(&*tag));
    assert_eq!(value(&filled, "repair.other_item"), None);
    // A lower piece that somebody writes all the same has no denture.
    let both = [
        typed.as_slice(),
        &[
            ("pieces.0.arch", "upper"),
            ("pieces.0.stage", "repair"),
            ("pieces.1.arch", "lower"),
            ("pieces.1.stage", "repair"),
        ],
    ]
    .concat();
    let stops = ["worked-on-denture-unnamed", "repair-of-a-jaw-unsaid"];
    assert_eq!(raised(&bed, &both), stops);
}

#[test]
fn of_two_broken_dentures_each_is_named_and_each_has_its_place() {
    let mut bed = Bed::before(1, Arches::Both);
    bed.has("final_u", ItemKind::FinalDenture, UPPER);
    bed.has("final_l", ItemKind::FinalDenture, LOWER);
    let filled = bed.filled(&[REPAIR]);
    for (key, name) in [("repair.item", "final_u"), ("repair.other_item", "final_l")] {
        let tag = bed.tag(name).to_string();
        assert_eq!(value(&filled, key).map(|one| one.0), Some(&*tag), "{key}");
    }
    assert_eq!(pieces(&bed, &[REPAIR]).len(), 2);
    let tooth = |row: usize, tooth: &str| (format!("repairs.{row}.tooth"), tooth.to_owned());
    for (rows, asked) in [
        (vec![tooth(0, "11")], &["repair-of-a-jaw-unsaid"][..]),
        (
            vec![tooth(0, "11"), tooth(1, "21")],
            &["repair-of-a-jaw-unsaid"],
        ),
        (vec![tooth(0, "11"), tooth(1, "41")], &[]),
        (
            vec![
                tooth(0, "11"),
                ("repairs.1.place".to_owned(), "midline".to_owned()),
            ],
            &[],
        ),
        (vec![], &["repair-places-unsaid"]),
    ] {
        let rows = rows.iter().map(|(key, text)| (key.as_str(), text.as_str()));
        let typed: Vec<_> = std::iter::once(REPAIR).chain(rows).collect();
        assert_eq!(raised(&bed, &typed), asked, "{typed:?}");
    }
    // The other denture emptied is one that is sent, and not broken.
    let alone = [
        REPAIR,
        ("repairs.0.tooth", "11"),
        ("repair.other_item", " "),
    ];
    assert_eq!(pieces(&bed, &alone), [(UPPER, None)]);
    assert_eq!(raised(&bed, &alone), [""; 0]);
    // One of them named by hand is the one that is repaired.
    let named = [REPAIR, ("repair.item", "@final_l"), BROKEN[0]];
    assert_eq!(pieces(&bed, &named), [(LOWER, None)]);
    assert_eq!(value(&bed.filled(&named), "repair.other_item"), None);
}

#[test]
fn a_reline_of_a_denture_that_is_worn_stops_until_it_is_named_or_here() {
    let mut bed = Bed::before(700, Arches::Both);
    bed.wears("final_u", ItemKind::FinalDenture, UPPER);
    assert_eq!(pieces(&bed, &[RELINE]), [(UPPER, None)]);
    assert_eq!(raised(&bed, &[RELINE]), ["worked-on-denture-unnamed"]);
    let found = review(&document(&bed, &[RELINE]), &bed.setting());
    let stop = found
        .iter()
        .find(|one| one.id == "worked-on-denture-unnamed");
    let tag = bed.tag("final_u");
    assert_eq!(
        stop.map(|one| one.sentence.clone()),
        Some(format!(
            "Which upper denture is to be relined is not given, and none is enclosed or at the lab; by the record the patient wears {tag}."
        ))
    );
    bed.days_pass(1);
    bed.has("dup_u", ItemKind::Duplicate, UPPER);
    bed.fits("dup_u", "final_u");
    assert_eq!(pieces(&bed, &[RELINE]), [(UPPER, None)]);
    assert_eq!(raised(&bed, &[RELINE]), [""; 0]);
    // Named while it is worn, it comes out for that: the copy that is here goes in meanwhile, and is not listed as sent.
    let mut bed = Bed::before(700, Arches::Both);
    bed.wears("final_u", ItemKind::FinalDenture, UPPER);
    bed.has("dup_u", ItemKind::Duplicate, UPPER);
    let sent = |typed: &[(&str, &str)]| document(&bed, typed).enclosures.enclosed.len();
    assert_eq!(sent(&[RELINE]), 1);
    assert_eq!(sent(&[RELINE, ("reline.item", "@final_u")]), 0);
    // Nothing at all is known: both are asked for.
    let empty = Bed::before(1, Arches::Both);
    assert_eq!(pieces(&empty, &[RELINE]).len(), 2);
    assert_eq!(raised(&empty, &[RELINE]), ["worked-on-denture-unnamed"]);
}

#[test]
fn a_single_denture_is_made_for_the_jaw_without_teeth() {
    const SINGLE: (&str, &str) = ("order.course", "single");
    let mut bed = Bed::before(1, Arches::Both);
    // While the card is silent nobody knows which one it is.
    assert_eq!(pieces(&bed, &[SINGLE]).len(), 2);
    assert_eq!(raised(&bed, &[SINGLE]), ["jaw-with-the-teeth-unsaid"]);
    for (teeth, word) in [
        (OwnTeeth::Natural, "natural"),
        (OwnTeeth::Implants, "implants"),
    ] {
        bed.own_teeth = [(Arch::Lower, teeth)].into();
        assert_eq!(pieces(&bed, &[SINGLE]), [(UPPER, Some(word))]);
        assert_eq!(raised(&bed, &[SINGLE]), [""; 0], "{word}");
        let filled = bed.filled(&[SINGLE]);
        assert_eq!(value(&filled, "posterior.teeth_lower"), None);
    }
    // With teeth in both jaws it is another kind of work, and asked about.
    bed.own_teeth = [Arch::Upper, Arch::Lower]
        .map(|arch| (arch, OwnTeeth::Natural))
        .into();
    assert_eq!(pieces(&bed, &[SINGLE]).len(), 2);
    assert_eq!(raised(&bed, &[SINGLE]), ["extraction-list-missing"]);
}

#[test]
fn a_remount_asks_for_the_denture_of_each_jaw_without_teeth() {
    const REMOUNT: (&str, &str) = ("order.course", "remount");
    let mut bed = Bed::before(1, Arches::Both);
    bed.has("final_u", ItemKind::FinalDenture, UPPER);
    // One denture is ground in against the other: both are sent.
    assert_eq!(pieces(&bed, &[REMOUNT]).len(), 2);
    assert_eq!(raised(&bed, &[REMOUNT]), ["worked-on-denture-unnamed"]);
    bed.own_teeth = [(Arch::Lower, OwnTeeth::Natural)].into();
    assert_eq!(pieces(&bed, &[REMOUNT]), [(UPPER, Some("natural"))]);
    assert_eq!(raised(&bed, &[REMOUNT]), [""; 0]);
    // The cast of the teeth goes along: the denture is ground in against it.
    bed.has("cast_l", ItemKind::RemountCast, LOWER);
    let filled = bed.filled(&[REMOUNT]);
    let tag = bed.tag("cast_l").to_string();
    let row = |row: usize| filled.fields.get(&format!("enclosed.{row}.tag"));
    assert!(
        [row(0), row(1)].contains(&Some(&tag)),
        "{:?}",
        filled.fields
    );
}

#[test]
fn whatever_is_treated_a_piece_is_of_a_treated_jaw() {
    for arches in [Arches::Upper, Arches::Lower, Arches::Both] {
        let mut bed = Bed::before(700, arches);
        bed.wears("final_u", ItemKind::FinalDenture, UPPER);
        bed.has("final_l", ItemKind::FinalDenture, LOWER);
        bed.own_teeth = [(Arch::Lower, OwnTeeth::Natural)].into();
        for course in Course::ALL {
            for (arch, _) in pieces(&bed, &[("order.course", course.word())]) {
                let arch = arch.expect("each piece says its jaw");
                assert!(arches.treated().contains(&arch), "{course:?} {arches:?}");
            }
        }
    }
}
