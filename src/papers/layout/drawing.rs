//! The vector drawing: the midline seen from the front, and the two vertical dimensions.
//!
//! Not to scale, and it says so: a millimetre of midline or of freeway space would vanish in print. The numbers stand
//! beside the lines. R is the patient's right and lies on the left of the sheet, as the face is seen from the front.

use super::flow::Flow;
use super::style::{BIG, LABEL, NUMBER, STRONG, Style};
use super::wrap::wrap;
use crate::papers::content::Drawing;
use crate::papers::page::{Grey, Mark, Point, Stroke};

const HEIGHT_MM: f32 = 54.0;
/// Width of the frontal view; the vertical dimensions stand to its right.
const FRONT_MM: f32 = 104.0;
/// Drawn millimetres for each millimetre of midline offset, so that half a millimetre can be seen.
const EXAGGERATION: f32 = 3.0;
/// Beyond this the drawn line stays within the mouth; the number says the rest.
const FARTHEST_MM: f32 = 18.0;
/// No measurement of a face is larger; such a number is left to the words.
const LARGEST_MM: f32 = 300.0;

const INK: Stroke = Stroke {
    width_mm: 0.3,
    grey: Grey::INK,
    dashed: false,
};
const SOFT: Stroke = Stroke {
    width_mm: 0.2,
    grey: Grey::SOFT,
    dashed: false,
};

/// Sets the drawing, in one piece.
pub fn place_drawing(flow: &mut Flow, drawing: &Drawing) {
    let known = |value: Option<f32>| value.filter(|mm| mm.is_finite() && mm.abs() <= LARGEST_MM);
    let (rest, occlusal) = (known(drawing.rest_mm), known(drawing.occlusal_mm));
    let offset = known(drawing.midline_offset_mm);
    if offset.is_none() && rest.is_none() && occlusal.is_none() {
        return;
    }
    flow.gap(4.0);
    flow.keep(HEIGHT_MM);
    let (top, left) = (flow.y, flow.left());
    front(flow, left, top, offset);
    vertical(flow, left + FRONT_MM + 6.0, top, rest, occlusal);
    flow.y = top + HEIGHT_MM;
}

fn front(flow: &mut Flow, left: f32, top: f32, offset: Option<f32>) {
    let centre = left + FRONT_MM / 2.0;
    flow.text(left, top, LABEL, "Seen from the front, not to scale");
    let letter_top = top + 19.0;
    flow.text(left + 2.0, letter_top, BIG, "R");
    centred(flow, left + FRONT_MM - 8.0, letter_top, BIG, "L");
    for (line, [right, left_word]) in [["patient's", "patient's"], ["right", "left"]]
        .into_iter()
        .enumerate()
    {
        let y = letter_top + 9.5 + line as f32 * LABEL.line_mm();
        flow.text(left + 2.0, y, LABEL, right);
        centred(flow, left + FRONT_MM - 8.0, y, LABEL, left_word);
    }

    let shift = offset.map_or(0.0, |mm| {
        (mm * EXAGGERATION).clamp(-FARTHEST_MM, FARTHEST_MM)
    });
    let mouth = top + 25.0;
    lips(flow, centre, mouth);
    teeth(flow, centre + shift, mouth - 5.5);
    flow.push(Mark::line(
        (centre, top + 6.0),
        (centre, top + 43.0),
        Stroke::dashed(0.25, Grey::INK),
    ));
    centred(flow, centre, top + 43.5, LABEL, "middle of the face");
    if let Some(mm) = offset {
        dental_midline(flow, centre, shift, top, mm);
    }
}

fn dental_midline(flow: &mut Flow, centre: f32, shift: f32, top: f32, mm: f32) {
    let x = centre + shift;
    flow.push(Mark::line(
        (x, top + 13.0),
        (x, top + 36.0),
        Stroke::solid(0.7, Grey::INK),
    ));
    let y = top + 10.5;
    if shift.abs() > 1.0 {
        arrow(flow, (centre, y), (x, y));
    }
    let words = midline_words(mm);
    let width = STRONG.width_mm(&words);
    let start = (centre - width / 2.0).max(flow.left());
    flow.text(start, top + 48.0, STRONG, &words);
}

