//! The facebow record.

use super::criteria::lacks;
use super::input::{Input, no, yes};
use super::not_listed::not_listed;
use super::reasons::RECORD_NOT_IN_BOX;
use super::rule::{Hit, Rule, at, caution, remark, when};
use super::sources::{CDC, PRACTICE, THIRD_POINT, TRAGUS};
use super::stages::is_mounted_by;
use crate::domain::prescription::{ReferencePlane, ThirdPoint};

/// The rules about the facebow record, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-17-mounting",
        mounting,
        "With a facebow record or by average values: the lab mounts once.",
        PRACTICE,
    ),
    caution(
        "facebow-without-plane",
        plane,
        "Guidance values hold for one plane only, and planes differ by ten degrees.",
        THIRD_POINT,
    ),
    caution(
        "facebow-on-no-plane",
        no_plane,
        "A facebow record carries a plane; “average-value mounting” would throw it away.",
        PRACTICE,
    ),
    caution(
        "plane-without-facebow",
        unrecorded,
        "Without a record the lab cannot find this plane on the articulator.",
        PRACTICE,
    ),
    caution(
        "facebow-without-third-point",
        third_point,
        "Another third point tilts the cast and changes the angle that is read.",
        THIRD_POINT,
    ),
    caution(
        "third-point-of-another-plane",
        mismatch,
        "The third point belongs to another plane than the one named.",
        THIRD_POINT,
    ),
    caution(
        "facebow-without-posterior-point",
        tragus,
        "The point of the tragus turns the plane by several degrees.",
        TRAGUS,
    ),
    caution(
        "facebow-not-identified",
        identity,
        "Two jigs on one bench are told apart by their tag or number.",
        PRACTICE,
    ),
    caution(
        "facebow-not-enclosed",
        enclosed,
        RECORD_NOT_IN_BOX,
        PRACTICE,
    ),
    caution(
        "fork-return-unsaid",
        fork,
        "Fork and jig are sterilized for the next patient; the office counts on them.",
        CDC,
    ),
    remark(
        "facebow-midline-unsaid",
        midline,
        "With the midline on the record the lab sees a tilt at once.",
        PRACTICE,
    ),
];

fn is_made(input: &Input<'_>) -> bool {
    yes(input.rx.facebow.made)
}

fn mounting(input: &Input<'_>) -> Option<Hit> {
    let facebow = &input.rx.facebow;
    if !lacks(input, 17) || is_made(input) {
        return None;
    }
    if facebow.made.is_none() {
        return at(
            "facebow.made",
            "It is not said whether a facebow record was made.",
        );
    }
    at(
        "facebow.plane",
        "There is no facebow record, and how to mount without it is not given.",
    )
}

fn plane(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_made(input) && input.rx.facebow.plane.is_none();
    when(
        wrong,
        "facebow.plane",
        "A facebow record was made, and its reference plane is not named.",
    )
}

fn no_plane(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_made(input) && input.rx.facebow.plane == Some(ReferencePlane::None);
    when(
        wrong,
        "facebow.plane",
        "A facebow record was made, and an average-value mounting is asked for.",
    )
}

fn unrecorded(input: &Input<'_>) -> Option<Hit> {
    let facebow = &input.rx.facebow;
    let named = facebow
        .plane
        .is_some_and(|plane| !matches!(plane, ReferencePlane::None | ReferencePlane::Occlusal));
    when(
        no(facebow.made) && named,
        "facebow.plane",
        "A reference plane is named, and there is no facebow record that carries it.",
    )
}

fn third_point(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_made(input) && input.rx.facebow.third_point.is_none();
    when(
        wrong,
        "facebow.third_point",
        "The third point of the reference plane is not named.",
    )
}

fn mismatch(input: &Input<'_>) -> Option<Hit> {
    let (plane, point) = (input.rx.facebow.plane?, input.rx.facebow.third_point?);
    let own = match plane {
        ReferencePlane::Frankfort | ReferencePlane::AxisOrbital => {
            &[ThirdPoint::Orbitale, ThirdPoint::Nasion][..]
        }
        ReferencePlane::Camper => &[ThirdPoint::Ala],
        ReferencePlane::Occlusal => &[ThirdPoint::IncisorMark],
        ReferencePlane::NaturalHead | ReferencePlane::None => return None,
    };
    let wrong = point != ThirdPoint::Other && !own.contains(&point);
    wrong.then(|| {
        at(
            "facebow.third_point",
            format!(
                "The plane is “{}”, and the third point “{}”.",
                plane.shown(),
                point.shown()
            ),
        )
    })?
}

fn tragus(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_made(input) && input.rx.facebow.tragus_point.is_none();
    when(
        wrong,
        "facebow.tragus_point",
        "The posterior point of the facebow record is not named.",
    )
}

fn identity(input: &Input<'_>) -> Option<Hit> {
    let facebow = &input.rx.facebow;
    let wrong = is_made(input) && facebow.item.is_none() && facebow.record_id.is_none();
    when(
        wrong,
        "facebow.item",
        "The facebow record has neither a tag nor a record ID.",
    )
}

fn enclosed(input: &Input<'_>) -> Option<Hit> {
    let tag = input.rx.facebow.item.as_ref()?;
    let is_missing = !input.reaches_lab(tag) && !is_mounted_by(input, tag);
    let wrong = is_made(input) && input.lists_enclosures() && is_missing;
    wrong.then(|| not_listed(input, "facebow.item", "facebow record", tag))?
}

fn fork(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_made(input) && input.rx.facebow.fork_returns.is_none();
    when(
        wrong,
        "facebow.fork_returns",
        "It is not said whether fork and jig come back.",
    )
}

fn midline(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_made(input) && input.rx.facebow.midline_captured.is_none();
    when(
        wrong,
        "facebow.midline_captured",
        "It is not said whether the facebow record carries the midline.",
    )
}
