//! Working days of two houses, and what can be done by when.
//!
//! A date on a prescription is the day in the dentist's hands. A day counts only where everybody who
//! must work on it is open: the lab for the work, both for the way between them. The check after
//! insertion falls on the next day, so that decides on which days a denture can be inserted. Lab days per
//! stage are hints from one published calendar; each lab has its own.

use crate::domain::prescription::Stage;
use crate::domain::values::evidence::Source;
use crate::domain::values::moment::whole_day;
use std::collections::BTreeSet;
use time::{Date, Duration, Weekday};

/// When a house is open.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct OpenDays {
    closed: Vec<Weekday>,
    holidays: BTreeSet<Date>,
    /// Minutes since midnight until which something still counts for the day; all day where none is said.
    cut_off: Option<u16>,
    /// When an office is open for parcels, and treats nobody.
    no_chair: Vec<Weekday>,
    no_chair_on: BTreeSet<Date>,
}

/// No search for an open day goes further than this many days.
const FAR: i64 = 1_500;
/// Nothing in this trade takes longer, in working days.
const MOST_DAYS: u32 = 750;

impl OpenDays {
    /// Closed weekdays and holidays.
    ///
    /// # Errors
    /// A sentence where all seven weekdays are closed.
    pub fn new(
        closed: impl IntoIterator<Item = Weekday>,
        holidays: impl IntoIterator<Item = Date>,
    ) -> Result<OpenDays, String> {
        let mut days: Vec<Weekday> = Vec::new();
        for day in closed {
            if !days.contains(&day) {
                days.push(day);
            }
        }
        if days.len() == 7 {
            return Err("An office or a lab that is closed every day cannot take work.".into());
        }
        Ok(OpenDays {
            closed: days,
            holidays: holidays.into_iter().collect(),
            ..OpenDays::default()
        })
    }

    /// Monday to Friday, with these holidays.
    pub fn weekdays(holidays: impl IntoIterator<Item = Date>) -> OpenDays {
        OpenDays {
            closed: vec![Weekday::Saturday, Weekday::Sunday],
            holidays: holidays.into_iter().collect(),
            ..OpenDays::default()
        }
    }

    /// Without a chair on these weekdays and days: open for parcels, and nobody is treated.
    ///
    /// # Errors
    /// A sentence where no weekday is left on which somebody is treated.
    pub fn without_chair(
        self,
        weekdays: impl IntoIterator<Item = Weekday>,
        days: impl IntoIterator<Item = Date>,
    ) -> Result<OpenDays, String> {
        let no_chair: Vec<Weekday> = weekdays.into_iter().collect();
        let chair = OpenDays::new(self.closed.iter().chain(&no_chair).copied(), []);
        chair.map_err(|_| "With these rows nobody is treated on any weekday.".to_owned())?;
        Ok(OpenDays {
            no_chair,
            no_chair_on: days.into_iter().collect(),
            ..self
        })
    }

    /// With the hour, in minutes since midnight, until which a parcel or a wish still counts for the day.
    pub fn with_cut_off(self, cut_off: Option<u16>) -> OpenDays {
        OpenDays { cut_off, ..self }
    }

    /// That hour; none where all of the day counts.
    pub fn cut_off(&self) -> Option<u16> {
        self.cut_off
    }

    /// Whether something that comes at this time counts for the next day; never where the time is not known.
    pub fn is_too_late(&self, minutes: Option<u16>) -> bool {
        let times = minutes.zip(self.cut_off);
        times.is_some_and(|(minutes, cut_off)| minutes > cut_off)
    }

    /// The first day that something counts for which comes on this day at this time.
    ///
    /// # Errors
    /// As [`next_open`].
    pub fn counts_for(&self, day: Date, minutes: Option<u16>) -> Result<Date, String> {
        let day = match self.is_too_late(minutes) {
            true => day.next_day().ok_or("The calendar ends there.")?,
            false => day,
        };
        next_open(day, &[self])
    }

    pub fn is_open(&self, day: Date) -> bool {
        !self.closed.contains(&day.weekday()) && !self.holidays.contains(&day)
    }

    /// Whether patients are treated on a day.
    pub fn treats(&self, day: Date) -> bool {
        let is_off = self.no_chair.contains(&day.weekday()) || self.no_chair_on.contains(&day);
        self.is_open(day) && !is_off
    }

