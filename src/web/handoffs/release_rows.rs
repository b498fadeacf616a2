//! The items of a release: what goes along, what mostly stays, and what cannot leave now.

use crate::app::case_work::CaseWork;
use crate::app::custody_words::{disinfection_words, wrong_words};
use crate::app::release::{awaited, item_to_go};
use crate::domain::custody::forms::{PARCELS_MOST, SentForm};
use crate::domain::custody::item::Item;
use crate::domain::custody::{CaseStep, NotCome, Offers};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use crate::web::entry::Folded;
use crate::web::field::{FieldView, ValueFrom, fill};
use crate::web::typed_form::TypedForm;
use askama::Template;

/// An item that can be handed over now.
pub struct ReleaseRow {
    pub key: String,
    pub tag: String,
    pub title: String,
    pub disinfection: String,
    pub taken: bool,
    /// Listed in the prescription and awaited by the lab.
    pub listed: bool,
    /// What mostly stays stands below what goes.
    pub stays_mostly: bool,
    /// The office's, in no list.
    pub goes_back: bool,
    pub messages: Vec<String>,
    pub fields: Vec<FieldView>,
    /// Its condition and its parcel, which are seldom worth a word.
    pub folded: Folded,
}

/// What is here and cannot be handed over now, folded away while anything else can.
#[derive(Template)]
#[template(path = "partials/staying.html")]
pub struct Staying {
    pub rows: Vec<StayingRow>,
    pub open: bool,
}

/// An item that is here and cannot be handed over now.
pub struct StayingRow {
    pub tag: String,
    pub path_tag: String,
    pub title: String,
    pub why: String,
    /// Whether it goes as a file, with the revision that lists it.
    pub is_file: bool,
}

/// Its condition, where it is not sound, and its parcel, where it is not the first.
fn row_fold(
    under: &str,
    (is_sound, broken): (bool, Option<&str>),
    typed: &TypedForm,
    faults: &[Fault],
) -> Folded {
    let parcels = (1..=PARCELS_MOST).map(|number| (number.to_string(), format!("parcel {number}")));
    let mut fields = vec![FieldView::under(SentForm::parcel(), under).chosen_from(parcels)];
    if is_sound {
        fields.insert(0, FieldView::under(SentForm::condition(), under));
    }
    let title = match is_sound {
        true => "Damaged, or in another parcel",
        false => "In another parcel",
    };
    let fields = broken_as_listed(fill(fields, typed, faults), under, typed, broken);
    Folded::new(title, "", fields)
}

/// What is sent to be repaired is broken: the prescription has said so, and nobody types it twice.
fn broken_as_listed(
    mut fields: Vec<FieldView>,
    under: &str,
    typed: &TypedForm,
    broken: Option<&str>,
) -> Vec<FieldView> {
    let key = format!("{under}{}", SentForm::condition().key);
    let untyped = fields
        .iter_mut()
        .filter(|field| field.key == key && !typed.contains_key(&key));
    for (field, words) in untyped.zip(broken) {
        words.clone_into(&mut field.value);
        field.from = Some(ValueFrom::RepairList);
    }
    fields
}

/// A row for each thing that can be handed over now.
pub fn release_rows(
    work: &CaseWork,
    offers: &Offers<'_>,
    typed: &TypedForm,
    faults: &[Fault],
) -> Vec<ReleaseRow> {
    let (awaited, along) = (awaited(work), work.goes_along());
    // Before anything is typed, what is listed and awaited is ticked, and what is finished with what goes along.
    let is_untouched = typed.is_empty();
    let row = |item: &Item| {
        let to_go = item_to_go(work, item)?;
        if to_go.goes_as_a_file {
            return None;
        }
        // A file that is not stored here is added, and goes along only where somebody says so.
        let mut awaited = awaited.iter();
        let listed = awaited.any(|one| one.tag == item.tag && one.how != NotCome::NotStored);
        // What was ticked stays, with all that was typed of it.
        let tick = typed.get(&format!("{}.take", item.tag.as_str()));
        let is_ticked = tick.is_some_and(|tick| tick == "yes");
        (is_ticked || offers.has(CaseStep::HandOver(&item.tag))).then(|| {
            let key = item.tag.as_str().to_owned();
            let under = format!("{key}.");
            let mut fields = Vec::new();
            let broken = to_go.broken.as_deref();
            if !to_go.is_sound {
                let hint = format!("By the record {}.", wrong_words(work, &item.tag));
                fields.push(FieldView::under(SentForm::condition(), &under).hint(&hint));
                fields.push(FieldView::under(SentForm::set_right(), &under));
            }
            if to_go.pieces > 1 {
                fields.push(FieldView::under(SentForm::pieces(), &under).needed());
            }
            ReleaseRow {
                folded: row_fold(&under, (to_go.is_sound, broken), typed, faults),
                taken: is_ticked || (is_untouched && (listed || along.contains(&item.tag))),
                listed,
                stays_mostly: to_go.stays_mostly,
                goes_back: to_go.goes_back,
                tag: item.tag.to_string(),
                title: item.title(),
                disinfection: with_fate(work, &item.tag, disinfection_words(work, item)),
                messages: Vec::new(),
                fields: broken_as_listed(fill(fields, typed, faults), &under, typed, broken),
                key,
            }
        })
    };
    let mut rows: Vec<ReleaseRow> = work.items.iter().filter_map(row).collect();
    rows.sort_by_key(|row| (!row.listed, row.stays_mostly));
    rows
}

/// With what becomes of a thing, where the office has cancelled the work.
fn with_fate(work: &CaseWork, tag: &Tag, words: &str) -> String {
    match work.fate(tag) {
        Some(fate) => format!("the work is canceled: it {}; {words}", fate.shown()),
        None => words.to_owned(),
    }
}

/// What is in this house and cannot be handed over now, each with what stands against it.
pub fn staying(work: &CaseWork, offers: &Offers<'_>, rows: &[ReleaseRow]) -> Staying {
    let here = work.items.iter().filter(|item| {
        work.is_in_house(&item.tag) && rows.iter().all(|row| row.key != item.tag.as_str())
    });
    let row = |item: &Item| {
        let against = offers.against(CaseStep::HandOver(&item.tag));
        // Its name stands before it already.
        let named = format!("{} ({}) ", item.tag, item.title());
        let sentences = against.into_iter().map(|refusal| {
            let rest = refusal.sentence.strip_prefix(&named).map(str::to_owned);
            rest.unwrap_or(refusal.sentence)
        });
        let is_file = item_to_go(work, item).is_some_and(|one| one.goes_as_a_file);
        StayingRow {
            is_file,
            tag: item.tag.to_string(),
            path_tag: item.tag.as_str().to_owned(),
            title: item.title(),
            why: match is_file {
                true => {
                    "goes as a file: the lab has it with the revision that lists it.".to_owned()
                }
                false => sentences.collect::<Vec<_>>().join(" "),
            },
        }
    };
    Staying {
        rows: here.map(row).collect(),
        open: rows.is_empty(),
    }
}

/// What the patient wears, where nothing can be handed over: it goes along once it is taken out.
pub fn worn(work: &CaseWork, rows: &[ReleaseRow]) -> Vec<String> {
    match rows.is_empty() {
        true => work.worn_of_the_office(),
        false => Vec::new(),
    }
}
