//! A finish against the try-in that was looked at: its teeth, its shade, the office's own check of it; and the record of a
//! reset against that of the set-up.

use super::*;
use crate::domain::custody::fit::{FitFound, FitValue, FitVerdict};
use crate::domain::form::Text;
use crate::domain::prescription::Stage;
use crate::domain::values::measure::Decimal;
use crate::domain::values::moment::whole_day;
use time::Date;
use time::macros::date;

const FINISH: Edits<'static> = &[
    ("pattern.source", "try_in"),
    ("approval.arrangement", "yes"),
    ("approval.height", "yes"),
];

/// The order by which the try-in was made: the sample, in wax.
fn set_up() -> Prescription {
    let mut before = sample::document();
    for piece in &mut before.order.pieces {
        piece.stage = Some(Stage::TryIn);
    }
    before
}

fn said(document: &Prescription, setting: &Setting, id: &str) -> Option<(String, String)> {
    let mut found = review(document, setting).into_iter();
    let found = found.find(|one| one.id == id);
    found.map(|one| (one.key.to_string(), one.sentence))
}

/// What is said of a finish whose text differs by these fields from the order of its try-in.
fn finished(edits: Edits<'_>, before: Option<Prescription>, id: &str) -> Option<(String, String)> {
    let (document, mut setting) = changed(&[FINISH, edits].concat());
    setting.previous = before;
    said(&document, &setting, id)
}

#[test]
fn teeth_and_shade_are_those_of_the_try_in_that_was_approved() {
    const TEETH: &str = "teeth-of-another-try-in";
    const SHADE: &str = "shade-of-another-try-in";
    let mould = set_up().anterior.upper_mould;
    let mould = mould.as_ref().map(Text::as_str).unwrap().to_owned();
    for (key, text) in [
        ("anterior.upper_mould", "Sedge 4"),
        ("anterior.lower_mould", "Sedge 4"),
        ("posterior.upper_mould", "Sedge 4"),
        ("posterior.lower_mould", "Sedge 4"),
    ] {
        let found = finished(&[(key, text)], Some(set_up()), TEETH);
        let (at, sentence) = found.unwrap();
        assert_eq!(at, key);
        assert!(
            sentence.ends_with("and the finish names Sedge 4."),
            "{sentence}"
        );
        // Nobody looked at a try-in, or the wax is still to be made.
        assert_eq!(finished(&[(key, text)], None, TEETH), None);
        assert_eq!(
            finished(&[(key, text)], Some(sample::document()), TEETH),
            None
        );
        let reset = [
            (key, text),
            ("pieces.0.stage", "reset"),
            ("pieces.1.stage", "reset"),
        ];
        assert_eq!(finished(&reset, Some(set_up()), TEETH), None);
    }
    // The same written otherwise, and one that is named no more or for the first time.
    let same = format!(" {}", mould.to_uppercase());
    for text in [same.as_str(), ""] {
        let edits = [("anterior.upper_mould", text)];
        assert_eq!(finished(&edits, Some(set_up()), TEETH), None, "{text}");
    }
    let mut open = set_up();
    open.anterior.upper_mould = None;
    let edits = [("anterior.upper_mould", "Sedge 4")];
    assert_eq!(finished(&edits, Some(open), TEETH), None);
    assert_eq!(finished(&[], Some(set_up()), TEETH), None);

    let lighter = [("shade.tab", "birch 5"), ("spare.tooth_shade", "birch 5")];
    let found = finished(&lighter, Some(set_up()), SHADE);
    assert_eq!(found.unwrap().0, "shade.tab");
    // It is said once.
    let approval = finished(&lighter, Some(set_up()), "shade-changed-after-approval");
    assert_eq!(approval, None);
    assert_eq!(finished(&lighter, Some(sample::document()), SHADE), None);
    assert_eq!(finished(&[], Some(set_up()), SHADE), None);
}

