//! The next kind of work in a case that is signed already: which values of the one before hold on, and which do not.
//!
//! A try-in, a finish or a reline begins with what was signed last. What was measured, said or packed for that work
//! alone would be wrong in the next one, so it goes when the writer chooses the next kind, and is asked again.

use crate::domain::form::YesNo;
use crate::domain::prescription::Course;
use crate::domain::prescription::draft::{Fields, apply};

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
    // As the change list, by whose rows it is counted.
    "anterior.incisal_change_mm",
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
    "anterior.lip_support_mm",
];
/// What a set-up that follows a reset or a finish takes up again from the set-up before, since these left it behind.
/// Common practice, no source.
const TAKEN_UP: &[&str] = &[
    "jaw.position",
    "anterior.arrangement",
    "anterior.midline",
    "anterior.midline_offset_mm",
    "anterior.midline_side",
    "anterior.incisal_show_mm",
];
/// The record by which the casts are mounted: it holds while the try-in stands between them. Common practice, no source.
const RECORD: &str = "jaw.";
const MOUNTED: &[Course] = &[Course::SetUp, Course::Reset];
/// What is taken again where the height of a try-in was refused.
const REFUSED: &[&str] = &["vertical.", RECORD];
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
    was != now && is_of_one_round(was, now, key)
}

/// The same of one round of work and the next, which may be of the same kind.
fn is_of_one_round(was: Course, now: Course, key: &str) -> bool {
    if was == Course::Everything || key == COURSE {
        return false;
    }
    let names = |list: &[&str]| list.iter().any(|name| is_named(name, key));
    let is_mounted = MOUNTED.contains(&was) && MOUNTED.contains(&now);
    let mut chains = CHAINS.iter();
    names(NEVER)
        || names(OWN_PARTS)
        || (is_named(RECORD, key) && !is_mounted)
        || chains.any(|(from, to, list)| from.contains(&was) && to.contains(&now) && names(list))
}

fn is_named(name: &str, key: &str) -> bool {
    key == name || (name.ends_with('.') && key.starts_with(name))
}

/// Whether a draft of this kind of work, written once what is signed for the same kind is done and back, is another
/// round of it: a try-in that was reset is looked at again. Common practice, no source.
pub fn comes_again(signed: Course) -> bool {
    signed == Course::Reset
}

/// What of the signed fields the next round of the same kind begins with.
pub fn next_round(signed: &Fields, course: Course) -> Fields {
    let holds = |key: &str| !is_of_one_round(course, course, key);
    let own = signed.iter().filter(|(key, _)| holds(key));
    own.map(|(key, text)| (key.clone(), text.clone())).collect()
}

/// The kind of work that these fields say; none where they leave it open.
pub fn course_in(fields: &Fields) -> Option<Course> {
    Course::from_word(fields.get(COURSE)?.trim())
}

/// What is signed in the case of a draft, as it would be typed.
pub struct SignedFields<N: Fn() -> Fields, S: Fn() -> Option<Fields>> {
    /// The kind of work of the revision in force.
    pub course: Course,
    /// Its fields.
    pub newest: N,
    /// Those of the newest set-up.
    pub set_up: S,
}

/// Whether these fields reset a try-in whose height was refused.
fn refuses_height(fields: &Fields) -> bool {
    let height = fields.get("approval.height").map(|text| text.trim());
    course_in(fields) == Some(Course::Reset) && height == Some(YesNo::No.word())
}

/// Takes out of a draft what does not hold for the kind of work that a save chooses, and puts it back where the save
/// goes back to the kind that is signed. What somebody has written since stays.
///
/// `stored` is what the save stores, `stands` the draft before it. The signed fields are asked for only where the kind
/// of work or the answer to the height changes: a save of a revision mostly leaves both.
pub fn turn_to_stage<N: Fn() -> Fields, S: Fn() -> Option<Fields>>(
    stored: &mut Fields,
    stands: &Fields,
    signed: &SignedFields<N, S>,
) {
    let was = signed.course;
    let before = course_in(stands).unwrap_or(was);
    let now = course_in(stored).unwrap_or(before);
    if now != before {
        turn_course(stored, stands, (was, before, now), signed);
    }
    let mut after = stands.clone();
    apply(&mut after, stored);
    let is_refused = refuses_height(&after);
    if is_refused != refuses_height(stands) {
        turn_height(stored, stands, is_refused, (was, now), &(signed.newest)());
    }
}

fn is_sent(stored: &Fields, key: &str) -> bool {
    stored.get(key).is_some_and(|sent| !sent.trim().is_empty())
}

fn turn_course<N: Fn() -> Fields, S: Fn() -> Option<Fields>>(
    stored: &mut Fields,
    stands: &Fields,
    (was, before, now): (Course, Course, Course),
    signed: &SignedFields<N, S>,
) {
    let newest = (signed.newest)();
    let is_left = |course: Course, key: &str| is_left_behind(was, course, key);
    let mut turns = Fields::new();
    for (key, text) in stands {
        let is_as_signed = newest.get(key) == Some(text) || key.starts_with("reason.");
        let is_otherwise = stored.get(key).is_some_and(|sent| sent != text);
        if is_as_signed && !is_otherwise && is_left(now, key) && !is_left(before, key) {
            turns.insert(key.clone(), String::new());
        }
    }
    for (key, text) in &newest {
        let is_open = !stands.contains_key(key) && !is_sent(stored, key);
        if is_open && is_left(before, key) && !is_left(now, key) {
            turns.insert(key.clone(), text.clone());
        }
    }
    stored.extend(turns);
    let is_again = was != Course::SetUp && [before, now].contains(&Course::SetUp);
    let Some(set_up) = is_again.then(|| (signed.set_up)()).flatten() else {
        return;
    };
    for key in TAKEN_UP {
        let Some(text) = set_up.get(*key) else {
            continue;
        };
        let is_open = |fields: &Fields| fields.get(*key).is_none_or(|text| text.trim().is_empty());
        let is_taken_up = stands.get(*key) == Some(text) && !newest.contains_key(*key);
        if now == Course::SetUp && is_open(stored) && (is_open(stands) || stored.contains_key(*key))
        {
            stored.insert((*key).to_owned(), text.clone());
        } else if now != Course::SetUp && is_taken_up && !is_sent(stored, key) {
            stored.insert((*key).to_owned(), String::new());
        }
    }
}

/// With the height of a try-in the numbers and the record go that were signed for it, and come back with it: those that were signed for
/// a refused one before are the new ones, and stay.
fn turn_height(
    stored: &mut Fields,
    stands: &Fields,
    is_refused: bool,
    (was, now): (Course, Course),
    newest: &Fields,
) {
    if refuses_height(newest) {
        return;
    }
    let is_of_it = |key: &str| REFUSED.iter().any(|part| key.starts_with(part));
    for (key, text) in newest.iter().filter(|(key, _)| is_of_it(key)) {
        if is_refused {
            if stored.get(key).or_else(|| stands.get(key)) == Some(text) {
                stored.insert(key.clone(), String::new());
            }
        } else {
            let is_open = !stands.contains_key(key) && !is_sent(stored, key);
            if is_open && !is_left_behind(was, now, key) {
                stored.insert(key.clone(), text.clone());
            }
        }
    }
}

/// Every name of a part or a field in these lists.
#[cfg(test)]
pub fn names_of_parts() -> impl Iterator<Item = &'static str> {
    let chains = CHAINS.iter().flat_map(|(_, _, list)| list.iter());
    let single = TAKEN_UP.iter().chain(REFUSED);
    let all = NEVER.iter().chain(OWN_PARTS).chain(chains);
    all.chain(single).copied()
}
