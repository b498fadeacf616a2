//! Worked examples with their sources, and what holds for any calendar.

use super::*;
use proptest::prelude::*;
use time::Weekday;
use time::macros::date;

fn tasks(days: &[u32]) -> Vec<LabTask> {
    let task = |(place, days): (usize, &u32)| LabTask {
        words: format!("step {place}"),
        days: *days,
    };
    days.iter().enumerate().map(task).collect()
}

/// Pour 1, matrix and mount 1, set-up 2, flask, cure and remount 2, finish 1.
fn copy() -> Vec<LabTask> {
    tasks(&[1, 1, 2, 2, 1])
}

fn job<'a>(tasks: &'a [LabTask], office: &'a OpenDays, lab: &'a OpenDays, today: Date) -> Job<'a> {
    Job {
        tasks,
        way: Way::USUAL,
        office,
        lab,
        progress: Progress::ToBeSent,
        finished: None,
        passed: None,
        is_written: false,
        rests: &[],
        now: (today, None),
        office_now: (today, None),
        goes_on: None,
        wanted: None,
        insertion: None,
    }
}

fn ends(plan: &Plan) -> Vec<Date> {
    plan.lines.iter().map(|line| line.end).collect()
}

fn latest(plan: &Plan) -> Vec<Date> {
    plan.lines.iter().filter_map(|line| line.latest).collect()
}

fn spare(plan: &Plan) -> Vec<i64> {
    plan.lines.iter().filter_map(|line| line.spare).collect()
}

#[test]
fn a_school_counts_five_working_days_to_the_try_in_and_six_to_the_insertion() {
    // A dental school's denture schedule: rims to try-in 5 working days, try-in to insertion 6.
    let plain = OpenDays::weekdays([]);
    let no_way = Way { there: 0, back: 0 };
    for (days, from, to) in [
        (5, date!(2026 - 03 - 02), date!(2026 - 03 - 09)),
        (6, date!(2026 - 03 - 09), date!(2026 - 03 - 17)),
    ] {
        let tasks = tasks(&[days]);
        let job = Job {
            way: no_way,
            wanted: Some(to),
            ..job(&tasks, &plain, &plain, from)
        };
        let plan = plan(&job).expect("a plan");
        assert_eq!(
            (plan.in_hands, plan.spare(), plan.send_by),
            (to, Some(0), Some(from))
        );
    }
}

#[test]
fn one_laboratorys_calendar_takes_nine_days_with_the_way() {
    // Calendar of one US denture laboratory: set-up 4, finish 3 lab days, and 2 days on the way.
    let plain = OpenDays::weekdays([]);
    let tasks = tasks(&[4, 3]);
    let monday = date!(2026 - 03 - 02);
    let job = Job {
        wanted: Some(date!(2026 - 03 - 16)),
        insertion: Some(date!(2026 - 03 - 18)),
        ..job(&tasks, &plain, &plain, monday)
    };
    let plan = plan(&job).expect("a plan");
    let day = |day| date!(2026 - 03 - 01).replace_day(day).expect("a day");
    assert_eq!(ends(&plan), [3, 9, 12, 13].map(day));
    assert_eq!(latest(&plan), [4, 10, 13, 16].map(day));
    assert_eq!(spare(&plan), [1, 1, 1, 1]);
    assert_eq!(plan.send_by, Some(day(3)));
    assert_eq!((plan.decides, plan.before_insertion), (Some(1), Some(3)));
    // The first recall is on the next day, by the same school's schedule.
    assert_eq!(plan.next_day, Some(NextDay::Open(day(19))));
}

