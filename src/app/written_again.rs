//! A picture that was sent, decoded and written again: upright, of bounded size, and with nothing beside its pixels. What
//! the bytes are decides, not what the file is called.
//!
//! The signatures of the formats and the markers of JPEG: ITU-T T.81 annex B, RFC 2083 (PNG) and RFC 9649 (WebP), from
//! memory.

use crate::domain::custody::forms::PictureForm;
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};
use std::io::Cursor;

/// Bytes of a picture as it is sent: what telephones take is a third of that.
pub const SENT_MOST: usize = 15 * 1024 * 1024;
/// Pixels of a picture as it is sent: what telephones take, and no more memory than a small machine has.
const PIXELS_MOST: u64 = 50_000_000;
/// What decoding may take, in bytes.
const MEMORY_MOST: u64 = 420 * 1024 * 1024;
/// The longer side of a picture as it is kept, in pixels.
const SIDE_MOST: u32 = 2_000;
/// The longer side of a small one, which pages show in rows.
const SMALL: u32 = 320;
/// Of 100: what is lost is seen by nobody.
const QUALITY: u8 = 86;

/// A picture as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptPicture {
    pub jpeg: Vec<u8>,
    pub width: u32,
    pub height: u32,
}

/// A rectangle by its distance from each edge, in hundredths of the sides of the upright picture: what lies outside of it is
/// cut off, or what lies within is covered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Cut {
    pub left: u32,
    pub right: u32,
    pub top: u32,
    pub bottom: u32,
    pub covers: bool,
}

impl From<&PictureForm> for Cut {
    fn from(form: &PictureForm) -> Cut {
        Cut {
            left: form.cut_left.unwrap_or(0),
            right: form.cut_right.unwrap_or(0),
            top: form.cut_top.unwrap_or(0),
            bottom: form.cut_bottom.unwrap_or(0),
            covers: form.cut_covers,
        }
    }
}

/// Which format the first bytes are of.
fn format_of(bytes: &[u8]) -> Option<ImageFormat> {
    let is_webp = bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP");
    if bytes.starts_with(&[0xff, 0xd8, 0xff]) {
        Some(ImageFormat::Jpeg)
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some(ImageFormat::Png)
    } else {
        is_webp.then_some(ImageFormat::WebP)
    }
}

/// What is said of bytes that are no picture of ours.
fn not_a_picture(bytes: &[u8]) -> String {
    let is_heic = bytes.get(4..8) == Some(b"ftyp");
    if bytes.is_empty() {
        "This file is empty: take the picture again."
    } else if is_heic {
        "This is a picture or film of a kind that is not taken here (HEIC, AVIF, MP4). Set the camera to JPEG, or save the \
         picture as JPEG."
    } else {
        "This is no picture: JPEG, PNG and WebP are taken, whatever the file is called."
    }
    .to_owned()
}

/// Whether a JPEG goes on to its end: decoders fill what is missing with grey and say nothing.
fn is_whole_jpeg(bytes: &[u8]) -> bool {
    let mut at = 2;
    loop {
        // Between segments, and within the pixels, the next marker: FF and what is neither a stuffed zero, nor a
        // restart, nor filling.
        let rest = bytes.get(at..).unwrap_or_default();
        let mut pairs = rest.windows(2);
        let found = pairs.position(|pair| {
            matches!(pair, [0xff, marker] if !matches!(marker, 0x00 | 0x01 | 0xd0..=0xd8 | 0xff))
        });
        let Some(found) = found else { return false };
        let marker = at + found;
        if bytes.get(marker + 1) == Some(&0xd9) {
            return true;
        }
        let length = match bytes.get(marker + 2..marker + 4) {
            Some([high, low]) => usize::from(*high) << 8 | usize::from(*low),
            _ => return false,
        };
        at = marker + 2 + length.max(2);
    }
}

fn too_large(width: u64, height: u64) -> String {
    format!(
        "This picture has {width} × {height} pixels, and more than {} million are not taken: make it smaller.",
        PIXELS_MOST / 1_000_000
    )
}

const BROKEN: &str =
    "This picture is damaged, or did not arrive whole: take it again, or send it again.";

