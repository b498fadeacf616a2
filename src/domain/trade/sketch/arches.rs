//! Both arches on their chewing side: what the change list moves, with arrows, and the list as a table.

use super::shape::{
    Anchor, ChangedSpot, Ground, NumberPlaces, Pen, Picture, SMALL_MM, Shape, SketchPoint, at,
    broken, half_of, is_nearer_to_another, line, middle_of, number, sides, size, toward, width_of,
    words,
};
use crate::domain::form::Whole;
use crate::domain::prescription::{Change, ChangedPart, Prescription};
use crate::domain::trade::changes::{self, NetPart};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::{Mm, tenths};
use crate::domain::values::moment::show_date;
use crate::domain::values::tooth::{PatientSide, Tooth};
use std::collections::BTreeSet;

const WIDTH: f64 = 104.0;
const HEIGHT: f64 = 131.0;
/// Where the middle of both arches lies.
const MIDDLE: f64 = 52.0;
/// The front of the upper arch and of the lower one; the lower is seen with its front below.
const UPPER_FRONT: f64 = 14.0;
const LOWER_FRONT: f64 = 117.0;
/// Drawn millimetres for each millimetre of movement, and how short and long an arrow is drawn.
const ARROW_SCALE: f64 = 3.0;
const SHORTEST_ARROW: f64 = 10.0;
const LONGEST_ARROW: f64 = 13.5;
/// Radius of the ring about a change's number.
const RING: f64 = 3.7;
/// From one line of a mark to the next.
const MARK_LINE: f64 = 5.2;

/// What the change list comes to for one part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangeRow {
    /// The number that stands in the picture; none for a row that cannot be added up.
    pub number: Option<usize>,
    pub part: String,
    pub change: String,
    /// The days on which it was found in the mouth; empty where none is written.
    pub seen_on: String,
}

/// The arches, and the change list that they draw.
#[derive(Debug, Clone, PartialEq)]
pub struct ArchesSketch {
    pub picture: Picture,
    pub rows: Vec<ChangeRow>,
}

impl ArchesSketch {
    pub fn of(document: &Prescription, places: NumberPlaces) -> ArchesSketch {
        let list = &document.pattern.changes;
        let net = changes::net(list);
        let changed: Vec<Vec<Tooth>> = net.parts.iter().map(teeth_of).collect();
        let mut sketch = Sketch::new(document, &changed.concat(), places);
        sketch.spots = spots(&changed, |tooth| Some(place(tooth)?.middle));
        let mut rows = Vec::new();
        for (place, (part, teeth)) in net.parts.iter().zip(&changed).enumerate() {
            for arch in [Arch::Upper, Arch::Lower] {
                sketch.mark(place + 1, part, arch, teeth);
            }
            rows.push(ChangeRow {
                number: Some(place + 1),
                part: part.name(),
                change: said(part, teeth),
                seen_on: seen_on(list, &part.rows),
            });
        }
        rows.extend(
            net.unclear
                .iter()
                .map(|(row, why)| unclear(list, *row, why)),
        );
        ArchesSketch {
            picture: sketch.finish(),
            rows,
        }
    }

    /// Whether any row says when it was seen.
    pub fn is_dated(&self) -> bool {
        self.rows.iter().any(|row| !row.seen_on.is_empty())
    }

    /// The rows in words, which describe the picture to who cannot see it.
    pub fn words(&self) -> Vec<String> {
        let said = |row: &ChangeRow| {
            let number = row
                .number
                .map(|number| format!("{number}: "))
                .unwrap_or_default();
            format!("{number}{}, {}", row.part, row.change)
        };
        self.rows.iter().map(said).collect()
    }
}

fn seen_on(list: &[Change], rows: &[usize]) -> String {
    let days: BTreeSet<_> = rows.iter().filter_map(|row| list.get(*row)?.date).collect();
    let shown: Vec<String> = days.into_iter().map(|day| show_date(day.date())).collect();
    shown.join(", ")
}

