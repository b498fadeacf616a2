//! Which of the case's items something is of, as a list of them offers it.

use crate::domain::form::{FieldSpec, Slot};
use crate::domain::values::ids::Tag;

/// What was chosen from a list of the case's items.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ItemChoice {
    /// None of them.
    Nothing,
    /// One of them, or one of another case: only the case knows.
    Item(Tag),
    /// One that is made by what is sent, where the list offers that.
    New,
    /// What no list offers.
    NotListed,
}

impl ItemChoice {
    /// The word of the list for a new item.
    pub const NEW: &str = "new";

    /// The item, if there is to be one, where the list offers those of the case alone.
    ///
    /// # Errors
    /// A sentence for whoever named what is not in it.
    pub fn among(&self, is_in_case: impl FnOnce(&Tag) -> bool) -> Result<Option<Tag>, String> {
        match self {
            ItemChoice::Nothing => Ok(None),
            ItemChoice::Item(tag) if is_in_case(tag) => Ok(Some(tag.clone())),
            _ => Err("There is no such item in this case.".to_owned()),
        }
    }
}

impl Slot for ItemChoice {
    fn read(typed: &str, _: &FieldSpec) -> Result<ItemChoice, String> {
        Ok(match typed {
            "" => ItemChoice::Nothing,
            ItemChoice::NEW => ItemChoice::New,
            typed => Tag::parse(typed).map_or(ItemChoice::NotListed, ItemChoice::Item),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::PictureForm;
    use super::*;

    #[test]
    fn an_item_of_the_case_is_taken_and_whatever_else_is_named_is_refused() {
        let random = (0..).map(|last| [1, 2, 3, 4, 5, 6, last]);
        let tags: Vec<Tag> = random.filter_map(Tag::from_random).take(2).collect();
        let (own, other) = (&tags[0], &tags[1]);
        let chosen = |typed: &str| ItemChoice::read(typed, PictureForm::shown_item()).unwrap();
        let found = |typed: &str| chosen(typed).among(|tag| tag == own);
        assert_eq!(found(""), Ok(None));
        assert_eq!(found(own.as_str()), Ok(Some(own.clone())));
        // As it stands on the label.
        assert_eq!(found(&own.to_string()), Ok(Some(own.clone())));
        assert_eq!(chosen("new"), ItemChoice::New);
        for typed in [other.as_str(), "new", "T00000000", "the upper cast"] {
            assert!(found(typed).is_err(), "{typed}");
        }
    }
}
