//! A list as a page: what is in force, a part at a time, and its versions.

use super::lines::LinesPart;
use super::load_form::LoadForm;
use crate::app::Person;
use crate::app::see_lists::{Seen, Version};
use crate::web::extract::Query;
use crate::web::frame::Frame;
use askama::Template;

/// Rows of a list on one page.
const ROWS: usize = 200;

/// The list in force as a table, a part at a time.
pub struct InForce {
    pub heading: &'static [&'static str],
    /// Each cell under its heading, which a narrow screen shows beside it.
    pub rows: Vec<Vec<(&'static str, String)>>,
    pub words: String,
    pub caution: Option<&'static str>,
    /// Which rows these are, where there are more.
    pub part: Option<String>,
    pub before: Option<String>,
    pub after: Option<String>,
}

/// A version of the list, in words.
pub struct VersionView {
    pub number: i64,
    pub words: String,
    pub at: String,
    pub name: String,
    /// Where it can be had as CSV.
    pub href: Option<String>,
}

/// A list: what is in force, its versions, and the form that loads it.
#[derive(Template)]
#[template(path = "list.html")]
pub struct ListPage {
    pub frame: Frame,
    /// The page this one belongs to.
    pub above: Option<(String, String)>,
    pub intro: &'static str,
    pub refusals: Vec<String>,
    /// What is said of a list that was taken away; empty for most.
    pub taken_away: &'static str,
    pub in_force: Option<InForce>,
    /// What is said where nothing is in force.
    pub nothing: &'static str,
    pub versions: Vec<VersionView>,
    /// The list line by line, where it is one that can be written so.
    pub lines: Option<LinesPart>,
    pub form: Option<LoadForm>,
}

/// A count of entries in words.
pub fn entries(count: usize) -> String {
    match count {
        1 => "1 entry".to_owned(),
        count => format!("{count} entries"),
    }
}

/// The part of the list from row `from` on.
pub fn in_force(seen: &Seen, person: &Person, path: &str, from: usize) -> Option<InForce> {
    let all = seen.entries.as_ref()?;
    let count = all.count();
    let from = from.min(count.saturating_sub(1)) / ROWS * ROWS;
    let heading = all.heading();
    let labelled = |cells: Vec<String>| heading.iter().copied().zip(cells).collect();
    let rows: Vec<Vec<_>> = all.cells(from, ROWS).into_iter().map(labelled).collect();
    let last = from + rows.len();
    let loaded = seen.versions.first().map(|version| {
        format!(
            "loaded {} by {}",
            person.moment(version.at_ms).in_words(),
            version.name
        )
    });
    let at = |from: usize| format!("{path}?from={from}#entries");
    Some(InForce {
        heading,
        words: format!(
            "Version {}, {}, {}.",
            seen.list.version,
            entries(count),
            loaded.unwrap_or_default()
        ),
        caution: all.caution(),
        part: (count > ROWS).then(|| format!("{} to {last} of {count}", from + 1)),
        before: (from > 0).then(|| at(from - ROWS)),
        after: (last < count).then(|| at(last)),
        rows,
    })
}

/// The versions, each with its address where it can be had: below `path`, if at all.
pub fn versions(seen: &Seen, person: &Person, path: Option<&str>) -> Vec<VersionView> {
    let view = |version: &Version| VersionView {
        number: version.version,
        words: match version.entries {
            0 => "taken out of use".to_owned(),
            count => entries(usize::try_from(count).unwrap_or_default()),
        },
        at: person.moment(version.at_ms).in_words(),
        name: version.name.clone(),
        href: path
            .filter(|_| version.entries > 0)
            .map(|path| format!("{path}/{}/list.csv", version.version)),
    };
    seen.versions.iter().map(view).collect()
}

/// The row that the address asks for; what is no number is the first.
pub fn from(query: &Query) -> usize {
    query.text("from").parse().unwrap_or(0)
}
