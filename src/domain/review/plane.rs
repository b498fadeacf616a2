//! The occlusal plane.

use super::input::{Input, WITH_TEETH};
use super::rule::{Hit, Rule, at, caution, when};
use super::sources::PRACTICE;
use crate::domain::prescription::{BackPlane, FrontPlane, PatternSource};
use crate::domain::values::measure::Mm;

/// Heights on the retromolar pad that are taught: half to two thirds, with room for rounding.
const USUAL_HEIGHT: std::ops::RangeInclusive<i64> = 40..=75;

/// A difference of the sides that is seen. Common practice, no source.
const SEEN_TILT: Mm = Mm::from_hundredths(100);

/// The rules about the occlusal plane, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "plane-unsaid",
        unsaid,
        "A plane that nobody names is set level on the bench, not in the face.",
        PRACTICE,
    ),
    caution(
        "plane-tilt-without-side",
        side,
        "A tilt the wrong way doubles the fault.",
        PRACTICE,
    ),
    caution(
        "plane-side-without-tilt",
        tilt,
        "A lower side without a number cannot be set.",
        PRACTICE,
    ),
    caution(
        "plane-level-and-tilted",
        level,
        "A plane that follows the line of the eyes or the horizon has no lower side.",
        PRACTICE,
    ),
    caution(
        "pad-height-unsaid",
        pad,
        "The plane meets the pad somewhere between its base and its top.",
        PRACTICE,
    ),
    caution(
        "pad-height-unusual",
        unusual,
        "Too high a plane cramps the tongue, too low a one bites the cheek.",
        PRACTICE,
    ),
    caution(
        "pad-height-beside-the-pattern",
        pad_and_pattern,
        "A pattern shows its own height on the pad: where the two differ the lab has to guess.",
        PRACTICE,
    ),
    caution(
        "plane-as-on-no-pattern",
        pattern,
        "There is no pattern from which to take the plane.",
        PRACTICE,
    ),
];

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    let plane = &input.rx.plane;
    // A pattern shows its plane.
    let wrong = input.reaches(WITH_TEETH)
        && !input.has_pattern()
        && (plane.front.is_none() || plane.back.is_none());
    when(
        wrong,
        "plane.front",
        "What the occlusal plane follows in front or behind is not given.",
    )
}

fn is_tilted(input: &Input<'_>) -> bool {
    input
        .rx
        .plane
        .tilt_mm
        .is_some_and(|tilt| tilt.hundredths() > 0)
}

fn side(input: &Input<'_>) -> Option<Hit> {
    let tilt = input.rx.plane.tilt_mm?;
    let wrong = is_tilted(input) && input.rx.plane.lower_side.is_none();
    wrong.then(|| at("plane.lower_side", format!("The plane differs by {tilt} mm between right and left, and the lower side is not given.")))?
}

fn tilt(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.plane.lower_side.is_some() && !is_tilted(input);
    when(
        wrong,
        "plane.tilt_mm",
        "A lower side of the plane is named, and by how much is not given.",
    )
}

fn level(input: &Input<'_>) -> Option<Hit> {
    let (front, tilt) = (input.rx.plane.front?, input.rx.plane.tilt_mm?);
    let is_level = matches!(front, FrontPlane::Interpupillary | FrontPlane::Horizon);
    (is_level && tilt > SEEN_TILT).then(|| {
        at(
            "plane.tilt_mm",
            format!(
                "In front the plane follows “{}”, and its sides are to differ by {tilt} mm.",
                front.shown()
            ),
        )
    })?
}

fn pad(input: &Input<'_>) -> Option<Hit> {
    let wrong =
        input.rx.plane.back == Some(BackPlane::Retromolar) && input.rx.plane.pad_percent.is_none();
    when(
        wrong,
        "plane.pad_percent",
        "The plane follows the retromolar pad, and at which height is not given.",
    )
}

fn pad_and_pattern(input: &Input<'_>) -> Option<Hit> {
    let height = input.rx.plane.pad_percent?.get();
    (input.rx.plane.back == Some(BackPlane::Pattern)).then(|| {
        at(
            "plane.pad_percent",
            format!("Behind, the plane is to be as on the pattern, and {height} % of the retromolar pad is given."),
        )
    })?
}

fn unusual(input: &Input<'_>) -> Option<Hit> {
    let height = input.rx.plane.pad_percent?.get();
    (!USUAL_HEIGHT.contains(&height)).then(|| at("plane.pad_percent", format!("The plane meets the retromolar pad at {height} % of its height; half to two thirds are usual.")))?
}

fn pattern(input: &Input<'_>) -> Option<Hit> {
    let plane = &input.rx.plane;
    let copied = plane.front == Some(FrontPlane::Pattern) || plane.back == Some(BackPlane::Pattern);
    let wrong = copied && input.rx.pattern.source == Some(PatternSource::None);
    when(
        wrong,
        "plane.front",
        "The plane is to be as on the pattern, and there is none.",
    )
}
