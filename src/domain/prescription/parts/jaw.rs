//! How the jaws stand to each other and to the skull: vertical dimension, bite record, facebow record,
//! guidance and the occlusal plane.

use crate::domain::form::YesNo;
use crate::domain::form::choices;
use crate::domain::form::{Clock, Day};
use crate::domain::form::{Kind, LongText, Text, Whole, degrees, long, mm, part, text, whole};
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::{Degrees, Mm};

choices! {
    /// How a vertical dimension was measured: a number without its method cannot be repeated.
    VerticalMethod {
        NoseChin = "nose_chin", "nose to chin, skin marks";
        Caliper = "caliper", "caliper on two fixed points";
        Gauge = "gauge", "vertical gauge under the chin";
        Rim = "rim", "on the rims or teeth";
        Pin = "pin", "at the incisal pin";
        Other = "other", "other, see note";
    }
    /// Where a change of vertical dimension is to be measured: a millimetre at the pin is less at the teeth.
    MeasuredAt {
        Face = "face", "on the face";
        Incisors = "incisors", "at the incisors";
        Molars = "molars", "at the second molars";
        Pin = "pin", "at the incisal pin";
    }
    /// What becomes of the vertical dimension.
    VerticalOrder {
        Keep = "keep", "keep as recorded";
        Open = "open", "open";
        Close = "close", "close";
    }
}

part! {
    /// One reading of the vertical dimension.
    VerticalReading at "readings.#", "Readings", "Two or more readings show how far the number can be trusted.";
    rest_mm: Mm = mm(20, 120), "At rest", "";
    occlusal_mm: Mm = mm(20, 120), "In occlusion", "";
    method: VerticalMethod = VerticalMethod::KIND, "Method", "";
    date: Day = Kind::Date, "Read on", "";
    note: Text = text(120), "Note", "";
}

part! {
    /// Vertical dimension.
    Vertical at "vertical", "Vertical dimension", "Rest and occlusal vertical dimension, each with its method.";
    rest_mm: Mm = mm(20, 120), "Rest vertical dimension", "The mean of the readings.";
    occlusal_mm: Mm = mm(20, 120), "Occlusal vertical dimension", "With the pattern or the rims in the mouth.";
    method: VerticalMethod = VerticalMethod::KIND, "Method", "";
    order: VerticalOrder = VerticalOrder::KIND, "Instruction to the lab", "";
    change_mm: Mm = mm(0, 20), "Open or close by", "";
    change_at: MeasuredAt = MeasuredAt::KIND, "Measured at", "A millimeter at the pin is less than a millimeter at the teeth.";
    closest_speaking_mm: Mm = mm(0, 10), "Closest speaking space", "Between the front teeth on the S sound.";
    reset_lower_front: YesNo = YesNo::ASKED, "Re-set the lower front teeth after the change", "Opening moves the lower front teeth back, closing moves them forward.";
    [readings: VerticalReading]
}

choices! {
    /// What the bite was recorded in.
    RecordMaterial {
        Silicone = "silicone", "addition silicone";
        Polyether = "polyether", "polyether";
        BisAcryl = "bis_acryl", "bis-acryl";
        Zoe = "zoe", "zinc oxide and eugenol";
        Wax = "wax", "wax";
        Plaster = "plaster", "plaster";
        Resin = "resin", "acrylic resin";
        Other = "other", "other, see note";
    }
    /// The jaw position that was recorded.
    JawPosition {
        CentricRelation = "centric_relation", "centric relation";
        Intercuspation = "intercuspation", "the habitual bite of the pattern";
        Guided = "guided", "guided by gothic arch tracing";
    }
}

choices! {
    /// Between which teeth the thickness of a bite record was measured.
    ThicknessAt {
        Incisors = "incisors", "between the front teeth";
        Molars = "molars", "between the second molars";
    }
}

impl ThicknessAt {
    /// The place as the hinge knows it.
    pub fn measured_at(self) -> MeasuredAt {
        match self {
            ThicknessAt::Incisors => MeasuredAt::Incisors,
            ThicknessAt::Molars => MeasuredAt::Molars,
        }
    }
}

part! {
    /// The bite record.
    JawRecord at "jaw", "Jaw relation", "The record that brings the lower to the upper.";
    item: Tag = Kind::Tag, "Bite record, tag", "";
    position: JawPosition = JawPosition::KIND, "Position recorded", "";
    material: RecordMaterial = RecordMaterial::KIND, "Material", "Wax changes within the hour.";
    taken_on: Day = Kind::Date, "Taken on", "";
    taken_at: Clock = Kind::Time, "Taken at", "";
    at_final_vertical: YesNo = YesNo::ASKED, "Taken at the final vertical dimension", "If not, the lab must open or close, and an error of the axis comes into the bite.";
    thickness_mm: Mm = mm(0, 30), "Thickness of the record between the teeth", "";
    thickness_at: ThicknessAt = ThicknessAt::KIND, "Thickness measured", "One millimeter at the molars is about two at the incisors.";
    keyed: YesNo = YesNo::ASKED, "Keyed", "";
    grooves: Text = text(200), "Location of the grooves", "Arch, side and tooth or block.";
    seating: Text = text(200), "Seating order", "What is seated first, and that nothing is pressed.";
    note: LongText = long(400), "Note", "";
}

