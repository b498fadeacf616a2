//! Usual values of the houses, and the case before.

use super::bed::{Bed, copied, value};
use crate::domain::custody::item::ItemKind;
use crate::domain::fill::{Beforehand, fill, kept, otherwise};
use crate::domain::people::party::Side;
use crate::domain::prescription::draft::{Fields, apply, merge};
use crate::domain::prescription::sources::{Origin, USUAL, USUAL_OF_LAB};
use crate::domain::prescription::usual::{CARRIED, CaseBefore, InUse, UsualSet, held_by, may_hold};
use crate::domain::prescription::{Course, read};
use crate::domain::review::{Level, Setting, review, sample};
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::tooth::Numbering;
use proptest::prelude::*;

const COPY: (&str, &str) = ("order.course", "copy");

fn set(id: &str, version: i64, courses: &[Course], values: &[(&str, &str)]) -> InUse {
    InUse {
        id: id.to_owned(),
        version,
        is_newest: true,
        set: UsualSet {
            name: id.to_owned(),
            begins: true,
            courses: courses.to_vec(),
            carrier: String::new(),
            values: fields(values),
        },
    }
}

fn fields(pairs: &[(&str, &str)]) -> Fields {
    let pair = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
    pairs.iter().map(pair).collect()
}

fn before(pairs: &[(&str, &str)]) -> Option<CaseBefore> {
    let number = (0..32).find_map(|last| CaseNumber::from_random([5, 5, 5, 5, 5, 5, last]));
    Some(CaseBefore {
        number: number.expect("a number"),
        fields: fields(pairs),
    })
}

/// A copy of a worn pattern with everything on record, at houses that have said what is usual.
fn usual() -> Bed {
    let mut bed = copied();
    bed.beforehand = Beforehand {
        is_next_round: false,
        office: vec![set(
            "office",
            3,
            &[],
            &[
                ("base.material", "high_impact"),
                ("facebow.plane", "frankfort"),
                ("marking.text", "case number"),
                ("occlusion.scheme", "lingualized"),
                ("rims.base", "light_cured"),
                ("seal.by", "lab"),
                ("enclosed.0.agent", "surface disinfectant, green label"),
                ("enclosed.0.dilution", "ready to use"),
            ],
        )],
        lab: vec![set(
            "lab",
            2,
            &[],
            &[
                ("base.material", "heat_cured"),
                ("base.process", "injection"),
                ("finish.keep_months", "12"),
                // No lab says it, whatever is stored.
                ("spare.keeper", "care_home"),
            ],
        )],
        before: None,
        signed: None,
    };
    bed
}

#[test]
fn the_office_says_it_before_the_lab_and_both_before_the_starting_set() {
    let bed = usual();
    let filled = bed.filled(&[COPY]);
    let (office, lab) = (Some(Origin::Usual(3)), Some(Origin::UsualOfLab(2)));
    for (key, expected) in [
        ("base.material", Some(("high_impact", office))),
        ("facebow.plane", Some(("frankfort", office))),
        ("occlusion.scheme", Some(("lingualized", office))),
        ("base.process", Some(("injection", lab))),
        ("finish.keep_months", Some(("12", lab))),
        ("base.palate_mm", Some(("2", Some(Origin::Start)))),
        // The pattern goes before it; its kind of work has no rims; nothing is marked yet; no lab says it.
        ("seal.by", Some(("in_pattern", Some(Origin::Pattern)))),
        ("rims.base", None),
        ("marking.text", None),
        ("spare.keeper", None),
        (USUAL, Some(("office.3", office))),
        (USUAL_OF_LAB, Some(("lab.2", lab))),
        // Of the others an entry says it.
        (
            "enclosed.0.agent",
            Some(("surface disinfectant, grey label", Some(Origin::Record))),
        ),
    ] {
        assert_eq!(value(&filled, key), expected, "{key}");
    }
    let filled = bed.filled(&[COPY, ("marking.answer", "accepted")]);
    assert_eq!(
        value(&filled, "marking.text"),
        Some(("case number", office))
    );
    // What is typed stands over all of it.
    let filled = bed.filled(&[COPY, ("base.material", "printed")]);
    assert_eq!(value(&filled, "base.material"), Some(("printed", None)));
}

