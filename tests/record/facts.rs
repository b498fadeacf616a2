//! Events and other facts to make leaves of. Their free texts all begin with `Qz`, which no code, identifier,
//! word of a list or hexadecimal digit does.

use proptest::prelude::*;
use proptest::sample::Index;
use vestibule::domain::custody::bench::{
    BenchMeasure, BenchStep, BenchTimer, MeasuredValue, TimedRun, UsedLot,
};
use vestibule::domain::custody::events::{
    Adjusted, Adjustment, Agreement, Answered, Asked, Assigned, BroughtBack, Cancelled,
    CarriedOver, Closed, Confirmed, Corrected, DamagedHere, DayAnswered, Destroyed, Disinfected,
    Erased, FindingAdded, FitApproval, FitChecked, Fitted, FollowedUp, Given, GivenBack, Heeded,
    KeptLonger, LaterFinding, Made, MarkedForLab, Moved, PassAnswered, PassAsked, PassEnded,
    PassMoved, PassReplied, PassedOn, Paused, PickedUp, Pictured, Promised, Received, Registered,
    Released, Reopened, Resolved, ScanFiled, ShareAnswered, Stopped, TakenOut, Telephoned, Undone,
    UsedUp, Voided, WentOn, Withdrawn, Withheld, Worked, WrittenOff,
};
use vestibule::domain::custody::fit::{FitFound, FitValue, FitVerdict};
use vestibule::domain::custody::follow_up::{
    ExaminedPoint, FollowUp, FollowedBy, WorkCause, WorkShare,
};
use vestibule::domain::custody::{
    DayAnswer, Disposed, Disposition, EraseReason, ErasedText, Event, Exception, Fate, Fated,
    FileFacts, Found, Matter, Outcome, Parcel, ParcelFound, PassAnswer, PassLeg, PictureOf,
    Purpose, ScanOf, SealFound, SecondLab, SecondLabWork, Sent, Signed, Spare, Trouble, What,
};
use vestibule::domain::form::Day;
use vestibule::domain::mesh::MeshUnit;
use vestibule::domain::people::bench_code::AtDevice;
use vestibule::domain::people::party::{Actor, Role, Side};
use vestibule::domain::prescription::ApprovedBy;
use vestibule::domain::trade::conformity::Decided;
use vestibule::domain::values::arch::{Arch, Arches};
use vestibule::domain::values::ids::{CaseNumber, EventId, HandoffId, Tag};
use vestibule::domain::values::measure::Decimal;
use vestibule::domain::values::moment::Moment;
use vestibule::domain::values::tooth::{Numbering, PatientSide, Tooth};

pub fn case() -> CaseNumber {
    (0..32)
        .find_map(|n| CaseNumber::from_random([n; 7]))
        .unwrap()
}

pub fn tag(seed: u8) -> Tag {
    (seed..=255)
        .find_map(|n| Tag::from_random([n, 1, 2, 3, 4, 5, 6]))
        .unwrap()
}

/// One word, or several with all that people type.
fn free_text() -> impl Strategy<Value = String> {
    prop_oneof!["Qz[a-z]{6,12}", "Qz[a-z]{4} \\PC{0,40}"]
}

fn any_tag() -> impl Strategy<Value = Tag> {
    (0..100_u8).prop_map(tag)
}

fn house() -> impl Strategy<Value = Side> {
    prop::sample::select(vec![Side::Office, Side::Lab])
}

fn any_exception() -> impl Strategy<Value = Option<Exception>> {
    let exception = (free_text(), free_text(), free_text());
    prop::option::of(exception.prop_map(|(name, licence, reason)| Exception {
        name,
        licence,
        reason,
    }))
}

fn sent() -> impl Strategy<Value = Sent> {
    let counted = prop::option::of(1..9_u32);
    (any_tag(), free_text(), 0..3_u32, counted).prop_map(|(tag, condition, parcel, pieces)| Sent {
        set_right: parcel == 2,
        tag,
        condition,
        parcel,
        pieces,
    })
}

