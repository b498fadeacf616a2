//! The middle of some values, and how far they lie apart.

/// Median, quartiles and both ends. Quantiles are those of type 7 of Hyndman and Fan 1996 (Sample quantiles in
/// statistical packages, The American Statistician 50:361): linear between the order statistics, the first and the
/// last of which are the quantiles 0 and 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    pub count: usize,
    pub least: f64,
    /// A quarter lies below.
    pub lower: f64,
    pub median: f64,
    /// A quarter lies above.
    pub upper: f64,
    pub most: f64,
}

impl Spread {
    /// Of these values in any order; none of no value. What is no number is left out.
    pub fn of(values: impl IntoIterator<Item = f64>) -> Option<Spread> {
        let values = values.into_iter().filter(|value| value.is_finite());
        let mut sorted: Vec<f64> = values.collect();
        sorted.sort_by(f64::total_cmp);
        Some(Spread {
            count: sorted.len(),
            least: *sorted.first()?,
            lower: quantile(&sorted, 1, 4)?,
            median: quantile(&sorted, 1, 2)?,
            upper: quantile(&sorted, 3, 4)?,
            most: *sorted.last()?,
        })
    }
}

/// The quantile `part` of `whole` of sorted values. Its place is counted in whole numbers, so that it falls exactly
/// where the definition says.
fn quantile(sorted: &[f64], part: usize, whole: usize) -> Option<f64> {
    let steps = sorted.len().checked_sub(1)? * part;
    let below = *sorted.get(steps / whole)?;
    let rest = steps % whole;
    if rest == 0 {
        return Some(below);
    }
    let above = *sorted.get(steps / whole + 1)?;
    let share = rest as f64 / whole as f64;
    // Neither sum nor difference of two finite values need be finite.
    Some(below * (1.0 - share) + above * share)
}
