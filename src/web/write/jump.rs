//! Jumps on the page of the form to one of its fields. What folds is not always in the page: then a jump leads to the
//! line of its part, which a press opens, and names the field for the script, which has it sooner or later.

use super::fields::SectionView;
use super::rows::RowView;
use crate::app::Person;
use crate::domain::fill::COURSE;
use crate::domain::people::access::Permission;
use crate::domain::people::patient;
use crate::domain::prescription::section_of;
use crate::domain::values::ids::PatientCode;
use crate::web::field::{FieldView, id_of};
use askama::Template;
use std::collections::BTreeSet;

/// The fields and lists that a page shows, by their keys; none where the page is not known.
#[derive(Debug, Default)]
pub struct OnPage {
    keys: BTreeSet<String>,
    /// The lists for which it has no room: nothing of them comes behind it.
    left_out: Vec<&'static str>,
}

impl OnPage {
    /// What stands under the lines of these sections, and in those that are open.
    pub fn of<'a>(sections: impl Iterator<Item = &'a SectionView>) -> OnPage {
        let (mut keys, mut left_out) = (BTreeSet::new(), Vec::new());
        for section in sections {
            left_out.extend(section.left_out.iter().map(|(key, _)| *key));
            let (fields, groups) = match section.is_open {
                true => (section.fields.as_slice(), section.groups.as_slice()),
                false => (&[][..], &[][..]),
            };
            let fields = section.asked.iter().chain(fields);
            keys.extend(
                fields
                    .filter(|one| is_shown(one))
                    .map(|one| one.key.clone()),
            );
            for group in section.asked_groups.iter().chain(groups) {
                keys.insert(group.key.to_owned());
                let fields = group.rows.iter().flat_map(RowView::fields);
                keys.extend(
                    fields
                        .filter(|one| is_shown(one))
                        .map(|one| one.key.clone()),
                );
            }
        }
        OnPage { keys, left_out }
    }

    /// Whether a field is of a list that a press brings, and nothing else.
    fn leaves_out(&self, key: &str) -> bool {
        let rest = |list: &&str| {
            key.strip_prefix(*list)
                .is_some_and(|rest| rest.starts_with('.'))
        };
        self.left_out.iter().any(rest)
    }
}

/// Whether the style sheet shows it: it does not wait for another answer, nor for what begins its row.
fn is_shown(field: &FieldView) -> bool {
    let has = |class: &str| field.classes.contains(class);
    !has("later-") && (!field.is_of_blank_row || has("starts"))
}

/// The address of a link that leads to a field.
#[derive(Template)]
#[template(path = "partials/jump.html")]
pub struct Jump {
    /// The id of what it leads to on any page.
    pub to: String,
    /// The id of the field, where that is another.
    pub field: String,
}

impl Jump {
    /// To the field of this key.
    pub fn to(key: &str, page: &OnPage) -> Jump {
        let id = id_of("", key);
        // The kind of work stands above all parts.
        let is_there = key == COURSE || page.keys.contains(key);
        let part = section_of(key).filter(|_| !is_there);
        match part {
            None => Jump {
                to: id,
                field: String::new(),
            },
            Some(part) => Jump {
                to: format!("s-{}", part.key),
                field: match page.leaves_out(key) {
                    true => String::new(),
                    false => id,
                },
            },
        }
    }
}

/// Where a field of a patient's card is changed; none where the key is of no card, or this person changes none.
pub fn card_field(person: &Person, code: &PatientCode, key: &str) -> Option<String> {
    let is_of_card = patient::fields().iter().any(|spec| spec.key == key);
    let may = is_of_card && person.may(Permission::KeepPatients);
    may.then(|| format!("/patients/{}#{}", code.as_str(), id_of("", key)))
}
