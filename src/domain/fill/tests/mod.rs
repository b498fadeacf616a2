//! What a draft is filled with: from the record, by the switch and by the kind of work, what of a save is stored, and
//! whole prescriptions of which only the asked fields are typed.

mod bed;
mod chairside;
mod courses;
mod jaws;
mod layers;
mod saves;
mod stage;
mod usual;
