//! A share of some cases, and how far it can be trusted.

/// So many of so many.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Proportion {
    pub part: usize,
    pub whole: usize,
}

/// The 97.5 % point of the standard normal distribution, for intervals of 95 %.
const Z: f64 = 1.959_963_984_540_054;

impl Proportion {
    /// Counts what is so among all.
    pub fn of(all: impl IntoIterator<Item = bool>) -> Proportion {
        all.into_iter()
            .fold(Proportion::default(), |counted, is_so| Proportion {
                part: counted.part + usize::from(is_so),
                whole: counted.whole + 1,
            })
    }

    /// From 0 to 1; none of nothing.
    pub fn share(self) -> Option<f64> {
        (self.whole > 0).then(|| self.part.min(self.whole) as f64 / self.whole as f64)
    }

    /// The score interval of Wilson 1927 (Journal of the American Statistical Association 22:209), 95 %: the shares
    /// that would not be contradicted by what was counted. Never below 0 or above 1, and it says something of few
    /// cases and of none found too.
    pub fn interval(self) -> Option<(f64, f64)> {
        let share = self.share()?;
        let (count, square) = (self.whole as f64, Z * Z);
        let middle = share + square / (2.0 * count);
        let half = Z * (share * (1.0 - share) / count + square / (4.0 * count * count)).sqrt();
        let scale = 1.0 + square / count;
        let low = ((middle - half) / scale).clamp(0.0, share);
        let high = ((middle + half) / scale).clamp(share, 1.0);
        // Of none and of all the ends are exact, whatever the last digit of a root says.
        let low = if self.part == 0 { 0.0 } else { low };
        let high = if self.part >= self.whole { 1.0 } else { high };
        Some((low, high))
    }
}
