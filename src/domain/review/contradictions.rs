//! One thing said twice: both sides are computed, and the difference is told.
//!
//! What goes two ways at once cannot be made and is a stop; two sizes of one change are a caution.

use super::input::Input;
use super::reasons::{MIDLINE_OFF_TWICE, OPENS_AND_CLOSES, TWO_SIZES};
use super::rule::{Hit, Rule, at, caution, stop, when};
use super::sources::{INCREASE, OWN_RULE, PIN, PRACTICE};
use super::stages::height_is_approved;
use crate::domain::form::YesNo;
use crate::domain::prescription::{Change, ChangedPart, LipSupport, PatternRule, VerticalOrder};
use crate::domain::trade::agreement::{self, Listed, Twice};
use crate::domain::trade::changes::{ChangeShape, NetChanges, net};
use crate::domain::trade::vertical::ChangeSize;
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::{Degrees, Mm, tenths};

/// Posterior teeth are set to half a millimetre; less is no change of the height. Common practice, no source.
const SEEN_BEHIND: i64 = 50;
/// Two sizes of one change at the incisors that are still the same, mm. Common practice, no source.
const SAME_HEIGHT: f64 = 1.0;
/// The same for what is read on the face, in hundredths of a millimetre. Common practice, no source.
const SAME_LENGTH: i64 = 50;
/// Rounding of hundredths must not push a value over a limit.
const SLACK: f64 = 1e-9;

/// The rules about what is said twice, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "vertical-change-impossible",
        impossible,
        "No published case was changed that far: number, place or unit is wrong.",
        INCREASE,
    ),
    stop(
        "height-kept-and-list-changes-it",
        kept,
        "Teeth that all stand higher or lower behind open or close the bite: both orders cannot be followed.",
        PIN,
    ),
    caution(
        "list-lifts-one-side",
        one_side,
        "The higher side meets alone, and the denture rocks.",
        PRACTICE,
    ),
    caution(
        "tooth-into-the-kept-height",
        one_tooth,
        "A tooth that stands that much higher meets alone and opens the bite.",
        PRACTICE,
    ),
    stop(
        "list-against-the-ordered-change",
        against_order,
        OPENS_AND_CLOSES,
        PIN,
    ),
    caution(
        "list-off-the-ordered-change",
        off_order,
        "The same change is given in two sizes, and the lab has to guess which one is meant.",
        PIN,
    ),
    stop(
        "pin-against-the-ordered-change",
        pin_against,
        OPENS_AND_CLOSES,
        PIN,
    ),
    caution(
        "pin-off-the-ordered-change",
        pin_off,
        "The pin stands further from the axis than the teeth: its change is half as much again as that of the incisors.",
        PIN,
    ),
    stop(
        "midline-against-changes",
        midline_against,
        MIDLINE_OFF_TWICE,
        PRACTICE,
    ),
    caution(
        "midline-kept-and-moved",
        midline_kept,
        "By its field the midline stays, and the change list moves it.",
        PRACTICE,
    ),
    caution("midline-off-its-changes", midline_off, TWO_SIZES, PRACTICE),
    stop(
        "incisal-length-against-changes",
        length_against,
        "The front teeth cannot become longer and shorter.",
        PRACTICE,
    ),
    caution(
        "incisal-length-kept-and-changed",
        length_kept,
        "By its field the length stays, and the change list changes it.",
        PRACTICE,
    ),
    caution(
        "incisal-length-off-its-changes",
        length_off,
        TWO_SIZES,
        PRACTICE,
    ),
    stop(
        "plane-tilt-against-changes",
        tilt,
        "A tilt the wrong way doubles the fault.",
        PRACTICE,
    ),
    caution(
        "lip-support-against-changes",
        lip,
        "The lip follows the front teeth.",
        PRACTICE,
    ),
    caution(
        "lip-support-kept-and-changed",
        lip_kept,
        "The lip follows the front teeth: it cannot be kept and changed.",
        PRACTICE,
    ),
    caution(
        "overbite-against-changes",
        overbite,
        "Longer front teeth overlap by as much more: the overlap or the change is wrong.",
        OWN_RULE,
    ),
    caution(
        "overjet-against-changes",
        overjet,
        "Front teeth that come forward stand as much further in front: the distance or the change is wrong.",
        OWN_RULE,
    ),
    caution(
        "midline-not-as-marked",
        midline_not_as_marked,
        "Without a distance the lab can only use the mark, which is wrong.",
        PRACTICE,
    ),
    caution("plane-tilt-off-its-changes", tilt_off, TWO_SIZES, OWN_RULE),
    caution(
        "moved-in-an-exact-copy",
        exact,
        "An exact copy has midline and edges where the pattern has them.",
        PRACTICE,
    ),
];

