//! STL as scanners write it: 80 bytes of whatever, a count, and 50 bytes for each triangle; or a text from `solid` to
//! `endsolid`. The form is from memory; `tests/outside.rs` holds it against a second implementation.

use super::lines::{TextLines, three};
use super::surface::{DAMAGED, TriangleMesh};
use std::io::{BufRead, Read};

/// What stands before the triangles of a binary one: 80 bytes and the count.
pub(super) const HEAD: u64 = 84;
/// Bytes of one triangle: its normal, three points, and two bytes that mean nothing.
pub(super) const TRIANGLE: u64 = 50;

/// How many triangles a binary one says that it has.
pub(super) fn count(head: &[u8]) -> Option<u32> {
    match head.get(80..84)? {
        [a, b, c, d] => Some(u32::from_le_bytes([*a, *b, *c, *d])),
        _ => None,
    }
}

/// Of a binary one, whose length fits its count, the triangles.
pub(super) fn binary(mut input: impl Read, triangles: u32) -> Result<TriangleMesh, String> {
    let damaged = |_| DAMAGED.to_owned();
    let mut head = [0; 84];
    input.read_exact(&mut head).map_err(damaged)?;
    let mut surface = TriangleMesh::default();
    let mut one = [0; 50];
    for _ in 0..triangles {
        input.read_exact(&mut one).map_err(damaged)?;
        let point = |at: usize| {
            let bytes = one.get(at..at + 12).unwrap_or_default();
            let mut numbers = bytes.chunks_exact(4).map(|four| match four {
                [a, b, c, d] => f32::from_le_bytes([*a, *b, *c, *d]),
                _ => f32::NAN,
            });
            [(); 3].map(|()| numbers.next().unwrap_or(f32::NAN))
        };
        surface.push_own([point(12), point(24), point(36)])?;
    }
    Ok(surface)
}

/// Whether the line is these words, whatever its capitals.
fn is(line: &str, wanted: &str) -> bool {
    let words = line.split_whitespace();
    words
        .map(str::to_ascii_lowercase)
        .eq(wanted.split_whitespace())
}

/// Whether the line begins with this word, whatever its capitals.
fn begins(line: &str, word: &str) -> bool {
    let first = line.split_whitespace().next().unwrap_or_default();
    first.eq_ignore_ascii_case(word)
}

/// Of a text, the triangles. Several solids behind each other are one surface.
pub(super) fn text(input: impl BufRead) -> Result<TriangleMesh, String> {
    let mut lines = TextLines::of(input);
    let mut surface = TriangleMesh::default();
    while let Some(line) = lines.next_filled()? {
        if !begins(&line, "solid") {
            return Err(DAMAGED.to_owned());
        }
        loop {
            let line = lines.next_filled()?.unwrap_or_default();
            if begins(&line, "endsolid") {
                break;
            }
            // The normal follows from the points, and some programs write none that is a number.
            let mut words = line.split_whitespace();
            let is_facet = begins(&line, "facet") && words.clone().count() == 5;
            if !is_facet
                || !words
                    .nth(1)
                    .is_some_and(|word| word.eq_ignore_ascii_case("normal"))
            {
                return Err(DAMAGED.to_owned());
            }
            facet(&mut lines, &mut surface)?;
        }
    }
    Ok(surface)
}

fn facet(lines: &mut TextLines<impl BufRead>, surface: &mut TriangleMesh) -> Result<(), String> {
    let expect = |lines: &mut TextLines<_>, wanted: &str| {
        let line = lines.next_filled()?.unwrap_or_default();
        match is(&line, wanted) {
            true => Ok(()),
            false => Err(DAMAGED.to_owned()),
        }
    };
    expect(lines, "outer loop")?;
    let mut points = [[0.0; 3]; 3];
    for point in &mut points {
        let line = lines.next_filled()?.unwrap_or_default();
        let mut words = line.split_whitespace();
        let is_vertex = words
            .next()
            .is_some_and(|word| word.eq_ignore_ascii_case("vertex"));
        *point = three(&mut words)?;
        if !is_vertex || words.next().is_some() {
            return Err(DAMAGED.to_owned());
        }
    }
    expect(lines, "endloop")?;
    expect(lines, "endfacet")?;
    surface.push_own(points)
}
