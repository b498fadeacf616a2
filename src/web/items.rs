//! Items: registering one, its page, what is recorded about it, and what the patient wears.

mod disinfection;
mod mouth;
mod new;
mod page;
mod set;
mod several;

pub use disinfection::disinfection_fields;
pub use mouth::{change_mouth, mouth};
pub use new::{add, new};
pub use page::{page_of, record, short};
pub use set::{add_set, set};
pub use several::{record_several, several};
