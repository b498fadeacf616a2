//! The next kind of work in a signed case: what goes, what stays, and what comes back.

use super::bed::copied;
use crate::domain::fill::stage::{comes_again, is_left_behind, names_of_parts, next_round};
use crate::domain::fill::{SignedFields, fill, kept, turn_to_stage};
use crate::domain::prescription::draft::{Fields, apply};
use crate::domain::prescription::{Course, all_fields};
use crate::domain::values::arch::Arches;

fn fields(pairs: &[(&str, &str)]) -> Fields {
    let own = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
    pairs.iter().map(own).collect()
}

/// The draft after a save that sends this over what is signed and stands.
fn turned(stands: &Fields, signed: &Fields, was: Course, sent: &[(&str, &str)]) -> Fields {
    turned_after(None, (stands, signed), was, sent)
}

/// The same in a case in which a set-up was signed before.
fn turned_after(
    set_up: Option<&Fields>,
    (stands, signed): (&Fields, &Fields),
    course: Course,
    sent: &[(&str, &str)],
) -> Fields {
    let (mut stored, mut draft) = (fields(sent), stands.clone());
    let signed = SignedFields {
        course,
        newest: || signed.clone(),
        set_up: || set_up.cloned(),
    };
    turn_to_stage(&mut stored, stands, &signed);
    apply(&mut draft, &stored);
    draft
}

#[test]
fn the_signed_fields_are_asked_for_only_where_the_kind_of_work_changes() {
    let signed = fields(&[("order.course", "set_up"), ("jaw.keyed", "yes")]);
    let stands = |course: &str| fields(&[("order.course", course), ("jaw.keyed", "yes")]);
    // sent, what stands, whether the signed fields are asked for
    for (sent, stands, is_asked) in [
        (&[("shade.tab", "B-20")][..], signed.clone(), false),
        (&[("order.course", "set_up")], signed.clone(), false),
        (&[("order.course", "set_up")], fields(&[]), false),
        (&[("order.course", "reset")], stands("reset"), false),
        (&[("order.course", "")], signed.clone(), false),
        (&[("order.course", "reset")], signed.clone(), true),
        (&[("order.course", "set_up")], stands("reset"), true),
    ] {
        let asked = std::cell::Cell::new(false);
        let signed = SignedFields {
            course: Course::SetUp,
            newest: || {
                asked.set(true);
                signed.clone()
            },
            set_up: || None,
        };
        turn_to_stage(&mut fields(sent), &stands, &signed);
        let asked = asked.get();
        assert_eq!(asked, is_asked, "{sent:?} over {stands:?}");
    }
}

#[test]
fn every_name_is_of_a_field() {
    let keys: Vec<&str> = all_fields().map(|spec| spec.key).collect();
    for name in names_of_parts().filter(|name| *name != "reason.") {
        let is_it = |key: &&str| **key == *name || (name.ends_with('.') && key.starts_with(name));
        assert!(keys.iter().any(is_it), "{name}");
    }
}

#[test]
fn a_spare_is_ordered_with_its_denture_and_not_by_what_goes_back_to_the_wax() {
    for now in [Course::SetUp, Course::Reset, Course::Reline] {
        assert!(is_left_behind(Course::Finish, now, "spare.arch"), "{now:?}");
        assert!(
            !is_left_behind(now, Course::Finish, "spare.arch"),
            "{now:?}"
        );
    }
}

/// What must not go into a next stage unread: common practice, no source.
#[test]
fn what_was_true_of_one_stage_alone_never_goes_into_another() {
    let never = [
        "approval.height",
        "readings.0.occlusal_mm",
        "changes.0.mm",
        "dates.wanted",
        "dates.sent",
        "enclosed.0.agent",
        "enclosures.moist",
        "impression.placed_at",
        "marking.answer",
        "remarks.call_before",
        "reason.some-rule.0a1b2c3d",
    ];
    for was in Course::ALL.iter().filter(|one| **one != Course::Everything) {
        for now in Course::ALL.iter().filter(|now| *now != was) {
            for key in never {
                assert!(is_left_behind(*was, *now, key), "{key} {was:?} {now:?}");
            }
            for key in [
                "patient.allergies",
                "order.course",
                "shade.tab",
                "shade.guide",
            ] {
                assert!(!is_left_behind(*was, *now, key), "{key} {was:?} {now:?}");
            }
        }
    }
}

