//! Walks at random: anybody proposes anything at any time, what the rules allow is appended, and after each
//! step the promises of custody are looked up in the events themselves, not in what the rules drew from them.

use super::*;
use crate::domain::custody::handoff;
use crate::domain::form::Day;
use crate::domain::people::access::{Permission, may};
use crate::domain::values::ids::{EventId, HandoffId};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// One proposal as numbers; what they mean depends on how the world stands by then.
#[derive(Debug, Clone, Copy)]
pub(super) struct Move {
    kind: u8,
    thing: u8,
    second: u8,
    by: u8,
    /// Each bit decides one yes or no.
    bits: u16,
    minutes: i8,
}

pub(super) fn moves(most: usize) -> impl Strategy<Value = Vec<Move>> {
    let one = (
        any::<u8>(),
        any::<u8>(),
        any::<u8>(),
        any::<u8>(),
        any::<u16>(),
        -8_i8..40,
    )
        .prop_map(|(kind, thing, second, by, bits, minutes)| Move {
            kind,
            thing,
            second,
            by,
            bits,
            minutes,
        });
    prop::collection::vec(one, 1..most)
}

impl Move {
    fn bit(self, place: u16) -> bool {
        self.bits & (1 << place) != 0
    }

    /// True in one of four.
    fn rarely(self, place: u16) -> bool {
        self.bit(place) && self.bit(place + 1)
    }

