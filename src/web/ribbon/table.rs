//! The same as the ribbon in a table, for whoever reads it as words.

use crate::app::case_work::CaseWork;
use crate::app::custody_words::{holder_name, title_of, worn_words};
use crate::domain::custody::ribbon::{Ribbon, RibbonLine, RibbonMark, Stay};

/// One stretch in the table.
pub struct StayRow {
    pub number: usize,
    pub tag: String,
    pub path: String,
    pub title: String,
    pub from: String,
    pub to: String,
    pub holder: String,
    pub answers: String,
    pub signs: String,
}

/// One stretch of an arch in the table.
pub struct WornLine {
    pub arch: &'static str,
    pub from: String,
    pub to: String,
    pub worn: String,
}

/// Where an item was, a row for each stay.
pub(super) fn stay_rows(work: &CaseWork, line: &RibbonLine) -> Vec<StayRow> {
    let count = line.stays.len();
    let row = |(place, stay): (usize, &Stay)| {
        let is_last = place + 1 == count;
        let is_here = |mark: &&RibbonMark| mark.x >= stay.from_x && (is_last || mark.x < stay.to_x);
        let signs: Vec<&str> = line
            .marks
            .iter()
            .filter(is_here)
            .map(|mark| mark.sign.shown())
            .collect();
        StayRow {
            number: line.number,
            tag: line.tag.to_string(),
            path: format!("/items/{}", line.tag.as_str()),
            title: title_of(work, &line.tag),
            from: stay.from.in_words(),
            to: stay.to.map_or("now".to_owned(), |at| at.in_words()),
            holder: holder_name(stay.holder, work),
            answers: stay.answers.clone(),
            signs: signs.join(", "),
        }
    };
    line.stays.iter().enumerate().map(row).collect()
}

/// What each arch wore, a row for each stretch.
pub(super) fn worn_rows(work: &CaseWork, ribbon: &Ribbon) -> Vec<WornLine> {
    let mut rows = Vec::new();
    for (arch, bars) in &ribbon.mouth {
        rows.extend(bars.iter().map(|bar| WornLine {
            arch: arch.shown(),
            from: bar.from.map_or("before".to_owned(), |at| at.in_words()),
            to: bar.to.map_or("now".to_owned(), |at| at.in_words()),
            worn: worn_words(work, &bar.wears),
        }));
    }
    rows
}
