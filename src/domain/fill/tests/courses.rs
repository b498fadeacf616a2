//! Whole prescriptions of which only what is asked is typed: they can be read and signed, and no stop stands
//! against them.

use super::bed::{Bed, LOWER, UPPER, copied};
use crate::domain::custody::Holder;
use crate::domain::custody::events::Adjustment;
use crate::domain::custody::item::ItemKind;
use crate::domain::fill::{SignedFields, fill, turn_to_stage};
use crate::domain::form::split_row_key;
use crate::domain::people::patient::OwnTeeth;
use crate::domain::prescription::course::{asks, is_half_said};
use crate::domain::prescription::draft::{Fields, apply};
use crate::domain::prescription::{ChangedPart, Course, Direction, read};
use crate::domain::review::criteria::criteria;
use crate::domain::review::{Finding, Level, Setting, applying, review, score};
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::tooth::Numbering;

type Pairs = &'static [(&'static str, &'static str)];

struct Whole {
    course: Course,
    bed: fn() -> Bed,
    typed: &'static [Pairs],
    /// Cautions that an ordinary one raises all the same.
    cautions: &'static [&'static str],
    /// Points that apply and are met.
    points: usize,
}

const HEIGHTS: Pairs = &[
    ("readings.0.rest_mm", "68.5"),
    ("readings.0.occlusal_mm", "65"),
    ("readings.1.rest_mm", "67.5"),
    ("readings.1.occlusal_mm", "65"),
];

const BITE: Pairs = &[
    ("jaw.material", "silicone"),
    ("jaw.taken_at", "09:30"),
    ("jaw.at_final_vertical", "yes"),
    ("jaw.keyed", "yes"),
    (
        "jaw.grooves",
        "two in each upper block, cheek side, away from the chewing surface",
    ),
];

const FACEBOW: Pairs = &[
    ("facebow.record_id", "J-20"),
    ("facebow.midline_captured", "yes"),
];

const UPPER_TEETH: Pairs = &[
    ("anterior.upper_mould", "Otter 7"),
    ("posterior.upper_mould", "Otter P2"),
    ("posterior.cusp_angle", "20"),
    ("occlusion.scheme", "balanced"),
    ("shade.tab", "birch 4"),
    ("shade.approved", "yes"),
];

const LOWER_TEETH: Pairs = &[
    ("anterior.lower_mould", "Otter 3"),
    ("posterior.lower_mould", "Otter P2"),
];

const ARRANGED: Pairs = &[
    ("anterior.width_mm", "51"),
    ("anterior.width_method", "curve"),
    ("anterior.arrangement", "standard"),
    ("anterior.midline", "yes"),
    ("anterior.incisal_show_mm", "1.5"),
    ("anterior.smile_line", "follows_lip"),
    ("posterior.length_mm", "36"),
];

const IMPRESSION: Pairs = &[
    ("impression.material", "silicone"),
    ("impression.removed_at", "08:40"),
    ("impression.keeps_hours", "168"),
];

const LONG: Pairs = &[
    ("dates.wanted", "2026-03-17"),
    ("dates.insertion", "2026-03-18"),
];

const SHORT: Pairs = &[
    ("dates.wanted", "2026-03-05"),
    ("dates.insertion", "2026-03-05"),
];

const WHOLE: &[Whole] = &[
    Whole {
        course: Course::Copy,
        bed: copied,
        typed: &[
            HEIGHTS,
            BITE,
            FACEBOW,
            UPPER_TEETH,
            LOWER_TEETH,
            LONG,
            &[
                ("duplicate.flask", "closed"),
                ("duplicate.filling", "alginate"),
                ("duplicate.sheet_minutes", "10"),
                ("base_shade.code", "heather 2"),
                ("impression.material", "conditioner"),
                ("impression.keeps_hours", "48"),
                ("marking.answer", "accepted"),
                ("spare.arch", "both"),
                (
                    "remarks.call_before",
                    "the record does not seat without pressure",
                ),
            ],
        ],
        cautions: &[],
        points: 24,
    },
    Whole {
        course: Course::SetUp,
        bed: rims,
        typed: &[
            HEIGHTS,
            BITE,
            FACEBOW,
            UPPER_TEETH,
            LOWER_TEETH,
            ARRANGED,
            &[("dates.wanted", "2026-03-17")],
        ],
        cautions: &[],
        points: 19,
    },
    Whole {
        course: Course::Immediate,
        bed: natural,
        typed: &[
            HEIGHTS,
            BITE,
            FACEBOW,
            UPPER_TEETH,
            ARRANGED,
            IMPRESSION,
            LONG,
            &[
                ("order.try_in_skipped", "yes"),
                ("opposing.surface", "enamel"),
                ("plane.back", "ala_tragus"),
                ("extractions.0.tooth", "11"),
                ("extractions.0.when", "at_insertion"),
                ("extractions.1.tooth", "21"),
                ("extractions.1.when", "at_insertion"),
                ("cast_trim.by", "lab"),
                ("cast_trim.facial_mm", "1.5"),
                ("borders.order", "keep"),
                ("seal.by", "lab"),
                ("seal.position", "notch to notch along the line marked"),
                ("seal.depth_mid_mm", "0.5"),
                ("seal.depth_right_mm", "1"),
                ("seal.depth_left_mm", "1"),
                ("base_shade.code", "heather 2"),
                ("base.strengthening", "glass_fibre"),
                ("marking.answer", "declined"),
            ],
        ],
        cautions: &["cast-trim-irreversible"],
        points: 24,
    },
    Whole {
        course: Course::Reline,
        bed: loose,
        typed: &[HEIGHTS, IMPRESSION, SHORT, &[("base.soft_liner", "no")]],
        cautions: &[],
        points: 15,
    },
    Whole {
        course: Course::Repair,
        bed: broken,
        typed: &[
            SHORT,
            &[
                ("repair.fit_together", "yes"),
                ("repair.cause", "dropped"),
                ("repair.broke_before", "no"),
                ("repairs.0.what", "base_broken"),
                ("repairs.0.place", "midline"),
                ("base.strengthening", "glass_fibre"),
                ("base_shade.code", "heather 2"),
            ],
        ],
        cautions: &[],
        points: 13,
    },
];

