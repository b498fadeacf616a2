//! Jumps on the page of the form to one of its fields. What folds is not always in the page: then a jump leads to the
//! line of its part, which a press opens, and names the field for the script, which has it sooner or later.

use super::fields::SectionView;
use super::rows::{GroupView, RowView};
use crate::app::Person;
use crate::domain::fill::COURSE;
use crate::domain::people::access::Permission;
use crate::domain::people::patient;
use crate::domain::prescription::section_of;
use crate::domain::values::ids::PatientCode;
use crate::web::field::{FieldView, id_of};
use askama::Template;
use std::collections::BTreeSet;

impl SectionView {
    /// The fields that stand in the page: under its line, and where it is open what folds.
    pub fn fields_there(&self) -> impl Iterator<Item = &FieldView> {
        let is_open = self.is_open;
        let folds = self.fields.iter().filter(move |_| is_open);
        self.asked.iter().chain(folds)
    }

    /// The lists that stand in the page, in the same way.
    pub fn lists_there(&self) -> impl Iterator<Item = &GroupView> {
        let is_open = self.is_open;
        let folds = self.groups.iter().filter(move |_| is_open);
        self.asked_groups.iter().chain(folds)
    }

    /// Whether a field is of a list for which the page has no room: a press brings it, and nothing else.
    fn leaves_out(&self, key: &str) -> bool {
        let is_of = |list: &str| {
            key.strip_prefix(list)
                .is_some_and(|rest| rest.starts_with('.'))
        };
        self.left_out.iter().any(|(list, _)| is_of(list))
    }
}

/// What a page shows and leaves out of its sections; nothing where the page is not known.
#[derive(Default)]
pub struct OnPage<'a> {
    sections: Vec<&'a SectionView>,
    /// The fields and lists that are shown, by their keys.
    keys: BTreeSet<&'a str>,
}

impl<'a> OnPage<'a> {
    /// What stands under the lines of these sections, and in those that are open.
    pub fn of(sections: impl Iterator<Item = &'a SectionView>) -> OnPage<'a> {
        let mut page = OnPage::default();
        for section in sections {
            let rows = section.lists_there().flat_map(|list| &list.rows);
            let fields = section.fields_there().chain(rows.flat_map(RowView::fields));
            let shown = fields.filter(|one| is_shown(one));
            page.keys.extend(shown.map(|one| one.key.as_str()));
            page.keys.extend(section.lists_there().map(|list| list.key));
            page.sections.push(section);
        }
        page
    }

    fn leaves_out(&self, key: &str) -> bool {
        self.sections.iter().any(|section| section.leaves_out(key))
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
    pub fn to(key: &str, page: &OnPage<'_>) -> Jump {
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
