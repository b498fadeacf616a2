//! What lies in the house now, and what is lent and due back.

use crate::app::in_house::{
    self, ItemHere, ItemOfOthers, ItemOut, LeftOutOfHouse, LoanDue, WholeHouse,
};
use crate::app::in_house_file::in_house_file;
use crate::app::{App, Person, agenda, doubted};
use crate::domain::custody::LoanNow;
use crate::domain::people::party::Side;
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::{Moment, day_in_words, days_off, lasting, whole_day};
use crate::domain::values::words::counted;
use crate::web::error::WebError;
use crate::web::extract::{Query, SignedIn};
use crate::web::frame::{Frame, csv, page};
use crate::web::parted::Parted;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use time::Date;

/// A thing that is here.
pub struct HereRow {
    /// The page of the thing; where it has none, that on which it is registered.
    pub path: String,
    pub title: String,
    pub place: String,
    pub since: String,
    pub lasting: String,
    pub due: String,
}

/// Rows of one list that stand unfolded; the rest is behind a fold.
const ROWS: usize = 6;

/// The things of one case.
pub struct HereGroup {
    pub path_number: String,
    pub number: String,
    pub house: String,
    /// "4 items, the last since Mon 2 Mar"
    pub words: String,
    /// Whether one of them is late.
    pub is_late: bool,
    pub is_open: bool,
    pub rows: Vec<HereRow>,
    /// When the last of them came.
    newest: Moment,
}

/// A loan.
pub struct LoanRow {
    pub path_number: String,
    pub number: String,
    pub tag: String,
    pub title: String,
    pub due: String,
    pub off: String,
    pub is_late: bool,
    pub whose: String,
}

/// A thing of another laboratory's case.
pub struct OthersRow {
    pub path: String,
    pub tag: String,
    pub title: String,
    pub house: String,
    pub since: String,
}

/// A thing that is at a second laboratory.
pub struct OutRow {
    pub path_number: String,
    pub number: String,
    pub tag: String,
    pub title: String,
    pub where_it_is: String,
}

/// What is in this house now.
#[derive(Template)]
#[template(path = "in_house.html")]
pub struct InHousePage {
    pub frame: Frame,
    pub title: &'static str,
    pub today: String,
    pub loans: Parted<LoanRow>,
    /// What is said of the loans behind the fold.
    pub later_loans: String,
    /// Whether more is lent than is listed.
    pub more_loans: bool,
    /// Cases whose loans cannot be read.
    pub unread_loans: usize,
    /// Cases whose casts may go: address, number, and until when they were kept.
    pub casts: Parted<(String, String, String)>,
    pub more_casts: bool,
    /// Closed cases whose papers are past their day: address, number, and words.
    pub papers: Parted<(String, String, String)>,
    pub more_papers: bool,
    /// Of how many closed cases no profile names a time.
    pub without_a_time: String,
    /// What lies here of work passed on to this lab.
    pub of_others: Parted<OthersRow>,
    /// What is at a second laboratory: tag, title and case, and where it is.
    pub out: Parted<OutRow>,
    pub groups: Vec<HereGroup>,
    /// Whether anybody has said where something lies.
    pub has_places: bool,
    pub is_first: bool,
    /// What is said of cases that cannot be read, a sentence for each list that lacks some; empty for most.
    pub unread: Vec<String>,
    /// What is said of cases that belong here and that no list has; empty for most.
    pub unlisted: String,
    pub next: Option<String>,
}

fn here_row(person: &Person, app: &App, thing: &ItemHere) -> HereRow {
    let now = person.moment(app.outside.now_ms());
    let due = (thing.loan.as_ref()).map(|loan| match loan.now {
        LoanNow::Needed => "on loan, needed for the work".to_owned(),
        _ => format!("on loan, {}", days_off(loan.due, now.date())),
    });
    let packed = thing
        .packed
        .then(|| "packed, waits for the carrier".to_owned());
    let kept = thing.kept_until.map(|day| match day < now.date() {
        true => format!("kept until {}: may go, nobody has to", whole_day(day)),
        false => format!("kept until {}", whole_day(day)),
    });
    let unregistered = thing.tag.is_none().then(|| "not registered".to_owned());
    HereRow {
        path: match &thing.tag {
            Some(tag) => format!("/items/{}", tag.as_str()),
            None => format!("/cases/{}/items/new", thing.number.as_str()),
        },
        title: thing.title.clone(),
        place: thing.place.clone(),
        since: day_in_words(person.moment(thing.since.unix_ms).date(), now.date()),
        lasting: lasting(thing.since, now),
        due: due
            .into_iter()
            .chain(packed)
            .chain(kept)
            .chain(unregistered)
            .collect::<Vec<_>>()
            .join("; "),
    }
}

