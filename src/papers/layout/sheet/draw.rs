//! A piece of the sheet: marks from its own upper left corner, with its height.

use crate::papers::layout::style::Style;
use crate::papers::page::{Grey, Mark, Point, SheetPlace, Stroke};
use crate::papers::typeface::FIRM;

/// Marks that belong together.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Draw {
    pub height: f32,
    pub marks: Vec<Mark>,
    /// From where to where a bar stands in the margin: what is not as it was.
    pub bars: Vec<(f32, f32)>,
    /// Which field each part of it speaks of.
    pub places: Vec<SheetPlace>,
}

impl Draw {
    pub fn new() -> Draw {
        Draw::default()
    }

    /// White space.
    pub fn space(height: f32) -> Draw {
        Draw {
            height,
            ..Draw::default()
        }
    }

    /// A run of text on a baseline. The firm spaces of the words are common ones on paper.
    pub fn text(&mut self, x: f32, baseline: f32, style: Style, text: &str) {
        if text.is_empty() {
            return;
        }
        self.marks.push(Mark::Text {
            x,
            baseline,
            size_pt: style.size_pt,
            face: style.face,
            grey: style.grey,
            text: text.replace(FIRM, " "),
        });
    }

    /// Notes that a part of it says a field, in a list that of a row; of one line, neighbours of one field are one place.
    pub fn place(
        &mut self,
        corner: (f32, f32),
        size: (f32, f32),
        (about, row): (&'static str, Option<usize>),
    ) {
        if about.is_empty() {
            return;
        }
        let (x, y) = corner;
        let is_neighbour =
            |last: &&mut SheetPlace| (last.about, last.row, last.corner.y) == (about, row, y);
        match self.places.last_mut().filter(is_neighbour) {
            Some(last) => last.size.0 = x + size.0 - last.corner.x,
            None => self.places.push(SheetPlace {
                corner: Point { x, y },
                size,
                about,
                row,
            }),
        }
    }

    /// Notes that all of it, to this width, speaks of a field or of a part, but for what says another one in it.
    pub fn all_about(&mut self, width: f32, (about, row): (&'static str, Option<usize>)) {
        if about.is_empty() || self.height <= 0.0 {
            return;
        }
        self.places
            .retain(|place| (place.about, place.row) != (about, row));
        let all = SheetPlace {
            corner: Point { x: 0.0, y: 0.0 },
            size: (width, self.height),
            about,
            row,
        };
        self.places.insert(0, all);
    }

    pub fn line(&mut self, from: (f32, f32), to: (f32, f32), stroke: Stroke) {
        self.marks.push(Mark::line(from, to, stroke));
    }

    pub fn frame(&mut self, corner: (f32, f32), size: (f32, f32), stroke: Stroke) {
        self.marks
            .push(Mark::rect(corner, size, Some(stroke), None));
    }

    pub fn filled(&mut self, corner: (f32, f32), size: (f32, f32), grey: Grey) {
        self.marks.push(Mark::rect(corner, size, None, Some(grey)));
    }

    /// Puts another piece into this one. The height stays what it is.
    pub fn put(&mut self, x: f32, y: f32, other: Draw) {
        self.marks
            .extend(other.marks.into_iter().map(|mark| moved(mark, x, y)));
        let bars = other.bars.into_iter();
        self.bars.extend(bars.map(|(from, to)| (from + y, to + y)));
        let places = other.places.into_iter();
        self.places.extend(places.map(|place| SheetPlace {
            corner: Point {
                x: place.corner.x + x,
                y: place.corner.y + y,
            },
            ..place
        }));
    }

    /// Puts another piece below this one.
    pub fn below(&mut self, other: Draw) {
        let (y, height) = (self.height, other.height);
        self.put(0.0, y, other);
        self.height += height;
    }
}

/// The mark, moved to the right and down.
fn moved(mut mark: Mark, dx: f32, dy: f32) -> Mark {
    let shift = |place: &mut Point| {
        place.x += dx;
        place.y += dy;
    };
    match &mut mark {
        Mark::Text { x, baseline, .. } => {
            *x += dx;
            *baseline += dy;
        }
        Mark::Path { points, .. } => points.iter_mut().for_each(shift),
        Mark::Qr { x, y, .. } => {
            *x += dx;
            *y += dy;
        }
        Mark::Photo { corner, .. } => shift(corner),
        Mark::Across { centre, .. } => shift(centre),
    }
    mark
}