fn found() -> impl Strategy<Value = Found> {
    let outcome = prop::sample::select(Outcome::ALL.to_vec());
    (any_tag(), outcome, any::<bool>(), free_text()).prop_map(
        |(tag, outcome, marked_disinfected, note)| Found {
            tag,
            outcome,
            marked_disinfected,
            note,
            pieces: marked_disinfected.then_some(2),
        },
    )
}

fn signed() -> impl Strategy<Value = Signed> {
    (free_text(), free_text(), free_text()).prop_map(|(name, licence, meaning)| Signed {
        name,
        licence,
        meaning,
    })
}

fn parcel() -> impl Strategy<Value = Parcel> {
    (free_text(), free_text(), any::<bool>()).prop_map(|(seal, note, moist_bag)| Parcel {
        seal,
        moist_bag,
        hard_box: true,
        note,
    })
}

fn parcel_found() -> impl Strategy<Value = ParcelFound> {
    let seal = prop::sample::select(SealFound::ALL.to_vec());
    (1..4_u32, seal, free_text()).prop_map(|(parcel, seal, number)| ParcelFound {
        parcel,
        seal,
        number,
    })
}

fn made() -> impl Strategy<Value = Option<Made>> {
    let texts = (free_text(), free_text(), free_text(), free_text());
    let from = prop::collection::vec(any_tag(), 0..3);
    let made = (from, texts, prop::option::of(1..90_u32));
    prop::option::of(
        made.prop_map(|(from, (how, material, lot, maker), pot_minutes)| Made {
            from,
            how,
            material,
            lot,
            pot_minutes,
            avoided_why: maker.clone(),
            maker,
        }),
    )
}

