//! A case at an office: things, who wears them, what was done to them.

use crate::domain::custody::events::{
    Adjusted, Adjustment, Disinfected, Fitted, Made, Registered, Withdrawn,
};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{CaseState, Event, FileFacts, Ordered, What, mouth};
use crate::domain::fill::{Beforehand, OnRecord, fill};
use crate::domain::form::Day;
use crate::domain::people::party::{Actor, Role, Side};
use crate::domain::people::patient::OwnTeeth;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::{Filled, Origin};
use crate::domain::prescription::usual::InUse;
use crate::domain::prescription::{ChangedPart, Direction, FileFormat, FileUnits};
use crate::domain::review::{Setting, sample};
use crate::domain::trade::lists::Lists;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::{AccountId, CaseNumber, EventId, PartyId, Tag};
use crate::domain::values::measure::Mm;
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::{Numbering, Tooth};
use std::collections::BTreeMap;

pub const UPPER: Option<Arch> = Some(Arch::Upper);
pub const LOWER: Option<Arch> = Some(Arch::Lower);

const DAY_MS: i64 = 24 * 60 * 60_000;
/// 2026-03-02 09:00 by the clock of the office: the day of the review.
const TODAY_MS: i64 = 1_772_438_400_000;

#[derive(Clone)]
pub struct Bed {
    pub arches: Arches,
    pub items: Vec<Item>,
    pub names: Vec<&'static str>,
    pub events: Vec<Event>,
    pub state: CaseState,
    pub ordered: Ordered,
    pub own_teeth: BTreeMap<Arch, OwnTeeth>,
    pub lists: Lists,
    pub beforehand: Beforehand,
    pub numbering: Numbering,
    pub now: i64,
}

fn case() -> CaseNumber {
    let number = (0..32).find_map(|last| CaseNumber::from_random([4, 4, 4, 4, 4, 4, last]));
    number.expect("a number")
}

impl Bed {
    /// Nothing is registered; it is so many days before the day of the review.
    pub fn before(days: i64, arches: Arches) -> Bed {
        Bed {
            arches,
            items: Vec::new(),
            names: Vec::new(),
            events: Vec::new(),
            state: CaseState::default(),
            ordered: Ordered::default(),
            own_teeth: BTreeMap::new(),
            lists: sample::lists(),
            beforehand: Beforehand::default(),
            numbering: Numbering::Iso3950,
            now: TODAY_MS - days * DAY_MS,
        }
    }

    pub fn days_pass(&mut self, days: i64) {
        self.now += days * DAY_MS;
    }

    pub fn tag(&self, name: &str) -> Tag {
        let place = self.names.iter().position(|one| *one == name);
        let place = u8::try_from(place.expect(name)).expect("few things");
        let tag = (0..32).find_map(|last| Tag::from_random([6, 6, 6, 6, 6, place, last]));
        tag.expect("a tag")
    }

    pub fn happens(&mut self, what: impl Into<What>) {
        self.done_by(("anna", Role::Assistant), "northgate", what);
    }

    /// The lab enters it.
    pub fn the_lab_does(&mut self, what: impl Into<What>) {
        self.done_by(("tom", Role::Technician), "kiln", what);
    }

    fn done_by(&mut self, (name, role): (&str, Role), house: &str, what: impl Into<What>) {
        self.now += 60_000;
        let at = Moment::new(self.now, 60);
        let by = Actor {
            account: AccountId::new(name),
            name: name.to_owned(),
            role,
            party: PartyId::new(house),
            party_name: house.to_owned(),
        };
        let event = Event {
            id: EventId::new(format!("event {}", self.events.len())),
            case: case(),
            at,
            entered_at: at,
            by,
            paper: None,
            by_code: None,
            what: what.into(),
        };
        self.state.add(&event, &self.events);
        self.events.push(event);
    }

    fn begins(&mut self, name: &'static str, kind: ItemKind, arch: Option<Arch>, how: Begins) {
        self.names.push(name);
        let tag = self.tag(name);
        self.items.push(Item {
            tag: tag.clone(),
            case: case(),
            kind,
            arch,
            note: String::new(),
            pieces: 1,
            borrowed: matches!(kind, ItemKind::FacebowRecord | ItemKind::ShadeTab),
        });
        self.happens(Registered {
            tag,
            place: Side::Office,
            worn: how.worn,
            note: String::new(),
            pieces: None,
            made: how.made,
            due_back: None,
            file: how.file,
        });
    }

