//! From a signed document to the words of its sheet.

use super::back::{accepted, base, behind, compared, further, surface};
use super::bench::{lots, processed, set_up};
use super::boxes::parcel;
use super::content::{Entry, House, List, Sheet, SignedWords, Top};
use super::fields::{ListRow, SheetFields, group};
use super::front::{
    ask, change_list, due, first, heights, order, pictures, pieces, reword, runs_of, what,
};
use super::strip::strip;
use super::tables::{ANTERIOR, MOUNTING, POSTERIOR, RECORD, SHADES};
use super::words::{Run, Words, day, in_line, moment};
use crate::domain::people::card_facts::CardFact;
use crate::domain::people::party::Paper;
use crate::domain::prescription::earlier_words::{SPELLED_SINCE, label_on};
use crate::domain::prescription::revision::{Document, PartyCard, Signature};
use crate::domain::prescription::sections::keys;
use crate::domain::prescription::sentences::say::{answer, value};
use crate::domain::prescription::{Avoided, Difference, KIND_OF_WORK, all_fields, section_of};
use crate::domain::review::NO_PART;
use crate::domain::values::moment::parse_date;
use crate::papers::record_mark::{InRecord, RecordMark};

/// What a sheet is made of: signed texts, and nothing else.
#[derive(Debug, Clone, Copy)]
pub struct SheetOf<'a> {
    pub document: &'a Document,
    /// The revision before it, for what changed since.
    pub before: Option<&'a Document>,
    /// None for a draft.
    pub signature: Option<&'a Signature>,
    pub paper: Paper,
    /// The record that ends with the entry of this revision.
    pub record: Option<&'a RecordMark>,
}

/// The usual cautions at the bench. Common practice, no source; the makers' sheets and local rules decide.
const CAUTIONS: [&str; 5] = [
    "Contaminated until disinfection is certain. Never mix disinfectants; follow the label.",
    "Monomer, vapor, dust: extraction, gloves, eye protection.",
    "Hot instruments, flames, pressure vessels: as their makers say.",
    "Do not alter the casts except as instructed here.",
    "Call before you guess. This sheet advises; dentist and technician judge; local law decides what it must contain.",
];

/// The words of the sheet.
pub fn sheet(of: &SheetOf<'_>) -> Sheet {
    sheet_asking(of, &of.document.office.telephone)
}

/// The same, with the number at which whoever works from it asks; empty where another house is asked first.
pub fn sheet_asking(of: &SheetOf<'_>, telephone: &str) -> Sheet {
    let (document, prescription) = (of.document, &of.document.prescription);
    let before = of.before.map(|before| &before.prescription);
    let printed = (document.numbering, document.sheet);
    let told = told(of);
    let new_rows = new_rows(&told, document.sheet);
    let mut fields = SheetFields::of(prescription, before, &new_rows, printed);
    let drawn = pictures(prescription, document.sheet);
    let top = top(of, &mut fields);
    let strip = strip(&mut fields, prescription);
    let parcel = parcel(&mut fields, document);
    let record = record(&mut fields);
    let mounting = mounting(&mut fields, before.is_some());
    let (is_fourth, is_ninth) = (fields.is_fourth(), fields.is_ninth());
    let first = first(&mut fields).last(is_ninth);
    let surface = surface(&mut fields);
    let before = of.before.filter(|_| is_fourth);
    let sheet = Sheet {
        number: document.sheet,
        paper: of.paper,
        draft: of.signature.is_none(),
        differences: List::default(),
        differences_more: List::default(),
        pieces: pieces(&mut fields).last(is_fourth),
        order: order(&mut fields, prescription).last(is_fourth),
        first,
        ask: ask(&mut fields, telephone).last(is_ninth),
        changes: List {
            counts_all: document.sheet >= 3,
            goes_last: is_fourth,
            ..change_list(&mut fields, prescription)
        },
        heights: heights(&mut fields, prescription),
        anterior: List::new("Anterior teeth", anterior(&mut fields)),
        posterior: List::new("Posterior teeth, occlusion", fields.lines(POSTERIOR)),
        shades: List::new("Shades", shades(&mut fields)),
        arches: drawn.arches,
        face: drawn.face,
        signed: of.signature.map(|one| signed(one, document.sheet)),
        behind: behind(&mut fields, document, &parcel.tags),
        base: base(&mut fields),
        further: further(&mut fields, document),
        accepted: accepted(document, before, document.sheet),
        set_up: set_up(&fields, prescription).last(is_fourth),
        processed: processed(&fields),
        lots: lots(&fields, prescription),
        cautions: CAUTIONS.to_vec(),
        numbering: format!("Tooth numbers: {}", document.numbering.shown()),
        address: qr_address(document, of.signature.is_some()),
        mark: match (of.signature, of.record) {
            (None, _) => InRecord::Draft,
            (Some(_), Some(mark)) => InRecord::At(mark.clone()),
            (Some(_), None) => InRecord::Missing,
        },
        parcel: parcel.rows,
        parcel_notes: parcel.notes,
        top,
        strip,
        record,
        mounting,
        surface,
    };
    let (differences, differences_more) = differences(of, &told, &Underlined::of(&sheet));
    Sheet {
        differences: differences.last(is_fourth),
        differences_more: differences_more.last(is_fourth),
        ..sheet
    }
}

