//! Both arches side by side, for a place of half a sheet: what is changed is striped and outlined, never grey
//! alone, so that a third copy still tells it.

use super::arches::{
    SHAPES, Taken, amounts, in_picture, places_about, shown_teeth, spots, teeth_of,
};
use super::shape::{
    Anchor, ChangedSpot, Ground, NumberPlaces, Pen, Picture, Shape, SketchPoint, at, broken,
    half_of, is_nearer_to_another, line, middle_of, toward, width_of,
};
use crate::domain::prescription::Prescription;
use crate::domain::trade::changes::{self, NetPart};
use crate::domain::values::arch::Arch;
use crate::domain::values::tooth::Tooth;

/// Millimetres on the sheet for each of such a picture.
pub const SMALL_SCALE: f64 = 0.6;

/// Words in such a picture: 7.5 points and a little on the sheet.
pub(super) const SMALL_WORDS: f64 = 4.46;
const NUMBER_WORDS: f64 = 5.4;
pub(super) const SIDE_WORDS: f64 = 7.0;

const WIDTH: f64 = 152.0;
const HEIGHT: f64 = 56.0;
/// The middle of each arch.
const MIDDLES: [f64; 2] = [38.0, 114.0];
const RING: f64 = 3.6;
const LINE: f64 = 5.0;
const ARROW: f64 = 11.0;

/// The picture; `scale` draws the arches smaller, and the letters as large as ever.
pub fn arches_side_by_side(document: &Prescription, scale: f64, places: NumberPlaces) -> Picture {
    let net = changes::net(&document.pattern.changes);
    let changed: Vec<Vec<Tooth>> = net.parts.iter().map(teeth_of).collect();
    let mut sketch = Sketch {
        scale,
        shapes: Vec::new(),
        marks: Vec::new(),
        taken: Vec::new(),
        places,
        lines: Vec::new(),
        bares: Vec::new(),
        spots: Vec::new(),
    };
    sketch.spots = spots(&changed, |tooth| Some(sketch.spot(tooth)?.middle));
    sketch.arches(document, &changed.concat());
    for (place, (part, teeth)) in net.parts.iter().zip(&changed).enumerate() {
        for arch in [Arch::Upper, Arch::Lower] {
            sketch.mark(place + 1, part, arch, teeth);
        }
    }
    sketch.finish()
}

/// Words of one size.
pub(super) fn run(
    place: SketchPoint,
    size_mm: f64,
    is_bold: bool,
    text: impl Into<String>,
) -> Shape {
    Shape::Words {
        at: place,
        size_mm,
        is_bold,
        anchor: Anchor::Middle,
        text: text.into(),
    }
}

/// A tooth in the picture.
struct Spot {
    middle: SketchPoint,
    half: (f64, f64),
    turned: f64,
}

struct Sketch {
    scale: f64,
    shapes: Vec<Shape>,
    marks: Vec<Shape>,
    taken: Vec<Taken>,
    places: NumberPlaces,
    /// Lines from a number to its teeth: over the bare grounds and below the numbers.
    lines: Vec<Shape>,
    bares: Vec<Shape>,
    spots: Vec<ChangedSpot>,
}

impl Sketch {
    fn height(&self) -> f64 {
        HEIGHT * self.scale
    }

    fn spot(&self, tooth: Tooth) -> Option<Spot> {
        let (beside, behind, half, turned) =
            *SHAPES.get(usize::from(tooth.iso() % 10).checked_sub(1)?)?;
        let (beside, behind) = (beside * self.scale, behind * self.scale);
        let (middle, y, down) = match tooth.arch() {
            Arch::Upper => (MIDDLES[0], 3.5 + behind, 1.0),
            Arch::Lower => (MIDDLES[1], self.height() - 3.5 - behind, -1.0),
        };
        Some(Spot {
            middle: at(middle + toward(tooth.side()) * beside, y),
            half: (half.0 * self.scale, half.1 * self.scale),
            turned: turned * toward(tooth.side()) * down,
        })
    }

