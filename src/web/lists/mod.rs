//! The lab's mould list and the office's shade guides: loaded from a file or a text, looked at, taken home
//! as CSV. The office sees the mould list of the lab that a case names.

mod guides;
mod list_page;
mod load_form;
mod moulds;

pub use guides::{add_guide, guide, guide_csv, guides, load_guide};
pub use moulds::{load_moulds, moulds, moulds_csv, moulds_of_case};