#[test]
fn an_answer_that_all_is_right_is_held_against_the_offices_check() {
    let check = |value, verdict| {
        let number = |text: &str| Decimal::parse(text).unwrap();
        let is_height = value == FitValue::Ovd;
        vec![FitFound {
            asked: is_height.then(|| number("64")),
            readings: is_height.then(|| number("66.9")).into_iter().collect(),
            ..FitFound::unread(value, verdict)
        }]
    };
    let found = |edits: Edits<'_>, before: Prescription, checked: Vec<FitFound>| {
        let (document, mut setting) = changed(&[FINISH, edits].concat());
        (setting.previous, setting.found_on_fit) = (Some(before), checked);
        said(&document, &setting, "approved-against-the-check")
    };
    let off = || check(FitValue::Ovd, FitVerdict::NotAsAsked);
    assert_eq!(
        found(&[], set_up(), off()),
        Some((
            "approval.height".to_owned(),
            "It is said that the height is right, and the office’s check of the try-in says: OVD, asked 64 mm, measured \
             66.9 mm: not as asked."
                .to_owned()
        ))
    );
    let midline = check(FitValue::Midline, FitVerdict::NotAsAsked);
    let (key, _) = found(&[], set_up(), midline).unwrap();
    assert_eq!(key, "approval.arrangement");
    for (edits, before, checked) in [
        (&[][..], set_up(), check(FitValue::Ovd, FitVerdict::AsAsked)),
        (&[], set_up(), check(FitValue::Ovd, FitVerdict::CannotTell)),
        (
            &[],
            set_up(),
            check(FitValue::Marking, FitVerdict::NotAsAsked),
        ),
        (&[], set_up(), Vec::new()),
        // The answer says it, or the check was of the finished denture.
        (&[("approval.height", "no")], set_up(), off()),
        (&[], sample::document(), off()),
    ] {
        assert_eq!(found(edits, before, checked), None, "{edits:?}");
    }
}

/// Common practice, no source: what was reset since is another try-in.
#[test]
fn a_try_in_is_looked_at_after_it_came_from_the_lab() {
    const LOOKED: Edits<'static> = &[
        ("approval.item_upper", "@provisional_upper"),
        ("approval.item_lower", "@provisional_lower"),
        ("approval.on", "2026-02-20"),
    ];
    const RESET: Edits<'static> = &[
        ("pieces.0.stage", "reset"),
        ("pieces.1.stage", "reset"),
        ("pattern.source", "none"),
    ];
    let asked = |edits: Edits<'_>, came: Date| {
        let (document, mut setting) = changed(&[FINISH, LOOKED, edits].concat());
        let lower = sample::tag("provisional_lower").unwrap();
        setting.came_in.insert(lower, came);
        said(&document, &setting, "approval-before-the-try-in")
    };
    let lower = sample::tag_text("provisional_lower");
    let (key, sentence) = asked(&[], date!(2026 - 02 - 21)).unwrap();
    assert_eq!(key, "approval.on");
    assert_eq!(
        sentence,
        format!(
            "The try-in is said to have been looked at on {}, and {lower} came from the lab on {}.",
            whole_day(date!(2026 - 02 - 20)),
            whole_day(date!(2026 - 02 - 21))
        )
    );
    assert!(asked(RESET, date!(2026 - 02 - 21)).is_some());
    assert_eq!(asked(&[], date!(2026 - 02 - 20)), None);
    let unsaid = [("approval.on", "")];
    assert_eq!(asked(&unsaid, date!(2026 - 02 - 21)), None);
    // Another denture that came is none that was looked at.
    let upper = [("approval.item_lower", ""), ("pattern.lower_item", "")];
    assert_eq!(asked(&upper, date!(2026 - 02 - 21)), None);
}

#[test]
fn the_record_of_a_reset_is_not_that_of_its_set_up() {
    const ID: &str = "record-of-before-the-reset";
    let reset: Edits<'_> = &[
        ("pieces.0.stage", "reset"),
        ("pieces.1.stage", "reset"),
        ("approval.height", "no"),
    ];
    let (document, mut setting) = changed(reset);
    assert_eq!(said(&document, &setting, ID), None);
    setting.previous = Some(set_up());
    let (key, sentence) = said(&document, &setting, ID).unwrap();
    assert_eq!(key, "jaw.item");
    assert!(
        sentence.ends_with("is the bite record that it was set up by."),
        "{sentence}"
    );
    // A reset that is written once more keeps its own.
    let mut again = document.clone();
    again.anterior.upper_mould = None;
    setting.previous = Some(again);
    assert_eq!(said(&document, &setting, ID), None);
}

