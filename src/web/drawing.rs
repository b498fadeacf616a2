//! Two sketches that follow the values of the form: the face from the front, and both arches.
//!
//! Patient's right is on the left of each picture. Places are in whole pixels of a picture 320 wide and
//! no measure of the mouth: what would leave the picture is drawn at its edge, and the words beside it,
//! which are also the picture's description, say the true number.

use crate::domain::arch::Arch;
use crate::domain::changes::{self, NetPart};
use crate::domain::measure::Mm;
use crate::domain::prescription::{ChangedPart, Prescription, Whole};
use crate::domain::tooth::{Side, Tooth};
use askama::Template;

/// Where the middle of the face lies, and how many pixels stand for a millimetre there.
const FACE_MIDDLE: f64 = 125.0;
const FACE_SCALE: f64 = 4.0;
/// The lip line and the top of the bars.
const LIP: i64 = 190;
const BAR_TOP: f64 = 120.0;
/// Where the middle of both arches lies.
const ARCH_MIDDLE: f64 = 160.0;
/// The front of the upper arch and of the lower one; the lower is seen with its front below.
const UPPER_FRONT: f64 = 18.0;
const LOWER_FRONT: f64 = 382.0;
const ARROW_SCALE: f64 = 9.0;
const LONGEST_ARROW: f64 = 36.0;

/// A place in a picture.
pub type At = (i64, i64);

pub struct Bar {
    pub x: i64,
    pub end: i64,
    pub name: &'static str,
    pub value: String,
}

pub struct Face {
    pub lip: i64,
    pub edge: Option<i64>,
    pub new_edge: Option<i64>,
    /// Heights of the plane at the patient's right and left.
    pub plane: Option<(i64, i64)>,
    pub midline: Option<i64>,
    pub bars: Vec<Bar>,
    pub words: Vec<String>,
}

pub struct ToothMark {
    pub x: i64,
    pub y: i64,
    pub rx: i64,
    pub ry: i64,
    pub is_changed: bool,
}

pub struct Arrow {
    pub from: At,
    pub to: At,
    pub barbs: (At, At),
}

/// The number of a change, beside what it is made to.
pub struct Mark {
    pub x: i64,
    pub y: i64,
    pub number: usize,
}

pub struct Arches {
    pub teeth: Vec<ToothMark>,
    pub arrows: Vec<Arrow>,
    pub marks: Vec<Mark>,
    pub words: Vec<String>,
}

pub struct Drawings {
    pub face: Face,
    pub arches: Arches,
}

/// The drawings alone, for the script that renews them while one types.
#[derive(Template)]
#[template(path = "partials/drawings.html")]
pub struct DrawingsPart {
    pub drawings: Drawings,
}

impl Drawings {
    pub fn of(document: &Prescription) -> Drawings {
        Drawings {
            face: face(document),
            arches: arches(document),
        }
    }
}

fn px(value: f64) -> i64 {
    value.round() as i64
}

/// Millimetres as drawn, and whether that is less than they are.
fn clamped(mm: f64, most: f64) -> (f64, &'static str) {
    if mm.abs() > most {
        (mm.clamp(-most, most), " It is drawn smaller than it is.")
    } else {
        (mm, "")
    }
}

fn face(document: &Prescription) -> Face {
    let mut words = Vec::new();
    let midline = midline(document, &mut words);
    let plane = plane(document, &mut words);
    let (edge, new_edge) = edges(document, &mut words);
    let bars = bars(document, &mut words);
    if words.is_empty() {
        words.push(
            "Midline, plane, incisal length and heights are drawn once they are written."
                .to_owned(),
        );
    }
    Face {
        lip: LIP,
        edge,
        new_edge,
        plane,
        midline,
        bars,
        words,
    }
}

fn midline(document: &Prescription, words: &mut Vec<String>) -> Option<i64> {
    let by = document.anterior.midline_offset_mm?;
    if by.hundredths() == 0 {
        words.push("Midline: kept.".to_owned());
        return Some(px(FACE_MIDDLE));
    }
    let Some(side) = document.anterior.midline_side else {
        words.push(format!(
            "Midline: moved by {by} mm; to which side is not said, so that it is not drawn."
        ));
        return None;
    };
    let (drawn, remark) = clamped(by.to_f64(), 8.0);
    words.push(format!(
        "Midline: moved by {by} mm to the {}.{remark}",
        side.shown()
    ));
    Some(px(FACE_MIDDLE + toward(side) * drawn * FACE_SCALE))
}

/// The patient's right is on the left of the picture.
fn toward(side: Side) -> f64 {
    match side {
        Side::Right => -1.0,
        Side::Left => 1.0,
    }
}

