//! A worn or provisional denture was changed at the chair.
//!
//! What the mouth teaches over months lies in these entries: each says what was changed, where and by how much,
//! and why. Parts and directions are those of the prescription's change list, complaints those of the list of
//! complaints, so that a pattern can be told from its log.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, FromCase, Named, Sentence};
use super::phrases::prefixed;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::questions::{Matter, Question};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Holder;
use crate::domain::form::{Day, FieldSpec, Kind, Raw, choices, command, mm, name, text};
use crate::domain::people::party::Side;
use crate::domain::prescription::{ChangedPart, Direction};
use crate::domain::trade::complaint::{COMPLAINT_CHOICES, complaint};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::Mm;
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::{Numbering, Tooth};
use serde::{Deserialize, Serialize};
use time::Date;

choices! {
    /// What was done to a denture at the chair. Common practice, no source.
    Adjustment {
        BlockMoved = "block_moved", "bite block moved";
        ToothMoved = "tooth_moved", "tooth moved";
        ToothAdded = "tooth_added", "tooth added";
        ToothTakenAway = "tooth_taken_away", "tooth taken away";
        SurfaceRenewed = "surface_renewed", "fitting surface renewed";
        Relined = "relined", "relined";
        BiteRaised = "bite_raised", "bite raised";
        BiteLowered = "bite_lowered", "bite lowered";
        EdgeRounded = "edge_rounded", "edge rounded";
        Other = "other", "other (describe)";
    }
}

impl Adjustment {
    /// Whether single teeth were moved, added or taken away.
    pub fn is_of_teeth(self) -> bool {
        matches!(
            self,
            Adjustment::ToothMoved | Adjustment::ToothAdded | Adjustment::ToothTakenAway
        )
    }

    /// Whether teeth or blocks are in another place since, or not there any more.
    pub fn moves_teeth(self) -> bool {
        self.is_of_teeth() || self == Adjustment::BlockMoved
    }

    /// Whether the height of the bite was changed.
    pub fn is_of_height(self) -> bool {
        matches!(self, Adjustment::BiteRaised | Adjustment::BiteLowered)
    }

    /// Whether it may have been: what nobody named may be anything.
    pub fn may_be_of_height(self) -> bool {
        self.is_of_height() || self == Adjustment::Other
    }
}

/// The tooth as it was chosen, in ISO 3950; none where none was, if it need not be named.
fn read_tooth(
    done: Adjustment,
    part: Option<ChangedPart>,
    chosen: &str,
    faults: &mut Vec<Fault>,
) -> Option<Option<Tooth>> {
    let mut fault = |message: &str| {
        faults.push(Fault::new(AdjustedForm::tooth().key, message));
        None
    };
    match Tooth::try_from(chosen.to_owned()) {
        Ok(_) if !done.is_of_teeth() => fault(
            "Only where a tooth was moved, added or taken away: leave this empty, or choose that above.",
        ),
        Ok(tooth) => Some(Some(tooth)),
        Err(_) if !chosen.is_empty() => fault("Choose one of the list."),
        Err(_) if done.is_of_teeth() && part == Some(ChangedPart::Tooth) => {
            fault("Choose which tooth it was.")
        }
        Err(_) if done.is_of_teeth() && part.is_none() => {
            fault("Choose which tooth it was, or say under “Where” which teeth.")
        }
        Err(_) => Some(None),
    }
}

/// Changed at the chair.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adjusted {
    pub tag: Tag,
    pub done: Adjustment,
    /// The day of the visit, where it is not the day of the entry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub day: Option<Day>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<ChangedPart>,
    /// Which tooth, where one was moved, added or taken away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tooth: Option<Tooth>,
    /// How the office counts teeth, so that the entry reads the same for both sides and for ever.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub numbering: Option<Numbering>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub direction: Option<Direction>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mm: Option<Mm>,
    /// The number in the list of complaints.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub complaint: Option<u8>,
    /// What the patient said, and what else there is to say.
    pub said: String,
    /// The lab is to read what the patient said.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub tell_lab: bool,
    pub material: String,
}

