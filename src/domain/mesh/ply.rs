//! PLY as scanners write it: a head, then its elements as text or as numbers of either byte order. Points, their colours
//! and the faces are taken; everything else is read over.

use super::lines::TextLines;
use super::ply_head::{PlyElement, PlyForm, Scalar, head};
use super::surface::{DAMAGED, TriangleMesh, single};
use std::io::{BufRead, Read};

/// Corners of one face.
const CORNERS_MOST: usize = 64;

/// The numbers of the body, one after the other.
enum Numbers<R> {
    Binary(R, bool),
    /// The words of the line that is read, the last first.
    Text(TextLines<R>, Vec<String>),
}

fn damaged() -> String {
    DAMAGED.to_owned()
}

/// A number from its bytes, the smallest first.
fn from_bytes(kind: Scalar, b: [u8; 8]) -> f64 {
    let [a0, a1, a2, a3, ..] = b;
    match kind {
        Scalar::I8 => f64::from(i8::from_le_bytes([a0])),
        Scalar::U8 => f64::from(a0),
        Scalar::I16 => f64::from(i16::from_le_bytes([a0, a1])),
        Scalar::U16 => f64::from(u16::from_le_bytes([a0, a1])),
        Scalar::I32 => f64::from(i32::from_le_bytes([a0, a1, a2, a3])),
        Scalar::U32 => f64::from(u32::from_le_bytes([a0, a1, a2, a3])),
        Scalar::F32 => f64::from(f32::from_le_bytes([a0, a1, a2, a3])),
        Scalar::F64 => f64::from_le_bytes(b),
    }
}

impl<R: BufRead> Numbers<R> {
    /// Each element has a line of its own in a text.
    fn begin_element(&mut self) -> Result<(), String> {
        if let Numbers::Text(lines, words) = self {
            let line = lines.next_filled()?.ok_or_else(damaged)?;
            *words = line.split_whitespace().rev().map(str::to_owned).collect();
        }
        Ok(())
    }

    fn end_element(&self) -> Result<(), String> {
        match self {
            Numbers::Text(_, words) if !words.is_empty() => Err(damaged()),
            _ => Ok(()),
        }
    }

    fn next(&mut self, kind: Scalar) -> Result<f64, String> {
        match self {
            Numbers::Binary(input, is_big) => {
                let mut bytes = [0; 8];
                let own = bytes.get_mut(..kind.bytes()).ok_or_else(damaged)?;
                input.read_exact(own).map_err(|_| damaged())?;
                if *is_big {
                    own.reverse();
                }
                Ok(from_bytes(kind, bytes))
            }
            Numbers::Text(_, words) => {
                let word = words.pop().ok_or_else(damaged)?;
                let number = match kind {
                    Scalar::F32 => word.parse::<f32>().ok().map(f64::from),
                    Scalar::F64 => word.parse().ok(),
                    _ => word.parse::<i64>().ok().and_then(|one| exact(kind, one)),
                };
                number.ok_or_else(damaged)
            }
        }
    }

    /// Nothing but blanks may follow what the head has announced.
    fn end(self) -> Result<(), String> {
        let more = || {
            let sentence = "There is more in this file than it says: it is damaged, or no scan. Export it again.";
            Err(sentence.to_owned())
        };
        match self {
            Numbers::Binary(mut input, _) => {
                let mut rest = Vec::new();
                let read = input.by_ref().take(16).read_to_end(&mut rest);
                match read.is_ok() && rest.len() < 16 && rest.trim_ascii().is_empty() {
                    true => Ok(()),
                    false => more(),
                }
            }
            Numbers::Text(mut lines, _) => match lines.next_filled()? {
                None => Ok(()),
                Some(_) => more(),
            },
        }
    }
}

/// A whole number, if its kind holds it.
fn exact(kind: Scalar, number: i64) -> Option<f64> {
    match kind {
        Scalar::I8 => i8::try_from(number).ok().map(f64::from),
        Scalar::U8 => u8::try_from(number).ok().map(f64::from),
        Scalar::I16 => i16::try_from(number).ok().map(f64::from),
        Scalar::U16 => u16::try_from(number).ok().map(f64::from),
        Scalar::I32 => i32::try_from(number).ok().map(f64::from),
        _ => u32::try_from(number).ok().map(f64::from),
    }
}

/// A place or a count: a whole number that is not below nothing.
fn place(number: f64) -> Result<u32, String> {
    let is_one = number >= 0.0 && number <= f64::from(u32::MAX) && number.fract() == 0.0;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "it was held against both ends"
    )]
    let place = number as u32;
    is_one.then_some(place).ok_or_else(damaged)
}

