//! The geometry of both sketches: sides, sizes, and what is not said.

use super::shape::at;
use super::*;
use crate::domain::form::Raw;
use crate::domain::prescription::{self};
use crate::domain::values::tooth::Numbering;
use proptest::prelude::*;

fn drawn(fields: &[(&str, &str)]) -> Sketches {
    let pair = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
    let raw: Raw = fields.iter().map(pair).collect();
    let reading = prescription::read(&raw, Numbering::Iso3950);
    assert_eq!(reading.faults, [], "the test's fields are readable");
    Sketches::of(&reading.document)
}

fn arrows(picture: &Picture) -> Vec<(SketchPoint, SketchPoint)> {
    let arrow = |shape: &Shape| match shape {
        Shape::Arrow { from, to } => Some((*from, *to)),
        _ => None,
    };
    picture.shapes.iter().filter_map(arrow).collect()
}

/// Lines drawn heavy, from their first point to their last.
fn heavy(picture: &Picture) -> Vec<(SketchPoint, SketchPoint)> {
    let ends = |shape: &Shape| match shape {
        Shape::Path {
            points,
            pen: Pen::Heavy,
            ..
        } => Some((*points.first()?, *points.last()?)),
        _ => None,
    };
    picture.shapes.iter().filter_map(ends).collect()
}

fn place_of(picture: &Picture, wanted: &str) -> SketchPoint {
    let found = picture.shapes.iter().find_map(|shape| match shape {
        Shape::Words { at, text, .. } if text == wanted => Some(*at),
        _ => None,
    });
    found.unwrap_or_else(|| panic!("{wanted} is not written"))
}

fn grey_teeth(picture: &Picture) -> usize {
    let is_grey = |shape: &&Shape| {
        matches!(
            shape,
            Shape::Oval {
                ground: Ground::Grey,
                ..
            }
        )
    };
    picture.shapes.iter().filter(is_grey).count()
}

/// The upright heavy line of the dental midline.
fn midline_x(face: &FaceSketch) -> f64 {
    let lines = heavy(&face.picture);
    let upright = lines
        .iter()
        .find(|(from, to)| from.x == to.x && from.x < 60.0);
    upright.expect("a dental midline").0.x
}

#[test]
fn a_midline_to_the_patients_right_is_drawn_on_the_viewers_left() {
    let offset = ("anterior.midline_offset_mm", "2");
    let to = |side| drawn(&[offset, ("anterior.midline_side", side)]).face;
    let kept = midline_x(&drawn(&[("anterior.midline_offset_mm", "0")]).face);
    let (right, left) = (to("right"), to("left"));
    assert!(midline_x(&right) < kept && kept < midline_x(&left));
    // Three times as far as it is, and as far to one side as to the other.
    assert_eq!(kept - midline_x(&right), 6.0);
    assert_eq!(midline_x(&left) - kept, 6.0);
    let (from, tip) = arrows(&right.picture)[0];
    assert!(tip.x < from.x && tip.y == from.y, "the arrow points to R");
    assert!(place_of(&right.picture, "2 mm").x < place_of(&left.picture, "2 mm").x);
    assert!(place_of(&right.picture, "R").x < place_of(&right.picture, "L").x);
}

#[test]
fn the_lower_side_of_the_plane_lies_further_down() {
    let lower = |side| {
        let face = drawn(&[("plane.tilt_mm", "2"), ("plane.lower_side", side)]).face;
        let lines = heavy(&face.picture);
        let outermost = |left: bool| {
            let mut ends = lines.iter().map(|(_, end)| *end);
            ends.find(|end| (end.x > 34.0) == left).unwrap().y
        };
        (outermost(false), outermost(true))
    };
    let (right, left) = lower("right");
    assert!(right > left);
    let (right, left) = lower("left");
    assert!(right < left);
}

#[test]
fn what_would_leave_the_picture_is_drawn_at_its_edge_and_said() {
    let odd = drawn(&[
        ("anterior.midline_offset_mm", "15"),
        ("anterior.midline_side", "left"),
        ("vertical.rest_mm", "120"),
        ("vertical.occlusal_mm", "60"),
    ]);
    assert_eq!(midline_x(&odd.face), 34.0 + 12.0);
    let words = odd.face.words.join(" ");
    assert!(words.contains("15 mm to the patient’s left. It is drawn smaller than it is."));
    assert!(words.contains("Freeway space: 60 mm. It is drawn smaller than it is."));
    assert!(place_of(&odd.face.picture, "120").y < odd.face.picture.height_mm);
}

