//! Guidance: what the condylar path means in which plane, and what it asks of the cusps.
//!
//! Side view, degrees unless a name says otherwise. A condylar angle without its reference plane is no
//! number: the same path reads 10 degrees steeper against the Frankfort plane than against Camper's. All
//! angles here are taken downwards and forwards from the plane named.
//!
//! # The cusp inclination that balance asks for
//! The lower jaw is rigid. Coordinates in side view: x forward and y up, the occlusal plane along x, the
//! incisal point I at the origin. When the jaw begins to protrude, the velocities of its points are tied
//! together: v(X) = v(I) + w (-y, x) for a point X = (x, y), with one rate of rotation w; plus sinks what
//! lies behind. Two directions are given: the condyle C moves down the condylar path (angle H to the
//! occlusal plane), the incisal point down the incisal guidance (angle G), so that
//!
//! ```text
//! v(C) = v_C (cos H, -sin H),   v(I) = v_I (cos G, -sin G)
//! ```
//!
//! Let the line from I to C rise by the Balkwill angle phi above the plane, and let a = |C - I|. Then
//! C = a (-cos phi, sin phi). Along the line, whose direction from C to I is (cos phi, -sin phi), the
//! rotation adds nothing: both ends of a rigid line move equally fast along it:
//!
//! ```text
//! v_I cos(G - phi) = v_C cos(H - phi)
//! ```
//!
//! Across it, in the direction (-sin phi, -cos phi), the difference of their velocities is the rotation:
//!
//! ```text
//! w a = v_C sin(H - phi) - v_I sin(G - phi)
//! ```
//!
//! A point of the plane at distance m behind the incisal point, X = (-m, 0), then moves forward with
//! v_I cos G and down with v_I sin G + w m. With v_I = 1 and v_C from the first equation its path is
//! inclined to the plane by
//!
//! ```text
//! tan P = tan G + w m / cos G,   w = [cos(G - phi) tan(H - phi) - sin(G - phi)] / a
//! ```
//!
//! So the tangent of the path grows in a straight line from the incisors backwards: the displacement
//! vectors are interpolated, not the angles. Where I, C and the tooth lie on one line (phi = 0), a tooth
//! at the fraction t of the way from condyle to incisor has tan P = (1 - t) tan H + t tan G; where H and G
//! are equal, w is zero and every tooth has that angle. Cusps that are to keep contact slope as the path
//! does; a tooth that is itself tilted by the plane or by the compensating curve needs so much less of its
//! own cusps: cusp = P - slope.
//!
//! By hand: H = 30, G = 10, phi = 20 degrees, a = 100 mm. Both differences from phi are ten degrees, so
//! w = [cos 10 tan 10 + sin 10] / 100 = 2 sin 10 / 100 = 0.003473 per mm, and
//! tan P = tan 10 + (2 sin 10 / cos 10) m / 100 = tan 10 (1 + 2 m / 100). At m = 50 mm that is
//! 2 tan 10 = 0.3527, P = 19.43 degrees. A curve that rises by 2 mm on 40 mm, beginning 10 mm behind the
//! incisors, slopes there by 5.72 degrees and leaves 13.70 for the cusp.
//!
//! # One plane for all of them
//! H and G above are against the occlusal plane. What is written was read against another: the condylar
//! inclination and the incisal table stand on the articulator's scales, and both scales count from the plane to
//! which the cast was mounted. In side view a plane is its line, and turning the line by an angle turns every
//! reading against it by the same angle the other way. Let each line dip forward below Frankfort's by d. A path
//! that falls forward by s below the Frankfort line falls by s - d below the other, so that
//!
//! ```text
//! reading against plane 2 = reading against plane 1 + d1 - d2
//! ```
//!
//! whatever the two planes are, for the condyle and for the incisal table alike. The published means of d
//! ([`dip_below_frankfort`]) give for the way to the occlusal plane, d2 = 11.96:
//!
//! ```text
//! Frankfort                     d1 =  0       -11.96
//! natural head position         d1 =  5        -6.96
//! Camper, tragus not said       d1 = 10        -1.96
//! Camper, lower tragus point    d1 = 10.31     -1.65
//! Camper, middle tragus point   d1 = 13.67     +1.71
//! occlusal plane                d1 = 11.96      0
//! ```
//!
//! For the upper tragus point, the axis-orbital plane and a mounting without a plane no mean is known here, and
//! nothing is converted. By hand: 40 degrees at the condyle and a table of 10, both to Frankfort, are 28.04 and
//! -1.96 to the occlusal plane: a table that falls by 10 below Frankfort rises by 1.96 above the teeth.
//!
//! What it leaves out: it is the direction in which protrusion begins, straight forward, both condyles
//! alike, on straight paths; in a lateral movement the two sides differ. That balance of this kind does
//! the patient good is not shown by it.

use crate::domain::prescription::{ReferencePlane, TragusPoint};
use crate::domain::values::evidence::{Source, within};
use std::ops::RangeInclusive;