/// What a property of a point is for.
#[derive(Clone, Copy)]
enum Use {
    Axis(usize),
    Colour(usize),
    Nothing,
}

fn uses(element: &PlyElement) -> Result<(Vec<Use>, bool), String> {
    let place = |names: [&str; 3], name: &str| names.iter().position(|one| *one == name);
    let uses = element.properties.iter().map(|one| {
        let is_byte = one.length.is_none() && one.kind == Scalar::U8;
        let axis = place(["x", "y", "z"], &one.name).filter(|_| one.length.is_none());
        let colour = place(["red", "green", "blue"], &one.name).filter(|_| is_byte);
        match (axis, colour) {
            (Some(axis), _) => Use::Axis(axis),
            (_, Some(colour)) => Use::Colour(colour),
            _ => Use::Nothing,
        }
    });
    let uses: Vec<Use> = uses.collect();
    let axes = uses
        .iter()
        .filter(|one| matches!(one, Use::Axis(_)))
        .count();
    let colours = uses
        .iter()
        .filter(|one| matches!(one, Use::Colour(_)))
        .count();
    match axes {
        3 => Ok((uses, colours == 3)),
        _ => Err(damaged()),
    }
}

fn points<R: BufRead>(
    numbers: &mut Numbers<R>,
    element: &PlyElement,
    surface: &mut TriangleMesh,
) -> Result<(), String> {
    let (uses, is_coloured) = uses(element)?;
    for _ in 0..element.count {
        numbers.begin_element()?;
        let (mut point, mut colour) = ([0.0; 3], [0; 3]);
        for (property, used) in element.properties.iter().zip(&uses) {
            let mut left = match property.length {
                Some(length) => place(numbers.next(length)?)?,
                None => 1,
            };
            while left > 0 {
                left -= 1;
                let number = numbers.next(property.kind)?;
                match used {
                    Use::Axis(axis) => {
                        if let Some(one) = point.get_mut(*axis) {
                            *one = single(number);
                        }
                    }
                    Use::Colour(which) => {
                        if let Some(one) = colour.get_mut(*which) {
                            *one = u8::try_from(place(number)?).map_err(|_| damaged())?;
                        }
                    }
                    Use::Nothing => {}
                }
            }
        }
        numbers.end_element()?;
        surface.push_point(point)?;
        if is_coloured {
            surface.colours.push(colour);
        }
    }
    Ok(())
}

/// Faces, or elements of which nothing is taken.
fn others<R: BufRead>(
    numbers: &mut Numbers<R>,
    element: &PlyElement,
    surface: &mut TriangleMesh,
) -> Result<(), String> {
    let is_face = element.name == "face";
    let is_corners = |name: &str| is_face && ["vertex_indices", "vertex_index"].contains(&name);
    let mut corners = Vec::new();
    for _ in 0..element.count {
        numbers.begin_element()?;
        corners.clear();
        for property in &element.properties {
            let mut left = match property.length {
                Some(length) => place(numbers.next(length)?)?,
                None => 1,
            };
            let is_taken = property.length.is_some() && is_corners(&property.name);
            while left > 0 {
                left -= 1;
                let number = numbers.next(property.kind)?;
                if is_taken && corners.len() < CORNERS_MOST {
                    corners.push(place(number)?);
                } else if is_taken {
                    return Err(damaged());
                }
            }
        }
        numbers.end_element()?;
        if is_face {
            surface.push_face(&corners)?;
        }
    }
    Ok(())
}

/// The surface of a PLY.
pub(super) fn read(input: impl BufRead) -> Result<TriangleMesh, String> {
    let mut lines = TextLines::of(input);
    let (form, elements) = head(&mut lines)?;
    let mut numbers = match form {
        PlyForm::Text => Numbers::Text(lines, Vec::new()),
        PlyForm::Little => Numbers::Binary(lines.into_rest(), false),
        PlyForm::Big => Numbers::Binary(lines.into_rest(), true),
    };
    let mut surface = TriangleMesh::default();
    for element in &elements {
        match element.name.as_str() {
            "vertex" if surface.points.is_empty() => points(&mut numbers, element, &mut surface)?,
            "vertex" => return Err(damaged()),
            _ => others(&mut numbers, element, &mut surface)?,
        }
    }
    numbers.end()?;
    // Without faces its points would be taken for triangles, as STL has them.
    if surface.corners.is_empty() {
        surface.points.clear();
        surface.colours.clear();
    }
    Ok(surface)
}
