//! The values that were found so far: whoever says something first is heard.

use super::jaws::ordered_of;
use crate::domain::form::{row_numbers, split_row_key};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::{Filled, Origin};
use crate::domain::values::arch::{Arch, Arches};
use std::collections::BTreeMap;

/// Form key to the value that stands there unless something is typed, and where it comes from.
pub type Proposals = BTreeMap<String, (String, Origin)>;

/// What is typed, over what was found.
pub struct Layers<'a> {
    typed: &'a Fields,
    found: Proposals,
}

/// Whether something of this list is typed: then all of it is the writer's.
pub fn is_touched(typed: &Fields, list: &str) -> bool {
    let first = format!("{list}.");
    let mut from = typed.range(first.clone()..);
    from.next().is_some_and(|(key, _)| key.starts_with(&first))
}

/// The list that a key is of; none for a field that stands by itself.
pub fn list_of(key: &str) -> Option<&str> {
    split_row_key(key).map(|(list, ..)| list)
}

/// Whether the key is of a list that the writer has begun.
fn is_the_writers(typed: &Fields, key: &str) -> bool {
    list_of(key).is_some_and(|list| is_touched(typed, list))
}

/// The draft's fields over these proposals, before a disinfection is read into its row.
pub fn laid_below(typed: &Fields, found: &Proposals) -> Filled {
    let mut filled = Filled {
        fields: typed.clone(),
        ..Filled::default()
    };
    for (key, (text, origin)) in found {
        if !is_the_writers(typed, key) {
            lay(&mut filled, key, text, *origin);
        }
    }
    filled
}

/// Lays a value below what is typed.
pub fn lay(filled: &mut Filled, key: &str, text: &str, origin: Origin) {
    if !filled.fields.contains_key(key) {
        filled.from.insert(key.to_owned(), origin);
        filled.fields.insert(key.to_owned(), text.to_owned());
    }
}

impl<'a> Layers<'a> {
    pub fn over(typed: &'a Fields) -> Layers<'a> {
        Layers {
            typed,
            found: Proposals::new(),
        }
    }

    pub fn found(self) -> Proposals {
        self.found
    }

    /// Offers a value; one that was offered before stands. What is typed is no obstacle: the value lies below it.
    pub fn offer(&mut self, source: Origin, key: &str, text: &str) {
        if !text.is_empty() && !self.found.contains_key(key) {
            self.found.insert(key.to_owned(), (text.to_owned(), source));
        }
    }

    /// Offers the rows of a list that is still empty. A list is proposed whole, by one source and the details of its
    /// rows.
    pub fn offer_rows(&mut self, source: Origin, list: &str, rows: &[Vec<(&str, String)>]) {
        for (row, fields) in rows.iter().enumerate() {
            for (field, text) in fields {
                self.offer(source, &format!("{list}.{row}.{field}"), text);
            }
        }
    }

    /// What stands in a field now; empty text stands for nothing.
    pub fn says(&self, key: &str) -> Option<&str> {
        let typed = self.typed.get(key).map(String::as_str);
        let found = || {
            let found = self
                .found
                .get(key)
                .filter(|_| !is_the_writers(self.typed, key));
            found.map(|(text, _)| text.as_str())
        };
        typed
            .or_else(found)
            .map(str::trim)
            .filter(|text| !text.is_empty())
    }

    /// Whether a field says this word.
    pub fn is(&self, key: &str, word: &str) -> bool {
        self.says(key) == Some(word)
    }

    /// The fields as they would be read now.
    pub fn fields(&self) -> Fields {
        laid_below(self.typed, &self.found).fields
    }

    /// Whether the work is for this jaw, as far as the writer has listed its pieces.
    pub fn orders(&self, arch: Arch) -> bool {
        ordered_of(self.typed, Arches::Both)
            .treated()
            .contains(&arch)
    }

    /// The rows of a list in which something stands.
    pub fn rows(&self, list: &str) -> Vec<usize> {
        row_numbers(&self.fields(), list).into_iter().collect()
    }
}
