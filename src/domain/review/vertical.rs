//! Vertical dimension.

use super::criteria::lacks;
use super::input::{Input, rows_named, rows_where, yes};
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{ARC, FACE_HEIGHT, INCREASE, INTEROCCLUSAL, PIN, PRACTICE, SPEAKING};
use super::sums::{at_incisors, retreat_mm};
use crate::domain::prescription::{MeasuredAt, VerticalMethod, VerticalOrder, VerticalReading};
use crate::domain::trade::agreement;
use crate::domain::trade::vertical::ChangeSize;
use crate::domain::values::measure::Mm;
use crate::domain::values::measure::tenths;
use crate::domain::values::words::capitalised;

/// The teaching value of the interocclusal distance, in mm.
const USUAL: std::ops::RangeInclusive<f64> = 2.0..=4.0;
/// Readings that lie further apart are no two readings of one thing.
const SPREAD: i64 = 200;
/// How far the number given may lie from the mean of its readings.
const OFF_MEAN: i64 = 50;
/// Balkwill angles between which hints are given, in degrees.
const FLAT: f64 = 18.0;
const STEEP: f64 = 26.0;
/// How exactly a distance is read in the mouth, in mm. Common practice, no source.
const READING: f64 = 1.0;
/// Rounding of hundredths must not push a value over a limit.
const SLACK: f64 = 1e-9;

/// The rules about vertical dimension, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-15-vertical",
        unsaid,
        "Height decides the length of the teeth, and everything else is set to it.",
        PRACTICE,
    ),
    caution(
        "vertical-change-without-amount",
        amount,
        "“Open a little” is another height on every articulator.",
        PRACTICE,
    ),
    caution(
        "vertical-change-without-place",
        place,
        "1.5 mm at the pin are 1 mm at the incisors and 0.5 mm at the molars.",
        PIN,
    ),
    stop(
        "vertical-kept-and-changed",
        contradiction,
        "The lab cannot keep the height and change it.",
        PRACTICE,
    ),
    stop(
        "rest-not-above-occlusal",
        impossible,
        "At rest the jaws stand apart: one of the two numbers is wrong, and the teeth would be set too long.",
        INTEROCCLUSAL,
    ),
    caution(
        "height-unusual",
        unlikely,
        "Measured on a face, no height is that small or that large: a digit has slipped, or two other points were taken.",
        FACE_HEIGHT,
    ),
    caution(
        "interocclusal-unusual",
        unusual,
        "Too little room tires the muscles and clicks in speech; too much looks old and chews weakly.",
        INTEROCCLUSAL,
    ),
    caution(
        "interocclusal-after-change",
        after_change,
        "What counts is the room that is left after the change.",
        INTEROCCLUSAL,
    ),
    caution(
        "readings-spread",
        spread,
        "Readings that far apart do not tell which height to set.",
        PRACTICE,
    ),
    caution(
        "readings-by-two-methods",
        two_methods,
        "Two methods read between other points: their mean is the height of nothing.",
        PRACTICE,
    ),
    caution(
        "reading-impossible",
        reading,
        "In this reading the jaws stand closer at rest than in occlusion.",
        INTEROCCLUSAL,
    ),
    caution(
        "vertical-off-its-readings",
        off_mean,
        "The lab sees two heights and has to guess which one is meant.",
        PRACTICE,
    ),
    remark(
        "single-reading",
        single,
        "Rest position drifts; two readings and their mean are worth more than one.",
        PRACTICE,
    ),
    caution(
        "vertical-without-method",
        method,
        "The lab checks the height with the same measure, or not at all.",
        PRACTICE,
    ),
    remark(
        "rest-unsaid",
        rest,
        "Without the rest height nobody can tell whether the height is bearable.",
        INTEROCCLUSAL,
    ),
    remark(
        "change-at-the-pin",
        at_pin,
        "The pin stands further from the axis than the teeth.",
        PIN,
    ),
    caution(
        "lower-front-after-change",
        lower_front,
        "The lower front teeth swing back as the bite opens and forward as it closes, and the overlap with them.",
        ARC,
    ),
    caution(
        "vertical-change-large",
        large,
        "So much at once is tried on the provisional first.",
        INCREASE,
    ),
    caution(
        "speaking-space-small",
        speaking,
        "Teeth that nearly touch on S click in speech.",
        SPEAKING,
    ),
    caution(
        "speaking-space-above-freeway",
        speaking_wide,
        "On S the teeth come nearer than at rest: of the heights and the speaking space one is misread.",
        SPEAKING,
    ),
    caution(
        "pin-set-though-kept",
        pin,
        "A pin off zero opens or closes the height that is to be kept.",
        PRACTICE,
    ),
    caution(
        "reset-without-change",
        reset,
        "Lower front teeth are re-set because the height changes; here it does not.",
        PRACTICE,
    ),
];

