//! Base and finish: gum colour, base material, polished surface, remount, marking, spare.

use crate::domain::form::YesNo;
use crate::domain::form::choices;
use crate::domain::form::{Kind, LongText, Text, Whole, long, mm, number, part, text, whole};
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::{Decimal, Mm};

choices! {
    /// How much the gum is shaped.
    Stippling {
        None = "none", "smooth";
        Slight = "slight", "slight";
        Marked = "marked", "marked";
        Pattern = "pattern", "as on the pattern";
    }
    /// Depth of the festoons.
    Festooning {
        Flat = "flat", "flat";
        Slight = "slight", "slight";
        Full = "full", "full";
        Pattern = "pattern", "as on the pattern";
    }
}

part! {
    /// Colour and shape of the gum.
    BaseShade at "base_shade", "Base shade and characterization", "";
    guide: Text = text(80), "Guide", "";
    code: Text = text(40), "Base shade", "";
    lightness: Decimal = number(0, 100), "L*", "CIELAB lightness, where measured.";
    a: Decimal = number(-128, 128), "a*", "";
    b: Decimal = number(-128, 128), "b*", "";
    fibres: YesNo = YesNo::ASKED, "Fibers", "";
    characterisation: LongText = long(400), "Characterization", "Stains and zones.";
    stippling: Stippling = Stippling::KIND, "Stippling", "";
    festooning: Festooning = Festooning::KIND, "Festooning", "";
    gum_line_mm: Mm = mm(-5, 5), "Gum line to move by", "Plus shows more tooth.";
    rugae: YesNo = YesNo::ASKED, "Palatal rugae", "";
}

choices! {
    /// Base material.
    BaseMaterial {
        HeatCured = "heat_cured", "heat-cured acrylic resin";
        HighImpact = "high_impact", "high-impact acrylic resin";
        ColdCured = "cold_cured", "cold-cured acrylic resin";
        Milled = "milled", "milled resin";
        Printed = "printed", "printed resin";
        Polyamide = "polyamide", "polyamide";
        MetalBase = "metal_base", "metal base";
        Other = "other", "other, see note";
    }
    /// Process.
    Process {
        Compression = "compression", "compression moulding";
        Injection = "injection", "injection";
        Pour = "pour", "pour";
        Milling = "milling", "milling";
        Printing = "printing", "printing";
        LabChoice = "lab_choice", "as the lab judges";
    }
    /// The alloy of a metal part, by what it holds.
    Alloy {
        CoCr = "co_cr", "cobalt-chromium";
        NiCr = "ni_cr", "nickel-chromium";
        CoCrNi = "co_cr_ni", "cobalt-chromium-nickel wire";
        Steel = "steel", "stainless steel";
        NickelFreeSteel = "steel_nickel_free", "stainless steel, nickel-free";
        Titanium = "titanium", "titanium, commercially pure";
        TitaniumAlloy = "titanium_alloy", "titanium alloy";
        Gold = "gold", "gold alloy";
        Palladium = "palladium", "palladium alloy";
        Other = "other", "other, see note";
        NoneNamed = "none_named", "as the lab judges";
    }
    /// Strengthening.
    Strengthening {
        None = "none", "none";
        MetalMesh = "metal_mesh", "metal mesh";
        GlassFibre = "glass_fibre", "glass fiber";
        Bar = "bar", "bar";
    }
}

part! {
    /// Base material and process.
    BaseAndProcess at "base", "Base material and process", "Exclusions of the patient stand on the patient’s card and are printed with it.";
    material: BaseMaterial = BaseMaterial::KIND, "Base material", "";
    product: Text = text(80), "Product or quality", "";
    process: Process = Process::KIND, "Process", "";
    strengthening: Strengthening = Strengthening::KIND, "Strengthening", "";
    alloy: Alloy = Alloy::KIND, "Alloy of the metal parts", "With any mesh, bar, palate or base of metal.";
    soft_liner: YesNo = YesNo::ASKED, "Soft liner", "";
    soft_liner_note: Text = text(120), "Soft liner, where and how thick", "";
    metal_palate: YesNo = YesNo::ASKED, "Metal palate", "";
    palate_mm: Mm = mm(0, 6), "Thickness of the palate", "";
    without: Text = text(200), "Not to be used in this work", "Materials that the dentist excludes beyond the patient’s card.";
    note: LongText = long(400), "Note", "";
}

choices! {
    /// The polished surface.
    PolishedSurface {
        Pattern = "pattern", "copy the pattern";
        NeutralZone = "neutral_zone", "to the neutral-zone record";
        Standard = "standard", "as the lab judges";
    }
}

