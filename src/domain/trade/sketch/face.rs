//! The face from the front: midline, plane, incisal length, smile line, lip support and both heights.

use super::shape::{
    Anchor, Ground, NUMBER_MM, Pen, Picture, Shape, SketchPoint, at, broken, clamped, curve, line,
    number, sides, size, toward, width_of, words,
};
use crate::domain::prescription::{LipSupport, Prescription, SmileLine};
use crate::domain::values::measure::Mm;
use crate::domain::values::tooth::PatientSide;

const WIDTH: f64 = 104.0;
const HEIGHT: f64 = 108.0;
/// The middle of the face, and the lip at rest there.
const MIDDLE: f64 = 34.0;
const LIP: f64 = 62.0;
/// Drawn millimetres for each millimetre of the mouth, so that half a millimetre can be seen.
const SCALE: f64 = 2.0;
/// Millimetres of the mouth beyond which plane and height are drawn no further.
const FARTHEST: f64 = 6.0;
/// The same for the midline, which is drawn larger: its arrow must be seen at arm's length.
const MIDLINE_SCALE: f64 = 3.0;
const MIDLINE_FARTHEST: f64 = 4.0;
const SHORTEST_ARROW: f64 = 8.0;
/// How far below the lip the edges are drawn while nobody has said it.
const USUAL_SHOW: f64 = 2.0;
/// Half the width of the six upper front teeth as drawn.
const TEETH: f64 = 15.4;

/// The face and what it says in words.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceSketch {
    pub picture: Picture,
    pub words: Vec<String>,
    /// Whether anything of the prescription is drawn or said.
    pub is_written: bool,
}

/// The picture in the making.
struct Sketch<'a> {
    document: &'a Prescription,
    shapes: Vec<Shape>,
    words: Vec<String>,
}

impl FaceSketch {
    pub fn of(document: &Prescription) -> FaceSketch {
        let mut sketch = Sketch {
            document,
            shapes: outline(),
            words: Vec::new(),
        };
        let shift = sketch.shift();
        let edge = sketch.edge();
        sketch.teeth(shift, edge);
        sketch.midline(shift);
        sketch.plane(edge);
        sketch.new_edge(shift);
        sketch.heights();
        sketch.lip_support();
        let is_written = !sketch.words.is_empty();
        if !is_written {
            sketch.words.push(
                "Midline, plane, incisal length, smile line, lip support and heights are drawn once they are written."
                    .to_owned(),
            );
        }
        FaceSketch {
            picture: Picture {
                width_mm: WIDTH,
                height_mm: HEIGHT,
                shapes: sketch.shapes,
            },
            words: sketch.words,
            is_written,
        }
    }
}

/// What is the same in every face.
fn outline() -> Vec<Shape> {
    let mut face = curve(at(4.0, 34.0), (at(4.0, 2.0), at(64.0, 2.0)), at(64.0, 34.0));
    face.extend(curve(
        at(64.0, 34.0),
        (at(64.0, 66.0), at(54.0, 98.0)),
        at(MIDDLE, 98.0),
    ));
    face.extend(curve(
        at(MIDDLE, 98.0),
        (at(14.0, 98.0), at(4.0, 66.0)),
        at(4.0, 34.0),
    ));
    let eye = |x: f64| Shape::Oval {
        middle: at(x, 28.0),
        half: (5.5, 2.4),
        turned: 0.0,
        pen: Pen::Plain,
        ground: Ground::Open,
    };
    let nose = curve(
        at(30.0, 40.0),
        (at(32.0, 46.0), at(36.0, 46.0)),
        at(38.0, 40.0),
    );
    let lip = |pull: f64| {
        let (right, left) = (at(13.0, LIP + 2.0), at(55.0, LIP + 2.0));
        line(
            curve(right, (at(26.0, pull), at(42.0, pull)), left),
            Pen::Plain,
        )
    };
    let mut shapes = vec![
        line(face, Pen::Plain),
        eye(22.0),
        eye(46.0),
        line(nose, Pen::Plain),
        lip(LIP - 0.7),
        lip(LIP + 25.0),
        broken(vec![at(MIDDLE, 4.0), at(MIDDLE, 104.0)], Pen::Hair),
    ];
    shapes.extend(sides(at(6.0, 10.0), at(62.0, 10.0)));
    shapes
}

