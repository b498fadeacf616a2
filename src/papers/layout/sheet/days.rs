//! The days of a signed text on a line, to scale, with what falls on each above or below it.

use super::draw::Draw;
use super::measure::{LABEL, LABEL_STRONG};
use super::rich::{Span, count, set, styled};
use crate::papers::page::{Grey, Stroke};
use crate::papers::sheet::{DueDay, OnDay};

/// Height of a row of words.
const ROW: f32 = 3.0;
/// The day wanted is a mark on the line, which leaves the words below it free; the same stands before the large date.
pub const WANTED: (f32, f32) = (1.2, 1.2);

/// Where things stand: the words of one row, the line below them, the words of the other row; how far a tick and the mark
/// of the day wanted reach from the line.
#[derive(Debug, Clone, Copy)]
struct RowPlaces {
    first_row: f32,
    line: f32,
    second_row: f32,
    tick: f32,
    wanted_above: f32,
    wanted_height: f32,
}

const CLOSE: RowPlaces = RowPlaces {
    first_row: 0.0,
    line: 3.9,
    second_row: 4.5,
    tick: 0.8,
    wanted_above: 0.9,
    wanted_height: WANTED.1,
};
/// Since the eighth sheet no tick and no mark touches the words of its day.
const CLEAR_SINCE: u32 = 8;
const CLEAR: RowPlaces = RowPlaces {
    first_row: -0.45,
    line: 3.65,
    second_row: 4.6,
    tick: 0.6,
    wanted_above: 0.6,
    wanted_height: 0.9,
};
/// Between the words of two days.
const GAP: f32 = 2.0;
/// Days whose words are tried in one row and the other; more are said in lines.
const MOST: usize = 6;
/// Against all words above, a day below costs as much as a little way from its tick.
const BELOW_COST: f32 = 0.5;

/// The words of a day.
struct NamedDay {
    /// Where on the line it is.
    at: f32,
    width: f32,
    spans: Vec<Span>,
}

impl NamedDay {
    fn of(day: &DueDay, at: f32) -> NamedDay {
        let spans = styled(&day.words, LABEL, LABEL_STRONG);
        let widths = spans.iter().map(|span| span.style.width_mm(&span.text));
        NamedDay {
            at,
            width: widths.sum(),
            spans,
        }
    }
}

/// The days on a line of this width, for a sheet of this number; none where their words have no room over or under their
/// own ticks.
pub fn days_on_line(days: &[DueDay], width: f32, number: u32) -> Option<Draw> {
    let places = if number >= CLEAR_SINCE { CLEAR } else { CLOSE };
    let first = days.first()?.date;
    let whole = (days.last()?.date - first).whole_days();
    if whole <= 0 || days.len() > MOST {
        return None;
    }
    let at = |day: &DueDay| (day.date - first).whole_days() as f32 / whole as f32 * width;
    let named = days.iter().filter(|day| !day.words.is_empty());
    let labels: Vec<NamedDay> = named.map(|day| NamedDay::of(day, at(day))).collect();
    let placed = placed(&labels, width)?;
    let mut draw = Draw::space(places.second_row + ROW);
    let ink = Stroke::solid(0.4, Grey::INK);
    let line = places.line;
    draw.line((0.0, line), (width, line), ink);
    for day in days.iter().filter(|day| day.is == OnDay::Wanted) {
        let left = (at(day) - WANTED.0 / 2.0).clamp(0.0, width - WANTED.0);
        let size = (WANTED.0, places.wanted_height);
        draw.filled((left, line - places.wanted_above), size, Grey::INK);
    }
    for (label, (left, is_below)) in labels.iter().zip(placed) {
        let (end, row) = match is_below {
            true => (line + places.tick, places.second_row),
            false => (line - places.tick, places.first_row),
        };
        draw.line((label.at, line), (label.at, end), ink);
        // What adding up the widths has missed by a hair breaks no line.
        let room = label.width + 0.5;
        if count(&label.spans, room) != 1 {
            return None;
        }
        draw.put(left, row, set(&label.spans, room, ROW));
    }
    Some(draw)
}

