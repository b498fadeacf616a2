//! Articulator and guidance.

use super::input::{Input, yes};
use super::not_listed::not_listed;
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{HANAU, OWN_RULE, PLANES, PRACTICE, PROTRUSION};
use super::sums::protrusive_angle;
use crate::domain::prescription::{ArticulatorClass, Guidance, GuidanceSource, Scheme};
use crate::domain::values::measure::tenths;
use crate::domain::values::measure::{Degrees, Mm};

/// Inclinations outside are seldom seen to any plane.
const USUAL_CONDYLAR: std::ops::RangeInclusive<i64> = 1_000..=6_000;
/// A difference between the sides that is more often an error than a face.
const SIDES_APART: i64 = 1_000;
/// A difference between a number and what its record gives, in degrees.
const OFF_RECORD: f64 = 5.0;
/// A lateral setting further from the formula is worth a look, in degrees.
const OFF_FORMULA: f64 = 6.0;
/// Protrusion from which an angle can be read.
const USUAL_PROTRUSION: std::ops::RangeInclusive<i64> = 400..=800;

/// The rules about articulator and guidance, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "guidance-unsaid",
        source,
        "Balance is set to the condylar path; average values are an order too.",
        PRACTICE,
    ),
    caution(
        "guidance-values-missing",
        values,
        "Values are announced, and the lab finds none.",
        PRACTICE,
    ),
    caution(
        "average-guidance-with-values",
        average_values,
        "Average values and numbers are two orders: the lab has to guess which one is meant.",
        PRACTICE,
    ),
    caution(
        "condylar-values-without-plane",
        plane,
        "The same joint reads 40° to one plane and 30° to another.",
        PLANES,
    ),
    caution(
        "guidance-on-another-plane",
        other_plane,
        "Values of one plane set on a cast mounted to another are wrong by the angle between them.",
        PLANES,
    ),
    caution(
        "protrusive-record-missing",
        record,
        "Guidance is to come from a record that nobody finds.",
        PRACTICE,
    ),
    caution(
        "protrusive-record-not-enclosed",
        enclosed,
        "The lab cannot set guidance from a record that is not in the box.",
        PRACTICE,
    ),
    stop(
        "protrusion-zero",
        zero,
        "Without protrusion the record gives no angle.",
        PROTRUSION,
    ),
    caution(
        "protrusion-unusual",
        protrusion,
        "Too short, the angle is noise; too long, the joint has turned its path.",
        PROTRUSION,
    ),
    caution(
        "condylar-off-its-record",
        off_record,
        "The number and the record ask for two settings.",
        PRACTICE,
    ),
    caution(
        "condylar-unusual",
        unusual,
        "Such an inclination is seldom real: an angle of another plane, or a slip of the pen.",
        PLANES,
    ),
    caution(
        "condylar-sides-differ",
        sides,
        "So large a difference is more often a record that was not seated.",
        PRACTICE,
    ),
    remark(
        "lateral-off-the-formula",
        lateral,
        "A look at the record is worth it.",
        HANAU,
    ),
    caution(
        "hinge-articulator-with-balance",
        hinge,
        "A hinge has no side movement: contacts in it, which balanced and lingualized teeth have, cannot be set on it.",
        PRACTICE,
    ),
    caution(
        "incisal-table-off-the-overlap",
        table,
        "The front teeth glide along their overlap, and the articulator along its table: one of the two is wrong.",
        OWN_RULE,
    ),
    caution(
        "record-on-average-articulator",
        average,
        "An average-value articulator cannot be set to a record or to values.",
        PRACTICE,
    ),
];

fn wants_balance(input: &Input<'_>) -> bool {
    matches!(
        input.rx.occlusion.scheme,
        Some(Scheme::Balanced | Scheme::Lingualized)
    )
}

/// The inclinations that are given, each with its field.
fn condylar(guidance: &Guidance) -> impl Iterator<Item = (&'static str, Degrees)> {
    let sides = [
        ("guidance.condylar_right", guidance.condylar_right),
        ("guidance.condylar_left", guidance.condylar_left),
    ];
    sides
        .into_iter()
        .filter_map(|(key, given)| Some((key, given?)))
}

