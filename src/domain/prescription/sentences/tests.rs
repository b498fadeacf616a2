//! What each section says in one sentence.

use super::sentence::{NOTHING_YET, sentences};
use super::short;
use crate::domain::form::{Kind, Raw};
use crate::domain::prescription::samples::{any_readable, full};
use crate::domain::prescription::{all_fields, catalogue, read};
use crate::domain::values::ids::Tag;
use crate::domain::values::tooth::Numbering;
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Signs that no sentence goes beyond.
const MOST: usize = 200;

fn said(section: &str, fields: &[(&str, &str)]) -> String {
    let pair = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
    let raw: Raw = fields.iter().map(pair).collect();
    let reading = read(&raw, Numbering::Iso3950);
    assert_eq!(reading.faults, [], "{fields:?}");
    let said = sentences(&reading.document, Numbering::Iso3950);
    said.get(section).cloned().unwrap_or_default()
}

/// A section, what is filled in it, and what it says.
type Line = (
    &'static str,
    &'static [(&'static str, &'static str)],
    &'static str,
);

const LINES: &[Line] = &[
    (
        "order",
        &[
            ("order.kind", "new"),
            ("order.try_in_skipped", "yes"),
            ("pieces.0.arch", "upper"),
            ("pieces.0.stage", "process"),
            ("pieces.0.description", "complete denture"),
            ("pieces.1.arch", "lower"),
            ("pieces.1.stage", "process"),
            ("pieces.1.description", "complete denture"),
        ],
        "Upper and lower: complete denture: process and finish; new work; no try-in",
    ),
    (
        "approval",
        &[
            ("approval.arrangement", "yes"),
            ("approval.height", "no"),
            ("approval.by", "patient"),
            ("approval.on", "2026-11-12"),
        ],
        "Teeth approved, height refused; by the patient, Thu 12 Nov",
    ),
    (
        "reline",
        &[("reline.held_by", "jig"), ("reline.border", "keep")],
        "Held by reline jig; keep the border",
    ),
    (
        "repair",
        &[
            ("repairs.0.what", "tooth_out"),
            ("repairs.0.tooth", "11"),
            ("repairs.1.what", "base_cracked"),
            ("repairs.1.place", "midline"),
            ("repair.fit_together", "yes"),
            ("repair.cause", "dropped"),
            ("repair.broke_before", "no"),
        ],
        "Tooth came out 11 and base cracked midline; pieces go together; dropped, first break",
    ),
    (
        "remount",
        &[
            ("remount.casts_at", "lab"),
            ("remount.grind_by", "lab"),
            ("remount.spare_cusps", "upper_palatal"),
            ("remount.pin_drop_max_mm", "0.5"),
        ],
        "Casts at the lab; ground in by the lab, not the upper palatal cusps; pin may sink 0.5 mm",
    ),
    (
        "rims",
        &[
            ("rims.upper_front_mm", "22"),
            ("rims.lower_front_mm", "18"),
            ("rims.back_width_mm", "10"),
        ],
        "Front upper 22 mm, lower 18 mm; width behind 10 mm",
    ),
    (
        "opposing",
        &[
            ("opposing.surface", "enamel"),
            ("opposing.may_grind", "yes"),
            ("opposing.grind_where", "buccal cusps of 46"),
        ],
        "Bites on enamel; may be ground by the dentist: buccal cusps of 46",
    ),
    (
        "cast_trim",
        &[
            ("cast_trim.by", "lab"),
            ("cast_trim.level", "gum_margin"),
            ("cast_trim.facial_mm", "1"),
            ("extractions.0.tooth", "11"),
            ("extractions.1.tooth", "21"),
        ],
        "2 teeth: 11 and 21; the lab cuts the teeth off to the gum margin, facial 1 mm",
    ),
    (
        "pattern",
        &[
            ("pattern.source", "provisional"),
            ("pattern.rule", "with_changes"),
            ("pattern.may_alter", "no"),
            ("pattern.worn_since", "2026-07-02"),
            ("changes.0.what", "left_block"),
            ("changes.0.mm", "1"),
            ("changes.0.direction", "inward"),
            ("changes.1.what", "tooth"),
            ("changes.1.tooth", "12"),
            ("changes.1.degrees", "5"),
            ("changes.1.direction", "turn_mesial_out"),
        ],
        "Provisional enclosed, copied with the listed changes; not to be altered; \
         2 changes: left bite block to tongue or palate 1 mm, 12 turned, mesial edge out 5°; worn since Thu 2 Jul",
    ),
    (
        "scan_set",
        &[
            ("scans.0.shows", "upper_whole"),
            ("scans.1.shows", "lower_whole"),
            ("scan_set.joined_by", "bite_scan"),
            ("scan_set.width_checked_mm", "52.5"),
            ("kept.0.by", "patient"),
        ],
        "2 files: upper denture, all round and lower denture, all round; lower to upper by a scan of the bite; measured width 52.5 mm; \
         1 item stays here",
    ),
    (
        "duplicate",
        &[
            ("duplicate.flask", "closed"),
            ("duplicate.filling", "alginate"),
            ("duplicate.upper_minutes", "12"),
            ("duplicate.lower_minutes", "10"),
            ("duplicate.water", "45"),
        ],
        "Closed flask, alginate; pot upper 12 min, lower 10 min at 45 °C",
    ),
    (
        "vertical",
        &[
            ("vertical.occlusal_mm", "63"),
            ("vertical.rest_mm", "66"),
            ("vertical.order", "keep"),
            ("readings.0.rest_mm", "67"),
            ("readings.0.occlusal_mm", "63"),
            ("readings.1.rest_mm", "65"),
            ("readings.1.occlusal_mm", "63"),
        ],
        "OVD 63 mm, keep; freeway space 3 mm; two readings 2 mm apart",
    ),
    (
        "jaw",
        &[
            ("jaw.position", "centric_relation"),
            ("jaw.material", "silicone"),
            ("jaw.taken_on", "2026-11-12"),
            ("jaw.taken_at", "09:30"),
            ("jaw.at_final_vertical", "yes"),
            ("jaw.keyed", "yes"),
            ("jaw.grooves", "two in each upper block"),
        ],
        "Centric relation, addition silicone, Thu 12 Nov 09:30, at this OVD; keyed: two in each upper block",
    ),
    (
        "facebow",
        &[
            ("facebow.made", "yes"),
            ("facebow.record_id", "J-20"),
            ("facebow.plane", "camper"),
            ("facebow.third_point", "ala"),
            ("facebow.tragus_point", "upper"),
            ("facebow.fork_returns", "yes"),
        ],
        "Record J-20; on the Camper plane, ala to upper tragus; fork comes back",
    ),
    (
        "guidance",
        &[
            ("guidance.articulator", "semi_adjustable"),
            ("guidance.source", "average"),
            ("guidance.condylar_right", "30"),
            ("guidance.condylar_left", "30"),
            ("guidance.plane", "camper"),
        ],
        "Semi-adjustable, average values; condyles right 30°, left 30°; on the Camper plane",
    ),
    (
        "plane",
        &[("plane.front", "pattern"), ("plane.back", "pattern")],
        "Front and back as the pattern",
    ),
    (
        "anterior",
        &[
            ("anterior.upper_mould", "Otter 7"),
            ("anterior.lower_mould", "Otter 3"),
            ("anterior.choice", "mould"),
            ("anterior.material", "cross_linked"),
            ("anterior.midline", "yes"),
            ("anterior.smile_line", "pattern"),
        ],
        "Upper Otter 7, lower Otter 3, cross-linked resin; midline as marked; smile line as the pattern",
    ),
    (
        "posterior",
        &[
            ("posterior.upper_mould", "Heron 2"),
            ("posterior.block_shape", "replace"),
            ("posterior.teeth_upper", "14"),
            ("posterior.teeth_lower", "14"),
            ("posterior.cusp_angle", "20"),
        ],
        "Upper Heron 2; teeth in place of the bite blocks, same height; teeth upper 14, lower 14; cusps 20°",
    ),
    (
        "occlusion",
        &[
            ("occlusion.scheme", "lingualized"),
            ("occlusion.overjet_mm", "2"),
            ("occlusion.overbite_mm", "1"),
        ],
        "Lingualized; overjet 2 mm, overbite 1 mm",
    ),
    (
        "shade",
        &[
            ("shade.guide", "Hillside"),
            ("shade.tab", "birch 4"),
            ("shade.source", "tab"),
            ("shade.tab_enclosed", "yes"),
            ("shade.approved", "yes"),
        ],
        "Hillside birch 4; tab enclosed; patient approves",
    ),
    (
        "base_shade",
        &[
            ("base_shade.guide", "Hillside"),
            ("base_shade.code", "rose 2"),
            ("base_shade.stippling", "slight"),
            ("base_shade.festooning", "pattern"),
        ],
        "Hillside rose 2; slight stippling; festooning as the pattern",
    ),
    (
        "seal",
        &[("seal.by", "in_pattern")],
        "In the pattern’s surface, keep",
    ),
    (
        "borders",
        &[
            ("borders.order", "keep"),
            ("borders.thickness_mm", "2.5"),
            ("borders.pad_cover", "pattern"),
            ("borders.papilla", "no"),
            ("reliefs.0.place", "mental region, right"),
            ("reliefs.0.mm", "0.5"),
        ],
        "Keep as sent, roll 2.5 mm; pads as the pattern; relief: mental region, right 0.5 mm",
    ),
    (
        "impression",
        &[
            ("impression.source", "functional"),
            ("impression.material", "conditioner"),
            ("impression.removed_on", "2026-11-12"),
            ("impression.removed_at", "10:15"),
            ("impression.keeps_hours", "24"),
            ("impression.keep_surface", "yes"),
        ],
        "Functional surface in the pattern, tissue conditioner until Thu 12 Nov 10:15; keeps 24 h; keep it untouched",
    ),
    (
        "base",
        &[
            ("base.material", "heat_cured"),
            ("base.process", "compression"),
            ("base.strengthening", "none"),
            ("base.palate_mm", "2"),
            ("base.soft_liner", "no"),
        ],
        "Heat-cured resin, compression moulding; no strengthening; palate 2 mm; no soft liner",
    ),
    (
        "finish",
        &[
            ("finish.polished", "pattern"),
            ("finish.lab_remount", "yes"),
            ("finish.keep_index", "yes"),
            ("finish.keep_months", "12"),
        ],
        "Polished surface copied; lab remount; keep mounting and index for 12 months",
    ),
    (
        "marking",
        &[
            ("marking.text", "first set"),
            ("marking.carries", "text"),
            ("marking.place", "both"),
            ("marking.answer", "accepted"),
        ],
        "First set, both dentures, patient agrees",
    ),
    (
        "spare",
        &[
            ("spare.arch", "both"),
            ("spare.teeth", "resin"),
            ("spare.date_mark", "yes"),
            ("spare.keeper", "patient"),
        ],
        "Upper and lower; tooth-colored resin; date mark; kept by patient",
    ),
    (
        "enclosures",
        &[
            ("enclosed.0.what", "upper provisional"),
            ("enclosed.0.agent", "blue label"),
            ("enclosed.0.minutes", "10"),
            ("enclosed.1.what", "bite record"),
            // What would be used, and is not said to have worked.
            ("enclosed.1.agent", "blue label"),
            ("enclosures.boxes", "1"),
            ("enclosures.moist", "yes"),
        ],
        "2 items: upper provisional and bite record; 1 of 2 disinfected; boxes: 1; packed moist",
    ),
    (
        "back",
        &[
            ("back.pattern", "yes"),
            ("back.casts", "yes"),
            ("back.records", "no"),
            ("returns.0.what", "fork"),
            ("returns.0.borrowed", "yes"),
            ("returns.0.due", "2026-11-16"),
        ],
        "Pattern and casts; on loan: fork by Mon 16 Nov",
    ),
    (
        "dates",
        &[
            ("dates.wanted", "2026-11-12"),
            ("dates.insertion", "2026-11-16"),
            ("dates.first_check", "2026-11-17"),
            ("stage_dates.0.stage", "try_in"),
            ("stage_dates.0.date", "2026-11-05"),
        ],
        "Due Thu 12 Nov; insertion Mon 16 Nov; first check Tue 17 Nov; wax try-in Thu 5 Nov",
    ),
    (
        "law",
        &[("law.second_lab", "no"), ("law.number_on_models", "yes")],
        "No second lab; number on every model",
    ),
    (
        "remarks",
        &[
            ("remarks.call_before", "anything is ground"),
            ("remarks.ask_by", "telephone"),
            ("remarks.remarks", "The lip is\nheld well."),
        ],
        "Ask first if anything is ground; by telephone first; The lip is held well",
    ),
];