fn unclear(list: &[Change], row: usize, why: &str) -> ChangeRow {
    let change = list.get(row);
    let part = change
        .and_then(|change| change.what)
        .map(ChangedPart::shown);
    let way = change
        .and_then(|change| change.direction)
        .map(|way| way.shown());
    ChangeRow {
        number: None,
        part: part.unwrap_or("not said what").to_owned(),
        change: match way {
            Some(way) => format!("{way}. {why}"),
            None => why.to_owned(),
        },
        seen_on: seen_on(list, &[row]),
    }
}

/// The sum in words, and what of it the picture cannot show.
fn said(part: &NetPart, teeth: &[Tooth]) -> String {
    let sum = part.words();
    let sum = if sum.is_empty() {
        "no movement: the rows undo each other".to_owned()
    } else {
        sum.join(", ")
    };
    let remark = if teeth.is_empty() {
        " Not drawn on the arch."
    } else if in_picture(part, Arch::Upper).2 * ARROW_SCALE > LONGEST_ARROW {
        " The arrow is shorter than to scale."
    } else {
        ""
    };
    format!("{sum}.{remark}")
}

/// The movement in the plane of the picture, and its length in mm of the mouth.
pub(super) fn in_picture(part: &NetPart, arch: Arch) -> (f64, f64, f64) {
    let (right, forward) = (part.movement.right.to_f64(), part.movement.forward.to_f64());
    let down = match arch {
        Arch::Upper => -forward,
        Arch::Lower => forward,
    };
    (-right, down, right.hypot(forward))
}

/// Distance from the midline and from the front, the half axes along and across the arch, and how far
/// the first is turned, of the teeth from the central incisor to the third molar: a drawing of an arch,
/// not a measurement.
pub(super) const SHAPES: [(f64, f64, (f64, f64), f64); 8] = [
    (3.3, 0.0, (3.0, 2.2), 10.0),
    (9.3, 1.7, (2.6, 2.1), 25.0),
    (14.8, 5.2, (2.9, 2.5), 46.0),
    (19.2, 10.8, (2.9, 3.0), 60.0),
    (22.5, 17.0, (2.9, 3.1), 68.0),
    (25.2, 24.9, (4.0, 3.7), 75.0),
    (27.1, 33.8, (4.0, 3.6), 81.0),
    (28.4, 42.0, (3.4, 3.3), 85.0),
];

struct Place {
    middle: SketchPoint,
    half: (f64, f64),
    turned: f64,
}

/// Where a tooth stands in the picture.
fn place(tooth: Tooth) -> Option<Place> {
    let (beside, behind, half, turned) =
        *SHAPES.get(usize::from(tooth.iso() % 10).checked_sub(1)?)?;
    let (y, down) = match tooth.arch() {
        Arch::Upper => (UPPER_FRONT + behind, 1.0),
        Arch::Lower => (LOWER_FRONT - behind, -1.0),
    };
    Some(Place {
        middle: at(MIDDLE + toward(tooth.side()) * beside, y),
        half,
        turned: turned * toward(tooth.side()) * down,
    })
}

/// The teeth that a part of the change list means; none for what is no tooth.
pub(super) fn teeth_of(part: &NetPart) -> Vec<Tooth> {
    let is_in = |tooth: &Tooth| {
        let place = tooth.iso() % 10;
        let (is_upper, is_right) = (
            tooth.arch() == Arch::Upper,
            tooth.side() == PatientSide::Right,
        );
        let (is_front, is_back) = (place <= 3, (4..=7).contains(&place));
        match part.place.what {
            ChangedPart::Tooth => part.place.tooth == Some(*tooth),
            ChangedPart::UpperFront => is_upper && is_front,
            ChangedPart::LowerFront => !is_upper && is_front,
            ChangedPart::UpperIncisors => is_upper && place <= 2,
            ChangedPart::LowerIncisors => !is_upper && place <= 2,
            ChangedPart::UpperRightBack => is_upper && is_right && is_back,
            ChangedPart::UpperLeftBack => is_upper && !is_right && is_back,
            ChangedPart::LowerRightBack => !is_upper && is_right && is_back,
            ChangedPart::LowerLeftBack => !is_upper && !is_right && is_back,
            ChangedPart::RightBlock => is_right && is_back,
            ChangedPart::LeftBlock => !is_right && is_back,
            ChangedPart::UpperArch => is_upper && place <= 7,
            ChangedPart::LowerArch => !is_upper && place <= 7,
            ChangedPart::Plane
            | ChangedPart::Midline
            | ChangedPart::UpperFlange
            | ChangedPart::LowerFlange
            | ChangedPart::Palate
            | ChangedPart::GumLine
            | ChangedPart::Other => false,
        }
    };
    Tooth::all().filter(is_in).collect()
}