/// Rims, bite and facebow record at the office, provisionals in the mouth.
fn rims() -> Bed {
    let mut bed = Bed::before(30, Arches::Both);
    bed.wears("prov_u", ItemKind::Provisional, UPPER);
    bed.wears("prov_l", ItemKind::Provisional, LOWER);
    bed.days_pass(30);
    bed.has("rim_u", ItemKind::Rims, UPPER);
    bed.has("rim_l", ItemKind::Rims, LOWER);
    bed.makes("bite", ItemKind::BiteRecord, None, &[]);
    bed.has("facebow", ItemKind::FacebowRecord, None);
    bed.disinfects(&["rim_u", "rim_l", "bite", "facebow"]);
    bed
}

/// An impression of an upper jaw whose last teeth are to go, against natural teeth.
fn natural() -> Bed {
    let mut bed = Bed::before(0, Arches::Upper);
    bed.own_teeth.insert(Arch::Upper, OwnTeeth::Natural);
    bed.own_teeth.insert(Arch::Lower, OwnTeeth::Natural);
    bed.has("imp_u", ItemKind::Impression, UPPER);
    bed.has("cast_l", ItemKind::Cast, LOWER);
    bed.makes("bite", ItemKind::BiteRecord, None, &[]);
    bed.has("facebow", ItemKind::FacebowRecord, None);
    bed.disinfects(&["imp_u", "cast_l", "bite", "facebow"]);
    bed
}

/// An upper final with an impression in it; a duplicate is worn meanwhile.
fn loose() -> Bed {
    let mut bed = Bed::before(700, Arches::Upper);
    bed.wears("final_u", ItemKind::FinalDenture, UPPER);
    bed.wears("final_l", ItemKind::FinalDenture, LOWER);
    bed.has("dup_u", ItemKind::Duplicate, UPPER);
    bed.days_pass(700);
    bed.fits("dup_u", "final_u");
    bed.disinfects(&["final_u"]);
    bed
}

/// A lower final in pieces; the spare is worn.
fn broken() -> Bed {
    let mut bed = Bed::before(700, Arches::Lower);
    bed.wears("final_u", ItemKind::FinalDenture, UPPER);
    bed.wears("final_l", ItemKind::FinalDenture, LOWER);
    bed.has("dup_l", ItemKind::Duplicate, LOWER);
    bed.days_pass(700);
    bed.fits("dup_l", "final_l");
    bed.disinfects(&["final_l"]);
    bed
}

impl Whole {
    fn pairs(&self) -> Vec<(&'static str, &'static str)> {
        let course = ("order.course", self.course.word());
        let typed = self.typed.iter().copied().flatten().copied();
        std::iter::once(course).chain(typed).collect()
    }

    fn findings(&self) -> Vec<Finding> {
        let bed = (self.bed)();
        let document = read(&bed.filled(&self.pairs()).fields, Numbering::Iso3950).document;
        review(&document, &bed.setting())
    }
}

#[test]
fn only_what_the_course_asks_is_typed_in_them() {
    for whole in WHOLE {
        for (key, _) in whole.pairs() {
            let entry = match split_row_key(key) {
                Some((list, _, field)) => format!("{list}.#.{field}"),
                None => key.to_owned(),
            };
            assert!(asks(whole.course, &entry), "{} {key}", whole.course.word());
        }
    }
}

