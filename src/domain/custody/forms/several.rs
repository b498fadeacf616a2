//! Several things at once: registered, or disinfected and put somewhere, one entry for each.

use super::from_paper::FromPaper;
use super::registration::ItemPlace;
use super::release::ITEMS;
use super::shared::{TEXT_MOST, cleaning};
use crate::domain::custody::events::DisinfectedForm;
use crate::domain::form::{FieldSet, FieldSpec, Form, Kind, Raw, YesNo, command, rows_with, text};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;

command! {
    /// One thing of a set that is registered.
    SetRowForm;
    take: bool = Kind::Tick, "Register it", "";
    place: Option<ItemPlace> = Kind::Listed, "Where it is now", "";
}

command! {
    /// One thing of several.
    SeveralRowForm;
    take: bool = Kind::Tick, "This one", "";
}

command! {
    /// Where all that is ticked is put.
    PutForm;
    put: String = text(TEXT_MOST), "Put where", "Receiving, bench, oven, shelf. Empty where they stay where they are.";
}

/// An item to be registered: the key of its row, and what is said of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewItem {
    pub key: String,
    pub is_worn: bool,
}

/// A set to be registered, each item with its own entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetForm {
    /// In the order of their keys.
    pub things: Vec<NewItem>,
    pub cleaning: Option<DisinfectedForm>,
    pub put: String,
    /// How many things the page knew of, and whether one more is meant where there is one by now.
    pub shown: SetShownForm,
    pub from_paper: Option<FromPaper>,
}

/// The rows whose tick is set.
fn ticked<'a>(raw: &'a Raw, take: &'static FieldSpec) -> Vec<&'a str> {
    let is_ticked = |row: &&str| {
        let tick = raw.get(&format!("{row}.{}", take.key));
        tick.is_some_and(|tick| tick == YesNo::Yes.word())
    };
    rows_with(raw, take.key).filter(is_ticked).collect()
}

impl Form for SetForm {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet {
                under: "#.",
                fields: SetRowForm::FIELDS,
            },
            FieldSet::once(SetShownForm::FIELDS),
            FieldSet::once(DisinfectedForm::FIELDS),
            FieldSet::once(PutForm::FIELDS),
            FromPaper::FIELDS,
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<SetForm> {
        let mut things = Vec::new();
        for key in ticked(raw, SetRowForm::take()) {
            let form = SetRowForm::read_under(raw, &format!("{key}."), faults)?;
            // Of what is never worn nothing is asked.
            let place = format!("{key}.{}", SetRowForm::place().key);
            if raw.get(&place).is_some_and(|text| text.trim().is_empty()) {
                faults.push(Fault::new(place, "Say where it is now."));
            }
            things.push(NewItem {
                key: key.to_owned(),
                is_worn: form.place == Some(ItemPlace::Worn),
            });
        }
        if things.is_empty() {
            faults.push(Fault::new(ITEMS, "Tick at least one item to register."));
        }
        let cleaning = cleaning(raw, faults);
        let put = PutForm::read(raw, faults);
        let from_paper = FromPaper::read(raw, faults);
        let shown = SetShownForm::read(raw, faults);
        Some(SetForm {
            things,
            shown: shown?,
            cleaning,
            put: put?.put,
            from_paper,
        })
    }
}

command! {
    /// How much was there when the page was made, and what is asked where there is more by now.
    SetShownForm;
    set_shown: Option<u32> = Kind::Hidden, "", "";
    another: bool = Kind::Tick, "Register another all the same", "";
}

/// Things of the case that are disinfected, put somewhere, or both.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeveralForm {
    /// In the order of their tags.
    pub tags: Vec<Tag>,
    pub cleaning: Option<DisinfectedForm>,
    pub put: String,
    pub from_paper: Option<FromPaper>,
}

impl Form for SeveralForm {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet {
                under: "#.",
                fields: SeveralRowForm::FIELDS,
            },
            FieldSet::once(DisinfectedForm::FIELDS),
            FieldSet::once(PutForm::FIELDS),
            FromPaper::FIELDS,
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<SeveralForm> {
        let tags: Vec<Tag> = ticked(raw, SeveralRowForm::take())
            .into_iter()
            .filter_map(|row| Tag::parse(row).ok())
            .collect();
        if tags.is_empty() {
            faults.push(Fault::new(ITEMS, "Tick at least one item."));
        }
        let before = faults.len();
        let cleaning = cleaning(raw, faults);
        let put = PutForm::read(raw, faults)?.put;
        if cleaning.is_none() && put.is_empty() && faults.len() == before {
            let wanted = "Say what was done with them: a disinfection above, or the place here.";
            faults.push(Fault::new(PutForm::put().key, wanted));
        }
        let from_paper = FromPaper::read(raw, faults);
        Some(SeveralForm {
            tags,
            cleaning,
            put,
            from_paper,
        })
    }
}