command! {
    /// What the form asks for.
    AdjustedForm;
    done: Option<Adjustment> = Adjustment::KIND, "What was done", "", needed "Choose what was done.";
    part: Option<ChangedPart> = ChangedPart::KIND, "Where", "";
    tooth: String = Kind::Listed, "Which tooth", "Only where one tooth was moved, added or taken away.";
    direction: Option<Direction> = Direction::KIND, "Which way", "Seen from the patient.";
    mm: Option<Mm> = mm(0, 30), "By", "";
    complaint: Option<u32> = Kind::Choice(COMPLAINT_CHOICES), "Because of", "";
    said: String = text(500), "What the patient said", "Nothing that names anybody.";
    tell_lab: bool = Kind::Tick, "The lab is to read what the patient said", "";
    material: String = name(200), "Material", "";
    day: Option<Day> = Kind::Date, "Day of the visit", "If it was not today.";
}

impl Adjusted {
    /// What was done to a thing, with nothing said beside it.
    pub fn of(tag: Tag, done: Adjustment) -> Adjusted {
        Adjusted {
            tag,
            done,
            day: None,
            part: None,
            tooth: None,
            numbering: None,
            direction: None,
            mm: None,
            complaint: None,
            said: String::new(),
            tell_lab: false,
            material: String::new(),
        }
    }
}

impl ItemAction for Adjusted {
    const ACTION: &'static str = "adjust";
    const LABEL: &'static str = "Adjusted at the chair";
    const HINT: &'static str = "What was changed on it in the mouth, where, by how much and why.";
    const FIELDS: &'static [FieldSpec] = AdjustedForm::FIELDS;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Adjusted> {
        let form = AdjustedForm::read(raw, faults)?;
        let done = form.done?;
        let tooth = read_tooth(done, form.part, &form.tooth, faults)?;
        Some(Adjusted {
            tag: tag.clone(),
            done,
            day: form.day,
            part: form.part,
            tooth,
            numbering: None,
            direction: form.direction,
            mm: form.mm,
            complaint: form.complaint.and_then(|number| u8::try_from(number).ok()),
            said: form.said,
            tell_lab: form.tell_lab,
            material: form.material,
        })
    }

    fn example(about: &Subject<'_>) -> Adjusted {
        Adjusted::of(about.tag.clone(), Adjustment::EdgeRounded)
    }
}

impl Constants for Adjusted {
    const WORD: &'static str = "adjusted";
    const MISTAKEN: Option<&'static str> = Some("adjusted at the chair");
    const OPEN: &'static [&'static str] = &[
        "tag",
        "done",
        "day",
        "part",
        "tooth",
        "numbering",
        "direction",
    ];
    const ERASABLE: &'static [ErasablePlace] = &[
        ("/what/said", "what the patient said"),
        ("/what/material", "material"),
    ];
}

impl EventKind for Adjusted {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.office_only();
        self.check_item(proposal);
        if self.done.is_of_height() && self.mm.is_none() {
            let sentence = "Say by how many millimeters the bite was changed.";
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
        if self.done == Adjustment::Other {
            let sentence = "Say in words what was done.";
            proposal.needs(&self.said, CustodyRule::Form, Some(&self.tag), sentence);
        }
        if self.tell_lab {
            let sentence = "Write what the patient said: the lab is to read it.";
            proposal.needs(&self.said, CustodyRule::Form, Some(&self.tag), sentence);
        }
        self.check_tooth(proposal);
        let is_known = |number| complaint(number).is_some();
        if !self.complaint.is_none_or(is_known) {
            let sentence = "Choose one of the list of complaints.";
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
        if self.day.is_some_and(|day| day.date() > proposal.at.date()) {
            let sentence = "The day of the visit has not come yet.";
            proposal.refuse(CustodyRule::I, Some(&self.tag), sentence);
        }
    }

    /// What the lab is to read stands open there until somebody has.
    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        if self.tell_lab {
            case.questions.push(Question {
                event: stamp.id.clone(),
                from: Side::Office,
                at: stamp.at,
                by: stamp.answering(),
                matter: Matter::PatientSays,
                section: None,
                line: None,
                item: Some(self.tag.clone()),
                step: None,
                revision: 0,
                text: self.said.clone(),
                waits: false,
                pictures: Vec::new(),
                promised: None,
                reply: None,
            });
        }
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let why = self.complaint.and_then(complaint);
        let details = vec![
            self.place(),
            why.map_or_else(String::new, |one| format!("Because of: {}", one.complaint)),
            prefixed("The patient said: ", &self.said),
            match self.tell_lab {
                true => "For the lab to read".to_owned(),
                false => String::new(),
            },
            prefixed("Material: ", &self.material),
            self.day.map_or_else(String::new, |day| {
                format!("At the visit of {}", String::from(day))
            }),
        ];
        let sentence = format!("{} adjusted: {}", named(&self.tag), self.done.shown());
        (sentence, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Adjusted)
    }