#[test]
fn each_chain_drops_its_own_and_keeps_the_rest() {
    use Course::{Copy, Duplicate, Finish, Immediate, Reline, Repair, Reset, Rims, SetUp, Tray};
    // from, to, what goes, what holds on
    let table: &[(Course, Course, &[&str], &[&str])] = &[
        (
            Tray,
            Rims,
            &["impression.tray_spacer_mm", "reliefs.0.depth_mm"],
            &["base.material"],
        ),
        (
            Rims,
            SetUp,
            &["rims.upper_front_mm"],
            &["impression.material"],
        ),
        (
            SetUp,
            Reset,
            &["vertical.order", "anterior.midline_offset_mm"],
            &[
                "vertical.occlusal_mm",
                "vertical.rest_mm",
                "facebow.record_id",
                "jaw.item",
                "jaw.at_final_vertical",
                "jaw.keyed",
                "guidance.condylar_right",
                "anterior.upper_mould",
                "occlusion.scheme",
            ],
        ),
        (
            SetUp,
            Finish,
            &[
                "vertical.change_mm",
                "anterior.incisal_change_mm",
                "jaw.keyed",
            ],
            &[
                "vertical.occlusal_mm",
                "anterior.midline_offset_mm",
                "posterior.upper_mould",
            ],
        ),
        (
            Reset,
            Finish,
            &["anterior.incisal_change_mm"],
            &["vertical.occlusal_mm", "shade.tab"],
        ),
        (
            Copy,
            Reline,
            &[
                "vertical.occlusal_mm",
                "borders.order",
                "seal.by",
                "impression.source",
            ],
            &["base.material", "base_shade.code"],
        ),
        (
            Copy,
            Repair,
            &["base.strengthening"],
            &["anterior.upper_mould"],
        ),
        (
            Copy,
            Duplicate,
            &["marking.text", "base.material"],
            &["base_shade.code"],
        ),
        (
            Immediate,
            Copy,
            &[
                "extractions.0.tooth",
                "seal.by",
                "borders.order",
                "vertical.occlusal_mm",
            ],
            &["anterior.upper_mould", "occlusion.scheme"],
        ),
    ];
    for (was, now, goes, holds) in table {
        for key in *goes {
            assert!(is_left_behind(*was, *now, key), "{key} {was:?} {now:?}");
        }
        for key in *holds {
            assert!(!is_left_behind(*was, *now, key), "{key} {was:?} {now:?}");
        }
    }
    assert!(!is_left_behind(Course::Everything, Copy, "dates.wanted"));
    assert!(!is_left_behind(Copy, Copy, "dates.wanted"));
}

#[test]
fn with_the_next_kind_the_signed_goes_and_what_was_written_since_stays() {
    let signed = fields(&[
        ("order.course", "set_up"),
        ("dates.wanted", "2028-05-17"),
        ("vertical.occlusal_mm", "68"),
        ("shade.tab", "B-20"),
        ("jaw.keyed", "yes"),
    ]);
    let mut stands = signed.clone();
    stands.extend(fields(&[
        ("dates.wanted", "2028-06-20"),
        ("reason.a.b", "as agreed"),
    ]));
    // A page without a script sends all that it shows, with one new value.
    let mut sent: Vec<(&str, &str)> = stands
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    sent.retain(|(key, _)| !["order.course", "jaw.keyed"].contains(key));
    sent.extend([("order.course", "reset"), ("jaw.keyed", "no")]);
    let turn = turned(&stands, &signed, Course::SetUp, &sent);
    let left = fields(&[
        ("order.course", "reset"),
        ("dates.wanted", "2028-06-20"),
        ("vertical.occlusal_mm", "68"),
        ("shade.tab", "B-20"),
        ("jaw.keyed", "no"),
    ]);
    assert_eq!(turn, left);
    // Back again: what is signed stands once more, beside what was written.
    let back = turned(&turn, &signed, Course::SetUp, &[("order.course", "set_up")]);
    let mut whole = signed.clone();
    whole.extend(fields(&[
        ("dates.wanted", "2028-06-20"),
        ("jaw.keyed", "no"),
    ]));
    assert_eq!(back, whole);
    // A save that says nothing of the kind changes nothing of it.
    let other = turned(&stands, &signed, Course::SetUp, &[("shade.tab", "B-30")]);
    assert_eq!(other.len(), stands.len());
}

