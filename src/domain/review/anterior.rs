//! Front teeth.

use super::criteria::{back_teeth_chosen, front_teeth_chosen, lacks};
use super::input::{Input, WITH_TEETH};
use super::reasons::MIDLINE_OFF_TWICE;
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{CANINE_LINES, CURVE, FRONT_NUMBERS, MEANS, PRACTICE, TABRIZ};
use crate::domain::prescription::{
    Arrangement, LipSupport, PatternRule, PatternSource, ToothChoice, WidthMethod,
};
use crate::domain::trade::agreement;
use crate::domain::trade::changes::net;
use crate::domain::trade::mould::Region;
use crate::domain::trade::selection::canine_lines_mm;
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::Mm;
use crate::domain::values::measure::tenths;

/// Six upper front teeth over one central incisor, by the average crowns 45.0 / 8.5 = 5.3, with room
/// for caliper or curve.
const SIX_TO_ONE: std::ops::RangeInclusive<f64> = 4.3..=6.5;
/// Width over length of a central incisor; the published mean is 0.85.
const PROPORTION: std::ops::RangeInclusive<f64> = 0.65..=1.05;
/// Straight and along the curve, with room on both sides of the published ranges.
const STRAIGHT: std::ops::RangeInclusive<i64> = 3_500..=5_400;
const ALONG: std::ops::RangeInclusive<i64> = 4_000..=6_200;

/// The rules about the front teeth, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-11-mould",
        mould,
        "Without mould or size the lab picks the teeth that are in the drawer.",
        TABRIZ,
    ),
    remark(
        "mould-beside-the-pattern",
        mould_twice,
        "Where the mould does not fit the pattern, the lab has to guess which of the two goes first.",
        PRACTICE,
    ),
    caution(
        "standard-arrangement-in-a-copy",
        standard,
        "A copy has its teeth where the pattern has them, and any other arrangement somewhere else.",
        PRACTICE,
    ),
    stop(
        "individual-arrangement-in-an-exact-copy",
        individual_copy,
        "Teeth that are set again stand no longer where the pattern has them.",
        PRACTICE,
    ),
    caution(
        "mould-without-width",
        width,
        "A mould comes in several sizes; the width says which one, and shows a slip of the pen.",
        PRACTICE,
    ),
    caution(
        "width-without-method",
        method,
        "Along the curve the same six teeth measure about 6 mm more than straight across.",
        CURVE,
    ),
    caution(
        "front-width-unusual",
        unusual,
        "A width outside what is seen is more often measured another way than written.",
        CURVE,
    ),
    caution(
        "front-width-against-central",
        ratio,
        "The two numbers cannot belong to one mould.",
        PRACTICE,
    ),
    caution(
        "central-proportion",
        proportion,
        "A central incisor is a little longer than wide; else two numbers are exchanged.",
        MEANS,
    ),
    caution(
        "front-mould-for-one-arch",
        one_arch,
        "Lower front teeth do not follow from the upper mould alone.",
        PRACTICE,
    ),
    caution(
        "front-teeth-as-on-no-pattern",
        no_pattern,
        "There is no pattern from which to take the teeth.",
        PRACTICE,
    ),
    caution(
        "arrangement-unsaid",
        arrangement,
        "Copied, individual or standard: the arrangement is what the patient sees.",
        PRACTICE,
    ),
    caution(
        "arrangement-against-changes",
        against_changes,
        "The change list moves teeth that the arrangement says to copy exactly.",
        PRACTICE,
    ),
    caution(
        "individual-without-description",
        individual,
        "Individual means something else at every bench.",
        PRACTICE,
    ),
    caution("midline-without-side", side, MIDLINE_OFF_TWICE, PRACTICE),
    caution(
        "midline-side-without-offset",
        offset,
        "A side without millimeters cannot be set.",
        PRACTICE,
    ),
    caution(
        "midline-unsaid",
        midline,
        "Where nobody says it, the lab takes the middle of the cast.",
        PRACTICE,
    ),
    caution(
        "lip-support-without-amount",
        lip,
        "More lip support is more teeth forward or more base; the lab needs the number.",
        PRACTICE,
    ),
    caution(
        "gap-in-an-exact-copy",
        gap,
        "An exact copy has the gap that the pattern has.",
        PRACTICE,
    ),
    caution(
        "incisal-length-unsaid",
        incisal,
        "How much tooth shows at rest decides the length of the front teeth.",
        PRACTICE,
    ),
    caution(
        "front-number-unusual",
        unusual_number,
        "So far off what mouths show, a digit or a sign has slipped more often than not.",
        FRONT_NUMBERS,
    ),
    caution(
        "canine-lines-off-the-width",
        canines_and_width,
        "The six front teeth stand between the canine lines: one of the two is wrong.",
        CANINE_LINES,
    ),
    caution(
        "canine-lines-uneven",
        canines,
        "One side much wider than the other is a midline in the wrong place, or a slip of the pen.",
        PRACTICE,
    ),
];

