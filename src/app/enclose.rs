//! A thing that the review misses in the list of what is enclosed is added to it.
//!
//! It is written as if it had been typed, behind the rows that stand there, through the same merge. Added twice, it
//! stands there once.

use super::write_draft::{self, Base, Written};
use super::{App, AppError, Person};
use crate::domain::custody::item::Item;
use crate::domain::form::{MOST_ROWS, row_numbers};
use crate::domain::prescription::draft::Fields;
use crate::domain::values::ids::{CaseNumber, Tag};

/// The list in the form.
const LIST: &str = "enclosed";

/// The draft with the thing in a row of its own; as it was where the case has no such thing or the list has it.
pub async fn enclose(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    written: Written,
    tag: &Tag,
) -> Result<Written, AppError> {
    let Some(key) = free_row(&written.shown(), &written.items, tag)? else {
        return Ok(written);
    };
    let sent = Fields::from([(key, tag.to_string())]);
    write_draft::save(app, person, number, Base::of(&written.draft), &sent).await
}

/// The key of the row that takes the tag.
fn free_row(shown: &Fields, items: &[Item], tag: &Tag) -> Result<Option<String>, AppError> {
    let rows = row_numbers(shown, LIST);
    let key = |row: usize| format!("{LIST}.{row}.tag");
    let is_it = |row: &usize| {
        let text = shown.get(&key(*row));
        text.is_some_and(|text| Tag::parse(text).as_ref() == Ok(tag))
    };
    if Item::of(items, tag).is_none() || rows.iter().any(is_it) {
        return Ok(None);
    }
    if rows.len() >= MOST_ROWS {
        return Err(AppError::Refused(vec![format!(
            "The list of what is enclosed is full: it takes {MOST_ROWS} rows. Nothing was added."
        )]));
    }
    Ok((0..=MOST_ROWS).find(|row| !rows.contains(row)).map(key))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::item::ItemKind;

    #[test]
    fn a_thing_goes_into_the_first_free_row_and_only_once() {
        let tag = |last: u8| (last..).find_map(|last| Tag::from_random([0, 0, 0, 0, 0, 0, last]));
        let (one, other) = (tag(1).unwrap(), tag(9).unwrap());
        let item = Item {
            tag: one.clone(),
            case: "C54FB5V87".parse().unwrap(),
            kind: ItemKind::BiteRecord,
            arch: None,
            note: String::new(),
            pieces: 1,
            borrowed: false,
        };
        let items = [item];
        let row = |rows: &[(&str, &str)], tag: &Tag| {
            let fields = rows
                .iter()
                .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()));
            free_row(&fields.collect(), &items, tag)
        };
        let key = |row: usize| Some(format!("enclosed.{row}.tag"));
        assert_eq!(row(&[], &one).unwrap(), key(0));
        let listed = [("enclosed.0.tag", "x"), ("enclosed.2.what", "y")];
        assert_eq!(row(&listed, &one).unwrap(), key(1));
        assert_eq!(
            row(&[("enclosed.3.tag", one.as_str())], &one).unwrap(),
            None
        );
        assert_eq!(row(&[], &other).unwrap(), None, "a thing of no case");
        let keys: Vec<String> = (0..MOST_ROWS)
            .map(|row| format!("enclosed.{row}.what"))
            .collect();
        let full: Vec<(&str, &str)> = keys.iter().map(|key| (key.as_str(), "z")).collect();
        assert!(row(&full, &one).is_err());
    }
}
