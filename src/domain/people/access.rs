//! Who may do what: one table. The web asks it before a handler runs; the use cases rely on it.
//!
//! It speaks of roles only. Whether a case, an item or a patient is one's own is asked of the thing
//! itself (`Case::side_of`), and what is not one's own does not exist.

use crate::domain::people::party::Role;
use strum::VariantArray;

/// What can be asked for. Each route has exactly one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, VariantArray)]
pub enum Permission {
    /// Without signing in: the way in, and nothing that belongs to anybody.
    Anybody,
    /// The first page, what a page does by itself, and the way out: whoever is signed in, by a code too.
    SignedIn,
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
    /// Asking the other house: either side.
    Ask,
    /// Taking free texts out of the entries of one's own house for good.
    EraseTexts,
    /// What the patient wears: fitting, taking out, giving a spare, withholding the old denture.
    TreatPatient,
    /// The bench of a lab: pan, technician, and the steps of the work.
    WorkAtBench,
    /// The devices on which the lab takes codes.
    KeepDevices,
    /// Pictures of a case: either side.
    AddPictures,
    /// The lab's own mould list, and its days.
    KeepMoulds,
    /// Taking the lab's mould list out of use: work that is under way is checked against it.
    WithdrawMoulds,
    /// The office's own shade guides.
    KeepGuides,
    /// The days on which one's own house is closed.
    KeepClosedDays,
    /// The usual values of one's own house: they stand in each draft that nobody has typed over.
    KeepUsual,
}

impl Permission {
    /// Each of them.
    pub const ALL: &[Permission] = Permission::VARIANTS;
}

/// Whether somebody in this role may do this with what is his or her party's own.
pub fn may(role: Role, permission: Permission) -> bool {
    use Role::{Administrator, Assistant, Dentist, LabManager, Technician};
    match permission {
        Permission::Anybody | Permission::SignedIn | Permission::OwnAccount => true,
        Permission::ManageInstallation => role == Administrator,
        Permission::ChooseLaw | Permission::EraseTexts | Permission::KeepUsual => {
            matches!(role, Dentist | LabManager)
        }
        Permission::ReadCases
        | Permission::HandleItems
        | Permission::Ask
        | Permission::AddPictures
        | Permission::KeepClosedDays => {
            matches!(role, Dentist | Assistant | Technician | LabManager)
        }
        Permission::KeepPatients | Permission::PrepareCases => matches!(role, Dentist | Assistant),
        Permission::Sign => role == Dentist,
        Permission::TreatPatient | Permission::KeepGuides => matches!(role, Dentist | Assistant),
        Permission::WithdrawMoulds | Permission::KeepDevices => role == LabManager,
        Permission::AcknowledgeRevision | Permission::WorkAtBench | Permission::KeepMoulds => {
            matches!(role, Technician | LabManager)
        }
    }
}

/// Whether a code is enough for it on a device at the bench: to read, to ask, and for entries of the bench. All else asks for the
/// password.
pub fn by_code(permission: Permission) -> bool {
    matches!(
        permission,
        Permission::Anybody
            | Permission::SignedIn
            | Permission::ReadCases
            | Permission::WorkAtBench
            | Permission::Ask
            | Permission::AddPictures
    )
}

/// Why not, in words for the page that refuses.
pub fn why_not(permission: Permission) -> &'static str {
    match permission {
        Permission::Anybody | Permission::SignedIn | Permission::OwnAccount => {
            "Everybody who is signed in may do this."
        }
        Permission::ManageInstallation => "Only an administrator keeps parties and people.",
        Permission::ChooseLaw => {
            "The dentist, or the lab manager, chooses the profile of local law; an administrator does it with the party."
        }
        Permission::ReadCases
        | Permission::HandleItems
        | Permission::Ask
        | Permission::AddPictures => {
            "Cases belong to the office and the lab; an administrator sees none of them."
        }
        Permission::KeepPatients => "Patients' cards belong to the dental office.",
        Permission::PrepareCases => "Cases and prescriptions are prepared at the dental office.",
        Permission::Sign => "Only the dentist signs.",
        Permission::EraseTexts => {
            "The dentist, or the lab manager, erases texts: whoever answers for what has to be kept."
        }
        Permission::TreatPatient => "What the patient wears is recorded at the dental office.",
        Permission::AcknowledgeRevision => "Only the lab acknowledges a revision.",
        Permission::WorkAtBench => "The bench belongs to the lab.",
        Permission::KeepDevices => "Only the lab manager allows devices at the bench.",
        Permission::KeepMoulds => "Only the lab keeps its mould list and its days.",
        Permission::WithdrawMoulds => "Only the lab manager takes the mould list out of use.",
        Permission::KeepGuides => "Shade guides are kept by the dental office.",
        Permission::KeepUsual => {
            "The dentist, or the lab manager, says what is usual: it stands in prescriptions that are signed."
        }
        Permission::KeepClosedDays => "Each office and lab keeps its own closed days.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_in_full() {
        // d dentist, a assistant, t technician, m lab manager, x administrator.
        let table = [
            (Permission::Anybody, "datmx"),
            (Permission::SignedIn, "datmx"),
            (Permission::OwnAccount, "datmx"),
            (Permission::ManageInstallation, "x"),
            (Permission::ChooseLaw, "dm"),
            (Permission::ReadCases, "datm"),
            (Permission::KeepPatients, "da"),
            (Permission::PrepareCases, "da"),
            (Permission::Sign, "d"),
            (Permission::AcknowledgeRevision, "tm"),
            (Permission::HandleItems, "datm"),
            (Permission::Ask, "datm"),
            (Permission::EraseTexts, "dm"),
            (Permission::TreatPatient, "da"),
            (Permission::WorkAtBench, "tm"),
            (Permission::KeepDevices, "m"),
            (Permission::AddPictures, "datm"),
            (Permission::KeepMoulds, "tm"),
            (Permission::WithdrawMoulds, "m"),
            (Permission::KeepGuides, "da"),
            (Permission::KeepClosedDays, "datm"),
            (Permission::KeepUsual, "dm"),
        ];
        assert_eq!(table.map(|(permission, _)| permission), Permission::ALL);
        for (permission, who) in table {
            for (role, letter) in Role::ALL.iter().zip("datmx".chars()) {
                assert_eq!(
                    may(*role, permission),
                    who.contains(letter),
                    "{role:?} {permission:?}"
                );
            }
            assert!(!why_not(permission).is_empty());
        }
    }
}
