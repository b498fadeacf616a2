//! Closed days as lines of a form: a day or a stretch of days, or a weekday, and a word for it. What they come to is the
//! list of closed days as it is loaded and kept (`house_days`).

use super::house_days::{ClosedDay, ClosedOn, MOST_DAYS, MOST_WORDS, open_days};
use crate::domain::form::{Day, FieldSet, Form, Kind, Raw, choice_field, command, name};
use crate::domain::values::fault::Fault;
use crate::domain::values::words_of;
use time::{Date, Weekday};

/// Days of one line: nobody is closed for longer in one go.
const LONGEST: i64 = 92;
/// Under which a line stands in a form; `#` is its number, from 0 on.
const LINE: &str = "line.#.";
/// What is said where a line names no day.
const NAME_A_DAY: &str = "Choose the day, or a weekday.";
/// What is said where a list would hold nothing.
pub(super) const NOTHING_LEFT: &str =
    "Nothing would be left in the list: withdraw it below instead.";

words_of! {
    /// A day of each week.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum EveryWeek {
        Monday = "every Monday",
        Tuesday = "every Tuesday",
        Wednesday = "every Wednesday",
        Thursday = "every Thursday",
        Friday = "every Friday",
        Saturday = "every Saturday",
        Sunday = "every Sunday",
    }
}

choice_field!(EveryWeek);

impl EveryWeek {
    fn weekday(self) -> Weekday {
        match self {
            EveryWeek::Monday => Weekday::Monday,
            EveryWeek::Tuesday => Weekday::Tuesday,
            EveryWeek::Wednesday => Weekday::Wednesday,
            EveryWeek::Thursday => Weekday::Thursday,
            EveryWeek::Friday => Weekday::Friday,
            EveryWeek::Saturday => Weekday::Saturday,
            EveryWeek::Sunday => Weekday::Sunday,
        }
    }
}

command! {
    /// One line.
    ClosedLine;
    on: Option<Day> = Kind::Date, "Day", "";
    until: Option<Day> = Kind::Date, "To (inclusive)", "";
    every: Option<EveryWeek> = EveryWeek::KIND, "Or a weekday", "";
    what: String = name(MOST_WORDS), "What it is", "";
    no_chair: bool = Kind::Tick, "Open for parcels, nobody is treated", "";
}

command! {
    /// A day that is to go out of the list.
    GoingOut;
    out: bool = Kind::Tick, "Take out", "";
}

/// A line with its key, such as `line.0.`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyedLine {
    pub under: String,
    pub line: ClosedLine,
}

/// The form as it is posted: what comes to the list, and what goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosedLines {
    pub lines: Vec<KeyedLine>,
    /// Rows that go out, by their keys.
    pub out: Vec<String>,
}

/// The key of the lines of this number.
pub fn line_key(number: usize) -> String {
    LINE.replace('#', &number.to_string())
}

/// The key of a row of the list, such as `2026-12-25` or `chair_wednesday`.
pub fn row_key(day: &ClosedDay) -> String {
    let [day, _] = day.cells();
    day.replace(' ', "_")
}

/// How many lines a form holds: up to the last in which anything was typed.
pub fn lines_typed(raw: &Raw) -> usize {
    rows_typed(raw, LINE, MOST_DAYS)
}

/// The same of rows under any key, such as `line.#.`; what has a number of `most` and more is none.
pub(super) fn rows_typed(raw: &Raw, under: &str, most: usize) -> usize {
    let (before, _) = under.split_once('#').unwrap_or((under, ""));
    let number = |(key, text): (&String, &String)| {
        let number = key.strip_prefix(before)?.split('.').next()?;
        let number: usize = number.parse().ok()?;
        (!text.trim().is_empty() && number < most).then_some(number + 1)
    };
    raw.iter().filter_map(number).max().unwrap_or(0)
}

/// Whether anything was typed in the row of this key.
pub(super) fn is_row_typed(raw: &Raw, under: &str) -> bool {
    let mut typed = raw.iter().filter(|(key, _)| key.starts_with(under));
    typed.any(|(_, text)| !text.trim().is_empty())
}

impl Form for ClosedLines {
    fn field_sets() -> Vec<FieldSet> {
        let rows = |under, fields| FieldSet { under, fields };
        vec![rows(LINE, ClosedLine::FIELDS), rows("#.", GoingOut::FIELDS)]
    }

    /// The lines in which anything was typed; each wrong one has its message beside the field, and so has the first of a form
    /// in which nothing was typed or ticked.
    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<ClosedLines> {
        let before = faults.len();
        let mut lines = Vec::new();
        for number in 0..lines_typed(raw) {
            let under = line_key(number);
            if !is_row_typed(raw, &under) {
                continue;
            }
            let Some(line) = ClosedLine::read_under(raw, &under, faults) else {
                continue;
            };
            faults.extend(wrong_with(&line, &under));
            lines.push(KeyedLine { under, line });
        }
        let out = raw.iter().filter(|(_, tick)| *tick == "yes");
        let out = out.filter_map(|(key, _)| key.strip_suffix(".out").map(str::to_owned));
        let out: Vec<String> = out.collect();
        // Nothing asked for puts nothing in force: not the same list again, nor one of the weekend alone.
        if lines.is_empty() && out.is_empty() && faults.len() == before {
            let key = format!("{}{}", line_key(0), ClosedLine::on().key);
            faults.push(Fault::new(key, NAME_A_DAY));
        }
        (faults.len() == before).then_some(ClosedLines { lines, out })
    }
}