fn source(input: &Input<'_>) -> Option<Hit> {
    let scheme = input.rx.occlusion.scheme?;
    // In a mounting that is kept the guidance stands as it was set.
    let is_kept = yes(input.rx.facebow.kept_mounting);
    let wrong = wants_balance(input) && input.rx.guidance.source.is_none() && !is_kept;
    wrong.then(|| {
        at(
            "guidance.source",
            format!(
                "The scheme is {}, and where the guidance comes from is not given.",
                scheme.shown()
            ),
        )
    })?
}

fn values(input: &Input<'_>) -> Option<Hit> {
    let guidance = &input.rx.guidance;
    let wrong =
        guidance.source == Some(GuidanceSource::Values) && condylar(guidance).next().is_none();
    when(
        wrong,
        "guidance.condylar_right",
        "Guidance is to be set to the values given here, and no condylar inclination is given.",
    )
}

fn average_values(input: &Input<'_>) -> Option<Hit> {
    let guidance = &input.rx.guidance;
    let (_, value) = condylar(guidance).next()?;
    (guidance.source == Some(GuidanceSource::Average)).then(|| {
        at(
            "guidance.source",
            format!("Average values are ordered, and a condylar inclination of {value}° is given."),
        )
    })?
}

fn plane(input: &Input<'_>) -> Option<Hit> {
    let guidance = &input.rx.guidance;
    let (_, angle) = condylar(guidance).next()?;
    let wrong = guidance.plane.is_none();
    wrong.then(|| {
        at(
            "guidance.plane",
            format!("A condylar inclination of {angle}° is given without the plane it holds for."),
        )
    })?
}

fn other_plane(input: &Input<'_>) -> Option<Hit> {
    let (values, record) = (input.rx.guidance.plane?, input.rx.facebow.plane?);
    // The average of one plane is not that of another.
    let is_average = input.rx.guidance.source == Some(GuidanceSource::Average);
    // Where no record was made there is none on another plane.
    let wrong = yes(input.rx.facebow.made)
        && values != record
        && (condylar(&input.rx.guidance).next().is_some() || is_average);
    wrong.then(|| {
        at(
            "guidance.plane",
            format!(
                "The values hold for “{}”, and the facebow record for “{}”.",
                values.shown(),
                record.shown()
            ),
        )
    })?
}

fn record(input: &Input<'_>) -> Option<Hit> {
    let guidance = &input.rx.guidance;
    let read = guidance.advance_mm.is_some() && guidance.drop_mm.is_some();
    let wrong = guidance.source == Some(GuidanceSource::Record) && guidance.item.is_none() && !read;
    when(
        wrong,
        "guidance.item",
        "Guidance is to come from a protrusive record, and none is named.",
    )
}

fn enclosed(input: &Input<'_>) -> Option<Hit> {
    let tag = input.rx.guidance.item.as_ref()?;
    let wrong = input.lists_enclosures() && !input.reaches_lab(tag);
    wrong.then(|| not_listed(input, "guidance.item", "protrusive record", tag))?
}

fn zero(input: &Input<'_>) -> Option<Hit> {
    let wrong = input
        .rx
        .guidance
        .advance_mm
        .is_some_and(|advance| advance.hundredths() == 0);
    when(
        wrong,
        "guidance.advance_mm",
        "The protrusion in the record is 0 mm.",
    )
}

fn protrusion(input: &Input<'_>) -> Option<Hit> {
    let advance = input
        .rx
        .guidance
        .advance_mm
        .filter(|advance| advance.hundredths() > 0)?;
    let wrong = !USUAL_PROTRUSION.contains(&advance.hundredths());
    wrong.then(|| {
        at(
            "guidance.advance_mm",
            format!("The protrusion in the record is {advance} mm; about 5 to 6 mm are usual."),
        )
    })?
}

fn recorded_angle(guidance: &Guidance) -> Option<(Mm, Mm, f64)> {
    let (drop, advance) = (guidance.drop_mm?, guidance.advance_mm?);
    Some((drop, advance, protrusive_angle(drop, advance)?))
}

fn off_record(input: &Input<'_>) -> Option<Hit> {
    let guidance = &input.rx.guidance;
    let (drop, advance, angle) = recorded_angle(guidance)?;
    let (key, given) =
        condylar(guidance).find(|(_, given)| (given.to_f64() - angle).abs() > OFF_RECORD)?;
    at(
        key,
        format!(
            "{drop} mm down on {advance} mm forward is {}°, and {given}° is given.",
            tenths(angle)
        ),
    )
}