/// The picture that these bytes are, upright.
fn decoded(bytes: &[u8]) -> Result<DynamicImage, String> {
    let format = format_of(bytes).ok_or_else(|| not_a_picture(bytes))?;
    if format == ImageFormat::Jpeg && !is_whole_jpeg(bytes) {
        return Err(BROKEN.to_owned());
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MEMORY_MOST);
    reader.limits(limits);
    // The size stands in the first bytes: it is asked before anything is decoded.
    let mut decoder = reader.into_decoder().map_err(said)?;
    let (width, height) = decoder.dimensions();
    let (width, height) = (u64::from(width), u64::from(height));
    if width * height > PIXELS_MOST || decoder.total_bytes() > MEMORY_MOST {
        return Err(too_large(width, height));
    }
    let upright = decoder.orientation();
    let mut image = DynamicImage::from_decoder(decoder).map_err(said)?;
    if let Ok(upright) = upright {
        image.apply_orientation(upright);
    }
    Ok(image)
}

fn said(why: image::ImageError) -> String {
    match why {
        image::ImageError::Limits(_) => format!(
            "This picture is too large: more than {} million pixels are not taken. Make it smaller.",
            PIXELS_MOST / 1_000_000
        ),
        _ => BROKEN.to_owned(),
    }
}

/// What covers a face: as grey as paper, without anything of what is below it.
const COVER: image::Rgba<u8> = image::Rgba([128, 128, 128, 255]);

/// What is left within the edges, or around what is covered.
fn cut_off(image: DynamicImage, cut: Cut) -> Result<DynamicImage, String> {
    if cut == Cut::default() {
        return Ok(image);
    }
    let left_over = |one: u32, other: u32| 100_u32.saturating_sub(one.saturating_add(other));
    let (across, down) = (
        left_over(cut.left, cut.right),
        left_over(cut.top, cut.bottom),
    );
    if cut.covers && (across == 0 || down == 0 || (across == 100 && down == 100)) {
        let wanted = "Say which part is covered: how far it lies from each edge, some of the picture being left.";
        return Err(wanted.to_owned());
    }
    if !cut.covers && (across < 5 || down < 5) {
        return Err("So much is cut off that nothing is left: cut off less.".to_owned());
    }
    let part = |side: u32, hundredths: u32| {
        u32::try_from(u64::from(side) * u64::from(hundredths) / 100).unwrap_or(side)
    };
    let (width, height) = (image.width(), image.height());
    if cut.covers {
        // One pixel more on each side: what lies half below the edge is not to be seen either.
        let (left, top) = (part(width, cut.left), part(height, cut.top));
        let (right, bottom) = (part(width, cut.right), part(height, cut.bottom));
        let mut pixels = image.into_rgba8();
        for (x, y, pixel) in pixels.enumerate_pixels_mut() {
            let is_across = x + 1 >= left && x <= width.saturating_sub(right);
            if is_across && y + 1 >= top && y <= height.saturating_sub(bottom) {
                *pixel = COVER;
            }
        }
        return Ok(DynamicImage::ImageRgba8(pixels));
    }
    Ok(image.crop_imm(
        part(width, cut.left),
        part(height, cut.top),
        part(width, across).max(1),
        part(height, down).max(1),
    ))
}

/// As plain colours; what can be seen through stands on white.
fn plain(image: DynamicImage) -> RgbImage {
    if !image.color().has_alpha() {
        return image.into_rgb8();
    }
    let seen_through = image.into_rgba8();
    let (width, height) = seen_through.dimensions();
    RgbImage::from_fn(width, height, |x, y| {
        let [red, green, blue, alpha] = seen_through.get_pixel(x, y).0;
        let on_white = |colour: u8| {
            let (colour, alpha) = (u32::from(colour), u32::from(alpha));
            u8::try_from((colour * alpha + 255 * (255 - alpha)) / 255).unwrap_or(u8::MAX)
        };
        image::Rgb([on_white(red), on_white(green), on_white(blue)])
    })
}

fn written(image: DynamicImage, side: u32) -> Result<KeptPicture, String> {
    let image = match image.width().max(image.height()) > side {
        true => image.thumbnail(side, side),
        false => image,
    };
    let image = plain(image);
    let mut jpeg = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut jpeg, QUALITY);
    image
        .write_with_encoder(encoder)
        .map_err(|_| BROKEN.to_owned())?;
    let (width, height) = image.dimensions();
    Ok(KeptPicture {
        jpeg,
        width,
        height,
    })
}