    fn arches(&mut self, document: &Prescription, changed: &[Tooth]) {
        for middle in MIDDLES {
            let ends = vec![at(middle, 1.0), at(middle, self.height() - 1.0)];
            self.shapes.push(broken(ends, Pen::Hair));
        }
        for tooth in shown_teeth(document, changed) {
            let Some(spot) = self.spot(tooth) else {
                continue;
            };
            let side = 6.4 * self.scale;
            self.taken.push(Taken::about(spot.middle, side, side));
            let is_changed = changed.contains(&tooth);
            self.shapes.push(Shape::Oval {
                middle: spot.middle,
                half: spot.half,
                turned: spot.turned,
                pen: if is_changed { Pen::Heavy } else { Pen::Plain },
                ground: Ground::Paper,
            });
            if is_changed {
                self.shapes.extend(stripes(&spot));
            }
        }
        let low = self.height() - 2.0;
        for (place, size, word) in [
            (at(5.0, 8.0), SIDE_WORDS, "R"),
            (at(71.0, 8.0), SIDE_WORDS, "L"),
            (at(MIDDLES[0], low), SMALL_WORDS, "upper"),
            (at(81.0, low), SIDE_WORDS, "R"),
            (at(147.0, low), SIDE_WORDS, "L"),
            (at(MIDDLES[1], 5.0), SMALL_WORDS, "lower"),
        ] {
            let above = at(place.x, place.y - size / 2.5);
            self.taken
                .push(Taken::about(above, width_of(word, size) + 2.0, size));
            if size < SIDE_WORDS {
                let half = width_of(word, size) / 2.0 + 0.5;
                self.marks.push(Shape::Bare {
                    from: at(place.x - half, place.y - size * 0.8),
                    to: at(place.x + half, place.y + 1.2),
                });
            }
            self.marks.push(run(place, size, true, word));
        }
    }

    /// Number, amount and arrow in the middle of the teeth of one arch.
    fn mark(&mut self, number: usize, part: &NetPart, arch: Arch, teeth: &[Tooth]) {
        let of_arch = teeth.iter().filter(|tooth| tooth.arch() == arch);
        let places = of_arch.filter_map(|tooth| Some(self.spot(*tooth)?.middle));
        let Some(from) = middle_of(places) else {
            return;
        };
        let (dx, dy, length) = in_picture(part, arch);
        if length > 0.0 {
            let to = at(from.x + dx / length * ARROW, from.y + dy / length * ARROW);
            let (from, to) = self.kept_inside(from, to);
            let middle = at((from.x + to.x) / 2.0, (from.y + to.y) / 2.0);
            let (width, height) = ((to.x - from.x).abs() + 3.0, (to.y - from.y).abs() + 3.0);
            self.taken.push(Taken::about(middle, width, height));
            self.marks.insert(0, Shape::Arrow { from, to });
        }
        let of_arch: Vec<Tooth> = (teeth.iter().copied())
            .filter(|tooth| tooth.arch() == arch)
            .collect();
        self.number(number, from, part, (arch, half_of(&of_arch)));
    }

    /// An arrow that would leave the picture begins so much earlier.
    fn kept_inside(&self, from: SketchPoint, to: SketchPoint) -> (SketchPoint, SketchPoint) {
        if self.places == NumberPlaces::Anywhere {
            return (from, to);
        }
        const EDGE: f64 = 1.5;
        let over = |place: f64, most: f64| place.clamp(EDGE, most - EDGE) - place;
        let (x, y) = (over(to.x, WIDTH), over(to.y, self.height()));
        (at(from.x + x, from.y + y), at(to.x + x, to.y + y))
    }