fn is_change(input: &Input<'_>) -> bool {
    matches!(
        input.rx.vertical.order,
        Some(VerticalOrder::Open | VerticalOrder::Close)
    )
}

fn is_amount(change: Option<Mm>) -> bool {
    change.is_some_and(|change| change.hundredths() > 0)
}

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    // What else a change lacks has its own rules.
    if !lacks(input, 15) {
        return None;
    }
    let is_unknown = vertical.occlusal_mm.is_none() && input.rx.guidance.pin_mm.is_none();
    let (key, sentence) = match (is_unknown, vertical.order) {
        (true, None) => (
            "vertical.occlusal_mm",
            "Neither the occlusal vertical dimension nor a pin setting is given, nor whether the height is kept, opened or closed.",
        ),
        (true, Some(_)) => (
            "vertical.occlusal_mm",
            "Neither the occlusal vertical dimension nor a pin setting is given.",
        ),
        (false, None) => (
            "vertical.order",
            "It is not said whether the vertical dimension is kept, opened or closed.",
        ),
        (false, Some(_)) => return None,
    };
    at(key, sentence)
}

fn amount(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_change(input) && !is_amount(input.rx.vertical.change_mm);
    when(
        wrong,
        "vertical.change_mm",
        "The vertical dimension is to be changed, and by how much is not given.",
    )
}

fn place(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let wrong = is_change(input) && vertical.change_at.is_none();
    wrong.then(|| {
        let amount = vertical.change_mm.map(|mm| format!(" by {mm} mm")).unwrap_or_default();
        at("vertical.change_at", format!("The vertical dimension is to be changed{amount}, and whether at the pin, the incisors or the molars is not given."))
    })?
}

fn contradiction(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let change = vertical
        .change_mm
        .filter(|change| change.hundredths() > 0)?;
    let wrong = vertical.order == Some(VerticalOrder::Keep);
    wrong.then(|| {
        at(
            "vertical.order",
            format!("The vertical dimension is to be kept, and a change by {change} mm is given."),
        )
    })?
}

/// Rest, occlusal and the distance between them, in mm.
fn distance(input: &Input<'_>) -> Option<(Mm, Mm, f64)> {
    let (rest, occlusal) = (input.rx.vertical.rest_mm?, input.rx.vertical.occlusal_mm?);
    Some((rest, occlusal, rest.to_f64() - occlusal.to_f64()))
}

/// The distance between rest and occlusion that is left when the lab has done as ordered; `None` while a
/// change is ordered whose size is not said.
fn left_over(input: &Input<'_>) -> Option<f64> {
    let (.., distance) = distance(input)?;
    if is_change(input) {
        Some(distance - change_at_incisors(input)?)
    } else {
        Some(distance)
    }
}

/// The least that an opening without its place comes to at the incisors: read at the pin, which stands furthest from
/// the axis.
fn least_opening(input: &Input<'_>) -> Option<(Mm, f64)> {
    let vertical = &input.rx.vertical;
    let change = vertical.change_mm?;
    let is_open = vertical.order == Some(VerticalOrder::Open) && vertical.change_at.is_none();
    is_open.then(|| (change, at_incisors(change, MeasuredAt::Pin)))
}

