//! What repeated readings of one thing say, and how far they can be trusted.
//!
//! The plus-minus is the expanded uncertainty at 95 per cent of the Guide to the expression of uncertainty in
//! measurement (JCGM 100:2008, from memory): the standard deviation of the mean (4.2.3), with what a scale that is read
//! to a step leaves open (F.2.2.1), times Student's t for the effective degrees of freedom (G.4.1, rounded down). It
//! tells how well the readings repeat, and nothing of an error that all of them share.

/// Student's t for 95 per cent, both sides, by degrees of freedom: NIST/SEMATECH e-Handbook, 1.3.6.7.2, from memory.
const T_95: &[(u32, f64)] = &[
    (1, 12.706),
    (2, 4.303),
    (3, 3.182),
    (4, 2.776),
    (5, 2.571),
    (6, 2.447),
    (7, 2.365),
    (8, 2.306),
    (9, 2.262),
    (10, 2.228),
    (12, 2.179),
    (15, 2.131),
    (20, 2.086),
    (30, 2.042),
    (60, 2.000),
    (100, 1.984),
];
/// The same without end of freedom.
const T_95_NORMAL: f64 = 1.960;
/// More degrees of freedom than this count as without end.
const MOST_FREEDOM: f64 = 100_000.0;

/// The value that repeated readings give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    pub mean: f64,
    /// Half the width of the range in which the value lies, 95 times of 100.
    pub plus_minus: f64,
}

/// Student's t for 95 per cent; between two rows of the table that of the smaller freedom, which is the wider.
fn t_95(freedom: f64) -> f64 {
    if freedom >= MOST_FREEDOM {
        return T_95_NORMAL;
    }
    // A whole number that arithmetic has missed by a hair is that number.
    let whole = (freedom + 1e-9).floor();
    let rows = T_95.iter().rev();
    let mut rows = rows.filter(|(row, _)| f64::from(*row) <= whole);
    rows.next().map_or(f64::INFINITY, |(_, t)| *t)
}

fn mean(readings: &[f64]) -> f64 {
    readings.iter().sum::<f64>() / readings.len() as f64
}

/// The standard deviation of the mean of two or more readings.
fn deviation_of_mean(readings: &[f64]) -> f64 {
    let (count, mean) = (readings.len() as f64, mean(readings));
    let squares: f64 = readings.iter().map(|one| (one - mean).powi(2)).sum();
    (squares / (count - 1.0) / count).sqrt()
}

/// Effective degrees of freedom of standard uncertainties with their own; none stands for without end.
fn effective_freedom(parts: &[(f64, Option<f64>)]) -> f64 {
    let combined: f64 = parts.iter().map(|(u, _)| u * u).sum();
    let bounded = parts.iter().filter_map(|(u, own)| Some((u, (*own)?)));
    let sum: f64 = bounded.map(|(u, own)| u.powi(4) / own).sum();
    if sum > 0.0 {
        combined * combined / sum
    } else {
        f64::INFINITY
    }
}

/// The value of readings that were read to a `step` of the scale; none of fewer than two, which tell nothing of how
/// they repeat.
pub fn estimate(readings: &[f64], step: f64) -> Option<Estimate> {
    if readings.len() < 2 {
        return None;
    }
    let repeated = deviation_of_mean(readings);
    let scale = step / 12_f64.sqrt();
    let own = readings.len() as f64 - 1.0;
    let freedom = effective_freedom(&[(repeated, Some(own)), (scale, None)]);
    Some(Estimate {
        mean: mean(readings),
        plus_minus: t_95(freedom) * repeated.hypot(scale),
    })
}