#[test]
fn a_side_that_is_not_said_is_not_guessed() {
    let unsaid = drawn(&[("anterior.midline_offset_mm", "2"), ("plane.tilt_mm", "2")]);
    assert!(heavy(&unsaid.face.picture).is_empty() && arrows(&unsaid.face.picture).is_empty());
    assert!(unsaid.face.words.join(" ").contains("not said"));
    assert!(unsaid.face.is_written && !drawn(&[]).face.is_written);
}

#[test]
fn a_smile_line_that_follows_the_lip_sags_in_the_middle() {
    let sag = |word| {
        let face = drawn(&[("anterior.smile_line", word)]).face;
        let line = face.picture.shapes.iter().find_map(|shape| match shape {
            Shape::Path {
                points,
                pen: Pen::Heavy,
                ..
            } => Some((points[points.len() / 2].y, points[0].y)),
            _ => None,
        });
        let (middle, canine) = line.unwrap();
        middle - canine
    };
    assert!(sag("follows_lip") > 0.0 && sag("straight") == 0.0 && sag("reverse") < 0.0);
}

#[test]
fn a_longer_edge_is_a_broken_line_below_the_one_it_changes() {
    let longer = drawn(&[
        ("anterior.incisal_show_mm", "1"),
        ("anterior.incisal_change_mm", "1.5"),
    ]);
    let edge = longer
        .face
        .picture
        .shapes
        .iter()
        .find_map(|shape| match shape {
            Shape::Path {
                points,
                pen: Pen::Plain,
                ..
            } if points.len() == 17
                && points[8].x == 34.0
                && points[0].x < 20.0
                && points[0].x > 18.0 =>
            {
                Some(points[0].y)
            }
            _ => None,
        });
    let broken = longer
        .face
        .picture
        .shapes
        .iter()
        .find_map(|shape| match shape {
            Shape::Path {
                points,
                pen: Pen::Heavy,
                is_broken: true,
                ..
            } => Some(points[0].y),
            _ => None,
        });
    assert_eq!(
        broken.unwrap() - edge.unwrap(),
        3.0,
        "1.5 mm, twice as large"
    );
}

#[test]
fn more_lip_support_points_away_from_the_face_and_less_towards_it() {
    let tip = |order| {
        let face = drawn(&[
            ("anterior.lip_support", order),
            ("anterior.lip_support_mm", "2"),
        ]);
        arrows(&face.face.picture)
            .first()
            .map(|(from, to)| to.x - from.x)
    };
    assert!(tip("more").unwrap() < 0.0 && tip("less").unwrap() > 0.0);
    assert_eq!(tip("keep"), None);
}

#[test]
fn both_heights_stand_side_by_side_and_rest_is_the_longer() {
    let face = drawn(&[("vertical.rest_mm", "68"), ("vertical.occlusal_mm", "65")]).face;
    let (rest, occlusal) = (place_of(&face.picture, "68"), place_of(&face.picture, "65"));
    assert_eq!(rest.y - occlusal.y, 6.0, "3 mm, drawn twice as large");
    assert!(face.words.join(" ").contains("Freeway space: 3 mm."));
}

#[test]
fn every_movement_points_to_the_patients_side() {
    for (what, direction, points) in [
        ("upper_front", "right", (-1.0, 0.0)),
        ("upper_front", "left", (1.0, 0.0)),
        ("upper_front", "forward", (0.0, -1.0)),
        ("lower_front", "forward", (0.0, 1.0)),
        ("upper_front", "back", (0.0, 1.0)),
        ("lower_left_back", "outward", (1.0, 0.0)),
        ("lower_right_back", "outward", (-1.0, 0.0)),
        ("right_block", "inward", (1.0, 0.0)),
    ] {
        let moved = drawn(&[
            ("changes.0.what", what),
            ("changes.0.direction", direction),
            ("changes.0.mm", "4"),
        ]);
        let (from, to) = arrows(&moved.arches.picture)[0];
        let long = (to.x - from.x).hypot(to.y - from.y);
        assert!((long - 12.0).abs() < 1e-9, "three to one");
        let off = (to.x - from.x - 12.0 * points.0).hypot(to.y - from.y - 12.0 * points.1);
        assert!(off < 1e-9, "{what} {direction}");
        place_of(&moved.arches.picture, "4 mm");
    }
}

