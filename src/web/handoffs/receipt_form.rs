//! What the form of a receipt asks for: each parcel with its seal, each item with what was found of it.

use crate::app::case_work::CaseWork;
use crate::app::receive::listed;
use crate::domain::custody::forms::{ExtraForm, FoundForm, ParcelFoundForm};
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::item::Item;
use crate::domain::custody::{ListedThing, Parcel, SealFound, Sent};
use crate::domain::values::fault::Fault;
use crate::web::entry::{Folded, from_paper, unsaved};
use crate::web::field::{FieldView, fields_under, fill};
use crate::web::typed_form::TypedForm;

/// An item of a handoff.
pub struct ReceiveRow {
    pub tag: String,
    pub path_tag: String,
    pub title: String,
    pub sent: String,
    pub found: String,
    /// The key of its tick, whether it is ticked, and what is wrong with it.
    pub here_key: String,
    pub here: bool,
    pub messages: Vec<String>,
    /// Pieces, where they were counted out.
    pub pieces: Vec<FieldView>,
    /// What is otherwise than described.
    pub folded: Folded,
}

/// A parcel that is awaited.
pub struct AwaitedParcel {
    pub title: String,
    pub fields: Vec<FieldView>,
}

fn seal_fields(number: u32, several: bool, typed: &TypedForm, faults: &[Fault]) -> Vec<FieldView> {
    let words = SealFound::ALL
        .iter()
        .filter(|one| several || **one != SealFound::NotHere)
        .map(|one| (one.word().to_owned(), one.shown().to_owned()));
    let under = format!("parcel.{number}.");
    let fields = vec![
        FieldView::under(ParcelFoundForm::seal(), &under).chosen_from(words),
        FieldView::under(ParcelFoundForm::number(), &under),
    ];
    // Asked only of a number that is not the one that was sent.
    let again = FieldView::under(ParcelFoundForm::again(), &under).filled(typed, faults);
    let about = FieldView::under(ParcelFoundForm::asked_number(), &under).filled(typed, faults);
    let number = typed.get(&format!("{under}{}", ParcelFoundForm::number().key));
    let mut fields = fill(fields, typed, faults);
    fields.extend(FieldView::asked_of(again, about, number));
    fields
}

/// The parcels to be told of: all that are awaited, but not a single one that was sent without a seal.
pub fn parcel_forms(handoff: &Handoff, typed: &TypedForm, faults: &[Fault]) -> Vec<AwaitedParcel> {
    let count = handoff.parcels.len();
    let waiting = handoff.waiting();
    let is_plain = is_plain_parcel(handoff);
    let parcels = waiting.into_iter().filter(|_| !is_plain);
    parcels
        .map(|number| AwaitedParcel {
            title: format!("Parcel {number} of {count}"),
            fields: seal_fields(number, count > 1, typed, faults),
        })
        .collect()
}

fn is_plain_parcel(handoff: &Handoff) -> bool {
    let is_unsealed = |parcel: &Parcel| parcel.seal.is_empty();
    handoff.parcels.len() == 1 && handoff.parcels.iter().all(is_unsealed)
}

/// What a receipt asks for with some parcels only: the seal, an entry from paper.
pub fn receive_folds(handoff: &Handoff, typed: &TypedForm, faults: &[Fault]) -> Vec<Folded> {
    let mut folds = Vec::new();
    if is_plain_parcel(handoff) && handoff.waiting() == [1] {
        folds.push(Folded::new(
            "Seal present, or parcel opened",
            "It was sent without a seal.",
            seal_fields(1, false, typed, faults),
        ));
    }
    folds.push(from_paper(typed, faults));
    folds
}

/// What came along and was not announced: it is asked above what was, since it is what needs a look.
pub fn extra_fold(typed: &TypedForm, faults: &[Fault]) -> Folded {
    let extra = fill(fields_under(ExtraForm::FIELDS, ""), typed, faults);
    Folded::new("An extra item was in the parcel", "", extra)
}