/// The offset in words, from the patient's side.
pub fn midline_words(mm: f32) -> String {
    let size = format!("{:.1} mm", mm.abs());
    if size == "0.0 mm" {
        "Dental midline in the middle of the face".into()
    } else if mm > 0.0 {
        format!("Dental midline {size} to the patient's left")
    } else {
        format!("Dental midline {size} to the patient's right")
    }
}

fn lips(flow: &mut Flow, centre: f32, y: f32) {
    for (wide, high) in [(31.0, 11.5), (25.0, 7.0)] {
        flow.push(closed(oval(centre, y, wide, high), SOFT));
    }
}

/// Six upper front teeth about the dental midline; widths are those of a common set, halved in their differences.
fn teeth(flow: &mut Flow, midline: f32, top: f32) {
    for side in [-1.0, 1.0] {
        let mut inner = midline;
        for (width, length) in [(7.0, 10.0), (5.5, 8.5), (6.0, 9.5)] {
            let outer = inner + side * width;
            flow.push(tooth(inner, outer, top, top + length));
            inner = outer;
        }
    }
}

/// A tooth with a narrower neck and rounded edge, filled with paper so that the lips pass behind it.
fn tooth(a: f32, b: f32, top: f32, bottom: f32) -> Mark {
    let (left, right) = (a.min(b) + 0.25, a.max(b) - 0.25);
    let (neck, round) = (0.7, 1.4);
    let points = [
        (left + neck, top + 1.0),
        (left + neck + 1.2, top),
        (right - neck - 1.2, top),
        (right - neck, top + 1.0),
        (right, bottom - round),
        (right - round * 0.4, bottom - round * 0.3),
        (right - round, bottom),
        (left + round, bottom),
        (left + round * 0.4, bottom - round * 0.3),
        (left, bottom - round),
    ];
    Mark::Path {
        points: points.iter().map(|(x, y)| Point { x: *x, y: *y }).collect(),
        closed: true,
        stroke: Some(Stroke::solid(0.25, Grey::INK)),
        fill: Some(Grey::PAPER),
    }
}

fn vertical(flow: &mut Flow, left: f32, top: f32, rest: Option<f32>, occlusal: Option<f32>) {
    if rest.is_none() && occlusal.is_none() {
        return;
    }
    flow.text(left, top, LABEL, "Vertical dimension, not to scale");
    let upper = top + 8.0;
    let right = flow.right();
    flow.push(Mark::line((left, upper), (right, upper), INK));
    let difference = match (rest, occlusal) {
        (Some(rest), Some(occlusal)) => rest - occlusal,
        _ => 0.0,
    };
    let drawn = (difference * EXAGGERATION).clamp(-12.0, 12.0);
    let lower = upper + 32.0;
    if let Some(mm) = rest {
        height_bar(
            flow,
            left + 9.0,
            upper,
            lower.min(lower + drawn),
            "Rest",
            mm,
        );
    }
    if let Some(mm) = occlusal {
        height_bar(
            flow,
            left + 33.0,
            upper,
            lower.min(lower - drawn),
            "Occlusal",
            mm,
        );
    }
    if rest.is_some() && occlusal.is_some() {
        let words = format!("Rest less occlusal: {difference:.1} mm");
        for (at, line) in wrap(&words, STRONG, right - left).iter().enumerate() {
            flow.text(
                left,
                top + 48.0 + at as f32 * STRONG.line_mm(),
                STRONG,
                line,
            );
        }
    }
}

/// A measured height: a line with an arrow head at each end, its name and number beside it.
fn height_bar(flow: &mut Flow, x: f32, upper: f32, lower: f32, name: &str, mm: f32) {
    let middle = (upper + lower) / 2.0;
    arrow(flow, (x, middle), (x, upper));
    arrow(flow, (x, middle), (x, lower));
    flow.push(Mark::line((x - 7.0, lower), (x + 11.0, lower), INK));
    flow.text(x + 2.0, middle - 6.0, LABEL, name);
    flow.text(x + 2.0, middle - 2.0, NUMBER, &format!("{mm:.1}"));
    flow.text(x + 2.0, middle + 4.5, LABEL, "mm");
}

