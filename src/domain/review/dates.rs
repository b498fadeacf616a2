//! Dates.

use super::criteria::lacks;
use super::input::{Input, rows_named, rows_where, yes};
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{BERRY, CHECK_AFTER_EXTRACTION, CHECKS, LAB_DAYS, PRACTICE};
use crate::domain::form::{Clock, Day};
use crate::domain::prescription::{Course, Stage, VerticalReading};
use crate::domain::trade::{calendar, due};
use crate::domain::values::moment::whole_day;
use crate::domain::values::words::lowered;
use time::Date;

/// A first check later than this comes after the ulcer.
const CHECK_WITHIN_DAYS: i64 = 7;

/// Things sent longer before the signature belong to another slip. Common practice, no source.
const SENT_WITHIN_DAYS: i64 = 7;

/// The rules about dates, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "criterion-7-date-wanted",
        wanted,
        "The date wanted is among the two things most often missing; work without one goes to the back of the shelf.",
        BERRY,
    ),
    stop(
        "due-in-the-past",
        past,
        "The day on which it is wanted is gone.",
        PRACTICE,
    ),
    caution(
        "due-before-the-work-can-be-done",
        early,
        "A date that cannot be kept moves the appointment, and the patient with it.",
        LAB_DAYS,
    ),
    caution(
        "due-on-a-closed-day",
        due_closed,
        "Nobody brings or takes a parcel on that day.",
        PRACTICE,
    ),
    stop(
        "insertion-before-the-work-is-there",
        insertion,
        "The patient would sit in the chair before the denture comes.",
        PRACTICE,
    ),
    caution(
        "insertion-on-a-closed-day",
        insertion_closed,
        "The patient would stand before a closed door.",
        PRACTICE,
    ),
    remark(
        "insertion-unsaid",
        insertion_unsaid,
        "With the day of insertion the lab knows how much a delay would cost.",
        PRACTICE,
    ),
    stop(
        "first-check-before-insertion",
        check_early,
        "There is nothing to check before the denture is in.",
        PRACTICE,
    ),
    caution(
        "first-check-on-the-day",
        check_same_day,
        "Sore places and bleeding show overnight.",
        CHECKS,
    ),
    caution(
        "first-check-late-after-extractions",
        check_after_extractions,
        "Over fresh wounds the denture is the dressing: bleeding, swelling and sore places are looked at within a day.",
        CHECK_AFTER_EXTRACTION,
    ),
    caution(
        "first-check-late",
        check_late,
        "Sore places show on the next day and are ulcers within the week.",
        CHECKS,
    ),
    caution(
        "first-check-on-a-closed-day",
        check_closed,
        "The day after insertion has to be a day on which the office is open.",
        CHECKS,
    ),
    caution(
        "first-check-after-closed-days",
        check_waits,
        "A sore place of the first day is an ulcer after a weekend.",
        CHECKS,
    ),
    caution(
        "first-check-unsaid-after-extractions",
        check_unsaid_after_extractions,
        "Fresh wounds are looked at within a day, whatever else is planned.",
        CHECK_AFTER_EXTRACTION,
    ),
    remark(
        "first-check-unsaid",
        check_unsaid,
        "Sore places show on the next day.",
        CHECKS,
    ),
    caution(
        "rush-without-agreement",
        rush,
        "Rush work is agreed by telephone and paid for; a tick alone is neither.",
        PRACTICE,
    ),
    caution(
        "sent-after-wanted",
        sent,
        "It cannot be sent after the day on which it is wanted back.",
        PRACTICE,
    ),
    caution(
        "stage-after-the-due-date",
        stage_late,
        "A stage cannot be due after the whole.",
        PRACTICE,
    ),
    caution(
        "stage-date-without-stage",
        stage_unsaid,
        "A date without its stage, or a stage without its date, tells nobody anything.",
        PRACTICE,
    ),
    caution(
        "stage-date-of-no-piece",
        stage_unordered,
        "The lab makes what is ordered, and waits at the date of a stage that nobody orders.",
        PRACTICE,
    ),
    caution(
        "sent-long-ago",
        sent_long_ago,
        "Work that is signed today was not sent weeks before: a digit has slipped, or a slip is missing.",
        PRACTICE,
    ),
    remark(
        "readings-before-last-correction",
        read_before,
        "A correction may have changed the height that was read.",
        PRACTICE,
    ),
    caution(
        "loan-due-in-the-past",
        loan_past,
        "Nothing can come back by a day that is gone.",
        PRACTICE,
    ),
    remark(
        "loan-due-before-the-work",
        loan_early,
        "The lab may still need it, and sends it back by itself.",
        PRACTICE,
    ),
    caution(
        "day-far-off",
        far_off,
        "So far from the rest of the dates, a year or a month has slipped.",
        PRACTICE,
    ),
    caution(
        "day-in-the-future",
        future,
        "What has been done cannot lie ahead: a digit has slipped.",
        PRACTICE,
    ),
];

