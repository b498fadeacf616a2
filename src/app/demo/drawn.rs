//! Pictures and a scan for the demo, drawn here from a few measures of an invented cast: nobody's mouth.

use crate::app::AppError;
use image::{ImageFormat, Rgb, RgbImage};
use std::io::Cursor;

/// Which cast.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawnCast {
    Upper,
    Lower,
}

/// Pixels to a millimetre, and how large the picture is.
const SCALE: f64 = 6.0;
const PICTURE: (u32, u32) = (480, 360);
/// The cast in millimetres: half its width, its depth with the base, its height.
const HALF: f64 = 34.0;
const DEPTH: f64 = 52.0;
const HEIGHT: f64 = 18.0;

/// How far the front of the base, and the crest of the ridge, lie from the back at this distance from the middle.
fn base_at(x: f64) -> f64 {
    DEPTH - x * x / 28.0
}

fn crest_at(x: f64) -> f64 {
    DEPTH - 7.0 - x * x / 22.0
}

/// The colour at a place of the cast seen from above.
fn colour(cast: DrawnCast, (x, y): (f64, f64)) -> Rgb<u8> {
    const BENCH: Rgb<u8> = Rgb([78, 84, 92]);
    const STONE: Rgb<u8> = Rgb([226, 214, 184]);
    const RIDGE: Rgb<u8> = Rgb([204, 186, 146]);
    const EDGE: Rgb<u8> = Rgb([120, 104, 72]);
    let slope = (1.0 + (x / 11.0).powi(2)).sqrt();
    let to_crest = (y - crest_at(x)) / slope;
    let is_tongue = cast == DrawnCast::Lower && to_crest < -9.0 && y < DEPTH - 24.0;
    let inside = y.min(HALF - x.abs()).min((base_at(x) - y) / slope);
    let is_ridge = |half: f64, back: f64| to_crest.abs() < half && y > back;
    if inside < 0.0 || is_tongue {
        BENCH
    } else if inside >= 0.8 && is_ridge(4.0, 5.0) {
        RIDGE
    } else if inside < 0.8 || is_ridge(4.6, 4.4) {
        EDGE
    } else {
        STONE
    }
}

/// The cast seen from above, as a PNG.
pub fn picture(cast: DrawnCast) -> Result<Vec<u8>, AppError> {
    let (width, height) = PICTURE;
    let middle = f64::from(width) / 2.0;
    let drawn = RgbImage::from_fn(width, height, |column, row| {
        let x = (f64::from(column) - middle) / SCALE;
        colour(cast, (x, f64::from(row) / SCALE - 4.0))
    });
    let mut bytes = Cursor::new(Vec::new());
    let written = drawn.write_to(&mut bytes, ImageFormat::Png);
    written.map_err(|why| AppError::Inner(why.to_string()))?;
    Ok(bytes.into_inner())
}

/// The base of that cast as a closed surface, in millimetres.
fn triangles() -> Vec<[[f64; 3]; 3]> {
    /// Points along the front.
    const POINTS: i32 = 24;
    let points = (0..=POINTS).map(|at| {
        let x = HALF * (2.0 * f64::from(at) / f64::from(POINTS) - 1.0);
        (x, base_at(x))
    });
    let outline: Vec<(f64, f64)> = [(HALF, 0.0), (-HALF, 0.0)]
        .into_iter()
        .chain(points)
        .collect();
    let next = outline.iter().cycle().skip(1);
    let sides = outline.iter().zip(next).flat_map(|(&(a, b), &(c, d))| {
        let middle = DEPTH / 2.0;
        [
            [[a, b, 0.0], [c, d, HEIGHT], [c, d, 0.0]],
            [[a, b, 0.0], [a, b, HEIGHT], [c, d, HEIGHT]],
            [[0.0, middle, 0.0], [a, b, 0.0], [c, d, 0.0]],
            [[0.0, middle, HEIGHT], [c, d, HEIGHT], [a, b, HEIGHT]],
        ]
    });
    sides.collect()
}

/// The same as binary STL.
pub fn scan() -> Vec<u8> {
    let triangles = triangles();
    let mut bytes = vec![0; 80];
    bytes.extend(u32::try_from(triangles.len()).unwrap_or(0).to_le_bytes());
    for corners in &triangles {
        bytes.extend([0; 12]);
        for number in corners.iter().flatten() {
            bytes.extend((*number as f32).to_le_bytes());
        }
        bytes.extend([0; 2]);
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn both_casts_can_be_told_apart_from_each_other_and_from_the_bench() {
        let read = |cast| {
            let bytes = picture(cast).expect("a picture");
            image::load_from_memory(&bytes).expect("a PNG").to_rgb8()
        };
        let (upper, lower) = (read(DrawnCast::Upper), read(DrawnCast::Lower));
        assert_eq!(upper.dimensions(), PICTURE);
        let colours = |drawn: &RgbImage| {
            let mut found = BTreeMap::new();
            for pixel in drawn.pixels() {
                *found.entry(pixel.0).or_insert(0) += 1;
            }
            found
        };
        assert_eq!(colours(&upper).len(), 4);
        // The palate is stone, and where the tongue lies there is none.
        let palate = (PICTURE.0 / 2, 100);
        assert_ne!(
            upper.get_pixel(palate.0, palate.1),
            lower.get_pixel(palate.0, palate.1)
        );
    }

    #[test]
    fn the_scan_is_a_closed_surface_of_the_size_of_a_cast() {
        let mut edges = BTreeMap::new();
        let key = |point: [f64; 3]| point.map(|number| (number * 1e6).round() as i64);
        for [a, b, c] in triangles() {
            for (from, to) in [(a, b), (b, c), (c, a)] {
                *edges.entry((key(from), key(to))).or_insert(0) += 1;
            }
        }
        // Each edge is walked once in either direction.
        for ((from, to), count) in &edges {
            assert_eq!(*count, 1);
            assert_eq!(edges.get(&(*to, *from)), Some(&1));
        }
        assert_eq!(scan().len(), 84 + 50 * triangles().len());
    }
}
