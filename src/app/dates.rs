//! The days of a case: planned from what is signed, what is on record, and the days of both houses.

use super::case_work::CaseWork;
use super::follow_up::{ProposedCheck, proposed};
use super::planned::{DaysAsked, over, planned};
use super::see_case::{CaseView, see};
use super::see_lists::lists_context;
use super::{App, AppError, Person};
use crate::clock::moment_in;
use crate::domain::custody::case_actions::{CaseAction, Writing, case_actions, halts};
use crate::domain::custody::follow_up::FollowUp;
use crate::domain::custody::forms::HaltKind;
use crate::domain::custody::is_done;
use crate::domain::custody::progress::Resting;
use crate::domain::form::Day;
use crate::domain::prescription::revision::{Document, Revision};
use crate::domain::trade::calendar::{CheckedInsertion, OpenDays, first_insertion};
use crate::domain::trade::lists::Lists;
use crate::domain::values::icalendar::{self, DayEvent};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::Moment;
use time::Date;

pub use super::planned::Planned;

/// The days of a case as they are known.
pub struct CaseDates {
    pub view: CaseView,
    pub lists: Lists,
    /// Now, by the clock of the house that reads. What is planned counts by that of each house.
    pub now: Moment,
    /// What is agreed, otherwise what is asked for.
    pub wanted: Option<Date>,
    pub insertion: Option<Date>,
    /// Where what is back lies after that insertion: the first one that can be, or why there is none.
    pub moved: Option<Result<CheckedInsertion, String>>,
    /// What is planned; none where nothing is signed, or nothing is left to plan.
    pub planned: Option<Planned>,
    /// Why nothing is planned, in a sentence.
    pub nothing: Option<String>,
}

/// Whether the work is agreed for a later day than this one, which then is not kept as it is signed.
pub(super) fn is_agreed_after(agreed: Option<Date>, day: Option<Date>) -> bool {
    agreed.zip(day).is_some_and(|(agreed, day)| agreed > day)
}

/// The insertion that can be, where what is back lies after the one that is signed.
fn moved(
    planned: &Planned,
    office: &OpenDays,
    (signed, agreed): (Option<Date>, Option<Date>),
    today: Date,
) -> Option<Result<CheckedInsertion, String>> {
    let back = planned.back(agreed);
    let is_late = signed.is_some_and(|signed| back > signed);
    (is_late || is_agreed_after(agreed, signed)).then(|| first_insertion(back.max(today), office))
}

/// What lets the work go on that rests, where whoever asks can do it now.
pub fn leads_on(app: &App, person: &Person, dates: &CaseDates) -> Option<CaseAction> {
    let work = &dates.view.work;
    let (offers, revision) = (work.offers(app, person), work.case.revision);
    let is_drafted = dates.view.draft.is_some();
    let action = match dates.planned.as_ref()?.resting()? {
        Resting::Question(to) => (to == work.side).then_some(CaseAction::Answer),
        Resting::Promised => Some(CaseAction::Write(Writing::of(is_drafted, revision))),
        Resting::FoundWrong(side) => (side == work.side).then_some(CaseAction::ResolveHold),
        Resting::Halted(_) => {
            let goes_on = halts(&offers, revision).contains(&HaltKind::GoOn);
            goes_on.then_some(CaseAction::Halt)
        }
    };
    let open = case_actions(&offers, is_drafted, revision);
    action.filter(|action| open.contains(action))
}

/// The days of one's own case.
pub async fn of_case(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<CaseDates, AppError> {
    of_view(app, person, see(app, person, number).await?).await
}

/// The days of a case that was read.
pub async fn of_view(app: &App, person: &Person, view: CaseView) -> Result<CaseDates, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let lists = lists_context(app, &mut conn, &view.work.case).await?;
    drop(conn);
    let now = person.moment(app.outside.now_ms());
    let [at_lab, at_office] =
        [&view.work.lab, &view.work.office].map(|house| moment_in(now.unix_ms, &house.zone));
    let rx = view.document().map(|one| &one.prescription);
    let day = |day: Option<Day>| day.map(Day::date);
    let asked = DaysAsked {
        wanted: view.work.state.day_due(
            view.work.case.revision,
            rx.and_then(|rx| day(rx.dates.wanted)),
        ),
        insertion: rx.and_then(|rx| day(rx.dates.insertion)),
    };
    let made = match (over(&view.work), rx) {
        (Some(why), _) => Err(why.to_owned()),
        (None, None) => Ok(None),
        (None, Some(rx)) => planned(&view.work, &lists, (rx, &asked), at_lab),
    };
    let nothing_yet = "Nothing is signed yet, so that there is no day to keep.";
    let (planned, nothing) = match made {
        Ok(Some(planned)) => (Some(planned), None),
        Ok(None) => (None, Some(nothing_yet.to_owned())),
        Err(why) => (None, Some(why)),
    };
    let days = (asked.insertion, view.work.agreed_day());
    let moved = planned
        .as_ref()
        .and_then(|planned| moved(planned, &lists.office_open(), days, at_office.date()));
    Ok(CaseDates {
        moved,
        lists,
        now,
        wanted: asked.wanted,
        insertion: asked.insertion,
        planned,
        nothing,
        view,
    })
}

