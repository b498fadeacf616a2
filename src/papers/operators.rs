//! What a page draws, in the operators of a PDF file (ISO 32000-1, 8 and 9), written straight into its stream: a sheet has
//! some ten thousand numbers and letters, and a tree of operators between would be most of the work on it.
//!
//! The bytes are those of the library that writes the rest of the file, number by number; a test of `pdf` holds one
//! against the other. So a paper of before is the same file.

use super::page::{Face, Grey, Mark, Page, Photo, Point, Stroke, dark_runs};
use super::typeface::{self, HALF_CAPITAL, MM_PER_PT};
use std::collections::BTreeMap;
use std::io::Write;

/// The numbers of the letters of a face that is cut to those in use.
#[derive(Debug, Default)]
pub struct Codes {
    /// Of the letters up to the end of Latin: nearly all there are.
    near: Vec<u16>,
    far: BTreeMap<char, u16>,
}

/// As many letters are found by their place.
const NEAR: usize = 0x250;

impl Codes {
    pub fn new(codes: impl IntoIterator<Item = (char, u16)>) -> Codes {
        let mut all = Codes {
            near: vec![0; NEAR],
            far: BTreeMap::new(),
        };
        for (letter, code) in codes {
            match all.near.get_mut(u32::from(letter) as usize) {
                Some(place) => *place = code,
                None => drop(all.far.insert(letter, code)),
            }
        }
        all
    }

    /// Nought where the face has no such letter: the sign that stands for what is missing.
    fn of(&self, letter: char) -> u16 {
        match self.near.get(u32::from(letter) as usize) {
            Some(code) => *code,
            None => self.far.get(&letter).copied().unwrap_or(0),
        }
    }
}

/// What the file calls a face.
pub fn name_of(face: Face) -> &'static str {
    match face {
        Face::Regular => "Regular",
        Face::Bold => "Bold",
    }
}

/// Rounded to a thousandth, so that the file carries no noise of the last bits.
pub fn rounded(value: f32) -> f32 {
    (value * 1000.0).round() / 1000.0
}

/// The stream of a page. `codes` are those of the two faces, and `name` says what the file calls a photograph.
pub fn stream(page: &Page, codes: [&Codes; 2], name: impl Fn(&Photo) -> String) -> Vec<u8> {
    let mut pen = Pen {
        out: Vec::with_capacity(96 * page.marks.len()),
        height_mm: page.height_mm,
        codes,
    };
    for mark in &page.marks {
        pen.draw(mark, &name);
    }
    // Between two operators there is a line end, and none behind the last.
    pen.out.pop();
    pen.out
}

struct Pen<'a> {
    out: Vec<u8>,
    /// The page's y runs down, the file's y runs up.
    height_mm: f32,
    codes: [&'a Codes; 2],
}

