//! Two sketches that follow the values of the prescription: the face from the front, and both arches.
//!
//! Everything is placed in millimetres of a picture, y downwards, the patient's right on the left. The
//! form draws these shapes on the screen and the slip draws the same ones on paper, so that the two can
//! never differ. No measure of the mouth is to scale: what would leave the picture is drawn at its edge,
//! and the words beside it, which are also its description, say the true number.

mod arches;
mod both;
mod face;
mod pair;
mod shape;
mod small;
#[cfg(test)]
mod tests;

pub use arches::{ArchesSketch, ChangeRow};
pub use both::Sketches;
pub use face::FaceSketch;
pub use pair::{SMALL_SCALE, arches_side_by_side};
pub use shape::{
    Anchor, Ground, HALO_MM, NumberPlaces, Pen, Picture, Shape, SketchPoint, arrow_head, corners,
    oval_points,
};
pub use small::small_face;