#[test]
fn what_does_not_keep_is_done_on_its_first_day_and_the_rest_has_its_days_to_spare() {
    let plain = OpenDays::weekdays([]);
    let tasks = copy();
    let monday = date!(2026 - 03 - 02);
    let day = |day| date!(2026 - 03 - 01).replace_day(day).expect("a day");
    for wanted in [Some(day(27)), Some(day(4)), None] {
        let job = Job {
            wanted,
            ..job(&tasks, &plain, &plain, monday)
        };
        let before = plan(&job).expect("a plan");
        let mut after = before.clone();
        assert!(after.at_once(0));
        let (was, is) = (before.lines[1], after.lines[1]);
        assert_eq!((is.leg, is.end), (Leg::Task(0), was.end));
        match was.spare {
            // It is late already: that stays said.
            Some(spare @ ..0) => assert_eq!(is.spare, Some(spare)),
            _ => assert_eq!((is.latest, is.spare), (Some(is.end), Some(0))),
        }
        assert_eq!(before.lines[2..], after.lines[2..]);
        assert_eq!(before.decides, after.decides);
        // Nor has the way there, which goes before it, a day to spare.
        let (was, is) = (before.lines[0], after.lines[0]);
        assert_eq!((is.leg, is.end), (Leg::There, was.end));
        match was.spare {
            Some(spare @ ..0) => assert_eq!(is.spare, Some(spare)),
            _ => assert_eq!((is.latest, is.spare), (Some(is.end), Some(0))),
        }
        let leaves = before.send_by.map(|day| day.min(is.from));
        assert_eq!(after.send_by, leaves);
    }
    // What is done by the record is over.
    let job = Job {
        progress: Progress::AtLab((monday, Some(9 * 60))),
        finished: Some((1, day(3))),
        now: (day(4), None),
        office_now: (day(4), None),
        wanted: Some(day(27)),
        ..job(&tasks, &plain, &plain, monday)
    };
    let before = plan(&job).expect("a plan");
    let mut after = before.clone();
    assert!(!after.at_once(0));
    assert_eq!(before, after);
}

/// The lab closes on Fri 6 Nov 2026, the office on Wed 11; the parcel came on Fri 30 Oct.
fn november() -> (OpenDays, OpenDays) {
    (
        OpenDays::weekdays([date!(2026 - 11 - 11)]),
        OpenDays::weekdays([date!(2026 - 11 - 06)]),
    )
}

#[test]
fn closed_days_of_either_house_are_stepped_over() {
    // Counted on a paper calendar.
    let ((office, lab), tasks) = (november(), copy());
    let today = date!(2026 - 11 - 03);
    let job = Job {
        progress: Progress::AtLab((date!(2026 - 10 - 30), Some(9 * 60))),
        wanted: Some(date!(2026 - 11 - 13)),
        insertion: Some(date!(2026 - 11 - 16)),
        ..job(&tasks, &office, &lab, today)
    };
    let plan = plan(&job).expect("a plan");
    let november = |day| date!(2026 - 11 - 01).replace_day(day).expect("a day");
    assert_eq!(ends(&plan)[1..], [2, 3, 5, 10, 11, 12].map(november));
    // Back on Friday 13: out of the lab on Thursday 12 at the latest, and so on, one lab day later each.
    assert_eq!(latest(&plan)[1..], [3, 4, 9, 11, 12, 13].map(november));
    assert_eq!(spare(&plan)[1..], [1, 1, 1, 1, 1, 1]);
    let status: Vec<Status> = plan.lines.iter().map(|line| line.status).collect();
    assert_eq!(
        status[..4],
        [
            Status::Done,
            Status::Counted,
            Status::UnderWay,
            Status::Ahead
        ]
    );
    assert_eq!(
        plan.decides,
        Some(3),
        "the set-up, the longer of what is left"
    );
    assert_eq!(plan.before_insertion, Some(2));
}

