//! Scans as they are written by other programs, whole and cut off, honest and lying. The forms of the files are from memory
//! here; `tests/outside.rs` holds what is read and written against a second implementation.

use super::surface::TriangleMesh;
use super::{KeptScan, MeshUnit, SCAN_BYTES_MOST, TRIANGLES_MOST, read_scan, write};
use proptest::prelude::*;
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;

/// Somebody's name, put wherever a file has room for it.
const NAME: &str = "Quartermain";

/// A tetrahedron of 60 by 50 by 20.
const POINTS: [[f32; 3]; 4] = [
    [-30.5, 0.25, 0.0],
    [29.5, 0.25, 0.0],
    [0.125, 50.25, 0.0],
    [0.0, 10.0, 20.0],
];
const CORNERS: [[u32; 3]; 4] = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];
const BOX_UM: [u64; 3] = [60_000, 50_000, 20_000];

fn mesh() -> TriangleMesh {
    TriangleMesh {
        points: POINTS.to_vec(),
        colours: Vec::new(),
        corners: CORNERS.to_vec(),
    }
}

/// Each triangle with points of its own, as STL has them.
fn own_points(mesh: &TriangleMesh) -> TriangleMesh {
    let point = |corner: &u32| mesh.points[usize::try_from(*corner).unwrap()];
    TriangleMesh {
        points: mesh.corners.iter().flatten().map(point).collect(),
        ..TriangleMesh::default()
    }
}

fn stl_text() -> Vec<u8> {
    let mut text = format!("solid {NAME}\n");
    for corners in CORNERS {
        text += "  facet normal 0 0 1\n    outer loop\n";
        for corner in corners {
            let [x, y, z] = POINTS[usize::try_from(corner).unwrap()];
            text += &format!("      vertex {x:e} {y:e} {z:e}\n");
        }
        text += "    endloop\n  endfacet\n";
    }
    text += &format!("endsolid {NAME}\n");
    text.into_bytes()
}

fn stl_binary() -> Vec<u8> {
    let mut bytes = write::stl(&own_points(&mesh()));
    let name = format!("solid of {NAME}");
    bytes[..name.len()].copy_from_slice(name.as_bytes());
    // Two bytes that mean nothing, in which two letters fit.
    let last = bytes.len() - 2;
    bytes[last..].copy_from_slice(b"Qu");
    bytes
}

fn ply_head(form: &str, kind: &str) -> String {
    format!(
        "ply\nformat {form} 1.0\ncomment {NAME}\nobj_info {NAME}\nelement vertex 4\nproperty {kind} x\nproperty {kind} y\n\
         property {kind} z\nproperty uchar red\nproperty uchar green\nproperty uchar blue\nproperty uchar alpha\n\
         element face 4\nproperty uchar flags\nproperty list uchar int vertex_indices\nelement edge 1\n\
         property list ushort short of\nend_header\n"
    )
}

fn ply_text() -> Vec<u8> {
    let mut text = ply_head("ascii", "float");
    for [x, y, z] in POINTS {
        text += &format!("{x} {y} {z} 200 120 130 255\n");
    }
    for [a, b, c] in CORNERS {
        text += &format!("7 3 {a} {b} {c}\n");
    }
    text += "2 -1 -2\n";
    text.into_bytes()
}

fn ply_binary(is_big: bool) -> Vec<u8> {
    let form = if is_big {
        "binary_big_endian"
    } else {
        "binary_little_endian"
    };
    let mut bytes = ply_head(form, "double").into_bytes();
    let mut push = |mut one: Vec<u8>| {
        if is_big {
            one.reverse();
        }
        bytes.extend(one);
    };
    for point in POINTS {
        for number in point {
            push(f64::from(number).to_le_bytes().to_vec());
        }
        for colour in [200, 120, 130, 255] {
            push(vec![colour]);
        }
    }
    for corners in CORNERS {
        push(vec![7]);
        push(vec![3]);
        for corner in corners {
            push(i32::try_from(corner).unwrap().to_le_bytes().to_vec());
        }
    }
    push(2_u16.to_le_bytes().to_vec());
    push((-1_i16).to_le_bytes().to_vec());
    push((-2_i16).to_le_bytes().to_vec());
    bytes
}

