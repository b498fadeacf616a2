//! What a posted form of a draft holds.

use crate::app::Person;
use crate::app::reviewing::REASON;
use crate::app::write_draft::Base;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::is_ours;
use crate::domain::prescription::sources::is_of_the_draft;
use crate::web::error::WebError;
use crate::web::extract::Typed;
use crate::web::form_page::is_of_another;
use crate::web::guard::in_words;
use crate::web::keys::BASE;

/// The fields of a posted form, and the draft that its page showed.
pub struct Posted {
    pub base: Base,
    /// The prescription's fields, reasons for cautions, and what is of the draft alone: the switch
    /// that follows the pattern, the sets of usual values.
    pub fields: Fields,
}

impl Posted {
    /// A form that does not say which draft it shows shows none that is there. What somebody else has typed is taken
    /// from nobody.
    pub fn of(person: &Person, form: Typed) -> Result<Posted, WebError> {
        let mut form = sent_by_its_reader(person, form)?;
        let base = Base::parse(form.text(BASE)).unwrap_or(Base::NONE);
        form.0
            .retain(|key, _| is_ours(key) || key.starts_with(REASON) || is_of_the_draft(key));
        Ok(Posted {
            base,
            fields: form.0,
        })
    }
}

/// The form, where whoever opened its page is signed in still: in a browser of several people one signs out and another
/// in while the page stands in a tab.
pub fn sent_by_its_reader(person: &Person, form: Typed) -> Result<Typed, WebError> {
    match is_of_another(person, &form) {
        false => Ok(form),
        true => Err(WebError::AnotherPerson {
            sent: in_words(form.0),
        }),
    }
}