choices! {
    /// The plane that the record is referred to.
    ReferencePlane {
        Frankfort = "frankfort", "Frankfort horizontal";
        Camper = "camper", "ala-tragus (Camper) plane";
        AxisOrbital = "axis_orbital", "axis-orbital plane";
        NaturalHead = "natural_head", "patient’s horizontal, natural head position";
        Occlusal = "occlusal", "occlusal plane";
        None = "none", "none: average-value mounting";
    }
    /// The third point of the plane.
    ThirdPoint {
        Orbitale = "orbitale", "orbitale";
        Nasion = "nasion", "nasion support";
        Ala = "ala", "lower border of the ala";
        IncisorMark = "incisor_mark", "mark above the incisal edge";
        Other = "other", "other, see note";
    }
    /// Which point of the tragus: the plane differs by several degrees between them.
    TragusPoint {
        Upper = "upper", "upper border of the tragus";
        Middle = "middle", "middle of the tragus";
        Lower = "lower", "lower border of the tragus";
        Axis = "axis", "located hinge axis, not the tragus";
    }
}

part! {
    /// The facebow record.
    Facebow at "facebow", "Facebow record", "Where the upper stands to the axis and to the plane.";
    made: YesNo = YesNo::ASKED, "Facebow record made", "";
    item: Tag = Kind::Tag, "Facebow record, tag", "";
    record_id: Text = text(60), "Record ID", "What is written on the jig or fork.";
    plane: ReferencePlane = ReferencePlane::KIND, "Reference plane", "Condylar values are valid for one plane only.";
    third_point: ThirdPoint = ThirdPoint::KIND, "Third point", "";
    tragus_point: TragusPoint = TragusPoint::KIND, "Posterior point", "";
    axis_incisor_mm: Mm = mm(50, 160), "Axis to incisal edge", "";
    midline_captured: YesNo = YesNo::ASKED, "Midline captured", "";
    kept_mounting: YesNo = YesNo::ASKED, "The lab has kept the mounting", "Of finished work that goes back onto its articulator.";
    fork_returns: YesNo = YesNo::ASKED, "Return fork and jig", "They are sterilized for the next patient.";
    note: LongText = long(400), "Note", "";
}

choices! {
    /// Where the guidance values come from.
    GuidanceSource {
        Record = "record", "protrusive record";
        Values = "values", "values given here";
        Average = "average", "average values of the lab’s articulator";
    }
    /// Kind of articulator.
    ArticulatorClass {
        Hinge = "hinge", "hinge";
        Average = "average", "average value";
        SemiAdjustable = "semi_adjustable", "semi-adjustable";
        FullyAdjustable = "fully_adjustable", "fully adjustable";
        Virtual = "virtual", "virtual";
    }
}

part! {
    /// Guidance.
    Guidance at "guidance", "Articulator and guidance", "Condylar values need the plane they refer to.";
    source: GuidanceSource = GuidanceSource::KIND, "Guidance from", "";
    item: Tag = Kind::Tag, "Protrusive record, tag", "";
    advance_mm: Mm = mm(0, 15), "Protrusion in the record", "";
    drop_mm: Mm = mm(0, 15), "Condylar drop", "";
    articulator: ArticulatorClass = ArticulatorClass::KIND, "Articulator", "";
    plane: ReferencePlane = ReferencePlane::KIND, "Plane of these values", "";
    condylar_right: Degrees = degrees(0, 80), "Condylar inclination, patient’s right", "";
    condylar_left: Degrees = degrees(0, 80), "Condylar inclination, patient’s left", "";
    lateral_right: Degrees = degrees(0, 40), "Lateral (Bennett) angle, patient’s right", "";
    lateral_left: Degrees = degrees(0, 40), "Lateral (Bennett) angle, patient’s left", "";
    incisal_table: Degrees = degrees(0, 80), "Incisal table", "";
    pin_mm: Mm = mm(-20, 20), "Incisal pin setting", "Zero where the scale of the pin says zero.";
}

choices! {
    /// What the front of the plane follows.
    FrontPlane {
        Pattern = "pattern", "as on the pattern";
        Interpupillary = "interpupillary", "interpupillary line";
        Horizon = "horizon", "horizontal, head upright";
        SmileCurve = "smile_curve", "curve of the lower lip";
    }
    /// What the back of the plane follows.
    BackPlane {
        Pattern = "pattern", "as on the pattern";
        AlaTragus = "ala_tragus", "ala-tragus line";
        Retromolar = "retromolar", "height on the retromolar pad";
        LowerRim = "lower_rim", "the lower rim as marked";
    }
}

part! {
    /// The occlusal plane.
    Plane at "plane", "Occlusal plane", "What the plane follows, anterior and posterior.";
    front: FrontPlane = FrontPlane::KIND, "Anterior, follows", "";
    back: BackPlane = BackPlane::KIND, "Posterior, follows", "";
    pad_percent: Whole = whole(0, 100, "%"), "Height on the retromolar pad", "From its base, in percent of its height.";
    tilt_mm: Mm = mm(0, 10), "Height difference, right to left", "Measured at the molars.";
    lower_side: crate::domain::values::tooth::PatientSide = crate::domain::values::tooth::PatientSide::KIND, "Lower side", "";
    compensating_mm: Mm = mm(0, 10), "Depth of the compensating curve", "";
    note: Text = text(200), "Note", "";
}