fn obj() -> Vec<u8> {
    let mut text = format!("# {NAME}\nmtllib {NAME}.mtl\no {NAME}\n");
    for [x, y, z] in POINTS {
        text += &format!("v {x} {y} {z} 1.0 0.5 0\n");
    }
    text += "vn 0 0 1\r\n";
    for [a, b, c] in CORNERS {
        text += &format!("f {}/1/1 {}//1 -{}\n", a + 1, b + 1, 4 - c);
    }
    text.into_bytes()
}

const RELATIONS: &str = r#"<?xml version="1.0"?><Relationships xmlns="r"><!-- a > b --><Relationship Id="a"
    Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" Target="/3D/scan.model"/></Relationships>"#;

fn model(unit: &str, place: &str) -> String {
    let mut text = format!(
        "<?xml version=\"1.0\"?>\n<model unit=\"{unit}\" xmlns='m'><metadata name=\"Author\">{NAME}</metadata>\
         <resources><object id=\"7\" name=\"{NAME}\"><mesh><vertices>"
    );
    for [x, y, z] in POINTS {
        text += &format!("<vertex x=\"{x}\" y='{y}' z = \"{z}\" />");
    }
    text += "</vertices><triangles>";
    for [a, b, c] in CORNERS {
        text += &format!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>");
    }
    text += "</triangles></mesh></object></resources><build>";
    text + &format!("<item objectid=\"7\"{place}/></build></model>")
}

fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in files {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(content).unwrap();
    }
    zip.set_comment(NAME).unwrap();
    zip.finish().unwrap().into_inner()
}

fn three_mf(model: &str) -> Vec<u8> {
    zipped(&[
        ("_rels/.rels", RELATIONS.as_bytes()),
        ("3D/scan.model", model.as_bytes()),
        ("Metadata/Quartermain.txt", NAME.as_bytes()),
    ])
}

/// Where the record at the end of a zip begins.
fn end_of(zip: &[u8]) -> usize {
    let mut fours = zip.windows(4);
    fours.rposition(|four| four == b"PK\x05\x06").unwrap()
}