#[test]
fn the_next_kind_is_filled_below_what_holds_on() {
    let mut bed = copied();
    bed.beforehand.signed = Some(Course::Copy);
    let typed = bed.typed(&[("order.course", "remount"), ("shade.tab", "B-20")]);
    let filled = fill(&typed, &bed.known());
    assert_eq!(filled.fields["pieces.0.stage"], "remount");
    assert_eq!(filled.fields["shade.tab"], "B-20");
    // The kind that is signed stays as it is.
    let same = bed.typed(&[("order.course", "copy"), ("shade.tab", "B-20")]);
    assert_eq!(fill(&same, &bed.known()).fields, same);
    assert_eq!(bed.arches, Arches::Both);
    let nothing = kept(&same, &same, &bed.known());
    assert_eq!(nothing, same);
}

/// Common practice, no source: an approved height is that of the record, and a refused one is measured again.
#[test]
fn a_height_is_carried_into_a_reset_and_goes_where_it_is_refused() {
    let signed = fields(&[
        ("order.course", "set_up"),
        ("vertical.occlusal_mm", "64"),
        ("vertical.rest_mm", "66.5"),
    ]);
    let (ovd, height) = ("vertical.occlusal_mm", "approval.height");
    let turn =
        |stands: &Fields, sent: &[(&str, &str)]| turned(stands, &signed, Course::SetUp, sent);
    let reset = turn(&signed, &[("order.course", "reset"), (height, "yes")]);
    assert_eq!(reset[ovd], "64");
    let refused = turn(&reset, &[(height, "no")]);
    assert!(!refused.contains_key(ovd) && !refused.contains_key("vertical.rest_mm"));
    assert_eq!(turn(&refused, &[(height, "yes")])[ovd], "64");
    assert_eq!(
        turn(&refused, &[("order.course", "finish"), (height, "")])[ovd],
        "64"
    );
    assert_eq!(turn(&refused, &[("order.course", "set_up")])[ovd], "64");
    // By way of another kind it is refused all the same.
    let finish = turn(&refused, &[("order.course", "finish")]);
    let back = turn(&finish, &[("order.course", "reset")]);
    assert!(!back.contains_key(ovd));
    // Refused with the save that chooses the kind of work, and the new height with it.
    let at_once = [("order.course", "reset"), (height, "no"), (ovd, "61.5")];
    let new = turn(&signed, &at_once);
    assert_eq!(new[ovd], "61.5");
    assert!(!new.contains_key("vertical.rest_mm"));
    assert_eq!(turn(&new, &[(height, "yes")])[ovd], "61.5");
    // What was signed for a refused height is the new one.
    let turn = |sent: &[(&str, &str)]| turned(&new, &new, Course::Reset, sent);
    assert_eq!(turn(&[("shade.tab", "B-30")])[ovd], "61.5");
    let finish = turn(&[("order.course", "finish")]);
    assert_eq!(finish[ovd], "61.5");
    let back = turned(&finish, &new, Course::Reset, &[("order.course", "reset")]);
    assert_eq!((back[ovd].as_str(), back[height].as_str()), ("61.5", "no"));
}

#[test]
fn a_set_up_after_a_reset_or_a_finish_takes_up_what_they_left_behind() {
    let set_up = fields(&[
        ("order.course", "set_up"),
        ("jaw.position", "centric_relation"),
        ("anterior.arrangement", "standard"),
        ("anterior.midline", "yes"),
        ("anterior.incisal_show_mm", "2"),
        ("jaw.keyed", "yes"),
    ]);
    for course in [Course::Reset, Course::Finish] {
        let signed = fields(&[("order.course", course.word()), ("shade.tab", "B-20")]);
        let turn = |stands: &Fields, sent: &[(&str, &str)]| {
            turned_after(Some(&set_up), (stands, &signed), course, sent)
        };
        let back = turn(&signed, &[("order.course", "set_up")]);
        let mut wanted = set_up.clone();
        wanted.remove("jaw.keyed");
        wanted.extend(fields(&[("shade.tab", "B-20")]));
        assert_eq!(back, wanted, "{course:?}");
        // And leaves it again where it was nobody's own.
        let sent = [("order.course", course.word())];
        assert_eq!(turn(&back, &sent), signed, "{course:?}");
        let own = [("order.course", "set_up"), ("anterior.midline", "no")];
        assert_eq!(turn(&signed, &own)["anterior.midline"], "no");
    }
}

