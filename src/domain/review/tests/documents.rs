//! Whole prescriptions of each kind of work, in their own settings: an ordinary one raises nothing, a careless one
//! just what it should.

#[cfg(test)]
mod kinds;

use super::*;
use crate::domain::custody::bench::BenchPiece;
use crate::domain::custody::fit::{FitLine, FitValue, fit_lines};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{Condition, Holder};
use crate::domain::prescription::{Course, PatternSource};
use crate::domain::review::{Level, applying, criteria, score};
use crate::domain::trade::lists::Lists;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::Tag;
use time::Date;
use time::macros::date;

/// A Tuesday.
const TODAY: Date = date!(2028 - 05 - 09);

const UPPER: Option<Arch> = Some(Arch::Upper);
const LOWER: Option<Arch> = Some(Arch::Lower);

type Thing = (&'static str, ItemKind, Option<Arch>, Holder);

struct Whole {
    course: Course,
    arches: Arches,
    things: &'static [Thing],
    /// What the patient wears, upper and lower; empty for nothing.
    wears: [&'static str; 2],
    /// Where the patient has teeth of his or her own.
    natural: &'static [Arch],
    sent: &'static [&'static str],
    fields: &'static [&'static [(&'static str, &'static str)]],
    /// The points that apply, all met.
    points: usize,
    /// What an ordinary one raises all the same.
    raises: &'static [&'static str],
    careless: Edits<'static>,
    context: fn(&mut Setting),
    /// What the careless one raises.
    asked: &'static [&'static str],
}

fn as_it_is(_: &mut Setting) {}

fn bare_above(setting: &mut Setting) {
    setting.worn_upper = None;
}

const HEIGHTS: &[(&str, &str)] = &[
    ("readings.0.rest_mm", "71"),
    ("readings.0.occlusal_mm", "68"),
    ("readings.0.method", "caliper"),
    ("readings.1.rest_mm", "71.5"),
    ("readings.1.occlusal_mm", "68"),
    ("readings.1.method", "caliper"),
    ("vertical.rest_mm", "71.2"),
    ("vertical.occlusal_mm", "68"),
    ("vertical.method", "caliper"),
    ("vertical.order", "keep"),
];

const BITE: &[(&str, &str)] = &[
    ("jaw.item", "@bite"),
    ("jaw.position", "centric_relation"),
    ("jaw.material", "silicone"),
    ("jaw.taken_on", "2028-05-09"),
    ("jaw.taken_at", "10:10"),
    ("jaw.at_final_vertical", "yes"),
    ("jaw.keyed", "yes"),
    (
        "jaw.grooves",
        "one notch in each block, cheek side, clear of the occlusal edge",
    ),
    (
        "jaw.seating",
        "first above, then the record without pressure, then below",
    ),
];

const FACEBOW: &[(&str, &str)] = &[
    ("facebow.made", "yes"),
    ("facebow.item", "@facebow"),
    ("facebow.record_id", "F-7"),
    ("facebow.plane", "frankfort"),
    ("facebow.third_point", "orbitale"),
    ("facebow.tragus_point", "upper"),
    ("facebow.midline_captured", "yes"),
    ("facebow.fork_returns", "yes"),
    ("guidance.source", "average"),
    ("guidance.articulator", "semi_adjustable"),
    ("guidance.plane", "frankfort"),
];

const PLANE: &[(&str, &str)] = &[
    ("plane.front", "interpupillary"),
    ("plane.back", "retromolar"),
    ("plane.pad_percent", "60"),
];

const UPPER_TEETH: &[(&str, &str)] = &[
    ("anterior.choice", "mould"),
    ("anterior.upper_mould", "Sedge 4"),
    ("anterior.width_mm", "49"),
    ("anterior.width_method", "curve"),
    ("anterior.form", "ovoid"),
    ("anterior.material", "composite"),
    ("anterior.midline", "yes"),
    ("posterior.choice", "mould"),
    ("posterior.upper_mould", "Alder 3"),
    ("posterior.cusp_angle", "20"),
    ("posterior.material", "cross_linked"),
    ("posterior.teeth_upper", "14"),
    ("occlusion.scheme", "balanced"),
];

const LOWER_TEETH: &[(&str, &str)] = &[
    ("anterior.lower_mould", "Sedge 2"),
    ("posterior.lower_mould", "Alder 3"),
    ("posterior.teeth_lower", "14"),
];

/// What a pattern would show.
const ARRANGED: &[(&str, &str)] = &[
    ("anterior.arrangement", "individual"),
    (
        "anterior.character",
        "laterals a little behind the arch, edges worn flat",
    ),
    ("anterior.incisal_show_mm", "1.5"),
    ("anterior.smile_line", "follows_lip"),
    ("occlusion.overjet_mm", "2"),
    ("occlusion.overbite_mm", "1"),
    ("occlusion.posterior_overlap_mm", "2"),
];

const SHADE: &[(&str, &str)] = &[
    ("shade.source", "tab"),
    ("shade.guide", "Fern"),
    ("shade.tab", "moss 3"),
    ("shade.tab_enclosed", "no"),
    ("shade.light", "daylight"),
    ("shade.date", "2028-05-09"),
    ("shade.chosen_by", "dentist_and_patient"),
    ("shade.approved", "yes"),
];

const IMPRESSION: &[(&str, &str)] = &[
    ("impression.source", "impression"),
    ("impression.material", "polyether"),
    ("impression.removed_on", "2028-05-09"),
    ("impression.removed_at", "09:40"),
    ("impression.keeps_hours", "100"),
    ("impression.pour_by", "on arrival, in type 3 stone"),
    ("impression.bead_and_box", "yes"),
    ("borders.order", "keep"),
];

const CARVED: &[(&str, &str)] = &[
    ("seal.by", "lab"),
    ("seal.shape", "butterfly"),
    ("seal.position", "along the line marked from notch to notch"),
    ("seal.depth_mid_mm", "0.5"),
    ("seal.depth_right_mm", "1"),
    ("seal.depth_left_mm", "1"),
];

const BASE: &[(&str, &str)] = &[
    ("base_shade.guide", "Fern gums"),
    ("base_shade.code", "petal 2"),
    ("base.material", "heat_cured"),
    ("base.process", "compression"),
    ("base.strengthening", "none"),
    ("base.palate_mm", "2"),
    ("finish.wet_packing", "yes"),
    ("marking.offered", "yes"),
    ("marking.answer", "declined"),
    ("spare.arch", "none"),
];

/// In the hands on the Monday after the next, in on the day after, seen on the day after that.
const LONG: &[(&str, &str)] = &[
    ("dates.wanted", "2028-05-22"),
    ("dates.insertion", "2028-05-23"),
    ("dates.first_check", "2028-05-24"),
];

/// There and back, in on the same day.
const SHORT: &[(&str, &str)] = &[
    ("dates.wanted", "2028-05-11"),
    ("dates.insertion", "2028-05-11"),
    ("dates.first_check", "2028-05-12"),
];

macro_rules! pieces {
    ($stage:literal, $what:literal, $of:literal) => {
        &[
            ("pieces.0.arch", "upper"),
            ("pieces.0.stage", $stage),
            ("pieces.0.description", $what),
            ("pieces.0.materials", $of),
            ("pieces.1.arch", "lower"),
            ("pieces.1.stage", $stage),
            ("pieces.1.description", $what),
            ("pieces.1.materials", $of),
        ]
    };
    ($arch:literal $stage:literal, $what:literal, $of:literal) => {
        &[
            ("pieces.0.arch", $arch),
            ("pieces.0.stage", $stage),
            ("pieces.0.description", $what),
            ("pieces.0.materials", $of),
        ]
    };
}