impl Sketch<'_> {
    /// How far the dental midline is drawn from the middle of the face.
    fn shift(&self) -> f64 {
        let anterior = &self.document.anterior;
        match (anterior.midline_offset_mm, anterior.midline_side) {
            (Some(by), Some(side)) => {
                toward(side) * clamped(by.to_f64(), MIDLINE_FARTHEST).0 * MIDLINE_SCALE
            }
            _ => 0.0,
        }
    }

    fn midline(&mut self, shift: f64) {
        let anterior = &self.document.anterior;
        let Some(by) = anterior.midline_offset_mm else {
            return;
        };
        let x = MIDDLE + shift;
        let dental = line(vec![at(x, 47.0), at(x, 84.0)], Pen::Heavy);
        if by.hundredths() == 0 {
            self.words.push("Midline: kept.".to_owned());
            self.shapes.push(dental);
            return;
        }
        let Some(side) = anterior.midline_side else {
            self.words.push(format!(
                "Midline: moved by {by} mm; to which side is not said, so that it is not drawn."
            ));
            return;
        };
        let remark = clamped(by.to_f64(), MIDLINE_FARTHEST).1;
        self.words.push(format!(
            "Midline: moved by {by} mm to the {}.{remark}",
            side.shown()
        ));
        // A short arrow could not be read: it begins on the far side of the middle where it has to.
        let long = shift.abs().max(SHORTEST_ARROW);
        self.shapes.push(Shape::Arrow {
            from: at(x - toward(side) * long, 49.5),
            to: at(x, 49.5),
        });
        self.shapes.push(dental);
        self.beside(side, 51.4, by);
    }

    /// The height of the incisal edges.
    fn edge(&mut self) -> f64 {
        let Some(show) = self.document.anterior.incisal_show_mm else {
            return LIP + USUAL_SHOW * SCALE;
        };
        let (drawn, remark) = clamped(show.to_f64(), 8.0);
        let place = if show.hundredths() < 0 {
            "above"
        } else {
            "below"
        };
        self.words.push(format!(
            "Upper incisal edge: {} mm {place} the lip at rest.{remark}",
            size(show)
        ));
        LIP + drawn * SCALE
    }

    /// Six upper front teeth about the dental midline, their edges along the smile line.
    fn teeth(&mut self, shift: f64, edge: f64) {
        let anterior = &self.document.anterior;
        let rise = self.rise();
        if let Some(smile) = anterior.smile_line {
            self.words.push(format!("Smile line: {}.", smile.shown()));
        }
        for side in [-1.0, 1.0] {
            let mut inner = 0.0;
            for (width, above) in [(5.8, 9.4), (4.6, 8.6), (5.0, 9.2)] {
                let (near, far) = (inner + 0.15, inner + width - 0.15);
                let bottom = |out: f64| at(MIDDLE + shift + side * out, edge_at(edge, rise, out));
                let (one, other) = (bottom(near), bottom(far));
                self.shapes.push(Shape::Path {
                    points: vec![
                        at(one.x + side * 0.5, edge - above),
                        at(other.x - side * 0.5, edge - above),
                        other,
                        one,
                    ],
                    is_closed: true,
                    pen: Pen::Hair,
                    is_broken: false,
                    ground: Ground::Paper,
                });
                inner += width;
            }
        }
        if anterior.incisal_show_mm.is_some() || anterior.smile_line.is_some() {
            // Where it is changed, the new edge is the heavy one.
            let is_changed = anterior
                .incisal_change_mm
                .is_some_and(|mm| mm.hundredths() != 0);
            let pen = if is_changed { Pen::Plain } else { Pen::Heavy };
            self.shapes.push(line(edge_line(shift, edge, rise), pen));
        }
    }

    /// How much higher the canines are drawn than the central incisors.
    fn rise(&self) -> f64 {
        match self.document.anterior.smile_line {
            Some(SmileLine::FollowsLip) => 3.0,
            Some(SmileLine::Reverse) => -3.0,
            Some(SmileLine::Straight | SmileLine::Pattern) | None => 0.0,
        }
    }

    fn plane(&mut self, edge: f64) {
        let plane = &self.document.plane;
        let Some(tilt) = plane.tilt_mm else { return };
        if tilt.hundredths() == 0 {
            self.words
                .push("Occlusal plane: level from right to left.".to_owned());
            self.plane_line(edge, 0.0);
            return;
        }
        let Some(side) = plane.lower_side else {
            self.words.push(format!("Occlusal plane: one side {tilt} mm lower; which one is not said, so that it is not drawn."));
            return;
        };
        let (drawn, remark) = clamped(tilt.to_f64(), FARTHEST);
        self.words.push(format!(
            "Occlusal plane: {} lower by {tilt} mm.{remark}",
            side.shown()
        ));
        // Half of the difference on each side; lower is further down the picture.
        let half = drawn * SCALE / 2.0;
        self.plane_line(edge, toward(side) * half);
        self.shapes.push(broken(
            vec![at(MIDDLE - 30.0, edge), at(MIDDLE + 30.0, edge)],
            Pen::Hair,
        ));
        self.beside(side, edge + half + 7.0, tilt);
    }

    /// Millimetres at the edge of the face, on the side that they are about.
    fn beside(&mut self, side: PatientSide, y: f64, mm: Mm) {
        let (x, anchor) = match side {
            PatientSide::Right => (1.5, Anchor::Start),
            PatientSide::Left => (2.0 * MIDDLE - 1.5, Anchor::End),
        };
        let text = format!("{mm} mm");
        let width = width_of(&text, NUMBER_MM) * toward(side);
        let (from, to) = (at(x - toward(side) * width.abs(), y - 4.6), at(x, y + 1.0));
        self.shapes.push(Shape::Bare {
            from: at(from.x.min(to.x) - 0.6, from.y),
            to: at(from.x.max(to.x) + 0.6, to.y),
        });
        self.shapes.push(number(at(x, y), anchor, text));
    }

    /// The plane beside the front teeth, so that it does not hide their edges.
    fn plane_line(&mut self, edge: f64, left_lower: f64) {
        for side in [-1.0, 1.0] {
            let height = |out: f64| edge + side * left_lower * out / 26.0;
            let ends = [17.5, 30.0].map(|out| at(MIDDLE + side * out, height(out)));
            self.shapes.push(line(ends.to_vec(), Pen::Heavy));
        }
    }

    fn new_edge(&mut self, shift: f64) {
        let anterior = &self.document.anterior;
        let Some(change) = anterior.incisal_change_mm.filter(|mm| mm.hundredths() != 0) else {
            return;
        };
        let show = anterior.incisal_show_mm.map_or(USUAL_SHOW, Mm::to_f64);
        let (drawn, remark) = clamped(show + change.to_f64(), 8.0);
        let longer = if change.hundredths() < 0 {
            "shorter"
        } else {
            "longer"
        };
        self.words.push(format!(
            "Incisal length: {} mm {longer}, the broken line.{remark}",
            size(change)
        ));
        let new = edge_line(shift, LIP + drawn * SCALE, self.rise());
        self.shapes.push(broken(new, Pen::Heavy));
    }

    /// Rest and occlusal height side by side, from one top; what lies between them is drawn larger.
    fn heights(&mut self) {
        let vertical = &self.document.vertical;
        let (rest, occlusal) = (vertical.rest_mm, vertical.occlusal_mm);
        let (further, remark) = match (rest, occlusal) {
            (Some(rest), Some(occlusal)) => clamped(rest.to_f64() - occlusal.to_f64(), FARTHEST),
            _ => (0.0, ""),
        };
        for (said, name, x, mm, further) in [
            ("at rest", "rest", 74.0, rest, further),
            ("in occlusion", "occlusal", 92.0, occlusal, 0.0),
        ] {
            let Some(mm) = mm else { continue };
            self.words.push(format!("Height {said}: {mm} mm."));
            self.bar(name, x, 58.0 + further * SCALE, mm);
        }
        if let (Some(rest), Some(occlusal)) = (rest, occlusal) {
            let between = rest.hundredths().saturating_sub(occlusal.hundredths());
            self.words.push(format!(
                "Freeway space: {} mm.{remark}",
                Mm::from_hundredths(between)
            ));
        }
        if rest.or(occlusal).is_some() {
            self.shapes
                .push(words(at(83.0, 9.0), Anchor::Middle, "heights in mm"));
        }
    }

    fn bar(&mut self, name: &str, x: f64, end: f64, mm: Mm) {
        const TOP: f64 = 19.0;
        let across = |y: f64| line(vec![at(x - 4.0, y), at(x + 4.0, y)], Pen::Heavy);
        self.shapes.extend([
            words(at(x, 16.0), Anchor::Middle, name),
            across(TOP),
            line(vec![at(x, TOP), at(x, end)], Pen::Heavy),
            across(end),
            number(at(x, end + 7.0), Anchor::Middle, mm.to_string()),
        ]);
    }

    /// The lip from the patient's side, nose to the left of the picture, and where it is to go.
    fn lip_support(&mut self) {
        let anterior = &self.document.anterior;
        let Some(order) = anterior.lip_support else {
            return;
        };
        let by = anterior
            .lip_support_mm
            .filter(|mm| mm.hundredths() != 0 && order != LipSupport::Keep);
        let amount = by.map(|mm| format!(" by {mm} mm")).unwrap_or_default();
        self.words
            .push(format!("Lip support: {}{amount}.", order.shown()));
        self.shapes.push(line(profile(), Pen::Plain));
        let (lip, free) = (at(90.0, 95.5), at(80.0, 95.5));
        match order {
            LipSupport::Keep => {}
            LipSupport::More => self.shapes.push(Shape::Arrow {
                from: lip,
                to: free,
            }),
            LipSupport::Less => self.shapes.push(Shape::Arrow {
                from: free,
                to: lip,
            }),
        }
        self.shapes
            .push(words(at(78.0, 91.0), Anchor::End, "lip support"));
        let said = match (order, by) {
            (LipSupport::Keep, _) => "keep".to_owned(),
            (_, Some(mm)) => format!("{mm} mm"),
            (_, None) => order.shown().to_owned(),
        };
        self.shapes.push(number(at(78.0, 97.5), Anchor::End, said));
    }
}

