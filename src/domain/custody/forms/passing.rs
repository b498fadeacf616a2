//! Work passed on to a second laboratory: the authorisation, the office's word, and the way there and back.

use super::from_paper::FromPaper;
use super::release::ITEMS;
use super::shared::TEXT_MOST;
use crate::domain::custody::common_refusals::NAME_THE_CARRIER;
use crate::domain::custody::parcel::{Found, Outcome};
use crate::domain::custody::passed::{PassAnswer, PassLeg, SecondLabWork};
use crate::domain::form::{
    Day, FieldSet, Form, Kind, PASSWORD, Raw, Secret, command, long, name, rows_with, text,
};
use crate::domain::prescription::catalogue;
use crate::domain::values::arch::Arches;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{EventId, PartyId, Tag};

command! {
    /// To whom, and what is to be done there.
    AuthorityForm;
    second_party: Option<PartyId> = Kind::Listed, "A laboratory that works with this program", "";
    second_name: String = Kind::Name { max: 120 }, "Or another: its name", "";
    second_address: String = Kind::Address { max: 400 }, "Its address", "";
    second_licence: String = Kind::Name { max: 60 }, "Its license or registration number", "";
    pass_arches: Arches = Arches::KIND, "For which arch", "", needed "Choose the arch.";
    pass_work: SecondLabWork = SecondLabWork::KIND, "Kind of work", "It decides which parts of the prescription go along.", needed "Choose the kind of work.";
    pass_task: String = long(TEXT_MOST), "What is to be done there", "As the second lab is to read it. Nothing that names anybody.", needed "Say what is to be done there.";
    pass_wanted: Day = Kind::Date, "Wanted back here on", "", needed "Say the day.";
    pass_sure: bool = Kind::Tick, "I have looked at it: it is meant so", "";
    pass_revision: i64 = Kind::Hidden, "", "";
    instead_of: Option<EventId> = Kind::Hidden, "", "";
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

command! {
    /// One thing that goes along.
    GoesForm;
    goes: bool = Kind::Tick, "This one", "";
}

command! {
    /// A part of the prescription that goes along beside what the work needs.
    AlongForm;
    along: bool = Kind::Tick, "This part too", "";
}

command! {
    /// The office's word.
    PassAnswerForm;
    answered_pass: EventId = Kind::Hidden, "", "", needed "Choose the authorization.";
    pass_answer: PassAnswer = PassAnswer::KIND, "What you say to it", "", needed "Choose whether it may be passed on.";
    pass_note: String = long(TEXT_MOST), "If not: why", "The lab reads it. Nothing that names a patient.";
}

command! {
    /// One stretch of the way.
    WayForm;
    moved_pass: EventId = Kind::Hidden, "", "", needed "Choose the authorization.";
    moved_leg: PassLeg = Kind::Hidden, "", "", needed "Choose what has happened.";
    pass_carrier: String = name(100), "Carrier", "A courier, the post, or one of the staff.";
    pass_person: String = name(100), "Name or initials of whoever took or received it", "";
    rest_came: bool = Kind::Tick, "Everything above that has no word yet has come, and is sound", "Look at each of them before.";
}

command! {
    /// How one thing came.
    CameForm;
    came: Option<Outcome> = Outcome::KIND, "How it came", "Empty where it has not come yet.";
    came_marked: bool = Kind::Tick, "Came with a disinfection label", "";
    came_note: String = text(TEXT_MOST), "What is the matter with it", "";
    came_right: bool = Kind::Tick, "Set right since: it is sound again", "";
}

command! {
    /// Why it is passed on no more.
    EndPassForm;
    ended_pass: EventId = Kind::Hidden, "", "", needed "Choose the authorization.";
    ended_why: String = text(TEXT_MOST), "Why", "", needed "Say why it is passed on no more.";
}

/// An authorisation as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PassOnForm {
    /// The laboratory, where it works with this program.
    pub party: Option<PartyId>,
    pub name: String,
    pub address: String,
    pub licence: String,
    pub arches: Arches,
    pub task: String,
    pub work: SecondLabWork,
    /// Sections of the prescription that go along beside those which it needs.
    pub more: Vec<String>,
    pub wanted: Day,
    /// What was asked and answered.
    pub is_sure: bool,
    /// The revision that the page showed.
    pub revision: i64,
    /// The authorisation that this one takes the place of; none for most.
    pub instead_of: Option<EventId>,
    /// In the order of their tags.
    pub items: Vec<Tag>,
    pub password: Secret,
}

/// The rows whose tick is set.
fn ticked<'a>(raw: &'a Raw, key: &'static str) -> impl Iterator<Item = &'a str> {
    let is_ticked = move |row: &&str| {
        let tick = raw.get(&format!("{row}.{key}"));
        tick.is_some_and(|tick| tick == "yes")
    };
    rows_with(raw, key).filter(is_ticked)
}

/// The things whose tick is set.
fn going(raw: &Raw) -> Vec<Tag> {
    let rows = ticked(raw, GoesForm::goes().key);
    rows.filter_map(|row| Tag::parse(row).ok()).collect()
}

/// The parts of the prescription whose tick is set.
fn added(raw: &Raw) -> Vec<String> {
    let is_part = |row: &&str| catalogue().iter().any(|section| section.key == *row);
    let rows = ticked(raw, AlongForm::along().key).filter(is_part);
    rows.map(str::to_owned).collect()
}