/// The things of one case, which stand together.
fn group(person: &Person, app: &App, things: &[ItemHere]) -> Option<HereGroup> {
    let today = person.moment(app.outside.now_ms()).date();
    let (first, newest) = (
        things.first()?,
        things.iter().map(|thing| thing.since).max()?,
    );
    let last = day_in_words(person.moment(newest.unix_ms).date(), today);
    let is_late = |thing: &ItemHere| thing.loan.as_ref().is_some_and(|loan| loan.is_late(today));
    Some(HereGroup {
        path_number: first.number.as_str().to_owned(),
        number: first.number.to_string(),
        house: first.house.clone(),
        words: match things {
            [_] => format!("1 item, since {last}"),
            _ => format!("{} items, the last since {last}", things.len()),
        },
        is_late: things.iter().any(is_late),
        is_open: false,
        rows: things
            .iter()
            .map(|thing| here_row(person, app, thing))
            .collect(),
        newest,
    })
}

/// What is late goes first, then what came last; cases are open until so many rows stand there, and the first always is.
fn in_order(mut groups: Vec<HereGroup>) -> Vec<HereGroup> {
    groups.sort_by_key(|group| (!group.is_late, std::cmp::Reverse(group.newest.unix_ms)));
    let mut shown = 0;
    for group in &mut groups {
        group.is_open = shown == 0 || shown + group.rows.len() <= ROWS;
        shown += group.rows.len();
    }
    groups
}

/// The cases with what is here of them.
fn groups(person: &Person, app: &App, things: &[ItemHere]) -> Vec<HereGroup> {
    let of_a_case = things.chunk_by(|one, next| one.number == next.number);
    in_order(
        of_a_case
            .filter_map(|things| group(person, app, things))
            .collect(),
    )
}

/// What is said of loans behind a fold.
fn later_words(later: &[LoanRow]) -> String {
    let first = later.first().map(|loan| loan.due.as_str());
    format!(
        "{} more, due from {} on",
        later.len(),
        first.unwrap_or_default()
    )
}

fn loan_row(loan: &LoanDue, today: time::Date) -> LoanRow {
    LoanRow {
        path_number: loan.number.as_str().to_owned(),
        number: loan.number.to_string(),
        tag: loan.tag.as_str().to_owned(),
        title: loan.title.clone(),
        due: day_in_words(loan.loan.due, today),
        off: days_off(loan.loan.due, today),
        is_late: loan.loan.is_late(today),
        whose: loan.whose(),
    }
}

/// A closed case whose papers are past their day.
fn paper_words((number, until, longer): (CaseNumber, Date, bool)) -> (String, String, String) {
    let words = match longer {
        false => format!("kept until {}", whole_day(until)),
        true => format!("kept longer, past {}", whole_day(until)),
    };
    (number.as_str().to_owned(), number.to_string(), words)
}

fn others_row(person: &Person, thing: &ItemOfOthers, today: time::Date) -> OthersRow {
    OthersRow {
        path: format!("/passed/{}", thing.pass),
        tag: thing.tag.to_string(),
        title: thing.title.clone(),
        house: thing.house.clone(),
        since: day_in_words(person.moment(thing.since.unix_ms).date(), today),
    }
}

fn out_row(thing: &ItemOut) -> OutRow {
    OutRow {
        path_number: thing.number.as_str().to_owned(),
        number: thing.number.to_string(),
        tag: thing.tag.as_str().to_owned(),
        title: thing.title.clone(),
        where_it_is: thing.where_it_is.clone(),
    }
}

fn casts_words((number, until): (CaseNumber, Date)) -> (String, String, String) {
    let words = format!("kept until {}", whole_day(until));
    (number.as_str().to_owned(), number.to_string(), words)
}