/// What is signed by a statement of its own, or said in words.
fn a_statement() -> impl Strategy<Value = What> {
    let texts = (free_text(), free_text());
    let trouble = prop::sample::select(Trouble::ALL.to_vec());
    (any_tag(), texts, trouble, signed(), any::<Index>()).prop_map(
        |(tag, (text, other), trouble, signed, one)| {
            let all = [
                What::Voided(Voided {
                    handoff: HandoffId::new("h-1"),
                    items: vec![tag.clone()],
                    reason: text.clone(),
                    signed: signed.clone(),
                    brought_back: Some(true),
                }),
                What::Resolved(Resolved {
                    hold: "e-1".into(),
                    trouble,
                    tag: Some(tag.clone()),
                    reason: text.clone(),
                    done: other,
                    signed: signed.clone(),
                    not_packed: text.len() % 2 == 1,
                }),
                What::Closed(Closed {
                    items: vec![Disposed {
                        tag: tag.clone(),
                        disposition: Disposition::AtLab,
                    }],
                    note: text.clone(),
                    nothing_made: false,
                    signed: signed.clone(),
                }),
                What::Reopened(Reopened {
                    reason: text.clone(),
                }),
                What::KeptLonger(KeptLonger {
                    from: Side::Lab,
                    ends: text.len() % 2 == 1,
                    reason: text.clone(),
                    signed: signed.clone(),
                }),
                What::WrittenOff(WrittenOff {
                    tag: tag.clone(),
                    how: text.clone(),
                    signed: Some(signed.clone()),
                }),
                What::Stopped(Stopped {
                    reason: text.clone(),
                    signed: signed.clone(),
                }),
                What::Paused(Paused {
                    reason: text.clone(),
                    signed: signed.clone(),
                }),
                What::WentOn(WentOn {
                    reason: text.clone(),
                    signed: signed.clone(),
                }),
                What::Cancelled(Cancelled {
                    reason: text.clone(),
                    items: vec![Fated {
                        tag: tag.clone(),
                        fate: Fate::Scrapped,
                        consent: Some(true),
                    }],
                    signed: signed.clone(),
                }),
                What::Heeded(Heeded {
                    event: EventId::new("e-1"),
                }),
                What::Asked(Asked {
                    matter: Matter::Contradicts,
                    from: Side::Lab,
                    section: Some("vertical".to_owned()),
                    line: Some("vertical.wanted_mm".to_owned()),
                    item: Some(tag.clone()),
                    step: Some(BenchStep::Mounted),
                    revision: 2,
                    text: text.clone(),
                    waits: true,
                    picture: Some(EventId::new("e-2")),
                }),
                What::Answered(Answered {
                    question: EventId::new("e-1"),
                    text: text.clone(),
                    taken_back: false,
                    picture: Some(EventId::new("e-2")),
                    revision_follows: false,
                }),
                What::Telephoned(Telephoned {
                    from: Side::Office,
                    with: text.clone(),
                    text: text.clone(),
                    question: Some(EventId::new("e-1")),
                    section: Some("vertical".to_owned()),
                    item: Some(tag.clone()),
                    picture: Some(EventId::new("e-2")),
                    changes: true,
                }),
                What::Confirmed(Confirmed {
                    event: EventId::new("e-1"),
                    is_so: false,
                    note: text.clone(),
                    changes: true,
                    none_needed: true,
                }),
                What::Withdrawn(Withdrawn {
                    tag: tag.clone(),
                    event: EventId::new("e-1"),
                    was: Some("moved".to_owned()),
                    of: Some(Moment::new(1_700_000_000_000, 60)),
                    reason: text.clone(),
                    signed: Some(signed.clone()),
                }),
                What::DamagedHere(DamagedHere {
                    tag: tag.clone(),
                    what: text.clone(),
                    place: Side::Lab,
                }),
                What::FindingAdded(FindingAdded {
                    tag: tag.clone(),
                    finding: LaterFinding::Damaged,
                    note: text.clone(),
                }),
                What::Promised(Promised {
                    day: time::macros::date!(2026 - 12 - 08).into(),
                    revision: 2,
                    note: text.clone(),
                }),
                What::DayAnswered(DayAnswered {
                    promise: EventId::new("e-1"),
                    answer: DayAnswer::NotAccepted,
                    note: text.clone(),
                }),
                What::PassedOn(PassedOn {
                    to: SecondLab {
                        party: Some("p-3".into()),
                        name: text.clone(),
                        address: text.clone(),
                        licence: text.clone(),
                    },
                    arches: Arches::Upper,
                    items: vec![tag.clone()],
                    task: text.clone(),
                    work: Some(SecondLabWork::Framework),
                    more: vec!["shade".to_owned()],
                    revision: 2,
                    wanted: time::macros::date!(2026 - 12 - 08).into(),
                    needs_consent: true,
                    instead_of: Some(EventId::new("e-1")),
                    signed: signed.clone(),
                }),
                What::PassAnswered(PassAnswered {
                    pass: EventId::new("e-1"),
                    answer: PassAnswer::Objected,
                    note: text.clone(),
                }),
                What::PassMoved(PassMoved {
                    pass: EventId::new("e-1"),
                    leg: PassLeg::Arrived,
                    items: vec![Found {
                        note: text.clone(),
                        ..Found::sound(tag.clone())
                    }],
                    carrier: text.clone(),
                    person: text.clone(),
                    set_right: vec![tag.clone()],
                }),
                What::PassAsked(PassAsked {
                    pass: EventId::new("e-1"),
                    text: text.clone(),
                }),
                What::PassReplied(PassReplied {
                    question: EventId::new("e-1"),
                    text: text.clone(),
                    taken_back: false,
                }),
                What::PassEnded(PassEnded {
                    pass: EventId::new("e-1"),
                    reason: text.clone(),
                }),
                What::CarriedOver(CarriedOver {
                    revision: 2,
                    arches: Arches::Both,
                    again_from: text.len().is_multiple_of(2).then_some(BenchStep::Flasked),
                }),
                What::Assigned(Assigned {
                    pan: text.clone(),
                    technician: Some("a-1".into()),
                }),
                What::Worked(Worked {
                    step: BenchStep::Flasked,
                    arches: Arches::Both,
                    revision: 2,
                    minutes: Some(35),
                    used: vec![UsedLot {
                        material: text.clone(),
                        lot: text.clone(),
                    }],
                    avoided_why: text.clone(),
                    readings: vec![MeasuredValue {
                        measure: BenchMeasure::SealMiddle,
                        value: Decimal::parse("0.5").unwrap(),
                        again: Some(Decimal::parse("0.6").unwrap()),
                        third: None,
                    }],
                    photographed: Some(false),
                    no_photo: text.clone(),
                    timed: vec![TimedRun {
                        timer: BenchTimer::Set,
                        asked_s: 600,
                        took_s: 660,
                        began: Moment::new(1_772_438_400_000, 60),
                        arch: Some(Arch::Lower),
                    }],
                    keep_until: None,
                    mounting: None,
                    picture: Some(EventId::new("e-2")),
                    note: text.clone(),
                }),
                What::ShareAnswered(ShareAnswered {
                    event: EventId::new("e-1"),
                    agrees: false,
                    note: text.clone(),
                }),
                What::FollowedUp(FollowedUp {
                    check: FollowUp::Week,
                    arches: Arches::Both,
                    examined: ExaminedPoint::ALL.to_vec(),
                    complaints: vec![1, 36],
                    done: text.clone(),
                    followed_by: FollowedBy::Remake,
                    cause: Some(WorkCause::JawRecord),
                    share: Some(WorkShare::Both),
                }),
                What::FitChecked(FitChecked {
                    from: Side::Office,
                    revision: 2,
                    found: vec![FitFound {
                        value: FitValue::Ovd,
                        asked: Some(Decimal::parse("66").unwrap()),
                        side: Some(PatientSide::Left),
                        within: Some(Decimal::parse("1").unwrap()),
                        readings: vec![Decimal::parse("-0.5").unwrap()],
                        decided: Some(Decided::OneReading),
                        verdict: FitVerdict::CannotTell,
                    }],
                    note: text.clone(),
                }),
                What::Pictured(Pictured {
                    shows: PictureOf::CastBeforeFlasking,
                    item: Some(tag.clone()),
                    hash: text.clone(),
                    length: 312_004,
                    width: 2_000,
                    height: 1_500,
                    caption: text.clone(),
                    for_lab: true,
                    question: Some(EventId::new("e-1")),
                }),
                What::ScanFiled(ScanFiled {
                    shows: ScanOf::UpperJaw,
                    item: Some(tag.clone()),
                    is_its_file: true,
                    hash: text.clone(),
                    length: 5_000_084,
                    is_stl: true,
                    triangles: 100_000,
                    width_um: 64_000,
                    depth_um: 52_000,
                    height_um: 21_500,
                    unit: MeshUnit::Millimetre,
                    caption: text.clone(),
                    for_lab: true,
                }),
                What::MarkedForLab(MarkedForLab {
                    event: EventId::new("e-1"),
                    is_scan: true,
                    of: Moment::new(1_794_978_971_737, 60),
                    for_lab: true,
                }),
                What::Undone(Undone {
                    event: EventId::new("e-1"),
                    reason: text.clone(),
                }),
                What::Erased(Erased {
                    texts: vec![ErasedText {
                        event: EventId::new("e-1"),
                        place: "/what/items/0/note".to_owned(),
                    }],
                    why: EraseReason::Asked,
                    signed,
                }),
            ];
            one.get(&all).clone()
        },
    )
}