fn wanted(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 7),
        "dates.wanted",
        "The day on which the work is wanted is not given.",
    )
}

fn due(input: &Input<'_>) -> Option<Date> {
    input.rx.dates.wanted.map(Day::date)
}

fn past(input: &Input<'_>) -> Option<Hit> {
    let due = due(input)?;
    let wrong = due < input.setting.today;
    wrong.then(|| {
        at(
            "dates.wanted",
            format!(
                "The work is wanted by {}, and today is {}.",
                whole_day(due),
                whole_day(input.setting.today)
            ),
        )
    })?
}

fn early(input: &Input<'_>) -> Option<Hit> {
    let due = due(input)?;
    let lists = &input.setting.lists;
    let (work, found) = due::earliest(input.rx, input.leaves(), lists)?;
    let found = match found {
        Ok(found) => found,
        Err(why) => return at("dates.wanted", why),
    };
    let agreed = yes(input.rx.dates.rush) && input.rx.dates.rush_note.is_some();
    let wrong = (input.setting.today..found.in_hands).contains(&due) && !agreed;
    let takes = match work.lab_days {
        Some(1) => format!("The work (1 lab day: {}) and the way", work.words),
        Some(days) => format!("The work ({days} lab days: {}) and the way", work.words),
        None => "The way there and back alone".to_owned(),
    };
    if work.is_under_way {
        let sentence = format!(
            "By the plan of the case the work is back on {} at the earliest; it is wanted by {}.",
            whole_day(found.in_hands),
            whole_day(due)
        );
        return when(wrong, "dates.wanted", &sentence);
    }
    wrong.then(|| {
        at(
            "dates.wanted",
            format!(
                "{takes} take until {} by {}; it is wanted by {}.",
                whole_day(found.in_hands),
                match &lists.lab_days {
                    Some(own) => own.source(),
                    None => "one laboratory’s published days".to_owned(),
                },
                whole_day(due)
            ),
        )
    })?
}

/// A day on which the office is closed, or, where a patient is to come, treats nobody.
fn closed(
    input: &Input<'_>,
    key: &str,
    (day, comes): (Option<Day>, bool),
    what: &str,
) -> Option<Hit> {
    let day = day?.date();
    let office = input.setting.lists.office_open();
    let does = match comes {
        true => office.treats(day),
        false => office.is_open(day),
    };
    let (why, day) = (office.why_not(day), whole_day(day));
    (!does).then(|| at(key, format!("{what} is {day}, and the office {why}.")))?
}

fn due_closed(input: &Input<'_>) -> Option<Hit> {
    closed(
        input,
        "dates.wanted",
        (input.rx.dates.wanted, false),
        "The day on which the work is wanted",
    )
}

fn insertion_closed(input: &Input<'_>) -> Option<Hit> {
    closed(
        input,
        "dates.insertion",
        (input.rx.dates.insertion, true),
        "The day of insertion",
    )
}

fn check_closed(input: &Input<'_>) -> Option<Hit> {
    closed(
        input,
        "dates.first_check",
        (input.rx.dates.first_check, true),
        "The day of the first check",
    )
}

/// Stages after which something new is in the mouth.
const INSERTED: &[Stage] = &[
    Stage::Process,
    Stage::Reline,
    Stage::Rebase,
    Stage::Repair,
    Stage::Remount,
];

