//! The arches beside the list of changes: touching a tooth or a part begins a row. For fingers and mouse alone; the
//! list below does the same from the keyboard.

use crate::domain::form::FieldType;
use crate::domain::prescription::{ChangedPart, Course, field_spec};
use crate::domain::values::arch::Arch;
use crate::domain::values::tooth::{Numbering, PatientSide, Tooth};
use askama::Template;

/// A tooth of the chart, with its middle.
pub struct ToothSpot {
    pub x: i64,
    pub y: i64,
    /// What is typed for it, and what stands on it.
    pub typed: String,
    pub number: String,
    pub name: String,
}

/// A part of the chart, with its upper left corner.
pub struct PartSpot {
    pub x: i64,
    pub y: i64,
    pub word: &'static str,
    pub shown: &'static str,
}

/// One arch, seen on its chewing side, the patient's right on the left.
pub struct ArchView {
    pub name: &'static str,
    pub teeth: Vec<ToothSpot>,
    pub parts: Vec<PartSpot>,
}

/// Both arches, and what lies in neither.
#[derive(Template)]
#[template(path = "partials/chart.html")]
pub struct TouchChart {
    /// Whether it stands open on a wide screen.
    pub is_open: bool,
    pub arches: Vec<ArchView>,
    pub others: Vec<(&'static str, &'static str)>,
}

/// The height of an arch's picture; it is 400 wide.
const HEIGHT: i64 = 306;
/// Teeth of one side: a wisdom tooth is set by nobody.
const TEETH: i64 = 7;

const UPPER: &[(ChangedPart, &str)] = &[
    (ChangedPart::UpperIncisors, "4 incisors"),
    (ChangedPart::UpperFront, "6 anterior"),
    (ChangedPart::UpperRightBack, "right post."),
    (ChangedPart::UpperLeftBack, "left post."),
    (ChangedPart::UpperArch, "all upper"),
    (ChangedPart::Palate, "palate"),
];
const LOWER: &[(ChangedPart, &str)] = &[
    (ChangedPart::RightBlock, "right block"),
    (ChangedPart::LeftBlock, "left block"),
    (ChangedPart::LowerRightBack, "right post."),
    (ChangedPart::LowerLeftBack, "left post."),
    (ChangedPart::LowerIncisors, "4 incisors"),
    (ChangedPart::LowerFront, "6 anterior"),
];
const OTHERS: &[(ChangedPart, &str)] = &[
    (ChangedPart::LowerArch, "all lower"),
    (ChangedPart::Midline, "midline"),
    (ChangedPart::Plane, "occlusal plane"),
    (ChangedPart::UpperFlange, "upper flange"),
    (ChangedPart::LowerFlange, "lower flange"),
    (ChangedPart::GumLine, "gum line"),
    (ChangedPart::Other, "other"),
];

impl TouchChart {
    /// The chart with the numbers that the reader uses; folded in work that seldom changes its pattern.
    pub fn of(numbering: Numbering, course: Course) -> TouchChart {
        let arch = |arch, name, parts| ArchView {
            name,
            teeth: teeth(arch, numbering),
            parts: placed(arch, parts),
        };
        let others = OTHERS.iter();
        TouchChart {
            is_open: course != Course::Single,
            arches: vec![
                arch(Arch::Upper, "upper", UPPER),
                arch(Arch::Lower, "lower", LOWER),
            ],
            others: others.map(|(part, shown)| (part.word(), *shown)).collect(),
        }
    }
}

/// The upper arch opens downward, the lower one upward.
fn turned(arch: Arch, y: i64) -> i64 {
    match arch {
        Arch::Upper => y,
        Arch::Lower => HEIGHT - y,
    }
}

fn teeth(arch: Arch, numbering: Numbering) -> Vec<ToothSpot> {
    let of_arch = Tooth::all().filter(|tooth| tooth.arch() == arch);
    of_arch
        .filter_map(|tooth| {
            let place = i64::from(tooth.iso() % 10);
            if place > TEETH {
                return None;
            }
            let angle = (7.0 + 13.0 * (place - 1) as f64).to_radians();
            let along = (165.0 * angle.sin()).round() as i64;
            let typed = typed(tooth, numbering);
            Some(ToothSpot {
                x: match tooth.side() {
                    PatientSide::Right => 200 - along,
                    PatientSide::Left => 200 + along,
                },
                y: turned(arch, 285 - (260.0 * angle.cos()).round() as i64),
                number: typed.split(' ').next().unwrap_or_default().to_owned(),
                typed,
                name: tooth.words(),
            })
        })
        .collect()
}

/// As the field keeps it.
fn typed(tooth: Tooth, numbering: Numbering) -> String {
    let spec = field_spec("changes.0.tooth");
    spec.map_or_else(String::new, |_| tooth.raw(numbering))
}

fn placed(arch: Arch, parts: &[(ChangedPart, &'static str)]) -> Vec<PartSpot> {
    let parts = parts.iter().zip(0i64..);
    parts
        .map(|((part, shown), place)| {
            let (row, column) = (place / 2, place % 2);
            let middle = 118 + 56 * row;
            PartSpot {
                x: 108 + column * 96,
                y: turned(arch, middle) - 19,
                word: part.word(),
                shown,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_tooth_can_be_typed_as_the_chart_writes_it_and_every_part_is_there_once() {
        for numbering in Numbering::ALL {
            let chart = TouchChart::of(*numbering, Course::Copy);
            let mut teeth = BTreeSet::new();
            for spot in chart.arches.iter().flat_map(|arch| &arch.teeth) {
                let tooth = Tooth::parse(&spot.typed, *numbering).unwrap();
                assert_eq!(tooth.words(), spot.name);
                teeth.insert(tooth.iso());
                // Right is the patient's right: on the left of the picture.
                assert_eq!(
                    spot.x < 200,
                    tooth.side() == PatientSide::Right,
                    "{}",
                    spot.typed
                );
            }
            assert_eq!(teeth.len(), 28);
            let inside = chart.arches.iter().flat_map(|arch| &arch.parts);
            let inside = inside.map(|part| part.word);
            let all: Vec<&str> = inside
                .chain(chart.others.iter().map(|(word, _)| *word))
                .collect();
            let each: BTreeSet<&str> = all.iter().copied().collect();
            // A single tooth is touched itself.
            assert_eq!((all.len(), each.len()), (19, ChangedPart::ALL.len() - 1));
        }
    }
}