#[test]
fn a_tooth_of_the_patients_right_stands_on_the_viewers_left() {
    let moved = |tooth| {
        let sketch = drawn(&[
            ("changes.0.what", "tooth"),
            ("changes.0.tooth", tooth),
            ("changes.0.direction", "up"),
            ("changes.0.mm", "0.5"),
        ]);
        let grey = sketch.arches.picture.shapes.iter().find_map(|s| match s {
            Shape::Oval {
                middle,
                ground: Ground::Grey,
                ..
            } => Some(*middle),
            _ => None,
        });
        place_of(&sketch.arches.picture, "0.5 up");
        (grey.unwrap().x < 52.0, grey.unwrap().y < 65.5)
    };
    // ISO 3950: 1 upper right, 2 upper left, 3 lower left, 4 lower right.
    assert_eq!(moved("14"), (true, true));
    assert_eq!(moved("24"), (false, true));
    assert_eq!(moved("34"), (false, false));
    assert_eq!(moved("44"), (true, false));
}

#[test]
fn a_bite_block_is_marked_in_both_arches_and_a_flange_in_the_table_only() {
    let block = drawn(&[
        ("changes.0.what", "left_block"),
        ("changes.0.direction", "inward"),
        ("changes.0.mm", "1"),
        ("changes.0.date", "2026-02-23"),
        ("changes.1.what", "upper_flange"),
        ("changes.1.direction", "thinner"),
        ("changes.1.mm", "1"),
        ("changes.2.what", "palate"),
        ("changes.2.direction", "remove"),
    ]);
    let arrows = arrows(&block.arches.picture);
    assert_eq!(arrows.len(), 2);
    assert!(arrows.iter().all(|(from, to)| to.x < from.x));
    assert!(
        place_of(&block.arches.picture, "1").x > arrows[0].0.x,
        "the number stands on the other side"
    );
    assert_eq!(grey_teeth(&block.arches.picture), 8, "four of each arch");
    let rows = &block.arches.rows;
    assert_eq!(rows[0].part, "left bite block");
    assert_eq!(rows[0].change, "1 mm to the patient’s right.");
    assert_eq!(rows[0].seen_on, "2026-02-23");
    assert_eq!(rows[1].change, "1 mm thinner. Not drawn on the arch.");
    assert_eq!((rows[2].number, rows[2].part.as_str()), (None, "palate"));
}

#[test]
fn rows_about_one_part_are_one_row_with_all_its_days() {
    let summed = drawn(&[
        ("changes.0.what", "upper_front"),
        ("changes.0.direction", "right"),
        ("changes.0.mm", "2"),
        ("changes.0.date", "2026-02-23"),
        ("changes.1.what", "upper_front"),
        ("changes.1.direction", "left"),
        ("changes.1.mm", "0.5"),
        ("changes.1.date", "2026-01-12"),
    ]);
    let rows = &summed.arches.rows;
    assert_eq!(rows.len(), 1);
    assert_eq!(rows[0].change, "1.5 mm to the patient’s right.");
    assert_eq!(rows[0].seen_on, "2026-01-12, 2026-02-23");
}

/// The corners that a shape reaches, words with the width of a wide face.
fn reach(shape: &Shape) -> Vec<SketchPoint> {
    match shape {
        Shape::Path { points, .. } => points.clone(),
        Shape::Oval {
            middle,
            half,
            turned,
            ..
        } => oval_points(*middle, *half, *turned),
        Shape::Bare { from, to } => vec![*from, *to],
        Shape::Arrow { from, to } => {
            let mut points = arrow_head(*from, *to).1.to_vec();
            points.push(*from);
            points
        }
        Shape::Words {
            at: place,
            size_mm,
            anchor,
            text,
            ..
        } => {
            let width = text.chars().count() as f64 * size_mm * 0.62;
            let start = match anchor {
                Anchor::Start => place.x,
                Anchor::Middle => place.x - width / 2.0,
                Anchor::End => place.x - width,
            };
            vec![
                at(start, place.y - size_mm * 0.8),
                at(start + width, place.y + size_mm * 0.2),
            ]
        }
    }
}

