//! The values that a course begins with: methods, yes and no. No product, no attestation, no statement of risk,
//! no height, no depth of a seal, no scheme, no shade.
//!
//! Common practice, no source, but where a row says otherwise. Each office may want others: every one of them can be
//! written over, and the page before the signature counts and names them.

use super::marks::is_marked;
use crate::domain::prescription::parts::Course;
use std::collections::BTreeMap;
use std::sync::LazyLock;

const SEATING: &str = "upper first, then the record without pressure, then the lower";
const TEETH_FIRST: &str =
    "the jaw with teeth first, then the record without pressure, then the other jaw";
const POUR: &str = "on arrival, type 3 gypsum";

/// One mark for each course, in the order of [`Course::ALL`], with a form key and its raw word.
const SET: &[(&str, &str, &str)] = &[
    // With a bite. A height is kept as it was recorded; by how much it is, only readings say.
    ("##..##.##.#..#", "vertical.method", "nose_chin"),
    ("##..##.##.#..#", "vertical.order", "keep"),
    ("#...##.##....#", "jaw.position", "centric_relation"),
    ("#...##..#....#", "jaw.seating", SEATING),
    (".......#......", "jaw.seating", TEETH_FIRST),
    (".#............", "facebow.made", "no"),
    ("##..#..##....#", "facebow.plane", "camper"),
    // The lower border was nearest to the occlusal plane in one study, the upper in another; from memory.
    ("##..#..##....#", "facebow.tragus_point", "lower"),
    ("##..#..##....#", "facebow.fork_returns", "yes"),
    ("##..#..##....#", "guidance.source", "average"),
    ("#...#..##....#", "guidance.articulator", "semi_adjustable"),
    (".#............", "guidance.articulator", "virtual"),
    // With teeth.
    ("#...#..##....#", "anterior.material", "cross_linked"),
    (".#............", "anterior.material", "milled"),
    ("#...#..##....#", "posterior.material", "cross_linked"),
    (".#............", "posterior.material", "milled"),
    ("##..#..##....#", "posterior.teeth_upper", "14"),
    ("##..#..##....#", "posterior.teeth_lower", "14"),
    ("#.......#.....", "posterior.block_shape", "replace"),
    ("##..#..###...#", "shade.light", "daylight"),
    ("##..#..##....#", "shade.chosen_by", "dentist_and_patient"),
    // Teeth for which there is no pattern.
    ("....#..#.....#", "plane.front", "interpupillary"),
    ("....#..#.....#", "plane.back", "retromolar"),
    ("....#..#.....#", "plane.pad_percent", "60"),
    ("....#..#.....#", "occlusion.overjet_mm", "2"),
    ("....#..#.....#", "occlusion.overbite_mm", "1"),
    ("....#..#.....#", "occlusion.posterior_overlap_mm", "2"),
    ("....#..#.....#", "occlusion.front_clearance_mm", "0.5"),
    // The pattern is lent, not given.
    ("#.......##....", "pattern.may_alter", "no"),
    (".....#........", "pattern.may_alter", "yes"),
    // With a base. What a single denture is strengthened with is asked.
    ("#.....###.#..#", "base.material", "heat_cured"),
    (".#............", "base.material", "milled"),
    (".........#.#..", "base.material", "cold_cured"),
    ("#.....###.#..#", "base.process", "compression"),
    (".#............", "base.process", "milling"),
    (".........#....", "base.process", "pour"),
    ("...........#..", "base.process", "lab_choice"),
    ("##....#..#...#", "base.strengthening", "none"),
    ("##....###....#", "base.palate_mm", "2"),
    ("##....###....#", "base.soft_liner", "no"),
    ("##....###....#", "base_shade.stippling", "slight"),
    ("#.....###....#", "finish.lab_remount", "yes"),
    ("#.....###....#", "finish.remount_casts", "yes"),
    ("#.....###....#", "finish.keep_index", "yes"),
    ("..........###.", "finish.check_occlusion", "yes"),
    ("##....########", "finish.wet_packing", "yes"),
    ("##....####...#", "marking.text", "case number"),
    ("##....####...#", "marking.place", "both"),
    ("##....#.##...#", "spare.teeth", "resin"),
    ("##....#.##...#", "spare.date_mark", "yes"),
    ("##....#.##...#", "spare.keeper", "patient"),
    ("##....#.##...#", "spare.stored", "in water, labeled box"),
    ("##....#.#....#", "spare.made_by", "office"),
    (".........#....", "spare.made_by", "lab"),
    // With a surface.
    ("#..#...##.#..#", "impression.pour_by", POUR),
    ("#..#...##.#..#", "impression.bead_and_box", "yes"),
    ("#..#...##.#..#", "impression.border_roll_mm", "3"),
    ("#..#...##.#..#", "impression.cast_keep", "yes"),
    // 1 mm in one teaching text.
    ("..#...........", "impression.tray_short_mm", "2"),
    ("..#...........", "impression.tray_spacer_mm", "0"),
    ("...#..........", "impression.land_mm", "3"),
    ("......#.......", "seal.shape", "butterfly"),
    ("......#.......", "seal.width_mm", "4"),
    ("......#.......", "borders.thickness_mm", "2.5"),
    // Rims: 22 mm above and 18 mm below are taught, by an excerpt of a textbook site; the width from memory.
    ("...#..........", "rims.upper_front_mm", "22"),
    ("...#..........", "rims.lower_front_mm", "18"),
    ("...#..........", "rims.back_width_mm", "10"),
    ("...#..........", "rims.base", "light_cured"),
    // Dentures that come back.
    ("..........#...", "reline.held_by", "jig"),
    ("..........#...", "reline.border", "keep"),
    ("............#.", "remount.grind_by", "lab"),
    ("............#.", "remount.spare_cusps", "upper_palatal"),
    ("............#.", "remount.pin_drop_max_mm", "0.5"),
    (".......#......", "opposing.may_grind", "no"),
    // Immediate.
    (".......#......", "cast_trim.level", "gum_margin"),
    (".......#......", "cast_trim.bone", "no"),
    (".......#......", "cast_trim.photo", "yes"),
    (".......#......", "cast_trim.stent", "yes"),
    // There and back.
    ("#.############", "enclosures.boxes", "1"),
    ("#.############", "enclosures.hard_box", "yes"),
    ("#.......#####.", "enclosures.moist", "yes"),
    ("#.......##....", "back.pattern", "yes"),
    ("#.###..##....#", "back.casts", "yes"),
    ("#.....###....#", "back.remount_casts", "yes"),
    ("#...#..##....#", "back.records", "yes"),
    ("##....######.#", "back.statement", "yes"),
    ("##..#.####...#", "dates.may_split", "no"),
    ("##############", "law.second_lab", "no"),
    ("##############", "remarks.ask_by", "question"),
];