const PROV_U: Thing = ("prov_u", ItemKind::Provisional, UPPER, Holder::Patient);
const PROV_L: Thing = ("prov_l", ItemKind::Provisional, LOWER, Holder::Patient);
const BITE_HERE: Thing = ("bite", ItemKind::BiteRecord, None, Holder::Office);
const FACEBOW_HERE: Thing = ("facebow", ItemKind::FacebowRecord, None, Holder::Office);
const FINAL_U: Thing = ("final_u", ItemKind::FinalDenture, UPPER, Holder::Office);
const FINAL_L: Thing = ("final_l", ItemKind::FinalDenture, LOWER, Holder::Office);
const DUP_U: Thing = ("dup_u", ItemKind::Duplicate, UPPER, Holder::Patient);
const DUP_L: Thing = ("dup_l", ItemKind::Duplicate, LOWER, Holder::Patient);

const WHOLE: &[Whole] = &[
    Whole {
        course: Course::Tray,
        arches: Arches::Lower,
        things: &[
            ("cast_l", ItemKind::Cast, LOWER, Holder::Office),
            ("final_u", ItemKind::FinalDenture, UPPER, Holder::Patient),
            PROV_L,
        ],
        wears: ["final_u", "prov_l"],
        natural: &[],
        sent: &["cast_l"],
        fields: &[
            pieces!("lower" "tray", "close-fitting tray", "light-cured tray resin"),
            &[
                ("order.kind", "new"),
                ("impression.source", "cast"),
                ("impression.tray", "low handle in front, rests behind"),
                ("impression.tray_short_mm", "2"),
                ("dates.wanted", "2028-05-15"),
            ],
        ],
        points: 12,
        raises: &[],
        careless: &[
            ("pieces.0.materials", ""),
            ("impression.source", "impression"),
            ("impression.material", "alginate"),
            ("impression.tray", ""),
            ("impression.tray_short_mm", ""),
            ("dates.wanted", "2028-05-10"),
        ],
        context: as_it_is,
        asked: &[
            "piece-without-materials",
            "alginate-waiting",
            "tray-undescribed",
            "pour-unsaid",
            "due-before-the-work-can-be-done",
        ],
    },
    Whole {
        course: Course::Rims,
        arches: Arches::Both,
        things: &[
            ("imp_u", ItemKind::Impression, UPPER, Holder::Office),
            ("imp_l", ItemKind::Impression, LOWER, Holder::Office),
            PROV_U,
            PROV_L,
        ],
        wears: ["prov_u", "prov_l"],
        natural: &[],
        sent: &["imp_u", "imp_l"],
        fields: &[
            pieces!("rims", "record base with rim", "light-cured base, wax"),
            IMPRESSION,
            &[("order.kind", "new"), ("dates.wanted", "2028-05-15")],
        ],
        points: 12,
        raises: &[],
        careless: &[
            ("enclosed.1.*", ""),
            ("impression.bead_and_box", "no"),
            ("dates.wanted", "2028-05-13"),
        ],
        context: as_it_is,
        asked: &[
            "impression-of-this-jaw-not-enclosed",
            "surface-to-keep-and-beading-refused",
            "due-before-the-work-can-be-done",
            "due-on-a-closed-day",
        ],
    },
    Whole {
        course: Course::SetUp,
        arches: Arches::Both,
        things: &[
            ("rim_u", ItemKind::Rims, UPPER, Holder::Office),
            ("rim_l", ItemKind::Rims, LOWER, Holder::Office),
            BITE_HERE,
            FACEBOW_HERE,
            ("cast_u", ItemKind::Cast, UPPER, Holder::Lab),
            ("cast_l", ItemKind::Cast, LOWER, Holder::Lab),
            PROV_U,
            PROV_L,
        ],
        wears: ["prov_u", "prov_l"],
        natural: &[],
        sent: &["rim_u", "rim_l", "bite", "facebow"],
        fields: &[
            pieces!(
                "try_in",
                "teeth in wax, fourteen",
                "composite and cross-linked teeth, wax"
            ),
            HEIGHTS,
            BITE,
            FACEBOW,
            PLANE,
            UPPER_TEETH,
            LOWER_TEETH,
            ARRANGED,
            SHADE,
            &[
                ("order.kind", "next_stage"),
                ("pattern.source", "none"),
                ("dates.wanted", "2028-05-17"),
            ],
        ],
        points: 19,
        raises: &[],
        careless: &[
            ("vertical.rest_mm", "68"),
            ("jaw.material", "wax"),
            ("jaw.taken_on", "2028-05-08"),
            ("anterior.midline", ""),
            ("occlusion.scheme", "lingualized"),
            ("posterior.cusp_upper", "0"),
            ("anterior.arrangement", "copy_exactly"),
        ],
        context: as_it_is,
        asked: &[
            "rest-not-above-occlusal",
            "vertical-off-its-readings",
            "wax-record-old",
            "front-teeth-as-on-no-pattern",
            "midline-unsaid",
            "lingualized-without-upper-cusps",
        ],
    },
    Whole {
        course: Course::Reset,
        arches: Arches::Both,
        things: &[
            ("try_u", ItemKind::TryIn, UPPER, Holder::Office),
            ("try_l", ItemKind::TryIn, LOWER, Holder::Office),
            BITE_HERE,
            ("facebow", ItemKind::FacebowRecord, None, Holder::Lab),
            PROV_U,
            PROV_L,
        ],
        wears: ["prov_u", "prov_l"],
        natural: &[],
        sent: &["try_u", "try_l", "bite"],
        fields: &[
            pieces!(
                "reset",
                "mount to the new record and reset",
                "teeth as they stand, wax"
            ),
            HEIGHTS,
            BITE,
            &[
                ("approval.item_upper", "@try_u"),
                ("approval.item_lower", "@try_l"),
                ("approval.on", "2028-05-09"),
                ("approval.try_in_no", "1"),
                ("approval.arrangement", "no"),
                ("approval.height", "no"),
                ("approval.by", "patient"),
                ("order.kind", "next_stage"),
                ("pattern.source", "try_in"),
                ("pattern.rule", "with_changes"),
                ("pattern.upper_item", "@try_u"),
                ("pattern.lower_item", "@try_l"),
                ("pattern.may_alter", "yes"),
                ("changes.0.what", "upper_incisors"),
                ("changes.0.direction", "shorter_edge"),
                ("changes.0.mm", "1"),
                ("changes.1.what", "midline"),
                ("changes.1.direction", "left"),
                ("changes.1.mm", "1.5"),
                ("anterior.arrangement", "copy_with_changes"),
                ("anterior.midline_offset_mm", "1.5"),
                ("anterior.midline_side", "left"),
                ("anterior.incisal_change_mm", "-1"),
                ("dates.wanted", "2028-05-17"),
            ],
        ],
        points: 12,
        raises: &[],
        careless: &[
            ("jaw.taken_on", "2028-05-02"),
            ("anterior.midline_side", "right"),
            ("anterior.incisal_change_mm", "-2"),
            ("vertical.order", ""),
        ],
        context: as_it_is,
        asked: &[
            "record-of-before-the-reset",
            "midline-against-changes",
            "criterion-15-vertical",
            "incisal-length-off-its-changes",
        ],
    },
    Whole {
        course: Course::Finish,
        arches: Arches::Both,
        things: &[
            ("try_u", ItemKind::TryIn, UPPER, Holder::Office),
            ("try_l", ItemKind::TryIn, LOWER, Holder::Office),
            ("cast_u", ItemKind::Cast, UPPER, Holder::Office),
            ("cast_l", ItemKind::Cast, LOWER, Holder::Office),
            PROV_U,
            PROV_L,
        ],
        wears: ["prov_u", "prov_l"],
        natural: &[],
        sent: &["try_u", "try_l", "cast_u", "cast_l"],
        fields: &[
            pieces!(
                "process",
                "complete denture as tried in",
                "heat-cured resin, teeth as set"
            ),
            CARVED,
            BASE,
            &[
                ("approval.item_upper", "@try_u"),
                ("approval.item_lower", "@try_l"),
                ("approval.on", "2028-05-08"),
                ("approval.try_in_no", "2"),
                ("approval.arrangement", "yes"),
                ("approval.height", "yes"),
                ("approval.by", "patient_and_companion"),
                ("order.kind", "next_stage"),
                ("pattern.source", "try_in"),
                ("pattern.rule", "exactly"),
                ("pattern.upper_item", "@try_u"),
                ("pattern.lower_item", "@try_l"),
                ("vertical.order", "keep"),
                ("vertical.rest_mm", "71.2"),
                ("vertical.occlusal_mm", "68"),
                ("vertical.method", "caliper"),
                ("occlusion.scheme", "balanced"),
                ("impression.source", "cast"),
                ("impression.cast_keep", "yes"),
                ("borders.order", "keep"),
                ("finish.polished", "pattern"),
                ("dates.wanted", "2028-05-16"),
                ("dates.insertion", "2028-05-17"),
                ("dates.first_check", "2028-05-18"),
            ],
        ],
        points: 18,
        raises: &[],
        careless: &[
            ("approval.arrangement", ""),
            ("changes.0.what", "upper_incisors"),
            ("changes.0.direction", "longer_edge"),
            ("changes.0.mm", "0.5"),
            ("seal.depth_mid_mm", ""),
            ("seal.depth_right_mm", ""),
            ("seal.depth_left_mm", ""),
            ("dates.insertion", "2028-05-19"),
            ("dates.first_check", "2028-05-22"),
        ],
        context: as_it_is,
        asked: &[
            "try-in-not-approved",
            "copy-exactly-with-changes",
            "seal-by-the-lab-without-depth",
            "first-check-after-closed-days",
        ],
    },
    Whole {
        course: Course::Single,
        arches: Arches::Upper,
        things: &[
            ("prov_u", ItemKind::Provisional, UPPER, Holder::Office),
            BITE_HERE,
            ("cast_l", ItemKind::Cast, LOWER, Holder::Office),
            DUP_U,
        ],
        wears: ["dup_u", ""],
        natural: &[Arch::Lower],
        sent: &["prov_u", "bite", "cast_l"],
        fields: &[
            pieces!("upper" "process", "complete denture against teeth", "heat-cured resin, glass fibre, composite teeth"),
            HEIGHTS,
            UPPER_TEETH,
            SHADE,
            BASE,
            &[
                ("order.kind", "new"),
                ("pieces.0.opposing", "natural"),
                ("pattern.source", "provisional"),
                ("pattern.rule", "exactly"),
                ("pattern.upper_item", "@prov_u"),
                ("pattern.worn_since", "2028-01-10"),
                ("pattern.last_corrected", "2028-04-20"),
                ("duplicate.upper_item", "@dup_u"),
                ("duplicate.upper_from", "@prov_u"),
                ("duplicate.flask", "printed"),
                ("duplicate.resin", "printing resin"),
                ("duplicate.made_by", "assistant 1"),
                ("duplicate.made_on", "2028-05-08"),
                ("jaw.item", "@bite"),
                ("jaw.position", "intercuspation"),
                ("jaw.material", "silicone"),
                ("jaw.taken_on", "2028-05-09"),
                ("jaw.taken_at", "09:20"),
                ("jaw.at_final_vertical", "yes"),
                ("jaw.keyed", "no"),
                (
                    "jaw.note",
                    "no key needed: the teeth meet in one place only",
                ),
                ("facebow.made", "no"),
                ("facebow.plane", "none"),
                ("guidance.source", "average"),
                ("guidance.articulator", "average"),
                ("anterior.arrangement", "copy_exactly"),
                ("seal.by", "in_pattern"),
                ("borders.order", "keep"),
                ("impression.source", "functional"),
                ("impression.material", "silicone"),
                ("impression.placed_on", "2028-05-09"),
                ("impression.placed_at", "08:40"),
                ("impression.removed_on", "2028-05-09"),
                ("impression.removed_at", "08:55"),
                ("impression.keeps_hours", "168"),
                ("impression.pour_by", "on arrival, in type 3 stone"),
                ("impression.bead_and_box", "yes"),
                ("impression.keep_surface", "yes"),
                ("base.strengthening", "glass_fibre"),
                ("finish.polished", "pattern"),
                ("back.pattern", "yes"),
            ],
            LONG,
        ],
        points: 24,
        raises: &[],
        careless: &[
            ("posterior.material", "porcelain"),
            ("base.strengthening", "none"),
            ("enclosed.2.*", ""),
        ],
        context: bare_above,
        asked: &[
            "opposing-not-enclosed",
            "piece-of-another-strengthening",
            "single-denture-unstrengthened",
            "porcelain-against-natural-teeth",
            "provisional-without-duplicate",
        ],
    },
    Whole {
        course: Course::Duplicate,
        arches: Arches::Both,
        things: &[FINAL_U, FINAL_L, DUP_U, DUP_L],
        wears: ["dup_u", "dup_l"],
        natural: &[],
        sent: &["final_u", "final_l"],
        fields: &[
            pieces!(
                "duplicate",
                "copy as it is",
                "cold-cured resin, pink and tooth-coloured"
            ),
            &[
                ("order.kind", "new"),
                ("shade.source", "tab"),
                ("shade.guide", "Fern"),
                ("shade.tab", "moss 3"),
                ("shade.light", "daylight"),
                ("base_shade.guide", "Fern gums"),
                ("base_shade.code", "petal 2"),
                ("base.material", "cold_cured"),
                ("base.process", "pour"),
                ("finish.wet_packing", "yes"),
                ("marking.offered", "yes"),
                ("marking.answer", "accepted"),
                ("marking.text", "spare 2028"),
                ("marking.place", "both"),
                ("marking.set_letter", "B"),
                ("marking.year", "2028"),
                ("spare.arch", "both"),
                ("spare.copied_upper", "@final_u"),
                ("spare.copied_lower", "@final_l"),
                ("spare.teeth", "resin"),
                ("spare.tooth_shade", "moss 3"),
                ("spare.date_mark", "yes"),
                ("spare.keeper", "patient"),
                ("spare.stored", "in water, in a labelled tub"),
                ("dates.wanted", "2028-05-16"),
                ("dates.insertion", "2028-05-17"),
            ],
        ],
        points: 15,
        raises: &[],
        careless: &[
            ("spare.stored", "dry, in a box"),
            ("spare.date_mark", ""),
            ("marking.set_letter", ""),
            ("marking.year", ""),
        ],
        context: bare_above,
        asked: &[
            "sets-not-told-apart",
            "spare-without-date-mark",
            "spare-stored-dry",
            "worn-denture-leaves",
        ],
    },
    Whole {
        course: Course::Reline,
        arches: Arches::Upper,
        things: &[
            FINAL_U,
            DUP_U,
            ("final_l", ItemKind::FinalDenture, LOWER, Holder::Patient),
        ],
        wears: ["dup_u", "final_l"],
        natural: &[],
        sent: &["final_u"],
        fields: &[
            pieces!("upper" "reline", "reline of the denture that is worn", "heat-cured resin"),
            HEIGHTS,
            IMPRESSION,
            SHORT,
            &[
                ("reline.item", "@final_u"),
                ("reline.held_by", "jig"),
                ("reline.border", "keep"),
                ("order.kind", "new"),
                ("pieces.0.opposing", "denture"),
                ("impression.material", "silicone"),
                ("impression.keep_surface", "yes"),
                ("seal.by", "in_pattern"),
                ("base.material", "heat_cured"),
                ("base.process", "compression"),
                ("finish.wet_packing", "yes"),
            ],
        ],
        points: 15,
        raises: &[],
        careless: &[
            ("reline.held_by", ""),
            ("vertical.occlusal_mm", "71.5"),
            ("dates.wanted", "2028-05-10"),
            ("dates.insertion", "2028-05-12"),
            ("dates.first_check", "2028-05-15"),
        ],
        context: bare_above,
        asked: &[
            "rest-not-above-occlusal",
            "vertical-off-its-readings",
            "reline-height-unsecured",
            "due-before-the-work-can-be-done",
            "first-check-after-closed-days",
            "worn-denture-leaves",
        ],
    },
    Whole {
        course: Course::Repair,
        arches: Arches::Lower,
        things: &[
            FINAL_L,
            DUP_L,
            ("final_u", ItemKind::FinalDenture, UPPER, Holder::Patient),
        ],
        wears: ["final_u", "dup_l"],
        natural: &[],
        sent: &["final_l"],
        fields: &[
            pieces!("lower" "repair", "broken in the midline, one tooth out", "cold-cured resin, glass fibre"),
            SHORT,
            &[
                ("repair.item", "@final_l"),
                ("repair.fit_together", "yes"),
                ("repair.cause", "dropped"),
                ("repair.broke_before", "no"),
                ("repairs.0.what", "base_broken"),
                ("repairs.0.place", "midline"),
                ("repairs.1.what", "tooth_out"),
                ("repairs.1.tooth", "41"),
                ("repairs.1.tooth_enclosed", "yes"),
                ("order.kind", "new"),
                ("pieces.0.opposing", "denture"),
                ("base_shade.guide", "Fern gums"),
                ("base_shade.code", "petal 2"),
                ("base.material", "cold_cured"),
                ("base.process", "lab_choice"),
                ("base.strengthening", "glass_fibre"),
                ("finish.wet_packing", "yes"),
            ],
        ],
        points: 13,
        raises: &[],
        careless: &[
            ("repair.fit_together", "no"),
            ("repair.broke_before", "yes"),
            ("repair.cause", ""),
            ("repairs.1.tooth", ""),
            ("base.strengthening", "none"),
            ("base_shade.code", ""),
            ("base.process", ""),
            ("enclosed.0.agent", ""),
        ],
        context: |setting| setting.worn_lower = None,
        asked: &[
            "repair-pieces-do-not-fit",
            "broke-again-unstrengthened",
            "piece-of-another-strengthening",
            "repair-of-an-unnamed-tooth",
            "repair-cause-unsaid",
            "criterion-13-base-shade",
            "criterion-20-base",
            "criterion-22-disinfection",
            "worn-denture-leaves",
        ],
    },
    Whole {
        course: Course::Remount,
        arches: Arches::Both,
        things: &[
            FINAL_U,
            FINAL_L,
            BITE_HERE,
            ("remount_u", ItemKind::RemountCast, UPPER, Holder::Lab),
            ("remount_l", ItemKind::RemountCast, LOWER, Holder::Lab),
            DUP_U,
            DUP_L,
        ],
        wears: ["dup_u", "dup_l"],
        natural: &[],
        sent: &["final_u", "final_l", "bite"],
        fields: &[
            pieces!("remount", "remount and grind in", "none added"),
            BITE,
            &[
                ("remount.upper_item", "@final_u"),
                ("remount.lower_item", "@final_l"),
                ("remount.casts_at", "lab"),
                ("remount.grind_by", "lab"),
                ("remount.spare_cusps", "upper_palatal"),
                ("remount.pin_drop_max_mm", "0.5"),
                ("order.kind", "correction"),
                ("order.earlier_case", "the same case"),
                ("jaw.at_final_vertical", "no"),
                ("jaw.thickness_mm", "1.5"),
                ("jaw.thickness_at", "molars"),
                ("facebow.made", "no"),
                ("facebow.kept_mounting", "yes"),
                ("occlusion.scheme", "lingualized"),
                ("finish.wet_packing", "yes"),
                ("dates.wanted", "2028-05-16"),
                ("dates.insertion", "2028-05-16"),
                ("dates.first_check", "2028-05-17"),
            ],
        ],
        points: 14,
        raises: &[],
        careless: &[
            ("jaw.material", "wax"),
            ("jaw.taken_on", "2028-05-08"),
            ("jaw.position", "intercuspation"),
            ("facebow.kept_mounting", ""),
        ],
        context: |setting| {
            setting.worn_upper = None;
            setting.worn_lower = None;
        },
        asked: &[
            "remount-in-the-habitual-bite",
            "wax-record-old",
            "criterion-17-mounting",
            "worn-denture-leaves",
        ],
    },
    Whole {
        course: Course::Everything,
        arches: Arches::Both,
        things: &[
            ("imp_u", ItemKind::Impression, UPPER, Holder::Office),
            ("imp_l", ItemKind::Impression, LOWER, Holder::Office),
            BITE_HERE,
            FACEBOW_HERE,
            PROV_U,
            PROV_L,
            ("old_u", ItemKind::OldDenture, UPPER, Holder::Office),
        ],
        wears: ["prov_u", "prov_l"],
        natural: &[],
        sent: &["imp_u", "imp_l", "bite", "facebow"],
        fields: &[
            pieces!(
                "process",
                "complete denture, fourteen teeth",
                "heat-cured resin, composite and cross-linked teeth"
            ),
            HEIGHTS,
            BITE,
            FACEBOW,
            PLANE,
            UPPER_TEETH,
            LOWER_TEETH,
            ARRANGED,
            SHADE,
            IMPRESSION,
            CARVED,
            BASE,
            LONG,
            &[
                ("order.kind", "new"),
                ("order.try_in_skipped", "yes"),
                ("pattern.source", "none"),
                ("finish.polished", "standard"),
            ],
        ],
        points: 24,
        raises: &[],
        careless: &[
            ("guidance.condylar_right", "36"),
            ("guidance.condylar_left", "62"),
            ("posterior.length_mm", "29"),
            ("dates.wanted", "2028-05-20"),
        ],
        context: as_it_is,
        asked: &[
            "average-guidance-with-values",
            "condylar-unusual",
            "condylar-sides-differ",
            "room-too-short-for-the-teeth",
            "due-before-the-work-can-be-done",
            "due-on-a-closed-day",
        ],
    },
    Whole {
        course: Course::DigitalCopy,
        arches: Arches::Both,
        things: &[
            ("file_u", ItemKind::Scan, None, Holder::Office),
            ("file_l", ItemKind::Scan, None, Holder::Office),
            ("file_o", ItemKind::Scan, None, Holder::Office),
            PROV_U,
            PROV_L,
            ("old_u", ItemKind::OldDenture, UPPER, Holder::Office),
        ],
        wears: ["prov_u", "prov_l"],
        natural: &[],
        sent: &[],
        fields: &[
            pieces!(
                "process",
                "complete denture, fourteen teeth",
                "milled resin, base and teeth"
            ),
            HEIGHTS,
            SHADE,
            BASE,
            LONG,
            &[
                ("order.kind", "new"),
                ("pattern.source", "provisional"),
                ("pattern.rule", "exactly"),
                ("pattern.upper_item", "@prov_u"),
                ("pattern.lower_item", "@prov_l"),
                ("pattern.worn_since", "2027-12-06"),
                ("pattern.last_corrected", "2028-04-20"),
                ("kept.0.tag", "@prov_u"),
                ("kept.0.by", "patient"),
                ("kept.1.tag", "@prov_l"),
                ("kept.1.by", "patient"),
                ("scans.0.tag", "@file_u"),
                ("scans.0.shows", "upper_whole"),
                ("scans.0.file", "above.stl"),
                ("scans.0.format", "stl"),
                ("scans.0.units", "mm"),
                (
                    "scans.0.sha256",
                    "11223344556677889900aabbccddeeff11223344556677889900aabbccddeeff",
                ),
                ("scans.0.on", "2028-05-09"),
                ("scans.0.looked_at", "yes"),
                ("scans.1.tag", "@file_l"),
                ("scans.1.shows", "lower_whole"),
                ("scans.1.file", "below.stl"),
                ("scans.1.format", "stl"),
                ("scans.1.units", "mm"),
                (
                    "scans.1.sha256",
                    "22223344556677889900aabbccddeeff11223344556677889900aabbccddeeff",
                ),
                ("scans.1.on", "2028-05-09"),
                ("scans.1.looked_at", "yes"),
                ("scans.2.tag", "@file_o"),
                ("scans.2.shows", "in_occlusion"),
                ("scans.2.file", "together.stl"),
                ("scans.2.format", "stl"),
                ("scans.2.units", "mm"),
                (
                    "scans.2.sha256",
                    "33223344556677889900aabbccddeeff11223344556677889900aabbccddeeff",
                ),
                ("scans.2.on", "2028-05-09"),
                ("scans.2.looked_at", "yes"),
                ("scan_set.joined_by", "in_occlusion"),
                ("scan_set.width_checked_mm", "54.5"),
                ("jaw.position", "intercuspation"),
                ("jaw.at_final_vertical", "yes"),
                ("facebow.made", "no"),
                ("facebow.plane", "none"),
                ("guidance.source", "average"),
                ("guidance.articulator", "virtual"),
                ("anterior.choice", "pattern"),
                ("anterior.material", "milled"),
                ("anterior.arrangement", "copy_exactly"),
                ("posterior.choice", "pattern"),
                ("posterior.cusp_angle", "pattern"),
                ("posterior.material", "milled"),
                ("occlusion.scheme", "pattern"),
                ("impression.source", "scan"),
                ("borders.order", "keep"),
                ("seal.by", "in_pattern"),
                ("base.material", "milled"),
                ("base.process", "milling"),
                ("finish.polished", "pattern"),
            ],
        ],
        points: 23,
        raises: &[],
        careless: &[
            ("scans.0.units", "unknown"),
            ("scans.2.*", ""),
            ("scan_set.joined_by", ""),
            ("scans.1.on", "2028-04-01"),
            ("facebow.plane", "frankfort"),
        ],
        context: as_it_is,
        asked: &[
            "scan-units-unknown",
            "scans-of-the-jaws-not-joined",
            "scan-before-last-correction",
            "plane-without-facebow",
        ],
    },
    Whole {
        course: Course::Immediate,
        arches: Arches::Upper,
        things: &[
            ("imp_u", ItemKind::Impression, UPPER, Holder::Office),
            ("cast_l", ItemKind::Cast, LOWER, Holder::Office),
            BITE_HERE,
            FACEBOW_HERE,
        ],
        wears: ["", ""],
        natural: &[Arch::Upper, Arch::Lower],
        sent: &["imp_u", "cast_l", "bite", "facebow"],
        fields: &[
            pieces!("upper" "process", "immediate denture, fourteen teeth", "heat-cured resin, glass fibre, composite teeth"),
            HEIGHTS,
            BITE,
            FACEBOW,
            PLANE,
            UPPER_TEETH,
            ARRANGED,
            SHADE,
            IMPRESSION,
            CARVED,
            BASE,
            LONG,
            &[
                ("order.kind", "new"),
                ("order.try_in_skipped", "yes"),
                ("pieces.0.opposing", "natural"),
                ("pattern.source", "none"),
                ("extractions.0.tooth", "11"),
                ("extractions.0.when", "at_insertion"),
                ("extractions.1.tooth", "21"),
                ("extractions.1.when", "at_insertion"),
                ("cast_trim.by", "lab"),
                ("cast_trim.level", "gum_margin"),
                ("cast_trim.facial_mm", "1.5"),
                ("cast_trim.palatal_mm", "0"),
                ("cast_trim.bone", "no"),
                ("cast_trim.photo", "yes"),
                ("cast_trim.stent", "yes"),
                ("base.strengthening", "glass_fibre"),
                ("finish.polished", "standard"),
            ],
        ],
        points: 24,
        // Each time that the lab cuts: let stand with a reason, such as a second cast.
        raises: &["cast-trim-irreversible"],
        careless: &[
            ("extractions.*", ""),
            ("cast_trim.*", ""),
            ("base.strengthening", "none"),
            ("order.try_in_skipped", ""),
            ("dates.insertion", "2028-05-26"),
            ("dates.first_check", "2028-05-29"),
        ],
        context: as_it_is,
        asked: &[
            "extraction-list-missing",
            "cast-trim-unsaid",
            "piece-of-another-strengthening",
            "single-denture-unstrengthened",
            "try-in-skip-unsaid",
            "first-check-after-closed-days",
        ],
    },
];

