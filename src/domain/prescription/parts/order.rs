//! What is ordered, and the pattern it follows: the pieces, the pattern denture, the change list.

use crate::domain::form::Day;
use crate::domain::form::YesNo;
use crate::domain::form::choices;
use crate::domain::form::{LongText, Text, Whole, degrees, long, mm, part, text, whole};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::{Degrees, Mm};
use crate::domain::values::tooth::Tooth;

choices! {
    /// What kind of work it is: it decides what is asked.
    Course {
        Copy = "copy", "copy of a worn pattern";
        DigitalCopy = "digital_copy", "copy from files";
        Tray = "tray", "custom tray";
        Rims = "rims", "record bases with rims";
        SetUp = "set_up", "set-up for a try-in";
        Reset = "reset", "reset after a try-in";
        Finish = "finish", "finish after an approved try-in";
        Immediate = "immediate", "immediate denture";
        Single = "single", "single denture against teeth";
        Duplicate = "duplicate", "duplicate of a denture";
        Reline = "reline", "reline or rebase";
        Repair = "repair", "repair";
        Remount = "remount", "remount of finished dentures";
        Everything = "everything", "none of these: ask everything";
    }
    /// Why the work is ordered.
    OrderKind {
        New = "new", "new work";
        NextStage = "next_stage", "next stage of work in hand";
        Remake = "remake", "remake";
        Correction = "correction", "correction of delivered work";
    }
    /// How far the lab is to go with a piece.
    Stage {
        Tray = "tray", "custom tray";
        Rims = "rims", "record base with rim";
        Mount = "mount", "mount the casts";
        SetUp = "set_up", "set-up";
        TryIn = "try_in", "wax try-in";
        Reset = "reset", "reset after try-in";
        Process = "process", "process and finish";
        Duplicate = "duplicate", "duplicate";
        Reline = "reline", "reline";
        Rebase = "rebase", "rebase";
        Repair = "repair", "repair";
        Remount = "remount", "remount";
    }
    /// What the opposing arch is while only one is made.
    Opposing {
        Made = "made", "made together with this piece";
        Denture = "denture", "existing complete denture";
        Partial = "partial", "partial denture";
        Natural = "natural", "natural teeth";
        Implants = "implants", "teeth on implants";
    }
}

part! {
    /// One piece of work for one arch.
    Piece at "pieces.#", "Pieces", "One row for each separate piece of work in each arch.";
    arch: Arch = Arch::KIND, "Arch", "", required;
    stage: Stage = Stage::KIND, "Stage wanted", "How far the lab is to go before it comes back.", required;
    description: Text = text(200), "Description", "What the piece is, such as complete denture, 14 teeth.";
    materials: Text = text(200), "Materials", "Every material of the piece: base, teeth, mesh, liner.", required;
    opposing: Opposing = Opposing::KIND, "Opposing arch", "";
    count: Whole = whole(1, 9, ""), "Number of pieces", "";
}

part! {
    /// What is ordered.
    Order at "order", "Order", "What the lab is asked to make, piece by piece.";
    course: Course = Course::KIND, "Kind of work", "It decides what is asked. Left open, it follows from the stages below.";
    kind: OrderKind = OrderKind::KIND, "Kind of order", "";
    earlier_case: Text = text(40), "Earlier case", "The number of the case that this one continues or replaces.";
    remake_reason: LongText = long(500), "Reason for the remake", "What was wrong, in terms of the work, not of the person.";
    try_in_skipped: YesNo = YesNo::ASKED, "Finish without a try-in", "Tooth positions cannot be corrected once processed; the dentist accepts that risk.";
    [pieces: Piece]
}

choices! {
    /// What the final denture copies.
    PatternSource {
        Provisional = "provisional", "the provisional denture enclosed";
        Duplicate = "duplicate", "a duplicate of the provisional";
        TryIn = "try_in", "the try-in";
        OldDenture = "old_denture", "the old denture";
        None = "none", "no pattern: set up from the records";
    }
    /// How closely the pattern is followed.
    PatternRule {
        Exactly = "exactly", "copy exactly";
        WithChanges = "with_changes", "copy with the changes listed, and nothing else";
        Guide = "guide", "use as a guide and individualize";
    }
    /// What a change is made to.
    ChangedPart {
        Tooth = "tooth", "one tooth";
        UpperFront = "upper_front", "upper six front teeth";
        LowerFront = "lower_front", "lower six front teeth";
        UpperIncisors = "upper_incisors", "upper four incisors";
        LowerIncisors = "lower_incisors", "lower four incisors";
        UpperRightBack = "upper_right_back", "upper right posterior teeth";
        UpperLeftBack = "upper_left_back", "upper left posterior teeth";
        LowerRightBack = "lower_right_back", "lower right posterior teeth";
        LowerLeftBack = "lower_left_back", "lower left posterior teeth";
        RightBlock = "right_block", "right bite block";
        LeftBlock = "left_block", "left bite block";
        UpperArch = "upper_arch", "all upper teeth";
        LowerArch = "lower_arch", "all lower teeth";
        Plane = "plane", "whole occlusal plane";
        Midline = "midline", "midline";
        UpperFlange = "upper_flange", "upper flange";
        LowerFlange = "lower_flange", "lower flange";
        Palate = "palate", "palate";
        GumLine = "gum_line", "gum line";
        Other = "other", "other, see note";
    }
    /// Which way, seen from the patient.
    Direction {
        Right = "right", "to the patient’s right";
        Left = "left", "to the patient’s left";
        Forward = "forward", "forward";
        Back = "back", "back";
        Up = "up", "up";
        Down = "down", "down";
        Outward = "outward", "outward, to lip or cheek";
        Inward = "inward", "inward, to tongue or palate";
        LongerEdge = "longer_edge", "longer at the incisal or chewing edge";
        ShorterEdge = "shorter_edge", "shorter at the incisal or chewing edge";
        LongerGum = "longer_gum", "longer at the gum line";
        ShorterGum = "shorter_gum", "shorter at the gum line";
        Wider = "wider", "wider";
        Narrower = "narrower", "narrower";
        Thicker = "thicker", "thicker";
        Thinner = "thinner", "thinner";
        TurnMesialOut = "turn_mesial_out", "turn, mesial edge outward";
        TurnMesialIn = "turn_mesial_in", "turn, mesial edge inward";
        TiltRight = "tilt_right", "tilt, patient’s right side lower";
        TiltLeft = "tilt_left", "tilt, patient’s left side lower";
        Remove = "remove", "remove";
        Add = "add", "add";
    }
}