/// What is underlined in the lines of its lists, where it was not there before.
struct Underlined {
    /// Texts. Pieces and the box are left out: those of a second laboratory are others.
    texts: Vec<String>,
    /// The rows that have a line of their own. The box is left out.
    rows: Vec<ListRow>,
}

/// The lists that are rows of the box.
const OF_THE_BOX: [&str; 2] = ["enclosed", "returns"];

impl Underlined {
    fn of(sheet: &Sheet) -> Underlined {
        let entries = || sheet.lists().into_iter().flat_map(|list| &list.entries);
        let runs = entries().flat_map(|entry| match entry {
            Entry::Fact { words, .. } => words.runs.as_slice(),
            Entry::Change(change) => change.words.runs.as_slice(),
            _ => &[],
        });
        let changed = runs.filter(|run| run.changed);
        let rows = entries().filter_map(|entry| {
            let (key, row) = entry.about();
            Some((group(key), row?)).filter(|(list, _)| !OF_THE_BOX.contains(list))
        });
        Underlined {
            texts: changed.map(|run| run.text.clone()).collect(),
            rows: rows.collect(),
        }
    }

    /// Whether it is a new row that has its line there.
    fn has(&self, one: &Difference) -> bool {
        let row = one.new_row.map(|row| (one.key, row));
        row.is_some_and(|row| self.rows.contains(&row))
    }
}

/// Upper case keeps the QR code small; the address is read in either case. It names the revision since the second
/// sheet: whoever reads the code of an older one is told.
pub fn qr_address(document: &Document, is_signed: bool) -> String {
    let case = format!("{}/C/{}", document.address, document.case.as_str()).to_uppercase();
    match is_signed && document.sheet >= 2 {
        true => format!("{case}/{}", document.revision),
        false => case,
    }
}

fn anterior(fields: &mut SheetFields) -> Vec<Entry> {
    let mut entries = fields.lines(ANTERIOR);
    if !fields.is_fourth() {
        return entries;
    }
    for run in runs_of(&mut entries, "anterior.central_length_mm") {
        run.text.insert_str(0, "finished ");
    }
    entries
}

fn shades(fields: &mut SheetFields) -> Vec<Entry> {
    let mut entries = fields.lines(SHADES);
    if !fields.is_ninth() {
        reword(&mut entries, "base_shade.fibres", ("fibers", "fibres"));
    }
    entries
}

fn record(fields: &mut SheetFields) -> List {
    let tag = fields.say(&[value("jaw.item")], None);
    let mut entries = fields.lines(RECORD);
    if fields.is_ninth() && fields.peek("jaw.thickness_mm", None).is_some() {
        let place = fields.say(&[value("jaw.thickness_at")], None);
        add_to(&mut entries, "Made", " ", place);
    }
    with_tag("Bite record", tag, entries)
}