    /// What is wrong with a day for a patient, to be read after "the office": closed, or nobody is treated.
    pub fn why_not(&self, day: Date) -> &'static str {
        match self.is_open(day) {
            true => "treats nobody",
            false => "is closed",
        }
    }
}

/// Whether all of these houses are open.
pub fn all_open(day: Date, houses: &[&OpenDays]) -> bool {
    houses.iter().all(|house| house.is_open(day))
}

/// Who of the two is closed on a day.
fn closed_on(day: Date, (office, lab): (&OpenDays, &OpenDays)) -> Option<String> {
    let whole = whole_day(day);
    match (office.is_open(day), lab.is_open(day)) {
        (true, true) => None,
        (false, false) => Some(format!("Both sides are closed on {whole}.")),
        (false, true) => Some(format!("The office is closed on {whole}.")),
        (true, false) => Some(format!("The lab is closed on {whole}.")),
    }
}

/// Days between the one wanted and the one named from which on a slip of the pen is more likely than a delay. Common
/// practice, no source.
const FAR_FROM_WANTED: i64 = 120;

/// What is asked before a day is named for the work: a day on which nobody takes it in hand, or one so far behind the one
/// wanted, or behind today where none is, that another month or year was hardly meant.
pub fn asked_of_day(
    day: Date,
    (office, lab): (&OpenDays, &OpenDays),
    (wanted, today): (Option<Date>, Date),
) -> Option<String> {
    let closed = closed_on(day, (office, lab)).filter(|_| !office.is_open(day));
    let from = wanted.map_or(today, |wanted| wanted.max(today));
    let days = (day - from).whole_days();
    let far = (days > FAR_FROM_WANTED).then(|| {
        let since = match wanted {
            Some(wanted) if wanted == from => format!("{}, the day wanted", whole_day(wanted)),
            _ => "today".to_owned(),
        };
        format!("{} is {days} days after {since}.", whole_day(day))
    });
    let found: Vec<String> = closed.into_iter().chain(far).collect();
    (!found.is_empty()).then(|| format!("{} Say whether it is meant.", found.join(" ")))
}

/// What speaks against a day that is named for the work: who is closed then, and that nothing can be there so early.
/// Cautions: houses open for each other, and a lab may be faster than its plan.
pub fn doubts_of_day(
    day: Date,
    (office, lab): (&OpenDays, &OpenDays),
    earliest: Option<Date>,
) -> Vec<String> {
    let closed = closed_on(day, (office, lab));
    let early = earliest.filter(|earliest| day < *earliest).map(|earliest| {
        let earliest = whole_day(earliest);
        format!("By the plan the work can be there on {earliest} at the earliest.")
    });
    closed.into_iter().chain(early).collect()
}

/// The first day, from `day` on, on which all are open.
///
/// # Errors
/// A sentence where they share no working day within four years.
pub fn next_open(day: Date, houses: &[&OpenDays]) -> Result<Date, String> {
    (0..FAR)
        .filter_map(|days| day.checked_add(Duration::days(days)))
        .find(|day| all_open(*day, houses))
        .ok_or_else(|| "The two share no working day in the next years.".to_owned())
}

/// The first day, from `day` on, on which the office treats somebody.
///
/// # Errors
/// A sentence where there is none within four years.
pub fn next_treated(day: Date, office: &OpenDays) -> Result<Date, String> {
    (0..FAR)
        .filter_map(|days| day.checked_add(Duration::days(days)))
        .find(|day| office.treats(*day))
        .ok_or_else(|| "The office treats nobody in the next years.".to_owned())
}

/// The day so many working days after `start`: `start` itself is not counted, so that Monday and five
/// days is the next Monday. No days is the first open day from `start` on.
///
/// # Errors
/// A sentence for more than 750 days, or where the houses share no working day.
pub fn add_working_days(start: Date, days: u32, houses: &[&OpenDays]) -> Result<Date, String> {
    if days > MOST_DAYS {
        return Err(format!("{days} working days are more than any work takes."));
    }
    if days == 0 {
        return next_open(start, houses);
    }
    let mut day = start;
    for _ in 0..days {
        let tomorrow = day.next_day().ok_or("The calendar ends there.")?;
        day = next_open(tomorrow, houses)?;
    }
    Ok(day)
}

