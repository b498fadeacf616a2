//! Which field stands in which line. Whatever is not named here, nor by a band's own code, falls to the lines of
//! `SheetFields::rest`.

use crate::domain::prescription::sentences::say::{
    Say, SheetLine, after, answer, cut_off_the_cast, value,
};

pub const ORDER: &[SheetLine] = &[
    (
        "Order",
        &[
            value("order.kind"),
            after("earlier case ", "order.earlier_case"),
            answer(
                "order.try_in_skipped",
                "go to finish without a try-in",
                "a try-in comes before the finish",
            )
            .strong(),
            value("pattern.source").strong(),
            after("upper ", "pattern.upper_item").comma(),
            after("lower ", "pattern.lower_item").comma(),
            after("worn in this form since ", "pattern.worn_since"),
            after("last corrected in the mouth ", "pattern.last_corrected"),
            value("pattern.rule"),
            answer(
                "pattern.may_alter",
                "the lab may alter the pattern",
                "do not alter the pattern",
            )
            .strong(),
        ],
    ),
    ("Remake", &[value("order.remake_reason")]),
    ("Keep", &[value("pattern.keep").strong()]),
    (
        "Try-in",
        &[
            after("upper ", "approval.item_upper"),
            after("lower ", "approval.item_lower").comma(),
            after("looked at ", "approval.on"),
            after("try-in ", "approval.try_in_no").comma(),
            answer(
                "approval.arrangement",
                "teeth as wanted",
                "teeth not as wanted",
            )
            .strong(),
            answer("approval.height", "height is right", "height refused").strong(),
            after("by ", "approval.by"),
            value("approval.said"),
        ],
    ),
    (
        "Reline",
        &[
            value("reline.item"),
            value("reline.other_item").comma(),
            after("held by ", "reline.held_by").strong(),
            value("reline.border").strong(),
        ],
    ),
    (
        "Repair",
        &[
            value("repair.item"),
            value("repair.other_item").comma(),
            answer(
                "repair.fit_together",
                "the pieces go together",
                "the pieces do not go together",
            )
            .strong(),
            after("how: ", "repair.cause"),
            answer(
                "repair.broke_before",
                "broke there before",
                "did not break there before",
            )
            .strong(),
        ],
    ),
    (
        "Remount",
        &[
            after("upper ", "remount.upper_item"),
            after("lower ", "remount.lower_item").comma(),
            after("remount casts ", "remount.casts_at").strong(),
            after("ground in by ", "remount.grind_by"),
            after("spare the ", "remount.spare_cusps").strong(),
            after("pin may sink by ", "remount.pin_drop_max_mm").strong(),
        ],
    ),
    (
        "Rims",
        &[
            after("upper front ", "rims.upper_front_mm").strong(),
            after("lower front ", "rims.lower_front_mm").strong(),
            after("width behind ", "rims.back_width_mm"),
            value("rims.base"),
        ],
    ),
    (
        "Opposing",
        &[
            value("opposing.surface").strong(),
            answer(
                "opposing.may_grind",
                "may be ground by the dentist",
                "is not to be ground",
            )
            .strong(),
            value("opposing.grind_where"),
        ],
    ),
    (
        "Immediate",
        &cut_off_the_cast(after("teeth are cut off the cast by: ", "cast_trim.by").strong()),
    ),
];

/// A tooth that is extracted.
pub const EXTRACTION: &[Say] = &[
    value("extractions.#.tooth").strong(),
    value("extractions.#.when").comma(),
    value("extractions.#.note").comma(),
];

/// A place that is repaired.
pub const REPAIR: &[Say] = &[
    value("repairs.#.what").strong(),
    value("repairs.#.place").comma(),
    value("repairs.#.tooth").comma().strong(),
    answer(
        "repairs.#.tooth_enclosed",
        "tooth enclosed",
        "tooth not enclosed",
    ),
];

/// A file that is sent in place of a thing.
pub const SCAN: &[Say] = &[
    value("scans.#.shows").strong(),
    value("scans.#.file").comma().strong(),
    value("scans.#.format").comma(),
    after("in ", "scans.#.units").comma(),
    value("scans.#.tag"),
    after("scanned ", "scans.#.on"),
    answer(
        "scans.#.looked_at",
        "looked at after export",
        "not looked at after export",
    ),
    after("SHA-256 ", "scans.#.sha256"),
];