type Pairs = Vec<(&'static str, &'static str)>;

static BY_COURSE: LazyLock<BTreeMap<Course, Pairs>> = LazyLock::new(|| {
    let of = |course: Course| {
        let rows = SET.iter().filter(|(marks, ..)| is_marked(marks, course));
        (course, rows.map(|(_, key, word)| (*key, *word)).collect())
    };
    Course::ALL.iter().map(|course| of(*course)).collect()
});

/// Form keys with their raw words.
pub fn starting_set(course: Course) -> &'static [(&'static str, &'static str)] {
    BY_COURSE.get(&course).map_or(&[], Vec::as_slice)
}

/// What a value of the set waits for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Needs {
    /// Another field says one of these words.
    Word(&'static str, &'static [&'static str]),
    /// One of these fields says something.
    AnyOf(&'static [&'static str]),
}

const MADE: Needs = Needs::Word("facebow.made", &["yes"]);
const RECORDED: Needs = Needs::AnyOf(&["jaw.item", "jaw.material", "jaw.taken_on"]);
const SHADED: Needs = Needs::AnyOf(&["shade.tab", "shade.lightness"]);
const MARKED: Needs = Needs::Word("marking.answer", &["accepted"]);
const SPARED: Needs = Needs::Word("spare.arch", &["upper", "lower", "both"]);
const TAKEN: Needs = Needs::Word("impression.source", &["functional", "impression"]);
const CUT: Needs = Needs::Word("cast_trim.by", &["lab"]);
const CARVED: Needs = Needs::Word("seal.by", &["lab"]);

/// Values that would say something of what is not there: each with the field that shows that it is.
const NEEDS: &[(&str, &str, Needs)] = &[
    ("jaw.position", "", RECORDED),
    ("jaw.seating", "", RECORDED),
    ("facebow.plane", "", MADE),
    ("facebow.tragus_point", "", MADE),
    ("facebow.fork_returns", "", MADE),
    ("guidance.articulator", "semi_adjustable", MADE),
    (
        "plane.pad_percent",
        "",
        Needs::Word("plane.back", &["retromolar"]),
    ),
    ("shade.light", "", SHADED),
    ("shade.chosen_by", "", SHADED),
    (
        "base.process",
        "compression",
        Needs::Word("base.material", &["heat_cured", "high_impact"]),
    ),
    (
        "base.process",
        "milling",
        Needs::Word("base.material", &["milled"]),
    ),
    (
        "base.process",
        "pour",
        Needs::Word("base.material", &["cold_cured"]),
    ),
    ("marking.text", "", MARKED),
    ("marking.place", "", MARKED),
    ("spare.teeth", "", SPARED),
    ("spare.date_mark", "", SPARED),
    ("spare.keeper", "", SPARED),
    ("spare.stored", "", SPARED),
    ("spare.made_by", "", SPARED),
    ("impression.pour_by", "", TAKEN),
    ("impression.bead_and_box", "", TAKEN),
    ("impression.border_roll_mm", "", TAKEN),
    ("impression.land_mm", "", TAKEN),
    ("seal.shape", "", CARVED),
    ("seal.width_mm", "", CARVED),
    ("cast_trim.level", "", CUT),
    ("cast_trim.photo", "", CUT),
];

