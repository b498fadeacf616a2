//! Given tooth sizes against average crowns, caliper against curve, and the room behind.

use super::{Number, or_why, span, tenths};
use crate::domain::form::Whole;
use crate::domain::prescription::{Anterior, Posterior, Prescription, WidthMethod};
use crate::domain::trade::selection::{self, Crown, SpanWidth, average_crown, average_span_mm};
use crate::domain::values::measure::Mm;
use crate::domain::values::tooth::Tooth;

/// Radii of the front of an arch, mm, between which a width is carried from ruler to caliper. Common
/// practice, no source.
const RADII_MM: [f64; 2] = [22.0, 28.0];
/// Front teeth in one denture.
const FRONT: i64 = 6;

pub fn add(document: &Prescription, numbers: &mut Vec<Number>) {
    front(&document.anterior, numbers);
    room(&document.posterior, numbers);
}

fn front(anterior: &Anterior, numbers: &mut Vec<Number>) {
    if let Some(width) = anterior.width_mm {
        numbers.push(six(width, anterior.width_method));
        numbers.extend(anterior.width_method.map(|method| other_way(width, method)));
    }
    let Some(crown) = Tooth::from_iso(11).and_then(average_crown) else {
        return;
    };
    let against = [
        (
            "Central incisor, width less the average",
            anterior.central_width_mm,
            crown.mesiodistal_mm,
        ),
        (
            "Central incisor, length less the average",
            anterior.central_length_mm,
            crown.length_mm,
        ),
    ];
    let number = |(label, given, average): (&str, Option<Mm>, f64)| {
        Some(central(label, given?, average, &crown))
    };
    numbers.extend(against.into_iter().filter_map(number));
}

fn central(label: &str, given: Mm, average: f64, crown: &Crown) -> Number {
    Number::new("anterior", label, tenths(given.to_f64() - average), "mm")
        .note(format!(
            "{given} mm given, {} mm on average: to compare with, not to order by.",
            tenths(average)
        ))
        .source(crown.source)
}

/// The upper six against the sum of average crowns, which is a width along the curve.
fn six(width: Mm, method: Option<WidthMethod>) -> Number {
    let teeth = [11, 12, 13, 21, 22, 23]
        .into_iter()
        .filter_map(Tooth::from_iso);
    let average = average_span_mm(teeth);
    let number = Number::new(
        "anterior",
        "Upper six, less the average crowns",
        tenths(width.to_f64() - average),
        "mm",
    )
    .note(format!(
        "{width} mm given; six average crowns are {} mm along the curve.",
        tenths(average)
    ))
    .source("published table of tooth traits; Ash and Nelson, from memory");
    match method {
        Some(WidthMethod::Curve) => number,
        Some(WidthMethod::Caliper) => number.note("The given width is straight, by caliper, and so reads several millimeters less than along the curve."),
        None => number.note("It is not said how the width was measured: along the curve it is several millimeters more."),
    }
}

/// The same width as the other instrument would read it.
fn other_way(width: Mm, method: WidthMethod) -> Number {
    let (other, label) = match method {
        WidthMethod::Caliper => (WidthMethod::Curve, "Upper six along the curve"),
        WidthMethod::Curve => (WidthMethod::Caliper, "Upper six by caliper, straight"),
    };
    let given = SpanWidth {
        mm: width.to_f64(),
        method,
    };
    let read = |radius: f64| given.measured_by(other, radius).map(|width| width.mm);
    let both = RADII_MM
        .into_iter()
        .map(read)
        .collect::<Result<Vec<f64>, String>>();
    let number = both.map(|both| {
        Number::new("anterior", label, span(&both), "mm")
            .note("On an arch taken as a circle of 22 to 28 mm radius; the radius is common practice, not measured.")
            .source("geometry")
    });
    or_why("anterior", label, number)
}

/// Average lower crowns of one side against the measured room.
fn room(posterior: &Posterior, numbers: &mut Vec<Number>) {
    const LABEL: &str = "Room left behind the canine";
    let Some(space) = posterior.length_mm else {
        return;
    };
    let number = per_side(posterior.teeth_lower).and_then(|count| {
        let widths: Vec<f64> = (34..=38)
            .take(count)
            .filter_map(Tooth::from_iso)
            .filter_map(average_crown)
            .map(|crown| crown.mesiodistal_mm)
            .collect();
        let room = selection::room(&widths, space.to_f64())?;
        Ok(Number::new("posterior", LABEL, tenths(room.left_mm), "mm")
            .range("0 mm or more")
            .note(format!(
                "{space} mm measured, {count} average lower crowns of one side are {} mm. {} Moulds for dentures are often smaller: calculate with the chosen one.",
                tenths(room.teeth_mm),
                room.advice()
            ))
            .source("Ash and Nelson, from memory; advice: common practice, no source"))
    });
    numbers.push(or_why("posterior", LABEL, number));
}

/// Posterior teeth on one side of the lower denture; four where the number is not written.
pub fn per_side(teeth: Option<Whole>) -> Result<usize, String> {
    let Some(teeth) = teeth.map(Whole::get) else {
        return Ok(4);
    };
    let behind = teeth.saturating_sub(FRONT);
    if behind < 0 || behind % 2 != 0 {
        return Err(format!(
            "{teeth} teeth in the lower denture do not divide into two equal sides."
        ));
    }
    usize::try_from(behind / 2).map_err(|_| "That many teeth cannot be set.".to_owned())
}
