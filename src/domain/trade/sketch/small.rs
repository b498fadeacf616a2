//! The face for a place of a quarter of a sheet: the same drawing, smaller, with letters that can still be read.

use super::face::FaceSketch;
use super::pair::{SIDE_WORDS, SMALL_WORDS};
use super::shape::{Picture, Shape, SketchPoint, at};
use crate::domain::prescription::Prescription;

/// How much smaller the drawing is; its letters are not.
const SMALLER: f64 = 0.58;
/// Words of the large drawing that have a shorter name here, or none.
const RENAMED: [(&str, &str); 4] = [
    ("rest", "RVD"),
    ("occlusal", "OVD"),
    ("heights in mm", ""),
    ("lip support", "lip"),
];

/// Where the two heights stand in the large drawing.
const RVD_AT: f64 = 74.0;
const OVD_AT: f64 = 92.0;

/// The face, drawn small.
pub fn small_face(document: &Prescription) -> Picture {
    let large = FaceSketch::of(document).picture;
    Picture {
        width_mm: large.width_mm * SMALLER,
        height_mm: large.height_mm * SMALLER,
        shapes: large.shapes.into_iter().filter_map(smaller).collect(),
    }
}

fn moved(place: SketchPoint) -> SketchPoint {
    at(place.x * SMALLER, place.y * SMALLER)
}

fn smaller(shape: Shape) -> Option<Shape> {
    Some(match shape {
        Shape::Path {
            points,
            is_closed,
            pen,
            is_broken,
            ground,
        } => Shape::Path {
            points: points.into_iter().map(moved).collect(),
            is_closed,
            pen,
            is_broken,
            ground,
        },
        Shape::Oval {
            middle,
            half,
            turned,
            pen,
            ground,
        } => Shape::Oval {
            middle: moved(middle),
            half: (half.0 * SMALLER, half.1 * SMALLER),
            turned,
            pen,
            ground,
        },
        Shape::Arrow { from, to } => Shape::Arrow {
            from: moved(from),
            to: moved(to),
        },
        Shape::Bare { from, to } => Shape::Bare {
            from: moved(from),
            to: moved(to),
        },
        Shape::Words {
            at: place,
            size_mm,
            is_bold,
            anchor,
            text,
        } => Shape::Words {
            at: words_at(place, is_bold),
            // R and L are the largest letters, and stay so.
            size_mm: match size_mm > 7.0 {
                true => SIDE_WORDS,
                false => SMALL_WORDS,
            },
            is_bold,
            anchor,
            text: renamed(text)?,
        },
    })
}

/// Two heights side by side need more room than they have in the large drawing.
fn words_at(place: SketchPoint, is_bold: bool) -> SketchPoint {
    let lateral = match place.x {
        x if is_bold && x == RVD_AT => -2.2,
        x if is_bold && x == OVD_AT => 2.2,
        _ => 0.0,
    };
    let place = moved(place);
    at(place.x + lateral, place.y)
}

/// The words of the small drawing, where they are not left out.
fn renamed(text: String) -> Option<String> {
    let short = RENAMED.iter().find(|(name, _)| *name == text);
    let text = short.map_or(text, |(_, short)| (*short).to_owned());
    (!text.is_empty()).then_some(text)
}