/// What a value of the set waits for; none for most.
pub fn needs(key: &str, word: &str) -> Option<Needs> {
    let row = NEEDS
        .iter()
        .find(|(one, only, _)| *one == key && (only.is_empty() || *only == word));
    row.map(|(_, _, needs)| *needs)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::{field_spec, read};
    use crate::domain::values::tooth::Numbering;

    /// What only somebody who was there can say, what names a product, and what is a number of this very mouth.
    const NEVER: &[&str] = &[
        // Attestations.
        "jaw.keyed",
        "jaw.at_final_vertical",
        "shade.approved",
        "marking.answer",
        "marking.offered",
        "facebow.midline_captured",
        "facebow.kept_mounting",
        "scans.0.looked_at",
        "enclosed.0.cleaned",
        "enclosed.0.rinsed",
        "enclosed.0.agent",
        "enclosed.0.minutes",
        "shade.photo",
        "law.second_lab_authorized",
        "law.board_form",
        "law.patient_on_paper",
        "approval.arrangement",
        "approval.height",
        "approval.by",
        "repair.fit_together",
        "repair.broke_before",
        "repair.cause",
        // Statements of risk.
        "order.try_in_skipped",
        "dates.rush",
        // Products.
        "base.product",
        "duplicate.resin",
        "anterior.upper_mould",
        "anterior.lower_mould",
        "posterior.upper_mould",
        "posterior.lower_mould",
        // Heights and what depends on them.
        "vertical.rest_mm",
        "vertical.occlusal_mm",
        "vertical.change_mm",
        "vertical.closest_speaking_mm",
        "readings.0.rest_mm",
        "readings.0.occlusal_mm",
        "jaw.thickness_mm",
        "guidance.pin_mm",
        // Depths of a seal and of a cut.
        "seal.by",
        "seal.depth_mid_mm",
        "seal.depth_right_mm",
        "seal.depth_left_mm",
        "cast_trim.by",
        "cast_trim.facial_mm",
        "cast_trim.palatal_mm",
        // Scheme and shade.
        "occlusion.scheme",
        "shade.tab",
        "shade.guide",
        "shade.posterior_tab",
        "base_shade.code",
        "base_shade.guide",
        "spare.arch",
        "spare.tooth_shade",
        // Guidance values belong to a record or an articulator.
        "guidance.condylar_right",
        "guidance.condylar_left",
        "guidance.lateral_right",
        "guidance.lateral_left",
        "dates.wanted",
        "dates.insertion",
        "dates.first_check",
    ];

    #[test]
    fn every_value_is_read_without_a_fault_and_stands_once() {
        for course in Course::ALL {
            let pairs = starting_set(*course);
            let raw: Raw = pairs
                .iter()
                .map(|(key, word)| ((*key).to_owned(), (*word).to_owned()))
                .collect();
            assert_eq!(raw.len(), pairs.len(), "{}", course.word());
            assert_eq!(
                read(&raw, Numbering::Iso3950).faults,
                [],
                "{}",
                course.word()
            );
        }
        for (marks, key, _) in SET {
            assert_eq!(marks.len(), Course::ALL.len(), "{key}");
        }
    }

    #[test]
    fn nothing_is_in_a_set_that_only_the_dentist_can_say() {
        for key in NEVER {
            assert!(field_spec(key).is_some(), "{key}");
            for course in Course::ALL {
                assert!(
                    starting_set(*course).iter().all(|(one, _)| one != key),
                    "{key} in {}",
                    course.word()
                );
            }
        }
    }

    #[test]
    fn what_waits_for_another_field_is_in_a_set_and_so_is_not_that_field_by_itself() {
        for (key, only, needs) in NEEDS {
            let in_set = SET
                .iter()
                .any(|(_, one, word)| one == key && (only.is_empty() || only == word));
            assert!(in_set, "{key}");
            let keys: &[&str] = match needs {
                Needs::Word(other, _) => &[*other],
                Needs::AnyOf(others) => others,
            };
            for other in keys {
                assert!(field_spec(other).is_some(), "{other}");
            }
        }
    }
}
