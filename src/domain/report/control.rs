//! A control chart of single values, with the moving ranges of neighbours to say how far values go by chance.
//!
//! NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, Individuals Control Charts (from memory): the limits lie
//! three times the mean moving range over 1.128 above and below the mean.

/// The expected range of two values of a normal distribution of deviation 1 (d2 for two).
const D2: f64 = 1.128;

/// Fewer values say too little of what is chance. Common practice, no source.
pub const LEAST_CHARTED: usize = 8;

/// The lines of the chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlLimits {
    pub mean: f64,
    pub mean_range: f64,
    pub lower: f64,
    pub upper: f64,
}

impl ControlLimits {
    /// Of values in the order in which they came; none of fewer than two.
    pub fn of(values: &[f64]) -> Option<ControlLimits> {
        if values.len() < 2 || values.iter().any(|value| !value.is_finite()) {
            return None;
        }
        let mean = |values: &mut dyn ExactSizeIterator<Item = f64>| {
            let count = values.len() as f64;
            values.map(|value| value / count).sum::<f64>()
        };
        let neighbours = values.iter().zip(values.iter().skip(1));
        let mut ranges = neighbours.map(|(one, next)| (next - one).abs());
        let (mean, mean_range) = (mean(&mut values.iter().copied()), mean(&mut ranges));
        let reach = 3.0 * mean_range / D2;
        let limits = ControlLimits {
            mean,
            mean_range,
            lower: mean - reach,
            upper: mean + reach,
        };
        let ends = [limits.mean, limits.lower, limits.upper];
        ends.iter().all(|end| end.is_finite()).then_some(limits)
    }

    /// Whether a value is farther off than chance takes it.
    pub fn is_beyond(&self, value: f64) -> bool {
        value < self.lower || value > self.upper
    }
}
