//! A list of which a page shows the beginning, and folds the rest: nothing is lost, and the page stays short.

/// The first of a list, and those behind a fold.
pub struct Parted<T> {
    pub first: Vec<T>,
    pub rest: Vec<T>,
}

impl<T> Parted<T> {
    /// At most `most` stand at first. A fold of a single one would be as long as the one itself.
    pub fn of(all: impl IntoIterator<Item = T>, most: usize) -> Parted<T> {
        let mut first: Vec<T> = all.into_iter().collect();
        let rest = match first.len() > most + 1 {
            true => first.split_off(most),
            false => Vec::new(),
        };
        Parted { first, rest }
    }

    /// Whether there is nothing at all: what follows never comes without the first.
    pub fn is_empty(&self) -> bool {
        self.first.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_lost_and_a_fold_holds_at_least_two() {
        for (count, first, rest) in [(0, 0, 0), (6, 6, 0), (7, 7, 0), (8, 6, 2), (60, 6, 54)] {
            let parted = Parted::of(0..count, 6);
            assert_eq!((parted.first.len(), parted.rest.len()), (first, rest));
            let all: Vec<i32> = parted.first.into_iter().chain(parted.rest).collect();
            assert_eq!(all, (0..count).collect::<Vec<i32>>());
        }
        assert!(Parted::of(Vec::<u8>::new(), 6).is_empty());
    }
}