    fn thing(self) -> &'static str {
        THINGS[usize::from(self.thing) % THINGS.len()].0
    }

    /// An exception, mostly good: so that both ways out of a rule are walked.
    fn exception(self) -> Option<Exception> {
        if self.bit(8) {
            signed(if self.rarely(9) { " " } else { "broken" })
        } else {
            None
        }
    }

    /// What is proposed, by whom and when.
    pub(super) fn proposal(self, world: &World) -> (What, Actor, Moment) {
        let what = self.what(world);
        let by = self.by(&what, world);
        (what, by, self.at(world))
    }

    fn at(self, world: &World) -> Moment {
        Moment::new(world.now_ms + i64::from(self.minutes) * MINUTE_MS, 60)
    }

    /// Half the time somebody who could do it, half the time anybody.
    fn by(self, what: &What, world: &World) -> Actor {
        let everybody = everybody();
        let any = everybody[usize::from(self.by) % everybody.len()].clone();
        if self.bit(15) {
            return any;
        }
        let side = match what {
            What::Registered(Registered { place, .. }) | What::Received(Received { place, .. }) => {
                *place
            }
            What::Released(Released { from, .. }) => *from,
            What::Resolved(Resolved { hold: id, .. }) => holds(&world.events)
                .iter()
                .find(|hold| hold.id == *id)
                .map_or(Side::Lab, |hold| hold.side),
            What::Voided(Voided { handoff: id, .. }) => handoffs(&world.events)
                .iter()
                .find(|one| one.id == *id)
                .map_or(Side::Lab, |one| one.from),
            What::PickedUp(PickedUp { handoff: id, .. }) => handoffs(&world.events)
                .iter()
                .find(|one| one.id == *id)
                .map_or(Side::Lab, |one| one.from),
            What::Withdrawn(_) if self.rarely(4) => {
                return everybody[everybody.len() - 1].clone();
            }
            What::Moved(Moved { tag, .. })
            | What::Disinfected(Disinfected { tag, .. })
            | What::UsedUp(UsedUp { tag, .. })
            | What::Destroyed(Destroyed { tag, .. })
            | What::DamagedHere(DamagedHere { tag, .. })
            | What::FindingAdded(FindingAdded { tag, .. })
            | What::Withdrawn(Withdrawn { tag, .. })
            | What::WrittenOff(WrittenOff { tag, .. }) => {
                match fold(&world.events).get(tag).map(|state| state.holder) {
                    Some(Holder::Lab | Holder::Carrier { to: Side::Office }) => Side::Lab,
                    _ => Side::Office,
                }
            }
            What::Undone(Undone { event, .. }) => {
                let case = world.case_state();
                let mut fits = case.fits.iter();
                let found = fits.find(|one| one.event == *event);
                let is_check = case.follow_ups.iter().any(|one| one.event == *event);
                match (found, is_check) {
                    (Some(one), _) => one.from,
                    (None, true) => Side::Office,
                    (None, false) => Side::Lab,
                }
            }
            What::Heeded(_)
            | What::Assigned(_)
            | What::Worked(_)
            | What::CarriedOver(_)
            | What::ShareAnswered(_) => Side::Lab,
            What::PassMoved(PassMoved { leg, .. }) if leg.is_of_second_lab() && self.bit(4) => {
                return everybody[everybody.len() - 1].clone();
            }
            What::PassAsked(_)
            | What::PassReplied(PassReplied {
                taken_back: true, ..
            }) if !self.bit(4) => {
                return everybody[everybody.len() - 1].clone();
            }
            What::PassedOn(_)
            | What::PassMoved(_)
            | What::PassEnded(_)
            | What::PassAsked(_)
            | What::PassReplied(_) => Side::Lab,
            What::FitChecked(FitChecked { from, .. }) => *from,
            What::Promised(_) if !self.bit(3) => Side::Lab,
            What::Asked(Asked { from, .. }) | What::Telephoned(Telephoned { from, .. }) => *from,
            What::Answered(_)
            | What::Confirmed(_)
            | What::Pictured(_)
            | What::ScanFiled(_)
            | What::MarkedForLab(_)
                if self.bit(0) =>
            {
                Side::Lab
            }
            _ => Side::Office,
        };
        let two = if side == Side::Office {
            [dora(), anna()]
        } else {
            [tom(), mara()]
        };
        two[usize::from(self.by) % 2].clone()
    }

    fn what(self, world: &World) -> What {
        let place = if self.bit(0) { Side::Office } else { Side::Lab };
        let thing = self.thing();
        let tag = tag(thing);
        match self.kind % 44 {
            0..=2 => self.registration(world, thing, place),
            3..=8 => {
                let minutes = if self.rarely(2) { 0 } else { 10 };
                What::Disinfected(Disinfected {
                    tag,
                    agent: "agent".into(),
                    dilution: String::new(),
                    minutes,
                    rinsed: self.bit(1),
                })
            }
            9..=11 => self.parcel_of_things(world, place),
            12..=15 => self.receipt(world),
            16..=18 => {
                let thing = self.final_here(world).unwrap_or(thing);
                let tag = super::tag(thing);
                let arch = world
                    .items
                    .iter()
                    .find(|item| item.tag == tag)
                    .and_then(|item| item.arch);
                let worn = arch.and_then(|arch| world.worn(arch));
                fitted(
                    thing,
                    if self.rarely(1) {
                        Some(THINGS[usize::from(self.second) % THINGS.len()].0)
                    } else {
                        worn
                    },
                )
            }
            19 => {
                let arch = if self.bit(1) {
                    Arch::Upper
                } else {
                    Arch::Lower
                };
                What::TakenOut(TakenOut {
                    tag: world.worn(arch).map_or(tag, super::tag),
                    exception: self.exception(),
                })
            }
            20 if self.rarely(3) => What::GivenBack(GivenBack {
                tag: super::tag(if self.rarely(5) {
                    "provisional upper"
                } else {
                    "parts"
                }),
                pieces: u32::from(self.second) % 3 + 2,
            }),
            20 | 30 | 37 => What::Given(Given {
                tag: self.spare(world).unwrap_or(tag),
                spare: self.bit(1).then(|| Spare {
                    mark: "spare, 2026".into(),
                    place: if self.rarely(4) {
                        " ".into()
                    } else {
                        "a cup".into()
                    },
                    keeper: "the patient".into(),
                    in_water: true,
                }),
            }),
            21 => What::BroughtBack(BroughtBack {
                tag: self.at_home(world).unwrap_or(tag),
            }),
            22 if self.bit(1) => What::UsedUp(UsedUp {
                tag,
                into: if self.bit(2) {
                    "a cast".into()
                } else {
                    " ".into()
                },
                into_item: self
                    .bit(3)
                    .then(|| super::tag(THINGS[usize::from(self.second) % THINGS.len()].0)),
                signed: None,
            }),
            22 => What::Destroyed(Destroyed {
                tag,
                how: "as the patient wished".into(),
                consent: Some(self.bit(2)),
                signed: None,
            }),
            33..=34 => self.more_of_a_thing(world, tag),
            35..=36 => self.standstill(world),
            37..=39 => self.asking(world, place, tag),
            40 if self.second < 128 => self.at_bench(world),
            40 if self.bit(6) => self.against_the_order(world, place),
            40 => self.followed_up(world),
            41..=43 => self.passing(world),
            23 => What::Withheld(Withheld {
                tag,
                consent: self.bit(1),
                kept: "the safe".into(),
            }),
            24 => What::WrittenOff(WrittenOff {
                tag: match self.lost(world) {
                    Some(lost) => lost,
                    None if self.rarely(3) => tag,
                    None => super::tag("foreign"),
                },
                how: "looked for everywhere".into(),
                signed: None,
            }),
            26 | 31 => self.statement(world),
            27 => self.taking_back(world),
            32 => self.pick_up(world),
            28 => What::Moved(Moved {
                tag,
                to: if self.rarely(1) {
                    " ".into()
                } else {
                    "the bench".into()
                },
            }),
            29 if self.rarely(1) => What::Closed(Closed {
                items: dispositions(&world.context().scope(), &world.case_state())
                    .unwrap_or_default(),
                note: String::new(),
                nothing_made: false,
                signed: under("dora"),
            }),
            29 if self.rarely(4) => What::KeptLonger(KeptLonger {
                from: Side::Office,
                ends: self.bit(1),
                reason: if self.bit(3) {
                    "a complaint is open".into()
                } else {
                    " ".into()
                },
                signed: under("dora"),
            }),
            29 => What::Reopened(Reopened {
                reason: if self.bit(3) {
                    "a sore spot".into()
                } else {
                    " ".into()
                },
            }),
            _ => What::Corrected(Corrected {
                event: EventId::new(format!("event {}", self.second)),
                note: "it was the other one".into(),
            }),
        }
    }

    /// Damage, a finding of later, or the withdrawal of an entry, mostly one of the latest.
    fn more_of_a_thing(self, world: &World, tag: Tag) -> What {
        let custody = fold(&world.events);
        let back = usize::from(self.second) % if self.rarely(4) { 40 } else { 4 };
        let mistake = world.events.iter().rev().nth(back);
        match (self.thing % 4, mistake) {
            (0 | 3, Some(mistake)) => {
                let about = mistake.what.tags().into_iter().next().cloned();
                What::Withdrawn(Withdrawn {
                    tag: about.filter(|_| !self.rarely(5)).unwrap_or(tag),
                    event: mistake.id.clone(),
                    was: Some(mistake.what.word().to_owned()),
                    of: Some(mistake.at),
                    reason: "the other one was meant".into(),
                    signed: Some(under("dora")),
                })
            }
            (0 | 3, None) => What::Withdrawn(Withdrawn {
                tag,
                event: EventId::new("event 0"),
                was: None,
                of: None,
                reason: "nothing".into(),
                signed: None,
            }),
            (1, _) => What::DamagedHere(DamagedHere {
                place: match custody.get(&tag).map(|state| state.holder) {
                    Some(Holder::Lab) if !self.rarely(3) => Side::Lab,
                    _ => Side::Office,
                },
                tag,
                what: if self.rarely(5) {
                    " ".into()
                } else {
                    "chipped".into()
                },
            }),
            _ => What::FindingAdded(FindingAdded {
                tag,
                finding: if self.bit(1) {
                    LaterFinding::Damaged
                } else {
                    LaterFinding::NotAsDescribed
                },
                note: if self.rarely(5) {
                    " ".into()
                } else {
                    "a crack".into()
                },
            }),
        }
    }

    /// Work stops now and then, and mostly goes on soon.
    fn standstill(self, world: &World) -> What {
        let case = world.case_state();
        let reason = if self.rarely(5) {
            " ".to_owned()
        } else {
            "the patient is ill".to_owned()
        };
        let signed = under("dora");
        match (&case.standstill, self.second % 6) {
            (Some(halt), 0 | 1) => What::Heeded(Heeded {
                event: halt.event.clone(),
            }),
            (Some(_), 2..=4) => What::WentOn(WentOn { reason, signed }),
            (None, 0) => What::Heeded(Heeded {
                event: EventId::new("event 1"),
            }),
            (None, 1) => What::WentOn(WentOn { reason, signed }),
            (_, 2 | 3) => What::Stopped(Stopped { reason, signed }),
            (_, 4) => What::Paused(Paused { reason, signed }),
            _ => {
                let tags = away_from_the_office(&world.context().scope(), &case);
                let fates = Fate::ALL.iter().cycle().skip(usize::from(self.thing) % 3);
                let items = tags.into_iter().zip(fates).map(|(tag, fate)| Fated {
                    tag,
                    fate: *fate,
                    consent: (*fate == Fate::Scrapped).then_some(true),
                });
                What::Cancelled(Cancelled {
                    reason,
                    items: items.collect(),
                    signed,
                })
            }
        }
    }

    /// Asked, answered, taken back, told on the telephone and confirmed, now and then by the wrong house.
    fn asking(self, world: &World, from: Side, tag: Tag) -> What {
        let case = world.case_state();
        let text = match self.rarely(5) {
            true => " ".to_owned(),
            false => "how long is the flange".to_owned(),
        };
        let nth = usize::from(self.thing);
        let question = case.questions.get(nth % case.questions.len().max(1));
        let call = case.calls.get(nth % case.calls.len().max(1));
        if self.second % 16 > 13 {
            return self.naming_a_day(&case, text, world);
        }
        match (question, call, self.second % 9) {
            (Some(one), _, 0..=2) => What::Answered(Answered {
                question: one.event.clone(),
                text,
                taken_back: false,
                picture: None,
                revision_follows: false,
            }),
            (Some(one), _, 3) => What::Answered(Answered {
                question: one.event.clone(),
                text,
                taken_back: true,
                picture: None,
                revision_follows: false,
            }),
            (_, Some(call), 4) => What::Confirmed(Confirmed {
                event: call.event.clone(),
                is_so: self.bit(2),
                note: text,
                changes: self.bit(3),
                none_needed: call.is_to_be_written() && self.bit(4),
            }),
            (_, _, 5) => What::Telephoned(Telephoned {
                from,
                with: "nn".to_owned(),
                text,
                question: question
                    .filter(|_| self.bit(1))
                    .map(|one| one.event.clone()),
                section: None,
                item: None,
                picture: case.pictures.get(nth).map(|one| one.event.clone()),
                changes: self.bit(2),
            }),
            (_, _, 6) => What::Confirmed(Confirmed {
                event: EventId::new("event 1"),
                is_so: true,
                note: text,
                changes: false,
                none_needed: false,
            }),
            (_, _, 7 | 8)
                if self.bit(4) && !(case.pictures.is_empty() && case.scans.is_empty()) =>
            {
                let pictures = case.pictures.iter().map(|one| &one.event);
                let added: Vec<_> = pictures
                    .chain(case.scans.iter().map(|one| &one.event))
                    .collect();
                let event = added[usize::from(self.thing) % added.len()];
                let marked = MarkedForLab::about(&case, event, self.bit(3)).unwrap();
                What::MarkedForLab(match self.rarely(5) {
                    true => MarkedForLab {
                        is_scan: !marked.is_scan,
                        ..marked
                    },
                    false => marked,
                })
            }
            (_, _, 7) => What::Pictured(Pictured {
                shows: PictureOf::BiteRecord,
                item: self.bit(2).then_some(tag),
                hash: format!("{:064x}", world.events.len()),
                length: u64::from(!self.rarely(6)),
                width: 4,
                height: 3,
                caption: text,
                for_lab: self.bit(3),
                question: None,
            }),
            (_, _, 8) => What::ScanFiled(ScanFiled {
                shows: ScanOf::UpperJaw,
                item: self.bit(2).then_some(tag),
                is_its_file: false,
                hash: format!("{:064x}", world.events.len()),
                length: 84,
                is_stl: self.bit(1),
                triangles: u64::from(!self.rarely(6)),
                width_um: 60_000,
                depth_um: 50_000,
                height_um: 20_000,
                unit: MeshUnit::Millimetre,
                caption: text,
                for_lab: self.bit(3),
            }),
            _ => What::Asked(Asked {
                matter: Matter::Unclear,
                from,
                section: None,
                line: None,
                item: self.bit(2).then_some(tag),
                step: None,
                revision: 1,
                text,
                waits: self.bit(1),
                picture: None,
            }),
        }
    }

    /// A day named and answered, now and then one that was, or that is not the newest.
    fn naming_a_day(self, case: &CaseState, note: String, world: &World) -> What {
        let day = Moment::new(world.now_ms, 60).date();
        let days = time::Duration::days(i64::from(self.thing % 8) - 1);
        let answer = match self.bit(1) {
            true => DayAnswer::Accepted,
            false => DayAnswer::NotAccepted,
        };
        match (&case.promise, self.bit(2)) {
            (Some(one), true) => What::DayAnswered(DayAnswered {
                promise: match self.rarely(6) {
                    true => EventId::new("event 1"),
                    false => one.event.clone(),
                },
                answer,
                note,
            }),
            _ => What::Promised(Promised {
                day: (day + days).into(),
                revision: i64::from(self.thing % 4),
                note,
            }),
        }
    }

    /// Given out, done, or done by mistake.
    fn at_bench(self, world: &World) -> What {
        let case = world.case_state();
        let nth = usize::from(self.thing) % case.bench.len().max(1);
        let steps = BenchStep::ALL;
        let step = steps[usize::from(self.thing) % steps.len()];
        let text = |is_said: bool| if is_said { "said" } else { "" }.to_owned();
        match (case.bench.get(nth), self.second % 8) {
            (_, 0) => What::Assigned(Assigned {
                pan: text(self.bit(1)),
                technician: self.bit(2).then(|| AccountId::new("tom")),
            }),
            (Some(one), 1 | 2) => What::Undone(Undone {
                event: one.event.clone(),
                reason: text(!self.rarely(3)),
            }),
            (_, 3) => What::CarriedOver(CarriedOver {
                revision: 1 + i64::from(!self.rarely(5)),
                arches: Arches::ALL[usize::from(self.second) % Arches::ALL.len()],
                again_from: self.bit(1).then_some(step),
            }),
            (None, 1) => What::Undone(Undone {
                event: EventId::new("event 1"),
                reason: text(true),
            }),
            _ => What::Worked(Worked {
                step,
                arches: Arches::ALL[usize::from(self.second) % Arches::ALL.len()],
                revision: 1,
                minutes: None,
                used: Vec::new(),
                avoided_why: String::new(),
                readings: Vec::new(),
                photographed: (step == BenchStep::Flasked).then(|| self.bit(1)),
                no_photo: text(self.bit(2)),
                timed: Vec::new(),
                keep_until: None,
                mounting: None,
                picture: None,
                note: text(self.bit(3)),
            }),
        }
    }

    /// Passed on to a second laboratory, on the way there and back, ended; now and then what cannot be.
    fn passing(self, world: &World) -> What {
        let case = world.case_state();
        let nth = usize::from(self.thing) % case.open_passes().count().max(1);
        let text = match self.rarely(5) {
            true => " ".to_owned(),
            false => "cast the frame".to_owned(),
        };
        // What is under way goes on mostly.
        let mut away = case
            .open_passes()
            .filter(|one| one.away(&case).next().is_some());
        let away = away.next().filter(|_| !self.rarely(11));
        let chosen = away.or(case.open_passes().nth(nth));
        let Some(pass) = chosen.filter(|_| self.second > 50) else {
            return self.passed_on(&case, text, world);
        };
        let mut open = case.open_pass_questions().map(|(_, one)| one);
        let asked = open.next().or(pass.questions.last());
        match (self.second % 9, asked.filter(|_| !self.rarely(9))) {
            (0, _) => What::PassEnded(PassEnded {
                pass: pass.event.clone(),
                reason: text,
            }),
            (1, _) => What::PassAnswered(PassAnswered {
                pass: pass.event.clone(),
                answer: PassAnswer::ALL[usize::from(self.thing) % 2],
                note: text,
            }),
            (2..=4, Some(asked)) => What::PassReplied(PassReplied {
                question: asked.event.clone(),
                text,
                taken_back: self.bit(2),
            }),
            (2 | 3, None) => What::PassAsked(PassAsked {
                pass: pass.event.clone(),
                text,
            }),
            _ => {
                let leg = self.leg(&case, pass);
                let mut tags: Vec<Tag> = pass.ready(&case, leg).cloned().collect();
                let is_clean = |tag: &Tag| {
                    let is_disinfected = case.item(tag).is_some_and(|state| state.disinfected);
                    is_disinfected || !tag_kind(tag).needs_disinfection()
                };
                // What goes out is clean; where nothing of it is, something is made so first.
                if leg == PassLeg::Left && !self.rarely(12) {
                    let first = tags.first().cloned();
                    tags.retain(is_clean);
                    if let Some(tag) = first.filter(|_| tags.is_empty()) {
                        return disinfected(name(&tag));
                    }
                }
                if self.rarely(6) {
                    tags.push(tag(self.thing()));
                }
                let outcomes = [
                    Outcome::Sound,
                    Outcome::Sound,
                    Outcome::Sound,
                    Outcome::Damaged,
                    Outcome::Missing,
                ];
                let found = |(place, tag): (usize, Tag)| Found {
                    outcome: match leg.is_receipt() {
                        true => outcomes[(usize::from(self.thing) + place) % 5],
                        false => Outcome::Sound,
                    },
                    marked_disinfected: self.bit(9),
                    note: text.clone(),
                    ..Found::sound(tag)
                };
                let items: Vec<Found> = tags.into_iter().enumerate().map(found).collect();
                let sound = items.iter().filter(|one| one.outcome == Outcome::Sound);
                let is_right = leg.is_receipt() && self.bit(10);
                What::PassMoved(PassMoved {
                    pass: pass.event.clone(),
                    leg,
                    set_right: sound
                        .filter(|_| is_right)
                        .map(|one| one.tag.clone())
                        .collect(),
                    items,
                    carrier: text.clone(),
                    person: text.clone(),
                })
            }
        }
    }

    /// A stretch of the way: mostly one that something can go now.
    fn leg(self, case: &CaseState, pass: &PassedWork) -> PassLeg {
        let nth = usize::from(self.second) % PassLeg::ALL.len();
        let mut legs = PassLeg::ALL.iter().copied().cycle().skip(nth).take(4);
        let is_open = |leg: &PassLeg| pass.ready(case, *leg).next().is_some();
        let open = legs.find(|leg| is_open(leg) || self.rarely(14));
        open.unwrap_or(PassLeg::Left)
    }

    /// Mostly what the lab has, to a laboratory with people or one without; sometimes again.
    fn passed_on(self, case: &CaseState, task: String, world: &World) -> What {
        let at_lab = case
            .custody
            .iter()
            .filter(|(tag, state)| state.holder == Holder::Lab && case.pass_of(tag).is_none());
        let mut items: Vec<Tag> = at_lab.map(|(tag, _)| tag.clone()).collect();
        items.truncate(1 + usize::from(self.thing) % 3);
        let earlier = case.open_passes().next().filter(|_| self.bit(1));
        if let Some(earlier) = earlier {
            items = earlier.away(case).cloned().collect();
        } else if self.rarely(6) {
            items.push(tag(self.thing()));
        }
        let own = SecondLab {
            party: (!self.rarely(3)).then(|| PartyId::new("anvil")),
            name: "Anvil".to_owned(),
            address: "2 Forge Lane".to_owned(),
            licence: String::new(),
        };
        What::PassedOn(PassedOn {
            to: earlier.map_or(own, |one| one.to.clone()),
            arches: Arches::Both,
            items,
            task,
            work: None,
            more: Vec::new(),
            revision: i64::from(!self.rarely(10)),
            wanted: Moment::new(world.now_ms, 60).date().into(),
            needs_consent: self.rarely(7),
            instead_of: earlier.map(|one| one.event.clone()),
            signed: under("tom"),
        })
    }

    /// A check after the fit, or one by mistake.
    fn followed_up(self, world: &World) -> What {
        let case = world.case_state();
        let nth = usize::from(self.thing) % case.follow_ups.len().max(1);
        if let Some(one) = case
            .follow_ups
            .get(nth)
            .filter(|_| self.second.is_multiple_of(4))
        {
            return What::Undone(Undone {
                event: one.event.clone(),
                reason: "the wrong case".to_owned(),
            });
        }
        if let Some(one) = case.follow_ups.get(nth).filter(|_| self.second % 4 == 1) {
            return What::ShareAnswered(ShareAnswered {
                event: one.event.clone(),
                agrees: self.bit(4),
                note: match self.bit(4) {
                    true => String::new(),
                    false => "seen otherwise".to_owned(),
                },
            });
        }
        let is_work = self.bit(1);
        What::FollowedUp(FollowedUp {
            check: FollowUp::ALL[usize::from(self.second) % FollowUp::ALL.len()],
            arches: Arches::ALL[usize::from(self.thing) % Arches::ALL.len()],
            examined: vec![ExaminedPoint::Occlusion],
            complaints: self
                .bit(2)
                .then_some(self.second % 40)
                .into_iter()
                .collect(),
            done: "said".to_owned(),
            followed_by: match is_work {
                true => FollowedBy::Remake,
                false => FollowedBy::Nothing,
            },
            cause: self.bit(3).then_some(WorkCause::Teeth),
            share: Some(WorkShare::Both),
        })
    }

    /// Held against the prescription, or that by mistake.
    fn against_the_order(self, world: &World, from: Side) -> What {
        let case = world.case_state();
        let nth = usize::from(self.thing) % case.fits.len().max(1);
        if let Some(one) = case.fits.get(nth).filter(|_| self.second.is_multiple_of(4)) {
            return What::Undone(Undone {
                event: one.event.clone(),
                reason: "the wrong case".to_owned(),
            });
        }
        let values = FitValue::ALL;
        let found = |place: usize| FitFound {
            value: values[place % values.len()],
            asked: None,
            side: None,
            within: None,
            readings: Vec::new(),
            decided: None,
            verdict: FitVerdict::CannotTell,
        };
        let (first, count) = (usize::from(self.thing), usize::from(self.second) % 3);
        What::FitChecked(FitChecked {
            from,
            revision: 1,
            found: (first..first + count).map(found).collect(),
            note: "said".to_owned(),
        })
    }

    /// Sometimes with what it was made from, which may be nonsense.
    fn registration(self, world: &World, thing: &str, place: Side) -> What {
        let second = THINGS[usize::from(self.second) % THINGS.len()].0;
        let from = if self.bit(2) {
            vec![tag(second)]
        } else {
            Vec::new()
        };
        match registered(thing, place, self.bit(1)) {
            What::Registered(Registered {
                tag,
                place,
                worn,
                note,
                pieces,
                ..
            }) => What::Registered(Registered {
                tag,
                place,
                worn,
                note,
                pieces,
                made: self.bit(3).then(|| Made {
                    from,
                    how: "poured".into(),
                    pot_minutes: self.rarely(4).then_some(u32::from(self.second) * 4),
                    ..Made::default()
                }),
                due_back: (self.rarely(6) && !world.events.is_empty())
                    .then(|| Day::try_from("2026-03-20".to_owned()).unwrap()),
                file: None,
            }),
            other => other,
        }
    }

    /// Mostly the statement on an open hold; sometimes on one that is resolved, or that never was.
    fn statement(self, world: &World) -> What {
        let all = holds(&world.events);
        let open: Vec<&Hold> = all
            .iter()
            .filter(|hold| self.rarely(1) || hold.is_open())
            .collect();
        match open.get(usize::from(self.second) % open.len().max(1)) {
            // Mostly of what is missing; now and then of what is not.
            Some(hold) if self.bit(6) && (hold.trouble == Trouble::Missing || self.rarely(4)) => {
                not_packed(resolution(hold))
            }
            Some(hold) => resolution(hold),
            None => What::Resolved(Resolved {
                hold: "event 0.1".into(),
                trouble: Trouble::Damaged,
                tag: None,
                reason: "none".into(),
                done: "nothing".into(),
                signed: under("dora"),
                not_packed: self.bit(6),
            }),
        }
    }

    /// Mostly a handoff that nobody has received.
    fn taking_back(self, world: &World) -> What {
        let all = handoffs(&world.events);
        let open: Vec<_> = all
            .iter()
            .filter(|one| {
                self.rarely(1) || (!one.to_take_back().is_empty() && one.voided.is_none())
            })
            .collect();
        let one = open.get(usize::from(self.second) % open.len().max(1));
        What::Voided(Voided {
            handoff: one.map_or_else(|| HandoffId::new("handoff 99"), |one| one.id.clone()),
            items: one.map_or_else(Vec::new, |one| {
                one.to_take_back().into_iter().cloned().collect()
            }),
            reason: if self.rarely(3) {
                " ".into()
            } else {
                "the courier did not come".into()
            },
            signed: under("anna"),
            brought_back: one.map(|one| one.has_left() != self.rarely(4)),
        })
    }

    /// Mostly of a handoff that waits for the carrier, and counted right.
    fn pick_up(self, world: &World) -> What {
        let all = handoffs(&world.events);
        let open: Vec<_> = all
            .iter()
            .filter(|one| self.rarely(1) || one.is_packed())
            .collect();
        let Some(one) = open.get(usize::from(self.second) % open.len().max(1)) else {
            return picked_up("handoff 99", &["bite"], 1);
        };
        let mut things: Vec<&str> = one.sent.iter().map(|sent| name(&sent.tag)).collect();
        if self.rarely(3) {
            things.pop();
        }
        let parcels = u32::try_from(one.parcels.len()).unwrap();
        picked_up(&one.id, &things, parcels + u32::from(self.rarely(5)))
    }

    /// Half the time something that was missing from its parcel.
    fn lost(self, world: &World) -> Option<Tag> {
        let custody = fold(&world.events);
        let mut lost = custody.into_iter().filter(|(_, state)| state.missing);
        lost.find(|_| self.bit(2)).map(|(tag, _)| tag)
    }

    /// Half the time a final that lies at the office.
    fn final_here(self, world: &World) -> Option<&'static str> {
        let custody = fold(&world.events);
        let is_it = |(tag, state): &(Tag, State)| {
            tag_kind(tag) == ItemKind::FinalDenture && state.is_in_hand(Side::Office)
        };
        let found = custody.into_iter().find(is_it);
        found.filter(|_| self.bit(3)).map(|(tag, _)| name(&tag))
    }

    /// Mostly a duplicate that lies at the office, of an arch whose final is worn.
    fn spare(self, world: &World) -> Option<Tag> {
        let custody = fold(&world.events);
        let worn = |item: &&Item| custody.get(&item.tag).is_some_and(|state| state.worn);
        let finals = world.items.iter();
        let finals = finals.filter(|item| item.kind == ItemKind::FinalDenture);
        let arches: Vec<_> = finals.filter(worn).map(|item| item.arch).collect();
        let is_here = |item: &&Item| {
            let state = custody.get(&item.tag);
            state.is_some_and(|state| state.is_in_hand(Side::Office))
        };
        let duplicates = world.items.iter();
        let mut spares = duplicates.filter(|item| {
            item.kind == ItemKind::Duplicate && arches.contains(&item.arch) && is_here(item)
        });
        let spare = spares.next().filter(|_| !self.rarely(2))?;
        Some(spare.tag.clone())
    }

    /// Half the time something that the patient has and does not wear.
    fn at_home(self, world: &World) -> Option<Tag> {
        let custody = fold(&world.events);
        let is_at_home =
            |state: &State| state.holder == Holder::Patient && !state.worn && self.bit(2);
        custody
            .into_iter()
            .find(|(_, state)| is_at_home(state))
            .map(|(tag, _)| tag)
    }

    /// Mostly what lies at that side and is clean, up to three things; sometimes whatever the numbers say.
    fn parcel_of_things(self, world: &World, from: Side) -> What {
        let custody = fold(&world.events);
        let ready = custody
            .iter()
            .filter(|(_, state)| state.holder == Holder::of(from) && state.disinfected);
        let mut things: Vec<&str> = ready.map(|(tag, _)| name(tag)).collect();
        if !things.is_empty() {
            let turn = usize::from(self.second) % things.len();
            things.rotate_left(turn);
            things.truncate(1 + usize::from(self.thing) % 3);
        }
        if self.rarely(1) {
            things.push(self.thing());
        }
        let number = if self.rarely(3) {
            usize::from(self.second) % 4
        } else {
            world.events.len()
        };
        let plain = excepted(
            &format!("handoff {number}"),
            &things,
            from,
            self.exception(),
        );
        self.packed(plain)
    }

    /// In two parcels, half the time; an item now and then in a parcel that is not there.
    fn packed(self, release: What) -> What {
        let What::Released(mut one) = release else {
            return release;
        };
        let items = &mut one.items;
        let parcels = if self.bit(5) && items.len() > 1 { 2 } else { 1 };
        for (place, sent) in (0_u32..).zip(items.iter_mut()) {
            sent.parcel = place % parcels + if self.rarely(6) { 2 } else { 1 };
            if sent.tag == tag("parts") {
                sent.pieces = Some(if self.rarely(9) { 3 } else { 4 });
            }
        }
        let parcel = |number: u32| Parcel {
            seal: if self.bit(7) {
                format!("S-{number}")
            } else {
                String::new()
            },
            ..Parcel::default()
        };
        What::Released(Released {
            parcels: (1..=parcels).map(parcel).collect(),
            awaits_pickup: self.rarely(11),
            ..one
        })
    }

    fn receipt(self, world: &World) -> What {
        let handoffs = handoffs(&world.events);
        let open: Vec<_> = handoffs
            .iter()
            .filter(|one| self.rarely(1) || !one.outstanding().is_empty())
            .collect();
        let Some(handoff) = open.get(usize::from(self.second) % open.len().max(1)) else {
            return received("handoff 99", Side::Lab, &[]);
        };
        let outcomes = [
            Outcome::Sound,
            Outcome::Sound,
            Outcome::Sound,
            Outcome::Sound,
            Outcome::Damaged,
            Outcome::NotAsDescribed,
            Outcome::Missing,
        ];
        let parcels = self.parcels_found(handoff);
        let is_away = |tag: &Tag| {
            parcels
                .iter()
                .any(|one| one.seal == SealFound::NotHere && one.parcel == handoff.parcel_of(tag))
        };
        let mut items: Vec<Found> = handoff
            .outstanding()
            .iter()
            .filter(|tag| self.rarely(7) || !is_away(tag))
            .enumerate()
            .map(|(place, tag)| Found {
                pieces: (**tag == super::tag("parts")).then_some(if self.rarely(10) {
                    2
                } else {
                    4
                }),
                ..found(
                    name(tag),
                    outcomes[(usize::from(self.thing) + place) % 7],
                    self.bit(4),
                )
            })
            .collect();
        if self.rarely(5) {
            items.pop();
        }
        let is_packed = handoff.is_packed();
        match received(&handoff.id, handoff.to, &items) {
            What::Received(Received {
                handoff,
                place,
                items,
                ..
            }) => What::Received(Received {
                handoff,
                place,
                items,
                unannounced: if self.rarely(11) {
                    "a spoon".into()
                } else {
                    String::new()
                },
                parcels,
                foreign: String::new(),
                no_pick_up: is_packed,
            }),
            other => other,
        }
    }

    /// Each parcel that is awaited, its seal as it may be; nothing at all now and then.
    fn parcels_found(self, handoff: &handoff::Handoff) -> Vec<ParcelFound> {
        if self.rarely(8) {
            return Vec::new();
        }
        let word = |number: u32| match (u32::from(self.thing) + number) % 14 {
            0 => SealFound::Broken,
            1 => SealFound::None,
            2 if self.bit(12) => SealFound::NotHere,
            _ => SealFound::Intact,
        };
        let one = |parcel: u32| ParcelFound {
            parcel,
            seal: word(parcel),
            number: format!("s {parcel}"),
        };
        handoff.waiting().into_iter().map(one).collect()
    }
}

