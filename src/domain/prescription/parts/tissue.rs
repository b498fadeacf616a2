//! What lies on the mucosa: posterior seal, borders and relief, impression surface.

use crate::domain::form::YesNo;
use crate::domain::form::choices;
use crate::domain::form::{Clock, Day};
use crate::domain::form::{Kind, LongText, Text, Whole, long, mm, part, text, whole};
use crate::domain::values::measure::Mm;

choices! {
    /// Who makes the posterior palatal seal.
    SealBy {
        InPattern = "in_pattern", "already in the pattern’s surface: keep";
        Dentist = "dentist", "the dentist has carved it on the cast";
        Lab = "lab", "the lab carves it as given here";
        None = "none", "none";
    }
    /// Outline of the seal.
    SealShape {
        Bead = "bead", "single bead";
        Butterfly = "butterfly", "butterfly";
        CupidBow = "cupid_bow", "two curves meeting in the middle";
        Band = "band", "band";
    }
}

part! {
    /// Posterior palatal seal.
    PosteriorSeal at "seal", "Posterior palatal seal", "Who carves it, where and how deep.";
    by: SealBy = SealBy::KIND, "Seal", "";
    shape: SealShape = SealShape::KIND, "Shape", "";
    position: Text = text(200), "Where it runs", "To the vibrating line, as marked.";
    depth_mid_mm: Mm = mm(0, 4), "Depth in the middle", "";
    depth_right_mm: Mm = mm(0, 4), "Depth on the patient’s right", "";
    depth_left_mm: Mm = mm(0, 4), "Depth on the patient’s left", "";
    width_mm: Mm = mm(0, 15), "Width", "";
}

choices! {
    /// What is to be done with a border.
    BorderOrder {
        Keep = "keep", "keep as on the surface sent";
        Trim = "trim", "trim as described";
        Extend = "extend", "extend as described";
    }
    /// Cover of the retromolar pad.
    PadCover {
        Full = "full", "whole pad";
        TwoThirds = "two_thirds", "two thirds";
        Half = "half", "half";
        Pattern = "pattern", "as on the pattern";
    }
}

part! {
    /// A place to be relieved.
    Relief at "reliefs.#", "Relief", "Places where the base must not press.";
    place: Text = text(120), "Where", "Arch and patient’s side.";
    mm: Mm = mm(0, 5), "Relieve by", "";
    note: Text = text(120), "Note", "";
}

part! {
    /// Borders and relief.
    Borders at "borders", "Borders and relief", "";
    order: BorderOrder = BorderOrder::KIND, "Borders", "";
    thickness_mm: Mm = mm(0, 10), "Border roll to preserve", "";
    posterior_upper: Text = text(200), "Upper posterior border", "";
    pad_cover: PadCover = PadCover::KIND, "Cover of the retromolar pads", "";
    lingual_flange: Text = text(200), "Lower lingual flange", "";
    frena: Text = text(200), "Frena", "";
    tori: Text = text(200), "Tori and bony edges", "";
    papilla: YesNo = YesNo::ASKED, "Relieve the incisive papilla", "";
    mid_palate: YesNo = YesNo::ASKED, "Relieve the middle of the palate", "";
    mental: YesNo = YesNo::ASKED, "Relieve over the mental foramina", "";
    note: LongText = long(400), "Note", "";
    [reliefs: Relief]
}

choices! {
    /// What the tissue surface is.
    SurfaceSource {
        Functional = "functional", "functional surface in the pattern";
        Impression = "impression", "impression in a custom tray";
        Cast = "cast", "cast";
        Scan = "scan", "scan";
    }
    /// Material of the functional surface.
    SurfaceMaterial {
        Conditioner = "conditioner", "tissue conditioner";
        Silicone = "silicone", "silicone";
        Polyether = "polyether", "polyether";
        Zoe = "zoe", "zinc oxide and eugenol";
        Wax = "wax", "impression wax";
        Alginate = "alginate", "alginate";
        HardReline = "hard_reline", "hard reline resin";
        Other = "other", "other, see note";
    }
}

part! {
    /// Impression, cast and tray.
    Impression at "impression", "Fitting surface, cast and tray", "The functional surface is perishable: nothing may press on it.";
    source: SurfaceSource = SurfaceSource::KIND, "Fitting surface", "In a reline or rebase the impression is the one in the denture itself, and the sheet says so.";
    material: SurfaceMaterial = SurfaceMaterial::KIND, "Material", "";
    placed_on: Day = Kind::Date, "Placed in the mouth on", "A functional material records best about a day later.";
    placed_at: Clock = Kind::Time, "Placed in the mouth at", "";
    removed_on: Day = Kind::Date, "Removed from the mouth on", "";
    removed_at: Clock = Kind::Time, "Removed from the mouth at", "";
    keeps_hours: Whole = whole(1, 720, "h"), "May wait, by the maker’s sheet", "How long this very material keeps, packed as its sheet says.";
    pour_by: Text = text(120), "Pour", "When, and in what.";
    bead_and_box: YesNo = YesNo::ASKED, "Bead and box", "";
    land_mm: Mm = mm(0, 10), "Land area", "";
    keep_surface: YesNo = YesNo::ASKED, "Keep the surface untouched", "The lining is not relieved, trimmed or heated.";
    border_roll_mm: Mm = mm(0, 10), "Border roll to keep on the cast", "";
    cast_keep: YesNo = YesNo::ASKED, "Photograph or scan the cast before flasking", "Then a cast broken in deflasking is not lost.";
    tray: Text = text(200), "Tray or record base", "Material, handle, stops.";
    tray_short_mm: Mm = mm(0, 10), "Tray border short of the vestibule by", "";
    tray_spacer_mm: Mm = mm(0, 5), "Spacer", "";
    tray_relief: Text = text(200), "Wax relief on the cast", "";
    undercuts: Text = text(200), "Undercuts to block out", "";
    note: LongText = long(400), "Note", "";
}
