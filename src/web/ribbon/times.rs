//! The words above and below the columns: times, days, idle stretches, notes.

use super::heights::{DATE, HEAD, RibbonWord};
use crate::domain::custody::ribbon::{Ribbon, RibbonColumn};
use crate::domain::values::moment::day_in_words;
use time::Date;

/// The time above a column.
pub(super) fn time_word(column: &RibbonColumn) -> RibbonWord {
    RibbonWord {
        x: column.x,
        y: HEAD - 8,
        words: column.at.clock(),
    }
}

/// The date above the first column of each day; on a second line where the one before it is too near.
pub(super) fn days(columns: &[RibbonColumn], today: Date) -> Vec<RibbonWord> {
    let mut days: Vec<RibbonWord> = Vec::new();
    let mut before = String::new();
    for column in columns {
        let day = day_in_words(column.at.date(), today);
        if day == before {
            continue;
        }
        let y = match days.last() {
            Some(last) if column.x < last.x + DATE && last.y == 14 => 28,
            _ => 14,
        };
        days.push(RibbonWord {
            x: column.x,
            y,
            words: day.clone(),
        });
        before = day;
    }
    days
}

/// How long nothing happened, in the middle of the room left for it.
pub(super) fn idles(ribbon: &Ribbon) -> Vec<RibbonWord> {
    let next = ribbon.columns.iter().skip(1).map(|column| column.x);
    let ends = next.chain([ribbon.now_x]);
    ribbon
        .columns
        .iter()
        .zip(ends)
        .filter(|(column, _)| !column.idle.is_empty())
        .map(|(column, end)| RibbonWord {
            x: (column.end_x + end) / 2,
            y: HEAD - 22,
            words: column.idle.clone(),
        })
        .collect()
}

/// What happened to the case as a whole, below the columns.
pub(super) fn notes(columns: &[RibbonColumn], floor: u32) -> Vec<RibbonWord> {
    let noted = columns.iter().filter(|column| !column.note.is_empty());
    noted
        .map(|column| RibbonWord {
            x: column.x,
            y: floor + 15,
            words: column.note.to_owned(),
        })
        .collect()
}