#[test]
fn what_rests_waits_and_the_rest_comes_later() {
    let ((office, lab), tasks) = (november(), copy());
    let rests = [Rest {
        from: date!(2026 - 11 - 03),
        until: None,
    }];
    let came = Progress::AtLab((date!(2026 - 10 - 30), None));
    let at = |today: Date, goes_on: Option<Date>| {
        let job = Job {
            progress: came,
            rests: &rests,
            goes_on,
            wanted: Some(date!(2026 - 11 - 12)),
            ..job(&tasks, &office, &lab, today)
        };
        plan(&job).expect("a plan")
    };
    let tuesday = date!(2026 - 11 - 03);
    // Answered today, today counts; each day of waiting costs a lab day.
    assert_eq!(at(tuesday, None).in_hands, date!(2026 - 11 - 12));
    let wednesday = Some(date!(2026 - 11 - 04));
    assert_eq!(at(tuesday, wednesday).in_hands, date!(2026 - 11 - 13));
    assert_eq!(at(tuesday, wednesday).spare(), Some(-1));
    // Answered on the lab's closed Friday is answered on Monday.
    let [friday, monday] = [6, 9].map(|day| tuesday.replace_day(day).ok());
    assert_eq!(at(tuesday, friday).in_hands, at(tuesday, monday).in_hands);
    // A rest of less than a day costs nothing.
    let short = [Rest {
        from: tuesday,
        until: Some(tuesday),
    }];
    let job = Job {
        progress: came,
        rests: &short,
        ..job(&tasks, &office, &lab, tuesday)
    };
    assert_eq!(plan(&job).expect("a plan").in_hands, date!(2026 - 11 - 12));
}

#[test]
fn what_is_not_there_yet_is_never_planned_into_the_past() {
    let plain = OpenDays::weekdays([]);
    let tasks = tasks(&[2, 1]);
    let thursday = date!(2026 - 03 - 12);
    let at = |progress, finished| {
        let job = Job {
            progress,
            finished,
            ..job(&tasks, &plain, &plain, thursday)
        };
        plan(&job).expect("a plan")
    };
    let monday = date!(2026 - 03 - 02);
    // A parcel that left ten days ago and has not come: today at the earliest.
    let sent = at(Progress::Sent(monday), None);
    assert_eq!((sent.lines[0].end, sent.parcel_late), (thursday, 7));
    assert_eq!(sent.in_hands, date!(2026 - 03 - 18));
    // Nothing was heard of it at the lab: done today, at the earliest.
    let at_lab = at(Progress::AtLab((monday, None)), None);
    assert_eq!(at_lab.lines[2].end, thursday);
    assert_eq!(at_lab.lines[2].status, Status::UnderWay);
    assert_eq!(at_lab.in_hands, date!(2026 - 03 - 13));
    // By the record all was done last Thursday, and it has not left.
    let made = at(
        Progress::AtLab((monday, None)),
        Some((2, date!(2026 - 03 - 05))),
    );
    assert_eq!(made.lines[2].end, date!(2026 - 03 - 05));
    assert_eq!(
        (made.in_hands, made.decides),
        (date!(2026 - 03 - 13), Some(3))
    );
    // What the record says of a step moves what follows.
    let first = at(
        Progress::AtLab((date!(2026 - 03 - 11), None)),
        Some((1, thursday)),
    );
    assert_eq!(first.lines[2].end, date!(2026 - 03 - 13));
    let back = at(Progress::SentBack(monday, date!(2026 - 03 - 06)), None);
    assert_eq!((back.in_hands, back.decides), (thursday, Some(3)));
    let here = at(Progress::Here(monday, date!(2026 - 03 - 09)), None);
    assert_eq!((here.in_hands, here.decides), (date!(2026 - 03 - 09), None));
}

#[test]
fn what_comes_after_the_hour_counts_for_the_next_day() {
    let house = OpenDays::weekdays([]).with_cut_off(Some(16 * 60));
    let tasks = tasks(&[1]);
    let monday = date!(2026 - 03 - 02);
    for (minutes, sent, in_hands) in [
        (16 * 60, monday, date!(2026 - 03 - 05)),
        (16 * 60 + 1, date!(2026 - 03 - 03), date!(2026 - 03 - 06)),
    ] {
        let job = Job {
            now: (monday, Some(minutes)),
            office_now: (monday, Some(minutes)),
            ..job(&tasks, &house, &house, monday)
        };
        let plan = plan(&job).expect("a plan");
        assert_eq!((plan.lines[0].from, plan.in_hands), (sent, in_hands));
        let job = Job {
            progress: Progress::AtLab((monday, Some(minutes))),
            ..job
        };
        let plan = super::plan(&job).expect("a plan");
        assert_eq!(plan.lines[0].end, sent, "a parcel at the lab");
    }
}

