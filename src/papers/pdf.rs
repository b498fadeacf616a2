//! Writes pages as a PDF file; the only file that knows the format.
//!
//! Each weight is cut to the glyphs in use before it is embedded, which makes a slip eleven times smaller and faster.
//! The library would put the clock and chance into dates, font names and the file identifier; all three are given
//! here, the identifier as a hash of the file's own streams, so that the same pages give the same bytes.

use super::operators::{self, Codes};
use super::page::{Face, Mark, Page, Photo};
use super::typeface;
use crate::domain::values::digest::hex;
use crate::domain::values::moment::Moment;
use flate2::Compression;
use flate2::write::ZlibEncoder;
use printpdf::date::OffsetDateTime as FileTime;
use printpdf::{
    DictItem, ExternalStream, ExternalXObject, FontId, FontMetrics, Mm, Op, ParsedFont,
    PdfDocument, PdfFont, PdfFontHandle, PdfPage, PdfSaveOptions, PdfWarnMsg, Pt, TextItem,
    XObject, XObjectId,
};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use subsetter::GlyphRemapper;

/// The language of the words that the program prints.
pub const LANGUAGE: &str = "en-US";

/// What the file says about itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meta {
    pub title: String,
    pub author: String,
    /// From what is printed (the signature, the last event), never from the clock.
    pub created: Moment,
    /// The language of its words (BCP 47); none on papers of before it was said, which never change.
    pub language: Option<&'static str>,
}