/// The events without those that were withdrawn, and without those that withdraw; apart from the fold that is tested.
pub(super) fn standing(events: &[Event]) -> Vec<Event> {
    let mistakes = events.iter().filter_map(|event| match &event.what {
        What::Withdrawn(Withdrawn { event, .. }) | What::Undone(Undone { event, .. }) => {
            Some(event)
        }
        _ => None,
    });
    let mistakes: Vec<&EventId> = mistakes.collect();
    let stands = |event: &&Event| {
        !matches!(event.what, What::Withdrawn(_) | What::Undone(_))
            && !mistakes.contains(&&event.id)
    };
    events.iter().filter(stands).cloned().collect()
}

/// Where a thing must be by its own last event; written apart from the fold that is tested.
fn last_seen(thing: &Tag, events: &[Event]) -> Option<Holder> {
    let seen = |(place, event): (usize, &Event)| match &event.what {
        What::PassMoved(PassMoved { leg, items, .. })
            if items
                .iter()
                .any(|one| one.tag == *thing && one.outcome != Outcome::Missing) =>
        {
            Some(match leg {
                PassLeg::Left => Holder::Passed(PassedPlace::There),
                PassLeg::Arrived => Holder::Passed(PassedPlace::At),
                PassLeg::SetOff => Holder::Passed(PassedPlace::Back),
                PassLeg::Home => Holder::Lab,
            })
        }
        What::Resolved(Resolved {
            tag: Some(tag),
            not_packed: true,
            ..
        }) if tag == thing => Some(match last_seen(thing, &events[..place]) {
            Some(Holder::Passed(PassedPlace::There)) => Holder::Lab,
            Some(Holder::Passed(_)) => Holder::Passed(PassedPlace::At),
            _ => Holder::of(event.by.role.works_in().unwrap()),
        }),
        What::Registered(Registered {
            tag, worn: true, ..
        }) if tag == thing => Some(Holder::Patient),
        What::Registered(Registered { tag, place, .. }) if tag == thing => Some(Holder::of(*place)),
        What::Released(Released {
            items,
            from,
            to,
            awaits_pickup,
            ..
        }) if items.iter().any(|sent| sent.tag == *thing) => Some(if *awaits_pickup {
            Holder::of(*from)
        } else {
            Holder::Carrier { to: *to }
        }),
        What::PickedUp(PickedUp { items, .. }) if items.contains(thing) => Some(Holder::Carrier {
            to: super::other(event.by.role.works_in().unwrap()),
        }),
        What::Received(Received { items, place, .. })
            if items
                .iter()
                .any(|found| found.tag == *thing && found.outcome != Outcome::Missing) =>
        {
            Some(Holder::of(*place))
        }
        // What did not come with the rest has left with it all the same.
        What::Received(Received {
            handoff,
            place,
            no_pick_up: true,
            ..
        }) if is_on(thing, handoff, events) => Some(Holder::Carrier { to: *place }),
        What::Voided(Voided { items, .. }) if items.contains(thing) => {
            Some(Holder::of(event.by.role.works_in().unwrap()))
        }
        What::Fitted(Fitted { tag, .. })
        | What::Given(Given { tag, .. })
        | What::GivenBack(GivenBack { tag, .. })
            if tag == thing =>
        {
            Some(Holder::Patient)
        }
        What::Fitted(Fitted {
            instead_of: Some(out),
            ..
        }) if out == thing => Some(Holder::Office),
        What::TakenOut(TakenOut { tag, .. }) | What::BroughtBack(BroughtBack { tag })
            if tag == thing =>
        {
            Some(Holder::Office)
        }
        _ => None,
    };
    events.iter().enumerate().rev().find_map(seen)
}

