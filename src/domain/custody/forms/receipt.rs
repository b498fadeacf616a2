//! Receiving: how each parcel came, and what was found of each item.

use super::from_paper::FromPaper;
use super::shared::{PIECES_MOST, TEXT_MOST};
use crate::domain::custody::common_refusals::SAY_WHAT_IS_DAMAGED;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::hold::{Trouble, seal_trouble};
use crate::domain::custody::parcel::{Found, Outcome, ParcelFound, SealFound};
use crate::domain::form::{
    FieldSet, Form, Kind, Proof, Raw, Secret, YesNo, command, name, rows_with, text, whole,
};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{Code, Tag};
use std::collections::BTreeMap;

command! {
    /// One item of the handoff.
    FoundForm;
    here: bool = Kind::Tick, "Tag checked against the item", "";
    pieces: Option<u32> = whole(0, PIECES_MOST, ""), "Pieces, counted in", "Count before you compare.";
    outcome: Option<Outcome> = Outcome::KIND, "What you found", "";
    marked: Option<YesNo> = Kind::Choice(&[("yes", "yes"), ("no", "no")]), "Came marked as disinfected?", "Leave it empty if it is missing.";
    note: String = text(TEXT_MOST), "Note", "Needed where it is damaged or not as described.";
}

command! {
    /// One parcel of the handoff.
    ParcelFoundForm;
    seal: Option<SealFound> = SealFound::KIND, "The parcel and its seal", "";
    number: String = name(TEXT_MOST), "Number on the seal", "As you read it: it is compared with the one that was sent.";
    asked_number: String = Kind::Hidden, "", "";
    again: bool = Kind::Tick, "I have read it once more: this is the number on the seal", "The work is then on hold until the sender has said how that came about.";
}

command! {
    /// What else lay in a parcel.
    ExtraForm;
    unannounced: String = text(TEXT_MOST), "Anything else in the parcel", "Describe it; put it aside and tell the sender.";
    foreign: String = name(TEXT_MOST), "The code on it", "If it carries a tag or a case number.";
}

/// A code is one with its check character, so that it can be looked up; any other number is told in words.
fn no_code(form: &ExtraForm) -> Option<Fault> {
    if form.foreign.is_empty() {
        return None;
    }
    let why = Code::parse_any(&form.foreign).err()?;
    let sentence = format!("{why} A number of another kind belongs into the words above.");
    Some(Fault::new(ExtraForm::foreign().key, sentence))
}

/// A scan may have put a code there: what all is as described of is not what carries another code.
fn not_said(form: &ExtraForm) -> Option<Fault> {
    let is_described = form.foreign.is_empty() || !form.unannounced.is_empty();
    let wanted =
        "A code was scanned that is of no item here: describe what carries it, or empty the code.";
    (!is_described).then(|| Fault::new(ExtraForm::unannounced().key, wanted))
}

/// A receipt as typed; what it has to say hangs on the handoff.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReceiptForm {
    items: BTreeMap<String, FoundForm>,
    parcels: BTreeMap<u32, ParcelFoundForm>,
    /// Everything is here and as described, but for what is said at its item.
    is_all: bool,
    pub extra: ExtraForm,
    pub from_paper: Option<FromPaper>,
    pub password: Secret,
}

