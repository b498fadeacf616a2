//! The few sums that the review needs, each in one place.

use crate::domain::prescription::MeasuredAt;
use crate::domain::values::measure::Mm;

/// Axis to incisal point: the height of an equilateral triangle of 100 mm (Bonwill).
const AXIS_TO_INCISOR_MM: f64 = 86.602_540_378_443_86;

/// A change measured somewhere, as millimetres at the incisors. Radii of 2, 4 and 6 inches for molars,
/// incisors and pin (Kaiser & Schelb); a reading on the face is taken as one at the incisors.
pub fn at_incisors(change: Mm, place: MeasuredAt) -> f64 {
    let factor = match place {
        MeasuredAt::Face | MeasuredAt::Incisors => 1.0,
        MeasuredAt::Molars => 2.0,
        MeasuredAt::Pin => 2.0 / 3.0,
    };
    change.to_f64() * factor
}

/// How far the lower incisal point goes back when it opens by `opening` mm; negative is forward.
/// `balkwill` is the angle of the axis-incisor line below the occlusal plane, in degrees. `None`
/// where the opening is more than the arc allows.
pub fn retreat_mm(opening: f64, balkwill: f64) -> Option<f64> {
    let start = balkwill.to_radians();
    let sine = start.sin() + opening / AXIS_TO_INCISOR_MM;
    (-1.0..=1.0)
        .contains(&sine)
        .then(|| AXIS_TO_INCISOR_MM * (start.cos() - (1.0 - sine * sine).sqrt()))
}

/// Condylar inclination of a protrusive record, in degrees; `None` where nothing was protruded.
pub fn protrusive_angle(drop: Mm, advance: Mm) -> Option<f64> {
    (advance.hundredths() > 0).then(|| drop.to_f64().atan2(advance.to_f64()).to_degrees())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::trade::{guidance, hinge};
    use proptest::prelude::*;

    #[test]
    fn the_closing_arc_gives_its_worked_values() {
        // Own geometry: 86.60 mm, 26 and 18 degrees.
        for (opening, angle, expected) in [
            (1.0, 26.0, 0.4957),
            (3.0, 26.0, 1.5362),
            (3.0, 18.0, 1.036),
            (-2.0, 26.0, -0.944),
        ] {
            let found = retreat_mm(opening, angle).expect("on the arc");
            assert!(
                (found - expected).abs() < 0.0006,
                "{opening} {angle}: {found}"
            );
        }
        assert_eq!(retreat_mm(500.0, 26.0), None);
        assert_eq!(retreat_mm(f64::NAN, 26.0), None);
    }

    #[test]
    fn a_millimetre_and_a_half_at_the_pin_is_one_at_the_incisors() {
        // Kaiser & Schelb: 1.5 mm at the pin, 1.0 mm at the incisors, 0.5 mm at the molars.
        let pin = at_incisors(Mm::from_hundredths(150), MeasuredAt::Pin);
        let molars = at_incisors(Mm::from_hundredths(50), MeasuredAt::Molars);
        assert!((pin - 1.0).abs() < 1e-9 && (molars - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_protrusive_record_gives_its_angle() {
        let angle = protrusive_angle(Mm::from_hundredths(400), Mm::from_hundredths(600));
        assert!((angle.expect("protruded") - 33.690).abs() < 0.001);
        assert_eq!(
            protrusive_angle(Mm::from_hundredths(400), Mm::from_hundredths(0)),
            None
        );
    }

    proptest! {
        #[test]
        fn the_arc_is_that_of_the_hinge(opening in -20.0_f64..=20.0, balkwill in 0.0_f64..=40.0) {
            let found = retreat_mm(opening, balkwill).expect("on the arc");
            let arc = hinge::incisal_arc(AXIS_TO_INCISOR_MM, balkwill, opening).expect("arc");
            prop_assert!((found - arc.back_mm).abs() < 1e-9);
        }

        #[test]
        fn a_change_is_carried_to_the_incisors_as_the_hinge_does(hundredths in -2000_i64..=2000, place in proptest::sample::select(MeasuredAt::ALL)) {
            let change = Mm::from_hundredths(hundredths);
            let there = hinge::opening_elsewhere(change.to_f64(), place, MeasuredAt::Incisors, &hinge::Radii::RULE);
            prop_assert!((at_incisors(change, place) - there.expect("opening")).abs() < 1e-9);
        }

        #[test]
        fn a_record_is_read_as_the_guidance_does(drop in 0_i64..=1500, advance in 1_i64..=1500) {
            let (drop, advance) = (Mm::from_hundredths(drop), Mm::from_hundredths(advance));
            let found = protrusive_angle(drop, advance).expect("protruded");
            let other = guidance::condylar_inclination(drop.to_f64(), advance.to_f64()).expect("angle");
            prop_assert!((found - other).abs() < 1e-9);
        }
    }
}
