//! Who may do what: one table. The web asks it before a handler runs; the use cases rely on it.
//!
//! It speaks of roles only. Whether a case, an item or a patient is one's own is asked of the thing
//! itself (`Case::side_of`), and what is not one's own does not exist.

use super::party::Role;

/// What can be asked for. Each route has exactly one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Deed {
    /// Without signing in: the way in, and nothing that belongs to anybody.
    Anybody,
    /// One's own password, one's own sessions.
    OwnAccount,
    /// Parties and people.
    ManageInstallation,
    /// The profile of local law that one's own party is under.
    ChooseLaw,
    /// The first page, search, case pages, items, history, slips of signed revisions.
    ReadCases,
    /// Patients' cards and the key sheet.
    KeepPatients,
    /// Opening a case, writing drafts, registering items at the office.
    PrepareCases,
    /// Signing a prescription, or an exception.
    Sign,
    /// Acknowledging a revision for the lab.
    AcknowledgeRevision,
    /// Registering items, disinfecting, using up, destroying, releasing, receiving: either side.
    HandleItems,
    /// Taking free texts out of the entries of one's own house for good.
    EraseTexts,
    /// What the patient wears: fitting, taking out, giving a spare, withholding the old denture.
    TreatPatient,
    /// The lab's own mould list.
    KeepMoulds,
    /// The office's own shade guides.
    KeepGuides,
}

impl Deed {
    pub const ALL: [Deed; 14] = [
        Deed::Anybody,
        Deed::OwnAccount,
        Deed::ManageInstallation,
        Deed::ChooseLaw,
        Deed::ReadCases,
        Deed::KeepPatients,
        Deed::PrepareCases,
        Deed::Sign,
        Deed::AcknowledgeRevision,
        Deed::HandleItems,
        Deed::EraseTexts,
        Deed::TreatPatient,
        Deed::KeepMoulds,
        Deed::KeepGuides,
    ];
}

/// Whether somebody in this role may do this with what is his or her party's own.
pub fn may(role: Role, deed: Deed) -> bool {
    use Role::{Administrator, Assistant, Dentist, LabManager, Technician};
    match deed {
        Deed::Anybody | Deed::OwnAccount => true,
        Deed::ManageInstallation => role == Administrator,
        Deed::ChooseLaw | Deed::EraseTexts => matches!(role, Dentist | LabManager),
        Deed::ReadCases | Deed::HandleItems => {
            matches!(role, Dentist | Assistant | Technician | LabManager)
        }
        Deed::KeepPatients | Deed::PrepareCases => matches!(role, Dentist | Assistant),
        Deed::Sign => role == Dentist,
        Deed::TreatPatient | Deed::KeepGuides => matches!(role, Dentist | Assistant),
        Deed::AcknowledgeRevision | Deed::KeepMoulds => matches!(role, Technician | LabManager),
    }
}

/// Why not, in words for the page that refuses.
pub fn why_not(deed: Deed) -> &'static str {
    match deed {
        Deed::Anybody | Deed::OwnAccount => "Everybody who is signed in may do this.",
        Deed::ManageInstallation => "Only an administrator keeps parties and people.",
        Deed::ChooseLaw => {
            "The dentist, or the lab manager, chooses the profile of local law; an administrator does it with the party."
        }
        Deed::ReadCases | Deed::HandleItems => {
            "Cases belong to the office and the lab; an administrator sees none of them."
        }
        Deed::KeepPatients => "Patients' cards belong to the dental office.",
        Deed::PrepareCases => "Cases and prescriptions are prepared at the dental office.",
        Deed::Sign => "Only the dentist signs.",
        Deed::EraseTexts => {
            "The dentist, or the lab manager, erases texts: whoever answers for what the house has to keep."
        }
        Deed::TreatPatient => "What the patient wears is recorded at the dental office.",
        Deed::AcknowledgeRevision => "Only the lab acknowledges a revision.",
        Deed::KeepMoulds => "Only the lab keeps its mould list.",
        Deed::KeepGuides => "Shade guides are kept by the dental office.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_in_full() {
        // d dentist, a assistant, t technician, m lab manager, x administrator.
        let table = [
            (Deed::Anybody, "datmx"),
            (Deed::OwnAccount, "datmx"),
            (Deed::ManageInstallation, "x"),
            (Deed::ChooseLaw, "dm"),
            (Deed::ReadCases, "datm"),
            (Deed::KeepPatients, "da"),
            (Deed::PrepareCases, "da"),
            (Deed::Sign, "d"),
            (Deed::AcknowledgeRevision, "tm"),
            (Deed::HandleItems, "datm"),
            (Deed::EraseTexts, "dm"),
            (Deed::TreatPatient, "da"),
            (Deed::KeepMoulds, "tm"),
            (Deed::KeepGuides, "da"),
        ];
        assert_eq!(table.map(|(deed, _)| deed), Deed::ALL);
        for (deed, who) in table {
            for (role, letter) in Role::ALL.iter().zip("datmx".chars()) {
                assert_eq!(may(*role, deed), who.contains(letter), "{role:?} {deed:?}");
            }
            assert!(!why_not(deed).is_empty());
        }
    }
}