/// The days of one's own case as a file for calendars: what is signed, with the case's number and the other house, and
/// nothing of anybody.
pub async fn file_of_case(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<String, AppError> {
    let view = see(app, person, number).await?;
    let work = &view.work;
    // A calendar keeps the days, and nothing beside them says that they are in doubt.
    work.refuse_if_doubted()?;
    let other = &work.party(work.side.other()).name;
    let Some(signed) = work.signed.newest() else {
        return Ok(icalendar::file(&[]));
    };
    let says = |day: SignedDay, kept: &str| {
        let kind = match day {
            SignedDay::Due => "Due".to_owned(),
            SignedDay::Agreed => "Agreed for".to_owned(),
            SignedDay::Insertion => "Insertion".to_owned(),
            SignedDay::FirstCheck => "First check".to_owned(),
            SignedDay::Check(after) => check_words(after),
        };
        format!("{kind}{kept}: case {}, {other}", work.case.number)
    };
    let checks = proposed(work, &view.office_open);
    let events = signed_days(app, work, (signed, &checks), says);
    Ok(icalendar::file(&events))
}

/// What a day of a case is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SignedDay {
    Due,
    Agreed,
    Insertion,
    FirstCheck,
    /// One of those that are proposed from the fit on.
    Check(FollowUp),
}

/// What such a check is called in a calendar.
pub(super) fn check_words(after: FollowUp) -> String {
    format!("Check after the fit, {}", after.shown())
}

/// Said of a day that is signed, where the work is agreed for a later one.
const NOT_KEPT: &str = " as signed, not to be kept";

/// The days of a case by its revision in force, and of its checks after the fit, as events that stay the same in every
/// file. What `says` is given behind the day is put behind its name: empty, or that it is not to be kept.
pub(super) fn signed_days(
    app: &App,
    work: &CaseWork,
    ((revision, document), checks): ((&Revision, &Document), &[ProposedCheck]),
    says: impl Fn(SignedDay, &'static str) -> String,
) -> Vec<DayEvent> {
    let number = &work.case.number;
    let dates = &document.prescription.dates;
    let is_over = work.case.closed || work.state.is_cancelled();
    // What led to the final is over with it.
    let is_fitted =
        !checks.is_empty() && is_done(&work.case, &work.items, &work.state, &work.ordered);
    let agreed = work.state.agreed_day(revision.number);
    let due = agreed.map_or(SignedDay::Due, |_| SignedDay::Agreed);
    let (insertion, check) = (
        dates.insertion.map(Day::date),
        dates.first_check.map(Day::date),
    );
    // The check goes with its insertion.
    let is_moved = is_agreed_after(agreed, insertion);
    let kept = |is_given_up: bool| if is_given_up { NOT_KEPT } else { "" };
    let days = [
        (
            "due",
            (due, kept(false)),
            work.state.day_due(revision.number, work.case.due),
        ),
        (
            "insertion",
            (SignedDay::Insertion, kept(is_moved)),
            insertion,
        ),
        (
            "check",
            (
                SignedDay::FirstCheck,
                kept(is_moved || is_agreed_after(agreed, check)),
            ),
            check,
        ),
    ];
    // Whatever is said of the days since counts: a number that a calendar has seen never comes again.
    let later = work.events.iter().filter(|one| one.what.is_about_days());
    let later: Vec<Moment> = later.map(|one| one.at).collect();
    let sequence = 2 * (revision.number + i64::try_from(later.len()).unwrap_or(i64::MAX / 4));
    let said = later.into_iter().chain([revision.signature.at]);
    let said = said
        .max_by_key(|at| at.unix_ms)
        .unwrap_or(revision.signature.at);
    let event = |word: &str, what: (SignedDay, &'static str), day: Date, is_off: bool| DayEvent {
        uid: format!("{}-{word}@{}", number.as_str(), app.store.key().id()),
        day,
        summary: says(what.0, what.1),
        said,
        sequence,
        is_off,
        url: format!("{}/cases/{}/dates", app.settings.address, number.as_str()),
    };
    let signed = (days.into_iter())
        .filter_map(|(word, what, day)| Some(event(word, what, day?, is_over || is_fitted)));
    let after = checks.iter().enumerate().map(|(place, check)| {
        let (arches, proposed, _) = check;
        let word = format!("check-{}-{}", proposed.after.word(), arches.word());
        let is_off = is_over || is_behind(checks, place);
        event(
            &word,
            (SignedDay::Check(proposed.after), ""),
            proposed.day,
            is_off,
        )
    });
    signed.chain(after).collect()
}

/// Whether the check at this place is entered, or a later one of the same arches is, so that it is asked for no more.
fn is_behind(checks: &[ProposedCheck], place: usize) -> bool {
    let mut from_here = checks.iter().skip(place);
    let arches = checks.get(place).map(|(arches, ..)| *arches);
    from_here.any(|(of, _, is_entered)| *is_entered && Some(*of) == arches)
}
