//! A picture as vectors, with its words or its table in a column beside it.
//!
//! The shapes come from the sketch that the form draws too; here they are only put on the sheet.

use super::flow::Flow;
use super::row::{Cell, RowStyle, place};
use super::style::{LABEL, STRONG, VALUE};
use super::table::place_table;
use crate::domain::trade::sketch::{
    Anchor, Ground, HALO_MM, Pen, Picture, Shape, SketchPoint, arrow_head, corners, oval_points,
};
use crate::papers::content::Drawing;
use crate::papers::page::{Face, Grey, Mark, Point, Stroke};
use crate::papers::typeface::{self, MM_PER_PT};

/// Millimetres on the sheet for each of the picture: the smallest words stay above 10 pt.
const SCALE: f32 = 0.86;
const GUTTER_MM: f32 = 4.0;
/// Lightness of a part that is changed: light enough for a number, dark enough for a copy.
const CHANGED: Grey = Grey(0.78);

/// Sets a drawing: the picture in one piece, and what belongs to it beside it, or below where that is
/// longer than the page.
pub fn place_drawing(flow: &mut Flow, drawing: &Drawing) {
    let height = drawing.picture.height_mm as f32 * SCALE;
    flow.gap(4.0);
    flow.reserve(LABEL.line_mm() * 2.0 + height);
    let title = Cell::new(flow.left(), flow.measure()).add(&drawing.title, LABEL);
    place(flow, vec![title], RowStyle::default(), &|_| {});
    let corner = (flow.left(), flow.y);
    for mark in picture_marks(&drawing.picture, corner, SCALE) {
        flow.push(mark);
    }
    let beside = corner.0 + drawing.picture.width_mm as f32 * SCALE + GUTTER_MM;
    let mut column = flow.column(beside);
    column.gap(2.0);
    place_words(&mut column, drawing);
    let below = flow.y + height;
    if flow.append_column(column) {
        flow.y = flow.y.max(below);
    } else {
        flow.y = below;
        place_words(flow, drawing);
    }
}

fn place_words(flow: &mut Flow, drawing: &Drawing) {
    for words in &drawing.words {
        // What is drawn stands before the colon, and its value is what is looked for.
        let cell = Cell::new(flow.left(), flow.measure());
        let cell = match words.split_once(": ") {
            Some((name, value)) => cell.add(name, LABEL).add(value, STRONG),
            None => cell.add(words, VALUE),
        };
        let row_style = RowStyle {
            pad_mm: 0.7,
            ..RowStyle::default()
        };
        place(flow, vec![cell], row_style, &|_| {});
    }
    if let Some(table) = &drawing.table {
        place_table(flow, table, &|_| {});
    }
}

/// The marks of a whole picture, its upper left corner at `corner`, so many millimetres for each of its own.
pub fn picture_marks(picture: &Picture, corner: (f32, f32), scale: f32) -> Vec<Mark> {
    let setter = Setter { corner, scale };
    let marks = picture.shapes.iter().map(|shape| setter.marks(shape));
    marks.flatten().collect()
}

fn fill(ground: Ground) -> Option<Grey> {
    match ground {
        Ground::Open => None,
        Ground::Paper => Some(Grey::PAPER),
        Ground::Grey => Some(CHANGED),
    }
}

/// Where a picture stands, and how large.
struct Setter {
    corner: (f32, f32),
    scale: f32,
}

impl Setter {
    fn point(&self, at: &SketchPoint) -> Point {
        Point {
            x: self.corner.0 + at.x as f32 * self.scale,
            y: self.corner.1 + at.y as f32 * self.scale,
        }
    }

    fn stroke(&self, pen: Pen, is_broken: bool) -> Stroke {
        Stroke {
            width_mm: pen.width_mm() as f32 * self.scale,
            grey: Grey::INK,
            dashed: is_broken,
        }
    }

    fn path(
        &self,
        points: &[SketchPoint],
        closed: bool,
        stroke: Option<Stroke>,
        fill: Option<Grey>,
    ) -> Mark {
        Mark::Path {
            points: points.iter().map(|at| self.point(at)).collect(),
            closed,
            stroke,
            fill,
        }
    }

    fn marks(&self, shape: &Shape) -> Vec<Mark> {
        match shape {
            Shape::Path {
                points,
                is_closed,
                pen,
                is_broken,
                ground,
            } => {
                let edge = Some(self.stroke(*pen, *is_broken));
                vec![self.path(points, *is_closed, edge, fill(*ground))]
            }
            Shape::Oval {
                middle,
                half,
                turned,
                pen,
                ground,
            } => {
                let edge = Some(self.stroke(*pen, false));
                let points = oval_points(*middle, *half, *turned);
                vec![self.path(&points, true, edge, fill(*ground))]
            }
            Shape::Bare { from, to } => {
                vec![self.path(&corners(*from, *to), true, None, Some(Grey::PAPER))]
            }
            Shape::Arrow { from, to } => self.arrow(*from, *to),
            Shape::Words {
                at,
                size_mm,
                is_bold,
                anchor,
                text,
            } => vec![self.run(self.point(at), *size_mm, *is_bold, *anchor, text)],
        }
    }