impl Whole {
    /// The tag of a thing by its name.
    fn tag(&self, name: &str) -> Tag {
        let place = self.things.iter().position(|(one, ..)| *one == name);
        let place = u8::try_from(place.expect(name)).expect("few things");
        let tag = (0..32).find_map(|last| Tag::from_random([9, 9, 9, 9, 9, place, last]));
        tag.expect("a tag")
    }

    fn raw(&self, edits: Edits<'_>) -> Raw {
        let mut raw = Raw::new();
        let written = self.fields.iter().copied().flatten();
        for (key, text) in written {
            raw.insert((*key).to_owned(), (*text).to_owned());
        }
        for (row, name) in self.sent.iter().enumerate() {
            for (field, text) in [
                ("tag", self.tag(name).to_string().as_str()),
                ("agent", "surface disinfectant, grey label"),
                ("dilution", "ready to use"),
                ("minutes", "10"),
                ("rinsed", "yes"),
            ] {
                raw.insert(format!("enclosed.{row}.{field}"), text.to_owned());
            }
        }
        let box_of = [("boxes", "1"), ("moist", "yes"), ("hard_box", "yes")];
        for (key, text) in box_of.into_iter().filter(|_| !self.sent.is_empty()) {
            raw.insert(format!("enclosures.{key}"), text.to_owned());
        }
        for (key, text) in edits {
            let tag = text
                .strip_prefix('@')
                .map(|name| self.tag(name).to_string());
            edit(&mut raw, (*key, tag.as_deref().unwrap_or(text)));
        }
        for text in raw.values_mut() {
            if let Some(name) = text.strip_prefix('@') {
                *text = self.tag(name).to_string();
            }
        }
        raw
    }

