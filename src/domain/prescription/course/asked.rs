//! The fields that a course asks: they stand open under the line of their section. What is not asked follows from
//! the record, the pattern or the course, or is seldom needed; it is there in the opened part.

use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::parts::Course;

/// One mark for each course, in the order of [`Course::ALL`]: `#` asks. Common practice, no source: what no
/// pattern shows and no record holds has to come from whoever saw the patient.
const ASKED: &[(&str, &str)] = &[
    ("order.course", "##############"),
    ("order.try_in_skipped", ".......##....#"),
    ("pieces.#.arch", ".............#"),
    ("pieces.#.stage", ".............#"),
    ("pieces.#.description", ".............#"),
    ("pieces.#.materials", ".............#"),
    ("pieces.#.opposing", ".......##....#"),
    ("approval.item_upper", "......#......."),
    ("approval.item_lower", "......#......."),
    ("approval.arrangement", ".....##......."),
    ("approval.height", ".....##......."),
    ("approval.by", ".....##......."),
    ("reline.held_by", "..........#..."),
    ("repair.fit_together", "...........#.."),
    ("repair.cause", "...........#.."),
    ("repair.broke_before", "...........#.."),
    ("repairs.#.what", "...........#.."),
    ("repairs.#.place", "...........#.."),
    ("repairs.#.tooth", "...........#.."),
    ("repairs.#.tooth_enclosed", "...........#.."),
    ("remount.casts_at", "............#."),
    ("remount.grind_by", "............#."),
    ("remount.spare_cusps", "............#."),
    ("remount.pin_drop_max_mm", "............#."),
    ("rims.upper_front_mm", "...#.........."),
    ("rims.lower_front_mm", "...#.........."),
    ("rims.back_width_mm", "...#.........."),
    ("rims.base", "...#.........."),
    ("opposing.surface", ".......##....."),
    ("opposing.may_grind", ".......##....."),
    ("extractions.#.tooth", ".......#......"),
    ("extractions.#.when", ".......#......"),
    ("cast_trim.by", ".......#......"),
    ("cast_trim.facial_mm", ".......#......"),
    ("cast_trim.photo", ".......#......"),
    ("cast_trim.stent", ".......#......"),
    ("pattern.source", ".............#"),
    ("pattern.rule", ".............#"),
    ("pattern.upper_item", ".............#"),
    ("pattern.lower_item", ".............#"),
    ("changes.#.what", "##...#..#....#"),
    ("changes.#.tooth", "##...#..#....#"),
    ("changes.#.direction", "##...#..#....#"),
    ("changes.#.mm", "##...#..#....#"),
    ("scans.#.shows", ".#............"),
    ("scans.#.units", ".#............"),
    ("scans.#.looked_at", ".#............"),
    ("scan_set.joined_by", ".#............"),
    ("scan_set.width_checked_mm", ".#............"),
    ("duplicate.flask", "#.......#....#"),
    ("duplicate.filling", "#.......#....#"),
    ("duplicate.upper_minutes", "#.......#....#"),
    ("duplicate.lower_minutes", "#.......#....#"),
    ("duplicate.sheet_minutes", "#.......#....#"),
    ("readings.#.rest_mm", "##..##.##.#..#"),
    ("readings.#.occlusal_mm", "##..##.##.#..#"),
    ("jaw.position", ".#..#..#....##"),
    ("jaw.material", "#...##.##...##"),
    ("jaw.taken_at", "#...##.##...##"),
    ("jaw.at_final_vertical", "##..##.##...##"),
    ("jaw.keyed", "#...##.##...##"),
    ("jaw.grooves", "#...##.##...##"),
    ("facebow.made", "#...#..##...##"),
    ("facebow.record_id", "#...#..##....#"),
    ("facebow.midline_captured", "#...#..##....#"),
    ("facebow.kept_mounting", "............#."),
    ("plane.front", "....#..#.....#"),
    ("plane.back", "....#..#.....#"),
    ("anterior.upper_mould", "#...#..##....#"),
    ("anterior.lower_mould", "#...#..##....#"),
    ("anterior.width_mm", "....#..#.....#"),
    ("anterior.width_method", "....#..#.....#"),
    ("anterior.arrangement", "....#..#.....#"),
    ("anterior.midline", "....#..#.....#"),
    ("anterior.incisal_show_mm", "....#..#.....#"),
    ("anterior.smile_line", "....#..#.....#"),
    ("posterior.upper_mould", "#...#..##....#"),
    ("posterior.lower_mould", "#...#..##....#"),
    ("posterior.length_mm", "....#..#.....#"),
    ("posterior.cusp_angle", "#...#..##....#"),
    ("occlusion.scheme", "##..#..##...##"),
    ("shade.guide", "##..#..###...#"),
    ("shade.tab", "##..#..###...#"),
    ("shade.approved", "##..#..##....#"),
    ("base_shade.guide", "##....####.#.#"),
    ("base_shade.code", "##....####.#.#"),
    ("seal.by", "......##.....#"),
    ("seal.position", "......##.....#"),
    ("seal.depth_mid_mm", "......##.....#"),
    ("seal.depth_right_mm", "......##.....#"),
    ("seal.depth_left_mm", "......##.....#"),
    ("borders.order", "...#..##..#..#"),
    ("reliefs.#.place", "...#..##.....#"),
    ("reliefs.#.mm", "...#..##.....#"),
    ("impression.source", ".............#"),
    ("impression.material", "####...##.#..#"),
    ("impression.removed_on", "#..#...##.#..#"),
    ("impression.removed_at", "#..#...##.#..#"),
    ("impression.keeps_hours", "#.##...##.#..#"),
    ("impression.land_mm", "...#.........."),
    ("impression.tray", "..#..........."),
    ("impression.tray_short_mm", "..#..........."),
    ("impression.tray_spacer_mm", "..#..........."),
    ("impression.tray_relief", "..#..........."),
    ("impression.undercuts", "..#..........."),
    ("base.material", ".#...........#"),
    ("base.process", ".#...........#"),
    ("base.strengthening", ".......##..#.#"),
    ("base.soft_liner", "..........#..."),
    ("marking.answer", "##....####...#"),
    ("marking.set_letter", ".........#...."),
    ("spare.arch", "##....#.##...#"),
    ("spare.copied_upper", ".........#...."),
    ("spare.copied_lower", ".........#...."),
    ("enclosed.#.tag", "#.############"),
    ("enclosed.#.agent", "#.############"),
    ("enclosed.#.minutes", "#.############"),
    ("dates.wanted", "##############"),
    ("dates.insertion", "##....########"),
    ("dates.first_check", ".......#......"),
    ("remarks.call_before", "##############"),
    ("remarks.remarks", "##############"),
];