/// The same zip with the long records at its end, which say that it has so many files: by PKWARE's APPNOTE, sections 4.3.14 to
/// 4.3.16, from memory.
fn as_zip64(zip: &[u8], files: u64) -> Vec<u8> {
    let at = end_of(zip);
    let (before, end) = zip.split_at(at);
    let long = |from: usize| {
        let four: [u8; 4] = end[from..from + 4].try_into().unwrap();
        u64::from(u32::from_le_bytes(four)).to_le_bytes()
    };
    let mut all = before.to_vec();
    all.extend(b"PK\x06\x06");
    all.extend(44_u64.to_le_bytes());
    all.extend([45, 0, 45, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    for number in [files.to_le_bytes(), files.to_le_bytes(), long(12), long(16)] {
        all.extend(number);
    }
    all.extend(b"PK\x06\x07\0\0\0\0");
    all.extend(u64::try_from(at).unwrap().to_le_bytes());
    all.extend([1, 0, 0, 0]);
    let mut end = end.to_vec();
    end[8..12].fill(0xff);
    all.extend(end);
    all
}

/// The same zip with a second end in its comment, which says that it has one file.
fn with_two_ends(zip: &[u8]) -> Vec<u8> {
    let at = end_of(zip);
    let mut second = zip[at..].to_vec();
    second[8..12].copy_from_slice(&[1, 0, 1, 0]);
    let mut all = zip.to_vec();
    all[at + 20] += u8::try_from(second.len()).unwrap();
    all.extend(second);
    all
}

fn read(bytes: &[u8]) -> Result<KeptScan, String> {
    read_scan(Cursor::new(bytes), MeshUnit::Millimetre)
}

/// Name, bytes, whether it is kept as STL, whether it has colours.
fn whole() -> Vec<(&'static str, Vec<u8>, bool, bool)> {
    vec![
        ("STL, text", stl_text(), true, false),
        ("STL, binary", stl_binary(), true, false),
        ("PLY, text", ply_text(), false, true),
        ("PLY, little", ply_binary(false), false, true),
        ("PLY, big", ply_binary(true), false, true),
        ("OBJ", obj(), false, true),
        ("3MF", three_mf(&model("millimeter", "")), false, false),
        (
            "3MF, long end",
            as_zip64(&three_mf(&model("millimeter", "")), 3),
            false,
            false,
        ),
    ]
}

#[test]
fn every_form_is_read_as_the_same_surface_and_nothing_else_of_it_is_kept() {
    for (name, bytes, is_stl, is_coloured) in whole() {
        let kept = read(&bytes).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert_eq!((kept.triangles, kept.box_um), (4, BOX_UM), "{name}");
        assert_eq!(
            (kept.is_stl, kept.is_coloured),
            (is_stl, is_coloured),
            "{name}"
        );
        let mut mesh = mesh();
        if is_coloured {
            let colour = if name == "OBJ" {
                [255, 128, 0]
            } else {
                [200, 120, 130]
            };
            mesh.colours = vec![colour; 4];
        }
        let wanted = match is_stl {
            true => write::stl(&own_points(&mesh)),
            false => write::ply(&mesh),
        };
        assert_eq!(kept.bytes, wanted, "{name}");
        // No word of it is left, and read once more it is the same.
        assert!(
            !kept.bytes.windows(5).any(|part| part == b"Quart"),
            "{name}"
        );
        assert_eq!(read(&kept.bytes).unwrap().bytes, kept.bytes, "{name}");
    }
}

#[test]
fn a_scan_that_is_cut_off_is_refused_with_a_sentence() {
    for (name, bytes, _, _) in whole() {
        let kept = read(&bytes).unwrap();
        for cut in (0..bytes.len()).step_by(7) {
            match read(&bytes[..cut]) {
                Err(why) => assert!(why.ends_with('.') && why.len() > 20, "{name}, {cut}: {why}"),
                // Behind the last number may stand a name that is cut off: then nothing is missing.
                Ok(one) if name == "STL, text" => assert_eq!(one, kept, "{cut}"),
                // Where an OBJ ends nothing says: cut between two of its last lines, with every point in use.
                Ok(one) => assert!(name == "OBJ" && one.triangles >= 2, "{name}, {cut}"),
            }
        }
    }
}

/// The length of one number for each unit: the international inch and foot of 1959, from memory.
#[test]
fn a_scan_is_kept_in_millimetres_whatever_it_was_written_in() {
    for (unit, word, factor) in [
        (MeshUnit::Millimetre, "millimeter", 1.0),
        (MeshUnit::Micrometre, "micron", 0.001),
        (MeshUnit::Centimetre, "centimeter", 10.0),
        (MeshUnit::Metre, "meter", 1000.0),
        (MeshUnit::Inch, "inch", 25.4),
        (MeshUnit::Foot, "foot", 304.8),
    ] {
        let wanted = BOX_UM.map(|one| {
            #[expect(clippy::cast_precision_loss, reason = "small whole numbers")]
            let um = one as f64 * factor;
            super::surface::whole_number(um)
        });
        let close = |found: [u64; 3]| {
            let mut pairs = found.iter().zip(wanted);
            pairs.all(|(one, other)| one.abs_diff(other) <= 1 + other / 1_000_000)
        };
        let stl = read_scan(Cursor::new(stl_binary()), unit).unwrap();
        assert!(close(stl.box_um), "{unit:?}: {:?}", stl.box_um);
        // A 3MF says it itself, whatever was chosen.
        let own = read_scan(Cursor::new(three_mf(&model(word, ""))), MeshUnit::Foot).unwrap();
        assert_eq!(own.unit, unit);
        assert!(close(own.box_um), "{unit:?}: {:?}", own.box_um);
    }
}

#[test]
fn what_a_3mf_builds_stands_where_it_says() {
    // A quarter turn about the upright axis, and a step along the first: columns are where the axes go.
    let place = " transform=\"0 1 0 -1 0 0 0 0 1 5 0 0\"";
    let kept = read(&three_mf(&model("millimeter", place))).unwrap();
    assert_eq!(kept.box_um, [50_000, 60_000, 20_000]);
    let twice = model(
        "millimeter",
        "/><item objectid=\"7\" transform=\"1 0 0 0 1 0 0 0 1 100 0 0\"",
    );
    let kept = read(&three_mf(&twice)).unwrap();
    assert_eq!(
        (kept.triangles, kept.box_um),
        (8, [160_000, 50_000, 20_000])
    );
}

#[test]
fn a_file_that_lies_is_refused_with_a_sentence() {
    let ply = |from: &str, to: &str| {
        let text = String::from_utf8(ply_text()).unwrap();
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1).into_bytes()
    };
    let stl = |at: usize, bytes: &[u8]| {
        let mut one = stl_binary();
        one[at..at + bytes.len()].copy_from_slice(bytes);
        one
    };
    let obj_of = |more: &str| format!("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n{more}\n").into_bytes();
    let of_model = |from: &str, to: &str| {
        let text = model("millimeter", "");
        assert!(text.contains(from), "{from}");
        three_mf(&text.replacen(from, to, 1))
    };
    let text = |from: &str, to: &str| {
        let text = String::from_utf8(stl_text()).unwrap();
        text.replacen(from, to, 1).into_bytes()
    };
    let other_relations = zipped(&[("_rels/.rels", b"<Relationships/>"), ("a.txt", b"a")]);
    let mut more = stl_binary();
    more.extend(b"Quartermain");
    let many: Vec<(String, &[u8])> = (0..300).map(|one| (one.to_string(), &b""[..])).collect();
    let many: Vec<(&str, &[u8])> = many
        .iter()
        .map(|(name, bytes)| (name.as_str(), *bytes))
        .collect();
    let mut flipped = three_mf(&model("millimeter", ""));
    let middle = flipped.len() / 3;
    flipped[middle] ^= 0x55;
    let table: Vec<(&str, Vec<u8>, &str)> = vec![
        ("nothing", Vec::new(), "is empty"),
        (
            "a picture",
            b"\xff\xd8\xff\xe0\0\x10JFIF and so on".to_vec(),
            "is no scan",
        ),
        (
            "a page",
            b"<!doctype html><script>alert(1)</script>".to_vec(),
            "is no scan",
        ),
        (
            "words",
            b"Mrs. Quartermain wants them lighter".to_vec(),
            "is no scan",
        ),
        ("zeros", vec![0; 50], "is no scan"),
        (
            "STL of more triangles",
            stl(80, &5_u32.to_le_bytes()),
            "5 triangles",
        ),
        (
            "STL of too many",
            stl(80, &u32::MAX.to_le_bytes()),
            "is no scan",
        ),
        ("STL with more behind it", more, "4 triangles"),
        (
            "STL of no number",
            stl(96, &f32::NAN.to_le_bytes()),
            "damaged",
        ),
        (
            "STL of no place",
            stl(96, &1e30_f32.to_le_bytes()),
            "damaged",
        ),
        ("STL of nothing", vec![0; 84], "no triangle"),
        (
            "text of nothing",
            b"solid a\nendsolid a\n".to_vec(),
            "no triangle",
        ),
        (
            "text of two points",
            text("      vertex 2.95e1 2.5e-1 0e0\n", ""),
            "damaged",
        ),
        ("text with a comma", text("2.5e-1", "0,25"), "damaged"),
        ("PLY of more points", ply("vertex 4", "vertex 5"), "damaged"),
        (
            "PLY of fewer points",
            ply("vertex 4", "vertex 3"),
            "damaged",
        ),
        ("PLY of more faces", ply("face 4", "face 6"), "damaged"),
        (
            "PLY of endless points",
            ply("vertex 4", "vertex 99999999999"),
            "2500000 points",
        ),
        (
            "PLY of endless faces",
            ply("face 4", "face 1250001"),
            "1250000 triangles",
        ),
        (
            "PLY of endless nothing",
            ply(
                "element edge 1\nproperty list ushort short of\n",
                "element e 999999999999\n",
            ),
            "damaged",
        ),
        (
            "PLY to a point that is not there",
            ply("7 3 0 2 1", "7 3 0 2 4"),
            "damaged",
        ),
        (
            "PLY to a point before the first",
            ply("7 3 0 2 1", "7 3 0 2 -1"),
            "damaged",
        ),
        (
            "PLY of a face of two",
            ply("7 3 0 2 1", "7 2 0 2"),
            "damaged",
        ),
        (
            "PLY of a half point",
            ply("7 3 0 2 1", "7 3 0 2 1.5"),
            "damaged",
        ),
        (
            "PLY with a line more",
            [ply_text(), b"1 2 3\n".to_vec()].concat(),
            "more in this file",
        ),
        (
            "PLY of points alone",
            ply("element face 4", "element other 4"),
            "no triangle",
        ),
        ("PLY of another version", ply("1.0", "2.0"), "damaged"),
        (
            "PLY without its third axis",
            ply("float z", "float w"),
            "damaged",
        ),
        (
            "OBJ to a point that is not there",
            obj_of("f 1 2 4"),
            "damaged",
        ),
        ("OBJ to no point", obj_of("f 0 1 2"), "damaged"),
        (
            "OBJ with a point that nothing needs",
            obj_of("v 9 9 9"),
            "cut off",
        ),
        (
            "OBJ of points alone",
            b"v 0 0 0\nv 1 0 0\nv 0 1 0\n".to_vec(),
            "no triangle",
        ),
        ("OBJ of other words", obj_of("script alert(1)"), "damaged"),
        ("zip of something else", other_relations, "is no 3MF"),
        (
            "zip that is no package",
            zipped(&[("word.txt", b"a")]),
            "is no 3MF",
        ),
        ("zip of many files", zipped(&many), "far more files"),
        (
            "long zip of many files",
            as_zip64(&zipped(&many), 300),
            "far more files",
        ),
        ("zip of two ends", with_two_ends(&zipped(&many)), "damaged"),
        (
            "3MF of two ends",
            with_two_ends(&three_mf(&model("millimeter", ""))),
            "damaged",
        ),
        ("3MF with a wrong byte", flipped, "damaged"),
        (
            "3MF to a point that is not there",
            of_model("v1=\"0\"", "v1=\"4\""),
            "damaged",
        ),
        (
            "3MF of parts",
            of_model(
                "</mesh>",
                "</mesh><components><component objectid=\"7\"/></components>",
            ),
            "put together",
        ),
        (
            "3MF of words of its own",
            of_model("<model", "<!DOCTYPE a [<!ENTITY b 'c'>]><model"),
            "words of its own",
        ),
        (
            "3MF that builds nothing",
            of_model("<item objectid=\"7\"/>", ""),
            "no triangle",
        ),
        (
            "3MF that builds what is not there",
            of_model("objectid=\"7\"", "objectid=\"8\""),
            "damaged",
        ),
        ("3MF without its end", of_model("</model>", ""), "damaged"),
        (
            "3MF in ells",
            of_model("\"millimeter\"", "\"ell\""),
            "damaged",
        ),
    ];
    for (name, bytes, said) in table {
        let answer = read(&bytes).map(|kept| kept.triangles);
        let why = answer.expect_err(name);
        assert!(why.contains(said), "{name}: {why}");
        assert!(why.ends_with('.'), "{name}: {why}");
    }
}

#[test]
fn what_would_fill_the_memory_is_refused() {
    // Three hundred millions of blanks take some three hundred thousand bytes.
    let blanks = vec![b' '; 300 * 1024 * 1024];
    let bomb = zipped(&[
        ("_rels/.rels", RELATIONS.as_bytes()),
        ("3D/scan.model", &blanks),
    ]);
    drop(blanks);
    assert!(bomb.len() < 2_000_000, "{}", bomb.len());
    assert!(read(&bomb).unwrap_err().contains("far more than any scan"));
    // As are millions of tags, or of notes, that are no point and no triangle: reading them would take minutes.
    for one in ["<a/>", "<!---->", "<?a?>", "</vertex>"] {
        let many = format!("<model>{}", one.repeat(1_000_000));
        let why = read(&three_mf(&many)).unwrap_err();
        assert!(why.contains("far more in this 3MF"), "{one}: {why}");
    }
    // Each point may have an end of its own.
    let ended = model("millimeter", "").replace("\"/>", "\"></vertex>");
    assert!(read(&three_mf(&ended)).is_ok(), "{ended}");
    let long_tag = format!("<model {}", "a='b' ".repeat(10_000));
    assert!(read(&three_mf(&long_tag)).unwrap_err().contains("damaged"));
    let long_line = format!("solid {}", "a".repeat(100_000)).into_bytes();
    assert!(read(&long_line).unwrap_err().contains("longer than any"));
    let large = std::io::empty();
    assert!(
        read_scan(Long(large), MeshUnit::Millimetre)
            .unwrap_err()
            .contains("64 MB")
    );
    // As many triangles as are taken fit into as many bytes.
    let bytes = 84 + 50 * TRIANGLES_MOST as u64;
    assert!(bytes < SCAN_BYTES_MOST && SCAN_BYTES_MOST - bytes < 10_000_000);
}

/// A file that says to be longer than a scan may be.
struct Long(std::io::Empty);

impl std::io::Read for Long {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        self.0.read(into)
    }
}

