//! What is rightly not asked: each false question of before with its counter-example, and what a reason is for.

use super::rules::state;
use super::*;
use crate::domain::custody::Holder;
use crate::domain::review::{
    Finding, Passed, applying, criteria, mark_of, reasons_for, score, unanswered,
};

#[test]
fn every_rule_that_falls_silent_is_a_rule() {
    for id in crate::domain::review::courses::silenced() {
        assert!(
            crate::domain::review::rules().any(|rule| rule.id == id),
            "{id}"
        );
    }
}

#[test]
fn every_finding_is_of_a_part_of_the_prescription() {
    use crate::domain::prescription::section_of;
    use crate::domain::review::{NO_PART, part_of_finding, part_of_point};
    for rule in crate::domain::review::rules() {
        let part = part_of_finding(rule.id);
        assert!(
            section_of(part).is_some_and(|one| one.key == part),
            "{}",
            rule.id
        );
    }
    for (id, part) in [
        ("functional-surface-undated", "impression"),
        ("criterion-10-tooth-shade", "shade"),
        ("criterion-5-signature", NO_PART),
        ("no-such-finding", NO_PART),
    ] {
        assert_eq!(part_of_finding(id), part, "{id}");
    }
    assert_eq!((part_of_point(7), part_of_point(99)), ("dates", NO_PART));
}

fn says(edits: Edits<'_>, id: &str) -> bool {
    ids(&found(edits)).contains(&id)
}

#[test]
fn p14_grooves_beside_the_occlusal_edge_are_not_in_the_chewing_surface() {
    let asked =
        |text: &'static str| says(&[("jaw.grooves", text)], "grooves-on-the-chewing-surface");
    for text in [
        "two in each block, 3 mm from the occlusal edge",
        "cheek side, occlusal third",
        "along the occlusal border of the upper block",
        "beside the chewing surface",
    ] {
        assert!(!asked(text), "{text}");
    }
    for text in [
        "two on the occlusal surface of each block",
        "across the chewing surfaces",
        "in the occlusal fissures",
    ] {
        assert!(asked(text), "{text}");
    }
}

#[test]
fn p14_a_width_that_the_labs_list_gives_is_not_asked_for() {
    let without: Edits<'_> = &[
        ("anterior.width_mm", ""),
        ("anterior.width_method", ""),
        ("anterior.central_width_mm", ""),
    ];
    assert!(!says(without, "mould-without-width"));
    let (document, mut setting) = changed(without);
    setting.lists = crate::domain::trade::lists::Lists::default();
    assert!(ids(&review(&document, &setting)).contains(&"mould-without-width"));
}

#[test]
fn p14_what_the_lab_has_need_not_be_enclosed() {
    let single: Edits<'_> = &[
        ("pieces.1.*", ""),
        ("pieces.0.opposing", "natural"),
        ("enclosed.1.tag", "@tab"),
        ("enclosed.4.*", ""),
    ];
    assert!(says(single, "opposing-not-enclosed"));
    let (document, mut setting) = changed(single);
    state(&mut setting, "cast_lower").holder = Holder::Lab;
    assert!(!ids(&review(&document, &setting)).contains(&"opposing-not-enclosed"));
}

#[test]
fn p14_no_facebow_record_is_named_where_none_was_made() {
    let other: Edits<'_> = &[
        ("facebow.plane", "frankfort"),
        ("facebow.third_point", "orbitale"),
    ];
    assert!(says(other, "guidance-on-another-plane"));
    let none: Edits<'_> = &[("facebow.made", "no"), ("facebow.plane", "none")];
    assert!(!says(none, "guidance-on-another-plane"));
}

#[test]
fn p14_a_material_that_sets_is_not_judged_as_one_that_flows() {
    let briefly: Edits<'_> = &[
        ("impression.placed_on", "2026-03-02"),
        ("impression.placed_at", "10:00"),
    ];
    assert!(says(briefly, "functional-surface-worn-briefly"));
    for material in ["silicone", "polyether", "hard_reline", "zoe"] {
        for (key, text) in [
            ("impression.placed_on", "2026-03-02"),
            ("impression.removed_at", ""),
        ] {
            let edits = [
                ("impression.material", material),
                ("impression.placed_at", "10:00"),
                (key, text),
            ];
            let found = ids(&found(&edits));
            let judged = found.iter().any(|id| id.starts_with("functional-surface-"));
            assert!(!judged, "{material}: {found:?}");
        }
    }
}

