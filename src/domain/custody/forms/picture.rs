//! A picture of something of the case.

use super::shared::TEXT_MOST;
use crate::domain::custody::pictures::PictureOf;
use crate::domain::form::{Kind, command, long, whole};

/// The most that is cut off at one edge.
const CUT_MOST: i64 = 90;

command! {
    /// A picture, what it shows, and the word of whoever adds it that nobody can be known by it.
    PictureForm;
    shows: PictureOf = PictureOf::KIND, "What it shows", "", needed "Choose what it shows.";
    shown_item: String = Kind::Listed, "Item", "If it shows one.";
    caption: String = long(TEXT_MOST), "Caption", "Nothing that names anybody.";
    mouth_only: bool = Kind::Tick, "Mouth or work only: no face, and no name in it", "";
    cut_left: Option<u32> = whole(0, CUT_MOST, "%"), "Cut off at the left", "";
    cut_right: Option<u32> = whole(0, CUT_MOST, "%"), "Cut off at the right", "";
    cut_top: Option<u32> = whole(0, CUT_MOST, "%"), "Cut off at the top", "";
    cut_bottom: Option<u32> = whole(0, CUT_MOST, "%"), "Cut off at the bottom", "";
}