#[test]
fn the_refused_height_is_not_the_new_one() {
    const ID: &str = "height-of-before-the-reset";
    let reset = |edits: Edits<'_>, is_next_round: bool, before: Option<Prescription>| {
        let refused: Edits<'_> = &[
            ("pieces.0.stage", "reset"),
            ("pieces.1.stage", "reset"),
            ("approval.height", "no"),
            ("vertical.order", "keep"),
            ("vertical.change_mm", ""),
        ];
        let (document, mut setting) = changed(&[refused, edits].concat());
        (setting.previous, setting.is_next_round) = (before, is_next_round);
        said(&document, &setting, ID)
    };
    let old = set_up().vertical.occlusal_mm.unwrap();
    let (key, sentence) = reset(&[], false, Some(set_up())).unwrap();
    assert_eq!(key, "vertical.occlusal_mm");
    assert!(sentence.contains(&format!("{old} mm")), "{sentence}");
    // Common practice, no source: a wrong centric at a good height is a new record and no other height, so a reason passes it.
    let mut rules = crate::domain::review::rules();
    let rule = rules.find(|rule| rule.id == ID).unwrap();
    assert_eq!(rule.level, crate::domain::review::Level::Caution);
    for edits in [
        &[("vertical.occlusal_mm", "61.5")][..],
        &[("vertical.occlusal_mm", "")],
        // It is what the bite is opened from.
        &[("vertical.order", "open"), ("vertical.change_mm", "1")],
        &[("approval.height", "yes")],
    ] {
        assert_eq!(reset(edits, false, Some(set_up())), None, "{edits:?}");
    }
    assert_eq!(reset(&[], false, None), None);
    // A reset that is written once more has its new height already; once that was tried in, it can be refused too.
    let mut again = set_up();
    again.approval.height = Some(crate::domain::form::YesNo::No);
    assert_eq!(reset(&[], false, Some(again.clone())), None);
    assert!(reset(&[], true, Some(again)).is_some());
}

#[test]
fn records_by_which_the_try_in_stands_mounted_need_not_go_along() {
    let asked = |edits: Edits<'_>, before: Option<Prescription>, id: &str| {
        let (document, mut setting) = changed(edits);
        setting.previous = before;
        said(&document, &setting, id).is_some()
    };
    let reset = [("pieces.0.stage", "reset"), ("pieces.1.stage", "reset")];
    for (row, id) in [
        ("enclosed.2.*", "record-not-enclosed"),
        ("enclosed.3.*", "facebow-not-enclosed"),
    ] {
        let gone = [(row, "")];
        let kinds = [FINISH, &reset[..]];
        for kind in kinds {
            let edits = [kind, &gone[..]].concat();
            assert!(!asked(&edits, Some(set_up()), id), "{id}");
            // Nothing was mounted by it yet.
            assert!(asked(&edits, None, id), "{id}");
        }
        let refused = [&reset[..], &gone[..], &[("approval.height", "no")]].concat();
        assert!(asked(&refused, Some(set_up()), id), "{id}");
    }
}

#[test]
fn teeth_that_are_as_wanted_are_not_changed() {
    let asked = |edits: Edits<'_>| {
        let reset: Edits<'_> = &[("pieces.0.stage", "reset"), ("pieces.1.stage", "reset")];
        let (document, setting) = changed(&[reset, edits].concat());
        said(&document, &setting, "reset-of-an-approved-try-in")
    };
    let wanted = ("approval.arrangement", "yes");
    let refused = ("approval.height", "no");
    let (_, sentence) = asked(&[wanted, refused]).unwrap();
    assert_eq!(
        sentence,
        "The teeth are as wanted, and changes of them are listed."
    );
    assert_eq!(asked(&[wanted, refused, ("changes.*", "")]), None);
    assert_eq!(asked(&[("approval.arrangement", "no"), refused]), None);
}