/// A field by whose answer others are asked.
#[derive(Debug, PartialEq, Eq)]
pub struct Caller {
    /// The key of the field.
    pub key: &'static str,
    /// The word that it takes; empty where any answer does.
    pub word: &'static str,
}

/// Any answer of this field.
const fn any(key: &'static str) -> Caller {
    Caller { key, word: "" }
}

/// A yes to this field.
const fn yes(key: &'static str) -> Caller {
    Caller { key, word: "yes" }
}

/// What is asked once another field of the section is answered, which stands before it. Common practice, no source.
const CALLED_FOR: &[(&str, Caller)] = &[
    ("jaw.material", any("jaw.position")),
    ("jaw.taken_at", any("jaw.position")),
    ("jaw.at_final_vertical", any("jaw.position")),
    ("jaw.keyed", any("jaw.position")),
    ("jaw.grooves", yes("jaw.keyed")),
    ("facebow.record_id", yes("facebow.made")),
    ("facebow.midline_captured", yes("facebow.made")),
    // A lab's list of moulds says the rest of a set that is named by one.
    ("anterior.lower_mould", any("anterior.upper_mould")),
    ("anterior.width_method", any("anterior.width_mm")),
    ("posterior.lower_mould", any("posterior.upper_mould")),
    ("posterior.cusp_angle", any("posterior.upper_mould")),
    ("shade.approved", any("shade.tab")),
    ("seal.position", any("seal.by")),
    ("seal.depth_mid_mm", any("seal.by")),
    ("seal.depth_right_mm", any("seal.by")),
    ("seal.depth_left_mm", any("seal.by")),
    ("cast_trim.facial_mm", any("cast_trim.by")),
    ("impression.removed_on", any("impression.material")),
    ("impression.removed_at", any("impression.material")),
    ("impression.keeps_hours", any("impression.material")),
    ("impression.tray_short_mm", any("impression.tray")),
    ("impression.tray_spacer_mm", any("impression.tray")),
    ("impression.tray_relief", any("impression.tray")),
];

