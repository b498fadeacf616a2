//! What is registered at once: the things that a kind of work mostly brings with it.

use super::things::goes_along;
use crate::domain::custody::agenda::OrderedWork;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::made_as;
use crate::domain::prescription::Course;
use crate::domain::values::arch::{Arch, Arches};

/// A thing that a kind of work may have, by kind and arch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SetRow {
    pub kind: ItemKind,
    pub arch: Option<Arch>,
    /// Whether it mostly is there, and not only sometimes.
    pub is_usual: bool,
}

impl SetRow {
    /// Its key in a form: `provisional-upper`, `bite_record`.
    pub fn key(&self) -> String {
        match self.arch {
            Some(arch) => format!("{}-{}", self.kind.word(), arch.word()),
            None => self.kind.word().to_owned(),
        }
    }

    /// Reads such a key.
    pub fn of_key(key: &str) -> Option<(ItemKind, Option<Arch>)> {
        match key.split_once('-') {
            Some((kind, arch)) => Some((ItemKind::from_word(kind)?, Some(Arch::from_word(arch)?))),
            None => Some((ItemKind::from_word(key)?, None)),
        }
    }
}

/// What mostly is there when a prescription of this kind is written. Common practice, no source. What the patient
/// wears meanwhile belongs to it, though it stays.
fn is_usual(course: Course, kind: ItemKind) -> bool {
    use Course as C;
    use ItemKind as K;
    let usual: &[ItemKind] = match course {
        C::Copy | C::Everything => &[
            K::Provisional,
            K::Duplicate,
            K::BiteRecord,
            K::FacebowRecord,
        ],
        C::DigitalCopy => &[K::Provisional, K::FacebowRecord],
        C::Tray | C::Rims => &[K::Impression],
        C::SetUp => &[K::Rims, K::BiteRecord, K::FacebowRecord],
        C::Reset | C::Finish => &[K::TryIn],
        C::Immediate => &[K::Impression, K::BiteRecord, K::FacebowRecord],
        C::Single => &[
            K::Provisional,
            K::Impression,
            K::BiteRecord,
            K::FacebowRecord,
        ],
        C::Duplicate | C::Repair => &[K::FinalDenture],
        C::Reline => &[K::FinalDenture, K::BiteRecord],
        C::Remount => &[K::FinalDenture, K::BiteRecord, K::FacebowRecord],
    };
    usual.contains(&kind)
}

/// A kind once for each treated arch, or once.
fn rows_of(kind: ItemKind, arches: Arches, is_usual: bool) -> Vec<SetRow> {
    let row = |arch| SetRow {
        kind,
        arch,
        is_usual,
    };
    match kind.needs_arch() {
        true => arches
            .treated()
            .iter()
            .map(|arch| row(Some(*arch)))
            .collect(),
        false => vec![row(None)],
    }
}

/// The cast of the jaw that is not treated, where the new denture is set against it.
fn opposing_cast(course: Course, arches: Arches) -> Option<SetRow> {
    let arch = match arches {
        Arches::Upper => Arch::Lower,
        Arches::Lower => Arch::Upper,
        Arches::Both => return None,
    };
    let is_usual = matches!(course, Course::Immediate | Course::Single);
    let row = SetRow {
        kind: ItemKind::Cast,
        arch: Some(arch),
        is_usual,
    };
    let goes = |kind| goes_along(course, kind);
    (goes(ItemKind::BiteRecord) && goes(ItemKind::Cast)).then_some(row)
}

/// What the office registers for a kind of work: the usual things first, then what else may go along.
pub fn set_to_register(course: Course, arches: Arches) -> Vec<SetRow> {
    let kinds = || ItemKind::ALL.iter().copied();
    let usual = kinds().filter(|kind| is_usual(course, *kind));
    let other = kinds().filter(|kind| !is_usual(course, *kind) && goes_along(course, *kind));
    let usual = usual.flat_map(|kind| rows_of(kind, arches, true));
    let against = opposing_cast(course, arches);
    let (is_usual, is_other) = (
        against.filter(|row| row.is_usual),
        against.filter(|row| !row.is_usual),
    );
    usual
        .chain(is_usual)
        .chain(other.flat_map(|kind| rows_of(kind, arches, false)))
        .chain(is_other)
        .collect()
}