fn plane(document: &Prescription, words: &mut Vec<String>) -> Option<(i64, i64)> {
    const LEVEL: f64 = 205.0;
    let tilt = document.plane.tilt_mm?;
    if tilt.hundredths() == 0 {
        words.push("Occlusal plane: level from right to left.".to_owned());
        return Some((px(LEVEL), px(LEVEL)));
    }
    let Some(side) = document.plane.lower_side else {
        words.push(format!("Occlusal plane: one side {tilt} mm lower; which one is not said, so that it is not drawn."));
        return None;
    };
    let (drawn, remark) = clamped(tilt.to_f64(), 6.0);
    words.push(format!(
        "Occlusal plane: {} lower by {tilt} mm.{remark}",
        side.shown()
    ));
    // Half of the difference on each side; lower is further down the picture.
    let half = toward(side) * drawn * FACE_SCALE / 2.0;
    Some((px(LEVEL - half), px(LEVEL + half)))
}

fn edges(document: &Prescription, words: &mut Vec<String>) -> (Option<i64>, Option<i64>) {
    let anterior = &document.anterior;
    let show = anterior.incisal_show_mm;
    let change = anterior.incisal_change_mm.filter(|mm| mm.hundredths() != 0);
    let at = |mm: f64| px(LIP as f64 + mm * FACE_SCALE);
    let mut edge = None;
    if let Some(show) = show {
        let (drawn, remark) = clamped(show.to_f64(), 9.0);
        let place = if show.hundredths() < 0 {
            "above"
        } else {
            "below"
        };
        words.push(format!(
            "Upper incisal edge: {} mm {place} the lip at rest.{remark}",
            size(show)
        ));
        edge = Some(at(drawn));
    }
    let new = change.map(|change| {
        let (drawn, remark) = clamped(show.map_or(0.0, Mm::to_f64) + change.to_f64(), 9.0);
        let longer = if change.hundredths() < 0 {
            "shorter"
        } else {
            "longer"
        };
        words.push(format!(
            "Incisal length: {} mm {longer}, the broken line.{remark}",
            size(change)
        ));
        at(drawn)
    });
    (edge, new)
}

fn size(mm: Mm) -> Mm {
    Mm::from_hundredths(mm.hundredths().saturating_abs())
}

