//! Vertical dimension, the hinge and the guidance.

use super::{Number, or_why, span, tenths};
use crate::domain::form::YesNo;
use crate::domain::prescription::{
    MeasuredAt, Prescription, ReferencePlane, Vertical, VerticalOrder,
};
use crate::domain::trade::agreement;
use crate::domain::trade::guidance::{
    self, Curve, LATERAL_DOUBT, LATERAL_SOURCE, PROTRUSIVE_SOURCE, Protrusion, TRAGUS_DOUBT,
    TRAGUS_SOURCE, USUAL_PROTRUSION_MM, USUAL_PROTRUSION_SOURCE,
};
use crate::domain::trade::hinge::{
    self, AxisIncisor, BALKWILL_AVERAGES, BONWILL, NamedArc, Overlap, Radii, WRONG_AXIS_SOURCE,
};
use crate::domain::trade::selection::average_crown;
use crate::domain::trade::vertical::{
    self, ChangeSize, Interocclusal, SpeechGap, Summary, VerticalChange, interocclusal_mm,
    occlusal_by_rule,
};
use crate::domain::values::measure::{Degrees, Mm};
use crate::domain::values::tooth::Tooth;
use crate::domain::values::words::counted;

/// How far an axis by average points may lie from the true one, mm: within this lay 95 % in one study
/// (Schallhorn), far fewer in others.
const AXIS_ERROR_MM: f64 = 5.0;
/// From the incisal edge back to the distal side of the canine, mm, seen from the side. Common practice,
/// no source.
const CANINE_DISTAL_MM: f64 = 9.0;

pub fn add(document: &Prescription, numbers: &mut Vec<Number>) {
    heights(document, numbers);
    change(document, numbers);
    wrong_axis(document, numbers);
    planes(document, numbers);
    guidance(document, numbers);
    cusps(document, numbers);
}

/// Rest and occlusal height: mean of the readings, distance between them, speech.
fn heights(document: &Prescription, numbers: &mut Vec<Number>) {
    let vertical = &document.vertical;
    let rest: Vec<Mm> = vertical
        .readings
        .iter()
        .filter_map(|row| row.rest_mm)
        .collect();
    let occlusal: Vec<Mm> = vertical
        .readings
        .iter()
        .filter_map(|row| row.occlusal_mm)
        .collect();
    let mut taken = Vec::new();
    for (label, readings, written) in [
        ("Rest height, mean of the readings", rest, vertical.rest_mm),
        (
            "Occlusal height, mean of the readings",
            occlusal,
            vertical.occlusal_mm,
        ),
    ] {
        let summary = (!readings.is_empty()).then(|| vertical::summarise(&readings));
        if let Some(summary) = &summary {
            numbers.push(match summary {
                Ok(summary) => mean(label, summary, written),
                Err(why) => Number::none("vertical", label, why.as_str()),
            });
        }
        taken.push(written.or_else(|| summary?.ok().map(|summary| summary.mean)));
    }
    match (
        taken.first().copied().flatten(),
        taken.get(1).copied().flatten(),
    ) {
        (Some(rest), Some(occlusal)) => distances(document, rest, occlusal, numbers),
        (Some(rest), None) => numbers.push(by_rule(rest)),
        _ => {}
    }
    numbers.extend(vertical.closest_speaking_mm.map(speech));
}

fn mean(label: &str, summary: &Summary, written: Option<Mm>) -> Number {
    let mut number = Number::new("vertical", label, summary.mean.to_string(), "mm").note(format!(
        "{}, {} to {} mm, spread {} mm.",
        counted(summary.count, "reading"),
        summary.least,
        summary.most,
        summary.spread
    ));
    if let Some(remark) = summary.remark() {
        number = number.note(remark.sentence).source(remark.source);
    }
    number = number.source("mean of the readings written");
    match written {
        Some(written) if written != summary.mean => {
            number.note(format!("The form above says {written} mm."))
        }
        _ => number,
    }
}