/// What the lab registers of what is ordered: what it has made for the mouth, then what it keeps of the work.
pub fn made_set(work: &[OrderedWork], arches: Arches) -> Vec<SetRow> {
    let mut rows = Vec::new();
    for one in work {
        let Some(kind) = made_as(one.stage) else {
            continue;
        };
        let own = rows_of(kind, arches, true).into_iter();
        rows.extend(own.filter(|row| one.arch.is_none() || row.arch == one.arch));
    }
    for kind in [ItemKind::Cast, ItemKind::RemountCast, ItemKind::LabIndex] {
        rows.extend(rows_of(kind, arches, false));
    }
    let mut once: Vec<SetRow> = Vec::new();
    for row in rows {
        if once.iter().all(|one| one.key() != row.key()) {
            once.push(row);
        }
    }
    once
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys(rows: &[SetRow], usual: bool) -> Vec<String> {
        let rows = rows.iter().filter(|row| row.is_usual == usual);
        rows.map(SetRow::key).collect()
    }

    #[test]
    fn a_copy_of_a_worn_pattern_brings_both_provisionals_their_duplicates_bite_and_facebow() {
        let rows = set_to_register(Course::Copy, Arches::Both);
        let wanted = [
            "provisional-upper",
            "provisional-lower",
            "duplicate-upper",
            "duplicate-lower",
            "bite_record",
            "facebow_record",
        ];
        assert_eq!(keys(&rows, true), wanted);
        assert!(keys(&rows, false).contains(&"shade_tab".to_owned()));
    }

    #[test]
    fn a_denture_of_one_jaw_is_set_against_a_cast_of_the_other() {
        for course in [Course::Immediate, Course::Single] {
            let rows = set_to_register(course, Arches::Upper);
            assert!(keys(&rows, true).contains(&"cast-lower".to_owned()));
            assert!(!keys(&rows, true).contains(&"cast-upper".to_owned()));
            let both = set_to_register(course, Arches::Both);
            assert!(keys(&both, true).iter().all(|key| !key.starts_with("cast")));
        }
        // A set-up may need one; a tray is set against nothing.
        let rows = set_to_register(Course::SetUp, Arches::Lower);
        assert!(keys(&rows, false).contains(&"cast-upper".to_owned()));
        let rows = set_to_register(Course::Tray, Arches::Lower);
        assert!(rows.iter().all(|row| row.key() != "cast-upper"));
    }

    #[test]
    fn every_course_has_a_usual_set_of_its_arches_alone_and_every_key_is_read_again() {
        for &course in Course::ALL {
            for arches in [Arches::Upper, Arches::Lower, Arches::Both] {
                let rows = set_to_register(course, arches);
                assert!(rows.iter().any(|row| row.is_usual), "{}", course.word());
                for (place, row) in rows.iter().enumerate() {
                    assert_eq!(SetRow::of_key(&row.key()), Some((row.kind, row.arch)));
                    assert_eq!(row.arch.is_some(), row.kind.needs_arch());
                    let is_against = row.kind == ItemKind::Cast;
                    let is_treated = |arch| arches.treated().contains(&arch);
                    assert!(row.arch.is_none_or(|arch| is_against || is_treated(arch)));
                    assert!(
                        rows.iter()
                            .skip(place + 1)
                            .all(|other| other.key() != row.key())
                    );
                    // What is usual goes along, but for what the patient wears meanwhile.
                    let stays = [ItemKind::Duplicate, ItemKind::Provisional].contains(&row.kind);
                    assert!(
                        !row.is_usual || stays || goes_along(course, row.kind),
                        "{row:?}"
                    );
                }
            }
        }
        for wrong in ["", "provisional-", "provisional-front", "-upper", "crown"] {
            assert_eq!(SetRow::of_key(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn the_lab_registers_what_is_ordered_of_it() {
        let ordered =
            OrderedWork::from_word("upper:process,lower:process,lower:duplicate").unwrap();
        let rows = made_set(&ordered, Arches::Both);
        let wanted = [
            "final_denture-upper",
            "final_denture-lower",
            "duplicate-lower",
        ];
        assert_eq!(keys(&rows, true), wanted);
        let others = [
            "cast-upper",
            "cast-lower",
            "remount_cast",
            "lab_index-upper",
            "lab_index-lower",
        ];
        assert_eq!(keys(&rows, false), others);
        let repair = OrderedWork::from_word(":repair").unwrap();
        assert_eq!(keys(&made_set(&repair, Arches::Upper), true), [""; 0]);
    }
}
