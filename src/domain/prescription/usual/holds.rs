//! Which fields of a prescription a set of usual values may hold. What only somebody can say who saw the patient or
//! the thing itself is never usual; each refusal has its reason.

use crate::domain::form::FieldSpec;
use crate::domain::people::party::Side;
use crate::domain::prescription::all_fields;
use crate::domain::prescription::course::{Needs, needs};
use std::sync::LazyLock;

/// Whose set may hold a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum HeldFor {
    /// The office's own way: its guides, its box, its disinfectant.
    OfficeOnly,
    /// The lab has one too.
    Both,
}

use HeldFor::{Both, OfficeOnly};

/// What a set may hold, in the order of the visit. Common practice, no source.
const HELD: &[(&str, HeldFor)] = &[
    ("reline.held_by", Both),
    ("reline.border", OfficeOnly),
    ("remount.grind_by", Both),
    ("remount.spare_cusps", Both),
    ("remount.pin_drop_max_mm", Both),
    ("rims.upper_front_mm", Both),
    ("rims.lower_front_mm", Both),
    ("rims.back_width_mm", Both),
    ("rims.base", Both),
    ("pattern.may_alter", OfficeOnly),
    ("vertical.method", OfficeOnly),
    ("jaw.seating", OfficeOnly),
    ("facebow.plane", OfficeOnly),
    ("facebow.tragus_point", OfficeOnly),
    ("facebow.fork_returns", OfficeOnly),
    ("guidance.source", OfficeOnly),
    ("guidance.articulator", Both),
    ("plane.front", OfficeOnly),
    ("plane.back", OfficeOnly),
    ("plane.pad_percent", OfficeOnly),
    ("anterior.material", Both),
    ("posterior.material", Both),
    ("posterior.teeth_upper", OfficeOnly),
    ("posterior.teeth_lower", OfficeOnly),
    ("occlusion.scheme", OfficeOnly),
    ("shade.guide", OfficeOnly),
    ("shade.light", OfficeOnly),
    ("base_shade.guide", OfficeOnly),
    ("base_shade.stippling", Both),
    ("base_shade.rugae", Both),
    ("seal.by", OfficeOnly),
    ("seal.shape", OfficeOnly),
    ("impression.pour_by", Both),
    ("impression.bead_and_box", Both),
    ("impression.border_roll_mm", Both),
    ("impression.cast_keep", Both),
    ("impression.land_mm", Both),
    ("impression.tray", Both),
    ("impression.tray_short_mm", Both),
    ("impression.tray_spacer_mm", Both),
    ("base.material", Both),
    ("base.product", Both),
    ("base.process", Both),
    ("base.strengthening", Both),
    ("base.palate_mm", Both),
    ("finish.lab_remount", Both),
    ("finish.remount_casts", Both),
    ("finish.keep_index", Both),
    ("finish.keep_months", Both),
    ("finish.check_borders", Both),
    ("finish.check_occlusion", Both),
    ("finish.wet_packing", Both),
    ("finish.photos", Both),
    ("marking.carries", OfficeOnly),
    ("marking.text", OfficeOnly),
    ("marking.place", OfficeOnly),
    ("spare.made_by", OfficeOnly),
    ("spare.base", OfficeOnly),
    ("spare.teeth", OfficeOnly),
    ("spare.date_mark", OfficeOnly),
    ("spare.keeper", OfficeOnly),
    ("spare.stored", OfficeOnly),
    ("enclosures.moist", OfficeOnly),
    ("enclosures.hard_box", OfficeOnly),
    ("enclosed.#.agent", OfficeOnly),
    ("enclosed.#.dilution", OfficeOnly),
    ("back.pattern", OfficeOnly),
    ("back.casts", OfficeOnly),
    ("back.remount_casts", OfficeOnly),
    ("back.records", OfficeOnly),
    ("back.unused_teeth", OfficeOnly),
    ("back.statement", OfficeOnly),
    ("dates.may_split", OfficeOnly),
    ("law.second_lab", OfficeOnly),
    ("law.number_on_models", OfficeOnly),
    ("remarks.call_before", OfficeOnly),
    ("remarks.ask_by", OfficeOnly),
];

