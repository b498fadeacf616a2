//! Which parts of a prescription a second laboratory needs, by the kind of work that is passed on to it.
//!
//! The table is common practice, no source: what a step is set to or measured against goes along, what another step needs
//! stays. What can hurt somebody is no question of the kind: it always goes.

use crate::domain::custody::SecondLabWork;
use crate::domain::prescription::catalogue;

/// Goes along with every kind of work: the pieces with their materials, the base with what is not to be used in it, and the
/// remarks, in which a warning may stand that no field asks for.
pub const ALWAYS: [&str; 3] = ["order", "base", "remarks"];

/// Stays with every kind of work: the office's dates, where the day that the work is wanted back stands instead; the parcel
/// of the office and what comes back to it; what a law asks of office and first laboratory.
pub const NEVER: [&str; 4] = ["enclosures", "back", "dates", "law"];

/// Fields that stay although their part goes along: they tell of other work, or of somebody.
pub const FIELDS_NEVER: [&str; 6] = [
    "order.earlier_case",
    "order.remake_reason",
    "order.try_in_skipped",
    "duplicate.made_by",
    "marking.offered",
    "marking.answer",
];

/// Heights, records and articulator: what casts are mounted by.
const MOUNTED_BY: [&str; 5] = ["vertical", "jaw", "facebow", "guidance", "plane"];

/// What a kind of work needs beside what always goes along, by the keys of the sections.
pub fn parts_needed(work: SecondLabWork) -> Vec<&'static str> {
    let (mounted, own): (bool, &[&str]) = match work {
        SecondLabWork::Tray => (false, &["impression"]),
        SecondLabWork::Rims => (false, &["rims", "impression", "borders"]),
        SecondLabWork::Mounting => (true, &[]),
        SecondLabWork::SetUp => (
            true,
            &[
                "opposing",
                "cast_trim",
                "pattern",
                "anterior",
                "posterior",
                "occlusion",
                "shade",
            ],
        ),
        SecondLabWork::Framework => (false, &["scan_set", "seal", "borders", "impression"]),
        SecondLabWork::Processing => (
            false,
            &[
                "base_shade",
                "seal",
                "borders",
                "impression",
                "finish",
                "marking",
            ],
        ),
        SecondLabWork::FromFiles => (
            false,
            &[
                "pattern",
                "scan_set",
                "anterior",
                "posterior",
                "occlusion",
                "shade",
                "base_shade",
                "seal",
                "borders",
                "marking",
            ],
        ),
        SecondLabWork::Finishing => (false, &["base_shade", "borders", "finish", "marking"]),
        SecondLabWork::Relining => (
            false,
            &[
                "reline",
                "base_shade",
                "seal",
                "borders",
                "impression",
                "finish",
            ],
        ),
        SecondLabWork::Repairing => (
            false,
            &[
                "repair",
                "anterior",
                "posterior",
                "shade",
                "base_shade",
                "finish",
            ],
        ),
        SecondLabWork::Remounting => (true, &["remount", "opposing", "occlusion", "finish"]),
        SecondLabWork::Copying => (
            false,
            &[
                "pattern",
                "scan_set",
                "duplicate",
                "shade",
                "base_shade",
                "finish",
                "marking",
                "spare",
            ],
        ),
        SecondLabWork::Whole => {
            let all = catalogue().iter().map(|section| section.key);
            return all.filter(|key| can_be_added(key)).collect();
        }
    };
    let mounted = MOUNTED_BY.iter().filter(|_| mounted);
    mounted.chain(own).copied().collect()
}

/// Whether the first laboratory can send a part along that its work does not need by the table.
pub fn can_be_added(section: &str) -> bool {
    !ALWAYS.contains(&section) && !NEVER.contains(&section)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Shade and moulds go where teeth are chosen or set.
    const OF_TEETH: [&str; 3] = ["anterior", "posterior", "shade"];

    #[test]
    fn each_kind_of_work_has_the_parts_that_it_needs_and_no_other() {
        use SecondLabWork::*;
        // the work, what it must have, what it must not have
        for (work, has, has_not) in [
            (
                Tray,
                &["impression"][..],
                &["vertical", "jaw", "shade", "anterior", "finish"][..],
            ),
            (
                Rims,
                &["rims", "impression"],
                &["shade", "anterior", "guidance", "marking"],
            ),
            (
                Mounting,
                &["jaw", "facebow", "guidance", "vertical", "plane"],
                &["shade", "anterior", "finish", "marking"],
            ),
            (
                SetUp,
                &[
                    "anterior",
                    "posterior",
                    "shade",
                    "occlusion",
                    "vertical",
                    "pattern",
                ],
                &["base_shade", "marking", "spare"],
            ),
            (
                Framework,
                &["borders", "impression"],
                &["shade", "anterior", "posterior", "facebow", "marking"],
            ),
            (
                Processing,
                &["base_shade", "seal", "finish", "marking"],
                &["shade", "anterior", "facebow", "approval"],
            ),
            (
                FromFiles,
                &["scan_set", "shade", "anterior", "base_shade"],
                &["facebow", "duplicate", "approval"],
            ),
            (
                Finishing,
                &["finish", "borders"],
                &["shade", "anterior", "jaw", "impression"],
            ),
            (
                Relining,
                &["reline", "impression", "finish"],
                &["shade", "anterior", "facebow"],
            ),
            (
                Repairing,
                &["repair", "shade", "anterior"],
                &["facebow", "vertical", "impression"],
            ),
            (
                Remounting,
                &["remount", "occlusion", "jaw"],
                &["shade", "anterior", "impression"],
            ),
            (
                Copying,
                &["duplicate", "spare", "pattern"],
                &["facebow", "anterior", "approval"],
            ),
            (
                Whole,
                &["approval", "anterior", "spare", "scan_set"],
                &["dates", "law"],
            ),
        ] {
            let parts = parts_needed(work);
            for key in has {
                assert!(parts.contains(key), "{work:?} has no {key}");
            }
            for key in has_not {
                assert!(!parts.contains(key), "{work:?} has {key}");
            }
        }
    }

    #[test]
    fn every_part_of_the_table_is_a_section_and_stands_once() {
        for work in SecondLabWork::ALL {
            let parts = parts_needed(*work);
            for (place, key) in parts.iter().enumerate() {
                assert!(
                    catalogue().iter().any(|section| section.key == *key),
                    "{key}"
                );
                assert!(
                    can_be_added(key),
                    "{work:?}: {key} is no question of the kind"
                );
                assert!(!parts[..place].contains(key), "{work:?} has {key} twice");
            }
        }
        for key in ALWAYS.iter().chain(&NEVER) {
            assert!(
                catalogue().iter().any(|section| section.key == *key),
                "{key}"
            );
        }
        let fields: Vec<&str> = crate::domain::prescription::all_fields()
            .map(|field| field.key)
            .collect();
        assert!(FIELDS_NEVER.iter().all(|key| fields.contains(key)));
    }

    #[test]
    fn only_work_with_teeth_has_shade_and_moulds() {
        use SecondLabWork::*;
        for work in SecondLabWork::ALL {
            let has_teeth = matches!(work, SetUp | FromFiles | Repairing | Whole);
            let parts = parts_needed(*work);
            assert_eq!(
                OF_TEETH.iter().all(|key| parts.contains(key)),
                has_teeth,
                "{work:?}"
            );
            // A copy has its teeth from what it copies, and their shade.
            let has_none = !OF_TEETH.iter().any(|key| parts.contains(key));
            assert_eq!(has_none, !has_teeth && *work != Copying, "{work:?}");
        }
    }
}
