//! The two sketches of one prescription.

use super::arches::ArchesSketch;
use super::face::FaceSketch;
use super::shape::NumberPlaces;
use crate::domain::prescription::Prescription;

/// Both sketches of a prescription.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketches {
    pub face: FaceSketch,
    pub arches: ArchesSketch,
}

impl Sketches {
    pub fn of(document: &Prescription) -> Sketches {
        Sketches {
            face: FaceSketch::of(document),
            arches: ArchesSketch::of(document, NumberPlaces::OwnSide),
        }
    }

    /// As they were drawn while numbers stood anywhere.
    pub fn as_first(document: &Prescription) -> Sketches {
        Sketches {
            face: FaceSketch::of(document),
            arches: ArchesSketch::of(document, NumberPlaces::Anywhere),
        }
    }
}
