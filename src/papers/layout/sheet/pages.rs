//! Front, back, and as many pages more as long texts take.

use super::back::{at_the_bench, back, continued, foot, more, more_in_halves, running_head};
use super::band::{Band, Giving, GivingStep};
use super::draw::Draw;
use super::entry::entry;
use super::front::{front, pencil, signature};
use super::measure::{LABEL, LABEL_STRONG, Measure, part};
use crate::papers::page::{Grey, Mark, Page, SheetPlace, Stroke};
use crate::papers::sheet::{Entry, Hands, List, Sheet};

/// Room of the line at the foot of each page.
const FOOT: f32 = 4.6;
/// Less room than this is left white: nobody writes into it.
const LEAST_PENCIL: f32 = 9.0;
/// A row is no lower than this where somebody writes into it by hand.
const LEAST_ROW: f32 = 4.4;
/// The sheet since which lines come closer, and what is left of the room is spread.
const SINCE: u32 = 4;
/// The sheet since which what the dentist let stand goes into both columns before lines come closer.
const IN_HALVES_SINCE: u32 = 6;
/// The sheet since which whatever fits with closed gaps is taken to fit, and a part where not all does.
const CLOSED_SINCE: u32 = 7;
/// The sheet since which lines that have room once other lists have given way are put back.
const PUT_BACK_SINCE: u32 = 9;
/// Gaps are closed by so much more than what has to fit needs: rounding would otherwise send a line to page 3 in one sheet
/// of five that uses its room up.
const LEEWAY: f32 = 0.02;
/// What lists say where they go on.
const FURTHER: &str = "page 3";

/// A list and those of its lines that have no room.
type LeftOver<'a> = (&'a List, &'a [Entry]);

/// The pages of a sheet.
pub fn lay_out_sheet(sheet: &Sheet) -> Vec<Page> {
    let pages = lay_out_places(sheet).into_iter();
    pages.map(|(page, _)| page).collect()
}

/// The pages of a sheet, each with what its parts speak of.
///
/// Where texts are long, this gives way, in this order: the room for pencil; the gaps between bands, by half; rows that
/// are written into by hand; the column beside what the dentist let stand; the arches, at 85 %; the place of what the
/// dentist let stand, or of the remarks, which goes to the front; the room between lines; and then lines go to page 3, as
/// `ORDER` has it; what has room in the end comes back. Letters are never smaller.
pub fn lay_out_places(sheet: &Sheet) -> Vec<(Page, Vec<SheetPlace>)> {
    let mut measure = Measure::of(sheet.paper, sheet.number);
    if sheet.hands() == Hands::TwoLabs {
        let mut measures = std::iter::once(measure).chain(measure.closer());
        let one = measures.find_map(|measure| Some((one_side(sheet, &measure)?, measure)));
        if let Some((draw, measure)) = one {
            return vec![page(sheet, draw, (1, 1), &measure)];
        }
    }
    let mut draws = sides(sheet, &measure, false);
    for close in measure.closer() {
        if draws.len() > 2 && sheet.number >= SINCE {
            measure = close;
            draws = sides(sheet, &measure, false);
        }
    }
    // Only once lines cannot come closer: until then a picture that is left out is no gain.
    if draws.len() > 2 && sheet.number >= PUT_BACK_SINCE {
        draws = sides(sheet, &measure, true);
    }
    let count = draws.len();
    let pages = draws.into_iter().enumerate();
    pages
        .map(|(at, draw)| page(sheet, draw, (at + 1, count), &measure))
        .collect()
}

/// All of it on one side, where that has room: what goes to a second laboratory is a part of a prescription.
fn one_side(sheet: &Sheet, measure: &Measure) -> Option<Draw> {
    let mut below = signature(sheet, measure);
    below.height += measure.gap;
    below.below(foot(sheet, measure));
    let room = measure.height - FOOT - below.height - measure.gap;
    let bands = |is_large: bool| {
        let mut bands = front(sheet, measure, is_large);
        // The head of the back says what the head of the page says.
        bands.extend(back(sheet, measure).into_iter().skip(1));
        bands.extend(more(sheet, measure));
        bands.extend(at_the_bench(sheet, measure));
        bands
    };
    let mut tried = [true, false].into_iter().map(bands);
    let bands = tried.find(|bands| total(bands, measure) <= room)?;
    let gaps = spread(&bands, room, measure);
    Some(side(bands, below, &gaps))
}

