//! The back: surface to marking, what stays behind, what no band names, and what the dentist let stand.

use super::boxes::named;
use super::content::{Entry, List};
use super::fields::SheetFields;
use super::front::spare_is_ordered;
use super::tables::{BASE, BEHIND, DATES, RUSH, SURFACE};
use super::words::{Words, in_line};
use crate::domain::custody::item::ItemKind;
use crate::domain::people::card_facts::CardFact;
use crate::domain::prescription::earlier_words::SPELLED_SINCE;
use crate::domain::prescription::revision::{Document, ItemCard};
use crate::domain::prescription::sentences::say::value;
use crate::domain::review::{NO_PART, part_of_finding, part_of_point, points_without_caution};
use crate::domain::values::spelled::without_spelling;

/// Cast, tray, borders, relief and seal.
pub fn surface(fields: &mut SheetFields) -> List {
    let mut entries = fields.lines(SURFACE);
    for row in 0..fields.rows("reliefs") {
        let relief = [
            value("reliefs.#.place"),
            value("reliefs.#.mm").then().strong(),
            value("reliefs.#.note").comma(),
        ];
        let words = fields.say(&relief, Some(row));
        entries.push(Entry::fact("Relieve", words));
    }
    List::new("Fitting surface, borders, seal", entries)
}

/// Whether a marked text names this set: "1st set", "set 2". A letter that stands elsewhere is of a name, and so is one
/// with a full stop behind it.
fn names_set(text: &str, set: &str) -> bool {
    let words = text.split(|sign: char| !sign.is_alphanumeric() && sign != '.');
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let is_set = |word: &str| word.eq_ignore_ascii_case("set");
    let beside = |pair: &[&str]| match pair {
        [one, other] => is_set(one) && *other == set || is_set(other) && *one == set,
        _ => false,
    };
    words.windows(2).any(beside)
}

/// Whether a marked text holds this year; the field takes no other than one of four figures.
fn names_year(text: &str, year: &str) -> bool {
    let mut words = text.split(|sign: char| !sign.is_alphanumeric());
    year.len() == 4 && words.any(|word| word == year)
}

/// Base, finish and marking; since the eighth sheet set and year are said once where the marked text names them.
pub fn base(fields: &mut SheetFields) -> List {
    if fields.is_eighth() {
        let text = fields.raw("marking.text").unwrap_or_default().to_owned();
        let said = |key: &str| fields.raw(key).unwrap_or_default();
        let sets = names_set(&text, said("marking.set_letter"));
        let years = names_year(&text, said("marking.year"));
        for (key, is_named) in [("marking.set_letter", sets), ("marking.year", years)] {
            if is_named {
                fields.take(key, None);
            }
        }
    }
    List::new("Base, finish, marking", fields.lines(BASE))
}

/// The spare, the duplicate, and each thing of the case that no line names.
pub fn behind(fields: &mut SheetFields, document: &Document, tags: &[String]) -> List {
    let mut entries = fields.lines(BEHIND);
    let said: Vec<String> = entries.iter().map(Entry::text_of).collect();
    let said = said.concat();
    let mut others = Words::default();
    let is_fourth = fields.is_fourth();
    let at = |item: &ItemCard| match item.at.as_str() {
        at if is_fourth && !at.is_empty() => format!(": {at}"),
        _ => String::new(),
    };
    let is_other = |item: &&ItemCard| !tags.contains(&item.tag) || !at(item).is_empty();
    for item in document.items.iter().filter(is_other) {
        let (name, arch) = named(document, &item.tag);
        let pieces = match item.pieces {
            1 => String::new(),
            pieces => format!(", pieces: {pieces}"),
        };
        let arch = match arch.as_str() {
            "" => String::new(),
            arch => format!(" {arch}"),
        };
        // A duplicate that was named as what the patient wears is still a thing of the case.
        let tag = if said.contains(&item.tag)
            && pieces.is_empty()
            && at(item).is_empty()
            && ItemKind::of_title(&item.title) == Some(ItemKind::Duplicate)
        {
            continue;
        } else {
            &item.tag
        };
        others.join(
            "; ",
            Words::plain(format!(
                "{}{arch} {tag}{pieces}{}",
                in_line(&name),
                at(item)
            )),
        );
    }
    if !others.is_empty() {
        let others = others.about("enclosures", None);
        entries.push(Entry::fact("Other things", others));
    }
    let title = match fields.is_third() && spare_is_ordered(fields) {
        true => "Spare and duplicate",
        false => "What stays behind",
    };
    List::new(title, entries)
}

