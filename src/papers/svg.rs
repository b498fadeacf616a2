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
    // What most marks share is said once: a page holds two such pictures.
    svg.push_str("<g font-family=\"Noto Sans, sans-serif\" fill=\"#000\">");
    let mut lines = Lines::default();
    for mark in &page.marks {
        match mark {
            Mark::Path {
                points,
                closed,
                stroke: Some(stroke),
                fill: None,
            } => lines.add(&mut svg, edge(*stroke), &outline(points, *closed)),
            mark => {
                lines.end(&mut svg);
                draw(&mut svg, mark);
            }
        }
    }
    lines.end(&mut svg);
    svg.push_str("</g></svg>");
    svg
}

/// Lines that follow each other and are drawn with the same pen: one path.
#[derive(Default)]
struct Lines {
    pen: String,
    outlines: String,
}

impl Lines {
    fn add(&mut self, svg: &mut String, pen: String, outline: &str) {
        if pen != self.pen {
            self.end(svg);
            self.pen = pen;
        }
        self.outlines.push_str(outline);
    }

    fn end(&mut self, svg: &mut String) {
        if !self.outlines.is_empty() {
            let (outlines, pen) = (&self.outlines, &self.pen);
            add(
                svg,
                format_args!("<path d=\"{outlines}\" fill=\"none\"{pen}/>"),
            );
            self.outlines.clear();
        }
    }
}

/// A part that can be touched, where the field is one of the prescription; of which section it is follows from the
/// field. A finger asks for no hundredths.
fn touched(svg: &mut String, place: &SheetPlace) {
    if section_of(place.about).is_none() {
        return;
    }
    let (width, height) = place.size;
    add(
        svg,
        format_args!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" data-about=\"{}\"/>",
            coarse(place.corner.x),
            coarse(place.corner.y),
            coarse(width),
            coarse(height),
            place.key(),
        ),
    );
}

/// A length as a picture writes it, in hundredths of a millimetre: no more decimals than it needs. A front has some
/// three thousand of them, so they are written straight into it.
struct Hundredths(i64);

/// Millimetres to the hundredth.
fn number(value: f32) -> Hundredths {
    Hundredths((f64::from(value) * 100.0).round_ties_even() as i64)
}

/// Millimetres to the tenth.
fn coarse(value: f32) -> Hundredths {
    Hundredths((f64::from(value) * 10.0).round_ties_even() as i64 * 10)
}

impl fmt::Display for Hundredths {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(Figures::of(self, true).as_str())
    }
}

/// A length written down, from its last figure on: as long as the longest there is.
struct Figures {
    signs: [u8; 24],
    from: usize,
}

impl Figures {
    /// `has_nought` says whether one stands before the point where nothing else does.
    fn of(Hundredths(length): &Hundredths, has_nought: bool) -> Figures {
        let mut figures = Figures {
            signs: [b'0'; 24],
            from: 24,
        };
        let all = length.unsigned_abs();
        let (mut whole, part) = (all / 100, all % 100);
        if part > 0 {
            if part % 10 > 0 {
                figures.put(part);
            }
            figures.put(part / 10);
            figures.sign(b'.');
        }
        if whole == 0 && (has_nought || part == 0) {
            figures.put(0);
        }
        while whole > 0 {
            figures.put(whole);
            whole /= 10;
        }
        if *length < 0 {
            figures.sign(b'-');
        }
        figures
    }

    fn sign(&mut self, sign: u8) {
        self.from = self.from.saturating_sub(1);
        if let Some(place) = self.signs.get_mut(self.from) {
            *place = sign;
        }
    }

    /// The last figure of a whole number.
    fn put(&mut self, number: u64) {
        self.sign(b'0' + (number % 10) as u8);
    }

    fn as_str(&self) -> &str {
        let signs = self.signs.get(self.from..).unwrap_or_default();
        std::str::from_utf8(signs).unwrap_or_default()
    }
}

/// A length as short as a path takes it: `12.5`, `-.3`.
fn put_short(d: &mut String, hundredths: i32) {
    d.push_str(Figures::of(&Hundredths(hundredths.into()), false).as_str());
}

fn put(svg: &mut String, before: &str, length: &Hundredths) {
    svg.push_str(before);
    svg.push_str(Figures::of(length, true).as_str());
}

/// A text takes whatever is written into it.
fn add(svg: &mut String, what: fmt::Arguments<'_>) {
    svg.write_fmt(what).unwrap_or_default();
}

fn escaped(text: &str) -> String {
    let mut svg = String::with_capacity(text.len());
    put_escaped(&mut svg, text);
    svg
}

fn put_escaped(svg: &mut String, text: &str) {
    for letter in text.chars() {
        match letter {
            '&' => svg.push_str("&amp;"),
            '<' => svg.push_str("&lt;"),
            '>' => svg.push_str("&gt;"),
            '"' => svg.push_str("&quot;"),
            letter => svg.push(letter),
        }
    }
}

/// Of so few letters no screen's own letters make a run that is seen to be longer or shorter.
const FEW: usize = 2;

