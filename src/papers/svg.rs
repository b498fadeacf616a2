//! Writes pages as SVG, for a screen: the second writer of the same marks.
//!
//! Screens lack the printed face, so every run of text says how wide it is on paper, and the browser sets its own
//! letters to that width.

use super::page::{Face, Grey, Mark, Page, Point, SheetPlace, Stroke, dark_runs};
use super::typeface::{MM_PER_PT, width_mm};
use crate::domain::prescription::section_of;
use std::fmt::{self, Write};

/// The page as one picture with this name. Text in it can be read and found, in the order of the paper.
pub fn write_svg(page: &Page, title: &str) -> String {
    write_svg_with(page, title, &[])
}

/// The same with the parts that can be touched: each names its field, and the section that it is of.
pub fn write_svg_with(page: &Page, title: &str, places: &[SheetPlace]) -> String {
    let (width, height) = (number(page.width_mm), number(page.height_mm));
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\"><title>{}</title>\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>",
        escaped(title)
    );
    // Below the words, which can still be marked and copied.
    if !places.is_empty() {
        svg.push_str("<g fill=\"none\" pointer-events=\"all\">");
        places.iter().for_each(|place| touched(&mut svg, place));
        svg.push_str("</g>");
    }
    for mark in &page.marks {
        draw(&mut svg, mark);
    }
    svg.push_str("</svg>");
    svg
}

/// A part that can be touched, where the field is one of the prescription.
fn touched(svg: &mut String, place: &SheetPlace) {
    let Some(section) = section_of(place.about) else {
        return;
    };
    let (width, height) = place.size;
    add(
        svg,
        format_args!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" data-about=\"{}\" data-section=\"{}\"/>",
            number(place.corner.x),
            number(place.corner.y),
            number(width),
            number(height),
            place.key(),
            section.key,
        ),
    );
}

/// A length as a picture writes it: millimetres to the thousandth. A front has some three thousand of them, so they are
/// written straight into it.
struct Thousandths(i64);

fn number(value: f32) -> Thousandths {
    Thousandths((f64::from(value) * 1000.0).round_ties_even() as i64)
}

impl fmt::Display for Thousandths {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let all = self.0.unsigned_abs();
        let (whole, tenths, hundredths, part) =
            (all / 1000, all % 1000 / 100, all % 100 / 10, all % 1000);
        match part {
            0 => write!(out, "{sign}{whole}"),
            _ if part % 100 == 0 => write!(out, "{sign}{whole}.{tenths}"),
            _ if part % 10 == 0 => write!(out, "{sign}{whole}.{tenths}{hundredths}"),
            _ => write!(out, "{sign}{whole}.{part:03}"),
        }
    }
}

/// A text takes whatever is written into it.
fn add(svg: &mut String, what: fmt::Arguments<'_>) {
    svg.write_fmt(what).unwrap_or_default();
}

fn escaped(text: &str) -> String {
    let text = text.replace('&', "&amp;").replace('<', "&lt;");
    text.replace('>', "&gt;").replace('"', "&quot;")
}

fn colour(Grey(lightness): Grey) -> String {
    let level = (lightness.clamp(0.0, 1.0) * 255.0).round() as u8;
    format!("#{level:02x}{level:02x}{level:02x}")
}

fn draw(svg: &mut String, mark: &Mark) {
    match mark {
        Mark::Text {
            x,
            baseline,
            size_pt,
            face,
            grey,
            text,
        } => add(
            svg,
            format_args!(
                "<text x=\"{}\" y=\"{}\" font-family=\"Noto Sans, sans-serif\" font-size=\"{}\"{} fill=\"{}\" \
             textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\" xml:space=\"preserve\">{}</text>",
                number(*x),
                number(*baseline),
                number(size_pt * MM_PER_PT),
                match face {
                    Face::Regular => "",
                    Face::Bold => " font-weight=\"700\"",
                },
                colour(*grey),
                number(width_mm(text, *face, *size_pt)),
                escaped(text)
            ),
        ),
        Mark::Path {
            points,
            closed,
            stroke,
            fill,
        } => path(svg, points, *closed, *stroke, *fill),
        Mark::Qr {
            x,
            y,
            module_mm,
            rows,
        } => code(svg, (*x, *y), *module_mm, rows),
        // A screen shows photographs beside their words; here stands where they print.
        Mark::Photo { corner, size, .. } => add(
            svg,
            format_args!(
                "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#d9d9d9\"/>",
                number(corner.x),
                number(corner.y),
                number(size.0),
                number(size.1),
            ),
        ),
        Mark::Across {
            centre,
            size_pt,
            angle_deg,
            text,
        } => add(
            svg,
            format_args!(
                "<text x=\"{0}\" y=\"{1}\" font-family=\"Noto Sans, sans-serif\" font-weight=\"700\" font-size=\"{2}\" \
             fill=\"none\" stroke=\"#8c8c8c\" stroke-width=\"0.35\" text-anchor=\"middle\" \
             dominant-baseline=\"central\" transform=\"rotate({3} {0} {1})\">{4}</text>",
                number(centre.x),
                number(centre.y),
                number(size_pt * MM_PER_PT),
                number(-angle_deg),
                escaped(text)
            ),
        ),
    }
}

