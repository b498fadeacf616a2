use crate::domain::report::control::ControlLimits;
use crate::domain::report::proportion::Proportion;
use crate::domain::report::spread::Spread;
use proptest::prelude::*;

fn close(one: f64, other: f64, by: f64) -> bool {
    (one - other).abs() <= by
}

/// Type 7 of Hyndman and Fan, worked by hand; `tests/outside.rs` holds it against numpy.
#[test]
fn quartiles_lie_between_the_neighbours_of_their_place() {
    let table: [(&[f64], [f64; 5]); 5] = [
        (&[4.0], [4.0; 5]),
        (&[1.0, 2.0], [1.0, 1.25, 1.5, 1.75, 2.0]),
        (&[3.0, 1.0, 2.0], [1.0, 1.5, 2.0, 2.5, 3.0]),
        (&[40.0, 10.0, 20.0, 30.0], [10.0, 17.5, 25.0, 32.5, 40.0]),
        (&[5.0, 5.0, 5.0, 5.0, 9.0], [5.0, 5.0, 5.0, 5.0, 9.0]),
    ];
    for (values, wanted) in table {
        let found = Spread::of(values.iter().copied()).unwrap();
        let found_all = [
            found.least,
            found.lower,
            found.median,
            found.upper,
            found.most,
        ];
        assert_eq!(found_all, wanted, "{values:?}");
        assert_eq!(found.count, values.len());
    }
    assert_eq!(Spread::of([]), None);
    assert_eq!(Spread::of([f64::NAN, f64::INFINITY]), None);
    let some = Spread::of([f64::NAN, 2.0]).unwrap();
    assert_eq!((some.count, some.median), (1, 2.0));
    // The middle of the two largest numbers that there are is none that cannot be written.
    assert_eq!(Spread::of([f64::MAX, f64::MAX]).unwrap().median, f64::MAX);
    assert_eq!(Spread::of([f64::MIN, f64::MAX]).unwrap().median, 0.0);
}

#[test]
fn an_interval_says_what_few_cases_say() {
    // 6 of 32: 0.08889545 and 0.35309155, as R computes it by the formula of Wilson (rstudio-pubs 1367507).
    let (low, high) = Proportion { part: 6, whole: 32 }.interval().unwrap();
    assert!(close(low, 0.088_895_45, 5e-9), "{low}");
    assert!(close(high, 0.353_091_55, 5e-9), "{high}");
    // None of n: from 0 to z²/(n + z²), which follows from the formula.
    let square = 1.959_963_984_540_054_f64.powi(2);
    let (low, high) = Proportion { part: 0, whole: 10 }.interval().unwrap();
    assert_eq!(low, 0.0);
    assert!(close(high, square / (10.0 + square), 1e-12), "{high}");
    let (low, high) = Proportion { part: 1, whole: 1 }.interval().unwrap();
    assert!(
        close(low, 1.0 / (1.0 + square), 1e-12) && high == 1.0,
        "{low} {high}"
    );
    let none = Proportion::default();
    assert_eq!((none.share(), none.interval()), (None, None));
}

/// Flow rates of ten batches: NIST/SEMATECH e-Handbook, 6.3.2.2, Individuals Control Charts, worked example (from
/// memory): mean 50.81, mean moving range 1.8778, limits 45.8159 and 55.8041; all ten lie inside.
#[test]
fn the_chart_of_single_values_is_that_of_the_handbook() {
    let rates = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
    let limits = ControlLimits::of(&rates).unwrap();
    for (found, wanted) in [
        (limits.mean, 50.81),
        (limits.mean_range, 1.8778),
        (limits.lower, 45.8159),
        (limits.upper, 55.8041),
    ] {
        assert!(close(found, wanted, 5e-5), "{found} {wanted}");
    }
    assert!(!rates.iter().any(|rate| limits.is_beyond(*rate)));
    assert!(limits.is_beyond(55.9) && limits.is_beyond(45.8));
}

#[test]
fn a_chart_of_nothing_has_no_lines() {
    assert_eq!(ControlLimits::of(&[]), None);
    assert_eq!(ControlLimits::of(&[1.0]), None);
    assert_eq!(ControlLimits::of(&[1.0, f64::NAN]), None);
    assert_eq!(ControlLimits::of(&[f64::MAX, f64::MIN]), None);
    // Values that never differ lie on their mean, and none is beyond.
    let same = ControlLimits::of(&[3.0; 4]).unwrap();
    assert_eq!((same.lower, same.mean, same.upper), (3.0, 3.0, 3.0));
    assert!(!same.is_beyond(3.0));
}

proptest! {
    #[test]
    fn the_five_numbers_are_in_order_and_do_not_hang_on_the_order(mut values in prop::collection::vec(-1e9..1e9f64, 1..60)) {
        let found = Spread::of(values.iter().copied()).unwrap();
        let all = [found.least, found.lower, found.median, found.upper, found.most];
        prop_assert!(all.windows(2).all(|pair| pair[0] <= pair[1] + 1e-6), "{all:?}");
        prop_assert!(all.iter().all(|value| value.is_finite()));
        values.reverse();
        prop_assert_eq!(Spread::of(values), Some(found));
    }

    #[test]
    fn an_interval_holds_its_share_and_narrows_with_more_cases(whole in 1usize..500, part in 0usize..500) {
        let part = part.min(whole);
        let one = Proportion { part, whole };
        let (low, high) = one.interval().unwrap();
        let share = one.share().unwrap();
        prop_assert!(0.0 <= low && low <= share && share <= high && high <= 1.0);
        let more = Proportion { part: part * 4, whole: whole * 4 }.interval().unwrap();
        prop_assert!(more.1 - more.0 < high - low);
        // What is not so is the mirror of what is.
        let mirror = Proportion { part: whole - part, whole }.interval().unwrap();
        prop_assert!(close(mirror.0, 1.0 - high, 1e-9) && close(mirror.1, 1.0 - low, 1e-9));
    }

    #[test]
    fn limits_move_with_the_values_and_stretch_with_them(values in prop::collection::vec(0.0..1e4f64, 2..60), by in 0.1..10.0f64) {
        let limits = ControlLimits::of(&values).unwrap();
        prop_assert!(limits.lower <= limits.mean && limits.mean <= limits.upper);
        let moved: Vec<f64> = values.iter().map(|value| value * by + 3.0).collect();
        let moved = ControlLimits::of(&moved).unwrap();
        for (one, other) in [(limits.mean, moved.mean), (limits.lower, moved.lower), (limits.upper, moved.upper)] {
            prop_assert!(close(one * by + 3.0, other, 1e-6));
        }
    }
}