fn impossible(input: &Input<'_>) -> Option<Hit> {
    let (rest, occlusal, distance) = distance(input)?;
    if let Some((change, least)) = least_opening(input)
        && distance >= SLACK
    {
        return (distance - least < SLACK).then(|| {
            at(
                "vertical.change_mm",
                format!(
                    "Opened by {change} mm, the bite opens by at least {} mm at the incisors, and only {} mm lie between rest and occlusion.",
                    tenths(least),
                    tenths(distance)
                ),
            )
        })?;
    }
    let left = left_over(input).filter(|left| *left < SLACK)?;
    let sentence = if is_change(input) {
        let vertical = &input.rx.vertical;
        let way = match vertical.order {
            Some(VerticalOrder::Close) => "closing",
            _ => "opening",
        };
        let how = match vertical.change_mm {
            Some(change) => format!("{way} by {change} mm"),
            None => "the change".to_owned(),
        };
        format!(
            "After {how} the occlusal height is {} mm, and the rest height {rest} mm.",
            tenths(occlusal.to_f64() + distance - left)
        )
    } else {
        format!("Rest {rest} mm is not more than occlusion {occlusal} mm.")
    };
    at("vertical.rest_mm", sentence)
}

/// Heights between two points of a face, in hundredths of a millimetre.
const ON_A_FACE: std::ops::RangeInclusive<i64> = 4_500..=9_500;

/// A height on the face that no face has. A caliper may stand on any two points.
fn unlikely(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let on_a_face = matches!(
        vertical.method,
        Some(VerticalMethod::NoseChin | VerticalMethod::Gauge)
    );
    let heights = [
        ("vertical.occlusal_mm", "in occlusion", vertical.occlusal_mm),
        ("vertical.rest_mm", "at rest", vertical.rest_mm),
    ];
    let mut heights = heights
        .into_iter()
        .filter_map(|(key, when, mm)| Some((key, when, mm?)));
    let (key, when, mm) = heights.find(|(.., mm)| !ON_A_FACE.contains(&mm.hundredths()))?;
    on_a_face.then(|| {
        at(
            key,
            format!(
                "The vertical dimension {when} is {mm} mm; on a face 45 to 95 mm cover nearly all."
            ),
        )
    })?
}

fn is_usual(distance: f64) -> bool {
    (USUAL.start() - SLACK..=USUAL.end() + SLACK).contains(&distance)
}

fn unusual(input: &Input<'_>) -> Option<Hit> {
    let (rest, occlusal, distance) = distance(input)?;
    let wrong = rest > occlusal && !is_usual(distance) && !is_change(input);
    wrong.then(|| {
        at(
            "vertical.occlusal_mm",
            format!(
                "Rest {rest} mm less occlusion {occlusal} mm leaves {} mm; 2 to 4 mm are usual.",
                tenths(distance)
            ),
        )
    })?
}

/// The ordered change at the incisors, opening positive; `None` where the height is kept.
fn change_at_incisors(input: &Input<'_>) -> Option<f64> {
    agreement::ordered_mm(input.rx).filter(|_| is_change(input))
}

fn after_change(input: &Input<'_>) -> Option<Hit> {
    let (.., distance) = distance(input)?;
    if let Some((change, least)) = least_opening(input) {
        let left = distance - least;
        let wrong = (SLACK..USUAL.start() - SLACK).contains(&left);
        return wrong.then(|| {
            at(
                "vertical.change_mm",
                format!(
                    "{} mm between rest and occlusion become at most {} mm by opening {change} mm; 2 to 4 mm are usual.",
                    tenths(distance),
                    tenths(left)
                ),
            )
        })?;
    }
    let change = change_at_incisors(input)?;
    let left = distance - change;
    let wrong = left >= SLACK && !is_usual(left);
    wrong.then(|| at("vertical.change_mm", format!("{} mm between rest and occlusion become {} mm by {} {} mm at the incisors; 2 to 4 mm are usual.", tenths(distance), tenths(left), if change > 0.0 { "opening" } else { "closing" }, tenths(change.abs()))))?
}

fn values(readings: &[VerticalReading], of: fn(&VerticalReading) -> Option<Mm>) -> Vec<i64> {
    readings.iter().filter_map(of).map(Mm::hundredths).collect()
}