impl std::io::Seek for Long {
    fn seek(&mut self, _: std::io::SeekFrom) -> std::io::Result<u64> {
        Ok(SCAN_BYTES_MOST + 1)
    }
}

fn meshes() -> impl Strategy<Value = TriangleMesh> {
    let number = -500_000_i32..500_000;
    let points = prop::collection::vec([number.clone(), number.clone(), number], 3..40);
    (
        points,
        any::<bool>(),
        prop::collection::vec(any::<[u32; 3]>(), 1..60),
    )
        .prop_map(|(points, is_coloured, corners)| {
            let count = u32::try_from(points.len()).unwrap();
            let in_mm = |number: i32| f32::from(i16::try_from(number / 32).unwrap()) / 7.0;
            TriangleMesh {
                colours: match is_coloured {
                    true => (0..points.len())
                        .map(|place| [u8::try_from(place).unwrap(); 3])
                        .collect(),
                    false => Vec::new(),
                },
                points: points.into_iter().map(|point| point.map(in_mm)).collect(),
                corners: corners
                    .into_iter()
                    .map(|three| three.map(|one| one % count))
                    .collect(),
            }
        })
}

fn as_stl_text(mesh: &TriangleMesh) -> Vec<u8> {
    let mut text = "SOLID\n".to_owned();
    for three in own_points(mesh).points.chunks_exact(3) {
        text += "FACET NORMAL nan nan nan\nOUTER LOOP\n";
        for [x, y, z] in three {
            text += &format!("VERTEX {x} {y:e} {z}\n");
        }
        text += "ENDLOOP\nENDFACET\n";
    }
    (text + "ENDSOLID").into_bytes()
}