/// Whether a handoff was released with a thing on it.
fn is_on(thing: &Tag, id: &HandoffId, events: &[Event]) -> bool {
    events.iter().any(|event| match &event.what {
        What::Released(Released { handoff, items, .. }) => {
            handoff == id && items.iter().any(|sent| sent.tag == *thing)
        }
        _ => false,
    })
}

/// The handoff that has packed a thing, and that nobody has picked up, received or taken back since.
fn packed_in<'a>(thing: &Tag, events: &'a [Event]) -> Option<&'a HandoffId> {
    let id = events.iter().rev().find_map(|event| match &event.what {
        What::Released(Released { handoff, items, .. })
            if items.iter().any(|sent| sent.tag == *thing) =>
        {
            Some(handoff)
        }
        _ => None,
    })?;
    let waits = events.iter().any(|event| {
        matches!(&event.what, What::Released(Released { handoff, awaits_pickup: true, .. }) if handoff == id)
    });
    let ended = events.iter().any(|event| match &event.what {
        What::PickedUp(PickedUp { handoff, .. })
        | What::Voided(Voided { handoff, .. })
        | What::Received(Received { handoff, .. }) => handoff == id,
        _ => false,
    });
    (waits && !ended).then_some(id)
}

/// Whether a disinfection entry stands since the thing last moved or was registered.
fn is_clean(thing: &Tag, events: &[Event]) -> bool {
    for event in events
        .iter()
        .rev()
        .filter(|event| event.what.tags().contains(&thing))
    {
        match &event.what {
            What::Disinfected(_) => return true,
            What::Withheld(_) | What::Corrected(_) | What::Moved(_) | What::PassedOn(_) => {}
            What::DamagedHere(_) | What::FindingAdded(_) => {}
            // Withdrawn since: it is as it was before.
            What::UsedUp(_) | What::Destroyed(_) | What::WrittenOff(_) => {}
            // Taken back: it never left, and the entry before the release still holds.
            What::Voided(_) | What::Released(_) | What::PickedUp(_) => {}
            What::Received(Received { items, .. })
                if items
                    .iter()
                    .any(|found| found.tag == *thing && found.outcome == Outcome::Missing) => {}
            _ => return false,
        }
    }
    false
}

