//! Whether a measured value is what was asked, by a decision rule with guard bands.
//!
//! The rule is the statement in more than two words of ILAC-G8:09/2019, 4.2.3, with a guard band as wide as the expanded
//! uncertainty (w = U): accepted where the value keeps that distance inside the limit, rejected where it keeps it
//! outside, and between the two nothing is said. JCGM 106:2012, 8.3, calls the two ends guarded acceptance and guarded
//! rejection (from memory). It advises; whoever has measured judges.

use super::repeated::{Estimate, estimate};
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// What the readings come to, against a tolerance.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Decided {
        Accept = "inside the tolerance",
        Reject = "outside the tolerance",
        Near = "too near the limit to tell",
        TooWide = "nothing can be decided with these readings: their plus-minus is at least as wide as the tolerance",
        OneReading = "one reading has no plus-minus: read again",
    }
}

/// Rounding of hundredths must not push a value over a limit.
const SLACK: f64 = 1e-9;

/// A value that was asked for: how much, how far off it may be, and to which step it is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerated {
    pub value: f64,
    pub within: f64,
    pub step: f64,
}

/// What the readings say; none where there are none. What they come to stands beside it, where they are two or more.
pub fn decide(readings: &[f64], wanted: Tolerated) -> Option<(Decided, Option<Estimate>)> {
    if readings.is_empty() {
        return None;
    }
    let Some(found) = estimate(readings, wanted.step) else {
        return Some((Decided::OneReading, None));
    };
    let off = (found.mean - wanted.value).abs();
    Some((
        by_guard_bands(off, wanted.within, found.plus_minus),
        Some(found),
    ))
}

/// The decision by distance from what was asked, tolerance and plus-minus.
fn by_guard_bands(off: f64, within: f64, plus_minus: f64) -> Decided {
    if off > within + plus_minus + SLACK {
        Decided::Reject
    } else if plus_minus >= within - SLACK {
        Decided::TooWide
    } else if off <= within - plus_minus + SLACK {
        Decided::Accept
    } else {
        Decided::Near
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The zones as ILAC-G8:09/2019, 4.2.3, names them: pass up to the limit less the guard band, conditional pass up to
    /// the limit, conditional fail up to the limit and the guard band, fail above. The numbers, a limit of 4 and a guard
    /// band of 1.6, are put in here: the text has no example with numbers.
    #[test]
    fn the_zones_of_the_published_rule() {
        for (off, wanted) in [
            (0.0, Decided::Accept),
            (2.4, Decided::Accept),
            (2.41, Decided::Near),
            (3.2, Decided::Near),
            (4.0, Decided::Near),
            (5.6, Decided::Near),
            (5.61, Decided::Reject),
        ] {
            assert_eq!(by_guard_bands(off, 4.0, 1.6), wanted, "{off}");
        }
    }

    /// The example of a calibration laboratory for the same rule, w = U (Harper Metrology, a note of 24 October 2024):
    /// 10 ± 1, measured with U = 0.2. The limits follow from the rule: 9.2 and 10.8, 8.8 and 11.2.
    #[test]
    fn the_example_of_a_calibration_laboratory() {
        for (measured, wanted) in [
            (10.0, Decided::Accept),
            (9.2, Decided::Accept),
            (10.8, Decided::Accept),
            (9.19, Decided::Near),
            (10.81, Decided::Near),
            (11.2, Decided::Near),
            (8.79, Decided::Reject),
            (11.21, Decided::Reject),
        ] {
            let off = f64::abs(measured - 10.0);
            assert_eq!(by_guard_bands(off, 1.0, 0.2), wanted, "{measured}");
        }
    }

    /// The worked example of a guide to ISO/IEC 17025 for the same rule (talalspecialbolt.com, "ILAC-G8 decision rule and
    /// guard banding"): a micrometer that may be 0.003 mm off, measured with U = 0.0010 mm, is accepted up to 0.002 mm;
    /// 0.0017 mm is proved to conform, 0.0025 mm is not, and what is off by more than the limit and U is rejected.
    #[test]
    fn the_example_of_a_micrometer() {
        for (off, wanted) in [
            (0.001_7, Decided::Accept),
            (0.002, Decided::Accept),
            (0.002_5, Decided::Near),
            (0.003_5, Decided::Near),
            (0.004_1, Decided::Reject),
        ] {
            assert_eq!(by_guard_bands(off, 0.003, 0.001), wanted, "{off}");
        }
    }

    #[test]
    fn readings_as_wide_as_the_tolerance_decide_nothing_unless_they_lie_far_outside() {
        let wanted = Tolerated {
            value: 66.0,
            within: 1.0,
            step: 0.5,
        };
        let word = |readings: &[f64]| decide(readings, wanted).map(|(word, _)| word);
        assert_eq!(word(&[]), None);
        assert_eq!(word(&[66.0]), Some(Decided::OneReading));
        assert_eq!(word(&[66.0, 66.5]), Some(Decided::TooWide));
        assert_eq!(word(&[66.0, 66.5, 66.0]), Some(Decided::Accept));
        assert_eq!(word(&[66.5, 67.0, 66.5]), Some(Decided::Near));
        assert_eq!(word(&[68.0, 68.5, 68.0]), Some(Decided::Reject));
        // Rough readings of something far off are sure enough.
        assert_eq!(word(&[76.0, 76.5]), Some(Decided::Reject));
        assert_eq!(by_guard_bands(0.0, 1.0, 1.0), Decided::TooWide);
    }

    fn rank(one: Decided) -> u8 {
        match one {
            Decided::Accept => 0,
            Decided::Near | Decided::TooWide | Decided::OneReading => 1,
            Decided::Reject => 2,
        }
    }

    proptest! {
        #[test]
        fn further_off_is_never_better_and_a_wider_plus_minus_never_surer(
            off in 0.0_f64..20.0,
            more in 0.0_f64..20.0,
            within in 0.01_f64..5.0,
            plus_minus in 0.0_f64..5.0,
            wider in 0.0_f64..5.0,
        ) {
            let here = by_guard_bands(off, within, plus_minus);
            prop_assert!(rank(by_guard_bands(off + more, within, plus_minus)) >= rank(here));
            let rough = by_guard_bands(off, within, plus_minus + wider);
            prop_assert!(rank(rough) == rank(here) || rank(rough) == 1);
        }

        #[test]
        fn what_is_accepted_lies_inside_and_what_is_rejected_outside_however_it_is_read(
            readings in prop::collection::vec(-300_i32..300, 2..4),
            within in 1_i32..200,
        ) {
            let values: Vec<f64> = readings.iter().map(|one| f64::from(*one) / 100.0).collect();
            let wanted = Tolerated { value: 0.0, within: f64::from(within) / 100.0, step: 0.1 };
            let (word, found) = decide(&values, wanted).expect("there are readings");
            let found = found.expect("two or more");
            match word {
                Decided::Accept => prop_assert!(found.mean.abs() + found.plus_minus <= wanted.within + 1e-6),
                Decided::Reject => prop_assert!(found.mean.abs() - found.plus_minus > wanted.within - 1e-6),
                _ => {}
            }
        }
    }
}