#[test]
fn a_usual_process_goes_with_the_material_that_the_work_begins_with_and_not_with_another() {
    let process = |typed: &[(&str, &str)]| {
        let mut bed = copied();
        let values = [("base.process", "compression")];
        bed.beforehand.office = vec![set("office", 1, &[], &values)];
        bed.beforehand.lab = vec![set("lab", 1, &[], &[("base.process", "injection")])];
        let filled = bed.filled(&[&[COPY], typed].concat());
        value(&filled, "base.process").map(|(text, from)| (text.to_owned(), from))
    };
    let said = |text: &str, from| Some((text.to_owned(), Some(from)));
    assert_eq!(process(&[]), said("compression", Origin::Usual(1)));
    // Compression is no way to work it; the lab's own goes before none.
    assert_eq!(
        process(&[("base.material", "polyamide")]),
        said("injection", Origin::UsualOfLab(1))
    );
}

#[test]
fn a_revision_that_is_written_again_and_a_draft_of_no_kind_get_nothing_usual() {
    let mut bed = usual();
    let filled = bed.filled(&[("dates.wanted", "2026-03-17")]);
    assert_eq!(filled.from.len(), 0);
    bed.beforehand.signed = Some(Course::Copy);
    let filled = bed.filled(&[COPY]);
    assert_eq!(filled.from.len(), 0);
}

#[test]
fn the_usual_disinfectant_is_said_of_nothing_that_no_entry_says_is_disinfected() {
    let mut bed = usual();
    bed.has("cast", ItemKind::Cast, None);
    let row = [COPY, ("enclosed.0.tag", "@cast")];
    for field in ["agent", "dilution", "minutes", "rinsed", "cleaned"] {
        let key = format!("enclosed.0.{field}");
        assert_eq!(value(&bed.filled(&row), &key), None, "{key}");
    }
    bed.disinfects(&["cast"]);
    assert_eq!(
        value(&bed.filled(&row), "enclosed.0.agent"),
        Some(("surface disinfectant, grey label", Some(Origin::Record)))
    );
}

#[test]
fn what_a_kind_of_work_is_made_of_is_said_only_by_a_set_that_names_it() {
    let material = |courses: &[Course], course: &str| {
        let mut bed = copied();
        let values = [("base.material", "high_impact"), ("finish.photos", "yes")];
        bed.beforehand.office = vec![set("one", 1, courses, &values)];
        let filled = bed.filled(&[("order.course", course)]);
        ["base.material", "finish.photos"]
            .map(|key| value(&filled, key).map(|(text, _)| text.to_owned()))
    };
    let said = |material: &str, photos: Option<&str>| {
        [Some(material.to_owned()), photos.map(str::to_owned)]
    };
    assert_eq!(material(&[], "copy"), said("high_impact", Some("yes")));
    assert_eq!(material(&[], "digital_copy"), said("milled", Some("yes")));
    assert_eq!(material(&[], "duplicate"), said("cold_cured", None));
    assert_eq!(material(&[], "repair"), said("cold_cured", None));
    assert_eq!(
        material(&[Course::Repair], "repair"),
        said("high_impact", Some("yes"))
    );
    assert_eq!(
        material(&[Course::Repair], "copy"),
        said("heat_cured", None)
    );
}

#[test]
fn a_draft_keeps_the_version_that_it_was_begun_with_until_another_is_chosen() {
    let mut bed = usual();
    // Looking stores nothing, and neither does a page that comes back as it was.
    let typed = bed.typed(&[COPY]);
    let shown = fill(&typed, &bed.known()).fields;
    assert_eq!(kept(&shown, &typed, &bed.known()), bed.typed(&[COPY]));
    // The first text holds the draft to what its page showed.
    let sent = bed.typed(&[("dates.wanted", "2026-03-17")]);
    let mut draft = typed.clone();
    apply(
        &mut draft,
        &merge(&typed, &typed, &kept(&sent, &typed, &bed.known())).taken,
    );
    assert_eq!(draft.get(USUAL).map(String::as_str), Some("office.3"));
    assert_eq!(draft.get(USUAL_OF_LAB).map(String::as_str), Some("lab.2"));

    // A new version is made: the draft goes by the old one.
    let newest = set("office", 4, &[], &[("base.material", "printed")]);
    let old = InUse {
        is_newest: false,
        ..bed.beforehand.office.remove(0)
    };
    bed.beforehand.office = vec![newest, old];
    let filled = fill(&draft, &bed.known());
    assert_eq!(
        value(&filled, "base.material"),
        Some(("high_impact", Some(Origin::Usual(3))))
    );
    let fresh = bed.filled(&[COPY]);
    assert_eq!(
        value(&fresh, "base.material"),
        Some(("printed", Some(Origin::Usual(4))))
    );
    // Somebody chooses the new one, or none of them.
    for (choice, expected) in [
        ("office.4", ("printed", Some(Origin::Usual(4)))),
        (" ", ("heat_cured", Some(Origin::UsualOfLab(2)))),
    ] {
        let mut chosen = draft.clone();
        chosen.insert(USUAL.to_owned(), choice.to_owned());
        let filled = fill(&chosen, &bed.known());
        assert_eq!(
            value(&filled, "base.material"),
            Some(expected),
            "{choice:?}"
        );
        // And the choice outlives the next save.
        let next = kept(
            &bed.typed(&[("dates.insertion", "2026-03-18")]),
            &chosen,
            &bed.known(),
        );
        let mut after = chosen.clone();
        apply(&mut after, &merge(&chosen, &chosen, &next).taken);
        assert_eq!(after.get(USUAL), chosen.get(USUAL));
    }
    // Emptied by the form: none, for good.
    let emptied = kept(&bed.typed(&[(USUAL, "")]), &draft, &bed.known());
    assert_eq!(emptied.get(USUAL).map(String::as_str), Some(" "));
    let mut without = draft.clone();
    without.extend(emptied);
    let again = kept(&bed.typed(&[(USUAL, "")]), &without, &bed.known());
    assert_eq!(again.get(USUAL).map(String::as_str), Some(" "));
}

