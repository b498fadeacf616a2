//! OBJ as drawing programs write it: points and faces, a line each; normals, textures and names are read over. From memory.
//!
//! Nothing in it says where it ends: one that was cut off is known by a last line without its end, and by points that no
//! triangle needs.

use super::lines::{TextLines, number, three};
use super::surface::{DAMAGED, TriangleMesh, whole_number};
use std::io::BufRead;

/// Corners of one face.
const CORNERS_MOST: usize = 64;
/// Statements of which nothing is taken.
const READ_OVER: [&str; 14] = [
    "vn", "vt", "vp", "o", "g", "s", "mg", "mtllib", "usemtl", "usemap", "maplib", "l", "p", "lod",
];

/// Whether a line may be one of an OBJ.
pub(super) fn is_line(line: &str) -> bool {
    let first = line.split_whitespace().next().unwrap_or_default();
    first.is_empty()
        || first.starts_with('#')
        || ["v", "f"].contains(&first)
        || READ_OVER.contains(&first)
}

/// The place of a point: counted from 1, or backwards from the newest.
fn corner(word: &str, points: usize) -> Result<u32, String> {
    let damaged = || DAMAGED.to_owned();
    let first = word.split('/').next().unwrap_or_default();
    let said: i64 = first.parse().map_err(|_| damaged())?;
    let count = i64::try_from(points).map_err(|_| damaged())?;
    let place = match said {
        1.. => said - 1,
        _ => count + said,
    };
    match said {
        0 => Err(damaged()),
        _ => u32::try_from(place).map_err(|_| damaged()),
    }
}

/// A colour of 0 to 1, as some programs write it behind a point.
fn colour(word: Option<&str>) -> Result<u8, String> {
    let part = f64::from(number(word)?).clamp(0.0, 1.0) * 255.0;
    Ok(u8::try_from(whole_number(part)).unwrap_or(u8::MAX))
}

/// The surface of an OBJ.
pub(super) fn read(input: impl BufRead) -> Result<TriangleMesh, String> {
    let damaged = || DAMAGED.to_owned();
    let mut lines = TextLines::of(input);
    let mut surface = TriangleMesh::default();
    let mut corners = Vec::new();
    while let Some(line) = lines.next()? {
        let mut words = line.split_whitespace();
        match words.next().unwrap_or_default() {
            "v" => {
                surface.push_point(three(&mut words)?)?;
                let rest: Vec<&str> = words.collect();
                match rest.as_slice() {
                    [] | [_] => {}
                    [red, green, blue] => {
                        let colours = [
                            colour(Some(red))?,
                            colour(Some(green))?,
                            colour(Some(blue))?,
                        ];
                        surface.colours.push(colours);
                    }
                    _ => return Err(damaged()),
                }
            }
            "f" => {
                corners.clear();
                for word in words {
                    corners.push(corner(word, surface.points.len())?);
                }
                if corners.len() > CORNERS_MOST {
                    return Err(damaged());
                }
                surface.push_face(&corners)?;
            }
            _ if is_line(&line) => {}
            _ => return Err(damaged()),
        }
        if !lines.is_ended {
            return Err(cut_off("its last line has no end"));
        }
    }
    if surface.corners.is_empty() {
        return Ok(TriangleMesh::default());
    }
    if surface.colours.len() != surface.points.len() {
        surface.colours.clear();
    }
    match unused(&surface) {
        0 => Ok(surface),
        points => Err(cut_off(&format!(
            "no triangle needs {points} of its points"
        ))),
    }
}

/// How many points no triangle needs.
fn unused(surface: &TriangleMesh) -> usize {
    let mut used = vec![false; surface.points.len()];
    for corner in surface.corners.iter().flatten() {
        let one = usize::try_from(*corner)
            .ok()
            .and_then(|place| used.get_mut(place));
        if let Some(one) = one {
            *one = true;
        }
    }
    used.iter().filter(|one| !**one).count()
}

fn cut_off(why: &str) -> String {
    format!(
        "This OBJ seems to be cut off: {why}. An OBJ does not say where it ends: export it again, best as PLY or STL."
    )
}