#[test]
fn p14_an_old_denture_is_a_danger_only_beside_another_one() {
    const ID: &str = "old-denture-with-the-patient";
    let (document, mut setting) = changed(&[]);
    state(&mut setting, "old_upper").holder = Holder::Patient;
    assert!(ids(&review(&document, &setting)).contains(&ID));
    // While it is what the patient wears, and while record bases are made.
    setting.worn_upper = sample::tag("old_upper");
    assert!(!ids(&review(&document, &setting)).contains(&ID));
    let (document, mut setting) =
        changed(&[("pieces.0.stage", "rims"), ("pieces.1.stage", "rims")]);
    state(&mut setting, "old_upper").holder = Holder::Patient;
    assert!(!ids(&review(&document, &setting)).contains(&ID));
}

#[test]
fn p14_a_later_revision_does_not_ask_the_age_of_what_left_long_ago() {
    let (document, mut setting) =
        changed(&[("jaw.material", "wax"), ("dates.wanted", "2026-04-01")]);
    setting.today = time::macros::date!(2026 - 03 - 19);
    setting.previous = Some(sample::document());
    let asked = |setting: &Setting| {
        let found = ids(&review(&document, setting));
        ["functional-surface-old", "wax-record-old"].map(|id| found.contains(&id))
    };
    // Still here, it has waited for seventeen days.
    assert_eq!(asked(&setting), [true, true]);
    for thing in ["provisional_upper", "provisional_lower", "bite"] {
        state(&mut setting, thing).holder = Holder::Lab;
    }
    assert_eq!(asked(&setting), [false, false]);
}

#[test]
fn p9_a_reason_is_for_what_the_finding_said() {
    let thin = |mm: &'static str| found(&[("base.palate_mm", mm)]);
    let reason_for = |finding: &Finding| Passed {
        id: finding.id.to_owned(),
        mark: finding.mark(),
        reason: "the patient asked for it thin".to_owned(),
    };
    let (first, second) = (thin("1.2"), thin("0.3"));
    let passed = [reason_for(&first[0])];
    assert!(unanswered(&first, &passed).is_empty());
    let open = unanswered(&second, &passed);
    assert_eq!(open.len(), 1, "another sentence is another question");
    assert_eq!(open[0].id, first[0].id);
    assert!(
        unanswered(&thin("1.2"), &passed).is_empty(),
        "and back again"
    );
    // A reason for one row does not pass the rows that are added.
    let agents = found(&[("enclosed.4.agent", "")]);
    let reason = [reason_for(&agents[0])];
    let more = found(&[("enclosed.4.agent", ""), ("enclosed.0.agent", "")]);
    assert_eq!(unanswered(&more, &reason).len(), 1);
}

