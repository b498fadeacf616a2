//! What was done at the chair: in the pattern, or still to be done.

use super::bed::{Bed, LOWER, UPPER, copied, value};
use crate::domain::custody::events::{Adjustment, Released};
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::{ChangedAtChair, Ordered, Sent, What, changed_at_chair};
use crate::domain::fill::{fill, without_overtaken};
use crate::domain::form::Day;
use crate::domain::people::party::Side;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::Origin;
use crate::domain::prescription::{ChangedPart, Course, Direction};
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::HandoffId;
use crate::domain::values::measure::Mm;
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::Numbering;

const COPY: &[(&str, &str)] = &[("order.course", "copy")];
const BLOCK: Option<(ChangedPart, Direction, i64)> =
    Some((ChangedPart::LowerRightBack, Direction::Outward, 10));

fn rows(bed: &Bed) -> Vec<String> {
    let filled = bed.filled(COPY);
    let keys = filled.fields.iter();
    keys.filter(|(key, _)| key.starts_with("changes."))
        .map(|(key, text)| format!("{key} {text}"))
        .collect()
}

#[test]
fn what_was_done_to_the_pattern_is_in_it_and_is_not_done_again() {
    let bed = copied();
    assert_eq!(rows(&bed), [""; 0]);
    let filled = bed.filled(COPY);
    let record = Some(Origin::Record);
    // The surface was renewed a day before the pattern left the mouth.
    assert_eq!(
        value(&filled, "pattern.last_corrected"),
        Some(("2026-03-01", record))
    );
    assert_eq!(
        value(&filled, "pattern.worn_since"),
        Some(("2025-11-03", record))
    );
    assert_eq!(
        value(&filled, "pattern.keep"),
        Some((
            "as corrected at the chair: lower right posterior teeth, 1 mm, outward, to lip or cheek (2026-01-02)",
            record
        ))
    );
    assert_eq!(
        value(&filled, "pattern.rule"),
        Some(("exactly", Some(Origin::Course)))
    );
    // What the patient said stays in the log.
    assert!(
        filled
            .fields
            .values()
            .all(|text| !text.contains("cheek is caught"))
    );
}

#[test]
fn since_when_a_pattern_is_worn_is_known_by_a_fitting_alone() {
    let since = |bed: &Bed| {
        let filled = bed.filled(COPY);
        value(&filled, "pattern.worn_since").map(|(day, _)| day.to_owned())
    };
    // In the mouth when they were registered: nobody knows for how long.
    let mut bed = Bed::before(30, Arches::Both);
    bed.wears("prov_u", ItemKind::Provisional, UPPER);
    assert_eq!(since(&bed), None);
    bed.days_pass(10);
    bed.wears("prov_l", ItemKind::Provisional, LOWER);
    assert_eq!(since(&bed), None);
    // What went in after the other was known to be there is the later one.
    let mut bed = Bed::before(30, Arches::Both);
    bed.wears("prov_u", ItemKind::Provisional, UPPER);
    bed.days_pass(10);
    bed.fits_first("prov_l", ItemKind::Provisional, LOWER);
    assert_eq!(since(&bed).as_deref(), Some("2026-02-10"));
    // The other way round it may have been there before.
    let mut bed = Bed::before(30, Arches::Both);
    bed.fits_first("prov_u", ItemKind::Provisional, UPPER);
    bed.days_pass(10);
    bed.wears("prov_l", ItemKind::Provisional, LOWER);
    assert_eq!(since(&bed), None);
}

#[test]
fn what_was_done_to_the_duplicate_alone_is_still_to_be_done_in_the_final() {
    let mut bed = copied();
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    assert_eq!(
        rows(&bed),
        [
            "changes.0.date 2026-03-02",
            "changes.0.direction outward",
            "changes.0.mm 1",
            "changes.0.what lower_right_back"
        ]
    );
    let filled = bed.filled(COPY);
    assert_eq!(
        value(&filled, "pattern.rule"),
        Some(("with_changes", Some(Origin::Course)))
    );
    assert_eq!(
        value(&filled, "anterior.arrangement"),
        Some(("copy_with_changes", Some(Origin::Pattern)))
    );
}

