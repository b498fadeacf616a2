//! A section of the prescription as one sentence.

use super::phrases::{PATTERN_FACTS, phrases};
use super::say::{Say, direction_now};
use super::short::short;
use crate::domain::form::{FilledField, Kind};
use crate::domain::prescription::{ChangedPart, Piece, Prescription, VerticalOrder};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::{Mm, show_hundredths};
use crate::domain::values::moment::parse_date;
use crate::domain::values::tooth::Numbering;
use crate::domain::values::words::capitalised;
use std::collections::BTreeMap;

/// Signs of a sentence: two lines of a screen.
const MOST: usize = 180;
/// Rows of a list that are named; of more, how many there are.
const NAMED: usize = 4;
/// How a worn pattern is said, which mostly goes along.
const ENCLOSED: &str = "provisional enclosed";
/// What stands beside a section in which nothing is filled.
pub const NOTHING_YET: &str = "Nothing yet";

/// Every section's sentence by its key, for a reader of this numbering.
pub fn sentences(rx: &Prescription, numbering: Numbering) -> BTreeMap<&'static str, String> {
    let filled = rx.filled(numbering).into_iter();
    filled
        .map(|(section, cells)| (section.key, sentence(rx, section.key, &cells)))
        .collect()
}

fn sentence(rx: &Prescription, section: &str, cells: &[FilledField]) -> String {
    if cells.is_empty() {
        return NOTHING_YET.to_owned();
    }
    let said = match section {
        "order" => joined([pieces(rx), said(section, cells)]),
        "cast_trim" => joined([extractions(rx, cells), said(section, cells)]),
        "pattern" => joined([
            as_files(rx, said(section, cells)),
            changes(rx, cells),
            said(PATTERN_FACTS, cells),
        ]),
        "repair" => joined([repairs(cells), said(section, cells)]),
        "scan_set" => joined([files(cells), said(section, cells), kept(cells)]),
        "vertical" => vertical(rx),
        "borders" => joined([said(section, cells), reliefs(cells)]),
        "enclosures" => joined([enclosed(cells), said(section, cells)]),
        "back" => joined([coming_back(cells), on_loan(cells)]),
        "dates" => joined([said(section, cells), stages(cells)]),
        _ => said(section, cells),
    };
    let said = match said.is_empty() {
        true => by_labels(cells),
        false => said,
    };
    shortened(&capitalised(&said))
}

/// Parts that say something, one behind the other.
fn joined<const N: usize>(parts: [String; N]) -> String {
    let said: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    said.join("; ")
}

/// Whether the pattern stays where it is, and its files go in its place.
pub fn pattern_is_files(rx: &Prescription) -> bool {
    let pattern = &rx.pattern;
    let mut tags = [&pattern.upper_item, &pattern.lower_item]
        .into_iter()
        .flatten()
        .peekable();
    let stays = |tag: &Tag| {
        let mut kept = rx.scan_set.kept.iter();
        kept.any(|one| one.tag.as_ref() == Some(tag))
    };
    tags.peek().is_some() && tags.all(stays)
}

/// What is said of a pattern, with what of it is enclosed.
fn as_files(rx: &Prescription, said: String) -> String {
    let are_files = pattern_is_files(rx);
    match said.strip_prefix(ENCLOSED).filter(|_| are_files) {
        Some(rest) => format!("provisional as in its files{rest}"),
        None => said,
    }
}

/// What a section's phrases say.
fn said(section: &str, cells: &[FilledField]) -> String {
    said_of(phrases(section), cells, None)
}

