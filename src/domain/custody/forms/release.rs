//! Handing over: what goes, in which parcels, with whom and what for.

use super::from_paper::FromPaper;
use super::shared::{PIECES_MOST, TEXT_MOST, cleaning};
use crate::domain::custody::events::DisinfectedForm;
use crate::domain::custody::parcel::{Parcel, Sent};
use crate::domain::custody::purpose::Purpose;
use crate::domain::form::{
    FieldSet, Form, Kind, Proof, Raw, Secret, command, name, rows_with, text, whole,
};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;

/// Parcels that one release may have.
pub const PARCELS_MOST: u32 = 4;

/// Under this key stands what is said of the ticks of items as a whole: they have no box in common.
pub const ITEMS: &str = "items";

command! {
    /// With whom it goes, and what for.
    CarriageForm;
    carrier: String = name(TEXT_MOST), "Carrier", "The courier, the post, or the person who takes it along.", needed "Name who carries it: a courier, the post, or one of your staff.";
    purpose_code: Purpose = Purpose::KIND, "Reason for sending", "", needed "Choose the reason for sending.";
    purpose: String = text(TEXT_MOST), "Details", "Such as: final upper and lower; only the fork goes back.";
    tracking: String = name(TEXT_MOST), "Tracking number", "";
}

command! {
    /// A carrier who stands there already.
    TakenNowForm;
    taken_now: bool = Kind::Tick, "The carrier takes it now", "Or one of your staff takes it along. Without this tick it is packed and waits here for the carrier, and you enter the pick-up when it leaves.";
    taken_by: String = name(100), "Name or initials of who takes it", "As the carrier's person gives them.";
}

command! {
    /// One item of the house.
    SentForm;
    take: bool = Kind::Tick, "Goes along", "";
    pieces: Option<u32> = whole(0, PIECES_MOST, ""), "Pieces, counted out", "";
    condition: String = text(TEXT_MOST), "Condition as it leaves", "Empty means sound.";
    set_right: bool = Kind::Tick, "Set right since: it is sound again", "";
    parcel: Option<u32> = whole(1, PARCELS_MOST as i64, ""), "Parcel", "The first, if left empty.";
}

command! {
    /// One parcel.
    ParcelForm;
    seal: String = name(TEXT_MOST), "Seal number", "";
    moist: bool = Kind::Tick, "Moist, in a sealed bag", "";
    hard: bool = Kind::Tick, "In a hard box", "";
    note: String = text(TEXT_MOST), "Note on the packing", "";
}

command! {
    /// What leaves or comes out against a rule that lets the dentist sign for it.
    ExceptionForm;
    reason: String = text(TEXT_MOST), "Why it must be all the same", "";
}

command! {
    /// What is asked before something leaves that the other side will miss something of.
    SendAnywayForm;
    stays: bool = Kind::Tick, "Send it anyway: what is listed and stays here follows later", "";
    unread: bool = Kind::Tick, "Send the work anyway: it is as the newest revision asks", "";
    older: bool = Kind::Tick, "It was made before that, and it is as the newest revision asks", "";
    as_it_comes: bool = Kind::Tick, "The lab works from it as it comes", "";
    unfinished: bool = Kind::Tick, "It is finished: the steps that are not entered were done", "";
    not_asked: bool = Kind::Tick, "Send it anyway, though the prescription does not ask for it", "";
    unmade: bool = Kind::Tick, "Send it anyway: what is ordered follows later", "";
    avoided: bool = Kind::Tick, "Send it anyway: the office knows what it is made of", "";
    copied: bool = Kind::Tick, "Send it anyway: what was copied follows later", "";
    corrected: bool = Kind::Tick, "It goes all the same: what was corrected since is known", "";
    vain: bool = Kind::Tick, "The carrier has it, though the work is canceled", "";
}

/// A release as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReleaseForm {
    /// The ticked items, in the order of their keys.
    pub items: Vec<Sent>,
    /// One entry for every ticked item that has none; none where nothing was typed.
    pub cleaning: Option<DisinfectedForm>,
    pub carriage: CarriageForm,
    /// Who takes it along at once; empty where it waits for the carrier.
    pub taken_by: String,
    pub parcels: Vec<Parcel>,
    pub from_paper: Option<FromPaper>,
    /// Why something leaves against the rule of the covered mouth; mostly empty.
    pub exception: String,
    /// What was asked and answered.
    pub anyway: SendAnywayForm,
    pub password: Secret,
}

