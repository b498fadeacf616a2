//! What lies in the house now, and what is lent and due back.

use crate::app::in_house::{self, LoanDue, ThingHere, ThingOfOthers, ThingOut};
use crate::app::keep_papers::{self, PapersOver};
use crate::app::{App, Person, agenda};
use crate::domain::custody::LoanNow;
use crate::domain::people::party::Side;
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::{day_in_words, days_off, lasting, show_date, whole_day};
use crate::domain::values::table;
use crate::domain::values::words::counted;
use crate::web::error::WebError;
use crate::web::extract::{Query, Signed};
use crate::web::frame::{Frame, csv, page};
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use std::collections::BTreeSet;
use time::Date;

/// A thing that is here.
pub struct HereRow {
    pub tag: String,
    pub title: String,
    pub place: String,
    pub since: String,
    pub lasting: String,
    pub due: String,
}

/// The things of one case.
pub struct HereGroup {
    pub path_number: String,
    pub number: String,
    pub house: String,
    pub rows: Vec<HereRow>,
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

#[derive(Template)]
#[template(path = "in_house.html")]
pub struct InHousePage {
    pub frame: Frame,
    pub title: &'static str,
    pub today: String,
    pub loans: Vec<LoanRow>,
    /// Whether more is lent than is listed.
    pub more_loans: bool,
    /// Cases whose casts may go: address, number, and until when they were kept.
    pub casts: Vec<(String, String, String)>,
    /// Closed cases whose papers are past their day: address, number, and words.
    pub papers: Vec<(String, String, String)>,
    pub more_papers: bool,
    /// Of how many closed cases no profile names a time.
    pub without_a_time: String,
    /// What lies here of work passed on to this lab.
    pub of_others: Vec<OthersRow>,
    /// What is at a second laboratory: tag, title and case, and where it is.
    pub out: Vec<OutRow>,
    pub groups: Vec<HereGroup>,
    /// Whether anybody has said where something lies.
    pub has_places: bool,
    pub is_first: bool,
    pub next: Option<String>,
}

fn here_row(person: &Person, app: &App, thing: &ThingHere) -> HereRow {
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
    HereRow {
        tag: thing.tag.as_str().to_owned(),
        title: thing.title.clone(),
        place: thing.place.clone(),
        since: day_in_words(person.moment(thing.since.unix_ms).date(), now.date()),
        lasting: lasting(thing.since, now),
        due: due
            .into_iter()
            .chain(packed)
            .chain(kept)
            .collect::<Vec<_>>()
            .join("; "),
    }
}

/// Things of one case stand together.
fn groups(person: &Person, app: &App, things: &[ThingHere]) -> Vec<HereGroup> {
    let of_a_case = things.chunk_by(|one, next| one.number == next.number);
    let group = |things: &[ThingHere]| {
        let first = things.first()?;
        Some(HereGroup {
            path_number: first.number.as_str().to_owned(),
            number: first.number.to_string(),
            house: first.house.clone(),
            rows: things
                .iter()
                .map(|thing| here_row(person, app, thing))
                .collect(),
        })
    };
    of_a_case.filter_map(group).collect()
}

/// Who does what about a loan, as whoever reads it is one of the two houses.
fn whose(loan: &LoanDue) -> String {
    let house = &loan.house;
    let agreed = if loan.loan.agreed { ", agreed" } else { "" };
    match (loan.loan.now, loan.is_ours) {
        (LoanNow::InHand, true) => format!("send back to {house}"),
        (LoanNow::InHand, false) => format!("expected from {house}"),
        (LoanNow::Needed, true) => format!("needed for the work{agreed}; then back to {house}"),
        (LoanNow::Needed, false) => format!("with {house}, who needs it for the work{agreed}"),
        (LoanNow::ComesBack, true) => format!("on the way back to {house}"),
        (LoanNow::ComesBack, false) => format!("on the way from {house}: receive it"),
        (LoanNow::GoesOut, true) => format!("on the way from {house}: receive it"),
        (LoanNow::GoesOut, false) => format!("on the way to {house}"),
        (LoanNow::Missing, true) => format!("did not come: {house} says where it is"),
        (LoanNow::Missing, false) => format!("did not come to {house}: say where it is"),
    }
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
        whose: whose(loan),
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

fn others_row(person: &Person, thing: &ThingOfOthers, today: time::Date) -> OthersRow {
    OthersRow {
        path: format!("/passed/{}", thing.pass),
        tag: thing.tag.to_string(),
        title: thing.title.clone(),
        house: thing.house.clone(),
        since: day_in_words(person.moment(thing.since.unix_ms).date(), today),
    }
}

fn out_row(thing: &ThingOut) -> OutRow {
    OutRow {
        path_number: thing.number.as_str().to_owned(),
        number: thing.number.to_string(),
        tag: thing.tag.as_str().to_owned(),
        title: thing.title.clone(),
        where_it_is: thing.where_it_is.clone(),
    }
}

/// Answers with what is here.
pub async fn in_house(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    let today = person.moment(app.outside.now_ms()).date();
    // What is no number of a case begins at the beginning.
    let after = CaseNumber::parse(query.text("after")).ok();
    let after = after.as_ref().map_or("", CaseNumber::as_str);
    let here = in_house::here(&app, &person, after).await?;
    let (loans, more_loans) = match after {
        "" => in_house::loans(&app, &person).await?,
        _ => (Vec::new(), false),
    };
    let of_others = match after {
        "" => in_house::of_others(&app, &person).await?,
        _ => Vec::new(),
    };
    let casts = match after {
        "" => in_house::casts_that_may_go(&app, &person, today).await?,
        _ => Vec::new(),
    };
    let casts = casts.into_iter().map(|(number, until)| {
        let words = format!("kept until {}", whole_day(until));
        (number.as_str().to_owned(), number.to_string(), words)
    });
    let papers = match after {
        "" => keep_papers::over(&app, &person, today).await?,
        _ => PapersOver::default(),
    };
    page(&InHousePage {
        casts: casts.collect(),
        more_papers: papers.more,
        without_a_time: match papers.without_a_time {
            0 => String::new(),
            count => counted(count.unsigned_abs(), "closed case"),
        },
        papers: papers.over.into_iter().map(paper_words).collect(),
        frame: Frame::new(&app, &person, "In the house", "/reports"),
        title: match agenda::side(&person)? {
            Side::Office => "In the office now",
            Side::Lab => "In the lab now",
        },
        today: day_in_words(today, today),
        of_others: of_others
            .iter()
            .map(|one| others_row(&person, one, today))
            .collect(),
        out: here.out.iter().map(out_row).collect(),
        loans: loans.iter().map(|loan| loan_row(loan, today)).collect(),
        more_loans,
        groups: groups(&person, &app, &here.things),
        has_places: here.things.iter().any(|thing| !thing.place.is_empty()),
        is_first: after.is_empty(),
        next: here.next,
    })
}

/// Answers with all that is here as a file.
pub async fn in_house_csv(
    State(app): State<App>,
    Signed(person): Signed,
) -> Result<Response, WebError> {
    let heading = [
        "case",
        "house",
        "tag",
        "thing",
        "place",
        "since",
        "packed",
        "due_back",
        "kept_until",
        "where",
    ];
    let row = |thing: ThingHere| {
        let since = person.moment(thing.since.unix_ms);
        vec![
            thing.number.to_string(),
            thing.house,
            thing.tag.to_string(),
            thing.title,
            thing.place,
            since.rfc3339(),
            if thing.packed { "yes" } else { "no" }.to_owned(),
            thing
                .loan
                .map(|loan| show_date(loan.due))
                .unwrap_or_default(),
            thing.kept_until.map(show_date).unwrap_or_default(),
            "here".to_owned(),
        ]
    };
    let (things, out) = in_house::all_here(&app, &person).await?;
    let is_listed: BTreeSet<String> = things.iter().map(|one| one.tag.to_string()).collect();
    let (loans, _) = in_house::loans(&app, &person).await?;
    let not_here = |number: &CaseNumber, words: [String; 6]| {
        let [house, tag, title, since, due, where_it_is] = words;
        let number = number.to_string();
        let (place, packed, kept) = (String::new(), "no".to_owned(), String::new());
        vec![
            number,
            house,
            tag,
            title,
            place,
            since,
            packed,
            due,
            kept,
            where_it_is,
        ]
    };
    let elsewhere = out.into_iter().map(|one| {
        let (tag, empty) = (one.tag.to_string(), String::new());
        let words = [
            one.house,
            tag,
            one.title,
            empty.clone(),
            empty,
            one.where_it_is,
        ];
        not_here(&one.number, words)
    });
    let lent = loans
        .into_iter()
        .filter(|one| !is_listed.contains(&one.tag.to_string()));
    let lent = lent.map(|one| {
        let (due, whose) = (show_date(one.loan.due), whose(&one));
        let words = [
            one.house,
            one.tag.to_string(),
            one.title,
            String::new(),
            due,
            whose,
        ];
        not_here(&one.number, words)
    });
    let passed = in_house::of_others(&app, &person).await?.into_iter();
    let passed = passed.map(|one| {
        let since = person.moment(one.since.unix_ms).rfc3339();
        let here = "here, passed on to you".to_owned();
        let words = [
            one.house,
            one.tag.to_string(),
            one.title,
            since,
            String::new(),
            here,
        ];
        not_here(&one.number, words)
    });
    let elsewhere: Vec<_> = elsewhere.chain(lent).chain(passed).collect();
    let rows: Vec<_> = things.into_iter().map(row).chain(elsewhere).collect();
    Ok(csv("in-house.csv", table::file(&heading, &rows)))
}
