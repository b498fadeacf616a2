//! What travels, when it is wanted, and what else the lab must know.

use super::order::Stage;
use crate::domain::form::YesNo;
use crate::domain::form::choices;
use crate::domain::form::{Clock, Day};
use crate::domain::form::{Kind, LongText, Text, Whole, long, part, text, whole};
use crate::domain::trade::disinfection::AGENT_MOST;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

part! {
    /// One enclosed item with its disinfection.
    Enclosed at "enclosed.#", "Enclosed items", "Every item in the box, each with how it was disinfected.";
    tag: Tag = Kind::Tag, "Tag", "";
    what: Text = text(120), "What it is", "";
    pieces: Whole = whole(1, 99, ""), "Pieces", "";
    condition: Text = text(120), "Condition", "";
    cleaned: YesNo = YesNo::ASKED, "Cleaned", "";
    agent: Text = text(AGENT_MOST), "Disinfectant", "As its label names it.";
    dilution: Text = text(AGENT_MOST), "Dilution", "";
    minutes: Whole = whole(1, 1440, "min"), "Contact time", "";
    rinsed: YesNo = YesNo::ASKED, "Rinsed", "";
    by: Text = text(60), "Done by", "Function or initials of staff.";
    date: Day = Kind::Date, "On", "";
    time: Clock = Kind::Time, "At", "";
    note: Text = text(200), "Note", "";
}

part! {
    /// What is enclosed.
    Enclosures at "enclosures", "Enclosed items and disinfection", "What is not listed here is not in the box.";
    boxes: Whole = whole(1, 20, ""), "Boxes", "";
    moist: YesNo = YesNo::ASKED, "Packed moist and sealed", "";
    dry_since: Day = Kind::Date, "Denture dry since", "Left empty where all were kept wet.";
    hard_box: YesNo = YesNo::ASKED, "Hard box, no pressure on the fitting surfaces", "";
    note: LongText = long(400), "Note", "";
    [enclosed: Enclosed]
}

part! {
    /// One thing the lab is to send back.
    Return at "returns.#", "Items to come back", "";
    tag: Tag = Kind::Tag, "Tag", "";
    what: Text = text(120), "What", "";
    borrowed: YesNo = YesNo::ASKED, "Borrowed", "Shade tabs, guides, mounting parts.";
    due: Day = Kind::Date, "Back by", "";
    note: Text = text(200), "Note", "";
}

part! {
    /// What is to come back with the work.
    ToComeBack at "back", "To come back", "Everything sent comes back, except what is used up for a stated reason.";
    pattern: YesNo = YesNo::ASKED, "Pattern dentures", "";
    casts: YesNo = YesNo::ASKED, "Master casts", "";
    remount_casts: YesNo = YesNo::ASKED, "Remount casts and index", "";
    records: YesNo = YesNo::ASKED, "Bite and facebow records", "";
    unused_teeth: YesNo = YesNo::ASKED, "Unused teeth and cards", "";
    statement: YesNo = YesNo::ASKED, "Statement of materials and place of manufacture", "";
    note: LongText = long(400), "Note", "";
    [returns: Return]
}

part! {
    /// The date of one stage.
    StageDate at "stage_dates.#", "Dates of stages", "Each date is the day in the dentist’s hands.";
    stage: Stage = Stage::KIND, "Stage", "";
    arch: Arch = Arch::KIND, "Arch", "Empty where both travel together.";
    date: Day = Kind::Date, "In the dentist’s hands by", "";
    note: Text = text(120), "Note", "";
}

part! {
    /// Dates.
    Dates at "dates", "Dates", "When the work has to be at the office, not when it is inserted.";
    wanted: Day = Kind::Date, "In the dentist’s hands by", "", required;
    wanted_time: Clock = Kind::Time, "At", "";
    insertion: Day = Kind::Date, "Insertion", "";
    first_check: Day = Kind::Date, "First check", "The day after insertion, on a day the office is open.";
    sent: Day = Kind::Date, "Sent on", "";
    sent_at: Clock = Kind::Time, "Sent at", "Hours count for wax, alginate and a functional surface.";
    rush: YesNo = YesNo::ASKED, "Rush", "";
    rush_note: Text = text(200), "Rush, agreed how", "";
    may_split: YesNo = YesNo::ASKED, "One arch may come before the other", "";
    [stage_dates: StageDate]
}

part! {
    /// What a law may ask for beside the parties and the pieces.
    LocalLaw at "law", "Local law and a second laboratory", "Local law decides what must stand here. The chosen profiles say what they know of it, and may be outdated.";
    second_lab: YesNo = YesNo::ASKED, "Part of the work may go to a second laboratory", "";
    second_lab_authorized: YesNo = YesNo::ASKED, "A separate authorization for it is written", "It names both laboratories and the prescriber.";
    board_form: YesNo = YesNo::ASKED, "The form of the board is filled in as well", "This prescription does not replace it.";
    number_on_models: YesNo = YesNo::ASKED, "The case number is to stand on every model", "";
    patient_on_paper: YesNo = YesNo::ASKED, "Name and address of the patient go with it on paper", "By the key sheet and by hand: never type them here.";
}

choices! {
    /// How the lab reaches the dentist.
    AskBy {
        Question = "question", "a question on this case";
        Telephone = "telephone", "telephone, then confirmed as a question";
    }
}

part! {
    /// What else is to be said.
    Remarks at "remarks", "Remarks", "Nothing here may name or describe the person.";
    call_before: LongText = long(600), "Ask before proceeding if", "What the lab must not decide alone.";
    ask_by: AskBy = AskBy::KIND, "Ask by", "";
    remarks: LongText = long(2000), "Remarks", "";
}