/// What these fields say, of one row or of none. Fields that only follow the pattern are named together at the end.
pub fn said_of(fields: &[Say], cells: &[FilledField], row: Option<usize>) -> String {
    let mut text = String::new();
    let mut as_the_pattern = Vec::new();
    for say in fields {
        let own = |cell: &&FilledField| cell.spec.key == say.key && cell.row == row;
        let Some(cell) = cells.iter().find(own) else {
            continue;
        };
        if is_only_the_pattern(cell) {
            as_the_pattern.push(name_of(say, cell));
            continue;
        }
        let words = words(say, cell);
        if words.is_empty() {
            continue;
        }
        if !text.is_empty() {
            text.push_str(say.glue);
        }
        text.push_str(&words);
    }
    let followed = match as_the_pattern.is_empty() {
        true => String::new(),
        false => format!("{} as the pattern", listed(&as_the_pattern)),
    };
    joined([text, followed])
}

/// Whether an answer is no more than that the pattern shows it; the phrase itself says so elsewhere.
fn is_only_the_pattern(cell: &FilledField) -> bool {
    cell.raw == "pattern" && short(cell.spec.key, "pattern").is_none()
}

fn name_of(say: &Say, cell: &FilledField) -> String {
    match say.before.trim_end_matches([':', ' ']) {
        "" => cell.spec.label.to_lowercase(),
        name => name.to_owned(),
    }
}

fn words(say: &Say, cell: &FilledField) -> String {
    let value = match say.answer {
        Some((yes, no)) => if cell.raw == "yes" { yes } else { no }.to_owned(),
        None => value(cell),
    };
    match value.is_empty() {
        true => value,
        false => match direction_now(say.key, &cell.raw) {
            Some(way) => format!("{}{value}, {way}", say.before),
            None => format!("{}{value}", say.before),
        },
    }
}

/// A field's value as it stands in a line of text.
fn value(cell: &FilledField) -> String {
    if let Some(said) = short(cell.spec.key, &cell.raw) {
        return said.to_owned();
    }
    match cell.spec.kind {
        Kind::Date => parse_date(&cell.raw).map_or_else(|_| in_line(&cell.shown), day),
        // The page has the names of the teeth beside their fields.
        Kind::Tooth => cell.raw.split(' ').next().unwrap_or_default().to_owned(),
        // A sentence of its own becomes a part of this one.
        _ => in_line(&cell.shown).trim_end_matches('.').to_owned(),
    }
}

/// `Thu 12 Nov`
fn day(date: time::Date) -> String {
    let first_three = |name: String| name.chars().take(3).collect::<String>();
    let weekday = first_three(date.weekday().to_string());
    let month = first_three(date.month().to_string());
    format!("{weekday} {} {month}", date.day())
}

fn in_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// `a, b and c`
fn listed(names: &[String]) -> String {
    match names.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
    }
}

/// The first names of a list, and how many more there are.
fn first_of(names: &[String]) -> String {
    match names.get(..NAMED) {
        Some(first) if names.len() > NAMED => {
            format!("{} and {} more", first.join(", "), names.len() - NAMED)
        }
        _ => listed(names),
    }
}

/// `3 files`, `1 file`
fn count(number: usize, one: &str, many: &str) -> String {
    match number {
        1 => format!("1 {one}"),
        number => format!("{number} {many}"),
    }
}

/// Cut at a word where it is longer than two lines.
fn shortened(text: &str) -> String {
    if text.chars().count() <= MOST {
        return text.to_owned();
    }
    let kept: String = text.chars().take(MOST).collect();
    let cut = kept
        .rsplit_once(' ')
        .map_or(kept.as_str(), |(words, _)| words);
    format!("{} …", cut.trim_end_matches([',', ';', ':', ' ']))
}

/// What no phrase names: the fields under their own labels.
fn by_labels(cells: &[FilledField]) -> String {
    let line = |cell: &FilledField| format!("{} {}", cell.spec.label, in_line(&cell.shown));
    cells.iter().map(line).collect::<Vec<_>>().join("; ")
}