fn mounting(fields: &mut SheetFields, is_later: bool) -> List {
    let tag = fields.say(&[value("facebow.item")], None);
    let mut entries = fields.lines(MOUNTING);
    if fields.is_ninth() {
        let kept = answer(
            "facebow.kept_mounting",
            "the lab has kept the mounting",
            "the lab has not kept the mounting",
        );
        let kept = fields.say(&[kept.strong()], None);
        add_to(&mut entries, "Record", "; ", kept);
        // What went with an earlier text and is not in this list stayed where it is.
        let mut rows = 0..fields.rows("enclosed");
        let tag = fields.raw("guidance.item").filter(|_| is_later);
        let is_there =
            tag.is_some() && !rows.any(|row| fields.raw_in("enclosed.#.tag", row) == tag);
        if is_there {
            let words = ("protrusive record", "protrusive record at the lab");
            reword(&mut entries, "guidance.source", words);
        }
    }
    with_tag("Facebow, articulator", tag, entries)
}

/// Puts words behind those of a line, or in a line of this label where there is none.
fn add_to(entries: &mut Vec<Entry>, line: &str, between: &str, more: Words) {
    let found = entries.iter_mut().find_map(|entry| match entry {
        Entry::Fact { label, words } if label == line => Some(words),
        _ => None,
    });
    match found {
        Some(words) => words.join(between, more),
        None if more.is_empty() => {}
        None => entries.insert(0, Entry::fact(line, more)),
    }
}

/// A list whose tag is its first line.
fn with_tag(title: &'static str, tag: Words, mut entries: Vec<Entry>) -> List {
    if !tag.is_empty() {
        entries.insert(0, Entry::fact("Tag", tag));
    }
    List::new(title, entries)
}

fn top(of: &SheetOf<'_>, fields: &mut SheetFields) -> Top {
    let document = of.document;
    // The title of a statute stands on the paper only where a law asks for it.
    let titles = document.law.iter().filter_map(|card| card.title.as_deref());
    let title = titles
        .into_iter()
        .next()
        .unwrap_or("Laboratory prescription");
    let (title, when) = match of.signature {
        Some(signature) => (
            format!("{title}, revision {}", document.revision),
            format!("Signed {}", moment(signature.at)),
        ),
        None => (
            format!("{title}, draft"),
            format!("As of {}", moment(document.issued)),
        ),
    };
    let before = of.before;
    let is_new = |differs: bool| before.is_some() && differs;
    let (avoid, note, avoids) = avoid(of);
    let is_sixth = fields.is_sixth();
    let jaws = |document: &Document| match is_sixth {
        true => document.ordered_arches(),
        false => document.arches,
    };
    let are_others = before.is_some_and(|before| jaws(before) != jaws(document));
    Top {
        revision: match of.signature {
            Some(_) => format!("Revision {}", document.revision),
            None => "Draft".to_owned(),
        },
        title,
        case: document.case.to_string(),
        moment: when,
        patient: patient(of),
        office: House { words: office(of) },
        lab: House {
            words: house("To ", &document.lab).marked(is_new(
                before.is_some_and(|before| before.lab != document.lab),
            )),
        },
        avoid,
        avoid_note: note,
        avoids,
        due: due(
            fields,
            &document.prescription,
            of.signature.map(|one| one.at.date()),
        ),
        what: what(
            &document.prescription,
            before.map(|before| &before.prescription),
            fields,
        ),
        arches: Words::strong(jaws(document).shown()).marked(are_others),
    }
}

/// A house behind these words, with what it is reached by.
pub(super) fn house(word: &str, card: &PartyCard) -> Words {
    let mut words = Words::plain(word).and_strong(in_line(&card.name));
    let mut rest = Vec::new();
    rest.extend(Some(in_line(&card.licence)).filter(|licence| !licence.is_empty()));
    rest.extend(
        card.address
            .lines()
            .map(in_line)
            .filter(|line| !line.is_empty()),
    );
    words.join(", ", Words::plain(rest.join(", ")));
    if !card.telephone.is_empty() {
        words.join(
            ", ",
            Words::strong(format!("tel {}", in_line(&card.telephone))),
        );
    }
    words
}

