//! Things for the mouth whose material the patient is to be kept from: told wherever they are registered, sent, received,
//! fitted or kept as the spare.

use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use crate::domain::custody::events::{Fitted, Registered};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{ToBeAvoided, Wait, What};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;

/// Whether what a thing of this kind is made of lies in the mouth.
pub fn is_for_the_mouth(kind: ItemKind) -> bool {
    kind.is_wearable() || kind.is_made_for_the_mouth()
}

/// What is to be avoided by the revision in force and by the card; by the card alone where nothing is signed.
fn avoided(work: &CaseWork) -> Option<ToBeAvoided> {
    match work.signed.newest() {
        Some((_, document)) => Some(ToBeAvoided::by(document, work.card.as_ref())),
        None => work.card_now().map(|card| ToBeAvoided::by_card(&card)),
    }
}

/// What a material names that is to be avoided, in a sentence.
pub fn avoided_in(work: &CaseWork, material: &str) -> Option<String> {
    avoided(work)?.in_material(material)
}

/// How a thing was registered.
fn registered<'a>(work: &'a CaseWork, tag: &Tag) -> Option<&'a Registered> {
    work.events.iter().find_map(|event| match &event.what {
        What::Registered(one) if one.tag == *tag => Some(one),
        _ => None,
    })
}

/// Of what it was made, as its entry says; empty where nobody has said it.
fn material_of<'a>(work: &'a CaseWork, tag: &Tag) -> &'a str {
    let made = registered(work, tag).and_then(|one| one.made.as_ref());
    made.map_or("", |made| made.material.trim())
}

/// What the material of a thing names that is to be avoided, in a sentence.
fn found_in(work: &CaseWork, tag: &Tag) -> Option<String> {
    let item = work.item(tag)?;
    let is_it = is_for_the_mouth(item.kind) && work.is_there(tag);
    is_it.then(|| avoided_in(work, material_of(work, tag)))?
}

/// The same with the thing before it.
pub fn avoided_words(work: &CaseWork, tag: &Tag) -> Option<String> {
    let sentence = found_in(work, tag)?;
    Some(format!("{}: {sentence}", title_and_tag(work, tag)))
}

/// Whether something is to be avoided, and nobody has said of what a thing is made.
pub fn is_material_unknown(work: &CaseWork, tag: &Tag) -> bool {
    material_of(work, tag).is_empty() && avoided(work).is_some_and(|all| all.is_any())
}

/// Whether somebody has said why it is in the mouth all the same.
fn is_let_stand(work: &CaseWork, tag: &Tag) -> bool {
    let is_said = |what: &What| match what {
        What::Fitted(Fitted {
            tag: fitted,
            avoided_why,
            ..
        }) => fitted == tag && !avoided_why.is_empty(),
        What::Registered(Registered {
            tag: new,
            made: Some(made),
            worn: true,
            ..
        }) => new == tag && !made.avoided_why.is_empty(),
        _ => false,
    };
    work.events.iter().any(|event| is_said(&event.what))
}

/// What each such thing asks of the office, where nobody has let it stand in the mouth.
pub fn avoided_waits(work: &CaseWork) -> Vec<Wait> {
    let wait = |item: &Item| {
        let why = found_in(work, &item.tag)?;
        let is_worn = work.state.item(&item.tag).is_some_and(|state| state.worn);
        if is_worn && is_let_stand(work, &item.tag) {
            return None;
        }
        Some(Wait {
            items: vec![item.tag.clone()],
            beside: false,
            side: Side::Office,
            to_do: match is_worn {
                true => "make another, fit it, and take this one out",
                false => "look whether it may go into the mouth, or have another made",
            },
            why: why.trim_end_matches('.').to_owned(),
        })
    };
    work.items.iter().filter_map(wait).collect()
}