/// The rows of a list, each with its cells by field.
fn rows<'a>(cells: &'a [FilledField], list: &str) -> Vec<BTreeMap<&'static str, &'a FilledField>> {
    let mut rows: BTreeMap<usize, BTreeMap<&'static str, &FilledField>> = BTreeMap::new();
    for cell in cells {
        let field = cell.spec.key.split_once(".#.");
        let Some(((of, field), row)) = field.zip(cell.row) else {
            continue;
        };
        if of == list {
            rows.entry(row).or_default().insert(field, cell);
        }
    }
    rows.into_values().collect()
}

/// The first of these fields that a row fills.
fn first_filled(row: &BTreeMap<&'static str, &FilledField>, fields: &[&str]) -> Option<String> {
    let filled = fields.iter().find_map(|field| row.get(field));
    filled.map(|cell| value(cell))
}

/// Pieces of one kind are named once, with the arches they are made for.
fn pieces(rx: &Prescription) -> String {
    let text = |text: &Option<crate::domain::form::Text>| {
        let text = text.as_ref().map(|text| in_line(text.as_str()));
        text.unwrap_or_default()
    };
    let mut kinds: Vec<(String, Vec<String>)> = Vec::new();
    for piece in &rx.order.pieces {
        let Piece { arch, stage, .. } = piece;
        let stage = stage.map_or("", |stage| stage.shown());
        let words = [text(&piece.description), stage.to_owned()];
        let words: Vec<String> = words.into_iter().filter(|one| !one.is_empty()).collect();
        let words = words.join(": ");
        let arch = arch.map_or("arch not said", Arch::shown).to_owned();
        match kinds.iter_mut().find(|(known, _)| *known == words) {
            Some((_, arches)) => arches.push(arch),
            None => kinds.push((words, vec![arch])),
        }
    }
    let line = |(words, arches): (String, Vec<String>)| match words.is_empty() {
        true => listed(&arches),
        false => format!("{}: {words}", listed(&arches)),
    };
    kinds.into_iter().map(line).collect::<Vec<_>>().join("; ")
}

fn repairs(cells: &[FilledField]) -> String {
    let place = |row: &BTreeMap<&'static str, &FilledField>| {
        let words = ["what", "tooth", "place"].map(|field| first_filled(row, &[field]));
        words.into_iter().flatten().collect::<Vec<_>>().join(" ")
    };
    let named: Vec<String> = rows(cells, "repairs").iter().map(place).collect();
    let named: Vec<String> = named.into_iter().filter(|one| !one.is_empty()).collect();
    first_of(&named)
}

fn extractions(rx: &Prescription, cells: &[FilledField]) -> String {
    let teeth: Vec<String> = rows(cells, "extractions")
        .iter()
        .filter_map(|row| first_filled(row, &["tooth"]))
        .collect();
    match (rx.cast_trim.extractions.len(), teeth.is_empty()) {
        (0, _) => String::new(),
        (number, true) => count(number, "tooth", "teeth"),
        (number, false) => format!("{}: {}", count(number, "tooth", "teeth"), first_of(&teeth)),
    }
}

fn changes(rx: &Prescription, cells: &[FilledField]) -> String {
    let rows = rows(cells, "changes");
    let change = |row: &BTreeMap<&'static str, &FilledField>| {
        let is_tooth = row
            .get("what")
            .is_none_or(|cell| cell.raw == ChangedPart::Tooth.word());
        let what = match row.get("tooth") {
            Some(tooth) if is_tooth => Some(value(tooth)),
            _ => first_filled(row, &["what"]),
        };
        let by = [row.get("mm"), row.get("degrees")];
        let by = by.into_iter().flatten().map(|cell| value(cell));
        let words = what.into_iter().chain(first_filled(row, &["direction"]));
        let words = words.chain(by);
        words.collect::<Vec<_>>().join(" ")
    };
    let named: Vec<String> = rows.iter().take(NAMED).map(change).collect();
    let named: Vec<String> = named.into_iter().filter(|one| !one.is_empty()).collect();
    match rx.pattern.changes.len() {
        0 => String::new(),
        number if named.is_empty() => count(number, "change", "changes"),
        number => format!(
            "{}: {}",
            count(number, "change", "changes"),
            named.join(", ")
        ),
    }
}