fn changes(input: &Input<'_>) -> NetChanges {
    net(&input.rx.pattern.changes)
}

fn impossible(input: &Input<'_>) -> Option<Hit> {
    let change = agreement::ordered_mm(input.rx)?;
    (ChangeSize::of(change) == ChangeSize::Refused).then(|| {
        at(
            "vertical.change_mm",
            format!(
                "The change comes to {} mm at the incisors; the largest published one is 19 mm.",
                tenths(change.abs())
            ),
        )
    })?
}

fn way(mm: f64) -> &'static str {
    if mm > 0.0 { "opens" } else { "closes" }
}

fn is_seen(mm: Mm) -> bool {
    mm.hundredths().abs() >= SEEN_BEHIND
}

/// Both sides changed alike, as it is at the incisors.
fn alike(input: &Input<'_>) -> Option<(Listed, f64)> {
    let listed = agreement::listed(&changes(input));
    let front = listed.incisors.filter(|_| is_seen(listed.right))?;
    Some((listed, front))
}

fn listed_words(listed: &Listed, front: f64) -> String {
    format!(
        "the change list {} it by {} mm at the posterior teeth, {} mm at the incisors",
        way(front),
        tenths(listed.right.to_f64().abs()),
        tenths(front.abs())
    )
}

fn kept(input: &Input<'_>) -> Option<Hit> {
    let (listed, front) = alike(input)?;
    let is_kept = input.rx.vertical.order == Some(VerticalOrder::Keep);
    is_kept.then(|| {
        at(
            "vertical.order",
            format!(
                "The vertical dimension is to be kept, and {}.",
                listed_words(&listed, front)
            ),
        )
    })?
}

fn one_side(input: &Input<'_>) -> Option<Hit> {
    let listed = agreement::listed(&changes(input));
    let apart = listed
        .right
        .hundredths()
        .saturating_sub(listed.left.hundredths());
    // A plane that is tilted on purpose lifts one side and lowers the other.
    let tilted = input
        .rx
        .plane
        .tilt_mm
        .is_some_and(|tilt| tilt.hundredths() > 0);
    let wrong = is_seen(Mm::from_hundredths(apart)) && !tilted;
    let is_of_one_side = |change: &Change| {
        let alone = net(std::slice::from_ref(change));
        alone.opened_right != alone.opened_left
    };
    let rows = &input.rx.pattern.changes;
    let row = rows.iter().position(is_of_one_side).unwrap_or_default();
    wrong.then(|| {
        at(
            format!("changes.{row}.mm"),
            format!(
                "By the change list the bite changes by {} mm behind on the patient’s right and by {} mm on the left; plus opens.",
                listed.right, listed.left
            ),
        )
    })?
}

/// By how much a back tooth may be brought to the opposing ones, in hundredths of a millimetre. Common practice, no source.
const TO_MEET: i64 = 100;

/// A single back tooth that is set toward the other jaw by more than brings it into contact.
fn one_tooth(input: &Input<'_>) -> Option<Hit> {
    let net = changes(input);
    let is_kept = input.rx.vertical.order == Some(VerticalOrder::Keep);
    let mut parts = net.parts.iter().filter(|_| is_kept);
    let (tooth, by, row) = parts.find_map(|part| {
        let tooth = part.place.tooth.filter(|tooth| !tooth.is_anterior())?;
        let edge = part.shapes.get(&ChangeShape::Edge);
        let edge = edge.map_or(0, |mm| mm.hundredths());
        let up = part.movement.up.hundredths();
        let by = match tooth.arch() {
            Arch::Upper => edge.saturating_sub(up),
            Arch::Lower => edge.saturating_add(up),
        };
        (by > TO_MEET).then_some((tooth, Mm::from_hundredths(by), *part.rows.first()?))
    })?;
    at(
        format!("changes.{row}.mm"),
        format!(
            "The vertical dimension is to be kept, and the {} is to stand {by} mm further toward the other jaw.",
            tooth.words()
        ),
    )
}