/// What a line by itself does not say clearly.
fn wrong_with(line: &ClosedLine, under: &str) -> Option<Fault> {
    let (on, until) = (line.on.map(Day::date), line.until.map(Day::date));
    let at = |key: &str, why: String| Some(Fault::new(format!("{under}{key}"), why));
    let (on_key, until_key) = (ClosedLine::on().key, ClosedLine::until().key);
    match (on, until, line.every) {
        (None, None, None) => at(on_key, NAME_A_DAY.to_owned()),
        (Some(_), _, Some(_)) | (_, Some(_), Some(_)) => at(
            ClosedLine::every().key,
            "A day or a weekday: not both in one line.".to_owned(),
        ),
        (None, Some(_), None) => at(on_key, "Say from which day.".to_owned()),
        (Some(on), Some(until), None) if until < on => {
            at(until_key, "This is before the first day.".to_owned())
        }
        (Some(on), Some(until), None) if (until - on).whole_days() >= LONGEST => {
            at(until_key, format!("At most {LONGEST} days in one line."))
        }
        _ => None,
    }
}

/// The days of a line; of a stretch each day.
fn days_of(line: &ClosedLine) -> Vec<ClosedOn> {
    if let Some(every) = line.every {
        let weekday = every.weekday();
        return vec![match line.no_chair {
            true => ClosedOn::NoChairEvery(weekday),
            false => ClosedOn::Every(weekday),
        }];
    }
    let Some(on) = line.on.map(Day::date) else {
        return Vec::new();
    };
    let until = line.until.map_or(on, Day::date);
    let next = |day: &Date| day.next_day().filter(|day| *day <= until);
    let days = std::iter::successors(Some(on), next);
    days.map(|day| match line.no_chair {
        true => ClosedOn::NoChairOn(day),
        false => ClosedOn::On(day),
    })
    .collect()
}

/// Whoever has loaded nothing is closed at the weekend; a list says so itself.
fn usual_weekend() -> Vec<ClosedDay> {
    [Weekday::Saturday, Weekday::Sunday]
        .map(|weekday| ClosedDay {
            day: ClosedOn::Every(weekday),
            what: String::new(),
        })
        .into()
}

impl ClosedLines {
    /// The list that comes of the one in force, none where nothing is: without what goes out, and with each line.
    ///
    /// # Errors
    /// A fault beside the line that names a day which is listed, and one beside the first line where no day would be open.
    pub fn list(&self, in_force: Option<Vec<ClosedDay>>) -> Result<Vec<ClosedDay>, Vec<Fault>> {
        let mut days = in_force.unwrap_or_else(usual_weekend);
        days.retain(|one| !self.out.contains(&row_key(one)));
        let mut faults = Vec::new();
        for KeyedLine { under, line } in &self.lines {
            let (all, before) = (days_of(line), days.len());
            for day in all {
                // Of a stretch, what is listed stays as it is listed.
                if !days.iter().any(|one| one.day == day) {
                    let what = line.what.clone();
                    days.push(ClosedDay { day, what });
                }
            }
            if days.len() == before {
                let key = match line.every {
                    Some(_) => ClosedLine::every().key,
                    None => ClosedLine::on().key,
                };
                let why = "This is in the list already.";
                faults.push(Fault::new(format!("{under}{key}"), why));
            }
        }
        let key = self.lines.first().map(|first| first.under.clone());
        let first = format!("{}{}", key.unwrap_or(line_key(0)), ClosedLine::on().key);
        if days.len() > MOST_DAYS {
            let why = format!("A list holds at most {MOST_DAYS} days: take out what has passed.");
            faults.push(Fault::new(first, why));
        } else if days.is_empty() {
            faults.push(Fault::new(first, NOTHING_LEFT));
        } else if let Err(why) = open_days(&days) {
            faults.push(Fault::new(first, why));
        }
        match faults.is_empty() {
            true => Ok(days),
            false => Err(faults),
        }
    }
}

/// The day that a row of the list is about, where it is one date.
pub fn date_of(day: &ClosedDay) -> Option<Date> {
    match day.day {
        ClosedOn::On(day) | ClosedOn::NoChairOn(day) => Some(day),
        _ => None,
    }
}

/// Whether a day is one that the form takes out by a tick: weekdays, and days that have not passed.
pub fn can_go(day: &ClosedDay, today: Date) -> bool {
    date_of(day).is_none_or(|day| day >= today) && !matches!(day.day, ClosedOn::After(_))
}

#[cfg(test)]
mod tests {
    use super::super::house_days::{read_closed, write_closed};
    use super::*;
    use crate::domain::values::moment::parse_date;