/// Front, back and what goes on, each as one piece; lines that have room in the end are put back where it is said.
fn sides(sheet: &Sheet, measure: &Measure, puts_back: bool) -> Vec<Draw> {
    let signed = signature(sheet, measure);
    let below = foot(sheet, measure);
    let mut upper = front(sheet, measure, true);
    let front_room = measure.height - FOOT - signed.height - measure.gap;
    if total(&upper, measure) > front_room {
        upper = front(sheet, measure, false);
    }
    let mut lower = back(sheet, measure);
    let mut bench = at_the_bench(sheet, measure);
    let back_room = measure.height - FOOT - below.height - measure.gap;
    let mut more = more(sheet, measure);
    let is_full = |more: &[Band<'_>], lower: &[Band<'_>], bench: &[Band<'_>], measure: &Measure| {
        total(lower, measure) + total(bench, measure) + total(more, measure) > back_room
    };
    if is_full(&more, &lower, &bench, measure) {
        let low = Measure {
            row: measure.row.min(LEAST_ROW),
            ..*measure
        };
        (lower, bench) = (back(sheet, &low), at_the_bench(sheet, &low));
    }
    let smaller = || front(sheet, measure, false);
    let close = Measure {
        gap: measure.gap / 2.0,
        ..*measure
    };
    // What the back has no room for even with closed gaps goes to the front, though that closes those of the front.
    let has_no_room = |more: &[Band<'_>], lower: &[Band<'_>], bench: &[Band<'_>]| {
        sheet.number >= IN_HALVES_SINCE && is_full(more, lower, bench, &close)
    };
    let fits = |bands: &[Band<'_>], more: &[Band<'_>], is_close: bool| {
        let closes = is_close && sheet.number >= CLOSED_SINCE;
        let gaps = if closes { &close } else { measure };
        total(bands, gaps) + total(more, gaps) <= front_room
    };
    if has_no_room(&more, &lower, &bench)
        && !fits(&upper, &more, true)
        && !fits(&smaller(), &more, true)
    {
        let halves = more_in_halves(sheet, measure);
        if total(&halves, measure) < total(&more, measure) {
            more = halves;
        }
    }
    if !more.is_empty() && is_full(&more, &lower, &bench, measure) {
        let is_close = has_no_room(&more, &lower, &bench);
        if !fits(&upper, &more, is_close) && fits(&smaller(), &more, is_close) {
            upper = smaller();
        }
        if fits(&upper, &more, is_close) {
            upper.append(&mut more);
        }
    }
    // Where not all of it has room there, a part of it may: a row more or less on the back is worth no third page.
    while sheet.number >= CLOSED_SINCE && has_no_room(&more, &lower, &bench) {
        let part = more
            .iter()
            .rposition(|band| fits(&upper, std::slice::from_ref(band), true));
        let Some(part) = part else { break };
        upper.push(more.remove(part));
    }
    lower.append(&mut more);
    lower.extend(bench);
    let leeway = leeway(sheet.number);
    let above = closer(&upper, front_room - leeway, measure);
    let behind = closer(&lower, back_room - leeway, measure);
    give_way(&mut upper, front_room, &above);
    give_way(&mut lower, back_room, &behind);
    if puts_back {
        put_back(&mut upper, front_room, &above);
        put_back(&mut lower, back_room, &behind);
    }
    let mut left = left_over(&upper);
    left.extend(left_over(&lower));
    let moved = move_on(&mut upper, front_room, &above);
    let (above, behind) = match sheet.number < SINCE {
        true => (above, behind),
        false => (
            spread(&upper, front_room, measure),
            spread(&lower, back_room, measure),
        ),
    };
    let mut draws = vec![side(upper, signed, &above), side(lower, below, &behind)];
    draws.extend(further(sheet, moved, &left, measure));
    draws
}