fn mould(input: &Input<'_>) -> Option<Hit> {
    if !lacks(input, 11) {
        return None;
    }
    let front = front_teeth_chosen(&input.rx.anterior);
    let back = back_teeth_chosen(&input.rx.posterior);
    let (key, words) = match (front, back) {
        (true, _) => ("posterior.choice", "back teeth"),
        (false, true) => ("anterior.choice", "front teeth"),
        (false, false) => ("anterior.choice", "front and back teeth"),
    };
    at(
        key,
        format!(
            "Neither mould nor size of the {words} is given, nor that they are as on the pattern."
        ),
    )
}

fn is_mould_named(input: &Input<'_>) -> bool {
    let teeth = &input.rx.anterior;
    teeth.upper_mould.is_some() && teeth.choice != Some(ToothChoice::Pattern)
}

/// Whether the lab's own list says how wide the mould is.
fn is_width_in_the_list(input: &Input<'_>) -> bool {
    let (list, code) = (&input.setting.lists.moulds, &input.rx.anterior.upper_mould);
    let found = list.as_deref().zip(code.as_ref());
    found.is_some_and(|(list, code)| {
        list.find(code.as_str(), Arch::Upper, Region::Front)
            .is_some()
    })
}

fn mould_twice(input: &Input<'_>) -> Option<Hit> {
    let (front, back) = (&input.rx.anterior, &input.rx.posterior);
    let rows = [
        (front.choice, "anterior.upper_mould", &front.upper_mould),
        (front.choice, "anterior.lower_mould", &front.lower_mould),
        (back.choice, "posterior.upper_mould", &back.upper_mould),
        (back.choice, "posterior.lower_mould", &back.lower_mould),
    ];
    let (key, mould) = rows.into_iter().find_map(|(choice, key, mould)| {
        let is_copied = choice == Some(ToothChoice::Pattern);
        Some((key, mould.as_ref().filter(|_| is_copied)?))
    })?;
    at(
        key,
        format!(
            "Teeth are to be as on the pattern, and the mould “{}” is named.",
            mould.as_str()
        ),
    )
}

fn standard(input: &Input<'_>) -> Option<Hit> {
    let rule = input.rx.pattern.rule.filter(|_| input.copies())?;
    let arrangement = match input.rx.anterior.arrangement? {
        // What was said of the teeth for the set-up is what stands in its wax.
        _ if finishes_its_try_in(input) => return None,
        Arrangement::Standard => "standard",
        Arrangement::Individual if rule != PatternRule::Exactly => "individual",
        _ => return None,
    };
    input.has_pattern().then(|| {
        at(
            "anterior.arrangement",
            format!(
                "The arrangement is {arrangement}, and of the pattern it is said “{}”.",
                rule.shown()
            ),
        )
    })?
}

/// Teeth that stand in the wax were arranged for the set-up: what was said of them there still holds.
fn finishes_its_try_in(input: &Input<'_>) -> bool {
    input.rx.pattern.source == Some(PatternSource::TryIn)
}