/// Each changed tooth with the number of its change.
pub(super) fn spots(
    changed: &[Vec<Tooth>],
    place: impl Fn(Tooth) -> Option<SketchPoint>,
) -> Vec<ChangedSpot> {
    let mut spots = Vec::new();
    for (number, teeth) in changed.iter().enumerate() {
        let places = teeth.iter().filter_map(|tooth| place(*tooth));
        spots.extend(places.map(|at| (number + 1, at)));
    }
    spots
}

/// The teeth of the picture: the last molars only where they are changed, or where the arch has all of its teeth.
pub(super) fn shown_teeth(
    document: &Prescription,
    changed: &[Tooth],
) -> impl Iterator<Item = Tooth> {
    let posterior = &document.posterior;
    Tooth::all().filter(move |tooth| {
        let count = match tooth.arch() {
            Arch::Upper => posterior.teeth_upper,
            Arch::Lower => posterior.teeth_lower,
        };
        tooth.iso() % 10 < 8 || changed.contains(tooth) || count.map(Whole::get) == Some(16)
    })
}

/// Rings of places about a wanted one, the nearer first, each so many millimetres from the next.
pub(super) fn places_about(
    wanted: SketchPoint,
    step_mm: f64,
    rings: i32,
) -> impl Iterator<Item = SketchPoint> {
    let ring_of = |ring: i32| {
        let edge = move |(x, y): &(i32, i32)| x.abs() == ring || y.abs() == ring;
        let square = (-ring..=ring).flat_map(move |x| (-ring..=ring).map(move |y| (x, y)));
        square.filter(edge)
    };
    let place = move |(x, y): (i32, i32)| {
        at(
            wanted.x + f64::from(x) * step_mm,
            wanted.y + f64::from(y) * step_mm,
        )
    };
    (0..=rings).flat_map(ring_of).map(place)
}

/// A rectangle that is taken, by its corners.
#[derive(Clone, Copy)]
pub(super) struct Taken {
    pub from: SketchPoint,
    pub to: SketchPoint,
}

impl Taken {
    pub fn about(middle: SketchPoint, width: f64, height: f64) -> Taken {
        Taken {
            from: at(middle.x - width / 2.0, middle.y - height / 2.0),
            to: at(middle.x + width / 2.0, middle.y + height / 2.0),
        }
    }

    pub fn meets(&self, other: &Taken) -> bool {
        self.from.x < other.to.x
            && other.from.x < self.to.x
            && self.from.y < other.to.y
            && other.from.y < self.to.y
    }

    /// Whether it lies in this arch, and in this half of it.
    fn is_within(&self, (arch, half): (Arch, Option<f64>)) -> bool {
        let border = HEIGHT / 2.0;
        let is_of_arch = match arch {
            Arch::Upper => self.to.y <= border,
            Arch::Lower => self.from.y >= border,
        };
        is_of_arch && half.is_none_or(|half| self.is_in_half(MIDDLE, half))
    }

    /// Whether it lies on this side of a middle.
    pub fn is_in_half(&self, middle: f64, half: f64) -> bool {
        match half < 0.0 {
            true => self.to.x <= middle,
            false => self.from.x >= middle,
        }
    }

    fn is_inside(&self) -> bool {
        self.from.x >= 1.0
            && self.from.y >= 1.0
            && self.to.x <= WIDTH - 1.0
            && self.to.y <= HEIGHT - 1.0
    }
}

/// The picture in the making. Numbers are painted last, over everything.
struct Sketch {
    teeth: Vec<Shape>,
    arrows: Vec<Shape>,
    marks: Vec<Shape>,
    taken: Vec<Taken>,
    places: NumberPlaces,
    /// Lines from a number to its teeth: over the bare grounds and below the numbers.
    lines: Vec<Shape>,
    bares: Vec<Shape>,
    spots: Vec<ChangedSpot>,
}