#[test]
fn readings_that_are_off_both_heights_are_said_of_both() {
    let (document, setting) =
        changed(&[("vertical.rest_mm", "80"), ("vertical.occlusal_mm", "70")]);
    let (key, sentence) = said(&document, &setting, "vertical-off-its-readings").unwrap();
    assert_eq!(key, "vertical.occlusal_mm");
    assert!(
        sentence.starts_with("For occlusion 70 mm is given")
            && sentence.contains("; for rest 80 mm is given"),
        "{sentence}"
    );
    // Neither number nor what becomes of it: both are said.
    let (document, setting) = changed(&[("vertical.order", ""), ("vertical.occlusal_mm", "")]);
    let (key, sentence) = said(&document, &setting, "criterion-15-vertical").unwrap();
    assert_eq!(key, "vertical.occlusal_mm");
    assert!(
        sentence.contains("nor whether the height is kept"),
        "{sentence}"
    );
}

#[test]
fn what_a_finish_left_in_the_draft_is_not_asked_of_wax() {
    let left: Edits<'_> = &[
        ("base_shade.guide", ""),
        ("marking.answer", "accepted"),
        ("marking.text", ""),
        ("marking.place", ""),
        ("pattern.source", "none"),
        ("seal.by", "in_pattern"),
    ];
    let ids = [
        "base-shade-without-guide",
        "mark-without-text",
        "mark-without-place",
        "seal-of-no-pattern",
    ];
    for (stage, course, is_asked) in [
        ("process", "finish", true),
        ("try_in", "set_up", false),
        ("reset", "reset", false),
    ] {
        let of_it = [
            ("order.course", course),
            ("pieces.0.stage", stage),
            ("pieces.1.stage", stage),
        ];
        let (document, setting) = changed(&[left, &of_it[..]].concat());
        for id in ids {
            let found = said(&document, &setting, id).is_some();
            assert_eq!(found, is_asked, "{id} {course}");
        }
    }
}

/// Common practice, no source: the wax that was approved stands at its height, and is finished or set again at that.
#[test]
fn an_approved_height_is_the_one_of_the_try_in() {
    const ID: &str = "height-of-another-try-in";
    let height = |mm: &'static str| ("vertical.occlusal_mm", mm);
    let keep: Edits<'_> = &[("vertical.order", "keep"), ("vertical.change_mm", "")];
    let (key, sentence) = finished(&[keep, &[height("71")]].concat(), Some(set_up()), ID).unwrap();
    assert_eq!(key, "vertical.occlusal_mm");
    assert_eq!(
        sentence,
        "The height of the try-in is approved, which was set up to 65 mm, and the finish names 71 mm."
    );
    for edits in [
        &[height("65")][..],
        &[height("")],
        // It is answered with no, or to be changed: both are asked about by themselves.
        &[height("71"), ("approval.height", "no")],
        &[
            height("71"),
            ("vertical.order", "open"),
            ("vertical.change_mm", "2"),
        ],
    ] {
        let edits = [keep, edits].concat();
        assert_eq!(finished(&edits, Some(set_up()), ID), None, "{edits:?}");
    }
    assert_eq!(finished(&[keep, &[height("71")]].concat(), None, ID), None);
    // The same of a reset whose height was right.
    let reset: Edits<'_> = &[
        ("pieces.0.stage", "reset"),
        ("pieces.1.stage", "reset"),
        ("pattern.source", "none"),
    ];
    let (_, sentence) =
        finished(&[keep, reset, &[height("61")]].concat(), Some(set_up()), ID).unwrap();
    assert!(
        sentence.ends_with("and the reset names 61 mm."),
        "{sentence}"
    );
    // What the try-in was opened to is its height: 65 mm and 2 mm at the incisors.
    let mut opened = set_up();
    let (ordered, _) = changed(&[
        ("vertical.order", "open"),
        ("vertical.change_mm", "2"),
        ("vertical.change_at", "incisors"),
    ]);
    opened.vertical = ordered.vertical;
    for (mm, is_asked) in [("67", false), ("65", false), ("71", true)] {
        let found = finished(&[keep, &[height(mm)]].concat(), Some(opened.clone()), ID);
        assert_eq!(found.is_some(), is_asked, "{mm}");
    }
}