/// What follows from another field: the one that is asked in its place.
const FOLLOWS: &[(&str, &str)] = &[
    ("vertical.rest_mm", "readings.#.rest_mm"),
    ("vertical.occlusal_mm", "readings.#.occlusal_mm"),
    ("anterior.choice", "anterior.upper_mould"),
    ("posterior.choice", "posterior.upper_mould"),
    ("shade.source", "shade.tab"),
    ("marking.offered", "marking.answer"),
];

/// What is asked of a row of a list for some answers of another field of that row, and is nothing of the others. Common
/// practice, no source.
const OF_SOME_ROWS: &[(&str, &str, &[&str])] = &[
    (
        "repairs.#.tooth",
        "repairs.#.what",
        &["tooth_out", "tooth_broken", "tooth_added"],
    ),
    (
        "repairs.#.tooth_enclosed",
        "repairs.#.what",
        &["tooth_out", "tooth_broken"],
    ),
    ("changes.#.tooth", "changes.#.what", &["tooth"]),
];

/// Whether a field of a row means anything beside what the row says already; while it says nothing yet, it does.
pub fn is_of_row(key: &str, row: Option<usize>, fields: &Fields) -> bool {
    let found = OF_SOME_ROWS.iter().find(|(own, ..)| *own == key);
    let (Some((_, by, words)), Some(row)) = (found, row) else {
        return true;
    };
    let said = fields.get(&by.replacen('#', &row.to_string(), 1));
    let said = said.map_or("", |text| text.trim());
    said.is_empty() || words.contains(&said)
}

/// Whether what fills itself here is half of what the lab needs, so that it stays open with what it says: of a bite block
/// that was noted at the chair as gone up or down, nobody at the lab can tell whether the bite opens or closes.
pub fn is_half_said(key: &str, row: Option<usize>, fields: &Fields) -> bool {
    let Some(row) = row.filter(|_| key == "changes.#.direction") else {
        return false;
    };
    let says = |field: &str, words: [&str; 2]| {
        let said = fields.get(&format!("changes.{row}.{field}"));
        said.is_some_and(|text| words.contains(&text.trim()))
    };
    says("what", ["right_block", "left_block"]) && says("direction", ["up", "down"])
}

impl Caller {
    fn answer<'a>(&self, fields: &'a Fields) -> &'a str {
        fields.get(self.key).map_or("", |text| text.trim())
    }

    fn is_heard(&self, fields: &Fields) -> bool {
        let answer = self.answer(fields);
        !answer.is_empty() && (self.word.is_empty() || answer == self.word)
    }
}

/// Whether the field stands open now: what is asked of a thing waits until there is one, and what another answer calls
/// for until it is given.
pub fn asks_now(course: Course, key: &str, fields: &Fields) -> bool {
    let is_called = || {
        caller(key).is_none_or(|caller| {
            let is_silent = !asks(course, caller.key) && caller.answer(fields).is_empty();
            is_silent || caller.is_heard(fields)
        })
    };
    asks(course, key) && !waits(key, fields) && !is_on_its_thing(key, fields) && is_called()
}

