//! A picture of something of the case.

use super::item_choice::ItemChoice;
use super::shared::TEXT_MOST;
use crate::domain::custody::pictures::PictureOf;
use crate::domain::form::{Kind, command, long, whole};
use crate::domain::values::ids::EventId;

/// The most that lies outside of one edge.
const CUT_MOST: i64 = 99;

command! {
    /// A picture, what it shows, and the word of whoever adds it that nobody can be known by it.
    PictureForm;
    shows: PictureOf = PictureOf::KIND, "What it shows", "", needed "Choose what it shows.";
    of_question: Option<EventId> = Kind::Hidden, "", "";
    shown_item: ItemChoice = Kind::Listed, "Item", "If it shows one.";
    caption: String = long(TEXT_MOST), "Caption", "Nothing that names anybody.";
    for_lab: bool = Kind::Tick, "For the lab: print it with the full text", "";
    mouth_only: bool = Kind::Tick, "Mouth or work only: no face, and no name in it", "";
    cut_left: Option<u32> = whole(0, CUT_MOST, "%"), "From the left edge", "A third is 33.";
    cut_right: Option<u32> = whole(0, CUT_MOST, "%"), "From the right edge", "";
    cut_top: Option<u32> = whole(0, CUT_MOST, "%"), "From the top", "";
    cut_bottom: Option<u32> = whole(0, CUT_MOST, "%"), "From the bottom", "";
    cut_covers: bool = Kind::Tick, "Cover what is within, and keep the rest", "";
}
