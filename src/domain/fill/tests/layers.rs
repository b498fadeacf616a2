//! Where a value comes from, and what stands over what.

use super::bed::{Bed, LOWER, UPPER, copied, value};
use crate::domain::custody::events::{Disinfected, Received, Released};
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::{Found, Holder, Outcome, Sent};
use crate::domain::fill::{fill, last_disinfection};
use crate::domain::people::party::Side;
use crate::domain::prescription::sources::{AS_PATTERN, Origin};
use crate::domain::prescription::{Course, field_spec, read};
use crate::domain::review::{Finding, Setting, course_written, review};
use crate::domain::trade::disinfection::AGENT_MOST;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::{HandoffId, PartyId};
use crate::domain::values::tooth::Numbering;
use proptest::prelude::*;

const COPY: (&str, &str) = ("order.course", "copy");

#[test]
fn each_value_says_where_it_comes_from() {
    let bed = copied();
    let filled = bed.filled(&[
        COPY,
        ("readings.0.rest_mm", "68"),
        ("readings.1.rest_mm", "67"),
        ("dates.wanted", "2026-03-17"),
        ("dates.insertion", "2026-03-18"),
        ("shade.tab", "birch 4"),
        ("anterior.upper_mould", "Otter 7"),
    ]);
    let tag = |name: &str| bed.tag(name).to_string();
    let table = [
        ("pattern.upper_item", tag("prov_u"), Origin::Record),
        ("pattern.lower_item", tag("prov_l"), Origin::Record),
        ("duplicate.upper_item", tag("dup_u"), Origin::Record),
        ("duplicate.lower_from", tag("prov_l"), Origin::Record),
        ("duplicate.upper_minutes", "12".to_owned(), Origin::Record),
        ("duplicate.made_on", "2026-03-02".to_owned(), Origin::Record),
        ("jaw.item", tag("bite"), Origin::Record),
        ("jaw.taken_on", "2026-03-02".to_owned(), Origin::Record),
        ("facebow.made", "yes".to_owned(), Origin::Record),
        ("facebow.item", tag("facebow"), Origin::Record),
        ("shade.tab_item", tag("tab"), Origin::Record),
        (
            "impression.placed_on",
            "2026-03-01".to_owned(),
            Origin::Record,
        ),
        (
            "impression.removed_on",
            "2026-03-02".to_owned(),
            Origin::Record,
        ),
        ("enclosed.0.tag", tag("prov_u"), Origin::Record),
        ("enclosed.4.tag", tag("tab"), Origin::Record),
        ("enclosed.4.minutes", "10".to_owned(), Origin::Record),
        ("returns.0.tag", tag("facebow"), Origin::Record),
        ("returns.1.due", "2026-03-17".to_owned(), Origin::Computed),
        ("seal.by", "in_pattern".to_owned(), Origin::Pattern),
        ("plane.front", "pattern".to_owned(), Origin::Pattern),
        ("vertical.order", "keep".to_owned(), Origin::Pattern),
        ("order.kind", "new".to_owned(), Origin::Course),
        ("pieces.1.stage", "process".to_owned(), Origin::Course),
        (
            "pieces.1.description",
            "complete denture, 14 teeth".to_owned(),
            Origin::Course,
        ),
        (
            "pieces.0.materials",
            "heat-cured acrylic resin base, highly cross-linked resin teeth".to_owned(),
            Origin::Computed,
        ),
        ("base.material", "heat_cured".to_owned(), Origin::Start),
        ("vertical.rest_mm", "67.5".to_owned(), Origin::Computed),
        (
            "dates.first_check",
            "2026-03-19".to_owned(),
            Origin::Computed,
        ),
        ("shade.source", "tab".to_owned(), Origin::Computed),
        ("shade.guide", "Hillside".to_owned(), Origin::Computed),
        ("anterior.choice", "mould".to_owned(), Origin::Computed),
        (
            "anterior.midline_offset_mm",
            "0".to_owned(),
            Origin::Computed,
        ),
        ("facebow.third_point", "ala".to_owned(), Origin::Computed),
        ("guidance.plane", "camper".to_owned(), Origin::Computed),
    ];
    for (key, text, source) in table {
        assert_eq!(
            value(&filled, key),
            Some((text.as_str(), Some(source))),
            "{key}"
        );
    }
    // What is waited for is not there yet, and what only the dentist can say never is.
    for key in [
        "marking.text",
        "spare.teeth",
        "jaw.keyed",
        "shade.approved",
        "occlusion.scheme",
        "vertical.occlusal_mm",
        "occlusion.overjet_mm",
        // Nothing on the change list makes it longer or shorter.
        "anterior.incisal_change_mm",
        "enclosed.5.tag",
    ] {
        assert_eq!(value(&filled, key), None, "{key}");
    }
}