fn a_release() -> impl Strategy<Value = What> {
    let texts = (free_text(), free_text(), free_text(), free_text());
    let items = prop::collection::vec(sent(), 1..5);
    let parcels = prop::collection::vec(parcel(), 0..3);
    let purposes = prop::option::of(prop::sample::select(Purpose::ALL));
    let said = (any_exception(), purposes);
    (items, house(), texts, said, parcels).prop_map(
        |(items, from, (carrier, tracking, purpose, seal), (exception, purpose_code), parcels)| {
            let awaits_pickup = items.len() % 2 == 0;
            What::Released(Released {
                handoff: HandoffId::new("h-1"),
                items,
                from,
                to: from.other(),
                carrier,
                tracking,
                purpose_code,
                purpose,
                exception,
                parcels,
                stays: Vec::new(),
                unread: None,
                older: None,
                as_it_comes: None,
                awaits_pickup,
                taken_by: if awaits_pickup {
                    String::new()
                } else {
                    seal.clone()
                },
                seal,
            })
        },
    )
}

fn a_pick_up() -> impl Strategy<Value = What> {
    let items = prop::collection::vec(any_tag(), 1..5);
    let revision = || prop::option::of(1..9_i64);
    let newer = (revision(), revision());
    let texts = (free_text(), free_text());
    (items, texts, 1..4_u32, newer, any_exception()).prop_map(
        |(items, (person, handed_out_by), parcels, (unread, older), exception)| {
            What::PickedUp(PickedUp {
                handoff: HandoffId::new("h-1"),
                items,
                person,
                parcels,
                handed_out_by,
                exception,
                older,
                unread,
            })
        },
    )
}