/// Working days from `start`, not counted, to `end`, counted; 0 where `end` is not later. At most the
/// days of four years are counted.
pub fn working_days_between(start: Date, end: Date, houses: &[&OpenDays]) -> u32 {
    let span = (end - start).whole_days().clamp(0, FAR);
    let open = (1..=span)
        .filter_map(|days| start.checked_add(Duration::days(days)))
        .filter(|day| all_open(*day, houses));
    u32::try_from(open.count()).unwrap_or(u32::MAX)
}

/// Source of the check on the next day.
pub const FIRST_CHECK_SOURCE: Source =
    Source::published("a dental school’s denture schedule: next day, one week, one month");

/// The day after an insertion, on which it is checked; none where nobody is treated on either day.
fn checked_on(insertion: Date, office: &OpenDays) -> Option<Date> {
    let next = insertion.next_day()?;
    (office.treats(insertion) && office.treats(next)).then_some(next)
}

/// The day of the first check: the day after insertion.
///
/// # Errors
/// A sentence naming the last better day of insertion where the office is closed on either day.
pub fn first_check(insertion: Date, office: &OpenDays) -> Result<Date, String> {
    if let Some(check) = checked_on(insertion, office) {
        return Ok(check);
    }
    let next = insertion.next_day().unwrap_or(insertion);
    let why = match office.treats(insertion) {
        true => format!(
            "The office {} on the day after it, on which a first check is due.",
            office.why_not(next)
        ),
        false => format!(
            "The office {} on the day of insertion.",
            office.why_not(insertion)
        ),
    };
    let mut earlier = (1..30).filter_map(|days| insertion.checked_sub(Duration::days(days)));
    Err(
        match earlier.find(|day| checked_on(*day, office).is_some()) {
            Some(day) => format!(
                "{why} The last day before it that allows a check is {}.",
                whole_day(day)
            ),
            None => why,
        },
    )
}

/// An insertion, and the check on the day after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CheckedInsertion {
    pub day: Date,
    pub check: Date,
}

/// The first insertion from `day` on that is checked on the next day: [`first_check`], looking forward.
///
/// # Errors
/// A sentence where the office treats nobody on two days that follow each other, within four years.
pub fn first_insertion(day: Date, office: &OpenDays) -> Result<CheckedInsertion, String> {
    (0..FAR)
        .filter_map(|days| day.checked_add(Duration::days(days)))
        .find_map(|day| checked_on(day, office).map(|check| CheckedInsertion { day, check }))
        .ok_or_else(|| {
            "In the next years the office treats nobody on two days that follow each other."
                .to_owned()
        })
}

/// Lab days of a stage as one laboratory publishes them; `None` where no number is known.
pub fn usual_lab_days(stage: Stage) -> Option<u32> {
    match stage {
        Stage::Tray | Stage::Rims => Some(2),
        Stage::SetUp | Stage::TryIn => Some(4),
        Stage::Process => Some(3),
        Stage::Mount
        | Stage::Reset
        | Stage::Duplicate
        | Stage::Reline
        | Stage::Rebase
        | Stage::Repair
        | Stage::Remount => None,
    }
}

pub const LAB_DAYS_SOURCE: Source = Source::published(
    "calendar of one US denture laboratory: rims 2, set-up 4, finish 3 lab days, 2 days on the way; a dental school counts 5 working days from rims to try-in and 6 to insertion",
);

/// Days on the way, each on days when both houses are open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Way {
    pub there: u32,
    pub back: u32,
}

impl Way {
    /// Two days in all, as in [`LAB_DAYS_SOURCE`].
    pub const USUAL: Way = Way { there: 1, back: 1 };
}

/// The days of a piece of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Feasible {
    pub arrives: Date,
    pub ready: Date,
    /// The first day on which it can be in the dentist's hands.
    pub in_hands: Date,
}