#[test]
fn a_midline_that_the_change_list_moves_is_left_open() {
    let row = |what, direction| {
        [
            ("changes.0.what", what),
            ("changes.0.direction", direction),
            ("changes.0.mm", "1.5"),
        ]
    };
    let bed = copied();
    for (typed, is_told) in [
        (row("midline", "right"), false),
        (row("upper_front", "left"), false),
        (row("upper_front", "down"), true),
        (row("lower_right_back", "outward"), true),
    ] {
        let filled = bed.filled(&[&[COPY][..], &typed].concat());
        let told = value(&filled, "anterior.midline").is_some();
        assert_eq!(told, is_told, "{typed:?}");
        let smile = value(&filled, "anterior.smile_line");
        assert_eq!(smile, Some(("pattern", Some(Origin::Pattern))));
    }
}

#[test]
fn nothing_is_filled_in_while_no_kind_of_work_is_chosen() {
    let bed = copied();
    let filled = bed.filled(&[("dates.wanted", "2026-03-17")]);
    assert_eq!((filled.fields.len(), filled.from.len()), (1, 0));
}

#[test]
fn a_disinfection_is_read_into_its_row_whatever_the_kind_of_work() {
    let mut bed = copied();
    for signed in [None, Some(Course::Copy)] {
        bed.beforehand.signed = signed;
        let filled = bed.filled(&[("enclosed.0.tag", "@bite")]);
        assert_eq!(filled.from.len(), 6);
        assert_eq!(
            value(&filled, "enclosed.0.agent"),
            Some(("surface disinfectant, grey label", Some(Origin::Record)))
        );
    }
}

#[test]
fn c6_the_longest_agent_and_dilution_are_read_whole_into_the_row() {
    let mut bed = copied();
    let long = "ab ".repeat(AGENT_MOST / 3) + "cd";
    assert_eq!(long.len(), AGENT_MOST);
    bed.happens(Disinfected {
        tag: bed.tag("bite"),
        agent: long.clone(),
        dilution: long.clone(),
        minutes: 10,
        rinsed: true,
    });
    let filled = bed.filled(&[("enclosed.0.tag", "@bite")]);
    for field in ["agent", "dilution"] {
        let key = format!("enclosed.0.{field}");
        assert_eq!(filled.fields.get(&key), Some(&long));
    }
    let reading = read(&filled.fields, Numbering::Iso3950);
    assert_eq!(reading.faults, []);
    let row = reading.document.enclosures.enclosed.first().unwrap();
    assert_eq!(
        row.agent.as_ref().map(|text| text.as_str()),
        Some(long.as_str())
    );
}

#[test]
fn a_signed_revision_that_is_written_again_gets_nothing_but_what_was_disinfected() {
    let mut bed = copied();
    bed.beforehand.signed = Some(Course::Copy);
    let filled = bed.filled(&[COPY, ("enclosed.0.tag", "@bite")]);
    let from: Vec<&str> = filled.from.keys().map(String::as_str).collect();
    assert!(
        from.iter().all(|key| key.starts_with("enclosed.0.")) && from.len() == 6,
        "{from:?}"
    );
}

/// The office hands a thing over to the lab.
fn sent_to_the_lab(bed: &mut Bed, name: &str, handoff: &HandoffId) {
    let tag = bed.tag(name);
    bed.happens(Released::of(
        handoff.clone(),
        vec![Sent::of(tag)],
        Side::Office,
    ));
}