part! {
    /// One thing that is to differ from the pattern.
    Change at "changes.#", "Change list", "Everything that is to differ from the pattern. Directions are the patient’s.";
    what: ChangedPart = ChangedPart::KIND, "What", "";
    tooth: Tooth = crate::domain::form::Kind::Tooth, "Tooth", "Only where one tooth is changed.";
    direction: Direction = Direction::KIND, "Direction", "From the patient’s side.";
    mm: Mm = mm(0, 30), "Amount", "";
    degrees: Degrees = degrees(0, 90), "Angle", "For a turn or a tilt.";
    date: Day = crate::domain::form::Kind::Date, "Seen on", "The day the change was found in the mouth.";
    note: Text = text(200), "Note", "";
}

part! {
    /// The denture that the final copies.
    Pattern at "pattern", "Pattern and changes", "The denture sent as the pattern is part of the prescription: what it shows need not be described again.";
    source: PatternSource = PatternSource::KIND, "Pattern", "";
    rule: PatternRule = PatternRule::KIND, "How closely to follow it", "";
    upper_item: Tag = crate::domain::form::Kind::Tag, "Upper pattern, tag", "";
    lower_item: Tag = crate::domain::form::Kind::Tag, "Lower pattern, tag", "";
    worn_since: Day = crate::domain::form::Kind::Date, "Worn since", "";
    last_corrected: Day = crate::domain::form::Kind::Date, "Last corrected in the mouth", "";
    keep: LongText = long(600), "Keep as it is", "Details proved in the mouth, such as spacing, speech contacts or tongue space.";
    may_alter: YesNo = YesNo::ASKED, "The lab may alter the pattern", "Grinding, drilling or heating it. Without a yes it comes back as it was sent.";
    [changes: Change]
}

choices! {
    /// What the duplicate was made in. A flask that gapes gives a denture that is too high.
    Flask {
        Closed = "closed", "closed flask, both halves tight";
        Open = "open", "open flask";
        Milled = "milled", "scanned and milled";
        Printed = "printed", "scanned and printed";
    }
    /// What the flask was filled with.
    FlaskFilling {
        Alginate = "alginate", "alginate";
        Silicone = "silicone", "silicone";
        Agar = "agar", "agar";
        Plaster = "plaster", "plaster";
        Other = "other", "other, see note";
    }
}

const LAID_INTO_THE_FLASK: &str = "The pattern that was in the flask.";

part! {
    /// The duplicate that the patient wears while the pattern is away.
    Duplicate at "duplicate", "Duplicate made at the office", "What the patient wears while the provisional is away, and how it was made.";
    upper_item: Tag = crate::domain::form::Kind::Tag, "Upper duplicate, tag", "";
    upper_from: Tag = crate::domain::form::Kind::Tag, "Upper duplicate copied from, tag", LAID_INTO_THE_FLASK;
    lower_item: Tag = crate::domain::form::Kind::Tag, "Lower duplicate, tag", "";
    lower_from: Tag = crate::domain::form::Kind::Tag, "Lower duplicate copied from, tag", LAID_INTO_THE_FLASK;
    flask: Flask = Flask::KIND, "Flask or method", "";
    filling: FlaskFilling = FlaskFilling::KIND, "Flask filled with", "";
    resin: Text = text(80), "Resin", "As its label names it.";
    upper_minutes: Whole = whole(0, 240, "min"), "Pressure pot, upper, actual time", "Common practice is 5 to 7 minutes, no source; the maker’s sheet comes first.";
    lower_minutes: Whole = whole(0, 240, "min"), "Pressure pot, lower, actual time", "";
    sheet_minutes: Whole = whole(1, 240, "min"), "Pressure pot, time by the maker’s sheet", "As the sheet of this very resin says.";
    water: Whole = whole(0, 100, "°C"), "Water in the pot, actual", "";
    sheet_water: Whole = whole(0, 100, "°C"), "Water in the pot, by the maker’s sheet", "";
    sheet: Text = text(200), "What else the maker’s sheet says", "Pressure, soaking, time before trimming.";
    made_by: Text = text(60), "Made by", "Function or initials of staff.";
    made_on: Day = crate::domain::form::Kind::Date, "Made on", "";
    note: LongText = long(400), "Note", "";
}
