//! 3MF: a zip with a text of XML in it. Of the text, the surfaces that are to be built are taken, where they are to stand;
//! names, pictures and everything else in the zip are read over. The form by the 3MF Core Specification, from memory;
//! `tests/outside.rs` holds it against a second implementation.

use super::lines::number;
use super::surface::{DAMAGED, MeshUnit, TriangleMesh, single};
use super::tags::{XmlTag, XmlTags};
use std::io::{BufRead, BufReader, Read, Seek, SeekFrom};
use zip::ZipArchive;

/// Files in the zip. Those of a scan are a handful.
const FILES_MOST: u64 = 256;
/// Bytes of the text once it is unpacked: some hundred for each triangle.
const TEXT_MOST: u64 = 256 * 1024 * 1024;
/// Bytes of the file that says which one the text is.
const PLACES_MOST: u64 = 64 * 1024;
/// Surfaces, and places where they are to stand.
const PARTS_MOST: usize = 1_000;

fn damaged() -> String {
    DAMAGED.to_owned()
}

/// The number of so many bytes at a place, the lowest first.
fn little(bytes: &[u8], at: usize, many: usize) -> Result<u64, String> {
    let part = bytes.get(at..at + many).ok_or_else(damaged)?;
    let low_first = part.iter().rev();
    Ok(low_first.fold(0, |all, one| (all << 8) | u64::from(*one)))
}

/// How many files the zip says that it has, by the record at its end: asked before the list of them is read. The largest of
/// what its record of 22 bytes says, and the longer one of zip64 where it has one; where each stands is held so closely that
/// whoever reads the list takes no other. Of two such ends it would be anybody's guess which one counts.
fn files(input: &mut (impl Read + Seek)) -> Result<u64, String> {
    // The record with the longest comment, both records of zip64, and as far as the reader of the list looks.
    const TAIL: u64 = 22 + 65_535 + 256;
    /// The record of zip64, and behind it the one that says where that stands.
    const LONG: usize = 56;
    const LOCATOR: usize = 20;
    /// In the short record: see the long one.
    const SEE_LONG: u64 = 0xffff;
    let length = input.seek(SeekFrom::End(0)).map_err(|_| damaged())?;
    let from = length.saturating_sub(TAIL);
    input.seek(SeekFrom::Start(from)).map_err(|_| damaged())?;
    let mut tail = Vec::new();
    input
        .take(TAIL)
        .read_to_end(&mut tail)
        .map_err(|_| damaged())?;
    let signed = tail.windows(4).enumerate();
    let mut ends = signed.filter(|(_, four)| *four == b"PK\x05\x06");
    let (Some((at, _)), None) = (ends.next(), ends.next()) else {
        return Err(damaged());
    };
    let end = tail.get(at..).ok_or_else(damaged)?;
    let short = little(end, 8, 2)?.max(little(end, 10, 2)?);
    let before = |bytes: usize, name: &[u8]| {
        let place = at.checked_sub(bytes)?;
        let found = tail.get(place..at)?;
        found.starts_with(name).then_some((place, found))
    };
    let Some((_, locator)) = before(LOCATOR, b"PK\x06\x07") else {
        return Ok(short);
    };
    let long = before(LOCATOR + LONG, b"PK\x06\x06");
    let (place, long) = long.ok_or_else(damaged)?;
    let place = from + u64::try_from(place).map_err(|_| damaged())?;
    if little(locator, 8, 8)? != place {
        return Err(damaged());
    }
    let short = if short == SEE_LONG { 0 } else { short };
    Ok(short.max(little(long, 24, 8)?).max(little(long, 32, 8)?))
}

/// A file of the zip, unpacked no further than this.
fn unpacked<'a, R: Read + Seek>(
    zip: &'a mut ZipArchive<R>,
    name: &str,
    most: u64,
) -> Result<impl BufRead + use<'a, R>, String> {
    let file = zip.by_name(name.trim_start_matches('/'));
    let file = file.map_err(|_| damaged())?;
    let too_much = || {
        "What is packed in this 3MF is far more than any scan: export it again, or send it as PLY or STL.".to_owned()
    };
    match file.size() > most {
        true => Err(too_much()),
        false => Ok(BufReader::new(file.take(most))),
    }
}

/// Where a package says what it holds: ECMA-376 part 2, open packaging conventions.
const RELATIONS: &str = "_rels/.rels";

/// What is said of a zip of something else.
const NO_SCAN_IN_IT: &str = "This zip is no 3MF: there is no scan in it.";

/// Which file of the zip the text is.
fn place_of_text(input: impl BufRead) -> Result<String, String> {
    let mut tags = XmlTags::of(input);
    while let Some(tag) = tags.next()? {
        let kind = tag.attribute("Type").unwrap_or_default();
        if tag.name == "Relationship" && kind.ends_with("/3dmodel") {
            let target = tag.attribute("Target").ok_or_else(damaged)?;
            return Ok(target.to_owned());
        }
    }
    Err(NO_SCAN_IN_IT.to_owned())
}

fn unit(tag: &XmlTag<'_>) -> Result<MeshUnit, String> {
    Ok(match tag.attribute("unit").unwrap_or("millimeter") {
        "millimeter" => MeshUnit::Millimetre,
        "micron" => MeshUnit::Micrometre,
        "centimeter" => MeshUnit::Centimetre,
        "meter" => MeshUnit::Metre,
        "inch" => MeshUnit::Inch,
        "foot" => MeshUnit::Foot,
        _ => return Err(damaged()),
    })
}

