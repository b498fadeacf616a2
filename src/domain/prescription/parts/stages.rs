//! What the later stages ask: the answer at the try-in, rims, what a denture works against, and dentures that come
//! back to be relined, repaired or ground in.

use crate::domain::form::Day;
use crate::domain::form::YesNo;
use crate::domain::form::choices;
use crate::domain::form::{Kind, LongText, Text, Whole, long, mm, part, text, whole};
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::Mm;
use crate::domain::values::tooth::Tooth;

choices! {
    /// Who looked at the try-in in the mirror.
    ApprovedBy {
        Patient = "patient", "the patient";
        PatientAndCompanion = "patient_and_companion", "patient + companion";
        DentistAlone = "dentist_alone", "dentist alone";
    }
}

part! {
    /// What was said of a try-in. It holds for the try-ins that it names, and for no other.
    Approval at "approval", "Answer at the try-in", "A jaw whose try-in is not named here is not approved.";
    item_upper: Tag = Kind::Tag, "Upper try-in looked at, tag", "";
    item_lower: Tag = Kind::Tag, "Lower try-in looked at, tag", "";
    on: Day = Kind::Date, "Looked at on", "";
    try_in_no: Whole = whole(1, 9, ""), "Which try-in it was", "The first, the second.";
    arrangement: YesNo = YesNo::ASKED, "Teeth are as wanted", "";
    height: YesNo = YesNo::ASKED, "Height, bite and speech are right", "A no needs a new bite record.";
    by: ApprovedBy = ApprovedBy::KIND, "Approved by", "";
    said: LongText = long(400), "What was said", "In terms of the work, not of the person.";
}

impl Approval {
    /// Whether the height of the try-in was refused; an open question is no refusal.
    pub fn refuses_height(&self) -> bool {
        self.height == Some(YesNo::No)
    }
}

choices! {
    /// What the base under a rim is made of.
    RimBase {
        LightCured = "light_cured", "light-cured resin";
        HeatCured = "heat_cured", "heat-cured resin";
        ColdCured = "cold_cured", "cold-cured resin";
        Shellac = "shellac", "shellac";
        Wax = "wax", "wax";
    }
}

part! {
    /// Record bases with rims.
    Rims at "rims", "Rims", "Anterior height is measured from the deepest part of the border to the edge of the rim.";
    upper_front_mm: Mm = mm(10, 40), "Upper rim, anterior height", "22 mm is taught.";
    lower_front_mm: Mm = mm(10, 40), "Lower rim, anterior height", "18 mm is taught.";
    back_width_mm: Mm = mm(4, 20), "Rim width, posterior", "";
    base: RimBase = RimBase::KIND, "Base of the rim", "";
}

choices! {
    /// What the new teeth bite on.
    OpposingSurface {
        Enamel = "enamel", "enamel";
        Ceramic = "ceramic", "ceramic";
        Metal = "metal", "metal";
        Composite = "composite", "composite";
        ResinTeeth = "resin_teeth", "resin teeth";
    }
}

part! {
    /// The jaw that a single denture works against.
    OpposingJaw at "opposing", "Opposing jaw", "For a denture in one jaw: what it bites on.";
    surface: OpposingSurface = OpposingSurface::KIND, "Occlusal surface of the opposing teeth", "";
    may_grind: YesNo = YesNo::ASKED, "Opposing teeth may be ground", "In the mouth, by the dentist alone.";
    grind_where: Text = text(200), "Where", "The lab marks it on the cast.";
}

choices! {
    /// What keeps teeth and base at their distance while the base is renewed.
    HeldBy {
        Jig = "jig", "reline jig";
        Flask = "flask", "flask";
        Articulator = "articulator", "articulator";
    }
    /// What becomes of the border of a relined denture.
    RelineBorder {
        Keep = "keep", "keep the border";
        Trim = "trim", "trim the border";
    }
}

part! {
    /// A denture that gets a new fitting surface.
    Reline at "reline", "Reline or rebase", "The denture is sent with the impression in it.";
    item: Tag = Kind::Tag, "Denture to be relined, tag", "";
    other_item: Tag = Kind::Tag, "Denture of the other jaw to be relined, tag", "Only where both are.";
    held_by: HeldBy = HeldBy::KIND, "Height held by", "What keeps teeth and base apart while the new layer is packed.";
    border: RelineBorder = RelineBorder::KIND, "Border", "";
}

choices! {
    /// Why it broke.
    BreakCause {
        Dropped = "dropped", "dropped";
        WhileEating = "while_eating", "while eating";
        Thin = "thin", "too thin";
        PoorFit = "poor_fit", "poor fit";
        Unknown = "unknown", "not known";
    }
    /// What is broken at one place.
    Broken {
        BaseBroken = "base_broken", "base broken";
        BaseCracked = "base_cracked", "base cracked";
        ToothOut = "tooth_out", "tooth came out";
        ToothBroken = "tooth_broken", "tooth broken";
        FlangeBroken = "flange_broken", "flange broken";
        ToothAdded = "tooth_added", "tooth to be added";
    }
}

part! {
    /// One place of a broken denture.
    RepairPlace at "repairs.#", "What is to be repaired", "One row for each place.";
    what: Broken = Broken::KIND, "What", "";
    place: Text = text(120), "Where", "";
    tooth: Tooth = Kind::Tooth, "Tooth", "Only where it is a tooth.";
    tooth_enclosed: YesNo = YesNo::ASKED, "The tooth is enclosed", "";
}

part! {
    /// A broken denture.
    Repair at "repair", "Repair", "Send every piece, and an impression over them where they do not go together.";
    item: Tag = Kind::Tag, "Denture to be repaired, tag", "";
    other_item: Tag = Kind::Tag, "Denture of the other jaw to be repaired, tag", "Only where both are.";
    fit_together: YesNo = YesNo::ASKED, "The pieces go together without a gap", "";
    cause: BreakCause = BreakCause::KIND, "Cause of the break", "";
    broke_before: YesNo = YesNo::ASKED, "Has broken there before", "A second break has a cause of its own.";
    [repairs: RepairPlace]
}

choices! {
    /// Where the remount casts are.
    CastsAt {
        Lab = "lab", "at the lab";
        Enclosed = "enclosed", "enclosed";
        Gone = "gone", "no longer there";
    }
    /// Who grinds in.
    GroundBy {
        Lab = "lab", "the lab";
        Dentist = "dentist", "the dentist";
    }
    /// Which cusps hold the height and are not ground in centric.
    SparedCusps {
        UpperPalatal = "upper_palatal", "upper palatal cusps";
        LowerBuccal = "lower_buccal", "lower buccal cusps";
        BothByTurns = "both_by_turns", "both cusps by turns";
    }
}

part! {
    /// Finished dentures that meet wrongly.
    Remount at "remount", "Remount", "Finished dentures on their remount casts, to a new record.";
    upper_item: Tag = Kind::Tag, "Upper denture, tag", "";
    lower_item: Tag = Kind::Tag, "Lower denture, tag", "";
    casts_at: CastsAt = CastsAt::KIND, "Remount casts", "Without them a new facebow record is needed.";
    grind_by: GroundBy = GroundBy::KIND, "Selective grinding by", "";
    spare_cusps: SparedCusps = SparedCusps::KIND, "Cusps that hold the height", "Not ground in centric.";
    pin_drop_max_mm: Mm = mm(0, 2), "Pin may drop by", "";
}
