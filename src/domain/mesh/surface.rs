//! A surface: points in millimetres and the triangles between them, bounded while they are read.

use crate::domain::form::choice_field;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

/// Bytes of a scan as it is sent. An arch from a scanner takes some ten to forty megabytes (common practice, no source).
pub const SCAN_BYTES_MOST: u64 = 64 * 1024 * 1024;
/// Triangles of a scan: as many as a binary STL of that length holds, nearly; scanners write some hundred thousand for an
/// arch (common practice, no source).
pub const TRIANGLES_MOST: usize = 1_250_000;
/// Points of a scan. A closed surface has half as many as triangles.
pub const POINTS_MOST: usize = 2 * TRIANGLES_MOST;
/// Farther from the origin than this, in mm, is no place that anything was scanned at: what damaged numbers read as.
const REACH_MM: f64 = 1_000_000.0;

/// What is said of a file that is not what it says.
pub(super) const DAMAGED: &str =
    "This scan is damaged, or did not arrive whole: export it again, or send it again.";

words_of! {
    /// The length that 1 stands for in a file.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum MeshUnit {
        Millimetre = "millimeters",
        Micrometre = "micrometers",
        Centimetre = "centimeters",
        Metre = "meters",
        Inch = "inches",
        Foot = "feet",
    }
}

choice_field!(MeshUnit);

impl MeshUnit {
    /// How many millimetres it has: the inch by the international agreement of 1959, from memory.
    pub fn in_mm(self) -> f64 {
        match self {
            MeshUnit::Millimetre => 1.0,
            MeshUnit::Micrometre => 0.001,
            MeshUnit::Centimetre => 10.0,
            MeshUnit::Metre => 1000.0,
            MeshUnit::Inch => 25.4,
            MeshUnit::Foot => 304.8,
        }
    }
}

/// Points and triangles, in mm once it is whole.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TriangleMesh {
    pub points: Vec<[f32; 3]>,
    /// One for each point, or none at all.
    pub colours: Vec<[u8; 3]>,
    /// Places of three points each. None where each three points that follow each other are a triangle: as STL has it.
    pub corners: Vec<[u32; 3]>,
}

impl TriangleMesh {
    /// How many triangles it has.
    pub fn triangles(&self) -> usize {
        match self.corners.is_empty() {
            true => self.points.len() / 3,
            false => self.corners.len(),
        }
    }

    /// One more triangle by its own three points.
    pub(super) fn push_own(&mut self, triangle: [[f32; 3]; 3]) -> Result<(), String> {
        if self.points.len() / 3 >= TRIANGLES_MOST {
            return Err(too_many("triangles", TRIANGLES_MOST));
        }
        self.points.extend(triangle);
        Ok(())
    }

    pub(super) fn push_point(&mut self, point: [f32; 3]) -> Result<(), String> {
        if self.points.len() >= POINTS_MOST {
            return Err(too_many("points", POINTS_MOST));
        }
        self.points.push(point);
        Ok(())
    }

    /// A face by the places of its corners, cut into triangles from its first.
    pub(super) fn push_face(&mut self, corners: &[u32]) -> Result<(), String> {
        let [first, rest @ ..] = corners else {
            return Err(DAMAGED.to_owned());
        };
        if rest.len() < 2 {
            return Err(DAMAGED.to_owned());
        }
        for pair in rest.windows(2) {
            if let [second, third] = pair {
                if self.corners.len() >= TRIANGLES_MOST {
                    return Err(too_many("triangles", TRIANGLES_MOST));
                }
                self.corners.push([*first, *second, *third]);
            }
        }
        Ok(())
    }

    /// In millimetres, if every triangle is between points that are there, and every number is one of a scan.
    pub(super) fn whole(mut self, unit: MeshUnit) -> Result<TriangleMesh, String> {
        let (count, is_coloured) = (self.points.len(), !self.colours.is_empty());
        if self.triangles() == 0 {
            let sentence = "There is no triangle in this file: a scan is sent as a surface, and points alone are none.";
            return Err(sentence.to_owned());
        }
        let is_there = |corner: &u32| usize::try_from(*corner).is_ok_and(|place| place < count);
        let all_there = self.corners.iter().flatten().all(is_there);
        if !all_there || (is_coloured && self.colours.len() != count) {
            return Err(DAMAGED.to_owned());
        }
        let factor = unit.in_mm();
        for number in self.points.iter_mut().flatten() {
            let mm = f64::from(*number) * factor;
            if !mm.is_finite() || mm.abs() > REACH_MM {
                return Err(DAMAGED.to_owned());
            }
            if unit != MeshUnit::Millimetre {
                *number = single(mm);
            }
        }
        Ok(self)
    }

    /// Its width, depth and height in thousandths of a millimetre.
    pub fn box_um(&self) -> [u64; 3] {
        let span = |axis: usize| {
            let numbers = self.points.iter().filter_map(|point| point.get(axis));
            let (low, high) = numbers.fold((f32::MAX, f32::MIN), |(low, high), one| {
                (low.min(*one), high.max(*one))
            });
            whole_number((f64::from(high) - f64::from(low)) * 1000.0)
        };
        [span(0), span(1), span(2)]
    }
}

/// The nearest of the numbers that a file holds in four bytes.
#[expect(
    clippy::cast_possible_truncation,
    reason = "there is no other way to the nearest one; what is too large becomes infinite, and is looked for"
)]
pub(super) fn single(number: f64) -> f32 {
    number as f32
}

/// The nearest whole number that is not below nothing.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast stops at the ends of what can be held"
)]
pub(super) fn whole_number(number: f64) -> u64 {
    number.round() as u64
}

pub(super) fn too_many(what: &str, most: usize) -> String {
    format!(
        "More than {most} {what} are not taken: let the program that made this scan thin it out."
    )
}

/// Whether so much is still no more than a scan has.
pub(super) fn bound_both(points: usize, triangles: usize) -> Result<(), String> {
    if points > POINTS_MOST {
        return Err(too_many("points", POINTS_MOST));
    }
    match triangles > TRIANGLES_MOST {
        true => Err(too_many("triangles", TRIANGLES_MOST)),
        false => Ok(()),
    }
}