    fn setting(&self) -> Setting {
        let mut setting = sample::setting();
        let (item, state) = (
            setting.items[0].clone(),
            setting.custody.values().next().cloned(),
        );
        let worn = |name: &str| (!name.is_empty()).then(|| self.tag(name));
        setting.items = self
            .things
            .iter()
            .map(|(name, kind, arch, _)| Item {
                tag: self.tag(name),
                kind: *kind,
                arch: *arch,
                borrowed: false,
                ..item.clone()
            })
            .collect();
        setting.custody = self
            .things
            .iter()
            .map(|(name, kind, _, holder)| {
                let mut state = state.clone().expect("the sample has things");
                state.holder = *holder;
                state.worn = self.wears.contains(name);
                state.withheld = (*kind == ItemKind::OldDenture).then(|| "cupboard".to_owned());
                let is_broken = self.course == Course::Repair && kind.is_denture();
                if is_broken && self.sent.contains(name) {
                    state.condition = Condition::Damaged;
                }
                (self.tag(name), state)
            })
            .collect();
        (setting.worn_upper, setting.worn_lower) = (worn(self.wears[0]), worn(self.wears[1]));
        setting.natural_teeth = self.natural.to_vec();
        (setting.today, setting.issued) = (TODAY, Some(TODAY));
        setting.arches = self.arches;
        setting.lists = Lists::default();
        setting
    }