/// The distance as it is, and where a change is ordered as it will be: what is left is judged, for a bite that
/// is too high is lowered because it stands above rest.
fn distances(document: &Prescription, rest: Mm, occlusal: Mm, numbers: &mut Vec<Number>) {
    let now = interocclusal_mm(rest, occlusal);
    let Some(change) = agreement::ordered_mm(document).filter(|mm| *mm != 0.0) else {
        return numbers.push(judged("Between rest and occlusion", now));
    };
    let by = Mm::from_hundredths((change * 100.0).round() as i64);
    numbers.push(
        Number::new(
            "vertical",
            "Between rest and occlusion",
            now.to_string(),
            "mm",
        )
        .note("Before the change that is ordered.")
        .source("difference of the two numbers"),
    );
    let left = interocclusal_mm(now, by);
    numbers.push(judged("Between rest and occlusion, after the change", left));
}

fn judged(label: &str, apart: Mm) -> Number {
    let said = Interocclusal::of(apart).explained();
    Number::new("vertical", label, apart.to_string(), "mm")
        .range("usually 2 to 4 mm")
        .note(said.sentence)
        .source(said.source)
}

fn by_rule(rest: Mm) -> Number {
    let (occlusal, source) = occlusal_by_rule(rest);
    Number::new(
        "vertical",
        "Occlusal height by the rule",
        occlusal.to_string(),
        "mm",
    )
    .note("Rest less 3 mm: a start for the try-in, not a finding.")
    .source(source)
}

fn speech(gap: Mm) -> Number {
    const LABEL: &str = "Closest speaking space";
    let said = SpeechGap::of(gap).map(SpeechGap::explained);
    or_why(
        "vertical",
        LABEL,
        said.map(|said| {
            Number::new("vertical", LABEL, gap.to_string(), "mm")
                .range("usually 0.5 to 2 mm")
                .note(said.sentence)
                .source(said.source)
        }),
    )
}

/// The ordered change; `None` where the height is kept or nothing is said.
fn ordered(vertical: &Vertical) -> Option<Result<VerticalChange, &'static str>> {
    let size = vertical.change_mm.filter(|mm| mm.hundredths() != 0)?;
    let by = match vertical.order? {
        VerticalOrder::Keep => return None,
        VerticalOrder::Open => size,
        VerticalOrder::Close => Mm::from_hundredths(size.hundredths().saturating_neg()),
    };
    let at = vertical.change_at.ok_or(
        "It is not said where the change is measured: a millimeter at the pin is less at the teeth.",
    );
    Some(at.map(|at| VerticalChange { by, at }))
}

fn axis_incisor(document: &Prescription) -> Result<AxisIncisor, String> {
    AxisIncisor::from_record(document.facebow.axis_incisor_mm.map(Mm::to_f64))
}

fn radii(document: &Prescription) -> Result<Radii, String> {
    match document.facebow.axis_incisor_mm {
        Some(mm) => Radii::scaled_to(mm.to_f64()),
        None => Ok(Radii::RULE),
    }
}

/// Which distance a number rests on.
fn rests_on(axis: AxisIncisor) -> String {
    match axis {
        AxisIncisor::Measured(mm) => {
            format!(
                "With {} mm from axis to incisal edge, as measured.",
                tenths(mm)
            )
        }
        AxisIncisor::Assumed(mm, what) => {
            format!("With {} mm from axis to incisal edge: {what}.", tenths(mm))
        }
    }
}

/// What an ordered change comes to at the teeth, and where it takes the lower incisor.
fn change(document: &Prescription, numbers: &mut Vec<Number>) {
    const LABEL: &str = "Change at the incisors";
    let change = match ordered(&document.vertical) {
        None => return,
        Some(Err(why)) => return numbers.push(Number::none("vertical", LABEL, why)),
        Some(Ok(change)) => change,
    };
    numbers.push(or_why("vertical", LABEL, at_teeth(document, change)));
    let arcs = opened_mm(document, change).and_then(|mm| arcs(document, mm));
    match arcs {
        Ok(arcs) => numbers.extend(arcs),
        Err(why) => numbers.push(Number::none("vertical", "Lower incisor", why)),
    }
}

fn opened_mm(document: &Prescription, change: VerticalChange) -> Result<f64, String> {
    change.at_incisors(&radii(document)?)
}