fn files(cells: &[FilledField]) -> String {
    let rows = rows(cells, "scans");
    let shows = rows.iter();
    let shows: Vec<String> = shows
        .filter_map(|row| first_filled(row, &["shows", "file", "tag"]))
        .collect();
    match (rows.len(), shows.is_empty()) {
        (0, _) => String::new(),
        (number, true) => count(number, "file", "files"),
        (number, false) => format!("{}: {}", count(number, "file", "files"), first_of(&shows)),
    }
}

fn kept(cells: &[FilledField]) -> String {
    let rows = rows(cells, "kept");
    match rows.len() {
        0 => String::new(),
        number => format!("{} here", count(number, "item stays", "items stay")),
    }
}

fn vertical(rx: &Prescription) -> String {
    let rx = &rx.vertical;
    let mm = |value: Mm| format!("{value} mm");
    let order = rx.order.map(|order| {
        let by = rx.change_mm.map(|by| format!(" by {}", mm(by)));
        let at = rx.change_at.map(|at| format!(" {}", at.shown()));
        let order = match order {
            VerticalOrder::Keep => "keep",
            VerticalOrder::Open => "open",
            VerticalOrder::Close => "close",
        };
        format!(
            "{order}{}{}",
            by.unwrap_or_default(),
            at.unwrap_or_default()
        )
    });
    let ovd = rx.occlusal_mm.map(|value| format!("OVD {}", mm(value)));
    let first = match (ovd, order) {
        (Some(ovd), Some(order)) => format!("{ovd}, {order}"),
        (Some(ovd), None) => ovd,
        (None, Some(order)) => format!("OVD: {order}"),
        (None, None) => String::new(),
    };
    let space = match (rx.rest_mm, rx.occlusal_mm) {
        (Some(rest), Some(occlusal)) => {
            let space = show_hundredths(rest.hundredths() - occlusal.hundredths());
            format!("freeway space {space} mm")
        }
        (Some(rest), None) => format!("RVD {}", mm(rest)),
        (None, _) => String::new(),
    };
    let speaking = rx.closest_speaking_mm;
    let speaking = speaking.map(|value| format!("closest speaking space {}", mm(value)));
    let method = rx.method.map(|method| {
        let said = short("vertical.method", method.word());
        said.unwrap_or(method.shown()).to_owned()
    });
    let front = rx.reset_lower_front.filter(|answer| answer.is_yes());
    let front = front.map(|_| "lower front teeth re-set".to_owned());
    let others = [method, speaking, front].map(Option::unwrap_or_default);
    joined([first, space, readings(rx), joined(others)])
}

/// How many readings there are, and how far they lie apart.
fn readings(rx: &crate::domain::prescription::Vertical) -> String {
    let spread = |of: fn(&crate::domain::prescription::VerticalReading) -> Option<Mm>| {
        let read = rx.readings.iter().filter_map(of);
        let read: Vec<i64> = read.map(|value| value.hundredths()).collect();
        let (least, most) = (read.iter().min(), read.iter().max());
        most.zip(least).map_or(0, |(most, least)| most - least)
    };
    let apart = spread(|one| one.rest_mm).max(spread(|one| one.occlusal_mm));
    match (rx.readings.len(), apart) {
        (0, _) => String::new(),
        (1, _) => "one reading".to_owned(),
        (number, 0) => format!("{} alike", count_in_words(number)),
        (number, apart) => {
            let apart = show_hundredths(apart);
            format!("{} {apart} mm apart", count_in_words(number))
        }
    }
}

fn count_in_words(number: usize) -> String {
    match number {
        2 => "two readings".to_owned(),
        3 => "three readings".to_owned(),
        number => format!("{number} readings"),
    }
}