/// The lab receives what is sent without a mark, and disinfects it with its own agent.
fn disinfected_again_by_the_lab(bed: &mut Bed, name: &str) {
    let (tag, handoff) = (bed.tag(name), HandoffId::new("h1"));
    sent_to_the_lab(bed, name, &handoff);
    bed.the_lab_does(Received {
        handoff,
        place: Side::Lab,
        items: vec![Found {
            tag: tag.clone(),
            outcome: Outcome::Sound,
            marked_disinfected: false,
            note: String::new(),
            pieces: None,
        }],
        unannounced: String::new(),
        parcels: Vec::new(),
        foreign: String::new(),
        no_pick_up: false,
    });
    bed.the_lab_does(Disinfected {
        tag,
        agent: "Peracid".to_owned(),
        dilution: String::new(),
        minutes: 5,
        rinsed: true,
    });
}

#[test]
fn the_disinfection_of_the_office_stands_in_its_row_whatever_the_lab_did_on_receipt() {
    let mut bed = copied();
    bed.beforehand.signed = Some(Course::Copy);
    disinfected_again_by_the_lab(&mut bed, "bite");
    let filled = bed.filled(&[COPY, ("enclosed.0.tag", "@bite")]);
    let agent = value(&filled, "enclosed.0.agent");
    assert_eq!(
        agent,
        Some(("surface disinfectant, grey label", Some(Origin::Record)))
    );
    // The review holds the row against the entry of the office, and finds nothing else.
    let office = PartyId::new("northgate");
    let tag = bed.tag("bite");
    let entry = last_disinfection(&office, &bed.events, &bed.state, &tag);
    let setting = Setting {
        disinfected: Vec::from_iter(entry),
        ..bed.setting()
    };
    assert_eq!(setting.disinfected.len(), 1);
    let document = read(&filled.fields, Numbering::Iso3950).document;
    let found = review(&document, &setting);
    let is_it = |one: &Finding| one.id == "disinfection-off-its-entry";
    assert!(!found.iter().any(is_it));
}

#[test]
fn what_is_typed_stands_over_everything_and_a_blank_is_typed() {
    let bed = copied();
    let filled = bed.filled(&[
        COPY,
        ("seal.by", "lab"),
        ("base.material", " "),
        ("jaw.item", " "),
        ("facebow.made", "no"),
    ]);
    assert_eq!(value(&filled, "seal.by"), Some(("lab", None)));
    assert_eq!(value(&filled, "base.material"), Some((" ", None)));
    assert_eq!(value(&filled, "jaw.item"), Some((" ", None)));
    // What hangs on it follows: no process without a base, no plane without a record.
    assert_eq!(value(&filled, "base.process"), None);
    assert_eq!(
        value(&filled, "facebow.plane"),
        Some(("none", Some(Origin::Computed)))
    );
    assert_eq!(
        value(&filled, "guidance.articulator"),
        Some(("average", Some(Origin::Computed)))
    );
}

#[test]
fn the_switch_is_on_where_there_is_a_pattern_and_can_be_turned_off_and_on() {
    let bed = copied();
    let is_on = |bed: &Bed, pairs: &[(&str, &str)]| {
        let filled = bed.filled(pairs);
        let answers = filled.from.iter();
        let count = answers
            .filter(|(key, source)| **source == Origin::Pattern && *key != AS_PATTERN)
            .count();
        (filled.fields.get(AS_PATTERN).cloned(), count)
    };
    let yes = Some("yes".to_owned());
    assert_eq!(is_on(&bed, &[COPY]), (yes.clone(), 14));
    let (off, none) = is_on(&bed, &[COPY, (AS_PATTERN, "no")]);
    assert_eq!((off.as_deref(), none), (Some("no"), 0));
    let empty = Bed::before(0, Arches::Both);
    assert_eq!(is_on(&empty, &[COPY]), (None, 0));
    assert_eq!(
        is_on(&empty, &[COPY, (AS_PATTERN, "yes")]),
        (yes.clone(), 14)
    );
    let named = [COPY, ("pattern.upper_item", "T00-000-000")];
    assert_eq!(is_on(&empty, &named), (yes, 14));
    // A set-up follows no pattern.
    assert_eq!(is_on(&bed, &[("order.course", "set_up")]), (None, 0));
}

#[test]
fn of_two_patterns_the_writer_says_which_one_it_is() {
    let mut bed = Bed::before(3, Arches::Upper);
    bed.has("one", ItemKind::Provisional, UPPER);
    let filled = bed.filled(&[COPY]);
    assert!(filled.fields.contains_key("pattern.upper_item"));
    bed.has("two", ItemKind::Provisional, UPPER);
    let filled = bed.filled(&[COPY]);
    assert!(!filled.fields.contains_key("pattern.upper_item"));
    assert!(!filled.fields.contains_key("seal.by"));
}