fn at_teeth(document: &Prescription, change: VerticalChange) -> Result<Number, String> {
    let openings = hinge::openings(change.by.to_f64(), change.at, &radii(document)?)?;
    let said = ChangeSize::of(openings.incisors_mm).explained();
    let label = if change.by.hundredths() < 0 {
        "Closed at the incisors"
    } else {
        "Opened at the incisors"
    };
    let radii = match document.facebow.axis_incisor_mm {
        Some(_) => "Distances of the published rule, scaled to the measured one.",
        None => "Distances of the published rule, not of this patient.",
    };
    Ok(
        Number::new("vertical", label, tenths(openings.incisors_mm.abs()), "mm")
            .range("seldom more than 5 mm")
            .note(format!(
                "{} mm at the second molars, {} mm at the pin.",
                tenths(openings.molars_mm.abs()),
                tenths(openings.pin_mm.abs())
            ))
            .note(radii)
            .note(said.sentence)
            .source("Kaiser and Schelb, geometric study of incisal guide pin opening")
            .source(said.source),
    )
}

/// One number for each named average, because none of them is the normal.
fn arcs(document: &Prescription, opened_mm: f64) -> Result<Vec<Number>, String> {
    let axis = axis_incisor(document)?;
    let arcs = hinge::incisal_arcs(axis.mm(), opened_mm)?;
    let number = |(place, named): (usize, &NamedArc)| {
        let way = if named.arc.back_mm < 0.0 {
            "comes forward"
        } else {
            "goes back"
        };
        let label = format!(
            "Lower incisor {way}, {}’s angle of {}°",
            named.average.name,
            tenths(named.average.mean)
        );
        Number::new("vertical", label, tenths(named.arc.back_mm.abs()), "mm")
            .note(overlap(document, axis, named, opened_mm))
            .note(first_only(place, rests_on(axis)))
            .source(named.average.source)
    };
    Ok(arcs.iter().enumerate().map(number).collect())
}

/// What holds for a row of numbers is said at the first of them.
fn first_only(place: usize, words: String) -> String {
    if place == 0 { words } else { String::new() }
}

fn overlap(document: &Prescription, axis: AxisIncisor, named: &NamedArc, opened: f64) -> String {
    let Some(overjet) = document.occlusion.overjet_mm else {
        return "The overjet changes by as much if the front teeth are not re-set.".to_owned();
    };
    let before = Overlap {
        overjet_mm: overjet.to_f64(),
        overbite_mm: document.occlusion.overbite_mm.map_or(0.0, Mm::to_f64),
    };
    match hinge::overlap_after(before, axis.mm(), named.average.mean, opened) {
        Ok(after) => format!(
            "An overjet of {overjet} mm becomes {} mm if the front teeth are not re-set.",
            tenths(after.overjet_mm)
        ),
        Err(why) => why,
    }
}

/// What an arbitrary axis does to a record that the lab has to close or open.
fn wrong_axis(document: &Prescription, numbers: &mut Vec<Number>) {
    if document.jaw.at_final_vertical != Some(YesNo::No) {
        return;
    }
    const LABEL: &str = "Error of the bite, if the axis is 5 mm off";
    let closings = match (document.jaw.thickness_mm, ordered(&document.vertical)) {
        (Some(mm), _) => thickness_at_incisors(document, mm),
        (None, Some(Ok(change))) => opened_mm(document, change).map(|by| vec![by]),
        (None, _) => Err(
            "It is not said by how much the record is to be closed: its thickness is missing."
                .to_owned(),
        ),
    };
    let number = closings.and_then(|closings| {
        let axis = axis_incisor(document)?;
        let turn = |by: &f64| hinge::turn_degrees(*by, axis.mm());
        let turns = closings.iter().map(turn).collect::<Result<Vec<f64>, String>>()?;
        let error = |turn: &f64| hinge::wrong_axis_mm(AXIS_ERROR_MM, *turn);
        let errors = turns.iter().map(error).collect::<Result<Vec<f64>, String>>()?;
        let sizes = |values: &[f64]| span(&values.iter().map(|value| value.abs()).collect::<Vec<f64>>());
        Ok(Number::new("jaw", LABEL, span(&errors), "mm")
            .range("0 mm where nothing is closed")
            .note(measured_where(document))
            .note(format!(
                "{} mm at the incisors turn the jaw by {}°. Record at the final height, and nothing has to turn.",
                sizes(&closings),
                sizes(&turns)
            ))
            .note(rests_on(axis))
            .source(WRONG_AXIS_SOURCE))
    });
    numbers.push(or_why("jaw", LABEL, number));
}