/// Rush, remarks, local law, and every field that has no place of its own.
pub fn further(fields: &mut SheetFields, document: &Document) -> List {
    let mut entries = match fields.is_third() {
        true => [fields.lines(RUSH), fields.lines(DATES)].concat(),
        false => fields.lines(DATES),
    };
    // The head has it, in the box of what is to be avoided.
    fields.take("base.without", None);
    for (label, words) in facts(document) {
        let words = Words::plain(in_line(words)).about(NO_PART, None);
        entries.push(Entry::fact(label, words));
    }
    entries.extend(fields.rest());
    List::new("Remarks and more", entries)
}

/// What the card says besides the age, the sex and what is to be avoided.
fn facts(document: &Document) -> impl Iterator<Item = (&str, &str)> {
    CardFact::all(&document.patient.facts).filter_map(|fact| match fact {
        CardFact::Other { label, words } => Some((label, words)),
        // The head has these.
        CardFact::AgeBand(_)
        | CardFact::Sex(_)
        | CardFact::Asked(_)
        | CardFact::Substances(_)
        | CardFact::Substance { .. } => None,
    })
}

/// What the review asked, and the dentist let stand; what the revision before had not is marked.
pub fn accepted(document: &Document, before: Option<&Document>, sheet: u32) -> List {
    let said = |document: &Document| accepted_of(document, sheet);
    let earlier = before.map(said).unwrap_or_default();
    let is_new = |words: &Words| {
        let is_other = |one: &Words| compared(&one.text(), sheet) != compared(&words.text(), sheet);
        before.is_some() && earlier.iter().all(|(one, _)| is_other(one))
    };
    let entries = said(document).into_iter().map(|(words, part)| {
        let changed = is_new(&words);
        Entry::text(words.marked(changed).about(part, None))
    });
    List::new("Open queries the dentist accepted", entries.collect())
}

/// By what a query is found again in the revision before: since the ninth sheet whatever it was spelled like.
pub fn compared(text: &str, sheet: u32) -> String {
    match sheet {
        ..SPELLED_SINCE => text.to_owned(),
        _ => without_spelling(text),
    }
}

/// Each with its reason, and the part that it is about; since the sixth sheet a point that a caution tells stands once.
fn accepted_of(document: &Document, sheet: u32) -> Vec<(Words, &'static str)> {
    let reasoned = |words: String, reason: &str| match reason {
        "" => Words::plain(words),
        reason => Words::plain(words).and(format!(" — {}", in_line(reason))),
    };
    let told_elsewhere = match sheet {
        ..6 => &[][..],
        _ => document.passed.as_slice(),
    };
    let points = points_without_caution(&document.missing, told_elsewhere).map(|point| {
        let name = document.spelled_on(sheet, &point.name);
        let words = format!("Not said: {}", in_line(&name));
        (reasoned(words, &point.reason), part_of_point(point.number))
    });
    let passed = document.passed.iter().map(|passed| {
        let words = reasoned(in_line(&passed.sentence), &passed.reason);
        (words, part_of_finding(&passed.id))
    });
    let warnings = document.warnings.iter();
    let warnings = warnings.map(|words| (Words::plain(in_line(words)), NO_PART));
    points.chain(passed).chain(warnings).collect()
}