#[test]
fn what_fits_the_copy_itself_or_changes_the_height_is_no_row() {
    let mut bed = copied();
    for done in [
        Adjustment::EdgeRounded,
        Adjustment::SurfaceRenewed,
        Adjustment::Relined,
        Adjustment::BiteRaised,
        Adjustment::BiteLowered,
        Adjustment::Other,
    ] {
        bed.adjusts("dup_l", done, BLOCK);
    }
    // Without a place nobody knows what was moved.
    bed.adjusts("dup_l", Adjustment::ToothMoved, None);
    assert_eq!(rows(&bed), [""; 0]);
}

#[test]
fn what_was_taken_over_onto_the_pattern_is_no_row_any_more() {
    let mut bed = copied();
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    bed.days_pass(1);
    bed.adjusts("prov_l", Adjustment::BlockMoved, BLOCK);
    assert_eq!(rows(&bed), [""; 0]);
    // Another part of the pattern takes nothing over.
    let mut bed = copied();
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    let other = Some((ChangedPart::LowerLeftBack, Direction::Outward, 10));
    bed.adjusts("prov_l", Adjustment::BlockMoved, other);
    assert_eq!(rows(&bed).len(), 4);
}

#[test]
fn a_denture_that_does_not_come_from_the_pattern_changes_nothing_of_it() {
    let mut bed = Bed::before(30, Arches::Both);
    bed.wears("prov_l", ItemKind::Provisional, LOWER);
    bed.has("dup_l", ItemKind::Duplicate, LOWER);
    bed.fits("dup_l", "prov_l");
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    assert_eq!(rows(&bed), [""; 0]);
}

#[test]
fn a_tooth_added_or_taken_away_needs_no_direction_and_the_visit_gives_the_day() {
    let mut bed = copied();
    let place = Some((ChangedPart::Tooth, Direction::Up, 0));
    bed.adjusts("dup_l", Adjustment::ToothTakenAway, place);
    if let Some(crate::domain::custody::Event {
        what: crate::domain::custody::What::Adjusted(one),
        ..
    }) = bed.events.last_mut()
    {
        (one.direction, one.mm) = (None, None);
    }
    bed.at_the_visit_of("2026-02-27");
    assert_eq!(
        rows(&bed),
        [
            "changes.0.date 2026-02-27",
            "changes.0.direction remove",
            "changes.0.what tooth"
        ]
    );
}

/// One tooth was moved on the duplicate, or on the pattern.
fn moves(bed: &mut Bed, name: &str, iso: u8) {
    let place = Some((ChangedPart::Tooth, Direction::Outward, 5));
    bed.adjusts(name, Adjustment::ToothMoved, place);
    bed.of_tooth(iso);
}

#[test]
fn c17_a_row_of_the_change_list_says_which_tooth_was_moved() {
    let mut bed = copied();
    moves(&mut bed, "dup_l", 44);
    let expected = [
        "changes.0.date 2026-03-02",
        "changes.0.direction outward",
        "changes.0.mm 0.5",
        "changes.0.tooth 44 (ISO 3950)",
        "changes.0.what tooth",
    ];
    assert_eq!(rows(&bed), expected);
    // The same in the numbers that the writer counts by.
    bed.numbering = Numbering::Universal;
    assert!(rows(&bed).contains(&"changes.0.tooth 28 (Universal)".to_owned()));
    // Another tooth of the pattern takes nothing over; the same one does.
    bed.numbering = Numbering::Iso3950;
    bed.days_pass(1);
    moves(&mut bed, "prov_l", 45);
    assert_eq!(rows(&bed), expected);
    moves(&mut bed, "prov_l", 44);
    assert_eq!(rows(&bed), [""; 0]);
    let filled = bed.filled(COPY);
    let (kept, _) = value(&filled, "pattern.keep").unwrap();
    assert!(
        kept.contains("44 (ISO 3950) lower right first premolar, 0.5 mm"),
        "{kept}"
    );
}

#[test]
fn c2_what_was_withdrawn_as_a_mistake_fills_nothing() {
    let mut bed = copied();
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    assert_eq!(rows(&bed).len(), 4);
    bed.withdraws_the_last("dup_l");
    assert_eq!(rows(&bed), [""; 0]);
}