#[test]
fn a_reason_that_was_typed_before_a_sentence_was_mended_is_for_it_still() {
    // As this sentence read before.
    let was = "Who keeps the spare is not said.";
    let findings = found(&[("spare.keeper", "")]);
    let keeper = findings.iter().find(|one| one.key == "spare.keeper");
    assert_eq!(
        keeper.unwrap().sentence,
        "Who keeps the spare is not given."
    );
    let reason = |mark: String, words: &str| Passed {
        id: keeper.unwrap().id.to_owned(),
        mark,
        reason: words.to_owned(),
    };
    let (before, now) = (mark_of(was), keeper.unwrap().mark());
    let typed = vec![reason(before.clone(), "the family keeps it")];
    assert_eq!(unanswered(&findings, &typed).len(), 1);
    let carried = reasons_for(&findings, typed);
    assert!(unanswered(&findings, &carried).is_empty());
    // What is typed for the sentence of now goes before, also where it is empty; another sentence is another question.
    let both = vec![reason(before, "the family keeps it"), reason(now, "")];
    let carried = reasons_for(&findings, both);
    assert_eq!(carried.len(), 1);
    assert_eq!(unanswered(&findings, &carried).len(), 1);
    let other = vec![reason(mark_of("Who keeps it?"), "the family keeps it")];
    assert_eq!(
        unanswered(&findings, &reasons_for(&findings, other)).len(),
        1
    );
    // Older spelling and older words in one.
    let resin = found(&[("spare.tooth_shade", "")]);
    let resin = resin
        .iter()
        .find(|one| one.key == "spare.tooth_shade")
        .unwrap();
    let was = "The spare’s teeth are of tooth-coloured resin, and its shade is not given.";
    assert!(resin.had_mark(&mark_of(was)), "{}", resin.sentence);
    // What a material was called last.
    let metal = found(&[
        ("base.strengthening", "metal_mesh"),
        ("pieces.0.materials", "heat-cured resin, glass fiber"),
    ]);
    let mut metal = metal.iter();
    let metal = metal.find(|one| one.sentence.ends_with("name fiber."));
    let metal = metal.expect("fiber against a metal mesh is told");
    let was = metal.sentence.replace("fiber", "fibre");
    assert!(metal.had_mark(&mark_of(&was)), "{}", metal.sentence);
}

#[test]
fn p18_both_kinds_of_teeth_are_needed_and_only_what_applies_is_counted() {
    for key in [
        "anterior.material",
        "posterior.material",
        "posterior.cusp_angle",
    ] {
        assert!(says(&[(key, "")], "criterion-12-tooth-material"), "{key}");
    }
    let of = |stage: &'static str| {
        let (document, setting) = changed(&[("pieces.0.stage", stage), ("pieces.1.stage", stage)]);
        let criteria = criteria(&document, &setting);
        (score(&criteria), applying(&criteria))
    };
    for (stage, points) in [
        ("process", 24),
        ("tray", 12),
        ("rims", 12),
        ("set_up", 19),
        ("reset", 12),
        ("duplicate", 15),
        ("reline", 15),
        ("rebase", 17),
        ("repair", 13),
        ("remount", 14),
    ] {
        let (met, applying) = of(stage);
        assert_eq!(applying, points, "{stage}");
        assert!(met <= applying, "{stage}");
    }
    let (document, setting) = changed(&[("pattern.source", "try_in")]);
    assert_eq!(applying(&criteria(&document, &setting)), 18, "finish");
    // The seal is of the upper denture alone.
    let (document, setting) = changed(&[("pieces.0.*", "")]);
    assert_eq!(applying(&criteria(&document, &setting)), 23);
}

#[test]
fn a_point_that_a_caution_tells_is_not_told_twice() {
    use crate::domain::prescription::revision::{MissingPoint, PassedCaution};
    use crate::domain::review::points_without_caution;
    let point = |number: u32, name: &str| MissingPoint {
        number,
        name: name.to_owned(),
        reason: "later".to_owned(),
    };
    let passed = |id: &str| PassedCaution {
        id: id.to_owned(),
        sentence: "As it was shown.".to_owned(),
        reason: "later".to_owned(),
    };
    let missing = [
        point(13, "Base shade"),
        point(23, "Materials to be avoided"),
        point(14, "Occlusal scheme"),
    ];
    let told = |ids: &[&str]| -> Vec<u32> {
        let passed: Vec<PassedCaution> = ids.iter().copied().map(passed).collect();
        points_without_caution(&missing, &passed)
            .map(|point| point.number)
            .collect()
    };
    assert_eq!(told(&[]), [13, 23, 14]);
    let asked = ["criterion-13-base-shade", "criterion-23-exclusions"];
    assert_eq!(told(&asked), [14]);
    // A caution beside the point leaves it, and so does a number that the list does not have.
    assert_eq!(told(&["mould-without-width"]), [13, 23, 14]);
    assert_eq!(
        points_without_caution(&[point(99, "Of another list")], &[]).count(),
        1
    );
}