#[test]
fn every_section_says_its_sentence() {
    let lines = LINES.iter();
    let other: Vec<(String, &str)> = lines
        .map(|(section, fields, sentence)| (said(section, fields), *sentence))
        .filter(|(said, sentence)| said != sentence)
        .collect();
    assert_eq!(other, []);
    let tried: Vec<&str> = LINES.iter().map(|(section, ..)| *section).collect();
    let all: Vec<&str> = catalogue().iter().map(|section| section.key).collect();
    assert_eq!(tried, all, "one row for each section");
}

#[test]
fn a_pattern_that_stays_while_its_files_go_is_not_said_to_be_enclosed() {
    let tag = |last: u8| Tag::from_random([7, 7, 7, 7, 7, 7, last]);
    let tags: Vec<String> = (0..32).filter_map(tag).map(|tag| tag.to_string()).collect();
    let pattern = [
        ("pattern.source", "provisional"),
        ("pattern.rule", "exactly"),
        ("pattern.upper_item", tags[0].as_str()),
        ("pattern.lower_item", tags[1].as_str()),
    ];
    let both = [
        ("kept.0.tag", tags[0].as_str()),
        ("kept.1.tag", tags[1].as_str()),
    ];
    for (kept, words) in [
        (&both[..], "Provisional as in its files, copied exactly"),
        (&both[..1], "Provisional enclosed, copied exactly"),
        (&[], "Provisional enclosed, copied exactly"),
    ] {
        assert_eq!(said("pattern", &[&pattern, kept].concat()), words);
    }
}