/// Where the words of each day begin, and whether below the line: of all ways that leave each over or under its own tick,
/// the one in which they stand nearest to them.
fn placed(labels: &[NamedDay], width: f32) -> Option<Vec<(f32, bool)>> {
    let ways = 1_u32 << labels.len();
    let found = (0..ways).filter_map(|way| {
        let is_below = |place: usize| (way >> place) & 1 == 1;
        let row = |below: bool| {
            let row = labels.iter().enumerate();
            let row = row.filter(|(place, _)| is_below(*place) == below);
            in_row(row.map(|(_, label)| label).collect(), width)
        };
        let mut rows = [row(false)?.into_iter(), row(true)?.into_iter()];
        let [above, below] = &mut rows;
        let lefts: Option<Vec<(f32, bool)>> = (0..labels.len())
            .map(|place| match is_below(place) {
                true => Some((below.next()?, true)),
                false => Some((above.next()?, false)),
            })
            .collect();
        let lefts = lefts?;
        let costs = labels.iter().zip(&lefts).map(|(label, (left, is_below))| {
            let off = (left + label.width / 2.0 - label.at).abs();
            off + if *is_below { BELOW_COST } else { 0.0 }
        });
        Some((costs.sum::<f32>(), lefts))
    });
    let nearest = found.min_by(|one, other| one.0.total_cmp(&other.0));
    nearest.map(|(_, lefts)| lefts)
}