/// Common practice, no source: the casts stay mounted by the record of the set-up until its height is refused.
#[test]
fn the_bite_record_is_carried_into_a_reset_and_goes_with_a_refused_height() {
    let signed = fields(&[
        ("order.course", "set_up"),
        ("jaw.item", "ABC-DEF-GHJ"),
        ("jaw.at_final_vertical", "yes"),
        ("jaw.keyed", "yes"),
    ]);
    let height = "approval.height";
    let turn =
        |stands: &Fields, sent: &[(&str, &str)]| turned(stands, &signed, Course::SetUp, sent);
    let record = |fields: &Fields| fields.keys().filter(|key| key.starts_with("jaw.")).count();
    let reset = turn(&signed, &[("order.course", "reset"), (height, "yes")]);
    assert_eq!(record(&reset), 3);
    let refused = turn(&reset, &[(height, "no")]);
    assert_eq!(record(&refused), 0);
    assert_eq!(record(&turn(&refused, &[(height, "yes")])), 3);
    // A finish has no record, and back in the reset it is refused still.
    let finish = turn(&refused, &[("order.course", "finish")]);
    assert_eq!(record(&finish), 0);
    assert_eq!(record(&turn(&finish, &[("order.course", "reset")])), 0);
    let right = [("order.course", "reset"), (height, "yes")];
    assert_eq!(record(&turn(&finish, &right)), 3);
}

#[test]
fn what_one_kind_takes_out_comes_back_with_the_next_that_keeps_it() {
    let signed = fields(&[
        ("order.course", "set_up"),
        ("anterior.midline", "yes"),
        ("anterior.incisal_show_mm", "2"),
        ("dates.wanted", "2028-05-17"),
    ]);
    let turn =
        |stands: &Fields, sent: &[(&str, &str)]| turned(stands, &signed, Course::SetUp, sent);
    let reset = turn(&signed, &[("order.course", "reset")]);
    assert!(!reset.contains_key("anterior.midline"));
    let finish = turn(&reset, &[("order.course", "finish")]);
    assert_eq!(finish["anterior.midline"], "yes");
    assert!(!finish.contains_key("dates.wanted"));
    assert_eq!(turn(&finish, &[("order.course", "set_up")]), signed);
    let again = turn(&finish, &[("order.course", "reset")]);
    assert_eq!(again, reset);
}

#[test]
fn the_next_round_of_a_reset_begins_without_what_was_of_the_last() {
    assert!(comes_again(Course::Reset));
    for other in Course::ALL.iter().filter(|one| **one != Course::Reset) {
        assert!(!comes_again(*other), "{other:?}");
    }
    let signed = fields(&[
        ("order.course", "reset"),
        ("approval.arrangement", "no"),
        ("approval.height", "no"),
        ("changes.0.mm", "1"),
        ("readings.0.occlusal_mm", "61.5"),
        ("enclosed.0.tag", "ABC-DEF-GHJ"),
        ("reason.a.b", "as agreed"),
        ("vertical.occlusal_mm", "61.5"),
        ("jaw.keyed", "yes"),
        ("shade.tab", "B-20"),
    ]);
    let held = fields(&[
        ("order.course", "reset"),
        ("vertical.occlusal_mm", "61.5"),
        ("jaw.keyed", "yes"),
        ("shade.tab", "B-20"),
    ]);
    let begun = next_round(&signed, Course::Reset);
    assert_eq!(begun, held);
    // A height that is refused once more goes with its record.
    let refused = turned(&begun, &begun, Course::Reset, &[("approval.height", "no")]);
    let keys: Vec<&str> = refused.keys().map(String::as_str).collect();
    assert_eq!(keys, ["approval.height", "order.course", "shade.tab"]);
}

#[test]
fn the_next_round_is_filled_like_a_new_one() {
    let mut bed = copied();
    bed.beforehand.signed = Some(Course::Reset);
    let typed = bed.typed(&[
        ("order.course", "reset"),
        ("readings.0.occlusal_mm", "61.5"),
        ("readings.1.occlusal_mm", "61.5"),
    ]);
    assert_eq!(fill(&typed, &bed.known()).fields, typed);
    bed.beforehand.is_next_round = true;
    let filled = fill(&typed, &bed.known()).fields;
    assert_eq!(filled["pieces.0.stage"], "reset");
    assert_eq!(filled["vertical.occlusal_mm"], "61.5");
}