/// The field whose answer calls for this one, while it is asked and not answered.
pub fn called_by(course: Course, key: &str, fields: &Fields) -> Option<&'static Caller> {
    let is_needless = waits(key, fields) || is_on_its_thing(key, fields);
    let caller = caller(key).filter(|_| asks(course, key) && !is_needless);
    caller.filter(|caller| asks(course, caller.key) && caller.answer(fields).is_empty())
}

fn caller(key: &str) -> Option<&'static Caller> {
    let row = CALLED_FOR.iter().find(|(called, _)| *called == key);
    row.map(|(_, caller)| caller)
}

/// Whether another field is asked from which this one follows, so that nobody has to be shown both.
pub fn follows_from_asked(course: Course, key: &str) -> bool {
    let row = FOLLOWS.iter().find(|(follows, _)| *follows == key);
    row.is_some_and(|(_, other)| asks(course, other) && !asks(course, key))
}

/// Whether a course asks this field, one that it follows from, or any field of this list.
pub fn asks_of(course: Course, key: &str) -> bool {
    let of_it = |asked: &str| {
        let rest = asked.strip_prefix(key);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(".#."))
    };
    let mut asked = ASKED.iter().map(|(asked, _)| *asked);
    let mut follows = FOLLOWS.iter().filter(|(follows, _)| *follows == key);
    asked.any(|asked| of_it(asked) && asks(course, asked))
        || follows.any(|(_, other)| asks(course, other))
}

/// Whether what a field asks about is not there yet: how a duplicate was made is asked once there is one.
fn waits(key: &str, fields: &Fields) -> bool {
    let (upper, lower) = ("duplicate.upper_item", "duplicate.lower_item");
    let is_there = |item: &str| fields.get(item).is_some_and(|tag| !tag.trim().is_empty());
    match key {
        "duplicate.upper_minutes" => !is_there(upper),
        "duplicate.lower_minutes" => !is_there(lower),
        key => key.starts_with("duplicate.") && !is_there(upper) && !is_there(lower),
    }
}

/// Whether the thing on record says what the field asks: a facebow record that has a tag on it needs no mark besides.
fn is_on_its_thing(key: &str, fields: &Fields) -> bool {
    let item = fields.get("facebow.item");
    key == "facebow.record_id" && item.is_some_and(|tag| !tag.trim().is_empty())
}