/// What was scanned and does not travel.
pub const KEPT: &[Say] = &[
    value("kept.#.tag"),
    after("with the ", "kept.#.by").comma(),
    after("until ", "kept.#.until").comma(),
];

pub const FIRST: &[SheetLine] = &[
    ("Pour", &[value("impression.pour_by").strong()]),
    (
        "Surface",
        &[
            value("impression.source"),
            value("impression.material").comma(),
            after("in the mouth ", "impression.placed_on"),
            value("impression.placed_at").then(),
            after("out of it ", "impression.removed_on").strong(),
            value("impression.removed_at").then().strong(),
            after("keeps ", "impression.keeps_hours").strong(),
            answer(
                "impression.keep_surface",
                "keep it untouched",
                "it may be touched",
            )
            .strong(),
        ],
    ),
    (
        "Sent",
        &[value("dates.sent"), value("dates.sent_at").then()],
    ),
    (
        "Dry",
        &[after("a denture in the box, since ", "enclosures.dry_since").strong()],
    ),
];

pub const HEIGHTS: &[SheetLine] = &[
    (
        "OVD",
        &[
            value("vertical.occlusal_mm").strong(),
            value("vertical.order").strong(),
            after("by ", "vertical.change_mm").then().strong(),
            value("vertical.change_at").comma(),
        ],
    ),
    ("RVD", &[value("vertical.rest_mm")]),
    ("Method", &[value("vertical.method")]),
    (
        "Speaking",
        &[after("closest space ", "vertical.closest_speaking_mm")],
    ),
    (
        "Lower front",
        &[answer(
            "vertical.reset_lower_front",
            "re-set after the change",
            "not re-set after the change",
        )],
    ),
];

pub const FRONT_VIEW: &[SheetLine] = &[
    (
        "Edge",
        &[
            after("below lip at rest ", "anterior.incisal_show_mm"),
            after("length to change by ", "anterior.incisal_change_mm").strong(),
            after("in front of the papilla ", "anterior.papilla_mm"),
        ],
    ),
    (
        "Smile line",
        &[
            value("anterior.smile_line"),
            after("high lip line above the edge ", "anterior.high_lip_mm"),
        ],
    ),
    (
        "Canines",
        &[
            after("from the midline R ", "anterior.canine_right_mm"),
            after("L ", "anterior.canine_left_mm").comma(),
        ],
    ),
    (
        "Lip support",
        &[
            value("anterior.lip_support"),
            after("by ", "anterior.lip_support_mm").then().strong(),
        ],
    ),
    (
        "Plane",
        &[
            after("front ", "plane.front"),
            after("back ", "plane.back"),
            after("on the pad ", "plane.pad_percent"),
            after("sides differ by ", "plane.tilt_mm"),
            after("lower on the ", "plane.lower_side").comma(),
            after("compensating curve ", "plane.compensating_mm"),
            value("plane.note"),
        ],
    ),
];

pub const ANTERIOR: &[SheetLine] = &[
    ("Mould", &[value("anterior.choice")]),
    (
        "Upper six",
        &[
            value("anterior.width_mm").strong(),
            value("anterior.width_method").comma(),
        ],
    ),
    (
        "Central",
        &[
            after("width ", "anterior.central_width_mm").strong(),
            after("length ", "anterior.central_length_mm")
                .comma()
                .strong(),
            after("gap ", "anterior.diastema_mm").strong(),
        ],
    ),
    ("Form", &[value("anterior.form")]),
    ("Material", &[value("anterior.material")]),
    ("Arrange", &[value("anterior.arrangement")]),
    ("Character", &[value("anterior.character")]),
    (
        "Overlaps",
        &[
            after("overjet ", "occlusion.overjet_mm").strong(),
            after("overbite ", "occlusion.overbite_mm").strong(),
            after("clearance in centric ", "occlusion.front_clearance_mm"),
            after("guidance ", "occlusion.angle"),
        ],
    ),
];

