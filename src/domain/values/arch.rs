//! The two arches. Each has its own dentures with their own fates.

use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// Upper or lower.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Arch {
        Upper = "upper",
        Lower = "lower",
    }
}

words_of! {
    /// Which jaws are treated.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Arches {
        Both = "upper and lower",
        Upper = "upper",
        Lower = "lower",
    }
}

impl Arch {
    pub fn other(self) -> Arch {
        match self {
            Arch::Upper => Arch::Lower,
            Arch::Lower => Arch::Upper,
        }
    }
}

impl From<Arch> for Arches {
    fn from(arch: Arch) -> Arches {
        match arch {
            Arch::Upper => Arches::Upper,
            Arch::Lower => Arches::Lower,
        }
    }
}

impl Arches {
    /// The jaws of a list; none of an empty one.
    pub fn of(arches: &[Arch]) -> Option<Arches> {
        let has = |arch| arches.contains(&arch);
        match (has(Arch::Upper), has(Arch::Lower)) {
            (true, true) => Some(Arches::Both),
            (true, false) => Some(Arches::Upper),
            (false, true) => Some(Arches::Lower),
            (false, false) => None,
        }
    }

    /// What of these jaws is among others, and what is not.
    pub fn shared_with(self, others: Arches) -> (Option<Arches>, Option<Arches>) {
        let is_other = |arch: &Arch| others.treated().contains(arch);
        let (shared, rest): (Vec<Arch>, Vec<Arch>) = self
            .treated()
            .iter()
            .copied()
            .partition(|arch| is_other(arch));
        (Arches::of(&shared), Arches::of(&rest))
    }

    /// Each jaw that is treated.
    pub fn treated(self) -> &'static [Arch] {
        match self {
            Arches::Both => &[Arch::Upper, Arch::Lower],
            Arches::Upper => &[Arch::Upper],
            Arches::Lower => &[Arch::Lower],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn jaws_are_shared_one_by_one() {
        use Arches::{Both, Lower, Upper};
        for (own, others, shared, rest) in [
            (Both, Both, Some(Both), None),
            (Both, Upper, Some(Upper), Some(Lower)),
            (Both, Lower, Some(Lower), Some(Upper)),
            (Upper, Both, Some(Upper), None),
            (Upper, Upper, Some(Upper), None),
            (Upper, Lower, None, Some(Upper)),
        ] {
            assert_eq!(
                own.shared_with(others),
                (shared, rest),
                "{own:?} {others:?}"
            );
        }
        assert_eq!(Arches::of(&[]), None);
    }
}