proptest! {
    #[test]
    fn whatever_is_written_stays_inside_its_picture(
        offset in 0..=1500_i64, tilt in 0..=1000_i64, show in -1000..=1500_i64, change in -1000..=1000_i64,
        rest in 2000..=12000_i64, occlusal in 2000..=12000_i64, lip in 0..=1000_i64, left in any::<bool>(),
        rows in proptest::collection::vec((0_usize..9, 0_usize..8, 0..=3000_i64), 0..12),
    ) {
        let mm = |hundredths: i64| crate::domain::values::measure::show_hundredths(hundredths);
        let side = if left { "left" } else { "right" };
        let mut raw = Raw::from([
            ("anterior.midline_offset_mm", mm(offset)), ("anterior.midline_side", side.to_owned()),
            ("plane.tilt_mm", mm(tilt)), ("plane.lower_side", side.to_owned()),
            ("anterior.incisal_show_mm", mm(show)), ("anterior.incisal_change_mm", mm(change)),
            ("anterior.smile_line", if left { "reverse" } else { "follows_lip" }.to_owned()),
            ("anterior.lip_support", "more".to_owned()), ("anterior.lip_support_mm", mm(lip)),
            ("vertical.rest_mm", mm(rest)), ("vertical.occlusal_mm", mm(occlusal)),
        ].map(|(key, text)| (key.to_owned(), text)));
        let parts = ["upper_front", "lower_front", "right_block", "left_block", "upper_arch", "lower_left_back", "upper_right_back", "upper_incisors", "palate"];
        let ways = ["right", "left", "forward", "back", "up", "down", "outward", "inward"];
        for (row, (part, way, by)) in rows.into_iter().enumerate() {
            raw.insert(format!("changes.{row}.what"), parts[part].to_owned());
            raw.insert(format!("changes.{row}.direction"), ways[way].to_owned());
            raw.insert(format!("changes.{row}.mm"), mm(by));
        }
        let document = prescription::read(&raw, Numbering::Iso3950).document;
        let sketches = Sketches::of(&document);
        prop_assert_eq!(&sketches, &Sketches::of(&document));
        let pair = |scale| arches_side_by_side(&document, scale, NumberPlaces::OwnSide);
        for picture in [&sketches.face.picture, &sketches.arches.picture, &pair(0.88), &pair(0.75)] {
            for place in picture.shapes.iter().flat_map(reach) {
                let inside = (0.0..=picture.width_mm).contains(&place.x) && (0.0..=picture.height_mm).contains(&place.y);
                prop_assert!(inside, "{:?} leaves the picture", place);
            }
        }
    }
}

/// The rings of a picture, by the number in them.
fn rings(picture: &Picture) -> std::collections::BTreeMap<String, SketchPoint> {
    let digit = |shape: &Shape| match shape {
        Shape::Words { at, text, .. } if text.chars().all(|sign| sign.is_ascii_digit()) => {
            Some((text.clone(), *at))
        }
        _ => None,
    };
    picture.shapes.iter().filter_map(digit).collect()
}

