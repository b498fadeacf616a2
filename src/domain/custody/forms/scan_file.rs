//! A scan of something of the case, as a file.

use super::item_choice::ItemChoice;
use super::shared::TEXT_MOST;
use crate::domain::custody::scan_files::ScanOf;
use crate::domain::form::{Kind, command, long};
use crate::domain::mesh::MeshUnit;

command! {
    /// A scan, what it shows, in which unit it was written, and the word of whoever adds it that nobody can be known by it.
    ScanForm;
    scan_shows: ScanOf = ScanOf::KIND, "What it shows", "", needed "Choose what it shows.";
    scan_item: ItemChoice = Kind::Listed, "Item", "What it shows; or the file itself, where it goes with the prescription in place of an impression.";
    scan_unit: MeshUnit = MeshUnit::KIND, "Units", "Scanners write millimeters. A 3MF says it itself.", needed "Choose the unit.";
    scan_caption: String = long(TEXT_MOST), "Caption", "Nothing that names anybody.";
    scan_for_lab: bool = Kind::Tick, "For the lab", "";
    no_face: bool = Kind::Tick, "Mouth, model or work only: no face in it", "";
}