/// Why no file could be written. None of these follows from what somebody typed.
#[derive(Debug, thiserror::Error)]
pub enum PaperError {
    #[error("the printed face cannot be cut to the letters in use: {0}")]
    Face(String),
    #[error("the PDF file cannot be written: {0}")]
    File(#[from] std::io::Error),
}

/// The file for these pages.
pub fn write(pages: &[Page], meta: &Meta) -> Result<Vec<u8>, PaperError> {
    let mut document = PdfDocument::new("");
    describe(&mut document, meta);
    let mut set = Vec::new();
    let mut codes = [Codes::default(), Codes::default()];
    for (face, codes) in [Face::Regular, Face::Bold].into_iter().zip(&mut codes) {
        let letters = letters_in(pages, face);
        if !letters.is_empty() {
            let cut = cut_face(face, &letters)?;
            *codes = cut.codes;
            let font = PdfFont::new(cut.font);
            document.resources.fonts.map.insert(font_id(face), font);
            set.extend(setting(face, letters));
        }
    }
    for photo in pages.iter().flat_map(photos) {
        let object = XObject::External(as_object(photo));
        document
            .resources
            .xobjects
            .map
            .insert(photo_id(photo), object);
    }
    let mut set = Some(set);
    let empty = |page: &Page| {
        let set = set.take().unwrap_or_default();
        PdfPage::new(Mm(page.width_mm), Mm(page.height_mm), set)
    };
    document.pages = pages.iter().map(empty).collect();
    let [regular, bold] = &codes;
    let stream = |page| operators::stream(page, [regular, bold], |photo| photo_id(photo).0);
    finish(&document, pages.iter().map(stream), meta)
}

fn font_id(face: Face) -> FontId {
    FontId(operators::name_of(face).into())
}

/// The letters of a face, each once: from these the library makes out what of the face is in use. What they would draw
/// gives way to the page's own stream.
fn setting(face: Face, letters: Vec<char>) -> [Op; 2] {
    let font = PdfFontHandle::External(font_id(face));
    let text = TextItem::Text(letters.into_iter().collect());
    [
        Op::SetFont {
            font,
            size: Pt(1.0),
        },
        Op::ShowText { items: vec![text] },
    ]
}

/// The photographs of a page.
fn photos(page: &Page) -> impl Iterator<Item = &Photo> {
    page.marks.iter().filter_map(|mark| match mark {
        Mark::Photo { photo, .. } => Some(photo.as_ref()),
        _ => None,
    })
}

/// By its bytes, so that the same photograph is in the file once and the same pages give the same file.
fn photo_id(photo: &Photo) -> XObjectId {
    let sum: String = hex(&Sha256::digest(&photo.jpeg)).chars().take(16).collect();
    XObjectId(format!("photo{sum}"))
}

/// A JPEG as it is: a reader of the file decodes it (ISO 32000-1, 7.4.8 and 8.9.5).
fn as_object(photo: &Photo) -> ExternalXObject {
    let name = |name: &str| DictItem::Name(name.as_bytes().to_vec());
    let dict = [
        ("Type", name("XObject")),
        ("Subtype", name("Image")),
        ("Width", DictItem::Int(photo.width.into())),
        ("Height", DictItem::Int(photo.height.into())),
        ("ColorSpace", name("DeviceRGB")),
        ("BitsPerComponent", DictItem::Int(8)),
        ("Filter", name("DCTDecode")),
    ];
    ExternalXObject {
        stream: ExternalStream {
            dict: dict.map(|(key, item)| (key.to_owned(), item)).into(),
            content: photo.jpeg.clone(),
            compress: false,
        },
        width: None,
        height: None,
        dpi: None,
    }
}

impl Meta {
    /// What the file says of itself as one text, for its identifier. Without a language it is the text of before
    /// there was one.
    fn said(&self) -> String {
        let Meta {
            title,
            author,
            created,
            language,
        } = self;
        let said = format!("Meta {{ title: {title:?}, author: {author:?}, created: {created:?} }}");
        format!("{said}{}", language.unwrap_or_default())
    }
}

fn describe(document: &mut PdfDocument, meta: &Meta) {
    let info = &mut document.metadata.info;
    if let Some(created) = file_time(meta.created) {
        info.creation_date = created;
        info.modification_date = created;
        info.metadata_date = created;
    }
    info.document_title = meta.title.clone();
    info.author = meta.author.clone();
    info.creator = "Vestibule".into();
    info.producer = "Vestibule".into();
}

/// The moment in universal time; `None`, which leaves 1970, for a year that the file format cannot write.
fn file_time(moment: Moment) -> Option<FileTime> {
    let seconds = moment.unix_ms.div_euclid(1000);
    let universal = time::OffsetDateTime::from_unix_timestamp(seconds).ok()?;
    if !(0..=9999).contains(&universal.year()) {
        return None;
    }
    FileTime::from_unix_timestamp(seconds).ok()
}

/// Saves with these streams of the pages, and with the two things that the library leaves to chance or leaves out.
fn finish(
    document: &PdfDocument,
    streams: impl Iterator<Item = Vec<u8>>,
    meta: &Meta,
) -> Result<Vec<u8>, PaperError> {
    let options = PdfSaveOptions {
        optimize: true,
        // Cut already; a second cut would renumber the glyphs.
        subset_fonts: false,
        ..PdfSaveOptions::default()
    };
    let mut warnings: Vec<PdfWarnMsg> = Vec::new();
    let mut file = document.to_lopdf_document(&options, &mut warnings);
    file.version = "1.7".into();
    let pages: Vec<_> = file.page_iter().collect();
    for (page, stream) in pages.into_iter().zip(streams) {
        let place = file.get_page_contents(page).pop();
        let place = place.and_then(|id| file.objects.get_mut(&id));
        if let Some(place) = place.and_then(|object| object.as_stream_mut().ok()) {
            place.set_content(stream);
        }
    }
    let mut hash = Sha256::new();
    hash.update(meta.said());
    for stream in file.objects.values().filter_map(|o| o.as_stream().ok()) {
        hash.update(&stream.content);
    }
    // The first half is all that an identifier of this file format holds.
    let identifier: String = hex(&hash.finalize()).chars().take(32).collect();
    if let Ok(parts) = file.trailer.get_mut(b"ID").and_then(|id| id.as_array_mut()) {
        for part in parts.iter_mut().filter_map(|part| part.as_str_mut().ok()) {
            *part = identifier.clone().into_bytes();
        }
    }
    // Of a plain text the library makes a name; a text as such is taken from where one stands.
    let ids = file.trailer.get(b"ID").and_then(|id| id.as_array());
    let a_text = ids.ok().and_then(|parts| parts.first()).cloned();
    if let (Some(language), Ok(catalog)) = (meta.language, file.catalog_mut()) {
        // A window shows the title, and a reader speaks the language (ISO 32000-1, 7.7.2 and 12.2).
        let mut view = empty_like(catalog);
        view.set("DisplayDocTitle", true);
        catalog.set("ViewerPreferences", view);
        if let Some(mut text) = a_text {
            if let Ok(letters) = text.as_str_mut() {
                *letters = language.into();
            }
            catalog.set("Lang", text);
        }
    }
    // In the packing that every reader knows (ISO 32000-1, 7.4.4). Its tables are larger than most streams, and are laid
    // out once.
    let mut packing = ZlibEncoder::new(Vec::new(), PACKED);
    for stream in file
        .objects
        .values_mut()
        .filter_map(|o| o.as_stream_mut().ok())
    {
        if stream.allows_compression && stream.dict.get(b"Filter").is_err() {
            packing.write_all(&stream.content)?;
            stream.set_content(packing.reset(Vec::new())?);
            stream.dict.set("Filter", "FlateDecode");
        }
    }
    let mut bytes = Vec::new();
    file.save_to(&mut bytes)?;
    Ok(bytes)
}

/// How hard the streams are packed. A sheet is a twentieth larger than at the hardest, which takes six times as long: as
/// long as all the rest of it.
const PACKED: Compression = Compression::new(4);

/// An empty thing of the same type, which only the library can name.
fn empty_like<T: Default>(_: &T) -> T {
    T::default()
}

/// The letters of a weight, in the order in which each is set last: of two that share a glyph, the file says that it
/// stands for the later one.
fn letters_in(pages: &[Page], wanted: Face) -> Vec<char> {
    let marks = pages.iter().flat_map(|page| &page.marks).rev();
    let texts = marks.filter_map(|mark| match mark {
        Mark::Text { face, text, .. } => (*face == wanted).then_some(text),
        Mark::Across { text, .. } => (wanted == Face::Bold).then_some(text),
        Mark::Path { .. } | Mark::Qr { .. } | Mark::Photo { .. } => None,
    });
    let (mut letters, mut seen) = (Vec::new(), Seen::default());
    letters.extend(
        texts
            .flat_map(|text| text.chars().rev())
            .filter(|letter| seen.is_first(*letter)),
    );
    letters.reverse();
    letters
}

/// Letters that were met: nearly all by their place.
struct Seen {
    near: [bool; 0x250],
    far: BTreeSet<char>,
}

impl Default for Seen {
    fn default() -> Seen {
        Seen {
            near: [false; 0x250],
            far: BTreeSet::new(),
        }
    }
}

impl Seen {
    fn is_first(&mut self, letter: char) -> bool {
        match self.near.get_mut(u32::from(letter) as usize) {
            Some(seen) => !std::mem::replace(seen, true),
            None => self.far.insert(letter),
        }
    }
}

/// A face with nothing but the letters in use.
struct CutFace {
    font: ParsedFont,
    codes: Codes,
}

/// The face with nothing but these letters. The letters keep their order, so the same set gives the same font.
fn cut_face(face: Face, letters: &[char]) -> Result<CutFace, PaperError> {
    let whole = typeface::typeface(face);
    let mut renumbered = GlyphRemapper::new();
    let (mut code_of, mut width_of) = (BTreeMap::new(), BTreeMap::new());
    for letter in letters.iter().copied().collect::<BTreeSet<char>>() {
        if let Some(glyph) = whole.glyph(letter) {
            let id = renumbered.remap(glyph.id);
            code_of.insert(letter, id);
            width_of.insert(id, glyph.advance);
        }
    }
    let bytes = subsetter::subset(whole.bytes, 0, &renumbered)
        .map_err(|error| PaperError::Face(error.to_string()))?;
    // The tag of six capitals says that the font is a part of the named one (ISO 32000-1, 9.6.4).
    let name = match face {
        Face::Regular => "VSTREG+NotoSans-Regular",
        Face::Bold => "VSTBLD+NotoSans-Bold",
    };
    let codes = code_of.iter().map(|(letter, id)| (*letter, *id));
    let by_number = codes.clone().map(|(letter, id)| (u32::from(letter), id));
    let font = ParsedFont::with_glyph_data(
        bytes,
        0,
        Some(name.into()),
        by_number.collect(),
        width_of,
        whole.units_per_em,
        FontMetrics {
            ascent: whole.ascent,
            descent: whole.descent,
        },
    );
    Ok(CutFace {
        font,
        codes: Codes::new(codes),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::operators::rounded;
    use crate::papers::page::{Grey, Point, Stroke, dark_runs};
    use crate::papers::typeface::MM_PER_PT;
    use printpdf::{
        Color, Greyscale, Line, LineDashPattern, LinePoint, PaintMode, Polygon, PolygonRing,
        TextMatrix, TextRenderingMode, WindingOrder, XObjectTransform,
    };
    use proptest::prelude::*;
    use std::sync::Arc;

    /// The pages with the operators as the library writes them.
    fn by_the_library(pages: &[Page], meta: &Meta) -> Vec<u8> {
        let mut document = PdfDocument::new("");
        describe(&mut document, meta);
        for face in [Face::Regular, Face::Bold] {
            let letters = letters_in(pages, face);
            if !letters.is_empty() {
                let font = PdfFont::new(cut_face(face, &letters).unwrap().font);
                document.resources.fonts.map.insert(font_id(face), font);
            }
        }
        for photo in pages.iter().flat_map(photos) {
            let object = XObject::External(as_object(photo));
            let objects = &mut document.resources.xobjects.map;
            objects.insert(photo_id(photo), object);
        }
        let page = |page: &Page| {
            let (width, height) = (Mm(page.width_mm), Mm(page.height_mm));
            PdfPage::new(width, height, operators(page))
        };
        document.pages = pages.iter().map(page).collect();
        finish(&document, std::iter::empty(), meta).unwrap()
    }

    fn number() -> impl Strategy<Value = f32> {
        prop_oneof![
            -40.0..430.0_f32,
            Just(0.0),
            Just(-0.0),
            (0..4000_u16).prop_map(|n| f32::from(n) / 10.0)
        ]
    }

    fn point() -> impl Strategy<Value = Point> {
        (number(), number()).prop_map(|(x, y)| Point { x, y })
    }

    fn lightness() -> impl Strategy<Value = Grey> {
        let known = [
            Grey::INK,
            Grey::SOFT,
            Grey::RULE,
            Grey::PLASTER,
            Grey::PAPER,
        ];
        prop_oneof![
            proptest::sample::select(known.to_vec()),
            (-0.5..1.5_f32).prop_map(Grey)
        ]
    }

    fn stroke() -> impl Strategy<Value = Stroke> {
        let drawn = (0.0..3.0_f32, lightness(), any::<bool>());
        drawn.prop_map(|(width_mm, grey, dashed)| Stroke {
            width_mm,
            grey,
            dashed,
        })
    }

    /// Letters of three scripts, some of which share a glyph, and one that the face lacks.
    fn words() -> impl Strategy<Value = String> {
        "[ -~äßőΑθПрừ\u{a0}\u{2010}\u{2011}\u{2212}µμΩ\u{2126}≤→中]{0,20}"
    }

    fn mark() -> impl Strategy<Value = Mark> {
        let face = prop_oneof![Just(Face::Regular), Just(Face::Bold)];
        let text = (point(), 4.0..30.0_f32, face, lightness(), words());
        let path = (proptest::collection::vec(point(), 0..6), any::<bool>());
        let path = (
            path,
            proptest::option::of(stroke()),
            proptest::option::of(lightness()),
        );
        let row = || proptest::collection::vec(any::<bool>(), 0..9);
        let code = (
            point(),
            0.1..2.0_f32,
            proptest::collection::vec(row(), 0..5),
        );
        let photo = (point(), 1.0..90.0_f32, any::<[u8; 3]>());
        let across = (point(), 20.0..200.0_f32, -90.0..180.0_f32, words());
        prop_oneof![
            text.prop_map(|(at, size_pt, face, grey, text)| Mark::Text {
                x: at.x,
                baseline: at.y,
                size_pt,
                face,
                grey,
                text
            }),
            path.prop_map(|((points, closed), stroke, fill)| Mark::Path {
                points,
                closed,
                stroke,
                fill
            }),
            code.prop_map(|(at, module_mm, rows)| Mark::Qr {
                x: at.x,
                y: at.y,
                module_mm,
                rows
            }),
            photo.prop_map(|(corner, wide, bytes)| Mark::Photo {
                corner,
                size: (wide, wide / 1.5),
                photo: Arc::new(Photo {
                    jpeg: bytes.to_vec(),
                    width: 3,
                    height: 2
                }),
            }),
            across.prop_map(|(centre, size_pt, angle_deg, text)| Mark::Across {
                centre,
                size_pt,
                angle_deg,
                text
            }),
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn the_file_is_the_one_that_the_library_writes_by_itself(
            pages in proptest::collection::vec(proptest::collection::vec(mark(), 0..12), 1..4),
            language in proptest::option::of(Just(LANGUAGE)),
        ) {
            // Every paper has words in both weights.
            let title = |face| Mark::Text {
                x: 20.0,
                baseline: 30.0,
                size_pt: 11.0,
                face,
                grey: Grey::INK,
                text: "a".to_owned(),
            };
            let page = |marks: Vec<Mark>| Page {
                width_mm: 210.0,
                height_mm: 297.0,
                marks: [title(Face::Regular), title(Face::Bold)].into_iter().chain(marks).collect(),
            };
            let pages: Vec<Page> = pages.into_iter().map(page).collect();
            let meta = Meta {
                title: "A sheet".to_owned(),
                author: "An office".to_owned(),
                created: Moment::new(1_700_000_000_000, 60),
                language,
            };
            prop_assert!(write(&pages, &meta).unwrap() == by_the_library(&pages, &meta));
        }
    }

    fn operators(page: &Page) -> Vec<Op> {
        let pen = Pen {
            height_mm: page.height_mm,
        };
        page.marks.iter().flat_map(|mark| pen.draw(mark)).collect()
    }

    struct Pen {
        height_mm: f32,
    }

    impl Pen {
        fn draw(&self, mark: &Mark) -> Vec<Op> {
            match mark {
                Mark::Text {
                    x,
                    baseline,
                    size_pt,
                    face,
                    grey,
                    text,
                } => vec![
                    fill_grey(*grey),
                    Op::StartTextSection,
                    Op::SetFont {
                        font: PdfFontHandle::External(font_id(*face)),
                        size: Pt(*size_pt),
                    },
                    Op::SetTextCursor {
                        pos: self.point(*x, *baseline),
                    },
                    Op::ShowText {
                        items: vec![TextItem::Text(text.clone())],
                    },
                    Op::EndTextSection,
                ],
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
                } => self.qr(*x, *y, *module_mm, rows),
                Mark::Photo {
                    corner,
                    size,
                    photo,
                } => vec![self.photo(*corner, *size, photo)],
                Mark::Across {
                    centre,
                    size_pt,
                    angle_deg,
                    text,
                } => self.across(*centre, *size_pt, *angle_deg, text),
            }
        }

        fn point(&self, x: f32, y: f32) -> printpdf::Point {
            printpdf::Point {
                x: Pt(rounded(x / MM_PER_PT)),
                y: Pt(rounded((self.height_mm - y) / MM_PER_PT)),
            }
        }

        fn corner(&self, x: f32, y: f32) -> LinePoint {
            LinePoint {
                p: self.point(x, y),
                bezier: false,
            }
        }

        fn path(
            &self,
            points: &[Point],
            closed: bool,
            stroke: Option<Stroke>,
            fill: Option<Grey>,
        ) -> Vec<Op> {
            let points: Vec<LinePoint> = points.iter().map(|p| self.corner(p.x, p.y)).collect();
            let mut ops = Vec::new();
            if let Some(grey) = fill {
                ops.push(fill_grey(grey));
                ops.push(filled(vec![PolygonRing {
                    points: points.clone(),
                }]));
            }
            if let Some(stroke) = stroke {
                ops.extend(stroke_ops(stroke));
                ops.push(Op::DrawLine {
                    line: Line {
                        points,
                        is_closed: closed,
                    },
                });
            }
            ops
        }

        fn photo(&self, corner: Point, (width, height): (f32, f32), photo: &Photo) -> Op {
            let at = self.point(corner.x, corner.y + height);
            Op::UseXobject {
                id: photo_id(photo),
                transform: XObjectTransform {
                    translate_x: Some(at.x),
                    translate_y: Some(at.y),
                    scale_x: Some(rounded(width / MM_PER_PT)),
                    scale_y: Some(rounded(height / MM_PER_PT)),
                    no_auto_scale: true,
                    ..XObjectTransform::default()
                },
            }
        }

        fn qr(&self, x: f32, y: f32, module_mm: f32, rows: &[Vec<bool>]) -> Vec<Op> {
            let mut rings = Vec::new();
            for (row, modules) in rows.iter().enumerate() {
                let top = y + row as f32 * module_mm;
                for (start, length) in dark_runs(modules) {
                    let left = x + start as f32 * module_mm;
                    let right = left + length as f32 * module_mm;
                    let bottom = top + module_mm;
                    rings.push(PolygonRing {
                        points: [(left, top), (right, top), (right, bottom), (left, bottom)]
                            .map(|(x, y)| self.corner(x, y))
                            .to_vec(),
                    });
                }
            }
            vec![fill_grey(Grey::INK), filled(rings)]
        }

        fn across(&self, centre: Point, size_pt: f32, angle_deg: f32, text: &str) -> Vec<Op> {
            let (sin, cos) = angle_deg.to_radians().sin_cos();
            let half = typeface::width_mm(text, Face::Bold, size_pt) / 2.0;
            // Capitals are about 0.71 em high in this face, so their middle lies 0.355 em above the baseline.
            let rise = 0.355 * size_pt * MM_PER_PT;
            let start = self.point(
                centre.x - half * cos + rise * sin,
                centre.y + half * sin + rise * cos,
            );
            let (sin, cos) = (rounded(sin), rounded(cos));
            let mut ops = vec![Op::SaveGraphicsState];
            ops.extend(stroke_ops(Stroke::solid(0.35, Grey(0.55))));
            ops.extend([
                Op::StartTextSection,
                Op::SetTextRenderingMode {
                    mode: TextRenderingMode::Stroke,
                },
                Op::SetFont {
                    font: PdfFontHandle::External(font_id(Face::Bold)),
                    size: Pt(size_pt),
                },
                Op::SetTextMatrix {
                    matrix: TextMatrix::Raw([cos, sin, -sin, cos, start.x.0, start.y.0]),
                },
                Op::ShowText {
                    items: vec![TextItem::Text(text.to_owned())],
                },
                Op::EndTextSection,
                Op::RestoreGraphicsState,
            ]);
            ops
        }
    }

    fn grey(Grey(lightness): Grey) -> Color {
        Color::Greyscale(Greyscale {
            percent: lightness.clamp(0.0, 1.0),
            icc_profile: None,
        })
    }

    fn fill_grey(lightness: Grey) -> Op {
        Op::SetFillColor {
            col: grey(lightness),
        }
    }

    fn stroke_ops(stroke: Stroke) -> [Op; 3] {
        let dash = if stroke.dashed {
            LineDashPattern::new(0.0, &[3.0, 2.0])
        } else {
            LineDashPattern::new(0.0, &[])
        };
        [
            Op::SetOutlineColor {
                col: grey(stroke.grey),
            },
            Op::SetOutlineThickness {
                pt: Pt(rounded(stroke.width_mm / MM_PER_PT)),
            },
            Op::SetLineDashPattern { dash },
        ]
    }

    fn filled(rings: Vec<PolygonRing>) -> Op {
        Op::DrawPolygon {
            polygon: Polygon {
                rings,
                mode: PaintMode::Fill,
                winding_order: WindingOrder::NonZero,
            },
        }
    }
}