fn a_receipt() -> impl Strategy<Value = What> {
    let items = prop::collection::vec(found(), 0..5);
    let parcels = prop::collection::vec(parcel_found(), 0..3);
    let texts = (free_text(), free_text());
    (items, house(), texts, parcels).prop_map(|(items, place, (unannounced, foreign), parcels)| {
        What::Received(Received {
            handoff: HandoffId::new("h-1"),
            place,
            items,
            unannounced,
            parcels,
            foreign,
            no_pick_up: place == Side::Lab,
        })
    })
}

/// What happens to one item, with two texts where it has them.
fn one_item_changes() -> impl Strategy<Value = What> {
    let parts = (any_tag(), free_text(), free_text(), house(), any::<bool>());
    (parts, any_exception(), made(), any::<Index>()).prop_map(
        |((tag, text, other, place, yes), exception, made, one)| {
            let event = "e-1".to_owned();
            let all = [
                What::Registered(Registered {
                    tag: tag.clone(),
                    place,
                    worn: yes,
                    note: text.clone(),
                    pieces: yes.then_some(3),
                    made,
                    due_back: yes.then(|| Day::try_from("2026-03-09".to_owned()).unwrap()),
                    file: yes.then(|| FileFacts {
                        name: text.clone(),
                        ..FileFacts::default()
                    }),
                }),
                What::Disinfected(Disinfected {
                    tag: tag.clone(),
                    agent: text.clone(),
                    dilution: other.clone(),
                    minutes: 10,
                    rinsed: yes,
                }),
                What::Fitted(Fitted {
                    tag: tag.clone(),
                    instead_of: yes.then(|| tag.clone()),
                    uncleaned: yes,
                    exception: exception.clone(),
                    approval: yes.then(|| FitApproval {
                        by: ApprovedBy::Patient,
                        agreement: Agreement::AgreesBut,
                        said: text.clone(),
                    }),
                    avoided_why: other.clone(),
                }),
                What::TakenOut(TakenOut {
                    tag: tag.clone(),
                    exception,
                }),
                What::Given(Given {
                    tag: tag.clone(),
                    spare: yes.then(|| Spare {
                        mark: text.clone(),
                        place: other.clone(),
                        keeper: text.clone(),
                        in_water: true,
                    }),
                }),
                What::GivenBack(GivenBack {
                    tag: tag.clone(),
                    pieces: 2,
                }),
                What::Moved(Moved {
                    tag: tag.clone(),
                    to: text.clone(),
                }),
                What::Adjusted(Adjusted {
                    tag: tag.clone(),
                    done: Adjustment::Relined,
                    day: None,
                    part: None,
                    tooth: Tooth::from_iso(44).filter(|_| yes),
                    numbering: yes.then_some(Numbering::Universal),
                    direction: None,
                    mm: None,
                    complaint: yes.then_some(6),
                    said: text.clone(),
                    tell_lab: yes,
                    material: other.clone(),
                }),
                What::BroughtBack(BroughtBack { tag: tag.clone() }),
                What::UsedUp(UsedUp {
                    tag: tag.clone(),
                    into: text.clone(),
                    into_item: yes.then(|| tag.clone()),
                    signed: None,
                }),
                What::Withheld(Withheld {
                    tag: tag.clone(),
                    consent: yes,
                    kept: text.clone(),
                }),
                if yes {
                    What::Destroyed(Destroyed {
                        tag,
                        how: text.clone(),
                        consent: Some(yes),
                        signed: None,
                    })
                } else {
                    What::WrittenOff(WrittenOff {
                        tag,
                        how: text.clone(),
                        signed: None,
                    })
                },
                What::Corrected(Corrected {
                    event: EventId::new(event),
                    note: text,
                }),
            ];
            one.get(&all).clone()
        },
    )
}