fn centred(flow: &mut Flow, centre: f32, top: f32, style: Style, text: &str) {
    flow.text(centre - style.width_mm(text) / 2.0, top, style, text);
}

/// A line with a filled head at its end.
fn arrow(flow: &mut Flow, from: (f32, f32), to: (f32, f32)) {
    let length = (to.0 - from.0).hypot(to.1 - from.1);
    if length < 0.1 {
        return;
    }
    let (ux, uy) = ((to.0 - from.0) / length, (to.1 - from.1) / length);
    let head = 2.2_f32.min(length * 0.8);
    let base = (to.0 - ux * head, to.1 - uy * head);
    flow.push(Mark::line(from, base, INK));
    let points = [
        to,
        (base.0 - uy * head * 0.4, base.1 + ux * head * 0.4),
        (base.0 + uy * head * 0.4, base.1 - ux * head * 0.4),
    ];
    flow.push(Mark::Path {
        points: points.iter().map(|(x, y)| Point { x: *x, y: *y }).collect(),
        closed: true,
        stroke: None,
        fill: Some(Grey::INK),
    });
}

fn oval(x: f32, y: f32, wide: f32, high: f32) -> Vec<Point> {
    const CORNERS: u32 = 48;
    (0..CORNERS)
        .map(|corner| {
            let turn = corner as f32 / CORNERS as f32 * std::f32::consts::TAU;
            Point {
                x: x + wide * turn.cos(),
                y: y + high * turn.sin(),
            }
        })
        .collect()
}

fn closed(points: Vec<Point>, stroke: Stroke) -> Mark {
    Mark::Path {
        points,
        closed: true,
        stroke: Some(stroke),
        fill: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::party::Paper;
    use crate::papers::page::Page;

    fn drawn(drawing: Drawing) -> Page {
        let mut flow = Flow::new(Paper::A4);
        place_drawing(&mut flow, &drawing);
        flow.finish(|_, _| (vec![], vec![])).remove(0)
    }

    fn text_x(page: &Page, wanted: &str) -> f32 {
        page.marks
            .iter()
            .find_map(|mark| match mark {
                Mark::Text { x, text, .. } if text == wanted => Some(*x),
                _ => None,
            })
            .unwrap()
    }

    /// Where the heavy line of the dental midline stands.
    fn midline_x(page: &Page) -> f32 {
        page.marks
            .iter()
            .find_map(|mark| match mark {
                Mark::Path {
                    points,
                    stroke: Some(stroke),
                    ..
                } if stroke.width_mm == 0.7 => Some(points[0].x),
                _ => None,
            })
            .unwrap()
    }

    #[test]
    fn the_patients_right_is_on_the_left_of_the_sheet() {
        let page = drawn(Drawing {
            midline_offset_mm: Some(0.0),
            ..Drawing::default()
        });
        assert!(text_x(&page, "R") < midline_x(&page) && midline_x(&page) < text_x(&page, "L"));
    }

    #[test]
    fn a_midline_to_the_patients_left_is_drawn_towards_the_l() {
        let at = |mm| {
            midline_x(&drawn(Drawing {
                midline_offset_mm: Some(mm),
                ..Drawing::default()
            }))
        };
        assert!(at(1.5) > at(0.0) && at(-1.5) < at(0.0));
        assert_eq!(
            midline_words(1.5),
            "Dental midline 1.5 mm to the patient's left"
        );
        assert_eq!(
            midline_words(-2.0),
            "Dental midline 2.0 mm to the patient's right"
        );
        assert_eq!(
            midline_words(-0.01),
            "Dental midline in the middle of the face"
        );
    }

    #[test]
    fn nothing_known_draws_nothing() {
        for value in [None, Some(f32::NAN), Some(f32::INFINITY), Some(1e30)] {
            let drawing = Drawing {
                midline_offset_mm: value,
                rest_mm: value,
                occlusal_mm: value,
            };
            assert!(drawn(drawing).marks.is_empty());
        }
    }
}