const INCLINATION: RangeInclusive<f64> = 0.0..=80.0;
/// An incisal table is read to the plane of the mounting; to the occlusal plane it may rise forward.
const INCISAL: RangeInclusive<f64> = -45.0..=80.0;
const BALKWILL: RangeInclusive<f64> = 0.0..=60.0;
const RADIUS: RangeInclusive<f64> = 50.0..=160.0;

/// A value in degrees with what stands behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Angle {
    pub degrees: f64,
    /// Standard deviation among people, where it was published.
    pub spread: Option<f64>,
    pub source: Source,
}

/// The condylar inclination that a protrusive record shows, in degrees to the plane in which both
/// lengths were read: the angle whose tangent is drop by advance (mm).
///
/// # Errors
/// A sentence where the record shows no advance, and for lengths outside 0 to 15 mm.
pub fn condylar_inclination(drop_mm: f64, advance_mm: f64) -> Result<f64, String> {
    let drop = within("The drop at the condyle", drop_mm, 0.0..=15.0, "mm")?;
    let advance = within("The protrusion", advance_mm, 0.0..=15.0, "mm")?;
    if advance == 0.0 {
        return Err("A record without protrusion shows no path: the advance is zero.".into());
    }
    Ok(drop.atan2(advance).to_degrees())
}

/// Protrusions (mm) in which records are commonly taken.
pub const USUAL_PROTRUSION_MM: RangeInclusive<f64> = 5.0..=6.0;
pub const USUAL_PROTRUSION_SOURCE: Source = Source::published(
    "Oh 2020, Compendium: as told there; on whom it was measured is not known here",
);

/// What is to be known before the lateral setting is used.
pub const LATERAL_DOUBT: &str = "A formula, not a measurement: in 20 edentulous patients it gave 14 to 17 degrees, while another study measured about 8.";
pub const LATERAL_SOURCE: Source =
    Source::published("Hanau 1930 as quoted by Bhawsar 2015: a formula, not a measurement");

fn condylar_within(degrees: f64) -> Result<f64, String> {
    within("The condylar inclination", degrees, INCLINATION, "degrees")
}

fn axis_incisor_within(mm: f64) -> Result<f64, String> {
    within("The distance from axis to incisors", mm, RADIUS, "mm")
}

/// Hanau's lateral setting in degrees for a condylar inclination in degrees: H / 8 + 12. Show
/// [`LATERAL_DOUBT`] with it.
///
/// # Errors
/// A sentence for an inclination outside 0 to 80 degrees.
pub fn hanau_lateral(condylar_degrees: f64) -> Result<f64, String> {
    let condylar = condylar_within(condylar_degrees)?;
    Ok(condylar / 8.0 + 12.0)
}

const MAKERS_SHEET: Source = Source::published(
    "an articulator seller’s page on reference planes, without a measurement; measured in 59 adults on two articulators: 33.75 ± 12.46° and 40.72 ± 12.09° (J Korean Acad Prosthodont 2008)",
);
const KUMAR: Source = Source::published(
    "Kumar 2013: photographs of 150 people of 18 to 40 years with natural teeth; taken over for dentures, untested",
);

/// The mean condylar inclination against a plane, where one is published.
pub fn mean_inclination(plane: ReferencePlane) -> Option<Angle> {
    let degrees = match plane {
        ReferencePlane::Frankfort => 40.0,
        ReferencePlane::NaturalHead => 35.0,
        ReferencePlane::Camper => 30.0,
        ReferencePlane::AxisOrbital | ReferencePlane::Occlusal | ReferencePlane::None => {
            return None;
        }
    };
    Some(Angle {
        degrees,
        spread: None,
        source: MAKERS_SHEET,
    })
}

/// By how much a plane dips forward below the Frankfort plane, degrees. The ala-tragus (Camper) plane
/// differs by which point of the tragus it starts from; without that point the means of
/// [`mean_inclination`] serve.
pub fn dip_below_frankfort(plane: ReferencePlane, tragus: Option<TragusPoint>) -> Option<Angle> {
    let (degrees, spread, source) = match (plane, tragus) {
        (ReferencePlane::Frankfort, _) => (0.0, None, Source::DEFINITION),
        (ReferencePlane::Occlusal, _) => (11.96, Some(4.36), KUMAR),
        (ReferencePlane::Camper, Some(TragusPoint::Middle)) => (13.67, Some(1.93), KUMAR),
        (ReferencePlane::Camper, Some(TragusPoint::Lower)) => (10.31, Some(2.03), KUMAR),
        (ReferencePlane::Camper, None) => (10.0, None, MAKERS_SHEET),
        (ReferencePlane::NaturalHead, _) => (5.0, None, MAKERS_SHEET),
        _ => return None,
    };
    Some(Angle {
        degrees,
        spread,
        source,
    })
}