#[test]
fn the_heights_in_other_states() {
    for (fields, sentence) in [
        (&[("vertical.rest_mm", "66")][..], "RVD 66 mm"),
        (
            &[
                ("vertical.order", "open"),
                ("vertical.change_mm", "2"),
                ("vertical.change_at", "incisors"),
            ],
            "OVD: open by 2 mm at the incisors",
        ),
        (&[("readings.0.rest_mm", "66")], "One reading"),
        (
            &[("readings.0.rest_mm", "66"), ("readings.1.rest_mm", "66")],
            "Two readings alike",
        ),
        (&[("readings.0.note", "tense")], "One reading"),
    ] {
        assert_eq!(said("vertical", fields), sentence);
    }
}

#[test]
fn an_empty_section_says_so_and_a_note_alone_is_said_by_its_label() {
    for section in catalogue() {
        assert_eq!(said(section.key, &[]), NOTHING_YET);
    }
    assert_eq!(said("jaw", &[("jaw.note", "twice")]), "Note twice");
    assert_eq!(said("back", &[("back.casts", "no")]), "Not casts");
    assert_eq!(
        said("shade", &[("shade.source", "tab")]),
        "Shade the tab named here"
    );
    assert_eq!(
        said("borders", &[("borders.papilla", "no")]),
        "Relieve the incisive papilla no"
    );
}