#[test]
fn nothing_of_the_other_jaw_is_said_where_one_is_made() {
    for (arches, not) in [
        (
            Arches::Upper,
            [
                "borders.pad_cover",
                "posterior.teeth_lower",
                "dates.may_split",
            ],
        ),
        (
            Arches::Lower,
            ["seal.by", "posterior.teeth_upper", "base.palate_mm"],
        ),
    ] {
        for course in Course::ALL {
            let bed = Bed { arches, ..copied() };
            let typed = [
                ("order.course", course.word()),
                ("marking.answer", "accepted"),
                (AS_PATTERN, "yes"),
            ];
            let filled = bed.filled(&typed);
            for key in not {
                assert!(!filled.fields.contains_key(key), "{key} {}", course.word());
            }
            assert!(!filled.fields.contains_key("pieces.1.arch"));
            assert_ne!(
                filled.fields.get("marking.place").map(String::as_str),
                Some("both")
            );
        }
    }
}

#[test]
fn the_other_jaw_is_named_by_the_card_or_by_what_is_worn_there() {
    use crate::domain::people::patient::OwnTeeth;
    let single = ("order.course", "single");
    let mut bed = Bed::before(3, Arches::Upper);
    assert_eq!(value(&bed.filled(&[single]), "pieces.0.opposing"), None);
    bed.own_teeth.insert(Arch::Lower, OwnTeeth::Natural);
    let record = Some(Origin::Record);
    assert_eq!(
        value(&bed.filled(&[single]), "pieces.0.opposing"),
        Some(("natural", record))
    );
    bed.wears("final_l", ItemKind::FinalDenture, super::bed::LOWER);
    assert_eq!(
        value(&bed.filled(&[single]), "pieces.0.opposing"),
        Some(("denture", record))
    );
}

#[test]
fn a_copy_from_files_lists_the_files_and_what_stays() {
    let mut bed = Bed::before(90, Arches::Upper);
    bed.wears("prov_u", ItemKind::Provisional, UPPER);
    bed.scans("file", "upper whole.stl");
    let filled = bed.filled(&[("order.course", "digital_copy")]);
    for (key, text) in [
        ("scans.0.tag", bed.tag("file").to_string()),
        ("scans.0.file", "upper whole.stl".to_owned()),
        ("scans.0.format", "stl".to_owned()),
        ("scans.0.units", "mm".to_owned()),
        ("kept.0.tag", bed.tag("prov_u").to_string()),
        ("kept.0.by", "patient".to_owned()),
    ] {
        assert_eq!(
            value(&filled, key),
            Some((text.as_str(), Some(Origin::Record))),
            "{key}"
        );
    }
    assert!(
        filled
            .fields
            .keys()
            .all(|key| !key.starts_with("enclosed."))
    );
}

#[test]
fn a_list_that_is_touched_is_the_writers_whole() {
    let bed = copied();
    let filled = bed.filled(&[COPY, ("enclosed.7.what", "a letter")]);
    let rows: Vec<&String> = filled
        .fields
        .keys()
        .filter(|key| key.starts_with("enclosed."))
        .collect();
    assert_eq!(rows, ["enclosed.7.what"]);
    // What hangs on the list follows it: nothing that is lent is listed.
    assert!(!filled.fields.contains_key("returns.0.tag"));
}

#[test]
fn whatever_is_filled_in_is_a_field_and_can_be_read() {
    for course in Course::ALL {
        for arches in [Arches::Both, Arches::Upper, Arches::Lower] {
            let bed = Bed { arches, ..copied() };
            for made in ["yes", "no", ""] {
                let filled = bed.filled(&[
                    ("order.course", course.word()),
                    ("facebow.made", made),
                    ("spare.arch", "both"),
                    ("marking.answer", "accepted"),
                    ("cast_trim.by", "lab"),
                    ("seal.by", "lab"),
                    ("shade.tab", "birch 4"),
                    ("base_shade.code", "heather 2"),
                    ("dates.wanted", "2026-03-17"),
                    ("dates.insertion", "2026-03-18"),
                ]);
                for key in filled.from.keys().filter(|key| *key != AS_PATTERN) {
                    assert!(field_spec(key).is_some(), "{key}");
                }
                let faults = read(&filled.fields, Numbering::Iso3950).faults;
                assert_eq!(faults, [], "{}", course.word());
            }
        }
    }
}

