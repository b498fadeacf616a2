//! Teeth: front, back, how they meet, and their shade.

use crate::domain::form::YesNo;
use crate::domain::form::choices;
use crate::domain::form::{Clock, Day};
use crate::domain::form::{
    Kind, LongText, Text, Whole, degrees, long, mm, number, part, text, whole,
};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::{Decimal, Degrees, Mm};
use crate::domain::values::tooth::PatientSide;

choices! {
    /// Where teeth come from.
    ToothChoice {
        Pattern = "pattern", "as on the pattern";
        Mould = "mould", "the mould named here";
        LabProposes = "lab_proposes", "the lab proposes, the dentist approves before setting";
    }
    /// How the width of the front teeth was measured: along the curve it is several millimetres more.
    WidthMethod {
        Caliper = "caliper", "caliper, straight from canine to canine";
        Curve = "curve", "flexible ruler, along the curve";
    }
    /// Outline of the front teeth.
    ToothForm {
        Square = "square", "square";
        Tapering = "tapering", "tapering";
        Ovoid = "ovoid", "ovoid";
        SquareTapering = "square_tapering", "square tapering";
        SquareOvoid = "square_ovoid", "square ovoid";
    }
    /// What teeth are made of.
    ToothMaterial {
        Resin = "resin", "acrylic resin";
        CrossLinked = "cross_linked", "highly cross-linked resin";
        Composite = "composite", "composite";
        Porcelain = "porcelain", "porcelain";
        Milled = "milled", "milled resin";
        Printed = "printed", "printed resin";
    }
    /// How the front teeth stand.
    Arrangement {
        CopyExactly = "copy_exactly", "copy the pattern exactly";
        CopyWithChanges = "copy_with_changes", "copy the pattern with the listed changes";
        Individual = "individual", "individualize as described";
        Standard = "standard", "standard arrangement";
    }
    /// Where the upper incisal edges run when smiling.
    SmileLine {
        FollowsLip = "follows_lip", "follows the lower lip";
        Straight = "straight", "straight";
        Reverse = "reverse", "reverse";
        Pattern = "pattern", "as on the pattern";
    }
    /// Whether the lip is held where it should be.
    LipSupport {
        Keep = "keep", "keep as on the pattern";
        More = "more", "more";
        Less = "less", "less";
    }
}

part! {
    /// Front teeth.
    Anterior at "anterior", "Anterior teeth", "Right and left are the patient’s.";
    choice: ToothChoice = ToothChoice::KIND, "Teeth", "";
    upper_mould: Text = text(60), "Upper mould", "";
    lower_mould: Text = text(60), "Lower mould", "";
    width_mm: Mm = mm(25, 75), "Width of the upper six", "";
    width_method: WidthMethod = WidthMethod::KIND, "Width measured with", "A width without its method cannot be used.";
    central_width_mm: Mm = mm(4, 15), "Width of the upper central incisor", "";
    central_length_mm: Mm = mm(5, 20), "Length of the upper central incisor", "Of the finished tooth, from the gum line to the edge.";
    form: ToothForm = ToothForm::KIND, "Form", "";
    material: ToothMaterial = ToothMaterial::KIND, "Material", "";
    arrangement: Arrangement = Arrangement::KIND, "Arrangement", "";
    diastema_mm: Mm = mm(0, 8), "Gap between the upper central incisors", "";
    character: LongText = long(600), "Individual character", "Rotations, overlaps, wear, gum exposure: tooth by tooth, with the system of the numbers.";
    midline: YesNo = YesNo::ASKED, "Midline as marked on the pattern or rim", "";
    midline_offset_mm: Mm = mm(0, 15), "Move the midline by", "Zero keeps it.";
    midline_side: PatientSide = PatientSide::KIND, "Move the midline to", "";
    incisal_show_mm: Mm = mm(-10, 15), "Upper incisal show at rest", "How far the edge is below the lip; negative where it is above.";
    incisal_change_mm: Mm = mm(-10, 10), "Change the incisal length by", "Plus is longer, minus is shorter, at the edge.";
    smile_line: SmileLine = SmileLine::KIND, "Smile line", "";
    high_lip_mm: Mm = mm(0, 30), "High lip line above the incisal edge", "How much tooth and gum a full smile shows.";
    canine_right_mm: Mm = mm(5, 40), "Canine line, patient’s right, from the midline", "";
    canine_left_mm: Mm = mm(5, 40), "Canine line, patient’s left, from the midline", "";
    lip_support: LipSupport = LipSupport::KIND, "Lip support", "";
    lip_support_mm: Mm = mm(0, 10), "Change the lip support by", "";
    papilla_mm: Mm = mm(0, 20), "Upper incisal edge in front of the incisive papilla", "";
}

choices! {
    /// What becomes of the shape of the posterior bite blocks of the pattern.
    BlockShape {
        Keep = "keep", "keep the shape worn in";
        Replace = "replace", "replace by teeth at the same height and place";
        Change = "change", "change as listed";
    }
    /// How steep the cusps are: the angles in which posterior teeth are commonly made.
    CuspAngle {
        Zero = "0", "0°";
        Ten = "10", "10°";
        Twenty = "20", "20°";
        Thirty = "30", "30°";
        ThirtyThree = "33", "33°";
        Pattern = "pattern", "as on the pattern";
    }
}