#[test]
fn a_draft_begun_before_there_was_a_set_takes_none_that_is_made_later() {
    let material = |bed: &Bed, draft: &Fields| {
        let filled = fill(draft, &bed.known());
        value(&filled, "base.material").map(|(text, _)| text.to_owned())
    };
    let save = |bed: &Bed, draft: &Fields, sent: &[(&str, &str)]| {
        let kept = kept(&bed.typed(sent), draft, &bed.known());
        let mut after = draft.clone();
        apply(&mut after, &merge(draft, draft, &kept).taken);
        after
    };
    let mut bed = copied();
    let begun = save(&bed, &Fields::new(), &[COPY]);
    assert_eq!(begun.get(USUAL), Some(&InUse::without(Course::Copy)));
    let before = material(&bed, &begun);
    let values = [("base.material", "high_impact")];
    bed.beforehand.office = vec![set("office", 1, &[], &values)];
    bed.beforehand.lab = vec![set("lab", 1, &[], &[("finish.keep_months", "12")])];
    assert_eq!(material(&bed, &begun), before);
    assert_eq!(
        value(&fill(&begun, &bed.known()), "finish.keep_months"),
        None
    );
    // Neither by a later save, nor by a page that sends the choice as it shows it: empty.
    for sent in [("dates.wanted", "2026-03-17"), (USUAL, "")] {
        let draft = save(&bed, &begun, &[sent]);
        assert_eq!(draft.get(USUAL), begun.get(USUAL), "{sent:?}");
        assert_eq!(material(&bed, &draft), before);
    }
    // It is taken once it is chosen, let go again for good, and offered to another kind of work.
    let chosen = save(&bed, &begun, &[(USUAL, "office.1")]);
    assert_eq!(material(&bed, &chosen), Some("high_impact".to_owned()));
    let let_go = save(&bed, &chosen, &[(USUAL, "")]);
    assert_eq!(
        (
            let_go.get(USUAL).map(String::as_str),
            material(&bed, &let_go)
        ),
        (Some(" "), before)
    );
    let other = save(&bed, &begun, &[("order.course", "everything")]);
    assert_eq!(other.get(USUAL).map(String::as_str), Some("office.1"));
    assert_eq!(material(&bed, &other), Some("high_impact".to_owned()));
}