#[test]
fn what_is_to_be_kept_never_grows_longer_than_its_field() {
    let mut bed = copied();
    for _ in 0..30 {
        bed.days_pass(1);
        bed.adjusts("prov_l", Adjustment::BlockMoved, BLOCK);
    }
    let filled = bed.filled(COPY);
    let keep = &filled.fields["pattern.keep"];
    assert!(
        keep.chars().count() <= 600 && keep.chars().count() > 500,
        "{keep}"
    );
    // The latest stands first.
    assert!(keep.contains("(2026-04-01)"), "{keep}");
    assert!(!keep.contains("(2026-01-02)"), "{keep}");
}

/// The signed text of a copy whose patterns are these, as the next draft begins with it.
fn signed(bed: &mut Bed) -> Vec<(&'static str, String)> {
    let filled = bed.filled(COPY).fields;
    let fields = [
        "order.course",
        "pattern.upper_item",
        "pattern.lower_item",
        "pattern.last_corrected",
        "pattern.keep",
    ];
    let fields = fields.map(|key| (key, filled.get(key).cloned().unwrap_or_default()));
    let day = Day::try_from("2026-03-01".to_owned()).expect("a day");
    bed.ordered = Ordered {
        revision: 1,
        since: Some(Moment::new(bed.now, 60)),
        patterns: vec![bed.tag("prov_u"), bed.tag("prov_l")],
        corrected: Some(day.date()),
        ..Ordered::default()
    };
    bed.beforehand.signed = Some(Course::Copy);
    fields.into()
}