/// The thickness of the record as a closing at the incisors, mm: nearer to the axis it is more in front. Where
/// nobody said between which teeth it was measured, both ends of the arch.
fn thickness_at_incisors(document: &Prescription, thickness: Mm) -> Result<Vec<f64>, String> {
    let radii = radii(document)?;
    let places = match document.jaw.thickness_at {
        Some(place) => vec![place.measured_at()],
        None => vec![MeasuredAt::Incisors, MeasuredAt::Molars],
    };
    let carried = |place: MeasuredAt| {
        hinge::opening_elsewhere(thickness.to_f64(), place, MeasuredAt::Incisors, &radii)
    };
    places.into_iter().map(carried).collect()
}

fn measured_where(document: &Prescription) -> String {
    match (document.jaw.thickness_mm, document.jaw.thickness_at) {
        (None, _) => String::new(),
        (Some(mm), Some(place)) => format!("{mm} mm thick, {}.", place.shown()),
        (Some(mm), None) => format!(
            "{mm} mm thick; between which teeth is not said, so that it is calculated from the incisors to the second molars."
        ),
    }
}

/// The measured distance against the average triangle; the dip of an ala-tragus plane.
fn planes(document: &Prescription, numbers: &mut Vec<Number>) {
    let facebow = &document.facebow;
    if let (Some(measured), Ok(average)) = (
        facebow.axis_incisor_mm,
        hinge::bonwill_height_mm(4.0 * hinge::INCH_MM),
    ) {
        numbers.push(
            Number::new("facebow", "Axis to incisal edge, less the average", tenths(measured.to_f64() - average), "mm")
                .note(format!("The average is {} mm, the height of Bonwill’s triangle of 4 in. Few jaws are equilateral: the measured distance goes before it.", tenths(average)))
                .source(BONWILL),
        );
    }
    let plane = facebow
        .plane
        .filter(|plane| *plane == ReferencePlane::Camper);
    let dip = plane.and_then(|plane| guidance::dip_below_frankfort(plane, facebow.tragus_point));
    if let Some(dip) = dip {
        let number = Number::new(
            "facebow",
            "This plane dips below the Frankfort plane by",
            tenths(dip.degrees),
            "°",
        )
        .note("On average.")
        .note(TRAGUS_DOUBT)
        .source(dip.source)
        .source(TRAGUS_SOURCE);
        numbers.push(match dip.spread {
            Some(spread) => number.range(format!("± {}° among people", tenths(spread))),
            None => number,
        });
    }
}