    /// It lies at the office.
    pub fn has(&mut self, name: &'static str, kind: ItemKind, arch: Option<Arch>) {
        self.begins(name, kind, arch, Begins::default());
    }

    /// It is in the mouth.
    pub fn wears(&mut self, name: &'static str, kind: ItemKind, arch: Option<Arch>) {
        let how = Begins {
            worn: true,
            ..Begins::default()
        };
        self.begins(name, kind, arch, how);
    }

    /// It is made here from another thing, ten minutes in the pot.
    pub fn makes(&mut self, name: &'static str, kind: ItemKind, arch: Option<Arch>, from: &[&str]) {
        let made = Made {
            from: from.iter().map(|one| self.tag(one)).collect(),
            material: "cold-cure resin, sample label".to_owned(),
            pot_minutes: Some(12),
            ..Made::default()
        };
        let how = Begins {
            made: Some(made),
            ..Begins::default()
        };
        self.begins(name, kind, arch, how);
    }

    /// A file.
    pub fn scans(&mut self, name: &'static str, file: &str) {
        let facts = FileFacts {
            name: file.to_owned(),
            format: Some(FileFormat::Stl),
            units: Some(FileUnits::Millimetres),
            sha256: None,
        };
        let how = Begins {
            file: Some(facts),
            ..Begins::default()
        };
        self.begins(name, ItemKind::Scan, None, how);
    }

    pub fn fits(&mut self, name: &str, instead_of: &str) {
        let out = Some(self.tag(instead_of));
        self.puts_in(name, out);
    }

    /// It is made elsewhere, and goes in where nothing is worn.
    pub fn fits_first(&mut self, name: &'static str, kind: ItemKind, arch: Option<Arch>) {
        self.has(name, kind, arch);
        self.puts_in(name, None);
    }

    fn puts_in(&mut self, name: &str, instead_of: Option<Tag>) {
        let tag = self.tag(name);
        self.happens(Fitted {
            tag,
            instead_of,
            uncleaned: false,
            exception: None,
            approval: None,
            avoided_why: String::new(),
        });
    }

    pub fn disinfects(&mut self, names: &[&str]) {
        for name in names {
            let tag = self.tag(name);
            self.happens(Disinfected {
                tag,
                agent: "surface disinfectant, grey label".to_owned(),
                dilution: "ready to use".to_owned(),
                minutes: 10,
                rinsed: true,
            });
        }
    }

    pub fn adjusts(
        &mut self,
        name: &str,
        done: Adjustment,
        place: Option<(ChangedPart, Direction, i64)>,
    ) {
        let tag = self.tag(name);
        self.happens(Adjusted {
            tag,
            done,
            day: None,
            part: place.map(|(part, ..)| part),
            tooth: None,
            numbering: None,
            direction: place.map(|(_, way, _)| way),
            mm: place.map(|(.., tenths)| Mm::from_hundredths(tenths * 10)),
            complaint: None,
            said: "the cheek is caught".to_owned(),
            tell_lab: false,
            material: String::new(),
        });
    }

    /// Says of the last entry that it tells of an earlier visit.
    pub fn at_the_visit_of(&mut self, day: &str) {
        if let Some(Event {
            what: What::Adjusted(one),
            ..
        }) = self.events.last_mut()
        {
            one.day = Day::try_from(day.to_owned()).ok();
        }
    }

    /// Says of the last entry which tooth it was, in ISO 3950.
    pub fn of_tooth(&mut self, iso: u8) {
        if let Some(Event {
            what: What::Adjusted(one),
            ..
        }) = self.events.last_mut()
        {
            one.tooth = Tooth::from_iso(iso);
        }
    }