impl Sketch {
    fn new(document: &Prescription, changed: &[Tooth], places: NumberPlaces) -> Sketch {
        let (mut teeth, mut taken) = (Vec::new(), Vec::new());
        for tooth in shown_teeth(document, changed) {
            let Some(place) = place(tooth) else { continue };
            taken.push(Taken::about(place.middle, 6.4, 6.4));
            teeth.push(drawn(&place, changed.contains(&tooth)));
        }
        // R and L at the sides, and the names of the arches in the middle.
        taken.extend([
            Taken::about(at(9.0, 65.5), 9.0, 9.0),
            Taken::about(at(95.0, 65.5), 9.0, 9.0),
            Taken::about(at(MIDDLE, 65.5), 16.0, 16.0),
        ]);
        Sketch {
            teeth,
            arrows: Vec::new(),
            marks: Vec::new(),
            taken,
            places,
            lines: Vec::new(),
            bares: Vec::new(),
            spots: Vec::new(),
        }
    }

    /// Number, amount and arrow in the middle of the teeth of one arch.
    fn mark(&mut self, number: usize, part: &NetPart, arch: Arch, teeth: &[Tooth]) {
        let of_arch = teeth.iter().filter(|tooth| tooth.arch() == arch);
        let places = of_arch.filter_map(|tooth| Some(place(*tooth)?.middle));
        let Some(from) = middle_of(places) else {
            return;
        };
        self.arrow(from, part, arch);
        let of_arch: Vec<Tooth> = (teeth.iter().copied())
            .filter(|tooth| tooth.arch() == arch)
            .collect();
        self.number(number, from, part, (arch, half_of(&of_arch)));
    }

    fn arrow(&mut self, from: SketchPoint, part: &NetPart, arch: Arch) {
        let (dx, dy, length) = in_picture(part, arch);
        if length == 0.0 {
            return;
        }
        // An arrow shorter than its head could not be read.
        let drawn = (length * ARROW_SCALE).clamp(SHORTEST_ARROW, LONGEST_ARROW);
        let to = at(from.x + dx / length * drawn, from.y + dy / length * drawn);
        let middle = at((from.x + to.x) / 2.0, (from.y + to.y) / 2.0);
        let (width, height) = ((to.x - from.x).abs() + 4.0, (to.y - from.y).abs() + 4.0);
        self.taken.push(Taken::about(middle, width, height));
        self.arrows.push(Shape::Arrow { from, to });
    }

    fn number(
        &mut self,
        which: usize,
        from: SketchPoint,
        part: &NetPart,
        (arch, half): (Arch, Option<f64>),
    ) {
        let amounts = amounts(part);
        let widths = amounts.iter().map(|text| width_of(text, SMALL_MM));
        let width = widths.fold(2.0 * RING, f64::max) + 1.0;
        let height = 2.0 * RING + amounts.len() as f64 * MARK_LINE + 1.0;
        let wanted = preferred(from, part, arch);
        let own_side = || self.free_place(wanted, (width, height), Some((arch, half)));
        let middle = match self.places {
            NumberPlaces::Anywhere => None,
            NumberPlaces::OwnSide => own_side(),
        };
        let middle = middle.or_else(|| self.free_place(wanted, (width, height), None));
        let middle = middle.unwrap_or(wanted);
        let ring = at(middle.x, middle.y - height / 2.0 + RING + 0.5);
        let is_far = (middle.x - from.x).hypot(middle.y - from.y) > 20.0;
        let own = Taken::about(middle, width, height);
        self.taken.push(own);
        let bare = Shape::Bare {
            from: at(own.from.x, ring.y),
            to: own.to,
        };
        let hair = line(vec![from, ring], Pen::Hair);
        match self.places {
            NumberPlaces::Anywhere => {
                self.arrows.extend(is_far.then_some(hair));
                self.marks.push(bare);
            }
            NumberPlaces::OwnSide => {
                let is_led = is_far || is_nearer_to_another(ring, which, &self.spots);
                self.lines.extend(is_led.then_some(hair));
                self.bares.push(bare);
            }
        }
        self.marks.push(Shape::Oval {
            middle: ring,
            half: (RING, RING),
            turned: 0.0,
            pen: Pen::Plain,
            ground: Ground::Paper,
        });
        self.marks.push(number(
            at(ring.x, ring.y + 1.9),
            Anchor::Middle,
            which.to_string(),
        ));
        for (line, text) in amounts.into_iter().enumerate() {
            let baseline = ring.y + RING + MARK_LINE * (line + 1) as f64 - 0.8;
            self.marks
                .push(words(at(ring.x, baseline), Anchor::Middle, text));
        }
    }