fn individual_copy(input: &Input<'_>) -> Option<Hit> {
    let is_exact = input.has_pattern() && input.rx.pattern.rule == Some(PatternRule::Exactly);
    let is_individual = input.rx.anterior.arrangement == Some(Arrangement::Individual);
    when(
        is_exact && is_individual && !finishes_its_try_in(input),
        "anterior.arrangement",
        "The pattern is to be copied exactly, and the front teeth are to be arranged individually.",
    )
}

fn width(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let wrong = is_mould_named(input)
        && teeth.width_mm.is_none()
        && teeth.central_width_mm.is_none()
        && !is_width_in_the_list(input);
    when(
        wrong,
        "anterior.width_mm",
        "An upper front mould is named, and no width of the teeth is given.",
    )
}

fn method(input: &Input<'_>) -> Option<Hit> {
    let width = input.rx.anterior.width_mm?;
    let wrong = input.rx.anterior.width_method.is_none();
    wrong.then(|| at("anterior.width_method", format!("{width} mm is given for the upper six; whether straight or along the curve is not given.")))?
}

fn unusual(input: &Input<'_>) -> Option<Hit> {
    let (width, method) = (input.rx.anterior.width_mm?, input.rx.anterior.width_method?);
    let (usual, words) = match method {
        WidthMethod::Caliper => (STRAIGHT, "35 to 54 mm straight"),
        WidthMethod::Curve => (ALONG, "40 to 62 mm along the curve"),
    };
    (!usual.contains(&width.hundredths())).then(|| {
        at(
            "anterior.width_mm",
            format!("The upper six measure {width} mm; {words} covers nearly all."),
        )
    })?
}

fn ratio(input: &Input<'_>) -> Option<Hit> {
    let (six, one) = (
        input.rx.anterior.width_mm?,
        input.rx.anterior.central_width_mm?,
    );
    let ratio = six.to_f64() / one.to_f64();
    (!SIX_TO_ONE.contains(&ratio)).then(|| at("anterior.central_width_mm", format!("{six} mm for six teeth and {one} mm for the central incisor: {} times, and about 5.3 are usual.", tenths(ratio))))?
}

fn proportion(input: &Input<'_>) -> Option<Hit> {
    let (wide, long) = (
        input.rx.anterior.central_width_mm?,
        input.rx.anterior.central_length_mm?,
    );
    let proportion = wide.to_f64() / long.to_f64();
    (!PROPORTION.contains(&proportion)).then(|| {
        at(
            "anterior.central_length_mm",
            format!("The central incisor is {wide} mm wide and {long} mm long."),
        )
    })?
}

fn one_arch(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let both = input.orders(Arch::Upper) && input.orders(Arch::Lower);
    let wrong = both
        && teeth.choice == Some(ToothChoice::Mould)
        && teeth.upper_mould.is_some() != teeth.lower_mould.is_some();
    let key = if teeth.upper_mould.is_some() {
        "anterior.lower_mould"
    } else {
        "anterior.upper_mould"
    };
    when(
        wrong,
        key,
        "Both jaws are ordered, and the mould of the front teeth is named for one.",
    )
}

fn has_no_pattern(input: &Input<'_>) -> bool {
    input.rx.pattern.source == Some(PatternSource::None)
}

fn no_pattern(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let copied = teeth.choice == Some(ToothChoice::Pattern)
        || matches!(
            teeth.arrangement,
            Some(Arrangement::CopyExactly | Arrangement::CopyWithChanges)
        );
    when(
        copied && has_no_pattern(input),
        "anterior.choice",
        "Front teeth are to be as on the pattern, and there is none.",
    )
}

fn arrangement(input: &Input<'_>) -> Option<Hit> {
    // Copying the whole pattern says the arrangement of its teeth too.
    let wrong =
        input.rx.anterior.arrangement.is_none() && input.reaches(WITH_TEETH) && !input.copies();
    when(
        wrong,
        "anterior.arrangement",
        "How the front teeth are to stand is not given.",
    )
}

