//! Registering an item: what it is, where it is, and how it came to be.

use super::from_paper::FromPaper;
use super::shared::{PIECES_MOST, TEXT_MOST};
use crate::domain::custody::common_refusals::ONLY_A_DENTURE_IS_WORN;
use crate::domain::custody::events::Made;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::item_file::FileFacts;
use crate::domain::form::{
    Day, FieldSet, Form, Kind, Raw, choices, command, name, rows_with, text, whole,
};
use crate::domain::prescription::{
    FILE_HASH_HINT, FILE_NAME_HINT, FileFormat, FileUnits, UNITS_HINT,
};
use crate::domain::values::arch::Arch;
use crate::domain::values::digest::FileHash;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;

/// Longer than any pot is kept closed.
const POT_MINUTES_MOST: i64 = 600;

choices! {
    /// Where a new item is.
    ItemPlace { Here = "here", "here, in our hands"; Worn = "worn", "in the patient’s mouth"; }
}

impl ItemPlace {
    /// Where a denture mostly is when it is registered: the patient comes with the provisional in the mouth, and what was
    /// made for it lies here. Common practice, no source.
    pub fn usual(kind: ItemKind) -> ItemPlace {
        match kind {
            ItemKind::Provisional => ItemPlace::Worn,
            _ => ItemPlace::Here,
        }
    }
}

command! {
    /// What the form asks for.
    RegistrationForm;
    item_kind: ItemKind = ItemKind::KIND, "What it is", "A denture that the patient wears until the new one is made is a provisional denture, also where it is an older one. An old denture is one that never goes back into the mouth.", needed "Choose what it is.";
    arch: Option<Arch> = Arch::KIND, "Arch", "Needed for dentures, impressions, rims and casts.";
    place: Option<ItemPlace> = Kind::Listed, "Where it is now", "";
    pieces: Option<u32> = whole(1, PIECES_MOST, ""), "Number of pieces", "One if left empty.";
    note: String = text(300), "Note", "Material, maker, marks. Nothing about the person.";
    borrowed: bool = Kind::Tick, "Lent by us, and due back", "";
    due_back: Option<Day> = Kind::Date, "Due back on", "";
    made_how: String = text(TEXT_MOST), "How", "Such as: poured, mounted, copied in a closed flask.";
    material: String = text(TEXT_MOST), "Material", "";
    lot: String = name(TEXT_MOST), "Lot number", "";
    pot_minutes: Option<u32> = whole(0, POT_MINUTES_MOST, "min"), "Time in the pressure pot", "";
    maker: String = name(TEXT_MOST), "Made by", "If it was not you.";
    made_why: String = text(TEXT_MOST), "Reason for this material although it is to be avoided", "";
    file_name: String = text(120), "File name", FILE_NAME_HINT;
    file_format: Option<FileFormat> = FileFormat::KIND, "Format", "";
    file_units: Option<FileUnits> = FileUnits::KIND, "Units", UNITS_HINT;
    file_sha256: Option<FileHash> = Kind::Hash, "SHA-256", FILE_HASH_HINT;
}

/// A registration as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Registration {
    pub form: RegistrationForm,
    pub made: Option<Made>,
    pub file: Option<FileFacts>,
    pub from_paper: Option<FromPaper>,
}

impl Registration {
    pub fn is_worn(&self) -> bool {
        self.form.place == Some(ItemPlace::Worn)
    }
}

impl Form for Registration {
    fn field_sets() -> Vec<FieldSet> {
        vec![FieldSet::once(RegistrationForm::FIELDS), FromPaper::FIELDS]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<Registration> {
        let form = RegistrationForm::read(raw, faults);
        let from_paper = FromPaper::read(raw, faults);
        let form = form?;
        let mut fault = |key: &str, wanted: &str| faults.push(Fault::new(key, wanted));
        if form.item_kind.needs_arch() && form.arch.is_none() {
            fault(
                RegistrationForm::arch().key,
                "Say upper or lower: each is an item of its own.",
            );
        }
        if form.place == Some(ItemPlace::Worn) && !form.item_kind.is_denture() {
            fault(RegistrationForm::place().key, ONLY_A_DENTURE_IS_WORN);
        }
        if form.due_back.is_some() && !form.borrowed {
            fault(
                RegistrationForm::due_back().key,
                "Tick that it is on loan, or leave the day out.",
            );
        }
        let file = FileFacts {
            name: form.file_name.clone(),
            format: form.file_format,
            units: form.file_units,
            sha256: form.file_sha256.clone(),
        };
        let file = Some(file).filter(|file| *file != FileFacts::default());
        if file.is_some() && form.item_kind != ItemKind::Scan {
            fault(
                RegistrationForm::file_name().key,
                "Only a scan file has these: choose that kind, or leave them empty.",
            );
        }
        let from = rows_with(raw, "from").filter_map(|tag| Tag::parse(tag).ok());
        let made = Made {
            from: from.collect(),
            how: form.made_how.clone(),
            material: form.material.clone(),
            lot: form.lot.clone(),
            pot_minutes: form.pot_minutes,
            maker: form.maker.clone(),
            avoided_why: form.made_why.clone(),
        };
        let made = Some(made).filter(|made| *made != Made::default());
        Some(Registration {
            form,
            made,
            file,
            from_paper,
        })
    }
}