proptest! {
    #[test]
    fn a_surface_comes_back_as_it_was_written(mesh in meshes()) {
        let ply = write::ply(&mesh);
        prop_assert_eq!(&read(&ply).unwrap().bytes, &ply);
        let own = own_points(&mesh);
        let stl = write::stl(&own);
        let kept = read(&stl).unwrap();
        prop_assert_eq!(&kept.bytes, &stl);
        prop_assert_eq!(kept.box_um, own.box_um());
        prop_assert_eq!(&read(&as_stl_text(&mesh)).unwrap().bytes, &stl);
    }

    #[test]
    fn no_bytes_make_it_fall_over(start in 0_usize..8, bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        let starts: [&[u8]; 8] = [b"", b"ply\nformat ascii 1.0\n", b"solid \n", b"PK\x03\x04", b"v 1 2 3\n", b"#\n",
            b"ply\nformat binary_big_endian 1.0\nelement vertex 9\nproperty float x\nproperty float y\nproperty float z\nelement face 9\nproperty list uchar int vertex_index\nend_header\n",
            &[0; 84]];
        let all = [starts[start], &bytes].concat();
        if let Err(why) = read(&all) {
            prop_assert!(why.ends_with('.'), "{}", why);
        }
    }

    #[test]
    fn no_changed_byte_makes_it_fall_over(which in 0_usize..8, at in any::<prop::sample::Index>(), byte in any::<u8>()) {
        let (_, mut bytes, _, _) = whole().swap_remove(which);
        let place = at.index(bytes.len());
        bytes[place] = byte;
        if let Err(why) = read(&bytes) {
            prop_assert!(why.ends_with('.'), "{}", why);
        }
    }
}