impl Form for ReleaseForm {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet::once(CarriageForm::FIELDS),
            FieldSet::once(TakenNowForm::FIELDS),
            FieldSet {
                under: "parcel.#.",
                fields: ParcelForm::FIELDS,
            },
            FieldSet {
                under: "#.",
                fields: SentForm::FIELDS,
            },
            FieldSet::once(DisinfectedForm::FIELDS),
            FromPaper::FIELDS,
            FieldSet::once(ExceptionForm::FIELDS),
            FieldSet::once(SendAnywayForm::FIELDS),
            FieldSet::once(Proof::FIELDS),
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<ReleaseForm> {
        let items = sent(raw, faults);
        if items.is_empty() {
            faults.push(Fault::new(ITEMS, "Tick at least one item to hand over."));
        }
        let cleaning = cleaning(raw, faults);
        let carriage = CarriageForm::read(raw, faults);
        if carriage
            .as_ref()
            .is_some_and(|form| form.purpose_code.needs_words() && form.purpose.is_empty())
        {
            let wanted = "Say in a few words what it goes there for.";
            faults.push(Fault::new(CarriageForm::purpose().key, wanted));
        }
        let taken = TakenNowForm::read(raw, faults);
        faults.extend(taken.as_ref().and_then(half_taken));
        let parcels = parcels(raw, &items, faults);
        let from_paper = FromPaper::read(raw, faults);
        let exception = ExceptionForm::read(raw, faults);
        let anyway = SendAnywayForm::read(raw, faults);
        Some(ReleaseForm {
            items,
            cleaning,
            carriage: carriage?,
            taken_by: taken?.taken_by,
            parcels,
            from_paper,
            exception: exception?.reason,
            anyway: anyway?,
            password: Proof::read(raw, faults)?.password,
        })
    }
}

impl ReleaseForm {
    /// Puts the items into the order of the case, leaves out what is none of it, and says what it lacks there.
    /// `known` says of how many pieces an item consisted when it was last counted, and whether it was found sound.
    ///
    /// # Errors
    /// The messages beside the fields.
    pub fn in_case(
        mut self,
        side: Side,
        items: &[&Tag],
        known: impl Fn(&Tag) -> (u32, bool),
    ) -> Result<ReleaseForm, Vec<Fault>> {
        let place = |tag: &Tag| items.iter().position(|one| *one == tag);
        self.items.retain(|sent| place(&sent.tag).is_some());
        self.items.sort_by_key(|sent| place(&sent.tag));
        let mut faults = Vec::new();
        if self.items.is_empty() {
            faults.push(Fault::new(ITEMS, "Tick at least one item to hand over."));
        }
        if !Purpose::of(side).contains(&self.carriage.purpose_code) {
            faults.push(Fault::new(
                CarriageForm::purpose_code().key,
                "Choose the reason for sending.",
            ));
        }
        for sent in &self.items {
            let (pieces, is_sound) = known(&sent.tag);
            let mut fault = |part: &str, wanted: &str| {
                faults.push(Fault::new(format!("{}.{part}", sent.tag.as_str()), wanted));
            };
            if !is_sound && !sent.set_right && sent.condition.is_empty() {
                let wanted = "It was found damaged, or not as described: say how it leaves, or tick that it is set right.";
                fault(SentForm::condition().key, wanted);
            }
            if sent.pieces.is_none() && pieces > 1 {
                let wanted = "Count the pieces: the other side counts them too.";
                fault(SentForm::pieces().key, wanted);
            }
        }
        if faults.is_empty() {
            Ok(self)
        } else {
            Err(faults)
        }
    }
}

/// A tick without a name, or a name without the tick: nobody can say which of both was meant.
fn half_taken(form: &TakenNowForm) -> Option<Fault> {
    match (form.taken_now, form.taken_by.is_empty()) {
        (true, true) => Some(Fault::new(
            TakenNowForm::taken_by().key,
            "Write the name or the initials of who takes it now.",
        )),
        (false, false) => Some(Fault::new(
            TakenNowForm::taken_now().key,
            "Tick that the carrier takes it now, or leave the name below empty.",
        )),
        _ => None,
    }
}

fn sent(raw: &Raw, faults: &mut Vec<Fault>) -> Vec<Sent> {
    let take = SentForm::take().key;
    let is_ticked = |row: &&str| {
        raw.get(&format!("{row}.{take}"))
            .is_some_and(|tick| tick == "yes")
    };
    let tags = rows_with(raw, take)
        .filter(is_ticked)
        .filter_map(|row| Tag::parse(row).ok());
    let read = |tag: Tag| {
        let form = SentForm::read_under(raw, &format!("{}.", tag.as_str()), faults);
        // What is wrong with its row is noted: it is ticked all the same.
        let (condition, set_right, parcel, pieces) = match form {
            Some(form) => (
                form.condition,
                form.set_right,
                form.parcel.unwrap_or(1),
                form.pieces,
            ),
            None => (String::new(), false, 1, None),
        };
        Sent {
            tag,
            condition,
            set_right,
            parcel,
            pieces,
        }
    };
    tags.map(read).collect()
}

/// The parcels up to the last one that an item lies in. What is typed of another one is a fault: its item was
/// forgotten.
fn parcels(raw: &Raw, sent: &[Sent], faults: &mut Vec<Fault>) -> Vec<Parcel> {
    let used = sent.iter().map(Sent::parcel).max().unwrap_or(1);
    let mut parcels = Vec::new();
    for number in 1..=PARCELS_MOST {
        let under = format!("parcel.{number}.");
        let form = ParcelForm::read_under(raw, &under, faults);
        let parcel = form.map_or_else(Parcel::default, |form| Parcel {
            seal: form.seal,
            moist_bag: form.moist,
            hard_box: form.hard,
            note: form.note,
        });
        if number <= used {
            parcels.push(parcel);
        } else if parcel != Parcel::default() {
            let message = format!("No item lies in parcel {number}: say of an item that it does.");
            faults.push(Fault::new(format!("{under}seal"), message));
        }
    }
    parcels
}