/// Insertion before days on which nobody can look at it.
fn check_waits(input: &Input<'_>) -> Option<Hit> {
    let insertion = input.rx.dates.insertion?.date();
    let office = input.setting.lists.office_open();
    let next = insertion.next_day()?;
    let waits = office.treats(insertion) && !office.treats(next);
    let check = input.rx.dates.first_check.map(Day::date);
    // A check on the closed day itself, or far too late, has a rule of its own. One on the day of insertion is none.
    let is_stated = check.is_some_and(|check| {
        let days = (check - insertion).whole_days();
        check == next || days > CHECK_WITHIN_DAYS
    });
    let why = calendar::first_check(insertion, &office).err()?;
    let wrong = waits && !is_stated && input.reaches(INSERTED);
    wrong.then(|| {
        at(
            "dates.insertion",
            format!("Insertion is on {}. {why}", whole_day(insertion)),
        )
    })?
}

/// The day after insertion, where no check is planned and the office is open on it.
fn day_for_a_check(input: &Input<'_>) -> Option<Date> {
    let dates = &input.rx.dates;
    let next = dates.insertion?.date().next_day()?;
    let is_open = dates.first_check.is_none()
        && input.reaches(INSERTED)
        && input.setting.lists.office_open().treats(next);
    is_open.then_some(next)
}

fn no_check(next: Date) -> Option<Hit> {
    at(
        "dates.first_check",
        format!(
            "The day of the first check is not given; the next day is {}.",
            whole_day(next)
        ),
    )
}

fn is_immediate(input: &Input<'_>) -> bool {
    input.courses.contains(&Course::Immediate)
}

fn check_unsaid(input: &Input<'_>) -> Option<Hit> {
    no_check(day_for_a_check(input).filter(|_| !is_immediate(input))?)
}

fn check_unsaid_after_extractions(input: &Input<'_>) -> Option<Hit> {
    no_check(day_for_a_check(input).filter(|_| is_immediate(input))?)
}

fn insertion(input: &Input<'_>) -> Option<Hit> {
    let (due, insertion) = (due(input)?, input.rx.dates.insertion?.date());
    (insertion < due).then(|| {
        at(
            "dates.insertion",
            format!(
                "Insertion is planned on {}, and the work is wanted by {}.",
                whole_day(insertion),
                whole_day(due)
            ),
        )
    })?
}

fn insertion_unsaid(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.reaches(&[Stage::Process])
        && input.rx.dates.wanted.is_some()
        && input.rx.dates.insertion.is_none();
    when(
        wrong,
        "dates.insertion",
        "The day of insertion is not given.",
    )
}

/// Days from insertion to the first check.
fn check_after(input: &Input<'_>) -> Option<i64> {
    let (insertion, check) = (input.rx.dates.insertion?, input.rx.dates.first_check?);
    Some((check.date() - insertion.date()).whole_days())
}

fn check_early(input: &Input<'_>) -> Option<Hit> {
    let days = check_after(input)?;
    when(
        days < 0,
        "dates.first_check",
        "The first check lies before the insertion.",
    )
}

/// A look on the day itself finds no sore place: where the next day is open, that is asked.
fn check_same_day(input: &Input<'_>) -> Option<Hit> {
    let days = check_after(input)?;
    let next = input.rx.dates.insertion?.date().next_day()?;
    let is_open = input.setting.lists.office_open().treats(next);
    (days == 0 && is_open && input.reaches(INSERTED)).then(|| {
        at(
            "dates.first_check",
            format!(
                "The first check is on the day of insertion itself; it is due on the next day, {}.",
                whole_day(next)
            ),
        )
    })?
}

fn check_after_extractions(input: &Input<'_>) -> Option<Hit> {
    let days = check_after(input).filter(|days| *days > 1)?;
    let next = input.rx.dates.insertion?.date().next_day()?;
    // Where the office is closed on the next day, that is said.
    let is_open = input.setting.lists.office_open().treats(next);
    (is_immediate(input) && is_open).then(|| {
        at(
            "dates.first_check",
            format!("The first check is {days} days after the teeth are drawn and the denture is put in; it is due on the next day."),
        )
    })?
}