/// The ordered change, where one is ordered, and what stands beside it.
fn beside(input: &Input<'_>, other: Option<f64>) -> Option<(f64, f64)> {
    let order = agreement::ordered_mm(input.rx).filter(|mm| mm.abs() > SLACK)?;
    Some((order, other.filter(|mm| mm.abs() > SLACK)?))
}

fn is_opposed((one, other): (f64, f64)) -> bool {
    one.signum() != other.signum()
}

fn is_off((one, other): (f64, f64)) -> bool {
    one.signum() == other.signum() && (one - other).abs() > SAME_HEIGHT + SLACK
}

fn ordered_words(order: f64) -> String {
    format!(
        "The order {} the bite by {} mm at the incisors",
        way(order),
        tenths(order.abs())
    )
}

fn list_beside(input: &Input<'_>, wrong: fn((f64, f64)) -> bool) -> Option<Hit> {
    let (listed, front) = alike(input)?;
    let both = beside(input, Some(front)).filter(|both| wrong(*both))?;
    at(
        "vertical.change_mm",
        format!(
            "{}, and {}.",
            ordered_words(both.0),
            listed_words(&listed, front)
        ),
    )
}

fn against_order(input: &Input<'_>) -> Option<Hit> {
    list_beside(input, is_opposed)
}

fn off_order(input: &Input<'_>) -> Option<Hit> {
    list_beside(input, is_off)
}

fn pin_beside(input: &Input<'_>, wrong: fn((f64, f64)) -> bool) -> Option<Hit> {
    let pin = input.rx.guidance.pin_mm?;
    let both = beside(input, agreement::pin_mm(input.rx)).filter(|both| wrong(*both))?;
    at(
        "guidance.pin_mm",
        format!(
            "{}, and a pin at {pin} mm {} it by {} mm there.",
            ordered_words(both.0),
            way(both.1),
            tenths(both.1.abs())
        ),
    )
}

fn pin_against(input: &Input<'_>) -> Option<Hit> {
    pin_beside(input, is_opposed).or_else(|| pin_against_the_way(input))
}

/// The same where the order says only which way.
fn pin_against_the_way(input: &Input<'_>) -> Option<Hit> {
    if agreement::ordered_mm(input.rx).is_some() {
        return None;
    }
    let opens = match input.rx.vertical.order? {
        VerticalOrder::Open => true,
        VerticalOrder::Close => false,
        VerticalOrder::Keep => return None,
    };
    let pin = input.rx.guidance.pin_mm?;
    let there = agreement::pin_mm(input.rx).filter(|mm| mm.abs() > SLACK)?;
    (opens != (there > 0.0)).then(|| {
        at(
            "guidance.pin_mm",
            format!(
                "The bite is to be {}, and a pin at {pin} mm {} it by {} mm at the incisors.",
                if opens { "opened" } else { "closed" },
                way(there),
                tenths(there.abs())
            ),
        )
    })?
}

/// A millimetre apart at the incisors is half as much again at the pin, where it is set: told from there on.
fn pin_off(input: &Input<'_>) -> Option<Hit> {
    pin_beside(input, |both| {
        let (one, other) = both;
        !is_opposed(both) && (one - other).abs() > SAME_HEIGHT - SLACK
    })
}

fn shown(mm: Mm, plus: &str, minus: &str) -> String {
    let size = Mm::from_hundredths(mm.hundredths().saturating_abs());
    format!(
        "{size} mm {}",
        if mm.hundredths() > 0 { plus } else { minus }
    )
}

/// A hit where two numbers of one thing go two ways, or where they only differ.
fn twice(
    key: &str,
    found: Option<Twice>,
    opposed: bool,
    [what, plus, minus]: [&str; 3],
) -> Option<Hit> {
    let both = found.filter(|both| {
        both.is_opposed() == opposed && (opposed || both.apart().hundredths() >= SAME_LENGTH)
    })?;
    at(
        key,
        format!(
            "{what}: {} by the field, {} by the change list.",
            shown(both.field, plus, minus),
            shown(both.list, plus, minus)
        ),
    )
}

fn kept_and_listed(what: &str, listed: &str) -> String {
    format!("{what}: 0 mm by the field, {listed} by the change list.")
}

