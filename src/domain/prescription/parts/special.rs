//! What only some orders need: teeth that are extracted when the denture goes in, and files in place of things.

use crate::domain::form::Day;
use crate::domain::form::YesNo;
use crate::domain::form::choices;
use crate::domain::form::{Kind, Text, mm, part, text};
use crate::domain::values::digest::FileHash;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::Mm;
use crate::domain::values::tooth::Tooth;

/// What is said beside the fields of a file, here and where a file is registered.
pub const FILE_NAME_HINT: &str = "As exported, without the name of a person.";
/// Beside the unit of a scan file.
pub const UNITS_HINT: &str = "An STL file names none: say which it was exported in.";
/// Beside the SHA-256 of a scan file.
pub const FILE_HASH_HINT: &str = "Shows that the file was not changed on the way.";

choices! {
    /// When a tooth that stands on the cast is extracted.
    ExtractedWhen {
        AtInsertion = "at_insertion", "when the denture goes in";
        AlreadyOut = "already_out", "already out, still on the cast";
        Later = "later", "later: it stays for now";
    }
    /// Who cuts the teeth off the cast.
    CastCutter {
        Lab = "lab", "the lab";
        Dentist = "dentist", "the dentist, before it is sent";
        Nobody = "nobody", "nobody: the cast stays as it is";
    }
    /// How far the teeth are cut off.
    CutLevel {
        GumMargin = "gum_margin", "to the gum margin";
        BelowMargin = "below_margin", "below the gum margin";
        AsMarked = "as_marked", "as marked on the cast";
    }
}

part! {
    /// A tooth that the denture replaces and that stands on the cast.
    Extraction at "extractions.#", "Teeth to be extracted", "One row for each tooth.";
    tooth: Tooth = Kind::Tooth, "Tooth", "";
    when: ExtractedWhen = ExtractedWhen::KIND, "When", "";
    note: Text = text(120), "Note", "Such as its pocket depth.";
}

part! {
    /// An immediate denture: what is extracted, and what is cut off the cast for it.
    CastTrim at "cast_trim", "Immediate denture", "For teeth that are extracted when the denture goes in. What is cut off a cast cannot be put back: name each tooth, and keep an uncut cast.";
    by: CastCutter = CastCutter::KIND, "Teeth cut off the cast by", "";
    level: CutLevel = CutLevel::KIND, "Level of the cut", "";
    facial_mm: Mm = mm(0, 4), "Depth, labial and buccal", "Teaching differs, so nothing is filled in for you.";
    palatal_mm: Mm = mm(0, 4), "Depth, palatal and lingual", "";
    bone: YesNo = YesNo::ASKED, "Bone will be reduced as well", "";
    photo: YesNo = YesNo::ASKED, "Photograph the cast before it is cut", "";
    stent: YesNo = YesNo::ASKED, "Clear surgical template (stent)", "A copy of the fitting surface: it shows at surgery where the denture would press.";
    [extractions: Extraction]
}

choices! {
    /// What a file shows.
    ScanShows {
        UpperWhole = "upper_whole", "upper denture, all round";
        LowerWhole = "lower_whole", "lower denture, all round";
        UpperFitting = "upper_fitting", "upper fitting surface";
        LowerFitting = "lower_fitting", "lower fitting surface";
        InOcclusion = "in_occlusion", "both in occlusion";
        Opposing = "opposing", "opposing jaw";
        ShadePhoto = "shade_photo", "photograph of the shade";
    }
    /// In which format a file is written.
    FileFormat {
        Stl = "stl", "STL";
        Ply = "ply", "PLY";
        Obj = "obj", "OBJ";
        ThreeMf = "3mf", "3MF";
        Png = "png", "PNG";
        Jpeg = "jpeg", "JPEG";
        Other = "other", "another format";
    }
    /// In which unit its numbers are.
    FileUnits {
        Millimetres = "mm", "millimeters";
        Inches = "inch", "inches";
        NoneStated = "none_stated", "no unit stated";
        Unknown = "unknown", "not known";
    }
    /// How the lab finds the lower to the upper.
    JoinedBy {
        InOcclusion = "in_occlusion", "scanned together in occlusion";
        BiteScan = "bite_scan", "by a scan of the bite";
        NotJoined = "not_joined", "not joined";
    }
    /// Who has what does not travel.
    StaysWith {
        Patient = "patient", "patient";
        Office = "office", "office";
        Lab = "lab", "lab";
    }
}

part! {
    /// One file that is sent.
    ScanFile at "scans.#", "Files", "One row for each file; each shows one thing.";
    tag: Tag = Kind::Tag, "Tag", "";
    shows: ScanShows = ScanShows::KIND, "Shows", "";
    file: Text = text(120), "File name", FILE_NAME_HINT;
    format: FileFormat = FileFormat::KIND, "Format", "";
    units: FileUnits = FileUnits::KIND, "Units", UNITS_HINT;
    sha256: FileHash = Kind::Hash, "SHA-256", FILE_HASH_HINT;
    on: Day = Kind::Date, "Scanned on", "";
    looked_at: YesNo = YesNo::ASKED, "Looked at after export", "Closed all round, right and left not exchanged.";
}

part! {
    /// What does not travel although the lab works from it.
    StaysHere at "kept.#", "What stays here", "What was scanned and is not sent.";
    tag: Tag = Kind::Tag, "Tag", "";
    by: StaysWith = StaysWith::KIND, "Stays with", "";
    until: Day = Kind::Date, "Until", "";
}

part! {
    /// Files sent in place of things.
    ScanSet at "scan_set", "Scans and files", "For a copy made from files. A file needs no disinfection and no box.";
    joined_by: JoinedBy = JoinedBy::KIND, "Lower found to the upper", "";
    width_checked_mm: Mm = mm(20, 90), "A width measured on the thing itself", "Caliper over the first molars; the lab finds it again in the file.";
    [scans: ScanFile]
    [kept: StaysHere]
}