#[test]
fn each_house_goes_by_its_own_clock() {
    let house = OpenDays::weekdays([]).with_cut_off(Some(16 * 60));
    let tasks = tasks(&[1]);
    let monday = date!(2026 - 03 - 02);
    // 17:30 at the office, 11:30 at the lab: what lies at the office leaves tomorrow.
    let job = Job {
        now: (monday, Some(11 * 60 + 30)),
        office_now: (monday, Some(17 * 60 + 30)),
        ..job(&tasks, &house, &house, monday)
    };
    let tomorrow = monday.next_day().expect("a day");
    assert_eq!(plan(&job).expect("a plan").lines[0].from, tomorrow);
    // 20:00 on Monday at the lab is 02:00 on Tuesday at the office, whose day counts for what comes there.
    let job = Job {
        progress: Progress::SentBack(monday, date!(2026 - 02 - 27)),
        now: (monday, Some(20 * 60)),
        office_now: (tomorrow, Some(2 * 60)),
        ..job
    };
    assert_eq!(plan(&job).expect("a plan").in_hands, tomorrow);
}

#[test]
fn where_only_an_insertion_is_planned_the_work_is_to_be_there_the_open_day_before() {
    let office = OpenDays::weekdays([date!(2026 - 03 - 23)]);
    let lab = OpenDays::weekdays([]);
    let tasks = tasks(&[1, 1]);
    // The office is closed on Monday 23 March: for Tuesday it has to be there on Friday.
    let job = Job {
        insertion: Some(date!(2026 - 03 - 24)),
        ..job(&tasks, &office, &lab, date!(2026 - 03 - 02))
    };
    let found = plan(&job).expect("a plan");
    assert_eq!(found.wanted, Some(date!(2026 - 03 - 20)));
    let days = [17, 18, 19, 20].map(|day| date!(2026 - 03 - 01).replace_day(day).expect("a day"));
    assert_eq!(latest(&found), days);
    assert_eq!(found.send_by, Some(date!(2026 - 03 - 16)));
    // A day wanted goes before it, and where there is neither, nothing is late.
    let job = Job {
        wanted: Some(date!(2026 - 03 - 18)),
        ..job
    };
    assert_eq!(plan(&job).expect("a plan").wanted, job.wanted);
    let job = Job {
        wanted: None,
        insertion: None,
        ..job
    };
    let found = plan(&job).expect("a plan");
    assert_eq!((found.wanted, latest(&found)), (None, vec![]));
}

#[test]
fn a_check_on_a_closed_day_is_told() {
    let plain = OpenDays::weekdays([]);
    let tasks = tasks(&[1]);
    let job = Job {
        insertion: Some(date!(2026 - 03 - 13)),
        ..job(&tasks, &plain, &plain, date!(2026 - 03 - 02))
    };
    let plan = plan(&job).expect("a plan");
    let Some(NextDay::Closed(why)) = plan.next_day else {
        panic!("a Friday");
    };
    assert!(why.contains("Thu 12 Mar 2026"), "{why}");
}