#[test]
fn an_order_that_goes_on_takes_over_what_was_signed_for_the_patient_before() {
    let mut bed = usual();
    bed.beforehand.before = before(&[
        ("base.material", "polyamide"),
        ("shade.tab", "birch 5"),
        ("anterior.upper_mould", "Otter 9"),
        ("marking.answer", "accepted"),
        ("vertical.rest_mm", "70"),
        ("seal.by", "lab"),
    ]);
    let new = bed.filled(&[COPY]);
    assert_eq!(
        value(&new, "base.material"),
        Some(("high_impact", Some(Origin::Usual(3))))
    );
    assert_eq!(value(&new, "shade.tab"), None);
    let remake = bed.filled(&[COPY, ("order.kind", "remake")]);
    for (key, text) in [
        ("base.material", "polyamide"),
        ("shade.tab", "birch 5"),
        ("anterior.upper_mould", "Otter 9"),
    ] {
        assert_eq!(
            value(&remake, key),
            Some((text, Some(Origin::Before))),
            "{key}"
        );
    }
    // Nothing that is asked again, that was measured, or that is no matter of the patient.
    assert_eq!(value(&remake, "marking.answer"), None);
    assert_eq!(value(&remake, "vertical.rest_mm"), None);
    assert_eq!(
        value(&remake, "seal.by"),
        Some(("in_pattern", Some(Origin::Pattern)))
    );
    // A next stage goes on by its kind of work; what it has no place for is left.
    let finish = bed.filled(&[("order.course", "finish")]);
    assert_eq!(
        value(&finish, "shade.tab"),
        Some(("birch 5", Some(Origin::Before)))
    );
    let remount = bed.filled(&[("order.course", "remount")]);
    assert_eq!(value(&remount, "base.material"), None);
}

fn asked(bed: &Bed, pairs: &[(&str, &str)]) -> Vec<(Level, String, String)> {
    let filled = bed.filled(pairs);
    let setting = Setting {
        usual_otherwise: otherwise(&filled, &bed.known()),
        ..bed.setting()
    };
    let document = read(&filled.fields, Numbering::Iso3950).document;
    let found = review(&document, &setting).into_iter();
    let found = found.filter(|one| one.id == "usual-otherwise-than-before");
    found
        .map(|one| (one.level, one.key, one.sentence))
        .collect()
}

#[test]
fn a_usual_value_that_the_case_before_had_otherwise_is_asked() {
    let mut bed = usual();
    assert_eq!(asked(&bed, &[COPY]), []);
    bed.beforehand.before = before(&[
        ("base.material", "polyamide"),
        ("base.process", "injection"),
        ("occlusion.scheme", "balanced"),
        ("facebow.plane", "camper"),
    ]);
    let case = bed
        .beforehand
        .before
        .as_ref()
        .map(|one| one.number.to_string());
    let found = asked(&bed, &[COPY]);
    let [(level, key, sentence)] = found.as_slice() else {
        panic!("{found:?}");
    };
    assert_eq!((*level, key.as_str()), (Level::Caution, "occlusion.scheme"));
    assert_eq!(
        *sentence,
        format!(
            "The patient’s last signed case, {}, had otherwise what is usual here. Scheme: usual is lingualized, and \
             the case before had bilateral balanced. Base material: usual is high-impact acrylic resin, and the case \
             before had polyamide.",
            case.unwrap_or_default()
        )
    );
    // Whoever types it has decided it; and what is taken over from the case before is not usual.
    let typed = [
        COPY,
        ("base.material", "polyamide"),
        ("occlusion.scheme", "monoplane"),
    ];
    assert_eq!(asked(&bed, &typed), []);
    assert_eq!(asked(&bed, &[COPY, ("order.kind", "remake")]), []);
}

#[test]
fn an_excluded_material_is_stopped_though_nobody_typed_it() {
    let ids = |usual: &str| {
        let mut bed = copied();
        let values = [("base.product", usual)];
        bed.beforehand.office = vec![set("one", 1, &[], &values)];
        let filled = bed.filled(&[COPY]);
        let card = fields(&[
            ("patient.exclusions", "listed"),
            ("patient.no_nickel", "yes"),
        ]);
        let setting = Setting {
            patient: Some(crate::domain::people::patient::read(&card).patient),
            ..bed.setting()
        };
        let document = read(&filled.fields, Numbering::Iso3950).document;
        let found = review(&document, &setting).into_iter();
        let at_it = found.filter(|one| one.key == "base.product" && one.level == Level::Stop);
        at_it.map(|one| one.id).collect::<Vec<_>>()
    };
    assert_eq!(
        ids("nickel-chromium mesh base, sample label"),
        ["alloy-holds-what-is-excluded"]
    );
    assert_eq!(ids("clear resin, sample label"), [""; 0]);
}

#[test]
fn a_product_goes_with_the_material_of_its_own_set_alone() {
    let product = |office: &[(&str, &str)], typed: &[(&str, &str)]| {
        let mut bed = copied();
        let lab = [
            ("base.material", "heat_cured"),
            ("base.product", "sample resin"),
        ];
        bed.beforehand.office = vec![set("office", 1, &[], office)];
        bed.beforehand.lab = vec![set("lab", 1, &[], &lab)];
        let all: Vec<(&str, &str)> = [COPY].into_iter().chain(typed.iter().copied()).collect();
        let filled = bed.filled(&all);
        filled
            .fields
            .get("base.product")
            .cloned()
            .unwrap_or_default()
    };
    assert_eq!(product(&[], &[]), "sample resin");
    assert_eq!(product(&[("base.material", "milled")], &[]), "");
    assert_eq!(product(&[], &[("base.material", "polyamide")]), "");
}