/// The left ends of the words of one row, each over or under its tick; none where they have no room so.
fn in_row(row: Vec<&NamedDay>, width: f32) -> Option<Vec<f32>> {
    let (mut latest, mut next) = (Vec::new(), f32::INFINITY);
    for label in row.iter().rev() {
        let before = (next - GAP).min(width) - label.width;
        next = label.at.min(before);
        latest.push(next);
    }
    let (mut lefts, mut begin) = (Vec::new(), 0.0_f32);
    for (label, latest) in row.iter().zip(latest.into_iter().rev()) {
        let earliest = (label.at - label.width).max(begin);
        if earliest > latest {
            return None;
        }
        let left = (label.at - label.width / 2.0).clamp(earliest, latest);
        begin = left + label.width + GAP;
        lefts.push(left);
    }
    Some(lefts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::page::Mark;
    use crate::papers::sheet::Words;
    use crate::papers::typeface::MM_PER_PT;
    use proptest::prelude::*;
    use time::Date;
    use time::macros::date;

    fn on(date: Date, is: OnDay, words: &str) -> DueDay {
        DueDay {
            date,
            is,
            words: match words {
                "" => Words::default(),
                words => Words::plain(words),
            },
        }
    }

    fn texts(draw: &Draw) -> Vec<(&str, f32, f32)> {
        let texts = draw.marks.iter().filter_map(|mark| match mark {
            Mark::Text {
                text, x, baseline, ..
            } => Some((text.as_str(), *x, *baseline)),
            _ => None,
        });
        texts.collect()
    }

    /// Where the upright strokes stand: the ticks.
    fn ticks(draw: &Draw) -> Vec<f32> {
        let lines = draw.marks.iter().filter_map(|mark| match mark {
            Mark::Path { points, .. } => match points.as_slice() {
                [from, to] if from.x == to.x => Some(from.x),
                _ => None,
            },
            _ => None,
        });
        lines.collect()
    }

    #[test]
    fn the_ticks_stand_to_scale_and_each_day_at_its_own() {
        let days = [
            on(date!(2026 - 03 - 02), OnDay::Signature, "signed Mon 2 Mar"),
            on(date!(2026 - 03 - 17), OnDay::Wanted, ""),
            on(
                date!(2026 - 03 - 18),
                OnDay::Planned,
                "insertion Wed 18 Mar",
            ),
            on(date!(2026 - 03 - 19), OnDay::Planned, "check Thu 19 Mar"),
        ];
        let draw = days_on_line(&days, 55.2, 8).unwrap();
        // 17 days over 55.2 mm: the 18th is the sixteenth of them.
        let found = ticks(&draw);
        assert_eq!(found.len(), 3);
        for (found, wanted) in found.iter().zip([0.0, 16.0 / 17.0 * 55.2, 55.2]) {
            assert!((found - wanted).abs() < 0.01, "{found} {wanted}");
        }
        let texts = texts(&draw);
        let said: Vec<&str> = texts.iter().map(|(text, ..)| *text).collect();
        assert_eq!(
            said,
            [
                "signed Mon 2 Mar",
                "insertion Wed 18 Mar",
                "check Thu 19 Mar"
            ]
        );
        for ((text, left, _), tick) in texts.iter().zip(found) {
            let right = left + LABEL.width_mm(text);
            assert!(*left - 0.01 <= tick && tick <= right + 0.01, "{text}");
        }
    }

    /// How near the ink of ticks and mark comes to the letters of the rows above and below, in millimetres; an `M` is 0.714
    /// of the size high, a `y` reaches 0.24 below its line: measured in the typeface of the papers.
    #[test]
    fn no_tick_and_no_mark_touches_the_words_of_a_day_since_the_eighth_sheet() {
        let days = [
            on(date!(2026 - 11 - 16), OnDay::Signature, "signed Mon 16 Nov"),
            on(date!(2026 - 11 - 30), OnDay::Wanted, ""),
            on(date!(2026 - 12 - 1), OnDay::Planned, "insertion Tue 1 Dec"),
            on(date!(2026 - 12 - 2), OnDay::Planned, "check Wed 2 Dec"),
        ];
        let apart = |number: u32| {
            let draw = days_on_line(&days, 55.2, number).unwrap();
            let em = LABEL.size_pt * MM_PER_PT;
            let rows = texts(&draw).into_iter().map(|(_, _, baseline)| baseline);
            let (above, below): (Vec<f32>, Vec<f32>) = rows.partition(|baseline| *baseline < 3.6);
            let low = above.into_iter().fold(0.0, f32::max) + 0.24 * em;
            let high = below.into_iter().fold(f32::MAX, f32::min) - 0.714 * em;
            let inks = draw.marks.iter().filter_map(|mark| match mark {
                Mark::Path { points, .. } => Some(points.iter().map(|point| point.y)),
                _ => None,
            });
            let inks: Vec<f32> = inks.flatten().collect();
            let (top, bottom) = (
                inks.iter().copied().fold(f32::MAX, f32::min),
                inks.iter().copied().fold(f32::MIN, f32::max),
            );
            (top - low).min(high - bottom)
        };
        assert!(apart(8) > 0.4, "{} mm", apart(8));
        // What was signed before is drawn as it was.
        assert!(apart(7) < 0.3, "{} mm", apart(7));
    }

    #[test]
    fn what_has_no_room_at_its_tick_is_not_drawn() {
        let end = |words| on(date!(2026 - 03 - 20), OnDay::Planned, words);
        let signed = on(date!(2026 - 01 - 02), OnDay::Signature, "signed Fri 2 Jan");
        let mut days = vec![signed, end("insertion Fri 20 Mar"), end("check Fri 20 Mar")];
        // Two at one tick stand above and below; a third has no row left.
        assert!(days_on_line(&days, 55.2, 8).is_some());
        // All on one day are no line.
        assert!(days_on_line(&days[1..], 55.2, 8).is_none());
        days.push(end("try-in Fri 20 Mar"));
        assert!(days_on_line(&days, 55.2, 8).is_none());
    }

    proptest! {
        #[test]
        fn no_words_lie_on_others_or_leave_the_line(
            steps in prop::collection::vec((0_i64..40, 1_usize..20), 1..6),
            width in 30.0_f32..90.0,
        ) {
            let mut date = date!(2026 - 03 - 02);
            let mut days = vec![on(date, OnDay::Wanted, "")];
            for (step, letters) in steps {
                date += time::Duration::days(step);
                days.push(on(date, OnDay::Planned, &"m".repeat(letters)));
            }
            if let Some(draw) = days_on_line(&days, width, 8) {
                let texts = texts(&draw);
                prop_assert_eq!(texts.len(), days.len() - 1);
                for (at, (text, left, baseline)) in texts.iter().enumerate() {
                    let right = left + LABEL.width_mm(text);
                    prop_assert!(*left >= 0.0 && right <= width + 0.01);
                    for (other, begin, low) in &texts[at + 1..] {
                        let end = begin + LABEL.width_mm(other);
                        let is_apart = baseline != low || right < *begin || end < *left;
                        prop_assert!(is_apart, "{} {}", text, other);
                    }
                }
            }
        }
    }
}