fn unusual(input: &Input<'_>) -> Option<Hit> {
    let guidance = &input.rx.guidance;
    if let Some((key, given)) =
        condylar(guidance).find(|(_, given)| !USUAL_CONDYLAR.contains(&given.hundredths()))
    {
        return at(
            key,
            format!("A condylar inclination of {given}° is given; 10° to 60° covers nearly all."),
        );
    }
    // Beside a number its record is held against it.
    let (drop, advance, angle) = recorded_angle(guidance)?;
    let is_alone = condylar(guidance).next().is_none();
    let is_usual = (10.0..=60.0).contains(&angle);
    (is_alone && !is_usual).then(|| {
        at(
            "guidance.drop_mm",
            format!(
                "{drop} mm down on {advance} mm forward is {}°; 10° to 60° covers nearly all.",
                tenths(angle)
            ),
        )
    })?
}

/// How far a table may lie from the overlap of the front teeth, in degrees. Common practice, no source.
const OFF_OVERLAP: f64 = 10.0;

fn table(input: &Input<'_>) -> Option<Hit> {
    let table = input.rx.guidance.incisal_table?;
    let occlusion = &input.rx.occlusion;
    let (jet, bite) = (occlusion.overjet_mm?, occlusion.overbite_mm?);
    if jet.hundredths() <= 0 || bite.hundredths() < 0 {
        return None;
    }
    let angle = bite.to_f64().atan2(jet.to_f64()).to_degrees();
    ((table.to_f64() - angle).abs() > OFF_OVERLAP).then(|| {
        at(
            "guidance.incisal_table",
            format!(
                "The incisal table is to be set to {table}°, and {bite} mm of vertical on {jet} mm of horizontal overlap are {}°.",
                tenths(angle)
            ),
        )
    })?
}

fn sides(input: &Input<'_>) -> Option<Hit> {
    let guidance = &input.rx.guidance;
    let (right, left) = (guidance.condylar_right?, guidance.condylar_left?);
    let wrong = (right.hundredths() - left.hundredths()).abs() > SIDES_APART;
    wrong.then(|| {
        at(
            "guidance.condylar_left",
            format!("The condylar inclination is {right}° on the right and {left}° on the left."),
        )
    })?
}

fn lateral(input: &Input<'_>) -> Option<Hit> {
    let guidance = &input.rx.guidance;
    let sides = [
        (
            "guidance.lateral_right",
            guidance.condylar_right,
            guidance.lateral_right,
        ),
        (
            "guidance.lateral_left",
            guidance.condylar_left,
            guidance.lateral_left,
        ),
    ];
    sides.into_iter().find_map(|(key, condylar, lateral)| {
        let (condylar, lateral) = (condylar?, lateral?);
        let formula = condylar.to_f64() / 8.0 + 12.0;
        let wrong = (lateral.to_f64() - formula).abs() > OFF_FORMULA;
        wrong.then(|| {
            at(
                key,
                format!(
                    "A lateral setting of {lateral}° is given; {condylar}° / 8 + 12° is {}°.",
                    tenths(formula)
                ),
            )
        })?
    })
}

fn hinge(input: &Input<'_>) -> Option<Hit> {
    let scheme = input.rx.occlusion.scheme?;
    let is_hinge = input.rx.guidance.articulator == Some(ArticulatorClass::Hinge);
    (is_hinge && wants_balance(input)).then(|| {
        at(
            "guidance.articulator",
            format!(
                "The scheme is {}, and the articulator a hinge.",
                scheme.shown()
            ),
        )
    })?
}

fn average(input: &Input<'_>) -> Option<Hit> {
    let guidance = &input.rx.guidance;
    let fixed = matches!(
        guidance.articulator,
        Some(ArticulatorClass::Average | ArticulatorClass::Hinge)
    );
    let has_values = condylar(guidance).next().is_some();
    let sentence = match guidance.source.filter(|_| fixed)? {
        GuidanceSource::Record => {
            "Guidance is to come from a record, and the articulator named cannot be set."
        }
        GuidanceSource::Values if has_values => {
            "Condylar inclinations are given, and the articulator named cannot be set to them."
        }
        _ => return None,
    };
    at("guidance.articulator", sentence)
}