/// Nose, lips and chin from the patient's side.
fn profile() -> Vec<SketchPoint> {
    let mut points = curve(
        at(94.0, 84.5),
        (at(91.0, 87.5), at(86.0, 91.5)),
        at(91.5, 92.6),
    );
    for (pulls, end) in [
        ((at(91.0, 94.0), at(87.0, 96.6)), at(91.6, 97.6)),
        ((at(88.0, 98.6), at(88.6, 101.4)), at(92.0, 102.2)),
        ((at(90.4, 104.0), at(90.0, 106.6)), at(94.5, 107.4)),
    ] {
        let from = points.last().copied().unwrap_or(end);
        points.extend(curve(from, pulls, end));
    }
    points
}

/// The height of the edge so far from the dental midline.
fn edge_at(edge: f64, rise: f64, out: f64) -> f64 {
    edge - rise * (out / TEETH) * (out / TEETH)
}

fn edge_line(shift: f64, edge: f64, rise: f64) -> Vec<SketchPoint> {
    const STEPS: i32 = 8;
    let step = |number: i32| {
        let out = f64::from(number) / f64::from(STEPS) * TEETH;
        at(MIDDLE + shift + out, edge_at(edge, rise, out))
    };
    (-STEPS..=STEPS).map(step).collect()
}
