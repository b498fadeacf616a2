//! The shapes that sketches are made of, and where words stand beside them.

use crate::domain::values::measure::Mm;
use crate::domain::values::tooth::{PatientSide, Tooth};

/// A place in a picture, in mm from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SketchPoint {
    pub x: f64,
    pub y: f64,
}

pub(super) const fn at(x: f64, y: f64) -> SketchPoint {
    SketchPoint { x, y }
}

/// How heavy a line is: heavy is what was written, plain what is drawn around it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pen {
    Hair,
    Plain,
    Heavy,
}

impl Pen {
    pub fn width_mm(self) -> f64 {
        match self {
            Pen::Hair => 0.3,
            Pen::Plain => 0.45,
            Pen::Heavy => 0.95,
        }
    }
}

/// What fills a closed shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ground {
    Open,
    Paper,
    Grey,
}

/// Where the numbers of changes stand. What was signed while they stood anywhere prints as it did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NumberPlaces {
    Anywhere,
    /// In the half and the arch of what is changed, with a line where another changed tooth is nearer.
    OwnSide,
}

/// Where a run of words stands to its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// One thing that is drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A chain of straight lines; a curve is many short ones.
    Path {
        points: Vec<SketchPoint>,
        is_closed: bool,
        pen: Pen,
        is_broken: bool,
        ground: Ground,
    },
    /// An oval with its two half axes, the first of them turned by so many degrees, clockwise.
    Oval {
        middle: SketchPoint,
        half: (f64, f64),
        turned: f64,
        pen: Pen,
        ground: Ground,
    },
    /// A heavy line with a filled head at its end.
    Arrow { from: SketchPoint, to: SketchPoint },
    /// Bare paper between two corners, on which words stand clear of what lies below.
    Bare { from: SketchPoint, to: SketchPoint },
    /// Words on a baseline.
    Words {
        at: SketchPoint,
        size_mm: f64,
        is_bold: bool,
        anchor: Anchor,
        text: String,
    },
}

/// Shapes in the order of painting.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    pub width_mm: f64,
    pub height_mm: f64,
    pub shapes: Vec<Shape>,
}

/// Length and half width of an arrow's head.
pub(super) const HEAD: (f64, f64) = (3.6, 2.1);

/// Width of the bare paper on which an arrow lies, so that it stands off what it crosses.
pub const HALO_MM: f64 = 2.8;

/// Where the line of an arrow ends, and the three corners of its head.
pub fn arrow_head(from: SketchPoint, to: SketchPoint) -> (SketchPoint, [SketchPoint; 3]) {
    let length = (to.x - from.x).hypot(to.y - from.y);
    if length == 0.0 {
        return (to, [to; 3]);
    }
    let (ux, uy) = ((to.x - from.x) / length, (to.y - from.y) / length);
    let long = HEAD.0.min(length * 0.8);
    let base = at(to.x - ux * long, to.y - uy * long);
    let corner = |beside: f64| at(base.x - uy * beside, base.y + ux * beside);
    (base, [to, corner(HEAD.1), corner(-HEAD.1)])
}

/// The corners of what stands upright between two of them, all round.
pub fn corners(from: SketchPoint, to: SketchPoint) -> [SketchPoint; 4] {
    [from, at(to.x, from.y), to, at(from.x, to.y)]
}

/// The corners of an oval drawn as straight lines, for papers that know no ovals.
pub fn oval_points(middle: SketchPoint, half: (f64, f64), turned: f64) -> Vec<SketchPoint> {
    const CORNERS: u32 = 32;
    let (sin, cos) = turned.to_radians().sin_cos();
    let corner = |number: u32| {
        let about = f64::from(number) / f64::from(CORNERS) * std::f64::consts::TAU;
        let (along, across) = (half.0 * about.cos(), half.1 * about.sin());
        at(
            middle.x + along * cos - across * sin,
            middle.y + along * sin + across * cos,
        )
    };
    (0..CORNERS).map(corner).collect()
}

/// A curve with one or two points that pull it, as straight lines.
pub(super) fn curve(
    from: SketchPoint,
    pulls: (SketchPoint, SketchPoint),
    to: SketchPoint,
) -> Vec<SketchPoint> {
    const STEPS: u32 = 16;
    let step = |number: u32| {
        let t = f64::from(number) / f64::from(STEPS);
        let u = 1.0 - t;
        let mix = |a: f64, b: f64, c: f64, d: f64| {
            u * u * u * a + 3.0 * u * u * t * b + 3.0 * u * t * t * c + t * t * t * d
        };
        at(
            mix(from.x, pulls.0.x, pulls.1.x, to.x),
            mix(from.y, pulls.0.y, pulls.1.y, to.y),
        )
    };
    (0..=STEPS).map(step).collect()
}

