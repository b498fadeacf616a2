//! What the houses load, by which days and hints are calculated: the lab's mould list and its days, the office's shade guides, the
//! closed days of each. Loaded from a file or a text, looked at, taken home as CSV. The office sees the mould
//! list of the lab that a case names.

mod days;
mod guides;
mod lines;
mod list_page;
mod load_form;
mod moulds;
mod only;

pub use days::{
    change_closed_days, change_lab_days, closed_days, closed_days_csv, lab_days, lab_days_csv,
    load_closed_days, load_lab_days,
};
pub use guides::{add_guide, guide, guide_csv, guides, load_guide};
pub use moulds::{load_moulds, moulds, moulds_csv, moulds_of_case};