/// Common practice, no source: whoever reads a number beside a tooth takes it for that tooth's.
#[test]
fn a_number_stands_in_the_half_and_the_arch_of_its_teeth() {
    const TEETH: [&[&str]; 7] = [
        &["23", "13"],
        &["11", "21"],
        &["24", "14"],
        &["31", "44"],
        &["33", "14"],
        &["34", "24"],
        &["14", "24", "34", "44"],
    ];
    for teeth in TEETH {
        let mut fields: Vec<(String, String)> = Vec::new();
        for (row, tooth) in teeth.iter().enumerate() {
            let row = |key: &str| format!("changes.{row}.{key}");
            fields.push((row("what"), "tooth".to_owned()));
            fields.push((row("tooth"), (*tooth).to_owned()));
            fields.push((row("direction"), "up".to_owned()));
            fields.push((row("mm"), "0.5".to_owned()));
        }
        let raw: Raw = fields.into_iter().collect();
        let document = prescription::read(&raw, Numbering::Iso3950).document;
        let whole = Sketches::of(&document).arches.picture;
        let pair = arches_side_by_side(&document, 0.88, NumberPlaces::OwnSide);
        for (row, tooth) in teeth.iter().enumerate() {
            let number = (row + 1).to_string();
            // ISO 3950: quadrants 1 and 4 are the patient's right, 1 and 2 the upper arch.
            let quadrant = &tooth[..1];
            let (is_right, is_upper) = (
                ["1", "4"].contains(&quadrant),
                ["1", "2"].contains(&quadrant),
            );
            let ring = rings(&whole)[&number];
            assert_eq!(
                (ring.x < 52.0, ring.y < 65.5),
                (is_right, is_upper),
                "{tooth} of {teeth:?}"
            );
            let ring = rings(&pair)[&number];
            let middle = if is_upper { 38.0 } else { 114.0 };
            let places = (ring.x < middle, ring.x < 76.0);
            assert_eq!(
                places,
                (is_right, is_upper),
                "{tooth} of {teeth:?}, side by side"
            );
        }
    }
}

#[test]
fn an_older_sheet_keeps_its_numbers_where_they_stood() {
    let fields = [
        ("changes.0.what", "tooth"),
        ("changes.0.tooth", "23"),
        ("changes.0.direction", "up"),
        ("changes.0.mm", "0.5"),
        ("changes.1.what", "lower_front"),
        ("changes.1.direction", "forward"),
        ("changes.1.mm", "1"),
    ];
    let pair = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
    let raw: Raw = fields.iter().map(pair).collect();
    let document = prescription::read(&raw, Numbering::Iso3950).document;
    let of = |places| arches_side_by_side(&document, 0.88, places);
    let (first, own) = (of(NumberPlaces::Anywhere), of(NumberPlaces::OwnSide));
    assert_ne!(first, own);
    // The arrow that left the picture ends inside of it now.
    let lowest = |picture: &Picture| {
        let tips = arrows(picture).into_iter().map(|(_, to)| to.y);
        tips.fold(0.0, f64::max)
    };
    assert!(lowest(&first) > first.height_mm && lowest(&own) <= own.height_mm);
    assert_ne!(Sketches::as_first(&document), Sketches::of(&document));
}

/// Where a run of words stands in a picture.
fn said_at(picture: &Picture, wanted: &str) -> SketchPoint {
    let found = picture.shapes.iter().find_map(|shape| match shape {
        Shape::Words { at, text, .. } if text == wanted => Some(*at),
        _ => None,
    });
    found.unwrap_or_else(|| panic!("{wanted} is not drawn"))
}

#[test]
fn numbers_of_the_small_face_stand_clear_of_its_lines_and_an_older_one_stays_as_it_was() {
    let fields = [
        ("vertical.occlusal_mm", "67"),
        ("vertical.rest_mm", "70"),
        ("anterior.midline_offset_mm", "0.5"),
        ("anterior.midline_side", "right"),
    ];
    let pair = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
    let raw: Raw = fields.iter().map(pair).collect();
    let document = prescription::read(&raw, Numbering::Iso3950).document;
    let (before, now) = (small_face(&document, false), small_face(&document, true));
    for height in ["67", "70"] {
        let lower = said_at(&now, height).y - said_at(&before, height).y;
        assert!(lower > 0.5, "{height} is {lower} mm lower");
    }
    let bare = |picture: &Picture| {
        let bare = picture.shapes.iter().find_map(|shape| match shape {
            Shape::Bare { from, to } => Some((*from, *to)),
            _ => None,
        });
        bare.expect("bare paper below the number")
    };
    let (was, is) = (bare(&before), bare(&now));
    assert!(is.0.y < was.0.y && is.1.y > was.1.y && is.1.x > was.1.x && is.0.x >= 0.0);
    let places = [said_at(&before, "0.5 mm"), said_at(&now, "0.5 mm")];
    assert_eq!(places[0], places[1]);
}