/// Keys that other values hang on, and some that stand alone, with texts that fit and some that do not.
fn some_typed() -> impl Strategy<Value = Vec<(&'static str, &'static str)>> {
    let keys = prop::sample::select(vec![
        "facebow.made",
        "facebow.plane",
        "base.material",
        "spare.arch",
        "marking.answer",
        "seal.by",
        "cast_trim.by",
        "impression.source",
        "pattern.upper_item",
        "pattern.source",
        "form.as_pattern",
        "enclosed.0.tag",
        "enclosed.3.what",
        "changes.0.mm",
        "pieces.1.arch",
        "readings.0.rest_mm",
        "dates.wanted",
        "dates.insertion",
        "anterior.upper_mould",
        "shade.tab",
    ]);
    let texts = prop::sample::select(vec![
        "yes",
        "no",
        " ",
        "lab",
        "both",
        "accepted",
        "none",
        "camper",
        "66",
        "2026-03-17",
        "upper",
        "functional",
        "@prov_u",
        "@bite",
        "nonsense",
    ]);
    prop::collection::vec((keys, texts), 0..8)
}

proptest! {
    #[test]
    fn whatever_is_typed_stays_and_nothing_that_only_the_dentist_knows_is_filled_in(
        pairs in some_typed(),
        course in prop::sample::select(Course::ALL.to_vec()),
    ) {
        let bed = copied();
        let mut typed = bed.typed(&pairs);
        typed.insert("order.course".to_owned(), course.word().to_owned());
        let filled = fill(&typed, &bed.known());
        for (key, text) in &typed {
            prop_assert_eq!(filled.fields.get(key), Some(text));
            prop_assert!(!filled.from.contains_key(key));
        }
        prop_assert_eq!(filled.fields.len(), typed.len() + filled.from.len());
        for key in [
            "jaw.keyed", "jaw.at_final_vertical", "shade.approved", "shade.tab", "occlusion.scheme",
            "seal.depth_mid_mm", "order.try_in_skipped", "marking.answer", "spare.arch", "dates.wanted",
            "readings.0.occlusal_mm", "base_shade.code", "anterior.upper_mould",
        ] {
            prop_assert!(!filled.from.contains_key(key), "{}", key);
        }
        // Nobody's row stands beside the writer's, but for what was disinfected of a thing that is listed.
        for key in filled.from.keys() {
            let list = key.split_once('.').map(|(list, _)| list).filter(|list| {
                matches!(*list, "enclosed" | "changes" | "pieces" | "readings")
            });
            if let Some(list) = list {
                let is_typed = typed.keys().any(|other| other.starts_with(&format!("{list}.")));
                prop_assert!(!is_typed || list == "enclosed", "{}", key);
            }
        }
    }
}

#[test]
fn a_posterior_mould_of_the_labs_list_brings_its_cusps_and_the_lower_teeth_of_its_name() {
    let mut bed = copied();
    let cusps = |bed: &Bed, code: &str| {
        let filled = bed.filled(&[COPY, ("posterior.upper_mould", code)]);
        let text = |key: &str| filled.fields.get(key).cloned();
        (text("posterior.cusp_angle"), text("posterior.lower_mould"))
    };
    let both = (Some("20".to_owned()), Some("Otter P1".to_owned()));
    assert_eq!(cusps(&bed, "Otter P1"), both);
    assert_eq!(cusps(&bed, "Otter P99"), (None, None));
    bed.arches = Arches::Upper;
    assert_eq!(cusps(&bed, "Otter P1").1, None);
    bed.lists.moulds = None;
    assert_eq!(cusps(&bed, "Otter P1"), (None, None));
}