#[test]
fn they_are_read_without_a_fault_and_nothing_is_missing_for_signing() {
    for whole in WHOLE {
        let bed = (whole.bed)();
        let mut reading = read(&bed.filled(&whole.pairs()).fields, Numbering::Iso3950);
        reading.ask_for_signing();
        assert_eq!(reading.faults, [], "{}", whole.course.word());
    }
}

#[test]
fn nothing_stops_them_and_the_lab_has_nothing_to_ask() {
    for whole in WHOLE {
        let found: Vec<String> = whole
            .findings()
            .into_iter()
            .filter(|finding| finding.level < Level::Remark)
            .filter(|finding| !whole.cautions.contains(&finding.id))
            .map(|finding| format!("{} {}", finding.id, finding.sentence))
            .collect();
        assert_eq!(found, [""; 0], "{}", whole.course.word());
        for id in whole.cautions {
            assert!(whole.findings().iter().any(|finding| finding.id == *id));
        }
    }
}

/// What an ordinary copy raises with these texts beside its own.
fn found_in_a_copy(bed: &Bed, beside: &[(&str, &str)]) -> (Fields, Vec<&'static str>) {
    let typed = [&WHOLE[0].pairs()[..], beside].concat();
    let fields = bed.filled(&typed).fields;
    let document = read(&fields, Numbering::Iso3950).document;
    let found = review(&document, &bed.setting());
    (fields, found.iter().map(|finding| finding.id).collect())
}

#[test]
fn what_the_review_asks_of_a_copy_the_form_asks_too() {
    // No entry says when the pattern left the mouth: the form asks the day and the time.
    let silent = [
        ("impression.removed_on", " "),
        ("impression.removed_at", " "),
    ];
    let (_, found) = found_in_a_copy(&copied(), &silent);
    assert!(found.contains(&"functional-surface-undated"), "{found:?}");
    for course in [Course::Copy, Course::Single] {
        let asked = |(key, _): (&str, &str)| asks(course, key);
        assert!(silent.into_iter().all(asked), "{}", course.word());
    }
    let typed = [
        ("impression.removed_on", "2026-03-02"),
        ("impression.removed_at", "10:00"),
    ];
    let (_, found) = found_in_a_copy(&copied(), &typed);
    assert!(!found.contains(&"functional-surface-undated"), "{found:?}");

    // A block went up at the chair: the form asks which end, although the entry has filled the row.
    let mut bed = copied();
    let block = Some((ChangedPart::RightBlock, Direction::Up, 10));
    bed.adjusts("dup_l", Adjustment::BlockMoved, block);
    let (fields, found) = found_in_a_copy(&bed, &[]);
    let key = "changes.#.direction";
    assert!(found.contains(&"block-up-or-down"), "{found:?}");
    assert!(asks(Course::Copy, key) && is_half_said(key, Some(0), &fields));
    let row: Vec<(String, String)> = fields
        .iter()
        .filter(|(key, _)| key.starts_with("changes.0."))
        .map(|(key, text)| (key.clone(), text.clone()))
        .collect();
    let answered: Vec<(&str, &str)> = row
        .iter()
        .map(|(key, text)| match key.as_str() {
            "changes.0.direction" => ("changes.0.direction", "longer_edge"),
            key => (key, text.as_str()),
        })
        .collect();
    let (fields, found) = found_in_a_copy(&bed, &answered);
    assert!(!found.contains(&"block-up-or-down"), "{found:?}");
    assert!(!is_half_said(key, Some(0), &fields));
}

#[test]
fn every_point_that_applies_is_met() {
    for whole in WHOLE {
        let bed = (whole.bed)();
        let document = read(&bed.filled(&whole.pairs()).fields, Numbering::Iso3950).document;
        let criteria = criteria(&document, &bed.setting());
        let unmet: Vec<_> = criteria
            .iter()
            .filter(|one| !one.met)
            .map(|one| one.name)
            .collect();
        assert_eq!(
            (score(&criteria), applying(&criteria)),
            (whole.points, whole.points),
            "{} {unmet:?}",
            whole.course.word()
        );
    }
}

#[test]
fn most_of_what_they_say_nobody_has_typed() {
    for (whole, least) in WHOLE.iter().zip([110, 50, 60, 20, 15]) {
        let bed = (whole.bed)();
        let filled = bed.filled(&whole.pairs());
        assert!(
            filled.from.len() >= least,
            "{}: {} filled in, {} typed",
            whole.course.word(),
            filled.from.len(),
            whole.pairs().len()
        );
    }
}