/// Seal and packing of each parcel. Whoever is to compare the seal does not read it here first.
pub fn parcel_words(handoff: &Handoff, hides_seals: bool) -> Vec<(String, String)> {
    let count = handoff.parcels.len();
    let waiting = handoff.waiting();
    let words = |(number, parcel): (u32, &Parcel)| {
        let mut words = Vec::new();
        match parcel.seal.as_str() {
            "" => words.push("no seal".to_owned()),
            _ if hides_seals && waiting.contains(&number) => {
                words.push("sealed: type the number on the seal".to_owned());
            }
            seal => words.push(format!("seal {seal}")),
        }
        if parcel.moist_bag {
            words.push("moist in a sealed bag".to_owned());
        }
        if parcel.hard_box {
            words.push("in a hard box".to_owned());
        }
        if !parcel.note.is_empty() {
            words.push(parcel.note.clone());
        }
        (format!("Parcel {number} of {count}"), words.join(", "))
    };
    (1..).zip(&handoff.parcels).map(words).collect()
}

/// A row for each thing that was sent.
pub fn receive_rows(
    work: &CaseWork,
    handoff: &Handoff,
    may_receive: bool,
    typed: &TypedForm,
    faults: &[Fault],
) -> Vec<ReceiveRow> {
    let outstanding = handoff.outstanding();
    let wanted = |tag| !may_receive || outstanding.contains(&tag);
    handoff
        .sent
        .iter()
        .filter(|sent| wanted(&sent.tag))
        .map(|sent| {
            let key = sent.tag.as_str();
            let item = work.item(&sent.tag);
            let found = handoff.found_item(&sent.tag);
            let under = format!("{key}.");
            let counted = fields_under(&[*FoundForm::pieces()], &under).into_iter();
            let listed = listed(work, handoff, &sent.tag).filter(|_| may_receive);
            let is_counted =
                sent.pieces.is_some() || listed.and_then(ListedThing::counted).is_some();
            let counted: Vec<FieldView> = counted.filter(|_| is_counted).collect();
            let specs = [
                *FoundForm::outcome(),
                *FoundForm::marked(),
                *FoundForm::note(),
            ];
            let otherwise = fill(fields_under(&specs, &under), typed, faults);
            let here = FieldView::under(FoundForm::here(), &under).filled(typed, faults);
            ReceiveRow {
                tag: sent.tag.to_string(),
                path_tag: key.to_owned(),
                title: item.map(Item::title).unwrap_or_default(),
                sent: sent_words(sent, handoff, listed),
                found: match found {
                    _ if handoff.written_off.contains(&sent.tag) => {
                        "missing, and written off as lost".to_owned()
                    }
                    _ if handoff.not_packed.contains(&sent.tag) => {
                        "missing: it had not been packed".to_owned()
                    }
                    None if handoff.voided.is_some() => match handoff.picked_up {
                        Some(_) => "brought back by the carrier".to_owned(),
                        None => "never left".to_owned(),
                    },
                    None if handoff.brought_back.contains(&sent.parcel()) => {
                        "brought back by the carrier".to_owned()
                    }
                    None => "not yet".to_owned(),
                    Some(found) => match found.pieces {
                        Some(pieces) => format!("{}, {pieces} counted", found.words(sent)),
                        None => found.words(sent),
                    },
                },
                here: here.is_ticked(),
                here_key: here.key,
                messages: here.messages,
                pieces: fill(counted, typed, faults),
                folded: Folded::new("Not as listed", "", otherwise),
            }
        })
        .collect()
}

/// What was typed of each item and of what came along, where it can be received no more.
pub fn unsaved_receipt(
    rows: &[ReceiveRow],
    extra: &Folded,
    folds: &[Folded],
) -> Vec<(String, String)> {
    let of_items = rows.iter().flat_map(|row: &ReceiveRow| {
        let fields = row.pieces.iter().chain(&row.folded.fields);
        let said = fields.flat_map(|field| unsaved(std::slice::from_ref(field)));
        said.map(|(label, text)| (format!("{} {}: {label}", row.title, row.tag), text))
    });
    let of_all = std::iter::once(extra).chain(folds);
    let of_all = of_all.flat_map(|fold| unsaved(&fold.fields));
    of_items.chain(of_all).collect()
}

fn sent_words(sent: &Sent, handoff: &Handoff, listed: Option<&ListedThing>) -> String {
    let condition = match sent.condition_words() {
        words if words.is_empty() => "sound".to_owned(),
        words => words,
    };
    let mut words = vec![condition];
    if handoff.parcels.len() > 1 {
        words.push(format!("parcel {}", sent.parcel()));
    }
    if let Some(pieces) = sent.pieces {
        words.push(format!("{pieces} pieces counted out"));
    }
    let listed = listed.map(ListedThing::words).unwrap_or_default();
    match listed.as_str() {
        "" => format!("{}.", words.join(", ")),
        listed => format!("{}. Listed: {listed}.", words.join(", ")),
    }
}