/// Of each list that lacks cases, how many, and what of them is missing.
fn unread_words(unread: LeftOutOfHouse) -> Vec<String> {
    let lists = [
        (unread.here, "their items are missing here"),
        (
            unread.of_others,
            "what was passed on to you of them is missing here",
        ),
        (
            unread.casts,
            "whether their matrix and casts may go is not told here",
        ),
        (
            unread.papers,
            "whether their papers are past their day is not told here",
        ),
    ];
    let lacking = lists.into_iter().filter(|(cases, _)| *cases > 0);
    let words =
        lacking.map(|(cases, what)| format!("{cases} of the cases cannot be read, and {what}."));
    words.collect()
}

fn house_page(
    app: &App,
    person: &Person,
    seen: WholeHouse,
    is_first: bool,
) -> Result<InHousePage, WebError> {
    let today = person.moment(app.outside.now_ms()).date();
    let (loans, others) = (seen.loans.all.iter(), seen.of_others.iter());
    let things = &seen.here.things;
    let loans = Parted::of(loans.map(|loan| loan_row(loan, today)), ROWS);
    Ok(InHousePage {
        frame: Frame::new(app, person, "Here now", "/reports"),
        title: match agenda::side(person)? {
            Side::Office => "In the office now",
            Side::Lab => "In the lab now",
        },
        today: day_in_words(today, today),
        later_loans: later_words(&loans.rest),
        loans,
        more_loans: seen.loans.more,
        unread_loans: seen.loans.unread,
        casts: Parted::of(seen.casts.into_iter().map(casts_words), ROWS),
        more_casts: seen.more_casts,
        more_papers: seen.papers.more,
        without_a_time: match seen.papers.without_a_time {
            0 => String::new(),
            count => counted(count.unsigned_abs(), "closed case"),
        },
        papers: Parted::of(seen.papers.over.into_iter().map(paper_words), ROWS),
        of_others: Parted::of(others.map(|one| others_row(person, one, today)), ROWS),
        out: Parted::of(seen.here.out.iter().map(out_row), ROWS),
        groups: groups(person, app, things),
        has_places: things.iter().any(|thing| !thing.place.is_empty()),
        is_first,
        unread: unread_words(seen.unread),
        unlisted: String::new(),
        next: seen.here.next,
    })
}

/// Answers with what is here.
pub async fn in_house(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let today = person.moment(app.outside.now_ms()).date();
    // The number of a row that somebody has damaged is taken as it stands.
    let typed = query.text("after");
    let number = CaseNumber::parse(typed).ok();
    let after = number.as_ref().map_or(typed, CaseNumber::as_str);
    let seen = in_house::whole(&app, &person, after, today).await?;
    let mut shown = house_page(&app, &person, seen, after.is_empty())?;
    let clock = Some(doubted::clock_words(&app, &person).await?);
    (shown.unread).extend(clock.filter(|words| !words.is_empty()).map(str::to_owned));
    page(&InHousePage {
        unlisted: doubted::missing_words(&app, &person).await?,
        ..shown
    })
}

/// Answers with all that is here as a file.
pub async fn in_house_csv(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    Ok(csv("in-house.csv", in_house_file(&app, &person).await?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn group(number: &str, rows: usize, newest: i64, is_late: bool) -> HereGroup {
        let row = || HereRow {
            path: String::new(),
            title: String::new(),
            place: String::new(),
            since: String::new(),
            lasting: String::new(),
            due: String::new(),
        };
        HereGroup {
            path_number: number.to_owned(),
            number: number.to_owned(),
            house: String::new(),
            words: String::new(),
            is_late,
            is_open: false,
            rows: (0..rows).map(|_| row()).collect(),
            newest: Moment::new(newest, 0),
        }
    }

    #[test]
    fn what_is_late_stands_first_and_the_newest_before_the_older_that_are_folded() {
        let all = vec![
            group("old", 1, 10, false),
            group("new", 2, 30, false),
            group("late", 3, 20, true),
            group("older", 4, 5, false),
        ];
        let told: Vec<(String, bool)> = in_order(all)
            .into_iter()
            .map(|group| (group.number, group.is_open))
            .collect();
        let told: Vec<(&str, bool)> = told.iter().map(|(one, open)| (&**one, *open)).collect();
        assert_eq!(
            told,
            [
                ("late", true),
                ("new", true),
                ("old", true),
                ("older", false)
            ]
        );
        // A case of many things alone is not behind a fold.
        let one = in_order(vec![group("many", 40, 1, false), group("few", 1, 0, false)]);
        assert!(one[0].is_open && !one[1].is_open);
    }
}