#[test]
fn what_cannot_be_planned_says_why() {
    let plain = OpenDays::weekdays([]);
    let today = date!(2026 - 03 - 02);
    let never =
        OpenDays::weekdays((0..500).filter_map(|days| today.checked_add(Duration::days(days))));
    let one = tasks(&[1]);
    let described = |job: Job<'_>| plan(&job).expect_err("no plan").to_string();
    let table = [
        (
            job(&one, &never, &plain, today),
            "The office has no working day",
        ),
        (
            Job {
                progress: Progress::AtLab((today, None)),
                ..job(&one, &plain, &never, today)
            },
            "The lab has no working day",
        ),
    ];
    for (job, words) in table {
        let why = described(job);
        assert!(why.starts_with(words), "{why}");
    }
    let odd = OpenDays::new([Weekday::Monday, Weekday::Wednesday, Weekday::Friday], []);
    let even = [
        Weekday::Tuesday,
        Weekday::Thursday,
        Weekday::Saturday,
        Weekday::Sunday,
    ];
    let (odd, even) = (odd.expect("open"), OpenDays::new(even, []).expect("open"));
    assert!(
        described(job(&one, &odd, &even, today)).starts_with("Office and lab share no working day")
    );
    for days in [0, 61, u32::MAX] {
        let wrong = tasks(&[1, days]);
        let why = described(job(&wrong, &plain, &plain, today));
        assert!(why.contains("step 1") && why.contains("1 to 60"), "{why}");
    }
    for way in [Way { there: 61, back: 1 }, Way { there: 1, back: 61 }] {
        let why = described(Job {
            way,
            ..job(&one, &plain, &plain, today)
        });
        assert!(why.contains("“way "), "{why}");
    }
    for far in [
        Date::MIN,
        date!(1999 - 01 - 01),
        date!(2031 - 03 - 10),
        Date::MAX,
    ] {
        let why = described(Job {
            wanted: Some(far),
            ..job(&one, &plain, &plain, today)
        });
        assert!(
            why.contains("day wanted") && why.contains("cannot be meant"),
            "{why}"
        );
        let why = described(Job {
            insertion: Some(far),
            ..job(&one, &plain, &plain, today)
        });
        assert!(why.contains("day of insertion"), "{why}");
    }
    for edge in [Date::MIN, Date::MAX] {
        let job = Job {
            progress: Progress::AtLab((edge, Some(0))),
            ..job(&one, &plain, &plain, edge)
        };
        let _no_panic = plan(&job);
    }
}

