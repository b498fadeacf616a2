//! A whole prescription with its setting: meets all twenty-four criteria and raises no finding.
//!
//! Shades and moulds are invented. Tests change one thing in it and see what the review says; the
//! measurements of speed review it as it is.

use super::setting::{CanSign, Letterhead, Setting};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{Condition, Custody, Holder, State};
use crate::domain::form::Raw;
use crate::domain::law::profile::{CaseLaw, DEFAULT, Profiles};
use crate::domain::people::party::Side;
use crate::domain::people::patient::{self, Patient};
use crate::domain::prescription::{Prescription, read};
use crate::domain::trade::colour::Guide;
use crate::domain::trade::lists::{ListKind, Lists, MouldList, NamedGuide};
use crate::domain::trade::mould;
use crate::domain::values::arch::Arch;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::Numbering;
use std::collections::BTreeMap;
use std::sync::Arc;
use time::Date;
use time::macros::date;

/// The day of the review: a Monday.
pub const TODAY: Date = date!(2026 - 03 - 02);

/// The things of the case, by place in this list.
const THINGS: [(ItemKind, Option<Arch>, &str); 9] = [
    (
        ItemKind::Provisional,
        Some(Arch::Upper),
        "provisional_upper",
    ),
    (
        ItemKind::Provisional,
        Some(Arch::Lower),
        "provisional_lower",
    ),
    (ItemKind::Duplicate, Some(Arch::Upper), "duplicate_upper"),
    (ItemKind::Duplicate, Some(Arch::Lower), "duplicate_lower"),
    (ItemKind::BiteRecord, None, "bite"),
    (ItemKind::FacebowRecord, None, "facebow"),
    (ItemKind::ShadeTab, None, "tab"),
    (ItemKind::OldDenture, Some(Arch::Upper), "old_upper"),
    (ItemKind::Cast, Some(Arch::Lower), "cast_lower"),
];

/// What is in the box, and goes back.
const SENT: [&str; 5] = [
    "provisional_upper",
    "provisional_lower",
    "bite",
    "facebow",
    "tab",
];

/// The tag of a thing by its name in this sample. Empty for a name that is not in it.
pub fn tag_text(name: &str) -> String {
    tag(name).map(|tag| tag.to_string()).unwrap_or_default()
}

/// The tag of a thing by its name in this sample.
pub fn tag(name: &str) -> Option<Tag> {
    let place = THINGS.iter().position(|(_, _, thing)| *thing == name)?;
    // Some codes are never issued; the next one is taken, and each thing has a range of its own.
    let place = u8::try_from(place).ok()?;
    (0..32).find_map(|last| Tag::from_random([7, 7, 7, 7, 7, place, last]))
}

fn case_number() -> Option<CaseNumber> {
    (0..32).find_map(|last| CaseNumber::from_random([3, 3, 3, 3, 3, 3, last]))
}

fn items() -> Vec<Item> {
    let Some(case) = case_number() else {
        return Vec::new();
    };
    let item = |(kind, arch, name): (ItemKind, Option<Arch>, &str)| {
        Some(Item {
            tag: tag(name)?,
            case: case.clone(),
            kind,
            arch,
            note: String::new(),
            pieces: 1,
            borrowed: matches!(kind, ItemKind::FacebowRecord | ItemKind::ShadeTab),
        })
    };
    THINGS.into_iter().filter_map(item).collect()
}

fn state(item: &Item) -> State {
    let worn = item.kind == ItemKind::Duplicate;
    State {
        holder: if worn {
            Holder::Patient
        } else {
            Holder::Office
        },
        worn,
        came_worn: false,
        condition: Condition::Sound,
        missing: false,
        disinfected: !worn,
        held_for_disinfection: false,
        gone: None,
        ending: None,
        withheld: (item.kind == ItemKind::OldDenture).then(|| "drawer 3".to_owned()),
        spare: false,
        spare_kept: None,
        given_back: false,
        place: None,
        pieces: None,
        home: Side::Office,
        due_back: None,
        file: None,
        handoff: None,
        packed: false,
        was_taken_out: false,
        uncleaned: false,
        answers: "Jo Field, Hillside office".to_owned(),
        last_at: Moment::new(1_772_442_000_000, 60),
    }
}

/// The patient's card.
pub fn patient_raw() -> Raw {
    raw_of(&[
        ("patient.age_band", "70_79"),
        ("patient.exclusions", "none_known"),
    ])
}

fn patient() -> Patient {
    patient::read(&patient_raw()).patient
}

fn raw_of(pairs: &[(&str, &str)]) -> Raw {
    pairs
        .iter()
        .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
        .collect()
}

