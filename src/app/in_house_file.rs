//! What lies in a house now as a file for a spreadsheet: what is here, what is at a second laboratory, what is lent and
//! not here, and what another laboratory has passed on to it.

use super::in_house::{self, ItemHere, ItemOfOthers, ItemOut, LoanDue};
use super::{App, AppError, Person, doubted};
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::show_date;
use crate::domain::values::table;
use std::collections::BTreeSet;

/// Its columns.
const HEADING: [&str; 10] = [
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

/// A row.
#[derive(Default)]
struct HouseLine {
    case: String,
    house: String,
    tag: String,
    thing: String,
    place: String,
    since: String,
    is_packed: bool,
    due_back: String,
    kept_until: String,
    whereabouts: String,
}

impl HouseLine {
    fn here(person: &Person, one: ItemHere) -> HouseLine {
        HouseLine {
            case: one.number.to_string(),
            house: one.house,
            tag: one.tag.map(|tag| tag.to_string()).unwrap_or_default(),
            thing: one.title,
            place: one.place,
            since: person.moment(one.since.unix_ms).rfc3339(),
            is_packed: one.packed,
            due_back: one.loan.map(|loan| show_date(loan.due)).unwrap_or_default(),
            kept_until: one.kept_until.map(show_date).unwrap_or_default(),
            whereabouts: "here".to_owned(),
        }
    }

    fn out(one: ItemOut) -> HouseLine {
        HouseLine {
            case: one.number.to_string(),
            house: one.house,
            tag: one.tag.to_string(),
            thing: one.title,
            whereabouts: one.where_it_is,
            ..HouseLine::default()
        }
    }

    fn lent(one: LoanDue) -> HouseLine {
        HouseLine {
            case: one.number.to_string(),
            whereabouts: one.whose(),
            house: one.house,
            tag: one.tag.to_string(),
            thing: one.title,
            due_back: show_date(one.loan.due),
            ..HouseLine::default()
        }
    }

    fn of_others(person: &Person, one: ItemOfOthers) -> HouseLine {
        HouseLine {
            case: one.number.to_string(),
            house: one.house,
            tag: one.tag.to_string(),
            thing: one.title,
            since: person.moment(one.since.unix_ms).rfc3339(),
            whereabouts: "here, passed on to you".to_owned(),
            ..HouseLine::default()
        }
    }

    fn cells(self) -> Vec<String> {
        let packed = if self.is_packed { "yes" } else { "no" };
        let cells = [
            self.case,
            self.house,
            self.tag,
            self.thing,
            self.place,
            self.since,
            packed.to_owned(),
            self.due_back,
            self.kept_until,
            self.whereabouts,
        ];
        cells.to_vec()
    }
}

/// The file.
pub async fn in_house_file(app: &App, person: &Person) -> Result<String, AppError> {
    doubted::hold_own_house(app, person).await?;
    let unlisted = doubted::missing_words(app, person).await?;
    if !unlisted.is_empty() {
        return Err(AppError::Refused(vec![format!(
            "{unlisted} What is here of them would be missing in the file: the page “In the house now” has the others."
        )]));
    }
    let (here, out) = in_house::all_here(app, person).await?;
    let tags = here.iter().filter_map(|one| one.tag.as_ref());
    let is_here: BTreeSet<String> = tags.map(Tag::to_string).collect();
    let loans = in_house::loans(app, person).await?;
    in_house::refuse_unread(loans.unread)?;
    let lent = loans.all.into_iter();
    let lent = lent.filter(|one| !is_here.contains(&one.tag.to_string()));
    let (passed, unread) = in_house::of_others(app, person).await?;
    in_house::refuse_unread(unread)?;
    let here = here.into_iter().map(|one| HouseLine::here(person, one));
    let lines = here
        .chain(out.into_iter().map(HouseLine::out))
        .chain(lent.map(HouseLine::lent))
        .chain(
            passed
                .into_iter()
                .map(|one| HouseLine::of_others(person, one)),
        );
    let rows: Vec<Vec<String>> = lines.map(HouseLine::cells).collect();
    Ok(table::file(&HEADING, &rows))
}