fn against_changes(input: &Input<'_>) -> Option<Hit> {
    let copied = input.rx.anterior.arrangement == Some(Arrangement::CopyExactly);
    let changed = input.rx.pattern.rule == Some(PatternRule::WithChanges)
        && input.rx.pattern.changes.iter().any(|change| {
            use crate::domain::prescription::ChangedPart as Part;
            matches!(
                change.what,
                Some(
                    Part::UpperFront
                        | Part::LowerFront
                        | Part::UpperIncisors
                        | Part::LowerIncisors
                        | Part::Midline
                )
            ) || change.tooth.is_some_and(|tooth| tooth.is_anterior())
        });
    when(
        copied && changed,
        "anterior.arrangement",
        "Front teeth are to be copied exactly, and the change list moves some of them.",
    )
}

fn individual(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let wrong = teeth.arrangement == Some(Arrangement::Individual) && teeth.character.is_none();
    when(
        wrong,
        "anterior.character",
        "An individual arrangement is ordered, and it is not described.",
    )
}

fn moved(input: &Input<'_>) -> Option<Mm> {
    input
        .rx
        .anterior
        .midline_offset_mm
        .filter(|offset| offset.hundredths() > 0)
}

fn side(input: &Input<'_>) -> Option<Hit> {
    let offset = moved(input)?;
    let wrong = input.rx.anterior.midline_side.is_none();
    wrong.then(|| {
        at(
            "anterior.midline_side",
            format!("The midline is to be moved by {offset} mm, and to which side is not given."),
        )
    })?
}

fn offset(input: &Input<'_>) -> Option<Hit> {
    // By how much the change list says, and what is left of the field beside it is told there.
    let listed = agreement::listed_midline(&net(&input.rx.pattern.changes));
    let is_listed = listed.hundredths() != 0;
    let has_side = input.rx.anterior.midline_side.is_some();
    let wrong = has_side && moved(input).is_none() && !is_listed;
    when(
        wrong,
        "anterior.midline_offset_mm",
        "The midline is to be moved to a side, and by how much is not given.",
    )
}

fn midline(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let wrong = input.reaches(WITH_TEETH)
        && teeth.midline.is_none()
        && teeth.midline_offset_mm.is_none()
        && !input.has_pattern();
    when(
        wrong,
        "anterior.midline",
        "Where the midline lies is not given.",
    )
}

fn lip(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let changed = matches!(teeth.lip_support, Some(LipSupport::More | LipSupport::Less));
    let said = teeth.lip_support_mm.is_some_and(|mm| mm.hundredths() > 0);
    when(
        changed && !said,
        "anterior.lip_support_mm",
        "The lip support is to change, and by how much is not given.",
    )
}

fn gap(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let is_exact = teeth.arrangement == Some(Arrangement::CopyExactly);
    let is_whole = input.rx.pattern.rule == Some(PatternRule::Exactly);
    if !is_exact && !is_whole {
        return None;
    }
    let seen = |mm: Option<Mm>| mm.filter(|mm| mm.hundredths() != 0);
    if let Some(gap) = seen(teeth.diastema_mm) {
        return at(
            "anterior.diastema_mm",
            format!("The arrangement is an exact copy, and a gap of {gap} mm is ordered."),
        );
    }
    // What is moved in a pattern copied exactly has a rule of its own.
    let moved = seen(teeth.midline_offset_mm).filter(|_| !is_whole)?;
    at(
        "anterior.midline_offset_mm",
        format!("The arrangement is an exact copy, and the midline is moved by {moved} mm."),
    )
}

fn incisal(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let wrong = input.orders(Arch::Upper)
        && input.reaches(WITH_TEETH)
        && teeth.incisal_show_mm.is_none()
        && !input.has_pattern();
    when(
        wrong,
        "anterior.incisal_show_mm",
        "How far the upper incisal edge shows below the lip is not given.",
    )
}