#[test]
fn a_contradiction_is_found_in_what_nobody_typed() {
    let mut bed = copied();
    let values = [("base.material", "milled"), ("base.process", "injection")];
    bed.beforehand.office = vec![set("one", 1, &[], &values)];
    let filled = bed.filled(&[COPY]);
    let document = read(&filled.fields, Numbering::Iso3950).document;
    let found = review(&document, &bed.setting());
    assert!(
        found
            .iter()
            .any(|one| one.id == "process-of-another-material")
    );
}

/// Values as a form would take them.
fn some_values(side: Side) -> impl Strategy<Value = Fields> {
    let keys: Vec<&'static str> = held_by(side).iter().map(|spec| spec.key).collect();
    let words = vec![
        "yes",
        "no",
        "none",
        "2",
        "12",
        "lab",
        "office",
        "heat_cured",
        "milled",
        "injection",
        "camper",
        "pattern",
        "average",
        "cross_linked",
        "some words",
        "both",
        "patient",
    ];
    prop::collection::btree_map(
        prop::sample::select(keys),
        prop::sample::select(words),
        0..60,
    )
    .prop_map(move |typed| {
        let raw = typed.into_iter();
        let raw = raw
            .map(|(key, text)| (key.to_owned(), text.to_owned()))
            .collect();
        UsualSet::read_values(&raw, side, &mut Vec::new())
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn whatever_is_usual_only_what_may_be_is_filled_in_and_it_is_read_without_a_fault(
        office in some_values(Side::Office),
        lab in some_values(Side::Lab),
        course in prop::sample::select(Course::ALL.to_vec()),
        arches in prop::sample::select(vec![Arches::Both, Arches::Upper, Arches::Lower]),
        names in any::<bool>(),
    ) {
        let mut bed = copied();
        bed.arches = arches;
        let courses: &[Course] = if names { &[course] } else { &[] };
        let values = |of: &Fields| of.iter().map(|(key, text)| (key.clone(), text.clone())).collect::<Vec<_>>();
        let as_set = |id: &str, of: &Fields| {
            let owned = values(of);
            let pairs: Vec<(&str, &str)> = owned.iter().map(|(key, text)| (key.as_str(), text.as_str())).collect();
            set(id, 1, courses, &pairs)
        };
        bed.beforehand.office = vec![as_set("o", &office)];
        bed.beforehand.lab = vec![as_set("l", &lab)];
        let filled = bed.filled(&[("order.course", course.word())]);
        for (key, from) in &filled.from {
            let (side, own) = match from {
                Origin::Usual(_) => (Side::Office, &office),
                Origin::UsualOfLab(_) => (Side::Lab, &lab),
                _ => continue,
            };
            if key.starts_with("form.") {
                continue;
            }
            prop_assert!(may_hold(side, key), "{key}");
            let text = filled.fields.get(key);
            let is_row = key.starts_with("enclosed.");
            let stored = own.get(if is_row { "enclosed.0.agent" } else { key });
            let is_other_place = key == "marking.place";
            prop_assert!(is_row || is_other_place || text == stored, "{key}");
        }
        prop_assert_eq!(read(&filled.fields, Numbering::Iso3950).faults, vec![]);
        // The page as it is shown and comes back stores nothing.
        let typed = bed.typed(&[("order.course", course.word())]);
        let stored = kept(&filled.fields, &typed, &bed.known());
        prop_assert_eq!(stored, typed);
    }
}

#[test]
fn what_is_carried_is_read_in_every_course_without_a_fault() {
    let signed = sample::raw();
    for course in Course::ALL {
        let mut bed = copied();
        let carried: Vec<(&str, &str)> = CARRIED
            .iter()
            .filter_map(|(key, _)| Some((*key, signed.get(*key)?.as_str())))
            .collect();
        assert!(carried.len() > 12);
        bed.beforehand.before = before(&carried);
        let filled = bed.filled(&[("order.course", course.word()), ("order.kind", "remake")]);
        let reading = read(&filled.fields, Numbering::Iso3950);
        assert_eq!(reading.faults, [], "{}", course.word());
    }
}