pub(super) fn line(points: Vec<SketchPoint>, pen: Pen) -> Shape {
    Shape::Path {
        points,
        is_closed: false,
        pen,
        is_broken: false,
        ground: Ground::Open,
    }
}

pub(super) fn broken(points: Vec<SketchPoint>, pen: Pen) -> Shape {
    Shape::Path {
        points,
        is_closed: false,
        pen,
        is_broken: true,
        ground: Ground::Open,
    }
}

/// Size of common words in a picture; a number that was written is larger and bold.
pub(super) const SMALL_MM: f64 = 4.4;
pub(super) const NUMBER_MM: f64 = 5.4;
pub(super) const SIDE_MM: f64 = 8.0;

/// About how wide a run of words is: the mean letter is a little more than half its size.
pub(super) fn width_of(text: &str, size_mm: f64) -> f64 {
    text.chars().count() as f64 * size_mm * 0.58
}

pub(super) fn words(at: SketchPoint, anchor: Anchor, text: impl Into<String>) -> Shape {
    Shape::Words {
        at,
        size_mm: SMALL_MM,
        is_bold: false,
        anchor,
        text: text.into(),
    }
}

pub(super) fn number(at: SketchPoint, anchor: Anchor, text: impl Into<String>) -> Shape {
    Shape::Words {
        at,
        size_mm: NUMBER_MM,
        is_bold: true,
        anchor,
        text: text.into(),
    }
}

/// R and L, the patient's.
pub(super) fn sides(right: SketchPoint, left: SketchPoint) -> [Shape; 2] {
    [(right, "R"), (left, "L")].map(|(place, letter)| Shape::Words {
        at: place,
        size_mm: SIDE_MM,
        is_bold: true,
        anchor: Anchor::Middle,
        text: letter.to_owned(),
    })
}

/// The middle of these points; none where there are none.
pub(super) fn middle_of(points: impl Iterator<Item = SketchPoint>) -> Option<SketchPoint> {
    let points: Vec<SketchPoint> = points.collect();
    let count = points.len() as f64;
    let middle = at(
        points.iter().map(|point| point.x).sum::<f64>() / count,
        points.iter().map(|point| point.y).sum::<f64>() / count,
    );
    (!points.is_empty()).then_some(middle)
}

/// The patient's right is on the left of the picture.
pub(super) fn toward(side: PatientSide) -> f64 {
    match side {
        PatientSide::Right => -1.0,
        PatientSide::Left => 1.0,
    }
}

/// A changed tooth in a picture: the number of its change, and where it stands.
pub(super) type ChangedSpot = (usize, SketchPoint);

/// Whether a tooth of another change is as near to a place as the own ones are.
pub(super) fn is_nearer_to_another(
    place: SketchPoint,
    number: usize,
    changed: &[ChangedSpot],
) -> bool {
    let nearest = |is_own: bool| {
        let of = changed.iter().filter(|(one, _)| (*one == number) == is_own);
        let far = of.map(|(_, spot)| (spot.x - place.x).hypot(spot.y - place.y));
        far.fold(f64::INFINITY, f64::min)
    };
    // A millimetre is seen as no difference.
    nearest(false) < nearest(true) + 1.0
}

/// The half that all these teeth stand in: -1 is the patient's right, on the left of the picture; none where they stand
/// in both.
pub(super) fn half_of(teeth: &[Tooth]) -> Option<f64> {
    let mut sides = teeth.iter().map(|tooth| toward(tooth.side()));
    let first = sides.next()?;
    sides.all(|side| side == first).then_some(first)
}

/// Millimetres as drawn, and whether that is less than they are.
pub(super) fn clamped(mm: f64, most: f64) -> (f64, &'static str) {
    if mm.abs() > most {
        (mm.clamp(-most, most), " It is drawn smaller than it is.")
    } else {
        (mm, "")
    }
}

pub(super) fn size(mm: Mm) -> Mm {
    Mm::from_hundredths(mm.hundredths().saturating_abs())
}