/// The doubt that goes with every ala-tragus line.
pub const TRAGUS_DOUBT: &str = "Studies disagree on which tragus point gives the line nearest to the occlusal plane: the lower one in 53 % of one group, the upper one on average in another (2.1, 3.2 and 6.1 degrees off for upper, middle, lower), the lower one where the lower jaw protrudes.";
pub const TRAGUS_SOURCE: Source = Source::published(
    "Kumar 2013, photographs of people with natural teeth; Rostamkhani 2005 and a further study of skull radiographs; taken over for dentures, untested",
);

/// An inclination carried from one plane to another whose forward dip below the first is known:
/// H2 = H1 - angle, all degrees. The result may be negative.
///
/// # Errors
/// A sentence for an inclination outside 0 to 80 or an angle outside -45 to 45 degrees.
pub fn against_other_plane(inclination_degrees: f64, dip_degrees: f64) -> Result<f64, String> {
    let inclination = within(
        "The inclination",
        inclination_degrees,
        INCLINATION,
        "degrees",
    )?;
    let dip = within(
        "The angle between the planes",
        dip_degrees,
        -45.0..=45.0,
        "degrees",
    )?;
    Ok(inclination - dip)
}

/// An inclination read against one plane, as it reads against another, by the published mean angles.
///
/// # Errors
/// A sentence for an inclination out of range, or where no angle between the two planes is published.
pub fn converted(
    inclination_degrees: f64,
    from: ReferencePlane,
    to: ReferencePlane,
    tragus: Option<TragusPoint>,
) -> Result<Angle, String> {
    if from == to && from != ReferencePlane::None {
        let degrees = against_other_plane(inclination_degrees, 0.0)?;
        return Ok(Angle {
            degrees,
            spread: Some(0.0),
            source: Source::DEFINITION,
        });
    }
    let dip = |plane: ReferencePlane| {
        dip_below_frankfort(plane, tragus).ok_or_else(|| {
            format!(
                "No angle is published for this plane and point: {}.",
                plane.shown()
            )
        })
    };
    let (start, end) = (dip(from)?, dip(to)?);
    let degrees = against_other_plane(inclination_degrees, end.degrees - start.degrees)?;
    // Two measured angles come from the same heads, so their spreads cannot be added: the larger one
    // is the least that must be said.
    let spread = match (start.spread, end.spread) {
        (Some(one), Some(other)) => Some(one.max(other)),
        (one, other) => one.or(other),
    };
    let source = if start.source == Source::DEFINITION {
        end.source
    } else {
        start.source
    };
    Ok(Angle {
        degrees,
        spread,
        source,
    })
}

/// Christensen's protrusive angle in degrees: how far the jaws part behind when the incisors slide
/// edge to edge along the plane. `condylar_degrees` against the OCCLUSAL plane (b), `balkwill_degrees`
/// (phi), `protrusion_mm` (p), `axis_incisor_mm` (a):
/// sin[(b - phi) + g] = sin(b - phi) + (p / a) sin b.
///
/// # Errors
/// A sentence for a value that is no number or out of range.
pub fn protrusive_angle(
    condylar_degrees: f64,
    balkwill_degrees: f64,
    protrusion_mm: f64,
    axis_incisor_mm: f64,
) -> Result<f64, String> {
    let b = condylar_within(condylar_degrees)?;
    let phi = within("The Balkwill angle", balkwill_degrees, BALKWILL, "degrees")?;
    let p = within("The protrusion", protrusion_mm, 0.0..=15.0, "mm")?;
    let a = axis_incisor_within(axis_incisor_mm)?;
    let start = (b - phi).to_radians();
    let sine = start.sin() + p / a * b.to_radians().sin();
    if sine > 1.0 {
        return Err("The jaw cannot protrude that far on so steep a path.".into());
    }
    Ok((sine.asin() - start).to_degrees().max(0.0))
}

/// The gap, mm, that a protrusive angle (degrees) opens at a distance (mm) behind the incisors.
///
/// # Errors
/// A sentence for a distance outside 0 to 120 mm or an angle outside 0 to 45 degrees.
pub fn protrusive_gap_mm(angle_degrees: f64, behind_incisor_mm: f64) -> Result<f64, String> {
    let angle = within("The protrusive angle", angle_degrees, 0.0..=45.0, "degrees")?;
    let behind = within(
        "The distance behind the incisors",
        behind_incisor_mm,
        0.0..=120.0,
        "mm",
    )?;
    Ok(behind * angle.to_radians().sin())
}

/// Sources of the protrusive gap.
pub const PROTRUSIVE_SOURCE: Source = Source::published(
    "Christensen 1958 and on Balkwill’s angle: geometry of a rigid jaw, not a measurement",
);

/// The rigid jaw of the module's derivation. Angles in degrees against the occlusal plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Protrusion {
    incisal_tangent: f64,
    /// Growth of the path's tangent for each mm behind the incisal point.
    tangent_per_mm: f64,
}