fn spread_of(values: &[i64]) -> i64 {
    match (values.iter().min(), values.iter().max()) {
        (Some(least), Some(most)) => most - least,
        _ => 0,
    }
}

fn spread(input: &Input<'_>) -> Option<Hit> {
    let readings = &input.rx.vertical.readings;
    let rest = spread_of(&values(readings, |reading| reading.rest_mm));
    let occlusal = spread_of(&values(readings, |reading| reading.occlusal_mm));
    let (name, apart) = if rest >= occlusal {
        ("rest", rest)
    } else {
        ("occlusion", occlusal)
    };
    let wrong = apart > SPREAD;
    wrong.then(|| {
        at(
            "readings.0.rest_mm",
            format!(
                "The readings in {name} lie {} mm apart.",
                Mm::from_hundredths(apart)
            ),
        )
    })?
}

fn two_methods(input: &Input<'_>) -> Option<Hit> {
    let readings = input.rx.vertical.readings.iter().enumerate();
    let mut said = readings.filter_map(|(row, reading)| Some((row, reading.method?)));
    let (_, first) = said.next()?;
    let (row, other) = said.find(|(_, method)| *method != first)?;
    at(
        format!("readings.{row}.method"),
        format!(
            "The height was read by two methods: “{}” and “{}”.",
            first.shown(),
            other.shown()
        ),
    )
}

fn reading(input: &Input<'_>) -> Option<Hit> {
    let wrong = |reading: &VerticalReading| matches!((reading.rest_mm, reading.occlusal_mm), (Some(rest), Some(occlusal)) if rest <= occlusal);
    // A bite that is to be lowered may well be read above rest: that is why it is lowered.
    if input.rx.vertical.order == Some(VerticalOrder::Close) {
        return None;
    }
    let rows = rows_where(&input.rx.vertical.readings, wrong);
    let row = rows.first()?;
    at(
        format!("readings.{row}.rest_mm"),
        format!(
            "{}: rest is not more than occlusion.",
            rows_named("Reading", &rows)
        ),
    )
}

/// The mean of the readings where there are any and it lies off the number given.
fn mean_off(given: Option<Mm>, readings: &[i64]) -> Option<(Mm, Mm)> {
    let given = given?;
    let count = i64::try_from(readings.len())
        .ok()
        .filter(|count| *count > 0)?;
    let mean = Mm::from_hundredths(readings.iter().sum::<i64>() / count);
    let off = (mean.hundredths() - given.hundredths()).abs() > OFF_MEAN;
    off.then_some((given, mean))
}

fn off_mean(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let rest = mean_off(
        vertical.rest_mm,
        &values(&vertical.readings, |reading| reading.rest_mm),
    );
    let occlusal = mean_off(
        vertical.occlusal_mm,
        &values(&vertical.readings, |reading| reading.occlusal_mm),
    );
    let said = |name: &str, (given, mean): (Mm, Mm)| {
        format!("for {name} {given} mm is given, and the mean of the readings is {mean} mm")
    };
    let found = [
        ("vertical.occlusal_mm", "occlusion", occlusal),
        ("vertical.rest_mm", "rest", rest),
    ];
    let mut found = found
        .into_iter()
        .filter_map(|(key, name, off)| Some((key, said(name, off?))));
    let (key, first) = found.next()?;
    let second = found.next().map(|(_, words)| format!("; {words}"));
    let words = format!("{first}{}.", second.unwrap_or_default());
    at(key, capitalised(&words))
}

/// Whether the height was found right at the try-in: it was read for the set-up and is carried from there.
fn is_tried_in(input: &Input<'_>) -> bool {
    yes(input.rx.approval.height)
}

fn single(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let wrong =
        vertical.occlusal_mm.is_some() && vertical.readings.len() < 2 && !is_tried_in(input);
    when(
        wrong,
        "readings.1.occlusal_mm",
        "Fewer than two readings of the vertical dimension are given.",
    )
}

