//! What each section's sentence names, in the order in which it matters. Lists have their own words in
//! `sentence.rs`.

use super::say::{Say, after, answer, value};

/// The phrases of a section; one that has none says its first fields by their labels.
pub fn phrases(section: &str) -> &'static [Say] {
    let found = PHRASES.iter().find(|(key, _)| *key == section);
    found.map_or(&[], |(_, says)| says)
}

/// What is said of a pattern behind the list of changes.
pub const PATTERN_FACTS: &str = "pattern, facts";

const PHRASES: &[(&str, &[Say])] = &[
    (
        "order",
        &[
            value("order.kind"),
            answer("order.try_in_skipped", "no try-in", "a try-in comes first"),
            after("earlier case ", "order.earlier_case"),
            after("remade because: ", "order.remake_reason"),
        ],
    ),
    (
        "approval",
        &[
            answer(
                "approval.arrangement",
                "teeth approved",
                "teeth not as wanted",
            ),
            answer("approval.height", "height right", "height refused").comma(),
            after("by ", "approval.by"),
            value("approval.on").comma(),
            after("upper ", "approval.item_upper"),
            after("lower ", "approval.item_lower").comma(),
            after("try-in ", "approval.try_in_no"),
            value("approval.said"),
        ],
    ),
    (
        "reline",
        &[
            after("held by ", "reline.held_by"),
            value("reline.border"),
            value("reline.item"),
            value("reline.other_item").comma(),
        ],
    ),
    (
        "repair",
        &[
            answer(
                "repair.fit_together",
                "pieces go together",
                "pieces do not go together",
            ),
            value("repair.cause"),
            answer("repair.broke_before", "broke there before", "first break").comma(),
            value("repair.item"),
            value("repair.other_item").comma(),
        ],
    ),
    (
        "remount",
        &[
            after("casts ", "remount.casts_at"),
            after("ground in by ", "remount.grind_by"),
            after("not the ", "remount.spare_cusps").comma(),
            after("pin may sink ", "remount.pin_drop_max_mm"),
            after("upper ", "remount.upper_item"),
            after("lower ", "remount.lower_item").comma(),
        ],
    ),
    (
        "rims",
        &[
            after("front upper ", "rims.upper_front_mm"),
            after("lower ", "rims.lower_front_mm").comma(),
            after("width behind ", "rims.back_width_mm"),
            after("base ", "rims.base"),
        ],
    ),
    (
        "opposing",
        &[
            after("bites on ", "opposing.surface"),
            answer(
                "opposing.may_grind",
                "may be ground by the dentist",
                "not to be ground",
            ),
            value("opposing.grind_where").colon(),
        ],
    ),
    (
        "cast_trim",
        &[
            value("cast_trim.by"),
            value("cast_trim.level").then(),
            after("facial ", "cast_trim.facial_mm").comma(),
            after("palatal ", "cast_trim.palatal_mm").comma(),
            answer("cast_trim.bone", "bone reduced too", "bone untouched"),
            answer(
                "cast_trim.photo",
                "cast photographed uncut",
                "no photograph of the cast",
            ),
            answer("cast_trim.stent", "clear stent", "no clear stent"),
        ],
    ),
    (
        "pattern",
        &[
            value("pattern.source"),
            value("pattern.rule").comma(),
            answer(
                "pattern.may_alter",
                "the lab may alter it",
                "not to be altered",
            ),
        ],
    ),
    (
        PATTERN_FACTS,
        &[
            after("worn since ", "pattern.worn_since"),
            after("last corrected ", "pattern.last_corrected"),
            after("keep: ", "pattern.keep"),
        ],
    ),
    (
        "scan_set",
        &[
            after("lower to upper ", "scan_set.joined_by"),
            after("measured width ", "scan_set.width_checked_mm"),
        ],
    ),
    (
        "duplicate",
        &[
            after("upper ", "duplicate.upper_item"),
            after("lower ", "duplicate.lower_item").comma(),
            after("made ", "duplicate.made_on"),
            after("by ", "duplicate.made_by").then(),
            value("duplicate.flask"),
            value("duplicate.filling").comma(),
            after("pot upper ", "duplicate.upper_minutes"),
            after("lower ", "duplicate.lower_minutes").comma(),
            after("at ", "duplicate.water").then(),
            value("duplicate.resin"),
        ],
    ),
    (
        "jaw",
        &[
            value("jaw.position"),
            value("jaw.material").comma(),
            value("jaw.taken_on").comma(),
            value("jaw.taken_at").then(),
            answer(
                "jaw.at_final_vertical",
                "at this OVD",
                "not at the final OVD",
            )
            .comma(),
            answer("jaw.keyed", "keyed", "not keyed"),
            value("jaw.grooves").colon(),
            after("thickness ", "jaw.thickness_mm"),
            after("seat ", "jaw.seating"),
        ],
    ),
    (
        "facebow",
        &[
            answer("facebow.made", "", "none made"),
            after("record ", "facebow.record_id"),
            value("facebow.item").comma(),
            after("on the ", "facebow.plane"),
            value("facebow.third_point").comma(),
            after("to ", "facebow.tragus_point").then(),
            answer(
                "facebow.midline_captured",
                "midline captured",
                "midline not captured",
            ),
            answer(
                "facebow.kept_mounting",
                "mounting kept at the lab",
                "no mounting kept",
            ),
            answer(
                "facebow.fork_returns",
                "fork comes back",
                "fork does not come back",
            ),
        ],
    ),
    (
        "guidance",
        &[
            value("guidance.articulator"),
            value("guidance.source").comma(),
            value("guidance.item").then(),
            after("condyles right ", "guidance.condylar_right"),
            after("left ", "guidance.condylar_left").comma(),
            after("Bennett right ", "guidance.lateral_right"),
            after("left ", "guidance.lateral_left").comma(),
            after("on the ", "guidance.plane"),
            after("protrusion ", "guidance.advance_mm"),
            after("drop ", "guidance.drop_mm").comma(),
            after("table ", "guidance.incisal_table"),
            after("pin ", "guidance.pin_mm"),
        ],
    ),
    (
        "plane",
        &[
            after("front ", "plane.front"),
            after("back ", "plane.back").comma(),
            after("pad ", "plane.pad_percent"),
            after("sides differ by ", "plane.tilt_mm"),
            after("lower on the ", "plane.lower_side").comma(),
            after("curve ", "plane.compensating_mm"),
        ],
    ),
    (
        "anterior",
        &[
            after("upper ", "anterior.upper_mould"),
            after("lower ", "anterior.lower_mould").comma(),
            value("anterior.choice"),
            value("anterior.material").comma(),
            value("anterior.arrangement"),
            after("upper six ", "anterior.width_mm"),
            value("anterior.width_method").then(),
            answer(
                "anterior.midline",
                "midline as marked",
                "midline not as marked",
            ),
            after("midline moves ", "anterior.midline_offset_mm"),
            after("to the ", "anterior.midline_side").then(),
            after("edge below the lip ", "anterior.incisal_show_mm"),
            after("edge changes ", "anterior.incisal_change_mm"),
            after("smile line ", "anterior.smile_line"),
            after("lip support ", "anterior.lip_support"),
            value("anterior.lip_support_mm").then(),
            after("gap ", "anterior.diastema_mm"),
            value("anterior.form"),
        ],
    ),
    (
        "posterior",
        &[
            after("upper ", "posterior.upper_mould"),
            after("lower ", "posterior.lower_mould").comma(),
            value("posterior.choice"),
            value("posterior.block_shape"),
            after("teeth upper ", "posterior.teeth_upper"),
            after("lower ", "posterior.teeth_lower").comma(),
            after("leave out ", "posterior.left_out"),
            value("posterior.material"),
            after("cusps ", "posterior.cusp_angle"),
            after("cusps upper ", "posterior.cusp_upper"),
            after("lower ", "posterior.cusp_lower").comma(),
            after("canine to pad ", "posterior.length_mm"),
            answer("posterior.narrow", "narrow", "not narrowed"),
        ],
    ),
    (
        "occlusion",
        &[
            value("occlusion.scheme"),
            after("overjet ", "occlusion.overjet_mm"),
            after("overbite ", "occlusion.overbite_mm").comma(),
            after("clear in front by ", "occlusion.front_clearance_mm"),
            after("posterior overlap ", "occlusion.posterior_overlap_mm"),
            after("cross-bite ", "occlusion.cross_bite"),
            after("guidance ", "occlusion.angle"),
        ],
    ),
    (
        "shade",
        &[
            value("shade.guide"),
            value("shade.tab").then(),
            after("posterior ", "shade.posterior_tab").comma(),
            value("shade.source"),
            answer("shade.tab_enclosed", "tab enclosed", "tab not enclosed"),
            value("shade.light"),
            value("shade.date").comma(),
            value("shade.time").then(),
            value("shade.chosen_by"),
            answer(
                "shade.approved",
                "patient approves",
                "not approved by the patient",
            ),
            answer("shade.photo", "photo enclosed", ""),
        ],
    ),
    (
        "base_shade",
        &[
            value("base_shade.guide"),
            value("base_shade.code").then(),
            value("base_shade.stippling"),
            value("base_shade.festooning").comma(),
            answer("base_shade.rugae", "rugae", "no rugae").comma(),
            after("gum line ", "base_shade.gum_line_mm"),
            answer("base_shade.fibres", "fibers", "no fibers"),
            value("base_shade.characterisation"),
        ],
    ),
    (
        "seal",
        &[
            value("seal.by"),
            value("seal.shape").comma(),
            value("seal.position"),
            after("middle ", "seal.depth_mid_mm"),
            after("right ", "seal.depth_right_mm").comma(),
            after("left ", "seal.depth_left_mm").comma(),
            after("width ", "seal.width_mm"),
        ],
    ),
    (
        "borders",
        &[
            value("borders.order"),
            after("roll ", "borders.thickness_mm").comma(),
            after("upper back ", "borders.posterior_upper"),
            after("pads ", "borders.pad_cover"),
            after("lingual ", "borders.lingual_flange"),
            after("frena ", "borders.frena"),
            after("tori ", "borders.tori"),
            answer("borders.papilla", "papilla relieved", ""),
            answer("borders.mid_palate", "mid-palate relieved", ""),
            answer("borders.mental", "mental foramina relieved", ""),
        ],
    ),
    (
        "impression",
        &[
            value("impression.source"),
            value("impression.material").comma(),
            after("in the mouth from ", "impression.placed_on"),
            value("impression.placed_at").then(),
            after("until ", "impression.removed_on").then(),
            value("impression.removed_at").then(),
            after("keeps ", "impression.keeps_hours"),
            answer(
                "impression.keep_surface",
                "keep it untouched",
                "it may be touched",
            ),
            after("pour ", "impression.pour_by"),
            value("impression.tray"),
            after("tray short by ", "impression.tray_short_mm"),
            after("spacer ", "impression.tray_spacer_mm"),
            after("land ", "impression.land_mm"),
            after("block out ", "impression.undercuts"),
        ],
    ),
    (
        "base",
        &[
            value("base.material"),
            value("base.product").comma(),
            value("base.process").comma(),
            value("base.strengthening"),
            value("base.alloy").comma(),
            after("palate ", "base.palate_mm"),
            answer("base.metal_palate", "metal palate", ""),
            answer("base.soft_liner", "soft liner", "no soft liner"),
            after("not with ", "base.without"),
        ],
    ),
    (
        "finish",
        &[
            value("finish.polished"),
            after("tongue space ", "finish.tongue_space"),
            answer("finish.lab_remount", "lab remount", "no lab remount"),
            answer(
                "finish.remount_casts",
                "back on remount casts",
                "not on remount casts",
            ),
            answer(
                "finish.keep_index",
                "keep mounting and index",
                "mounting need not be kept",
            ),
            after("for ", "finish.keep_months").then(),
            answer("finish.wet_packing", "sent moist", "need not be sent moist"),
            answer("finish.check_borders", "borders checked", ""),
            answer("finish.check_occlusion", "contacts checked and marked", ""),
            answer("finish.photos", "photos first", ""),
        ],
    ),
    (
        "marking",
        &[
            value("marking.text"),
            value("marking.carries"),
            value("marking.place").comma(),
            after("set ", "marking.set_letter"),
            value("marking.year").comma(),
            answer("marking.offered", "offered", "not offered"),
            value("marking.answer").comma(),
        ],
    ),
    (
        "spare",
        &[
            value("spare.arch"),
            after("copied from ", "spare.copied_upper").comma(),
            after("and ", "spare.copied_lower").then(),
            value("spare.teeth"),
            value("spare.tooth_shade").then(),
            answer("spare.date_mark", "date mark", "no date mark"),
            after("kept by ", "spare.keeper"),
            value("spare.stored").comma(),
            after("made by the ", "spare.made_by"),
        ],
    ),
    (
        "enclosures",
        &[
            after("boxes: ", "enclosures.boxes"),
            answer("enclosures.hard_box", "hard", "not hard").comma(),
            answer("enclosures.moist", "packed moist", "packed dry"),
            after("dry since ", "enclosures.dry_since"),
        ],
    ),
    (
        "dates",
        &[
            after("due ", "dates.wanted"),
            value("dates.wanted_time").then(),
            after("insertion ", "dates.insertion"),
            after("first check ", "dates.first_check"),
            after("sent ", "dates.sent"),
            value("dates.sent_at").then(),
            answer("dates.rush", "rush", "no rush"),
            answer(
                "dates.may_split",
                "one arch may come first",
                "both arches together",
            ),
        ],
    ),
    (
        "law",
        &[
            answer(
                "law.second_lab",
                "a second lab may share the work",
                "no second lab",
            ),
            answer(
                "law.second_lab_authorized",
                "authorized",
                "not authorized yet",
            )
            .comma(),
            answer("law.board_form", "board form filled in", "no board form"),
            answer(
                "law.number_on_models",
                "number on every model",
                "no number on models",
            ),
            answer(
                "law.patient_on_paper",
                "name and address on paper",
                "no name on paper",
            ),
        ],
    ),
    (
        "remarks",
        &[
            after("ask first if ", "remarks.call_before"),
            value("remarks.ask_by"),
            value("remarks.remarks"),
        ],
    ),
];