    /// The document, with the course written or left to follow from the stages.
    fn document(&self, edits: Edits<'_>, is_course_written: bool) -> Prescription {
        let mut raw = self.raw(edits);
        if is_course_written {
            raw.insert("order.course".to_owned(), self.course.word().to_owned());
        }
        let reading = read(&raw, Numbering::Iso3950);
        assert_eq!(reading.faults, [], "{:?}", self.course);
        reading.document
    }
}

/// A prescription of ordinary length, with the things of its case.
pub struct Ordinary {
    pub course: Course,
    pub arches: Arches,
    pub prescription: Prescription,
    pub items: Vec<Item>,
}

/// Those of all kinds of work, with some fields changed.
pub fn ordinary(edits: Edits<'_>) -> Vec<Ordinary> {
    let whole = WHOLE.iter().map(|whole| Ordinary {
        course: whole.course,
        arches: whole.arches,
        prescription: whole.document(edits, true),
        items: whole.setting().items,
    });
    whole.collect()
}

#[test]
fn p14_ordinary_prescriptions_of_each_kind_of_work_raise_nothing() {
    for whole in WHOLE {
        for is_written in [false, true] {
            let (document, setting) = (whole.document(&[], is_written), whole.setting());
            let found: Vec<String> = review(&document, &setting)
                .into_iter()
                .filter(|finding| !whole.raises.contains(&finding.id))
                .map(|finding| format!("{}: {}", finding.id, finding.sentence))
                .collect();
            assert_eq!(found, [""; 0], "{:?}", whole.course);
            let criteria = criteria(&document, &setting);
            assert_eq!(
                (score(&criteria), applying(&criteria)),
                (whole.points, whole.points),
                "{:?}",
                whole.course
            );
        }
    }
}