const MIDLINE: [&str; 3] = ["Midline", "to the patient’s right", "to the patient’s left"];
const LENGTH: [&str; 3] = ["Upper incisal edges", "longer", "shorter"];

fn midline_against(input: &Input<'_>) -> Option<Hit> {
    let found = agreement::midline(input.rx, &changes(input));
    twice("anterior.midline_side", found, true, MIDLINE)
}

fn midline_kept(input: &Input<'_>) -> Option<Hit> {
    let moved = agreement::midline_kept_and_moved(input.rx, &changes(input))?;
    let [what, plus, minus] = MIDLINE;
    at(
        "anterior.midline_offset_mm",
        kept_and_listed(what, &shown(moved, plus, minus)),
    )
}

fn midline_off(input: &Input<'_>) -> Option<Hit> {
    let found = agreement::midline(input.rx, &changes(input));
    twice("anterior.midline_offset_mm", found, false, MIDLINE)
}

fn length_against(input: &Input<'_>) -> Option<Hit> {
    let found = agreement::incisal_length(input.rx, &changes(input));
    twice("anterior.incisal_change_mm", found, true, LENGTH)
}

fn length_kept(input: &Input<'_>) -> Option<Hit> {
    let field = input.rx.anterior.incisal_change_mm;
    let list = agreement::listed_incisal_length(&changes(input));
    let is_kept = field.is_some_and(|mm| mm.hundredths() == 0);
    let is_seen = list.hundredths().abs() >= SAME_LENGTH;
    let [what, plus, minus] = LENGTH;
    (is_kept && is_seen).then(|| {
        at(
            "anterior.incisal_change_mm",
            kept_and_listed(what, &shown(list, plus, minus)),
        )
    })?
}

fn length_off(input: &Input<'_>) -> Option<Hit> {
    let found = agreement::incisal_length(input.rx, &changes(input));
    twice("anterior.incisal_change_mm", found, false, LENGTH)
}

fn tilt(input: &Input<'_>) -> Option<Hit> {
    let (field, list) = agreement::lower_sides(input.rx, &changes(input))?;
    (field != list).then(|| {
        at(
            "plane.lower_side",
            format!(
                "By its field the lower side of the plane is the {}, and by the change list the {}.",
                field.shown(),
                list.shown()
            ),
        )
    })?
}

fn lip(input: &Input<'_>) -> Option<Hit> {
    when(
        agreement::lip_is_opposed(input.rx, &changes(input)),
        "anterior.lip_support",
        "The lip support is to change one way, and the change list moves the upper front teeth the other way.",
    )
}

/// A movement of the front teeth that the lip shows, in hundredths of a millimetre. Common practice, no source.
const SEEN_IN_FRONT: i64 = 100;

fn lip_kept(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    if teeth.lip_support != Some(LipSupport::Keep) {
        return None;
    }
    if let Some(mm) = teeth.lip_support_mm.filter(|mm| mm.hundredths() > 0) {
        return at(
            "anterior.lip_support_mm",
            format!("The lip support is to be kept, and a change by {mm} mm is given."),
        );
    }
    let forward = agreement::listed_forward(&changes(input));
    (forward.hundredths().abs() >= SEEN_IN_FRONT).then(|| {
        at(
            "anterior.lip_support",
            format!(
                "The lip support is to be kept, and the change list moves the upper front teeth {}.",
                shown(forward, "forward", "back")
            ),
        )
    })?
}

/// An open bite of this much would have been seen, in hundredths of a millimetre. Common practice, no source.
const OPEN_BITE: i64 = -100;

fn overbite(input: &Input<'_>) -> Option<Hit> {
    let wanted = input.rx.occlusion.overbite_mm?;
    let net = changes(input);
    // Where the height changes, the overlap changes with it.
    let is_kept = input.rx.vertical.order == Some(VerticalOrder::Keep);
    let is_kept = is_kept && net.vertical().is_some_and(|mm| mm.hundredths() == 0);
    let longer = agreement::listed_overlap(&net);
    let before = wanted.hundredths().saturating_sub(longer.hundredths());
    (is_kept && before < OPEN_BITE).then(|| {
        at(
            "occlusion.overbite_mm",
            format!(
                "The vertical overlap is to be {wanted} mm, and the change list makes front teeth {longer} mm longer: the pattern would be open by {} mm.",
                Mm::from_hundredths(before.saturating_abs())
            ),
        )
    })?
}

