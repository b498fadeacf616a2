//! A scan as it is kept. What the bytes are decides, not what the file is called.

use super::surface::{DAMAGED, MeshUnit, SCAN_BYTES_MOST, TRIANGLES_MOST, TriangleMesh, too_many};
use super::{obj, ply, stl, three_mf, write};
use std::io::{BufRead, BufReader, Read, Seek, SeekFrom};

/// Bytes by which a file is known.
const HEAD: u64 = 512;

/// A scan as it is kept, in millimetres.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptScan {
    pub bytes: Vec<u8>,
    /// Whether it is an STL; otherwise it is a PLY.
    pub is_stl: bool,
    pub triangles: u64,
    pub is_coloured: bool,
    /// Width, depth and height in thousandths of a millimetre.
    pub box_um: [u64; 3],
    /// What 1 stood for in the file as it was sent.
    pub unit: MeshUnit,
}

/// What a file is.
enum MeshForm {
    StlText,
    /// With so many triangles.
    Stl(u32),
    Ply,
    Obj,
    ThreeMf,
}

const NONE: &str = "This is no scan: STL, PLY, OBJ and 3MF are taken, whatever the file is called.";

fn form_of(head: &[u8], length: u64) -> Result<MeshForm, String> {
    let count = stl::count(head);
    let wanted = |count: u32| stl::HEAD + stl::TRIANGLE * u64::from(count);
    if head.is_empty() {
        return Err("This file is empty: choose another one.".to_owned());
    }
    if head.starts_with(b"ply\n") || head.starts_with(b"ply\r\n") {
        return Ok(MeshForm::Ply);
    }
    if head.starts_with(b"PK\x03\x04") {
        return Ok(MeshForm::ThreeMf);
    }
    // Many programs begin a binary one with the word of a text: its length decides.
    if let Some(count) = count.filter(|count| wanted(*count) == length) {
        return Ok(MeshForm::Stl(count));
    }
    let text = String::from_utf8_lossy(head);
    let is_text = !head.contains(&0);
    if is_text && text.trim_start().to_ascii_lowercase().starts_with("solid") {
        return Ok(MeshForm::StlText);
    }
    // The last line of what was read may be cut off.
    let lines = text.lines().count();
    let whole = text.lines().take(lines.saturating_sub(1).max(1));
    if is_text && whole.map(str::trim).all(obj::is_line) {
        return Ok(MeshForm::Obj);
    }
    let other = [
        &b"%PDF"[..],
        b"\xff\xd8\xff",
        b"\x89PNG",
        b"RIFF",
        b"GIF8",
        b"<",
    ];
    let is_other = other.iter().any(|start| head.starts_with(start));
    match count.filter(|_| !is_other && !is_text) {
        Some(count) if usize::try_from(count).is_ok_and(|count| count <= TRIANGLES_MOST) => {
            let own = wanted(count);
            Err(match own < length {
                true => format!(
                    "If this is a binary STL, it is damaged: it says {count} triangles, which take {own} bytes, and has \
                     {length}. Export it again."
                ),
                false => format!(
                    "If this is a binary STL, it did not arrive whole: it says {count} triangles, which take {own} bytes, \
                     and has {length}. Send it again, or export it again."
                ),
            })
        }
        _ => Err(NONE.to_owned()),
    }
}

fn surface(
    input: &mut (impl BufRead + Seek),
    form: &MeshForm,
) -> Result<(TriangleMesh, Option<MeshUnit>), String> {
    Ok(match form {
        MeshForm::StlText => (stl::text(input)?, None),
        MeshForm::Stl(count) => {
            if usize::try_from(*count).is_ok_and(|count| count > TRIANGLES_MOST) {
                return Err(too_many("triangles", TRIANGLES_MOST));
            }
            (stl::binary(input, *count)?, None)
        }
        MeshForm::Ply => (ply::read(input)?, None),
        MeshForm::Obj => (obj::read(input)?, None),
        MeshForm::ThreeMf => {
            let (surface, unit) = three_mf::read(input)?;
            (surface, Some(unit))
        }
    })
}

/// Reads a scan from a file that can be read again, a piece at a time, and writes it as it is kept. Its numbers are in
/// `unit`, unless it names one itself.
///
/// # Errors
/// A sentence beside the field, where it is no scan, too large, or damaged.
pub fn read_scan(input: impl Read + Seek, unit: MeshUnit) -> Result<KeptScan, String> {
    let mut input = BufReader::new(input);
    let damaged = |_| DAMAGED.to_owned();
    let length = input.seek(SeekFrom::End(0)).map_err(damaged)?;
    if length > SCAN_BYTES_MOST {
        return Err(scan_too_large());
    }
    input.rewind().map_err(damaged)?;
    let mut head = Vec::new();
    let first = input.by_ref().take(HEAD).read_to_end(&mut head);
    first.map_err(damaged)?;
    let form = form_of(&head, length)?;
    input.rewind().map_err(damaged)?;
    let (surface, own) = surface(&mut input, &form)?;
    let unit = own.unwrap_or(unit);
    let surface = surface.whole(unit)?;
    let is_stl = surface.corners.is_empty();
    let bytes = match is_stl {
        true => write::stl(&surface),
        false => write::ply(&surface),
    };
    if u64::try_from(bytes.len()).map_or(true, |length| length > SCAN_BYTES_MOST) {
        return Err(scan_too_large());
    }
    Ok(KeptScan {
        is_stl,
        triangles: surface.triangles() as u64,
        is_coloured: !surface.colours.is_empty(),
        box_um: surface.box_um(),
        unit,
        bytes,
    })
}

/// What is said of a scan that is larger than one may be.
pub fn scan_too_large() -> String {
    format!(
        "A scan takes at most {} MB: let the program that made it thin it out.",
        SCAN_BYTES_MOST / 1_024 / 1_024
    )
}