/// Where a surface is to stand: three rows that turn it, and a fourth that moves it.
type Turned = [[f64; 3]; 4];

fn turned(text: &str) -> Result<Turned, String> {
    let numbers: Option<Vec<f64>> = text
        .split_whitespace()
        .map(|word| word.parse().ok())
        .collect();
    let numbers = numbers
        .filter(|numbers| numbers.len() == 12)
        .ok_or_else(damaged)?;
    let mut rows = numbers.chunks_exact(3);
    let mut turned = [[0.0; 3]; 4];
    for row in &mut turned {
        if let Some([a, b, c]) = rows.next() {
            *row = [*a, *b, *c];
        }
    }
    Ok(turned)
}

fn placed([x, y, z]: [f32; 3], [first, second, third, moved]: &Turned) -> [f32; 3] {
    let (x, y, z) = (f64::from(x), f64::from(y), f64::from(z));
    let [fx, fy, fz] = first;
    let [sx, sy, sz] = second;
    let [tx, ty, tz] = third;
    let [mx, my, mz] = moved;
    [
        single(x * fx + y * sx + z * tx + mx),
        single(x * fy + y * sy + z * ty + my),
        single(x * fz + y * sz + z * tz + mz),
    ]
}

/// What the text holds, as far as it is taken.
#[derive(Default)]
struct Text {
    unit: Option<MeshUnit>,
    objects: Vec<(String, TriangleMesh)>,
    /// Which of them are to be built, and where.
    built: Vec<(String, Option<Turned>)>,
    is_ended: bool,
}

fn text(input: impl BufRead) -> Result<Text, String> {
    let mut tags = XmlTags::of(input);
    let mut text = Text::default();
    let (mut points, mut triangles) = (0, 0);
    let mut before = 0;
    while let Some(tag) = tags.next()? {
        let part = |name: &str| tag.attribute(name).ok_or_else(damaged);
        match (tag.name, tag.is_end) {
            ("model", true) => text.is_ended = true,
            ("model", false) if text.unit.is_none() => text.unit = Some(unit(&tag)?),
            ("object", false) if text.objects.len() < PARTS_MOST => {
                let id = part("id")?.to_owned();
                text.objects.push((id, TriangleMesh::default()));
            }
            ("component", false) => {
                return Err(
                    "This 3MF is put together of parts: export it as one surface, or as PLY or STL.".to_owned(),
                );
            }
            ("vertex", false) => {
                let point = [
                    number(tag.attribute("x"))?,
                    number(tag.attribute("y"))?,
                    number(tag.attribute("z"))?,
                ];
                let (_, surface) = text.objects.last_mut().ok_or_else(damaged)?;
                surface.push_point(point)?;
                points += 1;
            }
            ("triangle", false) => {
                let corner = |name: &str| part(name)?.parse::<u32>().map_err(|_| damaged());
                let corners = [corner("v1")?, corner("v2")?, corner("v3")?];
                let (_, surface) = text.objects.last_mut().ok_or_else(damaged)?;
                surface.push_face(&corners)?;
                triangles += 1;
            }
            ("item", false) if text.built.len() < PARTS_MOST => {
                let where_to = tag.attribute("transform").map(turned).transpose()?;
                text.built.push((part("objectid")?.to_owned(), where_to));
            }
            ("object" | "item", false) => return Err(damaged()),
            _ => {}
        }
        // Of all surfaces together, so that a thousand of them take no more than one.
        super::surface::bound_both(points, triangles)?;
        if points + triangles > before {
            before = points + triangles;
            tags.was_of_the_surface();
        }
    }
    match text.is_ended {
        true => Ok(text),
        false => Err(damaged()),
    }
}

/// The surface of a 3MF, and the unit that it names.
pub(super) fn read(mut input: impl Read + Seek) -> Result<(TriangleMesh, MeshUnit), String> {
    if files(&mut input)? > FILES_MOST {
        return Err("There are far more files in this zip than in any scan.".to_owned());
    }
    let mut zip = ZipArchive::new(input).map_err(|_| damaged())?;
    if zip.index_for_name(RELATIONS).is_none() {
        return Err(NO_SCAN_IN_IT.to_owned());
    }
    let place = place_of_text(unpacked(&mut zip, RELATIONS, PLACES_MOST)?)?;
    let mut packed = unpacked(&mut zip, &place, TEXT_MOST)?;
    let text = text(&mut packed)?;
    let mut surface = TriangleMesh::default();
    for (id, where_to) in &text.built {
        let mut objects = text.objects.iter();
        let (_, one) = objects.find(|(own, _)| own == id).ok_or_else(damaged)?;
        let before = u32::try_from(surface.points.len()).map_err(|_| damaged())?;
        for point in &one.points {
            let point = where_to.as_ref().map_or(*point, |to| placed(*point, to));
            surface.push_point(point)?;
        }
        for corners in &one.corners {
            let inside = corners
                .iter()
                .all(|corner| usize::try_from(*corner).is_ok_and(|place| place < one.points.len()));
            if !inside {
                return Err(damaged());
            }
            surface.push_face(&corners.map(|corner| corner + before))?;
        }
    }
    if surface.corners.is_empty() {
        surface.points.clear();
    }
    Ok((surface, text.unit.unwrap_or(MeshUnit::Millimetre)))
}