const ATTESTED: &str = "it is a statement of whoever was there, for this patient and this day";
const MEASURED: &str = "it is taken or decided at the patient";
const OF_THE_THING: &str =
    "it says what this very thing is, where it comes from or what was done to it";
const ORDERED: &str = "it says what is ordered this time";
const DATED: &str = "a day or an hour is that of one case";
const OF_THE_PERSON: &str = "it is what this patient has or wants";
const OWN_WORDS: &str = "it is a remark on this very work, and might name somebody";
const CUT: &str = "what is cut off a cast cannot be put back: it is decided each time";

/// What no set holds, each with its reason; a key that ends with a dot stands for all others of its section or list.
const REFUSED: &[(&str, &str)] = &[
    ("jaw.keyed", ATTESTED),
    ("jaw.at_final_vertical", ATTESTED),
    ("shade.approved", ATTESTED),
    ("shade.chosen_by", ATTESTED),
    ("marking.offered", ATTESTED),
    ("marking.answer", ATTESTED),
    ("facebow.made", ATTESTED),
    ("facebow.midline_captured", ATTESTED),
    ("facebow.kept_mounting", ATTESTED),
    ("approval.", ATTESTED),
    ("law.", ATTESTED),
    ("enclosed.", ATTESTED),
    ("shade.photo", ATTESTED),
    ("shade.tab_enclosed", ATTESTED),
    ("order.", ORDERED),
    ("pieces.", ORDERED),
    ("changes.", ORDERED),
    ("repairs.", ORDERED),
    ("extractions.", ORDERED),
    ("spare.", ORDERED),
    ("returns.", ORDERED),
    ("dates.", DATED),
    ("stage_dates.", DATED),
    ("shade.date", DATED),
    ("shade.time", DATED),
    ("pattern.", OF_THE_THING),
    ("repair.", OF_THE_THING),
    ("reline.", OF_THE_THING),
    ("remount.", OF_THE_THING),
    ("duplicate.", OF_THE_THING),
    ("scans.", OF_THE_THING),
    ("scan_set.", OF_THE_THING),
    ("kept.", OF_THE_THING),
    ("enclosures.", OF_THE_THING),
    ("impression.", OF_THE_THING),
    ("opposing.", MEASURED),
    ("vertical.", MEASURED),
    ("readings.", MEASURED),
    ("jaw.", MEASURED),
    ("facebow.", MEASURED),
    ("guidance.", MEASURED),
    ("plane.", MEASURED),
    ("anterior.", MEASURED),
    ("posterior.", MEASURED),
    ("occlusion.", MEASURED),
    ("shade.", MEASURED),
    ("base_shade.", MEASURED),
    ("seal.", MEASURED),
    ("borders.", MEASURED),
    ("reliefs.", MEASURED),
    ("cast_trim.", CUT),
    ("base.", OF_THE_PERSON),
    ("finish.", OF_THE_THING),
    ("marking.", OF_THE_PERSON),
    ("back.", OWN_WORDS),
    ("remarks.", OWN_WORDS),
];

/// The entry's key of a form key: `enclosed.#.agent` of `enclosed.0.agent`.
fn entry_key(key: &str) -> String {
    match crate::domain::form::split_row_key(key) {
        Some((list, _, field)) => format!("{list}.#.{field}"),
        None => key.to_owned(),
    }
}

/// Whether a set of this house may hold the field with this form key.
pub fn may_hold(side: Side, key: &str) -> bool {
    let key = entry_key(key);
    let held = HELD.iter().find(|(one, _)| *one == key);
    held.is_some_and(|(_, whose)| side == Side::Office || *whose == Both)
}

/// Why no set holds a field; none where one may, and for what is no field.
pub fn why_not_usual(key: &str) -> Option<&'static str> {
    let key = entry_key(key);
    if HELD.iter().any(|(one, _)| *one == key) {
        return None;
    }
    let of = |one: &str| match one.ends_with('.') {
        true => key.starts_with(one),
        false => key == one,
    };
    // The field by itself goes before its section.
    let mut found: Vec<_> = REFUSED.iter().filter(|(one, _)| of(one)).collect();
    found.sort_by_key(|(one, _)| one.ends_with('.'));
    found.first().map(|(_, why)| *why)
}