/// The earliest day for work sent on `sent` that takes so many lab days.
///
/// # Errors
/// As [`add_working_days`].
pub fn feasible(
    sent: Date,
    lab_days: u32,
    way: Way,
    office: &OpenDays,
    lab: &OpenDays,
) -> Result<Feasible, String> {
    let arrives = add_working_days(sent, way.there, &[office, lab])?;
    let ready = add_working_days(arrives, lab_days, &[lab])?;
    let in_hands = add_working_days(ready, way.back, &[office, lab])?;
    Ok(Feasible {
        arrives,
        ready,
        in_hands,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use time::macros::date;

    fn plain() -> OpenDays {
        OpenDays::weekdays([])
    }

    #[test]
    fn five_working_days_after_a_monday_is_the_next_monday() {
        // A dental school's schedule: rims to try-in in 5 working days.
        let due = add_working_days(date!(2026 - 03 - 02), 5, &[&plain()]);
        assert_eq!(due, Ok(date!(2026 - 03 - 09)));
    }

    #[test]
    fn a_named_day_on_which_nobody_works_is_doubted_and_one_before_the_plan_too() {
        let lab = OpenDays::weekdays([date!(2026 - 03 - 18)]);
        let houses = (&plain(), &lab);
        let doubts = |day, earliest| doubts_of_day(day, houses, earliest);
        // A Sunday of the calendar.
        assert_eq!(
            doubts(date!(2026 - 03 - 22), None),
            ["Both sides are closed on Sun 22 Mar 2026."]
        );
        let early = "By the plan the work can be there on Thu 19 Mar 2026 at the earliest.";
        assert_eq!(
            doubts(date!(2026 - 03 - 18), Some(date!(2026 - 03 - 19))),
            ["The lab is closed on Wed 18 Mar 2026.", early]
        );
        let none: [&str; 0] = [];
        let day = date!(2026 - 03 - 19);
        assert_eq!(doubts(day, Some(day)), none);
    }

    #[test]
    fn a_day_on_which_nobody_takes_it_in_hand_and_one_in_another_year_are_asked_about() {
        let lab = OpenDays::weekdays([date!(2026 - 12 - 22)]);
        let houses = (&plain(), &lab);
        let (wanted, today) = (date!(2026 - 12 - 21), date!(2026 - 11 - 30));
        let asked = |day, wanted| asked_of_day(day, houses, (wanted, today));
        for (day, wanted, expected) in [
            (
                date!(2026 - 12 - 05),
                Some(wanted),
                Some("Both sides are closed on Sat 5 Dec 2026. Say whether it is meant."),
            ),
            // The lab may have sent it the day before.
            (date!(2026 - 12 - 22), Some(wanted), None),
            (date!(2027 - 04 - 20), Some(wanted), None),
            (
                date!(2027 - 12 - 24),
                Some(wanted),
                Some(
                    "Fri 24 Dec 2027 is 368 days after Mon 21 Dec 2026, the day wanted. Say whether it is meant.",
                ),
            ),
            (
                date!(2027 - 03 - 31),
                None,
                Some("Wed 31 Mar 2027 is 121 days after today. Say whether it is meant."),
            ),
            (date!(2027 - 03 - 30), None, None),
        ] {
            assert_eq!(asked(day, wanted).as_deref(), expected, "{day}");
        }
    }

    #[test]
    fn both_houses_holidays_count() {
        let office = OpenDays::weekdays([date!(2026 - 03 - 04)]);
        let lab = OpenDays::new(
            [Weekday::Friday, Weekday::Saturday, Weekday::Sunday],
            [date!(2026 - 03 - 05)],
        )
        .expect("open");
        // Tuesday 3 March, then Monday 9 March: Wednesday, Thursday, Friday and the weekend are closed.
        let due = add_working_days(date!(2026 - 03 - 02), 2, &[&office, &lab]);
        assert_eq!(due, Ok(date!(2026 - 03 - 09)));
        assert_eq!(
            working_days_between(
                date!(2026 - 03 - 02),
                date!(2026 - 03 - 09),
                &[&office, &lab]
            ),
            2
        );
    }

    #[test]
    fn a_denture_is_inserted_where_the_next_day_is_open() {
        assert_eq!(
            first_check(date!(2026 - 03 - 05), &plain()),
            Ok(date!(2026 - 03 - 06))
        );
        let friday = first_check(date!(2026 - 03 - 06), &plain()).expect_err("Saturday");
        assert!(friday.contains("Thu 5 Mar 2026"), "{friday}");
        assert!(first_check(date!(2026 - 03 - 07), &plain()).is_err());
        let holiday = OpenDays::weekdays([date!(2026 - 03 - 05)]);
        assert!(first_check(date!(2026 - 03 - 04), &holiday).is_err());
    }

    #[test]
    fn where_the_chair_is_free_on_some_days_only_insertion_and_check_keep_to_them() {
        // Open Monday to Friday, and nobody is treated on Wednesdays or on Monday 9 March.
        let office = plain().without_chair([Weekday::Wednesday], [date!(2026 - 03 - 09)]);
        let office = office.expect("a chair");
        let (tuesday, wednesday) = (date!(2026 - 03 - 03), date!(2026 - 03 - 04));
        assert!(office.is_open(wednesday) && !office.treats(wednesday));
        let why = first_check(tuesday, &office).expect_err("no chair on Wednesday");
        assert!(why.contains("treats nobody on the day after it"), "{why}");
        assert!(why.contains("Mon 2 Mar 2026"), "{why}");
        let why = first_check(wednesday, &office).expect_err("no chair on the day");
        assert!(
            why.starts_with("The office treats nobody on the day of insertion."),
            "{why}"
        );
        assert_eq!(
            first_check(date!(2026 - 03 - 05), &office),
            Ok(date!(2026 - 03 - 06))
        );
        assert_eq!(
            next_treated(date!(2026 - 03 - 07), &office),
            Ok(date!(2026 - 03 - 10))
        );
        // A parcel counts all the same.
        assert_eq!(add_working_days(tuesday, 1, &[&office]), Ok(wednesday));
        let never = plain().without_chair(
            [
                Weekday::Monday,
                Weekday::Tuesday,
                Weekday::Wednesday,
                Weekday::Thursday,
                Weekday::Friday,
            ],
            [],
        );
        assert!(never.is_err());
    }

    #[test]
    fn an_insertion_that_moves_goes_to_the_next_day_that_has_its_check() {
        // Nobody is treated on Tuesdays, nor on Friday 11 December 2026; the days of the week are the calendar's.
        let office = plain().without_chair([Weekday::Tuesday], [date!(2026 - 12 - 11)]);
        let office = office.expect("a chair");
        let table = [
            // A Wednesday before an open Thursday.
            (&plain(), date!(2026 - 12 - 09), Some(9)),
            // A Friday, a Saturday and a Sunday: the check would fall on a closed day.
            (&plain(), date!(2026 - 12 - 11), Some(14)),
            (&plain(), date!(2026 - 12 - 12), Some(14)),
            (&plain(), date!(2026 - 12 - 13), Some(14)),
            // Monday goes before a Tuesday without a chair, and Thursday before the Friday without one.
            (&office, date!(2026 - 12 - 07), Some(9)),
            (&office, date!(2026 - 12 - 10), Some(16)),
            // On Mondays, Wednesdays and Fridays alone there is no day after.
            (
                &plain()
                    .without_chair([Weekday::Tuesday, Weekday::Thursday], [])
                    .expect("a chair"),
                date!(2026 - 12 - 07),
                None,
            ),
            (&plain(), Date::MAX, None),
        ];
        for (office, day, expected) in table {
            let found = first_insertion(day, office);
            assert_eq!(found.as_ref().ok().map(|one| one.day.day()), expected);
            // Looked at from there backward, the same day is good, and its check is the next one.
            if let Ok(found) = found {
                assert_eq!(first_check(found.day, office), Ok(found.check), "{day}");
                assert_eq!(found.day.next_day(), Some(found.check), "{day}");
            }
        }
    }

    #[test]
    fn the_earliest_day_is_told() {
        // Sent on Monday: there on Tuesday, four lab days to Monday, back on Tuesday.
        let found =
            feasible(date!(2026 - 03 - 02), 4, Way::USUAL, &plain(), &plain()).expect("days");
        assert_eq!(
            (found.arrives, found.ready, found.in_hands),
            (
                date!(2026 - 03 - 03),
                date!(2026 - 03 - 09),
                date!(2026 - 03 - 10)
            )
        );
    }

    #[test]
    fn what_comes_after_the_hour_counts_for_the_next_open_day() {
        // Friday 6 March 2026; 16:00 is the last minute that counts.
        let friday = date!(2026 - 03 - 06);
        let house = plain().with_cut_off(Some(16 * 60));
        let table = [
            (Some(0), friday),
            (Some(16 * 60), friday),
            (Some(16 * 60 + 1), date!(2026 - 03 - 09)),
            (None, friday),
        ];
        for (minutes, day) in table {
            assert_eq!(house.counts_for(friday, minutes), Ok(day), "{minutes:?}");
        }
        let any = plain().counts_for(friday, Some(23 * 60 + 59));
        assert_eq!(any, Ok(friday), "a house without such an hour");
        let saturday = house.counts_for(date!(2026 - 03 - 07), Some(9 * 60));
        assert_eq!(saturday, Ok(date!(2026 - 03 - 09)));
    }

    #[test]
    fn houses_that_never_work_together_are_told() {
        let one = OpenDays::new(
            [
                Weekday::Monday,
                Weekday::Tuesday,
                Weekday::Wednesday,
                Weekday::Saturday,
                Weekday::Sunday,
            ],
            [],
        )
        .expect("open");
        let other = OpenDays::new(
            [
                Weekday::Thursday,
                Weekday::Friday,
                Weekday::Saturday,
                Weekday::Sunday,
            ],
            [],
        )
        .expect("open");
        assert!(add_working_days(date!(2026 - 03 - 02), 1, &[&one, &other]).is_err());
        let week = [
            Weekday::Monday,
            Weekday::Tuesday,
            Weekday::Wednesday,
            Weekday::Thursday,
            Weekday::Friday,
            Weekday::Saturday,
            Weekday::Sunday,
        ];
        assert!(OpenDays::new(week, []).is_err());
    }

    #[test]
    fn no_end_of_the_calendar_panics() {
        assert!(add_working_days(Date::MAX, 1, &[&plain()]).is_err());
        assert!(add_working_days(date!(2026 - 03 - 02), u32::MAX, &[&plain()]).is_err());
        assert_eq!(working_days_between(Date::MAX, Date::MIN, &[&plain()]), 0);
        let _far = working_days_between(Date::MIN, Date::MAX, &[&plain()]);
        let _check = (
            first_check(Date::MAX, &plain()),
            first_check(Date::MIN, &plain()),
        );
    }

    proptest! {
        #[test]
        fn days_added_are_the_days_between(start in 0_i64..3000, days in 1_u32..60, holidays in proptest::collection::vec(0_i64..3100, 0..20)) {
            let day = |days: i64| date!(2024 - 01 - 01) + Duration::days(days);
            let lab = OpenDays::weekdays(holidays.into_iter().map(day));
            let end = add_working_days(day(start), days, &[&lab]).expect("day");
            prop_assert!(lab.is_open(end));
            prop_assert_eq!(working_days_between(day(start), end, &[&lab]), days);
            prop_assert!(add_working_days(day(start), days + 1, &[&lab]).expect("day") > end);
        }

        #[test]
        fn no_day_that_has_its_check_is_passed_over(start in 0_i64..600, holidays in proptest::collection::vec(0_i64..700, 0..60)) {
            let day = |days: i64| date!(2026 - 01 - 01) + Duration::days(days);
            let office = OpenDays::weekdays(holidays.into_iter().map(day));
            let found = first_insertion(day(start), &office).expect("a day");
            prop_assert_eq!(first_check(found.day, &office), Ok(found.check));
            let before = (0..(found.day - day(start)).whole_days()).map(|days| day(start + days));
            for day in before {
                prop_assert!(first_check(day, &office).is_err(), "{} does", day);
            }
        }

        #[test]
        fn a_further_holiday_never_brings_work_earlier(start in 0_i64..600, days in 1_u32..20, holiday in 0_i64..700) {
            let day = |days: i64| date!(2026 - 01 - 01) + Duration::days(days);
            let without = feasible(day(start), days, Way::USUAL, &plain(), &plain()).expect("days");
            let closed = OpenDays::weekdays([day(holiday)]);
            let with = feasible(day(start), days, Way::USUAL, &plain(), &closed).expect("days");
            prop_assert!(with.in_hands >= without.in_hands);
        }
    }
}