#[test]
fn a_defect_in_what_is_filled_in_is_found_as_in_what_is_typed() {
    // The record says that the duplicate was made of the pattern; the pattern of the other jaw is not at the office.
    let whole = &WHOLE[0];
    let mut bed = copied();
    let kept = bed.tag("prov_l");
    bed.state.change(&kept, |state| {
        state.holder = Holder::Patient;
    });
    let document = read(&bed.filled(&whole.pairs()).fields, Numbering::Iso3950).document;
    let found = review(&document, &bed.setting());
    assert!(
        found
            .iter()
            .any(|finding| finding.id == "pattern-of-this-jaw-not-enclosed"),
        "{:?}",
        found.iter().map(|one| one.id).collect::<Vec<_>>()
    );
}

/// The set-up as it was signed, its try-ins at the office again, and a draft of the next revision.
fn after_the_try_in(arrangement: &str) -> (Bed, Fields) {
    let whole = &WHOLE[1];
    let mut bed = (whole.bed)();
    let mut typed = whole.pairs();
    typed.push(("anterior.arrangement", arrangement));
    let signed = bed.filled(&typed).fields;
    bed.has("try_u", ItemKind::TryIn, UPPER);
    bed.has("try_l", ItemKind::TryIn, LOWER);
    bed.beforehand.signed = Some(Course::SetUp);
    (bed, signed)
}

fn found_after(bed: &Bed, signed: &Fields, sent: &[(&str, &str)]) -> Vec<&'static str> {
    let (mut stored, mut draft) = (bed.typed(sent), signed.clone());
    let before = SignedFields {
        course: Course::SetUp,
        newest: || signed.clone(),
        set_up: || None,
    };
    turn_to_stage(&mut stored, signed, &before);
    apply(&mut draft, &stored);
    let filled = fill(&draft, &bed.known());
    let read = |fields: &Fields| read(fields, Numbering::Iso3950).document;
    let setting = Setting {
        previous: Some(read(signed)),
        ..bed.setting()
    };
    let found = review(&read(&filled.fields), &setting).into_iter();
    found.map(|finding| finding.id).collect()
}

#[test]
fn a_set_up_whose_try_in_is_back_asks_whether_it_is_finished() {
    const ID: &str = "try-in-back-and-still-set-up";
    let (mut bed, signed) = after_the_try_in("standard");
    let asks =
        |bed: &Bed, course| found_after(bed, &signed, &[("order.course", course)]).contains(&ID);
    for (course, is_asked) in [("set_up", true), ("finish", false), ("reset", false)] {
        assert_eq!(asks(&bed, course), is_asked, "{course}");
    }
    // While they are at the lab, a revision says more of the set-up.
    for name in ["try_u", "try_l"] {
        let tag = bed.tag(name);
        bed.state.change(&tag, |state| state.holder = Holder::Lab);
    }
    assert!(!asks(&bed, "set_up"));
}

#[test]
fn what_was_said_of_the_teeth_for_the_set_up_is_not_asked_again_for_the_finish() {
    // What was let stand with a reason for the set-up is in the wax now.
    for left_out in [
        "",
        "anterior.width_mm",
        "anterior.width_method",
        "anterior.lower_mould",
    ] {
        let (bed, mut signed) = after_the_try_in("standard");
        signed.remove(left_out);
        let found = found_after(&bed, &signed, &[("order.course", "finish")]);
        let of_teeth = |id: &&&str| TEETH.contains(*id);
        let of_teeth: Vec<_> = found.iter().filter(of_teeth).collect();
        assert_eq!(
            of_teeth,
            Vec::<&&str>::new(),
            "without {left_out}: {found:?}"
        );
    }
}

/// What is asked of moulds, widths and the arrangement.
const TEETH: &[&str] = &[
    "criterion-11-mould",
    "standard-arrangement-in-a-copy",
    "mould-beside-the-pattern",
    "mould-without-width",
    "width-without-method",
    "front-mould-for-one-arch",
    "arrangement-unsaid",
    "midline-unsaid",
];

/// Common practice, no source: a lab that finds two bite records in the box mounts by the wrong one.
#[test]
fn of_two_bite_records_a_reset_sends_the_one_that_it_names() {
    let (mut bed, signed) = after_the_try_in("standard");
    bed.has("bite_new", ItemKind::BiteRecord, None);
    let new = bed.tag("bite_new").to_string();
    let mut typed = signed.clone();
    typed.retain(|key, _| !key.starts_with("enclosed."));
    typed.extend(bed.typed(&[("order.course", "reset"), ("jaw.item", &new)]));
    let filled = fill(&typed, &bed.known()).fields;
    let boxed = filled.iter();
    let boxed = boxed.filter(|(key, _)| key.starts_with("enclosed.") && key.ends_with(".tag"));
    let records: Vec<&str> = boxed
        .map(|(_, tag)| tag.as_str())
        .filter(|tag| {
            let tag = crate::domain::values::ids::Tag::parse(tag).unwrap();
            bed.known().item(&tag).unwrap().kind == ItemKind::BiteRecord
        })
        .collect();
    assert_eq!(records, [new.as_str()]);
}