/// The case around the prescription.
pub fn setting() -> Setting {
    let items = items();
    let custody: Custody = items
        .iter()
        .map(|item| (item.tag.clone(), state(item)))
        .collect();
    let letterhead = |name: &str, licence: &str| Letterhead {
        name: name.to_owned(),
        address: "1 Mill Lane\nRiverton".to_owned(),
        licence: licence.to_owned(),
    };
    Setting {
        today: TODAY,
        now: None,
        issued: Some(TODAY),
        arches: Arches::Both,
        patient_code: "P00-000-001".to_owned(),
        patient: Some(patient()),
        office: letterhead("Hillside office", "O-11"),
        dentist: letterhead("Dr. Ada Field", "D-1234"),
        lab: letterhead("Riverton laboratory", "L-77"),
        law: law(DEFAULT, DEFAULT),
        signature: CanSign::Possible,
        items,
        custody,
        scans: Vec::new(),
        disinfected: Vec::new(),
        came_in: BTreeMap::new(),
        out_on: BTreeMap::new(),
        worn_upper: tag("duplicate_upper"),
        worn_lower: tag("duplicate_lower"),
        taken_out: Vec::new(),
        natural_teeth: Vec::new(),
        previous: None,
        is_next_round: false,
        found_on_fit: Vec::new(),
        changed_at_chair: Vec::new(),
        unwritten_calls: Vec::new(),
        remake: None,
        remakes: Vec::new(),
        card_changed: false,
        lists: lists(),
        named_of_others: Vec::new(),
        usual_otherwise: Vec::new(),
    }
}

/// The lists of lab and office, with what the prescription names in them.
pub fn lists() -> Lists {
    let moulds = mould::parse(MOULDS)
        .ok()
        .map(|moulds| MouldList { version: 1, moulds });
    let guide = |kind: ListKind, text: &str| {
        let guide = Guide::parse(text).ok()?;
        Some(NamedGuide {
            kind,
            name: GUIDE.to_owned(),
            version: 1,
            guide,
        })
    };
    let guides = [
        (ListKind::ToothGuide, TOOTH_TABS),
        (ListKind::BaseGuide, BASE_TABS),
    ];
    Lists {
        moulds: moulds.map(Arc::new),
        guides: Arc::new(
            guides
                .into_iter()
                .filter_map(|(kind, text)| guide(kind, text))
                .collect(),
        ),
        ..Lists::default()
    }
}

/// The built-in profiles with these keys, as chosen by office and lab.
pub fn law(office: &str, lab: &str) -> CaseLaw {
    let profiles = Profiles::built_in();
    CaseLaw {
        office: profiles.chosen(office),
        lab: profiles.chosen(lab),
    }
}

/// The prescription as typed.
pub fn raw() -> Raw {
    let mut raw = raw_of(FIELDS);
    let tags = [
        ("pattern.upper_item", "provisional_upper"),
        ("pattern.lower_item", "provisional_lower"),
        ("duplicate.upper_item", "duplicate_upper"),
        ("duplicate.upper_from", "provisional_upper"),
        ("duplicate.lower_item", "duplicate_lower"),
        ("duplicate.lower_from", "provisional_lower"),
        ("jaw.item", "bite"),
        ("facebow.item", "facebow"),
        ("shade.tab_item", "tab"),
        ("spare.copied_upper", "provisional_upper"),
        ("spare.copied_lower", "provisional_lower"),
    ];
    raw.extend(
        tags.into_iter()
            .map(|(key, name)| (key.to_owned(), tag_text(name))),
    );
    for (row, name) in SENT.into_iter().enumerate() {
        raw.insert(format!("enclosed.{row}.tag"), tag_text(name));
        for (field, text) in DISINFECTED {
            raw.insert(format!("enclosed.{row}.{field}"), (*text).to_owned());
        }
    }
    for (row, name) in ["facebow", "tab"].into_iter().enumerate() {
        raw.insert(format!("returns.{row}.tag"), tag_text(name));
        raw.insert(format!("returns.{row}.borrowed"), "yes".to_owned());
        raw.insert(format!("returns.{row}.due"), "2026-03-17".to_owned());
    }
    raw
}

/// The prescription, read.
pub fn document() -> Prescription {
    read(&raw(), Numbering::Iso3950).document
}

/// The name of the office's two guides.
pub const GUIDE: &str = "Hillside";