#[test]
fn a_long_text_is_cut_at_a_word() {
    let long = "word ".repeat(300);
    let said = said("remarks", &[("remarks.remarks", long.trim())]);
    assert!(
        said.ends_with("word …") && said.chars().count() <= MOST,
        "{said}"
    );
}

#[test]
fn short_forms_are_of_words_that_the_fields_have_and_are_shorter() {
    let mut seen = BTreeSet::new();
    let [short, named] = short::all();
    for (key, word, said) in short.iter().chain(named) {
        let field = all_fields().find(|field| field.key == *key);
        let Some(Kind::Choice(words)) = field.map(|field| field.kind) else {
            panic!("{key} is chosen from no list");
        };
        let shown = words.iter().find(|(stored, _)| stored == word);
        let (_, shown) = shown.unwrap_or_else(|| panic!("{key} {word}"));
        let is_shorter = said.chars().count() < shown.chars().count();
        let is_short = short.contains(&(*key, *word, *said));
        assert_eq!(is_shorter, is_short, "{key}: {said} for {shown}");
        assert!(seen.insert((key, word)), "{key} {word} twice");
        assert!(said.chars().count() < 52, "{said}");
    }
}

fn is_a_sentence(raw: &Raw) -> Result<(), TestCaseError> {
    for numbering in Numbering::ALL {
        let rx = read(raw, *numbering).document;
        for (section, said) in sentences(&rx, *numbering) {
            let is_empty = said == NOTHING_YET;
            prop_assert_eq!(is_empty, !rx.is_filled(section), "{}: {}", section, said);
            prop_assert!(said.chars().count() <= MOST, "{}: {}", section, said);
            prop_assert!(
                !said.trim().is_empty() && !said.contains('\n'),
                "{}: {}",
                section,
                said
            );
        }
    }
    Ok(())
}

proptest! {
    #[test]
    fn what_is_filled_is_never_nothing_yet(raw in any_readable()) {
        is_a_sentence(&raw)?;
    }

    #[test]
    fn nor_where_all_is_filled(seed in 0usize..40) {
        is_a_sentence(&full(seed))?;
    }
}