    fn number(
        &mut self,
        which: usize,
        from: SketchPoint,
        part: &NetPart,
        (arch, half): (Arch, Option<f64>),
    ) {
        let amounts = amounts(part);
        let widths = amounts.iter().map(|text| width_of(text, SMALL_WORDS) * 1.1);
        let width = widths.fold(2.0 * RING, f64::max) + 1.0;
        let height = 2.0 * RING + amounts.len() as f64 * LINE + 1.0;
        let wanted = self.preferred(from, arch);
        let own_side = match self.places {
            NumberPlaces::Anywhere => None,
            NumberPlaces::OwnSide => self.free_place(wanted, (width, height), (arch, half)),
        };
        let anywhere = || self.free_place(wanted, (width, height), (arch, None));
        // Where the picture is full, the list alone has the number.
        let Some(middle) = own_side.or_else(anywhere) else {
            return;
        };
        let ring = at(middle.x, middle.y - height / 2.0 + RING + 0.5);
        let is_far = (middle.x - from.x).hypot(middle.y - from.y) > 18.0;
        let own = Taken::about(middle, width, height);
        let bare = Shape::Bare {
            from: at(own.from.x, ring.y),
            to: own.to,
        };
        let hair = line(vec![from, ring], Pen::Hair);
        match self.places {
            NumberPlaces::Anywhere => {
                if is_far {
                    self.marks.insert(0, hair);
                }
                self.marks.push(bare);
            }
            NumberPlaces::OwnSide => {
                let is_led = is_far || is_nearer_to_another(ring, which, &self.spots);
                self.lines.extend(is_led.then_some(hair));
                self.bares.push(bare);
            }
        }
        self.taken.push(own);
        self.marks.push(Shape::Oval {
            middle: ring,
            half: (RING, RING),
            turned: 0.0,
            pen: Pen::Plain,
            ground: Ground::Paper,
        });
        let digit = at(ring.x, ring.y + 1.9);
        self.marks
            .push(run(digit, NUMBER_WORDS, true, which.to_string()));
        for (line, text) in amounts.into_iter().enumerate() {
            let baseline = ring.y + RING + LINE * (line + 1) as f64 - 0.8;
            self.marks
                .push(run(at(ring.x, baseline), SMALL_WORDS, true, text));
        }
    }

    /// Inside of the arch, beside posterior teeth and behind the front ones.
    fn preferred(&self, from: SketchPoint, arch: Arch) -> SketchPoint {
        let middle = match arch {
            Arch::Upper => MIDDLES[0],
            Arch::Lower => MIDDLES[1],
        };
        let inward = (middle - from.x).signum();
        if (middle - from.x).abs() > 12.0 * self.scale {
            return at(from.x + inward * 12.0, from.y);
        }
        match arch {
            Arch::Upper => at(from.x, from.y + 14.0),
            Arch::Lower => at(from.x, from.y - 14.0),
        }
    }

    /// The place of this arch nearest to the wanted one where nothing lies.
    fn free_place(
        &self,
        wanted: SketchPoint,
        (width, height): (f64, f64),
        (arch, half): (Arch, Option<f64>),
    ) -> Option<SketchPoint> {
        let (left, right, middle) = match arch {
            Arch::Upper => (0.5, WIDTH / 2.0 - 1.0, MIDDLES[0]),
            Arch::Lower => (WIDTH / 2.0 + 1.0, WIDTH - 0.5, MIDDLES[1]),
        };
        let is_free = |place: &SketchPoint| {
            let own = Taken::about(*place, width, height);
            let is_inside = own.from.x >= left
                && own.to.x <= right
                && own.from.y >= 0.0
                && own.to.y <= self.height();
            let is_own = half.is_none_or(|half| own.is_in_half(middle, half));
            is_inside && is_own && !self.taken.iter().any(|taken| taken.meets(&own))
        };
        places_about(wanted, 2.0, 24).find(is_free)
    }

    fn finish(self) -> Picture {
        let height_mm = self.height();
        let mut shapes = self.shapes;
        shapes.extend(self.bares);
        shapes.extend(self.lines);
        shapes.extend(self.marks);
        Picture {
            width_mm: WIDTH,
            height_mm,
            shapes,
        }
    }
}

/// Lines across a tooth, from edge to edge.
fn stripes(spot: &Spot) -> impl Iterator<Item = Shape> {
    let (sin, cos) = spot.turned.to_radians().sin_cos();
    let (along, across) = spot.half;
    let middle = spot.middle;
    [-0.55, 0.0, 0.55].into_iter().map(move |share: f64| {
        let (x, reach) = (along * share, across * (1.0 - share * share).sqrt() * 0.9);
        let point = |y: f64| at(middle.x + x * cos - y * sin, middle.y + x * sin + y * cos);
        line(vec![point(-reach), point(reach)], Pen::Plain)
    })
}