fn check_late(input: &Input<'_>) -> Option<Hit> {
    let days = check_after(input).filter(|_| check_after_extractions(input).is_none())?;
    (days > CHECK_WITHIN_DAYS).then(|| at("dates.first_check", format!("The first check is {days} days after insertion; the next day is usual, and a week the most.")))?
}

fn rush(input: &Input<'_>) -> Option<Hit> {
    let wrong = yes(input.rx.dates.rush) && input.rx.dates.rush_note.is_none();
    when(
        wrong,
        "dates.rush_note",
        "Rush is ordered, and how it was agreed is not given.",
    )
}

fn sent(input: &Input<'_>) -> Option<Hit> {
    let (due, sent) = (due(input)?, input.rx.dates.sent?.date());
    when(
        sent > due,
        "dates.sent",
        "The day of sending lies after the day on which the work is wanted.",
    )
}

fn stage_late(input: &Input<'_>) -> Option<Hit> {
    let due = due(input)?;
    let dates = &input.rx.dates.stage_dates;
    let row = dates
        .iter()
        .position(|row| row.date.is_some_and(|day| day.date() > due))?;
    at(
        format!("stage_dates.{row}.date"),
        format!(
            "The date of stage {} lies after the day on which the work is wanted.",
            row + 1
        ),
    )
}

fn stage_unsaid(input: &Input<'_>) -> Option<Hit> {
    let dates = &input.rx.dates.stage_dates;
    let row = dates
        .iter()
        .position(|row| row.date.is_none() || row.stage.is_none())?;
    at(
        format!("stage_dates.{row}.stage"),
        format!(
            "Stage {} has no date, or date {} no stage.",
            row + 1,
            row + 1
        ),
    )
}

/// Stages on the way to a finished denture, in their order.
const ON_THE_WAY: &[Stage] = &[
    Stage::Tray,
    Stage::Rims,
    Stage::Mount,
    Stage::SetUp,
    Stage::TryIn,
    Stage::Reset,
    Stage::Process,
];

/// Whether a piece comes by this stage: it is ordered to it, or to a later one of the same way.
fn comes_by(input: &Input<'_>, stage: Stage) -> bool {
    let place = |stage: Stage| ON_THE_WAY.iter().position(|one| *one == stage);
    let reached = input.pieces().iter().filter_map(|piece| piece.stage);
    let mut reached = reached.map(|reached| (reached, place(reached)));
    reached.any(|(reached, far)| match (place(stage), far) {
        (Some(near), Some(far)) => near <= far,
        _ => reached == stage,
    })
}

fn stage_unordered(input: &Input<'_>) -> Option<Hit> {
    let is_skipped = yes(input.rx.order.try_in_skipped);
    let is_unordered =
        |stage: Stage| !comes_by(input, stage) || (stage == Stage::TryIn && is_skipped);
    let dates = input.rx.dates.stage_dates.iter().enumerate();
    let mut dates = dates.filter_map(|(row, one)| Some((row, one.stage?)));
    let (row, stage) =
        dates.find(|(_, stage)| !input.pieces().is_empty() && is_unordered(*stage))?;
    at(
        format!("stage_dates.{row}.stage"),
        format!(
            "A date is given for “{}”, and no piece comes by that stage.",
            stage.shown()
        ),
    )
}

fn sent_long_ago(input: &Input<'_>) -> Option<Hit> {
    let sent = input.rx.dates.sent?.date();
    let days = (input.setting.today - sent).whole_days();
    // A later revision may well be about things that were sent weeks ago.
    let is_first = input.setting.previous.is_none();
    (is_first && days > SENT_WITHIN_DAYS).then(|| {
        at(
            "dates.sent",
            format!(
                "It is said to have been sent {days} days ago, on {}.",
                whole_day(sent)
            ),
        )
    })?
}