fn office(of: &SheetOf<'_>) -> Words {
    let document = of.document;
    let said = |document: &Document| {
        let mut words = house("From ", &document.office);
        let name = Words::plain("prescriber ").and_strong(in_line(&document.prescriber_name));
        words.join("; ", name);
        words.join(", ", Words::plain(in_line(&document.prescriber_licence)));
        words
    };
    let changed = of
        .before
        .is_some_and(|before| said(before) != said(document));
    said(document).marked(changed)
}

fn patient(of: &SheetOf<'_>) -> Words {
    let said = |document: &Document| {
        let mut words = Words::plain("Patient code ").and_strong(document.patient.code.to_string());
        for fact in CardFact::all(&document.patient.facts) {
            match fact {
                CardFact::AgeBand(age) => words.join(", ", Words::plain(format!("age {age}"))),
                CardFact::Sex(sex) => words.join(", ", Words::plain(sex)),
                _ => {}
            }
        }
        words
    };
    let changed = of
        .before
        .is_some_and(|before| said(before) != said(of.document));
    said(of.document).marked(changed)
}

/// What is to be avoided, where that comes from, and whether a substance is named.
fn avoid(of: &SheetOf<'_>) -> (Words, String, bool) {
    fn avoided(document: &Document, sheet: u32) -> Avoided<'_> {
        let mut avoided = Avoided::of(document);
        for words in &mut avoided.substances {
            *words = in_line(&document.spelled_on(sheet, words));
        }
        avoided
    }
    let sheet = of.document.sheet;
    let found = avoided(of.document, sheet);
    let before = of.before.map(|before| avoided(before, sheet));
    let changed = before.is_some_and(|before| before != found);
    let words = Words {
        runs: vec![Run {
            text: found.words(),
            strong: true,
            changed,
            about: "base.without",
            row: None,
        }],
    };
    (words, found.note(), found.warns())
}

/// Letters of a text beyond which it is read after the others, and since the ninth sheet in its own line alone.
const LONG_DIFFERENCE: usize = 60;

/// What is otherwise than in the revision before, in the order in which it is told.
fn told(of: &SheetOf<'_>) -> Vec<Difference> {
    let Some(before) = of.before else {
        return Vec::new();
    };
    let sheet = of.document.sheet;
    let mut found = of.document.changed_on_sheet(before);
    if sheet >= 4 {
        // Said once, in the list of what was accepted.
        found.retain(|one| ![keys::SCORE, keys::CAUTIONS, keys::WARNINGS].contains(&one.of));
    }
    if sheet >= 3 {
        // What fits into a line goes before long texts, and a line end that moved comes last.
        found.sort_by_key(|one| {
            let said = [&one.before, &one.after].map(|text| in_line(text.as_deref().unwrap_or("")));
            let [was, is] = &said;
            (
                sheet < 6 || one.key != KIND_OF_WORK,
                was == is,
                was.chars().count().max(is.chars().count()) > LONG_DIFFERENCE,
            )
        });
    }
    found
}

/// The rows of lists that are new as a whole; to the eighth sheet they are marked cell by cell.
fn new_rows(told: &[Difference], sheet: u32) -> Vec<ListRow> {
    let told = told.iter().filter(|_| sheet >= SPELLED_SINCE);
    told.filter_map(|one| Some((one.key, one.new_row?)))
        .collect()
}