#[test]
fn p14_careless_ones_raise_what_they_should_and_nothing_else() {
    for whole in WHOLE {
        for is_written in [false, true] {
            let (document, mut setting) =
                (whole.document(whole.careless, is_written), whole.setting());
            (whole.context)(&mut setting);
            let mut found = ids(&review(&document, &setting));
            let mut asked = whole.asked.to_vec();
            found.sort_unstable();
            asked.sort_unstable();
            assert_eq!(found, asked, "{:?}", whole.course);
        }
    }
}

/// Of what whole documents raise: what cannot be signed. The weights are our own choice.
const STOPS: &[&str] = &[
    "approved-is-another-try-in",
    "cast-trim-unsaid",
    "copied-denture-not-enclosed",
    "copy-exactly-with-changes",
    "criterion-10-tooth-shade",
    "extraction-list-missing",
    "extraction-twice",
    "first-check-before-insertion",
    "impression-of-this-jaw-not-enclosed",
    "incisal-length-against-changes",
    "individual-arrangement-in-an-exact-copy",
    "methacrylate-excluded-and-cold-cured",
    "midline-against-changes",
    "pattern-of-this-jaw-not-enclosed",
    "piece-without-materials",
    "record-of-before-the-reset",
    "repair-places-unsaid",
    "rest-not-above-occlusal",
    "scan-of-a-jaw-missing",
    "scan-units-unknown",
    "scans-of-the-jaws-not-joined",
    "tag-of-another-jaw",
    "tag-of-another-kind",
    "try-in-not-approved",
    "worked-on-denture-unnamed",
];
/// Of the same: what only says something. All else passes with a reason.
const REMARKS: &[&str] = &[
    "grinding-place-unsaid",
    "insertion-unsaid",
    "repair-cause-unsaid",
    "shade-approval-unsaid",
    "spare-unsaid",
];

/// What a finding of theirs has to weigh.
fn weight(id: &str) -> Level {
    match (STOPS.contains(&id), REMARKS.contains(&id)) {
        (true, _) => Level::Stop,
        (_, true) => Level::Remark,
        _ => Level::Caution,
    }
}

/// Local law may make a stop of what passes otherwise; nothing makes less of a finding.
#[test]
fn p14_what_whole_documents_raise_weighs_what_it_should() {
    let mut raised = kinds::all_raised();
    for whole in WHOLE {
        let (document, mut setting) = (whole.document(whole.careless, true), whole.setting());
        (whole.context)(&mut setting);
        raised.extend(review(&document, &setting));
    }
    for (course, edits, _) in SLIPS {
        let whole = WHOLE.iter().find(|whole| whole.course == *course);
        let whole = whole.expect("each course has a whole document");
        raised.extend(review(&whole.document(edits, false), &whole.setting()));
    }
    for one in &raised {
        let mut rules = crate::domain::review::rules();
        // Of the findings of law a test of theirs asks.
        if let Some(rule) = rules.find(|rule| rule.id == one.id) {
            assert_eq!(rule.level, weight(one.id), "{}", one.id);
            assert!(one.level <= rule.level, "{}: {}", one.id, one.sentence);
        }
    }
    for id in STOPS.iter().chain(REMARKS) {
        assert!(raised.iter().any(|one| one.id == *id), "{id} is not raised");
    }
}

/// The patient would be without teeth while it is at the lab.
#[test]
fn p12_a_reline_of_the_denture_that_is_worn_is_asked_about() {
    const RULE: &str = "worn-denture-leaves";
    let relines = WHOLE
        .iter()
        .filter(|one| one.course == Course::Reline && one.asked.contains(&RULE));
    let relines: Vec<&Whole> = relines.collect();
    assert!(!relines.is_empty());
    for whole in relines {
        let (document, mut setting) = (whole.document(&[], false), whole.setting());
        assert!(!ids(&review(&document, &setting)).contains(&RULE));
        (whole.context)(&mut setting);
        let said = |setting: &Setting| {
            let found = review(&document, setting).into_iter();
            let mut found = found.filter(|one| one.id == RULE);
            found.next().map(|one| one.sentence)
        };
        let nothing = "The upper denture is sent, and by the record the patient has nothing else to wear in that jaw.";
        assert_eq!(said(&setting).as_deref(), Some(nothing));
        // One that is registered already only has to be fitted.
        let duplicate = whole.tag("dup_u");
        let state = setting.custody.get_mut(&duplicate);
        state.expect("it has a state").holder = Holder::Office;
        assert_eq!(
            said(&setting),
            Some(format!(
                "The upper denture is sent, and by the record the patient wears nothing else in that jaw: {} {duplicate} is \
                 at the office and not fitted.",
                ItemKind::Duplicate.title(UPPER)
            ))
        );
    }
}