fn read_before(input: &Input<'_>) -> Option<Hit> {
    let corrected = input.rx.pattern.last_corrected?;
    let is_early = |reading: &VerticalReading| reading.date.is_some_and(|date| date < corrected);
    let rows = rows_where(&input.rx.vertical.readings, is_early);
    let row = rows.first()?;
    at(
        format!("readings.{row}.date"),
        format!(
            "{}: taken before the pattern was last corrected.",
            rows_named("Reading", &rows)
        ),
    )
}

/// The first loan that is due before a day, with that day of its own.
fn loan_due_before(input: &Input<'_>, day: Date) -> Option<(usize, Date)> {
    let returns = input.rx.back.returns.iter().enumerate();
    let mut due = returns
        .filter(|(_, one)| yes(one.borrowed))
        .filter_map(|(row, one)| Some((row, one.due?.date())));
    due.find(|(_, due)| *due < day)
}

fn loan_past(input: &Input<'_>) -> Option<Hit> {
    let (row, due) = loan_due_before(input, input.setting.today)?;
    at(
        format!("returns.{row}.due"),
        format!(
            "Return {}: it is due back on {}, and that day is gone.",
            row + 1,
            whole_day(due)
        ),
    )
}

fn loan_early(input: &Input<'_>) -> Option<Hit> {
    let wanted = due(input)?;
    let (row, back) = loan_due_before(input, wanted)?;
    (back >= input.setting.today).then(|| {
        at(
            format!("returns.{row}.due"),
            format!(
                "Return {}: it is due back on {}, and the work is wanted by {}.",
                row + 1,
                whole_day(back),
                whole_day(wanted)
            ),
        )
    })?
}

/// Days within which a work is wanted, an insertion follows on its work, a loan comes back, and a shade is still that of
/// the mouth. Common practice, no source.
const WANTED_WITHIN: i64 = 270;
const INSERTED_WITHIN: i64 = 60;
const LENT_WITHIN: i64 = 180;
const SHADE_WITHIN: i64 = 365;

fn far_off(input: &Input<'_>) -> Option<Hit> {
    let (dates, today) = (&input.rx.dates, input.setting.today);
    let said = |key: String, what: &str, day: Date, days: i64, from: &str| {
        let day = whole_day(day);
        at(key, format!("{what} {day}, {days} days {from}."))
    };
    if let Some(wanted) = due(input) {
        let days = (wanted - today).whole_days();
        if days > WANTED_WITHIN {
            let what = "The work is wanted by";
            return said("dates.wanted".to_owned(), what, wanted, days, "from now");
        }
    }
    if let (Some(insertion), Some(wanted)) = (dates.insertion, due(input)) {
        let days = (insertion.date() - wanted).whole_days();
        if days > INSERTED_WITHIN {
            let from = "after the work is wanted";
            return said(
                "dates.insertion".to_owned(),
                "Insertion is planned on",
                insertion.date(),
                days,
                from,
            );
        }
    }
    let last = due(input).unwrap_or(today).max(today);
    let loans = input.rx.back.returns.iter().enumerate();
    let mut loans = loans.filter_map(|(row, one)| Some((row, one.due?.date())));
    if let Some((row, day)) = loans.find(|(_, day)| (*day - last).whole_days() > LENT_WITHIN) {
        let days = (day - last).whole_days();
        return said(
            format!("returns.{row}.due"),
            "A return is due on",
            day,
            days,
            "after the work",
        );
    }
    let shade = input.rx.shade.date?.date();
    let days = (today - shade).whole_days();
    (days > SHADE_WITHIN).then(|| {
        said(
            "shade.date".to_owned(),
            "The shade was taken on",
            shade,
            days,
            "ago",
        )
    })?
}

/// A day and a time that are said of something done, with the entries of both.
struct DoneOn {
    day: (String, Option<Day>),
    /// Where the time is asked too.
    clock: Option<(String, Option<Clock>)>,
    what: &'static str,
}

impl DoneOn {
    fn new(day: (impl Into<String>, Option<Day>), what: &'static str) -> DoneOn {
        DoneOn {
            day: (day.0.into(), day.1),
            clock: None,
            what,
        }
    }

    fn at(mut self, key: impl Into<String>, clock: Option<Clock>) -> DoneOn {
        self.clock = Some((key.into(), clock));
        self
    }