    /// The last entry, which is about this thing, was a mistake.
    pub fn withdraws_the_last(&mut self, name: &str) {
        let last = self.events.last().expect("an entry");
        self.happens(Withdrawn {
            tag: self.tag(name),
            event: last.id.clone(),
            was: Some(last.what.word().to_owned()),
            of: Some(last.at),
            reason: "the other one was meant".to_owned(),
            signed: None,
        });
    }

    pub fn known(&self) -> OnRecord<'_> {
        OnRecord {
            arches: self.arches,
            items: &self.items,
            events: &self.events,
            state: &self.state,
            ordered: &self.ordered,
            own_teeth: &self.own_teeth,
            lists: &self.lists,
            beforehand: &self.beforehand,
            numbering: self.numbering,
        }
    }

    /// Form keys and texts; `@name` stands for the tag of a thing.
    pub fn typed(&self, pairs: &[(&str, &str)]) -> Fields {
        pairs
            .iter()
            .map(|(key, text)| {
                let tag = text
                    .strip_prefix('@')
                    .map(|name| self.tag(name).to_string());
                ((*key).to_owned(), tag.unwrap_or_else(|| (*text).to_owned()))
            })
            .collect()
    }

    pub fn filled(&self, pairs: &[(&str, &str)]) -> Filled {
        fill(&self.typed(pairs), &self.known())
    }

    /// The case around the prescription, for its review.
    pub fn setting(&self) -> Setting {
        let line = self.state.worn(&self.items);
        let worn = |arch| mouth::worn_in(&line, arch).cloned();
        let natural = |arch: &Arch| self.own_teeth.get(arch) == Some(&OwnTeeth::Natural);
        Setting {
            arches: self.arches,
            items: self.items.clone(),
            custody: self.state.custody.clone(),
            worn_upper: worn(Arch::Upper),
            worn_lower: worn(Arch::Lower),
            taken_out: [Arch::Upper, Arch::Lower]
                .into_iter()
                .filter(|arch| line.iter().any(|one| one.arch == *arch && one.to.is_some()))
                .collect(),
            natural_teeth: [Arch::Upper, Arch::Lower]
                .into_iter()
                .filter(natural)
                .filter(|arch| worn(*arch).is_none())
                .collect(),
            lists: self.lists.clone(),
            ..sample::setting()
        }
    }
}

#[derive(Default)]
struct Begins {
    worn: bool,
    made: Option<Made>,
    file: Option<FileFacts>,
}

/// The fields of a draft without its marks that no set of usual values was in force when it was begun.
pub fn without_marks(mut fields: Fields) -> Fields {
    fields.retain(|_, text| !InUse::is_without(text));
    fields
}

/// The value of a key with its source.
pub fn value<'a>(filled: &'a Filled, key: &str) -> Option<(&'a str, Option<Origin>)> {
    let text = filled.fields.get(key)?;
    Some((text, filled.from.get(key).copied()))
}

/// Provisionals worn for four months and corrected on the way, their duplicates in the mouth since today, the
/// provisionals, bite record, facebow record and shade tab at the office and disinfected.
pub fn copied() -> Bed {
    let mut bed = Bed::before(119, Arches::Both);
    bed.fits_first("prov_u", ItemKind::Provisional, UPPER);
    bed.fits_first("prov_l", ItemKind::Provisional, LOWER);
    bed.days_pass(60);
    bed.adjusts(
        "prov_l",
        Adjustment::BlockMoved,
        Some((ChangedPart::LowerRightBack, Direction::Outward, 10)),
    );
    bed.days_pass(58);
    for name in ["prov_u", "prov_l"] {
        bed.adjusts(name, Adjustment::SurfaceRenewed, None);
    }
    bed.days_pass(1);
    bed.makes("dup_u", ItemKind::Duplicate, UPPER, &["prov_u"]);
    bed.makes("dup_l", ItemKind::Duplicate, LOWER, &["prov_l"]);
    bed.fits("dup_u", "prov_u");
    bed.fits("dup_l", "prov_l");
    bed.makes("bite", ItemKind::BiteRecord, None, &[]);
    bed.has("facebow", ItemKind::FacebowRecord, None);
    bed.has("tab", ItemKind::ShadeTab, None);
    bed.disinfects(&["prov_u", "prov_l", "bite", "facebow", "tab"]);
    bed
}