pub const POSTERIOR: &[SheetLine] = &[
    ("Mould", &[value("posterior.choice")]),
    (
        "Scheme",
        &[
            value("occlusion.scheme").strong(),
            after("cusp angle ", "posterior.cusp_angle").strong(),
            after("cusp angle upper ", "posterior.cusp_upper").strong(),
            after("cusp angle lower ", "posterior.cusp_lower").strong(),
        ],
    ),
    ("Blocks", &[value("posterior.block_shape")]),
    (
        "Space",
        &[
            value("posterior.length_mm").strong(),
            answer(
                "posterior.narrow",
                "teeth narrow from cheek to tongue",
                "teeth not narrow from cheek to tongue",
            ),
        ],
    ),
    (
        "Teeth",
        &[
            after("upper ", "posterior.teeth_upper"),
            after("lower ", "posterior.teeth_lower").comma(),
            after("leave out ", "posterior.left_out").strong(),
        ],
    ),
    ("Material", &[value("posterior.material")]),
    (
        "Overlap",
        &[
            after("posterior, horizontal ", "occlusion.posterior_overlap_mm").strong(),
            after("cross-bite ", "occlusion.cross_bite").strong(),
        ],
    ),
    ("Note", &[value("posterior.note"), value("occlusion.note")]),
];

pub const SHADES: &[SheetLine] = &[
    ("Source", &[value("shade.source")]),
    (
        "Tab",
        &[
            answer("shade.tab_enclosed", "enclosed", "not enclosed"),
            value("shade.tab_item").comma(),
            answer("shade.photo", "photo enclosed", "no photo"),
        ],
    ),
    (
        "Taken",
        &[
            value("shade.date"),
            value("shade.time").then(),
            value("shade.light"),
        ],
    ),
    (
        "Chosen",
        &[
            value("shade.chosen_by"),
            answer(
                "shade.approved",
                "approved by the patient",
                "not approved by the patient",
            ),
        ],
    ),
    (
        "Measured",
        &[
            after("L* ", "shade.lightness"),
            after("a* ", "shade.a").comma(),
            after("b* ", "shade.b").comma(),
        ],
    ),
    ("Note", &[value("shade.note")]),
    (
        "Base",
        &[
            after("L* ", "base_shade.lightness"),
            after("a* ", "base_shade.a").comma(),
            after("b* ", "base_shade.b").comma(),
            answer("base_shade.fibres", "fibers", "no fibers"),
            value("base_shade.characterisation"),
        ],
    ),
    (
        "Gum",
        &[
            after("stippling ", "base_shade.stippling"),
            after("festooning ", "base_shade.festooning"),
            after("gum line to move by ", "base_shade.gum_line_mm").strong(),
            answer("base_shade.rugae", "palatal rugae", "no palatal rugae"),
        ],
    ),
];

pub const RECORD: &[SheetLine] = &[
    (
        "Position",
        &[
            value("jaw.position").strong(),
            answer(
                "jaw.at_final_vertical",
                "at the final OVD",
                "not at the final OVD",
            )
            .strong(),
        ],
    ),
    (
        "Made",
        &[
            value("jaw.material"),
            value("jaw.taken_on").comma(),
            value("jaw.taken_at").then(),
            after("thickness ", "jaw.thickness_mm"),
        ],
    ),
    (
        "Keyed",
        &[
            answer("jaw.keyed", "yes", "no").strong(),
            value("jaw.grooves"),
        ],
    ),
    ("Seating", &[value("jaw.seating")]),
    ("Note", &[value("jaw.note")]),
];

pub const MOUNTING: &[SheetLine] = &[
    (
        "Record",
        &[
            answer("facebow.made", "made", "none made"),
            value("facebow.record_id").strong(),
            answer(
                "facebow.midline_captured",
                "midline captured",
                "midline not captured",
            ),
            answer(
                "facebow.fork_returns",
                "fork and jig come back",
                "fork and jig do not come back",
            ),
            after("axis to edge ", "facebow.axis_incisor_mm"),
        ],
    ),
    (
        "Plane",
        &[
            value("facebow.plane"),
            after("back point ", "facebow.tragus_point"),
            after("third point ", "facebow.third_point"),
        ],
    ),
    ("Note", &[value("facebow.note")]),
    (
        "Articulator",
        &[
            value("guidance.articulator"),
            value("guidance.source"),
            value("guidance.item").comma(),
            after("values hold for the ", "guidance.plane"),
            after("pin ", "guidance.pin_mm").strong(),
            after("incisal table ", "guidance.incisal_table").strong(),
        ],
    ),
    (
        "Condylar",
        &[
            after("R ", "guidance.condylar_right").strong(),
            after("L ", "guidance.condylar_left").comma().strong(),
            after("lateral (Bennett) R ", "guidance.lateral_right").strong(),
            after("L ", "guidance.lateral_left").comma().strong(),
            after("protrusion ", "guidance.advance_mm"),
            after("drop ", "guidance.drop_mm").comma(),
        ],
    ),
];

