//! How much waits for each technician of a lab, and by when.

use crate::domain::values::ids::AccountId;
use std::collections::BTreeMap;
use time::Date;

/// Days that are told one by one, today the first.
pub const DAYS: usize = 7;

/// Cases of one technician, by when they are due. Each stands in one place alone.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Workload {
    pub late: i64,
    /// Each of the seven days from today on.
    pub days: [i64; DAYS],
    pub later: i64,
    pub no_day: i64,
}

impl Workload {
    /// All of them.
    pub fn all(&self) -> i64 {
        self.late + self.days.iter().sum::<i64>() + self.later + self.no_day
    }

    fn add(&mut self, day: Option<Date>, cases: i64, today: Date) {
        let off = day.map(|day| (day - today).whole_days());
        let place = match off.map(usize::try_from) {
            None => &mut self.no_day,
            Some(Err(_)) => &mut self.late,
            Some(Ok(off)) => self.days.get_mut(off).unwrap_or(&mut self.later),
        };
        *place += cases;
    }

    /// How many are due so many days from today.
    pub fn on(&self, day: usize) -> i64 {
        self.days.get(day).copied().unwrap_or_default()
    }

    /// The same of two technicians together.
    pub fn and(self, other: Workload) -> Workload {
        Workload {
            late: self.late + other.late,
            days: std::array::from_fn(|day| self.on(day) + other.on(day)),
            later: self.later + other.later,
            no_day: self.no_day + other.no_day,
        }
    }
}

/// The cases of each technician; none stands for nobody. Each row is a technician, a day, and how many cases.
pub fn workload(
    rows: &[(Option<AccountId>, Option<Date>, i64)],
    today: Date,
) -> BTreeMap<Option<AccountId>, Workload> {
    let mut found: BTreeMap<Option<AccountId>, Workload> = BTreeMap::new();
    for (technician, day, cases) in rows {
        let own = found.entry(technician.clone()).or_default();
        own.add(*day, *cases, today);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use time::Duration;
    use time::macros::date;

    #[test]
    fn a_case_stands_in_one_place_by_its_day() {
        // 2026-03-04 is a Wednesday, by the calendar of any year's almanac.
        let today = date!(2026 - 03 - 04);
        let table = [
            (Some(date!(2026 - 03 - 03)), "late"),
            (Some(date!(2026 - 03 - 04)), "today"),
            (Some(date!(2026 - 03 - 05)), "tomorrow"),
            (Some(date!(2026 - 03 - 10)), "last"),
            (Some(date!(2026 - 03 - 11)), "later"),
            (None, "no_day"),
        ];
        for (day, place) in table {
            let tom = Some(AccountId::new("tom"));
            let found = workload(&[(tom.clone(), day, 2)], today);
            let load = found[&tom];
            let places = [
                ("late", load.late),
                ("today", load.on(0)),
                ("tomorrow", load.on(1)),
                ("last", load.on(6)),
                ("later", load.later),
                ("no_day", load.no_day),
            ];
            for (name, count) in places {
                assert_eq!(count, if name == place { 2 } else { 0 }, "{day:?} {name}");
            }
            assert_eq!(load.all(), 2);
        }
    }

    proptest! {
        #[test]
        fn no_case_is_lost_or_counted_twice(
            rows in prop::collection::vec((0u8..4, -40i64..40, prop::bool::ANY, 1i64..9), 0..30),
            ahead in 0i64..400,
        ) {
            let today = date!(2026 - 01 - 01) + Duration::days(ahead);
            let rows: Vec<_> = rows.into_iter().map(|(who, off, has_day, cases)| {
                let who = (who > 0).then(|| AccountId::new(who.to_string()));
                (who, has_day.then(|| today + Duration::days(off)), cases)
            }).collect();
            let found = workload(&rows, today);
            let all = found.values().fold(Workload::default(), |all, one| all.and(*one));
            prop_assert_eq!(all.all(), rows.iter().map(|(_, _, cases)| cases).sum::<i64>());
            let late = rows.iter().filter(|(_, day, _)| day.is_some_and(|day| day < today));
            prop_assert_eq!(all.late, late.map(|(_, _, cases)| cases).sum::<i64>());
        }
    }
}
