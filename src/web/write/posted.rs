//! What a posted form of a draft holds.

use crate::app::reviewing::REASON;
use crate::app::write_draft::Base;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::is_ours;
use crate::domain::prescription::sources::is_of_the_draft;
use crate::web::extract::Typed;
use crate::web::keys::BASE;

/// The fields of a posted form, and the draft that its page showed.
pub struct Posted {
    pub base: Base,
    /// The prescription's fields, reasons for cautions, and what is of the draft alone: the switch
    /// that follows the pattern, the sets of usual values.
    pub fields: Fields,
}

impl Posted {
    /// A form that does not say which draft it shows shows none that is there.
    pub fn of(mut form: Typed) -> Posted {
        let base = Base::parse(form.text(BASE)).unwrap_or(Base::NONE);
        form.0
            .retain(|key, _| is_ours(key) || key.starts_with(REASON) || is_of_the_draft(key));
        Posted {
            base,
            fields: form.0,
        }
    }
}