part! {
    /// Polished surface, remount, checks and packing.
    Finish at "finish", "Polished surface, remount and checks", "";
    polished: PolishedSurface = PolishedSurface::KIND, "Polished surface", "";
    neutral_zone_item: Tag = Kind::Tag, "Neutral-zone record, tag", "";
    tongue_space: Text = text(200), "Tongue space", "";
    lab_remount: YesNo = YesNo::ASKED, "Remount in the lab after processing", "";
    remount_casts: YesNo = YesNo::ASKED, "Return on remount casts", "";
    keep_index: YesNo = YesNo::ASKED, "Keep mounting and index", "";
    keep_months: Whole = whole(1, 60, "months"), "Keep casts and index for", "";
    check_borders: YesNo = YesNo::ASKED, "Check borders for sharp edges and nodules", "";
    check_occlusion: YesNo = YesNo::ASKED, "Check contacts on the articulator and send the marks", "";
    wet_packing: YesNo = YesNo::ASKED, "Send moist and sealed", "A base that dries out deforms.";
    photos: YesNo = YesNo::ASKED, "Photos before sending", "";
    note: LongText = long(400), "Note", "";
}

choices! {
    /// What the patient said to a mark.
    MarkAnswer {
        Accepted = "accepted", "accepted";
        Declined = "declined", "declined";
        NotPracticable = "not_practicable", "not practicable";
    }
    /// What the mark says. A name is never typed: it goes to the lab on paper.
    MarkCarries {
        Text = "text", "the text written here";
        NameByHand = "name_by_hand", "the patient’s name, by hand from the key sheet";
        InitialsByHand = "initials_by_hand", "the patient’s initials, by hand from the key sheet";
    }
    /// Where the mark lies.
    MarkPlace {
        PosteriorPalate = "posterior_palate", "upper: posterior palate or tuberosity";
        LingualFlange = "lingual_flange", "lower: lingual flange";
        BuccalFlange = "buccal_flange", "buccal flange, posterior";
        BothDentures = "both", "both dentures, posterior";
    }
}

part! {
    /// Denture marking.
    Marking at "marking", "Denture marking", "Some laws ask that a mark be offered. The text is written on the denture only; a name is not asked for here.";
    offered: YesNo = YesNo::ASKED, "Mark offered to the patient", "";
    answer: MarkAnswer = MarkAnswer::KIND, "Answer", "";
    carries: MarkCarries = MarkCarries::KIND, "The mark carries", "";
    text: Text = text(40), "Text of the mark", "The case number, 1st or 2nd set, or the year. Initials only where the patient wishes them.";
    place: MarkPlace = MarkPlace::KIND, "Place", "";
    set_letter: Text = text(4), "Set (1st, 2nd)", "Tells this set from the spare. No letters: A to D are groups of tooth shades.";
    year: Whole = whole(2000, 2200, ""), "Year", "";
}

choices! {
    /// Which arches a spare is wanted for.
    SpareArch {
        None = "none", "no spare";
        Upper = "upper", "upper";
        Lower = "lower", "lower";
        Both = "both", "upper and lower";
    }
    /// Teeth of the spare.
    SpareTeeth {
        Resin = "resin", "tooth-colored resin";
        DentureTeeth = "denture_teeth", "a second set of denture teeth";
    }
    /// Where the spare is kept.
    SpareKeeper {
        Patient = "patient", "patient";
        Office = "office", "dental office";
        CareHome = "care_home", "care home";
    }
}

choices! {
    /// Who makes the spare.
    MakerOfSpare {
        Office = "office", "office";
        Lab = "lab", "lab";
    }
}

part! {
    /// The spare denture.
    SpareWanted at "spare", "Spare denture", "Marked, stored wet, never the pattern of the final.";
    arch: SpareArch = SpareArch::KIND, "Spare wanted", "";
    made_by: MakerOfSpare = MakerOfSpare::KIND, "Made by", "What the lab makes is a piece of the order too.";
    copied_upper: Tag = Kind::Tag, "Upper copied from, tag", "";
    copied_lower: Tag = Kind::Tag, "Lower copied from, tag", "";
    base: BaseMaterial = BaseMaterial::KIND, "Base of the spare", "";
    teeth: SpareTeeth = SpareTeeth::KIND, "Teeth", "";
    tooth_shade: Text = text(40), "Tooth shade", "";
    characterisation: Text = text(200), "Characterization", "";
    date_mark: YesNo = YesNo::ASKED, "Marked with the date", "";
    keeper: SpareKeeper = SpareKeeper::KIND, "Kept by", "";
    stored: Text = text(120), "Storage", "In water, labeled.";
    note: LongText = long(400), "Note", "";
}