impl Form for PassOnForm {
    fn field_sets() -> Vec<FieldSet> {
        let rows = |fields| FieldSet {
            under: "#.",
            fields,
        };
        vec![
            FieldSet::once(AuthorityForm::FIELDS),
            rows(GoesForm::FIELDS),
            rows(AlongForm::FIELDS),
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<PassOnForm> {
        let form = AuthorityForm::read(raw, faults);
        let items = going(raw);
        let form = form?;
        if form.instead_of.is_none() {
            if items.is_empty() {
                let wanted = "Tick at least one item that goes there.";
                faults.push(Fault::new(ITEMS, wanted));
            }
            let mut asks = |spec: &'static str, message: &'static str| {
                faults.push(Fault::new(spec, message));
            };
            match (form.second_party.is_none(), form.second_name.is_empty()) {
                (true, true) => asks(
                    AuthorityForm::second_name().key,
                    "Name the second laboratory, or choose one above.",
                ),
                (true, false) if form.second_address.is_empty() => asks(
                    AuthorityForm::second_address().key,
                    "The authorization names both addresses: type it.",
                ),
                (false, false) => asks(
                    AuthorityForm::second_name().key,
                    "Choose one above or name another: not both.",
                ),
                _ => {}
            }
        }
        Some(PassOnForm {
            party: form.second_party,
            name: form.second_name,
            address: form.second_address,
            licence: form.second_licence,
            arches: form.pass_arches,
            task: form.pass_task,
            work: form.pass_work,
            more: added(raw),
            wanted: form.pass_wanted,
            is_sure: form.pass_sure,
            revision: form.pass_revision,
            instead_of: form.instead_of,
            items,
            password: form.password,
        })
    }
}

/// One stretch of the way as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PassMoveForm {
    pub pass: EventId,
    pub leg: PassLeg,
    pub items: Vec<Found>,
    pub carrier: String,
    pub person: String,
    /// What was found wrong before and is sound again.
    pub set_right: Vec<Tag>,
    pub from_paper: Option<FromPaper>,
}

impl Form for PassMoveForm {
    fn field_sets() -> Vec<FieldSet> {
        let rows = |fields| FieldSet {
            under: "#.",
            fields,
        };
        vec![
            FieldSet::once(WayForm::FIELDS),
            rows(GoesForm::FIELDS),
            rows(CameForm::FIELDS),
            FromPaper::FIELDS,
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<PassMoveForm> {
        let form = WayForm::read(raw, faults);
        let from_paper = FromPaper::read(raw, faults);
        let form = form?;
        let (items, set_right) = match form.moved_leg.is_receipt() {
            true => came(raw, form.rest_came, faults),
            false => (
                going(raw).into_iter().map(Found::sound).collect(),
                Vec::new(),
            ),
        };
        if items.is_empty() {
            let wanted = match form.moved_leg.is_receipt() {
                true => "Say of at least one item how it came.",
                false => "Tick at least one item that goes.",
            };
            faults.push(Fault::new(ITEMS, wanted));
        }
        let is_departure = !form.moved_leg.is_receipt();
        if is_departure && form.pass_carrier.is_empty() {
            faults.push(Fault::new(WayForm::pass_carrier().key, NAME_THE_CARRIER));
        }
        Some(PassMoveForm {
            pass: form.moved_pass,
            leg: form.moved_leg,
            items,
            carrier: form.pass_carrier,
            person: form.pass_person,
            set_right,
            from_paper,
        })
    }
}

/// How each thing came of which that is said, and what of it is set right; what nothing is said of has not come, or is
/// sound with the rest.
fn came(raw: &Raw, rest_came: bool, faults: &mut Vec<Fault>) -> (Vec<Found>, Vec<Tag>) {
    let (mut items, mut right) = (Vec::new(), Vec::new());
    for row in rows_with(raw, CameForm::came().key) {
        let under = format!("{row}.");
        let Some(form) = CameForm::read_under(raw, &under, faults) else {
            continue;
        };
        let sound = rest_came.then_some(Outcome::Sound);
        let mut wrong = |key: &str, message: &'static str| {
            faults.push(Fault::new(format!("{under}{key}"), message));
        };
        if form.came_right && form.came != Some(Outcome::Sound) {
            let wanted = "What is set right has nothing the matter with it: say so above, or take the tick away.";
            wrong(CameForm::came_right().key, wanted);
        }
        let (Some(outcome), Ok(tag)) = (form.came.or(sound), Tag::parse(row)) else {
            continue;
        };
        if form.came_right {
            right.push(tag.clone());
        }
        if outcome != Outcome::Sound && form.came_note.is_empty() {
            wrong(CameForm::came_note().key, "Say what is the matter with it.");
        }
        items.push(Found {
            outcome,
            marked_disinfected: form.came_marked,
            note: form.came_note,
            ..Found::sound(tag)
        });
    }
    (items, right)
}

command! {
    /// A question of the second laboratory.
    PassAskForm;
    pass_question: String = long(TEXT_MOST), "Your question", "Nothing that names anybody.", needed "Write what you want to know.";
}

command! {
    /// An answer to it, or that it is taken back.
    PassReplyForm;
    pass_asked: EventId = Kind::Hidden, "", "", needed "Choose the question.";
    pass_reply: String = long(TEXT_MOST), "Answer", "The second lab reads it.";
    pass_taken_back: bool = Kind::Tick, "Taken back: nothing is to be answered", "";
}

command! {
    /// An entry of the second laboratory that was a mistake.
    PassMistakeForm;
    mistaken_entry: EventId = Kind::Entry, "Which entry", "", needed "Choose the entry.";
    pass_mistake: String = text(500), "What the mistake was", "", needed "Say what the mistake was.";
    password: Secret = PASSWORD, "Your password", "", needed "Type your password.";
}