    fn read(typed: &[(&str, &str)]) -> Result<ClosedLines, Vec<Fault>> {
        let typed = typed.iter();
        let raw: Raw = typed.map(|(k, v)| ((*k).into(), (*v).into())).collect();
        let mut faults = Vec::new();
        ClosedLines::read(&raw, &mut faults).ok_or(faults)
    }

    fn listed(form: &ClosedLines, before: Option<&str>) -> Result<String, Vec<Fault>> {
        let before = before.map(|text| read_closed(text).expect("a list"));
        form.list(before).map(|days| write_closed(&days))
    }

    #[test]
    fn lines_come_to_the_list_as_it_is_loaded() {
        let form = read(&[
            ("line.0.on", "2026-12-25"),
            ("line.0.what", "holiday"),
            // An empty line between others is none.
            ("line.1.what", " "),
            ("line.2.on", "2027-02-27"),
            ("line.2.until", "2027-03-01"),
            ("line.2.what", "summer"),
            ("line.3.every", "wednesday"),
            ("line.3.no_chair", "yes"),
        ]);
        let form = form.expect("a form");
        // The years have no 29 February 2027: the stretch is three days long.
        let added = "2026-12-25,holiday\n2027-02-27,summer\n2027-02-28,summer\n2027-03-01,summer\nchair wednesday,\n";
        let weekend = format!("day,what\nsaturday,\nsunday,\n{added}");
        assert_eq!(listed(&form, None), Ok(weekend.clone()));
        assert_eq!(write_closed(&read_closed(&weekend).expect("days")), weekend);
        let before = "day,what\nsunday,rest\nafter 16:00,last parcel\n";
        assert_eq!(listed(&form, Some(before)), Ok(format!("{before}{added}")));
    }

    #[test]
    fn what_is_ticked_goes_out_and_a_stretch_leaves_what_is_listed() {
        let form = read(&[
            ("2026-12-25.out", "yes"),
            ("sunday.out", "no"),
            ("chair_monday.out", "yes"),
            ("line.4.on", "2026-12-27"),
            ("line.4.until", "2026-12-28"),
        ]);
        let before = "day,what\nsunday,\nchair monday,\n2026-12-25,holiday\n2026-12-28,fair\n";
        assert_eq!(
            listed(&form.expect("a form"), Some(before)),
            Ok("day,what\nsunday,\n2026-12-28,fair\n2026-12-27,\n".to_owned())
        );
    }

    #[test]
    fn what_is_not_clear_is_told_beside_its_line() {
        for (typed, key, part) in [
            (&[("line.1.what", "holiday")][..], "line.1.on", NAME_A_DAY),
            (&[], "line.0.on", NAME_A_DAY),
            (
                &[("line.2.what", " "), ("sunday.out", "no")],
                "line.0.on",
                NAME_A_DAY,
            ),
            (
                &[("line.0.on", "25.12.2026")],
                "line.0.on",
                "year-month-day",
            ),
            (&[("line.0.until", "2026-12-25")], "line.0.on", "from which"),
            (
                &[("line.0.on", "2026-12-25"), ("line.0.until", "2026-12-24")],
                "line.0.until",
                "before the first day",
            ),
            (
                &[("line.0.on", "2026-01-01"), ("line.0.until", "2026-12-24")],
                "line.0.until",
                "At most 92 days",
            ),
            (
                &[("line.0.on", "2026-12-25"), ("line.0.every", "monday")],
                "line.0.every",
                "not both",
            ),
        ] {
            let faults = read(typed).expect_err(key);
            assert_eq!(faults.len(), 1, "{key}");
            assert_eq!(faults[0].key, key);
            assert!(faults[0].message.contains(part), "{}", faults[0].message);
        }
        let before = Some("day,what\nsunday,\n2026-12-25,\n");
        let again = read(&[("line.2.on", "2026-12-25")]).expect("a form");
        assert_eq!(
            listed(&again, before).expect_err("twice")[0].key,
            "line.2.on"
        );
        let none = read(&[("sunday.out", "yes"), ("2026-12-25.out", "yes")]).expect("a form");
        assert!(listed(&none, before).is_err());
        let week = EveryWeek::ALL.iter().enumerate();
        let week: Vec<(String, &str)> = week
            .map(|(number, day)| (format!("{}every", line_key(number)), day.word()))
            .collect();
        let week: Vec<(&str, &str)> = week.iter().map(|(key, day)| (&**key, *day)).collect();
        let never = read(&week).expect("a form");
        let why = listed(&never, Some("day,what\n2026-12-25,\n")).expect_err("never open");
        assert!(why[0].message.contains("closed every day"), "{why:?}");
    }

    #[test]
    fn only_what_is_to_come_is_offered_to_be_taken_out() {
        let today = parse_date("2026-06-01").expect("a day");
        let list = "day,what\nsunday,\n2026-05-31,\n2026-06-01,\nafter 16:00,\nchair monday,\n";
        let can: Vec<bool> = read_closed(list)
            .expect("days")
            .iter()
            .map(|day| can_go(day, today))
            .collect();
        assert_eq!(can, [true, false, true, false, true]);
    }
}