/// Every kind of event. A new kind does not compile here until somebody has made events of it above, and so
/// has let the tests look for its texts in its leaf.
pub fn any_event() -> impl Strategy<Value = Event> {
    let what = prop_oneof![
        a_release(),
        a_pick_up(),
        a_receipt(),
        one_item_changes(),
        a_statement()
    ];
    let at = (0..4_000_000_000_000_i64, -720..840_i16);
    let texts = (free_text(), free_text(), prop::option::of(free_text()));
    (what, texts, at).prop_map(|(what, (name, party_name, paper), (unix_ms, offset))| {
        match &what {
            What::Registered(_) | What::Disinfected(_) | What::Released(_) => {}
            What::PickedUp(_) => {}
            What::Received(_) | What::Fitted(_) | What::TakenOut(_) => {}
            What::Given(_) | What::BroughtBack(_) | What::UsedUp(_) => {}
            What::Withheld(_) | What::Destroyed(_) | What::WrittenOff(_) => {}
            What::Corrected(_) | What::Voided(_) | What::Resolved(_) => {}
            What::Moved(_) | What::GivenBack(_) | What::Adjusted(_) => {}
            What::Closed(_) | What::Reopened(_) | What::Erased(_) => {}
            What::KeptLonger(_) => {}
            What::Stopped(_) | What::Paused(_) | What::WentOn(_) | What::Cancelled(_) => {}
            What::Heeded(_) | What::Withdrawn(_) | What::DamagedHere(_) => {}
            What::Asked(_) | What::Answered(_) => {}
            What::Promised(_) | What::DayAnswered(_) => {}
            What::FollowedUp(_) | What::ShareAnswered(_) => {}
            What::PassedOn(_) | What::PassAnswered(_) => {}
            What::PassMoved(_) | What::PassEnded(_) => {}
            What::PassAsked(_) | What::PassReplied(_) => {}
            What::Assigned(_) | What::Worked(_) | What::Undone(_) | What::FitChecked(_) => {}
            What::CarriedOver(_) => {}
            What::Telephoned(_) | What::Confirmed(_) => {}
            What::Pictured(_) | What::ScanFiled(_) | What::MarkedForLab(_) => {}
            What::FindingAdded(_) => {}
        }
        let at = Moment::new(unix_ms, offset);
        Event {
            id: EventId::new("e-2"),
            case: case(),
            at,
            entered_at: at,
            by: actor(name, party_name),
            // A device has a name that somebody typed.
            by_code: paper.as_ref().map(|name| AtDevice {
                device: "d-1".into(),
                name: name.clone(),
            }),
            paper,
            what,
        }
    })
}

fn actor(name: String, party_name: String) -> Actor {
    Actor {
        account: "a-1".into(),
        name,
        role: Role::LabManager,
        party: "p-2".into(),
        party_name,
    }
}

/// The same event each time.
pub fn an_event(note: &str) -> Event {
    let at = Moment::new(1_772_438_400_000, 60);
    Event {
        id: EventId::new("e-3"),
        case: case(),
        at,
        entered_at: at,
        by: actor("Ada Sample".to_owned(), "Sample Lab".to_owned()),
        paper: None,
        by_code: None,
        what: What::Registered(Registered {
            tag: tag(0),
            place: Side::Lab,
            worn: false,
            note: note.to_owned(),
            pieces: None,
            made: None,
            due_back: None,
            file: None,
        }),
    }
}