/// Rest and occlusal height side by side, from one top.
fn bars(document: &Prescription, words: &mut Vec<String>) -> Vec<Bar> {
    let vertical = &document.vertical;
    let heights = [
        ("rest", 232, vertical.rest_mm),
        ("occlusal", 287, vertical.occlusal_mm),
    ];
    let known: Vec<(&'static str, i64, Mm)> = heights
        .into_iter()
        .filter_map(|(name, x, mm)| Some((name, x, mm?)))
        .collect();
    let bar = |(name, x, mm): (&'static str, i64, Mm)| {
        let (drawn, remark) = clamped(mm.to_f64(), 100.0);
        words.push(format!("Height, {name}: {mm} mm.{remark}"));
        Bar {
            x,
            end: px(BAR_TOP + drawn * 1.5),
            name,
            value: mm.to_string(),
        }
    };
    known.into_iter().map(bar).collect()
}

/// Distance from the midline and from the front, and the two half axes, of the teeth from the central
/// incisor to the third molar: a drawing of an arch, not a measurement.
const SHAPES: [(f64, f64, i64, i64); 8] = [
    (10.0, 0.0, 9, 7),
    (28.0, 5.0, 8, 7),
    (45.0, 15.0, 9, 8),
    (59.0, 32.0, 10, 8),
    (69.0, 51.0, 10, 9),
    (77.0, 75.0, 12, 13),
    (83.0, 102.0, 12, 12),
    (87.0, 126.0, 11, 11),
];

/// Middle and half axes of a tooth in the picture.
fn shape(tooth: Tooth) -> Option<(f64, f64, i64, i64)> {
    let place = usize::from(tooth.iso() % 10).checked_sub(1)?;
    let (beside, behind, rx, ry) = *SHAPES.get(place)?;
    let x = ARCH_MIDDLE + toward(tooth.side()) * beside;
    let y = match tooth.arch() {
        Arch::Upper => UPPER_FRONT + behind,
        Arch::Lower => LOWER_FRONT - behind,
    };
    Some((x, y, rx, ry))
}

/// The teeth that a part of the change list means; none for what is no tooth.
fn teeth_of(part: &NetPart) -> Vec<Tooth> {
    let is_in = |tooth: &Tooth| {
        let place = tooth.iso() % 10;
        let (is_upper, is_right) = (tooth.arch() == Arch::Upper, tooth.side() == Side::Right);
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

fn arches(document: &Prescription) -> Arches {
    let net = changes::net(&document.pattern.changes);
    let changed: Vec<Vec<Tooth>> = net.parts.iter().map(teeth_of).collect();
    let mut picture = Arches {
        teeth: all_teeth(document, &changed.concat()),
        arrows: Vec::new(),
        marks: Vec::new(),
        words: Vec::new(),
    };
    for (place, (part, teeth)) in net.parts.iter().zip(&changed).enumerate() {
        for arch in [Arch::Upper, Arch::Lower] {
            picture.mark(place + 1, part, arch, teeth);
        }
        picture.words.push(told(place + 1, part, teeth));
    }
    picture
}

fn all_teeth(document: &Prescription, changed: &[Tooth]) -> Vec<ToothMark> {
    let posterior = &document.posterior;
    let has_eight = |tooth: &Tooth| {
        let count = match tooth.arch() {
            Arch::Upper => posterior.teeth_upper,
            Arch::Lower => posterior.teeth_lower,
        };
        changed.contains(tooth) || count.map(Whole::get) == Some(16)
    };
    let mark = |tooth: Tooth| {
        let (x, y, rx, ry) = shape(tooth)?;
        let is_changed = changed.contains(&tooth);
        Some(ToothMark {
            x: px(x),
            y: px(y),
            rx,
            ry,
            is_changed,
        })
    };
    Tooth::all()
        .filter(|tooth| tooth.iso() % 10 < 8 || has_eight(tooth))
        .filter_map(mark)
        .collect()
}

fn told(number: usize, part: &NetPart, teeth: &[Tooth]) -> String {
    let name = match part.place.tooth {
        Some(tooth) => tooth.words(),
        None => part.place.what.shown().to_owned(),
    };
    let what = if part.movement.is_none() {
        "no movement along an axis; see the list".to_owned()
    } else {
        part.movement.words()
    };
    let where_drawn = match (teeth.is_empty(), is_short(part)) {
        (true, _) => " Not drawn on the arch.",
        (false, true) => " The arrow is shorter than to scale.",
        (false, false) => "",
    };
    format!("{number}: {name}, {what}.{where_drawn}")
}

fn is_short(part: &NetPart) -> bool {
    let (right, forward) = (part.movement.right.to_f64(), part.movement.forward.to_f64());
    right.hypot(forward) * ARROW_SCALE > LONGEST_ARROW
}

impl Arches {
    /// Number and arrow in the middle of the teeth of one arch.
    fn mark(&mut self, number: usize, part: &NetPart, arch: Arch, teeth: &[Tooth]) {
        let places: Vec<(f64, f64)> = teeth
            .iter()
            .filter(|tooth| tooth.arch() == arch)
            .filter_map(|tooth| shape(*tooth))
            .map(|(x, y, ..)| (x, y))
            .collect();
        if places.is_empty() {
            return;
        }
        let count = places.len() as f64;
        let x = places.iter().map(|place| place.0).sum::<f64>() / count;
        let y = places.iter().map(|place| place.1).sum::<f64>() / count;
        self.arrows.extend(arrow((x, y), part, arch));
        let (x, y) = self.free_place((x, y), part, arch);
        self.marks.push(Mark { x, y, number });
    }
}

impl Arches {
    /// Where neither tooth nor arrow lies: inside the arch, or outside it where the arrow points inward
    /// from behind; and beside the numbers already there.
    fn free_place(&self, (x, y): (f64, f64), part: &NetPart, arch: Arch) -> At {
        let inward = if arch == Arch::Upper { 1.0 } else { -1.0 };
        let is_behind = (ARCH_MIDDLE - x).abs() > 50.0;
        let (aside, along) = if is_behind {
            (aside(x, part), 0.0)
        } else {
            (0.0, inward * 52.0)
        };
        let mut place = (px(x + aside), px(y + along));
        let is_taken = |place: At, marks: &[Mark]| {
            let near = |mark: &Mark| (mark.x - place.0).abs() < 22 && (mark.y - place.1).abs() < 22;
            marks.iter().any(near)
        };
        // Each step leaves a taken number behind, so that it ends after as many steps as there are numbers.
        for _ in 0..self.marks.len() {
            if is_taken(place, &self.marks) {
                place.0 += if x > ARCH_MIDDLE { -22 } else { 22 };
            }
        }
        place
    }
}

/// How far beside a posterior tooth its number stands, away from where the arrow points.
fn aside(x: f64, part: &NetPart) -> f64 {
    let to_middle = (ARCH_MIDDLE - x).signum();
    let points = -part.movement.right.to_f64() * to_middle;
    to_middle * if points > 0.0 { -30.0 } else { 30.0 }
}

/// The movement in the plane of the picture; `None` where there is none.
fn arrow(from: (f64, f64), part: &NetPart, arch: Arch) -> Option<Arrow> {
    let forward = part.movement.forward.to_f64();
    let dx = -part.movement.right.to_f64();
    let dy = if arch == Arch::Upper {
        -forward
    } else {
        forward
    };
    let length = dx.hypot(dy);
    if length == 0.0 {
        return None;
    }
    // An arrow shorter than its barbs could not be read.
    let drawn = (length * ARROW_SCALE).clamp(20.0, LONGEST_ARROW);
    let (ux, uy) = (dx / length, dy / length);
    let to = (from.0 + ux * drawn, from.1 + uy * drawn);
    let barb = |aside: f64| {
        let (x, y) = (to.0 - ux * 8.0 - uy * aside, to.1 - uy * 8.0 + ux * aside);
        (px(x), px(y))
    };
    Some(Arrow {
        from: (px(from.0), px(from.1)),
        to: (px(to.0), px(to.1)),
        barbs: (barb(6.0), barb(-6.0)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::party::Numbering;
    use crate::domain::prescription::{self, Raw};

    fn drawn(fields: &[(&str, &str)]) -> Drawings {
        let pair = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
        let raw: Raw = fields.iter().map(pair).collect();
        Drawings::of(&prescription::read(&raw, Numbering::Iso3950).document)
    }

    #[test]
    fn the_patients_right_is_on_the_left_of_the_picture() {
        let offset = ("anterior.midline_offset_mm", "2");
        let right = drawn(&[offset, ("anterior.midline_side", "right")]);
        let left = drawn(&[offset, ("anterior.midline_side", "left")]);
        assert!(right.face.midline.unwrap() < 125 && left.face.midline.unwrap() > 125);
        let lower = drawn(&[("plane.tilt_mm", "2"), ("plane.lower_side", "right")]);
        let (at_right, at_left) = lower.face.plane.unwrap();
        assert!(at_right > at_left, "further down is lower");
        let moved = drawn(&[
            ("changes.0.what", "upper_front"),
            ("changes.0.direction", "right"),
            ("changes.0.mm", "2"),
        ]);
        let arrow = moved.arches.arrows.first().unwrap();
        assert!(arrow.to.0 < arrow.from.0 && arrow.to.1 == arrow.from.1);
    }

    #[test]
    fn what_would_leave_the_picture_is_drawn_at_its_edge_and_said() {
        let odd = drawn(&[
            ("anterior.midline_offset_mm", "15"),
            ("anterior.midline_side", "left"),
            ("vertical.rest_mm", "120"),
        ]);
        assert_eq!(odd.face.midline, Some(157));
        assert_eq!(odd.face.bars.first().unwrap().end, 270);
        let words = odd.face.words.join(" ");
        assert!(words.contains("15 mm to the patient’s left. It is drawn smaller than it is."));
        assert!(words.contains("120 mm. It is drawn smaller than it is."));
    }

    #[test]
    fn a_side_that_is_not_said_is_not_guessed() {
        let unsaid = drawn(&[("anterior.midline_offset_mm", "2"), ("plane.tilt_mm", "2")]);
        assert!(unsaid.face.midline.is_none() && unsaid.face.plane.is_none());
        assert!(unsaid.face.words.join(" ").contains("not said"));
    }

    #[test]
    fn a_bite_block_is_marked_in_both_arches_and_a_flange_in_words_only() {
        let block = drawn(&[
            ("changes.0.what", "left_block"),
            ("changes.0.direction", "inward"),
            ("changes.0.mm", "1"),
            ("changes.1.what", "upper_flange"),
            ("changes.1.direction", "thinner"),
            ("changes.1.mm", "1"),
        ]);
        assert_eq!(block.arches.marks.len(), 2);
        assert_eq!(block.arches.arrows.len(), 2);
        let (marks, arrows) = (&block.arches.marks, &block.arches.arrows);
        for (mark, arrow) in marks.iter().zip(arrows) {
            assert!(arrow.to.0 < arrow.from.0, "inward on the patient’s left");
            assert!(mark.x > arrow.from.0, "the number stands on the other side");
        }
        let changed = block.arches.teeth.iter().filter(|tooth| tooth.is_changed);
        assert_eq!(changed.count(), 8, "four teeth of each arch");
        assert!(
            block
                .arches
                .words
                .join(" ")
                .contains("Not drawn on the arch.")
        );
    }
}