fn total(bands: &[Band<'_>], measure: &Measure) -> f32 {
    bands.iter().map(|band| band.height() + measure.gap).sum()
}

fn leeway(number: u32) -> f32 {
    if number >= CLOSED_SINCE { LEEWAY } else { 0.0 }
}

/// The gaps between bands shrink before a line gives way, to no less than half of what they are.
fn closer(bands: &[Band<'_>], room: f32, measure: &Measure) -> Measure {
    let short = (total(bands, measure) - room).max(0.0);
    let gap = measure.gap - short / bands.len().max(1) as f32;
    Measure {
        gap: gap.max(measure.gap / 2.0),
        ..*measure
    }
}

/// The gaps once lines have given way: what those left, and room too low for pencil, is spread between the bands.
fn spread(bands: &[Band<'_>], room: f32, measure: &Measure) -> Measure {
    let close = closer(bands, room, measure);
    let left = room - total(bands, &close);
    let is_low = (0.0..LEAST_PENCIL).contains(&left);
    let more = if is_low { left } else { 0.0 };
    Measure {
        gap: close.gap + more / bands.len().max(1) as f32,
        ..close
    }
}

/// What goes to page 3, and when: the lists of what is to be made (what changed, pieces, order, change list, set-up; since the
/// ninth sheet what comes first and what is asked before) after all others, and titles after all lines. Lines that stood
/// beside a picture give way once the picture has.
const ORDER: [GivingStep; 8] = [
    (Giving::Lines, false),
    (Giving::Pictures, false),
    (Giving::Lines, false),
    (Giving::Lines, true),
    (Giving::Pictures, true),
    (Giving::Lines, true),
    (Giving::Titles, false),
    (Giving::Titles, true),
];

/// Lets the longest lists give their last lines until the rest has room.
fn give_way(bands: &mut [Band<'_>], room: f32, measure: &Measure) {
    for step in ORDER {
        while total(bands, measure) > room {
            let longest = bands
                .iter_mut()
                .filter(|band| band.can_give(step))
                .max_by(|one, other| one.height().total_cmp(&other.height()));
            let Some(band) = longest else { break };
            band.give(step.0);
        }
    }
}

/// Room that the last one to give way left over goes to lines that others gave before: those of lists that go last come
/// back first.
fn put_back(bands: &mut [Band<'_>], room: f32, measure: &Measure) {
    for goes_last in [true, false] {
        for at in 0..bands.len() {
            let columns = bands.get(at).map(|band| band.columns(goes_last));
            for column in columns.unwrap_or_default() {
                while bands.get_mut(at).is_some_and(|band| band.take_back(column)) {
                    if total(bands, measure) > room {
                        let band = bands.get_mut(at);
                        band.into_iter().for_each(|band| band.give_line(column));
                        break;
                    }
                }
            }
        }
    }
}

/// The lines that have no room on a side, with their lists.
fn left_over<'a>(bands: &[Band<'a>]) -> Vec<LeftOver<'a>> {
    bands.iter().flat_map(Band::left_over).collect()
}

/// Takes what cannot give way from the end of a side where it has no room even so; the head stays.
fn move_on(bands: &mut Vec<Band<'_>>, room: f32, measure: &Measure) -> Vec<Draw> {
    let mut moved = Vec::new();
    while total(bands, measure) > room {
        let last = bands
            .iter()
            .rposition(|band| matches!(band, Band::Whole(_)));
        let Some(at) = last.filter(|at| *at > 0) else {
            break;
        };
        moved.insert(0, bands.remove(at).draw(FURTHER));
    }
    moved
}

/// Bands below each other, what is signed or handed over at the foot, and room for pencil between the two.
fn side(bands: Vec<Band<'_>>, below: Draw, measure: &Measure) -> Draw {
    let mut draw = Draw::new();
    for band in bands {
        draw.below(band.draw(FURTHER));
        draw.height += measure.gap;
    }
    let low = measure.height - FOOT - below.height;
    let room = low - measure.gap - draw.height;
    if room >= LEAST_PENCIL {
        let y = draw.height;
        draw.put(0.0, y, pencil(measure.width, room));
    }
    draw.put(0.0, low.max(draw.height), below);
    draw
}

/// The pages on which the sheet goes on: what moved there whole, then the rest of the lists.
fn further(sheet: &Sheet, moved: Vec<Draw>, left: &[LeftOver<'_>], measure: &Measure) -> Vec<Draw> {
    if moved.is_empty() && left.is_empty() {
        return Vec::new();
    }
    let room = measure.height - FOOT;
    let head = || {
        let mut draw = running_head(sheet, measure);
        draw.height += measure.gap;
        draw
    };
    let (mut pages, mut draw) = (Vec::new(), head());
    for whole in moved {
        if draw.height + whole.height > room {
            pages.push(std::mem::replace(&mut draw, head()));
        }
        draw.below(whole);
        draw.height += measure.gap;
    }
    let mut titled: Option<&List> = None;
    for (list, entries) in left {
        // Of a list in two halves both go on under one title.
        let mut is_titled = titled.is_some_and(|before| std::ptr::eq(before, *list));
        titled = Some(*list);
        for one in *entries {
            let width = match one {
                Entry::Check { .. } => measure.column(2),
                _ => measure.width,
            };
            let line = entry(one, width, 30.0, measure);
            let title = measure.step + 1.4;
            let needs = line.height + if is_titled { 0.0 } else { title };
            if draw.height + needs > room {
                pages.push(std::mem::replace(&mut draw, head()));
                is_titled = false;
            }
            if !is_titled {
                let (style, words) = continued(list.title);
                let mut head = Draw::space(title);
                head.line((0.0, 0.6), (measure.width, 0.6), part());
                let baseline = 0.6 + measure.step * 0.85;
                head.text(0.0, baseline, style, &words);
                // The title may have gone here with its note.
                head.text(style.width_mm(&words) + 1.5, baseline, LABEL, &list.note);
                head.all_about(measure.width, list.part());
                draw.below(head);
                is_titled = true;
            }
            draw.below(line);
        }
        draw.height += measure.gap;
    }
    pages.push(draw);
    pages
}

/// A page with its foot, the bars of its margin, and DRAFT across it.
fn page(
    sheet: &Sheet,
    body: Draw,
    (number, count): (usize, usize),
    measure: &Measure,
) -> (Page, Vec<SheetPlace>) {
    let mut whole = Draw::new();
    if sheet.draft {
        let size = (measure.page_width, measure.page_height);
        whole.marks.push(Mark::draft(size));
    }
    for (from, to) in &body.bars {
        let x = measure.left - 4.6;
        let (from, to) = (from + measure.top, to + measure.top);
        whole.line((x, from), (x, to), Stroke::solid(1.5, Grey::INK));
    }
    whole.put(measure.left, measure.top, body);
    whole.put(
        measure.left,
        measure.top + measure.height - FOOT,
        foot_line(sheet, number, count, measure),
    );
    let page = Page {
        width_mm: measure.page_width,
        height_mm: measure.page_height,
        marks: whole.marks,
    };
    (page, whole.places)
}

fn foot_line(sheet: &Sheet, number: usize, count: usize, measure: &Measure) -> Draw {
    let mut draw = Draw::space(FOOT);
    let (y, width) = (FOOT - 0.6, measure.width);
    draw.line((0.0, FOOT - 4.0), (width, FOOT - 4.0), part());
    let top = &sheet.top;
    let left = if sheet.draft {
        format!("DRAFT, not signed: case {}", top.case)
    } else {
        format!("Case {}, {}", top.case, top.revision.to_lowercase())
    };
    draw.text(0.0, y, LABEL_STRONG, &left);
    let middle = format!("{}. R and L are the patient’s.", sheet.numbering);
    draw.text((width - LABEL.width_mm(&middle)) / 2.0, y, LABEL, &middle);
    let right = format!("Page {number} of {count}");
    draw.text(
        width - LABEL_STRONG.width_mm(&right),
        y,
        LABEL_STRONG,
        &right,
    );
    draw
}

#[cfg(test)]
mod tests {
    use super::super::band::Column;
    use super::*;
    use crate::domain::people::party::Paper;
    use crate::papers::sheet::Words;

    #[test]
    fn lines_that_have_room_once_a_long_text_has_gone_come_back() {
        let measure = Measure::of(Paper::A4, PUT_BACK_SINCE);
        let line = |number: usize| Entry::text(Words::plain(format!("Line {number}.")));
        let text = Entry::text(Words::plain("as it stands ".repeat(90)));
        let short = List::new("Short lines", (0..12).map(line).collect());
        let long = List::new("One text", vec![text]);
        let column = |list| Band::of(vec![Column::new(list, measure.width, 0.0, &measure)]);
        let bands = [&short, &long].into_iter().filter_map(column);
        let mut bands: Vec<Band<'_>> = bands.collect();
        let room = total(&bands, &measure) - 6.0 * measure.step;
        let left = |bands: &[Band<'_>]| -> Vec<(&'static str, usize)> {
            let left = left_over(bands).into_iter();
            left.map(|(list, entries)| (list.title, entries.len()))
                .collect()
        };
        give_way(&mut bands, room, &measure);
        let given = left(&bands);
        assert!(given.iter().any(|(title, _)| *title == "Short lines"));
        put_back(&mut bands, room, &measure);
        assert_eq!(left(&bands), [("One text", 1)]);
        assert!(total(&bands, &measure) <= room);
    }

    #[test]
    fn what_fits_with_closed_gaps_fits_however_it_is_rounded() {
        let measure = Measure::of(Paper::Letter, CLOSED_SINCE);
        let closed = |bands: &[Band<'_>], room: f32, number: u32| {
            let close = closer(bands, room - leeway(number), &measure);
            total(bands, &close)
        };
        let mut over = 0;
        for seed in 0..2_000_u32 {
            let height = |at: u32| 3.0 + ((seed * 37 + at * 101) % 370) as f32 / 9.7;
            let bands = (0..11).map(|at| Band::Whole(Draw::space(height(at))));
            let bands: Vec<Band<'_>> = bands.collect();
            let room = total(&bands, &measure) - 0.1 - (seed % 60) as f32 / 10.0;
            assert!(closed(&bands, room, CLOSED_SINCE) <= room, "{seed}");
            // What was signed for an earlier sheet is set as it was.
            over += usize::from(closed(&bands, room, CLOSED_SINCE - 1) > room);
        }
        assert!(over > 0, "rounding does nothing");
    }
}