    fn arrow(&self, from: SketchPoint, to: SketchPoint) -> Vec<Mark> {
        let (base, head) = arrow_head(from, to);
        let halo = Some(Stroke::solid(HALO_MM as f32 * self.scale, Grey::PAPER));
        let line = Some(self.stroke(Pen::Heavy, false));
        let bare = line.map(|line| Stroke {
            grey: Grey::PAPER,
            ..line
        });
        vec![
            self.path(&[from, base], false, halo, None),
            self.path(&head, true, bare, None),
            self.path(&[from, base], false, line, None),
            self.path(&head, true, None, Some(Grey::INK)),
        ]
    }

    fn run(&self, place: Point, size_mm: f64, is_bold: bool, anchor: Anchor, text: &str) -> Mark {
        let size_pt = size_mm as f32 * self.scale / MM_PER_PT;
        let face = if is_bold { Face::Bold } else { Face::Regular };
        let width = typeface::width_mm(text, face, size_pt);
        let x = match anchor {
            Anchor::Start => place.x,
            Anchor::Middle => place.x - width / 2.0,
            Anchor::End => place.x - width,
        };
        Mark::Text {
            x,
            baseline: place.y,
            size_pt,
            face,
            grey: Grey::INK,
            text: text.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::people::party::Paper;
    use crate::domain::prescription::revision::SHEET;
    use crate::domain::prescription::{self};
    use crate::domain::values::tooth::Numbering;
    use crate::papers::page::Page;
    use crate::papers::slip_of::drawings;

    fn drawn(fields: &[(&str, &str)]) -> Vec<Page> {
        let pair = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
        let raw: Raw = fields.iter().map(pair).collect();
        let document = prescription::read(&raw, Numbering::Iso3950).document;
        let mut flow = Flow::new(Paper::A4);
        for drawing in drawings(&document, SHEET) {
            place_drawing(&mut flow, &drawing);
        }
        flow.finish(|_, _| (vec![], vec![]))
    }

    fn text_at(page: &Page, wanted: &str) -> (f32, f32) {
        let found = page.marks.iter().find_map(|mark| match mark {
            Mark::Text {
                x, baseline, text, ..
            } if text == wanted => Some((*x, *baseline)),
            _ => None,
        });
        found.unwrap_or_else(|| panic!("{wanted} is not printed"))
    }

    #[test]
    fn a_midline_to_the_patients_right_is_printed_towards_the_r() {
        let page = |side| {
            let fields = [
                ("anterior.midline_offset_mm", "1.5"),
                ("anterior.midline_side", side),
            ];
            drawn(&fields).remove(0)
        };
        let (right, left) = (page("right"), page("left"));
        assert!(text_at(&right, "R").0 < text_at(&right, "L").0);
        assert!(text_at(&right, "1.5 mm").0 < text_at(&left, "1.5 mm").0);
        text_at(&right, "moved by 1.5 mm to the patient’s right.");
    }

    #[test]
    fn the_change_list_stands_beside_the_arches() {
        let fields = [
            ("changes.0.what", "left_block"),
            ("changes.0.direction", "outward"),
            ("changes.0.mm", "1"),
            ("changes.0.date", "2026-02-23"),
        ];
        let page = drawn(&fields).remove(0);
        let (heading, upper) = (
            text_at(&page, "Part and net change"),
            text_at(&page, "upper"),
        );
        assert!(heading.0 > upper.0 && heading.1 < upper.1);
        text_at(&page, "2026-02-23");
    }

    #[test]
    fn a_list_longer_than_the_page_goes_on_below_the_picture() {
        let ways = ["right", "forward", "up"];
        let mut fields = Vec::new();
        for row in 0..40_usize {
            fields.push((format!("changes.{row}.what"), "tooth".to_owned()));
            let tooth = format!("{}{}", row / 8 % 4 + 1, row % 8 + 1);
            fields.push((format!("changes.{row}.tooth"), tooth));
            let way = ways[row % 3].to_owned();
            fields.push((format!("changes.{row}.direction"), way));
            fields.push((format!("changes.{row}.mm"), "1.25".to_owned()));
            fields.push((format!("changes.{row}.date"), "2026-02-23".to_owned()));
        }
        let fields: Vec<(&str, &str)> = fields
            .iter()
            .map(|(key, text)| (key.as_str(), text.as_str()))
            .collect();
        let pages = drawn(&fields);
        assert!(pages.len() > 1);
        let heading = text_at(&pages[0], "Part and net change");
        assert!(heading.1 > text_at(&pages[0], "lower").1);
    }

    #[test]
    fn nothing_written_draws_nothing() {
        assert!(drawn(&[]).remove(0).marks.is_empty());
    }
}