/// How long a run is on paper. In so few letters nothing would be seen of it, and a front has two or three dozen such runs.
fn put_length(svg: &mut String, text: &str, face: Face, size_pt: f32) {
    if text.chars().nth(FEW).is_some() {
        let length = number(width_mm(text, face, size_pt));
        put(svg, " textLength=\"", &length);
        svg.push_str("\" lengthAdjust=\"spacingAndGlyphs\"");
    }
}

/// The words of a run. A browser drops a space at the end of a text and sets the rest wider in its place, so that the
/// word stands against the next run: there it is a space that does not break, which is kept.
fn put_run(svg: &mut String, text: &str) {
    let inner = text.trim_matches(' ');
    let before = text.len() - text.trim_start_matches(' ').len();
    let behind = text.len() - before - inner.len();
    svg.extend(std::iter::repeat_n('\u{a0}', before));
    put_escaped(svg, inner);
    svg.extend(std::iter::repeat_n('\u{a0}', behind));
}

fn colour(Grey(lightness): Grey) -> String {
    let level = (lightness.clamp(0.0, 1.0) * 255.0).round() as u8;
    match level {
        0 => "#000".to_owned(),
        level => format!("#{level:02x}{level:02x}{level:02x}"),
    }
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
        } => text_run(svg, (*x, *baseline), (*size_pt, *face, *grey), text),
        Mark::Path {
            points,
            closed,
            stroke,
            fill,
        } => {
            let outline = outline(points, *closed);
            let fill = fill.map_or("none".to_owned(), colour);
            let edge = stroke.map_or(String::new(), edge);
            add(
                svg,
                format_args!("<path d=\"{outline}\" fill=\"{fill}\"{edge}/>"),
            );
        }
        Mark::Qr {
            x,
            y,
            module_mm,
            rows,
        } => code(svg, (*x, *y), *module_mm, rows),
        Mark::Photo { corner, size, .. } => place_of_photo(svg, *corner, *size),
        Mark::Across {
            centre,
            size_pt,
            angle_deg,
            text,
        } => across(svg, *centre, (*size_pt, *angle_deg), text),
    }
}

/// A run of text on one baseline.
fn text_run(
    svg: &mut String,
    (x, baseline): (f32, f32),
    (size_pt, face, grey): (f32, Face, Grey),
    text: &str,
) {
    put(svg, "<text x=\"", &number(x));
    put(svg, "\" y=\"", &number(baseline));
    put(svg, "\" font-size=\"", &number(size_pt * MM_PER_PT));
    svg.push_str(match face {
        Face::Regular => "\"",
        Face::Bold => "\" font-weight=\"700\"",
    });
    match colour(grey).as_str() {
        "#000" => {}
        ink => add(svg, format_args!(" fill=\"{ink}\"")),
    }
    put_length(svg, text, face, size_pt);
    svg.push('>');
    put_run(svg, text);
    svg.push_str("</text>");
}

/// A screen shows photographs beside their words; here stands where they print.
fn place_of_photo(svg: &mut String, corner: Point, (width, height): (f32, f32)) {
    add(
        svg,
        format_args!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#d9d9d9\"/>",
            number(corner.x),
            number(corner.y),
            number(width),
            number(height),
        ),
    );
}

/// Large outlined letters across the page.
fn across(svg: &mut String, centre: Point, (size_pt, angle_deg): (f32, f32), text: &str) {
    add(
        svg,
        format_args!(
            "<text x=\"{0}\" y=\"{1}\" font-weight=\"700\" font-size=\"{2}\" fill=\"none\" stroke=\"#8c8c8c\" \
             stroke-width=\"0.35\" text-anchor=\"middle\" dominant-baseline=\"central\" \
             transform=\"rotate({3} {0} {1})\">{4}</text>",
            number(centre.x),
            number(centre.y),
            number(size_pt * MM_PER_PT),
            number(-angle_deg),
            escaped(text)
        ),
    );
}

/// The points as the `d` of a path: the first where it is, each other from the one before it.
fn outline(points: &[Point], closed: bool) -> String {
    let hundredths = |value: f32| (value * 100.0).round() as i32;
    let (mut d, mut before) = (String::new(), None);
    for point in points {
        let here = (hundredths(point.x), hundredths(point.y));
        let (letter, x, y) = match before {
            None => ('M', here.0, here.1),
            Some((x, y)) => ('l', here.0 - x, here.1 - y),
        };
        match (letter, x, y) {
            ('l', along, 0) => {
                d.push('h');
                put_short(&mut d, along);
            }
            ('l', 0, down) => {
                d.push('v');
                put_short(&mut d, down);
            }
            (letter, x, y) => {
                d.push(letter);
                put_short(&mut d, x);
                // A minus parts two numbers by itself.
                if y >= 0 {
                    d.push(' ');
                }
                put_short(&mut d, y);
            }
        }
        before = Some(here);
    }
    if closed {
        d.push('z');
    }
    d
}

fn edge(stroke: Stroke) -> String {
    let dashes = match stroke.dashed {
        // The same three and two points as in the file.
        true => " stroke-dasharray=\"1.058 0.706\"",
        false => "",
    };
    let (ink, width) = (colour(stroke.grey), number(stroke.width_mm));
    format!(" stroke=\"{ink}\" stroke-width=\"{width}\"{dashes}")
}

