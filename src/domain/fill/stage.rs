//! The next kind of work in a case that is signed already: which values of the one before hold on, and which do not.
//!
//! A try-in, a finish or a reline begins with what was signed last. What was measured, said or packed for that work
//! alone would be wrong in the next one, so it goes when the writer chooses the next kind, and is asked again.

use crate::domain::prescription::Course;
use crate::domain::prescription::draft::Fields;

/// The field that says the kind of work.
pub const COURSE: &str = "order.course";

/// What holds for one stage alone, whatever comes next: its parcel and days, what it was made from, what was measured
/// and answered for it, and the reasons given for its cautions. A name that ends in a full stop means all of that part.
const NEVER: &[&str] = &[
    "pieces.",
    "order.kind",
    "order.remake_reason",
    "order.try_in_skipped",
    "pattern.",
    "duplicate.",
    "changes.",
    "approval.",
    "readings.",
    "vertical.order",
    "vertical.change_mm",
    "vertical.change_at",
    "vertical.reset_lower_front",
    "jaw.",
    "impression.placed_on",
    "impression.placed_at",
    "impression.removed_on",
    "impression.removed_at",
    "marking.offered",
    "marking.answer",
    "enclosed.",
    "enclosures.",
    "returns.",
    "stage_dates.",
    "dates.",
    "remarks.call_before",
    "reason.",
];

/// What came of a worn denture or an open mouth and is another one once the work is worn or changed.
const TISSUE: &[&str] = &["impression.", "borders.", "reliefs.", "seal."];
const HEIGHTS: &[&str] = &["vertical.", "facebow.", "guidance.", "plane."];
const MOVED: &[&str] = &[
    "anterior.arrangement",
    "anterior.midline",
    "anterior.midline_offset_mm",
    "anterior.midline_side",
    "anterior.incisal_show_mm",
    "anterior.incisal_change_mm",
    "anterior.lip_support_mm",
];
/// What only one kind of work asks.
const OWN_PARTS: &[&str] = &[
    "cast_trim.",
    "extractions.",
    "scans.",
    "kept.",
    "scan_set.",
    "reline.",
    "repairs.",
    "repair.",
    "remount.",
];

const MADE: &[Course] = &[
    Course::Copy,
    Course::DigitalCopy,
    Course::Finish,
    Course::Immediate,
    Course::Single,
];
/// Kinds of work with which a spare is ordered.
const WITH_SPARE: &[Course] = &[
    Course::Copy,
    Course::DigitalCopy,
    Course::Finish,
    Course::Immediate,
    Course::Single,
    Course::Duplicate,
];
const TO_WORN: &[Course] = &[
    Course::Reline,
    Course::Repair,
    Course::Remount,
    Course::Duplicate,
];

/// From one of the first kinds to one of the second, the parts go that are named: common practice, no source.
const CHAINS: &[(&[Course], &[Course], &[&str])] = &[
    // The spacer and relief of a tray are not those of the base.
    (&[Course::Tray], Course::ALL, &["impression.", "reliefs."]),
    // The height of a rim is not the height of the bite.
    (&[Course::Rims], Course::ALL, &["rims."]),
    // A refused height is measured again; an approved one is typed again, since nothing here knows the answer yet.
    (&[Course::SetUp], &[Course::Reset], &["vertical."]),
    (&[Course::SetUp], &[Course::Reset], MOVED),
    (&[Course::Reset], Course::ALL, MOVED),
    (MADE, TO_WORN, HEIGHTS),
    (MADE, TO_WORN, TISSUE),
    (MADE, TO_WORN, MOVED),
    // Healing has changed all that lies on tissue.
    (&[Course::Immediate], Course::ALL, HEIGHTS),
    (&[Course::Immediate], Course::ALL, TISSUE),
    // A second break has a cause of its own.
    (Course::ALL, &[Course::Repair], &["base.strengthening"]),
    // A spare is ordered with the work that it is copied from, and not by what is set up or mended after it.
    (
        WITH_SPARE,
        &[
            Course::Tray,
            Course::Rims,
            Course::SetUp,
            Course::Reset,
            Course::Reline,
            Course::Repair,
            Course::Remount,
        ],
        &["spare."],
    ),
    // Another set has another mark, and another material than the flask of the first.
    (
        Course::ALL,
        &[Course::Duplicate],
        &["marking.", "spare.", "base.material"],
    ),
];

/// Whether a value that was signed for one kind of work does not hold for the next.
pub fn is_left_behind(was: Course, now: Course, key: &str) -> bool {
    if was == now || was == Course::Everything || key == COURSE {
        return false;
    }
    let names = |list: &[&str]| {
        let mut list = list.iter();
        list.any(|name| key == *name || (name.ends_with('.') && key.starts_with(name)))
    };
    let mut chains = CHAINS.iter();
    names(NEVER)
        || names(OWN_PARTS)
        || chains.any(|(from, to, list)| from.contains(&was) && to.contains(&now) && names(list))
}

/// The kind of work that these fields say; none where they leave it open.
pub fn course_in(fields: &Fields) -> Option<Course> {
    Course::from_word(fields.get(COURSE)?.trim())
}

/// Takes out of a draft what does not hold for the kind of work that a save chooses, and puts it back where the save
/// goes back to the kind that is signed. What somebody has written since stays.
///
/// `stored` is what the save stores, `stands` the draft before it, `was` the kind of work of the revision in force and
/// `signed` its fields. These are asked for only where the kind changes: a save of a revision mostly leaves it.
pub fn turn_to_stage(
    stored: &mut Fields,
    stands: &Fields,
    was: Course,
    signed: impl FnOnce() -> Fields,
) {
    let Some(now) = course_in(stored) else {
        return;
    };
    let before = course_in(stands).unwrap_or(was);
    if now == before {
        return;
    }
    if before == was {
        let signed = signed();
        let mut leaves = Fields::new();
        for (key, text) in stands {
            let is_as_signed = signed.get(key) == Some(text) || key.starts_with("reason.");
            let is_sent = stored.get(key).is_some_and(|sent| sent != text);
            if is_as_signed && !is_sent && is_left_behind(was, now, key) {
                leaves.insert(key.clone(), String::new());
            }
        }
        stored.extend(leaves);
    } else if now == was {
        for (key, text) in &signed() {
            let is_sent = stored.get(key).is_some_and(|sent| !sent.trim().is_empty());
            if !stands.contains_key(key) && !is_sent && is_left_behind(was, before, key) {
                stored.insert(key.clone(), text.clone());
            }
        }
    }
}

/// Every name of a part or a field in these lists.
#[cfg(test)]
pub fn names_of_parts() -> impl Iterator<Item = &'static str> {
    let chains = CHAINS.iter().flat_map(|(_, _, list)| list.iter());
    NEVER.iter().chain(OWN_PARTS).chain(chains).copied()
}