fn canines(input: &Input<'_>) -> Option<Hit> {
    let (right, left) = (
        input.rx.anterior.canine_right_mm?,
        input.rx.anterior.canine_left_mm?,
    );
    let apart = Mm::from_hundredths((right.hundredths() - left.hundredths()).abs());
    (apart.hundredths() > 400).then(|| at("anterior.canine_left_mm", format!("The canine lines lie {right} mm to the right and {left} mm to the left of the midline: {apart} mm apart.")))?
}

/// How far two lines that are drawn by eye may miss, both together, mm. Common practice, no source.
const DRAWN_BY_EYE: f64 = 4.0;

fn canines_and_width(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let (right, left) = (teeth.canine_right_mm?, teeth.canine_left_mm?);
    let width = teeth.width_mm?;
    let lines = Mm::from_hundredths(right.hundredths().saturating_add(left.hundredths()));
    let fits = canine_lines_mm(width.to_f64(), teeth.width_method).ok()?;
    // Teeth that stand apart lie further apart at the canines too.
    let gap = teeth.diastema_mm.map_or(0.0, Mm::to_f64);
    let (least, most) = (fits.start() - DRAWN_BY_EYE, fits.end() + gap + DRAWN_BY_EYE);
    let how = match teeth.width_method {
        Some(method) => format!(" ({})", method.shown()),
        None => String::new(),
    };
    (!(least..=most).contains(&lines.to_f64())).then(|| {
        at(
            "anterior.canine_right_mm",
            format!(
                "The canine lines lie {lines} mm apart; six upper front teeth of {width} mm{how} have them {} to {} mm apart, through the tips or the distal corners. Measure both again.",
                tenths(least),
                tenths(most)
            ),
        )
    })?
}

/// What is read in front, with the least and the most that is no slip, in hundredths of a millimetre. Show at rest after
/// Vig and Brundo 1978, papilla after a teaching text, both from memory; the rest is common practice, no source.
const FRONT: [(&str, &str, std::ops::RangeInclusive<i64>); 6] = [
    (
        "anterior.diastema_mm",
        "The gap between the upper central incisors is",
        0..=500,
    ),
    (
        "anterior.midline_offset_mm",
        "The midline is moved by",
        0..=600,
    ),
    (
        "anterior.incisal_show_mm",
        "Below the lip at rest show",
        -300..=700,
    ),
    (
        "anterior.papilla_mm",
        "From the incisive papilla to the incisal edge lie",
        400..=1_400,
    ),
    (
        "occlusion.overjet_mm",
        "The horizontal overlap in front is",
        -100..=800,
    ),
    (
        "occlusion.overbite_mm",
        "The vertical overlap in front is",
        -100..=700,
    ),
];

fn unusual_number(input: &Input<'_>) -> Option<Hit> {
    let (teeth, meet) = (&input.rx.anterior, &input.rx.occlusion);
    let value = |key: &str| match key {
        "anterior.diastema_mm" => teeth.diastema_mm,
        "anterior.midline_offset_mm" => teeth.midline_offset_mm,
        "anterior.incisal_show_mm" => teeth.incisal_show_mm,
        "anterior.papilla_mm" => teeth.papilla_mm,
        "occlusion.overjet_mm" => meet.overjet_mm,
        // A deep overlap has a rule of its own.
        _ => meet.overbite_mm.filter(|mm| mm.hundredths() < 0),
    };
    let found: Vec<(&str, String)> = FRONT
        .iter()
        .filter_map(|(key, said, usual)| {
            let mm = value(key).filter(|mm| !usual.contains(&mm.hundredths()))?;
            let (least, most) = (
                Mm::from_hundredths(*usual.start()),
                Mm::from_hundredths(*usual.end()),
            );
            Some((
                *key,
                format!("{said} {mm} mm; {least} to {most} mm cover nearly all."),
            ))
        })
        .collect();
    let (key, _) = found.first()?;
    let said: Vec<&str> = found.iter().map(|(_, said)| said.as_str()).collect();
    at(*key, said.join(" "))
}
