//! Posterior palatal seal.

use super::criteria::lacks;
use super::input::{Input, TISSUE_MADE, yes};
use super::rule::{Hit, Rule, at, caution, when};
use super::sources::{AL_KAISY, PRACTICE, SEAL_FAULTS};
use crate::domain::prescription::{PatternSource, SealBy, SurfaceSource};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::Mm;

/// Deeper than this the seal presses; common practice, no source.
const DEEP: Mm = Mm::from_hundredths(200);

/// The rules about the posterior palatal seal, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-18-seal",
        unsaid,
        "42 % of dentists leave the seal to the technician, who has never touched the palate.",
        AL_KAISY,
    ),
    caution(
        "seal-by-the-lab-without-depth",
        depth,
        "Only the finger in the mouth knows how far the tissue gives.",
        AL_KAISY,
    ),
    caution(
        "seal-without-place",
        place,
        "On hard palate a seal hurts and does not hold.",
        SEAL_FAULTS,
    ),
    caution(
        "seal-deep",
        deep,
        "A seal that deep presses a sore line into the palate.",
        SEAL_FAULTS,
    ),
    caution(
        "no-seal-on-an-upper",
        none,
        "Without a seal the upper drops.",
        SEAL_FAULTS,
    ),
    caution(
        "seal-of-no-pattern",
        pattern,
        "There is no pattern whose surface could hold the seal.",
        PRACTICE,
    ),
    caution(
        "seal-carved-beside-a-kept-surface",
        carved,
        "The functional surface holds the seal that the mouth has formed: carving adds a second one to it.",
        PRACTICE,
    ),
    caution(
        "seal-depth-beside-a-kept-seal",
        kept,
        "A seal that the pattern’s surface holds is kept and not carved.",
        PRACTICE,
    ),
    caution(
        "seal-depth-for-no-seal",
        contradiction,
        "Depths are given for a seal that is not wanted.",
        PRACTICE,
    ),
];

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 18),
        "seal.by",
        "Who makes the posterior palatal seal is not given, nor that there is none.",
    )
}

fn depths(input: &Input<'_>) -> impl Iterator<Item = (&'static str, Mm)> {
    let seal = &input.rx.seal;
    let depths = [
        ("seal.depth_mid_mm", seal.depth_mid_mm),
        ("seal.depth_right_mm", seal.depth_right_mm),
        ("seal.depth_left_mm", seal.depth_left_mm),
    ];
    depths
        .into_iter()
        .filter_map(|(key, depth)| Some((key, depth?)))
}

fn depth(input: &Input<'_>) -> Option<Hit> {
    let is_given = depths(input).any(|(_, depth)| depth.hundredths() > 0);
    when(
        input.rx.seal.by == Some(SealBy::Lab) && !is_given && input.reaches(TISSUE_MADE),
        "seal.depth_mid_mm",
        "The lab is to carve the seal, and no depth is given.",
    )
}

fn place(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.seal.by == Some(SealBy::Lab)
        && input.rx.seal.position.is_none()
        && input.reaches(TISSUE_MADE);
    when(
        wrong,
        "seal.position",
        "The lab is to carve the seal, and where it runs is not given.",
    )
}

fn deep(input: &Input<'_>) -> Option<Hit> {
    let (key, depth) = depths(input).find(|(_, depth)| *depth > DEEP)?;
    at(
        key,
        format!("The seal is to be {depth} mm deep; 0.5 to 2 mm are usual."),
    )
}

fn none(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.seal.by == Some(SealBy::None)
        && input.orders(Arch::Upper)
        && input.reaches(TISSUE_MADE);
    when(
        wrong,
        "seal.by",
        "An upper denture is ordered without a posterior palatal seal.",
    )
}

fn pattern(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.seal.by == Some(SealBy::InPattern)
        && input.rx.pattern.source == Some(PatternSource::None);
    when(
        wrong,
        "seal.by",
        "The seal is said to be in the pattern’s surface, and there is no pattern.",
    )
}

fn carved(input: &Input<'_>) -> Option<Hit> {
    let impression = &input.rx.impression;
    let is_kept =
        yes(impression.keep_surface) && impression.source == Some(SurfaceSource::Functional);
    let (key, depth) = depths(input).find(|(_, depth)| depth.hundredths() > 0)?;
    (is_kept && input.rx.seal.by == Some(SealBy::Lab)).then(|| {
        at(
            key,
            format!("The lab is to carve a seal of {depth} mm, and the functional surface is to be kept untouched."),
        )
    })?
}

fn kept(input: &Input<'_>) -> Option<Hit> {
    let (key, depth) = depths(input).find(|(_, depth)| depth.hundredths() > 0)?;
    (input.rx.seal.by == Some(SealBy::InPattern)).then(|| {
        at(
            key,
            format!("The seal is in the pattern’s surface and is to be kept, and a depth of {depth} mm is given."),
        )
    })?
}

fn contradiction(input: &Input<'_>) -> Option<Hit> {
    let (key, depth) = depths(input).find(|(_, depth)| depth.hundredths() > 0)?;
    let wrong = input.rx.seal.by == Some(SealBy::None);
    wrong.then(|| {
        at(
            key,
            format!("No seal is wanted, and a depth of {depth} mm is given."),
        )
    })?
}