/// How far two estimates of one thing lie apart, where that is more than both plus-minus together allow: more than the
/// root of the sum of their squares.
pub fn apart(one: Estimate, other: Estimate) -> Option<f64> {
    let apart = (one.mean - other.mean).abs();
    (apart > one.plus_minus.hypot(other.plus_minus)).then_some(apart)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn two_estimates_lie_apart_beyond_the_root_of_their_squares() {
        let of = |mean, plus_minus| Estimate { mean, plus_minus };
        // 3 and 4 come to 5.
        assert_eq!(apart(of(60.0, 3.0), of(65.0, 4.0)), None);
        assert!(apart(of(60.0, 3.0), of(65.1, 4.0)).is_some_and(|one| (one - 5.1).abs() < 1e-9));
        assert!(apart(of(65.1, 4.0), of(60.0, 3.0)).is_some());
    }

    /// JCGM 100:2008, 4.4.3 and table 1, from memory: twenty readings of a temperature.
    #[test]
    fn twenty_readings_of_a_temperature_give_the_published_uncertainty() {
        let readings = [
            96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42,
            100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
        ];
        assert!((mean(&readings) - 100.145).abs() < 0.006);
        assert!((deviation_of_mean(&readings) - 0.333).abs() < 0.000_5);
    }

    /// JCGM 100:2008, G.4.1, example, from memory: 10, 5 and 15 readings, in per cent of the value.
    #[test]
    fn effective_freedom_is_that_of_the_published_example() {
        let parts = [(0.25, Some(9.0)), (0.57, Some(4.0)), (0.82, Some(14.0))];
        let combined: f64 = parts.iter().map(|(u, _)| u * u).sum::<f64>().sqrt();
        assert!((combined - 1.03).abs() < 0.005);
        let found = effective_freedom(&parts);
        assert!((found - 19.0).abs() < 0.1, "{found}");
        // The row below 19 is 15; the example takes 2.09 of a fuller table.
        assert!((t_95(found) * combined - 2.2).abs() < 0.05);
    }

    /// The share of Student's distribution within t is a quotient of two integrals of powers of a cosine.
    #[test]
    fn each_row_of_the_table_leaves_five_per_cent_outside() {
        let integral = |to: f64, power: i32| {
            const PARTS: i32 = 20_000;
            let width = to / f64::from(PARTS);
            let at = |place: i32| ((f64::from(place) + 0.5) * width).cos().powi(power);
            (0..PARTS).map(at).sum::<f64>() * width
        };
        for &(freedom, t) in T_95 {
            let power = i32::try_from(freedom).unwrap() - 1;
            let within = integral((t / f64::from(freedom).sqrt()).atan(), power);
            let all = integral(std::f64::consts::FRAC_PI_2, power);
            assert!((within / all - 0.95).abs() < 1e-4, "{freedom}");
        }
        assert_eq!(t_95(0.5), f64::INFINITY);
        assert_eq!(t_95(14.9), t_95(12.0));
        assert_eq!(t_95(f64::INFINITY), T_95_NORMAL);
    }

    #[test]
    fn two_readings_half_a_millimetre_apart_say_little_and_three_say_more() {
        // Regression values.
        let two = estimate(&[66.0, 66.5], 0.5).unwrap();
        assert!((two.plus_minus - 3.668).abs() < 0.001, "{two:?}");
        let three = estimate(&[66.0, 66.5, 66.0], 0.5).unwrap();
        assert!((three.mean - 66.1667).abs() < 0.0001);
        assert!((three.plus_minus - 0.539).abs() < 0.001, "{three:?}");
        // What repeats to the very step is still no better known than the step.
        let same = estimate(&[66.0, 66.0, 66.0], 0.5).unwrap();
        assert!((same.plus_minus - 1.96 * 0.5 / 12_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn one_reading_has_no_plus_minus() {
        assert_eq!(estimate(&[], 0.1), None);
        assert_eq!(estimate(&[66.0], 0.1), None);
    }

    proptest! {
        #[test]
        fn the_order_of_readings_says_nothing_and_moving_all_moves_the_mean_alone(
            readings in prop::collection::vec(-5_000_i32..15_000, 2..4),
            by in -1_000_i32..1_000,
        ) {
            let of = |values: Vec<i32>| -> Estimate {
                let values: Vec<f64> = values.iter().map(|one| f64::from(*one) / 100.0).collect();
                estimate(&values, 0.1).expect("two or more")
            };
            let plain = of(readings.clone());
            let turned = of(readings.iter().rev().copied().collect());
            let moved = of(readings.iter().map(|one| one + by).collect());
            prop_assert!((plain.mean - turned.mean).abs() < 1e-9);
            prop_assert!((plain.plus_minus - turned.plus_minus).abs() < 1e-6);
            prop_assert!((moved.mean - plain.mean - f64::from(by) / 100.0).abs() < 1e-9);
            prop_assert!((moved.plus_minus - plain.plus_minus).abs() < 1e-6);
            // Never better than the scale that was read.
            prop_assert!(plain.plus_minus >= 1.96 * 0.1 / 12_f64.sqrt() - 1e-9);
        }
    }
}