/// A code in whole modules, dark ones beside each other as one.
fn code(svg: &mut String, (left, top): (f32, f32), module: f32, rows: &[Vec<bool>]) {
    let mut d = String::new();
    for (row, modules) in rows.iter().enumerate() {
        for (column, wide) in dark_runs(modules) {
            add(&mut d, format_args!("M{column} {row}h{wide}v1h-{wide}z"));
        }
    }
    add(
        svg,
        format_args!(
            "<path transform=\"translate({} {}) scale({module})\" d=\"{d}\" shape-rendering=\"crispEdges\"/>",
            number(left),
            number(top)
        ),
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

    fn run(text: &str) -> String {
        let mut svg = String::new();
        put_run(&mut svg, text);
        svg
    }

    #[test]
    fn numbers_are_short_and_words_are_escaped() {
        assert_eq!(
            [0.0, -0.0, 1.5, 12.3456, -0.004, -0.25, 3.07, 120.0]
                .map(|one| number(one).to_string()),
            ["0", "0", "1.5", "12.35", "0", "-0.25", "3.07", "120"]
        );
        let shorts = [0, 5, -30, 1250, -1200].map(|one| {
            let mut d = String::new();
            put_short(&mut d, one);
            d
        });
        assert_eq!(shorts, ["0", ".05", "-.3", "12.5", "-12"]);
        assert_eq!(escaped("<a & \"b\">"), "&lt;a &amp; &quot;b&quot;&gt;");
    }

    #[test]
    fn a_code_is_drawn_by_its_runs_and_lines_of_one_pen_together() {
        let mut svg = String::new();
        let rows = [
            vec![true, true, false, true],
            vec![false, false, true, true],
        ];
        code(&mut svg, (10.0, 20.0), 0.6, &rows);
        assert!(svg.contains("translate(10 20) scale(0.6)"), "{svg}");
        assert!(
            svg.contains("d=\"M0 0h2v1h-2zM3 0h1v1h-1zM2 1h2v1h-2z\""),
            "{svg}"
        );
        let at = |x, y| Point { x, y };
        let points = [at(1.0, 1.0), at(3.5, 1.0), at(3.5, 0.5), at(3.25, 0.75)];
        assert_eq!(outline(&points, true), "M1 1h2.5v-.5l-.25 .25z");
        let (mut svg, mut lines) = (String::new(), Lines::default());
        for (pen, d) in [("a", "M0 0h1"), ("a", "M0 1h1"), ("b", "M0 2h1")] {
            lines.add(&mut svg, format!(" {pen}"), d);
        }
        lines.end(&mut svg);
        let drawn =
            "<path d=\"M0 0h1M0 1h1\" fill=\"none\" a/><path d=\"M0 2h1\" fill=\"none\" b/>";
        assert_eq!(svg, drawn);
    }

    #[test]
    fn every_field_of_the_sheet_can_be_touched() {
        let text = document(sample::document()).unwrap();
        for paper in Paper::ALL {
            let pages = lay_out_places(&signed(&text, None, *paper));
            let mut about = BTreeSet::new();
            for (page, places) in &pages {
                let svg = write_svg_with(page, "", places);
                assert_eq!(svg.matches("data-about=").count(), places.len());
                for place in places {
                    let (right, low) =
                        (place.corner.x + place.size.0, place.corner.y + place.size.1);
                    let says = format!("data-about=\"{}\"", place.key());
                    let is_part = section_of(place.about).is_some_and(|one| one.key == place.about);
                    assert!(svg.contains(&says));
                    assert!(is_part || field_spec(&place.key()).is_some(), "{says}");
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
            let says = format!("data-about=\"changes.{row}.what\"");
            assert!(svg.contains(&says), "{says}");
        }
        assert!(text.prescription.pattern.changes.len() > 1 && !svg.contains("changes.#"));
    }

    /// Said together with other fields, in words of the sheet's own: that the code beside is the one to take, how each
    /// reading was taken, the agents by their numbers, what of the box comes back; and set and year within the marked text.
    const UNTOUCHED: &[&str] = &[
        "marking.set_letter",
        "marking.year",
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
    fn a_space_at_the_end_of_a_run_is_kept() {
        let text = document(sample::document()).unwrap();
        let pages = lay_out_sheet(&signed(&text, None, Paper::A4));
        let svg: String = pages.iter().map(|page| write_svg(page, "")).collect();
        assert!(svg.contains(">Patient code\u{a0}</text>"));
        assert!(!svg.contains(" </text>") && !svg.contains("> "));
        assert_eq!(run(" a < b  "), "\u{a0}a &lt; b\u{a0}\u{a0}");
        assert_eq!(run("  "), "\u{a0}\u{a0}");
    }

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
                    let words = format!(">{}</text>", run(text));
                    assert!(svg.contains(&place) && svg.contains(&words), "{text}");
                }
            }
            assert_eq!(svg.matches("<text").count(), svg.matches("</text>").count());
            assert!(!svg.contains("style="), "the page allows no inline style");
        }
    }
}
