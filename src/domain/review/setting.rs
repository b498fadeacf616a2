//! What is known around a prescription when it is reviewed.

use crate::domain::custody::ChangedAtChair;
use crate::domain::custody::Custody;
use crate::domain::custody::FiledScan;
use crate::domain::custody::UnwrittenCall;
use crate::domain::custody::events::Disinfected;
use crate::domain::custody::fit::FitFound;
use crate::domain::custody::follow_up::WorkCause;
use crate::domain::custody::item::Item;
use crate::domain::form::Clock;
use crate::domain::law::profile::CaseLaw;
use crate::domain::people::patient::Patient;
use crate::domain::prescription::Prescription;
use crate::domain::prescription::usual::Otherwise;
use crate::domain::trade::lists::Lists;
use crate::domain::values::arch::Arch;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, Tag};
use std::collections::BTreeMap;
use time::Date;

/// A party or a person as the signed text will name it. What is missing is empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Letterhead {
    /// A house or a person.
    pub name: String,
    /// Several lines.
    pub address: String,
    /// Licence or registration number.
    pub licence: String,
}

/// Whether a dentist signs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CanSign {
    /// The text is signed already.
    Given,
    /// A dentist of the office can sign it when it is ready.
    Possible,
    /// The office has no dentist who could sign.
    Impossible,
}

/// The case around the prescription.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// The day of the review, where the office is.
    pub today: Date,
    /// The time of that day there; none where nobody has said it.
    pub now: Option<Clock>,
    /// The day that the text will say it was issued on.
    pub issued: Option<Date>,
    /// The arches that are treated.
    pub arches: Arches,
    /// The patient code; empty where none is given.
    pub patient_code: String,
    /// The patient's card, where one is filled in.
    pub patient: Option<Patient>,
    pub office: Letterhead,
    /// Whoever signs.
    pub dentist: Letterhead,
    pub lab: Letterhead,
    /// The profiles of office and lab.
    pub law: CaseLaw,
    /// Whether there is, or can be, a signature.
    pub signature: CanSign,
    /// All things of the case.
    pub items: Vec<Item>,
    /// Where each of them is.
    pub custody: Custody,
    /// The scans that are kept as files here.
    pub scans: Vec<FiledScan>,
    /// By which the office has disinfected each thing last.
    pub disinfected: Vec<Disinfected>,
    /// The day on which each thing came to the office last.
    pub came_in: BTreeMap<Tag, Date>,
    /// The day on which each thing was taken out of the mouth last.
    pub out_on: BTreeMap<Tag, Date>,
    /// What the patient wears in the upper jaw.
    pub worn_upper: Option<Tag>,
    /// In the lower jaw.
    pub worn_lower: Option<Tag>,
    /// Jaws from which something was taken out; of another one in which nothing is worn nothing is recorded.
    pub taken_out: Vec<Arch>,
    /// Jaws in which the patient has teeth of their own, by the card, where nothing is worn over them.
    pub natural_teeth: Vec<Arch>,
    /// The revision in force, where this is a later one.
    pub previous: Option<Prescription>,
    /// Whether that is done and back, and the same kind of work is the next round of it.
    pub is_next_round: bool,
    /// What the office found last of each value, held against that revision.
    pub found_on_fit: Vec<FitFound>,
    /// What was done at the chair to what that revision follows, after it was signed.
    pub changed_at_chair: Vec<ChangedAtChair>,
    /// What was said on the telephone otherwise than that revision, about a part of it or the case, and no revision has taken up.
    pub unwritten_calls: Vec<UnwrittenCall>,
    /// The jaws of which a remake is agreed on and not ordered yet; none where none is.
    pub remake: Option<Arches>,
    /// Remakes that came of a check since that revision was signed: of which jaws, and why. The lab may not have answered.
    pub remakes: Vec<(Arches, Option<WorkCause>)>,
    /// Whether the patient's card says something else than that revision.
    pub card_changed: bool,
    /// The lab's moulds and the office's guides, as loaded.
    pub lists: Lists,
    /// Cases of the office's other patients that the draft names as the one before.
    pub named_of_others: Vec<CaseNumber>,
    /// Usual values that nobody typed, and that the last case of the same patient had otherwise.
    pub usual_otherwise: Vec<Otherwise>,
}

impl Setting {
    /// The item that an arch wears.
    pub fn worn(&self, arch: Arch) -> Option<&Tag> {
        match arch {
            Arch::Upper => self.worn_upper.as_ref(),
            Arch::Lower => self.worn_lower.as_ref(),
        }
    }

    /// Whether natural teeth stand in this arch.
    pub fn has_natural_teeth(&self, arch: Arch) -> bool {
        self.natural_teeth.contains(&arch)
    }

    /// Whether the case is about this arch.
    pub fn treats(&self, arch: Arch) -> bool {
        match self.arches {
            Arches::Both => true,
            Arches::Upper => arch == Arch::Upper,
            Arches::Lower => arch == Arch::Lower,
        }
    }
}