impl Form for ReceiptForm {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet {
                under: "parcel.#.",
                fields: ParcelFoundForm::FIELDS,
            },
            FieldSet {
                under: "#.",
                fields: FoundForm::FIELDS,
            },
            FieldSet::once(ExtraForm::FIELDS),
            FromPaper::FIELDS,
            FieldSet::once(Proof::FIELDS),
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<ReceiptForm> {
        let mut items = BTreeMap::new();
        let rows = FoundForm::FIELDS
            .iter()
            .flat_map(|spec| rows_with(raw, spec.key));
        for row in rows.filter(|row| !row.contains('.')) {
            if !items.contains_key(row) {
                let form = FoundForm::read_under(raw, &format!("{row}."), faults)?;
                items.insert(row.to_owned(), form);
            }
        }
        let mut parcels = BTreeMap::new();
        let rows = ParcelFoundForm::FIELDS
            .iter()
            .flat_map(|spec| rows_with(raw, spec.key));
        for row in rows {
            let number = row
                .strip_prefix("parcel.")
                .and_then(|number| number.parse().ok());
            let Some(number) = number.filter(|number| !parcels.contains_key(number)) else {
                continue;
            };
            parcels.insert(
                number,
                ParcelFoundForm::read_under(raw, &format!("{row}."), faults)?,
            );
        }
        let extra = ExtraForm::read(raw, faults);
        faults.extend(extra.as_ref().and_then(no_code));
        let is_all = raw.get("go").is_some_and(|go| go == "all");
        faults.extend(extra.as_ref().filter(|_| is_all).and_then(not_said));
        let from_paper = FromPaper::read(raw, faults);
        Some(ReceiptForm {
            items,
            parcels,
            is_all,
            extra: extra?,
            from_paper,
            password: Proof::read(raw, faults)?.password,
        })
    }
}

impl FoundForm {
    /// Of an item of which nothing is said.
    fn nothing() -> FoundForm {
        FoundForm {
            here: false,
            pieces: None,
            outcome: None,
            marked: None,
            note: String::new(),
        }
    }
}

impl ReceiptForm {
    /// How each awaited parcel came, and what was found of each item that is awaited in a parcel that is here. `listed` says
    /// of how many pieces the prescription says that a thing is.
    ///
    /// # Errors
    /// The messages beside the fields.
    pub fn of(
        &self,
        handoff: &Handoff,
        listed: &BTreeMap<Tag, u32>,
    ) -> Result<(Vec<ParcelFound>, Vec<Found>), Vec<Fault>> {
        let mut faults = Vec::new();
        let waiting = handoff.waiting();
        let parcels: Vec<ParcelFound> = waiting
            .into_iter()
            .filter_map(|number| self.parcel(handoff, number, &mut faults))
            .collect();
        let is_away = |tag: &Tag| {
            parcels
                .iter()
                .any(|one| one.seal == SealFound::NotHere && one.parcel == handoff.parcel_of(tag))
        };
        let awaited = handoff
            .outstanding()
            .into_iter()
            .filter(|tag| !is_away(tag));
        // What was said to be missing is asked for again only where nothing else can have come.
        let (missed, new): (Vec<&Tag>, Vec<&Tag>) =
            awaited.partition(|tag| handoff.was_missed(tag));
        let is_described = |tag: &Tag| {
            let form = self.items.get(tag.as_str());
            form.is_some_and(|form| form.here || form.outcome.is_some() || !form.note.is_empty())
        };
        let is_any =
            !new.is_empty() || !parcels.is_empty() || missed.iter().any(|tag| is_described(tag));
        let missed = missed
            .into_iter()
            .filter(|tag| !is_any || is_described(tag));
        let items = (new.into_iter().chain(missed))
            .filter_map(|tag| self.item(handoff, (tag, listed.get(tag).copied()), &mut faults))
            .collect();
        if faults.is_empty() {
            Ok((parcels, items))
        } else {
            Err(faults)
        }
    }

    /// A parcel that was sent alone and without a seal, and of which nothing is said, came without one.
    fn parcel(
        &self,
        handoff: &Handoff,
        number: u32,
        faults: &mut Vec<Fault>,
    ) -> Option<ParcelFound> {
        let form = self.parcels.get(&number);
        let said = form.and_then(|form| form.seal);
        let sent = (1..)
            .zip(&handoff.parcels)
            .find(|(place, _)| *place == number);
        let is_plain =
            handoff.parcels.len() == 1 && sent.is_some_and(|(_, parcel)| parcel.seal.is_empty());
        let Some(seal) = said.or(is_plain.then_some(SealFound::None)) else {
            let wanted = "Say how this parcel and its seal came.";
            faults.push(Fault::new(format!("parcel.{number}.seal"), wanted));
            return None;
        };
        let read = form.map(|form| form.number.clone()).unwrap_or_default();
        if seal == SealFound::Intact && read.is_empty() {
            let wanted = "Type the number that you read on the seal: it is compared with the one that was sent.";
            faults.push(Fault::new(format!("parcel.{number}.number"), wanted));
        }
        let sent = sent.map(|(_, parcel)| parcel.seal.as_str());
        let trouble = seal_trouble(sent.unwrap_or_default(), seal, &read);
        // A tick answers for the number that it was asked about.
        let is_confirmed = form.is_some_and(|form| form.again && form.asked_number == read);
        if trouble == Some(Trouble::OtherSeal) && !read.is_empty() && !is_confirmed {
            let wanted = "This is not the number that was sent: read it once more on the seal.";
            faults.push(Fault::new(format!("parcel.{number}.again"), wanted));
        }
        Some(ParcelFound {
            parcel: number,
            seal,
            number: read,
        })
    }