impl Protrusion {
    /// From condylar and incisal guidance, the Balkwill angle (degrees) and the axis-incisor distance (mm).
    ///
    /// # Errors
    /// A sentence for a value that is no number or out of range (condylar guidance 0 to 80, incisal -45 to 80,
    /// Balkwill angle 0 to 60 degrees, distance 50 to 160 mm).
    pub fn new(
        condylar_degrees: f64,
        incisal_degrees: f64,
        balkwill_degrees: f64,
        axis_incisor_mm: f64,
    ) -> Result<Protrusion, String> {
        let h = condylar_within(condylar_degrees)?;
        let g = within("The incisal guidance", incisal_degrees, INCISAL, "degrees")?;
        let phi = within("The Balkwill angle", balkwill_degrees, BALKWILL, "degrees")?;
        let a = axis_incisor_within(axis_incisor_mm)?;
        let (condyle, incisor) = ((h - phi).to_radians(), (g - phi).to_radians());
        let turn = (incisor.cos() * condyle.tan() - incisor.sin()) / a;
        let forward = g.to_radians().cos();
        Ok(Protrusion {
            incisal_tangent: g.to_radians().tan(),
            tangent_per_mm: turn / forward,
        })
    }

    /// The inclination of the path of a point of the occlusal plane so many mm behind the incisal
    /// point, in degrees to the plane; negative where it rises.
    ///
    /// # Errors
    /// A sentence for a distance outside 0 to 120 mm.
    pub fn path_at(&self, behind_incisor_mm: f64) -> Result<f64, String> {
        let m = within(
            "The distance behind the incisors",
            behind_incisor_mm,
            0.0..=120.0,
            "mm",
        )?;
        Ok((self.incisal_tangent + self.tangent_per_mm * m)
            .atan()
            .to_degrees())
    }

    /// The cusp inclination (degrees, to the tooth's own base) that keeps contact so many mm behind the
    /// incisors, on a tooth tilted with the curve. Negative where the curve is steeper than the path.
    ///
    /// # Errors
    /// As [`Protrusion::path_at`].
    pub fn cusp_at(&self, behind_incisor_mm: f64, curve: &Curve) -> Result<f64, String> {
        Ok(self.path_at(behind_incisor_mm)? - curve.slope_at(behind_incisor_mm))
    }
}

/// The compensating curve in side view: level to a start, from there an arc that rises backwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curve {
    starts_mm: f64,
    radius_mm: Option<f64>,
}

impl Curve {
    /// No curve.
    pub const LEVEL: Curve = Curve {
        starts_mm: 0.0,
        radius_mm: None,
    };

    /// An arc that leaves the plane `starts_mm` behind the incisors and has risen by `rise_mm` after
    /// `run_mm` more. A rise of zero is level.
    ///
    /// # Errors
    /// A sentence for a value that is no number, or a rise of more than half the run.
    pub fn rising(starts_mm: f64, rise_mm: f64, run_mm: f64) -> Result<Curve, String> {
        let starts_mm = within("The start of the curve", starts_mm, 0.0..=80.0, "mm")?;
        let rise = within("The rise of the curve", rise_mm, 0.0..=10.0, "mm")?;
        let run = within("The length of the curve", run_mm, 5.0..=80.0, "mm")?;
        if rise > run / 2.0 {
            return Err(
                "A curve this steep is not a compensating curve: check rise and length.".into(),
            );
        }
        let radius_mm = (rise > 0.0).then(|| (run * run + rise * rise) / (2.0 * rise));
        Ok(Curve {
            starts_mm,
            radius_mm,
        })
    }

    /// The slope of the teeth so many mm behind the incisors, degrees; plus rises backwards. Beyond the
    /// quarter of the circle it stays upright; what is no number counts as level.
    pub fn slope_at(&self, behind_incisor_mm: f64) -> f64 {
        let along = (behind_incisor_mm - self.starts_mm).max(0.0);
        self.radius_mm
            .map_or(0.0, |radius| (along / radius).min(1.0).asin().to_degrees())
    }
}