/// Whether the field stands open in this course. `key` is the entry's key: `vertical.rest_mm`,
/// `changes.#.mm`.
pub fn asks(course: Course, key: &str) -> bool {
    let row = ASKED.iter().find(|(asked, _)| *asked == key);
    row.is_some_and(|(_, marks)| super::marks::is_marked(marks, course))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_a_duplicate_was_made_is_asked_once_there_is_one() {
        let fields = |item: &str| Fields::from([(item.to_owned(), "T-1".to_owned())]);
        for (key, item, is_waiting) in [
            ("duplicate.flask", "pattern.upper_item", true),
            ("duplicate.flask", "duplicate.lower_item", false),
            ("duplicate.upper_minutes", "duplicate.lower_item", true),
            ("duplicate.upper_minutes", "duplicate.upper_item", false),
            ("duplicate.lower_minutes", "duplicate.lower_item", false),
            ("dates.wanted", "pattern.upper_item", false),
        ] {
            assert_eq!(waits(key, &fields(item)), is_waiting, "{key} with {item}");
        }
    }

    #[test]
    fn the_mark_of_a_facebow_record_is_asked_where_no_thing_bears_a_tag() {
        let key = "facebow.record_id";
        let with = |item: &str| {
            let fields = [("facebow.made", "yes"), ("facebow.item", item)];
            Fields::from(fields.map(|(key, text)| (key.to_owned(), text.to_owned())))
        };
        for (item, is_asked) in [("", true), (" ", true), ("T-1", false)] {
            assert_eq!(asks_now(Course::Copy, key, &with(item)), is_asked, "{item}");
            assert!(asks_now(
                Course::Copy,
                "facebow.midline_captured",
                &with(item)
            ));
        }
        let mut silent = with("T-1");
        silent.remove("facebow.made");
        assert_eq!(called_by(Course::Copy, key, &silent), None);
        silent.remove("facebow.item");
        assert!(called_by(Course::Copy, key, &silent).is_some());
    }

    #[test]
    fn a_tooth_is_asked_of_rows_that_are_about_one() {
        for (key, what, is_asked) in [
            ("repairs.#.tooth", "base_broken", false),
            ("repairs.#.tooth", "flange_broken", false),
            ("repairs.#.tooth", "tooth_out", true),
            ("repairs.#.tooth", "tooth_added", true),
            ("repairs.#.tooth", "", true),
            ("repairs.#.tooth_enclosed", "base_cracked", false),
            ("repairs.#.tooth_enclosed", "tooth_added", false),
            ("repairs.#.tooth_enclosed", "tooth_broken", true),
            ("repairs.#.place", "base_broken", true),
            ("changes.#.tooth", "upper_front", false),
            ("changes.#.tooth", "tooth", true),
        ] {
            let list = key.split('.').next().unwrap();
            let fields = Fields::from([(format!("{list}.1.what"), what.to_owned())]);
            assert_eq!(is_of_row(key, Some(1), &fields), is_asked, "{key} {what}");
            // Another row says nothing of it.
            assert!(is_of_row(key, Some(0), &fields));
        }
        for (key, by, words) in OF_SOME_ROWS {
            let spec = all_fields().find(|field| field.key == *by).unwrap();
            let crate::domain::form::Kind::Choice(choices) = spec.kind else {
                panic!("{by} is no choice");
            };
            let is_one = |word: &&&str| choices.iter().any(|(one, _)| *one == **word);
            assert_eq!(words.iter().filter(is_one).count(), words.len(), "{key}");
            assert!(all_fields().any(|field| field.key == *key), "{key}");
        }
    }

    use crate::domain::prescription::course::{SectionPlace, place};
    use crate::domain::prescription::{all_fields, catalogue};

    #[test]
    fn a_block_that_only_goes_up_or_down_stays_asked() {
        for (what, direction, is_half) in [
            ("right_block", "up", true),
            ("left_block", " down ", true),
            ("left_block", "longer_edge", false),
            ("right_block", "", false),
            ("tooth", "up", false),
        ] {
            let fields = Fields::from([
                ("changes.2.what".to_owned(), what.to_owned()),
                ("changes.2.direction".to_owned(), direction.to_owned()),
            ]);
            let said = |key: &str, row| is_half_said(key, row, &fields);
            assert_eq!(
                said("changes.#.direction", Some(2)),
                is_half,
                "{what} {direction}"
            );
            assert!(!said("changes.#.direction", Some(1)) && !said("changes.#.mm", Some(2)));
            assert!(!said("changes.#.direction", None));
        }
    }

    #[test]
    fn where_the_surface_is_asked_its_day_and_time_are_asked_together() {
        for course in Course::ALL {
            let asked = |key: &str| asks(*course, key);
            assert_eq!(
                asked("impression.removed_on"),
                asked("impression.removed_at")
            );
        }
    }

    #[test]
    fn what_an_answer_calls_for_waits_for_it_and_comes_with_it() {
        let fields = |key: &str, text: &str| Fields::from([(key.to_owned(), text.to_owned())]);
        for (key, by, text, is_asked, is_called) in [
            ("jaw.grooves", "jaw.keyed", "", false, true),
            ("jaw.grooves", "jaw.keyed", "yes", true, false),
            ("jaw.grooves", "jaw.keyed", "no", false, false),
            // The position is not asked of a copy: what it would call for is.
            ("jaw.keyed", "jaw.position", "", true, false),
            (
                "anterior.lower_mould",
                "anterior.upper_mould",
                " ",
                false,
                true,
            ),
            (
                "anterior.lower_mould",
                "anterior.upper_mould",
                "Otter",
                true,
                false,
            ),
            ("seal.depth_mid_mm", "seal.by", "", false, false),
        ] {
            let fields = fields(by, text);
            assert_eq!(
                asks_now(Course::Copy, key, &fields),
                is_asked,
                "{key} {text}"
            );
            let called = called_by(Course::Copy, key, &fields);
            assert_eq!(called.is_some(), is_called, "{key} {text}");
        }
        assert!(follows_from_asked(Course::Copy, "vertical.occlusal_mm"));
        assert!(!follows_from_asked(Course::Tray, "vertical.occlusal_mm"));
    }

    #[test]
    fn what_calls_stands_before_what_it_calls_for_and_has_the_word() {
        let place = |key: &str| all_fields().position(|field| field.key == key).unwrap();
        let section = |key: &str| key.split('.').next().unwrap().to_owned();
        for (called, caller) in CALLED_FOR {
            assert!(place(caller.key) < place(called), "{called}");
            assert_eq!(section(caller.key), section(called));
            assert!(!called.contains('#'), "{called}");
            let raw = crate::domain::form::Raw::from([(caller.key.into(), caller.word.into())]);
            let numbering = crate::domain::values::tooth::Numbering::Iso3950;
            let reading = crate::domain::prescription::read(&raw, numbering);
            assert_eq!(reading.faults, [], "{}", caller.key);
            assert!(Course::ALL.iter().any(|course| asks(*course, called)));
        }
        for (follows, other) in FOLLOWS {
            assert!(all_fields().any(|field| field.key == *follows), "{follows}");
            assert!(all_fields().any(|field| field.key == *other), "{other}");
        }
    }

    #[test]
    fn every_key_is_a_field_and_has_a_mark_for_each_course() {
        for (at, (key, marks)) in ASKED.iter().enumerate() {
            assert!(all_fields().any(|field| field.key == *key), "{key}");
            assert_eq!(marks.len(), Course::ALL.len(), "{key}");
            assert!(marks.chars().all(|mark| "#.".contains(mark)), "{key}");
            assert!(marks.contains('#'), "{key}");
            assert!(ASKED.iter().skip(at + 1).all(|(other, _)| other != key));
        }
    }

    #[test]
    fn no_section_is_asked_whose_fields_nobody_asks_but_those_that_fill_themselves() {
        // Yes and no of the starting set, and what is done without being asked.
        let by_themselves = ["guidance", "finish", "back"];
        for section in catalogue() {
            let groups = section.groups.iter().flat_map(|group| group.fields);
            let keys: Vec<&str> = section
                .fields
                .iter()
                .chain(groups)
                .map(|one| one.key)
                .collect();
            for course in Course::ALL {
                let is_asked = keys.iter().any(|key| asks(*course, key));
                let place = place(*course, section.key);
                assert!(
                    !is_asked || place != SectionPlace::Away,
                    "{} asks in {}, where it is out of the way",
                    course.word(),
                    section.key
                );
                let expected = is_asked || by_themselves.contains(&section.key);
                let answered = [
                    // Answered by the pattern, by the starting set, or by what stands in the wax.
                    (Course::Copy, "base"),
                    (Course::DigitalCopy, "anterior"),
                    (Course::DigitalCopy, "posterior"),
                    (Course::Reset, "anterior"),
                    (Course::Finish, "pattern"),
                    (Course::Finish, "impression"),
                    (Course::Finish, "base"),
                    (Course::Duplicate, "pattern"),
                    (Course::Duplicate, "base"),
                ];
                assert!(
                    expected
                        || place != SectionPlace::Asked
                        || answered.contains(&(*course, section.key)),
                    "{} asks nothing in {}",
                    course.word(),
                    section.key
                );
            }
        }
    }
}