/// Common practice, no source: an impression that went on being worn is another one.
#[test]
fn the_impression_of_a_reline_did_not_leave_the_mouth_before_its_denture() {
    let reline = WHOLE.iter().find(|whole| whole.course == Course::Reline);
    let reline = reline.unwrap();
    let asked = |removed: &str, out: Option<Date>| {
        let mut setting = reline.setting();
        let tag = reline.tag("final_u");
        match out {
            Some(day) => setting.out_on = [(tag, day)].into(),
            None => setting.worn_upper = Some(tag),
        }
        let edits = [("impression.removed_on", removed)];
        review(&reline.document(&edits, false), &setting)
    };
    let before = date!(2028 - 05 - 08);
    let found = asked("2028-05-08", Some(TODAY));
    assert_eq!(ids(&found), ["surface-removed-while-worn"]);
    assert!(found[0].sentence.contains("was in the mouth until"));
    assert_eq!(asked("2028-05-08", Some(before)), []);
    assert_eq!(asked("2028-05-09", Some(TODAY)), []);
    let has_it = |found: &[Finding]| ids(found).contains(&"surface-removed-while-worn");
    assert!(has_it(&asked("2028-05-08", None)));
    assert!(!has_it(&asked("2028-05-09", None)));
}

/// Course, edits of its ordinary document, what they raise.
type Slip = (Course, Edits<'static>, &'static [&'static str]);

/// One slip of the pen each. Common practice, no source.
const SLIPS: &[Slip] = &[
    (
        Course::Immediate,
        &[("extractions.1.when", "later")],
        &["cast-trim-irreversible", "extraction-after-the-denture"],
    ),
    (
        Course::Immediate,
        &[("cast_trim.by", "nobody")],
        &["cast-left-with-teeth"],
    ),
    // Of the upper jaw an impression alone is sent.
    (
        Course::Immediate,
        &[("cast_trim.by", "dentist")],
        &["cut-cast-not-sent"],
    ),
    (
        Course::Immediate,
        &[("cast_trim.bone", "yes"), ("cast_trim.stent", "no")],
        &["bone-reduced-without-clear-copy", "cast-trim-irreversible"],
    ),
    (
        Course::Immediate,
        &[("pieces.0.opposing", "denture")],
        &["cast-trim-irreversible", "opposing-off-the-card"],
    ),
    (
        Course::Immediate,
        &[
            ("marking.answer", "accepted"),
            ("marking.text", "2028"),
            ("marking.place", "lingual_flange"),
        ],
        &["cast-trim-irreversible", "mark-on-another-jaw"],
    ),
    (
        Course::Single,
        &[("jaw.thickness_mm", "5")],
        &["thick-record-of-a-closed-bite"],
    ),
    (
        Course::Single,
        &[
            ("opposing.may_grind", "no"),
            ("opposing.grind_where", "34, buccal cusp"),
        ],
        &["grinding-place-though-refused"],
    ),
    (
        Course::Single,
        &[
            ("pieces.0.materials", "printed resin base"),
            ("pieces.0.description", "lower partial denture"),
        ],
        &["piece-of-another-base", "piece-told-for-another-jaw"],
    ),
    (
        Course::Repair,
        &[("repairs.1.tooth", "11")],
        &["repair-tooth-of-another-jaw"],
    ),
    (
        Course::Repair,
        &[("repairs.2.what", "tooth_added"), ("repairs.2.tooth", "41")],
        &["repair-tooth-twice", "repair-tooth-without-shade"],
    ),
    (
        Course::Reline,
        &[("reline.border", "trim"), ("impression.source", "cast")],
        &["reline-border-against-borders", "reline-from-a-cast"],
    ),
    (
        Course::DigitalCopy,
        &[
            (
                "scans.1.sha256",
                "11223344556677889900aabbccddeeff11223344556677889900aabbccddeeff",
            ),
            ("scans.0.on", "2028-05-10"),
            ("kept.0.by", "lab"),
        ],
        &["day-in-the-future", "scan-twice", "worn-and-kept-elsewhere"],
    ),
    (
        Course::DigitalCopy,
        &[("scans.1.shows", "upper_whole")],
        &["scan-of-a-jaw-missing", "scans-of-one-jaw-twice"],
    ),
    (
        Course::Remount,
        &[("enclosed.0.*", ""), ("enclosed.1.*", "")],
        &["correction-without-its-denture"],
    ),
    (
        Course::Remount,
        &[
            ("enclosed.1.*", ""),
            ("remount.lower_item", ""),
            ("order.kind", "new"),
        ],
        &["worked-on-denture-unnamed"],
    ),
    // What was ordered of the teeth for the set-up stands in the wax.
    (
        Course::Finish,
        &[
            ("anterior.arrangement", "standard"),
            ("anterior.upper_mould", "Sedge 4"),
        ],
        &[],
    ),
    (
        Course::Remount,
        &[
            ("remount.upper_item", "@dup_u"),
            ("remount.spare_cusps", "lower_buccal"),
            ("remount.casts_at", "enclosed"),
            ("jaw.taken_on", "2028-01-09"),
        ],
        &[
            "lingualized-spared-below",
            "remount-casts-not-listed",
            "remount-record-old",
            "worked-on-not-enclosed",
        ],
    ),
    (
        Course::Reline,
        &[("reline.item", "@final_l")],
        &["tag-of-another-jaw"],
    ),
    (
        Course::Rims,
        &[("rims.upper_front_mm", "39")],
        &["rim-height-unusual"],
    ),
    (
        Course::Finish,
        &[
            ("approval.item_upper", "@cast_u"),
            ("vertical.order", "open"),
            ("vertical.change_mm", "1"),
            ("vertical.change_at", "incisors"),
            ("vertical.reset_lower_front", "no"),
        ],
        &[
            "approved-is-another-try-in",
            "changed-after-approval",
            "tag-of-another-kind",
        ],
    ),
    (
        Course::Immediate,
        &[("dates.first_check", "2028-05-30")],
        &[
            "cast-trim-irreversible",
            "first-check-late-after-extractions",
        ],
    ),
    (
        Course::Tray,
        &[("enclosed.0.agent", "rinsed under tap water")],
        &["agent-is-no-disinfectant"],
    ),
    (
        Course::Tray,
        &[("enclosed.0.agent", "bleach and vinegar")],
        &["agents-mixed"],
    ),
    // In a finish the shade is carried from the set-up: its light and its approval are not asked again.
    (
        Course::Finish,
        &[
            ("shade.source", "tab"),
            ("shade.guide", "Fern"),
            ("shade.tab", "moss 3"),
        ],
        &[],
    ),
    (
        Course::Remount,
        &[("guidance.articulator", "semi_adjustable")],
        &[],
    ),
    (
        Course::Finish,
        &[
            ("base.metal_palate", "yes"),
            ("stage_dates.0.stage", "reline"),
            ("stage_dates.0.date", "2028-05-12"),
            ("dates.sent", "2028-04-11"),
        ],
        &[
            "alloy-of-the-metal-unsaid",
            "sent-long-ago",
            "stage-date-of-no-piece",
        ],
    ),
    (
        Course::Repair,
        &[("repairs.*", "")],
        &["repair-places-unsaid"],
    ),
    (
        Course::Repair,
        &[
            ("repair.cause", "poor_fit"),
            ("repairs.0.place", "upper left"),
            ("enclosed.0.pieces", "1"),
        ],
        &[
            "broken-and-enclosed-in-one-piece",
            "repair-tooth-of-another-jaw",
            "repair-without-its-cause",
        ],
    ),
    (
        Course::Duplicate,
        &[("enclosed.1.*", "")],
        &["copied-denture-not-enclosed"],
    ),
    (
        Course::Duplicate,
        &[
            ("spare.base", "printed"),
            ("spare.tooth_shade", "moss 3"),
            ("spare.stored", "in hot water 80 °C"),
        ],
        &["spare-kept-in-what-spoils-it", "spare-of-another-shade"],
    ),
    (
        Course::Reline,
        &[
            ("base.soft_liner", "no"),
            (
                "pieces.0.materials",
                "heat-cured resin, soft silicone liner",
            ),
        ],
        &["soft-liner-refused-and-described"],
    ),
    (
        Course::Reline,
        &[("impression.keeps_hours", "1")],
        &["surface-older-than-stated"],
    ),
    (
        Course::Rims,
        &[("rims.base", "cold_cured")],
        &["piece-of-another-base"],
    ),
    (
        Course::Immediate,
        &[
            ("impression.source", "cast"),
            ("enclosed.0.*", ""),
            ("cast_trim.palatal_mm", "4"),
        ],
        &[
            "cast-not-enclosed",
            "cast-trim-deep",
            "cast-trim-irreversible",
        ],
    ),
    (
        Course::Immediate,
        &[("dates.first_check", "")],
        &[
            "cast-trim-irreversible",
            "first-check-unsaid-after-extractions",
        ],
    ),
    (
        Course::Remount,
        &[
            ("vertical.order", "close"),
            ("vertical.change_mm", "2"),
            ("vertical.change_at", "incisors"),
            ("vertical.reset_lower_front", "no"),
        ],
        &["remount-against-the-height"],
    ),
    (
        Course::Reset,
        &[("approval.height", "")],
        &["reset-height-unsaid"],
    ),
    (
        Course::Reset,
        &[("approval.arrangement", "yes"), ("approval.height", "yes")],
        &["reset-of-an-approved-try-in"],
    ),
    (
        Course::Finish,
        &[("approval.by", "dentist_alone")],
        &["approved-without-the-patient"],
    ),
    // What was said of the teeth for the set-up is carried and still holds.
    (
        Course::Finish,
        &[
            ("anterior.arrangement", "individual"),
            ("anterior.character", "laterals turned"),
        ],
        &[],
    ),
    (
        Course::Single,
        &[
            ("anterior.arrangement", "individual"),
            ("anterior.character", "rotate 12 and 22"),
            ("opposing.may_grind", "yes"),
            ("opposing.grind_where", "16"),
        ],
        &[
            "grinding-in-the-ordered-jaw",
            "individual-arrangement-in-an-exact-copy",
        ],
    ),
    (
        Course::Everything,
        &[
            ("guidance.articulator", "average"),
            ("guidance.source", "values"),
            ("guidance.condylar_right", "30"),
            ("guidance.condylar_left", "32"),
        ],
        &["record-on-average-articulator"],
    ),
];

/// What the least of a prescription asks for its shade, the review asks as well, in each kind of work.
#[test]
fn no_shade_is_asked_for_at_the_signature_that_the_review_does_not_ask_for() {
    use crate::domain::prescription::missing_for_signing;
    for whole in WHOLE {
        for is_written in [false, true] {
            let document = whole.document(&[("shade.*", "")], is_written);
            let missing = missing_for_signing(&document);
            let is_needed = missing.iter().any(|fault| fault.key.starts_with("shade."));
            let found = ids(&review(&document, &whole.setting()));
            let is_asked = found.contains(&"criterion-10-tooth-shade");
            assert_eq!(is_needed, is_asked, "{:?}: {missing:?}", whole.course);
        }
    }
}

#[test]
fn one_slip_of_the_pen_raises_what_it_should_and_nothing_else() {
    for (course, edits, asked) in SLIPS {
        let whole = WHOLE.iter().find(|whole| whole.course == *course);
        let whole = whole.expect("each course has a whole document");
        let (document, setting) = (whole.document(edits, false), whole.setting());
        let mut found = ids(&review(&document, &setting));
        found.sort_unstable();
        assert_eq!(found, *asked, "{course:?}: {edits:?}");
    }
}

/// A habitual bite over natural teeth needs no key where somebody says so and why; whatever of this is missing is asked.
#[test]
fn p14_a_record_without_keys_is_asked_about_unless_natural_teeth_key_it() {
    let single = WHOLE.iter().find(|whole| whole.course == Course::Single);
    let single = single.unwrap();
    let asks = |edits: &[(&str, &str)]| {
        let findings = review(&single.document(edits, true), &single.setting());
        let found = findings.iter().find(|one| one.id == "record-not-keyed");
        found.map(|one| one.sentence.clone())
    };
    assert_eq!(asks(&[]), None);
    assert_eq!(asks(&[("jaw.keyed", "yes"), ("jaw.note", "")]), None);
    let unsaid = Some("The bite record is not said to be keyed.".to_owned());
    for edits in [
        &[("jaw.keyed", "")][..],
        &[("jaw.position", "centric_relation")],
        &[("pieces.0.opposing", "denture")],
        &[("pieces.0.opposing", "")],
    ] {
        assert_eq!(asks(edits), unsaid, "{edits:?}");
    }
    for note in ["", "-", "."] {
        let said = asks(&[("jaw.note", note)]).unwrap();
        assert!(said.contains("why the natural teeth need no key"), "{said}");
    }
}

/// One answer of each ordinary document left out: at most one thing is asked, and it never stops what does not
/// need it.
#[test]
fn p14_one_field_left_out_is_asked_for_once() {
    for whole in WHOLE {
        let setting = whole.setting();
        for key in whole.raw(&[]).keys() {
            let document = whole.document(&[(key, "")], false);
            // Another pattern or stage is another kind of work.
            let other = document.pattern.source == Some(PatternSource::None)
                && whole.course != Course::SetUp
                && whole.course != Course::Everything;
            let is_other = key.starts_with("pieces.") || key == "pattern.source" || other;
            let findings = review(&document, &setting);
            let weighty = findings
                .iter()
                .filter(|finding| finding.level < Level::Remark);
            let count = weighty.count();
            assert!(
                is_other || count <= 2,
                "{:?} {key}: {:?}",
                whole.course,
                ids(&findings)
            );
        }
    }
}

/// What of each can be checked when the work comes back: a line for what is asked, and none for what is left out.
#[test]
fn what_comes_back_is_checked_by_what_each_document_asks_and_by_nothing_else() {
    let mut seen = 0;
    for whole in WHOLE {
        let pieces = [BenchPiece {
            arch: None,
            course: whole.course,
            by_machine: false,
            without_remount: false,
            to_new_height: false,
        }];
        let lines = |edits: Edits<'_>| {
            let document = whole.document(edits, true);
            fit_lines(&document, Numbering::Iso3950, &pieces)
        };
        let all = lines(&[]);
        seen += all.len();
        for line in &all {
            // A value that is measured has its number, unless a change of height was asked for elsewhere than on the face.
            let is_measured = line.value.within().is_some();
            assert!(
                is_measured == line.number.is_some() || line.value == FitValue::Ovd,
                "{:?}: {line:?}",
                whole.course
            );
            let Some(first) = line.value.fields().first() else {
                panic!("{line:?} is asked by no field");
            };
            let left_out = match first.split_once('#') {
                Some((list, _)) => format!("{list}*"),
                None => (*first).to_owned(),
            };
            let fewer = lines(&[(&left_out, "")]);
            let is_there = fewer.iter().any(|one| one.value == line.value);
            let by_another = [FitValue::LipSupport, FitValue::Shade, FitValue::BaseShade];
            let by_another = by_another.contains(&line.value);
            assert!(!is_there || by_another, "{:?}: {line:?}", whole.course);
            let changed = |one: &&FitLine| {
                let shares = one.value.fields().iter().any(|key| key == first);
                !shares && one.value != FitValue::Freeway
            };
            let kept: Vec<&FitLine> = all.iter().filter(changed).collect();
            let left: Vec<&FitLine> = fewer.iter().filter(changed).collect();
            assert_eq!(kept, left, "{:?} without {first}", whole.course);
        }
        let asks = |value: FitValue| all.iter().any(|one| one.value == value);
        assert_eq!(asks(FitValue::TrayShort), whole.course == Course::Tray);
    }
    assert!(seen >= 40, "{seen} lines");
}
