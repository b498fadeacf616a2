//! What differs between two revisions, line by line, in words.
//!
//! Both are read as the sections that pages and slip show, so that nothing that is shown can differ unseen.
//! Rows of a list are matched from both ends first, so that a row put in or taken out in the middle
//! shows as one row and not as a change of all that follow.

use super::print::{PrintedSection, PrintedTable};
use super::revision::Document;
use super::sections::keys;
use crate::domain::values::tooth::Numbering;

/// One field or row that differs. `None` is "not filled".
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// The key of the section, and its title.
    pub of: &'static str,
    /// The key of the field, of a row that of its list; empty where it is no field.
    pub key: &'static str,
    /// The title of the section.
    pub section: &'static str,
    /// The label of the field, or what names the row.
    pub label: String,
    /// As it was printed.
    pub before: Option<String>,
    /// As it is printed.
    pub after: Option<String>,
    /// Of a row that is new as a whole, its place in its list, from 0.
    pub new_row: Option<usize>,
}

impl Document {
    /// What this text says otherwise than the one before it. Its number and its moment always differ, and are
    /// left out; both are read as of one day, so that only another law changes how long they are kept.
    pub fn differences(&self, before: &Document, numbering: Numbering) -> Vec<Difference> {
        let sections = |document: &Document| {
            let mut sections = document.sections_on(self.sheet, self.issued.date(), numbering);
            for head in sections.iter_mut().filter(|one| one.key == keys::HEAD) {
                head.lines
                    .retain(|line| !["revision", "issued"].contains(&line.key));
            }
            sections
        };
        compare(&sections(before), &sections(self), self.sheet >= 5)
    }
}

/// All differences in the order of the sections; empty when both say the same. Whether a row is found again where it
/// stands elsewhere in its list.
pub fn compare(
    before: &[PrintedSection],
    after: &[PrintedSection],
    finds_again: bool,
) -> Vec<Difference> {
    let mut found = Vec::new();
    let empty = PrintedSection::default();
    for (was, is) in paired(before, after, |section| (section.key, section.title)) {
        let mut comparison = Comparison {
            of: is.or(was).map_or("", |section| section.key),
            key: "",
            section: is.or(was).map_or("", |section| section.title),
            found: &mut found,
            new_row: None,
            finds_again,
        };
        comparison.sections(was.unwrap_or(&empty), is.unwrap_or(&empty));
    }
    found
}

/// A thing of the list before and its namesake in the list after; one of them may not be there.
type Pair<'a, T> = (Option<&'a T>, Option<&'a T>);

/// The things of both lists in one order: what only the first has stays behind what it followed there.
fn paired<'a, T, K: PartialEq>(
    before: &'a [T],
    after: &'a [T],
    name: impl Fn(&'a T) -> K,
) -> Vec<Pair<'a, T>> {
    let mut pairs: Vec<Pair<'a, T>> = after.iter().map(|is| (None, Some(is))).collect();
    let mut place = 0;
    for was in before {
        let is_free = |(was, _): &Pair<'a, T>| was.is_none();
        let is_named = |(_, is): &Pair<'a, T>| is.is_some_and(|is| name(is) == name(was));
        let same = pairs
            .iter()
            .position(|pair| is_free(pair) && is_named(pair));
        place = same.unwrap_or(place);
        match same.and_then(|at| pairs.get_mut(at)) {
            Some(pair) => pair.0 = Some(was),
            None => pairs.insert(place, (Some(was), None)),
        }
        place += 1;
    }
    pairs
}

/// The filled cells of a row, each with its heading.
type Row<'a> = Vec<(&'static str, &'a str)>;

fn rows(table: Option<&PrintedTable>) -> Vec<Row<'_>> {
    let mut found = Vec::new();
    for (table, row) in table
        .iter()
        .flat_map(|table| table.rows.iter().map(move |row| (table, row)))
    {
        let cells = table
            .headings
            .iter()
            .copied()
            .zip(row.iter().map(String::as_str));
        found.push(cells.filter(|(_, text)| !text.is_empty()).collect());
    }
    found
}

/// The sentences of a section as a list of one column that has no heading.
fn notes(section: &PrintedSection) -> Vec<Row<'_>> {
    let row = |note| vec![("", note)];
    section.notes.iter().map(String::as_str).map(row).collect()
}

/// The differences of one section.
struct Comparison<'a> {
    of: &'static str,
    /// The field or the list that is compared now.
    key: &'static str,
    section: &'static str,
    found: &'a mut Vec<Difference>,
    /// The row that is told now, where it is new as a whole.
    new_row: Option<usize>,
    finds_again: bool,
}