/// The lab's list: invented moulds of invented sizes.
pub const MOULDS: &str = "\
code,arch,region,width,width_basis,length,form,cusp_angle,stock
Otter 5,upper,front,47.5,curve,9.5,ovoid,,2
Otter 6,upper,front,49,curve,10,ovoid,,4
Otter 7,upper,front,51,curve,10.5,ovoid,,3
Otter 8,upper,front,53,curve,11,ovoid,,0
Heron 5,upper,front,48,curve,10,tapering,,1
Heron 7,upper,front,51.5,curve,11,tapering,,2
Badger 6,upper,front,49.5,curve,9.5,square,,
Badger 8,upper,front,53.5,curve,10.5,square,,5
Otter 2,lower,front,37,curve,9,ovoid,,3
Otter 3,lower,front,39,curve,9.5,ovoid,,6
Otter 4,lower,front,40.5,curve,10,ovoid,,2
Heron 3,lower,front,38.5,curve,10,tapering,,0
Badger 3,lower,front,38,curve,9,square,,
Otter P1,upper,back,29,caliper,7,,20,4
Otter P2,upper,back,31,caliper,7.5,,20,8
Otter P3,upper,back,33,caliper,8,,20,2
Otter P1,lower,back,31,caliper,7,,20,4
Otter P2,lower,back,33.5,caliper,7.5,,20,7
Otter P3,lower,back,36.5,caliper,8,,20,1
Otter F2,upper,back,31,caliper,7,,0,3
Otter F2,lower,back,33,caliper,7,,0,3
";

/// The office's tabs for teeth: invented names and colours.
pub const TOOTH_TABS: &str = "\
tab,L,a,b
birch 1,77.6,-0.4,12.8
birch 2,75.4,0.1,14.6
birch 3,73.5,0.7,16.4
birch 4,71.5,1.2,18
birch 5,69.8,1.6,19.4
birch 6,67.2,2.4,21.1
alder 2,74.1,0.9,19.8
alder 4,70.3,2.1,22.6
";

/// The office's tabs for the base: invented names and colours.
pub const BASE_TABS: &str = "\
tab,L,a,b
heather 1,58.2,19.5,10.1
heather 2,54.6,22.3,11.4
heather 3,50.9,24.8,12.2
bracken 1,46.3,20.6,13.5
";

const DISINFECTED: &[(&str, &str)] = &[
    ("agent", "surface disinfectant, blue label"),
    ("dilution", "ready to use"),
    ("minutes", "10"),
    ("rinsed", "yes"),
];