fn method(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let given = vertical.occlusal_mm.is_some() || vertical.rest_mm.is_some();
    let said = vertical.method.is_some()
        || vertical
            .readings
            .iter()
            .any(|reading| reading.method.is_some());
    when(
        given && !said,
        "vertical.method",
        "A vertical dimension is given without how it was measured.",
    )
}

fn rest(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let wrong = vertical.occlusal_mm.is_some() && vertical.rest_mm.is_none() && !is_tried_in(input);
    when(
        wrong,
        "vertical.rest_mm",
        "The occlusal vertical dimension is given without the one at rest.",
    )
}

fn at_pin(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let change = vertical.change_mm?;
    let wrong = is_change(input) && vertical.change_at == Some(MeasuredAt::Pin);
    wrong.then(|| {
        let incisors = at_incisors(change, MeasuredAt::Pin);
        at("vertical.change_at", format!("{change} mm at the pin are about {} mm at the incisors and {} mm at the second molars.", tenths(incisors), tenths(incisors / 2.0)))
    })?
}

fn lower_front(input: &Input<'_>) -> Option<Hit> {
    let change = change_at_incisors(input)?;
    let wrong = input.rx.vertical.reset_lower_front.is_none() && change.abs() > SLACK;
    if !wrong {
        return None;
    }
    let way = if change > 0.0 { "back" } else { "forward" };
    let moved = match (retreat_mm(change, FLAT), retreat_mm(change, STEEP)) {
        (Some(flat), Some(steep)) => format!(
            "about {} to {} mm ",
            tenths(flat.abs()),
            tenths(steep.abs())
        ),
        _ => String::new(),
    };
    at(
        "vertical.reset_lower_front",
        format!(
            "{} mm at the incisors {} the lower front teeth {moved}{way}; whether they are re-set is not given.",
            tenths(change.abs()),
            if tenths(change.abs()) == "1" {
                "moves"
            } else {
                "move"
            }
        ),
    )
}

fn large(input: &Input<'_>) -> Option<Hit> {
    // Against the readings it is said already.
    let unplaced = least_opening(input).filter(|_| distance(input).is_none());
    let change = change_at_incisors(input).or(unplaced.map(|(_, least)| least))?;
    let size = ChangeSize::of(change);
    (size > ChangeSize::Ordinary && size < ChangeSize::Refused).then(|| {
        at(
            "vertical.change_mm",
            format!("The change is {} mm at the incisors.", tenths(change.abs())),
        )
    })?
}

fn speaking(input: &Input<'_>) -> Option<Hit> {
    let space = input.rx.vertical.closest_speaking_mm?;
    (space < Mm::from_hundredths(50)).then(|| {
        at(
            "vertical.closest_speaking_mm",
            format!("The closest speaking space is {space} mm; about 1 mm is usual."),
        )
    })?
}

fn speaking_wide(input: &Input<'_>) -> Option<Hit> {
    let space = input.rx.vertical.closest_speaking_mm?;
    let (.., distance) = distance(input)?;
    let wrong = distance > SLACK && space.to_f64() > distance + READING + SLACK;
    wrong.then(|| {
        at(
            "vertical.closest_speaking_mm",
            format!(
                "The closest speaking space is {space} mm, and between rest and occlusion lie {} mm.",
                tenths(distance)
            ),
        )
    })?
}

fn pin(input: &Input<'_>) -> Option<Hit> {
    let pin = input
        .rx
        .guidance
        .pin_mm
        .filter(|pin| pin.hundredths() != 0)?;
    let wrong = input.rx.vertical.order == Some(VerticalOrder::Keep);
    wrong.then(|| {
        at(
            "guidance.pin_mm",
            format!(
                "The vertical dimension is to be kept, and the pin is set to {pin} mm, which {} it.",
                if pin.hundredths() > 0 { "opens" } else { "closes" }
            ),
        )
    })?
}

fn reset(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let wrong = yes(vertical.reset_lower_front) && vertical.order == Some(VerticalOrder::Keep);
    when(
        wrong,
        "vertical.reset_lower_front",
        "The lower front teeth are to be re-set after a change, and the vertical dimension is kept.",
    )
}