/// What changed, in two columns; `below` is what is underlined in its own line.
fn differences(of: &SheetOf<'_>, told: &[Difference], below: &Underlined) -> (List, List) {
    let Some(before) = of.before else {
        return (List::default(), List::default());
    };
    let entries = told.iter().map(|one| {
        let label = part_and_label(one, of.document.sheet);
        let words = was_and_is(one, of.document.sheet, below);
        // A row of a list is asked about by its part, and what is no field by what is ordered.
        let field = all_fields().find(|field| field.key == one.key);
        let of = section_of(one.key).or_else(|| section_of(one.of));
        let part = || of.map_or(NO_PART, |section| section.key);
        let words = words.about(field.map_or_else(part, |field| field.key), None);
        Entry::fact(&label, words)
    });
    let mut entries: Vec<Entry> = entries.collect();
    if of.document.sheet >= 4 {
        entries.extend(queries(of.document, before));
    }
    let more = entries.split_off(entries.len().div_ceil(2));
    let since = format!(
        "against revision {} of {}",
        before.revision,
        day(before.issued.date())
    );
    (
        List::new("What changed", entries).note(since),
        List::new("What changed", more).note("underlined below, with a bar in the margin"),
    )
}

/// What a difference is called on such a sheet.
fn part_and_label(one: &Difference, sheet: u32) -> String {
    let named = all_fields().filter(|field| label_on(sheet, field) == one.label);
    // A name that only one field has needs no section before it; since the ninth sheet one of a single word has it.
    let is_bare = sheet >= SPELLED_SINCE && !one.label.contains(' ') && one.label != one.section;
    let is_clear = named.count() == 1 && !is_bare;
    match one.label.as_str() {
        "" => one.section.to_owned(),
        label if is_clear => label.to_owned(),
        label if sheet >= 6 && one.key == KIND_OF_WORK => label.to_owned(),
        label => format!("{}: {label}", one.section),
    }
}

/// What was and what is; since the ninth sheet a long text and a new row stand in their own lines alone, where they are
/// underlined.
fn was_and_is(one: &Difference, sheet: u32, below: &Underlined) -> Words {
    let side = |text: &Option<String>| {
        let text = text.as_deref().unwrap_or("nothing");
        // By its text, whatever field it stands in: so the sheets were signed that are out.
        match parse_date(text) {
            Ok(date) if sheet >= 3 => day(date),
            _ => in_line(text),
        }
    };
    let after = side(&one.after);
    if sheet >= SPELLED_SINCE && below.has(one) {
        return Words::strong("new row, underlined below");
    }
    let is_long = sheet >= SPELLED_SINCE && after.chars().count() > LONG_DIFFERENCE;
    if is_long && below.texts.iter().any(|text| text.contains(&after)) {
        return Words::strong(match one.before {
            Some(_) => "another text, underlined below",
            None => "new text, underlined below",
        });
    }
    match one.after.is_none() && sheet >= 7 {
        true => Words::strong("no longer").and(format!(": {}", side(&one.before))),
        false => Words::plain(format!("{} → ", side(&one.before))).and_strong(after),
    }
}

/// How many accepted queries are new, and how many are no longer there; the list itself marks the new ones.
fn queries(document: &Document, before: &Document) -> Option<Entry> {
    let sheet = document.sheet;
    let said = |document: &Document| -> Vec<String> {
        let list = accepted(document, None, sheet);
        let texts = list.entries.iter().map(Entry::text_of);
        texts.map(|text| compared(&text, sheet)).collect()
    };
    let (was, is) = (said(before), said(document));
    let count = |these: &[String], those: &[String]| {
        let only = these.iter().filter(|one| !those.contains(one));
        only.count()
    };
    let parts = [
        (count(&is, &was), "new, marked in their list"),
        (count(&was, &is), "no longer there"),
    ];
    let parts = parts.iter().filter(|(count, _)| *count > 0);
    let words: Vec<String> = parts
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
    let told = Words::strong(words.join("; ")).about("remarks", None);
    let entry = Entry::fact("Accepted queries", told);
    (!words.is_empty()).then_some(entry)
}

fn signed(signature: &Signature, sheet: u32) -> SignedWords {
    // To the seventh sheet the word was spelled otherwise than on the pages.
    let licence = match sheet {
        8.. => "license",
        _ => "licence",
    };
    let words = Words::strong(format!(
        "Signed electronically: {}",
        in_line(&signature.name)
    ))
    .and(format!(
        ", {licence} {}, {}",
        in_line(&signature.licence),
        moment(signature.at)
    ));
    SignedWords {
        words,
        meaning: format!("“{}”", in_line(&signature.meaning)),
    }
}