fn by_side(event: &Event) -> Side {
    event.by.role.works_in().unwrap()
}

fn is_good_exception(exception: Option<&Exception>, by: &Actor) -> bool {
    by.role == Role::Dentist
        && exception.is_some_and(|exception| !exception.reason.trim().is_empty())
}

impl World {
    fn kind(&self, tag: &Tag) -> ItemKind {
        self.items
            .iter()
            .find(|item| item.tag == *tag)
            .unwrap()
            .kind
    }

    fn treated(&self) -> Vec<Arch> {
        match self.arches {
            Arches::Both => vec![Arch::Upper, Arch::Lower],
            Arches::Upper => vec![Arch::Upper],
            Arches::Lower => vec![Arch::Lower],
        }
    }

    /// Proposes, and appends what is allowed. The answer to the same question is the same.
    pub(super) fn propose(&mut self, one: Move) -> Option<&Event> {
        let (what, by, at) = one.proposal(self);
        let answer = allow(&self.context(), &what, &by, at);
        assert_eq!(allow(&self.context(), &what, &by, at), answer);
        if !answer.is_empty() {
            return None;
        }
        self.append(&by, what, at);
        self.now_ms = self.now_ms.max(at.unix_ms);
        self.events.last()
    }

    /// The promises about the event that was just appended, looked up in the events before it.
    fn check_last(&self) {
        let (last, all) = self.events.split_last().unwrap();
        let before: &[Event] = &standing(all);
        World::check_house(last, before);
        World::check_touched(last, all, before);
        self.check_packed(last, before);
        self.check_holds(last, before);
        self.check_handoff(last, before);
        self.check_item(last, all, before);
        World::check_word(last, before);
        self.check_pass(last, before);
        self.check_bench(last, before);
        self.check_found(last, before);
    }

    /// Somebody of one of the two houses acts, or of the second laboratory where that may.
    fn check_house(last: &Event, before: &[Event]) {
        let by = &last.by;
        let is_second_lab = match &last.what {
            What::PassMoved(PassMoved { pass, leg, .. }) => {
                leg.is_of_second_lab() && CaseState::of(before).pass(pass).unwrap().is_for(by)
            }
            What::PassAsked(PassAsked { pass, .. }) => {
                CaseState::of(before).pass(pass).unwrap().is_for(by)
            }
            What::PassReplied(PassReplied {
                question,
                taken_back: true,
                ..
            }) => {
                let case = CaseState::of(before);
                case.pass_question(question).unwrap().0.is_for(by)
            }
            What::Withdrawn(Withdrawn { event, .. }) => {
                let mut events = before.iter();
                let earlier = events.find(|one| one.id == *event);
                earlier.is_some_and(|one| {
                    one.by.party == by.party && matches!(one.what, What::PassMoved(_))
                })
            }
            _ => false,
        };
        assert!(
            is_second_lab
                || matches!(
                    (by.role.works_in(), by.party.as_str()),
                    (Some(Side::Office), "northgate") | (Some(Side::Lab), "kiln")
                ),
            "a stranger acted: {last:?}"
        );
    }

