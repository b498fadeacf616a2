//! Why something matters at the bench, where more than one rule says the same.

pub const ANY_TOOTH: &str = "A row without its tooth is read as any tooth.";
pub const COPIED_AGAIN: &str = "Each copying adds its error, mostly to the height.";
pub const DRIES_OUT: &str = "A base that dries out deforms measurably within two weeks.";
pub const FROM_THE_THING: &str = "A copy is made from the thing itself, jaw by jaw.";
pub const MARK_BRINGS_BACK: &str =
    "Some laws ask that a mark be offered; a mark brings a lost denture back.";
pub const MIDLINE_OFF_TWICE: &str = "A midline moved the wrong way is off by twice the amount.";
pub const OPENS_AND_CLOSES: &str = "One opens the bite and the other closes it.";
pub const OTHER_GUIDE: &str = "The same code is another color in another guide.";
pub const OTHER_MATERIAL: &str = "“Other material” has to be said in words.";
pub const RECORD_NOT_IN_BOX: &str = "The lab cannot mount with a record that is not in the box.";
pub const TOOTH_TWICE: &str = "Of two rows for one tooth one was meant for another.";
pub const TWO_SIZES: &str = "The same correction is given in two sizes.";
pub const WATER_OFF: &str =
    "Colder leaves monomer, hotter sets the resin before the pressure holds.";