pub const SURFACE: &[SheetLine] = &[
    (
        "Cast",
        &[
            answer("impression.bead_and_box", "bead and box", "no bead and box"),
            after("land ", "impression.land_mm").strong(),
            after("border kept ", "impression.border_roll_mm").strong(),
            answer(
                "impression.cast_keep",
                "photograph or scan before flasking",
                "no photograph or scan before flasking",
            ),
            after("undercuts ", "impression.undercuts"),
            value("impression.note"),
        ],
    ),
    (
        "Tray",
        &[
            value("impression.tray"),
            after("short of the vestibule by ", "impression.tray_short_mm"),
            after("spacer ", "impression.tray_spacer_mm"),
            after("wax relief ", "impression.tray_relief"),
        ],
    ),
    (
        "Borders",
        &[
            value("borders.order"),
            after("roll ", "borders.thickness_mm").strong(),
            after("upper posterior: ", "borders.posterior_upper"),
            after("pads: ", "borders.pad_cover"),
            after("lingual flange: ", "borders.lingual_flange"),
            after("frena: ", "borders.frena"),
        ],
    ),
    (
        "Relief",
        &[
            after("tori: ", "borders.tori"),
            answer("borders.papilla", "incisive papilla", "not the papilla"),
            answer(
                "borders.mid_palate",
                "middle of the palate",
                "not the middle of the palate",
            ),
            answer(
                "borders.mental",
                "mental foramina",
                "not the mental foramina",
            ),
        ],
    ),
    (
        "Seal",
        &[
            value("seal.by").strong(),
            value("seal.shape"),
            value("seal.position"),
            after("deep in the middle ", "seal.depth_mid_mm").strong(),
            after("R ", "seal.depth_right_mm").comma().strong(),
            after("L ", "seal.depth_left_mm").comma().strong(),
            after("width ", "seal.width_mm"),
        ],
    ),
    ("Note", &[value("borders.note")]),
];

pub const BASE: &[SheetLine] = &[
    (
        "Base",
        &[
            value("base.material").strong(),
            value("base.product").comma(),
            value("base.process").comma().strong(),
            after("strengthening: ", "base.strengthening"),
            answer("base.soft_liner", "soft liner", "no soft liner"),
            value("base.soft_liner_note").comma(),
            answer("base.metal_palate", "metal palate", "no metal palate"),
            after("palate ", "base.palate_mm").strong(),
            after("alloy: ", "base.alloy").strong(),
            value("base.note"),
        ],
    ),
    (
        "Polished",
        &[
            value("finish.polished"),
            value("finish.neutral_zone_item").comma(),
            after("tongue space: ", "finish.tongue_space"),
        ],
    ),
    (
        "Remount",
        &[
            answer(
                "finish.lab_remount",
                "in the lab after processing",
                "not in the lab",
            ),
            answer(
                "finish.remount_casts",
                "return on remount casts",
                "not on remount casts",
            ),
            answer(
                "finish.keep_index",
                "keep mounting and index",
                "do not keep mounting and index",
            ),
            after("keep casts and index for ", "finish.keep_months"),
        ],
    ),
    (
        "Check",
        &[
            answer(
                "finish.check_borders",
                "borders for sharp edges and pearls",
                "borders not for sharp edges",
            ),
            answer(
                "finish.check_occlusion",
                "contacts on the articulator, send the marks",
                "contacts not on the articulator",
            ),
            answer(
                "finish.photos",
                "photos before sending",
                "no photos before sending",
            ),
            answer(
                "finish.wet_packing",
                "send moist and sealed",
                "no need to send moist",
            ),
            value("finish.note"),
        ],
    ),
    (
        "Marking",
        &[
            value("marking.carries"),
            value("marking.text").strong(),
            value("marking.place").comma(),
            answer(
                "marking.offered",
                "offered to the patient",
                "not offered to the patient",
            ),
            value("marking.answer").comma(),
            after("set ", "marking.set_letter"),
            value("marking.year"),
        ],
    ),
];