const FIELDS: &[(&str, &str)] = &[
    ("order.kind", "new"),
    ("pieces.0.arch", "upper"),
    ("pieces.0.stage", "process"),
    ("pieces.0.description", "complete denture, 14 teeth"),
    (
        "pieces.0.materials",
        "heat-cured acrylic base, cross-linked teeth",
    ),
    ("pieces.1.arch", "lower"),
    ("pieces.1.stage", "process"),
    ("pieces.1.description", "complete denture, 14 teeth"),
    (
        "pieces.1.materials",
        "heat-cured acrylic base, cross-linked teeth",
    ),
    ("pattern.source", "provisional"),
    ("pattern.rule", "with_changes"),
    ("pattern.worn_since", "2025-11-03"),
    ("pattern.last_corrected", "2026-02-23"),
    ("pattern.may_alter", "no"),
    ("changes.0.what", "lower_left_back"),
    ("changes.0.direction", "outward"),
    ("changes.0.mm", "1"),
    ("changes.1.what", "upper_incisors"),
    ("changes.1.direction", "longer_edge"),
    ("changes.1.mm", "0.5"),
    ("duplicate.flask", "closed"),
    ("duplicate.filling", "alginate"),
    (
        "duplicate.resin",
        "cold-cure resin, tooth-colored and clear",
    ),
    ("duplicate.upper_minutes", "12"),
    ("duplicate.lower_minutes", "10"),
    ("duplicate.sheet_minutes", "10"),
    ("duplicate.water", "45"),
    ("duplicate.sheet_water", "45"),
    ("duplicate.made_by", "dental assistant"),
    ("duplicate.made_on", "2026-03-02"),
    ("vertical.rest_mm", "68"),
    ("vertical.occlusal_mm", "65"),
    ("vertical.method", "nose_chin"),
    ("vertical.order", "keep"),
    ("vertical.closest_speaking_mm", "1"),
    ("readings.0.rest_mm", "68.5"),
    ("readings.0.occlusal_mm", "65"),
    ("readings.0.method", "nose_chin"),
    ("readings.1.rest_mm", "67.5"),
    ("readings.1.occlusal_mm", "65"),
    ("readings.1.method", "nose_chin"),
    ("jaw.position", "centric_relation"),
    ("jaw.material", "silicone"),
    ("jaw.taken_on", "2026-03-02"),
    ("jaw.taken_at", "09:30"),
    ("jaw.at_final_vertical", "yes"),
    ("jaw.keyed", "yes"),
    (
        "jaw.grooves",
        "Two in each upper block, on the cheek side, away from the chewing surface.",
    ),
    (
        "jaw.seating",
        "Upper first, the record into its grooves without pressure, then the lower.",
    ),
    ("facebow.made", "yes"),
    ("facebow.record_id", "J-20"),
    ("facebow.plane", "camper"),
    ("facebow.third_point", "ala"),
    ("facebow.tragus_point", "upper"),
    ("facebow.midline_captured", "yes"),
    ("facebow.fork_returns", "yes"),
    ("guidance.source", "values"),
    ("guidance.articulator", "semi_adjustable"),
    ("guidance.plane", "camper"),
    ("guidance.condylar_right", "30"),
    ("guidance.condylar_left", "32"),
    ("guidance.lateral_right", "15"),
    ("guidance.lateral_left", "15"),
    ("plane.front", "pattern"),
    ("plane.back", "pattern"),
    ("anterior.choice", "mould"),
    ("anterior.upper_mould", "Otter 7"),
    ("anterior.lower_mould", "Otter 3"),
    ("anterior.width_mm", "51"),
    ("anterior.width_method", "curve"),
    ("anterior.central_width_mm", "8.5"),
    ("anterior.central_length_mm", "10.5"),
    ("anterior.form", "ovoid"),
    ("anterior.material", "cross_linked"),
    ("anterior.arrangement", "copy_with_changes"),
    ("anterior.midline", "yes"),
    ("anterior.midline_offset_mm", "0"),
    ("anterior.incisal_show_mm", "1.5"),
    ("anterior.smile_line", "follows_lip"),
    ("anterior.lip_support", "keep"),
    ("posterior.choice", "mould"),
    ("posterior.upper_mould", "Otter P2"),
    ("posterior.lower_mould", "Otter P2"),
    ("posterior.length_mm", "36"),
    ("posterior.cusp_angle", "20"),
    ("posterior.material", "cross_linked"),
    ("posterior.block_shape", "replace"),
    ("posterior.teeth_upper", "14"),
    ("posterior.teeth_lower", "14"),
    ("occlusion.scheme", "lingualized"),
    ("occlusion.overjet_mm", "2"),
    ("occlusion.overbite_mm", "1"),
    ("occlusion.posterior_overlap_mm", "2"),
    ("shade.source", "tab"),
    ("shade.guide", "Hillside"),
    ("shade.tab", "birch 4"),
    ("shade.tab_enclosed", "yes"),
    ("shade.light", "daylight"),
    ("shade.date", "2026-03-02"),
    ("shade.chosen_by", "dentist_and_patient"),
    ("shade.approved", "yes"),
    ("base_shade.guide", "Hillside"),
    ("base_shade.code", "heather 2"),
    ("base_shade.stippling", "slight"),
    ("seal.by", "in_pattern"),
    ("seal.position", "as marked on the provisional"),
    ("borders.order", "keep"),
    ("borders.thickness_mm", "2.5"),
    ("reliefs.0.place", "middle of the palate"),
    ("reliefs.0.mm", "0.5"),
    ("impression.source", "functional"),
    ("impression.material", "conditioner"),
    ("impression.placed_on", "2026-03-01"),
    ("impression.placed_at", "10:00"),
    ("impression.removed_on", "2026-03-02"),
    ("impression.removed_at", "10:15"),
    ("impression.pour_by", "on arrival, in type 3 stone"),
    ("impression.bead_and_box", "yes"),
    ("impression.keep_surface", "yes"),
    ("impression.cast_keep", "yes"),
    ("base.material", "heat_cured"),
    ("base.process", "compression"),
    ("base.strengthening", "none"),
    ("base.palate_mm", "2"),
    ("finish.polished", "pattern"),
    ("finish.lab_remount", "yes"),
    ("finish.remount_casts", "yes"),
    ("finish.keep_index", "yes"),
    ("finish.wet_packing", "yes"),
    ("marking.offered", "yes"),
    ("marking.answer", "accepted"),
    ("marking.text", "1st set 2026"),
    ("marking.place", "both"),
    ("marking.set_letter", "1st"),
    ("marking.year", "2026"),
    ("spare.arch", "both"),
    ("spare.made_by", "office"),
    ("spare.teeth", "resin"),
    ("spare.tooth_shade", "birch 4"),
    ("spare.date_mark", "yes"),
    ("spare.keeper", "patient"),
    ("spare.stored", "in water, labeled"),
    ("enclosures.boxes", "1"),
    ("enclosures.moist", "yes"),
    ("enclosures.hard_box", "yes"),
    ("back.pattern", "yes"),
    ("back.casts", "yes"),
    ("back.records", "yes"),
    ("dates.wanted", "2026-03-17"),
    ("dates.insertion", "2026-03-18"),
    ("dates.first_check", "2026-03-19"),
    (
        "remarks.call_before",
        "anything would have to be ground on the functional surface",
    ),
];