fn path(
    svg: &mut String,
    points: &[Point],
    closed: bool,
    stroke: Option<Stroke>,
    fill: Option<Grey>,
) {
    let mut d = String::new();
    for (at, point) in points.iter().enumerate() {
        d.push(if at == 0 { 'M' } else { 'L' });
        add(
            &mut d,
            format_args!("{} {}", number(point.x), number(point.y)),
        );
    }
    if closed {
        d.push('Z');
    }
    let fill = fill.map_or("none".to_owned(), colour);
    let edge = stroke.map_or(String::new(), |stroke| {
        let dashes = match stroke.dashed {
            // The same three and two points as in the file.
            true => " stroke-dasharray=\"1.058 0.706\"",
            false => "",
        };
        let (ink, width) = (colour(stroke.grey), number(stroke.width_mm));
        format!(" stroke=\"{ink}\" stroke-width=\"{width}\"{dashes}")
    });
    add(svg, format_args!("<path d=\"{d}\" fill=\"{fill}\"{edge}/>"));
}

fn code(svg: &mut String, (left, top): (f32, f32), module: f32, rows: &[Vec<bool>]) {
    let mut d = String::new();
    for (row, modules) in rows.iter().enumerate() {
        for (start, length) in dark_runs(modules) {
            let (x, y) = (left + start as f32 * module, top + row as f32 * module);
            let (wide, high) = (number(module * length as f32), number(module));
            add(
                &mut d,
                format_args!("M{} {}h{wide}v{high}h-{wide}z", number(x), number(y)),
            );
        }
    }
    add(
        svg,
        format_args!("<path d=\"{d}\" fill=\"#000\" shape-rendering=\"crispEdges\"/>"),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::people::party::Paper;
    use crate::domain::prescription::field_spec;
    use crate::domain::review::sample;
    use crate::papers::sheet_samples::{document, draft, signed};
    use crate::papers::{lay_out_places, lay_out_sheet};
    use std::collections::BTreeSet;

    #[test]
    fn numbers_are_short_and_words_are_escaped() {
        assert_eq!(
            [0.0, -0.0, 1.5, 12.3456, -0.0004, -0.25, 3.007, 120.0]
                .map(|one| number(one).to_string()),
            ["0", "0", "1.5", "12.346", "0", "-0.25", "3.007", "120"]
        );
        assert_eq!(escaped("<a & \"b\">"), "&lt;a &amp; &quot;b&quot;&gt;");
    }

    #[test]
    fn every_line_of_the_sheet_says_which_field_it_speaks_of() {
        let text = document(sample::document()).unwrap();
        for paper in Paper::ALL {
            let pages = lay_out_places(&signed(&text, None, *paper));
            let mut about = BTreeSet::new();
            for (page, places) in &pages {
                let svg = write_svg_with(page, "", places);
                assert_eq!(svg.matches("data-section=").count(), places.len());
                for place in places {
                    let (right, low) =
                        (place.corner.x + place.size.0, place.corner.y + place.size.1);
                    let says = format!("data-about=\"{}\"", place.key());
                    assert!(svg.contains(&says) && field_spec(&place.key()).is_some());
                    assert!(place.size.0 > 0.0 && right <= page.width_mm - 10.0);
                    assert!(place.size.1 > 0.0 && low <= page.height_mm - 10.0);
                    about.insert(place.about);
                }
            }
            let filled = text.prescription.filled(text.numbering);
            let keys = filled.iter().flat_map(|(_, cells)| cells);
            let missing: BTreeSet<&str> = keys
                .map(|cell| cell.spec.key)
                .filter(|key| !about.contains(key) && !UNTOUCHED.contains(key))
                .collect();
            assert_eq!(missing, BTreeSet::new());
        }
    }

    #[test]
    fn a_row_of_the_change_list_is_told_from_the_next() {
        let text = document(sample::document()).unwrap();
        let (page, places) = lay_out_places(&signed(&text, None, Paper::A4)).remove(0);
        let svg = write_svg_with(&page, "", &places);
        for row in 0..text.prescription.pattern.changes.len() {
            let says = format!("data-about=\"changes.{row}.what\" data-section=\"pattern\"");
            assert!(svg.contains(&says), "{says}");
        }
        assert!(text.prescription.pattern.changes.len() > 1 && !svg.contains("changes.#"));
    }

    /// Said together with other fields, in words of the sheet's own: that the code beside is the one to take, how each
    /// reading was taken, the agents by their numbers, what of the box comes back.
    const UNTOUCHED: &[&str] = &[
        "anterior.choice",
        "posterior.choice",
        "shade.source",
        "readings.#.method",
        "enclosed.#.dilution",
        "returns.#.tag",
        "back.pattern",
        "back.records",
        "back.casts",
    ];

    #[test]
    fn the_picture_has_every_mark_of_the_page_and_draft_across_it() {
        let text = document(sample::document()).unwrap();
        for page in lay_out_sheet(&draft(&text, Paper::A4)) {
            let svg = write_svg(&page, "Front <draft>");
            assert!(svg.contains("<title>Front &lt;draft&gt;</title>"));
            assert!(svg.contains(">DRAFT</text>"));
        }
        for page in lay_out_sheet(&signed(&text, None, Paper::Letter)) {
            let svg = write_svg(&page, "");
            for mark in &page.marks {
                if let Mark::Text {
                    x, baseline, text, ..
                } = mark
                {
                    let place = format!("<text x=\"{}\" y=\"{}\"", number(*x), number(*baseline));
                    let words = format!(">{}</text>", escaped(text));
                    assert!(svg.contains(&place) && svg.contains(&words), "{text}");
                }
            }
            assert_eq!(svg.matches("<text").count(), svg.matches("</text>").count());
            assert!(!svg.contains("style="), "the page allows no inline style");
        }
    }
}
