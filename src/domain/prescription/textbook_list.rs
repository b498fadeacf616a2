//! What textbooks want on the work slip of a complete denture, and where each item is.
//!
//! The 24 items are put together from memory of Zarb and Hobkirk, Prosthodontic Treatment for Edentulous
//! Patients; Rahn, Ivanhoe and Plummer, Textbook of Complete Dentures; Morrow and Rudd, Dental
//! Laboratory Procedures. An item that is no field of the prescription says why.

use super::document::{all_fields, field_spec};
use crate::domain::form::Kind;
use crate::domain::people::patient;

/// Number, item, form keys with spaces between (a list by its first row), and what stands elsewhere.
type Item = (u8, &'static str, &'static str, &'static str);

const LIST: &[Item] = &[
    (
        1,
        "case number, age band, sex",
        "patient.age_band patient.sex order.earlier_case",
        "the case number is the signed document's own",
    ),
    (
        2,
        "arches and stage",
        "pieces.0.arch pieces.0.stage pieces.0.description order.kind order.try_in_skipped",
        "",
    ),
    (
        3,
        "items enclosed",
        "enclosed.0.tag enclosed.0.what enclosed.0.pieces enclosures.boxes",
        "",
    ),
    (
        4,
        "tissue surface: pour, bead and box, land, what to keep",
        "impression.source impression.pour_by impression.bead_and_box impression.land_mm impression.keep_surface impression.border_roll_mm",
        "",
    ),
    (
        5,
        "tray and base, relief, undercut block-out",
        "impression.tray impression.tray_short_mm impression.tray_spacer_mm impression.tray_relief impression.undercuts",
        "",
    ),
    (
        6,
        "mounting",
        "facebow.made facebow.item facebow.plane facebow.third_point facebow.tragus_point jaw.item guidance.pin_mm guidance.articulator guidance.condylar_right guidance.condylar_left guidance.lateral_right guidance.lateral_left guidance.incisal_table",
        "",
    ),
    (
        7,
        "vertical dimension, change and where measured",
        "vertical.rest_mm vertical.occlusal_mm vertical.method vertical.change_mm vertical.change_at readings.0.occlusal_mm",
        "",
    ),
    (
        8,
        "rim landmarks",
        "anterior.midline anterior.midline_offset_mm anterior.midline_side anterior.high_lip_mm anterior.canine_right_mm anterior.canine_left_mm anterior.incisal_show_mm anterior.incisal_change_mm anterior.lip_support",
        "",
    ),
    (
        9,
        "occlusal plane",
        "plane.front plane.back plane.pad_percent",
        "",
    ),
    (
        10,
        "moulds, cusp angle, size, material",
        "anterior.upper_mould anterior.lower_mould anterior.width_mm anterior.width_method anterior.form anterior.material posterior.upper_mould posterior.lower_mould posterior.cusp_angle posterior.cusp_upper posterior.cusp_lower posterior.length_mm posterior.material",
        "",
    ),
    (
        11,
        "scheme, overlaps, anterior clearance",
        "occlusion.scheme occlusion.overjet_mm occlusion.overbite_mm occlusion.front_clearance_mm",
        "",
    ),
    (
        12,
        "arrangement",
        "pattern.rule changes.0.what anterior.arrangement anterior.diastema_mm anterior.character",
        "rotations and gum exposure of single teeth are rows of the change list or words in the character",
    ),
    (
        13,
        "shades and gum",
        "shade.guide shade.tab shade.chosen_by shade.light shade.photo base_shade.code base_shade.characterisation base_shade.stippling base_shade.festooning base_shade.gum_line_mm base_shade.rugae",
        "",
    ),
    (
        14,
        "posterior palatal seal",
        "seal.by seal.position seal.depth_mid_mm seal.depth_right_mm seal.depth_left_mm seal.shape",
        "",
    ),
    (
        15,
        "borders, pads, flange, frena, tori",
        "borders.posterior_upper borders.pad_cover borders.lingual_flange borders.frena borders.tori reliefs.0.place",
        "",
    ),
    (
        16,
        "base material and process, mesh, liner, metal palate, exclusions",
        "base.material base.process base.strengthening base.alloy base.soft_liner base.metal_palate base.without patient.exclusions",
        "",
    ),
    (
        17,
        "polished surface, neutral zone, palate thickness",
        "finish.polished finish.neutral_zone_item base.palate_mm",
        "",
    ),
    (
        18,
        "remount",
        "finish.remount_casts finish.keep_index finish.lab_remount",
        "",
    ),
    (
        19,
        "marking",
        "marking.offered marking.answer marking.text marking.place",
        "",
    ),
    (
        20,
        "finish checks, wet packing, photos",
        "finish.check_borders finish.check_occlusion finish.wet_packing finish.photos",
        "",
    ),
    (
        21,
        "what to return",
        "back.pattern back.casts returns.0.what returns.0.borrowed",
        "",
    ),
    (
        22,
        "date of each stage, rush",
        "dates.wanted stage_dates.0.date dates.rush",
        "",
    ),
    (
        23,
        "call before proceeding if",
        "remarks.call_before remarks.ask_by",
        "",
    ),
    (
        24,
        "signature, licence, date",
        "",
        "not typed: they come from the dentist's account and the act of signing, and stand in the signed document around the prescription",
    ),
];

#[test]
fn every_item_of_the_list_has_its_fields_or_a_reason() {
    for (place, (number, item, keys, elsewhere)) in LIST.iter().enumerate() {
        assert_eq!(usize::from(*number), place + 1);
        assert!(!keys.is_empty() || !elsewhere.is_empty(), "{item}");
        for key in keys.split(' ').filter(|key| !key.is_empty()) {
            let on_card = patient::fields().iter().any(|field| field.key == key);
            assert!(
                on_card || field_spec(key).is_some(),
                "{item}: there is no field {key}"
            );
        }
    }
    assert_eq!(LIST.len(), 24);
}

#[test]
fn p11_teeth_to_be_extracted_are_a_list_of_teeth_and_not_a_text() {
    // A bare number means another tooth in another system, so the list holds teeth: each is printed with its
    // system and in words.
    let teeth: Vec<&str> = all_fields()
        .filter(|spec| spec.kind == Kind::Tooth && spec.key.starts_with("extractions.#"))
        .map(|spec| spec.key)
        .collect();
    assert_eq!(teeth, ["extractions.#.tooth"]);
}