pub const BEHIND: &[SheetLine] = &[
    (
        "Spare",
        &[
            value("spare.arch"),
            after("made by the ", "spare.made_by").strong(),
            after("upper from ", "spare.copied_upper"),
            after("lower from ", "spare.copied_lower"),
            after("base: ", "spare.base"),
            value("spare.teeth"),
            after("shade ", "spare.tooth_shade").comma(),
            value("spare.characterisation"),
            answer("spare.date_mark", "date mark", "no date mark"),
            after("kept by ", "spare.keeper"),
            value("spare.stored").comma(),
            value("spare.note"),
        ],
    ),
    (
        "Duplicate",
        &[
            after("upper ", "duplicate.upper_item"),
            after("from ", "duplicate.upper_from").then(),
            after("lower ", "duplicate.lower_item"),
            after("from ", "duplicate.lower_from").then(),
            value("duplicate.flask"),
            value("duplicate.filling").comma(),
            value("duplicate.resin"),
            after("pot upper ", "duplicate.upper_minutes"),
            after("lower ", "duplicate.lower_minutes").comma(),
            after("by the sheet ", "duplicate.sheet_minutes").comma(),
            after("water ", "duplicate.water"),
            after("by the sheet ", "duplicate.sheet_water").comma(),
            value("duplicate.sheet"),
            after("made ", "duplicate.made_on"),
            after("by ", "duplicate.made_by").then(),
            value("duplicate.note"),
        ],
    ),
];

/// What is said of the parcel as a whole.
pub const PARCEL: &[SheetLine] = &[
    (
        "Files",
        &[
            after("lower found to the upper: ", "scan_set.joined_by").strong(),
            after(
                "a width measured on the thing ",
                "scan_set.width_checked_mm",
            )
            .strong(),
        ],
    ),
    (
        "Packed",
        &[
            after("boxes: ", "enclosures.boxes").strong(),
            answer(
                "enclosures.moist",
                "packed moist and sealed",
                "not packed moist",
            ),
            answer(
                "enclosures.hard_box",
                "hard box, nothing presses the tissue side",
                "no hard box",
            ),
            value("enclosures.note"),
            value("back.note"),
        ],
    ),
];

/// Since the third sheet: that both arches come together is no rush.
pub const RUSH: &[SheetLine] = &[
    (
        "Rush",
        &[
            answer("dates.rush", "rush", "no rush").strong(),
            value("dates.rush_note").comma(),
        ],
    ),
    (
        "Arches",
        &[answer(
            "dates.may_split",
            "one arch may come before the other",
            "both arches come together",
        )],
    ),
];

pub const DATES: &[SheetLine] = &[
    (
        "Rush",
        &[
            answer("dates.rush", "rush", "no rush").strong(),
            value("dates.rush_note").comma(),
            answer(
                "dates.may_split",
                "one arch may come before the other",
                "both arches come together",
            ),
        ],
    ),
    ("Remarks", &[value("remarks.remarks")]),
    (
        "Law",
        &[
            answer(
                "law.second_lab",
                "part of the work may go to a second laboratory",
                "no second laboratory",
            ),
            answer(
                "law.second_lab_authorized",
                "authorization for it is written",
                "no authorization for it is written",
            ),
            answer(
                "law.board_form",
                "the form of the board is filled in as well",
                "no form of the board",
            ),
            answer(
                "law.number_on_models",
                "the case number is to stand on every model",
                "no case number on the models",
            ),
            answer(
                "law.patient_on_paper",
                "name and address of the patient go with it on paper",
                "no name of the patient goes with it",
            ),
        ],
    ),
];

/// How the row of a midline is named that is moved.
pub const MIDLINE_MOVED: &str = "Midline, moved by";