/// Front teeth that stood that far behind the lower ones would have been seen.
fn overjet(input: &Input<'_>) -> Option<Hit> {
    let wanted = input.rx.occlusion.overjet_mm?;
    let net = changes(input);
    let is_kept = input.rx.vertical.order == Some(VerticalOrder::Keep);
    let further = agreement::listed_overjet(&net);
    let before = wanted.hundredths().saturating_sub(further.hundredths());
    (is_kept && before < OPEN_BITE).then(|| {
        at(
            "occlusion.overjet_mm",
            format!(
                "The horizontal overlap is to be {wanted} mm, and the change list brings the upper front teeth {further} mm further in front of the lower ones: in the pattern they would stand {} mm behind them.",
                Mm::from_hundredths(before.saturating_abs())
            ),
        )
    })?
}

/// A mark that is said to be wrong, without a word of where the midline is.
fn midline_not_as_marked(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.anterior;
    let is_field = teeth
        .midline_offset_mm
        .is_some_and(|mm| mm.hundredths() != 0);
    let is_listed = agreement::listed_midline(&changes(input)).hundredths() != 0;
    when(
        teeth.midline == Some(YesNo::No) && !is_field && !is_listed,
        "anterior.midline_offset_mm",
        "The midline is not as marked, but how far to move it is not given.",
    )
}

/// From the middle of one side's molars to the other's, mm. Common practice, no source.
const BETWEEN_MOLARS: f64 = 50.0;
/// Two tilts that far apart at the molars are not the same, mm. Common practice, no source.
const SAME_TILT: f64 = 2.0;

fn tilt_off(input: &Input<'_>) -> Option<Hit> {
    let field = input.rx.plane.tilt_mm?;
    let net = changes(input);
    let tilt = net.part(ChangedPart::Plane, None)?.tilt;
    let listed = tilt.to_f64().abs().to_radians().sin() * BETWEEN_MOLARS;
    let is_off = listed > SLACK && (field.to_f64() - listed).abs() > SAME_TILT;
    is_off.then(|| {
        at(
            "plane.tilt_mm",
            format!(
                "By its field the sides of the plane differ by {field} mm; the change list tilts it by {}°, which is about {} mm at the molars.",
                Degrees::from_hundredths(tilt.hundredths().saturating_abs()),
                tenths(listed)
            ),
        )
    })?
}

/// What fields move in a pattern that is to be copied exactly: the field, and in words.
fn moved_by_fields(input: &Input<'_>) -> Vec<(&'static str, String)> {
    let (teeth, vertical) = (&input.rx.anterior, &input.rx.vertical);
    let seen = |mm: Option<Mm>| mm.filter(|mm| mm.hundredths() != 0);
    let mut moved = Vec::new();
    let midline = seen(teeth.midline_offset_mm);
    moved.extend(midline.map(|mm| {
        let key = "anterior.midline_offset_mm";
        (key, format!("the midline is moved by {mm} mm"))
    }));
    let length = seen(teeth.incisal_change_mm);
    moved.extend(length.map(|mm| {
        let key = "anterior.incisal_change_mm";
        (key, format!("the incisal length changes by {mm} mm"))
    }));
    let lip = match teeth.lip_support {
        Some(LipSupport::More) => Some("more"),
        Some(LipSupport::Less) => Some("less"),
        Some(LipSupport::Keep) | None => None,
    };
    moved.extend(lip.map(|way| {
        let key = "anterior.lip_support";
        (key, format!("the lip is held {way}"))
    }));
    // An approved height that is changed is said of the approval.
    let order = vertical.order.filter(|order| *order != VerticalOrder::Keep);
    let order = order.filter(|_| !height_is_approved(input));
    moved.extend(order.map(|order| {
        let way = if order == VerticalOrder::Open {
            "opened"
        } else {
            "closed"
        };
        ("vertical.order", format!("the bite is {way}"))
    }));
    moved
}

fn exact(input: &Input<'_>) -> Option<Hit> {
    if input.rx.pattern.rule != Some(PatternRule::Exactly) {
        return None;
    }
    let moved = moved_by_fields(input);
    let (key, _) = moved.first()?;
    let said: Vec<&str> = moved.iter().map(|(_, said)| said.as_str()).collect();
    at(
        *key,
        format!(
            "The pattern is to be copied exactly, and {}.",
            said.join(", ")
        ),
    )
}