    /// What the event touches is of this case, there, and not touched later already.
    fn check_touched(last: &Event, all: &[Event], before: &[Event]) {
        for tag in last.what.tags() {
            assert_ne!(*tag, tag_foreign(), "a thing of another case was touched");
            let is_end = |event: &Event| matches!(&event.what, What::UsedUp(UsedUp { tag: gone, .. }) | What::Destroyed(Destroyed { tag: gone, .. }) | What::WrittenOff(WrittenOff { tag: gone, .. }) if gone == tag);
            assert!(!before.iter().any(is_end), "{tag} changed after its end");
            let is_new = |event: &Event| matches!(&event.what, What::Registered(Registered { tag: new, .. }) if new == tag);
            assert_eq!(
                all.iter().any(is_new),
                before.iter().any(is_new),
                "{tag} changed after it was said never to have been there"
            );
            let earlier = all.iter().filter(|event| event.what.tags().contains(&tag));
            assert!(
                earlier
                    .map(|event| event.at.unix_ms)
                    .max()
                    .is_none_or(|ms| ms <= last.at.unix_ms)
            );
        }
    }

    fn arch_of(&self, tag: &Tag) -> Option<Arch> {
        let item = self.items.iter().find(|item| item.tag == *tag);
        item.and_then(|item| item.arch)
    }

    /// What was worn in this arch when the event happened.
    fn worn_then(&self, last: &Event, before: &[Event], arch: Option<Arch>) -> Option<ItemKind> {
        let line = worn_of(&self.items, &until(before, last.at.unix_ms));
        arch.and_then(|arch| mouth::worn_in(&line, arch).cloned())
            .map(|tag| self.kind(&tag))
    }

    /// What leaves is clean and leaves nobody without teeth unsaid; one handoff has one release, and each answer its own side.
    fn check_handoff(&self, last: &Event, before: &[Event]) {
        let by = &last.by;
        match &last.what {
            What::Released(Released {
                items,
                from,
                exception,
                ..
            }) => {
                for tag in items.iter().map(|sent| &sent.tag) {
                    assert!(
                        is_clean(tag, before) || !self.kind(tag).needs_disinfection(),
                        "{tag} left unclean"
                    );
                    assert_eq!(last_seen(tag, before), Some(Holder::of(*from)));
                    if *from == Side::Office && self.kind(tag) == ItemKind::Provisional {
                        let is_covered = matches!(
                            self.worn_then(last, before, self.arch_of(tag)),
                            Some(ItemKind::Duplicate | ItemKind::FinalDenture)
                        );
                        assert!(
                            is_covered || is_good_exception(exception.as_ref(), by),
                            "toothless: {last:?}"
                        );
                    }
                }
            }
            What::Received(Received { handoff: id, .. }) => {
                let is_release = |event: &&Event| matches!(&event.what, What::Released(Released { handoff, .. }) if handoff == id);
                let releases: Vec<&Event> = before.iter().filter(is_release).collect();
                assert_eq!(releases.len(), 1, "one handoff, one release");
                assert_ne!(
                    releases[0].by.account, by.account,
                    "released and received by one person"
                );
            }
            What::Voided(Voided { handoff: id, .. }) => {
                let is_receipt = |event: &Event| matches!(&event.what, What::Received(Received { handoff, .. }) if handoff == id);
                // Of what has been received only the parcels that have not come.
                let case = CaseState::of(before);
                let handoff = case.handoff(id).unwrap();
                let is_part = before.iter().any(is_receipt);
                assert!(
                    !is_part || !handoff.waiting().is_empty(),
                    "taken back after its receipt"
                );
            }
            What::Resolved(Resolved {
                hold: id,
                not_packed,
                ..
            }) => {
                let hold = holds(before)
                    .into_iter()
                    .find(|hold| hold.id == *id)
                    .unwrap();
                // Once more only where what is missing from that very handoff is found with those who packed it.
                let case = CaseState::of(before);
                let state = hold.tag.as_ref().and_then(|tag| case.item(tag));
                let is_missed = state
                    .is_some_and(|one| one.missing && one.handoff.as_ref() == Some(&hold.handoff));
                assert!(hold.is_open() || *not_packed && is_missed, "resolved twice");
                assert_eq!(
                    by.role.works_in(),
                    Some(hold.side),
                    "resolved by the other side"
                );
            }
            _ => {}
        }
    }

    /// An item changes only as its kind and whoever has it allow.
    fn check_item(&self, last: &Event, all: &[Event], before: &[Event]) {
        let by = &last.by;
        match &last.what {
            What::Fitted(Fitted { tag, .. }) => {
                assert!(self.kind(tag).is_wearable(), "fitted: {tag}")
            }
            What::Registered(Registered {
                tag, worn: true, ..
            }) if self.kind(tag) == ItemKind::OldDenture => {
                let line = worn_of(&self.items, before);
                let arch = self.arch_of(tag).unwrap();
                assert!(
                    !line.iter().any(|worn| worn.arch == arch),
                    "the old denture came back"
                );
            }
            What::UsedUp(UsedUp { tag, .. }) => {
                assert!(!self.kind(tag).is_denture(), "used up: {tag}")
            }
            What::Withheld(Withheld { tag, .. }) => {
                assert_eq!(self.kind(tag), ItemKind::OldDenture)
            }
            What::WrittenOff(WrittenOff { tag, .. }) => {
                let said = |event: &Event| match &event.what {
                    What::Received(Received { items, .. })
                    | What::PassMoved(PassMoved { items, .. }) => items
                        .iter()
                        .find(|found| found.tag == *tag)
                        .map(|found| found.outcome),
                    _ => None,
                };
                let to = by.role.works_in().map(super::other).unwrap();
                let last = last_seen(tag, before).unwrap();
                let is_passed = matches!(last, Holder::Passed(_)) && to == Side::Office;
                let is_own =
                    last == Holder::of(to.other()) || last == Holder::Patient && to == Side::Lab;
                assert!(is_passed || is_own || last == Holder::Carrier { to });
                if !is_own {
                    assert_eq!(before.iter().rev().find_map(said), Some(Outcome::Missing));
                }
            }
            What::GivenBack(GivenBack { tag, .. }) => {
                let kind = self.kind(tag);
                assert!(matches!(
                    kind,
                    ItemKind::ImplantParts | ItemKind::Provisional
                ));
            }
            What::Withdrawn(Withdrawn { event, .. }) => {
                let mistake = before.iter().find(|one| one.id == *event).unwrap();
                assert_eq!(mistake.by.party, by.party, "withdrawn by the other house");
            }
            What::Closed(Closed { items, .. }) => {
                assert_eq!(items.len(), fold(all).len(), "each item has its end");
                assert_eq!(open_holds(before), []);
            }
            What::Given(Given { tag, .. }) => {
                assert_eq!(self.kind(tag), ItemKind::Duplicate);
                assert_eq!(
                    self.worn_then(last, before, self.arch_of(tag)),
                    Some(ItemKind::FinalDenture),
                    "a spare without its final"
                );
            }
            _ => {}
        }
    }

    /// Questions, calls, days and halts are said by the side whose they are, and once.
    fn check_word(last: &Event, before: &[Event]) {
        let by = &last.by;
        match &last.what {
            What::Stopped(_) | What::Paused(_) | What::WentOn(_) | What::Cancelled(_) => {
                assert_eq!(by.role, Role::Dentist)
            }
            What::KeptLonger(KeptLonger { ends, from, .. }) => {
                let whose = match from {
                    Side::Office => Role::Dentist,
                    Side::Lab => Role::LabManager,
                };
                assert_eq!(by.role, whose);
                let kept = CaseState::of(before).kept_longer;
                assert_eq!(kept.of(*from).is_some(), *ends, "kept or lifted twice");
            }
            What::Heeded(_) => assert_eq!(by.role.works_in(), Some(Side::Lab)),
            What::Asked(Asked { from, waits, .. }) => {
                assert_eq!(by.role.works_in(), Some(*from));
                assert!(!waits || *from == Side::Lab);
            }
            What::Answered(Answered {
                question,
                taken_back,
                ..
            }) => {
                let case = CaseState::of(before);
                let asked = case.question(question).unwrap();
                assert!(asked.is_open(), "answered twice");
                let is_own = by.role.works_in() == Some(asked.from);
                assert_eq!(*taken_back, is_own);
            }
            What::Telephoned(Telephoned { from, .. }) => {
                assert_eq!(by.role.works_in(), Some(*from))
            }
            What::Confirmed(Confirmed {
                event,
                none_needed: true,
                ..
            }) => {
                let case = CaseState::of(before);
                let call = case.call(event).unwrap();
                assert!(call.is_to_be_written(), "nobody waits for a revision");
                assert_eq!(by.role.works_in(), Some(Side::Office));
            }
            What::Confirmed(Confirmed { event, is_so, .. }) => {
                let case = CaseState::of(before);
                let call = case.call(event).unwrap();
                assert!(call.verdict.is_none(), "said twice");
                let is_own = by.role.works_in() == Some(call.from);
                assert!(!is_so || !is_own, "confirmed by its own house");
            }
            What::MarkedForLab(marked) => {
                let case = CaseState::of(before);
                let picture = case.picture(&marked.event);
                let picture = picture.map(|one| (&one.party, one.for_lab, false));
                let mut scans = case.scans.iter();
                let scan = scans.find(|one| one.event == marked.event);
                let scan = scan.map(|one| (&one.party, one.for_lab, true));
                let known = picture.or(scan).unwrap();
                assert_eq!(known, (&by.party, !marked.for_lab, marked.is_scan));
            }
            What::Promised(promised) => {
                assert_eq!(by.role.works_in(), Some(Side::Lab));
                assert!(promised.revision > 0 && promised.day.date() >= last.at.date());
                assert!(!CaseState::of(before).is_cancelled());
            }
            What::DayAnswered(answered) => {
                assert_eq!(by.role.works_in(), Some(Side::Office));
                let case = CaseState::of(before);
                let named = case.promise.unwrap();
                assert!(named.event == answered.promise && named.answer.is_none());
                let is_accepted = answered.answer == DayAnswer::Accepted;
                assert!(is_accepted || !answered.note.trim().is_empty());
            }
            _ => {}
        }
    }