/// What can be measured while mounting and setting up, by the field that prescribes it.
pub const SET_UP_CHECKS: &[(&str, &[&str])] = &[
    ("Incisal pin", &["guidance.pin_mm"]),
    ("OVD", &["vertical.occlusal_mm"]),
    ("OVD, change", &["vertical.change_mm"]),
    (
        "Condylar, R and L",
        &["guidance.condylar_right", "guidance.condylar_left"],
    ),
    (
        "Bennett, R and L",
        &["guidance.lateral_right", "guidance.lateral_left"],
    ),
    ("Incisal table", &["guidance.incisal_table"]),
    ("Upper six", &["anterior.width_mm"]),
    (
        "Canine lines, R and L",
        &["anterior.canine_right_mm", "anterior.canine_left_mm"],
    ),
    (
        "Overjet and overbite",
        &["occlusion.overjet_mm", "occlusion.overbite_mm"],
    ),
    ("Posterior overlap", &["occlusion.posterior_overlap_mm"]),
    ("Front clearance", &["occlusion.front_clearance_mm"]),
    ("Gap, upper centrals", &["anterior.diastema_mm"]),
    (MIDLINE_MOVED, &["anterior.midline_offset_mm"]),
    ("Edge to papilla", &["anterior.papilla_mm"]),
    ("Incisal length, change", &["anterior.incisal_change_mm"]),
    ("Lip support, change", &["anterior.lip_support_mm"]),
    ("Plane on the pad", &["plane.pad_percent"]),
    ("Plane, sides differ", &["plane.tilt_mm"]),
    ("Compensating curve", &["plane.compensating_mm"]),
];

/// What is measured there besides, since the fourth sheet.
pub const SET_UP_SINCE: &[(&str, &[&str])] = &[
    (
        "Rims in front, U and L",
        &["rims.upper_front_mm", "rims.lower_front_mm"],
    ),
    ("Rims, width behind", &["rims.back_width_mm"]),
    ("Anterior guidance", &["occlusion.angle"]),
];

/// What is measured there besides, since the ninth sheet.
pub const SET_UP_LATEST: &[(&str, &[&str])] = &[
    ("Canine to pad", &["posterior.length_mm"]),
    ("Bite record, thickness", &["jaw.thickness_mm"]),
    ("Axis to incisal edge", &["facebow.axis_incisor_mm"]),
    (
        "Protrusion and drop",
        &["guidance.advance_mm", "guidance.drop_mm"],
    ),
];

/// What says, beside a number to be measured, which way it goes: words before it, and the field.
pub const BESIDE_A_CHECK: &[(&str, &str, &str)] = &[
    ("anterior.midline_offset_mm", "", "anterior.midline_side"),
    ("anterior.lip_support_mm", "", "anterior.lip_support"),
    ("plane.tilt_mm", "lower: ", "plane.lower_side"),
    ("jaw.thickness_mm", "", "jaw.thickness_at"),
];

/// What is measured on the finished work besides, since the fourth sheet.
pub const FINISH_SINCE: &[(&str, &[&str])] = &[
    ("Pin sinks by, at most", &["remount.pin_drop_max_mm"]),
    (
        "Tooth, L*, a*, b*",
        &["shade.lightness", "shade.a", "shade.b"],
    ),
    (
        "Base, L*, a*, b*",
        &["base_shade.lightness", "base_shade.a", "base_shade.b"],
    ),
];

/// What can be measured on the cast and on the finished work.
pub const FINISH_CHECKS: &[(&str, &[&str])] = &[
    (
        "Central, width and length",
        &["anterior.central_width_mm", "anterior.central_length_mm"],
    ),
    ("Tooth shade", &["shade.tab"]),
    ("Base shade", &["base_shade.code"]),
    ("Gum line, moved by", &["base_shade.gum_line_mm"]),
    ("Palate", &["base.palate_mm"]),
    ("Border roll", &["borders.thickness_mm"]),
    ("Border on the cast", &["impression.border_roll_mm"]),
    ("Land", &["impression.land_mm"]),
    (
        "Cut, facial and palatal",
        &["cast_trim.facial_mm", "cast_trim.palatal_mm"],
    ),
    ("Width in the file", &["scan_set.width_checked_mm"]),
    ("Tray short by", &["impression.tray_short_mm"]),
    ("Spacer", &["impression.tray_spacer_mm"]),
    ("Seal, middle", &["seal.depth_mid_mm"]),
    (
        "Seal, R and L",
        &["seal.depth_right_mm", "seal.depth_left_mm"],
    ),
    ("Seal, width", &["seal.width_mm"]),
    ("Marked", &["marking.text"]),
];
