//! Items on their way: what leaves, who has it, what came back, and what the patient wears meanwhile.

mod answer_value;
mod arriving;
mod course;
mod entries;
mod items;
mod leaving;
mod pick_up;
mod questions;
mod still;
mod withdrawn;
mod worn;