    /// It is in the mouth or lies at the office; see `check`.
    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        None
    }

    /// Whoever has it in the mouth or in hand goes on answering for it.
    fn makes_answerable(&self, _: &Tag) -> bool {
        false
    }

    fn fill_in(&mut self, from: &FromCase<'_>) {
        self.numbering = self.tooth.map(|_| from.numbering);
    }
}

impl Adjusted {
    /// The day of the visit, of an entry that tells of this moment.
    pub fn day_of_visit(&self, at: Moment) -> Date {
        self.day.map_or(at.date(), Day::date)
    }

    /// Where it was: a tooth that is named is one tooth, whatever stands beside it.
    pub fn part_and_tooth(&self) -> Option<(ChangedPart, Option<Tooth>)> {
        match self.tooth {
            Some(tooth) => Some((ChangedPart::Tooth, Some(tooth))),
            None => Some((self.part?, None)),
        }
    }

    /// Which way, where it was chosen or lies in what was done.
    pub fn way(&self) -> Option<Direction> {
        self.direction.or(match self.done {
            Adjustment::ToothAdded => Some(Direction::Add),
            Adjustment::ToothTakenAway => Some(Direction::Remove),
            _ => None,
        })
    }

    /// "11, 1 mm, down": where, by how much and which way, as far as it is said.
    fn place(&self) -> String {
        let said = |shown: Option<&'static str>| shown.unwrap_or_default().to_owned();
        let by = self.mm.map_or_else(String::new, |mm| format!("{mm} mm"));
        let numbering = self.numbering.unwrap_or(Numbering::Iso3950);
        let tooth = self.tooth.map(|tooth| tooth.shown(numbering));
        // “One tooth” is said by which one it is.
        let part = self
            .part
            .filter(|part| tooth.is_none() || *part != ChangedPart::Tooth);
        let place = [
            said(part.map(ChangedPart::shown)),
            tooth.unwrap_or_default(),
            by,
            said(self.direction.map(Direction::shown)),
        ];
        let place: Vec<String> = place.into_iter().filter(|word| !word.is_empty()).collect();
        place.join(", ")
    }

    /// "bite raised, 2 mm"; of what has no word of its own what was written.
    pub fn words(&self) -> String {
        let done = match self.done {
            Adjustment::Other if !self.said.is_empty() => self.said.as_str(),
            done => done.shown(),
        };
        format!("{done}{}", prefixed(", ", &self.place()))
    }

    /// One tooth is named only where one was moved, added or taken away, and it is of the denture's own arch.
    fn check_tooth(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(tooth) = self.tooth else { return };
        if !self.done.is_of_teeth() {
            let sentence = "A tooth is named only where one was moved, added or taken away.";
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
        if proposal
            .arch(&self.tag)
            .is_some_and(|arch| arch != tooth.arch())
        {
            let sentence = format!(
                "{} has no {}: it is of the other arch.",
                proposal.named(&self.tag),
                tooth.words()
            );
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
    }

    /// A denture that is worn, or a provisional on the table of the office.
    fn check_item(&self, proposal: &mut ProposedEvent<'_>) {
        let tag = &self.tag;
        let Some(state) = proposal.state(tag) else {
            return;
        };
        let is_provisional = proposal.kind(tag) == Some(ItemKind::Provisional);
        let is_denture = proposal.kind(tag).is_some_and(ItemKind::is_wearable);
        if !is_denture || !(state.worn || is_provisional) {
            let sentence = format!(
                "{} is neither worn nor a provisional: only such a denture is adjusted at the chair.",
                proposal.named(tag)
            );
            proposal.refuse(CustodyRule::Form, Some(tag), sentence);
        }
        if !matches!(state.holder, Holder::Office | Holder::Patient) {
            let sentence = format!(
                "{} is {}, so this cannot be done with it here.",
                proposal.named(tag),
                state.holder.place()
            );
            proposal.refuse(CustodyRule::A, Some(tag), sentence);
        }
    }
}
