//! Jumps on the page of the form to one of its fields. What folds is not always in the page: then a jump leads to the
//! line of its part, which a press opens, and names the field for the script, which has it sooner or later.

use crate::domain::fill::COURSE;
use crate::domain::prescription::section_of;
use crate::web::field::id_of;
use askama::Template;

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
    /// To the field of this key; `is_whole`: what folds is in the page.
    pub fn to(key: &str, is_whole: bool) -> Jump {
        let id = id_of("", key);
        // The kind of work stands above all parts.
        let part = section_of(key).filter(|_| !is_whole && key != COURSE);
        match part {
            None => Jump {
                to: id,
                field: String::new(),
            },
            Some(part) => Jump {
                to: format!("s-{}", part.key),
                field: id,
            },
        }
    }
}