part! {
    /// Posterior teeth.
    Posterior at "posterior", "Posterior teeth", "";
    choice: ToothChoice = ToothChoice::KIND, "Teeth", "";
    upper_mould: Text = text(60), "Upper mould", "";
    lower_mould: Text = text(60), "Lower mould", "";
    length_mm: Mm = mm(15, 50), "Space from canine to retromolar pad", "Along the ridge, where it is level.";
    cusp_angle: CuspAngle = CuspAngle::KIND, "Cusp angle", "Upper and lower alike; where they differ, the two below.";
    cusp_upper: CuspAngle = CuspAngle::KIND, "Cusp angle, upper", "";
    cusp_lower: CuspAngle = CuspAngle::KIND, "Cusp angle, lower", "";
    material: ToothMaterial = ToothMaterial::KIND, "Material", "";
    narrow: YesNo = YesNo::ASKED, "Narrow buccolingually", "";
    block_shape: BlockShape = BlockShape::KIND, "Bite blocks of the pattern", "";
    teeth_upper: Whole = whole(10, 16, ""), "Teeth in the upper denture", "";
    teeth_lower: Whole = whole(10, 16, ""), "Teeth in the lower denture", "";
    left_out: Text = text(200), "Teeth to omit", "With the system of the numbers, or in words.";
    note: LongText = long(400), "Note", "";
}

impl Posterior {
    /// The cusps of one arch: its own angle, or the one that both share.
    pub fn cusps(&self, arch: Arch) -> Option<CuspAngle> {
        let own = match arch {
            Arch::Upper => self.cusp_upper,
            Arch::Lower => self.cusp_lower,
        };
        own.or(self.cusp_angle)
    }
}

choices! {
    /// How the teeth meet in movement.
    Scheme {
        Balanced = "balanced", "bilateral balanced";
        Lingualized = "lingualized", "lingualized";
        Monoplane = "monoplane", "monoplane";
        CanineGuided = "canine_guided", "canine-guided";
        Pattern = "pattern", "as worn in on the pattern";
    }
}

part! {
    /// Occlusion.
    Occlusion at "occlusion", "Occlusion", "";
    scheme: Scheme = Scheme::KIND, "Scheme", "";
    overjet_mm: Mm = mm(-10, 15), "Overjet (horizontal overlap)", "";
    overbite_mm: Mm = mm(-10, 15), "Overbite (vertical overlap)", "";
    front_clearance_mm: Mm = mm(0, 10), "Anterior clearance in centric", "";
    cross_bite: Text = text(200), "Cross-bite", "Where, patient’s side.";
    posterior_overlap_mm: Mm = mm(0, 10), "Horizontal overlap of the posterior teeth", "";
    angle: Degrees = degrees(0, 60), "Angle of anterior guidance", "";
    note: LongText = long(400), "Note", "";
}

choices! {
    /// Where the tooth shade comes from.
    ShadeSource {
        Tab = "tab", "the tab named here";
        Pattern = "pattern", "as on the pattern";
        Measured = "measured", "measured color";
    }
    /// Light under which the shade was taken.
    Light {
        Daylight = "daylight", "daylight at a window";
        DaylightLamp = "daylight_lamp", "daylight lamp";
        Led = "led", "LED";
        Fluorescent = "fluorescent", "fluorescent tube";
        Incandescent = "incandescent", "incandescent lamp";
        Instrument = "instrument", "the instrument’s own light";
    }
    /// Who chose.
    ChosenBy {
        Dentist = "dentist", "dentist";
        DentistAndPatient = "dentist_and_patient", "dentist with the patient";
        Technician = "technician", "technician at the chair";
        Assistant = "assistant", "assistant";
    }
}

part! {
    /// Tooth shade.
    Shade at "shade", "Tooth shade", "A shade code needs the guide it belongs to.";
    source: ShadeSource = ShadeSource::KIND, "Shade", "";
    guide: Text = text(80), "Guide", "";
    tab: Text = text(40), "Tab", "";
    posterior_tab: Text = text(40), "Tab of the posterior teeth, if different", "";
    tab_enclosed: YesNo = YesNo::ASKED, "The tab itself is enclosed", "";
    tab_item: Tag = Kind::Tag, "Tab, tag", "";
    lightness: Decimal = number(0, 100), "L*", "CIELAB lightness, where measured.";
    a: Decimal = number(-128, 128), "a*", "";
    b: Decimal = number(-128, 128), "b*", "";
    light: Light = Light::KIND, "Light", "";
    date: Day = Kind::Date, "Taken on", "";
    time: Clock = Kind::Time, "Taken at", "";
    chosen_by: ChosenBy = ChosenBy::KIND, "Chosen by", "";
    approved: YesNo = YesNo::ASKED, "Approved by the patient", "";
    photo: YesNo = YesNo::ASKED, "Photo of tab and teeth enclosed", "The mouth alone: a face names the person.";
    note: LongText = long(400), "Note", "";
}