impl Pen<'_> {
    /// An operator behind its operands.
    fn end(&mut self, operator: &str) {
        self.out.extend_from_slice(operator.as_bytes());
        self.out.push(b'\n');
    }

    fn number(&mut self, value: f32) {
        write_number(&mut self.out, value);
        self.out.push(b' ');
    }

    fn draw(&mut self, mark: &Mark, name: &impl Fn(&Photo) -> String) {
        match mark {
            Mark::Text {
                x,
                baseline,
                size_pt,
                face,
                grey,
                text,
            } => {
                self.fill_grey(*grey);
                self.end("BT");
                self.font(*face, *size_pt);
                self.point(*x, *baseline);
                self.end("Td");
                self.letters(*face, text);
                self.end("ET");
            }
            Mark::Path {
                points,
                closed,
                stroke,
                fill,
            } => self.path(points, *closed, *stroke, *fill),
            Mark::Qr {
                x,
                y,
                module_mm,
                rows,
            } => self.qr((*x, *y), *module_mm, rows),
            Mark::Photo {
                corner,
                size,
                photo,
            } => self.photo(*corner, *size, &name(photo.as_ref())),
            Mark::Across {
                centre,
                size_pt,
                angle_deg,
                text,
            } => self.across(*centre, *size_pt, *angle_deg, text),
        }
    }

    fn x(&self, x: f32) -> f32 {
        rounded(x / MM_PER_PT)
    }

    fn y(&self, y: f32) -> f32 {
        rounded((self.height_mm - y) / MM_PER_PT)
    }

    fn point(&mut self, x: f32, y: f32) {
        let (x, y) = (self.x(x), self.y(y));
        self.number(x);
        self.number(y);
    }

    fn fill_grey(&mut self, Grey(lightness): Grey) {
        self.number(lightness.clamp(0.0, 1.0));
        self.end("g");
    }

    fn font(&mut self, face: Face, size_pt: f32) {
        self.out.push(b'/');
        self.out.extend_from_slice(name_of(face).as_bytes());
        self.out.push(b' ');
        self.number(size_pt);
        self.end("Tf");
    }

    /// A run by the numbers of its letters, four figures each.
    fn letters(&mut self, face: Face, text: &str) {
        const FIGURES: &[u8; 16] = b"0123456789ABCDEF";
        let [regular, bold] = self.codes;
        let codes = match face {
            Face::Regular => regular,
            Face::Bold => bold,
        };
        self.out.push(b'<');
        for letter in text.chars() {
            let code = codes.of(letter);
            let figures = [12, 8, 4, 0].map(|shift| usize::from((code >> shift) & 0xF));
            let figures = figures.map(|figure| FIGURES.get(figure).copied().unwrap_or(b'0'));
            self.out.extend_from_slice(&figures);
        }
        self.out.extend_from_slice(b"> ");
        self.end("Tj");
    }

    fn path(&mut self, points: &[Point], closed: bool, stroke: Option<Stroke>, fill: Option<Grey>) {
        if let Some(grey) = fill {
            self.fill_grey(grey);
            self.chain(points.iter().map(|point| (point.x, point.y)));
            self.end("h");
            self.end("f");
        }
        if let Some(stroke) = stroke {
            self.stroke(stroke);
            if points.is_empty() {
                return;
            }
            self.chain(points.iter().map(|point| (point.x, point.y)));
            if closed {
                self.end("h");
            }
            self.end("S");
        }
    }

    /// From the first point to each other.
    fn chain(&mut self, points: impl IntoIterator<Item = (f32, f32)>) {
        let mut operator = "m";
        for (x, y) in points {
            self.point(x, y);
            self.end(std::mem::replace(&mut operator, "l"));
        }
    }

    fn stroke(&mut self, stroke: Stroke) {
        let Grey(lightness) = stroke.grey;
        self.number(lightness.clamp(0.0, 1.0));
        self.end("G");
        self.number(rounded(stroke.width_mm / MM_PER_PT));
        self.end("w");
        self.end(match stroke.dashed {
            true => "[3 2] 0 d",
            false => "[] 0 d",
        });
    }

    /// A picture is one unit wide and high, from its lower left corner.
    fn photo(&mut self, corner: Point, (width, height): (f32, f32), name: &str) {
        self.end("q");
        for value in [rounded(width / MM_PER_PT), 0.0, 0.0] {
            self.number(value);
        }
        self.number(rounded(height / MM_PER_PT));
        for value in [self.x(corner.x), self.y(corner.y + height)] {
            // Where the library adds a place to nothing, no minus is left before a nought.
            self.number(if value == 0.0 { 0.0 } else { value });
        }
        self.end("cm");
        self.end(&format!("/{name} Do"));
        self.end("Q");
    }

    /// One filled shape; neighbouring dark modules of a row are joined.
    fn qr(&mut self, (left, top): (f32, f32), module_mm: f32, rows: &[Vec<bool>]) {
        self.fill_grey(Grey::INK);
        let mut is_dark = false;
        for (row, modules) in rows.iter().enumerate() {
            let top = top + row as f32 * module_mm;
            for (start, length) in dark_runs(modules) {
                let left = left + start as f32 * module_mm;
                let right = left + length as f32 * module_mm;
                let bottom = top + module_mm;
                self.chain([(left, top), (right, top), (right, bottom), (left, bottom)]);
                is_dark = true;
            }
        }
        if is_dark {
            self.end("h");
            self.end("f");
        }
    }

    fn across(&mut self, centre: Point, size_pt: f32, angle_deg: f32, text: &str) {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        let half = typeface::width_mm(text, Face::Bold, size_pt) / 2.0;
        let rise = HALF_CAPITAL * size_pt * MM_PER_PT;
        let x = centre.x - half * cos + rise * sin;
        let y = centre.y + half * sin + rise * cos;
        let (sin, cos) = (rounded(sin), rounded(cos));
        self.end("q");
        self.stroke(Stroke::solid(0.35, Grey(0.55)));
        self.end("BT");
        // Its outlines alone.
        self.end("1 Tr");
        self.font(Face::Bold, size_pt);
        for value in [cos, sin, -sin, cos] {
            self.number(value);
        }
        self.point(x, y);
        self.end("Tm");
        self.letters(Face::Bold, text);
        self.end("ET");
        self.end("Q");
    }
}

/// A number with as many decimals as it needs to be read as the same. Nearly all are thousandths: up to eight thousand,
/// no two of them are the same number to a reader, so that they are written from a whole number.
pub fn write_number(out: &mut Vec<u8>, value: f32) {
    let thousandths = (value * 1000.0).round();
    if thousandths.abs() >= 8_000_000.0 || thousandths / 1000.0 != value {
        // A list of bytes takes whatever is written into it.
        write!(out, "{value}").unwrap_or_default();
        return;
    }
    if value.is_sign_negative() {
        out.push(b'-');
    }
    let all = thousandths.abs() as u32;
    let (whole, part) = (all / 1000, all % 1000);
    let figures = [whole / 1000, whole / 100, whole / 10, whole];
    let first = figures.iter().position(|left| *left > 0).unwrap_or(3);
    out.extend(figures.iter().skip(first).map(|left| figure(*left)));
    if part > 0 {
        out.push(b'.');
        let figures = [part / 100, part / 10, part];
        let needed = match (part % 100, part % 10) {
            (0, _) => 1,
            (_, 0) => 2,
            _ => 3,
        };
        out.extend(figures.iter().take(needed).map(|left| figure(*left)));
    }
}

/// The last figure of a whole number.
fn figure(number: u32) -> u8 {
    b'0' + (number % 10) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_written_as_the_shortest_that_is_read_as_the_same() {
        let written = |value: f32| {
            let mut out = Vec::new();
            write_number(&mut out, value);
            String::from_utf8(out).unwrap()
        };
        // Each seventh thousandth of a page that is as wide as the widest paper, and of larger ones each ninety-seventh.
        let thousandths = (0..1_300_000).step_by(7);
        let thousandths = thousandths.chain((1_300_000..9_000_000).step_by(97));
        for thousandth in thousandths {
            let value = thousandth as f32 / 1000.0;
            assert_eq!(written(value), value.to_string());
        }
        for value in [
            -0.0,
            -0.001,
            -12.5,
            0.000_4,
            7.437,
            1.0 / 3.0,
            0.93,
            8_000.001,
            1e9,
            -1e-7,
        ] {
            assert_eq!(written(value), value.to_string());
            assert_eq!(written(-value), (-value).to_string());
        }
        assert_eq!(written(595.276), "595.276");
        assert_eq!(written(-40.5), "-40.5");
    }
}