/// The day of the last correction and what is kept, as the next draft begins with them.
fn begun(bed: &Bed, own: &[(&'static str, String)]) -> (String, String) {
    let mut fields: Fields = own
        .iter()
        .map(|(key, text)| ((*key).to_owned(), text.clone()))
        .collect();
    without_overtaken(&mut fields, &bed.known());
    let filled = fill(&fields, &bed.known());
    let text = |key: &str| filled.fields.get(key).cloned().unwrap_or_default();
    (text("pattern.last_corrected"), text("pattern.keep"))
}

/// Common practice, no source: what was done to the pattern in the mouth after the signature is in it, and the text that is
/// signed next says so.
#[test]
fn the_next_draft_says_what_was_done_at_the_chair_since_the_signature() {
    let mut bed = copied();
    let before = signed(&mut bed);
    let as_signed = (before[3].1.clone(), before[4].1.clone());
    assert_eq!(as_signed.0, "2026-03-01");
    assert_eq!(begun(&bed, &before), as_signed);
    // A mistake that was taken back is none.
    bed.adjusts(
        "prov_u",
        Adjustment::ToothMoved,
        Some((ChangedPart::Tooth, Direction::Down, 10)),
    );
    bed.withdraws_the_last("prov_u");
    assert_eq!(begun(&bed, &before), as_signed);
    // The duplicate is not what is followed.
    bed.adjusts("dup_l", Adjustment::BlockMoved, BLOCK);
    assert_eq!(begun(&bed, &before), as_signed);
    bed.adjusts(
        "prov_u",
        Adjustment::ToothMoved,
        Some((ChangedPart::Tooth, Direction::Down, 10)),
    );
    bed.of_tooth(11);
    let (day, kept) = begun(&bed, &before);
    assert_eq!(day, "2026-03-02");
    assert!(kept.starts_with("as corrected at the chair: 11"), "{kept}");
    assert!(
        kept.ends_with("lower right posterior teeth, 1 mm, outward, to lip or cheek (2026-01-02)"),
        "{kept}"
    );
    // Words of the writer's own stay.
    let mut own = before.clone();
    own[4].1 = "the smile".to_owned();
    assert_eq!(
        begun(&bed, &own),
        ("2026-03-02".to_owned(), "the smile".to_owned())
    );
    // An entry of an earlier day that the text names already tells nothing new.
    let mut late = copied();
    let before = signed(&mut late);
    late.adjusts("prov_u", Adjustment::EdgeRounded, None);
    late.at_the_visit_of("2026-02-28");
    assert_eq!(begun(&late, &before), as_signed);
    assert!(changed_at_chair(&late.ordered, &late.events, &late.state).is_empty());
}

#[test]
fn a_day_typed_by_hand_stays_unless_the_record_knows_a_later_one_of_the_pattern() {
    let mut bed = copied();
    let mut own = signed(&mut bed);
    let typed = Day::try_from("2026-03-02".to_owned()).expect("a day");
    own[3].1 = "2026-03-02".to_owned();
    bed.ordered.corrected = Some(typed.date());
    bed.ordered.enclosed = vec![bed.tag("dup_l")];
    // The record knows of the day before alone, and the duplicate only goes along.
    let as_signed = ("2026-03-02".to_owned(), own[4].1.clone());
    bed.adjusts("dup_l", Adjustment::EdgeRounded, None);
    assert_eq!(begun(&bed, &own), as_signed);
    // What is written down in the evening of the day that is named is kept, and the day is the same.
    moves(&mut bed, "prov_u", 11);
    let (day, kept) = begun(&bed, &own);
    assert_eq!(day, "2026-03-02");
    assert!(kept.starts_with("as corrected at the chair: 11"), "{kept}");
    bed.days_pass(1);
    bed.adjusts("prov_u", Adjustment::EdgeRounded, None);
    assert_eq!(begun(&bed, &own).0, "2026-03-03");
}

/// Common practice, no source: entries are written up after the visit, and a height is never taken as known.
#[test]
fn on_the_day_that_is_named_only_what_may_change_the_height_is_asked_about() {
    let mut bed = copied();
    signed(&mut bed);
    let day = Day::try_from("2026-03-02".to_owned()).expect("a day");
    let named = Some(day.date());
    for (done, corrected, is_asked) in [
        (Adjustment::ToothMoved, named, false),
        (Adjustment::EdgeRounded, named, false),
        (Adjustment::SurfaceRenewed, named, false),
        (Adjustment::BiteRaised, named, true),
        (Adjustment::BiteLowered, named, true),
        (Adjustment::Other, named, true),
        (Adjustment::ToothMoved, None, true),
    ] {
        let mut bed = bed.clone();
        bed.ordered.corrected = corrected;
        bed.adjusts("prov_u", done, None);
        let found = changed_at_chair(&bed.ordered, &bed.events, &bed.state);
        assert_eq!(found.len(), usize::from(is_asked), "{done:?}");
    }
}

#[test]
fn what_was_changed_since_the_signature_is_asked_about_until_the_office_has_said_how_it_is_taken() {
    let mut bed = copied();
    signed(&mut bed);
    let found = |bed: &Bed| {
        let all = changed_at_chair(&bed.ordered, &bed.events, &bed.state);
        let words = |one: ChangedAtChair| (one.words, one.as_it_comes);
        all.into_iter().map(words).collect::<Vec<_>>()
    };
    assert_eq!(found(&bed), []);
    bed.adjusts("prov_u", Adjustment::BiteRaised, None);
    if let Some(What::Adjusted(one)) = bed.events.last_mut().map(|event| &mut event.what) {
        one.part = None;
        one.direction = None;
        one.mm = Some(Mm::from_hundredths(200));
    }
    let raised = |is_said: bool| vec![("bite raised, 2 mm".to_owned(), is_said)];
    assert_eq!(found(&bed), raised(false));
    let goes = |bed: &mut Bed, from: Side, word: Option<i64>| {
        let handoff = HandoffId::new(format!("handoff {}", bed.events.len()));
        bed.happens(Released {
            as_it_comes: word,
            ..Released::of(handoff, vec![Sent::of(bed.tag("prov_u"))], from)
        });
    };
    let mut unsaid = bed.clone();
    goes(&mut unsaid, Side::Office, None);
    assert_eq!(found(&unsaid), raised(false));
    goes(&mut bed, Side::Office, Some(1));
    assert_eq!(found(&bed), raised(true));
    // Another revision is signed, and knows of it or not by its own text.
    bed.ordered.revision = 2;
    bed.ordered.since = Some(Moment::new(bed.now, 60));
    assert_eq!(found(&bed), []);
    // What came back from there has done its work.
    goes(&mut bed, Side::Lab, None);
    bed.adjusts("prov_u", Adjustment::EdgeRounded, None);
    assert_eq!(found(&bed), []);
}