    /// The entry that lies ahead, and that in words.
    fn ahead(self, today: Date, now: Option<Clock>) -> Option<(String, String)> {
        let (key, day) = self.day;
        let day = day?.date();
        let words = format!("{} on {}", self.what, whole_day(day));
        if day > today {
            return Some((key, words));
        }
        let (key, clock) = self.clock.filter(|_| day == today)?;
        let clock = clock.filter(|clock| now.is_some_and(|now| *clock > now))?;
        Some((key, format!("{words} at {}", String::from(clock))))
    }
}

/// What is said to be done in the rows of lists.
fn done_in_rows(input: &Input<'_>) -> Vec<DoneOn> {
    let rx = input.rx;
    let changes = rx.pattern.changes.iter().enumerate();
    let readings = rx.vertical.readings.iter().enumerate();
    let scans = rx.scan_set.scans.iter().enumerate();
    let enclosed = input.enclosed().iter().enumerate();
    let mut all = Vec::new();
    all.extend(changes.map(|(row, one)| {
        let day = (format!("changes.{row}.date"), one.date);
        DoneOn::new(day, "A change was seen")
    }));
    all.extend(readings.map(|(row, one)| {
        let day = (format!("readings.{row}.date"), one.date);
        DoneOn::new(day, "The vertical dimension was read")
    }));
    all.extend(scans.map(|(row, one)| {
        let day = (format!("scans.{row}.on"), one.on);
        DoneOn::new(day, "A file was scanned")
    }));
    all.extend(enclosed.map(|(row, one)| {
        let day = (format!("enclosed.{row}.date"), one.date);
        let done = DoneOn::new(day, "An enclosed item was disinfected");
        done.at(format!("enclosed.{row}.time"), one.time)
    }));
    all
}

/// What is said to be done once in a prescription.
fn done_once(input: &Input<'_>) -> Vec<DoneOn> {
    let rx = input.rx;
    let (jaw, shade, impression) = (&rx.jaw, &rx.shade, &rx.impression);
    vec![
        DoneOn::new(("jaw.taken_on", jaw.taken_on), "The bite was recorded")
            .at("jaw.taken_at", jaw.taken_at),
        DoneOn::new(("shade.date", shade.date), "The shade was taken").at("shade.time", shade.time),
        DoneOn::new(
            ("impression.removed_on", impression.removed_on),
            "The tissue surface left the mouth",
        )
        .at("impression.removed_at", impression.removed_at),
        DoneOn::new(
            ("pattern.worn_since", rx.pattern.worn_since),
            "The pattern was put into the mouth",
        ),
        DoneOn::new(
            ("pattern.last_corrected", rx.pattern.last_corrected),
            "The pattern was last corrected",
        ),
        DoneOn::new(
            ("duplicate.made_on", rx.duplicate.made_on),
            "The duplicate was made",
        ),
        DoneOn::new(
            ("impression.placed_on", impression.placed_on),
            "The tissue surface was put into the mouth",
        )
        .at("impression.placed_at", impression.placed_at),
        DoneOn::new(("approval.on", rx.approval.on), "The try-in was seen"),
        DoneOn::new(
            ("enclosures.dry_since", rx.enclosures.dry_since),
            "A denture in the box became dry",
        ),
    ]
}

/// All that is told as done and is still to come, in one sentence: the reason beside a caution is bound to it, and so it
/// does not say how late it is.
fn future(input: &Input<'_>) -> Option<Hit> {
    let (today, now) = (input.setting.today, input.setting.now);
    let all = done_once(input).into_iter().chain(done_in_rows(input));
    let ahead: Vec<(String, String)> = all.filter_map(|one| one.ahead(today, now)).collect();
    let (key, _) = ahead.first().cloned()?;
    let words = ahead.into_iter().enumerate();
    let words: Vec<String> = words
        .map(|(place, (_, words))| match place {
            0 => words,
            _ => lowered(&words),
        })
        .collect();
    let that = if words.len() == 1 {
        "that is"
    } else {
        "all of that is"
    };
    at(key, format!("{}; {that} still to come.", words.join("; ")))
}