    /// Work is passed on once, by the lab, with what it has in hand and with the consent that it needs.
    fn check_pass(&self, last: &Event, before: &[Event]) {
        let by = &last.by;
        match &last.what {
            What::PassedOn(PassedOn {
                items, instead_of, ..
            }) => {
                assert_eq!(by.party.as_str(), "kiln");
                let case = CaseState::of(before);
                for tag in items {
                    let holder = last_seen(tag, before).unwrap();
                    let is_again = instead_of.is_some() && holder != Holder::Lab;
                    assert!(
                        holder == Holder::Lab || is_again,
                        "passed on from elsewhere"
                    );
                    let other = case.pass_of(tag).map(|one| &one.event);
                    assert!(
                        other.is_none() || other == instead_of.as_ref(),
                        "passed on twice"
                    );
                }
            }
            What::PassAnswered(PassAnswered { pass, .. }) => {
                assert_eq!(by.role.works_in(), Some(Side::Office));
                let case = CaseState::of(before);
                let pass = case.pass(pass).unwrap();
                assert!(pass.is_open());
                assert!(!pass.needs_consent || by.role == Role::Dentist);
            }
            What::PassMoved(PassMoved {
                pass, leg, items, ..
            }) => {
                let case = CaseState::of(before);
                let pass = case.pass(pass).unwrap();
                assert!(pass.is_open());
                for found in items {
                    let tag = &found.tag;
                    assert!(pass.items.contains(tag));
                    assert!(leg.begins_at(last_seen(tag, before).unwrap()));
                    if *leg == PassLeg::Left {
                        let is_clean = is_clean(tag, before);
                        assert!(is_clean || !self.kind(tag).needs_disinfection());
                        assert!(
                            !pass.awaits_consent() && !pass.is_refused(),
                            "without consent"
                        );
                        assert!(case.standstill.is_none(), "passed on while it stands still");
                    }
                }
            }
            What::PassAsked(PassAsked { pass, .. }) => {
                let case = CaseState::of(before);
                let pass = case.pass(pass).unwrap();
                assert!(pass.is_open() && pass.is_for(by));
            }
            What::PassReplied(PassReplied {
                question,
                taken_back,
                ..
            }) => {
                let case = CaseState::of(before);
                let (pass, asked) = case.pass_question(question).unwrap();
                assert!(asked.reply.is_none(), "answered twice");
                assert_eq!(*taken_back, pass.is_for(by));
            }
            What::PassEnded(PassEnded { pass, .. }) => {
                let case = CaseState::of(before);
                assert_eq!(case.pass(pass).unwrap().away(&case).count(), 0);
            }
            _ => {}
        }
    }

    /// Work is done by the lab, while nothing stands against it, and undone by its own house.
    fn check_bench(&self, last: &Event, before: &[Event]) {
        let by = &last.by;
        match &last.what {
            What::Assigned(_) => assert_eq!(by.role.works_in(), Some(Side::Lab)),
            What::CarriedOver(carried) => {
                assert_eq!(by.role.works_in(), Some(Side::Lab));
                let mut bench = CaseState::of(before).bench.into_iter();
                assert!(bench.any(|one| one.revision < carried.revision));
            }
            What::Worked(worked) => {
                assert_eq!(by.role.works_in(), Some(Side::Lab));
                let case = CaseState::of(before);
                // What was done before that is told of later.
                let since = |began: Moment| last.at.unix_ms >= began.unix_ms;
                let halt = case.standstill.as_ref().filter(|halt| since(halt.began));
                assert!(halt.is_none(), "worked while it stands still");
                let question = case.waits_for_answer().filter(|one| since(one.at));
                assert!(question.is_none(), "worked before the answer");
                let mut waiting = case.open_holds().flat_map(|hold| &hold.waiting);
                let treated = worked.arches.treated();
                let is_of_it =
                    |tag: &Tag| self.arch_of(tag).is_none_or(|arch| treated.contains(&arch));
                assert!(!waiting.any(is_of_it), "worked on what is on hold");
                let has_photo = worked.photographed == Some(true) || !worked.no_photo.is_empty();
                assert!(worked.step != BenchStep::Flasked || has_photo);
            }
            What::Undone(Undone { event, .. }) => {
                let mistake = before.iter().find(|one| one.id == *event).unwrap();
                assert!(matches!(
                    mistake.what,
                    What::Worked(_) | What::FitChecked(_) | What::FollowedUp(_)
                ));
                assert_eq!(mistake.by.party, by.party);
                let case = CaseState::of(before.iter().chain([last]));
                assert!(case.bench.iter().all(|one| one.event != *event));
                assert!(case.fits.iter().all(|one| one.event != *event));
                assert!(case.follow_ups.iter().all(|one| one.event != *event));
            }
            _ => {}
        }
    }

    /// What is checked had been delivered, and an answer to it is given once.
    fn check_found(&self, last: &Event, before: &[Event]) {
        let by = &last.by;
        match &last.what {
            What::FollowedUp(FollowedUp {
                arches,
                followed_by,
                cause,
                ..
            }) => {
                assert!(may(by.role, Permission::TreatPatient));
                assert!(!followed_by.is_work() || cause.is_some());
                for arch in arches.treated() {
                    let goes_in = |tag: &Tag| {
                        self.kind(tag) == ItemKind::FinalDenture && self.arch_of(tag) == Some(*arch)
                    };
                    let went_in = standing(before).iter().any(|event| match &event.what {
                        What::Fitted(Fitted { tag, .. }) => goes_in(tag),
                        What::Registered(Registered { tag, worn, .. }) => *worn && goes_in(tag),
                        _ => false,
                    });
                    assert!(went_in, "checked before the final was fitted");
                }
            }
            What::ShareAnswered(ShareAnswered { event, agrees, .. }) => {
                assert_eq!(by.role.works_in(), Some(Side::Lab));
                let case = CaseState::of(before);
                let mut entries = case.follow_ups.iter();
                let asked = entries.find(|one| one.event == *event).unwrap();
                let is_turned = *agrees && asked.is_disputed();
                assert!(asked.awaits_answer() || is_turned, "answered twice");
            }
            What::FitChecked(FitChecked { from, found, .. }) => {
                assert_eq!(by.role.works_in(), Some(*from));
                assert!(!found.is_empty(), "nothing was found");
                let came = standing(before).iter().any(|event| {
                    matches!(&event.what, What::Received(Received { place, .. }) if place == from)
                });
                assert!(came, "held against the order before anything had come");
            }
            _ => {}
        }
    }

    /// What is packed is picked up, received or taken back, with the whole of its parcel, and nothing else.
    fn check_packed(&self, last: &Event, before: &[Event]) {
        let own = match &last.what {
            What::PickedUp(PickedUp { handoff, .. })
            | What::Voided(Voided { handoff, .. })
            | What::Received(Received { handoff, .. }) => Some(handoff),
            _ => None,
        };
        for tag in last.what.tags() {
            let packed = packed_in(tag, before);
            assert!(
                packed.is_none() || packed == own,
                "{tag} was packed: {last:?}"
            );
        }
        if let What::PickedUp(PickedUp { items, .. }) = &last.what {
            let side = by_side(last);
            for tag in items {
                assert_eq!(packed_in(tag, before), own, "picked up, and not packed");
                assert_eq!(last_seen(tag, before), Some(Holder::of(side)));
            }
        }
    }

    /// What is on hold is not used, given away or destroyed; and a hold goes by a statement or a fact only.
    fn check_holds(&self, last: &Event, before: &[Event]) {
        let (then, now) = (open_holds(before), open_holds(&standing(&self.events)));
        let touched = match &last.what {
            What::UsedUp(UsedUp { tag, .. })
            | What::Destroyed(Destroyed { tag, .. })
            | What::Given(Given { tag, .. }) => Some(tag),
            _ => None,
        };
        for hold in &then {
            assert!(
                touched.is_none_or(|tag| !hold.waiting.contains(tag)),
                "worked on while on hold: {last:?}"
            );
            let is_gone = !now.iter().any(|one| one.id == hold.id);
            let may_go = matches!(
                last.what,
                What::Resolved(_)
                    | What::Received(_)
                    | What::PassMoved(_)
                    | What::WrittenOff(_)
                    | What::Withdrawn(_)
            );
            assert!(!is_gone || may_go, "a hold went by {last:?}");
        }
    }