    /// The place nearest to the wanted one where neither tooth nor arrow nor number lies, within an arch and a half of it
    /// where one is given; none where that is full.
    fn free_place(
        &self,
        wanted: SketchPoint,
        (width, height): (f64, f64),
        within: Option<(Arch, Option<f64>)>,
    ) -> Option<SketchPoint> {
        let is_free = |place: &SketchPoint| {
            let own = Taken::about(*place, width, height);
            own.is_inside()
                && within.is_none_or(|within| own.is_within(within))
                && !self.taken.iter().any(|taken| taken.meets(&own))
        };
        places_about(wanted, 3.0, 12).find(is_free)
    }

    fn finish(self) -> Picture {
        let middle = |from: f64, to: f64| broken(vec![at(MIDDLE, from), at(MIDDLE, to)], Pen::Hair);
        let mut shapes = vec![middle(2.0, 56.5), middle(74.5, 129.0)];
        shapes.extend(self.teeth);
        shapes.extend(self.arrows);
        shapes.extend(self.bares);
        shapes.extend(self.lines);
        shapes.extend(self.marks);
        shapes.extend(sides(at(9.0, 68.4), at(95.0, 68.4)));
        shapes.push(words(at(MIDDLE, 62.7), Anchor::Middle, "upper"));
        shapes.push(words(at(MIDDLE, 71.6), Anchor::Middle, "lower"));
        Picture {
            width_mm: WIDTH,
            height_mm: HEIGHT,
            shapes,
        }
    }
}

fn drawn(place: &Place, is_changed: bool) -> Shape {
    let (pen, ground) = if is_changed {
        (Pen::Heavy, Ground::Grey)
    } else {
        (Pen::Plain, Ground::Paper)
    };
    Shape::Oval {
        middle: place.middle,
        half: place.half,
        turned: place.turned,
        pen,
        ground,
    }
}

/// The millimetres that stand below a number: along the arrow, and what no arrow shows from here.
pub(super) fn amounts(part: &NetPart) -> Vec<String> {
    let mut amounts = Vec::new();
    let (right, forward) = (part.movement.right, part.movement.forward);
    match (right.hundredths(), forward.hundredths()) {
        (0, 0) => {}
        (_, 0) => amounts.push(format!("{} mm", size(right))),
        (0, _) => amounts.push(format!("{} mm", size(forward))),
        _ => amounts.push(format!("{} mm", tenths(in_picture(part, Arch::Upper).2))),
    }
    let upright: Mm = part.movement.up;
    if upright.hundredths() != 0 {
        let way = if upright.hundredths() > 0 {
            "up"
        } else {
            "down"
        };
        amounts.push(format!("{} {way}", size(upright)));
    }
    amounts
}

/// Where a number stands best: inside the arch, or beside it where the arrow points inward from behind.
fn preferred(from: SketchPoint, part: &NetPart, arch: Arch) -> SketchPoint {
    if (MIDDLE - from.x).abs() > 16.0 {
        return at(from.x + beside(from.x, part), from.y);
    }
    match arch {
        Arch::Upper => at(from.x, from.y + 17.0),
        Arch::Lower => at(from.x, from.y - 17.0),
    }
}

/// How far beside a posterior tooth its number stands, away from where the arrow points.
fn beside(x: f64, part: &NetPart) -> f64 {
    let to_middle = (MIDDLE - x).signum();
    let points = -part.movement.right.to_f64() * to_middle;
    to_middle * if points > 0.0 { -12.0 } else { 12.0 }
}