    fn item(
        &self,
        handoff: &Handoff,
        (tag, listed): (&Tag, Option<u32>),
        faults: &mut Vec<Fault>,
    ) -> Option<Found> {
        let mut fault = |part: &str, wanted: &str| {
            faults.push(Fault::new(format!("{}.{part}", tag.as_str()), wanted));
        };
        let nothing = FoundForm::nothing();
        let form = self.items.get(tag.as_str()).unwrap_or(&nothing);
        // One answer stands for what is in hand and of which nothing else is said.
        let is_all = self.is_all && !handoff.was_missed(tag);
        let is_here = form.here || (is_all && form.outcome != Some(Outcome::Missing));
        // A note says that something is to be said: what was found is said with it.
        let is_noted = form.outcome.is_none() && !form.note.is_empty();
        // A tick alone says the same of its own item.
        let is_all = self.is_all || (form.here && form.outcome.is_none());
        let is_plain = is_here && is_all && !is_noted;
        let sound = is_plain.then_some(Outcome::Sound);
        let Some(outcome) = form.outcome.or(sound) else {
            fault(
                FoundForm::outcome().key,
                "Say what you found: sound, damaged, not as described, or missing.",
            );
            return None;
        };
        let is_missing = outcome == Outcome::Missing;
        if is_missing && form.here {
            fault(
                FoundForm::outcome().key,
                "It is ticked as being in your hand: untick it, or say what you found.",
            );
        }
        if matches!(outcome, Outcome::Damaged | Outcome::NotAsDescribed) && form.note.is_empty() {
            fault(FoundForm::note().key, SAY_WHAT_IS_DAMAGED);
        }
        if !is_missing && !is_here {
            fault(
                FoundForm::here().key,
                "Compare its tag with the item in your hand, and tick that; a scan of its tag does both.",
            );
        }
        let marked = form.marked.or(is_plain.then_some(YesNo::Yes));
        if !is_missing && marked.is_none() {
            fault(
                FoundForm::marked().key,
                "Say whether it came marked as disinfected.",
            );
        }
        let sent = handoff.sent_item(tag);
        let was_counted = sent.is_some_and(|sent| sent.pieces.is_some());
        if !is_missing && was_counted && form.pieces.is_none() {
            fault(FoundForm::pieces().key, "Count the pieces that are there.");
        }
        // What was counted out is held against that; otherwise the list says how many there are.
        let listed = listed.filter(|_| !is_missing && !was_counted);
        if let Some(listed) = listed {
            match form.pieces {
                None => fault(
                    FoundForm::pieces().key,
                    &format!("{listed} pieces listed: how many came?"),
                ),
                Some(came) if came != listed && outcome == Outcome::Sound => fault(
                    FoundForm::outcome().key,
                    &format!(
                        "{listed} pieces are listed, and {came} came: say what is not as described."
                    ),
                ),
                Some(_) => {}
            }
        }
        let counted = listed.zip(form.pieces);
        let counted =
            counted.map(|(listed, came)| format!("{came} of {listed} listed pieces came"));
        let said = counted.into_iter().chain(Some(form.note.clone()));
        let said: Vec<String> = said.filter(|words| !words.is_empty()).collect();
        Some(Found {
            tag: tag.clone(),
            outcome,
            marked_disinfected: !is_missing && marked == Some(YesNo::Yes),
            note: said.join(". "),
            // What is joined again is no piece less: only what was counted out goes on being counted.
            pieces: form.pieces.filter(|_| was_counted && !is_missing),
        })
    }
}