/// An inclination with what it is called.
type Inclination = (&'static str, f64);

fn inclinations(document: &Prescription) -> Vec<Inclination> {
    let guidance = &document.guidance;
    [
        ("patient’s right", guidance.condylar_right),
        ("patient’s left", guidance.condylar_left),
    ]
    .into_iter()
    .filter_map(|(name, angle)| Some((name, angle?.to_f64())))
    .collect()
}

fn recorded(document: &Prescription) -> Option<Result<f64, String>> {
    let guidance = &document.guidance;
    let (drop, advance) = (guidance.drop_mm?, guidance.advance_mm?);
    Some(guidance::condylar_inclination(
        drop.to_f64(),
        advance.to_f64(),
    ))
}

/// The inclinations written, else that of the record.
fn known(document: &Prescription) -> Vec<Inclination> {
    let mut known = inclinations(document);
    if known.is_empty() {
        let record = recorded(document).and_then(Result::ok);
        known.extend(record.map(|degrees| ("by the record", degrees)));
    }
    known
}

fn guidance(document: &Prescription, numbers: &mut Vec<Number>) {
    let known = known(document);
    if let Some(record) = recorded(document) {
        const LABEL: &str = "Condylar inclination by the record";
        numbers.push(or_why(
            "guidance",
            LABEL,
            record.map(|degrees| by_record(document, LABEL, degrees)),
        ));
    }
    for (name, degrees) in &known {
        let label = format!("Lateral setting by formula, {name}");
        numbers.push(or_why("guidance", &label, lateral(&label, *degrees)));
    }
    for (name, degrees) in &known {
        numbers.extend(carried(document, name, *degrees));
    }
    if let Some(gap) = gap(document, &known) {
        numbers.push(or_why("guidance", "Gap behind in protrusion", gap));
    }
}

fn by_record(document: &Prescription, label: &str, degrees: f64) -> Number {
    let mut number = Number::new("guidance", label, tenths(degrees), "°").note(
        "Holds for the plane in which drop and protrusion were read, and for this protrusion only.",
    );
    if let Some(mean) = document.guidance.plane.and_then(guidance::mean_inclination) {
        number = number
            .range(format!("mean {}° to this plane", tenths(mean.degrees)))
            .source(mean.source);
    }
    match document.guidance.advance_mm {
        Some(advance) if !USUAL_PROTRUSION_MM.contains(&advance.to_f64()) => number
            .note(format!(
                "Records are commonly taken at 5 to 6 mm; this one shows {advance} mm."
            ))
            .source(USUAL_PROTRUSION_SOURCE),
        _ => number.source("geometry"),
    }
}

fn lateral(label: &str, condylar: f64) -> Result<Number, String> {
    let degrees = guidance::hanau_lateral(condylar)?;
    Ok(Number::new("guidance", label, tenths(degrees), "°")
        .range("8 to 17° in studies")
        .note(format!(
            "For a condylar inclination of {}°.",
            tenths(condylar)
        ))
        .note(LATERAL_DOUBT)
        .source(LATERAL_SOURCE))
}

/// The inclination against the plane of the facebow, where that is another one.
fn carried(document: &Prescription, name: &str, degrees: f64) -> Option<Number> {
    let (from, to) = (document.guidance.plane?, document.facebow.plane?);
    // Where no record was made, its plane is that of nothing.
    if from == to || document.facebow.made == Some(YesNo::No) {
        return None;
    }
    let label = format!("Condylar inclination against the facebow’s plane, {name}");
    let number =
        guidance::converted(degrees, from, to, document.facebow.tragus_point).map(|angle| {
            let number = Number::new("guidance", label.as_str(), tenths(angle.degrees), "°")
                .note(format!(
                    "From {} to {}, by mean angles between the planes.",
                    from.shown(),
                    to.shown()
                ))
                .source(angle.source);
            match angle.spread {
                Some(spread) => number.range(format!("± {}° at least", tenths(spread))),
                None => number,
            }
        });
    Some(or_why("guidance", &label, number))
}

/// The mean of the known inclinations, against the occlusal plane.
fn to_occlusal(document: &Prescription, known: &[Inclination]) -> Option<Result<f64, String>> {
    let plane = document.guidance.plane?;
    if known.is_empty() {
        return None;
    }
    let mean = known.iter().map(|(_, degrees)| degrees).sum::<f64>() / known.len() as f64;
    let tragus = document.facebow.tragus_point;
    Some(
        guidance::converted(mean, plane, ReferencePlane::Occlusal, tragus)
            .map(|angle| angle.degrees),
    )
}

/// Upper posterior teeth of one side with their average widths and places behind the incisal edge.
fn posterior_places() -> Result<Vec<(Tooth, f64)>, String> {
    let teeth: Vec<Tooth> = (14..=17).filter_map(Tooth::from_iso).collect();
    let crowns = teeth.iter().filter_map(|tooth| average_crown(*tooth));
    let widths: Vec<f64> = crowns.map(|crown| crown.mesiodistal_mm).collect();
    let places = guidance::posterior_places_mm(CANINE_DISTAL_MM, &widths)?;
    Ok(teeth.into_iter().zip(places).collect())
}

fn balkwill_range() -> impl Iterator<Item = f64> {
    BALKWILL_AVERAGES.iter().map(|average| average.mean)
}

/// The gap at the second molar, over the named averages.
fn gap(document: &Prescription, known: &[Inclination]) -> Option<Result<Number, String>> {
    let advance = document.guidance.advance_mm?;
    let condylar = to_occlusal(document, known)?;
    Some(condylar.and_then(|condylar| {
        let axis = axis_incisor(document)?;
        let behind = posterior_places()?.last().map_or(0.0, |(_, place)| *place);
        let gap = |phi| {
            let angle = guidance::protrusive_angle(condylar, phi, advance.to_f64(), axis.mm())?;
            guidance::protrusive_gap_mm(angle, behind)
        };
        let gaps = balkwill_range().map(gap).collect::<Result<Vec<f64>, String>>()?;
        Ok(Number::new("guidance", "Gap at the second molars in protrusion", span(&gaps), "mm")
            .note(format!(
                "With flat teeth and plane, {advance} mm forward, {}° to the occlusal plane, over the published averages of Balkwill’s angle. Curve and cusps have to close it.",
                tenths(condylar)
            ))
            .note(rests_on(axis))
            .source(PROTRUSIVE_SOURCE))
    }))
}

/// The incisal guidance against the occlusal plane: the angle asked for, which is to that plane, else the
/// table, which is to the plane of the mounting as the condylar inclination is.
fn incisal(document: &Prescription) -> Option<Result<f64, String>> {
    let asked = document.occlusion.angle.map(Degrees::to_f64).map(Ok);
    asked.or_else(|| {
        let (table, plane) = (document.guidance.incisal_table?, document.guidance.plane?);
        let tragus = document.facebow.tragus_point;
        let found = guidance::converted(table.to_f64(), plane, ReferencePlane::Occlusal, tragus);
        Some(found.map(|angle| angle.degrees))
    })
}

/// The cusp inclination that keeps contact at each upper posterior tooth.
fn cusps(document: &Prescription, numbers: &mut Vec<Number>) {
    let known = known(document);
    let (Some(incisal), Some(condylar)) = (incisal(document), to_occlusal(document, &known)) else {
        return;
    };
    let both = condylar.and_then(|condylar| Ok((condylar, incisal?)));
    match both.and_then(|(condylar, incisal)| cusp_numbers(document, condylar, incisal)) {
        Ok(found) => numbers.extend(found),
        Err(why) => numbers.push(Number::none(
            "posterior",
            "Cusp inclination for balance",
            why,
        )),
    }
}

fn curve(document: &Prescription, places: &[(Tooth, f64)]) -> Result<Curve, String> {
    let Some(rise) = document.plane.compensating_mm else {
        return Ok(Curve::LEVEL);
    };
    let last = places.last().map_or(0.0, |(_, place)| *place);
    Curve::rising(CANINE_DISTAL_MM, rise.to_f64(), last - CANINE_DISTAL_MM)
}

fn cusp_numbers(
    document: &Prescription,
    condylar: f64,
    incisal: f64,
) -> Result<Vec<Number>, String> {
    let axis = axis_incisor(document)?;
    let places = posterior_places()?;
    let curve = curve(document, &places)?;
    let paths = balkwill_range()
        .map(|phi| Protrusion::new(condylar, incisal, phi, axis.mm()))
        .collect::<Result<Vec<Protrusion>, String>>()?;
    let ground = format!(
        "Condylar {}° and incisal {}° to the occlusal plane, over the published averages of Balkwill’s angle. {} In protrusion only. {}",
        tenths(condylar),
        tenths(incisal),
        bent(document),
        rests_on(axis)
    );
    let number = |(order, (tooth, place)): (usize, &(Tooth, f64))| {
        let cusps = paths.iter().map(|path| path.cusp_at(*place, &curve));
        let cusps = cusps.collect::<Result<Vec<f64>, String>>()?;
        let name = tooth.words().replace("upper right ", "");
        let label = format!("Cusp inclination for balance, {name}");
        Ok(Number::new("posterior", label, span(&cusps), "°")
            .note(format!(
                "{} mm behind the incisal edge, by average crowns.",
                tenths(*place)
            ))
            .note(first_only(order, ground.clone()))
            .source("geometry of a rigid jaw, no evidence about mouths"))
    };
    places.iter().enumerate().map(number).collect()
}

/// What is taken of the compensating curve.
fn bent(document: &Prescription) -> String {
    match document.plane.compensating_mm {
        Some(rise) => {
            format!("The curve’s depth of {rise} mm is taken as its rise at the second molar.")
        }
        None => "Without a compensating curve.".to_owned(),
    }
}