/// Where the middle of each posterior tooth lies behind the incisal point, mm, in side view: the
/// canine's distal side, then one width after the other, the row being taken as parallel to the
/// midline. Measure instead where it is not.
///
/// # Errors
/// A sentence for a distance outside 0 to 30 mm or a width outside 3 to 15 mm.
pub fn posterior_places_mm(canine_distal_mm: f64, widths_mm: &[f64]) -> Result<Vec<f64>, String> {
    let mut edge = within(
        "The distal side of the canine",
        canine_distal_mm,
        0.0..=30.0,
        "mm",
    )?;
    let mut places = Vec::with_capacity(widths_mm.len());
    for width in widths_mm {
        let width = within("The width of a tooth", *width, 3.0..=15.0, "mm")?;
        places.push(edge + width / 2.0);
        edge += width;
    }
    Ok(places)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn near(found: Result<f64, String>, expected: f64, tolerance: f64) {
        let found = found.expect("a value");
        assert!(
            (found - expected).abs() <= tolerance,
            "{found} is not {expected} within {tolerance}"
        );
    }

    #[test]
    fn p7_table_and_condyle_are_read_against_one_plane() {
        use ReferencePlane::{Camper, Frankfort, NaturalHead, Occlusal};
        // The way to the occlusal plane, by hand as in the module's text.
        for (plane, tragus, way) in [
            (Frankfort, None, -11.96),
            (NaturalHead, None, -6.96),
            (Camper, None, -1.96),
            (Camper, Some(TragusPoint::Lower), -1.65),
            (Camper, Some(TragusPoint::Middle), 1.71),
            (Occlusal, None, 0.0),
        ] {
            for reading in [10.0, 40.0] {
                let found = converted(reading, plane, Occlusal, tragus).map(|angle| angle.degrees);
                near(found, reading + way, 1e-9);
            }
        }
        // Frankfort 40 and table 10: H = 28.04, G = -1.96. With phi = 20 and a = 100 mm by hand:
        // w = [cos(-21.96) tan(8.04) - sin(-21.96)] / 100 = (0.92744 * 0.14125 + 0.37396) / 100 = 0.0050496,
        // tan P = tan(-1.96) + w m / cos(-1.96); at m = 12.5 mm -0.03422 + 0.06316 = 0.02894, 1.66 degrees.
        let jaw = Protrusion::new(28.04, -1.96, 20.0, 100.0).expect("jaw");
        near(jaw.path_at(12.5), 1.658, 0.005);
        // Without turning the table along, ten degrees too much in front.
        let mixed = Protrusion::new(28.04, 10.0, 20.0, 100.0).expect("jaw");
        near(mixed.path_at(0.0), 10.0, 1e-9);
        assert!(Protrusion::new(28.04, -46.0, 20.0, 100.0).is_err());
    }

    #[test]
    fn a_protrusive_record_gives_the_inclination() {
        // Geometry.
        near(condylar_inclination(4.0, 6.0), 33.690, 0.001);
        near(condylar_inclination(3.0, 5.0), 30.96, 0.005);
        near(condylar_inclination(3.5, 6.0), 30.26, 0.005);
        near(condylar_inclination(2.5, 5.0), 26.57, 0.005);
        assert!(condylar_inclination(4.0, 0.0).is_err());
        assert!(condylar_inclination(4.0, -0.0).is_err());
    }

    #[test]
    fn the_lateral_setting_follows_the_published_formula() {
        // Hanau 1930; Bhawsar 2015.
        for (condylar, lateral) in [
            (0.0, 12.0),
            (16.0, 14.0),
            (20.0, 14.5),
            (25.0, 15.125),
            (30.0, 15.75),
            (33.0, 16.125),
            (40.0, 17.0),
            (50.0, 18.25),
        ] {
            near(hanau_lateral(condylar), lateral, 1e-9);
        }
    }

    #[test]
    fn the_mean_depends_on_the_plane() {
        // Reference-plane sheet of an articulator maker.
        let mean = |plane| mean_inclination(plane).map(|angle| angle.degrees);
        assert_eq!(mean(ReferencePlane::Frankfort), Some(40.0));
        assert_eq!(mean(ReferencePlane::NaturalHead), Some(35.0));
        assert_eq!(mean(ReferencePlane::Camper), Some(30.0));
        assert_eq!(mean(ReferencePlane::None), None);
    }

    #[test]
    fn the_published_means_agree_with_the_angles_between_their_planes() {
        for plane in [ReferencePlane::NaturalHead, ReferencePlane::Camper] {
            let found = converted(40.0, ReferencePlane::Frankfort, plane, None).expect("angle");
            assert_eq!(
                Some(found.degrees),
                mean_inclination(plane).map(|angle| angle.degrees)
            );
        }
    }

    #[test]
    fn the_point_on_the_tragus_matters() {
        // Kumar 2013: 10.31 for the lower, 13.67 for the middle of the tragus.
        let dip = |point| {
            dip_below_frankfort(ReferencePlane::Camper, Some(point)).map(|angle| angle.degrees)
        };
        assert_eq!(dip(TragusPoint::Lower), Some(10.31));
        assert_eq!(dip(TragusPoint::Middle), Some(13.67));
        assert_eq!(
            dip(TragusPoint::Upper),
            None,
            "not published against Frankfort"
        );
    }

    #[test]
    fn an_inclination_is_carried_to_the_occlusal_plane() {
        // Regression value; angle 11.96 of Kumar 2013.
        let found = converted(
            40.0,
            ReferencePlane::Frankfort,
            ReferencePlane::Occlusal,
            None,
        )
        .expect("angle");
        near(Ok(found.degrees), 28.04, 0.001);
        assert_eq!(found.spread, Some(4.36));
        assert!(converted(40.0, ReferencePlane::None, ReferencePlane::None, None).is_err());
        assert!(
            converted(
                40.0,
                ReferencePlane::AxisOrbital,
                ReferencePlane::Camper,
                None
            )
            .is_err()
        );
    }

    #[test]
    fn the_protrusive_angle_solves_christensens_equation() {
        // Regression values of Christensen's formula, checked against a brute-force search.
        for (b, phi, expected) in [
            (33.0, 22.0, 1.8414),
            (30.0, 26.0, 1.660),
            (20.0, 26.0, 1.137),
            (40.0, 18.0, 2.313),
            (10.0, 18.0, 0.580),
            (10.0, 26.0, 0.597),
        ] {
            near(protrusive_angle(b, phi, 5.0, 86.6025), expected, 0.0005);
        }
        // Christensen: no inclination, no gap.
        near(protrusive_angle(0.0, 22.0, 5.0, 86.6025), 0.0, 1e-9);
        near(protrusive_gap_mm(1.8414, 50.0), 1.607, 0.0005); // regression value
    }

    #[test]
    fn half_the_way_on_one_line_takes_the_mean_of_the_tangents() {
        let jaw = Protrusion::new(40.0, 10.0, 0.0, 100.0).expect("jaw");
        let mean = (40.0_f64.to_radians().tan() + 10.0_f64.to_radians().tan()) / 2.0;
        near(jaw.path_at(50.0), mean.atan().to_degrees(), 1e-9);
        near(jaw.path_at(0.0), 10.0, 1e-9);
        near(jaw.path_at(100.0), 40.0, 1e-9);
    }

    #[test]
    fn the_worked_example_of_the_derivation_comes_out() {
        // By hand, as in the module's text: H 30, G 10, phi 20, a 100 make both differences from phi ten
        // degrees, and tan P = tan 10 (1 + 2 m / a).
        let jaw = Protrusion::new(30.0, 10.0, 20.0, 100.0).expect("jaw");
        for (m, tangent, degrees) in [
            (0.0, 0.176_327, 10.0),
            (25.0, 0.264_490, 14.815),
            (50.0, 0.352_654, 19.425),
            (100.0, 0.528_981, 27.878),
        ] {
            let path = jaw.path_at(m).expect("path");
            near(Ok(path.to_radians().tan()), tangent, 1e-6);
            near(Ok(path), degrees, 0.001);
        }
        // A curve that leaves the plane 10 mm behind the incisors and rises by 2 mm on 40 mm has the radius
        // (1600 + 4) / 4 = 401 mm: at 50 mm its slope is the angle whose sine is 40 / 401, 5.725 degrees.
        let curve = Curve::rising(10.0, 2.0, 40.0).expect("curve");
        near(Ok(curve.slope_at(50.0)), 5.725, 0.001);
        near(jaw.cusp_at(50.0, &curve), 13.701, 0.001);
    }

    #[test]
    fn a_curve_takes_its_slope_from_the_cusps() {
        let jaw = Protrusion::new(30.0, 10.0, 22.0, 90.0).expect("jaw");
        let curve = Curve::rising(10.0, 2.0, 30.0).expect("curve");
        // Regression values: radius 226 mm, 20 mm along it.
        near(Ok(curve.slope_at(30.0)), 5.077, 0.001);
        let level = jaw.cusp_at(30.0, &Curve::LEVEL).expect("cusp");
        near(jaw.cusp_at(30.0, &curve), level - 5.077, 0.001);
        assert_eq!(curve.slope_at(5.0), 0.0, "level in front of its start");
    }

    #[test]
    fn teeth_stand_one_behind_the_other() {
        let places = posterior_places_mm(9.0, &[7.0, 7.0, 10.0, 9.0]).expect("places");
        assert_eq!(places, [12.5, 19.5, 28.0, 37.5]); // arithmetic
        assert!(posterior_places_mm(9.0, &[0.7]).is_err(), "centimetres");
    }

    #[test]
    fn absurd_input_gets_a_sentence() {
        for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -0.001, 1e9] {
            assert!(
                condylar_inclination(odd, 6.0).is_err() && condylar_inclination(4.0, odd).is_err()
            );
            assert!(hanau_lateral(odd).is_err());
            assert!(against_other_plane(odd, 0.0).is_err());
            assert!(protrusive_angle(odd, 22.0, 5.0, 86.6).is_err());
            assert!(protrusive_angle(33.0, odd, 5.0, 86.6).is_err());
            assert!(protrusive_angle(33.0, 22.0, odd, 86.6).is_err());
            assert!(protrusive_angle(33.0, 22.0, 5.0, odd).is_err());
            assert!(protrusive_gap_mm(odd, 50.0).is_err() && protrusive_gap_mm(1.0, odd).is_err());
            assert!(Protrusion::new(odd, 10.0, 22.0, 90.0).is_err());
            // A table may rise forward a little.
            assert!((-1.0..0.0).contains(&odd) || Protrusion::new(30.0, odd, 22.0, 90.0).is_err());
            assert!(Protrusion::new(30.0, 10.0, odd, 90.0).is_err());
            assert!(Protrusion::new(30.0, 10.0, 22.0, odd).is_err());
            assert!(
                Curve::rising(odd, 1.0, 30.0).is_err() && Curve::rising(1.0, odd, 30.0).is_err()
            );
        }
        assert!(Curve::rising(0.0, 9.0, 10.0).is_err());
    }

    /// The path of a tooth, in degrees, found without the formula: the incisal point slides a little, the
    /// condyle is looked for where the rigid jaw puts it, the tooth is carried along.
    fn path_by_search(h: f64, g: f64, phi: f64, a: f64, m: f64) -> f64 {
        let (h, g, phi) = (h.to_radians(), g.to_radians(), phi.to_radians());
        let condyle = (-a * phi.cos(), a * phi.sin());
        let slide = 1e-4;
        let incisor = (slide * g.cos(), -slide * g.sin());
        let moved = |by: f64| (condyle.0 + by * h.cos(), condyle.1 - by * h.sin());
        let length = |by: f64| (moved(by).0 - incisor.0).hypot(moved(by).1 - incisor.1);
        let (mut less, mut more) = (0.0, 20.0 * slide);
        for _ in 0..200 {
            let middle = (less + more) / 2.0;
            if length(middle) > a {
                less = middle;
            } else {
                more = middle;
            }
        }
        let end = moved(less);
        let turn = (end.1 - incisor.1).atan2(end.0 - incisor.0) - condyle.1.atan2(condyle.0);
        let tooth = (incisor.0 - m * turn.cos(), incisor.1 - m * turn.sin());
        (-tooth.1).atan2(tooth.0 + m).to_degrees()
    }

    proptest! {
        #[test]
        fn the_path_is_that_of_a_rigid_jaw_moved_by_hand(
            h in 5.0_f64..45.0, g in 0.0_f64..30.0, phi in 12.0_f64..30.0, a in 75.0_f64..110.0, m in 5.0_f64..60.0,
        ) {
            let path = Protrusion::new(h, g, phi, a).expect("jaw").path_at(m).expect("path");
            let found = path_by_search(h, g, phi, a, m);
            prop_assert!((path - found).abs() < 0.002, "{} against {}", path, found);
        }

        #[test]
        fn a_steeper_path_asks_for_steeper_cusps(
            h in 5.0_f64..45.0, g in 0.0_f64..30.0, phi in 12.0_f64..30.0, a in 75.0_f64..110.0, m in 10.0_f64..50.0,
        ) {
            let path = |h, g| Protrusion::new(h, g, phi, a).expect("jaw").path_at(m).expect("path");
            prop_assert!(path(h + 1.0, g) > path(h, g));
            prop_assert!(path(h, g + 1.0) > path(h, g));
        }

        #[test]
        fn equal_guidance_in_front_and_behind_is_the_same_everywhere(
            h in 0.0_f64..45.0, phi in 12.0_f64..30.0, a in 75.0_f64..110.0, m in 0.0_f64..60.0,
        ) {
            let path = Protrusion::new(h, h, phi, a).expect("jaw").path_at(m).expect("path");
            prop_assert!((path - h).abs() < 1e-9);
        }

        #[test]
        fn level_incisors_and_a_short_slide_agree_with_christensen(
            b in 5.0_f64..45.0, phi in 12.0_f64..30.0, a in 75.0_f64..110.0, m in 10.0_f64..60.0,
        ) {
            // Two derivations of one movement: the gap per mm of slide is the tangent of the path.
            let slide = 1e-4;
            let gap = protrusive_gap_mm(protrusive_angle(b, phi, slide, a).expect("angle"), m).expect("gap");
            let path = Protrusion::new(b, 0.0, phi, a).expect("jaw").path_at(m).expect("path");
            prop_assert!((gap / slide - path.to_radians().tan()).abs() < 1e-4);
        }

        #[test]
        fn a_steeper_path_parts_the_jaws_further(b in 0.0_f64..60.0, phi in 12.0_f64..30.0, p in 0.0_f64..8.0) {
            let angle = |b, p| protrusive_angle(b, phi, p, 86.6).expect("angle");
            prop_assert!(angle(b, p) <= angle(b + 1.0, p) + 1e-12);
            prop_assert!(angle(b, p) <= angle(b, p + 0.5) + 1e-12);
        }

        #[test]
        fn a_record_gives_the_inclination_it_was_made_with(h in 0.0_f64..65.0, advance in 0.5_f64..6.0) {
            let found = condylar_inclination(advance * h.to_radians().tan(), advance).expect("angle");
            prop_assert!((found - h).abs() < 1e-9);
        }

        #[test]
        fn only_the_proportion_of_drop_and_advance_counts(drop in 0.1_f64..6.0, advance in 0.5_f64..6.0, times in 0.5_f64..2.0) {
            let angle = condylar_inclination(drop, advance).expect("angle");
            let scaled = condylar_inclination(drop * times, advance * times).expect("angle");
            prop_assert!((scaled - angle).abs() < 1e-9);
            prop_assert!(condylar_inclination(drop + 0.1, advance).expect("angle") > angle);
            prop_assert!(condylar_inclination(drop, advance + 0.1).expect("angle") < angle);
        }

        #[test]
        fn the_lateral_setting_gives_its_inclination_back(h in 0.0_f64..=80.0) {
            let lateral = hanau_lateral(h).expect("setting");
            prop_assert!(((lateral - 12.0) * 8.0 - h).abs() < 1e-9);
            prop_assert!((12.0..=22.0).contains(&lateral));
        }

        #[test]
        fn a_dip_there_and_back_is_none(h in 20.0_f64..60.0, dip in -20.0_f64..20.0) {
            let there = against_other_plane(h, dip).expect("there");
            prop_assert!((against_other_plane(there, -dip).expect("back") - h).abs() < 1e-9);
        }

        #[test]
        fn the_path_begins_as_the_incisal_guidance(
            h in 0.0_f64..60.0, g in 0.0_f64..40.0, phi in 12.0_f64..30.0, a in 75.0_f64..110.0,
        ) {
            let jaw = Protrusion::new(h, g, phi, a).expect("jaw");
            prop_assert!((jaw.path_at(0.0).expect("path") - g).abs() < 1e-9);
            prop_assert_eq!(jaw.cusp_at(0.0, &Curve::LEVEL), jaw.path_at(0.0));
        }

        #[test]
        fn a_deeper_curve_asks_for_lower_cusps(rise in 0.1_f64..4.0, more in 0.1_f64..1.0, m in 11.0_f64..40.0) {
            let jaw = Protrusion::new(30.0, 10.0, 22.0, 90.0).expect("jaw");
            let cusp = |rise| jaw.cusp_at(m, &Curve::rising(10.0, rise, 30.0).expect("curve")).expect("cusp");
            prop_assert!(cusp(rise + more) < cusp(rise));
        }

        #[test]
        fn a_curve_rises_by_what_was_measured(rise in 0.1_f64..5.0, run in 12.0_f64..50.0) {
            let curve = Curve::rising(10.0, rise, run).expect("curve");
            // Added up in small steps along the plane.
            let steps = 2000;
            let step = run / f64::from(steps);
            let slope = |place: i32| curve.slope_at(10.0 + (f64::from(place) + 0.5) * step).to_radians().tan();
            let found: f64 = (0..steps).map(|place| slope(place) * step).sum();
            prop_assert!((found - rise).abs() < 0.001, "{} against {}", found, rise);
        }

        #[test]
        fn teeth_stand_in_the_order_of_the_row(canine in 0.0_f64..30.0, widths in proptest::collection::vec(3.0_f64..15.0, 1..6)) {
            let places = posterior_places_mm(canine, &widths).expect("places");
            prop_assert!(places.windows(2).all(|pair| pair[0] < pair[1]));
            let row: f64 = widths.iter().sum();
            let last = widths[widths.len() - 1];
            prop_assert!((places[places.len() - 1] + last / 2.0 - canine - row).abs() < 1e-9);
        }

        #[test]
        fn lengths_in_centimetres_or_inches_are_refused(a in 50.0_f64..=160.0, width in 3.0_f64..=15.0) {
            for unit in [10.0, 25.4] {
                prop_assert!(Protrusion::new(30.0, 10.0, 22.0, a / unit).is_err());
                prop_assert!(protrusive_angle(30.0, 22.0, 5.0, a / unit).is_err());
                prop_assert!(posterior_places_mm(9.0, &[width / unit]).is_err());
            }
        }

        #[test]
        fn an_inclination_carried_there_and_back_is_the_same(h in 20.0_f64..60.0) {
            let (one, other) = (ReferencePlane::Frankfort, ReferencePlane::Occlusal);
            let there = converted(h, one, other, None).expect("there").degrees;
            let back = converted(there, other, one, None).expect("back").degrees;
            prop_assert!((back - h).abs() < 1e-9);
        }

        #[test]
        fn no_number_panics(a in proptest::num::f64::ANY, b in proptest::num::f64::ANY, c in proptest::num::f64::ANY) {
            let _answers = (condylar_inclination(a, b), protrusive_angle(a, b, c, 90.0));
            let _curve = Curve::rising(a, b, c).map(|curve| curve.slope_at(a));
            if let Ok(jaw) = Protrusion::new(a.abs() % 80.0, b.abs() % 80.0, c.abs() % 60.0, 90.0) {
                prop_assert!(jaw.path_at(40.0).expect("path").is_finite());
            }
            prop_assert!(Curve::rising(10.0, 2.0, 30.0).expect("curve").slope_at(a).is_finite());
        }
    }
}
