//! The two sketches of the prescription as SVG: the same shapes that the slip prints.

use crate::domain::prescription::Prescription;
use crate::domain::trade::sketch::{
    Anchor, ChangeRow, Ground, HALO_MM, Pen, Picture, Shape, SketchPoint, Sketches, arrow_head,
    corners,
};
use crate::domain::values::measure::{push_hundredths, show_hundredths};
use askama::Template;

/// The colours of a drawing: that of the words about it, and the bare paper.
const INK: &str = "currentColor";
const BARE: &str = "#ffffff";

/// A shape as the page writes it.
pub enum Drawn {
    Path {
        d: String,
        width: String,
        ink: &'static str,
        is_broken: bool,
        fill: &'static str,
    },
    Oval {
        x: String,
        y: String,
        along: String,
        across: String,
        turned: String,
        width: String,
        fill: &'static str,
    },
    Words {
        x: String,
        y: String,
        size: String,
        is_bold: bool,
        anchor: &'static str,
        text: String,
    },
}

/// A picture with its name and its description.
#[derive(Template)]
#[template(path = "partials/figure.html")]
pub struct Figure {
    pub id: &'static str,
    pub title: &'static str,
    pub words: String,
    pub width: String,
    pub height: String,
    pub shapes: Vec<Drawn>,
}

/// The drawings with their words; the script renews them while one types.
#[derive(Template)]
#[template(path = "partials/drawings.html")]
pub struct Drawings {
    pub face: Figure,
    pub face_words: Vec<String>,
    pub arches: Figure,
    pub rows: Vec<ChangeRow>,
    pub is_dated: bool,
}

impl Drawings {
    /// Draws what the prescription says.
    pub fn of(document: &Prescription) -> Drawings {
        let sketches = Sketches::of(document);
        let words = |lines: &[String]| lines.join(" ");
        Drawings {
            face: figure(
                "d-face",
                "The face from the front, patient’s right on the left of the picture",
                words(&sketches.face.words),
                &sketches.face.picture,
            ),
            arches: figure(
                "d-arch",
                "Both arches on their chewing side, patient’s right on the left of the picture",
                words(&sketches.arches.words()),
                &sketches.arches.picture,
            ),
            face_words: sketches.face.words,
            is_dated: sketches.arches.is_dated(),
            rows: sketches.arches.rows,
        }
    }
}

fn figure(id: &'static str, title: &'static str, words: String, picture: &Picture) -> Figure {
    Figure {
        id,
        title,
        words,
        width: mm(picture.width_mm),
        height: mm(picture.height_mm),
        shapes: picture.shapes.iter().flat_map(drawn).collect(),
    }
}

/// Millimetres to the hundredth, as short as they can be written.
fn mm(value: f64) -> String {
    show_hundredths(in_hundredths(value))
}

fn in_hundredths(mm: f64) -> i64 {
    (mm * 100.0).round() as i64
}

fn path(points: &[SketchPoint], is_closed: bool) -> String {
    // Two numbers of three or four figures and a point each, as a rule.
    let mut d = String::with_capacity(points.len() * 12 + 1);
    for (place, point) in points.iter().enumerate() {
        d.push(if place == 0 { 'M' } else { 'L' });
        push_hundredths(&mut d, in_hundredths(point.x));
        d.push(' ');
        push_hundredths(&mut d, in_hundredths(point.y));
    }
    if is_closed {
        d.push('Z');
    }
    d
}

fn fill(ground: Ground) -> &'static str {
    match ground {
        Ground::Open => "none",
        Ground::Paper => BARE,
        Ground::Grey => "#c9c9c9",
    }
}

fn drawn(shape: &Shape) -> Vec<Drawn> {
    match shape {
        Shape::Path {
            points,
            is_closed,
            pen,
            is_broken,
            ground,
        } => vec![Drawn::Path {
            d: path(points, *is_closed),
            width: mm(pen.width_mm()),
            ink: INK,
            is_broken: *is_broken,
            fill: fill(*ground),
        }],
        Shape::Oval {
            middle,
            half,
            turned,
            pen,
            ground,
        } => vec![Drawn::Oval {
            x: mm(middle.x),
            y: mm(middle.y),
            along: mm(half.0),
            across: mm(half.1),
            turned: mm(*turned),
            width: mm(pen.width_mm()),
            fill: fill(*ground),
        }],
        Shape::Bare { from, to } => vec![Drawn::Path {
            d: path(&corners(*from, *to), true),
            width: mm(0.0),
            ink: BARE,
            is_broken: false,
            fill: BARE,
        }],
        Shape::Arrow { from, to } => arrow(*from, *to),
        Shape::Words {
            at,
            size_mm,
            is_bold,
            anchor,
            text,
        } => vec![Drawn::Words {
            x: mm(at.x),
            y: mm(at.y),
            size: mm(*size_mm),
            is_bold: *is_bold,
            anchor: match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            },
            text: text.clone(),
        }],
    }
}

fn arrow(from: SketchPoint, to: SketchPoint) -> Vec<Drawn> {
    let (base, head) = arrow_head(from, to);
    let part = |d: String, width: f64, ink: &'static str, fill: &'static str| Drawn::Path {
        d,
        width: mm(width),
        ink,
        is_broken: false,
        fill,
    };
    let (line, head) = (path(&[from, base], false), path(&head, true));
    let heavy = Pen::Heavy.width_mm();
    vec![
        part(line.clone(), HALO_MM, BARE, "none"),
        part(head.clone(), heavy, BARE, "none"),
        part(line, heavy, INK, "none"),
        part(head, 0.0, INK, INK),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::{self};
    use crate::domain::values::tooth::Numbering;

    fn shown(fields: &[(&str, &str)]) -> String {
        let pair = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
        let raw: Raw = fields.iter().map(pair).collect();
        let document = prescription::read(&raw, Numbering::Iso3950).document;
        Drawings::of(&document).render().unwrap()
    }

    #[test]
    fn the_page_draws_what_the_sketch_says_and_names_it_in_words() {
        let page = shown(&[
            ("anterior.midline_offset_mm", "2"),
            ("anterior.midline_side", "right"),
            ("changes.0.what", "left_block"),
            ("changes.0.direction", "inward"),
            ("changes.0.mm", "1"),
        ]);
        // The heavy line of the midline, 6 mm to the left of the middle at 34 mm.
        assert!(page.contains("M28 47L28 84"), "{page}");
        assert!(page.contains("moved by 2 mm to the patient’s right."));
        assert!(page.contains("left bite block") && page.contains("1 mm to the patient’s right."));
        assert_eq!(page.matches("<svg").count(), 2);
        assert!(!page.contains("style="), "the page allows no inline style");
    }

    #[test]
    fn an_empty_list_says_so() {
        assert!(shown(&[]).contains("The change list is empty: nothing is moved."));
    }
}