    /// The promises about the world as it stands.
    fn check_state(&self) {
        let custody = fold(&self.events);
        let line = worn_of(&self.items, &self.events);
        let events = &standing(&self.events);
        for (tag, state) in &custody {
            if state.gone == Some(Gone::Mistaken) {
                continue;
            }
            assert_eq!(
                Some(state.holder),
                last_seen(tag, events),
                "the holder of {tag}"
            );
            let is_worn = line
                .iter()
                .any(|worn| worn.tag == *tag && worn.to.is_none());
            assert_eq!(state.worn, is_worn, "whether {tag} is worn");
            assert!(!state.worn || state.holder == Holder::Patient);
            assert_eq!(state.packed, packed_in(tag, events).is_some());
            assert_eq!(
                state.handoff.is_some(),
                matches!(state.holder, Holder::Carrier { .. }) || state.packed
            );
        }
        for handoff in handoffs(&self.events) {
            for tag in handoff.outstanding() {
                let holder = if handoff.is_packed() {
                    Holder::of(handoff.from)
                } else {
                    Holder::Carrier { to: handoff.to }
                };
                let state = custody.get(tag).unwrap();
                assert_eq!(state.holder, holder);
                // So that it is in no other parcel.
                assert_eq!(state.handoff.as_ref(), Some(&handoff.id));
            }
        }
        let Balance {
            sent,
            back,
            spent,
            owed,
        } = balance(&self.events);
        let mut parts: Vec<Tag> = back.into_iter().chain(spent).chain(owed).collect();
        let mut sent_sorted = sent.clone();
        parts.sort();
        sent_sorted.sort();
        assert_eq!(
            parts, sent_sorted,
            "back, used up and owed are what was sent, each once"
        );
    }

    /// The promises about every moment that has passed.
    fn check_past(&self) {
        let mut in_time = self.events.clone();
        in_time.sort_by_key(|event| event.at.unix_ms);
        for (place, event) in in_time.iter().enumerate() {
            let moment = event.at.unix_ms;
            if in_time
                .get(place + 1)
                .is_some_and(|next| next.at.unix_ms == moment)
            {
                continue;
            }
            let then = until(&self.events, moment);
            assert_eq!(
                fold(&then),
                fold(&in_time[..=place]),
                "the state at a moment is that of its events"
            );
            assert_eq!(fold(&then), super::at(&self.events, moment));
            let line = worn_of(&self.items, &then);
            for arch in self.treated() {
                let worn: Vec<_> = line.iter().filter(|worn| worn.arch == arch).collect();
                let now = worn.iter().filter(|worn| worn.to.is_none()).count();
                assert!(now <= 1, "two dentures in one arch");
                check_timeline(
                    &mouth::timeline(&self.items, &CaseState::of(&then), arch),
                    moment,
                );
                if !worn.is_empty() && now == 0 {
                    let emptied =
                        standing(&then)
                            .iter()
                            .rev()
                            .find_map(|event| match &event.what {
                                What::TakenOut(TakenOut { tag, exception })
                                    if worn.iter().any(|worn| worn.tag == *tag) =>
                                {
                                    Some((exception.clone(), event.by.clone()))
                                }
                                What::WrittenOff(WrittenOff { tag, how, .. })
                                    if worn.iter().any(|worn| {
                                        worn.tag == *tag && worn.to == Some(event.at)
                                    }) =>
                                {
                                    Some((super::signed(how), event.by.clone()))
                                }
                                _ => None,
                            });
                    let (exception, by) = emptied.unwrap();
                    assert!(
                        is_good_exception(exception.as_ref(), &by),
                        "{arch:?} is empty without an exception"
                    );
                }
            }
        }
    }
}

/// The line of an arch has no gap and no overlap, begins unknown and lasts until now.
fn check_timeline(line: &[mouth::Stretch], now_ms: i64) {
    assert_eq!(line[0].wears, mouth::Wears::Unknown);
    assert_eq!(line[0].from, None);
    assert_eq!(line.last().unwrap().to, None);
    for pair in line.windows(2) {
        assert_eq!(pair[0].to, pair[1].from);
        assert!(pair[1].from.is_some_and(|at| at.unix_ms <= now_ms));
        assert_ne!(pair[1].wears, mouth::Wears::Unknown);
    }
}

fn tag_foreign() -> Tag {
    tag("foreign")
}

pub(super) fn any_arches() -> impl Strategy<Value = Arches> {
    prop::sample::select(Arches::ALL)
}

/// Walks, and checks everything after each step that was allowed.
pub(super) fn walk(mut world: World, moves: &[Move]) -> World {
    for one in moves {
        if world.propose(*one).is_some() {
            world.check_last();
            world.check_state();
        }
    }
    world.check_past();
    world
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(192))]

    #[test]
    fn no_walk_from_an_empty_case_breaks_a_promise(arches in any_arches(), moves in moves(160)) {
        walk(World::bare(arches), &moves);
    }

    #[test]
    fn no_walk_from_a_case_that_has_begun_breaks_a_promise(arches in any_arches(), moves in moves(160)) {
        walk(World { arches, ..World::begun() }, &moves);
    }

    /// What is stored is the event as canonical JSON: it reads back as it was.
    #[test]
    fn events_read_back_as_they_were_written(moves in moves(60)) {
        for event in walk(World::begun(), &moves).events {
            let text = serde_json_canonicalizer::to_string(&event).unwrap();
            prop_assert_eq!(serde_json::from_str::<Event>(&text).unwrap(), event);
        }
    }
}

/// A walk that never gets anywhere proves nothing: over many walks each kind of event is allowed and
/// refused, and each of the states that the promises are about is reached.
#[test]
fn the_walks_get_about() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let mut reached: BTreeMap<String, u32> = BTreeMap::new();
    let mut note = |what: String| *reached.entry(what).or_default() += 1;
    for number in 0..400 {
        let moves = moves(240).new_tree(&mut runner).unwrap().current();
        let mut world = if number % 4 == 0 {
            World::bare(Arches::Both)
        } else {
            World::begun()
        };
        for one in moves {
            let proposed = one.what(&world);
            let (by, at) = (one.by(&proposed, &world), one.at(&world));
            for refusal in allow(&world.context(), &proposed, &by, at) {
                note(format!("refused by {:?}", refusal.rule));
            }
            if let Some(event) = world.propose(one) {
                note(event.what.word().to_owned());
                match &event.what {
                    What::Released(Released {
                        exception: Some(_), ..
                    }) => note("released by exception".to_owned()),
                    What::Fitted(Fitted { tag, .. }) => note(format!("fitted {:?}", tag_kind(tag))),
                    What::PassMoved(PassMoved { leg, .. }) => note(format!("passed {leg:?}")),
                    What::Received(Received {
                        items, no_pick_up, ..
                    }) => {
                        if *no_pick_up {
                            note("received without a pick-up".to_owned());
                        }
                        items
                            .iter()
                            .for_each(|found| note(format!("found {}", found.outcome.word())));
                    }
                    _ => {}
                }
            }
        }
    }
    let kinds = [
        "registered",
        "fit_checked",
        "disinfected",
        "released",
        "picked_up",
        "received",
        "fitted",
        "taken_out",
        "given",
        "brought_back",
        "used_up",
        "withheld",
        "destroyed",
        "written_off",
        "corrected",
        "voided",
        "settled",
        "moved",
        "given_back",
        "assigned",
        "worked",
        "undone",
        "closed",
        "reopened",
        "kept_longer",
        "withdrawn",
        "damaged_here",
        "finding_added",
        "stopped",
        "paused",
        "went_on",
        "cancelled",
        "heeded",
        "passed_on",
        "pass_answered",
        "pass_moved",
        "pass_ended",
        "marked_for_lab",
        "pass_asked",
        "pass_replied",
        "carried_over",
    ];
    // A kind that is new is walked, and counted above.
    let uncounted = [
        "adjusted",
        "answered",
        "asked",
        "confirmed",
        "day_answered",
        "erased",
        "followed_up",
        "pictured",
        "promised",
        "scan_filed",
        "share_answered",
        "telephoned",
    ];
    for (word, _, _) in KINDS {
        let is_known = kinds.iter().chain(&uncounted).any(|kind| kind == word);
        assert!(is_known, "{word} is a kind that the walk does not know");
    }
    let states = [
        "released by exception",
        "fitted Provisional",
        "fitted Duplicate",
        "fitted FinalDenture",
        "received without a pick-up",
        "found sound",
        "found damaged",
        "found missing",
        "found not_as_described",
        "passed Left",
        "passed Arrived",
        "passed SetOff",
        "passed Home",
    ];
    let rules = "A B C D E F H I J K Held Packed Stopped Consent Closed Right Form"
        .split(' ')
        .map(|rule| format!("refused by {rule}"));
    for wanted in kinds
        .iter()
        .chain(&states)
        .map(|word| (*word).to_owned())
        .chain(rules)
    {
        assert!(
            reached.get(&wanted).is_some_and(|count| *count > 0),
            "{wanted} was never reached: {reached:?}"
        );
    }
}

fn tag_kind(tag: &Tag) -> ItemKind {
    THINGS
        .iter()
        .find(|thing| super::tag(thing.0) == *tag)
        .unwrap()
        .1
}