/// A calendar by chance: closed weekdays, and closed days from 1 January 2026 on.
fn any_house() -> impl Strategy<Value = OpenDays> {
    let weekdays = proptest::collection::vec(0_usize..7, 0..4);
    let holidays = proptest::collection::vec(0_i64..120, 0..25);
    (weekdays, holidays).prop_filter_map("never open", |(weekdays, holidays)| {
        const WEEK: [Weekday; 7] = [
            Weekday::Monday,
            Weekday::Tuesday,
            Weekday::Wednesday,
            Weekday::Thursday,
            Weekday::Friday,
            Weekday::Saturday,
            Weekday::Sunday,
        ];
        let weekdays = weekdays
            .into_iter()
            .filter_map(|day| WEEK.get(day).copied());
        let first = date!(2026 - 01 - 01);
        let holidays = holidays
            .into_iter()
            .map(|days| first + Duration::days(days));
        OpenDays::new(weekdays, holidays).ok()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn early_enough_is_told_alike_by_every_line(
        office in any_house(), lab in any_house(), start in 0_i64..90, days in proptest::collection::vec(1_u32..5, 1..6),
        there in 0_u32..3, back in 0_u32..3, wanted in 0_i64..60,
    ) {
        let tasks = tasks(&days);
        let today = date!(2026 - 01 - 01) + Duration::days(start);
        let job = Job {
            way: Way { there, back },
            wanted: Some(today + Duration::days(wanted)),
            ..job(&tasks, &office, &lab, today)
        };
        if let Ok(plan) = plan(&job) {
            let is_late = plan.in_hands > plan.lines.last().and_then(|line| line.latest).expect("latest");
            for line in &plan.lines {
                let latest = line.latest.expect("latest");
                let spare = line.spare.expect("spare");
                prop_assert_eq!(line.end > latest, is_late, "{:?}", line);
                prop_assert_eq!(spare < 0, is_late, "{:?}", line);
                prop_assert!(line.from <= line.end);
            }
            prop_assert!(plan.lines.is_sorted_by_key(|line| line.end));
            prop_assert!(plan.lines.is_sorted_by_key(|line| line.latest));
            // Whoever sends on the last day is in time.
            let send_by = plan.send_by.expect("a day");
            let then = Job { now: (send_by, None), office_now: (send_by, None), ..job.clone() };
            let then = super::plan(&then).expect("a plan");
            prop_assert!(then.in_hands <= job.wanted.expect("wanted"));
            // The form's hint counts by the same days.
            let sum = days.iter().sum();
            let feasible = super::super::calendar::feasible(plan.lines[0].from, sum, job.way, &office, &lab);
            prop_assert_eq!(feasible.expect("days").in_hands, plan.in_hands);
        }
    }

    #[test]
    fn nothing_that_goes_wrong_brings_work_earlier(
        office in any_house(), lab in any_house(), came in 0_i64..60, passed in 0_i64..20, rest in 0_i64..20, lasts in 0_i64..10,
        days in proptest::collection::vec(1_u32..4, 1..5), finished in 0_usize..5,
    ) {
        let tasks = tasks(&days);
        let came = date!(2026 - 01 - 01) + Duration::days(came);
        let today = came + Duration::days(passed);
        let calm = Job {
            progress: Progress::AtLab((came, None)),
            ..job(&tasks, &office, &lab, today)
        };
        let rests = [Rest { from: came + Duration::days(rest), until: Some(came + Duration::days(rest + lasts)) }];
        let rested = Job { rests: &rests, ..calm.clone() };
        let late = Job { progress: Progress::Sent(came), ..calm.clone() };
        if let (Ok(calm), Ok(rested), Ok(late)) = (plan(&calm), plan(&rested), plan(&late)) {
            prop_assert!(rested.in_hands >= calm.in_hands);
            prop_assert!(late.in_hands >= calm.in_hands);
            prop_assert!(calm.in_hands >= today);
            prop_assert!(calm.lines.is_sorted_by_key(|line| line.end));
        }
        let finished = Some((finished.min(days.len()), today));
        if let Ok(described) = plan(&Job { finished, ..calm.clone() }) {
            prop_assert!(described.in_hands >= today);
            prop_assert!(described.lines.is_sorted_by_key(|line| line.end));
        }
    }
}

#[test]
fn what_a_lab_that_writes_down_its_steps_has_not_entered_is_not_done() {
    // Mondays to Fridays; poured on Tue 3 Mar, and it is Thu 12 Mar now.
    let days = OpenDays::weekdays([]);
    let tasks = copy();
    let came = (date!(2026 - 03 - 02), None);
    let job = Job {
        progress: Progress::AtLab(came),
        finished: Some((1, date!(2026 - 03 - 03))),
        ..job(&tasks, &days, &days, date!(2026 - 03 - 12))
    };
    let status = |job: &Job<'_>| -> Vec<Status> {
        let plan = plan(job).unwrap();
        plan.lines.iter().map(|line| line.status).collect()
    };
    use Status::{Ahead, Counted, Done, UnderWay};
    assert_eq!(
        status(&job),
        [Done, Done, Counted, Counted, Counted, UnderWay, Ahead]
    );
    let written = Job {
        is_written: true,
        ..job
    };
    assert_eq!(
        status(&written),
        [Done, Done, UnderWay, Ahead, Ahead, Ahead, Ahead]
    );
    // Mount today, set-up by Mon 16, cured by Wed 18, finished on Thu 19, back on Fri 20.
    let plan = plan(&written).unwrap();
    assert_eq!(plan.in_hands, date!(2026 - 03 - 20));
}

#[test]
fn a_day_that_the_lab_names_later_than_the_plan_goes_before_it() {
    let (office, lab, tasks) = (OpenDays::weekdays([]), OpenDays::weekdays([]), copy());
    // Monday 30 November 2026; due 21 December, insertion on the 24th.
    let job = Job {
        progress: Progress::AtLab((date!(2026 - 11 - 30), None)),
        wanted: Some(date!(2026 - 12 - 21)),
        insertion: Some(date!(2026 - 12 - 24)),
        ..job(&tasks, &office, &lab, date!(2026 - 11 - 30))
    };
    let planned = plan(&job).expect("a plan");
    let named = |day| planned.later_by_the_lab(day, &job);
    assert_eq!(named(None), None);
    assert_eq!(named(Some(planned.in_hands)), None);
    assert_eq!(named(planned.in_hands.previous_day()), None);
    let said = |day| named(Some(day)).map(|one| (one.spare, one.before_insertion));
    assert_eq!(said(date!(2026 - 12 - 17)), Some((Some(2), Some(5))));
    assert_eq!(said(date!(2026 - 12 - 29)), Some((Some(-6), Some(-3))));
    // Once it has left the lab, the carrier's day counts.
    let sent = Job {
        progress: Progress::SentBack(date!(2026 - 11 - 30), date!(2026 - 12 - 10)),
        ..job.clone()
    };
    let planned = plan(&sent).expect("a plan");
    assert_eq!(
        planned.later_by_the_lab(Some(date!(2026 - 12 - 29)), &sent),
        None
    );
}

/// Common practice, no source: what is done elsewhere is done when it is back from there, and what follows waits for it.
#[test]
fn what_a_second_laboratory_does_is_done_on_the_day_it_is_wanted_back() {
    let plain = OpenDays::weekdays([]);
    let tasks = copy();
    let own = Job {
        progress: Progress::AtLab((date!(2026 - 03 - 02), None)),
        wanted: Some(date!(2026 - 03 - 20)),
        ..job(&tasks, &plain, &plain, date!(2026 - 03 - 02))
    };
    let at_home = plan(&own).expect("a plan");
    // The set-up, wanted back on the Thursday a week later.
    let back = date!(2026 - 03 - 12);
    let passed = plan(&Job {
        passed: Some((2, back)),
        ..own.clone()
    });
    let passed = passed.expect("a plan");
    assert_eq!(
        (passed.lines[3].leg, passed.lines[3].end),
        (Leg::Task(2), back)
    );
    assert_eq!(passed.lines[..3], at_home.lines[..3]);
    // It waits for that day, whatever else takes longest.
    assert_eq!((passed.decides, passed.awaits), (Some(3), Some(back)));
    assert_eq!(at_home.awaits, None);
    // Flask, cure and remount 2, finish 1, the way 1: Tuesday, and on Wednesday in hands.
    assert_eq!(passed.lines[5].end, date!(2026 - 03 - 17));
    assert_eq!(passed.in_hands, date!(2026 - 03 - 18));
    // A day that is earlier than the work itself takes shortens nothing, and what is done is done.
    for passed in [Some((2, date!(2026 - 03 - 03))), Some((9, back)), None] {
        let same = plan(&Job {
            passed,
            ..own.clone()
        });
        assert_eq!(same.expect("a plan"), at_home);
    }
    let done = Job {
        finished: Some((3, date!(2026 - 03 - 02))),
        ..own.clone()
    };
    let same = plan(&Job {
        passed: Some((2, back)),
        ..done.clone()
    });
    assert_eq!(same.expect("a plan"), plan(&done).expect("a plan"));
}

/// Common practice, no source: what is with another house does not leave for the office before it is back from there.
#[test]
fn what_is_done_and_passed_on_all_the_same_leaves_when_it_is_back() {
    let plain = OpenDays::weekdays([]);
    let tasks = tasks(&[1]);
    let today = date!(2026 - 12 - 01);
    let done = Job {
        progress: Progress::AtLab((date!(2026 - 11 - 30), None)),
        finished: Some((1, today)),
        wanted: Some(date!(2026 - 12 - 04)),
        ..job(&tasks, &plain, &plain, today)
    };
    let at_home = plan(&done).expect("a plan");
    assert_eq!(at_home.in_hands, date!(2026 - 12 - 02));
    // Wanted back on the Thursday a week later: the way takes one day more.
    let back = date!(2026 - 12 - 10);
    let passed = plan(&Job {
        passed: Some((1, back)),
        ..done.clone()
    });
    let passed = passed.expect("a plan");
    assert_eq!(passed.lines[1].status, Status::Done);
    assert_eq!(passed.lines[1].end, today);
    assert_eq!(passed.in_hands, date!(2026 - 12 - 11));
    assert_eq!(passed.spare(), Some(-5));
    assert_eq!((passed.decides, passed.awaits), (Some(2), Some(back)));
    // A day that is over puts nothing off that is done today; nor does any what has left the lab.
    let late = plan(&Job {
        passed: Some((1, date!(2026 - 11 - 30))),
        ..done.clone()
    });
    assert_eq!(late.expect("a plan"), at_home);
    let left = Job {
        progress: Progress::SentBack(date!(2026 - 11 - 30), today),
        ..done
    };
    let same = plan(&Job {
        passed: Some((1, back)),
        ..left.clone()
    });
    assert_eq!(same.expect("a plan"), plan(&left).expect("a plan"));
}