fn reliefs(cells: &[FilledField]) -> String {
    let relief = |row: &BTreeMap<&'static str, &FilledField>| {
        let words = [
            first_filled(row, &["place", "note"]),
            first_filled(row, &["mm"]),
        ];
        words.into_iter().flatten().collect::<Vec<_>>().join(" ")
    };
    let named: Vec<String> = rows(cells, "reliefs").iter().map(relief).collect();
    match named.is_empty() {
        true => String::new(),
        false => format!("relief: {}", first_of(&named)),
    }
}

fn enclosed(cells: &[FilledField]) -> String {
    let rows = rows(cells, "enclosed");
    let names = rows.iter();
    let names: Vec<String> = names
        .filter_map(|row| first_filled(row, &["what", "tag"]))
        .collect();
    // An agent alone is what would be used.
    let is_clean = |row: &&BTreeMap<&'static str, &FilledField>| {
        row.contains_key("agent") && row.contains_key("minutes")
    };
    let clean = rows.iter().filter(is_clean).count();
    let clean = match (clean, rows.len()) {
        (0, _) => String::new(),
        (clean, all) if clean == all => "disinfected".to_owned(),
        (clean, all) => format!("{clean} of {all} disinfected"),
    };
    let things = match (rows.len(), names.is_empty()) {
        (0, _) => String::new(),
        (number, true) => count(number, "item", "items"),
        (number, false) => format!("{}: {}", count(number, "item", "items"), first_of(&names)),
    };
    joined([things, clean])
}

/// What is to come back, by the short names of the answers.
const BACK: &[(&str, &str)] = &[
    ("back.pattern", "pattern"),
    ("back.casts", "casts"),
    ("back.remount_casts", "remount casts and index"),
    ("back.records", "records"),
    ("back.unused_teeth", "unused teeth"),
    ("back.statement", "statement of materials"),
];

fn coming_back(cells: &[FilledField]) -> String {
    let said = |answer: &str| -> Vec<String> {
        let of = |key: &str| {
            cells
                .iter()
                .any(|cell| cell.spec.key == key && cell.raw == answer)
        };
        let named = BACK.iter().filter(|(key, _)| of(key));
        named.map(|(_, name)| (*name).to_owned()).collect()
    };
    let (back, stays) = (said("yes"), said("no"));
    match (back.is_empty(), stays.is_empty()) {
        (false, _) => listed(&back),
        (true, false) => format!("not {}", listed(&stays)),
        (true, true) => String::new(),
    }
}

fn on_loan(cells: &[FilledField]) -> String {
    let rows = rows(cells, "returns");
    let thing = |row: &BTreeMap<&'static str, &FilledField>| {
        let due = first_filled(row, &["due"]).map(|due| format!("by {due}"));
        let words = [first_filled(row, &["what", "tag"]), due];
        words.into_iter().flatten().collect::<Vec<_>>().join(" ")
    };
    let is_lent = |row: &&BTreeMap<&'static str, &FilledField>| {
        row.get("borrowed").is_some_and(|cell| cell.raw == "yes")
    };
    let lent: Vec<String> = rows.iter().filter(is_lent).map(thing).collect();
    let others: Vec<String> = rows.iter().filter(|row| !is_lent(row)).map(thing).collect();
    let lent = match lent.is_empty() {
        true => String::new(),
        false => format!("on loan: {}", first_of(&lent)),
    };
    joined([first_of(&others), lent])
}

fn stages(cells: &[FilledField]) -> String {
    let stage = |row: &BTreeMap<&'static str, &FilledField>| {
        let words = ["arch", "stage", "date"].map(|field| first_filled(row, &[field]));
        words.into_iter().flatten().collect::<Vec<_>>().join(" ")
    };
    let named: Vec<String> = rows(cells, "stage_dates").iter().map(stage).collect();
    first_of(&named)
}