#[test]
fn a_spare_that_the_lab_makes_is_a_piece_of_the_order_and_nothing_asks_for_it() {
    let bed = copied();
    let of = |maker: &str, arch: &str| {
        bed.filled(&[
            COPY,
            ("spare.arch", arch),
            ("spare.made_by", maker),
            ("spare.base", "cold_cured"),
            ("spare.teeth", "resin"),
        ])
    };
    let both = of("lab", "both");
    let computed = |text: &'static str| Some((text, Some(Origin::Computed)));
    for (key, text) in [
        ("pieces.2.arch", "upper"),
        ("pieces.2.stage", "duplicate"),
        ("pieces.3.arch", "lower"),
        ("pieces.3.description", "spare denture"),
        (
            "pieces.3.materials",
            "cold-cured acrylic resin, tooth-colored resin",
        ),
    ] {
        assert_eq!(value(&both, key), computed(text), "{key}");
    }
    let lower = of("lab", "lower");
    assert_eq!(value(&lower, "pieces.2.arch"), computed("lower"));
    assert_eq!(value(&lower, "pieces.3.arch"), None);
    assert_eq!(value(&of("office", "both"), "pieces.2.stage"), None);
    // Back at the wax, what was said of the spare orders nothing.
    let wax = bed.filled(&[
        ("order.course", "set_up"),
        ("spare.arch", "both"),
        ("spare.made_by", "lab"),
    ]);
    assert_eq!(
        value(&wax, "pieces.0.stage").map(|one| one.0),
        Some("try_in")
    );
    assert_eq!(value(&wax, "pieces.2.stage"), None);
    // The course stays what it is, and the review has nothing to ask about the piece.
    let document = read(&both.fields, Numbering::Iso3950).document;
    assert_eq!(course_written(&document), Course::Copy);
    let found = review(&document, &bed.setting());
    let asks = |one: &&Finding| one.id == "spare-by-the-lab-not-ordered";
    assert_eq!(found.iter().find(asks), None);
}

#[test]
fn of_a_broken_denture_and_its_copy_at_the_office_the_copy_stays_for_the_patient() {
    let mut bed = Bed::before(30, Arches::Lower);
    bed.has("final_l", ItemKind::FinalDenture, LOWER);
    bed.has("dup_l", ItemKind::Duplicate, LOWER);
    for (course, item) in [("repair", "repair.item"), ("reline", "reline.item")] {
        let filled = bed.filled(&[("order.course", course)]);
        let text = |key: &str| filled.fields.get(key).cloned();
        let lower = Some(bed.tag("final_l").to_string());
        assert_eq!(text(item), lower, "{course}");
        assert_eq!(
            (text("enclosed.0.tag"), text("enclosed.1.tag")),
            (lower, None)
        );
    }
    // Where the copy is what broke, it is all that is here.
    let mut bed = Bed::before(30, Arches::Lower);
    bed.wears("final_l", ItemKind::FinalDenture, LOWER);
    bed.has("dup_l", ItemKind::Duplicate, LOWER);
    let filled = bed.filled(&[("order.course", "repair")]);
    let copy = Some(bed.tag("dup_l").to_string());
    assert_eq!(filled.fields.get("repair.item").cloned(), copy);
}

#[test]
fn of_two_bite_records_a_reset_takes_the_one_that_was_never_sent() {
    const RESET: (&str, &str) = ("order.course", "reset");
    let mut bed = copied();
    bed.beforehand.signed = Some(Course::SetUp);
    sent_to_the_lab(&mut bed, "bite", &HandoffId::new("h1"));
    let tag = bed.tag("bite");
    bed.state
        .change(&tag, |state| state.holder = Holder::Office);
    bed.has("new bite", ItemKind::BiteRecord, None);
    let new = bed.tag("new bite").to_string();
    let filled = bed.filled(&[RESET]);
    let item = value(&filled, "jaw.item");
    assert_eq!(item, Some((new.as_str(), Some(Origin::Record))));
    // In other work either of them may be meant.
    let filled = bed.filled(&[("order.course", "copy")]);
    assert_eq!(value(&filled, "jaw.item"), None);
    // Two that were never sent are asked about.
    bed.has("third bite", ItemKind::BiteRecord, None);
    assert_eq!(value(&bed.filled(&[RESET]), "jaw.item"), None);
    let words = |height: &str| {
        let filled = bed.filled(&[RESET, ("approval.height", height)]);
        let words = value(&filled, "pieces.0.description").map(|(text, _)| text.to_owned());
        words.unwrap_or_default()
    };
    assert_eq!(words("no"), "mount to the new record, reset, wax try-in");
    assert_eq!(words("yes"), "reset as listed, wax try-in");
}