/// The picture as it is kept.
///
/// # Errors
/// A sentence beside the field, where it is no picture, too large, or damaged.
pub fn written_again(bytes: &[u8], cut: Cut) -> Result<KeptPicture, String> {
    if bytes.len() > SENT_MOST {
        return Err(format!(
            "A picture takes at most {} MB: make it smaller.",
            SENT_MOST / 1_024 / 1_024
        ));
    }
    let image = cut_off(decoded(bytes)?, cut)?;
    written(image, SIDE_MOST)
}

/// A picture of ours, small.
///
/// # Errors
/// A sentence, where it is damaged.
pub fn made_small(jpeg: &[u8]) -> Result<Vec<u8>, String> {
    Ok(written(decoded(jpeg)?, SMALL)?.jpeg)
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, Rgba, RgbaImage};

    const RED: Rgb<u8> = Rgb([200, 20, 20]);
    const BLUE: Rgb<u8> = Rgb([20, 20, 200]);

    fn as_jpeg(image: &RgbImage) -> Vec<u8> {
        let mut bytes = Vec::new();
        let encoder = JpegEncoder::new_with_quality(&mut bytes, 95);
        image.write_with_encoder(encoder).unwrap();
        bytes
    }

    fn encoded(image: &DynamicImage, format: ImageFormat) -> Vec<u8> {
        let mut bytes = Cursor::new(Vec::new());
        image.write_to(&mut bytes, format).unwrap();
        bytes.into_inner()
    }

    /// Red in the upper left quarter, blue elsewhere; wider than high.
    fn marked() -> RgbImage {
        let is_marked = |x: u32, y: u32| x < 40 && y < 20;
        RgbImage::from_fn(80, 40, |x, y| if is_marked(x, y) { RED } else { BLUE })
    }

    /// A segment of a JPEG: marker, length, content.
    fn segment(marker: u8, content: &[u8]) -> Vec<u8> {
        let length = u16::try_from(content.len() + 2).unwrap().to_be_bytes();
        [&[0xff, marker], &length[..], content].concat()
    }

    /// Exif with an orientation and an artist: TIFF 6.0, big end first, tags 274 and 315.
    fn exif(orientation: u8) -> Vec<u8> {
        let mut tiff = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x02".to_vec();
        tiff.extend([1, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0]);
        tiff.extend([1, 0x3b, 0, 2, 0, 0, 0, 12, 0, 0, 0, 38, 0, 0, 0, 0]);
        tiff.extend(b"Quartermain\0");
        segment(0xe1, &tiff)
    }

    /// A JPEG with everything beside its pixels that somebody could be known by.
    fn talkative(orientation: u8) -> Vec<u8> {
        let plain = as_jpeg(&marked());
        let (begin, rest) = plain.split_at(2);
        let xmp = b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta>Quartermain</x:xmpmeta>";
        let behind = b"and behind its end a film of Mrs. Quartermain";
        [
            begin,
            &exif(orientation),
            &segment(0xe1, xmp),
            &segment(0xed, b"Photoshop 3.0\0Quartermain"),
            &segment(0xfe, b"Quartermain"),
            rest,
            behind,
        ]
        .concat()
    }

    fn markers(jpeg: &[u8]) -> Vec<u8> {
        let (mut at, mut found) = (2, Vec::new());
        loop {
            let marker = jpeg[at + 1];
            found.push(marker);
            if marker == 0xda {
                return found;
            }
            at += 2 + usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
        }
    }

    #[test]
    fn nothing_is_left_but_the_picture() {
        let sent = talkative(1);
        assert!(sent.windows(11).any(|part| part == b"Quartermain"));
        let kept = written_again(&sent, Cut::default()).unwrap();
        assert_eq!((kept.width, kept.height), (80, 40));
        assert!(!kept.jpeg.windows(5).any(|part| part == b"Quart"));
        // JFIF, tables, frame, scan: ITU-T T.81 table B.1, from memory.
        let known = [0xe0, 0xdb, 0xc0, 0xc4, 0xda];
        assert!(markers(&kept.jpeg).iter().all(|one| known.contains(one)));
        assert!(kept.jpeg.ends_with(&[0xff, 0xd9]));
        // KeptPicture again, it is the same.
        assert_eq!(written_again(&sent, Cut::default()).unwrap(), kept);
    }

    /// Where the first row and the first column of the stored picture stand: Exif 2.3, orientation, from memory.
    #[test]
    fn a_picture_stands_upright_whichever_way_the_telephone_was_held() {
        let corners = [
            (1, "upper left"),
            (2, "upper right"),
            (3, "lower right"),
            (4, "lower left"),
            (5, "upper left"),
            (6, "upper right"),
            (7, "lower right"),
            (8, "lower left"),
        ];
        for (orientation, corner) in corners {
            let kept = written_again(&talkative(orientation), Cut::default()).unwrap();
            let turned = orientation > 4;
            let size = if turned { (40, 80) } else { (80, 40) };
            assert_eq!((kept.width, kept.height), size, "{orientation}");
            let image = image::load_from_memory(&kept.jpeg).unwrap().into_rgb8();
            let (right, low) = (image.width() - 5, image.height() - 5);
            let red = |x, y| image.get_pixel(x, y).0[0] > 120;
            let found = [
                ("upper left", red(5, 5)),
                ("upper right", red(right, 5)),
                ("lower left", red(5, low)),
                ("lower right", red(right, low)),
            ];
            for (name, is_red) in found {
                assert_eq!(is_red, name == corner, "{orientation}: {name}");
            }
        }
    }

    #[test]
    fn a_jpeg_that_is_cut_off_anywhere_is_refused() {
        for whole in [as_jpeg(&marked()), talkative(6)] {
            assert!(is_whole_jpeg(&whole));
            let end = whole.windows(2).rposition(|pair| pair == [0xff, 0xd9]);
            for cut in 3..=end.unwrap() {
                let answer = written_again(&whole[..cut], Cut::default());
                assert!(answer.is_err(), "cut at {cut} of {}", whole.len());
            }
        }
    }

    /// CRC-32 as PNG has it, RFC 2083 appendix, from memory.
    fn chunk(kind: &[u8; 4], content: &[u8]) -> Vec<u8> {
        let mut crc = u32::MAX;
        for byte in kind.iter().chain(content) {
            crc ^= u32::from(*byte);
            for _ in 0..8 {
                crc = (crc >> 1) ^ (0xedb8_8320 & (crc & 1).wrapping_neg());
            }
        }
        let length = u32::try_from(content.len()).unwrap().to_be_bytes();
        [&length[..], kind, content, &(!crc).to_be_bytes()].concat()
    }

    fn png_of(width: u32, height: u32) -> Vec<u8> {
        let head = [
            &width.to_be_bytes()[..],
            &height.to_be_bytes(),
            &[8, 2, 0, 0, 0],
        ]
        .concat();
        // An empty stream of zlib.
        let pixels = [0x78, 0x9c, 3, 0, 0, 0, 0, 1];
        [
            b"\x89PNG\r\n\x1a\n".to_vec(),
            chunk(b"IHDR", &head),
            chunk(b"IDAT", &pixels),
            chunk(b"IEND", &[]),
        ]
        .concat()
    }

    #[test]
    fn what_is_no_picture_and_what_would_fill_the_memory_is_refused_with_a_sentence() {
        let png = encoded(&DynamicImage::ImageRgb8(marked()), ImageFormat::Png);
        let webp = encoded(&DynamicImage::ImageRgb8(marked()), ImageFormat::WebP);
        let mut flipped = png.clone();
        let middle = flipped.len() / 2;
        flipped[middle] ^= 0x55;
        let mut wide = as_jpeg(&marked());
        let frame = wide
            .windows(2)
            .position(|pair| pair == [0xff, 0xc0])
            .unwrap();
        wide[frame + 5..frame + 9].copy_from_slice(&[0xff, 0xff, 0xff, 0xff]);
        let table: [(&str, Vec<u8>, &str); 12] = [
            ("nothing", Vec::new(), "is empty"),
            ("a text", b"GIF89a and so on".to_vec(), "is no picture"),
            (
                "a page",
                b"<!doctype html><script>".to_vec(),
                "is no picture",
            ),
            ("HEIC", b"\0\0\0\x18ftypheic\0\0\0\0".to_vec(), "HEIC"),
            (
                "a vector",
                b"<svg xmlns='http://www.w3.org/2000/svg'/>".to_vec(),
                "is no picture",
            ),
            ("three bytes", vec![0xff, 0xd8, 0xff], "damaged"),
            ("half a PNG", png[..png.len() / 2].to_vec(), "damaged"),
            ("half a WebP", webp[..webp.len() / 2].to_vec(), "damaged"),
            ("a PNG with a wrong byte", flipped, "damaged"),
            ("a bomb", png_of(50_000, 50_000), "million"),
            ("no pixels", png_of(0, 10), "damaged"),
            ("a JPEG that says more than it has", wide, "million"),
        ];
        for (name, bytes, said) in table {
            assert!(bytes.len() < 5_000, "{name}");
            let answer = written_again(&bytes, Cut::default()).unwrap_err();
            assert!(answer.contains(said), "{name}: {answer}");
            assert!(answer.ends_with('.'), "{name}: {answer}");
        }
        let answer = written_again(&vec![0xff; SENT_MOST + 1], Cut::default());
        assert!(answer.unwrap_err().contains("15 MB"));
    }

    #[test]
    fn a_large_picture_is_made_smaller_and_a_small_one_stays() {
        let large = RgbImage::from_pixel(3_000, 1_500, RED);
        let kept = written_again(&as_jpeg(&large), Cut::default()).unwrap();
        assert_eq!((kept.width, kept.height), (2_000, 1_000));
        let small = image::load_from_memory(&made_small(&kept.jpeg).unwrap()).unwrap();
        assert_eq!((small.width(), small.height()), (320, 160));
        for format in [ImageFormat::Png, ImageFormat::WebP] {
            let sent = encoded(&DynamicImage::ImageRgb8(marked()), format);
            let kept = written_again(&sent, Cut::default()).unwrap();
            assert_eq!((kept.width, kept.height), (80, 40));
            assert_eq!(format_of(&kept.jpeg), Some(ImageFormat::Jpeg));
        }
        let line = RgbImage::from_pixel(1, 9_000, RED);
        let kept = written_again(&as_jpeg(&line), Cut::default()).unwrap();
        assert_eq!((kept.width, kept.height), (1, 2_000));
    }

    #[test]
    fn edges_are_cut_off_of_the_upright_picture_and_never_all_of_it() {
        let cut = |left, right, top, bottom| Cut {
            left,
            right,
            top,
            bottom,
            covers: false,
        };
        let kept = written_again(&talkative(1), cut(50, 0, 25, 25)).unwrap();
        assert_eq!((kept.width, kept.height), (40, 20));
        let image = image::load_from_memory(&kept.jpeg).unwrap().into_rgb8();
        assert!(
            image.pixels().all(|pixel| pixel.0[2] > 120),
            "red is cut off"
        );
        let kept = written_again(&talkative(6), cut(0, 0, 50, 0)).unwrap();
        assert_eq!((kept.width, kept.height), (40, 40));
        for all in [cut(90, 90, 0, 0), cut(0, 0, 50, 46)] {
            let answer = written_again(&talkative(1), all).unwrap_err();
            assert!(answer.contains("nothing is left"), "{answer}");
        }
    }

    #[test]
    fn what_is_covered_is_grey_and_the_rest_stays() {
        let cover = |left, right, top, bottom| Cut {
            left,
            right,
            top,
            bottom,
            covers: true,
        };
        // The red quarter, of the upright picture whichever way it was held.
        for (orientation, one) in [(1, cover(0, 50, 0, 50)), (6, cover(50, 0, 0, 50))] {
            let kept = written_again(&talkative(orientation), one).unwrap();
            let image = image::load_from_memory(&kept.jpeg).unwrap().into_rgb8();
            assert_eq!((image.width() + image.height()), 120, "{orientation}");
            let is_red = |pixel: &Rgb<u8>| pixel.0[0] > pixel.0[2].saturating_add(40);
            assert!(!image.pixels().any(is_red), "{orientation}");
            let blue = image
                .pixels()
                .filter(|pixel| pixel.0[2] > pixel.0[0].saturating_add(60));
            assert!(blue.count() > 1_900, "{orientation}");
        }
        for nothing in [cover(0, 0, 0, 0), cover(60, 50, 0, 0), cover(0, 0, 99, 1)] {
            let answer = written_again(&talkative(1), nothing).unwrap_err();
            assert!(answer.contains("which part is covered"), "{answer}");
        }
    }

    #[test]
    fn what_can_be_seen_through_stands_on_white() {
        let clear = RgbaImage::from_pixel(16, 16, Rgba([0, 0, 0, 0]));
        let sent = encoded(&DynamicImage::ImageRgba8(clear), ImageFormat::Png);
        let kept = written_again(&sent, Cut::default()).unwrap();
        let image = image::load_from_memory(&kept.jpeg).unwrap().into_rgb8();
        assert!(
            image
                .pixels()
                .all(|pixel| pixel.0.iter().all(|one| *one > 250))
        );
    }
}
