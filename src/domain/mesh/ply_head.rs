//! The head of a PLY: which elements follow, how many of each, and of which numbers. From memory;
//! `tests/outside.rs` holds it against a second implementation.

use super::lines::TextLines;
use super::surface::{DAMAGED, POINTS_MOST, TRIANGLES_MOST, too_many};
use std::io::BufRead;

/// TextLines of a head: each comment is one.
const LINES_MOST: usize = 1_000;
/// Elements, and properties of one.
const NAMED_MOST: usize = 64;

/// How the numbers are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PlyForm {
    Text,
    Little,
    Big,
}

/// A kind of number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scalar {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Scalar {
    fn of(word: &str) -> Option<Scalar> {
        Some(match word {
            "char" | "int8" => Scalar::I8,
            "uchar" | "uint8" => Scalar::U8,
            "short" | "int16" => Scalar::I16,
            "ushort" | "uint16" => Scalar::U16,
            "int" | "int32" => Scalar::I32,
            "uint" | "uint32" => Scalar::U32,
            "float" | "float32" => Scalar::F32,
            "double" | "float64" => Scalar::F64,
            _ => return None,
        })
    }

    pub fn bytes(self) -> usize {
        match self {
            Scalar::I8 | Scalar::U8 => 1,
            Scalar::I16 | Scalar::U16 => 2,
            Scalar::I32 | Scalar::U32 | Scalar::F32 => 4,
            Scalar::F64 => 8,
        }
    }
}

/// One number, or a list of them with its length before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PlyProperty {
    pub name: String,
    pub length: Option<Scalar>,
    pub kind: Scalar,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PlyElement {
    pub name: String,
    pub count: u64,
    pub properties: Vec<PlyProperty>,
}

/// Reads the head; what follows it is left to be read.
pub(super) fn head(
    lines: &mut TextLines<impl BufRead>,
) -> Result<(PlyForm, Vec<PlyElement>), String> {
    let damaged = || DAMAGED.to_owned();
    let (mut form, mut elements) = (None, Vec::<PlyElement>::new());
    for place in 0..LINES_MOST {
        let line = lines.next()?.ok_or_else(damaged)?.into_owned();
        let words: Vec<&str> = line.split_whitespace().collect();
        match words.as_slice() {
            ["ply"] if place == 0 => {}
            _ if place == 0 => return Err(damaged()),
            [] | ["comment" | "obj_info", ..] => {}
            ["format", word, "1.0"] if form.is_none() => {
                form = Some(match *word {
                    "ascii" => PlyForm::Text,
                    "binary_little_endian" => PlyForm::Little,
                    "binary_big_endian" => PlyForm::Big,
                    _ => return Err(damaged()),
                });
            }
            ["element", name, count] if elements.len() < NAMED_MOST => {
                let count = count.parse().map_err(|_| damaged())?;
                bound(name, count)?;
                elements.push(PlyElement {
                    name: (*name).to_owned(),
                    count,
                    properties: Vec::new(),
                });
            }
            ["property", rest @ ..] => {
                let one = property(rest).ok_or_else(damaged)?;
                let element = elements.last_mut().ok_or_else(damaged)?;
                let is_second = element
                    .properties
                    .iter()
                    .any(|other| other.name == one.name);
                if is_second || element.properties.len() >= NAMED_MOST {
                    return Err(damaged());
                }
                element.properties.push(one);
            }
            ["end_header"] => {
                // What holds nothing could be said to be there without end.
                if elements.iter().any(|one| one.properties.is_empty()) {
                    return Err(damaged());
                }
                return Ok((form.ok_or_else(damaged)?, elements));
            }
            _ => return Err(damaged()),
        }
    }
    Err(damaged())
}

/// What is too much is told before anything is read.
fn bound(name: &str, count: u64) -> Result<(), String> {
    let (what, most) = match name {
        "vertex" => ("points", POINTS_MOST),
        _ => ("triangles", TRIANGLES_MOST),
    };
    match usize::try_from(count).is_ok_and(|count| count <= most)
        || !["vertex", "face"].contains(&name)
    {
        true => Ok(()),
        false => Err(too_many(what, most)),
    }
}

fn property(words: &[&str]) -> Option<PlyProperty> {
    let (length, kind, name) = match words {
        ["list", length, kind, name] => (Some(Scalar::of(length)?), Scalar::of(kind)?, name),
        [kind, name] => (None, Scalar::of(kind)?, name),
        _ => return None,
    };
    Some(PlyProperty {
        name: (*name).to_owned(),
        length,
        kind,
    })
}