impl Comparison<'_> {
    fn note(&mut self, label: &str, before: Option<&str>, after: Option<&str>) {
        if before != after {
            self.found.push(Difference {
                of: self.of,
                key: self.key,
                section: self.section,
                label: label.to_owned(),
                before: before.map(str::to_owned),
                after: after.map(str::to_owned),
                new_row: self.new_row,
            });
        }
    }

    fn sections(&mut self, was: &PrintedSection, is: &PrintedSection) {
        for (was, is) in paired(&was.lines, &is.lines, |line| (line.key, &line.label)) {
            let label = is.or(was).map_or("", |line| &line.label);
            self.key = is.or(was).map_or("", |line| line.key);
            let (was, is) = (was.map(|line| &*line.value), is.map(|line| &*line.value));
            self.note(label, was, is);
        }
        self.key = "";
        self.rows("", &notes(was), &notes(is));
        for (was, is) in paired(&was.tables, &is.tables, |table| (table.key, table.title)) {
            let title = is.or(was).map_or("", |table| table.title);
            self.key = is.or(was).map_or("", |table| table.key);
            self.rows(title, &rows(was), &rows(is));
        }
    }

    fn rows(&mut self, title: &str, was: &[Row<'_>], is: &[Row<'_>]) {
        let head = was.iter().zip(is).take_while(|(was, is)| was == is).count();
        let (was, is) = (
            was.get(head..).unwrap_or_default(),
            is.get(head..).unwrap_or_default(),
        );
        let ends = was.iter().rev().zip(is.iter().rev());
        let tail = ends.take_while(|(was, is)| was == is).count();
        let was = was.get(..was.len() - tail).unwrap_or_default();
        let is = is.get(..is.len() - tail).unwrap_or_default();
        let label = |at: usize| match title {
            "" => format!("Row {}", at + 1),
            title => format!("{title}, row {}", at + 1),
        };
        // One row for one row, and rows put in or taken out: nothing can have moved.
        let again = found_again(was, is);
        if !self.finds_again || again.is_empty() {
            for place in 0..was.len().max(is.len()) {
                let at = head + place;
                self.row(&label(at), at, was.get(place), is.get(place));
            }
            return;
        }
        let is_left = |at: &usize, of: fn(&(usize, usize)) -> usize| {
            !again.iter().any(|pair| of(pair) == *at)
        };
        for place in 0..was.len().max(is.len()) {
            let before = was.get(place).filter(|_| is_left(&place, |pair| pair.0));
            let after = is.get(place).filter(|_| is_left(&place, |pair| pair.1));
            let at = head + place;
            let label = label(at);
            match (before, after) {
                (Some(was), Some(is)) if was.first() == is.first() => {
                    self.row(&label, at, Some(was), Some(is));
                }
                (before, after) => {
                    self.row(&format!("{label} as it was"), at, before, None);
                    self.row(&label, at, None, after);
                }
            }
        }
        self.order(title, head, &again);
    }

    /// Rows that stay and follow each other otherwise, by the numbers that they had.
    fn order(&mut self, title: &str, head: usize, again: &[(usize, usize)]) {
        let numbers = |places: Vec<usize>| {
            let numbers: Vec<String> = places
                .iter()
                .map(|at| (head + at + 1).to_string())
                .collect();
            numbers.join(", ")
        };
        let mut as_they_were: Vec<usize> = again.iter().map(|(from, _)| *from).collect();
        as_they_were.sort_unstable();
        let mut by_now = again.to_vec();
        by_now.sort_unstable_by_key(|(_, to)| *to);
        let as_they_are = by_now.iter().map(|(from, _)| *from).collect();
        let label = match title {
            "" => "Order of the rows that stay".to_owned(),
            title => format!("{title}, order of the rows that stay"),
        };
        let (was, is) = (numbers(as_they_were), numbers(as_they_are));
        self.note(&label, Some(&was), Some(&is));
    }

    /// The row that has this place in its list.
    fn row(&mut self, label: &str, at: usize, was: Option<&Row<'_>>, is: Option<&Row<'_>>) {
        let (Some(was), Some(is)) = (was, is) else {
            self.new_row = is.map(|_| at);
            let (was, is) = (was.map(in_words), is.map(in_words));
            self.note(label, was.as_deref(), is.as_deref());
            self.new_row = None;
            return;
        };
        for (was, is) in paired(was, is, |cell| cell.0) {
            let label = match is.or(was) {
                Some(("", _)) | None => label.to_owned(),
                Some((heading, _)) => format!("{label}: {heading}"),
            };
            self.note(&label, was.map(|cell| cell.1), is.map(|cell| cell.1));
        }
    }
}

/// Where each row stood that is there again word for word, and where it stands.
fn found_again(was: &[Row<'_>], is: &[Row<'_>]) -> Vec<(usize, usize)> {
    let mut again: Vec<(usize, usize)> = Vec::new();
    for (from, row) in was.iter().enumerate() {
        let is_free = |at: &usize| !again.iter().any(|(_, to)| to == at);
        let to = (0..is.len()).find(|at| is_free(at) && is.get(*at) == Some(row));
        again.extend(to.map(|to| (from, to)));
    }
    again
}

fn in_words(row: &Row<'_>) -> String {
    let words = |(heading, text): &(&str, &str)| match *heading {
        "" => (*text).to_owned(),
        heading => format!("{heading}: {text}"),
    };
    row.iter().map(words).collect::<Vec<_>>().join("; ")
}
