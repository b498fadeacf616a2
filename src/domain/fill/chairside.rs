//! What was done to a denture at the chair, as a prescription sees it.
//!
//! An entry says what was done, never what is still to be done: there is no such field in it. What was done to the
//! pattern is therefore in the pattern. Listed as a change it would be made a second time, a millimetre outward would
//! become two. It dates the pattern (last corrected) and is what the mouth has proved (to be kept).
//!
//! What was done to the duplicate that is worn meanwhile is not in the pattern: tooth and block were moved on the
//! copy, after it was copied. That is what is still to be done in the final, so it is offered as a row, unless the
//! same part of the pattern was worked on at that visit or later. What was done to fit the copy itself (a rounded
//! edge, a new lining) says nothing of the final. A bite that was raised or lowered on it is left to the readings:
//! a height is measured, not added up.
//!
//! Common practice, no source.

use super::known::OnRecord;
use crate::domain::custody::events::{Adjusted, Adjustment};
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::{What, lineage};
use crate::domain::prescription::Direction;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::show_date;
use time::Date;

/// Whether something was done to the pattern that was written down after the text in force was signed. What only goes along
/// with the work says nothing of the pattern.
pub fn is_overtaken(known: &OnRecord<'_>) -> bool {
    let Some(signed) = known.ordered.since else {
        return false;
    };
    known.standing().any(|event| match &event.what {
        What::Adjusted(one) => {
            event.entered_at.unix_ms > signed.unix_ms && known.ordered.patterns.contains(&one.tag)
        }
        _ => false,
    })
}

/// Entries of adjusting, each with the day of its visit, in the order in which they were written.
fn adjusted<'a>(known: &OnRecord<'a>) -> impl Iterator<Item = (Date, &'a Adjusted)> {
    known.standing().filter_map(|event| match &event.what {
        What::Adjusted(one) => Some((one.day_of_visit(event.at), one)),
        _ => None,
    })
}

/// The last day on which one of these was corrected.
pub fn last_corrected(known: &OnRecord<'_>, patterns: &[Tag]) -> Option<Date> {
    let own = adjusted(known).filter(|(_, one)| patterns.contains(&one.tag));
    own.map(|(day, _)| day).max()
}

/// The day on which the fitting surface of this one was renewed last, with the time where the entry was made at the
/// visit itself.
pub fn surface_renewed(known: &OnRecord<'_>, pattern: &Tag) -> Option<(Date, Option<String>)> {
    let renewed = known.standing().filter_map(|event| match &event.what {
        What::Adjusted(one) if one.tag == *pattern && one.done == Adjustment::SurfaceRenewed => {
            Some((event, one))
        }
        _ => None,
    });
    let renewed = renewed.last();
    let (event, one) = renewed?;
    Some(match one.day.map(|day| day.date()) {
        Some(day) if day != event.at.date() => (day, None),
        _ => (event.at.date(), Some(event.at.clock())),
    })
}

/// What was moved on the pattern and is to be kept, the latest first, in at most so many characters.
pub fn to_be_kept(known: &OnRecord<'_>, patterns: &[Tag], most: usize) -> String {
    let mut own: Vec<(Date, &Adjusted)> = adjusted(known)
        .filter(|(_, one)| patterns.contains(&one.tag) && one.done.moves_teeth())
        .filter(|(_, one)| one.part.is_some() || one.tooth.is_some())
        .collect();
    own.reverse();
    own.sort_by_key(|(day, _)| std::cmp::Reverse(*day));
    let mut words = String::new();
    for (day, one) in own {
        let part = one.part.map(|part| part.shown().to_owned());
        let tooth = one.tooth.map(|tooth| tooth.shown(known.numbering));
        let place = tooth.or(part).unwrap_or_default();
        let by = one.mm.map_or_else(String::new, |mm| format!(", {mm} mm"));
        let way = one.direction.map(Direction::shown);
        let way = way.map_or_else(String::new, |way| format!(", {way}"));
        let said = format!("{place}{by}{way} ({})", show_date(day));
        let more = match words.as_str() {
            "" => format!("as corrected at the chair: {said}"),
            before => format!("{before}; {said}"),
        };
        if more.chars().count() > most {
            break;
        }
        words = more;
    }
    words
}

/// Rows of the change list: what was moved on the duplicate and not on the pattern it comes from.
pub fn still_to_be_done(
    known: &OnRecord<'_>,
    patterns: &[Tag],
) -> Vec<Vec<(&'static str, String)>> {
    let comes_from_a_pattern = |tag: &Tag| {
        let is_duplicate = known
            .item(tag)
            .is_some_and(|item| item.kind == ItemKind::Duplicate);
        let from = lineage(known.state, tag).from;
        is_duplicate && patterns.iter().any(|pattern| from.contains(pattern))
    };
    let is_in_the_pattern = |day: Date, copy: &Adjusted| {
        let place = copy.part_and_tooth();
        adjusted(known).any(|(on, one)| {
            patterns.contains(&one.tag) && one.part_and_tooth() == place && on >= day
        })
    };
    let row = |(day, one): (Date, &Adjusted)| {
        let (part, tooth) = one.part_and_tooth()?;
        if !one.done.moves_teeth() || !comes_from_a_pattern(&one.tag) || is_in_the_pattern(day, one)
        {
            return None;
        }
        let said = |text: Option<String>| text.unwrap_or_default();
        Some(vec![
            ("what", part.word().to_owned()),
            (
                "tooth",
                said(tooth.map(|tooth| tooth.number(known.numbering))),
            ),
            (
                "direction",
                said(one.way().map(|way| way.word().to_owned())),
            ),
            ("mm", said(one.mm.map(|mm| mm.to_string()))),
            ("date", show_date(day)),
        ])
    };
    adjusted(known).filter_map(row).collect()
}
