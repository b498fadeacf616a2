//! A remake against its first making: nothing that was the cause is named again. Common practice, no source.

use super::*;
use crate::domain::custody::follow_up::WorkCause;
use crate::domain::custody::item::ItemKind;
use crate::domain::values::arch::Arches;

const REMAKE: Edits<'static> = &[
    ("order.kind", "remake"),
    ("order.remake_reason", "as the check says"),
    ("order.earlier_case", "C-1"),
];
const AGAIN: &str = "remake-of-what-was-wrong";

/// The sample once more, after a check by which it is made again for this cause.
fn made_again(edits: Edits<'_>, arches: Arches, cause: WorkCause) -> (Prescription, Setting) {
    let (document, mut setting) = changed(&[REMAKE, edits].concat());
    setting.previous = Some(sample::document());
    setting.remakes = vec![(arches, Some(cause))];
    (document, setting)
}

fn said(document: &Prescription, setting: &Setting) -> Option<(String, String)> {
    let mut found = review(document, setting).into_iter();
    let found = found.find(|one| one.id == AGAIN);
    found.map(|one| (one.key, one.sentence))
}

#[test]
fn a_remake_with_the_same_bite_for_both_jaws_is_asked_about_and_nothing_else_is() {
    let (document, mut setting) = made_again(&[], Arches::Upper, WorkCause::JawRecord);
    let found = review(&document, &setting);
    assert_eq!(ids(&found), [AGAIN, "remake-of-more-jaws"]);
    assert_eq!(
        found[0].sentence,
        format!(
            "The cause of the remake is “jaw record or height”, and this of the first making is named again: bite record {}; \
             the readings of the vertical dimension; the height of 65 mm.",
            sample::tag_text("bite")
        )
    );
    assert_eq!(
        found[1].sentence,
        "By the check after the fit the remake is of the upper, and the lower is ordered too."
    );
    // What is agreed on is told once.
    setting.remake = Some(Arches::Upper);
    assert_eq!(
        ids(&review(&document, &setting)),
        ["agreed-remake-ordered-otherwise", AGAIN]
    );
    // Without a check that says why, nobody knows what was wrong; other work takes the record over.
    setting.remakes.clear();
    assert_eq!(said(&document, &setting), None);
    let next = [("order.kind", "next_stage")];
    let (document, setting) = made_again(&next, Arches::Both, WorkCause::JawRecord);
    assert_eq!(said(&document, &setting), None);
}

#[test]
fn a_new_record_at_the_same_height_is_not_asked_about() {
    let new: Edits<'_> = &[
        ("jaw.item", "@cast_lower"),
        ("readings.0.rest_mm", "68"),
        ("enclosed.2.tag", "@cast_lower"),
    ];
    let (document, mut setting) = made_again(new, Arches::Both, WorkCause::JawRecord);
    assert_eq!(said(&document, &setting), None);
    // One that has been at the lab is none.
    let back = sample::tag("cast_lower").unwrap();
    setting.came_in.insert(back, setting.today);
    let (key, _) = said(&document, &setting).unwrap();
    assert_eq!(key, "jaw.item");
    // Without tags, its day says which one it is.
    let (document, setting) = made_again(&[("jaw.item", "")], Arches::Both, WorkCause::JawRecord);
    let (key, _) = said(&document, &setting).unwrap();
    assert_eq!(key, "jaw.taken_on");
}

#[test]
fn impression_shade_and_moulds_of_the_first_making_are_asked_about_by_their_cause() {
    let (document, setting) = made_again(&[], Arches::Both, WorkCause::Surface);
    assert_eq!(
        said(&document, &setting).unwrap().0,
        "impression.removed_on"
    );
    let anew = [("impression.removed_on", "2026-03-01")];
    let (document, mut setting) = made_again(&anew, Arches::Upper, WorkCause::Surface);
    assert_eq!(said(&document, &setting), None);
    // An impression in the box is known by its tag, and by its jaw.
    let sent = sample::tag("provisional_lower").unwrap();
    let items = setting.items.iter_mut();
    items
        .filter(|item| item.tag == sent)
        .for_each(|item| item.kind = ItemKind::Impression);
    assert_eq!(said(&document, &setting), None);
    setting.remakes = vec![(Arches::Lower, Some(WorkCause::Surface))];
    let (key, sentence) = said(&document, &setting).unwrap();
    assert_eq!(key, "enclosed.1.tag");
    assert!(
        sentence.ends_with(&format!("impression {sent}.")),
        "{sentence}"
    );

    let (document, setting) = made_again(&[], Arches::Lower, WorkCause::Teeth);
    let (key, sentence) = said(&document, &setting).unwrap();
    assert_eq!(key, "shade.tab");
    assert!(
        sentence.ends_with(
            "shade birch 4; lower anterior mould Otter 3; lower posterior mould Otter P2."
        ),
        "{sentence}"
    );
    for (edits, arches, is_asked) in [
        (&[("shade.tab", "birch 5")][..], Arches::Lower, false),
        (
            &[("anterior.lower_mould", "Otter 4")][..],
            Arches::Lower,
            false,
        ),
        // Of the other jaw nothing was wrong.
        (
            &[("anterior.lower_mould", "Otter 4")][..],
            Arches::Upper,
            true,
        ),
        (&[("changes.0.mm", "2")][..], Arches::Both, false),
    ] {
        let (document, setting) = made_again(edits, arches, WorkCause::Teeth);
        assert_eq!(said(&document, &setting).is_some(), is_asked, "{edits:?}");
    }
    for cause in [WorkCause::Finish, WorkCause::Processing, WorkCause::Unknown] {
        let (document, setting) = made_again(&[], Arches::Both, cause);
        assert_eq!(said(&document, &setting), None, "{cause:?}");
    }
}