/// The fields of a form that makes a set, under the key of the first row where they stand in a list: what is usual
/// of one row is usual of all.
static FIELDS: LazyLock<[Vec<FieldSpec>; 2]> = LazyLock::new(|| {
    [Side::Office, Side::Lab].map(|side| {
        let held = all_fields().filter(|spec| may_hold(side, spec.key));
        held.map(|spec| FieldSpec {
            key: match spec.key.contains('#') {
                true => Box::leak(spec.at(Some(0)).into_boxed_str()),
                false => spec.key,
            },
            ..*spec
        })
        .collect()
    })
});

/// The entries of the fields that a set of this house may hold, as the prescription has them.
pub fn held_by(side: Side) -> &'static [FieldSpec] {
    let [office, lab] = &*FIELDS;
    match side {
        Side::Office => office,
        Side::Lab => lab,
    }
}

/// What a value of a set waits for: what it would say of something that may not be there.
pub fn usual_needs(key: &str, word: &str) -> Option<Needs> {
    const MARKED: Needs = Needs::Word("marking.answer", &["accepted"]);
    const SPARED: Needs = Needs::Word("spare.arch", &["upper", "lower", "both"]);
    match key {
        "marking.carries" => Some(MARKED),
        "spare.base" => Some(SPARED),
        _ => needs(key, word),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_is_held_or_refused_with_a_reason_and_no_row_is_idle() {
        for spec in all_fields() {
            let is_held = may_hold(Side::Office, spec.key);
            assert_eq!(why_not_usual(spec.key).is_none(), is_held, "{}", spec.key);
        }
        for (key, _) in HELD {
            assert!(all_fields().any(|spec| spec.key == *key), "{key}");
        }
        for (key, why) in REFUSED {
            let is_of = |spec: &&FieldSpec| why_not_usual(spec.key) == Some(*why);
            let found = all_fields().filter(is_of);
            let mut found = found.filter(|spec| spec.key.starts_with(key));
            assert!(found.next().is_some(), "{key} refuses nothing");
        }
        assert_eq!(why_not_usual("no.such_field"), None);
        assert!(!may_hold(Side::Office, "no.such_field"));
    }

    #[test]
    fn what_only_the_dentist_can_say_of_this_patient_is_refused() {
        for (key, why) in [
            ("jaw.keyed", ATTESTED),
            ("shade.approved", ATTESTED),
            ("marking.answer", ATTESTED),
            ("jaw.at_final_vertical", ATTESTED),
            ("enclosed.0.minutes", ATTESTED),
            ("enclosed.0.rinsed", ATTESTED),
            ("approval.height", ATTESTED),
            ("vertical.occlusal_mm", MEASURED),
            ("readings.1.rest_mm", MEASURED),
            ("guidance.condylar_right", MEASURED),
            ("shade.tab", MEASURED),
            ("anterior.upper_mould", MEASURED),
            ("seal.depth_mid_mm", MEASURED),
            ("cast_trim.facial_mm", CUT),
            ("dates.wanted", DATED),
            ("spare.arch", ORDERED),
            ("impression.material", OF_THE_THING),
            ("base.without", OF_THE_PERSON),
            ("remarks.remarks", OWN_WORDS),
        ] {
            assert_eq!(why_not_usual(key), Some(why), "{key}");
            assert!(!may_hold(Side::Office, key), "{key}");
        }
    }

    #[test]
    fn a_lab_says_what_it_does_and_nothing_of_the_office() {
        for spec in held_by(Side::Lab) {
            assert!(may_hold(Side::Office, spec.key), "{}", spec.key);
        }
        let both = held_by(Side::Lab).len();
        assert!(both > 20 && held_by(Side::Office).len() > both + 20);
        for key in [
            "enclosed.0.agent",
            "spare.keeper",
            "facebow.plane",
            "seal.by",
        ] {
            assert!(!may_hold(Side::Lab, key), "{key}");
        }
        assert!(may_hold(Side::Lab, "base.process"));
    }

    #[test]
    fn the_fields_of_its_form_are_those_of_the_prescription() {
        for side in [Side::Office, Side::Lab] {
            for spec in held_by(side) {
                let own = crate::domain::prescription::field_spec(spec.key);
                let own = own.expect(spec.key);
                assert_eq!((own.label, own.kind), (spec.label, spec.kind));
            }
        }
    }
}
